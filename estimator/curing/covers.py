"""Covers compared, and what helps where none keeps a piece within its limits."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from math import ceil, floor
from threading import Lock
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from estimator.constants import HOUR_S
from estimator.curing.hydration import REFERENCE_C, Hydration
from estimator.curing.maturity import (
    CURVE_REFERENCE_C,
    EN_ACTIVATION_J_MOL,
    age_for_strength_h,
    between_references,
    earliest_time_h,
    equivalent_age_h,
    strength_fraction,
)
from estimator.curing.slab import NODES, STEP_H, Case, HeatHistory, Surroundings, ThermalSlab, heat_histories
from estimator.workshop import CuringSettings
from geometry.frozen import frozen

Array: TypeAlias = NDArray[np.float64]

RUN_H = 72.0
LOW_SPECIFIC_HEAT = 1150.0 / 1258.0
"""What a mix stores per degree, for its peak, over the average of its parts: a printed 1,150 J/(kg·K) for a rich mix
whose parts average 1,258. The average itself counts for cold and strip age, where storing more is the safe side."""

OVER_THE_LIMIT_C = 90.0
"""Above this no temperature is stated, only that it is over the limit: water boils off and the model ends."""


@frozen
class Cover:
    """Resistances of what lies on the piece and under its form, m²K/W; the air film comes on top of them."""

    name: str
    top_r: float
    form_r: float


PLASTIC, BLANKET = "plastic", "plastic and curing blanket"
"""Names of the two covers compared: plastic alone keeps water, not heat; the blanket goes round piece and form."""


@frozen
class PeakBand:
    """Peak temperature with the heat taken low, as computed, and high, °C; None where over OVER_THE_LIMIT_C."""

    low_c: float | None
    nominal_c: float | None
    high_c: float | None

    def __str__(self) -> str:
        return " / ".join(
            "over the limit" if c is None else f"{c:.0f} °C" for c in (self.low_c, self.nominal_c, self.high_c)
        )


@frozen(eq=False)
class Trace:
    """Temperature at mid-thickness against time, for a plot; (m,) each."""

    time_h: Array
    low_c: Array
    nominal_c: Array
    high_c: Array

    @property
    def hourly(self) -> Trace:
        """Every second point: the record is by the half hour."""
        return Trace(self.time_h[::2], self.low_c[::2], self.nominal_c[::2], self.high_c[::2])


@frozen(eq=False)
class CoverOutcome:
    """One piece under one cover.

    peak                 band of the highest temperature
    peak_time_h          of the nominal run
    core_to_surface_k    greatest, of the high run
    coldest_c            anywhere until stripped, of the low run
    earliest_demould_h   of the low run, None if not within RUN_H: by the later of two agings over its record, that of
                         the strength curve (EN 1992-1-1, 4000 K) and that of the cement's own activation energy
    strength_at_strip    fraction of the 28-day strength at the shop's earliest time to strip, of the low run
    trace                core temperature
    """

    cover: Cover
    peak: PeakBand
    peak_time_h: float
    core_to_surface_k: float
    coldest_c: float
    earliest_demould_h: float | None
    strength_at_strip: float
    trace: Trace


@frozen
class Trial:
    """One slab under one cover, whose resistances stand in `around`."""

    slab: ThermalSlab
    cover: Cover
    around: Surroundings
    hydration: Hydration


_Run = tuple[Trial, CuringSettings, float, int]  # with the step of time, h, and the nodes

KEPT: dict[_Run, CoverOutcome] = {}
"""Outcomes of the latest runs, the latest last: a job is estimated again with every change, most sections the same."""

MOST_KEPT = 1024
_KEEPING = Lock()


def outcomes(
    trials: Sequence[Trial],
    settings: CuringSettings,
    step_h: float = STEP_H,
    nodes: int = NODES,
) -> list[CoverOutcome]:
    """The outcome of every trial, with the heat low, nominal and high; those not run before are run together."""
    runs: list[_Run] = [(trial, settings, step_h, nodes) for trial in trials]
    with _KEEPING:
        known = {run: KEPT[run] for run in runs if run in KEPT}
    fresh = [run[0] for run in dict.fromkeys(runs) if run not in known]
    if fresh:
        ran = _outcomes(fresh, settings, step_h, nodes)
        known |= {(trial, settings, step_h, nodes): outcome for trial, outcome in zip(fresh, ran, strict=True)}
    with _KEEPING:
        for run, outcome in known.items():
            KEPT.pop(run, None)
            KEPT[run] = outcome
        while len(KEPT) > MOST_KEPT:
            del KEPT[next(iter(KEPT))]
    return [known[run] for run in runs]


def _outcomes(trials: Sequence[Trial], settings: CuringSettings, step_h: float, nodes: int) -> list[CoverOutcome]:
    cases = [
        Case(_storing(t.slab, stored), t.around, t.hydration, factor)
        for t in trials
        for factor, stored in (
            (t.hydration.low_factor, 1.0),
            (1.0, 1.0),
            (t.hydration.high_factor, LOW_SPECIFIC_HEAT),
        )
    ]
    runs = heat_histories(cases, RUN_H, step_h, nodes)
    return [
        _outcome(t.cover, runs[3 * i], runs[3 * i + 1], runs[3 * i + 2], t.hydration, settings)
        for i, t in enumerate(trials)
    ]


def _storing(slab: ThermalSlab, share: float) -> ThermalSlab:
    return replace(slab, specific_heat_j_kg_k=slab.specific_heat_j_kg_k * share)


def _outcome(
    cover: Cover,
    low: HeatHistory,
    nominal: HeatHistory,
    high: HeatHistory,
    hydration: Hydration,
    settings: CuringSettings,
) -> CoverOutcome:
    by_heat_h = low.slowest_age_h * between_references(
        hydration.activation_energy_j_mol, REFERENCE_C, CURVE_REFERENCE_C
    )
    by_curve_h = equivalent_age_h(low.time_h, low.coldest_c, EN_ACTIVATION_J_MOL, CURVE_REFERENCE_C)
    age_h = np.minimum(by_heat_h, by_curve_h)
    demould = earliest_time_h(
        low.time_h, age_h, age_for_strength_h(settings.strip_strength, settings.strength_coefficient)
    )
    kept = low.time_h <= (
        settings.strip_to_s / HOUR_S if demould is None else max(settings.strip_from_s / HOUR_S, demould)
    )
    at_strip = np.interp(settings.strip_from_s / HOUR_S, low.time_h, age_h)
    thin = slice(None, None, 5)  # half-hourly is enough for a plot
    return CoverOutcome(
        cover=cover,
        peak=PeakBand(*(stated(run.peak_c) for run in (low, nominal, high))),
        peak_time_h=nominal.peak_time_h,
        core_to_surface_k=high.core_to_surface_k,
        coldest_c=float(low.coldest_c[kept].min()),
        earliest_demould_h=demould,
        strength_at_strip=float(strength_fraction(at_strip, settings.strength_coefficient)),
        trace=Trace(  # copies: a view would keep the whole history of its run
            *(record[thin].copy() for record in (low.time_h, low.core_c, nominal.core_c, high.core_c))
        ),
    )


def stated(celsius: float) -> float | None:
    """A temperature as far as the model states it, °C; None over OVER_THE_LIMIT_C."""
    return float(celsius) if celsius <= OVER_THE_LIMIT_C else None


WARMEST_ROOM_C = 30
COOLEST_MIX_C = 5
"""How far the searches go, whole °C: what a workshop can bring about."""

MOST_LAYERS = 12
THINNEST_LAYER_M = 0.004

SEARCH_STEP_H = 0.2
SEARCH_NODES = 11
"""Coarser than the plan's own runs, and within 0.2 K of them; a run of the plan's grid confirms what they find."""


def safe_when_hot(outcome: CoverOutcome, settings: CuringSettings) -> bool:
    """Whether peak and core-to-surface difference are within the limits with the heat at its highest."""
    high = outcome.peak.high_c
    return (
        high is not None
        and high <= settings.peak_most_c
        and outcome.core_to_surface_k <= settings.core_surface_difference_k
    )


def warm_enough(outcome: CoverOutcome, settings: CuringSettings) -> bool:
    """Whether the piece, with the heat at its lowest, never falls too cold and can be stripped in time."""
    in_time = outcome.earliest_demould_h is not None and outcome.earliest_demould_h <= settings.strip_to_s / HOUR_S
    return in_time and not_too_cold(outcome, settings)


def not_too_cold(outcome: CoverOutcome, settings: CuringSettings) -> bool:
    """Whether the piece, with the heat at its lowest, stays as warm as a thin section must be until stripped."""
    return outcome.coldest_c >= settings.thin_section_least_c - 1e-6


def rooms_needed(pairs: Sequence[tuple[Trial, Trial]], settings: CuringSettings) -> list[float | None]:
    """Coolest room of every piece, by whole °C, in which it stays warm enough and does not overheat.

    pairs   its thinnest section, which must be warm enough, and its thickest under the same cover, which must not
            overheat
    The mix is taken as placed at no less than the limit for thin sections. None if no room up to WARMEST_ROOM_C does.
    A warmer room is never colder for the piece, nor safer: the search halves.
    """
    wanted = []
    for thin, _ in pairs:
        placed_c = max(thin.around.placed_c, settings.thin_section_least_c)
        first = max(floor(thin.around.air_c) + 1, floor(settings.thin_section_least_c))
        rooms = range(first, WARMEST_ROOM_C + 1)
        wanted.append([replace(thin.around, air_c=float(c), placed_c=placed_c) for c in rooms])
    thins, thicks = zip(*pairs, strict=True) if pairs else ((), ())
    warm = _first_well(thins, wanted, settings, lambda outcome: warm_enough(outcome, settings))
    cool = _safe_at(thicks, warm, settings)  # and so the thinnest, which keeps less heat
    return [at.air_c if at is not None and i in cool else None for i, at in enumerate(warm)]


def mixes_needed(trials: Sequence[Trial], settings: CuringSettings) -> list[float | None]:
    """Warmest mix of every trial, by whole °C, that stays within the limits in its room; None if none does.

    The search goes down to COOLEST_MIX_C, and halves: a cooler mix is never hotter in the end.
    """
    wanted = [
        [replace(t.around, placed_c=float(c)) for c in range(ceil(t.around.placed_c) - 1, COOLEST_MIX_C - 1, -1)]
        for t in trials
    ]
    settled = _first_well(trials, wanted, settings, lambda outcome: safe_when_hot(outcome, settings))
    return [None if at is None else at.placed_c for at in settled]


def safe_layers_m(trials: Sequence[Trial], settings: CuringSettings) -> list[float | None]:
    """Thickest layer of every piece, as an equal part of it, that stays within the limits by itself, m.

    None if none of MOST_LAYERS or fewer does, or only one thinner than THINNEST_LAYER_M.
    """
    thickest_m: list[float | None] = [None] * len(trials)
    left = list(range(len(trials)))
    for parts in range(2, MOST_LAYERS + 1):
        left = [i for i in left if trials[i].slab.thickness_m / parts >= THINNEST_LAYER_M]
        layers = [replace(trials[i].slab, thickness_m=trials[i].slab.thickness_m / parts) for i in left]
        asked = [replace(trials[i], slab=layer) for i, layer in zip(left, layers, strict=True)]
        for i, layer, outcome in zip(left, layers, _run(asked, settings), strict=True):
            if safe_when_hot(outcome, settings):
                thickest_m[i] = layer.thickness_m
        left = [i for i in left if thickest_m[i] is None]
    return thickest_m


def _run(trials: Sequence[Trial], settings: CuringSettings, *, coarse: bool = False) -> list[CoverOutcome]:
    if not trials:
        return []
    step_h, nodes = (SEARCH_STEP_H, SEARCH_NODES) if coarse else (STEP_H, NODES)
    return outcomes(trials, settings, step_h, nodes)


def _first_well(
    trials: Sequence[Trial],
    wanted: Sequence[Sequence[Surroundings]],
    settings: CuringSettings,
    well: Callable[[CoverOutcome], bool],
) -> list[Surroundings | None]:
    """First surroundings of every trial in which the outcome passes `well`, all searched together.

    wanted   settings in order, from which on a trial that does well does so in all that follow
    Halves by coarse runs; fine ones confirm, and step on where the coarse were a little too kind.
    """
    low, high = [0] * len(trials), [len(row) for row in wanted]
    while open_ones := [i for i in range(len(trials)) if low[i] < high[i]]:
        middle = {i: (low[i] + high[i]) // 2 for i in open_ones}
        asked = [replace(trials[i], around=wanted[i][middle[i]]) for i in open_ones]
        for i, outcome in zip(open_ones, _run(asked, settings, coarse=True), strict=True):
            if well(outcome):
                high[i] = middle[i]
            else:
                low[i] = middle[i] + 1
    settled: list[Surroundings | None] = [None] * len(trials)
    unsure = [i for i in range(len(trials)) if low[i] < len(wanted[i])]
    while unsure:
        asked = [replace(trials[i], around=wanted[i][low[i]]) for i in unsure]
        for i, trial, outcome in zip(unsure, asked, _run(asked, settings), strict=True):
            if well(outcome):
                settled[i] = trial.around
            low[i] += 1
        unsure = [i for i in unsure if settled[i] is None and low[i] < len(wanted[i])]
    return settled


def _safe_at(trials: Sequence[Trial], at: Sequence[Surroundings | None], settings: CuringSettings) -> set[int]:
    """Indices of the trials that do not overheat in these surroundings."""
    asked = {i: replace(trials[i], around=around) for i, around in enumerate(at) if around is not None}
    ran = _run(list(asked.values()), settings)
    return {i for i, outcome in zip(asked, ran, strict=True) if safe_when_hot(outcome, settings)}
