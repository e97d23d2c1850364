"""Edges of a plan: numbers, names, and lookup along lines."""

from math import cos, pi, radians, sin

import numpy as np
import pytest

from estimator.words import PLAIN
from geometry.errors import FaultError
from geometry.plan_edges import EdgePart, chosen, edges_along, plan_edges
from geometry.plane import Region, Ring

L_SHAPE = np.array([(0, 0), (96, 0), (96, 25.5), (25.5, 25.5), (25.5, 72), (0, 72)]) * 0.0254


def edges_of(points, bulges=None):
    return plan_edges(Ring(np.array(points, dtype=float), None if bulges is None else np.array(bulges, dtype=float)))


def sides(edges):
    return [edge.side for edge in edges]


def test_numbers_run_counterclockwise_from_the_lower_left():
    edges = edges_of(L_SHAPE)
    assert [round(edge.length_m / 0.0254, 6) for edge in edges] == [96, 25.5, 70.5, 46.5, 25.5, 72]
    assert sides(edges) == ["front", "right", "back", "right", "back", "left"]


def test_the_start_of_the_outline_does_not_matter():
    for start in range(6):
        assert sides(edges_of(np.roll(L_SHAPE, start, axis=0))) == sides(edges_of(L_SHAPE))


@pytest.mark.parametrize("angle", [-80, -30, -5, 12, 45, 80])
def test_names_stay_when_the_drawing_is_turned_askew(angle):
    c, s = cos(radians(angle)), sin(radians(angle))
    turned = edges_of(L_SHAPE @ np.array([[c, s], [-s, c]]))
    assert sides(turned) == sides(edges_of(L_SHAPE))
    assert [edge.length_m for edge in turned] == pytest.approx([edge.length_m for edge in edges_of(L_SHAPE)])


def test_a_half_turn_swaps_names():
    assert sides(edges_of(-L_SHAPE))[0] == "front"
    assert edges_of(-L_SHAPE)[0].length_m != pytest.approx(edges_of(L_SHAPE)[0].length_m)


def test_a_plan_drawn_upright_keeps_its_axes():
    tall = edges_of([(0, 0), (0.6, 0), (0.6, 1.8), (0, 1.8)])
    assert sides(tall) == ["front", "right", "back", "left"]
    assert tall[0].length_m == pytest.approx(0.6)


def test_an_edge_between_two_sides_has_a_number_but_no_name():
    assert sides(edges_of([(1, 0), (5, 0), (6, 1), (6, 2), (0, 2), (0, 1)])) == [
        "front", None, "right", "back", "left", None,
    ]  # fmt: skip


def test_collinear_lines_are_one_edge_and_a_curve_of_many_pieces_is_one_edge():
    assert len(edges_of([(0, 0), (1, 0), (2, 0), (2, 1), (0, 1)])) == 4
    angle = np.linspace(-pi / 2, pi / 2, 30)
    end = np.column_stack([3 + 0.5 * np.cos(angle), 0.5 + 0.5 * np.sin(angle)])
    pieces = edges_of(np.concatenate([[(0, 0)], end, [(0, 1)]]))
    assert sides(pieces) == ["front", "right", "back", "left"]
    assert sides(plan_edges(Region.circle(1.0).outer)) == ["front", "back"]
    assert sides(plan_edges(Region.ellipse(2.0, 1.0).outer)) == ["front", "back"]


def test_a_point_names_the_nearest_edge_and_a_part_is_measured_along_it():
    edges = edges_of(L_SHAPE)
    (stretch,) = chosen(edges, [EdgePart(near_m=(1.5, 0.7), from_m=0.1, to_m=0.4)], "edges")
    assert (stretch.number, stretch.from_m, stretch.to_m) == (3, 0.1, 0.4)
    both = chosen(edges, ["back"], "edges")
    assert [stretch.number for stretch in both] == [3, 5]


@pytest.mark.parametrize(
    ("name", "key", "words"),
    [
        ("top", "edges[0]", "not a side"),
        (7, "edges[0]", "not an edge"),
        (EdgePart(3, length_m=1.7), "edges[0].length", "Half an inch"),
        (EdgePart("back", from_m=0.1), "edges[0]", "names edges 3 and 5"),
        (EdgePart(1, from_m=0.5, to_m=9.0), "edges[0]", "on an edge 96"),
        (EdgePart(near_m=(0.0, 0.0)), "edges[0].near", "as near"),
    ],
)
def test_a_missing_edge_is_refused_at_its_key(name, key, words):
    with pytest.raises(FaultError) as refused:
        chosen(edges_of(L_SHAPE), [name], "edges")
    assert refused.value.key == key
    assert words in PLAIN.text(refused.value.message)
    assert PLAIN.text(refused.value.message, "fix")


def test_a_length_within_half_an_inch_passes():
    length = edges_of(L_SHAPE)[2].length_m
    assert chosen(edges_of(L_SHAPE), [EdgePart(3, length_m=length + 0.0126)], "edges")


def test_lines_name_the_edges_they_lie_along():
    inch = 0.0254
    whole = np.array([(96, 25.4), (25.6, 25.4)]) * inch
    part = np.array([(20, 0.1), (50, 0.1)]) * inch
    found = edges_along(Ring(L_SHAPE), [whole, part])
    assert found[0] == EdgePart(1, from_m=pytest.approx(20 * inch), to_m=pytest.approx(50 * inch))
    assert found[1] == EdgePart(3)
    assert edges_along(Ring(L_SHAPE[::-1]), [whole, part]) == found  # whichever way round the outline was drawn


def test_a_line_along_no_edge_is_refused_with_its_place():
    with pytest.raises(FaultError) as refused:
        edges_along(Ring(L_SHAPE), [np.array([(1.0, 0.3), (2.0, 0.3)])])
    assert refused.value.message.id == "edge-line-stray"


def test_a_smooth_outline_with_one_corner_has_two_edges() -> None:
    # a leaf, as a closed spline of a drawing comes in: one corner at the origin
    turn = np.linspace(0.0, 2.0 * np.pi, 90)[:-1]
    leaf = Ring(np.stack([np.sin(turn / 2.0) ** 2, np.sin(turn) * np.sin(turn / 2.0)], axis=1))
    edges = plan_edges(leaf)
    assert len(edges) == 2
    assert sum(edge.length_m for edge in edges) == pytest.approx(leaf.perimeter_m)
