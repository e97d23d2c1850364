"""The lift sheet and the install sheet, read back."""

from contextlib import closing
from pathlib import Path

import pypdfium2
import pytest

from estimator.commands.jobs import estimate_file
from estimator.estimate import Estimate
from estimator.pricing.labor import is_installed
from estimator.report.papers.install_sheet import install_sheet
from estimator.report.papers.lift_sheet import lift_sheet
from estimator.report.papers.style import HEADING, by_statement, words_of
from estimator.report.screen import weight_sheet

ROOT = Path(__file__).parents[2]
JOBS = {"boathouse": ROOT / "examples/boathouse/job.toml", "every shape": ROOT / "tests/data/every_shape/job.toml"}


@pytest.fixture(scope="module", params=list(JOBS))
def made(request: pytest.FixtureRequest) -> Estimate:
    return estimate_file(JOBS[request.param])


def read(content: bytes) -> str:
    with closing(pypdfium2.PdfDocument(content)) as pdf:
        said = " ".join(page.get_textpage().get_text_range() for page in pdf)
    return " ".join(said.replace("\u2007", " ").replace("\u2008", " ").split())


def test_each_piece_has_its_high_weight_rounded_up_and_its_crew(made: Estimate):
    said, words = read(lift_sheet(made)), words_of(made)
    for piece in made.pieces:
        assert f"Heaviest when carried {words.mass(piece.weight.lift_kg, up=True)}" in said
        carry = piece.handling.carry
        assert ("Carry: machine only" if carry.by_machine else f"Carry: {words.crew(carry.persons)}") in said
        for band in piece.weight.by_stage.values():
            assert f"{words.mass(band.low_kg, up=False)} {words.mass(band.high_kg, up=True)}" in said


def test_hands_strip_only_what_its_form_has_let_go_of(made: Estimate):
    said, words = read(lift_sheet(made)), words_of(made)
    let_go = 0
    for piece in made.pieces:
        handling = piece.handling
        (by_hand,) = (not lift.crew.by_machine for lift in handling.lifts if lift.name == "strip")
        held = words.mass(handling.loads[0].load_kg, up=True)
        if handling.lifting.strip.release == "suction" and by_hand:
            let_go += 1
            assert f"As long as the form holds it, it takes {held}: by hoist only." in said
    assert said.count("HOLD POINT before hands lift it out") == let_go > 0


def test_what_is_not_shown_safe_stands_at_the_head_and_at_its_piece(made: Estimate):
    said = read(lift_sheet(made))
    first = said.index("Cautions")
    for piece in made.pieces:
        for statement in map(words_of(made).text, piece.handling.not_shown_safe):
            assert statement in said[:first]
            assert said.count(statement) >= 2
    assert said.count(HEADING) == 1 + sum(bool(piece.handling.not_shown_safe) for piece in made.pieces)


def test_the_crews_page_tells_no_filters(made: Estimate):
    said = read(lift_sheet(made))
    assert "NIOSH" not in said
    assert "lifting index" not in said.lower()


def test_pick_points_are_told_where_gear_lifts_the_piece(tmp_path: Path):
    text = """
[job]
name = "Hearth"
mix = "backer-0"
[[piece]]
mark = "H1"
shape = { kind = "slab", length = "90 in", width = "30 in", thickness = "2 in" }
"""
    (tmp_path / "job.toml").write_text(text, encoding="utf-8")
    made = estimate_file(tmp_path / "job.toml")
    said = " ".join(read(lift_sheet(made)).split())
    picks = words_of(made).text(made.pieces[0].handling.lifting.rigging[0].name)
    assert f"{picks}, plumb from a spreader. Sling tension: A" in said
    assert "Suggestion only: a qualified rigger decides." in said
    assert "Edge protectors at every edge, a stop against sliding" in said
    assert "Hold it flat, hanging from slings" in said


def test_no_pick_points_are_told_over_a_foam_core():
    made = estimate_file(JOBS["boathouse"])
    said = " ".join(read(lift_sheet(made)).split())
    assert "No pick points. A foam core is cast in." in said
    assert "Hold it by machine, as a qualified rigger decides" in said


def test_what_the_workshop_sets_has_boxes_to_tick_and_the_rest_is_named(made: Estimate):
    said = read(install_sheet(made))
    for piece in made.pieces:
        mark = piece.taken.piece.mark
        if is_installed(piece.taken.piece):
            row = f"{mark}, 1 of {piece.taken.piece.quantity}"
            assert row in said or f"{mark}, all {piece.taken.piece.quantity}" in said
        else:
            assert mark in said.split("Delivered, not set by us:")[1][:60]
    assert "dry fit" in said
    assert "for the client: name, date, signature" in said


def test_one_statement_of_many_marks_is_told_once():
    told = by_statement([("A", ["x", "y"]), ("B", ["x"]), *((f"C{i}", ["z"]) for i in range(5))], most=3)
    assert told == ["A, B: x", "A: y", "C0, C1, C2 and 2 more: z"]


@pytest.mark.parametrize("paper", [lift_sheet, install_sheet])
def test_the_same_estimate_gives_the_same_bytes(made: Estimate, paper):
    assert paper(made) == paper(made)


def test_a_piece_too_large_for_the_elevator_stands_at_the_head_of_both_sheets(tmp_path: Path):
    text = """
[job]
name = "Upstairs"
units = "metric"
mix = "backer-45"
[site]
lift = { width = "1 m", depth = "1.2 m", height = "2.1 m", rating = "600 kg" }
[[piece]]
mark = "C1"
use = "counter"
shape = { kind = "slab", length = "3.4 m", width = "650 mm", thickness = "25 mm" }
"""
    (tmp_path / "job.toml").write_text(text, encoding="utf-8")
    made = estimate_file(tmp_path / "job.toml")
    told = "C1: lift: too large for the car, even leaning across it."
    for sheet in (lift_sheet, install_sheet):
        said = " ".join(read(sheet(made)).split())
        assert said.index(HEADING) < said.index(told), sheet.__name__


PICKED = """
[job]
name = "Wall"
units = "metric"
mix = "tested"
[mixes.tested]
based_on = "backer-45"
first_crack_strength = "6 MPa"
[[piece]]
mark = "W1"
use = "panel"
handling = { picks = { at = [["414 mm", "1 m"], ["1586 mm", "1 m"]] } }
shape = { kind = "panel", length = "2 m", height = "2 m", skin = "20 mm" }
"""


def test_picks_that_would_crack_a_piece_are_drawn_for_nobody(tmp_path: Path):
    (tmp_path / "job.toml").write_text(PICKED, encoding="utf-8")
    made = estimate_file(tmp_path / "job.toml")
    said = read(lift_sheet(made))
    assert "Cracks on the shop's pick points. Not strong enough. Do not lift it this way." in said
    assert "Pick points: none. Those given would crack it." in said
    assert "Sling tension" not in said
    assert "Tips over under 1° of lean." in said, "20 mm on 2 m: half a degree"


def test_a_counter_held_on_edge_is_given_no_picks_for_a_flat_lift(tmp_path: Path):
    # three people carry it; with form and boards it is flipped by a frame
    shape = '{ kind = "slab", length = "96 in", width = "25.5 in", thickness = "1 in" }'
    head, _, _ = PICKED.partition("[[piece]]")
    (tmp_path / "job.toml").write_text(f'{head}[[piece]]\nmark = "C1"\nshape = {shape}\n', encoding="utf-8")
    made = estimate_file(tmp_path / "job.toml")
    (counter,) = made.pieces
    assert counter.handling.turn.by_machine
    assert not counter.handling.carry.by_machine
    said = read(lift_sheet(made))
    assert "Hold it on edge, front edge up" in said
    assert "Tilt it up about its back edge" in said
    assert "Pick points" not in said
    assert "flipping frame" in said


def test_a_crew_is_never_named_without_the_flag_of_an_untested_strength(tmp_path: Path):
    (tmp_path / "job.toml").write_text(PICKED, encoding="utf-8")
    tested = estimate_file(tmp_path / "job.toml")
    (tmp_path / "job.toml").write_text(PICKED.replace("first_crack_strength", "# no"), encoding="utf-8")
    untested = estimate_file(tmp_path / "job.toml")
    for made, flag in ((tested, ", MAY CRACK"), (untested, ", untested")):
        (row,) = weight_sheet(made, words_of(made)).rows
        assert any(cell.endswith(flag.replace("untested", "not tested")) for cell in row)
        assert flag in read(install_sheet(made))
