"""Cross-sections of flat pieces, for bending checks: what is left beside a cut-out, drops and ribs counted."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from geometry.arrays import Floats
from geometry.edges import Box, crossed_places, edges_of, material_at
from geometry.errors import FaultError
from geometry.frozen import frozen
from geometry.message import message
from geometry.plan import NEAR
from geometry.shape import Bounds, Shape
from geometry.views import Axis

BESIDE = 1e-7
"""Share of the piece's extent by which a section at an edge is taken to either side of it."""

STATIONS = 33
"""Stations across a curved opening, both ends and the middle in."""


@frozen
class Section:
    """A cross-section square to an axis, bending about its horizontal centroid axis.

    at_m             where along the axis
    area_m2          net
    width_m          net: the lengths of the strips together
    second_moment_m4 about the horizontal centroid axis
    modulus_top_m3   second moment over the distance to the highest fiber (largest z); bottom to the lowest
    strips           where there is material, seen from above: from and to across the axis
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
        """The modulus of the face that is stressed most, whichever is up."""
        return min(self.modulus_top_m3, self.modulus_bottom_m3)


def section_at(shape: Shape, axis: Axis, at_m: float) -> Section:
    """The section square to `axis` at a station. Where it meets an edge, the weaker side of the edge counts.

    The strips are taken as bending as one, which they do only while something ties them together.
    Raises FaultError for a shape that cannot be built and a station outside it.
    """
    return _Cut(shape, axis).at(at_m)


def weakest_section(shape: Shape, axis: Axis, between_m: tuple[float, float] | None = None) -> Section:
    """The section of least modulus along `axis`, or between two stations along it.

    Between corners of the plan widths run straight, so the stations looked at are its corners, the middles between
    them, and points across curves. Raises FaultError as `section_at`.
    """
    cut = _Cut(shape, axis)
    low, high = between_m or cut.sound_ends(shape.footing_bounds())
    return cut.at(cut.weakest(cut.stations(low, high)))


def weakest_of_plate(outer: Box, openings: Sequence[Floats], thickness_m: float, axis: Axis) -> Section:
    """`weakest_section` of a plate of even thickness that is a rectangle with openings inside it and apart.

    outer     least x and y, greatest x and y
    openings  (n, 2) fine rings of points, in the same axes
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
    at_m = float(stations[_first_least(width) // 2])
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
"""A width below it is the rounding of none."""


class _Cut:
    """A flat piece to be cut across one axis."""

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
        """From and to along the axis, without the ends that run out to an edge of no thickness and carry nothing."""
        if footing is None:
            return self.ends
        return max(self.ends[0], footing[self.axis]), min(self.ends[1], footing[self.axis + 2])

    def stations(self, low: float, high: float) -> Sequence[float]:
        marks = [np.array([low, high])]
        for area in self.outlines:
            for part in shapely.get_parts(shapely.boundary(area)):
                places = shapely.get_coordinates(part)[:, self.axis]
                if len(places) > 4 * STATIONS:  # a curve in many lines
                    places = np.linspace(places.min(), places.max(), STATIONS)
                marks.append(places)
        stations = np.unique(np.concatenate(marks).round(12))
        stations = np.unique(np.concatenate([stations, (stations[1:] + stations[:-1]) / 2]))
        kept: list[float] = stations[(stations >= low) & (stations <= high)].tolist()
        return kept

    def weakest(self, stations: Sequence[float]) -> float:
        """The station of least modulus: all of them at once, by what each edge of a plan adds to the width there."""
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
        whole = area > 0.0
        if not whole.any():
            raise FaultError("", message("section-empty", station_m=stations[0]))
        center = np.divide(first, area, out=np.zeros_like(area), where=whole)
        reach = np.maximum(high - center, center - low)
        deep = whole & (reach > 0.0)
        modulus = np.divide(second - first * center, reach, out=np.full_like(area, np.inf), where=deep)
        return float(stations[_first_least(modulus) // 2])

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
    """Width of a plan along the line across it at each place, none of which is one of its corners.

    Where a ring runs round its material to the left, an edge that crosses the line counts its crossing for the width
    on the far side of it and against it on the near side; a hole runs the other way.
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


def _first_least(figures: Floats) -> int:
    """Number of the first of the figures that is the least; what rounding alone sets apart is alike."""
    least = figures.min()
    return int(np.argmax(figures <= least + NEAR * abs(least)))


def _runs_left(ring: Floats) -> bool:
    """Whether a ring of points (n, 2) runs round its inside to the left."""
    x, y = ring.T
    return float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) > 0.0


def _crossings(edges: Floats, places: Floats) -> Floats:
    """Where edges cross the line at each place, (p,): those that run on, less those that run back.

    edges   (n, 4), as `edges_of` gives them
    places  (p,) along, none of which is a corner
    """
    order = np.argsort(places)
    edge, rank = crossed_places(edges[:, 0], edges[:, 2], places[order])
    place, start, run = order[rank], edges[edge, 0], edges[edge, 2] - edges[edge, 0]
    crossing = edges[edge, 1] + (edges[edge, 3] - edges[edge, 1]) * (places[place] - start) / run
    return np.bincount(place, np.sign(run) * crossing, minlength=len(places)).astype(np.float64)


def _merged(lines: shapely.Geometry) -> list[shapely.Geometry]:
    merged = shapely.line_merge(lines) if lines.geom_type == "MultiLineString" else lines
    return [part for part in shapely.get_parts(merged) if part.length > 0]
