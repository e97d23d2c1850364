"""A piece as it is drawn: from above, cut across, and as lines of a mesh; and the plan area that a client pays for.

A slab, an outline and a panel are seen on their face, everything else from its top. What hangs below, such as drops,
returns and ribs, is hidden. Coordinates are the x and y of the piece's own axes, m.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from math import hypot, pi
from typing import Any, Literal

import numpy as np
import shapely
from numpy.typing import NDArray

from geometry.arrays import Floats, Ints
from geometry.box import RoundedFrustum, box_body
from geometry.compound import faceted, stacked
from geometry.cutouts import outlines_of
from geometry.errors import FaultError
from geometry.extrusion import extrusion_body
from geometry.facets import edges_of, without_degenerate
from geometry.outline import outline_body
from geometry.panel import panel_body
from geometry.plan import NEAR, Path, Plan, fine_polygon, paths_of, regions_of_area, united
from geometry.plane import Region, Ring, bounds_of
from geometry.relief import Zone
from geometry.revolution import revolution_body
from geometry.shapes import Box, Compound, Cutout, Extrusion, MeshBody, Outline, Panel, Revolution, Shape, Slab
from geometry.slab import slab_body
from geometry.solid import measure

SHARP_DEG = 25.0
"""Facets that meet at more than this make an edge; a smooth surface in facets does not."""

HIDING_FACETS = 100_000
"""Up to so many facets the edges behind them are told apart; a larger mesh is drawn as if it were of glass."""

LINES = 20_000
"""So many edges are drawn, the longest."""

SAMPLES = 24
"""Places along an edge at which it is looked whether a facet hides it."""


@dataclass(frozen=True, eq=False)
class View:
    """A direction of sight: unit vectors to the right, upwards, and from the object to the eye."""

    right: Floats
    up: Floats
    to_eye: Floats


_X, _Y, _Z = np.eye(3)

VIEWS = {"front": View(_X, _Z, -_Y), "right": View(_Y, _Z, _X), "top": View(_X, _Y, _Z)}
"""Views along the axes of a piece: x to the right, y to the back, z up."""


def view_lines(vertices: Floats, faces: Ints, view: View) -> tuple[list[Floats], list[Floats]]:
    """Edges in view and edges hidden, each a line (2, 2) of what lies to the right and up, m.

    vertices  (v, 3), m
    faces     (n, 3) corners anticlockwise from outside

    An edge is drawn where its facets meet at more than `SHARP_DEG`, where one faces the eye and the other does not,
    and where only one facet is there.
    """
    faces = without_degenerate(faces)
    flat = np.stack([vertices @ view.right, vertices @ view.up], axis=1)
    depth = vertices @ view.to_eye
    ends = _edges_to_draw(vertices, faces, view)
    lengths = np.hypot(*(flat[ends[:, 1]] - flat[ends[:, 0]]).T)
    size = float(np.ptp(flat[faces.ravel()], axis=0).max())
    chosen = np.argsort(-lengths, kind="stable")[:LINES]
    ends = ends[chosen[lengths[chosen] > 1e-6 * size]]
    if len(faces) > HIDING_FACETS:
        return [flat[pair] for pair in ends], []
    hidden = _hidden(flat, depth, faces, ends, size)
    return _runs(flat, ends, ~hidden), _runs(flat, ends, hidden)


def _edges_to_draw(vertices: Floats, faces: Ints, view: View) -> Ints:
    """(m, 2) vertices of the edges worth a line."""
    corners = vertices[faces]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    normals /= np.maximum(np.linalg.norm(normals, axis=1, keepdims=True), 1e-300)
    facing = normals @ view.to_eye > 1e-9
    edges = edges_of(faces)
    left, right, _ = edges.pairs()
    paired = edges.uses == 2
    sharp = (normals[left] * normals[right]).sum(axis=1) < np.cos(np.radians(SHARP_DEG))
    drawn = ~paired
    drawn[paired] = sharp | (facing[left] != facing[right])
    ends: Ints = edges.ends[drawn]
    return ends


def _hidden(flat: Floats, depth: Floats, faces: Ints, ends: Ints, size: float) -> NDArray[np.bool_]:
    """(m, SAMPLES) whether a facet lies between the eye and the middle of each stretch of an edge."""
    along = (np.arange(SAMPLES) + 0.5) / SAMPLES
    start, end = ends.T
    spots = flat[start][:, None] + along[:, None] * (flat[end] - flat[start])[:, None]
    spot_depth = depth[start][:, None] + along * (depth[end] - depth[start])[:, None]
    spots, spot_depth = spots.reshape(-1, 2), spot_depth.ravel()

    a, b, c = flat[faces[:, 0]], flat[faces[:, 1]], flat[faces[:, 2]]
    area = (b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0]
    (broad,) = np.nonzero(np.abs(area) > 1e-9 * size**2 / max(len(faces), 1))
    tree = shapely.STRtree(shapely.polygons(flat[faces[broad]]))
    spot, facet = tree.query(shapely.points(spots), predicate="intersects")
    facet = broad[facet]
    away = spots[spot] - a[facet]
    u = (away[:, 0] * (c - a)[facet, 1] - away[:, 1] * (c - a)[facet, 0]) / area[facet]
    v = (away[:, 1] * (b - a)[facet, 0] - away[:, 0] * (b - a)[facet, 1]) / area[facet]
    corner = depth[faces[facet]]
    over = corner[:, 0] + u * (corner[:, 1] - corner[:, 0]) + v * (corner[:, 2] - corner[:, 0])
    hidden = np.zeros(len(spots), dtype=bool)
    # A facet beside the edge itself lies at the same depth, up to rounding.
    hidden[spot[over > spot_depth[spot] + 1e-4 * size]] = True
    return hidden.reshape(-1, SAMPLES)


def _runs(flat: Floats, ends: Ints, wanted: NDArray[np.bool_]) -> list[Floats]:
    """The stretches of edges at which `wanted` (m, SAMPLES) holds, neighbours joined."""
    padded = np.pad(wanted, ((0, 0), (1, 1))).astype(np.int8)
    change = np.diff(padded, axis=1)
    edge, first = np.nonzero(change == 1)
    _, last = np.nonzero(change == -1)
    start, end = flat[ends[edge, 0]], flat[ends[edge, 1]]
    return list(np.stack([start + (at / SAMPLES)[:, None] * (end - start) for at in (first, last)], axis=1))


CORNER_DEG = 15.0
"""Where a profile turns by more than this it makes an edge."""

PROJECTED_FACETS = 20_000
"""A mesh that is no closed manifold is projected facet by facet up to so many; a larger one is shown as its box."""

BOXED = "drawn as its outer box: the mesh is too large to be drawn"


@dataclass(frozen=True, eq=False)
class PlanView:
    """One piece seen on its face or from its top.

    material  what is seen, cut-outs left open
    openings  each hole and cut-out, holes of a drawing first, then in the order of the shape's own list
    seen      edges in sight inside the material
    hidden    edges behind it
    notes     what is not drawn true
    """

    material: tuple[Region, ...]
    openings: tuple[Region, ...] = ()
    seen: tuple[Path, ...] = ()
    hidden: tuple[Path, ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def bounds_m(self) -> tuple[float, float, float, float]:
        """Smallest x and y, largest x and y."""
        return bounds_of(self.material)

    @property
    def size_m(self) -> tuple[float, float]:
        x0, y0, x1, y1 = self.bounds_m
        return x1 - x0, y1 - y0

    @property
    def is_rectangular(self) -> bool:
        """Whether its outline is an upright rectangle."""
        dx, dy = self.size_m
        return len(self.material) == 1 and abs(self.material[0].outer.signed_area_m2) >= dx * dy * (1 - NEAR)

    @property
    def diagonal_m(self) -> float:
        """From corner to corner of its outer size."""
        return hypot(*self.size_m)

    def mirrored(self) -> PlanView:
        """The piece as one looks into its form: left and right change places, within the same bounds."""
        x0, _, x1, _ = self.bounds_m
        mirror, offset = np.diag([-1.0, 1.0]), (x0 + x1, 0.0)

        def turned(regions: Sequence[Region]) -> tuple[Region, ...]:
            return tuple(region.mapped(mirror, offset) for region in regions)

        return replace(
            self,
            material=turned(self.material),
            openings=turned(self.openings),
            seen=tuple(path.mapped(mirror, offset) for path in self.seen),
            hidden=tuple(path.mapped(mirror, offset) for path in self.hidden),
        )


def is_cast_face_down(shape: Shape) -> bool:
    """Whether the finished face lies on the bottom of the form, so that the form is the mirror image of the piece."""
    match shape:
        case Slab() | Panel():
            return True
        case Outline():
            return shape.wall_m is None or shape.open == "bottom"
        case Compound():
            return is_cast_face_down(shape.add[0].shape)
        case _:
            return False


@lru_cache(maxsize=1024)
def plan_view(shape: Shape) -> PlanView:
    """The view of any shape. Raises FaultError for one that cannot be built."""
    match shape:
        case Slab():
            slab = slab_body(shape)
            return _of_zones(slab.zones, slab.full, slab.openings)
        case Outline():
            body = outline_body(shape)
            holes = tuple(Region(hole) for hole in shape.region.holes)
            return _of_zones(body.zones, body.plan, (*holes, *body.openings))
        case Panel():
            panel = panel_body(shape)
            return _of_zones(panel.zones, panel.full, panel.openings)
        case Box():
            return _of_box(shape)
        case Extrusion():
            return _of_extrusion(shape)
        case Revolution():
            return _of_revolution(shape)
        case MeshBody():
            return _of_mesh(shape)
        case Compound():
            return _of_compound(shape)


def regions_of(plan: Plan) -> tuple[Region, ...]:
    """A plan as regions, its whole curves kept exact, the largest first."""
    parts = [*regions_of_area(plan.straight), *plan.added]
    made = []
    for part in parts:
        whole = fine_polygon(part)
        holes = [cut.outer for cut in plan.cut if whole.contains(fine_polygon(cut).representative_point())]
        made.append(Region(part.outer, (*part.holes, *holes)) if holes else part)
    return tuple(sorted(made, key=lambda region: -region.area_m2))


def _of_zones(zones: Sequence[Zone], full: Plan, openings: Sequence[Region]) -> PlanView:
    """zones from the eye away; `full` what is seen of them all."""
    seen, hidden = _edges(zones, full)
    return PlanView(regions_of(full), tuple(openings), seen, hidden)


def _edges(zones: Sequence[Zone], full: Plan) -> tuple[tuple[Path, ...], tuple[Path, ...]]:
    """Edges of slices, one behind the other: what an earlier slice covers is hidden."""
    whole = full.polygon
    x0, y0, x1, y1 = whole.bounds
    reach = 1e-6 * max(x1 - x0, y1 - y0)
    drawn = shapely.boundary(whole)
    above: shapely.Geometry = shapely.Polygon()
    seen, hidden = [], []
    for zone in zones:
        short = (zone.end_m - zone.start_m) * 1e-6
        for depth in (zone.start_m + short, zone.end_m - short) if zone.varies else (zone.middle_m,):
            slice_ = zone.at(depth).polygon
            if slice_.area <= NEAR * whole.area:
                continue
            new = shapely.difference(shapely.boundary(slice_), shapely.buffer(drawn, reach, quad_segs=2))
            if not new.is_empty:
                hidden.append(shapely.intersection(new, above))
                seen.append(shapely.difference(new, above))
                drawn = united([drawn, new])
            above = shapely.union(above, slice_)
    return _all_paths(seen, reach), _all_paths(hidden, reach)


def _all_paths(lines: Sequence[shapely.Geometry], reach: float) -> tuple[Path, ...]:
    """Every line longer than the stubs that cutting leaves."""
    found: list[Path] = []
    for line in lines:
        parts = [part for part in shapely.get_parts(line) if part.length > 4 * reach]
        found += paths_of(shapely.multilinestrings(parts)) if parts else ()
    return tuple(found)


def _of_box(box: Box) -> PlanView:
    body = box_body(box)
    outside, cavity = body.outside, body.cavity
    foot, top = (_rounded(body.centre_m, outside, z) for z in (0.0, box.height_m))
    wide, narrow = (top, foot) if top.area_m2 >= foot.area_m2 else (foot, top)
    drains = tuple(Region.circle(hole.diameter_m, (hole.x_m, hole.y_m)) for hole in box.drain_holes)
    ceiling = box.height_m if box.open else cavity.end_m
    rim = _rounded(body.centre_m, cavity, ceiling)
    level = cavity.floor_m if cavity.ball_m > 0 else cavity.start_m
    floor = _rectangle(body.centre_m, cavity.core_x(level), cavity.core_y(level))
    leaning = NEAR * max(body.size_m)
    inner = [rim] if np.abs(np.subtract(rim.bounds, floor.bounds)).max() <= leaning else [rim, floor]
    seen = [Path.of_ring(region.outer) for region in inner] if box.open else []
    hidden = [] if box.open else [Path.of_ring(region.outer) for region in inner]
    if wide.area_m2 - narrow.area_m2 > leaning**2:
        (hidden if wide is top else seen).append(Path.of_ring(narrow.outer))
    if not box.open:
        hidden += [Path.of_ring(drain.outer) for drain in drains]
        return PlanView((wide,), drains, tuple(seen), tuple(hidden))
    return PlanView((Region(wide.outer, tuple(drain.outer for drain in drains)),), drains, tuple(seen), tuple(hidden))


def _rectangle(centre: tuple[float, float], half_x: float, half_y: float) -> Region:
    return Region.rectangle(2 * half_x, 2 * half_y).translated(centre[0] - half_x, centre[1] - half_y)


def _rounded(centre: tuple[float, float], body: RoundedFrustum, z: float) -> Region:
    """The slice of a body at a height; its corners as arcs, exact where the walls are plumb."""
    (xs,), (ys,) = body.quarter(np.array([z]), 2)
    half_x, half_y = float(xs[0]), float(ys[-1])
    radius = min(body.ball_m, half_x, half_y)
    return Region.rectangle(2 * half_x, 2 * half_y, radius).translated(centre[0] - half_x, centre[1] - half_y)


def _corners(ring: Floats) -> Floats:
    """The points (m, 2) at which a closed line turns by more than `CORNER_DEG`."""
    before, after = ring - np.roll(ring, 1, axis=0), np.roll(ring, -1, axis=0) - ring
    turn = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0], (before * after).sum(axis=1)
    corners: Floats = ring[np.abs(np.degrees(np.arctan2(*turn))) > CORNER_DEG]
    return corners


def _profile_edges(area: shapely.Geometry) -> tuple[list[float], list[float]]:
    """Where edges of a profile lie across it, as seen from above: in sight, and hidden."""
    x0, y0, x1, y1 = area.bounds
    reach = 1e-6 * max(x1 - x0, y1 - y0)
    seen: set[float] = set()
    hidden: set[float] = set()
    for part in shapely.get_parts(area):
        for ring in (part.exterior, *part.interiors):
            for x, y in _corners(shapely.get_coordinates(ring)[:-1]):
                over = shapely.LineString([(x, y + reach), (x, y1 + 1.0)])
                covered = shapely.intersection(over, shapely.buffer(area, -reach)).length > reach
                (hidden if covered else seen).add(round(float(x), 9))
    ends = {round(x0, 9), round(x1, 9)}
    return sorted(seen - ends), sorted(hidden - seen - ends)


def _of_extrusion(shape: Extrusion) -> PlanView:
    body = extrusion_body(shape)
    area = body.section.polygon
    y0, _, y1, _ = area.bounds

    def along(y: float) -> Floats:
        return np.array([(body.start[0] + body.start[1] * y, y), (body.end[0] + body.end[1] * y, y)])

    outer = np.concatenate([along(y0), along(y1)[::-1]])
    seen, hidden = _profile_edges(area)
    return PlanView(
        (Region(Ring(outer)),), (), tuple(Path(along(y)) for y in seen), tuple(Path(along(y)) for y in hidden)
    )


def _of_revolution(shape: Revolution) -> PlanView:
    body = revolution_body(shape)
    middle = (body.radius_m, body.radius_m)

    def circle(radius: float) -> Region:
        return Region.circle(2 * radius, middle)

    axis = shapely.LineString([(0.0, body.lowest_m - 1.0), (0.0, body.lowest_m + body.height_m + 1.0)])
    inner = 0.0 if body.material.intersects(axis) else float(body.material.bounds[0])
    hole = (circle(inner).outer,) if inner > NEAR * body.radius_m else ()
    seen, hidden = _profile_edges(body.material)

    def circles(radii: Sequence[float]) -> tuple[Path, ...]:
        return tuple(Path.of_ring(circle(radius).outer) for radius in radii if radius > NEAR * body.radius_m)

    openings = (circle(inner),) if hole else ()
    return PlanView((Region(circle(body.radius_m).outer, hole),), openings, circles(seen), circles(hidden))


def _of_mesh(body: MeshBody) -> PlanView:
    if body.vertices_m is None or body.facets is None:
        (x, y, _), (dx, dy, _) = body.measure.lowest_m, body.measure.size_m
        return PlanView((Region.rectangle(dx, dy).translated(x, y),), notes=(BOXED,))
    return of_facets(body.vertices_m, body.facets)


def of_facets(vertices: Floats, facets: Ints) -> PlanView:
    """A mesh from above."""
    outline = _shadow(vertices, facets)
    if outline is None:
        (x0, y0), (x1, y1) = vertices[:, :2].min(axis=0).tolist(), vertices[:, :2].max(axis=0).tolist()
        return PlanView((Region.rectangle(x1 - x0, y1 - y0).translated(x0, y0),), notes=(BOXED,))
    seen, hidden = view_lines(vertices, facets, VIEWS["top"])
    material = regions_of_area(outline)
    openings = tuple(Region(hole) for region in material for hole in region.holes)
    return PlanView(material, openings, tuple(map(Path, seen)), tuple(map(Path, hidden)))


def manifold_from(vertices: Floats, facets: Ints) -> Any | None:
    """The mesh as a closed manifold, or None where it is none."""
    from manifold3d import Error, Manifold, Mesh64

    made = Manifold(Mesh64(np.array(vertices, np.float64, order="C"), np.array(facets, np.uint64, order="C")))
    return made if made.status() == Error.NoError and not made.is_empty() else None


def area_of_section(section: Any) -> shapely.Geometry:
    """A manifold's cross-section or projection as a shapely area."""
    rings = [shapely.Polygon(ring) for ring in section.to_polygons() if len(ring) >= 3]
    area: shapely.Geometry = shapely.Polygon()
    for ring in sorted(rings, key=lambda each: -each.area):  # rings alternate: material, hole, island
        area = shapely.symmetric_difference(area, ring.buffer(0))
    return area


def _shadow(vertices: Floats, facets: Ints) -> shapely.Geometry | None:
    size = float(np.ptp(vertices[:, :2], axis=0).max())
    made = manifold_from(vertices, facets)
    if made is not None:
        return shapely.simplify(area_of_section(made.project()), 1e-5 * size)
    if len(facets) > PROJECTED_FACETS:
        return None
    corners = vertices[facets][:, :, :2]
    triangles = shapely.polygons(corners)
    return shapely.simplify(united(triangles[shapely.area(triangles) > 1e-12 * size**2]), 1e-5 * size)


def _of_compound(shape: Compound) -> PlanView:
    body = stacked(shape)
    if body is None:
        try:
            return of_facets(*faceted(shape))
        except FaultError:  # a part whose facets were not kept
            solid = measure(shape)
            (x, y, _), (dx, dy, _) = solid.lowest_m, solid.size_m
            return PlanView((Region.rectangle(dx, dy).translated(x, y),), notes=(BOXED,))
    plans = [zone.at(zone.middle_m) for zone in body.zones]
    whole = united([plan.polygon for plan in plans])
    widest = max(plans, key=lambda plan: float(plan.polygon.area))
    full = widest if whole.area - widest.polygon.area <= 1e-9 * whole.area else Plan(whole)
    seen, hidden = _edges(body.zones[::-1], full)
    material = regions_of(full)
    openings = tuple(Region(hole) for region in material for hole in region.holes)
    return PlanView(material, openings, seen, hidden)


Axis = Literal["x", "y"]

STEPS = 24
"""Depths at which a worked or sloping edge is cut."""

WALL_DRAWN = "the wall is drawn square to this section"


@dataclass(frozen=True, eq=False)
class CrossSection:
    """What a cut shows that stands square to `axis` at `at_m` on it."""

    material: tuple[Region, ...]
    at_m: float
    axis: Axis = "x"
    notes: tuple[str, ...] = ()

    @property
    def bounds_m(self) -> tuple[float, float, float, float]:
        """Smallest and largest: across, and z."""
        return bounds_of(self.material)


@lru_cache(maxsize=1024)
def telling_section(shape: Shape) -> CrossSection | None:
    """The section through the middle that shows most: square to x, or to y for a flat piece that shows more that way.

    None for a shape that cannot be cut. Raises FaultError for one that cannot be built.
    """
    x0, y0, x1, y1 = plan_view(shape).bounds_m
    found = cross_section(shape, (x0 + x1) / 2)
    if not isinstance(shape, Slab | Outline | Panel):
        return found
    other = cross_section(shape, (y0 + y1) / 2, "y")
    cuts = [each for each in (found, other) if each is not None]
    return max(cuts, key=_corner_count, default=None)


def _corner_count(cut: CrossSection) -> int:
    return sum(len(ring.points) for region in cut.material for ring in region.rings)


def cross_section(shape: Shape, at_m: float, axis: Axis = "x") -> CrossSection | None:
    """The section at a station; None for a shape that cannot be cut there.

    Only slabs, outlines and panels are cut square to y, and a revolution always through its own axis.
    Raises FaultError for a shape that cannot be built.
    """
    match shape:
        case Slab():
            slab = slab_body(shape)
            return _made(_cut(slab.zones, at_m, slab.height_m, axis), at_m, axis)
        case Outline():
            return _made(_cut(outline_body(shape).zones, at_m, shape.thickness_m, axis), at_m, axis)
        case Panel():
            return _made(_cut(panel_body(shape).zones, at_m, None, axis), at_m, axis)
        case Box():
            return _made(_section_of_box(shape, at_m), at_m)
        case Extrusion():
            return CrossSection(regions_of(extrusion_body(shape).section), at_m)
        case Revolution():
            return _made(_section_of_revolution(shape), at_m)
        case MeshBody():
            return _section_of_mesh(shape, at_m)
        case Compound():
            return _section_of_compound(shape, at_m)


def _section_of_compound(shape: Compound, at_m: float) -> CrossSection | None:
    body = stacked(shape)
    if body is not None:
        return _made(_cut(body.zones, at_m, None, "x"), at_m)
    try:
        return _section_of_facets(*faceted(shape), at_m)
    except FaultError:  # a part whose facets were not kept
        return None


def _made(area: shapely.Geometry, at_m: float, axis: Axis = "x") -> CrossSection | None:
    regions = regions_of_area(area)
    return CrossSection(regions, at_m, axis) if regions else None


def _cut(zones: Sequence[Zone], at_m: float, from_top_m: float | None, axis: Axis) -> shapely.Geometry:
    """Slices cut along a line; `from_top_m` is the height of the whole where depth runs downward, else None."""
    parts = []
    for zone in zones:
        turns = np.linspace(0.0, np.pi, STEPS + 1) if zone.varies else np.array([0.0, np.pi])
        half = (zone.end_m - zone.start_m) / 2
        depths = zone.middle_m - half * np.cos(turns)
        looks = np.clip(depths, zone.start_m + half * 1e-6, zone.end_m - half * 1e-6)
        spans = [_spans(_turned(zone.at(float(depth)).polygon, axis), at_m) for depth in looks]
        for k in range(len(depths) - 1):
            upper, lower = spans[k], spans[k + 1]
            if len(upper) != len(lower):
                upper = lower = min(upper, lower, key=len)
            for (a, b), (c, d) in zip(upper, lower, strict=True):
                corners = [(a, depths[k]), (b, depths[k]), (d, depths[k + 1]), (c, depths[k + 1])]
                parts.append(shapely.Polygon(corners))
    area = _joined([part for part in parts if part.area > 0.0])
    if from_top_m is None:
        return area
    return shapely.transform(area, lambda points: np.stack([points[:, 0], from_top_m - points[:, 1]], axis=1))


def _joined(parts: Sequence[shapely.Geometry]) -> shapely.Geometry:
    """Parts as one, seams that rounding left between them closed."""
    if not parts:
        return shapely.Polygon()
    both = united(parts)
    x0, y0, x1, y1 = both.bounds
    reach = NEAR * max(x1 - x0, y1 - y0)
    grown = shapely.buffer(both, reach, join_style="mitre")
    return shapely.simplify(shapely.buffer(grown, -reach, join_style="mitre"), reach)


def _turned(plan: shapely.Geometry, axis: Axis) -> shapely.Geometry:
    """The plan with the axis of the cut along x."""
    return plan if axis == "x" else shapely.transform(plan, lambda points: points[:, ::-1])


def _spans(plan: shapely.Geometry, at_m: float) -> list[tuple[float, float]]:
    if plan.is_empty:
        return []
    _, y0, _, y1 = plan.bounds
    found = shapely.intersection(plan, shapely.LineString([(at_m, y0 - 1.0), (at_m, y1 + 1.0)]))
    parts = shapely.get_parts(shapely.line_merge(found) if found.geom_type == "MultiLineString" else found)
    return sorted((float(p.bounds[1]), float(p.bounds[3])) for p in parts if p.length > 0.0)


def _section_of_box(box: Box, at_m: float) -> shapely.Geometry:
    body = box_body(box)
    away, middle = abs(at_m - body.centre_m[0]), body.centre_m[1]

    def silhouette(of: RoundedFrustum, low: float, high: float) -> shapely.Geometry:
        turn = of.ball_m * np.cos(np.linspace(0.0, np.pi, STEPS + 1))
        levels = np.unique(np.concatenate([[low, high], of.floor_m - turn, of.ceiling_m - turn]))
        levels = levels[np.isfinite(levels) & (levels >= low) & (levels <= high)]
        xs, ys = of.quarter(levels, 2)
        inside = xs[:, 0] >= away - 1e-9
        half, levels = ys[inside, -1], levels[inside]
        if len(levels) < 2:
            return shapely.Polygon()
        right = np.stack([middle + half, levels], axis=1)
        left = np.stack([middle - half, levels], axis=1)
        return shapely.Polygon(np.concatenate([right, left[::-1]])).buffer(0)

    cavity = body.cavity
    top = box.height_m * 1.001 if box.open else cavity.end_m
    hollow = silhouette(cavity, cavity.start_m, top)
    area = shapely.difference(silhouette(body.outside, 0.0, box.height_m), hollow)
    for hole in box.drain_holes:
        reach = (hole.diameter_m / 2) ** 2 - (hole.x_m - at_m) ** 2
        if reach > 0.0:
            bore = shapely.box(hole.y_m - reach**0.5, -box.base_m, hole.y_m + reach**0.5, box.base_m * 1.001)
            area = shapely.difference(area, bore)
    return area


def _section_of_revolution(shape: Revolution) -> shapely.Geometry:
    """Through the axis, wherever it was asked for: that is what tells a turned piece."""
    body = revolution_body(shape)

    def placed(side: float) -> shapely.Geometry:
        return shapely.transform(
            body.material, lambda points: points * [side, 1.0] + [body.radius_m, -body.lowest_m]
        )  # fmt: skip

    return _joined([placed(1.0), placed(-1.0)])


def _section_of_mesh(body: MeshBody, at_m: float) -> CrossSection | None:
    if body.vertices_m is None or body.facets is None:
        return None
    found = _section_of_facets(body.vertices_m, body.facets, at_m)
    if found is None or body.wall_m is None:
        return found
    outside = united([region.polygon() for region in found.material])
    open_to = {"top": (0.0, 1.0), "bottom": (0.0, -1.0), "front": (-1.0, 0.0), "back": (1.0, 0.0)}.get(body.open)
    grown = outside
    if open_to is not None:
        reach = 2 * body.wall_m
        grown = shapely.union(outside, shapely.transform(outside, lambda p: p + reach * np.array(open_to)))
    walls = shapely.difference(outside, shapely.buffer(grown, -body.wall_m, join_style="mitre"))
    return CrossSection(regions_of_area(walls), at_m, notes=(WALL_DRAWN,))


def _section_of_facets(vertices: Floats, facets: Ints, at_m: float) -> CrossSection | None:
    # A manifold is cut level: (x, y, z) of the piece are (z, x, y) there.
    made = manifold_from(np.ascontiguousarray(vertices[:, [1, 2, 0]]), facets)
    if made is None:
        return None
    area = area_of_section(made.slice(at_m))
    size = float(np.ptp(vertices, axis=0).max())
    return _made(shapely.simplify(area, 1e-6 * size), at_m)


AREA_BOXED = "plan area: the mesh is too large to be projected, its outer box is taken."


@dataclass(frozen=True, slots=True)
class PlanArea:
    """Of the top of a piece, of a panel its elevation; what hangs below or stands behind is inside it.

    gross_m2  openings in
    net_m2    openings out
    note      what is not exact; "" where all is
    """

    gross_m2: float
    net_m2: float
    note: str = ""


@lru_cache(maxsize=1024)
def plan_area(shape: Shape) -> PlanArea:
    """Plan or elevation area of any shape, m². Raises FaultError for one that cannot be built.

    Slab and outline: the outer ring; panel: length × height; box: length × width; revolution: the circle of its
    largest radius; extrusion: length × the width of its profile; mesh and compound: the shadow on z = 0, holes filled.
    """
    match shape:
        case Slab():
            return _with_cutouts(Region.rectangle(shape.length_m, shape.width_m), shape.cutouts)
        case Outline():
            return _with_cutouts(shape.region, shape.cutouts)
        case Panel():
            plate = Region.rectangle(shape.length_m, shape.height_m)
            return _with_cutouts(plate, [opening.cutout for opening in shape.openings])
        case Box():
            gross_m2 = shape.length_m * shape.width_m
            return PlanArea(gross_m2, gross_m2 - sum(pi / 4.0 * hole.diameter_m**2 for hole in shape.drain_holes))
        case Revolution():
            body = revolution_body(shape)
            gross_m2 = pi * body.radius_m**2
            return PlanArea(gross_m2, gross_m2 - pi * _bore_m(body.material, body.lowest_m, body.height_m) ** 2)
        case Extrusion():
            x0, _, x1, _ = shape.profile.bounds
            return PlanArea(shape.length_m * (x1 - x0), shape.length_m * (x1 - x0))
        case MeshBody():
            if shape.vertices_m is None or shape.facets is None:
                return _boxed(shape.measure.size_m)
            return _area_of_facets(shape.vertices_m, shape.facets)
        case Compound():
            return _area_of_compound(shape)


def _with_cutouts(plate: Region, cutouts: Sequence[Cutout]) -> PlanArea:
    gross_m2 = abs(plate.outer.signed_area_m2)
    if not cutouts:
        return PlanArea(gross_m2, plate.area_m2)
    whole = plate.polygon()
    openings = shapely.union_all([each.polygon() for each in outlines_of(cutouts, whole)])
    return PlanArea(gross_m2, plate.area_m2 - float(shapely.intersection(whole, openings).area))


def _bore_m(material: shapely.Geometry, lowest_m: float, height_m: float) -> float:
    """Radius of the hole along the axis; 0 where anything closes it."""
    axis = shapely.LineString([(0.0, lowest_m - 1.0), (0.0, lowest_m + height_m + 1.0)])
    return 0.0 if material.intersects(axis) else float(material.bounds[0])


def _area_of_compound(shape: Compound) -> PlanArea:
    body = stacked(shape)
    if body is not None:
        return _area_of_shadow(united([zone.at(zone.middle_m).polygon for zone in body.zones]))
    try:
        return _area_of_facets(*faceted(shape))
    except FaultError:  # a part whose facets were not kept
        return _boxed(measure(shape).size_m)


def _area_of_facets(vertices: Floats, facets: Ints) -> PlanArea:
    made = manifold_from(vertices, facets)
    if made is not None:
        return _area_of_shadow(area_of_section(made.project()))
    if len(facets) > PROJECTED_FACETS:
        return _boxed(np.ptp(vertices, axis=0).tolist())
    triangles = shapely.polygons(vertices[facets][:, :, :2])
    return _area_of_shadow(united(triangles[shapely.area(triangles) > 0.0]))


def _area_of_shadow(area: shapely.Geometry) -> PlanArea:
    parts = shapely.get_parts(area)
    filled = shapely.union_all([shapely.Polygon(part.exterior) for part in parts if part.geom_type == "Polygon"])
    return PlanArea(float(filled.area), float(area.area))


def _boxed(size_m: Sequence[float]) -> PlanArea:
    return PlanArea(size_m[0] * size_m[1], size_m[0] * size_m[1], AREA_BOXED)
