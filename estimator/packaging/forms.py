"""Forms: how many are built, of what, their boards, and how these are laid on sheets."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import product
from math import ceil, inf
from typing import Literal

from estimator.errors import FaultError
from estimator.packaging.price import millionths, whole_cents
from geometry import shapes
from geometry.form_boards import form_boards
from geometry.frozen import frozen
from geometry.message import message
from geometry.plain_forms import FormBoard

SAMPLE_SIDE_M = 12 * 0.0254
"""A sample is 12 × 12 in: common practice."""

FORM_BOARD = "form-board"
FORM_MATERIAL: Mapping[str, str] = {"rubber": "mould-rubber", "glass-fibre": "mould-laminate"}
"""What a form of a kind is made of, by its name in the catalog; the others are made of board."""

Fit = Literal["edge", "area", "turned"]  # least rest beside an edge; the smallest rectangle, as it is or turned
Cut = Literal["larger", "across", "along"]  # which way a rectangle is cut through: the larger rest whole, or always so
FITS: tuple[Fit, ...] = ("area", "edge", "turned")
CUTS: tuple[Cut, ...] = ("larger", "across", "along")

FIT_TOLERANCE_M = 1e-9  # below any saw: lengths that came from inches meet those that came from millimetres


@frozen
class FormSet:
    """The forms for one piece mark over the whole job."""

    casts: int
    forms: int  # standing at one time
    uses: int  # casts from each before it is renewed
    built: int  # over the job, renewals in

    @property
    def renewals(self) -> int:
        return self.built - self.forms


@lru_cache(maxsize=1024)  # most marks of a job have one form, cast a few times
def form_set(casts: int, forms: int, uses: int) -> FormSet:
    """How many forms a mark takes: never fewer than stand at one time or than the casts wear out.

    casts  pieces to be cast of the mark
    forms  standing at one time; those that no cast would fill are not built
    uses   casts from one form before it is renewed; the low figure of a range is the one to plan by

    The casts are shared out evenly, and each standing form is renewed whenever its share has worn it out.
    Raises FaultError where one of them is below one.
    """
    for name, value in (("casts", casts), ("forms", forms), ("uses", uses)):
        if value < 1:
            raise FaultError(name, message("packaging-below-one", what=name, value=value))
    standing = min(casts, forms)
    share, more = divmod(casts, standing)
    built = more * ceil((share + 1) / uses) + (standing - more) * ceil(share / uses)
    return FormSet(casts, standing, uses, built)


def cost_per_cast(cost: float, forms: FormSet) -> float:
    """What each cast bears of the forms' whole cost, currency, unrounded: the quote rounds its own lines."""
    return cost / forms.casts


@frozen
class Board:
    """One board of the cut list: it may be turned unless its face has a grain.

    radius_m  of the concrete's face, where the board is a former of a curve or a round plug
    """

    name: str
    length_m: float
    width_m: float
    count: int = 1
    turns: bool = True
    radius_m: float | None = None


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

    board: str
    x_m: float
    y_m: float
    length_m: float  # along x as it lies
    width_m: float
    turned: bool


@frozen
class Nesting:
    """The cut list laid on sheets, every cut from edge to edge of what is being cut."""

    sheets: tuple[tuple[Placed, ...], ...]
    fewest: int  # by area and by the boards too big to share a sheet: no layout needs less
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


def nest(boards: Sequence[Board], sheet: Sheet) -> Nesting:
    """Lay the boards on sheets with cuts from edge to edge, as a panel saw makes them.

    Boards go down by falling area, each into the free rectangle of any begun sheet that it fits best, which is then
    cut through; a board that fits none begins a sheet. Of a few such rules the one with the fewest sheets is taken:
    simple, and not always the least. `fewest` says how few any layout needs, `proven` whether this one is as good.
    Raises FaultError for a board larger than the sheet.
    """
    length, width = sheet.length_m - 2 * sheet.trim_m, sheet.width_m - 2 * sheet.trim_m
    if not (length > 0.0 and width > 0.0 and sheet.kerf_m >= 0.0):
        raise FaultError("sheet", message("packaging-sheet-trimmed-away"))
    singles = []
    for board in boards:
        if not (board.length_m > 0.0 and board.width_m > 0.0 and board.count >= 1):
            raise FaultError(board.name, message("packaging-board-empty", board=board.name))
        if not _ways_to_lie(board, length, width):
            own = message("packaging-rectangle", length_m=board.length_m, width_m=board.width_m)
            most = message("packaging-rectangle", length_m=length, width_m=width)
            problem = message("packaging-board-too-large", board=board.name, board_size=own, sheet_size=most)
            raise FaultError(board.name, problem)
        singles += [board] * board.count
    singles.sort(key=lambda single: (-single.length_m * single.width_m, -single.length_m, single.name))
    area = board_area(boards)
    whole = sheet.length_m * sheet.width_m
    # each board takes its kerf with it, one at the sheet's far edges falls outside
    by_area = sum((single.length_m + sheet.kerf_m) * (single.width_m + sheet.kerf_m) for single in singles) / (
        (length + sheet.kerf_m) * (width + sheet.kerf_m)
    )
    alone = sum(1 for single in singles if _shares_no_sheet(single, length, width))
    fewest = max(ceil(by_area - 1e-9), alone)
    laid: list[list[Placed]] | None = None
    for fit, cut in product(FITS, CUTS):
        layout = _lay(singles, sheet, length, width, fit, cut)
        if laid is None or len(layout) < len(laid):
            laid = layout
        if len(laid) <= fewest:
            break
    assert laid is not None, "there is a rule"
    return Nesting(
        sheets=tuple(tuple(placed) for placed in laid),
        fewest=fewest,
        board_area_m2=area,
        used=area / (len(laid) * whole) if laid else 0.0,
    )


def _ways_to_lie(board: Board, room_x: float, room_y: float) -> list[tuple[float, float, bool]]:
    ways = [(board.length_m, board.width_m, False)]
    if board.turns:
        ways.append((board.width_m, board.length_m, True))
    return [way for way in ways if way[0] <= room_x + FIT_TOLERANCE_M and way[1] <= room_y + FIT_TOLERANCE_M]


Free = tuple[float, float, float, float]  # a free rectangle: x, y, length, width


def _lay(boards: Sequence[Board], sheet: Sheet, length: float, width: float, fit: Fit, cut: Cut) -> list[list[Placed]]:
    free: list[list[Free]] = []
    laid: list[list[Placed]] = []
    for board in boards:
        spot = _best_spot(board, free, fit)
        if spot is None:
            free.append([(sheet.trim_m, sheet.trim_m, length, width)])
            laid.append([])
            spot = _best_spot(board, free, fit)
            assert spot is not None, "a board that fits the sheet fits an empty one"
        number, place, along, across, turned = spot
        rectangle = free[number].pop(place)
        laid[number].append(Placed(board.name, rectangle[0], rectangle[1], along, across, turned))
        free[number] += _offcuts(rectangle, along, across, sheet.kerf_m, cut)
    return laid


def _best_spot(board: Board, free: Sequence[Sequence[Free]], fit: Fit) -> tuple[int, int, float, float, bool] | None:
    """(sheet, free rectangle, length along x, along y, turned) where the board fits best."""
    ways = _ways_to_lie(board, inf, inf)
    best: tuple[tuple[float, float, int, int], tuple[int, int, float, float, bool]] | None = None
    for number, rectangles in enumerate(free):
        for place, (_, _, room_x, room_y) in enumerate(rectangles):
            for along, across, turned in ways:
                if along > room_x + FIT_TOLERANCE_M or across > room_y + FIT_TOLERANCE_M:
                    continue
                area = round(room_x * room_y, 9)
                if fit == "edge":
                    key = (round(min(room_x - along, room_y - across), 9), area, number, place)
                else:
                    key = (area, float(turned) if fit == "area" else -float(turned), number, place)
                if best is None or key < best[0]:
                    best = (key, (number, place, along, across, turned))
    return None if best is None else best[1]


def _offcuts(rectangle: Free, along: float, across: float, kerf: float, cut: Cut) -> list[Free]:
    """The two rectangles left beside a board in the corner; slivers of nothing left out."""
    x, y, room_x, room_y = rectangle
    rest_x, rest_y = room_x - along - kerf, room_y - across - kerf
    if cut == "across" or (cut == "larger" and rest_x > rest_y):
        pieces = [(x + along + kerf, y, rest_x, room_y), (x, y + across + kerf, along, rest_y)]
    else:
        pieces = [(x, y + across + kerf, room_x, rest_y), (x + along + kerf, y, rest_x, across)]
    return [piece for piece in pieces if piece[2] > FIT_TOLERANCE_M and piece[3] > FIT_TOLERANCE_M]


def _shares_no_sheet(board: Board, length: float, width: float) -> bool:
    """Whether two such boards never lie on one sheet: each is over half of it both ways, however turned."""
    least = min(board.length_m, board.width_m) if board.turns else None
    if least is not None:
        return least > max(length, width) / 2
    return board.length_m > length / 2 and board.width_m > width / 2


@frozen
class Samples:
    """Samples really cast and sealed, priced now and credited when the job is ordered."""

    count: int
    area_m2: float
    volume_m3: float
    price: float
    credit: float  # taken off the job's price


def samples(
    count: int, thickness_m: float, price_each: float, credited: bool = True, side_m: float = SAMPLE_SIDE_M
) -> Samples:
    """Two or three samples of 12 × 12 in, as the trade shows them.

    count        how many
    thickness_m  as the pieces are cast
    price_each   asked of the customer, currency
    credited     whether the price comes off the job when it is ordered
    side_m       of the square
    """
    if count < 0 or thickness_m <= 0.0 or price_each < 0.0:
        raise FaultError("samples", message("packaging-samples-negative"))
    area = count * side_m**2
    price = whole_cents(count * millionths(price_each)) / 100
    return Samples(count, area, area * thickness_m, price, price if credited else 0.0)


_TO_DRAWING = {False: "", True: " to the drawing"}
"""What is added to the name of a former, by whether its curve has no single radius."""


def boards_of(shape: shapes.Shape, name: str, board_m: float) -> tuple[Board, ...]:
    """Boards of one form, like boards counted together; none where the shape is not built of boards.

    name     the piece mark, which the boards' names begin with
    board_m  thickness of the board
    """
    return tuple(
        Board(f"{name} {board}", length_m, width_m, count, radius_m=radius_m)
        for board, length_m, width_m, radius_m, count in _cut_list(shape, board_m)
    )


@lru_cache(maxsize=1024)  # pieces of one shape have the boards of one form
def _cut_list(shape: shapes.Shape, board_m: float) -> tuple[tuple[str, float, float, float | None, int], ...]:
    """Name, length, width, radius and count of the boards of one form."""
    counted: dict[tuple[str, float, float, float | None], int] = {}
    upright = shape.edge_numbers == "section"  # a moulding stands on its end there
    for board in form_boards(shape, board_m):
        if board.length_m > FIT_TOLERANCE_M and board.height_m > FIT_TOLERANCE_M:
            length_m, width_m = round(board.length_m, 7), round(board.height_m, 7)
            if upright and board.role != "end":
                length_m, width_m = width_m, length_m
            radius_m = None if board.radius_m is None else round(board.radius_m, 5)
            key = (_named(board, shape), length_m, width_m, radius_m)
            counted[key] = counted.get(key, 0) + board.layers * board.alike
    for strip in shape.arris_strips():
        # the strips that work the arris of a slab's edges: coves, bevels, round-overs
        radius_m = None if strip.kind == "bevel" else strip.size_m
        key = (f"{strip.side} edge, {strip.kind} strip", round(strip.run_m, 7), round(strip.size_m, 7), radius_m)
        counted[key] = counted.get(key, 0) + 1
    return tuple((*key, count) for key, count in counted.items())


def fitted(boards: tuple[Board, ...], sheet: Sheet) -> tuple[Board, ...]:
    """The boards, those larger than the sheet in equal parts that it gives."""
    room = sorted((sheet.length_m - 2 * sheet.trim_m, sheet.width_m - 2 * sheet.trim_m))
    pieces = []
    for board in boards:
        long, short = board.length_m, board.width_m
        if long < short:
            long, short = short, long
        if long <= room[1] and short <= room[0]:
            pieces.append(board)
            continue
        across = max(1, ceil(short / room[0] - FIT_TOLERANCE_M))
        along = max(1, ceil(long / room[1] - FIT_TOLERANCE_M))
        parts = along * across
        if parts == 1:
            pieces.append(board)
        else:
            part = f"{board.name}, 1 of {parts}"
            cut = replace(board, name=part, count=board.count * parts)
            pieces.append(replace(cut, length_m=long / along, width_m=short / across))
    return tuple(pieces)


def _named(board: FormBoard, shape: shapes.Shape) -> str:
    """What a board is called in the shop."""
    match board.role:
        case "base":
            return "bottom"
        case "end":
            return f"{board.side} end"
        case "plug" | "block":
            return f"knockout {board.number} {board.role}" if board.number else f"hollow, {board.role}"
        case "edge" if board.sweep_deg is not None:
            return f"edge {board.number}, former{_TO_DRAWING[board.radius_m is None]}"
        case "inside" if board.number and not _over_concrete(board, shape):
            kind = "side" if board.sweep_deg is None else f"former{_TO_DRAWING[board.radius_m is None]}"
            return f"knockout {board.number} {kind}"
        case "inside" if board.sweep_deg is not None:
            return f"inside former{_TO_DRAWING[board.radius_m is None]}"
        case "edge" | "inside" | "cover":
            return shape.board_name(board.role, board.side, board.number, raised=board.low_m > FIT_TOLERANCE_M)


def _over_concrete(board: FormBoard, shape: shapes.Shape) -> bool:
    """Whether an inside board stands on the concrete of a level below, not in a hole from the base board up."""
    return board.low_m > FIT_TOLERANCE_M and not shape.is_hollow
