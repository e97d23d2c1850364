"""Straight edges of a plan as one array: the material along a line, distances from edges, and what lies within.

Edges are (n, 4): start and end of every edge of closed rings, each as (along, across), m. Holes are rings like the
outline; which way a ring runs does not count.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from geometry.arrays import Floats

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
    starts, ends = edges[:, :1], edges[:, 2:3]
    low, high = np.minimum(starts, ends), np.maximum(starts, ends)
    crossed = (low < places) & (places <= high) if left else (low <= places) & (places < high)
    part = (places - starts) / np.where(ends == starts, 1.0, ends - starts)
    across = np.where(crossed, edges[:, 1:2] + (edges[:, 3:] - edges[:, 1:2]) * part, np.inf)
    across.sort(axis=0)
    counts = crossed.sum(axis=0).tolist()
    return [
        [(y0, y1) for y0, y1 in zip(line[:count:2], line[1:count:2], strict=True) if y1 > y0]
        for line, count in zip(across.T.tolist(), counts, strict=True)
    ]


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


def ring_distance_m(a: Floats, b: Floats) -> float:
    """Distance of two rings that don't cross, from their edges, m."""
    return float(min(distances_m(a[:, :2], b).min(), distances_m(b[:, :2], a).min()))


def distances_m(points: Floats, edges: Floats) -> Floats:
    """Distance of each point (n, 2) from the nearest edge, (n,), m."""
    x, y = points[:, :1], points[:, 1:]
    dx, dy = edges[:, 2] - edges[:, 0], edges[:, 3] - edges[:, 1]
    part = ((x - edges[:, 0]) * dx + (y - edges[:, 1]) * dy) / (dx * dx + dy * dy)
    part = np.minimum(np.maximum(part, 0.0), 1.0)
    away: Floats = np.hypot(x - (edges[:, 0] + part * dx), y - (edges[:, 1] + part * dy))
    nearest: Floats = away.min(axis=1)
    return nearest


def clearances_m(points: Floats, edges: Floats) -> Floats:
    """Distance of each point (n, 2) from the nearest edge, (n,), m; negative outside the material."""
    x, y = points[:, 0], points[:, 1]
    starts, ends = edges[:, :2, None], edges[:, 2:, None]
    met = (starts[:, 0] <= x) != (ends[:, 0] <= x)
    run = np.where(met, ends[:, 0] - starts[:, 0], 1.0)
    below = starts[:, 1] + (ends[:, 1] - starts[:, 1]) * ((x - starts[:, 0]) / run) < y
    inside = (met & below).sum(axis=0) % 2 == 1
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
    for number, (a, b, c, d) in enumerate(boxes):
        if not (x0 < a < c < x1 and y0 < b < d < y1):
            return False
        for e, f, g, h in boxes[:number]:
            if c >= e and g >= a and d >= f and h >= b:
                return False
    return True
