"""Drawings on paper in a job: a scale, or two points and their distance, which must agree."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from estimator.intake.read import read_job
from tests.geometry.readers.test_pdf import page, plan

pytest.importorskip("pypdfium2")
Write = Callable[[str], Path]
JOB = '[job]\nname = "Tops"\nmix = "backer-45"\nwaste = 0.05\nunits = "metric"\n'
TWO = 'reference = { points = [["50 mm", "50 mm"], ["170 mm", "50 mm"]], distance = "%s" }'


def read(write_job: Write, keys: str, name: str = "plan.pdf") -> Any:
    shape = f'kind = "outline", file = "{name}", thickness = "30 mm", {keys}'
    path = write_job(JOB + f'[[piece]]\nmark = "A"\nshape = {{ {shape} }}\n')
    (path.parent / name).write_bytes(page(plan))
    return read_job(path)


@pytest.mark.parametrize(
    "keys",
    [
        'scale = "1:20"',
        'scale = "1 : 20"',
        'scale = "5 cm = 1 m", unit = "in"',
        TWO % "2.4 m",
        TWO % "2405 mm" + ', scale = "1:20"',
        'scale = "1:20", page = 1',
    ],
)
def test_a_scale_or_two_points_give_the_size(write_job: Write, keys: str) -> None:
    (piece,) = read(write_job, keys).sound().pieces
    x0, y0, x1, y1 = piece.shape.region.bounds
    assert (x1 - x0, y1 - y0) == pytest.approx((2.4, 0.65), rel=1e-6)


@pytest.mark.parametrize(
    ("keys", "line"),
    [
        (
            "page = 1",
            "job.toml: piece A, shape.file: plan.pdf: The page has no scale. Its outlines are 120.0 × ",
        ),
        ('unit = "mm"', "job.toml: piece A, shape.file: plan.pdf: A drawing on paper has no unit."),
        ('scale = "20"', 'job.toml: piece A, shape.scale: "20" is not a scale. Write a ratio such as "1:20"'),
        ('scale = "20:1:3"', 'job.toml: piece A, shape.scale: "20:1:3" is not a scale.'),
        ('scale = "1/4 = 1 ft"', "job.toml: piece A, shape.scale: "),
        ('scale = "0 mm = 1 ft"', "job.toml: piece A, shape.scale: "),
        (
            TWO % "2.3 m" + ', scale = "1:20"',
            "job.toml: piece A, shape.reference: The scale is 1:20, but the two points make it 1:19.17.",
        ),
        (
            'reference = { points = [["5 mm", "5 mm"], ["5 mm", "5 mm"]], distance = "1 m" }',
            "job.toml: piece A, shape.reference.points: The two points are the same.",
        ),
        ('reference = { points = [["5 mm", "5 mm"]], distance = "1 m" }', "job.toml: piece A, shape.reference"),
        (
            'reference = { points = [[5, 5], [9, 9]], distance = "1 m" }',
            "job.toml: piece A, shape.reference.points[0]",
        ),
        (
            'scale = "1:20", page = 2',
            "job.toml: piece A, shape.file: plan.pdf: There is no page 2. The PDF has 1 ",
        ),
    ],
)
def test_an_unclear_size_is_refused(write_job: Write, keys: str, line: str) -> None:
    found = [str(fault) for fault in read(write_job, keys).faults]
    assert len(found) == 1
    assert found[0].startswith(line)


def test_a_scale_is_only_for_drawings_on_paper(write_job: Write) -> None:
    (fault,) = read(write_job, 'scale = "1:20", unit = "mm"', "plan.wkt").faults
    assert "A .wkt file is not a drawing on paper" in str(fault)


def test_a_drawing_of_several_pieces_may_be_on_paper(write_job: Write) -> None:
    path = write_job(JOB + '[[drawing]]\nfile = "plan.pdf"\nscale = "1:20"\nthickness = "30 mm"\n')
    (path.parent / "plan.pdf").write_bytes(page(plan))
    (piece,) = read_job(path).sound().pieces
    assert piece.mark == "C1"
    assert piece.shape.region.area_m2 == pytest.approx(2.4 * 0.65 - 3.14159265 * 0.01, rel=1e-6)
