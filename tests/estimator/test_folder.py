"""A folder is written whole or not at all, and only a folder of the program is replaced."""

import json
import os
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path

import pytest

from estimator.disk import MANIFEST, write_folder
from estimator.errors import InputError


def test_files_and_manifest_are_written(tmp_path: Path) -> None:
    write_folder(tmp_path / "pack", {"a.txt": b"a", "drawings/b.txt": b"b"})
    assert (tmp_path / "pack/drawings/b.txt").read_bytes() == b"b"
    assert json.loads((tmp_path / "pack" / MANIFEST).read_text()) == {
        "a.txt": sha256(b"a").hexdigest(),
        "drawings/b.txt": sha256(b"b").hexdigest(),
    }
    assert [each.name for each in tmp_path.iterdir()] == ["pack"], "nothing is left beside it"


def test_a_folder_of_the_program_is_replaced_whole(tmp_path: Path) -> None:
    write_folder(tmp_path / "pack", {"old.txt": b"1"})
    write_folder(tmp_path / "pack", {"new.txt": b"2"})
    assert sorted(each.name for each in (tmp_path / "pack").iterdir()) == [MANIFEST, "new.txt"]
    assert [each.name for each in tmp_path.iterdir()] == ["pack"]


def test_the_folder_that_a_run_starts_in_is_filled_and_stays_the_same(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    here = tmp_path / "here"
    here.mkdir()
    before = here.stat().st_ino
    monkeypatch.chdir(here)
    write_folder(Path(), {"a.txt": b"a", "drawings/b.txt": b"b"})
    assert Path("a.txt").read_bytes() == b"a"
    assert Path("drawings/b.txt").read_bytes() == b"b"
    assert here.stat().st_ino == before, "replaced, it would be gone from under the shell"
    assert [entry.name for entry in tmp_path.iterdir()] == ["here"]
    with pytest.raises(InputError, match="is the folder that you are in"):
        write_folder(Path(), {"a.txt": b"c"})
    assert Path("a.txt").read_bytes() == b"a"
    monkeypatch.chdir(here / "drawings")
    with pytest.raises(InputError, match="is the folder that you are in, or holds it"):
        write_folder(here, {"a.txt": b"c"})
    monkeypatch.chdir(tmp_path)
    write_folder(here, {"a.txt": b"c"})
    assert (here / "a.txt").read_bytes() == b"c"


@pytest.mark.parametrize("held", ["notes.txt", MANIFEST])
def test_a_folder_with_any_other_file_is_refused_and_left_alone(tmp_path: Path, held: str) -> None:
    pack = tmp_path / "pack"
    pack.mkdir()
    (pack / held).write_text("mine" if held != MANIFEST else '["notes.txt"]')
    (pack / "notes.txt").write_text("mine")
    with pytest.raises(InputError, match=r"has (notes\.txt|\.written\.json), which this program did not write"):
        write_folder(pack, {"a.txt": b"a"})
    assert (pack / "notes.txt").read_text() == "mine"
    assert not (pack / "a.txt").exists()


def test_a_file_added_to_a_folder_of_the_program_is_kept(tmp_path: Path) -> None:
    write_folder(tmp_path / "pack", {"a.txt": b"a"})
    (tmp_path / "pack/signed.pdf").write_bytes(b"signed")
    with pytest.raises(InputError, match=r"signed\.pdf"):
        write_folder(tmp_path / "pack", {"a.txt": b"b"})
    assert (tmp_path / "pack/a.txt").read_bytes() == b"a"


def test_a_file_in_place_of_the_folder_is_refused(tmp_path: Path) -> None:
    (tmp_path / "pack").write_text("a file")
    with pytest.raises(InputError, match="is a file, not a folder"):
        write_folder(tmp_path / "pack", {"a.txt": b"a"})


def test_a_fault_in_the_middle_leaves_the_old_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write_folder(tmp_path / "pack", {"a.txt": b"old"})
    sync = os.fsync
    synced: list[int] = []

    def full_disk(handle: int) -> None:  # the disk reports that it is full when it is flushed
        synced.append(handle)
        if len(synced) == 3:  # the manifest, a.txt, b.txt
            raise OSError(28, "No space left on device")
        sync(handle)

    monkeypatch.setattr(os, "fsync", full_disk)
    with pytest.raises(InputError, match="No space left on device"):
        write_folder(tmp_path / "pack", {"a.txt": b"new", "b.txt": b"new"})
    assert (tmp_path / "pack/a.txt").read_bytes() == b"old"
    assert [each.name for each in tmp_path.iterdir()] == ["pack"]


def test_a_file_changed_since_it_was_written_is_not_replaced(tmp_path: Path) -> None:
    write_folder(tmp_path / "shop", {"job.toml": b"starter"})
    (tmp_path / "shop/job.toml").write_bytes(b"a day of work")
    with pytest.raises(InputError, match=r"has job\.toml, which was changed since it was written"):
        write_folder(tmp_path / "shop", {"job.toml": b"starter"})
    assert (tmp_path / "shop/job.toml").read_bytes() == b"a day of work"


@pytest.mark.parametrize("untouched", [True, False])
def test_the_folder_of_the_job_is_never_an_output_folder(tmp_path: Path, untouched: bool) -> None:
    write_folder(tmp_path / "shop", {"job.toml": b"starter"})
    job = tmp_path / "shop/job.toml"
    if not untouched:
        job.write_bytes(b"a day of work")
    with pytest.raises(InputError, match="is the folder of the job file"):
        write_folder(tmp_path / "shop/../shop", {"quote.pdf": b"q"}, job)
    assert job.exists()


def _file(folder: Path) -> None:
    (folder / "kept").write_bytes(b"")


def _empty_folder(folder: Path) -> None:
    (folder / "photos").mkdir()


def _link(folder: Path) -> None:
    (folder / "elsewhere").symlink_to(folder.parent)


def _link_in_place_of_a_file(folder: Path) -> None:
    (folder / "a.txt").rename(folder.parent / "a.txt")
    (folder / "a.txt").symlink_to(folder.parent / "a.txt")


@pytest.mark.parametrize("put", [_file, _empty_folder, _link, _link_in_place_of_a_file])
def test_files_that_a_user_put_into_a_pack_stay(tmp_path: Path, put: Callable[[Path], None]) -> None:
    pack = tmp_path / "pack"
    write_folder(pack, {"a.txt": b"a", "drawings/b.txt": b"b"})
    put(pack)
    before = sorted(pack.rglob("*"))
    with pytest.raises(InputError, match=r"has \S+, which|has the folder \S+, which"):
        write_folder(pack, {"a.txt": b"new"})
    assert sorted(pack.rglob("*")) == before
    assert (pack / "a.txt").read_bytes() == b"a"


class _KilledError(BaseException):
    """Ends the run like a power cut: nothing is cleaned up."""


@pytest.mark.parametrize("rename", [1, 2])
@pytest.mark.parametrize("fresh", [True, False])
def test_a_killed_run_leaves_a_pack_that_the_next_run_restores(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, rename: int, fresh: bool
) -> None:
    pack = tmp_path / "pack"
    write_folder(pack, {"a.txt": b"old"})
    renamed = []

    def killed(source: str, target: str, *_: object) -> None:
        renamed.append(source)
        if len(renamed) >= rename:
            raise _KilledError
        os.replace(source, target)

    with monkeypatch.context() as patched:
        patched.setattr(os, "rename", killed)
        patched.setattr("estimator.disk._remove", lambda _: None)
        with pytest.raises(_KilledError):
            write_folder(pack, {"a.txt": b"new"})
    assert pack.exists() == (rename == 1)
    write_folder(pack, {"a.txt": b"newer" if fresh else b"new"})
    assert (pack / "a.txt").read_bytes() == (b"newer" if fresh else b"new")
    assert [each.name for each in tmp_path.iterdir()] == ["pack"]


@pytest.mark.parametrize("removed", range(22))
def test_a_run_killed_while_clearing_the_old_pack_does_not_stop_later_runs(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, removed: int
) -> None:
    """The disk decides the order in which a folder lists its names, so any of them may be gone."""
    pack, unlink = tmp_path / "pack", os.unlink
    files = {f"{number % 3}/{number}.txt": b"old" for number in range(9)} | {f"{n}.txt": b"old" for n in range(12)}
    write_folder(pack, files)
    gone: list[object] = []

    def killed(name: str, **place: int) -> None:
        if len(gone) >= removed:
            raise _KilledError
        gone.append(name)
        unlink(name, **place)

    with monkeypatch.context() as patched:
        patched.setattr(os, "unlink", killed)
        with pytest.raises(_KilledError):
            write_folder(pack, {"a.txt": b"new"})
    assert (pack / "a.txt").read_bytes() == b"new"
    assert (tmp_path / ".pack.old").is_dir()
    write_folder(pack, {"a.txt": b"newer"})
    assert (pack / "a.txt").read_bytes() == b"newer"
    assert [path.name for path in tmp_path.iterdir()] == ["pack"]


def test_an_old_pack_set_aside_comes_back_where_the_next_run_may_not_write(tmp_path: Path) -> None:
    write_folder(tmp_path / "pack", {"a.txt": b"old"})
    (tmp_path / "pack/a.txt").write_bytes(b"signed")
    (tmp_path / "pack").rename(tmp_path / ".pack.old")
    with pytest.raises(InputError, match="changed since"):
        write_folder(tmp_path / "pack", {"a.txt": b"new"})
    assert (tmp_path / "pack/a.txt").read_bytes() == b"signed"
