"""Sling tensions, pick shares, inserts, adhesion and vacuum against printed figures."""

from __future__ import annotations

import pytest

from estimator.handling import loads, rigging, vacuum


@pytest.mark.parametrize(("angle", "factor"), [(60.0, 1.155), (45.0, 1.414), (30.0, 2.000)])
def test_sling_factors_are_those_of_the_charts(angle, factor):
    # source: ASME B30.9 practice, sling charts (read)
    assert rigging.sling_leg_tension(1.0, angle, "horizontal") == pytest.approx(factor, abs=0.0005)
    assert rigging.sling_leg_tension(1.0, 90.0 - angle, "vertical") == pytest.approx(factor, abs=0.0005)


def test_two_leg_slings_have_the_tension_of_the_examples():
    # source: ASME B30.9 practice (read): 2,000 lb at 60° is 1,154 each (1,154.7), 1,000 lb at 45° is 707
    assert rigging.sling_leg_tension(1000.0, 60.0, "horizontal") == pytest.approx(1154.0, abs=1.0)
    assert rigging.sling_leg_tension(500.0, 45.0, "horizontal") == pytest.approx(707.0, abs=0.5)


def test_an_off_center_load_is_shared_by_lever_and_the_horizontal_pulls_balance():
    # source: rigging guide (read): 10,000 lb, 2 ft from pick 2 and 8 ft from pick 1
    pair = [(0.0, 0.0), (10.0, 0.0)]
    shares = rigging.pick_shares(pair, (8.0, 0.0), 10_000.0).shares_kg
    assert shares == pytest.approx((2000.0, 8000.0))
    first, second = rigging.legs_to_hook(pair, shares, (8.0, 0.0), hook_height_m=6.0)
    assert first.horizontal_kg == pytest.approx(second.horizontal_kg)
    assert first.tension_kg == pytest.approx((2000**2 + first.horizontal_kg**2) ** 0.5)


def test_a_rigid_four_leg_lift_counts_on_two_legs():
    # source: EN 818-4 and anchor guides (read): 400 kg at 60° is 230.9 kg a leg
    corners = [(0.0, 0.0), (2.0, 0.0), (2.0, 1.0), (0.0, 1.0)]
    shared = rigging.pick_shares(corners, (1.0, 0.5), 400.0)
    assert shared.shares_kg == pytest.approx((200.0,) * 4)
    assert not shared.determinate
    assert rigging.sling_leg_tension(max(shared.shares_kg), 60.0, "horizontal") == pytest.approx(230.9, abs=0.05)


def test_three_picks_share_the_load_of_the_worked_case():
    # source: statics (worked case): 300 kg
    shares = rigging.pick_shares([(0, 0), (2, 0), (0, 1.5)], (0.6, 0.5), 300.0).shares_kg
    assert shares == pytest.approx((110.0, 90.0, 100.0))


def test_adhesion_decides_the_strip_load_of_a_thin_skin():
    # source: trade guides (read): oiled steel 1.0 kN/m²; a 25 mm skin of 2,100 kg/m³ weighs 0.515 kN/m²
    skin_kg = 0.025 * 2100.0
    (strip,) = loads.gear_loads(
        {"strip": skin_kg},
        loads.adhesion_mass(1.0, 1000.0),
        {"strip": 1.0},
    )
    assert skin_kg * 9.80665 / 1000 == pytest.approx(0.515, abs=0.0005)
    assert strip.load_kg / strip.weight_kg == pytest.approx(2.9, abs=0.05)
    assert strip.load_kg > 1.3 * skin_kg  # a flat factor of 1.3 is unsafe


def test_a_vacuum_pad_holds_the_printed_load():
    # source: EN 13155 practice (read): 250 mm at 60 kPa; printed 150.1 and 75.06 kg take g as 9.81, hence 0.05 %
    flat = vacuum.VacuumLift(1, 100.0, vacuum.Pad(0.250, 60e3, friction=1.0, factor=2.0, leak_tested=True))
    upright = vacuum.VacuumLift(1, 100.0, vacuum.Pad(0.250, 60e3, friction=0.5, factor=2.0, leak_tested=True))
    assert flat.capacity_kg * 2.0 * 9.80665 == pytest.approx(2945.0, abs=0.5)  # N, the holding force
    assert flat.capacity_kg == pytest.approx(150.1, rel=5e-4)
    assert upright.capacity_kg == pytest.approx(75.06, rel=5e-4)
