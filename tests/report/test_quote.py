"""The quote: the pieces, the scope of the price, and one page with total and signature."""

from collections.abc import Callable
from pathlib import Path

import pytest

from estimator.commands.jobs import estimate_file
from estimator.estimate import Estimate
from estimator.report.papers.quote import quote, scope_of
from estimator.words import words_for
from geometry.files import packaged
from tests.report.conftest import read_pages

SLAB = 'shape = { kind = "slab", length = "60 in", width = "24 in", thickness = "1 in"'
COUNTER = f"""
[[piece]]
mark = "K1"
use = "counter"
quantity = 3
description = "Island with a sink"
finish = "honed"
color = "warm gray"
note = "Template after the cabinets are set"
{SLAB}, cutouts = [
  {{ kind = "rectangle", length = "30 in", width = "16 in", x = "10 in", y = "4 in" }},
], drop_edges = [
  {{ sides = ["front"], height = "3 in", thickness = "1 in" }},
] }}
"""
PANEL = f'[[piece]]\nmark = "F1"\nuse = "panel"\n{SLAB} }}\n'
HEAD = '[job]\nname = "House"\nmix = "backer-45"\ndate = "2026-03-02"\nnumber = "Q-14"\n'
CLIENT = '[client]\nname = "A. Miller"\nsite = ["Mill lane 4"]\ncontact = ["555 0144"]\n'
ALTERNATE = '[[alternative]]\nname = "sand only"\nswap = { backer-45 = "backer-0" }\n'
Make = Callable[..., Estimate]


@pytest.fixture
def estimate_job(tmp_path: Path) -> Make:
    def make(*parts: str, status: str = "quoted") -> Estimate:
        path = tmp_path / "job.toml"
        path.write_text(HEAD + f'status = "{status}"\n' + "".join(parts))
        return estimate_file(path)

    return make


def quote_text(estimate: Estimate) -> str:
    return " ".join(page.text for page in read_pages(quote(estimate)))


def test_a_piece_is_described_as_the_client_buys_it(estimate_job: Make) -> None:
    text = quote_text(estimate_job(COUNTER, CLIENT))
    for part in (
        "Quote no. Q-14",
        "Valid until April 1, 2026",
        "A. Miller",
        "Mill lane 4",
        "555 0144",
        "K1 Island with a sink",
        "Finish: honed · Color: warm gray",
        '1 cutout 30" × 16", edge finished',
        'Drop edge 3" high: front',
        "Template after the cabinets are set",
    ):
        assert part in text, part


@pytest.mark.parametrize(
    ("show", "unit", "amounts"), [("pieces", "Unit price", 1), ("area", "Price per ft²", 1), ("lump", "", 0)]
)
def test_prices_are_shown_as_the_terms_ask(estimate_job: Make, show: str, unit: str, amounts: int) -> None:
    estimate = estimate_job(COUNTER, PANEL, f'[price]\nshow = "{show}"\n')
    text = quote_text(estimate)
    assert unit in text
    for piece in estimate.pieces:
        assert (f"{piece.price:,.2f}" in text) == bool(amounts)
    assert f"${estimate.cost.total:,.2f}" in text


def test_total_and_signature_are_on_one_page(estimate_job: Make) -> None:
    for count in (1, 8, 9, 14):
        pieces = [PANEL.replace('"F1"', f'"F{number}"') for number in range(count)]
        estimate = estimate_job(*pieces, ALTERNATE)
        (page,) = [page for page in read_pages(quote(estimate)) if "Signature" in page.text]
        assert f"Total due ${estimate.cost.total:,.2f}" in page.text
        assert f"I accept quote Q-14 and its terms for ${estimate.cost.total:,.2f}, tax included." in page.text


def test_a_facade_has_no_terms_for_counters(estimate_job: Make) -> None:
    assert "trivets" in quote_text(estimate_job(COUNTER))
    assert "trivets" not in quote_text(estimate_job(PANEL))
    assert "backup wall" in quote_text(estimate_job(PANEL))


def test_scope_follows_the_hours_and_trips_of_the_job(estimate_job: Make) -> None:
    estimate = estimate_job(COUNTER, PANEL + "install = false\n", '[scope]\nexcluded = ["Removal of counters"]\n')
    included, excluded = scope_of(estimate, words_for(estimate.job))
    assert {"Sealing", "Template on site", "Delivery, 1 trip", "Installation of K1"} <= set(included)
    assert {"Installation of F1", "Plumbing, sink and faucet connections", "Removal of counters"} <= set(excluded)
    free = estimate_job(PANEL, '[workshop.freight]\ndelivery = 0.0\n[workshop.labour]\nseal = "0 h/ft^2"\n')
    included, excluded = scope_of(free, words_for(free.job))
    assert {"Delivery", "Sealing", "Field measuring"} <= set(excluded)


def test_a_long_job_counts_what_is_installed(estimate_job: Make) -> None:
    panels = [PANEL.replace('"F1"', f'"F{number}"') for number in range(13)]
    estimate = estimate_job(COUNTER + "install = false\n", *panels)
    included, excluded = scope_of(estimate, words_for(estimate.job))
    assert "Installation of 13 pieces" in included
    assert "Installation of K1" in excluded


def test_a_released_job_is_confirmed_without_alternates(estimate_job: Make) -> None:
    assert "Alternates" in quote_text(estimate_job(COUNTER, ALTERNATE))
    text = quote_text(estimate_job(COUNTER, ALTERNATE, status="released"))
    assert "Order confirmation" in text
    assert "Ready to ship" in text
    for gone in ("Alternates", "Sand only", "I accept", "Valid until"):
        assert gone not in text


def test_a_budget_price_is_a_range_and_not_accepted(estimate_job: Make) -> None:
    text = quote_text(estimate_job(COUNTER, status="ballpark"))
    assert "Budget price, not a firm quote." in text
    assert "Budget range before tax" in text
    assert "Signature" not in text


def test_tax_by_kind_has_a_line_per_kind(estimate_job: Make) -> None:
    estimate = estimate_job(COUNTER, "[price.tax_rates]\ninstallation = 0.0\ntemplate = 0.0\n")
    text = quote_text(estimate)
    assert "Tax on installation, 0% $0.00" in text
    assert estimate.cost.tax == sum(line.amount for line in estimate.cost.tax_lines)
    assert sum(line.base for line in estimate.cost.tax_lines) == estimate.cost.price


def test_the_font_of_the_shop_is_set_and_reset(estimate_job: Make, tmp_path: Path) -> None:
    plain = quote(estimate_job(COUNTER))
    (tmp_path / "own.ttf").write_bytes(packaged("estimator.report.papers", "fonts/DejaVuSansCondensed-Bold.ttf"))
    own = quote(estimate_job(COUNTER, '[business]\nfont = "own.ttf"\n'))
    assert own != plain
    assert quote(estimate_job(COUNTER)) == plain


def test_an_accent_color_is_drawn(estimate_job: Make) -> None:
    assert quote(estimate_job(COUNTER, '[business]\ncolor = "#B00020"\n')) != quote(estimate_job(COUNTER))
