"""Validated tables into the frozen values of estimator.job."""

from collections.abc import Mapping
from dataclasses import fields
from datetime import date
from io import BytesIO
from pathlib import Path
from typing import Any

from estimator import job
from estimator import job as model
from estimator.errors import Fault
from estimator.intake.faults import validate
from estimator.intake.supply_tables import BusinessTable
from estimator.intake.tables import MaterialTable, PackTable, WorkshopTable
from estimator.job import WATER_DENSITY_KG_M3
from estimator.workshop import QuoteSettings, Settings, value_of
from geometry.files import read_bytes

WORKSHOP_PAYMENTS = (
    ("deposit", "deposit", "with the order"),
    ("before_delivery", "second payment", "before delivery"),
    ("on_install", "last payment", "when the work is done"),
)


def water_density(tables: Mapping[str, MaterialTable]) -> float:
    """Density of the mix water, kg/m³, which every relative density counts by: the material `water`'s own."""
    water = tables.get("water")
    if water is None:
        return WATER_DENSITY_KG_M3
    return water.density or (water.relative_density or 1.0) * WATER_DENSITY_KG_M3


def material(name: str, table: MaterialTable, water_kg_m3: float) -> job.Material:
    """A material with its packs turned into mass: by bulk density where granular, by density where liquid."""
    density = table.density
    if table.packing is not None and table.bulk_density is not None:
        density = table.bulk_density / table.packing
    elif table.relative_density is not None:
        density = table.relative_density * (WATER_DENSITY_KG_M3 if name == "water" else water_kg_m3)
    return job.Material(
        name=name,
        kind=table.kind,
        density_kg_m3=density,
        bulk_density_kg_m3=table.bulk_density,
        packing=table.packing,
        solids=table.solids,
        moisture=table.moisture,
        absorption=table.absorption,
        dose_low=table.dose.low if table.dose else None,
        dose_high=table.dose.high if table.dose else None,
        packs=tuple(pack(each, _in_its_pack(table, density)) for each in table.packs),
        special=table.special,
        traits=frozenset(table.traits),
        source=table.source,
        analysis=table.analysis,
        ash_cao=table.cao,
        keeps_s=table.shelf_life,
        usual_air=(table.usual_air.low, table.usual_air.high) if table.usual_air else None,
    )


def _in_its_pack(table: MaterialTable, density_kg_m3: float | None) -> float | None:
    """Density by which a volume of it is sold: a liquid's own, loose bulk of what is granular."""
    liquid = table.kind == "water" or table.solids < 1.0
    return density_kg_m3 if liquid or table.bulk_density is None else table.bulk_density


def pack(table: PackTable, density_kg_m3: float | None) -> job.Pack:
    """A pack; where mass and volume are both given, the mass governs."""
    mass_kg = table.mass
    if mass_kg is None and table.volume is not None and density_kg_m3 is not None:
        mass_kg = table.volume * density_kg_m3
    return job.Pack(
        name=table.name,
        mass_kg=mass_kg,
        volume_m3=table.volume,
        quantity=next((each for each in (table.area, table.length, table.pieces) if each is not None), None),
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


def workshop(table: WorkshopTable, shop: Settings, closed: frozenset[date]) -> job.Workshop:
    tolerance = table.thickness_tolerance
    methods = ("pour", "spray", "brush", "hand")
    return job.Workshop(
        mixer=table.mixer,
        scales=tuple(table.scales),
        measures=tuple(table.measures),
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
    """Terms of the job; the workshop's three payment steps where the job names none."""
    own = {item.name: getattr(table, item.name) for item in fields(table)}
    usual = tuple(job.PaymentStep(name, value_of(terms, key), due) for key, name, due in WORKSHOP_PAYMENTS)
    own["payments"] = table.payments or usual
    return job.PriceTerms(**own, minimum=terms.minimum, round_to=terms.round_to, valid_s=terms.valid_s)


MOST_LOGO_BYTES = 4_000_000
LOGO_FORMATS = ("PNG", "JPEG")


def business(raw: Any, folder: Path, file: str, faults: list[Fault]) -> model.Business:
    """The workshop with its logo read. A logo that is missing or no picture becomes a fault."""
    table = validate(BusinessTable, raw, file, "business", faults) or BusinessTable()
    logo = _logo(table.logo, folder, file, faults) if table.logo is not None else None
    return model.Business(
        name=table.name or "",
        address=tuple(table.address),
        contact=tuple(table.contact),
        registration=table.registration or "",
        logo=logo,
        terms=tuple(table.terms),
    )


def _logo(name: str, folder: Path, file: str, faults: list[Fault]) -> bytes | None:
    """The logo's bytes, once they are known to be a picture that a paper can show."""
    from PIL import Image, UnidentifiedImageError

    def fault(what: str, fix: str) -> None:
        faults.append(Fault(file, "business, logo", what, fix))

    try:
        content = read_bytes(folder / name)
    except OSError:
        fault(f'there is no readable file "{name}".', "Check the path, which starts at the file that names it.")
        return None
    if len(content) > MOST_LOGO_BYTES:
        fault(f'"{name}" has {len(content) / 1e6:.1f} MB.', f"Make it smaller than {MOST_LOGO_BYTES / 1e6:.0f} MB.")
        return None
    try:
        with Image.open(BytesIO(content)) as picture:
            kind = picture.format
            picture.load()
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError, Image.DecompressionBombError):
        kind = None
    if kind not in LOGO_FORMATS:
        fault(f'"{name}" is no PNG or JPEG picture.', "Save it as PNG.")
        return None
    return content
