"""Pictures show shapes and marks in their true places, in both formats."""

import io
import re
from itertools import pairwise
from xml.etree import ElementTree

import numpy as np
import pytest
import trimesh
from PIL import Image

from geometry.picture import draw_outline, draw_views
from geometry.plane import Region
from geometry.views import VIEWS, view_lines
from tests.refusal import METRIC

SVG = "{http://www.w3.org/2000/svg}"


def texts(picture):
    return [element.text for element in ElementTree.fromstring(picture.svg()).iter(SVG + "text")]


def box(size, at=(0.0, 0.0, 0.0)):
    made = trimesh.creation.box(extents=size)
    vertices = np.asarray(made.vertices) + np.array(size) / 2 + np.array(at)
    return vertices, np.asarray(made.faces, dtype=np.int64)


@pytest.fixture
def counter():
    return Region(Region.rectangle(1.8, 0.6).outer, (Region.rectangle(0.8, 0.4).translated(0.9, 0.1).outer,))


def test_an_outline_shows_its_size_and_centroid(counter):
    # source: first moments by hand: (1.08 · 0.9 − 0.32 · 1.3) / 0.76 = 0.7316
    assert texts(draw_outline([counter], METRIC.text)) == [
        "1800 mm",
        "600 mm",
        "centroid 732 mm from the left, 300 mm from the front",
    ]


def test_several_outlines_are_numbered_in_sequence(counter):
    shown = texts(draw_outline([counter, Region.circle(0.3, (2.2, 0.3))], METRIC.text))
    assert {"1", "2"} < set(shown)
    assert shown[-1].startswith("centroid of all together ")


def test_labels_come_from_the_caller_and_are_escaped(counter):
    picture = draw_outline([counter], lambda said: f'<{dict(said.values).get("value_m")}" & more>')
    assert '<1.8" & more>' in texts(picture)


def test_the_drawn_outline_has_the_proportions_of_the_piece(counter):
    path = re.search(r'<path d="([^"]*)" fill="#e4e4e4"', draw_outline([counter]).svg())
    points = np.array([[float(v) for v in pair.split(",")] for pair in re.findall(r"[\d.]+,[\d.]+", path[1])])
    width, height = np.ptp(points, axis=0)
    assert width / height == pytest.approx(3.0, rel=1e-3)


def test_png_shows_material_gray_and_holes_white(counter):
    picture = draw_outline([counter])
    image = Image.open(io.BytesIO(picture.png()))
    assert image.format == "PNG"
    # A row below the centroid's mark: dark edges at 0 and 1.8 m, of the hole at 0.9 and 1.7 m, in a field of 150 mm.
    row = np.asarray(image.convert("L"))[round((10 + 150 / 1.8 * 0.3 + 6) * 6)]
    (dark,) = np.nonzero(row < 90)
    groups = np.split(dark, np.nonzero(np.diff(dark) > 3)[0] + 1)
    edges = [float(group.mean()) for group in groups if group.mean() > 33 * 6]
    places = (np.array(edges) - edges[0]) / 6 / 150 * 1.8
    assert places == pytest.approx([0.0, 0.9, 1.7, 1.8], abs=0.01)
    fills = [row[round((left + right) / 2)] for left, right in pairwise(edges)]
    assert fills == [0xE4, 0xFF, 0xE4]


def test_the_same_input_gives_the_same_picture(counter):
    assert draw_outline([counter]).png() == draw_outline([counter]).png()
    vertices, faces = box((1.0, 0.5, 0.4))
    assert draw_views(vertices, faces, (0.5, 0.25, 0.2)).svg() == draw_views(vertices, faces, (0.5, 0.25, 0.2)).svg()


def test_three_views_show_three_sizes_and_the_centroid():
    vertices, faces = box((1.0, 0.5, 0.4), at=(3.0, 2.0, 1.0))
    shown = texts(draw_views(vertices, faces, (3.5, 2.25, 1.2), METRIC.text))
    assert {"front", "right", "top", "1000 mm", "500 mm", "400 mm"} < set(shown)
    assert shown[-1] == "centroid 500 mm from the left, 250 mm from the front, 200 mm up"


@pytest.mark.parametrize(("name", "size"), [("front", (1.0, 0.4)), ("right", (0.5, 0.4)), ("top", (1.0, 0.5))])
def test_a_box_is_seen_as_its_four_edges_from_each_side(name, size):
    vertices, faces = box((1.0, 0.5, 0.4))
    seen, hidden = view_lines(vertices, faces, VIEWS[name])
    lengths = sorted(float(np.hypot(*(line[1] - line[0]))) for line in seen)
    # the far edges lie behind the near ones and are hidden by the face between
    assert lengths == pytest.approx(sorted(2 * size), rel=1e-6)
    assert len(hidden) == 4


def test_hidden_edges_are_broken_and_visible_ones_are_not():
    big, faces = box((1.0, 0.2, 1.0))
    small, _ = box((0.2, 0.1, 0.2), at=(0.4, 0.5, 0.4))
    both = np.concatenate([big, small])
    faces = np.concatenate([faces, faces + len(big)])
    from_front, behind = view_lines(both, faces, VIEWS["front"])
    assert all(np.ptp(line, axis=0).max() > 0.9 for line in from_front)
    assert any(np.ptp(line, axis=0).max() < 0.3 for line in behind)
    mirrored = both * [1.0, -1.0, 1.0]
    from_front, _ = view_lines(mirrored, faces[:, ::-1], VIEWS["front"])
    assert sum(np.ptp(line, axis=0).max() < 0.3 for line in from_front) == 4


def test_a_smooth_body_is_drawn_as_its_silhouette():
    sphere = trimesh.creation.icosphere(subdivisions=4)
    seen, _ = view_lines(np.asarray(sphere.vertices), np.asarray(sphere.faces, dtype=np.int64), VIEWS["top"])
    distance = [float(np.hypot(*point)) for line in seen for point in line]
    assert min(distance) > 0.97
