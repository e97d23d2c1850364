"""Integrals over a stream of facets, a test for closed surfaces, and the connectivity of facets.

A block of facets is an array (n, 3, 3): n facets, 3 corners, 3 coordinates, in any float type and unit.
Blocks are summed one at a time, so a file of any size needs the memory of one block.

`vertices` are (v, 3) float64, `faces` (n, 3) indices into them, corners counterclockwise seen from outside.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Self

import numpy as np
from numpy.typing import NDArray

from geometry.arrays import Block, Flags, Floats, Ints
from geometry.frozen import frozen

Hashes = NDArray[np.uint64]

# Odd multipliers of a published bit mixer (the finalizer of splitmix64), and one more for the second hash.
_MIX_1, _MIX_2, _SECOND = (np.uint64(k) for k in (0xBF58476D1CE4E5B9, 0x94D049BB133111EB, 0xD6E8FEB86659FD93))
_S29, _S32 = np.uint64(29), np.uint64(32)


@frozen(eq=False)
class Tally:
    """Sums over facets, in their own unit, about a `reference` point near them.

    `volume`, `first` (∫ r dV, 3) and `second` (∫ r rᵀ dV, 3 × 3) are signed sums over the tetrahedra from the
    reference point to each facet, with r measured from that point. They describe a solid only if `boundary` is zero.
    `boundary` is zero if and only if every directed edge is cancelled by its opposite, but for a chance of about 2⁻⁶⁰.
    """

    reference: Floats
    facets: int
    low: Floats
    high: Floats
    area: float
    volume: float
    first: Floats
    second: Floats
    boundary: int
    flat: int  # facets of zero area

    def __add__(self, other: Self) -> Tally:
        """Sum of two tallies with the same reference point."""
        return Tally(
            self.reference,
            self.facets + other.facets,
            np.minimum(self.low, other.low),
            np.maximum(self.high, other.high),
            self.area + other.area,
            self.volume + other.volume,
            self.first + other.first,
            self.second + other.second,
            (self.boundary + other.boundary) % 2**64,
            self.flat + other.flat,
        )

    @property
    def closed(self) -> bool:
        """Whether every directed edge is cancelled by its opposite, so that the volume is defined."""
        return self.boundary == 0

    @property
    def centroid(self) -> Floats:
        """Centroid of the solid (not the mean of the vertices)."""
        return self.reference + self.first / self.volume

    @property
    def inertia(self) -> Floats:
        """Inertia tensor about the centroid for unit density, unit⁵, shape (3, 3)."""
        central = self.second - np.outer(self.first, self.first) / self.volume
        return np.asarray(np.trace(central) * np.eye(3) - central)


def nothing(reference: Floats) -> Tally:
    """The tally of no facets."""
    return Tally(reference, 0, np.full(3, np.inf), np.full(3, -np.inf), 0.0, 0.0, np.zeros(3), np.zeros((3, 3)), 0, 0)


class Workbench:
    """Buffers reused for every block: allocating new ones would cost more in page faults than the arithmetic."""

    def __init__(self, facets: int) -> None:
        self.facets = facets
        self.points = np.empty((3, 4, facets))  # axis, corner (the fourth is the sum of the three), facet
        self.spare = np.empty((3, 4, facets))
        self.rows = np.empty((3, facets))


def tally_blocks(blocks: Iterable[Block], reference: Floats) -> Tally:
    """Add up blocks of facets (n, 3, 3) about a reference point (3,)."""
    total = nothing(reference)
    bench = Workbench(0)
    with np.errstate(invalid="ignore", over="ignore"):  # a corner that is not finite shows in `low` and `high`
        for block in blocks:
            if len(block) > bench.facets:
                bench = Workbench(len(block))
            total = total + tally(block, reference, bench)
    return total


def tally(block: Block, reference: Floats, bench: Workbench | None = None) -> Tally:
    """Add up one block of facets.

    block      (n, 3, 3), any float type, may be a view with any strides
    reference  (3,), a point near the facets: the nearer, the smaller the rounding errors
    bench      buffers for at least n facets, for callers that add up many blocks

    Sources: the divergence theorem on tetrahedra; ∫ x y over a tetrahedron (0, a, b, c) is
    det/120 · (a aᵀ + b bᵀ + c cᵀ + s sᵀ) with s = a + b + c (first principles).
    """
    n = len(block)
    if n == 0:
        return nothing(reference)
    bench = bench or Workbench(n)
    # Axis before corner before facet: every operation runs along contiguous rows.
    points, spare = bench.points[:, :, :n], bench.spare[:, :, :n]
    squared, det, row = bench.rows[:, :n]
    corners = points[:, :3]
    np.add(block.transpose(2, 1, 0), 0.0, out=corners)  # turns −0 into +0: equal coordinates need equal bits
    low, high = corners.min(axis=(1, 2)), corners.max(axis=(1, 2))
    boundary = boundary_sum(corners, spare)
    corners -= reference[:, None, None]
    a, b, c, corner_sum = (points[:, k] for k in range(4))
    u, v, normal = (spare[:, k] for k in range(3))
    np.subtract(b, a, out=u)
    np.subtract(c, a, out=v)
    for i, (j, k) in enumerate(((1, 2), (2, 0), (0, 1))):  # u × v: twice the facet's area, outward
        np.multiply(u[j], v[k], out=normal[i])
        np.multiply(u[k], v[j], out=row)
        normal[i] -= row
    np.einsum("ij,ij->j", normal, normal, out=squared)
    flat = n - int(np.count_nonzero(squared))
    area = float(np.sqrt(squared, out=squared).sum()) / 2.0
    np.einsum("ij,ij->j", a, normal, out=det)
    np.add(a, b, out=corner_sum)
    corner_sum += c
    weighted = np.multiply(points, det, out=spare)
    second = np.empty((3, 3))
    for i in range(3):
        for j in range(i, 3):
            second[i, j] = second[j, i] = np.einsum("kn,kn->", weighted[i], points[j]) / 120.0
    first = weighted[:, 3].sum(axis=1) / 24.0
    return Tally(reference, n, low, high, area, float(det.sum()) / 6.0, first, second, boundary, flat)


def vertex_hashes(points: Floats, spare: Floats | None = None) -> Hashes:
    """Hash of each point's bits: points (3, ...), axis first, float64 without −0; returns (...).

    spare  (2, ...) work buffer; the hashes are returned in its first half

    The bits are fully mixed after each axis. In a plain sum of products, or after one round, a change of sign would
    stay in the top bit and mirrored points would collide.
    """
    bits = points.view(np.uint64)
    z, shifted = (np.empty((2, *points.shape[1:])) if spare is None else spare).view(np.uint64)
    z[...] = bits[0]
    for axis in range(3):
        if axis:
            z += bits[axis]
        for shift, multiplier in ((_S32, _MIX_1), (_S29, _MIX_2)):
            np.right_shift(z, shift, out=shifted)
            z ^= shifted
            z *= multiplier
        np.right_shift(z, _S32, out=shifted)
        z ^= shifted
    hashes: Hashes = z
    return hashes


def boundary_sum(corners: Floats, spare: Floats | None = None) -> int:
    """Checksum that is zero if and only if the facets have no boundary (but for a chance of about 2⁻⁶⁰).

    corners  (3, 3, n): axis, corner, facet, without −0
    spare    (3, 3 or more, n) work buffer

    Each vertex is mapped to a pseudorandom point p in a plane over the integers modulo 2⁶⁴ (two hashes). The checksum
    is the sum of the facets' signed areas there, (b − a) ∧ (c − a) = a ∧ b + b ∧ c + c ∧ a. An edge adds p ∧ q and
    its opposite q ∧ p, so only boundary edges remain. Needs no sorting, no welding, and constant memory.
    """
    spare = np.empty_like(corners) if spare is None else spare[:, :3]
    x = vertex_hashes(corners, spare[:2])
    y, product = spare[1:].view(np.uint64)
    np.right_shift(x, _S32, out=y)
    y ^= x
    y *= _SECOND
    x[1:] -= x[0]
    y[1:] -= y[0]
    np.multiply(x[1], y[2], out=product[0])
    np.multiply(x[2], y[1], out=product[1])
    product[0] -= product[1]
    return int(product[0].sum(dtype=np.uint64))


def index_facets(facets: Block) -> tuple[Floats, Ints]:
    """Vertices and faces of facets (n, 3, 3); corners with the same coordinates become one vertex."""
    points = np.ascontiguousarray(facets, dtype=np.float64).reshape(-1, 3) + 0.0
    hashes = vertex_hashes(np.ascontiguousarray(points.T))
    _, first, inverse = np.unique(hashes, return_index=True, return_inverse=True)
    return points[first], inverse.reshape(-1, 3).astype(np.int64)


def weld(vertices: Floats, faces: Ints, distance: float) -> tuple[Floats, Ints, int]:
    """Merge vertices closer to each other than `distance`; return vertices, faces and the number merged away."""
    from scipy.spatial import cKDTree

    pairs = cKDTree(vertices).query_pairs(distance, output_type="ndarray")
    if len(pairs) == 0:
        return vertices, faces, 0
    label = components(len(vertices), pairs[:, 0], pairs[:, 1])
    _, first, inverse = np.unique(label, return_index=True, return_inverse=True)
    return vertices[first], inverse[faces], len(vertices) - len(first)


def components(count: int, left: Ints, right: Ints) -> Ints:
    """Labels (count,), 0 to k − 1, of the connected components of nodes joined by edges left–right.

    Union-find on all edges at once: the larger root of each edge is linked to the smaller, then paths are compressed.
    Each round at least halves the number of roots that are still joined to another.
    """
    root = np.arange(count)
    while len(left):
        a, b = root[left], root[right]
        np.minimum.at(root, np.maximum(a, b), np.minimum(a, b))
        while ((above := root[root]) != root).any():
            root = above
        apart = root[left] != root[right]
        left, right = left[apart], right[apart]
    return np.asarray(np.unique(root, return_inverse=True)[1], dtype=np.int64)


@frozen(eq=False)
class Edges:
    """The undirected edges of a surface and the facets at each.

    ends   (e, 2) vertices, smaller index first
    uses   (e,) number of facets that share the edge
    net    (e,) uses in one direction less uses in the other: 0 where they cancel
    start  (e,) index at which the edge's uses begin in `face` and `along`
    face   (3n,) facets, sorted by edge, in their own order
    along  (3n,) whether that facet runs along the edge from the smaller index to the larger
    """

    ends: Ints
    uses: Ints
    net: Ints
    start: Ints
    face: Ints
    along: Flags

    def pairs(self) -> tuple[Ints, Ints, Flags]:
        """Facets on both sides of each edge shared by exactly two, and whether their windings are consistent."""
        at = self.start[self.uses == 2]
        return self.face[at], self.face[at + 1], self.along[at] != self.along[at + 1]


def edges_of(faces: Ints) -> Edges:
    """Find the edges of faces (n, 3), n ≥ 1."""
    tail = faces.reshape(-1)
    head = faces[:, [1, 2, 0]].reshape(-1)
    along = tail < head
    key = np.where(along, tail, head) << np.int64(32) | np.where(along, head, tail)
    order = np.argsort(key, kind="stable")
    key, along = key[order], along[order]
    start = np.flatnonzero(np.r_[True, key[1:] != key[:-1]])
    uses = np.diff(np.r_[start, len(key)])
    net = np.add.reduceat(np.where(along, 1, -1), start)
    ends = np.stack([key[start] >> 32, key[start] & 0xFFFFFFFF], axis=1)
    return Edges(ends, uses, net, start, order // 3, along)


def without_degenerate(faces: Ints) -> Ints:
    """Faces with three distinct vertices."""
    a, b, c = faces.T
    sound: Ints = faces[(a != b) & (b != c) & (c != a)]
    return sound


def without_duplicates(faces: Ints) -> tuple[Ints, int, int]:
    """Remove duplicate facets.

    Returns the faces, the number removed, and the number of coincident pairs of opposite winding that remain.
    """
    ranked = np.sort(faces, axis=1)
    even = (np.argmin(faces, axis=1)[:, None] + np.arange(3)) % 3
    turned = np.take_along_axis(faces, even, axis=1)[:, 1] != ranked[:, 1]
    order = np.lexsort((turned, ranked[:, 2], ranked[:, 1], ranked[:, 0]))
    same_place = np.r_[False, (ranked[order][1:] == ranked[order][:-1]).all(axis=1)]
    same_turn = np.r_[False, turned[order][1:] == turned[order][:-1]]
    duplicate = same_place & same_turn
    keep = np.ones(len(faces), bool)
    keep[order[duplicate]] = False
    return faces[keep], int(duplicate.sum()), int((same_place & ~same_turn).sum())


def rewound(faces: Ints, edges: Edges) -> tuple[Ints, int] | None:
    """Reverse facets until windings are consistent; return faces and the number reversed, None if impossible.

    Uses the orientation double cover: each facet has two nodes, as it is and reversed. Consistent neighbors link like
    nodes, inconsistent ones link opposite nodes. If a facet's two nodes end up connected, the surface is one-sided.
    In each connected component the smaller set of facets is reversed.
    """
    left, right, alike = edges.pairs()
    if alike.all():
        return faces, 0
    n = len(faces)
    cross = np.where(alike, 0, n)
    cover = components(2 * n, np.r_[left, left + n], np.r_[right + cross, right + n - cross])
    if (cover[:n] == cover[n:]).any():
        return None
    part = np.minimum(cover[:n], cover[n:])
    turned = cover[:n] != part
    _, part = np.unique(part, return_inverse=True)
    size, turned_size = np.bincount(part), np.bincount(part, weights=turned)
    turned ^= (turned_size > size / 2)[part]
    faces = faces.copy()
    faces[turned] = faces[turned][:, ::-1]
    return faces, int(turned.sum())


def bodies_of(faces: Ints, edges: Edges) -> Ints:
    """Label (n,) of the body of each facet of a closed, consistently wound surface.

    Facets are connected across shared edges. Where more than two facets meet because bodies touch, the first in one
    direction is paired with the first in the other, since files list one body after another. So every body is closed.
    """
    edge = np.repeat(np.arange(len(edges.uses)), edges.uses)
    order = np.lexsort((edges.along, edge))
    half = np.arange(len(edge)) - edges.start[edge] < edges.uses[edge] // 2
    left = np.flatnonzero(half)
    right = left + edges.uses[edge[left]] // 2
    return components(len(faces), edges.face[order[left]], edges.face[order[right]])


def loops_of(edges: Edges) -> list[Ints] | None:
    """Vertex loops around the openings, directed so that a cap wound in their order fits the surface.

    None where the open edges form no loops: three facets at an edge, or an edge used twice in one direction.
    """
    open_edge = edges.net != 0
    if (np.abs(edges.net[open_edge]) != 1).any():
        return None
    ends, forward = edges.ends[open_edge], edges.net[open_edge] > 0
    # A facet runs tail → head along its edge; the cap must run the other way.
    tail, head = np.where(forward, ends[:, 1], ends[:, 0]), np.where(forward, ends[:, 0], ends[:, 1])
    onward: dict[int, list[int]] = {}
    for t, h in zip(tail.tolist(), head.tolist(), strict=True):
        onward.setdefault(t, []).append(h)
    loops: list[Ints] = []
    while onward:
        path: list[int] = []
        place: dict[int, int] = {}
        at = next(iter(onward))
        while True:
            if at in place:  # close the ring and remove it from the path, which may continue from that vertex
                ring = path[place[at] :]
                loops.append(np.array(ring, dtype=np.int64))
                for v in ring:
                    del place[v]
                path = path[: len(path) - len(ring)]
                if not path and at not in onward:
                    break
            if at not in onward:
                if path:
                    return None
                break
            place[at] = len(path)
            path.append(at)
            nexts = onward[at]
            step = nexts.pop()
            if not nexts:
                del onward[at]
            at = step
    return loops
