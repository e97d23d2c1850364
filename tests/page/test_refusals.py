"""Whoever is turned away, or whom the computer fails, reads why, with a way on; the log gets one line."""

from __future__ import annotations

import logging
import os
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy.exc import OperationalError
from starlette.testclient import TestClient

from estimator.page import jobs
from estimator.page.shelf import Shelf
from estimator.words import PLAIN
from tests.page.conftest import ORIGIN
from tests.page.test_people import people

__all__ = ["people"]
PAGE = {"accept": "text/html"}
JSON = {"content-type": "application/json"}
JOBS = '<a class="btn" href="/">Jobs</a>'


def fail_with(monkeypatch: pytest.MonkeyPatch, owner: Any, name: str, error: Exception) -> None:
    def fails(*_: Any, **__: Any) -> None:
        raise error

    monkeypatch.setattr(owner, name, fails)


def test_a_full_disk_is_told_on_a_page_and_in_no_traceback(
    page: TestClient, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    for act in ("copy", "archive"):
        fail_with(monkeypatch, Shelf, act, OSError(28, "No space left on device"))
        answer = page.post(f"/jobs/hill/{act}", data={"title": "New"}, headers=PAGE)
        assert answer.status_code == 503
        assert "<h1>No space left on device. Free some space" in answer.text
        assert JOBS in answer.text
        assert "default-src 'none'" in answer.headers["content-security-policy"]
    assert not caplog.records


@pytest.mark.parametrize(
    ("path", "sent", "file"),
    [
        ("/jobs/hill/change", {"json": {"at": "job/name", "text": "Dale", "was": "Hill house"}}, "hill/job.toml"),
        ("/jobs/hill/add", {"data": {"kind": "slab", "mark": "C3", "length": "30 in", "width": "20 in",
                                     "thickness": "1 in"}}, "hill/job.toml"),
        ("/new", {"data": {"title": "Dale", "mark": "C1", "length": "30 in", "width": "20 in", "thickness": "1 in"}},
         "dale/job.toml"),
    ],
)  # fmt: skip
def test_a_file_that_cannot_be_written_is_named_with_what_to_do(
    page: TestClient, monkeypatch: pytest.MonkeyPatch, path: str, sent: dict[str, Any], file: str
) -> None:
    fail_with(monkeypatch, os, "fsync", PermissionError(13, "Permission denied"))
    answer = page.post(path, **sent)
    assert answer.status_code in {422, 503}
    assert f"{file}: Permission denied. Free some space, or check the permissions." in answer.text


def test_a_database_that_refuses_is_told(page: TestClient, monkeypatch: pytest.MonkeyPatch) -> None:
    refused = OperationalError("INSERT", {}, Exception("attempt to write a readonly database"))
    fail_with(monkeypatch, Shelf, "archive", refused)
    answer = page.post("/jobs/hill/archive", headers=PAGE)
    assert answer.status_code == 503
    assert "attempt to write a readonly database" in answer.text
    assert "INSERT" not in answer.text


def test_an_error_of_the_program_is_one_line_in_the_log(
    page: TestClient, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    fail_with(monkeypatch, jobs, "_row", LookupError("<b>bolt</b>"))
    with caplog.at_level(logging.ERROR):
        answer = page.get("/", headers=PAGE)
    assert answer.status_code == 500
    assert PLAIN("page-failed") in answer.text
    assert "bolt" not in answer.text
    (line,) = caplog.records
    assert line.exc_info is None
    assert "LookupError: <b>bolt</b>" in line.getMessage()
    monkeypatch.setenv("CAST_ESTIMATOR_DEBUG", "1")
    with pytest.raises(LookupError):
        page.get("/", headers=PAGE)


@pytest.mark.parametrize("path", ["/jobs/hill/change", "/jobs/hill/undo", "/mixer/hill/entries"])
@pytest.mark.parametrize("body", [b"", b"{", b"null", b"1", b"\xff", b"[" * 100_000, b'{"at": "\\ud800", "text": ""}'])
def test_what_no_script_of_the_page_sends_is_refused(page: TestClient, path: str, body: bytes) -> None:
    assert page.post(path, content=body, headers=JSON).status_code == 400


def test_a_change_names_its_entry(page: TestClient) -> None:
    assert page.post("/jobs/hill/change", json={"at": "job/name"}).status_code == 400


def test_a_role_reads_why_a_screen_is_closed_and_is_led_to_no_such_screen(people: dict[str, TestClient]) -> None:
    for role, path in (("shop", "/jobs/hill/client"), ("shop", "/people"), ("crew", "/jobs/hill")):
        answer = people[role].get(path)
        assert answer.status_code == 403
        assert PLAIN("page-not-your-role") in answer.text
        assert JOBS in answer.text
    for path, link in (("/", 'href="/people"'), ("/jobs/hill", 'href="/jobs/hill/client"')):
        assert link in people["office"].get(path).text
        assert link not in people["shop"].get(path).text


@pytest.mark.usefixtures("people")
def test_a_form_sent_after_signing_out_says_so(page: TestClient) -> None:
    stranger = TestClient(page.app, base_url=ORIGIN, headers={"origin": ORIGIN, **PAGE})
    answer = stranger.post("/jobs/hill/prices", data={})
    assert answer.status_code == 401
    assert PLAIN("page-not-signed-in") in answer.text
    assert JOBS in answer.text
    answer = stranger.post("/jobs/hill/change", json={"at": "job/name", "text": "x"})
    assert (answer.status_code, answer.json()) == (401, {"problem": PLAIN("page-not-signed-in")})


def test_a_job_with_a_problem_says_so_where_its_figures_would_be(page: TestClient, shop: Path) -> None:
    path = shop / "hill" / "job.toml"
    path.write_text(path.read_text("utf-8").replace('"72 in"', '"72"'), encoding="utf-8")
    answer = page.get("/jobs/hill/why?figure=cost.price", headers=PAGE)
    assert answer.status_code == 409
    assert PLAIN("page-job-problem") in answer.text


def test_a_guard_says_what_it_refuses(page: TestClient) -> None:
    assert page.get("/", headers={"host": "[::1"}).text == PLAIN("page-wrong-name")
    assert page.post("/jobs/hill/archive", headers={"origin": "null"}).text == PLAIN("page-other-site")
    assert page.post("/new", content=b"x" * 1_100_000).text == PLAIN("page-too-large", most="1")


@pytest.mark.parametrize(
    ("form", "screen"),
    [("/jobs/hill/copy", "/jobs/hill"), ("/jobs/hill/client/withdraw", "/jobs/hill/client"), ("/sign-out", "/")],
)
def test_the_address_of_a_form_opened_again_leads_to_its_screen(page: TestClient, form: str, screen: str) -> None:
    answer = page.get(form, headers=PAGE, follow_redirects=False)
    assert (answer.status_code, answer.headers["location"]) == (303, screen)
    assert page.get(screen, headers=PAGE).status_code == 200
