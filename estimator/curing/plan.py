"""The curing plan of one piece: what to put over it, whether to warm or cool it, when to strip it.

Every verdict is taken on its unsafe side: overheating with the heat at its highest, cold and demould age with the heat
at its lowest. The conclusions come from the heat model; the limits that they are held against are listed with source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor

from estimator.curing.casting import Casting, MixHeat, Room
from estimator.curing.covers import (
    PLASTIC,
    STRIP_FROM_H,
    STRIP_TO_H,
    TARP,
    Cover,
    CoverOutcome,
    StrengthNeed,
    Trial,
    outcomes,
)
from estimator.curing.evaporation import NOTABLE_LOSS, Drying, drying
from estimator.curing.hydration import Hydration, Unmodelled
from estimator.curing.remedies import (
    DIFFERENCE_LIMIT_K,
    PEAK_LIMIT_C,
    THIN_SECTION_MIN_C,
    not_too_cold,
    placed_needed,
    room_needed,
    safe_layer_m,
    safe_when_hot,
    warm_enough,
)
from estimator.curing.slab import FILM_W_M2_K, Setting, Slab

CURING_POLYMER_SOLIDS = 0.05
DAMP_DAYS = 7.0
WORTH_A_TARP = 1.10
"""A tarp is worth its trouble if it makes the piece this many times as strong when it is stripped."""


@dataclass(frozen=True, slots=True)
class Limit:
    """A figure that a verdict is held against."""

    name: str
    value: float
    unit: str
    source: str


LIMITS = (
    Limit("peak temperature", PEAK_LIMIT_C, "°C", "ACI 301-20 (160 °F)"),
    Limit("core to surface", DIFFERENCE_LIMIT_K, "K", "ACI 301-20 (35 °F)"),
    Limit("thin sections placed and kept at", THIN_SECTION_MIN_C, "°C", "ACI 306R (55 °F)"),
    Limit(
        "polymer solids that replace wet curing", CURING_POLYMER_SOLIDS, "of cementitious", "common practice, 5 to 6 %"
    ),
    Limit("stripping", STRIP_FROM_H, "h", "common practice, 16 to 24 h"),
    Limit("damp curing", DAMP_DAYS, "days", "common practice, 7 days"),
)


@dataclass(frozen=True, slots=True)
class Verdict:
    """Yes or no, and why; answer None where the model can say nothing."""

    answer: bool | None
    why: str


@dataclass(frozen=True, slots=True, eq=False)
class CuringPlan:
    """How to cure one piece.

    cover_with_plastic   always yes
    insulate             the tarp
    add_heat             warm the room or the table; room_needed_c is the coolest room that would do
    cool_or_layers       cool the mix to placed_needed_c, or cast in layers of at most layer_m
    wet_cure             damp for DAMP_DAYS after the night under plastic
    earliest_demould_h   by strength, heat low; None if not within three days, or not known
    strip_h              from and to, hours after placing; None like the demould age
    chosen               the piece under the cover decided on; None outside the model
    compared             the piece under each cover
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
    compared: tuple[CoverOutcome, ...]
    room_needed_c: float | None
    placed_needed_c: float | None
    layer_m: float | None
    after_stripping: str
    drying: Drying | None
    flags: tuple[str, ...]
    limits: tuple[Limit, ...]


def curing_plan(
    thickness_m: float,
    mix: MixHeat,
    room: Room,
    need: StrengthNeed | None = None,
    plastic: Cover = PLASTIC,
    tarp: Cover = TARP,
    film_w_m2_k: float = FILM_W_M2_K,
) -> CuringPlan:
    """Curing plan of one piece; see `curing_plans`."""
    return curing_plans([Casting(thickness_m, mix, room)], need, plastic, tarp, film_w_m2_k)[0]


def curing_plans(
    castings: Sequence[Casting],
    need: StrengthNeed | None = None,
    plastic: Cover = PLASTIC,
    tarp: Cover = TARP,
    film_w_m2_k: float = FILM_W_M2_K,
) -> list[CuringPlan]:
    """Curing plan of each casting, their heat run together.

    need            strength to strip at; StrengthNeed() unless said
    plastic, tarp   resistances of the two covers compared
    film_w_m2_k     from a surface to the air

    Raises ValueError for impossible figures.
    """
    need = need or StrengthNeed()
    plans: list[CuringPlan] = []
    for start in range(0, len(castings), _TOGETHER):
        part = castings[start : start + _TOGETHER]
        pairs = [_trials(casting, plastic, tarp, film_w_m2_k) for casting in part]
        trials = [trial for pair in pairs for trial in pair]
        found = iter(outcomes(trials, need) if trials else ())
        for casting, pair in zip(part, pairs, strict=True):
            outcome = {trial: next(found) for trial in pair}
            plans.append(_plan(casting, outcome, need))
    return plans


_TOGETHER = 16  # castings to a run: six cases each; more would only hold more histories in memory at once


def _trials(casting: Casting, plastic: Cover, tarp: Cover, film_w_m2_k: float) -> tuple[Trial, ...]:
    """The casting under plastic and under the tarp; none where there is no heat curve."""
    mix, room = casting.mix, casting.room
    slab = Slab(
        casting.thickness_m,
        mix.density_kg_m3,
        mix.specific_heat_j_kg_k,
        mix.conductivity_w_m_k,
        mix.cementitious_kg_m3,
    )
    if isinstance(mix.hydration, Unmodelled):
        return ()
    return tuple(
        Trial(slab, cover, Setting(room.placed_c, room.room_c, cover.top_r, cover.form_r, film_w_m2_k), mix.hydration)
        for cover in (plastic, tarp)
    )


def _plan(casting: Casting, found: dict[Trial, CoverOutcome], need: StrengthNeed) -> CuringPlan:
    mix = casting.mix
    lost = _drying(casting)
    flags = _flags(casting, lost, need)
    if isinstance(mix.hydration, Unmodelled):
        return _plan_outside_the_model(mix, mix.hydration.reason, lost, flags)
    (alone_trial, alone), (under_trial, under) = found.items()
    insulate = _insulate(alone, under)
    chosen_trial, chosen = (under_trial, under) if insulate.answer else (alone_trial, alone)
    add_heat = _add_heat(chosen)
    cool = _cool(alone)
    demould = chosen.earliest_demould_h
    return CuringPlan(
        cover_with_plastic=_PLASTIC_ALWAYS,
        insulate=insulate,
        add_heat=add_heat,
        cool_or_layers=cool,
        wet_cure=_wet_cure(mix),
        earliest_demould_h=demould,
        strip_h=None if demould is None else (max(STRIP_FROM_H, demould), max(STRIP_TO_H, demould)),
        chosen=chosen,
        compared=(alone, under),
        room_needed_c=room_needed(chosen_trial, need) if add_heat.answer else None,
        placed_needed_c=placed_needed(alone_trial, need) if cool.answer else None,
        layer_m=safe_layer_m(alone_trial, need) if cool.answer else None,
        after_stripping=_AFTER_STRIPPING,
        drying=lost,
        flags=(*flags, _TARP_GOES_ROUND) if insulate.answer else flags,
        limits=LIMITS,
    )


_PLASTIC_ALWAYS = Verdict(True, "film keeps the mix water in; a thin piece has little to lose")

_AFTER_STRIPPING = (
    "on edge, or flat on stickers one above another, both faces open to the air, so that it does not curl"
)

_TARP_GOES_ROUND = "the tarp is taken to go round piece and form: one that only lies on top keeps about half as much"


def _hot_side(outcome: CoverOutcome) -> str:
    high = outcome.peak.high_c
    peak = "its peak is over the limit" if high is None else f"its peak may reach {ceil(high)} °C"
    return f"{peak}, with {ceil(outcome.core_to_surface_k)} K or less from core to surface"


def _insulate(alone: CoverOutcome, under: CoverOutcome) -> Verdict:
    if not safe_when_hot(under):
        return Verdict(
            False,
            f"it would overheat under the tarp: {_hot_side(under)}; the limits are {PEAK_LIMIT_C:g} °C and "
            f"{DIFFERENCE_LIMIT_K:g} K",
        )
    strength = (
        f"{under.strength_at_strip:.0%} of its 28-day strength after {STRIP_FROM_H:g} h instead of "
        f"{alone.strength_at_strip:.0%}"
    )
    if not warm_enough(alone) or under.strength_at_strip >= WORTH_A_TARP * alone.strength_at_strip:
        return Verdict(
            True,
            f"it loses its heat under plastic alone; the tarp gives {strength}, and {_hot_side(under)}",
        )
    return Verdict(False, f"it is warm enough by itself: the tarp would give {strength}")


def _add_heat(chosen: CoverOutcome) -> Verdict:
    if not not_too_cold(chosen):
        return Verdict(
            True,
            f"it falls to {floor(chosen.coldest_c)} °C under {chosen.cover.name}; a thin section is kept at "
            f"{THIN_SECTION_MIN_C:g} °C or more until it is stripped",
        )
    if not warm_enough(chosen):
        return Verdict(
            True,
            f"under {chosen.cover.name} it is not strong enough to strip within {STRIP_TO_H:g} h",
        )
    return Verdict(False, f"it stays at {floor(chosen.coldest_c)} °C or more under {chosen.cover.name}")


def _cool(alone: CoverOutcome) -> Verdict:
    if safe_when_hot(alone):
        return Verdict(False, f"under plastic alone it stays within the limits: {_hot_side(alone)}")
    return Verdict(
        True,
        f"it overheats even without a tarp: {_hot_side(alone)}; cool the mix or cast in layers, each cooled first",
    )


def _wet_cure(mix: MixHeat) -> Verdict:
    solids = mix.curing_polymer_solids
    if solids >= CURING_POLYMER_SOLIDS - 1e-9:
        return Verdict(False, f"{solids:.1%} curing-polymer solids hold the water in after the night under plastic")
    return Verdict(
        True,
        f"{solids:.1%} curing-polymer solids are less than {CURING_POLYMER_SOLIDS:.0%}: keep it damp for "
        f"{DAMP_DAYS:g} days, or put on record that it was not",
    )


def _drying(casting: Casting) -> Drying | None:
    mix, room = casting.mix, casting.room
    if room.humidity is None:
        return None
    return drying(
        room.placed_c,
        room.room_c,
        room.humidity,
        room.wind_km_h,
        room.uncovered_h,
        casting.thickness_m,
        mix.water_kg_m3,
        mix.silica_fume_share,
    )


def _flags(casting: Casting, lost: Drying | None, need: StrengthNeed) -> tuple[str, ...]:
    mix, room = casting.mix, casting.room
    flags = list(mix.hydration.flags) if isinstance(mix.hydration, Hydration) else []
    if mix.set_modified:
        flags.append("a retarder or accelerator shifts the hours given here; the peak changes little")
    flags.append(
        f"stripping strength is taken as {need.fraction:.0%} of the 28-day strength by the curve of EN 1992-1-1: "
        "confirm with coupons of this mix"
    )
    flags.append("indoors, out of the sun; the room is taken at one temperature, day and night")
    if lost is None:
        flags.append("humidity is not known: the water lost before covering was not checked")
    elif lost.over_limit:
        flags.append(
            f"uncovered it loses {lost.rate_kg_m2_h:.2f} kg/m²h, more than {lost.limit_kg_m2_h:g}: "
            "stop the draught or cover at once"
        )
    if lost is not None and lost.notable:
        flags.append(
            f"{lost.share_of_mix_water:.0%} of the mix water is gone after {room.uncovered_h:g} h uncovered: "
            f"cover within {lost.hours_to_notable * 60:.0f} min to lose less than {NOTABLE_LOSS:.0%}"
        )
    return tuple(flags)


def _plan_outside_the_model(mix: MixHeat, reason: str, lost: Drying | None, flags: tuple[str, ...]) -> CuringPlan:
    unknown = Verdict(None, reason)
    return CuringPlan(
        cover_with_plastic=_PLASTIC_ALWAYS,
        insulate=Verdict(None, f"not shown to be safe: {reason}"),
        add_heat=unknown,
        cool_or_layers=unknown,
        wet_cure=_wet_cure(mix),
        earliest_demould_h=None,
        strip_h=None,
        chosen=None,
        compared=(),
        room_needed_c=None,
        placed_needed_c=None,
        layer_m=None,
        after_stripping=_AFTER_STRIPPING,
        drying=lost,
        flags=(reason, *flags),
        limits=LIMITS,
    )
