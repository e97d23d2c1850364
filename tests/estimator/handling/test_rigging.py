"""Picks, slings, gear loads and vacuum: equilibrium by an independent route, and every refusal."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from estimator.handling import doubts, loads, rigging, vacuum

SQUARE = [(0.0, 0.0), (2.0, 0.0), (2.0, 1.0), (0.0, 1.0)]
coordinates = st.floats(-3.0, 3.0).map(lambda v: round(v, 3))
points = st.tuples(coordinates, coordinates)


def area(triangle):
    (ax, ay), (bx, by), (cx, cy) = triangle
    return abs((bx - ax) * (cy - ay) - (by - ay) * (cx - ax)) / 2.0


def assert_in_equilibrium(places, shares, centre, weight):
    assert sum(shares) == pytest.approx(weight, rel=1e-9)
    for axis in (0, 1):
        moment = sum(share * (place[axis] - centre[axis]) for share, place in zip(shares, places, strict=True))
        assert moment == pytest.approx(0.0, abs=1e-6 * weight)


@settings(max_examples=120, deadline=None)
@given(st.lists(points, min_size=3, max_size=3), st.floats(0.01, 1), st.floats(0.01, 1), st.floats(0.01, 1))
def test_three_legs_balance_about_the_center_of_gravity(trio, a, b, c):
    assume(area(trio) > 0.05)
    parts = np.array([a, b, c]) / (a + b + c)
    centre = tuple(float(v) for v in parts @ np.array(trio))
    shares = rigging.pick_shares(trio, centre, 250.0).shares_kg
    assert_in_equilibrium(trio, shares, centre, 250.0)
    assert shares == pytest.approx(tuple(250.0 * parts), rel=1e-6, abs=1e-6)


@settings(max_examples=80, deadline=None)
@given(points, points, st.floats(0.0, 1.0))
def test_two_legs_balance_about_the_center_of_gravity(one, other, part):
    assume(np.hypot(one[0] - other[0], one[1] - other[1]) > 0.1)
    centre = tuple((1 - part) * a + part * b for a, b in zip(one, other, strict=True))
    shares = rigging.pick_shares([one, other], centre, 80.0).shares_kg
    assert_in_equilibrium([one, other], shares, centre, 80.0)
    assert min(shares) >= 0.0


@settings(max_examples=60, deadline=None)
@given(st.floats(0.05, 1.95), st.floats(0.05, 0.95))
def test_four_legs_on_a_rigid_piece_get_the_most_that_any_equilibrium_gives(x, y):
    # independent route: a linear program over all leg loads that hold the piece
    matrix = [[1.0] * 4, [p[0] for p in SQUARE], [p[1] for p in SQUARE]]
    found = rigging.pick_shares(SQUARE, (x, y), 100.0).shares_kg
    for leg in range(4):
        cost = [0.0] * 4
        cost[leg] = -1.0
        best = -linprog(cost, A_eq=matrix, b_eq=[100.0, 100.0 * x, 100.0 * y], bounds=[(0, None)] * 4).fun
        assert found[leg] == pytest.approx(best, abs=1e-6)
    assert sum(found) >= 100.0 - 1e-9


@settings(max_examples=80, deadline=None)
@given(st.floats(30, 90), st.floats(30, 90), st.floats(0, 1e4))
def test_a_steeper_sling_never_has_more_tension(one, other, share):
    flat, steep = sorted((one, other))
    steeper = rigging.sling_leg_tension(share, steep, "horizontal")
    assert share <= steeper <= rigging.sling_leg_tension(share, flat, "horizontal")


@settings(max_examples=50, deadline=None)
@given(st.floats(0.3, 1.7), st.floats(0.2, 0.8), st.floats(1.8, 6.0))
def test_pulls_of_three_legs_to_the_hook_cancel_sideways(x, y, height):
    trio = [(0.0, 0.0), (2.0, 0.0), (1.0, 1.2)]
    try:
        shares = rigging.pick_shares(trio, (x, y), 90.0).shares_kg
    except ValueError:
        assume(False)
    legs = rigging.legs_to_hook(trio, shares, (x, y), height)
    pull = np.zeros(3)
    for place, leg in zip(trio, legs, strict=True):
        along = np.array([x - place[0], y - place[1], height])
        pull += leg.tension_kg * along / np.linalg.norm(along)
    assert pull == pytest.approx(np.array([0.0, 0.0, 90.0]), abs=1e-6)


def test_hook_height_gives_the_angle():
    flattest = rigging.hook_height_for(SQUARE, (1.0, 0.5), 30.0, "horizontal")
    assert len(rigging.legs_to_hook(SQUARE, [25.0] * 4, (1.0, 0.5), flattest)) == 4  # 30° itself is allowed
    height = rigging.hook_height_for(SQUARE, (1.0, 0.5), 60.0, "horizontal")
    legs = rigging.legs_to_hook(SQUARE, [25.0] * 4, (1.0, 0.5), height)
    assert [leg.angle_from_horizontal_deg for leg in legs] == pytest.approx([60.0] * 4)


def test_the_rule_for_picks_gives_equal_hog_and_sag():
    # first principles: a²/2 = 1/8 − a/2 + ... at a = (√2 − 1)/2
    first = rigging.TWO_POINT_PART
    assert first**2 / 2 == pytest.approx((1 / 2 - first) / 2 - 1 / 8)


def test_gear_loads_are_given_by_stage_and_only_stripping_counts_adhesion():
    found = loads.gear_loads({"install": 60.0, "strip": 62.0}, 1200 / 9.80665, {"strip": 1.3, "install": 1.2})
    assert [load.stage for load in found] == ["strip", "install"]
    assert found[0].load_kg == pytest.approx((62.0 + 1200 / 9.80665) * 1.3)
    assert found[1].adhesion_kg == 0.0
    assert found[1].load_kg == pytest.approx(72.0)


def test_a_missing_rating_is_flagged_and_never_assumed():
    assert doubts.check_rating("rack", 100.0, None).verdict == "missing"
    assert doubts.check_rating("rack", 100.0, 100.0).verdict == "within"
    assert doubts.check_rating("rack", 100.1, 100.0).verdict == "over"
    assert loads.InsertCheck(100.0, 4.0, None).verdict == "untested"
    assert loads.InsertCheck(100.0, 4.0, 400.0).shown_safe
    assert loads.InsertCheck(100.0, 4.0, 399.0).verdict == "not-enough"


def test_vacuum_on_a_porous_face_needs_a_leak_test():
    assert vacuum.pads_needed(300.0, 150.0) == 2
    assert vacuum.pads_needed(300.1, 150.0) == 3
    assert lift(2, 300.0).shown_safe
    assert lift(2, 300.0, leak_tested=False).verdict == "untested"
    assert lift(1, 301.0).verdict == "not-enough"


def lift(pads: int, load_kg: float, *, leak_tested: bool = True) -> vacuum.VacuumLift:
    """Pads of 250 mm at 60 kPa that pull straight, 150.15 kg each."""
    return vacuum.VacuumLift(pads, load_kg, vacuum.Pad(0.250, 60e3, 1.0, 2.0, leak_tested))


SINK = [(0.5, 0.2), (1.1, 0.2), (1.1, 0.8), (0.5, 0.8)]


def test_picks_on_the_piece_are_accepted():
    rigging.check_pick_places([(0.2, 0.5), (1.8, 0.5)], SQUARE, [SINK], edge_distance_m=0.2)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: rigging.check_pick_places([(2.5, 0.5)], SQUARE), r"pick-outside .*number = 1, x_m = 2.5, y_m = 0.5"),
        (lambda: rigging.check_pick_places([(0.2, 0.5), (0.8, 0.5)], SQUARE, [SINK]), r"pick-in-cutout .*number = 2"),
        (
            lambda: rigging.check_pick_places([(0.45, 0.5)], SQUARE, [SINK], 0.1),
            r"pick-near-edge .*distance_m = 0.0(5|4999+)\d*, least_m = 0.1",
        ),
        (lambda: rigging.pick_shares(SQUARE, (2.5, 0.5), 10.0), r"picks-around-nothing \(x_m = 2.5"),
        (lambda: rigging.pick_shares(SQUARE[:3], (0.1, 0.9), 10.0), "picks-around-nothing"),
        (lambda: rigging.pick_shares([(0, 0), (1, 0)], (1.2, 0), 10.0), "picks-around-nothing"),
        (lambda: rigging.pick_shares([(0, 0), (1, 0)], (0.5, 0.1), 10.0), r"picks-off-line \(distance_m = 0.1"),
        (lambda: rigging.pick_shares([(0, 0), (1, 0), (2, 0)], (1, 0), 10.0), "picks-around-nothing"),
        (lambda: rigging.pick_shares([(0, 0), (0, 0)], (0, 0), 10.0), "picks-at-one-place"),
        (
            lambda: rigging.pick_shares([(0, 0)], (0.5, 0), 10.0),
            r"pick-off-center \(distance_m = 0.5",
        ),
        (lambda: rigging.pick_shares([(0, 0)] * 5, (0, 0), 10.0), r"picks-too-many \(count = 5"),
        (lambda: rigging.pick_shares(SQUARE, (1, 0.5), 0.0), r"figure-not-positive \(name = quantity-weight"),
        (
            lambda: rigging.sling_leg_tension(1.0, 29.9, "horizontal"),
            r"sling-angle-outside \(degrees = 29.9",
        ),
        (
            lambda: rigging.sling_leg_tension(1.0, 61.0, "vertical"),
            r"sling-angle-outside \(degrees = 29.0, least = 30.0",
        ),
        (
            lambda: rigging.sling_leg_tension(1.0, 60.0, None),
            r"sling-angle-without-reference \(degrees = 60",
        ),
        (
            lambda: rigging.sling_leg_tension(1.0, 60.0, "deck"),
            r"choice-unknown \(name = quantity-sling-angle-measured-from",
        ),
        (
            lambda: rigging.legs_to_hook([(0, 0), (4, 0)], [5, 5], (2, 0), 1.0),
            r"sling-angle-outside \(degrees = 26.56",
        ),
        (lambda: rigging.hook_height_for(SQUARE, (1, 0.5), 0.0, "vertical"), "hook-at-no-height"),
        (lambda: loads.gear_loads({"strip": 5.0}, 100.0, {}), r"dynamic-factor-missing \(stage = strip"),
        (
            lambda: loads.gear_loads({"yard": 5.0}, 100.0, {"yard": 0.9}),
            r"dynamic-factor-low-at \(stage = yard, factor = 0.9",
        ),
        (lambda: loads.gear_loads({"swim": 5.0}, 100.0, {}), r"choice-unknown \(name = quantity-stage"),
        (
            lambda: vacuum.Pad(0.2, 2e5, 1.0, 2.0, leak_tested=True),
            r"figure-outside \(name = quantity-vacuum-below-the-atmosphere",
        ),
        (lambda: loads.InsertCheck(0.0, 4.0, None), r"figure-not-positive \(name = quantity-load-on-the-insert"),
        (lambda: vacuum.pads_needed(5.0, 0.0), r"figure-not-positive \(name = quantity-capacity-of-one-pad"),
        (lambda: doubts.check_rating("rack", 5.0, 0.0), r"figure-not-positive \(name = quantity-rating"),
    ],
)
def test_refusals_state_the_fault(call, message):
    with pytest.raises(ValueError, match=message):
        call()
