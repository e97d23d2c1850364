"""Bodies of a closed mesh: facets that pierce each other, and bodies that are inside out, nested or overlapping."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from geometry.arrays import Flags, Floats, Ints
from geometry.errors import FaultError
from geometry.facets import components, edges_of
from geometry.frozen import frozen
from geometry.message import Message, few, message

_PAIRS_AT_ONCE = 1 << 21
_DOUBTFUL_FACETS = 20_000_000  # facets that may be visited in all to settle hits on the rims of facets
_JUMP = 0.75  # change of winding number that shows an edge crosses a surface; along a surface it changes by a half


@frozen(eq=False)
class Crossings:
    """Edges of a mesh that pierce its facets.

    places   (k, 3) piercing points
    facets   (k, 2) index of a facet at the edge, and of the facet pierced
    """

    places: Floats
    facets: Ints


def crossings(vertices: Floats, faces: Ints, label: Ints, slack: float) -> Crossings:
    """Find edges that pierce facets they do not belong to, by more than `slack` on either side.

    vertices  (v, 3); faces (n, 3) of closed surfaces
    label     (n,) index of each facet's body
    slack     depth up to which surfaces count as touching only

    A hit in the interior of a facet is certain. A hit on a facet's rim may be a touch. It counts if the winding number
    of the facet's body changes by one along the edge, and is tested only for pairs of bodies with no certain hit.
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
    places = np.concatenate([hits for hits, _ in certain] or [np.empty((0, 3))])
    pairs = np.concatenate([hits for _, hits in certain] or [np.empty((0, 2), np.int64)])
    settled = {(label[a], label[b]) for a, b in pairs.tolist()}
    unsure = [(place, pair, along) for hits in doubtful for place, pair, along in zip(*hits, strict=True)]
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
    """Intersections of edges (m, 2, 3) with the planes of facets (m, 3, 3), their depths, and the edges' directions.

    The depth is the distance from the nearest side of the facet: positive inside, negative outside, and −∞ where an
    end is within `slack` of the plane or both ends are on one side of it.
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
    """Yield index pairs of point sets, left (m, a, 3) and right (n, b, 3), whose bounding boxes overlap, in chunks."""
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
        # Both trees descend one level; until the depths match, only the deeper tree does.
        down_a = depth[0] - i >= depth[1] - j
        down_b = depth[1] - j >= depth[0] - i
        if down_a:
            i, a, b = i + 1, np.concatenate([2 * a, 2 * a + 1]), np.concatenate([b, b])
        if down_b:
            j, a, b = j + 1, np.concatenate([a, a]), np.concatenate([2 * b, 2 * b + 1])
        a, b = trees[0].meeting(i, a, trees[1], j, b)
        for at in range(0, len(a), _PAIRS_AT_ONCE):
            waiting.append((i, j, a[at : at + _PAIRS_AT_ONCE], b[at : at + _PAIRS_AT_ONCE]))


@frozen(eq=False)
class _Boxes:
    """A complete binary tree of bounding boxes over point sets sorted along a Z-order curve.

    levels  root first: (6, 2 ** k) low corners and negated high corners; empty boxes pad the last level
    order   (2 ** depth,) index of each leaf's point set
    """

    levels: tuple[Floats, ...]
    order: Ints

    @classmethod
    def of(cls, points: Floats, low: Floats, size: Floats, margin: float) -> _Boxes:
        boxes = np.concatenate([points.min(axis=1) - margin, -(points.max(axis=1) + margin)], axis=1)
        middle = (boxes[:, :3] - boxes[:, 3:]) / 2.0
        order = np.argsort(_z_order((middle - low) / np.maximum(size.max(), 1e-300)), kind="stable")
        leaves = 1 << int(np.ceil(np.log2(max(len(points), 1))))
        level = np.full((6, leaves), np.inf)
        level[:, : len(points)] = boxes[order].T
        levels = [level]
        while level.shape[1] > 1:
            level = np.minimum(level[:, ::2], level[:, 1::2])
            levels.append(level)
        return cls(tuple(reversed(levels)), order)

    def meeting(self, i: int, a: Ints, other: _Boxes, j: int, b: Ints) -> tuple[Ints, Ints]:
        """Pairs of overlapping boxes among nodes `a` on level i of this tree and `b` on level j of the other."""
        mine, theirs = self.levels[i], other.levels[j]
        for axis in range(3):
            overlapping = (mine[axis][a] + theirs[axis + 3][b] <= 0.0) & (theirs[axis][b] + mine[axis + 3][a] <= 0.0)
            a, b = a[overlapping], b[overlapping]
        return a, b


def _z_order(share: Floats) -> NDArray[np.uint64]:
    """Position of points (n, 3), coordinates 0 to 1, along a Z-order curve (their interleaved bits)."""
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
    """Winding number of the facets (n, 3, 3) about a point: 1 inside a closed surface, 0 outside.

    Source: solid angle of a triangle, tan(Ω/2) = a·(b × c) / (abc + (a·b)c + (b·c)a + (c·a)b), first principles.
    """
    a, b, c = np.moveaxis(corners - point, 1, 0)
    la, lb, lc = (np.linalg.norm(v, axis=1) for v in (a, b, c))
    triple = np.einsum("ij,ij->i", a, np.cross(b, c))
    dots = [np.einsum("ij,ij->i", u, v) for u, v in ((a, b), (b, c), (c, a))]
    return float(np.arctan2(triple, la * lb * lc + dots[0] * lc + dots[1] * la + dots[2] * lb).sum() / (2 * np.pi))


def winding_about(point: Floats, along: Floats, reach: float, corners: Floats) -> float:
    """Mean winding number at four points at distance `reach` around a line through a point: ½ in a flat face."""
    across = np.cross(along, [0.36, 0.48, 0.8])  # oblique, so that no sample point lies in an axis-aligned face
    across /= max(float(np.linalg.norm(across)), 1e-300)
    ring = [way * side for side in (across, np.cross(along, across)) for way in (-reach, reach)]
    return float(np.mean([winding_number(point + step, corners) for step in ring]))


COMPARED_BODIES = 2000
"""Largest number of bodies that are compared pair by pair."""

PROBES = 16
"""Number of a body's facets that are tested for lying inside another body, where the bounding boxes overlap."""

_INSIDE = 0.75
"""Winding number above which a facet lies inside a body; on the body's surface it is a half."""

_OBLIQUE = np.array([0.48, -0.36, 0.8])


@frozen
class Place:
    """Formats points in the file's unit, to about a thousandth of the mesh's size."""

    diagonal: float
    unit_m: float
    unit: str

    def at(self, point: Floats) -> str:
        """Text for a point of the mesh, with its unit."""
        digits = max(0, 3 - int(np.floor(np.log10(self.diagonal)))) if self.diagonal > 0 else 3
        return f"({', '.join(f'{round(float(x), digits):.15g}' for x in point)}) {self.unit}"


@frozen(eq=False)
class Bodies:
    """Bodies with outward-facing facets, and notes on the repairs.

    vertices  (v, 3); faces (n, 3)
    count     number of bodies in the file
    """

    vertices: Floats
    faces: Ints
    count: int
    problems: tuple[Message, ...]


@frozen(eq=False)
class _Nest:
    """Nesting and overlaps of bodies: `holds[i, j]` is true if body i contains body j."""

    holds: Flags
    overlaps: dict[tuple[int, int], Floats]  # pairs of bodies, lower index first, and a point of the overlap


def set_right(
    vertices: Floats, faces: Ints, label: Ints, slack: float, piercing: Crossings | None, place: Place
) -> Bodies:
    """Reverse inside-out bodies, unite overlapping ones, and note nested ones.

    label     (n,) index of each facet's body; each body is closed and consistently wound
    slack     depth up to which surfaces count as touching only
    piercing  where facets pierce each other; None if that was not tested
    place     formats points as text

    A body nested in another is a cavity if it is wound the opposite way, as in a valid file. Within a body that had to
    be reversed, nested bodies are taken alternately as cavity and solid.
    Raises FaultError for a body that pierces itself, and for overlapping bodies that cannot be united.
    """
    count = int(label.max()) + 1
    order = np.argsort(label, kind="stable")
    start = np.searchsorted(label[order], np.arange(count))
    corners = vertices[faces[order]]
    centered = corners - vertices.mean(axis=0)
    a, b, c = centered[:, 0], centered[:, 1], centered[:, 2]
    volume = np.add.reduceat(np.einsum("ij,ij->i", a, np.cross(b, c)), start) / 6.0
    problems: list[Message] = []
    overlaps = {} if piercing is None else _piercing(piercing, label, place)
    nest = _Nest(np.zeros((count, count), bool), overlaps)
    if count > COMPARED_BODIES:
        nest = replace(nest, holds=np.zeros((1, 1), bool))
        problems.append(message("note-bodies-not-compared", count=count))
        turn, twice = volume < 0, np.zeros(count, bool)
    else:
        nest = _compared(corners, np.r_[start, len(faces)], overlaps, slack)
        turn, twice = _turns(volume, nest.holds)
    if turn.any():
        problems.append(_of_bodies("note-bodies-turned", turn))
    hollow = nest.holds.any(axis=0) & ~twice if count <= COMPARED_BODIES else np.zeros(count, bool)
    if hollow.any():
        problems.append(_of_bodies("note-bodies-inside", hollow))
    faces = faces.copy()
    turned = turn[label]
    faces[turned] = faces[turned][:, ::-1]
    solid = (volume > 0) != turn
    if twice.any() or nest.overlaps:
        vertices, faces, notes = _united(vertices, faces, label, solid, twice, nest, place)
        problems += notes
    return Bodies(vertices, faces, count, tuple(problems))


def _piercing(piercing: Crossings, label: Ints, place: Place) -> dict[tuple[int, int], Floats]:
    """Pairs of bodies that pierce each other, with a point of each. Raises FaultError if a body pierces itself."""
    pairs = np.sort(label[piercing.facets].reshape(-1, 2), axis=1)
    own = pairs[:, 0] == pairs[:, 1]
    if own.any():
        where = place.at(piercing.places[own][0])
        raise FaultError(
            "",
            message("mesh-pierced", where=where),
        )
    overlaps: dict[tuple[int, int], Floats] = {}
    for (i, j), where in zip(pairs.tolist(), piercing.places, strict=True):
        overlaps.setdefault((i, j), where)
    return overlaps


def _compared(corners: Floats, cuts: Ints, overlaps: dict[tuple[int, int], Floats], slack: float) -> _Nest:
    """Compare bodies pair by pair: test whether facets of one lie inside the other.

    corners  (n, 3, 3) facets, sorted by body
    cuts     (count + 1,) index at which each body begins, and the end
    """
    start, count = cuts[:-1], len(cuts) - 1
    low = np.minimum.reduceat(corners.min(axis=1), start)
    high = np.maximum.reduceat(corners.max(axis=1), start)
    overlaps = dict(overlaps)
    holds = np.zeros((count, count), bool)
    meets = np.all((low[:, None] < high[None] - slack) & (low[None] < high[:, None] - slack), axis=2)
    np.fill_diagonal(meets, False)
    for outer, inner in np.argwhere(meets).tolist():
        pair = (min(outer, inner), max(outer, inner))
        if pair in overlaps:
            continue
        whole = corners[cuts[outer] : cuts[outer + 1]]
        probes = corners[cuts[inner] : cuts[inner + 1]].mean(axis=1)
        probes = probes[(probes > low[outer]).all(axis=1) & (probes < high[outer]).all(axis=1)]
        if not len(probes):
            continue
        # Half of the probes are spread over the body, half lie near the middle of the boxes' intersection.
        middle = (np.maximum(low[outer], low[inner]) + np.minimum(high[outer], high[inner])) / 2.0
        central = np.argsort(((probes - middle) ** 2).sum(axis=1))[: PROBES // 2]
        spread = np.linspace(0, len(probes) - 1, min(PROBES, len(probes))).astype(int)
        probes = probes[np.unique(np.r_[central, spread[:: 2 if len(probes) > PROBES else 1]])]
        # Sample on both sides: for a facet in the other body's surface the mean is a half.
        sides = slack * np.stack([_OBLIQUE, -_OBLIQUE])
        turns = np.array([abs(np.mean([winding_number(probe + side, whole) for side in sides])) for probe in probes])
        inside = turns > _INSIDE
        if not inside.any():
            # All probes on the surface: a duplicate of the same body.
            level = not (turns < 1.0 - _INSIDE).any()
            if (
                level
                and (np.abs(low[inner] - low[outer]) <= slack).all()
                and (high[inner] - high[outer] <= slack).all()
            ):
                overlaps[pair] = probes[0]
            continue
        boxed = (low[inner] >= low[outer] - slack).all() and (high[inner] <= high[outer] + slack).all()
        if boxed and not (turns < 1.0 - _INSIDE).any():
            holds[outer, inner] = True
        else:
            overlaps[pair] = probes[int(inside.argmax())]
    return _Nest(holds, overlaps)


def _united(
    vertices: Floats, faces: Ints, label: Ints, solid: Flags, twice: Flags, nest: _Nest, place: Place
) -> tuple[Floats, Ints, list[Message]]:
    """Unite overlapping bodies, after subtracting the cavities of each; return vertices, faces and notes."""
    count = len(solid)
    depth = nest.holds.sum(axis=0)
    home = np.arange(count)  # index of the body that a cavity belongs to, or the body's own
    for i in np.flatnonzero(~solid).tolist():
        around = np.flatnonzero(nest.holds[:, i]) if len(nest.holds) == count else np.empty(0, np.int64)
        if not len(around):
            raise FaultError("", message("mesh-hollow-outside", number=i + 1))
        home[i] = around[np.argmax(depth[around])]
    pairs = dict(nest.overlaps)
    for i in np.flatnonzero(twice).tolist():
        around = np.flatnonzero(nest.holds[:, i])
        pairs[(int(around[np.argmax(depth[around])]), i)] = vertices[faces[label == i][0]].mean(axis=0)
        for j in np.flatnonzero(nest.holds[i] & solid).tolist():
            pairs[(i, j)] = vertices[faces[label == j][0]].mean(axis=0)
    notes = []
    left, right = [], []
    for (i, j), where in pairs.items():
        if home[i] == home[j]:
            raise FaultError(
                "",
                message("mesh-hollow-breaks", number=max(i, j) + 1, where=place.at(where)),
            )
        left.append(int(home[i]))
        right.append(int(home[j]))
    group = components(count, np.array(left), np.array(right))
    for number in np.unique(group[left]).tolist():
        members = np.flatnonzero((group == number) & (home == np.arange(count))).tolist()
        parts = [_manifold(vertices, faces[np.isin(home[label], [i])], i) for i in members]
        whole = type(parts[0]).batch_boolean(parts, _add())
        shared = sum(part.volume() for part in parts) - whole.volume()
        mesh = whole.to_mesh64()
        within = np.isin(home[label], members)
        new = np.asarray(mesh.tri_verts, dtype=np.int64) + len(vertices)
        faces, label = (
            np.concatenate([faces[~within], new]),
            np.r_[label[~within], np.full(len(new), members[0])],
        )
        vertices = np.concatenate([vertices, np.asarray(mesh.vert_properties, dtype=np.float64)[:, :3]])
        where = next(at for (i, _), at in pairs.items() if group[home[i]] == number)
        numbers = _numbers([member + 1 for member in members])
        shared_m3 = float(shared) * place.unit_m**3
        notes.append(message("note-bodies-united", bodies=numbers, place=place.at(where), shared_m3=shared_m3))
    return vertices, faces, notes


def _manifold(vertices: Floats, faces: Ints, number: int) -> Any:
    from manifold3d import Error, Manifold, Mesh64

    used, renumbered = np.unique(faces, return_inverse=True)
    body = Manifold(Mesh64(np.ascontiguousarray(vertices[used]), renumbered.reshape(faces.shape).astype(np.uint64)))
    if body.status() != Error.NoError:
        raise FaultError(
            "",
            message("mesh-not-united", number=number + 1, status=body.status().name),
        )
    return body


def _add() -> Any:
    from manifold3d import OpType

    return OpType.Add


def _of_bodies(id: str, which: Flags) -> Message:
    """Note on the bodies where the mask is true."""
    numbers = (np.flatnonzero(which) + 1).tolist()
    return message(id, count=len(numbers), bodies=_numbers(numbers))


def _numbers(numbers: list[int]) -> Message | list[str]:
    """Numbers of bodies, shortened to the first five."""
    listed = [str(number) for number in numbers]
    return listed if len(listed) <= 5 else few(listed, 5)


def _turns(volume: Floats, holds: Flags) -> tuple[Flags, Flags]:
    """Masks (count,) of the bodies to reverse, and of nested bodies wound the same way as their container."""
    count = len(volume)
    depth = holds.sum(axis=0)
    turn, twice = np.zeros(count, bool), np.zeros(count, bool)
    sign = np.where(volume < 0, -1, 1)
    for i in np.argsort(depth, kind="stable"):
        around = np.flatnonzero(holds[:, i])
        if len(around) == 0:
            turn[i] = sign[i] < 0
            continue
        parent = around[np.argmax(depth[around])]
        now = -sign[parent] if turn[parent] else sign[parent]
        turn[i] = sign[i] == now if turn[parent] else sign[i] < 0 and now < 0
        twice[i] = now > 0 and (sign[i] > 0) != turn[i]
    return turn, twice
