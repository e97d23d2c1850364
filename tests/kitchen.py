"""Draws the kitchen of the examples: python -m tests.kitchen writes examples/kitchen/kitchen.dxf.

An invented plan in inches, in a file that states no unit, with the usual content beside the pieces: a border with
its title block, notes, dimensions, a bowl line, an outline drawn twice, cabinets on a layer that is off.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path

import ezdxf
from ezdxf.layouts import Modelspace

PATH = Path(__file__).parents[1] / "examples/kitchen/kitchen.dxf"
LAYERS = ("COUNTER", "BAR", "SINK", "DROP", "MARKS", "NOTES", "DIM", "BORDER", "CABINETS")


class Sheet:
    """The model space of a drawing, with shapes drawn repeatedly."""

    def __init__(self, space: Modelspace) -> None:
        self.space = space

    def outline(self, points: Sequence[tuple[float, float]], layer: str) -> None:
        self.space.add_lwpolyline(points, close=True, dxfattribs={"layer": layer})

    def box(self, x: float, y: float, width: float, height: float, layer: str) -> None:
        self.outline([(x, y), (x + width, y), (x + width, y + height), (x, y + height)], layer)

    def lines(self, layer: str, *points: tuple[float, float]) -> None:
        for start, end in pairwise(points):
            self.space.add_line(start, end, dxfattribs={"layer": layer})

    def rounded(self, x: float, y: float, width: float, height: float, radius: float, layer: str) -> None:
        """A rectangle of loose lines and arcs, as a drawing program fillets it."""
        r, right, top = radius, x + width, y + height
        self.lines(layer, (x + r, y), (right - r, y))
        self.lines(layer, (right, y + r), (right, top - r))
        self.lines(layer, (right - r, top), (x + r, top))
        self.lines(layer, (x, top - r), (x, y + r))
        for (cx, cy), start in (
            ((right - r, y + r), 270),
            ((right - r, top - r), 0),
            ((x + r, top - r), 90),
            ((x + r, y + r), 180),
        ):
            self.space.add_arc((cx, cy), r, start, start + 90, dxfattribs={"layer": layer})

    def hole(self, x: float, y: float) -> None:
        """A faucet hole."""
        self.space.add_circle((x, y), 1.375 / 2, dxfattribs={"layer": "SINK"})

    def text(self, text: str, x: float, y: float, layer: str = "NOTES", height: float = 2.0) -> None:
        self.space.add_text(text, dxfattribs={"layer": layer, "height": height}).set_placement((x, y))

    def dimension(self, start: tuple[float, float], end: tuple[float, float], y: float) -> None:
        self.space.add_linear_dim(base=(0, y), p1=start, p2=end, dxfattribs={"layer": "DIM"}).render()


def draw_pieces(sheet: Sheet) -> None:
    """An L-shaped counter with a sink, a counter beside the range, an island with a cooktop, a bar and two shelves."""
    sheet.lines("COUNTER", (0, 0), (25.5, 0), (25.5, 58.5), (110, 58.5), (110, 84), (0, 84), (0, 0.002))
    sheet.rounded(50, 63, 30, 16, 0.75, "SINK")
    sheet.rounded(51, 64, 28, 14, 0.75, "SINK")  # the bowl
    for x in (61, 65, 69):
        sheet.hole(x, 81.25)
    sheet.lines("DROP", (25.5, 0), (25.5, 58.5), (110, 58.5))
    sheet.text("K1", 8, 40, "MARKS", 3)
    for _ in range(2):
        sheet.box(140, 58.5, 36, 25.5, "COUNTER")
    sheet.lines("DROP", (140, 58.5), (176, 58.5))
    sheet.text("K2", 145, 70, "MARKS", 3)
    sheet.box(62, -6, 84, 38, "COUNTER")
    sheet.rounded(80, 6, 28.5, 19.5, 0.5, "SINK")
    sheet.outline([(62, -6), (146, -6), (146, 32), (62, 32)], "DROP")
    sheet.text("K3", 120, 20, "MARKS", 3)
    sheet.space.add_circle((122.7, 21.4), 4, dxfattribs={"layer": "MARKS"})
    sheet.box(0, -36, 60, 12, "BAR")
    sheet.text("B1", 4, -31, "MARKS", 3)
    for x in (76, 116):
        sheet.box(x, -36, 30, 10, "COUNTER")
        sheet.text("S1", x + 4, -32, "MARKS", 3)


def draw_sheet(sheet: Sheet) -> None:
    """Border, title block, notes, dimensions and cabinets."""
    sheet.box(-20, -66, 220, 176, "BORDER")
    sheet.box(136, -66, 64, 18, "BORDER")
    for text, x, y in (("KITCHEN", 139, -54), ("COUNTERS AND SHELVES", 139, -59), ("A-101", 186, -64)):
        sheet.text(text, x, y)
    sheet.text("RANGE BY OTHERS", 113, 70, height=1.5)
    sheet.text("SHELF, 2 OF THESE", 78, -44, height=1.5)
    sheet.dimension((0, 84), (110, 84), 94)
    sheet.dimension((140, 84), (176, 84), 94)
    sheet.dimension((62, -6), (146, -6), -14)
    sheet.lines("DIM", (110, 71), (140, 71))
    for x in (2, 26, 50, 74):
        sheet.box(x, 60, 22, 22, "CABINETS")


def write_kitchen(path: Path) -> None:
    """Write the drawing."""
    document = ezdxf.new("R2010", units=0)
    for layer in LAYERS:
        document.layers.add(layer)
    document.layers.get("CABINETS").off()
    sheet = Sheet(document.modelspace())
    draw_pieces(sheet)
    draw_sheet(sheet)
    document.saveas(path)


if __name__ == "__main__":
    write_kitchen(PATH)
