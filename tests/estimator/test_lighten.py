"""Ways to make a heavy piece liftable, and seams in the job file."""

import json
import tomllib
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
import trimesh

from estimator import InputError, estimate, load_job
from estimator.__main__ import run
from estimator.estimate import price_before_tax
from estimator.intake import read_job

approx = pytest.approx
Write = Callable[[str], Path]

HEAD = """\
# our kitchen
[job]
name = "Kitchen"     # invented
mix = "backer-45"
"""
PIECE = """
[[piece]]
mark = "K1"          # the sink run
use = "counter"
shape = { kind = "slab", length = "112 in", width = "25.5 in", thickness = "1 in", cutouts = [
  { kind = "rectangle", length = "30 in", width = "16 in", x = "40 in", y = "4.5 in" },   # sink
] }
layers = [{ mix = "face", thickness = "1/8 in", method = "spray" }, { mix = "backer-45", method = "hand" }]

# the shelf
[[piece]]
mark = "S1"
shape = { kind = "slab", length = "24 in", width = "8 in", thickness = "3/4 in" }
"""
TESTED = """
[mixes.face]
based_on = "face"
first_crack_strength = "{strength}"

[mixes.backer-45]
based_on = "backer-45"
first_crack_strength = "{strength}"
"""


def listed(path: Path, *options: str, capsys: pytest.CaptureFixture[str]) -> list[dict[str, Any]]:
    assert run(["lighten", str(path), "--json", *options]) == 0, capsys.readouterr().err
    pieces: list[dict[str, Any]] = json.loads(capsys.readouterr().out)["pieces"]
    return pieces


def test_options_come_by_rising_crew_and_need_the_crew_that_they_state(
    write_job: Write, capsys: pytest.CaptureFixture[str]
) -> None:
    (entry,) = listed(write_job(HEAD + PIECE), "--piece", "K1", capsys=capsys)
    assert entry["mark"] == "K1"
    assert entry["as_drawn"]["crew"] == 4
    options = entry["options"]
    assert [option["n"] for option in options] == list(range(1, len(options) + 1))
    people = [option["people"] for option in options]
    assert people == sorted(people)
    assert 2 in people
    for option in options:
        assert option["strength"] == "untested"
        assert len(option["parts"]) == len(option["seams"]) + 1
        assert all(part["lift_kg"] <= option["people"] * 22.7 for part in option["parts"])
        assert (option["guideline_share"] is None) == (option["people"] > 3)


def test_applying_an_option_gives_what_it_stated_and_keeps_every_comment(
    write_job: Write, capsys: pytest.CaptureFixture[str]
) -> None:
    path = write_job(HEAD + PIECE)
    for option in listed(path, "--piece", "K1", capsys=capsys)[0]["options"]:
        path = write_job(HEAD + PIECE)
        number = str(option["n"])
        assert run(["lighten", str(path), "--piece", "K1", "--apply", number]) == 2
        assert "--accept-untested" in capsys.readouterr().err
        assert path.read_text() == HEAD + PIECE
        assert run(["lighten", str(path), "--piece", "K1", "--apply", number, "--accept-untested"]) == 0
        capsys.readouterr()
        text = path.read_text()
        assert all(line in text for line in (HEAD + PIECE).splitlines() if "#" in line)
        result = estimate(load_job(path))
        assert price_before_tax(read_job(path).sound()) == Decimal(str(option["price"]))
        for part in option["parts"]:
            assert result.pieces[part["mark"]].weight.lift_kg == approx(part["lift_kg"], rel=1e-3)


def test_options_with_enough_tested_strength_come_first(write_job: Write, capsys: pytest.CaptureFixture[str]) -> None:
    path = write_job(HEAD + TESTED.format(strength="9 MPa") + PIECE)
    options = listed(path, "--piece", "K1", capsys=capsys)[0]["options"]
    assert "enough" in {option["strength"] for option in options}
    by_crew: dict[int, list[str]] = {}
    for option in options:
        by_crew.setdefault(option["people"], []).append(option["strength"])
    assert all(strengths == sorted(strengths) for strengths in by_crew.values())  # enough before untested
    number = next(option["n"] for option in options if option["strength"] == "enough")
    assert run(["lighten", str(path), "--piece", "K1", "--apply", str(number)]) == 0


def test_an_option_that_cracks_by_its_tested_strength_is_never_proposed(
    write_job: Write, capsys: pytest.CaptureFixture[str]
) -> None:
    path = write_job(HEAD + TESTED.format(strength="0.05 MPa") + PIECE)
    options = listed(path, "--piece", "K1", capsys=capsys)[0]["options"]
    assert all(option["mix"] != "backer-45" for option in options)


def test_the_reason_is_cracking_where_every_way_cracks(write_job: Write, capsys: pytest.CaptureFixture[str]) -> None:
    weak = HEAD + "[workshop.lighten]\nreplaced_most = 0.4\n" + TESTED.format(strength="0.02 MPa") + PIECE
    assert run(["lighten", str(write_job(weak)), "--piece", "K1"]) == 0
    assert "Every way cracks" in capsys.readouterr().out


def test_more_people_are_listed_only_where_they_save_money(
    write_job: Write, capsys: pytest.CaptureFixture[str]
) -> None:
    site = '[site]\nlift = { width = "110 cm", depth = "140 cm", height = "210 cm", rating = "630 kg" }\n'
    site += 'stairs = [{ width = "90 cm", headroom = "210 cm", pitch = "35 deg" }]\n'
    size = 'length = "2400 mm", width = "900 mm", thickness = "30 mm"'
    drop = 'drop_edges = [{ sides = ["front", "right"], height = "80 mm", thickness = "40 mm" }]'
    head = HEAD.replace("backer-45", "backer-25")
    piece = f'[[piece]]\nmark = "K1"\nuse = "counter"\nshape = {{ kind = "slab", {size}, {drop} }}\n'
    (entry,) = listed(write_job(head + site + piece), "--piece", "K1", capsys=capsys)
    prices = [option["price"] for option in entry["options"]]
    assert prices
    assert prices == sorted(prices, reverse=True)
    assert len(set(prices)) == len(prices)


def test_a_goal_in_pounds_holds_for_every_part(write_job: Write, capsys: pytest.CaptureFixture[str]) -> None:
    (entry,) = listed(write_job(HEAD + PIECE), "--weight", "60 lb", capsys=capsys)
    assert entry["options"]
    assert all(part["lift_kg"] <= 60 * 0.45359237 for option in entry["options"] for part in option["parts"])


def test_a_goal_of_people_lists_no_option_for_more(write_job: Write, capsys: pytest.CaptureFixture[str]) -> None:
    for entry in listed(write_job(HEAD + PIECE), "--people", "2", capsys=capsys):
        assert entry["options"]
        assert all(option["people"] <= 2 for option in entry["options"])


def test_thickness_stays_unless_a_change_is_allowed(write_job: Write, capsys: pytest.CaptureFixture[str]) -> None:
    path = write_job(HEAD + PIECE)
    assert {o["thickness_m"] for o in listed(path, "--piece", "K1", capsys=capsys)[0]["options"]} == {0.0254}
    thinner = listed(path, "--piece", "K1", "--thinnest", "3/4 in", capsys=capsys)[0]["options"]
    assert min(option["thickness_m"] for option in thinner) < 0.0254
    assert min(option["thickness_m"] for option in thinner) >= 0.75 * 0.0254 - 1e-9


def test_parts_go_through_a_narrow_elevator(write_job: Write, capsys: pytest.CaptureFixture[str]) -> None:
    site = '[site]\nlift = { width = "40 in", depth = "50 in", height = "70 in", rating = "2000 lb" }\n'
    (entry,) = listed(write_job(HEAD + site + PIECE), "--piece", "K1", "--people", "4", capsys=capsys)
    assert entry["options"]
    assert all(max(part["size_m"]) < 2.2 for option in entry["options"] for part in option["parts"])


def test_a_job_without_heavy_pieces_gives_one_line_and_an_empty_list(
    write_job: Write, capsys: pytest.CaptureFixture[str]
) -> None:
    path = write_job(HEAD + PIECE[PIECE.index("# the shelf") :])
    assert listed(path, capsys=capsys) == []
    assert run(["lighten", str(path)]) == 0
    assert capsys.readouterr().out == "No piece needs a machine or more than 4 people.\n"
    assert listed(path, "--piece", "s1", capsys=capsys)[0]["options"] == []


def test_a_heavy_piece_that_no_seam_can_cut_still_has_a_first_screen(
    write_job: Write, capsys: pytest.CaptureFixture[str]
) -> None:
    path = write_job(HEAD + '[[piece]]\nmark = "B1"\nshape = { kind = "mesh", file = "block.stl", unit = "mm" }\n')
    trimesh.creation.box((500, 400, 300)).export(path.parent / "block.stl")
    assert run(["estimate", str(path)]) == 0
    assert "B1" in capsys.readouterr().out


def test_the_reason_is_one_line_where_no_way_helps(write_job: Write, capsys: pytest.CaptureFixture[str]) -> None:
    heavy = HEAD.replace("backer-45", "solid-cast") + (
        '[[piece]]\nmark = "K1"\nshape = { kind = "slab", length = "60 in", width = "40 in", thickness = "2 in", '
        'cutouts = [{ kind = "rectangle", length = "36 in", width = "20 in", x = "12 in", y = "10 in" }] }\n'
    )
    path = write_job(heavy)
    assert run(["lighten", str(path), "--piece", "K1", "--people", "1"]) == 0
    assert "No seam beside the cutout helps. The part with the cutout" in capsys.readouterr().out
    assert run(["lighten", str(path), "--piece", "K1", "--people", "1", "--apply", "1"]) == 2


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (["--piece", "K9"], "K9"),
        (["--people", "2", "--weight", "50 lb"], "gives both"),
        (["--apply", "1"], "needs --piece"),
        (["--piece", "K1", "--accept-untested"], "belongs with --apply"),
        (["--piece", "K1", "--apply", "99", "--accept-untested"], "no option 99"),
        (["--weight", "60"], "has no unit"),
        (["--people", "5"], "--people"),
    ],
)
def test_an_impossible_call_is_refused_in_one_line(
    write_job: Write, options: list[str], told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["lighten", str(write_job(HEAD + PIECE)), *options]) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert told in captured.err
    assert captured.err.count("\n") == 1


def test_sand_is_replaced_by_the_beads_of_mixes_of_the_same_make(
    write_job: Write, capsys: pytest.CaptureFixture[str]
) -> None:
    job = (HEAD + PIECE).replace("backer-45", "backer-0")
    options = listed(write_job(job), "--piece", "K1", capsys=capsys)[0]["options"]
    assert all(option["sand_replaced"] is not None for option in options)
    assert any(option["mix"].startswith("backer-") and option["sand_replaced"] > 0 for option in options)


def test_polystyrene_is_not_proposed_beside_a_fire(write_job: Write, capsys: pytest.CaptureFixture[str]) -> None:
    job = (HEAD + PIECE).replace("backer-45", "backer-0").replace('use = "counter"', 'use = "fire"')
    options = listed(write_job(job), "--piece", "K1", capsys=capsys)[0]["options"]
    assert all(option["mix"] == "backer-0" and option["core"] is None for option in options)


def test_a_thick_slab_takes_a_core_with_a_flag(write_job: Write, capsys: pytest.CaptureFixture[str]) -> None:
    job = (
        HEAD
        + TESTED.format(strength="9 MPa")
        + PIECE.replace('thickness = "1 in", cutouts', 'thickness = "2 in", cutouts')
    )
    job += "[workshop.lighten]\nreplaced_most = 0.4\n"
    options = listed(write_job(job), "--piece", "K1", "--people", "4", capsys=capsys)[0]["options"]
    cored = [option for option in options if option["core"] is not None]
    assert cored
    assert all(option["strength"] == "untested" for option in cored)
    assert all(0.0 < option["core"]["mass_kg"] < 1000.0 * option["core"]["displaces_m3"] for option in cored)


def test_a_piece_of_a_drawing_gets_an_entry_over_the_drawing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    kitchen = Path(__file__).parents[2] / "examples" / "kitchen"
    text = (kitchen / "job.toml").read_text()
    first, second = text.index('[[piece]]\nmark = "K3"'), text.index('[[piece]]\nmark = "B1"')
    path = tmp_path / "job.toml"
    (tmp_path / "kitchen.dxf").write_bytes((kitchen / "kitchen.dxf").read_bytes())
    path.write_text(text[:first] + text[second:])
    (entry,) = listed(path, "--piece", "K3", capsys=capsys)
    number = next(option["n"] for option in entry["options"] if option["seams"])
    assert run(["lighten", str(path), "--piece", "K3", "--apply", str(number), "--accept-untested"]) == 0
    added = tomllib.loads(path.read_text())["piece"][-1]
    assert added["mark"] == "K3"
    assert added["from"] == "kitchen.dxf"
    assert len(added["seams"]) == len(entry["options"][number - 1]["seams"])


# Seams in the job file ------------------------------------------------------------------------------------------


def with_seams(seams: str) -> str:
    return HEAD + PIECE.replace('layers = [{ mix = "face"', f'seams = {seams}\nlayers = [{{ mix = "face"')


def test_parts_are_pieces_and_add_up_to_the_whole(write_job: Write) -> None:
    whole = estimate(load_job(write_job(HEAD + PIECE)))
    cut = estimate(load_job(write_job(with_seams('[{ x = "20 in" }, { x = "80 in" }]'))))
    marks = [mark for mark in cut.pieces if mark.startswith("K1")]
    assert marks == ["K1a", "K1b", "K1c"]
    seam_m3 = 2 * 25.5 / 16 * 0.0254**3
    assert sum(cut.pieces[mark].taken.volume_m3 for mark in marks) == approx(
        whole.pieces["K1"].taken.volume_m3 - seam_m3, rel=1e-6
    )
    assert [len(cut.pieces[mark].taken.piece.shape.cuts) for mark in marks] == [0, 1, 0]


def test_a_seam_with_two_ends_cuts_an_outline_at_its_miter(write_job: Write) -> None:
    corners = [(0, 0), (96, 0), (96, 25.5), (25.5, 25.5), (25.5, 72), (0, 72)]
    points = ", ".join(f'["{x} in", "{y} in"]' for x, y in corners)
    job = HEAD + (
        f'[[piece]]\nmark = "L1"\nshape = {{ kind = "outline", points = [{points}], thickness = "1 in" }}\n'
        'seams = [{ unit = "in", from = [25.5, 25.5], to = [0, 0] }]\n'
    )
    result = estimate(load_job(write_job(job)))
    areas = [result.pieces[mark].taken.plan.gross_m2 for mark in ("L1a", "L1b")]
    assert sum(areas) == approx((96 * 25.5 + 25.5 * 46.5 - 25.5 * 2**0.5 / 16) * 0.0254**2, rel=1e-6)


def test_an_insert_goes_with_its_part_and_one_without_a_place_is_shared(write_job: Write) -> None:
    job = with_seams('[{ x = "80 in" }]')
    frame = '{ name = "frame", mass = "10 lb", at = ["90 in", "10 in", "0.5 in"] }'
    inserts = f'inserts = [{frame}, {{ name = "bars", mass = "3 lb" }}]\n'
    parts = load_job(write_job(job.replace("seams =", inserts + "seams ="))).pieces
    left, right = parts[:2]
    assert [insert.name for insert in left.inserts] == ["bars"]
    assert [insert.name for insert in right.inserts] == ["frame", "bars"]
    assert left.inserts[0].mass_kg + right.inserts[1].mass_kg == approx(3 * 0.45359237)


def test_seams_cost_labor_on_site(write_job: Write) -> None:
    labor = estimate(load_job(write_job(with_seams('[{ x = "20 in" }]')))).tables.labour
    (line,) = [row for row in labor.to_dict("records") if row["name"] == "join seams"]
    assert line["hours"] == approx(0.5 * 25.5 / 12, abs=0.01)  # half an hour a foot, the shop's setting


@pytest.mark.parametrize(
    ("seams", "told"),
    [
        ('[{ x = "50 in" }]', "runs through a cutout"),
        ('[{ x = "500 in" }]', 'seams[0]: does not run through the piece, which lies between 0" and 112".'),
        ('[{ x = "20 in", y = "3 in" }]', "needs one place"),
        ("[{ }]", "needs one place"),
        ('[{ from = ["20 in", "0 in"] }]', "needs one place"),
        ('[{ from = ["20 in", "3 in"], to = ["20 in", "9 in"] }]', "edge to edge"),
        ('[{ x = "20 in" }, { x = "20 in" }]', "seams[1]"),
    ],
)
def test_an_impossible_seam_is_refused_with_its_place(write_job: Write, seams: str, told: str) -> None:
    faults = read_job(write_job(with_seams(seams))).faults
    assert len(faults) == 1
    assert "piece K1, seams" in str(faults[0])
    assert told in str(faults[0])


def test_a_seam_that_leaves_no_room_for_a_drop_is_refused(write_job: Write) -> None:
    drop = 'drop_edges = [{ sides = ["front", "left"], height = "3 in", thickness = "1 in" }], cutouts'
    job = with_seams('[{ x = "1 in" }]').replace("cutouts", drop, 1)
    (fault,) = read_job(write_job(job)).faults
    assert "piece K1, seams: leave a part too narrow" in str(fault)


def test_an_impossible_drop_is_refused_once(write_job: Write) -> None:
    drop = 'drop_edges = [{ sides = ["front"], height = "3 in", thickness = "30 in" }], cutouts'
    with pytest.raises(InputError) as caught:
        estimate(load_job(write_job((HEAD + PIECE).replace("cutouts", drop, 1))))
    assert len(caught.value.faults) == 1


def test_a_part_may_not_take_the_mark_of_another_piece(write_job: Write) -> None:
    job = with_seams('[{ x = "20 in" }]').replace('mark = "S1"', 'mark = "k1B"')
    (fault,) = read_job(write_job(job)).faults
    assert "k1B" in str(fault) or "K1b" in str(fault)


def test_seams_are_for_flat_pieces(write_job: Write) -> None:
    job = HEAD + (
        '[[piece]]\nmark = "P1"\nseams = [{ x = "4 in" }]\n'
        'shape = { kind = "box", length = "30 in", width = "18 in", height = "9 in", wall = "3/4 in", base = "1 in" }\n'
    )
    (fault,) = read_job(write_job(job)).faults
    assert "slab or an outline" in str(fault)


def test_a_part_changes_with_the_seams_of_its_piece(write_job: Write, capsys: pytest.CaptureFixture[str]) -> None:
    path = write_job(with_seams('[{ x = "80 in" }]'))
    assert run(["lighten", str(path), "--piece", "K1a"]) == 0
    assert "K1a is a part of K1" in capsys.readouterr().out
    assert tomllib.loads(path.read_text())["piece"][0]["mark"] == "K1"


def test_a_piece_drawn_askew_is_cut_square_to_its_edges(write_job: Write, capsys: pytest.CaptureFixture[str]) -> None:
    points = [(0.0, 0.0), (69.282, 40.0), (57.282, 60.785), (-12.0, 20.785)]  # 80 by 24 in, turned by 30°
    listed_points = ", ".join(f'["{x} in", "{y} in"]' for x, y in points)
    shape = f'shape = {{ kind = "outline", points = [{listed_points}], thickness = "1-1/4 in" }}\n'
    path = write_job(HEAD + f'[[piece]]\nmark = "R1"\n{shape}')
    (entry,) = listed(path, "--piece", "R1", capsys=capsys)
    (seams,) = [option["seams"] for option in entry["options"] if len(option["seams"]) == 1][:1]
    (x0, y0), (x1, y1) = seams[0]
    assert (x1 - x0) * 69.282 + (y1 - y0) * 40.0 == approx(0.0, abs=1e-4)
    assert run(["lighten", str(path), "--piece", "R1"]) == 0
    assert "from the left" in " ".join(capsys.readouterr().out.split())


def test_on_stairs_two_carry_and_a_third_guides(write_job: Write, capsys: pytest.CaptureFixture[str]) -> None:
    site = '[site]\nstairs = [{ width = "40 in", headroom = "90 in", pitch = "35 deg" }]\n'
    (entry,) = listed(write_job(HEAD + site + PIECE), "--piece", "K1", capsys=capsys)
    assert entry["options"]
    for option in entry["options"]:
        carriers = 1 if option["people"] < 3 else 2
        assert all(part["lift_kg"] <= carriers * 35 * 0.45359237 for part in option["parts"])
