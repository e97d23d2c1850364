"""Extrusions and revolutions against closed forms."""

from math import cos, hypot, pi, sin

import numpy as np
import pytest

from estimator.words import PLAIN
from geometry.errors import FaultError
from geometry.plane import Region
from geometry.shape import layer_parts, measure
from geometry.shapes import Extrusion, Revolution

BAR = Region.from_points([(0, 0), (0.1, 0), (0.1, 0.05), (0, 0.05)])


def test_a_square_ended_bar_lies_along_x():
    made = measure(Extrusion(BAR, 2.0))
    assert made.volume_m3 == pytest.approx(0.01, rel=1e-12)
    assert made.size_m == pytest.approx((2.0, 0.1, 0.05))
    assert made.centroid_m == pytest.approx((1.0, 0.05, 0.025))
    assert made.form_area_m2 == pytest.approx(0.6, rel=1e-12)
    assert made.surface_area_m2 == pytest.approx(0.61, rel=1e-12)
    assert made.inertia_m5[0][0] == pytest.approx(0.01 * (0.1**2 + 0.05**2) / 12, rel=1e-12)
    assert made.inertia_m5[1][1] == pytest.approx(0.01 * (2.0**2 + 0.05**2) / 12, rel=1e-12)


def test_mitered_ends_take_the_length_at_the_centroid_of_the_profile():
    made = measure(Extrusion(BAR, 2.0, mitre_left_deg=45.0, mitre_right_deg=45.0))
    assert made.volume_m3 == pytest.approx(0.005 * 1.9, rel=1e-12)
    assert made.surface_area_m2 == pytest.approx(0.05 * (2.0 + 1.8) + 0.2 * 1.9 + 2 * 2**0.5 * 0.005, rel=1e-12)
    # a trapezium, 2.0 long at the front and 1.8 at the back
    assert made.centroid_m == pytest.approx((1.0, 0.1 / 3 * (2.0 + 2 * 1.8) / 3.8, 0.025), rel=1e-12)


def test_a_negative_miter_shortens_the_front():
    made = measure(Extrusion(BAR, 2.0, mitre_left_deg=45.0, mitre_right_deg=-45.0))
    assert made.volume_m3 == pytest.approx(0.005 * 1.9, rel=1e-12)
    assert made.centroid_m == pytest.approx((1.0, 0.05, 0.025), rel=1e-12)
    # first principles: a parallelogram's product of inertia, with x sheared by y: ∫xy = V·d²/12
    assert made.inertia_m5[0][1] == pytest.approx(-0.005 * 1.9 * 0.1**2 / 12, rel=1e-9)


def test_a_round_bar_keeps_its_curve():
    made = measure(Extrusion(Region.circle(0.2), 1.5))
    assert made.volume_m3 == pytest.approx(pi * 0.01 * 1.5, rel=1e-12)
    assert made.form_area_m2 == pytest.approx(pi * 0.2 * 1.5, rel=1e-12)
    assert made.tolerance == 0.0


def test_a_tube_closed_at_one_end_has_its_closed_form():
    made = measure(Extrusion(Region.circle(0.2), 1.5, wall_m=0.01, open="right"))
    assert made.volume_m3 == pytest.approx(pi * (0.01 * 1.5 - 0.09**2 * 1.49), rel=1e-6)
    assert made.form_area_m2 == pytest.approx(pi * 0.2 * 1.5 + pi * 0.01, rel=1e-9)
    surface = pi * (0.2 * 1.5 + 2 * 0.01 + 0.18 * 1.49)
    assert made.surface_area_m2 == pytest.approx(surface, rel=1e-6)


def test_the_face_coat_of_a_bar_wraps_its_sides_and_leaves_its_ends():
    _, back = layer_parts(Extrusion(BAR, 2.0), [0.003, None])
    assert back.volume_m3 == pytest.approx(0.094 * 0.044 * 2.0, rel=1e-12)
    _, core = layer_parts(Extrusion(BAR, 2.0), [0.003, None], faces="all")
    assert core.volume_m3 == pytest.approx(0.094 * 0.044 * 1.994, rel=1e-12)
    _, mitred = layer_parts(Extrusion(BAR, 2.0, 45.0, 45.0), [0.003, None])
    assert mitred.volume_m3 == pytest.approx(0.094 * 0.044 * 1.9, rel=1e-12)


def test_a_cone_and_a_frustum_have_their_closed_forms():
    cone = measure(Revolution(((0, 0), (0.3, 0), (0, 0.4))))
    assert cone.volume_m3 == pytest.approx(pi * 0.09 * 0.4 / 3, rel=1e-12)
    assert cone.surface_area_m2 == pytest.approx(pi * 0.09 + pi * 0.3 * 0.5, rel=1e-12)
    assert cone.centroid_m == pytest.approx((0.3, 0.3, 0.1), rel=1e-12)
    assert cone.inertia_m5[2][2] == pytest.approx(0.3 * cone.volume_m3 * 0.09, rel=1e-12)
    assert cone.tolerance == 0.0
    frustum = measure(Revolution(((0, 1.0), (0.3, 1.0), (0.2, 1.5), (0, 1.5))))
    assert frustum.volume_m3 == pytest.approx(pi * 0.5 / 3 * (0.09 + 0.04 + 0.06), rel=1e-12)
    assert frustum.size_m == pytest.approx((0.6, 0.6, 0.5))


def test_a_ring_has_its_volume_by_pappus():
    # source: Pappus: volume = area · path of its centroid, surface = girth · path of its centroid
    corners = np.linspace(0, 2 * pi, 13)[:-1]
    ring = measure(Revolution(tuple((0.5 + 0.1 * cos(a), 0.1 * sin(a)) for a in corners)))
    area, girth = 12 * 0.1**2 * sin(pi / 6) / 2, 12 * 0.2 * sin(pi / 12)
    assert ring.volume_m3 == pytest.approx(area * 2 * pi * 0.5, rel=1e-12)
    assert ring.surface_area_m2 == pytest.approx(girth * 2 * pi * 0.5, rel=1e-12)
    assert ring.centroid_m == pytest.approx((0.6, 0.6, 0.1))


def test_a_sphere_of_many_chords_approaches_the_closed_form():
    angles = np.linspace(-pi / 2, pi / 2, 1001)
    ball = measure(Revolution(tuple((0.5 * cos(a), 0.5 * sin(a)) for a in angles)))
    assert ball.volume_m3 == pytest.approx(4 / 3 * pi * 0.125, rel=5e-6)
    assert ball.surface_area_m2 == pytest.approx(pi, rel=5e-6)


def test_a_pot_has_an_even_wall_and_an_open_top():
    made = measure(Revolution(((0, 0), (0.3, 0), (0.3, 0.5), (0, 0.5)), wall_m=0.02, open="top"))
    assert made.volume_m3 == pytest.approx(pi * (0.09 * 0.5 - 0.28**2 * 0.48), rel=1e-6)
    assert made.form_area_m2 == pytest.approx(pi * (0.09 + 0.6 * 0.5), rel=1e-9)
    rim = pi * (0.09 - 0.28**2)
    assert made.finished_area_m2 == pytest.approx(made.form_area_m2 + rim, rel=1e-6)
    inside = pi * (0.28**2 + 0.56 * 0.48)
    assert made.surface_area_m2 == pytest.approx(made.finished_area_m2 + inside, rel=1e-6)
    face, _ = layer_parts(Revolution(((0, 0), (0.3, 0), (0.3, 0.5), (0, 0.5)), wall_m=0.02, open="top"), [0.004, None])
    assert face.volume_m3 == pytest.approx(pi * (0.09 * 0.5 - 0.296**2 * 0.496), rel=1e-6)


def test_the_wall_of_a_leaning_pot_is_measured_square_to_it():
    made = measure(Revolution(((0, 0), (0.2, 0), (0.3, 0.5), (0, 0.5)), wall_m=0.02, open="top"))
    thick = 0.02 * hypot(1, 0.2)
    low, high = 0.2 + 0.2 * 0.02 - thick, 0.3 - thick
    hollow = pi * 0.48 / 3 * (low**2 + low * high + high**2)
    assert made.volume_m3 == pytest.approx(pi * 0.5 / 3 * 0.19 - hollow, rel=1e-9)


@pytest.mark.parametrize(
    ("shape", "key"),
    [
        (Extrusion(BAR, 0.0), "length"),
        (Extrusion(BAR, 0.1, 45.0, 45.0), "length"),
        (Extrusion(BAR, 1.0, 90.0), "mitre_left"),
        (Extrusion(BAR, 1.0, wall_m=0.03), "wall"),
        (Extrusion(BAR, 1.0, 45.0, wall_m=0.01, open="left"), "open"),
        (Revolution(((0, 0), (0.3, 0))), "profile"),
        (Revolution(((0, 0), (-0.3, 0), (0, 0.4))), "profile[1]"),
        (Revolution(((0, 0), (0.3, 0.4), (0.3, 0), (0, 0.4))), "profile"),
        (Revolution(((0, 0), (0.3, 0), (0, 0.4)), wall_m=0.02, open="top"), "open"),
        (Revolution(((0, 0), (0.3, 0), (0.3, 0.4), (0, 0.4)), wall_m=0.3), "wall"),
        (Revolution(((0, 0), (0.3, 0), (0, 0.4)), open="bottom"), "open"),
    ],
)
def test_swept_shapes_that_cannot_be_built_are_refused_at_their_key(shape, key):
    with pytest.raises(FaultError) as refused:
        measure(shape)
    assert refused.value.key == key
    assert PLAIN.text(refused.value.message, "fix")
