"""A shop of one job, with its page."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from estimator.page.app import app_for

JOB = """# Kitchen of an invented house
[job]
name = "Hill house"
mix = "backer-45"          # half the sand

[client]
name = "The hill house"

[[piece]]
mark = "C1"                # by the window
use = "counter"
shape = { kind = "slab", length = "72 in", width = "25-1/2 in", thickness = "1 in" }

[[piece]]
mark = "C2"
use = "counter"
quantity = 2
shape = { kind = "slab", length = "48 in", width = "25-1/2 in", thickness = "1 in" }
"""
ORIGIN = "http://127.0.0.1:8420"


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """Folder of the jobs."""
    (tmp_path / "hill").mkdir()
    (tmp_path / "hill" / "job.toml").write_text(JOB, encoding="utf-8")
    return tmp_path


@pytest.fixture
def page(shop: Path) -> Iterator[TestClient]:
    """A browser of the shop, as far as requests go."""
    with TestClient(app_for(shop), base_url=ORIGIN, headers={"origin": ORIGIN}) as client:
        yield client
