"""Batch sheets say what applies to the mix, each caution once a day, and weigh on the shop's scales."""

from collections import Counter
from pathlib import Path

import pytest

from estimator.batching.loading import steps_of
from estimator.commands.jobs import estimate_file
from estimator.constants import POUND_KG
from estimator.estimate import Estimate
from estimator.job import Scale
from estimator.report.papers.batch_sheets import batch_sheets, measured, role_of, scale_name
from estimator.words import Words, crew_words_for
from tests.report.conftest import read_pages

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


def estimated(folder: Path, units: str = "imperial", more: str = "") -> Estimate:
    path = folder / "job.toml"
    path.write_text(JOB.format(units=units, more=more))
    return estimate_file(path)


def sheets(estimate: Estimate) -> list[str]:
    pages = read_pages(batch_sheets(estimate))
    return [" ".join(page.text.split()) for page in pages[-len(estimate.batching.batches) :]]


def test_a_sheet_is_titled_by_what_its_mix_is_in_the_piece(tmp_path: Path) -> None:
    estimate = estimated(tmp_path)
    roles = [role_of(batch, estimate) for batch in estimate.batching.batches]
    assert Counter(roles) == {"face": 2, "backer": 2}
    for role, text in zip(roles, sheets(estimate), strict=True):
        assert ("FACE COAT Face mix" in text) == (role == "face")
        assert ("BACKER Backer, 45% beads" in text) == (role == "backer")
        assert "backer-45" not in text


def test_a_face_mix_is_told_of_no_bead_and_no_fiber(tmp_path: Path) -> None:
    estimate = estimated(tmp_path)
    face, backer = estimate.batching.batches[:2]
    said = [" ".join(IMPERIAL.text(step) for step in steps_of(estimate.job, batch.load)) for batch in (face, backer)]
    assert "bead" not in said[0]
    assert "fiber" not in said[0]
    assert "Add the beads." in said[1]
    assert "Add the fiber last." in said[1]
    assert "liquids" in said[0]  # the face holds an emulsion
    assert "liquids" not in said[1]


def test_cautions_stand_once_a_day_on_its_first_sheet(tmp_path: Path) -> None:
    estimate = estimated(tmp_path)
    text = sheets(estimate)
    for first, number in ((0, 1), (2, 3)):
        assert "A turning paddle can tear off a hand" in text[first]
        assert "A turning paddle" not in text[first + 1]
        assert f"Cautions: see sheet {number}." in text[first + 1]
    assert all("Respirator" in sheet and "Unplug before you reach in" in sheet for sheet in text)


@pytest.mark.parametrize(("units", "other"), [("imperial", " kg"), ("metric", " lb")])
def test_a_sheet_shows_one_system_of_units(tmp_path: Path, units: str, other: str) -> None:
    estimate = estimated(tmp_path, units)
    words = crew_words_for(estimate.job)
    for batch, text in zip(estimate.batching.batches, sheets(estimate), strict=True):
        assert other not in text
        for load in batch.load:
            line = measured(load, batch, estimate, words)
            assert not line.big.endswith(other.strip())
    assert (" gal" in " ".join(sheets(estimate))) == (units == "imperial")


def test_a_scale_of_the_other_system_shows_its_own_reading_second(tmp_path: Path) -> None:
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


def test_the_crew_reads_spanish(tmp_path: Path) -> None:
    estimate = estimated(tmp_path, more='crew_language = "es"')
    text = sheets(estimate)
    assert "Día 1 · hoja 1 de 4" in text[0]
    assert "CAPA FRONTAL" in text[0]
    assert "PELIGRO" in text[0]
    assert "Agregue las perlas." in text[1]
    assert "DANGER" not in " ".join(text)
