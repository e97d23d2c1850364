"""Fields for the keys of a job file, made from its schema: one concept for every table of the job.

A field shows the text that stands in the file, and what is typed goes back there as text: the job file is never
rewritten in other units.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any, Literal

from estimator.errors import FaultError
from estimator.intake.edit import KeyPath
from estimator.intake.json_schema import json_schema
from estimator.names import american, folded
from estimator.words import PLAIN
from geometry.frozen import frozen
from geometry.message import message

Kind = Literal["text", "number", "whole", "share", "choice", "flag", "list", "quantities", "points", "pairs", "changes"]
"""A share is a number or text with a percent sign. A list has a line an entry; of quantities, a bare number is one, and
points have their coordinates on one line, with commas. Pairs are names with their values, such as a blend. Changes name
a piece and a key of it, and say what it becomes."""
Node = dict[str, Any]
SEPARATOR = "/"
EXAMPLE = re.compile(r" Example: .*?\.(?= [A-Z]|$)", re.DOTALL)
"""In the description of a key, as an editor of job files shows it: a field shows it in its place."""


@frozen
class Field:
    """One key with the value that stands in the file.

    at       path of the key, as a screen names it: piece/0/shape/length
    label    the key in words
    help     what the schema says of it
    text     its value as typed; empty where the file leaves it out
    example  what could be typed
    choices  what may be chosen
    """

    at: str
    label: str
    help: str
    kind: Kind
    text: str
    example: str
    choices: tuple[str, ...] = ()
    required: bool = False


@frozen
class Group:
    """A table or a list of tables below the one that is shown.

    entries  paths and names of the entries of a list
    """

    at: str
    label: str
    help: str
    is_list: bool
    entries: tuple[tuple[str, str], ...]
    stands: bool


@cache
def schema() -> Node:
    """The schema of the job file."""
    return json_schema()


def path_of(at: str) -> KeyPath:
    """The path that a screen names.

    >>> path_of("piece/0/shape/length")
    ('piece', 0, 'shape', 'length')
    """
    return tuple(int(part) if part.isdecimal() else part for part in at.split(SEPARATOR) if part)


def at_of(path: KeyPath) -> str:
    """A path as a screen names it."""
    return SEPARATOR.join(map(str, path))


def node_at(path: KeyPath, table: Any, kind: str | None = None) -> Node:
    """The schema of what stands, or could stand, at a path. Raises KeyError for a key that the job file has not.

    table   the job file, whose `kind` tells which of several tables one is
    kind    of a table that does not stand there yet
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
"""Keys of a version that lie over tables of the job, and those tables."""


def is_part(path: KeyPath, table: Any) -> bool:
    """Whether a path is that of a table which lies over another, and so may leave out any of its keys."""
    over = path[0] in VERSIONS if path else False
    if over and len(path) >= 4 and path[2] == "piece":
        return len(path) == 5 and path[4] == "shape"
    return len(path) == 3 and path[0] == "piece" and path[2] == "shape" and bool(value_of((*path[:2], "from"), table))


def _kind_below(path: KeyPath, table: Any) -> str:
    """Kind of the shape over which another lies; of a drawn one it is an outline."""
    number = entry_of(str(value_of((*path[:-1], "mark"), table) or ""), table)
    shape = None if number is None else value_of(("piece", number, "shape"), table)
    return str(_part(shape, "kind") or "outline")


def _is_pairs(node: Node) -> bool:
    """Whether a table holds plain values by names of the user's own, as a blend does."""
    inner = [part["additionalProperties"] for part in _variants(node) if _is_named(part)]
    return bool(inner) and not any(
        {"properties", "items"} & set(each) or each.get("type") == "object"
        for part in inner
        for each in _variants(_followed(part))
    )


def _is_plain_list(node: Node) -> bool:
    return any({"string", "number", "integer", "array"} & set(_types_within(part)) for part in _variants(node))


def kinds_at(path: KeyPath, table: Any) -> list[str]:
    """The kinds of table that may stand at a path; none where there is one alone."""
    node = _followed(node_at(path[:-1], table)) if path else {}
    part = node.get("items") or node.get("properties", {}).get(path[-1], {}) if path else {}
    tables = [each for each in _variants(_followed(part)) if "kind" in each.get("properties", {})]
    kinds = [kind for each in tables for kind in _kinds(each) if isinstance(kind, str)]
    return kinds if len(kinds) > 1 else []


def fields_of(
    path: KeyPath, table: Any, *, only_standing: bool = False, kind: str | None = None
) -> Iterator[Field | Group]:
    """The keys of the table at a path: a field for a value, a group for a table or a list of tables.

    only_standing   keys that the file leaves out are left out here
    kind            of a table that does not stand there yet
    """
    node, value = node_at(path, table, kind), value_of(path, table)
    own = value if isinstance(value, Mapping) else {}
    required = () if is_part(path, table) else node.get("required", ())
    if value is None and "properties" not in node and not _is_named(node):
        yield from _one(path, node, None, required=True)  # a value with a name of the user's own: so much in stock
        return
    keys = [key for key in node.get("properties", {}) if not _is_other_spelling(key, node, own)]
    keys += [key for key in own if key not in keys]
    keys.sort(key=lambda key: key != "kind")
    for key in keys:
        if only_standing and (key == "kind" or key not in own):
            continue
        if key == "kind" and (kinds := kinds_at(path, table)):
            text = _typed(own.get(key)) or kind or ""
            yield Field(at_of((*path, key)), label_of(key), "", "choice", text, "", tuple(kinds), True)
            continue
        part = node_at((*path, key), table)
        yield from _one((*path, key), part, own.get(key), required=key in required)


def _one(path: KeyPath, node: Node, value: Any, *, required: bool) -> Iterator[Field | Group]:
    label, help = label_of(path[-1]), EXAMPLE.sub("", node.get("description", "")).replace(" Required.", "")
    at = at_of(path)
    items = _resolved(node["items"], None) if isinstance(node.get("items"), dict) else {}
    plain = _is_plain_list(node) and not _is_tables(value) and not isinstance(value, Mapping)
    if plain or (len(path) > 1 and _is_pairs(node)):
        kind = _kind(node, ()) if plain else "pairs"
        example = next((_typed(part["examples"][0]) for part in _variants(node) if part.get("examples")), "")
        yield Field(at, label, help, kind, _typed(value), example, (), required)
    elif "properties" in items or _is_tables(value):
        entries = [((*path, number), _name(entry, number)) for number, entry in enumerate(value or [])]
        yield Group(at, label, help, True, tuple((at_of(way), name) for way, name in entries), bool(value))
    elif "properties" in node or isinstance(value, Mapping) or isinstance(node.get("additionalProperties"), dict):
        entries = [((*path, key), key) for key in value] if _is_named(node) and isinstance(value, Mapping) else []
        yield Group(at, label, help, False, tuple((at_of(way), name) for way, name in entries), value is not None)
    else:
        stated = map(str, next((part["enum"] for part in _variants(node) if "enum" in part), ()))
        choices = tuple(choice for choice in stated if choice in (american(choice), value))
        example = next((_typed(part["examples"][0]) for part in _variants(node) if part.get("examples")), "")
        yield Field(at, label, help, _kind(node, choices), _typed(value), example, choices, required)


def _is_named(node: Node) -> bool:
    """Whether a table holds others by names of the user's own: mixes, materials, stock."""
    return isinstance(node.get("additionalProperties"), dict)


def _is_tables(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(part, Mapping) for part in value)


def typed(text: str, field: Field) -> Any:
    """What is typed into a field as the value of its key; None for nothing. Raises FaultError.

    >>> typed("3", Field("piece/0/quantity", "Quantity", "", "whole", "1", "2"))
    3
    """
    text = text.strip()
    if not text:
        return None
    if field.kind == "flag":
        return text == "true"
    if field.kind == "changes":
        return _changes(text)
    if field.kind == "pairs":
        pairs = [line.partition("=") for line in text.splitlines() if line.strip()]
        return {name.strip(): _bare(value) for name, _, value in pairs}
    if field.kind in ("list", "quantities", "points"):
        lines = [part.strip() for part in text.splitlines() if part.strip()]
        if field.kind == "points":
            return [[_bare(part) for part in line.split(",")] for line in lines]
        return lines if field.kind == "list" else [_bare(line) for line in lines]
    if field.kind in ("whole", "number", "share"):
        try:
            return int(text) if field.kind == "whole" or text.lstrip("-").isdecimal() else float(text)
        except ValueError:
            if field.kind != "share":
                raise FaultError("", message("page-not-a-number", text=text)) from None
    return text


def _changes(text: str) -> list[Node]:
    """Pieces that change, from lines such as "C2 shape.width = 30 in"."""
    pieces: dict[str, Node] = {}
    for line in filter(str.strip, text.splitlines()):
        place, _, value = line.partition("=")
        mark, _, key = place.strip().rpartition(" ")
        if not mark or not value.strip():
            raise FaultError("", message("page-no-change", text=line.strip()))
        own = pieces.setdefault(mark.strip(), {"mark": mark.strip()})
        *way, last = key.split(".")
        for part in way:
            own = own.setdefault(part, {})
        own[last] = _bare(value)
    return list(pieces.values())


def version_field(path: KeyPath) -> Field:
    """What changes of pieces in a version that does not stand yet: without any change it would be refused."""
    at, label = at_of((*path, "piece")), PLAIN("page-piece-changes")
    return Field(at, label, PLAIN("page-piece-changes-note"), "changes", "", PLAIN("page-piece-changes-example"))


def _bare(text: str) -> str | float:
    """A number without a unit as a number, anything else as text."""
    try:
        number = float(text)
    except ValueError:
        return text.strip()
    return int(number) if number.is_integer() and text.strip().lstrip("-").isdecimal() else number


def label_of(key: str | int) -> str:
    """A key in words.

    >>> label_of("water_cementitious")
    'Water cementitious'
    """
    if key in NAMED:
        return PLAIN(f"entry-{key}")
    words = str(key).replace("_", " ").replace("-", " ")
    return "AR" + words[2:] if words.startswith("ar ") else words[:1].upper() + words[1:]


NAMED = frozenset({
    "alternative", "bucket", "business", "change", "cure", "cutouts", "drawing", "form", "lots", "option", "piece",
    "schedule", "sign_off", "site", "stock", "supplier", "workshop",
})  # fmt: skip
"""Keys whose words alone don't say what they hold."""


def name_of(path: KeyPath, table: Any) -> str:
    """What stands at a path in words: an entry of a list by its mark or name, a key by its words."""
    last = path[-1]
    return _name(value_of(path, table), last) if isinstance(last, int) else label_of(last)


def entry_of(mark: str, table: Any) -> int | None:
    """Which entry of a job file a piece has; None for a row of a schedule, and for a part of a piece."""
    for number, entry in enumerate(table.get("piece", [])):
        if isinstance(entry, Mapping) and folded(str(entry.get("mark", ""))) == folded(mark):
            return number
    return None


def is_named(path: KeyPath, table: Any) -> bool:
    """Whether a table holds others by names of the user's own: mixes, materials, stock."""
    return bool(path) and _is_named(node_at(path, table))


def next_of(path: KeyPath, table: Any, name: str) -> KeyPath:
    """The path of an entry to come: the next number of a list, or a name in a table of named ones."""
    entries = value_of(path, table)
    if isinstance(node_at(path, table).get("items"), dict):
        return (*path, len(entries) if isinstance(entries, list) else 0)
    return (*path, name)


def help_of(path: KeyPath, table: Any) -> str:
    """What the schema says of the table at a path; of an entry of a list, what it says of the list."""
    way = path[:-1] if path and isinstance(path[-1], int) else path
    return EXAMPLE.sub("", str(node_at(way, table).get("description", ""))) if way else ""


def value_of(path: KeyPath, table: Any) -> Any:
    """What stands at a path; None where nothing does."""
    for key in path:
        table = _part(table, key)
    return table


def _part(value: Any, key: str | int) -> Any:
    if isinstance(value, Mapping):
        return value.get(key)
    if isinstance(value, list) and isinstance(key, int) and key < len(value):
        return value[key]
    return None


def _typed(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, Mapping):
        return "\n".join(f"{key} = {_typed(part)}" for key, part in value.items())
    if isinstance(value, list):
        return "\n".join(", ".join(map(_typed, part)) if isinstance(part, list) else _typed(part) for part in value)
    return f"{value:g}" if isinstance(value, float) else str(value)


def _kind(node: Node, choices: tuple[str, ...]) -> Kind:
    stated = [part.get("type") for part in _variants(node)]
    types = [each for type in stated for each in (type if isinstance(type, list) else [type])]
    if choices:
        return "choice"
    if "boolean" in types:
        return "flag"
    if "string" in types:
        return "share" if "number" in types else "text"
    if "array" in types:
        parts = [kind for part in _variants(node) for kind in _types_within(part)]
        return "points" if "array" in parts else "quantities" if {"number", "integer"} & set(parts) else "list"
    return "whole" if "integer" in types else "number" if "number" in types else "text"


def _types_within(node: Node) -> Iterator[str]:
    """What the entries of a list may be."""
    inner = [node["items"]] if isinstance(node.get("items"), dict) else node.get("prefixItems", [])
    for part in inner:
        for variant in _variants(_followed(part)):
            kinds = variant.get("type", [])
            yield from [kinds] if isinstance(kinds, str) else kinds


def _variants(node: Node) -> list[Node]:
    """The node, and each of the kinds of value that it allows."""
    found = [node]
    for key in ("anyOf", "oneOf", "allOf"):
        for part in node.get(key, []):
            found += _variants(_followed(part))
    return found


def _followed(node: Node) -> Node:
    while "$ref" in node:
        name = node["$ref"].rpartition("/")[2]
        node = schema()["$defs"][name] | {key: part for key, part in node.items() if key != "$ref"}
    return node


def _resolved(node: Node, value: Any) -> Node:
    """The node with its reference followed, and of several tables the one that the value is."""
    node = _followed(node)
    tables = [part for part in _variants(node) if "properties" in part]
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
    """Whether a key is the British twin of an American one; what stands in the file is kept as it is."""
    return key not in own and american(key) != key and american(key) in node["properties"]


def _name(entry: Any, number: int) -> str:
    """What an entry of a list is called: its mark, its name, or what it is first."""
    if isinstance(entry, Mapping):
        for key in ("mark", "name", "number", "mix", "file", "kind"):
            if entry.get(key):
                return str(entry[key])
    return str(number + 1)
