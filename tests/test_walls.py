"""Absurd input, and faulty consoles, disks and folders: one line, no traceback, no hang."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

import pytest
from openpyxl import Workbook

from estimator import InputError, load_job
from estimator.records import append_record, new_record, read_records
from estimator.report.papers.data_files import workbook_bytes
from geometry.errors import FaultError
from geometry.files import named_file, read_bytes

JOB = """
[job]
name = "Café counter – 60°"
units = "metric"
currency = "EUR"
mix = "backer-45"
{head}
[[piece]]
mark = "A"
{piece}
shape = {{ kind = "slab", length = "{length}", width = "500 mm", thickness = "20 mm" }}
"""


def write(folder: Path, head: str = "", piece: str = "", length: str = "1 m") -> Path:
    path = folder / "job.toml"
    path.write_text(JOB.format(head=head, piece=piece, length=length), encoding="utf-8")
    return path


def run(*call: object, **environment: str) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        [sys.executable, "-m", "estimator", *map(str, call)],
        capture_output=True,
        timeout=60,
        env={**os.environ, **environment},
        check=False,
    )


@pytest.mark.parametrize(
    ("head", "piece", "length"),
    [
        ("start = 0001-01-01", "", "1 m"),
        ("start = 9999-12-31", "", "1 m"),
        ("start = 9999-12-01", "", "1 m"),
        ('date = "1066-10-14"', "", "1 m"),
        ("", "quantity = 100001", "1 m"),
        ("", "quantity = 99999999999999999999999", "1 m"),
        ("", "forms = 99999999999999999999999", "1 m"),
        ("", "", "101 m"),
        ("", "", "9" * 300 + " mm"),
        ("", "", "9" * 400 + " m"),
    ],
)
def test_an_absurd_figure_is_refused_in_one_line(tmp_path: Path, head: str, piece: str, length: str) -> None:
    with pytest.raises(InputError) as caught:
        load_job(write(tmp_path, head, piece, length))
    assert len(caught.value.faults) == 1
    assert len(str(caught.value.faults[0]).splitlines()) == 1


@pytest.mark.parametrize(
    ("table", "words"),
    [
        ("[price]\nmargin = 0.97\n", "A margin of 0.97 makes the price 33.3 times the cost. At most 90 % is allowed."),
        ("[price]\nmargin = 0.9999999999\n", "At most 90 % is allowed."),
        ('[mixes.backer-45]\nbased_on = "backer-45"\nair = 0.97\n', "Air is 0.97 of the volume. At most 80 %"),
    ],
)
def test_a_share_that_only_a_slip_can_mean_is_refused(tmp_path: Path, table: str, words: str) -> None:
    path = write(tmp_path)
    path.write_text(path.read_text(encoding="utf-8") + table, encoding="utf-8")
    with pytest.raises(InputError) as raised:
        load_job(path)
    (fault,) = raised.value.faults
    assert words in str(fault)


def test_a_thousand_holes_side_by_side_are_checked_as_fast_as_they_are_counted(tmp_path: Path) -> None:
    """Rails between 1,000 holes, each with hundreds of others within the usual width of a rail."""
    holes = ", ".join(
        f'{{ kind = "circle", diameter = "2 mm", x = "{10 + i % 50 * 9} mm", y = "{10 + i // 50 * 9} mm" }}'
        for i in range(1000)
    )
    path = write(tmp_path)
    path.write_text(path.read_text(encoding="utf-8").replace(" }", f", cutouts = [{holes}] }}"), encoding="utf-8")
    job = load_job(path)
    told = [each for each in job.warnings if each.id == "size-unusual"]
    assert 500 <= len(told) <= 2000, "each opening and its nearest one, not each pair"


@pytest.mark.parametrize("name", ["a\0b.dxf", "x" * 300 + ".dxf", "../" * 2000 + "a.dxf", "C:\\" + "x" * 300])
def test_a_name_that_no_file_can_have_is_refused(tmp_path: Path, name: str) -> None:
    with pytest.raises(FaultError, match="file-name-impossible"):
        named_file(tmp_path, name)


@pytest.mark.skipif(os.name == "nt", reason="pipes and links as POSIX has them")
def test_pipes_devices_folders_and_links_out_of_the_folder_are_refused(tmp_path: Path) -> None:
    home = tmp_path / "job"
    home.mkdir()
    (home / "inside.csv").write_text("x")
    (tmp_path / "outside.csv").write_text("x")
    os.mkfifo(home / "pipe.csv")
    (home / "out.csv").symlink_to(tmp_path / "outside.csv")
    (home / "way").symlink_to(tmp_path)
    (home / "in.csv").symlink_to(home / "inside.csv")
    for name in ("pipe.csv", ".", "/dev/null"):
        with pytest.raises(FaultError, match="file-not-plain"):
            named_file(home, name)
    for name in ("out.csv", "way/outside.csv", "../job/out.csv"):
        with pytest.raises(FaultError, match="file-link-leaves"):
            named_file(home, name)
    for name in ("in.csv", "../outside.csv", str(tmp_path / "outside.csv")):
        assert named_file(home, name).read_text() == "x"
    with pytest.raises(FaultError, match="file-special"):
        read_bytes(home / "pipe.csv")


def test_a_job_file_that_is_a_pipe_does_not_hang(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "job.toml")
    done = run("estimate", tmp_path / "job.toml")
    assert done.returncode == 2
    assert done.stdout == b""
    assert done.stderr.count(b"\n") == 1


@pytest.mark.parametrize("encoding", ["ascii", "cp437", "cp1252", "latin-1"])
def test_output_never_fails_because_of_a_character_that_the_console_lacks(tmp_path: Path, encoding: str) -> None:
    done = run("estimate", write(tmp_path), "--full", PYTHONIOENCODING=encoding)
    assert done.returncode == 0, done.stderr
    assert done.stdout
    assert b"Traceback" not in done.stderr


def test_output_needs_no_home_and_no_locale(tmp_path: Path) -> None:
    kept = {"HOME": "", "XDG_CACHE_HOME": "", "LC_ALL": "C", "LANG": "C"}
    done = run("estimate", write(tmp_path), **kept)
    assert done.returncode == 0, done.stderr
    assert b"Traceback" not in done.stderr


def test_a_closed_pipe_is_no_fault(tmp_path: Path) -> None:
    job = write(tmp_path)
    with subprocess.Popen(
        [sys.executable, "-m", "estimator", "estimate", job, "--json"], stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as running:
        assert running.stdout is not None
        assert running.stderr is not None
        running.stdout.read(1)
        running.stdout.close()
        said = running.stderr.read()
    assert running.returncode == 0, said
    assert said == b""


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="a disk that is always full")
def test_a_full_disk_is_reported_in_one_line(tmp_path: Path) -> None:
    with open("/dev/full", "wb") as full:
        done = subprocess.run(
            [sys.executable, "-m", "estimator", "estimate", write(tmp_path), "--json"],
            stdout=full,
            stderr=subprocess.PIPE,
            timeout=60,
            check=False,
        )
    assert done.returncode == 2, done.stderr
    assert done.stderr.count(b"\n") == 1


def test_two_writers_into_one_folder_leave_one_whole_pack(tmp_path: Path) -> None:
    call = [sys.executable, "-m", "estimator", "estimate", write(tmp_path), "--out", tmp_path / "pack"]
    writers = [subprocess.Popen(call, stdout=subprocess.PIPE, stderr=subprocess.PIPE) for _ in range(2)]
    said = [writer.communicate(timeout=100)[1] for writer in writers]
    codes = sorted(writer.returncode for writer in writers)
    assert codes in ([0, 0], [0, 2]), said
    assert not any(b"Traceback" in text for text in said)
    assert run("estimate", tmp_path / "job.toml", "--out", tmp_path / "pack").returncode == 0
    assert sorted(path.name for path in tmp_path.iterdir()) == ["job.toml", "pack"]


@contextmanager
def mounted(folder: Path, options: str) -> Iterator[Path]:
    """A small disk of its own at a folder; skips the test where none may be mounted."""
    folder.mkdir(exist_ok=True)
    call = ["mount", "-t", "tmpfs", "-o", options, "tmpfs", folder]
    if not shutil.which("mount") or subprocess.run(call, capture_output=True, check=False).returncode:
        pytest.skip("no disk may be mounted here")
    try:
        yield folder
    finally:
        subprocess.run(["umount", folder], check=True)


def test_a_disk_that_fills_up_keeps_the_old_pack(tmp_path: Path) -> None:
    job = write(tmp_path)
    with mounted(tmp_path / "disk", "size=2m") as disk:
        assert run("estimate", job, "--out", disk / "pack").returncode == 0
        before = {path: path.read_bytes() for path in disk.rglob("*") if path.is_file()}
        used = sum(len(content) for content in before.values())
        (disk / "filler").write_bytes(bytes(2_000_000 - used - 200_000))
        done = run("estimate", write(tmp_path, piece="quantity = 3"), "--out", disk / "pack")
        assert done.returncode == 2, done.stderr
        assert done.stdout == b""
        assert done.stderr.count(b"\n") == 1
        after = {path: path.read_bytes() for path in disk.rglob("*") if path.is_file() and path.name != "filler"}
        assert after == before, "the old pack, and nothing beside it"


def test_a_folder_that_cannot_be_written_is_reported_in_one_line(tmp_path: Path) -> None:
    with mounted(tmp_path / "disk", "size=1m") as disk:
        job = write(disk)
        subprocess.run(["mount", "-o", "remount,ro", disk], check=True)
        for call in (
            ("estimate", job, "--out", disk / "pack"),
            ("new", disk / "shop"),
            ("record", job, "hours", "task=pour", "time=2 h"),
        ):
            done = run(*call, CAST_ESTIMATOR_CACHE=str(disk / "cache"))
            assert done.returncode == 2, done.stderr
            assert done.stdout == b""
            assert done.stderr.count(b"\n") == 1, done.stderr
        assert run("estimate", job, CAST_ESTIMATOR_CACHE=str(disk / "cache")).returncode == 0


@pytest.mark.parametrize("second", [0.0, 16_725_225_600.0])
def test_a_clock_before_1980_or_after_2107_writes_the_same_workbook(
    second: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    usual = workbook_bytes(Workbook(), "Terrace", "2026-03-02")
    local = time.localtime
    monkeypatch.setattr(time, "localtime", lambda at=None: local(second if at is None or at > 1e9 else at))
    monkeypatch.setattr(time, "time", lambda: second)
    assert workbook_bytes(Workbook(), "Terrace", "2026-03-02") == usual


def test_a_clock_that_jumps_back_loses_no_record(tmp_path: Path) -> None:
    job = write(tmp_path)
    years = (1970, 2106, 2026, 1999)
    for year in years:
        record = new_record("hours", {"task": "pour", "time_s": 3600.0}, datetime(year, 1, 1, tzinfo=UTC))
        append_record(job, record)
    assert [int(record.at[:4]) for record in read_records(job).records] == list(years), "in the order written"
    assert run("history", job).returncode in (0, 2)
    assert b"Traceback" not in run("record", job).stderr


IN_THE_LOCALE = """
import locale, sys
locale.setlocale(locale.LC_ALL, "")  # as a library may do: C code then writes and reads 1,5 for 1.5
assert locale.localeconv()["decimal_point"] == sys.argv.pop(1)
from estimator.__main__ import main
main()
"""


@pytest.mark.skipif(not shutil.which("localedef"), reason="no localedef here to make the locale de_DE")
def test_figures_and_papers_do_not_follow_the_locale_of_the_process(tmp_path: Path) -> None:
    places = {"C": ".", "de_DE.UTF-8": ","}
    subprocess.run(["localedef", "-i", "de_DE", "-f", "UTF-8", tmp_path / "de_DE.UTF-8"], check=True, timeout=60)
    (tmp_path / "plan.wkt").write_text("POLYGON ((0 0, 90.5 0, 90.5 40.25, 0 40.25, 0 0), (9 9, 20.5 9, 20 20, 9 9))")
    drawn = (
        '\n[[piece]]\nmark = "B"\nshape = { kind = "outline", file = "plan.wkt", unit = "cm", thickness = "20 mm" }\n'
    )
    job = write(tmp_path)
    job.write_text(job.read_text(encoding="utf-8") + drawn, encoding="utf-8")
    kept = {"LOCPATH": str(tmp_path), "PYTHONPATH": str(Path.cwd()), "CAST_ESTIMATOR_CACHE": "off"}
    for number, (name, point) in enumerate(places.items()):
        call = [sys.executable, "-c", IN_THE_LOCALE, point, "estimate", job, "--out", tmp_path / str(number)]
        done = subprocess.run(
            list(map(str, call)),
            env={**os.environ, **kept, "LC_ALL": name},
            capture_output=True,
            timeout=100,
            check=False,
        )
        assert done.returncode == 0, done.stderr
    first, second = (
        {path.name: path.read_bytes() for path in (tmp_path / number).rglob("*") if path.is_file()} for number in "01"
    )
    assert len(first) > 10
    assert first == second


@pytest.mark.parametrize("encoding", ["ascii", "cp437", "cp1252", "latin-1"])
def test_a_refusal_reaches_any_console(tmp_path: Path, encoding: str) -> None:
    path = write(tmp_path, piece='colour = "→ naïve € ½"\nquantity = 0')
    done = run("check", path, PYTHONIOENCODING=encoding)
    assert done.returncode == 2
    assert done.stderr.count(b"\n") >= 1
    assert b"Traceback" not in done.stderr


@pytest.mark.parametrize("call", [("--full",), ("--json", "--workings")])
def test_a_run_piped_into_head_ends_silently(tmp_path: Path, call: tuple[str, ...]) -> None:
    command = f'"{sys.executable}" -m estimator estimate job.toml {" ".join(call)} | head -c 1'
    write(tmp_path)
    done = subprocess.run(
        command, shell=True, cwd=tmp_path, capture_output=True, check=False, timeout=100,
        env={**os.environ, "PYTHONPATH": str(Path.cwd())},
    )  # fmt: skip
    assert len(done.stdout) == 1
    assert done.stderr == b""


@pytest.mark.parametrize(
    "rest", ["x = " + "[" * 5000 + "]" * 5000, "x = " + "{a = " * 3000 + "1" + "}" * 3000, "a" + ".a" * 20000 + " = 1"]
)
def test_a_job_file_nested_too_deep_is_refused_in_one_line(tmp_path: Path, rest: str) -> None:
    path = write(tmp_path)
    path.write_text(f"{path.read_text(encoding='utf-8')}\n{rest}\n", encoding="utf-8")
    with pytest.raises(InputError, match="nested more than 64 levels deep"):
        load_job(path)
