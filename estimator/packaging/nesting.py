"""Boards laid on sheets with cuts from edge to edge, and how few sheets any layout needs."""

from collections.abc import Callable, Sequence
from functools import lru_cache
from itertools import product
from math import ceil, inf
from typing import Literal

import numpy as np

from estimator.errors import FaultError
from geometry.arrays import Floats
from geometry.frozen import frozen
from geometry.message import Message, message

Fit = Literal["edge", "area", "turned"]  # least rest beside an edge; the smallest rectangle, as it is or turned
Cut = Literal["larger", "across", "along"]  # which way a rectangle is cut through: the larger rest whole, or always so
FITS: tuple[Fit, ...] = ("area", "edge", "turned")
CUTS: tuple[Cut, ...] = ("larger", "across", "along")

FIT_TOLERANCE_M = 1e-9  # below any saw: lengths that came from inches meet those that came from millimetres
AREA_TOLERANCE_M2 = 1e-6  # more than the other and the rounding of areas can come to on any sheet


@frozen
class Board:
    """One board of the cut list: it may be turned unless its face has a grain.

    name      in the shop, such as "front edge"
    radius_m  of the concrete's face, where the board is a former of a curve or a round plug
    mark      of the piece
    """

    name: Message | str
    length_m: float
    width_m: float
    count: int = 1
    turns: bool = True
    radius_m: float | None = None
    mark: str = ""

    @property
    def label(self) -> Message:
        """Mark and name, as the layout on sheets shows them."""
        return message("board-of", mark=self.mark, board=self.name)


@frozen
class Sheet:
    """A sheet as sold, and what saw and trimming take."""

    length_m: float
    width_m: float
    kerf_m: float
    trim_m: float = 0.0  # off every edge before anything is cut


@frozen
class Placed:
    """Where a board lies on its sheet, from the sheet's corner; length runs along x unless it is turned."""

    board: Message
    x_m: float
    y_m: float
    length_m: float  # along x as it lies
    width_m: float
    turned: bool


@frozen
class Nesting:
    """The cut list laid on sheets, every cut from edge to edge of what is being cut."""

    sheets: tuple[tuple[Placed, ...], ...]
    fewest: int  # no layout needs less
    board_area_m2: float
    used: float  # share of the sheets' area that becomes boards

    @property
    def count(self) -> int:
        return len(self.sheets)

    @property
    def proven(self) -> bool:
        """Whether no other layout could do with fewer sheets."""
        return self.count == self.fewest


def board_area(boards: Sequence[Board]) -> float:
    """Area of all boards, m², without kerf and offcuts."""
    return sum(board.count * board.length_m * board.width_m for board in boards)


Order = Callable[[Board], tuple[float, float]]


def _by_area(board: Board) -> tuple[float, float]:
    return -board.length_m * board.width_m, -board.length_m


def _by_long_side(board: Board) -> tuple[float, float]:
    return -max(board.length_m, board.width_m), -min(board.length_m, board.width_m)


def _by_short_side(board: Board) -> tuple[float, float]:
    return -min(board.length_m, board.width_m), -max(board.length_m, board.width_m)


def _by_perimeter(board: Board) -> tuple[float, float]:
    return -board.length_m - board.width_m, -max(board.length_m, board.width_m)


ORDERS: tuple[Order, ...] = (_by_area, _by_long_side, _by_short_side, _by_perimeter)
"""Ways to tell which board is larger; boards as large stand by their labels."""


@lru_cache(maxsize=16)  # prices, options and alternatives leave most forms as they are
def nest(boards: tuple[Board, ...], sheet: Sheet) -> Nesting:
    """Lay the boards on sheets with cuts from edge to edge, as a panel saw makes them.

    Boards go down largest first, each into the free rectangle of any begun sheet that it fits best, which is then cut
    through; a board that fits none begins a sheet. Of a few such rules, and a few ways to tell which board is larger,
    the one with the fewest sheets is taken: simple, and not always the least. `fewest` says how few any layout needs,
    `proven` whether this one is as good.
    Raises FaultError for a board larger than the sheet.
    """
    length, width = sheet.length_m - 2 * sheet.trim_m, sheet.width_m - 2 * sheet.trim_m
    if not (length > 0.0 and width > 0.0 and sheet.kerf_m >= 0.0):
        raise FaultError("sheet", message("packaging-sheet-trimmed-away"))
    singles = []
    for board in boards:
        if not (board.length_m > 0.0 and board.width_m > 0.0 and board.count >= 1):
            raise FaultError(board.mark, message("packaging-board-empty", board=board.label))
        if not _ways_to_lie(board, length, width):
            own = message("packaging-rectangle", length_m=board.length_m, width_m=board.width_m)
            most = message("packaging-rectangle", length_m=length, width_m=width)
            problem = message("packaging-board-too-large", board=board.label, board_size=own, sheet_size=most)
            raise FaultError(board.mark, problem)
        singles += [board] * board.count
    fewest = _fewest(boards, sheet, length, width)
    singles.sort(key=lambda board: str(board.label))
    laid: Layout = []
    count: float = inf
    for order, fit, cut in product(ORDERS, FITS, CUTS):
        layout = _lay(sorted(singles, key=order), sheet, length, width, fit, cut, count)
        if layout is not None:
            laid, count = layout, len(layout)
        if count <= fewest:
            break
    area = board_area(boards)
    return Nesting(
        sheets=tuple(tuple(Placed(board.label, *place) for board, place in placed) for placed in laid),
        fewest=fewest,
        board_area_m2=area,
        used=area / (len(laid) * sheet.length_m * sheet.width_m) if laid else 0.0,
    )


def _ways_to_lie(board: Board, room_x: float, room_y: float) -> list[tuple[float, float, bool]]:
    ways = [(board.length_m, board.width_m, False)]
    if board.turns:
        ways.append((board.width_m, board.length_m, True))
    return [way for way in ways if way[0] <= room_x + FIT_TOLERANCE_M and way[1] <= room_y + FIT_TOLERANCE_M]


Free = tuple[float, float, float, float, float]  # a free rectangle: x, y, length, width, and its area as compared
Place = tuple[float, float, float, float, bool]  # of a board on its sheet: x, y, size as it lies, whether turned
Layout = list[list[tuple[Board, Place]]]  # by sheet


def _free(x: float, y: float, length: float, width: float) -> Free:
    return x, y, length, width, round(length * width, 9)


def _lay(
    boards: Sequence[Board], sheet: Sheet, length: float, width: float, fit: Fit, cut: Cut, most: float = inf
) -> Layout | None:
    """The boards laid one after another; None where that takes `most` sheets or more."""
    free: list[list[Free]] = []
    laid: Layout = []
    for board in boards:
        spot = _best_spot(board, free, fit)
        if spot is None:
            if len(laid) + 1 >= most:
                return None
            free.append([_free(sheet.trim_m, sheet.trim_m, length, width)])
            laid.append([])
            spot = _best_spot(board, free, fit)
            assert spot is not None, "a board that fits the sheet fits an empty one"
        number, place, along, across, turned = spot
        rectangle = free[number].pop(place)
        laid[number].append((board, (rectangle[0], rectangle[1], along, across, turned)))
        free[number] += _offcuts(rectangle, along, across, sheet.kerf_m, cut)
    return laid


def _best_spot(board: Board, free: Sequence[Sequence[Free]], fit: Fit) -> tuple[int, int, float, float, bool] | None:
    """(sheet, free rectangle, length along x, along y, turned) where the board fits best."""
    ways = _ways_to_lie(board, inf, inf)
    least = board.length_m * board.width_m - AREA_TOLERANCE_M2
    best: tuple[tuple[float, float, int, int], tuple[int, int, float, float, bool]] | None = None
    for number, rectangles in enumerate(free):
        for place, (_, _, room_x, room_y, area) in enumerate(rectangles):
            if area < least:
                continue
            for along, across, turned in ways:
                if along > room_x + FIT_TOLERANCE_M or across > room_y + FIT_TOLERANCE_M:
                    continue
                if fit == "edge":
                    key = (round(min(room_x - along, room_y - across), 9), area, number, place)
                else:
                    key = (area, float(turned) if fit == "area" else -float(turned), number, place)
                if best is None or key < best[0]:
                    best = (key, (number, place, along, across, turned))
    return None if best is None else best[1]


def _offcuts(rectangle: Free, along: float, across: float, kerf: float, cut: Cut) -> list[Free]:
    """The two rectangles left beside a board in the corner; slivers of nothing left out."""
    x, y, room_x, room_y, _ = rectangle
    rest_x, rest_y = room_x - along - kerf, room_y - across - kerf
    if cut == "across" or (cut == "larger" and rest_x > rest_y):
        pieces = [(x + along + kerf, y, rest_x, room_y), (x, y + across + kerf, along, rest_y)]
    else:
        pieces = [(x, y + across + kerf, room_x, rest_y), (x + along + kerf, y, rest_x, across)]
    return [_free(*piece) for piece in pieces if piece[2] > FIT_TOLERANCE_M and piece[3] > FIT_TOLERANCE_M]


MOST_STEPS = 48
"""Sides of boards, of each direction, that the bound is tried with; it holds with any of them."""

_SLACK = 1e-7
"""Of a share, and of a sum of shares: above what the tolerance of a fit can add up to."""


def _fewest(boards: Sequence[Board], sheet: Sheet, length: float, width: float) -> int:
    """The fewest sheets that any layout needs, with or without cuts from edge to edge.

    Each board takes its kerf with it; one at the sheet's far edges falls outside. A side's share of the sheet counts 1
    above 1 - e, nothing below e, and else itself, for any e up to a half: what lies beside one another still adds up
    to at most 1. So do areas of such shares; of a board that may turn, the lesser of its two ways.
    Source: bounds by dual feasible functions, Mathematical Methods of Operations Research 60 (2004), from memory.
    """
    if not boards:
        return 0
    along = np.array([board.length_m for board in boards]) + sheet.kerf_m
    across = np.array([board.width_m for board in boards]) + sheet.kerf_m
    counts = np.array([board.count for board in boards], dtype=float)
    room_x, room_y = length + sheet.kerf_m, width + sheet.kerf_m
    plain, turned = (along / room_x, across / room_y), (across / room_x, along / room_y)
    may_lie = (plain[0] <= 1 + _SLACK) & (plain[1] <= 1 + _SLACK)
    may_turn = np.array([board.turns for board in boards]) & (turned[0] <= 1 + _SLACK) & (turned[1] <= 1 + _SLACK)
    ways = [np.where(may, 0.0, inf) for may in (may_lie, may_turn)]
    steps = [_steps(np.concatenate([plain[axis], turned[axis]])) for axis in (0, 1)]
    (plain_x, plain_y), (turned_x, turned_y) = (
        [_counted(way[axis], steps[axis]) for axis in (0, 1)] for way in (plain, turned)
    )
    most = 0.0
    for lying, turning in zip(plain_x, turned_x, strict=True):
        least = np.minimum(lying * plain_y + ways[0], turning * turned_y + ways[1])
        most = max(most, float((least @ counts).max()))
    return max(1, ceil(most - _SLACK * float(counts.sum())))


def _steps(shares: Floats) -> Floats:
    """The values of e that matter: shares up to a half, and a half itself; 0 leaves every share as it is."""
    steps = np.unique(np.concatenate([[0.0, 0.5], shares[shares < 0.5]]))
    chosen: Floats = steps[np.unique(np.linspace(0, len(steps) - 1, MOST_STEPS).astype(int))]
    return chosen


def _counted(shares: Floats, steps: Floats) -> Floats:
    """(steps, boards) what each share counts."""
    e = steps[:, np.newaxis]
    counted: Floats = np.where(shares < e, 0.0, np.where(shares > 1 - e + _SLACK, 1.0, np.minimum(shares, 1.0)))
    return counted
