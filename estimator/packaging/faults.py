"""The error of this package: a fact that cannot be ordered by, and how to fix it."""

from estimator.errors import FaultError


class PackagingError(FaultError):
    """A pack, pallet, supplier or form that cannot be computed with.

    what  what is wrong, one sentence
    fix  how to fix it, one sentence
    key   dotted key of the faulty value inside the thing that was given: "packs.sack.breaks"

    The front adds file and place.
    """

    def __init__(self, what: str, fix: str, key: str) -> None:
        super().__init__(key, what, fix)
