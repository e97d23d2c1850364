"""Maturity, evaporation and conductivity against printed figures."""

from math import exp

import numpy as np
import pytest

from estimator.curing.maturity import (
    CURVE_REFERENCE_C,
    EN_ACTIVATION_J_MOL,
    GAS_CONSTANT_J_MOL_K,
    STRENGTH_COEFFICIENTS,
    age_factor,
    age_for_strength_h,
    evaporation_kg_m2_h,
    evaporation_limit_kg_m2_h,
    share_of_mix_water_lost,
    strength_fraction,
)
from estimator.curing.mix_heat import conductivity_dry_w_m_k
from tests.curing_shop import EVAPORATION_LIMIT_KG_M2_H, PRINTED

approx = pytest.approx

POUND_PER_CUBIC_FOOT = 0.45359237 / 0.3048**3
US_R_VALUE = 3600.0 * 0.3048**2 / 1.8 / 1055.05585262  # m²K/W in 1 h·ft²·°F/Btu


def test_age_factors_are_the_printed_ones():
    # MA1. source: ASTM C1074 form, from memory; Q = 5000 K, reference 23 °C, 0 °C = 273.15 K. The factor at 10 °C is
    # also found as 0.460, cut rather than rounded.
    factors = age_factor([5.0, 10.0, 20.0, 30.0, 40.0], 5000.0 * GAS_CONSTANT_J_MOL_K, 23.0)
    assert factors == approx([0.335, 0.461, 0.841, 1.477, 2.501], abs=0.0006)


def test_strength_at_three_and_seven_days_is_as_printed():
    # source: EN 1992-1-1, 3.1.2(6), from memory; class N above, class R below
    ages = np.array([72.0, 168.0, 672.0])
    assert strength_fraction(ages, STRENGTH_COEFFICIENTS["normal"]) == approx([0.598, 0.779, 1.0], abs=0.001)
    assert strength_fraction(ages, STRENGTH_COEFFICIENTS["rapid"]) == approx([0.663, 0.819, 1.0], abs=0.001)


def test_evaporation_is_as_printed():
    # S2. source: ACI Concrete International Q&A, 1.15 kg/m²h (result read, inputs from memory)
    assert evaporation_kg_m2_h(31.0, 27.0, 0.50, 19.0) == approx(1.15, abs=0.01)


def test_evaporation_limits_are_the_printed_ones():
    # S7. source: ACI 305R-91 as cited, 0.2 lb/ft²h; about half with silica fume
    assert approx(0.2 * 0.45359237 / 0.3048**2, rel=0.03) == EVAPORATION_LIMIT_KG_M2_H
    assert evaporation_limit_kg_m2_h(0.10, PRINTED) == approx(evaporation_limit_kg_m2_h(0.0, PRINTED) / 2.0)


def test_a_thin_piece_loses_its_water_below_the_usual_limit():
    # E5. source: first principles
    assert share_of_mix_water_lost(0.5, 3.0, 0.013, 290.0) == approx(0.398, abs=0.0005)
    assert share_of_mix_water_lost(0.5, 3.0, 0.075, 290.0) == approx(0.069, abs=0.0005)


@pytest.mark.parametrize(
    ("density_pcf", "r_per_inch"), [(20, 1.43), (30, 1.00), (40, 0.83), (50, 0.67), (60, 0.52), (110, 0.19)]
)
def test_conductivity_goes_by_density_as_printed(density_pcf, r_per_inch):
    # S5. source: table of R values by oven-dry density (read); formula of ACI 213R/122R from memory
    resistance = 0.0254 / conductivity_dry_w_m_k(density_pcf * POUND_PER_CUBIC_FOOT) / US_R_VALUE
    assert resistance == approx(r_per_inch, rel=0.17)


@pytest.mark.parametrize(("celsius", "factor"), [(5.0, 0.48), (20.0, 1.0), (40.0, 2.39), (50.0, 3.55)])
def test_the_strength_curve_ages_by_4000_kelvin(celsius, factor):
    # source: EN 1992-1-1, annex B, B.10: exp(13.65 − 4000/(273 + T)), from memory
    aged = float(age_factor(celsius, EN_ACTIVATION_J_MOL, CURVE_REFERENCE_C))
    assert aged == approx(factor, abs=0.01)
    assert aged == approx(exp(13.65 - 4000.0 / (273.0 + celsius)), rel=0.005)


@pytest.mark.parametrize(("celsius", "hours"), [(40.0, 8.3), (50.0, 5.6)])
def test_strip_age_goes_by_the_later_of_two_agings(celsius, hours):
    # 30 % of the 28-day strength, normal cement, kept at one temperature: by EN's own aging, not by 45 kJ/mol
    age_h = age_for_strength_h(0.30, STRENGTH_COEFFICIENTS["normal"])
    by_curve = age_h / float(age_factor(celsius, EN_ACTIVATION_J_MOL, CURVE_REFERENCE_C))
    by_heat = age_h / float(age_factor(celsius, 45_218.0, CURVE_REFERENCE_C))
    assert by_curve == approx(hours, abs=0.05)
    assert by_heat < by_curve


def test_in_the_cold_the_activation_energy_decides():
    # 0.48 of EN 1992 against 0.37 at 5 °C
    assert float(age_factor(5.0, 45_218.0, CURVE_REFERENCE_C)) == approx(0.37, abs=0.005)
