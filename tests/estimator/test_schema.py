"""The JSON Schema of the job file: an editor completes and explains every key of it."""

import json
import re
import tomllib
from collections.abc import Iterator
from dataclasses import field
from pathlib import Path
from typing import Annotated, Any

import jsonschema
import pytest

from estimator.__main__ import run
from estimator.errors import Fault
from estimator.intake.adapters import schema_of
from estimator.intake.faults import validate
from estimator.intake.json_schema import json_schema
from estimator.keys import RATES, TABLES, Key, table
from estimator.units import read_quantity

EXAMPLE = Path(__file__).parents[2] / "examples/boathouse/job.toml"


def keys_of(node: Any, path: str = "") -> Iterator[tuple[str, dict[str, Any], bool]]:
    """(dotted key, its schema, whether it is required) of every key at any depth."""
    if isinstance(node, dict):
        for key, schema in node.get("properties", {}).items():
            yield f"{path}.{key}", schema, key in node.get("required", ())
        for name, part in node.items():
            yield from keys_of(part, path if name in ("properties", "$defs") else f"{path}.{name}")
    elif isinstance(node, list):
        for part in node:
            yield from keys_of(part, path)


SCHEMA = json_schema()
KEYS = list(keys_of(SCHEMA))


def test_the_schema_has_the_keys_of_every_table() -> None:
    assert len(KEYS) > 690


def test_every_key_states_its_meaning_its_form_and_its_default() -> None:
    for key, schema, required in KEYS:
        said = schema.get("description", "")
        assert re.match(r"[A-Zxy].{7,}\.", said), key
        assert said.endswith("Required.") if required else re.search(r"(Default|If left out): .+\.$", said), key
        closed = "'const'" in str(schema) or "'enum'" in str(schema)
        assert closed or ("Example: " in said and schema["examples"]), key
        assert not any(name.startswith("x-") for name in schema), key


def test_every_example_is_valid_where_it_stands() -> None:
    for key, schema, _ in KEYS:
        validator = jsonschema.Draft202012Validator({**schema, "$defs": SCHEMA["$defs"]})
        for example in schema.get("examples", ()):
            assert not list(validator.iter_errors(example)), key


def test_every_example_of_a_quantity_is_one_that_the_program_reads() -> None:
    kinds = {name: kind for kind, name in RATES.items()}
    for key, schema, _ in KEYS:
        match = re.search(r"Written as an? ([a-z ]+) with its unit\. Example: \"(.*?)\"\.", schema["description"])
        if match:
            kind = kinds.get(match[1], match[1].replace(" ", "-"))
            assert read_quantity(match[2], kind, negative=True) is not None, key


def test_the_example_job_is_valid() -> None:
    job = json.loads(json.dumps(tomllib.loads(EXAMPLE.read_text(encoding="utf-8")), default=str))
    jsonschema.validate(job, SCHEMA)


def test_new_names_its_schema_in_the_first_line_of_the_job(tmp_path: Path) -> None:
    assert run(["new", str(tmp_path / "job")]) == 0
    first, _, _ = (tmp_path / "job/job.toml").read_text(encoding="utf-8").partition("\n")
    assert first == "#:schema ./job.schema.json"
    written = json.loads((tmp_path / "job" / first.removeprefix("#:schema ")).read_text(encoding="utf-8"))
    assert written == json_schema()


def test_the_schema_takes_both_spellings_of_a_key_and_of_a_choice() -> None:
    piece = {"mark": "A", "shape": {"kind": "slab", "length": "1 m", "width": "1 m", "thickness": "20 mm"}}
    material = {"kind": "fiber", "density": "2700 kg/m^3"}
    job = {
        "job": {"name": "x", "mix": "backer-45"},
        "piece": [piece | {"color": "gray"}],
        "materials": {"glass": material},
    }
    jsonschema.validate(job, SCHEMA)
    jsonschema.validate(job | {"piece": [piece | {"colour": "grey"}]}, SCHEMA)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(job | {"piece": [piece | {"colors": "grey"}]}, SCHEMA)


def test_a_table_within_another_is_made_when_it_is_first_met_and_its_faults_keep_their_place() -> None:
    made: list[str] = []

    class Noted:
        def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> Any:
            made.append("rare")
            return handler(source)

    @table(kw_only=True)
    class Rare:
        text: Annotated[str, Noted(), Key("A text.", "x")]

    @table(kw_only=True)
    class Usual:
        rare: Annotated[list[Rare], Key("Seldom given.", [])] = field(default_factory=list)

    faults: list[Fault] = []
    assert validate(Usual, {}, "job.toml", "usual", faults) == Usual()
    assert made == []
    assert validate(Usual, {"rare": [{"text": "a"}, {"text": 1}]}, "job.toml", "usual", faults) is None
    assert made == ["rare"]
    assert [fault.place for fault in faults] == ["usual, rare[1].text"]
    assert schema_of(Usual)["$defs"]["Rare"]["required"] == ["text"]
    del TABLES[-2:]
