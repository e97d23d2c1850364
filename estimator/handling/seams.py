"""Seams that make a flat piece liftable: as few as possible, then the heaviest part as light as possible, then short.

Cuts are chords of the outline: perpendicular to either axis at every step, beside cut-outs and inside corners at their
margins, and through inside corners as two butts and a miter. Seen from one end of the piece, each cut has a part of
the piece behind it. If one cut lies behind another, a part of the piece lies between them. Its weight and moments are
the difference of two values computed once for each cut, so all pairs of cuts are checked at the same time, and the
best chain of cuts is found without trying all sets of them. If no chain works, the piece is first cut in two,
lengthwise or across a branch, and each half gets its own chain.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import cached_property
from math import inf

import numpy as np
import numpy.typing as npt
import shapely
from shapely import LineString, Polygon
from shapely.ops import split

from estimator.handling.people import MAX_CREW, greatest_share_kg, holding_edge_m
from geometry.arrays import Floats
from geometry.cuts import SAME_M, Bools, CutRules, Cuts, PlanPoint, cuts_of, filled, inside_corners
from geometry.frozen import frozen

LongestPart = Callable[[float], float]

MOST_PARTS = 8
STAIR_TEAM = 3  # on stairs two carry and the third guides
EVEN_PART = 1.01  # a part may exceed the smallest possible heaviest part by this factor to make the seams shorter
FIRST_CUT_EVERY = 6  # every sixth cut is tried as the first cut in two, before each half gets its chain
ROOM_M = 1e-6  # seam lengths that differ by less count as equal


@frozen
class Load:
    """A load on the plan besides the plate itself, such as a drop edge, a core or an insert.

    where    polygon, m; or a point
    mass_kg  total mass; negative if it is lighter than the concrete it displaces
    """

    where: Polygon | shapely.Point
    mass_kg: float


@frozen(eq=False, slots=False)
class SeamPiece:
    """A flat piece to be cut: its plan with openings, and its high-side weight.

    plan   polygon with its openings as holes, m; curves as chords
    """

    plan: Polygon
    kg_m2: float
    loads: tuple[Load, ...] = ()

    @cached_property
    def mass_kg(self) -> float:
        """Total mass of the plate and its loads."""
        return float(self.plan.area) * self.kg_m2 + sum(load.mass_kg for load in self.loads)


@frozen
class SeamLimits:
    """Limits on each part.

    people          most people who carry a part
    person_kg       largest load on one of them
    grip_m          length of edge that one person needs, m; 0: not limited
    part_kg         heaviest part that one batch can cast; None: no limit
    longest_m       function from the width of a part to its largest length that fits the table and the access route
    width_m         least width of a part
    seam_m          width of a seam
    twice           whether a piece that no chain of cuts helps may be cut lengthwise, or across a branch, first
    flat            whether a part is held flat, so that the person on the heavier side of a pair carries more
    stairs          largest load on one person on the stairs, and the tangent of their pitch; None: no stairs
    cuts            where seams may run
    """

    people: int
    person_kg: float
    grip_m: float = 0.0
    part_kg: float | None = None
    longest_m: LongestPart | None = None
    width_m: float = 0.1524
    seam_m: float = 0.0016
    cuts: CutRules = CutRules()
    stairs: tuple[float, float] | None = None
    twice: bool = True
    flat: bool = False


@frozen
class Seam:
    """One seam, from edge to edge of the plan, m."""

    start_m: PlanPoint
    end_m: PlanPoint

    @property
    def length_m(self) -> float:
        (x0, y0), (x1, y1) = self.start_m, self.end_m
        return float(np.hypot(x1 - x0, y1 - y0))


@frozen(eq=False)
class SeamPart:
    """One part between seams.

    size_m   sides of its minimum rotated rectangle, the longer first
    """

    plan: Polygon
    mass_kg: float
    center_m: PlanPoint
    size_m: tuple[float, float]


@frozen(eq=False)
class SeamPlan:
    """Seams and the parts between them, from one end of the piece to the other."""

    seams: tuple[Seam, ...]
    parts: tuple[SeamPart, ...]

    @property
    def heaviest_kg(self) -> float:
        return max(part.mass_kg for part in self.parts)

    @property
    def length_m(self) -> float:
        """Total length of the seams."""
        return sum(seam.length_m for seam in self.seams)


@frozen
class NoSeams:
    """Why there are no seams: the lightest possible part around a zone where no seam may run is too heavy.

    lightest_kg   weight of that part for the worst zone; None if no such part is too heavy
    bounds_m      bounding box of its cut-out: least x and y, largest x and y; None if another limit forbids the seams
    """

    lightest_kg: float | None
    bounds_m: tuple[float, float, float, float] | None


def plan_seams(piece: SeamPiece, limits: SeamLimits) -> SeamPlan | NoSeams:
    """Fewest seams with which every part is within the limits, then the lightest heaviest part, then the shortest.

    Shorter seams are preferred only among plans whose heaviest part is within 1.01 times the lightest possible. A
    piece that is within the limits as it is gets a plan without seams.
    """
    cuts = cuts_of(piece.plan, limits.cuts)
    chain = _Chain.of(piece, limits, cuts)
    seams = chain.best()
    if seams is None and limits.twice:
        seams = _twice_cut(piece, limits, cuts)
    if seams is None:
        return chain.lightest_holding()
    return _plan(piece, seams, limits.seam_m)


def _plan(piece: SeamPiece, seams: Sequence[Seam], seam_m: float) -> SeamPlan:
    return SeamPlan(tuple(seams), tuple(parts_between(piece, seams, seam_m)))


def parts_between(piece: SeamPiece, seams: Sequence[Seam], seam_m: float) -> list[SeamPart]:
    """Parts of a piece between seams, from left to right, then from front to back."""
    outlines = [filled(piece.plan)]
    for seam in seams:
        outlines = [part for outline in outlines for part in _halves(outline, seam)]
    joints = shapely.union_all([_slot(seam, seam_m) for seam in seams]) if seams and seam_m > 0.0 else None
    parts = []
    for outline in outlines:
        whole = piece_within(piece, outline)
        cut = whole.plan if joints is None else whole.plan.difference(joints)
        mass_kg = whole.mass_kg - (whole.plan.area - cut.area) * piece.kg_m2
        parts.append(SeamPart(cut, mass_kg, _center(whole), _turned_size(cut)))
    return sorted(parts, key=lambda part: tuple(round(low, 3) for low in part.plan.bounds[:2]))


def piece_within(piece: SeamPiece, outline: Polygon) -> SeamPiece:
    """Part of a piece on a part of its outline, with its share of every load."""
    inside = shapely.get_parts(shapely.intersection(piece.plan, outline)) if piece.plan.interiors else [outline]
    plan = max(inside, key=lambda part: part.area)
    loads = []
    for load in piece.loads:
        if isinstance(load.where, shapely.Point):
            if outline.distance(load.where) <= SAME_M:
                loads.append(load)
            continue
        shared = load.where.intersection(outline)
        if shared.area > SAME_M**2:
            loads.append(Load(shared, load.mass_kg * shared.area / load.where.area))
    return SeamPiece(plan, piece.kg_m2, tuple(loads))


def _center(piece: SeamPiece) -> PlanPoint:
    plate_kg = piece.plan.area * piece.kg_m2
    x, y = piece.plan.centroid.x * plate_kg, piece.plan.centroid.y * plate_kg
    for load in piece.loads:
        x += load.where.centroid.x * load.mass_kg
        y += load.where.centroid.y * load.mass_kg
    return x / piece.mass_kg, y / piece.mass_kg


def _turned_size(plan: Polygon) -> tuple[float, float]:
    corners = np.asarray(plan.minimum_rotated_rectangle.exterior.coords)
    sides = np.hypot(*np.diff(corners[:3], axis=0).T)
    return float(sides.max()), float(sides.min())


def _slot(seam: Seam, seam_m: float) -> Polygon:
    """Strip of the plan taken by a seam, extended past both ends by the seam width."""
    (x0, y0), (x1, y1) = seam.start_m, seam.end_m
    dx, dy = (x1 - x0) / seam.length_m * seam_m, (y1 - y0) / seam.length_m * seam_m
    line = LineString([(x0 - dx, y0 - dy), (x1 + dx, y1 + dy)])
    return line.buffer(seam_m / 2.0, cap_style="flat")


def _halves(outline: Polygon, seam: Seam) -> list[Polygon]:
    """Parts of an outline on either side of a seam; the whole outline if the seam is not within it."""
    cut = LineString([seam.start_m, seam.end_m])
    if not outline.buffer(ROOM_M).covers(cut):
        return [outline]
    (x0, y0), (x1, y1) = seam.start_m, seam.end_m
    dx, dy = (x1 - x0) / seam.length_m * 1e-6, (y1 - y0) / seam.length_m * 1e-6
    longer = LineString([(x0 - dx, y0 - dy), (x1 + dx, y1 + dy)])
    pieces = shapely.get_parts(split(outline, longer)).tolist()
    return [part for part in pieces if part.area > SAME_M]


# --------------------------------------------------------------------------- a chain of cuts


@frozen(eq=False, slots=False)
class _Chain:
    """Cuts of a piece, ordered from one end of the piece: later cuts have less mass behind them.

    The first entry of every array stands for the whole piece, the last for nothing left.

    chords        (n, 4) ends of each cut
    first, last   (n,) where a chord meets the outline, measured along the outline from the end
    behind        (n, 3) mass behind a cut, and its moments about the axes
    behind_plans  (n,) plan behind a cut, without openings
    corners       (v, 3) corners of the outline: x, y, and distance along it
    """

    piece: SeamPiece
    limits: SeamLimits
    chords: Floats
    first: Floats
    last: Floats
    behind: Floats
    behind_plans: npt.NDArray[np.object_]
    corners: Floats

    @classmethod
    def of(cls, piece: SeamPiece, limits: SeamLimits, cuts: Cuts) -> _Chain:
        chords = cuts.chords[cuts.across]
        outline = filled(piece.plan)
        points = _from_end(outline)
        line = LineString([*points, points[0]])
        at = [shapely.line_locate_point(line, shapely.points(chords[:, side : side + 2])) for side in (0, 2)]
        swapped = at[0] > at[1]
        chords = np.where(swapped[:, None], chords[:, [2, 3, 0, 1]], chords)
        first, last = np.minimum(*at), np.maximum(*at)
        steps = np.hypot(*np.diff(np.vstack([points, points[:1]]), axis=0).T)
        places = np.concatenate([[0.0], np.cumsum(steps)[:-1]])
        plans = _plans_behind(chords, first, last, points, places)
        through = limits.cuts.rail_m is not None
        behind = _masses(piece, plans, through=through)
        order = np.argsort(-behind[:, 0], kind="stable")
        whole = _masses(piece, np.array([outline]), through=through)
        none = np.full((1, 4), np.nan)
        return cls(
            piece,
            limits,
            np.vstack([none, chords[order], none]),
            np.concatenate([[-1.0], first[order], [inf]]),
            np.concatenate([[line.length + 1.0], last[order], [-inf]]),
            np.vstack([whole, behind[order], np.zeros((1, 3))]),
            np.concatenate([np.array([outline]), plans[order], np.array([Polygon()])]),
            np.column_stack([points, places]),
        )

    @cached_property
    def lengths_m(self) -> Floats:
        return np.nan_to_num(np.hypot(self.chords[:, 2] - self.chords[:, 0], self.chords[:, 3] - self.chords[:, 1]))

    def pairs(self) -> tuple[npt.NDArray[np.intp], npt.NDArray[np.intp]]:
        """All pairs of cuts where the second lies behind the first."""
        count = len(self.first)
        before, after = np.triu_indices(count, 1)
        nested = (self.first[before] <= self.first[after] + SAME_M) & (self.last[after] <= self.last[before] + SAME_M)
        nested |= after == count - 1
        return before[nested], after[nested]

    def masses_kg(self, before: npt.NDArray[np.intp], after: npt.NDArray[np.intp]) -> Floats:
        """Masses of the parts between pairs of cuts, less half the width of the seam at either end."""
        slot_kg = self.lengths_m * self.limits.seam_m / 2.0 * self.piece.kg_m2
        between: Floats = self.behind[before, 0] - self.behind[after, 0] - slot_kg[before] - slot_kg[after]
        return between

    def sound_pairs(self) -> tuple[npt.NDArray[np.intp], npt.NDArray[np.intp], Floats]:
        """Pairs of cuts with a part between them that is within the limits, and its mass."""
        limits = self.limits
        most_kg = min(limits.people, MAX_CREW) * limits.person_kg
        if limits.part_kg is not None:
            most_kg = min(most_kg, limits.part_kg)
        before, after = self.pairs()
        mass_kg = self.masses_kg(before, after)
        light = (mass_kg <= most_kg * (1.0 + 1e-9)) & (mass_kg > 0.0)
        for crossing in self._through():
            light &= ~(crossing[before] & crossing[after])  # between them would be two loose rails
        before, after, mass_kg = before[light], after[light], mass_kg[light]
        low, high = self._boxes(before, after)
        center = (self.behind[before, 1:] - self.behind[after, 1:]) / np.maximum(
            self.behind[before, 0] - self.behind[after, 0], 1e-12
        )[:, None]
        size = high - low
        along = np.argmax(size, axis=1)
        rows = np.arange(len(before))
        long, wide = size[rows, along], size[rows, 1 - along]
        off = np.clip(center[rows, along] - low[rows, along], 0.0, long)
        part = np.clip((center[rows, 1 - along] - low[rows, 1 - along]) / wide, 0.0, 1.0)
        side = np.maximum(part, 1.0 - part) if limits.flat else 0.5
        sound = self._carried(mass_kg, long, wide, off, side) & self._fitting(before, after, long, wide)
        before, after, mass_kg, center = before[sound], after[sound], mass_kg[sound], center[sound]
        stable = self._balanced(before, after, center)
        return before[stable], after[stable], mass_kg[stable]

    def _through(self) -> list[Bools]:
        """For each opening that cuts may run through, a mask of the cuts that do."""
        if self.limits.cuts.rail_m is None:
            return []
        lines = shapely.linestrings(self.chords[1:-1].reshape(-1, 2, 2))
        ends = np.zeros(1, dtype=bool)
        return [
            np.concatenate([ends, shapely.intersects(lines, Polygon(hole)), ends]) for hole in self.piece.plan.interiors
        ]

    def _boxes(self, before: npt.NDArray[np.intp], after: npt.NDArray[np.intp]) -> tuple[Floats, Floats]:
        """Bounding boxes of the parts between pairs of cuts: least and largest x and y, (p, 2) each."""
        ends = np.stack([self.chords[before], self.chords[after]], axis=1).reshape(len(before), 4, 2)
        low = np.fmin.reduce(ends, axis=1, initial=inf)
        high = np.fmax.reduce(ends, axis=1, initial=-inf)
        for x, y, place in self.corners:
            inside = (self.first <= place + SAME_M) & (place <= self.last + SAME_M)
            hidden = (self.first < place - SAME_M) & (place < self.last - SAME_M)
            own = inside[before] & ~hidden[after]
            low[own] = np.minimum(low[own], (x, y))
            high[own] = np.maximum(high[own], (x, y))
        return low, high

    def _carried(self, mass_kg: Floats, long: Floats, wide: Floats, off: Floats, side: Floats | float) -> Bools:
        """Whether some team within the limit can carry each part, with shares from the center of gravity."""
        limits = self.limits
        within_kg = limits.person_kg * (1.0 + 1e-9)
        carried = np.zeros(len(mass_kg), dtype=bool)
        for people in range(1, min(limits.people, MAX_CREW) + 1):
            room = (people == 1) | (holding_edge_m(long, wide) >= people * limits.grip_m - 1e-9)
            level = greatest_share_kg(people, mass_kg, long, off, side) <= within_kg
            carried |= np.asarray(level & room & self._climbs(people, mass_kg, long, wide, off))
        return carried

    def _climbs(self, people: int, mass_kg: Floats, long: Floats, wide: Floats, off: Floats) -> Bools:
        """Whether a team can carry each part on the stairs.

        One person carries in a team of two, two in a team of three or more. On edge, the center of gravity is half the
        width above the hands and shifts toward the lower one.
        """
        if self.limits.stairs is None:
            return np.ones(len(mass_kg), dtype=bool)
        limit_kg, pitch = self.limits.stairs
        alone: Bools = mass_kg <= limit_kg
        if people < STAIR_TEAM:
            return alone
        lower_m = np.minimum(np.maximum(off, long - off) + wide / 2.0 * pitch, long)
        pair: Bools = mass_kg * lower_m / long <= limit_kg
        return alone | pair

    def _fitting(self, before: npt.NDArray[np.intp], after: npt.NDArray[np.intp], long: Floats, wide: Floats) -> Bools:
        """Whether each part is wide enough and fits the table and the access route, as it lies or rotated."""
        longest_m, width_m = self.limits.longest_m, self.limits.width_m
        fits = np.asarray(wide >= width_m - SAME_M)
        if longest_m is None:
            return fits
        widths, inverse = np.unique(wide, return_inverse=True)
        longest = np.array([longest_m(float(width)) for width in widths])
        straight = long <= longest[inverse] + SAME_M
        for number in np.flatnonzero(fits & ~straight):
            plan = self.behind_plans[before[number]].difference(self.behind_plans[after[number]])
            turned_long, turned_wide = _turned_size(plan)
            straight[number] = turned_long < long[number] - 1e-6 and turned_long <= longest_m(turned_wide) + SAME_M
        both: Bools = fits & straight
        return both

    def _balanced(self, before: npt.NDArray[np.intp], after: npt.NDArray[np.intp], center: Floats) -> Bools:
        """Whether the center of gravity of each part is inside its outline. Otherwise two holds let it roll."""
        inside = np.asarray(shapely.contains_xy(self.behind_plans[before], center[:, 0], center[:, 1]))
        beyond = np.asarray(shapely.contains_xy(self.behind_plans[after], center[:, 0], center[:, 1]))
        own: Bools = inside & ~beyond
        return own

    def best(self) -> tuple[Seam, ...] | None:
        """Cuts of the best chain, in order; None if no chain is liftable."""
        before, after, mass_kg = self.sound_pairs()
        count = len(self.first)
        weight = np.full((count, count), inf)
        weight[before, after] = mass_kg
        parts = _fewest(np.isfinite(weight))
        if parts is None:
            return None
        heaviest = _least_heaviest(weight, parts)
        whole = max(self.piece.mass_kg, 1e-12)
        cost = np.round(self.lengths_m, 6)[None, :] + 1e-7 * (weight / whole) ** 2
        cost = np.where(weight <= EVEN_PART * heaviest, cost, inf)
        chosen = _shortest(cost, parts)
        chords = self.chords[chosen]
        return tuple(Seam((x0, y0), (x1, y1)) for x0, y0, x1, y1 in chords.tolist())

    def lightest_holding(self) -> NoSeams:
        """Cut-out whose lightest possible part is heaviest, if that part is too heavy."""
        before, after = self.pairs()
        mass_kg = self.masses_kg(before, after)
        worst = NoSeams(None, None)
        if any(crossing.any() for crossing in self._through()):
            return worst
        for hole in self.piece.plan.interiors:
            zone = Polygon(hole)
            within = np.asarray(shapely.contains_xy(self.behind_plans, *zone.representative_point().coords[0]))
            holding = within[before] & ~within[after]
            lightest = float(mass_kg[holding].min())
            if worst.lightest_kg is None or lightest > worst.lightest_kg:
                worst = NoSeams(lightest, zone.bounds)
        if worst.lightest_kg is not None and self._is_too_heavy(worst.lightest_kg):
            return worst
        return NoSeams(None, None)

    def _is_too_heavy(self, mass_kg: float) -> bool:
        limits = self.limits
        most_kg = min(limits.people, MAX_CREW) * limits.person_kg
        return mass_kg > min(most_kg, inf if limits.part_kg is None else limits.part_kg)


def _fewest(sound: Bools) -> int | None:
    """Fewest parts of a chain from the first cut to the last; None if there is no chain of at most MOST_PARTS."""
    reached: Bools = np.zeros(len(sound), dtype=bool)
    reached[0] = True
    for parts in range(1, MOST_PARTS + 1):
        reached = np.logical_or.reduce(sound[reached], axis=0)
        if reached[-1]:
            return parts
    return None


def _least_heaviest(weight: Floats, parts: int) -> float:
    """Lightest possible heaviest part over all chains of this many parts."""
    best = np.full(len(weight), inf)
    best[0] = 0.0
    for _ in range(parts):
        best = np.maximum(best[:, None], weight).min(axis=0)
    return float(best[-1])


def _shortest(cost: Floats, parts: int) -> list[int]:
    """Cuts between the parts of the cheapest chain of this many parts."""
    best = np.full(len(cost), inf)
    best[0] = 0.0
    predecessors = []
    for _ in range(parts):
        total = best[:, None] + cost
        predecessors.append(total.argmin(axis=0))
        best = total.min(axis=0)
    path = [len(cost) - 1]
    for step in reversed(predecessors):
        path.append(int(step[path[-1]]))
    return path[-2:0:-1]


def _from_end(outline: Polygon) -> Floats:
    """Corners of an outline (n, 2), counterclockwise from one end of the piece.

    The ends are the two corners farthest apart by the shortest path inside the outline.
    """
    points = np.asarray(shapely.orient_polygons(outline).exterior.coords)[:-1]
    coarse = np.asarray(shapely.orient_polygons(outline.simplify(0.01)).exterior.coords)[:-1]
    paths = np.full((len(coarse), len(coarse)), inf)
    seen = outline.buffer(1e-6)
    i, j = np.triu_indices(len(coarse), 1)
    lines = shapely.linestrings(np.stack([coarse[i], coarse[j]], axis=1))
    shapely.prepare(seen)
    clear = shapely.covers(seen, lines)
    paths[i[clear], j[clear]] = paths[j[clear], i[clear]] = shapely.length(lines[clear])
    np.fill_diagonal(paths, 0.0)
    for over in range(len(coarse)):
        paths = np.minimum(paths, paths[:, over, None] + paths[None, over])
    farthest = np.argwhere(paths >= np.where(np.isfinite(paths), paths, 0.0).max() - ROOM_M)
    start = min(coarse[np.unique(farthest)].tolist())
    return np.roll(points, -int(np.argmin(np.hypot(*(points - start).T))), axis=0)


def _plans_behind(
    chords: Floats, first: Floats, last: Floats, points: Floats, places: Floats
) -> npt.NDArray[np.object_]:
    """Plan behind each cut, without openings: the outline between the ends of the cut, closed by the cut."""
    start, end = np.searchsorted(places, first + SAME_M), np.searchsorted(places, last - SAME_M)
    plans = [
        Polygon(np.vstack([chord[None, :2], points[i:j], chord[None, 2:]]))
        for chord, i, j in zip(chords, start.tolist(), end.tolist(), strict=True)
    ]
    return np.array(plans, dtype=object)


def _masses(piece: SeamPiece, plans: npt.NDArray[np.object_], *, through: bool) -> Floats:
    """Mass and moments about the axes of the parts of a piece on some plans, (n, 3).

    through   whether the edge of a plan may run through an opening
    """
    sums = np.zeros((len(plans), 3))
    if not len(plans):
        return sums

    def add(areas: npt.NDArray[np.object_], kg_m2: float) -> None:
        kg = shapely.area(areas) * kg_m2
        some = kg != 0.0
        centers = np.zeros((len(areas), 2))
        centers[some] = shapely.get_coordinates(shapely.centroid(areas[some]))
        sums[:, 0] += kg
        sums[:, 1:] += centers * kg[:, None]

    add(plans, piece.kg_m2)
    for hole in piece.plan.interiors:
        opening = Polygon(hole)
        if through:
            add(shapely.intersection(plans, opening), -piece.kg_m2)
            continue
        x, y = opening.representative_point().coords[0]
        kg = np.where(shapely.contains_xy(plans, x, y), -opening.area * piece.kg_m2, 0.0)
        sums[:, 0] += kg
        sums[:, 1:] += np.outer(kg, (opening.centroid.x, opening.centroid.y))
    for load in piece.loads:
        if isinstance(load.where, shapely.Point):
            kg = np.where(shapely.intersects_xy(plans, load.where.x, load.where.y), load.mass_kg, 0.0)
            sums[:, 0] += kg
            sums[:, 1:] += np.outer(kg, (load.where.x, load.where.y))
            continue
        shared = shapely.intersection(plans, load.where)
        kg = shapely.area(shared) / load.where.area * load.mass_kg
        loaded = kg != 0.0
        sums[loaded, 0] += kg[loaded]
        sums[loaded, 1:] += shapely.get_coordinates(shapely.centroid(shared[loaded])) * kg[loaded, None]
    return sums


# --------------------------------------------------------------------------- one more level of cutting


def _twice_cut(piece: SeamPiece, limits: SeamLimits, cuts: Cuts) -> tuple[Seam, ...] | None:
    """A first cut into two pieces, and the cuts that make each of them liftable; None if no such cut was found.

    Every sixth cut is tried, and all cuts through inside corners. The halves are cut at three times the step.
    """
    corners = [corner.at for corner in inside_corners(filled(piece.plan))]
    chords = cuts.chords
    at_corner = np.zeros(len(chords), dtype=bool)
    for corner in corners:
        at_corner |= np.minimum(*(np.hypot(*(chords[:, s : s + 2] - corner).T) for s in (0, 2))) <= 1e-6
    candidates = np.flatnonzero(at_corner | (np.arange(len(chords)) % FIRST_CUT_EVERY == 0))
    options: list[tuple[tuple[int, float, float], tuple[Seam, ...]]] = []
    coarse = replace(limits, cuts=limits.cuts._replace(step_m=limits.cuts.step_m * 3.0))
    for x0, y0, x1, y1 in chords[candidates].tolist():
        first = Seam((x0, y0), (x1, y1))
        halves = _halves(filled(piece.plan), first)
        if len(halves) != 2:
            continue
        plans = [plan_half(piece_within(piece, half), coarse) for half in halves]
        seams = [first]
        for half in plans:
            if half is None:
                break
            seams += half
        else:
            if len(seams) >= MOST_PARTS:
                continue
            whole = _plan(piece, seams, limits.seam_m)
            options.append(((len(whole.parts), round(whole.heaviest_kg, 6), whole.length_m), tuple(seams)))
    return min(options, key=lambda entry: entry[0])[1] if options else None


def plan_half(piece: SeamPiece, limits: SeamLimits) -> tuple[Seam, ...] | None:
    """Seams of one half by a chain alone; None if no chain is liftable."""
    return _Chain.of(piece, limits, cuts_of(piece.plan, limits.cuts)).best()
