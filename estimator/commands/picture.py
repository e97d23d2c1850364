"""The picture that `cast-estimator measure --picture` writes."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from estimator.disk import write_picture as write_picture_file
from estimator.errors import Fault, FaultError, InputError
from estimator.units import format_length
from estimator.units.table import Units

if TYPE_CHECKING:
    from geometry.picture import Picture

FORMATS = (".svg", ".png")


def target_faults(target: Path, source: Path) -> list[Fault]:
    """What speaks against writing a picture of `source` there."""
    if target.suffix.lower() not in FORMATS:
        return [_fault(f'"{target.name}" is neither SVG nor PNG.', "Name it out.svg or out.png.")]
    if target.is_dir() or (target.exists() and source.exists() and target.samefile(source)):
        return [_fault(f'"{target}" is not to be written over.', "Name another file.")]
    if not target.parent.is_dir():
        return [_fault(f'there is no folder "{target.parent}".', "Make it first.")]
    return []


def draw_mesh(source: Path, unit_m: float, units: Units, target: Path, *, shell: bool) -> None:
    """Draws three views of a mesh; one of a shell may be open at its rims. Raises InputError as `draw_drawing`."""
    from geometry.mesh import read_facets
    from geometry.picture import draw_views

    def draw() -> Picture:
        measure, vertices_m, facets = read_facets(source, unit_m, rims=shell)
        return draw_views(vertices_m, facets, measure.centroid_m, _labels(units))

    _write(source, draw, target)


def draw_drawing(
    source: Path, unit_m: float, layer: str | None, gap_m: float | None, units: Units, target: Path
) -> None:
    """Draws the outlines of a drawing.

    Raises InputError where the file cannot be measured or the picture cannot be written.
    """
    from geometry.picture import draw_outline
    from geometry.readers.drawing import GAP_M, read_drawing

    def draw() -> Picture:
        return draw_outline(read_drawing(source, unit_m, layer, gap_m or GAP_M).regions, _labels(units))

    _write(source, draw, target)


def _labels(units: Units) -> Callable[[float], str]:
    return lambda length_m: format_length(length_m, units)


def _write(source: Path, draw: Callable[[], Picture], target: Path) -> None:
    try:
        picture = draw()
    except FaultError as error:
        raise InputError([Fault(source.name, "", error.what, error.fix)]) from None
    content = picture.png() if target.suffix.lower() == ".png" else picture.svg().encode()
    write_picture_file(target, content, "--picture")


def _fault(what: str, fix: str) -> Fault:
    return Fault("cast-estimator", "--picture", what, fix)
