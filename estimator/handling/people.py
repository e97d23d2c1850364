"""Crew sizes: shares of people about the center of gravity, and published guidelines for teams."""

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

MAX_CREW = 4  # by hand; above it a machine, or a rehearsed carry on straps or bars
TEAMS = (*range(1, MAX_CREW + 1), *range(MAX_CREW + 2, MOST_ON_BARS + 1, 2))  # pairs on bars
NO_ROOM = message("no-room-for-hands")
OVER_LIMIT = message("over-person-limit")

BALANCED = 1e-9  # relative offset below which a piece is balanced, and its start counts as the heavier end

# HSE L23: a team lifts less than the sum of its members. No factor for four is published, so none is assumed.
TEAM_FACTORS: dict[int, float] = {1: 1.0, 2: 2.0 / 3.0, 3: 0.5}
ISO_REFERENCE_KG = 23.0  # ISO 11228-1 reference mass (from memory)
ISO_PAIR_FACTOR = 0.85  # of each of two people (ISO 11228-1, from memory)


@frozen
class Grip:
    """Dimensions of a piece that matter for carrying.

    length_m       carried length, m
    center_m       position of the center of gravity along the carried length from its start, m
    heavier_side   share of a pair's load on the heavier side across the length, 0.5 to 1
    edge_m         length of edge that can be held, m
    depth_m        depth toward the body of a single carrier, m
    """

    length_m: float
    center_m: float
    heavier_side: float
    edge_m: float
    depth_m: float


@frozen
class Hold:
    """People at one position along the carried length, and the largest share of one of them."""

    position_m: float  # measured from the same end as the center of gravity
    persons: int
    share_kg: float


@frozen
class Crew:
    """Smallest team whose largest share is within the limit; `persons` is None if a machine is needed."""

    persons: int | None
    share_kg: float  # largest share of one person; of the largest possible team if persons is None
    limit_kg: float  # per person
    holds: tuple[Hold, ...]
    reason: Message | None  # why a machine is needed; None if a crew is enough

    @property
    def by_machine(self) -> bool:
        return self.persons is None

    @property
    def rehearsed(self) -> bool:
        """Whether it is more than four people, on straps or bars, on the level, outside published guidance."""
        return self.persons is not None and self.persons > MAX_CREW


def room_for_hands(grip_edge_m: float, grip_spacing_m: float) -> int:
    """Number of people who have room along the edges that can be held.

    grip_edge_m      total length of edge that can be held, m
    grip_spacing_m   length of edge that one person needs, m

    There is always room for one person, since a small piece is held from both sides.

    >>> room_for_hands(2 * (0.4 + 0.4), 0.6)
    2
    """
    require_not_negative("edge-that-can-be-held", grip_edge_m, "m")
    require_positive("grip-spacing", grip_spacing_m, "m")
    return max(1, floor(grip_edge_m / grip_spacing_m + 1e-9))


def holds_of_team(persons: int, weight_kg: float, grip: Grip, uneven: float) -> tuple[Hold, ...]:
    """Positions and shares of the members of a team, by statics of the carried length.

    weight_kg   weight of the piece, high side, kg
    uneven      largest share in a crew of more than four, over an equal share

    Two people, and the pairs of a crew of four, hold at the ends. In a crew of three, a pair takes the heavier end and
    moves in toward the center of gravity until each person carries a third, if possible. More than four carry in pairs
    on straps or bars, evenly spaced about the center of gravity. That is statically indeterminate, so each person gets
    an equal share times `uneven`.
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
    """Position, people and largest share of each hold of a team in TEAMS, for a valid weight and grip."""
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
    """Smallest team in which nobody carries more than the limit, or a crew with `persons` None for a machine.

    weight_high_kg   HIGH-side weight at this stage, kg
    limit_kg         the shop's limit per person, on the level or on stairs
    room             number of people who have room, from `room_for_hands`
    most             largest crew; more than four go in pairs on straps or bars
    uneven           largest share in a crew of more than four, over an equal share

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
            continue  # an equal share is too much already
        places = _places(persons, weight_high_kg, grip, uneven)
        share_kg = max([share for _, _, share in places])
        if share_kg <= within_kg:
            return Crew(persons, share_kg, limit_kg, tuple([Hold(*place) for place in places]), None)
    share_kg = max([share for _, _, share in _places(planned, weight_high_kg, grip, uneven)])
    return Crew(None, share_kg, limit_kg, (), NO_ROOM if room < most else OVER_LIMIT)


def greatest_share_kg(
    persons: int, weight_kg: Floats, length_m: Floats, center_m: Floats, heavier_side: Floats | float
) -> Floats:
    """Largest share of one team member for each of many pieces, kg, as in `holds_of_team`.

    persons       1 to 4
    center_m      position of the center of gravity along the carried length from its start, m
    heavier_side  share of a pair's load on the heavier side across the length
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
    """Length of edge of a flat piece that can be held, m."""
    return 2.0 * (length_m + across_m)


def team_capacity(individual_kg: Sequence[float]) -> float:
    """Team capacity of one, two or three people, kg: all, 2/3 or 1/2 of the sum of their capacities.

    Raises FaultError for four, since no factor is published.
    Source: HSE L23. ISO 11228-1 allows a pair more (0.85 of each); the smaller is used, see `iso_pair_capacity`.

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
    """Team capacity of people with equal capacities, kg; None if no factor is published."""
    return None if persons not in TEAM_FACTORS else team_capacity([individual_kg] * persons)


def iso_pair_capacity(individual_kg: float) -> float:
    """Capacity of two people by ISO 11228-1, kg, for information; the team rule governs if it gives less."""
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


# Bottom and top of each zone, m above the floor, for an assumed standing adult.
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
    """Guideline weight for one person whose hands move between two heights, kg: the least of all zones passed.

    from_m, to_m    hand heights, m
    reach           close (to the body) or arm's length
    lifter          men or women
    lifts_per_min   frequency, see `frequency_reduction`
    twist_deg       twist of the trunk, see `twist_reduction`

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
    """Reduction of the guideline weight, as a fraction: 0.3 at 1 to 2 lifts a minute, 0.5 at 5 to 8, 0.8 above 12.

    Between the printed steps the stricter one is used. The unreduced weights apply up to about 30 lifts an hour (from
    memory). Source: HSE INDG143.
    """
    require_not_negative("lifts-per-minute", lifts_per_min)
    for up_to, reduction in ((0.5, 0.0), (2.0, 0.3), (8.0, 0.5)):
        if lifts_per_min <= up_to:
            return reduction
    return 0.8


def twist_reduction(twist_deg: float) -> float:
    """Reduction of the guideline weight, as a fraction: 0.1 from 45° of twist, 0.2 from 90°. Source: HSE INDG143."""

    require_within("twist", twist_deg, 0.0, 180.0, "°")
    if twist_deg >= 90.0:
        return 0.2
    return 0.1 if twist_deg >= 45.0 else 0.0
