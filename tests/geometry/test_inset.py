"""Rings moved inward, against another library's offset and against closed forms."""

from math import pi, tan

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from geometry.errors import FaultError
from geometry.inset import bands, inset
from geometry.plane import Region, Ring


def ring(points, bulges=None) -> Ring:
    return Ring(np.array(points, dtype=float), None if bulges is None else np.array(bulges, dtype=float))


SQUARE = ring([(0, 0), (4, 0), (4, 3), (0, 3)])


def test_each_edge_moves_by_its_own_distance():
    # first principles: a rectangle from (0.4, 0.1) to (3.8, 2.7)
    moved = inset(SQUARE, [0.1, 0.2, 0.3, 0.4]).ring
    assert moved.bounds == pytest.approx((0.4, 0.1, 3.8, 2.7))
    assert moved.signed_area_m2 == pytest.approx(3.4 * 2.6)


def test_an_arc_keeps_its_center():
    disc = Region.circle(4.0).outer
    assert inset(disc, [0.5, 0.5]).ring.signed_area_m2 == pytest.approx(pi * 1.5**2)
    hollow = ring([(0, 0), (4, 0), (4, 4), (0, 4)], [-tan(pi / 8), 0, 0, 0])
    moved = inset(hollow, [0.5, 0, 0, 0])
    start, end, bulge = moved.edges[0]
    radius = abs(end - start) * (1 + bulge**2) / (4 * abs(bulge))
    assert radius == pytest.approx(2 * 2**0.5 + 0.5)  # a hollow arc grows as it moves in


def test_a_smooth_joint_steps_at_a_right_angle():
    d_end = ring([(0, 0), (6, 0), (6, 3), (0, 3)], [0, 1, 0, 0])
    moved = inset(d_end, [0, 0.2, 0, 0])
    assert moved.edges[1][0] == pytest.approx(6 + 0.2j)
    assert moved.ring.signed_area_m2 == pytest.approx(18 + pi / 2 * 1.3**2)


@pytest.mark.parametrize(
    ("plan", "distances"),
    [
        (SQUARE, [1.5, 0, 1.5, 0]),  # the rest has no width
        (SQUARE, [0, 4.0, 0, 0]),
        (ring([(0, 0), (9, 0), (9, 1), (8.9, 1.1), (8.9, 4), (0, 4)]), [0, 0.5, 0, 0, 0, 0]),
        (Region.circle(1.0).outer, [0.6, 0.6]),
    ],
)
def test_an_inset_that_leaves_no_edge_is_refused_with_its_place(plan, distances):
    with pytest.raises(FaultError) as refused:
        inset(plan, distances)
    assert {name for name, _ in refused.value.message.values} == {"x_m", "y_m"}


@st.composite
def stars(draw):
    """Rings of 4 to 9 corners about a center, some of their edges arcs."""
    count = draw(st.integers(4, 9))
    turns = np.array(draw(st.lists(st.floats(-0.3, 0.3), min_size=count, max_size=count)))
    angle = (np.arange(count) + turns) * 2 * pi / count
    reach = np.array(draw(st.lists(st.floats(0.6, 1.4), min_size=count, max_size=count)))
    bulges = np.array(draw(st.lists(st.sampled_from([0.0, 0.0, 0.15, -0.15, 0.4]), min_size=count, max_size=count)))
    points = reach[:, None] * np.column_stack([np.cos(angle), np.sin(angle)])
    return points, bulges


@settings(max_examples=150, deadline=None)
@given(stars(), st.floats(0.005, 0.06))
def test_even_distances_agree_with_the_offset_of_another_library(star, distance):
    """A mitered buffer of the chords, within what the chords differ from the arcs."""
    points, bulges = star
    plan = ring(points, bulges)
    polygon = shapely.Polygon(plan.flattened(1e-6))
    assume(polygon.is_valid and polygon.exterior.is_ccw)
    try:
        moved = inset(plan, [distance] * len(points)).ring
    except FaultError:
        return
    other = shapely.buffer(polygon, -distance, join_style="mitre", mitre_limit=50.0)
    assume(other.geom_type == "Polygon" and not other.interiors)
    assert moved.signed_area_m2 == pytest.approx(other.area, rel=5e-4)


@settings(max_examples=150, deadline=None)
@given(stars(), st.data())
def test_bands_and_the_rest_add_up_to_the_whole(star, data):
    points, bulges = star
    plan = ring(points, bulges)
    polygon = shapely.Polygon(plan.flattened(1e-6))
    assume(polygon.is_valid and polygon.exterior.is_ccw)
    few = st.sampled_from([0.0, 0.0, 0.02, 0.05])
    distances = data.draw(st.lists(few, min_size=len(points), max_size=len(points)))
    assume(any(distances))
    try:
        inner = inset(plan, distances)
    except FaultError:
        return
    outer = inset(plan, [0.0] * len(points))
    areas = bands(plan, outer, inner, [distance > 0 for distance in distances])
    whole = sum(area.region.area_m2 for area in areas) + inner.ring.signed_area_m2
    assert whole == pytest.approx(plan.signed_area_m2, rel=1e-9)
    for area in areas:  # each is a sound region of its own
        Region(area.region.outer, area.region.holes)
