"""Doubts are values with a one-line message each; coupons count only if they are as thick as the piece."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from estimator.document import to_document
from estimator.estimate import Estimate
from estimator.handling.doubts import DOUBT_IDS, VALUES, Doubt, gear_message
from estimator.words import Words
from tests.estimator.handling.conftest import SLAB, One, doubts_of, piece


@pytest.mark.parametrize("doubt_id", DOUBT_IDS)
def test_every_doubt_has_a_message(doubt_id) -> None:
    text = Words("imperial", "USD").text(
        Doubt(doubt_id, gear_message("pallet"), 28.0 if doubt_id in VALUES else None).message
    )
    assert text.endswith(".")
    assert "{" not in text


def test_the_document_gives_id_and_text_of_each_doubt(estimate_job: Callable[[str], Estimate]) -> None:
    handling = to_document(estimate_job(piece()))["pieces"][0]["handling"]
    assert {"id": "carry-untested", "text": "May crack when carried. No strength test for the mix."} in handling[
        "doubts"
    ]
    assert [each["text"] for each in handling["doubts"]] == handling["not_shown_safe"]
    checks = [each["strength"] for each in handling["bending"]]
    assert set(checks) == {"untested"}


def coupons(depth: str) -> str:
    rows = ", ".join(
        f'{{ pour = "A", age = "20 h", face = "{"up" if i % 2 else "down"}", span = "400 mm", width = "50 mm", '
        f'depth = "{depth}", peak = "900 N", limit = "{600 + i} N" }}'
        for i in range(6)
    )
    return f'[mixes.tested]\nbased_on = "backer-45"\ncoupons = [{rows}]\n'


def test_coupons_thinner_than_the_piece_do_not_count_for_it(estimate_piece: One) -> None:
    # SLAB is 25 mm thick: three quarters of it are 18.75 mm
    estimated = estimate_piece(piece(SLAB, 'mix = "tested"') + coupons("18 mm"))
    thin = estimated.handling
    alike = estimate_piece(piece(SLAB, 'mix = "tested"') + coupons("19 mm")).handling
    assert thin.cracking.first_crack.later_pa is None
    assert Doubt("coupons-too-thin", value=0.018) in thin.doubts
    assert "The mix was tested at 18.0 mm thick only." in " ".join(doubts_of(estimated))
    assert alike.cracking.first_crack.later_pa is not None
    assert "coupons-too-thin" not in {doubt.id for doubt in alike.doubts}


def test_the_walls_of_a_round_planter_are_reported_as_not_checked(estimate_piece: One) -> None:
    shape = '{ kind = "revolution", unit = "mm", profile = [[0, 0], [200, 0], [250, 500], [0, 500]], wall = "15 mm" }'
    assert "walls-not-checked" in {doubt.id for doubt in estimate_piece(piece(shape, use="planter")).handling.doubts}
    assert "walls-not-checked" not in {doubt.id for doubt in estimate_piece(piece(shape, use="basin")).handling.doubts}
