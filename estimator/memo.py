"""Cache of function results, keyed by the values of the arguments."""

from collections.abc import Callable
from functools import wraps
from typing import ParamSpec, TypeVar

P = ParamSpec("P")
R = TypeVar("R")


def remembered(most: int) -> Callable[[Callable[P, R]], Callable[P, R]]:
    """Decorator that caches the `most` recently used results, for arguments that contain dicts and have no hash.

    The function must return the same result for the same values, and callers must not modify the result unless it is
    itself a cache by value. The first and any later estimate of a job are then identical to the last bit. Order and
    type matter: a sum depends on the order of its terms, and a job file may not write 1 for true.

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
        cache: list[tuple[tuple[object, ...], R]] = []

        @wraps(function)
        def call(*args: P.args, **kwargs: P.kwargs) -> R:
            key = (*args, *kwargs.items())
            for i, (known, result) in enumerate(cache):
                if _is_same(known, key):
                    cache.insert(0, cache.pop(i))
                    return result
            result = function(*args, **kwargs)
            cache.insert(0, (key, result))
            del cache[most:]
            return result

        return call

    return decorate


def _is_same(known: object, key: object) -> bool:
    """Whether two values have the same type and are equal, including the order of their parts."""
    if known is key:
        return True
    if type(known) is not type(key):
        return False
    if isinstance(known, dict) and isinstance(key, dict):
        return _is_same(list(known), list(key)) and all(map(_is_same, known.values(), key.values()))
    if isinstance(known, list | tuple) and isinstance(key, list | tuple):
        return len(known) == len(key) and all(map(_is_same, known, key))
    if hasattr(known, "__dataclass_fields__"):
        names = known.__dataclass_fields__
        return all(_is_same(getattr(known, name), getattr(key, name)) for name in names)
    return known == key
