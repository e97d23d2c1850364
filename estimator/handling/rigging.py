"""Slings and picks: sling angle and tension, legs, and the share of the load on each pick."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations, repeat
from math import atan2, degrees, hypot, radians, sin, sqrt, tan
from typing import Literal, NamedTuple

import numpy as np

from estimator.constants import (
    require_finite,
    require_not_negative,
    require_one_of,
    require_positive,
)
from estimator.errors import FaultError
from geometry.edges import distances_m, edges_of, lies_inside, lies_within
from geometry.frozen import frozen
from geometry.message import Message, message

PlanPoint = tuple[float, float]
Reference = Literal["horizontal", "vertical"]
REFERENCES: tuple[Reference, ...] = ("horizontal", "vertical")

MIN_SLING_ANGLE_DEG = 30.0  # from the horizontal; practice of ASME B30.9
_ANGLE_SLACK_DEG = 1e-9  # an angle computed from lengths may round to just under 30°


class SlingLeg(NamedTuple):
    """One straight leg from a pick to the hook."""

    share_kg: float  # vertical load
    angle_from_horizontal_deg: float
    tension_kg: float  # as the mass it must be rated for
    length_m: float

    @property
    def horizontal_kg(self) -> float:
        """Horizontal pull at the pick, as a mass, kg. It squeezes the piece and pulls the insert sideways."""
        return self.share_kg / tan(radians(self.angle_from_horizontal_deg))


def angle_from_horizontal(angle_deg: float, measured_from: str | None) -> float:
    """Sling angle from the HORIZONTAL, degrees, whichever way it was measured.

    measured_from   horizontal or vertical; None is refused, since guessing wrong can nearly double the tension
    """
    require_finite("sling-angle", angle_deg, "°")
    if measured_from is None:
        raise FaultError("", message("sling-angle-without-reference", degrees=angle_deg))
    require_one_of("sling-angle-measured-from", measured_from, REFERENCES)
    angle = angle_deg if measured_from == "horizontal" else 90.0 - angle_deg
    if not MIN_SLING_ANGLE_DEG - _ANGLE_SLACK_DEG <= angle <= 90.0:
        raise FaultError("", message("sling-angle-outside", degrees=angle, least=MIN_SLING_ANGLE_DEG))
    return angle


def sling_leg_tension(share_kg: float, angle_deg: float, measured_from: str | None) -> float:
    """Tension in one straight sling leg, as the mass it must be rated for, kg.

    share_kg        vertical part of the load carried by this leg, kg
    angle_deg       angle of the leg, degrees
    measured_from   horizontal or vertical

    Raises FaultError below 30° from the horizontal, where the practice of ASME B30.9 forbids the lift.
    Source: statics; factors 1.155, 1.414, 2.000 at 60, 45, 30° from the horizontal as in sling charts.

    >>> round(sling_leg_tension(1000.0, 30.0, "vertical"))
    1155
    """
    require_not_negative("share-of-the-leg", share_kg, "kg")
    return share_kg / sin(radians(angle_from_horizontal(angle_deg, measured_from)))


def legs_to_hook(
    picks: Sequence[PlanPoint], shares_kg: Sequence[float], center: PlanPoint, hook_height_m: float
) -> tuple[SlingLeg, ...]:
    """Sling legs from level picks to one hook above the center of gravity.

    picks           plan points at one level, m
    shares_kg       vertical load on each from pick_shares, kg
    hook_height_m   height of the hook above the picks, m

    The hook is above the center of gravity, so uneven shares have legs at different angles. With shares from statics
    the horizontal pulls balance. Raises FaultError if a leg is under 30° from the horizontal.
    """
    require_positive("height-of-the-hook-above-the-picks", hook_height_m, "m")
    legs = []
    for (x, y), share_kg in zip(picks, shares_kg, strict=True):
        distance_m = hypot(x - center[0], y - center[1])
        angle = degrees(atan2(hook_height_m, distance_m))
        tension_kg = sling_leg_tension(share_kg, angle, "horizontal")
        legs.append(SlingLeg(share_kg, angle, tension_kg, hypot(hook_height_m, distance_m)))
    return tuple(legs)


def plumb_legs(shares_kg: Sequence[float]) -> tuple[SlingLeg, ...]:
    """Legs that hang plumb from a spreader, each with its own share and no sideways pull. The rigger sets their length.

    >>> plumb_legs([120.0])[0].horizontal_kg < 1e-9
    True
    """
    return tuple(map(SlingLeg._make, zip(shares_kg, repeat(90.0), shares_kg, repeat(0.0), strict=False)))


def hook_height_for(
    picks: Sequence[PlanPoint], center: PlanPoint, angle_deg: float, measured_from: str | None
) -> float:
    """Lowest hook height above level picks at which no leg is flatter than the angle, m."""
    angle = angle_from_horizontal(angle_deg, measured_from)
    if angle == 90.0:
        raise FaultError("", message("hook-at-no-height"))
    farthest_m = max(hypot(x - center[0], y - center[1]) for x, y in picks)
    return farthest_m * tan(radians(angle))


MAX_PICKS = 4
LINE_TOLERANCE_M = 0.010  # largest offset of the center of gravity from the line of two picks: what a shop can mark
_SLACK = 1e-9  # relative; a center of gravity on the line between two of three picks is inside

TWO_POINT_PART = (sqrt(2.0) - 1.0) / 2.0  # 0.207: two picks with equal hog and sag


@frozen
class PickShares:
    """Vertical load on each pick, kg, in the order of the picks.

    If a rigid piece hangs from more legs than statics can resolve, each figure is the largest load this pick can get
    however the load settles. They then sum to more than the weight, and `determinate` is False.
    """

    shares_kg: tuple[float, ...]
    determinate: bool
    assumption: Message


def check_pick_places(
    picks: Sequence[PlanPoint],
    outline: Sequence[PlanPoint],
    cutouts: Sequence[Sequence[PlanPoint]] = (),
    edge_distance_m: float = 0.0,
) -> None:
    """Raise FaultError for picks outside the piece, in a cut-out, or nearer to an edge than the gear allows.

    outline, cutouts   rings of points of the piece in plan, m
    edge_distance_m    least distance from any edge given by the maker of the insert or clamp, m
    """
    require_not_negative("edge-distance", edge_distance_m, "m")
    piece, holes = edges_of([outline]), [edges_of([ring]) for ring in cutouts]
    whole = np.concatenate([piece, *holes])
    for number, pick in enumerate(picks, start=1):
        place = message("pick-place", number=number, x_m=float(pick[0]), y_m=float(pick[1]))
        if not lies_within(pick, piece):
            raise FaultError("", message("pick-outside", pick=place))
        if any(lies_inside(pick, hole) for hole in holes):
            raise FaultError("", message("pick-in-cutout", pick=place))
        nearest_m = float(distances_m(np.array([pick]), whole)[0])
        if nearest_m < edge_distance_m - 1e-9:
            raise FaultError("", message("pick-near-edge", pick=place, distance_m=nearest_m, least_m=edge_distance_m))


def pick_shares(picks: Sequence[PlanPoint], center: PlanPoint, weight_kg: float) -> PickShares:
    """Vertical loads on one to four picks, kg, by statics from the center of gravity.

    picks       plan points, m
    center      center of gravity, in the same plan, m
    weight_kg   high-side weight of what hangs, kg

    Four plain legs on a rigid piece never share evenly: if one is a little short, two carry everything. Each pick is
    then given its largest load over every set of three picks that can hold the piece alone.

    Raises FaultError if the center of gravity is outside the picks, or off the line of two.

    >>> [round(kg, 3) for kg in pick_shares([(0, 0), (2, 0), (0, 1.5)], (0.6, 0.5), 300.0).shares_kg]
    [110.0, 90.0, 100.0]
    """
    require_positive("weight", weight_kg, "kg")
    for point in (*picks, center):
        for value in point:
            require_finite("a-pick-or-the-center-of-gravity", value, "m")
    match len(picks):
        case 1:
            off_m = hypot(picks[0][0] - center[0], picks[0][1] - center[1])
            if off_m > LINE_TOLERANCE_M:
                raise FaultError("", message("pick-off-center", distance_m=off_m))
            return PickShares((weight_kg,), True, message("picks-one"))
        case 2:
            first = _lever(picks[0], picks[1], center)
            return PickShares((weight_kg * first, weight_kg * (1.0 - first)), True, message("picks-two"))
        case 3:
            parts = _barycentric(picks[0], picks[1], picks[2], center)
            if parts is None:
                raise FaultError("", _outside(center))
            return PickShares(tuple(weight_kg * part for part in parts), True, message("picks-three"))
        case 4:
            return _rigid_four(picks, center, weight_kg)
        case count:
            raise FaultError("", message("picks-too-many", count=count))


RIGID_FOUR = message("picks-four")


def _rigid_four(picks: Sequence[PlanPoint], center: PlanPoint, weight_kg: float) -> PickShares:
    largest = [0.0] * MAX_PICKS
    for trio in combinations(range(MAX_PICKS), 3):
        parts = _barycentric(picks[trio[0]], picks[trio[1]], picks[trio[2]], center)
        for index, part in zip(trio, parts or (), strict=False):
            largest[index] = max(largest[index], part)
    if not any(largest):
        raise FaultError("", _outside(center))
    return PickShares(
        tuple(weight_kg * part for part in largest),
        False,
        RIGID_FOUR,
    )


def _lever(first: PlanPoint, second: PlanPoint, center: PlanPoint) -> float:
    """Fraction of the weight on the first of two supports. Raises FaultError if the center is off their line."""
    dx, dy = second[0] - first[0], second[1] - first[1]
    span_m = hypot(dx, dy)
    if span_m == 0.0:
        raise FaultError("", message("picks-at-one-place"))
    rx, ry = center[0] - first[0], center[1] - first[1]
    off_m = abs(dx * ry - dy * rx) / span_m
    if off_m > LINE_TOLERANCE_M:
        raise FaultError("", message("picks-off-line", distance_m=off_m))
    along = (dx * rx + dy * ry) / span_m**2
    if not -_SLACK <= along <= 1.0 + _SLACK:
        raise FaultError("", _outside(center))
    return min(1.0, max(0.0, 1.0 - along))


def _barycentric(a: PlanPoint, b: PlanPoint, c: PlanPoint, center: PlanPoint) -> tuple[float, float, float] | None:
    """Fractions of the weight on three supports; None if they are collinear or the center is outside them."""
    twice_area = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
    reach = max(hypot(b[0] - a[0], b[1] - a[1]), hypot(c[0] - a[0], c[1] - a[1]))
    if abs(twice_area) <= _SLACK * reach**2:
        return None
    on_b = ((center[0] - a[0]) * (c[1] - a[1]) - (center[1] - a[1]) * (c[0] - a[0])) / twice_area
    on_c = ((b[0] - a[0]) * (center[1] - a[1]) - (b[1] - a[1]) * (center[0] - a[0])) / twice_area
    on_a = 1.0 - on_b - on_c
    if min(on_a, on_b, on_c) < -_SLACK:
        return None
    return max(0.0, on_a), max(0.0, on_b), max(0.0, on_c)


def _outside(center: PlanPoint) -> Message:
    return message("picks-around-nothing", x_m=float(center[0]), y_m=float(center[1]))


PICK_LETTERS = "ABCD"
