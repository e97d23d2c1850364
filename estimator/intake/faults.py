"""pydantic's findings, told in the words of the job file."""

from collections.abc import Hashable, Iterator, Mapping, Sequence
from dataclasses import fields, is_dataclass
from functools import cache
from types import MappingProxyType, UnionType
from typing import Annotated, Any, Literal, TypeVar, Union, cast, get_args, get_origin, get_type_hints

from pydantic import TypeAdapter, ValidationError

from estimator.errors import Fault, FaultError
from estimator.keys import OF_TABLE, key_of
from estimator.names import nearest
from geometry.message import Message, message

T = TypeVar("T")
Location = Sequence[int | str]


def validate(model: type[T], raw: Any, file: str, entry: str, faults: list[Fault]) -> T | None:
    """The table as its model, or None with every fault of it added to `faults`."""
    try:
        table: T = _adapter(cast(Hashable, model)).validate_python(raw)
    except ValidationError as error:
        faults.extend(faults_of(error, model, file, entry))
        return None
    return table


def schema_of(model: type) -> dict[str, Any]:
    """JSON Schema of a table as pydantic derives it."""
    return _adapter(cast(Hashable, model)).json_schema(mode="validation")


@cache
def _adapter(model: Any) -> TypeAdapter[Any]:
    return TypeAdapter(model)


def faults_of(error: ValidationError, model: Any, file: str, entry: str) -> list[Fault]:
    """One Fault per finding, with its dotted place below `entry` ("piece C1")."""
    found = []
    seen = set()
    for finding in error.errors(include_url=False):
        steps = _steps(model, finding["loc"])
        place = ", ".join(part for part in (entry, dotted(steps)) if part)
        what, fix = _wording(finding, model, steps)
        raised = finding.get("ctx", {}).get("error")
        if isinstance(raised, FaultError) and raised.key.startswith(OF_TABLE):
            place = ", ".join(part for part in (entry, dotted(steps[:-1])) if part)
            key = raised.key.removeprefix(OF_TABLE)
            what = message("about", subject=key, text=what) if key else what
        if (place, what) not in seen:
            seen.add((place, what))
            found.append(Fault(file, place, what, fix))
    return found


def dotted(location: Location) -> str:
    """Path of a value as TOML writes it.

    >>> dotted(["shape", "cutouts", 0, "x"])
    'shape.cutouts[0].x'
    """
    text = ""
    for step in location:
        text += f"[{step}]" if isinstance(step, int) else f".{step}" if text else str(step)
    return text


def _wording(finding: Any, model: Any, steps: Location) -> tuple[Message | str, str]:
    kind, context, value = finding["type"], finding.get("ctx", {}), finding.get("input")
    match kind:
        case "value_error" if isinstance(context["error"], FaultError):
            return context["error"].message, ""
        case "extra_forbidden" | "unexpected_keyword_argument":
            return "this key is not known.", nearest(str(steps[-1]), _names_at(model, steps[:-1]))
        case "missing":
            return "is missing.", f"Add `{steps[-1]}`."
        case "literal_error" | "union_tag_invalid":
            expected = context.get("expected") or context.get("expected_tags", "")
            known = [name.strip().strip("'\"") for name in str(expected).replace(" or ", ", ").split(",")]
            wrong = context.get("tag", value)
            return f'"{wrong}" is not one of {", ".join(known)}.', nearest(str(wrong), known)
        case "union_tag_not_found":
            return "`kind` is missing.", 'Add kind = and the name of a shape, such as kind = "slab".'
        case "string_pattern_mismatch":
            return f'"{value}" does not have the form {context["pattern"]}.', "Write it in that form."
        case "dataclass_type":
            return f"{_excerpt(value)}: is not a table.", "Write it as { key = value }."
        case "too_short":
            return "is empty.", "Give at least one."
        case "string_type":
            return f"{value!r} is not text.", "Write it in quotes."
        case _:
            said = finding["msg"]
            return f"{_excerpt(value)}: {said[0].lower()}{said[1:]}.", ""


def _excerpt(value: Any) -> str:
    text = repr(value)
    return text if len(text) <= 60 else text[:57] + "..."


def _members(annotation: Any) -> list[Any]:
    """The alternatives of an annotation, with Annotated and Optional taken off."""
    origin = get_origin(annotation)
    if origin is Annotated:
        return _members(get_args(annotation)[0])
    if origin in (Union, UnionType):
        return [member for part in get_args(annotation) for member in _members(part)]
    return [annotation]


def keys_of(table: Any) -> Mapping[str, Any]:
    """The keys of a table of the job file, each with its annotation; none of what is no table."""
    return _keys_of(table) if isinstance(table, type) and is_dataclass(table) else {}


@cache
def _keys_of(table: type) -> Mapping[str, Any]:
    hints = get_type_hints(table, include_extras=True)
    return MappingProxyType({key_of(table, item.name): hints[item.name] for item in fields(table)})


def tables_within(model: Any) -> set[Any]:
    """A table of the job file and every table that it can hold, at any depth."""
    tables, ahead = set[Any](), [model]
    while ahead:
        table = ahead.pop()
        if table not in tables:
            tables.add(table)
            ahead += [part for hint in keys_of(table).values() for part in parts_of(hint) if keys_of(part)]
    return tables


def parts_of(annotation: Any) -> Iterator[Any]:
    """An annotation and all that stands within it."""
    yield annotation
    for part in get_args(annotation):
        yield from parts_of(part)


def _kinds(table: Any) -> tuple[Any, ...]:
    kind = keys_of(table).get("kind")
    while get_origin(kind) is Annotated:
        kind = get_args(kind)[0]
    return get_args(kind) if get_origin(kind) is Literal else ()


def _below(members: list[Any], step: int | str) -> tuple[list[Any], bool]:
    """What one step of a location leads to, and whether the step is written in the file (a union's tag is not)."""
    if isinstance(step, str) and step.startswith("("):
        return members, False  # a tag that is ours: no key begins so
    tables = [member for member in members if keys_of(member)]
    for table in tables:
        if step in (keys := keys_of(table)):
            return _members(keys[str(step)]), True
    tagged = [table for table in tables if step in _kinds(table)]
    if tagged:
        return tagged, False
    below = []
    for member in members:
        origin, arguments = get_origin(member), get_args(member)
        if origin in (list, tuple) and isinstance(step, int):
            below += _members(arguments[0])
        elif origin in (dict, Mapping):
            below += _members(arguments[1])
    written = bool(below) or bool(tables) or isinstance(step, int)
    return below, written


def _steps(model: Any, location: Location) -> list[int | str]:
    """The location as the file writes it: without the tags that pydantic adds for unions."""
    members, steps = _members(model), []
    for position, step in enumerate(location):
        last = position == len(location) - 1
        members, written = _below(members, step)
        if written or (last and isinstance(step, str) and step.isidentifier()):
            steps.append(step)
    return steps


def _names_at(model: Any, steps: Location) -> list[str]:
    """The keys known at a place of the file."""
    members = _members(model)
    for step in steps:
        members, _ = _below(members, step)
    return sorted({key for member in members for key in keys_of(member)})
