"""How facets hang together: shared vertices and edges, winding, openings, bodies.

`vertices` are (v, 3) float64, `faces` (n, 3) indices into them, corners anticlockwise seen from outside.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from geometry.facets import Block, Floats, vertex_hashes

Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]


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
    """Label, 0 to k − 1, of the connected component of each of `count` nodes joined by edges left–right."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    joined = coo_array((np.ones(len(left), np.int8), (left, right)), shape=(count, count))
    return np.asarray(connected_components(joined, directed=False)[1], dtype=np.int64)


@dataclass(frozen=True, slots=True, eq=False)
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
    kept: Ints = faces[(a != b) & (b != c) & (c != a)]
    return kept


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
    """Turn facets until neighbours are wound alike; returns the faces and how many were turned, None if impossible.

    Works on the two-sheeted cover: each facet stands for two nodes, as it is and turned; neighbours wound alike
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
