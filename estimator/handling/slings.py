"""Tension in sling legs, the least angle, and the mode factors of multi-leg slings.

A tension is given as the mass, kg, that the leg must be rated for. An angle always comes with what it is measured
from: 60° from the horizontal and 60° from the vertical differ by a factor of 1.7.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan2, degrees, hypot, radians, sin, tan
from typing import Literal

from estimator.bounds import require_finite, require_not_negative, require_one_of, require_positive
from estimator.errors import RangeError

from .picks import Plan

Reference = Literal["horizontal", "vertical"]
REFERENCES: tuple[Reference, ...] = ("horizontal", "vertical")

MIN_SLING_ANGLE_DEG = 30.0  # from the horizontal; practice of ASME B30.9
MAX_EN_ANGLE_DEG = 60.0  # from the vertical; EN 818-4
_ANGLE_SLACK_DEG = 1e-9  # an angle that was computed from lengths comes back a rounding under 30°

# EN 818-4: working load of the sling over that of one leg, to 45° and to 60° from the VERTICAL, symmetrical load.
_MODE_FACTORS: dict[int, tuple[float, float]] = {1: (1.0, 1.0), 2: (1.4, 1.0), 3: (2.1, 1.5), 4: (2.1, 1.5)}


@dataclass(frozen=True, slots=True)
class SlingLeg:
    """One straight leg from a pick to the hook."""

    share_kg: float  # vertical load
    angle_from_horizontal_deg: float
    tension_kg: float  # as the mass that it must be rated for
    length_m: float

    @property
    def horizontal_kg(self) -> float:
        """Horizontal pull at the pick, as a mass: it squeezes the piece and pulls the insert sideways."""
        return self.share_kg / tan(radians(self.angle_from_horizontal_deg))


def angle_from_horizontal(angle_deg: float, measured_from: str | None) -> float:
    """Sling angle from the HORIZONTAL, degrees, whichever way it was measured.

    measured_from   horizontal or vertical; None is refused, since guessing wrong can nearly double the tension
    """
    require_finite("sling angle", angle_deg, "°")
    if measured_from is None:
        raise RangeError(f'sling angle {angle_deg:g}° without its reference: say from the "horizontal" or "vertical"')
    require_one_of("sling angle measured from", measured_from, REFERENCES)
    angle = angle_deg if measured_from == "horizontal" else 90.0 - angle_deg
    if not MIN_SLING_ANGLE_DEG - _ANGLE_SLACK_DEG <= angle <= 90.0:
        raise RangeError(
            f"sling angle {angle:g}° from the horizontal: must be 30° to 90°; use longer slings or a spreader"
        )
    return angle


def sling_leg_tension(share_kg: float, angle_deg: float, measured_from: str | None) -> float:
    """Tension in one straight sling leg, as the mass it must be rated for, kg.

    share_kg        vertical part of the load carried by this leg, kg
    angle_deg       angle of the leg, degrees
    measured_from   horizontal or vertical

    Raises RangeError below 30° from the horizontal, where the practice of ASME B30.9 forbids the lift.
    Source: statics; factors 1.155, 1.414, 2.000 at 60, 45, 30° from the horizontal as in sling charts.

    >>> round(sling_leg_tension(1000.0, 30.0, "vertical"))
    1155
    """
    require_not_negative("share of the leg", share_kg, "kg")
    return share_kg / sin(radians(angle_from_horizontal(angle_deg, measured_from)))


def legs_to_hook(
    picks: Sequence[Plan], shares_kg: Sequence[float], centre: Plan, hook_height_m: float
) -> tuple[SlingLeg, ...]:
    """The legs from level picks to one hook above the centre of gravity.

    picks           plan points at one level, m
    shares_kg       vertical load of each, as pick_shares gives it, kg
    hook_height_m   of the hook above the picks, m

    The hook stands above the centre of gravity, so uneven shares have legs of uneven angle; with shares by statics
    the horizontal pulls balance. Raises RangeError where a leg lies under 30° from the horizontal.
    """
    require_positive("height of the hook above the picks", hook_height_m, "m")
    legs = []
    for (x, y), share_kg in zip(picks, shares_kg, strict=True):
        away_m = hypot(x - centre[0], y - centre[1])
        angle = degrees(atan2(hook_height_m, away_m))
        tension_kg = sling_leg_tension(share_kg, angle, "horizontal")
        legs.append(SlingLeg(share_kg, angle, tension_kg, hypot(hook_height_m, away_m)))
    return tuple(legs)


def plumb_legs(shares_kg: Sequence[float]) -> tuple[SlingLeg, ...]:
    """Legs that hang plumb from a spreader, each with its own share and no sideways pull; their length is the rigger's.

    >>> plumb_legs([120.0])[0].horizontal_kg < 1e-9
    True
    """
    return tuple(SlingLeg(share_kg, 90.0, share_kg, 0.0) for share_kg in shares_kg)


def hook_height_for(picks: Sequence[Plan], centre: Plan, angle_deg: float, measured_from: str | None) -> float:
    """Least height of the hook above level picks at which no leg is flatter than the angle, m."""
    angle = angle_from_horizontal(angle_deg, measured_from)
    if angle == 90.0:
        raise RangeError("legs at 90° to one hook would need a hook at no finite height: use a spreader beam")
    farthest_m = max(hypot(x - centre[0], y - centre[1]) for x, y in picks)
    return farthest_m * tan(radians(angle))


def mode_factor(legs: int, angle_from_vertical_deg: float) -> float:
    """Working load of a sling of equal legs over the working load of one of them, for a symmetrical load.

    angle_from_vertical_deg   the greatest angle of any leg from the VERTICAL: to 45° or to 60°

    Three and four legs count as the same: on a rigid piece the fourth cannot be relied on. An off-centre load is
    outside the factors: use pick_shares and legs_to_hook.
    Source: EN 818-4: 1.4 and 1.0 for two legs, 2.1 and 1.5 for three and four.

    >>> mode_factor(2, 45.0), mode_factor(4, 60.0)
    (1.4, 1.5)
    """
    if legs not in _MODE_FACTORS:
        raise RangeError(f"a sling of {legs} legs has no mode factor: one to four")
    require_not_negative("sling angle from the vertical", angle_from_vertical_deg, "°")
    if angle_from_vertical_deg > MAX_EN_ANGLE_DEG:
        raise RangeError(
            f"sling angle {angle_from_vertical_deg:g}° from the vertical: must be 0° to 60°; "
            "use longer slings or a spreader"
        )
    if legs == 1 and angle_from_vertical_deg > 0.0:
        raise RangeError("a single leg hangs plumb: its angle from the vertical is 0°")
    to_45, to_60 = _MODE_FACTORS[legs]
    return to_45 if angle_from_vertical_deg <= 45.0 else to_60
