"""Cross-sections of a carried piece: net sections, spans beside cut-outs, and the piece as a flat plate."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cached_property
from itertools import pairwise
from math import ceil, hypot
from typing import Literal, cast

import numpy as np

from estimator.constants import STANDARD_GRAVITY_M_S2, above, below, require_positive
from estimator.errors import FaultError
from estimator.handling.rigging import LINE_TOLERANCE_M, TWO_POINT_PART, PlanPoint
from geometry import shapes
from geometry.arrays import Floats
from geometry.cutouts import Box, outlines_of
from geometry.edges import (
    box_around,
    clearances_m,
    edges_of,
    is_box,
    least_distance_m,
    lie_apart,
    material_at,
    material_on,
    near_pairs,
)
from geometry.frozen import frozen
from geometry.message import Message, message
from geometry.plane import Region
from geometry.sections import POINT, Section, first_least, weakest_of_plate, weakest_section
from geometry.shape import Plate
from geometry.solid import Solid
from geometry.views import Axis

Lie = Literal["flat", "edge"]
_SAME = 1e-9  # m; edges closer than this coincide
_SLANT_PARTS = 8  # most parts into which a stretch with slanting edges is divided
_FINE_PART = 0.02  # of the length: a stretch this short is not divided further


@frozen
class Rectangle:
    """Part of a cross-section: y0 to y1 across, z0 to z1 high, m."""

    y0: float
    y1: float
    z0: float
    z1: float

    @property
    def area_m2(self) -> float:
        return (self.y1 - self.y0) * (self.z1 - self.z0)


@frozen
class SectionModulus:
    """Section properties about the neutral axis; low and high are the lowest and the highest face."""

    area_m2: float
    second_moment_m4: float
    low_m3: float
    high_m3: float

    @property
    def least_m3(self) -> float:
        """Smaller of the two moduli, which governs whichever face is up."""
        return min(self.low_m3, self.high_m3)


@frozen
class DeepStrip:
    """A strip of the plan where the slab is `height_m` deep from its top, not its usual thickness."""

    x0: float
    y0: float
    x1: float
    y1: float
    height_m: float


@frozen
class Stretch:
    """Part of the length with one cross-section: its weakest section and its true weight.

    parts       rectangles of the section; empty if it is not made of rectangles
    moduli_m3   its least section moduli lying flat and on edge; None: computed from its rectangles
    """

    from_m: float
    to_m: float
    n_per_m: float
    parts: tuple[Rectangle, ...]
    moduli_m3: tuple[float, float] | None = None

    @property
    def weight_n(self) -> float:
        return self.n_per_m * (self.to_m - self.from_m)

    def least_modulus_m3(self, attitude: Lie) -> float:
        """Section modulus that governs whichever face is up."""
        if self.moduli_m3 is not None:
            return self.moduli_m3[0 if attitude == "flat" else 1]
        return section_modulus(self.parts, attitude).least_m3


def section_modulus(parts: Sequence[Rectangle], attitude: Lie) -> SectionModulus:
    """Second moment and section moduli of disjoint rectangles that bend as one (parallel-axis theorem).

    attitude   flat: bending about the horizontal y axis; edge: the slab stands on the edge of least y

    At a cut-out the strips bend as one only if something holds them together: on edge, the piece left and right of
    the cut-out, or a strongback clamped across.

    >>> modulus = section_modulus([Rectangle(0.0, 0.65, -0.025, 0.0)], "flat")
    >>> round(modulus.low_m3 * 1e6, 3)      # b t² / 6 in cm³
    67.708
    """
    spans = [(p.z0, p.z1, p.y1 - p.y0) if attitude == "flat" else (p.y0, p.y1, p.z1 - p.z0) for p in parts]
    area_m2 = sum(width * (top - foot) for foot, top, width in spans)
    require_positive("area-of-the-cross-section", area_m2, "m²")
    axis = sum(width * (top - foot) * (foot + top) / 2.0 for foot, top, width in spans) / area_m2
    second = 0.0
    for foot, top, width in spans:
        deep, off = top - foot, (foot + top) / 2.0 - axis
        second += width * (deep * deep * deep) / 12.0 + width * deep * (off * off)
    lowest, highest = min(foot for foot, _, _ in spans), max(top for _, top, _ in spans)
    return SectionModulus(area_m2, second, second / (axis - lowest), second / (highest - axis))


def stretches_of_slab(
    outline: Sequence[PlanPoint],
    cutouts: Sequence[Sequence[PlanPoint]],
    thickness_m: float,
    density_kg_m3: float,
    drops: Sequence[DeepStrip] = (),
) -> tuple[Stretch, ...]:
    """Divide a slab along its length into stretches of one cross-section each.

    outline, cutouts   rings of points, m; curves flattened, with a chord tolerance small against the slab
    density_kg_m3      high-side density
    drops              strips of the plan that are deeper than the slab

    Where edges slant or curve, a stretch has its true mean weight and its weakest cross-section.
    """
    from shapely.geometry import Polygon

    require_positive("thickness", thickness_m, "m")
    require_positive("density", density_kg_m3, "kg/m³")
    plan = Polygon(outline, cutouts)
    if not plan.is_valid or plan.area <= 0.0:
        raise FaultError("", message("rings-bound-no-slab"))
    for drop in drops:
        if drop.height_m <= thickness_m:
            raise FaultError("", message("drop-not-deeper", height_m=drop.height_m, thickness_m=thickness_m))
    return _stretches_between(edges_of((outline, *cutouts)), thickness_m, density_kg_m3, drops)


def _stretches_between(
    edges: Floats, thickness_m: float, density_kg_m3: float, drops: Sequence[DeepStrip]
) -> tuple[Stretch, ...]:
    """Same as `stretches_of_slab`, for a plan known to be valid."""
    corners = edges[:, 0].tolist()
    left, right = min(corners), max(corners)
    places = [left]
    for x in sorted({*corners, *(x for drop in drops for x in (drop.x0, drop.x1))}):
        if places[-1] + _SAME < x <= right:
            places.append(x)
    ends: list[tuple[float, float]] = []
    seen: list[tuple[tuple[Rectangle, ...], tuple[Rectangle, ...]] | None] = []  # end sections of undivided stretches
    whole = list(pairwise(places))
    stations = [x for x0, x1 in whole for x in _just_inside(x0, x1)]
    lines = iter(_cross_sections(edges, thickness_m, drops, stations))
    for (x0, x1), start, end in zip(whole, lines, lines, strict=True):
        count = 1 if _alike(start, end) else min(_SLANT_PARTS, ceil((x1 - x0) / (_FINE_PART * (right - left))))
        ends += [(x0 + (x1 - x0) * part / count, x0 + (x1 - x0) * (part + 1) / count) for part in range(count)]
        seen += [(start, end)] if count == 1 else [None] * count
    stations = [
        x
        for (a, b), whole_ends in zip(ends, seen, strict=True)
        for x in (*(() if whole_ends else _just_inside(a, b)), (a + b) / 2.0)
    ]
    faces = iter(_cross_sections(edges, thickness_m, drops, stations))
    specific_n_m3 = density_kg_m3 * STANDARD_GRAVITY_M_S2
    stretches = []
    for (a, b), whole_ends in zip(ends, seen, strict=True):
        start, end = whole_ends or (next(faces), next(faces))
        middle = next(faces)
        # Between breaks the edges are straight, so the middle has the mean area.
        alike = start == middle == end
        area_m2 = sum(part.area_m2 for part in middle)
        weakest = start if alike else _weakest_face((start, end, middle), area_m2)
        moduli_m3 = _flat_modulus(weakest), section_modulus(weakest, "edge").least_m3
        stretches.append(Stretch(a - left, b - left, area_m2 * specific_n_m3, weakest, moduli_m3))
    return tuple(stretches)


def narrowest_rail(outline: Sequence[PlanPoint], cutouts: Sequence[Sequence[PlanPoint]]) -> float | None:
    """Width of the narrowest rail, m: from a cut-out to the edge or to the next cut-out. None without cut-outs."""
    return least_distance_m(outline, cutouts)


def _weakest_face(faces: Sequence[tuple[Rectangle, ...]], mean_m2: float) -> tuple[Rectangle, ...]:
    """Section that governs a stretch, of those at its ends and in its middle.

    Where the stretch comes to a point, what it carries vanishes faster than the section, and the stress with it: from a
    point with x, the moment of its own weight grows with x cubed and the section with x. The middle then counts, with
    half the section of the far end.
    """
    solid = [face for face in faces if sum(part.area_m2 for part in face) > POINT * mean_m2]
    return min(solid, key=_flat_modulus)


def _flat_modulus(parts: tuple[Rectangle, ...]) -> float:
    if len({(part.z0, part.z1) for part in parts}) == 1:  # one depth, the usual case
        return sum(part.y1 - part.y0 for part in parts) * (parts[0].z1 - parts[0].z0) ** 2 / 6.0
    return section_modulus(parts, "flat").least_m3


def _just_inside(x0: float, x1: float) -> tuple[float, float]:
    nudge = (x1 - x0) * 1e-6  # a cut exactly through a corner would be ambiguous
    return x0 + nudge, x1 - nudge


def _alike(first: tuple[Rectangle, ...], second: tuple[Rectangle, ...]) -> bool:
    if len(first) != len(second):
        return False
    return all(
        max(abs(a.y0 - b.y0), abs(a.y1 - b.y1), abs(a.z0 - b.z0)) < _SAME for a, b in zip(first, second, strict=True)
    )


def _cross_sections(
    edges: Floats, thickness_m: float, drops: Sequence[DeepStrip], stations: Sequence[float]
) -> list[tuple[Rectangle, ...]]:
    """Sections perpendicular to the length at stations that are not at corners of the plan."""
    lines = material_at(edges, stations)
    if not drops:
        return [tuple(Rectangle(y0, y1, -thickness_m, 0.0) for y0, y1 in line) for line in lines]
    sections = []
    for x, line in zip(stations, lines, strict=True):
        across = [drop for drop in drops if drop.x0 <= x <= drop.x1]
        parts: list[Rectangle] = []
        for y0, y1 in line:
            cuts = {y0, y1} | {y for drop in across for y in (drop.y0, drop.y1) if y0 < y < y1}
            for a, b in pairwise(sorted(cuts)):
                middle = (a + b) / 2.0
                deep = max((d.height_m for d in across if d.y0 <= middle <= d.y1), default=thickness_m)
                parts.append(Rectangle(a, b, -deep, 0.0))
        sections.append(tuple(parts))
    return sections


@frozen
class Span:
    """A shape as a beam along one of its own axes (0 or 1), at unit density; `ignored` names what is not counted."""

    axis: int
    stretches: tuple[Stretch, ...]
    ignored: tuple[Message, ...]


def span_of(shape: shapes.Shape) -> Span | None:
    """Shape as a beam; None for a shape without a single cross-section along its longer side."""
    beam = shape.beam()
    if beam is None:
        return None
    parts = tuple(Rectangle(*corners) for corners in beam.rectangles)
    stretches = tuple(Stretch(start, end, n_per_m, parts, beam.moduli_m3) for start, end, n_per_m in beam.stretches)
    return Span(beam.axis, stretches, beam.left_out)


EdgeUp = Literal["front", "back", "left", "right", "bottom", "top"]

HIGH_SIDES: frozenset[EdgeUp] = frozenset({"back", "right", "top"})  # sides of the plan at the largest across
OPENING_PART = 0.25  # of the width: a piece with a wider cut-out is braced before it goes on edge; choice
BEARING_PARTS = (0.207, 0.17, 0.13, 0.10, 0.07, 0.04)  # fractions of the length, from either end
BEARING_CLEAR_M = 0.05  # from a cut-out to the middle of a foam block; choice
STANDS_PART = 0.1  # of the length, from the center to either end of what bears: less rolls or tips; choice
EDGE_M = 0.002  # from an edge of the plan, where the stretches of material along it are taken
RAIL_ALIKE_M = 0.001  # rails whose widths differ by less count as equal
CHORD_M = 0.001  # chord tolerance of curves in plan; their area is kept
RAIL_STEP_M = 0.010  # between the places along a cut-out at which its rails are measured; choice


@frozen
class Notch:
    """A cut-out open at an edge, in (along, across), m.

    ring      outline of the cut-out
    along     whether its two rails run along the piece
    rail_m    width of the narrowest rail, beside or behind it
    """

    ring: tuple[PlanPoint, ...]
    along: bool
    rail_m: float

    @property
    def transposed(self) -> Notch:
        """Same notch with along and across swapped."""
        return Notch(tuple((y, x) for x, y in self.ring), not self.along, self.rail_m)


@frozen(slots=False)
class FlatPiece:
    """A plate with its openings and deeper strips, in (along, across), m.

    outline, cutouts   rings of points; notches are already taken out of the outline
    thickness_m        thickness of the plate at its thinnest
    drops              strips of the plan that are deeper: drop edges of a slab, returns of a panel
    ignored            what stiffens or weakens it but is not counted
    sides              names of the sides at low y, high y, low x and high x of its own plan
    face_up            whether its finished face is its top
    even               only plate, openings and strips: no taper, rib, rim or worked edge
    openings           cut-outs of a rectangular plate if all are rectangles inside it and separate, each from
                       (along, across) to (along, across); None for any other plate
    pierced            whether it is a rectangle with separate openings of any outline inside it
    notches            cut-outs open at an edge, as a seam through a sink cut-out leaves them
    """

    outline: tuple[PlanPoint, ...]
    cutouts: tuple[tuple[PlanPoint, ...], ...]
    thickness_m: float
    drops: tuple[DeepStrip, ...]
    turned: bool
    corner_m: PlanPoint
    ignored: tuple[Message, ...]
    sides: tuple[str, str, str, str] = ("front", "back", "left", "right")
    face_up: bool = True
    even: bool = False
    openings: tuple[Box, ...] | None = None
    pierced: bool = False
    notches: tuple[Notch, ...] = ()

    @cached_property
    def length_m(self) -> float:
        return max(x for x, _ in self.outline)

    @cached_property
    def width_m(self) -> float:
        return max(y for _, y in self.outline)

    @cached_property
    def narrowest_rail_m(self) -> float | None:
        """Width of the narrowest rail at a cut-out; None without cut-outs."""
        if self.openings is None:
            beside = narrowest_rail(self.outline, self.cutouts)
            return min(
                [*(() if beside is None else (beside,)), *(notch.rail_m for notch in self.notches)], default=None
            )
        widths = [
            width for x0, y0, x1, y1 in self.openings for width in (x0, y0, self.length_m - x1, self.width_m - y1)
        ]
        if not widths:
            return None
        for i, j in near_pairs(self.openings, min(widths)):
            a, b = self.openings[i], self.openings[j]
            widths.append(hypot(max(a[0] - b[2], b[0] - a[2], 0.0), max(a[1] - b[3], b[1] - a[3], 0.0)))
        return min(widths)

    def rails_under(self, width_m: float) -> list[tuple[PlanPoint, PlanPoint]]:
        """Where each rail narrower than a width is narrowest, from one of its sides to the other.

        A rail runs from a cut-out to an edge or to the next cut-out, or beside or behind a notch.
        """
        rails = [*self._rails_at_cutouts(width_m)] if self.cutouts else []
        for notch in self.notches:
            for axis in (0, 1):
                low_m, high_m = (f(point[axis] for point in notch.ring) for f in (min, max))
                at_m = (low_m + high_m) / 2.0
                sides_m = [f(point[1 - axis] for point in notch.ring) for f in (min, max)]
                for start_m, end_m in self.material_along(axis, at_m):
                    beside = min(abs(m - side_m) for m in (start_m, end_m) for side_m in sides_m) <= CHORD_M
                    if beside and below(end_m - start_m, width_m):
                        ends = (start_m, at_m), (end_m, at_m)
                        rails.append(ends if axis == 1 else (ends[0][::-1], ends[1][::-1]))
        return rails

    def _rails_at_cutouts(self, width_m: float) -> Iterator[tuple[PlanPoint, PlanPoint]]:
        """Rails from each cut-out to the edges, their far ends apart from each other, and to the cut-outs before it."""
        import shapely

        sides = [shapely.LineString(pair) for pair in pairwise((*self.outline, self.outline[0]))]
        rings = [shapely.linearrings(ring) for ring in self.cutouts]
        tree = shapely.STRtree([*sides, *rings])
        for number, ring in enumerate(rings):
            spots = shapely.get_coordinates(shapely.segmentize(ring, RAIL_STEP_M))
            found: list[tuple[float, Floats]] = []
            for index in sorted(tree.query(ring, predicate="dwithin", distance=width_m).tolist()):
                if index >= len(sides) + number:
                    continue
                other = tree.geometries[index]
                line = shapely.shortest_line(ring, other)
                if not below(line.length, width_m):
                    continue
                near = spots[shapely.distance(shapely.points(spots), other) <= line.length + _SAME]
                if len(near) > 1:  # a rail of one width, which is shown at its middle
                    middle = near[np.hypot(*(near - near.mean(axis=0)).T).argmin()]
                    line = shapely.shortest_line(shapely.Point(middle), other)
                found.append((line.length, shapely.get_coordinates(line)))
            kept: list[Floats] = []
            for _, (start, end) in sorted(found, key=lambda rail: rail[0]):
                if all(np.hypot(*(end - other)) > width_m for other in kept):  # else the next piece of a curved edge
                    kept.append(end)
                    yield (float(start[0]), float(start[1])), (float(end[0]), float(end[1]))

    @cached_property
    def edges(self) -> Floats:
        """Start and end (along, across) of every edge of the plan, (n, 4), m."""
        return edges_of((self.outline, *self.cutouts))

    @cached_property
    def edge_rows(self) -> list[list[float]]:
        """`edges` as lists, those of the outline first."""
        rows: list[list[float]] = self.edges.tolist()
        return rows

    @cached_property
    def stretches(self) -> tuple[Stretch, ...]:
        """Cross-sections along the piece, at unit density."""
        return _stretches_between(self.edges, self.thickness_m, 1.0, self.drops)

    def edges_at(self, along_m: float) -> tuple[float, float] | None:
        """Where a line across the piece enters and leaves it, m across; None if it leaves it in between."""
        lines = material_on(self.edge_rows[: len(self.outline)], along_m)
        return lines[0] if len(lines) == 1 else None

    @property
    def _is_rectangle(self) -> bool:
        """Whether its outline, cut-outs aside, is known to be a rectangle."""
        return self.openings is not None or self.pierced

    @cached_property
    def square_ends(self) -> bool:
        """Whether both ends run straight across, worn or rounded corners aside.

        An end is square where the plate, as near to its outermost point as a shop can mark, is at least half as wide as
        a fifth in from there. Along any other end (angled, pointed, round) the distance from one place differs.
        """
        if self._is_rectangle:
            return True
        rows, length_m = self.edge_rows[: len(self.outline)], self.length_m

        def width_m(along_m: float) -> float:
            lines = material_on(rows, along_m)
            return lines[-1][1] - lines[0][0] if lines else 0.0

        places = (
            (LINE_TOLERANCE_M, TWO_POINT_PART * length_m),
            (length_m - LINE_TOLERANCE_M, (1.0 - TWO_POINT_PART) * length_m),
        )
        return all(2.0 * width_m(end_m) >= width_m(inside_m) for end_m, inside_m in places)

    def material_along(self, axis: int, at_m: float) -> list[PlanPoint]:
        """Start and end of each stretch of material on a line perpendicular to an axis, m along the line."""
        return material_on((self if axis == 0 else self.transposed).edge_rows, at_m)

    def clearances_m(self, points: Floats) -> Floats:
        """Distance of each point (n, 2) from the nearest edge, (n,), m; negative outside the piece and in a cut-out."""
        return clearances_m(points, self.edges)

    @cached_property
    def cutout_spans_m(self) -> tuple[tuple[float, float], ...]:
        """Start and end of each cut-out along the piece."""
        if self.openings is not None:
            return tuple((x0, x1) for x0, _, x1, _ in self.openings)
        rings = (*self.cutouts, *(notch.ring for notch in self.notches))
        return tuple((min(x for x, _ in ring), max(x for x, _ in ring)) for ring in rings)

    @cached_property
    def needs_strongback(self) -> bool:
        """Whether the piece may go on edge only with a strongback: a cut-out is too wide, or open at an edge."""
        if self.notches:
            return True
        spans_m = (max(y for _, y in ring) - min(y for _, y in ring) for ring in self.cutouts)
        return any(above(span_m, OPENING_PART * self.width_m) for span_m in spans_m)

    @property
    def bearings_m(self) -> tuple[float, ...]:
        """Where the piece bears on foam when it stands on edge, m along it: on its lower edge, never under a cut-out.

        () if its lower edge has no stretch on which it stands.
        """
        if whole := next(filter(self._bear, _bearing_pairs(0.0, self.length_m)), None):
            return whole
        if not self.notches and not self._stands[self._lower_side]:
            return ()
        # Where an end is open, the blocks go where the rails begin.
        pairs = _bearing_pairs(*(self._between_notches_m if self.notches else self.lower_edge_m))
        return next(filter(self._bear, pairs), pairs[-1])

    def _bear(self, pair_m: PlanPoint) -> bool:
        """Whether two blocks are under the lower edge, on either side of the center, and under no cut-out."""
        (first_m, last_m), (low_m, high_m) = pair_m, self.lower_edge_m
        room_m = STANDS_PART * self.length_m / 2.0
        if first_m < low_m or last_m > high_m or not first_m + room_m <= self._middle_m <= last_m - room_m:
            return False
        return not any(
            low - BEARING_CLEAR_M < x < high + BEARING_CLEAR_M for x in pair_m for low, high in self.cutout_spans_m
        )

    @property
    def lower_edge_m(self) -> PlanPoint:
        """Longest stretch of the edge that is down when the piece stands on edge, from and to, m along."""
        return self._edge_runs_m[self._lower_side]

    @property
    def _lower_side(self) -> int:
        """Index of the long side that is down when the piece stands on edge: 0 for the low side, 1 for the high one."""
        return 0 if self.edge_up in HIGH_SIDES else 1

    @cached_property
    def _middle_m(self) -> float:
        """Center of the plan, m along; of a rectangle, the middle of its length."""
        if self._is_rectangle:
            return self.length_m / 2.0
        import shapely

        return float(shapely.Polygon(self.outline, self.cutouts).centroid.x)

    @cached_property
    def _edge_runs_m(self) -> tuple[PlanPoint, PlanPoint]:
        """Longest stretch of each long side on which it can bear, from and to, m along; the low side first."""
        if self._is_rectangle:
            return (0.0, self.length_m), (0.0, self.length_m)
        low, high = (
            max(self.material_along(1, at_m), key=lambda run: run[1] - run[0], default=(0.0, 0.0))
            for at_m in (EDGE_M, self.width_m - EDGE_M)
        )
        return low, high

    @cached_property
    def _stands(self) -> tuple[bool, bool]:
        """Whether it stands on each long side, its center well within the stretch that bears; the low side first."""
        room_m = STANDS_PART * self.length_m
        low, high = (run[0] + room_m <= self._middle_m <= run[1] - room_m for run in self._edge_runs_m)
        return low, high

    @property
    def _between_notches_m(self) -> tuple[float, float]:
        """The part of the length between the notches at its two ends."""
        low_m, high_m = 0.0, self.length_m
        for notch in self.notches:
            start, end = min(x for x, _ in notch.ring), max(x for x, _ in notch.ring)
            if (start + end) / 2.0 < self.length_m / 2.0:
                low_m = max(low_m, end)
            else:
                high_m = min(high_m, start)
        return (low_m, high_m) if low_m < high_m else (0.0, self.length_m)

    @cached_property
    def edge_up(self) -> EdgeUp:
        """Long side that goes up when the piece stands on edge.

        A side on which it cannot stand goes up. With cut-outs the wider rail goes down, because it bears. Otherwise a
        drop edge or return goes up, where nothing can chip it. Otherwise the shorter side goes up, and of sides alike
        the front (a panel's top), because it is seen most.
        """
        sides = cast(tuple[EdgeUp, EdgeUp], self.sides[2:] if self.turned else self.sides[:2])
        if self._stands[0] != self._stands[1]:
            return sides[1] if self._stands[0] else sides[0]
        if rings := (*self.cutouts, *(notch.ring for notch in self.notches)):
            low_m = min([y for ring in rings for _, y in ring])
            high_m = self.width_m - max([y for ring in rings for _, y in ring])
            if abs(low_m - high_m) > RAIL_ALIKE_M:
                return sides[0] if low_m < high_m else sides[1]
        at_low = any(drop.y0 <= 0.0 and drop.y1 < self.width_m for drop in self.drops)
        at_high = any(drop.y1 >= self.width_m and drop.y0 > 0.0 for drop in self.drops)
        if at_low != at_high:
            return sides[0] if at_low else sides[1]
        low_m, high_m = (run[1] - run[0] for run in self._edge_runs_m)
        if abs(low_m - high_m) > LINE_TOLERANCE_M:
            return sides[0] if low_m < high_m else sides[1]
        return sides[0] if self.face_up or self.turned else sides[1]

    @cached_property
    def transposed(self) -> FlatPiece:
        """Same plate with along and across swapped."""
        return FlatPiece(
            tuple((y, x) for x, y in self.outline),
            tuple(tuple((y, x) for x, y in ring) for ring in self.cutouts),
            self.thickness_m,
            tuple(DeepStrip(drop.y0, drop.x0, drop.y1, drop.x1, drop.height_m) for drop in self.drops),
            not self.turned,
            self.corner_m,
            self.ignored,
            self.sides,
            face_up=self.face_up,
            even=self.even,
            pierced=self.pierced,
            openings=None if self.openings is None else tuple((b, a, d, c) for a, b, c, d in self.openings),
            notches=tuple(notch.transposed for notch in self.notches),
        )

    def seen(self, point_m: Sequence[float]) -> PlanPoint:
        """(along, across) of a point given in the piece's own plan."""
        x, y = point_m[0] - self.corner_m[0], point_m[1] - self.corner_m[1]
        return (y, x) if self.turned else (x, y)

    def own(self, point_m: PlanPoint) -> PlanPoint:
        """Point in the piece's own plan of one given as (along, across)."""
        x, y = (point_m[1], point_m[0]) if self.turned else point_m
        return x + self.corner_m[0], y + self.corner_m[1]


def weakest_of(flat: FlatPiece, shape: shapes.Shape) -> Section:
    """Weakest net section of a plate lying flat, measured from its solid along its longer side.

    A plate with only square openings and deeper strips uses its own cross-sections, which have the same areas.
    """
    axis: Axis = "y" if flat.turned else "x"
    plate = shape.plate()
    if plate is not None and flat.openings is None and flat.pierced and flat.even and not flat.drops:
        outer = (*flat.corner_m, *flat.own((flat.length_m, flat.width_m)))
        return weakest_of_plate(outer, [cutout.fine_ring() for cutout in plate.cutouts], flat.thickness_m, axis)
    if not flat.even or flat.openings is None:
        return weakest_section(shape, axis)
    moduli = np.array([stretch.least_modulus_m3("flat") for stretch in flat.stretches])
    weakest = flat.stretches[int(first_least(moduli))]
    modulus = section_modulus(weakest.parts, "flat")
    strips: list[PlanPoint] = []
    for part in weakest.parts:
        if strips and part.y0 <= strips[-1][1]:
            strips[-1] = (strips[-1][0], part.y1)
        else:
            strips.append((part.y0, part.y1))
    across_m = flat.corner_m[0 if flat.turned else 1]
    top, bottom = (modulus.high_m3, modulus.low_m3) if flat.face_up else (modulus.low_m3, modulus.high_m3)
    return Section(
        round(weakest.from_m, 12) + flat.corner_m[1 if flat.turned else 0],
        modulus.area_m2,
        sum(high - low for low, high in strips),
        modulus.second_moment_m4,
        top,
        bottom,
        tuple((low + across_m, high + across_m) for low, high in strips),
    )


def _bearing_pairs(low_m: float, high_m: float) -> list[PlanPoint]:
    """Places of two foam blocks on a stretch of edge, m along, from the usual ones outward."""
    return [(low_m + (high_m - low_m) * part, high_m - (high_m - low_m) * part) for part in BEARING_PARTS]


def flat_piece(shape: shapes.Shape, solid: Solid) -> FlatPiece | None:
    """Shape as a flat piece; None for a box, a molding, a bowl, a mesh or a shell.

    None too for a plan drawn at an angle: cut along the axes it would have points for ends, which carry nothing.
    """
    plate = shape.plate()
    if plate is None or plate.is_askew:
        return None
    turned = solid.size_m[1] > solid.size_m[0]
    boxes, pierced = _boxes(plate), True
    rings: list[tuple[PlanPoint, ...]]
    open_rings: tuple[Floats, ...] = ()
    if boxes is not None:
        rings = [((x0, y0), (x1, y0), (x1, y1), (x0, y1)) for x0, y0, x1, y1 in boxes]
        x0, y0, x1, y1 = boxes[0]
    else:
        plan_rings, open_rings, pierced = _rings(plate)
        rings = [tuple([(x, y) for x, y in ring.tolist()]) for ring in plan_rings]
        x0, y0 = (min(places) for places in zip(*rings[0], strict=True))
        x1, y1 = (max(places) for places in zip(*rings[0], strict=True))
    if turned:
        rings = [tuple([(y - y0, x - x0) for x, y in ring]) for ring in rings]
        boxes = boxes and [(b - y0, a - x0, d - y0, c - x0) for a, b, c, d in boxes]
    elif x0 or y0:
        rings = [tuple([(x - x0, y - y0) for x, y in ring]) for ring in rings]
        boxes = boxes and [(a - x0, b - y0, c - x0, d - y0) for a, b, c, d in boxes]
    seen = [ring[:, ::-1] - (y0, x0) if turned else ring - (x0, y0) for ring in open_rings]
    return FlatPiece(
        rings[0],
        tuple(rings[1:]),
        plate.thickness_m,
        tuple(_drops(plate, (x1 - x0, y1 - y0), turned=turned)) if plate.strips else (),
        turned,
        (x0, y0),
        plate.left_out,
        plate.sides,
        face_up=plate.face_up,
        even=plate.even,
        openings=None if boxes is None else tuple(boxes[1:]),
        pierced=pierced,
        notches=tuple(notch for ring in seen if (notch := _notch(ring, rings[0])) is not None),
    )


def _notch(ring: Floats, outline: Sequence[PlanPoint]) -> Notch | None:
    """Notch of a cut-out that is open at an edge of the outline; None for a small one, and for one at a corner."""
    import shapely

    own, plan = shapely.Polygon(ring), shapely.Polygon(outline)
    mouth = shapely.difference(own.boundary, plan.boundary.buffer(CHORD_M))
    x0, y0, x1, y1 = mouth.bounds if not mouth.is_empty else own.bounds
    along = y1 - y0 >= x1 - x0
    length_m, width_m = max(x for x, _ in outline), max(y for _, y in outline)
    (left, front), (right, back) = ring.min(axis=0).tolist(), ring.max(axis=0).tolist()
    beside = (front, width_m - back) if along else (left, length_m - right)
    behind = max((left, length_m - right) if along else (front, width_m - back))
    if min(beside) <= CHORD_M or sum(beside) >= (1.0 - OPENING_PART) * (width_m if along else length_m):
        return None
    return Notch(tuple([(x, y) for x, y in ring.tolist()]), along, min(*beside, behind))


def _boxes(plate: Plate) -> list[Box] | None:
    """Outline and openings of a rectangle whose openings are separate rectangles inside it; else None."""
    if isinstance(plate.outline, Region):
        outer = plate.outline.outer.points
        if plate.outline.holes or plate.outline.outer.bulges is not None or not is_box(outer):
            return None
        boxes = [(*outer.min(axis=0).tolist(), *outer.max(axis=0).tolist())]
    else:
        boxes = [(0.0, 0.0, *plate.outline)]
    for cutout in plate.cutouts:
        if cutout.box is None:
            return None
        boxes.append(cutout.box)
    return boxes if len(boxes) == 1 or lie_apart(boxes[0], boxes[1:]) else None


def _drops(plate: Plate, ends_m: tuple[float, float], *, turned: bool) -> Iterator[DeepStrip]:
    """Yield the strips of a plate of a given outer size that are deeper than the plate."""
    for strip in plate.strips:
        if strip.depth_m <= plate.thickness_m:
            continue
        axis, high = divmod(plate.sides.index(strip.side), 2)
        low_m = ends_m[1 - axis] - strip.thickness_m if high else 0.0
        box = (0.0, low_m, ends_m[axis], low_m + strip.thickness_m)
        if (axis == 1) != turned:
            box = (box[1], box[0], box[3], box[2])
        yield DeepStrip(*box, strip.depth_m)


def _pierced(rings: Sequence[Floats], cuts: Sequence[Floats]) -> bool:
    """Whether there is one ring, a rectangle, and the cuts lie inside it and apart from each other."""
    if len(rings) != 1 or not is_box(rings[0]):
        return False
    return lie_apart(box_around(rings[0]), [box_around(cut) for cut in cuts])


def _rings(plate: Plate) -> tuple[list[Floats], tuple[Floats, ...], bool]:
    """Outline and openings of a plate as closed rings (n, 2), m; its notches; and whether it is a pierced rectangle.

    Notches are cut-outs open at an edge. They are taken out of the outline.
    """
    rings = [ring.flattened(CHORD_M) for ring in plate.region.rings]
    cuts = [cutout.ring(CHORD_M) for cutout in plate.cutouts]
    if not cuts:
        return rings, (), False
    if _pierced(rings, cuts):
        return [*rings, *cuts], (), True
    import shapely

    whole = plate.region.polygon(CHORD_M)
    openings = outlines_of(plate.cutouts, whole)
    left = shapely.difference(whole, shapely.union_all([opening.polygon(CHORD_M) for opening in openings]))
    whole = max(shapely.get_parts(left), key=lambda part: part.area)
    left_rings = [shapely.get_coordinates(ring)[:-1] for ring in (whole.exterior, *whole.interiors)]
    filled = shapely.Polygon(whole.exterior)
    notches = tuple([cut for cut in cuts if shapely.intersection(filled, shapely.Polygon(cut)).area <= CHORD_M**2])
    return left_rings, notches, False
