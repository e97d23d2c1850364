"""A body told by its level slices from one flat face downward, and what lies deep inside it.

Depth is measured from the face. A slab is seen from its top, a panel from its face.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely

from geometry.arrays import Floats
from geometry.plan import NEAR, Plan, polygon_integrals, within_reach
from geometry.solid import Moments, smooth_rule, total

ROUND = 64
"""Straight pieces to a quarter circle where a layer turns round an inside corner."""


STEP_ROUND = 8
"""The same for the many thin steps of a worked edge, each of which shows only a sliver."""


@dataclass(frozen=True, slots=True, eq=False)
class Zone:
    """A range of depths over which the slice stays the same or varies smoothly.

    at      the slice at a depth
    varies  whether it changes within the zone
    """

    start_m: float
    end_m: float
    at: Callable[[float], Plan]
    varies: bool = False

    @classmethod
    def steady(cls, start_m: float, end_m: float, plan: Plan) -> Zone:
        return cls(start_m, end_m, lambda _: plan)

    @property
    def middle_m(self) -> float:
        return (self.start_m + self.end_m) / 2

    def slices(self) -> list[tuple[float, float, Plan]]:
        """Depth, share of the depth (m) and slice: one for a steady zone, otherwise by quadrature."""
        if not self.varies:
            return [(self.middle_m, self.end_m - self.start_m, self.at(self.middle_m))]
        depths, weights = smooth_rule(self.start_m, self.end_m)
        return [(float(d), float(w), self.at(float(d))) for d, w in zip(depths, weights, strict=True)]

    def moments(self) -> Moments:
        """Volume integrals with z the depth."""
        if not self.varies:
            return Moments.prism(self.at(self.middle_m).integrals, self.start_m, self.end_m)
        depths, weights, plans = zip(*self.slices(), strict=True)
        return Moments.of_slice(np.array([plan.integrals for plan in plans]), depths, weights)


@dataclass(frozen=True, slots=True, eq=False)
class Strip:
    """Upright faces: lines in plan over a range of depths.

    step  one of many lines, without height, that together stand for a curved or leaning face
    """

    lines: shapely.Geometry
    start_m: float
    end_m: float
    step: bool = False

    def within(self, depth_m: float, reach_m: float) -> shapely.Geometry:
        """What lies within reach of the strip at a depth, as an area in plan."""
        away = max(self.start_m - depth_m, depth_m - self.end_m, 0.0)
        return _within(self.lines, away, reach_m, STEP_ROUND if self.step else ROUND)


@dataclass(frozen=True, slots=True, eq=False)
class Flat:
    """A level face: an area in plan at a depth."""

    area: shapely.Geometry
    depth_m: float

    def within(self, depth_m: float, reach_m: float) -> shapely.Geometry:
        """What lies within reach of the face at a depth, as an area in plan."""
        return _within(self.area, abs(self.depth_m - depth_m), reach_m, ROUND)


@dataclass(frozen=True, slots=True, eq=False)
class Slope:
    """A sloping underside: what lies within a distance of it at a depth, as an area in plan."""

    within: Callable[[float, float], shapely.Geometry]


@dataclass(frozen=True, slots=True, eq=False)
class Faces:
    """The faces from which layers are measured."""

    strips: tuple[Strip, ...]
    flats: tuple[Flat, ...]
    slopes: tuple[Slope, ...] = ()


def moments_of(zones: Iterable[Zone]) -> Moments:
    """Volume integrals of the whole body, z being the depth."""
    return total(zone.moments() for zone in zones)


def all_flats(zones: Sequence[Zone]) -> tuple[Flat, ...]:
    """Every level face, up or down: where the slice changes at once from one zone to the next."""
    nothing = shapely.Polygon()
    above = [nothing, *(zone.at(zone.end_m * (1 - NEAR)).polygon for zone in zones)]
    below = [*(zone.at(zone.start_m).polygon for zone in zones), nothing]
    depths = [zones[0].start_m, *(zone.end_m for zone in zones)]
    largest = max(area.area for area in above)
    flats = (Flat(shapely.symmetric_difference(a, b), depth) for a, b, depth in zip(above, below, depths, strict=True))
    return tuple(flat for flat in flats if flat.area.area > NEAR * largest)


def deeper_than(zones: Sequence[Zone], faces: Faces, reach_m: float) -> Moments:
    """Volume integrals of the points of the body that are further than `reach_m` from every one of `faces`."""
    marks = {depth for strip in faces.strips if not strip.step for depth in (strip.start_m, strip.end_m)}
    marks |= {flat.depth_m for flat in faces.flats}
    marks |= {depth + side * reach_m for depth in marks for side in (-1, 1)}
    left = Moments.zero()
    for zone in zones:
        shortest = NEAR * (zone.end_m - zone.start_m)
        inside = sorted(mark for mark in marks if zone.start_m + shortest < mark < zone.end_m - shortest)
        for start, end in pairwise([zone.start_m, *inside, zone.end_m]):
            if end - start > shortest:
                left = left + _deeper_between(zone, start, end, faces, reach_m)
    return left


def _deeper_between(zone: Zone, start: float, end: float, faces: Faces, reach: float) -> Moments:
    """`deeper_than` for a range of depths in which no face begins or ends, nor comes within reach."""
    middle = (start + end) / 2
    spanning = [s for s in faces.strips if s.start_m <= middle <= s.end_m and not s.step]
    passing: list[Strip | Flat] = [
        s for s in faces.strips if s not in spanning and s.start_m - reach < middle < s.end_m + reach
    ]
    passing += [flat for flat in faces.flats if abs(flat.depth_m - middle) < reach]
    beside = shapely.union_all([strip.within(middle, reach) for strip in spanning])
    if not zone.varies:
        core = shapely.difference(zone.at(middle).polygon, beside)
        if core.is_empty or any(isinstance(face, Flat) and _covers(face.area, core) for face in passing):
            return Moments.zero()
        nearest = [face.within(_closest(face, start, end), reach) for face in passing]
        touched = any(shapely.intersection(core, area).area > NEAR * core.area for area in nearest)
        if not touched and not faces.slopes:
            return Moments.prism(polygon_integrals(core), start, end)
    depths, weights = smooth_rule(start, end, 8)
    planes: list[Floats] = []
    for depth in map(float, depths):
        near = shapely.union_all([face.within(depth, reach) for face in (*passing, *faces.slopes)])
        core = shapely.difference(shapely.difference(zone.at(depth).polygon, beside), near)
        planes.append(polygon_integrals(core))
    return Moments.of_slice(np.array(planes), depths, weights)


def _closest(face: Strip | Flat, start: float, end: float) -> float:
    """The depth within the range at which a face is nearest."""
    near, far = (face.depth_m, face.depth_m) if isinstance(face, Flat) else (face.start_m, face.end_m)
    return min(max(near, start), end) if near >= start else min(max(far, start), end)


def _covers(area: shapely.Geometry, part: shapely.Geometry) -> bool:
    return bool(shapely.difference(part, area).area <= NEAR * part.area)


def _within(face: shapely.Geometry, away: float, reach: float, quad_segs: int) -> shapely.Geometry:
    if away >= reach:
        return shapely.Polygon()
    return within_reach(face, (reach * reach - away * away) ** 0.5, quad_segs)
