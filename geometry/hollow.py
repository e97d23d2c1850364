"""The hollow of a solid: its points at least so far from a part of its surface, by an octree of exact distances."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, fields, replace

import numpy as np

from geometry.arrays import Flags, Floats, Ints
from geometry.frozen import frozen


@frozen(eq=False)
class Triangles:
    """Triangles with what their distances need, in any one unit of length.

    corners  (n, 3, 3)
    edges    (n, 3, 3) from each corner to the next, and squares (n, 3) of their lengths
    inward   (n, 3, 3) square to each edge, in the plane, into the triangle
    normal   (n, 3) of unit length, outward
    angle    (n, 3) at each corner, radians
    middle   (n, 3) center, and reach (n,) the distance from it to the farthest corner
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
        """From vertices (v, 3) and faces (n, 3); triangles without area are left out."""
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

    Returns the distances (k,), the vectors from the triangle to the point (k, 3), and weights (k,): the angle at
    the corner where a corner is nearest, otherwise 1. The weighted normals of all triangles that are equally near
    add up to a vector that tells inside from outside.
    Source: the angle-weighted pseudonormal (Bærentzen and Aanæs 2005); distances from first principles.
    """
    normal, edges, corners = triangles.normal[which], triangles.edges[which], triangles.corners[which]
    from_corner = points[:, None] - corners
    height = np.einsum("kc,kc->k", from_corner[:, 0], normal)
    beyond = np.einsum("kec,kec->ke", from_corner, triangles.inward[which]) < 0
    # On each edge the nearest point lies a share t of the way.
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


CLOSE_ENOUGH = 5e-3
"""The octree is refined until one more level changes the measured volume by less than this share of `scale`."""

_PAIRS_AT_ONCE = 1 << 15
_MOST_PAIRS = 12_000_000
_FLAT_CELL = 8.0  # a cell near one plane only is settled when its half side is under so many depths
_COPLANAR = 1e-9
_PARALLEL = 1e-12  # of the cosine


@frozen(eq=False)
class Plane:
    """A plane that leaves a solid open: its unit normal looks out of the solid along an axis."""

    axis: int
    upper: bool  # whether the normal runs along the axis or against it
    offset: float


@frozen(eq=False)
class Hollow:
    """The measure of a hollow.

    volume   of the hollow (its area where the box that was searched is flat)
    first    (3,) ∫ r dV and second (3, 3) ∫ r rᵀ dV, about the middle of the box that was searched
    middle   (3,) that point
    surface  area where the hollow meets the wall, open faces not counted
    error    how much the last refinement changed the volume: an upper bound of what is left, as a rule
    """

    volume: float
    first: Floats
    second: Floats
    middle: Floats
    surface: float
    error: float


@frozen(eq=False)
class _Surface:
    """Triangles about the middle of the box, the open planes, and what tells where one plane alone is nearest.

    level     (n,) normal · corner: where the triangle's plane lies
    from_rim  (n,) how far a triangle that is not square to an open plane is from it: beyond its rim the nearest
              point is on its edge
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
    volume: float = 0.0
    first: Floats = field(default_factory=lambda: np.zeros(3))
    second: Floats = field(default_factory=lambda: np.zeros((3, 3)))
    surface: float = 0.0

    def add(self, centers: Floats, half: Floats, filled: _Filled | None = None) -> None:
        """Add cells with these centers and half sides, whole or as far as they are filled."""
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
        """What sums at half and at whole the cell size tend to; cells cut by planes err with the size's square."""
        third = 1.0 / 3.0
        return _Sums(
            self.volume + third * (self.volume - coarser.volume),
            self.first + third * (self.first - coarser.first),
            self.second + third * (self.second - coarser.second),
            self.surface + third * (self.surface - coarser.surface),
        )


@frozen(eq=False)
class _Filled:
    """Of cells cut by a plane: the share filled, where that balances from the center, the area of all cuts."""

    share: Floats
    middle: Floats
    surface: float


def hollow(
    triangles: Triangles, low: Floats, high: Floats, depth: float, scale: float, open_planes: Sequence[Plane] = ()
) -> Hollow:
    """Measure the points of a solid inside a box that lie at least `depth` from the triangles.

    triangles    the surface of the solid but for its open faces
    low, high    (3,) box round the solid; an open face lies in a side of the box. A box without extent along an
                 axis is a section, and what is measured of it is an area
    scale        a volume (or area) of which `CLOSE_ENOUGH` is close enough

    Cells of an octree keep the triangles that may be nearest to one of their points, so distances are exact.
    A cell is settled when all of it is nearer than `depth`, farther, or outside; near one plane alone the cut is
    exact; the last cells are cut by the plane of the distance at their center, and refined until that is enough.
    """
    middle, half = (low + high) / 2.0, (high - low) / 2.0
    settled, result, error = _Sums(), _Sums(), 0.0
    coarser: _Sums | None = None
    cells = _Cells(np.zeros((1, 3)), np.zeros(len(triangles), np.int64), np.arange(len(triangles)))
    surface = _Surface.about(middle, triangles, open_planes)
    while len(cells.centers):
        radius = float(np.linalg.norm(half))
        survey = _survey(cells, surface, radius)
        below = survey.below
        whole = below >= depth + radius
        # Near the surface, but nowhere deep enough; or without surface, and so wholly outside.
        gone = (np.abs(below) <= depth - radius) | (below < -radius)
        flat = survey.flat & ~whole & ~gone & (half.max() <= _FLAT_CELL * depth)
        settled.add(cells.centers[whole], half)
        for cut, samples in ((flat & survey.aligned, 1), (flat & ~survey.aligned, 16)):
            filled = _cut(below[cut] - depth, survey.slope[cut], half, samples)
            settled.add(cells.centers[cut], half, filled)
        rest = ~(whole | gone | flat)
        result = finer = settled.copy()
        if radius < depth:
            finer.add(cells.centers[rest], half, _cut(below[rest] - depth, survey.slope[rest], half, 4))
            if coarser is not None:
                error = abs(finer.volume - coarser.volume)
                result = finer.extrapolated(coarser)
                if error <= CLOSE_ENOUGH * scale or len(survey.pair_cell) > _MOST_PAIRS:
                    break
            coarser = finer
        split = half > 0.7 * half.max()
        cells = _children(cells, survey, rest, half, split)
        half = np.where(split, half / 2.0, half)
    return Hollow(result.volume, result.first, result.second, middle, result.surface, error)


@frozen(eq=False)
class _Cells:
    """Cells of one size, (m, 3) centers, and pairs of a cell and a triangle that may be nearest to part of it."""

    centers: Floats
    pair_cell: Ints  # ascending
    pair_triangle: Ints


@frozen(eq=False)
class _Survey:
    """What is known at the centers of cells: (m,) below, the depth below the surface, negative outside.

    slope    (m, 3) how the depth changes
    flat     (m,) whether the depth below one plane is the depth all over the cell
    aligned  (m,) whether it changes along one axis alone
    """

    below: Floats
    slope: Floats
    flat: Flags
    aligned: Flags
    pair_cell: Ints
    pair_triangle: Ints


def _survey(cells: _Cells, surface: _Surface, radius: float) -> _Survey:
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
    # Spheres round the triangles say how near each can be; the distance of a large one is taken anyway.
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
    for plane in surface.planes:  # as if the solid went on in mirror image beyond its open face
        lean[np.abs(foot[:, plane.axis] - plane.offset) <= 1e-6 * radius + 1e-9 * abs(plane.offset), plane.axis] = 0.0
    side = np.einsum("kc,kc->k", lean, vector) * weight[tie]
    sign = np.sign(np.bincount(tied_own, weights=side, minlength=count))
    best = np.searchsorted(tied_own, np.arange(count))

    # One plane alone is nearest all over a cell if every triangle that may be nearest lies in it.
    own, which = own[near], which[near]
    reference, level = triangles.normal[tied_which[best]], surface.level[tied_which[best]]
    in_plane = np.einsum("kc,kc->k", triangles.normal[which], reference[own]) > 1.0 - _PARALLEL
    in_plane &= np.abs(surface.level[which] - level[own]) <= _COPLANAR * (radius + np.abs(level[own]))
    in_plane &= surface.from_rim[which] > 2.0 * radius
    flat = np.minimum.reduceat(in_plane, np.searchsorted(own, np.arange(count)))
    away = -sign[:, None] * vector[best] / np.maximum(least, 1e-300)[:, None]
    below = np.where(flat, level - np.einsum("kc,kc->k", centers, reference), -sign * least)
    slope = np.where(flat[:, None], -reference, away)
    return _Survey(below, slope, flat, np.abs(slope).max(axis=1) > 1.0 - _PARALLEL, own + first, which)


def _children(cells: _Cells, found: _Survey, rest: Flags, half: Floats, split: Flags) -> _Cells:
    """Cut the cells that are left in two along each axis in `split`."""
    rows = np.flatnonzero(rest)
    steps = np.stack(np.meshgrid(*[(-0.5, 0.5) if s else (0.0,) for s in split], indexing="ij"), axis=-1)
    steps = steps.reshape(-1, 3) * half
    centers = (cells.centers[rows, None] + steps).reshape(-1, 3)
    number = np.full(len(rest), -1)
    number[rows] = np.arange(len(rows))
    own = number[found.pair_cell]
    mine = own >= 0
    own, which = own[mine], found.pair_triangle[mine]
    length = np.bincount(own, minlength=len(rows))
    start = np.cumsum(length) - length
    # Each child takes its parent's list: repeat the lists, parent by parent, once for each child.
    n = len(steps)
    child_length = np.repeat(length, n)
    at = np.arange(child_length.sum()) - np.repeat(np.cumsum(child_length) - child_length, child_length)
    at += np.repeat(np.repeat(start, n), child_length)
    return _Cells(centers, np.repeat(np.arange(len(centers)), child_length), which[at])


def _cut(level: Floats, slope: Floats, half: Floats, samples: int) -> _Filled:
    """How far cells are filled with level + slope · r > 0, r measured from the center.

    Exact along the axis along which the level changes most, by the midpoint rule across.
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
    # In three dimensions the normal has length 1; only its part in a flat box counts.
    steepness = np.linalg.norm(np.where(half > 0, slope, 0.0), axis=1)
    surface = float((cut_area / total * facing * steepness / np.abs(m_slope)).sum())
    middle /= np.maximum(share, 1e-300)[:, None]
    return _Filled(share / total, middle, surface)
