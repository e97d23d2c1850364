"""What moves the price: each swing equals the price of the same job with that one input moved."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from estimator import job_from
from estimator.cautions import built_in_cautions
from estimator.estimate import estimate
from estimator.job import Job
from estimator.pricing.sensitivity import Swing, _hours, _thicker, sensitivity

TEXT = """
[job]
name = "Swings"
units = "metric"
currency = "EUR"
mix = "shop"
waste = 0.10

[price]
charge = "used"
margin = 0.30

[workshop.labor]
rate = 50.0
rate_install = 60.0

[mixes.shop]
based_on = "backer-45"
air = 0.06
waste = 0.08

[[piece]]
mark = "C1"
use = "counter"
shape = { kind = "slab", length = "2 m", width = "600 mm", thickness = "25 mm" }
layers = [{ mix = "face", thickness = "4 mm", waste = 0.15 }, { mix = "shop" }]

[[piece]]
mark = "P1"
use = "panel"
waste = 0.12
shape = { kind = "slab", length = "1 m", width = "600 mm", thickness = "20 mm" }
layers = [{ mix = "face", thickness = "4 mm" }, { mix = "shop", thickness = "16 mm" }]

[[materials.coated-eps-bead.packs]]
name = "bag"
mass = "5 kg"
per_pallet = 20
price = 40.0
pallet_price = 38.0
breaks = [{ from = 4, price = 36.0 }]
"""


def price_of(job: Job) -> Decimal:
    return estimate(job, built_in_cautions()).cost.price


def written(**changes: Any) -> Job:
    """The job with values at dotted paths in place of its own; a number in a path counts into a list."""
    table = tomllib.loads(TEXT)
    for path, value in changes.items():
        *way, last = path.split("__")
        part: Any = table
        for key in way:
            part = part[int(key)] if key.isdecimal() else part.setdefault(key, {})
        part[last] = value
    return job_from(table)


@pytest.fixture(scope="module")
def swings() -> dict[str, Swing]:
    job = written()
    return {swing.name: swing for swing in sensitivity(job, price_of(job), price_of, price_of, most=99)}


def test_every_input_that_moves_the_price_is_listed_with_the_strongest_first() -> None:
    job = written()
    base = price_of(job)
    found = sensitivity(job, base, price_of, price_of, most=99)
    assert [swing.name for swing in sorted(found, key=lambda swing: -swing.span(base))] == [each.name for each in found]
    assert {(each.name, each.step) for each in found} == {
        ("waste on cast volume", "± 5 points"),
        ("price of light aggregate", "± 20 %"),
        ("price of all other material", "± 20 %"),
        ("labour rates", "± 10 %"),
        ("hours", "± 20 %"),
        ("thickness", '± 1/16"'),
        ("density, by air", "± 3 %"),
    }
    assert len(sensitivity(job, base, price_of, price_of)) == 5


@pytest.mark.parametrize(("end", "factor"), [("low", 0.9), ("high", 1.1)])
def test_rates_move_both_rates(swings: dict[str, Swing], end: str, factor: float) -> None:
    moved = written(workshop__labor__rate=50.0 * factor, workshop__labor__rate_install=60.0 * factor)
    assert getattr(swings["labour rates"], end) == price_of(moved)


@pytest.mark.parametrize(("end", "points"), [("low", -0.05), ("high", 0.05)])
def test_waste_moves_wherever_it_is_stated(swings: dict[str, Swing], end: str, points: float) -> None:
    shop = written().workshop.waste
    moved = written(
        job__waste=0.10 + points,
        mixes__shop__waste=0.08 + points,
        piece__1__waste=0.12 + points,
        piece__0__layers=[{"mix": "face", "thickness": "4 mm", "waste": 0.15 + points}, {"mix": "shop"}],
    )
    own = {name: max(0.0, getattr(shop, name) + points) for name in shop.__dataclass_fields__}
    moved = replace(moved, workshop=replace(moved.workshop, waste=replace(shop, **own)))
    assert getattr(swings["waste on cast volume"], end) == price_of(moved)


@pytest.mark.parametrize(("end", "points"), [("low", -0.05), ("high", 0.05)])
def test_the_waste_of_the_shop_moves_where_nothing_else_states_it(end: str, points: float) -> None:
    table = tomllib.loads(TEXT)
    del table["job"]["waste"], table["mixes"]["shop"]["waste"], table["piece"][1]["waste"]
    table["piece"][0]["layers"][0].pop("waste")
    job = job_from(table)
    found = {swing.name: swing for swing in sensitivity(job, price_of(job), price_of, price_of, most=99)}
    shop = job.workshop.waste
    own = {name: max(0.0, getattr(shop, name) + points) for name in shop.__dataclass_fields__}
    moved = replace(job, workshop=replace(job.workshop, waste=replace(shop, **own)))
    assert getattr(found["waste on cast volume"], end) == price_of(moved) != price_of(job)


@pytest.mark.parametrize(("end", "factor"), [("low", 0.8), ("high", 1.2)])
def test_beads_move_by_the_prices_of_their_packs_and_nothing_else(
    swings: dict[str, Swing], end: str, factor: float
) -> None:
    pack = {"name": "bag", "mass": "5 kg", "per_pallet": 20, "price": 40.0 * factor, "pallet_price": 38.0 * factor}
    pack["breaks"] = [{"from": 4, "price": 36.0 * factor}]
    moved = written(**{"materials__coated-eps-bead__packs": [pack]})
    assert getattr(swings["price of light aggregate"], end) == price_of(moved)


@pytest.mark.parametrize(("end", "by_mm"), [("low", -25.4 / 16), ("high", 25.4 / 16)])
def test_the_backer_takes_the_change_of_thickness(swings: dict[str, Swing], end: str, by_mm: float) -> None:
    moved = written(
        piece__0__shape__thickness=f"{25 + by_mm} mm",
        piece__1__shape__thickness=f"{20 + by_mm} mm",
        piece__1__layers=[{"mix": "face", "thickness": "4 mm"}, {"mix": "shop", "thickness": f"{16 + by_mm} mm"}],
    )
    assert getattr(swings["thickness"], end) == pytest.approx(price_of(moved), abs=Decimal("0.01"))


def test_density_moves_by_air_and_by_no_more_air_than_there_is(swings: dict[str, Swing]) -> None:
    # first principles: 3 % lighter is (1 − 0.06) · 0.97 of solids; 3 % heavier takes 2.82 points of the 6 of air
    mixes = written().mixes

    def with_air(share: float) -> Job:
        job = written()
        return replace(
            job, mixes={name: replace(mix, air=1.0 - (1.0 - mix.air) * share) for name, mix in mixes.items()}
        )

    assert swings["density, by air"].low == price_of(with_air(0.97))


def test_hours_move_every_time_of_an_activity_and_no_rate(swings: dict[str, Swing]) -> None:
    labor = written().workshop.labor
    job = written()
    same = price_of(replace(job, workshop=replace(job.workshop, labor=replace(labor, rate=labor.rate))))
    high, low = swings["hours"].high, swings["hours"].low
    assert low is not None
    assert high is not None
    assert low < same < high
    assert high - same == pytest.approx(same - low, abs=Decimal("0.25"))
    rates = swings["labour rates"].high
    assert rates is not None
    assert high - same > Decimal("1.2") * (rates - same)


def test_more_hours_leave_the_check_on_the_hours_of_the_whole_job_alone() -> None:
    job = written()
    before, after = job.workshop.labor, _hours(job, 1).workshop.labor
    limits = [name for name in before.__dataclass_fields__ if name.startswith("whole_job")]
    assert limits
    assert [getattr(after, name) for name in limits] == [getattr(before, name) for name in limits]
    assert (after.rate, after.template_s) == (before.rate, pytest.approx(1.2 * before.template_s))


def test_a_thicker_piece_is_thicker_by_name_too() -> None:
    piece = written().pieces[0]
    assert _thicker(replace(piece, nominal_thickness_m=0.025), 0.002).nominal_thickness_m == pytest.approx(0.027)
    assert _thicker(replace(piece, nominal_thickness_m=None), 0.002).nominal_thickness_m is None


def test_a_mix_that_cannot_be_made_has_no_price() -> None:
    job = written(
        piece__0__shape__thickness="5 mm",
        piece__0__layers=[{"mix": "face", "thickness": "4 mm"}, {"mix": "shop"}],
    )
    found = {swing.name: swing for swing in sensitivity(job, price_of(job), price_of, price_of, most=99)}
    assert found["thickness"].low is None
    assert found["thickness"].high is not None
