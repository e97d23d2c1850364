"""Sums over a stream of facets, whether they close, and how they are connected.

A block of facets is an array (n, 3, 3): n facets, 3 corners, 3 coordinates, in any float type and unit.
Blocks are added up one by one, so that a file of any length needs the memory of one block.

`vertices` are (v, 3) float64, `faces` (n, 3) indices into them, corners anticlockwise seen from outside.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Self

import numpy as np
from numpy.typing import NDArray

from geometry.arrays import Block, Flags, Floats, Ints
from geometry.frozen import frozen

Hashes = NDArray[np.uint64]

# Odd multipliers of a published bit mixer (the finaliser of splitmix64), and one more for the second hash.
_MIX_1, _MIX_2, _SECOND = (np.uint64(k) for k in (0xBF58476D1CE4E5B9, 0x94D049BB133111EB, 0xD6E8FEB86659FD93))
_S29, _S32 = np.uint64(29), np.uint64(32)


@frozen(eq=False)
class Tally:
    """Sums over facets, in their own unit, about a `reference` point near them.

    `volume`, `first` (∫ r dV, 3) and `second` (∫ r rᵀ dV, 3 × 3) are signed sums over the tetrahedra from the
    reference point to each facet, r measured from it. They are of a solid only if `boundary` is zero.
    `boundary` is zero, but for a chance of about 2⁻⁶⁰, exactly when every directed edge is met by its opposite.
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
        """The two together; both must have the same reference point."""
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
    """Arrays that are filled anew for each block: fresh ones would cost more in page faults than the arithmetic."""

    def __init__(self, facets: int) -> None:
        self.facets = facets
        self.points = np.empty((3, 4, facets))  # axis, corner (the fourth is the sum of the three), facet
        self.spare = np.empty((3, 4, facets))
        self.rows = np.empty((3, facets))


def tally_blocks(blocks: Iterable[Block], reference: Floats) -> Tally:
    """Add up blocks of facets (n, 3, 3) about a reference point (3,)."""
    total = nothing(reference)
    bench = Workbench(0)
    with np.errstate(invalid="ignore", over="ignore"):  # a corner that is no number shows in `low` and `high`
        for block in blocks:
            if len(block) > bench.facets:
                bench = Workbench(len(block))
            total = total + tally(block, reference, bench)
    return total


def tally(block: Block, reference: Floats, bench: Workbench | None = None) -> Tally:
    """Add up one block of facets.

    block      (n, 3, 3), any float type, may be a view with any strides
    reference  (3,), a point near the facets: the nearer, the less is lost to rounding
    bench      arrays for n facets at least, where many blocks are added up

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
    np.add(block.transpose(2, 1, 0), 0.0, out=corners)  # turns −0 into +0, which are one place but two bit patterns
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

    spare  (2, ...) to work in; the hashes are returned in the first of them

    Mixed through and through after each axis: in a plain sum of products, or after one round, a change of sign
    stays in the uppermost bit and mirrored points collide.
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
    """A number that is zero exactly when the facets have no boundary (but for a chance of about 2⁻⁶⁰).

    corners  (3, 3, n): axis, corner, facet, without −0
    spare    (3, 3 or more, n) to work in

    Each vertex is sent to a random place p in a plane over the integers modulo 2⁶⁴ (its hash and a second
    hash); the number is the sum of the facets' signed areas there, (b − a) ∧ (c − a) = a ∧ b + b ∧ c + c ∧ a.
    An edge adds p ∧ q and its opposite q ∧ p, so the sum is that of the boundary edges alone.
    No sorting, no welding, constant memory.
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
    """Join vertices nearer to each other than `distance`; returns also how many were joined to another."""
    from scipy.spatial import cKDTree

    pairs = cKDTree(vertices).query_pairs(distance, output_type="ndarray")
    if len(pairs) == 0:
        return vertices, faces, 0
    label = components(len(vertices), pairs[:, 0], pairs[:, 1])
    _, first, inverse = np.unique(label, return_index=True, return_inverse=True)
    return vertices[first], inverse[faces], len(vertices) - len(first)


def components(count: int, left: Ints, right: Ints) -> Ints:
    """Label, 0 to k − 1, of the connected component of each of `count` nodes joined by edges left–right.

    Union-find, all edges at once: the root at either end of an edge is hung on the smaller of the two, then every
    node on its root. Each round at least halves the roots that are still joined to another.
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
    """The undirected edges of a surface and who uses them.

    ends   (e, 2) vertices, smaller index first
    uses   (e,) how many facets share the edge
    net    (e,) uses one way less uses the other way: 0 where the edge is cancelled
    start  (e,) where its uses begin in `face` and `along`
    face   (3n,) the facets, edge by edge, in their own order
    along  (3n,) whether that facet runs from the smaller index to the larger
    """

    ends: Ints
    uses: Ints
    net: Ints
    start: Ints
    face: Ints
    along: Flags

    def pairs(self) -> tuple[Ints, Ints, Flags]:
        """Facets left and right of each edge that exactly two share, and whether they are wound alike."""
        at = self.start[self.uses == 2]
        return self.face[at], self.face[at + 1], self.along[at] != self.along[at + 1]


def edges_of(faces: Ints) -> Edges:
    """Sort out the edges of faces (n, 3), one at least."""
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
    """The faces that have three different vertices."""
    a, b, c = faces.T
    sound: Ints = faces[(a != b) & (b != c) & (c != a)]
    return sound


def without_duplicates(faces: Ints) -> tuple[Ints, int, int]:
    """Leave one of the facets that are there more than once.

    Returns the faces, how many were left out, and how many pairs remain that coincide with opposite winding.
    """
    ranked = np.sort(faces, axis=1)
    even = (np.argmin(faces, axis=1)[:, None] + np.arange(3)) % 3
    turned = np.take_along_axis(faces, even, axis=1)[:, 1] != ranked[:, 1]
    order = np.lexsort((turned, ranked[:, 2], ranked[:, 1], ranked[:, 0]))
    same_place = np.r_[False, (ranked[order][1:] == ranked[order][:-1]).all(axis=1)]
    same_turn = np.r_[False, turned[order][1:] == turned[order][:-1]]
    again = same_place & same_turn
    keep = np.ones(len(faces), bool)
    keep[order[again]] = False
    return faces[keep], int(again.sum()), int((same_place & ~same_turn).sum())


def rewound(faces: Ints, edges: Edges) -> tuple[Ints, int] | None:
    """Turn facets until neighbors are wound alike; returns the faces and how many were turned, None if impossible.

    Works on the two-sheeted cover: each facet stands for two nodes, as it is and turned; neighbors wound alike
    join like with like, the others cross over. A facet joined to its own turned self is on a one-sided surface.
    In each connected part the fewer facets are turned.
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
    """Label of the body that each facet of a closed surface, wound alike all over, belongs to.

    Facets hang together across the edges that they share. Where more than two meet, because bodies touch, the
    first that runs one way belongs to the first that runs the other way, for in a file body follows body.
    So every body is closed by itself.
    """
    edge = np.repeat(np.arange(len(edges.uses)), edges.uses)
    order = np.lexsort((edges.along, edge))
    half = np.arange(len(edge)) - edges.start[edge] < edges.uses[edge] // 2
    left = np.flatnonzero(half)
    right = left + edges.uses[edge[left]] // 2
    return components(len(faces), edges.face[order[left]], edges.face[order[right]])


def loops_of(edges: Edges) -> list[Ints] | None:
    """Closed chains of vertices round the openings, directed so that a cap in their order fits the surface.

    None where the open edges do not chain up: three facets at an edge, or an edge used twice one way.
    """
    open_edge = edges.net != 0
    if (np.abs(edges.net[open_edge]) != 1).any():
        return None
    ends, forward = edges.ends[open_edge], edges.net[open_edge] > 0
    # A facet runs tail → head along its own edge; the cap must run back.
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
            if at in place:  # a ring is closed: take it off the path, which may go on from where it touched itself
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
