"""labels.pdf: a label for each piece, on sheets as they are sold: 4 × 2 in on Letter, 99.1 × 67.7 mm on A4.

What a hand at the truck needs: the mark, the high weight, how many carry the piece or that none may, which way up, its
rack; and the mark once more as a code that a telephone reads.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache
from io import BytesIO
from typing import Any
from urllib.parse import quote, urlencode

import segno
from reportlab.lib.units import inch, mm
from reportlab.pdfgen.canvas import Canvas

from estimator.estimate import Estimate, PieceEstimate
from estimator.report.papers.crew import checks_of, hold_words, sentence
from estimator.report.papers.style import (
    BOLD,
    GREY,
    INK,
    PAPER,
    PLAIN,
    Front,
    crew_words_of,
    cut,
    plain,
    size_that_fits,
)
from estimator.report.papers.table import broken
from estimator.report.papers.text import Operators, known_width, write, write_centered, write_right
from estimator.units.table import Units
from estimator.words import Words
from geometry.frozen import frozen

PAD = 3.2 * mm
CODE = 21 * mm
BAR = 15.0  # high, where hands are forbidden, points
NOTE_LINE = 7.5  # from one of the small lines at the foot of a label to the next, points
HOLD_SIZES = (8.0, 7.5, 7.0, 6.5, 6.0, 5.5)  # of how a piece is carried, which is never cut
MASK = 0  # any mask reads alike in print of this size; to weigh all eight takes most of the time of a label
QUIET = 2  # modules left white around the code; the label's own white adds to them


MOST = 10_000
"""Labels in one file, over a thousand sheets. In a larger job each mark gets as many."""


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
    """What one label says; `crew` is empty where no crew may lift the piece, and `upright` where it has an up.

    says   weight and people for its code: see `says_of`
    """

    mark: str
    says: str
    count: str
    weight: str
    bare: str
    crew: str
    forbidden: str
    hold: str
    upright: bool
    notes: tuple[str, ...]


def labels(estimate: Estimate, address: str = "") -> bytes:
    """The labels as PDF: no foot, since the sheet is cut from edge to edge; each label names job, date and revision.

    address   of the crew's screens of this job, which the code of a piece then opens; without, the code is the mark
    """
    words = crew_words_of(estimate)
    front = Front(words("labels-title"), estimate.job, words=words)
    sheet = SHEETS[estimate.job.units]
    buffer = BytesIO()
    canvas = Canvas(buffer, pagesize=front.page, invariant=1)
    canvas.setTitle(plain(f"{front.paper} · {front.job.name}"))
    canvas.setAuthor("cast-estimator")
    pieces = sum(piece.taken.piece.quantity for piece in estimate.pieces)
    of_each = MOST // len(estimate.pieces) if pieces > MOST else MOST
    every = list(_labels(estimate, words, max(1, of_each)))
    cut_short = words("label-most", count=len(every), pieces=pieces) if pieces > len(every) else ""
    on_page = sheet.columns * sheet.rows
    pages = -(-len(every) // on_page)
    for start in range(0, len(every), on_page):
        for i, label in enumerate(every[start : start + on_page]):
            row, column = divmod(i, sheet.columns)
            canvas.saveState()
            x = sheet.left + column * sheet.pitch
            canvas.translate(x, front.page[1] - sheet.top - (row + 1) * sheet.height)
            _draw(canvas, label, sheet, front, code_text(label.mark, address, estimate.job.revision or "", label.says))
            canvas.restoreState()
        canvas.setFont(PLAIN, 6)
        canvas.setFillColor(GREY)
        foot = words("label-page", page=start // on_page + 1, pages=pages)
        canvas.drawCentredString(
            front.page[0] / 2.0, 4 * mm, " · ".join(t for t in (foot, cut_short, front.remark) if t)
        )
        canvas.showPage()
    canvas.save()
    return buffer.getvalue()


def _labels(estimate: Estimate, words: Words, most: int) -> Iterator[Label]:
    """Labels of the pieces, of each mark the first `most`."""
    places = _places(estimate, words)
    checks = checks_of(estimate, estimate.pieces, words, estimate.delivery.doubts)
    for piece in estimate.pieces:
        mark, quantity = piece.taken.piece.mark, piece.taken.piece.quantity
        carry = next(move for move in piece.handling.moves if move.name == "carry")
        numbers = [str(number) for number, check in enumerate(checks, start=1) if mark in check.marks]
        crate = words("label-crate", high_kg=piece.handling.crated_kg)
        see = words("label-checks", count=len(numbers), numbers=words.series(numbers)) if numbers else ""
        says = says_of(piece, estimate.job.units)
        for number in range(1, min(quantity, most) + 1):
            place = places[mark][number - 1] if number <= len(places[mark]) else ""
            yield Label(
                mark=mark,
                says=says,
                count=words("label-count", number=number, count=quantity),
                weight=words("label-max", high_kg=piece.weight.lift_kg),
                bare=words("label-bare"),
                crew="" if carry.crew is None else words("label-carry", people=carry.crew),
                forbidden=words("label-by-machine"),
                hold=carry_on_label(piece, words),
                upright=piece.handling.hold in ("on-edge", "upright"),
                notes=(" · ".join(text for text in (crate, place) if text), see),
            )


def carry_on_label(piece: PieceEstimate, words: Words) -> str:
    """How the piece is carried; of a piece that gear carries what holds for a hoist and a cart alike."""
    handling = piece.handling
    carry = next(move for move in handling.moves if move.name == "carry")
    hold = sentence(hold_words(handling, words))
    if carry.crew is not None:
        return hold
    if handling.hold in ("slings", "pads", "rigger"):
        lies = "level" if handling.flat is None else "face-up"
        hold = words("label-by-gear", lies="rigger" if handling.hold == "rigger" else lies)
    return f"{words('label-machine', gear=words.text(carry.gear or ''))} {hold}"


def _places(estimate: Estimate, words: Words) -> Mapping[str, Sequence[str]]:
    """On which trip and rack each piece of a mark goes, in order."""
    places: dict[str, list[str]] = {piece.taken.piece.mark: [] for piece in estimate.pieces}
    for number, trip in enumerate(estimate.delivery.trips, start=1):
        for at in trip.stands:
            stand = estimate.delivery.stands[at]
            rack = words("stand-name", rack=stand.rack, number=stand.number)
            for mark, count in stand.pieces.items():
                places[mark] += [words("label-trip", trip=number, rack=rack)] * count
    return places


def _draw(canvas: Any, label: Label, sheet: Sheet, front: Front, code: str) -> None:
    """One label, its lower left corner at the origin."""
    wide, high = sheet.width - 2 * PAD, sheet.height - 2 * PAD
    canvas.translate(PAD, PAD)
    _code(canvas, code, wide - CODE, 0.0)
    left = wide - CODE - 6
    mark = size_that_fits(label.mark, BOLD, wide - 70, 26.0, 11.0)
    write(canvas, [(0, high - 0.75 * mark, cut(label.mark, BOLD, mark, wide - 70))], BOLD, mark, INK)
    write_right(canvas, wide, high - 8, label.count, PLAIN, 9, INK)
    at = high - 26.0 - 20.0
    weight = size_that_fits(label.weight, BOLD, wide - 50, 20.0, 12.0)
    write(canvas, [(0, at, label.weight)], BOLD, weight, INK)
    write(canvas, [(known_width(label.weight, BOLD, weight) + 5, at, label.bare)], PLAIN, 8, INK)
    at = _who(canvas, label, at - 5, left, wide)
    indent = 16 if label.upright else 0
    if label.upright:
        _arrow(canvas, 0, at - 21)
    room = at - NOTE_LINE * (2 + sum(map(bool, label.notes)))
    for size in HOLD_SIZES:
        lines = broken(label.hold, PLAIN, size, left - indent)
        if size + 2 + 1.2 * size * (len(lines) - 1) <= room:
            break
    runs = [(indent, at - 2 - size - 1.2 * size * i, line) for i, line in enumerate(lines)]
    write(canvas, runs, PLAIN, size, INK)
    _notes(canvas, label, front, left)


def _who(canvas: Any, label: Label, at: float, left: float, wide: float) -> float:
    """Who carries the piece, or a black bar that forbids it; returns what is left below, points."""
    if label.crew:
        write(canvas, [(0, at - 11, cut(label.crew, BOLD, 11, left))], BOLD, 11, INK)
        return at - 14
    canvas.setFillColor(INK)
    canvas.rect(0, at - BAR, wide, BAR, stroke=0, fill=1)
    size = size_that_fits(label.forbidden, BOLD, wide - 8, 11.5, 7.0)
    text = cut(label.forbidden, BOLD, size, wide - 8)
    write_centered(canvas, wide / 2.0, at - BAR / 2.0 - 0.36 * size, text, BOLD, size, PAPER)
    return at - BAR


def _notes(canvas: Any, label: Label, front: Front, left: float) -> None:
    """Crate, rack and checks, then job, client and issue, from below."""
    client = front.job.client.name
    lines = [
        front.issue,
        " · ".join(text for text in (front.job.name, client) if text),
        *(text for text in reversed(label.notes) if text),
    ]
    runs = [(0.0, NOTE_LINE * i, cut(line, PLAIN, 6.5, left)) for i, line in enumerate(lines)]
    write(canvas, runs[:2], PLAIN, 6.5, GREY)
    write(canvas, runs[2:], PLAIN, 6.5, INK)


def _arrow(canvas: Any, x: float, y: float) -> None:
    """An arrow that shows which way is up."""
    path = canvas.beginPath()
    for i, (dx, dy) in enumerate(((4, 0), (4, 10), (1, 10), (6, 19), (11, 10), (8, 10), (8, 0))):
        (path.lineTo if i else path.moveTo)(x + dx, y + dy)
    path.close()
    canvas.setFillColor(INK)
    canvas.drawPath(path, stroke=0, fill=1)


def says_of(piece: PieceEstimate, units: Units) -> str:
    """Weight and people as a label states them, for its code: whoever opens it later learns whether they still hold."""
    weight = re.sub(r"[^\d.]", "", Words(units, "").mass(piece.weight.lift_kg, up=True))
    return f"{weight}-{piece.handling.carry.persons or 0}"


def code_text(mark: str, address: str, revision: str, says: str = "") -> str:
    """What the code of a label says: the mark, or where to open it, with what the label was printed with.

    revision  of the job, "" without
    says      weight and people on the label: see `says_of`

    >>> code_text("C1", "", "2"), code_text("C 1", "http://shop.lan:8420/crew/hill/", "2", "72-2")
    ('C1', 'http://shop.lan:8420/crew/hill/C%201?rev=2&says=72-2')
    """
    if not address:
        return mark
    told = urlencode({name: text for name, text in (("rev", revision), ("says", says)) if text}, quote_via=quote)
    return f"{address}{quote(mark)}" + (f"?{told}" if told else "")


def _code(canvas: Any, text: str, x: float, y: float) -> None:
    """A text as a QR code, its lower left corner at (x, y)."""
    size, runs = code_of(text)
    canvas.saveState()
    canvas.translate(x, y)
    canvas.scale(CODE / (size + 2 * QUIET), CODE / (size + 2 * QUIET))
    canvas.setFillColor(INK)
    modules = [f"{QUIET + start} {QUIET + size - 1 - row} {length} 1 re" for row, start, length in runs]
    canvas.drawText(Operators([*modules, "f"]))  # a path object of the library formats each of its numbers
    canvas.restoreState()


@lru_cache(maxsize=64)
def code_of(text: str) -> tuple[int, tuple[tuple[int, int, int], ...]]:
    """Side of the code in modules, and its dark runs: row, first module, length."""
    matrix = segno.make_qr(text, error="m", mask=MASK).matrix
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
