"""Edges of a plan against shapely: material along a line, distances, and what lies within."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st

from geometry.edges import (
    box_around,
    clearances_m,
    edges_of,
    lie_apart,
    lies_inside,
    lies_within,
    material_at,
    material_on,
    ring_distance_m,
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


def test_at_an_edge_square_to_the_length_either_side_counts() -> None:
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


def test_a_corner_lies_within_and_not_inside() -> None:
    for corner in (TEE[0], TEE[4], HOLES[0][2], (1.0, 0.0)):
        assert lies_within(corner, EDGES)
        assert not lies_inside(corner, EDGES)


def test_rings_lie_as_far_apart_as_by_shapely() -> None:
    a, b = HOLES
    assert ring_distance_m(edges_of([a]), edges_of([b])) == pytest.approx(0.5)
    to_edge = shapely.LinearRing(TEE).distance(shapely.LinearRing(b))
    assert ring_distance_m(edges_of([TEE]), edges_of([b])) == pytest.approx(to_edge, abs=1e-12)


def test_openings_apart_are_told_from_those_that_meet() -> None:
    first, second = (box_around(np.array(ring)) for ring in HOLES)
    outer = (0.0, 0.0, 2.0, 1.0)
    assert lie_apart(outer, [first, second])
    assert not lie_apart(outer, [first, (0.7, 0.3, 1.0, 0.6)])
    assert not lie_apart(outer, [(0.0, 0.2, 0.3, 0.5)]), "it touches the edge"
