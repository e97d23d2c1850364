"""The small picture of a piece beside its name: a flat piece as it is seen on its face, any other as a block."""

from collections.abc import Iterable
from typing import Any

from estimator.errors import FaultError
from estimator.report.papers.style import GREY, INK, TINT, Draw
from estimator.takeoff import PieceTakeoff
from geometry.plan import Path
from geometry.views import PlanView, is_cast_face_down, plan_view

RIGHTWARD, UPWARD = 0.45, 0.32  # where the depth of the block goes on paper, of its length
WHITE_SPACE = 3.0
CHORD = 0.002  # of the piece's size: an arc is drawn in straight pieces off by less
SHOWN_EDGES = 200  # a small picture shows no more


def picture_of(taken: PieceTakeoff) -> Draw:
    """What a paper shows of a piece beside its name."""
    if is_cast_face_down(taken.piece.shape):
        try:
            return plan(plan_view(taken.piece.shape))
        except FaultError:
            pass
    return block(taken.solid.size_m)


def plan(view: PlanView) -> Draw:
    """A view on the face, as large as its box allows: material grey, cut-outs open, hidden edges left out."""
    x0, y0, x1, y1 = view.bounds_m
    chord_m = CHORD * max(x1 - x0, y1 - y0)

    def draw(canvas: Any, wide: float, high: float) -> None:
        scale = min((wide - 2 * WHITE_SPACE) / (x1 - x0), (high - 2 * WHITE_SPACE) / (y1 - y0))
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

    return draw


def block(size_m: tuple[float, float, float]) -> Draw:
    """A block of this size, m, seen from the front, the right and above, as large as its box allows."""
    length_m, width_m, height_m = size_m

    def draw(canvas: Any, wide: float, high: float) -> None:
        across, up = length_m + RIGHTWARD * width_m, height_m + UPWARD * width_m
        scale = min((wide - 2 * WHITE_SPACE) / across, (high - 2 * WHITE_SPACE) / up)
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
