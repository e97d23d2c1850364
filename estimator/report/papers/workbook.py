"""estimate.xlsx: the estimate as tables to play with; sums, prices and totals are live formulas.

Quantities are in the job's units, unrounded, shown to what a shop can measure. A cell that was worked out beforehand
holds its number; one that follows from others on the sheets holds the formula, so that a changed hour, pack or rate
runs through to the total. Text never becomes a formula, whatever it begins with.
"""

from collections.abc import Sequence
from decimal import Decimal

from openpyxl import Workbook
from openpyxl.styles import Font
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from estimator.estimate import Estimate
from estimator.money import cents
from estimator.pricing.quote import Line, lines_of
from estimator.report.papers.data_files import Cell, fill_sheet, put, workbook_bytes
from estimator.report.screen import calendar_sheet
from estimator.report.words import DEFERRAL, EXAMPLE_PRICES
from estimator.units.table import FOOT, INCH, POUND, Units
from estimator.words import words_for
from geometry.frozen import frozen

MONEY, SHARE, COUNT, TEXT, HOURS = "#,##0.00", "0.0## %", "0", "@", "0.00"
UNIT_PRICE = "#,##0.0000"
FIRST = 2  # row of the first line of a table: its head stands above


@frozen
class Shown:
    """How much of a unit is in one SI unit, its name, and the number format of its figures."""

    per_si: float
    unit: str
    form: str


SHOWN: dict[Units, dict[str, Shown]] = {
    "imperial": {
        "length": Shown(1 / float(INCH), "in", "0.00"),
        "mass": Shown(1 / float(POUND), "lb", "0.0"),
        "volume": Shown(1 / float(FOOT**3), "ft³", "0.000"),
        "area": Shown(1 / float(FOOT**2), "ft²", "0.00"),
        "density": Shown(float(FOOT**3 / POUND), "lb/ft³", "0.0"),
    },
    "metric": {
        "length": Shown(1000.0, "mm", "0"),
        "mass": Shown(1.0, "kg", "0.00"),
        "volume": Shown(1000.0, "L", "0.00"),
        "area": Shown(1.0, "m²", "0.000"),
        "density": Shown(1.0, "kg/m³", "0"),
    },
}


def estimate_xlsx(estimate: Estimate) -> bytes:
    """The workbook; the same bytes for the same estimate."""
    book = Workbook()
    units = SHOWN[estimate.job.units]
    cost = book.active
    cost.title = "Price"
    pieces = _add(book, "Pieces")
    _pieces(pieces, estimate, units)
    _weights(_add(book, "Weights"), estimate, units)
    _mixes(_add(book, "Mixes"), estimate, units)
    _batches(_add(book, "Batches"), estimate, units)
    materials = _materials(_add(book, "Materials"), estimate, units)
    _packs(_add(book, "Packs"), estimate, units)
    labour = _labour(_add(book, "Labour"), estimate)
    _price(cost, estimate, {"materials": materials, "labour": labour})
    _calendar(_add(book, "Calendar"), estimate)
    _notes(_add(book, "Cautions"), estimate)
    return workbook_bytes(book, f"Estimate · {estimate.job.name}", estimate.job.date)


def _add(book: Workbook, title: str) -> Worksheet:
    return book.create_sheet(title)


def formula(sheet: Worksheet, row: int, column: int, text: str, form: str, *, strong: bool = False) -> None:
    """A formula of our own: never made from a job's text."""
    cell = sheet.cell(row, column)
    cell.value = text
    cell.number_format = form
    if strong:
        cell.font = Font(bold=True)


def _sum_below(sheet: Worksheet, rows: int, columns: dict[int, str], words: str = "total") -> int:
    """A row of sums under a table; returns it."""
    at = FIRST + rows
    put(sheet, at, 1, words, strong=True)
    for column, form in columns.items():
        letter = get_column_letter(column)
        formula(sheet, at, column, f"=SUM({letter}{FIRST}:{letter}{max(at - 1, FIRST)})", form, strong=True)
    sheet.print_area = f"A1:{get_column_letter(sheet.max_column)}{at}"
    return at


def _pieces(sheet: Worksheet, estimate: Estimate, units: dict[str, Shown]) -> None:
    length, mass, volume, area = (units[key] for key in ("length", "mass", "volume", "area"))
    heads = [
        "Mark", "Count", "Use", *(f"{name}, {length.unit}" for name in ("Length", "Width", "Height")),
        f"Concrete each, {volume.unit}", f"Concrete all, {volume.unit}", f"Plan each, {area.unit}",
        f"In place each, {mass.unit}", f"In place all, {mass.unit}", f"To lift, high, {mass.unit}",
        f"To turn, high, {mass.unit}", "Crew", "Price all", "Price each",
    ]  # fmt: skip
    rows: list[list[Cell]] = []
    for piece in estimate.pieces:
        cast, weight = piece.taken.piece, piece.weight
        rows.append(
            [
                cast.mark,
                cast.quantity,
                cast.use,
                *(size_m * length.per_si for size_m in piece.taken.solid.size_m),
                piece.taken.volume_m3 * volume.per_si,
                None,
                piece.taken.plan.gross_m2 * area.per_si,
                weight.installed_kg * mass.per_si,
                None,
                weight.lift_kg * mass.per_si,
                weight.turn_kg * mass.per_si,
                piece.handling.carry.persons or "machine",
                float(piece.price),
                None,
            ]
        )
    forms = [TEXT, COUNT, TEXT, *[length.form] * 3, *[volume.form] * 2, area.form, *[mass.form] * 4, COUNT]
    forms += [MONEY, MONEY]
    fill_sheet(sheet, heads, rows, forms)
    for row in range(FIRST, FIRST + len(rows)):
        formula(sheet, row, 8, f"=B{row}*G{row}", volume.form)
        formula(sheet, row, 11, f"=B{row}*J{row}", mass.form)
        formula(sheet, row, 16, f"=O{row}/B{row}", MONEY)
    _sum_below(sheet, len(rows), {2: COUNT, 8: volume.form, 11: mass.form, 15: MONEY})


def _weights(sheet: Worksheet, estimate: Estimate, units: dict[str, Shown]) -> None:
    mass = units["mass"]
    heads = ["Mark", "Stage", *(f"{name}, {mass.unit}" for name in ("At least", "Expected", "At most"))]
    rows: list[list[Cell]] = [
        [
            piece.taken.piece.mark,
            stage,
            band.low_kg * mass.per_si,
            band.nominal_kg * mass.per_si,
            band.high_kg * mass.per_si,
        ]
        for piece in estimate.pieces
        for stage, band in piece.weight.by_stage.items()
    ]
    fill_sheet(sheet, heads, rows, [TEXT, TEXT, *[mass.form] * 3])


def _mixes(sheet: Worksheet, estimate: Estimate, units: dict[str, Shown]) -> None:
    mass, volume, density = units["mass"], units["volume"], units["density"]
    heads = [
        "Mix", "Material", f"Of one {volume.unit}, {mass.unit}", f"To batch, {volume.unit}", f"Needed, {mass.unit}"
    ]  # fmt: skip
    rows: list[list[Cell]] = []
    per_volume = mass.per_si / volume.per_si
    for name, mix in estimate.mixes.items():
        batched = estimate.batching.batch_m3.get(name, 0.0) * volume.per_si
        rows += [[name, material, kg_m3 * per_volume, batched, None] for material, kg_m3 in mix.recipe_kg_m3.items()]
    fill_sheet(sheet, heads, rows, [TEXT, TEXT, "0.0000", volume.form, mass.form])
    for row in range(FIRST, FIRST + len(rows)):
        formula(sheet, row, 5, f"=C{row}*D{row}", mass.form)
    at = _sum_below(sheet, len(rows), {5: mass.form}) + 2
    for name, mix in estimate.mixes.items():
        label = f"{name}: fresh and in place, {density.unit}"
        put(sheet, at, 1, label)
        put(sheet, at, 3, mix.fresh_density_kg_m3 * density.per_si, form=density.form)
        put(sheet, at, 4, mix.installed_density_kg_m3 * density.per_si, form=density.form)
        at += 1
    sheet.print_area = f"A1:E{at - 1}"


def _batches(sheet: Worksheet, estimate: Estimate, units: dict[str, Shown]) -> None:
    mass, volume = units["mass"], units["volume"]
    heads = [
        "Pour", "Mix", "Batches", f"Each, {volume.unit}", f"Each, {mass.unit}", f"All, {volume.unit}",
        f"All, {mass.unit}", "Fills",
    ]  # fmt: skip
    rows: list[list[Cell]] = [
        [
            batch.pour,
            batch.mix,
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
    _sum_below(sheet, len(rows), {3: COUNT, 6: volume.form, 7: mass.form})


def _materials(sheet: Worksheet, estimate: Estimate, units: dict[str, Shown]) -> str:
    """Returns the cell of the whole cost."""
    mass = units["mass"]
    heads = [
        "Material", *(f"{name}, {mass.unit}" for name in ("Needed", "In stock", "Bought", "Left over")),
        f"List price per {mass.unit}", "Packs alone", "Charged",
    ]  # fmt: skip
    rows: list[list[Cell]] = [
        [
            line.material,
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
    fill_sheet(sheet, heads, rows, [TEXT, *[mass.form] * 4, UNIT_PRICE, *[MONEY] * 2])
    for row, line in enumerate(estimate.materials.lines, start=FIRST):
        formula(sheet, row, 5, f"=MAX(0,C{row}+D{row}-B{row})", mass.form)
        priced = line.cost is not None and line.charge is not None and line.charge.alone is not None
        if line.charge is not None and priced and estimate.job.price.charge == "used":
            whole = f"=G{row}" if line.charge.by_packs else f"=MIN(ROUND(B{row}*F{row},2),G{row})"
            formula(sheet, row, 8, whole, MONEY)
    at = _sum_below(sheet, len(rows), {8: MONEY})
    return f"Materials!H{at}"


def _priced(amount: Decimal | float | None, per: float = 1.0) -> Cell:
    return "no price" if amount is None else float(amount) / per


def _packs(sheet: Worksheet, estimate: Estimate, units: dict[str, Shown]) -> None:
    mass = units["mass"]
    heads = ["Material", "Pack", "Count", f"Each, {mass.unit}", f"All, {mass.unit}", "Unit price", "Price"]
    rows: list[list[Cell]] = []
    plain = []  # whether the line is count times price: a dearer first part of an incremental break is not
    for order in estimate.materials.lines:
        for line in order.lines:
            unit, price, holds_kg = line.unit_price, line.price, line.pack.mass_kg
            exact = None if unit is None else cents(Decimal(str(unit)) * line.count)
            plain.append(exact is not None and price is not None and exact == cents(price))
            weight = None if holds_kg is None else holds_kg * mass.per_si
            rows.append([order.material, line.pack.name, line.count, weight, None, unit, price])
    fill_sheet(sheet, heads, rows, [TEXT, TEXT, COUNT, mass.form, mass.form, MONEY, MONEY])
    for row, times in enumerate(plain, start=FIRST):
        formula(sheet, row, 5, f"=C{row}*D{row}", mass.form)
        if times:
            formula(sheet, row, 7, f"=ROUND(C{row}*F{row},2)", MONEY)
    _sum_below(sheet, len(rows), {3: COUNT, 5: mass.form, 7: MONEY})


def _labour(sheet: Worksheet, estimate: Estimate) -> str:
    """Returns the cell of the whole cost."""
    heads = ["Activity", "Of", "People", "Hours", "Rate", "Cost"]
    rows: list[list[Cell]] = [
        [line.activity, line.basis, line.persons, float(line.hours), float(line.rate), None]
        for line in estimate.pricing.labour.lines
    ]
    fill_sheet(sheet, heads, rows, [TEXT, TEXT, COUNT, HOURS, MONEY, MONEY])
    for row in range(FIRST, FIRST + len(rows)):
        formula(sheet, row, 6, f"=ROUND(D{row}*E{row},2)", MONEY)
    at = _sum_below(sheet, len(rows), {4: HOURS, 6: MONEY})
    return f"Labour!F{at}"


def _price(sheet: Worksheet, estimate: Estimate, cells: dict[str, str]) -> None:
    """From direct cost to the total: rates in column C, amounts in column B."""
    put(sheet, 1, 1, estimate.job.name, strong=True)
    put(sheet, 2, 1, f"Amounts in {estimate.job.currency}. Change an hour, a pack or a rate and the total follows.")
    heads = 4
    for column, head in enumerate(("Line", "Amount", "Rate"), start=1):
        put(sheet, heads, column, head, strong=True)
    terms = estimate.job.price
    first = heads + 1
    row = _direct(sheet, estimate, cells, first)
    last = row - 1
    at: dict[str, int] = {}

    def add(key: str, text: str, live: str | None, value: Cell = None, rate: float | None = None) -> None:
        nonlocal row
        strong = key in ("direct", "price", "total")
        put(sheet, row, 1, text, strong=strong)
        if rate is not None:
            put(sheet, row, 3, rate, form=SHARE)
        if live is None:
            put(sheet, row, 2, value, form=MONEY)
        else:
            formula(sheet, row, 2, live, MONEY, strong=strong)
        at[key] = row
        row += 1

    cost = estimate.cost
    add("direct", "direct cost", f"=SUM(B{first}:B{last})")
    add("overhead", "overhead, on direct cost", f"=ROUND(B{at['direct']}*C{row},2)", rate=terms.overhead)
    both = f"B{at['direct']}+B{at['overhead']}"
    if terms.markup is not None:
        add("margin", "markup, on cost", f"=ROUND(({both})*C{row},2)", rate=terms.markup)
    else:
        live = f"=ROUND(({both})/(1-C{row}),2)-({both})"
        add("margin", "margin, of the price", live, rate=terms.margin or 0.0)
    add("options", "options taken", None, float(cost.options))
    calculated = f"SUM(B{at['direct']}:B{at['options']})"
    add("minimum", "up to the minimum charge", f"=MAX(0,ROUND(C{row},2)-{calculated})")
    put(sheet, at["minimum"], 3, terms.minimum, form=MONEY)
    lifted = f"SUM(B{at['direct']}:B{at['minimum']})"
    if terms.round_to > 0.01:
        rule = "CEILING" if terms.rounding == "up" else "MROUND"
        add("rounding", "rounding", f"=ROUND({rule}({lifted},C{row}),2)-{lifted}")
        put(sheet, at["rounding"], 3, terms.round_to, form=MONEY)
    add("price", "price before tax", f"=SUM(B{at['direct']}:B{row - 1})")
    add("tax", "tax, of the price", f"=ROUND(B{at['price']}*C{row},2)", rate=terms.tax)
    add("total", "total", f"=B{at['price']}+B{at['tax']}")
    _foot(sheet, row + 1, cost.unpriced)


def _direct(sheet: Worksheet, estimate: Estimate, cells: dict[str, str], row: int) -> int:
    """The lines of direct cost, live where another sheet sums them up; returns the row below."""
    direct = [line for line in lines_of(estimate.cost, estimate.job.price) if line.kind in DIRECT]
    for number, line in enumerate(direct):
        put(sheet, row, 1, words_for(estimate.job).text(line.text))
        live = cells.get(line.kind) if number == _first_of(direct, line.kind) else None
        if live is not None:
            formula(sheet, row, 2, f"={live}", MONEY)
        else:
            put(sheet, row, 2, float(line.amount), form=MONEY)
        row += 1
    return row


def _foot(sheet: Worksheet, row: int, unpriced: Sequence[str]) -> None:
    """What is said under the price, and how the sheet prints."""
    for text in (EXAMPLE_PRICES, DEFERRAL, *(f"Not in the totals, no price: {name}" for name in unpriced)):
        put(sheet, row, 1, text)
        row += 1
    for letter, width in (("A", 62), ("B", 16), ("C", 12)):
        sheet.column_dimensions[letter].width = width
    sheet.print_area = f"A1:C{row - 1}"
    sheet.freeze_panes = "A5"
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, 0
    sheet.sheet_properties.pageSetUpPr.fitToPage = True


DIRECT = ("materials", "consumables", "labour", "allowances", "forms", "freight", "delivery", "gear")


def _first_of(lines: Sequence[Line], kind: str) -> int:
    return next(i for i, line in enumerate(lines) if line.kind == kind)


def _calendar(sheet: Worksheet, estimate: Estimate) -> None:
    steps = calendar_sheet(estimate, words_for(estimate.job))
    fill_sheet(sheet, [column.head for column in steps.columns], steps.rows, [TEXT] * len(steps.columns))


def _notes(sheet: Worksheet, estimate: Estimate) -> None:
    rows: list[list[Cell]] = [
        [
            caution.caution.severity,
            words_for(estimate.job).text(caution.text),
            ", ".join(caution.pieces),
            caution.caution.source,
        ]
        for caution in estimate.cautions
    ]
    rows += [["said", words_for(estimate.job).text(warning.text), "", ""] for warning in estimate.warnings]
    fill_sheet(sheet, ["Kind", "Text", "Pieces", "Source"], rows, [TEXT] * 4)
