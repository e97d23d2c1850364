"""Hollow of a solid: its points at least a given distance from part of its surface, by an octree of exact distances."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, fields, replace

import numpy as np

from geometry.arrays import Flags, Floats, Ints
from geometry.frozen import frozen


@frozen(eq=False)
class Triangles:
    """Triangles with precomputed data for distances, in any one unit of length.

    corners  (n, 3, 3)
    edges    (n, 3, 3) vectors from each corner to the next, and squares (n, 3) of their lengths
    inward   (n, 3, 3) in-plane normals of the edges, pointing into the triangle
    normal   (n, 3) outward unit normal
    angle    (n, 3) angle at each corner, radians
    middle   (n, 3) centroid, and reach (n,) its distance from the farthest corner
    """

    corners: Floats
    edges: Floats
    squares: Floats
    inward: Floats
    normal: Floats
    angle: Floats
    middle: Floats
    reach: Floats

    @classmethod
    def of(cls, vertices: Floats, faces: Ints) -> Triangles:
        """Triangles of vertices (v, 3) and faces (n, 3), without those of zero area."""
        corners = vertices[faces]
        edges = np.roll(corners, -1, axis=1) - corners
        normal = np.cross(edges[:, 0], -edges[:, 2])
        area = np.linalg.norm(normal, axis=1)
        longest = np.square(edges).sum(axis=2).max(axis=1)
        broad = area > 1e-12 * longest
        corners, edges = corners[broad], edges[broad]
        normal = normal[broad] / area[broad, None]
        back = -np.roll(edges, 1, axis=1)
        sine = np.linalg.norm(np.cross(edges, back), axis=2)
        angle = np.arctan2(sine, np.einsum("nkc,nkc->nk", edges, back))
        middle = corners.mean(axis=1)
        reach = np.linalg.norm(corners - middle[:, None], axis=2).max(axis=1)
        inward = np.cross(normal[:, None], edges)
        return cls(corners, edges, np.square(edges).sum(axis=2), inward, normal, angle, middle, reach)

    def __len__(self) -> int:
        return len(self.normal)


def nearest_on(triangles: Triangles, which: Ints, points: Floats) -> tuple[Floats, Floats, Floats]:
    """Nearest point of triangle `which[i]` to `points[i]`.

    Returns the distances (k,), the vectors from the triangle to the point (k, 3), and weights (k,): the corner's angle
    if a corner is nearest, otherwise 1. The sum of the weighted normals of all equally near triangles gives the sign
    of the distance.
    Source: the angle-weighted pseudonormal (Bærentzen and Aanæs 2005); distances from first principles.
    """
    normal, edges, corners = triangles.normal[which], triangles.edges[which], triangles.corners[which]
    from_corner = points[:, None] - corners
    height = np.einsum("kc,kc->k", from_corner[:, 0], normal)
    beyond = np.einsum("kec,kec->ke", from_corner, triangles.inward[which]) < 0
    # On each edge the nearest point is at parameter t, 0 to 1.
    t = (np.einsum("kec,kec->ke", from_corner, edges) / triangles.squares[which]).clip(0.0, 1.0)
    off = from_corner - t[:, :, None] * edges
    squared = np.einsum("kec,kec->ke", off, off)
    edge = squared.argmin(axis=1)
    rows = np.arange(len(which))
    outside = beyond.any(axis=1)
    vector = np.where(outside[:, None], off[rows, edge], height[:, None] * normal)
    distance = np.where(outside, np.sqrt(squared[rows, edge]), np.abs(height))
    t_edge = t[rows, edge]
    corner = np.where(t_edge == 0.0, edge, (edge + 1) % 3)
    weight = np.where(outside & ((t_edge == 0.0) | (t_edge == 1.0)), triangles.angle[which, corner], 1.0)
    return distance, vector, weight


CLOSE, CLOSE_ENOUGH = 2e-3, 5e-3
"""The octree is refined until two more levels change the volume by less than this fraction of `scale`, the second if
that takes many distances. One level alone may leave the volume unchanged by chance, where cells are as symmetric as a
box."""

_PAIRS_AT_ONCE = 1 << 15
_MANY_PAIRS, _MOST_PAIRS = 300_000, 12_000_000
_FLAT_CELL = 8.0  # largest half side, as a multiple of the depth, of a cell settled because one plane is nearest
_COPLANAR = 1e-9
_PARALLEL = 1e-12  # tolerance of the cosine


@frozen(eq=False)
class Plane:
    """Plane of an open face of a solid, with an outward unit normal along an axis."""

    axis: int
    upper: bool  # whether the normal runs along the axis or against it
    offset: float


@frozen(eq=False)
class Hollow:
    """Measures of a hollow.

    volume   volume of the hollow, or its area if the search box is flat
    first    (3,) ∫ r dV and second (3, 3) ∫ r rᵀ dV, about the center of the search box
    middle   (3,) center of the search box
    surface  area where the hollow meets the wall, without open faces
    error    change of volume in the last refinement, or a quarter of the one before, usually an upper bound of the
             remaining error
    """

    volume: float
    first: Floats
    second: Floats
    middle: Floats
    surface: float
    error: float


@frozen(eq=False)
class _Surface:
    """Triangles relative to the center of the box, the open planes, and data to test whether one plane is nearest.

    level     (n,) offset of the triangle's plane, normal · corner
    from_rim  (n,) distance from an open plane of a triangle not perpendicular to it: beyond the rim, the nearest point
              lies on the triangle's edge
    """

    triangles: Triangles
    planes: tuple[Plane, ...]
    level: Floats
    from_rim: Floats

    @classmethod
    def about(cls, middle: Floats, triangles: Triangles, planes: Sequence[Plane]) -> _Surface:
        moved = replace(triangles, corners=triangles.corners - middle, middle=triangles.middle - middle)
        at = tuple(replace(plane, offset=plane.offset - middle[plane.axis]) for plane in planes)
        from_rim = np.full(len(moved), np.inf)
        for plane in at:
            gap = np.abs(moved.corners[:, :, plane.axis] - plane.offset).min(axis=1)
            slanting = np.abs(moved.normal[:, plane.axis]) > _COPLANAR
            from_rim = np.where(slanting, np.minimum(from_rim, gap), from_rim)
        return cls(moved, at, np.einsum("nc,nc->n", moved.corners[:, 0], moved.normal), from_rim)


@dataclass(slots=True)
class _Sums:
    """Integrals accumulated over cells."""

    volume: float = 0.0
    first: Floats = field(default_factory=lambda: np.zeros(3))
    second: Floats = field(default_factory=lambda: np.zeros((3, 3)))
    surface: float = 0.0

    def add(self, centers: Floats, half: Floats, filled: _Filled | None = None) -> None:
        """Add cells with given centers and half sides, whole or partly filled."""
        size = float((2 * half[half > 0]).prod())
        if filled is None:
            share, middles = np.ones(len(centers)), centers
        else:
            share, middles = filled.share, centers + filled.middle
            self.surface += filled.surface
        self.volume += size * float(share.sum())
        self.first += size * (share @ middles)
        self.second += size * ((middles * share[:, None]).T @ middles + np.diag(half**2 / 3.0) * share.sum())

    def copy(self) -> _Sums:
        return _Sums(self.volume, self.first.copy(), self.second.copy(), self.surface)

    def extrapolated(self, coarser: _Sums) -> _Sums:
        """Richardson extrapolation with sums at twice the cell size; the error of cut cells is of second order."""
        third = 1.0 / 3.0
        return _Sums(
            self.volume + third * (self.volume - coarser.volume),
            self.first + third * (self.first - coarser.first),
            self.second + third * (self.second - coarser.second),
            self.surface + third * (self.surface - coarser.surface),
        )


@frozen(eq=False)
class _Filled:
    """Cells cut by a plane: filled fractions (m,), centroids (m, 3) from the cell center, and area of all cuts."""

    share: Floats
    middle: Floats
    surface: float


def hollow(
    triangles: Triangles, low: Floats, high: Floats, depth: float, scale: float, open_planes: Sequence[Plane] = ()
) -> Hollow:
    """Measure the points of a solid inside a box that lie at least `depth` from the triangles.

    triangles    surface of the solid without its open faces
    low, high    (3,) bounding box of the solid; open faces lie in sides of the box. A box with no extent along an axis
                 is a section, whose area is measured instead
    scale        volume (or area) to which `CLOSE_ENOUGH` refers

    Cells of an octree keep the triangles that may be nearest to any of their points, so distances are exact. A cell is
    settled if all of it is nearer than `depth`, farther, or outside. If one plane alone is nearest, the cut is exact.
    Other cells are cut by the plane of the distance at their center, and refined until the result converges.
    """
    middle, half = (low + high) / 2.0, (high - low) / 2.0
    settled, result, error, before = _Sums(), _Sums(), 0.0, np.inf
    coarser: _Sums | None = None
    cells = _Cells(np.zeros((1, 3)), np.zeros(len(triangles), np.int64), np.arange(len(triangles)))
    surface = _Surface.about(middle, triangles, open_planes)
    while len(cells.centers):
        radius = float(np.linalg.norm(half))
        survey = _survey(cells, surface, radius)
        below = survey.below
        whole = below >= depth + radius
        # Nowhere deep enough, or wholly outside.
        empty = (np.abs(below) <= depth - radius) | (below < -radius)
        flat = survey.flat & ~whole & ~empty & (half.max() <= _FLAT_CELL * depth)
        settled.add(cells.centers[whole], half)
        for cut, samples in ((flat & survey.aligned, 1), (flat & ~survey.aligned, 16)):
            filled = _cut(below[cut] - depth, survey.slope[cut], half, samples)
            settled.add(cells.centers[cut], half, filled)
        rest = ~(whole | empty | flat)
        result = finer = settled.copy()
        if radius < depth:
            finer.add(cells.centers[rest], half, _cut(below[rest] - depth, survey.slope[rest], half, 4))
            if coarser is not None:
                change = abs(finer.volume - coarser.volume)
                error = max(change, before / 4.0) if np.isfinite(before) else change
                result = finer.extrapolated(coarser)
                enough = CLOSE if len(survey.pair_cell) < _MANY_PAIRS else CLOSE_ENOUGH
                if max(change, before) <= enough * scale or len(survey.pair_cell) > _MOST_PAIRS:
                    break
                before = change
            coarser = finer
        split = half > 0.7 * half.max()
        cells = _children(cells, survey, rest, half, split)
        half = np.where(split, half / 2.0, half)
    return Hollow(result.volume, result.first, result.second, middle, result.surface, error)


@frozen(eq=False)
class _Cells:
    """Cells of one size with centers (m, 3), and pairs of a cell and a triangle that may be nearest to part of it."""

    centers: Floats
    pair_cell: Ints  # ascending
    pair_triangle: Ints


@frozen(eq=False)
class _Survey:
    """Distances at the centers of cells.

    below    (m,) depth below the surface, negative outside
    slope    (m, 3) gradient of the depth
    flat     (m,) whether one plane is nearest throughout the cell
    aligned  (m,) whether the gradient is along an axis
    """

    below: Floats
    slope: Floats
    flat: Flags
    aligned: Flags
    pair_cell: Ints
    pair_triangle: Ints


def _survey(cells: _Cells, surface: _Surface, radius: float) -> _Survey:
    """Survey all cells, in parts small enough for memory; radius is half a cell's diagonal."""
    parts = []
    count = len(cells.centers)
    start = np.searchsorted(cells.pair_cell, np.arange(count + 1))
    first = 0
    while first < count:
        last = max(first + 1, int(np.searchsorted(start, start[first] + _PAIRS_AT_ONCE, side="right")) - 1)
        pairs = slice(start[first], start[last])
        own, which = cells.pair_cell[pairs] - first, cells.pair_triangle[pairs]
        parts.append(_survey_part(cells.centers[first:last], own, which, surface, radius, first))
        first = last
    return _Survey(*(np.concatenate([getattr(part, f.name) for part in parts]) for f in fields(_Survey)))


def _survey_part(centers: Floats, own: Ints, which: Ints, surface: _Surface, radius: float, first: int) -> _Survey:
    """Survey some cells, numbered from `first`; `own` is the cell of each pair, from 0, ascending."""
    count = len(centers)
    triangles = surface.triangles
    # Bounding spheres limit how near each triangle can be; large triangles are always measured exactly.
    reach = triangles.reach[which]
    lower = np.linalg.norm(centers[own] - triangles.middle[which], axis=1) - reach
    bound = np.minimum.reduceat(lower + reach, np.searchsorted(own, np.arange(count)))[own]
    near = lower <= bound + 2.0 * radius
    own, which, reach, lower, bound = own[near], which[near], reach[near], lower[near], bound[near]
    exact = np.flatnonzero((lower <= bound) | (reach > radius / 2.0))
    distance, vector, weight = nearest_on(triangles, which[exact], centers[own[exact]])
    lower[exact] = distance
    start = np.searchsorted(own[exact], np.arange(count))
    least = np.minimum.reduceat(distance, start)
    near = lower <= least[own] + 2.0 * radius

    tie = np.flatnonzero(distance <= least[own[exact]] * (1.0 + 1e-9) + 1e-12 * radius)
    tied_own, tied_which, vector = own[exact][tie], which[exact][tie], vector[tie]
    lean = triangles.normal[tied_which].copy()
    foot = centers[tied_own] - vector
    for plane in surface.planes:  # as if the solid were mirrored in its open face
        lean[np.abs(foot[:, plane.axis] - plane.offset) <= 1e-6 * radius + 1e-9 * abs(plane.offset), plane.axis] = 0.0
    side = np.einsum("kc,kc->k", lean, vector) * weight[tie]
    sign = np.sign(np.bincount(tied_own, weights=side, minlength=count))
    best = np.searchsorted(tied_own, np.arange(count))

    # One plane is nearest throughout a cell if all triangles that may be nearest lie in it.
    own, which = own[near], which[near]
    reference, level = triangles.normal[tied_which[best]], surface.level[tied_which[best]]
    in_plane = np.einsum("kc,kc->k", triangles.normal[which], reference[own]) > 1.0 - _PARALLEL
    in_plane &= np.abs(surface.level[which] - level[own]) <= _COPLANAR * (radius + np.abs(level[own]))
    in_plane &= surface.from_rim[which] > 2.0 * radius
    flat = np.minimum.reduceat(in_plane, np.searchsorted(own, np.arange(count)))
    gradient = -sign[:, None] * vector[best] / np.maximum(least, 1e-300)[:, None]
    below = np.where(flat, level - np.einsum("kc,kc->k", centers, reference), -sign * least)
    slope = np.where(flat[:, None], -reference, gradient)
    return _Survey(below, slope, flat, np.abs(slope).max(axis=1) > 1.0 - _PARALLEL, own + first, which)


def _children(cells: _Cells, survey: _Survey, rest: Flags, half: Floats, split: Flags) -> _Cells:
    """Halve the remaining cells along each axis in `split`."""
    rows = np.flatnonzero(rest)
    steps = np.stack(np.meshgrid(*[(-0.5, 0.5) if s else (0.0,) for s in split], indexing="ij"), axis=-1)
    steps = steps.reshape(-1, 3) * half
    centers = (cells.centers[rows, None] + steps).reshape(-1, 3)
    number = np.full(len(rest), -1)
    number[rows] = np.arange(len(rows))
    own = number[survey.pair_cell]
    kept = own >= 0
    own, which = own[kept], survey.pair_triangle[kept]
    length = np.bincount(own, minlength=len(rows))
    start = np.cumsum(length) - length
    # Every child inherits its parent's list of triangles.
    n = len(steps)
    child_length = np.repeat(length, n)
    at = np.arange(child_length.sum()) - np.repeat(np.cumsum(child_length) - child_length, child_length)
    at += np.repeat(np.repeat(start, n), child_length)
    return _Cells(centers, np.repeat(np.arange(len(centers)), child_length), which[at])


def _cut(level: Floats, slope: Floats, half: Floats, samples: int) -> _Filled:
    """Part of cells where level + slope · r > 0, with r from the cell center.

    Exact along the axis of steepest slope; midpoint rule across it.
    """
    rank = np.argsort(-np.abs(slope) * half, axis=1)
    main, second, third = rank.T
    rows = np.arange(len(level))
    ticks = (2.0 * np.arange(samples) + 1.0) / samples - 1.0
    m_slope, m_half = slope[rows, main], half[main]
    steep = np.abs(m_slope) * m_half > 1e-12 * half.max()
    m_slope = np.where(steep, m_slope, 1.0)
    share, cut_area = np.zeros(len(level)), np.zeros(len(level))
    middle = np.zeros((len(level), 3))
    across = np.array([[u, v] for u in ticks for v in ticks])
    for u, v in across:
        du, dv = u * half[second], v * half[third]
        there = level + slope[rows, second] * du + slope[rows, third] * dv
        zero = -there / m_slope
        zero = np.where(steep, zero, np.where(there > 0, -m_half, m_half)).clip(-m_half, m_half)
        upward = m_slope > 0
        length = np.where(upward, m_half - zero, zero + m_half)
        center = np.where(upward, zero + m_half, zero - m_half) / 2.0
        part = length / (2.0 * m_half)
        share += part
        middle[rows, main] += part * center
        middle[rows, second] += part * du
        middle[rows, third] += part * dv
        cut_area += steep & (np.abs(zero) < m_half)
    total = len(across)
    sides = np.where(half > 0, 2.0 * half, 1.0)
    facing = sides.prod() / (2.0 * m_half)
    # The normal has length 1 in three dimensions; in a flat box only its in-plane part counts.
    steepness = np.linalg.norm(np.where(half > 0, slope, 0.0), axis=1)
    surface = float((cut_area / total * facing * steepness / np.abs(m_slope)).sum())
    middle /= np.maximum(share, 1e-300)[:, None]
    return _Filled(share / total, middle, surface)
