"""Sets of coupons: what counts as a set, the strength it gives, and what stays untested."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimator.strength import (
    Coupon,
    characteristic_factor,
    flexural_strength,
    flexural_strengths,
    limit_load_n,
    spread_of,
    third_point_stress_pa,
    tolerance_factor,
)
from geometry.message import message

approx = pytest.approx

ONE = Coupon(
    pour="A", age_d=28.0, face_up=True, span_m=0.2, width_m=0.05, depth_m=0.01, peak_load_n=480.0, limit_load_n=180.0
)
PEAKS_N = (480.0, 500.0, 455.0, 510.0, 470.0, 490.0)


def coupon_set(count: int = 6) -> list[Coupon]:
    return [
        replace(ONE, face_up=i % 2 == 0, peak_load_n=PEAKS_N[i], limit_load_n=0.4 * PEAKS_N[i]) for i in range(count)
    ]


def test_a_mix_without_coupons_is_untested():
    assert flexural_strength([]) is None
    assert flexural_strengths([]) == ()


def test_design_strength_goes_by_the_limit_of_proportionality():
    shown = flexural_strength(coupon_set())
    assert shown is not None
    assert shown.limit is not None
    assert shown.shortcomings == ()
    assert shown.design_pa == shown.limit.tolerance_pa
    assert shown.rupture.tolerance_pa is not None
    assert shown.design_pa == approx(0.4 * shown.rupture.tolerance_pa)


def test_without_a_limit_of_proportionality_there_is_no_design_strength():
    shown = flexural_strength([*coupon_set(5), replace(ONE, face_up=False, limit_load_n=None)])
    assert shown is not None
    assert shown.limit is None
    assert shown.design_pa is None
    assert message("coupons-without-limit", count=1) in shown.shortcomings


def test_five_coupons_state_no_lower_limit():
    shown = flexural_strength(coupon_set(5))
    assert shown is not None
    assert shown.rupture.characteristic_pa is None
    assert shown.rupture.tolerance_pa is None
    assert shown.design_pa is None
    assert shown.shortcomings == (message("coupons-below-fewest", count=5, fewest=6),)


def test_coupons_all_tested_face_up_are_reported():
    shown = flexural_strength([replace(c, face_up=True) for c in coupon_set()])
    assert shown is not None
    assert shown.shortcomings == (message("coupons-one-sided", up=6, count=6),)


def test_stubby_coupons_are_reported():
    shown = flexural_strength([replace(c, span_m=0.1) for c in coupon_set()])
    assert shown is not None
    assert shown.shortcomings == (message("coupons-odd-span", count=6, **{"from": "16", "to": "30"}),)


def test_wild_scatter_gives_no_strength():
    loads = (480.0, 30.0, 500.0, 20.0, 490.0, 25.0)
    wild = [replace(c, peak_load_n=n, limit_load_n=n) for c, n in zip(coupon_set(), loads, strict=True)]
    shown = flexural_strength(wild)
    assert shown is not None
    assert message("coupons-scatter") in shown.shortcomings


def test_pours_and_ages_are_kept_apart():
    young = [replace(c, age_d=7.0) for c in coupon_set()]
    other = [replace(c, pour="B") for c in coupon_set()]
    with pytest.raises(ValueError, match=r"coupons-of-several-pours \(pours = \('A', 'B'\)\)"):
        flexural_strength(coupon_set() + other)
    with pytest.raises(ValueError, match=r"coupons-of-several-ages \(ages = \('7', '28'\)\)"):
        flexural_strength(coupon_set() + young)
    shown = flexural_strengths(other + coupon_set() + young)
    assert [(s.pour, s.age_d, s.count) for s in shown] == [("A", 7.0, 6), ("A", 28.0, 6), ("B", 28.0, 6)]


def bilinear(seat_m: float = 0.0, drop_n: float = 0.0) -> tuple[np.ndarray, np.ndarray]:
    """100 N/mm up to 60 N, then 20 N/mm up to 120 N; seat_m of slack before it, drop_n lost at the first crack."""
    deflection = np.concatenate([np.linspace(0.0, 0.6e-3, 61), np.linspace(0.601e-3, 3.6e-3, 300)])
    load = np.where(deflection <= 0.6e-3, 1e5 * deflection, 60.0 - drop_n + 2e4 * (deflection - 0.6e-3))
    return deflection + seat_m, load


def test_the_limit_of_proportionality_is_found_by_offset():
    # first principles: 1e5·(x − 0.1e-3) meets 60 + 2e4·(x − 0.6e-3) at x = 0.725 mm, 62.5 N
    assert limit_load_n(*bilinear(), offset_m=0.1e-3) == approx(62.5, abs=0.01)
    assert limit_load_n(*bilinear(seat_m=0.3e-3), offset_m=0.1e-3) == approx(62.5, abs=0.01)
    assert limit_load_n(*bilinear(), offset_m=0.01e-3) == approx(60.25, abs=0.01)


def test_a_drop_at_the_first_crack_ends_the_proportional_part():
    assert limit_load_n(*bilinear(drop_n=20.0), offset_m=0.05e-3) == approx(60.0)


def test_a_slip_while_seating_is_not_the_limit():
    deflection, load = bilinear()
    load[(deflection > 0.08e-3) & (deflection < 0.10e-3)] = 4.0
    assert limit_load_n(deflection, load, offset_m=0.02e-3) == approx(60.5, abs=0.01)


def test_a_brittle_coupon_is_proportional_up_to_its_break():
    deflection = np.linspace(0.0, 0.6e-3, 61)
    assert limit_load_n(deflection, 1e5 * deflection, offset_m=0.05e-3) == approx(60.0)


def test_points_after_the_highest_load_do_not_count():
    deflection, load = bilinear()
    tail = deflection[-1] + np.array([1e-3, 0.5e-3])
    extended = limit_load_n(np.append(deflection, tail), np.append(load, [50.0, 10.0]), offset_m=0.1e-3)
    assert extended == approx(limit_load_n(deflection, load, offset_m=0.1e-3))


@settings(max_examples=25, deadline=None)
@given(st.lists(st.floats(1e6, 30e6), min_size=6, max_size=20))
def test_the_tolerance_limit_is_the_stricter_one(values):
    spread = spread_of(values)
    assert spread.tolerance_pa <= spread.characteristic_pa <= spread.mean_pa + 1e-6


def test_factors_fall_toward_the_normal_fractile():
    # source: standard normal distribution, 1.645 at 5 %
    for factor in (characteristic_factor, tolerance_factor):
        assert factor(6) > factor(12) > factor(100) > 1.645
    assert characteristic_factor(100_000) == approx(1.645, abs=0.001)


def test_impossible_coupons_are_refused():
    curve = bilinear()
    for call, said in (
        (
            lambda: third_point_stress_pa(180.0, 0.2, 0.05, 0.0),
            r"figure-not-positive \(name = quantity-coupon-depth, value = figure-length \(value_m = 0\.0\)\)",
        ),
        (
            lambda: replace(ONE, peak_load_n=-1.0, limit_load_n=None),
            r"name = quantity-coupon-load, value = figure-force \(value_n = -1\.0\)",
        ),
        (lambda: replace(ONE, age_d=0.0), r"coupon-age \(pour = A, days = 0\)"),
        (lambda: replace(ONE, limit_load_n=500.0), r"coupon-limit \(pour = A, limit_n = 500\.0, peak_n = 480\.0\)"),
        (lambda: flexural_strength([ONE]), r"coupons-too-few \(count = 1\)"),
        (lambda: tolerance_factor(6, coverage=95.0), r"strength-share \(name = coverage, value = 95\)"),
        (lambda: tolerance_factor(6, confidence=1.0), r"strength-share \(name = confidence, value = 1\)"),
        (lambda: characteristic_factor(6, fractile=0.0), r"strength-share \(name = fractile"),
        (lambda: limit_load_n([0.0, 1.0], [0.0, 1.0], 0.1), "curve-shape"),
        (lambda: limit_load_n(*curve, offset_m=0.0), r"curve-offset \(offset_m = 0\.0\)"),
        (lambda: limit_load_n([0.0, 2.0, 1.0, 3.0], [0.0, 1.0, 2.0, 3.0], 0.1), "curve-not-rising"),
        (
            lambda: limit_load_n([0.0, 1.0, 2.0, 3.0], [0.0, 1.0, 2.0, 3.0], 0.1),
            r"curve-few-points \(count = 0, from_share = 0\.1, to_share = 0\.3\)",
        ),
    ):
        with pytest.raises(ValueError, match=said):
            call()
