"""Properties of every heat run, and refusals of impossible cases."""

from math import inf

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimator.curing.hydration import Blend, Hydration
from estimator.curing.slab import Case, HeatHistory, Surroundings, ThermalSlab, heat_histories, heat_history
from tests.curing_shop import hydration_of, surroundings

approx = pytest.approx


def curve() -> Hydration:
    made = hydration_of("grey", Blend(cement=0.9, silica_fume=0.1), 0.34)
    assert isinstance(made, Hydration)
    return made


def case(
    thickness_m: float = 0.05,
    resistance: float = 0.3,
    cementitious_kg_m3: float = 800.0,
    placed_c: float = 20.0,
    air_c: float = 20.0,
    factor: float = 1.0,
) -> Case:
    slab = ThermalSlab(thickness_m, 2000.0, 1150.0, 1.0, cementitious_kg_m3)
    return Case(slab, surroundings(placed_c, air_c, resistance, resistance), curve(), factor)


def heat_through_faces_j_m2(history: HeatHistory, around: Surroundings) -> float:
    """Loss by the trapezoidal rule over the recorded surface temperatures: not how the solver books it."""
    faces = history.temperature_c[:, [0, -1]] - around.air_c
    flux = faces @ np.array([around.form_u, around.top_u])
    return float(np.sum(np.diff(history.time_h) * 1800.0 * (flux[1:] + flux[:-1])))


def test_energy_is_conserved():
    run = case(thickness_m=0.075)
    history = heat_history(run)
    assert abs(history.energy_imbalance) < 1e-9
    lost = heat_through_faces_j_m2(history, run.around)
    assert history.released_j_m2 - history.stored_j_m2 == approx(lost, rel=1e-3)
    done = run.hydration.degree(history.equivalent_age_h[-1]) / run.hydration.ultimate_degree
    reachable = 800.0 * run.hydration.heat_j_kg * run.hydration.ultimate_degree * 0.075
    weights = np.array([0.5, *[1.0] * 19, 0.5]) / 20.0
    assert history.released_j_m2 == approx(reachable * float(done @ weights), rel=1e-9)


def test_energy_is_conserved_with_unlike_faces():
    run = Case(ThermalSlab(0.1, 1800.0, 1150.0, 0.6, 600.0), surroundings(30.0, 12.0, top_r=0.0, form_r=0.4), curve())
    history = heat_history(run)
    assert abs(history.energy_imbalance) < 1e-9
    lost = heat_through_faces_j_m2(history, run.around)
    assert history.released_j_m2 - history.stored_j_m2 == approx(lost, rel=1e-3)


def test_energy_is_conserved_in_a_nearly_sealed_slab():
    history = heat_history(case(0.3, 1000.0))
    left_over = history.released_j_m2 - history.lost_j_m2 - history.stored_j_m2
    assert 0.0 < history.lost_j_m2 < 1e-3 * history.released_j_m2
    assert abs(left_over) < 1e-6 * history.lost_j_m2


def test_the_slowest_age_is_that_of_the_cold_face():
    run = Case(ThermalSlab(0.1, 1800.0, 1150.0, 0.4, 600.0), surroundings(20.0, 5.0, top_r=0.0, form_r=2.0), curve())
    history = heat_history(run)
    assert history.slowest_age_h == approx(history.equivalent_age_h[:, -1])
    assert history.slowest_age_h[-1] < 0.8 * history.equivalent_age_h[-1, 0]


def test_the_step_converges_at_third_order_and_the_grid_at_second():
    run = Case(ThermalSlab(0.15, 2100.0, 1150.0, 0.8, 900.0), surroundings(25.0, 25.0, 0.3, 0.3), curve())

    def core(step_h: float, nodes: int) -> np.ndarray:
        history = heat_history(run, hours=48.0, step_h=step_h, nodes=nodes)
        return history.core_c[:: round(0.4 / step_h)]

    for least, coarse, middle, fine in (
        (6.0, core(0.2, 21), core(0.1, 21), core(0.05, 21)),
        (3.0, core(0.1, 11), core(0.1, 21), core(0.1, 41)),
    ):
        first, second = np.abs(coarse - middle).max(), np.abs(middle - fine).max()
        assert second < first / least
    assert np.abs(core(0.1, 21) - core(0.025, 61)).max() < 0.1


def test_the_search_grid_is_fine_enough():
    for thickness, resistance in ((0.013, 0.5), (0.075, 0.0), (0.075, 0.5)):
        run = case(thickness, resistance)
        assert heat_history(run, step_h=0.2, nodes=11).peak_c == approx(heat_history(run).peak_c, abs=0.2)


def test_cases_run_together_like_each_alone():
    runs = [case(0.013, 0.5), case(0.075, inf), case(0.05, 0.0, placed_c=30.0, air_c=5.0)]
    for together, run in zip(heat_histories(runs), runs, strict=True):
        assert together.temperature_c == approx(heat_history(run).temperature_c, abs=1e-9)


def test_symmetric_faces_give_a_symmetric_profile():
    profile = heat_history(case(0.075, 0.2)).temperature_c
    assert profile == approx(profile[:, ::-1], abs=1e-9)


def test_the_difference_counts_a_surface_hotter_than_the_core():
    warmed = Case(ThermalSlab(0.1, 2000.0, 1150.0, 0.5, 0.0), surroundings(placed_c=5.0, air_c=35.0), None)
    history = heat_history(warmed)
    assert history.core_to_surface_k == approx(float((history.top_c - history.core_c).max()))
    assert history.core_to_surface_k > 5.0


few = settings(max_examples=15, deadline=None)
lower = {
    "thickness_m": st.floats(0.01, 0.10),
    "resistance": st.floats(0.0, 0.8),
    "cementitious_kg_m3": st.floats(300.0, 900.0),
    "air_c": st.floats(5.0, 32.0),
}


@few
@given(
    thickness_m=lower["thickness_m"],
    resistance=lower["resistance"],
    cementitious_kg_m3=lower["cementitious_kg_m3"],
    air_c=lower["air_c"],
)
def test_the_peak_rises_with_thickness_cover_cement_and_room(thickness_m, resistance, cementitious_kg_m3, air_c):
    given_ = {
        "thickness_m": thickness_m,
        "resistance": resistance,
        "cementitious_kg_m3": cementitious_kg_m3,
        "air_c": air_c,
        "placed_c": air_c,
    }
    more = [
        {**given_, "thickness_m": thickness_m * 1.3},
        {**given_, "resistance": resistance + 0.2},
        {**given_, "cementitious_kg_m3": cementitious_kg_m3 * 1.2},
        {**given_, "air_c": air_c + 4.0, "placed_c": air_c + 4.0},
        {**given_, "air_c": air_c + 4.0},
        {**given_, "factor": 1.15},
    ]
    base, *raised = heat_histories([case(**g) for g in (given_, *more)])
    for run in raised:
        assert run.peak_c > base.peak_c


@few
@given(placed_c=st.floats(5.0, 35.0), air_c=st.floats(0.0, 38.0), resistance=st.floats(0.0, 1.0))
def test_no_point_is_colder_than_both_room_and_mix(placed_c, air_c, resistance):
    history = heat_history(case(0.03, resistance, placed_c=placed_c, air_c=air_c))
    assert history.temperature_c.min() >= min(placed_c, air_c) - 1e-9
    assert np.all(np.diff(history.equivalent_age_h, axis=0) > 0.0)


def test_impossible_cases_are_refused():
    slab = {
        "thickness_m": 0.05,
        "density_kg_m3": 2000.0,
        "specific_heat_j_kg_k": 1150.0,
        "conductivity_w_m_k": 1.0,
        "cementitious_kg_m3": 800.0,
    }
    for changed, said in (
        ({"thickness_m": 13.0}, r"slab-thickness"),
        ({"thickness_m": float("nan")}, r"slab-thickness"),
        (
            {"density_kg_m3": 20.0},
            r"slab-density \(density_kg_m3 = 20\.0",
        ),
        ({"specific_heat_j_kg_k": 1.15}, r"slab-specific-heat \(specific_heat_j_kg = 1\.15\)"),
        ({"conductivity_w_m_k": 0.0}, r"slab-conductivity \(conductivity_w_m = 0\)"),
        (
            {"cementitious_kg_m3": 2500.0},
            r"slab-cementitious \(cementitious_kg_m3 = 2500\.0",
        ),
    ):
        with pytest.raises(ValueError, match=said):
            ThermalSlab(**{**slab, **changed})
    for setting, said in (
        (
            {"placed_c": 80.0, "air_c": 20.0},
            r"slab-temperature \(name = placed, temperature_c = 80\.0",
        ),
        (
            {"placed_c": 20.0, "air_c": 300.0},
            r"slab-temperature \(name = air, temperature_c = 300\.0",
        ),
        ({"placed_c": 20.0, "air_c": 20.0, "top_r": -0.1}, r"slab-resistance \(name = cover, value = -0\.1\)"),
        ({"placed_c": 20.0, "air_c": 20.0, "form_r": -1.0}, r"slab-resistance \(name = form, value = -1\)"),
        ({"placed_c": 20.0, "air_c": 20.0, "film_w_m2_k": 0.0}, r"slab-film \(film_w_m2 = 0\)"),
        ({"placed_c": 20.0, "air_c": 20.0, "added_w_m3": -1.0}, r"slab-added \(added_w = -1\)"),
    ):
        with pytest.raises(ValueError, match=said):
            Surroundings(**({"top_r": 0.0, "form_r": 0.0, "film_w_m2_k": 10.0} | setting))


def test_impossible_runs_are_refused():
    with pytest.raises(ValueError, match="slab-no-cases"):
        heat_histories([])
    with pytest.raises(ValueError, match="slab-nodes"):
        heat_history(case(), nodes=4)
    with pytest.raises(ValueError, match=r"slab-steps \(hours = 1, step = 0\.3\)"):
        heat_history(case(), hours=1.0, step_h=0.3)
    with pytest.raises(ValueError, match=r"slab-steps \(hours = 72, step = 0\)"):
        heat_history(case(), step_h=0.0)
