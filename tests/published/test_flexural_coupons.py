"""Flexural coupons against printed formulas and statistical tables."""

import pytest

from estimator.strength import (
    characteristic_factor,
    spread_of,
    third_point_stress_pa,
    tolerance_factor,
)

approx = pytest.approx

INCH_M = 0.0254
POUND_FORCE_N = 0.45359237 * 9.80665
PSI_PA = POUND_FORCE_N / INCH_M**2
MPA = 1e6


def test_third_point_loading_gives_the_printed_stress_in_us_units():
    # F1. source: ASTM C947, formula from memory: 60 lbf, span 10, width 2, depth 0.5 in
    stress = third_point_stress_pa(60.0 * POUND_FORCE_N, 10.0 * INCH_M, 2.0 * INCH_M, 0.5 * INCH_M)
    assert stress / PSI_PA == approx(1200.0)
    assert stress / MPA == approx(8.27, abs=0.005)


@pytest.mark.parametrize(("load_n", "stress_mpa"), [(180.0, 7.20), (480.0, 19.2)])
def test_third_point_loading_gives_the_printed_stress_in_metric_units(load_n, stress_mpa):
    # F1. source: EN 1170-5, formula from memory: span 200, width 50, depth 10 mm
    assert third_point_stress_pa(load_n, 0.2, 0.05, 0.01) / MPA == approx(stress_mpa)


def test_six_coupons_have_the_statistics_of_the_printed_formulas():
    # F5. source: EN 1990, annex D, and the noncentral t distribution
    results = [19.2, 21.0, 18.4, 20.6, 22.1, 19.7]
    spread = spread_of([r * MPA for r in results])
    assert spread.mean_pa / MPA == approx(20.167, abs=0.0005)
    assert spread.deviation_pa / MPA == approx(1.3337, abs=0.00005)
    assert spread.variation == approx(0.0661, abs=0.00005)
    assert characteristic_factor(6) == approx(2.18, abs=0.005)
    assert tolerance_factor(6) == approx(3.708, abs=0.0005)
    assert spread.characteristic_pa is not None
    assert spread.tolerance_pa is not None
    assert spread.characteristic_pa / MPA == approx(17.26, abs=0.01)
    assert spread.tolerance_pa / MPA == approx(15.22, abs=0.01)
    assert spread.characteristic_pa < (20.167 - 1.64 * 1.3337) * MPA  # 1.64 s is too kind to six results


@pytest.mark.parametrize(("count", "factor"), [(5, 4.203), (10, 2.911), (20, 2.396)])
def test_one_sided_tolerance_factors_are_those_of_the_printed_table(count, factor):
    # F8. source: standard table, from memory, recomputed
    assert tolerance_factor(count) == approx(factor, abs=0.0006)
