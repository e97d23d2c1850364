"""What stays after the installer has left: a panel on its anchors, a counter on its cabinets.

Dead load and its eccentricity only. Wind, seismic load, anchors, walls and floors belong to a licensed engineer.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import ceil, sqrt

from estimator.bounds import INCH_M, STANDARD_GRAVITY_M_S2, require_finite, require_not_negative, require_positive
from estimator.errors import RangeError

ANCHOR_NOTE = (
    "dead load and its eccentricity only: wind, seismic load, anchors and the wall are for a licensed engineer"
)
FLAGGED_OVERHANG_M = 6.0 * INCH_M  # common practice: the most without support
LEAST_OVERHANGING_M = 1.0 * INCH_M  # choice: a thinner top never overhangs without subtop or brackets
EDGE_LOAD_N = 1000.0  # choice: a person sitting on the edge
BRACKET_SPACING_M = (16.0 * INCH_M, 24.0 * INCH_M)  # common practice
NOT_DESIGNED = "not designed: size and fixings by a licensed person"


@dataclass(frozen=True, slots=True)
class HungPanel:
    """A panel's dead load on its anchors."""

    bearing_kg: tuple[float, ...]  # the most that each anchor can get of the weight, in the order given
    couple_n_m: float  # weight times its distance out from the bearing
    pull_n: tuple[float, ...]  # out of the wall, at the level of each anchor
    push_n: float  # into the wall, at the foot
    note: str = ANCHOR_NOTE


def hung_panel(
    weight_kg: float, anchors_x_m: Sequence[float], centre_x_m: float, out_m: float, lever_m: float
) -> HungPanel:
    """Share of a panel's dead load by anchor, and the couple of its eccentricity.

    weight_kg      HIGH side, soaked where it is outdoors, kg
    anchors_x_m    bearing anchors along the panel, m
    centre_x_m     of gravity along the panel, m
    out_m          of the centre of gravity from the plane of the bearing, m
    lever_m        height between the anchors and where the foot of the panel rests against the wall, m

    A rigid panel on more than two anchors bears on two of them: each has the most that statics can give it, so they
    sum to more than the weight.
    """
    require_positive("weight", weight_kg, "kg")
    require_not_negative("distance of the centre of gravity from the bearing", out_m, "m")
    require_positive("lever between anchors and foot", lever_m, "m")
    require_finite("centre of gravity along the panel", centre_x_m, "m")
    if len(anchors_x_m) < 2:
        raise RangeError(f"{len(anchors_x_m)} anchor: a panel needs at least two that bear")
    shares = [0.0] * len(anchors_x_m)
    for i, left in enumerate(anchors_x_m):
        for j, right in enumerate(anchors_x_m):
            if left < right and left <= centre_x_m <= right:
                on_left = (right - centre_x_m) / (right - left)
                shares[i] = max(shares[i], on_left)
                shares[j] = max(shares[j], 1.0 - on_left)
    if not any(shares):
        raise RangeError(
            f"the centre of gravity at {centre_x_m:g} m lies outside the anchors: the panel would turn; "
            "set an anchor on either side of it"
        )
    couple_n_m = weight_kg * STANDARD_GRAVITY_M_S2 * out_m
    return HungPanel(
        bearing_kg=tuple(weight_kg * share for share in shares),
        couple_n_m=couple_n_m,
        pull_n=tuple(couple_n_m / lever_m * share for share in shares),
        push_n=couple_n_m / lever_m,
    )


def tipping_pressure(weight_kg: float, side_m: float, height_m: float, foot_m: float) -> float:
    """Wind pressure on a side that tips what stands on its foot over the far edge, Pa.

    weight_kg   LOW side of the empty piece, kg
    side_m      length of the side, m
    foot_m      of the foot square to that side, m

    Half the foot times the weight against half the height times the pressure on the side. Source: statics.

    >>> round(tipping_pressure(40.0, 1.0, 0.8, 0.4))
    245
    """
    require_positive("weight", weight_kg, "kg")
    for name, value_m in (("side", side_m), ("height", height_m), ("foot", foot_m)):
        require_positive(name, value_m, "m")
    return weight_kg * STANDARD_GRAVITY_M_S2 * foot_m / (side_m * height_m**2)


@dataclass(frozen=True, slots=True)
class CounterLoad:
    """A counter's dead load on what it stands on."""

    kg_per_m: float  # along the length
    kg_per_m2: float  # of supported area


@dataclass(frozen=True, slots=True)
class Overhang:
    """A counter's edge beyond its support."""

    overhang_m: float
    allowed_m: float  # without support
    stays_put: bool  # False where the counter would tip off its cabinets by its own weight
    bracket_places_m: tuple[float, ...]  # along the length; empty where none is proposed
    bracket_note: str = NOT_DESIGNED

    @property
    def needs_support(self) -> bool:
        """Whether it reaches farther than it may without a subtop or brackets."""
        return self.overhang_m > self.allowed_m * (1.0 + 1e-9)


def counter_load(weight_kg: float, length_m: float, supported_depth_m: float) -> CounterLoad:
    """Dead load of a counter by length and by supported area; people leaning and appliances come on top."""
    require_positive("weight", weight_kg, "kg")
    require_positive("length", length_m, "m")
    require_positive("supported depth", supported_depth_m, "m")
    return CounterLoad(weight_kg / length_m, weight_kg / (length_m * supported_depth_m))


def overhang_allowed(
    depth_m: float,
    thickness_m: float,
    density_kg_m3: float,
    first_crack_pa: float | None,
    *,
    most_m: float = FLAGGED_OVERHANG_M,
    least_thickness_m: float = LEAST_OVERHANGING_M,
    edge_load_n: float = EDGE_LOAD_N,
    required_factor: float = 1.5,
) -> float:
    """How far a counter may overhang without support, m; 0 for an untested mix or a thin top.

    depth_m          of the counter, front to back
    density_kg_m3    high side
    first_crack_pa   lower tested limit of proportionality; None: no test

    The least of `most_m`, a third of the depth, and the overhang at which the edge load on a width of twice the
    overhang, with self-weight, bends it to first crack over the factor: M = P o + ρ g t · 2 o · o² / 2 on a width of
    2 o, so σ = 3 (P + ρ g t o²) / t².
    """
    for name, value in (("depth", depth_m), ("thickness", thickness_m)):
        require_positive(name, value, "m")
    require_positive("density", density_kg_m3, "kg/m³")
    if first_crack_pa is None or thickness_m < least_thickness_m - 1e-9:
        return 0.0
    spare_n = first_crack_pa / required_factor * thickness_m**2 / 3.0 - edge_load_n
    if spare_n <= 0.0:
        return 0.0
    by_strength_m = sqrt(spare_n / (density_kg_m3 * STANDARD_GRAVITY_M_S2 * thickness_m))
    return min(most_m, depth_m / 3.0, by_strength_m)


def wall_stress(depth_m: float, length_m: float, thickness_m: float, soil_kg_m3: float, pressure_ratio: float) -> float:
    """Bending stress at the foot of a planter's wall against wet soil, Pa.

    depth_m          of the soil, m
    length_m         of the wall between the end walls, m
    pressure_ratio   sideways pressure over that of the soil's weight

    Source: statics. As a cantilever from the base M = K ρ g h³ / 6 a meter; between end walls that hold it
    M = K ρ g h L² / 12 at the foot, where the pressure is greatest. The wall goes the stiffer way: the lesser counts.

    >>> round(wall_stress(0.6, 2.0, 0.016, 1762.0, 0.5) / 1e6, 1)
    7.3
    """
    for name, value in (("depth of the soil", depth_m), ("length", length_m), ("wall", thickness_m)):
        require_positive(name, value, "m")
    pressure_pa = pressure_ratio * soil_kg_m3 * STANDARD_GRAVITY_M_S2 * depth_m
    moment_n = min(pressure_pa * depth_m**2 / 6.0, pressure_pa * length_m**2 / 12.0)
    return 6.0 * moment_n / thickness_m**2


def check_overhang(
    length_m: float,
    overhang_m: float,
    centre_behind_edge_m: float,
    *,
    allowed_m: float = 0.0,
    bracket_spacing_m: float = BRACKET_SPACING_M[1],
) -> Overhang:
    """Set an overhang beside what is allowed without support, and propose places for brackets.

    length_m                 of the overhanging edge, m
    overhang_m               beyond the support, m
    centre_behind_edge_m     of the counter's centre of gravity behind the edge of the support, m; negative: beyond it
    allowed_m                without support, as `overhang_allowed` gives it
    bracket_spacing_m        greatest distance between brackets

    Brackets are proposed, not designed.
    """
    require_positive("length", length_m, "m")
    require_not_negative("overhang", overhang_m, "m")
    require_not_negative("allowed overhang", allowed_m, "m")
    require_finite("centre of gravity behind the support's edge", centre_behind_edge_m, "m")
    over = Overhang(overhang_m, allowed_m, centre_behind_edge_m > 0.0, ())
    if not over.needs_support:
        return over
    return replace(over, bracket_places_m=bracket_places(length_m, bracket_spacing_m))


def bracket_places(length_m: float, spacing_m: float = BRACKET_SPACING_M[1]) -> tuple[float, ...]:
    """Places of brackets along an edge, m: the fewest within the spacing, even, half a bay at the ends.

    >>> [round(x, 3) for x in bracket_places(1.8)]
    [0.3, 0.9, 1.5]
    """
    require_positive("length", length_m, "m")
    require_positive("spacing of brackets", spacing_m, "m")
    count = max(1, ceil(length_m / spacing_m - 1e-9))
    bay_m = length_m / count
    return tuple(bay_m * (number + 0.5) for number in range(count))
