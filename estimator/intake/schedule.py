"""Piece schedules: a table in CSV or XLSX, one row per piece, columns named by dotted path."""

import csv
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import date, time
from functools import cache
from io import BytesIO
from operator import itemgetter
from pathlib import Path
from typing import Any, Literal, NamedTuple, Self

from estimator.errors import Fault, FaultError, InputError
from estimator.intake.documents import FREE_TEXT, RawPiece, either_spelling, spelled
from estimator.intake.faults import keys_of, parts_of, tables_within
from estimator.intake.tables import PieceTable, ScheduleTable
from estimator.keys import Quantity
from estimator.names import nearest
from estimator.units import read_quantity
from geometry.files import InputFile, named_file, parsing, read_bytes
from geometry.frozen import frozen
from geometry.message import Message, message

NUMBER = re.compile(r"[+-]?\d+(\.\d+)?")
BARE = re.compile(r"[+-]?(\d+(\.\d+)?|(\d+[ -])?\d+/\d+)")  # numbers and fractions without a unit
COMMA_NUMBER = re.compile(r"\d[\d.]*,\d+|\d{1,3}(\.\d{3})+(?![\d.])")  # as a table with the decimal comma writes them
THREE_DIGITS = re.compile(r"\d+\.\d{3}\s*mm")  # 1.200 mm: 1.2 mm, or 1200 mm with the point between thousands?
UNIT_OF_FORMAT = re.compile(r"""[0#?](?:\\?\s)*(?:"\s*([^"]+?)\s*"|\\?("|')|((?:\\[A-Za-z])+))\s*$""")
TEXT_COLUMNS = frozenset(
    {"mark", "pour", "mix", "note", "name", "file", "layer"}
)  # stay text though they look like numbers
MOST_TITLE_ROWS = 20  # above the row of column names
MOST_ROWS = 100_000
MOST_COLUMNS = 200
MOST_DIGITS = 300  # of a number; more are text
Row = tuple[int, dict[str, Any]]
Filler = Callable[[Sequence[Any]], Any]


class Cell(NamedTuple):
    """Content of one cell, as text.

    wrong   what is wrong with it, or None
    typed   whether somebody typed it as text; otherwise it is a number of the workbook
    """

    text: str
    wrong: Message | None = None
    typed: bool = True


class UnreadableError(FaultError):
    """A table that cannot be read at all."""


def read_schedule(folder: Path, table: ScheduleTable, file: str, entry: str, faults: list[Fault]) -> list[RawPiece]:
    """The pieces of a schedule as it writes them. Faults name the row as a spreadsheet counts it."""
    try:
        path = named_file(folder, table.file)
    except FaultError as error:
        faults.append(Fault(file, f"{entry}, file", error.message))
        return []
    try:
        rows = list(_below_head(_cells(path, table.sheet), "mark"))
    except UnreadableError as error:
        faults.append(Fault(table.file, "", error.message))
        return []
    if not rows:
        faults.append(Fault(table.file, "", message("table-no-rows")))
        return []
    unknown = _unknown({column: number for number, cells in reversed(rows) for column in cells}, table.file, faults)
    read = {column: cache(_Column.of(column, table).read) for column in {name for _, cells in rows for name in cells}}
    layouts: dict[tuple[str, ...], Filler | None] = {}
    pieces = []
    for number, filled in rows:
        cells = {column: cell for column, cell in filled.items() if column not in unknown} if unknown else filled
        mark = cells["mark"].text.strip() if "mark" in cells else ""
        at = f"row {number}, piece {mark}" if mark else f"row {number}"
        values = []
        for column, cell in cells.items():
            value, wrong = read[column](cell)
            if wrong is not None:
                faults.append(Fault(table.file, f"{at}, {column}", wrong))
            else:
                values.append(value)
        named = tuple(cells)
        if named not in layouts:
            layouts[named] = _layout(named, table.file, at, faults)
        if len(values) == len(cells) and (fill := layouts[named]) is not None:
            pieces.append(RawPiece(table.file, at, fill(values)))
    return pieces


@frozen
class _Column:
    """How the cells of one column are read.

    text     they stay text though they look like numbers
    free     they are the user's own words, never respelled
    unit     of a length whose cell has none; None where such a cell is left as it is
    decimal  how the table writes numbers
    """

    text: bool
    free: bool
    unit: str | None
    decimal: Literal["point", "comma"] | None

    @classmethod
    def of(cls, column: str, table: ScheduleTable) -> Self:
        leaf = _leaf(column)
        unit = table.unit if leaf in _lengths() else None
        return cls(_is_text(column), leaf in FREE_TEXT, unit, table.decimal)

    def read(self, cell: Cell) -> tuple[Any, Message | None]:
        """The value of a cell, and what is wrong with it."""
        text = cell.text.strip()
        wrong = cell.wrong or self._fault(text, typed=cell.typed)
        return (self._value(text, typed=cell.typed), None) if wrong is None else (None, wrong)

    def _value(self, text: str, *, typed: bool) -> Any:
        """With the decimal point, and with the table's unit where a length has none."""
        bare = self.unit is not None and self._is_bare(text)
        if self.text:
            return text if self.free else spelled(text)
        if self.decimal == "comma" and typed:
            text = COMMA_NUMBER.sub(lambda found: found[0].replace(".", "").replace(",", "."), text)
        value = _value(f"{text} {self.unit}" if bare else text)
        return spelled(value) if isinstance(value, str) and not self.free else value

    def _fault(self, text: str, *, typed: bool) -> Message | None:
        """What is wrong with a size in mm that may count thousands or thousandths."""
        if not typed or self.decimal is not None or self.text or "." not in text:
            return None
        sized = f"{text} {self.unit}" if self.unit is not None and self._is_bare(text) else text
        if not THREE_DIGITS.fullmatch(sized):
            return None
        number = sized.removesuffix("mm").strip()
        values = {"point": f"{float(number):g} mm", "comma": f"{number.replace('.', '')} mm"}
        return message("table-point-or-thousands", value=text, **values)

    def _is_bare(self, text: str) -> bool:
        return BARE.fullmatch(text.replace(",", ".", 1) if self.decimal == "comma" else text) is not None


def _layout(columns: tuple[str, ...], file: str, at: str, faults: list[Fault]) -> Filler | None:
    """A function of the values of a row that gives the tables in tables which columns make, in the program's spelling.

    None, with its faults, where two columns are one name in two spellings.
    """
    try:
        return _filler(either_spelling(_nested({column: number for number, column in enumerate(columns)}), file))
    except InputError as error:
        faults += (fault.at(f"{at}, {fault.place}") for fault in error.faults)
        return None


def _filler(layout: Any) -> Filler:
    """Fills tables and lists that hold the number of a value where that belongs."""
    if isinstance(layout, int):
        return itemgetter(layout)
    if isinstance(layout, list):
        parts = [_filler(part) for part in layout]
        return lambda values: [part(values) for part in parts]
    plain = {key: number for key, number in layout.items() if isinstance(number, int)}
    branches = [(key, _filler(part)) for key, part in layout.items() if key not in plain]
    pick = (
        itemgetter(*plain.values(), *plain.values()) if plain else lambda _: ()
    )  # twice: of one alone it gives no tuple

    def fill(values: Sequence[Any]) -> dict[str, Any]:
        table = dict(zip(plain, pick(values), strict=False))
        for key, branch in branches:
            table[key] = branch(values)
        return table

    return fill


def _unknown(columns: Mapping[str, int], file: str, faults: list[Fault]) -> frozenset[str]:
    """The columns that are no key of a piece; one fault per column, however many rows fill it.

    columns   with the first row that fills each
    """
    unknown = set()
    for column, row in columns.items():
        first, *below = map(spelled, column.replace("[", ".").replace("]", "").split("."))
        if re.fullmatch(r"column \d+", column):
            problem = message("table-column-unnamed", row=str(row))
        elif first not in keys_of(PieceTable):
            problem = message("table-column-unknown", nearest=nearest(first, keys_of(PieceTable)))
        elif first == "shape" and (wrong := [name for name in below if not name.isdecimal() and name not in _keys()]):
            problem = message("table-column-unknown", nearest=nearest(wrong[0], _keys()))
        else:
            continue
        unknown.add(column)
        faults.append(Fault(file, column if column.startswith("column ") else f'column "{column}"', problem))
    return frozenset(unknown)


@cache
def _keys() -> frozenset[str]:
    """Every key that a piece can have, at any depth."""
    return frozenset(key for table in tables_within(PieceTable) for key in keys_of(table))


def read_rows(path: Path) -> list[Row]:
    """The rows of a CSV or XLSX table below its head, each with its number. Raises UnreadableError."""
    rows = []
    for number, cells in _below_head(_cells(path, None), None):
        for column, cell in cells.items():
            if cell.wrong is not None:
                raise UnreadableError("", message("about", subject=f"row {number}, {column}", text=cell.wrong))
        rows.append((number, {column: _cell_value(column, cell.text.strip()) for column, cell in cells.items()}))
    return rows


def _cells(path: Path, sheet: str | None) -> Iterator[list[Cell]]:
    """Every row of a table, cell by cell. Raises UnreadableError."""
    if path.suffix.lower() == ".xlsx":
        return _xlsx(path, sheet)
    if sheet is not None:
        raise UnreadableError("", message("table-sheet-of-csv", sheet=sheet))
    return _csv(path)


def _csv(path: Path) -> Iterator[list[Cell]]:
    try:
        head = read_bytes(path).decode("utf-8-sig")
        # A spreadsheet set to a decimal comma parts its columns by semicolons.
        named = next((line for line in head.splitlines() if "mark" in line.casefold()), head.partition("\n")[0])
        delimiter = ";" if named.count(";") > named.count(",") else ","
        for number, row in enumerate(csv.reader(head.splitlines(keepends=True), delimiter=delimiter, strict=True)):
            _refuse_large(number, len(row))
            yield [Cell(text) for text in row]
    except (UnicodeDecodeError, csv.Error) as error:
        raise UnreadableError("", message("table-not-csv")) from error


def _refuse_large(rows: int, columns: int) -> None:
    """Raise UnreadableError for a table that nobody wrote by hand."""
    if rows > MOST_ROWS:
        raise UnreadableError("", message("table-rows-most", most=f"{MOST_ROWS:,}"))
    if columns > MOST_COLUMNS:
        raise UnreadableError("", message("table-columns-most", columns=f"{columns:,}", most=f"{MOST_COLUMNS:,}"))


def _xlsx(path: Path, wanted: str | None) -> Iterator[list[Cell]]:
    """Every row of a workbook's sheet. The library raises whatever it met, while it opens and while it reads."""
    try:
        with parsing("XLSX"):
            yield from _sheet(path, wanted)
    except UnreadableError:
        raise
    except FaultError as error:
        raise UnreadableError("", error.message) from error


def _sheet(path: Path, wanted: str | None) -> Iterator[list[Cell]]:
    from zipfile import BadZipFile

    from openpyxl import load_workbook
    from openpyxl.utils.exceptions import InvalidFileException

    try:
        content = read_bytes(path)
        archive = InputFile(path.name, content).archive()
        for name in archive.names:  # refused here, before the library unpacks them to too much
            archive.read(name)
        workbook = load_workbook(BytesIO(content), read_only=True, data_only=True)
        written = load_workbook(BytesIO(content), read_only=True, data_only=False)
    except (BadZipFile, InvalidFileException, KeyError, OSError) as error:
        raise UnreadableError("", message("table-not-xlsx")) from error
    try:
        named = {sheet.title.strip().casefold(): i for i, sheet in enumerate(workbook.worksheets)}
        if wanted is not None and wanted.strip().casefold() not in named:
            sheets = [f'"{sheet.title}"' for sheet in workbook.worksheets]
            raise UnreadableError("", message("table-no-sheet", sheet=wanted, sheets=sheets))
        at = 0 if wanted is None else named[wanted.strip().casefold()]
        both = workbook.worksheets[at], written.worksheets[at]
        for sheet in both:
            sheet.reset_dimensions()  # the file's own word for them may leave rows out
        for number, (row, formulas) in enumerate(
            zip(both[0].iter_rows(), both[1].iter_rows(values_only=True), strict=False)
        ):
            _refuse_large(number, max((i for i, value in enumerate(formulas, start=1) if value is not None), default=0))
            yield [_cell(cell, formula) for cell, formula in zip(row, formulas, strict=False)]
    finally:
        workbook.close()
        written.close()


def _cell(cell: Any, formula: Any) -> Cell:
    """A cell of a workbook; of a number with a unit in its format, the text with that unit."""
    value = cell.value
    if value is None:
        if isinstance(formula, str) and formula.startswith("="):
            return Cell("?", message("cell-formula", cell=cell.coordinate, formula=formula))
        return Cell("")
    if isinstance(value, time):
        return Cell("?", message("cell-time", cell=cell.coordinate, value=f"{value:%H:%M}"))
    if isinstance(value, date):
        return Cell("?", message("cell-date", cell=cell.coordinate, value=f"{value:%Y-%m-%d}"))
    if isinstance(value, bool):
        return Cell("true" if value else "false")
    if isinstance(value, int | float):
        number = str(int(value)) if float(value).is_integer() else repr(value)
        return Cell(f"{number} {unit}" if (unit := _unit_of_format(cell.number_format)) else number, typed=False)
    return Cell(str(value))


def _unit_of_format(number_format: str) -> str | None:
    r"""The unit that a number format shows behind the number, or None.

    >>> _unit_of_format('0.0" mm"'), _unit_of_format(r'#,##0.00\ "in"'), _unit_of_format(r"0\m\m")
    ('mm', 'in', 'mm')
    >>> _unit_of_format("0.00"), _unit_of_format('0" pcs"')
    (None, None)
    """
    found = UNIT_OF_FORMAT.search((number_format or "").split(";")[0])
    unit = "" if found is None else next(part for part in found.groups() if part).replace("\\", "")
    known = _is_unit(unit, "length") or _is_unit(unit, "mass") or _is_unit(unit, "angle")
    return unit if known else None


def _is_unit(unit: str, dimension: Literal["length", "mass", "angle"]) -> bool:
    try:
        read_quantity(f"1 {unit}", dimension)
    except FaultError:
        return False
    return True


def _below_head(table: Iterable[list[Cell]], column: str | None) -> Iterator[tuple[int, dict[str, Cell]]]:
    """Rows with their number and their filled cells by column name, below the head.

    column   one that the head has: what stands above it is a title; None: the head is the first row that holds anything
    """
    head: list[str] | None = None
    skipped = 0
    for number, cells in enumerate(table, start=1):
        if not any(cell.text.strip() for cell in cells):
            continue
        if head is None:
            names = [cell.text.strip() for cell in cells]
            if column is not None and column not in names:
                skipped += 1
                if skipped > MOST_TITLE_ROWS:
                    break
                continue
            head = names
            twice = sorted({name for name in head if name and head.count(name) > 1})
            if twice:
                raise UnreadableError("", message("table-column-twice", column=twice[0]))
            continue
        filled = {}
        for i, cell in enumerate(cells):
            if cell.text.strip():
                filled[head[i] if i < len(head) and head[i] else f"column {i + 1}"] = cell
        yield number, filled
    if head is None and skipped:
        raise UnreadableError("", message("table-no-head", column=column or "mark"))


@cache
def _lengths() -> frozenset[str]:
    """Names of all keys of a piece that hold a length."""
    return frozenset(
        key
        for table in tables_within(PieceTable)
        for key, hint in keys_of(table).items()
        if any(isinstance(part, Quantity) and part.kind == "length" for part in parts_of(hint))
    )


def _leaf(column: str) -> str:
    """The last name of a dotted path, without the numbers of list items."""
    names = [step for step in column.replace("[", ".").replace("]", "").split(".") if not step.isdecimal()]
    return names[-1] if names else column


def _is_text(column: str) -> bool:
    return column.rpartition(".")[2] in TEXT_COLUMNS


def _cell_value(column: str, cell: str) -> Any:
    return cell if _is_text(column) else _value(cell)


def _value(cell: str) -> Any:
    if len(cell) <= MOST_DIGITS and NUMBER.fullmatch(cell):
        return float(cell) if "." in cell else int(cell)
    return {"true": True, "false": False}.get(cell.lower(), cell)


def _nested(cells: dict[str, Any]) -> dict[str, Any]:
    """Dotted columns as tables in tables; a number in a path counts the items of a list from 0.

    >>> _nested({"mark": "W1", "shape.kind": "panel", "layers.0.mix": "face"})
    {'mark': 'W1', 'shape': {'kind': 'panel'}, 'layers': [{'mix': 'face'}]}
    """
    tree: dict[str, Any] = {}
    for path, value in cells.items():
        *above, leaf = path.replace("[", ".").replace("]", "").split(".")
        at = tree
        for step in above:
            below = at.setdefault(step, {})
            if not isinstance(below, dict):
                below = at[step] = {}
            at = below
        at[leaf] = value
    listed: dict[str, Any] = _listed(tree)
    return listed


def _listed(tree: Any) -> Any:
    if not isinstance(tree, dict):
        return tree
    if tree and all(key.isdecimal() for key in tree):
        return [_listed(tree[key]) for key in sorted(tree, key=int)]
    return {key: _listed(value) for key, value in tree.items()}
