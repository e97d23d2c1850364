"""Form boards of plain slabs, panels and boxes, from their dimensions alone.

Other shapes get their boards from `geometry.form_boards`, which lays them out in plan. The rules are the same: corners
of 90° are butted, outside boards run past inside ones, and lengthwise boards run past crosswise ones.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise
from math import ceil, degrees, hypot, sqrt
from typing import Any, Literal, NamedTuple

import shapely

from geometry.plane import Region
from geometry.runs import runs_of
from geometry.shape import NO_STRIPS, PlainForm
from geometry.slices import CHORD_M, SAME_M

Role = Literal["base", "edge", "inside", "cover", "block", "plug", "end"]

BLOCK_BOARDS = 6.0
"""Width in board thicknesses below which a knock-out is a solid block, not a frame."""

PLUG_M = 0.3
"""Largest diameter of a round knock-out built as a plug of discs; larger ones have two bent formers."""

LEAST_RADIUS_M = 1e-3
"""Corners of a smaller radius are left to `geometry.form_boards`."""

SIDES = ("front", "right", "back", "left")
"""Counterclockwise, as edges are numbered; side k of a rectangle starts at corner k."""

NOWHERE = (0.0,) * 4

PLACE = (0, 3, 1, 2)
"""Index of each of `SIDES` among a plate's sides at low y, high y, low x and high x."""


class FormBoard(NamedTuple):
    """One board of a form and its position.

    role           base (form bottom); edge (around the piece); inside (over concrete: drops, returns, ribs); cover
                   (over a hollow); block and plug (solid knock-outs, in layers); end (of a molding)
    side           side of the piece that it forms, or "" if none
    number         number of the edge or opening, from 1; 0 if none
    length_m       along the longer face; the diameter of a plug
    height_m       height of the board as it stands; the diameter of a plug
    footprint      area that it stands on, (x, y) of the piece; None if boards come from dimensions alone
    low_m, high_m  above the form bottom
    radius_m       radius of the concrete's face along a curved board; None if the curve has no single radius
    sweep_deg      angle through which a curved board turns; None for a straight board
    layers         boards stacked on each other
    alike          number of identical boards in a knock-out, listed once if boards come from dimensions alone
    """

    role: Role
    side: str
    number: int
    length_m: float
    height_m: float
    footprint: Any
    low_m: float
    high_m: float
    radius_m: float | None = None
    sweep_deg: float | None = None
    layers: int = 1
    alike: int = 1


def in_list(board: FormBoard) -> tuple[bool, str, int]:
    """Sort key of the boards of a form: those on the form bottom first."""
    return board.low_m > 0.0, board.role, board.number


def plain_boards(form: PlainForm, board_m: float) -> tuple[FormBoard, ...] | None:
    """Boards of a plain form, form bottom first; None if the form is not simple enough for the rules here."""
    length, width, thick = form.length_m, form.width_m, form.thickness_m
    if not (length > 0.0 and width > 0.0 and thick > 0.0):
        return None
    base = FormBoard("base", "", 0, length + 2 * board_m, width + 2 * board_m, None, -board_m, 0.0)
    if form.hollow_m is not None:
        inside = _core(form, *form.hollow_m, board_m)
        return None if inside is None else (base, *_edges(form, board_m), *inside)
    deepest: Sequence[float] = NOWHERE
    strips: Sequence[float] = NOWHERE
    if form.strips is not NO_STRIPS:
        if any((strip or depth) and not (strip > 0.0 and depth >= thick) for strip, depth in form.strips):
            return None
        deepest = [depth if depth > thick + SAME_M else 0.0 for _, depth in form.strips]
        strips = [strip if depth else 0.0 for (strip, _), depth in zip(form.strips, deepest, strict=True)]
    if not _is_clear(form, strips):
        return None
    knock_outs = _knock_outs(form, board_m)
    if knock_outs is None:
        return None
    outside = _hanging(form, deepest, board_m) if any(deepest) else _edges(form, board_m)
    return None if outside is None else (base, *sorted([*outside, *knock_outs], key=in_list))


def _edges(form: PlainForm, board_m: float) -> list[FormBoard]:
    """Boards around a plate; lengthwise boards run past crosswise ones."""
    along, high = form.length_m + 2 * board_m, form.thickness_m
    return [
        FormBoard("edge", "front", 1, along, high, None, 0.0, high),
        FormBoard("edge", "right", 2, form.width_m, high, None, 0.0, high),
        FormBoard("edge", "back", 3, along, high, None, 0.0, high),
        FormBoard("edge", "left", 4, form.width_m, high, None, 0.0, high),
    ]


def _core(form: PlainForm, wall_m: float, floor_m: float, board_m: float) -> list[FormBoard] | None:
    """Boards and cover of the core of an open box, which is cast upside down."""
    along, across = form.length_m - 2 * wall_m, form.width_m - 2 * wall_m
    high = form.thickness_m - floor_m - board_m
    if not (wall_m > 0.0 and floor_m > 0.0 and high > SAME_M and min(along, across) > BLOCK_BOARDS * board_m):
        return None
    return [
        *_frame(0, along, across - 2 * board_m, high),
        FormBoard("cover", "", 0, along, across, None, high, high + board_m),
    ]


def _frame(number: int, along: float, across: float, high: float) -> tuple[FormBoard, FormBoard]:
    """Boards inside a rectangular hole, lengthwise and crosswise."""
    return (
        FormBoard("inside", "front", number, along, high, None, 0.0, high, alike=2),
        FormBoard("inside", "left", number, across, high, None, 0.0, high, alike=2),
    )


# Knock-outs


def _is_clear(form: PlainForm, strips: Sequence[float]) -> bool:
    """Whether the openings are valid and clear of edges, hanging strips and each other."""
    front, back, left, right = strips
    x_most, y_most = form.length_m - right - SAME_M, form.width_m - back - SAME_M
    boxes: list[tuple[float, float, float, float]] = []
    for x, y, along, across, radius in form.openings:
        x0, y0, x1, y1 = x - along, y - across, x + along, y + across
        if not (x0 > left + SAME_M and y0 > front + SAME_M and x1 < x_most and y1 < y_most):
            return False
        if not (along > SAME_M and across > SAME_M and 0.0 <= radius <= min(along, across)):
            return False
        for a0, b0, a1, b1 in boxes:
            if max(x0 - a1, a0 - x1, y0 - b1, b0 - y1) <= SAME_M:
                return False
        boxes.append((x0, y0, x1, y1))
    return True


def _knock_outs(form: PlainForm, board_m: float) -> list[FormBoard] | None:
    """Plugs, blocks and frames of the openings in a plate; None for a large circle or a very small corner radius."""
    high, boards = form.thickness_m, list[FormBoard]()
    for number, (_, _, half_along, half_across, radius) in enumerate(form.openings, start=1):
        along, across = 2 * half_along, 2 * half_across
        straight = 2 * (min(half_along, half_across) - radius)
        if radius == half_along == half_across:
            if along > PLUG_M:
                return None
            x_size, y_size = _round_size(along)
            layers = _layers(form.marks_m, board_m)
            boards.append(FormBoard("plug", "", number, x_size, y_size, None, 0.0, high, radius, 360.0, layers))
        elif radius and (radius < LEAST_RADIUS_M or straight < SAME_M + 4 * sqrt(6 * CHORD_M * radius)):
            return None
        elif min(along, across) <= BLOCK_BOARDS * board_m:
            layers = _layers(form.marks_m, board_m)
            boards.append(FormBoard("block", "", number, along, across, None, 0.0, high, layers=layers))
        else:
            # in the order in which shapely lists the edges of one opening, or of a union of several
            boards += _inside(number, along, across, radius, high, board_m, x_first=len(form.openings) == 1)
    return boards


def _inside(
    number: int, along: float, across: float, radius: float, high: float, board_m: float, *, x_first: bool
) -> list[FormBoard]:
    """Straight boards and corner formers inside a hole."""
    if not radius:
        x_boards, y_boards = _frame(number, along, across - 2 * board_m, high)
        return [x_boards, y_boards] if x_first else [y_boards, x_boards]
    x_boards, y_boards = _frame(number, along - 2 * radius, across - 2 * radius, high)
    length, sweep, own = _former(radius)
    formers = FormBoard("inside", "", number, length, high, None, 0.0, high, own, sweep, alike=4)
    return [x_boards, formers, y_boards] if x_first else [formers, y_boards, x_boards]


def _layers(marks_m: Sequence[float], board_m: float) -> int:
    """Number of boards stacked between consecutive height marks, the first of which is 0."""
    return sum(max(1, ceil((high - low) / board_m - 1e-9)) for low, high in pairwise(marks_m))


@lru_cache(maxsize=1024)
def _former(radius_m: float) -> tuple[float, float, float | None]:
    """Length in m, sweep in degrees and radius in m of the former of a rounded corner."""
    hole = Region.rectangle(4 * radius_m, 4 * radius_m, radius_m).polygon(CHORD_M)
    ring = shapely.get_coordinates(shapely.orient_polygons(hole, exterior_cw=True))[:-1]
    run = next(run for run in runs_of(ring) if not run.straight)
    return run.length_m, degrees(abs(run.turns)), run.radius_m


@lru_cache(maxsize=1024)
def _round_size(diameter_m: float) -> tuple[float, float]:
    """Size along x and y of a circle's polygon, m."""
    x0, y0, x1, y1 = Region.circle(diameter_m).polygon(CHORD_M).bounds
    return x1 - x0, y1 - y0


# Strips behind a plate


Point = tuple[float, float]


class _Board(NamedTuple):
    board: FormBoard
    foot: tuple[float, float, float, float]


def _hanging(form: PlainForm, deepest: Sequence[float], board_m: float) -> list[FormBoard] | None:
    """Boards around a plate and the strips behind it; None where the strips are too close together."""
    length, width, thick = form.length_m, form.width_m, form.thickness_m
    corners = ((0.0, 0.0), (length, 0.0), (length, width), (0.0, width))
    stacked: list[_Board] = []
    _stack(stacked, _along([corners], [], 0.0, thick, board_m))
    below: list[list[Point]] = [list(corners)]
    low = thick
    for high in sorted({depth for depth in deepest if depth}):
        if high - low <= SAME_M:
            return None
        deep = [strip[0] if depth >= high else 0.0 for strip, depth in zip(form.strips, deepest, strict=True)]
        front, back, left, right = deep
        x0, y0, x1, y1 = left, front, length - right, width - back
        if min(x1 - x0, y1 - y0) <= 2 * board_m + SAME_M or min(strip for strip in deep if strip) <= SAME_M:
            return None
        hollow = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
        if all(deep):
            opened = sum(4 * half_along * half_across for _, _, half_along, half_across, _ in form.openings)
            if min(x1 - x0, y1 - y0) <= BLOCK_BOARDS * board_m or opened > 0.9 * (x1 - x0) * (y1 - y0):
                return None
            boards = _along([corners], below, low, high, board_m)
            inward = (*hollow[1::-1], *hollow[:1:-1]) * 2  # clockwise, from the start of its front
            ring = inward[form.first_inside : form.first_inside + 4]
            boards += _along([ring], below, low, high, board_m, hole=True)
            below = [list(corners)]
        else:
            rings = _rings(corners, hollow, [deep[place] > 0.0 for place in PLACE])
            if rings is None:
                return None
            boards = _along(rings, below, low, high, board_m)
            below = rings
        _stack(stacked, boards)
        low = high
    return [board for board, _ in stacked]


def _rings(corners: Sequence[Point], hollow: Sequence[Point], has: Sequence[bool]) -> list[list[Point]] | None:
    """Outlines of strips along up to three sides, counterclockwise, each starting nearest the lower left.

    None if two corners are equally near.
    """
    rings = []
    for start in range(4):
        if not has[start] or has[start - 1]:
            continue
        count = next(n for n in range(1, 4) if not has[(start + n) % 4])
        places = [(start + n) % 4 for n in range(count + 1)]
        ring = [corners[place] for place in places] + [hollow[place] for place in reversed(places)]
        x0, y0 = min(x for x, _ in ring), min(y for _, y in ring)
        distances = [hypot(x - x0, y - y0) for x, y in ring]
        nearest, second = sorted(distances)[:2]
        if second - nearest < SAME_M:
            return None
        start_at = distances.index(nearest)
        rings.append(ring[start_at:] + ring[:start_at])
    return sorted(rings, key=lambda ring: ring[0])


def _along(
    rings: Sequence[Sequence[Point]],
    below: Sequence[Sequence[Point]],
    low: float,
    high: float,
    board_m: float,
    *,
    hole: bool = False,
) -> list[_Board]:
    """Boards along axis-aligned rings, or a hole, with the concrete on the left."""
    boards: list[_Board] = []
    for ring in rings:
        ends = list(zip(ring, [*ring[1:], ring[0]], strict=True))
        ways = [_way(start, end) for start, end in ends]
        over = [hole or _lies_over(start, end, way, below) for (start, end), way in zip(ends, ways, strict=True)]
        longer = _longer(ways, over, board_m)
        for ((x, y), (x_end, y_end)), (dx, dy), inside, (before, after) in zip(ends, ways, over, longer, strict=True):
            size = abs(x_end - x) + abs(y_end - y)
            a, b = (x - before * dx, y - before * dy), (x_end + after * dx, y_end + after * dy)
            c = (b[0] + board_m * dy, b[1] - board_m * dx)
            foot = (min(a[0], c[0]), min(a[1], c[1]), max(a[0], c[0]), max(a[1], c[1]))
            looks = (-dy, dx) if inside else (dy, -dx)
            side = {(0, -1): "front", (1, 0): "right", (0, 1): "back", (-1, 0): "left"}[looks]
            board = FormBoard(
                "inside" if inside else "edge",
                side,
                0 if hole else len(boards) + 1,
                size + before + after,
                high - low,
                None,
                low,
                high,
            )
            boards.append(_Board(board, foot))
    return boards


def _way(start: Point, end: Point) -> tuple[int, int]:
    """Unit vector along an axis, from start to end."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    return (1 if dx > 0 else -1, 0) if abs(dx) > abs(dy) else (0, 1 if dy > 0 else -1)


def _longer(ways: Sequence[tuple[int, int]], over: Sequence[bool], board_m: float) -> list[tuple[float, float]]:
    """Extra length of each board beyond its edge, at the start and at the end."""
    count = len(ways)
    starts, ends = [0.0] * count, [0.0] * count
    for i, (way, inside) in enumerate(zip(ways, over, strict=True)):
        j = (i + 1) % count
        runs_over = (not inside, way[1] == 0) >= (not over[j], ways[j][1] == 0)
        if way[0] * ways[j][1] - way[1] * ways[j][0] > 0:
            ends[i], starts[j] = (board_m, 0.0) if runs_over else (0.0, board_m)
        else:
            ends[i], starts[j] = (0.0, -board_m) if runs_over else (-board_m, 0.0)
    return list(zip(starts, ends, strict=True))


def _lies_over(start: Point, end: Point, way: tuple[int, int], below: Sequence[Sequence[Point]]) -> bool:
    """Whether a board beside an edge stands over concrete of the level below."""
    x, y = (start[0] + end[0]) / 2 + 1e-4 * way[1], (start[1] + end[1]) / 2 - 1e-4 * way[0]
    return any(_holds(ring, x, y) for ring in below)


def _holds(ring: Sequence[Point], x: float, y: float) -> bool:
    """Whether a point lies inside an axis-aligned ring: an odd number of its y-parallel edges lie to the right."""
    inside = False
    for (x0, y0), (x1, y1) in zip(ring, [*ring[1:], ring[0]], strict=True):
        if x0 == x1 and x0 > x and min(y0, y1) < y < max(y0, y1):
            inside = not inside
    return inside


def _stack(stacked: list[_Board], boards: Sequence[_Board]) -> None:
    """Add boards to those of lower levels; a board on the footprint of a lower one is joined to it."""
    for board, foot in boards:
        area = (foot[2] - foot[0]) * (foot[3] - foot[1])
        for i, (lower, under) in enumerate(stacked):
            if abs(lower.high_m - board.low_m) >= SAME_M or lower.role not in (board.role, "edge"):
                continue
            common = (min(foot[2], under[2]) - max(foot[0], under[0]), min(foot[3], under[3]) - max(foot[1], under[1]))
            shared = max(common[0], 0.0) * max(common[1], 0.0)
            if area + (under[2] - under[0]) * (under[3] - under[1]) - 2 * shared < 1e-3 * area:
                stacked[i] = _Board(lower._replace(high_m=board.high_m, height_m=board.high_m - lower.low_m), under)
                break
        else:
            stacked.append(_Board(board, foot))
