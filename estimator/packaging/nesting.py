"""Nesting of boards on sheets with guillotine cuts, and a lower bound on the number of sheets."""

from bisect import bisect_left, insort
from collections import Counter
from collections.abc import Callable, Sequence
from functools import lru_cache
from itertools import count, product
from math import ceil, inf
from typing import Literal

import numpy as np

from estimator.errors import FaultError
from geometry.arrays import Floats
from geometry.frozen import frozen
from geometry.message import Message, message

Fit = Literal[
    "edge", "area", "turned"
]  # smallest rest along an edge; smallest rectangle, preferably as it is or turned
Cut = Literal[
    "larger", "across", "along"
]  # direction of the cut: the one that keeps the larger rest whole, or a fixed one
FITS: tuple[Fit, ...] = ("area", "edge", "turned")
CUTS: tuple[Cut, ...] = ("larger", "across", "along")

FIT_TOLERANCE_M = 1e-9  # finer than any saw, so that lengths converted from inches match those in millimeters
AREA_TOLERANCE_M2 = 1e-6  # more than the effect on area of the tolerance above and of rounding, on any sheet


@frozen
class Board:
    """One board of the cut list, which may be turned unless its face has a grain.

    name      shop name, such as "front edge"
    radius_m  radius of the concrete face, if the board is a rib of a curve or a round plug
    mark      mark of the piece
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
        """Mark and name for the layout on sheets."""
        return Message("board-of", (("mark", self.mark), ("board", self.name)))


@frozen
class Sheet:
    """A sheet as sold, with saw kerf and trim."""

    length_m: float
    width_m: float
    kerf_m: float
    trim_m: float = 0.0  # off every edge before anything is cut


@frozen
class Placed:
    """Position of a board on its sheet, from the corner of the sheet; its length is along x unless it is turned."""

    board: Message
    x_m: float
    y_m: float
    length_m: float  # along x as placed
    width_m: float
    turned: bool


@frozen
class Nesting:
    """The cut list laid out on sheets, with every cut running from edge to edge of the piece being cut.

    sheets   empty for a list that is too long to lay out
    """

    sheets: tuple[tuple[Placed, ...], ...]
    fewest: int  # lower bound on the number of sheets of any layout
    board_area_m2: float
    used: float  # share of the area of the sheets that becomes boards

    @property
    def count(self) -> int:
        """Sheets to buy: those of the layout, else the fewest that any layout needs."""
        return len(self.sheets) or self.fewest

    @property
    def proven(self) -> bool:
        """Whether no layout can have fewer sheets."""
        return len(self.sheets) == self.fewest


def board_area(boards: Sequence[Board]) -> float:
    """Area of all boards, m², without kerf and offcuts."""
    return sum(board.count * board.length_m * board.width_m for board in boards)


Free = tuple[float, int, int, float, float, float, float]
"""A free rectangle: rounded area, sheet and number, by which they are sorted; x, y, length and width."""

Place = tuple[float, float, float, float, bool]  # of a board on its sheet: x, y, size along x and y, whether turned
Layout = list[list[tuple[Board, Place]]]  # by sheet

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
"""Sort keys of boards, largest first; ties are ordered by label."""


LONG_WAYS: tuple[tuple[Order, Fit, Cut], ...] = (
    (_by_short_side, "area", "along"),
    (_by_area, "area", "along"),
)
"""Of a long list, whose layout takes a time that grows with its square."""

MOST_FOR_ALL_WAYS, MOST_BOARDS, MOST_SIZES = 150, 1500, 150


def is_too_long(boards: Sequence[Board]) -> bool:
    """Whether a list is not to be laid out: more than 1,500 boards, or more than 150 of more than 150 sizes."""
    count = sum(board.count for board in boards)
    if count <= MOST_FOR_ALL_WAYS:
        return False
    return count > MOST_BOARDS or len({(board.length_m, board.width_m) for board in boards}) > MOST_SIZES


@lru_cache(maxsize=16)  # prices, options and alternates leave most forms unchanged
def nest(boards: tuple[Board, ...], sheet: Sheet) -> Nesting:
    """Lay out boards on sheets with guillotine cuts, as a panel saw makes them.

    Boards are placed largest first, each in the best-fitting free rectangle of the sheets begun so far, whose rest is
    then split by a cut. A board that fits nowhere begins a sheet. Several sort orders and rules are tried, of a long
    list two, and the layout with the fewest sheets is returned. This heuristic is not always optimal: `fewest` is a
    lower bound for any layout, and `proven` tells whether this one reaches it.
    Raises FaultError for a board larger than the sheet.
    """
    length, width = sheet.length_m - 2 * sheet.trim_m, sheet.width_m - 2 * sheet.trim_m
    if not (length > 0.0 and width > 0.0 and sheet.kerf_m >= 0.0):
        raise FaultError("sheet", message("packaging-sheet-trimmed-away"))
    for board in boards:
        if not (board.length_m > 0.0 and board.width_m > 0.0 and board.count >= 1):
            raise FaultError(board.mark, message("packaging-board-empty", board=board.label))
        if not _ways_to_lie(board, length, width):
            own = message("packaging-rectangle", length_m=board.length_m, width_m=board.width_m)
            most = message("packaging-rectangle", length_m=length, width_m=width)
            problem = message("packaging-board-too-large", board=board.label, board_size=own, sheet_size=most)
            raise FaultError(board.mark, problem)
    fewest = _fewest(boards, sheet, length, width)
    singles = [board for board in sorted(boards, key=lambda board: str(board.label)) for _ in range(board.count)]
    laid: Layout = []
    least: float = inf
    ways = product(ORDERS, FITS, CUTS) if len(singles) <= MOST_FOR_ALL_WAYS else LONG_WAYS
    for order, fit, cut in ways:
        layout = _lay(sorted(singles, key=order), sheet, length, width, fit, cut, least)
        if layout is not None:
            laid, least = layout, len(layout)
        if least <= fewest:
            break
    return _nesting(boards, sheet, laid, fewest)


def not_laid(boards: Sequence[Board], sheet: Sheet) -> Nesting:
    """The fewest sheets of a list that is too long to lay out, whose boards all fit the sheet."""
    fewest = _fewest(boards, sheet, sheet.length_m - 2 * sheet.trim_m, sheet.width_m - 2 * sheet.trim_m)
    return _nesting(boards, sheet, [], fewest)


def _nesting(boards: Sequence[Board], sheet: Sheet, laid: Layout, fewest: int) -> Nesting:
    area = board_area(boards)
    return Nesting(
        sheets=tuple(tuple(Placed(board.label, *place) for board, place in placed) for placed in laid),
        fewest=fewest,
        board_area_m2=area,
        used=area / (max(len(laid), fewest) * sheet.length_m * sheet.width_m) if boards else 0.0,
    )


def _ways_to_lie(board: Board, room_x: float, room_y: float) -> list[tuple[float, float, bool]]:
    ways = [(board.length_m, board.width_m, False)]
    if board.turns:
        ways.append((board.width_m, board.length_m, True))
    return [way for way in ways if way[0] <= room_x + FIT_TOLERANCE_M and way[1] <= room_y + FIT_TOLERANCE_M]


def _lay(
    boards: Sequence[Board], sheet: Sheet, length: float, width: float, fit: Fit, cut: Cut, most: float = inf
) -> Layout | None:
    """Place the boards in order; None if that takes `most` sheets or more."""
    free: list[Free] = []  # sorted
    laid: Layout = []
    numbers = count()

    def leave(on: int, x: float, y: float, length: float, width: float) -> None:
        insort(free, (round(length * width, 9), on, next(numbers), x, y, length, width))

    for board in boards:
        spot = _best_spot(board, free, fit)
        if spot is None:
            if len(laid) + 1 >= most:
                return None
            leave(len(laid), sheet.trim_m, sheet.trim_m, length, width)
            laid.append([])
            spot = _best_spot(board, free, fit)
            assert spot is not None, "a board that fits the sheet fits an empty one"
        at, along, across, turned = spot
        _, on, _, x, y, room_x, room_y = free.pop(at)
        laid[on].append((board, (x, y, along, across, turned)))
        for offcut in _offcuts(x, y, room_x, room_y, along, across, sheet.kerf_m, cut):
            leave(on, *offcut)
    return laid


def _best_spot(board: Board, free: Sequence[Free], fit: Fit) -> tuple[int, float, float, bool] | None:
    """(place in `free`, length along x, along y, turned) of the best fit; None if the board fits nowhere."""
    ways = _ways_to_lie(board, inf, inf)
    best: tuple[tuple[float, float, int, int], tuple[int, float, float, bool]] | None = None
    for at in range(bisect_left(free, (board.length_m * board.width_m - AREA_TOLERANCE_M2,)), len(free)):
        area, on, order, _, _, room_x, room_y = free[at]
        if best is not None and fit != "edge" and area > best[0][0]:
            break
        for along, across, turned in ways:
            if along > room_x + FIT_TOLERANCE_M or across > room_y + FIT_TOLERANCE_M:
                continue
            if fit == "edge":
                key = (round(min(room_x - along, room_y - across), 9), area, on, order)
            else:
                key = (area, float(turned) if fit == "area" else -float(turned), on, order)
            if best is None or key < best[0]:
                best = (key, (at, along, across, turned))
    return None if best is None else best[1]


def _offcuts(
    x: float, y: float, room_x: float, room_y: float, along: float, across: float, kerf: float, cut: Cut
) -> list[tuple[float, float, float, float]]:
    """The two rectangles that remain beside a board in the corner, without empty ones."""
    rest_x, rest_y = room_x - along - kerf, room_y - across - kerf
    if cut == "across" or (cut == "larger" and rest_x > rest_y):
        pieces = [(x + along + kerf, y, rest_x, room_y), (x, y + across + kerf, along, rest_y)]
    else:
        pieces = [(x, y + across + kerf, room_x, rest_y), (x + along + kerf, y, rest_x, across)]
    return [piece for piece in pieces if piece[2] > FIT_TOLERANCE_M and piece[3] > FIT_TOLERANCE_M]


LEAST_STEPS, MOST_STEPS, MOST_PRODUCTS = 3, 48, 2_500_000
"""Numbers of values of e, per direction, for which the bound is evaluated: fewer for many boards, to keep the products
of values and boards below a limit. It is valid for any e."""

_SLACK = 1e-7
"""Tolerance of a share, and of a sum of shares; more than the tolerances of fits can add up to."""


def _fewest(boards: Sequence[Board], sheet: Sheet, length: float, width: float) -> int:
    """Lower bound on the number of sheets of any layout, with guillotine cuts or without.

    Every board is enlarged by the kerf, and so is the sheet. For any e up to 1/2, the share of a side in the sheet is
    replaced by 1 above 1 - e, by 0 below e, and is unchanged otherwise; the shares of boards side by side still add up
    to at most 1. So do the products of such shares in both directions. A board that may turn counts with the smaller of
    its two products.
    Source: bounds by dual feasible functions, Mathematical Methods of Operations Research 60 (2004), from memory.
    """
    if not boards:
        return 0
    alike = Counter[tuple[float, float, bool]]()
    for board in boards:
        alike[board.length_m, board.width_m, board.turns] += board.count
    length_m, width_m, turns = map(np.array, zip(*alike, strict=True))
    counts = np.array(list(alike.values()), dtype=float)
    along, across = length_m + sheet.kerf_m, width_m + sheet.kerf_m
    room_x, room_y = length + sheet.kerf_m, width + sheet.kerf_m
    plain, turned = (along / room_x, across / room_y), (across / room_x, along / room_y)
    may_turn = turns & (turned[0] <= 1 + _SLACK) & (turned[1] <= 1 + _SLACK)
    must_turn = may_turn & ~((plain[0] <= 1 + _SLACK) & (plain[1] <= 1 + _SLACK))
    most_steps = max(LEAST_STEPS, min(MOST_STEPS, int((MOST_PRODUCTS / len(boards)) ** 0.5)))
    steps = [_steps(np.concatenate([plain[axis], turned[axis]]), most_steps) for axis in (0, 1)]
    (plain_x, plain_y), (turned_x, turned_y) = (
        [_counted(way[axis], steps[axis]) for axis in (0, 1)] for way in (plain, turned)
    )
    only = [(plain_x, plain_y, ~may_turn), (turned_x, turned_y, must_turn)]
    sums = sum((x[:, which] * counts[which]) @ y[:, which].T for x, y, which in only)
    either = may_turn & ~must_turn
    counts_either = counts[either]
    rows = zip(plain_x[:, either], turned_x[:, either], strict=True)
    lying_y, turning_y = plain_y[:, either], turned_y[:, either]
    for number, (lying, turning) in enumerate(rows):
        sums[number] += np.minimum(lying * lying_y, turning * turning_y) @ counts_either
    return max(1, ceil(float(sums.max()) - _SLACK * float(counts.sum())))


def _steps(shares: Floats, most: int) -> Floats:
    """Values of e to evaluate: shares below 1/2, and 1/2 itself; 0 leaves all shares unchanged."""
    steps = sorted({0.0, 0.5, *shares[shares < 0.5].tolist()})  # numpy's own way imports its masked arrays first
    places = sorted(set(np.linspace(0, len(steps) - 1, most).astype(int).tolist()))
    return np.array([steps[place] for place in places])


def _counted(shares: Floats, steps: Floats) -> Floats:
    """(steps, boards) shares transformed by the dual feasible function for each e."""
    e = steps[:, np.newaxis]
    values: Floats = np.where(shares < e, 0.0, np.where(shares > 1 - e + _SLACK, 1.0, np.minimum(shares, 1.0)))
    return values
