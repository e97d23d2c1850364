"""A piece carried or turned by people: the crew by the workshop's limit, and the published filters beside it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import radians, tan
from typing import Literal

from estimator.bounds import require_not_negative, require_within
from estimator.handling.niosh import HandsAt, LiftAssessment, assess_lift, reach_when_unknown
from estimator.handling.team import (
    ABOVE_GUIDELINE,
    MAX_CREW,
    MAX_ON_BARS,
    REHEARSED,
    STAIR_CARRIERS,
    Crew,
    TeamFilter,
    crew_for,
    filter_team,
    guideline_weight,
    room_for_hands,
)

LiftName = Literal["strip", "carry", "stairs", "turn"]
HOUR_S = 3600.0
COUPLING = "poor"  # a bare edge, dusty or wet
CLOSE_REACH_M = 0.45  # hands nearer than this count as close to the body in the guideline weights; choice


@dataclass(frozen=True, slots=True)
class Grip:
    """How the piece meets the hands: its carried length, where it balances on it, and what it leaves for hands.

    centre_m       of gravity along the carried length from its start, m
    heavier_side   part of a pair's load on that side across the length which is heavier, 0.5 to 1
    edge_m         edge that can be held, m
    depth_m        toward the body of one who carries it alone, m
    """

    length_m: float
    centre_m: float
    heavier_side: float
    edge_m: float
    depth_m: float


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
        """Who must be there at the same time: those who carry, and on stairs the one who guides two."""
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
        """What the crew's page says of it; "" where nothing is to be said."""
        if self.crew.by_machine:
            return f"by machine only: {self.crew.reason}"
        if self.crew.rehearsed:
            return REHEARSED
        return ABOVE_GUIDELINE if self.above_guideline else ""


def grip_of(size_m: Sequence[float], centre_m: Sequence[float], *, on_edge: bool) -> Grip:
    """How a piece meets the hands, from its outer size and its centre of gravity in that box, both (x, y, z), m.

    It is carried along its longest side. Across it pairs hold both edges, so that the side on which it balances takes
    more: the wider way of a piece on edge or on end, the level one of a piece that stands upright.
    """
    along = max((0, 1, 2), key=lambda axis: size_m[axis])
    thin, across = sorted((axis for axis in (0, 1, 2) if axis != along), key=lambda axis: size_m[axis])
    if not on_edge and across == 2:
        thin, across = across, thin
    part = centre_m[across] / size_m[across]
    require_within("centre of gravity across the piece", part, 0.0, 1.0)
    return Grip(
        length_m=size_m[along],
        centre_m=centre_m[along],
        heavier_side=0.5 if on_edge else max(part, 1.0 - part),
        edge_m=2.0 * (size_m[along] + size_m[across]),
        depth_m=size_m[thin] if on_edge else size_m[across],
    )


def on_slope(grip: Grip, centre_above_hands_m: float, pitch_deg: float) -> Grip:
    """The same piece carried up or down a flight: its centre of gravity, above the hands, leans over the lower end.

    centre_above_hands_m   height of the centre of gravity over the hands, square to the carried length, m
    pitch_deg              of the flight from the horizontal

    Either end may be the lower, so it is the heavier that is. Source: statics of a body tilted by the pitch: the
    centre moves by height · tan(pitch) along the carried length.
    """
    require_not_negative("height of the centre of gravity over the hands", centre_above_hands_m, "m")
    require_within("pitch", pitch_deg, 0.0, 60.0, "°")
    lean_m = centre_above_hands_m * tan(radians(pitch_deg))
    from_end_m = min(grip.centre_m, grip.length_m - grip.centre_m)
    return replace(grip, centre_m=max(0.0, from_end_m - lean_m))


def lift_by_hand(
    name: LiftName, weight_high_kg: float, grip: Grip, limit_kg: float, figures: Mapping[str, float]
) -> HandLift:
    """The smallest crew for a lift, and how its greatest share stands beside the published filters.

    weight_high_kg   HIGH-side weight of what is lifted, kg
    limit_kg         of the workshop per person, kg
    figures          the workshop's, by dotted name

    The lifting equation is asked for one person's share, with a poor grip (a bare, dusty or wet edge) and a placing
    that needs control. The reach of one who is alone follows from the depth of the piece; who holds an edge with
    others has the workshop's.
    """
    crew = crew_for(
        weight_high_kg,
        grip.length_m,
        grip.centre_m,
        limit_kg,
        room_for_hands(grip.edge_m, figures["handling.grip_spacing"]),
        grip.heavier_side,
        crew_most(name, figures),
        figures["handling.uneven_share"],
    )
    from_m, to_m = figures["handling.hands_start"], figures["handling.hands_end"]
    lifts_per_min, duration_h = figures["handling.lifts_per_minute"], figures["handling.lifting_time"] / HOUR_S
    reach_m = figures["handling.hands_reach"]
    if crew.persons == 1:
        reach_m = max(reach_when_unknown(grip.depth_m, min(from_m, to_m)), 0.0)
    reach = "close" if reach_m <= CLOSE_REACH_M else "arm's length"
    men_kg, women_kg = (
        guideline_weight(from_m, to_m, reach, lifter, lifts_per_min=lifts_per_min) for lifter in ("men", "women")
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


def crew_most(name: LiftName, figures: Mapping[str, float]) -> int:
    """The most people who may carry: the workshop's own figure; over four on the level alone, over two not on stairs.

    Source: common practice; no guideline is published for more than four, nor for three on a flight of stairs.
    """
    most = {"carry": MAX_ON_BARS, "stairs": STAIR_CARRIERS}.get(name, MAX_CREW)
    return max(1, min(most, int(figures["handling.crew_most"])))
