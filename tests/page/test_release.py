"""From an accepted quote to a released job."""

from __future__ import annotations

import tomllib
from datetime import date
from decimal import Decimal
from html import unescape
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from estimator import estimate, load_job
from estimator.money import total
from estimator.pricing.quote import lines_of
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
    assert total_of(job) == quoted


DEARER = (
    b'[materials.white-cement]\npacks = [{ name = "bag", mass = "94 lb", price = 900.0 }]\n',
    b"[workshop.labour]\nrate = 99.0\n",
    b"[workshop.quote]\nminimum = 20000.0\n",
    b'[stock]\nwhite-cement = "500 lb"\n',
)


def released(page: TestClient) -> None:
    token, code = make_link(page)
    assert accept(opened(page, token, code), token).status_code == 303
    assert page.post("/jobs/hill/release", data={"start": "2026-09-07"}).status_code == 200


@pytest.mark.parametrize("section", DEARER)
def test_no_price_or_setting_moves_what_the_client_accepted(page: TestClient, job: Path, section: bytes) -> None:
    quoted = estimate(load_job(job)).result
    released(page)
    job.write_bytes(job.read_bytes() + section)
    now = estimate(load_job(job)).result
    assert (now.cost.price, now.cost.tax, now.cost.total) == (quoted.cost.price, quoted.cost.tax, quoted.cost.total)
    assert [piece.price for piece in now.pieces] == [piece.price for piece in quoted.pieces]
    assert total(line.amount for line in lines_of(now.cost, now.job.price)) == now.cost.total
    assert now.cost.held
    assert "By today's costs" in unescape(page.get("/jobs/hill").text)


def test_prices_that_rise_between_acceptance_and_release_do_not_move_it(page: TestClient, job: Path) -> None:
    quoted = total_of(job)
    (job.parent / "shop.toml").write_bytes(b"[workshop.labour]\nrate = 46.0\n")
    job.write_bytes(job.read_bytes().replace(b"[job]\n", b'[job]\ncatalog = "shop.toml"\n'))
    token, code = make_link(page)
    assert accept(opened(page, token, code), token).status_code == 303
    accepted = total_of(job)
    (job.parent / "shop.toml").write_bytes(b"[workshop.labour]\nrate = 99.0\n")
    assert total_of(job) > accepted
    assert "comes to" not in page.get("/jobs/hill/release").text
    assert page.post("/jobs/hill/release", data={"start": "2026-09-07"}).status_code == 200
    assert total_of(job) == accepted != quoted


def test_a_change_order_adds_what_was_signed_whatever_prices_do_later(page: TestClient, job: Path) -> None:
    released(page)
    quoted = estimate(load_job(job)).result
    sent = {"at": "piece/0/shape/length", "text": "80 in", "was": "72 in", "mark": "C1"}
    order = {"order-number": "1", "order-reason": "wider window"}
    assert page.post("/jobs/hill/change", json=sent | order).status_code == 200
    [change] = estimate(load_job(job)).result.versions.changes
    job.write_bytes(job.read_bytes() + DEARER[1])
    assert page.post("/jobs/hill/orders", data={"number": "1", "signed": date.today().isoformat()}).status_code == 200
    now = estimate(load_job(job)).result
    [signed] = now.versions.changes
    assert (signed.price, signed.total) == (change.price, change.total)
    assert now.cost.price == quoted.cost.price + change.price
    assert now.cost.total == quoted.cost.total + change.total
    assert signed.price_of("C1") == change.price_of("C1")


def test_orders_add_up_in_whatever_order_they_are_signed(page: TestClient, job: Path) -> None:
    released(page)
    quoted = total_of(job)
    for number, (at, text, was) in enumerate(
        (("piece/0/shape/length", "80 in", "72 in"), ("piece/1/quantity", "3", "2")), start=1
    ):
        order = {"order-number": str(number), "order-reason": "more"}
        sent = {"at": at, "text": text, "was": was, "mark": "C1"} | order
        assert page.post("/jobs/hill/change", json=sent).status_code == 200
    moved = [change.total for change in estimate(load_job(job)).result.versions.changes]
    for number in (2, 1):
        sent = {"number": str(number), "signed": date.today().isoformat()}
        assert page.post("/jobs/hill/orders", data=sent).status_code == 200
    assert total_of(job) == quoted + total(moved)


def test_terms_and_options_of_a_released_job_move_by_a_change_order(page: TestClient, job: Path) -> None:
    released(page)
    before = job.read_bytes()
    for at, key, text in (("price", "price/margin", "0.5"), ("option/0", "option/0/taken", "true")):
        page_shown = page.post("/jobs/hill/sheet", data={"at": at, "act": "save", key: text})
        assert "needs a change order" in page_shown.text, at
    assert job.read_bytes() == before
    quoted = estimate(load_job(job)).result.cost.price
    sent = {"at": "option/0", "act": "save", "option/0/taken": "true"}
    order = {"order-number": "1", "order-reason": "the third coat"}
    assert page.post("/jobs/hill/sheet", data=sent | order).status_code == 200
    [change] = estimate(load_job(job)).result.versions.changes
    assert change.price == Decimal("140")
    assert estimate(load_job(job)).result.cost.price == quoted
    received = {"at": "price/received", "act": "add", "price/received/0/amount": "500"}
    assert page.post("/jobs/hill/sheet", data=received).status_code == 200
    assert tomllib.loads(job.read_text("utf-8"))["price"]["received"] == [{"amount": 500}]


def test_a_copy_of_a_released_job_is_a_quote_of_what_stands(page: TestClient, job: Path) -> None:
    released(page)
    sent = {"at": "piece/0/shape/length", "text": "80 in", "was": "72 in", "mark": "C1"}
    page.post("/jobs/hill/change", json=sent | {"order-number": "1", "order-reason": "wider window"})
    page.post("/jobs/hill/orders", data={"number": "1", "signed": date.today().isoformat()})
    assert page.post("/jobs/hill/copy", data={"title": "Second house"}).status_code == 200
    copied = tomllib.loads((job.parent.parent / "second-house" / "job.toml").read_text("utf-8"))
    assert copied["job"]["status"] == "quoted"
    assert copied["piece"][0]["shape"]["length"] == "80 in"
    assert "change" not in copied
    assert "agreed" not in copied.get("price", {})
    assert estimate(load_job(job.parent.parent / "second-house" / "job.toml")).result.cost.total


def test_a_job_released_by_its_status_keeps_the_price_of_its_quote(page: TestClient, job: Path) -> None:
    quoted = total_of(job)
    sent = {"at": "job", "act": "save", "job/status": "released", "job/start": "2026-09-07"}
    assert page.post("/jobs/hill/sheet", data=sent).status_code == 200
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
