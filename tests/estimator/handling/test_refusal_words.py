"""A figure that cannot be is refused by its name, with its value in the unit in which it was entered."""

from __future__ import annotations

from collections.abc import Callable
from math import nan

import pytest

from estimator.estimate import Estimate
from estimator.explain import workings_of
from estimator.handling import access, bending, in_use, loads, people, rigging, sections, transport
from estimator.handling.bending import CARRIES, PointLoad, SpreadLoad
from estimator.site import Stairs, Turn
from tests.estimator.handling.conftest import One, piece
from tests.refusal import refusal

PICKS = [(0.2, 0.2), (0.8, 0.2)]
SLAB = sections.stretches_of_slab([(0.0, 0.0), (1.0, 0.0), (1.0, 0.5), (0.0, 0.5)], (), 0.02, 2000.0)


@pytest.mark.parametrize(
    ("refused", "said"),
    [
        (lambda: in_use.tipping_pressure(-1.0, 0.5, 0.6, 0.4), "Weight is −1.0 kg"),
        (lambda: in_use.tipping_pressure(90.0, 0.0, 0.6, 0.4), "Side is 0.0 mm"),
        (lambda: in_use.tipping_pressure(90.0, 0.5, 0.0, 0.4), "Height is 0.0 mm"),
        (lambda: in_use.tipping_pressure(90.0, 0.5, 0.6, 0.0), "Foot is 0.0 mm"),
        (lambda: in_use.hung_panel(-1.0, [0.0, 1.0], 0.5, 0.1, 1.0), "Weight is −1.0 kg"),
        (lambda: in_use.hung_panel(9.0, [0.0, 1.0], 0.5, -0.1, 1.0), "enter of gravity from the bearing is −100 mm"),
        (lambda: in_use.hung_panel(9.0, [0.0, 1.0], 0.5, 0.1, 0.0), "between anchors and foot is 0.0 mm"),
        (lambda: in_use.hung_panel(9.0, [0.0, 1.0], nan, 0.1, 1.0), "along the panel is not a finite number"),
        (
            lambda: access.check_passage((1.0, 1.0, 0.1), Stairs(1.0, 2.0, 70.0), 0.0),
            "Pitch of the stairs is 70°.* 0° to 60°",
        ),
        (lambda: access.longest_through_turn(0.0, 1.0, 0.02), "Width of the passage is 0.0 mm"),
        (lambda: access.longest_through_turn(1.0, 1.0, -0.02), "Thickness is −20 mm"),
        (lambda: access.seam_places(0.0, 1.0, (), 0.1), "Length is 0.0 mm"),
        (lambda: access.seam_places(3.0, 1.0, (), -0.1), "Margin is −100 mm"),
        (lambda: bending.support_beam(1.0, (0.1, 1.2), ()), "Support is 1200 mm.* 0.0 mm to 1000 mm"),
        (lambda: bending.support_beam(1.0, (0.1, 0.9), [SpreadLoad(0.0, 1.0, -5.0)]), "Load is -5 N/m"),
        (lambda: bending.support_beam(1.0, (0.1, 0.9), (), [PointLoad(0.5, -5.0)]), "Point load is −5 N"),
        (lambda: bending.support_beam(1.0, (0.1, 0.9), (), [PointLoad(1.5, 5.0)]), "Point load is 1500 mm"),
        (lambda: sections.stretches_of_slab([(0, 0), (1, 0), (1, 1)], (), 0.0, 2000.0), "Thickness is 0.0 mm"),
        (lambda: sections.stretches_of_slab([(0, 0), (1, 0), (1, 1)], (), 0.02, -1.0), "Density is −1.0 kg/m³"),
        (lambda: sections.section_modulus([], "flat"), "Area of the cross-section is 0.000 m²"),
        (lambda: rigging.sling_leg_tension(-1.0, 60.0, "horizontal"), "Share of the leg is −1.0 kg"),
        (lambda: rigging.pick_shares(PICKS, (nan, 0.2), 100.0), "A pick or the center of gravity is not a finite"),
        (lambda: rigging.pick_shares(PICKS, (0.5, 0.2), -1.0), "Weight is −1.0 kg"),
        (lambda: loads.InsertCheck(-1.0, 4.0, None), "Load on the insert is −1.0 kg"),
        (lambda: loads.InsertCheck(1.0, 4.0, 0.0), "Ultimate strength of the insert is 0 g"),
        (lambda: loads.adhesion_mass(-1.0, 100.0), "Form area is −1.00 m²"),
        (lambda: people.team_capacity([40.0, -1.0]), "What one person lifts is −1.0 kg"),
        (lambda: transport.tie_downs(0.0, 100.0), "Length of the article is 0.0 mm"),
        (lambda: transport.tie_downs(3.0, -1.0), "Weight of the article is −1.0 kg"),
        (lambda: transport.tips_at_g(0.0, 1.0, 0.1), "Height of the center of gravity is 0.0 mm"),
        (lambda: transport.tips_at_g(1.0, 1.0, 0.6), "Offset of the center of gravity is 600 mm.* 0.0 mm to 500 mm"),
    ],
)
def test_a_figure_that_cannot_be_is_named_with_its_unit(refused: Callable[[], object], said: str) -> None:
    with refusal(said) as raised:
        refused()
    assert raised.value.key == ""


def test_a_first_crack_strength_of_nothing_is_named_with_its_unit() -> None:
    carry = CARRIES[-1]
    with refusal("irst-crack strength is 0.00 MPa"):
        bending.check_carry(SLAB, carry, 0.0, dynamic_factor=1.2, required_factor=2.0)
    with refusal("equired factor against cracking is 0"):
        bending.check_carry(SLAB, carry, 4e6, dynamic_factor=1.2, required_factor=0.0)


def test_the_weight_on_a_pick_is_between_nothing_and_all() -> None:
    """The center of gravity a hair beyond the first pick, as rounding puts it."""
    for off in (-1e-9, -1e-10, 0.0, 1e-10):
        shares = rigging.pick_shares([(0.0, 0.0), (1.0, 0.0)], (off, 0.0), 100.0).shares_kg
        assert all(0.0 <= share <= 100.0 for share in shares)
        assert sum(shares) == pytest.approx(100.0)


def test_a_piece_exactly_as_wide_as_the_stairs_goes_up() -> None:
    stairs = Stairs(1.0, 0.7, 35.0)
    turned = access.check_passage((2.0, 1.0, 0.02), stairs, 0.0)
    assert turned.passes
    assert not access.check_passage((2.0, 1.0001, 0.9), stairs, 0.0).passes


def test_a_doorway_without_height_lets_nothing_through() -> None:
    turn = Turn(1.0, 1.0, 0.04)
    refused = access.check_passage((0.5, 0.5, 0.02), turn, 0.05)
    assert not refused.passes
    assert refused.remark.id == "clearance-takes-all"


def test_a_box_is_stripped_flipped_carried_and_set_standing(estimate_piece: One) -> None:
    shape = '{ kind = "box", length = "600 mm", width = "400 mm", height = "400 mm", wall = "25 mm" }'
    made = estimate_piece(piece(shape, use="planter"))
    assert [move.name for move in made.handling.moves] == ["strip", "flip", "carry", "set"]


def test_a_bracket_or_an_anchor_may_be_within_the_first_meter(estimate_piece: One) -> None:
    shape = '{ kind = "panel", length = "2 m", height = "600 mm", skin = "15 mm" }'
    own = 'in_place = { anchors = ["0 mm", "900 mm", "2 m"], anchor_height = "0.5 m" }'
    assert estimate_piece(piece(shape, own, "panel")).handling.in_use.hung is not None


def test_each_working_names_its_source(estimate_job: Callable[[str], Estimate]) -> None:
    found = list(workings_of(estimate_job(piece())))
    assert found
    assert all(working.source for working in found)
