"""The largest sphere inside a solid: how far its hottest point lies from any surface.

A plate has its thickness, an inside corner more than either leg, and a lump what no leg shows. Closed forms where the
shape has them; a plane's largest circle to CIRCLE_TOLERANCE_M; meshes and compounds from points on their surface.
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
"""Relative error that the sphere in a mesh is held to."""

SAMPLES = 8_000
ROUNDS = 30
CLIMBS = 6
TOGETHER = 1_024
CORNERED = 2_000  # facets up to which every corner is looked into
DEPTHS = 40
ABOUT = 12  # samples about a center whose facets its distance is taken from
CLIMB_TO = 1e-3
AROUND = np.array([(x, y, z) for x in (-1, 0, 1) for y in (-1, 0, 1) for z in (-1, 0, 1) if (x, y, z) != (0, 0, 0)])
ASKEW = np.array([[13.0, -26.0, 26.0], [34.0, 19.0, 2.0], [-14.0, 22.0, 29.0]]) / 39.0
"""A turn of the axes to no special angle."""

CORNER_OF_THREE = 2.0 * sqrt(3.0) / (1.0 + sqrt(3.0))
"""Diameter over thickness where three plates of one thickness meet: the most that an even wall can have."""


@frozen
class Inscribed:
    """Diameter of the largest sphere inside a solid, m.

    estimated   the facets were not kept: the least outer size stands for it, which is too much rather than too little
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
    # a radius beyond one plate's thickness would leave through its back: the thicker plate then rules
    return max(*thicknesses_m, 2.0 * radius if radius <= min(thicknesses_m) else 0.0)


def behind_rib_m(skin_m: float, width_m: float, depth_m: float, ways: int) -> float:
    """Diameter of the sphere where a rib, or two that cross, stands behind a skin, m.

    It touches the face and the inside corners, w/2 away on one side or w/√2 where ribs cross.
    """
    away_m = width_m / 2.0 if ways == 1 else width_m / sqrt(2.0)
    radius = (away_m**2 + skin_m**2) / (2.0 * skin_m)
    if radius > skin_m:
        radius = min(away_m, depth_m / 2.0)
    return max(skin_m, min(2.0 * radius, depth_m))


def strips_m(plate_m: float, strips: Sequence[tuple[str, float, float]], ends: Sequence[str]) -> list[float]:
    """Diameters of the spheres where strips meet a plate, and two of them meet each other, m.

    strips  side, thickness and depth from the plate's face
    ends    names of the sides at low and high y, low and high x
    """
    at: dict[str, float] = {}
    for side, thickness_m, _ in strips:
        at[side] = max(at.get(side, 0.0), thickness_m)
    spheres = [min(corner_m(plate_m, thickness_m), depth_m) for _, thickness_m, depth_m in strips]
    depth_m = max((depth_m for _, _, depth_m in strips), default=0.0)
    pairs = [(at[a], at[b]) for a in ends[:2] for b in ends[2:] if a in at and b in at]
    return spheres + [min(corner_m(plate_m, a, b), depth_m) for a, b in pairs]


def ring_m(plan: Any, wall_m: float | None) -> float:
    """Diameter of the largest circle in a plane region, or in the wall inside it."""
    if wall_m is not None:
        plan = plan.difference(plan.buffer(-wall_m, join_style="mitre"))
    return circle_m(plan)


def circle_m(plan: Any, enough_m: float = inf) -> float:
    """Diameter of the largest circle in a plane region; of one that holds a circle of `enough_m`, that.

    A slab is far wider than thick, so that a look at any place well inside of it mostly does.
    """
    parts = [part for part in shapely.get_parts(plan) if part.area > 0.0]
    places = [part.representative_point() for part in parts]
    if 2.0 * float(shapely.distance(shapely.boundary(parts), places).max()) >= enough_m + 2.0 * CIRCLE_TOLERANCE_M:
        return enough_m
    return max(2.0 * float(shapely.maximum_inscribed_circle(part, CIRCLE_TOLERANCE_M).length) for part in parts)


def sphere_in_facets(vertices_m: Floats, facets: Ints) -> float:
    """Diameter of the largest sphere inside a closed, outward-wound mesh, m.

    From every sampled point of the surface a ball that touches it there shrinks until no other sample lies inside.
    Their centers are ranked by their distance from the facets about them, and the deepest are moved as long as that
    grows. Samples are the same for the same mesh. Held to SAMPLED_TOLERANCE.
    """
    vertices = np.ascontiguousarray(vertices_m, dtype=np.float64)
    corners = np.ascontiguousarray(facets, dtype=np.int64)
    return kept(key_of("sphere", (vertices.data, corners.data)), lambda: _sphere_in(vertices, corners))


def _sphere_in(points: Floats, facets: Ints) -> float:
    triangles = Triangles.of(points, facets)
    surface = _Samples.of(triangles)
    centers = _medial_points(triangles, surface, float(np.ptp(points, axis=0).max()))
    near, _ = surface.tree.query(centers)  # never less than the distance from the facets
    deepest, tried, ahead = 0.0, list[Floats](), list[tuple[float, int]]()
    order = np.argsort(-near, kind="stable")
    for start in range(0, len(order), TOGETHER):
        part = order[start : start + TOGETHER]
        part = part[_inside(triangles.corners, centers[part])]
        for depth, index in zip(surface.depths(triangles, centers[part]).tolist(), part.tolist(), strict=True):
            heappush(ahead, (-depth, index))
        reached = near[order[start + TOGETHER]] if start + TOGETHER < len(order) else -1.0
        while ahead and -ahead[0][0] > reached:
            depth, index = -ahead[0][0], heappop(ahead)[1]
            if len(tried) == CLIMBS or depth <= deepest:
                return 2.0 * deepest
            if any(np.linalg.norm(centers[index] - center) < depth for center in tried):
                continue
            tried.append(centers[index])
            deepest = max(deepest, _climbed(triangles, centers[index], depth))
    return 2.0 * deepest


@frozen(eq=False)
class _Samples:
    """Points of a surface: samples (k, 3) with their facets, and the corners, in a tree that finds the nearest.

    owner  the facet of each sample, then of each corner
    """

    points: Floats
    owner: Ints
    tree: Any

    @classmethod
    def of(cls, triangles: Triangles) -> _Samples:
        """Every facet sampled at its middle, the rest by area."""
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
        """Distances (k,) of places from the facets about them."""
        _, around = self.tree.query(centers, k=ABOUT)
        facets = self.owner[around]
        exact, _, _ = nearest_on(triangles, facets.reshape(-1), np.repeat(centers, ABOUT, axis=0))
        return np.asarray(exact.reshape(facets.shape).min(axis=1), dtype=float)


def _medial_points(triangles: Triangles, surface: _Samples, largest_m: float) -> Floats:
    """Centers (k, 3) of balls that touch the surface from inside."""
    points, inward = surface.points, -triangles.normal[surface.owner[: len(surface.points)]]
    radius = np.full(len(points), largest_m)
    shrinking = np.arange(len(points))
    for _ in range(ROUNDS):
        start, way, size = points[shrinking], inward[shrinking], radius[shrinking]
        away, which = surface.tree.query(start + size[:, None] * way)
        chord = surface.tree.data[which] - start
        depth = np.einsum("ij,ij->i", chord, way)
        smaller = (away < size * (1.0 - 1e-9)) & (depth > 0.0)
        if not smaller.any():
            break
        shrinking, chord, depth, size = shrinking[smaller], chord[smaller], depth[smaller], size[smaller]
        radius[shrinking] = np.minimum(np.einsum("ij,ij->i", chord, chord) / (2.0 * depth), size)
    centers = points + radius[:, None] * inward
    if len(triangles) <= CORNERED:
        centers = np.concatenate([centers, _inward_of_corners(triangles, largest_m)])
    return centers


def _inward_of_corners(triangles: Triangles, largest_m: float) -> Floats:
    """Places (k, 3) inward of every corner, as far from all the faces that meet there; walls are thickest so."""
    places, index = np.unique(triangles.corners.reshape(-1, 3).round(9), axis=0, return_inverse=True)
    normals: list[set[tuple[float, ...]]] = [set() for _ in places]
    for corner, facet in zip(index.reshape(-1), np.repeat(np.arange(len(triangles)), 3), strict=True):
        normals[corner].add(tuple(triangles.normal[facet].round(6)))
    inward = -np.array([np.sum(list(normal), axis=0) for normal in normals])
    steps = largest_m / 2.0 * np.geomspace(1e-3, 1.0, DEPTHS)
    return np.asarray((places[:, None] + steps[:, None] * inward[:, None]).reshape(-1, 3), dtype=float)


def _inside(corners: Floats, points: Floats) -> Flags:
    """Which of the points (k, 3) a closed surface goes round.

    Up a line from each point, facets that face up are counted less those that face down. The lines run askew, so that
    none of them meets an edge of a model that was drawn square.
    """
    facets, starts = corners @ ASKEW, points @ ASKEW
    low, high = facets[:, :, :2].min(axis=1), facets[:, :, :2].max(axis=1)
    tree = shapely.STRtree(shapely.box(*low.T, *high.T))
    which, facet = tree.query(shapely.points(starts[:, :2]))
    a, b, c = np.moveaxis(facets[facet] - starts[which][:, None], 1, 0)
    across = [p[:, 0] * q[:, 1] - p[:, 1] * q[:, 0] for p, q in ((b, c), (c, a), (a, b))]
    side = np.sign(across)
    above = across[0] * a[:, 2] + across[1] * b[:, 2] + across[2] * c[:, 2]
    met = (side[0] == side[1]) & (side[1] == side[2]) & (above * side[0] > 0.0)
    return np.bincount(which[met], weights=side[0][met], minlength=len(points)) > 0.0


def _climbed(triangles: Triangles, start: Floats, radius_m: float) -> float:
    """Distance from the surface of the place, near a start, that lies deepest."""
    near = np.linalg.norm(triangles.middle - start, axis=1) - triangles.reach < 3.0 * radius_m
    which = np.flatnonzero(near)

    middle, reach = triangles.middle[which], triangles.reach[which]

    def depth(points: Floats) -> Floats:
        to_middle = np.linalg.norm(points[:, None] - middle, axis=2)
        row, column = np.nonzero(to_middle - reach <= to_middle.min(axis=1)[:, None])  # a nearest facet is among them
        away, _, _ = nearest_on(triangles, which[column], points[row])
        starts = np.searchsorted(row, np.arange(len(points)))
        return np.asarray(np.minimum.reduceat(away, starts), dtype=float)

    best, here, step_m = start, float(depth(start[None])[0]), radius_m / 2.0
    while step_m > CLIMB_TO * radius_m:
        # a step within the ball that is known to be inside never leaves the solid
        step_m = min(step_m, here / 2.0)
        tries = best + step_m * AROUND
        depths = depth(tries)
        at = int(depths.argmax())
        if depths[at] > here * (1.0 + 1e-4):
            best, here = tries[at], float(depths[at])
        else:
            step_m /= 2.0
    return here
