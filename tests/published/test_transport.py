"""Tie-downs, forklifts and tipping against their printed figures."""

from __future__ import annotations

import pytest

from estimator.handling import transport

FOOT_M = 0.3048
POUND_KG = 0.45359237


@pytest.mark.parametrize(
    ("feet", "pounds", "count"),
    [
        (5, 1100, 1),
        (5, 1101, 2),
        (5.1, 200, 2),
        (10, 5000, 2),
        (10.1, 200, 3),
        (12, 2000, 3),
        (20, 2000, 3),
        (21, 1, 4),
    ],
)
def test_the_number_of_tie_downs_goes_by_length_and_weight(feet, pounds, count):
    # source: 49 CFR 393.110 (read)
    assert transport.tie_downs(feet * FOOT_M, pounds * POUND_KG).count == count


def test_the_working_load_of_tie_downs_is_half_the_cargo():
    # source: 49 CFR 393.106 (read): 2,000 lb needs 1,000 lb
    least = transport.tie_downs(12 * FOOT_M, 2000 * POUND_KG)
    assert least.working_load_kg / POUND_KG == pytest.approx(1000.0)


def test_forklift_capacity_falls_with_the_load_center():
    # source: lift-truck operator training (read): 5,000 lb at 24 in with the load at 28 in; 4,000 at 24, load at 36
    assert transport.forklift_capacity(5000.0, 24.0, 28.0) == pytest.approx(4285.0, abs=1.0)
    assert transport.forklift_capacity(4000.0, 24.0, 36.0) == pytest.approx(2666.0, abs=1.0)
    assert transport.forklift_capacity(5000.0, 24.0, 18.0) == 5000.0


def test_a_slab_on_edge_tips_at_two_degrees():
    # source: statics (worked case): .65 m high, 25 mm thick; always restrained (OSHA SHIB 09-08-2005, read)
    assert transport.tipping_angle(0.65, 0.025) == pytest.approx(2.2, abs=0.05)
