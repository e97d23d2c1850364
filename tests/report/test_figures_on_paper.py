"""Printed figures, read back from the PDFs, equal the document, rounded by the house rule."""

import re
from collections import Counter
from collections.abc import Callable
from pathlib import Path

import pytest

from estimator.batching import to_scale
from estimator.commands.jobs import estimate_file
from estimator.explain import workings_of
from estimator.report.figures import figure_text
from estimator.report.papers.batch_sheets import batch_sheets, measured, sheets_of
from estimator.report.papers.labels import code_of, labels
from estimator.report.papers.purchase_orders import material_list, purchase_orders
from estimator.report.papers.quote import quote
from estimator.report.papers.workings import by_kind, workings
from estimator.units import format_mass
from estimator.words import Words, crew_words_for, words_for
from tests.report.conftest import Estimated, job_text, read_pages, sheets_among

JOBS = pytest.mark.parametrize("job", ["boathouse", "metric"])
POUND_KG, GALLON_M3 = 0.45359237, 231 * 0.0254**3


@pytest.fixture
def estimated(job: str, request: pytest.FixtureRequest) -> Estimated:
    found = request.getfixturevalue(job)
    assert isinstance(found, Estimated)
    return found


def said_by(*contents: bytes) -> str:
    return " ".join(page.text for content in contents for page in read_pages(content))


@JOBS
def test_the_quote_states_each_piece_with_its_price_and_maximum_weight(estimated: Estimated) -> None:
    text, units = said_by(quote(estimated.estimate)), estimated.document["job"]["units"]
    cost = estimated.document["cost"]
    for piece in estimated.document["pieces"]:
        assert piece["mark"] in text
        assert words_for(estimated.estimate.job).size(piece["size_m"]) in text
        heaviest = format_mass(piece["weight"]["high_kg"], units, up=True).removesuffix(" lb").removesuffix(" kg")
        assert re.search(rf"(?<![\d.]){re.escape(heaviest)}(?![\d.])", text)
        assert f"{piece['price']:,.2f}" in text
    for amount in (cost["price"], cost["tax"], cost["total"]):
        assert f"{amount:,.2f}" in text
    for step in estimated.document["quote"]["payments"]:
        assert f"{step['amount']:,.2f}" in text
    assert words_for(estimated.estimate.job).date(estimated.document["quote"]["valid_until"]) in text


@JOBS
def test_the_quote_reveals_neither_cost_nor_recipe(estimated: Estimated) -> None:
    text = said_by(quote(estimated.estimate)).lower()
    cost = estimated.document["cost"]
    inner = [*(line["material"] for line in estimated.document["materials"] if line["material"] != "water")]
    inner += [*estimated.estimate.mixes, "overhead", "margin", "labour", "allowance"]
    amounts = {f"{cost[key]:,.2f}" for key in ("materials", "labour", "direct", "overhead", "margin") if cost[key]}
    assert not [each for each in [*inner, *amounts] if re.search(rf"(?<![\w,]){re.escape(each)}\b", text)]


def test_the_quote_has_the_letterhead_and_terms_of_the_shop(boathouse: Estimated) -> None:
    text = said_by(quote(boathouse.estimate))
    business, client = boathouse.estimate.job.business, boathouse.estimate.job.client
    for each in (
        business.name,
        *business.address,
        *business.contact,
        *(words_for(boathouse.estimate.job).term(term.text) for term in business.terms if not term.uses),
        client.name,
        *client.address,
    ):
        assert each in text


@JOBS
def test_the_order_lists_every_pack(estimated: Estimated) -> None:
    words = words_for(estimated.estimate.job)
    orders = said_by(*purchase_orders(estimated.estimate).values())
    listed = said_by(material_list(estimated.estimate))
    for line in estimated.document["materials"]:
        name = words.name(estimated.estimate.job.materials[line["material"]])
        for pack in line["packs"]:
            if line["material"] != "water":
                assert re.search(rf"{re.escape(name)} {re.escape(pack['pack'])}", orders)
                assert f"{pack['count']} × {pack['pack']}" in listed
                assert f"{pack['price']:,.2f}" in orders
    pallets = estimated.document["pallets"]
    if pallets["gross_kg"]:
        assert words.mass(pallets["gross_kg"], up=True) in listed


@JOBS
def test_a_batch_sheet_states_each_mass_to_the_step_of_the_scale_and_the_density_check(estimated: Estimated) -> None:
    pages = read_pages(batch_sheets(estimated.estimate))
    words = Words(estimated.estimate.job.units, estimated.estimate.job.currency)
    firsts = [recipe.batches[0] for recipe in sheets_of(estimated.estimate)]
    written = {
        id(own): batch
        for own, batch in zip(estimated.estimate.batching.batches, estimated.document["batches"], strict=True)
    }
    for page, own in zip(sheets_among(pages), firsts, strict=True):
        batch = written[id(own)]
        mix = crew_words_for(estimated.estimate.job).name(estimated.estimate.job.mixes[own.mix])
        assert mix.replace("\N{NO-BREAK SPACE}", " ") in page.text
        assert all(mark in page.text for mark in Counter(batch["pieces"]))
        for load in own.load:
            assert measured(load, own, estimated.estimate, words).big in page.text
            assert words.to_step(load.mass_kg, load.scale_step_kg) in page.text
        check = batch["density_check"]
        _, step_kg = to_scale(check["expected_kg"], estimated.estimate.job.workshop.scales)
        assert f"{words.measure(check['measure_m3'])} bucket" in page.text
        for key in ("expected_kg", "high_kg"):
            assert words.checked_mass(check[key], step_kg) in page.text
        assert f"({words.checked_mass(check['low_kg'], step_kg).split()[0]}–" in page.text


def test_beads_are_measured_by_the_bucket_first(boathouse: Estimated) -> None:
    words = Words("imperial", "USD")
    batch = next(b for b in boathouse.estimate.batching.batches if any("bead" in each.material for each in b.load))
    beads = next(each for each in batch.load if "bead" in each.material)
    line = measured(beads, batch, boathouse.estimate, words)
    assert line.big == f"{beads.volume_m3 / GALLON_M3:.1f} gal"
    assert words.to_step(beads.mass_kg, beads.scale_step_kg) in line.second


def test_every_material_of_a_batch_has_its_line_in_the_order_of_loading(boathouse: Estimated) -> None:
    page = read_pages(batch_sheets(boathouse.estimate))[-1].text
    batch = boathouse.estimate.batching.batches[-1]
    materials = boathouse.estimate.job.materials
    at = [
        page.index(words_for(boathouse.estimate.job).name(materials[each.material]))
        for each in batch.load
        if each.material != "water"
    ]
    assert at == sorted(at)
    assert page.index("Water, first") < page.index("Water, held back")


@JOBS
def test_each_piece_has_a_label_with_its_weight_rounded_up(estimated: Estimated) -> None:
    text, units = said_by(labels(estimated.estimate)), estimated.document["job"]["units"]
    for piece in estimated.document["pieces"]:
        assert all(f"{n} of {piece['quantity']}" in text for n in range(1, piece["quantity"] + 1))
        assert format_mass(piece["weight"]["high_kg"], units, up=True) in text
    assert text.count("piece only") == sum(piece["quantity"] for piece in estimated.document["pieces"])


def test_a_file_holds_ten_thousand_labels_at_most_as_many_of_each_mark_and_says_so(
    make: Callable[[str], Estimated], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("estimator.report.papers.labels.MOST", 10)
    made = make(job_text("Many", "metric", "EUR", [("A", 100_000, 900.0), ("B", 3, 800.0)]))
    said = said_by(labels(made.estimate))
    assert said.count("piece only") == 5 + 3
    assert "5 of 100,000" in said
    assert "6 of 100,000" not in said
    assert "3 of 3" in said
    assert "labels of 8 of 100,003 pieces, the most in one file" in said


def test_the_code_on_a_label_has_its_finder_patterns() -> None:
    size, runs = code_of("C1")
    modules = [[0] * size for _ in range(size)]
    for row, start, length in runs:
        modules[row][start : start + length] = [1] * length
    finder = [[1] * 7, [1, 0, 0, 0, 0, 0, 1], *[[1, 0, 1, 1, 1, 0, 1]] * 3, [1, 0, 0, 0, 0, 0, 1], [1] * 7]
    assert [row[:7] for row in modules[:7]] == finder  # source: ISO/IEC 18004, the finder pattern, from memory
    assert [row[-7:] for row in modules[:7]] == finder


def test_each_chapter_of_the_workings_names_its_page(metric: Estimated) -> None:
    pages = read_pages(workings(metric.estimate))
    first = " ".join(pages[0].text.split())
    for chapter in ("Price and cost", "Weights", "Material orders", "Forms", "Mixes", "Curing", "Areas and volumes"):
        found = re.search(rf"{chapter} (\d+)", first)
        assert found, chapter
        assert chapter in pages[int(found[1]) - 1].text


def test_every_working_is_printed(metric: Estimated) -> None:
    text = said_by(workings(metric.estimate)).replace(" ", "")
    for each in workings_of(metric.estimate):
        assert figure_text(each.result).replace(" ", "") in text, each.figure
        assert each.formula.replace(" ", "") in text, each.figure


@pytest.mark.parametrize(
    ("mass_kg", "step_kg", "told"),
    [
        (45.3 * POUND_KG, 0.1 * POUND_KG, "45.3 lb"),
        (46.0 * POUND_KG, 0.1 * POUND_KG, "46.0 lb"),
        (46.0 * POUND_KG, POUND_KG, "46 lb"),
        (0.2733, 0.0001, "273.3 g"),
        (2.341, 0.001, "2,341 g"),
        (23.405, 0.005, "23.405 kg"),
        (40.0 * POUND_KG, 2.0 * POUND_KG, "40 lb"),
        (23.5, 0.5, "23.5 kg"),
    ],
)
def test_a_mass_prints_as_its_scale_shows_it(mass_kg: float, step_kg: float, told: str) -> None:
    assert Words("imperial", "USD").to_step(mass_kg, step_kg) == told


def test_loose_volumes_print_in_buckets() -> None:
    words, bucket_m3 = Words("imperial", "USD"), 5 * GALLON_M3
    assert words.bucketful(12.4 * GALLON_M3) == "12.4 gal"
    assert words.bucketful(0.5 * GALLON_M3) == "2.0 qt"
    assert words.buckets(12.4 * GALLON_M3, bucket_m3) == "2 full buckets + 2.4 gal"
    assert words.buckets(10.0 * GALLON_M3, bucket_m3) == "2 full buckets"
    assert words.buckets(4.0 * GALLON_M3, bucket_m3) == ""
    assert Words("metric", "EUR").bucketful(0.0124) == "12.4 L"


@pytest.mark.parametrize(
    ("value", "told"),
    [
        (25672.29, "25672.29"),
        (0.047927587, "0.0479276"),
        (1234567.891, "1234568"),
        (3.0, "3"),
        (3.094e-7, "0.0000003094"),
    ],
)
def test_values_of_a_working_keep_six_digits_and_money_keeps_all(value: float, told: str) -> None:
    assert figure_text(value) == told


SEVERAL = """
[job]
name = "Several batches"
units = "{units}"
mix = "{mix}"
[[piece]]
mark = "A"
use = "panel"
quantity = 5
forms = 5
shape = {{ kind = "slab", length = "2400 mm", width = "600 mm", thickness = "25 mm" }}
[workshop]
mixer = {{ volume = "1.6 ft^3", mass = "120 lb", kind = "{mixer}" }}
"""


@pytest.mark.parametrize("units", ["imperial", "metric"])
@pytest.mark.parametrize("mixer", ["drill", "paddle"])
@pytest.mark.parametrize("mix", ["backer-45", "backer-100", "solid-cast"])
def test_no_instruction_of_a_batch_sheet_is_cut_off(tmp_path: Path, units: str, mixer: str, mix: str) -> None:
    path = tmp_path / "job.toml"
    path.write_text(SEVERAL.format(units=units, mixer=mixer, mix=mix))
    estimate = estimate_file(path)
    recipes = sheets_of(estimate)
    assert max(recipe.count for recipe in recipes) >= 4
    words = Words(estimate.job.units, estimate.job.currency)
    pages = read_pages(batch_sheets(estimate))
    for page, recipe in zip(sheets_among(pages), recipes, strict=True):
        text, batch = " ".join(page.text.split()), recipe.batches[0]
        assert "…" not in text
        for load in batch.load:
            for part in measured(load, batch, estimate, words).second.split(" · "):
                assert part in text, part


def test_workings_that_differ_in_one_step_of_their_path_share_a_table(metric: Estimated) -> None:
    kinds = by_kind(metric.estimate, workings_of(metric.estimate))
    figures = {kind.figure for kind in kinds}
    assert "handling.loads.*.load_kg" in figures
    assert not [figure for figure in figures if figure.startswith("stands.A-frame")]
    (loads,) = [entries for kind, entries in kinds.items() if kind.figure == "handling.loads.*.load_kg"]
    stages = {item.rpartition(" ")[2] for item, _ in loads}
    assert stages == {"strip", "turn", "yard", "transport", "install"}
    # every working stands on the paper, once
    assert sorted(w.figure for entries in kinds.values() for _, w in entries) == sorted(
        w.figure for w in workings_of(metric.estimate)
    )
