"""Loose lines joined end to end into closed outlines."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from geometry.arcs import edge_lengths, flatten
from geometry.arrays import Floats, Ints
from geometry.errors import FaultError
from geometry.frozen import frozen
from geometry.message import Message, message
from geometry.readers.sheet import LineCollector, Lines, Place

Strand = list[tuple[int, bool]]
"""Consecutive lines, each as its index and whether it is traversed backward."""

NEARLY_CLOSED = 0.5
"""A line was meant to be closed if the gap between its ends is less than this fraction of its length."""

NEAR_M = 0.025
NEAR = 0.01
"""Open ends were meant to meet if they are closer than this length and than this fraction of the longest open line, and
if joining them closes an outline."""

LEAST_TOLD_M = 1e-5
"""Bound that stands for any smaller gap in a note."""

COINCIDE_M = 1e-6
"""Any number of line ends within this distance are one point, up to rounding."""


@frozen(eq=False)
class Chained:
    """Outlines joined from loose lines, and the notes on them."""

    closed: Lines
    problems: tuple[Message, ...]


def chained(loose: Lines, gap: float, chord: float, place: Place, others_closed: bool) -> Chained:
    """Join lines whose ends coincide, then pair the remaining open ends within `gap` of each other.

    loose          lines in the drawing's unit
    gap, chord     tolerances in the drawing's unit
    others_closed  whether the drawing has other, closed outlines

    Only open ends are paired, nearest first, so edges shorter than the gap survive. Where three or more lines meet,
    every area that they enclose becomes an outline. Raises FaultError for an outline that does not close, with both
    ends and the width of the gap, and for three ends within the gap, which is ambiguous. Other open lines are left out
    with a note beside closed outlines, and refused where no outline is closed.
    """
    if not len(loose):
        return Chained(loose, ())
    coincide = min(gap, COINCIDE_M / place.unit_m)
    touching = _Knots(loose, coincide, _clusters(_line_ends(loose), coincide))
    knots = _Knots(loose, gap, *touching.paired(gap, place))
    problems = knots.problems(place)
    loops, open_strands = knots.strands()
    collector = LineCollector()
    for strand in loops:
        points, bulges = knots.run(strand)
        collector.add(points[:-1], bulges[:-1], int(loose.layers[strand[0][0]]))
    stray = [strand for strand in open_strands if not knots.meets_others(strand)]
    crossing = [strand for strand in open_strands if knots.meets_others(strand)]
    if crossing:
        faces, left_over = knots.faces(crossing, chord)
        for face, layer in faces:
            collector.add(face, None, layer)
        if faces:
            problems.append(message("note-lines-meet", place=place.at(knots.meeting(crossing)), count=len(faces)))
        stray += left_over
    closed = collector.lines()
    if stray:
        _refuse_unclosed(knots, stray, place, any_closed=others_closed or len(closed) > 0)
        ends = knots.ends(stray[0])
        problems.append(message("note-lines-open", count=len(stray), start=place.at(ends[0]), end=place.at(ends[1])))
    return Chained(closed, tuple(problems))


def _refuse_unclosed(knots: _Knots, stray: list[Strand], place: Place, any_closed: bool) -> None:
    """Raise FaultError if a stray line was meant as an outline, or if there are no closed outlines."""
    faults: list[tuple[float, Floats, Floats]] = []
    for strand in stray:
        start, end = knots.ends(strand)
        points, bulges = knots.run(strand)
        width = float(np.hypot(*(end - start)))
        if len(points) > 2 and width < NEARLY_CLOSED * _length(points, bulges):
            faults.append((width, start, end))
    if not faults:
        faults = _near_misses(knots, stray, NEAR_M / place.unit_m)
    if not faults and not any_closed:
        _refuse_crossing(knots, stray, place)
        longest = max(stray, key=lambda strand: _length(*knots.run(strand)))
        start, end = knots.ends(longest)
        faults.append((float(np.hypot(*(end - start))), start, end))
    if faults:
        width, start, end = min(faults, key=lambda fault: fault[0])
        raise FaultError(
            "",
            message(
                "outline-open",
                start=place.at(start),
                end=place.at(end),
                gap=place.length(width),
                more=len(faults) - 1,
                enough=place.length(1.002 * width),
            ),
        )


def _refuse_crossing(knots: _Knots, stray: list[Strand], place: Place) -> None:
    """Raise FaultError if open lines cross each other or meet away from their ends."""
    strings = np.array([shapely.LineString(knots.run(strand)[0]) for strand in stray])
    first, second = shapely.STRtree(strings).query(strings, predicate="intersects")
    for i, j in zip(first[first < second].tolist(), second[first < second].tolist(), strict=True):
        at = shapely.get_coordinates(shapely.intersection(strings[i], strings[j]))[0]
        raise FaultError(
            "",
            message("outline-lines-cross", at=place.at(at)),
        )


def _near_misses(knots: _Knots, stray: list[Strand], near: float) -> list[tuple[float, Floats, Floats]]:
    """Gaps of at most `near` between stray lines that would form an outline if they were joined."""
    collector = LineCollector()
    for strand in stray:
        points, bulges = knots.run(strand)
        collector.add(points, bulges, 0)
    lines = collector.lines()
    near = min(near, NEAR * max(_length(*knots.run(strand)) for strand in stray))
    coarse = _Knots(lines, near, _clusters(_line_ends(lines), near))
    loops, _ = coarse.strands()
    gaps = []
    for loop in loops:
        ends = [lines.points[[lines.offsets[i], lines.offsets[i + 1] - 1]][:: -1 if back else 1] for i, back in loop]
        for end, following in zip(ends, [*ends[1:], ends[0]], strict=True):
            width = float(np.hypot(*(following[0] - end[1])))
            if width > 0:
                gaps.append((width, end[1], following[0]))
    return gaps


def _length(points: Floats, bulges: Floats) -> float:
    return float(edge_lengths(points[:-1], points[1:], bulges[:-1]).sum())


def _line_ends(lines: Lines) -> Floats:
    """Start points of the k lines, then their end points, (2k, 2)."""
    return np.concatenate([lines.points[lines.offsets[:-1]], lines.points[lines.offsets[1:] - 1]])


class _Knots:
    """Loose lines connected at knots, the points where their ends meet.

    lines       in the drawing's unit
    gap         a line that starts and ends at one knot counts as empty if it is no longer than twice this
    labels      (2k,) label of each line's start, then of each line's end; ends with the same label form a knot
    duplicates  (k,) mask of lines known to be drawn twice
    """

    def __init__(self, lines: Lines, gap: float, labels: Ints, duplicates: NDArray[np.bool_] | None = None) -> None:
        self.lines = lines
        self.gap = gap
        self._labels = labels
        first = lines.offsets[:-1]
        self._ends = _line_ends(lines)
        chosen, self._knot = np.unique(labels, return_inverse=True)
        self._centers = self._ends[chosen]
        self._widest = float(np.hypot(*(self._ends - self._centers[self._knot]).T).max())
        count = len(lines)
        self.start, self.end = self._knot[:count], self._knot[count:]
        # As lists too, for loops over single lines.
        self._from, self._to = self.start.tolist(), self.end.tolist()
        self._single = (np.diff(lines.offsets) == 2).tolist()
        self._bulge = lines.bulges[first].tolist()
        self.short = (self.start == self.end) & (self._lengths() <= 2 * gap)
        repeats = self._repeats() if duplicates is None else duplicates | self._repeats()
        self.repeated = repeats & ~self.short
        self._used = ~(self.short | self.repeated)
        self._degree = np.bincount(
            np.concatenate([self.start[self._used], self.end[self._used]]), minlength=len(self._centers)
        )

    def _lengths(self) -> Floats:
        points, line = self.lines.points, self.lines.line_of_point
        edges = edge_lengths(points[:-1], points[1:], self.lines.bulges[:-1])
        inside = line[:-1] == line[1:]
        return np.bincount(line[:-1][inside], edges[inside], minlength=len(self.lines)).astype(np.float64)

    def _repeats(self) -> NDArray[np.bool_]:
        """Mask (k,) of single edges that repeat an earlier one."""
        single = np.diff(self.lines.offsets) == 2
        bulge = np.round(self.lines.bulges[self.lines.offsets[:-1]], 9)
        backwards = self.start > self.end
        key = np.stack(
            [
                np.where(backwards, self.end, self.start),
                np.where(backwards, self.start, self.end),
                np.where(backwards, -bulge, bulge) + 0.0,
            ],
            axis=1,
        )
        (numbers,) = np.nonzero(single)
        _, first = np.unique(key[numbers], axis=0, return_index=True)
        mask: NDArray[np.bool_] = single.copy()
        mask[numbers[first]] = False
        return mask

    def problems(self, place: Place) -> list[Message]:
        """Notes on empty lines, lines drawn twice, and closed gaps."""
        notes = []
        if self.short.any():
            notes.append(message("note-lines-short", count=int(self.short.sum())))
        if self.repeated.any():
            notes.append(message("note-lines-twice", count=int(self.repeated.sum())))
        if self._widest > 1e-3 * self.gap:
            notes.append(message("note-gaps-closed", gap_m=max(self._widest * place.unit_m, LEAST_TOLD_M)))
        return notes

    def paired(self, gap: float, place: Place) -> tuple[Ints, NDArray[np.bool_]]:
        """Labels of the ends after pairing open ends within `gap`, and a mask (k,) of lines drawn twice.

        The nearest ends are paired first. A line no longer than twice the gap is not closed onto itself. Raises
        FaultError if an end of a longer line is within reach of two others.
        """
        count = len(self.lines)
        labels, again = self._labels.copy(), np.zeros(count, dtype=bool)
        line = np.arange(2 * count) % count
        alive = self._used[line] & (self._degree[self._knot] == 1)
        (open_ends,) = np.nonzero(alive)
        (knots,) = np.nonzero(self._degree > 0)
        if not len(open_ends) or len(knots) < 2:
            return labels, again
        tree = shapely.STRtree(shapely.points(self._centers[knots]))
        at, near = tree.query(shapely.points(self._ends[open_ends]), predicate="dwithin", distance=gap)
        at, near = open_ends[at], knots[near]
        apart = self._knot[at] != near
        at, near = at[apart], near[apart]
        if not len(at):
            return labels, again
        long = self._lengths() > 2 * gap
        members: dict[int, list[int]] = {}
        for end in np.nonzero(self._used[line] & np.isin(self._knot, near))[0].tolist():
            members.setdefault(int(self._knot[end]), []).append(end)
        reach: dict[int, list[int]] = {}
        for end, knot in zip(at.tolist(), near.tolist(), strict=True):
            reach.setdefault(end, []).extend(members[knot])

        for end, others in reach.items():
            i = end % count
            kept = [other for other in others if not again[other % count]]
            again[i] |= any(self._runs_along(end, other, gap) for other in kept)
        pairs = []
        for end, others in reach.items():
            if again[end % count]:
                continue
            others = [other for other in others if not again[other % count]]
            if long[end % count] and sum(long[other % count] for other in others) > 1:
                raise FaultError(
                    "",
                    message("outline-three-ends", gap=place.length(gap), end=place.at(self._ends[end])),
                )
            for other in others:
                if alive[other] and end < other and (long[end % count] or end % count != other % count):
                    pairs.append((float(np.hypot(*(self._ends[end] - self._ends[other]))), end, other))
        for _, end, other in sorted(pairs):
            if alive[end] and alive[other]:
                alive[end] = alive[other] = False
                labels[[end, other]] = min(labels[end], labels[other])
        return labels, again

    def _runs_along(self, end: int, other: int, gap: float) -> bool:
        """Whether the line with `end` repeats the line with `other`, which is longer or came first."""
        count = len(self.lines)
        i, j = end % count, other % count
        if i == j or not (self._single[i] and self._single[j]):
            return False
        far, far_other = (end + count) % (2 * count), (other + count) % (2 * count)
        if i < j and self._degree[self._knot[other]] == 1 and self._degree[self._knot[far_other]] == 1:
            return False  # drop the later line, unless only the later one is joined to others
        chord = np.hypot(*(self._ends[end] - self._ends[far]))
        bulge = self._bulge[i] if end < count else -self._bulge[i]
        like = self._bulge[j] if other < count else -self._bulge[j]
        return bool(
            chord > 2 * gap
            and np.hypot(*(self._ends[far] - self._ends[far_other])) <= gap
            and abs(bulge - like) * chord <= 2 * gap
        )

    def strands(self) -> tuple[list[Strand], list[Strand]]:
        """Lines chained through knots of degree two: closed loops, and open strands."""
        at: list[list[tuple[int, bool]]] = [[] for _ in range(len(self._centers))]
        start, end = self._from, self._to
        lines = np.nonzero(self._used)[0].tolist()
        for i in lines:
            at[start[i]].append((i, False))
            at[end[i]].append((i, True))
        degree = self._degree.tolist()
        free = self._used.tolist()

        def follow(i: int, backwards: bool) -> Strand:
            strand = [(i, backwards)]
            free[i] = False
            knot = start[i] if backwards else end[i]
            while degree[knot] == 2:
                i, backwards = next(((j, b) for j, b in at[knot] if free[j]), (-1, False))
                if i < 0:
                    break
                free[i] = False
                strand.append((i, backwards))
                knot = start[i] if backwards else end[i]
            return strand

        loops: list[Strand] = []
        others: list[Strand] = []
        for i in lines:
            for knot, backwards in ((start[i], False), (end[i], True)):
                if free[i] and degree[knot] != 2:
                    others.append(follow(i, backwards))
        for i in lines:
            if free[i]:
                loops.append(follow(i, False))
        return loops, others

    def run(self, strand: Strand) -> tuple[Floats, Floats]:
        """Points (n, 2) and bulges (n,) along a strand, with line ends moved to their knots; the last bulge is 0."""
        if all(self._single[i] for i, _ in strand):
            along = [self._to[i] if backwards else self._from[i] for i, backwards in strand]
            i, backwards = strand[-1]
            along.append(self._from[i] if backwards else self._to[i])
            return self._centers[along], np.array([-self._bulge[i] if b else self._bulge[i] for i, b in strand] + [0.0])
        parts, bends = [], []
        for i, backwards in strand:
            points, bulges = self.lines.line(i)
            points = points.copy()
            points[0], points[-1] = self._centers[self.start[i]], self._centers[self.end[i]]
            bulges = bulges[:-1]
            parts.append(points[:0:-1] if backwards else points[:-1])
            bends.append(-bulges[::-1] if backwards else bulges)
        i, backwards = strand[-1]
        parts.append(self._centers[[self.start[i] if backwards else self.end[i]]])
        return np.concatenate(parts), np.concatenate([*bends, [0.0]])

    def _end_knots(self, strand: Strand) -> tuple[int, int]:
        (i, i_back), (j, j_back) = strand[0], strand[-1]
        return int(self.end[i] if i_back else self.start[i]), int(self.start[j] if j_back else self.end[j])

    def ends(self, strand: Strand) -> tuple[Floats, Floats]:
        """Start and end points of a strand."""
        first, last = self._end_knots(strand)
        return self._centers[first], self._centers[last]

    def meets_others(self, strand: Strand) -> bool:
        """Whether three or more lines meet at an end of the strand."""
        return any(self._degree[knot] > 2 for knot in self._end_knots(strand))

    def meeting(self, strands: list[Strand]) -> Floats:
        """A point where three or more lines meet."""
        knots = (knot for strand in strands for knot in self._end_knots(strand))
        center: Floats = self._centers[next(knot for knot in knots if self._degree[knot] > 2)]
        return center

    def faces(self, strands: list[Strand], chord: float) -> tuple[list[tuple[Floats, int]], list[Strand]]:
        """Areas enclosed by strands, each with its layer, and the strands that bound no area.

        Arcs are flattened within `chord`, keeping the area.
        """
        strings = []
        for strand in strands:
            points, bulges = self.run(strand)
            flat, _ = flatten(points[:-1], points[1:], bulges[:-1], chord)
            strings.append(shapely.LineString(np.concatenate([flat, points[-1:]])))
        polygons, *left_over = shapely.polygonize_full(np.array(strings))
        tree = shapely.STRtree(strings)
        faces = []
        for polygon in polygons.geoms:
            ring = shapely.get_coordinates(polygon.exterior)[:-1]
            number = int(tree.nearest(shapely.LineString(ring[:2])))
            faces.append((ring, int(self.lines.layers[strands[number][0][0]])))
        unused = [part for parts in left_over for part in parts.geoms]
        numbers = {int(tree.nearest(part.interpolate(0.5, normalized=True))) for part in unused}
        return faces, [strands[number] for number in sorted(numbers)]


def _clusters(points: Floats, gap: float) -> Ints:
    """Label each point (n, 2) with the lowest index among the points linked to it by steps of at most `gap`."""
    # Most ends coincide exactly: only one of each set is processed further.
    order = np.lexsort(points.T)
    fresh = np.append(True, (np.diff(points[order], axis=0) != 0).any(axis=1))
    same = np.empty(len(points), dtype=np.intp)
    same[order] = order[fresh][np.cumsum(fresh) - 1]
    distinct = order[fresh]
    places = shapely.points(points[distinct])
    first, second = distinct[shapely.STRtree(places).query(places, predicate="dwithin", distance=gap)]
    labels = np.arange(len(points))
    while True:
        before = labels.copy()
        np.minimum.at(labels, first, labels[second])
        if (labels == before).all():
            return labels[same]
