"""Results kept from one call to the next, found again by the values of the arguments."""

from collections.abc import Callable
from functools import wraps
from typing import ParamSpec, TypeVar

P = ParamSpec("P")
R = TypeVar("R")


def remembered(most: int) -> Callable[[Callable[P, R]], Callable[P, R]]:
    """Keeps the results of the last `most` calls that differed, for arguments with tables in them, which have no hash.

    The function must give the same for the same values, and what it gave is only read, or added to where it is itself a
    store by value: then a first estimate and a later one of the same job are the same to the last bit. Order and type
    count: a sum hangs on the order of its parts, and a job file may not write 1 for true.

    >>> calls = []
    >>> @remembered(2)
    ... def total(parts):
    ...     calls.append(parts)
    ...     return sum(parts.values())
    >>> total({"cement": 2.0, "sand": 3.0}), total({"cement": 2.0, "sand": 3.0}), len(calls)
    (5.0, 5.0, 1)
    >>> total({"sand": 3.0, "cement": 2.0}), len(calls)
    (5.0, 2)
    """

    def decorate(function: Callable[P, R]) -> Callable[P, R]:
        kept: list[tuple[tuple[object, ...], R]] = []

        @wraps(function)
        def call(*args: P.args, **kwargs: P.kwargs) -> R:
            asked = (*args, *kwargs.items())
            for i, (known, result) in enumerate(kept):
                if _is_same(known, asked):
                    kept.insert(0, kept.pop(i))
                    return result
            result = function(*args, **kwargs)
            kept.insert(0, (asked, result))
            del kept[most:]
            return result

        return call

    return decorate


def _is_same(known: object, asked: object) -> bool:
    """Whether two values are of one type and equal, in their parts and the order of these."""
    if known is asked:
        return True
    if type(known) is not type(asked):
        return False
    if isinstance(known, dict) and isinstance(asked, dict):
        return _is_same(list(known), list(asked)) and all(map(_is_same, known.values(), asked.values()))
    if isinstance(known, list | tuple) and isinstance(asked, list | tuple):
        return len(known) == len(asked) and all(map(_is_same, known, asked))
    if hasattr(known, "__dataclass_fields__"):
        names = known.__dataclass_fields__
        return all(_is_same(getattr(known, name), getattr(asked, name)) for name in names)
    return known == asked
