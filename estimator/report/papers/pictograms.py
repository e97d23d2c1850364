"""Protective equipment as pictograms: white figures on a dark disk, which copies well in black and white."""

from collections.abc import Callable, Mapping, Sequence
from math import cos, pi, sin
from types import MappingProxyType
from typing import Any, Literal

from reportlab.lib.units import mm
from reportlab.platypus import Flowable

from estimator.report.papers.style import INK, PAPER, PLAIN, Picture, cut, size_that_fits
from estimator.words import Words

Equipment = Literal["respirator", "eyes", "gloves", "boots", "ears", "unplug"]
RADIUS, CAPTION, LEAST_CAPTION = 5.5 * mm, 7.0, 4.5  # of the disk; type of the words under it

Point = tuple[float, float]


def equipment_strip(equipment: Sequence[Equipment], width: float, words: Words) -> Flowable:
    """The pictograms side by side, each over its name."""
    cell = width / max(len(equipment), 1)

    def draw(canvas: Any, _wide: float, high: float) -> None:
        for i, name in enumerate(equipment):
            middle = (i + 0.5) * cell
            draw_pictogram(canvas, name, middle, high - RADIUS, RADIUS)
            caption = words(f"ppe-{name}")
            size = size_that_fits(caption, PLAIN, cell - 4, CAPTION, LEAST_CAPTION)
            canvas.setFillColor(INK)
            canvas.setFont(PLAIN, size)
            canvas.drawCentredString(middle, 2.0, cut(caption, PLAIN, size, cell - 4))

    return Picture(width, 2.0 * RADIUS + CAPTION + 4.0, draw)


def draw_pictogram(canvas: Any, name: Equipment, x: float, y: float, radius: float) -> None:
    """One pictogram about (x, y)."""
    canvas.saveState()
    canvas.translate(x, y)
    canvas.scale(radius, radius)
    canvas.setFillColor(INK)
    canvas.circle(0, 0, 1, stroke=0, fill=1)
    canvas.setFillColor(PAPER)
    canvas.setStrokeColor(PAPER)
    canvas.setLineWidth(0.09)
    canvas.setLineCap(1)
    canvas.setLineJoin(1)
    FIGURES[name](canvas)
    canvas.restoreState()


def _dark(canvas: Any) -> None:
    canvas.setFillColor(INK)
    canvas.setStrokeColor(INK)


def _light(canvas: Any) -> None:
    canvas.setFillColor(PAPER)
    canvas.setStrokeColor(PAPER)


def _polygon(canvas: Any, points: Sequence[Point], *, stroke: int = 0) -> None:
    path = canvas.beginPath()
    path.moveTo(*points[0])
    for point in points[1:]:
        path.lineTo(*point)
    path.close()
    canvas.drawPath(path, stroke=stroke, fill=1)


def _head(canvas: Any) -> None:
    canvas.ellipse(-0.42, -0.56, 0.42, 0.62, stroke=0, fill=1)


def _respirator(canvas: Any) -> None:
    """A half mask with a filter on each side and its strap."""
    _head(canvas)
    _dark(canvas)
    canvas.setLineWidth(0.08)
    canvas.line(-0.42, 0.16, -0.18, -0.06)
    canvas.line(0.42, 0.16, 0.18, -0.06)
    for side in (-1, 1):
        canvas.circle(side * 0.15, 0.22, 0.055, stroke=0, fill=1)
    _polygon(canvas, [(-0.13, 0.06), (0.13, 0.06), (0.27, -0.24), (0.13, -0.46), (-0.13, -0.46), (-0.27, -0.24)])
    for side in (-1, 1):
        canvas.circle(side * 0.36, -0.28, 0.23, stroke=0, fill=1)
    _light(canvas)
    for side in (-1, 1):
        canvas.circle(side * 0.36, -0.28, 0.16, stroke=0, fill=1)
    canvas.circle(0, -0.26, 0.07, stroke=0, fill=1)


def _eyes(canvas: Any) -> None:
    """Goggles with their band."""
    _head(canvas)
    _dark(canvas)
    canvas.rect(-0.44, 0.13, 0.88, 0.14, stroke=0, fill=1)
    canvas.roundRect(-0.37, 0.0, 0.74, 0.36, 0.12, stroke=0, fill=1)
    _light(canvas)
    for left in (-0.31, 0.05):
        canvas.roundRect(left, 0.06, 0.26, 0.24, 0.08, stroke=0, fill=1)


def _gloves(canvas: Any) -> None:
    """An open glove with a long cuff."""
    canvas.setLineWidth(0.15)
    for x, top in ((-0.235, 0.46), (-0.075, 0.60), (0.085, 0.58), (0.245, 0.42)):
        canvas.line(x, 0.0, x, top)
    canvas.setLineWidth(0.17)
    canvas.line(-0.24, -0.18, -0.46, 0.12)
    canvas.roundRect(-0.31, -0.34, 0.635, 0.44, 0.10, stroke=0, fill=1)
    _polygon(canvas, [(-0.26, -0.42), (0.28, -0.42), (0.36, -0.74), (-0.34, -0.74)])


def _boots(canvas: Any) -> None:
    """A high boot with its heel."""
    _polygon(
        canvas,
        [(-0.36, 0.62), (0.06, 0.62), (0.06, -0.10), (0.40, -0.22), (0.56, -0.36), (0.56, -0.46), (-0.36, -0.46)],
    )
    _polygon(canvas, [(-0.36, -0.50), (0.56, -0.50), (0.56, -0.60), (-0.04, -0.60), (-0.08, -0.66), (-0.36, -0.66)])
    _dark(canvas)
    canvas.setLineWidth(0.07)
    canvas.line(-0.36, 0.42, 0.06, 0.42)


def _ears(canvas: Any) -> None:
    """Ear cups on a band over the head."""
    _head(canvas)
    path = canvas.beginPath()
    for i in range(25):
        angle = pi * i / 24
        point = 0.55 * cos(angle), 0.10 + 0.62 * sin(angle)
        path.moveTo(*point) if i == 0 else path.lineTo(*point)
    canvas.setLineWidth(0.10)
    canvas.drawPath(path, stroke=1, fill=0)
    _dark(canvas)
    for side in (-1, 1):
        canvas.roundRect(side * 0.50 - 0.18, -0.26, 0.36, 0.56, 0.14, stroke=0, fill=1)
    _light(canvas)
    for side in (-1, 1):
        canvas.roundRect(side * 0.50 - 0.13, -0.21, 0.26, 0.46, 0.11, stroke=0, fill=1)


def _unplug(canvas: Any) -> None:
    """A plug drawn out of its socket."""
    canvas.setLineWidth(0.10)
    canvas.line(-0.78, -0.02, -0.50, -0.02)
    canvas.roundRect(-0.54, -0.24, 0.36, 0.44, 0.10, stroke=0, fill=1)
    canvas.setLineWidth(0.08)
    for y in (-0.13, 0.09):
        canvas.line(-0.18, y, 0.02, y)
    canvas.roundRect(0.30, -0.42, 0.32, 0.80, 0.08, stroke=0, fill=1)
    _dark(canvas)
    for y in (-0.13, 0.09):
        canvas.circle(0.44, y, 0.06, stroke=0, fill=1)


FIGURES: Mapping[Equipment, Callable[[Any], None]] = MappingProxyType(
    {
        "respirator": _respirator,
        "eyes": _eyes,
        "gloves": _gloves,
        "boots": _boots,
        "ears": _ears,
        "unplug": _unplug,
    }
)
"""How each is drawn, on a disk of radius 1 about the origin."""
