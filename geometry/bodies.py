"""The bodies of a closed mesh: which are inside out, which lie in another, which may overlap."""

from dataclasses import dataclass

import numpy as np

from geometry.facets import Floats
from geometry.topology import Flags, Ints

COMPARED_BODIES = 2000
"""Up to so many bodies each is compared with each."""


@dataclass(frozen=True, slots=True, eq=False)
class Bodies:
    """Bodies set right: the faces with whole bodies turned where they were inside out, and what is to be said."""

    faces: Ints
    count: int
    problems: tuple[str, ...]


def set_right(vertices: Floats, faces: Ints, label: Ints) -> Bodies:
    """Turn the bodies that are inside out and name those that lie in, or may overlap, another.

    label  (n,) which body each facet belongs to; each body is closed and wound alike all over

    A body that lies in another is a hollow of it where it is wound the other way, as it stands in a sound file.
    Inside a body that had to be turned, a body becomes a hollow, or solid again inside a hollow.
    """
    count = int(label.max()) + 1
    order = np.argsort(label, kind="stable")
    start = np.searchsorted(label[order], np.arange(count))
    corners = vertices[faces[order]]
    low = np.minimum.reduceat(corners.min(axis=1), start)
    high = np.maximum.reduceat(corners.max(axis=1), start)
    centred = corners - vertices.mean(axis=0)
    a, b, c = centred[:, 0], centred[:, 1], centred[:, 2]
    volume = np.add.reduceat(np.einsum("ij,ij->i", a, np.cross(b, c)), start) / 6.0
    problems: list[str] = []
    slack = 1e-6 * float(np.linalg.norm(high.max(axis=0) - low.min(axis=0)))
    holds = np.zeros((count, count), bool)
    if count <= COMPARED_BODIES:
        meets = np.all((low[:, None] < high[None] - slack) & (low[None] < high[:, None] - slack), axis=2)
        boxed = np.all((low[:, None] <= low[None] + slack) & (high[:, None] >= high[None] - slack), axis=2)
        np.fill_diagonal(meets, False)
        np.fill_diagonal(boxed, False)
        ends = np.r_[start[1:], len(faces)]
        for outer, inner in np.argwhere(boxed & meets):
            probes = corners[start[inner] : ends[inner]].mean(axis=1)
            probes = probes[np.linspace(0, len(probes) - 1, min(5, len(probes))).astype(int)]
            turns = [abs(winding_number(p, corners[start[outer] : ends[outer]])) for p in probes]
            holds[outer, inner] = np.median(turns) > 0.5
        apart = np.argwhere(np.triu(meets & ~holds & ~holds.T))
        if len(apart):
            i, j = apart[0] + 1
            more = f" and {len(apart) - 1} more pairs" if len(apart) > 1 else ""
            problems.append(
                f"the boxes of bodies {i} and {j}{more} overlap: where the bodies do too, volume is counted twice"
            )
    else:
        problems.append(f"{count:,} bodies were not compared for lying in or overlapping each other")
    turn, twice = _turns(volume, holds)
    if turn.any():
        problems.append(f"{_bodies(turn)}: inside out, turned")
    hollow = holds.any(axis=0) & ~twice
    if hollow.any():
        problems.append(f"{_bodies(hollow)}: inside another body, taken as its hollow or as an island in one")
    if twice.any():
        problems.append(f"{_bodies(twice)}: inside another body and wound alike, so this volume is counted twice")
    faces = faces.copy()
    turned = turn[label]
    faces[turned] = faces[turned][:, ::-1]
    return Bodies(faces, count, tuple(problems))


def _bodies(which: Flags) -> str:
    found = np.flatnonzero(which) + 1
    names = ", ".join(map(str, found[:5])) + (f" and {len(found) - 5} more" if len(found) > 5 else "")
    return f"body {names}" if len(found) == 1 else f"bodies {names}"


def _turns(volume: Floats, holds: Flags) -> tuple[Flags, Flags]:
    """Which bodies to turn, and which are counted twice inside another."""
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


def winding_number(point: Floats, corners: Floats) -> float:
    """How often the facets (n, 3, 3) wind round a point: 1 inside a closed surface, 0 outside.

    Source: solid angle of a triangle, tan(Ω/2) = a·(b × c) / (abc + (a·b)c + (b·c)a + (c·a)b), first principles.
    """
    a, b, c = np.moveaxis(corners - point, 1, 0)
    la, lb, lc = (np.linalg.norm(v, axis=1) for v in (a, b, c))
    triple = np.einsum("ij,ij->i", a, np.cross(b, c))
    dots = [np.einsum("ij,ij->i", u, v) for u, v in ((a, b), (b, c), (c, a))]
    return float(np.arctan2(triple, la * lb * lc + dots[0] * lc + dots[1] * la + dots[2] * lb).sum() / (2 * np.pi))
