"""A shop of one job, with its page."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from estimator.page.app import app_for
from estimator.store import open_store
from estimator.store.database import ADDRESS
from estimator.store.tables import metadata

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


DATABASE = os.environ.get("TEST_DATABASE")
"""Address of an empty PostgreSQL database, where one was started for the tests: the page keeps its records there."""


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark what needs a browser, so that it can be left out: `-m "not browser"`."""
    for item in items:
        if "browser" in getattr(item, "fixturenames", ()):
            item.add_marker("browser")


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """Folder of the jobs."""
    (tmp_path / "hill").mkdir()
    (tmp_path / "hill" / "job.toml").write_text(JOB, encoding="utf-8")
    if DATABASE is None:
        yield tmp_path
        return
    monkeypatch.setenv(ADDRESS, DATABASE)
    store = open_store(tmp_path, DATABASE)
    yield tmp_path
    with store.writing() as connection:
        for table in reversed(metadata.sorted_tables):
            connection.execute(table.delete())
    store.close()


@pytest.fixture
def page(shop: Path) -> Iterator[TestClient]:
    """Requests of a browser of the shop."""
    with TestClient(app_for(shop), base_url=ORIGIN, headers={"origin": ORIGIN}) as client:
        yield client
