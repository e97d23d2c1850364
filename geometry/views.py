"""Drawn views of a piece: plan view, cross-section and lines of a mesh; and the plan area that a client pays for.

Slabs, outlines and panels are seen from their face, everything else from the top. Drops, returns and ribs below are
hidden. Coordinates are the x and y of the axes of the piece, m.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import hypot
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray

from geometry.arrays import Floats, Ints
from geometry.facets import edges_of, without_degenerate
from geometry.frozen import frozen
from geometry.manifolds import PROJECTED_FACETS, area_of_section, manifold_from, shadow_of
from geometry.message import Message, message
from geometry.plan import NEAR, Path, Plan, fine_polygon, paths_of, regions_of_area, united
from geometry.plane import Region, bounds_of
from geometry.slices import Slices, Zone

# Lines of a mesh


SHARP_DEG = 25.0
"""Angle between facets above which their common edge is drawn; that of a smooth faceted surface is not."""


HIDING_FACETS = 100_000
"""Largest number of facets for which hidden edges are determined; a larger mesh is drawn as if transparent."""


LINES = 20_000
"""Maximum number of edges drawn; the longest are chosen."""


SAMPLES = 24
"""Number of points along an edge that are tested for being hidden by a facet."""


@frozen(eq=False)
class View:
    """A viewing direction: unit vectors to the right, up, and from the object to the eye."""

    right: Floats
    up: Floats
    to_eye: Floats


_X, _Y, _Z = np.eye(3)


VIEWS = {"front": View(_X, _Z, -_Y), "right": View(_Y, _Z, _X), "top": View(_X, _Y, _Z)}
"""Views along the axes of a piece, which has x to the right, y to the back and z up."""


def view_lines(vertices: Floats, faces: Ints, view: View) -> tuple[list[Floats], list[Floats]]:
    """Visible and hidden edges, each a line (2, 2) with coordinates to the right and up, m.

    vertices  (v, 3), m
    faces     (n, 3) corners, counterclockwise from outside

    An edge is drawn if its facets meet at more than `SHARP_DEG`, if one faces the eye and the other does not, or if it
    has only one facet.
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
    """(m, 2) vertices of the edges to draw."""
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
    """(m, SAMPLES) whether a facet is between the eye and the middle of each stretch of an edge."""
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
    offset = spots[spot] - a[facet]
    u = (offset[:, 0] * (c - a)[facet, 1] - offset[:, 1] * (c - a)[facet, 0]) / area[facet]
    v = (offset[:, 1] * (b - a)[facet, 0] - offset[:, 0] * (b - a)[facet, 1]) / area[facet]
    corner = depth[faces[facet]]
    over = corner[:, 0] + u * (corner[:, 1] - corner[:, 0]) + v * (corner[:, 2] - corner[:, 0])
    hidden = np.zeros(len(spots), dtype=bool)
    # A facet adjacent to the edge has the same depth, up to rounding.
    hidden[spot[over > spot_depth[spot] + 1e-4 * size]] = True
    return hidden.reshape(-1, SAMPLES)


def _runs(flat: Floats, ends: Ints, wanted: NDArray[np.bool_]) -> list[Floats]:
    """The stretches of edges where `wanted` (m, SAMPLES) is true, with adjacent ones joined."""
    padded = np.pad(wanted, ((0, 0), (1, 1))).astype(np.int8)
    change = np.diff(padded, axis=1)
    edge, first = np.nonzero(change == 1)
    _, last = np.nonzero(change == -1)
    start, end = flat[ends[edge, 0]], flat[ends[edge, 1]]
    return list(np.stack([start + (at / SAMPLES)[:, None] * (end - start) for at in (first, last)], axis=1))


# Plan views


CORNER_DEG = 15.0
"""Turn of a profile above which an edge is drawn."""


BOXED = message("view-boxed")


@frozen(eq=False)
class PlanView:
    """One piece seen from its face or its top.

    material  visible regions, with cut-outs as holes
    openings  outlines of holes and cut-outs, holes of a drawing first, then in the order of the shape's own list
    seen      visible edges inside the material
    hidden    edges behind it
    notes     about parts that are not drawn exactly
    """

    material: tuple[Region, ...]
    openings: tuple[Region, ...] = ()
    seen: tuple[Path, ...] = ()
    hidden: tuple[Path, ...] = ()
    notes: tuple[Message, ...] = ()

    @property
    def bounds_m(self) -> tuple[float, float, float, float]:
        """Bounding box (x0, y0, x1, y1), m."""
        return bounds_of(self.material)

    @property
    def size_m(self) -> tuple[float, float]:
        x0, y0, x1, y1 = self.bounds_m
        return x1 - x0, y1 - y0

    @property
    def is_rectangular(self) -> bool:
        """Whether its outline is an axis-parallel rectangle."""
        dx, dy = self.size_m
        return len(self.material) == 1 and abs(self.material[0].outer.signed_area_m2) >= dx * dy * (1 - NEAR)

    @property
    def diagonal_m(self) -> float:
        """Diagonal of its bounding box, m."""
        return hypot(*self.size_m)

    def mirrored(self) -> PlanView:
        """The view mirrored left to right within the same bounds, as when looking into the form."""
        x0, _, x1, _ = self.bounds_m
        mirror, offset = np.diag([-1.0, 1.0]), (x0 + x1, 0.0)
        return replace(
            self,
            material=tuple(region.mirrored(x0 + x1) for region in self.material),
            openings=tuple(region.mirrored(x0 + x1) for region in self.openings),
            seen=tuple(path.mapped(mirror, offset) for path in self.seen),
            hidden=tuple(path.mapped(mirror, offset) for path in self.hidden),
        )


def regions_of(plan: Plan) -> tuple[Region, ...]:
    """A plan as regions, the largest first, with untouched curves kept exact."""
    parts = [*regions_of_area(plan.straight), *plan.added]
    regions = []
    for part in parts:
        whole = fine_polygon(part)
        holes = [cut.outer for cut in plan.cut if whole.contains(fine_polygon(cut).representative_point())]
        regions.append(Region(part.outer, (*part.holes, *holes)) if holes else part)
    return tuple(sorted(regions, key=lambda region: -region.area_m2))


def view_of_slices(slices: Slices, openings: Sequence[Region]) -> PlanView:
    """View of a flat piece from its face."""
    seen, hidden = ((), ()) if slices.is_prism else edges_of_zones(slices.zones, slices.full)
    return PlanView(regions_of(slices.full), tuple(openings), seen, hidden)


def view_of_box(corner_m: Sequence[float], size_m: Sequence[float]) -> PlanView:
    """View of the bounding box of a mesh that cannot be drawn exactly."""
    (x, y), (dx, dy) = corner_m[:2], size_m[:2]
    return PlanView((Region.rectangle(dx, dy).translated(x, y),), notes=(BOXED,))


def edges_of_zones(zones: Sequence[Zone], full: Plan) -> tuple[tuple[Path, ...], tuple[Path, ...]]:
    """Visible and hidden edges of successive slices; an edge covered by an earlier slice is hidden."""
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
    """All lines, except the short stubs that clipping leaves."""
    paths: list[Path] = []
    for line in lines:
        parts = [part for part in shapely.get_parts(line) if part.length > 4 * reach]
        paths += paths_of(shapely.multilinestrings(parts)) if parts else ()
    return tuple(paths)


def _corners(ring: Floats) -> Floats:
    """(m, 2) points at which a closed line turns by more than `CORNER_DEG`."""
    before, after = ring - np.roll(ring, 1, axis=0), np.roll(ring, -1, axis=0) - ring
    turn = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0], (before * after).sum(axis=1)
    corners: Floats = ring[np.abs(np.degrees(np.arctan2(*turn))) > CORNER_DEG]
    return corners


def profile_edges(area: shapely.Geometry) -> tuple[list[float], list[float]]:
    """Positions across a profile of its visible and its hidden edges, as seen from above, m."""
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


def view_of_facets(vertices: Floats, facets: Ints) -> PlanView:
    """View of a mesh from above."""
    outline = shadow_of(vertices, facets)
    if outline is None:
        return view_of_box(vertices.min(axis=0).tolist(), np.ptp(vertices, axis=0).tolist())
    seen, hidden = view_lines(vertices, facets, VIEWS["top"])
    material = regions_of_area(outline)
    openings = tuple(Region(hole) for region in material for hole in region.holes)
    return PlanView(material, openings, tuple(map(Path, seen)), tuple(map(Path, hidden)))


# Cross-sections


Axis = Literal["x", "y"]


STEPS = 24
"""Number of depth intervals for a section of a worked or sloping edge."""


@frozen(eq=False)
class CrossSection:
    """A section perpendicular to `axis`, at `at_m` along it."""

    material: tuple[Region, ...]
    at_m: float
    axis: Axis = "x"
    notes: tuple[Message, ...] = ()

    @property
    def corners(self) -> int:
        """Number of its corners."""
        return sum(len(ring.points) for region in self.material for ring in region.rings)

    @property
    def bounds_m(self) -> tuple[float, float, float, float]:
        """Bounding box in the section: (low across, low z, high across, high z), m."""
        return bounds_of(self.material)

    def turned_over(self) -> CrossSection:
        """The section upside down, between the same levels."""
        _, low, _, high = self.bounds_m
        upside_down = ((1.0, 0.0), (0.0, -1.0))
        return replace(self, material=tuple(part.mapped(upside_down, (0.0, low + high)) for part in self.material))


def section_of_area(area: shapely.Geometry, at_m: float, axis: Axis = "x") -> CrossSection | None:
    regions = regions_of_area(area)
    return CrossSection(regions, at_m, axis) if regions else None


def section_of_slices(slices: Slices, at_m: float, axis: Axis) -> CrossSection | None:
    """Section of a flat piece."""
    if not slices.is_prism:
        from_top_m = slices.height_m if slices.down else None
        return section_of_area(cut_zones(slices.zones, at_m, from_top_m, axis), at_m, axis)
    spans = _spans(_turned(slices.full.polygon, axis), at_m)
    cut = [Region.rectangle(end - start, slices.height_m).translated(start, 0.0) for start, end in spans]
    return CrossSection(tuple(cut), at_m, axis) if cut else None


def cut_zones(zones: Sequence[Zone], at_m: float, from_top_m: float | None, axis: Axis) -> shapely.Geometry:
    """Section of slices along a line; `from_top_m` is the total height if depth is from the top, else None."""
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
    area = joined([part for part in parts if part.area > 0.0])
    if from_top_m is None:
        return area
    return shapely.transform(area, lambda points: np.stack([points[:, 0], from_top_m - points[:, 1]], axis=1))


def joined(parts: Sequence[shapely.Geometry]) -> shapely.Geometry:
    """Union of the parts, with gaps from rounding closed."""
    if not parts:
        return shapely.Polygon()
    both = united(parts)
    x0, y0, x1, y1 = both.bounds
    reach = NEAR * max(x1 - x0, y1 - y0)
    grown = shapely.buffer(both, reach, join_style="mitre")
    return shapely.simplify(shapely.buffer(grown, -reach, join_style="mitre"), reach)


def _turned(plan: shapely.Geometry, axis: Axis) -> shapely.Geometry:
    """The plan with x and y swapped if the cut is perpendicular to y."""
    return plan if axis == "x" else shapely.transform(plan, lambda points: points[:, ::-1])


def _spans(plan: shapely.Geometry, at_m: float) -> list[tuple[float, float]]:
    if plan.is_empty:
        return []
    _, y0, _, y1 = plan.bounds
    line = shapely.intersection(plan, shapely.LineString([(at_m, y0 - 1.0), (at_m, y1 + 1.0)]))
    parts = shapely.get_parts(shapely.line_merge(line) if line.geom_type == "MultiLineString" else line)
    return sorted((float(p.bounds[1]), float(p.bounds[3])) for p in parts if p.length > 0.0)


def section_of_facets(vertices: Floats, facets: Ints, at_m: float) -> CrossSection | None:
    # Manifold slices horizontally, so (x, y, z) of the piece become (z, x, y).
    body = manifold_from(np.ascontiguousarray(vertices[:, [1, 2, 0]]), facets)
    if body is None:
        return None
    area = area_of_section(body.slice(at_m))
    size = float(np.ptp(vertices, axis=0).max())
    return section_of_area(shapely.simplify(area, 1e-6 * size), at_m)


# Plan area


AREA_BOXED = message("area-boxed")


@frozen
class PlanArea:
    """Area of the top of a piece, or of the elevation of a panel; drops and returns are inside it.

    gross_m2  including openings
    net_m2    without openings
    note      about an approximation; None if exact
    """

    gross_m2: float
    net_m2: float
    note: Message | None = None


def plan_area_of_facets(vertices: Floats, facets: Ints) -> PlanArea:
    body = manifold_from(vertices, facets)
    if body is not None:
        return plan_area_of_shadow(area_of_section(body.project()))
    if len(facets) > PROJECTED_FACETS:
        return plan_area_of_box(np.ptp(vertices, axis=0).tolist())
    triangles = shapely.polygons(vertices[facets][:, :, :2])
    return plan_area_of_shadow(united(triangles[shapely.area(triangles) > 0.0]))


def plan_area_of_shadow(area: shapely.Geometry) -> PlanArea:
    parts = shapely.get_parts(area)
    filled = shapely.union_all([shapely.Polygon(part.exterior) for part in parts if part.geom_type == "Polygon"])
    return PlanArea(float(filled.area), float(area.area))


def plan_area_of_box(size_m: Sequence[float]) -> PlanArea:
    return PlanArea(size_m[0] * size_m[1], size_m[0] * size_m[1], AREA_BOXED)
