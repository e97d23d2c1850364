"""Charts as small SVG pictures, 360 wide so that a telephone shows their letters as they are; no colour is needed.

Bars bear their figures, lines their names; what parts the series is the stroke, never the colour alone.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from math import ceil, floor, log10

from estimator.report.papers.style import plain

WIDE = 360.0
LETTER = 12.0
ROW, BAR = 24.0, 13.0
LABEL_WIDE, FIGURE_WIDE = 96.0, 74.0
LABEL_LETTERS = 15
INK, GREY, SOFT = "#111", "#666", "#d9d9d9"
STROKES = ("", "6 4", "2 3")
LEFT, RIGHT, TOP, BOTTOM = 46.0, 12.0, 26.0, 40.0
LINE_HIGH = 250.0
NICE = (1.0, 2.0, 2.5, 5.0, 10.0)
DIVISIONS = 4


@dataclass(frozen=True, slots=True)
class Bar:
    """A bar from zero: solid to `least`, hatched from there to `most`; `said` is its figure in words."""

    label: str
    least: float
    most: float
    said: str


@dataclass(frozen=True, slots=True)
class Curve:
    """A line of points, its name and the stroke of `STROKES` by which it is known."""

    name: str
    points: Sequence[tuple[float, float]]
    stroke: int = 0


def bars(title: str, rows: Sequence[Bar]) -> str:
    """Level bars, one a row."""
    most = max((row.most for row in rows), default=0.0)
    room = WIDE - LABEL_WIDE - FIGURE_WIDE
    drawn = [
        '<defs><pattern id="hatch" width="5" height="5" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
        f'<rect width="5" height="5" fill="#fff"/><path d="M0,0 V5" stroke="{INK}" stroke-width="2"/></pattern></defs>'
    ]
    for number, row in enumerate(rows):
        y = number * ROW + 4
        least, whole = (room * max(value, 0.0) / most if most > 0.0 else 0.0 for value in (row.least, row.most))
        drawn.append(_text(LABEL_WIDE - 6, y + BAR - 2, _short(row.label), "end"))
        drawn.append(f'<rect x="{LABEL_WIDE}" y="{y}" width="{least:.1f}" height="{BAR}" fill="{INK}"/>')
        if whole > least:
            drawn.append(
                f'<rect x="{LABEL_WIDE + least:.1f}" y="{y}" width="{whole - least:.1f}" height="{BAR}" '
                f'fill="url(#hatch)" stroke="{INK}" stroke-width="0.8"/>'
            )
        drawn.append(_text(LABEL_WIDE + whole + 5, y + BAR - 2, row.said, "start", INK, strong=True))
    return _picture(title, len(rows) * ROW + 6, drawn)


def lines(
    title: str,
    curves: Sequence[Curve],
    across: str,
    up: str,
    *,
    from_zero: bool = True,
    level: tuple[float, str] | None = None,
) -> str:
    """Curves over two axes.

    across, up  what the axes show, with their units
    from_zero   the upright scale begins at zero, so that a small gain looks small
    level       a limit: its height and its name
    """
    xs = [x for curve in curves for x, _ in curve.points]
    ys = [y for curve in curves for _, y in curve.points] + ([level[0]] if level else [])
    first, last = min(xs), max(max(xs), min(xs) + 1e-9)
    x_marks = [mark for mark in _marks(first, last) if first <= mark <= last]
    y_marks = _marks(0.0 if from_zero else min(ys), max(ys))
    high = TOP + LINE_HIGH + BOTTOM + 16 * len(curves)

    def at(x: float, y: float) -> tuple[float, float]:
        x_part = (x - first) / (last - first)
        y_part = (y - y_marks[0]) / (y_marks[-1] - y_marks[0])
        return LEFT + x_part * (WIDE - LEFT - RIGHT), TOP + (1 - y_part) * LINE_HIGH

    drawn = [_text(2, 12, up, "start", GREY)]
    for mark in y_marks:
        x, y = at(first, mark)
        drawn.append(f'<path d="M{x},{y:.1f} H{WIDE - RIGHT}" stroke="{SOFT}"/>')
        drawn.append(_text(x - 5, y + 4, f"{mark:g}", "end"))
    for mark in x_marks:
        drawn.append(_text(at(mark, y_marks[0])[0], TOP + LINE_HIGH + 16, f"{mark:g}", "middle"))
    drawn.append(_text((LEFT + WIDE - RIGHT) / 2, TOP + LINE_HIGH + 33, across, "middle", GREY))
    if level is not None:
        _, y = at(first, level[0])
        drawn.append(f'<path d="M{LEFT},{y:.1f} H{WIDE - RIGHT}" stroke="{INK}" stroke-width="0.8"/>')
        drawn.append(_text(WIDE - RIGHT, y - 4, level[1], "end"))
    for number, curve in enumerate(curves):
        path = " ".join(f"{x:.1f},{y:.1f}" for x, y in (at(*point) for point in curve.points))
        stroke = f'fill="none" stroke="{INK}" stroke-width="2"' + _dashes(curve.stroke)
        drawn.append(f'<polyline points="{path}" {stroke}/>')
        y = TOP + LINE_HIGH + BOTTOM + 16 * number + 8
        drawn.append(f'<path d="M{LEFT},{y} h34" {stroke}/>')
        drawn.append(_text(LEFT + 42, y + 4, curve.name, "start"))
    return _picture(title, high, drawn)


def _dashes(stroke: int) -> str:
    dash = STROKES[stroke % len(STROKES)]
    return f' stroke-dasharray="{dash}"' if dash else ""


def _marks(low: float, high: float) -> list[float]:
    """Round places from at or below the lowest to at or above the highest."""
    span = max(high - low, abs(high) * 1e-6, 1e-9)
    power = 10.0 ** floor(log10(span / DIVISIONS))
    step = next(nice * power for nice in NICE if nice * power >= span / DIVISIONS * (1 - 1e-9))
    first, last = floor(low / step + 1e-9), ceil(high / step - 1e-9)
    return [round(number * step, 12) for number in range(first, max(last, first + 1) + 1)]


def _short(label: str) -> str:
    label = plain(label)
    return label if len(label) <= LABEL_LETTERS else label[: LABEL_LETTERS - 1].rstrip() + "…"


def _text(x: float, y: float, words: str, anchor: str, fill: str = INK, *, strong: bool = False) -> str:
    weight = ' font-weight="bold"' if strong else ""
    return f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}" fill="{fill}"{weight}>{escape(plain(words))}</text>'


def _picture(title: str, high: float, drawn: Sequence[str]) -> str:
    head = f'<svg viewBox="0 0 {WIDE:g} {high:g}" role="img" aria-label="{escape(plain(title), quote=True)}" '
    return head + f'font-family="sans-serif" font-size="{LETTER:g}">\n' + "\n".join(drawn) + "\n</svg>"
