"""Sizes that make no sense are told with their place and number; what cannot be cast is refused."""

from collections.abc import Callable
from pathlib import Path

import pytest

from estimator import InputError, load_job
from estimator.__main__ import run
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
        ('kind = "panel", length = "48 in", height = "1/4 in", skin = "1/2 in"', "shape.skin", ('1/2"', '1/4"')),
        (
            'kind = "box", length = "18 in", width = "14 in", height = "6 in", wall = "1/8 in", base = "1 in"',
            "shape.wall",
            ('1/8"', '1/4"'),
        ),
    ],
)
def test_an_odd_size_is_told(write_job: Write, shape: str, place: str, numbers: tuple[str, str]) -> None:
    (text,) = odd(write_job(f"{HEAD}shape = {{ {shape} }}\n"))
    assert f"piece A, {place}: " in text
    assert all(number in text for number in numbers)


def test_a_quarter_inch_rail_beside_a_sink_is_told(write_job: Write) -> None:
    (text,) = odd(write_job(HEAD + SLAB % (SINK % ("1/4 in", ""))))
    assert 'cutouts[0]: leaves a rail of only 1/4" to the edge' in text


def test_a_thin_web_between_a_sink_and_a_faucet_hole_is_told(write_job: Write) -> None:
    hole = ', { kind = "circle", diameter = "1-1/2 in", x = "30 in", y = "20 in" }'
    (text,) = odd(write_job(HEAD + SLAB % (SINK % ("4 in", hole))))
    assert 'cutouts[0]: leaves a rail of only 1/4" to cutouts[1]' in text


def test_usual_rails_are_not_told(write_job: Write) -> None:
    hole = ', { kind = "circle", diameter = "1-1/2 in", x = "30 in", y = "22 in" }'
    assert odd(write_job(HEAD + SLAB % (SINK % ("3 in", hole)))) == []


@pytest.mark.parametrize(
    ("text", "place"),
    [
        (
            'shape = { kind = "box", length = "18 in", width = "14 in", height = "6 in", '
            'wall = "0.5 mm", base = "1 in" }\n',
            'shape.wall: 0.02" is too thin to cast. Write 1/16" or more',
        ),
        (SLAB % (SINK % ("1 mm", "")), 'cutouts[0]: leaves 1/16" of concrete to the edge'),
        (
            SLAB % "" + 'inserts = [{ name = "bracket", mass = "2 lb", at = ["80 in", "5 in", "1 in"] }]\n',
            'inserts[0].at: is 20" outside the piece',
        ),
    ],
)
def test_what_cannot_be_cast_is_refused(write_job: Write, text: str, place: str) -> None:
    with pytest.raises(InputError) as caught:
        load_job(write_job(HEAD + text))
    (line,) = str(caught.value).splitlines()
    assert place in line


def test_the_limits_are_the_workshops(write_job: Write) -> None:
    path = write_job(HEAD + SLAB % (SINK % ("1/4 in", "")) + '[workshop.sizes]\nrail = "1/8 in"\n')
    assert odd(path) == []


def test_the_example_is_of_usual_sizes() -> None:
    jobs = sorted((Path(__file__).parents[2] / "examples").rglob("job.toml"))
    assert jobs
    assert [text for path in jobs for text in odd(path)] == []


def test_a_starter_job_is_of_usual_sizes(tmp_path: Path) -> None:
    assert run(["new", str(tmp_path / "shop")]) == 0
    assert odd(tmp_path / "shop" / "job.toml") == []
