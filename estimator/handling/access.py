"""Access: doors, turns, stairs and elevator, and where a seam would let a piece through."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import lru_cache
from itertools import permutations
from math import cos, pi, radians, sin, sqrt

from estimator.constants import require_not_negative, require_positive, require_within
from estimator.errors import FaultError
from estimator.handling.doubts import Doubt, RatingCheck, check_rating
from estimator.handling.sections import FlatPiece
from estimator.site import Elevator, Opening, Site, Stairs, Turn
from estimator.workshop import HandlingSettings
from geometry.frozen import frozen
from geometry.message import Message, message

CLEARANCE_M = 0.050  # shop default: about an inch for hands on either side
_SLACK_M = 1e-9  # rounding tolerance, so that a seam exactly at the margin is allowed

OuterSizes = tuple[float, float, float]
Passage = Opening | Turn | Stairs | Elevator


@frozen
class PassageCheck:
    """Whether a piece passes one place on its way, and how, or why not."""

    place: Message
    passes: bool
    remark: Message


ASSUMED = "usual-door"
"""Name of the door assumed where the access was not measured."""


def place_name(place: Passage) -> Message:
    """Name of a place: as given in the job, or its kind."""
    return _place_called(place.name)


@lru_cache(maxsize=256)  # every piece goes through the same few places
def _place_called(name: str) -> Message:
    return message("place", name=name)


_checked = lru_cache(maxsize=256)(PassageCheck)  # few distinct results


def check_passage(sizes_m: OuterSizes, place: Passage, clearance_m: float) -> PassageCheck:
    """Check a piece, given by its three outer sizes in any order, m, against one place of its access."""
    for size_m in sizes_m:
        require_positive("size-of-the-piece", size_m, "m")
    require_not_negative("clearance", clearance_m, "m")
    clearance_m -= _SLACK_M  # so that a piece of exactly the limiting size passes, in any unit
    match place:
        case Opening():
            return _check_opening(sizes_m, place, clearance_m)
        case Turn():
            return _check_turn(sizes_m, place, clearance_m)
        case Stairs():
            return _check_stairs(sizes_m, place, clearance_m)
        case Elevator():
            return _check_car(sizes_m, place, clearance_m)


# --------------------------------------------------------------------------- plane geometry, exact


def rectangle_fits(long_m: float, short_m: float, into_m: float, by_m: float) -> bool:
    """Whether a rectangle fits into another, rotated if necessary.

    Exact: p × q fits a × b (p ≥ q, a ≥ b) when p ≤ a and q ≤ b, or when p > a and
    (2pqa + (p² − q²)·√(p² + q² − a²)) / (p² + q²) ≤ b. Source: Carver, American Mathematical Monthly 64, 1957
    (from memory; the condition is the tilted box's height at the angle at which its width is a).
    """
    p, q = max(long_m, short_m), min(long_m, short_m)
    a, b = max(into_m, by_m), min(into_m, by_m)
    if b <= 0.0 or q > b:
        return False
    if p <= a:
        return True
    square = p * p + q * q
    return (2.0 * p * q * a + (p * p - q * q) * sqrt(square - a * a)) / square <= b


def longest_through_turn(from_width_m: float, to_width_m: float, thickness_m: float) -> float:
    """Longest rigid plate of a given thickness that can be carried level around a 90° turn, m.

    At angle θ the outer face of a plate of length L touches both outer walls, and the inner corner is
    a·sin θ + b·cos θ − L·sin θ·cos θ away from it. The plate passes if this is at least its thickness for every θ. So
    L = min over θ of (a·sin θ + b·cos θ − t) / (sin θ·cos θ), exact in the plane; its derivative changes sign once.
    For t = 0 it is (a^⅔ + b^⅔)^(3/2). Returns 0 if the plate is too thick for one of the passages.

    >>> round(longest_through_turn(1.0, 1.0, 0.0), 4)
    2.8284
    """
    require_positive("width-of-the-passage", from_width_m, "m")
    require_positive("width-of-the-passage", to_width_m, "m")
    require_not_negative("thickness", thickness_m, "m")
    a, b, t = from_width_m, to_width_m, thickness_m
    if t >= min(a, b):
        return 0.0
    low, high = 0.0, pi / 2.0
    for _ in range(80):
        angle = (low + high) / 2.0
        s, c = sin(angle), cos(angle)
        if a * s**3 - b * c**3 + t * (c * c - s * s) < 0.0:
            low = angle
        else:
            high = angle
    s, c = sin(low), cos(low)
    return (a * s + b * c - t) / (s * c)


def _check_opening(sizes_m: OuterSizes, door: Opening, clearance_m: float) -> PassageCheck:
    thin, wide, _ = sorted(sizes_m)
    width, height = door.width_m - clearance_m, door.height_m - clearance_m
    if (thin <= width and wide <= height) or (wide <= width and thin <= height):
        return _checked(place_name(door), True, message("passes-straight"))
    if rectangle_fits(wide, thin, width, height):
        return _checked(place_name(door), True, message("passes-tilted"))
    return _checked(place_name(door), False, message("door-too-small"))


def _check_turn(sizes_m: OuterSizes, turn: Turn, clearance_m: float) -> PassageCheck:
    a, b = turn.from_width_m - clearance_m, turn.to_width_m - clearance_m
    height = turn.height_m - clearance_m
    if min(a, b, height) <= 0.0:
        return _checked(place_name(turn), False, message("clearance-takes-all"))
    for upright, short, long in permutations(sorted(sizes_m)):
        if short > long or upright > height:
            continue
        straight = (short <= a and long <= b) or (long <= a and short <= b)
        if straight or long <= longest_through_turn(a, b, short):
            how = "passes-on-end" if upright == max(sizes_m) else "passes-level"
            return _checked(place_name(turn), True, message(how))
    return _checked(place_name(turn), False, message("turn-too-tight"))


def _check_stairs(sizes_m: OuterSizes, stairs: Stairs, clearance_m: float) -> PassageCheck:
    require_within("pitch-of-the-stairs", stairs.pitch_deg, 0.0, 60.0, "°")
    # carried along the slope, so the available height is the headroom square to the slope
    width = stairs.width_m - clearance_m
    height = stairs.headroom_m * cos(radians(stairs.pitch_deg)) - clearance_m
    thin, wide, _ = sorted(sizes_m)
    if (thin <= width and wide <= height) or (wide <= width and thin <= height):
        return _checked(place_name(stairs), True, message("passes-stairs"))
    return _checked(place_name(stairs), False, message("stairs-too-narrow"))


def _check_car(sizes_m: OuterSizes, car: Elevator, clearance_m: float) -> PassageCheck:
    width, depth, height = (size - clearance_m for size in (car.width_m, car.depth_m, car.height_m))
    if min(width, depth, height) <= 0.0:
        return _checked(place_name(car), False, message("clearance-takes-all"))
    thin, wide, long = sorted(sizes_m)
    for upright, first, second in permutations((thin, wide, long)):
        if upright <= height and rectangle_fits(first, second, width, depth):
            return _checked(place_name(car), True, message("passes-on-end" if upright == long else "passes-level"))
    # leaning, in the vertical plane across the car
    across = _longest_inside(thin, width, depth)
    if across > 0.0 and rectangle_fits(long, wide, across, height):
        return _checked(place_name(car), True, message("passes-leant"))
    return _checked(place_name(car), False, message("elevator-too-small"))


def _longest_inside(thickness_m: float, width_m: float, depth_m: float) -> float:
    """Longest plate of a given thickness that stands upright within a rectangular plan, m."""
    if thickness_m > min(width_m, depth_m):
        return 0.0
    low, high = max(width_m, depth_m), sqrt(width_m**2 + depth_m**2)
    for _ in range(60):
        middle = (low + high) / 2.0
        if rectangle_fits(middle, thickness_m, width_m, depth_m):
            low = middle
        else:
            high = middle
    return low


# --------------------------------------------------------------------------- seams


def seam_places(
    length_m: float,
    longest_part_m: float,
    cutouts_m: Iterable[tuple[float, float]],
    margin_m: float,
) -> tuple[float, ...]:
    """Positions of the fewest seams that leave no part too long and cross no cut-out, m from the left end.

    length_m         length of the piece, m
    longest_part_m   longest part that gets in or that the crew can carry, m
    cutouts_m        (from, to) of each cut-out along the length, m
    margin_m         least distance between a seam and a cut-out, m

    Within these limits the parts are as equal as possible. Seams are suggestions: color match, support and looks are
    for the client to confirm. Raises FaultError if no such seam exists.

    >>> seam_places(3.0, 2.0, [(1.25, 1.75)], margin_m=0.25)
    (1.0,)
    """
    require_positive("length", length_m, "m")
    require_positive("longest-part", longest_part_m, "m")
    require_not_negative("margin", margin_m, "m")
    barred = _merged([(start - margin_m, end + margin_m) for start, end in cutouts_m])
    reach = [0.0]  # rightmost possible position of each seam
    while reach[-1] + longest_part_m < length_m - _SLACK_M:
        place = _at_or_before(reach[-1] + longest_part_m, barred)
        if place <= reach[-1] + _SLACK_M:
            raise FaultError("", message("seam-no-place", longest_m=longest_part_m))
        reach.append(place)
    count = len(reach) - 1
    least = [length_m] * (count + 1)  # leftmost position of each seam that still leaves a solution for the rest
    for number in range(count - 1, -1, -1):
        least[number] = _at_or_after(least[number + 1] - longest_part_m, barred)
    seams: list[float] = []
    for number in range(count):
        farthest = min(reach[number + 1], (seams[-1] if seams else 0.0) + longest_part_m)
        even = length_m * (number + 1) / (count + 1)
        wish = min(max(even, least[number]), farthest)
        options = (_at_or_before(wish, barred), _at_or_after(wish, barred))
        allowed = [x for x in options if least[number] - 2 * _SLACK_M <= x <= farthest + 2 * _SLACK_M]
        seams.append(min(allowed, key=lambda x: abs(x - even)))
    return tuple(seams)


def _merged(spans: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    merged: list[tuple[float, float]] = []
    for start, end in sorted(spans):
        if merged and start <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(merged[-1][1], end))
        else:
            merged.append((start, end))
    return merged


def _at_or_before(place: float, barred: Sequence[tuple[float, float]]) -> float:
    return next((start for start, end in barred if start + _SLACK_M < place < end - _SLACK_M), place)


def _at_or_after(place: float, barred: Sequence[tuple[float, float]]) -> float:
    return next((end for start, end in barred if start + _SLACK_M < place < end - _SLACK_M), place)


SEARCH_STEPS = 40  # halvings of the length of a part


@frozen
class Access:
    """Checks of a piece at every place of its access, and of the elevator's rating.

    assumed         whether the access was not measured and a door of the shop's default size is assumed
    longest_part_m  longest part of the same cross-section that gets in; None if the whole piece does
    seams_m         suggested seams along the piece from its start; empty if none is needed or possible
    seam_note       why a seam is or is not suggested; None if none is needed
    """

    checks: tuple[PassageCheck, ...]
    lift: RatingCheck | None
    assumed: bool
    longest_part_m: float | None
    seams_m: tuple[float, ...]
    seam_note: Message | None

    @property
    def doubts(self) -> tuple[Doubt, ...]:
        """Places that the piece does not pass, and an elevator without a sufficient rating."""
        tight = tuple(
            Doubt("access", message("about", subject=check.place, text=check.remark))
            for check in self.checks
            if not check.passes
        )
        return tight if self.lift is None else (*tight, *self.lift.doubts)


@lru_cache(maxsize=16)
def _usual_door(width_m: float, height_m: float) -> Opening:
    return Opening(width_m, height_m, ASSUMED)


@lru_cache(maxsize=256)  # the same for most pieces of a job
def _open_access(checks: tuple[PassageCheck, ...], *, assumed: bool) -> Access:
    """Access of a piece that passes everywhere in one part, without an elevator."""
    return Access(checks, None, assumed, None, (), None)


def access_of(
    sizes_m: tuple[float, float, float],
    weight_high_kg: float,
    flat: FlatPiece | None,
    site: Site | None,
    settings: HandlingSettings,
) -> Access:
    """Check a piece by its outer sizes and its HIGH-side weight; suggest seams, never through a cut-out.

    The weight of a part is proportional to its length. The crew that rides in the elevator is not counted.
    """
    places = (_usual_door(settings.door_m, settings.door_height_m),) if site is None else site.places
    checks = tuple(check_passage(sizes_m, place, CLEARANCE_M) for place in places)
    rating = None
    car = next((place for place in places if isinstance(place, Elevator)), None)
    if car is not None:
        rating = check_rating("elevator", weight_high_kg, car.rating_kg)
    too_heavy = rating is not None and rating.rating_kg is not None and not rating.shown_safe
    if not too_heavy and all(check.passes for check in checks):
        if rating is None:
            return _open_access(checks, assumed=site is None)
        return Access(checks, rating, site is None, None, (), None)
    longest_m = _longest_part(sizes_m, places)
    if too_heavy and car is not None and car.rating_kg is not None:
        longest_m = min(longest_m, max(sizes_m) * car.rating_kg / weight_high_kg)
    seams, note = _seams(max(sizes_m), longest_m, flat, settings.strip_least_m)
    return Access(checks, rating, site is None, longest_m, seams, note)


def _longest_part(sizes_m: tuple[float, float, float], places: Sequence[Passage]) -> float:
    """Longest part of the same cross-section that passes everywhere, m; 0 if none does."""
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


def _seams(
    length_m: float, longest_m: float, flat: FlatPiece | None, margin_m: float
) -> tuple[tuple[float, ...], Message]:
    if flat is None:
        return (), message("seam-no-shape")
    if longest_m <= 2.0 * margin_m:
        return (), message("seam-no-help")
    try:
        seams = seam_places(length_m, longest_m, flat.cutout_spans_m, margin_m)
    except FaultError as error:
        return (), error.message
    return seams, message("seam-offered")
