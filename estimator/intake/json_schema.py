"""JSON Schema of the job file, with which an editor completes, checks and explains it."""

import json
from collections.abc import Iterator
from copy import deepcopy
from typing import Any

from estimator.intake.adapters import schema_of
from estimator.intake.build import figure_sections
from estimator.intake.documents import SPELLED_TWO_WAYS, built_in_catalog
from estimator.intake.tables import CalendarTable, JobFile
from estimator.keys import KIND, UNLESS, with_unit
from estimator.names import both_spellings
from estimator.notices import NOTICE_IDS
from estimator.workshop import BARE, SECTIONS, Setting, settings_of

PARTIAL = ("WorkshopTable", "Mixer", "PriceTable", "MaterialTable", "MixTable")  # the catalog fills in missing keys
MOST_CHOICES = 12  # most choices listed in a description; an editor completes the others


def json_schema() -> dict[str, Any]:
    """JSON Schema (2020-12) of the job file. Every key describes its meaning, its form and its default."""
    document = schema_of(JobFile)
    for name in PARTIAL:
        document["$defs"][name].pop("required", None)
    workshop = document["$defs"]["WorkshopTable"]["properties"]
    workshop |= {name: _section(name, keys) for name, keys in figure_sections(built_in_catalog()).items()}
    calendar = schema_of(CalendarTable)
    for name, table in [("", document), ("calendar", calendar), *document["$defs"].items()]:
        for key, node in table.get("properties", {}).items():
            _describe(node, required=key in table.get("required", ()), partial=name in PARTIAL)
    workshop["calendar"]["properties"] |= calendar["properties"]
    for table in document["$defs"].values():
        _shorten(table)
    _add_drawn_piece(document)
    for node in _nodes(document):
        node.pop(UNLESS, None)
        if node.pop(KIND, None) and "description" not in node:
            node.pop("examples", None)  # example of a part; its key has its own
    document["$defs"]["WarningId"] = {
        "description": "Ids in `warnings` of the estimate document; an id keeps its meaning when its text changes.",
        "enum": list(NOTICE_IDS),
    }
    for node in [*_nodes(document)]:
        _add_spellings(node)
    document["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    document["title"] = "cast-estimator job file"
    return document


def _shorten(table: dict[str, Any]) -> None:
    """Reduce the description of a table to the first paragraph of its docstring; none for a class without docstring."""
    words = " ".join(table.pop("description", "").partition("\n\n")[0].split())
    if " " in words:
        table["description"] = words


def _add_drawn_piece(document: dict[str, Any]) -> None:
    """Allow a piece overlaid on a drawn one to give any part of a shape, or none."""
    drawn = deepcopy(document["$defs"]["PieceTable"])
    shape = drawn["properties"]["shape"]
    for key in ("$ref", "oneOf", "anyOf", "discriminator"):
        shape.pop(key, None)
    shape |= {"type": "object", "description": shape["description"].replace(" Required.", " If left out: as drawn.")}
    drawn["required"] = ["mark", "from"]
    origin = drawn["properties"]["from"]
    origin["description"] = origin["description"].partition(" If left out")[0] + " Required."
    document["$defs"]["DrawnPieceTable"] = drawn
    pieces = document["properties"]["piece"]
    pieces["items"] = {"anyOf": [{"$ref": "#/$defs/PieceTable"}, {"$ref": "#/$defs/DrawnPieceTable"}]}


def _add_spellings(node: dict[str, Any]) -> None:
    """Allow American and British spelling of the keys and choices of a schema."""
    keys, choices = node.get("properties"), node.get("enum")
    if isinstance(keys, dict):
        node["properties"] = {spelling: part for key, part in keys.items() for spelling in _spellings(key)}
    if isinstance(choices, list):
        node["enum"] = [spelling for choice in choices for spelling in _spellings(choice)]


def _spellings(name: Any) -> list[Any]:
    if name not in SPELLED_TWO_WAYS:
        return [name]
    return [name, *sorted(both_spellings(name) - {name})]


def _nodes(node: Any) -> Iterator[dict[str, Any]]:
    """Yield every object in a schema."""
    if isinstance(node, dict):
        yield node
    for part in node.values() if isinstance(node, dict) else node if isinstance(node, list) else ():
        yield from _nodes(part)


def _describe(node: dict[str, Any], *, required: bool, partial: bool) -> None:
    """Complete the description of a key: its meaning, its form, an example, and the value if it is left out."""
    marks = list(_nodes({key: node[key] for key in node if key not in ("examples", "default", "properties")}))
    kind = next((part[KIND] for part in marks if KIND in part), "")
    example = next((part["examples"][0] for part in marks if "examples" in part), None)
    example = node.get("examples", [example])[0]
    if isinstance(node.get("default"), float) and kind.endswith("with its unit"):
        node["default"] = (
            None if node["default"] else f"0 {example.rpartition(' ')[2]}"
        )  # an SI value would not help the reader
    if UNLESS in node and not node.get("default"):
        node.pop("default", None)
    default = node.get("default")
    if default is None:
        node.pop("default", None)
    words = [node["description"]]
    if kind:
        words.append(f"Written as {'an' if kind[0] in 'aeiou' else 'a'} {kind}.")
    choices = next((part["enum"] for part in marks if "enum" in part), ())
    if 0 < len(choices) <= MOST_CHOICES:
        words.append(f"One of {', '.join(map(_toml, choices))}.")
    elif example is not None and not any("const" in part for part in marks):
        node["examples"] = [example]
        words.append(f"Example: {_toml(example)}.")
    if required:
        words.append("Required.")
    elif UNLESS in node:
        words.append(f"If left out: {node[UNLESS]}.")
    elif default not in (None, "", [], {}):
        words.append(f"Default: {_toml(default)}.")
    else:
        words.append("If left out: the catalog's." if partial and default is None else "If left out: none.")
    node["description"] = " ".join(words)


def _toml(value: Any) -> str:
    """Value in TOML syntax, on one line.

    >>> _toml({"from": 10, "open": True, "at": ["1 in", 0.5]})
    '{ from = 10, open = true, at = ["1 in", 0.5] }'
    """
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{key} = {_toml(part)}" for key, part in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(map(_toml, value)) + "]"
    return json.dumps(value, ensure_ascii=False)


def _section(section: str, defaults: dict[str, Any]) -> dict[str, Any]:
    """Schema of one section of settings, from its class."""
    kind = SECTIONS[section]
    return {
        "type": "object",
        "description": (kind.__doc__ or "").partition("\n")[0],
        "examples": [{key: defaults[key] for key in list(defaults)[:1]}],
        UNLESS: "the catalog's settings",
        "additionalProperties": False,
        "properties": {key: _setting(setting, defaults[key]) for _, key, setting in settings_of(kind)},
    }


def _setting(setting: Setting, default: Any) -> dict[str, Any]:
    """Schema of one setting."""
    node = {
        "type": {"share": ["number", "string"]}.get(setting.kind, "number" if setting.kind in BARE else "string"),
        "description": setting.text,
        "default": default,
        "examples": [default],
        KIND: BARE.get(setting.kind, with_unit(setting.kind)).removeprefix("a ").removeprefix("an "),
    }
    _describe(node, required=False, partial=False)
    return node
