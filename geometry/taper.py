"""Underside of a tapered slab: a rectangle whose thickness varies linearly from one side to the opposite one."""

from __future__ import annotations

from math import hypot

import shapely

from geometry.frozen import frozen
from geometry.plan_edges import Side
from geometry.plane import Region
from geometry.slices import Slope


@frozen
class Taper:
    """Linear taper from the slab's thickness, at the opposite side, to `thickness_m` at side `to`.

    The top is level; the underside slopes.
    """

    to: Side
    thickness_m: float


@frozen
class Wedge:
    """A rectangular plate whose thickness varies linearly along one axis.

    axis           0 if the thickness varies along x, 1 along y
    span_m         length along that axis, from coordinate 0
    width_m        length across
    near_m, far_m  thickness at 0 and at span_m
    """

    axis: int
    span_m: float
    width_m: float
    near_m: float
    far_m: float

    @classmethod
    def of(cls, length_m: float, width_m: float, thickness_m: float, taper: Taper) -> Wedge:
        axis = 0 if taper.to in ("left", "right") else 1
        span_m, across_m = (length_m, width_m) if axis == 0 else (width_m, length_m)
        near_m, far_m = thickness_m, taper.thickness_m
        if taper.to in ("left", "front"):
            near_m, far_m = far_m, near_m
        return cls(axis, span_m, across_m, near_m, far_m)

    @property
    def thinnest_and_thickest(self) -> tuple[float, float]:
        """Smallest and largest thickness, m."""
        return min(self.near_m, self.far_m), max(self.near_m, self.far_m)

    @property
    def steepness(self) -> float:
        """Area of the sloping underside over its plan."""
        return hypot(1.0, (self.far_m - self.near_m) / self.span_m)

    def thickness_at_corners(self) -> list[tuple[float, float, float]]:
        """x, y and thickness at its four corners."""
        ends = ((0.0, self.near_m), (self.span_m, self.far_m))
        corners = [(along, across, thick) for along, thick in ends for across in (0.0, self.width_m)]
        return corners if self.axis == 0 else [(across, along, thick) for along, across, thick in corners]

    def thicker_than(self, depth_m: float) -> shapely.Geometry:
        """Part of the plan, extended well beyond the slab, where the thickness exceeds a depth."""
        reach = 2 * (self.span_m + self.width_m)
        if self.near_m == self.far_m:
            return shapely.box(-reach, -reach, reach, reach) if depth_m < self.near_m else shapely.Polygon()
        here = self._place(depth_m)
        low, high = (-reach, here) if self.near_m > self.far_m else (here, reach)
        if low >= high:
            return shapely.Polygon()
        return shapely.box(low, -reach, high, reach) if self.axis == 0 else shapely.box(-reach, low, reach, high)

    def line(self, depth_m: float) -> shapely.Geometry:
        """Line of the sloping underside at a depth."""
        thin, thick = self.thinnest_and_thickest
        if not thin < depth_m < thick:
            return shapely.LineString()
        here = self._place(depth_m)
        ends = [(here, 0.0), (here, self.width_m)]
        return shapely.LineString(ends if self.axis == 0 else [end[::-1] for end in ends])

    def marks(self, openings: tuple[Region, ...], behind: tuple[shapely.Geometry, ...]) -> set[float]:
        """Depths at which the edge of a slice passes a corner; between them slices vary smoothly."""
        if self.near_m == self.far_m:
            return set()
        corners = [region.bounds for region in openings] + [area.bounds for area in behind]
        places = {box[self.axis + side] for box in corners for side in (0, 2)}
        for region in openings:
            if region.outer.bulges is None or len(region.outer.points) <= 8:
                places |= set(region.outer.points[:, self.axis].tolist())
        rise = (self.far_m - self.near_m) / self.span_m
        return {self.near_m + rise * place for place in places if 0 < place < self.span_m}

    def slopes(self) -> tuple[Slope, ...]:
        """Sloping underside as a face from which layers are measured."""
        if self.near_m == self.far_m:
            return ()
        length, width = (self.span_m, self.width_m) if self.axis == 0 else (self.width_m, self.span_m)

        def within(depth_m: float, reach_m: float) -> shapely.Geometry:
            whole = shapely.box(0.0, 0.0, length, width)
            return shapely.difference(whole, self.thicker_than(depth_m + reach_m * self.steepness))

        return (Slope(within),)

    def _place(self, depth_m: float) -> float:
        """Position along the taper at which the thickness equals a depth."""

        return self.span_m * (depth_m - self.near_m) / (self.far_m - self.near_m)
