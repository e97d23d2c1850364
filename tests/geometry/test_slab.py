"""Slabs against figures worked by hand."""

from math import pi

import pytest

from estimator.words import PLAIN
from geometry.errors import FaultError
from geometry.message import message
from geometry.plane import Region
from geometry.shape import layer_parts, measure
from geometry.shapes import (
    CircleCutout,
    DropEdge,
    EdgeProfile,
    EllipseCutout,
    OutlineCutout,
    RectangleCutout,
    Slab,
    Taper,
)
from tests.refusal import refusal

IN = 0.0254

COUNTER = Slab(
    72 * IN,
    25.5 * IN,
    0.75 * IN,
    cutouts=(RectangleCutout(30 * IN, 16 * IN, 20 * IN, 4 * IN),),
    drop_edges=(DropEdge(("front", "left"), 2 * IN, 1 * IN),),
)


def test_a_counter_with_front_and_left_drops_equals_the_hand_calculation():
    # first principles, in inches: plate less sink, plus two drops whose corner counts once
    made = measure(COUNTER)
    plate, sink, drops = 72 * 25.5, 30 * 16, 72 * 1 + 24.5 * 1
    assert made.volume_m3 / IN**3 == pytest.approx((plate - sink) * 0.75 + drops * 1.25, rel=1e-12)
    top, outer = plate - sink, 2 * (72 + 25.5) * 0.75 + (72 + 25.5 + 1 + 1) * 1.25
    sink_edges, drop_inside = 92 * 0.75, (71 + 24.5) * 1.25
    assert made.form_area_m2 / IN**2 == pytest.approx(top + outer + sink_edges, rel=1e-12)
    assert made.finished_area_m2 == pytest.approx(made.form_area_m2, rel=1e-12)
    assert made.surface_area_m2 / IN**2 == pytest.approx(2 * top + outer + sink_edges + drop_inside, rel=1e-12)
    assert made.size_m == pytest.approx((72 * IN, 25.5 * IN, 2 * IN))
    moment_x = (plate * 36 - sink * 35) * 0.75 + (72 * 36 + 24.5 * 0.5) * 1.25
    moment_z = (plate - sink) * 0.75 * 1.625 + drops * 1.25 * 0.625
    assert made.centroid_m[0] / IN == pytest.approx(moment_x / (made.volume_m3 / IN**3), rel=1e-12)
    assert made.centroid_m[2] / IN == pytest.approx(moment_z / (made.volume_m3 / IN**3), rel=1e-12)
    assert made.edge_lengths_m["drops"] / IN == pytest.approx(97.5)
    assert made.edge_lengths_m["cutouts"] / IN == pytest.approx(92.0)
    assert made.tolerance == 0.0


def test_a_cutout_goes_through_the_drop_below_it():
    plain = Slab(1.0, 0.6, 0.02, drop_edges=(DropEdge(("front",), 0.1, 0.05),))
    notched = Slab(
        1.0, 0.6, 0.02, drop_edges=plain.drop_edges, cutouts=(RectangleCutout(0.2, 0.3, 0.4, 0.03),)
    )  # fmt: skip
    gone = 0.2 * 0.3 * 0.02 + 0.2 * 0.02 * 0.08
    assert measure(plain).volume_m3 - measure(notched).volume_m3 == pytest.approx(gone, rel=1e-12)


def test_a_raw_edge_is_formed_but_not_finished_and_a_reveal_only_to_its_depth():
    def with_edge(**edge: object) -> Slab:
        return Slab(1.0, 0.6, 0.03, cutouts=(CircleCutout(0.3, 0.5, 0.3, **edge),))  # type: ignore[arg-type]

    whole, raw = measure(with_edge()), measure(with_edge(edge="raw"))
    reveal = measure(with_edge(depth_m=0.01))
    assert whole.finished_area_m2 - raw.finished_area_m2 == pytest.approx(pi * 0.3 * 0.03, rel=1e-12)
    assert reveal.finished_area_m2 - raw.finished_area_m2 == pytest.approx(pi * 0.3 * 0.01, rel=1e-12)
    assert whole.form_area_m2 == pytest.approx(raw.form_area_m2, rel=1e-12)


def test_every_kind_of_cutout_takes_out_its_own_area():
    plain = measure(Slab(1.0, 0.6, 0.02)).volume_m3
    square = OutlineCutout(Region.from_points([(0, 0), (0.1, 0), (0.1, 0.1), (0, 0.1)]), 0.2, 0.2)
    for cutout, area in (
        (RectangleCutout(0.2, 0.1, 0.3, 0.2, radius_m=0.02), 0.02 - (4 - pi) * 0.02**2),
        (CircleCutout(0.2, 0.3, 0.2), pi * 0.01),
        (EllipseCutout(0.3, 0.2, 0.3, 0.2), pi * 0.15 * 0.1),
        (square, 0.01),
    ):
        made = measure(Slab(1.0, 0.6, 0.02, cutouts=(cutout,)))
        assert (plain - made.volume_m3) / 0.02 == pytest.approx(area, rel=1e-9)


def test_overlapping_cutouts_count_once_and_are_reported():
    made = measure(
        Slab(1.0, 0.6, 0.02, cutouts=(RectangleCutout(0.2, 0.2, 0.2, 0.2), RectangleCutout(0.2, 0.2, 0.3, 0.2)))
    )
    assert made.volume_m3 == pytest.approx((0.6 - 0.3 * 0.2) * 0.02, rel=1e-12)
    assert made.notes == (message("cutouts-overlap", first="cutouts[0]", second="cutouts[1]"),)


def test_a_thickened_rim_hangs_below_the_plate():
    cutout = RectangleCutout(0.4, 0.3, 0.3, 0.15, rim_thickness_m=0.05, rim_width_m=0.03)
    made = measure(Slab(1.0, 0.6, 0.02, cutouts=(cutout,)))
    assert made.volume_m3 == pytest.approx((0.6 - 0.12) * 0.02 + (0.46 * 0.36 - 0.12) * 0.03, rel=1e-9)
    assert made.size_m[2] == pytest.approx(0.05)


@pytest.mark.parametrize(
    ("kind", "section", "girth"),
    [
        ("bevel", 0.01**2 / 2, 2**0.5 * 0.01),
        ("round-over", (1 - pi / 4) * 0.01**2, pi / 2 * 0.01),
        ("cove", pi / 4 * 0.01**2, pi / 2 * 0.01),
    ],
)
def test_a_worked_edge_takes_off_its_section_along_the_side(kind, section, girth):
    plain = measure(Slab(1.0, 0.6, 0.02))
    made = measure(Slab(1.0, 0.6, 0.02, edge_profiles=(EdgeProfile(("front",), kind, 0.01),)))
    assert plain.volume_m3 - made.volume_m3 == pytest.approx(section, rel=1e-9)
    ends = 2 * section
    assert plain.form_area_m2 - made.form_area_m2 == pytest.approx(0.02 - girth + ends, rel=1e-9)


def test_two_worked_edges_miter_at_the_corner():
    # first principles: the two bevels share a pyramid of base a·a and height a at the corner
    a = 0.01
    one = measure(Slab(1.0, 0.6, 0.02, edge_profiles=(EdgeProfile(("front", "left"), "bevel", a),)))
    assert 0.6 * 0.02 - one.volume_m3 == pytest.approx((1.0 + 0.6) * a**2 / 2 - a**3 / 3, rel=1e-9)


@pytest.mark.parametrize("to", ["left", "right", "front", "back"])
def test_a_tapered_slab_is_a_wedge_on_a_plate(to):
    made = measure(Slab(1.0, 0.6, 0.02, taper=Taper(to, 0.04)))
    assert made.volume_m3 == pytest.approx(0.6 * 0.03, rel=1e-12)
    across = 0.6 if to in ("front", "back") else 1.0
    slope = (across**2 + 0.02**2) ** 0.5 / across
    assert made.surface_area_m2 == pytest.approx(0.6 * (1 + slope) + 3.2 * 0.03, rel=1e-12)
    axis = 1 if to in ("front", "back") else 0
    along = made.centroid_m[axis] / across
    thin_to_thick = (0.5 * 0.02 + 2 / 3 * 0.01) / 0.03
    assert along == pytest.approx(thin_to_thick if to in ("right", "back") else 1 - thin_to_thick, rel=1e-9)


def test_a_tapered_slab_with_a_round_hole_has_the_thickness_at_its_center():
    made = measure(Slab(1.0, 0.6, 0.02, taper=Taper("right", 0.04), cutouts=(CircleCutout(0.3, 0.4, 0.3),)))
    assert made.volume_m3 == pytest.approx(0.6 * 0.03 - pi * 0.15**2 * 0.028, rel=1e-8)
    surface = measure(Slab(1.0, 0.6, 0.02, taper=Taper("right", 0.04))).surface_area_m2
    hole = pi * 0.15**2 * (1 + (1 + 0.02**2) ** 0.5) - pi * 0.3 * 0.028
    assert made.surface_area_m2 == pytest.approx(surface - hole, rel=1e-6)


def test_the_face_coat_of_a_plain_slab_turns_its_corners():
    face, back = layer_parts(Slab(1.0, 0.6, 0.02), [0.003, None])
    assert back.volume_m3 == pytest.approx(0.994 * 0.594 * 0.017, rel=1e-12)
    assert face.volume_m3 == pytest.approx(0.6 * 0.02 - 0.994 * 0.594 * 0.017, rel=1e-12)
    everywhere, core = layer_parts(Slab(1.0, 0.6, 0.02), [0.003, None], faces="all")
    assert core.volume_m3 == pytest.approx(0.994 * 0.594 * 0.014, rel=1e-12)
    assert everywhere.volume_m3 + core.volume_m3 == pytest.approx(0.012, rel=1e-15)


def test_the_face_coat_runs_down_the_drop_and_round_the_sink():
    t = 0.125
    face, back = layer_parts(COUNTER, [t * IN, None])
    plate = (72 - 2 * t) * (25.5 - 2 * t)
    sink = (30 + 2 * t) * (16 + 2 * t) - (4 - pi) * t**2
    drops = (72 - 2 * t) * (1 - t) + (24.5 - t) * (1 - t)
    assert back.volume_m3 / IN**3 == pytest.approx((plate - sink) * (0.75 - t) + drops * 1.25, rel=1e-6)
    assert face.volume_m3 + back.volume_m3 == pytest.approx(measure(COUNTER).volume_m3, rel=1e-15)


def test_the_middle_layer_may_take_the_rest():
    slab = Slab(1.0, 0.6, 0.02)
    named = layer_parts(slab, [0.003, 0.012, 0.005])
    open_middle = layer_parts(slab, [0.003, None, 0.005])
    assert [p.volume_m3 for p in open_middle] == pytest.approx([p.volume_m3 for p in named], rel=1e-12)


@pytest.mark.parametrize(
    ("slab", "key", "words"),
    [
        (Slab(0.0, 0.6, 0.02), "length", "more than 0"),
        (Slab(1.0, 0.6, -0.02), "thickness", "more than 0"),
        (Slab(1.0, float("nan"), 0.02), "width", "not a finite number"),
        (Slab(1.0, 0.6, 0.02, drop_edges=(DropEdge(("front",), 0.01, 0.02),)), "drop_edges[0].height", "less than"),
        (
            Slab(1.0, 0.6, 0.02, drop_edges=(DropEdge(("front",), 0.1, 0.7),)),
            "drop_edges[0].thickness",
            "at most 600 mm fits",
        ),
        (Slab(1.0, 0.6, 0.02, drop_edges=(DropEdge((), 0.1, 0.02),)), "drop_edges[0].edges", "names no edge"),
        (
            Slab(1.0, 0.6, 0.02, cutouts=(CircleCutout(0.3, 0.1, 0.3),)),
            "cutouts[0].x",
            "by 50 mm at the left",
        ),
        (
            Slab(1.0, 0.6, 0.02, cutouts=(RectangleCutout(0.3, 0.3, 0.1, 0.4),)),
            "cutouts[0].y",
            "by 100 mm at the back",
        ),
        (Slab(1.0, 0.6, 0.02, cutouts=(RectangleCutout(0.3, 0.2, 0.1, 0.1, 0.11),)), "cutouts[0].radius", "half"),
        (Slab(1.0, 0.6, 0.02, cutouts=(CircleCutout(0.3, 0.5, 0.3, depth_m=0.03),)), "cutouts[0].depth", "deeper"),
        (Slab(1.0, 0.6, 0.02, cutouts=(RectangleCutout(0.1, 0.6, 0.4, 0.0),)), "cutouts", "in two"),
        (Slab(1.0, 0.6, 0.02, cutouts=(RectangleCutout(1.0, 0.6, 0.0, 0.0),)), "cutouts", "nothing"),
        (
            Slab(1.0, 0.6, 0.02, cutouts=(CircleCutout(0.3, 0.5, 0.3, rim_width_m=0.03),)),
            "cutouts[0].rim_width",
            "without rim_thickness",
        ),
        (
            Slab(1.0, 0.6, 0.02, edge_profiles=(EdgeProfile(("front",), "cove", 0.03),)),
            "edge_profiles[0].size",
            "more than the 20 mm edge",
        ),
        (Slab(1.0, 0.6, 0.02, taper=Taper("left", 0.0)), "taper.thickness", "more than 0"),
    ],
)
def test_a_slab_that_cannot_be_built_is_refused_at_its_key(slab, key, words):
    with refusal(words) as refused:
        measure(slab)
    assert refused.value.key == key
    assert PLAIN.text(refused.value.message, "fix")


@pytest.mark.parametrize(
    ("layers", "key"),
    [
        ([0.003, 0.01], "layers"),
        ([None, None], "layers"),
        ([0.02, None], "layers"),
        ([0.0, None], "layers[0].thickness"),
        ([], "layers"),
    ],
)
def test_layers_that_do_not_make_up_the_slab_are_refused(layers, key):
    with pytest.raises(FaultError) as refused:
        layer_parts(Slab(1.0, 0.6, 0.02), layers)
    assert refused.value.key == key


def test_a_refusal_names_the_key_and_the_value():
    with pytest.raises(FaultError) as refused:
        measure(Slab(-1.0, 0.6, 0.02))
    assert str(refused.value) == "length: not-positive (length_m = -1.0)"
