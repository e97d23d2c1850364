"""Temperature against time on paper: a solid hot side, a dashed cold side, limits, each line named where it runs.

Nothing depends on colour: lines differ by stroke, and each carries its own words.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import ceil, floor
from typing import Any

from estimator.report.papers.style import BOLD, GREY, HAIR, INK, PAPER, PLAIN, TINT, Draw, cut, width_of
from estimator.units import Units

LETTER = 7.5
LEFT, RIGHT, BELOW, ABOVE = 26.0, 6.0, 22.0, 12.0  # room for the scales, points
HOT, COLD, LIMIT, LEAST = (), (5.0, 2.5), (9.0, 2.5, 1.5, 2.5), (1.2, 2.2)  # dashes
MOST_LABEL = 0.75  # of the width
HOURS_A_STEP = (1, 2, 4, 6, 8, 12, 24, 48)
MOST_STEPS = 10
NAMED_AWAY = 5.0  # from its line, points

Box = tuple[float, float, float, float]
Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Curve:
    """A course of temperature.

    name, said    written beside it; a name that is too long is cut, what is said of it never
    celsius       at each time; None from where it is over what is stated
    thick, dash   of its stroke
    """

    name: str
    said: str
    time_h: Sequence[float]
    celsius: Sequence[float | None]
    dash: Sequence[float] = HOT
    thick: float = 1.6

    @property
    def known(self) -> list[tuple[float, float]]:
        """As far as it is stated without a break."""
        found = []
        for hour, celsius in zip(self.time_h, self.celsius, strict=True):
            if celsius is None:
                break
            found.append((hour, celsius))
        return found


@dataclass(frozen=True, slots=True)
class Mark:
    """A level to stay below or above."""

    label: str
    celsius: float
    dash: Sequence[float]


def temperature_plot(
    curves: Sequence[Curve], marks: Sequence[Mark], strip_h: tuple[float, float] | None, until_h: float, units: Units
) -> Draw:
    """What draws it in a box: hours across, °F or °C up; the hours of stripping tinted."""

    def draw(canvas: Any, wide: float, high: float) -> None:
        axes = _Axes.of(curves, marks, until_h, units, (wide, high))
        if strip_h is not None:
            _strip(canvas, axes, strip_h)
        _frame(canvas, axes, units)
        taken: list[Box] = []
        for mark in marks:
            taken.append(_mark(canvas, axes, mark))
        for curve in curves:
            _curve(canvas, axes, curve)
        lines = [axes.at(hour, celsius) for curve in curves for hour, celsius in _dense(curve.known, until_h)]
        lines += [axes.at(until_h * i / 60, mark.celsius) for mark in marks for i in range(61)]
        for curve in curves:
            taken.append(_name(canvas, axes, curve, lines, taken))

    return draw


@dataclass(frozen=True, slots=True)
class _Axes:
    """Scales of the plot.

    low, high, step   degrees as shown
    box               left, bottom, right, top, points
    """

    low: float
    high: float
    step: float
    until_h: float
    box: Box
    units: Units

    @classmethod
    def of(
        cls, curves: Iterable[Curve], marks: Iterable[Mark], until_h: float, units: Units, size: tuple[float, float]
    ) -> "_Axes":
        shown = [celsius for curve in curves for hour, celsius in curve.known if hour <= until_h]
        shown += [mark.celsius for mark in marks]
        least, most = (_shown(celsius, units) for celsius in (min(shown), max(shown)))
        step = 20.0 if units == "imperial" else 10.0
        low, high = step * floor((least - 0.3 * step) / step), step * ceil((most + 0.4 * step) / step)
        return cls(low, high, step, until_h, (LEFT, BELOW, size[0] - RIGHT, size[1] - ABOVE), units)

    def at(self, hour: float, celsius: float) -> Point:
        left, bottom, right, top = self.box
        share = (_shown(celsius, self.units) - self.low) / (self.high - self.low)
        return left + (right - left) * hour / self.until_h, bottom + (top - bottom) * share


def _shown(celsius: float, units: Units) -> float:
    return celsius * 1.8 + 32.0 if units == "imperial" else celsius


def _dense(points: Sequence[tuple[float, float]], until_h: float) -> list[tuple[float, float]]:
    return [(hour, celsius) for hour, celsius in points if hour <= until_h]


def _frame(canvas: Any, axes: _Axes, units: Units) -> None:
    left, bottom, right, top = axes.box
    canvas.setFont(PLAIN, LETTER)
    canvas.setLineWidth(0.3)
    level = axes.low
    while level <= axes.high + 1e-6:
        y = bottom + (top - bottom) * (level - axes.low) / (axes.high - axes.low)
        canvas.setStrokeColor(HAIR)
        canvas.line(left, y, right, y)
        canvas.setFillColor(INK)
        canvas.drawRightString(left - 3, y - 0.35 * LETTER, f"{level:.0f}")
        level += axes.step
    hours = next((each for each in HOURS_A_STEP if axes.until_h / each <= MOST_STEPS), HOURS_A_STEP[-1])
    for i in range(int(axes.until_h / hours) + 1):
        x, _ = axes.at(i * hours, 0.0)
        canvas.setStrokeColor(INK)
        canvas.line(x, bottom, x, bottom - 2)
        canvas.drawCentredString(x, bottom - 10, f"{i * hours}")
    canvas.setStrokeColor(INK)
    canvas.setLineWidth(0.6)
    canvas.line(left, bottom, left, top)
    canvas.line(left, bottom, right, bottom)
    canvas.setFillColor(GREY)
    canvas.drawString(0, top + 4, "°F" if units == "imperial" else "°C")
    canvas.drawRightString(right, 1, "hours after placing")


def _strip(canvas: Any, axes: _Axes, strip_h: tuple[float, float]) -> None:
    _, bottom, _, top = axes.box
    (x0, _), (x1, _) = axes.at(min(strip_h[0], axes.until_h), 0.0), axes.at(min(strip_h[1], axes.until_h), 0.0)
    canvas.setFillColor(TINT)
    canvas.rect(x0, bottom, x1 - x0, top - bottom, stroke=0, fill=1)
    canvas.setFillColor(GREY)
    canvas.setFont(PLAIN, LETTER)
    canvas.drawCentredString((x0 + x1) / 2, top + 3, "strip")


def _mark(canvas: Any, axes: _Axes, mark: Mark) -> Box:
    """The line, and its words above its right end; the place that they take."""
    left, _, right, _ = axes.box
    _, y = axes.at(0.0, mark.celsius)
    canvas.saveState()
    canvas.setStrokeColor(INK)
    canvas.setLineWidth(0.9)
    canvas.setDash(list(mark.dash))
    canvas.line(left, y, right, y)
    canvas.restoreState()
    wide = width_of(mark.label, PLAIN, LETTER)
    canvas.setFillColor(PAPER)
    canvas.rect(right - 3 - wide, y + 1.0, wide + 2, LETTER, stroke=0, fill=1)
    canvas.setFillColor(INK)
    canvas.setFont(PLAIN, LETTER)
    canvas.drawRightString(right - 2, y + 2.5, mark.label)
    return right - 2 - wide, y + 1.0, right - 2, y + 2.5 + LETTER


def _curve(canvas: Any, axes: _Axes, curve: Curve) -> None:
    points = [axes.at(*each) for each in _dense(curve.known, axes.until_h)]
    if not points:
        return
    canvas.saveState()
    canvas.setStrokeColor(INK)
    canvas.setLineWidth(curve.thick)
    canvas.setLineJoin(1)
    canvas.setDash(list(curve.dash))
    path = canvas.beginPath()
    path.moveTo(*points[0])
    for point in points[1:]:
        path.lineTo(*point)
    canvas.drawPath(path, stroke=1, fill=0)
    canvas.restoreState()
    if len(curve.known) < len(curve.celsius):  # it goes on above what is stated
        x, y = points[-1]
        canvas.setFillColor(INK)
        head = canvas.beginPath()
        head.moveTo(x, y + 6)
        head.lineTo(x - 3, y)
        head.lineTo(x + 3, y)
        head.close()
        canvas.drawPath(head, stroke=0, fill=1)


def _name(canvas: Any, axes: _Axes, curve: Curve, lines: Sequence[Point], taken: Sequence[Box]) -> Box:
    """Writes the curve's name beside it where it covers the fewest lines and no other name; the place it takes."""
    left, bottom, right, top = axes.box
    room = MOST_LABEL * (right - left) - width_of(curve.said, BOLD, LETTER)
    text = cut(curve.name, BOLD, LETTER, room) + curve.said
    wide = width_of(text, BOLD, LETTER)
    best: tuple[float, Box] | None = None
    points = [axes.at(*each) for each in _dense(curve.known, axes.until_h)]
    peak = max(range(len(points)), key=lambda i: points[i][1])
    for i, (x, y) in enumerate(points):
        for low in (y + NAMED_AWAY, y - NAMED_AWAY - LETTER):
            for start in (x - wide / 2, x + NAMED_AWAY, x - wide - NAMED_AWAY):
                box = (start, low, start + wide, low + LETTER)
                if start < left + 2 or box[2] > right - 2 or low < bottom + 1 or box[3] > top - 1:
                    continue
                hidden = sum(_inside(point, box) for point in lines) + 50 * sum(_meet(box, each) for each in taken)
                cost = hidden + 0.02 * abs(i - peak)
                if best is None or cost < best[0]:
                    best = (cost, box)
    _, box = best or (0.0, (left + 4, top - LETTER - 2, left + 4 + wide, top - 2))
    canvas.setFillColor(INK)
    canvas.setFont(BOLD, LETTER)
    canvas.drawString(box[0], box[1] + 1.2, text)
    return box


def _inside(point: Point, box: Box, near: float = 2.0) -> bool:
    return box[0] - near <= point[0] <= box[2] + near and box[1] - near <= point[1] <= box[3] + near


def _meet(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]
