"""The accepted state of a drawing, and the differences of the drawing from it.

The state is in NAME.seen.json beside the drawing. Reading changes neither it nor the job file; `check --accept` does.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import shapely

from estimator.errors import Fault, FaultError
from geometry.files import read_bytes
from geometry.frozen import frozen
from geometry.inset import counterclockwise
from geometry.message import Message, message
from geometry.plan_edges import plan_edges
from geometry.plane import Region, Ring
from geometry.readers.pieces import DrawnPiece, PieceDrawing

OVERLAP = 0.3
"""Pieces whose intersection is at least this fraction of their union are one piece, redrawn."""

SAME_M = 2e-4
"""An outline within this distance of the earlier one is unchanged; a drawing program's rounding moves it this much."""


@frozen(eq=False)
class SeenPiece:
    """A piece as accepted.

    region    m, in the drawing's own axes
    edges_m   lengths of its edges by number, from 1
    """

    mark: str
    quantity: int
    region: Region
    edges_m: tuple[float, ...]


@frozen(eq=False)
class Seen:
    """The pieces of a drawing as accepted."""

    file: str
    pieces: tuple[SeenPiece, ...]


EDGE_M = 0.0127
"""Largest change of an edge named by number, half an inch, before it is reported."""


def seen_name(file: str) -> str:
    """Name of the file with the accepted state of a drawing."""
    path = Path(file)
    return str(path.with_name(f"{path.stem}.seen.json"))


def edge_lengths_m(region: Region) -> tuple[float, ...]:
    """Lengths of the edges of an outline, in order of their numbers, m."""
    return tuple(edge.length_m for edge in plan_edges(counterclockwise(region.outer)))


def seen_bytes(file: str, drawing: PieceDrawing, marks: Sequence[str]) -> bytes:
    """Content of the file with the accepted state of a drawing, in meters.

    marks   marks of its pieces, in order
    """
    pieces = [
        {
            "mark": mark,
            "quantity": piece.quantity,
            "edges_m": [round(length_m, 7) for length_m in edge_lengths_m(piece.region)],
            "rings": [_plain(ring) for ring in piece.region.rings],
        }
        for mark, piece in zip(marks, drawing.pieces, strict=True)
    ]
    document = {"file": file, "unit_m": drawing.unit_m, "pieces": pieces}
    return (json.dumps(document, indent=1, ensure_ascii=False) + "\n").encode()


def _plain(ring: Ring) -> dict[str, Any]:
    plain: dict[str, Any] = {"points_m": np.round(ring.points, 7).tolist()}
    return plain if ring.bulges is None else {**plain, "bulges": ring.bulges.tolist()}


def read_seen(folder: Path, file: str, faults: list[Fault]) -> Seen | None:
    """Accepted state of a drawing; None if there is none, or with a fault if it cannot be read."""
    name = seen_name(file)
    path = folder / name
    if not path.is_file():
        return None
    try:
        document = json.loads(read_bytes(path))
        if document["file"] != file:
            return None
        return Seen(file, tuple(_piece(part) for part in document["pieces"]))
    except (ValueError, KeyError, TypeError, AttributeError, FaultError, OSError):
        faults.append(Fault(name, "", message("seen-unreadable")))
        return None


def _piece(part: Mapping[str, Any]) -> SeenPiece:
    outer, *holes = (Ring(np.array(ring["points_m"]), ring.get("bulges")) for ring in part["rings"])
    lengths = tuple(float(length_m) for length_m in part["edges_m"])
    return SeenPiece(str(part["mark"]), int(part["quantity"]), Region(outer, tuple(holes)), lengths)


def compared(pieces: Sequence[DrawnPiece], seen: Seen | None, prefix: str) -> tuple[list[str], list[Message]]:
    """Marks of pieces, and their differences from the accepted state.

    Pieces are matched by mark, and the rest by overlap. A piece without a mark keeps its earlier number; a new one gets
    the next number.
    """
    before = seen.pieces if seen is not None else ()
    pairs = _matched(pieces, before)
    marks = [piece.mark or "" for piece in pieces]
    for i, j in pairs.items():
        marks[i] = marks[i] or before[j].mark
    taken = {*marks, *(piece.mark for piece in before)}
    number = 0
    for i, mark in enumerate(marks):
        while not mark:
            number += 1
            mark = "" if f"{prefix}{number}" in taken else f"{prefix}{number}"
        marks[i] = mark
        taken.add(mark)
    if seen is None:
        return marks, []
    changes = [
        change for i, j in sorted(pairs.items()) if (change := _change(pieces[i], marks[i], before[j])) is not None
    ]
    changes += [message("drawn-new", mark=marks[i]) for i in range(len(pieces)) if i not in pairs]
    gone = set(range(len(before))) - set(pairs.values())
    changes += [message("drawn-gone", mark=before[j].mark) for j in sorted(gone)]
    return marks, changes


def _matched(pieces: Sequence[DrawnPiece], before: Sequence[SeenPiece]) -> dict[int, int]:
    """Index of the accepted piece for each matched piece: by mark, then by the best assignment of overlaps."""
    by_mark = {piece.mark: j for j, piece in enumerate(before)}
    pairs = {i: by_mark[piece.mark] for i, piece in enumerate(pieces) if piece.mark in by_mark}
    unmatched = [i for i in range(len(pieces)) if i not in pairs]
    available = [j for j in range(len(before)) if j not in pairs.values()]
    if not unmatched or not available:
        return pairs
    from scipy.optimize import linear_sum_assignment

    shares = np.array([[_overlap(pieces[i].region, before[j].region) for j in available] for i in unmatched])
    shares[shares < OVERLAP] = 0.0
    for row, column in zip(*linear_sum_assignment(shares, maximize=True), strict=True):
        if shares[row, column] > 0:
            pairs[unmatched[int(row)]] = available[int(column)]
    return pairs


def _overlap(first: Region, second: Region) -> float:
    """Area of the intersection over area of the union."""
    areas = first.polygon(), second.polygon()
    shared = float(shapely.intersection(*areas).area)
    return shared / float(areas[0].area + areas[1].area - shared)


def _change(piece: DrawnPiece, mark: str, before: SeenPiece) -> Message | None:
    """Difference of a piece from its accepted state, ignoring its position on the sheet; None if it is the same."""
    if mark != before.mark:
        return message("drawn-renamed", mark=before.mark, new=mark)
    if piece.quantity != before.quantity:
        return message("drawn-quantity", mark=mark, before=before.quantity, count=piece.quantity)
    if _alike(piece.region, before.region):
        return None
    sizes = [
        message("size-of", length_m=size[0], width_m=size[1]) for size in (before.region.size_m, piece.region.size_m)
    ]
    return message("drawn-changed", mark=mark, before=sizes[0], now=sizes[1])


def _alike(first: Region, second: Region) -> bool:
    """Whether two regions have the same boundary after translation."""
    if len(first.holes) != len(second.holes):
        return False
    edges = [
        shapely.boundary(region.translated(-region.bounds[0], -region.bounds[1]).polygon())
        for region in (first, second)
    ]
    return bool(shapely.hausdorff_distance(*edges) <= SAME_M)
