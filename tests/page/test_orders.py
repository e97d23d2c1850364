"""A released job: what is typed becomes a change order, and nothing moves before the client signs."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from estimator.page.orders import in_force

RELEASED = '[job]\nstatus = "released"\nstart = "2026-11-30"'


@pytest.fixture
def released(page: TestClient, shop: Path) -> TestClient:
    job = shop / "hill" / "job.toml"
    job.write_text(job.read_text("utf-8").replace("[job]", RELEASED), "utf-8")
    return page


def change(page: TestClient, at: str, text: str, was: str, **order: str) -> Any:
    sent = {"at": at, "text": text, "was": was, "mark": "C1"} | {f"order-{key}": value for key, value in order.items()}
    return page.post("/jobs/hill/change", json=sent)


def table(shop: Path) -> dict[str, Any]:
    return tomllib.loads((shop / "hill" / "job.toml").read_text("utf-8"))


def test_a_size_typed_into_a_released_job_moves_nothing_and_asks_for_a_change_order(
    released: TestClient, shop: Path
) -> None:
    before = (shop / "hill" / "job.toml").read_bytes()
    answer = change(released, "piece/0/shape/length", "74 in", "72 in")
    assert answer.status_code == 423
    assert answer.json()["lines"] == ["C1, length: 72 in → 74 in"]
    assert [order["number"] for order in answer.json()["orders"]] == [1]
    assert (shop / "hill" / "job.toml").read_bytes() == before


def test_the_change_order_holds_the_size_and_counts_once_it_is_signed(released: TestClient, shop: Path) -> None:
    answer = change(released, "piece/0/shape/length", "74 in", "72 in", number="1", reason="wider window")
    assert answer.status_code == 200
    [order] = table(shop)["change"]
    assert order.pop("date")
    assert order.pop("agreed")["price"] > 0.0
    assert order == {"number": 1, "reason": "wider window", "piece": [{"mark": "C1", "shape": {"length": "74 in"}}]}
    assert table(shop)["piece"][0]["shape"]["length"] == "72 in"
    assert 'value="72 in"' in released.get("/jobs/hill").text
    listed = released.get("/jobs/hill/orders").text
    assert "wider window" in listed
    assert "Not signed yet" in listed
    assert released.get("/jobs/hill/orders/CO-1.pdf").content.startswith(b"%PDF-")
    assert released.post("/jobs/hill/orders", data={"number": "1", "signed": "2026-11-29"}).status_code == 200
    assert 'value="74 in"' in released.get("/jobs/hill").text
    assert in_force(table(shop))["piece"][0]["shape"]["length"] == "74 in"


def test_a_second_size_joins_the_open_order_or_starts_the_next(released: TestClient, shop: Path) -> None:
    change(released, "piece/0/shape/length", "74 in", "72 in", number="1", reason="wider window")
    asked = change(released, "piece/0/shape/width", "26 in", "25-1/2 in").json()
    assert [order["number"] for order in asked["orders"]] == [1, 2]
    assert asked["reason"] == "wider window"
    change(released, "piece/0/shape/width", "26 in", "25-1/2 in", number="1", reason="wider and deeper")
    [first] = table(shop)["change"]
    assert first["piece"] == [{"mark": "C1", "shape": {"length": "74 in", "width": "26 in"}}]
    assert first["reason"] == "wider and deeper"
    change(released, "piece/1/quantity", "3", "2", number="2", reason="one more")
    assert [order["number"] for order in table(shop)["change"]] == [1, 2]
    assert table(shop)["change"][1]["piece"] == [{"mark": "C2", "quantity": 3}]


def test_an_order_without_a_reason_or_with_another_number_is_not_written(released: TestClient, shop: Path) -> None:
    assert change(released, "piece/0/shape/length", "74 in", "72 in", number="1", reason=" ").status_code == 422
    assert change(released, "piece/0/shape/length", "74 in", "72 in", number="7", reason="x").status_code == 423
    assert "change" not in table(shop)


def test_a_size_that_a_signed_order_changed_meanwhile_is_a_conflict(released: TestClient) -> None:
    change(released, "piece/0/shape/length", "74 in", "72 in", number="1", reason="wider window")
    released.post("/jobs/hill/orders", data={"number": "1", "signed": "2026-11-29"})
    answer = change(released, "piece/0/shape/length", "75 in", "72 in")
    assert (answer.status_code, answer.json()["theirs"]) == (409, "74 in")
    same = change(released, "piece/0/shape/length", "72 in", "74 in")
    assert (same.status_code, same.json()["lines"]) == (423, ["C1, length: 74 in → 72 in"])


def test_a_piece_a_mix_a_way_to_lighten_and_an_entry_ask_too(released: TestClient, shop: Path) -> None:
    before = (shop / "hill" / "job.toml").read_bytes()
    new = {"kind": "slab", "length": "24 in", "width": "12 in", "thickness": "1 in", "mark": "C9", "use": "counter"}
    forms = {
        "/jobs/hill/add": new,
        "/jobs/hill/mix": {"mix": "backer-45", "share": "65"},
        "/jobs/hill/sheet": {"at": "piece/0", "act": "save", "piece/0/finish": "honed"},
    }
    for path, sent in forms.items():
        page = released.post(path, data=sent)
        assert "needs a change order" in page.text, path
        assert (shop / "hill" / "job.toml").read_bytes() == before, path
    order = {"order-number": "1", "order-reason": "a shelf"}
    released.post("/jobs/hill/add", data=new | order)
    assert [piece["mark"] for piece in table(shop)["change"][0]["add"]] == ["C9"]
    order = {"order-number": "2", "order-reason": "lighter"}
    released.post("/jobs/hill/mix", data=forms["/jobs/hill/mix"] | order)
    assert table(shop)["change"][1]["swap"] == {"backer-45": "backer-65"}
    released.post("/jobs/hill/sheet", data=forms["/jobs/hill/sheet"] | {"order-number": "3", "order-reason": "honed"})
    assert table(shop)["change"][2]["piece"] == [{"mark": "C1", "finish": "honed"}]
