"""Loads, trips, straps, stacks, anchors and overhangs: balances, properties and refusals."""

from __future__ import annotations

from itertools import pairwise
from math import ceil

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimator.handling import in_use, transport
from estimator.words import PLAIN

G = 9.80665


@settings(max_examples=80, deadline=None)
@given(st.lists(st.floats(1.0, 1000.0), max_size=14))
def test_every_load_goes_on_one_trip_and_no_trip_is_over_the_payload(weights):
    trips = transport.truck_trips(weights, 1000.0)
    assert sorted(index for trip in trips for index in trip) == list(range(len(weights)))
    assert all(sum(weights[i] for i in trip) <= 1000.0 + 1e-6 for trip in trips)
    fewest = ceil(sum(weights) / 1000.0 - 1e-9)
    assert fewest <= len(trips) <= max(1, 2 * fewest)


def first_fit(weights, payload_kg, depths_m, room_m):
    """Each load on the first trip with room, found by asking every earlier trip."""
    trips, room_kg, left_m = [], [], []
    for index in sorted(range(len(weights)), key=lambda i: (-weights[i], i)):
        weight, depth_m = weights[index], depths_m[index]
        for trip, room in enumerate(room_kg):
            if weight <= room + 1e-9 and depth_m <= max(left_m[trip]) + 1e-9:
                trips[trip].append(index)
                room_kg[trip] -= weight
                left_m[trip] = [max(left_m[trip]) - depth_m, min(left_m[trip])]
                break
        else:
            trips.append([index])
            room_kg.append(payload_kg - weight)
            left_m.append([room_m - depth_m, room_m])
    return tuple(tuple(trip) for trip in trips)


@settings(max_examples=300, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.one_of(st.floats(0.0, 1000.0), st.sampled_from([0.0, 250.0, 500.0, 1000.0])),
            st.one_of(st.floats(0.0, 0.5), st.sampled_from([0.0, 0.1, 0.3, 0.4])),  # 0.4 fits on no side
        ),
        max_size=70,
    )
)
def test_the_first_trip_with_room_is_the_one_that_a_search_of_all_trips_finds(loads):
    weights, depths_m = [kg for kg, _ in loads], [m for _, m in loads]
    assert transport.truck_trips(weights, 1000.0, depths_m, 0.3) == first_fit(weights, 1000.0, depths_m, 0.3)
    inf, none = float("inf"), [0.0] * len(loads)
    assert transport.truck_trips(weights, 1000.0) == first_fit(weights, 1000.0, none, inf)


def test_straps_meet_number_and_working_load():
    least = transport.TieDowns(2, 900.0)
    assert transport.straps_needed(least, 1000.0) == 2
    assert transport.straps_needed(least, 300.0) == 3


def test_a_rack_without_a_rating_does_not_count_as_safe():
    loaded = transport.stored_load("A-frame", [60.0, 60.0, 55.0], 40.0, 1.2, None)
    assert loaded.gross.verdict == "missing"
    assert not loaded.shown_safe
    assert (loaded.floor_kg, loaded.floor_kg_m2) == (215.0, pytest.approx(215.0 / 1.2))
    assert transport.stored_load("pallet", [500.0], 20.0, 1.2, 1100.0).shown_safe


def test_a_stack_tips_as_statics_says():
    # first principles: center of gravity 0.5 m up over a 1.0 m base tips at 45° and at 1 g
    assert transport.tips_at_g(0.5, 1.0, 0.0) == pytest.approx(1.0)
    assert transport.tipping_angle(1.0, 1.0) == pytest.approx(45.0)
    assert transport.tips_at_g(0.7, 1.0, 0.0) < 0.8  # braking alone tips it
    assert transport.tips_at_g(0.5, 1.0, 0.25) == pytest.approx(0.5)


@settings(max_examples=60, deadline=None)
@given(st.floats(5.0, 300.0), st.floats(0.0, 2.0), st.floats(0.0, 0.3), st.floats(0.2, 3.0))
def test_two_anchors_balance_weight_and_couple(weight, centre, out, lever):
    hung = in_use.hung_panel(weight, [0.0, 2.0], centre, out, lever)
    assert sum(hung.bearing_kg) == pytest.approx(weight)
    assert hung.bearing_kg[1] * 2.0 == pytest.approx(weight * centre, abs=1e-9)
    assert sum(hung.pull_n) == pytest.approx(hung.push_n)
    assert hung.push_n * lever == pytest.approx(weight * G * out)


def test_more_than_two_anchors_are_not_assumed_to_share():
    hung = in_use.hung_panel(100.0, [0.0, 1.0, 2.0], 1.0, 0.1, 1.5)
    assert hung.bearing_kg == pytest.approx((50.0, 100.0, 50.0))
    assert "licensed engineer" in PLAIN.text(hung.note)


def test_overhangs_are_flagged_and_brackets_proposed_not_designed():
    # common practice: a bracket each 16 to 24 in
    inch = 0.0254
    within = in_use.check_overhang(1.8, 6 * inch, 0.2, allowed_m=6 * inch, bracket_spacing_m=24 * inch)
    assert not within.needs_support
    assert within.bracket_places_m == ()
    assert in_use.check_overhang(1.8, 7 * inch, 0.2, allowed_m=6 * inch, bracket_spacing_m=24 * inch).needs_support
    long = in_use.check_overhang(1.8, 10 * inch, -0.01, allowed_m=6 * inch, bracket_spacing_m=24 * inch)
    assert long.needs_support
    assert not long.stays_put
    assert "Have an engineer size the brackets" in PLAIN.text(long.bracket_note)
    assert len(long.bracket_places_m) == 3


@settings(max_examples=60, deadline=None)
@given(st.floats(0.9, 6.0))
def test_brackets_are_sixteen_to_twenty_four_inches_apart(length):
    places = in_use.bracket_places(length, 24 * 0.0254)
    bays = [b - a for a, b in pairwise(places)]
    assert all(16 * 0.0254 - 1e-9 <= bay <= 24 * 0.0254 + 1e-9 for bay in bays)
    assert places[0] == pytest.approx(length - places[-1])


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (
            lambda: transport.truck_trips([1200.0], 1000.0),
            r"load-over-payload \(load_kg = 1200.0, ",
        ),
        (lambda: transport.truck_trips([1.0], 0.0), r"figure-not-positive \(name = quantity-truck-payload"),
        (lambda: transport.stored_load("rack", [-1.0], 0.0, 1.0, None), r"figure-negative \(name = quantity-weight-on"),
        (
            lambda: transport.stored_load("rack", [1.0], 0.0, 0.0, None),
            r"figure-not-positive \(name = quantity-footprint",
        ),
        (lambda: transport.tie_downs(0.0, 10.0), r"figure-not-positive \(name = quantity-length-of-the-article"),
        (lambda: transport.forklift_capacity(0.0, 0.6, 0.7), r"figure-not-positive \(name = quantity-rated-capacity"),
        (
            lambda: transport.tips_at_g(0.5, 1.0, 0.6),
            r"figure-outside \(name = quantity-offset-of-the-center-of-gravity",
        ),
        (lambda: in_use.hung_panel(10.0, [0.5], 0.5, 0.0, 1.0), r"anchors-too-few \(count = 1"),
        (lambda: in_use.hung_panel(10.0, [0.0, 1.0], 1.5, 0.0, 1.0), r"anchors-off-center \(center_m = 1.5"),
        (
            lambda: in_use.hung_panel(10.0, [0.0, 1.0], 0.5, 0.1, 0.0),
            r"figure-not-positive \(name = quantity-lever-between-anchors-and-foot",
        ),
        (
            lambda: in_use.check_overhang(1.0, -0.1, 0.1, allowed_m=0.1, bracket_spacing_m=0.6),
            r"figure-negative \(name = quantity-overhang",
        ),
    ],
)
def test_refusals_state_the_fault(call, message):
    with pytest.raises(ValueError, match=message):
        call()
