"""What is drawn of a form: the plan as built, the finished piece, and a hatched section with its dimensions."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import pairwise
from math import hypot
from typing import Any

import numpy as np

from estimator.constants import INCH_M
from estimator.report.papers import drawing
from estimator.report.papers.drawing import STAND_OFF, Bounds, Scale, bare
from estimator.report.papers.style import GREY, HAIR, INK
from estimator.report.papers.text import BOLD, PLAIN, known_width, write, write_centered, write_right
from estimator.words import Words
from geometry.arrays import Floats
from geometry.form_boards import edge_marks
from geometry.frozen import frozen
from geometry.plane import Region, Ring
from geometry.shape import Shape
from geometry.views import CrossSection, PlanView

LEFT, BELOW, RIGHT = 44.0, 46.0, 14.0
ABOVE, OVER_CORNERS = 24.0, 9.0
"""Round the plan: room for dimensions, the scale bar and what stands above, points."""

ROOM_FOR_NUMBER = 18.0
"""A smaller cut-out has its number beside it, points."""

NUMBER_REACH, NUMBER_STEPS, NUMBER_APART, LINE_APART = 9.0, (20.0, 32.0, 46.0), 15.0, 1.5
"""From a small cut-out to its number beside it, and farther where others are near; between two numbers, and between the
line to a number and another cut-out, points."""

EDGE_SPOTS = ((8, 0), (-8, 0), (-8, 30), (-8, -30), (-22, 0))
"""Where the number of an edge may stand: from its middle inward, and along it, points."""

MOST_NUMBERS = 40
"""So many cut-outs and edges are numbered; a perforated panel is built from its full-size drawing."""

MOST_LEVELS = 10
"""A section with more is shaped: its corners are listed."""

MOST_CORNERS = 24
NEAR_M = 0.0002  # nobody measures less on a form
BAR_STEPS = {"metric": (0.01, 0.05, 0.1, 0.25, 0.5, 1.0), "imperial": tuple(INCH_M * n for n in (1, 2, 3, 6, 12, 24))}
BAR_LENGTH = 130.0  # points at most

Spot = tuple[float, float]
Edges = Sequence[tuple[int, Spot, Spot]]
Links = Sequence[tuple[float, float]]


@frozen(eq=False)
class Plan:
    """The plan of a form as it is built, at its scale.

    scale, ratio   its place on paper, and n of 1:n
    notes          what the left and the right end of the piece are called, where the form is its mirror image
    corners        corners that a list numbers, where it is no rectangle
    height, room   of the drawing, and across its box, points
    """

    view: PlanView
    scale: Scale
    ratio: int
    ends: tuple[str, str] | None
    edges: Edges
    corners: Sequence[tuple[float, float]]
    section: CrossSection | None
    words: Words
    height: float
    room: float
    joints_m: drawing.Joints

    @classmethod
    def of(
        cls,
        shape: Shape,
        view: PlanView,
        section: CrossSection | None,
        box: tuple[float, float],
        words: Words,
        ends: tuple[str, str] | None,
        joints_m: drawing.Joints = (),
    ) -> "Plan":
        """The plan in a box, points, or as much of its height as the scale takes; `ends` where the form is mirrored.

        joints_m   seams of the piece, in its own plan
        """
        corners = corners_of(view)
        above = ABOVE + (OVER_CORNERS if corners and ends is not None else 0.0)
        wide, high = box[0] - LEFT - RIGHT, box[1] - BELOW - above
        scale, ratio = Scale.standard(view.bounds_m, LEFT, BELOW, wide, high, words.units)
        scale = replace(scale, at=(scale.at[0], BELOW))
        height = view.size_m[1] * scale.per_m + BELOW + above
        edges = _numbered_edges(shape, view, mirrored=ends is not None)
        x0, _, x1, _ = view.bounds_m
        if ends is not None:
            joints_m = [((x0 + x1 - a, b), (x0 + x1 - c, d)) for (a, b), (c, d) in joints_m]
        return cls(view, scale, ratio, ends, edges, corners, section, words, height, wide, joints_m)

    @property
    def share(self) -> float:
        """Length of the plan, of the room that it has."""
        return self.view.size_m[0] * self.scale.per_m / self.room

    def draw(self, canvas: Any, _wide: float, _high: float) -> None:
        view, scale = self.view, self.scale
        drawing.draw_view(canvas, view, scale)
        drawing.seam_lines(canvas, self.joints_m, scale)
        (x0, y0), (x1, y1) = scale.place(view.bounds_m[:2]), scale.place(view.bounds_m[2:])
        if view.is_rectangular:  # so that the measured diagonal is seen for what it is
            canvas.saveState()
            canvas.setStrokeColor(HAIR)
            canvas.setLineWidth(drawing.HAIRLINE)
            canvas.setDash(1, 3)
            canvas.lines([(x0, y0, x1, y1), (x0, y1, x1, y0)])
            canvas.restoreState()
        row = 1.0 if self.corners else 0.0 if self.section is None or self.ends is not None else 0.7
        drawing.across(canvas, x0, x1, y0 - STAND_OFF - row * 13, bare(view.size_m[0], self.words), y0)
        drawing.upright(canvas, x0 - STAND_OFF - row * 13, y0, y1, bare(view.size_m[1], self.words), x0)
        _origin(canvas, x0, y0)
        self._numbers(canvas)
        if self.ends is not None:
            left, right = self.ends
            top = y1 + (14 if self.corners else 5)
            write(canvas, [(x0, top, left)], PLAIN, drawing.LETTER, GREY)
            line = 0 if x1 - x0 > known_width(left + right, PLAIN, drawing.LETTER) + 12 else 9
            write_right(canvas, max(x1, x0 + 90), top + line, right, PLAIN, drawing.LETTER, GREY)
        elif self.section is not None:
            drawing.cut_marks(canvas, scale, view.bounds_m, self.section)
        self._bar(canvas, LEFT)

    def _numbers(self, canvas: Any) -> None:
        boxes = [
            (*self.scale.place(opening.bounds[:2]), *self.scale.place(opening.bounds[2:]))
            for opening in self.view.openings[:MOST_NUMBERS]
        ]
        canvas.setStrokeColor(GREY)
        canvas.setLineWidth(drawing.HAIRLINE)
        places = _number_places(boxes)
        for number, (box, at) in enumerate(zip(boxes, places, strict=True), start=1):
            if _away(at, box) > NUMBER_REACH:
                canvas.line((box[0] + box[2]) / 2, (box[1] + box[3]) / 2, *at)
            drawing.number_mark(canvas, at, number)
        number_edges(canvas, self.edges, self.scale, boxes, places)
        center = np.mean(self.corners, axis=0) if self.corners else (0.0, 0.0)
        for number, corner in enumerate(self.corners):
            x, y = self.scale.place(corner)
            dx, dy = np.sign(np.asarray(corner) - center)
            write_centered(canvas, x + 7 * dx, y + 5 * dy - 2.5, corner_name(number), BOLD, 6.5, GREY)

    def _bar(self, canvas: Any, left: float) -> None:
        steps = [step for step in BAR_STEPS[self.words.units] if 4 * step * self.scale.per_m <= BAR_LENGTH]
        if steps:
            step_m = steps[-1]
            figures = [bare(i * step_m, self.words) if i else "0" for i in range(5)]
            drawing.scale_bar(canvas, left, 3, self.scale, step_m, 4, figures)


def _number_places(boxes: Sequence[Bounds]) -> list[Spot]:
    """Where the number of each cut-out stands: in it, or the nearest place beside it that is clear of all others.

    boxes   of the cut-outs on paper, points
    """
    roomy = [min(x1 - x0, y1 - y0) >= ROOM_FOR_NUMBER for x0, y0, x1, y1 in boxes]
    places = {
        i: ((x0 + x1) / 2, (y0 + y1) / 2)
        for i, ((x0, y0, x1, y1), is_roomy) in enumerate(zip(boxes, roomy, strict=True))
        if is_roomy
    }
    for i, box in enumerate(boxes):
        if i not in places:
            others = [other for j, other in enumerate(boxes) if j != i]
            spots = [*_spots(box)]
            places[i] = next((spot for spot in spots if _is_clear(spot, box, places.values(), others)), spots[0])
    return [places[i] for i in range(len(boxes))]


def _spots(box: Bounds) -> Iterator[Spot]:
    """Places around a small cut-out, the nearest first; farther ones are joined to it by a line."""
    x0, y0, x1, y1 = box
    x, y = (x0 + x1) / 2, (y0 + y1) / 2
    for reach in (NUMBER_REACH, *NUMBER_STEPS):
        for dx, dy in ((1, 0), (-1, 0), (0, 1), (0, -1), (0.7, 0.7), (-0.7, 0.7), (0.7, -0.7), (-0.7, -0.7)):
            yield x + dx * ((x1 - x0) / 2 + reach), y + dy * ((y1 - y0) / 2 + reach)


def _is_clear(spot: Spot, box: Bounds, numbers: Iterable[Spot], cutouts: Iterable[Bounds]) -> bool:
    """Whether a number there, and the line to its own cut-out, touch no other number and no other cut-out."""
    x, y = (box[0] + box[2]) / 2, (box[1] + box[3]) / 2
    way = [(x + (spot[0] - x) * step / 8, y + (spot[1] - y) * step / 8) for step in range(8)]
    return all(hypot(spot[0] - x, spot[1] - y) >= NUMBER_APART for x, y in numbers) and all(
        _away(spot, cutout) >= NUMBER_APART / 2 and all(_away(at, cutout) >= LINE_APART for at in way)
        for cutout in cutouts
    )


def _away(spot: Spot, box: Bounds) -> float:
    """Distance of a place from a box, points."""
    x0, y0, x1, y1 = box
    return hypot(max(x0 - spot[0], spot[0] - x1, 0.0), max(y0 - spot[1], spot[1] - y1, 0.0))


def corner_name(number: int) -> str:
    """a, b … z, a1, b1 … of a corner, counted from 0."""
    round_, letter = divmod(number, 26)
    return f"{chr(ord('a') + letter)}{round_ or ''}"


def corners_of(view: PlanView) -> Sequence[tuple[float, float]]:
    """Corners of a plan that is one outline, no rectangle and not too many-cornered, from the lower left."""
    if view.is_rectangular or len(view.material) != 1:
        return ()
    points = view.material[0].outer.points
    if not 2 < len(points) <= MOST_CORNERS:
        return ()
    first = int(np.argmin(points.sum(axis=1)))
    return [(float(x), float(y)) for x, y in np.roll(points, -first, axis=0)]


def _numbered_edges(shape: Shape, view: PlanView, *, mirrored: bool) -> Edges:
    """Where each numbered edge of a drawn plan is, as built: its number, a point of it, and the way inward."""
    if shape.edge_numbers != "plan":
        return ()
    x0, _, x1, _ = view.bounds_m
    return tuple(
        (number, (x0 + x1 - x, y), (-dx, dy)) if mirrored else (number, (x, y), (dx, dy))
        for number, (x, y), (dx, dy) in edge_marks(shape)
    )


def number_edges(
    canvas: Any, edges: Edges, scale: Scale, cutouts: Sequence[Bounds] = (), numbers: Sequence[Spot] = ()
) -> None:
    """The numbers that the list of boards calls the edges by, just inside them, outside where a cut-out is there.

    cutouts, numbers   on paper, points
    """
    for number, point, (dx, dy) in edges[:MOST_NUMBERS]:
        x, y = scale.place(point)
        spots = [(x + away * dx + aside * dy, y + away * dy - aside * dx) for away, aside in EDGE_SPOTS]
        at_x, at_y = next((at for at in spots if _is_free(at, cutouts, numbers)), spots[0])
        write_centered(canvas, at_x, at_y - 2.5, str(number), BOLD, drawing.LETTER, GREY)


def _is_free(spot: Spot, cutouts: Iterable[Bounds], numbers: Iterable[Spot]) -> bool:
    """Whether the number of an edge there lies in no cut-out and on no other number."""
    return all(_away(spot, box) >= 4.0 for box in cutouts) and all(
        hypot(spot[0] - x, spot[1] - y) >= 12.0 for x, y in numbers
    )


def _origin(canvas: Any, x: float, y: float) -> None:
    """The corner from which places are measured: a ring half filled."""
    canvas.setFillColor(GREY)
    canvas.setStrokeColor(GREY)
    canvas.setLineWidth(drawing.THIN)
    canvas.circle(x, y, 2.6, stroke=1, fill=0)
    canvas.wedge(x - 2.6, y - 2.6, x + 2.6, y + 2.6, 0, 90, stroke=0, fill=1)


@frozen(eq=False)
class Cut:
    """A section at its scale, with the dimensions that it shows.

    across   from and to of each dimension along it, m; the length of the plan stands with the plan
    upright  the same in height
    edges    numbers of a moulding's sides
    corners  with the way outward at each, of a section whose edges are not all level or upright
    """

    section: CrossSection
    scale: Scale
    ratio: int
    across: Links
    upright: Links
    edges: Edges
    corners: Sequence[tuple[Spot, Spot]]
    words: Words

    @classmethod
    def of(
        cls, shape: Shape, section: CrossSection, openings: Sequence[Region], box: tuple[float, float], words: Words
    ) -> "Cut":
        scale, ratio = Scale.standard(section.bounds_m, 30, 26, box[0] - 84, box[1] - 34, words.units)
        points = np.concatenate([ring.points for region in section.material for ring in region.rings])
        curved = any(ring.bulges is not None for region in section.material for ring in region.rings)
        along, heights = _levels(points[:, 0]), _levels(points[:, 1])
        is_shaped = curved or len(along) > MOST_LEVELS or len(heights) > MOST_LEVELS
        low, high = (1, 3) if section.axis == "x" else (0, 2)
        holes = [(opening.bounds[low] - NEAR_M, opening.bounds[high] + NEAR_M) for opening in openings]
        own = [level for level in along if not any(start <= level <= end for start, end in holes)]
        links = () if is_shaped else _all_but_longest(own)
        upright = _all_but_longest(heights) if not is_shaped and len(heights) > 2 else ()
        fits = [(b - a) * scale.per_m > known_width(bare(b - a, words), PLAIN, drawing.LETTER) for a, b in links]
        across = links if all(fits[1:-1]) else ()
        edges = edge_marks(shape) if shape.edge_numbers == "section" else ()
        corners = _corners(section)
        if corners and shape.form():
            corners = ()
        return cls(section, scale, ratio, across, upright, edges, corners, words)

    def shows(self, length_m: float) -> bool:
        """Whether a dimension of this length is drawn."""
        _, z0, _, z1 = self.section.bounds_m
        drawn = [b - a for a, b in (*self.across, *self.upright, (z0, z1))]
        return any(abs(length - length_m) < NEAR_M for length in drawn)

    def draw(self, canvas: Any, _wide: float, _high: float) -> None:
        scale, bounds_m = self.scale, self.section.bounds_m
        drawing.draw_section(canvas, self.section, scale)
        number_edges(canvas, self.edges, scale)
        for number, (at, (dx, dy)) in enumerate(self.corners):
            x, y = scale.place(at)
            write_centered(canvas, x + 5 * dx, y + 5 * dy - 2.2, corner_name(number), BOLD, 6.0, GREY)
        (x0, y0), (x1, y1) = scale.place(bounds_m[:2]), scale.place(bounds_m[2:])
        text = bare(bounds_m[3] - bounds_m[1], self.words)
        drawing.upright(canvas, x0 - STAND_OFF, y0, y1, "", x0)
        write_right(canvas, x0 - STAND_OFF - 5, (y0 + y1) / 2 - 2.5, text, PLAIN, drawing.LETTER, INK)
        self._chains(canvas, x1, y0, bounds_m)

    def _chains(self, canvas: Any, x1: float, y0: float, bounds_m: Bounds) -> None:
        scale, words = self.scale, self.words
        places = [
            (scale.place((a, bounds_m[1]))[0], scale.place((b, bounds_m[1]))[0], bare(b - a, words))
            for a, b in self.across
        ]
        drawing.chain_across(canvas, places, y0 - 12, y0)
        heights = [
            (scale.place((bounds_m[0], a))[1], scale.place((bounds_m[0], b))[1], bare(b - a, words))
            for a, b in self.upright
        ]
        drawing.chain_upright(canvas, heights, x1 + 10, x1)


def _levels(values: Any) -> list[float]:
    """The values in order, those that no rule tells apart once."""
    levels: list[float] = []
    for value in sorted(values.tolist()):
        if not levels or value - levels[-1] > NEAR_M:
            levels.append(value)
    return levels


def _corners(section: CrossSection) -> Sequence[tuple[Spot, Spot]]:
    """Corners of a section that its dimensions do not fix, each with the unit vector outward; none where too many."""
    rings = [region.outer for region in section.material]
    if sum(len(ring.points) for ring in rings) > MOST_CORNERS or not any(map(_is_slanted, rings)):
        return ()
    corners: list[tuple[Spot, Spot]] = []
    for ring in rings:
        points = ring.points if ring.signed_area_m2 > 0 else ring.points[::-1]
        steps = _steps(points)
        out = np.stack([steps[:, 1], -steps[:, 0]], axis=1)
        out = out + np.roll(out, 1, axis=0)
        out = out / np.maximum(np.hypot(out[:, 0], out[:, 1]), 1e-12)[:, None]
        corners += [((x, y), (dx, dy)) for (x, y), (dx, dy) in zip(points.tolist(), out.tolist(), strict=True)]
    return corners


def _steps(points: Floats) -> Floats:
    """Unit vectors (n, 2) along the edges of a closed line."""
    steps = np.roll(points, -1, axis=0) - points
    along: Floats = steps / np.maximum(np.hypot(steps[:, 0], steps[:, 1]), 1e-12)[:, None]
    return along


def _is_slanted(ring: Ring) -> bool:
    """Whether an edge is neither level nor upright."""
    return bool((np.abs(_steps(ring.points)).min(axis=1) > 1e-3).any())


def _all_but_longest(levels: Sequence[float]) -> list[tuple[float, float]]:
    """Stretches between neighboring levels; the longest follows from the whole, so that nothing stands twice."""
    links = list(pairwise(levels))
    if len(links) < 2:
        return []
    longest = max(links, key=lambda link: link[1] - link[0])
    return [link for link in links if link is not longest]


def draw_piece(
    canvas: Any, wide: float, high: float, view: PlanView, section: CrossSection | None, joints_m: drawing.Joints
) -> None:
    """The finished piece face up, its seams, and where it is cut."""
    scale = Scale.fitting(view.bounds_m, 16, 14, wide - 32, high - 28)
    drawing.draw_view(canvas, view, scale)
    drawing.seam_lines(canvas, joints_m, scale)
    if section is not None:
        drawing.cut_marks(canvas, scale, view.bounds_m, section)
