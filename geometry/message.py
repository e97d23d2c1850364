"""A message to a reader: an id of the word catalog and the values that fill it.

No sentence stands in code. Whoever finds something to say names the message and gives its values in SI; the catalog
holds the sentence in every language, and the edge prints the values in the units of the job.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cache, reduce
from typing import Any, TypeAlias, Union

from geometry.frozen import frozen

Value: TypeAlias = Union[str, int, float, "Message", Sequence["str | float | Message"]]


@frozen
class Message:
    """One message of the word catalog.

    id      its name in the catalog
    values  by placeholder; the suffix of a name is the unit of its value (`mass_kg`, `gap_m`, `waste_share`)

    >>> str(message("outline-open", gap_m=0.002))
    'outline-open (gap_m = 0.002)'
    """

    id: str
    values: tuple[tuple[str, Any], ...] = ()

    # A long job asks for the words of the same messages again and again: these are quicker than those of `frozen`.
    def __eq__(self, other: object) -> bool:
        return self is other or (type(other) is Message and self.id == other.id and self.values == other.values)

    def __hash__(self) -> int:
        return hash((self.id, self.values))

    def __str__(self) -> str:
        values = ", ".join(f"{name} = {value}" for name, value in self.values)
        return f"{self.id} ({values})" if values else self.id


def message(id: str, **values: Value) -> Message:
    """The message of this id, filled with these values; a list of words or messages is printed as a list."""
    if not values:
        return _alone(id)
    kept = [(name, value if isinstance(value, _SINGLE) else tuple(value)) for name, value in values.items()]
    return Message(id, tuple(kept))


_SINGLE = (str, int, float, Message)


@cache
def _alone(id: str) -> Message:
    """The message of an id without values; they are few, and a long job says each of them thousands of times."""
    return Message(id)


def sentences(messages: Iterable[Message]) -> Message:
    """Messages one after another as one; there must be at least one."""
    return reduce(lambda first, second: message("sentences", first=first, second=second), messages)


def few(names: Iterable[str], most: int) -> Message:
    """The first `most` of some names, and how many more there are: "C1, C2 and 4 more"."""
    listed = list(names)
    return message("marks", marks=", ".join(listed[:most]), more=max(0, len(listed) - most))
