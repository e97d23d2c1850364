"""Boards on sheets: none is lost, none overlaps, no layout beats the bound, and every rule is kept."""

import math
import random
from itertools import product
from math import ceil

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimator.errors import FaultError
from estimator.packaging.forms import _together
from estimator.packaging.nesting import CUTS, FITS, Board, Sheet, _by_area, _lay, is_too_long, nest, not_laid
from geometry.message import message
from tests.refusal import words_of

INCH = 0.0254
SHEET = Sheet(96 * INCH, 48 * INCH, 0.003)


def test_four_quarters_with_kerf_fill_one_sheet_and_five_need_two():
    quarter = Board("quarter", (96 * INCH - 0.003) / 2, (48 * INCH - 0.003) / 2, 4)
    assert (nest((quarter,), SHEET).count, nest((quarter,), SHEET).proven) == (1, True)
    five = Board("quarter", quarter.length_m, quarter.width_m, 5)
    assert (nest((five,), SHEET).count, nest((five,), SHEET).fewest) == (2, 2)
    exact_halves = Board("half", 48 * INCH, 48 * INCH, 2)  # the kerf is what makes them miss
    assert nest((exact_halves,), SHEET).count == 2


def test_a_board_with_grain_does_not_turn():
    with pytest.raises(FaultError, match="packaging-board-too-large") as error:
        nest((Board("panel", 1.0, 2.0, turns=False, mark="C1"),), SHEET)
    assert error.value.key == "C1"
    assert nest((Board("panel", 1.0, 2.0),), SHEET).sheets[0][0].turned


@pytest.mark.parametrize("size", [(2.5, 0.5), (0.5, 2.5), (1.3, 1.25)])
def test_a_board_too_long_or_too_wide_both_ways_is_refused_with_its_size_and_that_of_the_sheet(size):
    with pytest.raises(FaultError) as error:
        nest((Board("panel", *size, mark="C1"),), Sheet(2.44, 1.24, 0.003, 0.01))
    assert error.value.key == "C1"
    told = words_of(error.value)
    assert all(f"{1000 * side:.0f}" in told for side in (*size, 2.42, 1.22)), told


def test_boards_over_half_a_sheet_both_ways_lie_alone_on_a_sheet():
    square = Sheet(2.0, 2.0, 0.003)
    made = nest((Board("big", 1.1, 1.1, 3),), square)
    assert (made.count, made.fewest, made.proven) == (3, 3, True)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.tuples(st.floats(0.02, 1.2), st.floats(0.02, 1.2), st.integers(1, 4)), min_size=1, max_size=6),
    st.floats(0.0, 0.006),
    st.floats(0.0, 0.01),
)
def test_no_board_is_lost_none_overlaps_and_all_lie_on_their_sheet(drawn, kerf, trim):
    sheet = Sheet(2.44, 1.24, kerf, trim)
    made = nest(tuple(Board(f"b{n}", a, b, count) for n, (a, b, count) in enumerate(drawn)), sheet)
    assert sum(len(placed) for placed in made.sheets) == sum(count for *_, count in drawn)
    assert 1 <= made.fewest <= made.count
    assert made.board_area_m2 == pytest.approx(sum(p.length_m * p.width_m for sheet in made.sheets for p in sheet))
    for placed in made.sheets:
        for n, one in enumerate(placed):
            assert one.x_m >= trim
            assert one.y_m >= trim
            assert one.x_m + one.length_m <= 2.44 - trim + 1e-8
            assert one.y_m + one.width_m <= 1.24 - trim + 1e-8
            for other in placed[n + 1 :]:
                apart_x = max(one.x_m, other.x_m) - min(one.x_m + one.length_m, other.x_m + other.length_m)
                apart_y = max(one.y_m, other.y_m) - min(one.y_m + one.width_m, other.y_m + other.width_m)
                assert max(apart_x, apart_y) >= kerf - 1e-8


def ripped(room_x, room_y, kerf, depth, draw):
    """Boards cut from one sheet, which therefore fit on it: the oracle of the bound."""
    if depth == 0 or max(room_x, room_y) < 0.2:
        return [(room_x, room_y)]
    at = draw.uniform(0.1, 0.9)
    if draw.random() < 0.5 and room_x > 0.2:
        first, second = (at * (room_x - kerf), room_y), ((1 - at) * (room_x - kerf), room_y)
    else:
        first, second = (room_x, at * (room_y - kerf)), (room_x, (1 - at) * (room_y - kerf))
    return [board for part in (first, second) for board in ripped(*part, kerf, depth - 1, draw)]


@settings(max_examples=150, deadline=None)
@given(st.integers(0, 10**6), st.integers(1, 3), st.integers(0, 4), st.booleans())
def test_the_bound_never_exceeds_the_sheets_that_boards_were_cut_from(start, sheets, depth, turns):
    draw = random.Random(start)
    cut = [board for _ in range(sheets) for board in ripped(2.4, 1.2, 0.004, depth, draw)]
    boards = [Board(f"b{n}", *size, turns=turns) for n, size in enumerate(cut)]
    assert nest(tuple(boards), Sheet(2.4, 1.2, 0.004)).fewest <= sheets


def test_long_boards_that_fit_only_one_way_add_up_across_the_sheet():
    # first principles: each is longer than half the sheet and than its width, so two never lie end to end
    boards = [Board("rail", 1.3, 0.5, 5)]
    made = nest(tuple(boards), Sheet(2.4, 1.2, 0.0))
    assert ceil(5 * 1.3 * 0.5 / (2.4 * 1.2)) == 2  # by area alone
    assert (made.fewest, made.count, made.proven) == (3, 3, True)


def test_strips_beside_wide_boards_count_by_the_room_left():
    # 0.7 and 0.5 of the width never lie side by side; the small ones go beside, and count nothing
    wide, half = Board("wide", 2.4, 0.84, 4, turns=False), Board("half", 2.4, 0.6, 3, turns=False)
    made = nest((wide, half, Board("small", 0.3, 0.1, 4)), Sheet(2.4, 1.2, 0.0))
    assert ceil((4 * 0.84 + 3 * 0.6) / 1.2) == 5
    assert (made.fewest, made.count) == (6, 6)


def plain_bound(boards, sheet):
    """Least sheets by every pair of steps, board by board: what the docstring of the bound says, without arrays."""
    room = [side - 2 * sheet.trim_m + sheet.kerf_m for side in (sheet.length_m, sheet.width_m)]

    def counted(share, e):
        return 0.0 if share < e else 1.0 if share > 1 - e + 1e-7 else min(share, 1.0)

    lies = []  # of each board, the shares of the sheet along and across in the ways in which it fits
    for board in boards:
        sides = board.length_m + sheet.kerf_m, board.width_m + sheet.kerf_m
        ways = [sides, sides[::-1]] if board.turns else [sides]
        shares = [tuple(side / full for side, full in zip(way, room, strict=True)) for way in ways]
        lies.append((board.count, [way for way in shares if max(way) <= 1 + 1e-7]))
    # a board counts at its full size from each of its shares on, however it lies
    every = {0.0, 0.5}
    for board in boards:
        sides = board.length_m + sheet.kerf_m, board.width_m + sheet.kerf_m
        every |= {side / full for side in sides for full in room if side / full < 0.5}
    most = max(
        sum(count * min(counted(x, e) * counted(y, f) for x, y in ways) for count, ways in lies)
        for e in every
        for f in every
    )
    return max(1, ceil(most - 1e-7 * sum(board.count for board in boards)))


@settings(max_examples=100, deadline=None)
@given(
    st.lists(st.tuples(st.floats(0.05, 2.4), st.floats(0.05, 1.2), st.integers(1, 5), st.booleans()), max_size=6),
    st.floats(0.0, 0.006),
    st.floats(0.0, 0.01),
)
def test_the_bound_is_the_best_of_a_plain_reading_and_no_list_is_laid_out_on_fewer(drawn, kerf, trim):
    # with grain a board lies lengthwise; without, some are given turned
    boards = tuple(
        Board(f"b{n}", *((b, a) if turns and a > 1.2 else (a, b)), count, turns)
        for n, (a, b, count, turns) in enumerate(drawn)
    )
    sheet = Sheet(2.44, 1.24, kerf, trim)
    made = nest(boards, sheet)
    assert made.fewest == not_laid(boards, sheet).count == (plain_bound(boards, sheet) if boards else 0)
    assert made.count >= made.fewest


def test_boards_that_only_fit_turned_count_as_those_that_lie_so():
    # 1.1 m is over half of each side, and 2.0 m fits only along the sheet: each takes a sheet
    bottoms = (Board("bottom", 1.1, 2.0, 3),)
    assert not_laid(bottoms, SHEET).count == nest(bottoms, SHEET).count == 3
    assert not_laid((Board("bottom", 2.0, 1.1, 3),), SHEET).count == 3


sizes = st.tuples(st.floats(0.05, 1.2), st.floats(0.05, 1.2), st.integers(1, 4))


@settings(max_examples=40, deadline=None)
@given(st.lists(sizes, min_size=1, max_size=12))
def test_trying_more_orders_never_takes_more_sheets_than_the_order_by_area(drawn):
    boards = [Board(f"b{n}", a, b, count) for n, (a, b, count) in enumerate(drawn)]
    singles = sorted((board for board in boards for _ in range(board.count)), key=_by_area)
    before = min(len(_lay(singles, SHEET, SHEET.length_m, SHEET.width_m, *rule)) for rule in product(FITS, CUTS))
    assert nest(tuple(boards), SHEET).count <= before


def jobs(number=50, start=17):
    """Random cut lists of 10 to 45 boards, as forms of slabs have them: strips, rails and bottoms."""
    draw = random.Random(start)
    for _ in range(number):
        boards: list[Board] = []
        for n in range(draw.randint(10, 45)):
            kind = draw.random()
            length = draw.uniform(0.3, 2.4) if kind < 0.6 else draw.uniform(0.3, 1.6)
            width = draw.uniform(0.03, 0.12) if kind < 0.4 else draw.uniform(0.2, 1.15)
            boards.append(Board(f"b{n}", length, width))
        yield boards


def test_fifty_cut_lists_stay_near_the_bound():
    # regression: one order alone took 296 sheets; area alone says that 247 are needed
    made = [nest(tuple(boards), SHEET) for boards in jobs()]
    assert sum(nesting.count for nesting in made) <= 286
    assert sum(nesting.fewest for nesting in made) >= 261


@pytest.mark.parametrize("size_in", [1 / 32, 3 / 32, 7 + 1 / 32, 24 + 31 / 32, 1 / 64, 1 / 8, 3 / 8])
def test_equal_boards_are_one_kind_whatever_the_last_bit_of_their_sizes(size_in):
    """An odd 1/32 in lies between two tenths of a micrometer, an odd 1/8 in between two hundredths of a millimeter."""
    size_m = size_in * 0.0254
    name, other = message("board-bottom"), message("board-plug")
    noise = [0.0, 1e-12, -1e-12, math.ulp(size_m), -math.ulp(size_m)]
    boards = [(name, size_m + off, size_m - off, size_m + off, 2) for off in noise]
    assert [kind[-1] for kind in _together(boards)] == [10]
    unlike = [(name, size_m, 0.1, None, 1), (name, size_m + 1e-5, 0.1, None, 1), (other, size_m, 0.1, None, 1)]
    assert [kind[-1] for kind in _together(unlike)] == [1, 1, 1]


def test_a_long_list_of_few_sizes_is_laid_out_and_one_of_many_sizes_is_bounded() -> None:
    # two bottoms of 1,238 x 938 mm do not share a sheet, so their area says half of what is needed
    bottoms = (Board("bottom", 1.238, 0.938, 200), Board("edge", 1.238, 0.06, 200))
    laid = nest(bottoms, SHEET)
    assert not is_too_long(bottoms)
    assert laid.proven
    assert laid.count == 200 > 1.9 * laid.board_area_m2 / (SHEET.length_m * SHEET.width_m)
    many = tuple(Board(f"b{i}", 1.3 + i / 1000, 0.938) for i in range(151))
    assert is_too_long(many)
    assert not is_too_long(many[:150])
    assert is_too_long((Board("edge", 1.0, 0.06, 1501),))
    bound = not_laid(many, SHEET)
    assert (bound.sheets, bound.count, bound.proven) == ((), 151, False)
    assert nest(many, SHEET).fewest == bound.count
