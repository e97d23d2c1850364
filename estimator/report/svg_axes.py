"""Axes, marks and texts of the small SVG pictures of the mix commands; both scales begin at zero."""

from collections.abc import Iterable
from dataclasses import dataclass
from math import ceil, log10
from xml.sax.saxutils import escape

WIDTH, HEIGHT = 720, 420
LEFT, RIGHT, TOP, BOTTOM = 80, 500, 30, 360  # of the axes; the legend stands to their right
COLOURS = ("#1b6ca8", "#b3541e", "#3f7d20", "#6a4c93", "#444444")
QUARTERS = 4
_STEPS = (1.0, 1.2, 1.6, 2.0, 2.4, 3.2, 4.0, 4.8, 6.0, 8.0, 10.0)


@dataclass(frozen=True, slots=True)
class Axes:
    """Both scales from zero to a round figure above the most that is shown."""

    most_x: float
    most_y: float

    def x(self, value: float) -> float:
        return LEFT + (RIGHT - LEFT) * value / round_up(self.most_x)

    def y(self, value: float) -> float:
        return BOTTOM - (BOTTOM - TOP) * value / round_up(self.most_y)

    def frame(self, label_x: str, label_y: str) -> list[str]:
        """The axes with four divisions each and what they show."""
        drawn = [
            f'<path d="M{LEFT},{TOP} V{BOTTOM} H{RIGHT}" fill="none" stroke="#222"/>',
            text((LEFT + RIGHT) / 2, HEIGHT - 14, label_x, "middle"),
            text(LEFT, TOP - 12, label_y, "start"),
        ]
        for i in range(QUARTERS + 1):
            across, up = (round_up(most) * i / QUARTERS for most in (self.most_x, self.most_y))
            drawn.append(f'<path d="M{LEFT - 4},{self.y(up):.1f} H{RIGHT}" stroke="#ddd"/>')
            drawn.append(text(LEFT - 8, self.y(up) + 4, f"{up:g}", "end"))
            drawn.append(text(self.x(across), BOTTOM + 18, f"{across:g}", "middle"))
        return drawn

    def legend(self, number: int, label: str) -> list[str]:
        """The mark of a series and its name."""
        at = TOP + 22 * number
        return [mark(number, RIGHT + 20, at, COLOURS[number % len(COLOURS)]), text(RIGHT + 34, at + 4, label, "start")]


def picture(drawn: Iterable[str]) -> str:
    """The whole file."""
    head = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" font-family="sans-serif"'
    ground = f'<rect width="{WIDTH}" height="{HEIGHT}" fill="white"/>'
    return f'{head} font-size="12">\n{ground}\n' + "\n".join(drawn) + "\n</svg>\n"


def round_up(value: float) -> float:
    """To the next step of a power of ten, so that quarters of it are plain numbers.

    >>> round_up(1300.0), round_up(0.7), round_up(8.0)
    (1600.0, 0.8, 8.0)
    """
    power = 10.0 ** ceil(log10(value) - 1.0)
    return next(step * power for step in _STEPS if step * power >= value * (1.0 - 1e-12))


def mark(kind: int, x: float, y: float, colour: str) -> str:
    """A circle or a triangle: shapes, not colours alone, part the series."""
    if kind % 2 == 0:
        return f'<circle cx="{x:.1f}" cy="{y:.1f}" r="4" fill="none" stroke="{colour}" stroke-width="1.5"/>'
    return f'<path d="M{x - 4:.1f},{y + 4:.1f} h8 l-4,-8 z" fill="none" stroke="{colour}" stroke-width="1.5"/>'


def text(x: float, y: float, words: str, anchor: str) -> str:
    return f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}">{escape(words)}</text>'
