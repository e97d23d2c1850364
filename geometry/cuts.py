"""Straight cuts that split a plan: along either axis, clear of openings and inside corners, or through corners."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import shapely
from shapely import LineString, Polygon

from geometry.arrays import Floats

Bools = npt.NDArray[np.bool_]
PlanPoint = tuple[float, float]

SAME_M = 1e-9
INSIDE_M = 1e-3  # a cut lies in the piece if its midpoint is at least this far from the outline


class CutRules(NamedTuple):
    """Where cuts may run.

    opening_m  least distance from an opening
    corner_m   least distance from an inside corner, unless the cut runs through the corner
    step_m     spacing of the cuts that are tried
    mitered    whether a cut may bisect an inside corner
    rail_m     least rail that a cut through an opening leaves on either side; None: no cut runs through an opening
    """

    opening_m: float = 0.0762
    corner_m: float = 0.1524
    step_m: float = 0.0254
    mitered: bool = True
    rail_m: float | None = None


class Cuts(NamedTuple):
    """Chords (n, 4) of an outline: start x and y, end x and y, m; and mask (n,) of the chords that run crosswise."""

    chords: Floats
    across: Bools


def cuts_of(plan: Polygon, rules: CutRules) -> Cuts:
    """All candidate cuts: chords of the outline that keep clear of cut-outs, inside corners and edges.

    A cut is crosswise if the piece, measured square to the midpoint of the cut, is at least as long as the cut.
    """
    return _cuts(plan.wkb, rules)


@lru_cache(maxsize=64)  # the same plan is cut for every mix and every number of people
def _cuts(wkb: bytes, rules: CutRules) -> Cuts:
    plan = shapely.from_wkb(wkb)
    outline = filled(plan)
    corners = inside_corners(outline)
    lines = [*_square_lines(plan, rules, corners)]
    parts = shapely.get_parts(shapely.intersection(np.array(lines), outline)) if lines else []
    chords = [part for part in parts if part.geom_type == "LineString"]
    through = [chord for corner in corners for chord in _through(outline, corner, rules)]
    candidates = np.array([*chords, *through])
    if not len(candidates):
        return Cuts(np.empty((0, 4)), np.empty(0, dtype=bool))
    middles = shapely.line_interpolate_point(candidates, 0.5, normalized=True)
    clear = shapely.distance(middles, outline.exterior) > INSIDE_M  # not along an edge or grazing a corner
    clear &= shapely.length(shapely.intersection(candidates, outline.exterior)) <= SAME_M
    for hole in plan.interiors:
        opening = Polygon(hole)
        beside = shapely.distance(candidates, opening) >= rules.opening_m - SAME_M
        if rules.rail_m is not None:
            for number in np.flatnonzero(clear & ~beside):
                beside[number] = _crosses(candidates[number], opening, plan, rules)
        clear &= beside
    for corner in corners:
        distance = shapely.distance(candidates, shapely.Point(corner.at))
        clear &= (distance >= rules.corner_m - SAME_M) | (distance <= SAME_M)
    ends = shapely.get_coordinates(candidates[clear]).reshape(-1, 4)
    ends = ends[np.lexsort(np.round(ends, 9).T[::-1])]
    ends = ends[np.concatenate([[True], np.abs(np.diff(ends, axis=0)).max(axis=1) > SAME_M])] if len(ends) else ends
    return Cuts(ends, _runs_on(outline, ends))


def _crosses(line: LineString, opening: Polygon, plan: Polygon, rules: CutRules) -> bool:
    """Whether a cut runs through an opening once, well inside its ends, with wide enough rails on both sides."""
    assert rules.rail_m is not None
    inside = line.intersection(opening)
    if inside.geom_type != "LineString" or inside.length <= SAME_M:
        return False
    (x0, y0), (x1, y1) = line.coords
    points = np.asarray(opening.exterior.coords) - (x0, y0)
    across = (points[:, 1] * (x1 - x0) - points[:, 0] * (y1 - y0)) / line.length
    rails = shapely.get_parts(line.intersection(plan))
    wide = shapely.length(rails).min() >= rules.rail_m - SAME_M
    return bool(wide and min(across.max(), -across.min()) >= rules.opening_m - SAME_M)


def filled(plan: Polygon) -> Polygon:
    """The plan with its openings filled."""
    return Polygon(plan.exterior)


class InsideCorner(NamedTuple):
    """A reflex corner of an outline: its position, and the unit vectors from it along its two edges."""

    at: PlanPoint
    before: PlanPoint
    after: PlanPoint


SHARP_TURN = np.sin(np.radians(20.0))  # a smaller turn belongs to a curve


def inside_corners(outline: Polygon) -> list[InsideCorner]:
    """Inside corners of an outline without its holes; the chords of a curve bend too little to count."""
    points = np.asarray(shapely.orient_polygons(outline).exterior.coords)[:-1]
    back, on = np.roll(points, 1, axis=0) - points, np.roll(points, -1, axis=0) - points
    back, on = (edge / np.hypot(*edge.T)[:, None] for edge in (back, on))
    turn = back[:, 1] * on[:, 0] - back[:, 0] * on[:, 1]  # sine of the turn from one edge to the next
    ahead = -(back * on).sum(axis=1)
    inward = (turn < -SHARP_TURN) | ((turn < 0.0) & (ahead < 0.0))
    return [
        InsideCorner(tuple(points[i].tolist()), tuple(back[i].tolist()), tuple(on[i].tolist()))
        for i in np.flatnonzero(inward)
    ]


def _square_lines(plan: Polygon, rules: CutRules, corners: Sequence[InsideCorner]) -> list[LineString]:
    """Lines parallel to either axis at every step, and at the margins of cut-outs and inside corners."""
    x0, y0, x1, y1 = plan.bounds
    lines = []
    for axis, (low, high) in enumerate(((x0, x1), (y0, y1))):
        places = [low + rules.step_m * number for number in range(1, int((high - low) / rules.step_m) + 1)]
        for hole in plan.interiors:
            places += [hole.bounds[axis] - rules.opening_m, hole.bounds[axis + 2] + rules.opening_m]
            if rules.rail_m is not None:
                places.append((hole.bounds[axis] + hole.bounds[axis + 2]) / 2.0)
        for corner in corners:
            places += [corner.at[axis] - rules.corner_m, corner.at[axis] + rules.corner_m]
        for place in places:
            if low + SAME_M < place < high - SAME_M:
                ends = [(place, y0 - 1.0), (place, y1 + 1.0)] if axis == 0 else [(x0 - 1.0, place), (x1 + 1.0, place)]
                lines.append(LineString(ends))
    return lines


def _through(outline: Polygon, corner: InsideCorner, rules: CutRules) -> list[LineString]:
    """Two butt cuts and the miter through an inside corner, each to the opposite side of the piece."""
    (ax, ay), (bx, by) = corner.before, corner.after
    half = np.array([-(ax + bx), -(ay + by)])
    ways = [(-ax, -ay), (-bx, -by)]
    if rules.mitered and np.hypot(*half) > SAME_M:
        ways.append(tuple((half / np.hypot(*half)).tolist()))
    return [chord for way in ways if (chord := _ray(outline, corner.at, way)) is not None]


def _ray(outline: Polygon, at: PlanPoint, way: PlanPoint) -> LineString | None:
    """Chord from a corner in a given direction to the point where it first leaves the piece."""
    x0, y0, x1, y1 = outline.bounds
    reach = (x1 - x0) + (y1 - y0)
    start = (at[0] + way[0] * 1e-7, at[1] + way[1] * 1e-7)
    line = LineString([start, (at[0] + way[0] * reach, at[1] + way[1] * reach)])
    inside = shapely.get_parts(line.intersection(outline))
    for part in inside:
        if part.geom_type == "LineString" and part.distance(shapely.Point(start)) <= SAME_M:
            return LineString([at, part.coords[-1]])
    return None


def _runs_on(outline: Polygon, chords: Floats) -> Bools:
    """Mask (n,) of crosswise chords: the piece, square to a chord's midpoint, is at least as long as the chord."""
    if not len(chords):
        return np.empty(0, dtype=bool)
    start, end = chords[:, :2], chords[:, 2:]
    middle, along = (start + end) / 2.0, end - start
    long = np.hypot(*along.T)
    x0, y0, x1, y1 = outline.bounds
    square = np.stack([-along[:, 1], along[:, 0]], axis=1) / long[:, None] * ((x1 - x0) + (y1 - y0))
    rays = shapely.linestrings(np.stack([middle - square, middle + square], axis=1))
    inside, of = shapely.get_parts(shapely.intersection(rays, outline), return_index=True)
    near = shapely.distance(inside, shapely.points(middle)[of]) <= 1e-7
    runs = np.zeros(len(chords))
    np.maximum.at(runs, of[near], shapely.length(inside[near]))
    return np.asarray(runs >= long - 1e-7)
