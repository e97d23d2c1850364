"""Drawings of a piece for paper: plan, dimensions, hatching, holds."""

from collections.abc import Iterable, Sequence
from itertools import pairwise
from math import ceil, inf, sqrt
from typing import Any

from shapely.ops import substring

from estimator.errors import FaultError
from estimator.report.papers.style import BOLD, GREY, INK, PAPER, PLAIN, TINT, Draw, width_of
from estimator.report.papers.text import write, write_centered
from estimator.takeoff import PieceTakeoff
from estimator.units import Units
from estimator.words import Words
from geometry.edged import EdgedShape
from geometry.frozen import frozen
from geometry.plan import Path, Point, boundaries_of
from geometry.plan_edges import chosen
from geometry.plane import Region
from geometry.shape import Shape, plan_view
from geometry.views import CrossSection, PlanView

LINE, THIN, HAIRLINE = 1.0, 0.6, 0.35
DASH = (3.0, 2.0)
LETTER = 7.5
"""Size of dimension figures."""

BESIDE = 4.0
"""From the end of a chain of dimensions to a figure outside it, points."""

STAND_OFF, ROW = 9.0, 13.0
"""From the piece to its first dimension line, and from one to the next, points."""

PER_M = 72 / 0.0254
"""Points of a meter on paper at full size."""

RATIOS: dict[Units, tuple[int, ...]] = {
    "metric": (1, 2, 5, 10, 20, 25, 50, 100, 200),  # ISO 5455, and 1:25 as shops use it
    "imperial": (1, 2, 4, 8, 12, 16, 24, 32, 48, 64, 96, 128, 192),  # 12" to 1/16" to the foot
}

HATCH_GAP, HATCH_SIDE = 3.2, 420.0
"""Between the lines of a hatch, and the side of the square that is drawn once, points."""

Bounds = tuple[float, float, float, float]


@frozen
class Scale:
    """Where a drawing lies on paper: points per metre, and the paper's place of the model's lower left corner."""

    per_m: float
    corner_m: Point
    at: Point

    @classmethod
    def fitting(cls, bounds_m: Bounds, left: float, bottom: float, wide: float, high: float) -> "Scale":
        """The model in the middle of a box on paper, as large as it fits."""
        x0, y0, x1, y1 = bounds_m
        per_m = min(wide / max(x1 - x0, 1e-6), high / max(y1 - y0, 1e-6))
        dx, dy = (wide - per_m * (x1 - x0)) / 2, (high - per_m * (y1 - y0)) / 2
        return cls(per_m, (x0, y0), (left + dx, bottom + dy))

    @classmethod
    def standard(
        cls, bounds_m: Bounds, left: float, bottom: float, wide: float, high: float, units: Units
    ) -> "tuple[Scale, int]":
        """The model in the middle of a box, at the largest usual scale 1:n that fits; and n."""
        x0, y0, x1, y1 = bounds_m
        needed = PER_M * max((x1 - x0) / wide, (y1 - y0) / high)
        ratio = next((ratio for ratio in RATIOS[units] if ratio >= needed), 0) or 100 * ceil(needed / 100)
        per_m = PER_M / ratio
        dx, dy = (wide - per_m * (x1 - x0)) / 2, (high - per_m * (y1 - y0)) / 2
        return cls(per_m, (x0, y0), (left + dx, bottom + dy)), ratio

    def place(self, point: Sequence[float]) -> Point:
        return (
            self.at[0] + (float(point[0]) - self.corner_m[0]) * self.per_m,
            self.at[1] + (float(point[1]) - self.corner_m[1]) * self.per_m,
        )


def draw_view(canvas: Any, view: PlanView, scale: Scale) -> None:
    """The piece from above."""
    fill(canvas, view.material, scale)
    strokes(canvas, view.hidden, scale, THIN, dashed=True)
    strokes(canvas, view.seen, scale, THIN)
    strokes(canvas, boundaries_of(view.material), scale, LINE)


SEAM, SEAM_DASH = 1.6, (6.0, 2.0)
"""Weight and dashes of a seam."""

Joints = Sequence[tuple[Point, Point]]
Polyline = Sequence[tuple[float, ...]]
HEAVY, CHORD_M = 1.8, 0.001
"""Weight of worked edges in the picture of a piece, and the chord tolerance of curved ones."""


def seam_lines(canvas: Any, joints_m: Joints, scale: Scale) -> None:
    """Seams as heavy broken lines; their ends in the model, m."""
    if not joints_m:
        return
    canvas.saveState()
    canvas.setStrokeColor(INK)
    canvas.setLineWidth(SEAM)
    canvas.setDash(*SEAM_DASH)
    for start, end in joints_m:
        canvas.line(*scale.place(start), *scale.place(end))
    canvas.restoreState()


def draw_section(canvas: Any, section: CrossSection, scale: Scale) -> None:
    """The piece cut, its material hatched at 45° (ISO 128-50)."""
    canvas.saveState()
    for region in section.material:
        pen = canvas.beginPath()
        for line in boundaries_of([region]):
            _trace(pen, line, scale)
        canvas.saveState()
        canvas.clipPath(pen, stroke=0, fill=0, fillMode=0)
        x0, y0, x1, y1 = region.bounds
        (left, low), (right, high) = scale.place((x0, y0)), scale.place((x1, y1))
        _hatch(canvas, left, low, right - left, high - low)
        canvas.restoreState()
    canvas.restoreState()
    strokes(canvas, boundaries_of(section.material), scale, LINE)


def _hatch(canvas: Any, left: float, low: float, wide: float, high: float) -> None:
    """Thin lines at 45° over a box, from a square of them that is written once a paper."""
    if not canvas.hasForm("hatch"):
        canvas.beginForm("hatch", 0, 0, HATCH_SIDE, HATCH_SIDE)
        canvas.setStrokeColor(GREY)
        canvas.setLineWidth(HAIRLINE)
        steps = int(2 * HATCH_SIDE / (HATCH_GAP * sqrt(2)))
        starts = [i * HATCH_GAP * sqrt(2) - HATCH_SIDE for i in range(steps)]
        canvas.lines([(start, 0, start + HATCH_SIDE, HATCH_SIDE) for start in starts])
        canvas.endForm()
    for i in range(int(wide // HATCH_SIDE) + 1):
        for j in range(int(high // HATCH_SIDE) + 1):
            canvas.saveState()
            canvas.translate(left + i * HATCH_SIDE, low + j * HATCH_SIDE)
            canvas.doForm("hatch")
            canvas.restoreState()


def fill(canvas: Any, regions: Iterable[Region], scale: Scale) -> None:
    """Tints material; holes stay paper."""
    canvas.setFillColor(TINT)
    for region in regions:
        path = canvas.beginPath()
        for line in boundaries_of([region]):
            _trace(path, line, scale)
        canvas.drawPath(path, stroke=0, fill=1, fillMode=0)


def strokes(canvas: Any, paths: Iterable[Path], scale: Scale, thickness: float, *, dashed: bool = False) -> None:
    """Lines of one thickness."""
    canvas.saveState()
    canvas.setStrokeColor(INK)
    canvas.setLineWidth(thickness)
    canvas.setLineJoin(1)
    if dashed:
        canvas.setDash(*DASH)
    pen = canvas.beginPath()
    for path in paths:
        _trace(pen, path, scale)
    canvas.drawPath(pen, stroke=1, fill=0)
    canvas.restoreState()


def _trace(pen: Any, path: Path, scale: Scale) -> None:
    if path.bulges is None:
        per_m, (x0, y0), (left, low) = scale.per_m, scale.corner_m, scale.at
        (x, y), *rest = path.points.tolist()
        pen.moveTo(left + (x - x0) * per_m, low + (y - y0) * per_m)
        for x, y in rest:
            pen.lineTo(left + (x - x0) * per_m, low + (y - y0) * per_m)
    else:
        pen.moveTo(*scale.place(path.points[0]))
        for edge in path.edges():
            if edge.straight:
                pen.lineTo(*scale.place(edge.end))
            else:
                for first, second, end in edge.cubics():
                    pen.curveTo(*scale.place(first), *scale.place(second), *scale.place(end))
    if path.closed:
        pen.close()


def bare(length_m: float, words: Words) -> str:
    """A length as a drawing shows it: millimeters without their unit, which the paper names once."""
    return words.drawn(length_m).removesuffix(" mm") if abs(length_m) > 1e-6 else "0"


def across(canvas: Any, x0: float, x1: float, y: float, text: str, edge: float | None = None) -> None:
    """A level dimension, points; `edge` is where the piece ends, from which extension lines come."""
    _dimension(canvas, (x0, y), (x1, y))
    if edge is not None:
        for x in (x0, x1):
            canvas.line(x, edge, x, y + (2 if y > edge else -2))
    _figure(canvas, text, (x0 + x1) / 2, y, x1 - x0)


def upright(canvas: Any, x: float, y0: float, y1: float, text: str, edge: float | None = None) -> None:
    """An upright dimension; its figure stands across the line."""
    _dimension(canvas, (x, y0), (x, y1))
    if edge is not None:
        for y in (y0, y1):
            canvas.line(edge, y, x + (2 if x > edge else -2), y)
    canvas.saveState()
    canvas.translate(x, (y0 + y1) / 2)
    canvas.rotate(90)
    _figure(canvas, text, 0.0, 0.0, y1 - y0)
    canvas.restoreState()


def chain_across(canvas: Any, places: Sequence[tuple[float, float, str]], y: float, edge: float) -> None:
    """Level dimensions in one line: from and to, points, and the figure of each; a short one has it outside."""
    for number, (x0, x1, text) in enumerate(places):
        _dimension(canvas, (x0, y), (x1, y))
        for x in (x0, x1):
            canvas.line(x, edge, x, y - 2 if y < edge else y + 2)
        wide = width_of(text, PLAIN, LETTER)
        if wide + 4 <= x1 - x0:
            _figure(canvas, text, (x0 + x1) / 2, y, x1 - x0)
        else:
            first, last = number == 0, number == len(places) - 1
            at = x0 - wide - BESIDE if first else x1 + BESIDE if last else (x0 + x1 - wide) / 2
            low = y - 0.36 * LETTER if first or last else y + 2.5
            write(canvas, [(at, low, text)], PLAIN, LETTER, INK)


def beside(text: str) -> float:
    """What a figure takes at the end of a chain of dimensions that is too short for it, points."""
    return float(width_of(text, PLAIN, LETTER)) + BESIDE


def chain_upright(canvas: Any, places: Sequence[tuple[float, float, str]], x: float, edge: float) -> None:
    """Upright dimensions in one line, from below, the figures level beside it and apart from each other."""
    low = -inf
    for y0, y1, text in places:
        _dimension(canvas, (x, y0), (x, y1))
        canvas.lines([(edge, y, x + 2 if x > edge else x - 2, y) for y in (y0, y1)])
        low = max((y0 + y1) / 2 - 0.36 * LETTER, low + LETTER + 1.5)
        write(canvas, [(x + 5, low, text)], PLAIN, LETTER, INK)


def scale_bar(canvas: Any, x: float, y: float, scale: Scale, step_m: float, steps: int, figures: Sequence[str]) -> None:
    """A bar in black and white steps of `step_m`, its figures above: it shows whether a print is to scale."""
    wide = step_m * scale.per_m
    canvas.setStrokeColor(INK)
    canvas.setLineWidth(HAIRLINE)
    canvas.setFillColor(INK)
    for i in range(steps):
        canvas.rect(x + i * wide, y, wide, 3, stroke=1, fill=int(i % 2 == 0))
    runs = [(x + i * wide - width_of(text, PLAIN, 6.5) / 2, y + 5, text) for i, text in enumerate(figures)]
    write(canvas, runs, PLAIN, 6.5, INK)


def _dimension(canvas: Any, start: Point, end: Point) -> None:
    canvas.setStrokeColor(GREY)
    canvas.setLineWidth(HAIRLINE)
    strokes = [(x - 2, y - 2, x + 2, y + 2) for x, y in (start, end)]
    canvas.lines([(*start, *end), *strokes])


def _figure(canvas: Any, text: str, x: float, y: float, room: float) -> None:
    """A figure on its line, which it interrupts; where that is too short, beside it and past its far end.

    It interrupts extension lines too, so dimensions farther out are drawn first.
    """
    if not text:
        return
    wide = width_of(text, PLAIN, LETTER)
    canvas.setFillColor(PAPER)
    if wide + 4 > room:
        canvas.rect(x - room / 2 + 2, y + 1.5, wide + 2, LETTER - 1, stroke=0, fill=1)
        write(canvas, [(x - room / 2 + 3, y + 2.5, text)], PLAIN, LETTER, INK)
        return
    canvas.rect(x - wide / 2 - 2, y - 3.5, wide + 4, 7, stroke=0, fill=1)
    write(canvas, [(x - wide / 2, y - 0.36 * LETTER, text)], PLAIN, LETTER, INK)


def overall(canvas: Any, bounds_m: Bounds, scale: Scale, words: Words, row: float = 0) -> None:
    """Length below and width to the left; `row` counts the dimension lines that stand before them."""
    x0, y0 = scale.place(bounds_m[:2])
    x1, y1 = scale.place(bounds_m[2:])
    away = STAND_OFF + row * ROW
    across(canvas, x0, x1, y0 - away, bare(bounds_m[2] - bounds_m[0], words), y0)
    upright(canvas, x0 - away, y0, y1, bare(bounds_m[3] - bounds_m[1], words), x0)


def balance_mark(canvas: Any, at: Point, size: float = 6.0) -> None:
    """Centre of gravity: a circle in black and white quarters."""
    x, y = at
    canvas.saveState()
    canvas.setStrokeColor(INK)
    canvas.setLineWidth(THIN)
    canvas.setFillColor(PAPER)
    canvas.circle(x, y, size, stroke=1, fill=1)
    canvas.setFillColor(INK)
    for start in (0, 180):
        canvas.wedge(x - size, y - size, x + size, y + size, start, 90, stroke=0, fill=1)
    canvas.restoreState()


def pick_mark(canvas: Any, at: Point, letter: str) -> None:
    """A pick point: a triangle on its point, with its letter."""
    x, y = at
    path = canvas.beginPath()
    path.moveTo(x, y)
    path.lineTo(x - 4.5, y + 8)
    path.lineTo(x + 4.5, y + 8)
    path.close()
    canvas.setFillColor(INK)
    canvas.drawPath(path, stroke=0, fill=1)
    note(canvas, x + 6, y + 3, letter)


def person_mark(canvas: Any, at: Point, outward: Point) -> None:
    """A person from above who holds the piece at `at`, standing `outward` of it: head, shoulders, two arms.

    outward   a unit step, level or upright
    """
    x, y = at
    canvas.saveState()
    canvas.translate(x, y)
    if outward[1] == 0.0:
        canvas.rotate(-90.0 if outward[0] > 0.0 else 90.0)
    elif outward[1] < 0.0:
        canvas.rotate(180.0)
    canvas.setStrokeColor(INK)
    canvas.setLineCap(1)
    canvas.setLineWidth(1.6)
    for side in (-1.0, 1.0):
        canvas.line(side * 5.0, 11.0, side * 3.2, 1.5)
    canvas.setFillColor(INK)
    canvas.ellipse(-7.5, 9.5, 7.5, 15.5, stroke=0, fill=1)
    canvas.setFillColor(PAPER)
    canvas.setLineWidth(1.2)
    canvas.circle(0.0, 12.5, 3.4, stroke=1, fill=1)
    canvas.restoreState()


def foam_mark(canvas: Any, at: Point, *, turned: bool = False) -> None:
    """Where the piece bears on foam when it stands on edge: a block, along the edge that is down."""
    along, across = (2.5, 5.0) if turned else (5.0, 2.5)
    canvas.setFillColor(INK)
    canvas.rect(at[0] - along, at[1] - across, 2 * along, 2 * across, stroke=0, fill=1)


def pad_mark(canvas: Any, at: Point, radius: float) -> None:
    """A vacuum pad to scale: two rings."""
    canvas.setStrokeColor(INK)
    canvas.setLineWidth(1.4)
    for part in (1.0, 0.75):
        canvas.circle(*at, part * radius, stroke=1, fill=0)


def note(canvas: Any, x: float, y: float, text: str, size: float = LETTER) -> None:
    """A few strong letters on a patch of paper."""
    wide = width_of(text, BOLD, size)
    canvas.setFillColor(PAPER)
    canvas.rect(x - 1, y - 1.5, wide + 2, size + 1, stroke=0, fill=1)
    canvas.setFillColor(INK)
    canvas.setFont(BOLD, size)
    canvas.drawString(x, y, text)


def centered_note(canvas: Any, x: float, y: float, text: str, size: float = LETTER) -> None:
    """A note with its middle at `x`."""
    note(canvas, x - width_of(text, BOLD, size) / 2.0, y, text, size)


def upright_note(canvas: Any, x: float, y: float, text: str, size: float = LETTER) -> None:
    """A note that reads upward, with its middle at `y`."""
    canvas.saveState()
    canvas.translate(x, y)
    canvas.rotate(90.0)
    centered_note(canvas, 0.0, 0.0, text, size)
    canvas.restoreState()


def number_mark(canvas: Any, at: Point, number: int) -> None:
    """The number of a cut-out, in a ring."""
    text = str(number)
    radius = 6.0 if len(text) == 1 else 8.0
    canvas.setStrokeColor(INK)
    canvas.setLineWidth(THIN)
    canvas.setFillColor(PAPER)
    canvas.circle(*at, radius, stroke=1, fill=1)
    write_centered(canvas, at[0], at[1] - 2.8, text, BOLD, 8, INK)


def cut_marks(canvas: Any, scale: Scale, bounds_m: Bounds, section: CrossSection) -> None:
    """Where a section is taken: a thick stroke beyond both edges, its letter, and the way one looks (ISO 128-3).

    A section has z up and the other axis of the plan to the right, so that one looks to the left, or to the back.
    """
    canvas.setStrokeColor(INK)
    canvas.setFillColor(INK)
    (x0, y0), (x1, y1) = scale.place(bounds_m[:2]), scale.place(bounds_m[2:])
    at = scale.place((section.at_m, section.at_m))
    if section.axis == "x":
        ends, (dx, dy) = [(at[0], y0 - 1, at[0], y0 - 9), (at[0], y1 + 1, at[0], y1 + 9)], (-1, 0)
        letters = [(at[0] + 3, y0 - 9), (at[0] + 3, y1 + 3)]
    else:
        ends, (dx, dy) = [(x0 - 1, at[1], x0 - 9, at[1]), (x1 + 1, at[1], x1 + 9, at[1])], (0, 1)
        letters = [(x0 - 9, at[1] - 9), (x1 + 4, at[1] - 9)]
    canvas.setLineWidth(1.4)
    canvas.lines(ends)
    canvas.setLineWidth(THIN)
    tips = [((xa + xb) / 2, (ya + yb) / 2) for xa, ya, xb, yb in ends]
    canvas.lines([(x, y, x + 11 * dx, y + 11 * dy) for x, y in tips])
    path = canvas.beginPath()
    for x, y in tips:
        path.moveTo(x + 12 * dx, y + 12 * dy)
        path.lineTo(x + 7 * dx - 1.8 * dy, y + 7 * dy - 1.8 * dx)
        path.lineTo(x + 7 * dx + 1.8 * dy, y + 7 * dy + 1.8 * dx)
        path.close()
    canvas.drawPath(path, stroke=0, fill=1)
    write(canvas, [(x, y, "A") for x, y in letters], BOLD, 8, INK)


def cross_mark(canvas: Any, at: Point) -> None:
    """Where something is fixed: a cross in a square."""
    x, y = at
    canvas.setStrokeColor(INK)
    canvas.setLineWidth(1.0)
    canvas.setFillColor(PAPER)
    canvas.rect(x - 4, y - 4, 8, 8, stroke=1, fill=1)
    canvas.line(x - 4, y - 4, x + 4, y + 4)
    canvas.line(x - 4, y + 4, x + 4, y - 4)


RIGHTWARD, UPWARD = 0.45, 0.32  # where the depth of the block goes on paper, of its length
WHITE_SPACE = 3.0
CHORD = 0.002  # of the piece's size: an arc is drawn in straight pieces off by less
LEAST_SHARE = 0.12  # of the largest piece: a smaller one would be a dot at its scale
SHOWN_EDGES = 200  # a small picture shows no more


def pictures_of(pieces: Sequence[PieceTakeoff]) -> list[Draw]:
    """What a paper shows of each piece beside its name: all to one scale, where the smallest is still seen in it."""
    views = [_plan_of(taken) for taken in pieces]
    extents = [
        block_extent(taken.solid.size_m) if view is None else view.size_m
        for taken, view in zip(pieces, views, strict=True)
    ]
    largest = max((max(extent) for extent in extents), default=0.0)
    alike = all(max(extent) >= LEAST_SHARE * largest for extent in extents)
    room = (max(wide for wide, _ in extents), max(high for _, high in extents)) if alike and extents else (0.0, 0.0)
    return [
        block(taken.solid.size_m, room)
        if view is None
        else plan(view, taken.piece.joints_m, room, drawn_heavy(taken.piece.shape))
        for taken, view in zip(pieces, views, strict=True)
    ]


def _plan_of(taken: PieceTakeoff) -> PlanView | None:
    """The view on the face of a piece that is cast on it; None where the piece is shown as a block."""
    if not taken.piece.shape.is_cast_face_down:
        return None
    try:
        return plan_view(taken.piece.shape)
    except FaultError:
        return None


def drawn_heavy(shape: Shape) -> tuple[Polyline, ...]:
    """Drop edges and profiles of a plan that is no rectangle, in its own plan, m: their sides do not tell where."""
    if not isinstance(shape, EdgedShape) or len(shape.numbered_edges) <= 4:
        return ()
    named = [name for drop in shape.drop_edges for name in drop.edges]
    named += [name for profile in shape.edge_profiles for name in profile.edges]
    if not named:
        return ()
    lines = {edge.number: edge.line(CHORD_M) for edge in shape.numbered_edges}
    return tuple(
        tuple(substring(lines[stretch.number], stretch.from_m, stretch.to_m).coords)
        for stretch in chosen(shape.numbered_edges, named, "edges")
    )


def plan(
    view: PlanView,
    joints_m: Joints = (),
    room_m: tuple[float, float] = (0.0, 0.0),
    heavy_m: Sequence[Polyline] = (),
) -> Draw:
    """A view on the face, as large as its box allows: material grey, cut-outs open, hidden edges left out, seams as
    broken lines.

    room_m   width and height of the largest picture at the same scale, where there are several
    heavy_m  edges to draw heavy
    """
    x0, y0, x1, y1 = view.bounds_m
    chord_m = CHORD * max(x1 - x0, y1 - y0)

    def draw(canvas: Any, wide: float, high: float) -> None:
        scale = _scale(wide, high, view.size_m, room_m)
        left, low = (wide - scale * (x1 - x0)) / 2.0, (high - scale * (y1 - y0)) / 2.0

        def trace(path: Any, lines: Iterable[Path]) -> Any:
            for line in lines:
                for i, (x, y) in enumerate(line.flattened(chord_m)):
                    at = (left + scale * (float(x) - x0), low + scale * (float(y) - y0))
                    (path.lineTo if i else path.moveTo)(*at)
                if line.closed:
                    path.close()
            return path

        canvas.setStrokeColor(INK)
        canvas.setLineWidth(0.6)
        canvas.setLineJoin(1)
        canvas.setFillColor(TINT)
        for region in view.material:
            rings = [Path.of_ring(ring) for ring in (region.outer, *region.holes)]
            canvas.drawPath(trace(canvas.beginPath(), rings), stroke=1, fill=1, fillMode=0)
        canvas.setLineWidth(0.3)
        canvas.setStrokeColor(GREY)
        canvas.drawPath(trace(canvas.beginPath(), view.seen[:SHOWN_EDGES]), stroke=1, fill=0)
        placed = Scale(scale, (x0, y0), (left, low))
        canvas.setStrokeColor(INK)
        canvas.setLineWidth(HEAVY)
        for line in heavy_m:
            canvas.lines([(*placed.place(a), *placed.place(b)) for a, b in pairwise(line)])
        seam_lines(canvas, joints_m, placed)

    return draw


def block_extent(size_m: tuple[float, float, float]) -> tuple[float, float]:
    """Width and height of a block as `block` shows it, m."""
    length_m, width_m, height_m = size_m
    return length_m + RIGHTWARD * width_m, height_m + UPWARD * width_m


def _scale(wide: float, high: float, extent_m: tuple[float, float], room_m: tuple[float, float]) -> float:
    """Points per meter at which a drawing, and the largest of several, fit a box."""
    across, up = max(extent_m[0], room_m[0]), max(extent_m[1], room_m[1])
    return min((wide - 2 * WHITE_SPACE) / across, (high - 2 * WHITE_SPACE) / up)


def block(size_m: tuple[float, float, float], room_m: tuple[float, float] = (0.0, 0.0)) -> Draw:
    """A block of this size, m, seen from the front, the right and above, as large as its box allows.

    room_m   width and height of the largest picture at the same scale, where there are several
    """
    length_m, width_m, height_m = size_m

    def draw(canvas: Any, wide: float, high: float) -> None:
        scale = _scale(wide, high, block_extent(size_m), room_m)
        long, tall = length_m * scale, max(height_m * scale, 1.2)
        over, back = RIGHTWARD * width_m * scale, UPWARD * width_m * scale
        x, y = (wide - long - over) / 2.0, (high - tall - back) / 2.0
        front = [(x, y), (x + long, y), (x + long, y + tall), (x, y + tall)]
        top = [(x, y + tall), (x + long, y + tall), (x + long + over, y + tall + back), (x + over, y + tall + back)]
        side = [(x + long, y), (x + long + over, y + back), (x + long + over, y + tall + back), (x + long, y + tall)]
        canvas.setStrokeColor(INK)
        canvas.setLineWidth(0.6)
        canvas.setLineJoin(1)
        canvas.setFillColor(TINT)
        for corners, fill in ((front, 0), (side, 1), (top, 0)):
            path = canvas.beginPath()
            path.moveTo(*corners[0])
            for corner in corners[1:]:
                path.lineTo(*corner)
            path.close()
            canvas.drawPath(path, stroke=1, fill=fill)

    return draw
