"""How many people move a piece: shares about its center of gravity, and the published guideline for a team."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from math import floor, inf
from typing import Literal

import numpy as np

from estimator.constants import require_not_negative, require_one_of, require_positive, require_within
from estimator.errors import FaultError
from estimator.workshop import MOST_ON_BARS
from geometry.arrays import Floats
from geometry.frozen import frozen
from geometry.message import Message, message

MAX_CREW = 4  # in hands; beyond it a machine, or a rehearsed carry on straps or bars
TEAMS = (*range(1, MAX_CREW + 1), *range(MAX_CREW + 2, MOST_ON_BARS + 1, 2))  # on bars they go in pairs
NO_ROOM = message("no-room-for-hands")
OVER_LIMIT = message("over-person-limit")

BALANCED = 1e-9  # off the middle by less, a piece balances there, and its start counts as the heavier end

# HSE L23: a team lifts less than the sum of what its members lift. No factor for four is published: none is invented.
TEAM_FACTORS: dict[int, float] = {1: 1.0, 2: 2.0 / 3.0, 3: 0.5}
ISO_REFERENCE_KG = 23.0  # ISO 11228-1 reference mass (from memory)
ISO_PAIR_FACTOR = 0.85  # of each of two people (ISO 11228-1, from memory)


@frozen
class Grip:
    """How the piece meets the hands: its carried length, where it balances on it, and what it leaves for hands.

    center_m       of gravity along the carried length from its start, m
    heavier_side   part of a pair's load on that side across the length which is heavier, 0.5 to 1
    edge_m         edge that can be held, m
    depth_m        toward the body of one who carries it alone, m
    """

    length_m: float
    center_m: float
    heavier_side: float
    edge_m: float
    depth_m: float


@frozen
class Hold:
    """Where on the carried length how many people hold, and what the one of them with most carries."""

    position_m: float  # from the end that the center of gravity is measured from
    persons: int
    share_kg: float


@frozen
class Crew:
    """The smallest team whose greatest share is within the limit; `persons` None means by machine only."""

    persons: int | None
    share_kg: float  # greatest share of one person; of four, or of all that find room, where persons is None
    limit_kg: float  # per person
    holds: tuple[Hold, ...]
    reason: Message | None  # why a machine; None where a crew does

    @property
    def by_machine(self) -> bool:
        return self.persons is None

    @property
    def rehearsed(self) -> bool:
        """More than four: on the level, on straps or bars, outside the published guidance."""
        return self.persons is not None and self.persons > MAX_CREW


def room_for_hands(grip_edge_m: float, grip_spacing_m: float) -> int:
    """How many people find room along the edges that can be held.

    grip_edge_m      total length of edge that hands can take, m
    grip_spacing_m   edge that one person needs, m

    One person always finds room: a small piece is held from both sides.

    >>> room_for_hands(2 * (0.4 + 0.4), 0.6)
    2
    """
    require_not_negative("edge-that-can-be-held", grip_edge_m, "m")
    require_positive("grip-spacing", grip_spacing_m, "m")
    return max(1, floor(grip_edge_m / grip_spacing_m + 1e-9))


def holds_of_team(persons: int, weight_kg: float, grip: Grip, uneven: float) -> tuple[Hold, ...]:
    """Where each person of a team holds, by statics of the carried length, and what each carries.

    weight_kg   of the piece, high side, kg
    uneven      heaviest share of a crew of more than four, over an even share

    Two people, and the pairs of four, hold at the ends. Of three, a pair takes the heavier end and steps in from it
    toward the center of gravity until each carries a third, where the piece allows it. More than four carry in pairs
    on straps or bars, evenly spaced around the center of gravity; statics does not say how they share, so that each is
    given an even part times `uneven`.
    """
    _check(weight_kg, grip)
    if persons not in TEAMS:
        raise FaultError("", message("team-not-planned", people=persons, most=MOST_ON_BARS))
    return tuple([Hold(*place) for place in _places(persons, weight_kg, grip, uneven)])


def _check(weight_kg: float, grip: Grip) -> None:
    require_positive("weight", weight_kg, "kg")
    require_positive("carried-length", grip.length_m, "m")
    require_within("center-of-gravity-along-the-carried-length", grip.center_m, 0.0, grip.length_m, "m")
    require_within("share-of-the-heavier-side", grip.heavier_side, 0.5, 1.0)


def _places(persons: int, weight_kg: float, grip: Grip, uneven: float) -> Sequence[tuple[float, int, float]]:
    """Position, people and greatest share of each hold of a team of TEAMS, whose weight and grip are sound."""
    length_m, center_m, heavier_side = grip.length_m, grip.center_m, grip.heavier_side
    if persons == 1:
        return ((center_m, 1, weight_kg),)
    if persons > MAX_CREW:
        pairs, reach_m = persons // 2, min(center_m, length_m - center_m)
        share_kg = uneven * weight_kg / pairs * heavier_side
        return [(center_m + reach_m * (2.0 * number / (pairs - 1) - 1.0), 2, share_kg) for number in range(pairs)]
    center_is_near_start = center_m <= length_m / 2.0 * (1.0 + BALANCED)
    heavy_end_m, light_end_m = (0.0, length_m) if center_is_near_start else (length_m, 0.0)
    far_m = abs(light_end_m - center_m)
    near_m = length_m - far_m
    if persons == 3:
        near_m = min(near_m, far_m / 2.0)
        heavy_end_m = center_m - near_m if center_is_near_start else center_m + near_m
    on_heavy_kg = weight_kg * far_m / (near_m + far_m)
    on_light_kg = weight_kg - on_heavy_kg
    if persons == 2:
        return (heavy_end_m, 1, on_heavy_kg), (light_end_m, 1, on_light_kg)
    light_side = heavier_side if persons == 4 else 1.0
    return (heavy_end_m, 2, on_heavy_kg * heavier_side), (light_end_m, persons - 2, on_light_kg * light_side)


def crew_for(weight_high_kg: float, grip: Grip, limit_kg: float, room: int, most: int, uneven: float) -> Crew:
    """The smallest team in which nobody carries more than the limit; else by machine only.

    weight_high_kg   HIGH-side weight at the stage in question, kg
    limit_kg         the workshop's own limit per person: on the level, or on stairs
    room             how many people find room, as room_for_hands gives it
    most             how many may carry; more than four go in pairs on straps or bars
    uneven           heaviest share of a crew of more than four, over an even share

    >>> middle, end = Grip(2.0, 1.0, 0.5, 5.0, 0.6), Grip(2.0, 0.4, 0.5, 5.0, 0.6)
    >>> crew_for(40.0, middle, 22.7, room=8, most=4, uneven=1.25).persons
    2
    >>> crew_for(40.0, end, 22.7, room=8, most=4, uneven=1.25).persons      # the heavier end counts
    3
    """
    require_positive("limit-per-person", limit_kg, "kg")
    if room < 1:
        raise FaultError("", message("no-room-for-one", people=room))
    _check(weight_high_kg, grip)
    largest = min(room, most)
    within_kg = limit_kg * (1.0 + 1e-9)
    planned = 1
    for persons in TEAMS:
        if persons > largest:
            break
        planned = persons
        if persons <= MAX_CREW and weight_high_kg > 1.000001 * persons * within_kg:
            continue  # even an even share is too much
        places = _places(persons, weight_high_kg, grip, uneven)
        share_kg = max([share for _, _, share in places])
        if share_kg <= within_kg:
            return Crew(persons, share_kg, limit_kg, tuple([Hold(*place) for place in places]), None)
    share_kg = max([share for _, _, share in _places(planned, weight_high_kg, grip, uneven)])
    return Crew(None, share_kg, limit_kg, (), NO_ROOM if room < most else OVER_LIMIT)


def greatest_share_kg(
    persons: int, weight_kg: Floats, length_m: Floats, center_m: Floats, heavier_side: Floats | float
) -> Floats:
    """What the one of a team with most carries of each of many pieces, kg: the shares of `holds_of_team`.

    persons       1 to 4
    center_m      of gravity along the carried length from its start, m
    heavier_side  part of a pair's load on the heavier side across the length
    """
    if persons == 1:
        return weight_kg
    far_m = np.maximum(center_m, length_m - center_m)
    near_m = length_m - far_m
    if persons == 3:
        near_m = np.minimum(near_m, far_m / 2.0)
    on_heavy_kg = weight_kg * far_m / (near_m + far_m)
    if persons == 2:
        return on_heavy_kg
    on_light_kg = (weight_kg - on_heavy_kg) * (heavier_side if persons == 4 else 1.0)
    return np.maximum(on_heavy_kg * heavier_side, on_light_kg)


def holding_edge_m(length_m: Floats, across_m: Floats) -> Floats:
    """Edge of a flat piece on which people find room for their hands, m."""
    return 2.0 * (length_m + across_m)


def team_capacity(individual_kg: Sequence[float]) -> float:
    """What one, two or three people lift together by the team rule, kg: all, 2/3 or 1/2 of the sum of theirs.

    Raises FaultError for four: no factor is published and none is invented.
    Source: HSE L23. The ISO 11228-1 pair (0.85 of each) is more permissive: the smaller is used, see iso_pair_capacity.

    >>> round(team_capacity([25.0, 25.0]), 1)
    33.3
    """
    for weight in individual_kg:
        require_not_negative("what-one-person-lifts", weight, "kg")
    factor = TEAM_FACTORS.get(len(individual_kg))
    if factor is None:
        raise FaultError("", message("no-team-factor", people=len(individual_kg)))
    return factor * sum(individual_kg)


@cache
def even_team_capacity(persons: int | None, individual_kg: float) -> float | None:
    """What a team of people who each lift the same lifts by the team rule, kg; None where no factor is published."""
    return None if persons not in TEAM_FACTORS else team_capacity([individual_kg] * persons)


def iso_pair_capacity(individual_kg: float) -> float:
    """Two people by ISO 11228-1, kg: a note beside the team rule, never used where that gives less."""
    require_positive("what-one-person-lifts", individual_kg, "kg")
    return 2.0 * ISO_PAIR_FACTOR * individual_kg


# --------------------------------------------------------------------------- guideline weights by height

HandZone = Literal["shoulder", "elbow", "knuckle", "mid-leg", "low"]
HandReach = Literal["close", "arm's length"]
Lifter = Literal["men", "women"]
LIFTERS: tuple[Lifter, ...] = ("men", "women")
REACHES: tuple[HandReach, ...] = ("close", "arm's length")

# kg by zone of the hands, (men, women). Source: HSE INDG143.
_GUIDELINE_KG: dict[HandReach, dict[HandZone, tuple[float, float]]] = {
    "close": {"shoulder": (10, 7), "elbow": (20, 13), "knuckle": (25, 16), "mid-leg": (20, 13), "low": (10, 7)},
    "arm's length": {"shoulder": (5, 3), "elbow": (10, 7), "knuckle": (15, 10), "mid-leg": (10, 7), "low": (5, 3)},
}


# Where each zone begins and ends, m above the floor: an assumed standing adult.
ZONES: tuple[tuple[HandZone, float, float], ...] = (
    ("low", 0.0, 0.30),
    ("mid-leg", 0.30, 0.75),
    ("knuckle", 0.75, 1.05),
    ("elbow", 1.05, 1.40),
    ("shoulder", 1.40, inf),
)


def guideline_weight(
    from_m: float, to_m: float, reach: str, lifter: str, *, lifts_per_min: float, twist_deg: float
) -> float:
    """The guideline weight of one person for hands that move between two heights, kg: the least of all zones passed.

    from_m, to_m    hand heights, m
    reach           close (to the body) or arm's length
    lifter          men or women
    lifts_per_min   reduces it, see frequency_reduction
    twist_deg       of the trunk, reduces it by a tenth from 45° and a fifth from 90°

    A filter, not a safe limit. Source: HSE INDG143; the zone heights are an assumption, printed in the working.

    >>> guideline_weight(0.8, 1.0, "close", "men", lifts_per_min=0.2, twist_deg=0.0)
    25.0
    """
    require_not_negative("hand-height", from_m, "m")
    require_not_negative("hand-height", to_m, "m")
    require_one_of("reach", reach, REACHES)
    require_one_of("lifter", lifter, LIFTERS)
    lowest, highest = sorted((from_m, to_m))
    row = _GUIDELINE_KG[REACHES[REACHES.index(reach)]]
    column = LIFTERS.index(lifter)
    passed = [row[zone][column] for zone, foot, head in ZONES if lowest <= head and highest >= foot]
    reduced = (1.0 - frequency_reduction(lifts_per_min)) * (1.0 - twist_reduction(twist_deg))
    return float(min(passed)) * reduced


def frequency_reduction(lifts_per_min: float) -> float:
    """Part by which the guideline weight falls: 0.3 at 1 to 2 a minute, 0.5 at 5 to 8, 0.8 above 12.

    Between the printed steps the stricter neighbor is taken; the unreduced weights hold up to about 30 lifts an
    hour (from memory). Source: HSE INDG143.
    """
    require_not_negative("lifts-per-minute", lifts_per_min)
    for up_to, reduction in ((0.5, 0.0), (2.0, 0.3), (8.0, 0.5)):
        if lifts_per_min <= up_to:
            return reduction
    return 0.8


def twist_reduction(twist_deg: float) -> float:
    """Part by which the guideline weight falls: 0.1 for a twist from 45°, 0.2 from 90°. Source: HSE INDG143."""
    require_within("twist", twist_deg, 0.0, 180.0, "°")
    if twist_deg >= 90.0:
        return 0.2
    return 0.1 if twist_deg >= 45.0 else 0.0
