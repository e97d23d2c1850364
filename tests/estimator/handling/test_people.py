"""Crews by move, more than four people, release from the form, and weights on site."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimator.errors import FaultError
from estimator.handling import people
from estimator.handling.lifts import lifts_of_all
from estimator.serialize import plain
from estimator.weight import WeightBand
from estimator.words import PLAIN
from geometry.message import message
from tests.estimator.handling.conftest import CUT, SLAB, One, piece

G = 9.80665
STAIRS = '[site]\nstairs = [{ width = "1.2 m", headroom = "2.4 m", pitch = "35 deg" }]\n'
LONG = '{ kind = "slab", length = "3.2 m", width = "0.85 m", thickness = "25 mm" }'
PLANTER = '{ kind = "box", length = "800 mm", width = "500 mm", height = "500 mm", wall = "20 mm", base = "25 mm" }'


def shop(**figures: object) -> str:
    return "[workshop.handling]\n" + "".join(f"{key} = {value}\n" for key, value in figures.items())


# ----------------------------------------------------------------------------- more than four people


def test_more_than_four_people_carry_on_level_ground_only(estimate_piece: One) -> None:
    four, eight = estimate_piece(piece(LONG)), estimate_piece(piece(LONG) + shop(crew_most=8))
    assert four.handling.carry.by_machine
    assert eight.handling.carry.persons in (6, 8)
    assert eight.handling.carry.rehearsed
    carry = eight.handling.lift("carry")
    assert carry is not None
    assert carry.above_guideline
    assert carry.guideline_share is None
    assert carry.remark == message("outside-guidance")
    moves = {move.name: move for move in eight.handling.moves}
    assert moves["flip"].crew is None  # never to flip or strip
    assert moves["strip"].crew is None or moves["strip"].crew <= 4
    assert message("gear-straps-or-bars") in eight.handling.gear


@settings(max_examples=60, deadline=None)
@given(
    st.sampled_from([6, 8, 10, 12]), st.floats(50, 500), st.floats(0.2, 0.8), st.floats(0.5, 0.7), st.floats(1.0, 1.5)
)
def test_holds_on_bars_surround_the_center_of_gravity_and_carry_the_whole_weight(
    persons, weight_kg, part, side, uneven
):
    holds = people.holds_of_team(persons, weight_kg, people.Grip(3.0, part * 3.0, side, 6.0, 0.6), uneven)
    places = [hold.position_m for hold in holds]
    assert sum(hold.persons for hold in holds) == persons
    assert min(places) < part * 3.0 < max(places)
    assert min(places) >= 0.0
    assert max(places) <= 3.0 + 1e-9
    assert sum(hold.persons * hold.share_kg for hold in holds) >= weight_kg * uneven * (1 - 1e-9)


def test_crews_of_five_are_not_planned_because_bars_go_in_pairs() -> None:
    grip = people.Grip(3.0, 1.5, 0.5, 10.0, 0.6)
    crew = people.crew_for(200.0, grip, limit_kg=45.0, room=12, most=5, uneven=1.25)
    assert crew.by_machine
    assert people.crew_for(200.0, grip, limit_kg=45.0, room=12, most=6, uneven=1.25).persons == 6


# ----------------------------------------------------------------------------- move by move


def test_a_piece_that_cannot_be_carried_leaves_the_lifts_of_the_others_as_they_are(estimate_job) -> None:
    both = estimate_job(piece(SLAB, mark="A") + piece(LONG, mark="B") + STAIRS)
    takeoffs, weights = zip(*((estimated.taken, estimated.weight) for estimated in both.pieces), strict=True)
    nothing = replace(weights[0], demould=WeightBand(0.0, 0.0, 0.0))
    handling, site = both.job.workshop.handling, both.job.site
    first, refused, last = lifts_of_all(
        [takeoffs[0], takeoffs[0], takeoffs[1]], [weights[0], nothing, weights[1]], [True] * 3, site, handling
    )
    assert isinstance(refused, FaultError)
    assert refused.message.id == "figure-not-positive"
    assert [first, last] == [estimated.handling.lifts for estimated in both.pieces]


def test_on_stairs_two_carry_and_a_third_guides(estimate_piece: One) -> None:
    # common practice: on stairs never more than two carry; the third guides
    small = '{ kind = "slab", length = "1.2 m", width = "0.5 m", thickness = "20 mm" }'
    estimated = estimate_piece(piece(small) + STAIRS)
    stairs = estimated.handling.lift("stairs")
    assert stairs is not None
    assert stairs.crew.persons == 2
    assert stairs.people == 3
    heavy = estimate_piece(piece(SLAB) + STAIRS).handling
    moves = {move.name: move for move in heavy.moves}
    assert moves["carry"].crew == heavy.carry.persons
    assert (moves["stairs"].crew, moves["stairs"].gear) == (None, message("machine", move="stairs"))
    assert not heavy.carry.by_machine  # a machine for the stairs does not serve the carry


def test_the_document_names_every_move_with_its_crew_gear_and_share(estimate_piece: One) -> None:
    estimated = estimate_piece(piece(SLAB) + STAIRS)

    told = plain(estimated.handling)
    assert [move["move"] for move in told["moves"]] == ["strip", "flip", "carry", "stairs", "set"]
    assert told["crew"] == estimated.handling.carry.persons
    for move in told["moves"]:
        assert (move["crew"] is None) <= bool(move["gear"])
        if move["crew"] is not None and move["crew"] <= 3:
            assert move["guideline_share"] > 0


@pytest.mark.parametrize(("people", "factor"), [(1, 1.0), (2, 2 / 3), (3, 1 / 2)])
def test_the_share_of_the_team_guideline_is_stated(estimate_piece: One, people: int, factor: float) -> None:
    # HSE L23, from memory: two people 2/3, three people 1/2 of the sum of what each may lift
    for length in ("0.6 m", "1.2 m", "1.8 m", "2.4 m"):
        lift = estimate_piece(
            piece(f'{{ kind = "slab", length = "{length}", width = "0.6 m", thickness = "25 mm" }}')
        ).handling.lift("carry")
        assert lift is not None
        if lift.crew.persons == people:
            guideline_kg = lift.task.women_kg
            assert lift.guideline_share == pytest.approx(lift.weight_kg / (factor * people * guideline_kg))
            return
    pytest.fail(f"no crew of {people} among these")


def test_a_move_that_needs_more_people_than_the_shop_has_gives_a_warning(estimate_job) -> None:
    few = estimate_job(piece(SLAB, "quantity = 20") + shop(people=2))
    (short,) = [each for each in few.warnings if each.id == "crew-short"]
    assert PLAIN.text(short.text).startswith(
        f"{few.pieces[0].handling.people} people are needed at the same time and the shop has 2, for C1 ("
    )
    many = estimate_job(piece(SLAB, "quantity = 20") + shop(people=8))
    assert not [each for each in many.warnings if each.id == "crew-short"]


# ----------------------------------------------------------------------------- out of the form


def test_a_board_form_releases_at_a_signed_hold_point(estimate_piece: One) -> None:
    # PCI handbook, from memory: weight · 1.3 flat, · 1.4 with reveals or knockouts, no adhesion
    for shape, factor in ((SLAB, 1.3), (CUT, 1.4)):
        estimated = estimate_piece(piece(shape))
        strip = estimated.handling.loads[0]
        assert (strip.stage, strip.adhesion_kg) == ("strip", 0.0)
        assert strip.load_kg == pytest.approx(factor * estimated.weight.demould.high_kg)
        assert estimated.handling.lifting.strip.release == "hold-point"


def test_a_mold_and_a_stated_suction_pull_against_the_form(estimate_piece: One) -> None:
    for estimated, pa in (
        (estimate_piece(piece(PLANTER)), 2000.0),
        (estimate_piece(piece(SLAB, 'handling = { release = "suction" }')), 2000.0),
        (estimate_piece(piece(SLAB, 'handling = { seal = "0.5 kPa" }')), 500.0),
        (estimate_piece(piece(PLANTER, 'handling = { seal = "3 kPa" }')), 3000.0),
    ):
        strip = estimated.handling.loads[0]
        assert strip.adhesion_kg == pytest.approx(pa * estimated.taken.solid.form_area_m2 / G)
        assert strip.load_kg == pytest.approx((strip.weight_kg + strip.adhesion_kg) * 1.3)
    assert estimate_piece(piece(PLANTER, 'handling = { release = "hold-point" }')).handling.loads[0].adhesion_kg == 0.0


# ----------------------------------------------------------------------------- on site


def test_outdoors_the_soaked_weight_governs_every_move_from_the_yard_on(estimate_piece: One) -> None:
    estimated = estimate_piece(piece(SLAB, "in_place = { outdoors = true }") + STAIRS)
    soaked = estimated.weight.soaked
    assert soaked is not None
    assert soaked.high_kg > estimated.weight.demould.high_kg
    assert estimated.weight.lift_kg == soaked.high_kg
    loads = {load.stage: load.weight_kg for load in estimated.handling.loads}
    assert loads["yard"] == loads["transport"] == loads["install"] == soaked.high_kg
    assert loads["strip"] == estimated.weight.demould.high_kg  # it is stripped as cast
    moves = {move.name: move.lift.weight_kg for move in estimated.handling.moves}
    assert moves["carry"] == moves["stairs"] == moves["set"] == soaked.high_kg
    assert estimated.handling.transport_kg == soaked.high_kg


def test_a_piece_for_indoors_is_set_before_it_has_dried(estimate_piece: One) -> None:
    estimated = estimate_piece(piece(SLAB))
    loads = {load.stage: load.weight_kg for load in estimated.handling.loads}
    assert loads["install"] == estimated.weight.lift_kg > estimated.weight.installed.high_kg


# ----------------------------------------------------------------------------- planters and odd plans


def test_wind_tips_an_empty_planter_by_statics(estimate_piece: One) -> None:
    estimated = estimate_piece(piece(PLANTER, "in_place = { outdoors = true }", use="planter"))
    standing = estimated.handling.in_use.standing
    assert standing is not None
    # half the foot times the weight against half the height times the pressure on the long side, 0.8 × 0.5 m
    assert standing.wind_pa * 0.8 * 0.5 * 0.25 == pytest.approx(estimated.weight.low_kg * G * 0.25)
    assert standing.foot_kg == pytest.approx(estimated.weight.filled_kg / 2)
    indoors = estimate_piece(piece(PLANTER, "in_place = { outdoors = false }", use="planter")).handling.in_use.standing
    assert indoors is not None
    assert indoors.wind_pa is None


def test_a_planter_of_light_soil_may_still_stand_full_of_water(estimate_piece: One) -> None:
    light = estimate_piece(piece(PLANTER, use="planter") + '[workshop.handling]\nwet_soil = "30 lb/ft^3"\n')
    hollow_m3 = 0.76 * 0.46 * 0.475
    assert light.weight.soil_kg == pytest.approx(hollow_m3 * 1000.0)


def test_a_plate_with_its_center_of_gravity_outside_needs_three_holds(estimate_piece: One) -> None:
    def drawn(points: str) -> list[str]:
        shape = f'{{ kind = "outline", unit = "mm", points = {points}, thickness = "25 mm" }}'
        return [doubt.id for doubt in estimate_piece(piece(shape)).handling.doubts]

    thin_l = "[[0, 0], [1800, 0], [1800, 300], [300, 300], [300, 1800], [0, 1800]]"
    assert "holds-off-balance" in drawn(thin_l)
    assert "holds-off-balance" not in drawn("[[0, 0], [1800, 0], [1800, 600], [0, 600]]")
