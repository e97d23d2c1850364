"""The pack as a whole: the same from one process or two, and nothing written where a process dies."""

import os
from pathlib import Path

import pytest

from estimator.commands.jobs import estimate_file
from estimator.errors import FaultError
from estimator.estimate import Estimate
from estimator.report import pack
from estimator.report.pack import make_papers, write_pack
from geometry.message import message

EVERY_SHAPE = Path(__file__).parents[1] / "data" / "every_shape" / "job.toml"

linux_alone = pytest.mark.skipif("sys.platform != 'linux'", reason="only Linux copies a process safely")


@pytest.fixture(scope="module")
def every_shape() -> Estimate:
    return estimate_file(EVERY_SHAPE)


@pytest.fixture
def always_two(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pack, "LONG_JOB", 1)


@linux_alone
@pytest.mark.usefixtures("always_two")
def test_two_processes_write_the_same_bytes_as_one(every_shape: Estimate):
    shown: list[str] = []
    two = make_papers(every_shape, shown.append, workers=2)
    one = make_papers(every_shape)
    assert list(two) == list(one)
    assert two == one
    assert 0 < len(shown) < len(pack.PAPERS) + 1  # the rest was written by the other process


@linux_alone
@pytest.mark.usefixtures("always_two")
def test_a_process_that_dies_leaves_nothing_on_disk(
    every_shape: Estimate, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
):
    this = os.getpid()

    def die(_: Estimate) -> bytes:
        if os.getpid() != this:
            os._exit(1)
        return b""

    monkeypatch.setattr(pack, "PAPERS", dict.fromkeys(pack.PAPERS, die))
    monkeypatch.setattr(pack, "_write_next", _slowly(this))
    with pytest.raises(ChildProcessError, match="1"):
        write_pack(every_shape, tmp_path / "pack", EVERY_SHAPE, workers=2)
    assert not (tmp_path / "pack").exists()


@linux_alone
@pytest.mark.usefixtures("always_two")
def test_an_error_in_the_other_process_is_an_error_of_the_pack(
    every_shape: Estimate, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
):
    this = os.getpid()

    def refuse(_: Estimate) -> bytes:
        if os.getpid() != this:
            raise FaultError("length", message("not-finite"))
        return b""

    monkeypatch.setattr(pack, "PAPERS", dict.fromkeys(pack.PAPERS, refuse))
    monkeypatch.setattr(pack, "_write_next", _slowly(this))
    with pytest.raises(FaultError, match="length: not-finite"):
        write_pack(every_shape, tmp_path / "pack", EVERY_SHAPE, workers=2)
    assert not (tmp_path / "pack").exists()


def _slowly(this: int):
    """The first process takes no paper, so that the other takes all."""
    write = pack._write_next

    def held(estimate: Estimate, names: list[str], taker: int, show=lambda _: None):
        return write(estimate, names, taker, show) if os.getpid() != this else {}

    return held
