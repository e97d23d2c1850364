"""Fields for the keys of a job file, generated from its schema in the same way for every table.

A field shows the text in the file, and typed text is written back as text: the job file is never converted to other
units.
"""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from functools import cache
from typing import Any, Literal, TypeGuard

from estimator.catalog import british, language_of
from estimator.errors import FaultError
from estimator.intake.edit import Edit, KeyPath, changed
from estimator.intake.faults import dotted
from estimator.intake.json_schema import json_schema
from estimator.names import american, folded
from estimator.page.examples import default_at, in_units
from estimator.units.table import Units
from estimator.words import PLAIN
from geometry.frozen import frozen
from geometry.message import message
from geometry.numbers import decimal_number, whole_number

Kind = Literal["text", "number", "whole", "share", "choice", "flag", "list", "quantities", "points", "pairs", "words"]
"""A share is a number or text with a percent sign. A list has one entry on each line, a table among them in braces. In
quantities, which a comma may part too, a bare number is a number. Points have their coordinates on one line, separated
by commas. Pairs are names with values, such as a blend; a value alone counts for all names. Words are one word, or a
list of several lines."""
Node = dict[str, Any]
SEPARATOR = "/"
OF_FILES = re.compile(
    r" Example: .*?\.(?= (?:Default|If|Required)\b|$)|, one \[\[\w+\]\] per \w+| Required\.|`", re.DOTALL
)
"""In the description of a key, what an editor of job files needs: a field shows its example in its place."""


ON_SCREEN = {"True": "Yes", "true": "yes", "false": "no"}
IN_FILE = re.compile(r"\b(?:True|true|false)\b")
"""What a flag is called in its help, which tells of the file."""
ONE_OF = re.compile(r' One of "[^.]*"\.')
QUOTED = re.compile(r'"([\w-]+)"')
DEFAULT = re.compile(r'Default: (?:"[^"]*"|[\d.]+)\.')


@frozen
class Field:
    """One key with its value in the file.

    at       path of the key, as used by a screen: piece/0/shape/length
    label    the key in words
    help     its description in the schema
    text     its value as typed; empty if the file leaves it out
    example  example of a value
    choices  allowed values
    held     its value in the file, where `text` is what somebody typed and could not be saved; else None
    """

    at: str
    label: str
    help: str
    kind: Kind
    text: str
    example: str
    choices: tuple[str, ...] = ()
    required: bool = False
    held: str | None = None

    @property
    def shown(self) -> str:
        """Value in the file when the form was made, which tells what was typed from what others changed meanwhile."""
        return self.text if self.held is None else self.held


@frozen
class Group:
    """A table or a list of tables below the one shown.

    entries   paths and names of the entries of a list
    stands    whether the file has it
    required  whether the table above has to have it
    """

    at: str
    label: str
    help: str
    is_list: bool
    entries: tuple[tuple[str, str], ...]
    stands: bool
    required: bool = False


@cache
def schema() -> Node:
    """Schema of the job file."""
    return json_schema()


def path_of(at: str) -> KeyPath:
    """Key path of a path used by a screen.

    >>> path_of("piece/0/shape/length")
    ('piece', 0, 'shape', 'length')
    """
    return tuple(int(part) if part.isdecimal() and len(part) < 10 else part for part in at.split(SEPARATOR) if part)


def at_of(path: KeyPath) -> str:
    """Key path in the form used by a screen."""
    return SEPARATOR.join(map(str, path))


def node_at(path: KeyPath, table: Any, kind: str | None = None) -> Node:
    """Schema of the value at a path, whether or not the file has it. Raises KeyError for an unknown key.

    table   the job file, in which `kind` selects one of several table types
    kind    kind of a table that is not in the file yet
    """
    node, value = _resolved(schema(), table), table
    for number, key in enumerate(path, start=1):
        value = _part(value, key)
        if kind is not None and value is None and number == len(path):
            value = {"kind": kind}
        if is_part(path[:number], table) and _part(value, "kind") is None:
            value = {**(value or {}), "kind": _kind_below(path[:number], table)}
        if number == 3 and path[0] in VERSIONS and key in OVERLAID:
            node = _resolved(schema()["properties"][OVERLAID[str(key)]], value)
        elif isinstance(key, int):
            items = node.get("items") or next(part for part in node.get("prefixItems", [{}]))
            node = _resolved(items, value)
        elif key in node.get("properties", {}):
            node = node["properties"][key] | {}
            node = _resolved(node, value)
        elif isinstance(node.get("additionalProperties"), dict):
            node = _resolved(node["additionalProperties"], value)
        else:
            raise KeyError(key)
    return node


VERSIONS = ("option", "alternative", "change")
OVERLAID = {
    "piece": "piece", "add": "piece", "workshop": "workshop", "price": "price", "stock": "stock", "mixes": "mixes",
    "materials": "materials",
}  # fmt: skip
"""Keys of a version that are overlaid on tables of the job, and those tables."""


def is_part(path: KeyPath, table: Any) -> bool:
    """Whether a path is that of a table overlaid on another, which may leave out any key."""
    over = path[0] in VERSIONS if path else False
    if over and len(path) >= 4 and path[2] == "piece":
        return len(path) == 5 and path[4] == "shape"
    return len(path) == 3 and path[0] == "piece" and path[2] == "shape" and bool(value_of((*path[:2], "from"), table))


def _kind_below(path: KeyPath, table: Any) -> str:
    """Kind of the shape under an overlaid one; a drawn shape is an outline."""
    number = entry_of(str(value_of((*path[:-1], "mark"), table) or ""), table)
    shape = None if number is None else value_of(("piece", number, "shape"), table)
    return str(_part(shape, "kind") or "outline")


def _is_pairs(node: Node) -> bool:
    """Whether a table has plain values under user-defined names, as a blend does."""
    inner = [part["additionalProperties"] for part in _variants(node) if _is_named(part)]
    return bool(inner) and not any(
        {"properties", "items"} & set(each) or each.get("type") == "object"
        for part in inner
        for each in _variants(_followed(part))
    )


def _is_plain_list(node: Node) -> bool:
    return any({"string", "number", "integer", "array"} & set(_types_within(part)) for part in _variants(node))


def kinds_at(path: KeyPath, table: Any) -> list[str]:
    """Kinds of table allowed at a path; empty if there is only one."""
    node = _followed(node_at(path[:-1], table)) if path else {}
    part = node.get("items") or node.get("properties", {}).get(path[-1], {}) if path else {}
    tables = [variant for variant in _variants(_followed(part)) if "kind" in variant.get("properties", {})]
    kinds = [kind for variant in tables for kind in _kinds(variant) if isinstance(kind, str)]
    return kinds if len(kinds) > 1 else []


def fields_of(
    path: KeyPath, table: Any, *, only_standing: bool = False, kind: str | None = None
) -> Iterator[Field | Group]:
    """Yield the keys of the table at a path: a field for a value, a group for a table or a list of tables.

    only_standing   skip keys that are not in the file
    kind            kind of a table that is not in the file yet
    """
    node, value = node_at(path, table, kind), value_of(path, table)
    own = value if isinstance(value, Mapping) else {}
    required = () if is_part(path, table) else node.get("required", ())
    if value is None and "properties" not in node and not _is_named(node):
        yield from _one(path, node, None, required=True)  # a value under a user-defined name, such as stock
        return
    keys = [key for key in node.get("properties", {}) if not _is_other_spelling(key, node, own)]
    keys += [key for key in own if key not in keys]
    keys.sort(key=lambda key: (key != "kind", key not in required))
    for key in keys:
        if only_standing and (key == "kind" or key not in own):
            continue
        if key == "kind" and (kinds := kinds_at(path, table)):
            text = text_of(own.get(key)) or kind or ""
            yield Field(at_of((*path, key)), label_of(key), "", "choice", text, "", tuple(kinds), True)
            continue
        part = node_at((*path, key), table)
        for entry in _one((*path, key), part, own.get(key), required=key in required):
            yield _in_job(entry, (*path, key), table)


OF_KIND: Mapping[str, tuple[str, ...]] = {
    "rectangle": ("length", "width", "radius"),
    "circle": ("diameter",),
    "ellipse": ("length", "width"),
    "outline": ("file", "unit", "layer", "gap", "scale", "page", "points"),
}
"""Keys of a cutout that one kind has and others have not: one table of the job file serves for all of them."""


def turned(path: KeyPath, table: Any, kind: str) -> Any:
    """Job file with a table of another kind at a path, which keeps the keys that this kind has too."""
    node = node_at(path, changed(table, Edit("set", path, {"kind": kind})))
    if kind == "compound":  # of what was there, and more
        return changed(table, Edit("set", path, {"kind": kind, "add": [value_of(path, table)]}))
    others = set[str]()
    if path[-2:-1] == ("cutouts",) and kind in OF_KIND:
        others = {key for keys in OF_KIND.values() for key in keys} - set(OF_KIND[kind])
    kept = {key: value for key, value in value_of(path, table).items() if key in node["properties"].keys() - others}
    return changed(table, Edit("set", path, {**kept, "kind": kind}))


def of_kind(parts: Iterator[Field | Group], path: KeyPath, kind: str | None) -> Iterator[Field | Group]:
    """Parts of the table at a path without those that its kind has no use for, unless they have a value."""
    others = {key for keys in OF_KIND.values() for key in keys} - set(OF_KIND.get(kind or "", ()))
    is_cutout = len(path) > 1 and path[-2] == "cutouts" and kind in OF_KIND
    for part in parts:
        if not (is_cutout and isinstance(part, Field) and not part.text and path_of(part.at)[-1] in others):
            yield part


def with_required(parts: Iterator[Field | Group], table: Any, kind: str | None = None) -> Iterator[Field | Group]:
    """Parts of a table that is not in the file yet, with the fields of each table that it has to have in its place.

    kind  kind of the table, in which a profile is that of a run or of a turned shape
    """
    for part in parts:
        if not isinstance(part, Group) or part.is_list or part.stands or not part.required:
            yield part
            continue
        path = path_of(part.at)
        above = changed(table, Edit("set", path[:-1], {"kind": kind})) if kind else table
        [example] = node_at(path[:-1], above)["properties"][path[-1]]["examples"]
        points = example["points"] if isinstance(example, dict) else example
        for field in fields_of(path, above):
            if isinstance(field, Field):
                field = replace(field, label=f"{part.label}: {field.label.lower()}")
                is_points = field.kind == "points"
                yield replace(field, help=part.help, example=text_of(points)) if is_points else field


def _in_job(entry: Field | Group, path: KeyPath, table: Any) -> Field | Group:
    """Field or group in the units and the words of the job."""
    units: Units = "metric" if value_of(("job", "units"), table) == "metric" else "imperial"
    entry = _in_units(entry, path, units)
    if (value_of(("job", "language"), table) or language_of(units)) != "en-GB":
        return entry
    return replace(entry, label=british(entry.label), help=british(entry.help))


def _in_units(entry: Field | Group, path: KeyPath, units: Units) -> Field | Group:
    """Field or group with its example and default in the units of the job; `scale` of a drawing is in neither."""
    if path[-1] == "scale":
        return entry
    default, help = default_at(path, units), entry.help
    if isinstance(default, str | float | int):
        help = DEFAULT.sub(lambda _: f"Default: {text_of(default)}.", help)
    help = in_units(help, units)
    if isinstance(entry, Group):
        return entry if help == entry.help else replace(entry, help=help)
    example = in_units(text_of(default) if isinstance(default, str | float | int) else entry.example, units)
    return entry if (help, example) == (entry.help, entry.example) else replace(entry, help=help, example=example)


def _one(path: KeyPath, node: Node, value: Any, *, required: bool) -> Iterator[Field | Group]:
    label, help = label_at(path), OF_FILES.sub("", node.get("description", ""))
    at = at_of(path)
    items = _resolved(node["items"], None) if isinstance(node.get("items"), dict) else {}
    plain = _is_plain_list(node) and not are_tables(value) and not isinstance(value, Mapping)
    if plain or (len(path) > 1 and _is_pairs(node)):
        kind = _kind(node, ()) if plain else "pairs"
        example = next((text_of(part["examples"][0]) for part in _variants(node) if part.get("examples")), "")
        yield Field(at, label, help, kind, text_of(value), example, (), required)
    elif "properties" in items or are_tables(value):
        entries = [((*path, number), _name(entry, number)) for number, entry in enumerate(value or [])]
        yield Group(at, label, help, True, tuple((at_of(entry), name) for entry, name in entries), bool(value))
    elif "properties" in node or isinstance(value, Mapping) or isinstance(node.get("additionalProperties"), dict):
        entries = [((*path, key), key) for key in value] if _is_named(node) and isinstance(value, Mapping) else []
        named = tuple((at_of(entry), name) for entry, name in entries)
        yield Group(at, label, help, False, named, value is not None, required)
    else:
        key, stated = str(path[-1]), map(str, next((part["enum"] for part in _variants(node) if "enum" in part), ()))
        choices = tuple(choice for choice in stated if choice in (american(choice), value))
        example = next((text_of(part["examples"][0]) for part in _variants(node) if part.get("examples")), "")
        kind = _kind(node, choices)
        if choices:
            help = QUOTED.sub(lambda found: f'"{choice_text(key, found[1])}"', ONE_OF.sub("", help))
        help = IN_FILE.sub(lambda found: ON_SCREEN[found[0]], help) if kind == "flag" else help
        yield Field(at, label, help, kind, text_of(value), example, choices, required)


def _is_named(node: Node) -> bool:
    """Whether the keys of a table are names defined by the user: mixes, materials, stock."""
    return isinstance(node.get("additionalProperties"), dict)


def are_tables(value: Any) -> TypeGuard[list[dict[str, Any]]]:
    """Whether a value is a list of tables, which is not empty."""
    return isinstance(value, list) and bool(value) and all(isinstance(part, Mapping) for part in value)


def typed(text: str, field: Field) -> Any:
    """Value of a key from the text typed into its field; None if empty. Raises FaultError.

    >>> typed("3", Field("piece/0/quantity", "Quantity", "", "whole", "1", "2"))
    3
    """
    text = text.strip()
    if not text:
        return None
    if field.kind == "flag":
        return text == "true"
    if field.kind == "words":
        lines = [line.strip() for line in text.splitlines() if line.strip()]
        return lines if len(lines) > 1 else lines[0]
    if field.kind == "pairs" and "=" not in text:
        return _bare(text)
    if field.kind == "pairs":
        pairs = [line.partition("=") for line in text.splitlines() if line.strip()]
        return {name.strip(): _bare(value) for name, _, value in pairs}
    if field.kind in ("list", "quantities", "points"):
        lines = [part.strip() for part in text.splitlines() if part.strip()]
        if field.kind == "points":
            return [[_bare(part) for part in line.split(",")] for line in lines]
        if field.kind == "quantities" and "{" not in text:  # such as 80 in, 0 in
            lines = [part.strip() for line in lines for part in line.split(",") if part.strip()]
        return [_entry(line) if line.startswith("{") or field.kind != "list" else line for line in lines]
    if field.kind in ("whole", "number", "share"):
        try:
            return whole_number(text) if field.kind == "whole" or text.lstrip("-").isdecimal() else decimal_number(text)
        except ValueError:
            if field.kind != "share":
                raise FaultError("", message("page-not-a-number", text=text)) from None
    return text


def _entry(line: str) -> Any:
    """Entry of a list: a table in braces, a number, or text. Raises FaultError for braces that hold no table."""
    if not line.startswith("{"):
        return _bare(line)
    try:
        return tomllib.loads(f"entry = {line}")["entry"]
    except tomllib.TOMLDecodeError:
        raise FaultError("", message("page-not-a-table", text=line)) from None


def _bare(text: str) -> str | float:
    """Number for a number without a unit, else the text."""
    try:
        number = decimal_number(text)
    except ValueError:
        return text.strip()
    return int(number) if number.is_integer() and text.strip().lstrip("-").isdecimal() else number


def label_of(key: str | int) -> str:
    """Key in words.

    >>> label_of("water_cementitious")
    'Water cementitious'
    >>> label_of("mitre_left")
    'Miter left'
    >>> label_of("a_frame_rating"), label_of("first_crack_strength")
    ('A-frame rating', 'First-crack strength')
    """
    if key in NAMED:
        return PLAIN(f"entry-{key}")
    words = american(str(key)).replace("_", " ").replace("-", " ")
    words = words.replace("a frame", "a-frame").replace("first crack", "first-crack")
    return "AR" + words[2:] if words.startswith("ar ") else words[:1].upper() + words[1:]


def choice_text(key: str, choice: str) -> str:
    """One of the values that a key allows, in words.

    >>> choice_text("method", "spray"), choice_text("rounding", "up"), choice_text("face", "up")
    ('Sprayed', 'Up to the next step', 'Face up')
    """
    return PLAIN("page-choice", choice=choice, key=key)


def label_at(path: KeyPath) -> str:
    """Label of the key at a path; the site of a client is an address, that of a job how to get in."""
    return PLAIN("entry-client-site") if path == ("client", "site") else label_of(path[-1])


NAMED = frozenset({
    "alternative", "at", "bucket", "business", "c2s", "c3a", "c3s", "c4af", "cao", "change", "cure", "cutouts",
    "drawing", "form", "free_cao", "item", "lots", "lump", "mgo", "option", "piece", "practice", "schedule", "show",
    "sign_off", "site", "so3", "stock", "supplier", "swap", "taken", "traits", "workshop",
})  # fmt: skip
"""Keys that need a label of their own."""


def name_of(path: KeyPath, table: Any) -> str:
    """Name of a path: an entry of a list by its mark or name, a key by its label."""
    last = path[-1]
    return _name(value_of(path, table), last) if isinstance(last, int) else label_of(last)


def entry_of(mark: str, table: Any) -> int | None:
    """Index of the job file entry of a piece; None for a schedule row or a part of a piece."""
    for number, entry in enumerate(table.get("piece", [])):
        if isinstance(entry, Mapping) and folded(str(entry.get("mark", ""))) == folded(mark):
            return number
    return None


def labels_by_place(fields: Iterable[Field], table: Any) -> dict[str, str]:
    """Labels of fields, and of the tables that they are in, by the places that faults of the job file give them."""
    places = {}
    for field in fields:
        path = path_of(field.at)
        piece = value_of((*path[:2], "mark"), table) if path[0] == "piece" and len(path) > 2 else None
        for part, label in ((path, field.label), (path[:-1], label_of(next(filter(_is_key, path[-2::-1]), "")))):
            own = part if piece is None else part[2:]
            if own:
                places[dotted(own) if piece is None else f"piece {piece}, {dotted(own)}"] = label
    return places


def _is_key(step: str | int) -> bool:
    return isinstance(step, str)


def is_named(path: KeyPath, table: Any) -> bool:
    """Whether the keys of the table at a path are names defined by the user: mixes, materials, stock."""
    return bool(path) and _is_named(node_at(path, table))


def next_of(path: KeyPath, table: Any, name: str) -> KeyPath:
    """Path of a new entry: the next index of a list, or a name in a table of named entries."""
    entries = value_of(path, table)
    if isinstance(node_at(path, table).get("items"), dict):
        return (*path, len(entries) if isinstance(entries, list) else 0)
    return (*path, name)


def help_of(path: KeyPath, table: Any) -> str:
    """Description of the table at a path in the schema; for an entry of a list, that of the list."""
    described = path[:-1] if path and isinstance(path[-1], int) else path
    return OF_FILES.sub("", str(node_at(described, table).get("description", ""))) if described else ""


def value_of(path: KeyPath, table: Any) -> Any:
    """Value at a path, or None."""
    for key in path:
        table = _part(table, key)
    return table


def _part(value: Any, key: str | int) -> Any:
    if isinstance(value, Mapping):
        return value.get(key)
    if isinstance(value, list) and isinstance(key, int) and key < len(value):
        return value[key]
    return None


def text_of(value: Any) -> str:
    """A value of the job file as its field shows it.

    >>> text_of(12345.67), text_of(8580.0), text_of(None)
    ('12345.67', '8580', '')
    """
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, Mapping):
        return "\n".join(f"{key} = {text_of(part)}" for key, part in value.items())
    if isinstance(value, list):
        return "\n".join(", ".join(map(text_of, p)) if isinstance(p, list) else _in_braces(p) for p in value)
    return f"{value:.12g}" if isinstance(value, float) else str(value)


def _in_braces(value: Any) -> str:
    """Entry of a list as text; of a table as TOML on one line."""
    if not isinstance(value, Mapping):
        return text_of(value)
    return "{ " + ", ".join(f"{key} = {_inline(part)}" for key, part in value.items()) + " }"


def _inline(value: Any) -> str:
    """Value as TOML on one line."""
    if isinstance(value, Mapping):
        return _in_braces(value)
    if isinstance(value, list):
        return "[" + ", ".join(map(_inline, value)) + "]"
    return json.dumps(value, ensure_ascii=False) if isinstance(value, str) else text_of(value)


def _kind(node: Node, choices: tuple[str, ...]) -> Kind:
    stated = [part.get("type") for part in _variants(node)]
    types = [name for type in stated for name in (type if isinstance(type, list) else [type])]
    if choices:
        return "choice"
    if "boolean" in types:
        return "flag"
    if "string" in types and "array" in types:
        return "words"
    if "string" in types:
        return "share" if "number" in types else "text"
    if "array" in types:
        parts = [kind for part in _variants(node) for kind in _types_within(part)]
        return "points" if "array" in parts else "quantities" if {"number", "integer"} & set(parts) else "list"
    return "whole" if "integer" in types else "number" if "number" in types else "text"


def _types_within(node: Node) -> Iterator[str]:
    """Yield the types that the entries of a list may have."""
    inner = [node["items"]] if isinstance(node.get("items"), dict) else node.get("prefixItems", [])
    for part in inner:
        for variant in _variants(_followed(part)):
            kinds = variant.get("type", [])
            yield from [kinds] if isinstance(kinds, str) else kinds


def _variants(node: Node) -> list[Node]:
    """The node and all its alternatives."""
    variants = [node]
    for key in ("anyOf", "oneOf", "allOf"):
        for part in node.get(key, []):
            variants += _variants(_followed(part))
    return variants


def _followed(node: Node) -> Node:
    while "$ref" in node:
        name = node["$ref"].rpartition("/")[2]
        node = schema()["$defs"][name] | {key: part for key, part in node.items() if key != "$ref"}
    return node


def _resolved(node: Node, value: Any) -> Node:
    """Node with its reference resolved; of several table types, the one that matches the value."""
    node = _followed(node)
    tables = [part for part in _variants(node) if "properties" in part]
    lists = [part for part in _variants(node) if isinstance(part.get("items"), dict)]
    if tables and lists and isinstance(value, list) and value and not are_tables(value):
        return lists[0] | {"description": node.get("description", "")}
    if isinstance(value, str | int | float) and not _is_named(node):
        return {key: part for key, part in node.items() if key not in ("properties", "items")}
    if "properties" in node or not tables:
        items = [part for part in _variants(node) if isinstance(part.get("items"), dict)]
        return node | {"items": items[0]["items"]} if items and "items" not in node else node
    kind = value.get("kind") if isinstance(value, Mapping) else None
    chosen = next((part for part in tables if kind in _kinds(part)), tables[0])
    return chosen | {"description": node.get("description", chosen.get("description", ""))}


def _kinds(node: Node) -> tuple[Any, ...]:
    kinds = _variants(node["properties"].get("kind", {}))
    return tuple(kind for part in kinds for kind in (part.get("const"), *part.get("enum", ())) if kind is not None)


def _is_other_spelling(key: str, node: Node, own: Mapping[str, Any]) -> bool:
    """Whether a key says what another does, in British spelling or as `sides` for `edges`, and the file has it not."""
    if key == "sides" and key not in own and "edges" in node["properties"]:
        return True
    return key not in own and american(key) != key and american(key) in node["properties"]


def _name(entry: Any, number: int) -> str:
    """Name of a list entry: its mark, name or another identifying key, else its number."""
    if isinstance(entry, Mapping):
        for key in ("mark", "name", "number", "mix", "file", "kind"):
            if entry.get(key):
                return choice_text(key, entry[key]) if key == "kind" else str(entry[key])
    return str(number + 1)
