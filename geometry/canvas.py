"""A sheet of paper with areas, lines and text on it, written as SVG or PNG alike. Millimetres, y downwards."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import TYPE_CHECKING, Literal, TypeAlias
from xml.sax.saxutils import escape

from geometry.arcs import Floats

if TYPE_CHECKING:
    from PIL.ImageDraw import ImageDraw

TEXT_MM = 3.2
"""Height of letters."""

PNG_DOTS_PER_MM = 6
_OVERSAMPLED = 3
"""PNG is drawn so many times larger and reduced, which smooths its lines."""

Anchor: TypeAlias = Literal["start", "middle", "end"]


@dataclass(frozen=True, eq=False)
class Area:
    """A filled outline with holes; each ring (n, 2)."""

    rings: Sequence[Floats]
    fill: str = "#e4e4e4"
    stroke: str = "#202020"
    width: float = 0.35


@dataclass(frozen=True, eq=False)
class Strokes:
    """Lines of one kind, each (n, 2); `dash` is the length of strokes and of the gaps between, 0 for none."""

    lines: Sequence[Floats]
    stroke: str = "#202020"
    width: float = 0.35
    dash: float = 0.0


@dataclass(frozen=True, slots=True)
class Words:
    """A line of text; (x, y) is the middle of its height at the anchor."""

    text: str
    x: float
    y: float
    anchor: Anchor = "middle"
    colour: str = "#202020"


@dataclass
class Picture:
    """What is on the sheet, in the order in which it was put there."""

    width: float
    height: float
    parts: list[Area | Strokes | Words] = field(default_factory=list)

    def add(self, *parts: Area | Strokes | Words) -> None:
        """Put something on the sheet, over what is there."""
        self.parts.extend(parts)

    def svg(self) -> str:
        """The sheet as SVG, in its true size."""
        body = "\n".join(_svg_part(part) for part in self.parts)
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{self.width:.4g}mm" height="{self.height:.4g}mm" '
            f'viewBox="0 0 {self.width:.4g} {self.height:.4g}" font-family="sans-serif" font-size="{TEXT_MM}" '
            'stroke-linejoin="round" stroke-linecap="round">\n'
            f'<rect width="100%" height="100%" fill="#ffffff"/>\n{body}\n</svg>\n'
        )

    def png(self) -> bytes:
        """The sheet as PNG at 6 dots to the millimetre, about 150 to the inch."""
        from PIL import Image, ImageDraw

        scale = PNG_DOTS_PER_MM * _OVERSAMPLED
        size = (round(self.width * scale), round(self.height * scale))
        image = Image.new("RGB", size, "#ffffff")
        draw = ImageDraw.Draw(image)
        for part in self.parts:
            _png_part(draw, part, scale)
        small = image.resize((size[0] // _OVERSAMPLED, size[1] // _OVERSAMPLED), Image.Resampling.LANCZOS)
        made = io.BytesIO()
        small.save(made, "PNG", dpi=(PNG_DOTS_PER_MM * 25.4, PNG_DOTS_PER_MM * 25.4))
        return made.getvalue()


def _svg_part(part: Area | Strokes | Words) -> str:
    if isinstance(part, Words):
        return (
            f'<text x="{part.x:.2f}" y="{part.y + 0.35 * TEXT_MM:.2f}" text-anchor="{part.anchor}" '
            f'fill="{part.colour}">{escape(part.text)}</text>'
        )
    if isinstance(part, Area):
        path = " ".join(f"{_svg_path(ring)} Z" for ring in part.rings)
        return (
            f'<path d="{path}" fill="{part.fill}" fill-rule="evenodd" stroke="{part.stroke}" '
            f'stroke-width="{part.width}"/>'
        )
    dash = f' stroke-dasharray="{part.dash} {part.dash}"' if part.dash else ""
    path = " ".join(_svg_path(line) for line in part.lines)
    return f'<path d="{path}" fill="none" stroke="{part.stroke}" stroke-width="{part.width}"{dash}/>'


def _svg_path(points: Floats) -> str:
    return "M" + " L".join(f"{x:.2f},{y:.2f}" for x, y in points.tolist())


def _png_part(draw: ImageDraw, part: Area | Strokes | Words, scale: float) -> None:
    if isinstance(part, Words):
        from PIL import ImageFont

        font = ImageFont.load_default(TEXT_MM * scale)
        anchor = {"start": "lm", "middle": "mm", "end": "rm"}[part.anchor]
        draw.text((part.x * scale, part.y * scale), part.text, fill=part.colour, font=font, anchor=anchor)
        return
    width = max(round(part.width * scale), 1)
    if isinstance(part, Area):
        for number, ring in enumerate(part.rings):
            corners = [(x * scale, y * scale) for x, y in ring.tolist()]
            draw.polygon(corners, fill=part.fill if number == 0 else "#ffffff")
            draw.line([*corners, corners[0]], fill=part.stroke, width=width, joint="curve")
        return
    for line in part.lines:
        for piece in _dashes(line, part.dash) if part.dash else [line]:
            draw.line([(x * scale, y * scale) for x, y in piece.tolist()], fill=part.stroke, width=width, joint="curve")


def _dashes(line: Floats, dash: float) -> list[Floats]:
    """The strokes of a broken line, along straight stretches of it."""
    import numpy as np

    pieces = []
    for start, end in pairwise(line):
        length = float(np.hypot(*(end - start)))
        for begin in np.arange(0.0, length, 2 * dash):
            part = np.array([begin, min(begin + dash, length)]) / length
            pieces.append(start + part[:, None] * (end - start))
    return pieces
