"""Aggregate as stocked: moisture and the water of liquids, against print."""

from dataclasses import replace

import pytest

from estimator.errors import FaultError
from estimator.job import Material, Mix
from estimator.mix import make, proportion, yield_of
from estimator.mix.proportions import dose_of_volume, recipe_of_weighed
from estimator.words import PLAIN

LB_KG = 0.45359237
FT3_M3 = 0.3048**3
LB_FT3 = LB_KG / FT3_M3
WATER_62_4 = 62.4 * LB_FT3
FL_OZ_M3 = 231.0 * 0.0254**3 / 128.0
GAL_LB = 8.33  # density of water in the manuals

CEMENT = Material("cement", "cement", 3150.0, 1506.0)
SAND = Material("sand", "sand", 2650.0, 1600.0)


def test_an_absorption_of_half_a_percent_is_not_read_as_one_half():
    # made from a printed slip
    thirsty = replace(SAND, absorption=0.5)
    mix = Mix("m", 0.5, {"cement": 1.0}, {"sand": 1.0}, "sand", 0.5, 0.0)
    with pytest.raises(FaultError) as caught:
        proportion(mix, {"cement": CEMENT, "sand": thirsty})
    assert caught.value.key == "materials.sand.absorption"
    assert PLAIN.text(caught.value.message, "fix") == "0.5 %? Write 0.005."
    perlite = replace(thirsty, kind="light-aggregate")
    assert proportion(mix, {"cement": CEMENT, "sand": perlite}).absorbed_water_kg == pytest.approx(0.25)


def test_a_bag_of_cement_fills_less_than_half_of_its_cubic_foot():
    # read: a 94 lb bag is 1 ft³ loose
    particle_kg_m3 = 3.15 * WATER_62_4
    assert 94.0 * LB_KG / particle_kg_m3 / FT3_M3 == pytest.approx(0.478, abs=0.0005)


@pytest.mark.parametrize(("entered_lb", "moisture"), [(900.0, 0.08), (900.0 / 1.08, 0.0)])
def test_light_aggregate_fills_the_same_volume_whether_entered_damp_or_dry(entered_lb: float, moisture: float):
    # source: ACI 211.2 method; made
    density_kg_m3 = 1.50 * WATER_62_4 / 1.08  # a factor of 1.50 refers to the damp particle
    clay = Material("clay", "light-aggregate", density_kg_m3, 700.0, moisture=moisture, absorption=0.08)
    materials = {"cement": CEMENT, "clay": clay, "sand": SAND}
    weighed = {"cement": 500.0 * LB_KG, "clay": entered_lb * LB_KG, "water": 400.0 * LB_KG}
    recipe = recipe_of_weighed(weighed, materials, reference_sand="sand")
    made = yield_of(recipe, materials, 0.0, WATER_62_4)
    assert made.fractions["clay"] * made.volume_m3 / FT3_M3 == pytest.approx(9.615, abs=0.0005)


def test_damp_stock_brings_a_third_of_the_mixing_water():
    # source: US Army EN5466 (read): surface moisture on surface-dry mass; 38.6 gal less 12.0 gal
    stock_lb = {"sand": 1083.0 * 1.06, "coarse": 1768.0 * 1.02}
    assert stock_lb == pytest.approx({"sand": 1148.0, "coarse": 1803.0}, abs=0.5)
    brought_lb = sum(stock_lb.values()) - 1083.0 - 1768.0
    assert brought_lb == pytest.approx(100.34, abs=0.005)
    assert brought_lb / GAL_LB == pytest.approx(12.0, abs=0.06)

    materials = {
        "cement": CEMENT,
        "sand": replace(SAND, moisture=0.06),
        "coarse": replace(SAND, name="coarse", moisture=0.02),
    }
    water_lb = 38.6 * GAL_LB - brought_lb
    assert water_lb / GAL_LB == pytest.approx(26.6, abs=0.06)
    recipe = recipe_of_weighed({"cement": 500.0, **stock_lb, "water": water_lb}, materials, reference_sand="sand")
    assert recipe.free_water_kg / GAL_LB == pytest.approx(38.6)
    assert recipe.batched_water_kg == pytest.approx(water_lb)


def test_water_in_an_emulsion_is_deducted_from_the_water_to_weigh():
    # read: 5 lb of polymer solids per 100 lb of cement from an emulsion of 51 %
    emulsion = Material("emulsion", "polymer", 1060.0, None, solids=0.51)
    mix = Mix("m", 0.5, {"cement": 1.0}, {"sand": 1.0}, "sand", 0.32, 0.05, polymer={"emulsion": 0.05})
    recipe = proportion(mix, {"cement": CEMENT, "sand": SAND, "emulsion": emulsion}).scaled(200.0)
    assert recipe.weighed_kg["cement"] == pytest.approx(100.0)
    assert recipe.weighed_kg["emulsion"] == pytest.approx(9.80, abs=0.005)
    assert 32.0 - recipe.batched_water_kg == pytest.approx(4.80, abs=0.005)


def test_an_admixture_may_be_dosed_by_volume():
    # definition: 1 US fl oz per 100 lb is 65.198 mL per 100 kg; 8 of them on 610 lb are 48.8 fl oz, 1.443 L
    ml_per_100_kg = FL_OZ_M3 / LB_KG * 1e6
    assert ml_per_100_kg == pytest.approx(65.198, abs=0.0005)
    product = Material("reducer", "admixture", 1070.0, None, solids=0.4)
    dose = dose_of_volume(8.0 * FL_OZ_M3, 100.0 * LB_KG, product)
    mix = Mix("m", 0.5, {"cement": 1.0}, {"sand": 1.0}, "sand", 0.32, 0.05, admixtures={"reducer": dose})
    made = make(mix, {"cement": CEMENT, "sand": SAND, "reducer": product})
    per_cement = made.recipe_kg_m3["reducer"] / made.recipe_kg_m3["cement"]
    volume_m3 = per_cement * 610.0 * LB_KG / 1070.0
    assert volume_m3 / FL_OZ_M3 == pytest.approx(48.8)
    assert volume_m3 * 1000.0 == pytest.approx(1.443, abs=0.0005)
