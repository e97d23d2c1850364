"""Forms, their renewal, and samples."""

import pytest

from estimator.errors import FaultError
from estimator.packaging.forms import (
    form_set,
    samples,
)

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
def test_forms_of_nothing_are_refused(numbers):
    with pytest.raises(FaultError):
        form_set(*numbers)
