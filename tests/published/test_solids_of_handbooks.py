"""Solids of revolution and frusta against the closed forms of handbooks.

The forms are first principles; the chord tolerance of a curve given by points bounds each comparison.
"""

from math import cos, pi, sin

import numpy as np
import pytest

from geometry.shape import measure
from geometry.shapes import Box, Revolution

CHORDS = 2000


def arc(start: float, end: float, r_x: float, r_z: float, centre: float = 0.0) -> list[tuple[float, float]]:
    return [(centre + r_x * cos(a), r_z * sin(a)) for a in np.linspace(start, end, CHORDS + 1)]


def test_a_spherical_cap_has_its_closed_form():
    # V = πh²(3r − h)/3, curved area 2πrh, centroid 3(2r − h)²/(4(3r − h)) from the sphere's center
    r, h = 0.5, 0.2
    from_angle = np.arcsin((r - h) / r)
    cap = measure(Revolution(((0.0, r - h), *arc(from_angle, pi / 2, r, r))))
    assert cap.volume_m3 == pytest.approx(pi * h**2 * (3 * r - h) / 3, rel=1e-6)
    assert cap.surface_area_m2 == pytest.approx(2 * pi * r * h + pi * h * (2 * r - h), rel=1e-6)
    assert cap.centroid_m[2] + r - h == pytest.approx(3 * (2 * r - h) ** 2 / (4 * (3 * r - h)), rel=1e-6)


def test_an_ellipsoid_has_its_closed_form():
    # V = 4πa²c/3; moments V·(a² + c²)/5 across the axis and 2V·a²/5 about it
    a, c = 0.4, 0.25
    body = measure(Revolution(tuple(arc(-pi / 2, pi / 2, a, c))))
    volume = 4 / 3 * pi * a**2 * c
    assert body.volume_m3 == pytest.approx(volume, rel=2e-6)
    assert body.inertia_m5[2][2] == pytest.approx(0.4 * volume * a**2, rel=5e-6)
    assert body.inertia_m5[0][0] == pytest.approx(0.2 * volume * (a**2 + c**2), rel=5e-6)


def test_a_torus_has_its_volume_by_pappus():
    # V = 2π²Rr², S = 4π²Rr; about the axis V·(R² + 3r²/4)
    big, small = 0.5, 0.1
    ring = measure(Revolution(tuple(arc(0, 2 * pi, small, small, big)[:-1])))
    assert ring.volume_m3 == pytest.approx(2 * pi**2 * big * small**2, rel=2e-6)
    assert ring.surface_area_m2 == pytest.approx(4 * pi**2 * big * small, rel=2e-6)
    assert ring.inertia_m5[2][2] == pytest.approx(ring.volume_m3 * (big**2 + 0.75 * small**2), rel=2e-6)


def test_a_hollow_sphere_is_a_shell():
    # the wall's hollow is the sphere of the radius less the wall
    made = measure(Revolution(tuple(arc(-pi / 2, pi / 2, 0.3, 0.3)), wall_m=0.02))
    assert made.volume_m3 == pytest.approx(4 / 3 * pi * (0.3**3 - 0.28**3), rel=2e-5)


def test_an_obelisk_between_two_rectangles_has_its_closed_form():
    # V = h/6 · (a·b + a₁·b₁ + (a + a₁)(b + b₁)), the prismatoid formula
    a, b, a1, b1, h = 0.9, 0.7, 0.6, 0.5, 0.5
    outside = h / 6 * (a * b + a1 * b1 + (a + a1) * (b + b1))
    # a wall of nearly half the foot and a base of nearly the height leave almost no hollow
    solid = measure(Box(a, b, h, 0.2499, 0.4999, base_length_m=a1, base_width_m=b1))
    assert solid.volume_m3 == pytest.approx(outside, rel=1e-4)


def test_a_cone_has_its_centroid_at_a_quarter_and_its_inertia_at_three_tenths():
    # centroid h/4, I = 3/10·V·r² about the axis and 3/80·V·(4r² + h²) across it through the centroid
    r, h = 0.3, 0.4
    cone = measure(Revolution(((0, 0), (r, 0), (0, h))))
    assert cone.centroid_m[2] == pytest.approx(h / 4, rel=1e-12)
    assert cone.inertia_m5[2][2] == pytest.approx(0.3 * cone.volume_m3 * r**2, rel=1e-12)
    assert cone.inertia_m5[0][0] == pytest.approx(3 / 80 * cone.volume_m3 * (4 * r**2 + h**2), rel=1e-12)
