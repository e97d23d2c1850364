"""Plans cut along seams: every part keeps its lines and arcs exactly, less half the width of each seam."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from itertools import pairwise
from math import atan, atan2, cos, inf, pi, sin, tan

import numpy as np
import shapely

from geometry.errors import require
from geometry.frozen import frozen
from geometry.message import message
from geometry.plane import Region, Ring

PlanPoint = tuple[float, float]
Chord = tuple[PlanPoint, PlanPoint]
Chain = list[tuple[complex, float]]
"""Points of an open line in order, each with the bulge of its edge to the next; the last bulge is unused."""

ON_EDGE_M = 1e-6
LEAST_NOTCH_M = 0.0254
"""Smallest distance of a seam through an opening from the ends of the opening; less would leave only a chip."""
FILM_M = 1e-11
ALONG = 1e-9
ARC_STEPS = 16  # samples along an arc when searching for its first intersection with a line


def chords_at(region: Region, axis: int, place_m: float) -> list[Chord]:
    """Chords, from edge to edge, of a line perpendicular to an axis through a plan, ignoring its holes.

    axis   0: the line is x = place_m; 1: it is y = place_m
    """
    x0, y0, x1, y1 = region.bounds
    far = 1.0 + (x1 - x0) + (y1 - y0)
    ends = [(place_m, y0 - far), (place_m, y1 + far)] if axis == 0 else [(x0 - far, place_m), (x1 + far, place_m)]
    outer = Region(region.outer).polygon()
    parts = shapely.get_parts(shapely.LineString(ends).intersection(outer))
    lines = [part for part in parts if part.geom_type == "LineString" and part.length > ON_EDGE_M]
    return [(line.coords[0], line.coords[-1]) for line in lines]


@frozen
class Opening:
    """An opening of a cut plan, or its remainder on one side of a seam.

    number   number of the opening, from 0
    ring     its outline, which follows the edge of the part if the opening is cut
    is_whole whether no seam runs through it
    """

    number: int
    ring: Ring
    is_whole: bool = True


@frozen
class PlanPart:
    """A part of a cut plan: its outline, and its openings or remainders of openings."""

    outer: Ring
    openings: tuple[Opening, ...]


def split_region(region: Region, seams: Sequence[Chord], width_m: float) -> list[Region]:
    """Parts of a plan between seams, sorted by x, then y, of their lower left corners.

    Arguments and errors are those of `split_plan`. No seam may run through a hole.
    """
    parts = split_plan(region.outer, region.holes, seams, width_m)
    return [Region(part.outer, tuple(opening.ring for opening in part.openings)) for part in parts]


def split_plan(
    outer: Ring, openings: Sequence[Ring], seams: Sequence[Chord], width_m: float, through: Collection[int] = ()
) -> list[PlanPart]:
    """Parts of a plan between seams, sorted by x, then y, of their lower left corners.

    seams     straight lines from edge to edge of the outline, m
    width_m   width of a seam, half of which is taken from each part
    through   numbers of the seams that may run through openings

    Raises FaultError for a seam that does not run from edge to edge, that crosses another, that meets an opening
    without being allowed to, or that does not leave a rail on both sides of the opening.
    """
    parts = [PlanPart(_counterclockwise(outer), tuple(Opening(*entry) for entry in enumerate(openings)))]
    for number, (start, end) in enumerate(seams):
        middle = shapely.Point((start[0] + end[0]) / 2.0, (start[1] + end[1]) / 2.0)
        key = f"seams[{number}]"
        at = next((i for i, part in enumerate(parts) if Region(part.outer).polygon().contains(middle)), None)
        require(at is not None, key, message("seam-outside"))
        assert at is not None
        parts[at : at + 1] = _halves(parts[at], complex(*start), complex(*end), width_m, key, number in through)
    return sorted(parts, key=lambda part: tuple(round(low, 3) for low in part.outer.bounds[:2]))


def _counterclockwise(ring: Ring) -> Ring:
    if ring.signed_area_m2 > 0:
        return ring
    points = ring.points[::-1]
    bulges = None if ring.bulges is None else -np.roll(ring.bulges[::-1], -1)
    return Ring(points, bulges)


def _halves(part: PlanPart, start: complex, end: complex, width_m: float, key: str, through: bool) -> list[PlanPart]:
    """The two parts of a counterclockwise plan on the two sides of a seam."""
    line = shapely.LineString([(start.real, start.imag), (end.real, end.imag)])
    chains = _chain(part.outer, start, end, key), _chain(part.outer, end, start, key)
    shifts = [width_m / 2.0, width_m / 2.0]
    for side, chain in enumerate(chains):
        if _runs_along(chain):  # an edge continues the seam, so the whole width is taken from the other part
            shifts[side], shifts[1 - side] = 0.0, width_m
    rings = [_closed(_trimmed(chain, shift, key)) for chain, shift in zip(chains, shifts, strict=True)]
    plans = [Region(ring).polygon() for ring in rings]
    by_side: tuple[list[Opening], list[Opening]] = ([], [])
    for opening in part.openings:
        area = Region(opening.ring).polygon()
        if line.distance(area) > width_m / 2.0:
            inside = [plan.contains(area.representative_point()) for plan in plans]
            require(any(inside), key, message("seam-through-opening"))
            by_side[inside.index(True)].append(opening)
            continue
        require(through, key, message("seam-through-opening"))
        require(opening.is_whole, key, message("seam-opening-twice"))
        for own, ring in zip(by_side, _cut_opening(opening.ring, area, line, shifts, key), strict=True):
            own.append(Opening(opening.number, ring, is_whole=False))
    return [PlanPart(ring, tuple(own)) for ring, own in zip(rings, by_side, strict=True)]


def _cut_opening(
    ring: Ring, area: shapely.Polygon, line: shapely.LineString, shifts: Sequence[float], key: str
) -> list[Ring]:
    """Outlines of the two halves of an opening that a seam runs through, one for each part beside the seam.

    Raises FaultError if the seam does not cross it exactly once, from rail to rail, or leaves too little on one side.
    """
    inside = [part for part in shapely.get_parts(line.intersection(area)) if part.length > ON_EDGE_M]
    require(len(inside) == 1 and inside[0].geom_type == "LineString", key, message("seam-opening-once"))
    ends = sorted((line.project(shapely.Point(at)), at) for at in (inside[0].coords[0], inside[0].coords[-1]))
    rails = ends[0][0], line.length - ends[1][0]
    require(min(rails) > ON_EDGE_M, key, message("seam-opening-once"))
    start, end = (complex(*at) for _, at in ends)
    way = (end - start) / abs(end - start)
    ring = _counterclockwise(ring)
    across = [((complex(x, y) - start) / way).imag for x, y in shapely.get_coordinates(area)]
    least_m = min(max(across), -min(across))
    require(least_m >= LEAST_NOTCH_M, key, message("seam-opening-end", least_m=LEAST_NOTCH_M))
    sides = []
    for first, last, inward, shift_m in ((start, end, -1j * way, shifts[0]), (end, start, 1j * way, shifts[1])):
        chain = _chain(ring, first, last, key)
        out = -LEAST_NOTCH_M * inward  # extend past the seam, since a curve may end slightly short of it
        chain = [(chain[0][0] + out, 0.0), *chain, (chain[-1][0] + out, 0.0)]
        depth_m = shift_m - FILM_M  # so that rounding does not leave a film of concrete across the mouth
        trimmed = _from_line(chain, first, inward, depth_m, key)
        sides.append(_closed(_turned(_from_line(_turned(trimmed), first, inward, depth_m, key))))
    return sides


# --------------------------------------------------------------------------- rings of lines and arcs


def _edges(ring: Ring) -> list[tuple[complex, complex, float]]:
    points = [complex(x, y) for x, y in ring.points.tolist()]
    bulges = [0.0] * len(points) if ring.bulges is None else ring.bulges.tolist()
    return [(a, b, bulge) for a, b, bulge in zip(points, [*points[1:], points[0]], bulges, strict=True)]


def _chain(ring: Ring, start: complex, end: complex, key: str) -> Chain:
    """The outline, counterclockwise, from the point nearest to `start` to the point nearest to `end`."""
    edges = _edges(ring)
    (first, share), (last, stop) = _nearest(edges, start, key), _nearest(edges, end, key)
    start, end = _point_at(*edges[first], share), _point_at(*edges[last], stop)
    if first == last and share < stop:
        return [(start, _part_of(edges[first][2], stop - share)), (end, 0.0)]
    chain = [(start, _part_of(edges[first][2], 1.0 - share))]
    place = (first + 1) % len(edges)
    while place != last:
        chain.append((edges[place][0], edges[place][2]))
        place = (place + 1) % len(edges)
    if stop > ALONG:
        chain.append((edges[last][0], _part_of(edges[last][2], stop)))
    return [*chain, (end, 0.0)]


def _part_of(bulge: float, share: float) -> float:
    """Bulge of a fraction of an arc: the tangent of a quarter of its included angle."""
    return tan(atan(bulge) * share)


def _nearest(edges: Sequence[tuple[complex, complex, float]], point: complex, key: str) -> tuple[int, float]:
    """Number of the edge that a point is on, and its position along it as a fraction."""
    best, where = inf, (0, 0.0)
    for number, (a, b, bulge) in enumerate(edges):
        share = _share_at(a, b, bulge, point)
        distance = abs(_point_at(a, b, bulge, share) - point)
        if distance < best - 1e-12:
            best, where = distance, (number, share)
    require(best <= 1e-4, key, message("seam-not-at-edge"))
    number, share = where
    if share > 1.0 - ALONG:  # the start of the next edge
        return (number + 1) % len(edges), 0.0
    return number, share


def _center(a: complex, b: complex, bulge: float) -> complex:
    return (a + b) / 2.0 + 1j * (b - a) * (1.0 - bulge * bulge) / (4.0 * bulge)


def _point_at(a: complex, b: complex, bulge: float, share: float) -> complex:
    if abs(bulge) < ALONG:
        return a + (b - a) * share
    center = _center(a, b, bulge)
    turn = 4.0 * atan(bulge) * share
    return center + (a - center) * complex(cos(turn), sin(turn))


def _share_at(a: complex, b: complex, bulge: float, point: complex) -> float:
    """Position along an edge, as a fraction, of its point nearest to a point."""
    if abs(bulge) < ALONG:
        way = b - a
        return min(max(((point - a) * way.conjugate()).real / abs(way) ** 2, 0.0), 1.0)
    center, sweep = _center(a, b, bulge), 4.0 * atan(bulge)
    turn = (point - center) / (a - center)
    angle = atan2(turn.imag, turn.real) * (1.0 if sweep > 0 else -1.0)
    if angle < 0.0:
        angle += 2.0 * pi
    if angle <= abs(sweep):
        return angle / abs(sweep)
    return 0.0 if abs(point - a) < abs(point - b) else 1.0


def _runs_along(chain: Chain) -> bool:
    """Whether an edge at either end of a chain continues the seam that closes it in a straight line."""
    (start, first), (end, _) = chain[0], chain[-1]
    seam = (end - start) / abs(end - start)
    ahead = (chain[1][0] - start) / abs(chain[1][0] - start)
    behind = (chain[-2][0] - end) / abs(chain[-2][0] - end)
    straight = first == 0.0 and abs(ahead + seam) < 1e-6
    return straight or (chain[-2][1] == 0.0 and abs(behind - seam) < 1e-6)


def _trimmed(chain: Chain, shift_m: float, key: str) -> Chain:
    """A chain shortened at both ends so that it stays a distance away from the seam that closes it."""
    if shift_m <= 0.0:
        return chain
    start, end = chain[0][0], chain[-1][0]
    inward = 1j * (start - end) / abs(start - end)
    trimmed = _from_line(chain, start, inward, shift_m, key)
    back = _from_line(_turned(trimmed), start, inward, shift_m, key)
    return _turned(back)


def _turned(chain: Chain) -> Chain:
    points = [point for point, _ in reversed(chain)]
    bulges = [-bulge for _, bulge in reversed(chain[:-1])]
    return list(zip(points, [*bulges, 0.0], strict=True))


def _from_line(chain: Chain, origin: complex, inward: complex, shift_m: float, key: str) -> Chain:
    """A chain from its first point that is at least `shift_m` inward of a line."""

    def depth(point: complex) -> float:
        return ((point - origin) * inward.conjugate()).real - shift_m

    for number, ((a, bulge), (b, _)) in enumerate(pairwise(chain)):
        share = _first_share(a, b, bulge, depth)
        if share is not None:
            rest = [(_point_at(a, b, bulge, share), _part_of(bulge, 1.0 - share)), *chain[number + 1 :]]
            return rest[1:] if len(rest) > 1 and abs(rest[0][0] - rest[1][0]) < ALONG else rest
    require(False, key, message("seam-not-at-edge"))
    raise AssertionError


def _first_share(a: complex, b: complex, bulge: float, depth: Callable[[complex], float]) -> float | None:
    """Position along an edge, as a fraction, where its depth first reaches zero; None if it stays below."""

    steps = ARC_STEPS if bulge else 1
    depths = [depth(_point_at(a, b, bulge, step / steps)) for step in range(steps + 1)]
    place = next((step for step, own in enumerate(depths) if own >= -1e-12), None)
    if place is None or place == 0:
        return None if place is None else 0.0
    low, high = (place - 1) / steps, place / steps
    for _ in range(60):
        middle = (low + high) / 2.0
        if depth(_point_at(a, b, bulge, middle)) >= 0.0:
            high = middle
        else:
            low = middle
    return high


def _closed(chain: Chain) -> Ring:
    points = np.array([(point.real, point.imag) for point, _ in chain])
    bulges = np.array([*(bulge for _, bulge in chain[:-1]), 0.0])
    return Ring(points, bulges)
