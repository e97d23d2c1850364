"""A page that other computers can reach shows nothing before the code is entered."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from estimator.page.access import FREE_TRIES, LETTERS, Access, new_code
from estimator.page.app import app_for
from estimator.words import PLAIN
from tests.page.conftest import ORIGIN

CODE = "ABCD-EFGH-JKLM"


@pytest.fixture
def locked(shop: Path) -> Iterator[TestClient]:
    with TestClient(app_for(shop, code=CODE), base_url=ORIGIN, headers={"origin": ORIGIN}) as client:
        yield client


def test_nothing_is_shown_or_changed_before_the_code_is_entered(locked: TestClient) -> None:
    for path in ("/", "/jobs/hill", "/jobs/hill/papers/quote.pdf", "/crew/hill/C1", "/upload"):
        answer = locked.get(path, follow_redirects=False)
        assert (answer.status_code, answer.headers["location"]) == (303, f"/enter?to={path}")
        assert b"hill house" not in answer.content.lower()
    change = {"at": "piece/0/shape/length", "text": "70 in", "was": "72 in"}
    assert locked.post("/jobs/hill/change", json=change).status_code == 401


def test_the_code_opens_the_page_in_any_case_and_spacing_and_leads_to_the_page_asked_for(locked: TestClient) -> None:
    answer = locked.post("/enter", data={"code": "abcd efgh jklm", "to": "/crew/hill/C1"}, follow_redirects=False)
    assert (answer.status_code, answer.headers["location"]) == (303, "/crew/hill/C1")
    cookie = answer.headers["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=strict" in cookie
    assert CODE.lower() not in cookie
    assert "C1" in locked.get("/crew/hill/C1").text


@pytest.mark.parametrize("to", ["//evil.example", "https://evil.example", "/\\evil.example", "", "/\r\nx: y"])
def test_it_never_leads_to_another_site(locked: TestClient, to: str) -> None:
    answer = locked.post("/enter", data={"code": CODE, "to": to}, follow_redirects=False)
    assert answer.headers["location"] == "/"


def test_a_phone_that_must_sign_in_again_is_asked_for_what_opens_this_page(
    locked: TestClient, page: TestClient
) -> None:
    asked = locked.get("/sign-in?to=/mixer/hill")
    assert 'name="code"' in asked.text
    assert 'name="to" value="/mixer/hill"' in asked.text
    assert page.get("/sign-in?to=/jobs/hill").url.path == "/jobs/hill"  # where nothing is asked for
    page.post("/people", data={"name": "Ann", "role": "office", "secret": "a long password"})
    assert 'name="secret"' in locked.get("/enter", headers={"accept": "text/html"}).text


def test_who_must_wait_is_told_so_and_not_that_the_code_is_wrong(locked: TestClient) -> None:
    for _ in range(FREE_TRIES):
        assert PLAIN("page-wrong-code") in locked.post("/enter", data={"code": "AAAA"}).text
    answer = locked.post("/enter", data={"code": CODE}, follow_redirects=False)
    assert answer.status_code == 429
    assert PLAIN("sign-in-wait") in answer.text


def test_a_guesser_waits_longer_each_time_and_nobody_else_does() -> None:
    access = Access(CODE)
    for _ in range(FREE_TRIES):
        assert access.enter("AAAA-AAAA-AAAA", "10.0.0.66") is None
    assert access.enter(CODE, "10.0.0.66") is None
    assert access.enter(CODE, "10.0.0.7") is not None
    assert not access.knows("shop=guess")
    assert not access.knows("")


def test_codes_differ_and_hold_no_letter_that_is_mistaken_for_another() -> None:
    codes = {new_code() for _ in range(200)}
    assert len(codes) == 200
    assert {letter for code in codes for letter in code} <= {*LETTERS, "-"}
    assert not set("01OI") & set(LETTERS)
