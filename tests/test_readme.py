"""Everything that the README shows works as printed."""

import re
import shlex
import shutil
from pathlib import Path

import pytest

from estimator import estimate, load_job
from estimator.__main__ import run
from tests.pictures import PICTURES, draw_plans, draw_screen

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
JOB, *PARTS = re.findall(r"```toml\n(.*?)```", README, re.DOTALL)
CALLS = [
    line
    for block in re.findall(r"```sh\n(.*?)```", README, re.DOTALL)
    for line in block.splitlines()
    if line.startswith("cast-estimator")
]


@pytest.fixture
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with the README's job and the drawings that it names."""
    for name in ("boathouse/island.dxf", "kitchen/kitchen.dxf"):
        shutil.copy(ROOT / "examples" / name, tmp_path)
    (tmp_path / "job.toml").write_text(JOB, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.mark.parametrize("part", PARTS, ids=lambda part: part.split("\n")[0])
def test_each_part_of_a_job_file_can_be_added_to_the_first(desk: Path, part: str) -> None:
    head = (
        JOB.replace("waste = 0.07", 'waste = 0.07\nstatus = "released"\ndate = 2026-03-02') if "change" in part else JOB
    )
    (desk / "job.toml").write_text(f"{head}\n{part}", encoding="utf-8")
    assert estimate(load_job(desk / "job.toml")).pieces["C1"].weight.lift_kg > 0.0


@pytest.mark.usefixtures("desk")
def test_the_commands_run_one_after_the_other(capsys: pytest.CaptureFixture[str]) -> None:
    assert len(CALLS) >= 5
    for call in CALLS:
        assert run(shlex.split(call)[1:]) == 0, capsys.readouterr().err


def test_every_command_is_named_in_the_readme(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["--help"]) == 0
    commands = re.findall(r"^  ([a-z]+) {2,}", capsys.readouterr().out.partition("Commands")[2], re.MULTILINE)
    assert len(commands) >= 11
    assert [name for name in commands if f"cast-estimator {name}" not in README] == []


def test_every_picture_and_page_that_the_readme_names_is_there() -> None:
    named = re.findall(r"\]\(([^)#:]+)\)", README)
    assert len(named) >= 6
    assert [name for name in named if not (ROOT / name).is_file()] == []


def test_the_pictures_of_drawings_are_what_the_program_writes_today(tmp_path: Path) -> None:
    for name, path in draw_plans(tmp_path).items():
        assert (PICTURES / name).read_bytes() == path.read_bytes(), f"{name}: run python -m tests.pictures"


def test_the_picture_of_the_first_screen_is_what_the_program_prints_today() -> None:
    assert (PICTURES / "summary.svg").read_text(encoding="utf-8") == draw_screen(), "run python -m tests.pictures"
