"""Loads of an installed piece: anchors, overhangs, floor loads, planter walls, wind."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from math import ceil, sqrt

from estimator.constants import (
    STANDARD_GRAVITY_M_S2,
    require_finite,
    require_not_negative,
    require_positive,
    require_within,
)
from estimator.errors import FaultError, at_key
from estimator.handling.doubts import Doubt
from estimator.handling.rigging import TWO_POINT_PART
from estimator.handling.sections import flat_piece
from estimator.handling.strength import StressCheck
from estimator.job import Piece
from estimator.weight import Weight
from estimator.workings import Formula, Working, figure
from estimator.workshop import HandlingSettings
from geometry import shapes
from geometry.frozen import frozen
from geometry.message import Message, message
from geometry.solid import Solid

ANCHOR_NOTE = message("anchor-loads")
DEAD_LOAD = message("source-dead-load")
COUPLE = Formula("weight_kg · gravity_m_s2 · out_m", "N·m", DEAD_LOAD)
PUSH = Formula("couple_n_m / lever_m", "N", DEAD_LOAD)
NOT_DESIGNED = message("brackets-suggested")


@frozen
class HungPanel:
    """A panel's dead load on its anchors."""

    bearing_kg: tuple[float, ...]  # largest possible share of the weight on each anchor, in the order given
    couple_n_m: float  # weight times its distance out from the bearing
    pull_n: tuple[float, ...]  # out of the wall, at each anchor
    push_n: float  # into the wall, at the foot
    note: Message = ANCHOR_NOTE


def hung_panel(
    weight_kg: float, anchors_x_m: Sequence[float], center_x_m: float, out_m: float, lever_m: float
) -> HungPanel:
    """Dead load of a panel by anchor, and the couple of its eccentricity.

    weight_kg      HIGH side, soaked if it is outdoors, kg
    anchors_x_m    positions of the bearing anchors along the panel, m
    center_x_m     position of the center of gravity along the panel, m
    out_m          distance of the center of gravity from the plane of the bearing, m
    lever_m        height of the anchors above the point where the foot of the panel rests against the wall, m

    A rigid panel on more than two anchors may bear on any two of them. Each anchor gets its largest possible share, so
    the shares sum to more than the weight.
    """
    require_positive("weight", weight_kg, "kg")
    require_not_negative("distance-of-the-center-of-gravity-from-the-bearing", out_m, "m")
    require_positive("lever-between-anchors-and-foot", lever_m, "m")
    require_finite("center-of-gravity-along-the-panel", center_x_m, "m")
    if len(anchors_x_m) < 2:
        raise FaultError("", message("anchors-too-few", count=len(anchors_x_m)))
    shares = [0.0] * len(anchors_x_m)
    for i, left in enumerate(anchors_x_m):
        for j, right in enumerate(anchors_x_m):
            if left < right and left <= center_x_m <= right:
                on_left = (right - center_x_m) / (right - left)
                shares[i] = max(shares[i], on_left)
                shares[j] = max(shares[j], 1.0 - on_left)
    if not any(shares):
        raise FaultError("", message("anchors-off-center", center_m=center_x_m))
    couple_n_m: float = COUPLE.function(weight_kg=weight_kg, gravity_m_s2=STANDARD_GRAVITY_M_S2, out_m=out_m)
    push_n: float = PUSH.function(couple_n_m=couple_n_m, lever_m=lever_m)
    return HungPanel(
        bearing_kg=tuple(weight_kg * share for share in shares),
        couple_n_m=couple_n_m,
        pull_n=tuple(push_n * share for share in shares),
        push_n=push_n,
    )


def tipping_pressure(weight_kg: float, side_m: float, height_m: float, foot_m: float) -> float:
    """Wind pressure on one side that tips a free-standing piece over the far edge of its foot, Pa.

    weight_kg   LOW side of the empty piece, kg
    side_m      length of the side, m
    foot_m      width of the foot, square to that side, m

    Moments: weight times half the foot, against pressure times area times half the height. Source: statics.

    >>> round(tipping_pressure(40.0, 1.0, 0.8, 0.4))
    245
    """
    require_positive("weight", weight_kg, "kg")
    for name, value_m in (("side", side_m), ("height", height_m), ("foot", foot_m)):
        require_positive(name, value_m, "m")
    return weight_kg * STANDARD_GRAVITY_M_S2 * foot_m / (side_m * height_m**2)


@frozen
class Overhang:
    """A counter's edge beyond its support."""

    overhang_m: float
    allowed_m: float  # without support
    stays_put: bool  # False if the counter would tip off its cabinets under its own weight
    bracket_places_m: tuple[float, ...]  # along the length; empty if none is proposed
    bracket_note: Message = NOT_DESIGNED

    @property
    def needs_support(self) -> bool:
        """Whether it exceeds the overhang allowed without a subtop or brackets."""
        return self.overhang_m > self.allowed_m * (1.0 + 1e-9)


def supported_area(shape: shapes.Shape, size_m: tuple[float, float, float], plan_m2: float, overhang_m: float) -> float:
    """Area on which a standing piece bears, m².

    plan_m2     its plan net of openings: an L-shaped counter bears on its L, and nothing carries it at its sink
    overhang_m  what it reaches over its support, from its depth

    A foot narrower than the piece, and an overhang, take the same share of the plan as of the outer rectangle.
    """
    along_m, across_m = shape.foot_m(size_m)
    return plan_m2 * (along_m / size_m[0]) * (across_m / size_m[1]) * (1.0 - overhang_m / size_m[1])


def overhang_allowed(
    depth_m: float,
    thickness_m: float,
    density_kg_m3: float,
    first_crack_pa: float | None,
    settings: HandlingSettings,
) -> float:
    """Longest overhang of a counter allowed without support, m; 0 for an untested mix or a thin top.

    depth_m          depth of the counter, front to back
    density_kg_m3    high side
    first_crack_pa   lower tested limit of proportionality; None without a test

    The smallest of the shop's limit, a third of the depth, and the overhang at which edge load and self-weight reach
    the first-crack strength divided by the factor. The edge load acts on a width of twice the overhang:
    M = P o + ρ g t · 2 o · o² / 2 on a width of 2 o, so σ = 3 (P + ρ g t o²) / t².
    """
    for name, value in (("depth", depth_m), ("thickness", thickness_m)):
        require_positive(name, value, "m")
    require_positive("density", density_kg_m3, "kg/m³")
    if first_crack_pa is None or thickness_m < settings.overhang_least_thickness_m - 1e-9:
        return 0.0
    spare_n = first_crack_pa / settings.crack_factor * thickness_m**2 / 3.0 - settings.overhang_edge_load_n
    if spare_n <= 0.0:
        return 0.0
    by_strength_m = sqrt(spare_n / (density_kg_m3 * STANDARD_GRAVITY_M_S2 * thickness_m))
    return min(settings.overhang_most_m, depth_m / 3.0, by_strength_m)


def wall_stress(depth_m: float, length_m: float, thickness_m: float, soil_kg_m3: float, pressure_ratio: float) -> float:
    """Bending stress at the foot of a planter's wall under wet soil, Pa.

    depth_m          depth of the soil, m
    length_m         length of the wall between the end walls, m
    pressure_ratio   horizontal pressure over vertical pressure of the soil

    Source: statics. As a cantilever from the base M = K ρ g h³ / 6 per meter; spanning between end walls
    M = K ρ g h L² / 12 at the foot, where the pressure is largest. The stiffer direction governs, so the smaller moment
    counts.

    >>> round(wall_stress(0.6, 2.0, 0.016, 1762.0, 0.5) / 1e6, 1)
    7.3
    """
    for name, value in (("soil-depth", depth_m), ("length", length_m), ("wall", thickness_m)):
        require_positive(name, value, "m")
    pressure_pa = pressure_ratio * soil_kg_m3 * STANDARD_GRAVITY_M_S2 * depth_m
    moment_n = min(pressure_pa * depth_m**2 / 6.0, pressure_pa * length_m**2 / 12.0)
    return 6.0 * moment_n / thickness_m**2


def check_overhang(
    length_m: float,
    overhang_m: float,
    center_behind_edge_m: float,
    *,
    allowed_m: float,
    bracket_spacing_m: float,
) -> Overhang:
    """Check an overhang against the one allowed without support, and propose positions for brackets.

    length_m                 length of the overhanging edge, m
    overhang_m               overhang beyond the support, m
    center_behind_edge_m     distance of the center of gravity behind the edge of the support, m; negative if beyond it
    allowed_m                overhang allowed without support, from `overhang_allowed`
    bracket_spacing_m        largest distance between brackets

    Brackets are proposed, not designed.
    """
    require_positive("length", length_m, "m")
    require_not_negative("overhang", overhang_m, "m")
    require_not_negative("allowed-overhang", allowed_m, "m")
    require_finite("center-of-gravity-behind-the-supports-edge", center_behind_edge_m, "m")
    over = Overhang(overhang_m, allowed_m, center_behind_edge_m > 0.0, ())
    if not over.needs_support:
        return over
    return replace(over, bracket_places_m=bracket_places(length_m, bracket_spacing_m))


def bracket_places(length_m: float, spacing_m: float) -> tuple[float, ...]:
    """Positions of brackets along an edge, m: as few as the spacing allows, evenly spaced, half a bay at the ends.

    >>> [round(x, 3) for x in bracket_places(1.8, 0.6)]
    [0.3, 0.9, 1.5]
    """
    require_positive("length", length_m, "m")
    require_positive("spacing-of-brackets", spacing_m, "m")
    count = max(1, ceil(length_m / spacing_m - 1e-9))
    bay_m = length_m / count
    return tuple(bay_m * (number + 0.5) for number in range(count))


UPPER_PART = 1.0 - TWO_POINT_PART  # default height of the anchors: the upper of the two points of equal bending


@frozen
class Hung:
    """A hung piece. `proposed` if the job gives no anchors, so that points of equal bending are proposed."""

    weight_kg: float
    anchors_m: tuple[float, ...]
    height_m: float
    out_m: float
    proposed: bool
    load: HungPanel


@frozen
class Standing:
    """Load of a standing piece on its support.

    kg_per_m2     load over the area that bears it
    posted_kg_m2  posted or design floor load of the site; None if unknown
    kg_per_m      load of a counter per length of its cabinets, of a leg or splash along its foot; None for other pieces
    """

    weight_kg: float
    kg_per_m2: float
    posted_kg_m2: float | None
    kg_per_m: float | None
    overhang: Overhang | None
    walls: StressCheck | None = None  # walls of a planter under wet soil
    walls_unknown: bool = False  # for a planter that is not a trough, whose walls are not checked
    foot_kg: float | None = None  # load on one of four feet of a full planter; on an uneven floor two carry all
    wind_pa: float | None = None  # wind pressure that tips an empty outdoor planter

    @property
    def within_posted(self) -> bool | None:
        return None if self.posted_kg_m2 is None else self.kg_per_m2 <= self.posted_kg_m2


@frozen
class InUse:
    """Loads of an installed piece: `hung` for one that hangs on a wall, `standing` for any other."""

    hung: Hung | None
    standing: Standing | None

    @property
    def doubts(self) -> tuple[Doubt, ...]:
        """Doubts about floor load, overhang and planter walls."""
        standing = self.standing
        if standing is None:
            return ()
        doubts = [] if standing.within_posted is not False else [Doubt("floor-over")]
        if standing.overhang is not None and not standing.overhang.stays_put:
            doubts.append(Doubt("tips-off-support"))
        if standing.overhang is not None and standing.overhang.needs_support:
            doubts.append(Doubt("overhang-unsupported"))
        if standing.walls is not None and not standing.walls.shown_safe:
            doubts.append(Doubt("walls-untested" if standing.walls.strength == "untested" else "walls-not-enough"))
        if standing.walls_unknown:
            doubts.append(Doubt("walls-not-checked"))
        return tuple(doubts)


ON_FOOT = ("leg", "splash")
"""Parts that stand on one edge, so that their plan bears nothing."""


def is_hung(piece: Piece) -> bool:
    """Whether it hangs on a wall, as panels do by default."""
    return piece.use == "panel" if piece.in_place.hung is None else piece.in_place.hung


def in_use(
    piece: Piece,
    solid: Solid,
    plan_m2: float,
    weight: Weight,
    floor_load_kg_m2: float | None,
    settings: HandlingSettings,
    first_crack_pa: float | None,
) -> InUse:
    """Loads of an installed piece on its wall, floor or cabinets, from its largest HIGH-side weight.

    plan_m2   its plan area net of openings

    Raises FaultError if the center of gravity is not between the anchors, the overhang is wider than the piece, or
    either is given for a piece that has none.
    """
    size_m = solid.size_m
    _refuse_idle(piece)
    center_m = [at - low for at, low in zip(weight.centers_m["installed"], solid.lowest_m, strict=True)]
    if is_hung(piece):
        return InUse(_hung(piece, size_m, center_m, weight.high_kg), None)
    weight_kg = weight.filled_kg or weight.high_kg
    overhang = None
    over_m = piece.in_place.overhang_m
    if over_m is not None:
        if over_m >= size_m[1]:
            raise FaultError("in_place.overhang", message("overhang-is-all", overhang_m=over_m))
        overhang = check_overhang(
            size_m[0],
            over_m,
            center_m[1] - over_m,
            allowed_m=overhang_allowed(
                size_m[1],
                thickness_of(piece.shape, solid),
                weight.installed.high_kg / solid.volume_m3,
                first_crack_pa,
                settings,
            ),
            bracket_spacing_m=settings.bracket_spacing_m,
        )
    kg_per_m = weight_kg / size_m[0] if piece.use == "counter" or piece.part in ON_FOOT else None
    walls = _walls(piece, first_crack_pa, settings)
    floor_kg_m2 = weight_kg / supported_area(piece.shape, size_m, plan_m2, over_m or 0.0)
    standing = Standing(weight_kg, floor_kg_m2, floor_load_kg_m2, kg_per_m, overhang, walls)
    if piece.use == "planter":
        wind_pa = None if piece.in_place.outdoors is False else _tipping_pressure(piece.shape, size_m, weight.low_kg)
        unknown = walls is None
        standing = replace(standing, walls_unknown=unknown, foot_kg=weight_kg / 2.0, wind_pa=wind_pa)
    return InUse(None, standing)


def _refuse_idle(piece: Piece) -> None:
    """Raise FaultError for what the job gives of a hung piece if it stands, or of a standing one if it hangs."""
    place = piece.in_place
    if is_hung(piece):
        if place.overhang_m is not None:
            raise FaultError("in_place.overhang", message("overhang-of-hung"))
    elif place.anchors_m is not None:
        raise FaultError("in_place.anchors", message("anchors-of-standing"))
    elif place.anchor_height_m is not None:
        raise FaultError("in_place.anchor_height", message("anchors-of-standing"))


def _tipping_pressure(shape: shapes.Shape, size_m: tuple[float, float, float], low_kg: float) -> float:
    """Wind pressure that tips a piece over the narrower side of its foot, Pa; the foot is its base."""
    across = 0 if size_m[0] < size_m[1] else 1
    foot_m = shape.foot_m(size_m)[across]
    return tipping_pressure(low_kg, size_m[1 - across], size_m[2], foot_m)


def thickness_of(shape: shapes.Shape, solid: Solid) -> float:
    """Smallest thickness of a plate, m; for other shapes the smallest outer dimension."""
    flat = flat_piece(shape, solid)
    return min(solid.size_m) if flat is None else flat.thickness_m


def _walls(piece: Piece, first_crack_pa: float | None, settings: HandlingSettings) -> StressCheck | None:
    """Check the long walls of an open trough full of wet soil; None for other pieces."""
    trough = piece.shape.trough()
    if piece.use != "planter" or trough is None:
        return None
    stress_pa = wall_stress(
        trough.height_m - trough.base_m,
        max(trough.length_m, trough.width_m) - 2.0 * trough.wall_m,
        trough.wall_m,
        settings.wet_soil_kg_m3,
        settings.soil_pressure,
    )
    return StressCheck(stress_pa, first_crack_pa, settings.crack_factor)


def _hung(piece: Piece, size_m: tuple[float, float, float], center_m: list[float], weight_kg: float) -> Hung:
    length_m, height_m, deep_m = size_m
    given = piece.in_place.anchors_m
    anchors_m = given if given else (TWO_POINT_PART * length_m, (1.0 - TWO_POINT_PART) * length_m)
    for place_m in (min(anchors_m), max(anchors_m)):
        _within("in_place.anchors", "anchor", place_m, length_m)
    lever_m = piece.in_place.anchor_height_m or UPPER_PART * height_m
    _within("in_place.anchor_height", "anchor-height", lever_m, height_m)
    slices = piece.shape.slices()
    if slices is None:
        out_m = max(center_m[2], deep_m - center_m[2])  # it is not known which side faces the wall, so take the worse
    else:
        out_m = center_m[2] if slices.down else deep_m - center_m[2]  # from the back to the middle
    with at_key("in_place.anchors"):
        load = hung_panel(weight_kg, sorted(anchors_m), center_m[0], out_m, lever_m)
    return Hung(weight_kg, tuple(sorted(anchors_m)), lever_m, out_m, given is None, load)


def _within(key: str, what: str, place_m: float, most_m: float) -> None:
    if not 0.0 <= place_m <= most_m:
        with at_key(key):
            require_within(what, place_m, 0.0, most_m, "m")


def in_use_workings(at: str, used: InUse) -> Iterator[Working]:
    """Yield the workings of the load on a wall or floor; `at` is the path of the piece's handling."""
    hung, standing = used.hung, used.standing
    if hung is not None:
        yield COUPLE.working(
            f"{at}.hung.couple_n_m",
            weight_kg=hung.weight_kg,
            gravity_m_s2=STANDARD_GRAVITY_M_S2,
            out_m=hung.out_m,
        )
        yield PUSH.working(f"{at}.hung.push_n", couple_n_m=hung.load.couple_n_m, lever_m=hung.height_m)
    if standing is not None:
        yield figure(
            f"{at}.standing.kg_per_m2",
            "weight_kg / supported_m2",
            {"weight_kg": standing.weight_kg, "supported_m2": standing.weight_kg / standing.kg_per_m2},
            "kg/m²",
            message("source-floor-load"),
        )
