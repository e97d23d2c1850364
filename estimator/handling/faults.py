"""Input with which nothing can be lifted, hung or stood: refused, each with the key at fault and how to fix it."""

from collections.abc import Callable

from estimator.errors import FaultError


class HandlingError(FaultError):
    """A piece that cannot be handled as its entry says: `key` of the piece, and `what` is wrong with a fix in it."""

    def __init__(self, key: str, what: str) -> None:
        super().__init__(key, what if what.endswith(".") else f"{what}.")


def at_key(key: str, call: Callable[[], object]) -> None:
    """Run a check, and tell its FaultError as a fault of the piece's `key`."""
    try:
        call()
    except FaultError as error:
        raise HandlingError(key, error.what) from None
