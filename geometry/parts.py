"""Parts of a flat piece that is cut along seams; each part is a piece of its own."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace
from typing import TypeGuard

import shapely

from geometry.cutouts import Cutout, OutlineCutout
from geometry.errors import FaultError, require
from geometry.frozen import frozen
from geometry.message import message
from geometry.plan_edges import Edge, EdgePart, chosen
from geometry.plane import Region
from geometry.shapes import Outline, Shape, Slab
from geometry.split import Chord, Opening, PlanPart, split_plan

CURVE_M = 1e-6
"""Chord tolerance when positions along a curve are looked up."""

ON_EDGE_M = 1e-5
"""Distance within which a line of a part is on an edge of the whole. It is less than half a seam."""

SHORT_M = 1e-5

LEAST_JOINT = 4.0
"""Shortest joint of a part at a seam, in widths of the seam."""


@frozen
class PlatePart:
    """One part of a cut piece, in the coordinates of the whole.

    joints  stretches of the seams that run along this part, m
    """

    shape: Outline
    joints: tuple[Chord, ...]


def can_be_cut(shape: Shape) -> TypeGuard[Slab | Outline]:
    """Whether a shape is a flat piece of constant thickness, which seams may cut."""
    return shape.taper is None if isinstance(shape, Slab) else isinstance(shape, Outline) and shape.wall_m is None


def footprint(shape: Slab | Outline) -> Region:
    """The plan of a flat piece with its holes, without cut-outs."""
    return Region.rectangle(shape.length_m, shape.width_m) if isinstance(shape, Slab) else shape.region


def notches_of(shape: Shape) -> tuple[Cutout, ...]:
    """Cut-outs of a flat piece that run out through an edge, as left by a seam through a sink."""
    if not can_be_cut(shape) or not shape.cutouts:
        return ()
    plan = Region(footprint(shape).outer).polygon()
    outlines = [Region(cutout.outline("cutouts").outer).polygon() for cutout in shape.cutouts]
    return tuple(
        [cutout for cutout, area in zip(shape.cutouts, outlines, strict=True) if not plan.contains_properly(area)]
    )


def cut_shape(shape: Shape, seams: Sequence[Chord], width_m: float, through: Collection[int] = ()) -> list[PlatePart]:
    """Parts of a flat piece between seams, sorted by x, then y, of their lower left corners.

    seams     from edge to edge, in the plan of the piece, m
    width_m   width of a seam
    through   numbers of the seams that may run through openings: each part then has a notch between two rails

    Raises FaultError for a shape that seams cannot cut, and for an invalid seam.
    """
    if not can_be_cut(shape):
        raise FaultError("seams", message("seam-no-plate"))
    plan = footprint(shape)
    cutouts = [cutout.outline("cutouts").outer for cutout in shape.cutouts]
    parts = split_plan(plan.outer, [*plan.holes, *cutouts], seams, width_m, through)
    for part in parts:
        for opening in part.openings:
            own = opening.number - len(plan.holes)
            rim = own >= 0 and shape.cutouts[own].rim_thickness_m is not None
            require(opening.is_whole or not rim, "seams", message("seam-through-rim"))
    return [_part(shape, part, seams, width_m) for part in parts]


def _part(shape: Slab | Outline, plan: PlanPart, seams: Sequence[Chord], width_m: float) -> PlatePart:
    count = len(footprint(shape).holes)
    region = Region(plan.outer, tuple(own.ring for own in plan.openings if own.number < count and own.is_whole))
    cutouts = tuple(
        _cutout(shape, own, own.number - count) for own in plan.openings if own.number >= count or not own.is_whole
    )
    outline = Outline(region, shape.thickness_m, cutouts=cutouts)
    runs = _runs(shape, outline)
    outline = replace(
        outline,
        drop_edges=tuple(
            replace(drop, edges=own)
            for drop in shape.drop_edges
            if (own := _carried_over(shape, drop.edges, runs, "drop_edges"))
        ),
        edge_profiles=tuple(
            replace(profile, edges=own)
            for profile in shape.edge_profiles
            if (own := _carried_over(shape, profile.edges, runs, "edge_profiles"))
        ),
        raw_edges=(*_carried_over(shape, shape.raw_edges, runs, "raw_edges"), *_cut_edges(runs)),
    )
    try:
        outline.edged_plate  # noqa: B018  computed to check that it is possible
    except FaultError:
        raise FaultError("seams", message("seam-no-room")) from None
    reach = region.polygon().buffer(width_m + 1e-6)
    cut = [Region(own.ring).polygon().buffer(width_m) for own in plan.openings if not own.is_whole]
    reach = reach.difference(shapely.union_all(cut)) if cut else reach
    joints = []
    for start, end in seams:
        along = [
            part
            for part in shapely.get_parts(shapely.LineString([start, end]).intersection(reach))
            if part.geom_type == "LineString" and part.length > LEAST_JOINT * width_m + 1e-6
        ]
        joints += [(line.coords[0], line.coords[-1]) for line in along]
    return PlatePart(outline, tuple(joints))


def edges_on_part(shape: Slab | Outline, part: Outline, names: tuple[Edge, ...], key: str) -> tuple[Edge, ...]:
    """Edges of a part, or stretches of them, that coincide with named edges of the whole piece, in their order.

    key  key of the list for error messages

    Raises FaultError like `chosen`.
    """
    return _carried_over(shape, names, _runs(shape, part), key)


@frozen
class _Run:
    """A line or arc of the outline of a part, with its position on the edge of the part and of the whole.

    edge          number of the edge of the part
    from_m, to_m  position along that edge
    length_m      of that edge
    whole         number of the edge of the whole that it is on; None if a seam made it
    whole_from_m  position of its start along the edge of the whole
    """

    edge: int
    name: Edge  # the side that only this edge of the part faces, else its number
    from_m: float
    to_m: float
    length_m: float
    whole: int | None
    whole_from_m: float


def _runs(shape: Slab | Outline, part: Outline) -> list[_Run]:
    """Lines and arcs of the outline of a part, in order along its edges."""
    lines = [(edge, edge.line(CURVE_M)) for edge in shape.numbered_edges]
    runs = []
    sides = [edge.side for edge in part.numbered_edges]
    for own in part.numbered_edges:
        name = own.side if own.side is not None and sides.count(own.side) == 1 else own.number
        along_m = 0.0
        for segment in own.segments:
            start, middle = (shapely.Point(p.real, p.imag) for p in (segment.start, segment.at(segment.length_m / 2)))
            whole, line = min(lines, key=lambda entry: entry[1].distance(middle))
            is_on_edge = line.distance(middle) <= ON_EDGE_M
            from_m = _along(line, start, whole.length_m) if is_on_edge else 0.0
            number = whole.number if is_on_edge else None
            runs.append(_Run(own.number, name, along_m, along_m + segment.length_m, own.length_m, number, from_m))
            along_m += segment.length_m
    return runs


def _along(line: shapely.LineString, point: shapely.Point, length_m: float) -> float:
    """Distance along an edge of a point on it, m; `line` is the edge as chords."""
    share: float = shapely.line_locate_point(line, point, normalized=True)
    return share * length_m


def _carried_over(shape: Slab | Outline, names: tuple[Edge, ...], runs: Sequence[_Run], key: str) -> tuple[Edge, ...]:
    """Edges of a part, or stretches of them, that coincide with named edges of the whole."""
    if not names:
        return ()
    edges = []
    for stretch in chosen(shape.numbered_edges, names, key):
        for run in runs:
            if run.whole != stretch.number:
                continue
            low = max(stretch.from_m, run.whole_from_m)
            high = min(stretch.to_m, run.whole_from_m + run.to_m - run.from_m)
            if high - low > SHORT_M:
                shift = run.from_m - run.whole_from_m
                edges.append(_stretch(run, low + shift, high + shift))
    return tuple(edges)


def _cut_edges(runs: Sequence[_Run]) -> tuple[Edge, ...]:
    """Edges of a part along seams, which are raw because the adjacent part hides them."""
    return tuple(_stretch(run, run.from_m, run.to_m) for run in runs if run.whole is None)


def _stretch(run: _Run, from_m: float, to_m: float) -> Edge:
    """The stretch of an edge as an `EdgePart`, or the name of the edge if it is all of it."""
    if from_m <= SHORT_M and to_m >= run.length_m - SHORT_M:
        return run.name
    return EdgePart(run.edge, from_m=max(from_m, 0.0), to_m=min(to_m, run.length_m))


def _cutout(shape: Slab | Outline, opening: Opening, number: int) -> Cutout:
    """A cut-out of a part: that of the whole, or its remainder after a seam; the remainder of a hole is finished."""
    if number >= 0 and opening.is_whole:
        return shape.cutouts[number]
    region = Region(opening.ring)
    if number < 0:
        return OutlineCutout(region, edge="finished")
    return OutlineCutout(region, edge=shape.cutouts[number].edge, depth_m=shape.cutouts[number].depth_m)
