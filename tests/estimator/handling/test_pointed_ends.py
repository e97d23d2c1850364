"""Plates whose ends come to a point or are drawn at an angle."""

from __future__ import annotations

from dataclasses import replace
from math import cos, radians, sin

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from estimator.estimate import PieceEstimate
from estimator.handling.bending import Carry, check_carry
from estimator.handling.sections import FlatPiece, stretches_of_slab
from tests.estimator.handling.conftest import One, doubts_of, piece

G = 9.80665
RECTANGLE = [(0.0, 0.0), (2.4, 0.0), (2.4, 0.65), (0.0, 0.65)]


def outline(points: list[tuple[float, float]], degrees: float = 0.0) -> str:
    turn, way = radians(degrees), '["{:.6f} m", "{:.6f} m"]'
    turned = [(x * cos(turn) - y * sin(turn), x * sin(turn) + y * cos(turn)) for x, y in points]
    return f'{{ kind = "outline", thickness = "25 mm", points = [{", ".join(way.format(*p) for p in turned)}] }}'


def stresses_pa(estimated: PieceEstimate) -> list[float]:
    slings = [way.bending.stress_pa for way in estimated.handling.lifting.rigging if way.bending]
    return [check.stress_pa for check in estimated.handling.cracking.checks] + slings


@pytest.mark.parametrize("part", [0.1, 0.207, 0.3])
def test_a_diamond_bends_as_the_beam_of_its_widths(part: float) -> None:
    # first principles: with the width b x / (L / 2) from a point, V = q b x² / L and M = q b x³ / (3 L) less the
    # reaction's arm; the modulus is the width times t² / 6
    length_m, width_m, thickness_m, density = 2.0, 0.8, 0.025, 2000.0
    diamond = [(0.0, 0.4), (1.0, 0.0), (2.0, 0.4), (1.0, 0.8)]
    found = check_carry(
        stretches_of_slab(diamond, [], thickness_m, density),
        Carry("by hands", "flat", part, 1.0 - part),
        None,
        dynamic_factor=1.0,
        required_factor=1.5,
    )
    per_m2 = density * thickness_m * G
    x = np.linspace(1e-4, length_m / 2, 20001)
    width = width_m * x / (length_m / 2)
    reaction = per_m2 * width_m * length_m / 2 / 2
    moment = reaction * np.maximum(x - part * length_m, 0.0) - per_m2 * width_m * x**3 / (3 * length_m)
    exact_pa = float(np.max(np.abs(moment) / (width * thickness_m**2 / 6)))
    assert exact_pa * 0.999 < found.stress_pa < exact_pa * 1.35  # on the safe side of it, and not absurd


def test_ends_that_are_out_of_square_by_a_millimeter_change_next_to_nothing(estimate_piece: One) -> None:
    askew = [(0.0, 0.0), (2.401, 0.0), (2.4, 0.65), (0.001, 0.65)]
    square = stresses_pa(estimate_piece(piece(outline(RECTANGLE))))
    assert stresses_pa(estimate_piece(piece(outline(askew)))) == pytest.approx(square, rel=0.02)
    assert stresses_pa(estimate_piece(piece(outline(RECTANGLE, 0.05)))) == pytest.approx(square, rel=0.02)


def test_a_counter_with_angled_ends_has_pick_points(estimate_piece: One) -> None:
    angled = [(0.0, 0.0), (2.4, 0.0), (2.0, 0.65), (0.25, 0.65)]
    lifting = estimate_piece(piece(outline(angled), 'handling = { lifted_by = "slings" }')).handling.lifting
    assert [way.key for way in lifting.rigging] == ["slings-around"]


@pytest.mark.parametrize("degrees", [2.0, -7.0, 45.0, 88.0])
def test_a_plan_drawn_at_an_angle_is_not_checked_along_the_wrong_axes(estimate_piece: One, degrees: float) -> None:
    estimated = estimate_piece(piece(outline(RECTANGLE, degrees)))
    assert stresses_pa(estimated) == []
    assert "Bending not checked for this shape. A qualified person decides." in doubts_of(estimated)


@pytest.mark.parametrize(
    ("points", "is_square"),
    [
        (RECTANGLE, True),
        ([(0.0, 0.0), (2.4, 0.0), (2.4, 0.65), (0.015, 0.65)], True),  # out of square by less than a shop can mark
        ([(0.0, 0.0), (2.4, 0.0), (2.4, 0.65), (0.030, 0.65)], False),
        ([(0.0, 0.0), (2.4, 0.0), (2.0, 0.65), (0.25, 0.65)], False),
        ([(0.0, 0.0), (2.4, 0.0), (2.4, 0.65), (0.0, 0.65), (0.1, 0.3)], True),  # a notch in a square end
        ([(0.0, 0.0), (0.6, 0.0), (0.6, 1.5), (2.8, 1.5), (2.8, 2.1), (0.0, 2.1)], True),  # an L
        (
            [(0.05, 0.0), (2.35, 0.0), (2.4, 0.05), (2.4, 0.6), (2.35, 0.65), (0.05, 0.65), (0.0, 0.6), (0.0, 0.05)],
            True,
        ),
        ([(0.0, 0.3), (0.3, 0.0), (2.1, 0.0), (2.4, 0.3), (2.1, 0.65), (0.3, 0.65)], False),
    ],
)
def test_an_end_is_square_where_one_place_has_one_distance_from_it(
    estimate_piece: One, points: list[tuple[float, float]], is_square: bool
) -> None:
    for turn in (0.0, 90.0, 180.0):
        flat = estimate_piece(piece(outline(points, turn))).handling.flat
        assert flat is not None
        assert flat.square_ends == is_square


def flat_of(points: list[tuple[float, float]]) -> FlatPiece:
    x0, y0 = min(x for x, _ in points), min(y for _, y in points)
    return FlatPiece(
        tuple((x - x0, y - y0) for x, y in points), (), 0.025, (), turned=False, corner_m=(0, 0), ignored=()
    )


SHORT = st.floats(0.0, 0.9)


@given(SHORT, SHORT, SHORT, SHORT)
def test_foam_is_under_the_lower_edge_and_around_the_center(a: float, b: float, c: float, d: float) -> None:
    flat = flat_of([(a, 0.0), (2.0 - b, 0.0), (2.0 - c, 0.6), (d, 0.6)])
    down = 0.0 if flat.edge_up == "back" else flat.width_m
    edge = sorted(x for x, y in flat.outline if y == down)
    other = sorted(x for x, y in flat.outline if y != down)
    center = shapely.Polygon(flat.outline).centroid.x
    stands = edge[0] < center < edge[1]
    if flat.bearings_m:
        low, high = flat.bearings_m
        assert edge[0] - 0.01 <= low < center < high <= edge[1] + 0.01
        assert edge[1] - edge[0] > other[1] - other[0] - 0.02 or not other[0] + 0.2 < center < other[1] - 0.2
    else:
        assert not stands or min(center - edge[0], edge[1] - center) < 0.21


@pytest.mark.parametrize("mirror", [1.0, -1.0])
@pytest.mark.parametrize("way", [1.0, -1.0])
def test_an_l_stands_on_its_long_edge(mirror: float, way: float) -> None:
    # first principles: on the end of its short leg, 0.3 of 1.5 m, the L would tip about it
    points = [(0.0, 0.0), (1.5, 0.0), (1.5, 0.4), (0.3, 0.4), (0.3, 0.7), (0.0, 0.7)]
    flat = flat_of([(mirror * x, way * y) for x, y in points])
    assert flat.edge_up == ("back" if way == 1.0 else "front")
    assert flat.bearings_m == pytest.approx((0.207 * 1.5, 0.793 * 1.5))


def test_a_cutout_does_not_put_an_l_on_the_end_of_its_leg() -> None:
    # its wider rail is behind the hole, at the end of the leg, which does not hold the center of gravity
    points = [(0.0, 0.0), (1.5, 0.0), (1.5, 0.4), (0.3, 0.4), (0.3, 0.7), (0.0, 0.7)]
    hole = ((0.1, 0.06), (0.2, 0.06), (0.2, 0.16), (0.1, 0.16))
    assert replace(flat_of(points), cutouts=(hole,)).edge_up == "back"


def test_a_diamond_and_a_circle_have_no_edge_to_stand_on() -> None:
    round_ = [(cos(radians(6 * k)) / 2, sin(radians(6 * k)) / 2) for k in range(60)]
    assert flat_of([(0.0, 0.4), (1.0, 0.0), (2.0, 0.4), (1.0, 0.8)]).bearings_m == ()
    assert flat_of(round_).bearings_m == ()
