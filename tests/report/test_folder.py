"""A folder is written whole or not at all, and only our own is replaced."""

import json
from pathlib import Path

import pytest

from estimator.errors import InputError
from estimator.report.folder import MANIFEST, write_folder


def test_files_and_manifest_are_written(tmp_path: Path) -> None:
    write_folder(tmp_path / "pack", {"a.txt": b"a", "drawings/b.txt": b"b"})
    assert (tmp_path / "pack/drawings/b.txt").read_bytes() == b"b"
    assert json.loads((tmp_path / "pack" / MANIFEST).read_text())["files"] == ["a.txt", "drawings/b.txt"]
    assert [each.name for each in tmp_path.iterdir()] == ["pack"], "nothing is left beside it"


def test_our_own_folder_is_replaced_whole(tmp_path: Path) -> None:
    write_folder(tmp_path / "pack", {"old.txt": b"1"})
    write_folder(tmp_path / "pack", {"new.txt": b"2"})
    assert sorted(each.name for each in (tmp_path / "pack").iterdir()) == [MANIFEST, "new.txt"]
    assert [each.name for each in tmp_path.iterdir()] == ["pack"]


@pytest.mark.parametrize("held", ["notes.txt", MANIFEST])
def test_a_folder_with_anything_else_is_refused_and_left_alone(tmp_path: Path, held: str) -> None:
    pack = tmp_path / "pack"
    pack.mkdir()
    (pack / held).write_text("mine" if held != MANIFEST else '{"files": ["notes.txt"]}')
    (pack / "notes.txt").write_text("mine")
    with pytest.raises(InputError, match=r"holds files that are not from here, such as notes\.txt"):
        write_folder(pack, {"a.txt": b"a"})
    assert (pack / "notes.txt").read_text() == "mine"
    assert not (pack / "a.txt").exists()


def test_a_file_added_to_our_folder_is_not_thrown_away(tmp_path: Path) -> None:
    write_folder(tmp_path / "pack", {"a.txt": b"a"})
    (tmp_path / "pack/signed.pdf").write_bytes(b"signed")
    with pytest.raises(InputError, match=r"signed\.pdf"):
        write_folder(tmp_path / "pack", {"a.txt": b"b"})
    assert (tmp_path / "pack/a.txt").read_bytes() == b"a"


def test_a_file_in_the_folders_place_is_refused(tmp_path: Path) -> None:
    (tmp_path / "pack").write_text("a file")
    with pytest.raises(InputError, match="is a file, not a folder"):
        write_folder(tmp_path / "pack", {"a.txt": b"a"})


def test_a_fault_in_the_middle_leaves_the_old_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write_folder(tmp_path / "pack", {"a.txt": b"old"})
    written = Path.write_bytes

    def full_disk(self: Path, data: bytes) -> int:
        if self.name == "b.txt":
            raise OSError(28, "No space left on device")
        return written(self, data)

    monkeypatch.setattr(Path, "write_bytes", full_disk)
    with pytest.raises(InputError, match="No space left on device"):
        write_folder(tmp_path / "pack", {"a.txt": b"new", "b.txt": b"new"})
    assert (tmp_path / "pack/a.txt").read_bytes() == b"old"
    assert [each.name for each in tmp_path.iterdir()] == ["pack"]
