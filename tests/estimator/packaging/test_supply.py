"""Purchases of a whole job, read from its file: suppliers, pallets, freight, consumables, forms, samples, stock."""

from collections.abc import Callable
from decimal import Decimal
from math import ceil
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from estimator.commands.jobs import estimate_file
from estimator.document import Document, to_document
from estimator.errors import InputError
from estimator.job import Pack
from estimator.packaging.materials import _warnings
from estimator.packaging.price import tiers
from estimator.packaging.stage import _keys, _used_warnings
from estimator.report.papers.data_files import shelf_toml
from estimator.words import PLAIN

Write = Callable[[str], Path]
LB, INCH, FOOT = 0.45359237, 0.0254, 0.3048
SLAB = 'shape = { kind = "slab", length = "72 in", width = "25.5 in", thickness = "3/4 in" }'
HEAD = '[job]\nname = "Order"\nmix = "backer-45"\nwaste = 0.07\ndate = "2026-03-02"\n'
PIECE = f'[[piece]]\nmark = "C1"\nuse = "counter"\n{SLAB}\n'
NORTH = """
[[supplier]]
name = "north"
minimum = 0
[supplier.freight]
per_delivery = 60
per_pallet = 40
by_mass = { mass = "100 lb", price = 1.50 }
zones = { near = 0, far = 35 }
lift_gate = 75
"""


@pytest.fixture
def document_of(write_job: Write) -> Callable[[str], Document]:
    """The estimate of a head, one counter, and the additions of a test."""

    def estimate(more: str = "", piece: str = PIECE, head: str = HEAD) -> Document:
        return to_document(estimate_file(write_job(head + piece + more)))

    return estimate


def by(rows: list[dict[str, Any]], key: str = "material") -> dict[str, dict[str, Any]]:
    return {row[key]: row for row in rows}


def faults(write_job: Write, more: str, piece: str = PIECE) -> list[str]:
    with pytest.raises(InputError) as raised:
        estimate_file(write_job(HEAD + piece + more))
    return [str(fault) for fault in raised.value.faults]


def test_ninety_pounds_of_bead_are_one_sack_of_150_and_leave_60(document_of: Callable[[str], Document]) -> None:
    # common practice: a sack of about 50 ft³ and 150 lb, two to a pallet
    sack = """
[materials.coated-eps-bead]
bulk_density = "3 lb/ft^3"
packs = [{ name = "sack", mass = "150 lb", volume = "50 ft^3", price = 400.0, per_pallet = 2 }]
"""
    per_piece = by(document_of(sack)["materials"])["coated-eps-bead"]["required_kg"]
    pieces = round(90 * LB / per_piece)
    piece = PIECE.replace("use =", f"quantity = {pieces}\nforms = {pieces}\nuse =")
    document = document_of(sack, piece=piece)
    line = by(document["materials"])["coated-eps-bead"]
    assert line["required_kg"] == pytest.approx(90 * LB, rel=0.02)
    assert [(pack["pack"], pack["count"]) for pack in line["packs"]] == [("sack", 1)]
    assert line["left_over_kg"] == pytest.approx(60 * LB, rel=0.03)
    twice = by(document_of(sack, piece=piece.replace(str(pieces), str(2 * pieces)))["materials"])["coated-eps-bead"]
    assert twice["packs"][0]["count"] == 2


def test_pallets_add_up_over_lines_and_their_gross_mass_is_goods_plus_pallets(
    document_of: Callable[[str], Document],
) -> None:
    thirty = PIECE.replace("use =", "quantity = 30\nforms = 30\nuse =")
    document = document_of("[receiving]\nmixed_pallets = false\n", thirty)
    bought = [*document["materials"], *document["consumables"]]
    packs = [pack for line in bought if line["material"] != "water" for pack in line["packs"]]
    stands = [pack for pack in packs if pack["per_pallet"]]
    count = sum(ceil(pack["count"] / pack["per_pallet"]) for pack in stands)
    pallets = document["pallets"]
    assert (pallets["count"], len(pallets["loads"])) == (count, count)
    goods_kg = sum(pack["count"] * (pack["mass_kg"] or 0.0) for pack in packs)
    assert pallets["gross_kg"] == pytest.approx(goods_kg + count * 45 * LB, rel=1e-12)
    charged = [each for delivery in document["supply"]["deliveries"] for each in delivery["charges"]]
    assert sum(each["number"] for each in charged if each["text"] == "pallets") == count


def test_mixed_pallets_are_fewer(document_of: Callable[[str], Document]) -> None:
    apart, shared = document_of("[receiving]\nmixed_pallets = false\n"), document_of()
    assert shared["pallets"]["count"] < apart["pallets"]["count"]
    assert shared["pallets"]["count"] == shared["pallets"]["fewest"] == 1


def test_a_load_over_a_rating_is_flagged_with_its_place(document_of: Callable[[str], Document]) -> None:
    piece = PIECE.replace("use =", "quantity = 60\nforms = 60\nuse =")
    document = document_of('[workshop.transport]\nforklift_rating = "300 lb"\npallet_rating = "80 lb"\n', piece)
    over = [load for load in document["pallets"]["loads"] if load["over"]]
    # a bag of 94 lb is heavier than the rating of the pallet, and stands alone on one; so does a bulk sack
    assert over
    for load in over:
        assert load["over"] == (["forklift"] if load["gross_kg"] > 300 * LB else []) + ["pallet"]
    assert all(sum(pack["count"] for pack in load["packs"]) == 1 for load in over)
    assert any(
        told["id"] == "pallet-overloaded" and "White portland cement (" in told["text"] for told in document["warnings"]
    )
    lifted = document_of('[workshop.transport]\nforklift_rating = "500 lb"\n', piece)
    assert {"forklift"} <= {name for load in lifted["pallets"]["loads"] for name in load["over"]}


def test_the_bill_of_a_supplier_adds_up_by_pocket_calculator(document_of: Callable[[str], Document]) -> None:
    more = NORTH + (
        '[receiving]\nzone = "far"\nlift_gate = true\n'
        "[materials.white-cement]\n"
        'packs = [{ name = "bag", mass = "94 lb", price = 34, per_pallet = 35, supplier = "north" }]\n'
    )
    document = document_of(more)
    delivery = by(document["supply"]["deliveries"], "supplier")["north"]
    bags = by(document["materials"])["white-cement"]["packs"][0]["count"]
    gross_lb = bags * 94 + 45
    by_mass = round(gross_lb / 100 * 1.50 + 1e-9, 2)
    assert delivery["gross_kg"] == pytest.approx(gross_lb * LB)
    assert delivery["freight"] == pytest.approx(60 + 35 + 75 + 40 + by_mass, abs=0.005)
    supply = document["supply"]
    assert supply["total"] == pytest.approx(supply["goods"] + supply["freight"], abs=1e-9)


def test_freight_and_an_order_minimum_change_the_choice_of_supplier(document_of: Callable[[str], Document]) -> None:
    packs = """
[materials.silica-sand]
packs = [
  { name = "near", mass = "50 lb", price = 9.00, per_pallet = 56, supplier = "south" },
  { name = "far", mass = "50 lb", price = 8.00, per_pallet = 56, supplier = "north" },
]
[[supplier]]
name = "south"
"""
    free = document_of(packs + '[[supplier]]\nname = "north"\n')
    assert [p["pack"] for p in by(free["materials"])["silica-sand"]["packs"]] == ["far"]
    dear = document_of(packs + '[[supplier]]\nname = "north"\nfreight = { per_delivery = 60 }\n')
    assert [p["pack"] for p in by(dear["materials"])["silica-sand"]["packs"]] == ["near"]
    asks = document_of(packs + '[[supplier]]\nname = "north"\nminimum = 500\n')
    assert [p["pack"] for p in by(asks["materials"])["silica-sand"]["packs"]] == ["near"]
    assert asks["supply"]["proven"]


def test_a_reserve_is_bought_and_left_over(document_of: Callable[[str], Document]) -> None:
    line = by(document_of('[reserve]\nwhite-cement = "200 lb"\n')["materials"])["white-cement"]
    assert line["reserve_kg"] == pytest.approx(200 * LB)
    assert line["left_over_kg"] >= 200 * LB


def test_a_missing_price_gives_an_order_without_a_total(document_of: Callable[[str], Document]) -> None:
    more = '[materials.white-cement]\npacks = [{ name = "bag", mass = "94 lb" }]\n'
    document = document_of(more)
    line = by(document["materials"])["white-cement"]
    assert (line["packs"][0]["count"], line["purchase_cost"], line["cost"]) == (1, None, None)
    assert (document["supply"]["goods"], document["supply"]["total"]) == (None, None)
    assert document["supply"]["unpriced"] == ["white-cement"]
    told = [each["text"] for each in document["warnings"]]
    assert "White portland cement has a pack without a price. Its order is not in the total." in told


def test_consumables_follow_from_areas_lengths_and_pieces(document_of: Callable[[str], Document]) -> None:
    more = """
[workshop.consumables]
release-agent = { basis = "form-area", coverage = "600 ft^2/gal", coats = 2, waste = 0.05 }
plastic-film = { coats = 0 }
threaded-insert = { basis = "piece" }
"""
    document = document_of(more, PIECE.replace("use =", "quantity = 3\nforms = 3\nuse ="))
    piece, used = document["pieces"][0], by(document["consumables"])
    gallon_m3 = 231 * INCH**3
    per_coat = 3 * piece["form_area_m2"] / (600 * FOOT**2) * gallon_m3
    assert used["release-agent"]["required"] == pytest.approx(2 * per_coat * 1.05)
    assert used["edge-tape"]["required"] == pytest.approx(3 * 2 * (72 + 25.5) * INCH * 1.10)
    assert used["threaded-insert"]["required"] == 3
    assert "plastic-film" not in used
    for row in used.values():
        held = sum(pack["count"] * pack["holds"] for pack in row["packs"])
        assert held == pytest.approx(row["required"] + row["left_over"])
        assert row["purchase_cost"] == pytest.approx(sum(pack["price"] for pack in row["packs"]), abs=1e-9)
        assert row["cost"] <= row["purchase_cost"] + 1e-9
    assert document["cost"]["consumables"] == pytest.approx(sum(row["cost"] for row in used.values()), abs=1e-9)


def test_a_piece_asks_for_scrim_and_buys_its_insert(document_of: Callable[[str], Document]) -> None:
    piece = PIECE + (
        'consumables = { ar-glass-scrim = { area = "4 ft^2", waste = 0.1 } }\n'
        'inserts = [{ name = "core", material = "foam-core", displaces = "0.1 ft^3" }]\n'
    )
    used = by(document_of(piece=piece)["consumables"])
    assert used["ar-glass-scrim"]["required"] == pytest.approx(4.4 * FOOT**2)
    assert (used["foam-core"]["required"], used["foam-core"]["unit"]) == (pytest.approx(0.1 * FOOT**3), "m3")


def test_film_that_is_reused_is_enough_for_the_busiest_day(document_of: Callable[[str], Document]) -> None:
    together = document_of(piece=PIECE.replace("use =", "quantity = 3\nforms = 3\nuse ="))
    apart = document_of(piece=PIECE.replace("use =", "quantity = 3\nforms = 1\nuse ="))
    area = together["pieces"][0]["form_area_m2"]
    film = [by(each["consumables"])["plastic-film"]["required"] for each in (together, apart)]
    assert film == [pytest.approx(3 * area * 1.25), pytest.approx(area * 1.25)]


def test_form_board_is_listed_with_the_consumables_and_nothing_is_listed_twice(
    document_of: Callable[[str], Document],
) -> None:
    document = document_of(piece=PIECE.replace("use =", "quantity = 4\nforms = 1\nuse ="))
    forms = document["forms"]
    (mark,) = forms["marks"]
    assert (mark["kind"], mark["uses"], mark["built"], mark["renewals"]) == ("melamine", 2, 2, 1)
    board = by(document["consumables"])["form-board"]
    assert mark["board_cost"] == pytest.approx(board["cost"])
    assert forms["cost"] == document["cost"]["forms"] == mark["hardware"] == 2 * 6.50
    assert mark["cost_per_cast"] == pytest.approx((board["cost"] + forms["cost"]) / 4)
    cut = forms["cut_list"]
    sheets_m2 = cut["sheets"] * cut["sheet_m"][0] * cut["sheet_m"][1]
    assert board["required"] == pytest.approx(max(2 * mark["form_area_m2"] * 1.15, sheets_m2))
    # first principles: a bottom larger by a board all round, and four edges
    plan = (72 + 1.5) * (25.5 + 1.5) + 2 * (72 + 1.5) * 0.75 + 2 * 25.5 * 0.75
    assert mark["board_area_m2"] == pytest.approx(2 * plan * INCH**2)


def test_a_rubber_form_takes_no_board_and_is_paid_for_under_forms(document_of: Callable[[str], Document]) -> None:
    document = document_of(piece=PIECE + 'form = { kind = "rubber", uses = 30 }\n')
    (mark,) = document["forms"]["marks"]
    assert "form-board" not in by(document["consumables"])
    (rubber,) = document["forms"]["materials"]
    area = document["pieces"][0]["form_area_m2"]
    assert rubber["required"] == pytest.approx(area * 0.5 * INCH * 1.05 * 998 * 1.10)
    assert document["cost"]["forms"] == pytest.approx(rubber["cost"] + 35.0)
    assert mark["uses"] == 30


def test_samples_are_cast_sealed_priced_and_credited(document_of: Callable[[str], Document]) -> None:
    plain, shown = document_of(), document_of("[samples]\ncount = 2\nprice = 45.00\n")
    samples = shown["samples"]
    assert (samples["count"], samples["price"], samples["credit"]) == (2, 90.0, 90.0)
    assert samples["area_m2"] == pytest.approx(2 * FOOT**2)
    more = [by(each["consumables"])["sealer-penetrating"]["required"] for each in (plain, shown)]
    per_m2 = 2 * (231 * INCH**3) / (200 * FOOT**2)
    assert more[1] - more[0] == pytest.approx(2 * FOOT**2 * per_m2)
    assert shown["cost"]["forms"] == pytest.approx(plain["cost"]["forms"] + samples["concrete_cost"], abs=1e-9)


def test_the_shelf_of_one_job_is_the_stock_of_the_next(write_job: Write, tmp_path: Path) -> None:
    first = estimate_file(write_job(HEAD + PIECE))
    document = to_document(first)
    (tmp_path / "shelf.toml").write_bytes(shelf_toml(first))
    left = by(document["shelf"])
    assert left["white-cement"]["keeps_until"] == "2026-05-31"  # 90 days in its bag
    next_head = HEAD.replace("2026-03-02", "2026-05-01") + 'stock_file = "shelf.toml"\n'
    second = to_document(estimate_file(write_job(next_head + PIECE)))
    for line in second["materials"]:
        if line["material"] in left:
            assert line["on_hand_kg"] == pytest.approx(left[line["material"]]["left"], abs=1e-8)
    tape = by(second["consumables"])["edge-tape"]
    assert tape["on_hand"] == pytest.approx(left["edge-tape"]["left"], abs=1e-8)
    assert not any(told["id"] == "stock-unused" for told in second["warnings"])
    late = to_document(estimate_file(write_job(next_head.replace("2026-05-01", "2026-06-01") + PIECE)))
    assert by(late["materials"])["white-cement"]["on_hand_kg"] == 0.0
    told = [each["text"] for each in late["warnings"]]
    assert "stock.white-cement expired on May 31, 2026 and does not count." in told


SAND = "[materials.silica-sand]\npacks = "
FAULTS = [
    (
        SAND + '[{ name = "bag", price = 9.5 }]\n',
        "job.toml: material silica-sand, packs[0]: has no mass and no volume. "
        'Add mass = "50 lb", or volume = "27 ft^3".',
    ),
    (
        SAND + '[{ name = "bag", mass = "50 lb", price = 9.5, breaks = [{ from = 10, price = 9.9 }] }]\n',
        "job.toml: material silica-sand, packs.bag.breaks: from 10 packs on each costs 9.9, more than the 9.5 before. "
        "Correct the price, or set dearer_breaks = true if the supplier really charges more for more.",
    ),
    (
        SAND + '[{ name = "bag", mass = "50 lb", price = 9.5, pallet_price = 400 }]\n',
        'job.toml: material silica-sand, packs.bag.per_pallet: pack "bag" has a price by the pallet, but not how many '
        "make one. Give per_pallet.",
    ),
    (
        SAND + '[{ name = "bag", mass = "50 lb", price = 9.5, supplier = "nort" }]\n' + NORTH.replace("zones", "zones"),
        'job.toml: material silica-sand, packs.bag.supplier: "nort" is not one of the suppliers. Did you mean `north`?',
    ),
    (NORTH, "job.toml: receiving, zone: is missing. north charges freight by zone. Choose one of near and far."),
    (
        NORTH + '[receiving]\nzone = "fer"\n',
        'job.toml: receiving, zone: supplier north has no zone "fer". Did you mean `far`?',
    ),
    (
        '[reserve]\nwhite-cment = "60 lb"\n',
        "job.toml: reserve.white-cment: there is no such material. Did you mean `white-cement`?",
    ),
    (
        '[stock]\nwhite-cement = { area = "3 ft^2" }\n',
        'job.toml: stock.white-cement: is not given by mass. A mix needs mass. Write mass = "60 lb".',
    ),
    (
        '[workshop.consumables]\nedge-tpe = { basis = "edge-length" }\n',
        "job.toml: workshop.consumables.edge-tpe: there is no such material. Did you mean `edge-tape`?",
    ),
    (
        '[workshop.consumables]\nsilica-sand = { basis = "form-area" }\n',
        "job.toml: workshop.consumables.silica-sand: has the kind sand, which goes into mixes.",
    ),
    (
        '[workshop.consumables]\nedge-tape = { basis = "form-area" }\n[materials.edge-tape]\n'
        'packs = [{ name = "roll", length = "180 ft", mass = "1 lb", price = 8.5 }]\n'
        '[workshop.consumables.threaded-insert]\nbasis = "edge-length"\ncoverage = "5 ft^2/gal"\n',
        'job.toml: workshop, consumables.threaded-insert: coverage does not go with basis "edge-length". '
        'Write basis = "form-area" or "finished-area", or remove coverage.',
    ),
    (
        '[materials.edge-tape]\npacks = [{ name = "roll", mass = "2 lb", price = 8.5 }]\n',
        'job.toml: material edge-tape, packs.roll: pack "roll" does not say its length, by which it is needed. '
        "Give the length in it.",
    ),
    (
        SAND + '[{ name = "bag", mass = "50 lb", price = 0, supplier = "north" }]\n'
        '[[supplier]]\nname = "north"\nminimum = 50\n',
        "job.toml: suppliers: No order reaches the order minimums of its suppliers. "
        "Add packs of another supplier, or give small_order_charge.",
    ),
]


@pytest.mark.parametrize(("more", "expected"), FAULTS, ids=[case[1][10:60] for case in FAULTS])
def test_each_fault_of_an_order_is_reported_in_one_line(write_job: Write, more: str, expected: str) -> None:
    assert any(told.startswith(expected) for told in faults(write_job, more)), faults(write_job, more)


def test_a_stock_file_that_is_missing_or_holds_other_tables_is_reported(write_job: Write, tmp_path: Path) -> None:
    text = HEAD + 'stock_file = "shelf.toml"\n' + PIECE
    with pytest.raises(InputError) as raised:
        estimate_file(write_job(text))
    assert [str(fault) for fault in raised.value.faults] == ["shelf.toml: there is no such file. Check the path."]
    (tmp_path / "shelf.toml").write_text("[reserve]\n")
    with pytest.raises(InputError) as raised:
        estimate_file(write_job(text))
    assert str(raised.value.faults[0]).startswith("shelf.toml: reserve: this key is not known.")


def test_materials_without_packs_or_prices_are_named_in_a_warning(document_of: Callable[[str], Document]) -> None:
    cement = '[materials.white-cement]\npacks = [{ name = "bag", mass = "94 lb" }]\n'
    bare = document_of("[materials.silica-sand]\npacks = []\n" + cement)
    told = {(each["id"], each["text"]) for each in bare["warnings"]}
    assert any(id == "unpriced" and "Silica sand" in text for id, text in told)
    assert any(id == "pack-unpriced" and "White" in text for id, text in told)
    assert not any(id == "unpriced" and "cement" in text for id, text in told)


def test_an_impossible_charge_of_a_supplier_names_the_supplier(write_job: Write) -> None:
    (fault,) = faults(write_job, NORTH.replace("per_pallet = 40", "per_pallet = -40"))
    assert "north" in fault
    assert "per_pallet" in fault


def test_an_unproven_order_states_how_much_a_better_one_could_save() -> None:
    unproven = SimpleNamespace(proven=False, gap=Decimal("3.50"))
    (told,) = _warnings([], unproven, {})  # type: ignore[arg-type]
    assert told.id == "order-not-proven"
    assert PLAIN.text(told.text).endswith("A cheaper combination may exist, by $3.50 at most.")
    assert _warnings([], SimpleNamespace(proven=True, gap=Decimal(0)), {}) == []  # type: ignore[arg-type]


def test_consumables_with_the_same_name_are_numbered_from_the_second_on() -> None:
    assert _keys(["sealer", "tape", "sealer", "sealer"], {"tape"}) == ["sealer", "tape 2", "sealer 2", "sealer 3"]


def test_a_pack_without_a_price_adds_nothing_to_a_sum() -> None:
    (tier,) = tiers(Pack("bag", 25.0, None, None, None), 1)
    assert (tier.base, tier.unit) == (0, 0)


def test_a_consumable_in_stock_is_not_bought_but_charged(document_of: Callable[[str], Document]) -> None:
    plain = by(document_of()["consumables"])["crate-lumber"]
    assert plain["packs"][0]["count"] == 5
    need_ft2 = plain["required"] / FOOT**2
    for stock_ft2, count in ((need_ft2 / 2, 3), (need_ft2 + 1, 0)):
        document = document_of(f'[stock]\ncrate-lumber = {{ area = "{stock_ft2:.3f} ft^2" }}\n')
        again = by(document["consumables"])["crate-lumber"]
        assert sum(pack["count"] for pack in again["packs"]) == count
        assert again["cost"] == plain["cost"], "no total depends on stock"
        assert again["on_hand"] == pytest.approx(stock_ft2 * FOOT**2, rel=1e-3)


def test_packs_left_out_of_the_comparison_are_named() -> None:
    line = SimpleNamespace(material="silica-sand", order=SimpleNamespace(unpriced=("sack", "pallet")), cost=Decimal(5))
    (told,) = _warnings([line], SimpleNamespace(proven=True, gap=Decimal(0)), {})  # type: ignore[list-item, arg-type]
    assert told.id == "pack-unpriced"
    text = PLAIN.text(told.text)
    assert "sack" in text
    assert "pallet" in text


def test_pieces_whose_edges_have_no_length_are_named_with_what_is_sold_by_length() -> None:
    by_edge = SimpleNamespace(
        order=SimpleNamespace(cost=Decimal(1)), material="edge-tape", parts=[SimpleNamespace(basis="edge-length")]
    )
    pieces = [
        SimpleNamespace(piece=SimpleNamespace(mark=mark), solid=SimpleNamespace(edge_lengths_m=lengths))
        for mark, lengths in (("M1", ()), ("C1", (1.0,)), ("M2", ()))
    ]
    (told,) = _used_warnings(
        [by_edge],
        SimpleNamespace(materials=[]),
        SimpleNamespace(pieces=pieces),  # type: ignore[list-item, arg-type]
    )
    assert told.id == "edge-length-unknown"
    text = PLAIN.text(told.text)
    assert all(part in text for part in ("M1", "M2", "dge tape"))
    assert "C1" not in text


@pytest.mark.parametrize(
    ("quantity", "forms", "warned"),
    [
        (20, 1, None),
        (21, 1, "C1: 21 pieces from one form take 21 days of casting. Write forms = 2 to cast them in 11 days."),
        (100, 3, "C1: 100 pieces from 3 forms take 34 days of casting. Write forms = 5 to cast them in 20 days."),
        (100, 5, None),
    ],
)
def test_a_mark_cast_for_months_in_few_forms_is_asked_about(
    document_of: Callable[[str], Document], quantity: int, forms: int, warned: str | None
) -> None:
    # common practice: one cast a day from each form
    document = document_of("", piece=f"{PIECE}quantity = {quantity}\nforms = {forms}\n")
    texts = [warning["text"] for warning in document["warnings"] if warning["id"] == "forms-few"]
    assert texts == ([] if warned is None else [warned])
    days = sum(pour.get("days", 1) for pour in document["pours"])
    assert (days > 20) == (warned is not None)


@pytest.mark.parametrize(
    ("material", "pack"),
    [
        ("white-cement", '{ name = "bag", mass = "94 lb", price = 0 }'),
        ("white-cement", '{ name = "bag", mass = "94 lb", price = 34, breaks = [{ from = 2, price = 0 }] }'),
        ("edge-tape", '{ name = "roll", length = "180 ft", price = 0 }'),
    ],
)
def test_a_pack_that_costs_nothing_is_asked_about(write_job: Write, material: str, pack: str) -> None:
    told = estimate_file(write_job(f"{HEAD}{PIECE}[materials.{material}]\npacks = [{pack}]\n")).warnings
    (text,) = [PLAIN.text(notice.text) for notice in told if notice.id == "pack-unpriced"]
    assert "has a price of 0, so it counts as free." in text
    assert not [n for n in estimate_file(write_job(HEAD + PIECE)).warnings if n.id == "pack-unpriced"]
