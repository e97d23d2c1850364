"""Laser point lists: instrument noise is laid flat and reported, points off the plane are refused with their place."""

from io import StringIO
from math import cos, pi, radians, sin, tan

import ezdxf
import numpy as np
import pytest

from geometry.files import InputFile
from geometry.readers.drawing import read_drawing
from tests.refusal import note_texts, refusal

MM = 0.001


def read(text, name="template.csv", unit_m=MM):
    content = text if isinstance(text, bytes) else text.encode()
    return read_drawing(InputFile(name, content), unit_m=unit_m)


def ellipse(noise_mm, start, count=400):
    """Points (count, 3) on a 2400 x 1200 mm ellipse, mm, with noise of an instrument."""
    turn = 2 * pi * np.arange(count) / count
    flat = np.stack([1200 * np.cos(turn), 600 * np.sin(turn), np.full(count, 873.0)], axis=1)
    return flat + np.random.default_rng(start).normal(0, noise_mm, flat.shape)


def table(points, mark=";", comma=True):
    lines = [mark.join(f"{value:.4f}" for value in point) for point in points]
    text = mark.join("xyz") + "\n" + "\n".join(lines) + "\n"
    return text.replace(".", ",") if comma else text


@pytest.mark.parametrize("start", range(20))
def test_noise_of_half_a_millimeter_is_laid_flat_with_a_note(start):
    # first principles: an ellipse; 400 chords make it 4.1e-5 too small
    drawing = read(table(ellipse(0.5, start)))
    assert drawing.area_m2 == pytest.approx(pi * 1.2 * 0.6, rel=5e-4)
    (note,) = note_texts(drawing.problems)
    assert note.startswith("Lines drawn in space were laid flat. They stray up to ")


def test_a_point_far_off_the_plane_is_refused_with_its_place():
    points = ellipse(0.2, 1)
    points[100] += [0, 0, 12]
    with refusal(r"Outline 1 near \(-?0\.\d+, (599|600)\.\d+\) mm strays"):
        read(table(points))


def test_a_leaning_template_is_read_to_one_degree_and_refused_beyond():
    for lean, taken in ((0.9, True), (1.1, False)):
        turn = radians(lean)
        points = ellipse(0.0, 0) @ np.array([[cos(turn), 0, -sin(turn)], [0, 1, 0], [sin(turn), 0, cos(turn)]])
        if taken:
            drawing = read(table(points))
            assert drawing.area_m2 == pytest.approx(pi * 1.2 * 0.6, rel=2.5e-4)
            assert "leans by 0.9°" in note_texts(drawing.problems)[0]
        else:
            with refusal("leans"):
                read(table(points))


def test_outlines_at_two_heights_each_have_a_plane_of_their_own():
    square = [(0, 0), (600, 0), (600, 600), (0, 600)]
    rows = [f"{name},{x + dx},{y},{z}" for name, dx, z in (("A", 0, 900), ("B", 900, 1060)) for x, y in square]
    drawing = read("outline,x,y,z\n" + "\n".join(rows) + "\n")
    assert drawing.area_m2 == pytest.approx(0.72)
    assert note_texts(drawing.problems) == ()


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
@pytest.mark.parametrize(
    "head", ["Point\tX (mm)\tY (mm)\tZ (mm)", "id\tx [mm]\ty [mm]\tz [mm]", "No\tx mm\ty mm\tz mm"]
)
def test_a_head_names_the_unit(head, encoding):
    text = f"{head}\r\n1\t0\t0\t1,5\r\n2\t600\t0\t1,5\r\n3\t600\t400,5\t1,5\r\n4\t0\t400,5\t1,5\r\n"
    drawing = read(text.encode(encoding), "template.txt", unit_m=None)
    assert (drawing.area_m2, drawing.unit_m) == (pytest.approx(0.6 * 0.4005), MM)


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("x (mm),y (in),z (mm)\n0,0,0\n", "The columns of places have different units"),
        ("x (mm),y,z\n0,0,0\n", "The columns of places have different units"),
        ("x,y,x\n0,0,0\n", 'There is more than one column "x"'),
        ("x,y,layer (mm)\n0,0,a\n", r'Column "layer \(mm\)" is not known'),
        ("0,0,0\n1,0,0\n1,1,0\n", "three columns without names"),
        ("x;y\n1.200,5;0\n", '"1.200.5" is not a number'),
        ("x;y\n1 200;0\n", '"1 200" is not a number'),
    ],
)
def test_unclear_points_are_refused(text, line):
    with refusal(line):
        read(text)


def test_heights_in_well_known_text_are_not_dropped_silently():
    tilt = tan(radians(30))
    with refusal("Geometry 1"):
        read(f"POLYGON Z ((0 0 0, 600 0 {600 * tilt}, 600 400 {600 * tilt}, 0 400 0, 0 0 0))", "a.wkt")
    noisy = read("POLYGON Z ((0 0 0, 600 0 0.3, 600 400 0, 0 400 0.3, 0 0 0))", "a.wkt")
    assert noisy.area_m2 == pytest.approx(0.24)
    assert "laid flat" in note_texts(noisy.problems)[0]


def test_points_without_an_order_are_refused():
    document = ezdxf.new("R2000")
    for point in ellipse(0.5, 3, 40):
        document.modelspace().add_point(point)
    document.write(text := StringIO())
    with refusal("holds 40 points and no lines, and points alone have no order. Join the points in order"):
        read(text.getvalue(), "scan.dxf")
    with refusal("holds 3 points"):
        read("MULTIPOINT (0 0, 1 0, 1 1)", "scan.wkt")


@pytest.mark.parametrize("noise", [1e-3, 0.5])
def test_a_polyline_in_space_with_noise_is_read(noise):
    document = ezdxf.new("R2000")
    document.modelspace().add_polyline3d(ellipse(noise, 4), close=True)
    document.write(text := StringIO())
    assert read(text.getvalue(), "laser.dxf").area_m2 == pytest.approx(pi * 1.2 * 0.6, rel=5e-4)
