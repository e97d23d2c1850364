"""Edges of a plan against shapely: material along a line, distances, and what lies within."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from geometry.edges import (
    FEW,
    box_around,
    clearances_m,
    distances_m,
    edges_of,
    least_distance_m,
    lie_apart,
    lies_inside,
    lies_within,
    material_at,
    material_on,
    near_pairs,
)

TEE = [(0.0, 0.0), (2.0, 0.0), (2.0, 0.6), (1.2, 0.6), (1.1, 1.4), (0.5, 1.4), (0.5, 0.6), (0.0, 0.6)]
HOLES = [[(0.6, 0.2), (0.9, 0.2), (0.9, 0.5), (0.6, 0.5)], [(1.4, 0.3), (1.6, 0.1), (1.8, 0.3), (1.6, 0.5)]]
EDGES = edges_of([TEE, *HOLES])
PLAN = shapely.Polygon(TEE, HOLES)
PLACES = st.floats(-0.2, 2.2)


@given(at=PLACES)
def test_material_along_a_line_is_that_of_the_plan(at: float) -> None:
    assume(np.abs(EDGES[:, 0] - at).min() > 1e-9)
    met = PLAN.intersection(shapely.LineString([(at, -1.0), (at, 3.0)]))
    by_shapely = sorted((part.bounds[1], part.bounds[3]) for part in shapely.get_parts(met) if part.length > 0.0)
    for spans in (material_on(EDGES, at), material_at(EDGES, [at])[0], material_at(EDGES, [at], left=False)[0]):
        assert len(spans) == len(by_shapely)
        assert spans == [pytest.approx(span, abs=1e-12) for span in by_shapely]


def test_either_side_counts_at_an_edge_square_to_the_length() -> None:
    assert material_at(EDGES, [0.5]) == [[(0.0, 0.6)]]
    assert material_at(EDGES, [0.5], left=False) == [[(0.0, 1.4)]]
    assert material_on(EDGES, 0.5) == [(0.0, 1.4)], "the line runs along the edge"
    assert material_on(EDGES, 0.6) == [(0.0, 1.4)], "and along that of an opening"
    assert material_on(EDGES, 2.0) == [(0.0, 0.6)]
    assert material_on(EDGES, 2.1) == []


@given(x=PLACES, y=st.floats(-0.2, 1.6))
def test_a_point_lies_within_and_as_far_from_an_edge_as_by_shapely(x: float, y: float) -> None:
    point = shapely.Point(x, y)
    far = PLAN.boundary.distance(point)
    clearance = clearances_m(np.array([(x, y)]), EDGES)[0]
    assert abs(clearance) == pytest.approx(far, abs=1e-12)
    if far > 1e-12:
        assert (clearance > 0.0) == PLAN.contains(point) == lies_within((x, y), EDGES) == lies_inside((x, y), EDGES)


def test_a_corner_lies_within_but_not_inside() -> None:
    for corner in (TEE[0], TEE[4], HOLES[0][2], (1.0, 0.0)):
        assert lies_within(corner, EDGES)
        assert not lies_inside(corner, EDGES)


def test_rings_lie_as_far_apart_as_by_shapely() -> None:
    around = [(-2.0, -2.0), (4.0, -2.0), (4.0, 4.0), (-2.0, 4.0)]
    assert least_distance_m(around, HOLES) == pytest.approx(0.5)
    to_edge = min(shapely.LinearRing(TEE).distance(shapely.LinearRing(hole)) for hole in HOLES)
    assert least_distance_m(TEE, HOLES) == pytest.approx(to_edge, abs=1e-12)
    assert least_distance_m(TEE, []) is None


CORNERS = st.tuples(st.integers(0, 12), st.integers(0, 12), st.integers(1, 4), st.integers(1, 4))


@given(
    boxes=st.lists(CORNERS.map(lambda c: (c[0], c[1], c[0] + c[2], c[1] + c[3])), max_size=12), gap_m=st.integers(0, 3)
)
def test_near_boxes_are_those_of_a_plain_comparison(boxes: list[tuple[float, ...]], gap_m: float) -> None:
    plain = {
        (i, j)
        for (i, a), (j, b) in combinations(enumerate(boxes), 2)
        if max(a[0] - b[2], b[0] - a[2], a[1] - b[3], b[1] - a[3]) <= gap_m
    }
    found = list(near_pairs(boxes, gap_m))
    assert set(found) == plain
    assert len(found) == len(plain)


@settings(deadline=None)  # an example builds a large tree, which takes longer than 0.2 s on a busy machine
@given(st.lists(st.tuples(PLACES, PLACES), min_size=1, max_size=20))
def test_distances_by_the_tree_equal_those_by_the_array(points: list[tuple[float, float]]) -> None:
    many = np.tile(np.array(points), (FEW // len(EDGES) // len(points) + 1, 1))
    assert distances_m(many, EDGES)[: len(points)] == pytest.approx(distances_m(many[: len(points)], EDGES), abs=1e-12)


def test_separate_openings_are_told_apart_from_those_that_meet() -> None:
    first, second = (box_around(np.array(ring)) for ring in HOLES)
    outer = (0.0, 0.0, 2.0, 1.0)
    assert lie_apart(outer, [first, second])
    assert not lie_apart(outer, [first, (0.7, 0.3, 1.0, 0.6)])
    assert not lie_apart(outer, [(0.0, 0.2, 0.3, 0.5)]), "it touches the edge"
