"""Measures of a body: volume integrals, which are additive over its parts, and the layers cast into it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from itertools import accumulate, pairwise
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from geometry.arrays import Floats, Tensor, Vector
from geometry.errors import FaultError, require, require_positive
from geometry.frozen import frozen
from geometry.message import Message, message

GAUSS_4 = np.polynomial.legendre.leggauss(4)
"""Gauss rule of four points: exact for polynomials up to degree 7, so for every integral below over plane faces."""

_SMOOTH = {points: np.polynomial.legendre.leggauss(points) for points in (8, 24)}


@frozen(eq=False)
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
        """Moments of a body from horizontal slices.

        plane    (n, 6) or (6,): area, ∬x, ∬y, ∬x², ∬y², ∬xy of the slices
        heights  (n,) z of the slices, m
        weights  (n,) quadrature weights, m
        """
        p = np.broadcast_to(np.asarray(plane, dtype=np.float64), (len(np.asarray(heights)), 6))
        z, w = np.asarray(heights, dtype=np.float64), np.asarray(weights, dtype=np.float64)
        area, x, y, xx, yy, xy = w @ p
        z_area, xz, yz = (w * z) @ p[:, :3]
        zz = float((w * z * z) @ p[:, 0])
        return cls(float(area), np.array([x, y, z_area]), np.array([[xx, xy, xz], [xy, yy, yz], [xz, yz, zz]]))

    @classmethod
    def prism(cls, plane: ArrayLike, bottom_m: float, top_m: float) -> Moments:
        """Moments of a plane area (6,) extruded from z = `bottom_m` to `top_m`. See `of_slice`."""
        heights, weights = spread(bottom_m, top_m, *GAUSS_4)
        return cls.of_slice(plane, heights, weights)

    @classmethod
    def of_balance(cls, volume_m3: float, centroid_m: Vector, inertia_m5: Tensor) -> Moments:
        """Moments of a body of given volume, centroid, and inertia tensor about the centroid."""
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
        """Moments of the body translated."""
        return self.mapped(np.eye(3), by_m)

    def mapped(self, matrix: ArrayLike, offset_m: ArrayLike = (0.0, 0.0, 0.0)) -> Moments:
        """Moments of the body under p → matrix · p + offset, where the matrix is orthogonal."""
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
    """Sum of the moments of disjoint bodies."""
    together = Moments.zero()
    for part in parts:
        together = together + part
    return together


def spread(start: float, end: float, points: Floats, weights: Floats) -> tuple[Floats, Floats]:
    """Map a quadrature rule from [−1, 1] to [start, end]."""
    half = (end - start) / 2
    return (start + end) / 2 + half * points, half * weights


def smooth_rule(start: float, end: float, points: Literal[8, 24] = 24) -> tuple[Floats, Floats]:
    """Quadrature points and weights on [start, end] for integrands with square-root ends, as arcs have.

    The substitution x = −cos ψ makes such an integrand analytic, so 24 Gauss points are exact to rounding.
    """
    angle, weight = spread(0.0, np.pi, *_SMOOTH[points])
    return spread(start, end, -np.cos(angle), weight * np.sin(angle))


@frozen
class Solid:
    """Measures of one shape.

    volume_m3          volume of the material
    surface_area_m2    whole surface
    form_area_m2       faces cast against the form
    finished_area_m2   faces visible in use, including finished edges of cut-outs
    edge_lengths_m     by kind of edge ("outer", "cutouts", "drops", ...), as measured with a tape
    centroid_m         centroid, in the shape's coordinates
    size_m             outer size along x, y, z
    lowest_m           corner of the bounding box with the smallest x, y, z, in the shape's coordinates
    inertia_m5         inertia tensor about the centroid for unit density; times kg/m³ gives kg·m²
    tolerance          0.0 for a closed form, otherwise the relative error of volume and areas
    notes              remarks for the user: united parts, approximations
    """

    volume_m3: float
    surface_area_m2: float
    form_area_m2: float
    finished_area_m2: float
    edge_lengths_m: Mapping[str, float]
    centroid_m: Vector
    size_m: Vector
    lowest_m: Vector
    inertia_m5: Tensor
    tolerance: float
    notes: tuple[Message, ...] = ()


@frozen
class LayerPart:
    """One layer of a piece: volume, centroid, and area of the faces that it covers."""

    volume_m3: float
    centroid_m: Vector
    area_m2: float


ROUNDED_M = 1e-6
"""Largest difference between the sum of the layers and the thickness that counts as rounding."""

NOTHING = 1e-9
"""Fraction of a piece below which nothing is left for a layer."""


def joint_depths(thicknesses_m: Sequence[float | None], whole_m: float | None) -> tuple[float, ...]:
    """Distances from the faces of the joints between layers, m.

    thicknesses_m  from the form inward; at most one is None and takes the rest
    whole_m        thickness of the shape, or None if it has no single thickness

    Raises FaultError with the key "layers[i].thickness" or "layers".
    """
    given = list(thicknesses_m)
    require(bool(given), "layers", message("layers-none"))
    for i, thickness in enumerate(given):
        if thickness is not None:
            key = f"layers[{i}].thickness"
            require_positive(thickness, key)
    known = [thickness for thickness in given if thickness is not None]
    open_places = [i for i, thickness in enumerate(given) if thickness is None]
    require(len(open_places) < 2, "layers", message("layers-two-open"))
    if whole_m is not None:
        _refuse_misfit(sum(known), whole_m, bool(open_places))
    if open_places and open_places[0] < len(given) - 1:
        if whole_m is None:
            raise FaultError(
                f"layers[{open_places[0]}].thickness",
                message("layer-rest-unknown"),
            )
        given[open_places[0]] = whole_m - sum(known)
    return tuple(accumulate(thickness for thickness in given[:-1] if thickness is not None))


def parts_of(
    whole: Moments,
    deeper_than: Callable[[float], Moments],
    joints_m: Sequence[float],
    measured: Solid,
    faces: Literal["form", "all"],
) -> tuple[LayerPart, ...]:
    """Layers between joints, whose volumes sum to that of the whole.

    whole        moments of the shape
    deeper_than  function that returns the moments of the points farther than a distance from the faces
    measured     measures of the shape, for the covered area, and for the centroid of an empty layer
    """
    area_m2 = measured.form_area_m2 if faces == "form" else measured.surface_area_m2
    inside = [whole, *(deeper_than(joint) for joint in joints_m), Moments.zero()]
    parts = []
    left = whole.volume_m3
    for outer, inner in pairwise(inside):
        layer = outer - inner
        volume = max(layer.volume_m3, 0.0)
        if inner is inside[-1]:
            volume = left
            require(
                volume > NOTHING * whole.volume_m3,
                "layers",
                message("layers-leave-nothing", reach_m=max(joints_m, default=0.0)),
            )
        left -= volume
        centroid = layer.centroid_m if volume > 1e-12 * whole.volume_m3 else measured.centroid_m
        parts.append(LayerPart(volume, centroid, area_m2))
    return tuple(parts)


def _refuse_misfit(known: float, whole: float, one_open: bool) -> None:
    if one_open:
        require(
            known < whole * (1 - 1e-9),
            "layers",
            message("layers-no-rest", known_m=known, whole_m=whole),
        )
        return
    require(
        abs(known - whole) <= ROUNDED_M,
        "layers",
        message("layers-sum", known_m=known, whole_m=whole),
    )
