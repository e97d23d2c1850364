"""Kills at random moments of writing: old files stay, acknowledged records are kept, and the next run works.

    python -m tests.kills --kills 500 --seed 16

Each writer is a process that is killed at a random moment: half of them from its start on, half from the moment at
which it begins to write. After each kill the folder is checked as the crash left it; then the writer runs to its end.
Nine packs of ten are written without computing them again.
"""

from __future__ import annotations

import argparse
import contextlib
import json
import os
import random
import signal
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Mapping
from hashlib import sha256
from pathlib import Path

from estimator import disk
from estimator.__main__ import run
from estimator.disk import write_folder
from estimator.records import read_records, records_path

JOB = """
[job]
name = "Terrace"
units = "metric"
mix = "backer-45"
[[piece]]
mark = "A"
quantity = {quantity}
shape = {{ kind = "slab", length = "1 m", width = "500 mm", thickness = "20 mm" }}
"""


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--kills", type=int, default=500)
    parser.add_argument("--seed", type=int, default=16)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        seen = survive(Path(name), asked.kills, asked.seed)
    print(f"{asked.kills} kills, none lost anything: " + ", ".join(f"{n} {what}" for what, n in sorted(seen.items())))


def survive(folder: Path, kills: int, seed: int) -> Counter[str]:
    """Kill each kind of writer in turn. Raises AssertionError for a loss. Returns counts of what was seen."""
    chance, seen = random.Random(seed), Counter[str]()
    writers = [Pack(folder / "a"), Recorded(folder / "b"), Started(folder / "c")]
    for writer in writers:
        writer.folder.mkdir()
        writer.begin()
    for number in range(kills):
        writer = writers[number % len(writers)]
        seen[f"{type(writer).__name__.lower()} {writer.killed(chance)}"] += 1
    return seen


class Writer:
    """A command that writes into a folder of its own, and the check of that folder."""

    warm = 2

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.whole_s = self.writing_s = 0.0

    def call(self) -> list[str]:
        raise NotImplementedError

    def work(self, call: list[str]) -> int:
        """Do the work of the command in the process that is killed; its exit status."""
        return run(call)

    def look(self, acknowledged: bool) -> None:
        """Raises AssertionError where the folder is in neither its old nor its new state."""
        raise NotImplementedError

    def begin(self) -> None:
        """Run it to the end, to know how long it takes."""
        for _ in range(self.warm):
            started, began, code = self._process(None)
            assert code == 0, self.call()
            self.whole_s = time.monotonic() - started
            self.writing_s = time.monotonic() - began
            self.look(acknowledged=True)

    def killed(self, chance: random.Random) -> str:
        """Kill one run, look at what it left, and run to the end; how the killed run ended."""
        late = chance.random() < 0.5
        wait_s = chance.uniform(0.0, self.writing_s * 1.1 if late else self.whole_s)
        _, _, code = self._process((late, wait_s))
        self.look(acknowledged=code == 0)
        if code != 0:
            _, _, code_after = self._process(None)
            assert code_after == 0, f"the next run of {self.call()[:2]} works, not {code_after}"
            self.look(acknowledged=True)
        return "done" if code == 0 else "killed writing" if late else "killed"

    def _process(self, kill: tuple[bool, float] | None) -> tuple[float, float, int]:
        """Run the command in a process; when it started and began to write, and its exit status, −9 where killed."""
        call = self.call()
        reading, writing = os.pipe()
        started = time.monotonic()
        child = os.fork()
        if child == 0:
            os.close(reading)
            self._child(call, writing)
        os.close(writing)
        if kill is not None and not kill[0]:
            time.sleep(kill[1])
            os.kill(child, signal.SIGKILL)
        os.read(reading, 1)  # it begins to write, or has ended
        began = time.monotonic()
        if kill is not None and kill[0]:
            time.sleep(kill[1])
            with contextlib.suppress(ProcessLookupError):
                os.kill(child, signal.SIGKILL)
        os.close(reading)
        _, status = os.waitpid(child, 0)
        return started, began, os.waitstatus_to_exitcode(status)

    def _child(self, call: list[str], writing: int) -> None:
        """The command, which reports over a pipe when it begins to write. Never returns."""

        def telling(write: Callable[..., None]) -> Callable[..., None]:
            def tell(*values: object) -> None:
                with contextlib.suppress(OSError):
                    os.write(writing, b"x")
                write(*values)

            return tell

        writers = {name: getattr(disk, name) for name in ("write_folder", "append_line")}
        for place in list(sys.modules.values()):
            for name in writers:
                if getattr(place, name, None) is writers[name]:
                    setattr(place, name, telling(writers[name]))
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, 1)
        os.dup2(nowhere, 2)
        code = 1
        try:
            code = self.work(call)
        finally:
            os._exit(code)


def is_whole(folder: Path) -> bool:
    """Whether a folder holds exactly the files of its list."""
    listed = folder / disk.MANIFEST
    if not listed.is_file():
        return False
    names = json.loads(listed.read_bytes())
    held = {str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file()} - {disk.MANIFEST}
    return held == set(names) and all(sha256((folder / n).read_bytes()).hexdigest() == names[n] for n in names)


class Pack(Writer):
    """`estimate --out` over an earlier pack."""

    warm = 1
    turn = 0
    files: Mapping[str, bytes] = {}

    def call(self) -> list[str]:
        job = self.folder / "job.toml"
        job.write_text(JOB.format(quantity=1 + self.turn % 3))
        self.turn += 1
        return ["estimate", str(job), "--out", str(self.folder / "pack"), "--workers", "1"]

    def begin(self) -> None:
        super().begin()
        pack = self.folder / "pack"
        names = json.loads((pack / disk.MANIFEST).read_bytes())
        self.files = {name: (pack / name).read_bytes() for name in names}
        self.whole_s = self.writing_s

    def work(self, call: list[str]) -> int:
        if not self.files or self.turn % 10 == 0:
            return super().work(call)
        write_folder(self.folder / "pack", self.files | {"turn.txt": str(self.turn).encode()}, self.folder / "job.toml")
        return 0

    def look(self, acknowledged: bool) -> None:
        pack, old = self.folder / "pack", self.folder / ".pack.old"
        assert is_whole(pack) or (not pack.exists() and is_whole(old)), "the old pack or the new one is there, whole"
        if acknowledged:
            assert {path.name for path in self.folder.iterdir()} == {"job.toml", "pack"}, "nothing is left over"


class Recorded(Writer):
    """`record`, which adds a line to the file of records."""

    kept = 0

    def call(self) -> list[str]:
        job = self.folder / "job.toml"
        if not job.exists():
            job.write_text(JOB.format(quantity=1))
        return ["record", str(job), "hours", "task=pour", "time=2 h"]

    def look(self, acknowledged: bool) -> None:
        found = read_records(self.folder / "job.toml")
        assert len(found.records) >= self.kept + acknowledged, "each acknowledged record is there"
        assert len(found.records) <= self.kept + 1
        self.kept = len(found.records)
        assert len(records_path(self.folder / "job.toml").read_bytes().splitlines()) == self.kept + len(found.torn)


class Started(Writer):
    """`new`, over an earlier starter job."""

    def call(self) -> list[str]:
        return ["new", str(self.folder / "shop")]

    def look(self, acknowledged: bool) -> None:
        shop, old = self.folder / "shop", self.folder / ".shop.old"
        assert is_whole(shop) or (not shop.exists() and is_whole(old))
        if acknowledged:
            assert {path.name for path in self.folder.iterdir()} == {"shop"}


if __name__ == "__main__":
    main()
