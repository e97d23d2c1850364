"""How many people move a piece: shares about its center of gravity, the team guideline, and each lift by hand."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import floor, inf, radians, tan
from typing import Literal

from estimator.constants import HOUR_S, require_not_negative, require_one_of, require_positive, require_within
from estimator.errors import FaultError
from estimator.handling.niosh import HandsAt, LiftAssessment, assess_lift, reach_when_unknown
from estimator.workings import Working, figure
from estimator.workshop import MOST_ON_BARS, HandlingSettings

LiftName = Literal["strip", "carry", "stairs", "turn"]
COUPLING = "poor"  # a bare edge, dusty or wet
CLOSE_REACH_M = 0.45  # hands nearer than this count as close to the body in the guideline weights; choice
MAX_CREW = 4  # in hands; beyond it a machine, or a rehearsed carry on straps or bars
STAIR_CARRIERS = 2  # on stairs at most two carry, and a third guides
ABOVE_GUIDELINE = "above the guideline: assess this lift"
NO_ROOM = "no room for so many hands"
OVER_LIMIT = "over the limit per person with the largest crew"
REHEARSED = "outside published guidance: on the level only, on straps or bars, rehearsed"

# HSE L23: a team lifts less than the sum of what its members lift. No factor for four is published: none is invented.
TEAM_FACTORS: dict[int, float] = {1: 1.0, 2: 2.0 / 3.0, 3: 0.5}
ISO_REFERENCE_KG = 23.0  # ISO 11228-1 reference mass (from memory)
ISO_PAIR_FACTOR = 0.85  # of each of two people (ISO 11228-1, from memory)


@dataclass(frozen=True, slots=True)
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


@dataclass(frozen=True, slots=True)
class Hold:
    """Where on the carried length how many people hold, and what the one of them with most carries."""

    position_m: float  # from the end that the center of gravity is measured from
    persons: int
    share_kg: float


@dataclass(frozen=True, slots=True)
class Crew:
    """The smallest team whose greatest share is within the limit; `persons` None means by machine only."""

    persons: int | None
    share_kg: float  # greatest share of one person; of four, or of all that find room, where persons is None
    limit_kg: float  # per person
    holds: tuple[Hold, ...]
    reason: str  # why a machine; "" where a crew does

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
    require_not_negative("edge that can be held", grip_edge_m, "m")
    require_positive("grip spacing", grip_spacing_m, "m")
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
    length_m, center_m, heavier_side = grip.length_m, grip.center_m, grip.heavier_side
    require_positive("weight", weight_kg, "kg")
    require_positive("carried length", length_m, "m")
    require_within("centre of gravity along the carried length", center_m, 0.0, length_m, "m")
    require_within("share of the heavier side", heavier_side, 0.5, 1.0)
    if persons not in range(1, MAX_CREW + 1) and persons not in range(MAX_CREW + 2, MOST_ON_BARS + 1, 2):
        raise FaultError("", f"a team of {persons} is not planned: one to four people, or pairs up to {MOST_ON_BARS}")
    if persons == 1:
        return (Hold(center_m, 1, weight_kg),)
    if persons > MAX_CREW:
        pairs, reach_m = persons // 2, min(center_m, length_m - center_m)
        share_kg = uneven * weight_kg / pairs * heavier_side
        spots = [center_m + reach_m * (2.0 * number / (pairs - 1) - 1.0) for number in range(pairs)]
        return tuple(Hold(at_m, 2, share_kg) for at_m in spots)
    center_is_near_start = center_m <= length_m / 2.0
    heavy_end_m, light_end_m = (0.0, length_m) if center_is_near_start else (length_m, 0.0)
    far_m = abs(light_end_m - center_m)
    near_m = length_m - far_m
    if persons == 3:
        near_m = min(near_m, far_m / 2.0)
        heavy_end_m = center_m - near_m if center_is_near_start else center_m + near_m
    on_heavy_kg = weight_kg * far_m / (near_m + far_m)
    on_light_kg = weight_kg - on_heavy_kg
    at_heavy = 1 if persons == 2 else 2
    at_light = persons - at_heavy
    return (
        Hold(heavy_end_m, at_heavy, on_heavy_kg * (heavier_side if at_heavy == 2 else 1.0)),
        Hold(light_end_m, at_light, on_light_kg * (heavier_side if at_light == 2 else 1.0)),
    )


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
    require_positive("limit per person", limit_kg, "kg")
    if room < 1:
        raise FaultError("", f"room for {room} people: at least one must find room, else no hand lift is possible")
    largest = min(room, most)
    in_hands, on_bars = range(1, MAX_CREW + 1), range(MAX_CREW + 2, MOST_ON_BARS + 1, 2)
    for persons in (number for number in (*in_hands, *on_bars) if number <= largest):
        holds = holds_of_team(persons, weight_high_kg, grip, uneven)
        share_kg = max(hold.share_kg for hold in holds)
        if share_kg <= limit_kg * (1.0 + 1e-9):
            return Crew(persons, share_kg, limit_kg, holds, "")
    return Crew(None, share_kg, limit_kg, (), NO_ROOM if room < most else OVER_LIMIT)


def team_capacity(individual_kg: Sequence[float]) -> float:
    """What one, two or three people lift together by the team rule, kg: all, 2/3 or 1/2 of the sum of theirs.

    Raises FaultError for four: no factor is published and none is invented.
    Source: HSE L23. The ISO 11228-1 pair (0.85 of each) is more permissive: the smaller is used, see iso_pair_capacity.

    >>> round(team_capacity([25.0, 25.0]), 1)
    33.3
    """
    for weight in individual_kg:
        require_not_negative("what one person lifts", weight, "kg")
    factor = TEAM_FACTORS.get(len(individual_kg))
    if factor is None:
        raise FaultError(
            "", f"no team factor is published for {len(individual_kg)} people: use a machine, or have the lift assessed"
        )
    return factor * sum(individual_kg)


def iso_pair_capacity(individual_kg: float) -> float:
    """Two people by ISO 11228-1, kg: a note beside the team rule, never used where that gives less."""
    require_positive("what one person lifts", individual_kg, "kg")
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
    require_not_negative("hand height", from_m, "m")
    require_not_negative("hand height", to_m, "m")
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
    require_not_negative("lifts per minute", lifts_per_min)
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


@dataclass(frozen=True, slots=True)
class TeamFilter:
    """A crew's load beside the published filters. Where a filter is None none is published for this team."""

    guideline_kg: float  # of one person at this lift
    team_kg: float | None  # of the whole team
    iso_pair_kg: float | None  # note only, two people
    above_guideline: bool


def filter_team(crew: Crew, weight_high_kg: float, guideline_kg: float) -> TeamFilter:
    """The crew beside the filters: its greatest share against one person's guideline, the weight against the team's.

    guideline_kg   of one person for this lift, as guideline_weight gives it

    Four people and more are always above: there is no published filter that such a team could pass.
    """
    require_positive("weight", weight_high_kg, "kg")
    require_not_negative("guideline weight", guideline_kg, "kg")
    known = crew.persons if crew.persons in TEAM_FACTORS else None
    team_kg = None if known is None else team_capacity([guideline_kg] * known)
    within = team_kg is not None and weight_high_kg <= team_kg and crew.share_kg <= guideline_kg
    pair_kg = iso_pair_capacity(min(guideline_kg, ISO_REFERENCE_KG)) if known == 2 and guideline_kg > 0.0 else None
    return TeamFilter(guideline_kg, team_kg, pair_kg, above_guideline=not within)


@dataclass(frozen=True, slots=True)
class HandLift:
    """One lift by people. `niosh` and `team` are filters, not limits; None where no crew is planned.

    name         strip (out of its form), carry (on the level), stairs, or turn (in the form, boards on)
    weight_kg    high side
    from_m, to_m heights of the hands
    reach_m      H of the lifting equation
    """

    name: LiftName
    weight_kg: float
    grip: Grip
    crew: Crew
    from_m: float
    to_m: float
    reach_m: float
    lifts_per_min: float
    duration_h: float
    niosh: LiftAssessment | None
    team: TeamFilter | None
    men_kg: float  # guideline weights of one person at this lift
    women_kg: float

    @property
    def people(self) -> int | None:
        """People present at the same time: those who carry, and on stairs the guide of two."""
        guides = self.name == "stairs" and self.crew.persons == STAIR_CARRIERS
        return None if self.crew.persons is None else self.crew.persons + guides

    @property
    def guideline_share(self) -> float | None:
        """Weight over what the published team guideline gives such a crew; None where none is published."""
        return None if self.team is None or self.team.team_kg is None else self.weight_kg / self.team.team_kg

    @property
    def above_guideline(self) -> bool:
        """Whether any filter is exceeded, or none is published for such a team."""
        niosh = self.niosh is not None and self.niosh.above_guideline
        return niosh or (self.team is not None and self.team.above_guideline)

    @property
    def remark(self) -> str:
        """Remark for the crew's page, or ""."""
        if self.crew.by_machine:
            return f"by machine only: {self.crew.reason}"
        if self.crew.rehearsed:
            return REHEARSED
        return ABOVE_GUIDELINE if self.above_guideline else ""


def grip_of(size_m: Sequence[float], center_m: Sequence[float], *, on_edge: bool) -> Grip:
    """Grip of a piece from its outer size and its center of gravity in that box, both (x, y, z), m.

    It is carried along its longest side. Across it pairs hold both edges, so that the side on which it balances takes
    more: the wider way of a piece on edge or on end, the level one of a piece that stands upright.
    """
    along = max((0, 1, 2), key=lambda axis: size_m[axis])
    thin, across = sorted((axis for axis in (0, 1, 2) if axis != along), key=lambda axis: size_m[axis])
    if not on_edge and across == 2:
        thin, across = across, thin
    part = center_m[across] / size_m[across]
    require_within("centre of gravity across the piece", part, 0.0, 1.0)
    return Grip(
        length_m=size_m[along],
        center_m=center_m[along],
        heavier_side=0.5 if on_edge else max(part, 1.0 - part),
        edge_m=2.0 * (size_m[along] + size_m[across]),
        depth_m=size_m[thin] if on_edge else size_m[across],
    )


def on_slope(grip: Grip, center_above_hands_m: float, pitch_deg: float) -> Grip:
    """Grip on a flight of stairs: the center of gravity, above the hands, leans over the lower end.

    center_above_hands_m   height of the center of gravity over the hands, square to the carried length, m
    pitch_deg              of the flight from the horizontal

    Either end may be the lower, so it is the heavier that is. Source: statics of a body tilted by the pitch: the
    center moves by height · tan(pitch) along the carried length.
    """
    require_not_negative("height of the centre of gravity over the hands", center_above_hands_m, "m")
    require_within("pitch", pitch_deg, 0.0, 60.0, "°")
    lean_m = center_above_hands_m * tan(radians(pitch_deg))
    from_end_m = min(grip.center_m, grip.length_m - grip.center_m)
    return replace(grip, center_m=max(0.0, from_end_m - lean_m))


def lift_by_hand(
    name: LiftName, weight_high_kg: float, grip: Grip, limit_kg: float, settings: HandlingSettings
) -> HandLift:
    """The smallest crew for a lift, and how its greatest share stands beside the published filters.

    weight_high_kg   HIGH-side weight of what is lifted, kg
    limit_kg         of the workshop per person, kg

    The lifting equation is asked for one person's share, with a poor grip (a bare, dusty or wet edge) and a placing
    that needs control. The reach of one who is alone follows from the depth of the piece; who holds an edge with
    others has the workshop's.
    """
    room = room_for_hands(grip.edge_m, settings.grip_spacing_m)
    crew = crew_for(weight_high_kg, grip, limit_kg, room, crew_most(name, settings), settings.uneven_share)
    from_m, to_m = settings.hands_start_m, settings.hands_end_m
    lifts_per_min, duration_h = settings.lifts_per_minute, settings.lifting_time_s / HOUR_S
    reach_m = settings.hands_reach_m
    if crew.persons == 1:
        reach_m = max(reach_when_unknown(grip.depth_m, min(from_m, to_m)), 0.0)
    reach = "close" if reach_m <= CLOSE_REACH_M else "arm's length"
    men_kg, women_kg = (
        guideline_weight(from_m, to_m, reach, lifter, lifts_per_min=lifts_per_min, twist_deg=0.0)
        for lifter in ("men", "women")
    )
    niosh, team = None, None
    if not crew.by_machine:
        hands = [HandsAt(reach_m, height_m) for height_m in (from_m, to_m)]
        niosh = assess_lift(crew.share_kg, hands[0], hands[1], lifts_per_min, duration_h, COUPLING)
        team = filter_team(crew, weight_high_kg, women_kg)
    return HandLift(
        name,
        weight_high_kg,
        grip,
        crew,
        from_m,
        to_m,
        reach_m,
        lifts_per_min,
        duration_h,
        niosh,
        team,
        men_kg,
        women_kg,
    )


def crew_most(name: LiftName, settings: HandlingSettings) -> int:
    """The most people who may carry: the workshop's own figure; over four on the level alone, over two not on stairs.

    Source: common practice; no guideline is published for more than four, nor for three on a flight of stairs.
    """
    most = {"carry": MOST_ON_BARS, "stairs": STAIR_CARRIERS}.get(name, MAX_CREW)
    return max(1, min(most, int(settings.crew_most)))


NIOSH = (
    "NIOSH 94-110: a filter for one person's share of the lift-off, not a limit; it covers neither carrying nor teams"
)
TEAM = "HSE L23 team rule and INDG143 guideline weight: filters that ask for an assessment, not limits"


def lift_workings(at: str, lift: HandLift) -> Iterator[Working]:
    """How the greatest share of a crew came about, and what the published filters say of it; `at` is its path."""
    persons = lift.crew.persons
    if persons is None:
        return
    yield _share(f"{at}.share_kg", lift)
    if lift.niosh is not None:
        hands = (
            f"{NIOSH}; hands {lift.from_m:.2f} to {lift.to_m:.2f} m high and {lift.reach_m:.2f} m out, no twist, "
            f"{lift.lifts_per_min:g} a minute for {lift.duration_h:g} h, poor grip"
        )
        for end, recommended in (("origin", lift.niosh.origin), ("destination", lift.niosh.destination)):
            values = recommended.values
            yield figure(f"{at}.niosh.{end}.rwl_kg", "lc · hm · vm · dm · am · fm · cm", values, "kg", hands)
        if lift.niosh.rwl_kg > 0.0:
            values = {"share_kg": lift.crew.share_kg, "rwl_kg": lift.niosh.rwl_kg}
            yield figure(f"{at}.niosh.lifting_index", "share_kg / rwl_kg", values, "", NIOSH)
    if lift.team is not None and lift.team.team_kg is not None:
        values = {
            "factor": TEAM_FACTORS[persons],
            "persons": float(persons),
            "guideline_kg": lift.team.guideline_kg,
        }
        yield figure(f"{at}.team_kg", "factor · persons · guideline_kg", values, "kg", TEAM)


def _share(path: str, lift: HandLift) -> Working:
    """The greatest share of a crew: by levers of the two holds, or even but for a factor where pairs go on bars."""
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
    source = "statics about the centre of gravity, heavier end and side"
    return figure(path, formula, values, "kg", f"{source}; within the workshop's {crew.limit_kg:.1f} kg a person")
