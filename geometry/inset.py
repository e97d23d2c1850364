"""Offset rings of lines and arcs, each edge moved inward by its own distance, and the bands between two such rings.

A line is moved along its normal; an arc keeps its center. Adjacent offset edges meet at the intersection nearest the
miter of their tangents. Where edges meet smoothly, the ring takes a perpendicular step from one distance to the next.
Drops, edge profiles and mitered ends all get their plans from here.
"""

from __future__ import annotations

from cmath import exp, phase
from collections.abc import Sequence
from functools import lru_cache
from math import atan, cos, pi, radians, sin, sqrt, tan
from typing import NoReturn

import numpy as np
import shapely

from geometry.arcs import STRAIGHT_BULGE
from geometry.arrays import Ints
from geometry.errors import FaultError
from geometry.frozen import frozen
from geometry.message import message
from geometry.plane import Region, Ring

SMOOTH_RAD = radians(1.0)
"""Adjacent edges that turn by less are smooth: the ring has a perpendicular step there instead of a miter."""

FOLD_RAD = radians(179.0)
"""A corner that turns by more is a fold and has no miter."""

LEAST = 1e-9
"""Fraction of a ring's size below which an edge counts as vanished."""

STEP, INNER = -1, -2
"""Owners of edges that come from no edge of the ring: a perpendicular step, and the inner side of a band."""


@frozen(eq=False)
class Segment:
    """A line or an arc of a ring, with points as complex numbers.

    first, last     unit tangents at the start and the end
    center, radius  of an arc; None and 0 for a line
    sweep           angle of an arc, radians, counterclockwise positive
    """

    start: complex
    end: complex
    bulge: float
    first: complex
    last: complex
    center: complex | None
    radius: float
    sweep: float

    @property
    def is_straight(self) -> bool:
        return self.center is None

    @property
    def length_m(self) -> float:
        return abs(self.end - self.start) if self.center is None else self.radius * abs(self.sweep)

    def at(self, along_m: float) -> complex:
        """Point at a distance along the segment."""
        if self.center is None:
            return self.start + along_m * self.first
        return self.center + (self.start - self.center) * exp(1j * self.sweep * along_m / self.length_m)

    def moved_radius(self, by_m: float) -> float:
        """Radius of the arc offset inward."""
        return self.radius - by_m if self.sweep > 0 else self.radius + by_m


@frozen(eq=False)
class Area:
    """An area inside one outline, with the source of every edge.

    owners  (n,) index of the ring's edge that each edge of the outline comes from, or STEP or INNER
    """

    region: Region
    owners: Ints


def counterclockwise(ring: Ring) -> Ring:
    """The ring, reversed if it is clockwise."""
    if ring.signed_area_m2 > 0:
        return ring
    bulges = None if ring.bulges is None else -np.roll(ring.bulges[::-1], -1)
    return Ring(ring.points[::-1], bulges)


@lru_cache(maxsize=256)
def segments_of(ring: Ring) -> tuple[Segment, ...]:
    """The edges of a ring as lines and arcs."""
    points = [complex(x, y) for x, y in ring.points.tolist()]
    bulges = [0.0] * len(points) if ring.bulges is None else ring.bulges.tolist()
    return tuple(
        _segment(start, end, bulge)
        for start, end, bulge in zip(points, [*points[1:], points[0]], bulges, strict=True)
        if start != end
    )


def _segment(start: complex, end: complex, bulge: float) -> Segment:
    chord = end - start
    along = chord / abs(chord)
    if abs(bulge) <= STRAIGHT_BULGE:
        return Segment(start, end, 0.0, along, along, None, 0.0, 0.0)
    sweep = 4 * atan(bulge)
    center = (start + end) / 2 + 1j * chord * (1 - bulge * bulge) / (4 * bulge)
    return Segment(
        start,
        end,
        bulge,
        along * exp(-0.5j * sweep),
        along * exp(0.5j * sweep),
        center,
        abs(chord) * (1 + bulge * bulge) / (4 * abs(bulge)),
        sweep,
    )


def turn_between(before: Segment, after: Segment) -> float:
    """Angle by which the ring turns left from one edge to the next, radians."""
    return phase(after.first / before.last)


@frozen(eq=False)
class Inset:
    """A ring offset inward: start, end and bulge of each of its edges, in the order of the ring."""

    edges: tuple[tuple[complex, complex, float], ...]

    @property
    def ring(self) -> Ring:
        """The offset ring, with its steps."""
        return self.area.region.outer

    @property
    def area(self) -> Area:
        """The area inside the offset ring, with the owner of each edge."""
        return _closed(self._path(range(len(self.edges)), closed=True))

    def _path(self, places: Sequence[int], *, closed: bool = False) -> list[tuple[complex, float, int]]:
        """Start, bulge and owner of the edges at given indices in order, with the steps between them."""
        path: list[tuple[complex, float, int]] = []
        for number, place in enumerate(places):
            start, end, bulge = self.edges[place]
            path.append((start, bulge, place))
            if closed or number < len(places) - 1:
                following = self.edges[places[(number + 1) % len(places)]][0]
                if following != end:
                    path.append((end, 0.0, STEP))
        return path


def inset(ring: Ring, distances_m: Sequence[float]) -> Inset:
    """Offset a ring inward, each edge by its own distance, m.

    ring         counterclockwise
    distances_m  one per edge, 0 or more

    Raises FaultError, with the location, if an edge vanishes, adjacent edges no longer meet, or the result intersects
    itself.
    """
    segments = segments_of(ring)
    count = len(segments)
    joints = [_joint(segments[i - 1], segments[i], distances_m[i - 1], distances_m[i]) for i in range(count)]
    size_m = max(ring.bounds[2] - ring.bounds[0], ring.bounds[3] - ring.bounds[1])
    edges = []
    for i, (segment, distance_m) in enumerate(zip(segments, distances_m, strict=True)):
        start, end = joints[i][1], joints[(i + 1) % count][0]
        edges.append((start, end, _bulge(segment, start, end, distance_m, LEAST * size_m)))
    moved = Inset(tuple(edges))
    if any(distances_m):
        polygon = shapely.Polygon(moved.ring.flattened(1e-4 * size_m))
        if not polygon.is_valid:
            x, y = shapely.get_coordinates(shapely.boundary(polygon).representative_point())[0].tolist()
            _refuse(complex(x, y))
    return moved


def _joint(before: Segment, after: Segment, d0: float, d1: float) -> tuple[complex, complex]:
    """End of an offset edge and start of the next: the same point, or two points where there is a step."""
    corner = after.start
    turn = turn_between(before, after)
    if abs(turn) < SMOOTH_RAD:
        left, right = 1j * before.last, 1j * after.first
        normal = (left + right) / (1.0 + (left.conjugate() * right).real)
        return corner + d0 * normal, corner + d1 * normal
    if d0 == d1 == 0.0:
        return corner, corner
    if abs(turn) > FOLD_RAD:
        _refuse(corner)
    along = (d0 * cos(turn) - d1) / sin(turn)
    mitre = corner + before.last * (along + 1j * d0)
    if before.is_straight and after.is_straight:
        return mitre, mitre
    crossings = _crossings(before, d0, after, d1)
    if not crossings:
        _refuse(corner)
    corner = min(crossings, key=lambda crossing: abs(crossing - mitre))
    return corner, corner


def _crossings(before: Segment, d0: float, after: Segment, d1: float) -> list[complex]:
    """Intersections of the full line or circle of an offset edge with that of the next."""
    if before.center is None:
        return _line_and_circle(before, d0, after, d1)
    if after.center is None:
        return _line_and_circle(after, d1, before, d0)
    between = after.center - before.center
    r0, r1, distance = before.moved_radius(d0), after.moved_radius(d1), abs(between)
    if distance == 0.0:
        return []
    along = (distance * distance + r0 * r0 - r1 * r1) / (2 * distance)
    return _either_side(
        before.center + along * between / distance, 1j * between / distance, r0 * r0 - along * along, r0
    )


def _line_and_circle(line: Segment, d0: float, arc: Segment, d1: float) -> list[complex]:
    assert arc.center is not None
    start, radius = line.start + 1j * d0 * line.first, arc.moved_radius(d1)
    to_center = (arc.center - start) / line.first
    foot = start + to_center.real * line.first
    return _either_side(foot, line.first, radius * radius - to_center.imag**2, radius)


def _either_side(middle: complex, way: complex, square: float, size: float) -> list[complex]:
    """Points on either side of a midpoint, given their squared distance from it; none if that is negative."""
    if square < -1e-12 * size * size:
        return []
    reach = sqrt(max(square, 0.0))
    return [middle + reach * way, middle - reach * way]


def _bulge(segment: Segment, start: complex, end: complex, distance_m: float, least_m: float) -> float:
    """Bulge of an offset edge. Raises FaultError if the edge has vanished."""
    if segment.center is None:
        if ((end - start) / segment.first).real <= least_m:
            _refuse((segment.start + segment.end) / 2)
        return 0.0
    if start == segment.start and end == segment.end:
        return segment.bulge
    if segment.moved_radius(distance_m) <= least_m:
        _refuse(segment.at(segment.length_m / 2))
    turned = phase((end - segment.center) / (start - segment.center))
    sweep = turned + 2 * pi * round((segment.sweep - turned) / (2 * pi))
    if sweep * segment.sweep <= 0.0 or abs(sweep) * segment.radius <= least_m:
        _refuse(segment.at(segment.length_m / 2))
    return tan(sweep / 4)


def _refuse(at: complex) -> NoReturn:
    raise FaultError("", message("inset-none", x_m=at.real, y_m=at.imag))


def bands(ring: Ring, outer: Inset, inner: Inset, deeper: Sequence[bool]) -> tuple[Area, ...]:
    """Areas between two offsets of a ring, one for each unbroken run of edges.

    outer, inner  the ring offset by less and by more
    deeper        whether each edge of the inner ring lies deeper than that of the outer

    The end of a run lies along the adjacent edge and belongs to that edge, or it runs into the material as a step.
    """
    count = len(deeper)
    if all(deeper):
        whole = outer.area
        return (Area(Region._made(whole.region.outer, (inner.ring,)), whole.owners),)
    segments = segments_of(ring)
    starts = [i for i in range(count) if deeper[i] and not deeper[i - 1]]
    areas = []
    for first in starts:
        length = next(n for n in range(1, count) if not deeper[(first + n) % count])
        places = [(first + n) % count for n in range(length)]
        path = outer._path(places)
        following = (places[-1] + 1) % count
        after, before = segments[following], segments[first - 1]
        outer_end, inner_end = outer.edges[places[-1]][1], inner.edges[places[-1]][1]
        flush = turn_between(segments[places[-1]], after) > SMOOTH_RAD
        path.append((outer_end, _bulge_along(after, outer_end, inner_end), following if flush else STEP))
        back = inner._path(places)
        points = [*(start for start, _, _ in back), inner_end]
        path += [(end, -bulge, INNER) for end, (_, bulge, _) in zip(points[:0:-1], reversed(back), strict=True)]
        inner_start, outer_start = points[0], outer.edges[first][0]
        flush = turn_between(before, segments[first]) > SMOOTH_RAD
        owner = (first - 1) % count if flush else STEP
        path.append((inner_start, _bulge_along(before, inner_start, outer_start), owner))
        areas.append(_closed(path))
    return tuple(areas)


def _bulge_along(segment: Segment, start: complex, end: complex) -> float:
    """Bulge between two points near an edge: concentric with its arc if both are at one radius, otherwise 0."""
    if segment.center is None:
        return 0.0
    first, last = start - segment.center, end - segment.center
    if abs(abs(first) - abs(last)) > LEAST * segment.radius:
        return 0.0
    return tan(phase(last / first) / 4)


def _closed(path: Sequence[tuple[complex, float, int]]) -> Area:
    """Area inside a closed path of valid edges."""
    points = np.array([(start.real, start.imag) for start, _, _ in path])
    bulges = np.array([bulge for _, bulge, _ in path])
    ring = Ring._made(points, bulges if bulges.any() else None)
    return Area(Region._made(ring, ()), np.array([owner for _, _, owner in path]))
