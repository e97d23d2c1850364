"""What the program puts outside its own folders goes away when it ends, however it ends."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path
from socket import socket
from urllib.request import urlopen

import pytest

from estimator.disk import prepare, replace_file
from estimator.scratch import PREFIX, ScratchFile, scratch_folder, sweep

fcntl = pytest.importorskip("fcntl", reason="no locks on this system")


def _names(folder: Path) -> set[str]:
    return {path.name for path in folder.iterdir()}


def test_a_sweep_leaves_what_is_in_use_and_what_is_not_ours(tmp_path: Path) -> None:
    (tmp_path / ".cast-estimator-abcdefgh").mkdir()
    (tmp_path / ".cast-estimator-abcdefgh/plan.dxf").write_bytes(b"0")
    (tmp_path / ".cast-estimator-abcdefg1").write_bytes(b"left by a kill")
    other = {".cast-estimator-notes", "cast-estimator-abcdefgh", ".job.toml.original"}
    for name in other:
        (tmp_path / name).write_bytes(b"mine")
    (tmp_path / ".cast-estimator-linklink").symlink_to(tmp_path / "cast-estimator-abcdefgh")
    with scratch_folder(tmp_path) as used:
        kept = prepare(tmp_path / "job.toml", b"new")
        sweep(tmp_path)
        assert _names(tmp_path) == {*other, ".cast-estimator-linklink", used.name, kept.path.name}
        kept.drop()
    assert _names(tmp_path) == {*other, ".cast-estimator-linklink"}
    assert (tmp_path / "cast-estimator-abcdefgh").read_bytes() == b"mine"


def test_a_scratch_file_that_is_swept_before_it_is_locked_is_made_anew(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made, opened = [], os.open

    def late(path: str | Path, flags: int, *more: int) -> int:
        if Path(path).name.startswith(PREFIX) and flags == os.O_RDONLY and not made:
            made.append(path)
            sweep(tmp_path)
        return opened(path, flags, *more)

    monkeypatch.setattr(os, "open", late)
    file = ScratchFile(tmp_path)
    assert file.path != made[0]
    assert _names(tmp_path) == {file.path.name}
    file.drop()


def test_the_next_write_removes_what_a_killed_one_left(tmp_path: Path) -> None:
    code = "import os, sys; from pathlib import Path; from estimator.disk import prepare\n"
    code += "prepare(Path(sys.argv[1]), b'half'); os.kill(os.getpid(), 9)"
    (tmp_path / "job.toml").write_bytes(b"old")
    assert subprocess.run([sys.executable, "-c", code, tmp_path / "job.toml"], check=False).returncode == -9
    assert len(_names(tmp_path)) == 2
    replace_file(tmp_path / "job.toml", b"new")
    assert [(path.name, path.read_bytes()) for path in tmp_path.iterdir()] == [("job.toml", b"new")]


def _heeds_signals() -> None:
    """In a new process: end by the signals that a run in the background was told to ignore."""
    for number in (signal.SIGINT, signal.SIGHUP, signal.SIGTERM):
        signal.signal(number, signal.SIG_DFL)


class Serving:
    """The page over a folder, with a folder for temporary files of its own."""

    def __init__(self, folder: Path, *before: str) -> None:
        for name in ("shop", "temporary"):
            (folder / name).mkdir(exist_ok=True)
        self.temporary = folder / "temporary"
        with socket() as free:
            free.bind(("127.0.0.1", 0))
            port = free.getsockname()[1]
        command = [*before, sys.executable, "-m", "estimator", "serve", str(folder / "shop"), "--no-browser"]
        self.process = subprocess.Popen(
            [*command, "--port", str(port)],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            env=os.environ | {"TMPDIR": str(self.temporary)},
            preexec_fn=_heeds_signals,
        )
        assert self.process.stdout is not None
        assert self.process.stdout.readline()
        urlopen(f"http://127.0.0.1:{port}/", timeout=20).close()

    def left(self) -> list[str]:
        return [name for name in _names(self.temporary) if name.startswith(PREFIX)]

    def end(self, number: int) -> int:
        self.process.send_signal(number)
        self.process.communicate(timeout=20)
        return self.process.returncode


def test_the_page_leaves_nothing_where_it_is_stopped_and_sweeps_after_a_kill(tmp_path: Path) -> None:
    for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
        page = Serving(tmp_path)
        assert page.end(number) == 0, number
        assert page.left() == [], number
    killed = Serving(tmp_path)
    killed.end(signal.SIGKILL)
    assert len(killed.left()) == 1
    assert Serving(tmp_path).end(signal.SIGTERM) == 0
    assert killed.left() == []


def test_a_page_that_was_told_to_outlive_its_terminal_does(tmp_path: Path) -> None:
    page = Serving(tmp_path, "nohup")
    page.process.send_signal(signal.SIGHUP)
    time.sleep(0.5)
    assert page.process.poll() is None
    assert page.end(signal.SIGTERM) == 0


@pytest.mark.parametrize(("number", "status"), [(signal.SIGTERM, 143), (signal.SIGHUP, 129), (signal.SIGINT, 130)])
def test_a_command_that_is_stopped_while_it_works_removes_what_it_began(
    tmp_path: Path, number: int, status: int
) -> None:
    (tmp_path / "panels.csv").write_text(
        "mark,shape.kind,shape.length,shape.width,shape.thickness\nP1,slab,48 in,24 in,1 in\n"
    )
    code = (
        "import os, sys, time\nfrom estimator import __main__ as command, draft\n"
        "draft.write_new = lambda *_: (os.kill(os.getpid(), int(sys.argv[1])), time.sleep(9))\n"
        "command.main(['new', 'job', '--from', 'panels.csv'])"
    )
    environment = os.environ | {"TMPDIR": str(tmp_path), "PYTHONPATH": str(Path.cwd())}
    call = [sys.executable, "-c", code, str(int(number))]
    done = subprocess.run(
        call,
        cwd=tmp_path,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
        preexec_fn=_heeds_signals,
    )
    assert (done.returncode, done.stderr, done.stdout) == (status, "cast-estimator: stopped.\n", "")
    assert _names(tmp_path) == {"panels.csv"}
