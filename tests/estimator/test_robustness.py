"""Any content of a job file gives an estimate, or faults of one line each; never an internal error."""

import copy
import json
import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from estimator.commands.jobs import estimate_file
from estimator.document import to_document, to_json
from estimator.errors import InputError
from tests.estimator.test_document import JOB

MORE = """
[mixes.own]
based_on = "backer-45"
air = 0.05
[materials.silica-sand]
moisture = 0.02
[workshop.handling]
limit_level = "40 lb"
"""
BASE = tomllib.loads(JOB + MORE)
REMOVED = object()
STRANGE = [
    REMOVED, 0, -1, 7, 1.5, 1e9, float("inf"), True, "", "x", "3 in", "-3 in", "0 in", "3 lb", "7 %", "nan in",
    "1e400", "0.000001 in", "1000000 ft", "C1", "backer-45", "mesh", "=cmd()", [], {}, [1], {"a": 1},
    ["front", "front"], [[0, 0], [1, 1]],
]  # fmt: skip
Path_ = tuple[str | int, ...]


def places(table: Any, at: Path_ = ()) -> list[Path_]:
    """Every place in a document."""
    items = table.items() if isinstance(table, dict) else enumerate(table) if isinstance(table, list) else ()
    return [place for key, value in items for place in ((*at, key), *places(value, (*at, key)))]


def changed(document: Any, place: Path_, value: Any) -> Any:
    document = copy.deepcopy(document)
    at = document
    for step in place[:-1]:
        at = at[step]
    if value is REMOVED:
        del at[place[-1]]
    else:
        at[place[-1]] = value
    return document


def as_toml(value: Any) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, list):
        return "[" + ", ".join(as_toml(each) for each in value) + "]"
    if isinstance(value, dict):
        return "{" + ", ".join(f"{json.dumps(key)} = {as_toml(each)}" for key, each in value.items()) + "}"
    return json.dumps(value, ensure_ascii=False) if isinstance(value, str) else repr(value)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("strange")


@settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(place=st.sampled_from(places(BASE)), value=st.sampled_from(STRANGE))
def test_a_strange_value_anywhere_is_estimated_or_refused(folder: Path, place: Path_, value: Any) -> None:
    job = folder / "job.toml"
    document = changed(BASE, place, value)
    job.write_text(
        "\n".join(f"{json.dumps(key)} = {as_toml(each)}" for key, each in document.items()), encoding="utf-8"
    )
    try:
        to_json(to_document(estimate_file(job)))
        told = []
    except InputError as error:
        told = [str(fault) for fault in error.faults]
    for line in told:
        assert line.startswith("job.toml: ")
        assert "\n" not in line
        assert "Traceback" not in line
