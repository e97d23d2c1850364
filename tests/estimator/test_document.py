"""The estimate document: every key of the contract, and figures that agree with each other."""

import re
from collections.abc import Callable
from math import ceil, floor
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.commands.jobs import estimate_file
from estimator.document import Document, _cents, to_document, to_json
from estimator.explain import workings_of_figure
from estimator.intake.json_schema import json_schema
from estimator.money import round2

INCH_M, POUND_KG = 0.0254, 0.45359237
JOB = """
[job]
name = "Document"
mix = "backer-45"
waste = 0.07

[[piece]]
mark = "C1"
quantity = 2
use = "counter"
layers = [
  { mix = "face", thickness = "1/8 in", method = "spray", waste = 0.15 },
  { mix = "backer-45", method = "hand" },
]
inserts = [
  { name = "steel frame", mass = "11 lb", at = ["36 in", "12 in", "0.5 in"] },
  { name = "foam core", displaces = "0.1 ft^3", mass = "0.1 lb" },
]
[piece.shape]
kind = "slab"
length = "72 in"
width = "25.5 in"
thickness = "3/4 in"
drop_edges = [{ sides = ["front", "left"], height = "2 in", thickness = "1 in" }]
cutouts = [{ kind = "rectangle", length = "30 in", width = "16 in", x = "20 in", y = "4 in" }]

[[piece]]
mark = "P1"
shape = { kind = "box", length = "30 in", width = "14 in", height = "14 in", wall = "3/4 in" }

[workshop]
density_tolerance = 0.05
thickness_tolerance = "1/16 in"

[price]
overhead = 0.15
margin = 0.30
tax = 0.06

[stock]
white-cement = "60 lb"
"""
DIRECT = ("materials", "consumables", "labour", "allowances", "forms", "freight", "delivery", "gear")


@pytest.fixture(scope="module")
def document(tmp_path_factory: pytest.TempPathFactory) -> Document:
    path = tmp_path_factory.mktemp("job") / "job.toml"
    path.write_text(JOB, encoding="utf-8")
    return to_document(estimate_file(path), workings=True)


def by(rows: list[dict[str, Any]], key: str) -> dict[str, dict[str, Any]]:
    return {row[key]: row for row in rows}


CONTRACT = {
    "pieces": "mark quantity use volume_m3 surface_area_m2 form_area_m2 finished_area_m2 plan_area_m2 "
    "net_plan_area_m2 mass_per_area_kg_m2 high_per_area_kg_m2 "
    "price_per_area centroid_m size_m layers weight handling curing cautions",
    "mixes": "name fresh_density_kg_m3 installed_density_kg_m3 air water_cementitious free_water_kg_m3 batch_m3 "
    "recipe_kg_m3 volume_fractions cost_per_m3",
    "pours": "pour day pieces",
    "batches": "pour mix count volume_m3 loose_m3 yield_m3 pieces load",
    "materials": "material required_kg on_hand_kg packs bought_kg left_over_kg purchase_cost stock_cost cost",
    "cautions": "id text source pieces",
    "workings": "figure formula values result unit source",
}


@pytest.mark.parametrize("section", CONTRACT)
def test_the_document_has_every_key_of_the_contract(document: Document, section: str) -> None:
    for row in document[section]:
        assert set(CONTRACT[section].split()) <= set(row), section


def test_the_document_has_the_nested_keys_of_the_contract(document: Document) -> None:
    assert document["schema"] == "cast-estimate/1"
    piece = document["pieces"][0]
    by_stage = {"fresh_kg", "demould_kg", "installed_kg", "low_kg", "high_kg", "lift_kg", "turn_kg"}
    assert by_stage | {"centre_of_gravity_m"} <= set(piece["weight"])
    assert {"mix", "volume_m3", "mass_kg"} <= set(piece["layers"][0])
    assert {"crew", "loads", "gear"} <= set(piece["handling"])
    assert {"stage", "weight_kg", "adhesion_kg", "dynamic_factor", "load_kg"} <= set(piece["handling"]["loads"][0])
    load = {"step", "material", "target_kg", "mass_kg", "volume_m3", "deviation"}
    assert load <= set(document["batches"][0]["load"][0])
    assert {"pack", "count", "mass_kg", "unit_price", "price"} <= set(document["materials"][0]["packs"][0])
    assert {"count", "gross_kg"} <= set(document["pallets"])
    cost = "materials consumables labour forms freight overhead margin tax total"
    assert set(cost.split()) <= set(document["cost"])


def test_the_volume_equals_the_hand_calculation(document: Document) -> None:
    # first principles: plate, less cutout, front drop, left drop without the corner that the front has, less the core
    cubic_inches = 72 * 25.5 * 0.75 - 30 * 16 * 0.75 + 72 * 1 * 1.25 + 24.5 * 1 * 1.25 - 0.1 * 12**3
    piece = by(document["pieces"], "mark")["C1"]
    assert piece["volume_m3"] == pytest.approx(cubic_inches * INCH_M**3, rel=1e-12)
    assert sum(layer["volume_m3"] for layer in piece["layers"]) == pytest.approx(piece["volume_m3"], rel=1e-12)


def test_the_weight_is_layers_times_density_with_its_tolerances(document: Document) -> None:
    piece, mixes = by(document["pieces"], "mark")["C1"], by(document["mixes"], "name")
    fresh_kg = sum(layer["volume_m3"] * mixes[layer["mix"]]["fresh_density_kg_m3"] for layer in piece["layers"])
    inserts_kg = 11.1 * POUND_KG
    weight = piece["weight"]
    assert weight["fresh_kg"] == pytest.approx(fresh_kg + inserts_kg, rel=1e-12)
    assert weight["high_kg"] == pytest.approx(fresh_kg * 1.05 * (1 + (1 / 16) / 0.75) + inserts_kg, rel=1e-12)
    assert weight["low_kg"] < weight["installed_kg"] <= weight["fresh_kg"] < weight["high_kg"]


def test_materials_are_recipe_times_pieces_with_waste(document: Document) -> None:
    mixes, cast_m3 = by(document["mixes"], "name"), {}
    for piece in document["pieces"]:
        for layer in piece["layers"]:
            wanted = piece["quantity"] * layer["volume_m3"] * (1 + layer["waste"])
            cast_m3[layer["mix"]] = cast_m3.get(layer["mix"], 0.0) + wanted
    for name, volume_m3 in cast_m3.items():
        assert mixes[name]["batch_m3"] == pytest.approx(volume_m3, rel=1e-9)
    for line in document["materials"]:
        required = sum(m["batch_m3"] * m["recipe_kg_m3"].get(line["material"], 0.0) for m in document["mixes"])
        assert line["required_kg"] == pytest.approx(required, rel=1e-9)
        assert line["on_hand_kg"] + line["bought_kg"] >= line["required_kg"] * (1 - 1e-9)
        rest = line["on_hand_kg"] + line["bought_kg"] - line["required_kg"]
        assert line["left_over_kg"] == pytest.approx(rest, abs=1e-9)


def test_batches_weigh_what_the_mixes_take(document: Document) -> None:
    for mix in document["mixes"]:
        batches = [batch for batch in document["batches"] if batch["mix"] == mix["name"]]
        for name, per_m3 in mix["recipe_kg_m3"].items():
            weighed = sum(
                batch["count"] * load["target_kg"]
                for batch in batches
                for load in batch["load"]
                if load["material"] == name
            )
            assert weighed == pytest.approx(per_m3 * mix["batch_m3"], rel=1e-9)


def test_lines_add_up_to_totals_to_the_cent(document: Document) -> None:
    cost = {key: round(100 * value) for key, value in document["cost"].items() if isinstance(value, float)}
    direct = sum(
        cost[key]
        for key in ("materials", "consumables", "labour", "allowances", "forms", "freight", "delivery", "gear")
    )
    assert cost["direct"] == direct
    assert cost["price"] == direct + cost["overhead"] + cost["margin"]
    assert cost["total"] == cost["price"] + cost["tax"]
    assert sum(round(100 * piece["price"]) for piece in document["pieces"]) == cost["price"]
    for line in document["materials"]:
        if line["packs"]:
            by_use = round2(line["required_kg"] * line["list_price_per_kg"])
            assert line["cost"] == pytest.approx(float(min(by_use, round2(line["packs_alone"]))), abs=1e-9)


def test_a_second_run_gives_the_same_bytes(document: Document, tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    path.write_text(JOB, encoding="utf-8")
    assert to_json(to_document(estimate_file(path), workings=True)) == to_json(document)


def test_two_pieces_of_a_mark_need_the_same_mixes_as_two_marks(tmp_path: Path) -> None:
    slab = 'shape = { kind = "slab", length = "3 ft", width = "2 ft", thickness = "1 in" }'
    head = '[job]\nname = "x"\nmix = "backer-45"\nwaste = 0.05\n'
    one = head + f'[[piece]]\nmark = "A"\nquantity = 2\nforms = 2\n{slab}\n'
    two = head + f'[[piece]]\nmark = "A"\n{slab}\n[[piece]]\nmark = "B"\n{slab}\n'
    needs = []
    for i, text in enumerate((one, two)):
        path = tmp_path / f"{i}.toml"
        path.write_text(text, encoding="utf-8")
        needs.append({m["material"]: m["required_kg"] for m in to_document(estimate_file(path))["materials"]})
    assert needs[0] == pytest.approx(needs[1], rel=1e-12)


def find(document: Document, figure: str) -> Any:
    """The value at a dotted path, a list entry by its mark, name, material or stage."""
    at: Any = document
    for step in re.findall(r"[^.]+", figure):
        if isinstance(at, list):
            keys = ("mark", "name", "material", "stage", "pack")
            at = next(row for row in at if step in [row.get(key) for key in keys])
        else:
            at = at[step]
    return at


def test_every_working_gives_the_figure_that_it_explains(document: Document) -> None:
    # a plain evaluator of its own, so that a fault of the program cannot hide
    assert len(document["workings"]) > 40
    for working in document["workings"]:
        formula = working["formula"].replace("·", "*").replace("−", "-").replace("^", "**")
        functions = {"min": min, "max": max, "ceil": ceil, "floor": floor, "round2": lambda a: float(round2(a))}
        reached = eval(formula, {"__builtins__": {}}, functions | working["values"])
        assert reached == pytest.approx(working["result"], rel=1e-9, abs=1e-12), working["figure"]
        assert find(document, working["figure"]) == pytest.approx(working["result"], rel=1e-9), working["figure"]


def test_prices_crews_and_quantities_can_be_explained(document: Document) -> None:
    figures = {working["figure"] for working in document["workings"]}
    assert {"pieces.C1.price", "pieces.C1.price_per_area", "cost.labour_lines.build forms.quantity"} <= figures


@pytest.mark.parametrize(("figure", "leads"), [("crew", "lifts.carry"), ("turn_crew", "lifts.turn"), ("gear", "loads")])
def test_a_figure_that_follows_from_others_refers_to_them(tmp_path: Path, figure: str, leads: str) -> None:
    path = tmp_path / "job.toml"
    path.write_text(JOB, encoding="utf-8")
    workings = workings_of_figure(estimate_file(path), f"pieces.c1.handling.{figure}")
    assert workings
    assert all(working.figure.startswith(f"pieces.C1.handling.{leads}") for working in workings)


Write = Callable[[str], Path]


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        (
            '"1/8 in", method = "spray"',
            '"1 in", method = "spray"',
            'job.toml: piece C1, layers: add up to 1", which leaves nothing of 3/4" '
            "for the layer without a thickness. Make them thinner.",
        ),
        (
            '{ mix = "backer-45", method = "hand" }',
            '{ mix = "backer-45", method = "hand", thickness = "1/2 in" }',
            'job.toml: piece C1, layers: add up to 5/8", but the piece is 3/4" '
            "thick. Correct one, or leave one out to take the rest.",
        ),
        (
            'displaces = "0.1 ft^3"',
            'displaces = "1 ft^3"',
            "job.toml: piece C1, inserts: The inserts displace 1.00 ft³ of a layer of 0.54 ft³. Correct `displaces`.",
        ),
    ],
)
def test_faults_found_while_estimating_are_reported_like_the_rest(
    write_job: Write, old: str, new: str, expected: str
) -> None:
    from estimator.errors import InputError

    assert old in JOB
    with pytest.raises(InputError) as raised:
        estimate_file(write_job(JOB.replace(old, new)))
    assert [str(fault) for fault in raised.value.faults] == [expected]


def test_every_warning_of_the_document_has_an_id_that_the_schema_lists(document: Document) -> None:
    listed = json_schema()["$defs"]["WarningId"]["enum"]
    warnings = document["warnings"]
    assert warnings
    for warning in warnings:
        assert warning.keys() == {"id", "text"}
        assert warning["id"] in listed
    assert listed == sorted(set(listed))


@given(st.lists(st.one_of(st.floats(0.0, 1e7), st.integers(0, 10**9).map(lambda thousandths: thousandths / 1000))))
def test_a_column_of_money_is_rounded_like_each_amount(amounts: list[float]) -> None:
    assert _cents(np.array(amounts)) == [float(round2(amount)) for amount in amounts]
