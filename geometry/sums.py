"""Volume integrals of many bodies, one row per body."""

from __future__ import annotations

import numpy as np

from geometry.arrays import Floats
from geometry.frozen import frozen


@frozen(eq=False)
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
    """Volume integrals of cuboids given by their faces; 0 for a cuboid with a side of zero or negative length."""
    low = np.stack(np.broadcast_arrays(x0, y0, z0), axis=1)
    sides = np.maximum(np.stack(np.broadcast_arrays(x1, y1, z1), axis=1) - low, 0.0)
    middle, volume = low + sides / 2, sides.prod(axis=1)
    second = middle[:, :, None] * middle[:, None, :]
    second[:, range(3), range(3)] += sides**2 / 12
    return Sums(volume, volume[:, None] * middle, volume[:, None, None] * second)
