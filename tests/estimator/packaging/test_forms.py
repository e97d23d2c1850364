"""Forms, their renewal, and the boards that they take."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimator.errors import FaultError
from estimator.packaging.forms import (
    Board,
    Sheet,
    form_set,
    nest,
    samples,
)

INCH = 0.0254
SHEET = Sheet(96 * INCH, 48 * INCH, 0.003)


@pytest.mark.parametrize(
    ("casts", "forms", "uses", "standing", "built"),
    [(1, 1, 3, 1, 1), (6, 1, 3, 1, 2), (7, 1, 3, 1, 3), (7, 2, 3, 2, 3), (2, 5, 3, 2, 2), (8, 2, 3, 2, 4)],
)
def test_forms_are_renewed_when_their_share_wears_them_out(casts, forms, uses, standing, built):
    made = form_set(casts, forms, uses)
    assert (made.forms, made.built, made.renewals) == (standing, built, built - standing)


def test_four_quarters_with_kerf_fill_one_sheet_and_five_need_two():
    quarter = Board("quarter", (96 * INCH - 0.003) / 2, (48 * INCH - 0.003) / 2, 4)
    assert (nest([quarter], SHEET).count, nest([quarter], SHEET).proven) == (1, True)
    five = Board("quarter", quarter.length_m, quarter.width_m, 5)
    assert (nest([five], SHEET).count, nest([five], SHEET).fewest) == (2, 2)
    exact_halves = Board("half", 48 * INCH, 48 * INCH, 2)  # the kerf is what makes them miss
    assert nest([exact_halves], SHEET).count == 2


def test_a_board_with_grain_does_not_turn():
    with pytest.raises(FaultError, match="packaging-board-too-large") as error:
        nest([Board("panel", 1.0, 2.0, turns=False)], SHEET)
    assert error.value.key == "panel"
    assert nest([Board("panel", 1.0, 2.0)], SHEET).sheets[0][0].turned


def test_boards_over_half_a_sheet_both_ways_lie_alone():
    square = Sheet(2.0, 2.0, 0.003)
    made = nest([Board("big", 1.1, 1.1, 3)], square)
    assert (made.count, made.fewest, made.proven) == (3, 3, True)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.tuples(st.floats(0.02, 1.2), st.floats(0.02, 1.2), st.integers(1, 4)), min_size=1, max_size=6),
    st.floats(0.0, 0.006),
    st.floats(0.0, 0.01),
)
def test_no_board_is_lost_none_overlaps_and_all_lie_on_their_sheet(drawn, kerf, trim):
    sheet = Sheet(2.44, 1.24, kerf, trim)
    made = nest([Board(f"b{n}", a, b, count) for n, (a, b, count) in enumerate(drawn)], sheet)
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


def test_samples_are_twelve_inches_square_priced_and_credited():
    made = samples(3, 0.75 * INCH, 45.0)
    assert made.area_m2 == pytest.approx(3 * 144 * INCH**2)
    assert made.volume_m3 == pytest.approx(3 * 144 * 0.75 * INCH**3)
    assert (made.price, made.credit) == (135.0, 135.0)
    assert samples(2, 0.02, 45.0, credited=False).credit == 0.0


@pytest.mark.parametrize("numbers", [(0, 1, 1), (1, 0, 1), (1, 1, 0)])
def test_forms_of_nothing_are_refused(numbers):
    with pytest.raises(FaultError):
        form_set(*numbers)
