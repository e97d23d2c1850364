"""A load against what a maker, an owner or a test says the thing may carry. A missing rating is never assumed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from estimator.bounds import require_not_negative, require_positive
from estimator.handling.doubts import Doubt

Rating = Literal["within", "over", "missing"]


@dataclass(frozen=True, slots=True)
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

    @property
    def utilisation(self) -> float | None:
        """Load over rating, or None without a rating."""
        return None if self.rating_kg is None else self.load_kg / self.rating_kg


def check_rating(what: str, load_kg: float, rating_kg: float | None) -> RatingCheck:
    """Set a load beside a rating, kg; None for a rating that was not given.

    >>> check_rating("lift car", 410.0, None).verdict
    'missing'
    """
    require_not_negative(f"load on the {what}", load_kg, "kg")
    if rating_kg is not None:
        require_positive(f"rating of the {what}", rating_kg, "kg")
    return RatingCheck(what, load_kg, rating_kg)
