"""Access: exact plane geometry against a brute-force search, and seams that avoid the sink."""

from __future__ import annotations

from itertools import pairwise
from math import pi, sqrt

import numpy as np
import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from estimator.handling import access
from estimator.handling.access import CLEARANCE_M, Elevator, Opening, PassageCheck, Stairs, Turn
from geometry.message import message

widths = st.floats(0.7, 2.0)


def check_passage(
    sizes_m: tuple[float, float, float], place: Opening | Turn | Stairs | Elevator, clearance_m: float = CLEARANCE_M
) -> PassageCheck:
    return access.check_passage(sizes_m, place, clearance_m)


@settings(max_examples=40, deadline=None)
@given(widths, widths)
def test_a_thin_rod_around_a_turn_has_its_closed_form(a, b):
    # first principles: (a^⅔ + b^⅔)^(3/2)
    assert access.longest_through_turn(a, b, 0.0) == pytest.approx((a ** (2 / 3) + b ** (2 / 3)) ** 1.5)


@settings(max_examples=40, deadline=None)
@given(widths, widths, st.floats(0.0, 0.69))
def test_a_plate_passes_a_turn_by_the_least_length_over_all_angles(a, b, t):
    angles = np.linspace(1e-3, pi / 2 - 1e-3, 20001)
    s, c = np.sin(angles), np.cos(angles)
    brute = float(np.min((a * s + b * c - t) / (s * c)))
    exact = access.longest_through_turn(a, b, t)
    assert exact <= brute + 1e-9
    assert exact == pytest.approx(brute, rel=1e-5)


def test_a_thick_plate_around_a_turn_of_equal_passages_has_a_closed_form():
    # first principles: at 45° by symmetry, L = 2 (√2 a − t)
    assert access.longest_through_turn(1.0, 1.0, 0.2) == pytest.approx(2 * (sqrt(2) - 0.2))
    assert access.longest_through_turn(1.0, 0.5, 0.5) == 0.0


@settings(max_examples=80, deadline=None)
@given(st.floats(0.1, 3.0), st.floats(0.1, 3.0), st.floats(0.5, 2.5), st.floats(0.5, 2.5))
def test_a_rectangle_fits_into_another_as_a_search_over_angles_finds(p, q, a, b):
    angles = np.linspace(0.0, pi / 2, 4001)
    across = p * np.cos(angles) + q * np.sin(angles)
    high = p * np.sin(angles) + q * np.cos(angles)
    slack = np.min(np.maximum(across - a, high - b))
    assume(abs(slack) > 1e-3)  # the search is coarser than the closed form
    assert access.rectangle_fits(p, q, a, b) == (slack < 0)


DOOR = Opening(0.90, 2.05, "front door")
COUNTER = (2.4, 0.65, 0.04)


def test_doors():
    assert check_passage(COUNTER, DOOR).remark == message("passes-straight")
    assert check_passage((2.4, 2.1, 0.04), DOOR).remark == message("passes-tilted")
    assert not check_passage((2.4, 2.3, 0.04), DOOR).passes
    assert not check_passage((1.0, 1.0, 0.95), DOOR).passes
    assert check_passage((2.4, 0.65, 2.0), DOOR, clearance_m=0.0).passes
    assert not check_passage((2.4, 0.90, 2.04), DOOR).passes  # the clearance counts


def test_turns():
    corner = Turn(1.0, 0.9, 2.4, "hall to kitchen")
    longest = access.longest_through_turn(0.95, 0.85, 0.04)
    assert check_passage((longest - 0.001, 0.65, 0.04), corner).remark == message("passes-level")
    assert check_passage((longest + 0.5, 0.65, 0.04), corner).passes is False
    assert check_passage((longest + 0.5, 0.65, 0.04), corner).remark == message("turn-too-tight")
    tall = Turn(0.8, 0.8, 3.2, "stairwell")
    assert check_passage((3.0, 0.65, 0.04), tall).remark == message("passes-on-end")
    assert check_passage((0.9, 0.9, 0.6), Turn(1.0, 1.0, 1.0, "box")).passes  # it does not have to turn
    assert not check_passage((1.0, 0.5, 0.04), Turn(0.05, 1.0, 2.0, "slot")).passes


def test_stairs():
    flight = Stairs(0.85, 1.95, 40.0, "basement")
    assert check_passage(COUNTER, flight).passes
    assert check_passage((2.4, 1.6, 0.04), flight).passes is False  # 1.95 m plumb is 1.49 m square to the slope
    with pytest.raises(ValueError, match=r"figure-outside \(name = quantity-pitch-of-the-stairs"):
        check_passage(COUNTER, Stairs(0.85, 1.95, 80.0, "ladder"))


@pytest.mark.parametrize("size", [(2.4, 1.6, 0.8), (2.4, 0.8, 1.6), (1.6, 0.8, 2.4)])
@pytest.mark.parametrize(("width", "headroom"), [(0.8, 1.6), (1.6, 0.8)])
def test_a_piece_passes_level_stairs_of_exactly_its_size_either_way_up(size, width, headroom):
    for short, passes in ((0.0, True), (1e-6, False)):
        assert check_passage(size, Stairs(width - short, headroom, 0.0), 0.0).passes is passes
        assert check_passage(size, Stairs(width, headroom - short, 0.0), 0.0).passes is passes


def test_elevators():
    car = Elevator(1.10, 1.40, 2.20)
    assert check_passage((2.0, 0.65, 0.04), car).remark == message("passes-on-end")
    assert check_passage((1.6, 0.65, 0.04), Elevator(1.1, 1.4, 0.8)).remark == message(
        "passes-level"
    )  # across the diagonal
    assert check_passage((2.4, 0.25, 0.04), car).remark == message("passes-leant")
    assert not check_passage((2.4, 0.65, 0.04), car).passes
    assert not check_passage((3.2, 0.65, 0.04), car).passes
    assert not check_passage((1.0, 1.0, 0.2), Elevator(0.05, 0.5, 0.5)).passes


def test_the_longest_plate_in_a_plan_is_the_longest_that_fits():
    # independent route: a search over angles
    longest = access._longest_inside(0.04, 1.05, 1.35)
    assert fits_by_search(longest - 0.001, 0.04, 1.05, 1.35)
    assert not fits_by_search(longest + 0.001, 0.04, 1.05, 1.35)


def fits_by_search(p, q, a, b):
    angles = np.linspace(0.0, pi / 2, 20001)
    across, along = p * np.cos(angles) + q * np.sin(angles), p * np.sin(angles) + q * np.cos(angles)
    return bool(np.any((across <= a) & (along <= b)))


def test_a_seam_avoids_the_sink_and_lies_as_near_the_middle_as_possible():
    assert access.seam_places(3.0, 2.0, [], 0.1) == pytest.approx((1.5,))
    assert access.seam_places(3.0, 2.0, [(1.2, 1.9)], 0.1) == pytest.approx((1.1,))
    assert access.seam_places(3.0, 1.95, [(0.8, 1.6)], 0.1) == pytest.approx((1.7,))
    assert access.seam_places(1.8, 2.0, [], 0.1) == ()
    with pytest.raises(ValueError, match=r"seam-no-place \(longest_m = 1\.6\)"):
        access.seam_places(3.0, 1.6, [(0.4, 1.9)], 0.1)


@settings(max_examples=100, deadline=None)
@given(
    st.integers(1000, 8000),
    st.integers(600, 3000),
    st.lists(st.tuples(st.integers(0, 7000), st.integers(50, 900)), max_size=3),
)
@example(1000, 600, [(51, 499)])  # the margin ends where the longest part ends, up to rounding
def test_parts_are_short_enough_and_no_seam_runs_through_a_cutout(length, longest, holes):
    # independent route: whole millimeters, each step as far as possible; None where no step is possible
    barred = {x for start, size in holes for x in range(start - 49, start + size + 50)}
    place, fewest = 0, 0
    while place is not None and place + longest < length:
        place = max((x for x in range(place + 1, place + longest + 1) if x not in barred), default=None)
        fewest += 1
    cutouts = [(start / 1000, (start + size) / 1000) for start, size in holes]
    if place is None:
        with pytest.raises(ValueError, match="seam-no-place"):
            access.seam_places(length / 1000, longest / 1000, cutouts, 0.05)
        return
    seams = access.seam_places(length / 1000, longest / 1000, cutouts, 0.05)
    assert len(seams) == fewest
    ends = [0.0, *seams, length / 1000]
    assert all(0.0 < b - a <= longest / 1000 + 1e-6 for a, b in pairwise(ends))
    assert all(not (a - 0.05 + 1e-6 < x < b + 0.05 - 1e-6) for x in seams for a, b in cutouts)


def test_impossible_sizes_are_refused():
    with pytest.raises(ValueError, match=r"figure-not-positive \(name = quantity-size-of-the-piece"):
        check_passage((1.0, 0.5, 0.0), DOOR)
    with pytest.raises(ValueError, match=r"figure-negative \(name = quantity-clearance"):
        check_passage(COUNTER, DOOR, -0.1)
    with pytest.raises(ValueError, match=r"figure-not-positive \(name = quantity-width-of-the-passage"):
        access.longest_through_turn(0.0, 1.0, 0.0)
    with pytest.raises(ValueError, match=r"figure-not-positive \(name = quantity-longest-part"):
        access.seam_places(2.0, 0.0, [], 0.1)


@pytest.mark.parametrize("clearance", range(2, 17))
def test_a_piece_exactly_as_wide_as_the_access_passes_in_inches_too(clearance: int) -> None:
    # source: first principles; 6.35 mm to the quarter inch, whose sums in meters are rounded
    quarter_m = 0.00635
    for width in range(80, 180):
        door = Opening((width + clearance) * quarter_m, 330 * quarter_m)
        sizes_m = width * quarter_m, 200 * quarter_m, 400 * quarter_m
        assert access.check_passage(sizes_m, door, clearance * quarter_m).passes, (width, clearance)
