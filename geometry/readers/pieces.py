"""Read a drawing as the pieces of a job: outlines, holes and marks, and what is left out and why."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from contextlib import suppress
from dataclasses import replace
from math import inf
from pathlib import Path
from typing import Literal, cast

import numpy as np
import shapely

from geometry.apart import guarded
from geometry.arrays import Floats
from geometry.congruence import TOLERANCE_M, congruent
from geometry.errors import FaultError
from geometry.files import InputFile, input_file
from geometry.frozen import frozen
from geometry.message import Message, few, message
from geometry.plane import CHORD_M, Region, Ring
from geometry.readers.chain import chained
from geometry.readers.drawing import GAP_M, no_outline, points_along, read_flat, uncollected
from geometry.readers.nest import DOUBLE_SHARE, Kind, filled, nested
from geometry.readers.nest import Piece as NestedPiece
from geometry.readers.sheet import Lines, Names, Place, Sheet

Unmarked = Literal["fault", "leave-out", "number"]

REASONS = (
    "border", "title-block", "unmarked", "mark", "other-layer", "hole-alone", "bowl", "balloon", "twice", "open",
    "flat", "ignored", "off", "frozen", "unplotted", "invisible", "dimension", "hatch", "paper", "text", "other",
)  # fmt: skip
"""Reasons for leaving something out, in the order of the report."""

_LEFT_OUT_BY = {
    "note-borders": "border",
    "note-title-blocks": "title-block",
    "note-islands": "bowl",
    "note-balloons": "balloon",
    "note-outlines-twice": "twice",
    "note-lines-twice": "twice",
    "note-lines-open": "open",
    "note-outlines-flat": "flat",
    "note-lines-short": "flat",
    "note-lines-empty": "flat",
    "note-hidden": "",
    "note-shapes-hidden": "invisible",
    "note-left-out": "other",
    "note-points": "other",
    "note-paper-space": "paper",
}
"""Reason of each note on what was left out; the items of `note-hidden` have their own."""

_NOTED = frozenset(_LEFT_OUT_BY.values())


@frozen
class Layers:
    """Roles of the layers of a drawing, or of the groups of an SVG file.

    pieces  layers with outlines of pieces; None for all visible layers
    holes   layers with holes; None for any outline inside a piece
    marks   layers with marks of pieces; None for texts on all layers; empty if no text is a mark
    edges   layers with lines along edges, which never join an outline
    ignore  layers to leave out
    """

    pieces: Names | None = None
    holes: Names | None = None
    marks: Names | None = None
    edges: Names = Names()
    ignore: Names = Names()

    @property
    def patterns(self) -> list[Names]:
        """Roles whose names must match a layer of the drawing."""
        named = [self.pieces, self.holes, self.marks, self.edges]
        return [names for names in named if names is not None and names.patterns]


@frozen(eq=False)
class DrawnPiece:
    """A piece as drawn.

    mark    from its text; None if it has none
    region  first copy, m, in the coordinates of the drawing
    layers  names of the outline's layer, or of all groups around it
    copies  further copies of the piece
    """

    mark: str | None
    region: Region
    layers: tuple[str, ...]
    copies: tuple[Region, ...] = ()

    @property
    def quantity(self) -> int:
        """Number of copies in the drawing."""
        return 1 + len(self.copies)


@frozen(eq=False)
class LeftOut:
    """An outline that is left out, m, and the reason."""

    ring: Ring
    reason: str


@frozen(eq=False)
class PieceDrawing:
    """The pieces of a drawing, in reading order, and what was left out.

    name        file name, without folder
    unit_m      meters per unit of the file
    left_out    outlines left out, with reasons
    counts      (reason, number) of outlines, lines and texts left out
    edge_lines  lines on edge layers: names of the layers around each, and its points (n, 2), m
    problems    what was repaired
    loose       names of the layers with lines that are no outlines by themselves
    """

    name: str
    unit_m: float
    pieces: tuple[DrawnPiece, ...]
    left_out: tuple[LeftOut, ...]
    counts: tuple[tuple[str, int], ...]
    edge_lines: tuple[tuple[tuple[str, ...], Floats], ...]
    problems: tuple[Message, ...]
    loose: tuple[str, ...] = ()

    @property
    def omitted(self) -> tuple[Message, ...]:
        """What was left out, one item per reason: "1 border", "12 dimensions"."""
        return tuple(message("drawing-left-out", reason=reason, count=count) for reason, count in self.counts)


def read_pieces(
    file: str | Path | InputFile,
    unit_m: float | None = None,
    layers: Layers | None = None,
    gap_m: float = GAP_M,
    unmarked: Unmarked = "fault",
) -> PieceDrawing:
    """Read a drawing of several pieces.

    unmarked  what to do with outlines without a mark if others have one: refuse the drawing, leave them out, or keep
              them to be numbered. If none has a mark, all are kept.

    Raises FaultError as `read_drawing` does, and for a piece with two marks, for different pieces with the same mark,
    and for unknown layers. Locations are in the drawing's unit.
    """
    return guarded(_read, input_file(file), unit_m, layers or Layers(), gap_m, unmarked)


def read_along(
    file: str | Path | InputFile, unit_m: float | None, names: Sequence[str], gap_m: float = GAP_M
) -> dict[str, PieceDrawing]:
    """The drawing with the lines of one layer along edges instead of in outlines, for each layer where that can be."""
    return guarded(_read_along, input_file(file), unit_m, tuple(names), gap_m)


def _read_along(source: InputFile, unit_m: float | None, names: Sequence[str], gap_m: float) -> dict[str, PieceDrawing]:
    drawings = {}
    for name in names:
        with suppress(FaultError):
            drawings[name] = _read(source, unit_m, Layers(edges=Names((name,))), gap_m, "leave-out")
    return drawings


@uncollected()
def _read(source: InputFile, unit_m: float | None, roles: Layers, gap_m: float, unmarked: Unmarked) -> PieceDrawing:
    flat = read_flat(source, unit_m, None, gap_m, CHORD_M, roles.ignore)
    _refuse_missing(roles, flat.sheet)
    drawn = _outlines(flat.sheet, roles, gap_m, flat.place)
    texts = [text for text in flat.sheet.texts if roles.marks is None or roles.marks.hold(text.layers)]
    gap, chord = gap_m / flat.place.unit_m, CHORD_M / flat.place.unit_m
    any_text = roles.marks is not None
    nest = nested(drawn.outlines, gap, chord, flat.place, texts, drawn.kinds, any_text=any_text)
    notes = [*flat.sheet.problems, *drawn.problems, *nest.problems]
    if not nest.pieces:
        raise no_outline(notes)
    if roles.holes is None:
        _refuse_double_lines(nest.pieces, flat.place)
    named, unnamed = _by_mark(nest.pieces, flat.place, unmarked)
    pieces = _in_order(_with_marks(named, flat.sheet, flat.place))
    counts = drawn.omitted + Counter(dict(flat.sheet.omitted)) + _counted(notes)
    counts += Counter(omission.reason for omission in nest.omissions if omission.reason not in _NOTED)
    counts["unmarked"] += len(unnamed)
    counts["mark"] += nest.stray
    counts["text"] += len(flat.sheet.texts) - nest.stray - sum(len(piece.marks) for piece in nest.pieces)
    left_out = [LeftOut(omission.ring, omission.reason) for omission in nest.omissions]
    left_out += [LeftOut(piece.region.outer, "unmarked") for piece in unnamed]
    return PieceDrawing(
        name=source.name,
        unit_m=flat.place.unit_m,
        pieces=pieces,
        left_out=tuple(left_out),
        counts=tuple((reason, counts[reason]) for reason in REASONS if counts[reason]),
        edge_lines=drawn.edge_lines,
        problems=(*flat.problems, *(note for note in notes if note.id not in _LEFT_OUT_BY)),
        loose=_layers_of(flat.sheet, flat.sheet.loose),
    )


def _layers_of(sheet: Sheet, lines: Lines) -> tuple[str, ...]:
    """Names of the innermost layers of lines."""
    groups = [sheet.groups[at] for at in np.unique(lines.layers).tolist()] if sheet.groups else []
    return tuple(sorted({next(filter(None, reversed(names)), "") for names in groups} - {""}))


def _refuse_double_lines(pieces: Sequence[NestedPiece], place: Place) -> None:
    """Raise FaultError for a hole that leaves a mere line of its piece, unless a layer says that it is a hole."""
    for piece in pieces:
        for hole in piece.region.holes:
            if abs(hole.signed_area_m2) >= DOUBLE_SHARE * abs(piece.region.outer.signed_area_m2):
                at = place.at(hole.points[0] / place.unit_m)
                mark = piece.marks[0].text if piece.marks else ""
                values = {"mark": mark, "marked": "yes" if mark else "no"}
                raise FaultError("", message("drawing-hole-or-line", **values, place=at))


@frozen(eq=False)
class _Drawn:
    """Closed outlines of a sheet that may be pieces or holes, in the drawing's unit.

    kinds    kind by layer index
    omitted  number of lines left out because of their layer
    """

    outlines: Lines
    kinds: tuple[Kind, ...]
    edge_lines: tuple[tuple[tuple[str, ...], Floats], ...]
    problems: tuple[Message, ...]
    omitted: Counter[str]


def _outlines(sheet: Sheet, roles: Layers, gap_m: float, place: Place) -> _Drawn:
    """Join loose lines, separately for each role of layers."""
    gap, chord = gap_m / place.unit_m, CHORD_M / place.unit_m
    role_of_layer = np.array([_role(names, roles) for names in sheet.groups], dtype=object)
    if not len(role_of_layer):
        return _Drawn(sheet.closed, (), (), (), Counter())
    omitted: Counter[str] = Counter()
    problems: list[Message] = []
    outlines: Lines | None = None
    for role in ("any", "solid", "piece", "hole", "other"):
        closed, loose = (lines.chosen(role_of_layer[lines.layers] == role) for lines in (sheet.closed, sheet.loose))
        if role == "other":
            closed, loose, strange = _inside(closed, loose, outlines, gap, chord)
            omitted["other-layer"] += strange
        joined = chained(loose, gap, chord, place, others_closed=len(closed) > 0 or role in ("hole", "other"))
        problems += joined.problems
        own = closed.joined(joined.closed)
        outlines = own if outlines is None else outlines.joined(own)
    assert outlines is not None
    edges = []
    for lines in (sheet.closed, sheet.loose):
        omitted["other-layer"] += int((role_of_layer[lines.layers] == "none").sum())
        for number in np.nonzero(role_of_layer[lines.layers] == "edge")[0].tolist():
            along = points_along(lines, number, chord, closed=lines is sheet.closed) * place.unit_m
            edges.append((sheet.groups[int(lines.layers[number])], along))
    kinds = [cast(Kind, "any" if role in ("edge", "none") else role) for role in role_of_layer]
    return _Drawn(outlines, tuple(kinds), tuple(edges), tuple(problems), omitted)


def _role(names: Sequence[str], roles: Layers) -> str:
    """Role of the layers around a line: a kind of outline, "edge", or "none"."""
    if roles.edges.hold(names):
        return "edge"
    if roles.holes is not None and roles.holes.hold(names):
        return "hole"
    if roles.pieces is not None and roles.pieces.hold(names):
        return "piece" if roles.holes is None else "solid"
    if roles.marks is not None and roles.marks.hold(names):
        return "none"
    if roles.pieces is not None:
        return "other" if roles.holes is None else "none"
    return "any" if roles.holes is None else "solid"


def _inside(closed: Lines, loose: Lines, pieces: Lines | None, gap: float, chord: float) -> tuple[Lines, Lines, int]:
    """Lines on layers without a role that lie in a piece, and the number that do not."""
    if not len(closed) + len(loose):
        return closed, loose, 0
    areas = filled(pieces, chord) if pieces is not None and len(pieces) else np.array([], dtype=object)
    tree = shapely.STRtree(areas[shapely.is_valid(areas)])
    kept = []
    for lines in (closed, loose):
        within = np.zeros(len(lines.points), dtype=bool)
        within[tree.query(shapely.points(lines.points), predicate="dwithin", distance=gap)[0]] = True
        apart = np.bincount(lines.line_of_point, ~within, minlength=len(lines)) > 0
        kept.append(lines.chosen(~apart))
    return kept[0], kept[1], len(closed) + len(loose) - len(kept[0]) - len(kept[1])


def _refuse_missing(roles: Layers, sheet: Sheet) -> None:
    """Raise FaultError for a name that matches no layer of the drawing."""
    named = (*sheet.groups, *(text.layers for text in sheet.texts))
    known = sorted({name for names in named for name in names if name})
    for names in roles.patterns:
        for name in names.unmet(known):
            raise FaultError("", message("layer-empty", layer=name, layers=", ".join(known), count=len(known)))


def _by_mark(
    pieces: Sequence[NestedPiece], place: Place, unmarked: Unmarked
) -> tuple[list[NestedPiece], list[NestedPiece]]:
    """Pieces to keep, and pieces left out for lack of a mark. Raises FaultError if unmarked pieces are not allowed."""
    for piece in pieces:
        marks = sorted({text.text for text in piece.marks})
        if len(marks) > 1:
            at = [place.at(np.array(text.place)) for text in piece.marks]
            raise FaultError("", message("drawing-two-marks", marks=marks, places=at))
    without = [piece for piece in pieces if not piece.marks]
    if not without or len(without) == len(pieces) or unmarked == "number":
        return list(pieces), []
    if unmarked == "fault":
        places = [place.at(_corner(piece) / place.unit_m) for piece in without]
        raise FaultError("", message("drawing-unmarked", count=len(places), places=few(places, 3)))
    return [piece for piece in pieces if piece.marks], without


def _corner(piece: NestedPiece) -> Floats:
    """Lower left corner of a piece's bounding box, m."""
    return np.array(piece.region.bounds[:2])


def _with_marks(marked: Sequence[NestedPiece], sheet: Sheet, place: Place) -> list[DrawnPiece]:
    """Combine pieces with the same mark. Raises FaultError if they are not congruent."""
    pieces: list[DrawnPiece] = []
    first: dict[str, int] = {}
    for piece in marked:
        mark = piece.marks[0].text if piece.marks else None
        if mark is None or mark not in first:
            if mark is not None:
                first[mark] = len(pieces)
            pieces.append(DrawnPiece(mark, piece.region, sheet.groups[piece.layer]))
            continue
        before = pieces[first[mark]]
        if not congruent(before.region, piece.region):
            at = [place.at(np.array(region.bounds[:2]) / place.unit_m) for region in (before.region, piece.region)]
            raise FaultError("", message("drawing-mark-differs", mark=mark, places=at, limit_m=TOLERANCE_M))
        pieces[first[mark]] = replace(before, copies=(*before.copies, piece.region))
    return pieces


def _in_order(pieces: Sequence[DrawnPiece]) -> tuple[DrawnPiece, ...]:
    """Pieces in reading order: rows from the top, each from the left.

    A row contains the topmost remaining piece and all pieces that extend above its middle.
    """
    remaining = sorted(pieces, key=lambda piece: (-round(piece.region.bounds[3], 6), round(piece.region.bounds[0], 6)))
    rows: list[list[DrawnPiece]] = []
    middle = inf
    for piece in remaining:
        _, low, _, high = piece.region.bounds
        if high < middle:
            rows.append([])
            middle = (low + high) / 2
        rows[-1].append(piece)
    return tuple(piece for row in rows for piece in sorted(row, key=lambda piece: round(piece.region.bounds[0], 6)))


def _counted(notes: Iterable[Message]) -> Counter[str]:
    """Numbers left out according to the notes, by reason."""

    counts: Counter[str] = Counter()
    for note in notes:
        reason, values = _LEFT_OUT_BY.get(note.id), dict(note.values)
        if reason is None:
            continue
        for part in values.get("items", (note,)):
            own = dict(part.values)
            counts[reason or str(own["why"])] += int(own["count"])
    return counts
