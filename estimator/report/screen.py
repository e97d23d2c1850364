"""An estimate on the terminal: the first screen, the tables, and how both are printed."""

import textwrap
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from pathlib import Path

from rich import box
from rich.cells import cell_len
from rich.console import Console
from rich.table import Table
from rich.text import Text

from estimator.estimate import Estimate, PieceEstimate
from estimator.job import Mix
from estimator.mix.bands import Band
from estimator.notices import Notice
from estimator.pricing.labor import LaborLine
from estimator.pricing.quote import Cost, lines_of
from estimator.report.first_screen import Topic, headline, packs_of, topics
from estimator.words import PLAIN, Words, words_for
from geometry.frozen import frozen
from geometry.message import message


@frozen
class Column:
    head: str
    figure: bool = True  # figures are set flush right, words flush left


@frozen
class Sheet:
    """A table: its title, columns, rows of cells, and a last row of totals where there is one."""

    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    totals: tuple[str, ...] | None = None


def heads(words: Words, *ids: str, texts: Collection[str] = (), unit: str = "") -> tuple[Column, ...]:
    """Columns by the ids of their heads; `texts` names those that hold words, set flush left.

    unit   fills the heads that carry one
    """
    return tuple(Column(words(f"head-{id}", unit=unit), id not in texts) for id in ids)


def piece_sheet(estimate: Estimate, words: Words) -> Sheet:
    """Size, area and price of each mark."""
    rows = tuple(
        (
            piece.taken.piece.mark,
            words.count(piece.taken.piece.quantity),
            unbroken(words.size(piece.taken.solid.size_m)),
            words.volume(piece.taken.volume_m3),
            words.area(piece.taken.plan.gross_m2).rpartition(" ")[0],
            words.money(piece.price),
            words.per_area(piece.price_per_area),
        )
        for piece in estimate.pieces
    )
    columns = (
        *heads(words, "mark", "quantity", "size", "volume", texts=("mark", "size")),
        *heads(words, "area", unit=words.area_unit),
        *heads(words, "amount", unit=words.currency),
        *heads(words, "per", unit=words.area_unit),
    )
    return Sheet(words("table-pieces"), columns, rows)


def weight_sheet(estimate: Estimate, words: Words) -> Sheet:
    """What each mark weighs, to carry and to flip, and who carries it."""
    rows = tuple(
        (
            piece.taken.piece.mark,
            words.mass(piece.weight.installed_kg),
            words.areal_mass(piece.mass_per_area_kg_m2),
            words.mass(piece.weight.lift_kg, up=True),
            words.mass(piece.weight.turn_kg, up=True),
            crew_text(piece, words),
        )
        for piece in estimate.pieces
    )
    ids = ("mark", "installed", "areal-mass", "max-lift", "max-flip", "carry")
    return Sheet(words("table-weights"), heads(words, *ids, texts=("mark", "carry")), rows)


def unbroken(text: str) -> str:
    """A text that stays in one line."""
    return text.replace(" ", "\N{NO-BREAK SPACE}")


def crew_text(piece: PieceEstimate, words: Words) -> str:
    """Who carries a piece, with what is not known of its strength, so that nobody takes a crew for a proof."""
    crew = words.crew(piece.handling.carry.persons)
    return words("cell-crew-with-strength", crew=crew, strength=piece.handling.strength)


def mix_sheet(estimate: Estimate, words: Words) -> Sheet:
    """What each mix weighs and how much of it is batched."""
    rows = tuple(
        (
            words.name(estimate.job.mixes[mix.name]),
            words.volume(estimate.batching.batch_m3.get(mix.name, 0.0)),
            _with_band(mix.fresh_density_kg_m3, estimate.mix_facts[mix.name].bands.fresh_density_kg_m3, words),
            words.density(mix.installed_density_kg_m3).split()[0],
            f"{mix.water_cementitious:.2f}",
            "—" if mix.water_cement is None else f"{mix.water_cement:.2f}",
            words.share(mix.air),
            words("cell-floats" if mix.floats else "cell-sinks"),
            _first_crack(estimate.job.mixes[mix.name], words),
        )
        for mix in estimate.mixes.values()
    )
    texts = ("mix", "in-water", "first-crack")
    columns = (
        *heads(words, "mix", "to-batch", texts=texts),
        *heads(words, "fresh", "installed-density", unit=words.density(1000.0).split()[1]),
        *heads(words, "w-cm", "w-c", "air", "in-water", "first-crack", texts=texts),
    )
    return Sheet(words("table-mixes"), columns, rows)


def _with_band(density_kg_m3: float, band: Band, words: Words) -> str:
    """A density with both ends of its band, without its unit."""
    low, middle, high = (words.density(value).split()[0] for value in (band.low, density_kg_m3, band.high))
    return f"{middle} ({low}–{high})"


def _first_crack(mix: Mix, words: Words) -> str:
    """The design strength, with its age; a strength that was not tested is no strength."""
    if mix.first_crack_strength_pa is None:
        return words("cell-not-tested")
    strength = words.pressure(mix.first_crack_strength_pa)
    if mix.first_crack_age_d is None:
        return strength
    return words("cell-strength-at-age", strength=strength, days=words.figure(f"{mix.first_crack_age_d:g}"))


def material_sheet(estimate: Estimate, words: Words) -> Sheet:
    """What to order, in whole packs, stock taken off."""
    rows = []
    for line in estimate.materials.lines:
        bought = packs_of(line.lines, words)
        if line.from_tap:
            bought = words("cell-from-tap")
        elif not bought:
            bought = words("cell-in-stock" if line.order else "cell-by-mass")
        rows.append(
            (
                words.name(estimate.job.materials[line.material]),
                words.mass(line.required_kg),
                words.mass(line.on_hand_kg) if line.on_hand_kg else "—",
                bought,
                words.mass(line.left_over_kg) if line.order is not None else "—",
                words.money(line.purchase_cost),
                words.money(line.stock_cost),
            )
        )
    ids = ("material", "needed", "stock", "buy", "left-over", "pay", "stock-value")
    return Sheet(words("table-order"), heads(words, *ids, texts=("material", "buy"), unit=words.currency), tuple(rows))


def cost_sheet(estimate: Estimate, words: Words) -> Sheet:
    """From material to the price with tax."""
    cost = estimate.cost
    rows: list[tuple[str, str]] = []
    for line in lines_of(cost, estimate.job.price):
        if line.kind == "overhead":
            rows.append((words("cell-direct-cost"), words.money(cost.direct.total)))
        if line.kind == "tax":
            rows.append((words("cell-price-before-tax"), words.money(cost.price)))
        rows.append((words.text(line.text), words.money(line.amount)))
    columns = (Column("", False), Column(words.currency))
    return Sheet(words("table-price"), columns, tuple(rows), (words("cell-total"), words.money(cost.total)))


def labor_sheet(estimate: Estimate, words: Words) -> Sheet:
    """Hours by activity at their rate: hours times rate is the cost."""
    labor = estimate.pricing.labour
    rows = tuple(
        (
            words.text(line.label),
            _of(line, words),
            words.time_each(line.time_s, line.unit),
            str(line.persons),
            words.figure(f"{line.hours:.2f}"),
            words.money(line.rate),
            words.money(line.cost),
        )
        for line in labor.lines
    )
    ids = ("activity", "of", "time-each", "people", "hours", "rate", "cost")
    columns = heads(words, *ids, texts=("activity", "of"), unit=words.currency)
    return Sheet(
        words("table-labor"),
        columns,
        rows,
        ("", "", "", "", words.figure(f"{labor.hours:.2f}"), "", words.money(labor.cost)),
    )


def _of(line: LaborLine, words: Words) -> str:
    """What a line is counted by: its pieces and the people who handle each together, then its area."""
    counted = _counted(line, words)
    if line.pieces is None or line.persons == 1:
        return counted
    pieces = words("cell-pieces-together", count=line.pieces, people=line.persons)
    return f"{pieces}, {counted}" if line.unit else pieces


def _counted(line: LaborLine, words: Words) -> str:
    """How much of its basis an activity is measured by."""
    if line.unit:
        amount = words.area(line.quantity) if line.unit == "m2" else words.distance(line.quantity)
        return words("cell-amount-of", amount=amount, basis=message(f"by-{line.basis_id}"))
    count = int(line.quantity) if line.quantity == int(line.quantity) else words.figure(f"{line.quantity:.15g}")
    return words("cell-count-of", count=count, basis=line.basis_id)


def beside_sheet(estimate: Estimate, words: Words) -> Sheet:
    """Options, alternates and change orders: what each does to the price before tax."""
    price = estimate.cost.price
    rows = [
        (
            words("cell-option-taken" if option.taken else "cell-option"),
            option.name,
            words("cell-in-price") if option.price is None else words.money(option.price),
        )
        for option in estimate.versions.options
    ]
    rows += [
        (words("cell-alternate"), alternative.name, words.more(alternative.standing.price - price))
        for alternative in estimate.versions.alternatives
    ]
    rows += [
        (
            words("cell-change-order" if change.signed else "cell-change-order-unsigned", number=str(change.number)),
            change.reason,
            words("cell-change-effect", amount=words.more(change.price), days=f"{change.days:+d}"),
        )
        for change in estimate.versions.changes
    ]
    columns = (Column("", False), Column("", False), Column(words.currency))
    return Sheet(words("table-beside"), columns, tuple(rows))


def payment_rows(cost: Cost, words: Words) -> tuple[tuple[str, ...], ...]:
    """A row a payment: its step, when it is due, its share of the total, its amount."""
    return tuple(
        (
            payment.step,
            payment.due if payment.received is None else words("cell-payment-received"),
            words.share(payment.share),
            words.money(payment.amount),
        )
        for payment in cost.payments
    )


def payment_sheet(estimate: Estimate, words: Words) -> Sheet:
    """The steps in which the total is paid."""
    rows = payment_rows(estimate.cost, words)
    if estimate.cost.received:
        rows += (
            (words("cell-payment-received"), "", "", words.money(estimate.cost.received)),
            (words("cell-balance-due"), "", "", words.money(estimate.cost.balance_due)),
        )
    columns = (*heads(words, "payment", "due", "share", texts=("payment", "due")), Column(words.currency))
    totals = (words("cell-total"), "", "", words.money(estimate.cost.total))
    return Sheet(words("table-payments"), columns, rows, totals)


def calendar_sheet(estimate: Estimate, words: Words) -> Sheet:
    """The earliest days of the job."""
    calendar = estimate.calendar

    def day_text(day: int) -> str:
        return calendar.date_of(day) or words("cell-day-number", number=words.count(day + 1))

    rows = tuple(
        (
            words.text(step.label),
            step.pour or "",
            day_text(step.first_day),
            day_text(step.last_day),
            "" if step.until_day is None else day_text(step.until_day),
        )
        for step in calendar.steps
    )
    ids = ("step", "pour", "from", "to", "latest")
    return Sheet(words("table-calendar"), heads(words, *ids, texts=("step", "pour")), rows)


def caution_sheet(estimate: Estimate, words: Words) -> Sheet:
    """Every caution that applies, with its pieces."""
    rows = tuple(
        (
            words(f"severity-{applied.caution.severity}"),
            words.text(applied.text),
            words("all-pieces") if 1 < len(applied.pieces) == len(estimate.pieces) else ", ".join(applied.pieces),
        )
        for applied in estimate.cautions
    )
    return Sheet(words("table-cautions"), heads(words, *(ids := ("severity", "caution", "pieces")), texts=ids), rows)


TABLES: Mapping[str, tuple[Callable[[Estimate, Words], Sheet], ...]] = {
    "pieces": (piece_sheet, weight_sheet),
    "mixes": (mix_sheet,),
    "order": (material_sheet,),
    "labor": (labor_sheet,),
    "price": (cost_sheet, payment_sheet, beside_sheet),
    "calendar": (calendar_sheet,),
    "cautions": (caution_sheet,),
}
"""The tables of `--show`, by name."""


WIDTH, TABLE_WIDTH = 100, 118  # of the first screen; of tables where standard output is no terminal


def open_console() -> Console:
    """The console of standard output, of a fixed width where that is a file or a pipe."""
    console = Console(highlight=False)
    return console if console.is_terminal else Console(highlight=False, width=TABLE_WIDTH)


def print_sheets(title: str, sheets: Iterable[Sheet], notes: Iterable[str] = ()) -> None:
    """A title, the sheets that hold anything, and notes below them, on standard output."""
    console = open_console()
    console.print(Text(title, style="bold"))
    for sheet in sheets:
        if sheet.rows:
            _print_sheet(console, sheet)
    for note in notes:
        console.print(Text(note))


def _print_sheet(console: Console, sheet: Sheet) -> None:
    for table in sheet_tables(sheet, console.width):
        console.print(table)


def print_warnings(warnings: Iterable[Notice | str], words: Words = PLAIN) -> None:
    """Warnings, on standard error."""
    aside = Console(stderr=True, highlight=False, soft_wrap=True)
    for warning in warnings:
        text = words.text(warning.text) if isinstance(warning, Notice) else warning
        aside.print(Text(words("warning", text=text)))


@frozen
class _Need:
    """Width of a column: least, with words below each other, and whole, all on one line."""

    least: int
    whole: int

    @classmethod
    def of(cls, column: Column, cells: Iterable[str]) -> "_Need":
        """A figure in two lines reads as two, so only words and heads are broken."""
        texts = dict.fromkeys(cells)
        longest = max(map(cell_len, texts), default=0)
        broken = longest if column.figure else max((_longest_word(text) for text in texts), default=0)
        return cls(max(_longest_word(column.head), broken), max(cell_len(column.head), longest))


def _longest_word(text: str) -> int:
    return max(map(cell_len, text.split(" ")))


def sheet_tables(sheet: Sheet, width: int) -> Iterator[Table]:
    """A sheet as a table of so many columns of text: figures flush right and whole, words flush left.

    Where not even its longest words fit side by side, the sheet is parted, its first column before each part.
    """
    needs = [_Need.of(column, [row[i] for row in _rows(sheet)]) for i, column in enumerate(sheet.columns)]
    parts, room = _parts(needs, width), width
    while len(parts) > 1 and len(even := _parts(needs, room - 1)) == len(parts):  # as even as they can be
        parts, room = even, room - 1
    for number, part in enumerate(parts):
        yield _table(sheet, part, _widths([needs[i] for i in part], width), "" if number else sheet.title)


def _parts(needs: Sequence[_Need], width: int) -> list[list[int]]:
    """Columns that fit side by side, by number: the first, and as many of the others."""
    parts = [[0]]
    for i in range(1, len(needs)):
        if len(parts[-1]) > 1 and _wide(needs[j].least for j in (*parts[-1], i)) > width:
            parts.append([0])
        parts[-1].append(i)
    return parts


def _rows(sheet: Sheet) -> list[tuple[str, ...]]:
    return [*sheet.rows, *([sheet.totals] if sheet.totals else [])]


GAP, EDGE = 3, 1  # of the table: between two columns with what is around one, and once more


def _wide(widths: Iterable[int]) -> int:
    return sum(width + GAP for width in widths) + EDGE


def _widths(needs: Sequence[_Need], width: int) -> list[int]:
    """Widths of the columns of one table: those that can give most give first."""
    widths = [need.whole for need in needs]
    while _wide(widths) > width:
        spare, at = max((wide - need.least, i) for i, (wide, need) in enumerate(zip(widths, needs, strict=True)))
        if spare <= 0:
            break
        widths[at] -= 1
    return widths


def _table(sheet: Sheet, part: Sequence[int], widths: Sequence[int], title: str) -> Table:
    """The columns of a part, as wide as that."""
    table = Table(title=title, title_justify="left", box=box.SIMPLE_HEAD, show_footer=sheet.totals is not None)
    for i, width in zip(part, widths, strict=True):
        column = sheet.columns[i]
        table.add_column(
            Text(column.head),
            justify="right" if column.figure else "left",
            footer=Text(sheet.totals[i]) if sheet.totals else "",
            overflow="fold",
            width=width,
        )
    for row in sheet.rows:
        table.add_row(*(Text(row[i]) for i in part))
    return table


MOST_LINES = 24
LABEL_WIDE = 15


def print_summary(estimate: Estimate, out: Path | None = None, tables: Collection[str] = ()) -> None:
    """The first screen on standard output, and below it the tables of these names."""
    console, words = open_console(), words_for(estimate.job)
    for line in screen_lines(estimate, words, min(console.width, WIDTH)):
        console.print(line, soft_wrap=True)
    for name in tables:
        for make in TABLES[name]:
            sheet = make(estimate, words)
            if sheet.rows:
                _print_sheet(console, sheet)
    if out is not None:
        aside = Console(stderr=True, highlight=False, soft_wrap=True)
        aside.print(Text(words("screen-pack", folder=str(out))))


def screen_lines(estimate: Estimate, words: Words, width: int = WIDTH) -> list[Text]:
    """The first screen: at most MOST_LINES lines on a console of WIDTH columns. Warnings get the lines left over."""
    *subjects, warnings = topics(estimate, words)
    room = max(20, width - LABEL_WIDE)
    title = Text(headline(estimate, words), style="bold")
    notes = (words("screen-tables", tables=",".join(TABLES)), words("deferral-short"))
    close = Topic(words("screen-more-tables"), notes)
    if width < WIDTH:  # what is too long for a narrow terminal goes on below, and nothing is cut
        return [title, *(line for topic in (*subjects, warnings, close) for line in _labeled(topic, room, words, 99))]
    last = _labeled(close, room, words)
    title.truncate(width, overflow="ellipsis")
    body: list[Text] = []
    for most in (2, 1):  # lines an entry
        body = [line for topic in subjects for line in _labeled(topic, room, words, most)]
        if len(body) + len(last) + 2 <= MOST_LINES:
            break
    left = MOST_LINES - 1 - len(body) - len(last)
    return [title, *body, *_fitting(warnings, left, room, words), *last]


def _fitting(topic: Topic, most: int, room: int, words: Words) -> list[Text]:
    """As many entries of a topic as fit in so many lines."""
    for count in range(len(topic.entries), 0, -1):
        shortened = Topic(topic.label, topic.entries[:count], len(topic.entries) - count)
        for lines_each in (2, 1) if count == 1 else (2,):
            lines = _labeled(shortened, room, words, lines_each)
            if len(lines) <= most:
                return lines
    return []


def _labeled(topic: Topic, room: int, words: Words, most: int = 2) -> list[Text]:
    """The lines of a topic, `most` an entry: its label before the first, "+n more" behind the last."""
    texts = [line for entry in topic.entries for line in wrapped(entry, room, most)]
    if topic.more:
        more = words("screen-more", count=topic.more)
        if most > 2 and len(texts[-1]) + len(more) + 2 > room:
            texts.append(more)
        else:
            texts[-1] = f"{cut(texts[-1], room - len(more) - 2)}  {more}"
    return [Text.assemble((f"{'' if i else topic.label:<{LABEL_WIDE}}", "bold"), text) for i, text in enumerate(texts)]


def wrapped(text: str, room: int, most: int = 2) -> list[str]:
    """A text in `most` lines, those after the first set in; what does not fit is in the tables.

    >>> wrapped("Bending not checked for this shape.", 20)
    ['Bending not checked', '   for this shape.']
    """
    lines = textwrap.wrap(text, room, subsequent_indent="   ") or [""]
    if len(lines) <= most:
        return lines
    rest = " ".join(line.strip() for line in lines[most - 1 :])
    return [*lines[: most - 1], cut("   " + rest if most > 1 else rest, room)]


def cut(text: str, room: int) -> str:
    """The text, or as many of its first words as fit, with an ellipsis.

    >>> cut("Boathouse cafe", 10), cut("Boathouse cafe", 12), cut("Boathouse", 6)
    ('Boathouse…', 'Boathouse…', 'Boath…')
    """
    if len(text) <= room:
        return text
    begin = text[:room]
    return (begin.rpartition(" ")[0].rstrip() or begin[:-1]) + "…"
