"""Cases that other tests of handling pass by: odd shapes, equal figures, and attitudes by name."""

from __future__ import annotations

from collections.abc import Callable
from itertools import permutations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.estimate import Estimate
from estimator.handling import access, in_use, lifts, loads, people, rigging
from estimator.handling.people import Grip
from estimator.handling.vacuum import _comes_before
from estimator.site import Elevator, Stairs
from tests.estimator.handling.conftest import CUT, One, Refused, piece
from tests.refusal import refusal

STAIRS = '[site]\nstairs = [{ width = "1.2 m", headroom = "2.4 m", pitch = "35 deg" }]\n'
TESTED = '[mixes.tested]\nbased_on = "backer-45"\nfirst_crack_strength = "9 MPa"\n'
BOX = '{{ kind = "box", length = "{}", width = "{}", height = "{}", wall = "25 mm" }}'


@pytest.mark.parametrize("carried", ["flat", "edge"])
def test_a_piece_goes_up_the_stairs_as_the_job_carries_it(estimate_piece: One, carried: str) -> None:
    made = estimate_piece(piece(more=f'handling = {{ carried = "{carried}" }}') + STAIRS)
    assert dict(made.handling.attitudes)["stairs"] == ("flat" if carried == "flat" else "on-edge")


@pytest.mark.parametrize(
    ("own", "said"),
    [
        ('anchors = ["0 mm", "2.1 m"]', "in_place.anchors: Anchor is 2100 mm. It must be 0.0 mm to 2000 mm."),
        (
            'anchors = ["0 mm", "2 m"], anchor_height = "0.7 m"',
            "in_place.anchor_height: Height of the anchors is 700 mm. It must be 0.0 mm to 600 mm.",
        ),
    ],
)
def test_an_anchor_beside_the_panel_is_refused_by_its_place(refused: Refused, own: str, said: str) -> None:
    shape = '{ kind = "panel", length = "2 m", height = "600 mm", skin = "15 mm" }'
    (line,) = refused(piece(shape, f"in_place = {{ {own} }}", "panel"))
    assert line.startswith(f"job.toml: piece C1, {said}")


def test_anchors_are_proposed_only_where_the_job_gives_none(estimate_piece: One) -> None:
    shape = '{ kind = "panel", length = "2 m", height = "600 mm", skin = "15 mm" }'
    given, none = (
        estimate_piece(piece(shape, more, "panel")).handling.in_use.hung
        for more in ('in_place = { anchors = ["0 mm", "2 m"] }', "")
    )
    assert [hung and hung.proposed for hung in (given, none)] == [False, True]


def test_a_hung_piece_of_unknown_back_hangs_by_its_worse_side(estimate_piece: One) -> None:
    # A box that is open at the top has its center of gravity below the middle of its height.
    hung = estimate_piece(piece(BOX.format("600 mm", "400 mm", "300 mm"), "in_place = { hung = true }", "panel"))
    at = hung.handling.in_use.hung
    assert at is not None
    assert at.out_m > 0.15


def test_a_planter_tips_alike_with_its_sides_swapped(estimate_piece: One) -> None:
    # first principles: wind on the longer side, over the narrower side of the foot
    outdoors = "in_place = { outdoors = true }"
    standing = [
        estimate_piece(piece(BOX.format(*sides, "450 mm"), outdoors, "planter")).handling.in_use.standing
        for sides in permutations(("500 mm", "900 mm"))
    ]
    pressures = [stands.wind_pa for stands in standing if stands is not None and stands.wind_pa is not None]
    assert pressures == pytest.approx([pressures[0]] * 2, rel=1e-9)


def test_an_elevator_that_is_too_small_does_not_let_the_piece_pass() -> None:
    found = access.check_passage((3.0, 0.7, 0.03), Elevator(1.0, 1.0, 1.0), 0.0)
    assert found.passes is False
    assert found.remark.id == "elevator-too-small"


def test_no_seam_is_offered_for_a_shape_without_a_plan(estimate_piece: One) -> None:
    door = '[site]\ndoor = { width = "600 mm", height = "1 m" }\n'
    got_in = estimate_piece(piece(BOX.format("3 m", "1.5 m", "1.2 m"), "", "planter") + door).handling.access
    assert got_in.seams_m == ()
    assert got_in.seam_note is not None
    assert got_in.seam_note.id == "seam-no-shape"


def test_a_seam_takes_the_side_of_the_sink_that_leaves_the_parts_more_equal() -> None:
    # first principles: the even place, 1.5 m, is barred from 1.1 to 1.7 m or from 1.3 to 1.9 m
    assert access.seam_places(3.0, 2.0, [(1.2, 1.6)], 0.1) == pytest.approx((1.7,))
    assert access.seam_places(3.0, 2.0, [(1.4, 1.8)], 0.1) == pytest.approx((1.3,))


def test_figures_that_cannot_be_are_refused_for_no_key_of_the_job() -> None:
    slab, grip = [(0.0, 0.0), (1.0, 0.0), (1.0, 0.5), (0.0, 0.5)], Grip(1.0, 0.5, 0.5, 1.0, 0.5)
    for refused, said in (
        (lambda: rigging.check_pick_places([(2.0, 0.2)], slab), r"^Pick 1.* is outside"),
        (lambda: rigging.check_pick_places([(0.5, 0.2)], slab, edge_distance_m=-0.1), r"^Edge distance is −100 mm"),
        (
            lambda: rigging.legs_to_hook([(0.0, 0.0)], [10.0], (0.0, 0.0), 0.0),
            r"^Height of the hook above the picks is 0",
        ),
        (lambda: people.guideline_weight(0.8, -0.1, "close", "men", lifts_per_min=0.2, twist_deg=0.0), "−100 mm"),
        (lambda: people.guideline_weight(-0.1, 0.8, "close", "men", lifts_per_min=0.2, twist_deg=0.0), "−100 mm"),
        (lambda: lifts.on_slope(grip, 0.3, 70.0), r"^Pitch is 70°. It must be 0° to 60°"),
        (lambda: lifts.on_slope(grip, -0.3, 30.0), r"over the hands is −300 mm"),
    ):
        with refusal(said) as raised:
            refused()
        assert raised.value.key == ""


OPTION = st.tuples(st.integers(0, 2), st.integers(1, 3), st.sampled_from([1.0, 1.0 + 1e-12, 2.0, 3.0]))


@given(OPTION, OPTION)
def test_vacuum_options_are_compared_in_the_order_of_their_figures(
    option: tuple[int, int, float], best: tuple[int, int, float]
) -> None:
    comes = _comes_before([np.array([float(figure)]) for figure in option], np.array([[float(f)] for f in best]))
    assert comes.tolist() == [(*option[:2], round(option[2], 6)) < (*best[:2], round(best[2], 6))]


def test_every_way_of_carrying_is_flat_or_on_edge(estimate_piece: One) -> None:
    gear = 'handling = { lifted_by = "inserts", picks = { at = [["0.5 m", "325 mm"], ["1.9 m", "325 mm"]] } }'
    for shape, more in ((CUT, ""), (CUT, gear), (BOX.format("900 mm", "500 mm", "500 mm"), "")):
        handling = estimate_piece(piece(shape, more)).handling
        rigged = [check for rig in handling.lifting.rigging for check in rig.checks]
        carries = [check.carry for check in (*handling.cracking.checks, *rigged) if hasattr(check, "carry")]
        assert {carry.attitude for carry in carries} <= {"flat", "edge"}


def test_a_tested_moulding_is_judged_by_its_strength(estimate_piece: One) -> None:
    profile = '[["0 mm", "0 mm"], ["60 mm", "0 mm"], ["60 mm", "90 mm"], ["0 mm", "90 mm"]]'
    shape = f'{{ kind = "extrusion", length = "2.4 m", profile = {profile} }}'
    tested = estimate_piece(piece(shape, 'mix = "tested"') + TESTED).handling.cracking.checks
    untested = estimate_piece(piece(shape)).handling.cracking.checks
    assert tested
    assert {check.first_crack_pa for check in untested} == {None}
    assert None not in {check.first_crack_pa for check in tested}


def test_a_piece_as_wide_as_the_stairs_goes_up_flat_and_a_hair_wider_does_not() -> None:
    level = Stairs(0.9, 0.5, 0.0)  # too low for the piece on edge
    assert access.check_passage((2.0, 0.9, 0.03), level, 0.0).passes
    assert not access.check_passage((2.0, 0.9001, 0.03), level, 0.0).passes


def test_what_is_no_plate_overhangs_by_its_least_outer_size(estimate_piece: One) -> None:
    made = estimate_piece(piece(BOX.format("900 mm", "500 mm", "300 mm"), 'in_place = { overhang = "100 mm" }'))
    assert in_use.thickness_of(made.taken.piece.shape, made.taken.solid) == pytest.approx(0.3)
    standing = made.handling.in_use.standing
    assert standing is not None
    assert standing.overhang is not None


def test_the_couple_on_the_anchors_is_worked_out_from_the_weight(estimate_piece: One) -> None:
    shape = '{ kind = "panel", length = "2 m", height = "600 mm", skin = "15 mm" }'
    used = estimate_piece(piece(shape, "", "panel")).handling.in_use
    couple = {working.figure: working for working in in_use.in_use_workings("W", used)}["W.hung.couple_n_m"]
    assert used.hung is not None
    # first principles: weight times its distance from the wall
    assert couple.result == pytest.approx(used.hung.weight_kg * 9.80665 * used.hung.out_m)


def test_a_board_form_is_released_by_hand_unless_its_seal_was_measured(
    estimate_job: Callable[[str], Estimate],
) -> None:
    settings = estimate_job(piece()).job.workshop.handling
    of = [loads.release_rule(None, seal_pa, settings, boards=True, keyed=False) for seal_pa in (None, 2000.0)]
    assert [rule.release for rule in of] == ["hold-point", "suction"]
    assert [rule.adhesion_pa for rule in of] == [0.0, 2000.0]


def test_what_is_no_plate_stays_upright_in_every_move(estimate_piece: One) -> None:
    made = estimate_piece(piece(BOX.format("900 mm", "500 mm", "300 mm")) + STAIRS)
    assert dict(made.handling.attitudes) == dict.fromkeys(("strip", "flip", "carry", "stairs", "set"), "upright")
