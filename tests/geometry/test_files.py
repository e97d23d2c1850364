"""Files are opened in one module, up to a limit, by bytes as well as by path."""

import ast
import os
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from estimator.intake import shape_files
from geometry import mesh_file
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


def test_a_file_that_grows_as_fast_as_it_is_read_ends_where_it_ended(tmp_path: Path) -> None:
    path = tmp_path / "a.stl"
    path.write_bytes(b"solid")
    file = InputFile("a.stl", path)
    with file.stream() as stream, path.open("ab") as writer:
        assert stream.read(2) == b"so"
        writer.write(b"more")
        writer.flush()
        assert stream.read() == b"lid"
        assert stream.readinto(bytearray(9)) == 0


@pytest.mark.parametrize("written", [b"A", b"1234567", b"1234567890"], ids=["shorter", "as long", "longer"])
def test_a_file_that_is_written_while_it_is_read_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, written: bytes
) -> None:
    path = tmp_path / "a.csv"
    path.write_bytes(b"7654321")
    fstat = os.fstat
    calls: list[int] = []

    def then_write(descriptor: int) -> os.stat_result:
        if calls:
            path.write_bytes(written)
            os.utime(path, (2e9, 2e9))
        calls.append(descriptor)
        return fstat(descriptor)

    monkeypatch.setattr("geometry.files.os.fstat", then_write)
    with refusal("The file was changed while it was read. Wait until it is saved, and try again."):
        InputFile("a.csv", path).read()


def test_a_mesh_that_is_written_between_two_passes_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Text, whose facets are counted in the first pass, and more of them in the second."""
    path = tmp_path / "a.stl"
    path.write_text(stl_text(box(100, 200, 300)))
    whole = mesh_file._whole

    def then_write(*given: Any) -> Any:
        path.write_text(stl_text(box(100, 200, 300)) * 2)
        return whole(*given)

    monkeypatch.setattr(mesh_file, "_whole", then_write)
    for read in (mesh_file.read_mesh, mesh_file.read_facets):
        path.write_text(stl_text(box(100, 200, 300)))
        with refusal("was changed while it was read"):
            read(path, 0.001)


def test_the_figure_of_a_drawing_that_is_written_meanwhile_is_not_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "a.wkt"
    path.write_text("POLYGON ((0 0, 9 0, 9 9, 0 0))")
    read = shape_files.read_drawing

    def then_write(*given: Any) -> Any:
        path.write_text("POLYGON ((0 0, 900 0, 900 900, 0 0))")
        return read(*given)

    monkeypatch.setattr(shape_files, "read_drawing", then_write)
    with refusal("was changed while it was read"):
        shape_files.drawing_of(path, 1.0, None, None)
    monkeypatch.setattr(shape_files, "read_drawing", read)
    path.write_text("POLYGON ((0 0, 9 0, 9 9, 0 0))")
    assert shape_files.drawing_of(path, 1.0, None, None).area_m2 == pytest.approx(40.5)
