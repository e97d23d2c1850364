"""`measure --picture`: what is written, and that a fault leaves nothing behind."""

import numpy as np
import pytest

from estimator.__main__ import run

SHEET = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="600mm" height="300mm" viewBox="0 0 600 300">'
    '<rect width="600" height="300"/><circle cx="300" cy="150" r="100"/></svg>'
)


@pytest.fixture
def drawing(tmp_path):
    path = tmp_path / "panel.svg"
    path.write_text(SHEET)
    return path


@pytest.fixture
def block(tmp_path):
    """A block of 400 × 300 × 200 mm as ASCII STL."""
    x, y, z = 400, 300, 200
    corners = np.array([(i, j, k) for i in (0, x) for j in (0, y) for k in (0, z)])
    sides = [(0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3)]
    lines = ["solid block"]
    for a, b, c, d in sides:
        for facet in ((a, b, c), (a, c, d)):
            lines += ["facet normal 0 0 0", "outer loop"]
            lines += [f"vertex {' '.join(map(str, corners[i]))}" for i in facet]
            lines += ["endloop", "endfacet"]
    path = tmp_path / "block.stl"
    path.write_text("\n".join([*lines, "endsolid block", ""]))
    return path


def test_a_drawing_is_drawn_beside_its_measure(drawing, tmp_path, capsys):
    assert run(["measure", str(drawing), "--picture", str(tmp_path / "out.svg")]) == 0
    assert "panel.svg: outline" in capsys.readouterr().out
    shown = (tmp_path / "out.svg").read_text()
    assert ">600 mm</text>" in shown
    assert ">300 mm</text>" in shown


def test_a_mesh_is_drawn_in_inches_where_inches_are_asked_for(block, tmp_path):
    assert run(["measure", str(block), "--unit", "in", "--json", "--picture", str(tmp_path / "out.svg")]) == 0
    assert "front</text>" in (tmp_path / "out.svg").read_text()
    assert "33' 4\"</text>" in (tmp_path / "out.svg").read_text()


def test_png_is_chosen_by_the_suffix(block, tmp_path):
    assert run(["measure", str(block), "--unit", "mm", "--picture", str(tmp_path / "out.PNG")]) == 0
    assert (tmp_path / "out.PNG").read_bytes().startswith(b"\x89PNG")


@pytest.mark.parametrize(
    ("target", "message"),
    [
        ("out.pdf", 'Can\'t write "out.pdf". Use a name ending in .svg or .png.'),
        ("panel.svg", "is there already. Choose another name."),
        ("none/out.svg", "there is no folder"),
    ],
)
def test_an_impossible_place_for_the_picture_is_refused(drawing, tmp_path, capsys, target, message):
    assert run(["measure", str(drawing), "--picture", str(tmp_path / target)]) == 2
    told = capsys.readouterr()
    assert message in told.err
    assert told.out == ""
    assert drawing.read_text() == SHEET


def test_a_faulty_file_leaves_no_picture(tmp_path, capsys):
    (tmp_path / "open.csv").write_text("x,y\n0,0\n1,1\n1,0\n0,1\n")
    picture = str(tmp_path / "out.svg")
    assert run(["measure", str(tmp_path / "open.csv"), "--unit", "m", "--picture", picture]) == 2
    assert "crosses itself at (0.5, 0.5) m" in capsys.readouterr().err
    assert [path.name for path in tmp_path.iterdir()] == ["open.csv"]
