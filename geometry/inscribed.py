"""Largest sphere inside a solid: the distance of its hottest point from any surface.

For a plate that is the thickness, for an inside corner more than either leg. Closed forms where the shape has them;
largest circles of plane regions to CIRCLE_TOLERANCE_M; meshes and compounds from points sampled on their surface.
"""

from __future__ import annotations

from collections.abc import Sequence
from heapq import heappop, heappush
from math import inf, sqrt
from typing import Any

import numpy as np
import shapely

from geometry.arrays import Flags, Floats, Ints
from geometry.frozen import frozen
from geometry.hollow import Triangles, nearest_on
from geometry.store import kept, key_of

CIRCLE_TOLERANCE_M = 1e-5
SAMPLED_TOLERANCE = 0.02
"""Relative error allowed for the sphere in a mesh."""

SAMPLES = 8_000
ROUNDS = 30
CLIMBS = 6
TOGETHER = 1_024
CORNERED = 2_000  # facets up to which every corner is searched
DEPTHS = 40
TRIAL, FEWEST, ALIKE, MOST_VISITED = 16, 64, 1.05, 3e8
"""Starts that are tried first and fewest that are kept; relative distance up to which a search visits a sample; and
visits that all searches may need. See `_thinned`."""

MOST_NEAR = 20_000  # facets whose distances are taken one by one while a center climbs
ABOUT = 12  # nearest samples of a center, whose facets give its distance
CLIMB_TO = 1e-3
AROUND = np.array([(x, y, z) for x in (-1, 0, 1) for y in (-1, 0, 1) for z in (-1, 0, 1) if (x, y, z) != (0, 0, 0)])
OBLIQUE = np.array([[13.0, -26.0, 26.0], [34.0, 19.0, 2.0], [-14.0, 22.0, 29.0]]) / 39.0
"""A rotation of the axes by no special angle."""

CORNER_OF_THREE = 2.0 * sqrt(3.0) / (1.0 + sqrt(3.0))
"""Diameter over thickness where three plates of one thickness meet: the maximum for a wall of constant thickness."""


@frozen
class Inscribed:
    """Diameter of the largest sphere inside a solid, m.

    estimated   whether it is the smallest outer dimension, an upper bound, because the facets were not kept
    """

    diameter_m: float
    estimated: bool = False


def corner_m(*thicknesses_m: float) -> float:
    """Diameter of the sphere in the inside corner of two or three plates that meet at right angles, m.

    It touches every outer face and the inside corner: (n − 1) r² − 2 S r + Q = 0 with S the sum of the thicknesses
    and Q of their squares. Never less than the thickest plate.

    >>> round(corner_m(1.0, 1.0), 4)
    1.1716
    """
    n, whole = len(thicknesses_m), sum(thicknesses_m)
    squares = sum(t * t for t in thicknesses_m)
    radius = (whole - sqrt(whole * whole - (n - 1) * squares)) / (n - 1) if whole**2 >= (n - 1) * squares else 0.0
    # a sphere larger than a plate's thickness would break through its back: the thicker plate then governs
    return max(*thicknesses_m, 2.0 * radius if radius <= min(thicknesses_m) else 0.0)


def behind_rib_m(skin_m: float, width_m: float, depth_m: float, ways: int) -> float:
    """Diameter of the sphere where a rib, or two that cross, stands behind a skin, m.

    It touches the face and the inside corners, which are w/2 to the side, or w/√2 where ribs cross.
    """
    offset_m = width_m / 2.0 if ways == 1 else width_m / sqrt(2.0)
    radius = (offset_m**2 + skin_m**2) / (2.0 * skin_m)
    if radius > skin_m:
        radius = min(offset_m, depth_m / 2.0)
    return max(skin_m, min(2.0 * radius, depth_m))


def strips_m(plate_m: float, strips: Sequence[tuple[str, float, float]], ends: Sequence[str]) -> list[float]:
    """Diameters of the spheres where strips meet a plate, and where two strips meet each other, m.

    strips  (side, thickness, depth from the plate's face) of each
    ends    names of the sides at low y, high y, low x and high x
    """
    at: dict[str, float] = {}
    for side, thickness_m, _ in strips:
        at[side] = max(at.get(side, 0.0), thickness_m)
    spheres = [min(corner_m(plate_m, thickness_m), depth_m) for _, thickness_m, depth_m in strips]
    depth_m = max((depth_m for _, _, depth_m in strips), default=0.0)
    pairs = [(at[a], at[b]) for a in ends[:2] for b in ends[2:] if a in at and b in at]
    return spheres + [min(corner_m(plate_m, a, b), depth_m) for a, b in pairs]


def ring_m(plan: Any, wall_m: float | None) -> float:
    """Diameter of the largest circle in a plane region, or in a wall along its inside, m."""
    if wall_m is not None:
        plan = plan.difference(plan.buffer(-wall_m, join_style="mitre"))
    return circle_m(plan)


def circle_m(plan: Any, enough_m: float = inf) -> float:
    """Diameter of the largest circle in a plane region, m, or `enough_m` if a circle of that size fits.

    A slab is much wider than it is thick, so a test of one interior point is usually enough.
    """
    parts = [part for part in shapely.get_parts(plan) if part.area > 0.0]
    places = [part.representative_point() for part in parts]
    if 2.0 * float(shapely.distance(shapely.boundary(parts), places).max()) >= enough_m + 2.0 * CIRCLE_TOLERANCE_M:
        return enough_m
    return max(2.0 * float(shapely.maximum_inscribed_circle(part, CIRCLE_TOLERANCE_M).length) for part in parts)


def sphere_in_facets(vertices_m: Floats, facets: Ints) -> float:
    """Diameter of the largest sphere inside a closed, outward-wound mesh, m.

    At every sample point of the surface, a tangent ball shrinks until it contains no other sample. The centers are
    ranked by their distance from nearby facets, and the deepest ones climb to a local maximum of that distance.
    Sampling is deterministic. The relative error is at most SAMPLED_TOLERANCE.
    """
    vertices = np.ascontiguousarray(vertices_m, dtype=np.float64)
    corners = np.ascontiguousarray(facets, dtype=np.int64)
    return kept(key_of("sphere", (vertices.data, corners.data)), lambda: _sphere_in(vertices, corners))


def _sphere_in(points: Floats, facets: Ints) -> float:
    triangles = Triangles.of(points, facets)
    surface = _Samples.of(triangles)
    centers = _medial_points(triangles, surface, float(np.ptp(points, axis=0).max()))
    near, _ = surface.tree.query(centers)  # never less than the distance from the facets
    deepest, climbed, queue = 0.0, list[Floats](), list[tuple[float, int]]()
    order = np.argsort(-near, kind="stable")
    for start in range(0, len(order), TOGETHER):
        part = order[start : start + TOGETHER]
        part = part[_inside(triangles.corners, centers[part])]
        for depth, index in zip(surface.depths(triangles, centers[part]).tolist(), part.tolist(), strict=True):
            heappush(queue, (-depth, index))
        bound = near[order[start + TOGETHER]] if start + TOGETHER < len(order) else -1.0
        while queue and -queue[0][0] > bound:
            depth, index = -queue[0][0], heappop(queue)[1]
            if len(climbed) == CLIMBS or depth <= deepest:
                return 2.0 * deepest
            if any(np.linalg.norm(centers[index] - center) < depth for center in climbed):
                continue
            climbed.append(centers[index])
            deepest = max(deepest, _climbed(triangles, surface, centers[index], depth))
    return 2.0 * deepest


@frozen(eq=False)
class _Samples:
    """Sample points (k, 3) of a surface, and a tree of samples and corners for nearest-point queries.

    owner  facet of each sample, then of each corner
    """

    points: Floats
    owner: Ints
    tree: Any

    @classmethod
    def of(cls, triangles: Triangles) -> _Samples:
        """Sample every facet at its centroid, and more points at random in proportion to area."""
        from scipy.spatial import cKDTree

        corners, count = triangles.corners, len(triangles)
        twice = np.linalg.norm(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1)
        random = np.random.default_rng(0)
        owner = np.concatenate([np.arange(count), random.choice(count, SAMPLES, p=twice / twice.sum())])
        u, v = random.random((2, len(owner)))
        over = u + v > 1.0
        u, v = np.where(over, 1.0 - u, u), np.where(over, 1.0 - v, v)
        u[:count], v[:count] = 1.0 / 3.0, 1.0 / 3.0
        own = corners[owner]
        points = own[:, 0] + u[:, None] * (own[:, 1] - own[:, 0]) + v[:, None] * (own[:, 2] - own[:, 0])
        tree = cKDTree(np.concatenate([points, corners.reshape(-1, 3)]))
        return cls(points, np.concatenate([owner, np.repeat(np.arange(count), 3)]), tree)

    def depths(self, triangles: Triangles, centers: Floats) -> Floats:
        """Distances (k,) of points from the facets near them."""
        _, around = self.tree.query(centers, k=ABOUT)
        facets = self.owner[around]
        exact, _, _ = nearest_on(triangles, facets.reshape(-1), np.repeat(centers, ABOUT, axis=0))
        return np.asarray(exact.reshape(facets.shape).min(axis=1), dtype=float)


def _medial_points(triangles: Triangles, surface: _Samples, largest_m: float) -> Floats:
    """Centers (k, 3) of maximal balls that touch the surface from inside."""
    starts = np.arange(len(surface.points))
    centers = _shrunken(triangles, surface, _thinned(triangles, surface, starts, largest_m), largest_m)
    if len(triangles) <= CORNERED:
        centers = np.concatenate([centers, _inward_of_corners(triangles, largest_m)])
    return centers


def _thinned(triangles: Triangles, surface: _Samples, starts: Ints, largest_m: float) -> Ints:
    """The starts, or fewer of them where that is enough: in a solid much like a ball.

    In a ball all surface is equally near to its center, and every search there visits all of it. But then a ball holds
    much of the surface, so that few of the points that are spread evenly over it lead to its center.
    """
    visited = list[int]()
    _shrunken(triangles, surface, starts[-TRIAL:], largest_m, visited)
    most = max(FEWEST, int(MOST_VISITED * TRIAL / sum(visited, start=1)))
    return starts[-min(most, SAMPLES) :] if most < len(starts) else starts


def _shrunken(
    triangles: Triangles, surface: _Samples, starts: Ints, largest_m: float, visited: list[int] | None = None
) -> Floats:
    """Centers (k, 3) of balls that touch the surface at some of its samples, shrunken until they hold no other.

    visited   gets the number of samples that the searches of each round visit, about
    """
    points, inward = surface.points[starts], -triangles.normal[surface.owner[starts]]
    radius = np.full(len(points), largest_m)
    shrinking = np.arange(len(points))
    for _ in range(ROUNDS):
        start, way, size = points[shrinking], inward[shrinking], radius[shrinking]
        centers = start + size[:, None] * way
        distance, which = surface.tree.query(centers)
        if visited is not None:
            visited.append(int(surface.tree.query_ball_point(centers, ALIKE * distance, return_length=True).sum()))
        chord = surface.tree.data[which] - start
        depth = np.einsum("ij,ij->i", chord, way)
        smaller = (distance < size * (1.0 - 1e-9)) & (depth > 0.0)
        if not smaller.any():
            break
        shrinking, chord, depth, size = shrinking[smaller], chord[smaller], depth[smaller], size[smaller]
        radius[shrinking] = np.minimum(np.einsum("ij,ij->i", chord, chord) / (2.0 * depth), size)
    return np.asarray(points + radius[:, None] * inward, dtype=float)


def _inward_of_corners(triangles: Triangles, largest_m: float) -> Floats:
    """Points (k, 3) inward of every corner, equidistant from the faces that meet there, where walls are thickest."""
    places, index = np.unique(triangles.corners.reshape(-1, 3).round(9), axis=0, return_inverse=True)
    normals: list[set[tuple[float, ...]]] = [set() for _ in places]
    for corner, facet in zip(index.reshape(-1), np.repeat(np.arange(len(triangles)), 3), strict=True):
        normals[corner].add(tuple(triangles.normal[facet].round(6)))
    inward = -np.array([np.sum(list(normal), axis=0) for normal in normals])
    steps = largest_m / 2.0 * np.geomspace(1e-3, 1.0, DEPTHS)
    return np.asarray((places[:, None] + steps[:, None] * inward[:, None]).reshape(-1, 3), dtype=float)


def _inside(corners: Floats, points: Floats) -> Flags:
    """Mask (k,) of the points inside a closed surface.

    Casts a ray from each point and counts facets facing up less those facing down. The rays are oblique, so that none
    hits an edge of a model drawn along the axes.
    """
    facets, starts = corners @ OBLIQUE, points @ OBLIQUE
    low, high = facets[:, :, :2].min(axis=1), facets[:, :, :2].max(axis=1)
    tree = shapely.STRtree(shapely.box(*low.T, *high.T))
    which, facet = tree.query(shapely.points(starts[:, :2]))
    a, b, c = np.moveaxis(facets[facet] - starts[which][:, None], 1, 0)
    across = [p[:, 0] * q[:, 1] - p[:, 1] * q[:, 0] for p, q in ((b, c), (c, a), (a, b))]
    side = np.sign(across)
    above = across[0] * a[:, 2] + across[1] * b[:, 2] + across[2] * c[:, 2]
    crossed = (side[0] == side[1]) & (side[1] == side[2]) & (above * side[0] > 0.0)
    return np.bincount(which[crossed], weights=side[0][crossed], minlength=len(points)) > 0.0


def _climbed(triangles: Triangles, surface: _Samples, start: Floats, radius_m: float) -> float:
    """Largest distance from the surface near a starting point, by pattern search."""
    near = np.linalg.norm(triangles.middle - start, axis=1) - triangles.reach < 3.0 * radius_m
    which = np.flatnonzero(near)

    middle, reach = triangles.middle[which], triangles.reach[which]

    def depth(points: Floats) -> Floats:
        if len(which) > MOST_NEAR:
            return surface.depths(triangles, points)
        to_middle = np.linalg.norm(points[:, None] - middle, axis=2)
        row, column = np.nonzero(to_middle - reach <= to_middle.min(axis=1)[:, None])  # includes a nearest facet
        distance, _, _ = nearest_on(triangles, which[column], points[row])
        starts = np.searchsorted(row, np.arange(len(points)))
        return np.asarray(np.minimum.reduceat(distance, starts), dtype=float)

    best, here, step_m = start, float(depth(start[None])[0]), radius_m / 2.0
    while step_m > CLIMB_TO * radius_m:
        # a step within the current ball cannot leave the solid
        step_m = min(step_m, here / 2.0)
        tries = best + step_m * AROUND
        depths = depth(tries)
        at = int(depths.argmax())
        if depths[at] > here * (1.0 + 1e-4):
            best, here = tries[at], float(depths[at])
        else:
            step_m /= 2.0
    return here
