"""Cautions that apply to a job, with pieces and reasons: the catalog checked against the facts of each piece."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import fields, replace
from difflib import get_close_matches
from functools import cache, lru_cache
from itertools import compress
from math import isfinite
from operator import attrgetter
from types import EllipsisType, MappingProxyType, SimpleNamespace
from typing import Any, Literal

from estimator.constants import INCH_M, below
from estimator.curing.pieces import PieceCuring
from estimator.errors import Fault, InputError
from estimator.handling import Handling
from estimator.handling.doubts import doubt_messages, gear_message
from estimator.handling.in_use import is_hung
from estimator.handling.niosh import HIGH_RISK_INDEX, RAISED_RISK_INDEX
from estimator.job import Job, Material, Mix, Piece
from estimator.mix.limits import flows, holds_beads
from estimator.takeoff import PieceTakeoff
from estimator.weight import Weight
from geometry.files import packaged
from geometry.frozen import frozen
from geometry.message import Message, Value, message

NARROW_STRIP_M = 3 * INCH_M  # common practice: a strip beside a cut-out under 3 in is flagged
LONG_CARRY_M = 10.0  # HSE INDG143
OVERHEATED_C = 70.0  # ACI 301
SILICA_KINDS = frozenset({"sand", "cement", "pozzolan"})
FINE_KINDS = frozenset({"pozzolan", "pigment"})


@frozen(kw_only=True)
class Facts:
    """Facts of one piece that decide its cautions. None: not given, or not computed."""

    use: str  # counter | panel | planter | basin | fire | other
    mass_high_kg: float  # at the heaviest stage
    full_high_kg: float = 0.0  # of a planter full of wet soil
    # mixes
    kinds: frozenset[str] = frozenset()  # of material: cement, pozzolan, sand, pigment ...
    glass_fibre: bool = False
    polystyrene: frozenset[str] = frozenset()  # trade names of the polystyrene materials
    polystyrene_uncoated: frozenset[str] = frozenset()
    fluid_beads: Message | None = None  # why light beads float in one of its mixes
    strength_tested: bool = False
    # the finished piece
    outdoors: bool = False
    dark: bool | None = None
    honed: bool = False
    cut_on_site: bool | None = None
    narrowest_rail_m: float | None = None  # beside a cut-out
    overhang_m: float | None = None  # of an overhang that needs support; None: no such overhang
    crack_shown_safe: bool | None = None
    on_edge: bool = False  # carried on edge by hand
    opening: bool = False  # has a cut-out wide enough to need a strongback
    notched: bool = False  # has a cut-out that runs out through an edge
    # by hand
    crew: int | None = 1  # persons; None: by machine only
    above_guideline: bool = False
    lifting_index: float | None = None
    finished: bool = False  # sealed, etched or glued
    turned_in_form: bool = False
    carry_m: float | None = None
    stairs: bool = False
    # by gear, in storage, on the way in
    glued: Message | None = None  # parts glued to it in the shop or on site, or the piece it is glued to
    slings: bool = False
    inserts: bool = False
    vacuum: bool = False
    adhesion_ratio: float | None = None  # suction of the form divided by the weight of the piece
    ratings_missing: tuple[str | Message, ...] = ()
    stored: Literal["edge", "flat"] | None = None
    hung: bool = False
    trucked: bool = False
    access_failures: tuple[Message, ...] = ()
    # curing
    peak_high_c: float | None = None  # infinite if above the range of the heat model
    peak_limit_c: float = OVERHEATED_C
    heat_added: bool = False


@frozen
class Condition:
    """A condition that the `when` of a caution can name.

    meaning   what the condition means, in words
    reason    function that returns why it holds for a piece, None if it does not
    figures   function that returns the values for the text of its caution, from the pieces for which it holds
    """

    meaning: str
    reason: Callable[[Facts], Message | None]
    figures: Callable[[Iterable[Facts]], Mapping[str, Value]] = lambda _: {}


def _when(holds: bool, id: str, **values: Value) -> Message | None:
    return message(id, **values) if holds else None


def _over(value: float | None, limit: float) -> bool:
    return value is not None and value > limit


@lru_cache(maxsize=256)  # a job has few mixes, and this is called for every piece
def _holds(kinds: frozenset[str]) -> Message | None:
    return _when(bool(kinds), "reason-holds", kinds=[message(f"kind-{kind}") for kind in sorted(kinds)])


def _cut_or_honed(f: Facts) -> Message | None:
    if f.cut_on_site or f.honed:
        return message("reason-cut-on-site" if f.cut_on_site else "reason-honed")
    return _when(f.cut_on_site is None and f.use == "counter", "reason-trimmed")


def _dark_outdoors(f: Facts) -> Message | None:
    exposed = bool(f.polystyrene) and f.outdoors and f.dark is not False
    return _when(exposed, "reason-dark-outdoors" if f.dark else "reason-color-unknown")


def _open_beads(f: Facts) -> Message | None:
    how = message("reason-honed" if f.honed else "reason-cut-on-site")
    open_beads = bool(f.polystyrene) and (f.honed or f.cut_on_site is True)
    return _when(open_beads, "reason-open-beads", how=how, material_names=sorted(f.polystyrene))


def _crew(holds: Callable[[int | None], bool]) -> Callable[[Facts], Message | None]:
    return lambda f: message("reason-weight", high_kg=f.mass_high_kg) if holds(f.crew) else None


def _floor_load(f: Facts) -> Message | None:
    if f.use == "planter":
        return message("reason-wet-soil")
    if f.crew is None:
        return message("reason-stands", high_kg=f.mass_high_kg)
    return _when(f.use == "counter", "reason-permanent")


def _planter(f: Facts) -> Message | None:
    return _when(f.use == "planter", "reason-planter", high_kg=f.full_high_kg)


def _lifting_index(f: Facts) -> Message:
    return message("reason-lifting-index", index_factor=f.lifting_index or 0.0)


def _overheats(f: Facts) -> Message | None:
    if not _over(f.peak_high_c, f.peak_limit_c):
        return None
    peak_c = f.peak_high_c or 0.0
    return message("reason-hot", high_c=peak_c) if isfinite(peak_c) else message("reason-over-limit")


def _slender(f: Facts) -> Message | None:
    rail_m = f.narrowest_rail_m
    return None if rail_m is None else _when(below(rail_m, NARROW_STRIP_M), "reason-slender", rail_m=rail_m)


@lru_cache(maxsize=256)
def _contains(materials: frozenset[str]) -> Message | None:
    names = sorted(materials)
    return _when(bool(names), "reason-contains", material_names=names)


CONDITIONS: Mapping[str, Condition] = MappingProxyType(
    {
        "always": Condition("every piece", lambda _: message("reason-always")),
        "mixes-silica": Condition(
            "a mix holds sand, cement or pozzolan",
            lambda f: _holds(f.kinds & SILICA_KINDS),
        ),
        "mixes-cement": Condition("a mix holds cement", lambda f: _when("cement" in f.kinds, "reason-cement")),
        "mixed-by-machine": Condition("a mix holds cement", lambda f: _when("cement" in f.kinds, "reason-mixed")),
        "mixes-glass-fibre": Condition("a mix holds glass fiber", lambda f: _when(f.glass_fibre, "reason-glass-fiber")),
        "mixes-fine-powder": Condition(
            "a mix holds pozzolan or pigment",
            lambda f: _holds(f.kinds & FINE_KINDS),
        ),
        "cut-or-honed": Condition("honed, or cut on site; counters unless said otherwise", _cut_or_honed),
        "ground-wet": Condition(
            "honed, or cut on site", lambda f: _when(f.honed or f.cut_on_site is True, "reason-ground-wet")
        ),
        "finished": Condition("sealed, etched or glued", lambda f: _when(f.finished, "reason-sealed")),
        "polystyrene": Condition("a mix holds polystyrene", lambda f: _contains(f.polystyrene)),
        "polystyrene-uncoated": Condition(
            "a mix holds polystyrene without a coating", lambda f: _contains(f.polystyrene_uncoated)
        ),
        "polystyrene-in-fire-piece": Condition(
            "polystyrene in a piece used in or near a fire",
            lambda f: _when(
                f.use == "fire" and bool(f.polystyrene), "reason-fire", material_names=sorted(f.polystyrene)
            ),
        ),
        "polystyrene-in-counter": Condition(
            "polystyrene in a counter", lambda f: _contains(f.polystyrene) if f.use == "counter" else None
        ),
        "polystyrene-dark-outdoors": Condition("polystyrene, outdoors, dark or of a color not given", _dark_outdoors),
        "polystyrene-cut-or-honed": Condition("polystyrene lies open on a cut or honed face", _open_beads),
        "fluid-mix-with-beads": Condition("light beads in a mix that flows by itself", lambda f: f.fluid_beads),
        "crew-of-two": Condition("two people carry it", _crew(lambda crew: crew == 2)),
        "crew-of-three-or-four": Condition("three or four people carry it", _crew(lambda crew: crew in (3, 4))),
        "crew-over-four": Condition("more than four people carry it", _crew(lambda crew: (crew or 0) > 4)),
        "by-machine-only": Condition("no crew that the shop allows can carry it", _crew(lambda crew: crew is None)),
        "above-guideline": Condition(
            "a published lifting filter is exceeded", lambda f: _when(f.above_guideline, "reason-above-guideline")
        ),
        "lifting-index-over-one": Condition(
            "lifting index over 1, up to 3",
            lambda f: (
                _lifting_index(f)
                if _over(f.lifting_index, RAISED_RISK_INDEX) and not _over(f.lifting_index, HIGH_RISK_INDEX)
                else None
            ),
        ),
        "lifting-index-over-three": Condition(
            "lifting index over 3", lambda f: _lifting_index(f) if _over(f.lifting_index, HIGH_RISK_INDEX) else None
        ),
        "turned-in-form": Condition("flipped with its form", lambda f: _when(f.turned_in_form, "reason-flipped")),
        "carried-far": Condition(
            "carried more than 10 m",
            lambda f: _when(_over(f.carry_m, LONG_CARRY_M), "reason-carried", carry_way_m=f.carry_m or 0.0),
        ),
        "carried-on-stairs": Condition("carried on stairs", lambda f: _when(f.stairs, "reason-stairs")),
        "glued-parts": Condition("a leg or a splash is glued to it, or it is one", lambda f: f.glued),
        "rigged": Condition("lifted by slings", lambda f: _when(f.slings, "reason-slings")),
        "rating-missing": Condition(
            "something that carries it has no rating",
            lambda f: _when(bool(f.ratings_missing), "reason-no-rating", items=f.ratings_missing),
            lambda facts: {"items": tuple(dict.fromkeys(item for f in facts for item in f.ratings_missing))},
        ),
        "lifted-by-inserts": Condition("lifted by cast-in inserts", lambda f: _when(f.inserts, "reason-inserts")),
        "lifted-by-vacuum": Condition("lifted by vacuum pads", lambda f: _when(f.vacuum, "reason-vacuum")),
        "adhesion-rules": Condition(
            "the form holds it harder than its own weight",
            lambda f: _when(_over(f.adhesion_ratio, 1.0), "reason-suction", times_factor=f.adhesion_ratio or 0.0),
        ),
        "strength-untested": Condition(
            "no coupon test of its mix", lambda f: _when(not f.strength_tested, "reason-untested")
        ),
        "crack-not-shown-safe": Condition(
            "a way of carrying it fails, or cannot pass, the bending check",
            lambda f: _when(f.crack_shown_safe is False, "reason-may-crack"),
        ),
        "carried-on-edge": Condition("carried on edge", lambda f: _when(f.on_edge, "reason-on-edge")),
        "cutout-carried-on-edge": Condition(
            "carried on edge with a cutout that takes a quarter of its width",
            lambda f: _when(f.on_edge and f.opening, "reason-cutout-on-edge"),
        ),
        "open-cutout": Condition(
            "a wide cut-out runs out through an edge", lambda f: _when(f.notched, "reason-open-rails")
        ),
        "slender-strip": Condition("a rail beside a cutout under 3 in", _slender),
        "stored-on-edge": Condition(
            "stored or moved on edge", lambda f: _when(f.stored == "edge", "reason-stored-on-edge")
        ),
        "stored-flat": Condition("stored flat in a stack", lambda f: _when(f.stored == "flat", "reason-stored-flat")),
        "floor-load": Condition("a counter, a planter, or too heavy for hands", _floor_load),
        "planter": Condition(
            "used as a planter", _planter, lambda facts: {"high_kg": max(f.full_high_kg for f in facts)}
        ),
        "hung": Condition("hung on a wall", lambda f: _when(f.hung, "reason-hung")),
        "unsupported-overhang": Condition(
            "an overhang that needs support",
            lambda f: _when(f.overhang_m is not None, "reason-overhang", overhang_m=f.overhang_m or 0.0),
        ),
        "trucked": Condition("goes by truck", lambda f: _when(f.trucked, "reason-trucked")),
        "does-not-fit": Condition(
            "an access check fails",
            lambda f: _when(bool(f.access_failures), "list", items=f.access_failures),
        ),
        "overheats": Condition(
            "high side of the curing temperature over the limit, 70 °C unless the workshop sets its own", _overheats
        ),
        "heat-added": Condition("heat is added while it cures", lambda f: _when(f.heat_added, "reason-heat-added")),
    }
)


MIX_PARTS = ("cementitious", "aggregate", "admixtures", "polymer", "pigment", "fibre")


@frozen
class _Contents:
    """Contents of the mixes of a build-up."""

    kinds: frozenset[str]
    glass_fibre: bool
    polystyrene: frozenset[str]
    polystyrene_uncoated: frozenset[str]
    fluid_beads: Message | None

    @classmethod
    def of(cls, names: Iterable[str], job: Job) -> _Contents:
        mixes = [job.mixes[name] for name in names]
        materials = {name: job.materials[name] for mix in mixes for part in MIX_PARTS for name in getattr(mix, part)}
        return cls(
            kinds=frozenset(material.kind for material in materials.values()),
            glass_fibre=bool(_with(materials, "glass-fibre")),
            polystyrene=_with(materials, "polystyrene"),
            polystyrene_uncoated=_with(materials, "polystyrene") & _with(materials, "uncoated"),
            fluid_beads=_fluid_beads(mixes, job.materials),
        )


def facts_of_all(
    job: Job, parts: Iterable[tuple[PieceTakeoff, Weight, Handling]], curing: Mapping[str, PieceCuring]
) -> dict[str, Facts]:
    """Facts of every piece by mark: its materials, its weight, and how it is handled, cured and installed."""
    contents = cache(lambda *mixes: _Contents.of(mixes, job))
    parts = list(parts)
    glued = _glued([taken.piece for taken, _, _ in parts])
    facts, known = dict[str, Facts](), dict[tuple[int, int, int], Facts]()
    for taken, weight, handling in parts:
        mark = taken.piece.mark
        key = id(weight), id(handling), id(curing[mark])  # pieces of the same make share all three
        if (of_piece := known.get(key)) is None:
            mixes = contents(*(layer.mix for layer in taken.layers))
            of_piece = known[key] = _facts(job, taken, weight, handling, curing[mark], mixes)
        facts[mark] = of_piece
    return facts | {mark: replace(facts[mark], glued=reason) for mark, reason in glued.items() if mark in facts}


def _glued(pieces: Iterable[Piece]) -> dict[str, Message]:
    """Reasons of the glued parts by mark: the parts glued to a piece, or the piece it is glued to."""
    reasons: dict[str, Message] = {}
    on: dict[tuple[str, str], list[str]] = {}
    for piece in pieces:
        if piece.pose is not None:
            reasons[piece.mark] = message("reason-glued-to", whole=piece.part_of, where=piece.glued)
            on.setdefault((piece.part_of, piece.glued), []).append(piece.mark)
    for (mark, where), marks in sorted(on.items(), reverse=True):  # the shop last: its weights include glued parts
        reasons[mark] = message("reason-glued-on", marks=marks, where=where)
    return dict(sorted(reasons.items())) if reasons else reasons


def _facts(
    job: Job, taken: PieceTakeoff, weight: Weight, handling: Handling, curing: PieceCuring, contents: _Contents
) -> Facts:
    piece, place, wish = taken.piece, taken.piece.in_place, taken.piece.handling
    lifting, cracking = handling.lifting, handling.cracking
    by_vacuum = lifting.planned and wish.lifted_by == "vacuum"
    standing = handling.in_use.standing
    overhang = None if standing is None else standing.overhang
    indices = [index for lift in handling.lifts if (index := lift.lifting_index) is not None]
    return Facts(
        use=piece.use,
        mass_high_kg=weight.high_kg,
        full_high_kg=standing.weight_kg if standing is not None and piece.use == "planter" else 0.0,
        kinds=contents.kinds,
        glass_fibre=contents.glass_fibre,
        polystyrene=contents.polystyrene,
        polystyrene_uncoated=contents.polystyrene_uncoated,
        fluid_beads=contents.fluid_beads,
        strength_tested=cracking.first_crack.later_pa is not None,
        outdoors=place.outdoors is True,
        dark=place.dark,
        honed=place.honed,
        cut_on_site=place.cut_on_site,
        narrowest_rail_m=cracking.narrowest_rail_m,
        overhang_m=overhang.overhang_m if overhang is not None and overhang.needs_support else None,
        crack_shown_safe=cracking.shown_safe if cracking.checks else None,
        on_edge=handling.hold == "on-edge",
        opening=cracking.plate is not None and cracking.plate.flat.needs_strongback,
        notched=cracking.plate is not None and bool(cracking.plate.flat.notches),
        crew=handling.carry.persons,
        above_guideline=any(lift.above_guideline for lift in handling.lifts),
        lifting_index=max(indices, default=None),
        finished=True,
        turned_in_form=True,
        carry_m=job.site.distance_m if job.site else None,
        stairs=job.site is not None and bool(job.site.stairs),
        slings=lifting.planned and not by_vacuum,
        inserts=any(rig.inserts for rig in lifting.rigging[:1]),
        vacuum=by_vacuum,
        adhesion_ratio=max(load.adhesion_kg / load.weight_kg for load in handling.loads),
        ratings_missing=tuple(dict.fromkeys(_ratings_missing(handling, by_vacuum=by_vacuum))),
        stored="edge" if handling.tips_at_deg is not None else None,
        hung=is_hung(piece),
        trucked=True,
        access_failures=doubt_messages(handling.access.doubts),
        peak_high_c=curing.peak_high_c,
        peak_limit_c=job.workshop.curing.peak_most_c,
        heat_added=curing.plan.add_heat.answer is True,
    )


def _fluid_beads(mixes: Sequence[Mix], materials: Mapping[str, Material]) -> Message | None:
    """Why light beads float in one of the mixes; None if they do not."""
    for mix in mixes:
        if holds_beads(mix, materials) and flows(mix, materials):
            return message("reason-fluid-stated" if mix.consistency else "reason-fluid-likely", mix_name=mix.label)
    return None


def _with(materials: dict[str, Material], trait: str) -> frozenset[str]:
    return frozenset(material.label for material in materials.values() if trait in material.traits)


def _ratings_missing(handling: Handling, *, by_vacuum: bool) -> list[str | Message]:
    """Names of the gear and elevators without a rating that carry the piece."""
    missing: list[str | Message] = []
    lifting, access = handling.lifting, handling.access
    if lifting.planned and not by_vacuum:
        for rig in lifting.rigging[:1]:
            if rig.sling.rating_kg is None:
                missing.append(gear_message(rig.sling.what))
            if any(insert.ultimate_kg is None for insert in rig.inserts):
                missing.append(message("item-lifting-inserts"))
    if access.lift is not None and access.lift.rating_kg is None:
        missing.append(gear_message(access.lift.what))
    return missing


Severity = Literal["danger", "warning", "note"]
SEVERITIES: tuple[Severity, ...] = ("danger", "warning", "note")
_TEXTS = ("id", "when", "severity", "source")
_KEYS = (*_TEXTS, "figures")


@frozen
class Caution:
    """One entry of the catalog of cautions. Its text is in the word catalog.

    when     a name in CONDITIONS
    figures  fixed values of its text in SI, by placeholder
    """

    id: str
    when: str
    severity: Severity
    source: str
    figures: tuple[tuple[str, float], ...] = ()


@frozen
class AppliedCaution:
    """A caution that applies to at least one piece, with its text and its reasons by piece mark."""

    caution: Caution
    reasons: Mapping[str, Message]
    text: Message
    why: Message

    @property
    def pieces(self) -> tuple[str, ...]:
        return tuple(self.reasons)


def applied_ids(applied: Sequence[AppliedCaution], marks: Sequence[str]) -> dict[str, tuple[str, ...]]:
    """Ids of the cautions of each piece, by mark; pieces with the same cautions share one tuple."""
    ids = [caution.caution.id for caution in applied]
    chosen = cache(lambda flags: tuple(compress(ids, flags)))
    columns = (map(caution.reasons.__contains__, marks) for caution in applied)
    return {mark: chosen(tuple(flags)) for mark, *flags in zip(marks, *columns, strict=True)}


def applied_cautions(facts_by_mark: Mapping[str, Facts], cautions: Iterable[Caution]) -> tuple[AppliedCaution, ...]:
    """Cautions that apply to at least one piece, dangers first, otherwise in the order of the catalog.

    >>> lift = Caution("lift-two-person", "crew-of-two", "warning", "common practice")
    >>> found = applied_cautions({"C1": Facts(use="counter", mass_high_kg=40.0, crew=2)}, [lift])
    >>> str(found[0].reasons["C1"])
    'reason-weight (high_kg = 40.0)'
    """
    applied = []
    alike = _Alike.of(facts_by_mark)
    for caution in cautions:
        condition = CONDITIONS[caution.when]
        reasons = alike.reasons(condition)
        if reasons:
            figures = {**dict(caution.figures), **condition.figures(map(facts_by_mark.__getitem__, reasons))}
            id = f"caution-{caution.id}"
            applied.append(AppliedCaution(caution, reasons, message(id, **figures), message(f"{id}.why", **figures)))
    return tuple(sorted(applied, key=lambda entry: SEVERITIES.index(entry.caution.severity)))


@frozen
class _Alike:
    """Pieces whose facts differ in figures alone, such as their weights: most conditions hold for all of them or none.

    marks   marks of all pieces
    makes   index in `facts` for each piece: pieces of one make share their facts
    facts   facts of every make
    kinds   what the makes of each group have in common: all facts that are no figures
    groups  index of its group for each make
    """

    marks: Sequence[str]
    makes: Sequence[int]
    facts: Sequence[Facts]
    kinds: Sequence[_WithoutFigures]
    groups: Sequence[int]

    @classmethod
    def of(cls, facts_by_mark: Mapping[str, Facts]) -> _Alike:
        facts = {id(facts): facts for facts in facts_by_mark.values()}
        numbers = dict(zip(facts, range(len(facts)), strict=True))
        makes = [numbers[id(facts)] for facts in facts_by_mark.values()]
        kinds: dict[tuple[Any, ...], int] = {}
        groups = [kinds.setdefault(kind, len(kinds)) for kind in map(_kind_of, facts.values())]
        of_kinds = [_WithoutFigures(**dict(zip(_KINDS, kind, strict=True))) for kind in kinds]
        return cls(list(facts_by_mark), makes, list(facts.values()), of_kinds, groups)

    def reasons(self, condition: Condition) -> dict[str, Message]:
        """Why a condition holds, by mark, in the order of the marks."""
        of_kinds = [_by_kind(condition, kind) for kind in self.kinds]
        first = of_kinds[0] if of_kinds else None
        if first is not ... and all(reason is first for reason in of_kinds):
            return {} if first is None else dict.fromkeys(self.marks, first)
        of_makes = [
            condition.reason(facts) if (reason := of_kinds[group]) is ... else reason
            for facts, group in zip(self.facts, self.groups, strict=True)
        ]
        of_pieces = map(of_makes.__getitem__, self.makes)
        return {mark: reason for mark, reason in zip(self.marks, of_pieces, strict=True) if reason is not None}


_FIGURES = frozenset(
    ("mass_high_kg", "full_high_kg", "narrowest_rail_m", "overhang_m", "lifting_index", "adhesion_ratio", "peak_high_c")
)
_KINDS = tuple(item.name for item in fields(Facts) if item.name not in _FIGURES)
_kind_of = attrgetter(*_KINDS)


class _WithoutFigures(SimpleNamespace):
    """Facts of pieces alike: all but the figures, so that a condition that reads one raises AttributeError."""


def _by_kind(condition: Condition, kind: _WithoutFigures) -> Message | EllipsisType | None:
    """Why a condition holds for all pieces alike; `...` if it depends on their figures."""
    try:
        return condition.reason(kind)  # type: ignore[arg-type]
    except AttributeError:
        return ...


@cache
def built_in_cautions() -> tuple[Caution, ...]:
    """The catalog of cautions that comes with the package."""
    return cautions_from_toml(packaged("catalogs", "cautions.toml").decode())


def cautions_from_toml(text: str, file: str = "cautions.toml") -> tuple[Caution, ...]:
    """Read a catalog of cautions from the text of a TOML file.

    Raises InputError with all faults found: a key that is unknown, missing or empty, an id used twice, a condition or
    severity that does not exist.
    """
    try:
        document = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise InputError([Fault(file, "", message("cautions-not-toml", error=str(error)))]) from error
    entries = document.pop("caution", [])
    faults = [Fault(file, key, message("cautions-other-key")) for key in document]
    if not isinstance(entries, list):
        raise InputError([Fault(file, "caution", message("cautions-no-list"))])
    cautions: dict[str, Caution] = {}
    for number, entry in enumerate(entries, start=1):
        if not isinstance(entry, dict):
            faults.append(Fault(file, f"caution {number}", message("cautions-no-table")))
            continue
        place = f"caution {entry.get('id', number)}"
        wrong = _faults_of_entry(file, place, entry)
        if not wrong and entry["id"] in cautions:
            wrong.append(Fault(file, place, message("cautions-id-twice")))
        if not wrong:
            figures = tuple(entry.get("figures", {}).items())
            cautions[entry["id"]] = Caution(**(entry | {"figures": figures}))
        faults.extend(wrong)
    if faults:
        raise InputError(faults)
    return tuple(cautions.values())


def _faults_of_entry(file: str, place: str, entry: Mapping[str, Any]) -> list[Fault]:
    faults = [
        Fault(file, f"{place}, {key}", message("cautions-unknown-key", offer=_offer(key, _KEYS)))
        for key in entry
        if key not in _KEYS
    ]
    for key in _TEXTS:
        value = entry.get(key)
        if not isinstance(value, str) or not value.strip():
            faults.append(Fault(file, f"{place}, {key}", message("cautions-empty")))
    for key, known in (("when", tuple(CONDITIONS)), ("severity", SEVERITIES)):
        value = entry.get(key)
        if isinstance(value, str) and value.strip() and value not in known:
            unknown = message("cautions-unknown", value=value, offer=_offer(value, known))
            faults.append(Fault(file, f"{place}, {key}", unknown))
    return faults


def _offer(word: str, known: Iterable[str]) -> Message:
    nearest = get_close_matches(word, list(known), n=1)
    if nearest:
        return message("cautions-did-you-mean", word=nearest[0])
    return message("cautions-known", words=", ".join(known))
