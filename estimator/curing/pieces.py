"""The curing of every piece of a job: like castings are run once, whatever their number."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from math import inf

from estimator.curing.casting import Casting, MixHeat, Section
from estimator.curing.conditions import HOUR_S, covers_of, heat_source_of, limits_of, need_of, room_of
from estimator.curing.covers import Cover, StrengthNeed
from estimator.curing.hydration import Unmodelled
from estimator.curing.limits import Limit, Limits
from estimator.curing.mix_heat import section_heat
from estimator.curing.plan import NO_TRIAL, CuringPlan, curing_plans, too_fast
from estimator.curing.sections import Sections, layer_depths, sections_of
from estimator.curing.slab import MOST_THICKNESS_M, THINNEST_M
from estimator.job import Job
from estimator.mix import MadeMix
from estimator.notices import Notice
from estimator.takeoff import PieceTakeoff, Takeoff

PLACES = 4
"""Decimals of a metre: the model takes a thickness to 0.1 mm, finer than any form holds, so that like pieces share."""

MARKS_SHOWN = 6  # of those that a warning is about


@dataclass(frozen=True, slots=True, eq=False)
class PieceCuring:
    """How one piece cures.

    covers         film alone, and with the tarp
    cover_time_h   how long the workshop covers its pieces at least
    flags          what is assumed, outside the data, or must be watched
    """

    sections: Sections
    casting: Casting
    covers: tuple[Cover, Cover]
    plan: CuringPlan
    cover_time_h: float
    flags: tuple[str, ...]

    @property
    def covered_h(self) -> float | None:
        """How long it stays covered at least, hours; None where nobody knows when it may be stripped."""
        demould_h = self.plan.earliest_demould_h
        return None if demould_h is None else max(self.cover_time_h, demould_h)

    @property
    def peak_high_c(self) -> float | None:
        """High side of its peak, infinite where that is over the limit; None outside the model."""
        if self.plan.chosen is None:
            return None
        high_c = self.plan.chosen.peak.high_c
        return inf if high_c is None else high_c


@dataclass(frozen=True, slots=True, eq=False)
class Curing:
    """The curing of a job: by mark, with what must be said of it."""

    pieces: Mapping[str, PieceCuring]
    limits: tuple[Limit, ...]
    warnings: tuple[Notice, ...]

    @property
    def damp(self) -> frozenset[str]:
        """Marks that are cured wet after stripping."""
        return frozenset(mark for mark, each in self.pieces.items() if each.plan.wet_cure.answer)

    @property
    def strip_s(self) -> dict[str, float]:
        """By mark, how long after placing it is stripped at the latest; without those of which nobody knows."""
        known = {mark: each.plan.strip_h for mark, each in self.pieces.items()}
        return {mark: hours[1] * HOUR_S for mark, hours in known.items() if hours is not None}


def cure(job: Job, takeoff: Takeoff, mixes: Mapping[str, MadeMix]) -> Curing:
    """The curing of every piece: sections by shape, mixes averaged through them, room and covers by job and piece."""
    figures = job.workshop.figures
    need, limits, film_w_m2_k = need_of(figures), limits_of(figures), figures["curing.surface_conductance"]
    asked = _castings(job, takeoff, mixes)
    by_covers: dict[tuple[Cover, Cover], list[Casting]] = {}
    for covers, casting in asked.values():
        by_covers.setdefault(covers, []).append(casting)
    plans: dict[tuple[tuple[Cover, Cover], Casting], CuringPlan] = {}
    for covers, castings in by_covers.items():
        distinct = tuple(dict.fromkeys(castings))
        found = plans_together(distinct, need, covers, film_w_m2_k, limits)
        plans |= {(covers, casting): plan for casting, plan in zip(distinct, found, strict=True)}
    pieces = {}
    for taken in takeoff.pieces:
        mark = taken.piece.mark
        covers, casting = asked[mark]
        sections, plan = sections_of(taken), plans[covers, casting]
        flags = (*plan.flags, *_section_flags(taken, sections))
        pieces[mark] = PieceCuring(sections, casting, covers, plan, figures["curing.cover_time"] / HOUR_S, flags)
    return Curing(pieces, limits.listed(), tuple(_warnings(pieces)))


@lru_cache(maxsize=8)  # a job is estimated again for each of its alternatives, most with the same castings
def plans_together(
    castings: tuple[Casting, ...], need: StrengthNeed, covers: tuple[Cover, Cover], film_w_m2_k: float, limits: Limits
) -> tuple[CuringPlan, ...]:
    """Plans of castings under the same two covers; asked again, the same ones."""
    return tuple(curing_plans(castings, need, *covers, film_w_m2_k, limits))


def _castings(
    job: Job, takeoff: Takeoff, mixes: Mapping[str, MadeMix]
) -> dict[str, tuple[tuple[Cover, Cover], Casting]]:
    """By mark, what is asked of the heat model; the average of one build-up of layers is made once."""
    figures = job.workshop.figures
    source = heat_source_of(figures)
    made: dict[tuple[tuple[str, float], ...], MixHeat] = {}

    def heat_of(taken: PieceTakeoff, thickness_m: float) -> MixHeat:
        depths = layer_depths(taken, thickness_m)
        if depths not in made:
            whole = sum(depth for _, depth in depths)
            made[depths] = section_heat([(mixes[name], depth / whole) for name, depth in depths], job.materials, source)
        return made[depths]

    asked = {}
    for taken in takeoff.pieces:
        sections, own = sections_of(taken), taken.piece.cure
        thick_m, thin_m = (
            max(round(each.thickness_m, PLACES), 10.0**-PLACES) for each in (sections.thickest, sections.thinnest)
        )
        mix = _within(heat_of(taken, thick_m), thick_m)
        thinnest = None if thin_m == thick_m else Section(thin_m, _within(heat_of(taken, thin_m), thin_m))
        asked[taken.piece.mark] = (
            covers_of(own, figures),
            Casting(
                thick_m,
                mix,
                room_of(own, figures),
                thinnest,
                None if own.set_delay_s is None else own.set_delay_s / HOUR_S,
            ),
        )
    return asked


def _within(mix: MixHeat, thickness_m: float) -> MixHeat:
    """The mix, marked as outside the model where the thickness is."""
    if THINNEST_M <= thickness_m <= MOST_THICKNESS_M or isinstance(mix.hydration, Unmodelled):
        return mix
    reason = (
        f"a section of {thickness_m * 1000:.4g} mm is outside the {THINNEST_M * 1000:g} to {MOST_THICKNESS_M * 1000:g} "
        "mm of the heat model: measure a trial piece"
    )
    return replace(mix, hydration=Unmodelled(reason))


def _section_flags(taken: PieceTakeoff, sections: Sections) -> Iterable[str]:
    if sections.thickest.estimated:
        yield (
            "the mesh is too large to look inside: its least outer size stands for its thickest place. "
            'Give cure = { thickest = "2 in", thinnest = "1 in" }'
        )
    if any(insert.displaces_m3 > 0.0 for insert in taken.piece.inserts) and taken.piece.cure.thinnest_m is None:
        yield "what is cast in makes it thinner in places: give cure.thinnest if that is less than the section here"
    if sections.thinnest != sections.thickest:
        yield f"its {sections.thickest.name} rules heat, its {sections.thinnest.name} cold and drying"
    if sum(layer.mix != taken.layers[0].mix for layer in taken.layers):
        yield "its layers are averaged through the thickness"


def _warnings(pieces: Mapping[str, PieceCuring]) -> Iterable[Notice]:
    """What must not be overlooked, once for all marks that it is said of."""
    told: dict[Notice, list[str]] = {}
    for mark, each in pieces.items():
        for notice in _pressing(each):
            told.setdefault(notice, []).append(mark)
    for notice, marks in told.items():
        more = len(marks) - MARKS_SHOWN
        shown = ", ".join(marks[:MARKS_SHOWN]) + (f" and {more} more" if more > 0 else "")
        yield Notice(notice.id, f"curing of {shown}: {notice.text}.")


def _pressing(piece: PieceCuring) -> Iterable[Notice]:
    plan = piece.plan
    if plan.chosen is None:
        yield Notice("curing-not-shown-safe", f"not shown to be safe: {plan.insulate.why}")
        return
    if plan.cool_or_layers.answer:
        yield Notice("overheats", plan.cool_or_layers.why)
    if plan.add_heat.answer:
        yield Notice("needs-heat", f"{plan.add_heat.why}: add heat")
    if plan.earliest_demould_h is None:
        untried = piece.casting.retarded and piece.casting.set_delay_h is None
        yield Notice("strips-late", NO_TRIAL.rstrip(".") if untried else "not strong enough to strip within three days")
    hydration = piece.casting.mix.hydration
    if not isinstance(hydration, Unmodelled):
        yield from (Notice("heat-model-limits", text) for text in hydration.outside)
    if plan.drying is not None and plan.drying.over_limit:
        yield Notice("dries-too-fast", too_fast(plan.drying))
    if piece.sections.thickest.estimated or piece.sections.thinnest.estimated:
        text = "its shape names no thickness for cold and drying; give cure.thickest and cure.thinnest"
        yield Notice("thickness-estimated", text)
