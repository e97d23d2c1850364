"""Edits of job files change one entry and leave every other character as it was."""

import os
import tomllib
from copy import deepcopy
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimator.disk import digest, replace_unchanged
from estimator.errors import FaultError
from estimator.intake import edit as edits
from estimator.intake.edit import Edit, KeyPath, edit_file, edited, parsed

ROOT = Path(__file__).parents[2]
FILES = {
    path.name + str(number): path.read_bytes()
    for number, path in enumerate(
        [
            ROOT / "examples" / "boathouse" / "job.toml",
            ROOT / "estimator" / "commands" / "starter.toml",
            *sorted((ROOT / "catalogs").glob("*.toml")),
        ]
    )
}
OUT_OF_ORDER = b"""\
# of the shop
[mixes.shop]
air = 0.05 # tight

# a change in between
[[change]]
number = 1

# of the light mix
[mixes.light]
based_on = "shop"
"""


def paths(value: Any, at: KeyPath = ()) -> list[KeyPath]:
    """Every path below a value, tables and lists included."""
    parts = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [path for key, part in parts for path in ((*at, key), *paths(part, (*at, key)))]


def value_at(data: Any, at: KeyPath) -> Any:
    for part in at:
        data = data[part]
    return data


def comments(content: bytes) -> list[str]:
    """Comments that stand on a line of their own, in order."""
    return [line.strip() for line in content.decode().splitlines() if line.lstrip().startswith("#")]


SCALARS = st.one_of(
    st.booleans(),
    st.integers(-1000, 1000),
    st.floats(-1e6, 1e6, allow_nan=False),
    st.text(st.characters(exclude_categories=("Cs",), exclude_characters="\x00"), max_size=20),
)


@settings(max_examples=120, deadline=None)
@given(st.sampled_from(sorted(FILES)), st.data())
def test_setting_a_value_changes_only_its_line(name: str, data: st.DataObject) -> None:
    content = FILES[name]
    whole = tomllib.loads(content.decode())
    single = [path for path in paths(whole) if not isinstance(value_at(whole, path), dict | list)]
    at, value = data.draw(st.sampled_from(single)), data.draw(SCALARS)
    after = edited(content, [Edit("set", at, value)])
    wanted = deepcopy(whole)
    value_at(wanted, at[:-1])[at[-1]] = value
    assert tomllib.loads(after.decode()) == wanted
    before_lines, after_lines = content.split(b"\n"), after.split(b"\n")
    assert len(before_lines) == len(after_lines)
    assert sum(a != b for a, b in zip(before_lines, after_lines, strict=True)) <= 1


@settings(max_examples=80, deadline=None)
@given(st.sampled_from(sorted(FILES)), st.data())
def test_adding_and_removing_a_key_leaves_the_file_as_it_was(name: str, data: st.DataObject) -> None:
    content = FILES[name]
    whole = tomllib.loads(content.decode())
    tables = [path for path in paths(whole) if isinstance(value_at(whole, path), dict)]
    at, value = data.draw(st.sampled_from(tables)), data.draw(SCALARS)
    with_it = edited(content, [Edit("set", (*at, "brand-new"), value)])
    assert value_at(tomllib.loads(with_it.decode()), (*at, "brand-new")) == value
    assert comments(with_it) == comments(content)
    assert tomllib.loads(edited(with_it, [Edit("remove", (*at, "brand-new"))]).decode()) == whole


@settings(max_examples=80, deadline=None)
@given(st.sampled_from(sorted(FILES)), st.data())
def test_removing_a_key_leaves_all_others(name: str, data: st.DataObject) -> None:
    content = FILES[name]
    whole = tomllib.loads(content.decode())
    at = data.draw(st.sampled_from(paths(whole)))
    wanted = deepcopy(whole)
    del value_at(wanted, at[:-1])[at[-1]]
    try:
        after = edited(content, [Edit("remove", at)])
    except FaultError as error:
        assert error.message.id == "edit-refused"  # noqa: PT017  the last of several tables, which leaves an empty list
        return
    assert tomllib.loads(after.decode()) == wanted


def test_tables_out_of_order_stay_in_place() -> None:
    after = edited(OUT_OF_ORDER, [Edit("set", ("mixes", "shop", "air"), 0.06)])
    assert after == OUT_OF_ORDER.replace(b"0.05", b"0.06")


def test_a_new_mix_gets_a_table_of_its_own_beside_the_others() -> None:
    after = edited(OUT_OF_ORDER, [Edit("set", ("mixes", "beads"), {"based_on": "shop", "aggregate": {"sand": 1.0}})])
    assert b'\n\n[mixes.beads]\nbased_on = "shop"\naggregate = { sand = 1.0 }\n' in after
    assert comments(after) == comments(OUT_OF_ORDER)


def test_a_file_without_mixes_gets_them_at_its_end() -> None:
    after = edited(b'[job]\nname = "x"   # it\n', [Edit("set", ("mixes", "light", "based_on"), "backer-45")])
    assert after == b'[job]\nname = "x"   # it\n\n[mixes.light]\nbased_on = "backer-45"\n'


def test_a_piece_is_added_after_the_last() -> None:
    content = b'[[piece]]\nmark = "C1"\n\n# what is in stock\n[stock]\na = "1 lb"\n'
    after = edited(content, [Edit("add", ("piece",), {"mark": "C2"})])
    assert after == b'[[piece]]\nmark = "C1"\n\n[[piece]]\nmark = "C2"\n\n# what is in stock\n[stock]\na = "1 lb"\n'


@pytest.mark.parametrize("head", [b"", b"\xef\xbb\xbf"], ids=["plain", "bom"])
@pytest.mark.parametrize("end", [b"\n", b"\r\n"], ids=["lf", "crlf"])
def test_byte_order_mark_line_ends_and_quotes_are_kept(head: bytes, end: bytes) -> None:
    content = head + end.join([b"[job] # head", b"name = 'old'  # single", b'mix = "m"', b""])
    changes = [Edit("set", ("job", "name"), "new"), Edit("set", ("job", "waste"), 0.1)]
    expected = [b"[job] # head", b"name = 'new'  # single", b'mix = "m"', b"waste = 0.1", b""]
    assert edited(content, changes) == head + end.join(expected)


def test_setting_the_same_value_changes_nothing() -> None:
    content = b"[job]\nname = 'x'\n"
    assert edited(content, [Edit("set", ("job", "name"), "x")]) == content


@pytest.mark.parametrize(
    "change",
    [Edit("remove", ("job", "mix")), Edit("set", ("piece", 4, "mark"), "C9"), Edit("set", ("job", "name", "x"), 1)],
)
def test_a_path_that_leads_nowhere_is_refused(change: Edit) -> None:
    with pytest.raises(FaultError) as caught:
        edited(b'[job]\nname = "x"\n[[piece]]\nmark = "C1"\n', [change])
    assert caught.value.message.id == "edit-no-key"


def test_an_edit_that_touches_more_than_its_line_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    honest = edits._rewritten
    content = b"# head\n[job]\nname = 'x' # mine\n"
    for careless in (
        lambda text, edit: honest(text, edit).replace("# head\n", ""),
        lambda text, edit: honest(text, edit).replace("[job]", "[job]\nwaste = 0.1"),
        lambda text, edit: honest(text, edit) + "]",
    ):
        monkeypatch.setattr(edits, "_rewritten", careless)
        with pytest.raises(FaultError) as caught:
            edited(content, [Edit("set", ("job", "name"), "y")])
        assert caught.value.message.id == "edit-refused"


def test_a_file_that_is_not_toml_is_not_edited() -> None:
    with pytest.raises(FaultError) as caught:
        edited(b"[job\n", [Edit("set", ("job", "name"), "y")])
    assert caught.value.message.id == "edit-not-toml"


def test_a_file_saved_in_the_meantime_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    path.write_bytes(b"a = 1\n")
    seen = digest(b"a = 0\n")
    with pytest.raises(FaultError) as caught:
        replace_unchanged(path, b"a = 2\n", seen)
    assert caught.value.message.id == "edit-changed-meanwhile"
    assert path.read_bytes() == b"a = 1\n"


def test_saving_keeps_file_permissions_and_leaves_nothing_behind(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    path.write_bytes(b"[job]\nwaste = 0.1 # ours\n")
    path.chmod(0o640)
    edit_file(path, [Edit("set", ("job", "waste"), 0.2)])
    assert path.read_bytes() == b"[job]\nwaste = 0.2 # ours\n"
    assert path.stat().st_mode & 0o777 == 0o640
    assert os.listdir(tmp_path) == ["job.toml"]


LINES = (
    "[[a]]", "[[a]]", "[[b]]", "[[a]] # c", "[[a.b]]", "[[a.b.c]]", "[[ a ]]", " [[a]]", "[a]", "[a.b]", "[a.c]", "[b]",
    "a = 1", "a.b = 1", "b = []", "b.c = 2", "b = [{x = 1}]", "x = 1", "x = 2", "s = \"[[a]]\"", "# c", "",
    'y = """', '"""', 'c = """ # """', "k = '''", "'''", "z = [", "[[1], [2]],", "[[1]]", '[["a"]]', "]", "q = {x = 1}",
)  # fmt: skip


def read_by(read: Any, text: str) -> Any:
    try:
        return read(text)
    except tomllib.TOMLDecodeError as error:
        return str(error)


@settings(max_examples=2000)
@given(st.lists(st.tuples(st.sampled_from(LINES), st.sampled_from(["\n", "\n", "\r\n"])), max_size=9))
def test_reading_block_by_block_gives_what_reading_the_whole_gives(lines: list[tuple[str, str]]) -> None:
    text = "".join(line + end for line, end in lines)
    assert read_by(parsed, text) == read_by(tomllib.loads, text)


@pytest.mark.parametrize(
    "text",
    [
        "[[a]]\nx = 1\n [[a]]\nx = 2\n",  # a second entry that no block begins with
        "[[a]]\nx = 1\n[[b]]\n[a.c]\n",  # a table of an entry in another block
        "[[a]]\nb = [1]\n[[a.b]]\n",  # refused: the key stands twice
        'y = """\n[[a]]\nb = 1\n[[q]]\nc = """ # """\n',  # blocks of one text, each of which could be read alone
        "z = [\n[[1], [2]],\n[[3]]\n]\n",
        "[a]\n[[a]]\n",
        "[[a]]\nx = 1\n[[a]] # second\nx = 2\n[[a]]\n",
    ],
)
def test_what_looks_like_a_block_and_is_none_is_read_as_it_is(text: str) -> None:
    assert read_by(parsed, text) == read_by(tomllib.loads, text)


@pytest.mark.parametrize("name", FILES)
def test_files_are_read_block_by_block_as_a_whole(name: str) -> None:
    text = FILES[name].decode()
    assert parsed(text) == parsed(text) == tomllib.loads(text)


TWO_PIECES = b"""\
[job]
name = "Two"

# by the window
[[piece]]      # first
mark = "A"
layers = [{ mix = "face" }, { mix = "backer-45" }]  # from the form inward

# of the island
[[piece]]
mark = "B"     # second
[piece.shape]
kind = "slab"
[[piece.inserts]]
name = "frame"

[client]
name = "Z"
"""


def test_an_entry_moves_with_its_comments() -> None:
    first = tomllib.loads(TWO_PIECES.decode())["piece"]
    after = edited(TWO_PIECES, [Edit("move", ("piece", 0), 1)])
    assert tomllib.loads(after.decode())["piece"] == first[::-1]
    lines = after.decode().splitlines()
    assert lines.index("# of the island") < lines.index("# by the window") == lines.index("[[piece]]      # first") - 1
    assert lines[-2:] == ["[client]", 'name = "Z"']
    assert edited(after, [Edit("move", ("piece", 1), 0)]) == TWO_PIECES
    layers = edited(TWO_PIECES, [Edit("move", ("piece", 0, "layers", 1), 0)]).decode()
    assert 'layers = [{ mix = "backer-45" }, { mix = "face" }]  # from the form inward\n' in layers


@pytest.mark.parametrize("name", FILES)
def test_every_entry_of_a_list_moves_and_nothing_else(name: str) -> None:
    content = FILES[name]
    data = tomllib.loads(content.decode())
    for path in paths(data):
        value = value_at(data, path)
        if isinstance(value, list) and len(value) > 1:
            if path == ("business", "terms"):  # a comment stands behind its first entry and would be lost
                with pytest.raises(FaultError):
                    edited(content, [Edit("move", (*path, 0), len(value) - 1)])
                continue
            wanted = deepcopy(data)
            value_at(wanted, path).append(value_at(wanted, path).pop(0))
            after = edited(content, [Edit("move", (*path, 0), len(value) - 1)])
            assert tomllib.loads(after.decode()) == wanted, path
            assert sorted(comments(after)) == sorted(comments(content)), path


def test_an_entry_moves_to_no_place_that_its_list_has_not() -> None:
    for path, place in ((("piece", 0), 2), (("piece", 2), 0), (("job", "name"), 0), (("job",), 0)):
        with pytest.raises(FaultError):
            edited(TWO_PIECES, [Edit("move", path, place)])
