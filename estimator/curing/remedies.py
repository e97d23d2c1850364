"""Whether a piece stays within the heat limits, and if not, what would bring it within them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from math import ceil, floor

from estimator.curing.covers import CoverOutcome, StrengthNeed, Trial, outcomes
from estimator.curing.limits import PRINTED, Limits
from estimator.curing.slab import NODES, STEP_H, Setting

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


def rooms_needed(
    pairs: Sequence[tuple[Trial, Trial]], need: StrengthNeed, limits: Limits = PRINTED
) -> list[float | None]:
    """For each piece the coolest room, by whole °C, in which it stays warm enough and does not overheat.

    pairs   its thinnest section, which must be warm enough, and its thickest under the same cover, which must not
            overheat
    The mix is taken as placed at no less than the limit for thin sections. None if no room up to WARMEST_ROOM_C does.
    A warmer room is never colder for the piece, nor safer: the search halves.
    """
    wanted = []
    for thin, _ in pairs:
        placed_c = max(thin.setting.placed_c, limits.thin_section_c)
        first = max(floor(thin.setting.air_c) + 1, floor(limits.thin_section_c))
        rooms = range(first, WARMEST_ROOM_C + 1)
        wanted.append([replace(thin.setting, air_c=float(c), placed_c=placed_c) for c in rooms])
    thins, thicks = zip(*pairs, strict=True) if pairs else ((), ())
    found = _first_well(thins, wanted, need, limits, lambda outcome: warm_enough(outcome, limits))
    cool = _safe_at(thicks, found, need, limits)  # and so the thinnest, which keeps less heat
    return [at.air_c if at is not None and i in cool else None for i, at in enumerate(found)]


def room_needed(trial: Trial, need: StrengthNeed, limits: Limits = PRINTED) -> float | None:
    """The same for one piece of one thickness."""
    return rooms_needed([(trial, trial)], need, limits)[0]


def mixes_needed(trials: Sequence[Trial], need: StrengthNeed, limits: Limits = PRINTED) -> list[float | None]:
    """For each the warmest mix, by whole °C, that stays within the limits in its room; None if none does.

    The search goes down to COOLEST_MIX_C, and halves: a cooler mix is never hotter in the end.
    """
    wanted = [
        [replace(t.setting, placed_c=float(c)) for c in range(ceil(t.setting.placed_c) - 1, COOLEST_MIX_C - 1, -1)]
        for t in trials
    ]
    found = _first_well(trials, wanted, need, limits, lambda outcome: safe_when_hot(outcome, limits))
    return [None if at is None else at.placed_c for at in found]


def placed_needed(trial: Trial, need: StrengthNeed, limits: Limits = PRINTED) -> float | None:
    """The same for one."""
    return mixes_needed([trial], need, limits)[0]


def safe_layers_m(trials: Sequence[Trial], need: StrengthNeed, limits: Limits = PRINTED) -> list[float | None]:
    """For each the thickest layer, as an equal part of the piece, that stays within the limits by itself, metres.

    None if none of MOST_LAYERS or fewer does, or only one thinner than THINNEST_LAYER_M.
    """
    found: list[float | None] = [None] * len(trials)
    left = list(range(len(trials)))
    for parts in range(2, MOST_LAYERS + 1):
        left = [i for i in left if trials[i].slab.thickness_m / parts >= THINNEST_LAYER_M]
        layers = [replace(trials[i].slab, thickness_m=trials[i].slab.thickness_m / parts) for i in left]
        asked = [replace(trials[i], slab=layer) for i, layer in zip(left, layers, strict=True)]
        for i, layer, outcome in zip(left, layers, _run(asked, need, limits), strict=True):
            if safe_when_hot(outcome, limits):
                found[i] = layer.thickness_m
        left = [i for i in left if found[i] is None]
    return found


def safe_layer_m(trial: Trial, need: StrengthNeed, limits: Limits = PRINTED) -> float | None:
    """The same for one."""
    return safe_layers_m([trial], need, limits)[0]


def _run(trials: Sequence[Trial], need: StrengthNeed, limits: Limits, *, coarse: bool = False) -> list[CoverOutcome]:
    if not trials:
        return []
    step_h, nodes = (SEARCH_STEP_H, SEARCH_NODES) if coarse else (STEP_H, NODES)
    return outcomes(trials, need, limits, step_h, nodes)


def _first_well(
    trials: Sequence[Trial],
    wanted: Sequence[Sequence[Setting]],
    need: StrengthNeed,
    limits: Limits,
    well: Callable[[CoverOutcome], bool],
) -> list[Setting | None]:
    """For each trial the first of its settings in which it does well, all searched together.

    wanted   settings in order, from which on a trial that does well does so in all that follow
    Halves by coarse runs; fine ones confirm, and step on where the coarse were a little too kind.
    """
    low, high = [0] * len(trials), [len(each) for each in wanted]
    while open_ones := [i for i in range(len(trials)) if low[i] < high[i]]:
        middle = {i: (low[i] + high[i]) // 2 for i in open_ones}
        asked = [replace(trials[i], setting=wanted[i][middle[i]]) for i in open_ones]
        for i, outcome in zip(open_ones, _run(asked, need, limits, coarse=True), strict=True):
            if well(outcome):
                high[i] = middle[i]
            else:
                low[i] = middle[i] + 1
    found: list[Setting | None] = [None] * len(trials)
    unsure = [i for i in range(len(trials)) if low[i] < len(wanted[i])]
    while unsure:
        asked = [replace(trials[i], setting=wanted[i][low[i]]) for i in unsure]
        for i, trial, outcome in zip(unsure, asked, _run(asked, need, limits), strict=True):
            if well(outcome):
                found[i] = trial.setting
            low[i] += 1
        unsure = [i for i in unsure if found[i] is None and low[i] < len(wanted[i])]
    return found


def _safe_at(trials: Sequence[Trial], at: Sequence[Setting | None], need: StrengthNeed, limits: Limits) -> set[int]:
    """Which of the trials do not overheat in the settings found for them."""
    asked = {i: replace(trials[i], setting=setting) for i, setting in enumerate(at) if setting is not None}
    ran = _run(list(asked.values()), need, limits)
    return {i for i, outcome in zip(asked, ran, strict=True) if safe_when_hot(outcome, limits)}
