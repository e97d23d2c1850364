"""Straight edges and curves of a polygonal ring; each takes one form board or one former."""

from __future__ import annotations

from math import hypot, radians

import numpy as np

from geometry.arrays import Flags, Floats
from geometry.frozen import frozen
from geometry.slices import SAME_M

CURVED_DEG = 20.0
"""Three or more edges of similar length that turn by less than this form a curve."""

ROUND = 0.05


@frozen(eq=False)
class Run:
    """A straight edge or a curve of a ring with the concrete on its left."""

    points: Floats  # (n, 2); n = 2 for a straight edge
    turns: float  # total turn, radians; positive where the concrete is convex

    @property
    def straight(self) -> bool:
        return len(self.points) == 2

    @property
    def first(self) -> Floats:
        """Unit vector at its start."""
        return unit_of(self.points[1] - self.points[0])

    @property
    def last(self) -> Floats:
        return unit_of(self.points[-1] - self.points[-2])

    @property
    def length_m(self) -> float:
        return float(np.hypot(*np.diff(self.points, axis=0).T).sum())

    @property
    def radius_m(self) -> float | None:
        """Radius of a curve whose radius is constant within `ROUND`; None for other curves and straight edges."""
        if self.straight:
            return None
        radius = self.length_m / max(abs(self.turns), 1e-9)
        way = np.diff(self.points, axis=0)
        length = np.hypot(*way.T)
        turn = np.arctan2(way[:-1, 0] * way[1:, 1] - way[:-1, 1] * way[1:, 0], (way[:-1] * way[1:]).sum(axis=1))
        local = (length[1:] + length[:-1]) / 2 / np.maximum(np.abs(turn), 1e-9)
        return radius if len(local) and np.abs(local[1:-1] / radius - 1.0).max(initial=0.0) < ROUND else None


def unit_of(vector: Floats) -> Floats:
    unit: Floats = vector / hypot(*vector.tolist())
    return unit


def right_of(vector: Floats) -> Floats:
    return np.array([vector[1], -vector[0]])


def angle_between(before: Floats, after: Floats) -> float:
    """Angle from one unit vector to the next, radians, positive to the left."""
    return float(np.arctan2(before[0] * after[1] - before[1] * after[0], before @ after))


def runs_of(ring: Floats) -> list[Run]:
    """Straight edges and curves of a closed ring (n, 2), whose first point is not repeated."""
    points = _without_collinear(ring)
    n = len(points)
    length, turn = _steps(points)
    gentle, bent = _bent(length, turn)
    joined = joined_steps(length, turn)
    if joined.all():
        half = n // 2
        parts = [list(range(half)), list(range(half, n))]
    else:
        start = int(np.argmin(joined))
        parts = []
        for k in range(n):
            i = (start + k) % n
            if joined[i]:
                parts[-1].append(i)
            else:
                parts.append([i])
    runs = []
    for part in parts:
        if len(part) < 3:
            runs += [Run(points[[i, (i + 1) % n]], 0.0) for i in part]
            continue
        beyond = (part[-1] + 1) % n
        inner = sum(float(turn[i]) for i in part[1:])
        mean = inner / (len(part) - 1)
        # Where a curve runs into a straight edge, the full turn is the curve's; at other ends, half a step.
        own = [
            float(turn[i]) if gentle[i] and not bent[beside] else mean / 2
            for i, beside in ((part[0], part[0] - 1), (beyond, beyond))
        ]
        runs.append(Run(points[np.array([*part, beyond])], inner + sum(own)))
    return runs


def joined_steps(length: Floats, turn: Floats) -> Flags:
    """Mask (n,) of the edges of a ring that continue a curve from the edge before.

    length  (n,) length of each edge
    turn    (n,) left turn at the start of each edge, radians
    """
    gentle, bent = _bent(length, turn)
    joined: Flags = gentle & bent & np.roll(bent, 1)
    joined &= ~np.roll(joined, 1) | (turn * np.roll(turn, 1) >= 0)  # a curve turns in one direction
    return joined


def _bent(length: Floats, turn: Floats) -> tuple[Flags, Flags]:
    """Masks (n,) of edges that turn little at their start, and of edges not much longer than their smooth neighbors."""
    gentle = np.abs(turn) < radians(CURVED_DEG)
    before = np.where(gentle, np.roll(length, 1), np.inf)
    after = np.where(np.roll(gentle, -1), np.roll(length, -1), np.inf)
    nearest = np.minimum(before, after)
    return gentle, np.isfinite(nearest) & (length <= 3.0 * nearest)


def _without_collinear(ring: Floats) -> Floats:
    ring = ring[np.hypot(*(ring - np.roll(ring, 1, axis=0)).T) > SAME_M]
    return ring[np.abs(_steps(ring)[1]) > 1e-5]


def _steps(points: Floats) -> tuple[Floats, Floats]:
    """Length of the edge from each point of a ring to the next, and the left turn at the point, radians."""
    along = np.roll(points, -1, axis=0) - points
    before = np.roll(along, 1, axis=0)
    turn = np.arctan2(before[:, 0] * along[:, 1] - before[:, 1] * along[:, 0], (before * along).sum(axis=1))
    return np.hypot(*along.T), turn
