"""Rows of a text table saved or pasted from a spreadsheet, with columns separated by tabs, semicolons or commas."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator
from io import StringIO

from geometry.errors import FaultError
from geometry.files import InputFile
from geometry.frozen import frozen
from geometry.message import message

STATED = re.compile(r"sep=(.)[ \t,;]*(?:\r\n|\n|\r|$)", re.IGNORECASE)
"""A first line that declares the delimiter, as spreadsheets write it."""

DELIMITERS = ("\t", ";", ",")

_UNSEEN = r'(?:(?![\t\r\n])[\s"\x00-\x1f\x7f-\x9f\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff])*+'
_FORMULA = re.compile(rf"((?:^|[;\t\r\n]){_UNSEEN})('*)(?=[=+\-@\uff1d\uff0b\uff0d\uff20])")
"""Where a spreadsheet may take a formula to start: before = + - @, wide ones too, at the start of a cell, or where a
program that parts columns by semicolons, tabs or line breaks would start one; behind blanks and signs that print none.
"""


@frozen
class TextTable:
    """A text table before its cells are read.

    text       contents, without the line that declares the delimiter
    delimiter  separator of the columns, "" for a single column
    guess      whether the encoding was guessed
    """

    text: str
    delimiter: str
    guess: bool = False

    @property
    def may_have_commas(self) -> bool:
        """Whether a comma may be a decimal sign, because it does not separate columns."""
        return self.delimiter in ("\t", ";")

    def rows(self) -> Iterator[list[str]]:
        """Yield the cells of each row. Raises FaultError for a damaged table."""
        try:
            yield from csv.reader(StringIO(self.text, newline=""), delimiter=self.delimiter or ",", strict=True)
        except csv.Error as error:
            raise FaultError("", message("table-not-csv")) from error


def starts_formula(text: str) -> bool:
    """Whether a spreadsheet may take a text for a formula, in whole or from some place on."""
    return _FORMULA.search(text) is not None


def harmless(text: str) -> str:
    """Text that no spreadsheet takes for a formula: an apostrophe before what would start one.

    >>> harmless("=1+1"), harmless("-5"), harmless("C1"), harmless("'=1")
    ("'=1+1", "'-5", 'C1', "''=1")
    """
    return _FORMULA.sub(r"\1'\2", text)


def as_meant(text: str) -> str:
    """Text before `harmless`: a cell of a table without the apostrophes that keep it from being a formula.

    >>> as_meant("'=1+1"), as_meant("''=1"), as_meant("6' 3"), as_meant("'A'")
    ('=1+1', "'=1", "6' 3", "'A'")
    """
    return _FORMULA.sub(lambda found: found[1] + found[2][1:], text) if "'" in text else text


def open_table(file: InputFile, column: str | None = None) -> TextTable:
    """Open a text table and detect its delimiter.

    column  a name in the header row; without one, the header is the first line that is not blank

    Raises FaultError for a file that cannot be opened or is not text.
    """
    text, guess = file.table_text()
    stated = STATED.match(text)
    if stated is not None:
        return TextTable(text[stated.end() :], stated[1], guess)
    lines = [line for line in text.splitlines() if line.strip()]
    first = lines[0] if lines else ""
    head = first if column is None else next((line for line in lines if column in line.casefold()), first)
    outside = re.sub(r'"[^"]*"', "", head)
    delimiter = max(DELIMITERS, key=outside.count)  # on a tie, the first
    return TextTable(text, delimiter if delimiter in outside else "", guess)
