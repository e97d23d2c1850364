"""Net cross-sections against section formulas."""

from math import sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.plane import Region
from geometry.sections import section_at, weakest_of_plate, weakest_section
from geometry.shapes import (
    CircleCutout,
    DropEdge,
    EdgeProfile,
    Outline,
    Panel,
    RectangleCutout,
    Return,
    Ribs,
    Slab,
    Taper,
)
from geometry.views import Axis
from tests.refusal import refusal

SINK = RectangleCutout(0.7, 0.4, 0.5, 0.1)


def test_a_plain_slab_is_a_rectangle():
    found = section_at(Slab(1.8, 0.65, 0.025), "x", 0.9)
    assert found.area_m2 == pytest.approx(0.65 * 0.025)
    assert found.second_moment_m4 == pytest.approx(0.65 * 0.025**3 / 12)
    assert found.modulus_top_m3 == pytest.approx(0.65 * 0.025**2 / 6)
    assert found.strips == (pytest.approx((0.0, 0.65)),)


def test_two_rails_are_left_beside_a_sink_and_the_weaker_side_of_its_edge_counts():
    slab = Slab(1.8, 0.65, 0.025, cutouts=(SINK,))
    for station in (0.5, 0.8, 1.2):
        found = section_at(slab, "x", station)
        assert found.width_m == pytest.approx(0.25)
        assert [pytest.approx(strip) for strip in found.strips] == [(0.0, 0.1), (0.5, 0.65)]
    assert section_at(slab, "x", 0.49).width_m == pytest.approx(0.65)
    assert section_at(slab, "y", 0.3).width_m == pytest.approx(1.1)


def test_a_drop_makes_an_angle():
    # source: section formulas for an angle: parallel-axis theorem, parts measured from the top
    slab = Slab(1.8, 0.65, 0.025, drop_edges=(DropEdge(("front",), 0.1, 0.05),))
    found = section_at(slab, "x", 0.9)
    plate, leg = 0.65 * 0.025, 0.05 * 0.075
    centre = (plate * 0.0125 + leg * 0.0625) / (plate + leg)
    moment = 0.65 * 0.025**3 / 12 + plate * (centre - 0.0125) ** 2 + 0.05 * 0.075**3 / 12 + leg * (0.0625 - centre) ** 2
    assert found.area_m2 == pytest.approx(plate + leg)
    assert found.second_moment_m4 == pytest.approx(moment)
    assert found.modulus_top_m3 == pytest.approx(moment / centre)
    assert found.modulus_bottom_m3 == pytest.approx(moment / (0.1 - centre))
    assert found.width_m == pytest.approx(0.65)


def test_a_panel_counts_returns_and_ribs_from_the_face_up():
    panel = Panel(2.4, 1.2, 0.013, returns=(Return(("bottom", "top"), 0.075, 0.02),), ribs=Ribs(0.4, 0.04, 0.053, "x"))
    found = section_at(panel, "x", 1.2)
    assert found.area_m2 == pytest.approx(1.2 * 0.013 + 0.04 * 0.062 + 2 * 0.04 * 0.04)
    assert found.modulus_bottom_m3 > found.modulus_top_m3  # the face lies near the centroid, the returns' ends far


def test_the_weakest_section_is_through_the_middle_of_a_round_hole():
    slab = Slab(1.8, 0.65, 0.025, cutouts=(CircleCutout(0.4, 0.7, 0.3),))
    found = weakest_section(slab, "x")
    assert found.at_m == pytest.approx(0.7, abs=1e-6)
    assert found.width_m == pytest.approx(0.25, rel=1e-5)
    assert weakest_section(slab, "x", (1.0, 1.8)).width_m == pytest.approx(0.65)


def test_a_tapered_slab_is_weakest_at_its_thin_end():
    found = weakest_section(Slab(1.8, 0.65, 0.025, taper=Taper("right", 0.015)), "x")
    assert found.at_m == pytest.approx(1.8)
    assert found.modulus_top_m3 == pytest.approx(0.65 * 0.015**2 / 6, rel=1e-4)
    across = section_at(Slab(1.8, 0.65, 0.025, taper=Taper("right", 0.015)), "y", 0.3)
    assert across.area_m2 == pytest.approx(1.8 * 0.02, rel=1e-6)


def test_a_bevel_takes_its_triangle_from_the_section():
    found = section_at(Slab(1.8, 0.65, 0.025, edge_profiles=(EdgeProfile(("front",), "bevel", 0.01),)), "x", 0.9)
    assert found.area_m2 == pytest.approx(0.65 * 0.025 - 0.01**2 / 2, rel=1e-9)


def test_a_round_table_is_as_wide_as_its_chord():
    found = section_at(Outline(Region.circle(1.0), 0.03), "x", 0.3)
    assert found.width_m == pytest.approx(2 * sqrt(0.25 - 0.09), rel=1e-5)


def test_a_section_off_the_piece_is_refused():
    with refusal("misses the piece"):
        section_at(Slab(1.8, 0.65, 0.025), "x", 2.0)


@given(
    across=st.floats(0.05, 0.3),
    at=st.floats(0.3, 0.5),
    wide=st.floats(0.05, 0.2),
    axis=st.sampled_from(("x", "y")),
)
def test_a_pierced_plate_is_as_weak_as_the_solid_it_equals(across: float, at: float, wide: float, axis: Axis) -> None:
    cutouts = (
        CircleCutout(across, at, 0.3),
        RectangleCutout(0.4, wide, 0.8, 0.2, radius_m=0.02),
        CircleCutout(0.035, 1.5, 0.6),
    )
    found = weakest_of_plate((0.0, 0.0, 1.8, 0.65), [cutout.fine_ring() for cutout in cutouts], 0.025, axis)
    measured = weakest_section(Slab(1.8, 0.65, 0.025, cutouts=cutouts), axis)
    assert found.at_m == pytest.approx(measured.at_m, abs=1e-12)
    assert list(found.strips) == [pytest.approx(strip, abs=1e-12) for strip in measured.strips]
    for name in ("area_m2", "width_m", "second_moment_m4", "modulus_top_m3", "modulus_bottom_m3"):
        assert getattr(found, name) == pytest.approx(getattr(measured, name), rel=1e-11)


def test_the_tip_of_a_mitered_end_does_not_count_as_a_section():
    # first principles: full thickness from 0.03 m in; a tip of no thickness carries nothing and is asked for nothing
    mitred = Slab(1.5, 0.6, 0.03, edge_profiles=(EdgeProfile(("right",), "mitre"),))
    weakest = weakest_section(mitred, "x")
    assert weakest.at_m <= 1.47 + 1e-9
    assert weakest.least_modulus_m3 == pytest.approx(0.6 * 0.03**2 / 6, rel=1e-4)
