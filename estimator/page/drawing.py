"""Drawings of a piece on the page: SVG paths and positions in one frame, for the template and the browser."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from estimator.estimate import PieceEstimate
from estimator.words import Words
from geometry.frozen import frozen
from geometry.plan import Path, boundaries_of
from geometry.shape import plan_view
from geometry.views import PlanView

WIDE, HIGH, MARGIN = 760.0, 420.0, 72.0
"""Largest size of a drawing, in CSS pixels; the margin is for its dimensions."""

SMALL = 148.0
"""Longest side of a drawing in the list of pieces, in CSS pixels."""

OVERALL = {"slab": ("length", "width"), "panel": ("length", "height"), "box": ("length", "width")}
"""Keys of the two sizes shown in a drawing, along and across, by kind of shape."""

Drawn = dict[str, Any]


@frozen
class Frame:
    """Mapping of a piece to a frame whose y axis points down.

    turns   clockwise quarter turns of the piece
    """

    bounds_m: tuple[float, float, float, float]
    scale: float
    margin: float
    turns: int = 0

    @classmethod
    def fitted(
        cls, bounds_m: tuple[float, float, float, float], wide: float, high: float, margin: float, turns: int = 0
    ) -> Frame:
        """Frame with the largest scale at which the piece fits."""
        x0, y0, x1, y1 = bounds_m
        along, across = (x1 - x0, y1 - y0) if turns % 2 == 0 else (y1 - y0, x1 - x0)
        return cls(bounds_m, min(wide / along, high / across), margin, turns)

    def at(self, x_m: float, y_m: float) -> tuple[float, float]:
        """Position in the frame of a point of the piece."""
        x0, y0, x1, y1 = self.bounds_m
        right_m, down_m = ((x_m - x0, y1 - y_m), (y_m - y0, x_m - x0), (x1 - x_m, y_m - y0), (y1 - y_m, x1 - x_m))[
            self.turns
        ]
        return round(self.margin + self.scale * right_m, 1), round(self.margin + self.scale * down_m, 1)

    @property
    def left(self) -> float:
        return self.margin

    @property
    def top(self) -> float:
        return self.margin

    @property
    def right(self) -> float:
        x0, y0, x1, y1 = self.bounds_m
        return round(self.margin + self.scale * (x1 - x0 if self.turns % 2 == 0 else y1 - y0), 1)

    @property
    def low(self) -> float:
        x0, y0, x1, y1 = self.bounds_m
        return round(self.margin + self.scale * (y1 - y0 if self.turns % 2 == 0 else x1 - x0), 1)

    @property
    def wide(self) -> float:
        """Width including margins."""
        return self.right + self.margin

    @property
    def high(self) -> float:
        """Height including margins."""
        return self.low + self.margin


def drawing_of(piece: PieceEstimate, words: Words, cutout_m: CutoutPlace | None = None) -> Drawn:
    """Drawing of a piece from above, or of its face: paths, center of gravity, and sizes as text at their places.

    cutout_m   a rectangle cut out of it: x and y of its lower left corner, length and width, m
    """
    view = plan_view(piece.taken.piece.shape)
    x0, y0, x1, y1 = view.bounds_m
    frame = Frame.fitted(view.bounds_m, WIDE - 2 * MARGIN, HIGH - 2 * MARGIN, MARGIN)
    x, y = frame.at(*piece.weight.centers_m["demould"][:2])
    right, low = frame.right, frame.low
    lines = (
        f"M{MARGIN:g} {MARGIN - 6:g}v-34M{right:g} {MARGIN - 6:g}v-34M{MARGIN - 6:g} {MARGIN - 34:g}H{right + 6:g}"
        f"M{MARGIN - 6:g} {MARGIN:g}h-34M{MARGIN - 6:g} {low:g}h-34M{MARGIN - 34:g} {MARGIN - 6:g}V{low + 6:g}"
    )
    places = {
        "along": _place(words.length(x1 - x0), (MARGIN + right) / 2, MARGIN - 34),
        "across": _place(words.length(y1 - y0), MARGIN - 34, (MARGIN + low) / 2),
    }
    if cutout_m is not None:
        more, cut = _cutout(cutout_m, frame, (right, low), words)
        lines, places = lines + more, places | cut
    return {
        "box": f"0 0 {frame.wide:g} {frame.high:g}",
        "paths": paths_of(view, frame),
        "center": f"M{x - 9:g} {y:g}h18M{x:g} {y - 9:g}v18M{x - 5:g} {y:g}a5 5 0 1 0 10 0a5 5 0 1 0 -10 0",
        "dimensions": lines,
        "places": places,
    }


CutoutPlace = tuple[float, float, float, float]
LEAST_ALONG, LEAST_ACROSS = 70.0, 38.0
"""Room that a field takes on a dimension line, px; a shorter stretch has its field among the entries."""


def _place(text: str, x: float, y: float) -> dict[str, str]:
    return {"text": text, "x": f"{x:g}", "y": f"{y:g}"}


def _cutout(
    cutout_m: CutoutPlace, frame: Frame, end: tuple[float, float], words: Words
) -> tuple[str, dict[str, dict[str, str]]]:
    """Dimension lines of a cutout, below and beside the piece, and the places of its sizes on them."""
    x_m, y_m, length_m, width_m = cutout_m
    (left, foot), (right, top) = frame.at(x_m, y_m), frame.at(x_m + length_m, y_m + width_m)
    (far, low), places = end, {}
    below, beside = low + 34, far + 34
    lines = f"M{MARGIN - 6:g} {below:g}H{right + 6:g}" + "".join(
        f"M{x:g} {start:g}V{below + 6:g}" for x, start in ((MARGIN, low + 6), (left, foot), (right, foot))
    )
    lines += f"M{beside:g} {low + 6:g}V{top - 6:g}" + "".join(
        f"M{start:g} {y:g}H{beside + 6:g}" for y, start in ((low, far + 6), (foot, right), (top, right))
    )
    for name, size_m, start, stop in (("cutout-x", x_m, MARGIN, left), ("cutout-length", length_m, left, right)):
        if stop - start >= LEAST_ALONG:
            places[name] = _place(words.length(size_m), (start + stop) / 2, below)
    for name, size_m, start, stop in (("cutout-y", y_m, foot, low), ("cutout-width", width_m, top, foot)):
        if stop - start >= LEAST_ACROSS:
            places[name] = _place(words.length(size_m), beside, (start + stop) / 2)
    return lines, places


def thumbnail_of(piece: PieceEstimate) -> Drawn:
    """Small drawing of a piece for the list, as large as fits."""
    view = plan_view(piece.taken.piece.shape)
    frame = Frame.fitted(view.bounds_m, SMALL, SMALL / 2, 2.0)
    return {
        "wide": f"{frame.wide:.0f}",
        "high": f"{frame.high:.0f}",
        "box": f"0 0 {frame.wide:.1f} {frame.high:.1f}",
        "paths": paths_of(view, frame),
    }


def paths_of(view: PlanView, frame: Frame) -> list[dict[str, str]]:
    """Lines of a view in a frame: cut, visible and hidden lines."""
    parts = (("cut", boundaries_of(view.material)), ("thin", view.seen), ("hid", view.hidden))
    drawn = [{"kind": kind, "d": "".join(_traced(paths, frame))} for kind, paths in parts]
    return [part for part in drawn if part["d"]]


def _traced(paths: Iterable[Path], frame: Frame) -> Iterator[str]:
    """Yield SVG path data, with arcs as cubic curves like on the papers."""
    for path in paths:
        yield "M{:g} {:g}".format(*frame.at(*path.points[0].tolist()))
        if path.bulges is None:
            for x_m, y_m in path.points[1:].tolist():
                yield "L{:g} {:g}".format(*frame.at(x_m, y_m))
        else:
            for edge in path.edges():
                if edge.straight:
                    yield "L{:g} {:g}".format(*frame.at(*edge.end))
                else:
                    for cubic in edge.cubics():
                        yield "C" + " ".join("{:g} {:g}".format(*frame.at(*point)) for point in cubic)
        if path.closed:
            yield "Z"
