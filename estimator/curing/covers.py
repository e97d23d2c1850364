"""What a piece does under each cover: the heat runs of its band, read as peak, difference, strength and demould age."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from estimator.curing.hydration import REFERENCE_C, Hydration
from estimator.curing.limits import PRINTED, Limits
from estimator.curing.maturity import (
    CURVE_REFERENCE_C,
    EN_ACTIVATION_J_MOL,
    STRENGTH_COEFFICIENTS,
    age_for_strength_h,
    between_references,
    earliest_time_h,
    equivalent_age_h,
    strength_fraction,
)
from estimator.curing.slab import NODES, STEP_H, Case, HeatHistory, Setting, Slab, heat_histories

Array: TypeAlias = NDArray[np.float64]

RUN_H = 72.0
LOW_SPECIFIC_HEAT = 1150.0 / 1258.0
"""What a mix stores per degree, for its peak, over the average of its parts: a printed 1,150 J/(kg·K) for a rich mix
whose parts average 1,258. The average itself counts for cold and strip age, where storing more is the safe side."""

OVER_THE_LIMIT_C = 90.0
"""Above this no temperature is stated, only that it is over the limit: water boils off and the model ends."""


@dataclass(frozen=True, slots=True)
class Cover:
    """Resistances of what lies on the piece and under its form, m²K/W; the air film comes on top of them."""

    name: str
    top_r: float
    form_r: float


PLASTIC = Cover("plastic", top_r=0.0, form_r=0.0)
"""Film alone keeps water, not heat."""

TARP = Cover("plastic and insulating tarp", top_r=0.5, form_r=0.5)
"""An insulating tarp round piece and form, R 0.5 m²K/W (2.8 h·ft²·°F/Btu): an assumed figure, to be replaced by the
maker's. Tarps and curing blankets are sold from about 0.2 to 1.2 m²K/W."""


@dataclass(frozen=True, slots=True)
class StrengthNeed:
    """How strong a piece must be to be stripped.

    fraction      of its 28-day strength; 0.30 is assumed unless the workshop knows better
    coefficient   of the strength curve, see maturity.STRENGTH_COEFFICIENTS
    """

    fraction: float = 0.30
    coefficient: float = STRENGTH_COEFFICIENTS["normal"]

    @property
    def age_h(self) -> float:
        """Equivalent age that meets the need, hours at CURVE_REFERENCE_C."""
        return age_for_strength_h(self.fraction, self.coefficient)


@dataclass(frozen=True, slots=True)
class PeakBand:
    """Peak temperature with the heat taken low, as computed, and high, °C; None where over OVER_THE_LIMIT_C."""

    low_c: float | None
    nominal_c: float | None
    high_c: float | None

    def __str__(self) -> str:
        return " / ".join(
            "over the limit" if c is None else f"{c:.0f} °C" for c in (self.low_c, self.nominal_c, self.high_c)
        )


@dataclass(frozen=True, slots=True, eq=False)
class Trace:
    """Temperature at mid-thickness against time, for a plot; (m,) each."""

    time_h: Array
    low_c: Array
    nominal_c: Array
    high_c: Array


@dataclass(frozen=True, slots=True, eq=False)
class CoverOutcome:
    """One piece under one cover.

    peak                 band of the highest temperature
    peak_time_h          of the nominal run
    core_to_surface_k    greatest, of the high run
    coldest_c            anywhere until stripped, of the low run
    earliest_demould_h   of the low run, None if not within RUN_H: by the later of two agings over its record, that of
                         the strength curve (EN 1992-1-1, 4000 K) and that of the cement's own activation energy
    strength_at_strip    fraction of the 28-day strength after the limits' strip_from_h, of the low run
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


@dataclass(frozen=True, slots=True)
class Trial:
    """One slab under one cover; the setting holds the cover's resistances."""

    slab: Slab
    cover: Cover
    setting: Setting
    hydration: Hydration


def outcomes(
    trials: Sequence[Trial],
    need: StrengthNeed,
    limits: Limits = PRINTED,
    step_h: float = STEP_H,
    nodes: int = NODES,
) -> list[CoverOutcome]:
    """What each trial comes to, with the heat low, nominal and high, all run together. See `CoverOutcome`."""
    cases = [
        Case(_storing(t.slab, stored), t.setting, t.hydration, factor)
        for t in trials
        for factor, stored in (
            (t.hydration.low_factor, 1.0),
            (1.0, 1.0),
            (t.hydration.high_factor, LOW_SPECIFIC_HEAT),
        )
    ]
    runs = heat_histories(cases, RUN_H, step_h, nodes)
    return [
        _outcome(t.cover, runs[3 * i], runs[3 * i + 1], runs[3 * i + 2], t.hydration, need, limits)
        for i, t in enumerate(trials)
    ]


def _storing(slab: Slab, share: float) -> Slab:
    return replace(slab, specific_heat_j_kg_k=slab.specific_heat_j_kg_k * share)


def _outcome(
    cover: Cover,
    low: HeatHistory,
    nominal: HeatHistory,
    high: HeatHistory,
    hydration: Hydration,
    need: StrengthNeed,
    limits: Limits,
) -> CoverOutcome:
    by_heat_h = low.slowest_age_h * between_references(
        hydration.activation_energy_j_mol, REFERENCE_C, CURVE_REFERENCE_C
    )
    by_curve_h = equivalent_age_h(low.time_h, low.coldest_c, EN_ACTIVATION_J_MOL, CURVE_REFERENCE_C)
    age_h = np.minimum(by_heat_h, by_curve_h)
    demould = earliest_time_h(low.time_h, age_h, need.age_h)
    kept = low.time_h <= (limits.strip_to_h if demould is None else max(limits.strip_from_h, demould))
    at_strip = np.interp(limits.strip_from_h, low.time_h, age_h)
    thin = slice(None, None, 5)  # half-hourly is enough for a plot
    return CoverOutcome(
        cover=cover,
        peak=PeakBand(*(_stated(run.peak_c) for run in (low, nominal, high))),
        peak_time_h=nominal.peak_time_h,
        core_to_surface_k=high.core_to_surface_k,
        coldest_c=float(low.coldest_c[kept].min()),
        earliest_demould_h=demould,
        strength_at_strip=float(strength_fraction(at_strip, need.coefficient)),
        trace=Trace(low.time_h[thin], low.core_c[thin], nominal.core_c[thin], high.core_c[thin]),
    )


def _stated(celsius: float) -> float | None:
    return celsius if celsius <= OVER_THE_LIMIT_C else None
