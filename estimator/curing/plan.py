"""The curing plan of one piece: what to put over it, whether to warm or cool it, when to strip it.

Every verdict is taken on its unsafe side: overheating with the heat at its highest, cold and demold age with the heat
at its lowest. The conclusions come from the heat model; the limits that they are held against are listed with source.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import ceil, floor

from estimator.constants import DAY_S, HOUR_S, POUND_PER_FOOT2_KG_M2, fahrenheit
from estimator.curing.casting import Casting, Limit, MixHeat, limits_of
from estimator.curing.covers import (
    Cover,
    CoverOutcome,
    Trial,
    mixes_needed,
    not_too_cold,
    outcomes,
    rooms_needed,
    safe_layers_m,
    safe_when_hot,
    warm_enough,
)
from estimator.curing.hydration import Hydration, Unmodelled
from estimator.curing.maturity import Drying, drying
from estimator.curing.slab import Surroundings, ThermalSlab
from estimator.workshop import CuringSettings
from geometry.frozen import frozen

NO_TRIAL = 'Contains retarder: no strip time without a trial. Strip on coupons, or give cure.set_delay = "4 h".'

WORTH_A_TARP = 1.10
"""A tarp is worth its trouble if it makes the piece this many times as strong when it is stripped."""


@frozen
class Verdict:
    """A yes or no with its reason; answer None outside the model."""

    answer: bool | None
    why: str


@frozen(eq=False)
class CuringPlan:
    """Curing plan of one piece.

    cover_with_plastic   always yes
    insulate             the tarp
    add_heat             warm the room or the table; room_needed_c is the coolest room that would do
    cool_or_layers       cool the mix to placed_needed_c, or cast in layers of at most layer_m
    wet_cure             damp for days after the night under plastic
    earliest_demould_h   by strength, heat low; None if not within three days, or not known
    strip_h              from and to, hours after placing; None like the demold age
    chosen               its thickest section under the cover decided on; None outside the model
    cold                 its thinnest section under that cover
    compared             its thickest section under each cover
    after_stripping      how to set it down
    drying               water lost before it is covered; None where the humidity is not known
    flags                what is assumed, outside the data, or must be watched
    limits               figures held against, with source
    """

    cover_with_plastic: Verdict
    insulate: Verdict
    add_heat: Verdict
    cool_or_layers: Verdict
    wet_cure: Verdict
    earliest_demould_h: float | None
    strip_h: tuple[float, float] | None
    chosen: CoverOutcome | None
    cold: CoverOutcome | None
    compared: tuple[CoverOutcome, ...]
    room_needed_c: float | None
    placed_needed_c: float | None
    layer_m: float | None
    after_stripping: str
    drying: Drying | None
    flags: tuple[str, ...]
    limits: tuple[Limit, ...]


def curing_plans(
    castings: Sequence[Casting], plastic: Cover, tarp: Cover, settings: CuringSettings
) -> list[CuringPlan]:
    """Curing plan of each casting, their heat run together; castings that are alike share one plan.

    plastic, tarp   resistances of the two covers compared
    settings        limits that the verdicts are held against, and the strength to strip at

    Raises FaultError for impossible figures.
    """
    distinct = list(dict.fromkeys(castings))
    plans: dict[Casting, CuringPlan] = {}
    for start in range(0, len(distinct), _TOGETHER):
        part = distinct[start : start + _TOGETHER]
        asked = [_trials(casting, plastic, tarp, settings.surface_conductance_w_m2_k) for casting in part]
        trials = list(dict.fromkeys(trial for group in asked for trial in group))
        outcome_of = dict(zip(trials, outcomes(trials, settings) if trials else (), strict=True))
        first = [_plan(casting, group, outcome_of, settings) for casting, group in zip(part, asked, strict=True)]
        plans |= zip(part, _with_remedies(first, asked, settings), strict=True)
    return [plans[casting] for casting in castings]


_TOGETHER = 16  # castings to a run: six cases each or twice that; more would only hold more histories in memory at once

_Trials = tuple[Trial, Trial, Trial, Trial]
"""Thickest section under plastic and under the tarp, then the thinnest."""


def _with_remedies(
    plans: Sequence[CuringPlan], asked: Sequence[_Trials | tuple[()]], settings: CuringSettings
) -> list[CuringPlan]:
    """The plans with remedies for pieces that are too cold or too hot, searched for together."""
    done = list(plans)
    cold, hot, pairs, alone = [], [], [], []
    for i, (plan, trials) in enumerate(zip(plans, asked, strict=True)):
        if trials and plan.add_heat.answer:
            cold.append(i)
            pairs.append((trials[3], trials[1]) if plan.insulate.answer else (trials[2], trials[0]))
        if trials and plan.cool_or_layers.answer:
            hot.append(i)
            alone.append(trials[0])
    for i, room_c in zip(cold, rooms_needed(pairs, settings), strict=True):
        done[i] = replace(done[i], room_needed_c=room_c)
    coolest, layers = mixes_needed(alone, settings), safe_layers_m(alone, settings)
    for i, placed_c, layer_m in zip(hot, coolest, layers, strict=True):
        done[i] = replace(done[i], placed_needed_c=placed_c, layer_m=layer_m)
    return done


def _trials(casting: Casting, plastic: Cover, tarp: Cover, film_w_m2_k: float) -> _Trials | tuple[()]:
    """The casting's sections under both covers; none where there is no heat curve."""
    room = casting.room

    def trial(thickness_m: float, mix: MixHeat, cover: Cover) -> Trial:
        assert isinstance(mix.hydration, Hydration)
        slab = ThermalSlab(
            thickness_m, mix.density_kg_m3, mix.specific_heat_j_kg_k, mix.conductivity_w_m_k, mix.cementitious_kg_m3
        )
        around = Surroundings(room.placed_c, room.room_c, cover.top_r, cover.form_r, film_w_m2_k)
        return Trial(slab, cover, around, mix.hydration)

    if _unmodelled(casting) is not None:
        return ()
    thin = casting.thin
    return (
        trial(casting.thickness_m, casting.mix, plastic),
        trial(casting.thickness_m, casting.mix, tarp),
        trial(thin.thickness_m, thin.mix, plastic),
        trial(thin.thickness_m, thin.mix, tarp),
    )


def _unmodelled(casting: Casting) -> str | None:
    """Why the model can say nothing of the casting."""
    curves = casting.mix.hydration, casting.thin.mix.hydration
    return next((curve.reason for curve in curves if isinstance(curve, Unmodelled)), None)


def _plan(
    casting: Casting,
    trials: _Trials | tuple[()],
    outcome_of: Mapping[Trial, CoverOutcome],
    settings: CuringSettings,
) -> CuringPlan:
    lost = _drying(casting, settings)
    flags = _flags(casting, lost, settings)
    if not trials:
        return _plan_outside_the_model(casting, _unmodelled(casting) or "", lost, flags, settings)
    alone, under, thin_alone, thin_under = (outcome_of[trial] for trial in trials)
    insulate = _insulate(under, thin_alone, thin_under, settings)
    chosen, cold = (under, thin_under) if insulate.answer else (alone, thin_alone)
    add_heat = _add_heat(cold, settings)
    cool = _cool(alone, settings)
    demould = _set_later(_later(chosen.earliest_demould_h, cold.earliest_demould_h), casting)
    from_h, to_h = settings.strip_from_s / HOUR_S, settings.strip_to_s / HOUR_S
    return CuringPlan(
        cover_with_plastic=_PLASTIC_ALWAYS,
        insulate=insulate,
        add_heat=add_heat,
        cool_or_layers=cool,
        wet_cure=_wet_cure(casting.mix, settings),
        earliest_demould_h=demould,
        strip_h=None if demould is None else (max(from_h, demould), max(to_h, demould)),
        chosen=chosen,
        cold=cold,
        compared=(alone, under),
        room_needed_c=None,
        placed_needed_c=None,
        layer_m=None,
        after_stripping=_AFTER_STRIPPING,
        drying=lost,
        flags=(*flags, _TARP_GOES_ROUND) if insulate.answer else flags,
        limits=limits_of(settings),
    )


def _later(one_h: float | None, other_h: float | None) -> float | None:
    return None if one_h is None or other_h is None else max(one_h, other_h)


def _set_later(demould_h: float | None, casting: Casting) -> float | None:
    """The demold age with the delay that a trial of a retarded mix has shown; None without a trial."""
    if demould_h is None or not casting.retarded:
        return demould_h
    return None if casting.set_delay_h is None else demould_h + casting.set_delay_h


_PLASTIC_ALWAYS = Verdict(True, "film keeps the mix water in; a thin piece has little to lose")

_AFTER_STRIPPING = (
    "on edge, or flat on stickers one above another, both faces open to the air, so that it does not curl"
)

_TARP_GOES_ROUND = "the tarp is taken to go round piece and form: one that only lies on top keeps about half as much"


# Reasons are read on imperial and metric sheets alike, so they name both.
def _up_to_c(celsius: float) -> str:
    return f"{ceil(celsius - 1e-6)} °C ({ceil(fahrenheit(celsius) - 1e-6)} °F)"


def _down_to_c(celsius: float) -> str:
    return f"{floor(celsius + 1e-6)} °C ({floor(fahrenheit(celsius) + 1e-6)} °F)"


def _near_c(celsius: float) -> str:
    return f"{celsius:.0f} °C ({fahrenheit(celsius):.0f} °F)"


def too_fast(lost: Drying) -> str:
    """Warning for a surface that loses water faster than its mix bears."""
    us = 1.0 / POUND_PER_FOOT2_KG_M2
    return (
        f"uncovered it loses {lost.rate_kg_m2_h:.2f} kg/m²h ({lost.rate_kg_m2_h * us:.2f} lb/ft²h), more than "
        f"{lost.limit_kg_m2_h:.2g} ({lost.limit_kg_m2_h * us:.2g}): stop the draught or cover at once"
    )


def _hot_side(outcome: CoverOutcome) -> str:
    high, apart_k = outcome.peak.high_c, outcome.core_to_surface_k
    peak = "its peak is over the limit" if high is None else f"its peak may reach {_up_to_c(high)}"
    return f"{peak}, with {ceil(apart_k)} K ({ceil(apart_k * 1.8)} °F) or less from core to surface"


def _insulate(
    under: CoverOutcome, thin_alone: CoverOutcome, thin_under: CoverOutcome, settings: CuringSettings
) -> Verdict:
    """Whether the thickest section bears the tarp, and the thinnest needs it."""
    if not safe_when_hot(under, settings):
        return Verdict(
            False,
            f"it would overheat under the tarp: {_hot_side(under)}; the limits are {_near_c(settings.peak_most_c)} and "
            f"{settings.core_surface_difference_k:.0f} K ({settings.core_surface_difference_k * 1.8:.0f} °F)",
        )
    from_h = settings.strip_from_s / HOUR_S
    strength = (
        f"{thin_under.strength_at_strip:.0%} of its 28-day strength after {from_h:g} h instead of "
        f"{thin_alone.strength_at_strip:.0%}"
    )
    worth = thin_under.strength_at_strip >= WORTH_A_TARP * thin_alone.strength_at_strip
    if not warm_enough(thin_alone, settings) or worth:
        return Verdict(
            True,
            f"it loses its heat under plastic alone; the tarp gives {strength}, and {_hot_side(under)}",
        )
    return Verdict(False, f"it is warm enough by itself: the tarp would give {strength}")


def _add_heat(chosen: CoverOutcome, settings: CuringSettings) -> Verdict:
    if not not_too_cold(chosen, settings):
        return Verdict(
            True,
            f"it falls to {_down_to_c(chosen.coldest_c)} under {chosen.cover.name}; a thin section is kept at "
            f"{_near_c(settings.thin_section_least_c)} or more until it is stripped",
        )
    if not warm_enough(chosen, settings):
        return Verdict(
            True,
            f"under {chosen.cover.name} it is not strong enough to strip within {settings.strip_to_s / HOUR_S:g} h",
        )
    return Verdict(False, f"it stays at {_down_to_c(chosen.coldest_c)} or more under {chosen.cover.name}")


def _cool(alone: CoverOutcome, settings: CuringSettings) -> Verdict:
    if safe_when_hot(alone, settings):
        return Verdict(False, f"under plastic alone it stays within the limits: {_hot_side(alone)}")
    return Verdict(
        True,
        f"it overheats even without a tarp: {_hot_side(alone)}; cool the mix or cast in layers, each cooled first",
    )


def _wet_cure(mix: MixHeat, settings: CuringSettings) -> Verdict:
    solids = mix.curing_polymer_solids
    if solids >= settings.polymer_for_dry_cure - 1e-9:
        return Verdict(False, f"{solids:.1%} curing-polymer solids hold the water in after the night under plastic")
    return Verdict(
        True,
        f"{solids:.1%} curing-polymer solids are less than {settings.polymer_for_dry_cure:.0%}: keep it damp for "
        f"{settings.wet_cure_s / DAY_S:g} days, or put on record that it was not",
    )


def _drying(casting: Casting, settings: CuringSettings) -> Drying | None:
    thin, room = casting.thin, casting.room
    if room.humidity is None:
        return None
    return drying(room, thin, settings)


def _flags(casting: Casting, lost: Drying | None, settings: CuringSettings) -> tuple[str, ...]:
    mix, room = casting.mix, casting.room
    flags = list(mix.hydration.flags) if isinstance(mix.hydration, Hydration) else []
    if mix.set_modified:
        flags.append("a retarder or accelerator shifts the hours given here; the peak changes little")
    if casting.retarded and casting.set_delay_h is None:
        flags.append(NO_TRIAL)
    flags.append(
        f"stripping strength is taken as {settings.strip_strength:.0%} of the 28-day strength by the curve of "
        "EN 1992-1-1: confirm with coupons of this mix"
    )
    flags.append("indoors, out of the sun; the room is taken at one temperature, day and night")
    if room.room_c < settings.cold_weather_c:
        flags.append(
            "cold weather: form, mix and room are warmed first, and nothing freezes before the piece is strong"
        )
    if lost is None:
        flags.append("humidity is not known: the water lost before covering was not checked")
    elif lost.over_limit:
        flags.append(too_fast(lost))
    if lost is not None and lost.notable:
        flags.append(
            f"{lost.share_of_mix_water:.0%} of the mix water is gone after {room.uncovered_h:.2g} h uncovered: "
            f"cover within {lost.hours_to_notable * 60:.0f} min to lose less than {lost.notable_share:.0%}"
        )
    return tuple(flags)


def _plan_outside_the_model(
    casting: Casting, reason: str, lost: Drying | None, flags: tuple[str, ...], settings: CuringSettings
) -> CuringPlan:
    unknown = Verdict(None, reason)
    return CuringPlan(
        cover_with_plastic=_PLASTIC_ALWAYS,
        insulate=Verdict(None, reason),
        add_heat=unknown,
        cool_or_layers=unknown,
        wet_cure=_wet_cure(casting.mix, settings),
        earliest_demould_h=None,
        strip_h=None,
        chosen=None,
        cold=None,
        compared=(),
        room_needed_c=None,
        placed_needed_c=None,
        layer_m=None,
        after_stripping=_AFTER_STRIPPING,
        drying=lost,
        flags=(reason, *flags),
        limits=limits_of(settings),
    )
