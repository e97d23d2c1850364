"""Bending of many plates at once: `cracking` and `gear` for even plates with square openings, in columns.

The rules, their sources and the order of the sums are the same as in the modules for a single piece, and so are the
results. A piece with its own picks, inserts or a core is planned alone.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cached_property
from itertools import combinations, pairwise, repeat
from math import radians, tan

import numpy as np

from estimator.constants import STANDARD_GRAVITY_M_S2
from estimator.handling.bending import CARRIES, TILT, CarryCheck
from estimator.handling.grids import Cut, Grids
from estimator.handling.plates import (
    CLEAR_OF_CUTOUT_M,
    DIRECTIONS,
    PARTS,
    SIDE_PER_THICKNESS,
    PlateCheck,
)
from estimator.handling.rigging import TWO_POINT_PART
from estimator.handling.sections import HIGH_SIDES, EdgeUp, FlatPiece
from estimator.handling.statics import Beams, Bends, Worst, beams_on, joined
from estimator.workshop import HandlingSettings
from geometry.arrays import Flags, Floats, Ints
from geometry.frozen import frozen
from geometry.sections import Section, first_least

_SAME_M = 1e-6
_SLACK = 1e-9  # of `rigging`
_NEAR_M = 1e-9

UPRIGHT = 1.0 / tan(radians(90.0))  # sideways pull of a plumb sling, as in `SlingLeg`; only a rounding error


@frozen(slots=False)
class Series:
    """Even plates with square openings, all with the same numbers of openings and deeper strips.

    flats         the pieces
    weight_kg     (n,) weight of the concrete, high side
    center_m      (n, 2) center of gravity, along and across
    """

    flats: Sequence[FlatPiece]
    grids: Grids
    weight_kg: Floats
    center_m: Floats

    @classmethod
    def of(
        cls, flats: Sequence[FlatPiece], weights_kg: Sequence[float], centers_m: Sequence[Sequence[float]]
    ) -> Series:
        """Series of plates with their weights and centers of gravity, the latter in their own plans."""
        n = len(flats)
        grids = Grids(
            np.array([(flat.length_m, flat.width_m) for flat in flats]),
            np.array([flat.thickness_m for flat in flats]),
            np.array([flat.openings for flat in flats]).reshape(n, -1, 4),
            np.array(
                [[(drop.x0, drop.y0, drop.x1, drop.y1, drop.height_m) for drop in flat.drops] for flat in flats]
            ).reshape(n, -1, 5),
        )
        seen = [flat.seen(center) for flat, center in zip(flats, centers_m, strict=True)]
        return cls(flats, grids, np.array(weights_kg), np.array(seen))

    def some(self, rows: Ints) -> Series:
        """Series of the plates of these rows."""
        flats = [self.flats[row] for row in rows.tolist()]
        return Series(flats, self.grids.some(rows), self.weight_kg[rows], self.center_m[rows])

    def own(self, points: Floats) -> Floats:
        """Points (n, p, 2), given as (along, across), in each piece's own plan."""
        turned = np.array([flat.turned for flat in self.flats])[:, None, None]
        corners = np.array([flat.corner_m for flat in self.flats])[:, None, :]
        return np.asarray(np.where(turned, points[:, :, ::-1], points) + corners)

    @cached_property
    def half_m(self) -> Floats:
        """Half the width of the strip at a pick in bending along and across, (n, 2), m."""
        extent = self.grids.size_m[:, ::-1]
        half: Floats = np.minimum(SIDE_PER_THICKNESS * self.grids.thickness_m[:, None], extent / 4.0)
        return half

    @cached_property
    def least_clear_m(self) -> Floats:
        """Least distance of a pick from the span of an opening, (n,), m."""
        least: Floats = np.maximum(CLEAR_OF_CUTOUT_M, SIDE_PER_THICKNESS * self.grids.thickness_m)
        return least

    @cached_property
    def steady(self) -> Flags:
        """Plates that do not tip when held at 0.207 of the length and are not smaller than the strips at picks, (n,).

        Plates with sides closer than a nanometer are left to the plan of a single piece.
        """
        cut, size = self.grids.along, self.grids.size_m
        weights = cut.n_per_m * cut.lengths
        center = (weights * (cut.places[:, :-1] + cut.places[:, 1:]) / 2.0).sum(axis=1) / weights.sum(axis=1)
        low, high = TWO_POINT_PART * size[:, 0], (1.0 - TWO_POINT_PART) * size[:, 0]
        apart = SIDE_PER_THICKNESS * self.grids.thickness_m * (1.0 + _SLACK)
        wide = ((1.0 - 2.0 * TWO_POINT_PART) * size[:, 0] > apart) & (size[:, 1] > apart)
        inside = (low + _SAME_M < center) & (center < high - _SAME_M)
        return np.asarray(wide & inside & ~self.grids.crowded)

    # Held by hand

    @cached_property
    def weakest(self) -> Ints:
        """Number of the stretch of least modulus lying flat, (n,)."""
        cut = self.grids.along
        return first_least(np.where(cut.real, cut.flat_m3, np.inf))

    @cached_property
    def weakest_at_m(self) -> Floats:
        """Position of the weakest section along the piece, (n,), m."""
        rows = np.arange(len(self.weight_kg))
        return np.asarray(self.grids.along.places[rows, self.weakest].round(12))

    def weakest_sections(self) -> Iterator[Section]:
        """Yield the weakest section of each plate, as `weakest_of` does for one."""
        cut, rows = self.grids.along, np.arange(len(self.weight_kg))
        area, second, low, high = (column[rows, self.weakest].tolist() for column in cut.parts.flat())
        y0, y1, depth = (
            table[:, rows, self.weakest].T.tolist() for table in (cut.parts.y0, cut.parts.y1, cut.parts.depth)
        )
        at_m = self.weakest_at_m.tolist()
        for row, flat in enumerate(self.flats):
            strips: list[tuple[float, float]] = []
            for start, end, deep in zip(y0[row], y1[row], depth[row], strict=True):
                if deep > 0.0 and strips and start <= strips[-1][1]:
                    strips[-1] = (strips[-1][0], end)
                elif deep > 0.0:
                    strips.append((start, end))
            across_m, along_m = flat.corner_m if flat.turned else flat.corner_m[::-1]
            width_m = sum([end - start for start, end in strips])
            if across_m:
                strips = [(start + across_m, end + across_m) for start, end in strips]
            top, bottom = (high[row], low[row]) if flat.face_up else (low[row], high[row])
            yield Section(at_m[row] + along_m, area[row], width_m, second[row], top, bottom, tuple(strips))

    def carry_checks(
        self, ups: Sequence[EdgeUp], cracks_pa: Sequence[float | None], settings: HandlingSettings
    ) -> list[tuple[CarryCheck, ...]]:
        """Checks of every usual way to carry each piece and of tilting it up about a long edge."""
        along, across, dynamic = self.grids.along, self.grids.across, settings.dynamic_yard
        loads = along.n_per_m * along.scale_to(self.weight_kg)
        flat_m3, edge_m3 = along.flat_m3, along.parts.edge_modulus()
        measured = self.weakest_at_m, flat_m3[np.arange(len(flat_m3)), self.weakest]
        ends, fifths = (_held(along, loads, dynamic, part) for part in (0.0, TWO_POINT_PART))
        worst: list[tuple[Worst, Floats]] = []
        for beams, weight in (ends, fifths):
            worst.append((_worst_section(beams, along, flat_m3, measured).worst(), weight))
        for beams, weight in (ends, fifths):
            worst.append((_worst_section(beams, along, edge_m3, None).worst(), weight))
        worst.append(self._tilted(fifths[0], across, ups, dynamic))
        carries = [CARRIES[0], CARRIES[1], CARRIES[2], CARRIES[3], TILT]
        columns = []
        for carry, (bend, weight) in zip(carries, worst, strict=True):
            moved_kg = weight / (STANDARD_GRAVITY_M_S2 * dynamic)
            figures = (moved_kg, bend.moment_n_m, bend.modulus_m3, bend.at_m)
            rows = zip(
                bend.stress_pa.tolist(),
                cracks_pa,
                repeat(settings.crack_factor),
                repeat(carry),
                *(figure.tolist() for figure in figures),
                strict=False,
            )
            columns.append(map(CarryCheck._make, rows))
        return list(zip(*columns, strict=True))

    def _tilted(self, fifths: Beams, across: Cut, ups: Sequence[EdgeUp], dynamic: float) -> tuple[Worst, Floats]:
        """Worst bending when tilted up about a long edge: across, or along in the half that goes up at half weight."""
        loads = across.n_per_m * across.scale_to(self.weight_kg)
        beams, weight = _held(across, loads, dynamic, 0.0)
        over = _worst_section(beams, across, across.flat_m3, None).worst()
        cut, width = self.grids.along, self.grids.size_m[:, 1:]
        high = np.array([up in HIGH_SIDES for up in ups])[:, None]
        low_m, high_m = np.where(high, width / 2.0, 0.0), np.where(high, width, width / 2.0)
        upper = cut.parts.clipped(low_m, high_m).flat_modulus()
        along = _worst_section(fifths.scaled(0.5), cut, upper, None).worst()
        first = over.stress_pa >= along.stress_pa
        chosen = Worst(
            *(
                np.where(first, getattr(over, name), getattr(along, name))
                for name in ("stress_pa", "at_m", "moment_n_m", "modulus_m3", "pull_pa", "by_strip")
            )
        )
        return chosen, np.where(first, weight, self._half_weight(cut, dynamic))

    def _half_weight(self, cut: Cut, dynamic: float) -> Floats:
        loads = cut.n_per_m * cut.scale_to(self.weight_kg) / 2.0
        return _held(cut, loads, dynamic, TWO_POINT_PART)[1]

    # Hung from slings around it

    def sling_parts(self) -> Ints:
        """Index into PARTS of where two slings go around each piece, (n,); -1 if there is no place for them."""
        length, openings = self.grids.size_m[:, 0], self.grids.openings
        chosen = np.full(len(length), -1)
        for number, part in enumerate(PARTS):
            ends = np.stack([part * length, (1 - part) * length], axis=1)[:, :, None]
            gaps = np.maximum(np.maximum(openings[:, None, :, 0] - ends, ends - openings[:, None, :, 2]), 0.0)
            clear = gaps.min(axis=(1, 2), initial=np.inf) >= self.least_clear_m - _NEAR_M
            open_rows = np.flatnonzero((chosen < 0) & clear)
            if len(open_rows):
                points = self.sling_points(np.full(len(length), number))[open_rows]
                holds = rigid_parts(points, self.center_m[open_rows]).any(axis=1)
                chosen[open_rows[holds]] = number
        return chosen

    def sling_points(self, parts: Ints) -> Floats:
        """Where the slings bear, (n, 4, 2), along and across; `parts` are indices into PARTS."""
        part = np.array(PARTS)[parts]
        length, width = self.grids.size_m.T
        left, right, none = part * length, (1 - part) * length, np.zeros(len(length))
        along = np.stack([left, right, right, left], axis=1)
        return np.stack([along, np.stack([none, none, width, width], axis=1)], axis=2)

    def slung(self, points: Floats, shares_kg: Floats, loads_kg: Floats, lever_m: Floats) -> tuple[Worst, Worst]:
        """Worst bending along and across of plates that hang from two slings around them.

        points      (n, 4, 2) from `sling_points`
        shares_kg   (n, 4) largest load on each
        loads_kg    (n,) load hung
        lever_m     (n,) distance from mid-depth to the line of a sling's sideways pull
        """
        pulls_n = balanced(points, self.center_m, loads_kg) * STANDARD_GRAVITY_M_S2
        offsets = points - self.center_m[:, None, :]
        distances = np.hypot(offsets[:, :, 0], offsets[:, :, 1])
        sideways = shares_kg * UPRIGHT * STANDARD_GRAVITY_M_S2 * lever_m[:, None]
        worst = []
        for axis, lines in ((0, ((0, 3), (1, 2))), (1, ((0, 1), (2, 3)))):
            part = np.divide(
                np.abs(offsets[:, :, axis]), distances, out=np.zeros_like(distances), where=distances > 0.0
            )
            single = [[[pick] for pick in line] for line in lines]
            hold = Hold(axis, [[line] for line in lines], single)
            worst.append(self.hung(hold, points, pulls_n, sideways * part))
        return worst[0], worst[1]

    # Hung from pads

    def lying(self, points: Floats, starts: Ints, pad_m: float) -> Flags:
        """Whether every pad of each grid lies entirely on a plate and clear of its openings, (n, g).

        points   (p, 2) points of all the grids, one after another, as fractions of length and width
        starts   (g,) index of the first point of each grid
        """
        half_m, openings = pad_m / 2.0 - _NEAR_M, self.grids.openings
        lies = np.ones((len(self.weight_kg), len(points)), dtype=bool)
        for axis in (0, 1):
            parts, inverse = np.unique(points[:, axis], return_inverse=True)
            places = self.grids.size_m[:, axis, None] * parts
            clear = (places >= half_m) & (self.grids.size_m[:, axis, None] - places >= half_m)
            if axis == 0:
                for box in openings.transpose(1, 0, 2):
                    gap = np.maximum(box[:, :1] - places, places - box[:, 2:3])
                    clear &= gap >= (self.least_clear_m - _NEAR_M)[:, None]
            lies &= clear[:, inverse]
        whole = np.array(np.logical_and.reduceat(lies, starts, axis=1), dtype=bool)
        close = self.least_clear_m < pad_m / 2.0
        if not openings.shape[1] or not (whole & close[:, None]).any():
            return whole
        ends = np.append(starts[1:], len(points))
        for number, (start, end) in enumerate(zip(starts.tolist(), ends.tolist(), strict=True)):
            rows = np.flatnonzero(whole[:, number] & close)
            if not len(rows):
                continue
            at, boxes = self.grids.size_m[rows, None, :] * points[start:end], openings[rows, None]
            gaps = np.maximum(np.maximum(boxes[..., :2] - at[:, :, None], at[:, :, None] - boxes[..., 2:]), 0.0)
            far = np.hypot(gaps[..., 0], gaps[..., 1]) >= half_m
            whole[rows, number] = far.all(axis=(1, 2))
        return whole

    def hung_on_grid(self, points: Floats, pulls_kg: Floats, columns: int, rows: int) -> tuple[Worst, Worst]:
        """Worst bending along and across of plates that hang plumb from even columns and rows of picks.

        points    (n, columns · rows, 2), column by column
        """
        n, picks = len(points), np.arange(columns * rows).reshape(columns, rows)
        worst = tuple(Worst.none(n) for _ in (0, 1))
        apart = SIDE_PER_THICKNESS * self.grids.thickness_m
        for axis, lines in ((0, picks), (1, picks.T)):
            places = points[:, lines[:, 0], axis]
            groups = _groups(places, apart)
            across = points[:, lines[0], 1 - axis]
            half = self.half_m[:, axis, None]
            shared = np.asarray((across[:, 1:] - half < across[:, :-1] + half - _SAME_M).any(axis=1))
            kinds = np.concatenate([groups, shared[:, None]], axis=1)
            for kind in sorted(set(map(tuple, kinds.tolist()))):
                members = np.flatnonzero((kinds == kind).all(axis=1))
                hold = _grid_hold(axis, lines, np.array(kind[:-1]), together=bool(kind[-1]))
                pulls_n = pulls_kg[members] * STANDARD_GRAVITY_M_S2
                bend = self.some(members).hung(hold, points[members], pulls_n, np.zeros(pulls_n.shape))
                worst[axis].put(members, bend)
        return worst[0], worst[1]

    def hung(self, hold: Hold, points: Floats, pulls_n: Floats, sideways_n_m: Floats) -> Worst:
        """Worst bending along an axis of plates that hang from picks, as `check_hanging` does for one.

        points         (n, p, 2) picks, along and across
        pulls_n        (n, p) pulls in equilibrium with the load
        sideways_n_m   (n, p) moment of each sling's sideways pull along the axis
        """
        axis, cut = hold.axis, self.grids.along if hold.axis == 0 else self.grids.across
        lines = [line for row in hold.rows for line in row]
        at = points[:, [line[0] for line in lines], axis]
        forces = np.stack([_summed(pulls_n[:, sorted(line)]) for line in lines], axis=1)
        factor = _summed(pulls_n) / (self.weight_kg * STANDARD_GRAVITY_M_S2)
        beams = beams_on(cut.places, cut.n_per_m * cut.scale_to(self.weight_kg * factor), at, forces)
        measured = (self.weakest_at_m, cut.flat_m3[np.arange(len(at)), self.weakest]) if axis == 0 else None
        bends = [_worst_section(beams, cut, cut.flat_m3, measured)]
        strips = [self._strips(hold, row, points, pulls_n, sideways_n_m) for row in range(len(hold.rows))]
        per_m = (self.grids.thickness_m * self.grids.thickness_m / 6.0)[:, None]
        for row, row_strips in zip(hold.rows, strips, strict=True):
            moments = np.stack([beams.moment_at(points[:, line[0], axis]) for line in row], axis=1)
            moment = np.take_along_axis(moments, np.abs(moments).argmax(axis=1)[:, None], axis=1)
            for strip in row_strips:
                own = strip.width_m * per_m
                bends.append(_strip(strip.at_m, moment * strip.share, own, strip.pull_n_m, own > 0.0))
        places, moments, stretch = beams.points
        half = self.half_m[:, axis, None]
        for (left, right), neighbors in zip(pairwise(hold.rows), pairwise(strips), strict=True):
            low, high = points[:, left[-1][0], axis, None], points[:, right[0][0], axis, None]
            between = _between(beams, cut, low, high)
            for strip in (*neighbors[0], *neighbors[1]):
                width = np.take_along_axis(_width_in(cut, strip.low_m, strip.high_m, half), stretch, axis=1)
                modulus, counts = width * per_m, between & (width > 0.0)
                bends.append(_strip(places, moments * strip.share, modulus, strip.pull_n_m, counts))
        return joined(bends).worst()

    def _strips(self, hold: Hold, row: int, points: Floats, pulls_n: Floats, sideways_n_m: Floats) -> list[_Strip]:
        """Strips of one row of picks, in columns (n, 1)."""
        axis, half = hold.axis, self.half_m[:, hold.axis, None]
        whole = _summed(pulls_n[:, sorted(pick for line in hold.rows[row] for pick in line)])[:, None]
        strips = []
        for picks in hold.strips[row]:
            across = points[:, picks, 1 - axis]
            low, high = across[:, :1] - half, across[:, -1:] + half
            widths = np.stack([self._width_at(axis, points[:, pick]) for pick in picks], axis=1)
            strips.append(
                _Strip(
                    low,
                    high,
                    points[:, picks[0], axis, None],
                    _summed(pulls_n[:, picks] / whole)[:, None],
                    sideways_n_m[:, picks].max(axis=1)[:, None],
                    np.minimum(_summed(widths)[:, None], high - low),
                )
            )
        return strips

    def _width_at(self, axis: int, points: Floats) -> Floats:
        """Width of the strip at one pick (n, 2) of each plate, (n,), as `strip_width_m` does for one."""
        at, across, half = points[:, axis, None], points[:, 1 - axis, None], self.half_m[:, axis]
        openings = self.grids.openings
        crossed = (openings[:, :, axis] < at) & (at < openings[:, :, axis + 2])
        start, end = openings[:, :, 1 - axis], openings[:, :, 3 - axis]
        below = np.where(crossed & (end <= across + _SAME_M), end, 0.0).max(axis=1, initial=0.0)
        above = np.where(crossed & (start >= across - _SAME_M), start, np.inf).min(axis=1, initial=np.inf)
        middle = across[:, 0]
        low = np.maximum(below, middle - half)
        high = np.minimum(np.minimum(above, self.grids.size_m[:, 1 - axis]), middle + half)
        return np.asarray(np.maximum(high - low, 0.0))


@frozen(eq=False)
class Hold:
    """Rows and strips of picks along one axis, the same for a group of plates.

    rows     rows of picks in order, each of one or more lines of picks at one place
    strips   for each row, the groups of picks that share a strip
    """

    axis: int
    rows: Sequence[Sequence[Sequence[int]]]
    strips: Sequence[Sequence[list[int]]]


@frozen(eq=False)
class _Strip:
    """A strip at picks of one row of each plate, (n, 1) each; `share` and `pull_n_m` as in `plates`."""

    low_m: Floats
    high_m: Floats
    at_m: Floats
    share: Floats
    pull_n_m: Floats
    width_m: Floats


def _groups(places: Floats, apart: Floats) -> Ints:
    """Row number of each line of picks, (n, l). Lines no farther than `apart` from a row's first line belong to it."""
    groups = np.zeros(places.shape, dtype=int)
    start = places[:, 0]
    for number in range(1, places.shape[1]):
        new = places[:, number] - start > apart
        groups[:, number] = groups[:, number - 1] + new
        start = np.where(new, places[:, number], start)
    return groups


def _grid_hold(axis: int, lines: Ints, groups: Ints, *, together: bool) -> Hold:
    """Rows and strips of the picks of a grid along an axis.

    lines      (l, k) picks of each line
    groups     (l,) row number of each line
    together   whether all the picks of a row share a strip
    """
    rows, strips = [], []
    for number in range(int(groups[-1]) + 1):
        row = [line.tolist() for line in lines[groups == number]]
        at_once = [sorted(picks) for picks in zip(*row, strict=True)]
        rows.append(row)
        strips.append([[pick for picks in at_once for pick in picks]] if together else at_once)
    return Hold(axis, rows, strips)


def _between(beams: Beams, cut: Cut, low: Floats, high: Floats) -> Flags:
    """Which points of each beam lie between two stations (n, 1), in a stretch of nonzero length there."""
    places, _, stretch = beams.points
    inside = np.repeat((beams.stations[:, :-1] >= low) & (beams.stations[:, 1:] <= high), 3, axis=1)
    shared = np.minimum(cut.places[:, 1:], high) - np.maximum(cut.places[:, :-1], low)
    real = cut.real & (shared > _SAME_M)
    return np.asarray(inside & np.isfinite(places) & np.take_along_axis(real, stretch, axis=1))


def _held(cut: Cut, loads: Floats, dynamic: float, part: float) -> tuple[Beams, Floats]:
    """Beams of pieces held at a fraction of their length from either end, and their weights, N, both × `dynamic`."""
    length = cut.places[:, -1]
    first, second = part * length, (1.0 - part) * length
    n_per_m = loads * dynamic
    total, moment = np.zeros(len(length)), np.zeros(len(length))
    for rate, start, end in zip(n_per_m.T, cut.places[:, :-1].T, cut.places[:, 1:].T, strict=True):
        total = total + rate * (end - start)
        moment = moment + rate * (end - start) * ((start + end) / 2.0 - first)
    on_second = moment / (second - first)
    on_first = total - on_second
    supports = np.stack([first, second], axis=1)
    return beams_on(cut.places, n_per_m, supports, np.stack([on_first, on_second], axis=1)), on_first + on_second


def _worst_section(beams: Beams, cut: Cut, modulus_m3: Floats, measured: tuple[Floats, Floats] | None) -> Bends:
    """Bending of the whole sections, and of one measured section given by its positions (n,) and moduli (n,)."""
    places, moments, stretch = beams.points
    counts = np.isfinite(places) & np.take_along_axis(cut.real, stretch, axis=1)
    bends = Bends.of(places, moments, np.take_along_axis(modulus_m3, stretch, axis=1), counts)
    if measured is None:
        return bends
    at, modulus = measured
    one = np.ones((len(at), 1), dtype=bool)
    return joined([bends, Bends.of(at[:, None], beams.moment_at(at)[:, None], modulus[:, None], one)])


def _strip(places: Floats, moments: Floats, modulus: Floats, pull_n_m: Floats, counts: Flags) -> Bends:
    """Bending of a strip, with the stress of the sideways pull added."""
    with np.errstate(divide="ignore", invalid="ignore"):
        pull = pull_n_m / modulus
        stress = np.where(counts, np.abs(moments) / modulus + pull, -1.0)
    whole = np.broadcast_to(places, stress.shape), np.broadcast_to(moments, stress.shape)
    return Bends(stress, *whole, np.broadcast_to(modulus, stress.shape), pull, np.ones(stress.shape, dtype=bool))


def _width_in(cut: Cut, low: Floats, high: Floats, half: Floats) -> Floats:
    """Width of material of each section within a strip, (n, s); of the rails beside it if an opening takes all."""
    parts = cut.parts
    within = parts.within(low, high)
    if (within > _SAME_M).all():
        return within
    solid = parts.depth > 0.0
    below = np.where(solid & (parts.y1 <= low + _SAME_M), parts.y1, -np.inf).max(axis=0)
    above = np.where(solid & (parts.y0 >= high - _SAME_M), parts.y0, np.inf).min(axis=0)
    rails = np.where(below > -np.inf, parts.within(np.maximum(below - half, -1e9), np.maximum(below, -1e9)), 0.0)
    rails = rails + np.where(above < np.inf, parts.within(np.minimum(above, 1e9), np.minimum(above + half, 1e9)), 0.0)
    return np.where(within > _SAME_M, within, rails)


def balanced(points: Floats, center: Floats, load_kg: Floats) -> Floats:
    """Most even pulls at picks (n, p, 2) in equilibrium with each load, (n, p), kg.

    For picks in one line along a plate, least squares gives the nearest to equilibrium.
    """
    count = points.shape[1]
    middle = _summed(points) / count
    off = points - middle[:, None, :]
    xx, yy, xy = (_summed(off[:, :, a] * off[:, :, b]) for a, b in ((0, 0), (1, 1), (0, 1)))
    out_x, out_y = (center - middle).T
    if not off[:, :, 1].any():
        level = middle[:, 1]
        pulled_kg = load_kg * (1.0 + level * center[:, 1]) / (1.0 + level * level)
        by_x = (load_kg * center[:, 0] - pulled_kg * middle[:, 0]) / xx
        return np.asarray((pulled_kg / count)[:, None] + by_x[:, None] * off[:, :, 0])
    area = xx * yy - xy * xy
    by_x = load_kg * (out_x * yy - out_y * xy) / area
    by_y = load_kg * (out_y * xx - out_x * xy) / area
    return np.asarray((load_kg / count)[:, None] + by_x[:, None] * off[:, :, 0] + by_y[:, None] * off[:, :, 1])


def _summed(values: Floats) -> Floats:
    """Sum over the second axis, added in order."""
    total = values[:, 0]
    for number in range(1, values.shape[1]):
        total = total + values[:, number]
    return total


def rigid_parts(points: Floats, center: Floats) -> Floats:
    """Largest fraction of the weight on each of four picks of a rigid piece, (n, 4); zeros if it would tip.

    points   (n, 4, 2)
    """
    most = np.zeros(points.shape[:2])
    for trio in combinations(range(4), 3):
        a, b, c = (points[:, number] for number in trio)
        ab, ac, of = b - a, c - a, center - a
        twice_area = ab[:, 0] * ac[:, 1] - ab[:, 1] * ac[:, 0]
        reach = np.maximum(np.hypot(ab[:, 0], ab[:, 1]), np.hypot(ac[:, 0], ac[:, 1]))
        with np.errstate(divide="ignore", invalid="ignore"):
            on_b = (of[:, 0] * ac[:, 1] - of[:, 1] * ac[:, 0]) / twice_area
            on_c = (ab[:, 0] * of[:, 1] - ab[:, 1] * of[:, 0]) / twice_area
        parts = np.stack([1.0 - on_b - on_c, on_b, on_c], axis=1)
        holds = (np.abs(twice_area) > _SLACK * (reach * reach)) & (parts.min(axis=1) >= -_SLACK)
        parts = np.where(holds[:, None], np.maximum(0.0, parts), 0.0)
        most[:, trio] = np.maximum(most[:, trio], parts)
    return most


def plate_checks(
    worst: Worst, axis: int, cracks_pa: Sequence[float | None], settings: HandlingSettings
) -> Iterator[PlateCheck]:
    """Yield the check of the worst bending of each plate along an axis against its first crack."""
    figures = (worst.moment_n_m, worst.modulus_m3, worst.pull_pa, worst.at_m, worst.by_strip)
    rows = zip(
        worst.stress_pa.tolist(),
        cracks_pa,
        repeat(settings.crack_factor),
        repeat(DIRECTIONS[axis]),
        *(figure.tolist() for figure in figures),
        strict=False,
    )
    return map(PlateCheck._make, rows)
