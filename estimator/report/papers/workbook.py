"""estimate.xlsx: the estimate as tables to play with; sums, prices and totals are live formulas.

Quantities are in the job's units, unrounded, shown to what a shop can measure. A cell that was worked out beforehand
holds its number; one that follows from others on the sheets holds the formula, price breaks and all, so that a changed
hour, count or rate runs through to the total. Text never becomes a formula, whatever it begins with.
"""

from collections.abc import Mapping, Sequence
from decimal import Decimal
from math import ceil

from openpyxl import Workbook
from openpyxl.styles import Font
from openpyxl.utils import get_column_letter, quote_sheetname
from openpyxl.worksheet.worksheet import Worksheet

from estimator.estimate import Estimate
from estimator.job import Pack
from estimator.money import cents
from estimator.packaging.materials import MaterialOrder
from estimator.packaging.order import ROUND_UP_TOLERANCE
from estimator.packaging.price import Line as PackLine
from estimator.packaging.price import line_of
from estimator.pricing.quote import Cost, Line, lines_of, tax_text
from estimator.report.papers.data_files import (
    SHOP_UNITS,
    Cell,
    ShopUnit,
    as_day,
    fill_sheet,
    put,
    trimmed,
    workbook_bytes,
)
from estimator.report.papers.order import in_measure, is_liquid
from estimator.report.screen import calendar_sheet
from estimator.words import Words, words_for
from geometry.frozen import frozen

MONEY, COUNT, TEXT, HOURS = "#,##0.00", "0", "@", "0.00"
UNIT_PRICE = "#,##0.0000"
FIRST = 2  # row of the first line of a table: its head stands above


def estimate_xlsx(estimate: Estimate) -> bytes:
    """The workbook; the same bytes for the same estimate."""
    book, words = Workbook(), words_for(estimate.job)
    sheets = {name: _add(book, words(f"workbook-{name}")) for name in SHEETS}
    book.remove(book.active)
    context = _Context(estimate, words, SHOP_UNITS[estimate.job.units], sheets)
    _pieces(context)
    _weights(context)
    _mixes(context)
    _batches(context)
    packages = _packages(context)
    cells = {
        "materials": _materials(context, packages),
        "consumables": _consumables(context),
        "labour": _labor(context),
    }
    _price(context, cells)
    _calendar(context)
    _cautions(context)
    return workbook_bytes(book, f"{words('workbook-estimate')} · {estimate.job.name}", estimate.job.date)


SHEETS = (
    *("price", "pieces", "weights", "mixes", "batches", "materials", "packages", "consumables", "labor", "calendar"),
    "cautions",
)


@frozen
class _Context:
    """What every sheet is written from."""

    estimate: Estimate
    words: Words
    units: Mapping[str, ShopUnit]
    sheets: Mapping[str, Worksheet]

    def heads(self, *ids: str, **units: str) -> list[str]:
        """Heads by id, each with the unit that `units` gives it; amounts with the currency."""
        return [self.words(f"sheet-{id}", unit=units.get(id.replace("-", "_"), self.words.currency)) for id in ids]

    def cell(self, name: str, place: str) -> str:
        """A cell of a sheet, as a formula of another one names it."""
        return f"{quote_sheetname(self.sheets[name].title)}!{place}"


def _add(book: Workbook, title: str) -> Worksheet:
    return book.create_sheet(title)


def formula(sheet: Worksheet, row: int, column: int, text: str, form: str, *, strong: bool = False) -> None:
    """A formula of our own: never made from a job's text."""
    cell = sheet.cell(row, column)
    cell.value = text
    cell.number_format = form
    if strong:
        cell.font = Font(bold=True)


def _sum_below(context: _Context, name: str, rows: int, columns: dict[int, str]) -> int:
    """A row of sums under a table; returns it."""
    sheet, at = context.sheets[name], FIRST + rows
    put(sheet, at, 1, context.words("sheet-total"), strong=True)
    for column, form in columns.items():
        letter = get_column_letter(column)
        formula(sheet, at, column, f"=SUM({letter}{FIRST}:{letter}{max(at - 1, FIRST)})", form, strong=True)
    sheet.print_area = f"A1:{get_column_letter(sheet.max_column)}{at}"
    return at


def _pieces(context: _Context) -> None:
    sheet, words = context.sheets["pieces"], context.words
    length, mass, volume, area = (context.units[key] for key in ("length", "mass", "volume", "area"))
    ids = (
        *("mark", "description", "quantity", "length", "width", "height", "concrete-each", "concrete-all", "area-each"),
        *("installed-each", "installed-all", "max-lift", "max-flip", "crew", "price-all", "price-each"),
    )
    by_unit = {length.unit: ids[3:6], volume.unit: ids[6:8], area.unit: ids[8:9], mass.unit: ids[9:13]}
    units = {id.replace("-", "_"): unit for unit, named in by_unit.items() for id in named}
    rows: list[list[Cell]] = []
    for piece in context.estimate.pieces:
        cast, weight = piece.taken.piece, piece.weight
        rows.append(
            [
                cast.mark,
                cast.description or words("quote-use", use=cast.use),
                cast.quantity,
                *(size_m * length.per_si for size_m in piece.taken.solid.size_m),
                piece.taken.volume_m3 * volume.per_si,
                None,
                piece.taken.plan.gross_m2 * area.per_si,
                weight.installed_kg * mass.per_si,
                None,
                weight.lift_kg * mass.per_si,
                weight.turn_kg * mass.per_si,
                piece.handling.carry.persons or words("sheet-by-machine"),
                float(piece.price),
                None,
            ]
        )
    forms = [TEXT, TEXT, COUNT, *[length.form] * 3, *[volume.form] * 2, area.form, *[mass.form] * 4, COUNT]
    forms += [MONEY, MONEY]
    fill_sheet(sheet, context.heads(*ids, **units), rows, forms)
    for row in range(FIRST, FIRST + len(rows)):
        formula(sheet, row, 8, f"=C{row}*G{row}", volume.form)
        formula(sheet, row, 11, f"=C{row}*J{row}", mass.form)
        formula(sheet, row, 16, f"=O{row}/C{row}", MONEY)
    _sum_below(context, "pieces", len(rows), {3: COUNT, 8: volume.form, 11: mass.form, 15: MONEY})


def _weights(context: _Context) -> None:
    mass = context.units["mass"]
    rows: list[list[Cell]] = [
        [
            piece.taken.piece.mark,
            context.words("sheet-stage-name", stage=stage),
            band.low_kg * mass.per_si,
            band.nominal_kg * mass.per_si,
            band.high_kg * mass.per_si,
        ]
        for piece in context.estimate.pieces
        for stage, band in piece.weight.by_stage.items()
    ]
    units = dict.fromkeys(("low", "expected", "high"), mass.unit)
    fill_sheet(
        context.sheets["weights"],
        context.heads("mark", "stage", *units, **units),
        rows,
        [TEXT, TEXT, *[mass.form] * 3],
    )


def _mixes(context: _Context) -> None:
    sheet, words, estimate = context.sheets["mixes"], context.words, context.estimate
    mass, volume, density = (context.units[key] for key in ("mass", "volume", "density"))
    heads = context.heads(
        *("mix", "material", "recipe", "to-batch", "needed"),
        recipe=f"{mass.unit}/{volume.unit}",
        to_batch=volume.unit,
        needed=mass.unit,
    )
    rows: list[list[Cell]] = []
    per_volume = mass.per_si / volume.per_si
    for name, mix in estimate.mixes.items():
        batched = estimate.batching.batch_m3.get(name, 0.0) * volume.per_si
        rows += [
            [words.name(estimate.job.mixes[name]), _named(material, context), kg_m3 * per_volume, batched, None]
            for material, kg_m3 in mix.recipe_kg_m3.items()
        ]
    fill_sheet(sheet, heads, rows, [TEXT, TEXT, "0.0000", volume.form, mass.form])
    for row in range(FIRST, FIRST + len(rows)):
        formula(sheet, row, 5, f"=C{row}*D{row}", mass.form)
    at = _sum_below(context, "mixes", len(rows), {5: mass.form}) + 2
    for name, mix in estimate.mixes.items():
        put(sheet, at, 1, words("sheet-density", mix=words.name(estimate.job.mixes[name]), unit=density.unit))
        put(sheet, at, 3, mix.fresh_density_kg_m3 * density.per_si, form=density.form)
        put(sheet, at, 4, mix.installed_density_kg_m3 * density.per_si, form=density.form)
        at += 1
    sheet.print_area = f"A1:E{at - 1}"


def _named(material: str, context: _Context) -> str:
    return context.words.name(context.estimate.job.materials[material])


def _batches(context: _Context) -> None:
    sheet, words, estimate = context.sheets["batches"], context.words, context.estimate
    mass, volume = context.units["mass"], context.units["volume"]
    heads = [*context.heads("pour", "mix", "batches"), *context.heads("each", each=volume.unit)]
    heads += [*context.heads("each", each=mass.unit), *context.heads("all", all=volume.unit)]
    heads += [*context.heads("all", all=mass.unit), *context.heads("fills")]
    rows: list[list[Cell]] = [
        [
            batch.pour,
            words.name(estimate.job.mixes[batch.mix]),
            batch.count,
            batch.volume_m3 * volume.per_si,
            batch.mass_kg * mass.per_si,
            None,
            None,
            ", ".join(batch.marks),
        ]
        for batch in estimate.batching.batches
    ]
    fill_sheet(sheet, heads, rows, [TEXT, TEXT, COUNT, volume.form, mass.form, volume.form, mass.form, TEXT])
    for row in range(FIRST, FIRST + len(rows)):
        formula(sheet, row, 6, f"=C{row}*D{row}", volume.form)
        formula(sheet, row, 7, f"=C{row}*E{row}", mass.form)
    _sum_below(context, "batches", len(rows), {3: COUNT, 6: volume.form, 7: mass.form})


def _packages(context: _Context) -> tuple[str, str]:
    """A line for each pack of the mixes' materials; returns the ranges of materials and of amounts."""
    sheet, mass = context.sheets["packages"], context.units["mass"]
    heads = context.heads(
        *("material", "package", "supplier", "batches", "each", "all", "unit-price", "amount"),
        each=mass.unit,
        all=mass.unit,
    )
    heads[3] = context.words("sheet-quantity")
    rows: list[list[Cell]] = []
    lines: list[PackLine] = []
    for order in context.estimate.materials.lines:
        for line in () if order.from_tap else order.lines:
            lines.append(line)
            holds_kg = line.pack.mass_kg
            weight = None if holds_kg is None else holds_kg * mass.per_si
            unit, price = _priced(line.unit_price), _priced(line.price)
            name = _named(order.material, context)
            rows.append([name, line.pack.name, line.pack.supplier, line.count, weight, None, unit, price])
    fill_sheet(sheet, heads, rows, [TEXT, TEXT, TEXT, COUNT, mass.form, mass.form, UNIT_PRICE, MONEY])
    for row, line in enumerate(lines, start=FIRST):
        formula(sheet, row, 6, f"=D{row}*E{row}", mass.form)
        live = price_formula(line, f"D{row}")
        if live is not None:
            formula(sheet, row, 8, f"=ROUND({live},2)", MONEY)
            formula(sheet, row, 7, f"=IF(D{row}=0,0,H{row}/D{row})", UNIT_PRICE)
    at = _sum_below(context, "packages", len(rows), {4: COUNT, 6: mass.form, 8: MONEY})
    last = max(at - 1, FIRST)
    return context.cell("packages", f"A{FIRST}:A{last}"), context.cell("packages", f"H{FIRST}:H{last}")


def price_formula(line: PackLine, count: str) -> str | None:
    """Price of so many packs, with its breaks and its price by the pallet, as a formula of the cell that counts them.

    None for a pack without a price.
    """
    pack = line.pack
    if pack.unit_price is None:
        return None
    on_pallets = ""
    if line.full_pallets and pack.per_pallet and pack.pallet_price is not None:
        on_pallets = f"{pack.pallet_price!r}*INT({count}/{pack.per_pallet})+"
        count = f"({count}-{pack.per_pallet}*INT({count}/{pack.per_pallet}))"
    if pack.breaks_rule == "incremental":
        steps = zip([pack.unit_price, *(step.unit_price for step in pack.breaks)], pack.breaks, strict=False)
        less = [f"+({step.unit_price!r}-{before!r})*MAX(0,{count}-{step.from_count - 1})" for before, step in steps]
        return f"{on_pallets}{pack.unit_price!r}*{count}{''.join(less)}"
    unit = f"{pack.unit_price!r}"
    for step in pack.breaks:
        unit = f"IF({count}>={step.from_count},{step.unit_price!r},{unit})"
    return f"{on_pallets}{count}*{unit}"


def _materials(context: _Context, packages: tuple[str, str]) -> str:
    """Returns the cell of the whole cost."""
    sheet, estimate, mass = context.sheets["materials"], context.estimate, context.units["mass"]
    ids = ("material", "needed", "in-stock", "bought", "left-over", "list-price", "packages-alone", "charged")
    units = {id.replace("-", "_"): mass.unit for id in ids[1:6]}
    rows: list[list[Cell]] = [
        [
            _named(line.material, context),
            line.required_kg * mass.per_si,
            line.on_hand_kg * mass.per_si,
            line.bought_kg * mass.per_si,
            None,
            _priced(None if line.charge is None else line.charge.unit_price, mass.per_si),
            _priced(None if line.charge is None else line.charge.alone),
            _priced(line.cost),
        ]
        for line in estimate.materials.lines
    ]
    fill_sheet(sheet, context.heads(*ids, **units), rows, [TEXT, *[mass.form] * 4, UNIT_PRICE, *[MONEY] * 2])
    for row, line in enumerate(estimate.materials.lines, start=FIRST):
        formula(sheet, row, 5, f"=MAX(0,C{row}+D{row}-B{row})", mass.form)
        if line.cost is None or line.charge is None:
            continue
        alone = _alone_formula(line, estimate.job.materials[line.material].packs, f"B{row}", mass.per_si)
        if alone is not None:
            formula(sheet, row, 7, alone, MONEY)
        if estimate.job.price.charge == "packs" and not line.from_tap:
            # not SUMIF, which takes a name such as ">5" or "bead*" for a rule
            formula(sheet, row, 8, f"=SUMPRODUCT(--({packages[0]}=A{row}),{packages[1]})", MONEY)
        elif line.charge.alone is not None:
            whole = f"=G{row}" if line.charge.by_packs else f"=MIN(ROUND(B{row}*F{row},2),G{row})"
            formula(sheet, row, 8, whole, MONEY)
    return context.cell("materials", f"H{_sum_below(context, 'materials', len(rows), {8: MONEY})}")


def _alone_formula(order: MaterialOrder, packs: Sequence[Pack], needed: str, per_si: float) -> str | None:
    """Price of the packages that cover the need alone, of a material sold in one package, as a formula of the need.

    None where another count than the fewest is cheaper, or packages compete: that takes the program, not a formula.
    """
    alone = order.charge.alone if order.charge is not None else None
    holds_kg = packs[0].mass_kg if len(packs) == 1 else None
    if alone is None or not holds_kg or order.required_kg <= 0.0:
        return None
    pack, size = packs[0], holds_kg * per_si
    count = max(pack.minimum, ceil(order.required_kg / holds_kg - ROUND_UP_TOLERANCE))
    full = count // pack.per_pallet if pack.per_pallet and pack.pallet_price is not None else 0
    line = line_of(pack, holds_kg, count - full * (pack.per_pallet or 0), full)
    live = price_formula(line, f"MAX({pack.minimum},ROUNDUP({needed}/{trimmed(size)}-{ROUND_UP_TOLERANCE:.9f},0))")
    if live is None or line.price is None or cents(line.price) != alone:
        return None
    return f"=ROUND({live},2)"


NO_PRICE = "—"


def _priced(amount: Decimal | float | None, per: float = 1.0) -> Cell:
    return NO_PRICE if amount is None else float(amount) / per


def _consumables(context: _Context) -> str:
    """Returns the cell of the whole cost."""
    sheet, words, estimate = context.sheets["consumables"], context.words, context.estimate
    rows: list[list[Cell]] = []
    for used in estimate.supply.consumables:
        order, liquid = used.order, is_liquid(used.material, estimate)
        needed, on_hand, left = (
            in_measure(amount, order.measure, words, liquid=liquid)
            for amount in (order.required, order.on_hand, order.left_over)
        )
        bought = ", ".join(f"{line.count} × {line.pack.name}" for line in order.lines)
        name = _named(used.material, context)
        rows.append([name, needed, on_hand if order.on_hand else "", bought, left, _priced(order.cost)])
    heads = context.heads("material", "amount-needed", "amount-in-stock", "package", "amount-left", "charged")
    fill_sheet(sheet, heads, rows, [TEXT] * 5 + [MONEY])
    return context.cell("consumables", f"F{_sum_below(context, 'consumables', len(rows), {6: MONEY})}")


def _labor(context: _Context) -> str:
    """Returns the cell of the whole cost."""
    sheet = context.sheets["labor"]
    rows: list[list[Cell]] = [
        [context.words.text(line.label), line.persons, float(line.hours), float(line.rate), None]
        for line in context.estimate.pricing.labour.lines
    ]
    fill_sheet(
        sheet, context.heads("activity", "people", "hours", "rate", "cost"), rows, [TEXT, COUNT, HOURS, MONEY, MONEY]
    )
    for row in range(FIRST, FIRST + len(rows)):
        formula(sheet, row, 5, f"=ROUND(C{row}*D{row},2)", MONEY)
    return context.cell("labor", f"E{_sum_below(context, 'labor', len(rows), {3: HOURS, 5: MONEY})}")


class _Column:
    """The lines of the price, one below the other: text in column A, amount in B, rate in C."""

    def __init__(self, sheet: Worksheet, row: int, words: Words) -> None:
        self.sheet, self.row, self.words = sheet, row, words
        self.at: dict[str, int] = {}

    def add(
        self, key: str, text: str, live: str, rate: float | None = None, *, form: str = "", strong: bool = False
    ) -> None:
        """A line whose amount is a formula; `{row}` in it is its own row. A rate without a form is a share."""
        put(self.sheet, self.row, 1, text, strong=strong)
        if rate is not None:
            put(self.sheet, self.row, 3, rate, form=form or _share_form(rate, self.words))
        formula(self.sheet, self.row, 2, live.format(row=self.row), MONEY, strong=strong)
        self.at[key] = self.row
        self.row += 1


def _share_form(share: float, words: Words) -> str:
    """Number format of a share, with the percent sign as the language sets it.

    >>> _share_form(0.06, Words("imperial", "USD")), _share_form(0.0825, Words("metric", "EUR", "en-GB"))
    ('0%', '0.0##\xa0%')
    """
    percent = words.share(0.01).removeprefix("1")
    return f"{'0' if round(100.0 * share, 6).is_integer() else '0.0##'}{percent}"


def _price(context: _Context, cells: Mapping[str, str]) -> None:
    """From direct cost to the total."""
    sheet, words, estimate = context.sheets["price"], context.words, context.estimate
    put(sheet, 1, 1, estimate.job.name, strong=True)
    put(sheet, 2, 1, words("sheet-live", currency=words.currency))
    heads = context.heads(*("line", "amount", "rate", *(("base", "share-of") if estimate.job.price.tax_rates else ())))
    for number, head in enumerate(heads, start=1):
        put(sheet, HEAD_ROW, number, head, strong=True)
    terms, cost = estimate.job.price, estimate.cost
    first = HEAD_ROW + 1
    column = _Column(sheet, _direct(context, cells, first), words)
    column.add("direct", words("sheet-direct-cost"), f"=SUM(B{first}:B{column.row - 1})", strong=True)
    at = column.at
    column.add("overhead", words("sheet-overhead"), f"=ROUND(B{at['direct']}*C{{row}},2)", terms.overhead)
    both = f"B{at['direct']}+B{at['overhead']}"
    if terms.markup is not None:
        column.add("margin", words("sheet-markup"), f"=ROUND(({both})*C{{row}},2)", terms.markup)
    else:
        column.add("margin", words("sheet-margin"), f"=ROUND(({both})/(1-C{{row}}),2)-({both})", terms.margin or 0.0)
    column.add("options", words("price-line-options"), f"={float(cost.options)!r}")
    calculated = f"SUM(B{at['direct']}:B{at['options']})"
    live = f"=MAX(0,ROUND(C{{row}},2)-{calculated})"
    column.add("minimum", words("price-line-minimum"), live, terms.minimum, form=MONEY)
    lifted = f"SUM(B{at['direct']}:B{at['minimum']})"
    if terms.round_to > 0.01:
        rule = "CEILING" if terms.rounding == "up" else "MROUND"
        live = f"=ROUND({rule}({lifted},C{{row}}),2)-{lifted}"
        column.add("rounding", words("price-line-rounding"), live, terms.round_to, form=MONEY)
    if cost.adjustment != cost.held:
        column.add("adjustment", words("price-line-adjustment"), f"={float(cost.adjustment - cost.held)!r}")
    if terms.agreed is not None:
        live = f"={terms.agreed.price!r}-SUM(B{at['direct']}:B{column.row - 1})"
        column.add("held", words("price-line-held"), live)
    column.add("price", words("sheet-price-before-tax"), f"=SUM(B{at['direct']}:B{column.row - 1})", strong=True)
    _taxes(column, cost, words)
    column.add("total", words("sheet-grand-total"), f"=SUM(B{at['price']}:B{column.row - 1})", strong=True)
    _foot(context, column.row + 1)


HEAD_ROW = 4


def _taxes(column: _Column, cost: Cost, words: Words) -> None:
    """A line for each kind that is taxed apart: in column D its share of the price by direct cost, in B the tax."""
    price, options = f"B{column.at['price']}", f"B{column.at['options']}"
    first = column.row
    rows = {line.kind: first + i for i, line in enumerate(cost.tax_lines)}
    for line in cost.tax_lines:
        if line.agreed is not None:
            column.add(f"tax {line.kind}", words.text(tax_text(line)), f"={float(line.agreed)!r}")
            continue
        column.add(f"tax {line.kind}", words.text(tax_text(line)), "=ROUND(D{row}*C{row},2)", line.share)
        row = rows[line.kind]
        others = [f"D{rows[other]}" for other in rows if other not in ("pieces", "options")]
        base = {
            "price": f"={price}",
            "options": f"={options}",
            "pieces": f"={price}-{options}-SUM({','.join(others or ['0'])})",
        }.get(line.kind, f"=ROUND(({price}-{options})*E{row}/B{column.at['direct']},2)")
        formula(column.sheet, row, 4, base, MONEY)
        if line.kind not in ("price", "options", "pieces"):
            put(column.sheet, row, 5, float(line.cost), form=MONEY)


def _direct(context: _Context, cells: Mapping[str, str], row: int) -> int:
    """The lines of direct cost, live where another sheet sums them up; returns the row below."""
    sheet, estimate = context.sheets["price"], context.estimate
    direct = [line for line in lines_of(estimate.cost, estimate.job.price) if line.kind in DIRECT]
    for number, line in enumerate(direct):
        put(sheet, row, 1, context.words.text(line.text))
        live = cells.get(line.kind) if number == _first_of(direct, line.kind) else None
        if live is not None:
            formula(sheet, row, 2, f"={live}", MONEY)
        else:
            put(sheet, row, 2, float(line.amount), form=MONEY)
        row += 1
    return row


def _foot(context: _Context, row: int) -> None:
    """What is said under the price, and how the sheet prints."""
    sheet, words = context.sheets["price"], context.words
    missing = [words("sheet-unpriced", item=_named(name, context)) for name in context.estimate.cost.unpriced]
    for text in (words("sheet-examples"), *missing):
        put(sheet, row, 1, text)
        row += 1
    for letter, width in (("A", 62), ("B", 16), ("C", 12), ("D", 16), ("E", 16)):
        sheet.column_dimensions[letter].width = width
    sheet.print_area = f"A1:E{row - 1}"
    sheet.freeze_panes = f"A{HEAD_ROW + 1}"
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, 0
    sheet.sheet_properties.pageSetUpPr.fitToPage = True


DIRECT = ("materials", "consumables", "labour", "allowances", "forms", "freight", "delivery", "gear")


def _first_of(lines: Sequence[Line], kind: str) -> int:
    return next(i for i, line in enumerate(lines) if line.kind == kind)


def _calendar(context: _Context) -> None:
    steps = calendar_sheet(context.estimate, context.words)
    heads = [column.head for column in steps.columns]
    rows = [[as_day(cell) for cell in row] for row in steps.rows]
    fill_sheet(context.sheets["calendar"], heads, rows, [TEXT] * len(steps.columns))


def _cautions(context: _Context) -> None:
    words, estimate = context.words, context.estimate
    rows: list[list[Cell]] = [
        [
            words(f"severity-{applied.caution.severity}"),
            words.text(applied.text),
            ", ".join(applied.pieces),
            applied.caution.source,
        ]
        for applied in estimate.cautions
    ]
    rows += [[words("sheet-warning"), words.text(warning.text), "", ""] for warning in estimate.warnings]
    heads = context.heads("kind", "text", "mark", "source")
    fill_sheet(context.sheets["cautions"], heads, rows, [TEXT] * 4)
