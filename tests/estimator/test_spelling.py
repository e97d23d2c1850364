"""American and British spelling in a job file: both are read, and both at once in one table are refused."""

import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from estimator.api import job_from
from estimator.intake.documents import SPELLED_TWO_WAYS, built_in_catalog
from estimator.intake.json_schema import json_schema
from estimator.intake.read import read_job
from estimator.names import SPELLINGS

Write = Callable[[str], Path]
PLATE = 'shape = { kind = "slab", length = "30 in", width = "20 in", thickness = "1 in" }\n'
BRITISH = (
    '[job]\nname = "Two ways"\nwaste = 0.05\n[mixes.shop]\nbased_on = "backer-45"\ncolour_group = "gray"\n'
    "cementitious = { grey-cement = 1.0 }\nfibre = { ar-glass-chopped = 0.03 }\n[workshop.transport]\n"
    'forklift_load_centre = "24 in"\n[workshop.labour]\nhone = "0.3 h/ft^2"\n[[piece]]\nmark = "fiber"\nmix = "shop"\n'
    + PLATE
)
AMERICAN = (
    BRITISH.replace("colour", "color").replace("grey", "gray").replace("fibre", "fiber").replace("centre", "center")
).replace("labour", "labor")


def test_a_job_is_the_same_in_either_spelling(write_job: Write) -> None:
    british, american = read_job(write_job(BRITISH)), read_job(write_job(AMERICAN))
    assert british.faults == american.faults == ()
    assert british.job is not None
    assert american.job == british.job
    assert british.job.pieces[0].mark == "fiber"  # text of the user stays as it is


@pytest.mark.parametrize(
    ("doubled", "line"),
    [
        (
            "colour_group",
            "mixes.shop.color_group: `colour_group` and `color_group` are the same key. Keep one of them.",
        ),
        ("fibre", "mixes.shop.fiber: `fibre` and `fiber` are the same key. Keep one of them."),
    ],
)
def test_both_spellings_in_one_table_are_refused_in_one_line(write_job: Write, doubled: str, line: str) -> None:
    text = re.sub(
        f"({doubled}( = .*)\n)", lambda m: m[1] + m[1].replace("colour", "color").replace("fibre", "fiber"), BRITISH
    )
    (fault,) = read_job(write_job(text)).faults
    assert line in str(fault)


@pytest.mark.parametrize(
    ("typed", "place"),
    [
        ("[workshop.labor]\nrate = -5\n", "workshop.labor.rate"),
        ("[workshop.labour]\nrate = -5\n", "workshop.labour.rate"),
        ('[mixes.fibre]\nbased_on = "backer-45"\nfiber = { ar-glass-chopped = 3 }\n', "mix fibre, fiber.ar-glass"),
    ],
)
def test_a_fault_names_a_key_as_it_was_typed(write_job: Write, typed: str, place: str) -> None:
    text = f'[job]\nname = "As typed"\nmix = "backer-45"\nwaste = 0.05\n[[piece]]\nmark = "A"\n{PLATE}{typed}'
    (fault,) = read_job(write_job(text)).faults
    assert fault.place.startswith(place)


def test_columns_of_a_schedule_and_tables_of_python_are_read_in_both(write_job: Write) -> None:
    path = write_job('[job]\nname = "S"\nmix = "backer-45"\nwaste = 0.05\n[[schedule]]\nfile = "s.csv"\n')
    head = "mark,mix,shape.kind,shape.length,shape.width,shape.thickness\n"
    (path.parent / "s.csv").write_text(head + "A,face-gray,slab,30 in,20 in,1 in\n", encoding="utf-8")
    job = read_job(path).sound()
    assert job.pieces[0].layers[0].mix == "face-grey"
    plate = {"kind": "slab", "length": "1 m", "width": "600 mm", "thickness": "25 mm"}
    table = {"job": {"name": "P", "mix": "face-gray"}, "piece": [{"mark": "A", "shape": plate}]}
    assert job_from(table).pieces[0].layers[0].mix == "face-grey"


def names(part: Any) -> Iterator[str]:
    """Keys and short texts of a document."""
    if isinstance(part, dict):
        for key, value in part.items():
            yield key
            yield from names(value)
    elif isinstance(part, list):
        for each in part:
            yield from names(each)
    elif isinstance(part, str) and " " not in part:
        yield part


def schema_names(part: Any) -> Iterator[str]:
    """Keys and closed values of the job file."""
    if isinstance(part, dict):
        yield from part.get("properties", {})
        yield from (each for each in [*part.get("enum", []), part.get("const")] if isinstance(each, str))
    for each in part.values() if isinstance(part, dict) else part if isinstance(part, list) else ():
        yield from schema_names(each)


def test_the_list_of_words_with_two_spellings_is_complete() -> None:
    word = re.compile("|".join(SPELLINGS.values()))
    own = {"mitre-deep"}  # the id of a warning, not of the job file
    found = {each for each in [*names(built_in_catalog()), *schema_names(json_schema())] if word.search(each)}
    assert found - own == SPELLED_TWO_WAYS
