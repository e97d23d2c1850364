"""What is not shown to be safe: the doubts of a move as values, ratings beside their loads, and all of it in words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import Literal, get_args

from estimator.constants import INCH_M, require_not_negative, require_positive
from geometry.frozen import frozen

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


@frozen
class Doubt:
    """One thing that is not shown to be safe.

    about   what it is about: the gear, the way of holding, the place on the way in; "" where the id says it all
    value   the deciding figure, SI: an age in days, a distance in m
    """

    id: DoubtId
    about: str = ""
    value: float | None = None


Rating = Literal["within", "over", "missing"]


@frozen
class RatingCheck:
    """One load, kg, beside the rating of what carries it; `rating_kg` None where none was given."""

    what: str
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
        """What is not shown to be safe: a load over the rating, or no rating."""
        if self.shown_safe:
            return ()
        return (Doubt("rating-missing" if self.rating_kg is None else "rating-over", self.what),)


def check_rating(what: str, load_kg: float, rating_kg: float | None) -> RatingCheck:
    """Set a load beside a rating, kg; None for a rating that was not given.

    >>> check_rating("lift car", 410.0, None).verdict
    'missing'
    """
    require_not_negative(f"load on the {what}", load_kg, "kg")
    if rating_kg is not None:
        require_positive(f"rating of the {what}", rating_kg, "kg")
    return RatingCheck(what, load_kg, rating_kg)


RATING_WORDS: Mapping[Rating, str] = MappingProxyType(
    {"within": "within its rating", "over": "over its rating", "missing": "no load rating on file"}
)

_WORDS: Mapping[DoubtId, str] = MappingProxyType(
    {
        "access": "{about}",
        "bending-not-checked": "Bending not checked for this shape.",
        "bending-over-core": "Bending not checked: a foam core carries nothing, and where it lies is not known.",
        "carry-not-enough": "May crack {about}: not strong enough.",
        "carry-too-young": "Strength tested at {value:g} days only. May crack if moved sooner.",
        "carry-untested": "May crack when carried: no strength test for its mix.",
        "coupons-too-thin": "May crack when carried: its mix was tested {mm:.0f} mm ({inch:.2g} in) thick only.",
        "floor-over": "Over the posted floor load.",
        "holds-off-balance": "Balance point lies outside the piece. Use three holds or a strongback.",
        "insert-not-enough": "Lifting inserts: not strong enough. Use more or stronger inserts.",
        "insert-untested": "Lifting inserts: no load rating on file.",
        "overhang-unsupported": "Overhang needs a subtop or brackets.",
        "pads-core": "Vacuum pads: none over a core.",
        "pads-no-place": "Vacuum pads: no place for them on this piece. More or smaller pads.",
        "pads-not-enough": "Cracks on vacuum pads: not strong enough.",
        "pads-not-measured": "Vacuum pads: no measured vacuum and hold time for this face.",
        "pads-untested": "May crack on vacuum pads: no strength test for its mix.",
        "picks-core": "No pick points proposed: a foam core is cast in. A qualified rigger picks at solid ribs only.",
        "picks-near-cutout": "Pick too near a cutout ({inch:.1f} in, {mm:.0f} mm).",
        "picks-no-room": "No pick points proposed: no place clear of the cutouts. A qualified rigger decides.",
        "picks-no-shape": "No pick points proposed for this shape. A qualified rigger decides.",
        "picks-no-strength": "No pick points proposed: it would crack on slings. "
        "Cure longer, or move it on a pallet or in its form.",
        "rating-missing": "No load rating on file: {about}.",
        "rating-over": "Over its rating: {about}.",
        "slings-not-enough": "Cracks on {about}: not strong enough. Do not lift it so.",
        "slings-untested": "May crack on {about}: no strength test for its mix.",
        "tips-off-support": "Tips off its support by its own weight. Fasten it, or support the overhang.",
        "walls-not-checked": "Planter walls not checked for this shape. Use a liner frame or a tie.",
        "walls-not-enough": "Planter walls may crack under wet soil. Use a liner frame or a tie.",
        "walls-untested": "Planter walls: no strength test for its mix. Use a liner frame or a tie.",
    }
)


def doubt_text(doubt: Doubt) -> str:
    """One doubt as a line.

    >>> doubt_text(Doubt("rating-missing", "sling leg"))
    'No load rating on file: sling leg.'
    """
    value = doubt.value or 0.0
    return _WORDS[doubt.id].format(about=doubt.about, value=value, mm=value * 1000.0, inch=value / INCH_M)


def doubt_texts(doubts: Iterable[Doubt]) -> tuple[str, ...]:
    """Every doubt once, in order."""
    return tuple(dict.fromkeys(doubt_text(doubt) for doubt in doubts))
