"""Tables as rows of cells, from pasted or CSV text, XLSX, ODS and XLS. The format is detected from the content."""

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, time, timedelta
from io import BytesIO
from typing import Any, NamedTuple

from estimator.errors import FaultError
from estimator.intake.cell_formats import Shown, shown_as, shown_by, with_unit
from geometry.apart import apart
from geometry.files import MB, Archive, InputFile, limits, parsing, shortened
from geometry.frozen import frozen
from geometry.message import Message, message
from geometry.readers.delimited import as_meant, open_table
from geometry.readers.xls import xls_sheet

OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
"""Magic bytes of a compound file: XLS, or an encrypted XLSX."""

WORKBOOKS = (".xlsx", ".xlsm", ".ods")


class Cell(NamedTuple):
    """Content of one cell, as text.

    wrong   what is wrong with it, or None
    typed   whether it was typed as text; otherwise it is a number of the workbook
    beside  text after the number that is not a unit: "pcs"
    """

    text: str
    wrong: Message | None = None
    typed: bool = True
    beside: str = ""


Rows = Iterator[tuple[int, list[Cell]]]
"""Rows that are not empty, each with its number as in a spreadsheet."""


@frozen
class CellTable:
    """A table before its header is located.

    rows       rows of cells
    may_comma  whether a comma in a cell may be a decimal sign
    guess      whether the encoding of its text was guessed
    """

    rows: Rows
    may_comma: bool = False
    guess: bool = False


def open_cells(file: InputFile, sheet: str | None, column: str | None) -> CellTable:
    """Rows of a table.

    sheet   sheet of a workbook by name; the first sheet if None
    column  a column name in the header of the table

    Raises FaultError, also while the rows are iterated.
    """
    content = file.read()
    if content.startswith(b"PK"):
        return CellTable(_guarded(_workbook(replace(file, source=content), sheet)))
    if content.startswith(OLE):
        return CellTable(_guarded(_xls(file, sheet)))
    if file.suffix in WORKBOOKS:
        raise FaultError("", message("table-not-workbook"))
    if sheet is not None:
        raise FaultError("", message("table-sheet-of-csv", sheet=sheet))
    table = open_table(InputFile(file.name, content), column)
    return CellTable(_guarded(_text(table.rows())), table.may_have_commas, table.guess)


def _guarded(rows: Rows) -> Rows:
    """Yield the rows that are not empty. Raises FaultError beyond the limits."""
    for number, cells in rows:
        while cells and not cells[-1].text.strip():
            cells.pop()
        if cells:
            _refuse_large(number - 1, len(cells))
            yield number, cells


def _refuse_large(rows: int, columns: int) -> None:
    """Raise FaultError for a table with more rows or columns than the limits."""
    if rows > limits().rows:
        raise limits().over("table-rows-most", "rows", 2 * limits().rows)
    if columns > limits().columns:
        raise limits().over("table-columns-most", "columns", columns)


def _workbook(file: InputFile, sheet: str | None) -> Rows:
    """Yield the rows of an XLSX or ODS workbook, read in a child process if its parts are large."""
    least = file.limits.apart_mb * MB
    if file.size < least and (archive := file.archive()).stated_size < least:
        yield from _rows(file, archive, sheet)
    else:
        for number, cells in apart(workbook_rows, file, sheet):
            yield number, [Cell(*cell) for cell in cells]


def workbook_rows(file: InputFile, sheet: str | None) -> list[tuple[int, list[tuple[Any, ...]]]]:
    """Rows of a workbook that are not empty, each with its number and the fields of its cells."""
    rows = _guarded(_rows(file, file.archive(), sheet))
    return [(number, [tuple(cell) for cell in cells]) for number, cells in rows]


def _rows(file: InputFile, archive: Archive, sheet: str | None) -> Rows:
    return _ods(archive, sheet) if "content.xml" in archive.names else _xlsx(file.read(), archive, sheet)


def _chosen(titles: list[str], wanted: str | None) -> int:
    """Index of the sheet with this name, or 0 without a name. Raises FaultError for an unknown name."""
    named = {title.strip().casefold(): i for i, title in enumerate(titles)}
    if wanted is None and titles:
        return 0
    if wanted is None or wanted.strip().casefold() not in named:
        sheets = [f'"{title}"' for title in titles]
        raise FaultError("", message("table-no-sheet", sheet=wanted or "", sheets=sheets))
    return named[wanted.strip().casefold()]


def _text(rows: Iterator[list[str]]) -> Rows:
    for number, row in enumerate(rows, start=1):
        yield number, [Cell(as_meant(text)) for text in row]


def _xlsx(content: bytes, archive: Archive, wanted: str | None) -> Rows:
    """Yield the rows of a sheet. The library may raise any exception while it opens or reads the file."""
    with parsing("XLSX"):
        yield from _xlsx_rows(content, archive, wanted)


def _xlsx_rows(content: bytes, archive: Archive, wanted: str | None) -> Rows:
    from zipfile import BadZipFile

    from openpyxl import load_workbook
    from openpyxl.utils.exceptions import InvalidFileException

    # Unpack and count first, because the library would take minutes on an oversized table.
    parts = {name: archive.read(name) for name in archive.names}
    others = [part for name, part in parts.items() if not name.startswith("xl/worksheets/")]
    _refuse_overgrown(sum(part.count(b"<") for part in others))
    _refuse_many_sheets(sum(len(_SHEET.findall(part)) for part in others))
    del others
    books = []
    try:
        books.append(load_workbook(BytesIO(content), read_only=True, data_only=True))
        sheets = books[0].worksheets
        at = _chosen([sheet.title for sheet in sheets], wanted)
        xml = parts.get(str(sheets[at]._worksheet_path), b"")
        _refuse_large_sheet(xml)
        if _FORMULA.search(xml):  # formulas need a second pass, which takes as long as the first
            books.append(load_workbook(BytesIO(content), read_only=True, data_only=False))
        del parts, xml
        views = [book.worksheets[at] for book in books]
        for sheet in views:
            sheet.reset_dimensions()  # the dimensions stored in the file may leave out rows
        cell_count = 0
        for number, rows in enumerate(zip(*(sheet.iter_rows() for sheet in views), strict=False), start=1):
            _refuse_large(number - 1, 0)  # also for blank rows: one cell in the last row yields a million of them
            _refuse_overgrown(cell_count := cell_count + len(rows[0]))  # a cell in the last column, 16,000 of them
            yield number, [_xlsx_cell(*cells) for cells in zip(*rows, strict=False)]
    except (BadZipFile, InvalidFileException, KeyError, OSError) as error:
        raise FaultError("", message("table-not-workbook")) from error
    finally:
        for book in books:
            book.close()


_FORMULA = re.compile(rb"<(?:\w+:)?f[\s/>]")


def _refuse_overgrown(count: int) -> None:
    """Raise FaultError for a workbook with more content than a table needs, which would take minutes to read."""
    if count > limits().cells:
        raise limits().over("table-overgrown", "cells", 2 * limits().cells)


def _refuse_many_sheets(count: int) -> None:
    """Raise FaultError for a workbook with so many sheets that listing them would take minutes."""
    if count > limits().sheets:
        raise limits().over("table-sheets-most", "sheets", count)


_SHEET = re.compile(rb"<(?:\w+:)?sheet\s")
_ROW_OR_CELL = re.compile(rb"""<(?:\w+:)?(row|c)(?=[\s/>])(?:[^<>]*?\sr\s*=\s*["']([A-Z]*)([^"'<>]*)["'])?""")


def _refuse_large_sheet(xml: bytes) -> None:
    """Raise FaultError for a sheet with too many rows or cells, or out of order, before any is parsed.

    Of a row or a cell that stands behind a later one, or twice, the library would drop one in silence.
    """
    rows = cells = row = 0
    column = (0, b"")
    for tag in _ROW_OR_CELL.finditer(xml):
        if tag[3] is not None and not (tag[3].isdigit() and len(tag[3]) <= MOST_DIGITS):
            raise FaultError("", message("table-place", place=shortened(tag[3].decode(errors="replace"))))
        if tag[1] == b"row":
            rows += 1
            _refuse_large(rows - 1, 0)
            number = int(tag[3] or row + 1)
            if number <= row:
                raise FaultError("", message("table-row-twice", row=number, before=row))
            row, column = number, (0, b"")
        else:
            cells += 1
            _refuse_overgrown(cells)
            if tag[2]:
                here = (len(tag[2]), tag[2])  # A to Z, then AA to ZZ
                if here <= column:
                    raise FaultError("", message("table-cell-twice", cell=(tag[2] + tag[3]).decode()))
                column = here


MOST_DIGITS = 20  # of a number of rows or columns


def _xlsx_cell(cell: Any, written: Any = None) -> Cell:
    """Cell of a workbook. A number with a unit in its format becomes text with that unit.

    written   same cell with its formula instead of its result, if the sheet has formulas
    """
    value = cell.value
    if value is None:
        formula = None if written is None else written.value
        if formula is not None:
            text = str(getattr(formula, "text", formula))  # an array formula is an object
            return Cell("?", message("cell-formula", cell=cell.coordinate, formula=text[:80]))
        return Cell("")
    if cell.data_type == "e":
        return Cell("?", message("cell-error", cell=cell.coordinate, value=str(value)[:20]))
    if isinstance(value, time | timedelta):
        return _time_cell(cell.coordinate, str(value))
    if isinstance(value, date):
        return _date_cell(cell.coordinate, f"{value:%Y-%m-%d}")
    if isinstance(value, bool):
        return Cell("true" if value else "false")
    if isinstance(value, int | float):
        return _number_cell(float(value), shown_by(cell.number_format or ""), cell.coordinate, cell.number_format)
    return Cell(_ESCAPED.sub(lambda found: chr(int(found[1], 16)), str(value)))


_ESCAPED = re.compile("_x([0-9A-Fa-f]{4})_")
"""A sign that XML does not hold, as a workbook writes it. Source: ECMA-376 part 1, 22.9.2.19."""


def _time_cell(coordinate: str, value: str) -> Cell:
    return Cell("?", message("cell-time", cell=coordinate, value=value))


def _date_cell(coordinate: str, value: str) -> Cell:
    return Cell("?", message("cell-date", cell=coordinate, value=value))


def _number_cell(value: float, shown: Shown, coordinate: str, number_format: str) -> Cell:
    if shown.wrong is not None:
        return Cell("?", message("cell-format", cell=coordinate, format=number_format[:40], how=shown.wrong))
    return Cell(with_unit(value, shown), typed=False, beside=shown.beside)


def _coordinate(row: int, column: int) -> str:
    """Name of a cell from its row and column, both counted from 1.

    >>> _coordinate(2, 4), _coordinate(1, 28)
    ('D2', 'AB1')
    """
    letters = ""
    while column:
        column, digit = divmod(column - 1, 26)
        letters = chr(ord("A") + digit) + letters
    return f"{letters}{row}"


TABLE = "{urn:oasis:names:tc:opendocument:xmlns:table:1.0}"
OFFICE = "{urn:oasis:names:tc:opendocument:xmlns:office:1.0}"
TEXT = "{urn:oasis:names:tc:opendocument:xmlns:text:1.0}"
CALC = "{urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0}"


def _ods(archive: Archive, wanted: str | None) -> Rows:
    """Yield the rows of a sheet of an OpenDocument workbook.

    No library is used, because a unit in a cell's format appears only in its displayed text, which libraries drop.
    Source: OpenDocument 1.3 part 3, 9.1 (tables, repeated rows and cells) and 19.385 (values).
    """
    from lxml import etree

    content = archive.read("content.xml")
    if b"<!DOCTYPE" in content[:4096] or b"<!ENTITY" in content[:4096]:
        raise FaultError("", message("table-entities"))
    titles: list[str] = []
    depth = number = cell_count = 0
    with parsing("ODS"):
        events = etree.iterparse(
            BytesIO(content),
            events=("start", "end"),
            tag=(f"{TABLE}table", f"{TABLE}table-row"),
            no_network=True,
            resolve_entities=False,
            huge_tree=False,
        )
        for event, element in events:
            if element.tag == f"{TABLE}table":
                if event == "start" and _is_sheet(element):
                    titles.append(element.get(f"{TABLE}name", ""))
                elif event == "end" and _is_sheet(element) and _is_wanted(titles, wanted):
                    return
                depth += 1 if event == "start" else -1  # a cell may contain a nested table
            elif event == "end" and depth == 1:
                if _is_wanted(titles, wanted):
                    _refuse_overgrown(cell_count := cell_count + len(element))
                    row = _ods_row(element, number + 1)
                    times = _times(element, "number-rows-repeated")
                    for _ in range(times if row else 0):
                        number += 1
                        _refuse_large(number - 1, 0)
                        yield number, list(row)
                    number += 0 if row else times
                element.clear()
        _chosen(titles, wanted)


def _is_sheet(table: Any) -> bool:
    """Whether a table is a sheet, not the cached copy of a linked one."""
    parent = table.getparent()
    return parent is not None and parent.tag == f"{OFFICE}spreadsheet"


def _is_wanted(titles: list[str], wanted: str | None) -> bool:
    """Whether the most recent sheet is the wanted one."""
    if not titles:
        return False
    return len(titles) == 1 if wanted is None else titles[-1].strip().casefold() == wanted.strip().casefold()


def _times(element: Any, name: str) -> int:
    """How often a row or a cell stands. Raises FaultError for anything but a number from 1 on."""
    text = element.get(TABLE + name, "1").strip()
    if not re.fullmatch("0*[1-9][0-9]*", text) or len(text) > MOST_DIGITS:
        raise FaultError("", message("table-repeats", name=name, value=shortened(text)))
    return int(text)


def _ods_row(row: Any, number: int) -> list[Cell]:
    """Cells of a row, up to the last that is not empty."""
    cells: list[Cell] = []
    column = 0
    for element in row.iterchildren(f"{TABLE}table-cell", f"{TABLE}covered-table-cell"):
        times = _times(element, "number-columns-repeated")
        cell = _ods_cell(element, _coordinate(number, column + 1))
        if cell.text.strip():
            _refuse_large(0, column + times)
            cells += [Cell("")] * (column - len(cells)) + [cell] * times
        column += times
    return cells


def _ods_cell(cell: Any, coordinate: str) -> Cell:
    """Cell of an OpenDocument table. A number shown with a unit becomes text with that unit."""
    if cell.tag == f"{TABLE}covered-table-cell":
        return Cell("")  # hidden under a merged cell
    shown = "\n".join(_ods_paragraph(paragraph) for paragraph in cell.iterchildren(f"{TEXT}p"))
    formula = cell.get(f"{TABLE}formula")
    value = cell.get(f"{OFFICE}value")
    match cell.get(f"{OFFICE}value-type"):
        case _ if cell.get(f"{CALC}value-type") == "error" or re.fullmatch(r"#[A-Z/0!?]+|Err:\d+", shown):
            return Cell("?", message("cell-error", cell=coordinate, value=shown[:20]))
        case None if formula is not None:
            return Cell(
                "?", message("cell-formula", cell=coordinate, formula=formula.partition(":")[2][:80] or formula)
            )
        case "float" | "percentage" | "currency" as kind if value is not None:
            beside = shown_as(shown, float(value), coordinate) if shown else Shown(percent=kind == "percentage")
            if isinstance(beside, Message):
                return Cell("?", beside)
            return _number_cell(float(value), beside, coordinate, "")
        case "date":
            return _date_cell(coordinate, cell.get(f"{OFFICE}date-value", shown)[:20])
        case "time":
            return _time_cell(coordinate, cell.get(f"{OFFICE}time-value", shown)[:20])
        case "boolean":
            return Cell(cell.get(f"{OFFICE}boolean-value", "false"))
    return Cell(cell.get(f"{OFFICE}string-value") or shown)


def _ods_paragraph(paragraph: Any) -> str:
    """Text of a paragraph, with its spaces, tabs and line breaks."""
    parts = [paragraph.text or ""]
    for part in paragraph:
        if part.tag == f"{TEXT}s":
            parts.append(" " * min(int(part.get(f"{TEXT}c", "1")), 100))
        elif part.tag in (f"{TEXT}tab", f"{TEXT}line-break"):
            parts.append(" ")
        elif isinstance(part.tag, str) and part.tag != f"{OFFICE}annotation":
            parts.append(_ods_paragraph(part))
        parts.append(part.tail or "")
    return "".join(parts)


def _xls(file: InputFile, wanted: str | None) -> Rows:
    """Yield the rows of a sheet of an XLS workbook, read in a child process: the parser may hang on a bad file."""
    titles, rows = apart(xls_sheet, file, wanted)
    _chosen(titles, wanted)
    for at, row in enumerate(rows, start=1):
        yield at, [_xls_cell(*cell, _coordinate(at, i)) for i, cell in enumerate(row, start=1)]


def _xls_cell(kind: str, value: str | float, number_format: str, coordinate: str) -> Cell:
    """Cell of an XLS workbook."""
    match kind:
        case "number":
            return _number_cell(float(value), shown_by(number_format), coordinate, number_format)
        case "date":
            return _date_cell(coordinate, f"{value}")
        case "bool":
            return Cell("true" if value else "false")
        case "error":
            return Cell("?", message("cell-error", cell=coordinate, value=ERRORS.get(int(value), "#N/A")))
        case "text" if value == "":  # only a formula can have empty text
            return Cell("?", message("cell-formula-empty", cell=coordinate))
    return Cell(str(value))


ERRORS = {0: "#NULL!", 7: "#DIV/0!", 15: "#VALUE!", 23: "#REF!", 29: "#NAME?", 36: "#NUM!", 42: "#N/A"}
"""Error values of an XLS cell by code. Source: the format's table of error values."""
