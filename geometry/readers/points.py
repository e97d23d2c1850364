"""Outlines as tables of points, as laser templates export them: one row per point, in order, heights optional."""

from __future__ import annotations

import re

import numpy as np

from geometry.arrays import Floats
from geometry.errors import UNIT_M, FaultError
from geometry.files import InputFile, parsing
from geometry.message import Message, message
from geometry.numbers import decimal_number
from geometry.readers.delimited import TextTable, open_table
from geometry.readers.sheet import Unevenness, unevenness
from geometry.readers.text import LineParts, TextSource

COLUMNS = ("x", "y", "z", "outline", "bulge", "layer")
"""Columns of a table of points; x and y are required."""

LABELS = ("point", "id", "number", "no")
"""Columns that label points; they are ignored."""

LENGTHS = ("x", "y", "z")
HEAD = re.compile(r"([a-z_]+)(?:(?:\s*[(\[,/]\s*|\s+)(mm|cm|m|in|ft)\s*[)\]]?)?", re.IGNORECASE)
"""A column name with an optional unit: "x", "x (mm)", "x [mm]", "x mm"."""

Lines = list[tuple[int, list[str]]]


def open_points(file: InputFile) -> TextSource:
    """Read outlines from a table of points.

    Columns are x and y, and optionally z, `outline` (rows with the same value form one outline), `bulge` (tangent of a
    quarter of the angle of the arc to the next point) and `layer`; without a header row they are x and y. A unit after
    x, y and z is that of the table. A blank line also ends an outline. If columns are separated by tabs or semicolons,
    a comma is a decimal sign. Heights are dropped, and their deviation from a plane is kept.
    """
    table = open_table(file)
    rows = _rows(table)
    first = next((cells for _, cells in rows if cells), [])
    heading, unit_m = ["x", "y"], None
    if any(re.match(r"[A-Za-z_]", cell.strip()) for cell in first):
        heading, unit_m = _heading(first)
        rows = rows[[bool(cells) for _, cells in rows].index(True) + 1 :]
    elif len(first) == 3:
        raise FaultError("", message("points-three-columns"))

    outlines: dict[tuple[int, str], list[tuple[list[float], str]]] = {}
    block = 0
    for number, cells in rows:
        if not cells:
            block += 1
            continue
        if len(cells) != len(heading):
            raise FaultError("", message("csv-cells", line=str(number), cells=len(cells), columns=len(heading)))
        row = dict(zip(heading, cells, strict=True))
        values = [_number(row[name], number) if row.get(name, "").strip() else 0.0 for name in ("bulge", "z")]
        place = [_number(row[name], number) for name in ("x", "y")]
        outlines.setdefault((block, row.get("outline", "")), []).append(
            ([*place, *values], row.get("layer", "").strip())
        )
    problems = (message("table-encoding-guess"),) if table.guess else ()
    return _source([(np.array([row for row, _ in rows]), rows[0][1]) for rows in outlines.values()], unit_m, problems)


def _source(outlines: list[tuple[Floats, str]], unit_m: float | None, problems: tuple[Message, ...]) -> TextSource:
    """Source of outlines given as rows of x, y, bulge and z, each with its layer."""
    closed: list[tuple[LineParts, str]] = []
    uneven: list[tuple[Unevenness, str]] = []
    for number, (points, layer) in enumerate(outlines, start=1):
        if len(points) > 1 and (points[0, :2] == points[-1, :2]).all():
            points = points[:-1]
        if np.ptp(points[:, 3]) > 0:
            uneven.append((unevenness(message("part-outline", number=number), points[:, [0, 1, 3]]), layer))
        closed.append(((points[:, :2], points[:, 2]), layer))
    return TextSource(closed, [], problems, unit_m, tuple(uneven))


def _heading(cells: list[str]) -> tuple[list[str], float | None]:
    """Names of the columns, and meters per unit if the header states one."""
    names, units = [], []
    for cell in cells:
        match = HEAD.fullmatch(cell.strip())
        name = match[1].lower() if match else cell.strip().lower()
        if name not in COLUMNS + LABELS or (match and match[2] and name not in LENGTHS):
            raise _refusal(message("csv-column-unknown", column=" ".join(cell.split())[:40]))
        if name in names:
            raise _refusal(message("csv-column-twice", column=name))
        names.append(name)
        if name in LENGTHS:
            units.append(match[2].lower() if match and match[2] else "")
    if "x" not in names or "y" not in names:
        raise _refusal(message("csv-no-xy"))
    if len(set(units)) > 1:
        raise _refusal(message("csv-units-differ", units=", ".join(unit or "-" for unit in units)))
    return names, UNIT_M[units[0]] if units[0] else None


def _refusal(fault: Message) -> FaultError:
    return FaultError("", message("csv-heading", wrong=fault, columns=", ".join(COLUMNS)))


def _rows(table: TextTable) -> Lines:
    """Line numbers and cells; no cells for a blank line."""
    if not table.delimiter:
        return [(number, line.split()) for number, line in enumerate(table.text.splitlines(), start=1)]
    with parsing("CSV"):
        rows = [
            (number, [cell.strip() for cell in row] if any(cell.strip() for cell in row) else [])
            for number, row in enumerate(table.rows(), start=1)
        ]
    if table.may_have_commas:
        rows = [(number, [cell.replace(",", ".") for cell in row]) for number, row in rows]
    return rows


def _number(cell: str, line: int) -> float:
    try:
        return decimal_number(cell)
    except ValueError:
        raise FaultError("", message("csv-no-number", line=line, text=cell.strip()[:40])) from None
