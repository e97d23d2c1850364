"""Faults of a table, from pydantic's validation errors."""

from collections.abc import Hashable, Iterator, Mapping, Sequence
from dataclasses import fields, is_dataclass
from functools import cache
from types import MappingProxyType, UnionType
from typing import Annotated, Any, TypeVar, Union, cast, get_args, get_origin, get_type_hints

from pydantic import ValidationError

from estimator.errors import Fault, FaultError
from estimator.intake.adapters import adapter_of
from estimator.keys import OF_TABLE, UNITS, key_of, kinds_of
from estimator.names import guess, nearest, quoted
from geometry.files import shortened
from geometry.message import Message, message

T = TypeVar("T")
Location = Sequence[int | str]


def validate(model: type[T], raw: Any, file: str, entry: str, faults: list[Fault]) -> T | None:
    """Table as its model, or None with all its faults added to `faults`."""
    try:
        table: T = adapter_of(cast(Hashable, model)).validate_python(raw)
    except ValidationError as error:
        faults.extend(faults_of(error, model, file, entry))
        return None
    return table


def faults_of(error: ValidationError, model: Any, file: str, entry: str) -> list[Fault]:
    """One Fault for each validation error, with its dotted place below `entry` ("piece C1")."""
    faults = []
    seen = set()
    for finding in error.errors(include_url=False):
        steps = _steps(model, finding["loc"])
        place = ", ".join(part for part in (entry, dotted(steps)) if part)
        problem = _message(finding, model, steps)
        raised = finding.get("ctx", {}).get("error")
        if isinstance(raised, FaultError) and raised.key.startswith(OF_TABLE):
            place = ", ".join(part for part in (entry, dotted(steps[:-1])) if part)
            key = raised.key.removeprefix(OF_TABLE)
            problem = message("about", subject=key, text=problem) if key else problem
        if (place, problem) not in seen:
            seen.add((place, problem))
            faults.append(Fault(file, place, problem))
    return faults


def as_typed(problem: Message, entered: object) -> Message:
    """What is wrong with a value, which it shows as entered: the figure read from it would be printed rounded.

    entered   text or number of a key; or a whole table, of which the message may show several keys
    """
    table = entered if isinstance(entered, Mapping) else {"value": entered}
    if problem.id == "about":
        subject, text = (value for _, value in problem.values)
        return message("about", subject=subject, text=as_typed(text, table.get(subject)))
    values = []
    for name, value in problem.values:
        key = next((name.removesuffix(f"_{unit}") for unit in (*UNITS, "share") if name.endswith(f"_{unit}")), name)
        typed = table.get(key)
        plain = isinstance(typed, str | int | float) and not isinstance(typed, bool)
        text = shortened(str(typed).strip()) if plain else ""
        values.append((name, value if isinstance(value, str) and text in value else text or value))
    return Message(problem.id, tuple(values))


def dotted(location: Location) -> str:
    """Path of a value in TOML syntax.

    >>> dotted(["shape", "cutouts", 0, "x"])
    'shape.cutouts[0].x'
    """
    text = ""
    for step in location:
        text += f"[{step}]" if isinstance(step, int) else f".{step}" if text else str(step)
    return text


LIMITS = {  # error type: message id, and the name of the limit in the error's context
    "greater_than": ("value-not-above", "gt"),
    "greater_than_equal": ("value-below", "ge"),
    "less_than": ("value-not-below", "lt"),
    "less_than_equal": ("value-above", "le"),
}
KINDS = {  # first word of the error type: message id for the kind of value that is needed
    "bool": "value-not-bool",
    "dataclass": "value-not-table",
    "dict": "value-not-table",
    "mapping": "value-not-table",
    "finite": "value-not-number",
    "float": "value-not-number",
    "int": "value-not-whole",
    "list": "value-not-list",
    "tuple": "value-not-list",
    "string": "value-not-text",
}


def _message(finding: Any, model: Any, steps: Location) -> Message:
    """Message on what is wrong with a value and what to type, not in pydantic's words."""
    kind, context, value = finding["type"], finding.get("ctx", {}), finding.get("input")
    if isinstance(raised := context.get("error"), FaultError):
        return as_typed(raised.message, value)
    match kind:
        case "extra_forbidden" | "unexpected_keyword_argument":
            return message("key-unknown", nearest=nearest(str(steps[-1]), _names_at(model, finding["loc"][:-1])))
        case "missing" | "missing_argument" | "missing_keyword_only_argument":
            return message("key-missing", key=str(steps[-1]))
        case "literal_error" | "union_tag_invalid":
            expected = context.get("expected") or context.get("expected_tags", "")
            known = [name.strip().strip("'\"") for name in str(expected).replace(" or ", ", ").split(",")]
            wrong = str(context.get("tag", value))
            return message("choice-not-known", value=wrong, choices=", ".join(known), nearest=guess(wrong, known) or "")
        case "union_tag_not_found":
            return message("shape-no-kind")
        case "string_pattern_mismatch":
            return message("value-pattern", value=quoted(value), pattern=context["pattern"])
        case "string_too_short":
            return message("value-empty")
        case "string_too_long":
            return message("value-too-long", value=quoted(value), most=context["max_length"])
        case "too_short":
            return message("list-too-short", count=context["actual_length"], least=context["min_length"])
        case "too_long":
            return message("list-too-long", most=context["max_length"])
    if kind in LIMITS:
        id, limit = LIMITS[kind]
        return message(id, value=quoted(value), limit=f"{context[limit]:g}")
    return message(KINDS.get(kind.partition("_")[0], "value-refused"), value=quoted(value))


def _members(annotation: Any) -> list[Any]:
    """Alternatives of an annotation, with Annotated and Optional removed."""
    origin = get_origin(annotation)
    if origin is Annotated:
        return _members(get_args(annotation)[0])
    if origin in (Union, UnionType):
        return [member for part in get_args(annotation) for member in _members(part)]
    return [annotation]


def keys_of(table: Any) -> Mapping[str, Any]:
    """Keys of a table of the job file with their annotations; empty for anything else."""
    return _keys_of(table) if isinstance(table, type) and is_dataclass(table) else {}


@cache
def _keys_of(table: type) -> Mapping[str, Any]:
    hints = get_type_hints(table, include_extras=True)
    return MappingProxyType({key_of(table, item.name): hints[item.name] for item in fields(table)})


def tables_within(model: Any) -> set[Any]:
    """A table of the job file and every table it can contain, at any depth."""
    tables, pending = set[Any](), [model]
    while pending:
        table = pending.pop()
        if table not in tables:
            tables.add(table)
            pending += [part for hint in keys_of(table).values() for part in parts_of(hint) if keys_of(part)]
    return tables


def parts_of(annotation: Any) -> Iterator[Any]:
    """Yield an annotation and everything nested in it."""
    yield annotation
    for part in get_args(annotation):
        yield from parts_of(part)


def _below(members: list[Any], step: int | str) -> tuple[list[Any], bool]:
    """Types that one step of a location leads to, and whether the step is written in the file (a union tag is not)."""
    if isinstance(step, str) and step.startswith("("):
        return members, False  # one of our tags; no key starts with a parenthesis
    tables = [member for member in members if keys_of(member)]
    for table in tables:
        if step in (keys := keys_of(table)):
            return _members(keys[str(step)]), True
    tagged = [table for table in tables if step in kinds_of(table)]
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
    """Location as written in the file, without the tags that pydantic adds for unions."""
    members, steps = _members(model), []
    for position, step in enumerate(location):
        last = position == len(location) - 1
        members, written = _below(members, step)
        if written or (last and isinstance(step, str) and step.isidentifier()):
            steps.append(step)
    return steps


def _names_at(model: Any, location: Location) -> list[str]:
    """Known keys at a place, with the tags of pydantic: of a table that has a kind, those of this kind alone."""
    members = _members(model)
    for step in location:
        members, _ = _below(members, step)
    return sorted({key for member in members for key in keys_of(member)})
