"""The exception for faults in the input, used by both packages, and checks shared by all shapes."""

from __future__ import annotations

from collections.abc import Iterable
from math import inf, isfinite

from geometry.message import Message, message


class FaultError(ValueError):
    """A fault in the input. Any other exception is a bug in the program.

    key      dotted key of the value at fault ("cutouts[0].x"), "" for the whole file or table
    message  what is wrong, with coordinates if it has a location; its attribute "fix" says what to type

    Intake adds the file and place, and renders the message as text.

    >>> FaultError("length", message("not-positive", length_m=-1.0))
    FaultError('length: not-positive (length_m = -1.0)')
    """

    def __init__(self, key: str, refusal: Message) -> None:
        self.key, self.message = key, refusal
        super().__init__(f"{key}: {refusal}".removeprefix(": "))

    def __reduce__(self) -> tuple[type[FaultError], tuple[str, Message]]:
        return type(self), (self.key, self.message)  # so that it can be pickled by a child process


UNIT_M = {"mm": 0.001, "cm": 0.01, "m": 1.0, "in": 0.0254, "ft": 0.3048}


def unit_name(unit_m: float, otherwise: str = "file units") -> str:
    """Name of a unit of length given in meters, or `otherwise` if it is not in `UNIT_M`.

    >>> unit_name(0.0254), unit_name(0.9144), unit_name(0.9144, "yd")
    ('in', 'file units', 'yd')
    """
    return next((name for name, size_m in UNIT_M.items() if abs(size_m - unit_m) < 1e-9 * size_m), otherwise)


def sizes_by_unit(size: Iterable[float], digits: int) -> Message:
    """Message with a size from a unitless file, read in each of the likely units, to `digits` significant digits."""
    sides = list(size)
    sizes = {
        f"in_{unit}": " × ".join(f"{side * UNIT_M[unit]:.{digits}g}" for side in sides) + " m"
        for unit in ("mm", "cm", "in", "m")
    }
    return message("sizes-by-unit", **sizes)


def require(holds: bool, key: str, refusal: Message) -> None:
    """Raise FaultError unless `holds`."""
    if not holds:
        raise FaultError(key, refusal)


def require_positive(length_m: float | None, key: str) -> None:
    """Raise FaultError unless the length, if given, is a finite number above 0."""
    if length_m is None or 0.0 < length_m < inf:
        return
    raise FaultError(key, message("not-positive", length_m=length_m) if isfinite(length_m) else message("not-finite"))


def require_dimensions(**lengths_m: float | None) -> None:
    """Raise FaultError unless every given length is positive and finite; the argument's name is the key."""
    for key, length_m in lengths_m.items():
        require_positive(length_m, key)
