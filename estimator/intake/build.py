"""Converts tables of the job file to values of the job: shop and settings, materials, suppliers, stock, terms."""

import struct
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import astuple, fields, replace
from datetime import date
from io import BytesIO
from pathlib import Path
from typing import Any, cast

from estimator import job, supplies
from estimator import job as model
from estimator.cement import CementAnalysis
from estimator.constants import WATER_DENSITY_KG_M3
from estimator.errors import Fault, FaultError, InputError
from estimator.intake.documents import Raw, read_named
from estimator.intake.faults import as_typed, validate
from estimator.intake.material_tables import MaterialTable, PackTable
from estimator.intake.tables import PieceTable, WorkshopTable
from estimator.intake.term_tables import (
    MEASURES,
    BusinessTable,
    LotsTable,
    PieceConsumableTable,
    ReserveTable,
    SamplesTable,
    StockLotTable,
    StockTable,
)
from estimator.job import RoomCure
from estimator.memo import remembered
from estimator.names import american, nearest, quoted, same_name
from estimator.notices import Notice
from estimator.units import Kind, Units, read_quantity, read_ratio
from estimator.workshop import BARE, SECTIONS, QuoteSettings, Setting, Settings, settings_from, settings_of, value_of
from geometry.files import named_file, read_bytes
from geometry.frozen import frozen
from geometry.message import Message, message


def figure_sections(catalog: dict[str, Any]) -> dict[str, dict[str, Any]]:
    """Catalog default of every setting, by section and key."""
    return {
        section: {key: catalog["workshop"][section][key] for _, key, _ in settings_of(kind)}
        for section, kind in SECTIONS.items()
    }


def read_settings(merged: dict[str, Any], catalog: dict[str, Any], file: str, faults: list[Fault]) -> Settings:
    """Every setting in SI, with the catalog default for an invalid one, so that later checks find the other faults too.

    merged    workshop table merged over the catalog
    catalog   built-in catalog with all defaults
    """
    own = {section: merged.get(section, {}) for section in SECTIONS}
    settings, own_faults = _settings(own, catalog, file)
    faults += own_faults
    return settings


@remembered(8)
def _settings(own: dict[str, Any], catalog: dict[str, Any], file: str) -> tuple[Settings, tuple[Fault, ...]]:
    """Settings and their faults."""
    defaults = figure_sections(catalog)
    figures: dict[str, float] = {}
    faults: list[Fault] = []
    for section, kind in SECTIONS.items():
        settings, given = {key: setting for _, key, setting in settings_of(kind)}, own[section]
        if not isinstance(given, dict):
            faults.append(Fault(file, f"workshop.{section}", message("section-not-table", name=f"workshop.{section}")))
            given = {}
        for key in given:
            if key not in settings and not isinstance(catalog["workshop"][section].get(key), list):
                problem = message("key-unknown", nearest=nearest(key, settings))
                faults.append(Fault(file, f"workshop.{section}.{key}", problem))
        for key, setting in settings.items():
            default = defaults[section][key]
            try:
                figure = _checked(given.get(key, default), setting, default)
            except FaultError as error:
                faults.append(Fault(file, f"workshop.{section}.{key}", error.message))
                figure = _read(default, setting, default)
            figures[f"{section}.{key}"] = figure
    return settings_from(figures), tuple(faults)


def _checked(value: Any, setting: Setting, example: Any) -> float:
    """`value` in SI, within the range of its setting. Raises FaultError."""
    figure = _read(value, setting, example)
    problem = None if setting.check is None else setting.check(figure)
    if problem is not None:
        raise FaultError("", as_typed(problem, value))
    return figure


def _read(value: Any, setting: Setting, example: Any) -> float:
    """`value` in SI, of the kind of its setting. Raises FaultError."""
    if setting.kind == "share":
        return read_ratio(value)
    if setting.kind not in BARE:
        return read_quantity(value, cast(Kind, setting.kind))
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise FaultError("", message("setting-not-number", value=quoted(value), example=str(example)))
    if not 0.0 <= value < float("inf"):
        raise FaultError("", message("setting-negative", value=str(value), example=str(example)))
    return float(value)


def over_settings(cure: RoomCure | None, shop: Settings, file: str, faults: list[Fault]) -> Settings:
    """Shop settings with the job's own curing conditions over them. Adds a fault if settings contradict each other."""
    if cure is not None:
        own = {
            "room_c": cure.room_c,
            "mix_temperature_c": cure.mix_temperature_c,
            "humidity": cure.humidity,
            "air_speed_m_s": cure.air_speed_m_s,
            "uncovered_s": cure.uncovered_s,
            "tarp_conductance_w_m2_k": cure.tarp_resistance_m2k_w and 1.0 / cure.tarp_resistance_m2k_w,
            "form_conductance_w_m2_k": cure.form_resistance_m2k_w and 1.0 / cure.form_resistance_m2k_w,
        }
        shop = replace(shop, curing=replace(shop.curing, **{k: v for k, v in own.items() if v is not None}))
    if shop.curing.strip_to_s < shop.curing.strip_from_s:
        times = {"from_s": shop.curing.strip_from_s, "to_s": shop.curing.strip_to_s}
        faults.append(Fault(file, "workshop.curing.strip_to", message("setting-strip-order", **times)))
    try:
        CementAnalysis(*astuple(shop.cement))
    except FaultError as error:
        faults.append(Fault(file, "workshop.cement", error.message))
    return shop


@frozen
class Stock:
    """Usable stock: lots of mix materials, and consumables in their measure of use."""

    lots: Mapping[str, tuple[model.StockLot, ...]]
    consumables: Mapping[str, float]
    until: Mapping[str, str]  # last day of use of the lot to use first
    warnings: tuple[Notice, ...]


def with_stock_file(raw: Raw, name: str | None, folder: Path, faults: list[Fault]) -> tuple[Raw, frozenset[str]]:
    """Sections of the job with the stock list of an earlier job merged under its own, and the materials in it."""
    if name is None:
        return raw, frozenset()
    try:
        read = read_named(folder, name)
    except InputError as error:
        faults.extend(error.faults)
        return raw, frozenset()
    for section in read:
        if section != "stock":
            faults.append(Fault(name, section, message("key-unknown", nearest=nearest(section, ["stock"]))))
    entries = read.get("stock", {})
    if validate(StockTable, {"stock": entries}, name, "", faults) is None:
        return raw, frozenset()
    own = raw.get("stock", {})
    return ({**raw, "stock": {**entries, **own}} if isinstance(own, dict) else raw), frozenset(entries)


def stock(raw: Any, kinds: Mapping[str, str], day: str | None, file: str, faults: list[Fault]) -> Stock:
    """Stock on a day. A lot past its last day of use does not count and gets a warning.

    day   first day of the job, ISO; None: unknown, everything counts
    """
    table = validate(StockTable, {"stock": raw}, file, "", faults)
    _check_materials(raw, "stock", kinds, file, faults)
    lots: dict[str, tuple[model.StockLot, ...]] = {}
    used_up: dict[str, float] = {}
    until: dict[str, str] = {}
    warnings: list[Notice] = []
    for name, entry in table.stock.items() if table else ():
        place = f"stock.{name}"
        if name not in kinds:
            continue
        good = _good(place, _lots_of(entry), day, warnings)
        last_days = [lot.keeps_until for lot in good if lot.keeps_until is not None]
        if last_days:
            until[name] = min(last_days)
        measures = {lot.amount[0] for lot in good}
        if kinds[name] == "consumable":
            if len(measures) > 1:
                faults.append(Fault(file, place, message("stock-measures-differ")))
            used_up[name] = sum(lot.amount[1] for lot in good)
        elif measures - {"kg"}:
            faults.append(Fault(file, place, message("stock-not-by-mass")))
        else:
            lots[name] = tuple(model.StockLot(lot.amount[1], lot.lot or "") for lot in good)
    return Stock(lots, used_up, until, tuple(warnings))


def _lots_of(entry: float | StockLotTable | list[StockLotTable]) -> list[StockLotTable]:
    if isinstance(entry, StockLotTable):
        return [entry]
    return entry if isinstance(entry, list) else [StockLotTable(mass=entry)]


def _good(place: str, lots: Sequence[StockLotTable], day: str | None, warnings: list[Notice]) -> list[StockLotTable]:
    good = []
    for lot in lots:
        last = lot.keeps_until
        if last is not None and day is not None and last < day:
            text = message("warning-stock-expired", place=place, last_date=last)
            warnings.append(Notice("stock-expired", text))
            continue
        if last is not None and day is None:
            text = message("warning-stock-undated", place=place, last_date=last)
            warnings.append(Notice("stock-undated", text))
        good.append(lot)
    return good


def lots(raw: Any, kinds: Mapping[str, str], file: str, faults: list[Fault]) -> dict[str, str]:
    """Lot used for the job, by material."""
    table = validate(LotsTable, {"lots": raw}, file, "", faults)
    _check_materials(raw, "lots", kinds, file, faults)
    return dict(table.lots) if table else {}


def reserve(raw: Any, kinds: Mapping[str, str], file: str, faults: list[Fault]) -> dict[str, float]:
    """Reserve to keep in stock, kg by material."""
    table = validate(ReserveTable, {"reserve": raw}, file, "", faults)
    _check_materials(raw, "reserve", kinds, file, faults)
    return dict(table.reserve) if table else {}


def _check_materials(raw: Any, section: str, kinds: Mapping[str, str], file: str, faults: list[Fault]) -> None:
    """Add a fault for each key of a section that is no material, whether its value can be read or not."""
    for name in raw if isinstance(raw, dict) else ():
        if name not in kinds:
            faults.append(Fault(file, f"{section}.{name}", message("material-none", nearest=nearest(name, kinds))))


def suppliers(
    raw: Any, materials: Mapping[str, model.Material], file: str, faults: list[Fault]
) -> dict[str, supplies.Supplier]:
    """Suppliers by name. If the job has any, a supplier named by a pack must be one of them."""
    by_name: dict[str, supplies.Supplier] = {}
    named: set[str] = set()
    for i, entry in enumerate(raw if isinstance(raw, list) else []):
        name = entry.get("name") if isinstance(entry, dict) else None
        place = f"supplier {name or i + 1}"
        table = validate(supplies.Supplier, entry, file, place, faults)
        if same_name(str(name), named) is not None:
            faults.append(Fault(file, f"{place}, name", message("name-used-twice", name=str(name))))
        named.add(str(name))
        if table is not None:
            by_name[table.name] = table
    if named:
        for material in materials.values():
            for pack in material.packs:
                if pack.supplier and pack.supplier not in named:
                    place = f"material {material.name}, packs.{pack.name}.supplier"
                    near = nearest(pack.supplier, named)
                    faults.append(Fault(file, place, message("supplier-unknown", name=pack.supplier, nearest=near)))
    return by_name


def receiving(raw: Any, found: Mapping[str, supplies.Supplier], file: str, faults: list[Fault]) -> supplies.Receiving:
    """Terms of receiving. The zone must be known to every supplier that charges by zone."""
    table = validate(supplies.Receiving, raw, file, "receiving", faults)
    if table is None:
        return supplies.Receiving()
    for supplier in found.values():
        zones = supplier.tariff.zones
        if zones and table.zone not in zones:
            if table.zone:
                near = nearest(table.zone, zones)
                problem = message("zone-unknown", supplier=supplier.name, zone=table.zone, nearest=near)
            else:
                problem = message("zone-missing", supplier=supplier.name, zones=list(zones))
            faults.append(Fault(file, "receiving, zone", problem))
    return table


def samples(
    raw: Any, job_mix: Any, mixes: Iterable[str], shop: Settings, file: str, faults: list[Fault]
) -> supplies.SampleOrder | None:
    """Samples ordered; the count defaults to the shop's."""
    if raw is None:
        return None
    table = validate(SamplesTable, raw, file, "samples", faults)
    if table is None:
        return None
    mix, known = table.mix or job_mix, list(mixes)
    if mix is None:
        faults.append(Fault(file, "samples, mix", message("samples-no-mix")))
        return None
    if mix not in known:
        if table.mix:  # an unknown mix of the job is reported at its own place
            problem = message("mix-unknown", name=str(mix), nearest=nearest(str(mix), known))
            faults.append(Fault(file, "samples, mix", problem))
        return None
    return supplies.SampleOrder(table.count or int(shop.forms.samples), table.price, table.credited, mix)


def taken_by(table: PieceTable) -> tuple[supplies.Taken, ...]:
    """Consumables named by a piece, and the inserts bought with the job."""
    items = [_taken(name, amount) for name, amount in table.consumables.items()]
    for insert in table.inserts:
        if insert.material:
            amount, measure = (insert.displaces_m3, "m3") if insert.displaces_m3 else (1.0, "piece")
            items.append(supplies.Taken(insert.material, amount, cast(supplies.Measure, measure), None))
    return tuple(items)


def _taken(name: str, table: PieceConsumableTable) -> supplies.Taken:
    if table.basis is not None:
        own = supplies.Rate(table.basis, table.coverage, table.coats, table.uses, table.waste)
        return supplies.Taken(name, None, None, own)
    key = next(key for key in MEASURES if getattr(table, key) is not None)
    measure = cast(supplies.Measure, MEASURES[key])
    return supplies.Taken(name, float(getattr(table, key)), measure, None, table.waste)


def check_consumables(
    workshop: WorkshopTable | None,
    pieces: Iterable[model.Piece],
    kinds: Mapping[str, str],
    file: str,
    faults: list[Fault],
) -> None:
    """Add a fault for each consumable that is not a material of the catalog, or is of another kind."""
    named = [(file, f"workshop.consumables.{name}", name) for name in (workshop.consumables if workshop else ())]
    named += [
        (piece.file, f"{piece.place}, consumables.{t.material}", t.material) for piece in pieces for t in piece.takes
    ]
    known = [name for name, kind in kinds.items() if kind == "consumable"]
    for source, place, name in named:
        if name not in kinds:
            faults.append(Fault(source, place, message("material-none", nearest=nearest(name, known))))
        elif kinds[name] != "consumable":
            near = nearest(name, known)
            faults.append(
                Fault(source, place, message("material-not-consumable", kind=american(kinds[name]), nearest=near))
            )


WORKSHOP_PAYMENTS = (
    ("deposit", "deposit", "with the order"),
    ("before_delivery", "progress payment", "before delivery"),
    ("on_install", "balance", "on completion"),
)


def water_density(tables: Mapping[str, MaterialTable]) -> float:
    """Density of the mix water, kg/m³, from the material `water`; the reference of every relative density."""
    water = tables.get("water")
    if water is None:
        return WATER_DENSITY_KG_M3
    return water.density or (water.relative_density or 1.0) * WATER_DENSITY_KG_M3


def material(name: str, table: MaterialTable, water_kg_m3: float, units: Units) -> job.Material:
    """Material with the packs of its system of units, their volumes converted to mass."""
    density = table.density_kg_m3(WATER_DENSITY_KG_M3 if name == "water" else water_kg_m3)
    return job.Material(
        name=name,
        kind=table.kind,
        title=table.title or "",
        density_kg_m3=density,
        bulk_density_kg_m3=table.bulk_density,
        packing=table.packing,
        solids=table.solids,
        moisture=table.moisture,
        absorption=table.absorption,
        dose_low=table.dose.low if table.dose else None,
        dose_high=table.dose.high if table.dose else None,
        packs=tuple(pack(sold, _in_its_pack(table, density)) for sold in table.packs if sold.units in (None, units)),
        special=table.special,
        traits=frozenset(table.traits),
        source=table.source,
        analysis=table.analysis,
        ash_cao=table.cao,
        keeps_s=table.shelf_life,
        usual_air=(table.usual_air.low, table.usual_air.high) if table.usual_air else None,
    )


def _in_its_pack(table: MaterialTable, density_kg_m3: float | None) -> float | None:
    """Density that converts a volume as sold: a liquid's own density, the loose bulk density of a granular material."""
    liquid = table.kind == "water" or table.solids < 1.0
    return density_kg_m3 if liquid or table.bulk_density is None else table.bulk_density


def pack(table: PackTable, density_kg_m3: float | None) -> job.Pack:
    """Pack. If both mass and volume are given, the mass governs."""
    mass_kg = table.mass
    if mass_kg is None and table.volume is not None and density_kg_m3 is not None:
        mass_kg = table.volume * density_kg_m3
    return job.Pack(
        name=table.name,
        mass_kg=mass_kg,
        volume_m3=table.volume,
        quantity=next((amount for amount in (table.area, table.length, table.pieces) if amount is not None), None),
        unit_price=table.price,
        per_pallet=table.per_pallet,
        minimum=table.minimum,
        breaks=tuple(table.breaks),
        breaks_rule=table.breaks_rule,
        supplier=table.supplier,
        item=table.item,
        pallet_price=table.pallet_price,
        dearer_breaks=table.dearer_breaks,
    )


def workshop(table: WorkshopTable, shop: Settings, closed: frozenset[date], units: Units) -> job.Workshop:
    """Shop with the scales and measures of the job's units."""
    tolerance = table.thickness_tolerance
    methods = ("pour", "spray", "brush", "hand")
    return job.Workshop(
        mixer=table.mixer,
        scales=tuple(
            sorted((scale for scale in table.scales if scale.units in (None, units)), key=lambda scale: scale.step_kg)
        ),
        measures=tuple(measure for measure in table.measures if measure.units in (None, units)),
        loss_per_batch_kg=table.loss_per_batch,
        pot_life_s=table.pot_life,
        density_tolerance=table.density_tolerance,
        thickness_tolerance_m=(
            {method: tolerance[method] for method in tolerance}
            if isinstance(tolerance, dict)
            else dict.fromkeys(methods, tolerance)
        ),
        loading_order=tuple(table.way.order),
        loading_steps=tuple(table.way.steps),
        **{item.name: getattr(shop, item.name) for item in fields(Settings)},
        closed_days=closed,
        practice={str(name): text for name, text in table.practice.items()},
        consumables={name: rate for name, rate in table.consumables.items() if rate.coats},
    )


def price(table: job.PriceTable, terms: QuoteSettings) -> job.PriceTerms:
    """Price terms of the job, with the shop's three payment steps if the job has none."""
    own = {item.name: getattr(table, item.name) for item in fields(table)}
    usual = tuple(job.PaymentStep(name, value_of(terms, key), due) for key, name, due in WORKSHOP_PAYMENTS)
    own["payments"] = table.payments or usual
    return job.PriceTerms(**own, minimum=terms.minimum, round_to=terms.round_to, valid_s=terms.valid_s)


MOST_LOGO_BYTES = 4_000_000
LOGO_FORMATS = ("PNG", "JPEG")


def business(raw: Any, folder: Path, file: str, faults: list[Fault]) -> model.Business:
    """The business with its logo and fonts read. An unreadable file becomes a fault."""
    table = validate(BusinessTable, raw, file, "business", faults) or BusinessTable()
    logo = _logo(table.logo, folder, file, faults) if table.logo is not None else None
    fonts = [_font(key, getattr(table, key), folder, file, faults) for key in ("font", "font_bold")]
    if table.font_bold is not None and table.font is None:
        faults.append(Fault(file, "business, font_bold", message("business-font-bold-alone")))
    return model.Business(
        name=table.name or "",
        address=tuple(table.address),
        contact=tuple(table.contact),
        registration=table.registration or "",
        license=table.licence or "",
        tax_number=table.tax_number or "",
        color=table.colour or "",
        logo=logo,
        fonts=None if fonts[0] is None else (fonts[0], fonts[1] or fonts[0]),
        terms=tuple(
            model.QuoteTerm(term) if isinstance(term, str) else model.QuoteTerm(term.text, tuple(term.uses))
            for term in table.terms
        ),
    )


PRINTED = "".join(map(chr, range(33, 127))) + "é×·–—½″"
"""Characters that a font must have to print a quote."""


def _font(key: str, name: str | None, folder: Path, file: str, faults: list[Fault]) -> bytes | None:
    """Bytes of a font that is checked to print the papers; None without a font or for an unusable one."""
    if name is None:
        return None
    from reportlab.pdfbase.ttfonts import TTFError, TTFont

    place = f"business, {key}"
    try:
        content = read_bytes(named_file(folder, name))
    except (OSError, FaultError):
        faults.append(Fault(file, place, message("business-file-not-readable", name=name)))
        return None
    try:
        face = TTFont("tried", BytesIO(content)).face
    except (TTFError, OSError, ValueError, KeyError, IndexError, struct.error):
        faults.append(Fault(file, place, message("business-font-not-truetype", name=name)))
        return None
    lacking = [sign for sign in PRINTED if ord(sign) not in face.charToGlyph]
    if lacking:
        faults.append(Fault(file, place, message("business-font-lacks-signs", name=name, signs=" ".join(lacking[:8]))))
        return None
    return content


def _logo(name: str, folder: Path, file: str, faults: list[Fault]) -> bytes | None:
    """Bytes of a logo that is checked to be a usable picture; None with a fault otherwise."""
    from PIL import Image, UnidentifiedImageError

    def fault(problem: Message) -> None:
        faults.append(Fault(file, "business, logo", problem))

    try:
        content = read_bytes(named_file(folder, name))
    except (OSError, FaultError):
        fault(message("business-file-not-readable", name=name))
        return None
    if len(content) > MOST_LOGO_BYTES:
        fault(
            message(
                "business-logo-too-large",
                name=name,
                size=f"{len(content) / 1e6:.1f}",
                most=f"{MOST_LOGO_BYTES / 1e6:.0f}",
            )
        )
        return None
    try:
        with Image.open(BytesIO(content)) as picture:
            kind = picture.format
            picture.load()
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError, Image.DecompressionBombError):
        kind = None
    if kind not in LOGO_FORMATS:
        fault(message("business-logo-not-picture", name=name))
        return None
    return content
