"""Congruence of drawn pieces under rotation and translation, without reflection."""

from __future__ import annotations

from collections.abc import Iterator
from math import atan2, cos, pi, sin

import numpy as np
import shapely

from geometry.arrays import Floats
from geometry.plane import Region

TOLERANCE_M = 5e-4
"""Outlines within this distance of each other count as congruent: half a millimeter, finer than any form."""

COARSE = 4.0
"""Largest error of a first fit, as a multiple of the tolerance, before it is refined."""

MOST_TURNS = 64
REFINEMENTS = 6


def congruent(first: Region, second: Region, tolerance_m: float = TOLERANCE_M) -> bool:
    """Whether a rotation and a translation bring one region within `tolerance_m` of the other, holes included.

    A mirrored piece is not congruent: it needs its own form.
    """
    if len(first.holes) != len(second.holes):
        return False
    slack_m2 = tolerance_m * max(first.perimeter_m, second.perimeter_m)
    if abs(first.area_m2 - second.area_m2) > slack_m2:
        return False
    still, moved = _about_centroid(first), _about_centroid(second)
    edge = shapely.boundary(still)
    shapely.prepare(edge)
    return any(_fits(still, edge, moved, turn, tolerance_m, slack_m2) for turn in _turns(first, second, tolerance_m))


def _about_centroid(region: Region) -> shapely.Polygon:
    x, y = region.centroid_m
    return shapely.transform(region.polygon(), lambda points: points - (x, y))


def _fits(
    still: shapely.Polygon,
    edge: shapely.Geometry,
    moved: shapely.Polygon,
    turn: float,
    tolerance_m: float,
    slack_m2: float,
) -> bool:
    placed = shapely.transform(moved, lambda points: points @ _matrix(turn).T)
    if shapely.hausdorff_distance(edge, placed.boundary) > 2 * COARSE * tolerance_m:
        return False
    for _ in range(REFINEMENTS):
        if (
            shapely.hausdorff_distance(edge, placed.boundary) <= tolerance_m
            and shapely.symmetric_difference(still, placed).area <= slack_m2
        ):
            return True
        placed = _refined(edge, placed)
    return False


def _refined(edge: shapely.Geometry, placed: shapely.Polygon) -> shapely.Polygon:
    """Region moved by the rotation and translation that fit its corners to an edge best: one least-squares step."""
    points = shapely.get_coordinates(placed)
    near = shapely.get_coordinates(shapely.shortest_line(shapely.points(points), edge))[1::2]
    middle, target = points.mean(axis=0), near.mean(axis=0)
    offsets, targets = points - middle, near - target
    turn = atan2(
        float((offsets[:, 0] * targets[:, 1] - offsets[:, 1] * targets[:, 0]).sum()),
        float((offsets * targets).sum()),
    )
    return shapely.transform(placed, lambda corners: (corners - middle) @ _matrix(turn).T + target)


def _matrix(turn: float) -> Floats:
    return np.array([[cos(turn), -sin(turn)], [sin(turn), cos(turn)]])


def _turns(first: Region, second: Region, tolerance_m: float) -> Iterator[float]:
    """Candidate rotations of the second region onto the first, about their centroids, radians.

    They align the farthest corner, or hole, with each at the same distance, and the principal axes.
    """
    yield 0.0
    for still, moved in (
        (_corners(first), _corners(second)),
        (_hole_centers(first), _hole_centers(second)),
    ):
        if not len(still) or not len(moved):
            continue
        radii = np.hypot(*moved.T)
        x, y = still[int(np.hypot(*still.T).argmax())].tolist()
        reach = np.hypot(x, y)
        if reach <= 10 * tolerance_m:
            continue
        alike = np.nonzero(np.abs(radii - reach) <= COARSE * tolerance_m)[0][:MOST_TURNS]
        for other_x, other_y in moved[alike].tolist():
            yield atan2(y, x) - atan2(other_y, other_x)
    axes = [0.5 * atan2(2 * m.ixy_m4, m.iyy_m4 - m.ixx_m4) for m in (first.second_moments, second.second_moments)]
    for half in (0.0, pi):
        yield axes[0] - axes[1] + half


def _corners(region: Region) -> Floats:
    corners: Floats = region.outer.flattened() - np.array(region.centroid_m)
    return corners


def _hole_centers(region: Region) -> Floats:
    centers = [shapely.Polygon(hole.flattened()).centroid.coords[0] for hole in region.holes]
    offsets: Floats = np.array(centers).reshape(-1, 2) - np.array(region.centroid_m)
    return offsets
