"""Documents as plain tables: TOML in either spelling, the built-in catalog, and merging.

Materials and shop settings merge key by key; packs, blends and whole mixes are replaced. Options, alternates and
change orders are overlaid on the job as written.
"""

import os
import re
import tomllib
from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

from estimator.disk import refusal
from estimator.errors import Fault, FaultError, InputError
from estimator.intake.material_tables import DENSITY_KEYS, FORMS, PART_FORMS, PROPORTIONS
from estimator.intake.term_tables import OverlayTable
from estimator.names import both_spellings, first_spellings, folded, nearest
from geometry.files import limits, named_file, packaged, read_bytes, shortened
from geometry.frozen import frozen
from geometry.message import Message, message
from geometry.plane import Region

SPELLED_TWO_WAYS = frozenset(
    {
        "colour",
        "colour-critical",
        "colour_group",
        "demould_crew",
        "face-grey",
        "fibre",
        "fibre_basis",
        "forklift_load_centre",
        "glass-fibre",
        "grey-cement",
        "hardware_glass_fibre",
        "labour",
        "licence",
        "mitre_left",
        "mitre_right",
        "mould-laminate",
        "mould-rubber",
        "remake_colour_critical",
        "strip_glass_fibre",
        "thickness_glass_fibre",
        "uses_glass_fibre",
    }
)
"""Keys and values of the job file, and names of the built-in catalog, in the program's spelling; a test keeps the list
complete. Names chosen by a user are left as written."""
_OWN_SPELLING = {written: own for own in SPELLED_TWO_WAYS for written in both_spellings(own)}
FREE_TEXT = frozenset(
    {"cause", "mark", "name", "note", "number", "pour", "reason", "text", "title"}
    | {"address", "contact", "hours", "item", "site"}
    | {"color", "colour", "description", "excluded", "finish", "included", "terms"}
)
"""Keys whose values are free text of the user."""


def either_spelling(raw: dict[str, Any], file: str) -> dict[str, Any]:
    """Document in the program's spelling. Raises InputError if one table has both spellings of a key.

    >>> either_spelling({"mixes": {"shop": {"fiber": {"ar-glass": 0.03}}}}, "job.toml")
    {'mixes': {'shop': {'fibre': {'ar-glass': 0.03}}}}
    """
    faults: list[Fault] = []
    document: dict[str, Any] = _table(raw, file, (), faults)
    if faults:
        raise InputError(faults)
    return document


def _table(raw: dict[str, Any], file: str, path: tuple[str, ...], faults: list[Fault]) -> dict[str, Any]:
    table: dict[str, Any] = {}
    written: dict[str, str] = {}
    for key, value in raw.items():
        own = spelled(key)
        if own in written:
            problem = message("key-spelled-twice", first=written[own], second=key)
            faults.append(Fault(file, ".".join((*path, key)), problem))
        written[own] = key
        table[own] = _value(value, file, (*path, key), faults, free=key in FREE_TEXT)
    return table


def _value(value: Any, file: str, path: tuple[str, ...], faults: list[Fault], *, free: bool) -> Any:
    if isinstance(value, dict):
        return _table(value, file, path, faults)
    if isinstance(value, list):
        return [_value(part, file, path, faults, free=free) for part in value]
    return spelled(value) if isinstance(value, str) and not free else value


def spelled(name: str) -> str:
    """Key, value or catalog name in the program's spelling; any other text unchanged."""
    return _OWN_SPELLING.get(name, name)


Raw = dict[str, Any]
MARKUP_KEYS = ("margin", "markup")
TESTED_KEYS = ("first_crack_strength", "coupons")
UNCHANGING_KEYS = {"based_on", "title", "note", "waste", "colour_group", "water_held_back", *TESTED_KEYS}


def over(base: Raw, top: Raw) -> Raw:
    """Tables merged key by key; a list, text or number in `top` replaces that in `base`."""
    merged = dict(base)
    for key, value in top.items():
        below = merged.get(key)
        merged[key] = over(below, value) if isinstance(below, dict) and isinstance(value, dict) else value
    return merged


def _exclusive(base: Raw, top: Raw, keys: tuple[str, ...]) -> Raw:
    """`base` without any of the mutually exclusive `keys`, if `top` has one of them."""
    replaced = any(key in top for key in keys)
    return {key: value for key, value in base.items() if not (replaced and key in keys)}


def merge_material(base: Raw, top: Raw) -> Raw:
    """Material merged over its catalog entry. A new density of any kind replaces the old one."""
    return over(_exclusive(base, top, DENSITY_KEYS), top)


def merge_price(base: Raw, top: Raw) -> Raw:
    """Price terms merged over the catalog's. A markup replaces a margin, and vice versa."""
    return over(_exclusive(base, top, MARKUP_KEYS), top)


def merge_named(base: list[Any], top: list[Any]) -> list[Any]:
    """Lists of named tables merged: a table in `top` replaces the one of the same name."""
    named = {entry.get("name") for entry in top if isinstance(entry, dict)}
    return [*(entry for entry in base if not (isinstance(entry, dict) and entry.get("name") in named)), *top]


def merge_catalogs(base: Raw, top: Raw) -> Raw:
    """Whole document merged over another."""
    merged = dict(base)
    for section, value in top.items():
        below = merged.get(section, [] if section == "supplier" else {})
        if section == "supplier" and isinstance(value, list) and isinstance(below, list):
            merged[section] = merge_named(below, value)
        elif not isinstance(value, dict) or not isinstance(below, dict):
            merged[section] = value
        elif section == "materials":
            merged[section] = dict(below)
            for name, entry in value.items():
                known = below.get(name, {})
                both = isinstance(entry, dict) and isinstance(known, dict)
                merged[section][name] = merge_material(known, entry) if both else entry
        elif section == "mixes":
            merged[section] = {**below, **value}
        elif section == "price":
            merged[section] = merge_price(below, value)
        else:
            merged[section] = over(below, value)
    return merged


def based(name: str, mixes: Mapping[str, Any], base_mixes: Mapping[str, Any], file: str, faults: list[Fault]) -> Any:
    """Mix merged over the mixes it is based on, or None with a fault.

    A mix of the job may be based on the catalog mix of the same name.
    """
    chain: list[Raw] = []
    seen: set[tuple[str, bool]] = set()
    at, own = name, name in mixes
    while True:
        source = mixes if own else base_mixes
        entry = source.get(at)
        if not isinstance(entry, dict):
            return entry
        if (at, own) in seen:
            faults.append(Fault(file, f"mix {name}, based_on", message("mix-based-on-itself")))
            return None
        seen.add((at, own))
        # the printed title belongs to one mix and is not inherited
        chain.append(entry if at == name else {key: value for key, value in entry.items() if key != "title"})
        start = entry.get("based_on")
        if not isinstance(start, str):
            break
        own = start in mixes and not (start == at and own)
        if not own and start not in base_mixes:
            problem = message("mix-unknown", name=start, nearest=nearest(start, [*mixes, *base_mixes]))
            faults.append(Fault(file, f"mix {name}, based_on", problem))
            return None
        at = start
    merged: Raw = {}
    for entry in reversed(chain):
        merged = merge_mix(merged, entry)
    return merged


def merge_mix(base: Raw, top: Raw) -> Raw:
    """Mix merged over its base, key by key; a blend replaces a blend.

    A new way of proportioning drops the old one. Any change of the mix drops its tested strength, because coupons prove
    only the strength of the mix they were cast from.
    """
    dropped: set[str] = set()
    forms = [key for key in FORMS if key in top]
    if forms:
        dropped.update(FORMS)
        if any(key in PART_FORMS for key in forms) or any(key in base for key in PART_FORMS):
            dropped.update(PROPORTIONS)
    if forms or "aggregate" in top:
        dropped.add("replacement")
    if not set(top) <= UNCHANGING_KEYS:
        dropped.update(TESTED_KEYS)
    return {key: value for key, value in base.items() if key not in dropped} | top


CURLY_QUOTES = "“”„‘’‚"
LINE_OF_ERROR = re.compile(r"at line (\d+)")
WINDOWS_PATH = re.compile(  # a single backslash in a file name in double quotes
    r'^(?!\s*#).*"[^"]*(?<!\\)\\(?!\\)[^"]*\.(?:stl|obj|ply|off|3mf|dxf|svg|csv|xlsx|toml)"', re.IGNORECASE
)
BUILT_IN = ("limits.toml", "materials.toml", "mixes.toml", "workshop.toml")
CATALOG_SECTIONS = ("materials", "mixes", "workshop", "price", "bucket", "business", "supplier", "receiving", "scope")


def read_toml(path: Path, label: str | None = None) -> Raw:
    """TOML document in the program's spelling. Raises InputError if it is missing, unreadable or not TOML."""
    return either_spelling(read_as_typed(path, label), label or path.name)


def read_as_typed(path: Path, label: str | None = None) -> Raw:
    """TOML document with its keys as typed. Raises InputError with one fault like `read_toml`."""
    name = label or path.name or str(path)  # "." has no name
    try:
        if label is None and os.path.islink(path):  # named files are checked by `read_named`
            named_file(path.parent, path.name)
        text = read_bytes(path).decode("utf-8-sig")
    except FileNotFoundError:
        raise InputError([Fault(name, "", message("file-missing"))]) from None
    except IsADirectoryError:
        raise InputError([Fault(name, "", message("file-is-folder"))]) from None
    except FaultError as error:
        raise InputError([Fault(name, "", error.message)]) from None
    except UnicodeDecodeError:
        raise InputError([Fault(name, "", message("file-not-utf8"))]) from None
    except OSError as error:
        raise InputError([Fault(name, "", message("file-not-read", reason=refusal(error)))]) from None
    _check_paths(text, name)
    try:
        document = tomllib.loads(text)
        _refuse_nested(document)
        return document
    except RecursionError:
        raise InputError([Fault(name, "", _nested().message)]) from None
    except FaultError as error:
        raise InputError([Fault(name, "", error.message)]) from None
    except tomllib.TOMLDecodeError as error:
        raise InputError([_not_toml(name, text, str(error))]) from None


def _refuse_nested(document: Raw) -> None:
    """Raise FaultError for tables or lists nested deeper than the limit."""
    parts: list[Any] = [document]
    for _ in range(limits().levels):
        inner = [value for part in parts for value in (part.values() if isinstance(part, dict) else part)]
        parts = [value for value in inner if isinstance(value, dict | list)]
        if not parts:
            return
    raise _nested()


def _nested() -> FaultError:
    return limits().over("file-nested", "levels", limits().levels + 1, kind="TOML")


def read_named(folder: Path, name: str) -> Raw:
    """TOML document `name`, relative to `folder`. Raises InputError as `read_toml` does."""
    try:
        path = named_file(folder, name)
    except FaultError as error:
        problem = message("file-missing") if error.message.id == "file-none" else error.message
        raise InputError([Fault(shortened(name), "", problem)]) from None
    return read_toml(path, name)


def _not_toml(file: str, text: str, report: str) -> Fault:
    """Fault with the line of a syntax error and its most likely cause."""
    match = LINE_OF_ERROR.search(report)
    line = text.splitlines()[int(match[1]) - 1] if match and int(match[1]) <= len(text.splitlines()) else ""
    place = f"line {match[1]}" if match else ""
    outside = re.sub(r"""".*?"|'.*?'""", "", line)  # curly quotes inside straight quotes are text
    if any(quote in outside for quote in CURLY_QUOTES):
        return Fault(file, place, message("toml-curly-quotes"))
    open_text = "Illegal character" in report  # by a backslash before its closing quote, or without one
    if "\\" in (line if open_text else outside) or re.search(r"Unescaped|hex|Escaped", report):
        return Fault(file, place, message("toml-backslash"))
    return Fault(file, place, _toml_message(report))


TOML_FINDINGS = (  # part of the parser's error text, and our message
    ("Unclosed array", "toml-list-open"),
    ("Unclosed inline table", "toml-table-open"),
    ("Unterminated string", "toml-text-open"),
    ("Expected '\"'", "toml-text-open"),
    ("Illegal character", "toml-text-open"),
    ("Cannot overwrite a value", "toml-key-twice"),
    ("Duplicate inline table key", "toml-key-twice"),
    ("Cannot declare", "toml-section-twice"),
    ("Cannot mutate", "toml-section-twice"),
    ("Expected '=' after a key", "toml-no-equals"),
    ("Invalid value", "toml-value"),
    ("Expected newline or end of document", "toml-after-value"),
    ("Expected ']", "toml-section-open"),
)


def _toml_message(report: str) -> Message:
    """Message for a TOML syntax error, not in the parser's words."""
    return message(next((id for part, id in TOML_FINDINGS if part in report), "toml-other"))


def _check_paths(text: str, file: str) -> None:
    """Raise InputError for Windows paths in double quotes, where a backslash starts an escape."""
    faults = [
        Fault(file, f"line {number}", message("toml-backslash"))
        for number, line in enumerate(text.splitlines(), start=1)
        if "\\" in line and WINDOWS_PATH.search(line)
    ]
    if faults:
        raise InputError(faults)


@cache
def built_in_catalog(units: str = "imperial") -> Raw:
    """Catalog in the package, for jobs in one system of units."""
    catalog: Raw = {}
    for name in BUILT_IN:
        text = packaged("catalogs", name).decode()
        catalog = merge_catalogs(catalog, in_units(tomllib.loads(text), units))
    return catalog


def in_units(value: Any, units: str) -> Any:
    """Catalog table with the value for one system of units wherever it has one for each.

    >>> in_units({"door": {"imperial": "32 in", "metric": "800 mm"}, "crew": 2}, "metric")
    {'door': '800 mm', 'crew': 2}
    """
    if not isinstance(value, dict):
        return value
    if value.keys() == {"imperial", "metric"}:
        return value[units]
    return {key: in_units(part, units) for key, part in value.items()}


OVERLAID = ("mixes", "materials", "workshop", "price", "stock")


@frozen
class RawPiece:
    """A piece as written in its file, not yet checked.

    region  region of a piece that comes from a drawing of several pieces
    """

    file: str
    place: str
    raw: Any
    region: Region | None = None

    @property
    def mark(self) -> str | None:
        mark = self.raw.get("mark") if isinstance(self.raw, dict) else None
        return mark if isinstance(mark, str) else None


@frozen
class Written:
    """A job file as written, its pieces including the rows of its schedules."""

    sections: Raw
    pieces: tuple[RawPiece, ...]

    @property
    def marks(self) -> list[str]:
        return [piece.mark for piece in self.pieces if piece.mark is not None]


def overlaid(written: Written, table: OverlayTable, file: str, place: str, faults: list[Fault]) -> Written:
    """Job file as written with an overlay applied. An unknown mark or mix becomes a fault at `place`."""
    _check_marks(written, table, file, place, faults)
    changed = {folded(str(change.get("mark"))): change for change in table.piece}
    affected = {folded(mark) for mark in table.pieces or written.marks}
    removed = {folded(mark) for mark in table.remove}
    job = written.sections.get("job", {})
    default = job.get("mix") if isinstance(job, dict) else None
    used_mixes: set[str] = set()
    pieces = []
    for piece in written.pieces:
        mark = None if piece.mark is None else folded(piece.mark)
        if mark in removed:
            continue
        raw = piece.raw
        if mark in affected and table.swap:
            raw = _swapped(raw, table.swap, default, used_mixes)
        if mark is not None and mark in changed:
            raw = laid_over(raw, changed[mark] | {"mark": piece.mark})
        pieces.append(replace(piece, raw=raw))
    for old in table.swap:
        if old not in used_mixes and affected <= {folded(mark) for mark in written.marks}:
            used = sorted({mix for piece in written.pieces for mix in _mixes_of(piece.raw, default)})
            problem = message("swap-not-used", name=old, nearest=nearest(old, used))
            faults.append(Fault(file, f"{place}, swap.{old}", problem))
    for i, raw in enumerate(table.add):
        mark = raw.get("mark", i + 1)
        pieces.append(RawPiece(file, f"piece {mark}", raw))
    sections = {name: value for name in OVERLAID if (value := getattr(table, name))}
    return Written(merge_catalogs(written.sections, sections), tuple(pieces))


def _check_marks(written: Written, table: OverlayTable, file: str, place: str, faults: list[Fault]) -> None:
    known = {folded(mark) for mark in written.marks}
    named = [("pieces", mark) for mark in table.pieces] + [("remove", mark) for mark in table.remove]
    for i, change in enumerate(table.piece):
        mark = change.get("mark")
        if not isinstance(mark, str):
            faults.append(Fault(file, f"{place}, piece[{i}]", message("overlay-no-mark")))
        else:
            named.append((f"piece[{i}].mark", mark))
    for key, mark in named:
        if folded(mark) not in known:
            problem = message("piece-unknown", mark=mark, nearest=nearest(mark, written.marks))
            faults.append(Fault(file, f"{place}, {key}", problem))
    changed = [mark for key, mark in named if key.startswith("piece[")]
    for mark, first in first_spellings(changed).items():
        if mark != first or changed.count(mark) > 1:
            faults.append(Fault(file, f"{place}, piece", message("overlay-mark-twice", mark=mark)))


def laid_over(raw: Any, change: Raw) -> Any:
    """Piece with the keys of a change applied; a shape of another kind replaces the whole shape."""
    if not isinstance(raw, dict):
        return raw
    shape, new = raw.get("shape"), change.get("shape")
    base = raw
    if isinstance(shape, dict) and isinstance(new, dict) and new.get("kind", shape.get("kind")) != shape.get("kind"):
        base = {key: value for key, value in raw.items() if key != "shape"}
    if ("mix" in change) != ("layers" in change):  # each replaces the other
        base = {key: value for key, value in base.items() if key not in ("mix", "layers")}
    return over(base, change)


def _swapped(raw: Any, swap: Mapping[str, str], default: Any, used_mixes: set[str]) -> Any:
    """Piece with mixes swapped in its layers, or instead of the job's mix. Adds its mixes to `used_mixes`."""
    if not isinstance(raw, dict):
        return raw
    used = _mixes_of(raw, default)
    used_mixes.update(used)
    if isinstance(raw.get("layers"), list):
        layers = [
            {**layer, "mix": swap.get(layer["mix"], layer["mix"])}
            if isinstance(layer, dict) and isinstance(layer.get("mix"), str)
            else layer
            for layer in raw["layers"]
        ]
        return {**raw, "layers": layers}
    return {**raw, "mix": swap[used[0]]} if used and used[0] in swap else raw


def _mixes_of(raw: Any, default: Any) -> list[str]:
    if not isinstance(raw, dict):
        return []
    if isinstance(raw.get("layers"), list):
        named = [layer.get("mix") for layer in raw["layers"] if isinstance(layer, dict)]
    else:
        named = [raw.get("mix", default)]
    return [mix for mix in named if isinstance(mix, str)]
