"""Outlines in text formats, GeoJSON and WKT, neither of which states its unit."""

from __future__ import annotations

import json
import re
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from shapely.geometry import shape

from geometry.errors import FaultError
from geometry.files import InputFile, limits, parsed_json, parsing
from geometry.message import Message, message
from geometry.plane import fault_of
from geometry.readers.sheet import NO_NAMES, LineCollector, Names, Sheet, Unevenness, unevenness

GEOMETRY_ERRORS = (ValueError, TypeError, LookupError, AttributeError, ArithmeticError, shapely.errors.ShapelyError)


@dataclass
class TextSource:
    """Outlines of a text file. See `geometry.readers.sheet.Source`."""

    closed: list[tuple[LineParts, str]]
    loose: list[tuple[LineParts, str]]
    problems: tuple[Message, ...] = ()
    unit_m: float | None = None
    uneven: tuple[tuple[Unevenness, str], ...] = ()  # each with its layer

    def sheet(self, layers: Collection[str] | None, chord: float, ignored: Names = NO_NAMES) -> Sheet:
        """Outlines on the given layers. Raises FaultError for an unknown layer."""
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
            uneven=tuple(part for part, name in self.uneven if layers is None or name in layers),
            groups=tuple((name,) for name in names),
            omitted=(("ignored", omitted),) if omitted else (),
        )


LineParts = tuple[Any, Any]
"""Points (n, 2) and bulges (n,) or None."""


def open_geojson(file: InputFile) -> TextSource:
    """Read outlines from GeoJSON; the property `layer` of a feature is its layer."""
    text = file.text()
    with parsing("GeoJSON"):
        try:
            document = parsed_json(text)
        except json.JSONDecodeError as error:
            raise FaultError("", message("geojson-not", line=error.lineno, reason=error.msg.lower())) from error
    geometries = []
    for geometry, layer in _features(document, ""):
        _refuse_words(geometry)
        try:
            geometries.append((shape(geometry), layer))
        except GEOMETRY_ERRORS as error:
            raise FaultError("", message("geometry-unreadable", error=_one_line(error))) from error
    return _of_geometries(geometries)


def _refuse_words(part: Any) -> None:
    """Raise FaultError for a coordinate that is no number: the library would take "9" and true for some."""
    waiting = [part]
    while waiting:
        value = waiting.pop()
        if isinstance(value, dict):
            waiting += [value.get("coordinates"), value.get("geometries")]
        elif isinstance(value, list):
            waiting += value
        elif isinstance(value, bool | str):
            raise FaultError("", message("geometry-unreadable", error=f"{json.dumps(value)[:40]} is not a number"))


_DEGREES = re.compile(r"CRS84|4326(?!\d)|4269(?!\d)|4258(?!\d)")
"""Systems of longitude and latitude. Source: EPSG 4326, 4269, 4258; OGC CRS84."""


def _refuse_degrees(system: str) -> None:
    if _DEGREES.search(system):
        raise FaultError("", message("coordinates-degrees"))


def _features(part: Any, layer: str, depth: int = 0) -> Iterator[tuple[dict[str, Any], str]]:
    _refuse_deep(depth, "GeoJSON")
    _refuse_degrees(json.dumps(part["crs"]) if isinstance(part, dict) and part.get("crs") else "")
    kind = part.get("type") if isinstance(part, dict) else None
    if not isinstance(kind, str):
        raise FaultError("", message("geojson-type", kind=f"{kind!r}"[:60]))
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
    """Read outlines from well-known text, a single geometry or one per line."""
    text = re.sub(r"(?i)\bSRID=\d+;", "", file.text()).strip()
    steps = np.cumsum([1 if mark == "(" else -1 for mark in re.findall(r"[()]", text)])
    _refuse_deep(int(steps.max(initial=0)), "WKT")  # deep nesting crashes the parser
    curved = re.search(r"(?i)\b(CIRCULARSTRING|COMPOUNDCURVE|CURVEPOLYGON|MULTICURVE|MULTISURFACE)\b", text)
    if curved:
        raise FaultError("", message("wkt-kind", kind=curved[1]))
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
    uneven: list[tuple[Unevenness, str]] = []
    points = 0
    for number, (geometry, layer) in enumerate(geometries, start=1):
        for part in _parts(geometry):
            if part.is_empty:
                continue
            if part.has_z and part.geom_type != "Point":
                places = shapely.get_coordinates(part, include_z=True)
                if np.isfinite(places).all() and np.ptp(places[:, 2]) > 0:
                    uneven.append((unevenness(message("part-geometry", number=number), places), layer))
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
    if points and not closed and not loose:
        raise FaultError("", message("points-alone", count=points))
    problems = (message("note-points", count=points),) if points else ()
    return TextSource(closed, loose, problems, uneven=tuple(uneven))


def _parts(geometry: Any) -> Iterator[Any]:
    if geometry.geom_type == "MultiPolygon" and not geometry.is_valid and all(part.is_valid for part in geometry.geoms):
        _, x, y = fault_of(geometry)
        raise FaultError("", message("polygons-overlap", x=f"{x:.8g}", y=f"{y:.8g}"))
    if hasattr(geometry, "geoms"):
        for part in geometry.geoms:
            yield from _parts(part)
    else:
        yield geometry


def _refuse_wrong_holes(polygon: shapely.Polygon) -> None:
    """Raise FaultError for holes that would be nested wrongly: outside their polygon, or inside another hole."""
    if polygon.is_valid:
        return
    fault, x, y = fault_of(polygon)
    if fault in ("hole-outside", "holes-overlap"):
        raise FaultError("", message("polygon-holes", fault=fault, x=f"{x:.8g}", y=f"{y:.8g}"))


def _one_line(error: Exception) -> str:
    return " ".join(str(error).split()).rstrip(".")[:200]
