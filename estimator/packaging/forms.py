"""Forms: how many are built, their materials, and their boards."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from functools import lru_cache
from math import ceil

from estimator.errors import FaultError
from estimator.packaging.nesting import FIT_TOLERANCE_M, Board, Sheet
from estimator.packaging.price import millionths, whole_cents
from geometry import shapes
from geometry.form_boards import form_boards
from geometry.frozen import frozen
from geometry.message import Message, message
from geometry.plain_forms import FormBoard

SAMPLE_SIDE_M = 12 * 0.0254
"""Side of a sample, 12 × 12 in by common practice."""

FORM_BOARD = "form-board"
FORM_MATERIAL: Mapping[str, str] = {"rubber": "mould-rubber", "glass-fibre": "mould-laminate"}
"""Material of each kind of form, by its name in the catalog; all other kinds are made of board."""


@frozen
class FormSet:
    """The forms for one piece mark over the whole job."""

    casts: int
    forms: int  # in use at one time
    uses: int  # casts from each before it is renewed
    built: int  # over the job, renewals included

    @property
    def renewals(self) -> int:
        return self.built - self.forms


@lru_cache(maxsize=1024)  # most marks of a job have as many casts and forms as others
def form_set(casts: int, forms: int, uses: int) -> FormSet:
    """Number of forms for a mark: at least those in use at one time and those that the casts wear out.

    casts  pieces of the mark to cast
    forms  forms in use at one time; no more are built than there are casts
    uses   casts from one form before it is renewed; plan with the low figure of a range

    The casts are divided evenly, and each form is renewed whenever it is worn out. Raises FaultError if an argument is
    below one.
    """
    for name, value in (("casts", casts), ("forms", forms), ("uses", uses)):
        if value < 1:
            raise FaultError(name, message("packaging-below-one", what=name, value=value))
    standing = min(casts, forms)
    share, more = divmod(casts, standing)
    built = more * ceil((share + 1) / uses) + (standing - more) * ceil(share / uses)
    return FormSet(casts, standing, uses, built)


def cost_per_cast(cost: float, forms: FormSet) -> float:
    """Cost of the forms per cast, currency, not rounded: the quote rounds its own lines."""
    return cost / forms.casts


@frozen
class Samples:
    """Samples that are cast and sealed, priced now and credited when the job is ordered."""

    count: int
    area_m2: float
    volume_m3: float
    price: float
    credit: float  # taken off the job's price


def samples(
    count: int, thickness_m: float, price_each: float, credited: bool = True, side_m: float = SAMPLE_SIDE_M
) -> Samples:
    """Square samples for the client; the trade shows two or three of 12 × 12 in.

    count        number of samples
    thickness_m  thickness, as the pieces are cast
    price_each   price to the client, currency
    credited     whether the price is credited when the job is ordered
    side_m       side of the square

    Raises FaultError for a negative count or price, or a thickness not above 0.
    """
    if count < 0 or thickness_m <= 0.0 or price_each < 0.0:
        raise FaultError("samples", message("packaging-samples-negative"))
    area = count * side_m**2
    price = whole_cents(count * millionths(price_each)) / 100
    return Samples(count, area, area * thickness_m, price, price if credited else 0.0)


def boards_of(shape: shapes.Shape, mark: str, board_m: float) -> tuple[Board, ...]:
    """Boards of one form, equal boards counted together; empty if the form is not built of boards.

    mark     mark of the piece
    board_m  thickness of the board
    """
    return tuple(
        Board(name, length_m, width_m, count, radius_m=radius_m, mark=mark)
        for name, length_m, width_m, radius_m, count in _cut_list(shape, board_m)
    )


LEAST_M = 0.003
"""Length up to which a gap between two boards takes no board of its own: less than a saw takes away."""

Kind = tuple[Message, float, float, float | None, int]
"""Name, length, width, radius and count of equal boards."""


@lru_cache(maxsize=1024)  # pieces of the same shape have the same boards
def _cut_list(shape: shapes.Shape, board_m: float) -> tuple[Kind, ...]:
    """Boards of one form, equal boards together."""
    upright = shape.edge_numbers == "section"  # a molding is cast standing on its end
    kinds: list[Kind] = []
    for board in form_boards(shape, board_m):
        if board.length_m > LEAST_M and board.height_m > FIT_TOLERANCE_M:
            length_m, width_m = board.length_m, board.height_m
            if upright and board.role != "end":
                length_m, width_m = width_m, length_m
            kinds.append((_named(board, shape), length_m, width_m, board.radius_m, board.layers * board.alike))
    for strip in shape.arris_strips():
        # strips that form the edges of a plate: coves, bevels, round-overs, bullnoses, miters
        radius_m = None if strip.kind in ("bevel", "mitre") else strip.size_m
        kinds.append((message("board-strip", edge=strip.edge, kind=strip.kind), strip.run_m, strip.size_m, radius_m, 1))
    return _together(kinds)


SAME_M = 1e-6  # far below any saw, far above the rounding error of a length
STEP_M = 2 * SAME_M  # equal lengths are of one step or of neighboring ones


def _together(boards: Iterable[Kind]) -> tuple[Kind, ...]:
    """Boards of one name and size counted together, with the size of the first.

    Sizes are compared, not rounded: whatever the step, some lengths lie on the edge between two of them, such as an odd
    number of 1/32 in between two tenths of a micrometer, and the last bit would then make two kinds of equal boards.
    """
    kinds: list[Kind] = []
    places: dict[Message, dict[int, list[int]]] = {}  # in `kinds`, by name and whole steps of length
    for name, length_m, width_m, radius_m, count in boards:
        steps, step = places.setdefault(name, {}), int(length_m / STEP_M)
        near = (at for here in (step - 1, step, step + 1) for at in steps.get(here, ()))
        for at in sorted(near) if steps else ():
            _, *other, before = kinds[at]
            size = (length_m, width_m, radius_m or 0.0)
            if all(abs(mine - (yours or 0.0)) <= SAME_M for mine, yours in zip(size, other, strict=True)):
                kinds[at] = (*kinds[at][:-1], before + count)
                break
        else:
            length_m = _rounded(length_m)
            steps.setdefault(int(length_m / STEP_M), []).append(len(kinds))
            kinds.append((name, length_m, _rounded(width_m), radius_m, count))
    return tuple(kinds)


@lru_cache(maxsize=4096)  # the boards of a job share their heights, and many a length
def _rounded(length_m: float) -> float:
    return round(length_m, 10)  # beyond any scale, and 0.6 is not written 0.6000000000000001


def fitted(boards: tuple[Board, ...], sheet: Sheet) -> tuple[Board, ...]:
    """The boards, with boards larger than the sheet divided into equal parts that fit."""
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
            part = message("board-part", board=board.name, parts=str(parts))
            cut = replace(board, name=part, count=board.count * parts)
            pieces.append(replace(cut, length_m=long / along, width_m=short / across))
    return tuple(pieces)


def _named(board: FormBoard, shape: shapes.Shape) -> Message:
    """Shop name of a board."""
    number = str(board.number)
    match board.role:
        case "base":
            return message("board-bottom")
        case "end":
            return message("board-end", side=message(f"side-{board.side}"))
        case "plug" | "block":
            part = message(f"board-knockout-{board.role}" if board.number else f"board-{board.role}")
            return _of_knock_out(number, part) if board.number else part
        case "edge" if board.sweep_deg is not None:
            return message("board-edge-former", number=number, former=_former(board))
        case "inside" if board.number and not _over_concrete(board, shape):
            part = message("board-knockout-side") if board.sweep_deg is None else _former(board)
            return _of_knock_out(number, part)
        case "inside" if board.sweep_deg is not None and board.number and shape.edge_numbers == "plan":
            return message("board-edge-drop-former", number=number, former=_former(board))
        case "inside" if board.sweep_deg is not None:
            return message("board-inside-former", former=_former(board))
        case "edge" | "inside" | "cover":
            return shape.board_name(board.role, board.side, board.number, raised=board.low_m > FIT_TOLERANCE_M)


@lru_cache(maxsize=256)
def _of_knock_out(number: str, part: Message) -> Message:
    return message("board-knockout", number=number, part=part)


def _former(board: FormBoard) -> Message:
    """Name of a curved board, which has a drawing of its own if its radius changes."""
    return message("board-former", drawn="yes" if board.radius_m is None else "no")


def _over_concrete(board: FormBoard, shape: shapes.Shape) -> bool:
    """Whether an inside board stands on concrete below it, not in a hole from the form bottom up."""
    return board.low_m > FIT_TOLERANCE_M and not shape.is_hollow
