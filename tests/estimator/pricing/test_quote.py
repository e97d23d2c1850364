"""From direct cost to price, worked by hand in decimals, and properties of every price."""

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimator.job import Agreed, AgreedChange, PaymentStep, PriceTerms, Received
from estimator.money import ZERO
from estimator.pricing.quote import Allowance, DirectCost, allocate, lines_of, payments_of, price_job
from estimator.words import Words
from tests.refusal import refusal

D = Decimal
THIRDS = (
    PaymentStep("deposit", 0.50, "with the order"),
    PaymentStep("second", 0.40, "before delivery"),
    PaymentStep("last", 0.10, "when done"),
)


def direct(**amounts: str) -> DirectCost:
    names = ("materials", "consumables", "labour", "forms", "freight", "delivery", "gear")
    return DirectCost(**{name: D(amounts.get(name, "0.00")) for name in names})


def terms(**changed: object) -> PriceTerms:
    given: dict[str, object] = {"overhead": 0.30, "margin": 0.25, "markup": None, "tax": 0.06, "payments": THIRDS}
    return PriceTerms(**(given | changed))  # type: ignore[arg-type]


def test_a_whole_price_worked_by_hand_line_by_line() -> None:
    # first principles, with a pocket calculator:
    # spent 412.37 + 58.90 + 1,386.00 + 96.25 + 115.00 + 180.00 + 220.00 = 2,468.52
    # sizes 2 % of 1,500.00 = 30.00; remake 3 % of 2,468.52 = 74.0556 -> 74.06; direct 2,572.58
    # overhead 30 % = 771.774 -> 771.77; cost 3,344.35; / 0.75 = 4,459.1333 -> 4,459.13; margin 1,114.78
    # option 120.00 -> 4,579.13; to the next 5.00 up 4,580.00, rounding 0.87; tax 6 % = 274.80; total 4,854.80
    # deposit 50 % = 2,427.40; 40 % = 1,941.92; the rest 485.48
    costs = DirectCost(
        materials=D("412.37"),
        consumables=D("58.90"),
        labour=D("1386.00"),
        forms=D("96.25"),
        gear=D("220.00"),
        freight=D("115.00"),
        delivery=D("180.00"),
        size_allowance=(Allowance("sizes", 0.02, D("1500.00"), ("C1",)),),
        remake=(Allowance("remake, large", 0.03, D("2468.52"), ("C1", "C2")),),
    )
    told = terms(round_to=5.0, rounding="up", minimum=650.0)
    cost = price_job(costs, told, options=D("120.00"))
    assert (cost.direct.labour, cost.direct.allowances) == (D("1386.00"), D("104.06"))
    assert cost.direct.total == D("2572.58")
    assert cost.overhead == D("771.77")
    assert cost.margin == D("1114.78")
    assert cost.calculated == D("4459.13")
    assert (cost.options, cost.minimum_charge, cost.rounding) == (D("120.00"), ZERO, D("0.87"))
    assert cost.price == D("4580.00")
    assert (cost.tax, cost.total) == (D("274.80"), D("4854.80"))
    assert [each.amount for each in cost.payments] == [D("2427.40"), D("1941.92"), D("485.48")]
    assert sum(line.amount for line in lines_of(cost, told)) == cost.total


def test_a_margin_on_price_is_a_larger_markup_on_cost() -> None:
    # published arithmetic: a margin of 30 % of the price is a markup of 42.857 % on cost; 25 % is 33.333, 50 % is 100
    for margin, markup in ((0.30, 0.42857), (0.25, 1 / 3), (0.50, 1.0)):
        by_margin = price_job(direct(labour="1000.00"), terms(margin=margin, overhead=0.0))
        by_markup = price_job(direct(labour="1000.00"), terms(margin=None, markup=markup, overhead=0.0))
        assert by_margin.price == by_markup.price
    assert price_job(direct(labour="700.00"), terms(margin=0.30, overhead=0.0)).margin == D("300.00")


def test_a_small_job_is_raised_to_the_minimum_by_a_line_of_its_own() -> None:
    cost = price_job(direct(labour="100.00"), terms(minimum=650.0))
    assert (cost.calculated, cost.minimum_charge, cost.price) == (D("173.33"), D("476.67"), D("650.00"))
    assert cost.total == D("689.00")


@pytest.mark.parametrize(("adjustment", "price"), [(-50.0, "600.00"), (0.555, "650.56")])
def test_an_adjustment_moves_the_price_by_its_amount_after_minimum_and_rounding(adjustment: float, price: str) -> None:
    told = terms(minimum=650.0, round_to=5.0, adjustment=adjustment)
    cost = price_job(direct(labour="100.00"), told)
    assert (cost.price, cost.minimum_charge) == (D(price), D("476.67"))
    assert sum(line.amount for line in lines_of(cost, told)) == cost.total


def test_an_adjustment_cannot_take_off_more_than_the_price() -> None:
    assert price_job(direct(labour="100.00"), terms(adjustment=-173.33)).price == ZERO
    with refusal(r"An adjustment of -200\.00 takes more off than the calculated price of 173\.33"):
        price_job(direct(labour="100.00"), terms(adjustment=-200.0))


@pytest.mark.parametrize(
    ("step", "rule", "price"),
    [(1.0, "nearest", "173.00"), (1.0, "up", "174.00"), (0.01, "up", "173.33"), (0.0, "nearest", "173.33")],
)
def test_the_rounding_rule_rounds_as_it_says(step: float, rule: str, price: str) -> None:
    assert price_job(direct(labour="100.00"), terms(round_to=step, rounding=rule)).price == D(price)


def test_a_round_price_is_not_rounded_up_again() -> None:
    assert price_job(direct(labour="300.00"), terms(overhead=0.0, round_to=5.0, rounding="up")).price == D("400.00")


def test_a_margin_of_the_whole_price_is_refused() -> None:
    with pytest.raises(ValueError, match=r"price-margin \(margin_share = 1\.0"):
        price_job(direct(labour="1.00"), terms(margin=1.0))


amounts = st.decimals(min_value=0, max_value=50_000, places=2)
weights = st.dictionaries(st.text("ABC123", min_size=1, max_size=3), st.floats(0.0, 1e6), min_size=1, max_size=12)


@settings(max_examples=60, deadline=None)
@given(
    amounts, amounts, st.floats(0.0, 1.5), st.floats(0.0, 0.9), st.floats(0.0, 0.3), st.sampled_from((0.0, 1.0, 5.0))
)
def test_lines_add_up_and_the_price_is_what_the_terms_say(
    labour: Decimal, materials: Decimal, overhead: float, margin: float, tax: float, step: float
) -> None:
    told = terms(overhead=overhead, margin=margin, tax=tax, round_to=step)
    cost = price_job(direct(labour=str(labour), materials=str(materials)), told)
    spent = cost.direct.total + cost.overhead
    assert sum(line.amount for line in lines_of(cost, told)) == cost.total
    assert sum(each.amount for each in cost.payments) == cost.total
    assert spent + cost.margin == cost.calculated
    assert abs(cost.calculated - spent / (1 - D(repr(margin)))) <= D("0.005")
    assert abs(cost.rounding) <= D(str(step)) / 2
    assert abs(cost.tax - cost.price * D(repr(tax))) <= D("0.005")


@settings(max_examples=60, deadline=None)
@given(amounts, amounts, amounts)
def test_the_price_never_falls_when_a_cost_rises(labour: Decimal, materials: Decimal, more: Decimal) -> None:
    before = price_job(direct(labour=str(labour), materials=str(materials)), terms(round_to=1.0))
    after = price_job(direct(labour=str(labour + more), materials=str(materials)), terms(round_to=1.0))
    assert after.total >= before.total


@settings(max_examples=100, deadline=None)
@given(st.decimals(min_value=-5_000, max_value=50_000, places=2), weights)
def test_shares_add_up_to_the_cent_and_stay_within_a_cent_of_even(amount: Decimal, parts: dict[str, float]) -> None:
    shares = allocate(amount, parts)
    assert sum(shares.values()) == amount
    whole = sum(parts.values())
    if whole > 0:
        assert all(abs(float(shares[mark]) - float(amount) * (part / whole)) < 0.0101 for mark, part in parts.items())
    assert allocate(amount, dict(reversed(parts.items()))) == shares


@settings(max_examples=40, deadline=None)
@given(amounts, st.lists(st.integers(1, 30), min_size=1, max_size=6))
def test_payment_steps_add_up_whatever_their_shares(amount: Decimal, parts: list[int]) -> None:
    whole = sum(parts)
    steps = [PaymentStep(f"step {i}", part / whole, "") for i, part in enumerate(parts)]
    paid = payments_of(amount, steps)
    assert sum(each.amount for each in paid) == amount
    assert all(abs(each.amount - amount * D(repr(each.share))) <= D("0.01") * len(parts) for each in paid)


def test_options_count_toward_the_minimum_charge() -> None:
    # 100 / 0.75 · 1.3 = 173.33, with an option of 500.00 it is 673.33, above the minimum charge of 650.00
    cost = price_job(direct(labour="100.00"), terms(minimum=650.0), options=D("500.00"))
    assert (cost.minimum_charge, cost.price) == (ZERO, D("673.33"))


@pytest.mark.parametrize(("spent", "price"), [("172.50", "175.00"), ("167.50", "170.00"), ("172.49", "170.00")])
def test_half_a_step_rounds_up(spent: str, price: str) -> None:
    # 172.50 is 34.5 steps of 5.00: half-even would give 170.00
    assert price_job(direct(labour=spent), terms(overhead=0.0, margin=0.0, round_to=5.0)).price == D(price)


def test_a_paid_deposit_is_not_asked_for_again_after_a_change() -> None:
    # 10,000.00 became 11,000.00 after 5,000.00 were paid: 6,000.00 are left, four fifths of them before delivery
    steps = payments_of(D("11000.00"), THIRDS, [Received(5000.0, "2026-03-02", "deposit")])
    assert [(each.step, each.amount, each.received) for each in steps] == [
        ("deposit", D("5000.00"), D("5000.00")),
        ("second", D("4800.00"), None),
        ("last", D("1200.00"), None),
    ]
    cost = price_job(direct(labour="100.00"), terms(received=(Received(50.0, None, None),)))
    assert (cost.total, cost.received, cost.balance_due) == (D("183.73"), D("50.00"), D("133.73"))


def test_an_overpayment_is_a_refund() -> None:
    paid = [Received(amount, None, None) for amount in (500.0, 400.0, 200.0)]
    steps = payments_of(D("1000.00"), THIRDS, paid)
    assert (steps[-1].step, steps[-1].share, steps[-1].amount) == ("refund", 0.0, D("-100.00"))
    assert sum(each.share for each in steps) == pytest.approx(1.0)
    assert sum(each.amount for each in steps) == D("1000.00")


@pytest.mark.parametrize(
    ("share", "text"), [(0.0725, "7.25 %"), (0.06, "6 %"), (0.08875, "8.875 %"), (0.1, "10 %"), (1 / 3, "33.3 %")]
)
def test_a_tax_rate_prints_as_written(share: float, text: str) -> None:
    taxed = terms(tax=share)
    said = [Words("metric", "EUR", "en-GB").text(line.text) for line in lines_of(price_job(direct(), taxed), taxed)]
    assert f"VAT, {text}".replace(" %", "\N{NO-BREAK SPACE}%") in said


def _allocated_one_by_one(amount: Decimal, weights: dict[str, float]) -> dict[str, Decimal]:
    """The largest remainder method in plain Python, which `allocate` does in columns."""
    whole = sum(sorted(weights.values()))
    count = int(amount / Decimal("0.01"))
    wanted = {mark: count * (weight / whole) for mark, weight in weights.items()}
    shares = {mark: int(part) for mark, part in wanted.items()}
    left = count - sum(shares.values())
    step = 1 if left > 0 else -1
    order = sorted(weights, key=lambda mark: (-step * (wanted[mark] - shares[mark]), mark))
    for mark in order[: abs(left)]:
        shares[mark] += step
    return {mark: part * Decimal("0.01") for mark, part in shares.items()}


@given(
    st.integers(-(10**8), 10**9).map(lambda cents: cents * Decimal("0.01")),
    st.dictionaries(
        st.text("AÅZ19-é", min_size=1, max_size=4), st.sampled_from([1.0, 2.0, 0.1, 1 / 3, 7.25]), min_size=1
    ),
)
def test_shares_in_columns_equal_shares_one_by_one(amount: Decimal, weights: dict[str, float]) -> None:
    assert allocate(amount, weights) == _allocated_one_by_one(amount, weights)


def test_tax_by_kind_is_the_sum_of_rounded_lines() -> None:
    # first principles: 800 of 1000 direct are pieces, 150 installation, 50 delivery; price 1000 / 0.75 = 1333.33
    rates = {"installation": 0.0, "delivery": 0.055}
    kinds = {"pieces": D("800.00"), "installation": D("150.00"), "delivery": D("50.00"), "template": D("0.00")}
    cost = price_job(direct(labour="1000.00"), terms(overhead=0.0, margin=0.25, tax=0.06, tax_rates=rates), kinds=kinds)
    assert cost.price == D("1333.33")
    assert [(line.kind, line.base, line.amount) for line in cost.tax_lines] == [
        ("pieces", D("1066.66"), D("64.00")),
        ("delivery", D("66.67"), D("3.67")),
        ("installation", D("200.00"), D("0.00")),
    ]
    assert [line.cost for line in cost.tax_lines] == [D("800.00"), D("50.00"), D("150.00")]
    assert (cost.tax, cost.total) == (D("67.67"), D("1401.00"))


def test_options_taken_are_taxed_at_their_own_rate() -> None:
    own = terms(overhead=0.0, margin=0.0, tax=0.10, tax_rates={"options": 0.0})
    cost = price_job(direct(labour="100.00"), own, options=D("40.00"))
    assert [(line.kind, line.base, line.amount) for line in cost.tax_lines] == [
        ("pieces", D("100.00"), D("10.00")),
        ("options", D("40.00"), D("0.00")),
    ]


def test_a_price_shows_its_usual_lines_even_at_zero_and_names_each_allowance() -> None:
    cost = price_job(direct(materials="100.00"), terms(tax=0.0))
    shown = [line.kind for line in lines_of(cost, terms(tax=0.0))]
    assert shown == ["materials", "consumables", "labour", "forms", "overhead", "margin", "tax"]
    nothing = DirectCost(
        **dict.fromkeys(("materials", "consumables", "labour", "forms", "freight", "delivery", "gear"), ZERO),
        remake=(Allowance("remake, large", 0.03, D("100.00"), ("C1",)),),
    )
    allowed = [line for line in lines_of(price_job(nothing, terms()), terms()) if line.kind == "allowances"]
    assert [(str(line.text) != "None", line.amount) for line in allowed] == [(True, D("3.00"))]
    assert [line.text for line in allowed] == [line.text for line in price_job(nothing, terms()).direct.allowance_lines]
    assert all(line.text is not None for line in allowed)


def test_every_line_of_a_price_has_a_text_in_its_currency() -> None:
    costs = direct(
        **dict.fromkeys(("materials", "consumables", "labour", "forms", "freight", "delivery", "gear"), "10")
    )
    told = terms(minimum=650.0, round_to=7.0, adjustment=-5.0)
    lines = lines_of(price_job(costs, told, options=D("40.00")), told)
    shown = Words("metric", "EUR", "en-US")
    assert "Options taken" in [shown.text(line.text) for line in lines]


def test_the_margin_of_a_job_that_costs_nothing_is_shown_as_zero() -> None:
    told = terms(margin=0.0, tax=0.0)
    assert ("margin", ZERO) in [(line.kind, line.amount) for line in lines_of(price_job(direct(), told), told)]


def test_the_accepted_price_and_tax_hold_whatever_the_cost() -> None:
    for cost in ("400", "500", "900"):
        told = terms(minimum=650.0, agreed=Agreed(price=700.0, tax=49.99))
        priced = price_job(direct(materials=cost), told)
        assert (priced.price, priced.tax, priced.total) == (D("700.00"), D("49.99"), D("749.99"))
        assert [(line.kind, line.base) for line in priced.tax_lines] == [("agreed", D("700.00"))]
        assert priced.calculated + priced.minimum_charge + priced.rounding + priced.held == priced.price
        assert sum(line.amount for line in lines_of(priced, told)) == priced.total


def test_a_change_adds_to_the_accepted_amounts_of_its_marks_alone() -> None:
    agreed = Agreed(price=700.0, tax=42.0, pieces={"C1": 300.0, "C2": 400.0})
    after = agreed.plus(AgreedChange(price=-50.0, tax=-3.0, pieces={"C2": -150.0, "C3": 100.0}))
    assert after == Agreed(price=650.0, tax=39.0, pieces={"C1": 300.0, "C2": 250.0, "C3": 100.0})
