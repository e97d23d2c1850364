"""The crew's screens: the code on a label opens its piece, in the crew's language, with its warnings first."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from estimator import estimate, load_job
from estimator.page.drawing import Frame
from tests.page.conftest import JOB

FRAME = (0.0, 0.0, 2.0, 0.5)  # m


@pytest.mark.parametrize(
    ("code", "address"),
    [
        ("C1", "/crew/hill/C1"),
        ("c1", "/crew/hill/C1"),
        (" C2 ", "/crew/hill/C2"),
        ("C2-2", "/crew/hill/C2?n=2"),
        ("c2 1", "/crew/hill/C2?n=1"),
    ],
)
def test_a_typed_code_opens_its_piece(page: TestClient, code: str, address: str) -> None:
    answer = page.get("/crew/hill", params={"code": code}, follow_redirects=False)
    assert (answer.status_code, answer.headers["location"]) == (303, address)
    assert page.get(address).status_code == 200


@pytest.mark.parametrize("code", ["C9", "C2-3", "C2-0", "<script>", "C1/../..", "9" * 60])
def test_an_unknown_code_says_what_to_type(page: TestClient, code: str) -> None:
    answer = page.get("/crew/hill", params={"code": code}, follow_redirects=False)
    assert answer.status_code == 422
    assert "Enter the mark on the label, such as C1." in answer.text
    assert "<script>" not in answer.text.replace('<script type="module"', "")


@pytest.mark.parametrize("mark", ["C9", "%3Cscript%3E"])
def test_the_label_of_a_piece_that_was_taken_out_says_so_in_the_words_of_the_crew(
    page: TestClient, shop: Path, mark: str
) -> None:
    (shop / "hill" / "job.toml").write_text(JOB.replace("[job]", '[job]\ncrew_language = "es"'), "utf-8")
    answer = page.get(f"/crew/hill/{mark}?rev=1")
    assert answer.status_code == 404
    assert "Este trabajo no tiene la pieza" in answer.text
    assert 'href="/crew/hill/C1"' in answer.text
    assert "<script>" not in answer.text


def test_the_weights_are_those_of_the_lift_sheet(page: TestClient, shop: Path) -> None:
    piece = estimate(load_job(shop / "hill" / "job.toml")).result.pieces[0]
    shown = re.findall(r'class="huge">([\d.,]+)<', page.get("/crew/hill/C1").text)
    for text, mass_kg in zip(shown, (piece.weight.lift_kg, piece.weight.turn_kg), strict=True):
        mass_lb = mass_kg / 0.45359237
        assert 0.0 <= float(text) - mass_lb < 1.0  # rounded up


def test_the_screens_of_a_hung_piece_say_which_way_its_face_looks_and_what_the_frame_must_carry(
    page: TestClient, shop: Path
) -> None:
    (shop / "hill" / "job.toml").write_text(
        '[job]\nname = "Hearth"\nmix = "backer-0"\n[[piece]]\nmark = "C1"\nuse = "counter"\n'
        'shape = { kind = "slab", length = "90 in", width = "30 in", thickness = "2 in" }\n',
        "utf-8",
    )
    handling = estimate(load_job(shop / "hill" / "job.toml")).result.pieces[0].handling
    carry, _, flip = page.get("/crew/hill/C1").text.partition('id="flip"')
    assert "Flat, face up, hanging from slings" in carry
    assert "Strip, face down" in carry
    assert "Carry, face up" in carry
    frame = re.search(r"Flipping frame rated for at least ([\d,]+) lb", flip)
    assert frame is not None
    assert 0.0 <= float(frame[1].replace(",", "")) - handling.gear_loads_kg["turn"] / 0.45359237 < 1.0
    assert "A qualified rigger plans each of them." in carry
    assert "A qualified rigger plans each of them." in flip


@pytest.mark.parametrize(("language", "notice"), [("es", "Ningún hablante nativo"), ("de", "kein Muttersprachler")])
def test_a_crew_that_reads_another_language_gets_no_english(
    page: TestClient, shop: Path, language: str, notice: str
) -> None:
    job = shop / "hill" / "job.toml"
    job.write_text(JOB.replace("[job]", f'[job]\ncrew_language = "{language}"\nrevision = "2"'), "utf-8")
    for path in ("/crew/hill", "/crew/hill/C1?rev=1", "/mixer/hill", "/crew/hill?code=C9"):
        text = page.get(path).text
        assert f'<html lang="{language}">' in text
        assert notice in text
        for word in ("Label", "Revised", " people", "Carry", "Flip", "Skip", "revision 2"):
            assert word not in text, (path, word)


def test_a_piece_that_nobody_may_lift_says_so_first(page: TestClient, shop: Path) -> None:
    job = shop / "hill" / "job.toml"
    job.write_text(JOB.replace('thickness = "1 in"', 'thickness = "9 in"', 1), "utf-8")
    text = page.get("/crew/hill/C1").text
    assert text.index("DO NOT LIFT BY HAND") < text.index('class="huge"')
    assert "DO NOT FLIP BY HAND" in text
    assert "DO NOT LIFT BY HAND" not in page.get("/crew/hill/C2").text


@pytest.mark.parametrize(
    ("turns", "corner"),  # where the lower left corner of the plan comes to lie: right, down
    [(0, (0.0, 0.5)), (1, (0.0, 0.0)), (2, (2.0, 0.0)), (3, (0.5, 2.0))],
)
def test_a_turned_frame_has_its_side_up(turns: int, corner: tuple[float, float]) -> None:
    frame = Frame(FRAME, 100.0, 10.0, turns)
    assert frame.at(0.0, 0.0) == (10.0 + 100.0 * corner[0], 10.0 + 100.0 * corner[1])
    middle = {0: (1.0, 0.5), 1: (0.0, 0.25), 2: (1.0, 0.0), 3: (2.0, 0.25)}[turns]  # of the back, left, front, right
    assert frame.at(*middle)[1] == 10.0
