"""The largest inscribed sphere: against closed forms, and sampled against exact."""

from math import sqrt

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry import shapes
from geometry.hollow import Triangles
from geometry.inscribed import (
    CORNER_OF_THREE,
    SAMPLED_TOLERANCE,
    _Samples,
    _thinned,
    behind_rib_m,
    circle_m,
    corner_m,
    sphere_in_facets,
)


def diameter(shape: shapes.Shape) -> float:
    return shape.largest_sphere().diameter_m


def placed(*parts: shapes.Shape) -> shapes.Compound:
    return shapes.Compound(tuple(shapes.Placed(part) for part in parts))


@settings(deadline=None)
@given(st.floats(0.005, 0.1))
def test_the_sphere_in_a_plate_has_its_thickness(t: float) -> None:
    assert diameter(shapes.Slab(1.0, 0.6, t)) == pytest.approx(t)


@settings(deadline=None)
@given(st.floats(0.005, 0.05))
def test_a_corner_of_two_equal_plates_has_its_closed_form(t: float) -> None:
    # first principles: 2 t √2 / (1 + √2)
    assert corner_m(t, t) == pytest.approx(1.1716 * t, rel=1e-4)
    drop = shapes.DropEdge(("front",), 4 * t, t)
    assert diameter(shapes.Slab(1.0, 0.6, t, drop_edges=(drop,))) == pytest.approx(1.1716 * t, rel=1e-4)


def test_a_corner_of_three_plates_has_its_closed_form() -> None:
    # first principles: r = t √3 / (1 + √3)
    assert corner_m(0.02, 0.02, 0.02) == pytest.approx(2 * 0.02 * sqrt(3) / (1 + sqrt(3)))
    assert diameter(shapes.Box(1.0, 0.5, 0.4, 0.02, 0.02)) == pytest.approx(0.02 * CORNER_OF_THREE)
    drops = (shapes.DropEdge(("front", "left"), 0.1, 0.02),)
    assert diameter(shapes.Slab(1.0, 0.6, 0.02, drop_edges=drops)) == pytest.approx(0.02 * CORNER_OF_THREE)


@settings(deadline=None)
@given(st.floats(0.01, 0.05), st.floats(0.01, 0.2))
def test_the_sphere_in_a_corner_touches_every_face_it_should(t: float, d: float) -> None:
    found = corner_m(t, d) / 2
    assert found >= max(t, d) / 2
    if found > max(t, d) / 2 * (1 + 1e-9):
        assert (d - found) ** 2 + (t - found) ** 2 == pytest.approx(found**2)


def test_a_tread_with_an_upstand_is_less_thick_than_high() -> None:
    # 40 mm tread, 150 mm upstand, 30 mm thick: r = S − √(S² − Q) with S = 70, Q = 2500
    tread = placed(shapes.Slab(1.0, 0.30, 0.040), shapes.Slab(1.0, 0.030, 0.150))
    by_hand = 2 * (0.070 - sqrt(0.070**2 - 0.0025))
    assert by_hand == pytest.approx(0.0420, abs=5e-5)
    assert diameter(tread) == pytest.approx(by_hand, rel=SAMPLED_TOLERANCE)


@pytest.mark.parametrize(
    "shape",
    [
        shapes.Slab(1.0, 0.6, 0.025),
        shapes.Slab(1.2, 0.6, 0.02, drop_edges=(shapes.DropEdge(("front", "left"), 0.06, 0.03),)),
        shapes.Box(0.9, 0.4, 0.45, 0.02, 0.03),
        shapes.Panel(1.2, 0.9, 0.015, ribs=shapes.Ribs(0.4, 0.04, 0.06, "y")),
        shapes.Panel(1.2, 0.9, 0.02, returns=(shapes.Return(("left", "top"), 0.08, 0.02),)),
    ],
    ids=["slab", "drops", "box", "ribs", "returns"],
)
def test_closed_forms_agree_with_the_sphere_in_the_facets(shape: shapes.Shape) -> None:
    assert diameter(placed(shape)) == pytest.approx(diameter(shape), rel=SAMPLED_TOLERANCE)


def test_turned_and_drawn_shapes_have_the_sphere_of_their_plan() -> None:
    column = shapes.Revolution(((0.0, 0.0), (0.1, 0.0), (0.1, 0.5), (0.0, 0.5)))
    assert diameter(column) == pytest.approx(0.2, abs=2e-5)
    ball = [(0.08 * np.sin(a), 0.08 * (1 - np.cos(a))) for a in np.linspace(0, np.pi, 181)]
    assert diameter(shapes.Revolution(tuple((float(r), float(z)) for r, z in ball))) == pytest.approx(0.16, rel=1e-3)


@settings(max_examples=30, deadline=None)
@given(st.floats(0.01, 0.03), st.floats(0.01, 0.2), st.sampled_from([1, 2]))
def test_a_rib_never_makes_a_skin_thinner(skin: float, width: float, ways: int) -> None:
    found = behind_rib_m(skin, width, 0.1, ways)
    assert skin <= found <= 0.1 + 1e-12


def micrometers(low_m: float, high_m: float) -> st.SearchStrategy[float]:
    return st.integers(round(low_m * 1e6), round(high_m * 1e6)).map(lambda count: count / 1e6)


@settings(max_examples=40, deadline=None)
@given(
    # to the micrometer, like drawings: the planar library finds no distance between corners a billionth apart
    st.lists(st.tuples(*[micrometers(0.0, 0.2)] * 2, *[micrometers(0.005, 0.15)] * 2), min_size=1, max_size=4),
    micrometers(0.002, 0.12),
)
def test_a_circle_that_is_large_enough_is_found_like_the_largest(
    rectangles: list[tuple[float, float, float, float]], enough_m: float
) -> None:
    plan = shapely.union_all([shapely.box(x, y, x + length, y + width) for x, y, length, width in rectangles])
    assert min(circle_m(plan, enough_m), enough_m) == min(circle_m(plan), enough_m)


def test_in_a_ball_few_starts_are_searched_and_in_a_plate_all() -> None:
    # first principles: facets whose corners lie on a sphere touch the ball inside it at their middles
    import trimesh

    ball = trimesh.creation.icosphere(subdivisions=4, radius=0.1)
    plate = trimesh.creation.box((2.0, 0.6, 0.03)).subdivide_loop(4)
    triangles = [Triangles.of(np.asarray(mesh.vertices), np.asarray(mesh.faces)) for mesh in (ball, plate)]
    starts = []
    for mesh in triangles:
        samples = _Samples.of(mesh)
        starts.append(len(_thinned(mesh, samples, np.arange(len(samples.points)), 2.0)) / len(samples.points))
    assert starts[0] < 0.5  # the others would take a minute
    assert starts[1] == 1.0
    facets = triangles[0].corners
    normal = np.cross(facets[:, 1] - facets[:, 0], facets[:, 2] - facets[:, 0])
    nearest = np.abs(np.einsum("ij,ij->i", facets[:, 0], normal)) / np.linalg.norm(normal, axis=1)
    found = sphere_in_facets(np.asarray(ball.vertices), np.asarray(ball.faces))
    assert 2.0 * nearest.min() * (1.0 - SAMPLED_TOLERANCE) < found <= 2.0 * nearest.min() + 1e-9
