"""Straight edges of a plan as one array: the material along a line, distances from edges, and what lies within.

Edges are (n, 4): start and end of every edge of closed rings, each as (along, across), m. Holes are rings like the
outline; which way a ring runs does not count.
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
    """Where a line across the plan runs through material, from and to across, for each of several places along it.

    edges   of a valid plan, as `edges_of` gives them
    left    on the left of a place, where an edge stands square to the line; otherwise on its right
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
    """Number of the edge and of the place, (c,) each, for every edge that crosses a place along the plan.

    starts, ends  along, (n,), of the edges
    places        along, (p,), ascending
    left          whether an edge counts at its greater end, not at its lesser one
    """
    side: Literal["right", "left"] = "right" if left else "left"
    first = np.searchsorted(places, np.minimum(starts, ends), side=side)
    crossed = np.searchsorted(places, np.maximum(starts, ends), side=side) - first
    edge = np.repeat(np.arange(len(crossed)), crossed)
    return edge, np.arange(len(edge)) - np.repeat(np.cumsum(crossed) - crossed, crossed) + first[edge]


def material_on(edges: Iterable[Sequence[float]], place_m: float) -> Spans:
    """Where a line across the plan at a place along it meets material or runs along an edge, from and to across."""
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
    """Crossings of a line with the edges two by two: in and out of material."""
    places = iter(sorted(crossings))
    return [(low, high) for low, high in zip(places, places, strict=True) if high > low]


def least_distance_m(outline: Points, holes: Sequence[Points]) -> float | None:
    """Distance of the two rings of a plan that are nearest to each other, m; None without holes."""
    if not holes:
        return None
    import shapely

    lines = [shapely.linearrings(ring) for ring in holes]
    least_m = float(shapely.distance(shapely.linearrings(outline), shapely.multilinestrings(lines)))
    if len(holes) > 1:
        (_, _), away_m = shapely.STRtree(lines).query_nearest(
            lines, max_distance=least_m or None, exclusive=True, return_distance=True
        )
        least_m = min(least_m, float(away_m.min(initial=least_m)))
    return least_m


FEW = 1 << 18  # points times edges: up to it an array of them all is quicker than a tree


def distances_m(points: Floats, edges: Floats) -> Floats:
    """Distance of each point (n, 2) from the nearest edge, (n,), m."""
    if len(points) * len(edges) > FEW:
        import shapely

        spots = shapely.points(points)
        tree = shapely.STRtree(shapely.linestrings(edges.reshape(-1, 2, 2)))
        (_, _), away_m = tree.query_nearest(spots, return_distance=True, all_matches=False)
        return np.asarray(away_m, dtype=np.float64)
    x, y = points[:, :1], points[:, 1:]
    dx, dy = edges[:, 2] - edges[:, 0], edges[:, 3] - edges[:, 1]
    part = ((x - edges[:, 0]) * dx + (y - edges[:, 1]) * dy) / (dx * dx + dy * dy)
    part = np.minimum(np.maximum(part, 0.0), 1.0)
    away: Floats = np.hypot(x - (edges[:, 0] + part * dx), y - (edges[:, 1] + part * dy))
    nearest: Floats = away.min(axis=1)
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
    """Whether a point lies on material or on one of its edges."""
    return any(low <= point[1] <= high for low, high in material_on(edges, point[0]))


def lies_inside(point: tuple[float, float], edges: Floats) -> bool:
    """Whether a point lies on material and on none of its edges."""
    sides = (material_at(edges, [point[0]], left=left)[0] for left in (True, False))
    return all(any(low < point[1] < high for low, high in side) for side in sides)


def is_box(ring: Floats) -> bool:
    """Whether a ring of points (n, 2) is a rectangle along the axes."""
    return len(ring) == 4 and all(len(set(places)) == 2 for places in ring.T.tolist())


def box_around(ring: Floats) -> Box:
    """Least x and y, greatest x and y of a ring of points (n, 2)."""
    (x0, y0), (x1, y1) = ring.min(axis=0).tolist(), ring.max(axis=0).tolist()
    return x0, y0, x1, y1


def lie_apart(outer: Box, boxes: Sequence[Box]) -> bool:
    """Whether boxes lie inside an outer one and apart from each other."""
    x0, y0, x1, y1 = outer
    inside = all(x0 < a < c < x1 and y0 < b < d < y1 for a, b, c, d in boxes)
    return inside and next(near_pairs(boxes, 0.0), None) is None


def near_pairs(boxes: Sequence[Box], gap_m: float) -> Iterator[tuple[int, int]]:
    """Numbers, the lesser first, of every two boxes that are at most `gap_m` apart along both axes.

    Swept along x, so that boxes far apart are never compared.
    """
    reached: list[int] = []
    for number in sorted(range(len(boxes)), key=lambda number: boxes[number][0]):
        a, b, _, d = boxes[number]
        reached = [earlier for earlier in reached if boxes[earlier][2] + gap_m >= a]
        for earlier in reached:
            if boxes[earlier][1] <= d + gap_m and boxes[earlier][3] + gap_m >= b:
                yield (earlier, number) if earlier < number else (number, earlier)
        reached.append(number)
