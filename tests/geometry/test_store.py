"""The store of finished geometry: it saves work, and nothing depends on it."""

import os
import pickle
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path

import numpy as np
import pytest

from geometry import shapes, store
from geometry.errors import FaultError
from geometry.files import input_file
from geometry.mesh_file import read_facets
from geometry.readers.drawing import read_drawing

EXAMPLES = Path(__file__).parents[2] / "examples/boathouse"


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty store."""
    monkeypatch.setenv(store.VARIABLE, str(tmp_path / "store"))
    store.forget()
    return tmp_path / "store"


def entries(folder: Path) -> list[Path]:
    return sorted(path for path in folder.rglob("*") if path.is_file())


def counted(value: object) -> tuple[Callable[[], object], list[int]]:
    """A function that returns a value, and the number of its calls."""
    calls = [0]

    def work_out() -> object:
        calls[0] += 1
        return value

    return work_out, calls


def key(name: str = "x") -> bytes:
    return store.key_of("test", (memoryview(name.encode()),))


@pytest.mark.usefixtures("folder")
def test_a_figure_is_worked_out_once_in_all_runs() -> None:
    work_out, calls = counted((1.5, "note"))
    for _ in range(3):
        assert store.kept(key(), work_out) == (1.5, "note")
        store.forget()  # as a new run begins
    assert calls == [1]
    assert store.holds(key())
    assert not store.holds(key("y"))


@pytest.mark.usefixtures("folder")
def test_the_store_gives_what_was_read_from_the_file() -> None:
    drawing = read_drawing(EXAMPLES / "island.dxf", 0.0254)
    body = read_facets(EXAMPLES / "basin.stl", 0.0254)
    store.kept(key("drawing"), lambda: drawing)
    store.kept(key("body"), lambda: body)
    store.forget()
    again = store.kept(key("drawing"), lambda: pytest.fail("not kept"))
    assert (again.area_m2, again.perimeter_m, again.centroid_m, again.problems, again.size_m) == (
        drawing.area_m2, drawing.perimeter_m, drawing.centroid_m, drawing.problems, drawing.size_m,
    )  # fmt: skip
    measure, vertices, facets = store.kept(key("body"), lambda: pytest.fail("not kept"))
    assert measure == body[0]
    np.testing.assert_array_equal(vertices, body[1])
    np.testing.assert_array_equal(facets, body[2])
    assert shapes.MeshBody(measure, vertices, facets).solid() == shapes.MeshBody(*body).solid()


@pytest.mark.parametrize("damage", ["empty", "cut", "flipped", "foreign", "folder"])
def test_a_damaged_entry_is_computed_anew(folder: Path, damage: str, tmp_path: Path) -> None:
    store.kept(key(), lambda: (1.0, 2.0))
    store.forget()
    (entry,) = entries(folder)
    content = bytearray(entry.read_bytes())
    if damage == "folder":
        entry.unlink()
        entry.mkdir()
    elif damage == "foreign":  # names a class that no figure holds: loading it would write a file
        harmful = pickle.dumps(Harm(tmp_path / "harmed"))
        entry.write_bytes(sha256(harmful).digest() + harmful)
    else:
        content[40] ^= 1
        entry.write_bytes({"empty": b"", "cut": content[:-3], "flipped": content}[damage])
    work_out, calls = counted((1.0, 2.0))
    assert store.kept(key(), work_out) == (1.0, 2.0)
    assert calls == [1]
    assert not (tmp_path / "harmed").exists()


class Harm:
    def __init__(self, path: Path) -> None:
        self.path = path

    def __reduce__(self) -> tuple[object, ...]:
        return os.mkdir, (str(self.path),)


@pytest.mark.usefixtures("folder")
def test_an_error_is_not_kept() -> None:
    def refuse() -> None:
        raise FaultError("", "no file")

    with pytest.raises(FaultError):
        store.kept(key(), refuse)
    assert store.kept(key(), lambda: 3) == 3


def test_a_store_that_is_turned_off_writes_nothing(folder: Path) -> None:
    with store.off():
        assert store.kept(key(), lambda: 1) == 1
        assert store.unwritten() == [(key(), 1)]
    assert os.environ[store.VARIABLE] == str(folder)
    assert entries(folder) == []


@pytest.mark.parametrize("place", ["a file", "a\0name"])
def test_a_store_that_cannot_be_written_changes_nothing(
    place: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "a file").write_text("in the way")
    monkeypatch.setattr(store, "_folder", lambda: tmp_path / place)
    store.forget()
    assert store.kept(key(), lambda: 1) == 1
    assert store.unwritten() == [(key(), 1)]


def test_without_a_home_there_is_no_folder(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv(store.VARIABLE, raising=False)
    for name in ("HOME", "XDG_CACHE_HOME", "LOCALAPPDATA", "USERPROFILE"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setattr(os.path, "expanduser", lambda path: path)
    store._own_folder.cache_clear()
    try:
        assert store._folder() is None
        store.forget()
        assert store.kept(key(), lambda: 1) == 1
    finally:
        store._own_folder.cache_clear()


def test_the_store_is_bounded_and_drops_the_entries_not_used_for_longest(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(store, "MOST_BYTES", 50_000)
    monkeypatch.setattr(store, "TRIM_EVERY", 1)
    for number in range(20):
        store.kept(key(str(number)), lambda: bytes(8_000))
        os.utime(store._place(key(str(number))), (number, number))  # type: ignore[arg-type]
    assert sum(path.stat().st_size for path in entries(folder)) <= 50_000
    store.forget()
    assert store.holds(key("19"))
    assert not store.holds(key("0"))


def test_changed_code_has_other_keys(monkeypatch: pytest.MonkeyPatch) -> None:
    before = key()
    monkeypatch.setattr(store, "_code", lambda: b"of another release")
    assert key() != before


def test_the_key_goes_by_content(tmp_path: Path) -> None:
    for name in ("a.stl", "b.stl"):
        (tmp_path / name).write_bytes(bytes(3_000_000))
    first, second = (store.key_of("x", store.content_of(input_file(tmp_path / name))) for name in ("a.stl", "b.stl"))
    assert first == second
    assert store.key_of("x", (memoryview(b"1"),), 0.001) != store.key_of("x", (memoryview(b"1"),), 0.01)
