"""Sizes that make no sense are asked about with place and number; pieces that cannot be cast are refused."""

from collections.abc import Callable
from pathlib import Path

import pytest

from estimator import InputError, estimate, load_job
from estimator.__main__ import run
from estimator.intake.read import read_job
from estimator.words import PLAIN

HEAD = '[job]\nname = "Odd sizes"\nmix = "backer-45"\n[[piece]]\nmark = "A"\n'
SLAB = 'shape = { kind = "slab", length = "60 in", width = "25 in", thickness = "1-1/2 in"%s }\n'
SINK = ', cutouts = [{ kind = "rectangle", length = "20 in", width = "15 in", x = "20 in", y = "%s" }%s]'

Write = Callable[[str], Path]


def odd(path: Path) -> list[str]:
    return [PLAIN.text(each.text) for each in load_job(path).warnings if each.id == "size-unusual"]


@pytest.mark.parametrize(
    ("shape", "place", "numbers"),
    [
        ('kind = "slab", length = "60 in", width = "1 in", thickness = "3 in"', "shape.thickness", ('3"', '1"')),
        (
            'kind = "slab", length = "49 ft", width = "25 in", thickness = "2 in"',
            "shape.length",
            ("49' 0\"", "20' 0\""),
        ),
        ('kind = "slab", length = "60 in", width = "25 in", thickness = "20 in"', "shape.thickness", ('20"', '4"')),
        ('kind = "panel", length = "48 in", height = "1/4 in", skin = "1/2 in"', "shape.skin", ('1/2"', '1/4"')),
        (
            'kind = "box", length = "18 in", width = "14 in", height = "6 in", wall = "1/8 in", base = "1 in"',
            "shape.wall",
            ('1/8"', '1/4"'),
        ),
    ],
)
def test_an_odd_size_is_asked_about(write_job: Write, shape: str, place: str, numbers: tuple[str, str]) -> None:
    (text,) = odd(write_job(f"{HEAD}shape = {{ {shape} }}\n"))
    assert f"piece A, {place}: " in text
    assert all(number in text for number in numbers)


CORE = (
    'inserts = [{{ name = "foam core", displaces = "{volume}", mass = "0.3 lb", at = ["{x}", "12 in", "3/4 in"] }}]\n'
)


@pytest.mark.parametrize(
    ("x", "volume", "warned"),
    [
        ("30 in", "0.4 ft^3", True),  # 461 in² through the whole slab: it cannot be less
        ("20 in", "0.4 ft^3", True),  # a square of 21-1/2 in reaches over the seam
        ("15 in", "0.4 ft^3", False),
        ("29 in", "1 in^3", False),
    ],
)
def test_a_core_that_seems_to_run_across_a_seam_is_asked_about(
    write_job: Write, x: str, volume: str, warned: bool
) -> None:
    text = HEAD + SLAB % "" + 'seams = [{ x = "30 in" }]\n' + CORE.format(x=x, volume=volume)
    found = odd(write_job(text))
    assert ["piece A, inserts[0]" in line and "across the seam" in line for line in found] == [True] * warned


def test_an_insert_outside_a_piece_with_seams_is_named_by_its_place_in_the_file(write_job: Write) -> None:
    inside = '{ name = "plate", mass = "1 lb", at = ["10 in", "12 in", "3/4 in"] }'
    outside = '{ name = "bracket", mass = "2 lb", at = ["61 in", "12 in", "3/4 in"] }'
    text = HEAD + SLAB % "" + f'seams = [{{ x = "30 in" }}]\ninserts = [{inside}, {outside}]\n'
    (line,) = odd(write_job(text))
    assert "piece A, inserts[1].at" in line


@pytest.mark.parametrize(("more", "asked"), [("", True), (', mass = "0 lb"', True), (', mass = "1 lb"', False)])
def test_an_insert_without_a_mass_is_asked_about(write_job: Write, more: str, asked: bool) -> None:
    found = odd(write_job(HEAD + SLAB % "" + f'inserts = [{{ name = "steel frame"{more} }}]\n'))
    assert ["adds nothing to the weight" in line for line in found] == [True] * asked


def test_inserts_that_leave_next_to_nothing_of_a_layer_are_refused(write_job: Write) -> None:
    # 60 × 25 × 1.5 in = 2250 in³; of which 2137.5 in³ are 95%
    for volume, fits in (("2137 in^3", True), ("2138 in^3", False)):
        text = HEAD + SLAB % "" + f'inserts = [{{ name = "core", displaces = "{volume}", mass = "1 lb" }}]\n'
        job = load_job(write_job(text))
        if fits:
            estimate(job)
        else:
            with pytest.raises(InputError, match="The inserts displace"):
                estimate(job)


def test_two_splashes_on_one_edge_are_refused(write_job: Write) -> None:
    splash = '{{ edges = ["{}"], height = "4 in", thickness = "3/4 in" }}'
    for edges, refused in ((("back", "back"), True), (("back", "left"), False)):
        text = SLAB % f", splashes = [{', '.join(splash.format(edge) for edge in edges)}]"
        faults = [str(fault) for fault in read_job(write_job(HEAD + text)).faults]
        assert ["names edge back a second time" in line for line in faults] == [True] * refused


def test_a_quarter_inch_rail_beside_a_sink_is_asked_about(write_job: Write) -> None:
    (text,) = odd(write_job(HEAD + SLAB % (SINK % ("1/4 in", ""))))
    assert 'cutouts[0]: leaves a rail of only 1/4" to the edge' in text


def test_a_thin_web_between_a_sink_and_a_faucet_hole_is_asked_about(write_job: Write) -> None:
    hole = ', { kind = "circle", diameter = "1-1/2 in", x = "30 in", y = "20 in" }'
    (text,) = odd(write_job(HEAD + SLAB % (SINK % ("4 in", hole))))
    assert 'cutouts[0]: leaves a rail of only 1/4" to cutouts[1]' in text


def test_usual_rails_raise_no_question(write_job: Write) -> None:
    hole = ', { kind = "circle", diameter = "1-1/2 in", x = "30 in", y = "22 in" }'
    assert odd(write_job(HEAD + SLAB % (SINK % ("3 in", hole)))) == []


@pytest.mark.parametrize(
    ("text", "place"),
    [
        (
            'shape = { kind = "box", length = "18 in", width = "14 in", height = "6 in", '
            'wall = "0.5 mm", base = "1 in" }\n',
            'shape.wall: 0.019685" is too thin to cast. Write 1/16" or more',
        ),
        (SLAB % (SINK % ("1 mm", "")), 'cutouts[0]: leaves 0.0393701" of concrete to the edge'),
        (
            'shape = { kind = "outline", points = [[0, 0], [40, 0], [40, 0.04], [0, 0.04]], unit = "in", '
            'thickness = "1 in" }\n',
            'shape: 0.03996" is too thin to cast',
        ),
        (SLAB.replace("25 in", "0.05 in") % "", 'shape.width: 0.05" is too thin to cast'),
        (
            SLAB % "" + 'inserts = [{ name = "bracket", mass = "2 lb", at = ["80 in", "5 in", "1 in"] }]\n',
            'inserts[0].at: is 20" outside the piece',
        ),
    ],
)
def test_a_piece_that_cannot_be_cast_is_refused(write_job: Write, text: str, place: str) -> None:
    with pytest.raises(InputError) as caught:
        load_job(write_job(HEAD + text))
    (line,) = str(caught.value).splitlines()
    assert place in line


def test_the_limits_are_those_of_the_shop(write_job: Write) -> None:
    path = write_job(HEAD + SLAB % (SINK % ("1/4 in", "")) + '[workshop.sizes]\nrail = "1/8 in"\n')
    assert odd(path) == []


def test_the_example_has_usual_sizes() -> None:
    jobs = sorted((Path(__file__).parents[2] / "examples").rglob("job.toml"))
    assert jobs
    assert [text for path in jobs for text in odd(path)] == []


def test_a_starter_job_has_usual_sizes(tmp_path: Path) -> None:
    assert run(["new", str(tmp_path / "shop")]) == 0
    assert odd(tmp_path / "shop" / "job.toml") == []


HOLE = '{{ kind = "circle", diameter = "200 mm", x = "{} mm", y = "300 mm" }}'


@pytest.mark.parametrize(("places", "count"), [((300, 300), 1), ((300, 450), 1), ((300, 500), 0), ((300, 400, 450), 3)])
def test_openings_that_share_an_area_are_asked_about(
    write_job: Callable[[str], Path], places: tuple[int, ...], count: int
) -> None:
    holes = ", ".join(HOLE.format(place) for place in places)
    shape = f'kind = "slab", length = "1 m", width = "600 mm", thickness = "20 mm", cutouts = [{holes}]'
    found = [line for line in odd(write_job(f"{HEAD}shape = {{ {shape} }}\n")) if "overlap" in line]
    assert len(found) == count


def test_a_plan_drawn_at_an_angle_is_asked_about(write_job: Write) -> None:
    level = '["0 m", "0 m"], ["2 m", "0 m"], ["2 m", "0.6 m"], ["0 m", "0.6 m"]'
    turned = '["0 m", "0 m"], ["1.6 m", "1.2 m"], ["1.24 m", "1.68 m"], ["-0.36 m", "0.48 m"]'
    shape = 'shape = {{ kind = "outline", thickness = "25 mm", points = [{}] }}\n'
    assert odd(write_job(HEAD + shape.format(level))) == []
    assert [text.partition(".")[0] for text in odd(write_job(HEAD + shape.format(turned)))] == [
        "piece A, shape: is drawn at an angle"
    ]
