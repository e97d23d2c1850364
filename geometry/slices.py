"""Bodies as level slices: zones with one plan, the volume deeper than a distance, and stacks of upright prisms.

Depth is measured from a flat face: the top of a slab, the face of a panel.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from itertools import pairwise

import numpy as np
import shapely

from geometry.arrays import Floats
from geometry.frozen import frozen
from geometry.plan import NEAR, Plan, pierced, polygon_integrals, shifted, within_reach
from geometry.plane import Region
from geometry.solid import Moments, smooth_rule, total

ROUND = 64
"""Segments per quarter circle where a layer rounds an inside corner."""


STEP_ROUND = 8
"""The same for the many thin steps of a worked edge, each of which contributes only a sliver."""


@frozen(eq=False)
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

    @property
    def plan(self) -> Plan:
        """The slice in the middle, which is that of the whole zone if it does not vary."""
        return self.at(self.middle_m)

    def slices(self) -> list[tuple[float, float, Plan]]:
        """(depth, weight in m, slice) tuples for integration: one for a steady zone, otherwise a quadrature rule."""
        if not self.varies:
            return [(self.middle_m, self.end_m - self.start_m, self.at(self.middle_m))]
        depths, weights = smooth_rule(self.start_m, self.end_m)
        return [(float(d), float(w), self.at(float(d))) for d, w in zip(depths, weights, strict=True)]

    def moments(self) -> Moments:
        """Volume integrals, with depth as z."""
        if not self.varies:
            return Moments.prism(self.at(self.middle_m).integrals, self.start_m, self.end_m)
        depths, weights, plans = zip(*self.slices(), strict=True)
        return Moments.of_slice(np.array([plan.integrals for plan in plans]), depths, weights)


@frozen(eq=False)
class Strip:
    """Upright faces: lines in plan over a range of depths.

    step  whether it is one of many lines without height that together approximate a curved or leaning face
    """

    lines: shapely.Geometry
    start_m: float
    end_m: float
    step: bool = False

    def within(self, depth_m: float, reach_m: float) -> shapely.Geometry:
        """Area in plan within a distance of the strip at a depth."""
        distance = max(self.start_m - depth_m, depth_m - self.end_m, 0.0)
        return _within(self.lines, distance, reach_m, STEP_ROUND if self.step else ROUND)


@frozen(eq=False)
class Flat:
    """A level face: an area in plan at a depth."""

    area: shapely.Geometry
    depth_m: float

    def within(self, depth_m: float, reach_m: float) -> shapely.Geometry:
        """Area in plan within a distance of the face at a depth."""
        return _within(self.area, abs(self.depth_m - depth_m), reach_m, ROUND)


@frozen(eq=False)
class Slope:
    """A sloping underside, as a function that returns the area in plan within a distance of it at a depth."""

    within: Callable[[float, float], shapely.Geometry]


@frozen(eq=False)
class Faces:
    """Faces from which layers are measured."""

    strips: tuple[Strip, ...]
    flats: tuple[Flat, ...]
    slopes: tuple[Slope, ...] = ()


@frozen(eq=False)
class Slices:
    """A flat piece with valid dimensions.

    zones     slices, starting at the face
    full      plan of the whole piece, seen from its face
    openings  outline of each cut-out, in the order of the shape's own list
    behind    (area in plan, depth from the face) of strips and rims behind the plate
    down      whether depth is measured downward from the top; otherwise depth is z
    """

    zones: tuple[Zone, ...]
    full: Plan
    openings: tuple[Region, ...]
    behind: tuple[tuple[shapely.Geometry, float], ...] = ()
    down: bool = True

    @property
    def height_m(self) -> float:
        return self.zones[-1].end_m

    @property
    def is_prism(self) -> bool:
        """Whether all slices are the same plan."""
        return all(not zone.varies and zone.plan is self.full for zone in self.zones)

    def to_axes(self, by_depth: Moments) -> Moments:
        """Convert integrals by depth to the axes of the shape, with z up from the lowest point."""
        if not self.down:
            return by_depth
        return by_depth.mapped(np.diag([1.0, 1.0, -1.0]), (0.0, 0.0, self.height_m))

    def moments(self) -> Moments:
        return self.to_axes(moments_of(self.zones))

    def deeper_than(self, faces: Faces, reach_m: float) -> Moments:
        """Volume integrals of the points farther than `reach_m` from all of `faces`."""
        return self.to_axes(deeper_than(self.zones, faces, reach_m))

    def stack(self, formed: Sequence[Strip], levels: Sequence[tuple[float, bool]]) -> Stack:
        """The slices as prisms, each with the lines of its sides that are against the form."""
        top = self.height_m
        prisms = [
            Prism(*((top - z.end_m, top - z.start_m) if self.down else (z.start_m, z.end_m)), z.plan, strip.lines)
            for z, strip in zip(self.zones, formed, strict=True)
        ]
        return Stack(tuple(sorted(prisms, key=lambda prism: prism.start_m)), tuple(levels))


def moments_of(zones: Iterable[Zone]) -> Moments:
    """Volume integrals of the whole body, with depth as z."""
    return total(zone.moments() for zone in zones)


def all_flats(zones: Sequence[Zone]) -> tuple[Flat, ...]:
    """All level faces, facing up or down: where the slice changes abruptly from one zone to the next."""
    nothing = shapely.Polygon()
    above = [nothing, *(zone.at(zone.end_m * (1 - NEAR)).polygon for zone in zones)]
    below = [*(zone.at(zone.start_m).polygon for zone in zones), nothing]
    depths = [zones[0].start_m, *(zone.end_m for zone in zones)]
    largest = max(area.area for area in above)
    flats = (Flat(shapely.symmetric_difference(a, b), depth) for a, b, depth in zip(above, below, depths, strict=True))
    return tuple(flat for flat in flats if flat.area.area > NEAR * largest)


def deeper_than(zones: Sequence[Zone], faces: Faces, reach_m: float) -> Moments:
    """Volume integrals of the points of the body that are farther than `reach_m` from all of `faces`."""
    marks = {depth for strip in faces.strips if not strip.step for depth in (strip.start_m, strip.end_m)}
    marks |= {flat.depth_m for flat in faces.flats}
    marks |= {depth + side * reach_m for depth in marks for side in (-1, 1)}
    moments = Moments.zero()
    for zone in zones:
        shortest = NEAR * (zone.end_m - zone.start_m)
        inside = sorted(mark for mark in marks if zone.start_m + shortest < mark < zone.end_m - shortest)
        for start, end in pairwise([zone.start_m, *inside, zone.end_m]):
            if end - start > shortest:
                moments = moments + _deeper_between(zone, start, end, faces, reach_m)
    return moments


def _deeper_between(zone: Zone, start: float, end: float, faces: Faces, reach: float) -> Moments:
    """`deeper_than` for a range of depths in which no face begins, ends, or comes within reach."""
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
    """The depth in the range that is closest to a face."""
    near, far = (face.depth_m, face.depth_m) if isinstance(face, Flat) else (face.start_m, face.end_m)
    return min(max(near, start), end) if near >= start else min(max(far, start), end)


def _covers(area: shapely.Geometry, part: shapely.Geometry) -> bool:
    return bool(shapely.difference(part, area).area <= NEAR * part.area)


def _within(face: shapely.Geometry, distance: float, reach: float, quad_segs: int) -> shapely.Geometry:
    if distance >= reach:
        return shapely.Polygon()
    return within_reach(face, (reach * reach - distance * distance) ** 0.5, quad_segs)


@frozen(eq=False)
class Prism:
    """A plan between two heights, with the lines of its sides that are cast against the form."""

    start_m: float
    end_m: float
    plan: Plan
    formed: shapely.Geometry


@frozen(eq=False)
class Stack:
    """Prisms from the bottom up.

    formed_levels  (height, whether it faces up) of the level faces against the form
    """

    prisms: tuple[Prism, ...]
    formed_levels: tuple[tuple[float, bool], ...]

    def moved(self, at_m: tuple[float, float, float]) -> Stack:
        x, y, z = at_m
        return Stack(
            tuple(Prism(p.start_m + z, p.end_m + z, p.plan.moved(x, y), shifted(p.formed, x, y)) for p in self.prisms),
            tuple((level + z, up) for level, up in self.formed_levels),
        )

    def at(self, height_m: float) -> Prism | None:
        return next((p for p in self.prisms if p.start_m < height_m < p.end_m), None)


def is_rectilinear(area: shapely.Geometry) -> bool:
    points, ring = shapely.get_coordinates(shapely.get_parts(shapely.boundary(area)), return_index=True)
    steps = np.abs(np.diff(points, axis=0))[ring[:-1] == ring[1:]]
    return bool((steps.min(axis=1) <= NEAR * np.ptp(points, axis=0).max()).all())


def spans_by_height(area: shapely.Geometry) -> list[tuple[float, float, list[tuple[float, float]]]]:
    """A rectilinear area as (low y, high y, spans in x) tuples."""
    x0, y0, x1, y1 = area.bounds
    heights = np.unique(shapely.get_coordinates(area)[:, 1])
    levels = []
    for low, high in pairwise(map(float, heights)):
        if high - low <= NEAR * (y1 - y0):
            continue
        across = shapely.LineString([(x0 - 1, (low + high) / 2), (x1 + 1, (low + high) / 2)])
        parts = shapely.get_parts(shapely.intersection(area, across))
        spans = sorted((float(part.bounds[0]), float(part.bounds[2])) for part in parts)
        levels.append((low, high, [span for span in spans if span[1] > span[0]]))
    return levels


def lies_on(lines: shapely.Geometry, x: float, y: float) -> bool:
    point = shapely.Point(x, y)
    return bool(shapely.distance(lines, point) <= NEAR * max(1.0, abs(x), abs(y)))


def distinct(heights: list[float]) -> list[float]:
    """Sorted heights, without those that differ from another only by rounding."""
    ordered = sorted(heights)
    reach = NEAR * (ordered[-1] - ordered[0])
    unique = ordered[:1]
    for height in ordered[1:]:
        if height - unique[-1] > reach:
            unique.append(height)
    return unique


# Levels of a form, with curves as chords


CHORD_M = 1e-5
"""Chord tolerance for curves of a form."""

SAME_M = 1e-6
"""Tolerance within which heights and edges of a form coincide."""


@frozen(eq=False)
class Level:
    """Plan of the piece between two heights above the form bottom."""

    low_m: float
    high_m: float
    plan: shapely.Geometry


def levels_of_zones(zones: Sequence[Zone]) -> tuple[Level, ...]:
    return tuple(Level(zone.start_m, zone.end_m, tidy(coarse(zone.at(zone.middle_m)))) for zone in zones)


def turned_over(levels: Sequence[Level]) -> tuple[Level, ...]:
    top = levels[-1].high_m if levels else 0.0
    return tuple(Level(top - level.high_m, top - level.low_m, level.plan) for level in reversed(levels))


def coarse(plan: Plan) -> shapely.Geometry:
    """A plan with straight edges only; curves become chords within `CHORD_M`."""
    area = plan.straight
    if plan.added:
        area = shapely.union_all([area, *(region.polygon(CHORD_M) for region in plan.added)])
    return pierced(area, [region.polygon(CHORD_M) for region in plan.cut])


def _distinct_heights(values: Iterable[float]) -> list[float]:
    """Sorted values, without those closer than `SAME_M` to the one before."""
    heights: list[float] = []
    for value in sorted(values):
        if not heights or value - heights[-1] > SAME_M:
            heights.append(value)
    return heights


def tidy(area: shapely.Geometry) -> shapely.Geometry:
    """The polygons of an area, without slivers."""
    parts = [part for part in shapely.get_parts(area) if part.geom_type == "Polygon"]
    return shapely.union_all([part for part in parts if part.area > SAME_M * part.length])


def levels_of_stacks(add: Sequence[Stack], subtract: Sequence[Stack]) -> tuple[Level, ...]:
    """Levels, from the lowest up, of the union of some stacks less others."""
    stacks = [*add, *subtract]
    heights = _distinct_heights(z for stack in stacks for prism in stack.prisms for z in (prism.start_m, prism.end_m))
    levels = []
    for low, high in pairwise(heights):
        middle = (low + high) / 2
        plans = [[coarse(p.plan) for p in stack.prisms if p.start_m < middle < p.end_m] for stack in stacks]
        plan = shapely.union_all([part for parts in plans[: len(add)] for part in parts])
        removed = shapely.union_all([part for parts in plans[len(add) :] for part in parts])
        plan = tidy(shapely.difference(plan, removed))
        if not plan.is_empty:
            levels.append(Level(low, high, plan))
    lowest = levels[0].low_m if levels else 0.0
    return tuple(Level(level.low_m - lowest, level.high_m - lowest, level.plan) for level in levels)
