"""Tables as rows of cells, from pasted or CSV text, XLSX, ODS and XLS. The format is detected from the content."""

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, time, timedelta
from functools import lru_cache
from io import BytesIO
from math import isfinite
from typing import Any, NamedTuple

from estimator.errors import FaultError
from estimator.intake.cell_formats import Shown, shown_as, shown_by, with_unit
from geometry.apart import apart
from geometry.files import MB, Archive, InputFile, limits, parsing, shortened
from geometry.frozen import frozen
from geometry.message import Message, message
from geometry.numbers import decimal_number
from geometry.readers.delimited import as_meant, open_table
from geometry.readers.xls import xls_sheet

OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
PDF = b"%PDF"
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
"""Rows, each with its number as in a spreadsheet."""


class Unseen(NamedTuple):
    """What the cells of a sheet do not tell of it.

    rows     numbers of rows that are hidden or filtered out, from 1
    columns  numbers of hidden columns, from 1
    sheets   names of other sheets with content, where the job names no sheet
    struck   numbers of rows with a cell, or a part of its text, that is struck out, from 1
    rules    whether a rule of conditional formatting may strike out cells
    """

    rows: frozenset[int] = frozenset()
    columns: frozenset[int] = frozenset()
    sheets: tuple[str, ...] = ()
    struck: frozenset[int] = frozenset()
    rules: bool = False


@frozen
class CellTable:
    """A table before its header is located.

    rows       rows of cells that are not empty, each with its number as in a spreadsheet
    may_comma  whether a comma in a cell may be a decimal sign
    guess      whether the encoding of its text was guessed
    unseen     what its cells do not tell
    """

    rows: tuple[tuple[int, list[Cell]], ...]
    may_comma: bool = False
    guess: bool = False
    unseen: Unseen = Unseen()


def open_cells(file: InputFile, sheet: str | None, column: str | None) -> CellTable:
    """Rows of a table.

    sheet   sheet of a workbook by name; the first sheet if None
    column  a column name in the header of the table

    Raises FaultError.
    """
    content = file.read()
    if content.startswith(b"PK"):
        rows, unseen = _workbook(replace(file, source=content), sheet)
        return CellTable(rows, unseen=unseen)
    if content.startswith(OLE):
        return _xls(file, sheet)
    if file.suffix in WORKBOOKS or content.startswith(PDF):
        raise FaultError("", message("table-not-workbook"))
    if sheet is not None:
        raise FaultError("", message("table-sheet-of-csv", sheet=sheet))
    table = open_table(InputFile(file.name, content), column)
    return CellTable(tuple(_guarded(_text(table.rows()))), table.may_have_commas, table.guess)


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


Read = tuple[tuple[tuple[int, list[Cell]], ...], Unseen]
"""Rows of a sheet, and what they do not tell of it."""


def _workbook(file: InputFile, sheet: str | None) -> Read:
    """Rows of an XLSX or ODS workbook, read in a child process if its parts are large."""
    least = file.limits.apart_mb * MB
    if file.size < least and (archive := file.archive()).stated_size < least:
        return _sheet(file, archive, sheet)
    rows, (hidden_rows, hidden_columns, sheets, struck, rules) = apart(workbook_rows, file, sheet)
    unseen = Unseen(frozenset(hidden_rows), frozenset(hidden_columns), tuple(sheets), frozenset(struck), rules)
    return tuple((number, [Cell(*cell) for cell in cells]) for number, cells in rows), unseen


def workbook_rows(file: InputFile, sheet: str | None) -> tuple[list[tuple[int, list[tuple[Any, ...]]]], list[Any]]:
    """Rows of a workbook as plain values, each with its number, and what they do not tell."""
    rows, unseen = _sheet(file, file.archive(), sheet)
    beside = [part if isinstance(part, bool) else list(part) for part in unseen]
    return [(number, [tuple(cell) for cell in cells]) for number, cells in rows], beside


def _sheet(file: InputFile, archive: Archive, sheet: str | None) -> Read:
    return _ods(archive, sheet) if "content.xml" in archive.names else _xlsx(file.read(), archive, sheet)


def _chosen(titles: list[str], wanted: str | None, *, hidden: bool = False) -> int:
    """Index of the sheet with this name, or 0 without a name. Raises FaultError for an unknown name.

    hidden   whether the first sheet is hidden: it must be named to be read
    """
    named = {title.strip().casefold(): i for i, title in enumerate(titles)}
    if wanted is None and titles:
        if hidden:
            others = [f'"{title}"' for title in titles]
            raise FaultError("", message("table-sheet-hidden", sheet=titles[0], sheets=others))
        return 0
    if wanted is None or wanted.strip().casefold() not in named:
        sheets = [f'"{title}"' for title in titles]
        raise FaultError("", message("table-no-sheet", sheet=wanted or "", sheets=sheets))
    return named[wanted.strip().casefold()]


def _text(rows: Iterator[list[str]]) -> Rows:
    cell = lru_cache(maxsize=MOST_ALIKE)(lambda text: Cell(as_meant(text)))
    for number, row in enumerate(rows, start=1):
        yield number, [*map(cell, row)]


MOST_ALIKE = 4096  # texts of cells that a table repeats, such as its sizes


def _xlsx(content: bytes, archive: Archive, wanted: str | None) -> Read:
    """Read a sheet. The library may raise any exception while it opens or reads the file."""
    with parsing("XLSX"):
        return _xlsx_sheet(content, archive, wanted)


def _xlsx_sheet(content: bytes, archive: Archive, wanted: str | None) -> Read:
    from zipfile import BadZipFile

    from openpyxl import load_workbook
    from openpyxl.utils.exceptions import InvalidFileException

    # Unpack and count first, because the library would take minutes on an oversized table.
    parts = {name: archive.read(name) for name in archive.names}
    others = [part for name, part in parts.items() if not name.startswith("xl/worksheets/")]
    _refuse_overgrown(sum(part.count(b"<") for part in others))
    _refuse_many_sheets(sum(len(_SHEET.findall(part)) for part in others))
    has_runs = any(b"rPr" in part and _STRIKE.search(part) for part in others)  # of text shared by cells
    del others
    books = []
    try:
        books.append(load_workbook(BytesIO(content), read_only=True, data_only=True, rich_text=has_runs))
        sheets = books[0].worksheets
        titles = [sheet.title for sheet in sheets]
        shown = [sheet.sheet_state == "visible" for sheet in sheets]
        at = _chosen(titles, wanted, hidden=shown[:1] == [False])
        content_of = [parts.get(str(sheet._worksheet_path), b"") for sheet in sheets]
        beside = [number for number in range(1, len(titles) if wanted is None else 0) if shown[number]]
        unseen = Unseen(
            _hidden_rows(content_of[at]),
            _hidden_columns(content_of[at]),
            tuple(titles[number] for number in beside if _FILLED.search(content_of[number])),
        )
        if _FORMULA.search(content_of[at]):  # formulas need a second pass, which takes as long as the first
            books.append(load_workbook(BytesIO(content), read_only=True, data_only=False))
        struck, rules = (
            _struck_inline(content_of[at]),
            _has_striking_rule(content_of[at], parts.get("xl/styles.xml", b"")),
        )
        del parts, content_of
        rows = tuple(_guarded(_xlsx_rows([book.worksheets[at] for book in books], struck)))
        return rows, unseen._replace(struck=frozenset(struck), rules=rules)
    except (BadZipFile, InvalidFileException, KeyError, OSError) as error:
        raise FaultError("", message("table-not-workbook")) from error
    finally:
        for book in books:
            book.close()


def _xlsx_rows(views: list[Any], struck: set[int]) -> Rows:
    """Yield the rows of a sheet.

    views    the sheet with results, and with formulas if it has any
    struck   gets the numbers of rows with text that is struck out
    """
    book = views[0].parent
    styles = {number for number, style in enumerate(book._cell_styles) if book._fonts[style.fontId].strike}
    for sheet in views:
        sheet.reset_dimensions()  # the dimensions stored in the file may leave out rows
    cell_count = 0
    for number, rows in enumerate(zip(*(sheet.iter_rows() for sheet in views), strict=False), start=1):
        _refuse_large(number - 1, 0)  # also for blank rows: one cell in the last row yields a million of them
        _refuse_overgrown(cell_count := cell_count + len(rows[0]))  # a cell in the last column, 16,000 of them
        if any(_is_struck(cell, styles) for cell in rows[0]):
            struck.add(number)
        yield number, [_xlsx_cell(*cells) for cells in zip(*rows, strict=False)]


def _is_struck(cell: Any, styles: set[int]) -> bool:
    """Whether a cell, or a part of its text, is struck out.

    styles   numbers of the styles of a cell that strike out
    """
    value = cell.value
    if value is None:
        return False
    return cell._style_id in styles or (
        isinstance(value, list) and any(getattr(getattr(part, "font", None), "strike", False) for part in value)
    )


def _struck_inline(xml: bytes) -> set[int]:
    """Numbers of the rows of a sheet with text of its own, not shared with other cells, that is struck out."""
    struck, row = set[int](), 0
    if not _STRIKE.search(xml):
        return struck
    for tag in _ROW_OR_STRIKE.finditer(xml):
        if tag[1] == b"row":
            row = int(tag[2] or row + 1)
        elif _STRIKE.match(tag[0]):
            struck.add(row)
    return struck


def _has_striking_rule(xml: bytes, styles: bytes) -> bool:
    """Whether a rule of a sheet's conditional formatting strikes out."""
    own = [number for number, style in enumerate(_RULE_STYLE.findall(styles)) if _STRIKE.search(style)]
    return any(int(number) in own for number in _RULE.findall(xml))


_RULE_STYLE = re.compile(rb"<(?:\w+:)?dxf(?:\s[^<>]*)?(?:/>|>(?:(?!</(?:\w+:)?dxf>).)*)", re.DOTALL)
_RULE = re.compile(rb"""<(?:\w+:)?cfRule\s[^<>]*?dxfId\s*=\s*["']([0-9]{1,9})["']""")
_STRIKE = re.compile(rb"""<(?:\w+:)?strike(?=[\s/>])(?![^<>]*val\s*=\s*["'](?:0|false)["'])[^<>]*>""")
_ROW_OR_STRIKE = re.compile(rb"""<(?:\w+:)?(row|strike)(?=[\s/>])(?:[^<>]*?\sr\s*=\s*["']([0-9]+)["'])?[^<>]*>""")
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
_FILLED = re.compile(rb"<(?:\w+:)?(?:v|is)[\s>]")
_ROW_OR_CELL = re.compile(rb"""<(?:\w+:)?(row|c)(?=[\s/>])(?:[^<>]*?\sr\s*=\s*["']([A-Z]*)([^"'<>]*)["'])?[^<>]*""")
_COLUMNS = re.compile(rb"<(?:\w+:)?col\s[^<>]*")
_HIDES = re.compile(rb"""\s(?:hidden\s*=\s*["'](?:1|true)["']|(?:ht|width)\s*=\s*["']0*\.?0*["'])""")
_ODD_VALUE = re.compile(
    rb"<(?:\w+:)?v(?:\s[^<>]*)?>(?!\s*(?:[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?\s*)?<)([^<]*)"
)
_CELL = re.compile(rb"""<(?:\w+:)?c(?=[\s>])[^<>]*""")
_OF_TEXT = re.compile(rb"""\st\s*=\s*["'](?:str|e|d|inlineStr)["']""")


def _hidden_rows(xml: bytes) -> frozenset[int]:
    """Numbers of a sheet's hidden rows.

    Raises FaultError for a sheet with too many rows or cells, or out of order, before any is parsed: of a row or a
    cell that stands behind a later one, or twice, the library would drop one in silence. Also for a number that only
    Python reads as one, such as 1_0.
    """
    hidden = set()
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
            if _HIDES.search(tag[0]):
                hidden.add(row)
        else:
            cells += 1
            _refuse_overgrown(cells)
            if tag[2]:
                here = (len(tag[2]), tag[2])  # A to Z, then AA to ZZ
                if here <= column:
                    raise FaultError("", message("table-cell-twice", cell=(tag[2] + tag[3]).decode()))
                column = here
    for value in _ODD_VALUE.finditer(xml):
        at, cell = value.start(), None
        while at >= 0 and cell is None:
            at = xml.rfind(b"<", 0, at)
            cell = _CELL.match(xml, max(at, 0))
        if cell is None or not _OF_TEXT.search(cell[0]):
            raise FaultError("", message("cell-number", value=shortened(value[1].decode(errors="replace").strip())))
    return frozenset(hidden)


def _hidden_columns(xml: bytes) -> frozenset[int]:
    """Numbers of a sheet's hidden columns, from 1."""
    hidden = set[int]()
    for tag in _COLUMNS.findall(xml):
        first, last = (re.search(rb"""\s%s\s*=\s*["']([0-9]{1,6})["']""" % name, tag) for name in (b"min", b"max"))
        if first and last and _HIDES.search(tag):
            hidden.update(range(int(first[1]), min(int(last[1]), limits().columns) + 1))
    return frozenset(hidden)


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
    if not isfinite(value):
        return Cell("?", message("cell-number-of", cell=coordinate, value=f"{value}"))
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
STYLE = "{urn:oasis:names:tc:opendocument:xmlns:style:1.0}"
TEXT = "{urn:oasis:names:tc:opendocument:xmlns:text:1.0}"
CALC = "{urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0}"


def _ods(archive: Archive, wanted: str | None) -> Read:
    """Read a sheet of an OpenDocument workbook.

    No library is used, because a unit in a cell's format appears only in its displayed text, which libraries drop.
    Source: OpenDocument 1.3 part 3, 9.1 (tables, repeated rows and cells), 19.385 (values), 19.749 (visibility).
    """
    content = archive.read("content.xml")
    if b"<!DOCTYPE" in content[:4096] or b"<!ENTITY" in content[:4096]:
        raise FaultError("", message("table-entities"))
    reading = _OdsReading(wanted)
    with parsing("ODS"):
        if "styles.xml" in archive.names:
            reading.note_styles(archive.read("styles.xml"))
        rows = tuple(_guarded(reading.rows(content)))
    _chosen(reading.titles, wanted, hidden=reading.shown[:1] == [False])
    hidden = frozenset(reading.hidden_rows), frozenset(reading.hidden_columns)
    return rows, Unseen(*hidden, tuple(reading.others), frozenset(reading.struck), reading.rules)


class _OdsReading:
    """One pass over the content of an OpenDocument workbook.

    titles, shown                 names of the sheets in order, and whether each is visible
    others                        names of the visible sheets with content beside the first, where none is named
    hidden_rows, hidden_columns   numbers of what is hidden in the wanted sheet, from 1
    struck                        numbers of its rows with text that is struck out, from 1
    rules                         whether a rule of conditional formatting may strike out cells
    """

    def __init__(self, wanted: str | None) -> None:
        self.titles: list[str] = []
        self.shown: list[bool] = []
        self.others: list[str] = []
        self.hidden_rows: set[int] = set()
        self.hidden_columns: set[int] = set()
        self.struck: set[int] = set()
        self.rules = False
        self._wanted = wanted
        self._unshown: set[str] = set()  # styles of hidden sheets
        self._strikes: dict[str, bool] = {}  # whether a style strikes out, by its name
        self._of_column: list[tuple[int, str]] = []  # the last column, and the style of its cells

    def rows(self, content: bytes) -> Rows:
        """Yield the rows of the wanted sheet."""
        from lxml import etree

        depth = number = column = cell_count = 0
        events = etree.iterparse(
            BytesIO(content),
            events=("start", "end"),
            tag=(f"{TABLE}table", f"{TABLE}table-row", f"{TABLE}table-column", f"{STYLE}style", f"{CALC}condition"),
            no_network=True,
            resolve_entities=False,
            huge_tree=False,
        )
        for event, element in events:
            if element.tag == f"{STYLE}style":
                if event == "end":
                    self._note_style(element)
            elif element.tag == f"{CALC}condition":
                self.rules |= self._is_wanted() and self._strikes.get(element.get(f"{CALC}apply-style-name", ""), False)
            elif element.tag == f"{TABLE}table":
                if event == "start" and _is_sheet(element):
                    self.titles.append(element.get(f"{TABLE}name", ""))
                    self.shown.append(element.get(f"{TABLE}style-name", "-") not in self._unshown)
                elif self._wanted is not None and _is_sheet(element) and self._is_wanted():
                    return
                depth += 1 if event == "start" else -1  # a cell may contain a nested table
            elif event == "end" and depth == 1:
                if element.tag == f"{TABLE}table-column":
                    if self._is_wanted():
                        times = _times(element, "number-columns-repeated")
                        if _is_hidden(element):
                            self.hidden_columns.update(range(column + 1, column + min(times, limits().columns) + 1))
                        column += times
                        self._of_column.append((column, element.get(f"{TABLE}default-cell-style-name", "")))
                elif self._is_wanted():
                    _refuse_overgrown(cell_count := cell_count + len(element))
                    row = _ods_row(element, number + 1)
                    times = _times(element, "number-rows-repeated")
                    struck = bool(row) and self._strikes_out(element)
                    for _ in range(times if row else 0):
                        number += 1
                        _refuse_large(number - 1, 0)
                        if _is_hidden(element):
                            self.hidden_rows.add(number)
                        if struck:
                            self.struck.add(number)
                        yield number, list(row)
                    number += 0 if row else times
                elif any(cell.get(f"{OFFICE}value-type") for cell in element):
                    self._note_other()
                element.clear()

    def note_styles(self, content: bytes) -> None:
        """Read the styles of the workbook that cells may name, or rest on."""
        from lxml import etree

        for _, style in etree.iterparse(
            BytesIO(content), tag=f"{STYLE}style", no_network=True, resolve_entities=False, huge_tree=False
        ):
            self._note_style(style)

    def _note_style(self, style: Any) -> None:
        name, line = style.get(f"{STYLE}name", ""), None
        for properties in style:
            if properties.get(f"{TABLE}display") == "false":
                self._unshown.add(name)
            for key in ("style", "type"):
                line = line or properties.get(f"{STYLE}text-line-through-{key}")
        above = self._strikes.get(style.get(f"{STYLE}parent-style-name", ""), False)
        self._strikes[name] = above if line is None else line != "none"

    def _strikes_out(self, row: Any) -> bool:
        """Whether a cell of a row, or a part of its text, is struck out. Styles: of the cell, its row, its column."""
        own, column = row.get(f"{TABLE}default-cell-style-name"), 0
        for cell in row.iterchildren(f"{TABLE}table-cell"):
            column += _times(cell, "number-columns-repeated")
            if not len(cell) and cell.get(f"{OFFICE}value-type") is None:
                continue
            name = cell.get(f"{TABLE}style-name") or own
            if name is None:
                name = next((style for last, style in self._of_column if column <= last), "")
            if self._strikes.get(name, False):
                return True
            spans = cell.iter(f"{TEXT}p", f"{TEXT}span")
            if any(self._strikes.get(span.get(f"{TEXT}style-name", ""), False) for span in spans):
                return True
        return False

    def _note_other(self) -> None:
        if self._wanted is None and self.shown[-1] and self.titles[-1] not in self.others[-1:]:
            self.others.append(self.titles[-1])

    def _is_wanted(self) -> bool:
        """Whether the most recent sheet is the wanted one."""
        if not self.titles:
            return False
        if self._wanted is None:
            return len(self.titles) == 1
        return self.titles[-1].strip().casefold() == self._wanted.strip().casefold()


def _is_hidden(element: Any) -> bool:
    """Whether a row or a column is hidden or filtered out."""
    return str(element.get(f"{TABLE}visibility", "visible")) != "visible"


def _is_sheet(table: Any) -> bool:
    """Whether a table is a sheet, not the cached copy of a linked one."""
    parent = table.getparent()
    return parent is not None and parent.tag == f"{OFFICE}spreadsheet"


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
            try:
                number = decimal_number(value)
            except ValueError:
                return Cell("?", message("cell-number-of", cell=coordinate, value=value[:40]))
            beside = shown_as(shown, number, coordinate) if shown else Shown(percent=kind == "percentage")
            return Cell("?", beside) if isinstance(beside, Message) else _number_cell(number, beside, coordinate, "")
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


def _xls(file: InputFile, wanted: str | None) -> CellTable:
    """Read a sheet of an XLS workbook in a child process: the parser may hang on a bad file."""
    sheet = apart(xls_sheet, file, wanted)
    _chosen(sheet.titles, wanted, hidden=sheet.is_hidden)
    rows = (
        (at, [_xls_cell(*cell, _coordinate(at, i)) for i, cell in enumerate(row, start=1)])
        for at, row in enumerate(sheet.rows, start=1)
    )
    hidden = frozenset(sheet.hidden_rows), frozenset(sheet.hidden_columns)
    unseen = Unseen(*hidden, tuple(sheet.others), frozenset(sheet.struck_rows))
    return CellTable(tuple(_guarded(rows)), unseen=unseen)


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
