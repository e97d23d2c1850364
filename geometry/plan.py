"""Plane areas put together and cut, exact as long as curves are not crossed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Literal

import numpy as np
import shapely

from geometry.arcs import Floats, edge_integrals
from geometry.plane import Region

FINE = 1e-6
"""Chord tolerance of curves that have to be cut, as a fraction of their own outline's size."""

NEAR = 1e-9
"""Lines closer than this fraction of the plan's size are the same line."""


CROWDED = 0.0105
"""Corners closer than this share of the reach are too close for an offset. See `within_reach`."""

Corners = Literal["round", "mitre"]

_POINTS_4, _WEIGHTS_4 = np.polynomial.legendre.leggauss(4)
_FAN_POINTS, _FAN_WEIGHTS = (_POINTS_4 + 1) / 2, _WEIGHTS_4 / 2


@dataclass(frozen=True, eq=False)
class Plan:
    """A plane area as straight-edged parts plus whole curved outlines that are kept exact.

    straight  shapely area with straight edges
    added     regions beside it, apart from it and from each other
    cut       regions inside straight or added, apart from each other
    exact     False once a curve was cut and had to become straight lines (of equal area)
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
        """The plan as a shapely area of straight edges; each curved outline keeps its area."""
        area = self.straight
        if self.added:
            area = shapely.union_all([area, *(fine_polygon(region) for region in self.added)])
        if self.cut:
            area = shapely.difference(area, shapely.union_all([fine_polygon(region) for region in self.cut]))
        return area

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
        """The plan with `region` taken out."""
        hole = fine_polygon(region)
        if shapely.contains_properly(self.polygon, hole):
            return Plan(self.straight, self.added, (*self.cut, region), self.exact)
        if shapely.intersection(self.polygon, hole).area == 0:
            return self
        straight = all(ring.bulges is None for ring in region.rings)
        return Plan(shapely.difference(self.polygon, hole), exact=straight and self.is_straight)

    @property
    def is_straight(self) -> bool:
        """Whether no curve is in it and none was lost."""
        curved = any(ring.bulges is not None for region in (*self.added, *self.cut) for ring in region.rings)
        return self.exact and not curved

    def plus(self, other: Plan) -> Plan:
        """The two together; what overlaps counts once."""
        if not shapely.intersects(self.polygon, other.polygon):
            both = shapely.union(self.straight, other.straight)
            return Plan(both, (*self.added, *other.added), (*self.cut, *other.cut), self.exact and other.exact)
        if shapely.covers(self.polygon, other.polygon):
            return self
        if shapely.covers(other.polygon, self.polygon):
            return other
        return Plan(shapely.union(self.polygon, other.polygon), exact=self.is_straight and other.is_straight)

    def minus(self, other: Plan) -> Plan:
        """The plan with another taken out."""
        if other.straight.is_empty and len(other.added) == 1 and not other.cut:
            return self.less(other.added[0])
        if not shapely.intersects(self.polygon, other.polygon):
            return self
        left = shapely.difference(self.polygon, other.polygon)
        return Plan(left, exact=self.is_straight and other.is_straight)

    def moved(self, dx_m: float, dy_m: float) -> Plan:
        """The plan shifted."""
        return Plan(
            shifted(self.straight, dx_m, dy_m),
            tuple(region.translated(dx_m, dy_m) for region in self.added),
            tuple(region.translated(dx_m, dy_m) for region in self.cut),
            self.exact,
        )

    def length_along(self, lines: shapely.Geometry) -> float:
        """Length of the plan's edge that runs along `lines`, m."""
        return float(self.edges_along(lines).length)

    def edges_along(self, lines: shapely.Geometry) -> shapely.Geometry:
        """The part of the plan's edge that runs along `lines`, as lines."""
        if lines.is_empty:
            return shapely.LineString()
        reach = NEAR * max(1e-3, *np.ptp(np.array(lines.bounds).reshape(2, 2), axis=0))
        strip = shapely.buffer(lines, reach, cap_style="flat", join_style="mitre", quad_segs=1)
        found = shapely.get_parts(shapely.intersection(shapely.boundary(self.polygon), strip))
        points, line = shapely.get_coordinates(found, return_index=True)
        segments = np.stack([points[:-1], points[1:]], axis=1)[line[:-1] == line[1:]]
        # Edges that only end on the lines are met over the width of the strip: leave those stubs out.
        long = np.hypot(*(segments[:, 1] - segments[:, 0]).T) > 2 * reach
        return shapely.line_merge(shapely.multilinestrings(shapely.linestrings(segments[long])))

    def length_of(self, region: Region) -> float:
        """Length of the plan's edge that is the edge of `region`, exact where it is whole."""
        if any(region is other for other in (*self.added, *self.cut)):
            return region.perimeter_m
        return self.length_along(shapely.boundary(fine_polygon(region)))


def shifted(area: shapely.Geometry, dx_m: float, dy_m: float) -> shapely.Geometry:
    """A shapely geometry moved."""
    return shapely.transform(area, lambda points: points + np.array([dx_m, dy_m]))


@lru_cache(maxsize=256)
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
    """Area, ∬x, ∬y, ∬x², ∬y², ∬xy of a shapely area about the origin, (6,). Lines and points in it count nothing."""
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
    """Points x, y and signed weights whose sums are integrals over a shapely area, exact up to the fifth degree.

    Every edge spans a triangle with its ring's first point; a point of it is s·(p + t·(q − p)), with the area
    element s·|p × q|, and Gauss in s and t does the rest.
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
    """All points within reach of a geometry.

    quad_segs  straight pieces to a quarter circle

    GEOS leaves out corners that lie closer together than a hundredth of the reach, and may then cut off the whole of
    a hollow curve (seen in 3.14: half as large again). So corners crowded closer than that are thinned out first,
    which moves a curve of radius R by less than 1e-5 · reach² / R.
    """
    thinned = shapely.remove_repeated_points(lines_or_area, CROWDED * reach_m)
    return shapely.buffer(thinned, reach_m, quad_segs=quad_segs, join_style=corners)


def united(areas: Iterable[shapely.Geometry]) -> shapely.Geometry:
    """Shapely areas as one."""
    return shapely.union_all(list(areas))
