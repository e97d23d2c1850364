"""Lifts of a piece by hand: grip, crew, and the share of one person against published guidelines."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cache, lru_cache
from math import radians, tan
from typing import Literal

from estimator.constants import HOUR_S, require_not_negative, require_within
from estimator.errors import FaultError
from estimator.handling.niosh import (
    RAISED_RISK_INDEX,
    HandsAt,
    RecommendedWeight,
    assess_lift,
    lifting_index,
    reach_when_unknown,
)
from estimator.handling.people import (
    ISO_REFERENCE_KG,
    LIFTERS,
    MAX_CREW,
    TEAM_FACTORS,
    Crew,
    Grip,
    Lifter,
    crew_for,
    even_team_capacity,
    guideline_weight,
    iso_pair_capacity,
    room_for_hands,
)
from estimator.site import Site, Stairs
from estimator.takeoff import PieceTakeoff
from estimator.weight import Weight
from estimator.workings import Working, figure
from estimator.workshop import MOST_ON_BARS, HandlingSettings
from geometry.frozen import frozen
from geometry.message import Message, message
from geometry.solid import Solid

LiftName = Literal["strip", "carry", "stairs", "turn"]
COUPLING = "poor"  # a bare edge, dusty or wet
CLOSE_REACH_M = 0.45  # hands nearer than this count as close to the body in the guideline weights; choice
STAIR_CARRIERS = 2  # on stairs at most two carry, and a third guides
ABOVE_GUIDELINE = message("above-guideline")
REHEARSED = message("outside-guidance")


@frozen(eq=False)
class HandTask:
    """Hand positions of one person at a lift, and the published guideline weights for them, for any load.

    Shared by lifts with the same hand positions.

    hands_m                hand heights at the start and end of the lift
    reach_m, rwl_kg        H and recommended weight of the lifting equation
    origin, destination    factors of the lifting equation at either end
    men_kg, women_kg       guideline weights for one person
    """

    hands_m: tuple[float, float]
    reach_m: float
    lifts_per_min: float
    duration_h: float
    origin: RecommendedWeight
    destination: RecommendedWeight
    rwl_kg: float
    men_kg: float
    women_kg: float

    @property
    def guideline_kg(self) -> dict[Lifter, float]:
        return {"men": self.men_kg, "women": self.women_kg}


@frozen
class HandLift:
    """One lift by hand. Published guidelines are filters, not limits.

    name         strip (out of the form), carry (on the level), stairs, or turn (flip in the form, boards on)
    weight_kg    high side
    """

    name: LiftName
    weight_kg: float
    grip: Grip
    crew: Crew
    task: HandTask

    @property
    def people(self) -> int | None:
        """People needed at the same time: those who carry, and on stairs a guide for two carriers."""
        persons = self.crew.persons
        return STAIR_CARRIERS + 1 if self.name == "stairs" and persons == STAIR_CARRIERS else persons

    @property
    def lifting_index(self) -> float | None:
        """Largest share of one person over the recommended weight of the lifting equation."""
        return None if self.crew.persons is None else lifting_index(self.crew.share_kg, self.task.rwl_kg)

    @property
    def team_kg(self) -> float | None:
        """Weight that the team guideline allows for this crew; None if none is published."""
        return even_team_capacity(self.crew.persons, self.task.women_kg)

    @property
    def iso_pair_kg(self) -> float | None:
        """Weight that ISO 11228-1 allows for two people, for information only."""
        women_kg = self.task.women_kg
        if self.crew.persons != 2 or women_kg <= 0.0:
            return None
        return iso_pair_capacity(min(women_kg, ISO_REFERENCE_KG))

    @property
    def guideline_share(self) -> float | None:
        """Weight over the published team guideline for this crew; None if none is published."""
        team_kg = self.team_kg
        return None if team_kg is None else self.weight_kg / team_kg

    @property
    def above_guideline(self) -> bool:
        """Whether any guideline is exceeded, or none is published for this team size."""
        share_kg, team_kg = self.crew.share_kg, self.team_kg
        if team_kg is None:  # no guideline is published for four people or more
            return self.crew.persons is not None
        within = self.weight_kg <= team_kg and share_kg <= self.task.women_kg
        return not within or lifting_index(share_kg, self.task.rwl_kg) > RAISED_RISK_INDEX

    @property
    def remark(self) -> Message | None:
        """Remark for the crew, or None."""
        if self.crew.reason is not None:
            return message("by-machine", reason=self.crew.reason)
        if self.crew.rehearsed:
            return REHEARSED
        return ABOVE_GUIDELINE if self.above_guideline else None


def grip_of(size_m: Sequence[float], center_m: Sequence[float], *, on_edge: bool) -> Grip:
    """Grip of a piece from its outer size and its center of gravity in that box, both (x, y, z), m.

    It is carried along its longest side. Pairs hold both edges across, so the side nearer the center of gravity carries
    more: across the wider dimension of a piece on edge or on end, across the horizontal one of an upright piece.
    """
    along = size_m.index(max(size_m))
    first, second = ((1, 2), (0, 2), (0, 1))[along]
    thin, across = (first, second) if size_m[first] <= size_m[second] else (second, first)
    if not on_edge and across == 2:
        thin, across = across, thin
    part = center_m[across] / size_m[across]
    require_within("center-of-gravity-across-the-piece", part, 0.0, 1.0)
    return Grip(
        length_m=size_m[along],
        center_m=center_m[along],
        heavier_side=0.5 if on_edge else max(part, 1.0 - part),
        edge_m=2.0 * (size_m[along] + size_m[across]),
        depth_m=size_m[thin] if on_edge else size_m[across],
    )


def on_slope(grip: Grip, center_above_hands_m: float, pitch_deg: float) -> Grip:
    """Grip on stairs, where the center of gravity, above the hands, shifts toward the lower end.

    center_above_hands_m   height of the center of gravity above the hands, square to the carried length, m
    pitch_deg              pitch of the stairs from the horizontal

    Either end may be the lower one, so the heavier end is assumed to be. Source: statics of a body tilted by the pitch:
    the center moves by height · tan(pitch) along the carried length.
    """
    require_not_negative("height-of-the-center-of-gravity-over-the-hands", center_above_hands_m, "m")
    require_within("pitch", pitch_deg, 0.0, 60.0, "°")
    lean_m = center_above_hands_m * tan(radians(pitch_deg))
    from_end_m = min(grip.center_m, grip.length_m - grip.center_m)
    return replace(grip, center_m=max(0.0, from_end_m - lean_m))


def lifts_of_all(
    takeoffs: Sequence[PieceTakeoff],
    weights: Sequence[Weight],
    on_edge: Sequence[bool],
    site: Site | None,
    settings: HandlingSettings,
) -> list[tuple[HandLift, ...] | FaultError]:
    """Lifts of every piece by hand, in order; a FaultError for a piece that cannot be carried.

    on_edge   whether each piece is carried on edge

    The lifts are strip, carry, stairs if the site has them, and turn (flip in the form). The reach of a single carrier
    follows from the depth of the piece; members of a crew have the shop's default reach.
    """
    most = cache(lambda name: crew_most(name, settings))
    pitches = [place.pitch_deg for place in site.places if isinstance(place, Stairs)] if site else []
    steepest_deg = max(pitches, default=None)
    lifts: list[tuple[HandLift, ...] | FaultError] = []
    for taken, weight, edged in zip(takeoffs, weights, on_edge, strict=True):
        try:
            planned = _planned(taken.solid, weight, steepest_deg, settings, on_edge=edged)
            lifts.append(tuple([_lift(*lift, most(lift[0]), settings) for lift in planned]))
        except FaultError as error:
            lifts.append(error)
    return lifts


_Planned = tuple[LiftName, float, Grip, float]  # lift, HIGH-side weight, grip, and limit per person


def _planned(
    solid: Solid, weight: Weight, steepest_deg: float | None, settings: HandlingSettings, *, on_edge: bool
) -> list[_Planned]:
    """Lifts that a piece needs, in order."""
    x, y, z = weight.center_of_gravity_m
    low_x, low_y, low_z = solid.lowest_m
    center_m = x - low_x, y - low_y, z - low_z
    turned = grip_of(solid.size_m, center_m, on_edge=False)
    carried = grip_of(solid.size_m, center_m, on_edge=True) if on_edge else turned
    level_kg = settings.limit_level_kg
    out: _Planned = "strip", weight.demould.high_kg, turned, level_kg
    flipped: _Planned = "turn", weight.turn_kg, turned, level_kg
    carry: _Planned = "carry", weight.lift_kg, carried, level_kg
    if steepest_deg is None:
        return [out, carry, flipped]
    # hands under the lower edge: on edge, the center is half the height of the piece above them
    over_m = sorted(solid.size_m)[1 if on_edge else 0] / 2.0
    leaning = on_slope(carried, over_m, steepest_deg)
    return [out, carry, ("stairs", weight.lift_kg, leaning, settings.limit_stairs_kg), flipped]


def _lift(
    name: LiftName,
    weight_kg: float,
    grip: Grip,
    limit_kg: float,
    most: int,
    settings: HandlingSettings,
) -> HandLift:
    """Smallest crew for a lift, and the task of one of its members."""
    room = room_for_hands(grip.edge_m, settings.grip_spacing_m)
    crew = crew_for(weight_kg, grip, limit_kg, room, most, settings.uneven_share)
    reach_m = settings.hands_reach_m
    if crew.persons == 1:
        lowest_m = min(settings.hands_start_m, settings.hands_end_m)
        reach_m = max(reach_when_unknown(grip.depth_m, lowest_m), 0.0)
    task = hand_task(
        reach_m, (settings.hands_start_m, settings.hands_end_m), settings.lifts_per_minute, settings.lifting_time_s
    )
    return HandLift(name, weight_kg, grip, crew, task)


@lru_cache(maxsize=1024)  # the same for most lifts of a shop
def hand_task(reach_m: float, hands_m: tuple[float, float], lifts_per_min: float, time_s: float) -> HandTask:
    """Task of one person at a lift between two hand heights, at a given frequency and duration.

    The lifting equation is applied with poor coupling (a bare, dusty or wet edge) and controlled placing.
    """
    from_m, to_m = hands_m
    duration_h = time_s / HOUR_S
    origin, destination = HandsAt(reach_m, from_m), HandsAt(reach_m, to_m)
    niosh = assess_lift(0.0, origin, destination, lifts_per_min, duration_h, COUPLING)
    reach = "close" if reach_m <= CLOSE_REACH_M else "arm's length"
    men_kg, women_kg = (
        guideline_weight(from_m, to_m, reach, lifter, lifts_per_min=lifts_per_min, twist_deg=0.0) for lifter in LIFTERS
    )
    return HandTask(
        hands_m=hands_m,
        reach_m=reach_m,
        lifts_per_min=lifts_per_min,
        duration_h=duration_h,
        origin=niosh.origin,
        destination=niosh.destination,
        rwl_kg=niosh.rwl_kg,
        men_kg=men_kg,
        women_kg=women_kg,
    )


def crew_most(name: LiftName, settings: HandlingSettings) -> int:
    """Largest crew: the shop's limit, but at most two on stairs, and more than four only on the level.

    Source: common practice; no guideline is published for more than four people, or for three on stairs.
    """
    most = {"carry": MOST_ON_BARS, "stairs": STAIR_CARRIERS}.get(name, MAX_CREW)
    return max(1, min(most, int(settings.crew_most)))


NIOSH = message("source-niosh")
TEAM = message("source-team")


def lift_workings(at: str, lift: HandLift) -> Iterator[Working]:
    """Yield the workings of a crew's largest share and of the published guidelines for it; `at` is its path."""
    persons = lift.crew.persons
    if persons is None:
        return
    task = lift.task
    yield _share(f"{at}.share_kg", lift)
    from_m, to_m = task.hands_m
    hands = message(
        "source-niosh-hands",
        from_m=from_m,
        to_m=to_m,
        reach_m=task.reach_m,
        lifts=f"{task.lifts_per_min:g}",
        hours=f"{task.duration_h:g}",
    )
    for end, recommended in (("origin", task.origin), ("destination", task.destination)):
        values = recommended.values
        yield figure(f"{at}.niosh.{end}.rwl_kg", "lc · hm · vm · dm · am · fm · cm", values, "kg", hands)
    if task.rwl_kg > 0.0:
        values = {"share_kg": lift.crew.share_kg, "rwl_kg": task.rwl_kg}
        yield figure(f"{at}.niosh.lifting_index", "share_kg / rwl_kg", values, "", NIOSH)
    if persons in TEAM_FACTORS:
        values = {
            "factor": TEAM_FACTORS[persons],
            "persons": float(persons),
            "guideline_kg": task.women_kg,
        }
        yield figure(f"{at}.team_kg", "factor · persons · guideline_kg", values, "kg", TEAM)


def _share(path: str, lift: HandLift) -> Working:
    """Working of a crew's largest share: by the levers of two holds, or equal times a factor for pairs on bars."""
    crew = lift.crew
    hold = max(crew.holds, key=lambda hold: hold.share_kg)
    side = lift.grip.heavier_side if hold.persons == 2 else 1.0
    formula, values = "weight_kg", {"weight_kg": lift.weight_kg}
    if crew.rehearsed:
        pairs = float(len(crew.holds))
        uneven = hold.share_kg * pairs / (lift.weight_kg * side)
        formula, values = "uneven · weight_kg / pairs · side", values | {"uneven": uneven, "pairs": pairs, "side": side}
    elif crew.persons != 1:
        far = next(place for place in crew.holds if place is not hold)
        formula = "weight_kg · other_hold_m / (hold_m + other_hold_m) · side"
        values |= {
            "hold_m": abs(hold.position_m - lift.grip.center_m),
            "other_hold_m": abs(far.position_m - lift.grip.center_m),
            "side": side,
        }
    return figure(path, formula, values, "kg", message("source-share", low_limit_kg=crew.limit_kg))
