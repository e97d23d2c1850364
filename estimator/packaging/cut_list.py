"""The cut list of a form: its boards named, and cut to the sheet that they come from.

Sizes are those of the boards as they stand: butted at square corners, mitred at others. Strips along worked edges and
formers of curves are listed by the face of the concrete. A shape that no boards make (a mesh, a bowl) has no cut
list, only its form area.
"""

from collections.abc import Iterator
from dataclasses import replace
from math import ceil

from estimator.packaging.forms import FIT_TOLERANCE_M, Board, Sheet
from geometry import shapes
from geometry.form_boards import FormBoard, form_boards

_TO_DRAWING = {False: "", True: " to the drawing"}
"""What is added to the name of a former, by whether its curve has no single radius."""

PANEL_SIDES = {"front": "bottom", "back": "top"}


def boards_of(shape: shapes.Shape, name: str, board_m: float) -> tuple[Board, ...]:
    """Boards of one form, like boards counted together; none where the shape is not built of boards.

    name     the piece mark, which the boards' names begin with
    board_m  thickness of the board
    """
    counted: dict[tuple[str, float, float, float | None], int] = {}
    for board in (*_boards(shape, board_m), *_arris_strips(shape)):
        key = (board.name, round(board.length_m, 7), round(board.width_m, 7), board.radius_m)
        counted[key] = counted.get(key, 0) + board.count
    return tuple(
        Board(f"{name} {board}", length_m, width_m, count, radius_m=radius_m)
        for (board, length_m, width_m, radius_m), count in counted.items()
    )


def fitted(boards: tuple[Board, ...], sheet: Sheet) -> tuple[Board, ...]:
    """The boards, those larger than the sheet in equal parts that it gives."""
    room = sorted((sheet.length_m - 2 * sheet.trim_m, sheet.width_m - 2 * sheet.trim_m))
    found = []
    for board in boards:
        long, short = max(board.length_m, board.width_m), min(board.length_m, board.width_m)
        across = ceil(short / room[0] - FIT_TOLERANCE_M)
        along = ceil(long / room[1] - FIT_TOLERANCE_M)
        parts = along * across
        if parts == 1:
            found.append(board)
        else:
            part = f"{board.name}, 1 of {parts}"
            cut = replace(board, name=part, count=board.count * parts)
            found.append(replace(cut, length_m=long / along, width_m=short / across))
    return tuple(found)


def _boards(shape: shapes.Shape, board_m: float) -> Iterator[Board]:
    for each in form_boards(shape, board_m):
        if min(each.length_m, each.height_m) > FIT_TOLERANCE_M:
            radius_m = None if each.radius_m is None else round(each.radius_m, 5)
            size = (each.length_m, each.height_m)
            if isinstance(shape, shapes.Extrusion) and each.role != "end":
                size = size[::-1]  # a moulding stands on its end there
            yield Board(_named(each, shape), *size, each.layers, radius_m=radius_m)


def _arris_strips(shape: shapes.Shape) -> Iterator[Board]:
    """The strips that work the arris of a slab's edges: coves, bevels, round-overs."""
    if not isinstance(shape, shapes.Slab):
        return
    for profile in shape.edge_profiles:
        for side in profile.sides:
            run_m = shape.length_m if side in ("front", "back") else shape.width_m
            radius_m = None if profile.kind == "bevel" else profile.size_m
            yield Board(f"{side} edge, {profile.kind} strip", run_m, profile.size_m, radius_m=radius_m)


def _named(board: FormBoard, shape: shapes.Shape) -> str:
    """What a board is called in the shop."""
    match board.role:
        case "base":
            return "bottom"
        case "end":
            return f"{board.side} end"
        case "plug" | "block":
            return f"knock-out {board.number} {board.role}" if board.number else f"hollow, {board.role}"
        case "cover":
            return "core top" if isinstance(shape, shapes.Box | shapes.Outline) else "cover"
        case "edge":
            return _edge(board, shape)
        case "inside":
            return _inside(board, shape)


def _edge(board: FormBoard, shape: shapes.Shape) -> str:
    if board.sweep_deg is not None:
        return f"edge {board.number}, former{_TO_DRAWING[board.radius_m is None]}"
    raised = board.low_m > FIT_TOLERANCE_M
    match shape:
        case shapes.Slab():
            return f"{board.side} end of a drop" if raised else f"{board.side} edge"
        case shapes.Panel():
            side = PANEL_SIDES.get(board.side, board.side)
            return f"{side} end of a return or rib" if raised else f"{side} edge"
        case shapes.Box():
            return "long side" if board.side in ("front", "back") else "short side"
        case shapes.Extrusion():
            return f"side {board.number}"
        case _:
            return f"upper edge {board.number}" if raised else f"edge {board.number}"


def _inside(board: FormBoard, shape: shapes.Shape) -> str:
    if board.number and not _over_concrete(board, shape):
        kind = "side" if board.sweep_deg is None else f"former{_TO_DRAWING[board.radius_m is None]}"
        return f"knock-out {board.number} {kind}"
    if board.sweep_deg is not None:
        return f"inside former{_TO_DRAWING[board.radius_m is None]}"
    match shape:
        case shapes.Slab():
            return f"{board.side} drop, inside"
        case shapes.Panel(ribs=None):
            return f"{PANEL_SIDES.get(board.side, board.side)} return, inside"
        case shapes.Panel():
            return "bay, across" if board.side in ("left", "right") else "bay, along"
        case shapes.Box():
            return "core long side" if board.side in ("front", "back") else "core short side"
        case _:
            return "core side"


def _over_concrete(board: FormBoard, shape: shapes.Shape) -> bool:
    """Whether an inside board stands on the concrete of a level below, not in a hole from the base board up."""
    return board.low_m > FIT_TOLERANCE_M and not isinstance(shape, shapes.Box)
