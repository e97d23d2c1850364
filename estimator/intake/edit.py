"""Edits of a job file that keep its comments, order, quotes and line endings.

This is the only module that changes job files. Each edit is verified before it is accepted: the new text must contain
the old data with only that change, and every character outside the change must be the same. Otherwise it is refused.
"""

from __future__ import annotations

import re
import tomllib
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from copy import copy
from functools import lru_cache
from pathlib import Path
from typing import Any, Literal, TypeAlias

from estimator.disk import digest, replace_unchanged
from estimator.errors import FaultError
from geometry.files import read_bytes
from geometry.frozen import frozen
from geometry.message import message

KeyPath: TypeAlias = tuple[str | int, ...]
"""Path from the top of the file to a key: ("piece", 0, "shape", "thickness")."""

BOM = b"\xef\xbb\xbf"


@frozen
class Edit:
    """One change of a job file.

    kind    set: set the key at `at`, adding it and the tables above it if missing;
            add: append the value to the list at `at`, creating it if missing;
            remove: remove the key or the table;
            move: move the entry of the list to another place in it, with its comments
    value   value as read by tomllib; of a move the new place of the entry, counted from 0
    """

    kind: Literal["set", "add", "remove", "move"]
    at: KeyPath
    value: Any = None


def edit_file(path: Path, edits: Iterable[Edit]) -> None:
    """Apply edits to a job file and save it, unless it was saved by somebody else meanwhile.

    Raises FaultError if an edit is refused or the file was changed, and OSError.
    """
    content = read_bytes(path)
    replace_unchanged(path, edited(content, edits), digest(content))


def parsed(text: str) -> dict[str, Any]:
    """Data of a TOML text, as tomllib gives it; the tables of a list that were read before are not read again.

    The text is cut before each line that begins with [[. Where every block parses by itself, each ends where a
    statement ends. A block that is one entry of a list and nothing else is then put in place of its bare header, and
    tomllib checks how the rest fits together. What is returned is shared, and must not be changed.

    Raises TOMLDecodeError.
    """
    blocks = BLOCKS.split(text)
    if len(blocks) == 1:
        return tomllib.loads(text)
    bare, entries, counts = list[str](), list[tuple[str, int, dict[str, Any]]](), Counter[str]()
    try:
        for block in blocks:
            alone = _block(block) if len(block) <= LARGEST_BLOCK else tomllib.loads(block)
            header = HEADER.match(block)
            name = header[1] if header else ""
            if header and alone.keys() == {name} and len(alone[name]) == 1:
                entries.append((name, counts[name], alone[name][0]))
                counts[name] += 1
                block = header[0]
            bare.append(block)
        data = tomllib.loads("".join(bare))
    except tomllib.TOMLDecodeError:
        return tomllib.loads(text)  # a line within a value begins with [[, or the text is wrong
    elsewhere = any(len(data[name]) != count for name, count in counts.items())
    if elsewhere or any(data[name][at] for name, at, _ in entries):
        return tomllib.loads(text)  # another block adds to these lists
    for name, at, entry in entries:
        data[name][at] = entry
    return data


BLOCKS = re.compile(r"^(?=\[\[)", re.MULTILINE)
HEADER = re.compile(r"\[\[([A-Za-z0-9_-]+)\]\][ \t]*(?:#[^\r\n]*)?\r?\n")
LARGEST_BLOCK = 2_000


@lru_cache(maxsize=2_048)
def _block(text: str) -> dict[str, Any]:
    return tomllib.loads(text)


def edited(content: bytes, edits: Iterable[Edit]) -> bytes:
    """Bytes of a job file with edits applied in order.

    Raises FaultError for a file that is not TOML, for a missing key, and if an edit would change anything else.
    """
    return edited_table(content, edits)[0]


def edited_table(
    content: bytes, edits: Iterable[Edit], table: dict[str, Any] | None = None
) -> tuple[bytes, dict[str, Any]]:
    """Bytes of a job file with edits applied, and the resulting data.

    table   data of the file before, if already parsed: parsing takes longer than most edits

    Raises FaultError as `edited` does.
    """
    head = BOM if content.startswith(BOM) else b""
    try:
        text = content.removeprefix(BOM).decode("utf-8")
        data = parsed(text) if table is None else table
    except (UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise FaultError("", message("edit-not-toml", reason=str(error))) from None
    for edit in edits:
        text, data = _edited(text, data, edit)
    return head + text.encode("utf-8"), data


def _edited(text: str, data: dict[str, Any], edit: Edit) -> tuple[str, dict[str, Any]]:
    try:
        wanted = changed(data, edit)
    except (KeyError, IndexError, TypeError, AttributeError):
        raise FaultError("", message("edit-no-key", path=dotted(edit.at))) from None
    if _alike(wanted, data):
        return text, data
    after = _rewritten(text, edit)
    try:
        found = parsed(after)
        sound = _alike(found, wanted) and _leaves_the_rest(text, after, edit, _value_at(data, edit.at))
    except tomllib.TOMLDecodeError:
        sound = False
    if sound:
        return after, found
    if edit.kind == "remove" and len(edit.at) > 1 and _value_at(wanted, edit.at[:-1]) == {}:
        return _edited(text, data, Edit("remove", edit.at[:-1]))  # a table without a header of its own goes with it
    raise FaultError("", message("edit-refused", path=dotted(edit.at)))


def dotted(at: KeyPath) -> str:
    """Path in readable form, counted from 1.

    >>> dotted(("piece", 0, "shape", "thickness"))
    'piece[1].shape.thickness'
    """
    parts = [f"[{part + 1}]" if isinstance(part, int) else f".{part}" for part in at]
    return "".join(parts).lstrip(".")


def changed(data: Any, edit: Edit) -> Any:
    """Plain data with the edit applied; unchanged parts are shared with the data before.

    Raises KeyError, IndexError, TypeError or AttributeError for a path that does not exist.
    """
    *parents, last = edit.at
    whole = data = copy(data)
    for part in parents:
        below = data.setdefault(part, {}) if isinstance(part, str) and edit.kind in ("set", "add") else data[part]
        data[part] = copy(below)
        data = data[part]
    if edit.kind == "remove":
        del data[last]
    elif edit.kind == "move":
        data[edit.value]  # a list has this place
        data.insert(edit.value, data.pop(last))
    elif edit.kind == "add":
        data[last] = copy(data.setdefault(last, []))
        data[last].append(edit.value)
    elif isinstance(last, int):
        data[last]  # an index of a list must exist to be set
        data[last] = edit.value
    else:
        if not isinstance(data, dict):
            raise TypeError
        data[last] = edit.value
    return whole


def _alike(first: Any, second: Any) -> bool:
    """Whether two values are equal and of the same type: true is not 1, and 1 is not 1.0."""
    if first is second or type(first) is not type(second):
        return first is second
    if isinstance(first, dict):
        return first.keys() == second.keys() and all(_alike(value, second[key]) for key, value in first.items())
    if isinstance(first, list):
        return len(first) == len(second) and all(map(_alike, first, second))
    return bool(first == second) or (first != first and second != second)


def _rewritten(text: str, edit: Edit) -> str:
    """Text with the edit made by the round-trip library, and the owner's quotes and blank lines restored."""
    import tomlrt

    try:
        document = _open.pop(text, None) or tomlrt.loads(text)
        _apply(document, edit)
        after = str(tomlrt.dumps(document))
    except (tomlrt.TOMLError, KeyError, IndexError, TypeError, ValueError, AttributeError):
        raise FaultError("", message("edit-refused", path=dotted(edit.at))) from None
    rewritten = _spaced(text, _quoted_alike(text, after, edit.value))
    if rewritten == after and len(after) <= MOST_OPEN_TEXT:
        _open[after] = document
        while len(_open) > MOST_OPEN or sum(map(len, _open)) > MOST_OPEN_TEXT:
            _open.pop(next(iter(_open)), None)
    return rewritten


MOST_OPEN, MOST_OPEN_TEXT = 8, 500_000
_open: dict[str, Any] = {}
"""Documents as the round-trip library has them, by their text: most edits are of a text that the last one left, and to
parse it takes longer than to edit it."""


def _apply(document: Any, edit: Edit) -> None:
    import tomlrt

    table, (*parents, last) = document, edit.at
    for at, part in enumerate(parents):
        if edit.kind in ("set", "add") and isinstance(part, str) and part not in table:
            below: Any = [edit.value] if edit.kind == "add" else edit.value
            if at == 0:
                document.install(edit.at, tomlrt.Table.section(below) if isinstance(below, Mapping) else below)
                return
            for key in reversed((*parents[at + 1 :], last)):
                below = {key: below}
            _put(table, part, below)
            return
        table = table[part]
    if edit.kind == "remove":
        del table[last]
    elif edit.kind == "move":
        table.insert(edit.value, table.pop(last))
    elif edit.kind == "set":
        _put(table, last, edit.value)
    elif last in table:
        table[last].append(edit.value)
    else:
        _put(table, last, [edit.value])


def _put(table: Any, key: str | int, value: Any) -> None:
    """Set a key. A new table gets its own header if its siblings have theirs."""
    import tomlrt

    if isinstance(value, Mapping) and isinstance(table, tomlrt.Table) and key not in table:
        siblings = [part for part in table.values() if isinstance(part, tomlrt.Table)]
        if isinstance(table, tomlrt.Document) or any(not part.is_inline for part in siblings):
            value = tomlrt.Table.section(value)
    if isinstance(table, tomlrt.Document) and _is_list_of_tables(value) and key not in table:
        value = tomlrt.AoT(value)
    table[key] = value


def _is_list_of_tables(value: Any) -> bool:
    return isinstance(value, Sequence) and bool(value) and all(isinstance(part, Mapping) for part in value)


def _middle(before: str, after: str) -> tuple[int, int, int]:
    """Differing range of two texts: its start, its end in `before`, and its end in `after`."""
    most = min(len(before), len(after))
    start = _shared(before, after, most)
    tail = _shared(before[::-1], after[::-1], most - start)
    return start, len(before) - tail, len(after) - tail


def _shared(first: str, second: str, most: int) -> int:
    """Length of the common prefix of two texts, at most `most`."""
    low, high = 0, most
    while low < high:
        middle = (low + high + 1) // 2
        if first[:middle] == second[:middle]:
            low = middle
        else:
            high = middle - 1
    return low


def _value_at(data: Any, at: KeyPath) -> Any:
    """Value at a path of plain data, or None. TOML has no null."""
    for part in at:
        try:
            data = data[part]
        except (KeyError, IndexError, TypeError):
            return None
    return data


OF_LISTS = re.compile(r"[\s,]")
"""Signs between the entries of a list: the last one may have no comma."""


def _leaves_the_rest(before: str, after: str, edit: Edit, old: Any) -> bool:
    """Whether the texts differ only by the edit.

    An addition must not remove text, a removal must not add text, what is moved has the same signs as before, and a
    replaced value stays on its line unless it had several lines.

    old   value before the edit
    """
    start, end, new_end = _middle(before, after)
    removed, added = before[start:end].strip(), after[start:new_end].strip()
    if edit.kind == "move":
        return sorted(OF_LISTS.sub("", removed)) == sorted(OF_LISTS.sub("", added))
    if edit.kind == "remove":
        return not added
    if edit.kind == "add" or old is None:
        return not removed
    several = isinstance(old, dict | list) or (isinstance(old, str) and "\n" in old)
    return several or "\n" not in removed


def _quoted_alike(before: str, after: str, value: Any) -> str:
    """Text with single quotes kept around a value that had them."""
    if not isinstance(value, str) or "'" in value or not value.isprintable():
        return after
    start, end, new_end = _middle(before, after)
    old = before[start:end]
    if len(old) > 1 and old[0] == old[-1] == "'" and not old.startswith("''"):
        return f"{after[:start]}'{value}'{after[new_end:]}"
    return after


def _spaced(before: str, after: str) -> str:
    """Text with a blank line before and after a new table."""
    start, end, new_end = _middle(before, after)
    start = before.rfind("\n", 0, start) + 1
    head, added, tail = after[:start], after[start:new_end], after[new_end:]
    if before[start:end].strip() or not added.startswith("["):
        return after
    line = "\r\n" if "\r\n" in before else "\n"
    if head.strip() and not head.endswith(line * 2):
        head += line
    if tail.strip() and added.endswith("\n") and not tail.startswith(line) and not added.endswith(line * 2):
        added += line
    return head + added + tail
