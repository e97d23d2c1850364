"""Data files of the pack: pieces, materials, and what is left on the shelf."""

import csv
import json
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, datetime
from io import BytesIO, StringIO
from typing import Any
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

from openpyxl import Workbook
from openpyxl.styles import Alignment, Font
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet
from openpyxl.writer.excel import ExcelWriter

from estimator.estimate import Estimate
from estimator.packaging.materials import MaterialOrder
from estimator.units.table import FOOT, INCH, POUND, Units
from estimator.words import words_for
from geometry.frozen import frozen
from geometry.readers.delimited import harmless, starts_formula

Cell = str | float | int | date | None
NOT_IN_XML = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]|_(?=x[0-9A-Fa-f]{4}_)")
"""What a cell of a workbook holds as _xHHHH_, and an underscore that would begin such a sign."""
ISO_DAY = re.compile(r"\d{4}-\d{2}-\d{2}")
EARLIEST = (1980, 1, 1, 0, 0, 0)  # that a zip archive can tell
DIGITS = 10  # of a number in CSV: beyond any scale, and 2.4384 is not written 2.4383999999999997
CELL_DIGITS = 12  # of a number in a workbook, which is computed with
DAY = "yyyy-mm-dd"  # number format of a date
MOST_WIDTH = 48  # of a column, letters
MOST_LETTERS = 80  # of a file's name


@frozen
class ShopUnit:
    """Name of a shop unit, how many of it make one SI unit, and the number format of its figures."""

    per_si: float
    unit: str
    form: str


SHOP_UNITS: Mapping[Units, Mapping[str, ShopUnit]] = {
    "imperial": {
        "length": ShopUnit(1 / float(INCH), "in", "0.00"),
        "mass": ShopUnit(1 / float(POUND), "lb", "0.0"),
        "volume": ShopUnit(1 / float(FOOT**3), "ft³", "0.000"),
        "area": ShopUnit(1 / float(FOOT**2), "ft²", "0.00"),
        "density": ShopUnit(float(FOOT**3 / POUND), "lb/ft³", "0.0"),
    },
    "metric": {
        "length": ShopUnit(1000.0, "mm", "0"),
        "mass": ShopUnit(1.0, "kg", "0.00"),
        "volume": ShopUnit(1000.0, "L", "0.00"),
        "area": ShopUnit(1.0, "m²", "0.000"),
        "density": ShopUnit(1.0, "kg/m³", "0"),
    },
}


COLUMN_UNITS = {"_m3": "volume", "_m2": "area", "_kg": "mass", "_m": "length"}
"""Kind of quantity by the end of a column's name; the longer ends first."""


def beside_si(
    heads: Sequence[str], rows: Iterable[Sequence[Cell]], units: Units
) -> tuple[list[str], Iterator[list[Cell]]]:
    """A table whose columns in SI stand once more at its end, in the units of the job."""
    converted: list[tuple[int, float]] = []
    added = []
    for at, head in enumerate(heads):
        end = next((end for end in COLUMN_UNITS if head.endswith(end)), None)
        if end is not None:
            unit = SHOP_UNITS[units][COLUMN_UNITS[end]]
            name = unit.unit.replace("²", "2").replace("³", "3")
            if f"_{name}" != end:
                converted.append((at, unit.per_si))
                added.append(f"{head.removesuffix(end)}_{name}")

    def more(row: Sequence[Cell]) -> Iterator[Cell]:
        for at, per_si in converted:
            cell = row[at]
            yield cell * per_si if isinstance(cell, int | float) else None

    return [*heads, *added], ([*row, *more(row)] for row in rows)


def file_names(names: Sequence[str], folder: str, suffix: str) -> dict[str, str]:
    """A path in the pack for each name: dashes for what a file name may not hold, doubles counted.

    >>> file_names(["north yard", "North/yard"], "orders", "pdf")
    {'north yard': 'orders/north-yard.pdf', 'North/yard': 'orders/North-yard-2.pdf'}
    """
    paths: dict[str, str] = {}
    stems: set[str] = set()
    for name in names:
        kept = "".join(letter if letter.isalnum() or letter in "-_" else "-" for letter in name)[:MOST_LETTERS]
        stem, number = kept or folder, 1
        while stem.lower() in stems:
            number += 1
            stem = f"{kept or folder}-{number}"
        stems.add(stem.lower())
        paths[name] = f"{folder}/{stem}.{suffix}"
    return paths


def csv_bytes(heads: Sequence[str], rows: Iterable[Sequence[Cell]]) -> bytes:
    """A table as CSV in UTF-8, with the mark by which spreadsheets know it. Text cannot start a formula."""
    text = StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(heads)
    for row in rows:
        writer.writerow([_csv_cell(cell) for cell in row])
    return b"\xef\xbb\xbf" + text.getvalue().encode("utf-8")


def _csv_cell(cell: Cell) -> Cell:
    if isinstance(cell, float):
        return float(f"{cell:.{DIGITS}g}")
    return "" if cell is None else harmless(cell.replace("\0", " ")) if isinstance(cell, str) else cell


def trimmed(value: float) -> str:
    """A number for a cell or a formula, without the noise of its last bits.

    >>> trimmed(93.99999999999999), trimmed(0.1), trimmed(1234567.89)
    ('94', '0.1', '1234567.89')
    """
    return f"{value:.{CELL_DIGITS}g}"


def as_day(cell: Cell) -> Cell:
    """A date in place of its text, by which a workbook sorts and filters; any other cell unchanged.

    >>> as_day("2026-03-20"), as_day("day 3")
    (datetime.date(2026, 3, 20), 'day 3')
    """
    return date.fromisoformat(cell) if isinstance(cell, str) and ISO_DAY.fullmatch(cell) else cell


def put(sheet: Worksheet, row: int, column: int, value: Cell, *, strong: bool = False, form: str = "") -> None:
    """Writes one cell: text stays text whatever it begins with; a number takes the number format `form`."""
    cell = sheet.cell(row, column)
    if isinstance(value, str):
        cell.value = NOT_IN_XML.sub(lambda found: f"_x{ord(found[0]):04X}_", value)
        cell.data_type = "s"  # not "f": the library takes what begins with = for a formula
        cell.quotePrefix = starts_formula(value)
        cell.alignment = Alignment(vertical="top", wrap_text=True)
    elif value is not None:
        cell.value = float(trimmed(value)) if isinstance(value, float) else value
        cell.number_format = DAY if isinstance(value, date) else form or "General"
    if strong:
        cell.font = Font(bold=True)


def fill_sheet(
    sheet: Worksheet, heads: Sequence[str], rows: Sequence[Sequence[Cell]], forms: Sequence[str], first_row: int = 1
) -> None:
    """A table with a strong head that stays in view and is printed on each page."""
    for column, head in enumerate(heads, start=1):
        put(sheet, first_row, column, head, strong=True)
    for at, row in enumerate(rows, start=first_row + 1):
        for column, (value, form) in enumerate(zip(row, forms, strict=True), start=1):
            put(sheet, at, column, value, form=form)
    for column, head in enumerate(heads, start=1):
        longest = max([len(str(row[column - 1] or "")) for row in rows] + [len(head)])
        sheet.column_dimensions[get_column_letter(column)].width = min(longest, MOST_WIDTH) + 2
    sheet.freeze_panes = sheet.cell(first_row + 1, 1)
    sheet.print_title_rows = f"{first_row}:{first_row}"
    last = first_row + len(rows)
    sheet.print_area = f"A1:{get_column_letter(len(heads))}{last}"
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, 0
    sheet.sheet_properties.pageSetUpPr.fitToPage = True


class _Undated(ZipFile):
    """An archive whose entries ask no clock: one that is before 1980, or after 2107, would refuse them."""

    def writestr(self, name: str | ZipInfo, *content: Any) -> None:
        super().writestr(ZipInfo(name, EARLIEST) if isinstance(name, str) else name, *content)


def workbook_bytes(book: Workbook, title: str, date: str | None) -> bytes:
    """A workbook as XLSX, the same bytes for the same cells: every date in it is the job's."""
    day = datetime.fromisoformat(date) if date else datetime(*EARLIEST)
    book.properties.title = title
    book.properties.creator = "cast-estimator"
    book.properties.created = day
    book_bytes, fixed = BytesIO(), BytesIO()
    with _Undated(book_bytes, "w", strict_timestamps=False) as archive:
        ExcelWriter(book, archive).save()
    stamp = f"{day:%Y-%m-%dT%H:%M:%SZ}".encode()
    with ZipFile(book_bytes) as source, ZipFile(fixed, "w", ZIP_DEFLATED) as target:
        for name in sorted(source.namelist()):
            content = source.read(name)
            if name == "docProps/core.xml":
                content = re.sub(rb"(<dcterms:modified[^>]*>)[^<]*", rb"\g<1>" + stamp, content)
            info = ZipInfo(name, EARLIEST)
            info.compress_type = ZIP_DEFLATED
            target.writestr(info, content)
    return fixed.getvalue()


def pieces_csv(estimate: Estimate) -> bytes:
    """pieces.csv: a row a mark."""
    weights = ("fresh_kg", "installed_kg", "low_kg", "high_kg", "lift_kg", "turn_kg")
    heads = (
        *("mark", "quantity", "use", "length_m", "width_m", "height_m", "volume_m3", "plan_area_m2"),
        *(*weights, "crew", "price", "currency", "description"),
    )
    return csv_bytes(
        *beside_si(
            heads,
            (
                [
                    piece.taken.piece.mark,
                    piece.taken.piece.quantity,
                    piece.taken.piece.use,
                    *piece.taken.solid.size_m,
                    piece.taken.volume_m3,
                    piece.taken.plan.gross_m2,
                    *(getattr(piece.weight, key) for key in weights),
                    piece.handling.carry.persons,
                    float(piece.price),
                    estimate.job.currency,
                    piece.taken.piece.description,
                ]
                for piece in estimate.pieces
            ),
            estimate.job.units,
        )
    )


def materials_csv(estimate: Estimate) -> bytes:
    """materials.csv: a row a material of the recipes."""
    masses = ("required_kg", "on_hand_kg", "bought_kg", "left_over_kg")
    amounts = ("purchase_cost", "stock_cost", "cost")

    def amount(line: MaterialOrder, key: str) -> float | None:
        value = getattr(line, key)
        return None if value is None else float(value)

    words = words_for(estimate.job)
    return csv_bytes(
        *beside_si(
            ("material", *masses, *amounts, "packs", "currency", "title"),
            (
                [
                    line.material,
                    *(getattr(line, key) for key in masses),
                    *(amount(line, key) for key in amounts),
                    ", ".join(f"{bought.count} × {bought.pack.name}" for bought in line.lines),
                    estimate.job.currency,
                    words.name(estimate.job.materials[line.material]),
                ]
                for line in estimate.materials.lines
            ),
            estimate.job.units,
        )
    )


STOCK_KEYS = {"kg": "mass", "m2": "area", "m": "length", "m3": "volume"}
STOCK_UNITS: Mapping[Units, Mapping[str, tuple[str, float]]] = {
    "imperial": {
        "kg": ("lb", 1 / float(POUND)),
        "m2": ("ft^2", 1 / float(FOOT**2)),
        "m": ("ft", 1 / float(FOOT)),
        "m3": ("ft^3", 1 / float(FOOT**3)),
    },
    "metric": {"kg": ("kg", 1.0), "m2": ("m^2", 1.0), "m": ("m", 1.0), "m3": ("L", 1000.0)},
}
"""How a stock is written in the job file: by measure, the unit and how much of it is in one of SI."""
FIGURES = 9  # of a quantity: a milligram of a tonne


def shelf_toml(estimate: Estimate) -> bytes:
    """TOML of one [stock] section; a next job names it with `stock_file` and overrides what was used meanwhile."""
    lines = [
        *(f"# {line}" for line in words_for(estimate.job)("stock-file").splitlines()),
        f"# {json.dumps(estimate.job.name, ensure_ascii=False)}",
        "",
        "[stock]",
    ]
    supply = estimate.supply
    mixed = [(item.material, item.left_kg, "kg", item.keeps_until) for item in supply.shelf]
    used = [(item.material, item.left, item.measure, item.keeps_until) for item in supply.shelf_consumables]
    for material, left, unit, keeps_until in (*mixed, *used):
        kept = f', keeps_until = "{keeps_until.isoformat()}"' if keeps_until else ""
        lot = estimate.job.lots.get(material)
        of_lot = f", lot = {json.dumps(lot, ensure_ascii=False)}" if lot else ""
        amount = _amount(left, unit, estimate.job.units)
        if amount is not None:
            lines.append(f"{json.dumps(material)} = {{ {amount}{of_lot}{kept} }}")
    return ("\n".join(lines) + "\n").encode()


def _amount(left: float, measure: str, units: Units) -> str | None:
    """The amount as the job file writes it; None where nothing whole is left."""
    if measure == "piece":
        return f"pieces = {int(left + 1e-9)}" if left >= 1.0 else None
    unit, per_si = STOCK_UNITS[units][measure]
    number = f"{left * per_si:.{FIGURES}f}".rstrip("0").rstrip(".")
    return f'{STOCK_KEYS[measure]} = "{number} {unit}"' if float(number) > 0.0 else None
