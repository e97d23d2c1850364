"""Orders of several materials: never dearer than any combination, with freight and least values in."""

from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimator.job import Pack, PriceBreak
from estimator.packaging.coupled import _by_solver, _terms, order_together
from estimator.packaging.faults import PackagingError
from estimator.packaging.offers import Haul, Need, offer_of
from estimator.packaging.order import order
from estimator.packaging.pallets import PalletKind
from estimator.supplies import Supplier, Tariff

PALLET = PalletKind(20.0, 1.2, 1.0, 1500.0)


def pack(name, mass_kg, price, supplier, **more):
    return Pack(name, mass_kg, None, None, price, supplier=supplier, **more)


def yard(**terms):
    return {name: Supplier(name, least, tariff) for name, (least, tariff) in terms.items()}


def counts(made, material):
    return {line.pack.name: line.count for line in made.orders[material].lines}


def test_one_delivery_is_cheaper_than_two_though_each_material_alone_would_go_elsewhere():
    needs = [
        Need("cement", 100.0, [pack("a", 25.0, 10.0, "north"), pack("b", 25.0, 11.0, "south")]),
        Need("sand", 100.0, [pack("a", 25.0, 6.0, "north"), pack("b", 25.0, 5.0, "south")]),
    ]
    sellers = yard(north=(0.0, Tariff(per_delivery=50.0)), south=(0.0, Tariff(per_delivery=50.0)))
    made = order_together(needs, sellers)
    assert len(made.deliveries) == 1
    assert made.total == 64.0 + 50.0
    assert order_together(needs, yard(north=(0.0, Tariff()), south=(0.0, Tariff()))).total == 60.0


def test_freight_by_the_pallet_decides_between_sizes():
    offer = [pack("bag", 25.0, 10.0, "north", per_pallet=4), pack("sack", 100.0, 41.0, "north", per_pallet=4)]
    need = [Need("cement", 400.0, offer)]
    assert counts(order_together(need, yard(north=(0.0, Tariff()))), "cement") == {"bag": 16}
    by_pallet = order_together(need, yard(north=(0.0, Tariff(per_pallet=20.0))))
    assert counts(by_pallet, "cement") == {"sack": 4}
    assert (by_pallet.total, by_pallet.deliveries[0].pallets) == (184.0, 1)


def test_gross_mass_pays_by_the_kilogram_with_its_pallets():
    needs = [Need("cement", 100.0, [pack("bag", 25.0, 10.0, "north", per_pallet=40)])]
    haul = Haul("far", lift_gate=True, pallet=PALLET)
    tariff = Tariff(per_kg=0.10, zones={"far": 30.0}, lift_gate=75.0)
    made = order_together(needs, yard(north=(0.0, tariff)), haul)
    assert made.deliveries[0].gross_kg == 120.0
    assert made.freight == 12.0 + 30.0 + 75.0
    assert made.total == 40.0 + 117.0


def test_a_least_value_is_reached_or_its_supplier_left():
    cheap = [pack("a", 25.0, 10.0, "north"), pack("b", 25.0, 14.0, "south")]
    needs = [Need("cement", 100.0, cheap)]
    assert order_together(needs, yard(north=(55.0, Tariff()), south=(0.0, Tariff()))).total == 56.0, "4 b, not 6 a"
    made = order_together(needs, yard(north=(50.0, Tariff()), south=(0.0, Tariff())))
    assert (made.total, counts(made, "cement")) == (50.0, {"a": 5}), "one a more reaches 50"


def test_without_suppliers_it_is_what_each_material_alone_takes():
    offer = [Pack("bag", 25.0, None, None, 9.5, breaks=(PriceBreak(10, 8.5),)), Pack("sack", 40.0, None, None, 15.0)]
    made = order_together([Need("cement", 221.0, offer), Need("sand", 60.0, offer, on_hand_kg=15.0)], {})
    assert made.orders["cement"].lines == order(221.0, offer).lines
    assert made.orders["sand"].lines == order(60.0, offer, on_hand_kg=15.0).lines
    assert made.freight == 0.0


def test_a_material_without_price_is_ordered_carried_and_leaves_no_total():
    needs = [
        Need("cement", 100.0, [pack("bag", 25.0, 10.0, "north")]),
        Need("sand", 60.0, [pack("sack", 50.0, None, "north"), pack("bag", 20.0, None, "north")]),
    ]
    made = order_together(needs, yard(north=(0.0, Tariff(per_kg=1.0))))
    assert counts(made, "sand") == {"bag": 3}
    assert (made.goods, made.total, made.freight) == (None, None, 160.0)


def test_a_least_value_that_nothing_reaches_is_refused():
    bag = pack("bag", 25.0, 0.0, "north")
    with pytest.raises(PackagingError, match="least value"):
        order_together([Need("cement", 10.0, [bag])], yard(north=(5.0, Tariff())))


@pytest.mark.parametrize(
    ("needs", "sellers", "key"),
    [
        ([Need("a", 1.0, [pack("bag", 25.0, 1.0, "west")])], {}, "materials.a.packs.bag.supplier"),
        ([Need("a", 1.0, []), Need("a", 2.0, [])], {}, "a"),
        ([], yard(north=(-1.0, Tariff())), "suppliers.north"),
        ([], yard(north=(0.0, Tariff(zones={"far": 1.0}))), "suppliers.north.freight.zone"),
    ],
)
def test_what_contradicts_itself_is_refused_by_its_key(needs, sellers, key):
    with pytest.raises(PackagingError) as error:
        order_together(needs, sellers)
    assert error.value.key == key


def total_by_brute_force(needs, sellers, haul, most):
    """Cheapest total in millionths over every count up to `most`."""
    packs = [(need, one) for need in needs for one in need.packs]
    best = None
    for taken in product(range(most + 1), repeat=len(packs)):
        cover, value, cost = {}, {}, 0
        for count, (need, one) in zip(taken, packs, strict=True):
            if not count:
                continue
            each = one.unit_price
            for step in one.breaks:
                each = step.unit_price if count >= step.from_count else each
            goods = count * round(each * 100) * 10_000
            tariff = sellers[one.supplier].tariff
            on_pallets = -(-count // one.per_pallet)
            gross = count * one.mass_kg + on_pallets * haul.pallet.mass_kg
            cost += goods + on_pallets * round(tariff.per_pallet * 1e6) + round(gross * tariff.per_kg * 1e6)
            value[one.supplier] = value.get(one.supplier, 0) + goods
            cover[need.material] = cover.get(need.material, 0.0) + count * one.mass_kg
        if any(cover.get(need.material, 0.0) < need.required_kg * (1 - 1e-9) for need in needs):
            continue
        if any(goods < sellers[name].least_value * 1e6 for name, goods in value.items()):
            continue
        cost += sum(round((sellers[s].tariff.per_delivery + sellers[s].tariff.lift_gate) * 1e6) for s in value)
        best = cost if best is None else min(best, cost)
    return best


@st.composite
def sold(draw, name):
    price = draw(st.integers(500, 2000)) / 100
    steps = [PriceBreak(draw(st.integers(2, 3)), round(price * 0.8, 2))] if draw(st.booleans()) else []
    mass = draw(st.sampled_from([10.0, 20.0, 25.0]))
    return pack(name, mass, price, draw(st.sampled_from(["north", "south"])), breaks=tuple(steps), per_pallet=2)


@settings(max_examples=25, deadline=None)
@given(st.data())
def test_no_joint_order_is_dearer_than_the_best_by_brute_force_or_by_the_solver(data):
    needs = [
        Need(name, data.draw(st.floats(5.0, 45.0)), [data.draw(sold("a")), data.draw(sold("b"))])
        for name in ("cement", "sand")
    ]
    whole = st.integers(0, 30).map(float)
    sellers = {
        name: Supplier(
            name,
            data.draw(st.sampled_from([0.0, 20.0, 40.0])),
            Tariff(data.draw(whole), data.draw(whole), 0.05, {}, 10.0),
        )
        for name in ("north", "south")
    }
    haul = Haul(lift_gate=True, pallet=PALLET)
    made = order_together(needs, sellers, haul)
    assert made.total == pytest.approx(total_by_brute_force(needs, sellers, haul, 10) / 1e6, abs=0.011)
    solved = _by_solver([offer_of(need, sellers, haul) for need in needs], _terms(sellers, haul))
    assert solved is not None
    assert made.total == pytest.approx(solved.cost / 1e6, abs=0.011)
    for delivery in made.deliveries:
        assert delivery.goods >= sellers[delivery.supplier].least_value


@settings(max_examples=8, deadline=None)
@given(st.data())
def test_binding_least_values_are_met_at_the_cost_that_the_solver_proves(data):
    needs = [
        Need(name, data.draw(st.floats(20.0, 120.0)), [data.draw(sold("a")), data.draw(sold("b"))])
        for name in ("cement", "sand", "fume")
    ]
    free = order_together(needs, yard(north=(0.0, Tariff()), south=(0.0, Tariff())))
    value = {"north": 20.0, "south": 20.0} | {each.supplier: each.goods for each in free.deliveries}
    share = st.sampled_from([1.05, 1.3])
    sellers = yard(**{name: (round(goods * data.draw(share), 2), Tariff(20.0, 5.0)) for name, goods in value.items()})
    made = order_together(needs, sellers)
    solved = _by_solver([offer_of(need, sellers, Haul()) for need in needs], _terms(sellers, Haul()))
    assert made.proven
    assert solved is not None
    if solved.proven:
        assert made.total == pytest.approx(solved.cost / 1e6, abs=0.011)
    for delivery in made.deliveries:
        assert delivery.goods >= sellers[delivery.supplier].least_value
