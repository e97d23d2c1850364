"""The command line: exit status, standard output and error, nothing written on faulty input."""

import json
import os
import re
import subprocess
import sys
import tomllib
from importlib.metadata import version
from pathlib import Path

import jsonschema
import pytest

from estimator.__main__ import run

ROOT = Path(__file__).parent.parent
EXAMPLE = ROOT / "examples/boathouse/job.toml"


def test_new_writes_a_job_that_runs_as_it_is(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["new", str(tmp_path / "job")]) == 0
    capsys.readouterr()
    assert run(["estimate", str(tmp_path / "job/job.toml"), "--json"]) == 0
    document = json.loads(capsys.readouterr().out)
    assert document["schema"] == "cast-estimate/1"
    assert [piece["mark"] for piece in document["pieces"]] == ["C1", "P1"]


def test_faulty_input_exits_with_2_and_writes_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = tmp_path / "job.toml"
    job.write_text('[job]\nname = "x"\n')
    assert run(["estimate", str(job), "--out", str(tmp_path / "pack"), "--json"]) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert captured.err == "job.toml: piece: the job has no piece. Add at least one [[piece]] or [[schedule]].\n"
    assert not (tmp_path / "pack").exists()


@pytest.mark.parametrize(
    ("call", "told"),
    [
        (["compare"], "JOB_A: is missing. See `cast-estimator compare --help`."),
        (["estimate"], "JOB.toml: is missing. See `cast-estimator estimate --help`."),
        (["estimte", "x"], 'There is no command "estimte". Did you mean `estimate`?'),
        (["mix", "shwo"], 'There is no command "shwo". Did you mean `show`?'),
        (["estimate", "x.toml", "--jsn"], "--jsn: there is no such option. Did you mean `--json`?"),
        (["estimate", "x.toml", "-q"], "-q: there is no such option."),
        (["estimate", "x.toml", "--json=3"], "--json: takes no value. Write the option alone."),
        (["estimate", "x.toml", "--out"], "--out: needs a value after it. Write one, or remove the option."),
        (["estimate", "my", "job.toml"], "Too many words: job.toml. Put a name with spaces in quotes."),
        (["serve", "--port", "99999"], '--port: "99999" is not allowed. Write a whole number from 1 to 65535.'),
        (["measure", "x.pdf", "--page", "one"], '--page: "one" is not allowed. Write a whole number of at least 1.'),
        (["measure", "x.stl", "--layer", "A", "--gap", "1 mm"], "x.stl: there is no such file. Check the path."),
    ],
)
def test_a_faulty_call_exits_with_2_and_one_line(
    call: list[str], told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(call) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert told in captured.err
    assert captured.err.count("\n") == 1


@pytest.mark.parametrize("call", [["estimate", "."], ["check", "."], ["measure", "."], ["record", "."]])
def test_a_folder_in_place_of_a_file_is_named(
    call: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    assert run(call) == 2
    assert capsys.readouterr().err == ".: is a folder. Name a file in it.\n"


def test_the_version_is_that_of_the_package(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["--version"]) == 0
    assert capsys.readouterr().out == version("cast-estimator") + "\n"


@pytest.mark.parametrize("call", [[], ["mix"], ["store"]])
def test_a_call_without_a_command_shows_what_there_is(call: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert run(call) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.startswith("Usage: cast-estimator")
    assert len(told.err.splitlines()) > 8
    assert run([*call, "--help"]) == 0
    assert capsys.readouterr().out.split() == told.err.split()


def test_an_internal_error_exits_with_1_without_a_traceback(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def broken(*_: object, **__: object) -> None:
        raise RuntimeError("out of order")

    monkeypatch.setattr("estimator.commands.jobs.run_schema", broken)
    assert run(["schema"]) == 1
    captured = capsys.readouterr()
    assert captured.err.startswith("cast-estimator: Internal error (not your job file). RuntimeError: out of order")
    assert captured.err.count("\n") == 1


def test_the_module_runs_as_the_command_from_any_folder(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "estimator", "check", str(EXAMPLE)],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert "no faults" in done.stdout


@pytest.mark.parametrize("command", [(), ("mix",), ("store",), ("estimate",), ("new",), ("mix", "solve")])
def test_help_names_the_value_of_an_option_and_ends_no_sentence_in_the_middle(
    command: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    assert run([*command, "--help"]) == 0
    text = capsys.readouterr().out
    assert "<str>" not in text
    assert "<path>" not in text
    assert "<int" not in text
    assert not re.search(r"\w\.\.\.$", text, re.MULTILINE)


def test_help_imports_nothing_heavy() -> None:
    code = (
        "import sys; from estimator.__main__ import run; run(['--help']); print(*sorted(sys.modules), file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    loaded = set(done.stderr.split())
    assert "estimate" in done.stdout
    assert not loaded & {"numpy", "pandas", "scipy", "pint", "pydantic", "trimesh", "reportlab", "shapely", "ezdxf"}


def test_a_mesh_is_measured_without_importing_what_reads_job_files(tmp_path: Path) -> None:
    mesh = tmp_path / "corner.stl"
    corners = ["0 0 0 0 1 0 1 0 0", "0 0 0 0 0 1 0 1 0", "0 0 0 1 0 0 0 0 1", "1 0 0 0 1 0 0 0 1"]
    lines = ["solid corner"]
    for corner in corners:
        points = [f"vertex {corner[at : at + 5]}" for at in (0, 6, 12)]
        lines += ["facet normal 0 0 0", "outer loop", *points, "endloop", "endfacet"]
    mesh.write_text("\n".join([*lines, "endsolid corner", ""]), encoding="utf-8")
    code = (
        "import sys; from estimator.__main__ import run; run(['measure', sys.argv[1], '--unit', 'm', '--json']);"
        "print(*sorted(sys.modules), file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", code, mesh], cwd=ROOT, capture_output=True, text=True, check=True)
    loaded = set(done.stderr.split())
    assert json.loads(done.stdout)["volume_m3"] == pytest.approx(1 / 6)
    assert not loaded & {"pydantic", "shapely", "scipy", "trimesh", "estimator.intake.read", "estimator.estimate"}


def test_the_schema_describes_the_job_file(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["schema"]) == 0
    schema = json.loads(capsys.readouterr().out)
    for job in (EXAMPLE, ROOT / "estimator/commands/starter.toml"):
        jsonschema.validate(tomllib.loads(job.read_text(encoding="utf-8")), schema)
    with pytest.raises(jsonschema.ValidationError, match="limit_levl"):
        jsonschema.validate({"job": {"name": "x"}, "workshop": {"handling": {"limit_levl": "40 lb"}}}, schema)
