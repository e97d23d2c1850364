"""Faults of the input, told so that a caster can fix them: one clear line each, all at once."""

from collections.abc import Iterable

from geometry.errors import FaultError as FaultError
from geometry.frozen import frozen


@frozen
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


class at_key:  # noqa: N801  reads as the statement that it is
    """Within it a FaultError is one of the value at this dotted key, whatever it is called inside."""

    __slots__ = ("key",)

    def __init__(self, key: str) -> None:
        self.key = key

    def __enter__(self) -> None:
        pass

    def __exit__(self, kind: object, error: BaseException | None, trace: object) -> None:
        if isinstance(error, FaultError):
            raise FaultError(self.key, error.what, error.fix) from None


class InputError(ValueError):
    """The input cannot be estimated; `faults` holds every problem found."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))
