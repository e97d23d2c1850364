"""Openings of many slabs and panels in columns: rectangles, with sharp or rounded corners, and circles.

Each opening is symmetric about its center, so its area and two second moments give all its integrals. Openings that
meet an edge, a drop, a rim or another opening are left to `geometry.slices`.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import pi

import numpy as np

from geometry.arrays import Flags, Floats, Ints
from geometry.cutouts import Cutout
from geometry.frozen import frozen
from geometry.plane import SHARP_M
from geometry.sums import Sums

CLEAR_M = 1e-6
"""Faces closer than this may touch; `geometry.slices` decides."""


QUARTER_ROUND = pi / 4, 1 / 3, pi / 16
"""Area, ∬x and ∬x² of a quarter of the unit circle. A layer follows a sharp corner as a rounded one of radius 0."""


@frozen(eq=False)
class Openings:
    """Openings of n slabs or panels; arrays (m,) unless stated otherwise, lengths in m.

    row       index of the plate
    center    (m, 2) center
    half      (m, 2) half sizes along x and y
    radius    corner radius; the radius of a circle
    finished  whether the edge is finished
    finish    depth below the top to which it is finished
    rim       (m, 2) thickness from the top and width of a thickened rim; zeros if there is none
    """

    plates: int
    row: Ints
    center: Floats
    half: Floats
    radius: Floats
    finished: Flags
    finish: Floats
    rim: Floats

    @classmethod
    def of(cls, cutouts: Sequence[Sequence[Cutout]]) -> Openings:
        """Openings for the cut-outs of each plate, all of which have `Cutout.rounded`."""
        rows: list[int] = []
        figures: list[tuple[float, ...]] = []
        for row, own in enumerate(cutouts):
            for cutout in own:
                rows.append(row)
                figures.append(
                    (
                        *(cutout.rounded or ()),
                        cutout.edge == "finished",
                        np.inf if cutout.depth_m is None else cutout.depth_m,
                        cutout.rim_thickness_m or 0.0,
                        cutout.rim_width_m or 0.0,
                    )
                )
        figure = np.array(figures, dtype=np.float64).reshape(-1, 9)
        radius = np.where(figure[:, 4] < SHARP_M, np.minimum(figure[:, 4], 0.0), figure[:, 4])
        return cls(
            plates=len(cutouts),
            row=np.array(rows, dtype=np.int64),
            center=figure[:, :2],
            half=figure[:, 2:4],
            radius=radius,
            finished=figure[:, 5] > 0,
            finish=figure[:, 6],
            rim=figure[:, 7:],
        )

    def per_plate(self, figures: Floats) -> Floats:
        """Sums (n,) over each plate of a figure (m,) per opening."""
        sums: Floats = np.bincount(self.row, weights=figures, minlength=self.plates).astype(np.float64)
        return sums

    @property
    def perimeter(self) -> Floats:
        perimeter: Floats = 4 * self.half.sum(axis=1) - (8 - 2 * pi) * self.radius
        return perimeter

    def depth(self, thickness: Floats) -> Floats:
        """Depth (m,) of each opening, including its rim; thickness (n,) of the plates."""
        deep: Floats = np.maximum(thickness[self.row], self.rim[:, 0])
        return deep

    def areas(self) -> Floats:
        """Area (m,) of each opening."""
        area: Floats = self._plane(np.zeros(len(self.row)))[0]
        return area

    def deepest(self) -> Floats:
        """Thickness (n,) of each plate's thickest rim, from the top; 0 if it has none."""
        deepest = np.zeros(self.plates)
        np.maximum.at(deepest, self.row, self.rim[:, 0])
        return deepest

    def faces(self, thickness: Floats) -> tuple[Floats, Floats, Floats]:
        """Areas (n,) of the edges of openings, of their finished parts, and of the outer faces of rims."""
        deep, perimeter = self.depth(thickness), self.perimeter
        seen = np.where(self.finished, perimeter * np.minimum(self.finish, deep), 0.0)
        rims = 4 * (self.half + self.rim[:, 1:]).sum(axis=1) * (deep - thickness[self.row])
        return self.per_plate(perimeter * deep), self.per_plate(seen), self.per_plate(rims)

    def edge_lengths(self) -> dict[str, Floats]:
        """Lengths (n,) of the edges of openings by name, as slabs and as panels name them, and of finished edges."""
        every, finished = self.per_plate(self.perimeter), self.per_plate(np.where(self.finished, self.perimeter, 0.0))
        return {"cutouts": every, "openings": every, "finished_cutouts": finished}

    def taken(self, thickness: Floats, reach: Floats, grown: Floats) -> Sums:
        """Integrals of the material removed by openings below the depth `reach` (n,), less that added by rims.

        grown  (n,) thickness of the layers around each opening
        """
        top, deep = thickness[self.row], self.depth(thickness)
        hole = self._prisms(self._plane(grown[self.row]), reach[self.row], deep)
        sides = 2 * (self.half + self.rim[:, 1:])
        area = sides.prod(axis=1)
        rim = self._prisms(np.stack([area, area * sides[:, 0] ** 2 / 12, area * sides[:, 1] ** 2 / 12]), top, deep)
        return hole - rim

    def _plane(self, grown: Floats) -> Floats:
        """Area, ∬x² and ∬y² about its center, (3, m), of each opening grown by `grown` (m,)."""
        area, first, second = QUARTER_ROUND
        half, radius = self.half + grown[:, None], self.radius + grown
        a, e = half, half - radius[:, None]
        whole = 4 * half.prod(axis=1)
        r = radius[:, None]
        corner = r * (a**3 - e**3) / 3 - r**2 * (e**2 * area + 2 * e * r * first + r**2 * second)
        seconds = whole[:, None] * a**2 / 3 - 4 * corner
        return np.stack([whole - 4 * radius**2 * (1 - area), seconds[:, 0], seconds[:, 1]])

    def _prisms(self, plane: Floats, start: Floats, end: Floats) -> Sums:
        """Integrals per plate of prisms over plane areas (3, m) about the centers, between two depths (m,)."""
        area, xx, yy = plane
        height = np.maximum(end - start, 0.0)
        middle = np.column_stack([self.center, start + height / 2])
        volume = area * height
        second = volume[:, None, None] * middle[:, :, None] * middle[:, None, :]
        second[:, range(3), range(3)] += np.column_stack([xx * height, yy * height, volume * height**2 / 12])
        figures = np.column_stack([volume, volume[:, None] * middle, second.reshape(-1, 9)])
        sums = np.zeros((self.plates, 13))
        np.add.at(sums, self.row, figures)
        return Sums(sums[:, 0], sums[:, 1:4], sums[:, 4:].reshape(-1, 3, 3))

    def sound(self, size: Floats, thickness: Floats, height: Floats, bands: Floats, reach: Floats) -> Flags:
        """Mask (n,) of the plates whose openings are valid and clear of edges, bands and each other.

        size       (n, 2) length and width
        thickness  (n,) thickness of the plate
        height     (n,) overall height
        bands      (n, 4) thickness of the bands at low y, high y, low x and high x
        reach      (n,) depth of the deepest joint between layers, which also counts from the edges of openings
        """
        figures = np.column_stack([self.center, self.half, self.radius, self.rim])
        rims = self.rim[:, 0] > 0.0
        good = np.isfinite(figures).all(axis=1) & (self.half > 0).all(axis=1) & (self.radius >= 0)
        good &= (self.radius <= self.half.min(axis=1)) & (self.finish > 0)
        good &= np.isinf(self.finish) | (self.finish <= height[self.row])
        good &= rims == (self.rim[:, 1] > 0.0)
        near = reach[self.row]
        good &= ~rims | ((self.radius == 0.0) & (self.rim[:, 0] >= thickness[self.row]))
        good &= ~rims | (self.rim[:, 1] > near + CLEAR_M)
        low, high = self.center - self.half, self.center + self.half
        edges, drop = size[self.row], bands[self.row]
        gaps = np.concatenate([low, edges - high], axis=1)  # to x = 0, y = 0, length, width
        inner = drop[:, [2, 0, 3, 1]]
        dropped = inner > 0.0
        around = self.rim[:, 1:]
        good &= (gaps > (2 * near + CLEAR_M)[:, None]).all(axis=1)
        good &= (gaps - around > (near + CLEAR_M)[:, None]).all(axis=1)
        good &= (~dropped | (gaps - inner > (near + CLEAR_M)[:, None])).all(axis=1)
        good &= (~dropped | (gaps - inner - around > CLEAR_M)).all(axis=1)
        sound = np.ones(self.plates, dtype=bool)
        sound[self.row[~good]] = False
        sound[self._crowded(low, high, near)] = False
        return sound

    def _crowded(self, low: Floats, high: Floats, near: Floats) -> Ints:
        """Indices of plates with two openings so close that their layers or rims meet."""
        crowded = []
        for step in range(1, int(np.bincount(self.row, minlength=1).max())):
            i = np.flatnonzero(self.row[:-step] == self.row[step:])
            j = i + step
            gap = np.maximum(low[j] - high[i], low[i] - high[j]).max(axis=1)
            first, second = self.rim[i, 1], self.rim[j, 1]
            apart = (gap > 2 * near[i] + CLEAR_M) & (gap - first - second > CLEAR_M)
            apart &= gap - np.maximum(first, second) > near[i] + CLEAR_M
            crowded.append(self.row[i[~apart]])
        return np.concatenate([np.zeros(0, dtype=np.int64), *crowded])
