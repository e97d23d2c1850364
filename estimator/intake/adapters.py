"""Validators of the tables of the job file, each made by pydantic when a file first has such a table.

A job uses few of the tables that it may have, and to make the schemas of all takes as long as a small estimate.
"""

from collections.abc import Callable
from contextvars import ContextVar
from functools import cache
from typing import Any, Literal

from pydantic import TypeAdapter

from estimator.keys import TABLES

_whole: ContextVar[type | Literal["all"] | None] = ContextVar("_whole", default=None)
"""The table whose own schema is made next; "all" if those of the tables within it are made too."""


@cache
def adapter_of(kind: Any) -> TypeAdapter[Any]:
    """Validator of a table, or of another type."""
    return _adapter(kind, kind)


def schema_of(kind: type) -> dict[str, Any]:
    """JSON Schema of a table, derived by pydantic."""
    return _adapter(kind, "all").json_schema(mode="validation")


def _adapter(kind: Any, whole: Any) -> TypeAdapter[Any]:
    for table in TABLES:
        if "__get_pydantic_core_schema__" not in vars(table):
            table.__get_pydantic_core_schema__ = classmethod(_schema_when_met)  # type: ignore[attr-defined]
    before = _whole.set(whole)
    try:
        return TypeAdapter(kind)
    finally:
        _whole.reset(before)


def _schema_when_met(table: type, source: Any, handler: Callable[[Any], Any]) -> Any:
    """Core schema of a table; of one within another, a call of its own validator."""
    from pydantic_core import core_schema

    whole = _whole.get()
    if whole == "all":
        return handler(source)
    if whole is table:
        _whole.set(None)
        return handler(source)
    return core_schema.no_info_plain_validator_function(
        lambda value: adapter_of(table).validator.validate_python(value)
    )
