"""Drawings and meshes read ahead by several processes: the same figures, sooner."""

import os
import signal
import struct
import subprocess
import sys
import time
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
COUNT = 12


def write_box(path: Path, x: float, y: float, z: float) -> None:
    """A closed box as binary STL."""
    corner = [(a * x, b * y, c * z) for a in (0, 1) for b in (0, 1) for c in (0, 1)]
    quads = [(0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3)]
    facets = [three for a, b, c, d in quads for three in ((a, b, c), (a, c, d))]
    body = b"".join(struct.pack("<12fH", 0, 0, 0, *corner[i], *corner[j], *corner[k], 0) for i, j, k in facets)
    path.write_bytes(bytes(80) + struct.pack("<I", len(facets)) + body)


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """A job of drawings and two meshes."""
    return write_job(tmp_path, meshes=2)


def write_job(folder: Path, meshes: int) -> Path:
    rows = ["mark,shape.kind,shape.file,shape.unit,shape.thickness"]
    for number in range(COUNT):
        length = 300 + 10 * number
        if number < meshes:
            write_box(folder / f"m{number}.stl", length, 200, 50)
            rows.append(f"M{number},mesh,m{number}.stl,mm,")
        else:
            outline = f"POLYGON ((0 0, {length} 0, {length} 200, 0 200, 0 0))"
            (folder / f"m{number}.wkt").write_text(outline)
            rows.append(f"M{number},outline,m{number}.wkt,mm,20 mm")
    (folder / "rows.csv").write_text("\n".join(rows) + "\n")
    (folder / "job.toml").write_text(
        '[job]\nname = "Blocks"\nunits = "metric"\nmix = "backer-45"\nwaste = 0.07\n[[schedule]]\nfile = "rows.csv"\n'
    )
    return folder / "job.toml"


def run(job: Path, *options: str, cache: str, command: str = "estimate") -> subprocess.CompletedProcess[bytes]:
    environment = {**os.environ, "CAST_ESTIMATOR_CACHE": cache}
    words = [sys.executable, "-m", "estimator", command, str(job), *options]
    return subprocess.run(words, capture_output=True, cwd=ROOT, env=environment, check=False)


def entries(folder: Path) -> dict[str, int]:
    """The whole entries of a store, each with its inode."""
    return {str(path): path.stat().st_ino for path in folder.glob("??/*") if not path.name.startswith(".")}


def test_one_worker_or_many_and_a_cold_or_warm_store_give_the_same_bytes(job: Path, tmp_path: Path) -> None:
    alone = run(job, "--json", "--workers", "1", "--no-cache", cache=str(tmp_path / "unused"))
    assert alone.returncode == 0, alone.stderr.decode()
    assert not (tmp_path / "unused").exists()
    for _ in ("cold", "warm"):
        assert run(job, "--json", "--workers", "2", cache=str(tmp_path / "store")).stdout == alone.stdout
    assert len(entries(tmp_path / "store")) >= 2 * COUNT
    assert run(job, "--json", "--workers", "3", cache="off").stdout == alone.stdout


def test_several_workers_report_the_faults_of_one(job: Path, tmp_path: Path) -> None:
    (job.parent / "m1.stl").write_bytes(b"solid of nothing\n")
    (job.parent / "m5.wkt").unlink()
    alone = run(job, "--workers", "1", cache="off", command="check")
    assert alone.returncode == 2
    assert b"m1.stl" in alone.stderr
    assert b"m5.wkt" in alone.stderr
    for _ in ("cold", "warm"):
        assert run(job, "--workers", "2", cache=str(tmp_path / "store"), command="check").stderr == alone.stderr


def test_the_run_after_a_killed_one_goes_on_where_that_stopped(tmp_path: Path) -> None:
    job, store = write_job(tmp_path, meshes=COUNT), tmp_path / "store"
    whole = run(job, "--json", cache="off").stdout
    words = [sys.executable, "-m", "estimator", "estimate", str(job), "--json", "--workers", "2"]
    killed = subprocess.Popen(
        words, cwd=ROOT, env={**os.environ, "CAST_ESTIMATOR_CACHE": str(store)}, stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL, start_new_session=True,
    )  # fmt: skip
    while killed.poll() is None and len(entries(store)) < 6:
        time.sleep(0.002)
    os.killpg(killed.pid, signal.SIGKILL)
    killed.wait()
    done = entries(store)
    assert done
    assert run(job, "--json", "--workers", "2", cache=str(store)).stdout == whole
    after = entries(store)
    assert {path: after[path] for path in done} == done  # found, not written again


@pytest.mark.skipif(not Path("/proc/self").exists(), reason="processes are listed in another way")
def test_no_worker_outlives_a_run_that_was_ended(tmp_path: Path) -> None:
    def working() -> set[str]:
        return {path.name for path in Path("/proc").iterdir() if _holds(path / "environ", token)}

    job, token = write_job(tmp_path, meshes=COUNT), f"CAST_ESTIMATOR_CACHE={tmp_path / 'none'}".encode()
    words = [sys.executable, "-m", "estimator", "check", str(job), "--no-cache", "--workers", "2"]
    for number in (signal.SIGKILL, signal.SIGTERM, signal.SIGHUP):
        run = subprocess.Popen(
            words, cwd=ROOT, env={**os.environ, "CAST_ESTIMATOR_CACHE": str(tmp_path / "none")},
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip
        while run.poll() is None and len(working()) < 3:
            time.sleep(0.002)
        assert run.poll() is None, "its workers were seen"
        run.send_signal(number)
        run.wait()
        until = time.monotonic() + 20.0
        while working() and time.monotonic() < until:
            time.sleep(0.02)
        assert not working(), number


def _holds(path: Path, token: bytes) -> bool:
    try:
        return token in path.read_bytes()
    except OSError:
        return False


def test_a_store_that_cannot_be_written_changes_nothing(job: Path, tmp_path: Path) -> None:
    (tmp_path / "store").write_text("a file is in the way")
    done = run(job, "--json", "--workers", "2", cache=str(tmp_path / "store"))
    assert done.returncode == 0, done.stderr.decode()
    assert done.stdout == run(job, "--json", cache="off").stdout


def test_zero_workers_are_refused(job: Path) -> None:
    refused = run(job, "--workers", "0", cache="off", command="check")
    assert refused.returncode == 2
    assert b"--workers" in refused.stderr
