"""Lines to be drawn, open or closed, with exact arcs: what paper, picture and drawing file are all made from."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import atan, atan2, ceil, cos, pi, sin, tan
from typing import TypeAlias

import numpy as np
import shapely
from numpy.typing import ArrayLike

from geometry.arcs import STRAIGHT_BULGE, Floats, arc_centres, flatten
from geometry.plane import CHORD_M, Region, Ring

Point: TypeAlias = tuple[float, float]


@dataclass(frozen=True, eq=False)
class Path:
    """A line through points; from each to the next it runs straight or along an arc.

    points  (n, 2), m
    bulges  (n,) tan(θ/4) of the edge that starts at each point, the last of a closed path running back to the first;
            None where all edges are straight
    closed  whether the last point joins the first
    """

    points: Floats
    bulges: Floats | None = None
    closed: bool = False

    @classmethod
    def of_ring(cls, ring: Ring) -> Path:
        return cls(ring.points, ring.bulges, closed=True)

    def mapped(self, matrix: ArrayLike, offset: ArrayLike = (0.0, 0.0)) -> Path:
        """The path under p → matrix · p + offset; the matrix turns, mirrors and scales alike in all directions."""
        m = np.asarray(matrix, dtype=np.float64)
        bulges = self.bulges if self.bulges is None or np.linalg.det(m) > 0 else -self.bulges
        return Path(self.points @ m.T + np.asarray(offset), bulges, self.closed)

    def flattened(self, chord_m: float = CHORD_M) -> Floats:
        """Points (m, 2) of the same line with its arcs in straight pieces; a closed one does not repeat its first."""
        if self.bulges is None:
            return self.points
        ends = np.roll(self.points, -1, axis=0)
        count = len(self.points) if self.closed else len(self.points) - 1
        points = flatten(self.points[:count], ends[:count], self.bulges[:count], chord_m)[0]
        return points if self.closed else np.concatenate([points, self.points[-1:]])

    def edges(self) -> Iterator[Edge]:
        """The edges in order, the closing one of a closed path in."""
        ends = np.roll(self.points, -1, axis=0)
        count = len(self.points) if self.closed else len(self.points) - 1
        bulges = np.zeros(len(self.points)) if self.bulges is None else self.bulges
        for start, end, bulge in zip(self.points[:count], ends[:count], bulges[:count], strict=True):
            yield Edge((float(start[0]), float(start[1])), (float(end[0]), float(end[1])), float(bulge))


@dataclass(frozen=True, slots=True)
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
        """Of an arc, in the unit of its points."""
        return self._centre()[1]

    def _centre(self) -> tuple[Point, float]:
        ((x, y),), (radius,) = arc_centres(np.array([self.start]), np.array([self.end]), np.array([self.bulge]))
        return (float(x), float(y)), float(radius)

    def cubics(self) -> list[tuple[Point, Point, Point]]:
        """An arc as cubic curves (two handles and an end each), one to a quarter turn: 0.03 % of the radius off."""
        (cx, cy), radius = self._centre()
        turn = 4 * atan(self.bulge)
        first = atan2(self.start[1] - cy, self.start[0] - cx)
        count = ceil(abs(turn) / (pi / 2) - 1e-9) or 1
        step = turn / count
        reach = 4 / 3 * tan(step / 4) * radius
        curves = []
        for number in range(count):
            a, b = first + number * step, first + (number + 1) * step
            one = (cx + radius * cos(a) - reach * sin(a), cy + radius * sin(a) + reach * cos(a))
            two = (cx + radius * cos(b) + reach * sin(b), cy + radius * sin(b) - reach * cos(b))
            end = (cx + radius * cos(b), cy + radius * sin(b)) if number < count - 1 else self.end
            curves.append((one, two, end))
        return curves


def paths_of(lines: shapely.Geometry) -> tuple[Path, ...]:
    """Shapely lines as paths, neighbours joined; whatever is no line is left out."""
    merged = shapely.line_merge(lines) if lines.geom_type == "MultiLineString" else lines
    made = []
    for part in shapely.get_parts(merged):
        if part.geom_type not in ("LineString", "LinearRing") or part.length == 0.0:
            continue
        points = shapely.get_coordinates(part)
        closed = bool((points[0] == points[-1]).all())
        made.append(Path(points[:-1] if closed else points, closed=closed))
    return tuple(made)


def boundaries_of(regions: Iterable[Region]) -> tuple[Path, ...]:
    """All outlines and holes of regions."""
    return tuple(Path.of_ring(ring) for region in regions for ring in region.rings)


def regions_of_area(area: shapely.Geometry) -> tuple[Region, ...]:
    """A shapely area as regions with straight edges, the largest first."""
    parts = [part for part in shapely.get_parts(area) if part.geom_type == "Polygon" and part.area > 0.0]
    return tuple(
        Region.from_points(
            shapely.get_coordinates(part.exterior), [shapely.get_coordinates(hole) for hole in part.interiors]
        )
        for part in sorted(parts, key=lambda part: -part.area)
    )
