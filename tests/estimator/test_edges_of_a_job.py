"""Edges in a job file: synonyms, layers of a drawing, and refusals."""

from collections.abc import Callable
from pathlib import Path

import ezdxf
import pytest

from estimator import estimate, load_job
from estimator.errors import InputError

Write = Callable[[str], Path]
INCH = 0.0254
HEAD = '[job]\nname = "Reading room"\nunits = "imperial"\nmix = "backer-45"\n[[piece]]\nmark = "A1"\nuse = "counter"\n'
SLAB = 'shape = { kind = "slab", length = "60 in", width = "30 in", thickness = "1 in"'
L_SHAPE = (
    'shape = { kind = "outline", unit = "in", thickness = "1 in", '
    "points = [[0, 0], [96, 0], [96, 25.5], [25.5, 25.5], [25.5, 72], [0, 72]]"
)


def volume_in3(write_job: Write, shape: str) -> float:
    return estimate(load_job(write_job(HEAD + shape))).pieces["A1"].taken.volume_m3 / INCH**3


def fault_of(write_job: Write, shape: str) -> tuple[str, str]:
    with pytest.raises(InputError) as refused:
        estimate(load_job(write_job(HEAD + shape)))
    (fault,) = refused.value.faults
    return fault.place, fault.what


@pytest.mark.parametrize("names", ['edges = ["front"]', 'sides = ["front"]', "edges = [1]", "edges = [{ edge = 1 }]"])
def test_edges_and_sides_are_synonyms_and_an_edge_has_several_names(write_job: Write, names: str) -> None:
    shape = f'{SLAB}, drop_edges = [{{ {names}, height = "3 in", thickness = "1.5 in" }}] }}\n'
    assert volume_in3(write_job, shape) == pytest.approx(60 * 30 + 60 * 1.5 * 2, rel=1e-9)


def test_the_older_spelling_of_a_profile_still_works(write_job: Write) -> None:
    volumes = [
        volume_in3(write_job, f'{SLAB}, edge_profiles = [{{ edges = [1], {key} = "bevel", size = "1/2 in" }}] }}\n')
        for key in ("profile", "kind")
    ]
    assert volumes[0] == volumes[1] == pytest.approx(1800 - 60 * 0.125, rel=1e-9)


def test_two_inner_edges_of_an_l_take_a_drop(write_job: Write) -> None:
    shape = f'{L_SHAPE}, drop_edges = [{{ edges = [3, 4], height = "3 in", thickness = "1.5 in" }}] }}\n'
    assert volume_in3(write_job, shape) == pytest.approx(3989.25, rel=1e-9)  # first principles, as in test_edge_work


def test_lines_on_a_layer_of_the_drawing_name_edges_and_parts(write_job: Write, tmp_path: Path) -> None:
    drawing = ezdxf.new(units=ezdxf.units.IN)
    space = drawing.modelspace()
    space.add_lwpolyline([(0, 0), (60, 0), (60, 30), (0, 30)], close=True, dxfattribs={"layer": "PIECE"})
    space.add_line((5, 0.05), (40, 0.05), dxfattribs={"layer": "DROP"})
    space.add_line((0, 0), (0, 30), dxfattribs={"layer": "DROP"})
    drawing.saveas(tmp_path / "bar.dxf")
    shape = (
        'shape = { kind = "outline", file = "bar.dxf", layer = "PIECE", thickness = "1 in", '
        'drop_edges = [{ edges = [{ layer = "DROP" }], height = "3 in", thickness = "1.5 in" }] }\n'
    )
    # first principles: the whole left edge, and 35 in of the front that begin beyond its drop
    assert volume_in3(write_job, shape) == pytest.approx(1800 + (30 + 35) * 1.5 * 2, rel=1e-6)


@pytest.mark.parametrize(
    ("shape", "place", "what"),
    [
        (
            f'{L_SHAPE}, drop_edges = [{{ edges = [9], height = "3 in", thickness = "1 in" }}] }}\n',
            "piece A1, shape.drop_edges[0].edges[0]",
            "9 is not an edge of this outline",
        ),
        (
            f'{L_SHAPE}, drop_edges = [{{ edges = [{{ edge = 3, length = "60 in" }}], height = "3 in", '
            'thickness = "1 in" }] }\n',
            "piece A1, shape.drop_edges[0].edges[0].length",
            '70-1/2" (edge 3)',
        ),
        (
            f'{L_SHAPE}, drop_edges = [{{ edges = [1], sides = ["front"], height = "3 in", thickness = "1 in" }}] }}\n',
            "piece A1, shape.drop_edges[0]",
            "mean the same",
        ),
        (
            f'{L_SHAPE}, edge_profiles = [{{ edges = [1], profile = "cove" }}] }}\n',
            "piece A1, shape.edge_profiles[0]",
            "needs a size",
        ),
        (
            f'{L_SHAPE}, edge_profiles = [{{ edges = [1], profile = "bullnose", size = "1 in" }}] }}\n',
            "piece A1, shape.edge_profiles[0].size",
            "half the height",
        ),
        (
            f'{L_SHAPE}, drop_edges = [{{ edges = [{{ layer = "DROP" }}], height = "3 in", thickness = "1 in" }}] }}\n',
            "piece A1, shape.drop_edges[0].edges[0].layer",
            "names no drawing file",
        ),
    ],
)
def test_a_faulty_edge_is_refused_with_its_place(write_job: Write, shape: str, place: str, what: str) -> None:
    found_place, found_what = fault_of(write_job, shape)
    assert found_place == place
    assert what in found_what
