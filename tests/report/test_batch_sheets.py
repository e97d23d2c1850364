"""Batch sheets state what applies to the mix, each caution once a day, and masses for the shop's scales."""

import re
from collections import Counter
from pathlib import Path

import pytest

from estimator.batching.loading import steps_of, to_scale
from estimator.commands.jobs import estimate_file
from estimator.constants import POUND_KG
from estimator.estimate import Estimate
from estimator.job import Scale
from estimator.report.papers.batch_sheets import batch_sheets, measured, role_of, scale_name, sheets_of
from estimator.report.papers.pour_words import days_of
from estimator.words import Words, crew_words_for, scale_unit
from tests.report.conftest import Estimated, read_pages, sheets_among

IMPERIAL, METRIC = Words("imperial", "USD"), Words("metric", "EUR", "en-GB")
JOB = """
[job]
name = "Two days"
units = "{units}"
mix = "backer-45"
{more}
[[piece]]
mark = "A"
use = "panel"
quantity = 2
forms = 1
shape = {{ kind = "slab", length = "1200 mm", width = "600 mm", thickness = "20 mm" }}
layers = [{{ mix = "face", thickness = "3 mm", method = "spray" }}, {{ mix = "backer-45", method = "hand" }}]
"""

FULL_DEPTH = """
[job]
name = "Panels"
units = "{units}"
crew_language = "{language}"
mix = "backer-45"
waste = 0.08

[[piece]]
mark = "F1"
quantity = 2
forms = 1
use = "panel"
shape = {{ kind = "panel", length = "2400 mm", height = "2700 mm", skin = "25 mm" }}
"""


def estimated(folder: Path, units: str = "imperial", more: str = "") -> Estimate:
    path = folder / "job.toml"
    path.write_text(JOB.format(units=units, more=more))
    return estimate_file(path)


def sheets(estimate: Estimate) -> list[str]:
    return [" ".join(page.text.split()) for page in sheets_among(read_pages(batch_sheets(estimate)))]


def test_a_sheet_is_titled_by_the_role_of_its_mix_in_the_piece(tmp_path: Path) -> None:
    estimate = estimated(tmp_path)
    roles = [role_of(batch, estimate) for batch in estimate.batching.batches]
    assert Counter(roles) == {"face": 2, "backer": 2}
    for role, text in zip(("face", "backer"), sheets(estimate), strict=True):
        assert ("FACE COAT Face mix" in text) == (role == "face")
        assert ("BACKER Backer, 45% beads" in text) == (role == "backer")
        assert "backer-45" not in text


def test_the_sheet_of_a_face_mix_says_nothing_of_beads_or_fiber(tmp_path: Path) -> None:
    estimate = estimated(tmp_path)
    face, backer = estimate.batching.batches[:2]
    said = [" ".join(IMPERIAL.text(step) for step in steps_of(estimate.job, batch.load)) for batch in (face, backer)]
    assert "bead" not in said[0]
    assert "fiber" not in said[0]
    assert "Add the beads by the bucket, loose and struck level. The bucket governs." in said[1]
    assert "Add the fiber last." in said[1]
    assert "liquids" in said[0]  # the face mix holds an emulsion
    assert "liquids" not in said[1]


def test_equal_batches_on_several_days_share_a_sheet_with_a_tick_box_each(tmp_path: Path) -> None:
    estimate = estimated(tmp_path)
    recipes = sheets_of(estimate)
    assert [recipe.number for recipe in recipes] == [1, 2]
    assert all(len(recipe.pours) == 2 and not recipe.has_days for recipe in recipes)
    shared = [batch for recipe in recipes for batch in recipe.batches]
    assert sorted(map(id, shared)) == sorted(map(id, estimate.batching.batches))  # none is lost, none is there twice
    for recipe in recipes:
        assert len({batch.load for batch in recipe.batches}) == 1
    lots = [len({load.material for load in recipe.batches[0].load} - {"water"}) for recipe in recipes]
    assert [text.count("from day") for text in sheets(estimate)] == lots  # a second lot of each, and none of water
    assert all("Day 1 and Day 2 · sheet" in text and "Day 1 Day 2 lot" in text for text in sheets(estimate))
    days = days_of(estimate, IMPERIAL)
    assert [[number for number, _ in day.batches] for day in days] == [[1, 2], [1, 2]]  # as named on the pour days


def test_many_batches_have_a_box_each_in_a_list_of_their_days(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    path.write_text(JOB.format(units="imperial", more="").replace("quantity = 2", "quantity = 5"))
    estimate = estimate_file(path)
    recipes = sheets_of(estimate)
    assert [(recipe.count, recipe.has_days) for recipe in recipes] == [(5, True), (5, True)]
    text = " ".join(" ".join(page.text.split()) for page in read_pages(batch_sheets(estimate)))
    for day in range(1, 6):
        assert text.count(f"Day {day} A 1") == 2  # the pour, its piece, and the number of its one batch
    assert text.count("Tick each batch as it goes into the mixer") == 2


def test_cautions_are_printed_once_on_the_first_sheet_of_their_days(tmp_path: Path) -> None:
    text = sheets(estimated(tmp_path))
    assert "A turning paddle can tear off a hand" in text[0]
    assert "A turning paddle" not in text[1]
    assert "Cautions: see sheet 1." in text[1]
    assert all("Respirator" in sheet and "Unplug before you reach in" in sheet for sheet in text)


@pytest.mark.parametrize(("units", "other"), [("imperial", " kg"), ("metric", " lb")])
def test_a_sheet_shows_one_system_of_units(tmp_path: Path, units: str, other: str) -> None:
    estimate = estimated(tmp_path, units)
    words = crew_words_for(estimate.job)
    for recipe, text in zip(sheets_of(estimate), sheets(estimate), strict=True):
        assert other not in text
        batch = recipe.batches[0]
        for load in batch.load:
            line = measured(load, batch, estimate, words)
            assert not line.big.endswith(other.strip())
    assert (" gal" in " ".join(sheets(estimate))) == (units == "imperial")


def test_a_scale_of_the_other_unit_system_shows_its_own_reading_second(tmp_path: Path) -> None:
    scales = '[workshop]\nscales = [{ step = "0.1 lb" }]\n'
    path = tmp_path / "job.toml"
    path.write_text(JOB.format(units="metric", more="") + scales)
    estimate = estimate_file(path)
    batch = estimate.batching.batches[0]
    line = measured(batch.load[0], batch, estimate, crew_words_for(estimate.job))
    assert line.big.endswith(" kg")
    assert f"scale reads {batch.load[0].mass_kg / POUND_KG:.1f} lb" in line.second


def test_each_scale_has_a_name_and_one_unit() -> None:
    scales = (Scale(0.0001, 0.5), Scale(0.001, 5.0), Scale(0.05))
    assert [scale_name(scale.step_kg, scales, METRIC) for scale in scales] == [
        "gram scale",
        "bench scale",
        "floor scale",
    ]
    assert scale_name(0.05, scales[2:], METRIC) == "scale"
    assert [METRIC.to_step(mass_kg, 0.05) for mass_kg in (0.5, 50.0)] == ["0.50 kg", "50.00 kg"]
    assert [METRIC.to_step(mass_kg, 0.001) for mass_kg in (0.5, 4.5)] == ["500 g", "4,500 g"]


@pytest.mark.parametrize(
    ("language", "first", "second"),
    [
        ("es", ("Día 1 y Día 2 · hoja 1 de 2", "CAPA FRONTAL", "PELIGRO"), "Agregue las perlas por cubeta"),
        ("de", ("Tag 1 und Tag 2 · Blatt 1 von 2", "VORSATZSCHICHT", "GEFAHR"), "Die Perlen mit dem Eimer zugeben"),
    ],
)
def test_a_crew_reads_batch_sheets_in_its_language(
    tmp_path: Path, language: str, first: tuple[str, ...], second: str
) -> None:
    text = sheets(estimated(tmp_path, more=f'crew_language = "{language}"'))
    assert [words for words in first if words not in text[0]] == []
    assert second in text[1]
    assert "DANGER" not in " ".join(text)


def test_sheets_longer_than_a_page_continue_on_the_next(five_hundred: Estimated) -> None:
    estimate = five_hundred.estimate
    pages = read_pages(batch_sheets(estimate))
    assert len(sheets_among(pages)) == len(sheets_of(estimate))


def test_a_sheet_of_many_days_stays_one_page(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    path.write_text(JOB.format(units="metric", more="").replace("quantity = 2", "quantity = 16"))
    estimate = estimate_file(path)
    assert all(len(sheet.pours) == 16 for sheet in sheets_of(estimate))
    pages = read_pages(batch_sheets(estimate))
    assert len(pages) == 1 + len(sheets_of(estimate))


def test_a_density_check_is_in_the_unit_of_its_scale(tmp_path: Path) -> None:
    # a scale that shows grams on the lines of the load shows grams at the check too
    for sheet, text in zip(sheets_of(estimate := estimated(tmp_path)), sheets(estimate), strict=True):
        check = sheet.batches[0].check
        assert check is not None
        _, step_kg = to_scale(check.expected_kg, estimate.job.workshop.scales)
        unit = "lb" if scale_unit(step_kg) == "lb" else "g"
        assert re.search(rf"should weigh [\d.,]+ {unit} with bucket", " ".join(text.split()))


@pytest.mark.parametrize("language", ["en-US", "es", "de"])
@pytest.mark.parametrize("units", ["imperial", "metric"])
def test_cautions_stay_on_a_full_sheet_in_every_language(tmp_path: Path, units: str, language: str) -> None:
    path = tmp_path / "job.toml"
    path.write_text(FULL_DEPTH.format(units=units, language=language))
    estimate = estimate_file(path)
    (sheet,) = sheets_of(estimate)
    assert sheet.has_days
    assert len(sheet.batches[0].load) == 8
    assert len(read_pages(batch_sheets(estimate))) == 1 + 1


def test_a_day_is_one_row_where_its_batches_fill_several_pieces(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    text = JOB.format(units="imperial", more="").replace("quantity = 2", "quantity = 5")
    path.write_text(text + text[text.index("[[piece]]") :].replace('"A"', '"B"'))
    estimate = estimate_file(path)
    apart = [sheet for sheet in sheets_of(estimate) if len(sheet.batches) > len(sheet.pours)]
    texts = " ".join(sheets(estimate))
    assert len(apart) > 0
    for sheet in apart:
        for pour in range(1, len(sheet.pours) + 1):
            assert f"Day {pour} A, B 1 2" in texts


def test_the_first_page_tells_the_scales_apart(tmp_path: Path) -> None:
    first = " ".join(read_pages(batch_sheets(estimated(tmp_path)))[0].text.split())
    assert "Gram scale reads 0.1 g, up to 500 g" in first
    assert "Bench scale reads 1 g, up to 4,536 g" in first
    assert "Floor scale reads 0.1 lb" in first
