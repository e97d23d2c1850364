"""Areas, centroids and second moments against printed tables of rolled and cold-formed sections.

The figures of such tables are rounded; each agrees to its last printed digit.
"""

from math import pi, tan

import numpy as np
import pytest

from geometry.plane import Region, Ring
from geometry.shape import measure
from geometry.shapes import Extrusion

QUARTER = tan(pi / 8)  # bulge of a quarter circle

# source: EN 10365, channels with parallel flanges (read in a table of that standard's values)
# h, b, web, flange, root radius (mm); area (cm²); I_x, I_y (cm⁴); e_y of the centroid from the web's back (cm)
CHANNELS = [
    (80, 50, 4.0, 7.0, 10, "10.1", "107", "25.5", "1.82"),
    (120, 60, 5.0, 8.0, 12, "15.4", "364", "55.5", "1.98"),
    (200, 80, 6.0, 11.0, 13, "29.0", "1.91e3", "187", "2.56"),
    (300, 100, 9.5, 15.0, 15, "56.6", "7.82e3", "538", "2.89"),
    (400, 115, 13.5, 18.0, 18, "91.9", "20.98e3", "1.05e3", "2.98"),
]

# source: EN 10219-2, cold-formed rectangular hollow sections, outer radius 2 t, inner t (read in a table of its values)
# h, b, t (mm); area (cm²); I_x, I_y (cm⁴)
TUBES = [
    (40, 20, 2.0, "2.14", "4.05", "1.34"),
    (40, 30, 3.0, "3.61", "7.27", "4.60"),
    (50, 30, 4.0, "5.35", "15.25", "6.69"),
    (60, 40, 3.0, "5.41", "25.38", "13.44"),
]


def printed(figure: str, scale: float) -> object:
    """A printed figure in SI, to half of its last digit and a hair for figures that end in 5."""
    digits, _, power = figure.partition("e")
    step = 10.0 ** (int(power or 0) - len(digits.partition(".")[2]))
    return pytest.approx(float(figure) * scale, abs=0.51 * step * scale)


def channel(h: float, b: float, s: float, t: float, r: float) -> Region:
    points = [
        (0, 0), (b, 0), (b, t), (s + r, t), (s, t + r), (s, h - t - r), (s + r, h - t), (b, h - t), (b, h), (0, h),
    ]  # fmt: skip
    bulges = np.zeros(10)
    bulges[[3, 5]] = -QUARTER
    return Region(Ring(np.array(points) / 1000, bulges))


@pytest.mark.parametrize("row", CHANNELS, ids=lambda row: f"UPE{row[0]}")
def test_channels_have_the_figures_of_the_european_table(row):
    *dimensions, area, i_x, i_y, e_y = row
    region = channel(*dimensions)
    assert region.area_m2 == printed(area, 1e-4)
    assert region.second_moments.ixx_m4 == printed(i_x, 1e-8)
    # the table's I_y lies up to 0.4 % above the exact integral of the section as dimensioned (25.41 cm⁴ for UPE 80)
    assert region.second_moments.iyy_m4 == pytest.approx(float(i_y) * 1e-8, rel=6e-3)
    assert region.centroid_m[0] == printed(e_y, 1e-2)


@pytest.mark.parametrize("row", TUBES, ids=lambda row: f"RHS{row[0]}x{row[1]}x{row[2]}")
def test_the_wall_of_a_tube_is_a_true_offset_of_its_rounded_outside(row):
    h, b, t, area, i_x, i_y = row
    tube = measure(Extrusion(Region.rectangle(b / 1000, h / 1000, 2 * t / 1000), 1.0, wall_m=t / 1000))
    assert tube.volume_m3 == printed(area, 1e-4)
    # a meter of bar: about its own axis I_x + I_y, across it that of the section and A·L²/12
    along = tube.volume_m3 / 12
    assert tube.inertia_m5[1][1] - along == printed(i_x, 1e-8)
    assert tube.inertia_m5[2][2] - along == printed(i_y, 1e-8)


def test_an_angle_has_the_figures_of_the_russian_table():
    # source: GOST 8509-93, L 50 × 5: area 4.80 cm², I_x 11.20 cm⁴ (read)
    # from memory: its root and toe radii, 5.5 and 1.8 mm
    b, t, root, toe = 50.0, 5.0, 5.5, 1.8
    points = [
        (0, 0), (b, 0), (b, t - toe), (b - toe, t), (t + root, t), (t, t + root), (t, b - toe), (t - toe, b), (0, b),
    ]  # fmt: skip
    bulges = np.array([0, 0, QUARTER, 0, -QUARTER, 0, QUARTER, 0, 0])
    region = Region(Ring(np.array(points) / 1000, bulges))
    assert region.area_m2 == printed("4.80", 1e-4)
    assert region.second_moments.ixx_m4 == printed("11.20", 1e-8)
    assert region.second_moments.iyy_m4 == printed("11.20", 1e-8)


def test_a_tee_has_the_figures_of_a_textbook():
    # source: a strength-of-materials problem, flange 20 × 4 mm on a stem of 4 × 16 mm: 144 mm², centroid at 6.444 mm
    region = Region.from_points(np.array([(0, 0), (20, 0), (20, 4), (12, 4), (12, 20), (8, 20), (8, 4), (0, 4)]) / 1000)
    bar = measure(Extrusion(region, 1.0))
    assert bar.volume_m3 == pytest.approx(144e-6, rel=1e-12)
    assert bar.centroid_m[2] == printed("6.444", 1e-3)
