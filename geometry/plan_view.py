"""A piece as it is drawn from above, its finished face towards the eye: outline, cut-outs, edges in sight and behind.

A slab, an outline and a panel are seen on their face, everything else from its top. What hangs below, such as drops,
returns and ribs, is hidden. Coordinates are the x and y of the piece's own axes, m.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from math import hypot
from typing import Any

import numpy as np
import shapely

from geometry.box import RoundedFrustum, box_body
from geometry.compound import faceted, stacked
from geometry.errors import GeometryError
from geometry.extrusion import extrusion_body
from geometry.facets import Floats
from geometry.outline import outline_body
from geometry.panel import panel_body
from geometry.paths import Path, paths_of, regions_of_area
from geometry.plan import NEAR, Plan, fine_polygon, united
from geometry.plane import Region, Ring, bounds_of
from geometry.relief import Zone
from geometry.revolution import revolution_body
from geometry.shapes import Box, Compound, Extrusion, MeshBody, Outline, Panel, Revolution, Shape, Slab
from geometry.slab import slab_body
from geometry.solid import measure
from geometry.topology import Ints
from geometry.views import VIEWS, view_lines

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
    """The view of any shape. Raises GeometryError for one that cannot be built."""
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
        except GeometryError:  # a part whose facets were not kept
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
