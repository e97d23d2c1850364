"""Plots, drawn once for paper and screen: bars, curves over two axes, temperatures over time.

Nothing depends on color: series differ by their dashes and marks, and each bears its name. A drawing is laid on a page
of PDF by `on_paper` and written as SVG by `to_svg`, the same bytes each time. Points, origin at the lower left.
"""

import re
from collections.abc import Callable, Mapping, Sequence
from math import ceil, floor, log10
from pathlib import Path
from typing import Any

import numpy as np
from reportlab.graphics import renderPDF, renderSVG
from reportlab.graphics.shapes import Circle, Drawing, Line, Polygon, PolyLine, Rect, String
from reportlab.graphics.shapes import Path as Strokes
from reportlab.lib.colors import Color, HexColor

from estimator.constants import PSI_PA, fahrenheit
from estimator.disk import write_picture
from estimator.errors import Fault, InputError
from estimator.job import Mix
from estimator.mixes import USUAL_REPLACEMENTS, Floats, strengths_of
from estimator.report.papers.style import BOLD, GREY, HAIR, INK, PAPER, PLAIN, TINT, Draw, cut, plain, width_of
from estimator.units import Units
from estimator.words import Words
from geometry.frozen import frozen
from geometry.message import message

Point = tuple[float, float]
Box = tuple[float, float, float, float]  # left, bottom, right, top
Dash = Sequence[float]

DASHES: tuple[Dash, ...] = ((), (6.0, 4.0), (2.0, 3.0))
COLORS = tuple(HexColor(code) for code in (0x1B6CA8, 0xB3541E, 0x3F7D20, 0x6A4C93, 0x444444))
NICE = (1.0, 2.0, 2.5, 5.0, 10.0)
DIVISIONS = 4


@frozen
class Lettering:
    """Fonts and size of what is written on a plot."""

    plain: str
    bold: str
    size: float


SCREEN = Lettering("Helvetica", "Helvetica-Bold", 12.0)
PRINT = Lettering(PLAIN, BOLD, 7.5)
SCREEN_FONTS = {"Helvetica": {"family": "sans-serif"}, "Helvetica-Bold": {"family": "sans-serif", "weight": "bold"}}


def to_svg(drawing: Drawing, title: str) -> str:
    """A drawing as one <svg> element, for a page or as a file of its own."""
    attributes = {"role": "img", "aria-label": plain(title)}
    text = renderSVG.drawToString(drawing, useClip=True, fontHacks=SCREEN_FONTS, svgAttrs=attributes)
    text = text[text.index("<svg") :].replace("<title>...</title>", "").replace("<desc>...</desc>", "")
    return re.sub(r"\n\s*", "\n", text.replace(' id="group"', "")).strip()


def on_paper(draw: Callable[[float, float], Drawing]) -> Draw:
    """What lays a drawing into the box of a page that it is given, points."""

    def lay(canvas: Any, wide: float, high: float) -> None:
        renderPDF.draw(draw(wide, high), canvas, 0.0, 0.0)

    return lay


def write_plot(path: Path, drawing: Drawing, title: str) -> None:
    """Writes a drawing as SVG. Raises InputError for another ending than .svg or somebody else's file."""
    if path.suffix.lower() != ".svg":
        raise InputError([Fault("--plot", "", message("plot-format", name=path.name))])
    write_picture(path, f"{to_svg(drawing, title)}\n".encode(), "--plot")


@frozen
class _Sheet:
    """A drawing in one lettering, to which parts are added."""

    drawing: Drawing
    letters: Lettering

    def text(self, at: Point, words: str, anchor: str = "start", *, color: Color = INK, bold: bool = False) -> None:
        x, y = round(at[0], 1), round(2.0 * at[1]) / 2.0  # SVG mirrors letters at whole points of 2y
        font = self.letters.bold if bold else self.letters.plain
        style = {"fontName": font, "fontSize": self.letters.size, "fillColor": color, "textAnchor": anchor}
        self.drawing.add(String(x, y, plain(words), **style))

    def line(self, start: Point, end: Point, width: float = 1.0, color: Color = INK, dash: Dash = ()) -> None:
        ends = (round(value, 2) for value in (*start, *end))
        self.drawing.add(Line(*ends, strokeWidth=width, strokeColor=color, strokeDashArray=list(dash) or None))

    def curve(self, points: Sequence[Point], width: float, color: Color = INK, dash: Dash = ()) -> None:
        flat = [round(value, 2) for point in points for value in point]
        style = {"strokeWidth": width, "strokeColor": color, "strokeDashArray": list(dash) or None}
        self.drawing.add(PolyLine(flat, strokeLineJoin=1, **style))

    def area(self, box: Box, fill: Color | None, width: float = 0.0) -> None:
        left, bottom, right, top = (round(value, 2) for value in box)
        edge = {"strokeColor": INK if width else None, "strokeWidth": width}
        self.drawing.add(Rect(left, bottom, right - left, top - bottom, fillColor=fill, **edge))

    def hatch(self, box: Box, step: float = 7.0) -> None:
        """Strokes at 45° across a box, and its edge."""
        left, bottom, right, top = box
        strokes, high = Strokes(strokeColor=INK, strokeWidth=1.4, fillColor=None), top - bottom
        start = left - high
        while (start := start + step) < right:
            first, last = max(start, left), min(start + high, right)
            strokes.moveTo(round(first, 2), round(bottom + first - start, 2))
            strokes.lineTo(round(last, 2), round(bottom + last - start, 2))
        self.drawing.add(strokes)
        self.area(box, None, 0.8)

    def mark(self, kind: int, at: Point, color: Color) -> None:
        """A circle or a triangle: shapes, not colors alone, part the series."""
        x, y = (round(value, 2) for value in at)
        style = {"fillColor": None, "strokeColor": color, "strokeWidth": 1.5}
        corners = [x - 4.0, y - 4.0, x + 4.0, y - 4.0, x, y + 4.0]
        self.drawing.add(Circle(x, y, 4.0, **style) if kind % 2 == 0 else Polygon(corners, **style))


@frozen
class _Axes:
    """Two scales over a box."""

    x: tuple[float, float]  # lowest and highest value
    y: tuple[float, float]
    box: Box

    def at(self, x: float, y: float) -> Point:
        left, bottom, right, top = self.box
        return (
            left + (right - left) * (x - self.x[0]) / (self.x[1] - self.x[0]),
            bottom + (top - bottom) * (y - self.y[0]) / (self.y[1] - self.y[0]),
        )


def round_places(low: float, high: float) -> list[float]:
    """Round places from at or below the lowest value to at or above the highest.

    >>> round_places(0.0, 48.0)
    [0.0, 20.0, 40.0, 60.0]
    """
    span = max(high - low, abs(high) * 1e-6, 1e-9)
    power = 10.0 ** floor(log10(span / DIVISIONS))
    step = next(nice * power for nice in NICE if nice * power >= span / DIVISIONS * (1 - 1e-9))
    first, last = floor(low / step + 1e-9), ceil(high / step - 1e-9)
    return [round(number * step, 12) for number in range(first, max(last, first + 1) + 1)]


# ---------------------------------------------------------------------------------------------------- bars

WIDE = 360.0  # so that a telephone shows the letters as they are
ROW, BAR = 24.0, 13.0
LABEL_WIDE, FIGURE_WIDE, LABEL_LETTERS = 96.0, 74.0, 15


@frozen
class Bar:
    """A bar from zero: solid to `least`, hatched from there to `most`; `said` is its figure in words."""

    label: str
    least: float
    most: float
    said: str


def bars(rows: Sequence[Bar]) -> Drawing:
    """Level bars, one a row, each with its label and its figure."""
    most = max((row.most for row in rows), default=0.0)
    room = WIDE - LABEL_WIDE - FIGURE_WIDE
    sheet = _Sheet(Drawing(WIDE, len(rows) * ROW + 6), SCREEN)
    for number, row in enumerate(rows):
        bottom = sheet.drawing.height - number * ROW - 4 - BAR
        least, whole = (room * max(value, 0.0) / most if most > 0.0 else 0.0 for value in (row.least, row.most))
        sheet.text((LABEL_WIDE - 6, bottom + 2), _short(row.label), "end")
        sheet.area((LABEL_WIDE, bottom, LABEL_WIDE + least, bottom + BAR), INK)
        if whole > least:
            sheet.hatch((LABEL_WIDE + least, bottom, LABEL_WIDE + whole, bottom + BAR))
        sheet.text((LABEL_WIDE + whole + 5, bottom + 2), row.said, bold=True)
    return sheet.drawing


def _short(label: str) -> str:
    label = plain(label)
    return label if len(label) <= LABEL_LETTERS else label[: LABEL_LETTERS - 1].rstrip() + "…"


# ---------------------------------------------------------------------------------------------------- curves

LEFT, RIGHT, ABOVE, BELOW = 46.0, 12.0, 26.0, 40.0  # round the axes
AXES_HIGH, LEGEND_ROW, ROOM = 250.0, 16.0, 1.1  # and of the greatest value, where places are marked


@frozen
class Series:
    """A line of points, and what tells it from the others.

    marks    places marked on it, each with its words
    levels   places of a short bar
    """

    name: str
    points: Sequence[Point] = ()
    dash: Dash = ()
    color: Color = INK
    marks: Sequence[tuple[float, float, str]] = ()
    levels: Sequence[Point] = ()

    @property
    def places(self) -> list[Point]:
        return [*self.points, *((x, y) for x, y, _ in self.marks), *self.levels]


def curves(
    series: Sequence[Series], across: str, up: str, *, from_zero: bool = True, wide: float = WIDE, note: str = ""
) -> Drawing:
    """Series over two axes, with their legend below. The level scale begins at zero.

    across, up  what the axes show, with their units
    from_zero   the upright scale begins at zero too, so that a small gain looks small
    note        a last line of the legend
    """
    places = [place for line in series for place in line.places]
    spare = ROOM if any(line.marks for line in series) else 1.0
    last = spare * max(x for x, _ in places)
    low, high = min(y for _, y in places), spare * max(y for _, y in places)
    x_places, y_places = round_places(0.0, last), round_places(0.0 if from_zero else low, high)
    last = x_places[-1] if spare > 1.0 else max(last, 1e-9)
    rows = len(series) + bool(note)
    tall = ABOVE + AXES_HIGH + BELOW + LEGEND_ROW * rows
    sheet = _Sheet(Drawing(wide, tall), SCREEN)
    bottom = tall - ABOVE - AXES_HIGH
    axes = _Axes((0.0, last), (y_places[0], y_places[-1]), (LEFT, bottom, wide - RIGHT, tall - ABOVE))
    sheet.text((2, tall - 12), up, color=GREY)
    for y in y_places:
        start = axes.at(0.0, y)
        sheet.line(start, (wide - RIGHT, start[1]), 0.5, HAIR)
        sheet.text((start[0] - 5, start[1] - 4), f"{y:g}", "end")
    for x in (place for place in x_places if place <= last):
        sheet.text((axes.at(x, y_places[0])[0], bottom - 16), f"{x:g}", "middle")
    sheet.text(((LEFT + wide - RIGHT) / 2, bottom - 33), across, "middle", color=GREY)
    for number, line in enumerate(series):
        _one_series(sheet, axes, number, line)
        _legend(sheet, (LEFT, bottom - BELOW - LEGEND_ROW * number - 8), number, line)
    if note:
        sheet.text((LEFT, bottom - BELOW - LEGEND_ROW * len(series) - 12), note)
    return sheet.drawing


def _one_series(sheet: _Sheet, axes: _Axes, number: int, series: Series) -> None:
    if series.points:
        sheet.curve([axes.at(*point) for point in series.points], 2.0, series.color, series.dash)
    for x, y, words in series.marks:
        place = axes.at(x, y)
        sheet.mark(number, place, series.color)
        if words:
            sheet.text((place[0] + 9, place[1] - 4), words)
    for point in series.levels:
        x, y = axes.at(*point)
        sheet.line((x - 14, y), (x + 14, y), 3.0, series.color)


def _legend(sheet: _Sheet, at: Point, number: int, series: Series) -> None:
    """A sample of the line or of the mark, and the name."""
    x, y = at
    if series.points:
        sheet.line(at, (x + 34, y), 2.0, series.color, series.dash)
    if series.marks:
        sheet.mark(number, (x + 17, y), series.color)
    sheet.text((x + 42, y - 4), series.name)


# ---------------------------------------------------------------------------------------------------- of mixes

MIX_PLOT_WIDE = 560.0


@frozen
class SwapCurve:
    """One mix over the share of its sand that is replaced; arrays of shape (n,), in the units that are shown."""

    name: str
    share: Floats
    weight: Floats
    cost: Floats


def swap_plot(mixes: Sequence[SwapCurve], weight_of: str, cost_of: str, words: Words) -> Drawing:
    """Weight against cost from no sand replaced to all of it, a line a mix, marked at the shares in use.

    weight_of, cost_of  what the axes show, with their units
    Raises InputError where there is nothing to draw.
    """
    drawable = [curve for curve in mixes if np.all(np.isfinite(curve.cost))]
    if not drawable:
        raise InputError([Fault("--plot", "", message("plot-unpriced" if mixes else "plot-nothing-to-swap"))])
    series = [
        Series(
            curve.name,
            list(zip(curve.cost.tolist(), curve.weight.tolist(), strict=True)),
            DASHES[number % len(DASHES)],
            COLORS[number % len(COLORS)],
            [
                (
                    float(np.interp(share, curve.share, curve.cost)),
                    float(np.interp(share, curve.share, curve.weight)),
                    words.share(share),
                )
                for share in USUAL_REPLACEMENTS
            ],
        )
        for number, curve in enumerate(drawable)
    ]
    return curves(series, cost_of, weight_of, wide=MIX_PLOT_WIDE)


def strength_plot(mixes: Sequence[Mix], shares: Mapping[str, float | None], words: Words) -> Drawing:
    """First-crack strength of coupons over age, a mark a coupon, with the strength to count on as a bar.

    shares   by mix, the share of its sand that is replaced
    Raises InputError where no coupon shows a first crack.
    """
    unit, pa = ("psi", PSI_PA) if words.units == "imperial" else ("MPa", 1e6)
    series = []
    for number, mix in enumerate(mixes):
        share = shares[mix.name]
        series.append(
            Series(
                words.name(mix) if share is None else words("plot-mix", mix=words.name(mix), swapped_share=share),
                color=COLORS[number % len(COLORS)],
                marks=[
                    (coupon.age_d, coupon.limit_pa / pa, "") for coupon in mix.coupons if coupon.limit_pa is not None
                ],
                levels=[
                    (age.age_d, age.design_pa / pa)
                    for age in strengths_of(mix)
                    if age.design_pa is not None and age.design_pa > 0.0
                ],
            )
        )
    if not any(line.marks for line in series):
        raise InputError([Fault("--plot", "", message("plot-no-first-crack"))])
    across, up, note = words("plot-age"), words("plot-first-crack", unit=unit), words("plot-design-value")
    return curves(series, across, up, wide=MIX_PLOT_WIDE, note=note)


# ---------------------------------------------------------------------------------------------------- temperature

HOT, COLD, LIMIT, LEAST = (), (5.0, 2.5), (9.0, 2.5, 1.5, 2.5), (1.2, 2.2)  # dashes
PRINT_MARGINS = (26.0, 22.0, 6.0, 12.0)  # left, below, right, above: room for the scales
MOST_LABEL = 0.75  # of the width
HOURS_A_STEP = (1, 2, 4, 6, 8, 12, 24, 48)
MOST_STEPS = 10
NAMED_AWAY = 5.0  # from its line


@frozen
class Course:
    """A course of temperature.

    name, said    written beside it; a name that is too long is cut, what is said of it never
    celsius       at each time; None from where it is over what is stated
    thick, dash   of its stroke
    """

    name: str
    said: str
    time_h: Sequence[float]
    celsius: Sequence[float | None]
    dash: Dash = HOT
    thick: float = 1.6

    @property
    def known(self) -> list[Point]:
        """As far as it is stated without a break."""
        points: list[Point] = []
        for hour, celsius in zip(self.time_h, self.celsius, strict=True):
            if celsius is None:
                break
            points.append((hour, celsius))
        return points


@frozen
class Level:
    """A temperature to stay below or above."""

    label: str
    celsius: float
    dash: Dash


def temperature_plot(
    courses: Sequence[Course],
    levels: Sequence[Level],
    strip_h: tuple[float, float] | None,
    until_h: float,
    words: Words,
    size: tuple[float, float],
) -> Drawing:
    """Temperature against time for paper: hours across, °F or °C up; the hours of stripping tinted.

    A solid hot side, a dashed cold side, limits: each line is named where it runs.
    """
    sheet, units = _Sheet(Drawing(*size), PRINT), words.units
    step = 20.0 if units == "imperial" else 10.0
    known = [(hour, celsius) for course in courses for hour, celsius in course.known if hour <= until_h]
    heights = [degrees(celsius, units) for celsius in (*(c for _, c in known), *(level.celsius for level in levels))]
    low = step * floor((min(heights) - 0.3 * step) / step)
    high = step * ceil((max(heights) + 0.4 * step) / step)
    left, below, right, above = PRINT_MARGINS
    axes = _Axes((0.0, until_h), (low, high), (left, below, size[0] - right, size[1] - above))
    if strip_h is not None:
        _strip(sheet, axes, strip_h)
    _frame(sheet, axes, step, words)
    labels = [_level(sheet, axes, level, units) for level in levels]
    lines: list[list[Point]] = []
    for course in courses:
        points = [axes.at(h, degrees(celsius, units)) for h, celsius in course.known if h <= until_h]
        lines.append(points)
        _course(sheet, course, points)
    passed = [point for line in lines for point in line]
    passed += [axes.at(until_h * i / 60, degrees(level.celsius, units)) for level in levels for i in range(61)]
    for course, points in zip(courses, lines, strict=True):
        labels.append(_name(sheet, axes, course, points, passed, labels))
    return sheet.drawing


def degrees(celsius: float, units: Units) -> float:
    """A temperature in the degrees of the job's units: °F or °C."""
    return fahrenheit(celsius) if units == "imperial" else celsius


def _frame(sheet: _Sheet, axes: _Axes, step: float, words: Words) -> None:
    left, bottom, right, top = axes.box
    low, high = axes.y
    for i in range(round((high - low) / step) + 1):
        _, y = axes.at(0.0, low + i * step)
        sheet.line((left, y), (right, y), 0.3, HAIR)
        sheet.text((left - 3, y - 0.35 * sheet.letters.size), f"{low + i * step:.0f}", "end")
    until_h = axes.x[1]
    hours = next((step_h for step_h in HOURS_A_STEP if until_h / step_h <= MOST_STEPS), HOURS_A_STEP[-1])
    for i in range(int(until_h / hours) + 1):
        x, _ = axes.at(i * hours, low)
        sheet.line((x, bottom), (x, bottom - 2), 0.3)
        sheet.text((x, bottom - 10), f"{i * hours}", "middle")
    sheet.line((left, bottom), (left, top), 0.6)
    sheet.line((left, bottom), (right, bottom), 0.6)
    sheet.text((0, top + 4), "°F" if words.units == "imperial" else "°C", color=GREY)
    sheet.text((right, 1), words("plot-hours"), "end", color=GREY)


def _strip(sheet: _Sheet, axes: _Axes, strip_h: tuple[float, float]) -> None:
    _, bottom, _, top = axes.box
    x0, x1 = (axes.at(min(hour, axes.x[1]), axes.y[0])[0] for hour in strip_h)
    sheet.area((x0, bottom, x1, top), TINT)
    sheet.text(((x0 + x1) / 2, top + 3), "strip", "middle", color=GREY)


def _level(sheet: _Sheet, axes: _Axes, level: Level, units: Units) -> Box:
    """The line, and its words above its right end; the place that they take."""
    left, _, right, _ = axes.box
    _, y = axes.at(0.0, degrees(level.celsius, units))
    sheet.line((left, y), (right, y), 0.9, dash=level.dash)
    size = sheet.letters.size
    wide = width_of(level.label, sheet.letters.plain, size)
    sheet.area((right - 3 - wide, y + 1.0, right - 1, y + 1.0 + size), PAPER)
    sheet.text((right - 2, y + 2.5), level.label, "end")
    return right - 2 - wide, y + 1.0, right - 2, y + 2.5 + size


def _course(sheet: _Sheet, course: Course, points: Sequence[Point]) -> None:
    if not points:
        return
    sheet.curve(points, course.thick, dash=course.dash)
    if len(course.known) < len(course.celsius):  # it goes on above what is stated
        x, y = points[-1]
        head = [round(value, 2) for value in (x, y + 6, x - 3, y, x + 3, y)]
        sheet.drawing.add(Polygon(head, fillColor=INK, strokeColor=None))


def _name(
    sheet: _Sheet, axes: _Axes, course: Course, points: Sequence[Point], lines: Sequence[Point], labels: Sequence[Box]
) -> Box:
    """Writes the name of a course where it covers the fewest lines and no other name; the place it takes."""
    left, bottom, right, top = axes.box
    bold, size = sheet.letters.bold, sheet.letters.size
    room = MOST_LABEL * (right - left) - width_of(course.said, bold, size)
    text = cut(course.name, bold, size, room) + course.said
    wide = width_of(text, bold, size)
    best: tuple[float, Box] | None = None
    peak = max(range(len(points)), key=lambda i: points[i][1])
    for i, (x, y) in enumerate(points):
        for low in (y + NAMED_AWAY, y - NAMED_AWAY - size):
            for start in (x - wide / 2, x + NAMED_AWAY, x - wide - NAMED_AWAY):
                box = (start, low, start + wide, low + size)
                if start < left + 2 or box[2] > right - 2 or low < bottom + 1 or box[3] > top - 1:
                    continue
                hidden = sum(_inside(point, box) for point in lines) + 50 * sum(_meet(box, other) for other in labels)
                cost = hidden + 0.02 * abs(i - peak)
                if best is None or cost < best[0]:
                    best = (cost, box)
    _, box = best or (0.0, (left + 4, top - size - 2, left + 4 + wide, top - 2))
    sheet.text((box[0], box[1] + 1.2), text, bold=True)
    return box


def _inside(point: Point, box: Box, near: float = 2.0) -> bool:
    return box[0] - near <= point[0] <= box[2] + near and box[1] - near <= point[1] <= box[3] + near


def _meet(a: Box, b: Box) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]
