"""The picture that `cast-estimator measure --picture` writes."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from estimator.errors import Fault, InputError
from estimator.units import format_length
from estimator.units.table import Units
from geometry.errors import GeometryError

if TYPE_CHECKING:
    from geometry.canvas import Picture

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


def write_picture(
    source: Path, unit_m: float | None, layer: str | None, units: Units, target: Path, *, mesh: bool, shell: bool
) -> None:
    """Draws the outlines of a drawing, or three views of a mesh; one of a shell may be open at its rims.

    Raises InputError where the file cannot be measured or the picture cannot be written.
    """
    try:
        picture = _drawn(source, unit_m, layer, units, mesh=mesh, shell=shell)
    except GeometryError as error:
        raise InputError([Fault(source.name, "", error.what, error.mend)]) from None
    content = picture.png() if target.suffix.lower() == ".png" else picture.svg().encode()
    part = target.with_name(f".{target.name}.part")
    try:
        part.write_bytes(content)
        part.replace(target)
    except OSError as error:
        part.unlink(missing_ok=True)
        raise InputError(
            [_fault(f'"{target}" cannot be written: {error.strerror}.', "Choose another place.")]
        ) from None


def _drawn(source: Path, unit_m: float | None, layer: str | None, units: Units, *, mesh: bool, shell: bool) -> Picture:
    from geometry.picture import draw_outline, draw_views

    def label(length_m: float) -> str:
        return format_length(length_m, units)

    if mesh:
        from geometry.mesh import read_facets

        measure, vertices_m, facets = read_facets(source, unit_m, rims=shell)
        return draw_views(vertices_m, facets, measure.centroid_m, label)
    from geometry.readers.drawing import read_drawing

    return draw_outline(read_drawing(source, unit_m, layer).regions, label)


def _fault(what: str, mend: str) -> Fault:
    return Fault("cast-estimator", "--picture", what, mend)
