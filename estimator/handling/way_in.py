"""Whether a piece gets in by the way that was measured, and where a seam could go if it does not."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from estimator.errors import FaultError
from estimator.handling.access import CLEARANCE_M, PassageCheck, check_passage, seam_places
from estimator.handling.doubts import Doubt
from estimator.handling.flat import FlatPiece
from estimator.handling.ratings import RatingCheck, check_rating
from estimator.site import LiftCar, Opening, Site, Stairs, Turn

SEARCH_STEPS = 40  # halvings of the length of a part
Place = Opening | Turn | Stairs | LiftCar


@dataclass(frozen=True, slots=True)
class WayIn:
    """The piece against every place on its way, and against the lift car's rating.

    assumed         no site was measured: a door of the workshop's default size stands for the way in
    longest_part_m  that gets in, of the same cross-section; None where the whole piece does
    seams_m         offered, along the piece from its start; empty where none is needed or possible
    seam_note       why a seam is offered or is not
    """

    checks: tuple[PassageCheck, ...]
    lift: RatingCheck | None
    assumed: bool
    longest_part_m: float | None
    seams_m: tuple[float, ...]
    seam_note: str

    @property
    def doubts(self) -> tuple[Doubt, ...]:
        """Places through which it does not go, and a lift car that is not shown to carry it."""
        tight = tuple(Doubt("access", f"{check.place}: {check.remark}") for check in self.checks if not check.passes)
        return tight if self.lift is None else (*tight, *self.lift.doubts)


def way_in(
    sizes_m: tuple[float, float, float],
    weight_high_kg: float,
    flat: FlatPiece | None,
    site: Site | None,
    figures: Mapping[str, float],
) -> WayIn:
    """Check a piece by its outer sizes and its HIGH-side weight; offer seams, never through a cut-out.

    A part weighs its share of the length. The crew that rides in the lift car with the piece is not counted.
    """
    if site is None:
        door = Opening("a usual door, assumed", figures["handling.door"], figures["handling.door_height"])
        places: tuple[Place, ...] = (door,)
    else:
        places = site.places
    checks = tuple(check_passage(sizes_m, place) for place in places)
    rating = None
    car = next((place for place in places if isinstance(place, LiftCar)), None)
    if car is not None:
        rating = check_rating("lift car", weight_high_kg, car.rating_kg)
    too_heavy = rating is not None and rating.rating_kg is not None and not rating.shown_safe
    if all(check.passes for check in checks) and not too_heavy:
        return WayIn(checks, rating, site is None, None, (), "")
    longest_m = _longest_part(sizes_m, places)
    if too_heavy and car is not None and car.rating_kg is not None:
        longest_m = min(longest_m, max(sizes_m) * car.rating_kg / weight_high_kg)
    seams, note = _seams(max(sizes_m), longest_m, flat, figures["handling.strip_least"])
    return WayIn(checks, rating, site is None, longest_m, seams, note)


def _longest_part(sizes_m: tuple[float, float, float], places: Sequence[Place]) -> float:
    """The longest part of the same cross-section that passes everywhere, m; 0 where none does."""
    thin, wide, long = sorted(sizes_m)

    def passes(length_m: float) -> bool:
        return all(check_passage((length_m, wide, thin), place, CLEARANCE_M).passes for place in places)

    low, high = 0.0, long
    if passes(high):
        return high
    for _ in range(SEARCH_STEPS):
        middle = (low + high) / 2.0
        if passes(middle):
            low = middle
        else:
            high = middle
    return low


def _seams(length_m: float, longest_m: float, flat: FlatPiece | None, margin_m: float) -> tuple[tuple[float, ...], str]:
    if flat is None:
        return (), "no seam is offered for this shape: measure on site, or cast it smaller"
    if longest_m <= 2.0 * margin_m:
        return (), "too wide to get in whatever its length: no seam across it would help"
    try:
        seams = seam_places(length_m, longest_m, flat.cutout_spans_m, margin_m)
    except FaultError as error:
        return (), str(error)
    return seams, "a seam is offered, not decided: colour, support and the owner's eye have a say"
