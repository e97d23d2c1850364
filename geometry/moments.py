"""Volume integrals of a body, which add up over its parts, and the balance read from them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
Vector = tuple[float, float, float]
Tensor = tuple[Vector, Vector, Vector]

GAUSS_4 = np.polynomial.legendre.leggauss(4)
"""Four points: exact for polynomials of degree 7, so for every integral below over a body with plane faces."""

_SMOOTH = {points: np.polynomial.legendre.leggauss(points) for points in (8, 24)}


@dataclass(frozen=True, slots=True, eq=False)
class Moments:
    """∫dV, ∫x dV and ∫x·xᵀ dV about the origin of the axes.

    volume_m3  scalar
    first_m4   (3,)
    second_m5  (3, 3), symmetric
    """

    volume_m3: float
    first_m4: Floats
    second_m5: Floats

    @classmethod
    def zero(cls) -> Moments:
        return cls(0.0, np.zeros(3), np.zeros((3, 3)))

    @classmethod
    def of_slice(cls, plane: ArrayLike, heights: ArrayLike, weights: ArrayLike) -> Moments:
        """A body from level slices.

        plane    (n, 6) or (6,): area, ∬x, ∬y, ∬x², ∬y², ∬xy of the slice
        heights  (n,) z of the slices, m
        weights  (n,) their share of the height, m
        """
        p = np.broadcast_to(np.asarray(plane, dtype=np.float64), (len(np.asarray(heights)), 6))
        z, w = np.asarray(heights, dtype=np.float64), np.asarray(weights, dtype=np.float64)
        area, x, y, xx, yy, xy = w @ p
        z_area, xz, yz = (w * z) @ p[:, :3]
        zz = float((w * z * z) @ p[:, 0])
        return cls(float(area), np.array([x, y, z_area]), np.array([[xx, xy, xz], [xy, yy, yz], [xz, yz, zz]]))

    @classmethod
    def prism(cls, plane: ArrayLike, bottom_m: float, top_m: float) -> Moments:
        """A plane area (6,) carried from z = `bottom_m` to `top_m`. See `of_slice`."""
        heights, weights = spread(bottom_m, top_m, *GAUSS_4)
        return cls.of_slice(plane, heights, weights)

    @classmethod
    def of_balance(cls, volume_m3: float, centroid_m: Vector, inertia_m5: Tensor) -> Moments:
        """A body told by its volume, its centroid and its inertia tensor about that."""
        tensor, c = np.array(inertia_m5), np.array(centroid_m)
        about = np.trace(tensor) / 2 * np.eye(3) - tensor
        return cls(volume_m3, volume_m3 * c, about + volume_m3 * np.outer(c, c))

    def __add__(self, other: Moments) -> Moments:
        return Moments(
            self.volume_m3 + other.volume_m3, self.first_m4 + other.first_m4, self.second_m5 + other.second_m5
        )

    def __sub__(self, other: Moments) -> Moments:
        return self + other.times(-1.0)

    def times(self, factor: float) -> Moments:
        return Moments(self.volume_m3 * factor, self.first_m4 * factor, self.second_m5 * factor)

    def moved(self, by_m: ArrayLike) -> Moments:
        """The same body shifted."""
        return self.mapped(np.eye(3), by_m)

    def mapped(self, matrix: ArrayLike, offset_m: ArrayLike = (0.0, 0.0, 0.0)) -> Moments:
        """The body under p → matrix · p + offset, the matrix a turn, a mirror or a permutation of axes."""
        m, d = np.asarray(matrix, dtype=np.float64), np.asarray(offset_m, dtype=np.float64)
        first = m @ self.first_m4
        cross = np.outer(first, d)
        second = m @ self.second_m5 @ m.T + cross + cross.T + self.volume_m3 * np.outer(d, d)
        return Moments(self.volume_m3, first + self.volume_m3 * d, second)

    @property
    def centroid_m(self) -> Vector:
        x, y, z = self.first_m4 / self.volume_m3
        return float(x), float(y), float(z)

    @property
    def inertia_m5(self) -> Tensor:
        """Inertia tensor about the centroid for unit density."""
        about = self.second_m5 - np.outer(self.first_m4, self.first_m4) / self.volume_m3
        rows = np.trace(about) * np.eye(3) - about
        a, b, c = ((float(r[0]), float(r[1]), float(r[2])) for r in rows)
        return a, b, c


def total(parts: Iterable[Moments]) -> Moments:
    """The moments of bodies that do not overlap, together."""
    together = Moments.zero()
    for part in parts:
        together = together + part
    return together


def spread(start: float, end: float, points: Floats, weights: Floats) -> tuple[Floats, Floats]:
    """A quadrature rule on [−1, 1] carried to [start, end]."""
    half = (end - start) / 2
    return (start + end) / 2 + half * points, half * weights


def smooth_rule(start: float, end: float, points: Literal[8, 24] = 24) -> tuple[Floats, Floats]:
    """Points and weights on [start, end] for integrands that may begin or end like a square root, as arcs do.

    The substitution x = −cos ψ makes such an integrand analytic, so 24 Gauss points reach rounding.
    """
    angle, weight = spread(0.0, np.pi, *_SMOOTH[points])
    return spread(start, end, -np.cos(angle), weight * np.sin(angle))
