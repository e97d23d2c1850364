"""Pieces in other mixes, facts of the mixes in the document, and the lots that count for a color."""

import json
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from estimator.__main__ import run
from estimator.commands.jobs import estimate_file
from estimator.document import to_document
from estimator.estimate import Estimate, survey
from estimator.mix import make
from estimator.mix.replacement import with_replacement
from estimator.mixes import cast_in, compare_replacements, swappable
from estimator.words import PLAIN
from tests.estimator.conftest import JOB

POUND_KG = 0.45359237
Write = Callable[[str], Path]
TWO_LAYERS = """
[[piece]]
mark = "C2"
quantity = 3
shape = { kind = "slab", length = "40 in", width = "20 in", thickness = "1 in" }
layers = [{ mix = "face", thickness = "1/8 in", method = "spray" }, { mix = "backer-45", method = "hand" }]
inserts = [{ name = "frame", mass = "5 lb" }]
"""


@pytest.fixture
def estimated(write_job: Write) -> Estimate:
    return estimate_file(write_job(JOB + TWO_LAYERS))


def test_pieces_cast_in_their_own_mix_weigh_what_the_estimate_says(estimated: Estimate) -> None:
    takeoff, mixes, _ = survey(estimated.job)
    pieces = swappable(estimated.job, takeoff, mixes, frozenset({"backer-45"}))
    row = cast_in(estimated.job.mixes["backer-45"], estimated.mixes["backer-45"], {}, pieces)
    assert row.fresh_kg == pytest.approx([each.weight.fresh_kg for each in estimated.pieces])
    assert row.installed_kg == pytest.approx([each.weight.installed_kg for each in estimated.pieces])
    assert row.high_kg == pytest.approx([each.weight.fresh.high_kg for each in estimated.pieces])


def test_a_piece_in_another_mix_keeps_its_face_and_its_inserts(estimated: Estimate) -> None:
    takeoff, mixes, _ = survey(estimated.job)
    pieces = swappable(estimated.job, takeoff, mixes, frozenset({"backer-45"}), ["C2"])
    other = with_replacement(estimated.job.mixes["backer-45"], "silica-sand", "coated-eps-bead", 1.0)
    row = cast_in(other, make(other, estimated.job.materials), {}, pieces)
    (face, back) = estimated.pieces[1].taken.layers
    expected = (
        face.volume_m3 * mixes["face"].fresh_density_kg_m3
        + back.volume_m3 * row.design.fresh_density_kg_m3
        + 5 * POUND_KG
    )
    assert row.fresh_kg == pytest.approx([expected])


def test_the_curve_passes_through_the_rows(estimated: Estimate) -> None:
    takeoff, mixes, _ = survey(estimated.job)
    comparison = compare_replacements(estimated.job, takeoff, mixes, "backer-45")
    assert comparison is not None
    assert [row.replacement for row in comparison.rows] == [0.0, 0.25, 0.45, 0.65, 0.85, 1.0]
    for row in comparison.rows:
        at = comparison.curve.fraction.tolist().index(pytest.approx(row.replacement))
        assert comparison.curve_job_kg[at] == pytest.approx(row.fresh_kg @ comparison.pieces.quantity)
        assert comparison.curve_job_cost[at] == pytest.approx(row.cost @ comparison.pieces.quantity)
    assert np.all(np.diff(comparison.curve_job_kg) < 0.0)


def test_the_document_has_bands_stops_and_the_three_ways_of_replacing_sand(estimated: Estimate) -> None:
    document = to_document(estimated, workings=True)
    json.dumps(document, allow_nan=False)
    face, back = sorted(document["mixes"], key=lambda mix: mix["name"] == "backer-45")
    band = back["bands"]["fresh_density_kg_m3"]
    assert band["low"] < back["fresh_density_kg_m3"] < band["high"]
    assert sum(band["parts"].values()) == pytest.approx(1.0)
    least = back["early_stops"][-1]
    assert least["water_cementitious"] == pytest.approx(0.33 * (1 - 0.15)), "no liquid brings water into this mix"
    assert least["yield_ratio"] < 1.0
    assert [each["by"] for each in back["replacements"]] == ["loose-volume", "absolute-volume", "mass"]
    assert back["replacements"][1]["yield_m3_per_m3"] == pytest.approx(1.0)
    assert (face["replacements"], back["strengths"], back["first_crack_strength_pa"]) == ([], [], None)
    (comparison,) = document["comparisons"]
    assert comparison["rows"][0]["replacement"] == 0.0
    assert "mixes.backer-45.fresh_density_kg_m3" in {each["figure"] for each in document["workings"]}


SEEN = '[mixes.backer-45]\nbased_on = "backer-45"\ncolour_group = "bar"\n'


@pytest.mark.parametrize(
    ("stock", "lots", "counted_lb"),
    [
        ('{ mass = "30 lb", lot = "A" }', 'white-cement = "B"', 0.0),
        ('{ mass = "30 lb", lot = "B" }', 'white-cement = "B"', 30.0),
        ('[{ mass = "30 lb", lot = "B" }, { mass = "10 lb", lot = "A" }]', 'white-cement = "B"', 30.0),
        ('"1 lb"', "", 0.0),  # an unknown lot, and too little by itself
        ('"900 lb"', "", 900.0),  # one lot that covers the job
    ],
)
def test_leftovers_of_another_lot_do_not_count_for_a_color_group(
    write_job: Write, stock: str, lots: str, counted_lb: float
) -> None:
    estimated = estimate_file(write_job(JOB + SEEN + f"[stock]\nwhite-cement = {stock}\n[lots]\n{lots}\n"))
    (line,) = [each for each in estimated.materials.lines if each.material == "white-cement"]
    assert line.on_hand_kg == pytest.approx(counted_lb * POUND_KG)
    left_out = estimated.stock.left_out_kg.get("white-cement", 0.0)
    assert left_out == pytest.approx(estimated.job.stock_kg["white-cement"] - counted_lb * POUND_KG)
    assert any(warning.id == "stock-of-another-lot" for warning in estimated.warnings) == (left_out > 0.0)


def test_beads_and_jobs_without_a_color_group_count_every_lot(write_job: Write) -> None:
    text = JOB + SEEN + '[stock]\ncoated-eps-bead = { mass = "1 lb", lot = "A" }\n[lots]\ncoated-eps-bead = "B"\n'
    estimated = estimate_file(write_job(text))
    assert estimated.stock.on_hand_kg["coated-eps-bead"] == pytest.approx(POUND_KG)
    plain = estimate_file(write_job(JOB + '[stock]\nwhite-cement = { mass = "1 lb", lot = "A" }\n'))
    assert plain.stock.on_hand_kg["white-cement"] == pytest.approx(POUND_KG)


def test_unlike_mixes_in_a_color_group_give_a_warning(write_job: Write) -> None:
    wetter = '[mixes.wet]\nbased_on = "backer-45"\ncolour_group = "bar"\nwater_cementitious = 0.37\n'
    piece = TWO_LAYERS.replace('mix = "face"', 'mix = "wet"')
    estimated = estimate_file(write_job(JOB + piece + SEEN + wetter))
    assert any(
        "differ in w/cm: 0.33 and 0.37" in PLAIN.text(each.text)
        or "differ in w/cm: 0.37 and 0.33" in PLAIN.text(each.text)
        for each in estimated.warnings
    )


def test_each_batch_has_a_line_for_the_lot_of_its_coloring_materials(write_job: Write) -> None:
    document = to_document(estimate_file(write_job(JOB + '[lots]\nwhite-cement = "B"\n')))
    (batch,) = document["batches"]
    assert batch["lots"] == {"white-cement": "B", "metakaolin": None, "silica-sand": None}


def test_the_summary_says_untested_and_how_far_off_a_density_may_be(
    write_job: Write, capsys: pytest.CaptureFixture[str]
) -> None:
    tested = '[mixes.backer-45]\nbased_on = "backer-45"\nfirst_crack_strength = "6 MPa"\n'
    for text, expected in ((JOB, "not tested"), (JOB + tested, "870 psi")):
        assert run(["estimate", str(write_job(text)), "--show", "mixes"]) == 0
        (line,) = [each for each in capsys.readouterr().out.splitlines() if each.startswith("  Backer")]
        assert line.rstrip().endswith(expected)
        assert "105 (103–108)" in line
