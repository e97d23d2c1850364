"""The drawing of a piece agrees with its measures."""

from math import pi
from pathlib import Path as FilePath

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry import shapes
from geometry.mesh_file import read_facets
from geometry.plan import Path
from geometry.plane import Region
from geometry.sections import section_at
from geometry.shape import measure, plan_view, telling_section
from geometry.views import BOXED

approx = pytest.approx

BASIN = FilePath(__file__).parents[2] / "examples" / "boathouse" / "basin.stl"

SLAB = shapes.Slab(
    1.8,
    0.65,
    0.025,
    cutouts=(shapes.RectangleCutout(0.7, 0.4, 0.5, 0.1, radius_m=0.05), shapes.CircleCutout(0.035, 0.9, 0.57)),
    drop_edges=(shapes.DropEdge(("front", "left"), 0.06, 0.03),),
)
PANEL = shapes.Panel(
    1.2, 0.9, 0.015, returns=(shapes.Return(("left", "right"), 0.05, 0.015),), ribs=shapes.Ribs(0.4, 0.03, 0.04, "x")
)
BOX = shapes.Box(0.9, 0.4, 0.45, 0.02, 0.025, fillet_m=0.03, drain_holes=(shapes.DrainHole(0.03, 0.45, 0.2),))
BOWL = shapes.Revolution(((0, 0), (0.15, 0), (0.3, 0.25), (0, 0.25)), wall_m=0.02, open="top")
MOULDING = shapes.Extrusion(Region.from_points([(0, 0), (0.12, 0), (0.12, 0.02), (0.03, 0.1), (0, 0.1)]), 1.5, 45.0)
SOCLE = shapes.Compound(
    (
        shapes.Placed(shapes.Slab(1.0, 0.5, 0.03)),
        shapes.Placed(shapes.Box(0.4, 0.3, 0.15, 0.02, 0.02), (0.3, 0.1, -0.12)),
    )
)
TABLE = shapes.Compound(
    (
        shapes.Placed(shapes.Slab(1.0, 0.5, 0.03)),
        shapes.Placed(shapes.Revolution(((0, 0), (0.05, 0), (0.1, 0.1), (0, 0.1))), (0.4, 0.2, -0.1)),
    )
)


def _length(paths: tuple[Path, ...]) -> float:
    return sum(shapely.LineString([*p.flattened(), *(p.flattened()[:1] if p.closed else [])]).length for p in paths)


def test_a_slab_is_drawn_with_exact_cutouts_and_hidden_drops():
    view = plan_view(SLAB)
    (material,) = view.material
    rounded = 0.7 * 0.4 - (4 - pi) * 0.05**2
    assert material.area_m2 == approx(1.8 * 0.65 - rounded - pi * 0.035**2 / 4, rel=1e-12)  # first principles
    assert [hole.bulges is not None for hole in material.holes] == [True, True]
    assert view.openings[0].bounds == approx((0.5, 0.1, 1.2, 0.5))
    assert not view.seen
    assert _length(view.hidden) == approx((1.8 - 0.03) + (0.65 - 0.03), rel=1e-4)


def test_returns_and_ribs_of_a_panel_are_hidden_behind_its_face():
    view = plan_view(PANEL)
    assert view.material[0].area_m2 == approx(1.2 * 0.9)
    assert not view.seen
    ribs = 2 * 2 * (1.2 - 2 * 0.015)  # two ribs, two edges each, between the returns
    assert _length(view.hidden) == approx(2 * 0.9 - 4 * 0.03 + ribs, rel=0.05)


def test_a_worked_edge_is_visible():
    bevelled = shapes.Slab(1.0, 0.5, 0.03, edge_profiles=(shapes.EdgeProfile(("front",), "bevel", 0.01),))
    (line,) = plan_view(bevelled).seen
    assert line.points[:, 1] == approx(0.01, abs=1e-6)


def test_an_open_box_shows_its_rim_and_its_drain():
    view = plan_view(BOX)
    assert view.material[0].area_m2 == approx(0.9 * 0.4 - pi * 0.03**2 / 4)
    assert np.ptp(view.seen[0].points, axis=0) == approx([0.86, 0.36])
    closed = plan_view(shapes.Box(0.9, 0.4, 0.45, 0.02, 0.025, open=False))
    assert not closed.seen
    assert len(closed.hidden) == 1


def test_a_mitered_end_is_drawn_at_its_slant():
    x0, y0, x1, y1 = plan_view(MOULDING).bounds_m
    assert (x0, y0, x1, y1) == approx((0, 0, 1.5, 0.12))
    assert plan_view(MOULDING).material[0].area_m2 == approx(1.5 * 0.12 - 0.12**2 / 2)  # 45°


def test_a_mesh_is_drawn_as_its_shadow_and_a_huge_one_as_its_box():
    found, vertices, facets = read_facets(BASIN, 0.001)
    view = plan_view(shapes.MeshBody(found, vertices, facets))
    assert view.size_m == approx(found.size_m[:2])
    assert view.seen
    assert view.hidden
    boxed = plan_view(shapes.MeshBody(found))
    assert boxed.notes == (BOXED,)
    assert boxed.size_m == approx(found.size_m[:2])


@pytest.mark.parametrize("shape", [SLAB, PANEL, BOX, BOWL, MOULDING, SOCLE, TABLE])
def test_a_view_is_as_large_as_the_piece(shape):
    solid = measure(shape)
    assert plan_view(shape).size_m == approx(solid.size_m[:2], rel=1e-4)
    cut = shape.cross_section(solid.lowest_m[0] + solid.size_m[0] / 2)
    assert cut is not None
    x0, z0, x1, z1 = cut.bounds_m
    assert x1 - x0 <= solid.size_m[1] * (1 + 1e-4)
    assert z1 - z0 <= solid.size_m[2] * (1 + 1e-4)


@pytest.mark.parametrize("shape", [SLAB, PANEL])
def test_the_section_has_the_area_that_bending_counts(shape):
    area = sum(region.area_m2 for region in shape.cross_section(0.3).material)
    assert area == approx(section_at(shape, "x", 0.3).area_m2, rel=1e-6)


def test_the_section_through_a_plumb_box_is_two_walls_and_a_base():
    area = sum(region.area_m2 for region in shapes.Box(0.9, 0.4, 0.45, 0.02, 0.025).cross_section(0.45).material)
    assert area == approx(2 * 0.02 * 0.45 + 0.025 * 0.36, rel=1e-6)  # first principles


@settings(max_examples=30, deadline=None)
@given(x=st.floats(0.05, 0.9), y=st.floats(0.05, 0.3), length=st.floats(0.05, 0.8), radius=st.floats(0.0, 0.02))
def test_the_mirror_image_is_the_piece_with_left_and_right_swapped(x, y, length, radius):
    slab = shapes.Slab(1.8, 0.65, 0.025, cutouts=(shapes.RectangleCutout(length, 0.2, x, y, radius_m=radius),))
    view, mirror = plan_view(slab), plan_view(slab).mirrored()
    assert mirror.bounds_m == approx(view.bounds_m)
    assert [region.area_m2 for region in mirror.material] == approx([region.area_m2 for region in view.material])
    x0, y0, x1, y1 = view.openings[0].bounds
    assert mirror.openings[0].bounds == approx((1.8 - x1, y0, 1.8 - x0, y1))
    twice = mirror.mirrored().material[0].holes[0]
    assert twice.points == approx(view.material[0].holes[0].points)


def test_only_a_piece_cast_face_down_is_mirrored():
    assert SLAB.is_cast_face_down
    assert PANEL.is_cast_face_down
    assert not BOX.is_cast_face_down
    assert not BOWL.is_cast_face_down


@settings(max_examples=30, deadline=None)
@given(bulge=st.floats(-3.0, 3.0).filter(lambda b: abs(b) > 0.01))
def test_cubic_curves_follow_their_arc(bulge):
    path = Path(np.array([(0.0, 0.0), (1.0, 0.0)]), np.array([bulge, 0.0]))
    (edge,) = path.edges()
    centre = np.array([0.5, 1.0 * (1 - bulge**2) / (4 * bulge)])
    start = np.array(edge.start)
    for one, two, end in edge.cubics():
        middle = (start + 3 * np.array(one) + 3 * np.array(two) + np.array(end)) / 8
        assert np.hypot(*(middle - centre)) == approx(edge.radius, rel=1e-3)
        start = np.array(end)
    assert tuple(start) == edge.end


@pytest.mark.parametrize(
    "shape",
    [
        shapes.Slab(0.9, 0.4, 0.02, drop_edges=(shapes.DropEdge(("front",), 0.06, 0.03),)),
        shapes.Panel(0.9, 0.4, 0.02, returns=(shapes.Return(("bottom",), 0.06, 0.03),)),
    ],
)
def test_a_section_is_seen_face_up_with_drops_and_returns_below(shape):
    section = telling_section(shape)
    assert section is not None
    _, low, _, high = section.bounds_m
    (region,) = section.material
    area = region.polygon()
    assert high - low == approx(0.06)
    assert area.intersects(shapely.Point(0.3, high - 0.01))  # the skin
    assert not area.intersects(shapely.Point(0.3, low + 0.01))
    assert area.intersects(shapely.Point(0.015, low + 0.01))  # what hangs from its front
