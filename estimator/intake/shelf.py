"""Materials and mixes of the catalog and the job file, read before any piece."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import field, replace
from pathlib import Path
from typing import Any

from estimator import job
from estimator import job as model
from estimator.constants import DAY_S
from estimator.disk import refusal
from estimator.errors import Fault, FaultError
from estimator.intake import build, checks, documents
from estimator.intake.corrections import Correction, correct_material, correct_mix, read_corrections
from estimator.intake.documents import Raw
from estimator.intake.faults import validate
from estimator.intake.material_tables import (
    AGGREGATES,
    PART_FORMS,
    WATER,
    BucketTable,
    CouponTable,
    MaterialTable,
    MixTable,
)
from estimator.intake.schedule import read_rows
from estimator.keys import VolumeDose
from estimator.memo import remembered
from estimator.mix.limits import usual_air
from estimator.mix.proportions import (
    LEAST_MEASURE_M3,
    aggregate_that_fills_kg,
    bulk_densities_kg_m3,
    dose_of_volume,
    mix_from_mass_per_volume,
    mix_from_masses,
    mix_from_volume_parts,
    share_of_sand_ratio,
)
from estimator.mix.replacement import mix_with_beads, swap_pair
from estimator.names import first_spellings, nearest
from estimator.notices import Notice
from estimator.records import CouponRecord, Record, Records, records_path
from estimator.store.records import records_of
from estimator.units import Units
from geometry.files import named_file
from geometry.frozen import frozen
from geometry.message import Message, message

UNSTATED_AIR = 0.04  # poured; common practice is 3 to 4 %


def build_mix(
    name: str, table: MixTable, materials: Mapping[str, job.Material], held_back: float, water_density_kg_m3: float
) -> job.Mix:
    """Mix of a table, with its reference sand resolved and its sand replaced if the table says so.

    held_back            share of the water kept for the second addition, if the mix does not give it
    water_density_kg_m3  water density of the job

    Raises FaultError if the masses or parts do not make a mix.
    """
    mix = replace(
        _FORMS[table.form](name, table, materials, water_density_kg_m3),
        name=name,
        waste=table.waste,
        water_held_back=held_back if table.water_held_back is None else table.water_held_back,
        consistency=table.consistency or "",
        colour_group=table.colour_group or "",
        title=table.title or "",
        first_crack_strength_pa=table.first_crack_strength,
    )
    if table.replacement is None:
        return _with_usual_air(mix, table, materials)
    swap = table.replacement
    sand, bead = swap_pair(mix, materials, swap.sand, swap.bead)
    # The strength given with a replacement is that of the mix with beads.
    with_beads = mix_with_beads(mix, materials, sand, bead, swap.share, swap.by)
    return _with_usual_air(replace(with_beads, first_crack_strength_pa=table.first_crack_strength), table, materials)


def with_coupons(mix: job.Mix, tables: Sequence[CouponTable]) -> job.Mix:
    """Mix with its coupons, and the first-crack strength to count on at the latest age tested."""
    from estimator.strength import Coupon, first_crack_to_count_on, flexural_strengths

    if not tables:
        return mix
    pours = first_spellings(table.pour for table in tables)
    coupons = tuple(
        Coupon(
            pour=pours[table.pour],
            age_d=table.age / DAY_S,
            face_up=table.face == "up",
            span_m=table.span,
            width_m=table.width,
            depth_m=table.depth,
            peak_load_n=table.peak,
            limit_load_n=table.limit,
        )
        for table in tables
    )
    sets: dict[tuple[str, float], int] = {}
    for coupon in coupons:
        sets[coupon.pour, coupon.age_d] = sets.get((coupon.pour, coupon.age_d), 0) + 1
    strengths = flexural_strengths([coupon for coupon in coupons if sets[coupon.pour, coupon.age_d] > 1])
    ages_d = [strength.age_d for strength in strengths if (strength.design_pa or 0.0) > 0.0]
    age_d = max(ages_d, default=None)
    strength_pa = None if age_d is None else first_crack_to_count_on(strengths, age_d)
    return replace(mix, coupons=coupons, first_crack_strength_pa=strength_pa, first_crack_age_d=age_d)


def _by_share(name: str, table: MixTable, materials: Mapping[str, job.Material], water_kg_m3: float) -> job.Mix:
    ratio = table.sand_cementitious
    sands = [name for name in table.aggregate if name in materials and materials[name].kind == "sand"]
    return job.Mix(
        name=name,
        cementitious_share=(table.cementitious_share or 0.0) if ratio is None else share_of_sand_ratio(ratio),
        cementitious=dict(table.cementitious),
        aggregate=dict(table.aggregate),
        reference_sand=table.reference_sand or (sands[0] if len(sands) == 1 else None),
        water_cementitious=table.water_cementitious or 0.0,
        air=_air(table),
        admixtures=_doses(table, materials),
        polymer=dict(table.polymer),
        pigment=dict(table.pigment),
        fibre=dict(table.fibre),
        fibre_basis=table.fibre_basis,
        water_density_kg_m3=water_kg_m3,
        written_as="share" if ratio is None else "sand-ratio",
    )


def _doses(table: MixTable, materials: Mapping[str, job.Material]) -> dict[str, float]:
    """Dosages of the admixtures by mass; dosages by volume are converted with the density of the product."""
    doses = {}
    for name, dose in table.admixtures.items():
        if not isinstance(dose, VolumeDose):
            doses[name] = dose
        elif name in materials:
            doses[name] = dose_of_volume(dose.m3_kg, 1.0, materials[name])
    return doses


def _by_masses(name: str, table: MixTable, materials: Mapping[str, job.Material], water_kg_m3: float) -> job.Mix:
    mix = mix_from_masses(
        name,
        table.masses or {},
        materials,
        air=_air(table),
        reference_sand=table.reference_sand,
        fibre_basis=table.fibre_basis,
        water_density_kg_m3=water_kg_m3,
    )
    return replace(mix, written_as="masses")


def _by_mass_per_volume(
    name: str, table: MixTable, materials: Mapping[str, job.Material], water_kg_m3: float
) -> job.Mix:
    written = table.mass_per_volume or {}
    weighed_kg = {material: mass for material, mass in written.items() if not isinstance(mass, str)}
    for filler in written.keys() - weighed_kg.keys():
        if materials[filler].kind not in AGGREGATES:
            raise FaultError(f"mass_per_volume.{filler}", message("mix-filler-kind", name=filler))
        weighed_kg[filler] = aggregate_that_fills_kg(
            filler, weighed_kg, materials, air=_air(table), water_density_kg_m3=water_kg_m3
        )
    mix = mix_from_mass_per_volume(
        name,
        weighed_kg,
        1.0,
        materials,
        reference_sand=table.reference_sand,
        fibre_basis=table.fibre_basis,
        water_density_kg_m3=water_kg_m3,
    )
    return replace(mix, written_as="mass-per-volume")


def _by_parts(name: str, table: MixTable, materials: Mapping[str, job.Material], water_kg_m3: float) -> job.Mix:
    """Mix from volume parts; separate dosages are relative to the cementitious in the parts."""
    mix = mix_from_volume_parts(
        name,
        table.volume_parts or {},
        materials,
        air=_air(table),
        water_cementitious=table.water_cementitious,
        reference_sand=table.reference_sand,
        water_density_kg_m3=water_kg_m3,
    )
    liquids = [name for name in (*table.admixtures, *table.polymer) if materials[name].solids < 1.0]
    if liquids and WATER in (table.volume_parts or {}):
        raise FaultError("volume_parts.water", message("mix-parts-liquid", name=liquids[0]))
    if mix.fibre and table.fibre:
        raise FaultError("fibre", message("mix-fiber-twice"))
    return replace(
        mix,
        admixtures={**mix.admixtures, **_doses(table, materials)},
        polymer={**mix.polymer, **table.polymer},
        pigment={**mix.pigment, **table.pigment},
        fibre={**mix.fibre, **table.fibre},
        fibre_basis=table.fibre_basis if table.fibre else "counted-dry",
        written_as="volume-parts",
    )


def _with_usual_air(mix: job.Mix, table: MixTable, materials: Mapping[str, job.Material]) -> job.Mix:
    """Mix with the usual air of its light aggregate, if it has an air entrainer and no stated air."""
    if table.air is not None or table.mass_per_volume is not None:
        return mix
    band = usual_air(mix, materials, UNSTATED_AIR)
    return mix if band is None else replace(mix, air=0.5 * sum(band), air_band=band)


def _air(table: MixTable) -> float:
    return UNSTATED_AIR if table.air is None else table.air


_FORMS: Mapping[str, Callable[[str, MixTable, Mapping[str, job.Material], float], job.Mix]] = {
    "cementitious_share": _by_share,
    "sand_cementitious": _by_share,
    "masses": _by_masses,
    "mass_per_volume": _by_mass_per_volume,
    "volume_parts": _by_parts,
}


@frozen
class Shelf:
    """Valid materials and mixes by name; `kinds` and `mix_names` include the invalid ones."""

    materials: Mapping[str, model.Material]
    kinds: Mapping[str, str]
    mixes: Mapping[str, model.Mix]
    mix_names: frozenset[str]
    warnings: tuple[Notice, ...]


@frozen
class Beside:
    """Content of files beside a job: corrected figures, tested coupons, and warnings about unreadable parts."""

    corrections: tuple[Correction, ...] = ()
    coupons: Mapping[str, list[CouponTable]] = field(default_factory=dict)  # by mix
    weighed: frozenset[str] = frozenset()  # mixes whose density was weighed
    torn: tuple[Message, ...] = ()
    faults: tuple[Fault, ...] = ()


RECORDS_READ = ("bucket", "coupon")
"""Kinds of record that an estimate depends on."""


def read_beside(job_path: Path) -> Beside:
    """Corrections and records beside a job file."""
    faults: list[Fault] = []
    corrections = read_corrections(job_path, faults)
    file = records_path(job_path).name
    try:
        records = records_of(job_path)
    except OSError as error:
        faults.append(Fault(file, "", message("file-not-read", reason=refusal(error))))
        records = Records((), ())
    coupons = recorded_coupons(records, file, faults)
    return Beside(tuple(corrections), coupons, _weighed(records), records.torn, tuple(faults))


def _weighed(records: Records) -> frozenset[str]:
    """Mixes weighed in a large enough measure."""
    return frozenset(
        str(bucket.values.get("mix"))
        for bucket in records.of("bucket")
        if isinstance(size := bucket.values.get("container_m3"), int | float) and size >= LEAST_MEASURE_M3
    )


def read_shelf(
    merged: Raw,
    own_mixes: Raw,
    base_mixes: Raw,
    *,
    units: Units,
    held_back: float,
    folder: Path,
    file: str,
    beside: Beside,
    faults: list[Fault],
) -> Shelf:
    """Materials and mixes from tables, with every fault added to `faults`.

    merged      job merged over the catalog
    own_mixes   mixes of the job
    base_mixes  mixes of the catalog, which those of the job may be based on
    units       units of the job: packs for the other system are not bought
    held_back   share of the water kept for the second addition, if a mix does not give it
    folder      folder of coupon files
    beside      corrected figures, which replace those in the file with a warning, and coupons, which are added
    """
    warnings = [Notice("record-torn", text) for text in beside.torn]
    raw = _by_bucket(merged, file, faults)
    water_kg_m3 = build.water_density(_water(raw))
    for correction in beside.corrections:
        if correction.material:
            warnings += correct_material(raw, correction, water_kg_m3)
    kinds = {name: str(entry.get("kind")) for name, entry in raw.items() if isinstance(entry, dict)}
    materials, own_faults = _materials(raw, water_kg_m3, units, file)
    faults += own_faults
    written, notices, own_faults = _written(own_mixes, base_mixes, kinds, materials, held_back, water_kg_m3, file)
    warnings += notices
    faults += own_faults
    mixes = {}
    known: set[Message] = set()
    for name, (mix, table) in written.items():
        unread: list[Fault] = []
        coupons = _coupons(name, table, folder, file, unread)
        faults += _own_faults(unread, name in own_mixes, known)
        tested = with_coupons(mix, [*coupons, *beside.coupons.get(name, [])])
        for correction in beside.corrections:
            if correction.mix == name:
                tested, notes = correct_mix(tested, correction)
                warnings += notes
        if name in beside.weighed or any(correction.mix == name for correction in beside.corrections):
            tested = replace(tested, density_weighed=True)
        mixes[name] = tested
    groups = first_spellings(mix.colour_group for mix in mixes.values())
    mixes = {name: replace(mix, colour_group=groups[mix.colour_group]) for name, mix in mixes.items()}
    names = {**base_mixes, **own_mixes}
    in_order = {name: mixes[name] for name in names if name in mixes}
    return Shelf(materials, kinds, in_order, frozenset(names), tuple(warnings))


@remembered(8)
def _materials(
    raw: Raw, water_kg_m3: float, units: Units, file: str
) -> tuple[dict[str, model.Material], tuple[Fault, ...]]:
    """Materials from their tables, and their faults."""
    faults: list[Fault] = []
    known = [name for name, entry in raw.items() if isinstance(entry, dict) and "kind" in entry]
    tables: dict[str, MaterialTable | None] = {}
    for name, entry in raw.items():
        near = nearest(name, known) if isinstance(entry, dict) and name not in known else None
        if near is not None and near.id == "did-you-mean":
            faults.append(Fault(file, f"material {name}", message("material-perhaps-misspelled", nearest=near)))
        else:
            tables[name] = validate(MaterialTable, entry, file, f"material {name}", faults)
    sound = {name: table for name, table in tables.items() if table is not None}
    materials = {name: build.material(name, table, water_kg_m3, units) for name, table in sound.items()}
    return materials, tuple(faults)


@remembered(8)
def _written(
    own: Raw,
    base: Raw,
    kinds: Mapping[str, str],
    materials: Mapping[str, model.Material],
    held_back: float,
    water_kg_m3: float,
    file: str,
) -> tuple[dict[str, tuple[model.Mix, MixTable]], tuple[Notice, ...], tuple[Fault, ...]]:
    """Mixes as written, each with its table; and their warnings and faults."""
    mixes: dict[str, tuple[model.Mix, MixTable]] = {}
    warnings: list[Notice] = []
    faults: list[Fault] = []
    known: set[Message] = set()
    for name in {**own, **base}:
        own_faults: list[Fault] = []
        mix = _mix(name, own, base, kinds, materials, held_back, water_kg_m3, file, warnings, own_faults)
        faults += _own_faults(own_faults, name in own, known)
        if mix is not None:
            mixes[name] = mix
    return mixes, tuple(warnings), tuple(faults)


def _own_faults(faults: Sequence[Fault], written_here: bool, known: set[Message]) -> list[Fault]:
    """Faults of a mix, without those that a catalog mix inherits from a mix of the job, which are already reported.

    known   messages of the earlier mixes, to which those of this mix are added
    """
    own = [fault for fault in faults if written_here or fault.message not in known]
    known |= {fault.message for fault in faults}
    return own


def _by_bucket(merged: Raw, file: str, faults: list[Fault]) -> Raw:
    """Tables of the materials, with bulk densities from the shop's own bucket if it was weighed."""
    tables = merged.get("materials", {})
    raw = {name: dict(entry) if isinstance(entry, dict) else entry for name, entry in tables.items()}
    if "bucket" not in merged:
        return raw
    table = validate(BucketTable, merged["bucket"], file, "bucket", faults)
    if table is None:
        return raw
    unknown = [name for name in table.fills if name not in raw]
    faults += [
        Fault(file, f"bucket, fills.{name}", message("material-none", nearest=nearest(name, raw))) for name in unknown
    ]
    reference_kg_m3 = None
    if table.reference is not None and table.reference in raw:
        known = validate(MaterialTable, raw[table.reference], file, f"material {table.reference}", [])
        reference_kg_m3 = None if known is None else known.bulk_density
        if reference_kg_m3 is None:
            faults.append(
                Fault(file, "bucket, reference", message("bucket-reference-no-density", name=table.reference))
            )
    if unknown or (table.volume is None and reference_kg_m3 is None):
        return raw
    bucket_m3 = table.volume or table.fills[table.reference or ""] / (reference_kg_m3 or 1.0)
    for name, bulk_kg_m3 in bulk_densities_kg_m3(table.fills, bucket_m3).items():
        if isinstance(raw[name], dict) and name != table.reference:
            raw[name]["bulk_density"] = f"{bulk_kg_m3:.12f} kg/m^3"
    return raw


def _mix(
    name: str,
    own: Raw,
    base: Raw,
    kinds: Mapping[str, str],
    materials: Mapping[str, model.Material],
    held_back: float,
    water_kg_m3: float,
    file: str,
    warnings: list[Notice],
    faults: list[Fault],
) -> tuple[model.Mix, MixTable] | None:
    raw = documents.based(name, own, base, file, faults)
    if raw is None:
        return None
    before = len(faults)
    if isinstance(raw, dict):
        checks.check_mix(name, raw, kinds, file, faults)
    table = validate(MixTable, raw, file, f"mix {name}", faults)
    if table is None:
        return None
    if len(faults) > before and (table.form in PART_FORMS or table.replacement is not None):
        return None
    if any(material in kinds and material not in materials for material in _materials_of(table)):
        return None  # the fault is reported with the material
    try:
        mix = build_mix(name, table, materials, held_back, water_kg_m3)
    except FaultError as error:
        faults.append(Fault(file, f"mix {name}, {error.key}", error.message))
        return None
    if table.air is None and table.mass_per_volume is None:
        warnings.append(Notice("air-assumed", _air_assumed(mix)))
    return mix, table


def _air_assumed(mix: model.Mix) -> Message:
    air = round(mix.air, 2)
    if mix.air_band is None:
        return message("warning-air-assumed", mix=mix.name, air_share=air)
    low, high = mix.air_band
    return message("warning-air-entrained", mix=mix.name, air_share=air, low_share=low, high_share=high)


def _water(raw: Raw) -> dict[str, MaterialTable]:
    """Table of the mix water if it is valid; its faults are reported with the other materials."""
    table = validate(MaterialTable, raw["water"], "", "", []) if "water" in raw else None
    return {} if table is None else {"water": table}


def _materials_of(table: MixTable) -> set[str]:
    keys = ("masses", "mass_per_volume", "volume_parts", "cementitious", "aggregate", "admixtures", "polymer")
    named = [name for key in (*keys, "pigment", "fibre") for name in getattr(table, key) or ()]
    swap = table.replacement
    return {*named, table.reference_sand or "", *((swap.sand or "", swap.bead or "") if swap else ())}


def _coupons(name: str, table: MixTable, folder: Path, file: str, faults: list[Fault]) -> list[CouponTable]:
    """Coupons of a mix: its own rows, or the rows of its file that belong to it."""
    if not isinstance(table.coupons, str):
        return list(table.coupons or ())
    at = (file, f"mix {name}, coupons")
    try:
        path = named_file(folder, table.coupons)
    except FaultError as error:
        faults.append(Fault(*at, error.message))
        return []
    return read_coupons(path, table.coupons, name, at, faults)


def read_coupons(
    path: Path, label: str, mix: str | None, at: tuple[str, str], faults: list[Fault]
) -> list[CouponTable]:
    """Coupons of a CSV or XLSX file: rows of `mix` and rows that name no mix, or every row if no mix is given.

    label   name of the file in messages
    at      file and place that name it
    """
    if not path.is_file():
        faults.append(Fault(*at, message("file-none", name=label)))
        return []
    try:
        rows = read_rows(path)
    except FaultError as error:
        faults.append(Fault(label, "", error.message))
        return []
    coupons = []
    for number, cells in rows:
        coupon = validate(CouponTable, cells, label, f"row {number}", faults)
        if coupon is not None and (mix is None or coupon.mix in (None, mix)):
            coupons.append(coupon)
    if not coupons and not any(fault.file == label for fault in faults):
        faults.append(Fault(label, "", message("coupons-none", mix=mix) if mix else message("coupons-none-at-all")))
    return coupons


def recorded_coupons(records: Records, file: str, faults: list[Fault]) -> dict[str, list[CouponTable]]:
    """Coupons recorded beside a job, by mix."""
    by_mix: dict[str, list[CouponTable]] = {}
    for number, record in enumerate(records.of("coupon"), start=1):
        table = validate(CouponTable, _as_text(record), file, f"coupon {number}", faults)
        if table is not None and table.mix is not None:
            by_mix.setdefault(table.mix, []).append(table)
    return by_mix


def _as_text(record: Record) -> dict[str, Any]:
    """Stored coupon in the form of the job file."""
    units = {"d": "days", "m": "m", "n": "N"}
    cells: dict[str, Any] = {}
    for name, value in record.values.items():
        stem, _, unit = name.rpartition("_")
        if CouponRecord.UNITS.get(stem) == unit and isinstance(value, int | float):
            cells[stem] = f"{value:.12f} {units[unit]}"
        else:
            cells[name] = value
    return cells
