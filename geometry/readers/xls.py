"""Cells of an XLS workbook, with their number formats. The format holds at most 65,536 rows of 256 columns."""

from __future__ import annotations

from io import StringIO

from geometry.files import InputFile, parsing

KINDS = {0: "empty", 1: "text", 2: "number", 3: "date", 4: "bool", 5: "error", 6: "empty"}

XlsCell = tuple[str, str | float, str]
"""Type of a cell ("empty", "text", "number", "date", "bool", "error"), value, and number format."""


def xls_sheet(file: InputFile, wanted: str | None) -> tuple[list[str], list[list[XlsCell]]]:
    """Names of the sheets, and the cells of the requested sheet (empty if there is no such sheet).

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
            return titles, []
        sheet = book.sheet_by_index(0 if wanted is None else named.index(wanted.strip().casefold()))
        formats = [book.format_map[style.format_key].format_str for style in book.xf_list]
        rows = [
            [(KINDS[cell.ctype], cell.value, formats[cell.xf_index or 0]) for cell in sheet.row(number)]
            for number in range(sheet.nrows)
        ]
    return titles, rows
