"""An estimate on the terminal: its tables, and how they are printed."""

from collections.abc import Iterable
from pathlib import Path

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from estimator.estimate import Estimate
from estimator.job import Mix
from estimator.mix.bands import Band
from estimator.notices import Notice
from estimator.packaging.materials import MaterialOrder
from estimator.pricing.labor import LaborLine
from estimator.pricing.quote import Cost, lines_of
from estimator.report.words import DEFERRAL, EXAMPLE_PRICES, STRENGTH_FLAGS
from estimator.units import format_pressure
from estimator.words import PLAIN, Words, words_for
from geometry.frozen import frozen


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


def piece_sheet(estimate: Estimate, words: Words) -> Sheet:
    """Size, weight and price by piece and by area."""
    rows = []
    for piece in estimate.pieces:
        taken, weight = piece.taken, piece.weight
        quantity = taken.piece.quantity
        rows.append(
            (
                taken.piece.mark,
                str(quantity),
                words.size(taken.solid.size_m),
                words.volume(taken.volume_m3),
                words.mass(weight.installed_kg),
                words.area(taken.plan.gross_m2).rpartition(" ")[0],
                words.areal_mass(piece.mass_per_area_kg_m2).rpartition(" ")[0],
                words.mass(weight.lift_kg, up=True),
                words.mass(weight.turn_kg, up=True),
                f"{words.crew(piece.handling.carry.persons)}{STRENGTH_FLAGS[piece.handling.strength]}",
                words.money(piece.price),
                words.per_area(piece.price_per_area),
            )
        )
    return Sheet(
        "Pieces",
        (
            Column("Mark", False),
            Column("Qty"),
            Column("Size", False),
            Column("Volume"),
            Column("In place"),
            Column(f"Plan, {words.area_unit}"),
            Column(words.areal_mass_unit),
            Column("To lift, high"),
            Column("To turn, high"),
            Column("Carried by", False),
            Column(f"Price, all ({words.currency})"),
            Column(f"per {words.area_unit}"),
        ),
        tuple(rows),
    )


def mix_sheet(estimate: Estimate, words: Words) -> Sheet:
    """What each mix weighs and how much of it is batched."""
    rows = tuple(
        (
            mix.name,
            words.volume(estimate.batching.batch_m3.get(mix.name, 0.0)),
            words.density(mix.fresh_density_kg_m3),
            _low_to_high(estimate.mix_facts[mix.name].bands.fresh_density_kg_m3, words),
            words.density(mix.installed_density_kg_m3),
            f"{mix.water_cementitious:.2f}",
            "—" if mix.water_cement is None else f"{mix.water_cement:.2f}",
            words.share(mix.air),
            "floats" if mix.floats else "sinks",
            _first_crack(estimate.job.mixes[mix.name], words),
        )
        for mix in estimate.mixes.values()
    )
    heads = ("Mix", "To batch", "Fresh", "low–high", "In place", "w/cm", "w/c", "Air", "In water", "First crack")
    words_in = ("Mix", "In water", "First crack")
    return Sheet("Mixes", tuple(Column(head, head not in words_in) for head in heads), rows)


def _low_to_high(band: Band, words: Words) -> str:
    """Both ends of a band of density, the unit once."""
    return f"{words.density(band.low).split()[0]}–{words.density(band.high)}"


def _first_crack(mix: Mix, words: Words) -> str:
    """The strength to count on, with its age; a strength that was not tested is no strength."""
    if mix.first_crack_strength_pa is None:
        return "untested"
    age = "" if mix.first_crack_age_d is None else f", {mix.first_crack_age_d:g} d"
    return f"{format_pressure(mix.first_crack_strength_pa, words.units)}{age}"


def material_sheet(estimate: Estimate, words: Words) -> Sheet:
    """What to order, in whole packs, with what is on the shelf taken off."""
    rows = []
    for line in estimate.materials.lines:
        bought = packs_text(line)
        if not bought:
            bought = "from the tap" if line.material == "water" else "none" if line.order else "by mass"
        rows.append(
            (
                line.material,
                words.mass(line.required_kg),
                words.mass(line.on_hand_kg) if line.on_hand_kg else "—",
                bought,
                words.mass(line.left_over_kg) if line.order is not None else "—",
                words.money(line.purchase_cost),
                words.money(line.stock_cost),
            )
        )
    heads = ("Material", "Needed", "On the shelf", "To buy", "Left over", "To pay", "From the shelf")
    return Sheet(
        "Material order", tuple(Column(head, head not in ("Material", "To buy")) for head in heads), tuple(rows)
    )


def packs_text(order: MaterialOrder) -> str:
    """The packs of a material that are bought: "3 × bag, 1 × sack"."""
    return ", ".join(f"{line.count} × {line.pack.name}" for line in order.lines)


def cost_sheet(estimate: Estimate, words: Words) -> Sheet:
    """From material to the price with tax."""
    cost = estimate.cost
    rows: list[tuple[str, str]] = []
    for line in lines_of(cost, estimate.job.price):
        if line.kind == "overhead":
            rows.append(("direct cost", words.money(cost.direct.total)))
        if line.kind == "tax":
            rows.append(("price before tax", words.money(cost.price)))
        rows.append((words.text(line.text), words.money(line.amount)))
    return Sheet(
        "Cost and price",
        (Column("", False), Column(words.currency)),
        tuple(rows),
        ("total", words.money(cost.total)),
    )


def labour_sheet(estimate: Estimate, words: Words) -> Sheet:
    """Hours by activity at their rate: hours times rate is the cost."""
    labour = estimate.pricing.labour
    rows = tuple(
        (
            line.activity,
            _of(line, words),
            words.time_each(line.time_s, line.unit),
            str(line.persons),
            f"{line.hours:.2f}",
            words.money(line.rate),
            words.money(line.cost),
        )
        for line in labour.lines
    )
    heads = ("Activity", "Of", "Each", "People", "Person-hours", "Rate", f"Cost ({words.currency})")
    return Sheet(
        "Labour",
        tuple(Column(head, head not in ("Activity", "Of")) for head in heads),
        rows,
        ("", "", "", "", f"{labour.hours:.2f}", "", words.money(labour.cost)),
    )


def _counted(words: Words, quantity: float, unit: str, basis: str) -> str:
    """How much of its basis an activity is measured by."""
    if unit == "m2":
        return f"{words.area(quantity)} of {basis}"
    if unit == "m":
        return f"{words.length(quantity)} of {basis}"
    many = {"batch": "batches", "person": "people"}.get(basis, f"{basis}s")
    return f"{quantity:g} {basis if quantity == 1 else many}"


def _of(line: LaborLine, words: Words) -> str:
    """What a line is counted by: its pieces and the people who handle each together, then its area."""
    counted = _counted(words, line.quantity, line.unit, line.basis)
    if line.pieces is None or line.persons == 1:
        return counted
    pieces = f"{line.pieces} {'piece' if line.pieces == 1 else 'pieces'}, {line.persons} people together"
    return f"{pieces}, {counted}" if line.unit else pieces


def quote_sheet(estimate: Estimate, words: Words) -> Sheet:
    """Options, alternatives and change orders: what each does to the price before tax."""
    price = estimate.cost.price
    rows = [
        (
            "option" + (", taken" if option.taken else ""),
            option.name,
            "in the price" if option.price is None else words.money(option.price),
        )
        for option in estimate.versions.options
    ]
    rows += [
        ("alternative", alternative.name, words.more(alternative.standing.price - price))
        for alternative in estimate.versions.alternatives
    ]
    rows += [
        (
            f"change order {change.number}" + ("" if change.signed else ", not signed"),
            change.reason,
            f"{words.more(change.price)}, {change.days:+d} days",
        )
        for change in estimate.versions.changes
    ]
    return Sheet(
        "Beside the price",
        (Column("", False), Column("", False), Column(words.currency)),
        tuple(rows),
    )


def payment_rows(cost: Cost, words: Words) -> tuple[tuple[str, ...], ...]:
    """A row a payment: its step, when it is due, its share of the total, its amount."""
    return tuple(
        (
            payment.step,
            payment.due if payment.received is None else "received",
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
            ("received", "", "", words.money(estimate.cost.received)),
            ("balance due", "", "", words.money(estimate.cost.balance_due)),
        )
    return Sheet(
        "Payment",
        (Column("Step", False), Column("Due", False), Column("Share"), Column(words.currency)),
        rows,
        ("total", "", "", words.money(estimate.cost.total)),
    )


def calendar_sheet(estimate: Estimate) -> Sheet:
    """The soonest days of the job."""
    calendar = estimate.calendar

    def day_text(day: int) -> str:
        return calendar.date_of(day) or f"day {day + 1}"

    rows = tuple(
        (
            step.name,
            step.pour or "",
            day_text(step.first_day),
            day_text(step.last_day),
            "" if step.until_day is None else day_text(step.until_day),
        )
        for step in calendar.steps
    )
    return Sheet(
        "Calendar",
        (Column("Step", False), Column("Pour", False), Column("From"), Column("To"), Column("At the latest")),
        rows,
    )


WIDTH = 118  # where standard output is no terminal: a sheet of paper on its side


def open_console() -> Console:
    """The console of standard output, of a fixed width where that is a file or a pipe."""
    console = Console(highlight=False)
    return console if console.is_terminal else Console(highlight=False, width=WIDTH)


def print_sheets(title: str, sheets: Iterable[Sheet], notes: Iterable[str] = ()) -> None:
    """A title, the sheets that hold anything, and notes below them, on standard output."""
    console = open_console()
    console.print(Text(title, style="bold"))
    for sheet in sheets:
        if sheet.rows:
            console.print(sheet_table(sheet))
    for note in notes:
        console.print(Text(note))


def print_warnings(warnings: Iterable[Notice | str], words: Words = PLAIN) -> None:
    """Warnings, on standard error."""
    aside = Console(stderr=True, highlight=False, soft_wrap=True)
    for warning in warnings:
        text = words.text(warning.text) if isinstance(warning, Notice) else warning
        aside.print(Text(words("warning", text=text)))


def sheet_table(sheet: Sheet) -> Table:
    """A sheet as a table: figures flush right, words flush left."""
    table = Table(title=sheet.title, title_justify="left", box=box.SIMPLE_HEAD, show_footer=sheet.totals is not None)
    for i, column in enumerate(sheet.columns):
        table.add_column(
            Text(column.head),
            justify="right" if column.figure else "left",
            footer=Text(sheet.totals[i]) if sheet.totals else "",
            overflow="fold",
            no_wrap=i == 0,
            # a figure in two lines reads as two; its head may wrap
            min_width=max((len(row[i]) for row in sheet.rows), default=None) if column.figure else None,
        )
    for row in sheet.rows:
        table.add_row(*(Text(cell) for cell in row))
    return table


def print_summary(estimate: Estimate, out: Path | None = None) -> None:
    """Prints the summary to standard output; warnings go to standard error."""
    show(estimate, open_console())
    print_warnings(estimate.warnings, words_for(estimate.job))
    if out is not None:
        Console(stderr=True, highlight=False, soft_wrap=True).print(Text(f"The whole pack is in {out}."))


def show(estimate: Estimate, console: Console) -> None:
    """The summary on a console, which may be one that records."""
    job = estimate.job
    words = words_for(job)
    count = sum(piece.taken.piece.quantity for piece in estimate.pieces)
    console.print(Text(f"{job.name} · {count} pieces", style="bold"))
    for sheet in (
        piece_sheet(estimate, words),
        mix_sheet(estimate, words),
        material_sheet(estimate, words),
        labour_sheet(estimate, words),
        cost_sheet(estimate, words),
        payment_sheet(estimate, words),
        quote_sheet(estimate, words),
        calendar_sheet(estimate),
    ):
        if sheet.rows:
            console.print(sheet_table(sheet))
    dangers = [caution for caution in estimate.cautions if caution.caution.severity == "danger"]
    for danger in dangers:
        console.print(Text.assemble((f"DANGER, {', '.join(danger.pieces)}: ", "bold"), danger.caution.text))
    others = [caution.caution.id for caution in estimate.cautions if caution not in dangers]
    console.print(Text(f"And {len(others)} more cautions, told in the papers: {', '.join(others)}."))
    console.print(Text(EXAMPLE_PRICES))
    console.print(Text(DEFERRAL))
