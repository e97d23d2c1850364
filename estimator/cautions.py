"""Which cautions apply, to which pieces, and why: the catalog of cautions against the facts of each piece."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterable, Mapping, Sequence
from difflib import get_close_matches
from functools import cache
from math import ceil, isfinite
from types import MappingProxyType
from typing import Any, Literal

from estimator.constants import FOOT_M, INCH_M, POUND_KG, fahrenheit
from estimator.curing.pieces import PieceCuring
from estimator.errors import Fault, InputError
from estimator.handling import Handling
from estimator.handling.doubts import doubt_messages
from estimator.handling.in_use import is_hung
from estimator.handling.niosh import HIGH_RISK_INDEX, RAISED_RISK_INDEX
from estimator.job import Job, Material, Mix
from estimator.mix.limits import flows, holds_beads
from estimator.takeoff import PieceTakeoff
from estimator.weight import Weight
from geometry.files import packaged
from geometry.frozen import frozen
from geometry.message import Message, message

NARROW_STRIP_M = 3 * INCH_M  # common practice: a strip beside a cut-out under 3 in is flagged
LONG_CARRY_M = 10.0  # HSE INDG143
OVERHEATED_C = 70.0  # ACI 301
SILICA_KINDS = frozenset({"sand", "cement", "pozzolan"})
FINE_KINDS = frozenset({"pozzolan", "pigment"})


@frozen(kw_only=True)
class Facts:
    """Facts of one piece that decide its cautions. None: not given, or not worked out."""

    use: str  # counter | panel | planter | basin | fire | other
    mass_high_kg: float  # at the heaviest stage
    # its mixes
    kinds: frozenset[str] = frozenset()  # of material: cement, pozzolan, sand, pigment ...
    glass_fibre: bool = False
    polystyrene: frozenset[str] = frozenset()  # names of the polystyrene materials
    polystyrene_uncoated: frozenset[str] = frozenset()
    fluid_beads: str = ""  # why light beads float in one of its mixes
    strength_tested: bool = False
    # the finished piece
    outdoors: bool = False
    dark: bool | None = None
    honed: bool = False
    cut_on_site: bool | None = None
    narrowest_strip_m: float | None = None  # beside a cut-out
    overhang_m: float | None = None  # that needs support; None: there is none, or it may go without
    crack_shown_safe: bool | None = None
    on_edge: bool = False  # goes on edge in hands
    opening: bool = False  # a cut-out so wide that it needs a strongback
    # by hand
    crew: int | None = 1  # persons; None: by machine only
    above_guideline: bool = False
    lifting_index: float | None = None
    finished: bool = False  # sealed, etched or glued
    turned_in_form: bool = False
    carry_m: float | None = None
    stairs: bool = False
    # by gear, stored, brought in
    slings: bool = False
    inserts: bool = False
    vacuum: bool = False
    adhesion_ratio: float | None = None  # suction of the form over the piece's weight
    ratings_missing: tuple[str, ...] = ()
    stored: Literal["edge", "flat"] | None = None
    hung: bool = False
    trucked: bool = False
    access_failures: tuple[Message, ...] = ()
    # curing
    peak_high_c: float | None = None  # infinite where it is over what the heat model states
    peak_limit_c: float = OVERHEATED_C
    heat_added: bool = False


@frozen
class Condition:
    """Meaning of a name in `when`, and the function that returns the reason why it holds, or None."""

    meaning: str
    reason: Callable[[Facts], str | Message | None]


def _when(holds: bool, reason: str) -> str | None:
    return reason if holds else None


def _names(names: Iterable[str]) -> str:
    return ", ".join(sorted(names))


# Reasons are read on imperial and metric sheets alike, so they name both; a high weight rounds up.
def _mass(kg: float) -> str:
    return f"{ceil(kg - 1e-6)} kg ({ceil(kg / POUND_KG - 1e-6)} lb)"


def _length(m: float) -> str:
    return f"{m * 1000.0:.0f} mm ({m / INCH_M:.1f} in)"


def _distance(m: float) -> str:
    return f"{m:.0f} m ({m / FOOT_M:.0f} ft)"


def _temperature(c: float) -> str:
    return f"{c:.0f} °C ({fahrenheit(c):.0f} °F)"


def _over(value: float | None, limit: float) -> bool:
    return value is not None and value > limit


def _cut_or_honed(f: Facts) -> str | None:
    if f.cut_on_site or f.honed:
        return "it is cut on site" if f.cut_on_site else "it is honed"
    return _when(f.cut_on_site is None and f.use == "counter", "counters are often trimmed on site")


def _dark_outdoors(f: Facts) -> str | None:
    exposed = bool(f.polystyrene) and f.outdoors and f.dark is not False
    return _when(exposed, "dark and outdoors" if f.dark else "outdoors, and its colour is not said")


def _open_beads(f: Facts) -> str | None:
    how = "honed" if f.honed else "cut on site"
    return _when(bool(f.polystyrene) and (f.honed or f.cut_on_site is True), f"{how}, with {_names(f.polystyrene)}")


def _crew(f: Facts) -> str:
    return f"up to {_mass(f.mass_high_kg)}"


def _floor_load(f: Facts) -> str | None:
    if f.use == "planter":
        return "a planter is filled with wet soil"
    if f.crew is None:
        return f"up to {_mass(f.mass_high_kg)} stand where it is stored and set"
    return _when(f.use == "counter", "its weight stands on cabinets and floor for good")


def _overheats(f: Facts) -> str | None:
    if not _over(f.peak_high_c, f.peak_limit_c):
        return None
    peak_c = f.peak_high_c or 0.0
    return f"peak up to {_temperature(peak_c)}" if isfinite(peak_c) else "its peak is over the limit"


def _strip(f: Facts) -> str | None:
    if f.narrowest_strip_m is None or f.narrowest_strip_m >= NARROW_STRIP_M:
        return None
    return f"strip of {_length(f.narrowest_strip_m)} beside a cut-out"


_TABLE: tuple[tuple[str, str, Callable[[Facts], str | Message | None]], ...] = (
    ("always", "every piece", lambda _: "applies to every piece"),
    (
        "mixes-silica",
        "a mix holds sand, cement or pozzolan",
        lambda f: _when(bool(f.kinds & SILICA_KINDS), f"its mix holds {_names(f.kinds & SILICA_KINDS)}"),
    ),
    ("mixes-cement", "a mix holds cement", lambda f: _when("cement" in f.kinds, "its mix holds cement")),
    ("mixed-by-machine", "a mix holds cement", lambda f: _when("cement" in f.kinds, "its mix is mixed by machine")),
    ("mixes-glass-fibre", "a mix holds glass fibre", lambda f: _when(f.glass_fibre, "its mix holds glass fibre")),
    (
        "mixes-fine-powder",
        "a mix holds pozzolan or pigment",
        lambda f: _when(bool(f.kinds & FINE_KINDS), f"its mix holds {_names(f.kinds & FINE_KINDS)}"),
    ),
    ("cut-or-honed", "honed, or cut on site; counters unless said otherwise", _cut_or_honed),
    ("ground-wet", "honed, or cut on site", lambda f: _when(f.honed or f.cut_on_site is True, "it is ground wet")),
    ("finished", "sealed, etched or glued", lambda f: _when(f.finished, "it is sealed")),
    (
        "polystyrene",
        "a mix holds polystyrene",
        lambda f: _when(bool(f.polystyrene), f"its mix holds {_names(f.polystyrene)}"),
    ),
    (
        "polystyrene-uncoated",
        "a mix holds polystyrene without a coating",
        lambda f: _when(bool(f.polystyrene_uncoated), f"its mix holds {_names(f.polystyrene_uncoated)}"),
    ),
    (
        "polystyrene-in-fire-piece",
        "polystyrene in a piece used in or near a fire",
        lambda f: _when(f.use == "fire" and bool(f.polystyrene), f"use is fire, and it holds {_names(f.polystyrene)}"),
    ),
    (
        "polystyrene-in-counter",
        "polystyrene in a counter",
        lambda f: _when(f.use == "counter" and bool(f.polystyrene), f"a counter with {_names(f.polystyrene)}"),
    ),
    ("polystyrene-dark-outdoors", "polystyrene, outdoors, dark or of a colour not said", _dark_outdoors),
    ("polystyrene-cut-or-honed", "polystyrene lies open on a cut or honed face", _open_beads),
    (
        "fluid-mix-with-beads",
        "light beads in a mix that flows by itself",
        lambda f: f.fluid_beads or None,
    ),
    ("crew-of-two", "two people carry it", lambda f: _when(f.crew == 2, _crew(f))),
    ("crew-of-three-or-four", "three or four people carry it", lambda f: _when(f.crew in (3, 4), _crew(f))),
    ("crew-over-four", "more than four people carry it", lambda f: _when((f.crew or 0) > 4, _crew(f))),
    ("by-machine-only", "no crew that the shop allows can carry it", lambda f: _when(f.crew is None, _crew(f))),
    (
        "above-guideline",
        "a published lifting filter is exceeded",
        lambda f: _when(f.above_guideline, "its lift is above a published filter"),
    ),
    (
        "lifting-index-over-one",
        "lifting index over 1, up to 3",
        lambda f: _when(
            _over(f.lifting_index, RAISED_RISK_INDEX) and not _over(f.lifting_index, HIGH_RISK_INDEX),
            f"lifting index {f.lifting_index or 0.0:.2g}",
        ),
    ),
    (
        "lifting-index-over-three",
        "lifting index over 3",
        lambda f: _when(_over(f.lifting_index, HIGH_RISK_INDEX), f"lifting index {f.lifting_index or 0.0:.2g}"),
    ),
    ("turned-in-form", "turned with its form", lambda f: _when(f.turned_in_form, "it is turned in its form")),
    (
        "carried-far",
        "carried more than 10 m",
        lambda f: _when(_over(f.carry_m, LONG_CARRY_M), f"carried {_distance(f.carry_m or 0.0)}"),
    ),
    ("carried-on-stairs", "carried on stairs", lambda f: _when(f.stairs, "the way in has stairs")),
    ("rigged", "lifted by slings", lambda f: _when(f.slings, "it is lifted by slings")),
    (
        "rating-missing",
        "something that carries it has no rating",
        lambda f: _when(bool(f.ratings_missing), f"no rating: {', '.join(f.ratings_missing)}"),
    ),
    ("lifted-by-inserts", "lifted by cast-in inserts", lambda f: _when(f.inserts, "it is lifted by inserts")),
    ("lifted-by-vacuum", "lifted by vacuum pads", lambda f: _when(f.vacuum, "it is lifted by vacuum")),
    (
        "adhesion-rules",
        "the form holds it harder than its own weight",
        lambda f: _when(
            _over(f.adhesion_ratio, 1.0), f"the form holds it with {f.adhesion_ratio or 0.0:.1f} times its weight"
        ),
    ),
    (
        "strength-untested",
        "no coupon test of its mix",
        lambda f: _when(not f.strength_tested, "untested: not shown to be safe"),
    ),
    (
        "crack-not-shown-safe",
        "a way of carrying it fails, or cannot pass, the bending check",
        lambda f: _when(f.crack_shown_safe is False, "bending not shown to be safe"),
    ),
    ("carried-on-edge", "carried on edge", lambda f: _when(f.on_edge, "it is carried on edge")),
    (
        "cutout-carried-on-edge",
        "carried on edge with a cut-out that takes a quarter of its width",
        lambda f: _when(f.on_edge and f.opening, "it is carried on edge and has a wide cut-out"),
    ),
    ("slender-strip", "a strip beside a cut-out under 3 in", _strip),
    ("stored-on-edge", "stored or moved on edge", lambda f: _when(f.stored == "edge", "it stands on edge")),
    ("stored-flat", "stored flat in a stack", lambda f: _when(f.stored == "flat", "it is stacked flat")),
    ("floor-load", "a counter, a planter, or too heavy for hands", _floor_load),
    ("planter", "used as a planter", lambda f: _when(f.use == "planter", "it is a planter")),
    ("hung", "hung on a wall", lambda f: _when(f.hung, "it hangs on a wall")),
    (
        "unsupported-overhang",
        "an overhang that needs support",
        lambda f: _when(f.overhang_m is not None, f"overhang of {_length(f.overhang_m or 0.0)}"),
    ),
    ("trucked", "goes by truck", lambda f: _when(f.trucked, "it goes by truck")),
    (
        "does-not-fit",
        "a check of the way in fails",
        lambda f: message("list", items=f.access_failures) if f.access_failures else None,
    ),
    (
        "overheats",
        "high side of the curing temperature over the limit, 70 °C unless the workshop sets its own",
        _overheats,
    ),
    ("heat-added", "heat is added while it cures", lambda f: _when(f.heat_added, "heat is added while it cures")),
)

CONDITIONS: Mapping[str, Condition] = MappingProxyType(
    {name: Condition(meaning, reason) for name, meaning, reason in _TABLE}
)


MIX_PARTS = ("cementitious", "aggregate", "admixtures", "polymer", "pigment", "fibre")


@frozen
class _Contents:
    """What the mixes of a build-up hold."""

    kinds: frozenset[str]
    glass_fibre: bool
    polystyrene: frozenset[str]
    polystyrene_uncoated: frozenset[str]
    fluid_beads: str

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
    """By mark, the facts of each piece: its materials, its weight, how it is moved, cures and stands."""
    contents = cache(lambda *mixes: _Contents.of(mixes, job))
    return {
        taken.piece.mark: _facts(
            job, taken, weight, handling, curing[taken.piece.mark], contents(*(layer.mix for layer in taken.layers))
        )
        for taken, weight, handling in parts
    }


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
        narrowest_strip_m=cracking.narrowest_strip_m,
        overhang_m=overhang.overhang_m if overhang is not None and overhang.needs_support else None,
        crack_shown_safe=cracking.shown_safe if cracking.checks else None,
        on_edge=handling.hold == "on-edge",
        opening=cracking.plate is not None and cracking.plate.flat.needs_strongback,
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
        access_failures=doubt_messages(handling.way_in.doubts),
        peak_high_c=curing.peak_high_c,
        peak_limit_c=job.workshop.curing.peak_most_c,
        heat_added=curing.plan.add_heat.answer is True,
    )


def _fluid_beads(mixes: Sequence[Mix], materials: Mapping[str, Material]) -> str:
    """Why light beads float in one of the mixes; "" where they do not."""
    for mix in mixes:
        if holds_beads(mix, materials) and flows(mix, materials):
            how = "is stated to be fluid" if mix.consistency else "has water and plasticizer enough to flow"
            return f"light beads, and mix {mix.name} {how}"
    return ""


def _with(materials: dict[str, Material], trait: str) -> frozenset[str]:
    return frozenset(name for name, material in materials.items() if trait in material.traits)


def _ratings_missing(handling: Handling, *, by_vacuum: bool) -> list[str]:
    """Gear and elevators that carry the piece and have no rating."""
    missing: list[str] = []
    lifting, way = handling.lifting, handling.way_in
    if lifting.planned and not by_vacuum:
        for rig in lifting.rigging[:1]:
            if rig.sling.rating_kg is None:
                missing.append(rig.sling.what)
            if any(insert.ultimate_kg is None for insert in rig.inserts):
                missing.append("lifting inserts")
    if way.lift is not None and way.lift.rating_kg is None:
        missing.append(way.lift.what)
    return missing


Severity = Literal["danger", "warning", "note"]
SEVERITIES: tuple[Severity, ...] = ("danger", "warning", "note")
_KEYS = ("id", "when", "severity", "text", "why", "source")


@frozen
class Caution:
    """One entry of the catalog."""

    id: str
    when: str  # a name of CONDITIONS
    severity: Severity
    text: str
    why: str
    source: str


@frozen
class AppliedCaution:
    """A caution, and the reason why it applies to each piece, by piece mark."""

    caution: Caution
    reasons: Mapping[str, str | Message]

    @property
    def pieces(self) -> tuple[str, ...]:
        return tuple(self.reasons)


def applied_cautions(facts_by_mark: Mapping[str, Facts], cautions: Iterable[Caution]) -> tuple[AppliedCaution, ...]:
    """The cautions that apply to at least one piece, dangers first, otherwise in the order of the catalog.

    >>> lift = Caution("lift-two-person", "crew-of-two", "warning", "Two people.", "Heavy.", "common practice")
    >>> found = applied_cautions({"C1": Facts(use="counter", mass_high_kg=40.0, crew=2)}, [lift])
    >>> found[0].reasons
    {'C1': 'up to 40 kg (89 lb)'}
    """
    applied = []
    for caution in cautions:
        reason_of = CONDITIONS[caution.when].reason
        reasons = {mark: reason for mark, facts in facts_by_mark.items() if (reason := reason_of(facts)) is not None}
        if reasons:
            applied.append(AppliedCaution(caution, reasons))
    return tuple(sorted(applied, key=lambda entry: SEVERITIES.index(entry.caution.severity)))


@cache
def built_in_cautions() -> tuple[Caution, ...]:
    """The catalog of cautions that the package carries."""
    return cautions_from_toml(packaged("catalogs", "cautions.toml").decode())


def cautions_from_toml(text: str, file: str = "cautions.toml") -> tuple[Caution, ...]:
    """Read the catalog of cautions from the text of a TOML file.

    Raises InputError with every fault found: a key unknown, missing or empty, an id used twice, a condition or
    severity outside its closed set.
    """
    try:
        document = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise InputError([Fault(file, "", f"not readable as TOML: {error}.")]) from error
    entries = document.pop("caution", [])
    faults = [Fault(file, key, "unknown key.", "Only [[caution]] is read here.") for key in document]
    if not isinstance(entries, list):
        raise InputError([Fault(file, "caution", "is not a list of tables.", "Write [[caution]].")])
    cautions: dict[str, Caution] = {}
    for number, entry in enumerate(entries, start=1):
        if not isinstance(entry, dict):
            faults.append(Fault(file, f"caution {number}", "is not a table.", "Write [[caution]]."))
            continue
        place = f"caution {entry.get('id', number)}"
        wrong = _faults_of_entry(file, place, entry)
        if not wrong and entry["id"] in cautions:
            wrong.append(Fault(file, place, "id is used twice.", "Give each caution its own."))
        if not wrong:
            cautions[entry["id"]] = Caution(**entry)
        faults.extend(wrong)
    if faults:
        raise InputError(faults)
    return tuple(cautions.values())


def _faults_of_entry(file: str, place: str, entry: Mapping[str, Any]) -> list[Fault]:
    faults = [Fault(file, f"{place}, {key}", "unknown key.", _offer(key, _KEYS)) for key in entry if key not in _KEYS]
    for key in _KEYS:
        value = entry.get(key)
        if not isinstance(value, str) or not value.strip():
            faults.append(Fault(file, f"{place}, {key}", "missing or empty.", "Give it as text."))
    for key, known in (("when", tuple(CONDITIONS)), ("severity", SEVERITIES)):
        value = entry.get(key)
        if isinstance(value, str) and value.strip() and value not in known:
            faults.append(Fault(file, f"{place}, {key}", f'"{value}" is not known.', _offer(value, known)))
    return faults


def _offer(word: str, known: Iterable[str]) -> str:
    nearest = get_close_matches(word, list(known), n=1)
    return f'Did you mean "{nearest[0]}"?' if nearest else f"Known: {', '.join(known)}."
