"""Arithmetic on facets: what a stream of triangles adds up to, and whether it closes.

A block of facets is an array (n, 3, 3): n facets, 3 corners, 3 coordinates, in any float type and unit.
Blocks are added up one by one, so that a file of any length needs the memory of one block.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, Self

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Block = NDArray[Any]
Hashes = NDArray[np.uint64]

# Odd multipliers of a published bit mixer (the finaliser of splitmix64), and one more for the second hash.
_MIX_1, _MIX_2, _SECOND = (np.uint64(k) for k in (0xBF58476D1CE4E5B9, 0x94D049BB133111EB, 0xD6E8FEB86659FD93))
_S29, _S32 = np.uint64(29), np.uint64(32)


@dataclass(frozen=True, slots=True, eq=False)
class Tally:
    """What facets add up to, in their own unit, about a `reference` point near them.

    `volume`, `first` (∫ r dV, 3) and `second` (∫ r rᵀ dV, 3 × 3) are signed sums over the tetrahedra from the
    reference point to each facet, r measured from it. They are of a solid only if `boundary` is zero.
    `boundary` is zero, but for a chance of about 2⁻⁶⁰, exactly when every directed edge is met by its opposite.
    """

    reference: Floats
    facets: int
    low: Floats
    high: Floats
    area: float
    volume: float
    first: Floats
    second: Floats
    boundary: int
    flat: int  # facets of zero area

    def __add__(self, other: Self) -> "Tally":
        """The two together; both must have the same reference point."""
        return Tally(
            self.reference,
            self.facets + other.facets,
            np.minimum(self.low, other.low),
            np.maximum(self.high, other.high),
            self.area + other.area,
            self.volume + other.volume,
            self.first + other.first,
            self.second + other.second,
            (self.boundary + other.boundary) % 2**64,
            self.flat + other.flat,
        )

    @property
    def closed(self) -> bool:
        """Whether every directed edge is cancelled by its opposite, so that the volume is defined."""
        return self.boundary == 0

    @property
    def centroid(self) -> Floats:
        """Centroid of the solid (not the mean of the vertices)."""
        return self.reference + self.first / self.volume

    @property
    def inertia(self) -> Floats:
        """Inertia tensor about the centroid for unit density, unit⁵, shape (3, 3)."""
        central = self.second - np.outer(self.first, self.first) / self.volume
        return np.asarray(np.trace(central) * np.eye(3) - central)


def nothing(reference: Floats) -> Tally:
    """The tally of no facets."""
    return Tally(reference, 0, np.full(3, np.inf), np.full(3, -np.inf), 0.0, 0.0, np.zeros(3), np.zeros((3, 3)), 0, 0)


class Workbench:
    """Arrays that are filled anew for each block: fresh ones would cost more in page faults than the arithmetic."""

    def __init__(self, facets: int) -> None:
        self.facets = facets
        self.points = np.empty((3, 4, facets))  # axis, corner (the fourth is the sum of the three), facet
        self.spare = np.empty((3, 4, facets))
        self.rows = np.empty((3, facets))


def tally_blocks(blocks: Iterable[Block], reference: Floats) -> Tally:
    """Add up blocks of facets (n, 3, 3) about a reference point (3,)."""
    total = nothing(reference)
    bench = Workbench(0)
    with np.errstate(invalid="ignore", over="ignore"):  # a corner that is no number shows in `low` and `high`
        for block in blocks:
            if len(block) > bench.facets:
                bench = Workbench(len(block))
            total = total + tally(block, reference, bench)
    return total


def tally(block: Block, reference: Floats, bench: Workbench | None = None) -> Tally:
    """Add up one block of facets.

    block      (n, 3, 3), any float type, may be a view with any strides
    reference  (3,), a point near the facets: the nearer, the less is lost to rounding
    bench      arrays for n facets at least, where many blocks are added up

    Sources: the divergence theorem on tetrahedra; ∫ x y over a tetrahedron (0, a, b, c) is
    det/120 · (a aᵀ + b bᵀ + c cᵀ + s sᵀ) with s = a + b + c (first principles).
    """
    n = len(block)
    if n == 0:
        return nothing(reference)
    bench = bench or Workbench(n)
    # Axis before corner before facet: every operation runs along contiguous rows.
    points, spare = bench.points[:, :, :n], bench.spare[:, :, :n]
    squared, det, row = bench.rows[:, :n]
    corners = points[:, :3]
    np.add(block.transpose(2, 1, 0), 0.0, out=corners)  # turns −0 into +0, which are one place but two bit patterns
    low, high = corners.min(axis=(1, 2)), corners.max(axis=(1, 2))
    boundary = boundary_sum(corners, spare)
    corners -= reference[:, None, None]
    a, b, c, corner_sum = (points[:, k] for k in range(4))
    u, v, normal = (spare[:, k] for k in range(3))
    np.subtract(b, a, out=u)
    np.subtract(c, a, out=v)
    for i, (j, k) in enumerate(((1, 2), (2, 0), (0, 1))):  # u × v: twice the facet's area, outward
        np.multiply(u[j], v[k], out=normal[i])
        np.multiply(u[k], v[j], out=row)
        normal[i] -= row
    np.einsum("ij,ij->j", normal, normal, out=squared)
    flat = n - int(np.count_nonzero(squared))
    area = float(np.sqrt(squared, out=squared).sum()) / 2.0
    np.einsum("ij,ij->j", a, normal, out=det)
    np.add(a, b, out=corner_sum)
    corner_sum += c
    weighted = np.multiply(points, det, out=spare)
    second = np.empty((3, 3))
    for i in range(3):
        for j in range(i, 3):
            second[i, j] = second[j, i] = np.einsum("kn,kn->", weighted[i], points[j]) / 120.0
    first = weighted[:, 3].sum(axis=1) / 24.0
    return Tally(reference, n, low, high, area, float(det.sum()) / 6.0, first, second, boundary, flat)


def vertex_hashes(points: Floats, spare: Floats | None = None) -> Hashes:
    """Hash of each point's bits: points (3, ...), axis first, float64 without −0; returns (...).

    spare  (2, ...) to work in; the hashes are returned in the first of them

    Mixed through and through after each axis: in a plain sum of products, or after one round, a change of sign
    stays in the uppermost bit and mirrored points collide.
    """
    bits = points.view(np.uint64)
    z, shifted = (np.empty((2, *points.shape[1:])) if spare is None else spare).view(np.uint64)
    z[...] = bits[0]
    for axis in range(3):
        if axis:
            z += bits[axis]
        for shift, multiplier in ((_S32, _MIX_1), (_S29, _MIX_2)):
            np.right_shift(z, shift, out=shifted)
            z ^= shifted
            z *= multiplier
        np.right_shift(z, _S32, out=shifted)
        z ^= shifted
    hashes: Hashes = z
    return hashes


def boundary_sum(corners: Floats, spare: Floats | None = None) -> int:
    """A number that is zero exactly when the facets have no boundary (but for a chance of about 2⁻⁶⁰).

    corners  (3, 3, n): axis, corner, facet, without −0
    spare    (3, 3 or more, n) to work in

    Each vertex is sent to a random place p in a plane over the integers modulo 2⁶⁴ (its hash and a second
    hash); the number is the sum of the facets' signed areas there, (b − a) ∧ (c − a) = a ∧ b + b ∧ c + c ∧ a.
    An edge adds p ∧ q and its opposite q ∧ p, so the sum is that of the boundary edges alone.
    No sorting, no welding, constant memory.
    """
    spare = np.empty_like(corners) if spare is None else spare[:, :3]
    x = vertex_hashes(corners, spare[:2])
    y, product = spare[1:].view(np.uint64)
    np.right_shift(x, _S32, out=y)
    y ^= x
    y *= _SECOND
    x[1:] -= x[0]
    y[1:] -= y[0]
    np.multiply(x[1], y[2], out=product[0])
    np.multiply(x[2], y[1], out=product[1])
    product[0] -= product[1]
    return int(product[0].sum(dtype=np.uint64))
