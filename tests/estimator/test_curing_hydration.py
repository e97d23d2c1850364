"""Blends, flags and refusals of the hydration model."""

from dataclasses import replace

import numpy as np
import pytest

from estimator.curing.hydration import (
    Blend,
    CementAnalysis,
    Hydration,
    Unmodelled,
    activation_energy_j_mol,
    heat_of_blend,
    slope_parameter,
    time_parameter_h,
    ultimate_degree,
)
from estimator.words import PLAIN as PLAIN_WORDS
from geometry.message import message
from tests.curing_shop import ASSUMED_CEMENT, hydration_of

approx = pytest.approx

PLAIN = Blend(cement=1.0)
WHITE = replace(ASSUMED_CEMENT, c3s=0.68, c2s=0.16, c3a=0.05, c4af=0.01, blaine_m2_kg=420.0)


def modelled(kind, blend, analysis=None, water_cementitious=0.34) -> Hydration:
    curve = hydration_of(kind, blend, water_cementitious, analysis)
    assert isinstance(curve, Hydration)
    return curve


def test_degree_of_hydration_starts_at_zero_and_never_falls():
    curve = modelled("grey", PLAIN)
    degrees = curve.degree(np.array([0.0, 0.01, 1.0, 10.0, 100.0, 1e6]))
    assert degrees[0] == 0.0
    assert np.all(np.diff(degrees) >= 0.0)
    assert degrees[-1] == approx(curve.ultimate_degree, rel=1e-3)


def test_slag_and_fly_ash_change_the_curve_as_printed():
    # source: Schindler & Folliard 2005, coefficients from memory: 461 J/g slag, 1800 J/g × CaO fly ash;
    # τ × exp(2.187 slag + 9.50 ash·CaO), β × exp(−0.647 slag), αu + 0.50 ash + 0.30 slag
    slag, ash = Blend(cement=0.6, slag=0.4), Blend(cement=0.8, fly_ash=0.2, fly_ash_cao=0.10)
    plain_heat = heat_of_blend(ASSUMED_CEMENT, PLAIN)
    assert heat_of_blend(ASSUMED_CEMENT, slag) == approx(0.6 * plain_heat + 0.4 * 461_000.0)
    assert heat_of_blend(ASSUMED_CEMENT, ash) == approx(0.8 * plain_heat + 0.2 * 180_000.0)
    assert time_parameter_h(ASSUMED_CEMENT, slag) / time_parameter_h(ASSUMED_CEMENT, PLAIN) == approx(2.398, abs=0.001)
    assert time_parameter_h(ASSUMED_CEMENT, ash) / time_parameter_h(ASSUMED_CEMENT, PLAIN) == approx(1.209, abs=0.001)
    assert slope_parameter(ASSUMED_CEMENT, slag) / slope_parameter(ASSUMED_CEMENT, PLAIN) == approx(0.772, abs=0.001)
    assert ultimate_degree(0.40, fly_ash=0.2) == approx(0.6943 + 0.10, abs=5e-5)
    assert ultimate_degree(0.60, slag=0.8) == 1.0


def test_silica_fume_and_unknown_pozzolans_add_their_heat():
    # source: Riding et al. 2012, 330 J/g silica fume, from memory
    plain_heat = heat_of_blend(ASSUMED_CEMENT, PLAIN)
    assert heat_of_blend(ASSUMED_CEMENT, Blend(cement=0.9, silica_fume=0.1)) == approx(0.9 * plain_heat + 33_000.0)
    unknown = modelled("grey", Blend(cement=0.8, other=0.2))
    assert unknown.heat_j_kg == approx(plain_heat)
    assert unknown.low_factor == approx(0.85 * 0.8)
    assert unknown.high_factor == approx(1.15)
    assert message("curing-pozzolan", pozzolan_share=0.2) in unknown.flags


def test_a_value_outside_the_data_is_always_flagged():
    assert message("curing-white-cement") in modelled("white", PLAIN).flags
    assert [flag.id for flag in modelled("grey", PLAIN).flags] == ["curing-assumed-cement"]
    (low,) = modelled("white", PLAIN, WHITE).flags
    assert PLAIN_WORDS.text(low).startswith("C4AF 0.01 is below")
    fume = Blend(cement=0.85, silica_fume=0.15)
    more = message("curing-silica-fume", fume_share=0.15, highest_share=0.10)
    assert more in modelled("grey", fume).flags
    assert PLAIN_WORDS.text(more).startswith("Silica fume is 15% of the cementitious")
    assert modelled("grey", Blend(cement=0.9, silica_fume=0.1), ASSUMED_CEMENT).flags == ()


@pytest.mark.parametrize("kind", ["calcium-sulfoaluminate", "calcium-aluminate"])
def test_cements_outside_the_model_get_no_figure(kind):
    told = hydration_of(kind, PLAIN, 0.34)
    assert isinstance(told, Unmodelled)
    said = PLAIN_WORDS.text(told.reason)
    assert kind.replace("-", " ") in said
    assert "Put a thermometer in a trial piece" in said


def test_activation_energy_is_not_extrapolated_to_white_cement():
    assert activation_energy_j_mol(WHITE, PLAIN) == 40_000.0
    assert activation_energy_j_mol(replace(WHITE, c2s=0.12, c4af=0.05), PLAIN) < 40_000.0


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"c3s": 57.0}, r"cement-share \(name = c3s"),
        ({"mgo": -0.01}, r"cement-share \(name = mgo"),
        ({"c3s": 0.9}, r"cement-sum \(total = 1\.300"),
        ({"c4af": 0.0}, r"cement-compound-missing \(name = c4af"),
        ({"blaine_m2_kg": 3700.0}, r"cement-fineness \(value = figure-specific-surface \(value_m2_kg = 3700\.0"),
    ],
)
def test_impossible_analyses_are_refused(changes, said):
    with pytest.raises(ValueError, match=said):
        replace(ASSUMED_CEMENT, **changes)


@pytest.mark.parametrize(
    ("shares", "said"),
    [
        ({"cement": 90.0, "silica_fume": 0.1}, "blend-share \\(name = cement, share = 90"),
        ({"cement": 0.9}, "blend-sum \\(values = 0.9000"),
        ({"cement": 0.0, "slag": 1.0}, "blend-no-cement"),
        ({"cement": 0.8, "fly_ash": 0.2}, "blend-fly-ash"),
        ({"cement": 0.8, "fly_ash": 0.2, "fly_ash_cao": 10.0}, "blend-fly-ash-range \\(fly_ash_cao = 10"),
    ],
)
def test_impossible_blends_are_refused(shares, said):
    with pytest.raises(ValueError, match=said):
        Blend(**shares)


def test_impossible_water_is_refused():
    with pytest.raises(ValueError, match=r"heat-water-ratio"):
        ultimate_degree(34.0)


def test_an_analysis_is_plain_data():
    assert CementAnalysis(0.57, 0.17, 0.09, 0.08, 0.03, 0.01, 0.02, 370.0) == ASSUMED_CEMENT
