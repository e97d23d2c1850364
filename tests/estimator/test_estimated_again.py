"""A job that is estimated again after an edit works out only what changed, and gives what it gave from scratch."""

import shutil
import sys
from pathlib import Path
from typing import Any

import pytest

from estimator import estimate, load_job

ROOT = Path(__file__).parents[2]
HEAD = '[job]\nname = "Terrace"\nunits = "metric"\nmix = "backer-45"\n'
DRAWN = """
[[piece]]
mark = "T{number}"
use = "counter"
description = "Top"
finish = "honed"

[piece.shape]
kind = "outline"
thickness = "25 mm"
points = [
  ["0 mm", "0 mm"], ["2000 mm", "0 mm"], ["2000 mm", "600 mm"], ["600 mm", "600 mm"], ["600 mm", "{depth} mm"],
  ["0 mm", "{depth} mm"],
]
"""


@pytest.fixture
def planned(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Marks of the pieces whose moves are planned, one after the other."""
    stage, marks = sys.modules["estimator.estimate"], list[str]()
    plan_all = stage.plan_all

    def noted(takeoffs: Any, *more: Any) -> Any:
        marks.extend(taken.piece.mark for taken in takeoffs)
        return plan_all(takeoffs, *more)

    monkeypatch.setattr(stage, "plan_all", noted)
    return marks


def test_a_drawn_piece_is_planned_again_only_if_it_changed(tmp_path: Path, planned: list[str]) -> None:
    path = tmp_path / "job.toml"
    text = HEAD + "".join(DRAWN.format(number=number, depth=1500 + 7 * number) for number in range(1, 4))
    path.write_text(text, encoding="utf-8")
    first = estimate(load_job(path)).document()
    assert planned == ["T1", "T2", "T3"]
    assert estimate(load_job(path)).document() == first
    path.write_text(text.replace('"honed"', '"polished"').replace('"Top"', '"Bar"', 1), encoding="utf-8")
    estimate(load_job(path))
    assert planned == ["T1", "T2", "T3"]
    path.write_text(text.replace("1514 mm", "1515 mm"), encoding="utf-8")
    estimate(load_job(path))
    assert planned == ["T1", "T2", "T3", "T2"]


@pytest.mark.parametrize("name", ["boathouse", "kitchen"])
def test_drawings_and_meshes_that_did_not_change_are_planned_once(
    tmp_path: Path, planned: list[str], name: str
) -> None:
    shutil.copytree(ROOT / "examples" / name, tmp_path / name)
    path = tmp_path / name / "job.toml"
    first = estimate(load_job(path)).document()
    before = list(planned)
    assert estimate(load_job(path)).document() == first
    assert planned == before
