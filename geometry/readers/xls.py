"""Cells of an XLS workbook, with their number formats. The format holds at most 65,536 rows of 256 columns."""

from __future__ import annotations

from io import StringIO

from geometry.files import InputFile, parsing
from geometry.frozen import frozen

KINDS = {0: "empty", 1: "text", 2: "number", 3: "date", 4: "bool", 5: "error", 6: "empty"}

XlsCell = tuple[str, str | float, str]
"""Type of a cell ("empty", "text", "number", "date", "bool", "error"), value, and number format."""


@frozen
class XlsSheet:
    """A sheet of an XLS workbook.

    titles                       names of all sheets
    rows                         cells of the sheet, none if there is no such sheet
    is_hidden                    whether the sheet is hidden
    hidden_rows, hidden_columns  numbers of rows and columns that are hidden or filtered out, from 1
    struck_rows                  numbers of rows with a cell, or a part of its text, that is struck out, from 1
    others                       names of other visible sheets with cells, where no sheet was requested
    """

    titles: list[str]
    rows: list[list[XlsCell]]
    is_hidden: bool = False
    hidden_rows: tuple[int, ...] = ()
    hidden_columns: tuple[int, ...] = ()
    others: tuple[str, ...] = ()
    struck_rows: tuple[int, ...] = ()


def xls_sheet(file: InputFile, wanted: str | None) -> XlsSheet:
    """The requested sheet of a workbook, or its first.

    Raises FaultError for a workbook that is damaged or password-protected.
    """

    import xlrd

    content = file.read()
    with parsing("XLS"):
        book = xlrd.open_workbook(
            file_contents=content, formatting_info=True, on_demand=True, logfile=StringIO(), ragged_rows=True
        )
        titles = [str(title) for title in book.sheet_names()]
        named = [title.strip().casefold() for title in titles]
        if wanted is not None and wanted.strip().casefold() not in named:
            return XlsSheet(titles, [])
        sheet = book.sheet_by_index(0 if wanted is None else named.index(wanted.strip().casefold()))
        formats = [book.format_map[style.format_key].format_str for style in book.xf_list]
        rows = [
            [(KINDS[cell.ctype], cell.value, formats[cell.xf_index or 0]) for cell in sheet.row(number)]
            for number in range(sheet.nrows)
        ]
        fonts = [bool(font.struck_out) for font in book.font_list]
        struck = {
            row + 1 for (row, _), runs in sheet.rich_text_runlist_map.items() if any(fonts[font] for _, font in runs)
        }
        for number in range(sheet.nrows):
            for cell in sheet.row(number):
                if KINDS[cell.ctype] != "empty" and fonts[book.xf_list[cell.xf_index or 0].font_index]:
                    struck.add(number + 1)
        others = [book.sheet_by_index(number) for number in range(1, len(titles) if wanted is None else 0)]
        return XlsSheet(
            titles,
            rows,
            bool(sheet.visibility),
            tuple(sorted(number + 1 for number, row in sheet.rowinfo_map.items() if row.hidden or row.height == 0)),
            tuple(sorted(number + 1 for number, column in sheet.colinfo_map.items() if column.hidden)),
            tuple(str(other.name) for other in others if other.nrows and not other.visibility),
            tuple(sorted(struck)),
        )
