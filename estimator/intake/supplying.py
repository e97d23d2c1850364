"""What is bought, of whom, and what lies on the shelf: from checked tables into the frozen values of the job."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, cast

from estimator import job as model
from estimator import supplies
from estimator.errors import Fault, InputError
from estimator.intake.documents import Raw, read_toml
from estimator.intake.faults import nearest, validate
from estimator.intake.supply_tables import (
    MEASURES,
    LotsTable,
    PieceConsumableTable,
    ReserveTable,
    SamplesTable,
    StockLotTable,
    StockTable,
)
from estimator.intake.tables import PieceTable, WorkshopTable
from estimator.names import same_name
from estimator.notices import Notice
from estimator.workshop import Settings


@dataclass(frozen=True, slots=True)
class Stock:
    """What counts of the shelf: lots of mix materials, consumables in the measure by which they are used."""

    lots: Mapping[str, tuple[model.StockLot, ...]]
    consumables: Mapping[str, float]
    until: Mapping[str, str]  # last good day of what is to be used first
    warnings: tuple[Notice, ...]


def with_stock_file(raw: Raw, name: str | None, folder: Path, faults: list[Fault]) -> tuple[Raw, frozenset[str]]:
    """The job's sections with the stock of an earlier job's shelf under its own, and the materials named there."""
    if name is None:
        return raw, frozenset()
    try:
        read = read_toml(folder / name, name)
    except InputError as error:
        faults.extend(error.faults)
        return raw, frozenset()
    for section in read:
        if section != "stock":
            faults.append(Fault(name, section, "this key is not known.", nearest(section, ["stock"])))
    entries = read.get("stock", {})
    if validate(StockTable, {"stock": entries}, name, "", faults) is None:
        return raw, frozenset()
    own = raw.get("stock", {})
    return ({**raw, "stock": {**entries, **own}} if isinstance(own, dict) else raw), frozenset(entries)


def stock(raw: Any, kinds: Mapping[str, str], day: str | None, file: str, faults: list[Fault]) -> Stock:
    """The stock on a day; what is past its last good day does not count, and is told.

    day   ISO, the first day of the job; None: not said, everything counts
    """
    table = validate(StockTable, {"stock": raw}, file, "", faults)
    lots: dict[str, tuple[model.StockLot, ...]] = {}
    used_up: dict[str, float] = {}
    until: dict[str, str] = {}
    warnings: list[Notice] = []
    for name, entry in table.stock.items() if table else ():
        place = f"stock.{name}"
        if name not in kinds:
            faults.append(Fault(file, place, "there is no such material.", nearest(name, kinds)))
            continue
        good = _good(place, _lots_of(entry), day, warnings)
        kept = [each.keeps_until for each in good if each.keeps_until is not None]
        if kept:
            until[name] = min(kept)
        measures = {each.amount[0] for each in good}
        if kinds[name] == "consumable":
            if len(measures) > 1:
                faults.append(Fault(file, place, "is given in different measures.", "Give all of it in one."))
            used_up[name] = sum(each.amount[1] for each in good)
        elif measures - {"kg"}:
            faults.append(Fault(file, place, "is not given by mass, and a mix needs mass.", 'Write mass = "60 lb".'))
        else:
            lots[name] = tuple(model.StockLot(each.amount[1], each.lot or "") for each in good)
    return Stock(lots, used_up, until, tuple(warnings))


def _lots_of(entry: float | StockLotTable | list[StockLotTable]) -> list[StockLotTable]:
    if isinstance(entry, StockLotTable):
        return [entry]
    return entry if isinstance(entry, list) else [StockLotTable(mass=entry)]


def _good(place: str, lots: Sequence[StockLotTable], day: str | None, warnings: list[Notice]) -> list[StockLotTable]:
    good = []
    for each in lots:
        last = each.keeps_until
        if last is not None and day is not None and last < day:
            text = f"{place}: it kept until {last}; on {day} it no longer counts."
            warnings.append(Notice("stock-expired", text))
            continue
        if last is not None and day is None:
            text = f"{place}: it keeps until {last}, and the job has no date: look whether it is still good."
            warnings.append(Notice("stock-undated", text))
        good.append(each)
    return good


def lots(raw: Any, kinds: Mapping[str, str], file: str, faults: list[Fault]) -> dict[str, str]:
    """The lot that the job is cast from, by material."""
    table = validate(LotsTable, {"lots": raw}, file, "", faults)
    found = dict(table.lots) if table else {}
    _check_materials(found, "lots", kinds, file, faults)
    return found


def reserve(raw: Any, kinds: Mapping[str, str], file: str, faults: list[Fault]) -> dict[str, float]:
    """What is to be left on the shelf, kg by material."""
    table = validate(ReserveTable, {"reserve": raw}, file, "", faults)
    found = dict(table.reserve) if table else {}
    _check_materials(found, "reserve", kinds, file, faults)
    return found


def _check_materials(
    names: Iterable[str], section: str, kinds: Mapping[str, str], file: str, faults: list[Fault]
) -> None:
    for name in names:
        if name not in kinds:
            faults.append(Fault(file, f"{section}.{name}", "there is no such material.", nearest(name, kinds)))


def suppliers(
    raw: Any, materials: Mapping[str, model.Material], file: str, faults: list[Fault]
) -> dict[str, supplies.Supplier]:
    """By name. Where there are any, every supplier that a pack names must be among them."""
    found: dict[str, supplies.Supplier] = {}
    named: set[str] = set()
    for i, entry in enumerate(raw if isinstance(raw, list) else []):
        name = entry.get("name") if isinstance(entry, dict) else None
        place = f"supplier {name or i + 1}"
        table = validate(supplies.Supplier, entry, file, place, faults)
        if same_name(str(name), named) is not None:
            faults.append(Fault(file, f"{place}, name", "stands twice.", "Give each supplier a name of its own."))
        named.add(str(name))
        if table is not None:
            found[table.name] = table
    if named:
        for material in materials.values():
            for pack in material.packs:
                if pack.supplier and pack.supplier not in named:
                    place = f"material {material.name}, packs.{pack.name}.supplier"
                    what = f'"{pack.supplier}" is not among the suppliers.'
                    faults.append(Fault(file, place, what, nearest(pack.supplier, named)))
    return found


def receiving(raw: Any, found: Mapping[str, supplies.Supplier], file: str, faults: list[Fault]) -> supplies.Receiving:
    """How deliveries come; the zone must be one of every supplier's that goes by zones."""
    table = validate(supplies.Receiving, raw, file, "receiving", faults)
    if table is None:
        return supplies.Receiving()
    for supplier in found.values():
        zones = supplier.tariff.zones
        if zones and table.zone not in zones:
            what = f'supplier {supplier.name} has no zone "{table.zone}".' if table.zone else "is missing."
            fix = nearest(table.zone, zones) if table.zone else f"{supplier.name} goes by zone: {', '.join(zones)}."
            faults.append(Fault(file, "receiving, zone", what, fix))
    return table


def samples(
    raw: Any, job_mix: Any, mixes: Iterable[str], shop: Settings, file: str, faults: list[Fault]
) -> supplies.SampleOrder | None:
    """The samples asked for; the workshop's number of them unless said."""
    if raw is None:
        return None
    table = validate(SamplesTable, raw, file, "samples", faults)
    if table is None:
        return None
    mix, known = table.mix or job_mix, list(mixes)
    if mix is None:
        faults.append(Fault(file, "samples, mix", "names no mix, and the job has none.", "Add `mix`."))
        return None
    if mix not in known:
        if table.mix:  # the job's own is told where it stands
            faults.append(Fault(file, "samples, mix", f'there is no mix "{mix}".', nearest(str(mix), known)))
        return None
    return supplies.SampleOrder(table.count or int(shop.forms.samples), table.price, table.credited, mix)


def form(raw: Any, file: str, faults: list[Fault]) -> supplies.Form:
    """The form of the job."""
    return (validate(supplies.Form, raw, file, "form", faults) if raw is not None else None) or supplies.Form()


def taken_by(table: PieceTable) -> tuple[supplies.Taken, ...]:
    """What a piece asks for by name, and the inserts that are bought with the job."""
    found = [_taken(name, each) for name, each in table.consumables.items()]
    for insert in table.inserts:
        if insert.material:
            amount, measure = (insert.displaces_m3, "m3") if insert.displaces_m3 else (1.0, "piece")
            found.append(supplies.Taken(insert.material, amount, cast(supplies.Measure, measure), None))
    return tuple(found)


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
    """What is used up is a material of the catalog, and of that kind."""
    named = [(file, f"workshop.consumables.{name}", name) for name in (workshop.consumables if workshop else ())]
    named += [(each.file, f"{each.place}, consumables.{t.material}", t.material) for each in pieces for t in each.takes]
    known = [name for name, kind in kinds.items() if kind == "consumable"]
    for source, place, name in named:
        if name not in kinds:
            faults.append(Fault(source, place, "there is no such material.", nearest(name, known)))
        elif kinds[name] != "consumable":
            what = f"is a {kinds[name]}, which is bought for the mixes."
            faults.append(Fault(source, place, what, nearest(name, known)))
