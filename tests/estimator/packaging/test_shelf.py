"""What is left over is the next job's stock while it keeps."""

from datetime import date

import pytest

from estimator.errors import FaultError
from estimator.job import Pack
from estimator.packaging.materials import refuse_unused_stock, shelf, stock_for
from estimator.packaging.order import order

BAG = Pack("bag", 25.0, None, None, 10.0)
BOUGHT = date(2025, 3, 1)


def test_cement_ages_and_sand_does_not():
    items = shelf({"cement": order(60.0, [BAG]), "sand": order(30.0, [BAG])}, {"cement": 90}, BOUGHT)
    assert [(item.material, item.left_kg, item.keeps_until) for item in items] == [
        ("cement", 15.0, date(2025, 5, 30)),
        ("sand", 20.0, None),
    ]
    assert stock_for(items, date(2025, 5, 30)) == {"cement": 15.0, "sand": 20.0}
    assert stock_for(items, date(2025, 5, 31)) == {"sand": 20.0}


def test_what_was_on_hand_ages_from_its_own_day():
    made = order(60.0, [BAG], on_hand_kg=20.0)
    (item,) = shelf({"cement": made}, {"cement": 90}, BOUGHT, {"cement": date(2025, 1, 1)})
    assert item.keeps_until == date(2025, 4, 1)


def test_the_stock_of_the_next_job_is_taken_off_its_order():
    first = order(60.0, [BAG])
    stock = stock_for(shelf({"cement": first}, {}))
    assert order(65.0, [BAG], on_hand_kg=stock["cement"]).bought_kg == 50.0


def test_nothing_left_is_on_no_shelf():
    assert shelf({"cement": order(50.0, [BAG])}, {}) == ()


@pytest.mark.parametrize(
    ("stock", "said"), [({"lime": 5.0}, "no mix of this job uses lime"), ({"sand": -1.0}, "no amount")]
)
def test_stock_that_no_mix_uses_is_named(stock, said):
    with pytest.raises(FaultError, match=said) as error:
        refuse_unused_stock(stock, ["sand"])
    assert error.value.key == f"stock.{next(iter(stock))}"


def test_a_shelf_life_of_nothing_is_refused():
    with pytest.raises(FaultError, match="never reaches the shelf"):
        shelf({}, {"cement": 0})
