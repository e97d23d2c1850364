"""Leftovers are stock of the next job for their shelf life."""

from datetime import date

import pytest

from estimator.errors import FaultError
from estimator.job import Pack
from estimator.packaging.materials import shelf
from estimator.packaging.order import order

BAG = Pack("bag", 25.0, None, None, 10.0)
BOUGHT = date(2025, 3, 1)


def test_cement_ages_and_sand_does_not():
    items = shelf({"cement": order(60.0, [BAG]), "sand": order(30.0, [BAG])}, {"cement": 90}, BOUGHT)
    assert [(item.material, item.left_kg, item.keeps_until) for item in items] == [
        ("cement", 15.0, date(2025, 5, 30)),
        ("sand", 20.0, None),
    ]


def test_stock_on_hand_ages_from_its_own_date():
    made = order(60.0, [BAG], on_hand_kg=20.0)
    (item,) = shelf({"cement": made}, {"cement": 90}, BOUGHT, {"cement": date(2025, 1, 1)})
    assert item.keeps_until == date(2025, 4, 1)


def test_nothing_left_over_adds_nothing_to_stock():
    assert shelf({"cement": order(50.0, [BAG])}, {}) == ()


def test_a_shelf_life_of_zero_is_refused():
    with pytest.raises(FaultError, match="packaging-shelf-life-short"):
        shelf({}, {"cement": 0})
