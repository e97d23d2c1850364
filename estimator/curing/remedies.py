"""Whether a piece stays within the heat limits, and if not, what would bring it within them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from estimator.curing.covers import STRIP_TO_H, CoverOutcome, StrengthNeed, Trial, outcomes
from estimator.curing.slab import Setting

PEAK_LIMIT_C = 70.0
"""Source: ACI 301-20 (160 °F)."""

DIFFERENCE_LIMIT_K = 19.0
"""Core to surface. Source: ACI 301-20 (35 °F)."""

THIN_SECTION_MIN_C = 13.0
"""Thin sections are placed and kept at this in cold weather. Source: ACI 306R (55 °F)."""

WARMEST_ROOM_C = 30
COOLEST_MIX_C = 5
"""How far the searches go, whole °C: what a workshop can bring about."""

MOST_LAYERS = 12
THINNEST_LAYER_M = 0.004

SEARCH_STEP_H = 0.2
SEARCH_NODES = 11
"""Coarser than the plan's own runs, and within 0.2 K of them; a run of the plan's grid confirms what they find."""


def safe_when_hot(outcome: CoverOutcome) -> bool:
    """Whether peak and core-to-surface difference are within the limits with the heat at its highest."""
    high = outcome.peak.high_c
    return high is not None and high <= PEAK_LIMIT_C and outcome.core_to_surface_k <= DIFFERENCE_LIMIT_K


def warm_enough(outcome: CoverOutcome) -> bool:
    """Whether the piece, with the heat at its lowest, never falls too cold and can be stripped within STRIP_TO_H."""
    in_time = outcome.earliest_demould_h is not None and outcome.earliest_demould_h <= STRIP_TO_H
    return in_time and not_too_cold(outcome)


def not_too_cold(outcome: CoverOutcome) -> bool:
    """Whether the piece, with the heat at its lowest, stays at THIN_SECTION_MIN_C or more until stripped."""
    return outcome.coldest_c >= THIN_SECTION_MIN_C - 1e-6


def room_needed(trial: Trial, need: StrengthNeed) -> float | None:
    """The coolest room, by whole °C, in which the piece stays warm enough and does not overheat.

    The mix is taken as placed at no less than THIN_SECTION_MIN_C. None if no room up to WARMEST_ROOM_C does.
    """
    setting = trial.setting
    first = max(int(setting.air_c) + 1, int(THIN_SECTION_MIN_C))
    placed = max(setting.placed_c, THIN_SECTION_MIN_C)
    settings = [replace(setting, air_c=float(c), placed_c=placed) for c in range(first, WARMEST_ROOM_C + 1)]
    found = _first(trial, settings, need, lambda o: warm_enough(o) and safe_when_hot(o))
    return None if found is None else found.air_c


def placed_needed(trial: Trial, need: StrengthNeed) -> float | None:
    """The warmest mix, by whole °C, that stays within the limits in this room; None if none down to COOLEST_MIX_C."""
    first = int(trial.setting.placed_c) - 1
    settings = [replace(trial.setting, placed_c=float(c)) for c in range(first, COOLEST_MIX_C - 1, -1)]
    found = _first(trial, settings, need, safe_when_hot)
    return None if found is None else found.placed_c


def safe_layer_m(trial: Trial, need: StrengthNeed) -> float | None:
    """The thickest layer, as an equal part of the piece, that stays within the limits when cast by itself, metres.

    None if none of MOST_LAYERS or fewer does, or only one thinner than THINNEST_LAYER_M.
    """
    for parts in range(2, MOST_LAYERS + 1):
        thickness = trial.slab.thickness_m / parts
        if thickness < THINNEST_LAYER_M:
            return None
        (found,) = outcomes([replace(trial, slab=replace(trial.slab, thickness_m=thickness))], need)
        if safe_when_hot(found):
            return thickness
    return None


def _first(
    trial: Trial, settings: list[Setting], need: StrengthNeed, well: Callable[[CoverOutcome], bool]
) -> Setting | None:
    """The first setting in which the piece does well, by a coarse run of all and a fine run of those that pass it."""
    if not settings:
        return None
    coarse = outcomes([replace(trial, setting=s) for s in settings], need, SEARCH_STEP_H, SEARCH_NODES)
    for setting, rough in zip(settings, coarse, strict=True):
        if well(rough) and well(outcomes([replace(trial, setting=setting)], need)[0]):
            return setting
    return None
