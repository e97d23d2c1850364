"""The work for a mark, and the thickness that decides its tolerance."""

from collections.abc import Callable
from decimal import Decimal
from itertools import pairwise
from pathlib import Path

import pytest

from estimator.commands.jobs import estimate_file
from estimator.pricing.labor import passes
from estimator.takeoff import LayerTakeoff

IN = 0.0254
LIFT_M = 3 / 8 * IN


@pytest.mark.parametrize(
    ("thickness_m", "count"),
    [(LIFT_M * (1 + 1e-9), 1), (LIFT_M, 1), (LIFT_M * 1.01, 2), (2 * LIFT_M * (1 + 1e-9), 2), (2.1 * LIFT_M, 3)],
)
def test_rounding_makes_no_layer_thicker_than_one_pass(thickness_m: float, count: int) -> None:
    # first principles: a layer of 3/8 in is one pass of at most 3/8 in, whatever its volume over area says in floats
    layer = LayerTakeoff("m", "hand", 2.0 * thickness_m, 0.0, (0.0, 0.0, 0.0), 2.0)
    assert passes(layer, LIFT_M) == count


def test_the_tolerance_of_a_slab_with_thinner_drops_goes_by_its_thinnest_section(
    write_job: Callable[[str], Path],
) -> None:
    drop = 'drop_edges = [{ sides = ["front"], height = "3 in", thickness = "1/2 in" }]'
    shape = f'shape = {{ kind = "slab", length = "60 in", width = "24 in", thickness = "1 in", {drop} }}'
    text = f'[job]\nname = "Drop"\nmix = "backer-45"\nwaste = 0.07\n[[piece]]\nmark = "A"\n{shape}\n'
    text += '[workshop]\nthickness_tolerance = "1/16 in"\n'
    made = estimate_file(write_job(text)).pieces[0]
    assert made.taken.piece.nominal_thickness_m == pytest.approx(0.5 * IN)
    assert made.weight.tolerance.thickness == pytest.approx(1 / 8)


def test_crate_lumber_is_in_the_cost(write_job: Callable[[str], Path]) -> None:
    # 60 x 24 in of face and 15 % of it: 11.5 ft2
    shape = 'shape = { kind = "slab", length = "60 in", width = "24 in", thickness = "1 in" }'
    text = f'[job]\nname = "Crate"\nmix = "backer-45"\nwaste = 0.07\n[[piece]]\nmark = "A"\n{shape}\n'
    made = estimate_file(write_job(text))
    (lumber,) = [each for each in made.supply.consumables if each.material == "crate-lumber"]
    face_m2 = made.pieces[0].taken.solid.finished_area_m2
    assert lumber.order.required == pytest.approx(1.15 * face_m2)
    assert lumber.order.cost


def test_samples_cost_their_concrete_and_their_labor(write_job: Callable[[str], Path]) -> None:
    shape = 'shape = { kind = "slab", length = "60 in", width = "24 in", thickness = "1 in" }'
    text = f'[job]\nname = "Samples"\nmix = "backer-45"\nwaste = 0.07\n[[piece]]\nmark = "A"\n{shape}\n'
    plain = estimate_file(write_job(text))
    made = estimate_file(write_job(text + "[samples]\ncount = 3\nprice = 25.0\n"))
    assert made.supply.samples is not None
    concrete = made.supply.samples.concrete_cost
    assert concrete is not None
    assert concrete > 0
    assert made.cost.direct.forms - plain.cost.direct.forms == concrete
    assert made.pricing.labour.cost - plain.pricing.labour.cost == 3 * Decimal("42.00")


def test_gear_is_hired_for_each_day_on_site(write_job: Callable[[str], Path]) -> None:
    # 7 pieces that need a machine, an hour each, in days of 8 h with 1 h of travel and 1 h of set-up: two days on site
    shape = 'shape = { kind = "slab", length = "10 ft", width = "4 ft", thickness = "2 in" }'
    piece = f'[[piece]]\nmark = "A"\nuse = "counter"\nquantity = 7\nforms = 7\n{shape}\n'
    made = estimate_file(write_job(f'[job]\nname = "Gear"\nmix = "backer-45"\nwaste = 0.07\n{piece}'))
    stripped = sum(1 for _ in made.batching.pours)
    assert made.pieces[0].handling.site_crew is None
    assert made.pricing.machine_days == stripped + 2


@pytest.mark.parametrize("wish", ['lifted_by = "slings"', 'lifted_by = "vacuum"', 'lifted_by = "inserts"'])
def test_gear_that_the_job_asks_for_is_hired_and_worked_by_the_crew_of_a_machine(
    write_job: Callable[[str], Path], wish: str
) -> None:
    # four people carry it by hand; the shop hangs it, so the hoist of its lift sheet costs a day after the pour and one
    # on site, at the catalog's two people to strip and two to install
    shape = 'shape = { kind = "slab", length = "96 in", width = "25-1/2 in", thickness = "1 in" }'
    piece = f'[[piece]]\nmark = "A"\nuse = "counter"\n{shape}\nhandling = {{ {wish} }}\n'
    made = estimate_file(write_job(f'[job]\nname = "Gear"\nmix = "backer-45"\nwaste = 0.07\n{piece}'))
    (hung,), (work,) = made.pieces, made.pricing.works
    assert hung.handling.carry.persons == 4
    assert any(gear.id == "gear-hoist" for gear in hung.handling.gear)
    assert made.pricing.machine_days == 2
    assert (work.strip_crew, work.install_crew) == (2, 2)


def test_price_falls_with_thickness_only_where_a_machine_takes_over_from_four_people(
    write_job: Callable[[str], Path],
) -> None:
    """Two people and a hoist for a day cost less than four people, by the catalog's example rates."""
    prices: dict[str, tuple[Decimal, int | None]] = {}
    for thickness in ("3/4", "1", "1-1/8", "1-1/4", "1-1/2", "2", "3"):
        shape = f'shape = {{ kind = "slab", length = "96 in", width = "25-1/2 in", thickness = "{thickness} in" }}'
        text = f'[job]\nname = "T"\nmix = "backer-45"\nwaste = 0.07\n[[piece]]\nmark = "A"\nuse = "counter"\n{shape}\n'
        made = estimate_file(write_job(text))
        prices[thickness] = made.cost.price, made.pieces[0].handling.site_crew
    falls = [(thinner, thicker) for thinner, thicker in pairwise(prices) if prices[thicker][0] < prices[thinner][0]]
    assert falls == [("1-1/8", "1-1/4")]
    assert prices["1-1/8"][1] == 4
    assert prices["1-1/4"][1] is None
