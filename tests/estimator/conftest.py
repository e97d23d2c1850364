"""Jobs written into a temporary folder, for tests that read them like a user's."""

from collections.abc import Callable
from pathlib import Path

import pytest

SLAB = 'shape = { kind = "slab", length = "72 in", width = "25.5 in", thickness = "3/4 in" }'
JOB = f"""
[job]
name = "Test job"
mix = "backer-45"
waste = 0.07

[[piece]]
mark = "C1"
use = "counter"
{SLAB}
"""


@pytest.fixture
def write_job(tmp_path: Path) -> Callable[[str], Path]:
    """Writes a job file and returns its path."""

    def write(text: str = JOB) -> Path:
        path = tmp_path / "job.toml"
        path.write_text(text, encoding="utf-8")
        return path

    return write
