"""Whole sacks as a printed order gives them."""

import pytest

from estimator.job import Pack
from estimator.packaging.order import order

SACK_KG = 94 * 0.45359237


def test_a_fraction_of_a_sack_is_always_a_sack():
    # source: NAVEDTRA 14071, p. 17-10 (read): 63.7 yd³ with 10 % waste at 6.49 sacks/yd³, 70.07 yd³, 454.75 sacks
    yards = 63.7 * 1.10
    assert yards == pytest.approx(70.07)
    need_kg = yards * 6.49 * SACK_KG
    assert need_kg / SACK_KG == pytest.approx(454.75, abs=0.005)
    made = order(need_kg, [Pack("sack", SACK_KG, None, None, 14.0)])
    assert [line.count for line in made.lines] == [455]
    assert made.left_over_kg == pytest.approx(0.2457 * SACK_KG, abs=0.005 * SACK_KG)
