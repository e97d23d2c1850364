"""Piece schedules: a table in CSV or XLSX, a row a piece, columns named by dotted path."""

import csv
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from estimator.errors import Fault, FaultError
from estimator.intake import schema
from estimator.intake.overlay import RawPiece

NUMBER = re.compile(r"[+-]?\d+(\.\d+)?")
TEXT_COLUMNS = frozenset(
    {"mark", "pour", "mix", "note", "name", "file", "layer"}
)  # stay text though they look like numbers
Row = tuple[int, dict[str, Any]]


def read_schedule(
    folder: Path, table: schema.ScheduleTable, file: str, entry: str, faults: list[Fault]
) -> list[RawPiece]:
    """The pieces of a schedule as it writes them. Faults name the row as a spreadsheet counts it."""
    path = folder / table.file
    place = f"{entry}, file"
    if not path.is_file():
        faults.append(Fault(file, place, f'there is no file "{table.file}".', "Paths are relative to the job file."))
        return []
    try:
        rows = read_rows(path)
    except UnreadableError as error:
        faults.append(Fault(table.file, "", str(error), "Save it again as CSV (UTF-8) or XLSX."))
        return []
    if not rows:
        faults.append(Fault(table.file, "", "holds no rows.", "Give a head row and a row a piece."))
        return []
    return [
        RawPiece(
            table.file,
            f"row {number}, piece {mark}" if (mark := cells.get("mark")) else f"row {number}",
            _nested(cells),
        )
        for number, cells in rows
    ]


class UnreadableError(FaultError):
    """A table that cannot be read at all."""

    def __init__(self, what: str, mend: str = "Save it again as CSV (UTF-8) or XLSX.") -> None:
        super().__init__("", what, mend)


def read_rows(path: Path) -> list[Row]:
    """The rows of a CSV or XLSX table below its head, each with its number. Raises UnreadableError."""
    return list(_xlsx(path) if path.suffix.lower() == ".xlsx" else _csv(path))


def _csv(path: Path) -> Iterator[Row]:
    try:
        with path.open(encoding="utf-8-sig", newline="") as stream:
            head = stream.readline()
            stream.seek(0)
            # A spreadsheet set to a decimal comma parts its columns by semicolons.
            yield from _rows(csv.reader(stream, delimiter="," if "," in head or ";" not in head else ";", strict=True))
    except (UnicodeDecodeError, csv.Error) as error:
        raise UnreadableError(f"is not a CSV table: {error}.") from None


def _xlsx(path: Path) -> Iterator[Row]:
    from zipfile import BadZipFile

    from openpyxl import load_workbook
    from openpyxl.utils.exceptions import InvalidFileException

    try:
        workbook = load_workbook(path, read_only=True, data_only=True)
    except (BadZipFile, InvalidFileException, KeyError, OSError) as error:
        raise UnreadableError(f"is not an XLSX workbook: {error}.") from None
    sheet = workbook.worksheets[0]
    yield from _rows([_text(cell) for cell in row] for row in sheet.iter_rows(values_only=True))
    workbook.close()


def _text(cell: Any) -> str:
    if cell is None:
        return ""
    if isinstance(cell, float) and cell.is_integer():
        return str(int(cell))
    return str(cell)


def _rows(table: Any) -> Iterator[Row]:
    """Rows with their number and their filled cells by column name."""
    head: list[str] | None = None
    for number, cells in enumerate(table, start=1):
        if not any(cell.strip() for cell in cells):
            continue
        if head is None:
            head = [cell.strip() for cell in cells]
            twice = sorted({name for name in head if name and head.count(name) > 1})
            if twice:
                raise UnreadableError(f'has more than one column "{twice[0]}".')
            continue
        filled = {}
        for i, cell in enumerate(cells):
            if not cell.strip():
                continue
            name = head[i] if i < len(head) and head[i] else f"column {i + 1}"
            filled[name] = _value(name, cell.strip())
        yield number, filled


def _value(column: str, cell: str) -> Any:
    if column.rpartition(".")[2] in TEXT_COLUMNS:
        return cell
    if NUMBER.fullmatch(cell):
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
