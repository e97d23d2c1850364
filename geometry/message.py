"""A message to a reader: an id of the word catalog and the values that fill it.

No sentence stands in code. Whoever finds something to say names the message and gives its values in SI; the catalog
holds the sentence in every language, and the edge prints the values in the units of the job.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, TypeAlias, Union

from geometry.frozen import frozen

Value: TypeAlias = Union[str, int, float, "Message", Sequence["str | Message"]]


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

    def __str__(self) -> str:
        if self.id == "said":  # words from outside
            return " ".join(str(value) for _, value in self.values if value)
        values = ", ".join(f"{name} = {value}" for name, value in self.values)
        return f"{self.id} ({values})" if values else self.id


def message(id: str, **values: Value) -> Message:
    """The message of this id, filled with these values; a list of words or messages is printed as a list."""
    return Message(id, tuple((name, _kept(value)) for name, value in values.items()))


def _kept(value: Value) -> Any:
    return value if isinstance(value, str | int | float | Message) else tuple(value)
