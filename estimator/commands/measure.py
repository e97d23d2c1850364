"""measure: the geometry of one drawing or mesh, and its picture."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast

from estimator.disk import write_picture as write_picture_file
from estimator.errors import Fault, FaultError, InputError, no_file
from estimator.names import nearest
from estimator.units import read_quantity
from estimator.units.table import Units
from estimator.words import PLAIN, Words
from geometry.errors import UNIT_M
from geometry.files import InputFile, Paper
from geometry.frozen import frozen
from geometry.mesh_file import MESHES
from geometry.message import Message, message

if TYPE_CHECKING:
    from geometry.picture import Picture


FORMATS = (".svg", ".png")


def target_faults(target: Path, source: Path) -> list[Fault]:
    """What speaks against writing a picture of `source` there."""
    if target.suffix.lower() not in FORMATS:
        return [_fault(message("picture-format", name=target.name))]
    if target.is_dir() or (target.exists() and source.exists() and target.samefile(source)):
        return [_fault(message("picture-overwrites", name=str(target)))]
    if not target.parent.is_dir():
        return [_fault(message("folder-none", name=str(target.parent)))]
    return []


def draw_mesh(source: Path, unit_m: float, units: Units, target: Path, *, shell: bool) -> None:
    """Draws three views of a mesh; one of a shell may be open at its rims. Raises InputError as `draw_drawing`."""
    from geometry.mesh_file import read_facets
    from geometry.picture import draw_views

    def draw() -> Picture:
        measure, vertices_m, facets = read_facets(source, unit_m, rims=shell)
        return draw_views(vertices_m, facets, measure.centroid_m, _words_in(units).text)

    _write(source, draw, target)


def draw_drawing(
    source: InputFile, unit_m: float | None, layer: str | None, gap_m: float | None, units: Units, target: Path
) -> None:
    """Draws the outlines of a drawing.

    Raises InputError where the file cannot be measured or the picture cannot be written.
    """
    from geometry.picture import draw_outline
    from geometry.readers.drawing import GAP_M, read_drawing

    def draw() -> Picture:
        return draw_outline(read_drawing(source, unit_m, layer, gap_m or GAP_M).regions, _words_in(units).text)

    _write(source, draw, target)


def _words_in(units: Units) -> Words:
    """The words of what belongs to no job, in one system of units."""
    return replace(PLAIN, units=units)


def _write(source: Path | InputFile, draw: Callable[[], Picture], target: Path) -> None:
    try:
        picture = draw()
    except FaultError as error:
        raise InputError([Fault(source.name, "", error.message)]) from None
    content = picture.png() if target.suffix.lower() == ".png" else picture.svg().encode()
    write_picture_file(target, content, "--picture")


def _fault(problem: Message) -> Fault:
    return Fault("cast-estimator", "--picture", problem)


OPENINGS = ("none", "top", "bottom", "front", "back", "left", "right")
DRAWINGS = (".dxf", ".svg", ".geojson", ".json", ".wkt", ".csv", ".tsv", ".txt", ".pdf")
PAPER = (".pdf",)
Measured = dict[str, Any]


@frozen
class Question:
    """What is asked of a file, as the options say it."""

    unit: str | None = None
    gap: str | None = None  # of a drawing
    layer: str | None = None  # of a drawing
    thickness: str | None = None  # of a drawn piece
    wall: str | None = None  # of a shell
    open: str = "none"  # the planar face of a mesh that its shell leaves out
    bodies: bool = False  # count them in a large mesh too
    scale: str | None = None  # of a drawing on paper
    page: int | None = None  # of a drawing on paper


def run(path: Path, question: Question, *, as_json: bool, picture: Path | None) -> None:
    """Prints the measure of one file. Raises InputError where it has none, in the system of the unit given."""
    try:
        _run(path, question, as_json=as_json, picture=picture)
    except InputError as error:
        metric = UNIT_M.get(question.unit or "in") not in (UNIT_M["in"], UNIT_M["ft"])
        words = Words("metric", PLAIN.currency) if metric else PLAIN
        raise InputError(fault.in_words(words) for fault in error.faults) from None


def _run(path: Path, question: Question, *, as_json: bool, picture: Path | None) -> None:
    if picture is not None and (faults := target_faults(picture, path)):
        raise InputError(faults)
    measured, unit_m = _measured(path, question)
    units = _units(unit_m)
    if picture is not None:
        if measured["kind"] == "mesh":
            draw_mesh(path, unit_m, units, picture, shell=question.wall is not None)
        else:
            source = _on_paper(path, question)
            own_m = None if source.suffix in PAPER else unit_m
            draw_drawing(source, own_m, question.layer, _gap_m(question, []), units, picture)
    if as_json:
        sys.stdout.write(json.dumps(measured, indent=2, ensure_ascii=False, allow_nan=False) + "\n")
    else:
        _show(path, measured, units)


def _units(unit_m: float) -> Units:
    """The system of a file's unit."""
    return "imperial" if unit_m in (UNIT_M["in"], UNIT_M["ft"]) else "metric"


def _measured(path: Path, question: Question) -> tuple[Measured, float]:
    """The measure and the length of the file's unit, m."""
    faults: list[Fault] = []
    unit_m = _unit(question.unit, faults)
    gap_m = _gap_m(question, faults)
    thickness_m = _length("--thickness", question.thickness, faults)
    wall_m = _length("--wall", question.wall, faults)
    if question.open not in OPENINGS:
        problem = message("option-unknown", value=question.open, nearest=nearest(question.open, OPENINGS))
        faults.append(Fault("cast-estimator", "--open", problem))
    kind = path.suffix.lower()
    if path.is_dir():
        faults.append(no_file(path))
    elif kind not in MESHES + DRAWINGS:
        endings = ", ".join(MESHES + DRAWINGS)
        faults.append(Fault(path.name, "", message("file-kind-unknown", ending=path.suffix, endings=endings)))
    elif not path.is_file():
        faults.append(no_file(path))
    elif kind not in PAPER and (question.scale is not None or question.page is not None):
        option = "--page" if question.scale is None else "--scale"
        faults.append(Fault("cast-estimator", option, message("paper-none", suffix=kind)))
    elif idle := _idle(question, is_mesh=kind in MESHES):
        faults += idle
    elif kind in DRAWINGS and wall_m is not None and thickness_m is None:
        faults.append(Fault("cast-estimator", "--wall", message("option-wall-without-thickness")))
    elif question.open != "none" and wall_m is None:
        faults.append(Fault("cast-estimator", "--open", message("option-open-without-wall")))
    if faults:
        raise InputError(faults)
    try:
        if kind in MESHES:
            return _mesh(path, unit_m, wall_m, question)
        source = _on_paper(path, question)
        if kind not in PAPER:
            return _drawing(source, unit_m, question.layer, gap_m, thickness_m, wall_m)
        measured, own_m = _drawing(source, None, question.layer, gap_m, thickness_m, wall_m)
        return measured, unit_m or own_m  # its scale gives the size, and the unit only how it is shown
    except FaultError as error:
        raise InputError([Fault(path.name, "", error.message)]) from None


def _idle(question: Question, *, is_mesh: bool) -> list[Fault]:
    """Faults of the options that say nothing about a file of this kind."""
    if not is_mesh:
        return [Fault("cast-estimator", "--bodies", message("option-for-meshes"))] if question.bodies else []
    names = [name for name in ("thickness", "gap", "layer") if getattr(question, name) is not None]
    return [Fault("cast-estimator", f"--{name}", message("option-for-drawings")) for name in names]


def _unit(unit: str | None, faults: list[Fault]) -> float | None:
    if unit is None or unit in UNIT_M:
        return UNIT_M[unit] if unit else None
    faults.append(Fault("cast-estimator", "--unit", message("option-unit", value=unit, nearest=nearest(unit, UNIT_M))))
    return None


def _gap_m(question: Question, faults: list[Fault]) -> float | None:
    gap_m = _length("--gap", question.gap, faults)
    if gap_m is None:
        return None
    from geometry.readers.drawing import GAP_MOST_M  # with all that reads drawings

    if gap_m > GAP_MOST_M:
        problem = message("gap-too-wide", gap_m=gap_m, limit_m=GAP_MOST_M)
        faults.append(Fault("cast-estimator", "--gap", problem))
    return gap_m


def _length(option: str, text: str | None, faults: list[Fault]) -> float | None:
    if text is None:
        return None
    try:
        length_m = read_quantity(text, "length")
    except FaultError as error:
        faults.append(Fault("cast-estimator", option, error.message))
        return None
    if length_m <= 0.0:
        faults.append(Fault("cast-estimator", option, message("option-not-positive", value=text)))
    return length_m


def _mesh(path: Path, unit_m: float | None, wall_m: float | None, question: Question) -> tuple[Measured, float]:
    from geometry.mesh_file import read_facets, read_mesh

    if wall_m is None:
        measure = read_mesh(path, unit_m, bodies=True if question.bodies else None)
        volume_m3, surface_m2, centroid_m, notes = (
            measure.volume_m3,
            measure.surface_area_m2,
            measure.centroid_m,
            measure.problems,
        )
    else:
        from geometry.shape import measure as measure_shape
        from geometry.shapes import MeshBody, Opening

        measure, vertices_m, facets = read_facets(path, unit_m, rims=True)
        face = cast(Opening, question.open)
        shell = measure_shape(MeshBody(measure, vertices_m, facets, wall_m=wall_m, open=face))
        volume_m3, surface_m2, centroid_m = shell.volume_m3, shell.surface_area_m2, shell.centroid_m
        notes = (*measure.problems, *shell.notes)
    measured = {
        "kind": "mesh",
        "volume_m3": volume_m3,
        "surface_area_m2": surface_m2,
        "centroid_m": list(centroid_m),
        "size_m": list(measure.size_m),
        "facets": measure.facets,
        "bodies": measure.bodies,
        "closed": measure.closed,
        "problems": _texts(notes, measure.unit_m),
    }
    return measured, measure.unit_m


def _texts(notes: Iterable[Message], unit_m: float) -> list[str]:
    """Notes in words, in the system of the file's unit."""
    words = _words_in(_units(unit_m))
    return [words.text(note) for note in notes]


def _on_paper(path: Path, question: Question) -> InputFile:
    """The file with its scale and page, where they are given."""
    scale = None
    if question.scale is not None:
        from estimator.intake.paper import read_scale  # with all that reads job files

        scale = read_scale(question.scale, "--scale")
    paper = None if scale is None and question.page is None else Paper(scale, question.page)
    return InputFile(path.name, path, paper=paper)


def _drawing(
    source: InputFile,
    unit_m: float | None,
    layer: str | None,
    gap_m: float | None,
    thickness_m: float | None,
    wall_m: float | None,
) -> tuple[Measured, float]:
    from geometry.readers.drawing import GAP_M, read_drawing

    drawing = read_drawing(source, unit_m, layer, gap_m or GAP_M)
    measured: Measured = {
        "kind": "outline",
        "area_m2": drawing.area_m2,
        "perimeter_m": drawing.perimeter_m,
        "size_m": list(drawing.size_m),
        "pieces": [
            {"area_m2": region.area_m2, "perimeter_m": region.perimeter_m, "holes": len(region.holes)}
            for region in drawing.regions
        ],
        "problems": _texts(drawing.problems, drawing.unit_m),
    }
    if thickness_m is not None:
        volume_m3, centroid_m = drawing.area_m2 * thickness_m, (*drawing.centroid_m, thickness_m / 2.0)
        if wall_m is not None:
            from geometry.shape import measure as measure_shape
            from geometry.shapes import Outline

            shells = [measure_shape(Outline(region, thickness_m, wall_m=wall_m)) for region in drawing.regions]
            volume_m3 = sum(region.volume_m3 for region in shells)
            x, y, z = (sum(region.volume_m3 * region.centroid_m[i] for region in shells) / volume_m3 for i in range(3))
            centroid_m = (x, y, z)
        measured |= {"volume_m3": volume_m3, "centroid_m": list(centroid_m)}
    return measured, drawing.unit_m


def _show(path: Path, measured: Measured, units: Units) -> None:
    """Prints a measure in the system of the file's unit."""
    words = _words_in(units)
    size = words.size(measured["size_m"])
    lines = [words("measure-title", file=path.name, kind=measured["kind"], size=size)]
    if "area_m2" in measured:
        lines.append(words("measure-area", area_m2=measured["area_m2"]))
        lines.append(words("measure-perimeter", perimeter_m=measured["perimeter_m"]))
        lines += [
            words("measure-outline", number=str(number), area_m2=piece["area_m2"], holes=piece["holes"])
            for number, piece in enumerate(measured["pieces"], start=1)
        ]
    if "volume_m3" in measured:
        centroid = ", ".join(words.length(length_m) for length_m in measured["centroid_m"])
        lines.append(words("measure-volume", volume_m3=measured["volume_m3"]))
        lines.append(words("measure-centroid", place=centroid))
    if "facets" in measured:
        bodies = measured["bodies"]
        lines.append(words("measure-surface", area_m2=measured["surface_area_m2"]))
        lines.append(words("measure-facets", count=measured["facets"]))
        lines.append(words("measure-bodies-not-counted") if bodies is None else words("measure-bodies", count=bodies))
    lines += [words("measure-note", text=problem) for problem in measured["problems"]]
    print("\n".join(lines))
