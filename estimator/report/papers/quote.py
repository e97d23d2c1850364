"""quote.pdf: what the client pays for. Pieces, price, scope, options, payment, terms; no cost, no recipe.

Released, the same paper is the order confirmation: days in place of a lead time, and no alternates.
"""

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from decimal import Decimal
from typing import Any

from reportlab.lib.units import mm
from reportlab.platypus import Flowable, Spacer

from estimator.estimate import Estimate, PieceEstimate
from estimator.job import Piece
from estimator.money import ZERO, cents, total
from estimator.pricing.labor import TEMPLATED_USES, PieceWork
from estimator.pricing.quote import Payment, ballpark_range, tax_text
from estimator.pricing.versions import AlternativePrice, ChangeOrder, OptionPrice
from estimator.report.papers.drawing import drawn_heavy, pictures_of
from estimator.report.papers.letter import (
    addresses,
    in_shop_type,
    letter_title,
    letterhead,
    side_by_side,
    signature_lines,
    together,
)
from estimator.report.papers.style import (
    BODY,
    INK,
    LABEL,
    PLAIN,
    SMALL,
    STRONG,
    Front,
    Picture,
    bind,
    client_words_of,
    facts,
    say,
    say_parts,
    section,
    tick_box,
    width_of,
)
from estimator.report.papers.table import table
from estimator.report.screen import Column
from estimator.words import Words
from geometry import shapes
from geometry.edged import edge_names
from geometry.parts import notches_of
from geometry.plan_edges import chosen

PICTURE = (26 * mm, 13 * mm)
BEFORE_UNIT = re.compile(r"(?<=\d) (?=mm?\b)")  # where no line may end
NEAR_M = 0.5e-3  # openings alike within it are of one size
Rows = list[tuple[str, ...]]
Part = tuple[str, Sequence[Flowable]]
"""A heading, "" for none, and what stands under it."""


def quote(estimate: Estimate) -> bytes:
    """The quote as PDF; the same bytes for the same estimate."""
    job, words = estimate.job, client_words_of(estimate)
    front = Front(words("quote-title", status=job.status), job, words=words)
    days = days_of(estimate, words)
    with in_shop_type(job):
        story = [
            *letterhead(front, words),
            *letter_title(front, words("quote-purpose", status=job.status)),
            *_parties(front, words),
            *facts(days, front.width, columns=2 if len(days) == 4 else 3),
            *section(words("quote-pieces"), _pieces(estimate, front, words)),
            *_remarks(estimate, words),
        ]
        for heading, parts in _conditions(estimate, front, words):
            story += section(heading, *parts)
        story += together(front, _agreement(estimate, front, words))
        return bind(front, story)


def _parties(front: Front, words: Words) -> list[Flowable]:
    client = front.job.client
    named = [client.name] if client.name else []
    return addresses(
        [
            (words("quote-for"), [*named, *client.address]),
            (words("quote-site"), client.site),
            (words("quote-contact"), client.contact),
        ],
        front.width,
    )


def days_of(estimate: Estimate, words: Words) -> list[tuple[str, str]]:
    """Number, dates, lead time and total, as labeled facts."""
    job = estimate.job
    pairs = [(words("quote-number", status=job.status), job.number)] if job.number else []
    pairs.append((words("quote-date"), words.date(job.date) if job.date else words("quote-undated")))
    if job.revision:
        pairs.append((words("quote-revision"), job.revision))
    if job.valid_until and job.status != "released":
        pairs.append((words("quote-valid-until"), words.date(job.valid_until)))
    if estimate.ships:
        pairs.append((words("quote-ready"), words.date(estimate.ships)))
    else:
        pairs.append((words("quote-lead-time"), words("quote-lead-days", days=estimate.calendar.lead_days)))
    heading, amount, _ = sum_of(estimate, words)
    return [*pairs, (heading, amount)]


# Pieces


def _pieces(estimate: Estimate, front: Front, words: Words) -> Flowable:
    """One line per piece: what the client buys, and its price as the terms show it."""
    show = _shown(estimate)
    unit = words.area_unit
    heads = [
        Column(words("quote-description"), False),
        Column(words("quote-quantity")),
        Column(words("quote-area-each", unit=unit)),
        Column(words("quote-max-weight", unit=words.mass_unit)),
    ]
    if show == "pieces":
        heads += [Column(words("quote-unit-price")), Column(words("quote-amount"))]
    elif show == "area":
        heads += [Column(words("quote-area-price", unit=unit)), Column(words("quote-amount"))]
    rows: Rows = []
    for piece in estimate.pieces:
        cast = piece.taken.piece
        row = (
            "\n".join(BEFORE_UNIT.sub("\N{NO-BREAK SPACE}", line) for line in description_of(piece, estimate, words)),
            words.count(cast.quantity),
            words.area(piece.taken.plan.gross_m2).rpartition(" ")[0],
            words.mass(piece.weight.high_kg, up=True).rpartition(" ")[0],
        )
        rows.append((*row, *prices_of(piece, estimate, words)))
    count = str(sum(piece.taken.piece.quantity for piece in estimate.pieces))
    price = () if show == "lump" else ("", words.price(estimate.cost.price))
    totals = (words("quote-before-tax") if price else words("quote-count"), count, "", "", *price)
    pictures = pictures_of([piece.taken for piece in estimate.pieces])
    return table(heads, rows, front.width, totals=totals, pictures=pictures, picture_size=PICTURE)


def _shown(estimate: Estimate) -> str:
    """How the pieces are priced; a budget price stands for all of them."""
    return "lump" if estimate.job.status == "ballpark" else estimate.job.price.show


def prices_of(piece: PieceEstimate, estimate: Estimate, words: Words) -> tuple[str, ...]:
    """Rate and amount of a piece, as the terms show them."""
    show = _shown(estimate)
    if show == "lump":
        return ()
    if show == "area":
        by_piece = piece.taken.piece.use in ("planter", "basin")
        rate = words.price(piece.price_per_area * words.area_unit_m2)
        if piece.price_per_length is not None:
            rate = words("quote-per-length", each_price=piece.price_per_length * words.run_unit_m)
        unit_price = words("quote-each", each_price=float(_unit_price(piece))) if by_piece else rate
        return unit_price, words.price(piece.price)
    return words.price(_unit_price(piece)), words.price(piece.price)


def _unit_price(piece: PieceEstimate) -> Decimal:
    return cents(piece.price / piece.taken.piece.quantity)


def description_of(piece: PieceEstimate, estimate: Estimate, words: Words) -> Iterator[str]:
    """What the client buys: name, size, finish and color, edges, cutouts, and the note for the client."""
    cast = piece.taken.piece
    yield title_line(cast, words)
    yield words.size(piece.taken.solid.size_m)
    look = [words("quote-finish", finish=cast.finish)] if cast.finish else []
    look += [words("quote-color", color=cast.color)] if cast.color else []
    if look:
        yield " · ".join(look)
    edges = list(edge_lines(cast.shape, words))
    if edges:
        yield " · ".join(edges)
    if cast.joints_m:
        yield words("quote-seam", whole=cast.part_of)
    openings = list(opening_lines(cast.shape, estimate.job.workshop.labor.sink_least_m, words))
    if openings:
        yield " · ".join(openings)
    if cast.note:
        yield cast.note


def title_line(piece: Piece, words: Words) -> str:
    """Mark and name of a piece."""
    return f"{piece.mark}  {piece.description or words('quote-use', use=piece.use)}"


def edge_lines(shape: shapes.Shape, words: Words) -> Iterator[str]:
    """Edges that are more than plain."""

    def sides(names: Sequence[str]) -> str:
        return words.series([words("quote-side", side=side) for side in names])

    if isinstance(shape, shapes.EdgedShape):

        def edges(names: Sequence[shapes.Edge]) -> str:
            return client_edges(shape, names, words)

        for drop in shape.drop_edges:
            run_m = shape.length_along(drop.edges)
            yield words("quote-drop-edge", height_m=drop.height_m, length_m=run_m, sides=edges(drop.edges))
        for profile in shape.edge_profiles:
            run_m, size_m = shape.length_along(profile.edges), shape.profile_size_m(profile)
            named = edges(profile.edges)
            yield words("quote-edge-profile", kind=profile.kind, size_m=size_m, length_m=run_m, sides=named)
    if isinstance(shape, shapes.Panel):
        for turned in shape.returns:
            yield words("quote-returns", depth_m=turned.depth_m, sides=sides(turned.sides))


def client_edges(shape: shapes.EdgedShape, names: Sequence[shapes.Edge], words: Words) -> str:
    """Edges as a client finds them: by the sides that they face; others, which have but numbers, by their count."""
    every = shape.numbered_edges
    stretches = chosen(every, names, "edges")
    whole = {stretch.number for stretch in stretches if not stretch.is_part_of(every)}
    if len(whole) == len(every):
        return words("quote-all-around")
    sides = {edge.side for edge in every if edge.number in whole and edge.side is not None}
    full = [side for side in SIDES if side in sides and {e.number for e in every if e.side == side} <= whole]
    counted = {stretch.number for stretch in stretches}
    if counted == {edge.number for edge in every if edge.side in full}:
        return words.series([words("quote-side", side=side) for side in full])
    if not any(isinstance(name, int) for name in names):
        return words.series([words.text(name) for name in edge_names(names)])
    return words("quote-edges", count=len(counted))


SIDES = ("front", "right", "back", "left")


def opening_lines(shape: shapes.Shape, sink_least_m: float, words: Words) -> Iterator[str]:
    """Cutouts and holes, those of one size together."""
    raw = {cutout.bounds for cutout in getattr(shape, "cutouts", ()) if cutout.edge == "raw"}
    open_ones = {cutout.bounds for cutout in notches_of(shape)}
    alike = Counter(
        (round((x1 - x0) / NEAR_M), round((y1 - y0) / NEAR_M), bounds in raw, bounds in open_ones)
        for bounds in shape.opening_bounds()
        for x0, y0, x1, y1 in [bounds]
    )
    for (wide, high, is_raw, is_notch), count in alike.items():
        wide_m, high_m = wide * NEAR_M, high * NEAR_M
        if wide == high and wide_m < sink_least_m and not is_notch:
            yield words("quote-holes", count=count, size_m=wide_m)
        else:
            edge = "raw" if is_raw else "finished"
            text = "quote-notches" if is_notch else "quote-cutouts"
            yield words(text, count=count, size=words.size((wide_m, high_m)), edge=edge)


# Options, alternates, scope, terms


def _remarks(estimate: Estimate, words: Words) -> Iterator[Flowable]:
    pieces, show = estimate.pieces, _shown(estimate)
    if show == "area":
        yield say(words("quote-rounded-area"), SMALL)
    if any(drawn_heavy(piece.taken.piece.shape) for piece in pieces):
        yield say(words("quote-heavy-lines"), SMALL)
    if show == "pieces" and any(_unit_price(p) * p.taken.piece.quantity != p.price for p in pieces):
        yield say(words("quote-rounded"), SMALL)
    if estimate.cost.unpriced:
        yield say(words("quote-incomplete"), STRONG)


def _conditions(estimate: Estimate, front: Front, words: Words) -> Iterator[Part]:
    """Everything between the pieces and what is agreed."""
    yield from _beside(estimate, front, words)
    yield words("quote-scope"), _scope(estimate, front, words)
    yield from _terms(estimate, front, words)


def _scope(estimate: Estimate, front: Front, words: Words) -> list[Flowable]:
    included, excluded = scope_of(estimate, words)

    def listed(label: str, lines: Sequence[str]) -> list[Flowable]:
        return [say(label, LABEL), *(say(f"•  {line}", BODY) for line in lines)]

    left = listed(words("quote-included"), included)
    return [side_by_side(left, listed(words("quote-excluded"), excluded), front.width)]


def scope_of(estimate: Estimate, words: Words) -> tuple[list[str], list[str]]:
    """What the price includes and leaves out: as the hours and trips of the job say, then in the shop's words."""
    job, lines = estimate.job, estimate.pricing.labour.lines
    steps = {line.step for line in lines}
    uses = {piece.taken.piece.use for piece in estimate.pieces}
    included, excluded = [words("quote-scope-pieces")], list[str]()
    (included if "seal" in steps else excluded).append(words("quote-scope-sealing"))
    on_template = words("quote-scope-template" if uses & set(TEMPLATED_USES) else "quote-scope-measuring")
    (included if "template" in steps else excluded).append(on_template)
    if job.samples is not None:
        kind = "credited" if job.samples.credited else "priced"
        count, price = job.samples.count, job.samples.price
        text = words("quote-scope-samples", count=count)
        included.append(words(f"quote-scope-samples-{kind}", count=count, each_price=price) if price else text)
    if estimate.cost.direct.delivery:
        included.append(words("quote-scope-delivery", trips=estimate.pricing.trips))
    else:
        excluded.append(words("quote-scope-no-delivery"))
    works = [work for work in estimate.pricing.works if not work.in_shop]
    placed = [work for work in works if work.install_crew is not None]
    left = [work for work in works if work.install_crew is None]
    if placed:
        included.append(_installation(placed, len(works), words))
    if left:
        excluded.append(_installation(left, len(works), words))
    excluded += [words(id) for id, of in NOT_OURS.items() if uses & of]
    return [*included, *job.scope.included], [*excluded, *job.scope.excluded]


MOST_MARKS = 12  # named in one line


def _installation(works: Sequence[PieceWork], of_marks: int, words: Words) -> str:
    """Installation of all marks, of the few that are named, or of so many pieces."""
    if len(works) == of_marks:
        return words("quote-scope-installation")
    if len(works) > MOST_MARKS:
        return words("quote-scope-installation-count", count=sum(work.quantity for work in works))
    return words("quote-scope-installation-of", marks=[work.mark for work in works])


NOT_OURS: dict[str, set[str]] = {
    "quote-scope-plumbing": {"counter", "basin"},
    "quote-scope-support": {"counter"},
    "quote-scope-gas": {"fire"},
    "quote-scope-wall": {"panel"},
    "quote-scope-planting": {"planter"},
}
"""Work of other trades, by the uses of pieces at which it arises."""


def _beside(estimate: Estimate, front: Front, words: Words) -> Iterator[Part]:
    """Options and alternates; of a released job its change orders instead."""
    versions = estimate.versions
    released = estimate.job.status == "released"
    options = [option for option in versions.options if option.taken or not released]
    if options:
        heads: tuple[str, ...] = ("option", "note", "option-price", "option-choice")
        rows = [_option(option, words) for option in options]
        yield words("quote-options"), _columns(rows, heads, front, words)
    if versions.alternatives and not released:
        heads = ("alternate", "note", "alternate-price", "alternate-more")
        rows = [_alternate(alternate, estimate.cost.price, words) for alternate in versions.alternatives]
        yield words("quote-alternates"), _columns(rows, heads, front, words)
    if versions.changes:
        heads = ("change-number", "change-reason", "change-price", "change-days", "change-signed")
        rows = [_change(change, words) for change in versions.changes]
        yield words("quote-changes"), _columns(rows, heads, front, words)


def _option(option: OptionPrice, words: Words) -> tuple[str, ...]:
    price = words("quote-option-in-price") if option.price is None else words.price(option.price)
    return capital(option.name), option.note, price, words("quote-option-taken") if option.taken else "☐"


def _alternate(alternate: AlternativePrice, price: Decimal, words: Words) -> tuple[str, ...]:
    own = alternate.standing.price
    return capital(alternate.name), alternate.note, words.price(own), words.price_change(own - price)


def _change(change: ChangeOrder, words: Words) -> tuple[str, ...]:
    signed = words.date(change.signed) if change.signed else words("quote-change-unsigned")
    return (
        str(change.number),
        change.reason,
        words.price_change(change.price),
        f"{change.days:+d}" if change.days else "0",
        signed,
    )


def capital(text: str) -> str:
    """A text with a capital first letter."""
    return text[:1].upper() + text[1:]


FIGURES = {"option-price", "alternate-price", "alternate-more", "change-price", "change-days"}
"""Columns that are set flush right."""


def _columns(rows: Rows, heads: Sequence[str], front: Front, words: Words) -> list[Flowable]:
    """A table, columns without any text left out."""
    kept = [i for i in range(len(heads)) if any(row[i] for row in rows)]
    columns = [Column(words(f"quote-{heads[i]}"), heads[i] in FIGURES) for i in kept]
    return [table(columns, [[row[i] for i in kept] for row in rows], front.width)]


def _terms(estimate: Estimate, front: Front, words: Words) -> list[Part]:
    """The shop's terms for what is quoted: a facade has no trivets."""
    uses = {piece.taken.piece.use for piece in estimate.pieces}
    terms = [words.term(term.text) for term in front.job.business.terms if not term.uses or uses & set(term.uses)]
    if not terms:
        return []
    lines = [say_parts([(f"{number}  ", True), (text, False)], BODY) for number, text in enumerate(terms, start=1)]
    return [(words("quote-terms"), lines)]


# Price, payment, acceptance


def _agreement(estimate: Estimate, front: Front, words: Words) -> list[Part]:
    """Total, payment and signature, on one page."""
    heading, amount, rows = sum_of(estimate, words)
    columns = (Column(words("quote-price"), False), Column(words.currency))
    summed = table(columns, rows, front.width, totals=(heading, amount), sizes=(11.0, 10.0, 9.0))
    price: Part = ("", [Spacer(0, 8), summed])
    if estimate.job.status == "ballpark":
        return [price]
    return [price, *_payment(estimate, front, words), *_acceptance(estimate, front, words)]


def sum_of(estimate: Estimate, words: Words) -> tuple[str, str, Rows]:
    """What the price comes to: its name, the amount, and the lines above it."""
    cost = estimate.cost
    if estimate.job.status == "ballpark":
        settings, minimum = estimate.job.workshop.quote, estimate.job.price.minimum
        ends = ballpark_range(cost.price, cost.price, settings.ballpark_below, settings.ballpark_above, minimum)
        return words("quote-range"), words("quote-range-ends", low_price=ends.low, high_price=ends.high), []
    taxes = [(words.text(tax_text(line)), words.price(line.amount)) for line in cost.tax_lines]
    rows: Rows = [(words("quote-before-tax"), words.price(cost.price)), *taxes]
    return words("quote-total"), words.price(cost.total), rows


def payment_rows(payments: Sequence[Payment], words: Words) -> Rows:
    """Steps of payment, each with when it is due, its share and its amount."""
    rows: Rows = [
        (
            capital(words("quote-step", key=payment.step.replace(" ", "-"), step=payment.step)),
            words("quote-due", key=payment.due.replace(" ", "-"), due=payment.due)
            if payment.received is None
            else words("quote-payment-paid"),
            words.share(payment.share) if payment.share else "",
            words.price(payment.amount),
        )
        for payment in payments
    ]
    received = total(payment.received or ZERO for payment in payments)
    if received:
        balance = total(payment.amount for payment in payments) - received
        rows.append((words("quote-payment-received"), "", "", words.price(received)))
        rows.append((words("quote-payment-balance"), "", "", words.price(balance)))
    return rows


def _payment(estimate: Estimate, front: Front, words: Words) -> list[Part]:
    if not estimate.cost.payments:
        return []
    heads = (
        Column(words("quote-payment-step"), False),
        Column(words("quote-payment-due"), False),
        Column(words("quote-payment-share")),
        Column(words("quote-amount")),
    )
    return [(words("quote-payment"), [table(heads, payment_rows(estimate.cost.payments, words), front.width)])]


def _acceptance(estimate: Estimate, front: Front, words: Words) -> list[Part]:
    """What is signed before casting, and room to accept."""
    job = estimate.job
    if job.status == "released":
        signed: list[Flowable] = signature_lines(front.width / 2.0, words, [words("quote-sign-shop")])
    else:
        accepted = words(
            "quote-acceptance",
            number=job.number or "none",
            revision=job.revision or "none",
            total_price=estimate.cost.total,
        )
        lines = signature_lines(front.width, words, [words("quote-sign-client"), words("quote-sign-shop")])
        signed = [Spacer(0, 6), say(accepted, STRONG), *lines]
    open_ones = [key for key in _approval_keys(estimate) if not job.sign_offs.get(key)]
    heading = words("quote-approvals" if open_ones else "quote-approvals-signed")
    return [(heading, [_approvals(estimate, front, words), *signed])]


def _approval_keys(estimate: Estimate) -> list[str]:
    templated = any(work.templated for work in estimate.pricing.works)
    return ["sketch", "sample", *(["template"] if templated else [])]


def _approvals(estimate: Estimate, front: Front, words: Words) -> Flowable:
    """A box for each approval, ticked where it is signed."""
    texts = []
    for key in _approval_keys(estimate):
        approval, day = words("quote-approval", key=key), front.job.sign_offs.get(key)
        texts.append(
            (words("quote-approval-signed", approval=approval, day=words.date(day)) if day else approval, bool(day))
        )

    def draw(canvas: Any, _wide: float, _high: float) -> None:
        x = 0.0
        for text, signed in texts:
            tick_box(canvas, x, 1, 8, 0.7)
            if signed:
                canvas.line(x + 1.5, 4.5, x + 3.5, 2.5)
                canvas.line(x + 3.5, 2.5, x + 7, 7.5)
            canvas.setFillColor(INK)
            canvas.setFont(PLAIN, 8.5)
            canvas.drawString(x + 13, 2, text)
            x += 13 + width_of(text, PLAIN, 8.5) + 22

    return Picture(front.width, 12, draw)
