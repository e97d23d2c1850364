"""Unions and differences of plane areas, exact as long as no curve is cut, and their edges as paths to draw."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import cached_property, lru_cache
from math import atan, atan2, ceil, cos, pi, sin, tan
from typing import Literal, TypeAlias

import numpy as np
import shapely
from numpy.typing import ArrayLike

from geometry.arcs import STRAIGHT_BULGE, arc_centers, edge_integrals, flatten
from geometry.arrays import Floats
from geometry.edges import near_pairs
from geometry.frozen import frozen
from geometry.plane import CHORD_M, Region, Ring

FINE = 1e-6
"""Chord tolerance of curves that are cut, as a fraction of their outline's size."""

NEAR = 1e-9
"""Lines closer than this fraction of the plan's size count as one line."""


CROWDED = 0.0105
"""Points closer than this fraction of the reach are too close for an offset. See `within_reach`."""

Corners = Literal["round", "mitre"]

_POINTS_4, _WEIGHTS_4 = np.polynomial.legendre.leggauss(4)
_FAN_POINTS, _FAN_WEIGHTS = (_POINTS_4 + 1) / 2, _WEIGHTS_4 / 2


@frozen(eq=False, slots=False)
class Plan:
    """A plane area as straight-edged parts plus whole curved outlines that are kept exact.

    straight  shapely area with straight edges
    added     further regions, disjoint from it and from each other
    cut       holes inside straight or added, disjoint from each other
    exact     False once a curve was cut and replaced by straight lines (of equal area)
    """

    straight: shapely.Geometry
    added: tuple[Region, ...] = ()
    cut: tuple[Region, ...] = ()
    exact: bool = True

    @classmethod
    def rectangle(cls, x0: float, y0: float, x1: float, y1: float) -> Plan:
        return cls(shapely.box(x0, y0, x1, y1))

    @classmethod
    def of(cls, region: Region) -> Plan:
        return cls(shapely.Polygon(), (region,))

    @cached_property
    def polygon(self) -> shapely.Geometry:
        """The plan as a shapely area with straight edges; every curved outline keeps its area."""
        area = self.straight
        if self.added:
            area = shapely.union_all([area, *(fine_polygon(region) for region in self.added)])
        return pierced(area, [fine_polygon(region) for region in self.cut])

    @cached_property
    def integrals(self) -> Floats:
        """Area, ∬x, ∬y, ∬x², ∬y², ∬xy about the origin, (6,)."""
        whole = polygon_integrals(self.straight)
        for region in self.added:
            whole = whole + region_integrals(region)
        for region in self.cut:
            whole = whole - region_integrals(region)
        return whole

    @property
    def area_m2(self) -> float:
        return float(self.integrals[0])

    @cached_property
    def perimeter_m(self) -> float:
        """Length of all edges."""
        return float(self.straight.length) + sum(region.perimeter_m for region in (*self.added, *self.cut))

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        boxes = [self.straight.bounds] if not self.straight.is_empty else []
        corners = np.array(boxes + [region.bounds for region in self.added])
        (x0, y0), (x1, y1) = corners[:, :2].min(axis=0), corners[:, 2:].max(axis=0)
        return float(x0), float(y0), float(x1), float(y1)

    def less(self, region: Region) -> Plan:
        """The plan less a region."""
        hole = fine_polygon(region)
        if shapely.contains_properly(self.polygon, hole):
            return Plan(self.straight, self.added, (*self.cut, region), self.exact)
        if shapely.intersection(self.polygon, hole).area == 0:
            return self
        straight = all(ring.bulges is None for ring in region.rings)
        return Plan(shapely.difference(self.polygon, hole), exact=straight and self.is_straight)

    def less_all(self, regions: Sequence[Region]) -> Plan:
        """The plan less several regions; those that lie inside it and apart are subtracted at once."""
        near = {number for pair in near_pairs([region.bounds for region in regions], 0.0) for number in pair}
        whole = self.polygon
        shapely.prepare(whole)
        inside = [
            number not in near and not region.holes and bool(shapely.contains_properly(whole, fine_polygon(region)))
            for number, region in enumerate(regions)
        ]
        apart = tuple(region for region, is_inside in zip(regions, inside, strict=True) if is_inside)
        plan = Plan(self.straight, self.added, (*self.cut, *apart), self.exact)
        for region, is_inside in zip(regions, inside, strict=True):
            if not is_inside:
                plan = plan.less(region)
        return plan

    @property
    def is_straight(self) -> bool:
        """Whether the plan has, and had, no curves."""
        curved = any(ring.bulges is not None for region in (*self.added, *self.cut) for ring in region.rings)
        return self.exact and not curved

    def plus(self, other: Plan) -> Plan:
        """Union with another plan."""
        if not shapely.intersects(self.polygon, other.polygon):
            both = shapely.union(self.straight, other.straight)
            return Plan(both, (*self.added, *other.added), (*self.cut, *other.cut), self.exact and other.exact)
        if shapely.covers(self.polygon, other.polygon):
            return self
        if shapely.covers(other.polygon, self.polygon):
            return other
        return Plan(shapely.union(self.polygon, other.polygon), exact=self.is_straight and other.is_straight)

    def minus(self, other: Plan) -> Plan:
        """The plan less another."""
        if other.straight.is_empty and len(other.added) == 1 and not other.cut:
            return self.less(other.added[0])
        if not shapely.intersects(self.polygon, other.polygon):
            return self
        left = shapely.difference(self.polygon, other.polygon)
        return Plan(left, exact=self.is_straight and other.is_straight)

    def moved(self, dx_m: float, dy_m: float) -> Plan:
        """The plan translated."""
        return Plan(
            shifted(self.straight, dx_m, dy_m),
            tuple(region.translated(dx_m, dy_m) for region in self.added),
            tuple(region.translated(dx_m, dy_m) for region in self.cut),
            self.exact,
        )

    def length_along(self, lines: shapely.Geometry) -> float:
        """Length of the plan's edges along `lines`, m."""
        return float(self.edges_along(lines).length)

    def edges_along(self, lines: shapely.Geometry) -> shapely.Geometry:
        """The parts of the plan's edges along `lines`, as lines."""
        if lines.is_empty:
            return shapely.LineString()
        reach = NEAR * max(1e-3, *np.ptp(np.array(lines.bounds).reshape(2, 2), axis=0))
        strip = shapely.buffer(lines, reach, cap_style="flat", join_style="mitre", quad_segs=1)
        pieces = shapely.get_parts(shapely.intersection(shapely.boundary(self.polygon), strip))
        points, line = shapely.get_coordinates(pieces, return_index=True)
        segments = np.stack([points[:-1], points[1:]], axis=1)[line[:-1] == line[1:]]
        # Edges that only end on the lines leave stubs of the strip's width: drop them.
        long = np.hypot(*(segments[:, 1] - segments[:, 0]).T) > 2 * reach
        return shapely.line_merge(shapely.multilinestrings(shapely.linestrings(segments[long])))

    @cached_property
    def _whole(self) -> frozenset[int]:
        """Identities of the regions whose edges are uncut."""
        return frozenset(id(region) for region in (*self.added, *self.cut))

    def length_of(self, region: Region) -> float:
        """Length of the plan's edges along the edge of `region`, m; exact if that is uncut."""
        if id(region) in self._whole:
            return region.perimeter_m
        return self.length_along(shapely.boundary(fine_polygon(region)))


def shifted(area: shapely.Geometry, dx_m: float, dy_m: float) -> shapely.Geometry:
    """Translate a shapely geometry."""
    return shapely.transform(area, lambda points: points + np.array([dx_m, dy_m]))


def pierced(area: shapely.Geometry, holes: Sequence[shapely.Polygon]) -> shapely.Geometry:
    """Area less holes that lie inside it and do not overlap."""
    if not holes:
        return area
    if area.geom_type == "Polygon" and not any(hole.interiors for hole in holes):  # just add the rings
        return shapely.Polygon(area.exterior, [*area.interiors, *(hole.exterior for hole in holes)])
    return shapely.difference(area, shapely.union_all(holes))


@lru_cache(maxsize=2048)
def fine_polygon(region: Region) -> shapely.Polygon:
    """The region as a polygon of equal area, its curves within `FINE` of its size."""
    return region.polygon(FINE * max(region.size_m))


def region_integrals(region: Region) -> Floats:
    """Area, ∬x, ∬y, ∬x², ∬y², ∬xy of a region about the origin, (6,)."""
    area, (x, y), about = region.area_m2, region.centroid_m, region.second_moments
    return np.array(
        [
            area,
            area * x,
            area * y,
            about.iyy_m4 + area * x * x,
            about.ixx_m4 + area * y * y,
            about.ixy_m4 + area * x * y,
        ]
    )


def polygon_integrals(area: shapely.Geometry) -> Floats:
    """Area, ∬x, ∬y, ∬x², ∬y², ∬xy of a shapely area about the origin, (6,). Lines and points are ignored."""
    whole = np.zeros(6)
    for part in shapely.get_parts(area):
        if part.geom_type != "Polygon" or part.is_empty:
            continue
        for number, ring in enumerate([part.exterior, *part.interiors]):
            points = shapely.get_coordinates(ring)
            sums = edge_integrals(points[:-1], points[1:], None).sum(axis=0)
            whole += sums * np.sign(sums[0]) * (-1 if number else 1)
    return whole


def fan(area: shapely.Geometry) -> tuple[Floats, Floats, Floats]:
    """Quadrature points x, y and signed weights over a shapely area, exact for polynomials up to degree 5.

    Every edge spans a triangle with its ring's first point. A point of the triangle is s·(p + t·(q − p)), with the
    area element s·|p × q|, integrated by Gauss rules in s and t.
    """
    xs, ys, weights = [np.zeros(0)], [np.zeros(0)], [np.zeros(0)]
    s, t = _FAN_POINTS[:, None, None], _FAN_POINTS[None, :, None]
    share = _FAN_WEIGHTS[:, None, None] * _FAN_WEIGHTS[None, :, None] * s
    for part in shapely.get_parts(area):
        if part.geom_type != "Polygon" or part.is_empty:
            continue
        for number, ring in enumerate([part.exterior, *part.interiors]):
            points = shapely.get_coordinates(ring)
            p, q = points[:-1] - points[0], points[1:] - points[0]
            cross = p[:, 0] * q[:, 1] - q[:, 0] * p[:, 1]
            sign = np.sign(cross.sum()) * (-1 if number else 1)
            xs.append((points[0, 0] + s * (p[:, 0] + t * (q[:, 0] - p[:, 0]))).ravel())
            ys.append((points[0, 1] + s * (p[:, 1] + t * (q[:, 1] - p[:, 1]))).ravel())
            weights.append((sign * share * cross).ravel())
    return np.concatenate(xs), np.concatenate(ys), np.concatenate(weights)


def within_reach(
    lines_or_area: shapely.Geometry, reach_m: float, quad_segs: int, corners: Corners = "round"
) -> shapely.Geometry:
    """All points within a distance of a geometry.

    quad_segs  segments per quarter circle

    GEOS drops points closer together than a hundredth of the reach, and may then cut off a whole concave curve (seen in
    3.14: an area half as large again). So closer points are thinned out first, which moves a curve of radius R by less
    than 1e-5 · reach² / R.
    """
    thinned = shapely.remove_repeated_points(lines_or_area, CROWDED * reach_m)
    return shapely.buffer(thinned, reach_m, quad_segs=quad_segs, join_style=corners)


def united(areas: Iterable[shapely.Geometry]) -> shapely.Geometry:
    """Union of shapely areas."""
    return shapely.union_all(list(areas))


OFFSET_TOLERANCE = 1e-5
"""Relative error allowed for a shell whose hollow is the offset of a curve. See `within_reach`."""


HOLLOW_ROUND = 512
"""Segments per quarter circle where a hollow turns around an inside corner."""


def inside_plan(region: Region, wall: float) -> Plan:
    """Points of a region at least `wall` from its edges; exact if the region is convex with straight edges."""
    whole = fine_polygon(region)
    inner = shapely.difference(whole, within_reach(shapely.boundary(whole), wall, HOLLOW_ROUND))
    straight = all(ring.bulges is None for ring in region.rings)
    convex = straight and shapely.convex_hull(whole).area <= whole.area * (1 + NEAR)
    return Plan(inner, exact=convex)


def ring_plan(plan: Plan, hollow: Plan) -> Plan:
    """A plan less a hollow that lies well inside it."""
    parts = [part for part in shapely.get_parts(hollow.straight) if part.area > 0]
    cut = tuple(
        Region.from_points(shapely.get_coordinates(part.exterior), [shapely.get_coordinates(h) for h in part.interiors])
        for part in parts
    )
    return Plan(plan.straight, plan.added, (*plan.cut, *cut), plan.exact and hollow.exact)


Point: TypeAlias = tuple[float, float]


@frozen(eq=False)
class Path:
    """A path of straight lines and arcs.

    points  (n, 2), m
    bulges  (n,) tan(θ/4) of the edge that starts at each point; None if all edges are straight
    closed  whether an edge joins the last point to the first
    """

    points: Floats
    bulges: Floats | None = None
    closed: bool = False

    @classmethod
    def of_ring(cls, ring: Ring) -> Path:
        return cls(ring.points, ring.bulges, closed=True)

    def mapped(self, matrix: ArrayLike, offset: ArrayLike = (0.0, 0.0)) -> Path:
        """The path under p → matrix · p + offset, where the matrix rotates, mirrors and scales uniformly."""
        m = np.asarray(matrix, dtype=np.float64)
        bulges = self.bulges if self.bulges is None or np.linalg.det(m) > 0 else -self.bulges
        return Path(self.points @ m.T + np.asarray(offset), bulges, self.closed)

    def flattened(self, chord_m: float = CHORD_M) -> Floats:
        """Points (m, 2) of the path with its arcs as straight lines; a closed path does not repeat its first point."""
        if self.bulges is None:
            return self.points
        ends = np.roll(self.points, -1, axis=0)
        count = len(self.points) if self.closed else len(self.points) - 1
        points = flatten(self.points[:count], ends[:count], self.bulges[:count], chord_m)[0]
        return points if self.closed else np.concatenate([points, self.points[-1:]])

    def edges(self) -> Iterator[Edge]:
        """Yield the edges in order, with the closing edge of a closed path."""
        ends = np.roll(self.points, -1, axis=0)
        count = len(self.points) if self.closed else len(self.points) - 1
        bulges = np.zeros(len(self.points)) if self.bulges is None else self.bulges
        for start, end, bulge in zip(self.points[:count], ends[:count], bulges[:count], strict=True):
            yield Edge((float(start[0]), float(start[1])), (float(end[0]), float(end[1])), float(bulge))


@frozen
class Edge:
    """A straight line, or an arc of bulge tan(θ/4), counterclockwise positive."""

    start: Point
    end: Point
    bulge: float

    @property
    def straight(self) -> bool:
        return abs(self.bulge) <= STRAIGHT_BULGE or self.start == self.end

    @property
    def radius(self) -> float:
        """Radius of an arc, in the unit of its points."""
        return self._center()[1]

    def _center(self) -> tuple[Point, float]:
        ((x, y),), (radius,) = arc_centers(np.array([self.start]), np.array([self.end]), np.array([self.bulge]))
        return (float(x), float(y)), float(radius)

    def cubics(self) -> list[tuple[Point, Point, Point]]:
        """An arc as cubic Béziers (two control points and an end each), one per quarter turn, to 0.03% of radius."""
        (cx, cy), radius = self._center()
        turn = 4 * atan(self.bulge)
        first = atan2(self.start[1] - cy, self.start[0] - cx)
        count = ceil(abs(turn) / (pi / 2) - 1e-9) or 1
        step = turn / count
        reach = 4 / 3 * tan(step / 4) * radius
        curves = []
        for number in range(count):
            a, b = first + number * step, first + (number + 1) * step
            control_a = (cx + radius * cos(a) - reach * sin(a), cy + radius * sin(a) + reach * cos(a))
            control_b = (cx + radius * cos(b) + reach * sin(b), cy + radius * sin(b) - reach * cos(b))
            end = (cx + radius * cos(b), cy + radius * sin(b)) if number < count - 1 else self.end
            curves.append((control_a, control_b, end))
        return curves


def paths_of(lines: shapely.Geometry) -> tuple[Path, ...]:
    """Shapely lines as paths, with adjacent lines joined; other geometries are dropped."""
    merged = shapely.line_merge(lines) if lines.geom_type == "MultiLineString" else lines
    paths = []
    for part in shapely.get_parts(merged):
        if part.geom_type not in ("LineString", "LinearRing") or part.length == 0.0:
            continue
        points = shapely.get_coordinates(part)
        closed = bool((points[0] == points[-1]).all())
        paths.append(Path(points[:-1] if closed else points, closed=closed))
    return tuple(paths)


def boundaries_of(regions: Iterable[Region]) -> tuple[Path, ...]:
    """All outlines and holes of regions."""
    return tuple(Path.of_ring(ring) for region in regions for ring in region.rings)


def regions_of_area(area: shapely.Geometry) -> tuple[Region, ...]:
    """A shapely area as regions with straight edges, largest first."""
    parts = [part for part in shapely.get_parts(area) if part.geom_type == "Polygon" and part.area > 0.0]
    return tuple(
        Region.from_points(
            shapely.get_coordinates(part.exterior), [shapely.get_coordinates(hole) for hole in part.interiors]
        )
        for part in sorted(parts, key=lambda part: -part.area)
    )
