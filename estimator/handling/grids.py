"""Cross-sections, in columns, of many plates with rectangular openings and deeper strips.

The sides of openings and strips divide a plan into a grid of cells of one depth each. A row of cells across the plan is
a section, and a run of cells without a gap or a step is a part of it. Parts are summed in the order of
`section_modulus`.

"""

from __future__ import annotations

from functools import cached_property

import numpy as np

from estimator.constants import STANDARD_GRAVITY_M_S2
from geometry.arrays import Flags, Floats, Ints
from geometry.frozen import frozen

NEAR_M = 1e-9  # closer sides are merged by `stretches_of_slab`, but not by a grid
_SAME_M = 1e-6


@frozen(eq=False)
class Parts:
    """Rectangles of many sections: y0, y1 across and depth, each (m, n, s). A depth of 0 is padding."""

    y0: Floats
    y1: Floats
    depth: Floats

    def flat(self) -> tuple[Floats, Floats, Floats, Floats]:
        """Area, second moment, and moduli of the lower and upper face, of sections lying flat, each (n, s)."""
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
        """Width (n, s) of material between two positions across, (n, 1) each."""
        return _sum(
            np.where(self.depth > 0.0, np.maximum(0.0, np.minimum(self.y1, high) - np.maximum(self.y0, low)), 0.0)
        )

    def clipped(self, low: Floats, high: Floats) -> Parts:
        """Parts between two positions across, (n, 1) each; without positions the whole section."""
        y0, y1 = np.maximum(self.y0, low), np.minimum(self.y1, high)
        kept = (self.depth > 0.0) & (y1 - y0 > _SAME_M)
        any_left = kept.any(axis=0)
        y0, y1 = np.where(any_left, y0, self.y0), np.where(any_left, y1, self.y1)
        return Parts(y0, y1, np.where(kept | ~any_left, self.depth, 0.0))


def _sum(values: Floats) -> Floats:
    """Sum over the first axis, term by term."""
    total: Floats = values[0]
    for value in values[1:]:
        total = total + value
    return total


@frozen(eq=False)
class Cut:
    """Plates divided along one axis into stretches of constant section, for unit density.

    places     (n, s + 1) ends of the stretches; some have zero length
    n_per_m    (n, s) weight; a stretch of zero length has that of the stretch before
    parts      parts of the sections
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
        """Mask (n, s) of the stretches of nonzero length."""
        return self.lengths > 0.0

    def scale_to(self, weight_kg: Floats) -> Floats:
        """Factor (n, 1) that scales the weights of the stretches to the weights of the pieces."""
        total = np.zeros(len(self.places))
        for n_per_m, length in zip(self.n_per_m.T, self.lengths.T, strict=True):
            total = total + n_per_m * length
        return (weight_kg * STANDARD_GRAVITY_M_S2 / total)[:, None]


@frozen(slots=False)
class Grids:
    """Plates in columns, m.

    size_m       (n, 2) along and across
    thickness_m  (n,)
    openings     (n, k, 4): corners (along, across) and (along, across)
    strips       (n, d, 5): the same, and depth
    """

    size_m: Floats
    thickness_m: Floats
    openings: Floats
    strips: Floats

    def some(self, rows: Ints | Flags) -> Grids:
        """Plates of the given rows."""
        return Grids(self.size_m[rows], self.thickness_m[rows], self.openings[rows], self.strips[rows])

    @cached_property
    def places(self) -> tuple[Floats, Floats]:
        """Positions of the cell sides along and across, (n, ...), ascending."""
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
        """Mask (n,) of plates with two sides closer than the resolution of other modules."""
        gaps = [np.diff(places, axis=1) for places in self.places]
        return np.asarray(np.any([((gap > 0.0) & (gap < 2.0 * NEAR_M)).any(axis=1) for gap in gaps], axis=0))

    @cached_property
    def along(self) -> Cut:
        """Stretches along the length."""
        return self._cut(0)

    @cached_property
    def across(self) -> Cut:
        """Stretches across the width."""
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
        """Parts of the sections at stations (n, s), as runs of cells between sides (n, c + 1)."""
        depths, steps = self._depths(axis, stations, sides)
        none = np.zeros(stations.shape)
        begun, ended, deep = none, none, none  # of the current part
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
        """Depth of each cell, 0 in an opening, and whether it starts at the side of a strip; each (c, n, s)."""
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
