"""Plans cut along seams."""

from itertools import pairwise
from math import pi, sqrt

import numpy as np
import pytest
from shapely import LineString, get_parts, union_all

from geometry.errors import FaultError
from geometry.plane import Region, Ring
from geometry.split import Chord, chords_at, split_plan, split_region

approx = pytest.approx
L_PLAN = Region.from_points([(0, 0), (2.4, 0), (2.4, 0.6), (0.6, 0.6), (0.6, 2.4), (0, 2.4)])
D_PLAN = Region(Ring(np.array([(0.0, 0.0), (1.0, 0.0), (1.0, 0.6), (0.0, 0.6)]), np.array([0.0, 1.0, 0.0, 0.0])))


def areas(parts: list[Region]) -> list[float]:
    return [part.area_m2 for part in parts]


def test_a_rectangle_is_cut_in_three_and_gives_up_the_width_of_the_seams() -> None:
    whole = Region.rectangle(3.0, 0.6)
    parts = split_region(whole, [((1.0, 0.0), (1.0, 0.6)), ((2.0, 0.6), (2.0, 0.0))], 0.002)
    assert areas(parts) == approx([0.6 * 0.999, 0.6 * 0.998, 0.6 * 0.999])
    assert [part.bounds[0] for part in parts] == approx([0.0, 1.001, 2.001])


def test_a_part_keeps_its_arc() -> None:
    left, right = split_region(D_PLAN, [((0.7, 0.0), (0.7, 0.6))], 0.0)
    assert left.area_m2 == approx(0.42)
    assert right.area_m2 == approx(0.3 * 0.6 + pi * 0.09 / 2, rel=1e-12)


def test_an_arc_is_cut_where_the_seam_meets_it() -> None:
    parts = split_region(D_PLAN, chords_at(D_PLAN, 0, 1.15), 0.0)
    assert len(parts) == 2
    cap = 0.09 * (np.arccos(0.5) - 0.5 * sqrt(0.75))  # segment of a circle of 0.3 beyond half its radius
    assert parts[1].area_m2 == approx(cap, rel=1e-4)
    assert sum(areas(parts)) == approx(D_PLAN.area_m2, rel=1e-9)


@pytest.mark.parametrize("width_m", [0.0, 0.004])
def test_an_l_is_cut_at_its_miter(width_m: float) -> None:
    parts = split_region(L_PLAN, [((0.6, 0.6), (0.0, 0.0))], width_m)
    lost = width_m * sqrt(0.72)
    assert sum(areas(parts)) == approx(L_PLAN.area_m2 - lost, abs=width_m**2 + 1e-12)
    assert parts[0].area_m2 == approx(parts[1].area_m2)


def test_a_butt_leaves_the_leg_that_runs_on_whole() -> None:
    leg, rest = split_region(L_PLAN, [((0.6, 0.6), (0.6, 0.0))], 0.004)
    assert leg.area_m2 == approx(0.6 * 2.4)
    assert rest.area_m2 == approx(0.6 * (1.8 - 0.004))


def test_holes_go_with_the_part_that_holds_them() -> None:
    sink = Ring(np.array([(1.1, 0.1), (1.9, 0.1), (1.9, 0.5), (1.1, 0.5)]))
    parts = split_region(Region(Region.rectangle(3.0, 0.6).outer, (sink,)), [((1.0, 0.0), (1.0, 0.6))], 0.0)
    assert [len(part.holes) for part in parts] == [0, 1]


def test_a_clockwise_outline_is_cut_the_same() -> None:
    turned = Region(Ring(D_PLAN.outer.points[::-1], -np.roll(D_PLAN.outer.bulges[::-1], -1)))
    assert turned.area_m2 == approx(D_PLAN.area_m2)
    parts = split_region(turned, [((0.7, 0.0), (0.7, 0.6))], 0.002)
    assert areas(parts) == approx(areas(split_region(D_PLAN, [((0.7, 0.0), (0.7, 0.6))], 0.002)))


def test_parts_do_not_overlap_and_fill_the_plan() -> None:
    parts = split_region(L_PLAN, [((0.6, 0.6), (0.0, 0.0)), ((1.5, 0.0), (1.5, 0.6)), ((0.0, 1.4), (0.6, 1.4))], 0.0)
    polygons = [part.polygon() for part in parts]
    assert union_all(polygons).area == approx(L_PLAN.area_m2)
    assert all(a.intersection(b).area < 1e-12 for a, b in pairwise(polygons))


def test_a_line_across_an_l_meets_one_leg_or_both() -> None:
    assert chords_at(L_PLAN, 0, 1.0) == [((1.0, 0.0), (1.0, 0.6))]
    assert [chord[0][1] for chord in chords_at(L_PLAN, 1, 1.0)] == approx([1.0])


@pytest.mark.parametrize(
    ("chord", "id"),
    [
        (((5.0, 0.0), (5.0, 0.6)), "seam-outside"),
        (((1.0, 0.1), (1.0, 0.5)), "seam-not-at-edge"),
        (((1.5, 0.0), (1.5, 0.6)), "seam-through-opening"),
    ],
)
def test_an_impossible_seam_is_refused(chord: tuple[tuple[float, float], tuple[float, float]], id: str) -> None:
    sink = Ring(np.array([(1.1, 0.1), (1.9, 0.1), (1.9, 0.5), (1.1, 0.5)]))
    with pytest.raises(FaultError) as caught:
        split_region(Region(Region.rectangle(3.0, 0.6).outer, (sink,)), [chord], 0.002)
    assert caught.value.message.id == id


@pytest.mark.parametrize("width_m", [0.0, 0.002])
@pytest.mark.parametrize("chord", [((0.55, 0.0), (0.55, 0.6)), ((0.45, 0.6), (0.6, 0.0))])
def test_a_seam_through_an_oval_opening_leaves_two_notches(width_m: float, chord: Chord) -> None:
    sink = Region(Ring(np.array([(0.3, 0.15), (0.7, 0.15), (0.7, 0.45), (0.3, 0.45)]), np.array([0, 1.0, 0, 1.0])))
    whole = Region.rectangle(1.2, 0.6)
    parts = split_plan(whole.outer, [sink.outer], [chord], width_m, through=[0])
    # first principles: what is left of the plate less its opening beside a band as wide as the seam
    start, end = (np.array(at) for at in chord)
    band = LineString([start * 1.1 - end * 0.1, end * 1.1 - start * 0.1])
    left = whole.polygon().difference(sink.polygon(1e-6))
    left = left.difference(band.buffer(width_m / 2.0, cap_style="flat")) if width_m else left
    plans = [Region(part.outer).polygon().difference(Region(part.openings[0].ring).polygon(1e-6)) for part in parts]
    assert sum(plan.area for plan in plans) == approx(left.area, rel=1e-6)
    assert [len(plan.interiors) for plan in plans] == [0, 0]  # a notch, and no film of concrete across its mouth
    assert [part.openings[0].is_whole for part in parts] == [False, False]
    if width_m:
        assert sorted(plan.area for plan in plans) == approx(sorted(part.area for part in get_parts(left)), rel=1e-6)


@pytest.mark.parametrize(
    ("x", "id"),
    [(0.31, "seam-opening-end"), (0.5, ""), (0.9, "seam-opening-once")],
)
def test_a_seam_crosses_an_opening_once_and_near_its_middle(x: float, id: str) -> None:
    comb = [(0.3, 0.1), (1.1, 0.1), (1.1, 0.5), (0.85, 0.5), (0.85, 0.4), (1.0, 0.4), (1.0, 0.3), (0.85, 0.3)]
    comb += [(0.85, 0.25), (0.7, 0.25), (0.7, 0.5), (0.3, 0.5)]
    whole = Region.rectangle(1.4, 0.6)
    seam = [((x, 0.0), (x, 0.6))]
    if not id:
        assert len(split_plan(whole.outer, [Ring(np.array(comb))], seam, 0.002, through=[0])) == 2
        return
    with pytest.raises(FaultError) as caught:
        split_plan(whole.outer, [Ring(np.array(comb))], seam, 0.002, through=[0])
    assert caught.value.message.id == id
