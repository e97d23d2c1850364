"""Weights by stage: tolerances, boards, soil and the centre of gravity."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimator import weight
from estimator.weight import CastMass, Tolerance

POUND_KG = 0.45359237
FOOT_M = 0.3048
CAST = CastMass(fresh_kg=80.0, demould_kg=79.0, installed_kg=74.0, oven_dry_kg=72.0)


def test_high_side_takes_both_tolerances_and_inserts_at_their_own_mass():
    # first principles: 80 · 1.05 · (1 + 1/12) + 5 for a 3/4 in piece and 1/16 in
    made = weight.stage_weights(CAST, Tolerance(0.05, 1 / 12), inserts_kg=5.0)
    assert made.high_kg == pytest.approx(80 * 1.05 * 13 / 12 + 5)
    assert made.low_kg == pytest.approx(74 * 0.95 * 11 / 12 + 5)
    assert made.fresh.nominal_kg == pytest.approx(85.0)
    assert made.soaked is None
    assert set(made.by_stage) == {"fresh", "demould", "transport", "installed"}


def test_the_piece_is_lifted_at_its_demould_weight_not_dry_and_not_in_the_form():
    made = weight.stage_weights(CAST, Tolerance(0.05, 0.0))
    assert made.lift_kg == pytest.approx(79 * 1.05)
    dry_only = weight.stage_weights(CAST, Tolerance(0.05, 0.0), lifted={"installed"})
    assert dry_only.lift_kg == pytest.approx(74 * 1.05)


def test_outdoor_piece_without_an_absorption_test_is_taken_at_its_fresh_weight_and_says_so():
    made = weight.stage_weights(CAST, Tolerance(0.05, 0.0), outdoors=True)
    assert made.soaked == made.fresh
    assert any("No absorption test" in each for each in made.assumptions)


def test_soaked_weight_from_a_tested_absorption_can_be_the_heaviest():
    made = weight.stage_weights(CAST, Tolerance(0.0, 0.0), absorption=0.15)
    assert made.soaked.nominal_kg == pytest.approx(72 * 1.15)
    assert made.high_kg == pytest.approx(82.8)
    assert made.lift_kg == pytest.approx(82.8)  # it may be lifted wet


def test_a_soaked_piece_weighs_no_less_than_it_did_fresh():
    # perlite at 1:4, 575 kg/m³ oven-dry, holds its mix water far beyond a gain of 12 %
    airy = weight.CastMass(fresh_kg=90.0, demould_kg=90.0, installed_kg=62.5, oven_dry_kg=57.5)
    assert weight.soaked_mass(airy, 0.12) == 90.0
    assert weight.soaked_mass(airy, 0.60) == pytest.approx(92.0)


def test_high_weights_use_the_least_air_and_low_ones_the_most():
    # air 0.30 that may be 0.20: (1 - 0.20) / (1 - 0.30) times the density
    band = Tolerance(0.10, 0.0, low_air=0.8 / 0.7, high_air=0.6 / 0.7).band(70.0, 0.0)
    assert band.high_kg == pytest.approx(80.0 * 1.1)
    assert band.low_kg == pytest.approx(60.0 * 0.9)


def test_turning_weight_adds_form_board_and_turning_board():
    # common practice: 2.75 lb/ft² of board; a 72 × 25.5 in piece has 12.75 ft² a face
    face_m2 = 12.75 * FOOT_M**2
    assert pytest.approx(13.43, abs=0.005) == weight.FORM_BOARD_KG_M2
    turned = weight.turning_weight(weight.Band(50.0, 55.0, 60.0), face_m2, face_m2)
    assert turned.high_kg == pytest.approx(60.0 + 2 * 12.75 * 2.75 * POUND_KG)
    assert turned.low_kg == pytest.approx(50.0 + 2 * 12.75 * 2.75 * POUND_KG)


def test_planter_with_wet_soil():
    # common practice: 110 lb/ft³ wet
    filled = weight.planter_with_soil(weight.Band(40.0, 42.0, 45.0), 10 * FOOT_M**3)
    assert filled.high_kg == pytest.approx(45.0 + 1100 * POUND_KG)


@settings(max_examples=100, deadline=None)
@given(
    st.lists(
        st.tuples(st.floats(0.1, 100), st.tuples(*[st.floats(-5, 5)] * 3)),
        min_size=1,
        max_size=6,
    )
)
def test_moments_about_the_centre_of_gravity_vanish(parts):
    total, centre = weight.centre_of_gravity(parts)
    assert total == pytest.approx(sum(mass for mass, _ in parts))
    for axis in range(3):
        assert sum(mass * (point[axis] - centre[axis]) for mass, point in parts) == pytest.approx(0.0, abs=1e-9)


@settings(max_examples=80, deadline=None)
@given(st.floats(0, 0.5), st.floats(0, 0.9), st.floats(0, 50))
def test_low_is_never_above_high(density, thickness, inserts):
    made = weight.stage_weights(CAST, Tolerance(density, thickness), inserts, outdoors=True)
    for band in made.by_stage.values():
        assert band.low_kg <= band.nominal_kg <= band.high_kg
    assert made.low_kg <= made.lift_kg <= made.high_kg


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: CastMass(0.0, 1.0, 1.0, 1.0), "cast mass fresh_kg is 0 kg: must be above 0"),
        (lambda: Tolerance(0.05, 1.0), "thickness tolerance is 1 of the thickness: must be 0 to under 1"),
        (lambda: Tolerance(5.0, 0.1), "density tolerance is 5: must be 0 to 0.5"),
        (lambda: weight.stage_weights(CAST, Tolerance(0.05, 0.1), -1.0), "mass of inserts is -1 kg"),
        (lambda: weight.stage_weights(CAST, Tolerance(0.05, 0.1), lifted=()), "no stage is named at which the bare"),
        (lambda: weight.soaked_mass(10.0, 12.0), "absorption is 12: must be 0 to 1"),
        (lambda: weight.planter_with_soil(weight.Band(1, 1, 1), -1.0), "volume of soil is -1 m³"),
        (lambda: weight.centre_of_gravity([]), "no mass: a centre of gravity needs"),
    ],
)
def test_impossible_input_is_refused(call, message):
    with pytest.raises(ValueError, match=message):
        call()
