"""Records beside the job: appended, never rewritten, and readable after a crash while writing."""

from collections.abc import Callable
from pathlib import Path

import pytest

from estimator.__main__ import run
from estimator.intake import read_job
from estimator.records import append_record, new_record, read_records, records_path
from geometry.message import message
from tests.estimator.conftest import JOB

POUND_KG, FOOT_M, LBF_N = 0.45359237, 0.3048, 4.4482216152605
Write = Callable[[str], Path]


@pytest.fixture
def job(write_job: Write) -> Path:
    return write_job(JOB)


def test_records_are_read_in_the_sequence_in_which_they_were_written(job: Path) -> None:
    for hours in (1.0, 2.0):
        append_record(job, new_record("hours", {"task": "form", "time_s": hours * 3600.0}))
    found = read_records(job)
    assert [each.values["time_s"] for each in found.of("hours", task="form")] == [3600.0, 7200.0]
    assert found.torn == ()
    assert found.of("hours", task="hone") == ()


def test_without_a_file_there_are_no_records(job: Path) -> None:
    assert read_records(job).records == ()


@pytest.mark.parametrize("cut", range(1, 60, 7))
def test_a_crash_while_writing_costs_only_the_line_being_written(job: Path, cut: int) -> None:
    append_record(job, new_record("hours", {"task": "form"}))
    append_record(job, new_record("hours", {"task": "torn"}))
    path = records_path(job)
    whole = path.read_bytes()
    path.write_bytes(whole[:-cut])
    append_record(job, new_record("hours", {"task": "after"}))
    found = read_records(job)
    tasks = [each.values["task"] for each in found.records]
    # Without its line end alone the record is whole.
    assert tasks == (["form", "torn", "after"] if cut == 1 else ["form", "after"])
    assert len(found.torn) == (0 if cut == 1 else 1)
    if cut > 1:
        assert found.torn[0] == message("warning-record-torn", file="job.records.jsonl", line="2")
    assert path.read_bytes().startswith(whole[:-cut]), "only ever added to"


@pytest.mark.parametrize("rest", [b"\x00" * 40, b"\xff\xfe", b"[1, 2]\n", b'{"kind": "hours"}\n', b'"text"'])
def test_remains_of_a_crash_are_reported_and_left_out(job: Path, rest: bytes) -> None:
    append_record(job, new_record("hours", {"task": "form"}))
    path = records_path(job)
    path.write_bytes(path.read_bytes() + rest)
    found = read_records(job)
    assert len(found.records) == 1
    assert len(found.torn) == 1


def test_a_torn_record_gives_a_warning_in_the_job(job: Path) -> None:
    append_record(job, new_record("hours", {"task": "form"}))
    path = records_path(job)
    path.write_bytes(path.read_bytes()[:-5])
    assert read_job(job).sound().warnings[0].text == message("warning-record-torn", file=path.name, line="1")


def test_the_record_command_stores_si(job: Path) -> None:
    call = [
        "record",
        str(job),
        "bucket",
        "mix=backer-45",
        "container=0.25 ft^3",
        "gross=30 lb",
        "tare=5 lb",
        "air=0.06",
    ]
    assert run(call) == 0
    (bucket,) = read_records(job).of("bucket")
    assert bucket.values["container_m3"] == pytest.approx(0.25 * FOOT_M**3)
    assert bucket.values["gross_kg"] == pytest.approx(30 * POUND_KG)
    assert bucket.values["air"] == 0.06


def test_a_batch_is_recorded_material_by_material(job: Path) -> None:
    assert run(["record", str(job), "batch", "mix=backer-45", "batch=1", "white-cement=45 lb", "water=16 lb"]) == 0
    (batch,) = read_records(job).of("batch", batch="1")
    assert batch.values["masses_kg"] == pytest.approx({"white-cement": 45 * POUND_KG, "water": 16 * POUND_KG})


def test_a_remake_keeps_its_cause_and_cost(job: Path) -> None:
    assert run(["record", str(job), "remake", "piece=C1", "cause=bead at the face", "cost=120"]) == 0
    (remake,) = read_records(job).of("remake", piece="C1")
    assert (remake.values["cause"], remake.values["cost"], remake.values["count"]) == ("bead at the face", 120.0, 1)


def test_recorded_coupons_count_for_their_mix(job: Path) -> None:
    for i in range(6):
        loads = [f"peak={60 + i} lbf", f"limit={36 + i} lbf", f"face={'up' if i % 2 else 'down'}"]
        size = ["span=10 in", "width=2 in", "depth=0.5 in"]
        assert run(["record", str(job), "coupon", "mix=backer-45", "pour=A", "age=28 days", *size, *loads]) == 0
    mix = read_job(job).sound().mixes["backer-45"]
    assert len(mix.coupons) == 6
    # source: ASTM C947, F = P·L/(b·d²): 36 lbf on 10 x 2 x 0.5 in is 720 psi
    assert mix.coupons[0].limit_pa == pytest.approx(36 * LBF_N * 0.254 / (0.0508 * 0.0127**2))
    assert mix.first_crack_strength_pa is not None
    assert 0.0 < mix.first_crack_strength_pa < mix.coupons[0].limit_pa


def test_the_records_are_listed(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["record", str(job), "used", "material=white-cement", "mass=80 lb", "lot=A"]) == 0
    assert run(["record", str(job)]) == 0
    out = capsys.readouterr().out
    assert "used: material white-cement, mass 80 lb, lot A\n" in out
    assert out.endswith("job.records.jsonl: 1 record.\n")
    assert run(["record", str(job), "batch", "mix=backer-45", "white-cement=45 lb", "coated-eps-bead=4 oz"]) == 0
    assert run(["record", str(job), "hours", "task=form", "time=2.5 h"]) == 0
    capsys.readouterr()
    assert run(["record", str(job)]) == 0
    out = capsys.readouterr().out
    assert "batch: mix backer-45, masses (white-cement 45 lb, coated-eps-bead 0.25 lb)\n" in out
    assert "hours: task form, time 2 h 30 min\n" in out
    assert out.endswith("job.records.jsonl: 3 records.\n")


@pytest.mark.parametrize(
    ("arguments", "line"),
    [
        (["buckt"], 'record: "buckt" is not a kind of record. Did you mean `bucket`?'),
        (["hours", "task=form"], "record: hours, time: is missing. Add `time`."),
        (["hours", "task=form", "time=3"], 'record: hours, time: "3" has no unit. Write "3 min".'),
        (["hours", "task"], 'record: hours: "task" is not name=value. Write name=value, such as time="3 h".'),
        (["remake", "piece=C9", "cause=crack"], 'record: remake, piece: there is no piece "C9". Known here: `C1`.'),
        (
            ["used", "material=white-cemnt", "mass=1 lb"],
            'record: used: there is no material "white-cemnt". Did you mean `white-cement`?',
        ),
        (
            ["batch", "mix=backer-4", "white-cement=45 lb"],
            'record: batch, mix: there is no mix "backer-4". Did you mean `backer-45`?',
        ),
        (
            ["bucket", "mix=backer-45", "container=1 L", "gross=1 kg", "tare=2 kg"],
            "record: bucket: gross is 1 kg, not more than tare, 2 kg. Weigh the container empty "
            "(tare) and full (gross).",
        ),
    ],
)
def test_an_impossible_record_gets_one_line(
    job: Path, capsys: pytest.CaptureFixture[str], arguments: list[str], line: str
) -> None:
    assert run(["record", str(job), *arguments]) == 2
    assert capsys.readouterr().err.rstrip("\n") == line
    assert not records_path(job).exists()


def test_a_faulty_job_stops_no_record(write_job: Write) -> None:
    job = write_job(JOB.replace("thickness", "thicknes"))
    assert run(["record", str(job), "hours", "task=form", "time=3 h"]) == 0


def test_a_place_that_cannot_be_written_is_reported(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    records_path(job).mkdir()
    assert run(["record", str(job), "used", "material=white-cement", "mass=1 lb"]) == 2
    assert capsys.readouterr().err.startswith(
        "job.records.jsonl: could not be written (Is a directory). Check the folder and its permissions."
    )
