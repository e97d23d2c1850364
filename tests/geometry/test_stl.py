"""Reading STL: every kind that occurs, and one line for a file that is not STL."""

import tracemalloc

import numpy as np
import pytest

from geometry.errors import FaultError
from geometry.facets import tally_blocks
from geometry.mesh_file import read_mesh
from geometry.readers.stl import open_stl
from tests.geometry.sample_meshes import box, sphere, stl_text, write_stl
from tests.refusal import note_texts, words_of

BOX = box(100, 200, 300)


def read(path, **options):
    return np.concatenate([block.copy() for block in open_stl(path).blocks(**options)])


def test_binary_is_read_in_blocks_of_any_size(tmp_path):
    facets = sphere(100, 2)
    path = write_stl(tmp_path / "a.stl", facets)
    for size in (1, 7, 320, 1000):
        assert np.array_equal(read(path, size=size), facets.astype(np.float32))
    assert np.array_equal(read(path, start=5, stop=9), facets[5:9].astype(np.float32))


def test_binary_that_begins_with_solid_is_binary(tmp_path):
    assert np.array_equal(read(write_stl(tmp_path / "a.stl", BOX, b"solid exported by something")), BOX)


@pytest.mark.parametrize("change", [str, str.upper, lambda t: t.replace("\n", "\r\n"), lambda t: t.replace("  ", "\t")])
def test_ascii_is_read(tmp_path, change):
    path = tmp_path / "a.stl"
    path.write_text(change(stl_text(BOX)), newline="")
    assert np.array_equal(read(path), BOX)


def test_ascii_may_have_several_solids_and_names_with_spaces(tmp_path):
    path = tmp_path / "a.stl"
    path.write_text(stl_text(BOX, "one of two") + stl_text(BOX + 1000, "") + "\n\n")
    assert np.array_equal(read(path), np.concatenate([BOX, BOX + 1000]))


def test_ascii_longer_than_a_block_of_text_is_read(tmp_path, monkeypatch):
    monkeypatch.setattr("geometry.readers.stl._TEXT_BYTES", 1000)
    path = tmp_path / "a.stl"
    path.write_text(stl_text(sphere(100, 1)))
    assert read(path) == pytest.approx(sphere(100, 1), rel=1e-9, abs=1e-12)


def test_a_stream_needs_the_memory_of_one_block(tmp_path):
    # a file ten times longer than the memory allowed for it
    facets = np.tile(sphere(100, 4), (20, 1, 1))
    path = write_stl(tmp_path / "a.stl", facets)
    allowance = path.stat().st_size // 10
    tracemalloc.start()
    found = tally_blocks(open_stl(path).blocks(size=512), np.zeros(3))
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert found.facets == len(facets)
    assert peak < allowance


def binary(tmp_path):
    return write_stl(tmp_path / "box.stl", BOX).read_bytes()


@pytest.mark.parametrize(
    ("spoil", "message"),
    [
        (lambda _: b"", "The file is empty. Export it again."),
        (lambda _: b"hello", "The file is not STL: too short, and does not begin with solid. Export it again."),
        (
            lambda whole: whole[:-20],
            "The STL file is cut short: its header announces 12 facets, the file has 11. Export or copy it again.",
        ),
        (
            lambda whole: b"solid" + whole[5:-70],
            "The STL file is cut short: its header announces 12 facets, the file has 10. Export or copy it again.",
        ),
        (
            lambda whole: whole + bytes(50),
            "The STL file is 50 bytes longer than the 12 facets in its header. Export it again.",
        ),
        (lambda _: bytes(84), "The STL file has no facets. Export it again with the piece in it."),
        (lambda _: b"solid a\nendsolid a\n", "The STL file has no facets. Export it again with the piece in it."),
        (lambda _: b"solid but not a mesh", "The STL file has no facets. Export it again with the piece in it."),
        (
            lambda _: stl_text(BOX).encode()[:1500],
            "The STL file is cut short after 6 facets. Export or copy it again.",
        ),
        (
            lambda _: stl_text(BOX).replace("endloop", "end loop", 1).encode(),
            'Facet 1 has "end" where "endloop" belongs. Export it again as binary STL.',
        ),
        (
            lambda _: stl_text(BOX[:2]).replace("1.000000000e+02", "100,5").encode(),
            'Facet 2 has "100,5" where a number belongs. Export it again.',
        ),
    ],
)
def test_a_file_that_is_not_stl_is_refused_in_one_line(tmp_path, spoil, message):
    path = tmp_path / "a.stl"
    path.write_bytes(spoil(binary(tmp_path)))
    with pytest.raises(FaultError) as refusal:
        read(path)
    assert words_of(refusal.value) == message


def test_bytes_after_the_last_facet_are_left_out_and_named(tmp_path):
    path = tmp_path / "a.stl"
    path.write_bytes(binary(tmp_path) + b"\n")
    found = read_mesh(path, 0.001)
    assert found.volume_m3 == pytest.approx(0.006)
    assert note_texts(found.problems) == ("Left out 1 byte after the last facet (0x0A).",)
