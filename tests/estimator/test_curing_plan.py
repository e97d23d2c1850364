"""Properties of every curing plan, and its answers where the model knows nothing."""

from dataclasses import fields, replace
from math import isfinite

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimator.curing import covers
from estimator.curing.casting import Casting, MixHeat, limits_of
from estimator.curing.covers import (
    PLASTIC,
    Cover,
    CoverOutcome,
    PeakBand,
    Trial,
    mixes_needed,
    outcomes,
    rooms_needed,
    safe_layers_m,
    safe_when_hot,
    warm_enough,
)
from estimator.curing.hydration import Blend, Hydration
from estimator.curing.maturity import EN_ACTIVATION_J_MOL, age_for_strength_h, equivalent_age_h
from estimator.curing.plan import NO_TRIAL
from estimator.curing.slab import ThermalSlab
from geometry.message import message
from tests.curing_shop import (
    DIFFERENCE_LIMIT_K,
    PEAK_LIMIT_C,
    PRINTED,
    UNDER_TARP,
    curing_plan,
    curing_plans,
    hydration_of,
    room,
    surroundings,
)

approx = pytest.approx

CURVE = hydration_of("grey", Blend(cement=0.9, silica_fume=0.1), 0.34)
MIX = MixHeat(CURVE, 700.0, 238.0, 1800.0, 1150.0, 0.9, 0.1, 0.05)
MILD = room(room_c=20.0, placed_c=20.0)


def test_verdicts_are_judged_on_the_unsafe_side():
    plan = curing_plan(0.03, MIX, room(room_c=26.7, placed_c=24.0))
    _, under = plan.compared
    low, nominal, high = under.peak.low_c, under.peak.nominal_c, under.peak.high_c
    assert low is not None
    assert nominal is not None
    assert high is not None
    assert (
        low < nominal < PEAK_LIMIT_C < high
    )  # within the limit on the nominal side, yet the curing blanket is refused
    assert plan.insulate.answer is False


def test_each_figure_of_an_outcome_comes_from_its_unsafe_side():
    assert isinstance(CURVE, Hydration)
    slab, around = ThermalSlab(0.08, 1800.0, 1150.0, 0.4, 700.0), surroundings(22.0, 15.0, 0.2, 0.2)
    curves = (CURVE, replace(CURVE, high_factor=0.85), replace(CURVE, low_factor=1.15))
    band, weak, strong = outcomes([Trial(slab, UNDER_TARP, around, curve) for curve in curves], PRINTED)
    assert band.earliest_demould_h == weak.earliest_demould_h > strong.earliest_demould_h
    assert band.coldest_c == weak.coldest_c < strong.coldest_c
    assert band.strength_at_strip == weak.strength_at_strip < strong.strength_at_strip
    assert band.core_to_surface_k == strong.core_to_surface_k > weak.core_to_surface_k
    assert band.peak == PeakBand(weak.peak.low_c, band.peak.nominal_c, strong.peak.high_c)


def test_every_limit_is_kept():
    well = curing_plan(0.02, MIX, MILD).chosen
    assert well is not None
    assert safe_when_hot(well, PRINTED)
    assert not safe_when_hot(replace(well, core_to_surface_k=19.1), PRINTED)
    assert not safe_when_hot(replace(well, peak=PeakBand(60.0, 65.0, 70.1)), PRINTED)
    assert not safe_when_hot(replace(well, peak=PeakBand(60.0, 65.0, None)), PRINTED)
    assert warm_enough(well, PRINTED)
    assert not warm_enough(replace(well, coldest_c=12.9), PRINTED)
    assert not warm_enough(replace(well, earliest_demould_h=24.1), PRINTED)
    assert not warm_enough(replace(well, earliest_demould_h=None), PRINTED)


def test_above_90_degrees_no_temperature_is_given():
    plan = curing_plan(0.10, MIX, room(room_c=32.0, placed_c=30.0))
    _, under = plan.compared
    assert under.peak.high_c is None
    assert "over the limit" in str(under.peak)
    assert plan.insulate.why == message("cure-no-blanket-over", limit_c=70.0)
    assert str(PeakBand(61.2, 74.9, None)) == "61 °C / 75 °C / over the limit"


def test_cement_outside_the_model_does_not_count_as_safe():
    plan = curing_plan(0.0127, replace(MIX, hydration=hydration_of("calcium-sulfoaluminate", Blend(1.0), 0.34)), MILD)
    assert plan.cover_with_plastic.answer is True
    assert plan.insulate.answer is None
    assert plan.add_heat.answer is None
    assert plan.cool_or_layers.answer is None
    assert plan.chosen is None
    assert plan.earliest_demould_h is None
    assert plan.strip_h is None
    assert plan.flags[0] == message("cure-unmodeled-cement", kind="calcium-sulfoaluminate")


def test_flags_of_the_mix_reach_the_plan():
    white = hydration_of("white", Blend(0.85, silica_fume=0.15), 0.34)
    plan = curing_plan(0.0127, replace(MIX, hydration=white, set_modified=True), MILD)
    assert {flag.id for flag in plan.flags} >= {
        "curing-white-cement",
        "curing-silica-fume",
        "curing-set-modified",
        "curing-no-humidity",
        "curing-strip-strength",
    }


def test_water_lost_before_covering_is_reported():
    windy = replace(MILD, humidity=0.30, wind_km_h=15.0, uncovered_h=1.0)
    thin = curing_plan(0.0127, MIX, windy)
    assert thin.drying is not None
    assert thin.drying.over_limit
    (gone,) = [dict(flag.values) for flag in thin.flags if flag.id == "curing-water-gone"]
    assert gone["uncovered_s"] == 3600.0
    thick = curing_plan(0.10, MIX, windy)
    assert thick.drying is not None
    assert not thick.drying.notable
    assert not any(flag.id == "curing-water-gone" for flag in thick.flags)


def test_every_limit_names_its_source():
    assert all(limit.source and isfinite(limit.value) for limit in limits_of(PRINTED))
    assert {PEAK_LIMIT_C, DIFFERENCE_LIMIT_K} < {limit.value for limit in limits_of(PRINTED)}
    assert curing_plan(0.02, MIX, MILD).limits == limits_of(PRINTED)


def test_the_trace_can_be_plotted():
    chosen = curing_plan(0.02, MIX, MILD).chosen
    assert chosen is not None
    trace = chosen.trace
    assert trace.time_h.shape == trace.low_c.shape == trace.nominal_c.shape == trace.high_c.shape == (145,)
    assert trace.time_h[[0, -1]] == approx([0.0, 72.0])
    # the high side stores less heat, so that it also cools sooner once the heat is spent
    rising = trace.time_h <= trace.time_h[int(trace.high_c.argmax())]
    assert np.all(trace.low_c[rising] <= trace.high_c[rising] + 1e-9)


def test_slower_strength_is_stripped_later():
    early, late = (curing_plan(0.0127, MIX, MILD, replace(PRINTED, strip_strength=f)) for f in (0.30, 0.50))
    assert early.earliest_demould_h is not None
    assert late.earliest_demould_h is not None
    assert early.earliest_demould_h < 16.0 < late.earliest_demould_h
    assert early.strip_h == (16.0, 24.0)
    assert late.strip_h is not None
    assert late.strip_h[0] == late.earliest_demould_h


def test_a_frozen_piece_has_no_strip_age():
    plan = curing_plan(0.0127, MIX, room(room_c=-10.0, placed_c=10.0))
    assert plan.earliest_demould_h is None
    assert plan.strip_h is None
    assert plan.add_heat.answer is True


few = settings(max_examples=12, deadline=None)


@few
@given(
    thickness_m=st.floats(0.008, 0.12),
    room_c=st.floats(0.0, 38.0),
    placed_c=st.floats(8.0, 32.0),
    cementitious=st.floats(350.0, 900.0),
)
def test_the_chosen_cover_never_overheats_unless_the_plan_says_so(thickness_m, room_c, placed_c, cementitious):
    plan = curing_plan(thickness_m, replace(MIX, cementitious_kg_m3=cementitious), room(room_c, placed_c))
    assert plan.chosen is not None
    assert safe_when_hot(plan.chosen, PRINTED) or plan.cool_or_layers.answer
    assert warm_enough(plan.chosen, PRINTED) or plan.add_heat.answer
    assert not (plan.insulate.answer and plan.cool_or_layers.answer)


def test_remedies_give_up_rather_than_guess():
    assert isinstance(CURVE, Hydration)
    rich, thin = ThermalSlab(0.5, 2100.0, 1150.0, 1.0, 900.0), ThermalSlab(0.02, 2100.0, 1150.0, 1.0, 900.0)
    oven = surroundings(50.0, 60.0, 9.0, 9.0)
    assert mixes_needed([Trial(rich, UNDER_TARP, surroundings(32.0, 45.0, 0.5, 0.5), CURVE)], PRINTED) == [None]
    assert rooms_needed([(Trial(rich, UNDER_TARP, surroundings(32.0, 29.0, 0.5, 0.5), CURVE),) * 2], PRINTED) == [None]
    assert rooms_needed([(Trial(rich, UNDER_TARP, surroundings(32.0, 35.0, 0.5, 0.5), CURVE),) * 2], PRINTED) == [None]
    assert safe_layers_m([Trial(thin, UNDER_TARP, oven, CURVE)], PRINTED) == [None]
    assert safe_layers_m([Trial(rich, UNDER_TARP, oven, CURVE)], PRINTED) == [None]


def test_a_room_that_warms_the_thin_part_must_not_overheat_the_thick_one():
    assert isinstance(CURVE, Hydration)
    thin, thick = (ThermalSlab(t, 1800.0, 1150.0, 0.9, 700.0) for t in (0.0127, 0.09))
    around = surroundings(14.0, 6.0, 0.5, 0.5)
    cold, hot = Trial(thin, UNDER_TARP, around, CURVE), Trial(thick, UNDER_TARP, around, CURVE)
    alone, together = rooms_needed([(cold, cold), (cold, hot)], PRINTED)
    assert alone is not None
    warmed = replace(hot, around=replace(around, air_c=alone))
    (outcome,) = outcomes([warmed], PRINTED)
    assert not safe_when_hot(outcome, PRINTED)
    assert together is None


def test_plans_made_together_equal_plans_made_alone():
    other = replace(MIX, hydration=hydration_of("calcium-aluminate", Blend(1.0), 0.34))
    castings = [Casting(0.008 + 0.004 * i, other if i % 5 == 2 else MIX, MILD) for i in range(20)]
    for plan, casting in zip(curing_plans(castings), castings, strict=True):
        covers.KEPT.clear()
        alone = curing_plan(casting.thickness_m, casting.mix, casting.room)
        assert plan.insulate == alone.insulate
        assert plan.flags == alone.flags
        assert (plan.earliest_demould_h is None) == (alone.earliest_demould_h is None)
        assert plan.strip_h == alone.strip_h
    assert curing_plans([]) == []


def figures(outcome: CoverOutcome) -> list[object]:
    """All figures of an outcome, its trace by bytes."""
    trace = outcome.trace
    arrays = (trace.time_h, trace.low_c, trace.nominal_c, trace.high_c)
    return [getattr(outcome, field.name) for field in fields(outcome) if field.name != "trace"] + [
        array.tobytes() for array in arrays
    ]


@settings(max_examples=12, deadline=None)
@given(
    st.lists(
        st.tuples(st.floats(0.005, 0.15), st.floats(5.0, 35.0), st.floats(0.0, 0.6)),
        min_size=1,
        max_size=7,
        unique=True,
    ),
    st.integers(0, 6),
)
def test_an_outcome_is_the_same_to_the_last_bit_alone_together_and_kept(rows, part):
    trials = [
        Trial(ThermalSlab(t, 1800.0, 1150.0, 0.9, 700.0), UNDER_TARP, surroundings(20.0, air_c, r, r), CURVE)
        for t, air_c, r in rows
    ]
    covers.KEPT.clear()
    outcomes(trials[:part], PRINTED)
    warm = outcomes(trials, PRINTED)  # some of them cached, the others computed together
    assert [id(outcome) for outcome in outcomes(trials, PRINTED)] == [id(outcome) for outcome in warm]
    for trial, kept in zip(trials, warm, strict=True):
        covers.KEPT.clear()
        (alone,) = outcomes([trial], PRINTED)
        assert figures(alone) == figures(kept)


def test_no_more_outcomes_are_kept_than_fit_the_limit(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(covers, "MOST_KEPT", 3)
    covers.KEPT.clear()
    trials = [
        Trial(ThermalSlab(0.01 * n, 1800.0, 1150.0, 0.9, 700.0), UNDER_TARP, surroundings(20.0, 20.0, 0.1, 0.1), CURVE)
        for n in range(1, 6)
    ]
    assert len(outcomes(trials, PRINTED)) == 5
    assert [run[0] for run in covers.KEPT] == trials[2:]
    for outcome in covers.KEPT.values():  # none of them keeps the whole history of its run
        assert all(getattr(outcome.trace, field.name).base is None for field in fields(outcome.trace))
    outcomes([trials[2]], PRINTED)  # used last, so kept longest
    assert [run[0] for run in covers.KEPT] == [*trials[3:], trials[2]]
    changed = replace(PRINTED, strip_strength=PRINTED.strip_strength * 0.9)
    (early,), (late,) = outcomes([trials[2]], changed), outcomes([trials[2]], PRINTED)
    assert early.earliest_demould_h is not None
    assert late.earliest_demould_h is not None
    assert early.earliest_demould_h < late.earliest_demould_h  # other limits, another outcome


def test_impossible_plans_are_refused():
    with pytest.raises(ValueError, match=r"heat-share"):
        replace(MIX, curing_polymer_solids=6.0)
    with pytest.raises(ValueError, match="heat-free-water"):
        replace(MIX, water_kg_m3=0.0)
    with pytest.raises(ValueError, match=r"slab-thickness \(thickness_m = 19\.0"):
        curing_plan(19.0, MIX, MILD)
    with pytest.raises(ValueError, match=r"heat-strength-fraction \(fraction = 30\)"):
        curing_plan(0.02, MIX, MILD, replace(PRINTED, strip_strength=30.0))
    with pytest.raises(ValueError, match=r"slab-resistance \(name = cover, value = -1\)"):
        curing_plan(0.02, MIX, MILD, plastic=Cover(PLASTIC, -1.0, 0.0))


def test_the_strip_age_is_never_earlier_than_either_aging():
    for room_c in (5.0, 20.0, 38.0):
        for thickness_m in (0.0127, 0.05):
            plan = curing_plan(thickness_m, MIX, room(room_c=room_c, placed_c=20.0))
            if plan.earliest_demould_h is None or plan.cold is None:
                continue
            need_h = age_for_strength_h(0.30, 0.25)
            trace = plan.cold.trace
            curve_h = equivalent_age_h(trace.time_h, trace.low_c, EN_ACTIVATION_J_MOL, 20.0)
            # at mid-thickness, which is never colder than the coldest place
            assert plan.earliest_demould_h >= float(np.interp(need_h, curve_h, trace.time_h)) - 0.5


def test_a_retarded_mix_has_no_strip_time_without_a_trial():
    slow = replace(MIX, set_modified=True, retarded=True)
    (untried,) = curing_plans([Casting(0.02, slow, MILD)])
    assert untried.strip_h is None
    assert NO_TRIAL in untried.flags
    (plain,) = curing_plans([Casting(0.02, MIX, MILD)])
    (tried,) = curing_plans([Casting(0.02, slow, MILD, set_delay_h=5.0)])
    assert plain.earliest_demould_h is not None
    assert tried.earliest_demould_h == approx(plain.earliest_demould_h + 5.0)
