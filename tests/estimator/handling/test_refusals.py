"""Pieces that cannot be lifted, hung or stood safely are refused, each in one line with the fix."""

from __future__ import annotations

from pathlib import Path

import jsonschema
import pytest

from estimator.commands.jobs import estimate_file
from estimator.intake.json_schema import json_schema
from tests.estimator.handling.conftest import CUT, HEAD, SLAB, One, Refused, Write, piece


def own_picks(at: str, more: str = "") -> str:
    return piece(CUT, f"handling = {{ picks = {{ at = {at}{more} }} }}")


REFUSED = [
    (
        own_picks('[["500 mm", "60 mm"], ["1900 mm", "590 mm"]]', ', angle = "60 deg"'),
        "job.toml: piece C1, handling.picks: The angle of 60 deg has no reference. Add angle_from = "
        '"horizontal" or "vertical".',
    ),
    (
        own_picks('[["500 mm", "325 mm"], ["1900 mm", "325 mm"]]', ', angle = "25 deg", angle_from = "horizontal"'),
        "job.toml: piece C1, handling.picks: Sling angle is 25° from the horizontal. 30° to 90° is allowed. "
        "Use longer slings or a spreader.",
    ),
    (
        own_picks('[["500 mm", "325 mm"], ["1900 mm", "325 mm"]]', ', angle = "65 deg", angle_from = "vertical"'),
        "job.toml: piece C1, handling.picks: Sling angle is 25° from the horizontal. 30° to 90° is allowed. "
        "Use longer slings or a spreader.",
    ),
    (
        own_picks('[["500 mm", "325 mm"], ["2500 mm", "325 mm"]]'),
        "job.toml: piece C1, handling.picks: Pick 2 at (2500 mm, 325 mm) is outside the piece. "
        "Move it inside the outline.",
    ),
    (
        own_picks('[["500 mm", "325 mm"], ["1200 mm", "325 mm"]]'),
        "job.toml: piece C1, handling.picks: Pick 2 at (1200 mm, 325 mm) is in a cutout. Move it onto the piece.",
    ),
    (
        own_picks('[["100 mm", "100 mm"], ["600 mm", "100 mm"], ["300 mm", "500 mm"]]'),
        "job.toml: piece C1, handling.picks: The centre of gravity at (1200 mm, 325 mm) is outside the picks. "
        "The piece would tip. Move the picks so that they surround it.",
    ),
    (
        own_picks('[[500, "60 mm"], ["1900 mm", "590 mm"]]'),
        'job.toml: piece C1, handling.picks: at: 500 has no unit. Write "500 mm", or give `unit`.',
    ),
    (
        piece() + '[workshop.handling]\nsling_angle = "25 deg"\n',
        "job.toml: workshop.handling.sling_angle: A sling angle of 25 deg from horizontal is not "
        "allowed. Use 30° to 90°. Use longer slings or a spreader bar.",
    ),
    (
        piece() + "[workshop.handling]\ninsert_factor = 2\n",
        "job.toml: workshop.handling.insert_factor: 2 is too low. 29 CFR 1926.704 requires 4. Write 4 or more.",
    ),
    (
        piece() + "[workshop.handling]\ncrew_most = 14\n",
        "job.toml: workshop.handling.crew_most: 14 people are too many for one carry. Write 12 or less.",
    ),
    (
        piece(SLAB, 'in_place = { overhang = "650 mm" }'),
        "job.toml: piece C1, in_place.overhang: is 650 mm, which is the whole piece. "
        "Enter only what sticks out past the support.",
    ),
    (
        piece(SLAB, 'in_place = { hung = true, anchors = ["100 mm", "900 mm"] }'),
        "job.toml: piece C1, in_place.anchors: The centre of gravity at 1200 mm is outside the anchors. "
        "The panel would turn. Set an anchor on either side of it.",
    ),
    (
        piece(SLAB, 'in_place = { hung = true, overhang = "100 mm" }'),
        "job.toml: piece C1, in_place.overhang: is for a piece that stands on a support, and this one hangs on a wall. "
        "Remove it, or write hung = false.",
    ),
    (
        piece(SLAB, 'in_place = { anchors = ["100 mm", "2300 mm"] }'),
        "job.toml: piece C1, in_place.anchors: is for a piece that hangs on a wall. Write hung = true, or remove it.",
    ),
    (
        piece(SLAB, 'in_place = { anchor_height = "500 mm" }'),
        "job.toml: piece C1, in_place.anchor_height: is for a piece that hangs on a wall. "
        "Write hung = true, or remove it.",
    ),
    (
        piece() + '[site]\nstairs = [{ width = "1 m", headroom = "2 m", pitch = "75 deg" }]\n',
        "job.toml: site, stairs[0]: A pitch of 75 deg is a ladder. At most 60° is allowed. Enter the"
        " angle from the horizontal.",
    ),
    (
        piece() + '[site]\ndor = { width = "1 m", height = "2 m" }\n',
        "job.toml: site, dor: this key is not known. Did you mean `door`?",
    ),
    (
        piece(use="fire"),
        'job.toml: piece C1, use: is "fire", but mix backer-45 has coated-eps-bead. It softens at'
        " about 80 °C. Use a mineral light aggregate, such as expanded-clay, expanded-glass, "
        'hollow-microspheres and perlite. Or write allowed = ["polystyrene-near-fire"].',
    ),
]


@pytest.mark.parametrize(("text", "expected"), REFUSED, ids=[case[1][10:70] for case in REFUSED])
def test_handling_that_cannot_be_safe_is_refused_in_one_line(refused: Refused, text: str, expected: str) -> None:
    assert refused(text) == [expected]


def test_the_schema_of_the_job_file_has_handling_use_and_site() -> None:
    job = {
        "job": {"name": "x", "mix": "backer-45"},
        "piece": [
            {
                "mark": "C1",
                "shape": {"kind": "slab", "length": "2 m", "width": "1 m", "thickness": "25 mm"},
                "handling": {"lifted_by": "slings", "picks": {"at": [["1 m", "500 mm"]], "sling_rating": "1000 lb"}},
                "in_place": {"outdoors": True, "anchors": ["0 m", "2 m"]},
                "allowed": ["polystyrene-near-fire"],
            }
        ],
        "site": {
            "door": {"width": "32 in", "height": "80 in"},
            "turns": [{"from": "1 m", "to": "1 m", "height": "2 m"}],
        },
    }
    jsonschema.validate(job, json_schema())
    job["site"]["stairs"] = [{"width": "1 m"}]
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(job, json_schema())


def test_a_schedule_states_how_its_pieces_are_moved_and_used(write_job: Write, tmp_path: Path) -> None:
    rows = "mark,shape.kind,shape.length,shape.width,shape.thickness,handling.carried,in_place.outdoors\n"
    (tmp_path / "rows.csv").write_text(rows + "S1,slab,2 m,600 mm,25 mm,edge,true\n", encoding="utf-8")
    (estimated,) = estimate_file(write_job(HEAD + '[[schedule]]\nfile = "rows.csv"\n')).pieces
    assert estimated.taken.piece.handling.carried == "edge"
    assert estimated.weight.soaked is not None


def test_polystyrene_near_a_fire_is_accepted_only_where_the_job_allows_it_by_name(estimate_piece: One) -> None:
    estimated = estimate_piece(piece(SLAB, 'allowed = ["polystyrene-near-fire"]', "fire"))
    assert "polystyrene-near-fire" in estimated.cautions


def test_several_faults_of_handling_are_reported_together(refused: Refused) -> None:
    text = REFUSED[3][0] + piece(SLAB, 'in_place = { overhang = "650 mm" }', mark="C2")
    assert len(refused(text)) == 2
