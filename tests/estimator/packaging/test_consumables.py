"""Needs by area, length and piece become whole packs."""

import pytest

from estimator.errors import FaultError
from estimator.job import Pack, PriceBreak
from estimator.packaging.consumables import order_amount


def holds(name, quantity, price, **more):
    return Pack(name, None, None, quantity, price, **more)


def test_sealer_by_coverage_counts_every_coat():
    # 9 m² twice, 10 % lost to the roller: 19.8 m² of cover from pails that cover 15 m² once
    order = order_amount("sealer", "finished-area", 9.0, "m2", 19.8, [holds("pail", 15.0, 48.0)])
    assert [(line.pack.name, line.count) for line in order.lines] == [("pail", 2)]
    assert (order.cost, order.left_over) == (96.0, pytest.approx(10.2))


def test_release_agent_by_mass_and_tape_by_length():
    agent = Pack("can", 2.0, 0.0025, None, 20.0)
    assert order_amount("release", "form-area", 12.0, "kg", 2.4, [agent]).bought == 4.0
    assert order_amount("release", "form-area", 12.0, "m3", 0.0012, [agent]).lines[0].count == 1
    assert order_amount("tape", "edge-length", 31.0, "m", 31.0, [holds("roll", 30.0, 5.0)]).lines[0].count == 2


def test_four_inserts_a_piece_are_bought_by_the_box_with_its_break():
    box = holds("box", 10.0, 9.0, breaks=(PriceBreak(3, 5.0),))
    order = order_amount("insert", "piece", 5.0, "piece", 20.0, [box])
    assert (order.bought, order.cost) == (30.0, 15.0)


def test_stock_on_hand_is_deducted():
    order = order_amount("film", "form-area", 12.0, "m2", 12.0, [holds("roll", 10.0, 8.0)], 2.0)
    assert (order.bought, order.left_over) == (10.0, 0.0)


def test_a_missing_price_leaves_no_total():
    assert order_amount("film", "form-area", 12.0, "m2", 12.0, [holds("roll", 10.0, None)]).cost is None
    assert order_amount("film", "form-area", 12.0, "m2", 12.0, []).cost is None


def test_a_pack_without_content_is_refused_by_its_key():
    with pytest.raises(FaultError, match=r"packaging-measure-missing.*measure = m2") as error:
        order_amount("film", "form-area", 12.0, "m2", 12.0, [Pack("roll", 5.0, None, None, 8.0)])
    assert error.value.key == "material film, packs.roll"
