"""The curing of a piece as plain tables for the estimate document (contract): SI, unit in each key."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from math import isfinite
from typing import Any

from estimator.curing.covers import OVER_THE_LIMIT_C, CoverOutcome, PeakBand
from estimator.curing.evaporation import Drying
from estimator.curing.hydration import Hydration
from estimator.curing.pieces import Curing, PieceCuring
from estimator.curing.plan import Verdict
from estimator.curing.sections import Thickness
from estimator.curing.workings import adiabatic_k

Document = dict[str, Any]
OVER_THE_LIMIT = "over the limit"
HOURLY = slice(None, None, 2)  # of a trace in half hours
KM_H_PER_M_S = 3.6


def curing_document(curing: PieceCuring, trace: int | None) -> Document:
    """One piece. `trace` counts the entry of the traces that shows its temperatures; None outside the model.

    Every verdict holds `answer` (true, false, or null where the model can say nothing) and `why`.
    """
    plan, room = curing.plan, curing.casting.room
    chosen, cold = plan.chosen, plan.cold
    return {
        "modelled": chosen is not None,
        "sections": {
            "thickest": _section(curing.sections.thickest),
            "thinnest": _section(curing.sections.thinnest),
        },
        "room": {
            "room_c": room.room_c,
            "placed_c": room.placed_c,
            "humidity": room.humidity,
            "air_speed_m_s": room.wind_km_h / KM_H_PER_M_S,
            "uncovered_h": room.uncovered_h,
        },
        "cover": _verdict(plan.cover_with_plastic),
        "covered_h": curing.covered_h,
        "insulate": _verdict(plan.insulate),
        "add_heat": _verdict(plan.add_heat) | {"room_needed_c": plan.room_needed_c},
        "cool_or_layers": _verdict(plan.cool_or_layers)
        | {"placed_needed_c": plan.placed_needed_c, "layer_m": plan.layer_m},
        "wet_cure": _verdict(plan.wet_cure),
        "earliest_demould_h": plan.earliest_demould_h,
        "strip_h": None if plan.strip_h is None else list(plan.strip_h),
        "after_stripping": plan.after_stripping,
        "peak_c": None if chosen is None else _peak(chosen.peak),
        "peak_time_h": None if chosen is None else chosen.peak_time_h,
        "difference_k": None if chosen is None else chosen.core_to_surface_k,
        "coldest_c": None if cold is None else cold.coldest_c,
        "strength_at_strip": None if cold is None else cold.strength_at_strip,
        "covers": [_cover(each) for each in plan.compared],
        "evaporation": None if plan.drying is None else _evaporation(plan.drying),
        "heat": _heat(curing),
        "flags": list(curing.flags),
        "trace": trace,
    }


def trace_numbers(curing: Curing) -> dict[str, int]:
    """By mark, which of the traces shows it, counted from 0; pieces that cure alike share one."""
    numbers: dict[int, int] = {}
    return {
        mark: numbers.setdefault(id(each.plan), len(numbers))
        for mark, each in curing.pieces.items()
        if each.plan.chosen is not None
    }


def job_curing_document(curing: Curing) -> Document:
    """What the verdicts of all pieces are held against, and the temperatures to plot."""
    return {
        "limits": [
            {"name": each.name, "value": each.value, "unit": each.unit, "source": each.source} for each in curing.limits
        ],
        "traces": _traces(curing),
    }


def _traces(curing: Curing) -> list[Document]:
    """Temperature against time for a plot, °C at mid-thickness by the hour, under the cover decided on.

    hot_c    thickest section, heat high; null where it is over the limit
    cold_c   thinnest section, heat low
    """
    marks: dict[int, list[str]] = {}
    for mark, number in trace_numbers(curing).items():
        marks.setdefault(number, []).append(mark)
    found = []
    for number, shown in marks.items():
        plan = curing.pieces[shown[0]].plan
        assert plan.chosen is not None
        assert plan.cold is not None
        hot, cold = plan.chosen.trace, plan.cold.trace
        found.append(
            {
                "trace": number,
                "pieces": shown,
                "cover": plan.chosen.cover.name,
                "time_h": _listed(hot.time_h[HOURLY]),
                "hot_c": [each if each <= OVER_THE_LIMIT_C else None for each in _listed(hot.high_c[HOURLY])],
                "nominal_c": [each if each <= OVER_THE_LIMIT_C else None for each in _listed(hot.nominal_c[HOURLY])],
                "cold_c": _listed(cold.low_c[HOURLY]),
            }
        )
    return found


def strip_document(casts: Mapping[str, int], curing: Curing, crews: Mapping[str, int | None]) -> list[Document]:
    """What is stripped of one pour: from when to when after placing, by how many people (null: by machine)."""
    return [
        {"mark": mark, "count": count, "strip_h": _range(curing.pieces[mark].plan.strip_h), "crew": crews[mark]}
        for mark, count in casts.items()
    ]


def _range(hours: tuple[float, float] | None) -> list[float] | None:
    return None if hours is None else list(hours)


def _listed(values: Iterable[Any]) -> list[float]:
    return [float(each) for each in values]


def _section(section: Thickness) -> Document:
    return {"name": section.name, "thickness_m": section.thickness_m, "estimated": section.estimated}


def _verdict(verdict: Verdict) -> Document:
    return {"answer": verdict.answer, "why": verdict.why}


def _peak(peak: PeakBand) -> Document:
    """°C, or the text "over the limit", above which the model states no number."""
    sides = (("low", peak.low_c), ("nominal", peak.nominal_c), ("high", peak.high_c))
    return {side: OVER_THE_LIMIT if celsius is None else celsius for side, celsius in sides}


def _cover(outcome: CoverOutcome) -> Document:
    return {
        "cover": outcome.cover.name,
        "top_r_m2k_w": outcome.cover.top_r,
        "form_r_m2k_w": outcome.cover.form_r,
        "peak_c": _peak(outcome.peak),
        "peak_time_h": outcome.peak_time_h,
        "difference_k": outcome.core_to_surface_k,
    }


def _evaporation(lost: Drying) -> Document:
    return {
        "rate_kg_m2_h": lost.rate_kg_m2_h,
        "limit_kg_m2_h": lost.limit_kg_m2_h,
        "over_limit": lost.over_limit,
        "share_of_mix_water": lost.share_of_mix_water,
        "notable": lost.notable,
        "hours_to_notable": lost.hours_to_notable if isfinite(lost.hours_to_notable) else None,
    }


def _heat(curing: PieceCuring) -> Document:
    """What the heat model was given of the thickest section."""
    mix = curing.casting.mix
    given: Document = {
        "cementitious_kg_m3": mix.cementitious_kg_m3,
        "water_kg_m3": mix.water_kg_m3,
        "density_kg_m3": mix.density_kg_m3,
        "specific_heat_j_kg_k": mix.specific_heat_j_kg_k,
        "conductivity_w_m_k": mix.conductivity_w_m_k,
        "silica_fume_share": mix.silica_fume_share,
        "curing_polymer_solids": mix.curing_polymer_solids,
    }
    curve = mix.hydration
    if not isinstance(curve, Hydration):
        return given | {"reason": curve.reason}
    return given | {
        "heat_j_kg": curve.heat_j_kg,
        "ultimate_degree": curve.ultimate_degree,
        "time_parameter_h": curve.time_parameter_h,
        "slope_parameter": curve.slope_parameter,
        "activation_energy_j_mol": curve.activation_energy_j_mol,
        "low_factor": curve.low_factor,
        "high_factor": curve.high_factor,
        "adiabatic_rise_k": adiabatic_k(mix, curve),
    }
