"""A flat piece as handling sees it: its plan along and across, its openings, what is deeper than the plate.

`along` runs the longer way of the plan and `across` the other, both from the corner of least x and y; the piece's own
axes are the shape's. Points go between the two by `own` and `seen`.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from estimator.handling.picks import Plan
from estimator.handling.sections import DropEdge, narrowest_strip
from geometry import shapes
from geometry.cutouts import outlines_of
from geometry.plane import Region
from geometry.solid import Solid

EdgeUp = Literal["front", "back", "left", "right", "bottom", "top"]

HIGH_SIDES: frozenset[EdgeUp] = frozenset({"back", "right", "top"})  # of the plan, where across is greatest
OPENING_PART = 0.25  # of the width: a cut-out that takes more is braced before the piece goes on edge; choice
BEARING_PARTS = (0.207, 0.17, 0.13, 0.10, 0.07, 0.04)  # of the length, from either end
BEARING_CLEAR_M = 0.05  # from a cut-out to the middle of a foam block; choice
RAIL_ALIKE_M = 0.001  # two rails whose widths differ by less are alike
CHORD_M = 0.001  # curves in plan as straight lines within this; their area is kept


@dataclass(frozen=True)
class FlatPiece:
    """A plate with its openings and deeper strips, in (along, across), m.

    outline, cutouts   rings of points, the outline's notches in
    thickness_m        of the plate where it is thinnest
    drops              strips of the plan that are deeper: drop edges of a slab, returns of a panel
    ignored            what stiffens or weakens it and is not counted
    """

    outline: tuple[Plan, ...]
    cutouts: tuple[tuple[Plan, ...], ...]
    thickness_m: float
    drops: tuple[DropEdge, ...]
    turned: bool
    corner_m: Plan
    ignored: tuple[str, ...]

    @cached_property
    def length_m(self) -> float:
        return max(x for x, _ in self.outline)

    @cached_property
    def width_m(self) -> float:
        return max(y for _, y in self.outline)

    @cached_property
    def narrowest_strip_m(self) -> float | None:
        """The narrowest strip beside a cut-out; None without cut-outs."""
        return narrowest_strip(self.outline, self.cutouts)

    def edges_at(self, along_m: float) -> tuple[float, float] | None:
        """Where a line across the piece enters and leaves it, m across; None where it leaves it in between."""
        from shapely.geometry import LineString, Polygon

        line = LineString([(along_m, -1.0), (along_m, self.width_m + 1.0)])
        met = Polygon(self.outline).intersection(line)
        if met.geom_type != "LineString" or met.is_empty:
            return None
        _, low, _, high = met.bounds
        return low, high

    @property
    def cutout_spans_m(self) -> tuple[tuple[float, float], ...]:
        """(from, to) of each cut-out along the piece."""
        return tuple((min(x for x, _ in ring), max(x for x, _ in ring)) for ring in self.cutouts)

    @property
    def needs_strongback(self) -> bool:
        """Whether a cut-out takes so much of the width that the piece goes on edge with a strongback alone."""
        spans_m = (max(y for _, y in ring) - min(y for _, y in ring) for ring in self.cutouts)
        return any(span_m > OPENING_PART * self.width_m for span_m in spans_m)

    @property
    def bearings_m(self) -> tuple[float, float]:
        """Where the piece bears on foam when it stands on edge, along it: outside every cut-out, never under one."""
        for part in BEARING_PARTS:
            places = (part * self.length_m, (1.0 - part) * self.length_m)
            if all(
                not low - BEARING_CLEAR_M < x < high + BEARING_CLEAR_M
                for x in places
                for low, high in self.cutout_spans_m
            ):
                return places
        return BEARING_PARTS[-1] * self.length_m, (1.0 - BEARING_PARTS[-1]) * self.length_m

    @cached_property
    def transposed(self) -> FlatPiece:
        """The same plate with along and across exchanged."""
        return FlatPiece(
            tuple((y, x) for x, y in self.outline),
            tuple(tuple((y, x) for x, y in ring) for ring in self.cutouts),
            self.thickness_m,
            tuple(DropEdge(drop.y0, drop.x0, drop.y1, drop.x1, drop.height_m) for drop in self.drops),
            not self.turned,
            self.corner_m,
            self.ignored,
        )

    def seen(self, point_m: Sequence[float]) -> Plan:
        """A point of the piece's own plan, as (along, across)."""
        x, y = point_m[0] - self.corner_m[0], point_m[1] - self.corner_m[1]
        return (y, x) if self.turned else (x, y)

    def own(self, point_m: Plan) -> Plan:
        """(along, across) in the piece's own plan."""
        x, y = (point_m[1], point_m[0]) if self.turned else point_m
        return x + self.corner_m[0], y + self.corner_m[1]


def edge_up(flat: FlatPiece, shape: shapes.Shape) -> EdgeUp:
    """The long side that goes up when the piece stands on edge.

    Beside a cut-out the wider rail goes down, since it bears; else a drop edge or return goes up, where nothing can
    chip it; else the front (a panel's top), which is seen most.
    """
    panel = isinstance(shape, shapes.Panel)
    low, high = ("left", "right") if flat.turned else (("bottom", "top") if panel else ("front", "back"))
    sides: tuple[EdgeUp, EdgeUp] = (low, high)  # type: ignore[assignment]
    if flat.cutouts:
        low_m = min(y for ring in flat.cutouts for _, y in ring)
        high_m = flat.width_m - max(y for ring in flat.cutouts for _, y in ring)
        if abs(low_m - high_m) > RAIL_ALIKE_M:
            return sides[0] if low_m < high_m else sides[1]
    at_low = any(drop.y0 <= 0.0 and drop.y1 < flat.width_m for drop in flat.drops)
    at_high = any(drop.y1 >= flat.width_m and drop.y0 > 0.0 for drop in flat.drops)
    if at_low != at_high:
        return sides[0] if at_low else sides[1]
    return sides[1] if panel and not flat.turned else sides[0]


def flat_piece(shape: shapes.Shape, solid: Solid) -> FlatPiece | None:
    """The shape as a flat piece, or None for one that is none: a box, a moulding, a bowl, a mesh, a shell."""
    match shape:
        case shapes.Slab():
            plate = Region.rectangle(shape.length_m, shape.width_m)
            ignored = [f"{len(shape.edge_profiles)} worked edges"] if shape.edge_profiles else []
            thinnest_m = min(shape.thickness_m, shape.taper.thickness_m if shape.taper else shape.thickness_m)
            ends = {"front": (0, 0), "back": (0, 1), "left": (1, 0), "right": (1, 1)}
            strips = [
                (*ends[side], drop.thickness_m, drop.height_m) for drop in shape.drop_edges for side in drop.sides
            ]
            return _flat(plate, shape.cutouts, thinnest_m, strips, solid, ignored)
        case shapes.Outline(wall_m=None):
            return _flat(shape.region, shape.cutouts, shape.thickness_m, [], solid, [])
        case shapes.Panel():
            plate = Region.rectangle(shape.length_m, shape.height_m)
            ignored = ["ribs"] if shape.ribs else []
            ends = {"bottom": (0, 0), "top": (0, 1), "left": (1, 0), "right": (1, 1)}
            strips = [(*ends[side], turn.thickness_m, turn.depth_m) for turn in shape.returns for side in turn.sides]
            cutouts = [opening.cutout for opening in shape.openings]
            return _flat(plate, cutouts, shape.skin_m, strips, solid, ignored)
        case _:
            return None


def _flat(
    plate: Region,
    cutouts: Sequence[shapes.Cutout],
    thickness_m: float,
    strips: Iterable[tuple[int, int, float, float]],
    solid: Solid,
    ignored: Sequence[str],
) -> FlatPiece:
    """strips: (0 along x or 1 along y, 0 at the low or 1 at the high side, width, depth) of each."""
    import shapely

    whole = plate.polygon(CHORD_M)
    openings = outlines_of(cutouts, whole)
    if openings:
        left = shapely.difference(whole, shapely.union_all([each.polygon(CHORD_M) for each in openings]))
        whole = max(shapely.get_parts(left), key=lambda part: part.area)
    x0, y0, x1, y1 = whole.bounds
    length_m, width_m = solid.size_m[0], solid.size_m[1]
    turned = width_m > length_m
    drops = []
    for axis, high, strip_m, depth_m in strips:
        if depth_m <= thickness_m:
            continue
        ends_m = (x1 - x0, y1 - y0)
        across_m = ends_m[1 - axis]
        low_m = across_m - strip_m if high else 0.0
        box = (0.0, low_m, ends_m[axis], low_m + strip_m)
        if (axis == 1) != turned:
            box = (box[1], box[0], box[3], box[2])
        drops.append(DropEdge(*box, depth_m))
    rings = [
        tuple((y - y0, x - x0) if turned else (x - x0, y - y0) for x, y in ring.coords[:-1])
        for ring in (whole.exterior, *whole.interiors)
    ]
    return FlatPiece(rings[0], tuple(rings[1:]), thickness_m, tuple(drops), turned, (x0, y0), tuple(ignored))
