"""quote.pdf: what the client is offered. Pieces, price, what stands beside it, payment, terms; no cost, no recipe."""

from collections.abc import Sequence
from io import BytesIO
from typing import Any

from reportlab.lib.enums import TA_RIGHT
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.lib.utils import ImageReader
from reportlab.platypus import Flowable, KeepTogether, Spacer
from reportlab.platypus import Table as Grid

from estimator.estimate import Estimate
from estimator.report.papers.drawing import picture_of
from estimator.report.papers.style import (
    BODY,
    HAIR,
    LABEL,
    PLAIN,
    SECTION,
    SMALL,
    STRONG,
    Front,
    Picture,
    bind,
    facts,
    say,
    say_parts,
    section,
    tick_box,
    title,
    words_of,
)
from estimator.report.papers.table import table
from estimator.report.screen import Column, payment_rows
from estimator.words import Words

FLUSH_RIGHT = ParagraphStyle("flush-right", parent=SMALL, alignment=TA_RIGHT)
PICTURE = (26 * mm, 13 * mm)
LOGO_HEIGHT = 17 * mm
NAMES = {
    "ballpark": ("Ballpark figure", "a first figure to decide by, no offer: sizes and details are still open"),
    "quoted": ("Quote", "our offer for the pieces below"),
    "templated": ("Quote", "our offer for the pieces below, from the sizes of the template"),
    "released": ("Order as agreed", "what is cast, and what it comes to"),
}
SIGNED = {"sketch": "sketch", "sample": "sample of colour and surface", "template": "template"}


def quote(estimate: Estimate) -> bytes:
    """The quote as PDF; the same bytes for the same estimate."""
    name, purpose = NAMES[estimate.job.status]
    front, words = Front(name, estimate.job), words_of(estimate)
    story = [
        *_letterhead(front),
        *title(front, purpose),
        *_parties(front, estimate),
        *section("Pieces", _pieces(estimate, front, words)),
        *_price(estimate, front, words),
        *_beside(estimate, front, words),
        *_payment(estimate, front, words),
        *_terms(front),
        KeepTogether(_signatures(front)),
    ]
    return bind(front, story)


def _letterhead(front: Front) -> list[Flowable]:
    business = front.job.business
    lines = [*business.address, *business.contact, *([business.registration] if business.registration else [])]
    if not (business.name or lines or business.logo):
        return []
    logo: list[Flowable] = []
    if business.logo is not None:
        image = ImageReader(BytesIO(business.logo))
        wide, high = image.getSize()
        height = LOGO_HEIGHT
        width = min(wide * height / high, front.width / 3.0)
        height = width * high / wide

        def draw(canvas: Any, _width: float, _height: float) -> None:
            canvas.drawImage(image, 0, 0, width, height, mask="auto")

        logo = [Picture(width, height, draw)]
    left = front.width / 3.0 if logo and logo[0].width > 25 * mm else 25 * mm if logo else 0.0
    right = 0.38 * front.width
    head = Grid(
        [[logo, [say(business.name, SECTION)] if business.name else [], [say(line, FLUSH_RIGHT) for line in lines]]],
        colWidths=[left, front.width - left - right, right],
        style=[
            ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
            ("LEFTPADDING", (0, 0), (-1, -1), 0),
            ("RIGHTPADDING", (0, 0), (-1, -1), 0),
        ],
    )
    return [head, Spacer(0, 12)]


def _parties(front: Front, estimate: Estimate) -> list[Flowable]:
    """For whom, and the days that count."""
    client, calendar, stands = front.job.client, estimate.calendar, front.job.valid_until
    pairs = [("Date", front.job.date or "undated")]
    if stands:
        pairs.append(("Stands until", stands))
    ready = estimate.ships or f"{calendar.lead_days} working days after approval"
    pairs.append(("Ready to ship", ready))
    pairs.append(("Revision", front.job.revision or "none"))
    days = facts(pairs, front.width, columns=4)
    to = [say("For", LABEL), *([say(client.name, STRONG)] if client.name else []), *map(say, client.address)]
    at = [say("Goes to", LABEL), *map(say, client.site)]
    if not (client.name or client.address):
        return [*days, *(at if client.site else [])]
    half = front.width / 2.0
    parties = Grid(
        [[to, at if client.site else []]],
        colWidths=[half, half],
        style=[("VALIGN", (0, 0), (-1, -1), "TOP"), ("LEFTPADDING", (0, 0), (-1, -1), 0)],
    )
    return [parties, Spacer(0, 4), *days]


def _pieces(estimate: Estimate, front: Front, words: Words) -> Flowable:
    rows, pictures = [], []
    for estimated in estimate.pieces:
        piece = estimated.taken.piece
        pictures.append(picture_of(estimated.taken))
        rows.append(
            (
                f"{piece.mark}\n{piece.use if piece.use != 'other' else ''}".rstrip("\n"),
                words.size(estimated.taken.solid.size_m),
                words.mass(estimated.weight.high_kg, up=True),
                str(piece.quantity),
                words.money(estimated.price),
            )
        )
    count = sum(estimated.taken.piece.quantity for estimated in estimate.pieces)
    columns = (
        Column("Piece", False),
        Column("Outer size", False),
        Column("Each weighs up to"),
        Column("Pieces"),
        Column(f"Price of all, {words.currency}"),
    )
    totals = ("before tax", "", "", str(count), words.money(estimate.cost.price))
    return table(columns, rows, front.width, totals=totals, pictures=pictures, picture_size=PICTURE)


def _price(estimate: Estimate, front: Front, words: Words) -> list[Flowable]:
    cost, terms = estimate.cost, estimate.job.price
    rows = [
        ("Price before tax", words.money(cost.price)),
        (f"Tax, {words.share(terms.tax)}", words.money(cost.tax)),
    ]
    summed = table(
        (Column("", False), Column(words.currency)),
        rows,
        front.width / 2.0,
        totals=("To pay in all", words.money(cost.total)),
        sizes=(10.0, 9.0, 8.0),
    )
    parts: list[Flowable] = [KeepTogether([Spacer(0, 4), _to_the_right(summed, front.width)])]
    if cost.unpriced:
        missing = "Not complete: not everything has a price yet, and what has none is not in these figures."
        parts.append(say(missing, STRONG))
    return parts


def _to_the_right(part: Flowable, width: float) -> Flowable:
    part.hAlign = "RIGHT"
    return Grid(
        [["", part]],
        colWidths=[width / 2.0, width / 2.0],
        style=[("LEFTPADDING", (0, 0), (-1, -1), 0), ("RIGHTPADDING", (0, 0), (-1, -1), 0)],
    )


def _beside(estimate: Estimate, front: Front, words: Words) -> list[Flowable]:
    """Options, other ways to make the job, changes after release: each with what it does to the price before tax."""
    versions, price, money = estimate.versions, estimate.cost.price, words.currency
    parts: list[Flowable] = []

    def part(heading: str, heads: Sequence[tuple[str, bool]], rows: Sequence[Sequence[str]]) -> None:
        if rows:
            parts.extend(section(heading, table([Column(*head) for head in heads], rows, front.width)))

    part(
        "What can be added",
        (("Option", False), ("", False), (f"Adds, {money}", True), ("Wanted", False)),
        [
            (o.name, o.note, "in the price" if o.price is None else words.money(o.price), "yes" if o.taken else "☐")
            for o in versions.options
        ],
    )
    part(
        "Other ways to make it",
        (("In place of the offer", False), ("", False), (f"Price before tax, {money}", True), ("Difference", True)),
        [
            (
                alternative.name,
                alternative.note,
                words.money(alternative.standing.price),
                words.more(alternative.standing.price - price),
            )
            for alternative in versions.alternatives
        ],
    )
    part(
        "Changes since release",
        (("No.", True), ("Reason", False), (f"Before tax, {money}", True), ("Working days", True), ("Signed", False)),
        [
            (
                str(change.number),
                change.reason,
                words.more(change.price),
                f"{change.days:+d}",
                change.signed or "not yet: not in the price",
            )
            for change in versions.changes
        ],
    )
    return parts


def _payment(estimate: Estimate, front: Front, words: Words) -> list[Flowable]:
    cost = estimate.cost
    if not cost.payments:
        return []
    rows = list(payment_rows(cost, words))
    if cost.received:
        rows.append(("Received", "", "", words.money(cost.received)))
        rows.append(("Balance due", "", "", words.money(cost.balance_due)))
    heads = (Column("Payment", False), Column("Due", False), Column("Of the total"), Column(words.currency))
    return section("Payment", table(heads, rows, front.width))


def _terms(front: Front) -> list[Flowable]:
    terms = front.job.business.terms
    if not terms:
        return []
    first, *rest = [say_parts([(f"{i}  ", True), (term.text, False)], BODY) for i, term in enumerate(terms, start=1)]
    return [*section("Terms", first), *rest, Spacer(0, 6)]


def _signatures(front: Front) -> list[Flowable]:
    """What was signed before, and room to accept."""
    signed = front.job.sign_offs
    half = (front.width - 12 * mm) / 2.0

    def line(canvas: Any, _wide: float, _high: float) -> None:
        canvas.setStrokeColor(HAIR)
        canvas.setLineWidth(0.6)
        for at in (0.0, half + 12 * mm):
            canvas.line(at, 10, at + half, 10)
        canvas.setFont(PLAIN, 7.5)
        canvas.drawString(0, 1, "Accepted for the client: name, date, signature")
        canvas.drawString(half + 12 * mm, 1, "For the workshop: name, date, signature")

    def boxes(canvas: Any, wide: float, _high: float) -> None:
        step = wide / len(SIGNED)
        for i, (key, text) in enumerate(SIGNED.items()):
            day = signed.get(key)
            tick_box(canvas, i * step, 1, 8, 0.7)
            if day:
                canvas.line(i * step + 1.5, 4.5, i * step + 3.5, 2.5)
                canvas.line(i * step + 3.5, 2.5, i * step + 7, 7.5)
            canvas.setFont(PLAIN, 8.5)
            canvas.drawString(i * step + 13, 2, f"{text}{f', signed {day}' if day else ''}")

    return [
        *section("Signed before anything is cast", Picture(front.width, 12, boxes)),
        Spacer(0, 14 * mm),
        Picture(front.width, 12, line),
    ]
