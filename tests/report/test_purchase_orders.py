"""Purchase orders: one paper per supplier, and a material list of all of them for the shop."""

from pathlib import Path

import pytest

from estimator.commands.jobs import estimate_file
from estimator.estimate import Estimate
from estimator.report.papers.order import lines_of
from estimator.report.papers.purchase_orders import material_list, purchase_orders
from estimator.words import words_for
from tests.report.conftest import read_pages

JOB = """
[job]
name = "House"
number = "Q-14"
mix = "backer-45"
date = "2026-03-02"
start = "2026-03-16"
[business]
name = "Lakeside casting"
address = ["Dock road 3"]
[receiving]
address = ["Dock road 3, rear gate"]
hours = "7 am to 3 pm"
lift_gate = true
[[supplier]]
name = "north yard"
address = ["Quarry road 12"]
account = "A-1180"
freight = { per_pallet = 45.0, lift_gate = 20.0 }
[[supplier]]
name = "glass house"
order_number = "PO-118"
minimum = 500.0
small_order_charge = 25.0
[materials.silica-sand]
title = "Silica sand, 30 mesh"
packs = [{ name = "bag", mass = "50 lb", price = 9.5, per_pallet = 56, supplier = "north yard", item = "S-30" }]
[materials.ar-glass-chopped]
packs = [{ name = "box", mass = "44 lb", price = 128.0, supplier = "glass house", item = "G-12" }]
[[piece]]
mark = "F1"
use = "panel"
quantity = 4
shape = { kind = "slab", length = "60 in", width = "24 in", thickness = "1 in" }
"""


@pytest.fixture(scope="module")
def estimated(tmp_path_factory: pytest.TempPathFactory) -> Estimate:
    path = tmp_path_factory.mktemp("orders") / "job.toml"
    path.write_text(JOB)
    return estimate_file(path)


@pytest.fixture(scope="module")
def orders(estimated: Estimate) -> dict[str, str]:
    return {
        name: " ".join(page.text for page in read_pages(content))
        for name, content in purchase_orders(estimated).items()
    }


def test_each_supplier_has_an_order_of_its_own(orders: dict[str, str]) -> None:
    names = ("glass-house", "north-yard", "Supplier-not-named")
    assert list(orders) == [f"purchase-orders/{name}.pdf" for name in names]
    glass, yard, _ = orders.values()
    assert "G-12" in glass
    assert "G-12" not in yard
    assert "S-30 Silica sand, 30 mesh bag, 50 lb" in yard


def test_an_order_states_number_addresses_dates_and_freight(orders: dict[str, str]) -> None:
    glass, yard, _ = orders.values()
    assert "Purchase order PO-118" in glass
    assert "Purchase order Q-14-P2" in yard
    for part in ("Quarry road 12", "A-1180", "Dock road 3, rear gate", "7 am to 3 pm", "Lift gate required"):
        assert part in yard, part
    assert "Order date March 2, 2026" in yard
    assert "Required by March" in yard
    assert "Freight, 1 pallet $45.00" in yard
    assert "Lift gate $20.00" in yard
    assert "Small-order charge $25.00" in glass


def test_no_catalog_key_and_no_tap_water_is_on_an_order(orders: dict[str, str], estimated: Estimate) -> None:
    listed = " ".join(page.text for page in read_pages(material_list(estimated)))
    for text in (*orders.values(), listed):
        assert "silica-sand" not in text
        assert "tap" not in text.replace("tape", "")
        assert "Water" not in text


def test_the_orders_add_up_to_the_material_list(orders: dict[str, str], estimated: Estimate) -> None:
    words = words_for(estimated.job)
    goods = sum(line.price or 0.0 for line in lines_of(estimated))
    whole = goods + float(estimated.materials.paid)
    assert f"To pay, with freight {words.price(whole)}" in " ".join(
        page.text for page in read_pages(material_list(estimated))
    )
    texts = dict(zip(("glass house", "north yard", ""), orders.values(), strict=True))
    for delivery in estimated.materials.deliveries:
        text = texts[delivery.supplier]
        own = sum(line.price or 0.0 for line in lines_of(estimated) if line.supplier == delivery.supplier)
        assert f"Total before tax {words.price(own + delivery.freight + delivery.small_order)}" in text
        assert words.mass(delivery.gross_kg, up=True) in text


def test_gross_weight_counts_every_pack_and_the_pallets(estimated: Estimate) -> None:
    # first principles: packs of known mass and empty pallets
    for delivery in estimated.materials.deliveries:
        goods_kg = sum(line.mass_kg or 0.0 for line in lines_of(estimated) if line.supplier == delivery.supplier)
        pallets_kg = delivery.pallets * estimated.job.workshop.transport.pallet_tare_kg
        assert delivery.gross_kg == pytest.approx(goods_kg + pallets_kg)
    assert all(line.mass_each_kg for line in lines_of(estimated))


@pytest.mark.parametrize(
    ("units", "mass", "text"), [("metric", "1000 kg", "1,000 kg"), ("imperial", "2000 lb", "2,000 lb")]
)
def test_a_bulk_bag_prints_its_content(tmp_path: Path, units: str, mass: str, text: str) -> None:
    path = tmp_path / "job.toml"
    (sand,) = [line for line in JOB.splitlines() if 'item = "S-30"' in line]
    bulk = f'packs = [{{ name = "bulk bag", mass = "{mass}", price = 190.0 }}]'
    path.write_text(JOB.replace(sand, bulk).replace('number = "Q-14"', f'units = "{units}"'))
    estimate = estimate_file(path)
    packages = {line.package(words_for(estimate.job)) for line in lines_of(estimate)}
    assert f"bulk bag, {text}" in packages


def test_rubber_for_forms_is_ordered_too(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    path.write_text(JOB + 'form = { kind = "rubber" }\n')
    assert "mould-rubber" in {line.material for line in lines_of(estimate_file(path))}


def test_the_material_list_adds_freight_to_the_goods(estimated: Estimate) -> None:
    listed = " ".join(" ".join(page.text for page in read_pages(material_list(estimated))).split())
    charges = [charge for delivery in estimated.materials.deliveries for charge in delivery.charges]
    assert charges
    words = words_for(estimated.job)
    for charge in charges:
        assert f"{words.text(charge.label)} {words.price(charge.amount)}" in listed
    to_pay = listed.split("To pay, with freight ")[1].split()[0]
    assert f"Total before tax {to_pay}" in listed
