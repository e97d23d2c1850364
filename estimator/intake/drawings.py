"""The pieces of a job that its drawings make, with the job's own tables laid over them."""

import os
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import shapely

from estimator.errors import Fault, FaultError, InputError
from estimator.intake.documents import Raw, RawPiece, laid_over
from estimator.intake.drawing_tables import DrawingTable
from estimator.intake.faults import validate
from estimator.intake.paper import paper_of
from estimator.intake.seen import EDGE_M, Seen, compared, edge_lengths_m, read_seen, seen_bytes, seen_name
from estimator.intake.shape_files import pieces_of
from estimator.names import folded, nearest
from estimator.notices import Notice
from geometry.arrays import Floats
from geometry.errors import UNIT_M
from geometry.files import InputFile, named_file
from geometry.frozen import frozen
from geometry.message import Message, message
from geometry.plan_edges import SAMPLE_M, EdgePart, edges_along
from geometry.readers.pieces import DrawnPiece, Layers, PieceDrawing
from geometry.readers.sheet import Names


@frozen(eq=False)
class _Opened:
    """One drawing of a job with its pieces by mark."""

    file: str
    place: str
    pieces: Mapping[str, tuple[DrawnPiece, Raw]]
    seen: Seen | None


def read_drawings(
    raw: Raw, own: Sequence[RawPiece], folder: Path, file: str, faults: list[Fault], notices: list[Notice]
) -> list[RawPiece]:
    """The pieces of a job file in its order, those with `from` laid over what a drawing gives, then the others drawn.

    raw  the job file
    own  its pieces, as written
    """
    opened, changed = [], False
    for i, entry in enumerate(raw.get("drawing", [])):
        place = f"drawing {i + 1}"
        settings = validate(DrawingTable, entry, file, place, faults)
        if settings is None:
            continue
        drawing = _drawing(settings, folder, file, place, faults)
        if drawing is None:
            opened.append(_Opened(settings.file, place, {}, None))
            continue
        try:
            edges = _edges(drawing, settings, entry)
        except FaultError as error:
            problem = message("of-file", file=settings.file, text=error.message)
            faults.append(Fault(file, f"{place}, {error.key}", problem))
            continue
        seen = read_seen(folder, settings.file, faults)
        marks, changes = compared(drawing.pieces, seen, settings.prefix)
        notices += _notices(settings.file, drawing, changes)
        changed |= bool(changes)
        pieces = {
            folded(mark): (replace(piece, mark=mark), _raw(piece, mark, settings, entry, made))
            for mark, piece, made in zip(marks, drawing.pieces, edges, strict=True)
        }
        opened.append(_Opened(settings.file, place, pieces, seen))
    if changed and _is_closed(raw):
        faults.append(Fault(file, "drawing", message("drawing-changed-released")))
    return list(_laid(own, opened, file, faults))


def _is_closed(raw: Raw) -> bool:
    """Whether a job is released and has no change order: its drawings stay as they are."""
    head = raw.get("job")
    return isinstance(head, dict) and head.get("status") == "released" and not raw.get("change")


def accepted(raw: Raw, folder: Path, file: str) -> dict[Path, bytes]:
    """What is kept of the drawings of a job, as they are now, by the path where it is kept.

    Raises InputError for drawings that cannot be read, and for changed ones of a released job without a change order.
    """
    faults: list[Fault] = []
    records = {}
    for i, entry in enumerate(raw.get("drawing", [])):
        place = f"drawing {i + 1}"
        settings = validate(DrawingTable, entry, file, place, faults)
        drawing = None if settings is None else _drawing(settings, folder, file, place, faults)
        if settings is None or drawing is None:
            continue
        marks, changes = compared(drawing.pieces, read_seen(folder, settings.file, []), settings.prefix)
        if changes and _is_closed(raw):
            faults.append(Fault(file, place, message("drawing-changed-released")))
        records[folder / seen_name(settings.file)] = seen_bytes(settings.file, drawing, marks)
    if faults:
        raise InputError(faults)
    return records


def layers_of(settings: DrawingTable) -> Layers:
    """What the layers of a drawing mean."""
    marks = () if settings.marks == "order" else None if settings.marks == "text" else tuple(settings.marks)
    return Layers(
        pieces=None if settings.pieces is None else Names(tuple(settings.pieces)),
        holes=None if settings.holes is None else Names(tuple(settings.holes)),
        marks=None if marks is None else Names(marks),
        edges=Names(tuple(settings.edges)),
        ignore=Names(tuple(settings.ignore)),
    )


def _drawing(settings: DrawingTable, folder: Path, file: str, place: str, faults: list[Fault]) -> PieceDrawing | None:
    """The drawing that a table names; None, with its fault, where it cannot be read."""
    key = "file"
    try:
        path = named_file(folder, settings.file)
        unit_m = UNIT_M[settings.unit] if settings.unit else None
        drawing = InputFile(path.name, path, paper=paper_of(settings))
        return pieces_of(drawing, unit_m, layers_of(settings), settings.gap, settings.unmarked)
    except FaultError as error:
        faults.append(Fault(file, f"{place}, {key}", message("of-file", file=settings.file, text=error.message)))
        return None


MADE_OF_EDGES = {
    "drop": "drop_edges",
    "profile": "edge_profiles",
    "splash": "splashes",
    "waterfall": "waterfalls",
}
"""What a layer of edges may mean, and the key of a shape that holds it."""

SHORT_M = 0.0254
"""A line that lies along a piece for less only meets it."""


def _edges(drawing: PieceDrawing, settings: DrawingTable, entry: Raw) -> list[Raw]:
    """Of each piece, what its shape has along the lines on layers of edges.

    Raises FaultError, with the layer, for a line that lies along no edge.
    """
    made: list[Raw] = [{} for _ in drawing.pieces]
    for layer in settings.edges:
        lines = [line for names, line in drawing.edge_lines if Names((layer,)).hold(names)]
        parts = _lines_along(drawing.pieces, lines, f"edges.{layer}")
        given = entry["edges"][layer]
        for shape, piece, own in zip(made, drawing.pieces, parts, strict=True):
            if not own:
                continue
            selected = [_selector(part) for part in edges_along(piece.region.outer, own)]
            if given.get("raw"):
                shape.setdefault("raw_edges", []).extend(selected)
            for kind, key in MADE_OF_EDGES.items():
                if kind in given:
                    shape.setdefault(key, []).append({"edges": selected, **given[kind]})
    return made


def _lines_along(pieces: Sequence[DrawnPiece], lines: Sequence[Floats], key: str) -> list[list[Floats]]:
    """The parts of lines that lie along each piece. Raises FaultError for a line most of which lies along none."""
    parts: list[list[Floats]] = [[] for _ in pieces]
    bands = [shapely.boundary(piece.region.polygon()).buffer(SAMPLE_M) for piece in pieces]
    copies = [shapely.boundary(copy.polygon()).buffer(SAMPLE_M) for piece in pieces for copy in piece.copies]
    for points in lines:
        line = shapely.LineString(points)
        found = [shapely.intersection(line, band) for band in bands]
        along = shapely.union_all([*found, *(shapely.intersection(line, band) for band in copies)])
        if along.length < 0.5 * line.length:
            middle = line.interpolate(0.5, normalized=True)
            raise FaultError(key, message("edge-line-stray", x_m=float(middle.x), y_m=float(middle.y)))
        for own, part in zip(parts, found, strict=True):
            runs = shapely.get_parts(shapely.line_merge(part) if part.geom_type != "LineString" else part)
            own += [shapely.get_coordinates(run) for run in runs if run.length >= SHORT_M]
    return parts


def _selector(part: EdgePart) -> int | Raw:
    """An edge, or a part of it, as a job file names it."""
    number = int(part.edge or 0)
    if part.from_m is None or part.to_m is None:
        return number
    return {"edge": number, "from": f"{part.from_m:.9f} m", "to": f"{part.to_m:.9f} m"}


def _raw(piece: DrawnPiece, mark: str, settings: DrawingTable, entry: Raw, edges: Raw) -> Raw:
    """A piece of the job as the drawing gives it, in the words of its table."""
    given: Raw = next((entry["layer"][name] for name in settings.layer if Names((name,)).hold(piece.layers)), {})
    shape: Raw = {"kind": "outline", **edges}
    raw: Raw = {"mark": mark, "quantity": piece.quantity, "shape": shape}
    for key, table_of in (("thickness", shape), ("use", raw)):
        value = given.get(key, entry.get(key))
        if value is not None:
            table_of[key] = value
    return raw


def _laid(own: Sequence[RawPiece], opened: Sequence[_Opened], file: str, faults: list[Fault]) -> Iterator[RawPiece]:
    """The pieces of the job file in their order, those with `from` laid over a drawn one; then the other drawn ones."""
    taken: set[tuple[int, str]] = set()
    for piece in own:
        source = piece.raw.get("from") if isinstance(piece.raw, dict) else None
        mark = None if piece.mark is None else folded(piece.mark)
        if source is None:
            twins = [(i, mark) for i, drawing in enumerate(opened) if mark is not None and mark in drawing.pieces]
            if twins:
                taken.update(twins)
                faults.append(Fault(file, piece.place, message("piece-also-drawn", file=opened[twins[0][0]].file)))
                continue
            yield piece
            continue
        found = _drawn(piece, source, mark, opened, file, faults)
        if found is not None and mark is not None:
            taken.add((found, mark))
            drawn, raw = opened[found].pieces[mark]
            change = {key: value for key, value in piece.raw.items() if key != "from"}
            merged = laid_over(raw, change)
            faults += _moved_edges(piece, drawn, merged, opened[found].seen)
            yield replace(piece, raw=merged, region=drawn.region)
    for i, drawing in enumerate(opened):
        for mark, (drawn, raw) in drawing.pieces.items():
            if (i, mark) not in taken:
                yield RawPiece(file, f"{drawing.place}, piece {drawn.mark}", raw, drawn.region)


def _moved_edges(piece: RawPiece, drawn: DrawnPiece, raw: Raw, seen: Seen | None) -> Iterator[Fault]:
    """Faults of edges that the piece names by number and that have another length than when it was accepted."""
    before = next((part for part in seen.pieces if part.mark == drawn.mark), None) if seen is not None else None
    if before is None:
        return
    now_m = edge_lengths_m(drawn.region)
    for key in MADE_OF_EDGES.values():
        listed = raw["shape"].get(key) if isinstance(raw.get("shape"), dict) else None
        for i, edge in enumerate(listed if isinstance(listed, list) else ()):
            for number in _numbers(edge):
                if not 1 <= number <= min(len(now_m), len(before.edges_m)):
                    continue
                values = {"before_m": before.edges_m[number - 1], "now_m": now_m[number - 1]}
                if abs(values["now_m"] - values["before_m"]) > EDGE_M:
                    problem = message("edge-moved", number=str(number), **values)
                    yield Fault(piece.file, f"{piece.place}, shape.{key}[{i}]", problem)


def _numbers(edge: Any) -> list[int]:
    """The numbers of edges that an entry names."""
    if not isinstance(edge, dict):
        return []
    named = edge.get("edges", edge.get("sides"))
    parts = named if isinstance(named, list) else [named]
    numbers = [part.get("edge") if isinstance(part, dict) else part for part in parts]
    return [number for number in numbers if isinstance(number, int) and not isinstance(number, bool)]


def _drawn(
    piece: RawPiece, source: Any, mark: str | None, opened: Sequence[_Opened], file: str, faults: list[Fault]
) -> int | None:
    """Number of the drawing that a piece is laid over; None, with a fault, where it is in none."""
    if not isinstance(source, str):
        faults.append(Fault(file, f"{piece.place}, from", message("value-not-text", value=str(source))))
        return None
    named = [i for i, drawing in enumerate(opened) if os.path.normpath(drawing.file) == os.path.normpath(source)]
    if not named:
        files = [drawing.file for drawing in opened]
        faults.append(Fault(file, f"{piece.place}, from", message("drawing-not-named", nearest=nearest(source, files))))
        return None
    if mark is None:
        faults.append(Fault(file, f"{piece.place}, mark", message("key-missing", key="mark")))
        return None
    found = next((i for i in named if mark in opened[i].pieces), None)
    readable = [i for i in named if opened[i].pieces]
    if found is None and readable:
        marks = [str(drawn.mark) for i in readable for drawn, _ in opened[i].pieces.values()]
        problem = message("piece-not-drawn", mark=str(piece.mark), file=source, nearest=nearest(str(piece.mark), marks))
        faults.append(Fault(file, piece.place, problem))
    return found


def _notices(file: str, drawing: PieceDrawing, changes: Sequence[Message]) -> Iterator[Notice]:
    for problem in drawing.problems:
        yield Notice("file-mended", message("of-file", file=file, text=problem))
    if drawing.omitted:
        yield Notice("drawing-left-out", message("of-file", file=file, text=summary_of(drawing)))
    if changes:
        yield Notice("drawing-changed", message("drawing-changed", file=file, changes=list(changes)))


def summary_of(drawing: PieceDrawing) -> Message:
    """One line on what a drawing holds: how many pieces, and what was left out, by reason."""
    count = sum(piece.quantity for piece in drawing.pieces)
    marks = len(drawing.pieces)
    if not drawing.omitted:
        return message("drawing-read", count=count, marks=marks)
    return message("drawing-read-in-part", count=count, marks=marks, items=list(drawing.omitted))
