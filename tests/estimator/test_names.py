"""One name for one thing: spaces, case, dashes and Unicode forms that look alike on paper make no other name."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator import estimate, load_job
from estimator.__main__ import run
from estimator.errors import InputError
from estimator.names import folded, tidy

HEAD = '[job]\nname = "Counters"\nmix = "backer-45"\nunits = "metric"\n'
SLAB = 'shape = { kind = "slab", length = "1200 mm", width = "600 mm", thickness = "25 mm" }\n'


def piece(mark: str, more: str = "") -> str:
    return f'\n[[piece]]\nmark = "{mark}"\nuse = "counter"\n{more}{SLAB}'


def faults_of(tmp_path: Path, text: str) -> list[str]:
    (tmp_path / "job.toml").write_text(HEAD + text, encoding="utf-8")
    with pytest.raises(InputError) as found:
        load_job(tmp_path / "job.toml")
    return [str(fault) for fault in found.value.faults]


@pytest.mark.parametrize(
    "other",
    [
        "C-1 ",
        "C-1\u00a0",
        "\uff23-1",
        "c-1",
        "C\u20111",
        "C\u22121",
        "C-1\u200b",
        "\u2009C-1",
        "C-\u2460",
        "\u0421-1",
        "\u0441-1",
        "C-1\u202e",
        "C\\u0007-1",
    ],
)
def test_marks_that_look_alike_are_one_mark(tmp_path: Path, other: str) -> None:
    (fault,) = faults_of(tmp_path, piece("C-1") + piece(other))
    assert "mark: is used 2 times" in fault


@given(st.text(max_size=30))
def test_a_tidied_name_equals_the_name_as_entered(name: str) -> None:
    assert folded(tidy(name)) == folded(name)
    assert folded(folded(name)) == folded(name)


def test_a_mark_repeated_in_a_schedule_is_reported_with_its_place_in_the_schedule(tmp_path: Path) -> None:
    (tmp_path / "panels.csv").write_text(
        "mark,shape.kind,shape.length,shape.width,shape.thickness\n"
        "W1,slab,900 mm,600 mm,20 mm\nW2,slab,900 mm,600 mm,20 mm\nw1 ,slab,900 mm,600 mm,20 mm\n"
    )
    assert faults_of(tmp_path, '[[schedule]]\nfile = "panels.csv"\n') == [
        "panels.csv: row 4, piece w1, mark: is used 2 times, first in row 2, piece W1. Spaces and"
        " case don't make another mark. Give every piece its own mark."
    ]


def test_a_material_or_supplier_in_another_spelling_is_refused(tmp_path: Path) -> None:
    told = faults_of(
        tmp_path,
        '[[supplier]]\nname = "north yard"\n[[supplier]]\nname = "North  Yard"\n'
        '[materials."Silica-Sand"]\nkind = "sand"\nrelative_density = 2.65\nbulk_density = "1600 kg/m^3"\n'
        + piece("A"),
    )
    assert any('material Silica-Sand: is "silica-sand" in another spelling' in line for line in told)
    assert any('supplier North Yard, name: "North Yard" is used twice' in line for line in told)


def test_a_mark_is_found_in_any_spelling(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = tmp_path / "job.toml"
    job.write_text(HEAD + piece("C 1", 'pour = "A"\n') + piece("D", 'pour = " a"\n'), encoding="utf-8")
    figures = []
    for mark in ("C 1", "c\u00a01"):
        assert run(["explain", str(job), f"pieces.{mark}.weight.lift_kg"]) == 0
        figures.append(capsys.readouterr().out)
        assert run(["mix", "swap", "60%", "--job", str(job), "--piece", mark]) == 0
        figures.append(capsys.readouterr().out)
        assert run(["mix", "show", "backer-45", "--job", str(job), "--for", f"pieces {mark}"]) == 0
        figures.append(capsys.readouterr().out)
    assert figures[:3] == figures[3:]
    assert {batch["pour"] for batch in estimate(load_job(job)).document()["batches"]} == {"A"}, "one pour, not two"


def test_a_change_order_finds_its_piece_in_any_spelling(tmp_path: Path) -> None:
    change = '\n[[option]]\nname = "two more"\ntaken = true\n[[option.piece]]\nmark = "c 1"\nquantity = 3\n'
    (tmp_path / "job.toml").write_text(HEAD + piece("C 1") + change, encoding="utf-8")
    assert [(each.mark, each.quantity) for each in load_job(tmp_path / "job.toml").pieces] == [("C 1", 3)]
    twice = change + '[[option.piece]]\nmark = "C\u00a01"\nquantity = 4\n'
    assert any("is changed more than once" in line for line in faults_of(tmp_path, piece("C 1") + twice))
