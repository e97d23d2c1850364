"""Needs by area, length and piece become whole packs."""

import pytest

from estimator.errors import FaultError
from estimator.job import Pack, PriceBreak
from estimator.packaging.consumables import Consumable, Extent, order_consumable

EXTENT = Extent(
    form_area_m2=12.0, finished_area_m2=9.0, edge_length_m=31.0, joint_length_m=4.0, forms=3, pieces=5, casts=6
)


def holds(name, quantity, price, **more):
    return Pack(name, None, None, quantity, price, **more)


def test_sealer_by_coverage_takes_every_coat():
    # 9 m² twice, 10 % lost to the roller: 19.8 m² of cover from pails that cover 15 m² once
    made = order_consumable(
        Consumable("sealer", "finished area", "m2", [holds("pail", 15.0, 48.0)], coats=2, overlap=0.10), EXTENT
    )
    assert made.required == pytest.approx(19.8)
    assert [(line.pack.name, line.count) for line in made.lines] == [("pail", 2)]
    assert (made.cost, made.left_over) == (96.0, pytest.approx(10.2))


def test_release_agent_by_mass_and_tape_by_length():
    agent = Pack("can", 2.0, 0.0025, None, 20.0)
    assert order_consumable(Consumable("release", "form area", "kg", [agent], rate=0.2), EXTENT).bought == 4.0
    by_volume = order_consumable(Consumable("release", "form area", "m3", [agent], rate=1e-4), EXTENT)
    assert by_volume.lines[0].count == 1
    tape = order_consumable(Consumable("tape", "edge length", "m", [holds("roll", 30.0, 5.0)]), EXTENT)
    assert tape.lines[0].count == 2


def test_four_inserts_a_piece_are_bought_by_the_box_with_its_break():
    box = holds("box", 10.0, 9.0, breaks=(PriceBreak(3, 5.0),))
    made = order_consumable(Consumable("insert", "piece", "piece", [box], rate=4.0), EXTENT)
    assert (made.required, made.bought, made.cost) == (20.0, 30.0, 15.0)


def test_what_is_on_hand_is_taken_off():
    made = order_consumable(Consumable("film", "form area", "m2", [holds("roll", 10.0, 8.0)], on_hand=2.0), EXTENT)
    assert (made.bought, made.left_over) == (10.0, 0.0)


def test_without_a_price_there_is_no_total():
    assert order_consumable(Consumable("film", "form area", "m2", [holds("roll", 10.0, None)]), EXTENT).cost is None
    assert order_consumable(Consumable("film", "form area", "m2", []), EXTENT).cost is None


@pytest.mark.parametrize(
    ("faulty", "key"),
    [
        (Consumable("film", "form area", "m2", [Pack("roll", 5.0, None, None, 8.0)]), "material film, packs.roll"),
        (Consumable("film", "form area", "m2", [], rate=-1.0), "consumables.film.rate"),
        (Consumable("film", "form area", "m2", [], coats=0), "consumables.film.coats"),
        (Consumable("film", "form area", "m2", [], overlap=float("nan")), "consumables.film.overlap"),
    ],
)
def test_a_consumable_that_cannot_be_is_refused_by_its_key(faulty, key):
    with pytest.raises(FaultError) as error:
        order_consumable(faulty, EXTENT)
    assert error.value.key == key
