"""Who may open which screen, once people are named."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import select
from starlette.testclient import TestClient

from estimator import estimate, load_job
from estimator.page.access import MOST_WAIT_OF_NAME_S, Tries
from estimator.page.app import app_for
from estimator.report.papers.labels import code_text, says_of
from estimator.store import open_store
from estimator.store.people import changes_of_people
from estimator.store.records import records_of
from estimator.store.tables import records
from estimator.words import crew_words_for
from tests.page.conftest import ORIGIN


def add(page: TestClient, name: str, role: str, secret: str = "") -> str:
    answer = page.post("/people", data={"name": name, "role": role, "secret": secret})
    assert answer.status_code == 200, answer.text
    found = re.search(rf"Access code of {name}: (\w+)", answer.text)
    return found[1] if found else secret


def id_of(office: TestClient, name: str) -> str:
    found = re.search(rf'class="name">{name}</b>.*?name="id" value="(\d+)"', office.get("/people").text, re.DOTALL)
    assert found is not None
    return found[1]


def browser_of(page: TestClient) -> TestClient:
    return TestClient(page.app, base_url=ORIGIN, headers={"origin": ORIGIN, "accept": "text/html"})


def sign_in(page: TestClient, name: str, secret: str) -> TestClient:
    browser = browser_of(page)
    answer = browser.post("/sign-in?to=/phone", data={"name": name, "secret": secret}, follow_redirects=False)
    assert answer.status_code == 303, answer.text
    return browser


@pytest.fixture
def people(page: TestClient) -> dict[str, TestClient]:
    secret = add(page, "Ann", "office")
    office = sign_in(page, "ann", secret)
    codes = {name: add(office, name, role) for name, role in (("Sam", "shop"), ("Kim", "crew"))}
    return {"office": office} | {
        role: sign_in(page, name, codes[name]) for role, name in (("shop", "Sam"), ("crew", "Kim"))
    }


PATHS = {
    "/": "office shop", "/jobs/hill": "office shop", "/jobs/hill/papers": "office shop", "/people": "office",
    "/jobs/hill/papers/quote.pdf": "office shop", "/phone": "office shop crew", "/mixer/hill": "office shop crew",
    "/crew/hill/C1": "office shop crew",
}  # fmt: skip


@pytest.mark.parametrize("path", PATHS)
def test_each_role_opens_its_screens_and_no_other(people: dict[str, TestClient], path: str) -> None:
    opened = [role for role, browser in people.items() if _opens(browser, path)]
    assert " ".join(opened) == PATHS[path]


def _opens(browser: TestClient, path: str) -> bool:
    answer = browser.get(path, follow_redirects=False)
    assert answer.status_code in (200, 303, 403)
    return answer.status_code == 200


@pytest.mark.usefixtures("people")
def test_a_stranger_is_sent_to_the_sign_in_and_changes_nothing(page: TestClient) -> None:
    stranger = browser_of(page)
    answer = stranger.get("/jobs/hill", follow_redirects=False)
    assert (answer.status_code, answer.headers["location"]) == (303, "/sign-in?to=/jobs/hill")
    assert stranger.post("/mixer/hill/entries", json=[]).status_code == 401
    assert stranger.post("/jobs/hill/undo", json={}).status_code == 401


def test_the_first_person_is_of_the_office_and_the_last_of_the_office_stays(page: TestClient) -> None:
    assert page.post("/people", data={"name": "Kim", "role": "crew", "secret": ""}).status_code == 422
    office = sign_in(page, "Ann", add(page, "Ann", "office", "a long password"))
    add(office, "Kim", "crew")
    assert office.post("/people/remove", data={"id": id_of(office, "Ann")}).status_code == 422
    kim = {"id": id_of(office, "Kim")}
    assert office.post("/people/remove", data=kim, follow_redirects=False).status_code == 303


def role_of(office: TestClient, name: str) -> str:
    found = re.search(rf'"Role of {name}">.*?value="(\w+)" selected', office.get("/people").text)
    assert found is not None
    return found[1]


def test_the_office_changes_a_role_in_one_act_which_is_logged(people: dict[str, TestClient], shop: Path) -> None:
    office, kim = people["office"], people["crew"]
    assert kim.get("/jobs/hill").status_code == 403
    moved = {"id": id_of(office, "Kim"), "role": "shop"}
    assert people["shop"].post("/people/role", data=moved).status_code == 403
    assert office.post("/people/role", data=moved, follow_redirects=False).status_code == 303
    assert role_of(office, "Kim") == "shop"
    assert kim.get("/jobs/hill").status_code == 200  # still signed in, and at once
    office.post("/people/role", data=moved)  # the same again is no change
    change, *before = changes_of_people(open_store(shop))
    assert (change.person, change.what, change.was, change.becomes) == ("Ann", "Kim", "crew", "shop")
    assert [(each.what, each.was, each.becomes) for each in before][:2] == [("Kim", "", "crew"), ("Sam", "", "shop")]
    text = office.get("/people").text
    assert "Crew → Shop" in text
    assert " · Ann" in text
    assert office.post("/people/role", data=moved | {"role": "boss"}).status_code == 422
    office.post("/people/remove", data=moved)
    assert "Shop → –" in office.get("/people").text


def test_the_last_of_the_office_keeps_the_role_until_somebody_else_has_it(people: dict[str, TestClient]) -> None:
    office = people["office"]
    own = {"id": id_of(office, "Ann"), "role": "crew"}
    answer = office.post("/people/role", data=own)
    assert (answer.status_code, role_of(office, "Ann")) == (422, "office")
    assert "Give somebody else the role office first." in answer.text
    office.post("/people/role", data={"id": id_of(office, "Sam"), "role": "office"})
    assert office.post("/people/role", data=own, follow_redirects=False).status_code == 303
    assert office.get("/people").status_code == 403
    assert role_of(people["shop"], "Ann") == "crew"


def test_undo_says_whose_change_it_takes_back(people: dict[str, TestClient]) -> None:
    sent = {"at": "piece/0/finish", "text": "honed", "was": "", "mark": "C1", "fields": []}
    own = people["office"].post("/jobs/hill/change", json=sent).json()["undo"]
    assert own == {"text": "C1 › Finish: honed → –", "of_other": False}
    assert 'id="undo" type="button" aria-describedby="undo-what">' in people["office"].get("/jobs/hill").text
    other = people["shop"].get("/jobs/hill").text
    assert "data-of-other>Undo</button>" in other
    assert "C1 › Finish: honed → –. Changed by " in other


def test_no_password_is_kept_and_wrong_passwords_are_slowed(page: TestClient, shop: Path) -> None:
    add(page, "Ann", "office", "a long password")
    browser = browser_of(page)
    statuses = [
        browser.post("/sign-in", data={"name": "Ann", "secret": f"wrong {number}"}).status_code for number in range(7)
    ]
    assert statuses[:5] == [403] * 5
    assert 429 in statuses[5:]
    held = b"".join(path.read_bytes() for path in shop.glob(".shop.db*"))
    assert b"a long password" not in held


def test_one_code_is_enough_for_a_shop_of_two(page: TestClient) -> None:
    secret = add(page, "Shop", "office")
    assert sign_in(page, "", secret).get("/").status_code == 200


def test_waits_double_and_end_with_the_right_one() -> None:
    tries = Tries()
    for _ in range(8):
        tries.count("ann", right=False)
    assert 7.0 < tries.wait_s("ann") <= 8.0
    assert tries.wait_s("sam") == 0.0
    tries.count("ann", right=True)
    assert tries.wait_s("ann") == 0.0


def test_guessing_does_not_lock_a_person_out() -> None:
    tries = Tries()
    for _ in range(40):
        tries.count("name ann", right=False)
        tries.count("10.0.0.66", right=False)
    assert tries.wait_s("name ann") <= MOST_WAIT_OF_NAME_S
    assert tries.wait_s("10.0.0.66") > 100.0


def test_a_changed_password_signs_other_browsers_out(people: dict[str, TestClient], page: TestClient) -> None:
    own = people["crew"]
    new = {"new": "a longer password"}
    assert own.post("/password", data={"now": "not this", **new}).status_code == 422
    code = add(people["office"], "Lee", "crew")
    first, second = sign_in(page, "Lee", code), sign_in(page, "Lee", code)
    assert first.post("/password", data={"now": code, "new": "short"}).status_code == 422
    assert first.post("/password", data={"now": code, **new}).status_code == 200
    assert first.get("/phone").status_code == 200
    assert second.get("/phone", follow_redirects=False).status_code == 303
    assert "Lee" in sign_in(page, "Lee", new["new"]).get("/password").text


def test_the_office_gives_a_new_code_for_a_lost_phone(people: dict[str, TestClient], page: TestClient) -> None:
    lost = people["crew"]
    text = people["office"].post("/people/code", data={"id": id_of(people["office"], "Kim")}).text
    code = re.search(r"Access code of Kim: (\w+)", text)
    assert code is not None
    assert lost.get("/phone", follow_redirects=False).status_code == 303
    assert sign_in(page, "Kim", code[1]).get("/phone").status_code == 200
    assert people["shop"].post("/people/code", data={"id": id_of(people["office"], "Ann")}).status_code == 403


def test_people_outlive_a_restart(page: TestClient, shop: Path) -> None:
    secret = add(page, "Ann", "office")
    with TestClient(app_for(shop), base_url=ORIGIN, headers={"origin": ORIGIN}) as again:
        assert again.get("/jobs/hill", follow_redirects=False).status_code in (303, 401)
        assert sign_in(again, "Ann", secret).get("/").status_code == 200


def test_a_label_opens_its_piece_on_a_phone_and_shows_its_mark_without_a_server() -> None:
    assert code_text("C1", "", "2") == "C1"
    assert code_text("C1", "http://shop.lan:8420/crew/hill/", "2") == "http://shop.lan:8420/crew/hill/C1?rev=2"


def test_the_piece_of_an_old_label_says_so(page: TestClient, shop: Path) -> None:
    job = shop / "hill" / "job.toml"
    job.write_text(job.read_text("utf-8").replace("[job]", '[job]\nrevision = "3"'), "utf-8")
    assert "hidden>Revised. Get revision 3" in page.get("/crew/hill/C1?rev=3").text
    assert 'role="alert">Revised. Get revision 3' in page.get("/crew/hill/C1?rev=2").text


@pytest.mark.parametrize("language", ["en-US", "es", "de"])
def test_the_label_of_a_piece_that_weighs_something_else_by_now_says_so(
    page: TestClient, shop: Path, language: str
) -> None:
    job = shop / "hill" / "job.toml"
    text = job.read_text("utf-8").replace("[job]", f'[job]\nrevision = "3"\ncrew_language = "{language}"')
    job.write_text(text, "utf-8")
    says = says_of(estimate(load_job(job)).result.pieces[0], "imperial")
    address = code_text("C1", "/crew/hill/", "3", says)
    assert re.fullmatch(r"/crew/hill/C1\?rev=3&says=\d+(\.\d)?-\d", address)
    stale = f'role="alert">{crew_words_for(load_job(job))("page-old-label")}'
    assert stale not in page.get(address).text
    job.write_text(text.replace('"72 in"', '"90 in"'), "utf-8")  # the office forgot the revision
    shown = page.get(address).text
    assert shown.count(stale) == 2  # to carry and to flip
    assert says.partition("-")[0] + "</span>" not in shown
    assert stale not in page.get(address.replace("rev=3", "rev=2")).text  # the older revision is said instead


@pytest.mark.parametrize(("language", "word"), [("es", "Entrar"), ("de", "Anmelden")])
def test_a_phone_reads_the_language_of_the_crew_before_a_job_is_opened(
    page: TestClient, shop: Path, language: str, word: str
) -> None:
    job = shop / "hill" / "job.toml"
    job.write_text(job.read_text("utf-8").replace("[job]", f'[job]\ncrew_language = "{language}"'), "utf-8")
    secret = add(page, "Ann", "office")
    code = add(sign_in(page, "Ann", secret), "Kim", "crew")
    asked = browser_of(page)
    wrong = asked.post("/sign-in?to=/phone", data={"name": "Kim", "secret": "wrong"})
    kim = sign_in(page, "Kim", code)
    failed = [kim.post("/password", data={"now": now, "new": "short"}) for now in ("wrong", code)]
    for answer in (asked.get("/mixer/hill"), wrong, kim.get("/phone"), kim.get("/password"), *failed):
        assert f'<html lang="{language}">' in answer.text
        for english in ("Sign", "Password", "password is", "Name or", "Jobs", "Crew<", "Mixer", "Skip"):
            assert english not in answer.text.replace(">Name<", ""), english
    assert word in asked.get("/sign-in?to=/phone").text
    assert '<html lang="en-US">' in asked.get("/sign-in?to=/").text  # the office


WEIGHING = {"batch": "1-1", "step": 1, "material": "white-cement", "mass_kg": 7.5}


def entry_of(by: str | None, number: int) -> dict[str, Any]:
    named = {} if by is None else {"by": by}
    return {"id": f"{number:032x}", "kind": "weighing", "at": "2026-03-23T08:01:02Z", "values": WEIGHING} | named


def test_what_waited_on_a_phone_for_another_person_names_who_tapped_it_and_who_brought_it_in(
    people: dict[str, TestClient], shop: Path
) -> None:
    sent = [entry_of(by, number) for number, by in enumerate(("Sam", "Kim", "", None, "Ann"))]
    assert len(people["shop"].post("/mixer/hill/entries", json=sent).json()["kept"]) == len(sent)
    people["crew"].post("/mixer/hill/entries", json=[entry_of("Kim", 1)])  # the same tick again changes nothing
    marks = [
        (record.values.get("tapped_by"), record.values.get("sent_by"))
        for record in records_of(shop / "hill" / "job.toml").records
    ]
    assert marks == [(None, None), ("Kim", "Sam"), ("", "Sam"), (None, None), ("Ann", "Sam")]
    with open_store(shop).reading() as connection:
        assert set(connection.execute(select(records.c.person)).scalars()) == {"Sam"}  # what the page can vouch for
    wrong = [entry_of("K" * 61, 9), entry_of("Sam", 10) | {"by": 7}]
    assert people["shop"].post("/mixer/hill/entries", json=wrong).json()["kept"] == []


def test_no_phone_names_its_sender_itself(people: dict[str, TestClient]) -> None:
    values = WEIGHING | {"sent_by": "Ann", "tapped_by": "Ann"}
    sent = [entry_of("Kim", 1) | {"values": values}]
    assert people["crew"].post("/mixer/hill/entries", json=sent).json()["kept"] == []


def test_a_change_is_kept_with_who_made_it(people: dict[str, TestClient]) -> None:
    asked = {"at": "piece/0/shape/length", "text": "80 in", "was": "72 in", "mark": "C1"}
    assert people["shop"].post("/jobs/hill/change", json=asked).status_code == 200
    text = people["office"].get("/jobs/hill/changes").text
    for part in ("Sam", "C1 › Length", "72 in → 80 in"):
        assert part in text
