"""What a size typed at the desk costs: one request at once, and little more than the estimate itself."""

from __future__ import annotations

import time
from pathlib import Path
from typing import Any

import pytest

from estimator.intake.edit import Edit, edited
from estimator.page.shelf import sound
from tests.benchmarks.bench_page import job, processor_s
from tests.page.test_browser import Server, browser, settled, sync_api, tab

__all__ = ["browser", "tab"]

EDITS, WARM = 10, 4
MOST_TIMES = 5.0
"""Processor time of an edit over that of its estimate alone; about 2 where this was written."""


@pytest.fixture
def ferry(tmp_path: Path) -> Any:
    """The page with the job of the benchmark."""
    (tmp_path / "ferry").mkdir()
    (tmp_path / "ferry" / "job.toml").write_text(job(), encoding="utf-8")
    server = Server(tmp_path)
    yield server
    server.process.kill()
    server.process.communicate()


def estimate_s(path: Path) -> float:
    """Processor time of a warm estimate of the job with another length."""
    content, begun = path.read_bytes(), 0.0
    for number in range(WARM + EDITS):
        if number == WARM:
            begun = time.process_time()
        sound(edited(content, [Edit("set", ("piece", 0, "shape", "length"), f"{1301 + 7 * number} mm")]), path)
    return (time.process_time() - begun) / EDITS


def test_a_typed_size_is_one_request_at_once_and_costs_little_more_than_its_estimate(ferry: Server, tab: Any) -> None:
    tab.goto(f"{ferry.address}/jobs/ferry")
    length, total = tab.get_by_label("Length", exact=True), tab.locator('[data-f="total"]')
    sent: list[str] = []
    tab.on("request", lambda request: sent.append(request.url) if request.method == "POST" else None)
    begun_s = 0.0
    for number in range(WARM + EDITS):
        if number == WARM:
            begun_s = processor_s(ferry.process.pid)
        before = total.text_content()
        length.fill(f"{1300 + 7 * number} mm")
        length.press("Enter")
        sync_api.expect(total).not_to_have_text(before)
        settled(tab)
    edit_s = (processor_s(ferry.process.pid) - begun_s) / EDITS
    assert sent == [f"{ferry.address}/jobs/ferry/change"] * (WARM + EDITS)
    assert edit_s < MOST_TIMES * estimate_s(ferry.folder / "ferry" / "job.toml")
    timing = "performance.getEntriesByType('resource').filter((entry) => entry.name.endsWith('/change'))"
    waits = tab.evaluate(f"{timing}.map((entry) => entry.requestStart - entry.startTime)")
    assert sorted(waits)[len(waits) // 2] < 50.0  # no timer between the key and the request, and no queue
