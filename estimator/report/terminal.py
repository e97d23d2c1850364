"""Sheets on a terminal."""

from collections.abc import Iterable

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from estimator.notices import Notice
from estimator.report.tables import Sheet

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


def print_warnings(warnings: Iterable[Notice | str]) -> None:
    """Warnings, on standard error."""
    aside = Console(stderr=True, highlight=False, soft_wrap=True)
    for warning in warnings:
        aside.print(Text(f"warning: {warning}"))


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
