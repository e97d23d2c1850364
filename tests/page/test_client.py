"""The client's quote: opened by link and code, without the costs of the shop, accepted once."""

from __future__ import annotations

import json
import re
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from pypdfium2 import PdfDocument
from starlette.testclient import TestClient

from estimator import estimate, load_job
from estimator.page.client import sent_quote
from estimator.page.shelf import Shelf
from estimator.store import open_store
from estimator.store.links import link_of, links_of, sent_of
from estimator.store.tables import revisions
from tests.page.conftest import JOB, ORIGIN

OPTIONS = """
[[option]]
name = "third coat of sealer"
lump = 140

[[option]]
name = "rush"
lump = 300
"""
DRAWN = "M10 20L30 40L50 20"


@pytest.fixture
def job(shop: Path) -> Path:
    path = shop / "hill" / "job.toml"
    path.write_text(JOB.replace('name = "Hill house"', 'name = "Hill house"\nrevision = "2"') + OPTIONS, "utf-8")
    return path


def make_link(page: TestClient) -> tuple[str, str]:
    answer = page.post("/jobs/hill/client")
    assert answer.status_code == 200, re.findall(r'class="why"[^<]*<?[^<]*', answer.text)
    address = re.search(r"/quote/([\w-]+)<", answer.text)
    code = re.search(r"Access code <b[^>]*>(\w+)<", answer.text)
    assert address is not None
    assert code is not None
    return address[1], code[1]


def opened(page: TestClient, token: str, code: str, asked: str = "Access code") -> TestClient:
    client = TestClient(page.app, base_url=ORIGIN, headers={"origin": ORIGIN})
    assert asked in client.get(f"/quote/{token}").text
    assert client.post(f"/quote/{token}/code", data={"code": code}, follow_redirects=False).status_code == 303
    return client


def accept(client: TestClient, token: str, **more: str) -> Any:
    form = {"name": "Invented Client", "choice": "", "signature": DRAWN, "agree": "1"} | more
    return client.post(f"/quote/{token}/accept", data=form, follow_redirects=False)


def test_the_client_reads_the_quote_and_none_of_its_costs(page: TestClient, job: Path) -> None:
    assert job.exists()
    client = opened(page, *(sent := make_link(page)))
    text = client.get(f"/quote/{sent[0]}").text
    assert "Hill house" in text
    assert "Options, before tax. Ticked, they are in the total." in text
    desk = page.get("/jobs/hill").text
    direct = re.search(r'data-f="direct">([^<]+)<', desk)
    total = re.search(r'data-f="total">([^<]+)<', desk)
    assert direct is not None
    assert total is not None
    assert total[1] in text
    assert direct[1] not in text
    for word in ("margin", "overhead", "labor", "white portland cement"):
        assert word not in text.casefold()
    assert client.get(f"/quote/{sent[0]}/quote.pdf").content.startswith(b"%PDF-")


def test_nothing_opens_without_the_code_and_wrong_codes_are_slowed(page: TestClient, job: Path) -> None:
    assert job.exists()
    token, code = make_link(page)
    stranger = TestClient(page.app, base_url=ORIGIN, headers={"origin": ORIGIN})
    assert "Invented" not in stranger.get(f"/quote/{token}").text
    for answer in (stranger.get(f"/quote/{token}/quote.pdf"), accept(stranger, token)):
        assert answer.status_code == 403
        assert 'name="code"' in answer.text
    assert stranger.get("/quote/nothing").status_code == 404
    statuses = [stranger.post(f"/quote/{token}/code", data={"code": f"wrong{n}"}).status_code for n in range(6)]
    assert statuses == [403] * 5 + [429]
    assert stranger.post(f"/quote/{token}/code", data={"code": code}).status_code == 429


def test_an_acceptance_is_kept_once_with_the_hash_of_the_quote(page: TestClient, job: Path) -> None:
    token, code = make_link(page)
    client = opened(page, token, code)
    before = client.get(f"/quote/{token}").text
    job.write_text(job.read_text("utf-8").replace("72 in", "96 in"), "utf-8")
    total = re.search(r"data-total[^>]*>([^<]+)<", client.get(f"/quote/{token}").text)
    assert total is not None
    assert total[1] in before  # as sent, whatever became of the job
    assert accept(client, token, choice="o0").status_code == 303
    assert accept(client, token, name="Somebody Else").status_code == 422
    (link,) = links_of(open_store(job.parent.parent), job)
    assert link.acceptance is not None
    assert (link.acceptance.name, link.acceptance.options) == ("Invented Client", ("third coat of sealer",))
    assert link.acceptance.total != total[1]
    assert len(link.revision) == 64
    for shown in (page.get("/jobs/hill/client").text, client.get(f"/quote/{token}").text):
        assert "Accepted by Invented Client" in shown
        assert "With: third coat of sealer" in shown  # in the amount, and not on top of it


@pytest.mark.parametrize(
    "more",
    [
        {"name": ""},
        {"signature": ""},
        {"signature": "M1 1<script>"},
        {"agree": ""},
        {"choice": "o7"},
        {"name": "x" * 500},
    ],
)
def test_a_missing_entry_is_asked_for_and_nothing_is_kept(page: TestClient, job: Path, more: dict[str, str]) -> None:
    token, code = make_link(page)
    assert accept(opened(page, token, code), token, **more).status_code == 422
    link = link_of(open_store(job.parent.parent), token)
    assert link is not None
    assert link.acceptance is None


def test_what_was_entered_stays_when_something_is_missing(page: TestClient, job: Path) -> None:
    assert job.exists()
    token, code = make_link(page)
    client = opened(page, token, code)
    plain = client.get(f"/quote/{token}").text
    again = accept(client, token, choice="o0", signature="").text
    for kept in ('data-option="o0" checked', 'name="choice" value="o0"', 'value="Invented Client"', "required checked"):
        assert kept in again
        assert kept not in plain
    figures = r'(?s)<div id="sums">.*?data-total[^>]*>[^<]+<'
    first, second = (re.search(figures, text) for text in (plain, again))
    assert first is not None
    assert second is not None
    assert first[0] != second[0]
    assert f'name="signature" value="{DRAWN}"' in accept(client, token, name="").text
    assert (
        "script>"
        not in re.findall(
            r'name="signature" value="[^"]*"', accept(client, token, name="", signature="M1 1<script>").text
        )[0]
    )
    assert accept(client, token, choice="o0").status_code == 303
    accepted = client.get(f"/quote/{token}").text
    assert 'data-option="o0" checked disabled' in accepted
    assert second[0] in accepted


def test_the_lines_above_the_total_add_up_for_every_choice(page: TestClient, job: Path) -> None:
    smaller = 'shape = { kind = "slab", length = "30 in", width = "20 in", thickness = "1 in" }'
    alternative = f'[[alternative]]\nname = "smaller"\npiece = [{{ mark = "C1", {smaller} }}]\n'
    job.write_text(job.read_text("utf-8") + alternative, "utf-8")
    file = Shelf(job.parent.parent).job("hill")
    assert page.get("/").status_code == 200
    view = json.loads(sent_quote(file, file.kept())["view"])
    assert set(view["sums_of"]) == set(view["totals"]) == {"", "o0", "o1", "o0-o1", "a0"}
    for choice, rows in view["sums_of"].items():
        cents = [round(100 * float(amount.strip("$").replace(",", ""))) for _, amount in rows]
        assert len(rows) == 2
        assert sum(cents) == round(100 * float(view["totals"][choice].strip("$").replace(",", "")))


def cents_of(amount: str) -> int:
    return round(100 * float(amount.strip("$").replace(",", "")))


def payments_in(text: str) -> list[int]:
    listed = re.search(r'<ul class="payments">(.*?)</ul>', text)
    return [cents_of(amount) for amount in re.findall(r"</span><b>([^<]+)</b>", listed[1])] if listed else []


STEPS = """
[price]
payments = [{ name = "deposit", share = 0.3333 }, { name = "forms", share = 0.3333 }, { name = "rest", share = 0.3334 }]
"""


def test_the_payments_follow_what_the_client_chooses_and_add_up_to_it(page: TestClient, job: Path) -> None:
    smaller = 'shape = { kind = "slab", length = "30 in", width = "20 in", thickness = "1 in" }'
    alternative = f'[[alternative]]\nname = "smaller"\npiece = [{{ mark = "C1", {smaller} }}]\n'
    job.write_text(job.read_text("utf-8") + alternative + STEPS, "utf-8")
    token, code = make_link(page)
    client = opened(page, token, code)
    (link,) = links_of(open_store(job.parent.parent), job)
    view, _ = sent_of(open_store(job.parent.parent), link)
    assert set(view["payments_of"]) == set(view["totals"]) == {"", "o0", "o1", "o0-o1", "a0"}
    for choice, rows in view["payments_of"].items():
        assert sum(cents_of(amount) for *_, amount in rows) == cents_of(view["totals"][choice])
    offered = payments_in(client.get(f"/quote/{token}").text)
    assert payments_in(accept(client, token, choice="o0-o1", name="").text) != offered  # ticked, not signed yet
    assert accept(client, token, choice="o0-o1").status_code == 303
    accepted = payments_in(client.get(f"/quote/{token}").text)
    assert sum(accepted) == cents_of(view["totals"]["o0-o1"])
    assert len(accepted) == len(offered) == 3
    assert payments_in(page.get("/jobs/hill/client").text) == accepted
    assert page.post("/jobs/hill/release", data={"start": "2026-09-07"}).status_code == 200
    released = estimate(load_job(job)).result.cost
    assert [round(100 * payment.amount) for payment in released.payments] == accepted


def test_a_quote_sent_before_payments_followed_the_options_says_what_they_are_for(page: TestClient, job: Path) -> None:
    token, code = make_link(page)
    client, store = opened(page, token, code), open_store(job.parent.parent)
    (link,) = links_of(store, job)
    view, _ = sent_of(store, link)
    view["payments"] = view.pop("payments_of")[""]
    with store.writing() as connection:
        connection.execute(revisions.update().values(view=json.dumps(view)))
    assert accept(client, token, choice="o0").status_code == 303
    shown = client.get(f"/quote/{token}").text
    assert sum(payments_in(shown)) == cents_of(view["totals"][""])
    assert "For the total without options." in shown
    assert payments_in(page.get("/jobs/hill/client").text) == []


def test_a_typed_name_is_a_signature_where_the_client_says_so(page: TestClient, job: Path) -> None:
    assert job.exists()
    token, code = make_link(page)
    assert accept(opened(page, token, code), token, signature="", typed="1").status_code == 303


def test_a_link_ends_when_it_is_withdrawn(page: TestClient, job: Path) -> None:
    token, code = make_link(page)
    client = opened(page, token, code)
    (link,) = links_of(open_store(job.parent.parent), job)
    page.post("/jobs/hill/client/withdraw", data={"id": link.id})
    for answer in (client.get(f"/quote/{token}"), accept(client, token), client.get(f"/quote/{token}/quote.pdf")):
        assert answer.status_code == 410
        assert "The shop has withdrawn this quote." in answer.text


def test_a_new_quote_withdraws_the_one_before_it(page: TestClient, job: Path) -> None:
    old = make_link(page)
    first = opened(page, *old)
    assert "can accept $" in page.get("/jobs/hill/client").text
    assert "now comes to" not in page.get("/jobs/hill/client").text
    job.write_text(job.read_text("utf-8").replace("72 in", "96 in"), "utf-8")
    assert "The job now comes to $" in page.get("/jobs/hill/client").text
    new = make_link(page)
    assert "now comes to" not in page.get("/jobs/hill/client").text
    assert accept(first, old[0]).status_code == 410
    assert accept(opened(page, *new), new[0]).status_code == 303
    links = links_of(open_store(job.parent.parent), job)
    assert [link.state for link in links] == ["accepted", "withdrawn"]


def test_a_quote_sent_by_two_links_is_accepted_once(page: TestClient, job: Path) -> None:
    make_link(page)  # dates the quote
    links = [make_link(page), make_link(page)]
    clients = [opened(page, *link) for link in links]
    names = ("Invented Client", "Somebody Else")
    answers = [accept(client, link[0], name=name) for client, link, name in zip(clients, links, names, strict=True)]
    assert [answer.status_code for answer in answers] == [303, 422]
    assert "accepted any more" in answers[1].text.replace("&#39;", "'")
    for shown in (answers[1].text, clients[1].get(f"/quote/{links[1][0]}").text):
        assert "Accepted by Invented Client" in shown
        assert 'id="accept"' not in shown
    states = [link.state for link in links_of(open_store(job.parent.parent), job)]
    assert states[:2] == ["accepted", "accepted"]
    assert page.get("/jobs/hill/client").text.count("Accepted by Invented Client") == 1  # it was signed once
    job.write_text(job.read_text("utf-8").replace("72 in", "96 in"), "utf-8")
    make_link(page)
    assert clients[1].get(f"/quote/{links[1][0]}").status_code == 200


def test_a_client_who_taps_accept_twice_is_not_told_to_call_the_shop(page: TestClient, job: Path) -> None:
    assert job.exists()
    token, code = make_link(page)
    client = opened(page, token, code)
    assert [accept(client, token, choice="o0").status_code for _ in range(2)] == [303, 303]
    assert accept(client, token, choice="o1").status_code == 422


def test_an_alternate_that_costs_less_is_written_with_a_true_minus(page: TestClient, job: Path) -> None:
    smaller = 'shape = { kind = "slab", length = "30 in", width = "20 in", thickness = "1 in" }'
    alternative = f'[[alternative]]\nname = "smaller"\npiece = [{{ mark = "C1", {smaller} }}]\n'
    job.write_text(job.read_text("utf-8") + alternative, "utf-8")
    token, code = make_link(page)
    client = opened(page, token, code)
    prices = re.findall(r"<b>(.?\$[^<]+)</b></label>", client.get(f"/quote/{token}").text)
    assert [price[0] for price in prices] == ["+", "+", "\N{MINUS SIGN}"]
    paper = PdfDocument(client.get(f"/quote/{token}/quote.pdf").content)
    assert prices[2] in " ".join(page.get_textpage().get_text_range() for page in paper)


def test_a_released_job_has_no_quote_that_can_be_accepted(page: TestClient, job: Path) -> None:
    first = make_link(page)
    assert accept(opened(page, *first), first[0]).status_code == 303
    job.write_text(job.read_text("utf-8").replace("72 in", "96 in"), "utf-8")
    second = make_link(page)
    client = opened(page, *second)
    assert page.post("/jobs/hill/release", data={"start": "2099-03-02"}).status_code == 200
    assert accept(client, second[0]).status_code == 410


def test_an_accepted_quote_ends_when_it_is_withdrawn_and_stays_accepted(page: TestClient, job: Path) -> None:
    token, code = make_link(page)
    client = opened(page, token, code)
    assert accept(client, token).status_code == 303
    (link,) = links_of(open_store(job.parent.parent), job)
    page.post("/jobs/hill/client/withdraw", data={"id": link.id})
    assert client.get(f"/quote/{token}").status_code == 410
    assert client.post(f"/quote/{token}/code", data={"code": code}).status_code == 410
    assert "Accepted by Invented Client" in page.get("/jobs/hill/client").text


@pytest.mark.parametrize(
    ("language", "notice", "total"),
    [("es", "Ningún hablante nativo", "Total a pagar"), ("de", "kein Muttersprachler", "Gesamtbetrag")],
)
def test_a_client_who_reads_another_language_gets_no_english(
    page: TestClient, job: Path, language: str, notice: str, total: str
) -> None:
    text = job.read_text("utf-8") + '\n[business]\nterms = ["1"]\n'
    for was, becomes in (
        ("[job]", f'[job]\nclient_language = "{language}"'), ("third coat of sealer", "mano"),
        ("The hill house", "Casa"),
    ):  # fmt: skip
        text = text.replace(was, becomes)
    job.write_text(text, "utf-8")
    token, code = make_link(page)
    client = TestClient(page.app, base_url=ORIGIN, headers={"origin": ORIGIN})
    asked = client.get(f"/quote/{token}").text
    wrong = client.post(f"/quote/{token}/code", data={"code": "x"}).text
    client.post(f"/quote/{token}/code", data={"code": code})
    shown, problem = client.get(f"/quote/{token}").text, accept(client, token, name="").text
    accept(client, token)
    for screen in (asked, wrong, shown, problem, client.get(f"/quote/{token}").text):
        assert f'<html lang="{language}">' in screen
        assert notice in screen
        words = " ".join(re.findall(r">([^<]+)<", screen)).casefold()
        for english in (" your", "access", "the ", " of ", "price", "total due", "accept ", "quote", "deposit", "tax"):
            assert english not in words, english
    pdf = PdfDocument(client.get(f"/quote/{token}/quote.pdf").content)
    paper = " ".join(page.get_textpage().get_text_range() for page in pdf)
    assert total in paper
    assert notice in paper


def test_a_client_in_mexico_reads_pesos_as_at_home_with_their_code_at_the_total(page: TestClient, job: Path) -> None:
    text = job.read_text("utf-8").replace("[job]", '[job]\ncurrency = "MXN"\nclient_language = "es"')
    job.write_text(text, "utf-8")
    token, code = make_link(page)
    shown = opened(page, token, code, "Código de acceso").get(f"/quote/{token}").text
    assert "MX$" not in shown
    assert re.search(r"Total a pagar <small>MXN</small></span><b [^>]*>\$\d", shown)
    assert "MX$" in page.get("/jobs/hill").text  # the office reads English


def test_a_link_ends_with_its_quote(page: TestClient, job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    dated = f'revision = "2"\ndate = "{date.today().isoformat()}"'
    job.write_text(job.read_text("utf-8").replace('revision = "2"', dated), "utf-8")
    token, _ = make_link(page)
    assert page.get(f"/quote/{token}").status_code == 200

    class Later(date):
        @classmethod
        def today(cls) -> date:
            return date(2100, 1, 1)

    monkeypatch.setattr("estimator.store.links.date", Later)
    over = page.get(f"/quote/{token}")
    assert (over.status_code, "This quote was valid until" in over.text) == (410, True)
    monkeypatch.setattr("estimator.page.client.date", Later)
    answer = page.post("/jobs/hill/client")
    assert (answer.status_code, "was valid until" in answer.text) == (422, True)


def test_every_choice_of_options_has_the_total_of_its_own_estimate(page: TestClient, job: Path) -> None:
    file = Shelf(job.parent.parent).job("hill")
    assert page.get("/").status_code == 200
    view = json.loads(sent_quote(file, file.kept())["view"])
    both = job.read_text("utf-8").replace("lump = 140", "lump = 140\ntaken = true")
    job.write_text(both.replace("lump = 300", "lump = 300\ntaken = true"), "utf-8")
    total = estimate(load_job(job)).result.cost.total
    assert set(view["totals"]) == {"", "o0", "o1", "o0-o1"}
    assert view["totals"]["o0-o1"] == f"${total:,.2f}"


def test_codes_and_links_are_kept_only_as_hashes(page: TestClient, job: Path) -> None:
    token, code = make_link(page)
    held = b"".join(path.read_bytes() for path in job.parent.parent.glob(".shop.db*"))
    assert token.encode() not in held
    assert code.encode() not in held
