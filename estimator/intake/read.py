"""Reads a job file and everything it refers to into a frozen Job, and collects every fault."""

from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from dataclasses import asdict, replace
from functools import partial
from pathlib import Path
from typing import TypeVar, get_args

from estimator import job as model
from estimator.catalog import Language, language_of
from estimator.errors import Fault, FaultError, InputError, Locate
from estimator.garbage import without_collection
from estimator.intake import documents, limits
from estimator.intake.assemble import Assembler
from estimator.intake.build import with_stock_file
from estimator.intake.documents import (
    CATALOG_SECTIONS,
    Raw,
    RawPiece,
    Written,
    built_in_catalog,
    either_spelling,
    overlaid,
    read_as_typed,
    read_named,
    read_toml,
)
from estimator.intake.faults import keys_of, validate
from estimator.intake.places import located
from estimator.intake.schedule import read_schedule
from estimator.intake.shelf import Shelf
from estimator.intake.tables import JobFile, JobTable, ScheduleTable
from estimator.intake.term_tables import AlternativeTable, ChangeTable, OptionTable, OverlayTable
from estimator.money import CURRENCIES
from estimator.names import nearest, tidy
from estimator.notices import Notice
from estimator.units import Units
from estimator.words import PLAIN, Words
from geometry.files import known_outside, named_file
from geometry.frozen import frozen
from geometry.message import message

JOB_SECTIONS = tuple(keys_of(JobFile))
HEAD_KEYS = ("units", "currency", "language")  # keys of [job] that determine how faults are printed
OverlayT = TypeVar("OverlayT", bound=OverlayTable)
LISTED_SECTIONS = ("piece", "drawing", "schedule", "alternative", "option", "change", "supplier")


@frozen
class Reading:
    """Result of reading a job file: the job built from everything valid, and every fault.

    job     None if not even its head could be read
    """

    job: model.Job | None
    faults: tuple[Fault, ...]
    file: str

    def sound(self) -> model.Job:
        """The job. Raises InputError if there is any fault."""
        if self.faults or self.job is None:
            raise InputError(self.faults)
        return self.job


@frozen
class ShelfReading:
    """Materials and mixes of a job file without its pieces, as far as they could be read, and every fault."""

    shelf: Shelf | None
    file: str
    words: Words
    workshop: model.Workshop | None
    faults: tuple[Fault, ...]

    def sound(self) -> Shelf:
        """The shelf. Raises InputError if there is any fault."""
        if self.faults or self.shelf is None:
            raise InputError(self.faults)
        return self.shelf


def read_shelf_of(path: Path | None) -> ShelfReading:
    """Materials and mixes of a job file, without its pieces.

    path   None: only the built-in catalog
    """
    file, faults = path.name if path else "catalog", list[Fault]()
    try:
        raw = _sections(read_toml(path), file, faults) if path else {}
    except InputError as error:
        return ShelfReading(None, file, PLAIN, None, error.faults)
    words = words_of(raw)
    head = validate(JobTable, raw.get("job", {}), file, "job", faults) if path else None
    folder = path.parent if path else Path()
    catalog = _catalog(head, folder, faults)
    with limits.limited_by(catalog):
        shelf, workshop = Assembler(folder, file, catalog).shelf_of(raw, faults)
    return ShelfReading(shelf, file, words, workshop, _in_words(faults, words))


def words_of(raw: Raw) -> Words:
    """Words for a raw job file: its units, currency and language, or the default of each invalid one."""
    head = raw.get("job")
    units, currency, language = (head.get(key) if isinstance(head, dict) else None for key in HEAD_KEYS)
    system: Units = "metric" if units == "metric" else "imperial"
    return Words(
        system,
        currency if isinstance(currency, str) and currency in CURRENCIES else PLAIN.currency,
        language if isinstance(language, str) and language in get_args(Language) else language_of(system),
    )


def words_of_file(path: Path) -> Words:
    """Words for a job file; the plain ones if it cannot be read."""
    try:
        return words_of(read_toml(path))
    except InputError:
        return PLAIN


def _in_words(faults: Iterable[Fault], words: Words) -> tuple[Fault, ...]:
    return tuple(fault.in_words(words) for fault in faults)


def read_job(path: Path, workers: int = 1) -> Reading:
    """Job of a job file, merged over the catalog. Never raises for invalid input: the faults are in the Reading.

    workers   number of processes that read drawings and meshes
    """
    try:
        raw = read_as_typed(path)
    except InputError as error:
        return Reading(None, error.faults, path.name)
    return read_raw_job(raw, path, workers)


@without_collection()
def read_raw_job(raw: Raw, path: Path, workers: int = 1) -> Reading:
    """Job of a raw document at `path`, which need not exist.

    Options taken and change orders signed are part of the job. Each of the others is kept as the whole job it would
    give.
    """
    named = partial(_named, raw, path)
    try:
        reading = _read(either_spelling(raw, path.name), path, workers, named)
    except InputError as error:
        reading = Reading(None, error.faults, path.name)
    if not reading.faults:
        return reading
    return replace(reading, faults=_in_words(named(reading.faults), words_of(raw)))


def _named(raw: Raw, path: Path, faults: Iterable[Fault]) -> tuple[Fault, ...]:
    """Faults in the file that holds their key: the job's, or one of the shop's."""
    return located(faults, [(path.name, raw), *_shop_files(raw, path.parent)])


def _shop_files(raw: Raw, folder: Path) -> list[tuple[str, Raw]]:
    """Names and documents of the shop's catalog files that a job names and that can be read, the last first."""
    head = raw.get("job")
    named = head.get("catalog") if isinstance(head, dict) else None
    files = []
    for name in reversed(named if isinstance(named, list) else [named]):
        with suppress(InputError, FaultError, OSError):
            if isinstance(name, str):
                files.append((name, read_as_typed(named_file(folder, name), name)))
    return files


def _read(raw: Raw, path: Path, workers: int, named: Locate) -> Reading:
    """Job of a document in the program's own spelling."""
    file, faults = path.name, list[Fault]()
    raw = _sections(raw, file, faults)
    head = validate(JobTable, raw.get("job", {}), file, "job", faults)
    catalog = _catalog(head, path.parent, faults)
    with limits.limited_by(catalog):
        raw, shelved = with_stock_file(raw, head.stock_file if head else None, path.parent, faults)
        assembler = Assembler(path.parent, file, catalog, shelved, workers, named)
        return _read_over(raw, path, head, assembler, faults)


def _read_over(raw: Raw, path: Path, head: JobTable | None, assembler: Assembler, faults: list[Fault]) -> Reading:
    """Job of a document, merged over its catalog."""
    file = path.name
    notices = list[Notice]()
    drawn = _drawn(raw, path.parent, file, faults, notices)
    first = Written(raw, (*drawn, *_scheduled(raw, path.parent, file, faults, notices)))
    if not first.pieces and not faults:
        faults.append(Fault(file, "piece", message("job-no-piece")))
    versions = _Versions(assembler, file, faults, lumps := dict[str, float]())
    options = versions.tables(OptionTable, raw, "option")
    changes = versions.tables(ChangeTable, raw, "change")
    alternatives = versions.tables(AlternativeTable, raw, "alternative")
    _check_versions(options, changes, alternatives, head, file, faults)

    lumps |= {table.name: table.lump for _, table in options if table.taken and table.lump is not None}
    job = assembler.job_of(head, first, faults, lumps)
    if job is not None and job.status != "released":
        job = _agreed(job, None)
    written, agreed = first, job.price.agreed if job is not None else None
    for place, option in options:
        if option.taken and option.lump is None:
            written, with_option = versions.over(written, option, place)
            job = None if with_option is None else _agreed(with_option, agreed)
    written, job, orders = versions.changed(written, job, changes)
    beside = [
        (option, None if option.lump is not None or option.taken else versions.over(written, option, place)[1])
        for place, option in options
    ]
    others = [(table, versions.over(written, table, place)[1]) for place, table in alternatives]
    signed = validate(model.SignOffs, raw.get("sign_off", {}), file, "sign_off", faults)
    if job is None:
        return Reading(None, tuple(faults), file)
    signs = asdict(signed) if signed is not None else {}
    job = replace(
        job,
        sign_offs=signs,
        alternatives=tuple(model.Alternative(t.name, t.note, whole) for t, whole in others if whole is not None),
        options=tuple(model.Option(t.name, t.note, t.taken, t.lump, whole) for t, whole in beside),
        changes=tuple(orders),
        warnings=(*job.warnings, *notices, *_unsigned(job, signs, orders)),
    )
    return Reading(job, tuple(faults), file)


def _agreed(job: model.Job, agreed: model.Agreed | None) -> model.Job:
    """The job with other amounts accepted by the client."""
    return job if job.price.agreed is agreed else replace(job, price=replace(job.price, agreed=agreed))


@frozen
class _Versions:
    """Builds the job with overlays. A fault is reported once, at the place of the overlay."""

    assembler: Assembler
    file: str
    faults: list[Fault]
    lumps: dict[str, float]  # of the options taken, by name

    def tables(self, kind: type[OverlayT], raw: Raw, section: str) -> list[tuple[str, OverlayT]]:
        """Valid tables of a section, each with its place."""
        sound = []
        for i, entry in enumerate(raw.get(section, [])):
            name = (entry.get("name") or entry.get("number")) if isinstance(entry, dict) else None
            place = f"{section} {name or i + 1}"
            table = validate(kind, entry, self.file, place, self.faults)
            if table is not None:
                sound.append((place, table))
        return sound

    def over(self, written: Written, table: OverlayTable, place: str) -> tuple[Written, model.Job | None]:
        """Job file as written with an overlay applied, and its job, which nobody has accepted yet."""
        after = overlaid(written, table, self.file, place, self.faults)
        if written.pieces and not after.pieces:
            self.faults.append(Fault(self.file, f"{place}, remove", message("version-no-piece")))
            return after, None
        own = list[Fault]()
        head = validate(JobTable, after.sections.get("job", {}), self.file, "job", own)
        job = self.assembler.job_of(head, after, own, self.lumps)
        known = set(self.faults)
        for fault in own:
            if fault not in known:
                self.faults.append(fault.at(f"{place}: {fault.place}".rstrip(": ")))
        return after, None if job is None else _agreed(job, None)

    def changed(
        self, written: Written, job: model.Job | None, changes: Sequence[tuple[str, ChangeTable]]
    ) -> tuple[Written, model.Job | None, list[model.Change]]:
        """Job file as written and its job with the signed change orders, and every order.

        A signed order without amounts of its own ends those that the client accepted.
        """
        orders = []
        for place, table in changes:
            after, changed = self.over(written, table, place)
            if job is not None and changed is not None:
                agreed = job.price.agreed
                if agreed is not None and table.agreed is not None:
                    changed = _agreed(changed, agreed.plus(table.agreed))
                facts = (table.number, table.reason, table.date, table.signed, table.days)
                orders.append(model.Change(*facts, before=job, after=changed, note=table.note))
            if table.signed is not None:
                written, job = after, changed
        return written, job, orders


def _check_versions(
    options: Sequence[tuple[str, OptionTable]],
    changes: Sequence[tuple[str, ChangeTable]],
    alternatives: Sequence[tuple[str, AlternativeTable]],
    head: JobTable | None,
    file: str,
    faults: list[Fault],
) -> None:
    """Add faults for repeated names, for change orders not numbered from 1, and for change orders before release."""
    for section, names in (
        ("option", [table.name for _, table in options]),
        ("alternative", [table.name for _, table in alternatives]),
    ):
        for name in sorted({name for name in names if names.count(name) > 1}):
            faults.append(Fault(file, f"{section} {name}, name", message("name-used-twice", name=name)))
    for at, (place, change) in enumerate(changes, start=1):
        if change.number != at:
            problem = message("change-out-of-order", number=change.number, expected=at)
            faults.append(Fault(file, f"{place}, number", problem))
    if changes and head is not None and head.status != "released":
        faults.append(Fault(file, changes[0][0], message("change-before-release", status=head.status)))


def _unsigned(job: model.Job, signs: dict[str, str | None], changes: Sequence[model.Change]) -> list[Notice]:
    """Warnings about signatures missing at this status of the job, and about accepted prices that they end."""
    needed = {"templated": ("template",), "released": ("sketch", "sample", "template")}.get(job.status, ())
    missing = [name for name in needed if signs.get(name) is None]
    notices = []
    if missing:
        papers = [message(f"signed-{name}") for name in missing]
        notices.append(
            Notice("sign-off-missing", message("warning-sign-off-missing", status=job.status, papers=papers))
        )
    notices += [
        Notice("change-unsigned", message("warning-change-unsigned", number=change.number, reason=change.reason))
        for change in changes
        if change.signed is None
    ]
    notices += [
        Notice("agreed-ended", message("warning-agreed-ended", number=change.number, reason=change.reason))
        for change in changes
        if change.signed is not None and change.before.price.agreed is not None and change.after.price.agreed is None
    ]
    return notices


def _drawn(raw: Raw, folder: Path, file: str, faults: list[Fault], notices: list[Notice]) -> Sequence[RawPiece]:
    """Raw pieces of the job file, including those of its drawings, each with its place."""
    own = []
    for i, entry in enumerate(raw.get("piece", [])):
        mark = entry.get("mark") if isinstance(entry, dict) else None
        own.append(RawPiece(file, f"piece {tidy(mark)}" if isinstance(mark, str) else f"piece {i + 1}", entry))
    if "drawing" not in raw and not any(isinstance(piece.raw, dict) and "from" in piece.raw for piece in own):
        return own
    from estimator.intake.drawings import read_drawings

    return read_drawings(raw, own, folder, file, faults, notices)


def _scheduled(raw: Raw, folder: Path, file: str, faults: list[Fault], notices: list[Notice]) -> Iterator[RawPiece]:
    """Yield every raw piece of the job's schedules, with its place."""
    for i, entry in enumerate(raw.get("schedule", [])):
        named = validate(ScheduleTable, entry, file, f"schedule {i + 1}", faults)
        if named is not None:
            yield from read_schedule(folder, named, file, f"schedule {i + 1}", faults, notices)


def pieces_of_schedules(raw: Raw, folder: Path) -> list[Raw]:
    """Rows of the schedules of a job file as pieces that it may list itself. Raises InputError."""
    faults = list[Fault]()
    pieces = [piece.raw for piece in _scheduled(either_spelling(raw, ""), folder, "", faults, [])]
    if faults:
        raise InputError(faults)
    return pieces


def pieces_of_files(raw: Raw, folder: Path) -> list[Raw]:
    """Pieces that a job file does not list itself: those of its drawings and schedules. Raises InputError."""
    raw, faults = either_spelling(raw, ""), list[Fault]()
    listed = {piece.get("mark") for piece in raw.get("piece", []) if isinstance(piece, dict)}
    drawn = _drawn(raw, folder, "", faults, [])
    if faults:
        raise InputError(faults)
    return [piece.raw for piece in drawn if piece.mark not in listed] + pieces_of_schedules(raw, folder)


def _sections(raw: Raw, file: str, faults: list[Fault]) -> Raw:
    """Known sections of the right type: tables, or lists of tables."""
    sections = {}
    for name, value in raw.items():
        listed = name in LISTED_SECTIONS
        if name == limits.SECTION:
            faults.append(Fault(file, name, message("limits-in-job")))
        elif name not in JOB_SECTIONS:
            faults.append(Fault(file, name, message("key-unknown", nearest=nearest(name, JOB_SECTIONS))))
        elif not isinstance(value, list if listed else dict):
            brackets = f"[[{name}]]" if listed else f"[{name}]"
            faults.append(Fault(file, name, message("section-brackets", brackets=brackets)))
        else:
            sections[name] = value
    return sections


def catalog_of(raw: Raw, folder: Path) -> Raw:
    """Catalog of a job file: the built-in one with the shop's own files merged over it, as far as they can be read."""
    return _catalog(validate(JobTable, raw.get("job", {}), "", "job", []), folder, [])


def _with_own_paths(catalog: Raw, folder: Path) -> Raw:
    """Catalog with the paths of its coupon files, logo and fonts, which are relative to it, resolved for the job."""
    business = catalog.get("business")
    if isinstance(business, dict):
        files = {key: business[key] for key in ("logo", "font", "font_bold") if isinstance(business.get(key), str)}
        own_files = {key: known_outside(str(folder / name)) for key, name in files.items()}
        catalog = {**catalog, "business": {**business, **own_files}}
    mixes = catalog.get("mixes")
    if not isinstance(mixes, dict):
        return catalog
    own = {
        name: {**mix, "coupons": known_outside(str(folder / mix["coupons"]))}
        if isinstance(mix, dict) and isinstance(mix.get("coupons"), str)
        else mix
        for name, mix in mixes.items()
    }
    return {**catalog, "mixes": own}


def _catalog(head: JobTable | None, folder: Path, faults: list[Fault]) -> Raw:
    """Built-in catalog with the shop's own catalog files merged over it."""
    units = head.units if head else "imperial"
    catalog = built_in_catalog(units)
    named = (head.catalog if head else None) or []
    for name in [named] if isinstance(named, str) else named:
        try:
            own = documents.in_units(read_named(folder, name), units)
        except InputError as error:
            faults.extend(error.faults)
            continue
        for section in own:
            if section not in (*CATALOG_SECTIONS, limits.SECTION):
                faults.append(Fault(name, section, message("key-unknown", nearest=nearest(section, CATALOG_SECTIONS))))
        limits.check_limits(own, name, faults)
        catalog = documents.merge_catalogs(catalog, _with_own_paths(own, Path(name).parent))
    return catalog
