"""Conclusions of shop practice, which the heat model must reach by itself."""

import pytest

from estimator.curing.casting import MixHeat
from estimator.curing.covers import CoverOutcome
from estimator.curing.hydration import Blend, Hydration
from estimator.curing.plan import CuringPlan
from tests.curing_shop import DIFFERENCE_LIMIT_K, PEAK_LIMIT_C, THIN_SECTION_MIN_C, curing_plan, hydration_of, room

approx = pytest.approx

FAHRENHEIT_80_C = (80.0 - 32.0) / 1.8
HALF_INCH_M = 0.0127


def bead_mix(polymer_solids: float = 0.05) -> MixHeat:
    """A backer with half its sand replaced by beads: 700 kg/m³ cementitious, a tenth of it silica fume."""
    curve = hydration_of("grey", Blend(cement=0.9, silica_fume=0.1), 0.34)
    assert isinstance(curve, Hydration)
    return MixHeat(
        hydration=curve,
        cementitious_kg_m3=700.0,
        water_kg_m3=238.0,
        density_kg_m3=1800.0,
        specific_heat_j_kg_k=1150.0,
        conductivity_w_m_k=0.9,
        silica_fume_share=0.1,
        curing_polymer_solids=polymer_solids,
    )


def under_plastic_and_under_tarp(plan: CuringPlan) -> tuple[CoverOutcome, CoverOutcome]:
    alone, under = plan.compared
    return alone, under


def test_a_half_inch_sheet_at_80_f_goes_under_plastic_and_curing_blanket_overnight():
    # common practice
    plan = curing_plan(HALF_INCH_M, bead_mix(), room(room_c=FAHRENHEIT_80_C, placed_c=24.0))
    assert plan.cover_with_plastic.answer is True
    assert plan.insulate.answer is True
    assert plan.add_heat.answer is False
    assert plan.cool_or_layers.answer is False
    assert plan.strip_h is not None
    assert plan.strip_h[0] == 16.0
    alone, under = under_plastic_and_under_tarp(plan)
    assert alone.peak.high_c is not None
    assert alone.peak.high_c - FAHRENHEIT_80_C < 4.0  # by itself it hardly warms: this is why the curing blanket helps
    assert under.peak.high_c is not None
    assert under.peak.high_c < PEAK_LIMIT_C - 15.0


@pytest.mark.parametrize("thickness_m", [0.0381, 0.0508, 0.0762])
def test_a_thicker_piece_in_the_same_weather_must_not_have_the_curing_blanket(thickness_m):
    # common practice
    plan = curing_plan(thickness_m, bead_mix(), room(room_c=FAHRENHEIT_80_C, placed_c=24.0))
    assert plan.insulate.answer is False
    assert plan.insulate.why.id.startswith("cure-no-blanket-")
    assert plan.insulate.why.id != "cure-no-blanket-needed"
    assert plan.cool_or_layers.answer is False  # under plastic alone it stays within the limits
    assert plan.chosen is not None
    assert plan.chosen.cover.name == "plastic"


def test_in_winter_heat_has_to_be_added():
    # common practice
    winter = room(room_c=8.0, placed_c=15.0)
    plan = curing_plan(HALF_INCH_M, bead_mix(), winter)
    assert plan.insulate.answer is True
    assert plan.add_heat.answer is True
    assert plan.room_needed_c is not None
    warmed = curing_plan(HALF_INCH_M, bead_mix(), room(room_c=plan.room_needed_c, placed_c=15.0))
    assert warmed.add_heat.answer is False
    colder = curing_plan(HALF_INCH_M, bead_mix(), room(room_c=plan.room_needed_c - 1.0, placed_c=15.0))
    assert colder.add_heat.answer is True


def test_in_winter_a_thick_piece_needs_no_heat_where_a_thin_one_does():
    # common practice: a thick piece keeps itself warm under the curing blanket
    winter = room(room_c=10.0, placed_c=18.0)
    assert curing_plan(HALF_INCH_M, bead_mix(), winter).add_heat.answer is True
    assert curing_plan(0.0508, bead_mix(), winter).add_heat.answer is False


def test_in_summer_heat_a_thick_piece_must_be_cooled_or_layered():
    # common practice; T2: placed at 32 °C in 38 °C air, 75 mm passes 70 °C even bare
    plan = curing_plan(0.075, bead_mix(), room(room_c=38.0, placed_c=32.0))
    assert plan.insulate.answer is False
    assert plan.cool_or_layers.answer is True
    assert plan.layer_m is not None
    layered = curing_plan(plan.layer_m, bead_mix(), room(room_c=38.0, placed_c=32.0))
    assert layered.cool_or_layers.answer is False


def test_a_cool_mix_keeps_a_thick_piece_within_the_limit():
    # first principles: the temperature found passes, and one degree more does not
    plan = curing_plan(0.060, bead_mix(), room(room_c=38.0, placed_c=32.0))
    assert plan.cool_or_layers.answer is True
    assert plan.placed_needed_c is not None
    cooled = curing_plan(0.060, bead_mix(), room(room_c=38.0, placed_c=plan.placed_needed_c))
    assert cooled.cool_or_layers.answer is False
    warmer = curing_plan(0.060, bead_mix(), room(room_c=38.0, placed_c=plan.placed_needed_c + 1.0))
    assert warmer.cool_or_layers.answer is True


@pytest.mark.parametrize(("solids", "damp"), [(0.0, True), (0.04, True), (0.05, False), (0.06, False)])
def test_polymer_solids_of_5_to_6_percent_replace_wet_curing(solids, damp):
    # common practice
    plan = curing_plan(HALF_INCH_M, bead_mix(solids), room(room_c=20.0, placed_c=20.0))
    assert plan.wet_cure.answer is damp
    assert (dict(plan.wet_cure.why.values).get("days") == 7) is damp


def test_the_heat_limits_are_the_printed_ones():
    # S6. source: ACI 301-20, 160 °F and 35 °F; ACI 306R, 55 °F for thin sections (read); printed in SI as 70, 19, 13
    assert approx((160.0 - 32.0) / 1.8, abs=1.2) == PEAK_LIMIT_C
    assert approx(35.0 / 1.8, abs=0.5) == DIFFERENCE_LIMIT_K
    assert approx((55.0 - 32.0) / 1.8, abs=0.3) == THIN_SECTION_MIN_C
