"""Assembles the frozen Job from a job file as written and the catalog, and collects every fault."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any, TypeVar

from estimator import job as model
from estimator.catalog import language_of
from estimator.errors import Fault, FaultError, Locate
from estimator.intake import build, checks, documents
from estimator.intake.ahead import read_ahead
from estimator.intake.build import business, figure_sections, read_settings
from estimator.intake.checks import SizeCheck
from estimator.intake.documents import CATALOG_SECTIONS, Raw, RawPiece, Written, built_in_catalog
from estimator.intake.faults import keys_of, validate
from estimator.intake.shapes import Built, build_shape
from estimator.intake.shelf import Beside, Shelf, read_beside, read_shelf
from estimator.intake.tables import CalendarTable, JobTable, PieceTable, WorkshopTable
from estimator.names import first_spellings, folded, nearest
from estimator.notices import Notice
from estimator.parts import chords_of, cut_piece, glued_pieces
from estimator.site import Site
from estimator.supplies import Form, Scope
from estimator.workshop import Settings
from geometry.message import message
from geometry.shape import Shape

T = TypeVar("T")


class Assembler:
    """Builds jobs from one job file and its overlays. A piece that does not change is built once."""

    def __init__(
        self,
        folder: Path,
        file: str,
        catalog: Raw,
        shelved: frozenset[str] = frozenset(),
        workers: int = 1,
        located: Locate = tuple,
    ) -> None:
        """Set up for one job file.

        shelved   materials in the stock file of an earlier job, whether this job uses them or not
        workers   number of processes that read drawings and meshes
        located   names the file of the faults that only show when the job is estimated
        """
        self._folder, self._file, self._catalog, self._shelved = folder, file, catalog, shelved
        self._workers, self._located = workers, located
        self._beside = read_beside(folder / file) if (folder / file).is_file() else Beside()
        self._pieces: dict[str, tuple[RawPiece, PieceTable | None, Built | None, tuple[Fault, ...]]] = {}

    def _named(self, head: JobTable | None, written: Written, shelf: Shelf, faults: list[Fault]) -> str | None:
        """Default mix of pieces that name none. Adds a fault for each name used twice."""
        raw, file = written.sections, self._file
        checks.check_marks(written.pieces, faults)
        checks.check_names("material", shelf.kinds, file, faults)
        own_last = sorted(shelf.mix_names, key=lambda name: (name in raw.get("mixes", {}), name))
        checks.check_names("mix", own_last, file, faults)
        job_mix = head.mix if head else _text(raw.get("job", {}).get("mix"))
        if isinstance(job_mix, str) and job_mix not in shelf.mix_names:
            problem = message("mix-unknown", name=job_mix, nearest=nearest(job_mix, shelf.mix_names))
            faults.append(Fault(file, "job, mix", problem))
        return job_mix

    def job_of(
        self, head: JobTable | None, written: Written, faults: list[Fault], lumps: Mapping[str, float]
    ) -> model.Job | None:
        """Job from everything valid, with the lump sums of options taken; None without head, shop or price terms."""
        raw, file = written.sections, self._file
        merged = self._merged(raw)
        workshop, shop = _workshop(merged.get("workshop", {}), file, faults)
        closed = _closed_days(merged.get("workshop", {}), file, faults)
        shop = build.over_settings(self._given(model.RoomCure, raw, "cure", faults), shop, file, faults)
        shelf = self._shelf(raw, merged, shop, faults)
        price = validate(model.PriceTable, merged.get("price", {}), file, "price", faults)
        if price is not None:
            checks.check_payments(price, shop.quote, file, faults)
        site = self._given(Site, raw, "site", faults)
        job_mix = self._named(head, written, shelf, faults)
        form = Form().over(self._given(Form, raw, "form", faults) or Form())
        language = (head.language if head else None) or language_of(units_of(raw))
        pieces, warnings = self._pieces_of(written, shelf, job_mix, form, shop, language, faults)
        site = _in_parts(site, pieces)
        checks.check_site(site, [piece.mark for piece in pieces], file, faults)
        day = (head.start or head.date) if head else None
        stock = build.stock(raw.get("stock", {}), shelf.kinds, day, file, faults)
        lots = build.lots(raw.get("lots", {}), shelf.kinds, file, faults)
        reserve_kg = build.reserve(raw.get("reserve", {}), shelf.kinds, file, faults)
        suppliers = build.suppliers(merged.get("supplier", []), shelf.materials, file, faults)
        receiving = build.receiving(merged.get("receiving", {}), suppliers, file, faults)
        samples = build.samples(raw.get("samples"), job_mix, shelf.mix_names, shop, file, faults)
        build.check_consumables(workshop, pieces, shelf.kinds, file, faults)
        firm = business(merged.get("business", {}), self._folder, file, faults)
        client = self._given(model.Client, raw, "client", faults) or model.Client()
        scope = validate(Scope, merged.get("scope", {}), file, "scope", faults) or Scope()
        if head is None or workshop is None or price is None:
            return None
        unused = self._unused(stock, reserve_kg, pieces, workshop, shelf.mixes)
        return model.Job(
            file=file,
            **_head(head),
            business=firm,
            client=client,
            pieces=tuple(pieces),
            mixes=shelf.mixes,
            materials=shelf.materials,
            workshop=build.workshop(workshop, shop, closed, head.units),
            price=build.price(price, shop.quote),
            stock_kg={name: sum(lot.mass_kg for lot in lots) for name, lots in stock.lots.items()},
            stock_lots=stock.lots,
            stock_consumables=stock.consumables,
            stock_until=stock.until,
            reserve_kg=reserve_kg,
            suppliers=suppliers,
            receiving=receiving,
            scope=scope,
            samples=samples,
            lots=lots,
            site=site,
            warnings=(*shelf.warnings, *warnings, *stock.warnings, *unused),
            lumps=dict(lumps),
            located=self._located,
        )

    def _given(self, table: type[T], raw: Raw, section: str, faults: list[Fault]) -> T | None:
        """Table of a section; None if the job has none or it is invalid."""
        return validate(table, raw[section], self._file, section, faults) if section in raw else None

    def _pieces_of(
        self,
        written: Written,
        shelf: Shelf,
        job_mix: str | None,
        form: Form,
        shop: Settings,
        language: str,
        faults: list[Fault],
    ) -> tuple[list[model.Piece], list[Notice]]:
        """Valid pieces with valid mixes, and the warnings about them and their files.

        form      default form
        language  language of the papers
        """
        check_sizes = SizeCheck(shop, self._file)
        read_ahead([row for row in written.pieces if not self._is_built(row)], self._folder, self._workers)
        pieces: list[model.Piece] = []
        warnings: list[Notice] = []
        equal: dict[Shape, Shape] = {}  # equal shapes are one, so that later stages tell them at a glance
        for row in written.pieces:
            table, built = self._built(row, faults)
            if table is None:
                continue
            checks.check_piece(row.place, table, job_mix, shelf.mix_names, row.file, faults)
            if built is not None:
                subject = checks.place_of(row.file, row.place, self._file)
                warnings += [remark.about(subject) for remark in built.remarks]
                shape = equal.setdefault(built.shape, built.shape)
                whole = _piece(row, table, built, shape, job_mix, form)
                cast = _parts_of(whole, table, language, shop, faults)
                warnings += check_sizes.of_inserts(whole, cast, faults)
                for piece in cast:
                    warnings += check_sizes(piece, faults)
                pieces += cast
        checks.check_part_marks(pieces, faults)
        pours = first_spellings(piece.pour for piece in pieces if piece.pour is not None)
        if any(name != first for name, first in pours.items()):
            pieces = [replace(piece, pour=pours.get(piece.pour or "", piece.pour)) for piece in pieces]
        return [piece for piece in pieces if all(layer.mix in shelf.mixes for layer in piece.layers)], warnings

    def _unused(
        self,
        stock: build.Stock,
        reserve_kg: Mapping[str, float],
        pieces: Sequence[model.Piece],
        workshop: WorkshopTable,
        mixes: Mapping[str, model.Mix],
    ) -> Iterator[Notice]:
        """Yield warnings about stock and reserve that the job does not use."""
        used = {layer.mix for piece in pieces for layer in piece.layers}
        consumed = {*workshop.consumables, *(taken.material for piece in pieces for taken in piece.takes)}
        for name in stock.lots:
            if not _uses(name, used, mixes) and name not in self._shelved:
                yield Notice("stock-unused", message("warning-stock-unused", material=name))
        for name in stock.consumables:
            if name not in consumed and name not in self._shelved:
                yield Notice("stock-unused", message("warning-stock-unused", material=name))
        for name in reserve_kg:
            if not _uses(name, used, mixes):
                yield Notice("reserve-unused", message("warning-reserve-unused", material=name))

    def shelf_of(self, raw: Raw, faults: list[Fault]) -> tuple[Shelf, model.Workshop | None]:
        """Materials and mixes of a job file, without its pieces; and the workshop, or None if it is invalid."""
        merged = self._merged(raw)
        table, shop = _workshop(merged.get("workshop", {}), self._file, faults)
        shelf = self._shelf(raw, merged, shop, faults)
        return shelf, None if table is None else build.workshop(table, shop, frozenset(), units_of(raw))

    def _merged(self, raw: Raw) -> Raw:
        return documents.merge_catalogs(self._catalog, {key: raw[key] for key in CATALOG_SECTIONS if key in raw})

    def _shelf(self, raw: Raw, merged: Raw, shop: Settings, faults: list[Fault]) -> Shelf:
        """Materials and mixes, with the weighings, tests and corrections kept beside the job."""
        faults += self._beside.faults
        return read_shelf(
            merged,
            raw.get("mixes", {}),
            self._catalog.get("mixes", {}),
            units=units_of(raw),
            held_back=1.0 - shop.mixing.water_first,
            folder=self._folder,
            file=self._file,
            beside=self._beside,
            faults=faults,
        )

    def _built(self, piece: RawPiece, faults: list[Fault]) -> tuple[PieceTable | None, Built | None]:
        """Table and built shape of a piece, rebuilt only if it changed since the last call."""
        key = piece.mark or piece.place
        if not self._is_built(piece):
            own = list[Fault]()
            table = validate(PieceTable, piece.raw, piece.file, piece.place, own)
            built = None
            if table is not None:
                layered = table.layers is not None and len(table.layers) > 1
                built = build_shape(
                    table.shape, self._folder, piece.file, piece.place, own, layered=layered, drawn=piece.region
                )
            self._pieces[key] = (piece, table, built, tuple(own))
        _, table, built, known_faults = self._pieces[key]
        faults += known_faults
        return table, built

    def _is_built(self, piece: RawPiece) -> bool:
        known = self._pieces.get(piece.mark or piece.place)
        return known is not None and known[0] == piece


def _text(value: Any) -> str | None:
    return value if isinstance(value, str) else None


def _uses(material: str, used: set[str], mixes: Mapping[str, model.Mix]) -> bool:
    parts = ("cementitious", "aggregate", "admixtures", "polymer", "pigment", "fibre")
    return any(material in getattr(mixes[name], part) for name in used if name in mixes for part in parts)


def units_of(raw: Raw) -> model.Units:
    """System of units of a job file; imperial if it cannot be read."""
    head = raw.get("job")
    return "metric" if isinstance(head, dict) and head.get("units") == "metric" else "imperial"


def _head(head: JobTable) -> dict[str, Any]:
    """Fields of a job that depend only on its head, including its languages."""
    language = head.language or language_of(head.units)
    plain = ("name", "units", "currency", "date", "revision", "number", "status", "waste")
    return {
        **{name: getattr(head, name) for name in plain},
        "start": head.start or (head.date if head.status == "released" else None),
        "language": language,
        "crew_language": head.crew_language or language,
        "client_language": head.client_language or language,
    }


def _workshop(raw: Raw, file: str, faults: list[Fault]) -> tuple[WorkshopTable | None, Settings]:
    """Typed part of the workshop table, and its settings."""
    catalog = built_in_catalog()
    sections = figure_sections(catalog)
    known = [*keys_of(WorkshopTable), *sections]
    for key in raw:
        if key not in known:
            faults.append(Fault(file, f"workshop.{key}", message("key-unknown", nearest=nearest(key, known))))
    typed = {key: value for key, value in raw.items() if key in keys_of(WorkshopTable)}
    table = validate(WorkshopTable, typed, file, "workshop", faults)
    return table, read_settings(raw, catalog, file, faults)


def _closed_days(raw: Raw, file: str, faults: list[Fault]) -> frozenset[date]:
    calendar = raw.get("calendar", {})
    given = {key: calendar[key] for key in keys_of(CalendarTable) if isinstance(calendar, dict) and key in calendar}
    table = validate(CalendarTable, given, file, "workshop.calendar", faults)
    return frozenset(map(date.fromisoformat, table.closed)) if table is not None else frozenset()


@cache
def _default(table: type[T]) -> T:
    """Default instance of a table, shared by all pieces, because they are compared thousands of times."""
    return table()


@cache
def _poured(mix: str) -> tuple[model.Layer, ...]:
    """Layers of a piece of a single mix."""
    return (model.Layer(mix, None, "pour", None),)


def _piece(
    row: RawPiece, table: PieceTable, built: Built, shape: Shape, job_mix: str | None, form: Form
) -> model.Piece:
    if table.layers is not None:
        layers = tuple(table.layers)
    else:
        layers = _poured(table.mix or job_mix or "")
    return model.Piece(
        mark=table.mark,
        quantity=table.quantity,
        use=table.use,
        forms=table.forms,
        pour=table.pour,
        risk=table.risk,
        install=table.install,
        waste=table.waste,
        shape=shape,
        nominal_thickness_m=built.nominal_thickness_m,
        layers=layers,
        faces=table.form_faces,
        inserts=tuple(table.inserts),
        form=form if table.form is None else table.form.over(form),
        takes=build.taken_by(table),
        file=row.file,
        place=row.place,
        handling=table.handling or _default(model.HandlingPreferences),
        in_place=table.in_place or _default(model.InPlace),
        cure=table.cure or _default(model.Cure),
        allowed=frozenset(table.allowed),
        description=table.description or "",
        finish=table.finish or "",
        color=table.colour or "",
        note=table.note or "",
        attached=built.attached,
    )


def _parts_of(
    piece: model.Piece,
    table: PieceTable,
    language: str,
    shop: Settings,
    faults: list[Fault],
) -> Sequence[model.Piece]:
    """Pieces cast for one written piece: itself or the parts between its seams, and everything glued to it."""
    try:
        through = [number for number, seam in enumerate(table.seams) if seam.through_cutout]
        cut = cut_piece(piece, chords_of(piece, table.seams), shop.seams.width_m, through)
        return (*cut, *glued_pieces(piece, language, cut))
    except FaultError as error:
        faults.append(Fault(piece.file, f"{piece.place}, {error.key}", error.message))
        return (piece,)


def _in_parts(site: Site | None, pieces: Sequence[model.Piece]) -> Site | None:
    """Site with the mark of a piece in the setting order replaced by those of its parts."""
    if site is None or not any(piece.part_of for piece in pieces):
        return site
    listed = {folded(mark) for mark in site.order}
    wholes = {folded(piece.mark): folded(piece.part_of) for piece in pieces if piece.part_of}
    parts: dict[str, list[str]] = {}
    for piece in pieces:
        own = folded(piece.mark)
        while own not in listed and own in wholes:  # a leg of a part of a piece
            own = wholes[own]
        parts.setdefault(own, []).append(piece.mark)
    return replace(site, order=tuple(own for mark in site.order for own in parts.get(folded(mark), [mark])))
