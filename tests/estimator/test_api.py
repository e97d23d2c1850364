"""The estimator from Python: public names, tables, and their agreement with the document."""

import json
import subprocess
import sys
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

import estimator
import geometry
from estimator import Estimate, InputError, estimate, job_from, load_job
from estimator.__main__ import run
from estimator.document import sections_of
from estimator.explain import workings_of
from estimator.serialize import json_lines
from estimator.words import words_for

EXAMPLE = Path("examples/boathouse/job.toml")
SINKS = '[job]\nname = "Sinks"\nmix = "backer-45"\nunits = "metric"\n'
SINK = """
[[piece]]
mark = "S{}"
use = "counter"
[piece.shape]
kind = "slab"
length = "{} mm"
width = "600 mm"
thickness = "25 mm"
cutouts = [{{ kind = "rectangle", length = "500 mm", width = "380 mm", x = "300 mm", y = "100 mm" }}]
"""
PLATE = {"kind": "slab", "length": "1.2 m", "width": "600 mm", "thickness": "25 mm"}


@pytest.fixture(scope="module")
def estimated() -> Estimate:
    return estimate(load_job(EXAMPLE))


@pytest.mark.parametrize("package", [estimator, geometry])
def test_the_public_names_are_importable_and_nothing_else_is_public(package: object) -> None:
    for name in package.__all__:
        assert getattr(package, name) is not None
    assert set(package.__all__) <= set(dir(package))
    with pytest.raises(AttributeError, match="no_such_name"):
        package.no_such_name  # noqa: B018


def test_the_public_names_are_those_that_the_readme_lists() -> None:
    readme = Path("README.md").read_text(encoding="utf-8")
    listed = readme.partition("## From Python")[2].partition("\n## ")[0]
    for name in [*estimator.__all__, *geometry.__all__]:
        assert f"`{name}`" in listed, name


def test_the_function_is_public_though_a_module_has_its_name() -> None:
    code = "import estimator.estimate, estimator; from estimator import estimate; print(callable(estimate))"
    estimated = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert estimated.stdout == "True\n"


def test_importing_the_package_imports_nothing_heavy() -> None:
    code = "import estimator, sys; print([m for m in ('pandas', 'numpy', 'pydantic', 'shapely') if m in sys.modules])"
    estimated = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert estimated.stdout == "[]\n"


def test_a_mark_is_found_in_any_case_and_spacing(estimated: Estimate) -> None:
    assert list(estimated.pieces) == ["C1", "C2", "P1", "B1", "W1", "W2", "W3"]
    assert estimated.pieces["c1"] is estimated.pieces["C1\u00a0"] is estimated.pieces["C1"]
    assert "C1 " in estimated.pieces
    with pytest.raises(KeyError):
        estimated.pieces["C9"]


def test_the_document_has_workings_only_where_asked(estimated: Estimate) -> None:
    assert "workings" not in estimated.document()
    assert len(estimated.document(workings=True)["workings"]) == len(workings_of(estimated.result))


@pytest.mark.parametrize(
    "name",
    ["pieces", "layers", "mixes", "batches", "materials", "consumables", "labour", "cost", "calendar", "cautions"],
)
def test_every_table_has_a_row_per_item(estimated: Estimate, name: str) -> None:
    document = estimated.document()
    rows = {
        "layers": [layer for piece in document["pieces"] for layer in piece["layers"]],
        "batches": [load for batch in document["batches"] for load in batch["load"]],
        "labour": document["cost"]["labour_lines"],
        "cost": document["cost"]["lines"],
        "calendar": document["calendar"]["steps"],
    }.get(name) or document[name]
    table = getattr(estimated.tables, name)
    assert isinstance(table, pd.DataFrame)
    assert len(table) == len(rows)


def test_a_table_sums_to_what_the_document_says(estimated: Estimate) -> None:
    pieces, document = estimated.tables.pieces, estimated.document()
    assert (pieces.quantity * pieces.volume_m3).sum() == pytest.approx(
        sum(each["quantity"] * each["volume_m3"] for each in document["pieces"])
    )
    assert pieces.set_index("mark").lift_kg["C1"] == estimated.pieces["C1"].weight.lift_kg
    assert pieces.price.sum() == pytest.approx(document["cost"]["price"])
    assert estimated.tables.materials.required_kg.sum() == pytest.approx(
        sum(each["required_kg"] for each in document["materials"])
    )


def test_a_working_belongs_to_its_figure(estimated: Estimate) -> None:
    assert estimated.working("pieces.C1.weight.lift_kg").result == estimated.pieces["C1"].weight.lift_kg
    with pytest.raises(InputError, match=r'Did you mean "pieces\.C1\.weight\.lift_kg"\?'):
        estimated.working("pieces.C1.weight.lift")


def test_explain_takes_either_spelling(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["explain", str(EXAMPLE), "cost.labor"]) == 0
    american = capsys.readouterr().out
    assert run(["explain", str(EXAMPLE), "cost.labour"]) == 0
    assert american == capsys.readouterr().out


def test_a_job_from_a_table_is_the_job_of_its_file() -> None:
    text = EXAMPLE.read_text(encoding="utf-8")
    from_file = load_job(EXAMPLE)
    from_table = job_from(tomllib.loads(text), EXAMPLE.parent)
    assert [piece.mark for piece in from_table.pieces] == [piece.mark for piece in from_file.pieces]
    assert estimate(from_table).document()["cost"] == estimate(from_file).document()["cost"]


def test_a_faulty_table_raises_every_fault() -> None:
    with pytest.raises(InputError) as raised:
        job_from({"job": {"mix": "backer-45"}, "piece": [{"mark": "S1", "shape": PLATE | {"thickness": "25"}}]})
    faults = [str(fault) for fault in raised.value.faults]
    assert any("name" in fault for fault in faults)
    assert any('"25" has no unit' in fault for fault in faults)


def test_a_notebook_shows_the_pieces(estimated: Estimate) -> None:
    shown = estimated._repr_html_()
    assert "<table" in shown
    assert "Boathouse cafe" in shown
    assert "C1" in shown


def test_workings_are_allowed_only_with_json(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["estimate", str(EXAMPLE), "--workings"]) == 2
    told = capsys.readouterr()
    assert (told.out, told.err) == ("", "--workings: needs --json. Write --json --workings, or use explain.\n")
    assert run(["estimate", str(EXAMPLE), "--json", "--workings"]) == 0
    assert json.loads(capsys.readouterr().out)["workings"]


def test_the_pack_keeps_the_workings_in_a_file_of_their_own(tmp_path: Path, estimated: Estimate) -> None:
    assert run(["estimate", str(EXAMPLE), "--out", str(tmp_path / "pack")]) == 0
    written = json.loads((tmp_path / "pack" / "workings.json").read_text(encoding="utf-8"))
    assert "workings" not in json.loads((tmp_path / "pack" / "estimate.json").read_text(encoding="utf-8"))
    assert len(written["rows"]) == len(workings_of(estimated.result))
    words = words_for(estimated.result.job)
    for row, working in zip(written["rows"], workings_of(estimated.result), strict=True):
        figure, formula, values, result, unit, source = row
        assert (figure, result, unit) == (working.figure, working.result, working.unit)
        assert written["formulas"][formula] == working.formula
        assert written["sources"][source] == words.text(working.source)
        assert values == dict(working.values)
    assert len(set(written["formulas"])) == len(written["formulas"])


def test_an_estimate_after_others_is_that_of_a_new_process_to_the_last_byte(tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    for of_first_mm in (1500, 1733, 1490):
        job.write_text(SINKS + "".join(SINK.format(i, mm) for i, mm in enumerate((of_first_mm, 1600, 1810, 1925))))
        result = estimate(load_job(job)).result
        warm = b"".join(json_lines(sections_of(result), words_for(result.job)))
    cold = subprocess.run(
        [sys.executable, "-m", "estimator", "estimate", job, "--json"], stdout=subprocess.PIPE, check=True
    )
    assert cold.stdout == warm


def test_plans_of_sizes_tried_and_left_are_forgotten(
    write_job: Callable[[str], Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    module = sys.modules["estimator.estimate"]
    monkeypatch.setattr(module, "MOST_PLANS", 8)
    of_shops: dict[int, int] = {}
    kept = module._plans_under

    def counted(*setting: Any) -> Any:
        plans = kept(*setting)
        of_shops[id(plans)] = len(plans)
        return plans

    monkeypatch.setattr(module, "_plans_under", counted)
    weights = []
    for number in [*range(40), 0]:
        path = write_job(SINKS + SINK.format(1, 1500 + number))
        weights.append(estimate(load_job(path)).result.pieces[0].weight.lift_kg)
    assert max(of_shops.values()) <= 9
    assert weights[0] == weights[-1] < weights[1]
