"""`measure`: the tables of the contract, and one line where a file has no measure."""

import json
from pathlib import Path

import pytest

from estimator.__main__ import run

SHEET = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="600mm" height="300mm" viewBox="0 0 600 300">'
    '<g id="plate"><rect width="600" height="300"/><rect x="100" y="100" width="200" height="100"/></g>'
    '<g id="notes"><rect x="610" width="50" height="50"/></g></svg>'
)
EXAMPLE = Path(__file__).parent.parent.parent / "examples/boathouse"


@pytest.fixture
def sheet(tmp_path: Path) -> Path:
    path = tmp_path / "plate.svg"
    path.write_text(SHEET)
    return path


def measured(call: list[str], capsys: pytest.CaptureFixture[str]) -> dict:  # type: ignore[type-arg]
    assert run(["measure", *call, "--json"]) == 0
    return json.loads(capsys.readouterr().out)  # type: ignore[no-any-return]


def test_a_drawing_has_the_keys_of_the_contract(sheet: Path, capsys: pytest.CaptureFixture[str]) -> None:
    told = measured([str(sheet), "--layer", "plate", "--thickness", "20 mm"], capsys)
    assert set(told) == {"kind", "area_m2", "perimeter_m", "size_m", "pieces", "problems", "volume_m3", "centroid_m"}
    assert told["kind"] == "outline"
    assert told["area_m2"] == pytest.approx(0.6 * 0.3 - 0.2 * 0.1)
    assert told["perimeter_m"] == pytest.approx(1.8 + 0.6)
    assert told["pieces"] == [{"area_m2": told["area_m2"], "perimeter_m": told["perimeter_m"], "holes": 1}]
    assert told["volume_m3"] == pytest.approx(0.16 * 0.02)
    assert told["centroid_m"][2] == pytest.approx(0.01)


def test_a_mesh_has_the_keys_of_the_contract(capsys: pytest.CaptureFixture[str]) -> None:
    told = measured([str(EXAMPLE / "basin.stl"), "--unit", "mm"], capsys)
    keys = "kind volume_m3 surface_area_m2 centroid_m size_m facets bodies closed problems"
    assert set(told) == set(keys.split())
    assert (told["kind"], told["bodies"], told["closed"]) == ("mesh", 1, True)


def test_the_wall_of_a_drawn_tube_is_what_is_left(sheet: Path, capsys: pytest.CaptureFixture[str]) -> None:
    call = [str(sheet), "--layer", "notes", "--thickness", "100 mm", "--wall", "5 mm"]
    # first principles: a tube of 50 × 50 mm, open on top: base and four walls
    hollow = 0.04 * 0.04 * 0.095
    assert measured(call, capsys)["volume_m3"] == pytest.approx(0.05 * 0.05 * 0.1 - hollow)


@pytest.mark.parametrize(
    ("call", "line"),
    [
        (
            ["basin.stl"],
            "basin.stl: The file has no unit. Its size is 480 × 340 × 130: in mm 0.48 × 0.34 × 0.13 m, "
            'in cm 4.8 × 3.4 × 1.3 m, in in 12.2 × 8.64 × 3.3 m, in m 480 × 340 × 130 m. Give the unit: "mm", "cm", '
            '"in" or "m".',
        ),
        (["absent.stl"], "absent.stl: there is no such file. Check the path."),
        (
            ["job.toml"],
            'job.toml: ".toml" is not a kind of file that can be measured. Use .stl, .obj, .ply, '
            ".3mf, .glb, .gltf, .step, .stp, .3dm, .dxf, .svg, .geojson, .json, .wkt, .csv, .tsv, .txt, .pdf.",
        ),
        (
            ["basin.stl", "--unit", "inch"],
            'cast-estimator: --unit: "inch" is not a unit of length. Did you mean `in`?',
        ),
        (
            ["basin.stl", "--unit", "mm", "--thickness", "1 in"],
            "cast-estimator: --thickness: is for drawings only. Remove the option.",
        ),
        (
            ["basin.stl", "--unit", "mm", "--layer", "SINK"],
            "cast-estimator: --layer: is for drawings only. Remove the option.",
        ),
        (["island.dxf", "--bodies"], "cast-estimator: --bodies: is for meshes only. Remove the option."),
        (
            ["island.dxf", "--wall", "1 in"],
            "cast-estimator: --wall: needs the height of the drawn piece. Add --thickness.",
        ),
        (
            ["island.dxf", "--thickness", "1"],
            'cast-estimator: --thickness: "1" has no unit. Write "1 in".',
        ),
        (
            ["basin.stl", "--unit", "mm", "--wall", "1 in", "--open", "tpo"],
            'cast-estimator: --open: "tpo" is not known. Did you mean `top`?',
        ),
    ],
)
def test_a_file_without_a_measure_gets_one_line(call: list[str], line: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["measure", str(EXAMPLE / call[0]), *call[1:], "--json"]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err == line + "\n"


def test_a_drawing_cut_off_in_its_header_is_refused_without_an_internal_error(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    whole = (EXAMPLE / "island.dxf").read_bytes()
    for length in range(100, 4000, 150):
        path = tmp_path / "part.dxf"
        path.write_bytes(whole[:length])
        assert run(["measure", str(path), "--unit", "in"]) == 2
        assert capsys.readouterr().err.startswith("part.dxf: ")
