"""Seams that make a flat piece liftable."""

import random
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import Point, Polygon, box

from estimator.handling.people import Grip, greatest_share_kg, holds_of_team
from estimator.handling.seams import Load, NoSeams, Seam, SeamLimits, SeamPiece, SeamPlan, parts_between, plan_seams
from geometry.cuts import CutRules, cuts_of
from tests.counters import PERSON_KG, best_of_all_sets, coarse_case, counter, is_sound, random_counters

KG_M2 = 60.0
approx = pytest.approx
SINK = box(1.1, 0.115, 1.86, 0.535)
L_PLAN = Polygon([(0, 0), (2.4, 0), (2.4, 0.6), (0.6, 0.6), (0.6, 2.4), (0, 2.4)])
U_PLAN = Polygon([(0, 0), (3, 0), (3, 1.8), (2.4, 1.8), (2.4, 0.6), (0.6, 0.6), (0.6, 1.8), (0, 1.8)])
T_PLAN = Polygon([(0, 0), (3, 0), (3, 0.6), (1.8, 0.6), (1.8, 2.4), (1.2, 2.4), (1.2, 0.6), (0, 0.6)])


def limits(people: int, *, mitered: bool = True, table_m: float = 3.2) -> SeamLimits:
    rules = CutRules(opening_m=0.076, corner_m=0.15, step_m=0.025, mitered=mitered)
    return SeamLimits(people, PERSON_KG, longest_m=lambda _: table_m, width_m=0.15, seam_m=0.0, cuts=rules)


def planned(plan: Polygon, rules: SeamLimits) -> SeamPlan:
    found = plan_seams(SeamPiece(plan, KG_M2), rules)
    assert isinstance(found, SeamPlan)
    return found


def with_sink(plan: Polygon) -> Polygon:
    return Polygon(plan.exterior, [SINK.exterior])


def places(plan: SeamPlan) -> list[float]:
    """Places of seams square to x."""
    return sorted(seam.start_m[0] for seam in plan.seams)


# The four cases: first principles, areas times 60 kg/m².


def test_a_straight_counter_for_two_people_is_cut_in_three_equal_parts() -> None:
    plan = planned(box(0, 0, 3, 0.6), limits(2))
    assert places(plan) == approx([1.0, 2.0])
    assert [part.mass_kg for part in plan.parts] == approx([36.0, 36.0, 36.0])


def test_seams_stay_clear_of_a_sink() -> None:
    plan = planned(with_sink(box(0, 0, 3, 0.65)), limits(2))
    assert places(plan) == approx([0.825, 2.15])
    assert [part.mass_kg for part in plan.parts] == approx([32.175, 32.523, 33.15])


def test_three_people_need_one_seam_right_at_the_margin_of_the_sink() -> None:
    plan = planned(with_sink(box(0, 0, 3, 0.65)), limits(3))
    assert places(plan) == approx([1.936])
    assert sorted(part.mass_kg for part in plan.parts) == approx([41.496, 56.352])


def test_an_l_is_cut_at_its_miter_or_without_one_at_a_butt() -> None:
    mitered = planned(L_PLAN, limits(4))
    assert [seam.length_m for seam in mitered.seams] == approx([0.8485281])
    assert [part.mass_kg for part in mitered.parts] == approx([75.6, 75.6])
    butt = planned(L_PLAN, limits(4, mitered=False))
    assert sorted(part.mass_kg for part in butt.parts) == approx([64.8, 86.4])


def test_a_u_is_cut_at_two_butts() -> None:
    plan = planned(U_PLAN, limits(4))
    assert [seam.length_m for seam in plan.seams] == approx([0.6, 0.6])
    assert [part.mass_kg for part in plan.parts] == approx([64.8] * 3)


def test_a_t_is_cut_on_all_three_arms() -> None:
    plan = planned(T_PLAN, limits(2))
    assert len(plan.parts) == 4
    assert sum(part.mass_kg for part in plan.parts) == approx(T_PLAN.area * KG_M2)
    assert plan.heaviest_kg <= 2 * PERSON_KG


def test_a_deep_slab_is_cut_lengthwise_where_cuts_across_do_not_suffice() -> None:
    rules = limits(2, table_m=1.1)
    plan = planned(box(0, 0, 2.0, 1.4), rules)
    ways = {abs(seam.start_m[0] - seam.end_m[0]) < 1e-9 for seam in plan.seams}
    assert ways == {True, False}
    assert all(part.size_m[0] <= 1.1 + 1e-9 for part in plan.parts)


def test_a_piece_that_is_light_enough_gets_no_seam() -> None:
    assert planned(box(0, 0, 1, 0.6), limits(2)).seams == ()


def test_the_part_that_holds_the_sink_is_named_where_no_seam_helps() -> None:
    found = plan_seams(SeamPiece(with_sink(box(0, 0, 3, 0.65)), 100.0), limits(1))
    assert isinstance(found, NoSeams)
    assert found.lightest_kg == approx(((0.76 + 2 * 0.076) * 0.65 - 0.76 * 0.42) * 100.0)
    assert found.bounds_m == approx(SINK.bounds)


@pytest.mark.parametrize("number", range(40))
def test_no_set_of_cuts_is_better_than_the_one_found(number: int) -> None:
    piece, rules = coarse_case(number)
    best, found = best_of_all_sets(piece, rules), plan_seams(piece, rules)
    if best is None:
        assert isinstance(found, NoSeams) or len(found.parts) > 4
        return
    assert isinstance(found, SeamPlan)
    parts, heaviest, length = best
    assert len(found.parts) == parts
    assert found.heaviest_kg <= 1.01 * heaviest + 1e-6
    assert found.length_m == approx(length, abs=1e-5)


@pytest.mark.parametrize("people", [1, 2, 3, 4])
@pytest.mark.parametrize("number", range(8))
def test_every_part_of_a_branched_piece_keeps_to_the_limits(number: int, people: int) -> None:
    draw = random.Random(number)
    long, deep, stem = draw.uniform(1.5, 3), draw.uniform(0.5, 0.7), draw.uniform(1.0, 2.4)
    x = draw.uniform(0.3, long - deep - 0.2)
    arm = box(x, deep / 2, x + deep, stem).union(box(0, -draw.choice([0, 0, 0.8]), 0.5, 0.1))
    plan = box(0, 0, long, deep).union(arm)
    rules = SeamLimits(people, PERSON_KG, 0.5, 35.0 * people, lambda _: 1.8, 0.15, 0.0, CutRules(0.076, 0.15, 0.05))
    found = plan_seams(SeamPiece(plan, 60.0), rules)
    if isinstance(found, NoSeams):  # eight parts are the most, and none is as heavy as it may be
        assert plan.area * 60.0 > 6.0 * people * PERSON_KG
        return
    assert len(found.parts) == len(found.seams) + 1
    assert sum(part.mass_kg for part in found.parts) == approx(plan.area * 60.0, rel=1e-4)
    assert all(is_sound(part.plan, part.mass_kg * 0.9999, rules) for part in found.parts)


@pytest.mark.parametrize("number", range(8))
def test_parts_and_the_widths_of_seams_add_up_to_the_piece(number: int) -> None:
    plan = counter(random.Random(100 + number))
    x0, y0, x1, _ = plan.bounds
    edge = box(x0, y0, x1, y0 + 0.03).intersection(Polygon(plan.exterior))
    piece = SeamPiece(plan, 40.0, (Load(edge, 9.0), Load(Point(plan.representative_point()), 3.0)))
    rules = SeamLimits(3, PERSON_KG, seam_m=0.002, cuts=CutRules(step_m=0.05))
    found = plan_seams(piece, rules)
    assert isinstance(found, SeamPlan)
    lost_kg = found.length_m * 0.002 * 40.0
    assert sum(part.mass_kg for part in found.parts) == approx(piece.mass_kg - lost_kg, abs=0.02)
    assert all(a.plan.distance(b.plan) >= 0.002 - 1e-9 for a, b in pairwise(found.parts))


def test_a_core_counts_for_the_part_that_holds_it() -> None:
    piece = SeamPiece(box(0, 0, 2, 1), 10.0, (Load(Point(1.5, 0.5), -4.0),))
    left, right = parts_between(piece, [Seam((1.0, 0.0), (1.0, 1.0))], 0.0)
    assert (left.mass_kg, right.mass_kg) == approx((10.0, 6.0))
    assert right.center_m == approx((1.5, 0.5))
    assert left.size_m == approx((1.0, 1.0))


def test_a_part_must_fit_a_batch() -> None:
    rules = limits(4)
    whole = planned(box(0, 0, 2.4, 0.6), rules)
    assert len(whole.parts) == 1
    batch = SeamLimits(4, PERSON_KG, 0.0, 30.0, None, 0.15, 0.0, rules.cuts)
    assert len(planned(box(0, 0, 2.4, 0.6), batch).parts) == 3


@given(st.integers(1, 4), st.floats(1.0, 200.0), st.floats(0.3, 4.0), st.floats(0.0, 1.0), st.floats(0.5, 1.0))
def test_shares_of_many_pieces_are_those_of_a_single_piece(
    people: int, weight: float, length: float, part: float, side: float
) -> None:
    holds = holds_of_team(people, weight, Grip(length, part * length, side, 4.0, 0.6), 1.25)
    many = greatest_share_kg(people, *(np.array([value]) for value in (weight, length, part * length, side)))
    assert many[0] == approx(max(hold.share_kg for hold in holds), rel=1e-9)


def test_random_counters_are_the_same_for_the_same_seed() -> None:
    assert [plan.wkb for plan in random_counters(3, 5)] == [plan.wkb for plan in random_counters(3, 5)]


# Seams through a sink, where the shop asks for them

WIDE = Polygon(box(0, 0, 3, 0.9).exterior, [box(0.4, 0.2, 2.6, 0.6).exterior])


def through(rail_m: float | None) -> SeamLimits:
    rules = limits(2)
    return SeamLimits(
        2, PERSON_KG, longest_m=rules.longest_m, width_m=0.15, seam_m=0.0, cuts=rules.cuts._replace(rail_m=rail_m)
    )


def test_a_sink_in_the_way_of_all_seams_is_cut_where_its_rails_are_wide_enough() -> None:
    for rail_m in (None, 0.21):  # the rails are 0.2 and 0.3 m
        barred = plan_seams(SeamPiece(WIDE, KG_M2), replace(through(rail_m), twice=False))
        assert isinstance(barred, NoSeams)
        # first principles: the least part that holds the sink reaches 0.076 m past both of its ends
        assert barred.lightest_kg == approx((2.2 + 2 * 0.076) * 0.9 * KG_M2 - 2.2 * 0.4 * KG_M2)
    plan = planned(WIDE, through(0.2))
    # one seam alone runs through the sink, or the rails between two would be loose
    assert places(plan) == approx([0.4 - 0.076, 1.5, 2.6 + 0.076])
    half = (0.9 * 1.5 - 1.1 * 0.4 - 0.9 * 0.324) * KG_M2
    assert [part.mass_kg for part in plan.parts] == approx([0.324 * 0.9 * KG_M2, half, half, 0.324 * 0.9 * KG_M2])


def test_a_seam_through_a_sink_keeps_clear_of_its_ends() -> None:
    chords = cuts_of(WIDE, CutRules(opening_m=0.076, corner_m=0.15, step_m=0.025, rail_m=0.1)).chords
    square = chords[np.abs(chords[:, 0] - chords[:, 2]) < 1e-9, 0]
    inside = square[(square > 0.4 - 0.076) & (square < 2.6 + 0.076)]
    assert inside.min() >= 0.4 + 0.076 - 1e-9
    assert inside.max() <= 2.6 - 0.076 + 1e-9
    along = chords[np.abs(chords[:, 1] - chords[:, 3]) < 1e-9]
    assert not ((along[:, 1] > 0.2) & (along[:, 1] < 0.6) & (along[:, 2] - along[:, 0] < 2.9)).any()
