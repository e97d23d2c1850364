"""Boxes and drawn plans against closed forms."""

from math import hypot, pi, sqrt

import pytest

from geometry.errors import FaultError
from geometry.plane import Region
from geometry.shape import layer_parts, measure
from geometry.shapes import Box, CircleCutout, DrainHole, Outline


def test_an_open_box_has_its_closed_form():
    made = measure(Box(1.0, 0.5, 0.4, 0.02, 0.03))
    assert made.volume_m3 == pytest.approx(0.2 - 0.96 * 0.46 * 0.37, rel=1e-12)
    rim = 0.5 - 0.96 * 0.46
    assert made.form_area_m2 == pytest.approx(0.5 + 3.0 * 0.4, rel=1e-12)
    assert made.finished_area_m2 == pytest.approx(3.0 * 0.4 + rim, rel=1e-12)
    assert made.surface_area_m2 == pytest.approx(0.5 + 1.2 + rim + 2.84 * 0.37 + 0.96 * 0.46, rel=1e-12)
    assert made.tolerance == 0.0


def test_a_closed_box_has_a_lid_as_thick_as_its_base():
    made = measure(Box(1.0, 0.5, 0.4, 0.02, 0.03, open=False))
    assert made.volume_m3 == pytest.approx(0.2 - 0.96 * 0.46 * 0.34, rel=1e-12)
    assert made.form_area_m2 == pytest.approx(2 * (0.5 + 0.6), rel=1e-12)
    assert made.centroid_m == pytest.approx((0.5, 0.25, 0.2))


def test_fillets_of_a_closed_box_follow_steiners_formula():
    # source: Steiner's formula for a cuboid a·b·c grown by r: abc + 2r(ab + bc + ca) + πr²(a + b + c) + 4πr³/3
    made = measure(Box(1.0, 0.5, 0.4, 0.02, 0.03, open=False, fillet_m=0.05))
    a, b, c, r = 0.86, 0.36, 0.24, 0.05
    hollow = a * b * c + 2 * r * (a * b + b * c + c * a) + pi * r**2 * (a + b + c) + 4 / 3 * pi * r**3
    inside = 2 * (a * b + b * c + c * a) + 2 * pi * r * (a + b + c) + 4 * pi * r**2
    assert made.volume_m3 == pytest.approx(0.2 - hollow, rel=1e-12)
    assert made.surface_area_m2 == pytest.approx(2.2 + inside, rel=1e-11)


def test_leaning_walls_make_frusta_and_keep_their_thickness_at_right_angles():
    made = measure(Box(1.0, 0.6, 0.4, 0.02, 0.03, base_length_m=0.8, base_width_m=0.5))

    def frustum(l0, w0, l1, w1, h):
        return h / 6 * (l0 * w0 + l1 * w1 + (l0 + l1) * (w0 + w1))

    thick_x, thick_y = 2 * 0.02 * hypot(1, 0.1 / 0.4), 2 * 0.02 * hypot(1, 0.05 / 0.4)
    floor_l, floor_w = 0.8 + 0.2 * 0.03 / 0.4, 0.5 + 0.1 * 0.03 / 0.4
    hollow = frustum(floor_l - thick_x, floor_w - thick_y, 1.0 - thick_x, 0.6 - thick_y, 0.37)
    assert made.volume_m3 == pytest.approx(frustum(0.8, 0.5, 1.0, 0.6, 0.4) - hollow, rel=1e-12)
    walls = 2 * (0.9 * hypot(0.4, 0.05) + 0.55 * hypot(0.4, 0.1))
    assert made.form_area_m2 == pytest.approx(0.8 * 0.5 + walls, rel=1e-12)
    assert made.edge_lengths_m["upright"] == pytest.approx(4 * sqrt(0.4**2 + 0.1**2 + 0.05**2))


def test_drain_holes_remove_their_cylinder_and_add_its_wall():
    plain = measure(Box(1.0, 0.5, 0.4, 0.02, 0.03))
    made = measure(Box(1.0, 0.5, 0.4, 0.02, 0.03, drain_holes=(DrainHole(0.04, 0.3, 0.25),)))
    assert plain.volume_m3 - made.volume_m3 == pytest.approx(pi * 0.02**2 * 0.03, rel=1e-9)
    added = pi * 0.04 * 0.03 - 2 * pi * 0.02**2
    assert made.surface_area_m2 - plain.surface_area_m2 == pytest.approx(added, rel=1e-9)
    assert made.centroid_m[0] > 0.5


def test_the_face_coat_of_a_box_lies_on_its_outside_alone():
    face, back = layer_parts(Box(1.0, 0.5, 0.4, 0.02, 0.03), [0.003, None])
    assert face.volume_m3 == pytest.approx(0.2 - 0.994 * 0.494 * 0.397, rel=1e-12)
    assert back.centroid_m[2] > face.centroid_m[2] * 0.5
    _, core = layer_parts(Box(1.0, 0.5, 0.4, 0.02, 0.03, open=False), [0.003, None], faces="all")
    a, b, c, r = 0.96, 0.46, 0.34, 0.003
    grown = a * b * c + 2 * r * (a * b + b * c + c * a) + pi * r**2 * (a + b + c) + 4 / 3 * pi * r**3
    assert core.volume_m3 == pytest.approx(0.994 * 0.494 * 0.394 - grown, rel=1e-9)


@pytest.mark.parametrize(
    ("box", "key"),
    [
        (Box(1.0, 0.5, 0.4, 0.25, 0.03), "wall"),
        (Box(1.0, 0.5, 0.4, 0.02, 0.4), "base"),
        (Box(1.0, 0.5, 0.4, 0.02, 0.2, open=False), "base"),
        (Box(1.0, 0.5, 0.4, 0.02, 0.03, fillet_m=0.24), "fillet"),
        (Box(1.0, 0.5, 0.0, 0.02, 0.03), "height"),
        (Box(1.0, 0.5, 0.4, 0.02, 0.03, drain_holes=(DrainHole(0.04, 0.03, 0.25),)), "drain_holes[0].x"),
        (
            Box(1.0, 0.5, 0.4, 0.02, 0.03, drain_holes=(DrainHole(0.04, 0.3, 0.25), DrainHole(0.04, 0.33, 0.25))),
            "drain_holes[1]",
        ),
    ],
)
def test_boxes_that_cannot_be_built_are_refused_at_their_key(box, key):
    with pytest.raises(FaultError) as refused:
        measure(box)
    assert refused.value.key == key


def test_the_outline_of_a_disc_with_a_hole_keeps_its_curves_exact():
    made = measure(Outline(Region.circle(1.0, (2.0, 3.0)), 0.03, cutouts=(CircleCutout(0.1, 2.0, 3.1),)))
    assert made.volume_m3 == pytest.approx(pi * (0.25 - 0.0025) * 0.03, rel=1e-12)
    assert made.form_area_m2 == pytest.approx(pi * (0.25 - 0.0025) + pi * 1.1 * 0.03, rel=1e-12)
    assert made.centroid_m[:2] == pytest.approx((2.0, 3.0 - 0.1 * 0.0025 / 0.2475))
    assert made.tolerance == 0.0


def test_an_outline_shell_is_a_true_inward_offset():
    made = measure(Outline(Region.circle(1.0), 0.3, wall_m=0.02))
    assert made.volume_m3 == pytest.approx(pi * (0.25 * 0.3 - 0.48**2 * 0.28), rel=1e-6)
    assert made.form_area_m2 == pytest.approx(pi * 0.25 + pi * 0.3, rel=1e-9)
    assert made.finished_area_m2 == pytest.approx(made.form_area_m2 + pi * (0.25 - 0.48**2), rel=1e-6)
    face, _ = layer_parts(Outline(Region.circle(1.0), 0.3, wall_m=0.02), [0.003, None])
    assert face.volume_m3 == pytest.approx(pi * (0.25 * 0.3 - 0.497**2 * 0.297), rel=1e-6)


def test_the_outline_shell_of_an_angle_rounds_its_inside_corner():
    # the hollow is what lies at least the wall away, so at the inside corner its edge is an arc about that corner
    angle = Region.from_points([(0, 0), (1.0, 0), (1.0, 0.4), (0.4, 0.4), (0.4, 1.0), (0, 1.0)])
    made = measure(Outline(angle, 0.3, wall_m=0.05, open="both"))
    hollow = 0.9 * 0.3 + 0.3 * 0.6 + (1 - pi / 4) * 0.05**2
    assert made.volume_m3 == pytest.approx((0.64 - hollow) * 0.3, rel=1e-6)


def test_an_outline_wall_too_thick_for_a_hollow_is_refused():
    with pytest.raises(FaultError) as refused:
        measure(Outline(Region.circle(1.0), 0.3, wall_m=0.5))
    assert refused.value.key == "wall"


@pytest.mark.parametrize("width_m", [1e-9, 1e-6, 9e-6])
def test_an_outline_thinner_than_a_drawing_is_exact_to_encloses_nothing(width_m: float) -> None:
    for points in ([(0, 0), (1, 0), (1, width_m), (0, width_m)], [(0, 0), (1, 1), (1 - width_m, 1 + width_m)]):
        with pytest.raises(FaultError, match="outline-no-area"):
            Region.from_points(points)
