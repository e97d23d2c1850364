"""Pieces of a job that come from its drawings, with the job's own tables overlaid."""

import os
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from copy import deepcopy
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
from estimator.intake.shape_files import along_of, pieces_of
from estimator.names import folded, nearest
from estimator.notices import Notice
from estimator.units import read_quantity
from geometry.arrays import Floats
from geometry.errors import UNIT_M
from geometry.files import InputFile, named_file
from geometry.frozen import frozen
from geometry.message import Message, message
from geometry.plan_edges import SAMPLE_M, EdgePart, edges_along
from geometry.readers.pieces import DrawnPiece, Layers, PieceDrawing
from geometry.readers.sheet import Names

EdgeLines = Sequence[tuple[tuple[str, ...], Floats]]
"""Lines on edge layers: names of the layers of each line, and its points (n, 2), m."""


@frozen(eq=False)
class _Opened:
    """One drawing of a job with its pieces by mark."""

    file: str
    place: str
    pieces: Mapping[str, tuple[DrawnPiece, Raw]]
    seen: Seen | None
    edge_lines: EdgeLines = ()


def read_drawings(
    raw: Raw, own: Sequence[RawPiece], folder: Path, file: str, faults: list[Fault], notices: list[Notice]
) -> list[RawPiece]:
    """Pieces of a job file in order, those with `from` overlaid on a drawn piece, then the other drawn pieces.

    raw  the job file
    own  its pieces, as written
    """
    opened, changed = [], False
    for i, entry in enumerate(raw.get("drawing", [])):
        place = f"drawing {i + 1}"
        settings = validate(DrawingTable, entry, file, place, faults)
        if settings is None:
            continue
        drawing = _drawing(settings, [piece.raw for piece in own], folder, file, place, faults)
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
            folded(mark): (replace(piece, mark=mark), _raw(piece, mark, settings, entry, edge_tables))
            for mark, piece, edge_tables in zip(marks, drawing.pieces, edges, strict=True)
        }
        opened.append(_Opened(settings.file, place, pieces, seen, drawing.edge_lines))
    if changed and _is_closed(raw):
        faults.append(Fault(file, "drawing", message("drawing-changed-released")))
    return list(_laid(own, opened, file, faults))


def _is_closed(raw: Raw) -> bool:
    """Whether a job is released without a change order, so that its drawings must not change."""
    head = raw.get("job")
    return isinstance(head, dict) and head.get("status") == "released" and not raw.get("change")


def accepted(raw: Raw, folder: Path, file: str) -> dict[Path, bytes]:
    """Records of the accepted state of a job's drawings, by path.

    Raises InputError for unreadable drawings, and for changed drawings of a released job without a change order.
    """
    faults: list[Fault] = []
    records = {}
    for i, entry in enumerate(raw.get("drawing", [])):
        place = f"drawing {i + 1}"
        settings = validate(DrawingTable, entry, file, place, faults)
        drawing = None if settings is None else _drawing(settings, raw.get("piece", []), folder, file, place, faults)
        if settings is None or drawing is None:
            continue
        marks, changes = compared(drawing.pieces, read_seen(folder, settings.file, []), settings.prefix)
        if changes and _is_closed(raw):
            faults.append(Fault(file, place, message("drawing-changed-released")))
        records[folder / seen_name(settings.file)] = seen_bytes(settings.file, drawing, marks)
    if faults:
        raise InputError(faults)
    return records


def layers_of(settings: DrawingTable, pieces: Sequence[Any]) -> Layers:
    """Roles of the layers of a drawing. Layers that a piece refers to for its edges are not part of outlines.

    pieces  pieces of the job file, as written
    """
    named = [name for raw in pieces if _is_over(raw, settings.file) for name in _edge_layers(raw)]
    marks = () if settings.marks == "order" else None if settings.marks == "text" else tuple(settings.marks)
    return Layers(
        pieces=None if settings.pieces is None else Names(tuple(settings.pieces)),
        holes=None if settings.holes is None else Names(tuple(settings.holes)),
        marks=None if marks is None else Names(marks),
        edges=Names(tuple(dict.fromkeys([*settings.edges, *named]))),
        ignore=Names(tuple(settings.ignore)),
    )


def _is_over(raw: Any, file: str) -> bool:
    """Whether a piece of the job file is overlaid on this drawing."""
    source = raw.get("from") if isinstance(raw, dict) else None
    return isinstance(source, str) and os.path.normpath(source) == os.path.normpath(file)


def _edge_layers(raw: Raw) -> Iterator[str]:
    """Yield the layers by which a raw piece names edges."""
    shape = raw.get("shape")
    if isinstance(shape, dict) and "file" not in shape:
        for _, _, _, edge in _edges_named(shape):
            if _is_layer(edge):
                yield edge["layer"]


def _is_layer(edge: Any) -> bool:
    """Whether an edge is named only by a layer, with or without a length to check."""
    return isinstance(edge, dict) and isinstance(edge.get("layer"), str) and edge.keys() <= {"layer", "length"}


def _edges_named(shape: Raw) -> Iterator[tuple[str, list[Any], int, Any]]:
    """Yield every edge named in a raw shape: its place in the shape, its list, its index there, and the edge."""
    for key in (*MADE_OF_EDGES.values(), "raw_edges"):
        entries = _listed(shape.get(key))
        for i, entry in enumerate(entries):
            if key == "raw_edges":
                yield f"{key}[{i}]", entries, i, entry
                continue
            for name in ("edges", "sides"):
                named = _listed(entry.get(name) if isinstance(entry, dict) else None)
                for j, edge in enumerate(named):
                    yield f"{key}[{i}].{name}[{j}]", named, j, edge


def _listed(value: Any) -> list[Any]:
    """The value if it is a list, else an empty list."""
    return value if isinstance(value, list) else []


def _drawing(
    settings: DrawingTable, pieces: Sequence[Any], folder: Path, file: str, place: str, faults: list[Fault]
) -> PieceDrawing | None:
    """Drawing named by a table; None with a fault if it cannot be read.

    pieces  pieces of the job file, as written
    """
    key = "file"
    try:
        path = named_file(folder, settings.file)
        unit_m = UNIT_M[settings.unit] if settings.unit else None
        drawing = InputFile(path.name, path, paper=paper_of(settings))
        return pieces_of(drawing, unit_m, layers_of(settings, pieces), settings.gap, settings.unmarked)
    except FaultError as error:
        faults.append(Fault(file, f"{place}, {key}", message("of-file", file=settings.file, text=error.message)))
        return None


MADE_OF_EDGES = {
    "drop": "drop_edges",
    "profile": "edge_profiles",
    "splash": "splashes",
    "waterfall": "waterfalls",
}
"""What the lines of an edge layer may be, and the corresponding key of a shape."""

SHORT_M = 0.0254
"""A line along a piece for less than this only touches it."""


def _edges(drawing: PieceDrawing, settings: DrawingTable, entry: Raw) -> list[Raw]:
    """Edge features of the shape of each piece, from the lines on edge layers.

    Raises FaultError, with the layer, for a line that is not along any edge.
    """
    features: list[Raw] = [{} for _ in drawing.pieces]
    for layer in settings.edges:
        lines = [line for names, line in drawing.edge_lines if Names((layer,)).hold(names)]
        parts = _lines_along(drawing.pieces, lines, f"edges.{layer}")
        given = entry["edges"][layer]
        for shape, piece, own in zip(features, drawing.pieces, parts, strict=True):
            if not own:
                continue
            selected = [_selector(part) for part in edges_along(piece.region.outer, own)]
            if given.get("raw"):
                shape.setdefault("raw_edges", []).extend(selected)
            for kind, key in MADE_OF_EDGES.items():
                if kind in given:
                    shape.setdefault(key, []).append({"edges": selected, **given[kind]})
    return features


MOST_LOOSE = 12
"""Layers that are tried for lines along edges."""


def edge_layers(file: InputFile, unit_m: float | None, drawing: PieceDrawing) -> dict[str, tuple[str, ...]]:
    """Layers whose lines all run along edges of pieces, with the marks of these pieces; "" for one without a mark."""
    found = {}
    for layer, again in along_of(file, unit_m, drawing.loose[:MOST_LOOSE]).items() if drawing.loose else ():
        with suppress(FaultError):
            parts = _lines_along(again.pieces, [line for _, line in again.edge_lines], layer)
            marks = tuple(piece.mark or "" for piece, own in zip(again.pieces, parts, strict=True) if own)
            if marks and len(again.pieces) == len(drawing.pieces):
                found[layer] = marks
    return found


def _lines_along(pieces: Sequence[DrawnPiece], lines: Sequence[Floats], key: str) -> list[list[Floats]]:
    """Parts of lines that lie along each piece. Raises FaultError for a line that is mostly not along any piece."""
    parts: list[list[Floats]] = [[] for _ in pieces]
    bands = [shapely.boundary(piece.region.polygon()).buffer(SAMPLE_M) for piece in pieces]
    copies = [shapely.boundary(copy.polygon()).buffer(SAMPLE_M) for piece in pieces for copy in piece.copies]
    for points in lines:
        line = shapely.LineString(points)
        overlaps = [shapely.intersection(line, band) for band in bands]
        along = shapely.union_all([*overlaps, *(shapely.intersection(line, band) for band in copies)])
        if along.length < 0.5 * line.length:
            middle = line.interpolate(0.5, normalized=True)
            raise FaultError(key, message("edge-line-stray", x_m=float(middle.x), y_m=float(middle.y)))
        for own, part in zip(parts, overlaps, strict=True):
            runs = shapely.get_parts(shapely.line_merge(part) if part.geom_type != "LineString" else part)
            own += [shapely.get_coordinates(run) for run in runs if run.length >= SHORT_M]
    return parts


def _selector(part: EdgePart) -> int | Raw:
    """Edge, or part of it, in the form used in a job file."""
    number = int(part.edge or 0)
    if part.from_m is None or part.to_m is None:
        return number
    return {"edge": number, "from": f"{part.from_m:.9f} m", "to": f"{part.to_m:.9f} m"}


def _raw(piece: DrawnPiece, mark: str, settings: DrawingTable, entry: Raw, edges: Raw) -> Raw:
    """Raw piece of the job made from a drawn piece and the drawing's table."""
    given: Raw = next((entry["layer"][name] for name in settings.layer if Names((name,)).hold(piece.layers)), {})
    shape: Raw = {"kind": "outline", **edges}
    raw: Raw = {"mark": mark, "quantity": piece.quantity, "shape": shape}
    for key, table_of in (("thickness", shape), ("use", raw)):
        value = given.get(key, entry.get(key))
        if value is not None:
            table_of[key] = value
    return raw


def _laid(own: Sequence[RawPiece], opened: Sequence[_Opened], file: str, faults: list[Fault]) -> Iterator[RawPiece]:
    """Yield the pieces of the job file in order, those with `from` overlaid on drawn ones, then the remaining drawn."""
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
        number = _drawn(piece, source, mark, opened, file, faults)
        if number is not None and mark is not None:
            taken.add((number, mark))
            drawn, raw = opened[number].pieces[mark]
            change = {key: value for key, value in piece.raw.items() if key != "from"}
            faults += _moved_edges(piece, drawn, change, opened[number].seen)
            change = _by_number(piece, change, opened[number], mark, faults)
            yield replace(piece, raw=laid_over(raw, change), region=drawn.region)
    for i, drawing in enumerate(opened):
        for mark, (drawn, raw) in drawing.pieces.items():
            if (i, mark) not in taken:
                yield RawPiece(file, f"{drawing.place}, piece {drawn.mark}", raw, drawn.region)


def _moved_edges(piece: RawPiece, drawn: DrawnPiece, raw: Raw, seen: Seen | None) -> Iterator[Fault]:
    """Yield faults of edges named by number whose length changed since the drawing was accepted."""
    before = next((part for part in seen.pieces if part.mark == drawn.mark), None) if seen is not None else None
    if before is None:
        return
    now_m = edge_lengths_m(drawn.region)
    shape = raw.get("shape")
    moved = set()
    for place, _, _, edge in _edges_named(shape if isinstance(shape, dict) else {}):
        number = edge.get("edge") if isinstance(edge, dict) else edge
        if not isinstance(number, int) or not 1 <= number <= min(len(now_m), len(before.edges_m)):
            continue
        before_m, edge_m = before.edges_m[number - 1], now_m[number - 1]
        place = place.partition(".")[0]
        if abs(edge_m - before_m) > EDGE_M and (place, number) not in moved:
            moved.add((place, number))
            problem = message("edge-moved", number=str(number), before_m=before_m, now_m=edge_m)
            yield Fault(piece.file, f"{piece.place}, shape.{place}", problem)


def _by_number(piece: RawPiece, raw: Raw, drawing: _Opened, mark: str, faults: list[Fault]) -> Raw:
    """Raw piece with edges named by a drawing layer replaced by edge numbers."""
    if not any(_edge_layers(raw)):
        return raw
    raw = deepcopy(raw)
    drawn = [own for own, _ in drawing.pieces.values()]
    own = list(drawing.pieces).index(mark)
    for place, named, at, edge in reversed(list(_edges_named(raw["shape"]))):  # one entry may become several
        if not _is_layer(edge):
            continue
        key = f"shape.{place}"
        try:
            named[at : at + 1] = _edges_on_layer(drawn, own, edge, drawing.edge_lines, key)
        except FaultError as error:
            of_file = error.key == f"{key}.layer"
            problem = message("of-file", file=drawing.file, text=error.message) if of_file else error.message
            faults.append(Fault(piece.file, f"{piece.place}, {error.key}", problem))
            named[at] = 1  # placeholder, so that no further fault is reported
    return raw


def _edges_on_layer(
    pieces: Sequence[DrawnPiece], own: int, edge: Raw, edge_lines: EdgeLines, key: str
) -> list[int | Raw]:
    """Edges of a drawn piece, or parts of them, along the lines of a layer, in the form used in a job file.

    Raises FaultError if no line of the layer is along this piece, or if a line is not along any piece.
    """
    lines = [line for names, line in edge_lines if Names((edge["layer"],)).hold(names)]
    along = _lines_along(pieces, lines, f"{key}.layer")[own]
    if not along:
        raise FaultError(f"{key}.layer", message("edge-layer-elsewhere", mark=str(pieces[own].mark)))
    try:
        length_m = read_quantity(edge["length"], "length") if "length" in edge else None
        return [_selector(part) for part in edges_along(pieces[own].region.outer, along, length_m)]
    except FaultError as error:
        raise FaultError(f"{key}.{error.key or 'length'}", error.message) from None


def _drawn(
    piece: RawPiece, source: Any, mark: str | None, opened: Sequence[_Opened], file: str, faults: list[Fault]
) -> int | None:
    """Index of the drawing that a piece is overlaid on; None with a fault if no drawing has it."""
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
    number = next((i for i in named if mark in opened[i].pieces), None)
    readable = [i for i in named if opened[i].pieces]
    if number is None and readable:
        marks = [str(drawn.mark) for i in readable for drawn, _ in opened[i].pieces.values()]
        problem = message("piece-not-drawn", mark=str(piece.mark), file=source, nearest=nearest(str(piece.mark), marks))
        faults.append(Fault(file, piece.place, problem))
    return number


def _notices(file: str, drawing: PieceDrawing, changes: Sequence[Message]) -> Iterator[Notice]:
    for problem in drawing.problems:
        yield Notice("file-mended", message("of-file", file=file, text=problem))
    if drawing.omitted:
        yield Notice("drawing-left-out", message("of-file", file=file, text=summary_of(drawing)))
    if changes:
        yield Notice("drawing-changed", message("drawing-changed", file=file, changes=list(changes)))


def summary_of(drawing: PieceDrawing) -> Message:
    """One-line summary of a drawing: number of pieces, and what was left out, by reason."""
    count = sum(piece.quantity for piece in drawing.pieces)
    marks = len(drawing.pieces)
    if not drawing.omitted:
        return message("drawing-read", count=count, marks=marks)
    return message("drawing-read-in-part", count=count, marks=marks, items=list(drawing.omitted))
