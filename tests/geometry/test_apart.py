"""A file that crashes, fills or holds up its reader is refused in one line; else a child gives the same figures."""

from __future__ import annotations

import os
import sys
import time
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from geometry import apart as room
from geometry.apart import apart, guarded
from geometry.errors import FaultError
from geometry.files import InputFile, Limits
from geometry.mesh_file import read_facets, read_mesh
from geometry.message import message
from geometry.plain import packed
from geometry.readers.drawing import read_drawing
from tests.fuzz_readers import MM, SEEDS
from tests.geometry import hostile

posix = pytest.mark.skipif(os.name == "nt", reason="signals and limits as POSIX has them")
FILE = InputFile("part.step", b"x", Limits(memory_mb=300))
HASTY = replace(FILE, limits=Limits(seconds=1))


def refusal(read: object, *asked: object, file: InputFile = FILE) -> str:
    with pytest.raises(FaultError) as caught:
        apart(read, file, *asked)  # type: ignore[arg-type]
    return caught.value.message.id


def test_values_come_back_unchanged():
    values = {"a": [1, 0.1 + 0.2, None, True, "é", (b"x",)], "points": np.array([[0.1, np.nan], [np.inf, 2**-1074]])}
    back = apart(hostile.returns, FILE, values)
    assert back["a"] == values["a"]
    assert back["points"].tobytes() == values["points"].tobytes()  # type: ignore[attr-defined]


def test_a_refusal_comes_back_with_its_key_and_values():
    with pytest.raises(FaultError) as caught:
        apart(hostile.refuses, FILE)
    assert caught.value.key == "layer"
    assert caught.value.message == message("drawing-no-unit", x="1", y="2", sizes=("a", "b"))


def test_a_fault_of_the_program_stays_one_and_shows_where_it_arose():
    with pytest.raises(RuntimeError, match=r"(?s)part\.step.*in breaks.*KeyError: 'ours'"):
        apart(hostile.breaks, FILE)


@posix
@pytest.mark.parametrize(
    ("read", "asked", "end"),
    [
        (hostile.reads_null, (), "crash"),
        (hostile.aborts, (), "crash"),
        (hostile.leaves, (3,), "crash"),
        (hostile.leaves, (0,), "crash"),
        (hostile.writes_nonsense, (), "crash"),
        (hostile.fills_memory, (), "memory"),
    ],
)
def test_each_way_a_reader_may_end_has_a_message_of_its_own(read: object, asked: tuple[object, ...], end: str) -> None:
    assert refusal(read, *asked) == f"apart-{end}"


@posix
def test_a_library_that_runs_out_of_memory_is_told_apart_from_one_that_crashes():
    import resource

    own = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * (1 if sys.platform == "darwin" else 1024)
    roomy = replace(FILE, limits=Limits(memory_mb=own // 10**6 + 300))
    assert refusal(hostile.fills_memory_natively, file=roomy) == "apart-memory"
    assert refusal(hostile.aborts, file=roomy) == "apart-crash"


@posix
def test_a_reader_that_computes_forever_is_ended():
    assert refusal(hostile.turns_for_ever, file=HASTY) == "apart-time"


def test_a_reader_that_waits_forever_is_ended_by_the_clock(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(room, "_WALL", 1)
    began = time.monotonic()
    assert refusal(hostile.sleeps_for_ever, file=HASTY) == "apart-time"
    assert time.monotonic() - began < 20


def test_a_reader_that_closes_its_pipe_and_stays_is_ended(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(room, "_GRACE_S", 1)
    assert refusal(hostile.closes_its_pipe_and_stays) == "apart-crash"


def test_an_endless_answer_is_cut_off():
    assert refusal(hostile.answers_for_ever, file=replace(FILE, limits=Limits(answer_mb=1))) == "apart-answer"


def test_a_child_that_was_taken_over_cannot_name_a_program_to_run():
    assert refusal(hostile.names_a_program) == "apart-crash"


def test_output_of_a_library_goes_nowhere(capfd: pytest.CaptureFixture[str]) -> None:
    assert apart(hostile.prints, FILE) == "quiet"
    assert capfd.readouterr() == ("", "")


def test_a_child_starts_no_other_process():
    own = apart(hostile.asks_for_another, FILE)
    assert own != os.getpid()


def test_a_program_in_the_working_folder_is_not_run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "pickle.py").write_text("raise SystemExit(3)")
    monkeypatch.setattr(sys, "path", [str(Path(place).resolve()) for place in sys.path])
    monkeypatch.chdir(tmp_path)
    assert apart(hostile.returns, FILE, 1) == 1


def test_only_large_files_of_foreign_formats_need_a_child_unless_all_are_required_to():
    size = len(SEEDS["plan.dxf"])
    for name, limits, child in (
        ("plan.dxf", Limits(apart_mb=(size + 1) / 1e6), False),
        ("plan.dxf", Limits(apart_mb=size / 1e6), True),
        ("plan.csv", Limits(apart_mb=1e-6), False),
        ("plan.csv", Limits(apart_mb=0), True),
    ):
        file = InputFile(name, SEEDS["plan.dxf"], limits)
        assert (guarded(hostile.process, file) != os.getpid()) is child, (name, limits)


@pytest.mark.parametrize("name", [name for name in SEEDS if name.startswith(("plan", "box", "text"))])
def test_a_file_measures_the_same_in_a_child_to_the_last_bit(name: str) -> None:
    for read in (read_drawing,) if name.startswith("plan") else (read_mesh, read_facets):
        unit_m = None if name.endswith(("3mf", "glb")) else MM
        here, there = (
            read(InputFile(name, SEEDS[name], limits), unit_m)  # type: ignore[operator]
            for limits in (Limits(), Limits(apart_mb=0))
        )
        assert packed(here) == packed(there)


def test_a_watch_enforces_the_limit_where_the_system_does_not(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(room, "_ENFORCES_MEMORY", False)
    assert apart(hostile.returns, FILE, 1) == 1
    assert refusal(hostile.holds, 290_000_000) == "apart-memory"
