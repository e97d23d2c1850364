"""Maturity, evaporation and thermal properties: properties that always hold, and refusals."""

from math import inf

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimator.curing.casting import MixHeat, Room, ThermalSection
from estimator.curing.hydration import Unmodelled
from estimator.curing.maturity import (
    Drying,
    age_factor,
    age_for_strength_h,
    between_references,
    drying,
    earliest_time_h,
    equivalent_age_h,
    evaporation_kg_m2_h,
    evaporation_limit_kg_m2_h,
    share_of_mix_water_lost,
    strength_fraction,
)
from estimator.curing.mix_heat import conductivity_dry_w_m_k, conductivity_moist_w_m_k, specific_heat_j_kg_k
from tests.curing_shop import PRINTED, room

approx = pytest.approx


def test_equivalent_age_at_the_reference_temperature_is_real_age():
    assert equivalent_age_h([0.0, 5.0, 12.0], [21.1] * 3, 45_000.0, 21.1) == approx([0.0, 5.0, 12.0])


def test_equivalent_age_adds_up_over_steps():
    hours = np.linspace(0.0, 24.0, 49)
    warm = equivalent_age_h(hours, np.full(49, 40.0), 45_500.0, 20.0)
    assert warm[-1] == approx(24.0 * 3.295, rel=1e-3)  # source: S1, NIST


def test_ages_convert_between_reference_temperatures():
    at_20 = age_factor([5.0, 35.0], 45_000.0, 20.0)
    at_23 = age_factor([5.0, 35.0], 45_000.0, 23.0)
    assert at_23 * between_references(45_000.0, 23.0, 20.0) == approx(at_20)


@settings(max_examples=30, deadline=None)
@given(fraction=st.floats(0.01, 1.0), coefficient=st.floats(0.1, 0.6))
def test_age_for_strength_inverts_the_curve(fraction, coefficient):
    assert float(strength_fraction(age_for_strength_h(fraction, coefficient), coefficient)) == approx(fraction)


def test_strength_starts_at_zero():
    assert float(strength_fraction(0.0, 0.25)) == 0.0


def test_there_is_no_earliest_time_beyond_the_record():
    assert earliest_time_h([0.0, 10.0], [0.0, 20.0], 15.0) == approx(7.5)
    assert earliest_time_h([0.0, 10.0], [0.0, 20.0], 20.1) is None


def test_impossible_maturity_is_refused():
    for call, said in (
        (lambda: age_factor(-300.0, 45_000.0, 20.0), "heat-below-zero"),
        (lambda: age_factor(20.0, -1.0, 20.0), "heat-activation"),
        (lambda: equivalent_age_h([0.0, 1.0], [20.0], 45_000.0, 20.0), "heat-record-shape"),
        (lambda: equivalent_age_h([0.0, 2.0, 1.0], [20.0] * 3, 45_000.0, 20.0), "heat-record-order"),
        (lambda: strength_fraction(-1.0, 0.25), r"heat-age \(age = -1\)"),
        (lambda: strength_fraction(24.0, 25.0), r"heat-coefficient \(coefficient = 25\)"),
        (lambda: age_for_strength_h(30.0, 0.25), r"heat-strength-fraction \(fraction = 30\)"),
    ):
        with pytest.raises(ValueError, match=said):
            call()


def lost_by(room: Room, silica_fume: float) -> Drying:
    """Water lost by 13 mm with 290 kg/m³ of water."""
    mix = MixHeat(Unmodelled("not asked"), 700.0, 290.0, 1800.0, 1150.0, 0.9, silica_fume, 0.0)
    return drying(room, ThermalSection(0.013, mix), PRINTED)


def test_drying_gives_the_time_until_covering():
    lost = lost_by(room(27.0, 31.0, 0.50, 19.0, 1.0), 0.10)
    assert lost.rate_kg_m2_h == approx(1.15, abs=0.01)
    assert lost.over_limit
    assert lost.notable
    assert share_of_mix_water_lost(lost.rate_kg_m2_h, lost.hours_to_notable, 0.013, 290.0) == approx(0.05)


def test_condensation_loses_no_water():
    lost = lost_by(room(30.0, 10.0, 0.95, 5.0, 4.0), 0.0)
    assert lost.rate_kg_m2_h < 0.0
    assert lost.share_of_mix_water == 0.0
    assert lost.hours_to_notable == inf
    assert not lost.notable


def test_impossible_weather_is_refused():
    for call, said in (
        (lambda: evaporation_kg_m2_h(20.0, 20.0, 50.0, 0.0), r"drying-humidity"),
        (lambda: evaporation_kg_m2_h(20.0, 20.0, 0.5, -1.0), "drying-wind"),
        (
            lambda: evaporation_kg_m2_h(20.0, -30.0, 0.5, 0.0),
            r"drying-too-cold \(temperature_c = -30\.0",
        ),
        (lambda: evaporation_limit_kg_m2_h(10.0, PRINTED), r"drying-fume \(silica_fume_share = 10\)"),
        (lambda: share_of_mix_water_lost(0.5, -1.0, 0.013, 290.0), r"drying-time \(hours = -1\)"),
        (lambda: share_of_mix_water_lost(0.5, 1.0, 0.0, 290.0), "drying-thickness"),
    ):
        with pytest.raises(ValueError, match=said):
            call()


def test_specific_heat_is_averaged_by_mass():
    # first principles: (238·4186 + 700·750 + 860·800 + 2·1300)/1800
    groups = {"water": 238.0, "cementitious": 700.0, "mineral": 860.0, "plastic": 2.0}
    assert specific_heat_j_kg_k(groups) == approx(1228.9, abs=0.1)


def test_moist_material_conducts_better():
    assert conductivity_moist_w_m_k(1800.0) == approx(1.16 * conductivity_dry_w_m_k(1800.0))
    assert conductivity_moist_w_m_k(1800.0, 1.4) == approx(1.40 * conductivity_dry_w_m_k(1800.0))


def test_an_impossible_material_is_refused():
    for call, said in (
        (lambda: conductivity_dry_w_m_k(20.0), "heat-dry-density"),
        (lambda: conductivity_moist_w_m_k(1800.0, 0.4), r"heat-moist-factor"),
        (lambda: specific_heat_j_kg_k({"steel": 1.0}), "heat-no-specific"),
        (lambda: specific_heat_j_kg_k({}), "heat-masses"),
    ):
        with pytest.raises(ValueError, match=said):
            call()
