"""Straight edges of a plan as one array: material along a line, distances from edges, and point-in-polygon tests.

Edges are (n, 4): start and end of every edge of closed rings, each as (along, across), m. Holes are rings like the
outline; the direction of a ring does not matter.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Literal

import numpy as np

from geometry.arrays import Floats, Ints

Box = tuple[float, float, float, float]
Spans = list[tuple[float, float]]
Points = Sequence[tuple[float, float]] | Floats


def edges_of(rings: Sequence[Points]) -> Floats:
    """Start and end (along, across) of every edge of closed rings, (n, 4), m."""
    starts = [np.asarray(ring, dtype=np.float64) for ring in rings]
    ends = [np.concatenate([points[1:], points[:1]]) for points in starts]
    return np.concatenate([np.concatenate(starts), np.concatenate(ends)], axis=1)


def material_at(edges: Floats, places_m: Sequence[float], *, left: bool = True) -> list[Spans]:
    """Intervals of material on lines across the plan, (from, to) in m, one list for each position along it.

    edges   edges of a valid plan, from `edges_of`
    left    take the limit from the left, not from the right, at positions where an edge runs along the line
    """
    places = np.asarray(places_m, dtype=float)
    order = np.argsort(places, kind="stable")
    edge, rank = crossed_places(edges[:, 0], edges[:, 2], places[order], left=left)
    place = order[rank]
    start, end = edges[edge, 0], edges[edge, 2]
    across = edges[edge, 1] + (edges[edge, 3] - edges[edge, 1]) * ((places[place] - start) / (end - start))
    sorted_across = across[np.lexsort((across, place))].tolist()
    lines: list[Spans] = []
    done = 0
    for count in np.bincount(place, minlength=len(places)).tolist():
        line = sorted_across[done : done + count]
        lines.append([(y0, y1) for y0, y1 in zip(line[::2], line[1::2], strict=True) if y1 > y0])
        done += count
    return lines


def crossed_places(starts: Floats, ends: Floats, places: Floats, *, left: bool = True) -> tuple[Ints, Ints]:
    """Indices (c,) of edges, and of the positions along the plan that they cross.

    starts, ends  (n,) coordinates of the edges along the plan
    places        (p,) coordinates along the plan, ascending
    left          include an edge's upper end and exclude its lower one, rather than the reverse
    """
    side: Literal["right", "left"] = "right" if left else "left"
    first = np.searchsorted(places, np.minimum(starts, ends), side=side)
    crossed = np.searchsorted(places, np.maximum(starts, ends), side=side) - first
    edge = np.repeat(np.arange(len(crossed)), crossed)
    return edge, np.arange(len(edge)) - np.repeat(np.cumsum(crossed) - crossed, crossed) + first[edge]


def material_on(edges: Iterable[Sequence[float]], place_m: float) -> Spans:
    """Intervals (from, to) in which a line across the plan meets material or runs along an edge, m."""
    left: list[float] = []
    right: list[float] = []
    for x0, y0, x1, y1 in edges:
        if min(x0, x1) <= place_m <= max(x0, x1) and x0 != x1:
            across = y0 + (y1 - y0) * ((place_m - x0) / (x1 - x0))
            if place_m > min(x0, x1):
                left.append(across)
            if place_m < max(x0, x1):
                right.append(across)
    spans: Spans = []
    for low, high in sorted(_pairs(left) + _pairs(right)):
        if spans and low <= spans[-1][1]:
            spans[-1] = (spans[-1][0], max(high, spans[-1][1]))
        else:
            spans.append((low, high))
    return spans


def _pairs(crossings: list[float]) -> Spans:
    """Pair up the crossings of a line with edges, as intervals of material."""
    places = iter(sorted(crossings))
    return [(low, high) for low, high in zip(places, places, strict=True) if high > low]


def least_distance_m(outline: Points, holes: Sequence[Points]) -> float | None:
    """Smallest distance between any two rings of a plan, m; None without holes."""
    if not holes:
        return None
    import shapely

    lines = [shapely.linearrings(ring) for ring in holes]
    least_m = float(shapely.distance(shapely.linearrings(outline), shapely.multilinestrings(lines)))
    if len(holes) > 1:
        (_, _), gaps_m = shapely.STRtree(lines).query_nearest(
            lines, max_distance=least_m or None, exclusive=True, return_distance=True
        )
        least_m = min(least_m, float(gaps_m.min(initial=least_m)))
    return least_m


FEW = 1 << 18  # points times edges, up to which a full distance matrix is faster than a tree


def distances_m(points: Floats, edges: Floats) -> Floats:
    """Distance of each point (n, 2) from the nearest edge, (n,), m."""
    if len(points) * len(edges) > FEW:
        import shapely

        spots = shapely.points(points)
        tree = shapely.STRtree(shapely.linestrings(edges.reshape(-1, 2, 2)))
        (_, _), gaps = tree.query_nearest(spots, return_distance=True, all_matches=False)
        return np.asarray(gaps, dtype=np.float64)
    x, y = points[:, :1], points[:, 1:]
    dx, dy = edges[:, 2] - edges[:, 0], edges[:, 3] - edges[:, 1]
    part = ((x - edges[:, 0]) * dx + (y - edges[:, 1]) * dy) / (dx * dx + dy * dy)
    part = np.minimum(np.maximum(part, 0.0), 1.0)
    distances: Floats = np.hypot(x - (edges[:, 0] + part * dx), y - (edges[:, 1] + part * dy))
    nearest: Floats = distances.min(axis=1)
    return nearest


def clearances_m(points: Floats, edges: Floats) -> Floats:
    """Distance of each point (n, 2) from the nearest edge, (n,), m; negative outside the material."""
    order = np.argsort(points[:, 0], kind="stable")
    edge, rank = crossed_places(edges[:, 0], edges[:, 2], points[order, 0], left=False)
    point, start, run = order[rank], edges[edge, 0], edges[edge, 2] - edges[edge, 0]
    across = edges[edge, 1] + (edges[edge, 3] - edges[edge, 1]) * ((points[point, 0] - start) / run)
    inside = np.bincount(point[across < points[point, 1]], minlength=len(points)) % 2 == 1
    return np.where(inside, 1.0, -1.0) * distances_m(points, edges)


def lies_within(point: tuple[float, float], edges: Iterable[Sequence[float]]) -> bool:
    """Whether a point lies in the material or on an edge."""
    return any(low <= point[1] <= high for low, high in material_on(edges, point[0]))


def lies_inside(point: tuple[float, float], edges: Floats) -> bool:
    """Whether a point lies in the interior of the material, off all edges."""
    sides = (material_at(edges, [point[0]], left=left)[0] for left in (True, False))
    return all(any(low < point[1] < high for low, high in side) for side in sides)


def is_box(ring: Floats) -> bool:
    """Whether a ring of points (n, 2) is an axis-aligned rectangle."""
    return len(ring) == 4 and all(len(set(places)) == 2 for places in ring.T.tolist())


def box_around(ring: Floats) -> Box:
    """Bounding box (x0, y0, x1, y1) of a ring of points (n, 2)."""
    (x0, y0), (x1, y1) = ring.min(axis=0).tolist(), ring.max(axis=0).tolist()
    return x0, y0, x1, y1


def lie_apart(outer: Box, boxes: Sequence[Box]) -> bool:
    """Whether boxes lie inside an outer box and do not touch each other."""
    x0, y0, x1, y1 = outer
    inside = all(x0 < a < c < x1 and y0 < b < d < y1 for a, b, c, d in boxes)
    return inside and next(near_pairs(boxes, 0.0), None) is None


def near_pairs(boxes: Sequence[Box], gap_m: float) -> Iterator[tuple[int, int]]:
    """Yield index pairs, lower first, of boxes that are at most `gap_m` apart along both axes.

    A sweep along x, so that distant boxes are never compared.
    """
    active: list[int] = []
    for number in sorted(range(len(boxes)), key=lambda number: boxes[number][0]):
        a, b, _, d = boxes[number]
        active = [earlier for earlier in active if boxes[earlier][2] + gap_m >= a]
        for earlier in active:
            if boxes[earlier][1] <= d + gap_m and boxes[earlier][3] + gap_m >= b:
                yield (earlier, number) if earlier < number else (number, earlier)
        active.append(number)
