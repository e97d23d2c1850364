"""Drop edges, worked edges and mitered ends on any outline, against closed forms in inches."""

from math import cos, pi, radians, sin, sqrt, tan

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.plane import Region, Ring
from geometry.shape import layer_parts, measure
from geometry.shapes import DropEdge, EdgePart, EdgeProfile, Outline, RectangleCutout, Slab

IN = 0.0254

L_SHAPE = [(0, 0), (96, 0), (96, 25.5), (25.5, 25.5), (25.5, 72), (0, 72)]
CLIPPED = [(10, 0), (50, 0), (60, 10), (60, 24), (0, 24), (0, 10)]


def region(points, bulges=None) -> Region:
    return Region(Ring(np.array(points) * IN, None if bulges is None else np.array(bulges)))


D_END = region([(0, 0), (60, 0), (60, 30), (0, 30)], [0, 1, 0, 0])
BOWED_IN = region([(0, 0), (60, 0), (60, 40), (0, 40)], [-tan(radians(15)), 0, 0, 0])


def drop(edges, height, thickness) -> tuple[DropEdge, ...]:
    return (DropEdge(tuple(edges), height * IN, thickness * IN),)


def outline(plan, thick, *, drops=(), profiles=()) -> Outline:
    plan = plan if isinstance(plan, Region) else region(plan)
    return Outline(plan, thick * IN, drop_edges=drops, edge_profiles=profiles)


def figures(shape):
    """Volume, centroid with z from the top down, and form area, in inches."""
    solid = measure(shape)
    x, y, z = (value / IN for value in solid.centroid_m)
    return solid.volume_m3 / IN**3, (x, y, solid.size_m[2] / IN - z), solid.form_area_m2 / IN**2


def test_case_1_a_rectangle_is_a_plain_slab():
    # first principles: plate 72 × 25.5 × 3/4, drops 72 × 1 and 24.5 × 1 by 1.25, the corner once
    plan = [(0, 0), (72, 0), (72, 25.5), (0, 25.5)]
    slab = Slab(72 * IN, 25.5 * IN, 0.75 * IN, drop_edges=drop(["front", "left"], 2, 1))
    for shape in (slab, outline(plan, 0.75, drops=drop(["front", "left"], 2, 1))):
        volume, center, form = figures(shape)
        assert volume == pytest.approx(72 * 25.5 * 0.75 + (72 + 24.5) * 1.25, rel=1e-12)
        assert volume == pytest.approx(1497.625, rel=1e-12)
        assert center == pytest.approx((35.274059, 12.024059, 0.455544), abs=1e-6)
        assert form == pytest.approx(72 * 25.5 + 195 * 0.75 + (72 + 25.5 + 2) * 1.25, rel=1e-12)
        assert form == pytest.approx(2106.625, rel=1e-12)


def test_case_2_a_drop_runs_along_two_inner_edges_of_an_l():
    # first principles: t ΣL + t² at the 270° corner; plain ends at 90° take nothing
    band = 1.5 * (70.5 + 46.5) + 1.5**2
    assert band == 177.75
    volume, center, form = figures(outline(L_SHAPE, 1, drops=drop([3, 4], 3, 1.5)))
    assert volume == pytest.approx(3633.75 + band * 2, rel=1e-12)
    assert center == pytest.approx((37.359137, 25.359137, 0.633672), abs=1e-6)
    assert form == pytest.approx(3633.75 + 336 * 1 + (117 + 2 * 1.5) * 2, rel=1e-12)
    assert form == pytest.approx(4209.75, rel=1e-12)


def test_case_3_a_drop_runs_all_round_an_l():
    # first principles: t Σ L − t² (five corners of 90°, one of 270°)
    band = 1.5 * 336 - 1.5**2 * (5 - 1)
    volume, center, form = figures(outline(L_SHAPE, 1, drops=drop([1, 2, 3, 4, 5, 6], 3, 1.5)))
    assert volume == pytest.approx(3633.75 + band * 2, rel=1e-12)
    assert volume == pytest.approx(4623.75, rel=1e-12)
    assert center == pytest.approx((36.833212, 24.833212, 0.821168), abs=1e-6)
    assert form == pytest.approx(3633.75 + 336 * 3, rel=1e-12)


def test_case_4_a_drop_runs_flush_to_clipped_corners():
    # first principles: each plain end at 135° takes −(t²/2) cot 135° = +t²/2
    band = 1.25 * 40 + 1.25**2
    assert band == pytest.approx(51.5625)
    volume, center, _ = figures(outline(CLIPPED, 1, drops=drop(["front"], 2.5, 1.25)))
    assert volume == pytest.approx((60 * 24 - 100) * 1 + band * 1.5, rel=1e-12)
    assert center == pytest.approx((30, 11.991089, 0.568212), abs=1e-6)


def test_case_5_a_drop_around_clipped_corners():
    # first principles: t² cot(135°/2) at two joints, plain ends at 135°
    band = 1.25 * (40 + 20 * sqrt(2)) - 2 * 1.25**2 / tan(radians(67.5)) + 1.25**2
    volume, center, _ = figures(outline(CLIPPED, 1, drops=drop([1, 2, 6], 2.5, 1.25)))
    assert volume == pytest.approx(1340 + band * 1.5, rel=1e-12)
    assert volume == pytest.approx(1468.435133, abs=1e-6)
    assert center == pytest.approx((30, 11.785440, 0.609330), abs=1e-6)


def test_case_6_a_drop_along_an_arc_alone_ends_square():
    # first principles: φ t (R − t/2), convex
    band = pi * 1.5 * (15 - 0.75)
    volume, center, _ = figures(outline(D_END, 1, drops=drop([2], 3, 1.5)))
    assert volume == pytest.approx(1800 + pi * 15**2 / 2 + band * 2, rel=1e-12)
    assert volume == pytest.approx(2287.732259, abs=1e-6)
    assert center == pytest.approx((37.912407, 15, 0.588059), abs=1e-6)


def test_case_7_a_drop_along_a_hollow_front():
    # first principles: φ t (R + t/2), concave, less the two corners that the sides cut off it
    volume, center, _ = figures(outline(BOWED_IN, 1, drops=drop(["front"], 3, 1.5)))
    plan = 60 * 40 - 60**2 * (pi / 3 - sin(pi / 3)) / 2
    assert (volume - plan) / 2 == pytest.approx(94.130338, abs=1e-6)
    assert volume == pytest.approx(2262.150811, abs=1e-6)
    assert center == pytest.approx((30, 21.262002, 0.624833), abs=1e-6)


def test_case_8_a_drop_along_a_part_of_an_edge():
    # first principles: 30 × 1 × 1.25 hangs from the plate, its two ends square
    part = EdgePart("front", from_m=20 * IN, to_m=50 * IN)
    plan = [(0, 0), (72, 0), (72, 25.5), (0, 25.5)]
    for shape in (
        Slab(72 * IN, 25.5 * IN, 0.75 * IN, drop_edges=drop([part], 2, 1)),
        outline(plan, 0.75, drops=drop([part], 2, 1)),
    ):
        volume, center, form = figures(shape)
        assert volume == pytest.approx(72 * 25.5 * 0.75 + 30 * 1.25, rel=1e-12)
        assert center == pytest.approx((35.973489, 12.425239, 0.401511), abs=1e-6)
        assert form == pytest.approx(72 * 25.5 + 195 * 0.75 + (30 + 2) * 1.25, rel=1e-12)


def removed(plan, thick, profile) -> float:
    plain, made = outline(plan, thick), outline(plan, thick, profiles=(profile,))
    return (measure(plain).volume_m3 - measure(made).volume_m3) / IN**3


ROUND = (1 - pi / 4, (10 - 3 * pi) / (12 - 3 * pi))
"""Section of a round-over of unit radius, and how far its centroid lies from the face."""


def test_case_9_profiles_take_off_their_section():
    # first principles: a (L − x̄ Σ k), k = cot(θ/2) beside the same profile; arc: a φ (R − x̄)
    half_inch = 0.5 * IN
    a, x = ROUND[0] * 0.25, ROUND[1] * 0.5
    rectangle = [(0, 0), (72, 0), (72, 25.5), (0, 25.5)]
    round_over = EdgeProfile((1, 2, 3, 4), "round-over", half_inch)
    assert a * (195 - 8 * x) == pytest.approx(10.413904, abs=1e-6)
    assert removed(rectangle, 0.75, round_over) == pytest.approx(a * (195 - 8 * x), rel=1e-9)
    disc = Region.circle(40 * IN)
    assert a * 2 * pi * (20 - x) == pytest.approx(6.704267, abs=1e-6)
    assert removed(disc, 0.75, EdgeProfile((1, 2), "round-over", half_inch)) == pytest.approx(
        a * 2 * pi * (20 - x), rel=1e-9
    )
    b, y = 2 * ROUND[0] * 0.75**2, ROUND[1] * 0.75
    bullnose = EdgeProfile(("front", 2, "back"), "bullnose")
    assert b * (120 + pi * (15 - y)) == pytest.approx(40.221168, abs=1e-6)
    assert removed(D_END, 1.5, bullnose) == pytest.approx(b * (120 + pi * (15 - y)), rel=1e-9)


def test_case_10_a_waterfall_is_a_top_and_its_leg():
    # first principles: a wedge T²/2 wide is cut off under the miter
    for length, volume, from_end, down in ((60, 2221.875, 29.626582, None), (36, 1321.875, 17.627660, 0.744681)):
        shape = Slab(length * IN, 25 * IN, 1.5 * IN, edge_profiles=(EdgeProfile(("right",), "mitre"),))
        made, center, _ = figures(shape)
        assert made == pytest.approx(25 * 1.5 * (length - 0.75), rel=1e-12)
        assert made == pytest.approx(volume, rel=1e-12)
        assert center[0] == pytest.approx(from_end, abs=1e-6)
        assert down is None or center[2] == pytest.approx(down, abs=1e-6)


SECTIONS = {  # section area and centroid from the face, of unit size
    "eased": ROUND,
    "round-over": ROUND,
    "bevel": (1 / 2, 1 / 3),
    "cove": (pi / 4, 4 / (3 * pi)),
}


@pytest.mark.parametrize("kind", list(SECTIONS))
@pytest.mark.parametrize(
    ("plan", "edges", "length", "turns"),
    [
        (L_SHAPE, (3, 4), 117.0, 2 / tan(radians(135))),  # the inside corner adds; plain ends at 90° take nothing
        (L_SHAPE, (1, 2), 121.5, 2 / tan(radians(45))),
        (CLIPPED, (1,), 40.0, 2 / tan(radians(135))),
        (CLIPPED, (1, 2, 6), 40 + 20 * sqrt(2), 4 / tan(radians(67.5)) + 2 / tan(radians(135))),
    ],
)
def test_a_profile_takes_off_its_section_along_the_edges(kind, plan, edges, length, turns):
    # first principles: a (L − x̄ Σ k), k = cot θ beside no profile
    size = 0.25
    area, centroid = SECTIONS[kind]
    made = removed(plan, 1, EdgeProfile(edges, kind, size * IN))
    assert made == pytest.approx(area * size**2 * (length - centroid * size * turns), rel=1e-9)


def test_a_worked_arc_has_its_surface_by_pappus():
    # first principles: Pappus; a quarter circle of radius r has its length πr/2 at R − r + 2r/π from the axis
    r, radius = 0.5, 20.0
    plain = measure(outline(Region.circle(2 * radius * IN), 0.75))
    made = measure(outline(Region.circle(2 * radius * IN), 0.75, profiles=(EdgeProfile((1, 2), "round-over", r * IN),)))
    curved = 2 * pi * (radius - r + 2 * r / pi) * pi * r / 2
    lost = pi * (radius**2 - (radius - r) ** 2) + 2 * pi * radius * r
    assert (made.form_area_m2 - plain.form_area_m2) / IN**2 == pytest.approx(curved - lost, rel=1e-9)
    assert (made.surface_area_m2 - plain.surface_area_m2) / IN**2 == pytest.approx(curved - lost, rel=1e-9)


def test_a_bullnose_rounds_the_underside_too():
    # first principles: half a turn of radius T/2 in place of the edge and of T/2 of top and underside
    shape = Slab(60 * IN, 20 * IN, 1 * IN, edge_profiles=(EdgeProfile(("front",), "bullnose"),))
    plain, made = measure(Slab(60 * IN, 20 * IN, 1 * IN)), measure(shape)
    ends = 2 * (0.5 - pi * 0.25 / 2)  # the two ends lose a rectangle of 1/2 × 1 less half a disc
    gone = 60 * (1 + 2 * 0.5 - pi * 0.5) + ends
    assert (plain.surface_area_m2 - made.surface_area_m2) / IN**2 == pytest.approx(gone, rel=1e-9)
    assert (plain.volume_m3 - made.volume_m3) / IN**3 == pytest.approx(60 * (0.5 - pi / 8), rel=1e-9)


def test_raw_edges_are_formed_but_not_finished():
    plan = [(0, 0), (72, 0), (72, 25.5), (0, 25.5)]
    for shape in (Slab(72 * IN, 25.5 * IN, IN, raw_edges=("back",)), Outline(region(plan), IN, raw_edges=("back",))):
        made = measure(shape)
        assert (made.form_area_m2 - made.finished_area_m2) / IN**2 == pytest.approx(72.0, rel=1e-9)
        assert made.edge_lengths_m["raw"] / IN == pytest.approx(72.0)


def test_the_face_of_a_miter_is_glued_not_finished():
    made = measure(Slab(60 * IN, 25 * IN, 1.5 * IN, edge_profiles=(EdgeProfile(("right",), "mitre"),)))
    assert (made.form_area_m2 - made.finished_area_m2) / IN**2 == pytest.approx(25 * 1.5 * sqrt(2), rel=1e-9)


def test_a_sink_goes_through_the_drop_of_a_drawn_plan():
    # first principles: the sink's front 2 in lie over the drop, 1.5 thick, from y = 1
    sink = RectangleCutout(20 * IN, 10 * IN, 30 * IN, 1 * IN)
    plain = outline(L_SHAPE, 1, drops=drop(["front"], 3, 1.5))
    cut = Outline(plain.region, plain.thickness_m, cutouts=(sink,), drop_edges=plain.drop_edges)
    gone = (measure(plain).volume_m3 - measure(cut).volume_m3) / IN**3
    assert gone == pytest.approx(20 * 10 * 1 + 20 * 0.5 * 2, rel=1e-9)


def test_layers_of_a_drawn_plan_with_a_drop_fill_it():
    shape = outline(L_SHAPE, 1, drops=drop(["front"], 3, 1.5))
    face, back = layer_parts(shape, [0.125 * IN, None])
    assert face.volume_m3 + back.volume_m3 == pytest.approx(measure(shape).volume_m3, rel=1e-12)
    plain_face, _ = layer_parts(outline(L_SHAPE, 1), [0.125 * IN, None])
    more = 0.125 * 2 * (96 + 1.5 + 1.5 - 2 * 0.125)  # first principles: down the drop and around its two ends
    assert (face.volume_m3 - plain_face.volume_m3) / IN**3 == pytest.approx(more, rel=1e-6)


@st.composite
def slabs_with_drops(draw):
    sides = draw(st.permutations(["front", "right", "back", "left"]))[: draw(st.integers(1, 4))]
    drops = tuple(DropEdge((side,), draw(st.floats(0.05, 0.1)), draw(st.floats(0.01, 0.08))) for side in sides)
    return Slab(draw(st.floats(0.4, 2.5)), draw(st.floats(0.4, 2.5)), draw(st.floats(0.01, 0.04)), drop_edges=drops)


@given(slabs_with_drops())
def test_columns_agree_with_the_plan_moved_inward(slab):
    """A plain slab's column of cuboids, the same slab by the kernel, and the same as a drawn outline."""
    plan = Region.from_points([(0, 0), (slab.length_m, 0), (slab.length_m, slab.width_m), (0, slab.width_m)])
    drawn = measure(Outline(plan, slab.thickness_m, drop_edges=slab.drop_edges))
    for made in (slab.solid_by_slices(), drawn):
        column = measure(slab)
        assert made.volume_m3 == pytest.approx(column.volume_m3, rel=1e-12)
        assert made.centroid_m == pytest.approx(column.centroid_m, rel=1e-11)
        assert made.surface_area_m2 == pytest.approx(column.surface_area_m2, rel=1e-12)
        assert made.form_area_m2 == pytest.approx(column.form_area_m2, rel=1e-12)


@given(
    st.sampled_from(["bevel", "round-over", "cove", "bullnose"]),
    st.floats(0, 2 * pi),
    st.integers(3, 7),
    st.floats(0.003, 0.012),
)
def test_slices_are_the_oracle_of_profiles(kind, turned, corners, size):
    """Volume against 2,000 level slices of a regular polygon, each moved inward by the section at its depth."""
    angle = turned + np.arange(corners) * 2 * pi / corners
    points = np.column_stack([np.cos(angle), np.sin(angle)]) * 0.4
    thick = 0.025
    size = thick / 2 if kind == "bullnose" else size
    profile = EdgeProfile(tuple(range(1, corners + 1)), kind, None if kind == "bullnose" else size)
    made = measure(Outline(Region.from_points(points), thick, edge_profiles=(profile,)))
    depth = (np.arange(20_000) + 0.5) / 20_000 * thick
    near = np.minimum(depth, thick - depth) if kind == "bullnose" else depth
    inside = np.clip(size - near, 0, None)
    back = {
        "bevel": inside,
        "cove": np.sqrt(np.clip(size**2 - depth**2, 0, None)),
    }.get(kind, size - np.sqrt(size**2 - inside**2))
    apothem = 0.4 * cos(pi / corners)
    areas = corners * tan(pi / corners) * (apothem - back) ** 2
    assert made.volume_m3 == pytest.approx(areas.mean() * thick, rel=2e-6)
