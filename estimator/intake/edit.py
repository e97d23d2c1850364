"""Edits of a job file as its owner wrote it: comments, order, quotes and line ends stay.

The one module that changes job files. Each change is checked before it counts: the new text must hold the old data
with that one change, and every character outside the change must be as it was. Otherwise the edit is refused.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping, Sequence
from copy import copy
from pathlib import Path
from typing import Any, Literal, TypeAlias

from estimator.disk import digest, replace_unchanged
from estimator.errors import FaultError
from geometry.files import read_bytes
from geometry.frozen import frozen
from geometry.message import message

KeyPath: TypeAlias = tuple[str | int, ...]
"""From the top of the file to a key: ("piece", 0, "shape", "thickness")."""

BOM = b"\xef\xbb\xbf"


@frozen
class Edit:
    """One change of a job file.

    kind    set: give the key at `at` this value, added where it is missing, with the tables on the way to it;
            add: append the value to the list at `at`, which is started where it is missing;
            remove: take the key, or the table, out
    value   as tomllib would read it
    """

    kind: Literal["set", "add", "remove"]
    at: KeyPath
    value: Any = None


def edit_file(path: Path, edits: Iterable[Edit]) -> None:
    """Makes some edits of a job file and saves it whole, unless somebody saved it meanwhile.

    Raises FaultError where an edit is refused or the file was changed, and OSError.
    """
    content = read_bytes(path)
    replace_unchanged(path, edited(content, edits), digest(content))


def edited(content: bytes, edits: Iterable[Edit]) -> bytes:
    """The bytes of a job file with some edits made, one after the other.

    Raises FaultError for a file that is not TOML, for a key that is not there, and where an edit would change anything
    else.
    """
    return edited_table(content, edits)[0]


def edited_table(
    content: bytes, edits: Iterable[Edit], table: dict[str, Any] | None = None
) -> tuple[bytes, dict[str, Any]]:
    """The bytes of a job file with some edits made, and what they hold then.

    table   what the file holds before, where somebody has read it already: reading takes longer than most edits
    Raises FaultError as `edited` does.
    """
    head = BOM if content.startswith(BOM) else b""
    try:
        text = content.removeprefix(BOM).decode("utf-8")
        data = tomllib.loads(text) if table is None else table
    except (UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise FaultError("", message("edit-not-toml", reason=str(error))) from None
    for edit in edits:
        text, data = _edited(text, data, edit)
    return head + text.encode("utf-8"), data


def _edited(text: str, data: dict[str, Any], edit: Edit) -> tuple[str, dict[str, Any]]:
    try:
        wanted = _changed(data, edit)
    except (KeyError, IndexError, TypeError, AttributeError):
        raise FaultError("", message("edit-no-key", path=dotted(edit.at))) from None
    if _alike(wanted, data):
        return text, data
    after = _rewritten(text, edit)
    try:
        held = tomllib.loads(after)
        sound = _alike(held, wanted) and _leaves_the_rest(text, after, edit, _value_at(data, edit.at))
    except tomllib.TOMLDecodeError:
        sound = False
    if not sound:
        raise FaultError("", message("edit-refused", path=dotted(edit.at)))
    return after, held


def dotted(at: KeyPath) -> str:
    """A path as a reader would write it.

    >>> dotted(("piece", 0, "shape", "thickness"))
    'piece[1].shape.thickness'
    """
    parts = [f"[{part + 1}]" if isinstance(part, int) else f".{part}" for part in at]
    return "".join(parts).lstrip(".")


def _changed(data: Any, edit: Edit) -> Any:
    """Plain data with the edit made; what the edit leaves alone is shared with the data before.

    Raises KeyError, IndexError, TypeError or AttributeError for a path that leads nowhere.
    """
    *way, last = edit.at
    whole = data = copy(data)
    for part in way:
        below = data.setdefault(part, {}) if isinstance(part, str) and edit.kind != "remove" else data[part]
        data[part] = copy(below)
        data = data[part]
    if edit.kind == "remove":
        del data[last]
    elif edit.kind == "add":
        data[last] = copy(data.setdefault(last, []))
        data[last].append(edit.value)
    elif isinstance(last, int):
        data[last]  # a place of a list is set only where there is one
        data[last] = edit.value
    else:
        if not isinstance(data, dict):
            raise TypeError
        data[last] = edit.value
    return whole


def _alike(first: Any, second: Any) -> bool:
    """Whether two values are the same and of the same kind: true is not 1, and 1 is not 1.0."""
    if first is second or type(first) is not type(second):
        return first is second
    if isinstance(first, dict):
        return first.keys() == second.keys() and all(_alike(value, second[key]) for key, value in first.items())
    if isinstance(first, list):
        return len(first) == len(second) and all(map(_alike, first, second))
    return bool(first == second) or (first != first and second != second)


def _rewritten(text: str, edit: Edit) -> str:
    """The text with the edit made by the round-trip library, quotes and blank lines as the owner has them."""
    import tomlrt

    try:
        document = tomlrt.loads(text)
        _apply(document, edit)
        after = str(tomlrt.dumps(document))
    except (tomlrt.TOMLError, KeyError, IndexError, TypeError, ValueError, AttributeError):
        raise FaultError("", message("edit-refused", path=dotted(edit.at))) from None
    return _spaced(text, _quoted_alike(text, after, edit.value))


def _apply(document: Any, edit: Edit) -> None:
    import tomlrt

    table, (*way, last) = document, edit.at
    for at, part in enumerate(way):
        if edit.kind != "remove" and isinstance(part, str) and part not in table:
            below: Any = [edit.value] if edit.kind == "add" else edit.value
            if at == 0:
                document.install(edit.at, tomlrt.Table.section(below) if isinstance(below, Mapping) else below)
                return
            for key in reversed((*way[at + 1 :], last)):
                below = {key: below}
            _put(table, part, below)
            return
        table = table[part]
    if edit.kind == "remove":
        del table[last]
    elif edit.kind == "set":
        _put(table, last, edit.value)
    elif last in table:
        table[last].append(edit.value)
    else:
        _put(table, last, [edit.value])


def _put(table: Any, key: str | int, value: Any) -> None:
    """Give a key its value: a new table gets its own head where its neighbors have theirs."""
    import tomlrt

    if isinstance(value, Mapping) and isinstance(table, tomlrt.Table) and key not in table:
        neighbors = [other for other in table.values() if isinstance(other, tomlrt.Table)]
        if isinstance(table, tomlrt.Document) or any(not other.is_inline for other in neighbors):
            value = tomlrt.Table.section(value)
    if isinstance(table, tomlrt.Document) and _is_list_of_tables(value) and key not in table:
        value = tomlrt.AoT(value)
    table[key] = value


def _is_list_of_tables(value: Any) -> bool:
    return isinstance(value, Sequence) and bool(value) and all(isinstance(part, Mapping) for part in value)


def _middle(before: str, after: str) -> tuple[int, int, int]:
    """Where two texts differ: from this place on, to this place in the one and to that in the other."""
    most = min(len(before), len(after))
    start = _shared(before, after, most)
    tail = _shared(before[::-1], after[::-1], most - start)
    return start, len(before) - tail, len(after) - tail


def _shared(first: str, second: str, most: int) -> int:
    """How many characters two texts share from their start, at most `most`."""
    low, high = 0, most
    while low < high:
        middle = (low + high + 1) // 2
        if first[:middle] == second[:middle]:
            low = middle
        else:
            high = middle - 1
    return low


def _value_at(data: Any, at: KeyPath) -> Any:
    """The value at a path of plain data; None where there is none, which TOML cannot say."""
    for part in at:
        try:
            data = data[part]
        except (KeyError, IndexError, TypeError):
            return None
    return data


def _leaves_the_rest(before: str, after: str, edit: Edit, old: Any) -> bool:
    """Whether nothing but the change itself differs: an addition takes nothing away, a removal adds nothing, and a
    value that takes the place of another stays on its line unless it filled several.

    old   value that was there before
    """
    start, end, new_end = _middle(before, after)
    gone, come = before[start:end].strip(), after[start:new_end].strip()
    if edit.kind == "remove":
        return not come
    if edit.kind == "add" or old is None:
        return not gone
    several = isinstance(old, dict | list) or (isinstance(old, str) and "\n" in old)
    return several or "\n" not in gone


def _quoted_alike(before: str, after: str, value: Any) -> str:
    """The text with single quotes about a text that had them."""
    if not isinstance(value, str) or "'" in value or not value.isprintable():
        return after
    start, end, new_end = _middle(before, after)
    old = before[start:end]
    if len(old) > 1 and old[0] == old[-1] == "'" and not old.startswith("''"):
        return f"{after[:start]}'{value}'{after[new_end:]}"
    return after


def _spaced(before: str, after: str) -> str:
    """The text with a blank line before a table that came new, and one after it."""
    start, end, new_end = _middle(before, after)
    start = before.rfind("\n", 0, start) + 1
    head, come, tail = after[:start], after[start:new_end], after[new_end:]
    if before[start:end].strip() or not come.startswith("["):
        return after
    line = "\r\n" if "\r\n" in before else "\n"
    if head.strip() and not head.endswith(line * 2):
        head += line
    if tail.strip() and come.endswith("\n") and not tail.startswith(line) and not come.endswith(line * 2):
        come += line
    return head + come + tail
