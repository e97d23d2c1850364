"""A file counts as written only once it is on the disk, and no other file is replaced."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from estimator import __main__ as command
from estimator.disk import append_line, replace_file, write_picture
from estimator.errors import InputError
from estimator.intake.corrections import Correction, corrections_path, read_corrections, write_corrections
from estimator.records import records_path

STARTER = Path("estimator/commands/starter.toml").read_bytes()
SVG = b'<svg xmlns="http://www.w3.org/2000/svg"></svg>\n'
PNG = bytes.fromhex(
    "89504e470d0a1a0a0000000d4948445200000001000000010806000000"
    "1f15c4890000000d49444154789c6360606060000000050001a5f645400000000049454e44ae426082"
)


@pytest.fixture
def job(tmp_path: Path) -> Path:
    path = tmp_path / "job.toml"
    path.write_bytes(STARTER)
    return path


def _takes_half(handle: int, content: bytes, _write=os.write) -> int:  # type: ignore[no-untyped-def]
    """A nearly full disk: half of the line fits, and nothing after it."""
    if content.startswith(b"{"):
        return _write(handle, content[: len(content) // 2])
    raise OSError(28, "No space left on device")


def test_a_record_that_does_not_fit_is_refused_and_leaves_no_partial_line(
    job: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert command.run(["record", str(job), "hours", "task=form", "time=3 h"]) == 0
    before = records_path(job).read_bytes()
    capsys.readouterr()
    with monkeypatch.context() as patched:
        patched.setattr(os, "write", _takes_half)
        assert command.run(["record", str(job), "hours", "task=form", "time=4 h"]) == 2
    out, err = capsys.readouterr()
    assert (out, err.count("\n")) == ("", 1)
    assert "No space left on device" in err
    assert records_path(job).read_bytes() == before


def test_a_first_line_that_does_not_fit_leaves_no_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with monkeypatch.context() as patched:
        patched.setattr(os, "write", _takes_half)
        with pytest.raises(OSError, match="No space"):
            append_line(tmp_path / "records", b'{"kind": "hours"}')
    assert not (tmp_path / "records").exists()


def test_a_short_write_is_finished(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write = os.write
    with monkeypatch.context() as patched:
        patched.setattr(os, "write", lambda handle, content: write(handle, content[:3]))
        append_line(tmp_path / "records", b"one line")
    assert (tmp_path / "records").read_bytes() == b"one line\n"


def test_a_file_that_cannot_be_replaced_stays(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    (tmp_path / "kept").write_bytes(b"old")
    with monkeypatch.context() as patched:
        patched.setattr(os, "fsync", full)
        with pytest.raises(OSError, match="No space"):
            replace_file(tmp_path / "kept", b"new")
    assert [(each.name, each.read_bytes()) for each in tmp_path.iterdir()] == [("kept", b"old")]


@pytest.mark.parametrize(("name", "content"), [("a.svg", SVG), ("a.svg", SVG.strip()), ("a.png", PNG)])
def test_a_picture_replaces_only_an_unchanged_picture_of_the_program(tmp_path: Path, name: str, content: bytes) -> None:
    path = tmp_path / name
    write_picture(path, content, "--plot")
    write_picture(path, content, "--plot")  # one of the program
    drawn = path.read_bytes()
    if name == "a.png":
        from PIL import Image

        Image.open(path).load()
    for foreign in (content, drawn + b"\n", drawn[:30] + b"x" + drawn[31:], b"my logo"):
        path.write_bytes(foreign)
        with pytest.raises(InputError, match="was not written by this program, or was changed since"):
            write_picture(path, content, "--plot")
        assert path.read_bytes() == foreign


def test_text_beside_a_correction_stays(job: Path) -> None:
    first = Correction("backer-45", "", "air", 0.05, 0.06, "2026-03-02", "weighed")
    write_corrections(job, [first])
    path = corrections_path(job)
    mine = path.read_bytes().replace(b"0.06", b"0.065") + b"# checked by the foreman\n"
    path.write_bytes(mine)
    held = read_corrections(job, [])
    write_corrections(job, [*held, Correction("face", "", "air", 0.04, 0.03, "2026-03-03", "weighed")])
    assert path.read_bytes().startswith(mine)
    assert [(each.mix, each.becomes) for each in read_corrections(job, [])] == [("backer-45", 0.065), ("face", 0.03)]


def _program(*arguments: str, **more: object) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run([sys.executable, "-m", "estimator", *arguments], stderr=subprocess.PIPE, **more)  # type: ignore[call-overload,no-any-return]


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no full device on this system")
def test_a_full_disk_behind_standard_output_is_reported_in_one_line() -> None:
    with open("/dev/full", "wb") as full:
        done = _program("schema", stdout=full)
    assert done.returncode == 2
    assert done.stderr.count(b"\n") == 1
    assert b"No space left on device" in done.stderr


def test_a_closed_pipe_is_no_fault() -> None:
    reading, writing = os.pipe()
    os.close(reading)
    try:
        done = _program("schema", stdout=writing)
    finally:
        os.close(writing)
    assert (done.returncode, done.stderr) == (0, b"")


def test_a_stop_by_the_user_ends_with_status_130(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def stopped() -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("estimator.commands.jobs.run_schema", stopped)
    assert command.run(["schema"]) == 130
    assert capsys.readouterr().err == "cast-estimator: stopped.\n"


def test_a_refusal_of_the_machine_is_a_fault_of_the_input(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def refused() -> None:
        raise PermissionError(13, "Permission denied", "job.toml")

    monkeypatch.setattr("estimator.commands.jobs.run_schema", refused)
    assert command.run(["schema"]) == 2
    err = capsys.readouterr().err
    assert err.startswith("cast-estimator: job.toml: Permission denied.")
    assert err.count("\n") == 1


def test_new_and_estimate_never_overwrite_an_edited_job(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    assert command.run(["new", "shop"]) == 0
    assert command.run(["new", "shop"]) == 0, "our own starter, untouched"
    edited = (tmp_path / "shop/job.toml").read_bytes() + b"# mine\n"
    (tmp_path / "shop/job.toml").write_bytes(edited)
    assert command.run(["new", "shop"]) == 2
    assert command.run(["estimate", "shop/job.toml", "--out", "shop"]) == 2
    monkeypatch.chdir(tmp_path / "shop")
    assert command.run(["estimate", "job.toml", "--out", "."]) == 2
    assert "is the folder of the job file" in capsys.readouterr().err
    assert (tmp_path / "shop/job.toml").read_bytes() == edited
