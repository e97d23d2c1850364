"""What the README shows works as it stands there."""

import re
from pathlib import Path

import pytest

from estimator.intake import read_job

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
JOB, MOVED, MIXES, QUOTED, BOUGHT = re.findall(r"```toml\n(.*?)```", README, re.DOTALL)
PIECE_KEYS, _, SITE = MOVED.partition("\n\n")
JOB_KEYS, _, TERMS = QUOTED.removeprefix("[job]\n").partition("\n\n")
HEAD = "waste = 0.07\n"


@pytest.mark.parametrize(
    "text",
    [
        JOB,
        f"{JOB}{PIECE_KEYS}\n{SITE}",
        JOB + MIXES.replace('coupons = "coupons.csv"', "#"),
        JOB.replace(HEAD, HEAD + JOB_KEYS + "\n") + TERMS,
        JOB + BOUGHT,
    ],
    ids=["ten lines", "handling and site", "mixes", "quote and change", "buy and cure"],
)
def test_a_job_as_the_readme_writes_it_is_read(tmp_path: Path, text: str) -> None:
    assert HEAD in JOB
    path = tmp_path / "job.toml"
    path.write_text(text, encoding="utf-8")
    assert read_job(path).faults == ()


def test_every_picture_and_page_that_the_readme_names_is_there() -> None:
    named = re.findall(r"\]\(([^)#:]+)\)", README)
    assert len(named) >= 6
    assert [name for name in named if not (ROOT / name).is_file()] == []
