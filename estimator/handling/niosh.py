"""The revised NIOSH lifting equation: recommended weight and lifting index of one person's lift.

RWL = LC · HM · VM · DM · AM · FM · CM and LI = load / RWL, in the equation's metric or US customary form.
The two forms are published separately and rounded separately: 23 kg is 50.7 lb, not 51.

It covers a smooth, two-handed lift by one person on a good floor, but neither carrying nor team lifts. Here it is
applied to one person's share at lift-off, as a filter that calls for an assessment, never as a limit.
Source: NIOSH publication 94-110 (revised 9/2021).
"""

from __future__ import annotations

from bisect import bisect_left
from typing import Literal

from estimator.constants import INCH_M, POUND_KG, require_finite, require_not_negative, require_one_of, require_within
from estimator.errors import FaultError
from geometry.frozen import frozen
from geometry.message import message

Coupling = Literal["good", "fair", "poor"]
COUPLINGS: tuple[Coupling, ...] = ("good", "fair", "poor")

MAX_ASYMMETRY_DEG = 135.0
MAX_DURATION_H = 8.0
RAISED_RISK_INDEX = 1.0  # above it, raised risk for some of the workforce (94-110)
HIGH_RISK_INDEX = 3.0  # above it, raised risk for nearly all (94-110)


@frozen
class EquationForm:
    """The constants of one published form; lengths in its own `unit_m`, weight in its own `weight_kg`."""

    name: str
    unit_m: float
    weight_kg: float
    load_constant: float
    reach: float  # HM = reach / H; a shorter H counts as this
    reach_limit: float  # beyond it HM is 0
    knuckle_height: float  # V at which VM is 1; the tables change at this height
    height_slope: float
    height_limit: float
    travel: float  # a shorter D counts as this
    travel_term: float  # DM = 0.82 + travel_term / D
    travel_limit: float
    unknown_reach: float  # H = this + W / 2 where V is at least `reach`
    unknown_reach_low: float  # and this + W / 2 below


METRIC = EquationForm("metric", 0.01, 1.0, 23.0, 25.0, 63.0, 75.0, 0.003, 175.0, 25.0, 4.5, 175.0, 20.0, 25.0)
US = EquationForm("us", INCH_M, POUND_KG, 51.0, 10.0, 25.0, 30.0, 0.0075, 70.0, 10.0, 1.8, 70.0, 8.0, 10.0)

# Frequency multiplier by lifts per minute (94-110, table 5). A row lists the values at each frequency for V below the
# knuckle height; `_HIGH_ONLY` has the further values that apply only at or above it. Beyond the last value it is 0.
_FREQUENCIES = (0.2, 0.5, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 11.0, 12.0, 13.0, 14.0, 15.0)
_FREQUENCY_TABLE: dict[float, tuple[float, ...]] = {
    1.0: (1.00, 0.97, 0.94, 0.91, 0.88, 0.84, 0.80, 0.75, 0.70, 0.60, 0.52, 0.45, 0.41, 0.37),
    2.0: (0.95, 0.92, 0.88, 0.84, 0.79, 0.72, 0.60, 0.50, 0.42, 0.35, 0.30, 0.26),
    8.0: (0.85, 0.81, 0.75, 0.65, 0.55, 0.45, 0.35, 0.27, 0.22, 0.18),
}
_HIGH_ONLY: dict[float, tuple[float, ...]] = {1.0: (0.34, 0.31, 0.28), 2.0: (0.23, 0.21), 8.0: (0.15, 0.13)}

# Coupling multiplier (94-110, table 7): V below the knuckle height, V at or above it.
_COUPLING_TABLE: dict[str, tuple[float, float]] = {"good": (1.00, 1.00), "fair": (0.95, 1.00), "poor": (0.90, 0.90)}


@frozen
class HandsAt:
    """Where the hands are at one end of the lift."""

    reach_m: float  # H: from midway between the ankles to the hands, horizontally
    height_m: float  # V: of the hands above the floor
    asymmetry_deg: float = 0.0  # A: turn of the load out of the sagittal plane


@frozen
class RecommendedWeight:
    """Multipliers at one end of the lift, and the resulting recommended weight."""

    rwl_kg: float
    horizontal: float
    vertical: float
    distance: float
    asymmetry: float
    frequency: float
    coupling: float

    @property
    def values(self) -> dict[str, float]:
        """Factors of the equation by their published names, with the load constant in kg."""
        return {
            "lc": METRIC.load_constant,
            "hm": self.horizontal,
            "vm": self.vertical,
            "dm": self.distance,
            "am": self.asymmetry,
            "fm": self.frequency,
            "cm": self.coupling,
        }


@frozen
class LiftAssessment:
    """One person's lift by the equation: a filter that calls for an assessment, not a limit."""

    load_kg: float
    origin: RecommendedWeight
    destination: RecommendedWeight
    controlled_placing: bool

    @property
    def rwl_kg(self) -> float:
        """Governing recommended weight: the origin's, or the lower of both ends if placing needs control."""
        if self.controlled_placing:
            return min(self.origin.rwl_kg, self.destination.rwl_kg)
        return self.origin.rwl_kg

    @property
    def lifting_index(self) -> float:
        """Load over the governing recommended weight; infinite if the equation allows no lift."""
        return lifting_index(self.load_kg, self.rwl_kg)

    @property
    def above_guideline(self) -> bool:
        return self.lifting_index > RAISED_RISK_INDEX


def horizontal_multiplier(reach_m: float, form: EquationForm = METRIC) -> float:
    """HM = 25 / H cm (10 / H in); H under 25 cm counts as 25, beyond 63 cm (25 in) it is 0.

    reach_m   H, m

    >>> round(horizontal_multiplier(0.50), 3)
    0.5
    """
    require_not_negative("horizontal-reach-h", reach_m, "m")
    reach = _in(form, reach_m)
    return 0.0 if reach > form.reach_limit else form.reach / max(reach, form.reach)


def vertical_multiplier(height_m: float, form: EquationForm = METRIC) -> float:
    """VM = 1 − 0.003 |V − 75| cm (1 − 0.0075 |V − 30| in); 0 above 175 cm (70 in)."""
    require_not_negative("hand-height-v", height_m, "m")
    height = _in(form, height_m)
    return 0.0 if height > form.height_limit else 1.0 - form.height_slope * abs(height - form.knuckle_height)


def distance_multiplier(travel_m: float, form: EquationForm = METRIC) -> float:
    """DM = 0.82 + 4.5 / D cm (0.82 + 1.8 / D in); D under 25 cm counts as 25, beyond 175 cm (70 in) it is 0."""
    require_not_negative("vertical-travel-d", travel_m, "m")
    travel = _in(form, travel_m)
    return 0.0 if travel > form.travel_limit else 0.82 + form.travel_term / max(travel, form.travel)


def asymmetry_multiplier(asymmetry_deg: float) -> float:
    """AM = 1 − 0.0032 A; 0 above 135°."""
    require_within("asymmetry-angle-a", asymmetry_deg, 0.0, 180.0, "°")
    return 0.0 if asymmetry_deg > MAX_ASYMMETRY_DEG else 1.0 - 0.0032 * asymmetry_deg


def frequency_multiplier(
    lifts_per_min: float, duration_h: float, origin_height_m: float, form: EquationForm = METRIC
) -> float:
    """FM from the table, linear between its rows.

    lifts_per_min     F; under 0.2 counts as 0.2
    duration_h        duration of the lifting work; up to 1, 2 or 8 h selects the column, longer is outside the equation
    origin_height_m   V at the ORIGIN, m; the fastest rows apply only from 75 cm (30 in) up

    FM is 0 beyond the last row of a column. Between that row and the next it is 0 as well, not interpolated, since the
    table gives no safe value there.
    """
    require_not_negative("lifting-frequency-f", lifts_per_min, "per minute")
    require_not_negative("hand-height-v", origin_height_m, "m")
    require_finite("duration", duration_h, "h")
    if not 0.0 < duration_h <= MAX_DURATION_H:
        raise FaultError("", message("lifting-duration", hours=duration_h))
    column_h = next(hours for hours in _FREQUENCY_TABLE if duration_h <= hours)
    column = _FREQUENCY_TABLE[column_h]
    if _in(form, origin_height_m) >= form.knuckle_height:
        column += _HIGH_ONLY[column_h]
    rows = _FREQUENCIES[: len(column)]
    if lifts_per_min > rows[-1]:
        return 0.0
    after = bisect_left(rows, lifts_per_min)
    if after == 0:
        return column[0]
    before = after - 1
    part = (lifts_per_min - rows[before]) / (rows[after] - rows[before])
    return column[before] + part * (column[after] - column[before])


def coupling_multiplier(coupling: str, height_m: float, form: EquationForm = METRIC) -> float:
    """CM by the quality of the grip and the hand height V at the SAME end of the lift.

    coupling   good (handles or a full wrap), fair, or poor (a bare edge, wet or dusty)
    """
    require_one_of("coupling", coupling, COUPLINGS)
    require_not_negative("hand-height-v", height_m, "m")
    below, above = _COUPLING_TABLE[coupling]
    return above if _in(form, height_m) >= form.knuckle_height else below


def reach_when_unknown(depth_m: float, height_m: float, form: EquationForm = METRIC) -> float:
    """H, m, if it was not measured: 20 + W/2 cm (8 + W/2 in), and 25 + W/2 cm (10 + W/2 in) for low hands.

    depth_m    W, depth of the piece toward the body, m
    height_m   V, m; low is under 25 cm (10 in)
    Source: 94-110, p. 8.
    """
    require_not_negative("depth-of-the-piece-w", depth_m, "m")
    require_not_negative("hand-height-v", height_m, "m")
    base = form.unknown_reach if _in(form, height_m) >= form.reach else form.unknown_reach_low
    return (base + _in(form, depth_m) / 2.0) * form.unit_m


def recommended_weight(
    hands: HandsAt,
    travel_m: float,
    frequency: float,
    coupling: str,
    form: EquationForm = METRIC,
) -> RecommendedWeight:
    """RWL at one end of a lift, kg, with its multipliers.

    travel_m    D, vertical travel of the hands, m
    frequency   FM from `frequency_multiplier` for the origin
    """
    require_within("frequency-multiplier", frequency, 0.0, 1.0)
    hm = horizontal_multiplier(hands.reach_m, form)
    vm = vertical_multiplier(hands.height_m, form)
    dm = distance_multiplier(travel_m, form)
    am = asymmetry_multiplier(hands.asymmetry_deg)
    cm = coupling_multiplier(coupling, hands.height_m, form)
    rwl_kg = form.load_constant * form.weight_kg * hm * vm * dm * am * frequency * cm
    return RecommendedWeight(rwl_kg, hm, vm, dm, am, frequency, cm)


def lifting_index(load_kg: float, rwl_kg: float) -> float:
    """LI = load / RWL; infinite if RWL is 0."""
    require_not_negative("load", load_kg, "kg")
    require_not_negative("recommended-weight", rwl_kg, "kg")
    if rwl_kg == 0.0:
        return float("inf") if load_kg > 0.0 else 0.0
    return load_kg / rwl_kg


def assess_lift(
    load_kg: float,
    origin: HandsAt,
    destination: HandsAt,
    lifts_per_min: float,
    duration_h: float,
    coupling: str,
    *,
    controlled_placing: bool = True,
    form: EquationForm = METRIC,
) -> LiftAssessment:
    """Assess one person's share of a lift at its origin and destination.

    load_kg              this person's share, kg, high side
    controlled_placing   whether the piece is set down with care, so that the lower of both ends governs

    FM is looked up once, with V at the origin; CM with V at each end.
    """
    travel_m = abs(destination.height_m - origin.height_m)
    fm = frequency_multiplier(lifts_per_min, duration_h, origin.height_m, form)
    return LiftAssessment(
        load_kg=load_kg,
        origin=recommended_weight(origin, travel_m, fm, coupling, form),
        destination=recommended_weight(destination, travel_m, fm, coupling, form),
        controlled_placing=controlled_placing,
    )


def _in(form: EquationForm, length_m: float) -> float:
    # 25 in is 0.635 m, which converts back to 25.000000000000004 in: unrounded, the multiplier would drop to 0
    return round(length_m / form.unit_m, 9)
