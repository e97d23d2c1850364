"""Whether a piece stays within the heat limits, and if not, what would bring it within them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import floor

from estimator.curing.covers import CoverOutcome, StrengthNeed, Trial, outcomes
from estimator.curing.limits import PRINTED, Limits
from estimator.curing.slab import Setting

WARMEST_ROOM_C = 30
COOLEST_MIX_C = 5
"""How far the searches go, whole °C: what a workshop can bring about."""

MOST_LAYERS = 12
THINNEST_LAYER_M = 0.004

SEARCH_STEP_H = 0.2
SEARCH_NODES = 11
"""Coarser than the plan's own runs, and within 0.2 K of them; a run of the plan's grid confirms what they find."""


def safe_when_hot(outcome: CoverOutcome, limits: Limits = PRINTED) -> bool:
    """Whether peak and core-to-surface difference are within the limits with the heat at its highest."""
    high = outcome.peak.high_c
    return high is not None and high <= limits.peak_c and outcome.core_to_surface_k <= limits.difference_k


def warm_enough(outcome: CoverOutcome, limits: Limits = PRINTED) -> bool:
    """Whether the piece, with the heat at its lowest, never falls too cold and can be stripped in time."""
    in_time = outcome.earliest_demould_h is not None and outcome.earliest_demould_h <= limits.strip_to_h
    return in_time and not_too_cold(outcome, limits)


def not_too_cold(outcome: CoverOutcome, limits: Limits = PRINTED) -> bool:
    """Whether the piece, with the heat at its lowest, stays as warm as a thin section must be until stripped."""
    return outcome.coldest_c >= limits.thin_section_c - 1e-6


def room_needed(
    trial: Trial, need: StrengthNeed, limits: Limits = PRINTED, thickest: Trial | None = None
) -> float | None:
    """The coolest room, by whole °C, in which the piece stays warm enough and does not overheat.

    trial      its thinnest section
    thickest   its thickest section under the same cover, which must not overheat; None where it is the same
    The mix is taken as placed at no less than the limit for thin sections. None if no room up to WARMEST_ROOM_C does.
    """
    setting = trial.setting
    first = max(floor(setting.air_c) + 1, floor(limits.thin_section_c))
    placed = max(setting.placed_c, limits.thin_section_c)
    settings = [replace(setting, air_c=float(c), placed_c=placed) for c in range(first, WARMEST_ROOM_C + 1)]
    hottest = thickest or trial

    def cool_enough(at: Setting) -> bool:
        if hottest == trial:
            return True
        (thick,) = outcomes([replace(hottest, setting=at)], need, limits)
        return safe_when_hot(thick, limits)

    found = _first(
        trial, settings, need, limits, lambda o: warm_enough(o, limits) and safe_when_hot(o, limits), cool_enough
    )
    return None if found is None else found.air_c


def placed_needed(trial: Trial, need: StrengthNeed, limits: Limits = PRINTED) -> float | None:
    """The warmest mix, by whole °C, that stays within the limits in this room; None if none down to COOLEST_MIX_C."""
    first = int(trial.setting.placed_c) - 1
    settings = [replace(trial.setting, placed_c=float(c)) for c in range(first, COOLEST_MIX_C - 1, -1)]
    found = _first(trial, settings, need, limits, lambda o: safe_when_hot(o, limits))
    return None if found is None else found.placed_c


def safe_layer_m(trial: Trial, need: StrengthNeed, limits: Limits = PRINTED) -> float | None:
    """The thickest layer, as an equal part of the piece, that stays within the limits when cast by itself, metres.

    None if none of MOST_LAYERS or fewer does, or only one thinner than THINNEST_LAYER_M.
    """
    for parts in range(2, MOST_LAYERS + 1):
        thickness = trial.slab.thickness_m / parts
        if thickness < THINNEST_LAYER_M:
            return None
        (found,) = outcomes([replace(trial, slab=replace(trial.slab, thickness_m=thickness))], need, limits)
        if safe_when_hot(found, limits):
            return thickness
    return None


def _first(
    trial: Trial,
    settings: list[Setting],
    need: StrengthNeed,
    limits: Limits,
    well: Callable[[CoverOutcome], bool],
    elsewhere: Callable[[Setting], bool] = lambda _: True,
) -> Setting | None:
    """The first setting in which the piece does well, by a coarse run of all and a fine run of those that pass it.

    elsewhere   what else of the piece must be well in that setting
    """
    if not settings:
        return None
    coarse = outcomes([replace(trial, setting=s) for s in settings], need, limits, SEARCH_STEP_H, SEARCH_NODES)
    for setting, rough in zip(settings, coarse, strict=True):
        if well(rough) and well(outcomes([replace(trial, setting=setting)], need, limits)[0]) and elsewhere(setting):
            return setting
    return None
