"""What stays after the installer has left: a panel on its anchors, a counter on its cabinets.

Dead load and its eccentricity only. Wind, seismic load, anchors, walls and floors belong to a licensed engineer.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from estimator.bounds import INCH_M, STANDARD_GRAVITY_M_S2, require_finite, require_not_negative, require_positive

ANCHOR_NOTE = (
    "dead load and its eccentricity only: wind, seismic load, anchors and the wall are for a licensed engineer"
)
FLAGGED_OVERHANG_M = 6.0 * INCH_M  # common practice: flagged from 6 in without support
LONG_OVERHANG_M = 8.0 * INCH_M  # common practice: beyond 8 in never without
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
        raise ValueError(f"{len(anchors_x_m)} anchor: a panel needs at least two that bear")
    shares = [0.0] * len(anchors_x_m)
    for i, left in enumerate(anchors_x_m):
        for j, right in enumerate(anchors_x_m):
            if left < right and left <= centre_x_m <= right:
                on_left = (right - centre_x_m) / (right - left)
                shares[i] = max(shares[i], on_left)
                shares[j] = max(shares[j], 1.0 - on_left)
    if not any(shares):
        raise ValueError(
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


@dataclass(frozen=True, slots=True)
class CounterLoad:
    """A counter's dead load on what it stands on."""

    kg_per_m: float  # along the length
    kg_per_m2: float  # of supported area


@dataclass(frozen=True, slots=True)
class Overhang:
    """A counter's edge beyond its support."""

    overhang_m: float
    flag: str  # "" where it may stand without support
    stays_put: bool  # False where the counter would tip off its cabinets by its own weight
    bracket_places_m: tuple[float, ...]  # along the length; empty where none is proposed
    bracket_note: str = NOT_DESIGNED


def counter_load(weight_kg: float, length_m: float, supported_depth_m: float) -> CounterLoad:
    """Dead load of a counter by length and by supported area; people leaning and appliances come on top."""
    require_positive("weight", weight_kg, "kg")
    require_positive("length", length_m, "m")
    require_positive("supported depth", supported_depth_m, "m")
    return CounterLoad(weight_kg / length_m, weight_kg / (length_m * supported_depth_m))


def check_overhang(
    length_m: float,
    overhang_m: float,
    centre_behind_edge_m: float,
    *,
    flagged_m: float = FLAGGED_OVERHANG_M,
    bracket_spacing_m: float = BRACKET_SPACING_M[1],
) -> Overhang:
    """Flag an overhang over 6 to 8 in without support, and propose places for brackets each 16 to 24 in.

    length_m                 of the overhanging edge, m
    overhang_m               beyond the support, m
    centre_behind_edge_m     of the counter's centre of gravity behind the edge of the support, m; negative: beyond it

    flagged_m                from which an overhang is flagged; beyond 8 in it is never without support
    bracket_spacing_m        greatest distance between brackets

    Brackets are proposed, not designed.
    """
    require_positive("length", length_m, "m")
    require_not_negative("overhang", overhang_m, "m")
    require_finite("centre of gravity behind the support's edge", centre_behind_edge_m, "m")
    stays_put = centre_behind_edge_m > 0.0
    if overhang_m <= min(flagged_m, LONG_OVERHANG_M) * (1.0 + 1e-9):
        return Overhang(overhang_m, "", stays_put, ())
    if overhang_m <= LONG_OVERHANG_M * (1.0 + 1e-9):
        flag = f"overhang over {flagged_m / INCH_M:.3g} in ({flagged_m * 1000:.0f} mm) without support: support it"
    else:
        flag = "overhang over 8 in (203 mm): not without support"
    return Overhang(overhang_m, flag, stays_put, bracket_places(length_m, bracket_spacing_m))


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
