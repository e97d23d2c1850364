"""What stays after the installer has left: a hung panel on its anchors, a counter on its cabinets, a planter full."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from estimator.bounds import require_within
from estimator.errors import FaultError
from estimator.handling.doubts import Doubt
from estimator.handling.faults import HandlingError, at_key
from estimator.handling.flat import flat_piece
from estimator.handling.hanging import (
    CounterLoad,
    HungPanel,
    Overhang,
    check_overhang,
    counter_load,
    hung_panel,
    overhang_allowed,
    tipping_pressure,
    wall_stress,
)
from estimator.handling.picks import TWO_POINT_PART
from estimator.handling.strength import StressCheck
from estimator.job import Piece
from estimator.weight import Weight
from geometry import shapes
from geometry.solid import Solid

UPPER_PART = 1.0 - TWO_POINT_PART  # height of the anchors where none is given: the upper of two equal-bending points


@dataclass(frozen=True, slots=True)
class Hung:
    """A hung piece. `proposed` where the workshop gave no anchors: places that the piece itself would like best."""

    weight_kg: float
    anchors_m: tuple[float, ...]
    height_m: float
    out_m: float
    proposed: bool
    load: HungPanel


@dataclass(frozen=True, slots=True)
class Standing:
    """What a piece puts on what it stands on.

    kg_per_m2   on its own plan; a counter's on its supported depth
    posted_kg_m2  posted or designed floor load of the site; None where it is not known
    """

    weight_kg: float
    kg_per_m2: float
    posted_kg_m2: float | None
    counter: CounterLoad | None
    overhang: Overhang | None
    walls: StressCheck | None = None  # of a planter, against wet soil
    walls_unknown: bool = False  # a planter whose walls are not checked: not a trough
    foot_kg: float | None = None  # of a full planter, on one of four feet: on an uneven floor two carry all
    wind_pa: float | None = None  # pressure that tips an empty planter which stands outdoors

    @property
    def within_posted(self) -> bool | None:
        return None if self.posted_kg_m2 is None else self.kg_per_m2 <= self.posted_kg_m2


@dataclass(frozen=True, slots=True)
class InUse:
    """One of the two is None: a piece hangs or stands."""

    hung: Hung | None
    standing: Standing | None

    @property
    def doubts(self) -> tuple[Doubt, ...]:
        """What is not shown to be safe."""
        standing = self.standing
        if standing is None:
            return ()
        found = [] if standing.within_posted is not False else [Doubt("floor-over")]
        if standing.overhang is not None and not standing.overhang.stays_put:
            found.append(Doubt("tips-off-support"))
        if standing.overhang is not None and standing.overhang.needs_support:
            found.append(Doubt("overhang-unsupported"))
        if standing.walls is not None and not standing.walls.shown_safe:
            found.append(Doubt("walls-untested" if standing.walls.strength == "untested" else "walls-not-enough"))
        if standing.walls_unknown:
            found.append(Doubt("walls-not-checked"))
        return tuple(found)


def is_hung(piece: Piece) -> bool:
    """Whether it hangs on a wall: panels do unless said otherwise."""
    return piece.use == "panel" if piece.in_place.hung is None else piece.in_place.hung


def in_use(
    piece: Piece,
    solid: Solid,
    weight: Weight,
    floor_load_kg_m2: float | None,
    figures: Mapping[str, float],
    first_crack_pa: float | None = None,
) -> InUse:
    """How the finished piece loads what carries it, from its HIGH-side weight at its heaviest.

    Raises RangeError for anchors between which the piece does not balance, or an overhang wider than the piece.
    """
    size_m = solid.size_m
    centre_m = [at - low for at, low in zip(weight.centres_m["installed"], solid.lowest_m, strict=True)]
    if is_hung(piece):
        return InUse(_hung(piece, size_m, centre_m, weight.high_kg), None)
    filled = weight.filled
    weight_kg = weight.high_kg if filled is None else filled.high_kg
    counter, overhang, depth_m = None, None, size_m[1]
    over_m = piece.in_place.overhang_m
    if over_m is not None:
        if over_m >= size_m[1]:
            raise HandlingError(
                "in_place.overhang", f"{over_m:g} m is all of the piece: give what lies beyond its support"
            )
        depth_m -= over_m
        overhang = check_overhang(
            size_m[0],
            over_m,
            centre_m[1] - over_m,
            allowed_m=overhang_allowed(
                size_m[1],
                thickness_of(piece.shape, solid),
                weight.stages.installed.high_kg / solid.volume_m3,
                first_crack_pa,
                most_m=figures["handling.overhang_most"],
                least_thickness_m=figures["handling.overhang_least_thickness"],
                edge_load_n=figures["handling.overhang_edge_load"],
                required_factor=figures["handling.crack_factor"],
            ),
            bracket_spacing_m=figures["handling.bracket_spacing"],
        )
    if piece.use == "counter":
        counter = counter_load(weight_kg, size_m[0], depth_m)
    walls = _walls(piece, first_crack_pa, figures)
    floor_kg_m2 = weight_kg / (size_m[0] * depth_m)
    unknown = walls is None and piece.use == "planter"
    standing = Standing(weight_kg, floor_kg_m2, floor_load_kg_m2, counter, overhang, walls, unknown)
    if piece.use == "planter":
        wind_pa = None if piece.in_place.outdoors is False else _tipping_pressure(piece.shape, size_m, weight.low_kg)
        standing = replace(standing, foot_kg=weight_kg / 2.0, wind_pa=wind_pa)
    return InUse(None, standing)


def _tipping_pressure(shape: shapes.Shape, size_m: tuple[float, float, float], low_kg: float) -> float:
    """Over its narrower foot; of a box that narrows to its base, and of a turned piece, the foot is the base."""
    across = 0 if size_m[0] < size_m[1] else 1
    foot_m = size_m[across]
    match shape:
        case shapes.Box():
            foot_m = min(foot_m, (shape.base_length_m, shape.base_width_m)[across] or foot_m)
        case shapes.Revolution():
            lowest_m = min(z for _, z in shape.points_m)
            foot_m = 2.0 * max(r for r, z in shape.points_m if z <= lowest_m + 1e-9) or foot_m
        case _:
            pass
    return tipping_pressure(low_kg, size_m[1 - across], size_m[2], foot_m)


def thickness_of(shape: shapes.Shape, solid: Solid) -> float:
    """Thickness of a plate where it is thinnest, m; of any other shape its least outer size."""
    flat = flat_piece(shape, solid)
    return min(solid.size_m) if flat is None else flat.thickness_m


def _walls(piece: Piece, first_crack_pa: float | None, figures: Mapping[str, float]) -> StressCheck | None:
    """The long walls of an open trough full of wet soil."""
    shape = piece.shape
    if piece.use != "planter" or not isinstance(shape, shapes.Box) or not shape.open:
        return None
    stress_pa = wall_stress(
        shape.height_m - shape.base_m,
        max(shape.length_m, shape.width_m) - 2.0 * shape.wall_m,
        shape.wall_m,
        figures["handling.wet_soil"],
        figures["handling.soil_pressure"],
    )
    return StressCheck(stress_pa, first_crack_pa, figures["handling.crack_factor"])


def _hung(piece: Piece, size_m: tuple[float, float, float], centre_m: list[float], weight_kg: float) -> Hung:
    length_m, height_m, deep_m = size_m
    given = piece.in_place.anchors_m
    anchors_m = given if given else (TWO_POINT_PART * length_m, (1.0 - TWO_POINT_PART) * length_m)
    for place_m in (min(anchors_m), max(anchors_m)):
        _within("in_place.anchors", "anchor", place_m, length_m)
    lever_m = piece.in_place.anchor_height_m or UPPER_PART * height_m
    _within("in_place.anchor_height", "height of the anchors", lever_m, height_m)
    if isinstance(piece.shape, shapes.Panel):
        out_m = deep_m - centre_m[2]  # z runs from the face to the back
    elif isinstance(piece.shape, shapes.Slab | shapes.Outline):
        out_m = centre_m[2]  # its top is the face
    else:
        out_m = max(centre_m[2], deep_m - centre_m[2])  # not known which side hangs: the worse
    try:
        load = hung_panel(weight_kg, sorted(anchors_m), centre_m[0], out_m, lever_m)
    except FaultError as error:
        raise HandlingError("in_place.anchors", str(error)) from None
    return Hung(weight_kg, tuple(sorted(anchors_m)), lever_m, out_m, given is None, load)


def _within(key: str, what: str, place_m: float, most_m: float) -> None:
    at_key(key, lambda: require_within(what, place_m, 0.0, most_m, "m"))
