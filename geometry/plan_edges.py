"""Edges of a plan as users name them: by number or by the side they face, whole or in part.

An edge is a straight line or a smooth curve, even if it was drawn as several. Numbers run counterclockwise from the
corner nearest the lower left. For naming and numbering only, a plan drawn at an angle is rotated until its longest
straight edge is level; a plan drawn along the axes is not.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache
from math import cos, inf, pi, radians
from typing import Any, Literal, TypeAlias, get_args

import numpy as np
import shapely

from geometry.arrays import Flags, Floats
from geometry.errors import FaultError, require
from geometry.frozen import frozen
from geometry.inset import SMOOTH_RAD, Segment, counterclockwise, segments_of, turn_between
from geometry.message import message
from geometry.plan import NEAR
from geometry.plane import Ring
from geometry.runs import joined_steps

Side: TypeAlias = Literal["front", "back", "left", "right"]

SIDES: tuple[Side, ...] = get_args(Side)

SIDE_DEG = 40.0
"""An edge has the name of a side if its chord faces that side within this angle; otherwise it only has a number."""

SQUARE_DEG = 0.5
"""A plan counts as drawn along the axes if its longest straight edge is within this angle of an axis."""

COLLINEAR_RAD = 1e-5
"""Straight lines that turn by less are one edge."""

LENGTH_CHECK_M = 0.0127
"""Tolerance of an edge's stated length: half an inch."""

SAMPLE_M = 0.00635
"""Sampling interval of drawn lines, and their largest distance from an edge that they lie along: a quarter inch."""

WHOLE, PART = 0.95, 0.05
"""Share of an edge above which a line covers it completely, and below which it does not lie along it."""

OUTWARD: dict[Side, complex] = {"front": -1j, "right": 1.0, "back": 1j, "left": -1.0}


@frozen
class EdgePart:
    """An edge, or part of it.

    edge           its number, or the side it faces
    near_m         instead of `edge`: a point nearest to this edge
    length_m       expected length, to half an inch, as a check against changes to the drawing
    from_m, to_m   start and end of the part, measured along the edge counterclockwise from its start
    """

    edge: Side | int | None = None
    near_m: tuple[float, float] | None = None
    length_m: float | None = None
    from_m: float | None = None
    to_m: float | None = None


Edge: TypeAlias = Side | int | EdgePart


@frozen
class Stretch:
    """Part of a numbered edge of a plan, measured along it counterclockwise from its start."""

    number: int
    from_m: float
    to_m: float

    def is_part_of(self, edges: Sequence[PlanEdge]) -> bool:
        """Whether it is shorter than its edge; `edges` are all edges of the plan."""
        return self.to_m - self.from_m < edges[self.number - 1].length_m * (1 - NEAR)


@frozen(eq=False)
class PlanEdge:
    """One edge of a plan.

    number    from 1, counterclockwise
    side      side that it faces, or None
    places    indices of its lines and arcs in the ring, in order
    segments  its lines and arcs
    """

    number: int
    side: Side | None
    places: tuple[int, ...]
    segments: tuple[Segment, ...]

    @property
    def length_m(self) -> float:
        return sum(segment.length_m for segment in self.segments)

    @property
    def middle(self) -> tuple[tuple[float, float], tuple[float, float]]:
        """Midpoint, and the inward unit vector there."""
        at_m = self.length_m / 2
        for segment in self.segments:
            if at_m <= segment.length_m:
                break
            at_m -= segment.length_m
        inward = 1j * segment.first * np.exp(1j * segment.sweep * at_m / segment.length_m)
        point = segment.at(min(at_m, segment.length_m))
        return (point.real, point.imag), (float(inward.real), float(inward.imag))

    def line(self, chord_m: float) -> shapely.LineString:
        """The edge as a polyline within `chord_m`."""
        points = []
        for segment in self.segments:
            steps = 1
            if segment.radius:
                step = 2 * (2 * chord_m / segment.radius) ** 0.5
                steps = max(1, int(np.ceil(abs(segment.sweep) / step)))
            points += [segment.at(segment.length_m * k / steps) for k in range(steps)]
        points.append(self.segments[-1].end)
        return shapely.LineString([(point.real, point.imag) for point in points])


@lru_cache(maxsize=256)
def plan_edges(ring: Ring, *, turned: bool = True) -> tuple[PlanEdge, ...]:
    """Edges of a counterclockwise ring, by number.

    turned   whether to rotate a ring drawn at an angle before naming its edges
    """
    segments = segments_of(ring)
    groups = _groups(segments)
    way = _level(segments, groups) if turned else 1.0 + 0j
    corners = np.array([segments[group[0]].start / way for group in groups])
    points = np.array([segment.start / way for segment in segments])
    bulges = None if ring.bulges is None else ring.bulges
    x0, y0, _, _ = Ring(np.stack([points.real, points.imag], axis=1), bulges).bounds
    distances = np.abs(corners - complex(x0, y0))
    nearest = np.flatnonzero(distances <= distances.min() + NEAR * np.abs(points - complex(x0, y0)).max())
    first = int(nearest[np.argmin(corners[nearest].imag)])  # if two are equally near, the lower one
    edges = []
    for number in range(len(groups)):
        places = groups[(first + number) % len(groups)]
        own = tuple(segments[place] for place in places)
        edges.append(PlanEdge(number + 1, _side(own, way), places, own))
    return tuple(edges)


def _side(segments: Sequence[Segment], way: complex) -> Side | None:
    chord = (segments[-1].end - segments[0].start) / way
    outward = -1j * chord / abs(chord)
    return next(
        (side for side, facing in OUTWARD.items() if (outward * facing.conjugate()).real > cos(radians(SIDE_DEG))), None
    )


def level_way(ring: Ring) -> complex:
    """Unit vector along a ring's longest straight edge; 1 if it is drawn along the axes or has no straight edge."""
    segments = segments_of(counterclockwise(ring))
    return _level(segments, _groups(segments))


ASKEW_SHARE = 0.5
"""Least part of the outline along one direction, and square to it, that makes a plan a plan at an angle."""


def is_askew(ring: Ring) -> bool:
    """Whether a plan is drawn at an angle: most of its outline is straight and runs along its longest line or square
    to it, and less along the axes.

    >>> level, turned = Ring([(0, 0), (4, 0), (4, 1), (0, 1)]), Ring([(0, 0), (4, 3), (3.4, 3.8), (-0.6, 0.8)])
    >>> is_askew(level), is_askew(turned)
    (False, True)
    """
    lines = (np.roll(ring.points, -1, axis=0) - ring.points) @ np.array([1.0, 1j])
    length = np.abs(lines)
    straight = length > 0 if ring.bulges is None else (length > 0) & (ring.bulges == 0)
    if not straight.any():
        return False
    lines, length = lines[straight], length[straight]

    def along_m(way: complex) -> float:
        turned = lines * np.conj(way) / abs(way)
        off = np.minimum(np.abs(turned.real), np.abs(turned.imag))
        return float(length[off < radians(SQUARE_DEG) * length].sum())

    longest_m = along_m(complex(lines[int(np.argmax(length))]))
    return longest_m > max(along_m(1.0), ASKEW_SHARE * ring.perimeter_m)


def _level(segments: Sequence[Segment], groups: Sequence[tuple[int, ...]]) -> complex:
    """Unit vector along the longest straight edge; 1 for a plan along the axes or all of curves."""
    longest, way = 0.0, 1.0 + 0j
    for group in groups:
        chord = segments[group[-1]].end - segments[group[0]].start
        if all(segments[place].is_straight for place in group) and abs(chord) > longest * (1 + 1e-9):
            longest, way = abs(chord), chord / abs(chord)
    if min(abs(way.real), abs(way.imag)) < radians(SQUARE_DEG):
        return 1.0 + 0j
    return way if way.real > 0 else -way


def _groups(segments: Sequence[Segment]) -> list[tuple[int, ...]]:
    """Indices of the lines and arcs of each edge, in order around the ring."""
    count = len(segments)
    turns = [turn_between(segments[i - 1], segments[i]) for i in range(count)]
    joined = _drawn_curves(segments, turns)
    for i in range(count):
        before, after = segments[i - 1], segments[i]
        if before.is_straight and after.is_straight:
            joined[i] |= abs(turns[i]) < COLLINEAR_RAD
        elif not (before.is_straight or after.is_straight):
            joined[i] |= abs(turns[i]) < SMOOTH_RAD and before.sweep * after.sweep > 0
    if joined.all():  # a circle or an ellipse has a front and a back half
        points = [segment.start.real for segment in segments]
        joined[[int(np.argmin(points)), int(np.argmax(points))]] = False
    elif np.count_nonzero(~joined) == 1:  # a drop, with one corner, has two edges from there to its far end
        tip = segments[int(np.argmin(joined))].start
        joined[int(np.argmax([abs(segment.start - tip) for segment in segments]))] = False
    start = int(np.argmin(joined))
    groups: list[list[int]] = []
    for k in range(count):
        i = (start + k) % count
        if joined[i] and groups:
            groups[-1].append(i)
        else:
            groups.append([i])
    return [tuple(group) for group in groups]


def _drawn_curves(segments: Sequence[Segment], turns: Sequence[float]) -> Flags:
    """Mask (n,) of the lines that continue a curve drawn as three or more straight lines."""
    length = np.array([segment.length_m if segment.is_straight else inf for segment in segments])
    straight = np.isfinite(length)
    angle = np.where(straight & np.roll(straight, 1), np.array(turns), pi)
    joined = joined_steps(length, angle)
    if joined.all():
        return joined
    start, count = int(np.argmin(joined)), len(joined)
    runs: list[list[int]] = []
    for k in range(count):
        i = (start + k) % count
        if joined[i]:
            runs[-1].append(i)
        else:
            runs.append([i])
    for run in runs:
        if len(run) < 3:
            joined[run] = False
    return joined


# Edges named in a job file ---------------------------------------------------------------------------------------


def chosen(edges: Sequence[PlanEdge], names: Sequence[Edge], key: str) -> tuple[Stretch, ...]:
    """Edges or parts of edges named in a list, in its order.

    edges   edges of the plan, by number
    key     key of the list, for faults

    Raises FaultError for an empty list, an unknown edge, a length that does not match, and an impossible part.
    """
    require(bool(names), key, message("edges-none", edges=_listed(edges)))
    stretches: list[Stretch] = []
    for i, name in enumerate(names):
        stretches += _chosen(edges, name if isinstance(name, EdgePart) else EdgePart(name), f"{key}[{i}]")
    return tuple(stretches)


def _chosen(edges: Sequence[PlanEdge], part: EdgePart, key: str) -> Iterator[Stretch]:
    named = _named(edges, part, key)
    whole_m = sum(edge.length_m for edge in named)
    if part.length_m is not None and abs(part.length_m - whole_m) > LENGTH_CHECK_M:
        numbers = [str(edge.number) for edge in named]
        refusal = message("edge-length-differs", numbers=numbers, length_m=whole_m, stated_m=part.length_m)
        raise FaultError(f"{key}.length", refusal)
    if part.from_m is None and part.to_m is None:
        yield from (Stretch(edge.number, 0.0, edge.length_m) for edge in named)
        return
    numbers = [str(edge.number) for edge in named]
    require(len(named) == 1, key, message("edge-part-of-several", numbers=numbers))
    from_m, to_m = part.from_m or 0.0, whole_m if part.to_m is None else part.to_m
    near_m = 1e-6
    sound = -near_m <= from_m < to_m - near_m and to_m <= whole_m + near_m
    require(sound, key, message("edge-part-outside", from_m=from_m, to_m=to_m, length_m=whole_m))
    yield Stretch(named[0].number, max(from_m, 0.0), min(to_m, whole_m))


def _named(edges: Sequence[PlanEdge], part: EdgePart, key: str) -> list[PlanEdge]:
    if part.near_m is not None:
        return [_nearest(edges, part.near_m, key)]
    if isinstance(part.edge, str):
        require(part.edge in SIDES, key, message("side-unknown", side=repr(part.edge), sides=", ".join(SIDES)))
        facing = [edge for edge in edges if edge.side == part.edge]
        require(bool(facing), key, message("edge-faces-none", side=part.edge, edges=_listed(edges)))
        return facing
    numbered = [edge for edge in edges if edge.number == part.edge]
    require(bool(numbered), key, message("edge-unknown", number=str(part.edge), edges=_listed(edges)))
    return numbered


def _nearest(edges: Sequence[PlanEdge], near_m: tuple[float, float], key: str) -> PlanEdge:
    point = shapely.Point(near_m)
    distances = [float(edge.line(1e-5).distance(point)) for edge in edges]
    order: list[int] = np.argsort(distances, kind="stable").tolist()
    first, second = order[0], order[1] if len(order) > 1 else order[0]
    if first != second and distances[second] - distances[first] < 1e-4:
        numbers = sorted((str(edges[first].number), str(edges[second].number)))
        raise FaultError(f"{key}.near", message("edge-near-two", numbers=numbers))
    return edges[first]


def _listed(edges: Sequence[PlanEdge]) -> list[str]:
    """Numbers of the edges, each with the side it faces, for a message."""
    return [f"{edge.number} {edge.side}" if edge.side else str(edge.number) for edge in edges[:12]]


def edges_along(ring: Ring, lines: Sequence[Floats], length_m: float | None = None) -> tuple[EdgePart, ...]:
    """Edges of a plan, or parts of them, that drawn lines run along.

    ring      outline of the plan, in either direction
    lines     (n, 2) points of each line, m, with arcs as straight lines
    length_m  expected total length, to half an inch; None for no check

    Edges are sampled every quarter inch. If more than 95% of an edge is within a quarter inch of the lines, it counts
    as whole; from 5% to 95%, as a part. Raises FaultError, with the location, for a line along no edge (key "layer"),
    and for a length that does not match (key "length").
    """
    edges = plan_edges(counterclockwise(ring))
    drawn = [shapely.LineString(points) for points in lines if len(points) > 1]
    lines_union = shapely.union_all(drawn)
    shapely.prepare(lines_union)
    parts: list[EdgePart] = []
    for edge in edges:
        count = max(1, round(edge.length_m / SAMPLE_M))
        step_m = edge.length_m / count
        middles = shapely.line_interpolate_point(edge.line(1e-5), (np.arange(count) + 0.5) / count, normalized=True)
        near = shapely.distance(lines_union, middles) <= SAMPLE_M
        if near.mean() > WHOLE:
            parts.append(EdgePart(edge.number))
        elif near.mean() >= PART:
            ends = _ends_along(edge, drawn)
            parts += [
                EdgePart(edge.number, from_m=_snapped(a * step_m, ends), to_m=_snapped(b * step_m, ends))
                for a, b in _runs_of(near)
            ]
    _refuse_stray(drawn, edges, {part.edge for part in parts})
    if length_m is not None:
        stretches = chosen(edges, parts, "")
        own_m = sum(stretch.to_m - stretch.from_m for stretch in stretches)
        if abs(own_m - length_m) > LENGTH_CHECK_M:
            numbers = [str(stretch.number) for stretch in stretches]
            raise FaultError(
                "length", message("edge-length-differs", numbers=numbers, length_m=own_m, stated_m=length_m)
            )
    return tuple(parts)


def _runs_of(near: Flags) -> list[tuple[int, int]]:
    """Start and end (exclusive) of each run of two or more true samples."""
    change = np.flatnonzero(np.diff(np.concatenate([[False], near, [False]]).astype(np.int8)))
    return [(int(a), int(b)) for a, b in change.reshape(-1, 2) if b - a > 1]


def _ends_along(edge: PlanEdge, drawn: Sequence[Any]) -> Floats:
    """Positions along an edge of the points of drawn lines near it, m."""
    line = edge.line(1e-5)
    points = shapely.points(shapely.get_coordinates(drawn))
    points = points[shapely.distance(line, points) <= SAMPLE_M]
    ends: Floats = np.asarray(shapely.line_locate_point(line, points), dtype=np.float64)
    return ends


def _snapped(along_m: float, ends: Floats) -> float:
    """Snap a position along an edge to the end of a drawn line, if one is near."""
    gaps = np.abs(ends - along_m)
    return float(ends[gaps.argmin()]) if len(ends) and gaps.min() <= 2 * SAMPLE_M else along_m


def _refuse_stray(drawn: Sequence[Any], edges: Sequence[PlanEdge], numbers: set[Side | int | None]) -> None:
    """Raise FaultError for a line that runs along none of the numbered edges."""
    matched = shapely.union_all([edge.line(1e-5) for edge in edges if edge.number in numbers])
    for line in drawn:
        count = max(2, round(line.length / SAMPLE_M))
        samples = shapely.line_interpolate_point(line, (np.arange(count) + 0.5) / count, normalized=True)
        if matched.is_empty or (shapely.distance(matched, samples) <= SAMPLE_M).mean() < 0.5:
            point = line.interpolate(0.5, normalized=True)
            raise FaultError("layer", message("edge-line-stray", x_m=float(point.x), y_m=float(point.y)))
