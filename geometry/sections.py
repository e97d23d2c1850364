"""Cross-sections of flat pieces for bending checks: net of cut-outs, with drops and ribs."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from geometry.arrays import Floats, Ints
from geometry.edges import Box, crossed_places, edges_of, material_at
from geometry.errors import FaultError
from geometry.frozen import frozen
from geometry.message import message
from geometry.plan import NEAR
from geometry.shape import Bounds, Shape
from geometry.views import Axis

BESIDE = 1e-7
"""Offset to either side of an edge at which its sections are taken, as a fraction of the piece's extent."""

STATIONS = 33
"""Stations across a curved opening, including both ends and the middle."""


@frozen
class Section:
    """A cross-section square to an axis, bending about its horizontal centroid axis.

    at_m               station along the axis
    area_m2            net area
    width_m            net width, the total length of the strips
    second_moment_m4   about the horizontal centroid axis
    modulus_top_m3     second moment over the distance to the top fiber (largest z)
    modulus_bottom_m3  second moment over the distance to the bottom fiber
    strips             intervals (from, to) of material across the axis, seen from above
    """

    at_m: float
    area_m2: float
    width_m: float
    second_moment_m4: float
    modulus_top_m3: float
    modulus_bottom_m3: float
    strips: tuple[tuple[float, float], ...]

    @property
    def least_modulus_m3(self) -> float:
        """Modulus of the more highly stressed face, whichever is up."""
        return min(self.modulus_top_m3, self.modulus_bottom_m3)


def first_least(figures: Floats) -> Ints:
    """Index of the first minimum along the last axis; values that differ only by rounding count as equal."""
    least = figures.min(axis=-1, keepdims=True)
    return np.asarray((figures <= least + NEAR * np.abs(least)).argmax(axis=-1))


def section_at(shape: Shape, axis: Axis, at_m: float) -> Section:
    """Section square to `axis` at a station. At an edge, the weaker side counts.

    The strips are assumed to bend as one, which is true only while something ties them together.
    Raises FaultError for impossible dimensions and for a station outside the shape.
    """
    return _Cut(shape, axis).at(at_m)


def weakest_section(shape: Shape, axis: Axis, between_m: tuple[float, float] | None = None) -> Section:
    """Section of least modulus along `axis`, or between two stations along it.

    Widths vary linearly between corners of the plan, so the stations tested are the corners, the midpoints between
    them, and points along curves. Raises what `section_at` raises.
    """
    cut = _Cut(shape, axis)
    low, high = between_m or cut.sound_ends(shape.footing_bounds())
    return cut.at(cut.weakest(cut.stations(low, high)))


def weakest_of_plate(outer: Box, openings: Sequence[Floats], thickness_m: float, axis: Axis) -> Section:
    """`weakest_section` of a rectangular plate of constant thickness with separate openings inside it.

    outer     bounds (x0, y0, x1, y1)
    openings  (n, 2) finely flattened rings, in the same coordinates
    """
    along = ("x", "y").index(axis)
    low, high = outer[along], outer[along + 2]
    rings = [ring if along == 0 else ring[:, ::-1] for ring in openings]
    marks = [np.array([low, high])]
    for ring in rings:
        places = ring[:, 0]
        marks.append(np.linspace(places.min(), places.max(), STATIONS) if len(places) >= 4 * STATIONS else places)
    stations = np.unique(np.concatenate(marks).round(12))
    stations = np.unique(np.concatenate([stations, (stations[1:] + stations[:-1]) / 2]))
    beside = BESIDE * (high - low)
    places = np.add.outer(stations, (-beside, beside)).ravel()
    edges = edges_of([_corners(outer, along), *(ring if _runs_left(ring) else ring[::-1] for ring in rings)])
    width = np.where((low < places) & (places < high), outer[3 - along] - outer[1 - along], np.inf)
    width -= np.abs(_crossings(edges[4:], places))
    at_m = float(stations[int(first_least(width)) // 2])
    lines = material_at(edges, [place for place in (at_m - beside, at_m + beside) if low < place < high])
    line = min(lines, key=lambda line: sum([end - start for start, end in line]))
    across_m = sum([end - start for start, end in line])
    modulus_m3 = across_m * thickness_m**2 / 6.0
    second_m4 = modulus_m3 * thickness_m / 2.0
    return Section(at_m, across_m * thickness_m, across_m, second_m4, modulus_m3, modulus_m3, tuple(line))


def _corners(box: Box, along: int) -> Floats:
    """Corners (4, 2) of a box as (along, across)."""
    x0, x1, y0, y1 = box[along], box[along + 2], box[1 - along], box[3 - along]
    return np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)])


WIDTH_NEAR_M = 1e-12
"""A smaller width is 0 up to rounding."""

POINT = 1e-3
"""Part of the largest or mean area: a smaller section is the point in which a piece ends, which carries no load."""


class _Cut:
    """Cuts through a flat piece square to one axis."""

    def __init__(self, shape: Shape, axis: Axis) -> None:
        self.axis = ("x", "y").index(axis)
        slices = shape.slices()
        if slices is None:
            raise FaultError("", message("section-not-flat", kind=type(shape).__name__.lower()))
        self.zones, self.top_up = slices.zones, slices.down
        plans = [zone.at(depth) for zone in self.zones for depth in (zone.start_m, zone.middle_m)]
        self.outlines = [plan.polygon for plan in plans if not plan.polygon.is_empty]
        boxes = np.array([area.bounds for area in self.outlines])
        self.ends = float(boxes[:, self.axis].min()), float(boxes[:, self.axis + 2].max())
        self.across = float(boxes[:, 1 - self.axis].min()) - 1.0, float(boxes[:, 3 - self.axis].max()) + 1.0

    def sound_ends(self, footing: Bounds | None) -> tuple[float, float]:
        """Range along the axis without undercut ends, which taper to zero thickness and carry no load."""
        if footing is None:
            return self.ends
        return max(self.ends[0], footing[self.axis]), min(self.ends[1], footing[self.axis + 2])

    def stations(self, low: float, high: float) -> Sequence[float]:
        marks = [np.array([low, high])]
        for area in self.outlines:
            for part in shapely.get_parts(shapely.boundary(area)):
                places = shapely.get_coordinates(part)[:, self.axis]
                if len(places) > 4 * STATIONS:  # a flattened curve
                    places = np.linspace(places.min(), places.max(), STATIONS)
                marks.append(places)
        stations = np.unique(np.concatenate(marks).round(12))
        stations = np.unique(np.concatenate([stations, (stations[1:] + stations[:-1]) / 2]))
        kept: list[float] = stations[(stations >= low) & (stations <= high)].tolist()
        return kept

    def weakest(self, stations: Sequence[float]) -> float:
        """Station of least modulus, from the contributions of all plan edges to the widths at all stations."""
        beside = BESIDE * (self.ends[1] - self.ends[0])
        places = np.add.outer(np.asarray(stations, dtype=float), (-beside, beside)).ravel()
        area, first, second = np.zeros((3, len(places)))
        low, high = np.full(len(places), np.inf), np.full(len(places), -np.inf)
        for zone in self.zones:
            for depth, share, plan in zone.slices():
                width = _widths(plan.polygon, places, self.axis)
                solid = width > WIDTH_NEAR_M
                start, end = (zone.start_m, zone.end_m) if not zone.varies else (depth, depth)
                low[solid], high[solid] = np.minimum(low[solid], start), np.maximum(high[solid], end)
                area += width * share
                first += width * share * depth
                second += width * share * (depth**2 + (0.0 if zone.varies else share**2 / 12))
        whole = area > POINT * area.max()
        if not whole.any():
            raise FaultError("", message("section-empty", station_m=stations[0]))
        center = np.divide(first, area, out=np.zeros_like(area), where=whole)
        reach = np.maximum(high - center, center - low)
        deep = whole & (reach > 0.0)
        modulus = np.divide(second - first * center, reach, out=np.full_like(area, np.inf), where=deep)
        return float(stations[int(first_least(modulus)) // 2])

    def at(self, station: float) -> Section:
        beside = BESIDE * (self.ends[1] - self.ends[0])
        if not self.ends[0] - beside <= station <= self.ends[1] + beside:
            raise FaultError(
                "",
                message("section-misses", station_m=station, from_m=self.ends[0], to_m=self.ends[1]),
            )
        sides = [self._exactly(place, station) for place in (station - beside, station + beside)]
        whole = [side for side in sides if side is not None]
        if not whole:
            raise FaultError("", message("section-empty", station_m=station))
        return min(whole, key=lambda side: side.least_modulus_m3)

    def _exactly(self, place: float, station: float) -> Section | None:
        if not self.ends[0] < place < self.ends[1]:
            return None
        area = first = second = 0.0
        low, high = np.inf, -np.inf
        seen: list[shapely.Geometry] = []
        for zone in self.zones:
            for depth, share, plan in zone.slices():
                spans = self._spans(plan.polygon, place)
                width = float(spans.length)
                if width == 0.0:
                    continue
                seen.append(spans)
                start, end = (zone.start_m, zone.end_m) if not zone.varies else (depth, depth)
                low, high = min(low, start), max(high, end)
                area += width * share
                first += width * share * depth
                second += width * share * (depth**2 + (0.0 if zone.varies else share**2 / 12))
        if area == 0.0:
            return None
        center = first / area
        about = second - first * center
        upper, lower = (center - low, high - center) if self.top_up else (high - center, center - low)
        covered = shapely.union_all(seen)
        across = 1 - self.axis
        strips = sorted((float(p.bounds[across]), float(p.bounds[across + 2])) for p in _merged(covered))
        return Section(station, area, float(covered.length), about, about / upper, about / lower, tuple(strips))

    def _spans(self, plan: shapely.Geometry, place: float) -> shapely.Geometry:
        ends = [(place, self.across[0]), (place, self.across[1])]
        line = shapely.LineString(ends if self.axis == 0 else [(y, x) for x, y in ends])
        return shapely.intersection(plan, line)


def _widths(plan: shapely.Geometry, places: Floats, axis: int) -> Floats:
    """Widths (p,) of a plan along lines across it at given positions, none of which is at a corner.

    With the material on the left of each ring, the width is the sum of the crossings of edges in one direction less
    those in the other; holes run clockwise.
    """
    edges: list[Floats] = []
    for polygon in shapely.get_parts(plan):
        for number, ring in enumerate([polygon.exterior, *polygon.interiors]):
            points = shapely.get_coordinates(ring)[:-1]
            edges.append(edges_of([points if bool(shapely.is_ccw(ring)) == (number == 0) else points[::-1]]))
    if not edges:
        return np.zeros(len(places))
    turned = np.concatenate(edges)
    return -_crossings(turned, places) if axis == 0 else _crossings(turned[:, [1, 0, 3, 2]], places)


def _runs_left(ring: Floats) -> bool:
    """Whether a ring of points (n, 2) is counterclockwise."""
    x, y = ring.T
    return float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) > 0.0


def _crossings(edges: Floats, places: Floats) -> Floats:
    """Signed sums (p,) of the crossings of edges with lines across: forward edges less backward ones.

    edges   (n, 4) from `edges_of`
    places  (p,) positions along, none at a corner
    """
    order = np.argsort(places)
    edge, rank = crossed_places(edges[:, 0], edges[:, 2], places[order])
    place, start, run = order[rank], edges[edge, 0], edges[edge, 2] - edges[edge, 0]
    crossing = edges[edge, 1] + (edges[edge, 3] - edges[edge, 1]) * (places[place] - start) / run
    return np.bincount(place, np.sign(run) * crossing, minlength=len(places)).astype(np.float64)


def _merged(lines: shapely.Geometry) -> list[shapely.Geometry]:
    merged = shapely.line_merge(lines) if lines.geom_type == "MultiLineString" else lines
    return [part for part in shapely.get_parts(merged) if part.length > 0]
