"""Reads one job file, with all that it names, into a frozen Job; collects every fault on the way."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from estimator import job as model
from estimator.errors import Fault, InputError
from estimator.intake import build, merge, moving, references, schema
from estimator.intake.documents import CATALOG_SECTIONS, built_in_catalog, read_toml
from estimator.intake.faults import nearest, validate
from estimator.intake.fields import read_coordinate
from estimator.intake.figures import figure_sections, read_figures
from estimator.intake.handling_schema import SiteTable
from estimator.intake.schedule import read_schedule
from estimator.intake.shapes import Built, build_shape

JOB_SECTIONS = tuple(schema.JobFile.model_fields)
LISTED_SECTIONS = ("piece", "schedule")
Entry = tuple[str, str, schema.PieceTable]  # its file, its place there, the table


@dataclass(frozen=True, slots=True)
class Reading:
    """What a job file came to: the job, of whatever was sound, and every fault of the rest.

    job     None where not even its head could be read
    """

    job: model.Job | None
    faults: tuple[Fault, ...]
    file: str

    def sound(self) -> model.Job:
        """The job. Raises InputError where there is any fault."""
        if self.faults or self.job is None:
            raise InputError(self.faults)
        return self.job


def read_job(path: Path) -> Reading:
    """The job of a job file, over the catalog. Never raises for faulty input: the faults are in the Reading."""
    file, faults = path.name, list[Fault]()
    try:
        raw = read_toml(path)
    except InputError as error:
        return Reading(None, error.faults, file)
    raw = _sections(raw, file, faults)
    head = validate(schema.JobTable, raw.get("job", {}), file, "job", faults)
    base = _catalog(head, path.parent, faults)
    merged = merge.merge_catalogs(base, {key: raw[key] for key in CATALOG_SECTIONS if key in raw})

    material_tables = _materials(merged.get("materials", {}), file, faults)
    kinds = {
        name: str(entry.get("kind")) for name, entry in merged.get("materials", {}).items() if isinstance(entry, dict)
    }
    materials = {name: build.material(name, table) for name, table in material_tables.items()}
    workshop, figures = _workshop(merged.get("workshop", {}), file, faults)
    held_back = 1.0 - figures.get("mixing.water_first", 1.0)
    mixes, warnings = _mixes(raw.get("mixes", {}), base.get("mixes", {}), kinds, materials, held_back, file, faults)
    price = validate(schema.PriceTable, merged.get("price", {}), file, "price", faults)
    site = validate(SiteTable, raw["site"], file, "site", faults) if "site" in raw else None
    entries = list(_entries(raw, path.parent, file, faults))
    references.check_marks(
        [*_marks(raw), *(table.mark for source, _, table in entries if source != file)], file, faults
    )
    known_mixes = {*_names(raw.get("mixes")), *_names(base.get("mixes"))}
    job_mix = head.mix if head else _text(raw.get("job", {}).get("mix"))
    if isinstance(job_mix, str) and job_mix not in known_mixes:
        faults.append(Fault(file, "job, mix", f'there is no mix "{job_mix}".', nearest(job_mix, known_mixes)))
    pieces = []
    for source, place, table in entries:
        references.check_piece(place, table, job_mix, known_mixes, source, faults)
        layered = table.layers is not None and len(table.layers) > 1
        built = build_shape(table.shape, path.parent, source, place, faults, layered=layered)
        if built is not None:
            warnings += [f"{source}: {place}: {remark}" for remark in built.remarks]
            pieces.append(_piece(source, place, table, built, job_mix))
    pieces = [piece for piece in pieces if all(layer.mix in mixes for layer in piece.layers)]
    stock = _stock(raw.get("stock", {}), kinds, file, faults)
    if head is None or workshop is None or price is None:
        return Reading(None, tuple(faults), file)
    used = {layer.mix for piece in pieces for layer in piece.layers}
    warnings += [
        f"stock of {name} is not used by any mix of the job." for name in stock if not _uses(name, used, mixes)
    ]
    return Reading(
        model.Job(
            file=file,
            name=head.name,
            units=head.units,
            currency=head.currency,
            date=head.date,
            status=head.status,
            waste=head.waste,
            pieces=tuple(pieces),
            mixes=mixes,
            materials=materials,
            workshop=build.workshop(workshop, figures),
            price=build.price(price, figures),
            stock_kg=stock,
            site=moving.site(site),
            warnings=tuple(warnings),
        ),
        tuple(faults),
        file,
    )


def _sections(raw: merge.Raw, file: str, faults: list[Fault]) -> merge.Raw:
    """The known sections that are tables, or lists of tables, as they should be."""
    sections = {}
    for name, value in raw.items():
        listed = name in LISTED_SECTIONS
        if name not in JOB_SECTIONS:
            faults.append(Fault(file, name, "this key is not known.", nearest(name, JOB_SECTIONS)))
        elif not isinstance(value, list if listed else dict):
            brackets = f"[[{name}]]" if listed else f"[{name}]"
            faults.append(
                Fault(file, name, f"is not written as {brackets}.", f"Write {brackets} on a line of its own.")
            )
        else:
            sections[name] = value
    return sections


def _text(value: Any) -> str | None:
    return value if isinstance(value, str) else None


def _marks(raw: merge.Raw) -> list[str]:
    """The marks that the job file writes, of faulty pieces too."""
    marks = [each.get("mark") for each in raw.get("piece", []) if isinstance(each, dict)]
    return [mark for mark in marks if isinstance(mark, str)]


def _names(tables: Any) -> set[str]:
    return set(tables) if isinstance(tables, dict) else set()


def _uses(material: str, used: set[str], mixes: dict[str, model.Mix]) -> bool:
    parts = ("cementitious", "aggregate", "admixtures", "polymer", "pigment", "fibre")
    return any(material in getattr(mixes[name], part) for name in used if name in mixes for part in parts)


def _catalog(head: schema.JobTable | None, folder: Path, faults: list[Fault]) -> merge.Raw:
    """The built-in catalog under the workshop's own files."""
    catalog = built_in_catalog()
    named = (head.catalog if head else None) or []
    for name in [named] if isinstance(named, str) else named:
        try:
            own = read_toml(folder / name, name)
        except InputError as error:
            faults.extend(error.faults)
            continue
        for section in own:
            if section not in CATALOG_SECTIONS:
                faults.append(Fault(name, section, "this key is not known.", nearest(section, CATALOG_SECTIONS)))
        catalog = merge.merge_catalogs(catalog, own)
    return catalog


def _materials(raw: Any, file: str, faults: list[Fault]) -> dict[str, schema.MaterialTable]:
    tables = {}
    for name, entry in raw.items():
        table = validate(schema.MaterialTable, entry, file, f"material {name}", faults)
        if table is not None:
            tables[name] = table
    return tables


def _workshop(raw: merge.Raw, file: str, faults: list[Fault]) -> tuple[schema.WorkshopTable | None, dict[str, float]]:
    """The typed part of the workshop's table, and its plain figures by section."""
    catalog = built_in_catalog()
    sections = figure_sections(catalog)
    known = [*schema.WorkshopTable.model_fields, *sections]
    for key in raw:
        if key not in known:
            faults.append(Fault(file, f"workshop.{key}", "this key is not known.", nearest(key, known)))
    typed = {key: value for key, value in raw.items() if key in schema.WorkshopTable.model_fields}
    table = validate(schema.WorkshopTable, typed, file, "workshop", faults)
    return table, read_figures(raw, catalog, file, faults)


def _mixes(
    own: Any,
    catalog: merge.Raw,
    kinds: dict[str, str],
    materials: dict[str, model.Material],
    held_back: float,
    file: str,
    faults: list[Fault],
) -> tuple[dict[str, model.Mix], list[str]]:
    mixes, warnings = {}, []
    for name in {**catalog, **own}:
        raw = merge.based(name, own, catalog, file, faults)
        if isinstance(raw, dict):
            references.check_mix(name, raw, kinds, file, faults)
        table = validate(schema.MixTable, raw, file, f"mix {name}", faults) if raw is not None else None
        if table is None:
            continue
        mixes[name] = build.mix(name, table, materials, held_back)
        if table.air is None:
            warnings.append(f"mix {name} gives no air: {build.UNSTATED_AIR:.0%} is assumed, as poured.")
    return mixes, warnings


def _entries(raw: merge.Raw, folder: Path, file: str, faults: list[Fault]) -> Iterator[Entry]:
    """Every piece of the job file and of its schedules, with its place."""
    count = 0
    for i, entry in enumerate(raw.get("piece", [])):
        count += 1
        mark = entry.get("mark") if isinstance(entry, dict) else None
        place = f"piece {mark}" if isinstance(mark, str) else f"piece {i + 1}"
        table = validate(schema.PieceTable, entry, file, place, faults)
        if table is not None:
            yield file, place, table
    for i, entry in enumerate(raw.get("schedule", [])):
        named = validate(schema.ScheduleTable, entry, file, f"schedule {i + 1}", faults)
        if named is not None:
            rows = read_schedule(folder, named, file, f"schedule {i + 1}", faults)
            count += max(1, len(rows))
            yield from ((named.file, where, piece) for where, piece in rows)
    if count == 0:
        faults.append(Fault(file, "piece", "the job has no piece.", "Add at least one [[piece]] or [[schedule]]."))


def _piece(source: str, place: str, table: schema.PieceTable, built: Built, job_mix: str | None) -> model.Piece:
    if table.layers is not None:
        layers = tuple(model.Layer(each.mix, each.thickness, each.method, each.waste) for each in table.layers)
    else:
        layers = (model.Layer(table.mix or job_mix or "", None, "pour", None),)
    return model.Piece(
        mark=table.mark,
        quantity=table.quantity,
        use=table.use,
        forms=table.forms,
        pour=table.pour,
        risk=table.risk,
        install=table.install,
        waste=table.waste,
        shape=built.shape,
        nominal_thickness_m=built.nominal_thickness_m,
        layers=layers,
        faces=table.form_faces,
        inserts=tuple(model.Insert(each.name, each.mass, each.displaces, _at(each)) for each in table.inserts),
        file=source,
        place=place,
        handling=moving.handling(table.handling),
        in_place=moving.in_place(table.in_place),
        allowed=frozenset(table.allowed),
    )


def _at(insert: schema.InsertTable) -> model.Vector | None:
    if insert.at is None:
        return None
    x, y, z = (read_coordinate(value, insert.unit) for value in insert.at)
    return x, y, z


def _stock(raw: Any, kinds: dict[str, str], file: str, faults: list[Fault]) -> dict[str, float]:
    table = validate(schema.StockTable, {"stock": raw}, file, "", faults)
    if table is None:
        return {}
    for name in table.stock:
        if name not in kinds:
            faults.append(Fault(file, f"stock.{name}", "there is no such material.", nearest(name, kinds)))
    return dict(table.stock)
