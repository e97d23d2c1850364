"""Weights by stage: tolerances, boards, soil and the center of gravity."""

from __future__ import annotations

from dataclasses import astuple

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimator.errors import FaultError
from estimator.weight import BOARDS, Stage, Tolerance, Tolerances, Weight, WeightBand, soaked_mass, weight_workings
from estimator.words import PLAIN
from tests.refusal import refusal

POUND_KG = 0.45359237
FOOT_M = 0.3048
CAST: dict[Stage, float] = {"fresh": 80.0, "demould": 79.0, "transport": 79.0, "installed": 74.0}
OVEN_DRY_KG = 72.0


def tolerances(density: float, thickness: float) -> Tolerance:
    return Tolerance(density, thickness, low_air=1.0, high_air=1.0)


def band(tolerance: Tolerance, cast_kg: float, inserts_kg: float) -> WeightBand:
    columns = Tolerances(*(np.array([value]) for value in astuple(tolerance)))
    return columns.bands(np.array([cast_kg]), np.array([inserts_kg]))[0]


def soaked_kg(fresh_kg: float, oven_dry_kg: float, absorption: float) -> float:
    return float(soaked_mass(np.array([fresh_kg]), np.array([oven_dry_kg]), absorption)[0])


def piece(tolerance: Tolerance, inserts_kg: float = 0.0, absorption: float | None = None, **changes: object) -> Weight:
    """A piece of CAST with these tolerances; soaked where an absorption is given."""
    bands = {stage: band(tolerance, mass_kg, inserts_kg) for stage, mass_kg in CAST.items()}
    soaked = None
    if absorption is not None:
        soaked = band(tolerance, soaked_kg(CAST["fresh"], OVEN_DRY_KG, absorption), inserts_kg)
    rest = {"boards_kg": 0.0, "layers_kg": (), "centers_m": {}, "soil_kg": None, "assumptions": ()}
    bands |= {stage: changes.pop(stage) for stage in list(changes) if stage in bands}
    return Weight(
        **bands, soaked=soaked, oven_dry_kg=OVEN_DRY_KG, tolerance=tolerance, inserts_kg=inserts_kg, **(rest | changes)
    )


def test_the_high_weight_takes_both_tolerances_and_inserts_at_their_own_mass():
    # first principles: 80 · 1.05 · (1 + 1/12) + 5 for a 3/4 in piece and 1/16 in
    weight = piece(tolerances(0.05, 1 / 12), inserts_kg=5.0)
    assert weight.high_kg == pytest.approx(80 * 1.05 * 13 / 12 + 5)
    assert weight.low_kg == pytest.approx(74 * 0.95 * 11 / 12 + 5)
    assert weight.fresh.nominal_kg == pytest.approx(85.0)
    assert weight.soaked is None
    assert set(weight.by_stage) == {"fresh", "demould", "transport", "installed"}


def test_the_piece_is_lifted_at_its_strip_weight_not_dry_and_not_in_the_form():
    assert piece(tolerances(0.05, 0.0)).lift_kg == pytest.approx(79 * 1.05)


def test_a_soaked_weight_from_a_tested_absorption_can_be_the_heaviest():
    weight = piece(tolerances(0.0, 0.0), absorption=0.15)
    assert weight.soaked.nominal_kg == pytest.approx(72 * 1.15)
    assert weight.high_kg == pytest.approx(82.8)
    assert weight.lift_kg == pytest.approx(82.8)  # it may be lifted while wet


def test_a_soaked_piece_weighs_no_less_than_it_did_fresh():
    # perlite at 1:4, 575 kg/m³ oven-dry, holds its mix water far beyond a gain of 12 %
    assert soaked_kg(90.0, 57.5, 0.12) == 90.0
    assert soaked_kg(90.0, 57.5, 0.60) == pytest.approx(92.0)
    assert piece(tolerances(0.05, 0.0), absorption=0.0).soaked == piece(tolerances(0.05, 0.0)).fresh


def test_high_weights_use_the_least_air_and_low_ones_the_most():
    # air 0.30 that may be 0.20: (1 - 0.20) / (1 - 0.30) times the density
    either_side = band(Tolerance(0.10, 0.0, low_air=0.8 / 0.7, high_air=0.6 / 0.7), 70.0, 0.0)
    assert either_side.high_kg == pytest.approx(80.0 * 1.1)
    assert either_side.low_kg == pytest.approx(60.0 * 0.9)


def test_the_flip_weight_adds_form_board_and_flip_board():
    # common practice: 2.75 lb/ft² of board; a 72 × 25.5 in piece has 12.75 ft² a face
    face_m2, board_kg_m2 = 12.75 * FOOT_M**2, 2.75 * POUND_KG / FOOT_M**2
    boards_kg = BOARDS(form_m2=face_m2, form_board_kg_m2=board_kg_m2, plan_m2=face_m2, turning_board_kg_m2=board_kg_m2)
    weight = piece(tolerances(0.0, 0.0), boards_kg=boards_kg, demould=WeightBand(50.0, 55.0, 60.0))
    assert weight.turn_kg == pytest.approx(60.0 + 2 * 12.75 * 2.75 * POUND_KG)


def test_a_planter_weighs_with_wet_soil():
    # common practice: 110 lb/ft³ wet
    weight = piece(tolerances(0.0, 0.0), soil_kg=1100 * POUND_KG, fresh=WeightBand(40.0, 42.0, 45.0))
    assert weight.filled_kg == pytest.approx(45.0 + 1100 * POUND_KG)


@settings(max_examples=80, deadline=None)
@given(st.floats(0, 0.5), st.floats(0, 0.9), st.floats(0, 50))
def test_the_low_weight_is_never_above_the_high(density, thickness, inserts):
    weight = piece(tolerances(density, thickness), inserts, absorption=0.0)
    for either_side in weight.by_stage.values():
        assert either_side.low_kg <= either_side.nominal_kg <= either_side.high_kg
    assert weight.low_kg <= weight.lift_kg <= weight.high_kg


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: tolerances(0.05, 1.0), "tolerance-over-thickness"),
        (lambda: tolerances(5.0, 0.1), "quantity-density-tolerance, value = 5, least = 0, most = 0.5"),
        (lambda: soaked_kg(10.0, 10.0, 12.0), "absorption, value = 12, least = 0, most = 1"),
    ],
)
def test_impossible_input_is_refused(call, message):
    with pytest.raises(ValueError, match=message):
        call()


def test_every_working_gives_its_figure():
    weight = piece(tolerances(0.05, 1 / 12), inserts_kg=5.0, absorption=0.20, soil_kg=120.0, boards_kg=9.0)
    workings = {working.figure.removeprefix("pieces.P1.weight."): working for working in weight_workings("P1", weight)}
    assert {name: working.result for name, working in workings.items()} == pytest.approx(
        {
            "fresh_kg": weight.fresh.nominal_kg,
            "demould_kg": weight.demould.nominal_kg,
            "installed_kg": weight.installed.nominal_kg,
            "high_kg": weight.high_kg,
            "low_kg": weight.low_kg,
            "lift_kg": weight.lift_kg,
            "turn_kg": weight.turn_kg,
            "stages.soaked.nominal_kg": weight.soaked.nominal_kg,
            "filled_kg": weight.filled_kg,
        },
        rel=1e-12,
    )
    assert {working.unit for working in workings.values()} == {"kg"}
    assert all(PLAIN.text(working.source) for working in workings.values())
    assert workings["filled_kg"].values == pytest.approx({"planter_kg": weight.in_place_kg, "soil_kg": 120.0})
    dry = {working.figure for working in weight_workings("P1", piece(tolerances(0.05, 0.0)))}
    assert not dry & {"pieces.P1.weight.filled_kg", "pieces.P1.weight.stages.soaked.nominal_kg"}


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("density", -0.01),
        ("density", 0.51),
        ("low_air", 0.99),
        ("low_air", 2.01),
        ("high_air", 0.09),
        ("high_air", 1.01),
    ],
)
def test_a_tolerance_out_of_bounds_is_named(field: str, value: float):
    sound = {"density": 0.05, "thickness": 0.1, "low_air": 1.0, "high_air": 1.0}
    names = {
        "density": "Density tolerance",
        "low_air": "Density at the least air",
        "high_air": "Density at the most air",
    }
    with refusal(names[field]):
        Tolerance(**(sound | {field: value}))
    for bound in (0.0, 0.999):
        assert Tolerance(**(sound | {"thickness": bound})).thickness == bound
    with pytest.raises(FaultError) as raised:
        Tolerance(**(sound | {"thickness": -0.1}))
    assert (raised.value.key, raised.value.message.id) == ("", "tolerance-over-thickness")
