"""Panels against figures worked by hand."""

from math import pi

import pytest

from estimator.words import PLAIN
from geometry.errors import FaultError
from geometry.shape import layer_parts, measure
from geometry.shapes import CircleCutout, Panel, PanelOpening, RectangleCutout, Return, Ribs

PAN = Panel(2.4, 1.2, 0.013, returns=(Return(("bottom", "top", "left", "right"), 0.075, 0.02),))


def test_a_pan_with_four_returns_has_its_closed_form():
    made = measure(PAN)
    ring = 2.4 * 1.2 - 2.36 * 1.16
    assert made.volume_m3 == pytest.approx(2.4 * 1.2 * 0.013 + ring * 0.062, rel=1e-12)
    assert made.form_area_m2 == pytest.approx(2.4 * 1.2 + 7.2 * 0.075, rel=1e-12)
    assert made.surface_area_m2 == pytest.approx(2 * 2.4 * 1.2 + 7.2 * 0.075 + 7.04 * 0.062, rel=1e-12)
    assert made.centroid_m[:2] == pytest.approx((1.2, 0.6))
    assert made.tolerance == 0.0


def test_returns_of_unequal_depth_count_their_corner_once():
    made = measure(Panel(2.4, 1.2, 0.013, returns=(Return(("left",), 0.1, 0.02), Return(("bottom",), 0.05, 0.03))))
    union = (1.2 * 0.02 + 2.4 * 0.03 - 0.02 * 0.03) * 0.037 + 1.2 * 0.02 * 0.05
    assert made.volume_m3 == pytest.approx(2.4 * 1.2 * 0.013 + union, rel=1e-12)
    # only sides with a return have an outer face against the form
    assert made.form_area_m2 == pytest.approx(2.88 + 1.2 * 0.1 + 2.4 * 0.05, rel=1e-12)


def test_ribs_both_ways_cross_once_and_stop_at_returns():
    made = measure(Panel(2.4, 1.2, 0.013, ribs=Ribs(0.6, 0.04, 0.053, "both"), returns=PAN.returns))
    ring = 2.4 * 1.2 - 2.36 * 1.16
    ribs = 1 * 2.36 * 0.04 + 3 * 1.16 * 0.04 - 3 * 0.04**2
    assert made.volume_m3 == pytest.approx(2.88 * 0.013 + (ring + ribs) * 0.04 + ring * 0.022, rel=1e-12)
    assert made.edge_lengths_m["ribs"] == pytest.approx(2.4 + 3 * 1.2)


def test_an_opening_with_returns_is_framed_and_its_frame_is_formed():
    opening = PanelOpening(RectangleCutout(0.6, 0.4, 1.0, 0.4), depth_m=0.05, thickness_m=0.02)
    made = measure(Panel(2.4, 1.2, 0.013, openings=(opening,)))
    frame = 0.64 * 0.44 - 0.24
    assert made.volume_m3 == pytest.approx((2.88 - 0.24) * 0.013 + frame * 0.037, rel=1e-12)
    assert made.form_area_m2 == pytest.approx(2.88 - 0.24 + 2.0 * 0.05, rel=1e-12)
    assert made.finished_area_m2 == pytest.approx(made.form_area_m2, rel=1e-12)


def test_a_plain_opening_is_seen_at_its_edge_but_not_formed():
    opening = PanelOpening(CircleCutout(0.4, 1.0, 0.6))
    made = measure(Panel(2.4, 1.2, 0.013, openings=(opening,)))
    assert made.form_area_m2 == pytest.approx(2.88 - pi * 0.04, rel=1e-12)
    assert made.finished_area_m2 - made.form_area_m2 == pytest.approx(pi * 0.4 * 0.013, rel=1e-12)
    cut = measure(Panel(2.4, 1.2, 0.013, openings=(PanelOpening(CircleCutout(0.4, 1.0, 0.6, edge="raw")),)))
    assert cut.finished_area_m2 == pytest.approx(cut.form_area_m2, rel=1e-12)


def test_the_face_coat_of_a_pan_covers_face_and_returns():
    t = 0.003
    face, back = layer_parts(PAN, [t, None])
    inner = (2.4 - 2 * t) * (1.2 - 2 * t)
    left = inner * (0.013 - t) + (inner - 2.36 * 1.16) * 0.062
    assert back.volume_m3 == pytest.approx(left, rel=1e-12)
    assert face.volume_m3 == pytest.approx(measure(PAN).volume_m3 - left, rel=1e-12)


def test_the_face_coat_of_a_skin_without_returns_stays_on_the_face():
    face, _ = layer_parts(Panel(2.4, 1.2, 0.013), [0.003, None])
    assert face.volume_m3 == pytest.approx(2.88 * 0.003, rel=1e-12)


def test_beyond_a_shallow_return_the_coat_rounds_off():
    # the bottom return ends at 50 mm; beyond it the deeper left return is coated in a quarter round
    t = 0.01
    panel = Panel(2.4, 1.2, 0.013, returns=(Return(("left",), 0.1, 0.05), Return(("bottom",), 0.05, 0.03)))
    _, back = layer_parts(panel, [t, None])
    skin = (2.4 - t) * (1.2 - t) * (0.013 - t)
    both = ((0.05 - t) * (1.2 - t) + (2.4 - 0.05) * (0.03 - t)) * 0.037
    deep = (0.05 - t) * (1.2 * 0.05 - pi / 4 * t**2)
    assert back.volume_m3 == pytest.approx(skin + both + deep, rel=1e-6)


@pytest.mark.parametrize(
    ("panel", "key"),
    [
        (Panel(2.4, 1.2, 0.0), "skin"),
        (Panel(2.4, 1.2, 0.013, returns=(Return(("left",), 0.01, 0.02),)), "returns[0].depth"),
        (Panel(2.4, 1.2, 0.013, returns=(Return(("left",), 0.1, 2.4),)), "returns[0].thickness"),
        (Panel(2.4, 1.2, 0.013, ribs=Ribs(0.6, 0.6, 0.05)), "ribs.width"),
        (Panel(2.4, 1.2, 0.013, ribs=Ribs(0.6, 0.04, 0.005)), "ribs.depth"),
        (Panel(2.4, 1.2, 0.013, openings=(PanelOpening(CircleCutout(0.4, 2.3, 0.6)),)), "openings[0].x"),
        (
            Panel(2.4, 1.2, 0.013, openings=(PanelOpening(CircleCutout(0.4, 1.2, 0.6), depth_m=0.05),)),
            "openings[0].return_thickness",
        ),
    ],
)
def test_panels_that_cannot_be_built_are_refused_at_their_key(panel, key):
    with pytest.raises(FaultError) as refused:
        measure(panel)
    assert refused.value.key == key
    assert PLAIN.text(refused.value.message, "fix")
