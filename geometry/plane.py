"""Plane regions bounded by straight lines and circular arcs, with exact integrals. Meters throughout."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from functools import cached_property, lru_cache
from typing import NamedTuple, Self

import numpy as np
import shapely
from numpy.typing import ArrayLike

from geometry.arcs import arc_extremes, bulges_of_segments, edge_integrals, edge_lengths, flatten
from geometry.arrays import Floats
from geometry.errors import FaultError
from geometry.frozen import frozen
from geometry.message import Message, message

NARROWEST_M = 1e-5
"""Width up to which an outline encloses nothing: less than a drawing is exact to."""

CHORD_M = 5e-5
"""Default chord tolerance for flattening arcs: 0.05 mm."""

ELLIPSE_ARCS = 256
"""Number of circular arcs that approximate an ellipse. See `Region.ellipse`."""


class SecondMoments(NamedTuple):
    """Second moments of area about the centroid: ∬y², ∬x² and ∬xy."""

    ixx_m4: float
    iyy_m4: float
    ixy_m4: float


SHARP_M = 1e-9
"""A smaller corner radius counts as 0: nobody forms a nanometer, and such an arc has no significant digits left."""


@frozen(eq=False, slots=False)
class Ring:
    """A closed outline; an edge joins the last point to the first.

    points  (n, 2) corners, m, read-only; a first point repeated at the end is dropped
    bulges  (n,) tan(θ/4) of the edge from each point to the next, or None if all edges are straight

    Raises FaultError for fewer than three points (two if there are arcs) and for coordinates that are not finite.
    `Region` checks whether the outline crosses itself.
    """

    points: Floats
    bulges: Floats | None = None

    def __post_init__(self) -> None:
        points = np.array(self.points, dtype=np.float64)
        if points.ndim != 2 or points.shape[1] != 2:
            raise FaultError("", message("outline-no-points"))
        bulges = None if self.bulges is None else np.array(self.bulges, dtype=np.float64)
        if bulges is not None and bulges.shape != (len(points),):
            raise FaultError("", message("outline-bulges", bulges=len(bulges), points=len(points)))
        if not (np.isfinite(points).all() and (bulges is None or np.isfinite(bulges).all())):
            raise FaultError("", message("coordinate-not-finite"))
        if len(points) > 1 and (points[0] == points[-1]).all():
            points = points[:-1]
            bulges = None if bulges is None else bulges[:-1]
        if bulges is not None and not bulges.any():
            bulges = None
        if len(points) < (3 if bulges is None else 2):
            raise FaultError("", message("outline-too-few-points", points=len(points)))
        points.flags.writeable = False
        object.__setattr__(self, "points", points)
        if bulges is not None:
            bulges.flags.writeable = False
        object.__setattr__(self, "bulges", bulges)

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Ring) or self is other:
            return self is other
        return hash(self) == hash(other) and self._bytes() == other._bytes()

    def __hash__(self) -> int:
        return self._hash_of_bytes

    @cached_property
    def _hash_of_bytes(self) -> int:
        return hash(self._bytes())

    def _bytes(self) -> tuple[bytes, bytes]:
        """Points and bulges to the last bit, so that equal rings give equal results."""
        return self.points.tobytes(), b"" if self.bulges is None else self.bulges.tobytes()

    @classmethod
    def _made(cls, points: Floats, bulges: Floats | None, **known: object) -> Self:
        """A ring of arrays known to be valid, without copying them; `known` are cached properties."""
        ring = object.__new__(cls)
        ring.__dict__.update(points=points, bulges=bulges, **known)
        return ring

    @property
    def ends(self) -> Floats:
        """End (n, 2) of the edge that starts at each point, m."""
        return np.roll(self.points, -1, axis=0)

    @cached_property
    def signed_area_m2(self) -> float:
        """Area enclosed, positive when the points run counterclockwise."""
        return float(self._about_start[0])

    @cached_property
    def perimeter_m(self) -> float:
        return float(edge_lengths(self.points, self.ends, self.bulges).sum())

    @cached_property
    def bounds(self) -> tuple[float, float, float, float]:
        """Smallest x and y, largest x and y, m; exact for arcs."""
        points = self.points
        if self.bulges is not None:
            points = np.concatenate([points, arc_extremes(points, self.ends, self.bulges)[0]])
        (x0, y0), (x1, y1) = points.min(axis=0), points.max(axis=0)
        return float(x0), float(y0), float(x1), float(y1)

    @cached_property
    def _about_start(self) -> Floats:
        """Signed area, ∬x, ∬y, ∬x², ∬y², ∬xy about the first point, (6,): near it rounding errors are small."""
        start = self.points[0]
        sums: Floats = edge_integrals(self.points - start, self.ends - start, self.bulges).sum(axis=0)
        return sums

    def integrals(self, origin: Floats) -> Floats:
        """Signed area, ∬x, ∬y, ∬x², ∬y², ∬xy about `origin`, (6,): m² to m⁴."""
        area, sx, sy, sxx, syy, sxy = self._about_start.tolist()
        dx, dy = (self.points[0] - origin).tolist()
        return np.array(
            [
                area,
                sx + area * dx,
                sy + area * dy,
                sxx + 2 * dx * sx + area * dx * dx,
                syy + 2 * dy * sy + area * dy * dy,
                sxy + dx * sy + dy * sx + area * dx * dy,
            ]
        )

    def flattened(self, chord_m: float = CHORD_M) -> Floats:
        """Points (m, 2) of a polygon within `chord_m` of the ring and with the same area."""
        if self.bulges is None:
            return self.points
        if len(self.points) > FEW_POINTS:
            return flatten(self.points, self.ends, self.bulges, chord_m)[0]
        start = self.points[0]
        flat: Floats = _flat_about((self.points - start).tobytes(), self.bulges.tobytes(), chord_m) + start
        return flat

    def mapped(self, matrix: ArrayLike, offset: ArrayLike = (0.0, 0.0)) -> Ring:
        """The ring under p → matrix · p + offset, where the matrix rotates, mirrors and scales uniformly.

        Raises FaultError if the matrix would turn arcs into ellipses.
        """
        m = np.asarray(matrix, dtype=np.float64)
        scale2 = abs(float(np.linalg.det(m)))
        if self.bulges is not None and not np.allclose(m @ m.T, scale2 * np.eye(2), rtol=0, atol=1e-9 * scale2):
            raise FaultError("", message("arcs-stretched"))
        bulges = self.bulges if self.bulges is None or np.linalg.det(m) > 0 else -self.bulges
        return Ring(self.points @ m.T + np.asarray(offset), bulges)

    def mirrored(self, x_m: float) -> Ring:
        """The ring with x and `x_m` − x in each other's place."""
        points = np.stack([x_m - self.points[:, 0], self.points[:, 1]], axis=1)
        points.flags.writeable = False
        bulges = None if self.bulges is None else -self.bulges
        return Ring._made(points, bulges, signed_area_m2=-self.signed_area_m2)


FEW_POINTS = 16
"""Rings of at most this many points are flattened through a cache: holes of a pattern differ only in position."""


@lru_cache(maxsize=256)
def _flat_about(points: bytes, bulges: bytes, chord_m: float) -> Floats:
    """Points (m, 2) of a flattened ring, relative to its first corner."""
    corners = np.frombuffer(points, dtype=np.float64).reshape(-1, 2)
    flat: Floats = flatten(corners, np.roll(corners, -1, axis=0), np.frombuffer(bulges, dtype=np.float64), chord_m)[0]
    flat.flags.writeable = False
    return flat


@frozen(slots=False)
class Region:
    """Material inside one outline, less its holes.

    Raises FaultError, with the location, if the outline or a hole crosses or touches itself, if a hole lies outside or
    crosses the outline, or if holes overlap.
    """

    outer: Ring
    holes: tuple[Ring, ...] = ()

    def __post_init__(self) -> None:
        object.__setattr__(self, "holes", tuple(self.holes))
        refuse_fault(self.outer, self.holes)

    @classmethod
    def _made(cls, outer: Ring, holes: tuple[Ring, ...], **known: object) -> Self:
        """A region known to be valid, without checks; `known` are cached properties."""
        region = object.__new__(cls)
        region.__dict__.update(outer=outer, holes=holes, **known)
        return region

    @classmethod
    def from_points(cls, points: ArrayLike, holes: Sequence[ArrayLike] = ()) -> Region:
        """A region with straight edges, from points (n, 2) in m and those of its holes."""
        return cls(
            Ring(np.asarray(points, dtype=np.float64)), tuple(Ring(np.asarray(h, dtype=np.float64)) for h in holes)
        )

    @classmethod
    def rectangle(cls, length_m: float, width_m: float, radius_m: float = 0.0) -> Region:
        """A rectangle with its lower left corner at the origin; corners are rounded from a radius of SHARP_M on."""
        _require(0 < length_m < np.inf and 0 < width_m < np.inf, message("rectangle-sides"))
        _require(radius_m >= 0, message("corner-radius-negative"))
        _require(
            2 * radius_m <= min(length_m, width_m) * (1 + 1e-12),
            message("corner-radius-too-large", radius_m=radius_m, length_m=length_m, width_m=width_m),
        )
        if radius_m < SHARP_M:
            corners = np.array([(0.0, 0.0), (length_m, 0.0), (length_m, width_m), (0.0, width_m)])
            corners.flags.writeable = False
            return cls._made(Ring._made(corners, None, bounds=(0.0, 0.0, float(length_m), float(width_m))), ())
        x0, x1, y0, y1 = radius_m, length_m - radius_m, radius_m, width_m - radius_m
        points = [
            (x0, 0.0),
            (x1, 0.0),
            (length_m, y0),
            (length_m, y1),
            (x1, width_m),
            (x0, width_m),
            (0.0, y1),
            (0.0, y0),
        ]
        quarter = np.tan(np.pi / 8)
        return cls._made(Ring(np.array(points), np.array([0.0, quarter] * 4)), ())

    @classmethod
    def circle(cls, diameter_m: float, center_m: tuple[float, float] = (0.0, 0.0)) -> Region:
        """A circle, exact, as two half turns."""
        _require(diameter_m > 0, message("circle-diameter"))
        x, y = center_m
        points = np.array([(x - diameter_m / 2, y), (x + diameter_m / 2, y)])
        return cls._made(Ring(points, np.array([1.0, 1.0])), ())

    @classmethod
    def ellipse(cls, length_m: float, width_m: float, center_m: tuple[float, float] = (0.0, 0.0)) -> Region:
        """An ellipse with its axes along x and y.

        It consists of 256 circular arcs through points of the ellipse. Each arc has the segment area of the ellipse, so
        the area is exact. For axis ratios up to 10:1 the outline is within 1e-6 of the longer axis, the perimeter
        within 1e-7 and the second moments within 2e-8 of their values.
        """
        _require(length_m > 0 and width_m > 0, message("ellipse-sides"))
        angle = np.linspace(0, 2 * np.pi, ELLIPSE_ARCS, endpoint=False)
        points = np.stack([length_m / 2 * np.cos(angle), width_m / 2 * np.sin(angle)], axis=1)
        chords = np.hypot(*(np.roll(points, -1, axis=0) - points).T)
        step = 2 * np.pi / ELLIPSE_ARCS
        segment = np.full(ELLIPSE_ARCS, length_m * width_m / 8 * (step - np.sin(step)))
        return cls(Ring(points + np.asarray(center_m), bulges_of_segments(segment, chords)))

    @property
    def rings(self) -> tuple[Ring, ...]:
        """The outline, then the holes."""
        return (self.outer, *self.holes)

    @cached_property
    def area_m2(self) -> float:
        """Area of the material: outline less holes."""
        return abs(self.outer.signed_area_m2) - sum(abs(hole.signed_area_m2) for hole in self.holes)

    @cached_property
    def perimeter_m(self) -> float:
        """Length of all edges: outline and holes."""
        return sum(ring.perimeter_m for ring in self.rings)

    @property
    def mean_width_m(self) -> float:
        """Area within the outline over half its length: the width of a strip, half that of a square."""
        return 2.0 * abs(self.outer.signed_area_m2) / self.outer.perimeter_m

    @cached_property
    def about_start(self) -> Floats:
        """Area, ∬x, ∬y, ∬x², ∬y², ∬xy about the outline's first point."""
        total = self.outer._about_start if self.outer.signed_area_m2 > 0 else -self.outer._about_start
        for hole in self.holes:
            part = hole.integrals(self.outer.points[0])
            total = total - part if hole.signed_area_m2 > 0 else total + part
        return total

    @cached_property
    def centroid_m(self) -> tuple[float, float]:
        area, sx, sy, *_ = self.about_start.tolist()
        x, y = self.outer.points[0].tolist()
        return x + sx / area, y + sy / area

    @cached_property
    def second_moments(self) -> SecondMoments:
        """Second moments of area about the centroid, axes along x and y."""
        area, sx, sy, sxx, syy, sxy = (float(value) for value in self.about_start)
        return SecondMoments(syy - sy * sy / area, sxx - sx * sx / area, sxy - sx * sy / area)

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """Smallest x and y, largest x and y, m; exact for arcs."""
        return self.outer.bounds

    @property
    def size_m(self) -> tuple[float, float]:
        """Extent along x and along y."""
        x0, y0, x1, y1 = self.bounds
        return x1 - x0, y1 - y0

    def polygon(self, chord_m: float = CHORD_M) -> shapely.Polygon:
        """The region as a shapely polygon with straight edges.

        chord_m  largest distance between an arc and the polygon, m

        The polygon has exactly the region's area: see `geometry.arcs.flatten`.
        """
        return shapely.Polygon(self.outer.flattened(chord_m), [hole.flattened(chord_m) for hole in self.holes])

    def translated(self, dx_m: float, dy_m: float) -> Region:
        """The region translated."""
        return self.mapped(np.eye(2), (dx_m, dy_m))

    def scaled(self, factor: float) -> Region:
        """The region scaled about the origin."""
        _require(factor > 0, message("scale-not-positive"))
        return self.mapped(factor * np.eye(2))

    def mirrored(self, x_m: float) -> Region:
        """The region with x and `x_m` − x in each other's place."""
        return Region._made(self.outer.mirrored(x_m), tuple(hole.mirrored(x_m) for hole in self.holes))

    def mapped(self, matrix: ArrayLike, offset_m: ArrayLike = (0.0, 0.0)) -> Region:
        """The region rotated, mirrored or uniformly scaled, then translated. See `Ring.mapped`."""
        return Region._made(
            self.outer.mapped(matrix, offset_m), tuple(hole.mapped(matrix, offset_m) for hole in self.holes)
        )


def bounds_of(regions: Iterable[Region]) -> tuple[float, float, float, float]:
    """Bounds of several regions together, m."""
    lefts, lows, rights, highs = zip(*(region.bounds for region in regions), strict=True)
    return min(lefts), min(lows), max(rights), max(highs)


def refuse_fault(outer: Ring, holes: Sequence[Ring] = (), chord_m: float | None = None) -> None:
    """Raise FaultError, with the location, if the rings do not bound a valid region.

    Arcs are flattened within `chord_m`, by default a ten-thousandth of the outline's size and at most `CHORD_M`.
    """
    if chord_m is None:
        x0, y0, x1, y1 = outer.bounds
        chord_m = min(CHORD_M, 1e-4 * max(x1 - x0, y1 - y0)) or CHORD_M
    shell = outer.flattened(chord_m)
    polygon = shapely.Polygon(shell)
    _refuse_invalid(polygon, message("ring-outline"))
    for number, hole in enumerate(holes, start=1):
        inner = shapely.Polygon(hole.flattened(chord_m))
        _refuse_invalid(inner, message("ring-hole", number=str(number)))
        if not polygon.covers(inner):
            beyond = inner.difference(polygon)
            x, y = shapely.get_coordinates(beyond.representative_point())[0]
            where = "crosses" if polygon.intersects(inner) else "outside"
            at_m = {"x_m": float(x), "y_m": float(y)}
            raise FaultError("", message("hole-outside", number=str(number), where=where, **at_m))
    if holes:
        whole = shapely.Polygon(shell, [hole.flattened(chord_m) for hole in holes])
        _refuse_invalid(whole, message("ring-whole"))


def _refuse_invalid(polygon: shapely.Polygon, ring: Message) -> None:
    if polygon.convex_hull.area <= max(1e-12 * polygon.length, NARROWEST_M / 2.0) * polygon.length:
        x, y = shapely.get_coordinates(polygon)[0]
        raise FaultError("", message("outline-no-area", ring=ring, x_m=float(x), y_m=float(y)))
    if polygon.is_valid:
        return
    fault, x, y = fault_of(polygon)
    raise FaultError("", message("outline-invalid", ring=ring, fault=fault, x_m=x, y_m=y))


_FAULTS = {
    "Ring Self-intersection": "touches",
    "Self-intersection": "crosses",
    "Interior is disconnected": "parts",
    "Holes are nested": "holes-overlap",
    "Hole lies outside shell": "hole-outside",
}


def fault_of(polygon: shapely.Polygon) -> tuple[str, float, float]:
    """Why a polygon is invalid (a word of _FAULTS, or the library's reason), and where, in the polygon's unit."""

    reason = shapely.is_valid_reason(polygon)
    match = re.fullmatch(r"(.+)\[(\S+) (\S+)\]", reason)
    if match is None:
        x, y = shapely.get_coordinates(polygon)[0]
        return reason.lower(), float(x), float(y)
    return _FAULTS.get(match[1], match[1].lower()), float(match[2]), float(match[3])


def _require(holds: bool, refusal: Message) -> None:
    if not holds:
        raise FaultError("", refusal)
