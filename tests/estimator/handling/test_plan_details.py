"""Lifts of uneven pieces: off-center inserts, returns, boards, an elevator that is too weak."""

from __future__ import annotations

from types import SimpleNamespace

import pytest

from estimator.handling.doubts import Doubt, gear_message
from estimator.handling.in_use import in_use_workings
from estimator.handling.lifts import lift_workings
from estimator.handling.loads import release_rule
from estimator.words import PLAIN
from tests.estimator.handling.conftest import SLAB, One, piece

G = 9.80665


def steel(at: str, mass: str = "40 kg") -> str:
    return f'inserts = [{{ name = "steel", mass = "{mass}", at = {at} }}]'


def test_the_side_nearer_the_center_of_gravity_takes_more_of_a_pairs_load(estimate_piece: One) -> None:
    square = '{ kind = "slab", length = "1.5 m", width = "1.2 m", thickness = "15 mm" }'
    estimated = estimate_piece(piece(square, steel('["750 mm", "1150 mm", "7 mm"]', "10 kg")))
    turn = estimated.handling.lift("turn")
    assert turn is not None
    assert turn.crew.persons == 4 or turn.crew.by_machine
    part = estimated.weight.center_of_gravity_m[1] / 1.2
    assert turn.grip.heavier_side == pytest.approx(part)
    assert part > 0.52
    # first principles: half of the weight at each end, and of that half the part of the heavier side
    assert turn.crew.share_kg == pytest.approx(turn.weight_kg / 2 * part, rel=1e-9)


def test_an_insert_at_midspan_bends_the_piece_on_its_picks_too(estimate_piece: One) -> None:
    picks = 'handling = { picks = { at = [["0 m", "325 mm"], ["2.4 m", "325 mm"]] } }'
    bare = estimate_piece(piece(SLAB, picks)).handling.lifting
    laden = estimate_piece(piece(SLAB, picks + "\n" + steel('["1.2 m", "325 mm", "12 mm"]'))).handling.lifting
    bare_bends, laden_bends = bare.rigging[0].bending, laden.rigging[0].bending
    assert bare_bends is not None
    assert laden_bends is not None
    # first principles: w L² / 8, and P L / 4 of the insert, each with the factor of the load over the weight
    bare_factor = bare.greatest.load_kg / bare.greatest.weight_kg
    laden_factor = laden.greatest.load_kg / laden.greatest.weight_kg
    cast_kg = bare.greatest.weight_kg
    assert bare_bends.moment_n_m == pytest.approx(bare_factor * cast_kg * G * 2.4 / 8, rel=1e-9)
    expected = laden_factor * (cast_kg * G * 2.4 / 8 + 40 * G * 2.4 / 4)
    assert laden_bends.moment_n_m == pytest.approx(expected, rel=1e-9)


def test_the_load_of_flipping_counts_form_and_flip_board(estimate_piece: One) -> None:
    estimated = estimate_piece(piece())
    turn = next(load for load in estimated.handling.loads if load.stage == "turn")
    assert turn.weight_kg == estimated.weight.turn_kg
    assert turn.weight_kg > estimated.weight.demould.high_kg
    assert turn.load_kg == pytest.approx(1.2 * estimated.weight.turn_kg)


BOX = '{ kind = "box", length = "900 mm", width = "400 mm", height = "450 mm", wall = "20 mm", base = "25 mm" }'
HUNG = '{ kind = "panel", length = "2 m", height = "600 mm", skin = "15 mm" }'
STAIRS = '[site]\nstairs = [{ width = "1 m", headroom = "2 m", pitch = "35 deg" }]\n'
ON_EDGE = 'handling = { carried = "edge" }'


@pytest.mark.parametrize(
    ("shape", "use", "more", "moves"),
    [
        (SLAB, "counter", "", ["strip", "flip", "tilt", "carry", "set"]),
        (SLAB, "counter", ON_EDGE, ["strip", "flip", "tilt", "carry", "set"]),
        (SLAB, "counter", 'handling = { carried = "flat" }', ["strip", "flip", "carry", "set"]),
        (SLAB, "counter", f"{ON_EDGE}\n{STAIRS}", ["strip", "flip", "tilt", "carry", "stairs", "set"]),
        (HUNG, "panel", ON_EDGE, ["strip", "flip", "tilt", "carry", "set"]),
        (BOX, "planter", "", ["strip", "flip", "carry", "set"]),
        (BOX, "planter", STAIRS, ["strip", "flip", "carry", "stairs", "set"]),
    ],
)
def test_a_piece_has_its_moves_in_order(estimate_piece: One, shape: str, use: str, more: str, moves: list[str]) -> None:
    handling = estimate_piece(piece(shape, more, use)).handling
    assert [move for move, _ in handling.attitudes] == moves
    assert {move.name for move in handling.moves} <= set(moves)


@pytest.mark.parametrize(("shape", "use"), [(SLAB, "counter"), (HUNG, "panel"), (BOX, "planter")])
def test_the_working_of_a_load_in_place_gives_its_figure(estimate_piece: One, shape: str, use: str) -> None:
    used = estimate_piece(piece(shape, use=use)).handling.in_use
    workings = {working.figure.removeprefix("at."): working.result for working in in_use_workings("at", used)}
    known = {}
    if used.hung is not None:
        known |= {"hung.couple_n_m": used.hung.load.couple_n_m, "hung.push_n": used.hung.load.push_n}
    if used.standing is not None:
        known |= {"standing.kg_per_m2": used.standing.kg_per_m2}
    assert workings == pytest.approx(known, rel=1e-12)
    assert known


def test_the_working_of_a_lift_names_the_source_of_each_limit(estimate_piece: One) -> None:
    small = '{ kind = "slab", length = "1.2 m", width = "600 mm", thickness = "20 mm" }'  # for two
    lift = estimate_piece(piece(small)).handling.lift("carry")
    assert lift is not None
    workings = {working.figure.removeprefix("at."): working for working in lift_workings("at", lift)}
    assert {"share_kg", "niosh.origin.rwl_kg", "niosh.destination.rwl_kg", "team_kg"} <= set(workings)
    assert workings["share_kg"].result == pytest.approx(lift.crew.share_kg)
    assert all(PLAIN.text(working.source) for working in workings.values())


@pytest.mark.parametrize(
    ("release", "seal_pa", "boards", "expected"),
    [
        (None, None, True, ("hold-point", 0.0)),
        (None, None, False, ("suction", 2000.0)),
        (None, 900.0, True, ("suction", 900.0)),
        ("hold-point", 900.0, False, ("hold-point", 0.0)),
        ("suction", None, True, ("suction", 2000.0)),
    ],
)
def test_boards_are_released_at_a_hold_point_and_the_rest_against_suction(
    release: str | None, seal_pa: float | None, boards: bool, expected: tuple[str, float]
) -> None:
    shop = SimpleNamespace(adhesion_pa=2000.0, dynamic_strip=1.3, dynamic_strip_reveals=1.4)
    for keyed in (False, True):
        rule = release_rule(release, seal_pa, shop, boards=boards, keyed=keyed)  # type: ignore[arg-type]
        assert (rule.release, rule.adhesion_pa) == expected
        assert rule.factor == (1.4 if keyed and rule.release == "hold-point" else 1.3)


def test_a_hung_panel_leans_out_by_the_distance_from_its_center_of_gravity_to_its_back(estimate_piece: One) -> None:
    shape = (
        '{ kind = "panel", length = "2 m", height = "600 mm", skin = "15 mm", '
        'returns = [{ sides = ["left", "right"], depth = "80 mm", thickness = "15 mm" }] }'
    )
    estimated = estimate_piece(piece(shape, use="panel"))
    hung = estimated.handling.in_use.hung
    assert hung is not None
    # first principles: z runs from the face, near which most of the concrete lies, to the back at 80 mm, where it bears
    skin, turned = 2.0 * 0.015, 2 * 0.015 * 0.065
    centre = (skin * 0.0075 + turned * 0.0475) / (skin + turned)
    assert hung.out_m == pytest.approx(0.080 - centre, rel=1e-6)


def test_parts_are_no_heavier_than_the_elevator_may_carry(estimate_piece: One) -> None:
    site = '[site]\nlift = { width = "3 m", depth = "3 m", height = "3 m", rating = "60 kg" }\n'
    estimated = estimate_piece(piece() + site)
    way, weight_kg = estimated.handling.access, estimated.handling.transport_kg
    assert weight_kg > 60.0
    assert way.doubts == (Doubt("rating-over", gear_message("elevator")),)
    assert way.longest_part_m == pytest.approx(2.4 * 60.0 / weight_kg)
    parts = [b - a for a, b in zip((0.0, *way.seams_m), (*way.seams_m, 2.4), strict=True)]
    assert all(part / 2.4 * weight_kg <= 60.0 + 1e-6 for part in parts)
