"""Rings and regions of lines and arcs: integrals against closed forms, and faults named with their place."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import ellipe

from geometry.plane import Region, Ring
from tests.refusal import refusal


def test_a_circle_is_exact():
    # source: closed forms, πr², 2πr, πr⁴/4
    circle = Region.circle(2.0, (3.0, 4.0))
    assert circle.area_m2 == pytest.approx(np.pi, rel=1e-14)
    assert circle.perimeter_m == pytest.approx(2 * np.pi, rel=1e-14)
    assert circle.centroid_m == pytest.approx((3.0, 4.0), rel=1e-14)
    assert circle.second_moments == pytest.approx((np.pi / 4, np.pi / 4, 0.0), rel=1e-12, abs=1e-12)
    assert circle.bounds == pytest.approx((2.0, 3.0, 4.0, 5.0), rel=1e-14)


def test_a_half_disc_has_its_centroid_and_moments():
    # source: closed forms of the semicircle, ȳ = 4r/3π, Ix = (π/8 − 8/9π) r⁴, Iy = πr⁴/8
    half = Region(Ring(np.array([(1.0, 0.0), (-1.0, 0.0)]), np.array([1.0, 0.0])))
    assert half.area_m2 == pytest.approx(np.pi / 2, rel=1e-14)
    assert half.centroid_m == pytest.approx((0.0, 4 / (3 * np.pi)), abs=1e-14)
    assert half.second_moments == pytest.approx((np.pi / 8 - 8 / (9 * np.pi), np.pi / 8, 0.0), abs=1e-14)


def test_a_quarter_disc_has_its_product_of_inertia():
    # source: closed form of the quarter disc about its corner, ∬xy = r⁴/8, shifted to the centroid at 4r/3π
    quarter = Region(Ring(np.array([(0.0, 0.0), (1.0, 0.0), (0.0, 1.0)]), np.array([0.0, np.tan(np.pi / 8), 0.0])))
    assert quarter.second_moments.ixy_m4 == pytest.approx(1 / 8 - np.pi / 4 * (4 / (3 * np.pi)) ** 2, rel=1e-12)


@pytest.mark.parametrize("ratio", [1.0, 3.0, 10.0])
def test_an_ellipse_has_its_closed_form(ratio):
    # source: closed forms πab, πab³/4; perimeter 4aE(m)
    a, b = 1.0, 1.0 / ratio
    ellipse = Region.ellipse(2 * a, 2 * b)
    assert ellipse.area_m2 == pytest.approx(np.pi * a * b, rel=1e-13)
    assert ellipse.perimeter_m == pytest.approx(4 * a * ellipe(1 - (b / a) ** 2), rel=1e-7)
    assert ellipse.second_moments.ixx_m4 == pytest.approx(np.pi / 4 * a * b**3, rel=2e-8)
    assert ellipse.second_moments.iyy_m4 == pytest.approx(np.pi / 4 * a**3 * b, rel=2e-8)


def test_a_rounded_rectangle_has_its_closed_form():
    rounded = Region.rectangle(1.0, 0.5, 0.1)
    assert rounded.area_m2 == pytest.approx(0.5 - (4 - np.pi) * 0.01, rel=1e-14)
    assert rounded.perimeter_m == pytest.approx(3.0 - 0.8 + 0.2 * np.pi, rel=1e-14)
    assert rounded.bounds == pytest.approx((0.0, 0.0, 1.0, 0.5))


def test_holes_are_subtracted_whichever_way_they_turn():
    square = [(0, 0), (4, 0), (4, 4), (0, 4)]
    hole = [(1, 1), (2, 1), (2, 3), (1, 3)]
    for corners in (hole, hole[::-1]):
        region = Region.from_points(square, [corners])
        assert region.area_m2 == pytest.approx(14.0)
        assert region.perimeter_m == pytest.approx(22.0)
        assert region.centroid_m == pytest.approx(((16 * 2 - 2 * 1.5) / 14, 2.0))
        assert region.second_moments.ixx_m4 == pytest.approx(4**4 / 12 - 1 * 2**3 / 12)


@settings(max_examples=30, deadline=None)
@given(
    bulges=st.lists(st.floats(-0.9, 0.9).filter(lambda b: abs(b) > 1e-3), min_size=3, max_size=8),
    angle=st.floats(0, 360),
    shift=st.tuples(st.floats(-50, 50), st.floats(-50, 50)),
)
def test_arcs_agree_with_fine_lines_and_stay_the_same_when_moved(bulges, angle, shift):
    n = len(bulges)
    turn = np.linspace(0, 2 * np.pi, n, endpoint=False)
    ring = Ring(np.stack([np.cos(turn), np.sin(turn)], axis=1), np.array(bulges) * 0.5)
    region = Region._made(ring, ())  # an inward arc may cross its neighbor: the integrals hold all the same
    lines = Region._made(Ring(ring.flattened(1e-7)), ())
    assert lines.area_m2 == pytest.approx(region.area_m2, rel=1e-12)
    if region.area_m2 > 0.1:
        assert lines.centroid_m == pytest.approx(region.centroid_m, abs=1e-5)
        assert lines.second_moments == pytest.approx(region.second_moments, abs=1e-5)
    c, s = np.cos(np.radians(angle)), np.sin(np.radians(angle))
    moved = region.mapped([[c, -s], [s, c]], shift)
    assert moved.area_m2 == pytest.approx(region.area_m2, rel=1e-11)
    assert moved.perimeter_m == pytest.approx(region.perimeter_m, rel=1e-11)
    if region.area_m2 > 0.1:
        assert sum(moved.second_moments[:2]) == pytest.approx(sum(region.second_moments[:2]), rel=1e-8)


@pytest.mark.parametrize("bulge", [1e-6, 0.01, 0.3, 1.0, 3.0])
@pytest.mark.parametrize("chord_m", [1e-2, 1e-4])
def test_the_chord_tolerance_is_kept(bulge, chord_m):
    ring = Ring(np.array([(0.0, 0.0), (1.0, 0.2)]), np.array([bulge, 0.0]))
    fine = shapely.LinearRing(ring.flattened(1e-8))
    coarse = shapely.LinearRing(ring.flattened(chord_m))
    assert shapely.hausdorff_distance(coarse, fine, densify=0.05) <= chord_m + 2e-8


def test_bounds_of_an_arc_reach_beyond_its_ends():
    ring = Ring(np.array([(0.0, 0.0), (2.0, 0.0)]), np.array([3.0, 0.0]))
    fine = ring.flattened(1e-9)
    assert ring.bounds == pytest.approx((*fine.min(axis=0), *fine.max(axis=0)), abs=1e-8)


def test_mirrored_arcs_keep_their_area():
    region = Region(Ring(np.array([(0.0, 0.0), (2.0, 0.0), (2.0, 1.0)]), np.array([0.4, -0.2, 0.0])))
    assert region.mapped([[-1.0, 0.0], [0.0, 1.0]]).area_m2 == pytest.approx(region.area_m2, rel=1e-14)
    with pytest.raises(ValueError, match="stretched"):
        region.mapped([[2.0, 0.0], [0.0, 1.0]])


@pytest.mark.parametrize(
    ("points", "holes", "message"),
    [
        ([(0, 0), (1, 0)], [], r"An outline of 2 points encloses nothing"),
        ([(0, 0), (1, 0), (2, 0)], [], r"near \(0\.0 mm, 0\.0 mm\) encloses no area"),
        ([(0, 0), (1, 1), (1, 0), (0, 1)], [], r"The outline crosses itself at \(500 mm, 500 mm\)"),
        ([(0, 0), (2, 0), (1, 1), (2, 2), (0, 2), (1, 1)], [], r"The outline touches itself at \(1000 mm, 1000 mm\)"),
        ([(0, 0), (1, 0), (1, 1), (0, 1)], [[(2, 2), (3, 2), (3, 3)]], r"Hole 1 lies outside the outline near"),
        ([(0, 0), (1, 0), (1, 1), (0, 1)], [[(0.5, 0.5), (3, 0.5), (0.5, 0.8)]], r"Hole 1 crosses the outline near"),
        ([(0, 0), (float("nan"), 0), (1, 1)], [], r"not a finite number"),
        (
            [(0, 0), (9, 0), (9, 9), (0, 9)],
            [[(1, 1), (4, 1), (4, 4), (1, 4)], [(3, 2), (6, 2), (6, 3), (3, 3)]],
            r"The outline with its holes crosses itself at \(4000 mm, [23]000 mm\)",
        ),
    ],
)
def test_a_ring_that_bounds_no_region_is_refused_with_its_place(points, holes, message):
    with refusal(message):
        Region.from_points(points, holes)


def test_arcs_that_cross_are_refused():
    with refusal("crosses itself at"):
        Region(Ring(np.array([(0.0, 0.0), (1.0, 0.0), (1.0, 0.1), (0.0, 0.1)]), np.array([-0.5, 0.0, 0.0, 0.0])))


def test_a_corner_rounded_by_less_than_a_nanometer_is_sharp():
    assert Region.rectangle(0.5, 0.25, 5e-324).area_m2 == Region.rectangle(0.5, 0.25).area_m2


def test_regions_of_the_same_points_are_equal_to_the_last_bit() -> None:
    points = [(0.0, 0.0), (2.0, 0.0), (2.0, 0.6), (0.0, 0.6)]
    hole = [(0.5, 0.2), (1.0, 0.2), (1.0, 0.4)]
    first, second = (Region.from_points(points, [hole]) for _ in range(2))
    assert first == second
    assert hash(first) == hash(second)
    assert len({first, second}) == 1
    moved = [*points[:-1], (0.0, np.nextafter(0.6, 1.0))]
    for other in (Region.from_points(points), Region.from_points(moved, [hole]), Region.rectangle(2.0, 0.6)):
        assert first != other
    bent = Ring(np.array(points), np.array([0.1, 0.0, 0.0, 0.0]))
    assert bent == Ring(np.array(points), np.array([0.1, 0.0, 0.0, 0.0]))
    assert bent != Ring(np.array(points))
    assert Ring(np.array(points)) != points
