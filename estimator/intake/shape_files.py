"""Drawings and meshes of a job, each read once and cached between runs."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TypeVar

from geometry.arrays import Floats, Ints
from geometry.files import InputFile, input_file
from geometry.mesh_file import MeshMeasure, read_facets, read_mesh
from geometry.readers.drawing import GAP_M, Drawing, read_drawing, read_lines
from geometry.readers.pieces import Layers, PieceDrawing, Unmarked, read_along, read_pieces
from geometry.repair import Repair
from geometry.store import content_of, kept, key_of

T = TypeVar("T")


def drawing_of(path: Path | InputFile, unit_m: float | None, layer: str | None, gap_m: float | None) -> Drawing:
    """Outlines of a drawing. Raises FaultError as `read_drawing` does."""
    file = input_file(path)
    gap_m = gap_m or GAP_M
    about = file.name, repr(file.paper), unit_m, layer, gap_m
    return _kept("drawing", file, about, lambda: read_drawing(file, unit_m, layer, gap_m))


def pieces_of(
    path: Path | InputFile, unit_m: float | None, layers: Layers, gap_m: float | None, unmarked: Unmarked
) -> PieceDrawing:
    """Pieces of a drawing. Raises FaultError as `read_pieces` does."""
    file = input_file(path)
    gap_m = gap_m or GAP_M
    about = file.name, repr(file.paper), unit_m, repr(layers), gap_m, unmarked
    return _kept("pieces", file, about, lambda: read_pieces(file, unit_m, layers, gap_m, unmarked))


def along_of(path: Path | InputFile, unit_m: float | None, layers: Sequence[str]) -> dict[str, PieceDrawing]:
    """The drawing with the lines of each of some layers along edges. Raises FaultError as `read_pieces` does."""
    file = input_file(path)
    about = file.name, repr(file.paper), unit_m, repr(tuple(layers))
    return _kept("along", file, about, lambda: read_along(file, unit_m, layers))


def lines_of(path: Path | InputFile, unit_m: float | None, layer: str) -> tuple[Floats, ...]:
    """Points (n, 2) of each line on a layer of a drawing, m. Raises FaultError as `read_drawing` does."""
    file = input_file(path)
    about = file.name, repr(file.paper), unit_m, layer
    return _kept("lines", file, about, lambda: read_lines(file, unit_m, layer))


def mesh_of(path: Path, unit_m: float | None, repair: Repair | None) -> MeshMeasure:
    """Measure of a mesh, without its facets. Raises FaultError as `read_mesh` does."""
    file = input_file(path)
    about = file.suffix, unit_m, repair
    return _kept("measure", file, about, lambda: read_mesh(file, unit_m, repair=repair))


def facets_of(
    path: Path, unit_m: float | None, repair: Repair | None, *, rims: bool
) -> tuple[MeshMeasure, Floats, Ints]:
    """Measure of a mesh, with its vertices, m, and facets. Raises FaultError as `read_facets` does."""
    file = input_file(path)
    about = file.suffix, unit_m, repair, rims
    return _kept("facets", file, about, lambda: read_facets(file, unit_m, repair=repair, rims=rims))


def _kept(kind: str, file: InputFile, arguments: tuple[object, ...], read: Callable[[], T]) -> T:
    """Result of `read`, cached by content and arguments. Raises FaultError for a file that is written meanwhile."""
    state = file.state
    key = key_of(kind, content_of(file), *arguments)

    def unchanged() -> T:
        with file.unchanged(since=state):
            return read()

    return kept(key, unchanged)
