"""What somebody who runs a job wants to know first, in a few labeled lines: the terminal and the summary page print it.

Total, lead time, heaviest pieces, order, what is not safe yet, and warnings of one kind as one.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from estimator.estimate import Estimate, PieceEstimate
from estimator.handling.doubts import marks_by_doubt
from estimator.notices import Notice
from estimator.packaging.price import Line
from estimator.packaging.stage import Bought
from estimator.words import Words
from geometry.frozen import frozen
from geometry.message import Message, few

MOST_PIECES, MOST_MATERIALS, MOST_OPEN, MOST_NAMES = 3, 4, 5, 4
URGENT = ("-not-enough", "-over")
"""Ends of doubts that say that something fails; the others say that something is missing."""

RATINGS = ("rating-over", "rating-missing")


@frozen
class Topic:
    """One subject of the first screen: its label, what there is to say, and how much is left for the tables."""

    label: str
    entries: tuple[str, ...]
    more: int = 0


def topics(estimate: Estimate, words: Words, most_open: int = MOST_OPEN) -> list[Topic]:
    """The subjects of the first screen, in its order; warnings last and in full, since they get what room is left.

    most_open   how many things that are not safe yet are named
    """
    return [
        Topic(words("screen-total"), tuple(_total(estimate, words))),
        Topic(words("screen-lead-time"), (_lead_time(estimate, words),)),
        _heaviest(estimate, words),
        _order(estimate, words),
        _not_safe_yet(estimate, words, most_open),
        Topic(words("screen-warnings"), tuple(grouped(estimate.warnings, words))),
    ]


def headline(estimate: Estimate, words: Words) -> str:
    """Job, number of pieces, date and revision."""
    job = estimate.job
    count = sum(piece.taken.piece.quantity for piece in estimate.pieces)
    parts = [job.name, words("screen-pieces", count=count)]
    if job.date:
        parts.append(words.date(job.date))
    if job.revision:
        parts.append(words("screen-revision", revision=job.revision))
    return " · ".join(parts)


def _total(estimate: Estimate, words: Words) -> Iterator[str]:
    cost = estimate.cost
    taxed = cost.total != cost.price
    yield words("screen-total-taxed" if taxed else "screen-total-plain", total_price=cost.total, sum_price=cost.price)
    if cost.unpriced:
        yield words("screen-unpriced", names=[words.name(estimate.job.materials[name]) for name in cost.unpriced])


def _lead_time(estimate: Estimate, words: Words) -> str:
    if estimate.ships is not None:
        return words("screen-ships", ship_date=estimate.ships)
    return words("screen-lead-days", count=estimate.calendar.lead_days)


def _heaviest(estimate: Estimate, words: Words) -> Topic:
    ranked = sorted(estimate.pieces, key=lambda piece: -piece.weight.lift_kg)
    entries = [_heavy(piece, estimate, words) for piece in ranked[:MOST_PIECES]]
    return Topic(words("screen-heaviest"), tuple(entries), max(0, len(ranked) - MOST_PIECES))


def _heavy(piece: PieceEstimate, estimate: Estimate, words: Words) -> str:
    """One piece with its high weight and who carries it; of one that is too heavy, what would make it liftable."""
    persons = piece.handling.carry.persons
    named = {
        "mark": piece.taken.piece.mark,
        "high_kg": piece.weight.lift_kg,
        "crew": words.crew(persons),
        "strength": piece.handling.strength,
    }
    if persons is None or persons > estimate.job.workshop.handling.people:
        from estimator.lighten import hints_of  # for three pieces at most, and seldom for any
        from estimator.report.ways import hint_text

        hints = hints_of(estimate.job, (piece.taken, piece.weight, piece.handling))
        if hints:
            return words("screen-heavy-ways", **named, ways=hint_text(hints, piece.taken.piece, words))
    return words("screen-heavy-piece", **named)


def _order(estimate: Estimate, words: Words) -> Topic:
    """What to buy, dearest first."""
    bought = bought_of(estimate)
    entries = [words("screen-order-total", count=len(bought), order_price=estimate.supply.to_pay)]
    for item in bought[:MOST_MATERIALS]:
        name, price = words.name(estimate.job.materials[item.name]), words.price(item.cost)
        entries.append(words("screen-order-line", name=name, packs=packs_of(item.lines, words), price=price))
    return Topic(words("screen-order"), tuple(entries), max(0, len(bought) - MOST_MATERIALS))


def bought_of(estimate: Estimate) -> list[Bought]:
    """What is bought, the dearest first."""
    return sorted(estimate.supply.bought, key=lambda item: -(item.cost or 0))


def packs_of(lines: Iterable[Line], words: Words) -> str:
    """The packs that are bought of one material, in one line: "3 × bag, 1 × sack"."""
    return ", ".join(f"{words.count(line.count)} × {line.pack.name}" for line in lines)


def _not_safe_yet(estimate: Estimate, words: Words, most: int) -> Topic:
    """Items not shown to be safe, each once with its pieces."""
    items = open_items(estimate, words)
    if not items:
        return Topic(words("screen-not-safe-yet"), (words("screen-nothing-open"),))
    entries = [f"{number}. {item.text}" for number, item in enumerate(items[:most], start=1)]
    return Topic(words("screen-not-safe-yet"), tuple(entries), max(0, len(items) - most))


@frozen
class OpenItem:
    """One thing that is not shown to be safe yet.

    id     of its doubt
    marks  of the pieces that it is said of; none where it is the gear's
    gear   that has no rating, or one that is too low
    """

    id: str
    text: str
    marks: tuple[str, ...] = ()
    gear: tuple[str, ...] = ()


def open_items(estimate: Estimate, words: Words) -> list[OpenItem]:
    """Doubts of pieces and delivery as sentences: what fails before what is missing, ratings of all gear in one."""
    marks = marks_by_doubt((piece.taken.piece.mark, piece.handling.doubts) for piece in estimate.pieces)
    marks |= {doubt: [] for doubt in estimate.delivery.doubts if doubt not in marks}
    rated = {id: [doubt.about for doubt in marks if doubt.id == id and doubt.about is not None] for id in RATINGS}
    others = [doubt for doubt in marks if doubt.id not in RATINGS or doubt.about is None]
    others.sort(key=lambda doubt: not doubt.id.endswith(URGENT))
    items = [
        OpenItem(doubt.id, _named(words.text(doubt.message), marks[doubt], words), tuple(marks[doubt]))
        for doubt in others
    ]
    over, missing = (
        [OpenItem(id, words(f"doubt-{id}", about=gear), gear=tuple(str(dict(each.values)["gear"]) for each in gear))]
        if gear
        else []
        for id, gear in rated.items()
    )
    return [*over, *items, *missing]


def _named(text: str, names: Sequence[str], words: Words) -> str:
    return words("about", subject=few(names, MOST_NAMES), text=text) if names else text


def grouped(notices: Iterable[Notice], words: Words) -> Iterator[str]:
    """Warnings of one kind as one: what they are about as a list, their figures at the highest."""
    kinds: dict[tuple[str, str], list[Message]] = {}
    for notice in notices:
        if isinstance(notice.text, Message):
            kinds.setdefault((notice.id, _kind(notice.text)), []).append(notice.text)
        else:
            kinds[notice.id, notice.text] = []
    for (_, text), messages in kinds.items():
        yield merged(messages, words) if messages else text


def _kind(message: Message) -> str:
    """The message's id, and that of the one that it is about; what is said of two files is not one."""
    own = str(dict(message.values).get("file", "")) if message.id == "of-file" else ""
    return ".".join([message.id, own, *(_kind(value) for _, value in message.values if isinstance(value, Message))])


def merged(messages: Sequence[Message], words: Words) -> str:
    """Messages of one kind as one, in words; its attribute "many" where the catalog has one for several."""
    if len(messages) == 1:
        return words.text(messages[0])
    tables = [dict(message.values) for message in messages]
    values = {name: _merged([table[name] for table in tables], words) for name in tables[0]}
    return words(messages[0].id, "many", **{"count": len(messages), **values}) or words(messages[0].id, **values)


def _merged(values: Sequence[object], words: Words) -> object:
    distinct = list(dict.fromkeys(values))
    if len(distinct) == 1:
        (value,) = distinct
        return words.text(value) if isinstance(value, Message) else value
    if all(isinstance(value, Message) for value in distinct):
        return merged([value for value in distinct if isinstance(value, Message)], words)
    if all(isinstance(value, tuple) for value in distinct):
        return tuple(dict.fromkeys(item for value in distinct if isinstance(value, tuple) for item in value))
    if all(isinstance(value, int | float) for value in distinct):
        return max(value for value in distinct if isinstance(value, int | float))
    return few(
        [words.text(value) if isinstance(value, str | Message) else str(value) for value in distinct], MOST_NAMES
    )
