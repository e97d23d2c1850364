"""The first bucket weighed: what the batch yielded, and which assumption was wrong."""

from dataclasses import replace

import pytest

from estimator.errors import FaultError
from estimator.job import Material, Mix
from estimator.mix import make, proportion
from estimator.mix.bands import batch_of
from estimator.mix.calibrate import calibrate, corrected_by, explain, fresh_density, gravimetric_air


def test_density_is_the_net_weight_of_the_bucket_over_its_volume():
    assert fresh_density(13.2, 1.2, 0.007) == pytest.approx(12.0 / 0.007)
    with pytest.raises(FaultError, match="weighed-no-density"):
        fresh_density(1.2, 13.2, 0.007)
    with pytest.raises(FaultError, match="weighed-no-density"):
        fresh_density(13.2, 1.2, 0.0)


def test_a_high_air_content_is_found_from_the_weight(shelf: dict[str, Material], back_mix: Mix):
    # At 20 % air, dividing by (1 - air) and multiplying by (1 + air) differ by 4 %.
    truth = replace(back_mix, air=0.20)
    measured = make(truth, shelf).fresh_density_kg_m3
    found = calibrate(back_mix, shelf, measured)
    assert found.check.air == pytest.approx(0.20, abs=1e-12)
    assert found.check.relative_yield == pytest.approx(0.96 / 0.80)
    assert found.predicted_density_kg_m3 == pytest.approx(make(back_mix, shelf).fresh_density_kg_m3)
    assert found.check.cementitious_kg_m3 == pytest.approx(make(truth, shelf).cementitious_kg_m3)


def test_a_little_more_air_explains_a_little_less_weight(shelf: dict[str, Material], back_mix: Mix):
    measured = make(replace(back_mix, air=0.06), shelf).fresh_density_kg_m3
    found = calibrate(back_mix, shelf, measured)
    likeliest = found.explanations[0]
    assert likeliest.assumption.key == "air"
    assert likeliest.would_be == pytest.approx(0.06, abs=1e-9)
    assert likeliest.deviations == pytest.approx(2.0, abs=1e-6)
    assert found.mix.air == pytest.approx(0.06)
    assert make(found.mix, found.materials).fresh_density_kg_m3 == pytest.approx(measured)


def test_a_material_that_was_put_in_beside_the_mix_counts(shelf: dict[str, Material], back_mix: Mix):
    weighed = dict(proportion(back_mix, shelf).weighed_kg)
    plain = calibrate(back_mix, shelf, 1700.0, weighed_kg=weighed)
    liquid = calibrate(back_mix, shelf, 1700.0, weighed_kg=weighed | {"liquid": 0.05})
    # first principles: 0.05 kg more in a batch weighed at the same density makes that much more of it
    assert liquid.check.yield_m3 - plain.check.yield_m3 == pytest.approx(0.05 / 1700.0)
    assert liquid.predicted_density_kg_m3 < plain.predicted_density_kg_m3  # it is lighter than the rest


def test_with_the_air_metered_the_packing_of_the_beads_explains_the_weight(shelf: dict[str, Material], back_mix: Mix):
    packed = shelf | {"bead": replace(shelf["bead"], packing=0.66, density_kg_m3=48.0 / 0.66)}
    measured = make(back_mix, packed).fresh_density_kg_m3
    found = calibrate(back_mix, shelf, measured, measured_air=0.04)
    likeliest = found.explanations[0]
    assert likeliest.assumption.key == "materials.bead.packing"
    assert likeliest.would_be == pytest.approx(0.66, abs=1e-9)
    assert all(one.assumption.key != "air" for one in found.explanations)
    assert found.materials["bead"].packing == pytest.approx(0.66)
    assert make(found.mix, found.materials).fresh_density_kg_m3 == pytest.approx(measured)


def test_sand_damper_than_assumed_shows_as_its_moisture(shelf: dict[str, Material], back_mix: Mix):
    assumed = shelf | {"sand": replace(shelf["sand"], moisture=0.03)}
    true = shelf | {"sand": replace(shelf["sand"], moisture=0.05)}
    batch = batch_of(back_mix, assumed)
    measured = replace(batch, materials={**batch.materials, "sand": true["sand"]}).made.fresh_density_kg_m3
    by_key = {one.assumption.key: one for one in explain(batch, measured)}
    assert by_key["materials.sand.moisture"].would_be == pytest.approx(0.05, abs=1e-9)
    mix, corrected = corrected_by(by_key["materials.sand.moisture"], back_mix, assumed)
    assert mix == back_mix
    assert corrected["sand"].moisture == pytest.approx(0.05)
    # Next time the damper sand brings its water, and the concrete is as intended.
    assert make(mix, corrected).fresh_density_kg_m3 == pytest.approx(make(back_mix, shelf).fresh_density_kg_m3)


def test_too_much_water_shows_as_water(shelf: dict[str, Material], back_mix: Mix):
    batch = batch_of(back_mix, shelf)
    weighed = {**batch.weighed_kg, "water": batch.weighed_kg["water"] * 1.02}
    measured = replace(batch, weighed_kg=weighed).made.fresh_density_kg_m3
    water = next(one for one in explain(batch, measured) if one.assumption.figure == "water")
    assert water.would_be == pytest.approx(weighed["water"])
    mix, _ = corrected_by(water, back_mix, shelf)
    emulsion_water = 0.05 * 0.5
    assert mix.water_cementitious == pytest.approx(0.34 + 0.02 * (0.17 - emulsion_water) / 0.5)


def test_the_masses_that_went_in_are_compared_with_the_weight(shelf: dict[str, Material], back_mix: Mix):
    weighed = proportion(back_mix, shelf).scaled(20.0).weighed_kg
    weighed["water"] -= 0.04 * 10.0  # stopped at w/cm 0.30
    measured = make(replace(back_mix, water_cementitious=0.30), shelf).fresh_density_kg_m3
    found = calibrate(back_mix, shelf, measured, weighed_kg=weighed, designed_m3=0.0125)
    assert found.predicted_density_kg_m3 == pytest.approx(measured)
    assert found.check.air == pytest.approx(0.04)
    assert found.check.yield_m3 == pytest.approx(sum(weighed.values()) / measured)
    assert found.check.relative_yield == pytest.approx(found.check.yield_m3 / 0.0125)
    assert found.explanations[0].deviations == 0.0


def test_a_difference_that_nothing_explains_corrects_nothing(shelf: dict[str, Material], back_mix: Mix):
    found = calibrate(back_mix, shelf, 3500.0)
    assert not any(one.is_plausible for one in found.explanations)
    assert found.mix == back_mix
    assert found.materials == shelf
    assert found.check.air < 0.0
    with pytest.raises(FaultError, match="weighed-not-positive"):
        calibrate(back_mix, shelf, 0.0)


def test_gravimetric_air_of_a_frothy_mix():
    # First principles: 20 % air leaves 0.8 of the air-free density.
    assert gravimetric_air(2500.0, 2000.0) == pytest.approx(0.20)


def test_a_difference_within_the_accuracy_of_the_measurement_changes_nothing(shelf: dict[str, Material], back_mix: Mix):
    predicted = make(back_mix, shelf).fresh_density_kg_m3
    within = calibrate(back_mix, shelf, 0.992 * predicted, uncertainty=0.01)
    assert within.within_uncertainty
    assert (within.mix, within.materials) == (back_mix, shelf)
    beyond = calibrate(back_mix, shelf, 0.985 * predicted, uncertainty=0.01)
    assert not beyond.within_uncertainty
    assert beyond.mix != back_mix or beyond.materials != shelf
