"""What a job is charged: no total depends on stock, and leftovers are not charged twice."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from estimator.commands.jobs import estimate_file
from estimator.document import to_document

Document = dict[str, Any]
Write = Callable[[str], Path]
VANITY = """
[job]
name = "Vanity"
mix = "backer-45"
waste = 0.07
{job}
[[piece]]
mark = "C1"
use = "counter"
shape = {{ kind = "slab", length = "36 in", width = "24 in", thickness = "3/4 in" }}
{more}
"""


@pytest.fixture
def document_of(write_job: Write) -> Callable[..., Document]:
    return lambda more="", job="": to_document(estimate_file(write_job(VANITY.format(job=job, more=more))))


def line(document: Document, name: str) -> Document:
    return next(each for each in document["materials"] if each["material"] == name)


@pytest.mark.parametrize("stock", ['white-cement = "1 lb"', 'white-cement = "94 lb"', 'coated-eps-bead = "60 lb"',
                                   'silica-sand = "10 lb"\nmetakaolin = "2 lb"'])  # fmt: skip
def test_no_total_depends_on_stock(document_of: Callable[..., Document], stock: str) -> None:
    bare, stocked = document_of()["cost"], document_of(f"[stock]\n{stock}\n")["cost"]
    for key in ("materials", "consumables", "freight", "direct", "price", "total"):
        assert stocked[key] == bare[key], key
    assert stocked["order_total"] <= bare["order_total"]


def test_a_small_job_pays_for_the_beads_it_uses_and_buys_a_whole_bag(document_of: Callable[..., Document]) -> None:
    bead = line(document_of(), "coated-eps-bead")
    assert bead["packs"][0]["count"] == 1
    assert bead["cost"] < 0.1 * bead["purchase_cost"]
    assert bead["leftover_value"] == pytest.approx(bead["purchase_cost"] - bead["cost"], abs=0.02)


def test_whole_packs_where_the_job_asks_for_them(document_of: Callable[..., Document]) -> None:
    document = document_of(job="", more='[price]\ncharge = "packs"\n')
    for each in document["materials"]:
        assert each["cost"] == each["purchase_cost"]
    for each in document["consumables"]:
        assert each["cost"] == each["purchase_cost"]
    supply, cost = document["supply"], document["cost"]
    assert cost["order_total"] == pytest.approx(
        sum(each["purchase_cost"] for each in [*document["materials"], *document["consumables"]]) + supply["freight"]
    )


def test_freight_by_mass_is_charged_as_used_or_as_ordered(document_of: Callable[..., Document]) -> None:
    seller = """
[materials.silica-sand]
packs = [{ name = "bag", mass = "5 lb", price = 2.0, supplier = "north" }]
[[supplier]]
name = "north"
[supplier.freight]
by_mass = { mass = "1 lb", price = 0.50 }
"""
    stocked = seller + '[stock]\nsilica-sand = "9 lb"\n'
    by_packs = '[price]\ncharge = "packs"\n'
    bare, less = document_of(seller), document_of(stocked)
    assert less["supply"]["freight"] < bare["supply"]["freight"] == bare["cost"]["freight"]
    assert less["cost"]["freight"] == bare["cost"]["freight"], "no total depends on stock"
    ordered = document_of(stocked + by_packs)
    assert ordered["cost"]["freight"] == ordered["supply"]["freight"] == less["supply"]["freight"]


def test_a_special_material_and_one_that_spoils_are_charged_by_the_pack(document_of: Callable[..., Document]) -> None:
    special = document_of("[materials.metakaolin]\nspecial = true\n")
    assert line(special, "metakaolin")["cost"] == line(special, "metakaolin")["packs_alone"]
    assert line(document_of(), "metakaolin")["cost"] < line(special, "metakaolin")["cost"]
    spoils = document_of('[materials.metakaolin]\nshelf_life = "60 days"\n')
    assert line(spoils, "metakaolin")["cost"] == line(special, "metakaolin")["cost"]
    kept = document_of('[materials.metakaolin]\nshelf_life = "60 days"\n[price]\nreuse_within = "30 days"\n')
    assert line(kept, "metakaolin")["cost"] == line(document_of(), "metakaolin")["cost"]


def test_two_jobs_in_a_row_are_each_charged_what_they_are_charged_alone(document_of: Callable[..., Document]) -> None:
    first = document_of()
    left = {each["material"]: each for each in first["shelf"] if each["unit"] == "kg"}
    stock = "[stock]\n" + "".join(f'{name} = "{each["left"]:.9f} kg"\n' for name, each in left.items())
    second = document_of(stock)
    assert second["cost"]["materials"] == first["cost"]["materials"]
    assert second["cost"]["total"] == first["cost"]["total"]
    assert second["cost"]["order_total"] < first["cost"]["order_total"]


def test_the_cost_of_an_order_minimum_is_stated_in_one_line(document_of: Callable[..., Document]) -> None:
    packs = """
[materials.silica-sand]
packs = [{ name = "bag", mass = "50 lb", price = 10.0, supplier = "north" }]
[[supplier]]
name = "north"
minimum = 100
"""
    document = document_of(packs)
    (told,) = [each["text"] for each in document["warnings"] if each["id"] == "order-minimum"]
    assert told == "north: order minimum $100.00. Bought to reach it: Silica sand (10 × bag), for $90.00 more."
    charged = document_of(packs + "small_order_charge = 25\n")
    (told,) = [each["text"] for each in charged["warnings"] if each["id"] == "order-minimum"]
    assert told == "north: order minimum $100.00. The small-order charge of $25.00 is paid instead."
    assert charged["supply"]["deliveries"][-1]["small_order_charge"] == 25.0
    assert line(charged, "silica-sand")["packs"][0]["count"] == 1


def test_what_it_costs_to_buy_elsewhere_because_of_a_minimum_is_stated(document_of: Callable[..., Document]) -> None:
    document = document_of("""
[materials.silica-sand]
packs = [
  { name = "bag", mass = "50 lb", price = 10.0, supplier = "north" },
  { name = "sack", mass = "50 lb", price = 12.5, supplier = "south" },
]
[[supplier]]
name = "north"
minimum = 500
[[supplier]]
name = "south"
""")
    (told,) = [each["text"] for each in document["warnings"] if each["id"] == "order-minimum"]
    assert told == "north: order minimum $500.00. Ordered elsewhere instead, for $2.50 more."
    assert [pack["pack"] for pack in line(document, "silica-sand")["packs"]] == ["sack"]


def test_freight_and_weight_count_form_boards_and_sealer(document_of: Callable[..., Document]) -> None:
    document = document_of()
    boards = next(each for each in document["consumables"] if each["material"] == "form-board")
    board_kg = sum(pack["count"] * pack["mass_kg"] for pack in boards["packs"])
    goods_kg = sum(
        p["count"] * p["mass_kg"] for m in document["materials"] for p in m["packs"] if m["material"] != "water"
    )
    assert board_kg > 30.0
    assert document["pallets"]["gross_kg"] >= board_kg + goods_kg
    assert any(pack["material"] == "form-board" for load in document["pallets"]["loads"] for pack in load["packs"])


def test_a_pack_is_known_by_material_supplier_and_name(document_of: Callable[..., Document]) -> None:
    document = document_of("""
[materials.silica-sand]
packs = [
  { name = "bag", mass = "50 lb", price = 9.0, supplier = "south", item = "S-30" },
  { name = "bag", mass = "50 lb", price = 8.0, supplier = "north", item = "N-30" },
]
[[supplier]]
name = "north"
[[supplier]]
name = "south"
""")
    (pack,) = line(document, "silica-sand")["packs"]
    assert (pack["supplier"], pack["item"], pack["unit_price"]) == ("north", "N-30", 8.0)


def test_a_pack_of_liquid_weighs_by_the_density_of_the_job(document_of: Callable[..., Document]) -> None:
    mix = '[mixes.backer-45]\nbased_on = "backer-45"\npolymer = { acrylic-emulsion = 0.05 }\n'
    density = "[materials.acrylic-emulsion]\nrelative_density = 1.20\n"
    light, heavy = (line(document_of(mix + more), "acrylic-emulsion")["packs"][0]["mass_kg"] for more in ("", density))
    assert heavy / light == pytest.approx(1.20 / 1.06)
