"""change-orders/*.pdf: for each change after release what changes and why, the days and the money, and room to sign."""

from collections.abc import Iterator
from decimal import Decimal

from reportlab.platypus import Flowable, Spacer

from estimator.estimate import Estimate
from estimator.money import total
from estimator.pricing.versions import ChangeOrder, MarkStanding
from estimator.report.papers.letter import (
    addresses,
    in_shop_type,
    letter_title,
    letterhead,
    signature_lines,
)
from estimator.report.papers.quote import edge_lines, opening_lines, title_line
from estimator.report.papers.style import STRONG, Front, bind, client_words_of, facts, on_one_page, say, section
from estimator.report.papers.table import table
from estimator.report.screen import Column
from estimator.words import Words


def change_orders(estimate: Estimate) -> dict[str, bytes]:
    """A paper for each change order, by its path in the pack."""
    return {
        f"change-orders/CO-{change.number}.pdf": change_order(estimate, change) for change in estimate.versions.changes
    }


def change_order(estimate: Estimate, change: ChangeOrder) -> bytes:
    """One change order as PDF."""
    job, words = estimate.job, client_words_of(estimate)
    front = Front(words("change-title", number=change.number), job, words=words)
    client = job.client
    with in_shop_type(job):
        named = [client.name] if client.name else []
        return bind(
            front,
            [
                *letterhead(front, words),
                *letter_title(front, words("change-purpose", signed="yes" if change.signed else "no")),
                *addresses(
                    [(words("quote-for"), [*named, *client.address]), (words("quote-site"), client.site)], front.width
                ),
                *facts(_days(estimate, change, words), front.width),
                *section(words("change-reason"), say(change.reason), *([say(change.note)] if change.note else [])),
                *section(words("change-what"), _what(estimate, change, front, words)),
                on_one_page([*_money(estimate, change, front, words), *_signed(change, front, words)]),
            ],
        )


def _days(estimate: Estimate, change: ChangeOrder, words: Words) -> list[tuple[str, str]]:
    pairs = [(words("change-number"), str(change.number))]
    pairs += [(words("change-order-number"), estimate.job.number)] if estimate.job.number else []
    pairs += [(words("change-date"), words.date(change.date))] if change.date else []
    later = words("change-days-more" if change.days >= 0 else "change-days-less", days=abs(change.days))
    signed = words.date(change.signed) if change.signed else words("change-unsigned")
    return [*pairs, (words("change-signed"), signed), (words("change-days"), later)]


def what_changes(change: ChangeOrder, sink_least_m: float, words: Words) -> list[tuple[str, str, str]]:
    """Name, differences and change of price of each piece that is added, removed or changed, and of the rest."""
    before, after = change.before.marks, change.after.marks
    rows, listed = [], list[Decimal]()
    for mark in dict.fromkeys((*before, *after)):
        old, new = before.get(mark), after.get(mark)
        if old is not None and new is not None and old.piece == new.piece:
            continue
        standing = new or old
        assert standing is not None
        price = change.price_of(mark)
        listed.append(price)
        lines = "\n".join(_changes(old, new, sink_least_m, words))
        rows.append((title_line(standing.piece, words), lines, words.price_change(price)))
    rest = change.price - total(listed)
    if rest:
        rows.append((words("change-rest" if rows else "change-terms"), "", words.price_change(rest)))
    return rows


def _what(estimate: Estimate, change: ChangeOrder, front: Front, words: Words) -> Flowable:
    """A line for each piece that is added, removed or changed, and one for what the others bear of it."""
    columns = (
        Column(words("change-piece"), False),
        Column(words("change-change"), False),
        Column(words("change-amount")),
    )
    rows = what_changes(change, estimate.job.workshop.labor.sink_least_m, words)
    return table(columns, rows, front.width, totals=(words("change-total"), "", words.price_change(change.price)))


def _changes(old: MarkStanding | None, new: MarkStanding | None, sink_least_m: float, words: Words) -> Iterator[str]:
    """Differences of one mark."""
    if new is None:
        yield words("change-removed", count=old.quantity if old else 0)
        return
    if old is None:
        yield words("change-added", count=new.quantity, size=words.size(new.size_m))
        return
    lines = list(_differences(old, new, sink_least_m, words))
    yield from lines or [words("change-other")]


def _differences(old: MarkStanding, new: MarkStanding, sink_least_m: float, words: Words) -> Iterator[str]:
    before, after = old.piece, new.piece
    sizes = words.size(old.size_m), words.size(new.size_m)
    if sizes[0] != sizes[1]:
        yield words("change-size", before=sizes[0], after=sizes[1])
    if old.quantity != new.quantity:
        yield words("change-quantity", before=old.quantity, after=new.quantity)
    details = [
        (words("quote-finish", finish=after.finish), before.finish != after.finish),
        (words("quote-color", color=after.color), before.color != after.color),
        (after.note, before.note != after.note),
    ]
    yield from (words("change-detail", detail=text) for text, differs in details if differs and text)
    detailed = False
    for lines in (edge_lines, lambda shape, words: opening_lines(shape, sink_least_m, words)):
        now = list(lines(after.shape, words))
        if now != list(lines(before.shape, words)) and now:
            detailed = True
            yield words("change-detail", detail=" · ".join(now))
    if before.layers != after.layers:
        yield words("change-mix")
    elif before.shape != after.shape and sizes[0] == sizes[1] and not detailed:
        yield words("change-shape")


def _money(estimate: Estimate, change: ChangeOrder, front: Front, words: Words) -> list[Flowable]:
    """The total before, this change with its tax, the new total, what was paid, and what is due."""
    received = estimate.cost.received
    rows = [
        (words("change-money-before"), words.price(change.before.total)),
        (words("change-money-price"), words.price_change(change.price)),
        (words("change-money-tax"), words.price_change(change.total - change.price)),
        (words("change-money-total"), words.price(change.after.total)),
        (words("change-money-paid"), words.price(received)),
    ]
    columns = (Column(words("change-money"), False), Column(words.currency))
    totals = words("change-money-due"), words.price(change.after.total - received)
    return [Spacer(0, 10), table(columns, rows, front.width, totals=totals, sizes=(11.0, 10.0, 9.0))]


def _signed(change: ChangeOrder, front: Front, words: Words) -> list[Flowable]:
    accepted = words("change-acceptance", number=change.number, total_price=change.after.total)
    lines = signature_lines(front.width, words, [words("quote-sign-client"), words("quote-sign-shop")])
    return [Spacer(0, 12), say(accepted, STRONG), *lines]
