"""How fast the heat runs are, as a ratio to scipy's stiff solver on the same equations.

Run from the project's root: python -m tests.benchmarks.bench_heat, or python tests/benchmarks/bench_heat.py.
Both solve 72 hours of the same slab: 21 nodes, temperatures and equivalent ages as unknowns. The stiff solver is given
the tolerance at which its peak is as near to a much finer run as ours is, and the banded shape of its Jacobian.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from time import perf_counter

import numpy as np
from scipy.integrate import solve_ivp
from scipy.sparse import bmat, diags, identity

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from estimator.curing import covers
from estimator.curing.casting import Casting, MixHeat
from estimator.curing.hydration import REFERENCE_C, Blend, Hydration
from estimator.curing.maturity import GAS_CONSTANT_J_MOL_K
from estimator.curing.pieces import cure
from estimator.curing.slab import NODES, Case, ThermalSlab, heat_histories, heat_history
from estimator.estimate import survey
from estimator.intake import read_job
from estimator.job import Job
from estimator.mix import MixDesign
from estimator.takeoff import Takeoff
from tests.curing_shop import curing_plans, hydration_of, room, surroundings

HOURS = 72.0


def scipy_peak_c(case: Case, method: str, rtol: float) -> float:
    """Peak by solve_ivp on the semi-discrete equations, °C; unknowns are temperatures, then ages."""
    slab, setting, curve = case.slab, case.around, case.hydration
    assert curve is not None
    spacing = slab.thickness_m / (NODES - 1)
    share = np.ones(NODES)
    share[[0, -1]] = 0.5
    capacity = slab.density_kg_m3 * slab.specific_heat_j_kg_k * spacing * share / 3600.0
    link = slab.conductivity_w_m_k / spacing
    full = slab.cementitious_kg_m3 * curve.heat_j_kg * curve.ultimate_degree * case.heat_factor
    rise = full / (slab.density_kg_m3 * slab.specific_heat_j_kg_k)
    per_kelvin = curve.activation_energy_j_mol / GAS_CONSTANT_J_MOL_K
    tau, beta = curve.time_parameter_h, curve.slope_parameter

    def derivative(_: float, state: np.ndarray) -> np.ndarray:
        celsius, age = state[:NODES], np.maximum(state[NODES:], 1e-9)
        pace = np.exp(per_kelvin * (1.0 / (REFERENCE_C + 273.15) - 1.0 / (celsius + 273.15)))
        power = (tau / age) ** beta
        heating = rise * np.exp(-power) * power * beta / age * pace
        flow = np.zeros(NODES)
        between = link * np.diff(celsius)
        flow[:-1] += between
        flow[1:] -= between
        flow[0] -= setting.form_u * (celsius[0] - setting.air_c)
        flow[-1] -= setting.top_u * (celsius[-1] - setting.air_c)
        return np.concatenate([flow / capacity + heating, pace])

    neighbours = diags([np.ones(NODES - 1), np.ones(NODES), np.ones(NODES - 1)], [-1, 0, 1])
    pattern = bmat([[neighbours, identity(NODES)], [identity(NODES), identity(NODES)]])
    start = np.concatenate([np.full(NODES, setting.placed_c), np.zeros(NODES)])
    solved = solve_ivp(
        derivative, (0.0, HOURS), start, method=method, rtol=rtol, atol=rtol, jac_sparsity=pattern, max_step=1.0
    )
    assert solved.success
    return float(solved.y[:NODES].max())


def seconds(run: Callable[[], object], repeats: int = 5) -> float:
    run()
    taken = []
    for _ in range(repeats):
        started = perf_counter()
        run()
        taken.append(perf_counter() - started)
    return median(taken)


def main() -> None:
    curve = hydration_of("grey", Blend(cement=1.0), 0.33)
    assert isinstance(curve, Hydration)
    case = Case(ThermalSlab(0.075, 2100.0, 1150.0, 1.2, 900.0), surroundings(20.0, 20.0, 0.5, 0.5), curve)
    exact = heat_history(case, HOURS, step_h=0.005).peak_c
    ours = seconds(lambda: heat_history(case, HOURS))
    error = heat_history(case, HOURS).peak_c - exact
    print(f"one thickness, {HOURS:g} h: {ours * 1e3:6.1f} ms, peak off by {error:+.4f} K")
    for method in ("BDF", "Radau"):
        for rtol in (1e-3, 1e-4, 1e-5, 1e-6):
            error = scipy_peak_c(case, method, rtol) - exact
            if abs(error) <= 0.02:
                break
        taken = seconds(lambda m=method, r=rtol: scipy_peak_c(case, m, r), repeats=3)
        print(
            f"scipy {method:5}, rtol {rtol:g}: {taken * 1e3:6.1f} ms, peak off by {error:+.4f} K, "
            f"ratio {taken / ours:.1f}"
        )

    thicknesses = np.linspace(0.01, 0.08, 50)
    settings = [surroundings(20.0, 20.0, r, r) for r in (0.0, 0.5)]
    many = [Case(ThermalSlab(float(t), 2100.0, 1150.0, 1.2, 900.0), s, curve) for t in thicknesses for s in settings]
    together = seconds(lambda: heat_histories(many, HOURS), repeats=3)
    print(f"50 thicknesses, both covers, together: {together:.2f} s, {together / len(many) / ours:.2f} of one run each")

    mix = MixHeat(curve, 700.0, 238.0, 1800.0, 1150.0, 0.9, 0.0, 0.05)
    castings = [Casting(float(t), mix, room(20.0, 20.0)) for t in thicknesses]
    plans = seconds(lambda: (covers.KEPT.clear(), curing_plans(castings)), repeats=1)
    print(f"50 whole plans (both covers, three heats each): {plans:.2f} s")

    for weather, air in (("mild", '"70 °F"'), ("winter", '"45 °F"'), ("summer", '"100 °F"')):
        job = job_of(thicknesses, air)
        takeoff, mixes, _ = survey(job)
        curing = seconds(lambda j=job, t=takeoff, m=mixes: fresh_cure(j, t, m), repeats=1)
        print(f"a job of 50 thicknesses, {weather}, remedies in: {curing:.2f} s, {curing / ours:.0f} single runs")
    again = seconds(lambda: cure(job, takeoff, mixes), repeats=3)
    print(f"the same job estimated again: {again:.2f} s")


def job_of(thicknesses: np.ndarray, room: str) -> Job:
    """A job of slabs, one of each thickness, placed at the temperature of the room."""
    head = f'[job]\nname = "Bench"\nmix = "backer-45"\n[cure]\nroom = {room}\nmix_temperature = {room}\n'
    pieces = [
        f'[[piece]]\nmark = "P{i}"\nshape = {{ kind = "slab", length = "4 ft", width = "2 ft", '
        f'thickness = "{1000 * t:.2f} mm" }}\n'
        for i, t in enumerate(thicknesses)
    ]
    with TemporaryDirectory() as folder:
        path = Path(folder) / "job.toml"
        path.write_text(head + "".join(pieces), encoding="utf-8")
        return read_job(path).sound()


def fresh_cure(job: Job, takeoff: Takeoff, mixes: dict[str, MixDesign]) -> None:
    """The curing of a job that was not estimated before."""
    covers.KEPT.clear()
    cure(job, takeoff, mixes)


if __name__ == "__main__":
    main()
