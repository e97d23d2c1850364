"""What is refused, and in which words: the error of this package and the checks that every shape shares."""

from __future__ import annotations

from math import isfinite


class GeometryError(ValueError):
    """A shape, drawing or mesh that has no well-defined measure.

    what   what is wrong, with the place as coordinates where there is one
    fix   what the reader can do about it
    key    dotted key of the shape at fault ("cutouts[0].x"), or "" when the whole shape is
    """

    def __init__(self, what: str, fix: str = "", key: str = "") -> None:
        self.what = what
        self.fix = fix
        self.key = key
        super().__init__(f"{what} {fix}".strip())


def mm(length_m: float) -> str:
    """A length for a message, in both units that a workshop reads: this package knows nothing of the job's.

    >>> mm(0.0508)
    '50.8 mm (2 in)'
    """
    return f"{length_m * 1000:.6g} mm ({length_m / 0.0254:.4g} in)"


def require(holds: bool, what: str, fix: str = "", key: str = "") -> None:
    """Raise GeometryError unless `holds`."""
    if not holds:
        raise GeometryError(what, fix, key)


def require_positive(length_m: float | None, key: str) -> None:
    """Raise GeometryError unless the length, if given, is a finite number above 0."""
    if length_m is None:
        return
    require(isfinite(length_m), "is not a finite number.", "Give a length.", key)
    require(length_m > 0, f"is {mm(length_m)}.", "It must be more than 0.", key)


def require_dimensions(**lengths_m: float | None) -> None:
    """`require_positive` for each, the name being the key."""
    for key, length_m in lengths_m.items():
        require_positive(length_m, key)
