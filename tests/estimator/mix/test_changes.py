"""Changes to a mix: sand replaced by bucket, volume or mass; water stopped early; mixes side by side."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimator.errors import FaultError
from estimator.job import Material, Mix
from estimator.mix import make
from estimator.mix.fresh import stop_early, water_stages
from estimator.mix.replacement import (
    compare,
    cost_of,
    mix_with_beads,
    replace_sand,
    replaced_share,
    replacement_curve,
    replacements,
    with_replacement,
)


@pytest.fixture(scope="module")
def all_sand(back_mix: Mix) -> Mix:
    return replace(back_mix, name="all sand", aggregate={"sand": 1.0})


def test_each_way_of_replacing_sand_shows_its_yield(shelf: dict[str, Material], all_sand: Mix):
    loose, absolute, by_mass = replacements(all_sand, shelf, "sand", "bead", 0.5)
    assert [one.by for one in (loose, absolute, by_mass)] == ["loose-volume", "absolute-volume", "mass"]
    assert absolute.yield_m3 == pytest.approx(1.0, abs=1e-12)
    # Sand packs to 1600/2640 = 0.606, beads to 0.62: a bucket for a bucket yields a little more.
    sand_m3 = loose.sand_out_kg / 1600.0
    assert loose.bead_in_loose_m3 == pytest.approx(sand_m3)
    grown_m3 = sand_m3 * (0.62 - 1600.0 / 2640.0) / 0.96
    assert loose.yield_m3 == pytest.approx(1.0 + grown_m3, abs=1e-9)
    assert by_mass.bead_in_kg == pytest.approx(by_mass.sand_out_kg)
    assert by_mass.yield_m3 > 4.0
    assert loose.mix.aggregate == pytest.approx({"sand": 0.5, "bead": 0.5})


@settings(max_examples=30, deadline=None)
@given(fraction=st.floats(0.0, 1.0), by=st.sampled_from(["loose-volume", "absolute-volume", "mass"]))
def test_all_materials_but_sand_keep_their_mass(shelf: dict[str, Material], all_sand: Mix, fraction: float, by):
    before = make(all_sand, shelf)
    replaced = replace_sand(all_sand, shelf, "sand", "bead", fraction, by)
    for name in ("cement", "fume", "powder", "emulsion", "black", "glass"):
        kept = replaced.design.recipe_kg_m3[name] * replaced.yield_m3
        assert kept == pytest.approx(before.recipe_kg_m3[name], rel=1e-9), name
    water = replaced.design.free_water_kg_m3 * replaced.yield_m3
    assert water == pytest.approx(before.free_water_kg_m3, rel=1e-9)
    sand = replaced.design.recipe_kg_m3.get("sand", 0.0) * replaced.yield_m3
    assert sand == pytest.approx(before.recipe_kg_m3["sand"] - replaced.sand_out_kg, abs=1e-9)


@settings(max_examples=30, deadline=None)
@given(low=st.floats(0.0, 0.99), more=st.floats(0.01, 1.0))
def test_the_more_sand_is_replaced_the_lighter(shelf: dict[str, Material], all_sand: Mix, low: float, more: float):
    high = min(low + more, 1.0)
    light = make(with_replacement(all_sand, "sand", "bead", high), shelf)
    heavy = make(with_replacement(all_sand, "sand", "bead", low), shelf)
    assert light.fresh_density_kg_m3 < heavy.fresh_density_kg_m3


def test_replacement_leaves_other_aggregate_alone(back_mix: Mix):
    three = replace(back_mix, aggregate={"sand": 0.5, "bead": 0.2, "grit": 0.3})
    assert with_replacement(three, "sand", "bead", 0.5).aggregate == pytest.approx(
        {"sand": 0.35, "bead": 0.35, "grit": 0.3}
    )
    with pytest.raises(FaultError, match="swap-fraction"):
        with_replacement(back_mix, "sand", "bead", 50.0)
    with pytest.raises(FaultError, match="neither"):
        with_replacement(replace(back_mix, aggregate={"grit": 1.0}), "sand", "bead", 0.5)


def test_water_is_staged_without_losing_any():
    stages = water_stages(17.0, 0.15)
    assert stages.held_back_kg == pytest.approx(2.55)
    assert stages.first_kg + stages.held_back_kg == pytest.approx(17.0, rel=1e-15)
    with pytest.raises(FaultError, match="mix-held-back"):
        water_stages(17.0, 15.0)


@pytest.mark.parametrize("basis", ["counted-dry", "total"])
def test_a_batch_that_stops_early_is_denser_and_shorter(shelf: dict[str, Material], back_mix: Mix, basis: str):
    mix = replace(back_mix, fibre_basis=basis)
    stopped = stop_early(mix, shelf, 0.30)
    planned, design = stopped.planned, stopped.design
    assert design.water_cementitious == 0.30
    assert design.fresh_density_kg_m3 > planned.fresh_density_kg_m3
    missing_m3 = stopped.water_left_kg_m3 / 998.0 / 0.96
    assert stopped.yield_ratio == pytest.approx(1.0 - missing_m3, abs=1e-12)
    for name in ("cement", "sand", "glass"):
        assert design.recipe_kg_m3[name] * stopped.yield_ratio == pytest.approx(planned.recipe_kg_m3[name])
    assert [caution.id for caution in stopped.cautions] == ["stop-short", "stop-stiff", "stop-untested"]
    assert dict(stopped.cautions[0].values)["short_share"] == pytest.approx(missing_m3, abs=1e-12)
    tested = stop_early(replace(mix, first_crack_strength_pa=5e6), shelf, 0.30)
    assert tested.cautions[-1].id == "stop-other-water"
    with pytest.raises(FaultError, match="mix-stops-late"):
        stop_early(mix, shelf, 0.34)


PRICE = {"cement": 0.5, "fume": 1.2, "sand": 0.2, "bead": 9.0, "emulsion": 4.0, "black": 6.0, "glass": 5.0}


def test_the_same_pieces_are_compared_in_two_mixes(shelf: dict[str, Material], all_sand: Mix, back_mix: Mix):
    heavy, light = compare([all_sand, back_mix], shelf, {"C1": 0.02, "P1": 0.05}, {"C1": 3, "P1": 1}, PRICE)
    assert light.piece_fresh_kg["C1"] == pytest.approx(0.02 * make(back_mix, shelf).fresh_density_kg_m3)
    assert light.job_fresh_kg == pytest.approx(3 * light.piece_fresh_kg["C1"] + light.piece_fresh_kg["P1"])
    assert light.job_cost == pytest.approx(3 * light.piece_cost["C1"] + light.piece_cost["P1"])
    assert light.job_fresh_kg < heavy.job_fresh_kg
    by_hand = sum(kg * PRICE.get(name, 0.0) for name, kg in light.design.recipe_kg_m3.items())
    assert light.cost.per_m3 == pytest.approx(by_hand)
    assert light.cost.unpriced == ("powder",)
    assert light.first_crack_strength_pa is None


def test_the_curve_runs_from_all_sand_to_all_beads(shelf: dict[str, Material], back_mix: Mix):
    lean = replace(back_mix, cementitious_share=0.30)
    curve = replacement_curve(lean, shelf, "sand", "bead", PRICE, points=11)
    assert curve.fraction == pytest.approx(np.linspace(0.0, 1.0, 11))
    assert np.all(np.diff(curve.fresh_density_kg_m3) < 0.0)
    assert np.all(curve.installed_density_kg_m3 <= curve.fresh_density_kg_m3)
    half = make(replace(lean, aggregate={"sand": 0.5, "bead": 0.5}), shelf)
    assert curve.cost_per_m3[5] == pytest.approx(cost_of(half, PRICE).per_m3)
    # Common practice: at 30 % cementitious an all-bead mix floats.
    assert curve.floats_from == pytest.approx(1.0)
    rich = replacement_curve(replace(back_mix, cementitious_share=0.7), shelf, "sand", "bead", PRICE, points=3)
    assert rich.floats_from is None


@pytest.mark.parametrize("fraction", [0.1, 0.3, 0.7])
def test_only_a_changed_mix_loses_its_tested_strength(shelf: dict[str, Material], back_mix: Mix, fraction: float):
    tested = replace(with_replacement(back_mix, "sand", "bead", fraction), first_crack_strength_pa=6e6)
    share = replaced_share(tested, "sand", "bead")
    assert with_replacement(tested, "sand", "bead", share).first_crack_strength_pa == 6e6
    assert with_replacement(tested, "sand", "bead", fraction + 0.01).first_crack_strength_pa is None
    assert mix_with_beads(tested, shelf, "sand", "bead", fraction, "mass").first_crack_strength_pa is None
