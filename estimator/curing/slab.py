"""Transient heat through the thickness of a hardening piece: one space dimension, both faces losing heat.

The piece is divided into control volumes, a half one at each face, so that the outer nodes are the surfaces. Conduction
is linear and its coefficients are constant, so a step takes it exactly, by the eigenvectors of the conduction matrix:
no step size can make it ring or blow up. Only the equivalent age of each node, which its hydration heat follows, is
stepped, by the explicit three-step formula of Adams and Bashforth: it changes over hours and is not stiff. What the
volumes gain, lose and make is booked step by step, so energy closes.

All cases of a call advance together, as rows of one array: nine covers and heat bands cost little more than one.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import isfinite
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from estimator.curing.hydration import REFERENCE_C, Hydration
from estimator.curing.maturity import GAS_CONSTANT_J_MOL_K, KELVIN_AT_ZERO_C
from estimator.errors import FaultError
from geometry.frozen import frozen
from geometry.message import message

Array: TypeAlias = NDArray[np.float64]

THINNEST_M, MOST_THICKNESS_M = 0.002, 1.0
"""Of a slab: what lies outside is likely given in the wrong unit."""

NODES = 21
STEP_H = 0.1


@frozen
class ThermalSlab:
    """One thickness of one mix.

    thickness_m                both faces lose heat; edges are left out, which errs to the hot side
    density_kg_m3              fresh
    specific_heat_j_kg_k       fresh
    conductivity_w_m_k         of the damp material
    cementitious_kg_m3         per m³ of fresh mix
    """

    thickness_m: float
    density_kg_m3: float
    specific_heat_j_kg_k: float
    conductivity_w_m_k: float
    cementitious_kg_m3: float

    def __post_init__(self) -> None:
        if not THINNEST_M <= self.thickness_m <= MOST_THICKNESS_M:
            raise FaultError(
                "", message("slab-thickness", thickness_m=self.thickness_m, thinnest_m=0.002, thickest_m=1.0)
            )
        if not 100.0 <= self.density_kg_m3 <= 4000.0:
            raise FaultError(
                "",
                message("slab-density", density_kg_m3=self.density_kg_m3, lightest_kg_m3=100.0, heaviest_kg_m3=4000.0),
            )
        if not 500.0 <= self.specific_heat_j_kg_k <= 4200.0:
            raise FaultError("", message("slab-specific-heat", specific_heat_j_kg=f"{self.specific_heat_j_kg_k:g}"))
        if not 0.02 <= self.conductivity_w_m_k <= 5.0:
            raise FaultError("", message("slab-conductivity", conductivity_w_m=f"{self.conductivity_w_m_k:g}"))
        if not 0.0 <= self.cementitious_kg_m3 <= self.density_kg_m3:
            raise FaultError(
                "",
                message(
                    "slab-cementitious", cementitious_kg_m3=self.cementitious_kg_m3, density_kg_m3=self.density_kg_m3
                ),
            )


@frozen
class Surroundings:
    """Temperatures and resistances around a hardening slab.

    placed_c      temperature of the mix when it is placed, °C
    air_c         of the room, °C, constant
    top_r         thermal resistance of what covers the top, m²K/W; 0 bare or under film, inf for no loss at all
    form_r        thermal resistance of form and table below, m²K/W
    film_w_m2_k   from either outer surface to the air, W/(m²K)
    added_w_m3    an even heat besides hydration, such as a heating mat's, W/m³
    """

    placed_c: float
    air_c: float
    top_r: float
    form_r: float
    film_w_m2_k: float
    added_w_m3: float = 0.0

    def __post_init__(self) -> None:
        for name, value in (("placed", self.placed_c), ("air", self.air_c)):
            if not -40.0 <= value <= 60.0:
                raise FaultError(
                    "", message("slab-temperature", name=name, temperature_c=value, coldest_c=-40.0, hottest_c=60.0)
                )
        for name, value in (("cover", self.top_r), ("form", self.form_r)):
            if not value >= 0.0:
                raise FaultError("", message("slab-resistance", name=name, value=f"{value:g}"))
        if not (self.film_w_m2_k > 0.0 and isfinite(self.film_w_m2_k)):
            raise FaultError("", message("slab-film", film_w_m2=f"{self.film_w_m2_k:g}"))
        if not (self.added_w_m3 >= 0.0 and isfinite(self.added_w_m3)):
            raise FaultError("", message("slab-added", added_w=f"{self.added_w_m3:g}"))

    @property
    def top_u(self) -> float:
        """Transmittance from the top surface to the room, W/(m²K)."""
        return 1.0 / (1.0 / self.film_w_m2_k + self.top_r)

    @property
    def form_u(self) -> float:
        """Transmittance from the form face to the room, W/(m²K)."""
        return 1.0 / (1.0 / self.film_w_m2_k + self.form_r)


@frozen
class Case:
    """One run: slab, surroundings and heat curve; `heat_factor` scales the heat for the band.

    hydration may be None for a slab that makes no heat of its own.
    """

    slab: ThermalSlab
    around: Surroundings
    hydration: Hydration | None
    heat_factor: float = 1.0


@frozen(eq=False)
class HeatHistory:
    """Temperatures and equivalent ages of one case.

    time_h             (m,) from placing
    temperature_c      (m, n), first column the form face, last the top
    equivalent_age_h   (m, n), hours at REFERENCE_C
    released_j_m2      made within the slab in the whole time, per m² of face
    lost_j_m2          given to the room through both faces
    stored_j_m2        gained by the slab
    """

    time_h: Array
    temperature_c: Array
    equivalent_age_h: Array
    released_j_m2: float
    lost_j_m2: float
    stored_j_m2: float

    @property
    def peak_c(self) -> float:
        """Highest temperature anywhere at any time, °C."""
        return float(self.temperature_c.max())

    @property
    def peak_time_h(self) -> float:
        """Time of the peak, hours from placing."""
        return float(self.time_h[int(self.hottest_c.argmax())])

    @property
    def hottest_c(self) -> Array:
        """(m,) hottest node at each time."""
        return np.asarray(self.temperature_c.max(axis=1), dtype=np.float64)

    @property
    def coldest_c(self) -> Array:
        """(m,) coldest node at each time."""
        return np.asarray(self.temperature_c.min(axis=1), dtype=np.float64)

    @property
    def core_c(self) -> Array:
        """(m,) temperature at mid-thickness."""
        return self.temperature_c[:, self.temperature_c.shape[1] // 2]

    @property
    def top_c(self) -> Array:
        """(m,) temperature of the top surface."""
        return self.temperature_c[:, -1]

    @property
    def core_to_surface_k(self) -> float:
        """Greatest difference between any point and either surface at one time, K."""
        faces = self.temperature_c[:, [0, -1]]
        cooler = self.hottest_c - faces.min(axis=1)
        warmer = faces.max(axis=1) - self.coldest_c
        return float(max(cooler.max(), warmer.max()))

    @property
    def slowest_age_h(self) -> Array:
        """(m,) equivalent age of the node that hardens last, hours at REFERENCE_C."""
        return np.asarray(self.equivalent_age_h.min(axis=1), dtype=np.float64)

    @property
    def energy_imbalance(self) -> float:
        """(released − lost − stored) as a fraction of the largest of the three; 0 where nothing moved."""
        largest = max(abs(self.released_j_m2), abs(self.lost_j_m2), abs(self.stored_j_m2))
        return (self.released_j_m2 - self.lost_j_m2 - self.stored_j_m2) / largest if largest > 0.0 else 0.0


@frozen
class _Conduction:
    """Exact step of linear conduction for b cases of n nodes, in temperatures above the room.

    decay         (b, n, n) what is left of a temperature profile after one step
    response      (b, n, n) temperature at the end of a step per adiabatic rise spread evenly over it
    mean_decay    (b, n, n) the same two, averaged over the step, for the booking of losses
    mean_response
    capacity      (b, n) heat capacity of each control volume, J/(m²K)
    transmittance (b, n) to the room, zero inside, W/(m²K)
    """

    decay: Array
    response: Array
    mean_decay: Array
    mean_response: Array
    capacity: Array
    transmittance: Array


def _conduction(cases: Sequence[Case], nodes: int, step_h: float) -> _Conduction:
    count = len(cases)
    thickness = np.array([c.slab.thickness_m for c in cases])
    spacing = thickness / (nodes - 1)
    link = np.array([c.slab.conductivity_w_m_k for c in cases]) / spacing
    share = np.ones(nodes)
    share[[0, -1]] = 0.5
    volumetric = np.array([c.slab.density_kg_m3 * c.slab.specific_heat_j_kg_k for c in cases])
    capacity = (volumetric * spacing)[:, None] * share
    transmittance = np.zeros((count, nodes))
    transmittance[:, 0] = [c.around.form_u for c in cases]
    transmittance[:, -1] = [c.around.top_u for c in cases]

    inner = np.arange(nodes - 1)
    matrix = np.zeros((count, nodes, nodes))
    matrix[:, inner, inner + 1] = matrix[:, inner + 1, inner] = -link[:, None]
    diagonal = np.arange(nodes)
    matrix[:, diagonal, diagonal] = transmittance + link[:, None] * (2.0 * share)
    root = np.sqrt(capacity)
    rates, modes = np.linalg.eigh(matrix / (root[:, :, None] * root[:, None, :]))  # 1/s; symmetric by the scaling

    z = np.maximum(rates, 0.0) * step_h * 3600.0
    small = z < 1e-4  # series below: the closed forms cancel there, and a slab without loss has one zero rate
    safe = np.where(small, 1.0, z)
    left = np.exp(-z)
    first = np.where(small, 1.0 - z / 2.0 + z * z / 6.0, -np.expm1(-safe) / safe)
    second = np.where(small, 0.5 - z / 6.0 + z * z / 24.0, (np.expm1(-safe) + safe) / (safe * safe))

    def back(of_modes: Array) -> Array:
        return np.asarray(
            ((modes * of_modes[:, None, :]) @ modes.transpose(0, 2, 1)) * root[:, None, :] / root[:, :, None]
        )

    return _Conduction(back(left), back(first), back(first), back(second), capacity, transmittance)


@frozen
class _Kinetics:
    """Heat curves of b cases, each a column (b, 1) that goes with (b, n) nodes.

    per_kelvin   activation energy over the gas constant, K
    room_k       kelvin
    tau, beta    of the heat curve
    rise_k       adiabatic, at the ultimate degree
    steady_k     adiabatic rise in one step by heat that does not come from hydration
    """

    per_kelvin: Array
    room_k: Array
    tau: Array
    beta: Array
    rise_k: Array
    steady_k: Array

    def pace(self, above: Array) -> Array:
        """Equivalent hours per hour at temperatures above the room's."""
        per_reference = 1.0 / (REFERENCE_C + KELVIN_AT_ZERO_C)
        return np.asarray(np.exp(self.per_kelvin * (per_reference - 1.0 / (above + self.room_k))))

    def warmth_k(self, age_h: Array) -> Array:
        """Adiabatic rise by hydration up to equivalent ages, K."""
        return np.asarray(self.rise_k * np.exp(-((self.tau / age_h) ** self.beta)))


def _kinetics(cases: Sequence[Case], step_h: float) -> _Kinetics:
    curves = [c.hydration for c in cases]
    volumetric = _column([c.slab.density_kg_m3 * c.slab.specific_heat_j_kg_k for c in cases])
    reachable = [h.heat_j_kg * h.ultimate_degree if h else 0.0 for h in curves]
    heats = [c.heat_factor * c.slab.cementitious_kg_m3 * heat for c, heat in zip(cases, reachable, strict=True)]
    return _Kinetics(
        per_kelvin=_column([h.activation_energy_j_mol / GAS_CONSTANT_J_MOL_K if h else 0.0 for h in curves]),
        room_k=_column([c.around.air_c + KELVIN_AT_ZERO_C for c in cases]),
        tau=_column([h.time_parameter_h if h else 1.0 for h in curves]),
        beta=_column([h.slope_parameter if h else 1.0 for h in curves]),
        rise_k=_column(heats) / volumetric,
        steady_k=_column([c.around.added_w_m3 * step_h * 3600.0 for c in cases]) / volumetric,
    )


def _column(values: Sequence[float]) -> Array:
    return np.array(values, dtype=np.float64).reshape(-1, 1)


def _applied(operator: Array, profile: Array) -> Array:
    """An (n, n) operator for each of b cases on its (n,) profile: (b, n)."""
    return np.asarray((operator @ profile[:, :, None])[:, :, 0])


def heat_histories(
    cases: Sequence[Case], hours: float = 72.0, step_h: float = STEP_H, nodes: int = NODES
) -> list[HeatHistory]:
    """Temperature history of each case, all stepped together.

    cases    b of them
    hours    length of the run, a whole number of steps
    step_h   hours; third order: 0.1 h puts the peak within 0.01 K of the limit for the mixes in the tests
    nodes    through the thickness, odd, so that one lies at mid-thickness

    Raises FaultError for no cases, an even or too small number of nodes, or a run that is not whole steps.
    Source: heat equation with an Arrhenius-weighted source; scheme: finite volumes, exponential integrator,
    Adams-Bashforth of third order.
    """
    if not cases:
        raise FaultError("", message("slab-no-cases"))
    if nodes < 3 or nodes % 2 == 0:
        raise FaultError("", message("slab-nodes", nodes=nodes))
    steps = round(hours / step_h) if step_h > 0.0 else 0
    if steps < 1 or abs(steps * step_h - hours) > 1e-6 * hours:
        raise FaultError("", message("slab-steps", hours=f"{hours:g}", step=f"{step_h:g}"))

    flow, heat = _conduction(cases, nodes, step_h), _kinetics(cases, step_h)
    count = len(cases)
    above = np.empty((steps + 1, count, nodes))
    ages = np.empty((steps + 1, count, nodes))
    above[0] = _column([c.around.placed_c - c.around.air_c for c in cases])
    ages[0] = 1e-9  # hours; the heat curve is flat to every order at 0, this only avoids dividing by it
    rise = np.zeros((count, nodes))
    warm = heat.warmth_k(ages[0])
    earlier = before = heat.pace(above[0])  # nothing has reacted yet: starting on one value costs no heat
    for i in range(steps):
        pace = heat.pace(above[i])
        ages[i + 1] = ages[i] + step_h / 12.0 * (23.0 * pace - 16.0 * before + 5.0 * earlier)
        warmer = heat.warmth_k(ages[i + 1])
        gain = warmer - warm + heat.steady_k
        above[i + 1] = _applied(flow.decay, above[i]) + _applied(flow.response, gain)
        rise += gain
        warm, before, earlier = warmer, pace, before

    mean_sum = _applied(flow.mean_decay, above[:-1].sum(axis=0)) + _applied(flow.mean_response, rise)
    lost = step_h * 3600.0 * (flow.transmittance * mean_sum).sum(axis=1)
    released = (flow.capacity * rise).sum(axis=1)
    stored = (flow.capacity * (above[-1] - above[0])).sum(axis=1)
    time_h: Array = step_h * np.arange(steps + 1, dtype=np.float64)
    return [
        HeatHistory(
            time_h=time_h,
            temperature_c=above[:, b, :] + cases[b].around.air_c,
            equivalent_age_h=ages[:, b, :],
            released_j_m2=float(released[b]),
            lost_j_m2=float(lost[b]),
            stored_j_m2=float(stored[b]),
        )
        for b in range(count)
    ]


def heat_history(case: Case, hours: float = 72.0, step_h: float = STEP_H, nodes: int = NODES) -> HeatHistory:
    """Temperature history of one case; see `heat_histories`."""
    return heat_histories([case], hours, step_h, nodes)[0]
