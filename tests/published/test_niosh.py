"""The revised NIOSH lifting equation against the examples and tables of publication 94-110 (rev. 9/2021)."""

from __future__ import annotations

import re

import pytest

from estimator.handling import niosh
from estimator.handling.niosh import METRIC, US, HandsAt

INCH_M = 0.0254
POUND_KG = 0.45359237


def hands_in(reach: float, height: float, asymmetry: float = 0.0) -> HandsAt:
    return HandsAt(reach * INCH_M, height * INCH_M, asymmetry)


def rwl_lb(hands: HandsAt, travel_in: float, fm: float, coupling: str) -> float:
    return niosh.recommended_weight(hands, travel_in * INCH_M, fm, coupling, US).rwl_kg / POUND_KG


def test_the_ideal_lift_recommends_the_load_constant_in_both_unit_systems():
    # source: NIOSH 94-110, p. 7 (read)
    assert rwl_lb(hands_in(10, 30), 10, 1.0, "good") == pytest.approx(51.0, rel=1e-12)
    metric = niosh.recommended_weight(HandsAt(0.25, 0.75), 0.25, 1.0, "good", METRIC)
    assert metric.rwl_kg == pytest.approx(23.0, rel=1e-12)


def test_the_vertical_multiplier_is_as_printed_at_the_floor_and_at_the_top():
    # source: NIOSH 94-110, p. 7-10 (read); the table prints .78 for .775
    assert niosh.vertical_multiplier(0.0, US) == pytest.approx(0.775, abs=1e-12)
    assert niosh.vertical_multiplier(70 * INCH_M, US) == pytest.approx(0.70, abs=1e-12)


def test_the_frequency_multiplier_is_interpolated_between_rows():
    # source: NIOSH 94-110, p. 10 (read): .91 at 2, .88 at 3 per minute
    assert niosh.frequency_multiplier(2.4, 1.0, 0.5) == pytest.approx(0.898, abs=1e-12)


@pytest.mark.parametrize(
    ("hours", "low", "high_only"),
    [
        (1.0, [1.00, 0.97, 0.94, 0.91, 0.88, 0.84, 0.80, 0.75, 0.70, 0.60, 0.52, 0.45, 0.41, 0.37], [0.34, 0.31, 0.28]),
        (2.0, [0.95, 0.92, 0.88, 0.84, 0.79, 0.72, 0.60, 0.50, 0.42, 0.35, 0.30, 0.26], [0.23, 0.21]),
        (8.0, [0.85, 0.81, 0.75, 0.65, 0.55, 0.45, 0.35, 0.27, 0.22, 0.18], [0.15, 0.13]),
    ],
)
def test_every_row_of_the_frequency_table_is_as_printed(hours, low, high_only):
    # source: NIOSH 94-110, table 5 (read in copies)
    rates = [0.2, 0.5, *range(1, 16)]
    for rate, printed in zip(rates, low + high_only, strict=False):
        assert niosh.frequency_multiplier(rate, hours, 30 * INCH_M, US) == pytest.approx(printed, abs=1e-12)
        below = printed if rate in rates[: len(low)] else 0.0
        assert niosh.frequency_multiplier(rate, hours, 29.9 * INCH_M, US) == pytest.approx(below, abs=1e-12)
    assert niosh.frequency_multiplier(rates[len(low + high_only) - 1] + 0.01, hours, 1.0) == 0.0
    assert niosh.frequency_multiplier(0.05, hours, 0.0) == low[0]


def test_example_4_the_destination_decides_where_placing_needs_control():
    # source: NIOSH 94-110, example 4, p. 46 (H and F from memory): 34.9 printed from two-place multipliers, 15.2
    lift = niosh.assess_lift(26 * POUND_KG, hands_in(10, 22), hands_in(20, 59), 3.0, 1.0, "fair", form=US)
    assert lift.origin.rwl_kg / POUND_KG == pytest.approx(34.8, abs=0.05)
    assert lift.destination.rwl_kg / POUND_KG == pytest.approx(15.2, abs=0.06)
    assert lift.lifting_index == pytest.approx(1.7, abs=0.05)
    assert lift.above_guideline
    let_go = niosh.assess_lift(
        26 * POUND_KG, hands_in(10, 22), hands_in(20, 59), 3.0, 1.0, "fair", controlled_placing=False, form=US
    )
    assert let_go.rwl_kg == lift.origin.rwl_kg
    assert not let_go.above_guideline


def test_example_1_agrees_at_full_precision_and_with_the_printed_two_places():
    # source: NIOSH 94-110, example 1 (from memory): 16.3 and 14.5 lb, LI 2.7 and 3.0, with HM printed as .44
    lift = niosh.assess_lift(44 * POUND_KG, hands_in(23, 15), hands_in(23, 64), 0.2, 1.0, "fair", form=US)
    origin, destination = lift.origin, lift.destination
    assert origin.rwl_kg / POUND_KG == pytest.approx(16.0, abs=0.05)
    assert destination.rwl_kg / POUND_KG == pytest.approx(14.15, abs=0.02)
    assert niosh.lifting_index(lift.load_kg, origin.rwl_kg) == pytest.approx(2.75, abs=0.005)
    assert lift.lifting_index == pytest.approx(3.11, abs=0.005)
    printed = 51 * 0.44 * round(origin.vertical + 1e-9, 2) * round(origin.distance, 2) * 0.95
    assert printed == pytest.approx(16.3, abs=0.06)


def test_example_3_agrees_with_asymmetry():
    # source: NIOSH 94-110, example 3 (from memory): 18.9 lb printed from two-place multipliers, 18.52 at full precision
    rwl = rwl_lb(hands_in(18, 15, 45.0), 21, 1.0, "fair")
    assert rwl == pytest.approx(18.52, abs=0.005)
    assert 40 / rwl == pytest.approx(2.16, abs=0.005)


def test_the_reach_rule_applies_where_reach_was_not_measured():
    # source: NIOSH 94-110, p. 8 (read)
    assert niosh.reach_when_unknown(0.40, 0.25) == pytest.approx(0.40)
    assert niosh.reach_when_unknown(0.40, 0.24) == pytest.approx(0.45)
    assert niosh.reach_when_unknown(12 * INCH_M, 10 * INCH_M, US) / INCH_M == pytest.approx(14.0)
    assert niosh.reach_when_unknown(12 * INCH_M, 9 * INCH_M, US) / INCH_M == pytest.approx(16.0)


def test_the_coupling_multipliers_are_those_of_the_table():
    # source: NIOSH 94-110, table 7 (read)
    low, high = 0.74, 0.75
    table = {c: (niosh.coupling_multiplier(c, low), niosh.coupling_multiplier(c, high)) for c in niosh.COUPLINGS}
    assert table == {"good": (1.0, 1.0), "fair": (0.95, 1.0), "poor": (0.9, 0.9)}


def test_the_limits_of_the_equation_are_included_and_beyond_them_no_weight_is_recommended():
    # source: NIOSH 94-110, p. 7-9 (read)
    assert niosh.horizontal_multiplier(25 * INCH_M, US) == pytest.approx(0.4)
    assert niosh.horizontal_multiplier(25.01 * INCH_M, US) == 0.0
    assert niosh.horizontal_multiplier(0.63) == pytest.approx(25 / 63)
    assert niosh.horizontal_multiplier(0.631) == 0.0
    assert niosh.horizontal_multiplier(0.10) == 1.0
    assert niosh.vertical_multiplier(1.75) == pytest.approx(0.70)
    assert niosh.vertical_multiplier(1.76) == 0.0
    assert niosh.distance_multiplier(0.10) == pytest.approx(1.0)
    assert niosh.distance_multiplier(1.75) == pytest.approx(0.85, abs=0.005)
    assert niosh.distance_multiplier(1.76) == 0.0
    assert niosh.asymmetry_multiplier(135.0) == pytest.approx(0.568)
    assert niosh.asymmetry_multiplier(135.1) == 0.0
    assert niosh.lifting_index(1.0, 0.0) == float("inf")


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (
            lambda: niosh.horizontal_multiplier(-0.1),
            "figure-negative (name = quantity-horizontal-reach-h, value = figure-length (value_m = -0.1))",
        ),
        (lambda: niosh.vertical_multiplier(float("nan")), "figure-not-finite (name = quantity-hand-height-v)"),
        (
            lambda: niosh.distance_multiplier(-1.0),
            "figure-negative (name = quantity-vertical-travel-d, value = figure-length (value_m = -1.0))",
        ),
        (
            lambda: niosh.asymmetry_multiplier(200.0),
            "figure-outside (name = quantity-asymmetry-angle-a, value = 200°, least = 0°, most = 180°)",
        ),
        (lambda: niosh.frequency_multiplier(1.0, 9.0, 0.5), "lifting-duration (hours = 9"),
        (lambda: niosh.frequency_multiplier(1.0, 0.0, 0.5), "lifting-duration (hours = 0"),
        (
            lambda: niosh.frequency_multiplier(-1.0, 1.0, 0.5),
            "figure-negative (name = quantity-lifting-frequency-f",
        ),
        (
            lambda: niosh.coupling_multiplier("sticky", 0.5),
            "choice-unknown (name = quantity-coupling, value = sticky, choices = good, fair, poor)",
        ),
        (
            lambda: niosh.lifting_index(-1.0, 5.0),
            "figure-negative (name = quantity-load",
        ),
    ],
)
def test_impossible_input_is_refused(call, message):
    with pytest.raises(ValueError, match="^" + re.escape(message)):
        call()
