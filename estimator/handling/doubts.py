"""Doubts, the values that say what is not shown to be safe, and checks of loads against ratings."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache
from types import MappingProxyType
from typing import Any, Literal, NamedTuple, get_args

from estimator.constants import require_not_negative, require_positive
from geometry.frozen import frozen
from geometry.message import Message, message

DoubtId = Literal[
    "access",
    "bending-not-checked",
    "bending-over-core",
    "carry-not-enough",
    "carry-too-young",
    "carry-untested",
    "coupons-too-thin",
    "floor-over",
    "holds-off-balance",
    "insert-not-enough",
    "insert-untested",
    "over-bed",
    "over-pallet",
    "over-rack",
    "overhang-unsupported",
    "pads-core",
    "pads-no-place",
    "pads-not-enough",
    "pads-not-measured",
    "pads-untested",
    "picks-core",
    "picks-near-cutout",
    "picks-no-room",
    "picks-no-shape",
    "picks-no-strength",
    "rating-missing",
    "rating-over",
    "slings-not-enough",
    "slings-untested",
    "tips-off-support",
    "walls-not-checked",
    "walls-not-enough",
    "walls-untested",
]
DOUBT_IDS: tuple[DoubtId, ...] = get_args(DoubtId)


VALUES: Mapping[DoubtId, str] = MappingProxyType(
    {
        "carry-too-young": "days",
        "coupons-too-thin": "thickness_m",
        "holds-off-balance": "points",
        "picks-near-cutout": "distance_m",
    }
)
"""Placeholder name of a doubt's deciding figure."""


class Doubt(NamedTuple):
    """One thing that is not shown to be safe.

    about   its subject: gear, way of holding, place of the access; None if the id is enough
    value   the deciding figure in SI units: an age in days, a distance in m, or a number of lifting points
    """

    id: DoubtId
    about: Message | None = None
    value: float | None = None

    @property
    def message(self) -> Message:
        """The doubt as a line for a paper."""
        values: dict[str, Any] = {} if self.about is None else {"about": self.about}
        if self.value is not None:
            values[VALUES[self.id]] = int(self.value) if self.value == int(self.value) else self.value
        return message(f"doubt-{self.id}", **values)


Rating = Literal["within", "over", "missing"]
Gear = Literal["A-frame", "elevator", "forklift", "pallet", "sling-leg", "truck"]
"""Gear with a load rating."""


@cache
def gear_message(gear: Gear) -> Message:
    """Name of the gear."""
    return message("gear", gear=gear)


@cache
def quantity_of(id: str, gear: Gear) -> Message:
    """Name of a quantity of the gear, for a fault of its figure."""
    return message(id, gear=gear_message(gear))


@frozen
class RatingCheck:
    """One load and the rating of the gear that carries it, kg; `rating_kg` is None if no rating was given."""

    what: Gear
    load_kg: float
    rating_kg: float | None

    @property
    def shown_safe(self) -> bool:
        return self.rating_kg is not None and self.load_kg <= self.rating_kg

    @property
    def verdict(self) -> Rating:
        if self.rating_kg is None:
            return "missing"
        return "within" if self.shown_safe else "over"

    @property
    def doubts(self) -> tuple[Doubt, ...]:
        """A doubt if the load exceeds the rating or no rating was given."""
        if self.shown_safe:
            return ()
        return (Doubt("rating-missing" if self.rating_kg is None else "rating-over", gear_message(self.what)),)


def check_rating(what: Gear, load_kg: float, rating_kg: float | None) -> RatingCheck:
    """Check a load against a rating, kg; None for a rating that was not given.

    >>> check_rating("elevator", 410.0, None).verdict
    'missing'
    """
    require_not_negative(quantity_of("quantity-load-on", what), load_kg, "kg")
    if rating_kg is not None:
        require_positive(quantity_of("quantity-rating", what), rating_kg, "kg")
    return RatingCheck(what, load_kg, rating_kg)


def doubt_messages(doubts: Iterable[Doubt]) -> tuple[Message, ...]:
    """Lines for distinct doubts, in order."""
    return tuple([doubt.message for doubt in dict.fromkeys(doubts)])


def marks_by_doubt(doubts_of: Iterable[tuple[str, Iterable[Doubt]]]) -> dict[Doubt, list[str]]:
    """Group pieces by doubt: distinct doubts, each with the marks that have it."""
    marks: dict[Doubt, list[str]] = {}
    for mark, doubts in doubts_of:
        for doubt in dict.fromkeys(doubts):
            marks.setdefault(doubt, []).append(mark)
    return marks
