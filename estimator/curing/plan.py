"""The curing plan of one piece: what to put over it, whether to warm or cool it, when to strip it.

Every verdict is taken on its unsafe side: overheating with the heat at its highest, cold and demold age with the heat
at its lowest. The conclusions come from the heat model; the limits that they are held against are listed with source.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from estimator.constants import DAY_S, HOUR_S
from estimator.curing.casting import Casting, Limit, MixHeat, limits_of
from estimator.curing.covers import (
    BLANKET,
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
from geometry.message import Message, message

NO_TRIAL = message("curing-no-trial")

WORTH_A_BLANKET = 1.10
"""A curing blanket is worth its trouble if it makes the piece this many times as strong when it is stripped."""


@frozen
class Verdict:
    """A yes or no with its reason; answer None outside the model."""

    answer: bool | None
    why: Message


@frozen(eq=False)
class CuringPlan:
    """Curing plan of one piece.

    cover_with_plastic   always yes
    insulate             the curing blanket
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
    after_stripping: Message
    drying: Drying | None
    flags: tuple[Message, ...]
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


def _unmodelled(casting: Casting) -> Message | None:
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
        return _plan_outside_the_model(casting, _unmodelled(casting) or message("cure-unknown"), lost, flags, settings)
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
        flags=(*flags, _BLANKET_GOES_ROUND) if insulate.answer else flags,
        limits=limits_of(settings),
    )


def _later(one_h: float | None, other_h: float | None) -> float | None:
    return None if one_h is None or other_h is None else max(one_h, other_h)


def _set_later(demould_h: float | None, casting: Casting) -> float | None:
    """The demold age with the delay that a trial of a retarded mix has shown; None without a trial."""
    if demould_h is None or not casting.retarded:
        return demould_h
    return None if casting.set_delay_h is None else demould_h + casting.set_delay_h


_PLASTIC_ALWAYS = Verdict(True, message("cure-plastic"))

_AFTER_STRIPPING = message("cure-store")

_BLANKET_GOES_ROUND = message("curing-blanket-round")


def too_fast(lost: Drying) -> Message:
    """Warning for a surface that loses water faster than its mix bears."""
    return message("curing-dries-fast", rate_kg_m2_h=lost.rate_kg_m2_h, limit_kg_m2_h=lost.limit_kg_m2_h)


def _too_hot(id: str, outcome: CoverOutcome, settings: CuringSettings) -> Message:
    """What goes over its limit: the peak, or the difference from core to surface."""
    high_c, limit_c = outcome.peak.high_c, settings.peak_most_c
    if high_c is None:
        return message(f"{id}-over", limit_c=limit_c)
    if high_c > limit_c:
        return message(f"{id}-hot", high_c=high_c, limit_c=limit_c)
    return message(f"{id}-apart", high_k=outcome.core_to_surface_k, limit_k=settings.core_surface_difference_k)


def _cover_id(outcome: CoverOutcome) -> str:
    return "blanket" if outcome.cover.name == BLANKET else "plastic"


def _insulate(
    under: CoverOutcome, thin_alone: CoverOutcome, thin_under: CoverOutcome, settings: CuringSettings
) -> Verdict:
    """Whether the thickest section bears the curing blanket, and the thinnest needs it."""
    if not safe_when_hot(under, settings):
        return Verdict(False, _too_hot("cure-no-blanket", under, settings))
    strength: dict[str, float | str] = {
        "with_share": round(thin_under.strength_at_strip, 2),
        "without_share": round(thin_alone.strength_at_strip, 2),
        "hours": f"{settings.strip_from_s / HOUR_S:g}",
    }
    worth = thin_under.strength_at_strip >= WORTH_A_BLANKET * thin_alone.strength_at_strip
    if not warm_enough(thin_alone, settings) or worth:
        return Verdict(True, message("cure-blanket", **strength, high_c=under.peak.high_c or settings.peak_most_c))
    return Verdict(False, message("cure-no-blanket-needed", **strength))


def _add_heat(chosen: CoverOutcome, settings: CuringSettings) -> Verdict:
    if not not_too_cold(chosen, settings):
        least_c = settings.thin_section_least_c
        return Verdict(True, message("cure-falls", low_c=chosen.coldest_c, needed_c=least_c, cover=_cover_id(chosen)))
    if not warm_enough(chosen, settings):
        hours = f"{settings.strip_to_s / HOUR_S:g}"
        return Verdict(True, message("cure-strips-late", hours=hours, cover=_cover_id(chosen)))
    return Verdict(False, message("cure-stays-warm", low_c=chosen.coldest_c, cover=_cover_id(chosen)))


def _cool(alone: CoverOutcome, settings: CuringSettings) -> Verdict:
    if safe_when_hot(alone, settings):
        high_c = alone.peak.high_c
        return Verdict(False, message("cure-within-limits", high_c=settings.peak_most_c if high_c is None else high_c))
    return Verdict(True, _too_hot("cure-overheats", alone, settings))


def _wet_cure(mix: MixHeat, settings: CuringSettings) -> Verdict:
    solids = mix.curing_polymer_solids
    if solids >= settings.polymer_for_dry_cure - 1e-9:
        return Verdict(False, message("cure-dry", solids_share=solids))
    days = settings.wet_cure_s / DAY_S
    wet = message(
        "cure-wet",
        days=int(days) if days.is_integer() else f"{days:g}",
        solids_share=solids,
        needed_share=settings.polymer_for_dry_cure,
    )
    return Verdict(True, wet)


def _drying(casting: Casting, settings: CuringSettings) -> Drying | None:
    thin, room = casting.thin, casting.room
    if room.humidity is None:
        return None
    return drying(room, thin, settings)


def _flags(casting: Casting, lost: Drying | None, settings: CuringSettings) -> tuple[Message, ...]:
    mix, room = casting.mix, casting.room
    flags = list(mix.hydration.flags) if isinstance(mix.hydration, Hydration) else []
    if mix.set_modified:
        flags.append(message("curing-set-modified"))
    if casting.retarded and casting.set_delay_h is None:
        flags.append(NO_TRIAL)
    flags.append(message("curing-strip-strength", strength_share=settings.strip_strength))
    flags.append(message("curing-indoors"))
    if room.room_c < settings.cold_weather_c:
        flags.append(message("curing-cold-weather"))
    if lost is None:
        flags.append(message("curing-no-humidity"))
    elif lost.over_limit:
        flags.append(too_fast(lost))
    if lost is not None and lost.notable:
        gone = message(
            "curing-water-gone",
            gone_share=lost.share_of_mix_water,
            uncovered_s=room.uncovered_h * HOUR_S,
            minutes=int(lost.hours_to_notable * 60.0),
            notable_share=lost.notable_share,
        )
        flags.append(gone)
    return tuple(flags)


def _plan_outside_the_model(
    casting: Casting, reason: Message, lost: Drying | None, flags: tuple[Message, ...], settings: CuringSettings
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
