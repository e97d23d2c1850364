"""From an accepted quote to a released job."""

from __future__ import annotations

import tomllib
from pathlib import Path

from starlette.testclient import TestClient

from tests.page.test_client import accept, job, make_link, opened

__all__ = ["job"]


def test_an_accepted_quote_is_released_with_the_options_that_the_client_chose(page: TestClient, job: Path) -> None:
    assert page.get("/jobs/hill/release").status_code == 404
    token, code = make_link(page)
    assert "Next: hear from the client" in page.get("/").text
    assert accept(opened(page, token, code), token, choice="o0").status_code == 303
    assert "Next: release the job" in page.get("/").text
    assert 'href="/jobs/hill/release"' in page.get("/jobs/hill/client").text
    assert page.post("/jobs/hill/release", data={"start": "soon"}).status_code == 422
    assert page.post("/jobs/hill/release", data={"start": "2026-09-07"}).status_code == 200
    saved = tomllib.loads(job.read_text("utf-8"))
    assert (saved["job"]["status"], saved["job"]["start"]) == ("released", "2026-09-07")
    assert saved["option"][0]["taken"] is True
    assert "Next: pour" in page.get("/").text


def test_a_job_without_an_accepted_quote_is_not_released(page: TestClient, job: Path) -> None:
    make_link(page)
    before = job.read_text("utf-8")
    assert page.post("/jobs/hill/release", data={"start": "2026-09-07"}).status_code == 404
    assert job.read_text("utf-8") == before
