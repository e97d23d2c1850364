"""The plate of a slab: a rectangle with worked edges, of even thickness or tapered, at a depth below its top."""

from __future__ import annotations

from math import hypot, sqrt
from typing import Literal, TypeAlias, get_args

import shapely

from geometry.frozen import frozen
from geometry.plane import Region
from geometry.slices import Slope

Side: TypeAlias = Literal["front", "back", "left", "right"]

SIDES: tuple[Side, ...] = get_args(Side)


@frozen
class EdgeProfile:
    """The shape worked into the top arris along `sides`.

    bevel       a flat at 45°, `size_m` on each face
    round-over  a convex quarter circle of radius `size_m`
    cove        a concave quarter circle of radius `size_m` about the arris
    """

    sides: tuple[Side, ...]
    kind: Literal["cove", "bevel", "round-over"]
    size_m: float


@frozen
class Taper:
    """Thickness that runs evenly from the slab's own, at the opposite side, to `thickness_m` at side `to`.

    The top stays flat and level; the underside slopes.
    """

    to: Side
    thickness_m: float


@frozen
class EdgedPlate:
    """A rectangle with worked edges, of even thickness or tapered."""

    length_m: float
    width_m: float
    thickness_m: float
    edge_profiles: tuple[EdgeProfile, ...] = ()
    taper: Taper | None = None

    def across_m(self, side: Side) -> float:
        """Extent square to a side."""
        return self.width_m if side in ("front", "back") else self.length_m

    def at(self, depth: float) -> shapely.Geometry:
        """The rectangle that the worked edges leave at a depth."""
        inset = {side: self.inset(side, depth) for side in SIDES}
        return shapely.box(
            inset["left"], inset["front"], self.length_m - inset["right"], self.width_m - inset["back"]
        )  # fmt: skip

    def thickness_at_corners(self) -> list[tuple[float, float, float]]:
        """x, y and thickness of the plate at its four corners."""
        corners = [(x, y) for x in (0.0, self.length_m) for y in (0.0, self.width_m)]
        if self.taper is None:
            return [(x, y, self.thickness_m) for x, y in corners]
        span, near, far = self._taper_span()
        along = 0 if self.taper.to in ("left", "right") else 1
        return [(*corner, near + (far - near) * corner[along] / span) for corner in corners]

    def left_at(self, depth: float) -> shapely.Geometry:
        """The slice of the plate alone: nothing below its underside."""
        thin, thick = self.thinnest_and_thickest
        if depth >= thick:
            return shapely.Polygon()
        plate = self.at(depth)
        if self.taper is None or depth <= thin:
            return plate
        return shapely.intersection(plate, self._thicker_than(depth))

    def _profile(self, side: Side) -> EdgeProfile | None:
        return next((profile for profile in self.edge_profiles if side in profile.sides), None)

    def inset(self, side: Side, depth: float) -> float:
        """How far a worked edge stands back from the outer size at a depth."""
        profile = self._profile(side)
        if profile is None or depth >= profile.size_m:
            return 0.0
        size = profile.size_m
        match profile.kind:
            case "bevel":
                return size - depth
            case "round-over":
                return size - sqrt(size**2 - (size - depth) ** 2)
            case "cove":
                return sqrt(size**2 - depth**2)

    def stretch(self, side: Side, depth: float) -> float:
        """Length along the worked edge's section for a unit of depth."""
        profile = self._profile(side)
        if profile is None or depth >= profile.size_m:
            return 1.0
        size = profile.size_m
        match profile.kind:
            case "bevel":
                return sqrt(2.0)
            case "round-over":
                return size / sqrt(size**2 - (size - depth) ** 2)
            case "cove":
                return size / sqrt(size**2 - depth**2)

    def side_line(self, side: Side, depth: float) -> shapely.Geometry:
        """A side of the plate at a depth, as a line in plan."""
        x0, y0, x1, y1 = self.at(depth).bounds
        ends = {
            "front": [(x0, y0), (x1, y0)],
            "back": [(x0, y1), (x1, y1)],
            "left": [(x0, y0), (x0, y1)],
            "right": [(x1, y0), (x1, y1)],
        }[side]
        return shapely.LineString(ends)

    def is_worked(self, depth: float) -> bool:
        """Whether a worked edge reaches down to a depth."""
        return any(profile.size_m > depth for profile in self.edge_profiles)

    @property
    def thinnest_and_thickest(self) -> tuple[float, float]:
        """Least and greatest thickness of the plate, m."""
        far = self.thickness_m if self.taper is None else self.taper.thickness_m
        return min(self.thickness_m, far), max(self.thickness_m, far)

    def _taper_span(self) -> tuple[float, float, float]:
        """Distance over which the thickness runs, and thickness at its start (x or y = 0) and end."""
        assert self.taper is not None
        near, far = self.thickness_m, self.taper.thickness_m
        if self.taper.to in ("left", "front"):
            near, far = far, near
        return self.across_m(self.taper.to), near, far

    @property
    def steepness(self) -> float:
        """Area of the sloping underside over its plan."""
        if self.taper is None:
            return 1.0
        span, near, far = self._taper_span()
        return hypot(1.0, (far - near) / span)

    def _position(self, depth: float) -> float:
        """Where along the taper the plate is just as thick as `depth`."""
        span, near, far = self._taper_span()
        return span * (depth - near) / (far - near)

    def _thicker_than(self, depth: float) -> shapely.Geometry:
        """The part of the plan, taken well past the slab, where the tapered plate is thicker than `depth`."""
        assert self.taper is not None
        span, near, far = self._taper_span()
        if near == far:
            return shapely.box(-span, -span, 2 * span, 2 * span) if depth < near else shapely.Polygon()
        here = self._position(depth)
        reach = 2 * (self.length_m + self.width_m)
        low, high = (-reach, here) if near > far else (here, reach)
        if low >= high:
            return shapely.Polygon()
        if self.taper.to in ("left", "right"):
            return shapely.box(low, -reach, high, reach)
        return shapely.box(-reach, low, reach, high)

    def taper_line(self, depth: float) -> shapely.Geometry:
        """Where the sloping underside is met at a depth."""
        thin, thick = self.thinnest_and_thickest
        if self.taper is None or not thin < depth < thick:
            return shapely.LineString()
        here = self._position(depth)
        if self.taper.to in ("left", "right"):
            return shapely.LineString([(here, 0.0), (here, self.width_m)])
        return shapely.LineString([(0.0, here), (self.length_m, here)])

    def taper_marks(
        self, openings: tuple[Region, ...], under: tuple[tuple[shapely.Geometry, float], ...]
    ) -> set[float]:
        """Depths at which the edge of a tapered slice passes a corner, so that between them it varies smoothly."""
        if self.taper is None or self.taper.thickness_m == self.thickness_m:
            return set()
        span, near, far = self._taper_span()
        axis = 0 if self.taper.to in ("left", "right") else 1
        corners = [region.bounds for region in openings] + [area.bounds for area, _ in under]
        places = {box[axis + side] for box in corners for side in (0, 2)}
        for region in openings:
            if region.outer.bulges is None or len(region.outer.points) <= 8:
                places |= set(region.outer.points[:, axis].tolist())
        return {near + (far - near) * place / span for place in places if 0 < place < span}

    def slopes(self) -> tuple[Slope, ...]:
        """The sloping underside of a tapered slab, as a face from which layers are measured."""
        if self.taper is None or self.taper.thickness_m == self.thickness_m:
            return ()
        steep = self.steepness

        def within(depth: float, reach: float) -> shapely.Geometry:
            whole = shapely.box(0.0, 0.0, self.length_m, self.width_m)
            return shapely.difference(whole, self._thicker_than(depth + reach * steep))

        return (Slope(within),)
