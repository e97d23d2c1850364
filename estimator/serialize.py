"""Serialization of results to JSON: which attributes of the frozen dataclasses are in the document.

KEYS lists the attributes of every class that are written, under their own name, or as `key=path` if the key in the
document differs from the attribute. DERIVED has values that need a function. Other attributes are not written.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from decimal import Decimal
from functools import cache, lru_cache
from typing import Any

import orjson

from estimator.batching import Batch, DensityCheck, PiecePlacing
from estimator.batching.loading import Load
from estimator.batching.placing import LayerPlacing
from estimator.cautions import AppliedCaution
from estimator.curing.casting import Limit, MixHeat, Room
from estimator.curing.covers import CoverOutcome, PeakBand
from estimator.curing.hydration import Hydration, Unmodelled
from estimator.curing.maturity import Drying
from estimator.curing.pieces import PieceCuring, Thickness
from estimator.curing.plan import Verdict
from estimator.handling.access import Access, PassageCheck
from estimator.handling.bending import CarryCheck
from estimator.handling.cracking import Cracking
from estimator.handling.doubts import Doubt, RatingCheck, doubt_messages
from estimator.handling.gear import Rigging
from estimator.handling.in_use import Hung, Overhang, Standing
from estimator.handling.lifts import HandLift, HandTask
from estimator.handling.loads import GearLoad
from estimator.handling.niosh import RecommendedWeight
from estimator.handling.people import Hold
from estimator.handling.plan import Handling
from estimator.handling.plates import PlateCheck
from estimator.handling.rigging import PICK_LETTERS, SlingLeg
from estimator.handling.transport import Delivery, Stand
from estimator.handling.vacuum import VacuumLift, VacuumPads
from estimator.job import PriceTerms
from estimator.mix import MixDesign
from estimator.mix.bands import Band, MixBands
from estimator.mix.replacement import Replacement
from estimator.mixes import CastIn, EarlyStop, MixFacts
from estimator.notices import Notice
from estimator.packaging.consumables import ConsumableOrder, Part, UsedUp
from estimator.packaging.freight import Charge, PalletLoad
from estimator.packaging.materials import MaterialOrder
from estimator.packaging.nesting import Placed
from estimator.packaging.price import Line as PackLine
from estimator.packaging.price import Step as PackStep
from estimator.packaging.stage import MarkForms, SamplePlan
from estimator.packaging.together import Delivery as SupplierDelivery
from estimator.pricing.calendar import Step as CalendarStep
from estimator.pricing.calendar import Week
from estimator.pricing.labor import LaborLine
from estimator.pricing.quote import Allowance, Payment, TaxLine
from estimator.pricing.quote import Line as PriceLine
from estimator.pricing.stage import MarkPrice
from estimator.pricing.versions import AlternativePrice, ChangeOrder, OptionPrice
from estimator.pricing.versions import Standing as JobStanding
from estimator.strength import FlexuralStrength, Spread
from estimator.weight import Weight, WeightBand
from estimator.words import PLAIN, Words
from estimator.workings import Working
from geometry.message import Message

OVER_THE_LIMIT = "over the limit"
KM_H_PER_M_S = 3.6

Document = dict[str, Any]
KEYS: Mapping[type, str] = {
    # weights and take-off
    Band: "low best high parts",
    WeightBand: "low_kg nominal_kg high_kg",
    Weight: """
        fresh_kg demould_kg installed_kg low_kg high_kg lift_kg turn_kg centre_of_gravity_m=center_of_gravity_m
        stages=by_stage filled_kg assumptions
    """,
    # handling
    Doubt: "id text=message",
    RatingCheck: "what load_kg rating_kg shown_safe verdict",
    Hold: "from_end_m=position_m persons share_kg",
    RecommendedWeight: "rwl_kg horizontal vertical distance asymmetry frequency coupling",
    HandLift: """
        name weight_kg crew=crew.persons share_kg=crew.share_kg limit_kg=crew.limit_kg holds=crew.holds
        hands_m=task.hands_m reach_m=task.reach_m lifts_per_min=task.lifts_per_min duration_h=task.duration_h niosh
        guideline_kg=task.guideline_kg team_kg iso_pair_kg guideline_share above_guideline remark
    """,
    GearLoad: "stage weight_kg adhesion_kg dynamic_factor load_kg",
    SlingLeg: "share_kg tension_kg angle_from_horizontal_deg length_m",
    Rigging: """
        name=key words=name given stage load_kg hook_m legs determinate=shares.determinate
        assumption=shares.assumption insert_required_kg insert_verdict around plumb sling bending directions
    """,
    VacuumLift: "pads load_kg capacity_kg shown_safe verdict",
    VacuumPads: "pad_m flat upright places_m bending",
    PlateCheck: "direction by_strip pull_pa moment_n_m at_m stress_pa factor required_factor shown_safe strength",
    CarryCheck: """
        name=carry.key words=carry.name attitude=carry.attitude moment_n_m at_m stress_pa factor required_factor
        shown_safe strength
    """,
    Hung: """
        weight_kg anchors_m anchor_height_m=height_m proposed bearing_kg=load.bearing_kg couple_n_m=load.couple_n_m
        pull_n=load.pull_n push_n=load.push_n note=load.note
    """,
    Overhang: "overhang_m allowed_m needs_support stays_put brackets_m=bracket_places_m bracket_note",
    Standing: """
        weight_kg kg_per_m2 kg_per_m posted_kg_m2 foot_kg tipping_wind_pa=wind_pa within_posted
        wall_stress_pa=walls?.stress_pa wall_strength=walls?.strength overhang
    """,
    PassageCheck: "place passes remark",
    Access: "assumed places=checks lift longest_part_m seams_m seam_note",
    Handling: """
        crew=carry.persons turn_crew=turn.persons moves release=lifting.strip.release hold edge_up attitudes
        strength lifts loads gear by_gear=lifting.planned rigging=lifting.rigging no_pick_points
        vacuum=lifting.vacuum bending=cracking.checks weakest_section first_crack_pa=cracking.first_crack.later_pa
        first_crack_age_d=cracking.first_crack.age_d first_crack_at_strip_pa=cracking.first_crack.strip_pa
        bending_shown_safe=cracking.shown_safe narrowest_strip_m=cracking.narrowest_rail_m
        thickness_for_flat_carry_m=cracking.thickness_m advice=cracking.advice crated_kg crate_load_kg
        tips_at_deg tips_at_g
        hung=in_use.hung standing=in_use.standing way_in=access not_shown_safe doubts assumptions
    """,
    Stand: """
        name rack pieces gross_kg=load.floor_kg floor_kg_m2=load.floor_kg_m2 rating=load.gross tie_downs=tie.count
        length_m depth_m tie_down_kg=tie.working_load_kg straps forklift
    """,
    Delivery: "stands trips payload_kg gross_kg bed_m not_shown_safe doubts assumptions",
    # curing
    Thickness: "name thickness_m estimated",
    Verdict: "answer why",
    Limit: "name value unit source",
    Room: "room_c placed_c humidity air_speed_m_s uncovered_h",
    CoverOutcome: """
        cover=cover.name top_r_m2k_w=cover.top_r form_r_m2k_w=cover.form_r peak_c=peak peak_time_h
        difference_k=core_to_surface_k
    """,
    Drying: "rate_kg_m2_h limit_kg_m2_h over_limit share_of_mix_water notable hours_to_notable",
    MixHeat: """
        cementitious_kg_m3 water_kg_m3 density_kg_m3 specific_heat_j_kg_k conductivity_w_m_k silica_fume_share
        curing_polymer_solids
    """,
    Hydration: """
        heat_j_kg ultimate_degree time_parameter_h slope_parameter activation_energy_j_mol low_factor high_factor
    """,
    Unmodelled: "reason",
    PieceCuring: """
        modelled sections room=casting.room cover=plan.cover_with_plastic covered_h
        insulate=plan.insulate add_heat cool_or_layers wet_cure=plan.wet_cure earliest_demould_h=plan.earliest_demould_h
        strip_h=plan.strip_h after_stripping=plan.after_stripping peak_c=plan.chosen?.peak
        peak_time_h=plan.chosen?.peak_time_h difference_k=plan.chosen?.core_to_surface_k coldest_c=plan.cold?.coldest_c
        strength_at_strip=plan.cold?.strength_at_strip covers=plan.compared evaporation=plan.drying heat flags
    """,
    # mixes
    Spread: "mean_pa deviation_pa variation characteristic_pa tolerance_pa",
    FlexuralStrength: """
        pour age_d count limit_of_proportionality=limit modulus_of_rupture=rupture to_count_on_pa=design_pa
        shortcomings
    """,
    EarlyStop: """
        second_water_used=used water_cementitious=stopped.design.water_cementitious
        water_left_kg_m3=stopped.water_left_kg_m3 yield_ratio=stopped.yield_ratio
        fresh_density_kg_m3=stopped.design.fresh_density_kg_m3
        installed_density_kg_m3=stopped.design.installed_density_kg_m3 cautions=stopped.cautions
    """,
    Replacement: """
        by bead_in_kg_m3=bead_in_kg bead_in_loose_m3_per_m3=bead_in_loose_m3 sand_out_kg_m3=sand_out_kg
        yield_m3_per_m3=yield_m3 fresh_density_kg_m3=design.fresh_density_kg_m3 lighter
    """,
    MixBands: "fresh_density_kg_m3 oven_dry_density_kg_m3 installed_density_kg_m3 yield_m3_per_m3",
    MixDesign: """
        name fresh_density_kg_m3 demould_density_kg_m3 oven_dry_density_kg_m3 installed_density_kg_m3 air air_low
        air_high water_cementitious water_cement free_water_kg_m3 absorbed_water_kg_m3 cementitious_kg_m3
        counted_dry_kg_m3 fibre_basis recipe_kg_m3 loose_m3_per_m3 volume_fractions floats
    """,
    MixFacts: """
        written_as=mix.written_as replaced_by=mix.replaced_by bands water_held_back=mix.water_held_back early_stops
        consistency=mix.consistency colour_group=mix.colour_group
        first_crack_strength_pa=mix.first_crack_strength_pa first_crack_age_d=mix.first_crack_age_d strengths
        replacements=by_basis
    """,
    CastIn: """
        mix=mix.name replacement fresh_density_kg_m3=design.fresh_density_kg_m3
        installed_density_kg_m3=design.installed_density_kg_m3 cementitious_kg_m3=design.cementitious_kg_m3
        water_cementitious=design.water_cementitious water_cement=design.water_cement cost_per_m3 unpriced
        floats=design.floats first_crack_strength_pa=mix.first_crack_strength_pa
    """,
    # batches
    LayerPlacing: "mix method thickness_m lifts wait_s",
    PiecePlacing: "layers hone_most_m notes",
    DensityCheck: """
        measure_m3 tare_kg expected_kg low_kg high_kg scale_good_to_kg people indication_only when_heavy when_light
    """,
    Load: "step material target_kg mass_kg volume_m3 deviation",
    Batch: """
        pour mix count volume_m3 loose_m3 yield_m3 mass_kg pieces=marks placing_s crew left_over_m3 coupons samples
        place_within_s longest_wait_s notes load
    """,
    # the order
    PackStep: "count of each",
    PackLine: """
        pack=pack.name supplier=pack.supplier item=pack.item count mass_kg=pack.mass_kg unit_price price
        per_pallet=pack.per_pallet steps
    """,
    MaterialOrder: """
        material required_kg on_hand_kg bought_kg left_over_kg purchase_cost stock_cost
        list_price_per_kg=charge?.unit_price packs_alone=charge?.alone leftover_value cost
    """,
    ConsumableOrder: "required unit=measure on_hand bought left_over purchase_cost cost",
    UsedUp: "material basis least parts",
    Part: "basis extent at_once uses per_unit coats waste required",
    PalletLoad: "packs gross_kg",
    SupplierDelivery: "supplier goods pallets gross_kg charges freight small_order_charge=small_order",
    Charge: "text number each amount",
    MarkForms: """
        mark kind casts=set.casts forms=set.forms uses built=set.built renewals=set.renewals form_area_m2
        board_area_m2 material_kg hardware
    """,
    Placed: "board x_m y_m length_m width_m",
    SamplePlan: """
        count=made.count size_m mix area_m2=made.area_m2 volume_m3=made.volume_m3 concrete_cost
        left_over_would_fill=left_over price=made.price credit=made.credit
    """,
    # price, quote, calendar
    PriceTerms: "overhead margin markup tax tax_rates minimum round_to rounding",
    TaxLine: "kind share base amount",
    PriceLine: "kind text amount",
    LaborLine: "name=activity basis quantity unit time_s persons pieces hours rate cost",
    Allowance: "name share base amount pieces=marks",
    MarkPrice: "mark direct price",
    Payment: "step share due amount received",
    JobStanding: """
        price total costs=kinds hours pieces installed_kg lift_kg crew batches pours days batch_m3 required_kg
    """,
    AlternativePrice: "name note",
    OptionPrice: "name note taken price",
    ChangeOrder: "number reason date signed price total days",
    CalendarStep: "step=name pour first_day last_day until_day",
    Week: "week=number first_day forms floor_m2",
    # the rest
    AppliedCaution: """
        id=caution.id severity=caution.severity text why source=caution.source pieces
        reasons
    """,
    Notice: "id text",
    Working: "figure formula values result unit source",
}
"""Attributes of every class of result that are in the document, in order, with the key before `=` if it differs.

An attribute followed by `?` may be None; the value is then null.
"""

PATHS: Mapping[type, tuple[tuple[str, str], ...]] = {
    kind: tuple((key, path or key) for key, _, path in (entry.partition("=") for entry in keys.split()))
    for kind, keys in KEYS.items()
}
"""KEYS as (key, path of attributes) pairs."""

Derived = Callable[[Any], Any]


def _or_none(path: str) -> Derived:
    """Function that returns an attribute, or None if it is empty."""
    return lambda result: attribute(result, path) or None


DERIVED: Mapping[type, Mapping[str, Derived]] = {
    Weight: {
        "stages": lambda weight: {
            stage: {
                "low_kg": band.low_kg,
                "nominal_kg": band.nominal_kg,
                "high_kg": band.high_kg,
                "centre_of_gravity_m": weight.centers_m[stage],
            }
            for stage, band in weight.by_stage.items()
        },
    },
    HandLift: {"niosh": lambda lift: _equation(lift)},
    Rigging: {
        "legs": lambda rig: [
            {"name": letter, "pick_m": pick, **table(leg)}
            for letter, pick, leg in zip(PICK_LETTERS, rig.picks_m, rig.legs, strict=False)
        ],
        "insert_verdict": lambda rig: (
            min(rig.inserts, key=lambda insert: insert.shown_safe).verdict if rig.inserts else None
        ),
        "directions": lambda rig: [check for check in rig.checks if isinstance(check, PlateCheck)],
    },
    Handling: {
        "moves": lambda handling: _moves(handling),
        "attitudes": lambda handling: [{"move": move, "attitude": attitude} for move, attitude in handling.attitudes],
        "no_pick_points": lambda handling: (
            None if handling.lifting.no_picks is None else handling.lifting.no_picks.message
        ),
        "weakest_section": lambda handling: _weakest(handling.cracking),
    },
    Delivery: {
        "trips": lambda delivery: [
            {"stands": [delivery.stands[i].name for i in trip.stands], "truck": trip.truck, "bed_m": trip.bed_m}
            for trip in delivery.trips
        ],
        "not_shown_safe": lambda delivery: doubt_messages(delivery.doubts),
    },
    Room: {"air_speed_m_s": lambda room: room.wind_km_h / KM_H_PER_M_S},
    PieceCuring: {
        "sections": lambda curing: {
            "thickest": curing.sections.thickest,
            "thinnest": curing.sections.thinnest,
        },
        "modelled": lambda curing: curing.plan.chosen is not None,
        "add_heat": lambda curing: {**table(curing.plan.add_heat), "room_needed_c": curing.plan.room_needed_c},
        "cool_or_layers": lambda curing: {
            **table(curing.plan.cool_or_layers),
            "placed_needed_c": curing.plan.placed_needed_c,
            "layer_m": curing.plan.layer_m,
        },
        "heat": lambda curing: _heat(curing.casting.mix),
    },
    MixFacts: {"consistency": _or_none("mix.consistency"), "colour_group": _or_none("mix.colour_group")},
    CastIn: {"cost_per_m3": lambda row: None if row.unpriced else row.cost_per_m3},
    MarkPrice: {"direct": lambda mark: dict(zip(mark.direct, map(float, mark.direct.values()), strict=True))},
    PalletLoad: {"packs": lambda load: [pack_count(*pack) for pack in load.packs]},
    SamplePlan: {"size_m": lambda plan: (plan.side_m, plan.side_m, plan.thickness_m)},
}
"""Values of the document that need a function, such as the text of a doubt or two attributes as one row."""


def json_of(value: Any, words: Words = PLAIN) -> bytes:
    """A result, or dicts and lists of results, as JSON. Infinity becomes null, and money a number.

    words   language and units of the messages

    Raises TypeError for a result without a line in KEYS.
    """
    return _dumps(value, _writers_in(words))


def plain(value: Any, words: Words = PLAIN) -> Any:
    """A result as plain Python data: dicts, lists, strings and numbers."""
    return orjson.loads(json_of(value, words))


def json_lines(sections: Iterable[tuple[str, Any]], words: Words = PLAIN) -> Iterator[bytes]:
    """Yield the JSON of a document by sections, one line per row of a list: the same bytes for the same estimate.

    It is yielded in chunks of about a megabyte. A section may be an iterator, so that its rows are not all in memory.
    """
    parts, size = list[bytes](), 0
    for text in _texts(sections, words):
        parts.append(text)
        size += len(text)
        if size > PART_BYTES:
            yield b"".join(parts)
            parts, size = [], 0
    yield b"".join(parts)


PART_BYTES = 1_000_000


def _texts(sections: Iterable[tuple[str, Any]], words: Words) -> Iterator[bytes]:
    before = b"{\n"
    for key, value in sections:
        yield before + json_of(key) + b": "
        yield from _rows(value, words) if isinstance(value, list | tuple | Iterator) else (json_of(value, words),)
        before = b",\n"
    yield b"\n}\n"


def _rows(rows: Iterable[Any], words: Words) -> Iterator[bytes]:
    before = b"[\n"
    for row in rows:
        yield before
        yield json_of(row, words)
        before = b",\n"
    yield b"[]" if before == b"[\n" else b"\n]"


class _Writers(dict[type, Derived]):
    """Functions by type that convert values that JSON cannot represent, one level at a time.

    The function of a type is made when the type is first met.

    words   language and units of the messages, each of which is formatted once
    """

    def __init__(self, words: Words) -> None:
        super().__init__({Message: lru_cache(maxsize=4096)(words.text), PeakBand: _peaks, Decimal: float})

    def __missing__(self, kind: type) -> Derived:
        self[kind] = writer = _reader(kind) if kind in KEYS else _by_nature(kind)
        if kind in KEPT:
            self[kind] = writer = self._kept(writer)
        return writer

    def part(self, value: Any) -> Any:
        """Convert a value that JSON cannot represent; the callback of orjson."""
        return self[type(value)](value)

    def _kept(self, read: Derived) -> Derived:
        """A writer that keeps the text of a result from its second use on.

        Pieces of one make share these results, and so does a job that is estimated again.
        """
        texts: dict[int, tuple[Any, orjson.Fragment | None]] = {}

        def write(result: Any) -> Any:
            known = texts.get(id(result))
            if known is None:
                if len(texts) >= MOST_KEPT:
                    texts.clear()
                texts[id(result)] = result, None
                return read(result)
            if known[1] is None:
                known = texts[id(result)] = result, orjson.Fragment(_dumps(read(result), self))
            return known[1]

        return write


KEPT, MOST_KEPT = (Handling, Weight), 400


@cache
def _writers_in(words: Words) -> _Writers:
    return _Writers(words)


def _dumps(value: Any, writers: _Writers) -> bytes:
    return orjson.dumps(value, writers.part, orjson.OPT_PASSTHROUGH_DATACLASS | orjson.OPT_SERIALIZE_NUMPY)


def _peaks(band: PeakBand) -> Document:
    sides = (("low", band.low_c), ("nominal", band.nominal_c), ("high", band.high_c))
    return {side: OVER_THE_LIMIT if celsius is None else celsius for side, celsius in sides}


def _by_nature(kind: type) -> Derived:
    """Writer for mappings and collections other than dict and list. Raises TypeError for anything else."""
    if issubclass(kind, Mapping):
        return lambda value: {str(key): item for key, item in value.items()}
    if issubclass(kind, Iterable):
        return list
    raise TypeError(f"{kind.__name__} has no line in KEYS.")


def table(result: Any) -> Document:
    """A result as a dict by its line of KEYS, with its parts unconverted."""
    kind: type = type(result)
    document: Document = _reader(kind)(result)
    return document


@cache
def _reader(kind: type) -> Derived:
    """Function that reads a result by its line of KEYS.

    It is generated as one dict display, for speed: a path becomes attribute access, a derived value a function call.
    """
    derived, names, items = DERIVED.get(kind, {}), dict[str, Any](), []
    for number, (key, path) in enumerate(PATHS[kind]):
        read = f"result.{path}"
        if key in derived or "?" in path:
            names[f"step_{number}"] = derived[key] if key in derived else _or_nothing(path)
            read = f"step_{number}(result)"
        items.append(f"{key!r}: {read}")
    exec(f"def read(result):\n return {{{', '.join(items)}}}", names)
    reader: Derived = names["read"]
    return reader


def _or_nothing(path: str) -> Derived:
    return lambda result: attribute(result, path.replace("?", ""))


def attribute(result: Any, path: str) -> Any:
    """The attribute at the end of a dotted path, or None where the path ends early."""
    for name in path.split("."):
        if result is None:
            return None
        result = getattr(result, name)
    return result


def _equation(lift: HandLift) -> Document | None:
    """The lifting equation for one person's share of a lift; None if no crew is planned."""
    index = lift.lifting_index
    return None if index is None else {"rwl_kg": lift.task.rwl_kg, "lifting_index": index, **_factors(lift.task)}


@lru_cache(maxsize=1024)
def _factors(task: HandTask) -> Document:
    """Factors of the lifting equation at both ends, cached because most lifts of a job have the same."""
    return {"origin": table(task.origin), "destination": table(task.destination)}


def _moves(handling: Handling) -> list[Document]:
    attitudes = dict(handling.attitudes)
    return [
        {
            "move": move.name,
            "crew": move.crew,
            "gear": move.gear,
            "attitude": attitudes[move.name],
            "guideline_share": move.lift.guideline_share,
        }
        for move in handling.moves
    ]


def _weakest(cracking: Cracking) -> Document | None:
    """The net section with the smallest section modulus in a flat carry, or None where bending is not checked."""
    beam = cracking.beam
    if beam is None or beam.weakest is None:
        return None
    return {
        "from_end_m": beam.weakest_at_m,
        "width_m": beam.weakest.width_m,
        "modulus_m3": beam.weakest.least_modulus_m3,
        "strips_m": beam.weakest.strips,
    }


def _heat(mix: MixHeat) -> Document:
    """Inputs of the heat model for the thickest section."""
    curve = mix.hydration
    rise = {} if mix.adiabatic_rise_k is None else {"adiabatic_rise_k": mix.adiabatic_rise_k}
    return table(mix) | table(curve) | rise


def pack_count(material: str, pack: str, count: int) -> Document:
    return {"material": material, "pack": pack, "count": count}
