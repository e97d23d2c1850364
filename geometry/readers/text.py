"""Outlines written as text: GeoJSON, WKT, and CSV of points. None of these says its unit."""

from __future__ import annotations

import csv
import json
import re
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from shapely.geometry import shape

from geometry.errors import FaultError
from geometry.files import InputFile, limits, parsing
from geometry.message import Message, message
from geometry.plane import fault_of
from geometry.readers.sheet import NO_NAMES, LineCollector, Names, Sheet

GEOMETRY_ERRORS = (ValueError, TypeError, LookupError, AttributeError, ArithmeticError, shapely.errors.ShapelyError)
COLUMNS = ("x", "y", "outline", "bulge", "layer")
"""Columns of a CSV of points; x and y are needed."""


@dataclass
class TextSource:
    """Outlines that were read whole. See `geometry.readers.sheet.Source`."""

    closed: list[tuple[LineParts, str]]
    loose: list[tuple[LineParts, str]]
    problems: tuple[Message, ...] = ()
    unit_m: float | None = None

    def sheet(self, layers: Collection[str] | None, chord: float, ignored: Names = NO_NAMES) -> Sheet:
        """The outlines on these layers. Raises FaultError for a layer that no outline is on."""
        names = sorted({name for _, name in [*self.closed, *self.loose]})
        for wanted in layers or ():
            if wanted not in names:
                listed = ", ".join(name for name in names if name)
                raise FaultError("", message("layer-empty", layer=wanted, layers=listed, count=len(listed)))
        closed, loose, omitted = LineCollector(), LineCollector(), 0
        for collector, entries in ((closed, self.closed), (loose, self.loose)):
            for (points, bulges), name in entries:
                if ignored.hold((name,)):
                    omitted += 1
                elif layers is None or name in layers:
                    collector.add(points, bulges, names.index(name))
        return Sheet(
            closed.lines(),
            loose.lines(),
            tuple(names),
            self.problems,
            groups=tuple((name,) for name in names),
            omitted=(("ignored", omitted),) if omitted else (),
        )


LineParts = tuple[Any, Any]
"""Points (n, 2) and bulges (n,) or None."""


def open_geojson(file: InputFile) -> TextSource:
    """Outlines of a GeoJSON file; a feature's property `layer` names its layer."""
    text = file.text()
    with parsing("GeoJSON"):
        try:
            document = json.loads(text)
        except json.JSONDecodeError as error:
            raise FaultError("", message("geojson-not", line=error.lineno, reason=error.msg.lower())) from error
    geometries = []
    for geometry, layer in _features(document, ""):
        try:
            geometries.append((shape(geometry), layer))
        except GEOMETRY_ERRORS as error:
            raise FaultError("", message("geometry-unreadable", error=_one_line(error))) from error
    return _of_geometries(geometries)


def _features(part: Any, layer: str, depth: int = 0) -> Iterator[tuple[dict[str, Any], str]]:
    _refuse_deep(depth, "GeoJSON")
    kind = part.get("type") if isinstance(part, dict) else None
    if kind == "FeatureCollection":
        for feature in part.get("features") or ():
            yield from _features(feature, layer, depth + 1)
    elif kind == "Feature":
        if part.get("geometry") is not None:
            own = (part.get("properties") or {}).get("layer")
            yield from _features(part["geometry"], layer if own is None else str(own), depth + 1)
    elif kind in _GEOMETRIES:
        yield part, layer
    else:
        raise FaultError("", message("geojson-type", kind=f"{kind!r}"))


_GEOMETRIES = frozenset(
    "Point MultiPoint LineString MultiLineString Polygon MultiPolygon GeometryCollection".split()  # noqa: SIM905
)


def open_wkt(file: InputFile) -> TextSource:
    """Outlines of a file of well-known text, one geometry or one a line."""
    text = re.sub(r"(?i)\bSRID=\d+;", "", file.text()).strip()
    steps = np.cumsum([1 if mark == "(" else -1 for mark in re.findall(r"[()]", text)])
    _refuse_deep(int(steps.max(initial=0)), "WKT")  # the parser itself ends the process with a deep one
    try:
        return _of_geometries([(shapely.from_wkt(text), "")])
    except shapely.errors.ShapelyError as whole:
        lines = [(n, line) for n, line in enumerate(text.splitlines(), start=1) if line.strip()]
        if len(lines) < 2 or not all(re.match(r"\s*[A-Za-z]", line) for _, line in lines):
            raise FaultError("", message("wkt-not", reason=_one_line(whole))) from whole
    geometries = []
    for number, line in lines:
        try:
            geometries.append((shapely.from_wkt(line), ""))
        except shapely.errors.ShapelyError as error:
            raise FaultError("", message("wkt-line", number=number, error=_one_line(error))) from error
    return _of_geometries(geometries)


def _refuse_deep(depth: int, kind: str) -> None:
    if depth > limits().levels:
        raise limits().over("file-nested", "levels", depth, kind=kind)


def _of_geometries(geometries: list[tuple[Any, str]]) -> TextSource:
    closed: list[tuple[LineParts, str]] = []
    loose: list[tuple[LineParts, str]] = []
    points = 0
    for geometry, layer in geometries:
        for part in _parts(geometry):
            if part.is_empty:
                continue
            if part.geom_type == "Polygon":
                _refuse_wrong_holes(part)
                closed += [((shapely.get_coordinates(ring), None), layer) for ring in (part.exterior, *part.interiors)]
            elif part.geom_type == "LinearRing":
                closed.append(((shapely.get_coordinates(part), None), layer))
            elif part.geom_type == "LineString":
                loose.append(((shapely.get_coordinates(part), None), layer))
            elif part.geom_type == "Point":
                points += 1
            else:
                raise FaultError("", message("wkt-kind", kind=part.geom_type))
    problems = (message("note-points", count=points),) if points else ()
    return TextSource(closed, loose, problems)


def _parts(geometry: Any) -> Iterator[Any]:
    if hasattr(geometry, "geoms"):
        for part in geometry.geoms:
            yield from _parts(part)
    else:
        yield geometry


def _refuse_wrong_holes(polygon: shapely.Polygon) -> None:
    """A hole that lies outside its polygon would be taken for a piece, one in another hole for an island."""
    if polygon.is_valid:
        return
    fault, x, y = fault_of(polygon)
    if fault in ("hole-outside", "holes-overlap"):
        raise FaultError("", message("polygon-holes", fault=fault, x=f"{x:.8g}", y=f"{y:.8g}"))


def open_csv(file: InputFile) -> TextSource:
    """Outlines from a table of points, a row a point.

    Columns x and y, and if wanted `outline` (rows that share a value make one outline), `bulge` (tan of a quarter of
    the angle of the arc to the next point) and `layer`; without a heading the first two columns are x and y. A blank
    line also ends an outline. With semicolons between columns a comma is a decimal point.
    """
    rows = _rows(file.text())
    first = next((cells for _, cells in rows if cells), [])
    heading = [cell.strip().lower() for cell in first]
    if any(re.fullmatch(r"[a-z_].*", cell) for cell in heading):
        unknown = [cell for cell in heading if cell not in COLUMNS]
        if unknown or "x" not in heading or "y" not in heading:
            wrong = message("csv-column-unknown", column=unknown[0]) if unknown else message("csv-no-xy")
            raise FaultError("", message("csv-heading", wrong=wrong, columns=", ".join(COLUMNS)))
        rows = rows[[bool(cells) for _, cells in rows].index(True) + 1 :]
    else:
        heading = ["x", "y"]

    outlines: dict[tuple[int, str], tuple[list[tuple[float, float, float]], str]] = {}
    block = 0
    for number, cells in rows:
        if not cells:
            block += 1
            continue
        if len(cells) != len(heading):
            raise FaultError("", message("csv-cells", line=str(number), cells=len(cells), columns=len(heading)))
        row = dict(zip(heading, cells, strict=True))
        x, y = (_number(row[name], number) for name in ("x", "y"))
        bulge = _number(row["bulge"], number) if row.get("bulge", "").strip() else 0.0
        points, _ = outlines.setdefault((block, row.get("outline", "")), ([], row.get("layer", "").strip()))
        points.append((x, y, bulge))
    closed = []
    for points, layer in outlines.values():
        table = np.array(points)
        if len(table) > 1 and (table[0, :2] == table[-1, :2]).all():
            table = table[:-1]
        closed.append(((table[:, :2], table[:, 2]), layer))
    return TextSource(closed, [])


def _rows(text: str) -> list[tuple[int, list[str]]]:
    """Line numbers and cells; no cells for a blank line."""
    lines = text.splitlines()
    head = next((line for line in lines if line.strip()), "")
    delimiter = next((mark for mark in (";", "\t", ",") if mark in head), None)
    if delimiter is None:
        return [(number, line.split()) for number, line in enumerate(lines, start=1)]
    reader = csv.reader(lines, delimiter=delimiter, skipinitialspace=True)
    with parsing("CSV"):
        rows = [(reader.line_num, row if any(cell.strip() for cell in row) else []) for row in reader]
    if delimiter == ";":
        rows = [(number, [cell.replace(",", ".") for cell in row]) for number, row in rows]
    return rows


def _number(cell: str, line: int) -> float:
    try:
        value = float("" if "_" in cell else cell)  # Python takes 1_0 for ten
    except ValueError:
        value = float("nan")
    if not np.isfinite(value):
        raise FaultError("", message("csv-no-number", line=line, text=cell.strip()))
    return value


def _one_line(error: Exception) -> str:
    return " ".join(str(error).split()).rstrip(".")[:200]
