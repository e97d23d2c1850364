"""Many plates with square openings and deeper strips as grids of cells: their cross-sections both ways, in columns.

A plan is cut by the sides of its openings and strips into cells of one depth. A row of cells across it is a section,
a run of cells in it without a gap or a step a part. The sums run over the parts in the order of `section_modulus`.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from estimator.constants import STANDARD_GRAVITY_M_S2
from geometry.arrays import Flags, Floats, Ints
from geometry.frozen import frozen

NEAR_M = 1e-9  # sides nearer than this are one to `stretches_of_slab`, and two to a grid
_SAME_M = 1e-6


@frozen(eq=False)
class Parts:
    """Rectangles of many sections: from y0 to y1 across, each (m, n, s), and their depth. A depth of 0 is padding."""

    y0: Floats
    y1: Floats
    depth: Floats

    def flat(self) -> tuple[Floats, Floats, Floats, Floats]:
        """Area, second moment, and modulus of the lower and the upper face, of sections that lie flat, (n, s)."""
        width, depth = self.y1 - self.y0, self.depth
        areas = width * depth
        area = _sum(areas)
        axis = _sum(areas * -depth / 2.0) / area
        off = -depth / 2.0 - axis
        second = _sum(width * (depth * depth * depth) / 12.0 + areas * (off * off))
        return area, second, second / (axis + depth.max(axis=0)), second / (0.0 - axis)

    def flat_modulus(self) -> Floats:
        """Least modulus lying flat, (n, s)."""
        _, _, low, high = self.flat()
        return np.asarray(np.minimum(low, high))

    def edge_modulus(self) -> Floats:
        """Least modulus standing on edge, (n, s)."""
        deep, width = self.y1 - self.y0, self.depth
        areas = width * deep
        axis = _sum(areas * (self.y0 + self.y1) / 2.0) / _sum(areas)
        off = (self.y0 + self.y1) / 2.0 - axis
        second = _sum(width * (deep * deep * deep) / 12.0 + areas * (off * off))
        low = np.where(self.depth > 0.0, self.y0, np.inf).min(axis=0)
        high = np.where(self.depth > 0.0, self.y1, -np.inf).max(axis=0)
        return np.asarray(np.minimum(second / (axis - low), second / (high - axis)))

    def within(self, low: Floats, high: Floats) -> Floats:
        """Material between two places across, (n, s); places (n, 1)."""
        return _sum(
            np.where(self.depth > 0.0, np.maximum(0.0, np.minimum(self.y1, high) - np.maximum(self.y0, low)), 0.0)
        )

    def clipped(self, low: Floats, high: Floats) -> Parts:
        """Parts between two places across, (n, 1); where there are none, all of the section."""
        y0, y1 = np.maximum(self.y0, low), np.minimum(self.y1, high)
        kept = (self.depth > 0.0) & (y1 - y0 > _SAME_M)
        some = kept.any(axis=0)
        y0, y1 = np.where(some, y0, self.y0), np.where(some, y1, self.y1)
        return Parts(y0, y1, np.where(kept | ~some, self.depth, 0.0))


def _sum(values: Floats) -> Floats:
    """Sum over the first axis, one after another."""
    total: Floats = values[0]
    for more in values[1:]:
        total = total + more
    return total


@frozen(eq=False)
class Cut:
    """Plates cut across one axis into stretches of one section each, for a density of one.

    places     (n, s + 1) where stretches begin and end; some have no length
    n_per_m    (n, s) weight; of one without length that of the stretch before
    parts      of the sections
    flat_m3    (n, s) least modulus lying flat
    """

    places: Floats
    n_per_m: Floats
    parts: Parts
    flat_m3: Floats

    @property
    def lengths(self) -> Floats:
        return np.diff(self.places, axis=1)

    @property
    def real(self) -> Flags:
        """Stretches that have a length, (n, s)."""
        return self.lengths > 0.0

    def scale_to(self, weight_kg: Floats) -> Floats:
        """Factor (n, 1) on the weights by which the stretches weigh together what the pieces weigh."""
        total = np.zeros(len(self.places))
        for n_per_m, length in zip(self.n_per_m.T, self.lengths.T, strict=True):
            total = total + n_per_m * length
        return (weight_kg * STANDARD_GRAVITY_M_S2 / total)[:, None]


@dataclass(frozen=True)
class Grids:
    """Plates in columns: along and across, m.

    size_m       (n, 2) along and across
    thickness_m  (n,)
    openings     (n, k, 4): from (along, across) to (along, across)
    strips       (n, d, 5): the same, and the depth
    """

    size_m: Floats
    thickness_m: Floats
    openings: Floats
    strips: Floats

    def some(self, rows: Ints | Flags) -> Grids:
        """The plates of some rows."""
        return Grids(self.size_m[rows], self.thickness_m[rows], self.openings[rows], self.strips[rows])

    @cached_property
    def places(self) -> tuple[Floats, Floats]:
        """Sides of cells along and across, (n, ...), in order."""
        ends = np.stack([np.zeros_like(self.size_m), self.size_m], axis=1)
        along, across = (
            np.sort(
                np.concatenate(
                    [ends[:, :, axis], *(box[:, :, [axis, axis + 2]].reshape(len(box), -1) for box in self._boxes)],
                    axis=1,
                ),
                axis=1,
            )
            for axis in (0, 1)
        )
        return along, across

    @property
    def _boxes(self) -> tuple[Floats, Floats]:
        return self.openings, self.strips

    @property
    def crowded(self) -> Flags:
        """Plates of which two sides lie nearer than is told apart elsewhere, (n,)."""
        gaps = [np.diff(places, axis=1) for places in self.places]
        return np.asarray(np.any([((gap > 0.0) & (gap < 2.0 * NEAR_M)).any(axis=1) for gap in gaps], axis=0))

    @cached_property
    def along(self) -> Cut:
        """Cut into sections along the length."""
        return self._cut(0)

    @cached_property
    def across(self) -> Cut:
        """Cut into sections across the width."""
        return self._cut(1)

    def _cut(self, axis: int) -> Cut:
        places, sides = self.places[axis], self.places[1 - axis]
        middle = (places[:, :-1] + places[:, 1:]) / 2.0
        parts = self._parts(axis, middle, sides)
        area = _sum(np.where(parts.depth > 0.0, (parts.y1 - parts.y0) * parts.depth, 0.0))
        n_per_m = area * STANDARD_GRAVITY_M_S2
        before = np.zeros(len(places))
        for i, length in enumerate(np.diff(places, axis=1).T):
            before = n_per_m[:, i] = np.where(length > 0.0, n_per_m[:, i], before)
        return Cut(places, n_per_m, parts, parts.flat_modulus())

    def _parts(self, axis: int, stations: Floats, sides: Floats) -> Parts:
        """Parts of the sections at stations (n, s): runs of cells between the sides (n, c + 1)."""
        depths, steps = self._depths(axis, stations, sides)
        none = np.zeros(stations.shape)
        begun, ended, deep = none, none, none  # of the part that is open
        parts: list[tuple[Floats, Floats, Floats]] = []
        for cell, (depth, step) in enumerate(zip(depths, steps, strict=True)):
            low, high = sides[:, cell, None], sides[:, cell + 1, None]
            wide = high > low
            on = ~wide | ((deep == depth) & ((depth == 0.0) | ~step))
            if cell:
                parts.append((begun, ended, np.where(on, 0.0, deep)))
            begun = np.where(on & (cell > 0), begun, low)
            ended = np.where(wide, high, ended)
            deep = np.where(wide, depth, deep)
        parts.append((begun, ended, deep))
        y0, y1, depth = (np.array(column) for column in zip(*parts, strict=True))
        return Parts(y0, y1, depth)

    def _depths(self, axis: int, stations: Floats, sides: Floats) -> tuple[Floats, Flags]:
        """Depth of each cell, 0 in an opening, and whether the side of a strip starts it; each (c, n, s)."""
        middles = (sides[:, :-1] + sides[:, 1:]).T[:, :, None] / 2.0
        starts = sides[:, :-1].T[:, :, None]
        depth = np.broadcast_to(self.thickness_m[:, None], (len(middles), *stations.shape)).copy()
        step = np.zeros(depth.shape, dtype=bool)
        for number in range(self.strips.shape[1]):
            box, height = self.strips[:, number, :4], self.strips[:, number, 4:]
            crossed = (box[:, axis, None] <= stations) & (stations <= box[:, axis + 2, None])
            low, high = box[:, 1 - axis, None], box[:, 3 - axis, None]
            within = crossed & (low <= middles) & (middles <= high)
            depth = np.where(within, np.maximum(depth, height), depth)
            step |= crossed & ((starts == low) | (starts == high))
        for number in range(self.openings.shape[1]):
            box = self.openings[:, number]
            crossed = (box[:, axis, None] < stations) & (stations < box[:, axis + 2, None])
            depth[crossed & (box[:, 1 - axis, None] < middles) & (middles < box[:, 3 - axis, None])] = 0.0
        return depth, step
