"""The change order: what, why, days, money."""

from decimal import Decimal

import pytest

from estimator.commands.jobs import estimate_file
from estimator.estimate import Estimate
from estimator.report.pack import make_papers
from estimator.report.papers.change_order import change_orders
from tests.report.conftest import read_pages
from tests.report.test_layout import check_page

JOB = """
[job]
name = "House"
status = "released"
number = "Q-14"
mix = "backer-45"
date = "2026-03-02"
[price]
received = [{ amount = 1000.0 }]
[[piece]]
mark = "K1"
use = "counter"
description = "Sink run"
shape = { kind = "slab", length = "60 in", width = "24 in", thickness = "1 in" }
[[piece]]
mark = "K2"
use = "counter"
quantity = 2
shape = { kind = "slab", length = "48 in", width = "12 in", thickness = "1 in" }
[[piece]]
mark = "K4"
use = "counter"
shape = { kind = "slab", length = "30 in", width = "12 in", thickness = "1 in" }
[[change]]
number = 1
reason = "Longer sink run"
note = "Agreed on the phone."
signed = "2026-03-21"
days = 3
piece = [{ mark = "K1", color = "warm gray", shape = { length = "66 in" } }, { mark = "K2", quantity = 1 }]
[[change.add]]
mark = "K3"
use = "counter"
shape = { kind = "slab", length = "48 in", width = "6 in", thickness = "3/4 in" }
[[change]]
number = 2
reason = "No beads"
swap = { backer-45 = "backer-0" }
"""


@pytest.fixture(scope="module")
def estimated(tmp_path_factory: pytest.TempPathFactory) -> Estimate:
    path = tmp_path_factory.mktemp("changes") / "job.toml"
    path.write_text(JOB)
    return estimate_file(path)


@pytest.fixture(scope="module")
def papers(estimated: Estimate) -> dict[str, str]:
    return {name: " ".join(page.text for page in read_pages(pdf)) for name, pdf in change_orders(estimated).items()}


def test_each_change_states_what_and_why(papers: dict[str, str]) -> None:
    first, second = papers.values()
    for part in (
        "Change order 1",
        "Part of the order since it was signed.",
        "Longer sink run Agreed on the phone.",
        'K1 Sink run Size 60" × 24" × 1", now 66" × 24" × 1" Now: Color: warm gray',
        "K2 Counter Quantity 2, now 1",
        'K3 Counter Added: 1 piece, 48" × 6" × 3/4"',
        "Other pieces and shared costs",
        "Signed March 21, 2026",
    ):
        assert part in first, part
    assert "K4" not in first
    assert "Not part of the order until the client signs." in second
    assert "Mix or layers changed" in second


def test_the_money_of_a_change_adds_up(estimated: Estimate, papers: dict[str, str]) -> None:
    for change, text in zip(estimated.versions.changes, papers.values(), strict=True):
        tax = change.total - change.price
        assert change.before.total + change.price + tax == change.after.total
        for amount in (change.before.total, abs(change.price), abs(tax), change.after.total):
            assert f"${amount:,.2f}" in text
        assert "Paid $1,000.00" in text
        assert f"Balance due ${change.after.total - Decimal('1000.00'):,.2f}" in text


def test_a_released_pack_has_the_order_confirmation_and_its_change_orders(estimated: Estimate) -> None:
    names = set(make_papers(estimated))
    assert {"order-confirmation.pdf", "change-orders/CO-1.pdf", "change-orders/CO-2.pdf"} <= names
    assert "quote.pdf" not in names


def test_no_text_of_a_change_order_overlaps_another(estimated: Estimate) -> None:
    for name, pdf in change_orders(estimated).items():
        for page in read_pages(pdf, pictures=True):
            check_page(name, page)
