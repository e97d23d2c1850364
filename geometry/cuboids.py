"""Many bodies at once that are sums of signed cuboids: boxes, and plates with bands along their sides."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from geometry.arcs import Floats
from geometry.topology import Flags


@dataclass(frozen=True, slots=True, eq=False)
class Sums:
    """∫dV (n,), ∫x dV (n, 3) and ∫x·xᵀ dV (n, 3, 3) of many bodies."""

    volume: Floats
    first: Floats
    second: Floats

    def __add__(self, other: Sums) -> Sums:
        return Sums(self.volume + other.volume, self.first + other.first, self.second + other.second)

    def __sub__(self, other: Sums) -> Sums:
        return Sums(self.volume - other.volume, self.first - other.first, self.second - other.second)

    def centroids(self) -> Floats:
        with np.errstate(invalid="ignore", divide="ignore"):
            middle: Floats = self.first / self.volume[:, None]
        return middle

    def inertia(self) -> Floats:
        with np.errstate(invalid="ignore", divide="ignore"):
            about = self.second - self.first[:, :, None] * self.first[:, None, :] / self.volume[:, None, None]
        tensors: Floats = np.trace(about, axis1=1, axis2=2)[:, None, None] * np.eye(3) - about
        return tensors


def cuboids(x0: Floats, x1: Floats, y0: Floats, y1: Floats, z0: Floats, z1: Floats) -> Sums:
    """Cuboids by their faces; one with a side of no or negative length counts nothing."""
    low = np.stack(np.broadcast_arrays(x0, y0, z0), axis=1)
    sides = np.maximum(np.stack(np.broadcast_arrays(x1, y1, z1), axis=1) - low, 0.0)
    middle, volume = low + sides / 2, sides.prod(axis=1)
    second = middle[:, :, None] * middle[:, None, :]
    second[:, range(3), range(3)] += sides**2 / 12
    return Sums(volume, volume[:, None] * middle, volume[:, None, None] * second)


@dataclass(frozen=True, slots=True, eq=False)
class Plates:
    """Plates seen from their face, and bands behind them along the sides y = 0, y = width, x = 0, x = length.

    deep, thick  (n, 4) depth from the face and thickness of the bands, 0 for none
    """

    length: Floats
    width: Floats
    plate: Floats
    deep: Floats
    thick: Floats

    @property
    def height(self) -> Floats:
        height: Floats = np.maximum(self.plate, self.deep.max(axis=1))
        return height

    @property
    def sound(self) -> Flags:
        dimensions = np.stack([self.length, self.width, self.plate], axis=1)
        good = np.isfinite(dimensions).all(axis=1) & (dimensions > 0).all(axis=1)
        has = self.deep > 0
        good &= np.isfinite(self.deep).all(axis=1) & np.isfinite(self.thick).all(axis=1)
        good &= (~has | ((self.deep >= self.plate[:, None]) & (self.thick > 0))).all(axis=1)
        across = self.thick[:, :2].sum(axis=1) < self.width
        sound: Flags = good & across & (self.thick[:, 2:].sum(axis=1) < self.length)
        return sound

    def zones(self) -> list[tuple[Floats, Floats, Floats]]:
        """Start and end of up to four ranges of depth behind the plate, and the thickness (n, 4) of bands there."""
        ends = np.sort(np.maximum(self.deep, self.plate[:, None]), axis=1)
        starts = np.concatenate([self.plate[:, None], ends[:, :-1]], axis=1)
        found = []
        for k in range(4):
            here = self.deep >= ends[:, k, None]
            found.append((starts[:, k], ends[:, k], np.where(here & (self.deep > self.plate[:, None]), self.thick, 0)))
        return found

    def sums(self, inset: Floats, start: Floats) -> Sums:
        """Integrals by depth, with (n, 4) taken off the sides and all above a depth left out."""
        x0, x1 = inset[:, 2], self.length - inset[:, 3]
        y0, y1 = inset[:, 0], self.width - inset[:, 1]
        whole = cuboids(x0, x1, y0, y1, start, self.plate)
        for low, high, thick in self.zones():
            inner = np.maximum(thick, inset)
            whole = whole + cuboids(x0, x1, y0, y1, low, high)
            whole = whole - cuboids(
                inner[:, 2], self.length - inner[:, 3], inner[:, 0], self.width - inner[:, 1], low, high
            )
        return whole

    def walls(self) -> tuple[Floats, Floats]:
        """Area of the outer and the inner upright faces behind the plate."""
        outer, inner = np.zeros(len(self.length)), np.zeros(len(self.length))
        for low, high, thick in self.zones():
            y_sides, x_sides = thick[:, :2].sum(axis=1), thick[:, 2:].sum(axis=1)
            across = np.stack([self.length, self.length, self.width, self.width], axis=1)
            ends = np.stack([x_sides, x_sides, y_sides, y_sides], axis=1)
            here = thick > 0
            outer += (high - low) * np.where(here, across, ends).sum(axis=1)
            inner += (high - low) * np.where(here, across - ends, 0.0).sum(axis=1)
        return outer, inner


def from_below(sums: Sums, height: Floats) -> Sums:
    """Integrals by depth below the top as integrals by height above the lowest point."""
    flip = np.diag([1.0, 1.0, -1.0])
    lift = np.stack([np.zeros_like(height), np.zeros_like(height), height], axis=1)
    first = sums.first @ flip
    cross = first[:, :, None] * lift[:, None, :]
    second = flip @ sums.second @ flip + cross + cross.transpose(0, 2, 1)
    second += sums.volume[:, None, None] * lift[:, :, None] * lift[:, None, :]
    return Sums(sums.volume, first + sums.volume[:, None] * lift, second)
