"""Messages to users: an id in the word catalog, and values for its placeholders.

No sentences in code. Code names a message and passes its values in SI units. The catalog holds the sentence in every
language, and the report layer prints the values in the units of the job.
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

    # Large jobs look up the same messages thousands of times; these methods are faster than those of `frozen`.
    def __eq__(self, other: object) -> bool:
        return self is other or (type(other) is Message and self.id == other.id and self.values == other.values)

    def __hash__(self) -> int:
        return hash((self.id, self.values))

    def __str__(self) -> str:
        values = ", ".join(f"{name} = {value}" for name, value in self.values)
        return f"{self.id} ({values})" if values else self.id


def message(id: str, **values: Value) -> Message:
    """Message with the given id and values; a list of strings or messages is printed as a list."""
    if not values:
        return _without_values(id)
    items = [(name, value if isinstance(value, _SINGLE) else tuple(value)) for name, value in values.items()]
    return Message(id, tuple(items))


_SINGLE = (str, int, float, Message)


@cache
def _without_values(id: str) -> Message:
    """Message without values, cached: there are few, and large jobs use them thousands of times."""
    return Message(id)


def sentences(messages: Iterable[Message]) -> Message:
    """Join one or more messages into one."""
    return reduce(lambda first, second: message("sentences", first=first, second=second), messages)


def few(names: Iterable[str], most: int) -> Message:
    """List of names, shortened to the first `most` and a count of the others: "C1, C2 and 4 more"."""
    listed = list(names)
    return message("marks", marks=", ".join(listed[:most]), more=max(0, len(listed) - most))
