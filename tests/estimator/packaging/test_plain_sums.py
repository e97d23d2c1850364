"""Lines, tiers, charges, freight and consumables of random small orders, against plain sums in decimals."""

from datetime import date, timedelta
from decimal import ROUND_HALF_UP, Decimal
from math import ceil
from types import SimpleNamespace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimator.job import Material, Pack, PriceBreak
from estimator.packaging.consumables import EXTENTS, Extent, order_amount, use_up
from estimator.packaging.freight import Charge, PalletLoad, freight, freight_total
from estimator.packaging.materials import (
    JobCharge,
    MaterialOrder,
    job_charge,
    list_price,
    material_needs,
    price_per_kg,
    required_kg,
    shelf,
)
from estimator.packaging.order import buy, order, total_of
from estimator.packaging.price import Tier, line_of, tiers
from estimator.packaging.stage import (
    SamplePlan,
    _load_warnings,
    _over,
    _sample_extent,
    _sample_warnings,
    _shelf_of_used,
    _used_warnings,
)
from estimator.packaging.together import Haul, buy_together
from estimator.packaging.ways import Need
from estimator.supplies import Rate, Supplier, Taken, Tariff
from estimator.words import PLAIN

CENT = Decimal("0.01")


def cents(amount):
    return Decimal(amount).quantize(CENT, ROUND_HALF_UP)


def money(amount):
    """An amount as it is written in a price list."""
    return Decimal(repr(amount))


@st.composite
def packs(draw):
    price = draw(st.integers(1, 40_000)) / 1000  # price lists know tenths of a cent
    steps = draw(st.lists(st.integers(2, 12), max_size=3, unique=True).map(sorted))
    breaks = tuple(PriceBreak(first, round(price * 0.85**at, 3)) for at, first in enumerate(steps, start=1))
    per_pallet = draw(st.sampled_from([None, 3, 8]))
    by_pallet = per_pallet is not None and draw(st.booleans())
    return Pack(
        "bag",
        draw(st.sampled_from([1.0, 2.5, 10.0, 25.0])),
        None,
        None,
        price,
        breaks=breaks,
        breaks_rule=draw(st.sampled_from(["all-units", "incremental"])),
        minimum=draw(st.integers(0, 4)),
        per_pallet=per_pallet,
        pallet_price=round(per_pallet * price * 0.7, 3) if by_pallet else None,
    )


def loose_price(pack, count):
    """Price of loose packs read off the list pack by pack, not rounded."""
    steps = [(1, pack.unit_price), *((step.from_count, step.unit_price) for step in pack.breaks)]
    of_pack = [money([price for first, price in steps if first <= number][-1]) for number in range(1, count + 1)]
    return sum(of_pack[-1:] * count if pack.breaks_rule == "all-units" else of_pack, Decimal(0))


# ----------------------------------------------------------------------------- lines and tiers


@settings(max_examples=150)
@given(packs(), st.integers(0, 20), st.integers(0, 3))
def test_a_line_costs_its_full_pallets_and_its_loose_packs_by_their_number(pack, loose, pallets):
    pallets = pallets if pack.pallet_price is not None else 0
    if not loose + pallets:
        return
    line = line_of(pack, pack.mass_kg, loose, pallets)
    paid = cents(pallets * money(pack.pallet_price or 0.0)) + cents(loose_price(pack, loose))
    assert money(line.price) == paid
    assert (line.count, line.full_pallets) == (loose + pallets * (pack.per_pallet or 0), pallets)
    assert line.amount == pytest.approx(line.count * pack.mass_kg)
    # the steps are what the purchase order prints: they count every pack, and add up before rounding
    by_kind = {"pack": 1, "full pallet": pack.per_pallet}
    assert sum(step.count * by_kind[step.of] for step in line.steps) == line.count
    assert all(step.count for step in line.steps)
    summed = sum((step.count * money(step.each) for step in line.steps), Decimal(0))
    assert abs(summed - paid) <= CENT
    if len(line.steps) == 1 and not pallets:
        assert line.unit_price == line.steps[0].each
    else:
        assert line.unit_price == pytest.approx(line.price / line.count)


@given(packs(), st.integers(1, 30), st.integers(0, 10))
def test_one_tier_holds_each_count_from_the_smallest_order_on_and_prices_it_as_the_list(pack, count, least):
    holding = [tier for tier in tiers(pack, least) if tier.holds(count)]
    assert len(holding) == (count >= least)
    for tier in holding:
        assert tier.price(count) == cents(loose_price(pack, count)) * 1_000_000
        assert tier.least(count) == pytest.approx(float(loose_price(pack, count)) * 1e6)


def test_a_line_at_exactly_half_a_cent_rounds_up():
    assert Tier(1, None, 0, 1_005_000).price(1) == 1_010_000
    assert line_of(Pack("bag", 1.0, None, None, 0.335), 1.0, 3, 0).price == 1.01


# ----------------------------------------------------------------------------- charges


@settings(max_examples=100)
@given(st.lists(packs(), min_size=1, max_size=3), st.floats(0.05, 120.0), st.booleans())
def test_a_charge_is_the_lesser_of_the_list_price_and_of_whole_packs_alone(offer, required, by_packs):
    sizes = [pack.mass_kg for pack in offer]
    rates = [(pack.mass_kg * max(1, pack.minimum), money(pack.unit_price) / money(pack.mass_kg)) for pack in offer]
    small = [rate for least, rate in rates if least <= required * (1 + 1e-9)]
    rate = min(small) if small else min(rates)[1]
    alone = money(total_of(buy(required, 1e-9 * required, offer, sizes)[0]))
    charge = job_charge(required, offer, sizes, by_packs=by_packs)
    assert list_price(required, offer, sizes) == pytest.approx(float(rate))
    assert charge.alone == alone
    wanted = float(alone) if by_packs else min(float(alone), float(rate) * required)
    assert float(charge.amount) == pytest.approx(wanted, abs=0.0051)
    assert job_charge(0.0, offer, sizes, by_packs=by_packs).amount == 0


@given(*[st.integers(0, 1000).map(lambda tenths: tenths / 10)] * 3)
def test_what_comes_from_stock_and_what_is_left_is_worth_its_list_price(required, on_hand, reserve):
    bag = Pack("bag", 25.0, None, None, 10.0)
    made = order(required, [bag], on_hand, reserve)
    charge = JobCharge(required, 0.4, None, by_packs=False)
    line = MaterialOrder("cement", required, on_hand, made, charge.amount, charge)
    bags = max(0, ceil((required + reserve - on_hand) / 25.0 - 1e-9))
    assert line.bought_kg == 25.0 * bags
    assert line.left_over_kg == pytest.approx(on_hand + 25.0 * bags - required)
    assert line.purchase_cost == cents(10 * bags)
    assert float(line.stock_cost) == pytest.approx(0.4 * min(on_hand, required), abs=0.0051)
    assert float(line.leftover_value) == pytest.approx(0.4 * max(0.0, on_hand + 25.0 * bags - required), abs=0.0051)


# ----------------------------------------------------------------------------- amounts


@settings(max_examples=60)
@given(st.integers(1, 4000), st.sampled_from([0.1, 0.3, 0.7, 22.67961875, 42.63768278, 1000.0]))
def test_whole_packs_weighed_one_by_one_take_no_pack_more(count, size):
    # their sum is off by rounding errors, which grow with it, as does what is let go
    needed = sum([size] * count)
    bag = Pack("bag", size, None, None, 10.0)
    job = SimpleNamespace(materials={"sand": SimpleNamespace(packs=(bag,), kind="sand")}, stock_kg={}, reserve_kg={})
    bought = buy_together(material_needs(job, {"sand": needed}), {}, Haul())
    assert [line.count for line in bought.lines["sand"]] == [count]


@given(st.sampled_from([1e-5, 1e-3, 0.5]))
def test_a_little_of_a_material_is_bought(needed):
    bag = Pack("bag", 5.0, None, None, 10.0)
    job = SimpleNamespace(materials={"red": SimpleNamespace(packs=(bag,), kind="pigment")}, stock_kg={}, reserve_kg={})
    bought = buy_together(material_needs(job, {"red": needed}), {}, Haul())
    assert [line.count for line in bought.lines["red"]] == [1]


YARD = {"": Supplier("", 0.0, Tariff(60.0, 40.0, 0.1)), "north": Supplier("north", 30.0, Tariff(25.0))}


@settings(max_examples=40, deadline=None)
@given(st.lists(packs(), min_size=1, max_size=2), st.floats(1.0, 60.0), st.floats(-40.0, 0.0))
def test_what_stock_covers_and_what_comes_in_no_packs_change_no_order(offer, amount, lacking):
    sizes = tuple(pack.mass_kg for pack in offer)
    wanted = Need("sand", amount, 1e-9 * amount, tuple(offer), sizes)
    covered = Need("cement", lacking, 1e-9, tuple(offer), sizes)
    bare = Need("water", 100.0, 1e-7, (), ())
    alone, both = (buy_together(needs, YARD, Haul()) for needs in ([wanted], [covered, wanted, bare]))
    assert both.lines["sand"] == alone.lines["sand"]
    assert both.lines["cement"] == both.lines["water"] == ()
    assert (both.deliveries, both.gap, both.for_minimum) == (alone.deliveries, alone.gap, alone.for_minimum)
    nothing = buy_together([covered, bare], YARD, Haul())
    assert (nothing.deliveries, nothing.goods, nothing.freight) == ((), 0, 0)


def test_masses_of_all_mixes_add_up_by_material():
    mixes = {
        "face": SimpleNamespace(recipe_kg_m3={"cement": 800.0, "sand": 900.0}),
        "backer": SimpleNamespace(recipe_kg_m3={"cement": 700.0, "bead": 12.0}),
    }
    needed = required_kg(mixes, {"face": 0.1, "backer": 0.4})
    assert needed == pytest.approx({"cement": 80.0 + 280.0, "sand": 90.0, "bead": 4.8})


def test_the_price_of_a_kilogram_is_that_of_the_best_pack_and_water_is_free():
    offer = (
        Pack("sack", 25.0, None, None, 10.0),
        Pack("bulk", 1000.0, None, None, 300.0),
        Pack("x", 1.0, None, None, None),
    )
    assert price_per_kg(Material("sand", "sand", None, None, packs=offer)) == pytest.approx(0.3)
    assert price_per_kg(Material("sand", "sand", None, None, packs=offer[2:])) is None
    assert price_per_kg(Material("water", "water", None, None)) == 0.0


# ----------------------------------------------------------------------------- freight

charges = st.integers(0, 200_000).map(lambda number: number / 1000)


@given(charges, charges, charges, charges, charges, st.integers(0, 9), st.floats(0.0, 9000.0), st.booleans())
def test_a_freight_bill_is_number_times_rate_by_line(once, zone, pallet, kilo, gate, pallets, gross_kg, with_gate):
    tariff = Tariff(once, pallet, kilo / 100, {"near": zone}, gate)
    bill = freight(tariff, pallets, gross_kg, "near", with_gate)
    due = {
        "delivery": (1, once),
        "zone near": (1, zone),
        "lift-gate": (int(with_gate), gate),
        "pallets": (pallets, pallet),
        "gross mass, kg": (gross_kg, kilo / 100),
    }
    assert {charge.text: (charge.number, charge.each) for charge in bill} == {
        text: pair for text, pair in due.items() if all(pair)
    }
    for charge in bill:
        exact = cents(money(float(charge.number)) * money(charge.each))
        assert money(charge.amount) == pytest.approx(exact, abs=CENT if charge.text.startswith("gross") else 0)
        assert PLAIN.text(charge.label)
    assert money(freight_total(bill)) == sum((money(charge.amount) for charge in bill), Decimal(0))


def test_a_thousand_pallets_do_not_lose_a_cent():
    assert freight_total(tuple(Charge("", None, 1.0, 0.29, 0.29) for _ in range(1000))) == 290.0


# ----------------------------------------------------------------------------- consumables


@st.composite
def casts(draw):
    """Extents of two marks, days of casting, and a rate."""
    extents = {
        mark: Extent(
            mark,
            *(draw(st.floats(0.1, 5.0)) for _ in range(3)),
            casts=draw(st.integers(1, 6)),
            forms=draw(st.integers(0, 4)),
        )
        for mark in ("A", "B")
    }
    days = [
        SimpleNamespace(casts=[SimpleNamespace(mark=mark, count=draw(st.integers(0, 3))) for mark in ("A", "B")])
        for _ in range(draw(st.integers(0, 3)))
    ]
    basis = draw(st.sampled_from(["form-area", "finished-area", "edge-length", "piece"]))
    coverage = draw(st.sampled_from([None, 5000.0])) if basis.endswith("area") else None
    rate = Rate(
        basis,
        coverage,
        draw(st.integers(0, 3)),
        draw(st.integers(1, 4)),
        draw(st.sampled_from([0.0, 0.25])),
        draw(st.sampled_from(["cast", "form"])),
    )
    return extents, days, rate


@settings(max_examples=100, deadline=None)
@given(casts(), st.floats(0.0, 20.0), st.floats(0.5, 3.0))
def test_a_rate_takes_its_extent_worn_out_or_that_of_the_busiest_day(drawn, sheets_m2, asked):
    extents, days, rate = drawn
    pack = Pack("pack", 1.0, 0.01, 4.0, 7.0)
    measure = {"form-area": "m2", "finished-area": "m2", "edge-length": "m", "piece": "piece"}[rate.basis]
    measure = "m3" if rate.coverage_m2_m3 else measure
    job = SimpleNamespace(
        workshop=SimpleNamespace(consumables={"form-board": rate}),
        materials={"form-board": Material("form-board", "consumable", None, None, packs=(pack,))},
        stock_consumables={},
    )
    takes = [Taken("form-board", asked, measure, None, 0.1)]
    pieces = [SimpleNamespace(piece=SimpleNamespace(mark="B", quantity=extents["B"].casts, takes=takes))]
    (used,) = use_up(job, pieces, extents, days, sheets_m2)
    field = {"form-area": "form_area_m2", "finished-area": "finished_area_m2", "edge-length": "edge_length_m"}
    each = {mark: getattr(own, field[rate.basis]) if rate.basis in field else 1.0 for mark, own in extents.items()}
    times = {mark: own.forms if rate.each == "form" else own.casts for mark, own in extents.items()}
    whole = sum(each[mark] * times[mark] for mark in each)
    busiest = max((sum(each[cast.mark] * cast.count for cast in day.casts) for day in days), default=0.0)
    extent = max(whole / rate.uses, busiest) if rate.uses > 1 else whole
    by_rate = extent * rate.coats * (1 + rate.waste) / (rate.coverage_m2_m3 or 1.0) if whole else 0.0
    by_name = extents["B"].casts * asked * 1.1
    least = sheets_m2 if measure == "m2" else 0.0
    assert used.order.required == pytest.approx(max(by_rate + by_name, least))
    assert sum(used.by_mark.values()) == pytest.approx(by_rate + by_name)
    of_b = by_rate * each["B"] * times["B"] / whole if whole else 0.0
    assert used.by_mark["B"] == pytest.approx(of_b + by_name)
    size = {"m2": 4.0, "m": 4.0, "piece": 4.0, "m3": 0.01}[measure]
    assert [line.count for line in used.order.lines] == [ceil(used.order.required / size - 1e-9)]
    assert (used.material, used.basis) == ("form-board", "several" if whole else "asked")


def test_pieces_that_ask_for_a_consumable_at_a_rate_of_their_own_take_it_for_each_cast():
    # first principles: 3 · 1.5 m² and 2 · 0.5 m² twice over are 11 m², of rolls of 4 m²
    rate = Rate("finished-area", None, 2, 1, 0.0, "cast")
    extents = {"A": Extent("A", 9.0, 1.5, 9.0, 3, 1), "B": Extent("B", 9.0, 0.5, 9.0, 2, 1)}
    roll = Pack("roll", None, None, 4.0, 7.0)
    job = SimpleNamespace(
        workshop=SimpleNamespace(consumables={}),
        materials={"film": Material("film", "consumable", None, None, packs=(roll,))},
        stock_consumables={},
    )
    takes = [Taken("film", None, None, rate)]
    pieces = [SimpleNamespace(piece=SimpleNamespace(mark=mark, quantity=1, takes=takes)) for mark in extents]
    (used,) = use_up(job, pieces, extents, [], 0.0)
    assert used.order.required == pytest.approx(11.0)
    assert used.by_mark == pytest.approx({"A": 9.0, "B": 2.0})
    assert [line.count for line in used.order.lines] == [3]


@pytest.mark.parametrize("by_packs", [True, False])
def test_a_consumable_without_a_price_is_charged_to_nobody_and_a_rounding_error_is_not_left_over(by_packs):
    unpriced = order_amount("film", "form-area", 12.0, "m2", 12.0, [Pack("roll", None, None, 10.0, None)])
    filled = unpriced.filled(unpriced.lines, by_packs=by_packs, special=False)
    assert (filled.cost, filled.purchase_cost, filled.bought) == (None, None, 20.0)
    whole = order_amount("film", "form-area", 1.0, "m2", 29999.99999999999, [Pack("roll", None, None, 10.0, 8.0)])
    for made in (whole, whole.filled(whole.lines, by_packs=by_packs, special=False)):
        assert (made.bought, made.left_over) == (30000.0, 0.0)


def test_every_basis_has_its_extent():
    extent = Extent("A", 1.0, 2.0, 3.0, 4, 5)
    assert {basis: of(extent) for basis, of in EXTENTS.items()} == {
        "form-area": 1.0,
        "finished-area": 2.0,
        "edge-length": 3.0,
        "piece": 1.0,
    }


@settings(max_examples=80)
@given(st.floats(0.1, 60.0), st.floats(0.0, 60.0), st.booleans(), st.booleans())
def test_an_order_of_a_consumable_is_the_packs_that_stock_does_not_cover(required, on_hand, by_packs, special):
    roll = Pack("roll", None, None, 10.0, 8.0)
    made = order_amount("film", "form-area", 12.0, "m2", required, [roll], on_hand)
    rolls = max(0, ceil((required - on_hand) / 10.0 - 1e-9))
    for one in (made, made.filled(made.lines, by_packs=True, special=False)):
        assert (one.bought, one.purchase_cost, one.cost) == (10.0 * rolls, 8.0 * rolls, 8.0 * rolls)
        assert one.left_over == pytest.approx(on_hand + 10.0 * rolls - required, abs=1e-6)
    charged = made.filled(made.lines, by_packs=by_packs, special=special)
    alone = 8.0 * ceil(required / 10.0 - 1e-9)
    due = 8.0 * rolls if by_packs else alone if special else min(alone, 0.8 * required)
    assert charged.cost == pytest.approx(due, abs=0.0051)
    assert made.need().amount == pytest.approx(required - on_hand)
    assert made.need(in_stock=False).amount == required


def test_samples_are_cast_together_each_in_a_form_of_its_own():
    # first principles: face and four edges of a 0.3 m square of 20 mm
    extent = _sample_extent(SamplePlan("face", 0.3, 0.02, SimpleNamespace(count=5), None, 0))
    assert (extent.casts, extent.forms) == (5, 5)
    assert extent.form_area_m2 == pytest.approx(0.09 + 4 * 0.3 * 0.02)
    assert (extent.finished_area_m2, extent.edge_length_m) == pytest.approx((0.09, 1.2))


# ----------------------------------------------------------------------------- what is said of an order


def test_samples_of_a_mix_without_a_price_are_named_by_it():
    unpriced, priced = (
        SamplePlan("face", 0.3, 0.02, SimpleNamespace(count=5), cost, 0) for cost in (None, Decimal("4.00"))
    )
    (told,) = _sample_warnings(unpriced)
    assert told.id == "samples-unpriced"
    assert "face" in PLAIN.text(told.text).lower()
    assert _sample_warnings(priced) == _sample_warnings(None) == []


def test_a_consumable_without_packs_or_without_a_price_is_named_and_the_others_are_not():
    bare = order_amount("film", "form-area", 12.0, "m2", 12.0, [])
    unpriced = order_amount("tape", "edge-length", 12.0, "m", 12.0, [Pack("roll", None, None, 10.0, None)])
    priced = order_amount("foam", "form-area", 12.0, "m2", 12.0, [Pack("roll", None, None, 10.0, 8.0)])
    used = [SimpleNamespace(order=one, material=one.name, parts=[]) for one in (bare, priced)]
    told = _used_warnings(used, SimpleNamespace(materials=[unpriced]), SimpleNamespace(pieces=[]))
    assert [one.id for one in told] == ["unpriced", "unpriced"]
    film, tape = (PLAIN.text(one.text) for one in told)
    assert "film has no packs" in film.lower()
    assert "tape has a pack without a price" in tape.lower()


@pytest.mark.parametrize(
    ("gross_kg", "over_rating", "over"),
    [
        (500.0, False, None),
        (500.1, False, ("pallet truck",)),
        (900.0, True, ("pallet truck", "pallet")),
        (900.1, False, ("forklift", "pallet truck")),
    ],
)
def test_a_load_is_held_to_every_machine_whose_rating_is_known(gross_kg, over_rating, over):
    load = PalletLoad((("cement", "bag", 12),), gross_kg, False, over_rating)
    fine = PalletLoad((("sand", "bag", 1),), 100.0, False, False)
    materials = SimpleNamespace(deliveries=[SimpleNamespace(standing=SimpleNamespace(loads=[fine, load, load]))])
    shop = SimpleNamespace(transport=SimpleNamespace(forklift_rating_kg=900.0, pallet_truck_rating_kg=500.0))
    found = _over(materials, shop)
    assert found == ({} if over is None else {1: over, 2: over})
    told = _load_warnings(materials, found)
    assert len(told) == (over is not None)  # equal loads are named once
    for notice in told:
        text = PLAIN.text(notice.text).lower()
        assert notice.id == "pallet-overloaded"
        assert "cement (12" in text
        assert all(name in text for name in over)
    unknown = SimpleNamespace(transport=SimpleNamespace(forklift_rating_kg=0.0, pallet_truck_rating_kg=0.0))
    assert _over(materials, unknown) == ({1: ("pallet",), 2: ("pallet",)} if over_rating else {})


DAY = date(2025, 3, 1)


@pytest.mark.parametrize(
    ("on_hand", "life_days", "until", "bought_on", "keeps"),
    [
        (0.0, 30, None, DAY, DAY + timedelta(days=30)),
        (3.0, 30, DAY + timedelta(days=9), DAY, DAY + timedelta(days=9)),  # the older of both
        (3.0, 30, DAY + timedelta(days=90), DAY, DAY + timedelta(days=30)),
        (15.0, 30, DAY + timedelta(days=9), DAY, DAY + timedelta(days=9)),  # nothing bought
        (15.0, 30, None, DAY, None),
        (0.0, None, None, DAY, None),
        (0.0, 30, None, None, None),
    ],
)
def test_a_consumable_left_over_keeps_until_the_older_of_stock_and_purchase(
    on_hand, life_days, until, bought_on, keeps
):
    made = order_amount("sealer", "form-area", 12.0, "m2", 12.0, [Pack("pail", None, None, 10.0, 8.0)], on_hand)
    life_s = None if life_days is None else life_days * 86400.0
    job = SimpleNamespace(
        materials={"sealer": SimpleNamespace(keeps_s=life_s)},
        stock_until={} if until is None else {"sealer": until.isoformat()},
    )
    (item,) = _shelf_of_used(job, [SimpleNamespace(order=made)], SimpleNamespace(materials=[]), bought_on)
    assert (item.material, item.measure, item.keeps_until) == ("sealer", "m2", keeps)
    assert item.left == made.left_over > 0.0


def test_nothing_is_on_the_shelf_of_what_is_used_up_or_sold_in_no_packs():
    spent = order_amount("sealer", "form-area", 20.0, "m2", 20.0, [Pack("pail", None, None, 10.0, 8.0)])
    bare = order_amount("film", "form-area", 20.0, "m2", 20.0, [])
    job = SimpleNamespace(materials={}, stock_until={})
    assert _shelf_of_used(job, [], SimpleNamespace(materials=[spent, bare]), DAY) == ()


@given(st.floats(0.0, 60.0), st.floats(0.0, 60.0), st.floats(0.0, 30.0))
def test_of_what_is_left_no_more_than_the_reserve_is_kept_on_purpose(needed, on_hand, reserve):
    made = order(needed, [Pack("bag", 25.0, None, None, 10.0)], on_hand, reserve)
    items = shelf({"cement": made}, {"cement": 90}, DAY, {"cement": DAY - timedelta(days=10)})
    assert bool(items) == (made.left_over_kg > 0.0)
    for item in items:
        assert (item.left_kg, item.reserve_kg) == (made.left_over_kg, min(reserve, made.left_over_kg))
        first = [DAY - timedelta(days=10)] * bool(on_hand) + [DAY] * bool(made.lines)
        assert item.keeps_until == min(first) + timedelta(days=90)
