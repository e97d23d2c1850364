"""Where the facets of a mesh pierce each other: its edges against its facets, by two trees of boxes."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from geometry.facets import Floats
from geometry.topology import Ints, edges_of

_PAIRS_AT_ONCE = 1 << 21
_DOUBTFUL_FACETS = 20_000_000  # hits on the rim of a facet are settled while all that costs no more than this
_JUMP = 0.75  # of the winding number across a surface; along one it changes by a half


@dataclass(frozen=True, slots=True, eq=False)
class Crossings:
    """Edges of a mesh that pierce its facets.

    places   (k, 3) where
    facets   (k, 2) a facet of the edge, and the facet pierced
    """

    places: Floats
    facets: Ints


def crossings(vertices: Floats, faces: Ints, label: Ints, slack: float) -> Crossings:
    """Find where edges pierce facets that they do not belong to, by more than `slack` on either side.

    vertices  (v, 3); faces (n, 3) of closed surfaces
    label     (n,) which body each facet belongs to
    slack     surfaces no further into each other than this only touch

    A hit inside a facet is certain. One on a facet's rim may be a touch: it counts where the winding number of the
    facet's body changes by one along the edge, and is looked at only where no hit is certain.
    """
    edges = edges_of(faces)
    owner = edges.face[edges.start]
    certain: list[tuple[Floats, Ints]] = []
    doubtful: list[tuple[Floats, Ints, Floats]] = []
    for edge, facet in _near(vertices[edges.ends], vertices[faces], slack):
        ends, corners = edges.ends[edge], faces[facet]
        apart = (ends[:, :, None] != corners[:, None, :]).all(axis=(1, 2))
        edge, facet = edge[apart], facet[apart]
        place, depth, along = _pierced(vertices[edges.ends[edge]], vertices[faces[facet]], slack)
        pair = np.column_stack([owner[edge], facet])
        inside, rim = depth > slack, np.abs(depth) <= slack
        certain.append((place[inside], pair[inside]))
        doubtful.append((place[rim], pair[rim], along[rim]))
    places = np.concatenate([each[0] for each in certain] or [np.empty((0, 3))])
    pairs = np.concatenate([each[1] for each in certain] or [np.empty((0, 2), np.int64)])
    settled = {(label[a], label[b]) for a, b in pairs.tolist()}
    unsure = [(place, pair, along) for part in doubtful for place, pair, along in zip(*part, strict=True)]
    most = max(8, _DOUBTFUL_FACETS // max(len(faces), 1))
    sizes = np.bincount(label)
    more = []
    for k in np.linspace(0, len(unsure) - 1, min(len(unsure), most)).astype(int).tolist():
        place, pair, along = unsure[k]
        of, into = int(label[pair[0]]), int(label[pair[1]])
        if (of, into) in settled or sizes[into] == 0:
            continue
        corners = vertices[faces[label == into]]
        before, after = (winding_about(place + way * 4.0 * slack * along, along, slack, corners) for way in (-1.0, 1.0))
        if abs(after - before) > _JUMP:
            settled.add((of, into))
            more.append(k)
    if more:
        places = np.concatenate([places, [unsure[k][0] for k in more]])
        pairs = np.concatenate([pairs, [unsure[k][1] for k in more]])
    return Crossings(places, pairs)


def _pierced(ends: Floats, corners: Floats, slack: float) -> tuple[Floats, Floats, Floats]:
    """Where edges (m, 2, 3) pass the planes of facets (m, 3, 3), how far inside the facet that is, and their way.

    The depth is that below the nearest side of the facet, negative outside it, −∞ where an end is within `slack`
    of the plane or both are on one side.
    """
    a = corners[:, 0]
    normal = np.cross(corners[:, 1] - a, corners[:, 2] - a)
    size = np.linalg.norm(normal, axis=1)
    sound = size > 0
    normal /= np.where(sound, size, 1.0)[:, None]
    start, end = (np.einsum("nc,nc->n", ends[:, i] - a, normal) for i in (0, 1))
    through = sound & (np.minimum(start, end) < -slack) & (np.maximum(start, end) > slack)
    share = np.where(through, start / np.where(through, start - end, 1.0), 0.0)
    way = ends[:, 1] - ends[:, 0]
    place = ends[:, 0] + share[:, None] * way
    depth = np.full(len(ends), np.inf)
    for i in range(3):
        side = corners[:, (i + 1) % 3] - corners[:, i]
        inward = np.cross(normal, side)
        inward /= np.maximum(np.linalg.norm(inward, axis=1), 1e-300)[:, None]
        depth = np.minimum(depth, np.einsum("nc,nc->n", place - corners[:, i], inward))
    depth[~through] = -np.inf
    return place, depth, way / np.maximum(np.linalg.norm(way, axis=1), 1e-300)[:, None]


def _near(left: Floats, right: Floats, slack: float) -> Iterator[tuple[Ints, Ints]]:
    """Numbers of those of the point sets left (m, a, 3) and right (n, b, 3) whose boxes meet, some at a time."""
    low = np.minimum(left.min(axis=(0, 1)), right.min(axis=(0, 1)))
    size = np.maximum(left.max(axis=(0, 1)), right.max(axis=(0, 1))) - low
    trees = [_Boxes.of(points, low, size, slack / 2.0) for points in (left, right)]
    # Breadth first, but never with more pairs at once than fit in memory.
    waiting = [(0, 0, np.zeros(1, np.int64), np.zeros(1, np.int64))]
    depth = [len(tree.levels) - 1 for tree in trees]
    while waiting:
        i, j, a, b = waiting.pop()
        if i == depth[0] and j == depth[1]:
            yield trees[0].order[a], trees[1].order[b]
            continue
        # Both go down a level; the one with more levels goes first alone.
        down_a = depth[0] - i >= depth[1] - j
        down_b = depth[1] - j >= depth[0] - i
        if down_a:
            i, a, b = i + 1, np.concatenate([2 * a, 2 * a + 1]), np.concatenate([b, b])
        if down_b:
            j, a, b = j + 1, np.concatenate([a, a]), np.concatenate([2 * b, 2 * b + 1])
        a, b = trees[0].meeting(i, a, trees[1], j, b)
        for at in range(0, len(a), _PAIRS_AT_ONCE):
            waiting.append((i, j, a[at : at + _PAIRS_AT_ONCE], b[at : at + _PAIRS_AT_ONCE]))


@dataclass(frozen=True, slots=True, eq=False)
class _Boxes:
    """A complete binary tree of boxes over point sets that were put in order along a curve through space.

    levels  of the root first: (6, 2 ** k) low corners and negated high corners; empty boxes fill up the last
    order   (2 ** depth,) the number of each leaf's point set
    """

    levels: tuple[Floats, ...]
    order: Ints

    @classmethod
    def of(cls, points: Floats, low: Floats, size: Floats, margin: float) -> "_Boxes":
        boxes = np.concatenate([points.min(axis=1) - margin, -(points.max(axis=1) + margin)], axis=1)
        middle = (boxes[:, :3] - boxes[:, 3:]) / 2.0
        order = np.argsort(_along_a_curve((middle - low) / np.maximum(size.max(), 1e-300)), kind="stable")
        leaves = 1 << int(np.ceil(np.log2(max(len(points), 1))))
        level = np.full((6, leaves), np.inf)
        level[:, : len(points)] = boxes[order].T
        levels = [level]
        while level.shape[1] > 1:
            level = np.minimum(level[:, ::2], level[:, 1::2])
            levels.append(level)
        return cls(tuple(reversed(levels)), order)

    def meeting(self, i: int, a: Ints, other: "_Boxes", j: int, b: Ints) -> tuple[Ints, Ints]:
        """Those of the nodes `a` of level i and the other's nodes `b` of level j that have a point in common."""
        one, two = self.levels[i], other.levels[j]
        for axis in range(3):
            kept = (one[axis][a] + two[axis + 3][b] <= 0.0) & (two[axis][b] + one[axis + 3][a] <= 0.0)
            a, b = a[kept], b[kept]
        return a, b


def _along_a_curve(share: Floats) -> NDArray[np.uint64]:
    """Place of points (n, 3), each coordinate 0 to 1, along a curve that fills space: their bits interleaved."""
    spread = (np.clip(share, 0.0, 1.0) * (2**20 - 1)).astype(np.uint64)
    for shift, mask in (
        (32, 0x1F00000000FFFF),
        (16, 0x1F0000FF0000FF),
        (8, 0x100F00F00F00F00F),
        (4, 0x10C30C30C30C30C3),
        (2, 0x1249249249249249),
    ):
        spread = (spread | (spread << np.uint64(shift))) & np.uint64(mask)
    return np.asarray(spread[:, 0] | (spread[:, 1] << np.uint64(1)) | (spread[:, 2] << np.uint64(2)))


def winding_number(point: Floats, corners: Floats) -> float:
    """How often the facets (n, 3, 3) wind round a point: 1 inside a closed surface, 0 outside.

    Source: solid angle of a triangle, tan(Ω/2) = a·(b × c) / (abc + (a·b)c + (b·c)a + (c·a)b), first principles.
    """
    a, b, c = np.moveaxis(corners - point, 1, 0)
    la, lb, lc = (np.linalg.norm(v, axis=1) for v in (a, b, c))
    triple = np.einsum("ij,ij->i", a, np.cross(b, c))
    dots = [np.einsum("ij,ij->i", u, v) for u, v in ((a, b), (b, c), (c, a))]
    return float(np.arctan2(triple, la * lb * lc + dots[0] * lc + dots[1] * la + dots[2] * lb).sum() / (2 * np.pi))


def winding_about(point: Floats, along: Floats, reach: float, corners: Floats) -> float:
    """Mean winding number at four places, `reach` away, round a line through a point: a half in a flat face."""
    across = np.cross(along, [0.36, 0.48, 0.8])  # askew, so that no place falls into a face along the axes
    across /= max(float(np.linalg.norm(across)), 1e-300)
    ring = [way * side for side in (across, np.cross(along, across)) for way in (-reach, reach)]
    return float(np.mean([winding_number(point + step, corners) for step in ring]))
