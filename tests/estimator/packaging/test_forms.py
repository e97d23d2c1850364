"""Forms, their renewal, and samples."""

import pytest

from estimator.errors import FaultError
from estimator.packaging.forms import fitted, form_set, samples
from estimator.packaging.nesting import Board, Sheet
from tests.refusal import words_of

INCH = 0.0254


@pytest.mark.parametrize(
    ("casts", "forms", "uses", "standing", "built"),
    [(1, 1, 3, 1, 1), (6, 1, 3, 1, 2), (7, 1, 3, 1, 3), (7, 2, 3, 2, 3), (2, 5, 3, 2, 2), (8, 2, 3, 2, 4)],
)
def test_forms_are_renewed_when_their_share_wears_them_out(casts, forms, uses, standing, built):
    made = form_set(casts, forms, uses)
    assert (made.forms, made.built, made.renewals) == (standing, built, built - standing)


def test_samples_are_twelve_inches_square_priced_and_credited():
    made = samples(3, 0.75 * INCH, 45.0)
    assert made.area_m2 == pytest.approx(3 * 144 * INCH**2)
    assert made.volume_m3 == pytest.approx(3 * 144 * 0.75 * INCH**3)
    assert (made.price, made.credit) == (135.0, 135.0)
    assert samples(2, 0.02, 45.0, credited=False).credit == 0.0


@pytest.mark.parametrize("numbers", [(0, 1, 1), (1, 0, 1), (1, 1, 0)])
def test_forms_without_uses_or_area_are_refused(numbers):
    with pytest.raises(FaultError):
        form_set(*numbers)


@pytest.mark.parametrize("numbers", [(-1, 0.02, 45.0), (1, 0.0, 45.0), (1, 0.02, -45.0)])
def test_samples_without_size_or_count_are_refused_by_name(numbers):
    with pytest.raises(FaultError) as raised:
        samples(*numbers)
    assert raised.value.key == "samples"
    assert words_of(raised.value).startswith("Count, thickness and price of samples can't be negative or zero.")


@pytest.mark.parametrize(
    ("length_in", "width_in", "parts", "size_in"),
    [
        (96.0, 48.0, 1, (96.0, 48.0)),  # as large as the sheet
        (48.0, 96.0, 1, (48.0, 96.0)),  # and turned
        (97.0, 3.0, 2, (48.5, 3.0)),
        (200.0, 50.0, 6, (200.0 / 3, 25.0)),
        (130.0, 10.0, 2, (65.0, 10.0)),
    ],
)
def test_a_board_larger_than_the_sheet_is_cut_into_equal_parts_that_cover_it(length_in, width_in, parts, size_in):
    board = Board("edge", length_in * INCH, width_in * INCH, 2)
    (cut,) = fitted((board,), Sheet(96.0 * INCH, 48.0 * INCH, 0.0))
    assert cut.count == 2 * parts
    assert (cut.length_m / INCH, cut.width_m / INCH) == pytest.approx(size_in)
    # first principles: nothing is lost
    assert cut.count * cut.length_m * cut.width_m == pytest.approx(2 * board.length_m * board.width_m)
