"""Any value in the money tables of a job file gives a price, or faults of one line each."""

import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from estimator.commands.jobs import estimate_file
from estimator.document import to_document, to_json
from estimator.errors import InputError
from estimator.intake.documents import built_in_catalog
from tests.estimator.test_robustness import STRANGE, as_toml, changed, places

PIECE = {"mark": "A", "shape": {"kind": "slab", "length": "20 in", "width": "10 in", "thickness": "1 in"}}
SECTIONS = ("labour", "equipment", "freight", "quote", "calendar")
TERMS: dict[str, Any] = {
    "job": {"name": "Strange", "mix": "backer-45", "waste": 0.07, "date": "2026-03-02", "start": "2026-03-04",
            "status": "released", "currency": "EUR"},
    "piece": [{**PIECE, "risk": "large", "install": True}],
    "price": {"overhead": 0.3, "margin": 0.25, "tax": 0.06, "rounding": "up", "payments": [
        {"name": "first", "share": 0.5, "due": "now"}, {"name": "last", "share": 0.5}]},
    "sign_off": {"sketch": "2026-03-01", "sample": "2026-03-01", "template": "2026-03-01"},
    "alternative": [{"name": "sand", "note": "n", "pieces": ["A"], "swap": {"backer-45": "backer-0"},
                     "workshop": {"labour": {"rate": 30}}, "price": {"tax": 0.0}}],
    "option": [{"name": "lump", "lump": 10, "taken": True},
               {"name": "more", "piece": [{"mark": "A", "quantity": 2}],
                "materials": {"silica-sand": {"moisture": 0.0}}}],
    "change": [{"number": 1, "reason": "r", "signed": "2026-03-02", "days": 1, "add": [{**PIECE, "mark": "B"}]},
               {"number": 2, "reason": "r", "date": "2026-03-02", "remove": ["B"]}],
    "workshop": {name: dict(built_in_catalog()["workshop"][name]) for name in SECTIONS},
}  # fmt: skip


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("terms")


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(place=st.sampled_from(places(TERMS)), value=st.sampled_from(STRANGE))
def test_a_strange_value_in_the_terms_is_priced_or_refused(
    folder: Path, place: tuple[str | int, ...], value: Any
) -> None:
    job = folder / "job.toml"
    document = changed(TERMS, place, value)
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
