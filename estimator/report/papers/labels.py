"""labels.pdf: a label for each piece, on sheets as they are sold: 4 × 2 in on Letter, 99.1 × 67.7 mm on A4.

What a hand at the truck needs: the mark, the high weight, how many carry it and which way up; and the mark once more
as a code that a telephone reads.
"""

from collections.abc import Iterator
from functools import lru_cache
from io import BytesIO
from typing import Any

import segno
from reportlab.lib.units import inch, mm
from reportlab.pdfgen.canvas import Canvas

from estimator.estimate import Estimate, PieceEstimate
from estimator.report.papers.style import BOLD, GREY, INK, PLAIN, Front, cut, plain, size_that_fits, words_of
from estimator.report.papers.table import broken
from estimator.report.words import hold_words
from estimator.words import Words
from geometry.frozen import frozen

PAD = 3.2 * mm
CODE = 21 * mm
MASK = 0  # any mask reads alike in print of this size; to weigh all eight takes most of the time of a label
QUIET = 2  # modules left white around the code; the label's own white adds to them


@frozen
class Sheet:
    """A sheet of labels, points."""

    width: float
    height: float
    columns: int
    rows: int
    left: float  # of the first column
    top: float  # above the first row
    pitch: float  # from column to column


SHEETS = {
    "imperial": Sheet(4.0 * inch, 2.0 * inch, 2, 5, 0.15625 * inch, 0.5 * inch, 4.1875 * inch),
    "metric": Sheet(99.1 * mm, 67.7 * mm, 2, 4, 4.65 * mm, 13.1 * mm, 101.6 * mm),
}


@frozen
class Label:
    """What one label says."""

    mark: str
    count: str
    weight: str
    crew: str
    hold: str
    size: str
    dangers: str


def labels(estimate: Estimate) -> bytes:
    """The labels as PDF: no foot, since the sheet is cut from edge to edge; each label names job, date and revision."""
    front, words = Front("Labels", estimate.job), words_of(estimate)
    sheet = SHEETS[estimate.job.units]
    buffer = BytesIO()
    canvas = Canvas(buffer, pagesize=front.page, invariant=1)
    canvas.setTitle(plain(f"{front.paper} · {front.job.name}"))
    canvas.setAuthor("cast-estimator")
    every = list(_labels(estimate, words))
    on_page = sheet.columns * sheet.rows
    pages = -(-len(every) // on_page)
    for start in range(0, len(every), on_page):
        for i, label in enumerate(every[start : start + on_page]):
            row, column = divmod(i, sheet.columns)
            canvas.saveState()
            x = sheet.left + column * sheet.pitch
            canvas.translate(x, front.page[1] - sheet.top - (row + 1) * sheet.height)
            _draw(canvas, label, sheet, front)
            canvas.restoreState()
        canvas.setFont(PLAIN, 6)
        canvas.setFillColor(GREY)
        canvas.drawCentredString(front.page[0] / 2.0, 4 * mm, f"page {start // on_page + 1} of {pages}")
        canvas.showPage()
    canvas.save()
    return buffer.getvalue()


def _labels(estimate: Estimate, words: Words) -> Iterator[Label]:
    dangers = {caution.caution.id for caution in estimate.cautions if caution.caution.severity == "danger"}
    for piece in estimate.pieces:
        quantity = piece.taken.piece.quantity
        for number in range(1, quantity + 1):
            yield Label(
                mark=piece.taken.piece.mark,
                count=f"{number} of {quantity}",
                weight=words.mass(piece.weight.lift_kg, up=True),
                crew=_crew(piece, words),
                hold=hold_words(piece.handling, words),
                size=words.size(piece.taken.solid.size_m),
                dangers="see lift sheet" if dangers & set(piece.cautions) else "",
            )


def _crew(piece: PieceEstimate, words: Words) -> str:
    return f"carry: {words.crew(piece.handling.carry.persons)}"


def _draw(canvas: Any, label: Label, sheet: Sheet, front: Front) -> None:
    """One label, its lower left corner at the origin."""
    wide, high = sheet.width - 2 * PAD, sheet.height - 2 * PAD
    canvas.translate(PAD, PAD)
    _code(canvas, label.mark, wide - CODE, 0.0)
    left = wide - CODE - 6
    canvas.setFillColor(INK)
    mark = size_that_fits(label.mark, BOLD, wide - 70, 30.0, 11.0)
    canvas.setFont(BOLD, mark)
    canvas.drawString(0, high - 0.75 * mark, cut(label.mark, BOLD, mark, wide - 70))
    canvas.setFont(PLAIN, 9)
    canvas.drawRightString(wide, high - 8, label.count)
    weight_at = high - 30.0 - 22.0
    canvas.setFont(BOLD, 21)
    canvas.drawString(0, weight_at, label.weight)
    after = canvas.stringWidth(label.weight, BOLD, 21) + 5
    canvas.setFont(PLAIN, 8)
    canvas.drawString(after, weight_at, "at most, bare")
    canvas.setFont(BOLD, 11)
    canvas.drawString(0, weight_at - 17, cut(label.crew, BOLD, 11, left))
    _arrow(canvas, 0, weight_at - 42)
    canvas.setFont(PLAIN, 8.5)
    lines = broken(label.hold, PLAIN, 8.5, left - 16)[:2]
    for i, line in enumerate(lines):
        canvas.drawString(16, weight_at - 30 - 10 * i, line)
    canvas.setFillColor(GREY)
    canvas.setFont(PLAIN, 6.5)
    tail = f" · {front.issue}"
    room = left - canvas.stringWidth(tail, PLAIN, 6.5)
    canvas.drawString(0, 0, cut(front.job.name, PLAIN, 6.5, room) + tail)
    canvas.drawString(0, 8, cut(" · ".join(t for t in (label.size, label.dangers) if t), PLAIN, 6.5, left))


def _arrow(canvas: Any, x: float, y: float) -> None:
    """This way up."""
    path = canvas.beginPath()
    for i, (dx, dy) in enumerate(((4, 0), (4, 10), (1, 10), (6, 19), (11, 10), (8, 10), (8, 0))):
        (path.lineTo if i else path.moveTo)(x + dx, y + dy)
    path.close()
    canvas.setFillColor(INK)
    canvas.drawPath(path, stroke=0, fill=1)


def _code(canvas: Any, mark: str, x: float, y: float) -> None:
    """The mark as a QR code, its lower left corner at (x, y)."""
    size, runs = code_of(mark)
    step = CODE / (size + 2 * QUIET)
    path = canvas.beginPath()
    for row, start, length in runs:
        path.rect(x + (QUIET + start) * step, y + (QUIET + size - 1 - row) * step, length * step, step)
    canvas.setFillColor(INK)
    canvas.drawPath(path, stroke=0, fill=1)


@lru_cache(maxsize=64)
def code_of(mark: str) -> tuple[int, tuple[tuple[int, int, int], ...]]:
    """Side of the code in modules, and its dark runs: row, first module, length."""
    matrix = segno.make_qr(mark, error="m", mask=MASK).matrix
    runs = []
    for i, row in enumerate(matrix):
        start = None
        for j, dark in enumerate((*row, 0)):
            if dark and start is None:
                start = j
            elif not dark and start is not None:
                runs.append((i, start, j - start))
                start = None
    return len(matrix), tuple(runs)
