"""Two-way bending of a plate that hangs from picks: along and across, each pick carried by its effective strip.

Points are (along, across), m. A row is a line of picks perpendicular to the direction of bending. Only the strips at
its picks carry its moment, not the whole width, because a plate bends most sharply where it is held.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import hypot
from typing import Literal, NamedTuple

import numpy as np

from estimator.constants import INCH_M, STANDARD_GRAVITY_M_S2
from estimator.handling.bending import (
    Bend,
    CarryCheck,
    PointLoad,
    SpreadLoad,
    SupportedBeam,
    beam_on_reactions,
    worst_bend,
)
from estimator.handling.rigging import TWO_POINT_PART, PlanPoint, SlingLeg
from estimator.handling.sections import FlatPiece, Rectangle, Stretch
from estimator.handling.strength import Verdict
from estimator.workings import Working, figure
from geometry.frozen import frozen
from geometry.message import Message, message

SIDE_PER_THICKNESS = 7.5
"""Strip on either side of a pick that carries its row's moment, in thicknesses. Source: PCI practice, from memory."""

Direction = Literal["along", "across"]
DIRECTIONS: tuple[Direction, Direction] = ("along", "across")
_SAME_M = 1e-6
_IN_LINE = 1e-12  # relative: picks in one line


class _PlateCheck(NamedTuple):
    stress_pa: float
    first_crack_pa: float | None
    required_factor: float
    direction: Direction
    moment_n_m: float
    modulus_m3: float
    pull_pa: float
    at_m: float
    by_strip: bool


class PlateCheck(_PlateCheck, Verdict):
    """The worst bending of a plate that hangs from picks.

    direction     direction of bending
    moment_n_m    moment carried by the strip or section there; hogging negative
    modulus_m3    section modulus of that strip or section
    pull_pa       part of the stress from the sideways pull of inclined slings
    at_m          position of the pick or section in that direction
    by_strip      whether the strip at a pick carries the moment, not the whole section
    """

    __slots__ = ()

    @property
    def source(self) -> Message:
        """Source of the stress, for its working."""
        id = "source-bending-strip" if self.by_strip else "source-bending-section"
        return message(id, at_m=self.at_m, direction=self.direction)


@frozen
class LoadedPlate:
    """A plate divided into sections both ways, scaled to its true weight.

    inserts   (place (along, across) m, mass kg) of each insert
    measured  (position along m, modulus m³) of further sections, measured from the solid
    """

    flat: FlatPiece
    weight_kg: float  # of the concrete, high side
    inserts: tuple[tuple[PlanPoint, float], ...] = ()
    measured: tuple[tuple[float, float], ...] = ()

    @property
    def total_kg(self) -> float:
        return self.weight_kg + sum(mass_kg for _, mass_kg in self.inserts)

    @property
    def stretches(self) -> tuple[tuple[Stretch, ...], tuple[Stretch, ...]]:
        """Sections along and across the piece, at unit density."""
        return self.flat.stretches, self.flat.transposed.stretches

    def beam(self, axis: int, places_m: Sequence[float], pulls_n: Sequence[float]) -> SupportedBeam:
        """Plate as a beam along (0) or across (1), held by the pulls. Its loads are scaled to the sum of the pulls."""
        stretches = self.stretches[axis]
        plain_n = sum(stretch.weight_n for stretch in stretches)
        factor = sum(pulls_n) / (self.total_kg * STANDARD_GRAVITY_M_S2)
        scale = self.weight_kg * STANDARD_GRAVITY_M_S2 * factor / plain_n
        length_m = stretches[-1].to_m
        points = [
            PointLoad(min(max(at[axis], 0.0), length_m), mass_kg * STANDARD_GRAVITY_M_S2 * factor)
            for at, mass_kg in self.inserts
        ]
        spreads = [SpreadLoad(stretch.from_m, stretch.to_m, stretch.n_per_m * scale) for stretch in stretches]
        return beam_on_reactions(length_m, tuple(places_m), tuple(pulls_n), spreads, points)


def balanced_shares(
    picks: Sequence[PlanPoint], shares_kg: Sequence[float], center: PlanPoint, load_kg: float
) -> tuple[float, ...]:
    """Pulls at the picks in equilibrium with the load, kg: the most even ones where statics leaves a choice.

    For four picks on a rigid piece `shares_kg` are the largest possible shares and sum to more than the load. The
    most even pulls, those of least squares, vary linearly along and across: a + b x + c y.
    """
    count = len(picks)
    if count < 3:
        return tuple(shares_kg)
    mid_x, mid_y = (sum(places) / count for places in zip(*picks, strict=True))
    off = [(x - mid_x, y - mid_y) for x, y in picks]
    xx, yy, xy = sum(x * x for x, _ in off), sum(y * y for _, y in off), sum(x * y for x, y in off)
    area = xx * yy - xy * xy
    if area <= _IN_LINE * (xx + yy) ** 2:
        rows = np.array([[1.0] * count, [x for x, _ in picks], [y for _, y in picks]])
        pulls: list[float] = np.linalg.lstsq(rows, load_kg * np.array([1.0, *center]), rcond=None)[0].tolist()
        return tuple(pulls)
    out_x, out_y = center[0] - mid_x, center[1] - mid_y
    by_x, by_y = load_kg * (out_x * yy - out_y * xy) / area, load_kg * (out_y * xx - out_x * xy) / area
    return tuple(load_kg / count + by_x * x + by_y * y for x, y in off)


def check_hanging(
    plate: LoadedPlate,
    picks: Sequence[PlanPoint],
    pulls_kg: Sequence[float],
    legs: Sequence[SlingLeg],
    center: PlanPoint,
    lever_m: float,
    first_crack_pa: float | None,
    required_factor: float,
) -> tuple[PlateCheck, PlateCheck]:
    """Worst bending of a plate that hangs from picks: along it and across it.

    picks, center   the picks and the center of gravity, (along, across) m
    pulls_kg        vertical pull at each pick, in equilibrium with the load, dynamic factor and adhesion included
    legs            slings, whose sideways pull bends the plate too
    lever_m         distance from mid-depth to the line of that pull

    Source: statics of the plate as a beam each way; the strip of 7.5 thicknesses on either side of a pick, at most
    half the plate, as in PCI practice (from memory); the sideways pull adds V / tan α · e at each pick.
    """
    pulls_n = [float(kg) * STANDARD_GRAVITY_M_S2 for kg in pulls_kg]
    sideways_n_m = _sideways_n_m(picks, legs, center, lever_m)

    def worst(axis: int) -> PlateCheck:
        beam = plate.beam(axis, [pick[axis] for pick in picks], pulls_n)
        bend = worst_bend(
            (
                *_at_strips(plate, axis, beam, picks, pulls_n, sideways_n_m[axis]),
                *_in_sections(plate, axis, beam),
            )
        )
        return PlateCheck(
            bend.stress_pa,
            first_crack_pa,
            required_factor,
            direction=DIRECTIONS[axis],
            moment_n_m=bend.moment_n_m,
            modulus_m3=bend.modulus_m3,
            pull_pa=bend.pull_pa,
            at_m=bend.at_m,
            by_strip=bend.by_strip,
        )

    return worst(0), worst(1)


def worst_of(checks: Sequence[PlateCheck]) -> PlateCheck:
    """Check with the largest stress."""
    return max(checks, key=lambda check: check.stress_pa)


def strip_width_m(flat: FlatPiece, pick: PlanPoint, axis: int) -> float:
    """Width of the strip at a pick that resists bending along `axis`, m, less the part past an edge or opening."""
    half_m = _half_m(flat, axis)
    at_m, across_m = pick[axis], pick[1 - axis]
    for start_m, end_m in flat.material_along(axis, at_m):
        low, high = max(start_m, across_m - half_m), min(end_m, across_m + half_m)
        if low - _SAME_M <= across_m <= high + _SAME_M and high > low:
            return high - low
    return 0.0


def _half_m(flat: FlatPiece, axis: int) -> float:
    extent_m = flat.width_m if axis == 0 else flat.length_m
    return min(SIDE_PER_THICKNESS * flat.thickness_m, extent_m / 4.0)


def _sideways_n_m(
    picks: Sequence[PlanPoint], legs: Sequence[SlingLeg], center: PlanPoint, lever_m: float
) -> tuple[list[float], list[float]]:
    """Moment of each leg's sideways pull at its pick, N·m, along and across."""
    moments: tuple[list[float], list[float]] = ([], [])
    for pick, leg in zip(picks, legs, strict=True):
        distance_m = hypot(pick[0] - center[0], pick[1] - center[1])
        for axis in (0, 1):
            part = abs(pick[axis] - center[axis]) / distance_m if distance_m > 0.0 else 0.0
            moments[axis].append(leg.horizontal_kg * STANDARD_GRAVITY_M_S2 * part * lever_m)
    return moments


@frozen
class _Strip:
    """Picks of a row within one strip.

    share      share of the row's moment
    pull_n_m   largest moment of an inclined sling at its picks
    """

    low_m: float
    high_m: float
    share: float
    pull_n_m: float
    picks: tuple[int, ...]

    def width_in(self, parts: Sequence[Rectangle], half_m: float) -> float:
        """Width of material of a cross-section within the strip, m; of the rails beside it if an opening takes all."""
        within = _width_m(parts, self.low_m, self.high_m)
        if within > _SAME_M:
            return within
        below = max((part.y1 for part in parts if part.y1 <= self.low_m + _SAME_M), default=None)
        above = min((part.y0 for part in parts if part.y0 >= self.high_m - _SAME_M), default=None)
        rails = 0.0 if below is None else _width_m(parts, below - half_m, below)
        return rails + (0.0 if above is None else _width_m(parts, above, above + half_m))


def _width_m(parts: Sequence[Rectangle], low_m: float, high_m: float) -> float:
    return sum(max(0.0, min(part.y1, high_m) - max(part.y0, low_m)) for part in parts)


def _strips(
    flat: FlatPiece,
    axis: int,
    picks: Sequence[PlanPoint],
    row: Sequence[int],
    pulls_n: Sequence[float],
    pull: Sequence[float],
) -> list[_Strip]:
    """Strips of one row. Picks whose strips overlap share one, so that no width counts twice."""
    half_m, whole_n = _half_m(flat, axis), sum(pulls_n[i] for i in row)
    strips: list[_Strip] = []
    for i in sorted(row, key=lambda i: picks[i][1 - axis]):
        at_m = picks[i][1 - axis]
        low_m, high_m = at_m - half_m, at_m + half_m
        share = pulls_n[i] / whole_n if whole_n > 0.0 else 1.0 / len(row)
        if strips and low_m < strips[-1].high_m - _SAME_M:
            last = strips.pop()
            strips.append(_Strip(last.low_m, high_m, last.share + share, max(last.pull_n_m, pull[i]), (*last.picks, i)))
        else:
            strips.append(_Strip(low_m, high_m, share, pull[i], (i,)))
    return strips


def _at_strips(
    plate: LoadedPlate,
    axis: int,
    beam: SupportedBeam,
    picks: Sequence[PlanPoint],
    pulls_n: Sequence[float],
    pull_n_m: Sequence[float],
) -> Iterator[Bend]:
    """Yield the bending of the strips at every pick and between neighboring rows."""
    flat, half_m = plate.flat, _half_m(plate.flat, axis)
    per_m = flat.thickness_m**2 / 6.0  # modulus of a meter of strip

    def bent(moment_n_m: float, strip: _Strip, width_m: float, at_m: float) -> Iterator[Bend]:
        if width_m > 0.0:
            own, modulus = moment_n_m * strip.share, width_m * per_m
            pull_pa = strip.pull_n_m / modulus
            yield Bend(abs(own) / modulus + pull_pa, at_m, own, modulus, pull_pa, by_strip=True)

    rows = _rows([pick[axis] for pick in picks], SIDE_PER_THICKNESS * flat.thickness_m)
    strips = [_strips(flat, axis, picks, row, pulls_n, pull_n_m) for row in rows]
    for row, row_strips in zip(rows, strips, strict=True):
        moment = max((beam.moment_n_m(picks[i][axis]) for i in row), key=abs)
        for strip in row_strips:
            widths = [strip_width_m(flat, picks[i], axis) for i in strip.picks]
            reach_m = strip.high_m - strip.low_m
            yield from bent(moment, strip, min(sum(widths), reach_m), picks[strip.picks[0]][axis])
    for number, (left, right) in enumerate(pairwise(rows)):
        low, high = max(picks[i][axis] for i in left), min(picks[i][axis] for i in right)
        for stretch in plate.stretches[axis]:
            start, end = max(low, stretch.from_m), min(high, stretch.to_m)
            if end - start <= _SAME_M:
                continue
            for moment, at_m in beam.turning_points(start, end):
                for strip in (*strips[number], *strips[number + 1]):
                    yield from bent(moment, strip, strip.width_in(stretch.parts, half_m), at_m)


def _in_sections(plate: LoadedPlate, axis: int, beam: SupportedBeam) -> Iterator[Bend]:
    """Yield the bending of every whole net cross-section. At a cut-out these may be narrower than the strips."""
    for stretch in plate.stretches[axis]:
        modulus = stretch.least_modulus_m3("flat")
        for moment, at_m in beam.turning_points(stretch.from_m, stretch.to_m):
            yield Bend(abs(moment) / modulus, at_m, moment, modulus)
    for at_m, modulus in plate.measured if axis == 0 else ():
        moment = beam.moment_n_m(at_m)
        yield Bend(abs(moment) / modulus, at_m, moment, modulus)


def _rows(places_m: Sequence[float], apart_m: float) -> list[list[int]]:
    """Indices of the picks of each row. Picks no farther apart than `apart_m` from its first pick share a row."""
    order = sorted(range(len(places_m)), key=lambda i: (places_m[i], i))
    rows = [[order[0]]]
    for i in order[1:]:
        if places_m[i] - places_m[rows[-1][0]] <= apart_m:
            rows[-1].append(i)
        else:
            rows.append([i])
    return rows


PARTS = (TWO_POINT_PART, 0.17, 0.13, 0.10, 0.07, 0.04)  # fractions of the length to try when a cut-out is in the way


CLEAR_OF_CUTOUT_M = 3 * INCH_M  # least distance of a pick from a cut-out, and no less than 7.5 thicknesses


def least_from_cutout_m(flat: FlatPiece) -> float:
    """Least distance of a pick or pad from the span of a cut-out, along the piece, m."""
    return max(CLEAR_OF_CUTOUT_M, SIDE_PER_THICKNESS * flat.thickness_m)


def clear_of_cutouts_m(flat: FlatPiece, points: Sequence[PlanPoint]) -> float | None:
    """Smallest distance of a pick from a cut-out along the piece, m; None if every pick is clear of every cut-out.

    Clear means at least 3 in and 7.5 thicknesses from the span of the cut-out along the piece.
    """
    least_m = least_from_cutout_m(flat)
    gaps = [max(low - x, x - high, 0.0) for x in {x for x, _ in points} for low, high in flat.cutout_spans_m]
    nearest_m = min(gaps, default=least_m)
    return None if nearest_m >= least_m - 1e-9 else nearest_m


def bending_workings(at: str, check: CarryCheck | PlateCheck) -> Iterator[Working]:
    """Yield the workings of the stress of one way of holding and its factor against first crack; `at` is its path."""
    if check.stress_pa <= 0.0:
        return
    formula, values = "moment_n_m / modulus_m3", {"moment_n_m": abs(check.moment_n_m), "modulus_m3": check.modulus_m3}
    if isinstance(check, PlateCheck) and check.pull_pa:
        formula, values = f"{formula} + pull_pa", values | {"pull_pa": check.pull_pa}
    yield figure(f"{at}.stress_pa", formula, values, "Pa", check.source)
    if check.first_crack_pa is not None:
        yield figure(
            f"{at}.factor",
            "first_crack_pa / stress_pa",
            {"first_crack_pa": check.first_crack_pa, "stress_pa": check.stress_pa},
            "",
            message("source-crack-factor", factor=f"{check.required_factor:g}"),
        )
