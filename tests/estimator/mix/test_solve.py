"""The mix for a weight, a density or the least cost, and the limit that stops the search."""

from dataclasses import replace
from math import inf

import numpy as np
import pytest

from estimator.errors import FaultError
from estimator.job import Material, Mix
from estimator.mix import make
from estimator.mix.replacement import cost_of, with_replacement
from estimator.mix.solve import (
    Limit,
    Question,
    Range,
    SolvedPiece,
    _limits_met,
    solve_for_density,
    solve_for_least_cost,
    solve_for_weight,
)

PRICE = {
    "cement": 0.5,
    "fume": 1.2,
    "sand": 0.2,
    "bead": 9.0,
    "powder": 8.0,
    "emulsion": 4.0,
    "black": 6.0,
    "glass": 5.0,
}
AREA_M2 = 1.2
TOP = SolvedPiece(volume_m3=lambda thickness_m: AREA_M2 * thickness_m, thickness_m=0.025, inserts_kg=2.0)


@pytest.fixture
def question(shelf: dict[str, Material], back_mix: Mix) -> Question:
    all_sand = replace(back_mix, aggregate={"sand": 1.0})
    return Question(all_sand, shelf, "sand", "bead", {"replacement": Range(0.0, 1.0)}, TOP, price_per_kg=PRICE)


def test_a_figure_is_at_its_limit_only_where_it_is_there(question: Question):
    for low, high in ((0.016, 0.026), (0.0, 1.0), (20.0, 60.0)):
        asked = replace(question, free={"thickness_m": Range(low, high)})
        hair = 1e-4 * (high - low)  # a hundred times what counts as there
        for value, met in ((low, [("low", low)]), (high, [("high", high)]), (low + hair, []), (high - hair, [])):
            assert [(limit.end, limit.value) for limit in _limits_met(asked, {"thickness_m": value})] == met


def test_a_top_is_lightened_until_two_people_can_carry_it(question: Question):
    found = solve_for_weight(question, 52.0)
    assert found.reached
    assert found.weight_kg == pytest.approx(52.0, abs=1e-6)
    made = make(with_replacement(question.mix, "sand", "bead", found.values["replacement"]), question.materials)
    assert made.fresh_density_kg_m3 * AREA_M2 * 0.025 + 2.0 == pytest.approx(52.0, abs=1e-6)
    assert found.stopped_by == ()


def test_a_top_that_is_light_enough_is_left_alone(question: Question):
    found = solve_for_weight(question, 100.0)
    assert found.reached
    assert found.values == {}
    assert found.mix == question.mix


def test_the_limit_that_stops_the_search_is_named(question: Question):
    half = replace(question, free={"replacement": Range(0.0, 0.5)})
    found = solve_for_weight(half, 40.0)
    assert not found.reached
    assert found.values == {"replacement": 0.5}
    assert found.weight_kg > 40.0
    assert found.stopped_by == (Limit("replacement", "high", 0.5),)


def test_thickness_does_what_replacement_cannot(question: Question):
    both = replace(question, free={"replacement": Range(0.0, 0.5), "thickness_m": Range(0.016, 0.025)})
    found = solve_for_weight(both, 44.0)
    assert found.reached
    assert found.values["replacement"] == 0.5
    density = make(with_replacement(question.mix, "sand", "bead", 0.5), question.materials).fresh_density_kg_m3
    assert found.values["thickness_m"] == pytest.approx((44.0 - 2.0) / density / AREA_M2)
    stuck = solve_for_weight(both, 20.0)
    assert not stuck.reached
    assert stuck.stopped_by == (Limit("replacement", "high", 0.5), Limit("thickness_m", "low", 0.016))


@pytest.mark.parametrize("stage", ["fresh", "installed"])
@pytest.mark.parametrize("start", [0.0, 0.9])
def test_a_density_is_reached_from_either_side(question: Question, stage: str, start: float):
    mix = with_replacement(question.mix, "sand", "bead", start)
    found = solve_for_density(replace(question, mix=mix, stage=stage), 1700.0)
    assert found.reached
    made = make(found.mix, question.materials)
    density = made.fresh_density_kg_m3 if stage == "fresh" else made.installed_density_kg_m3
    assert density == pytest.approx(1700.0, abs=1e-6)


def test_a_mix_outside_its_range_is_brought_inside_first(question: Question):
    narrow = replace(question, free={"replacement": Range(0.3, 0.7)})
    light_enough = solve_for_weight(narrow, 100.0)
    assert light_enough.values == {"replacement": 0.3}
    assert light_enough.stopped_by == (Limit("replacement", "low", 0.3),)
    too_dense = solve_for_density(narrow, 2100.0)
    assert not too_dense.reached
    assert too_dense.values == {"replacement": 0.3}


def test_sand_replacement_and_water_can_be_asked_for_too(question: Question):
    by_share = replace(question, free={"cementitious_share": Range(0.3, 0.6)})
    beads = replace(by_share, mix=replace(question.mix, aggregate={"bead": 1.0}))
    found = solve_for_density(beads, 998.0)
    assert found.reached
    assert 0.3 < found.values["cementitious_share"] < 0.5
    by_water = replace(question, free={"water_cementitious": Range(0.30, 0.40)})
    lighter = solve_for_density(by_water, make(question.mix, question.materials).fresh_density_kg_m3 - 20.0)
    assert lighter.reached
    assert lighter.values["water_cementitious"] > 0.34


def test_the_cheapest_mix_within_a_weight_limit_is_as_heavy_as_allowed(question: Question):
    """Beads cost more than the sand they replace, so the cheapest mix lies at the limit; a grid finds the same."""
    asked = replace(question, free={"replacement": Range(0.0, 1.0), "cementitious_share": Range(0.4, 0.6)})
    found = solve_for_least_cost(asked, at_most_kg=50.0)
    assert found.reached
    assert found.weight_kg == pytest.approx(50.0, abs=1e-3)
    assert found.at_goal
    cheapest = inf
    for share in np.linspace(0.4, 0.6, 21):
        for fraction in np.linspace(0.0, 1.0, 41):
            mix = with_replacement(
                replace(question.mix, cementitious_share=float(share)), "sand", "bead", float(fraction)
            )
            made = make(mix, question.materials)
            if made.fresh_density_kg_m3 * AREA_M2 * 0.025 + 2.0 <= 50.0:
                cheapest = min(cheapest, cost_of(made, PRICE).per_m3 * AREA_M2 * 0.025)
    assert found.cost <= cheapest * (1.0 + 1e-9)
    assert found.cost == pytest.approx(cheapest, rel=0.02)


def test_the_cheapest_mix_without_a_limit_lies_at_the_ends_of_its_ranges(question: Question):
    found = solve_for_least_cost(replace(question, piece=None))
    assert found.reached
    assert found.values["replacement"] == pytest.approx(0.0, abs=1e-9)
    assert found.weight_kg is None
    dense = solve_for_least_cost(replace(question, piece=None), at_most_kg_m3=500.0)
    assert not dense.reached
    assert dense.values["replacement"] == pytest.approx(1.0)


def test_a_question_that_cannot_be_asked_is_refused(question: Question):
    with pytest.raises(FaultError, match="solve-no-piece"):
        solve_for_weight(replace(question, piece=None), 50.0)
    with pytest.raises(FaultError, match="solve-no-piece"):
        solve_for_least_cost(replace(question, piece=None), at_most_kg=50.0)
    with pytest.raises(FaultError, match="solve-no-prices"):
        solve_for_least_cost(replace(question, price_per_kg={}), at_most_kg=50.0)
    with pytest.raises(FaultError, match="solve-range"):
        solve_for_weight(replace(question, free={"replacement": Range(0.7, 0.3)}), 50.0)
    with pytest.raises(FaultError, match="solve-fixed-thickness"):
        solve_for_density(replace(question, piece=None, free={"thickness_m": Range(0.01, 0.02)}), 1700.0)


def test_a_weight_is_solved_for_without_prices_and_then_has_no_cost(question: Question):
    found = solve_for_weight(replace(question, price_per_kg={}), 52.0)
    assert found.reached
    assert found.cost is None
    assert solve_for_weight(question, 52.0).cost == pytest.approx(
        cost_of(make(solve_for_weight(question, 52.0).mix, question.materials), PRICE).per_m3 * AREA_M2 * 0.025
    )
