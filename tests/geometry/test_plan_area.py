"""Plan and elevation areas by kind of shape, by hand."""

from __future__ import annotations

from math import pi

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry import shapes
from geometry.mesh_file import read_facets
from geometry.plane import Region
from geometry.shape import plan_area
from tests.geometry.sample_meshes import box, write_stl


def test_a_slab_counts_only_its_top_however_deep_its_edges():
    sink = shapes.RectangleCutout(length_m=0.6, width_m=0.4, x_m=0.5, y_m=0.1)
    tap = shapes.CircleCutout(diameter_m=0.035, x_m=1.5, y_m=0.5)
    drop = shapes.DropEdge(edges=("front", "left"), height_m=0.9, thickness_m=0.03)
    slab = shapes.Slab(2.0, 0.65, 0.02, cutouts=(sink, tap), drop_edges=(drop,))
    found = plan_area(slab)
    assert found.gross_m2 == pytest.approx(1.3, rel=1e-12)
    assert found.net_m2 == pytest.approx(1.3 - 0.24 - pi / 4 * 0.035**2, rel=1e-9)


def test_overlapping_cutouts_count_once():
    first = shapes.RectangleCutout(length_m=0.4, width_m=0.4, x_m=0.2, y_m=0.1)
    second = shapes.RectangleCutout(length_m=0.4, width_m=0.4, x_m=0.4, y_m=0.1)
    assert plan_area(shapes.Slab(2.0, 0.65, 0.02, cutouts=(first, second))).net_m2 == pytest.approx(1.3 - 0.24)


def test_a_panel_counts_its_elevation_and_not_its_returns():
    turn = shapes.Return(sides=("bottom", "left"), depth_m=0.3, thickness_m=0.02)
    window = shapes.PanelOpening(shapes.RectangleCutout(length_m=0.5, width_m=0.5, x_m=0.5, y_m=1.0))
    found = plan_area(shapes.Panel(1.5, 2.5, 0.013, returns=(turn,), openings=(window,)))
    assert (found.gross_m2, found.net_m2) == (pytest.approx(3.75), pytest.approx(3.5))


def test_an_outline_counts_its_outer_ring():
    hole = Region.rectangle(0.5, 0.5).translated(0.2, 0.2)
    ring = Region(Region.rectangle(2.0, 1.0).outer, (hole.outer,))
    found = plan_area(shapes.Outline(ring, 0.02))
    assert (found.gross_m2, found.net_m2) == (pytest.approx(2.0), pytest.approx(1.75))


def test_a_planter_covers_its_outer_size():
    planter = shapes.Box(0.8, 0.5, 0.6, 0.02, 0.025, drain_holes=(shapes.DrainHole(0.03, 0.4, 0.25),))
    found = plan_area(planter)
    assert found.gross_m2 == pytest.approx(0.4)
    assert found.net_m2 == pytest.approx(0.4 - pi / 4 * 0.03**2)


def test_a_turned_ring_covers_the_circle_of_its_largest_radius():
    ring = plan_area(shapes.Revolution(points_m=((0.2, 0.0), (0.5, 0.0), (0.4, 0.3), (0.2, 0.3))))
    assert (ring.gross_m2, ring.net_m2) == (pytest.approx(pi * 0.25), pytest.approx(pi * 0.21))


def test_a_moulding_covers_its_length_times_the_width_of_its_profile():
    profile = Region.rectangle(0.12, 0.30)
    assert plan_area(shapes.Extrusion(profile, 2.4, mitre_left_deg=45.0)).gross_m2 == pytest.approx(0.12 * 2.4)


@settings(max_examples=25, deadline=None)
@given(st.floats(0.2, 2.0), st.floats(0.2, 2.0), st.floats(0.05, 0.15))
def test_a_compound_and_its_mesh_cast_the_same_shadow(length, width, rail):
    plate = shapes.Slab(length, width, 0.03)
    window = shapes.Slab(length - 2 * rail * length, width / 2, 0.09)
    frame = shapes.Compound((shapes.Placed(plate),), (shapes.Placed(window, (rail * length, width / 4, -0.03)),))
    found = plan_area(frame)
    assert found.gross_m2 == pytest.approx(length * width, rel=1e-9)
    assert found.net_m2 == pytest.approx(length * width * (1 - (1 - 2 * rail) / 2), rel=1e-9)


def test_an_l_of_two_plates_covers_the_shadow_of_both():
    tread = shapes.Placed(shapes.Slab(1.0, 0.4, 0.04))
    upstand = shapes.Placed(shapes.Slab(1.0, 0.03, 0.15), (0.0, 0.37, 0.04))
    assert plan_area(shapes.Compound((tread, upstand))).gross_m2 == pytest.approx(0.4)


def test_a_mesh_covers_its_shadow(tmp_path):
    measured, corners, faces = read_facets(write_stl(tmp_path / "box.stl", box(1000, 500, 200)), 0.001)
    assert plan_area(shapes.MeshBody(measured, corners, faces)).gross_m2 == pytest.approx(0.5)
