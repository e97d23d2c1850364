"""Whole packs: exactly the cheapest, never short, and every kind of price of a pack."""

from decimal import ROUND_HALF_UP, Decimal
from itertools import product
from math import ceil

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from estimator.errors import FaultError
from estimator.job import Pack, PriceBreak
from estimator.packaging.order import ROUND_UP_TOLERANCE, cheapest_counts, order, ways_to_buy
from estimator.packaging.together import counts_alone
from estimator.packaging.ways import Need
from estimator.words import PLAIN

LB = 0.45359237


def pack(name="bag", mass_kg=25.0, price=10.0, **more):
    return Pack(name=name, mass_kg=mass_kg, volume_m3=None, quantity=None, unit_price=price, **more)


def counts(made):
    return {line.pack.name: line.count for line in made.lines}


# the plain reading of a price list, in decimals, to check the search


def list_price(offer, count):
    """Price of `count` packs off the list, currency units as Decimal."""
    if not count:
        return Decimal(0)
    best = None
    on_one = offer.per_pallet or 1
    for pallets in range(count // on_one + 1 if offer.pallet_price is not None else 1):
        loose = count - pallets * on_one
        price = _cent(loose_price(offer, loose))
        if pallets:
            price += _cent(pallets * Decimal(str(offer.pallet_price)))
        best = price if best is None else min(best, price)
    return best


def loose_price(offer, count):
    steps = [(1, offer.unit_price), *((step.from_count, step.unit_price) for step in offer.breaks)]
    if offer.breaks_rule == "all-units":
        each = [price for first, price in steps if first <= count]
        return count * Decimal(str(each[-1])) if count else Decimal(0)
    return sum(
        (Decimal(str([price for first, price in steps if first <= n][-1])) for n in range(1, count + 1)), Decimal(0)
    )


def _cent(amount):
    return amount.quantize(Decimal("0.01"), ROUND_HALF_UP)


def best_by_brute_force(need, packs, most):
    """(cost in cents, left over, packs) of the best order with at most `most` of each pack."""
    lists = [
        [(n, n * offer.mass_kg, int(list_price(offer, n) * 100)) for n in range(most + 1) if not 0 < n < offer.minimum]
        for offer in packs
    ]
    best = None
    for taken in product(*lists):
        left = sum(mass for _, mass, _ in taken) - need
        if left >= -1e-9 * need:
            key = (sum(price for _, _, price in taken), round(left, 6), sum(n for n, _, _ in taken))
            best = key if best is None else min(best, key)
    return best


# common practice: one sack of beads of about 50 ft³ for a job that needs 90 lb


def test_ninety_pounds_of_bead_buy_one_sack_and_leave_sixty():
    # common practice
    made = order(90 * LB, [pack("sack", 150 * LB, 210.0)])
    assert counts(made) == {"sack": 1}
    assert made.left_over_kg == pytest.approx(60 * LB)
    assert made.purchase_cost == 210.0


def test_a_need_a_rounding_error_above_whole_packs_buys_no_extra_pack():
    assert 0.1 * 3 / 0.1 > 3.0
    assert counts(order(0.1 * 3, [pack(mass_kg=0.1)])) == {"bag": 3}


def test_the_tolerance_of_rounding_up_holds_on_both_sides():
    inside, outside = 3 * (1 + 0.5 * ROUND_UP_TOLERANCE), 3 * (1 + 2 * ROUND_UP_TOLERANCE)
    assert counts(order(inside, [pack(mass_kg=1.0)])) == {"bag": 3}
    assert counts(order(outside, [pack(mass_kg=1.0)])) == {"bag": 4}


def test_the_tolerance_refers_to_the_need_and_not_to_the_part_left_to_buy():
    # 0.7 + 0.2 of 1.0 on hand leaves 0.09999999999999998, which one pack of 0.1 covers; so does stock of 0.9 itself
    assert counts(order(1.0, [pack(mass_kg=0.1)], on_hand_kg=0.7 + 0.2)) == {"bag": 1}
    assert order(0.3, [pack(mass_kg=0.1)], on_hand_kg=0.1 + 0.2).lines == ()
    assert order(0.1 + 0.2, [pack(mass_kg=0.1)], on_hand_kg=0.3).lines == ()


def test_nothing_needed_buys_nothing():
    made = order(40.0, [pack(minimum=5)], on_hand_kg=55.0, reserve_kg=15.0)
    assert (made.lines, made.bought_kg, made.purchase_cost) == ((), 0.0, 0.0)
    assert made.left_over_kg == 15.0
    assert made.ties_settled


@pytest.mark.parametrize(
    ("amounts", "key"),
    [((-1.0, 0.0, 0.0), "need"), ((1.0, -1.0, 0.0), "on_hand"), ((1.0, 0.0, float("nan")), "reserve")],
)
def test_an_amount_that_nobody_can_have_is_refused_by_its_name(amounts, key):
    need_kg, on_hand_kg, reserve_kg = amounts
    with pytest.raises(FaultError, match="packaging-amount-negative") as refused:
        order(need_kg, [pack()], on_hand_kg, reserve_kg)
    assert refused.value.key == key


def test_the_reserve_is_bought_and_stays_in_stock():
    made = order(40.0, [pack()], on_hand_kg=20.0, reserve_kg=10.0)
    assert counts(made) == {"bag": 2}
    assert made.left_over_kg == 30.0


def test_more_is_bought_to_reach_a_break():
    bag = pack(price=9.50, breaks=(PriceBreak(10, 8.50),))
    made = order(9 * 25.0, [bag])  # 9 at 9.50 are 85.50, 10 at 8.50 are 85.00
    assert counts(made) == {"bag": 10}
    assert (made.lines[0].unit_price, made.purchase_cost, made.left_over_kg) == (8.50, 85.00, 25.0)


def test_an_incremental_break_lowers_only_the_price_of_the_packs_after_it():
    bag = pack(price=9.50, breaks=(PriceBreak(10, 8.50),), breaks_rule="incremental")
    made = order(12 * 25.0, [bag])
    assert made.purchase_cost == 9 * 9.50 + 3 * 8.50
    assert [(step.count, step.of, step.each) for step in made.lines[0].steps] == [(9, "pack", 9.5), (3, "pack", 8.5)]


def test_a_full_pallet_has_its_own_price_and_loose_packs_have_theirs():
    bag = pack(price=10.0, per_pallet=40, pallet_price=340.0)
    line = order(43 * 25.0, [bag]).lines[0]
    assert (line.count, line.full_pallets, line.price) == (43, 1, 370.0)
    assert [(step.count, step.of, step.each) for step in line.steps] == [(1, "full pallet", 340.0), (3, "pack", 10.0)]
    assert order(35 * 25.0, [bag]).purchase_cost == 340.0, "35 singly cost more than the full pallet"


def test_packs_on_a_pallet_count_toward_the_smallest_order():
    bag = pack(price=10.0, per_pallet=40, pallet_price=340.0, minimum=10)
    assert counts(order(41 * 25.0, [bag])) == {"bag": 41}
    assert counts(order(25.0, [bag])) == {"bag": 10}
    big = pack(price=10.0, per_pallet=4, pallet_price=36.0, minimum=10)
    made = order(9 * 25.0, [big]).lines[0]
    assert (made.count, made.full_pallets, made.price) == (10, 2, 92.0)


def test_sizes_are_mixed_where_that_is_cheapest():
    offer = [pack("sack", 25.0, 10.0), pack("bag", 5.0, 3.0), pack("big bag", 1000.0, 300.0)]
    assert counts(order(1030.0, offer)) == {"big bag": 1, "sack": 1, "bag": 1}


def test_of_equally_cheap_orders_the_one_with_less_left_over_then_with_fewer_packs_is_taken():
    assert counts(order(40.0, [pack("a", 25.0, 10.0), pack("b", 20.0, 10.0)])) == {"b": 2}
    assert counts(order(40.0, [pack("a", 10.0, 10.0), pack("b", 20.0, 20.0), pack("c", 40.0, 40.0)])) == {"c": 1}


def test_money_is_decimal():
    # in binary floats 3 · 0.35 is 1.0499999999999998, and 0.1 + 0.2 is not 0.3
    assert order(75.0, [pack(price=0.35)]).purchase_cost == 1.05
    assert order(25.0, [pack(price=1.005)]).purchase_cost == 1.01, "half a cent goes up"
    assert order(50.0, [pack("a", 40.0, 0.1), pack("b", 10.0, 0.2, minimum=1)]).purchase_cost == 0.2


def test_an_order_without_prices_leaves_the_least_and_has_no_total():
    made = order(60.0, [pack("sack", 50.0, None), pack("bag", 20.0, None)])
    assert counts(made) == {"bag": 3}
    assert made.purchase_cost is None
    assert made.unpriced == ("sack", "bag")
    assert made.lines[0].price is None


def test_a_pack_without_price_is_not_compared_with_priced_ones_and_is_named():
    made = order(60.0, [pack("sack", 50.0, 30.0), pack("bag", 20.0, None)])
    assert counts(made) == {"sack": 2}
    assert made.purchase_cost == 60.0
    assert made.unpriced == ("bag",)


def test_without_packs_the_order_is_by_mass_and_has_no_total():
    made = order(60.0, [], on_hand_kg=10.0)
    assert (made.lines, made.bought_kg, made.left_over_kg, made.purchase_cost) == ((), 50.0, 0.0, None)


def test_a_hundred_tonnes_in_nearly_equal_sizes_reach_the_true_optimum():
    # 42.638 and 42.637 kg at one price: either way takes the same number of packs, and the lighter leaves less over
    made = order(100_000.0, [pack("a", 42.638, 12.0), pack("b", 42.637, 12.0)])
    fewest = ceil(100_000.0 / 42.638)
    assert made.purchase_cost == fewest * 12.0
    assert made.ties_settled
    most_light = max(n for n in range(fewest + 1) if 42.637 * n + 42.638 * (fewest - n) >= 100_000.0)
    assert counts(made).get("b", 0) == most_light


def test_an_order_that_enumeration_cannot_prove_goes_to_the_solver():
    offer = [pack("a", 20.17, 5.03), pack("b", 25.3, 6.27), pack("c", 30.1, 7.51), pack("d", 40.37, 9.99)]
    ways = [ways_to_buy(index, one, one.mass_kg) for index, one in enumerate(offer)]
    assert not cheapest_counts(9_999.0, 1e-5, ways, trials=3).cheapest
    whole = cheapest_counts(9_999.0, 1e-5, ways)
    solved = counts_alone(Need("", 9_999.0, 1e-5, tuple(offer), tuple(one.mass_kg for one in offer)))
    assert whole.cheapest
    assert sum(n * offer[c // 2].unit_price for c, n in solved.items()) == pytest.approx(whole.cost / 1e6)


prices = st.integers(1, 2000).map(lambda cents: cents / 100)


@st.composite
def offers(draw, name, dearer=False):
    price = draw(prices)
    steps, count, now = [], 1, price
    for _ in range(draw(st.integers(0, 2))):
        count += draw(st.integers(1, 3))
        now = round(now * draw(st.sampled_from([1.0, 0.95, 0.8, 0.5, *([1.3] if dearer else [])])), 2)
        steps.append(PriceBreak(count, now))
    per_pallet = draw(st.sampled_from([None, 2, 3]))
    share = draw(st.sampled_from([None, 1.0, 0.9, 0.6]))
    return pack(
        name,
        draw(st.sampled_from([1.0, 2.0, 2.5, 3.0, 4.001, 94 * LB / 10])),
        price,
        breaks=tuple(steps),
        breaks_rule=draw(st.sampled_from(["all-units", "incremental"])),
        minimum=draw(st.sampled_from([0, 1, 2, 4])),
        per_pallet=per_pallet,
        pallet_price=None if None in (per_pallet, share) else int(per_pallet * price * share * 100) / 100,
        dearer_breaks=dearer,
    )


@settings(max_examples=100, deadline=None)
@given(st.data(), st.floats(0.1, 12.0), st.booleans())
def test_no_order_is_short_or_costs_more_than_the_best_by_brute_force(data, need, dearer):
    packs = [data.draw(offers(name, dearer)) for name in "abc"[: data.draw(st.integers(1, 3))]]
    made = order(need, packs)
    price, left, number = best_by_brute_force(need, packs, 13)
    assert Decimal(str(made.purchase_cost)) * 100 == price
    assert made.left_over_kg == pytest.approx(left, abs=2e-6)
    assert sum(line.count for line in made.lines) == number
    assert made.bought_kg >= need * (1 - ROUND_UP_TOLERANCE)
    for line in made.lines:
        assert line.count >= line.pack.minimum
        assert Decimal(str(line.price)) == list_price(line.pack, line.count)


def test_scarce_packs_are_not_bought_beyond_their_cheap_number():
    # first principles: 5 scarce ones cost 45, 7 of the others 49; 3 scarce ones and 3 others are 15 + 21
    scarce = pack("scarce", 10.0, 5.0, breaks=(PriceBreak(4, 9.0),), dearer_breaks=True)
    made = order(47.0, [scarce, pack("other", 7.0, 7.0)])
    assert (counts(made), made.purchase_cost) == ({"scarce": 3, "other": 3}, 36.0)


def test_two_packs_that_get_more_expensive_with_count_are_both_bought():
    twins = [
        pack(name, 1.0, 0.02, minimum=2, breaks=(PriceBreak(2, 0.03),), breaks_rule="incremental", dearer_breaks=True)
        for name in "ab"
    ]
    made = order(3.5, twins)  # two of each: 2 × (0.02 + 0.03); four of one: 0.02 + 3 × 0.03
    assert (made.purchase_cost, counts(made)) == (0.10, {"a": 2, "b": 2})


@settings(max_examples=20, deadline=None)
@given(st.data(), st.floats(5.0, 200.0))
def test_the_solver_and_the_enumeration_agree_on_the_cost(data, need):
    packs = [data.draw(offers(name)) for name in "abcd"]
    ways = [ways_to_buy(index, one, one.mass_kg) for index, one in enumerate(packs)]
    found = cheapest_counts(need, 1e-9 * need, ways)
    solved = counts_alone(Need("", need, 1e-9 * need, tuple(packs), tuple(one.mass_kg for one in packs)))
    assume(found.cheapest)  # hundreds of equal packs use up the trials
    cost = sum(
        list_price(one, solved.get(2 * i, 0) + solved.get(2 * i + 1, 0) * (one.per_pallet or 0))
        for i, one in enumerate(packs)
    )
    assert found.cost == int(cost * 1_000_000)


# bad input, each refused by name


@pytest.mark.parametrize(
    ("faulty", "said"),
    [
        (Pack("sack", None, None, None, 9.0), "neither mass nor volume"),
        (pack(mass_kg=0.0), "holds nothing"),
        (pack(price=-1.0), "negative"),
        (pack(price=float("nan")), "negative or not a number"),
        (pack(minimum=-1), "smallest order"),
        (pack(per_pallet=0), "make no pallet"),
        (pack(breaks=(PriceBreak(10, 11.0),)), "from 10 packs on each costs 11, more than the 10 before"),
        (pack(breaks=(PriceBreak(10, 9.0), PriceBreak(10, 8.0))), "does not come after 10"),
        (pack(price=None, breaks=(PriceBreak(10, 9.0),)), "a price for many but none for one"),
        (pack(pallet_price=300.0), "not how many make one"),
        (pack(per_pallet=10, pallet_price=101.0), "more than its 10 packs bought singly"),
        (Pack("roll", None, None, 30.0, 9.0), "has no mass"),
    ],
)
def test_a_pack_that_contradicts_itself_is_refused_by_name(faulty, said):
    with pytest.raises(FaultError) as error:
        order(100.0, [faulty])
    assert said in PLAIN.text(error.value.message)
    assert PLAIN.text(error.value.message, "fix")
    assert error.value.key.startswith(f"packs.{faulty.name}")


def test_a_break_with_a_higher_price_is_taken_as_listed():
    bag = pack(price=10.0, breaks=(PriceBreak(3, 12.0),), dearer_breaks=True)
    assert order(75.0, [bag]).purchase_cost == 36.0
    assert counts(order(75.0, [bag, pack("b", 25.0, 11.0)])) == {"bag": 2, "b": 1}


@pytest.mark.parametrize("amounts", [(-1.0, 0.0, 0.0), (1.0, float("nan"), 0.0), (1.0, 0.0, -2.0)])
def test_an_impossible_amount_is_refused(amounts):
    with pytest.raises(FaultError, match="packaging-amount-negative"):
        order(amounts[0], [pack()], on_hand_kg=amounts[1], reserve_kg=amounts[2])
