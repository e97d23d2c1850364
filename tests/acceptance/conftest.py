"""The program seen from outside: a job file and a command line in; text, status and files out."""

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from estimator.__main__ import run

HEAD = '[job]\nname = "Test"\nunits = "metric"\nmix = "backer-45"\nwaste = 0.0\n'
SLAB = 'kind = "slab", length = "1 m", width = "500 mm", thickness = "20 mm"'


@dataclass(frozen=True)
class Outcome:
    """Output and exit status of one call."""

    status: int
    out: str
    err: str

    @property
    def document(self) -> dict[str, Any]:
        assert self.status == 0, self.err
        return json.loads(self.out)


class Desk:
    """A folder with the user's files, and the command line."""

    def __init__(self, folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
        self.folder, self._capsys = folder, capsys

    def call(self, *arguments: str | Path) -> Outcome:
        self._capsys.readouterr()
        status = run([str(each) for each in arguments])
        captured = self._capsys.readouterr()
        return Outcome(status, captured.out, captured.err)

    def write(self, text: str, name: str = "job.toml") -> Path:
        path = self.folder / name
        path.write_text(text, encoding="utf-8")
        return path

    def estimate(self, text: str) -> dict[str, Any]:
        """The estimate document of a job."""
        return self.call("estimate", self.write(text), "--json").document

    def piece(self, shape: str, keys: str = "", head: str = HEAD) -> dict[str, Any]:
        """The one piece of a job in the estimate document."""
        return self.estimate(f'{head}[[piece]]\nmark = "A"\n{keys}\nshape = {{ {shape} }}\n')["pieces"][0]

    def refused(self, text: str) -> list[str]:
        """The lines with which both `estimate` and `check` refuse a job, with nothing on standard output."""
        path = self.write(text)
        outcome, checked = self.call("estimate", path, "--json"), self.call("check", path)
        assert (outcome.status, outcome.out) == (2, "")
        assert (checked.status, checked.out) == (2, "")
        assert checked.err == outcome.err
        return outcome.err.splitlines()

    def shape_refused(self, shape: str, keys: str = "", head: str = HEAD) -> str:
        """The line with which a shape is refused, without file and piece."""
        lines = self.refused(f'{head}[[piece]]\nmark = "A"\n{keys}\nshape = {{ {shape} }}\n')
        assert len(lines) == 1, lines
        assert lines[0].startswith("job.toml: piece A")
        return lines[0].removeprefix("job.toml: piece A").removeprefix(", ")

    def measure(self, name: str, *options: str) -> Outcome:
        return self.call("measure", self.folder / name, *options, "--json")


@pytest.fixture
def desk(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Desk:
    return Desk(tmp_path, capsys)
