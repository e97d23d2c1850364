"""Messages to users: an id in the word catalog, and values for its placeholders.

No sentences in code. Code names a message and passes its values in SI units. The catalog holds the sentence in every
language, and the report layer prints the values in the units of the job.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cache, reduce
from typing import Any, NamedTuple, TypeAlias, Union

Value: TypeAlias = Union[str, int, float, "Message", Sequence["str | float | Message"]]


class Message(NamedTuple):
    """One message of the word catalog: a tuple, since large jobs make and look up hundreds of thousands.

    id      its name in the catalog
    values  by placeholder; the suffix of a name is the unit of its value (`mass_kg`, `gap_m`, `waste_share`)

    >>> str(message("crew", people=2))
    'crew (people = 2)'
    """

    id: str
    values: tuple[tuple[str, Any], ...] = ()

    def __str__(self) -> str:
        values = ", ".join(f"{name} = {value}" for name, value in self.values)
        return f"{self.id} ({values})" if values else self.id


def message(id: str, **values: Value) -> Message:
    """Message with the given id and values; a list of strings or messages is printed as a list."""
    if not values:
        return _without_values(id)
    if _SINGLE.issuperset(map(type, values.values())):
        return Message(id, tuple(values.items()))
    items = [(name, value if isinstance(value, _SINGLES) else tuple(value)) for name, value in values.items()]
    return Message(id, tuple(items))


_SINGLES = (str, int, float, Message)
_SINGLE = frozenset((*_SINGLES, bool))


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
