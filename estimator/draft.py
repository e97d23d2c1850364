"""Draft of a job from drawings, models and tables that can be estimated as it is."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import field, replace
from itertools import islice
from pathlib import Path
from textwrap import wrap
from typing import TYPE_CHECKING, Any, Literal

from estimator.disk import refusal, write_new
from estimator.errors import Fault, FaultError, InputError
from estimator.intake.paper import read_scale
from estimator.intake.schedule import column_of
from estimator.names import nearest
from estimator.scratch import scratch_folder
from estimator.units import read_quantity, units_of_length
from estimator.units.table import Units
from estimator.words import PLAIN, Words
from geometry.errors import UNIT_M, unit_name
from geometry.files import InputFile, Paper, read_bytes
from geometry.frozen import frozen
from geometry.mesh_file import MESHES
from geometry.message import message
from geometry.readers.delimited import open_table

if TYPE_CHECKING:
    from geometry.readers.pieces import PieceDrawing
    from geometry.repair import Repair

TABLES = (".xlsx", ".xlsm", ".ods", ".xls")
TEXTS = (".csv", ".tsv", ".txt")
HEAD_ROWS = 40
"""Rows searched for a column of marks: a text file with one is a table of pieces, any other is a drawing of points."""

NUMBERS = "PQRSTUVWXYZ"
"""Prefixes of the numbers of pieces without marks, one for each drawing that has such pieces."""


@frozen
class Request:
    """Files and settings that a job is drafted from.

    files      drawings, models and tables
    unit       of files that state none; overrides the unit of a single drawing
    gap        largest gap between line ends that are joined
    thickness  of drawn pieces
    use        of all pieces
    ignore     layers of drawings to ignore
    pieces     layers with the outlines of pieces; empty for all visible layers
    holes      layers with holes; empty for all outlines inside a piece
    marks      layers with marks; empty for all texts
    scale      of drawings on paper
    page       page to read of drawings on paper
    units      of the job, where the files tell none
    filled     names of models whose flat holes are filled
    edges      work on the edges along the lines of a layer, by file and layer, as in `edges` of a drawing
    """

    files: tuple[Path, ...]
    unit: str | None = None
    gap: str | None = None
    thickness: str | None = None
    use: str | None = None
    ignore: tuple[str, ...] = ()
    scale: str | None = None
    page: int | None = None
    pieces: tuple[str, ...] = ()
    holes: tuple[str, ...] = ()
    marks: tuple[str, ...] = ()
    edges: Mapping[str, Mapping[str, Mapping[str, Any]]] = field(default_factory=dict)
    units: Units | None = None
    filled: tuple[str, ...] = ()


@frozen(eq=False)
class _Part:
    """The part of the job that comes from one file: its tables, the files beside it, and a summary of what was read."""

    tables: str
    files: dict[str, bytes]
    summary: str
    units: Units | None = None


@frozen(eq=False)
class Draft:
    """A job drafted from files.

    text    content of the job file
    files   files to put beside it: the drawings and models, what was read of each, and a picture of it
    notes   a summary of each file: what was read, and what was left out
    """

    text: str
    files: dict[str, bytes]
    notes: tuple[str, ...]


def draft_of(name: str, request: Request) -> Draft:
    """Draft a job of this name with a piece for each outline, mesh or row of the files.

    Raises InputError with all faults, including those of estimating the draft.
    """
    _check(request)
    words = Words(_units(request.unit) or PLAIN.units, PLAIN.currency)
    faults: list[Fault] = []
    parts: list[_Part] = []
    numbers = iter(NUMBERS)
    for path in request.files:
        try:
            parts.append(_part(path, request, words, numbers))
        except FaultError as error:
            faults.append(Fault(path.name, "", error.message, words))
        except OSError as error:
            faults.append(Fault(path.name, "", message("file-not-read", reason=refusal(error))))
    if faults:
        raise InputError(faults)
    files = {name: content for part in parts for name, content in part.files.items()}
    told = next((part.units for part in parts if part.units), None)
    units: Units = _units(request.unit) or told or request.units or PLAIN.units
    text = _job_text(name, units, request, parts)
    _try(text.encode(), files)
    return Draft(text, files, tuple(part.summary for part in parts))


def _units(unit: str | None) -> Units | None:
    return None if unit not in UNIT_M else "imperial" if unit in ("in", "ft") else "metric"


def _check(request: Request) -> None:
    """Raise InputError for options that cannot be parsed, and for files whose names clash in one folder."""
    from estimator.intake.seen import seen_name

    faults = []
    if request.unit is not None and request.unit not in UNIT_M:
        problem = message("option-unit", value=request.unit, nearest=nearest(request.unit, UNIT_M))
        faults.append(Fault("cast-estimator", "--unit", problem))
    for option, text in (("--gap", request.gap), ("--thickness", request.thickness)):
        try:
            if text is not None and read_quantity(text, "length") <= 0.0:
                raise FaultError("", message("option-not-positive", value=text))
        except FaultError as error:
            faults.append(Fault("cast-estimator", option, error.message))
    names = [path.name for path in request.files]
    names += [seen_name(path.name) for path in request.files if _is_drawing(path)]
    for path in request.files:
        if not path.is_file():
            faults.append(Fault(str(path), "", message("file-is-folder" if path.is_dir() else "file-missing")))
        elif names.count(path.name) > 1 or path.name in ("job.toml", "job.schema.json"):
            faults.append(Fault(str(path), "", message("new-name-taken", name=path.name)))
        elif _is_drawing(path) and names.count(seen_name(path.name)) > 1:
            faults.append(Fault(str(path), "", message("new-name-taken", name=seen_name(path.name))))
    if request.thickness is None and any(map(_is_drawing, request.files)):
        faults.append(Fault("cast-estimator", "--thickness", message("new-no-thickness")))
    if faults:
        raise InputError(dict.fromkeys(faults))


FileKind = Literal["drawing", "mesh", "table"]


def kind_of(path: Path) -> FileKind | None:
    """Kind of a file by its name and, for a CSV file, its first rows; None for a format that cannot be read."""
    if path.suffix.lower() in MESHES:
        return "mesh"
    if _is_table(path):
        return "table"
    return "drawing" if _is_drawing(path) else None


def _is_drawing(path: Path) -> bool:
    from geometry.readers.drawing import READERS

    return path.suffix.lower() in READERS and not _is_table(path)


def _is_table(path: Path) -> bool:
    """Whether a file is a table with one row per piece."""
    if path.suffix.lower() in TABLES:
        return True
    if path.suffix.lower() not in TEXTS or not path.is_file():
        return False
    try:
        rows = list(islice(open_table(InputFile(path.name, path), "mark").rows(), HEAD_ROWS))
    except FaultError:
        return False
    return any(column_of(cell.strip()) in ("mark", "quantity") for row in rows for cell in row)


def _part(path: Path, request: Request, words: Words, numbers: Iterator[str]) -> _Part:
    """The part of the job that comes from a file. Raises FaultError if it cannot be read."""
    content = read_bytes(path)
    if _is_drawing(path):
        return _drawn(path, content, request, words, numbers)
    if path.suffix.lower() in MESHES:
        return _mesh(path, content, request, words)
    if _is_table(path):
        unit = "" if request.unit is None else f"\nunit = {_text(request.unit)}"
        summary = PLAIN("new-table", file=path.name)
        return _Part(f"\n[[schedule]]\nfile = {_text(path.name)}{unit}\n", {path.name: content}, summary)
    from geometry.readers.drawing import READERS

    endings = ", ".join(sorted({*READERS, *MESHES, *TABLES, *TEXTS}))
    raise FaultError("", message("file-kind-unknown", ending=path.suffix, endings=endings))


def _drawn(path: Path, content: bytes, request: Request, words: Words, numbers: Iterator[str]) -> _Part:
    from estimator.intake.drawings import summary_of
    from estimator.intake.seen import compared, seen_bytes, seen_name
    from estimator.intake.shape_files import pieces_of
    from geometry.readers.drawing import PAPER
    from geometry.readers.pieces import Layers
    from geometry.readers.sheet import Names

    gap_m = None if request.gap is None else read_quantity(request.gap, "length")
    named = {key: getattr(request, key) for key in ("pieces", "holes", "marks", "ignore")}
    edges = request.edges.get(path.name, {})
    layers = Layers(**{key: Names(names) for key, names in named.items() if names}, edges=Names(tuple(edges)))
    unit = request.unit if sum(map(_is_drawing, request.files)) == 1 else None
    scale, source = None, InputFile(path.name, path)
    if path.suffix.lower() in PAPER:
        unit, scale = None, request.scale
        given = scale is not None or request.page is not None
        paper = Paper(None if scale is None else read_scale(scale, "--scale"), request.page) if given else None
        source = replace(source, paper=paper)
    try:
        drawing = pieces_of(source, UNIT_M[unit] if unit else None, layers, gap_m, "leave-out")
    except FaultError as error:
        if error.message.id != "drawing-no-unit" or request.unit is None:
            raise
        unit = request.unit
        drawing = pieces_of(source, UNIT_M[unit], layers, gap_m, "leave-out")
    # Pixels and paper tell nothing of the units that a shop works in.
    units = _units(unit_name(drawing.unit_m)) or units_of_length(request.thickness or "")
    words = words if request.unit else Words(units, PLAIN.currency)
    prefix = next(numbers, "N") if any(piece.mark is None for piece in drawing.pieces) else "P"
    marks, _ = compared(drawing.pieces, None, prefix)
    settings = {
        "file": _text(path.name),
        "unit": None if unit is None else _text(unit),
        "scale": None if scale is None else _text(scale),
        "page": str(request.page) if request.page and source.paper else None,
        **{key: f"[{', '.join(map(_text, names))}]" for key, names in named.items() if names},
        "unmarked": '"leave-out"' if any(left.reason == "unmarked" for left in drawing.left_out) else None,
        "prefix": None if prefix == "P" else _text(prefix),
        "gap": None if request.gap is None else _text(request.gap),
        "thickness": _text(request.thickness or ""),
        "use": None if request.use is None else _text(request.use),
        **{f"edges.{_text(layer)}": _inline(work) for layer, work in edges.items()},
    }
    lines = ["", "[[drawing]]", *(f"{key} = {value}" for key, value in settings.items() if value is not None)]
    for mark, piece in zip(marks, drawing.pieces, strict=True):
        size = words("new-piece", size=words.size(piece.region.size_m), holes=len(piece.region.holes))
        lines += ["", "[[piece]]", f"mark = {_text(mark):<12} # {size}", f"from = {_text(path.name)}"]
    text = words.text(summary_of(drawing))
    picture = _picture(path.name, drawing, marks, text, words)
    files = {
        path.name: content,
        seen_name(path.name): seen_bytes(path.name, drawing, marks),
        f"{path.stem}.seen.svg": picture,
    }
    summary = words("of-file", file=path.name, text=text)
    notes = [words("of-file", file=path.name, text=words.text(problem)) for problem in drawing.problems]
    return _Part("\n".join(lines) + "\n", files, "\n".join([summary, *notes]), units)


def picture_of(drawing: PieceDrawing, words: Words) -> bytes:
    """SVG of what was read from a drawing: its pieces with their marks, sizes and edges, and what was left out."""
    from estimator.intake.drawings import summary_of
    from estimator.intake.seen import compared

    marks, _ = compared(drawing.pieces, None, "P")
    return _picture(drawing.name, drawing, marks, words.text(summary_of(drawing)), words)


def _inline(value: Any) -> str:
    """A value as TOML on one line."""
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{key} = {_inline(part)}" for key, part in value.items()) + " }"
    return "true" if value is True else _text(value)


def _picture(name: str, drawing: PieceDrawing, marks: Sequence[str], summary: str, words: Words) -> bytes:
    """SVG of the drawing with the marks of the pieces, the numbers of their edges, and what was left out."""
    from geometry.inset import counterclockwise
    from geometry.picture import PieceView, draw_pieces
    from geometry.plan_edges import plan_edges

    views = []
    for mark, piece in zip(marks, drawing.pieces, strict=True):
        outer = counterclockwise(piece.region.outer)
        edges = [(str(edge.number), *edge.middle, edge.length_m) for edge in plan_edges(outer)]
        views.append(PieceView(piece.region, [mark, words.size(piece.region.size_m)], edges))
        views += [PieceView(copy, [mark]) for copy in piece.copies]
    left_out = [
        (left.ring, words("left-out-label", reason=left.reason))
        for left in drawing.left_out
        if left.reason != "balloon"
    ]
    notes = wrap(words("of-file", file=name, text=summary), 110)
    return draw_pieces(views, left_out, notes).svg().encode()


def _mesh(path: Path, content: bytes, request: Request, words: Words) -> _Part:
    from geometry.mesh_file import read_mesh
    from geometry.readers.gltf import buffer_files

    unit = None
    repair: Repair | None = "fill" if path.name in request.filled else None
    try:
        measure = read_mesh(path, None, repair=repair)
    except FaultError as error:
        if error.message.id != "mesh-no-unit" or request.unit is None:
            raise
        unit = request.unit
        measure = read_mesh(path, UNIT_M[unit], repair=repair)
    settings = "".join(f", {key} = {_text(value)}" for key, value in (("unit", unit), ("repair", repair)) if value)
    use = "" if request.use is None else f"use = {_text(request.use)}\n"
    size = words.size(measure.size_m)
    table = (
        f"\n[[piece]]\nmark = {_text(path.stem)}  # {size}\n{use}"
        f'shape = {{ kind = "mesh", file = {_text(path.name)}{settings} }}\n'
    )
    summary = words("new-mesh", file=path.name, size=size, volume_m3=measure.volume_m3)
    notes = [words("of-file", file=path.name, text=words.text(problem)) for problem in measure.problems]
    beside = {name: read_bytes(path.parent / name) for name in buffer_files(InputFile(path.name, path))}
    return _Part(table, {path.name: content, **beside}, "\n".join([summary, *notes]))


def _job_text(name: str, units: Units, request: Request, parts: Sequence[_Part]) -> str:
    lines = [
        f"# {PLAIN('new-head', files=[path.name for path in request.files])}",
        f"# {PLAIN('new-head-quantities')}",
        "",
        "[job]",
        f"name = {_text(name)}",
        f'units = "{units}"',
        'currency = "USD"',
        f'mix = "backer-45"  # {PLAIN("new-mix")}',
    ]
    head = "\n".join(lines) + "\n"
    return head + "".join(part.tables for part in parts)


def _text(value: str) -> str:
    """A value as a TOML string."""
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")


def _try(job: bytes, files: dict[str, bytes]) -> None:
    """Read and survey the job before it is written. Raises InputError with all faults that its owner would meet."""
    from estimator.estimate import survey
    from estimator.intake import read_job

    with scratch_folder() as place:
        for name, content in {"job.toml": job, **files}.items():
            write_new(place / name, content)
        survey(read_job(place / "job.toml").sound())
