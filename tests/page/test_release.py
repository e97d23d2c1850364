"""From an accepted quote to a released job."""

from __future__ import annotations

import tomllib
from decimal import Decimal
from pathlib import Path

from starlette.testclient import TestClient

from estimator import estimate, load_job
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


def total_of(job: Path) -> Decimal:
    return estimate(load_job(job)).result.cost.total


def test_the_accepted_price_holds_though_sizes_count_as_templated_from_then_on(page: TestClient, job: Path) -> None:
    token, code = make_link(page)
    quoted = total_of(job)
    assert accept(opened(page, token, code), token).status_code == 303
    before = job.read_bytes()
    job.write_bytes(before.replace(b"[job]\n", b'[job]\nstatus = "released"\n'))
    assert total_of(job) < quoted  # without the allowance for sizes
    job.write_bytes(before)
    assert "comes to" not in page.get("/jobs/hill/release").text
    assert page.post("/jobs/hill/release", data={"start": "2026-09-07"}).status_code == 200
    assert tomllib.loads(job.read_text("utf-8"))["price"]["adjustment"] > 0.0
    assert total_of(job) == quoted


def test_a_job_changed_after_it_was_accepted_says_what_it_comes_to(page: TestClient, job: Path) -> None:
    token, code = make_link(page)
    assert accept(opened(page, token, code), token).status_code == 303
    job.write_bytes(job.read_bytes().replace(b"72 in", b"74 in"))
    assert "comes to" in page.get("/jobs/hill/release").text
    assert page.post("/jobs/hill/release", data={"start": "2026-09-07"}).status_code == 200
    assert "adjustment" not in job.read_text("utf-8")


def test_a_job_without_an_accepted_quote_is_not_released(page: TestClient, job: Path) -> None:
    make_link(page)
    before = job.read_text("utf-8")
    assert page.post("/jobs/hill/release", data={"start": "2026-09-07"}).status_code == 404
    assert job.read_text("utf-8") == before
