"""The slab solver against cases with a closed form, and against an independent finite-difference model."""

from math import exp, inf

import numpy as np
import pytest

from estimator.curing.hydration import Blend, Hydration
from estimator.curing.slab import Case, Surroundings, ThermalSlab, heat_histories, heat_history
from tests.curing_shop import adiabatic_rise_k, hydration_of, surroundings

approx = pytest.approx

CEMENT_KG_M3, DENSITY, SPECIFIC_HEAT = 900.0, 2100.0, 1150.0  # the mix of case H7


def curve() -> Hydration:
    made = hydration_of("grey", Blend(cement=1.0), 0.33)
    assert isinstance(made, Hydration)
    return made


def slab(thickness_m: float, conductivity: float = 1.2) -> ThermalSlab:
    return ThermalSlab(thickness_m, DENSITY, SPECIFIC_HEAT, conductivity, CEMENT_KG_M3)


def slab_faces(resistance: float, placed_c: float = 20.0, air_c: float = 20.0) -> Surroundings:
    return surroundings(placed_c=placed_c, air_c=air_c, top_r=resistance, form_r=resistance)


def test_a_slab_without_heat_loss_rises_by_the_adiabatic_rise():
    # T1. source: first principles, H7's 118.2 K; the heat curve is still at 99.5 % after 1500 h
    hot = curve()
    history = heat_history(Case(slab(0.05), slab_faces(inf), hot), hours=1500.0)
    rise = history.temperature_c[-1] - 20.0
    whole = adiabatic_rise_k(CEMENT_KG_M3, hot.heat_j_kg, hot.ultimate_degree, DENSITY, SPECIFIC_HEAT)
    assert rise == approx(whole, rel=0.01)
    done = hot.degree(history.equivalent_age_h[-1]) / hot.ultimate_degree
    assert rise == approx(whole * done, rel=1e-6)


def test_uniform_heat_gives_the_steady_profile():
    # T1. source: first principles: surface qL/2h, core to surface qL²/8k
    setting = surroundings(placed_c=20.0, air_c=20.0, added_w_m3=5000.0)
    last = heat_history(Case(slab(0.075), setting, None), hours=48.0).temperature_c[-1]
    assert last[[0, -1]] - 20.0 == approx(18.75, rel=1e-4)
    assert last[10] - last[0] == approx(2.93, abs=0.005)


@pytest.mark.parametrize(("thickness_m", "resistance", "constant_h"), [(0.013, 0.0, 0.436), (0.075, 0.5, 15.1)])
def test_a_thin_slab_cools_with_the_lumped_time_constant(thickness_m, resistance, constant_h):
    # T1. source: first principles, ρ·cp·L/2U; a slab that conducts well follows it
    history = heat_history(
        Case(slab(thickness_m, conductivity=5.0), slab_faces(resistance, placed_c=40.0), None), hours=24.0
    )
    mean = history.temperature_c @ np.array([0.5, *[1.0] * 19, 0.5]) / 20.0
    at = int(np.searchsorted(history.time_h, 2.0 * constant_h if resistance == 0.0 else constant_h))
    hours = history.time_h[at]
    assert -hours / np.log((mean[at] - 20.0) / 20.0) == approx(constant_h, rel=0.01)


def test_cooling_of_a_poor_conductor_follows_the_first_mode():
    # source: first principles; plane wall, convection on both faces, Bi = U·(L/2)/k = 1: first root of ζ·tan ζ = Bi
    # is 0.8603, its coefficient 1.1191 (table in any heat-transfer textbook)
    thickness, conductivity = 0.1, 0.5
    history = heat_history(Case(slab(thickness, conductivity), slab_faces(0.0, placed_c=40.0), None), hours=10.0)
    fourier = conductivity * 10.0 * 3600.0 / (DENSITY * SPECIFIC_HEAT * (thickness / 2.0) ** 2)
    assert fourier > 0.2
    expected = 20.0 + 20.0 * 1.1191 * exp(-(0.8603**2) * fourier)
    assert history.core_c[-1] == approx(expected, abs=0.02)


PEAKS = [
    (0.013, (22.0, 26.2, 35.0)),
    (0.025, (24.3, 33.5, 51.6)),
    (0.050, (30.0, 50.3, 77.3)),
    (0.075, (36.8, 65.5, 90.8)),
]


@pytest.mark.parametrize(("thickness_m", "peaks"), PEAKS)
def test_peaks_agree_with_an_independent_model(thickness_m, peaks):
    # T2. source: a separate finite-difference model of the same equations, for comparison only
    runs = heat_histories([Case(slab(thickness_m), slab_faces(r), curve()) for r in (0.0, 0.18, 0.5)])
    assert [run.peak_c for run in runs] == approx(list(peaks), abs=0.15)


def test_a_thin_piece_in_the_cold_never_warms_itself():
    # T2. source: the same; placed at 15 °C in 5 °C air under R 0.5
    history = heat_history(Case(slab(0.013), slab_faces(0.5, placed_c=15.0, air_c=5.0), curve()))
    assert history.peak_c == approx(15.0, abs=1e-9)
    assert history.core_c[50:].max() < 11.0


def test_a_thick_piece_in_the_heat_passes_the_limit_even_bare():
    # T2. source: the same; placed at 32 °C in 38 °C air
    assert heat_history(Case(slab(0.075), slab_faces(0.0, placed_c=32.0, air_c=38.0), curve())).peak_c > 70.0
