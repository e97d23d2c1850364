"""Faults of the input, told so that a caster can fix them: one clear line each, all at once."""

from collections.abc import Iterable
from dataclasses import dataclass

from geometry.errors import FaultError as FaultError


@dataclass(frozen=True, slots=True)
class Fault:
    """One problem of the input: which file, where in it, what is wrong, how to fix it.

    >>> print(Fault("job.toml", "piece C1, shape.thickness", '"1.5" has no unit.', 'Write "1.5 in" or "38 mm".'))
    job.toml: piece C1, shape.thickness: "1.5" has no unit. Write "1.5 in" or "38 mm".
    """

    file: str
    place: str
    what: str
    fix: str = ""

    def __str__(self) -> str:
        text = f"{self.place}: {self.what}" if self.place else self.what
        line = f"{self.file}: {text} {self.fix}".rstrip()
        return " ".join(line.split())


class RangeError(FaultError):
    """A figure that a formula does not cover; the text says which, what is allowed and what to do."""

    def __init__(self, what: str) -> None:
        super().__init__("", what)


class InputError(ValueError):
    """The input cannot be estimated; `faults` holds every problem found."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))
