"""Piece schedules: tables with one row for each piece and columns named by dotted path."""

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cache
from operator import itemgetter
from pathlib import Path
from types import MappingProxyType
from typing import Any, Literal, Self, get_origin

from estimator.errors import Fault, FaultError, InputError
from estimator.intake.cell_formats import is_unit
from estimator.intake.cells import Cell, CellTable, Unseen, open_cells
from estimator.intake.documents import FREE_TEXT, RawPiece, either_spelling, spelled
from estimator.intake.faults import keys_of, parts_of, tables_within
from estimator.intake.tables import PieceTable, ScheduleTable
from estimator.keys import Quantity
from estimator.names import nearest
from estimator.notices import Notice
from estimator.units import units_of_length
from geometry.files import InputFile, named_file
from geometry.frozen import frozen
from geometry.message import Message, few, message

NUMBER = re.compile(r"[+-]?[0-9]+(\.[0-9]+)?")
BARE = re.compile(r"[+-]?(\d+(\.\d+)?|(\d+[ -])?\d+/\d+|\d*[½¼¾⅛⅜⅝⅞])")  # numbers and fractions without a unit
COMMA_NUMBER = re.compile(r"(?<![\d.,])(?:[1-9]\d{0,2}(?:\.\d{3})+|\d+)(?:,\d+)?(?![.,]?\d)")
"""Numbers of a table with decimal commas: points stand between thousands alone."""
WITH_MARK = re.compile(r"\d[.,]\d|[.,]\d")
THREE_DIGITS = re.compile(r"(\d+)\.(\d{3})\s*mm")  # ambiguous: 1.200 mm may mean 1.2 mm or 1200 mm
THREE_AFTER_COMMA = re.compile(r"(\d+),(\d{3})(?!\d)(.*)")
TWO_MARKS = re.compile(r"\d[.,]\d+[.,]\d")
WITH_COMMA = re.compile(r"[+-]?\d+,\d+(?![\d.,])")
WITH_POINT = re.compile(r"[+-]?\d+\.\d+(?![\d.,])")
HEAD = re.compile(r"(\S+?)(?:\s*[(\[]\s*([^)\]]+?)\s*[)\]]|(?:\s*[,/]\s*|\s+)(?:in\s+)?(\S+))")
"""A column header with its unit: "shape.length (mm)", "shape.length [in]", "shape.length, mm", "shape.length in mm"."""
LIST_MARKS = re.compile(r"[\[\],;\"']")
TEXT_COLUMNS = frozenset(
    {"mark", "pour", "mix", "note", "name", "file", "layer"}
)  # stay text even if they look like numbers
MOST_TITLE_ROWS = 20  # above the row of column names
MOST_DIGITS = 300  # a longer number is text
MOST_NAMED = 3  # hidden rows, columns or sheets in a note
SHOP_HEADS: Mapping[str, str] = MappingProxyType(
    {
        **dict.fromkeys(("piece", "piecemark", "type", "paneltype", "ref", "tag"), "mark"),
        **dict.fromkeys(("qty", "count", "pcs", "pieces", "noofpieces"), "quantity"),
        "desc": "description",
        **dict.fromkeys(("notes", "remarks"), "note"),
        **dict.fromkeys(("kind", "shape"), "shape.kind"),
        **dict.fromkeys(("thickness", "thick", "thk"), "shape.thickness"),
        **{size: f"shape.{size}" for size in ("length", "width", "height", "skin", "wall")},
    }
)
"""Columns by the words that heads of shop lists use for them, without blanks and points."""
KINDS_BY_SIZES: tuple[tuple[frozenset[str], str, Mapping[str, str]], ...] = (
    (frozenset({"length", "width", "thickness"}), "slab", {}),
    (frozenset({"length", "height", "skin"}), "panel", {}),
    (frozenset({"length", "height", "thickness"}), "panel", {"thickness": "skin"}),
    (frozenset({"width", "height", "thickness"}), "panel", {"width": "length", "thickness": "skin"}),
    (frozenset({"length", "width", "height", "wall"}), "box", {}),
)
"""Kinds of shape in a table without that column, by the sizes that only one kind needs, and what a panel's are in the
program's terms: a list of wall panels gives the width or length, the height and the thickness."""
Row = tuple[int, dict[str, Any]]
Filled = tuple[int, dict[str, Cell]]
"""Number of a row, and its filled cells by column."""
Filler = Callable[[Sequence[Any]], Any]


def read_schedule(
    folder: Path, table: ScheduleTable, file: str, entry: str, faults: list[Fault], notices: list[Notice]
) -> list[RawPiece]:
    """Raw pieces of a schedule. Faults give the row number as in a spreadsheet."""
    try:
        path = named_file(folder, table.file)
    except FaultError as error:
        faults.append(Fault(file, f"{entry}, file", error.message))
        return []
    try:
        cells = open_cells(InputFile(path.name, path), table.sheet, "mark")
        columns, units, rows = _below_head(cells, "mark")
        notes = [*_unseen_notes(cells.unseen, columns, rows), *_remark_notes(rows)]
        decimal = table.decimal or (_decimal_sign(rows) if cells.may_comma else None)
    except FaultError as error:
        faults.append(Fault(table.file, "", error.message))
        return []
    if not rows:
        faults.append(Fault(table.file, "", message("table-no-rows")))
        return []
    if cells.guess:
        notes.append(message("table-encoding-guess"))
    notices += [Notice("file-mended", message("of-file", file=table.file, text=note)) for note in notes]
    unknown = _unknown({column: number for number, row in reversed(rows) for column in row}, table.file, faults)
    read = {
        column: cache(_Column.of(column, units.get(column), decimal, table).read)
        for column in {name for _, row in rows for name in row}
    }
    return _pieces(rows, read, unknown, table.file, faults)


def _unseen_notes(unseen: Unseen, columns: list[str], rows: list[Filled]) -> Iterator[Message]:
    """Notes on content that counts although a spreadsheet program does not show it, and on sheets that do not count."""
    hidden = [str(number) for number, _ in rows if number in unseen.rows]
    if hidden:
        yield message("table-rows-hidden", count=len(hidden), rows=few(hidden, MOST_NAMED))
    used = {name for _, cells in rows for name in cells}
    covered = [name for number, name in enumerate(columns, start=1) if number in unseen.columns and name in used]
    if covered:
        yield message("table-columns-hidden", count=len(covered), columns=few(covered, MOST_NAMED))
    if unseen.rules:
        yield message("table-rules-strike")
    if unseen.sheets:
        yield message("table-sheets-other", count=len(unseen.sheets), sheets=few(unseen.sheets, MOST_NAMED))


REMARK = "#"


def _remark_notes(rows: list[Filled]) -> Iterator[Message]:
    """Note on rows that begin with # among others that do not: a spreadsheet knows no remarks, so they are pieces.

    "#1" is a usual mark, so no such row is left out.
    """
    marks = [(number, cells["mark"].text.strip()) for number, cells in rows if "mark" in cells]
    hashed = [str(number) for number, mark in marks if mark.startswith(REMARK)]
    if 0 < len(hashed) < len(marks):
        yield message("table-rows-hash", count=len(hashed), rows=few(hashed, MOST_NAMED))


def _pieces(
    rows: list[Filled],
    read: Mapping[str, Callable[[Cell], tuple[Any, Message | None]]],
    unknown: frozenset[str],
    file: str,
    faults: list[Fault],
) -> list[RawPiece]:
    """Piece of each row without a fault; `read` has the cell reader of each column."""
    layouts: dict[tuple[str, ...], Filler | None] = {}
    pieces = []
    for number, filled in rows:
        cells = {column: cell for column, cell in filled.items() if column not in unknown} if unknown else filled
        mark = cells["mark"].text.strip() if "mark" in cells else ""
        at = f"row {number}, piece {mark}" if mark else f"row {number}"
        if mark.startswith(REMARK) and len(filled) == 1:
            faults.append(Fault(file, f"row {number}", message("table-remark", value=mark[:40])))
            continue
        values = []
        for column, cell in cells.items():
            value, wrong = read[column](cell)
            if wrong is not None:
                faults.append(Fault(file, f"{at}, {column}", wrong))
            else:
                values.append(value)
        named = tuple(cells)
        if named not in layouts:
            layouts[named] = _layout(named, file, at, faults)
        if len(values) == len(cells) and (fill := layouts[named]) is not None:
            pieces.append(RawPiece(file, at, fill(values)))
    return pieces


Decimal = Literal["point", "comma"]


def _decimal_sign(rows: list[Filled]) -> Decimal | None:
    """Decimal sign of a table whose columns are not separated by commas; None if it does not show.

    Raises FaultError if it uses both signs.
    """
    seen: dict[Decimal, str] = {}
    for _, cells in rows:
        for column, cell in cells.items():
            if cell.typed and not _is_text(column):
                if WITH_COMMA.search(cell.text):
                    seen.setdefault("comma", cell.text.strip())
                if WITH_POINT.search(cell.text):
                    seen.setdefault("point", cell.text.strip())
    if len(seen) == 2:
        raise FaultError("", message("table-marks-differ", comma=seen["comma"][:40], point=seen["point"][:40]))
    return "comma" if "comma" in seen else None


@frozen
class _Column:
    """How the cells of one column are read.

    text     whether they stay text even if they look like numbers
    listed   whether they hold a list, such as "left, right" or "[left, right]"
    free     whether they are free text of the user, which is never respelled
    length   whether they are lengths
    unit     unit of a number without one; None leaves such a cell as it is
    headed   whether the header of the column names that unit
    decimal  decimal sign of typed numbers
    stated   whether the job file states that sign; otherwise an ambiguous number is refused
    """

    text: bool
    listed: bool
    free: bool
    length: bool
    unit: str | None
    headed: bool
    decimal: Decimal | None
    stated: bool

    @classmethod
    def of(cls, column: str, unit: str | None, decimal: Decimal | None, table: ScheduleTable) -> Self:
        """Reader of a column; `unit` is the unit in its header."""
        leaf = _leaf(column)
        length = leaf in _lengths()
        used = unit or (table.unit if length else None)
        listed = leaf in _lists() and not column.endswith("]")
        stated = table.decimal is not None
        return cls(_is_text(column), listed, leaf in FREE_TEXT, length, used, unit is not None, decimal, stated)

    def read(self, cell: Cell) -> tuple[Any, Message | None]:
        """Value of a cell, and what is wrong with it or None."""
        text = cell.text.strip()
        wrong = cell.wrong or self._fault(text, typed=cell.typed)
        if wrong is None and self.length and cell.beside:
            wrong = message("cell-beside", value=text, beside=cell.beside[:20])
        if wrong is None and not cell.typed and self.length and self.headed and self._contradicts(text):
            wrong = message("table-unit-of-head", value=text[:40], unit=str(self.unit))
        return (self._value(text, typed=cell.typed), None) if wrong is None else (None, wrong)

    def _value(self, text: str, *, typed: bool) -> Any:
        """Value of a text, with decimal points, and with the column's unit added to a number without one."""
        if self.text:
            return text if self.free else spelled(text)
        if self.listed:
            return [_value(part) for part in LIST_MARKS.sub(" ", spelled(text)).split()]
        bare = self.unit is not None and self._is_bare(text)
        if typed:
            text = self._pointed(text)
        value = _value(f"{text} {self.unit}" if bare else text)
        return spelled(value) if isinstance(value, str) else value

    def _fault(self, text: str, *, typed: bool) -> Message | None:
        """Error message for an ambiguous number, else None."""
        if not typed or self.text or self.listed:
            return None
        if self.stated:
            odd = self.decimal == "comma" and WITH_MARK.search(COMMA_NUMBER.sub("", text))
            return message("table-comma-odd", value=text[:40]) if odd else None
        if TWO_MARKS.search(text):
            return message("table-two-marks", value=text[:40])
        sized = f"{text} {self.unit}" if self.unit is not None and self._is_bare(text) else text
        if self.decimal == "comma" and (match := THREE_AFTER_COMMA.fullmatch(sized)):
            whole, rest, unit = match.groups()
            return message(
                "table-comma-or-thousands", value=text, point=f"{whole}{rest}{unit}", comma=f"{whole}.{rest}{unit}"
            )
        if match := THREE_DIGITS.fullmatch(sized):
            whole, rest = match.groups()
            values = {"point": f"{float(f'{whole}.{rest}'):.12g} mm", "comma": f"{whole}{rest} mm"}
            return message("table-point-or-thousands", value=text, **values)
        return None

    def _contradicts(self, text: str) -> bool:
        """Whether a number format shows a length in the other system of units than the header of its column."""
        try:
            return units_of_length(text) != units_of_length(f"1 {self.unit}")
        except FaultError:  # without a unit, or with a fault that is reported where it is read
            return False

    def _pointed(self, text: str) -> str:
        """A text with decimal points, and without thousands separators."""
        if self.decimal != "comma":
            return text
        return COMMA_NUMBER.sub(lambda match: match[0].replace(".", "").replace(",", "."), text)

    def _is_bare(self, text: str) -> bool:
        return BARE.fullmatch(self._pointed(text)) is not None


def _layout(columns: tuple[str, ...], file: str, at: str, faults: list[Fault]) -> Filler | None:
    """Function that fills the nested tables of these columns from the values of a row, in the program's spelling.

    None with faults if two columns are one name in two spellings.
    """
    try:
        layout = either_spelling(_nested({column: number for number, column in enumerate(columns)}), file)
        shape = layout.get("shape")
        if isinstance(shape, dict) and "kind" not in shape:
            layout["shape"] = _with_kind(shape)
        return _filler(layout)
    except InputError as error:
        faults += (fault.at(f"{at}, {fault.place}") for fault in error.faults)
        return None


def _with_kind(shape: dict[str, Any]) -> dict[str, Any]:
    """Layout of a shape with its kind, if its sizes are those of one kind alone."""
    kinds = [(kind, terms) for sizes, kind, terms in KINDS_BY_SIZES if sizes <= shape.keys()]
    if len(kinds) != 1:
        return shape
    [(kind, terms)] = kinds
    return {terms.get(key, key): column for key, column in shape.items()} | {"kind": kind}


def _filler(layout: Any) -> Filler:
    """Function that fills a layout of tables and lists, in which integers are indices of values, and text is itself."""
    if isinstance(layout, int):
        return itemgetter(layout)
    if isinstance(layout, str):
        return lambda _: layout
    if isinstance(layout, list):
        parts = [_filler(part) for part in layout]
        return lambda values: [part(values) for part in parts]
    plain = {key: number for key, number in layout.items() if isinstance(number, int)}
    branches = [(key, _filler(part)) for key, part in layout.items() if key not in plain]
    pick = (
        itemgetter(*plain.values(), *plain.values()) if plain else lambda _: ()
    )  # twice, because itemgetter of a single key does not return a tuple

    def fill(values: Sequence[Any]) -> dict[str, Any]:
        table = dict(zip(plain, pick(values), strict=False))
        for key, branch in branches:
            table[key] = branch(values)
        return table

    return fill


def _unknown(columns: Mapping[str, int], file: str, faults: list[Fault]) -> frozenset[str]:
    """Columns that are not keys of a piece; adds one fault for each column.

    columns   first row that fills each column
    """
    unknown = set()
    for column, row in columns.items():
        first, *below = map(spelled, column.replace("[", ".").replace("]", "").split("."))
        if re.fullmatch(r"column \d+", column):
            problem = message("table-column-unnamed", row=str(row))
        elif first not in keys_of(PieceTable):
            shape = message("did-you-mean", name=f"shape.{first}")
            near = shape if first in _keys() else nearest(first, keys_of(PieceTable))
            problem = message("table-column-unknown", nearest=near)
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
    """Rows of a table below its header, each with its number.

    Raises FaultError for a table that cannot be read, and for hidden rows, which would count unseen.
    """
    cells = open_cells(InputFile(path.name, path), None, None)
    _, units, filled = _below_head(cells, None)
    hidden = [str(number) for number, _ in filled if number in cells.unseen.rows]
    if hidden:
        raise FaultError("", message("table-rows-unseen", count=len(hidden), rows=few(hidden, MOST_NAMED)))
    rows = []
    for number, row in filled:
        for column, cell in row.items():
            if cell.wrong is not None:
                raise FaultError("", message("about", subject=f"row {number}, {column}", text=cell.wrong))
        rows.append((number, {column: _plain_value(column, cell.text.strip(), units) for column, cell in row.items()}))
    return rows


def _plain_value(column: str, text: str, units: Mapping[str, str]) -> Any:
    """Value of a cell, with the unit of the column header added to a number without one."""
    if _is_text(column):
        return text
    return _value(f"{text} {units[column]}" if column in units and BARE.fullmatch(text) else text)


def _below_head(table: CellTable, column: str | None) -> tuple[list[str], dict[str, str], list[Filled]]:
    """Names of the columns, the units in their headers, and the rows below the header.

    column   a column of the header; rows above it are titles. None: the header is the first row that is not empty

    Raises FaultError for a table without that column or with one twice, and for rows that are struck out: they may be
    cancelled, or an entry replaced.
    """
    head: list[str] | None = None
    names: list[str] = []
    units: dict[str, str] = {}
    rows: list[Filled] = []
    skipped, struck = 0, list[str]()
    for number, cells in table.rows:
        if head is None:
            heads = [_head(cell.text.strip()) for cell in cells]
            if column is not None:
                heads = [(column_of(name), unit) for name, unit in heads]
            if column is not None and column not in (name for name, _ in heads):
                skipped += 1
                if skipped > MOST_TITLE_ROWS:
                    break
                continue
            struck += [str(number)] * (number in table.unseen.struck)
            head = [name for name, _ in heads]
            names = [name or f"column {i + 1}" for i, name in enumerate(head)]
            units = {name: unit for name, unit in heads if unit}
            paths = [name.replace("[", ".").replace("]", "") for name in head]  # layers[0].mix is layers.0.mix
            twice = [name for at, name in enumerate(head) if name and paths[at] in paths[:at]]
            if twice:
                raise FaultError("", message("table-column-twice", column=twice[0]))
            continue
        if number in table.unseen.struck:
            struck.append(str(number))
        if len(names) < len(cells):
            names += [f"column {i + 1}" for i in range(len(names), len(cells))]
        rows.append((number, {name: cell for name, cell in zip(names, cells, strict=False) if cell.text.strip()}))
    if head is None and skipped:
        raise FaultError("", message("table-no-head", column=column or "mark"))
    if struck:
        raise FaultError("", message("table-rows-struck", count=len(struck), rows=few(struck, MOST_NAMED)))
    return names, units, rows


def _head(text: str) -> tuple[str, str]:
    """Name of a column, and the unit in its header or "".

    >>> _head("shape.length (mm)"), _head("quantity"), _head("layers[0].mix"), _head("waste, %")
    (('shape.length', 'mm'), ('quantity', ''), ('layers[0].mix', ''), ('waste', '%'))
    """
    match = HEAD.fullmatch(text)
    if match is not None and is_unit(unit := match[2] or match[3]):
        return match[1], unit
    return text, ""


def column_of(name: str) -> str:
    """Column that a header names: a path in any case, or a word of shop lists.

    >>> column_of("Mark"), column_of("Qty."), column_of("Shape.Length"), column_of("Thk"), column_of("Color chip")
    ('mark', 'quantity', 'shape.length', 'shape.thickness', 'Color chip')
    """
    word = "".join(letter for letter in name.casefold() if letter.isalnum())
    path = name.rstrip(".: ").lower()
    first = spelled(path.replace("[", ".").partition(".")[0])
    return SHOP_HEADS.get(word) or (path if first in keys_of(PieceTable) else name)


def _keys_where(holds: Callable[[Any], bool]) -> frozenset[str]:
    """Names of all keys of a piece with a type of which this holds."""
    return frozenset(
        key
        for table in tables_within(PieceTable)
        for key, hint in keys_of(table).items()
        if any(map(holds, parts_of(hint)))
    )


@cache
def _lengths() -> frozenset[str]:
    """Names of all keys of a piece whose value is a length."""
    return _keys_where(lambda part: isinstance(part, Quantity) and part.kind == "length")


@cache
def _lists() -> frozenset[str]:
    """Names of all keys of a piece whose value is a list of words, such as the sides of a return."""
    return _keys_where(
        lambda part: get_origin(part) is list and any(get_origin(word) is Literal for word in parts_of(part))
    )


def _leaf(column: str) -> str:
    """Last name of a dotted path, without list indices."""
    names = [step for step in column.replace("[", ".").replace("]", "").split(".") if not step.isdecimal()]
    return names[-1] if names else column


def _is_text(column: str) -> bool:
    return _leaf(column) in TEXT_COLUMNS | FREE_TEXT


def _value(cell: str) -> Any:
    if len(cell) <= MOST_DIGITS and NUMBER.fullmatch(cell):
        return float(cell) if "." in cell else int(cell)
    return {"true": True, "false": False}.get(cell.lower(), cell)


def _nested(cells: dict[str, Any]) -> dict[str, Any]:
    """Dotted columns as nested tables; a number in a path is a list index from 0.

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
