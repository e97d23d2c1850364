"""Read a drawing file as regions in meters."""

from __future__ import annotations

import gc
from collections.abc import Callable, Collection, Iterator, Sequence
from contextlib import contextmanager
from functools import cached_property
from importlib import import_module
from math import inf, isfinite
from pathlib import Path
from typing import Literal, cast

import numpy as np

from geometry.apart import guarded
from geometry.arcs import arc_extremes, flatten
from geometry.arrays import Floats
from geometry.errors import FaultError, sizes_by_unit, unit_name
from geometry.files import InputFile, input_file
from geometry.frozen import frozen
from geometry.message import Message, message, sentences
from geometry.plane import CHORD_M, Region, bounds_of
from geometry.readers.chain import chained
from geometry.readers.nest import nested
from geometry.readers.sheet import NO_NAMES, Lines, Names, Place, Sheet, Source

GAP_M = 1e-4
"""Default gap: line ends closer than this are joined."""

GAP_MOST_M = 0.0254
"""Largest gap that may be closed; a wider one is not a drafting error."""

UNEVEN_M = 3e-3
TILT_DEG = 1.0
"""Lines drawn in space, as in laser templates, are flattened if they lie within this distance of a plane tilted by at
most this angle. A tilt of 1° makes an area 0.015% too small."""

FARTHEST = 1e10
"""Largest coordinate, in drawing units: larger than anything cast, and its square does not overflow."""

READERS = {
    ".dxf": ("geometry.readers.dxf", "open_drawing"),
    ".svg": ("geometry.readers.svg", "open_drawing"),
    ".geojson": ("geometry.readers.text", "open_geojson"),
    ".json": ("geometry.readers.text", "open_geojson"),
    ".wkt": ("geometry.readers.text", "open_wkt"),
    ".csv": ("geometry.readers.points", "open_points"),
    ".tsv": ("geometry.readers.points", "open_points"),
    ".txt": ("geometry.readers.points", "open_points"),
    ".pdf": ("geometry.readers.pdf", "open_pdf"),
}
"""Module and function that open a file, by suffix; imported when needed, since ezdxf alone takes 0.4 s."""


PAPER = (".pdf",)
"""Paper formats, which have the size of the page: they need a scale, not a unit."""


@frozen(slots=False)
class Drawing:
    """The outlines of a drawing file.

    name         file name, without folder
    unit_m       meters per unit of the file
    unit_source  "header" if the file states the unit, "given" if the caller does
    regions      outlines with their holes, m, left to right, then bottom to top
    layers       names of the layers that the lines are on
    problems     what was repaired or left out
    chord_m      tolerance for fitting arcs to curves and for flattening arcs
    """

    name: str
    unit_m: float
    unit_source: Literal["header", "given"]
    regions: tuple[Region, ...]
    layers: tuple[str, ...]
    problems: tuple[Message, ...]
    chord_m: float

    @cached_property
    def area_m2(self) -> float:
        """Area of all material, less holes."""
        return sum(region.area_m2 for region in self.regions)

    @cached_property
    def perimeter_m(self) -> float:
        """Length of all outlines and holes."""
        return sum(region.perimeter_m for region in self.regions)

    @cached_property
    def centroid_m(self) -> tuple[float, float]:
        """Centroid of all material together."""
        sums = np.array([region.about_start[:3] for region in self.regions])
        start = np.array([region.outer.points[0] for region in self.regions])
        x, y = (sums[:, 1:] + sums[:, :1] * start).sum(axis=0) / sums[:, 0].sum()
        return float(x), float(y)

    @cached_property
    def bounds(self) -> tuple[float, float, float, float]:
        """Smallest x and y, largest x and y, m."""
        return bounds_of(self.regions)

    @property
    def size_m(self) -> tuple[float, float]:
        """Extent along x and along y."""
        x0, y0, x1, y1 = self.bounds
        return x1 - x0, y1 - y0


def read_drawing(
    file: str | Path | InputFile,
    unit_m: float | None = None,
    layer: str | Sequence[str] | None = None,
    gap_m: float = GAP_M,
    chord_m: float = CHORD_M,
) -> Drawing:
    """Read DXF, SVG, GeoJSON, WKT, PDF or a CSV of points, by the file's suffix.

    file     path, or an `InputFile` of bytes
    unit_m   meters per unit of the drawing; required if the file does not state it, and overrides the file
    layer    name or names of the layers to read; all visible layers by default
    gap_m    line ends within this distance are joined, m, up to GAP_MOST_M
    chord_m  tolerance for fitting circular arcs to free curves, m; the arcs keep the curve's area

    Lines and arcs are exact. Outermost outlines are material, and outlines directly inside them are holes. Deeper ones
    are left out and noted.
    Raises FaultError for a file that cannot be read, and for a drawing without a unit, without outlines, or with
    outlines that are open, cross, or overlap along an edge. Locations are in the drawing's unit.
    """
    return guarded(_read, input_file(file), unit_m, layer, gap_m, chord_m)


@contextmanager
def uncollected() -> Iterator[None]:
    """Suspend garbage collection: parsers create millions of objects but hardly any cyclic garbage."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


@uncollected()
def _read(
    file: InputFile, unit_m: float | None, layer: str | Sequence[str] | None, gap_m: float, chord_m: float
) -> Drawing:
    layers = None if layer is None else [layer] if isinstance(layer, str) else list(layer)
    flat = read_flat(file, unit_m, layers, gap_m, chord_m)
    sheet, place = flat.sheet, flat.place
    unit, problems = place.unit_m, flat.problems
    gap = gap_m / unit
    joined = chained(sheet.loose, gap, chord_m / unit, place, others_closed=len(sheet.closed) > 0)
    outlines = sheet.closed.joined(joined.closed)
    outer = nested(outlines, gap, chord_m / unit, place, sheet.texts)
    if not outer.pieces:
        raise no_outline((*sheet.problems, *joined.problems, *outer.problems))
    return Drawing(
        name=file.name,
        unit_m=unit,
        unit_source="header" if unit_m is None else "given",
        regions=outer.regions,
        layers=tuple(sorted({sheet.layers[number] for number in outlines.layers.tolist()})),
        problems=(*problems, *sheet.problems, *joined.problems, *outer.problems),
        chord_m=chord_m,
    )


def read_lines(file: str | Path | InputFile, unit_m: float | None, layer: str) -> tuple[Floats, ...]:
    """Points (n, 2) of every line on one layer of a drawing, m, with arcs flattened. Raises as `read_drawing` does."""
    return guarded(_read_lines, input_file(file), unit_m, layer)


@uncollected()
def _read_lines(file: InputFile, unit_m: float | None, layer: str) -> tuple[Floats, ...]:
    flat = read_flat(file, unit_m, [layer], GAP_M, CHORD_M)
    sheet, unit = flat.sheet, flat.place.unit_m
    closed = [points_along(sheet.closed, number, CHORD_M / unit, closed=True) for number in range(len(sheet.closed))]
    loose = [points_along(sheet.loose, number, CHORD_M / unit) for number in range(len(sheet.loose))]
    if not closed and not loose:
        raise no_outline(sheet.problems)
    return tuple(points * unit for points in (*closed, *loose))


def points_along(lines: Lines, number: int, chord: float, *, closed: bool = False) -> Floats:
    """Points (n, 2) along one line of a set, with arcs flattened within `chord`."""
    points, bulges = lines.line(number)
    if closed:
        points, bulges = np.concatenate([points, points[:1]]), np.append(bulges, 0.0)
    flat, _ = flatten(points[:-1], points[1:], bulges[:-1], chord)
    return np.concatenate([flat, points[-1:]])


@frozen(eq=False)
class FlatSheet:
    """The validated lines of a file, and its unit.

    place     formats locations in the drawing's unit
    problems  notes on the unit and on flattened lines
    """

    sheet: Sheet
    place: Place
    problems: tuple[Message, ...]


@np.errstate(all="ignore")  # coordinates that are not finite or too large are refused
def read_flat(
    file: InputFile,
    unit_m: float | None,
    layers: Collection[str] | None,
    gap_m: float,
    chord_m: float,
    ignored: Names = NO_NAMES,
) -> FlatSheet:
    """Read the lines of a drawing file. See `read_drawing`."""
    for name, value in (("unit_m", unit_m), ("gap_m", gap_m), ("chord_m", chord_m)):
        if value is not None and not (isfinite(value) and value > 0):
            raise FaultError("", message("argument-not-positive", name=name, value=f"{value:g}"))
    if gap_m > GAP_MOST_M:
        raise FaultError("", message("drawing-gap-too-wide", gap_m=gap_m, limit_m=GAP_MOST_M))
    if file.suffix in PAPER and unit_m is not None:
        raise FaultError("unit", message("paper-unit"))
    if file.suffix not in PAPER and file.paper is not None:
        raise FaultError("scale", message("paper-none", suffix=file.suffix))
    source = _opened(file)
    problems: list[Message] = []
    unit = unit_m or source.unit_m
    if unit is None:
        raise _no_unit(source.sheet(layers, inf, ignored))
    if unit_m is not None and source.unit_m is not None and abs(unit_m / source.unit_m - 1) > 1e-9:
        own, given = (unit_name(size_m, f"{size_m:g} m") for size_m in (source.unit_m, unit_m))
        problems.append(message("note-unit", own=own, given=given, ratio=f"{unit_m / source.unit_m:.4g}"))
    doubt = getattr(source, "unit_doubt", None)
    if unit_m is None and doubt is not None:
        problems.append(doubt)
    sheet = source.sheet(layers, chord_m / unit, ignored)
    _refuse_infinite(sheet)
    place = Place(unit, sheet.flip_y)
    problems += _laid_flat(sheet, place)
    return FlatSheet(sheet, place, tuple(problems))


def _opened(file: InputFile) -> Source:
    if file.suffix not in READERS:
        raise FaultError("", message("drawing-format", name=file.name, formats=", ".join(sorted(READERS))))
    module, function = READERS[file.suffix]
    return cast(Callable[[InputFile], Source], getattr(import_module(module), function))(file)


def _refuse_infinite(sheet: Sheet) -> None:
    for lines in (sheet.closed, sheet.loose):
        if not (np.isfinite(lines.points).all() and np.isfinite(lines.bulges).all()):
            raise FaultError("", message("coordinate-not-finite"))
        chords = np.linalg.norm(lines.points - lines.points[lines.successors], axis=1)
        heights = chords * np.abs(lines.bulges) / 2  # of arcs: the bulge is sagitta over half the chord
        far = float(max(np.abs(lines.points).max(initial=0.0), heights.max(initial=0.0)))
        if far > FARTHEST:
            raise FaultError("", message("coordinate-too-far", found=f"{far:.3g}", most=f"{FARTHEST:,.0f}"))


def _laid_flat(sheet: Sheet, place: Place) -> list[Message]:
    """Notes on lines drawn in space. Raises FaultError, with the location, for lines that are not flat."""
    if not sheet.uneven:
        return []
    for part in sheet.uneven:
        if part.residual * place.unit_m > UNEVEN_M or part.tilt_deg > TILT_DEG:
            raise FaultError(
                "",
                message(
                    "drawing-not-flat",
                    part=part.part,
                    place=place.at(np.array(part.place)),
                    how="leans" if part.tilt_deg > TILT_DEG else "strays",
                    tilt=f"{part.tilt_deg:.3g}",
                    stray=place.length(part.residual),
                    limit=place.length(UNEVEN_M / place.unit_m),
                    limit_tilt=f"{TILT_DEG:g}",
                ),
            )
    worst = max(sheet.uneven, key=lambda part: part.residual)
    leaning = max(part.tilt_deg for part in sheet.uneven)
    return [
        message(
            "note-laid-flat",
            stray_m=worst.residual * place.unit_m,
            place=place.at(np.array(worst.place)),
            leans="yes" if leaning >= 0.01 else "no",
            lean=f"{leaning:.2g}",
        )
    ]


def _no_unit(sheet: Sheet) -> FaultError:
    """FaultError for a drawing without a unit, with its size in each of the likely units."""
    if not len(sheet.closed) + len(sheet.loose):
        return no_outline(sheet.problems)
    _refuse_infinite(sheet)
    x, y = _extent(sheet)
    return FaultError("", message("drawing-no-unit", x=f"{x:.6g}", y=f"{y:.6g}", sizes=sizes_by_unit((x, y), 4)))


def no_outline(problems: Sequence[Message]) -> FaultError:
    """FaultError for a drawing without outlines, listing what was left out."""
    return FaultError(
        "", message("drawing-no-outline", found=sentences(problems) if problems else "", count=len(problems))
    )


def _extent(sheet: Sheet) -> tuple[float, float]:
    """Width and height of all lines, in the drawing's unit."""
    lines = sheet.closed.joined(sheet.loose)
    if not len(lines):
        return 0.0, 0.0
    points = lines.points
    # The last bulge of an open line is always 0, so its closing edge adds no arc.
    extremes, _ = arc_extremes(points, points[lines.successors], lines.bulges)
    width, height = np.ptp(np.concatenate([points, extremes]), axis=0).tolist()
    return width, height
