"""Files are opened in one module, up to a limit, by bytes as well as by path."""

import ast
from pathlib import Path

import numpy as np
import pytest

from geometry.files import InputFile, Limits, held_to, read_bytes
from geometry.mesh_file import read_mesh
from geometry.readers.drawing import read_drawing
from tests.geometry.sample_meshes import box, stl_text, write_stl
from tests.refusal import refusal

ROOT = Path(__file__).parents[2]
OPENERS = {"open", "read_text", "read_bytes", "write_text", "write_bytes"}
ALLOWED = {  # other calls of such a name, and their object
    ("geometry/files.py", "path"),
    ("geometry/files.py", "resources.files(package).joinpath(name)"),
    ("geometry/files.py", "self.source"),
    ("geometry/files.py", "self._archive"),
    ("estimator/disk.py", "path"),  # the one that writes
    ("geometry/store.py", "temporary"),  # except the store of measured geometry, which the package keeps for itself
    ("estimator/intake/build.py", "Image"),  # a picture in memory
    ("estimator/commands/serve.py", "webbrowser"),  # a page, not a file
}
SYSTEM = {"os"}  # handles of folders and of nowhere


def test_nothing_else_opens_a_file() -> None:
    strays = []
    for package in ("geometry", "estimator"):
        for path in (ROOT / package).rglob("*.py"):
            name = path.relative_to(ROOT).as_posix()
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)):
                    continue
                on = ast.unparse(node.func.value)
                if node.func.attr in OPENERS and on not in SYSTEM and (name, on) not in ALLOWED:
                    strays.append(f"{name}:{node.lineno}: {on}.{node.func.attr}")
    assert not strays


@pytest.mark.parametrize("name", ["plan.csv", "plan.wkt", "plan.svg"])
def test_a_drawing_reads_the_same_by_path_and_by_bytes(tmp_path: Path, name: str) -> None:
    content = {
        "plan.csv": b"x,y\n0,0\n600,0\n600,400\n0,400\n",
        "plan.wkt": b"POLYGON ((0 0, 600 0, 600 400, 0 400, 0 0))",
        "plan.svg": b'<svg xmlns="http://www.w3.org/2000/svg"><path d="M0 0H600V400H0Z"/></svg>',
    }[name]
    (tmp_path / name).write_bytes(content)
    by_path = read_drawing(tmp_path / name, unit_m=0.001)
    by_bytes = read_drawing(InputFile(name, content), unit_m=0.001)
    assert by_bytes.name == by_path.name == name
    assert by_bytes.area_m2 == by_path.area_m2 == pytest.approx(0.24)  # 0.6 m × 0.4 m


@pytest.mark.parametrize("kind", ["binary", "text"])
def test_a_mesh_reads_the_same_by_path_and_by_bytes(tmp_path: Path, kind: str) -> None:
    path = write_stl(tmp_path / "a.stl", box(100, 200, 300))
    if kind == "text":
        path.write_text(stl_text(np.asarray(box(100, 200, 300))))
    found = read_mesh(InputFile("a.stl", path.read_bytes()), 0.001)
    assert found == read_mesh(path, 0.001)
    assert found.volume_m3 == pytest.approx(0.006)  # 0.1 m × 0.2 m × 0.3 m


def test_a_file_beyond_its_limit_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    path.write_bytes(b"x,y\n" * 1000)
    with held_to(Limits(file_mb=0.004)):
        assert len(read_bytes(path)) == 4000
    with held_to(Limits(file_mb=0.003)), refusal(r"has 0.004 MB. At most 0.003 MB .* --limit file_mb="):
        read_bytes(path)
    with refusal("has 0.004 MB"):
        read_drawing(InputFile("a.csv", path, Limits(file_mb=0.003)), unit_m=0.001)
    stl = write_stl(tmp_path / "a.stl", box(1, 1, 1))
    with refusal("has 0.000684 MB. At most 0.0001 MB"):
        read_mesh(InputFile("a.stl", stl, Limits(stream_mb=1e-4)), 0.001)


@pytest.mark.parametrize(
    ("name", "said"), [("none.stl", "there is no such file"), ("folder.stl", "is a folder"), ("a.stl", "is empty")]
)
def test_a_path_that_is_no_file_is_refused(tmp_path: Path, name: str, said: str) -> None:
    (tmp_path / "folder.stl").mkdir()
    (tmp_path / "a.stl").write_bytes(b"")
    with refusal(said):
        read_mesh(tmp_path / name, 0.001)
