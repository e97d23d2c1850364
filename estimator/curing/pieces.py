"""Curing of the pieces of a job: the section that heats, the section that cools, and the plan of each."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import astuple, replace
from functools import cache, lru_cache
from math import inf

from estimator.cement import CementAnalysis
from estimator.constants import HOUR_S
from estimator.curing.casting import Casting, Limit, MixHeat, Room, ThermalSection, limits_of
from estimator.curing.covers import BLANKET, PLASTIC, Cover
from estimator.curing.hydration import ADIABATIC, Unmodelled
from estimator.curing.maturity import EVAPORATION, WATER_LOST
from estimator.curing.mix_heat import section_heat
from estimator.curing.plan import NO_TRIAL, CuringPlan, curing_plans, too_fast
from estimator.curing.slab import MOST_THICKNESS_M, THINNEST_M
from estimator.job import Cure, Job
from estimator.mix import MixDesign
from estimator.notices import Notice
from estimator.takeoff import PieceTakeoff, Takeoff
from estimator.workings import Working, figure
from estimator.workshop import CuringSettings
from geometry import shapes
from geometry.frozen import frozen
from geometry.message import Message, few, message


@frozen
class Thickness:
    """A section of a piece; `estimated` where the shape names no thickness there."""

    name: Message
    thickness_m: float
    estimated: bool = False


@frozen
class Sections:
    """The two sections of a piece that rule its curing.

    thickest   as thick as the largest sphere inside, since a lump or an inside corner is hotter than any leg of it
    """

    thickest: Thickness
    thinnest: Thickness


def sections_of(taken: PieceTakeoff) -> Sections:
    """The section that rules heat and the thinnest section of a piece, or what its `cure` says.

    Heat goes by the largest sphere inside the concrete. The thinnest is the least that the shape names; a solid that
    names none counts by its notional size, and is marked.
    """
    own = taken.piece.cure
    thickest, thinnest, walled = _extremes(taken.piece.shape)
    if not walled and (thinnest is None or taken.notional_m < thinnest.thickness_m):
        thinnest = Thickness(message("section-body"), taken.notional_m, estimated=True)
    assert thinnest is not None  # what has no walls has a body
    if own.thickest_m is not None:
        thickest = Thickness(message("section-thickest"), own.thickest_m)
    if own.thinnest_m is not None:
        thinnest = Thickness(message("section-thinnest"), own.thinnest_m)
    if thinnest.estimated and own.thickest_m is not None:
        thinnest = thickest if thinnest.thickness_m > thickest.thickness_m else thinnest
    return Sections(thickest, thinnest if thinnest.thickness_m <= thickest.thickness_m else thickest)


@lru_cache(maxsize=256)  # of many pieces of one shape, and of the alternatives of a job
def _extremes(shape: shapes.Shape) -> tuple[Thickness, Thickness | None, bool]:
    """The largest sphere inside a shape, the thinnest of its walls, and whether there is nothing of it but walls."""
    sphere = shape.largest_sphere()
    walls = [Thickness(message(f"section-{wall.name}"), wall.thickness_m) for wall in shape.walls()]
    return (
        Thickness(message("section-sphere"), sphere.diameter_m, sphere.estimated),
        min(walls, key=lambda wall: wall.thickness_m, default=None),
        shape.is_walled,
    )


@frozen
class Build:
    """What the curing of a piece follows from; pieces of one build cure alike.

    layers     mix and thickness of each, from the form inward
    whole_m    thickness that it is cast to; None for a shape that has no single one
    hollowed   whether something that is cast in displaces concrete
    """

    sections: Sections
    layers: tuple[tuple[str, float | None], ...]
    whole_m: float | None
    hollowed: bool
    cure: Cure

    @classmethod
    def of(cls, taken: PieceTakeoff) -> Build:
        piece = taken.piece
        return cls(
            sections_of(taken),
            tuple([(layer.mix, layer.thickness_m) for layer in piece.layers]),
            piece.shape.cast_thickness_m,
            any(insert.displaces_m3 > 0.0 for insert in piece.inserts),
            piece.cure,
        )

    def layer_depths(self, thickness_m: float) -> tuple[tuple[str, float], ...]:
        """The mixes through a section of this thickness and how deep each is, m; the last takes all that is deeper."""
        given_m = sum(depth_m or 0.0 for _, depth_m in self.layers)
        left_m, depths = thickness_m, []
        for i, (mix, depth_m) in enumerate(self.layers):
            if depth_m is None:
                depth_m = left_m if self.whole_m is None else max(0.0, self.whole_m - given_m)
            if i == len(self.layers) - 1:
                depth_m = left_m
            depth_m = min(depth_m, left_m)
            left_m -= depth_m
            if depth_m > 0.0:
                depths.append((mix, depth_m))
        return tuple(depths)

    @property
    def flags(self) -> Iterator[Message]:
        """What is estimated, or must be watched, of its sections."""
        thickest, thinnest = self.sections.thickest, self.sections.thinnest
        if thickest.estimated:
            yield message("curing-mesh-too-large")
        if self.hollowed and self.cure.thinnest_m is None:
            yield message("curing-cast-in")
        if thinnest != thickest:
            yield message(
                "curing-sections",
                thick_m=thickest.thickness_m,
                thin=thinnest.name,
                thin_m=thinnest.thickness_m,
            )
        if len({mix for mix, _ in self.layers}) > 1:
            yield message("curing-layers-averaged")


KM_H = 3.6  # per m/s


def room_of(cure: Cure, settings: CuringSettings) -> Room:
    """Where a piece lies: its own figures before the workshop's."""

    def first(own: float | None, usual: float) -> float:
        return usual if own is None else own

    return Room(
        room_c=first(cure.room_c, settings.room_c),
        placed_c=first(cure.mix_temperature_c, settings.mix_temperature_c),
        humidity=first(cure.humidity, settings.humidity),
        wind_km_h=first(cure.air_speed_m_s, settings.air_speed_m_s) * KM_H,
        uncovered_h=first(cure.uncovered_s, settings.uncovered_s) / HOUR_S,
    )


def covers_of(cure: Cure, settings: CuringSettings) -> tuple[Cover, Cover]:
    """Thermal resistances of plastic film alone, and of film with a curing blanket round piece and form."""
    film_r, tarp_r, form_r = (
        1.0 / w_m2_k
        for w_m2_k in (
            settings.film_conductance_w_m2_k,
            settings.tarp_conductance_w_m2_k,
            settings.form_conductance_w_m2_k,
        )
    )
    if cure.tarp_resistance_m2k_w is not None:
        tarp_r = cure.tarp_resistance_m2k_w
    if cure.form_resistance_m2k_w is not None:
        form_r = cure.form_resistance_m2k_w
    return Cover(PLASTIC, film_r, form_r), Cover(BLANKET, film_r + tarp_r, form_r + tarp_r)


PLACES = 4
"""Decimals of a meter: the model takes a thickness to 0.1 mm, finer than any form holds, so that like pieces share."""

MARKS_SHOWN = 6  # of those that a warning is about


@frozen(eq=False)
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
    flags: tuple[Message, ...]

    @property
    def covered_h(self) -> float | None:
        """Least time under cover, hours; None where the strip age is not known."""
        demould_h = self.plan.earliest_demould_h
        return None if demould_h is None else max(self.cover_time_h, demould_h)

    @property
    def peak_high_c(self) -> float | None:
        """High side of its peak, infinite where that is over the limit; None outside the model."""
        if self.plan.chosen is None:
            return None
        high_c = self.plan.chosen.peak.high_c
        return inf if high_c is None else high_c


@frozen(eq=False)
class Curing:
    """Curing of all pieces by mark, the limits held to, and warnings."""

    pieces: Mapping[str, PieceCuring]
    limits: tuple[Limit, ...]
    warnings: tuple[Notice, ...]

    @property
    def damp(self) -> frozenset[str]:
        """Marks that are cured wet after stripping."""
        return frozenset(mark for mark, piece in self.pieces.items() if piece.plan.wet_cure.answer)

    @property
    def strip_s(self) -> dict[str, float]:
        """Latest strip time by mark, s after placing; marks without a known one are left out."""
        known = {mark: piece.plan.strip_h for mark, piece in self.pieces.items()}
        return {mark: hours[1] * HOUR_S for mark, hours in known.items() if hours is not None}


def cure(job: Job, takeoff: Takeoff, mixes: Mapping[str, MixDesign]) -> Curing:
    """The curing of every piece: sections by shape, mixes averaged through them, room and covers by job and piece.

    Pieces of one build share one result.
    """
    settings = job.workshop.curing
    builds: dict[Build, int] = {}
    numbers = [builds.setdefault(Build.of(taken), len(builds)) for taken in takeoff.pieces]
    asked = _castings(builds, job, mixes)
    by_covers: dict[tuple[Cover, Cover], list[Casting]] = {}
    for covers, casting in asked:
        by_covers.setdefault(covers, []).append(casting)
    plans: dict[tuple[tuple[Cover, Cover], Casting], CuringPlan] = {}
    for covers, castings in by_covers.items():
        plans |= {
            (covers, c): plan for c, plan in zip(castings, curing_plans(castings, *covers, settings), strict=True)
        }
    cover_time_h = settings.cover_time_s / HOUR_S
    cured = []
    for build, (covers, casting) in zip(builds, asked, strict=True):
        plan = plans[covers, casting]
        flags = (*plan.flags, *build.flags)
        cured.append(PieceCuring(build.sections, casting, covers, plan, cover_time_h, flags))
    pieces = {taken.piece.mark: cured[number] for taken, number in zip(takeoff.pieces, numbers, strict=True)}
    return Curing(pieces, limits_of(settings), tuple(_warnings(pieces)))


def _castings(
    builds: Iterable[Build], job: Job, mixes: Mapping[str, MixDesign]
) -> list[tuple[tuple[Cover, Cover], Casting]]:
    """Covers and casting of each build; like sequences of layers are averaged once."""
    settings, assumed = job.workshop.curing, CementAnalysis(*astuple(job.workshop.cement))

    @cache
    def averaged(depths: tuple[tuple[str, float], ...]) -> MixHeat:
        whole = sum(depth for _, depth in depths)
        parts = [(mixes[name], depth / whole) for name, depth in depths]
        return section_heat(parts, job.materials, assumed, settings.heat_band)

    asked = []
    for build in builds:
        sections, own = build.sections, build.cure
        thick_m, thin_m = (
            max(round(section.thickness_m, PLACES), 10.0**-PLACES) for section in (sections.thickest, sections.thinnest)
        )
        mix = _within(averaged(build.layer_depths(thick_m)), thick_m)
        thinnest = None
        if thin_m != thick_m:
            thinnest = ThermalSection(thin_m, _within(averaged(build.layer_depths(thin_m)), thin_m))
        delay_h = None if own.set_delay_s is None else own.set_delay_s / HOUR_S
        asked.append((covers_of(own, settings), Casting(thick_m, mix, room_of(own, settings), thinnest, delay_h)))
    return asked


def _within(mix: MixHeat, thickness_m: float) -> MixHeat:
    """The mix, marked as outside the model where the thickness is."""
    if THINNEST_M <= thickness_m <= MOST_THICKNESS_M or isinstance(mix.hydration, Unmodelled):
        return mix
    reason = message(
        "cure-unmodeled-thickness", section_m=thickness_m, thinnest_m=THINNEST_M, thickest_m=MOST_THICKNESS_M
    )
    return replace(mix, hydration=Unmodelled(reason))


def _warnings(pieces: Mapping[str, PieceCuring]) -> Iterable[Notice]:
    """Warnings, each once with the marks that it concerns."""
    marks_of: dict[Notice, list[str]] = {}
    pressing = cache(lambda piece: tuple(_pressing(piece)))  # by identity: pieces of one build share theirs
    for mark, piece in pieces.items():
        for notice in pressing(piece):
            marks_of.setdefault(notice, []).append(mark)
    for notice, marks in marks_of.items():
        named = few(marks, MARKS_SHOWN)
        yield Notice(notice.id, message("about", subject=named, text=notice.text))


def _pressing(piece: PieceCuring) -> Iterable[Notice]:
    plan = piece.plan
    if plan.chosen is None:
        yield Notice("curing-not-shown-safe", plan.insulate.why)
        return
    if plan.cool_or_layers.answer:
        yield Notice("overheats", plan.cool_or_layers.why)
    if plan.add_heat.answer:
        yield Notice("needs-heat", plan.add_heat.why)
    if plan.earliest_demould_h is None:
        untried = piece.casting.retarded and piece.casting.set_delay_h is None
        yield Notice("strips-late", NO_TRIAL if untried else message("cure-not-strong"))
    hydration = piece.casting.mix.hydration
    if not isinstance(hydration, Unmodelled):
        yield from (Notice("heat-model-limits", text) for text in hydration.outside)
    if plan.drying is not None and plan.drying.over_limit:
        yield Notice("dries-too-fast", too_fast(plan.drying))
    estimated = [key for key in ("thickest", "thinnest") if getattr(piece.sections, key).estimated]
    if estimated:
        keys = "both" if len(estimated) > 1 else estimated[0]
        yield Notice("thickness-estimated", message("warning-thickness-estimated", keys=keys))


def curing_workings(mark: str, curing: PieceCuring) -> Iterator[Working]:
    """How adiabatic rise, peak, evaporation and the time under cover came about; temperatures are the heat model's."""
    at, plan, room, thin = f"pieces.{mark}.curing", curing.plan, curing.casting.room, curing.casting.thin
    adiabatic = curing.casting.mix.adiabatic
    if adiabatic is not None:
        yield ADIABATIC.working(f"{at}.heat.adiabatic_rise_k", **adiabatic)
    yield from _peak_workings(at, curing)
    if plan.drying is not None and room.humidity is not None:
        yield EVAPORATION.working(
            f"{at}.evaporation.rate_kg_m2_h",
            concrete_c=room.placed_c,
            air_c=room.room_c,
            humidity=room.humidity,
            wind_km_h=room.wind_km_h,
        )
        yield WATER_LOST.working(
            f"{at}.evaporation.share_of_mix_water",
            rate_kg_m2_h=plan.drying.rate_kg_m2_h,
            uncovered_h=room.uncovered_h,
            thickness_m=thin.thickness_m,
            water_kg_m3=thin.mix.water_kg_m3,
        )
    if plan.earliest_demould_h is not None:
        yield figure(
            f"{at}.covered_h",
            "max(cover_time_h, earliest_demould_h)",
            {"cover_time_h": curing.cover_time_h, "earliest_demould_h": plan.earliest_demould_h},
            "h",
            message("source-covered"),
        )


def _peak_workings(at: str, curing: PieceCuring) -> Iterator[Working]:
    """The band of the peak: what the cover keeps of the adiabatic rise, which the heat model finds."""
    chosen, mix, placed_c = curing.plan.chosen, curing.casting.mix, curing.casting.room.placed_c
    rise_k = mix.adiabatic_rise_k
    if chosen is None or rise_k is None or isinstance(mix.hydration, Unmodelled):
        return
    for side, factor, peak_c in (
        ("low", mix.hydration.low_factor, chosen.peak.low_c),
        ("nominal", 1.0, chosen.peak.nominal_c),
        ("high", mix.hydration.high_factor, chosen.peak.high_c),
    ):
        if peak_c is None:  # over the limit: no number is stated
            continue
        values = {"heat_factor": factor, "adiabatic_rise_k": rise_k}
        yield figure(
            f"{at}.peak_c.{side}",
            "placed_c + kept · heat_factor · adiabatic_rise_k",
            {"placed_c": placed_c, "kept": (peak_c - placed_c) / (factor * rise_k), **values},
            "°C",
            message("source-peak"),
        )
