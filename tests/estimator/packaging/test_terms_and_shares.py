"""Zones, refusals of terms by their key, packs without a price, and what each mark bears of what is used."""

from decimal import Decimal
from types import SimpleNamespace

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from estimator.errors import FaultError
from estimator.job import Material, Pack
from estimator.packaging.consumables import Part, _ordered, order_amount
from estimator.packaging.forms import FormSet
from estimator.packaging.freight import PalletKind, pallets
from estimator.packaging.materials import from_the_tap, material_needs, packs_of
from estimator.packaging.nesting import Sheet
from estimator.packaging.price import line_of
from estimator.packaging.stage import FormPlan, MarkForms, pack_faults
from estimator.packaging.together import Haul, buy_together, terms_in_cents
from estimator.packaging.ways import Need
from estimator.supplies import Supplier, Tariff
from tests.refusal import words_of


def pack(name: str, mass_kg: float | None, price: float | None, **more: object) -> Pack:
    return Pack(name, mass_kg, None, None, price, **more)  # type: ignore[arg-type]


def test_a_zone_is_paid_on_top_of_a_delivery():
    near, far = (
        terms_in_cents(
            {"north": Supplier("north", 0.0, Tariff(per_delivery=60.0, zones={"near": 0.0, "far": 35.0}))}, Haul(zone)
        )
        for zone in ("near", "far")
    )
    assert dict(near.suppliers)["north"].once == 6000.0
    assert dict(far.suppliers)["north"].once == 9500.0


@pytest.mark.parametrize("tariff", [Tariff(per_pallet=-1.0), Tariff(zones={"near": -1.0})])
def test_a_tariff_below_zero_is_refused_by_its_key(tariff: Tariff):
    with pytest.raises(FaultError) as refused:
        buy_together([], {"north": Supplier("north", 0.0, tariff)}, Haul("near"))
    assert refused.value.key.startswith("suppliers.north.freight")


def test_tap_water_is_the_material_of_that_name_and_any_of_that_kind():
    kinds = {"rain-water": "water", "silica-sand": "sand"}
    job = SimpleNamespace(materials={name: SimpleNamespace(kind=kind) for name, kind in kinds.items()})
    tap = [from_the_tap(job, name) for name in ("water", "rain-water", "silica-sand", "unknown")]  # type: ignore[arg-type]
    assert tap == [True, True, False, False]


@pytest.mark.parametrize("materials", [{}, {"mould-rubber": Material("mould-rubber", "consumable", None, None)}])
def test_a_form_of_rubber_without_its_density_is_refused(materials: dict[str, Material]):
    piece = SimpleNamespace(form=SimpleNamespace(kind="rubber", uses=20))
    job = SimpleNamespace(materials=materials, mixes={}, pieces=[piece], workshop=None)
    (fault,) = pack_faults(job)  # type: ignore[arg-type]
    assert fault.key == "material mould-rubber"
    told = words_of(fault)
    assert "rubber" in told
    assert "density" in told


def test_packs_without_a_price_are_compared_only_where_none_has_one():
    free, dear = pack("free", 25.0, None), pack("dear", 25.0, 12.0)
    assert [pack.name for _, pack, _ in Need("", 1.0, 0.0, (free, dear), (25.0, 25.0)).offered()] == ["dear"]
    assert [pack.name for _, pack, _ in Need("", 1.0, 0.0, (free, free), (25.0, 25.0)).offered()] == ["free", "free"]


def test_a_reserve_counts_where_the_stock_does():
    bag = pack("bag", 25.0, 12.0)
    material = SimpleNamespace(packs=(bag,), kind="cement")
    job = SimpleNamespace(materials={"cement": material}, reserve_kg={"cement": 30.0}, stock_kg={"cement": 10.0})
    assert packs_of(job, "cement") == (bag,)  # type: ignore[arg-type]
    both, neither = (material_needs(job, {"cement": 100.0}, in_stock=in_stock) for in_stock in (True, False))  # type: ignore[arg-type]
    assert both[0].amount == pytest.approx(120.0)
    assert neither[0].amount == pytest.approx(100.0)


@example(1500.0)
@given(st.floats(1.0, 3000.0))
def test_a_pallet_is_overloaded_only_above_its_rating(bag_kg: float):
    bag = pack("bag", bag_kg, 12.0, per_pallet=1)
    (load,) = pallets([("cement", line_of(bag, bag_kg, 1, 0))], PalletKind(20.0, 1.2, 1.0, 1500.0)).loads
    assert load.over_rating == (bag_kg > 1500.0 * (1 + 1e-9))


def test_an_amount_of_whole_packs_leaves_nothing_over():
    tenth = pack("tenth", 0.1, 1.0)
    order = order_amount("release", "form-area", 1.0, "kg", 0.3, [tenth])
    assert [line.count for line in order.lines] == [3]
    assert order.left_over == 0.0  # 3 · 0.1 is 0.30000000000000004


def test_marks_bear_what_is_used_for_them():
    sealer = Material("sealer", "consumable", None, None)
    job = SimpleNamespace(materials={"sealer": sealer}, stock_consumables={})
    areas = {"A": 3.0, "B": 1.0}
    part = Part("finished-area", 4.0, 0.0, 1, 1.0, 2, 0.25)
    used = _ordered(job, "sealer", "m2", [(part, areas)], 0.0)  # type: ignore[arg-type]
    assert used.by_mark == pytest.approx({"A": 7.5, "B": 2.5})


def test_the_rubber_of_all_forms_is_paid_by_mark_by_mass():
    pail = pack("pail", 10.0, 60.0)
    rubber = order_amount("mould-rubber", "forms", 2.0, "kg", 20.0, [pail])
    forms = [
        MarkForms(mark, "rubber", 20, FormSet(1, 1, 20, 1), 1.0, (), kg, Decimal("3.00"))
        for mark, kg in (("A", 15.0), ("B", 5.0))
    ]
    forms.append(MarkForms("C", "melamine", 5, FormSet(1, 1, 5, 1), 1.0, (), 0.0, Decimal("4.00")))
    plan = FormPlan(tuple(forms), Sheet(2.4, 1.2, 0.003), None, (rubber,), ())
    assert plan.cost_by_mark() == {"A": Decimal("93.00"), "B": Decimal("33.00"), "C": Decimal("4.00")}
