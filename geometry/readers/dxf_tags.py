"""Fast tag reader for valid DXF text: splits the whole text at once, where the library reads it line by line."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from ezdxf.lldxf.types import BINARY_DATA, POINT_CODES, TYPE_TABLE, DXFBinaryTag, DXFTag, DXFVertex

from geometry.errors import FaultError
from geometry.message import message
from geometry.numbers import is_plain, whole_number

COMMENT = 999


def tags_of(text: str) -> Iterator[DXFTag]:
    """Yield tags with parsed values, points as one tag each, up to the end mark.

    text  DXF text with line feeds as line ends

    Raises FaultError for a number that Python alone reads. Raises ValueError or IndexError for other invalid DXF; the
    library's reader then reports the fault.
    Source: the DXF reference's tables of group codes, as the library holds them.
    """
    lines = text.split("\n")
    words, values = lines[: len(lines) // 2 * 2 : 2], lines[1::2]
    numbers = {word: whole_number(word) for word in set(words)}
    codes = [numbers[word] for word in words]
    end = values.index("EOF") + 1
    while codes[end - 1] != 0:
        end = values.index("EOF", end) + 1
    if COMMENT in codes:
        kept = [at for at in range(end) if codes[at] != COMMENT]
        codes, values, end = [codes[at] for at in kept], [values[at] for at in kept], len(kept)
    kinds = _kinds(set(codes))
    _refuse_odd_numbers(codes, values)
    at = 0
    while at < end:
        code = codes[at]
        kind = kinds[code]
        if kind is not None:
            yield DXFTag(code, kind(values[at]))
            at += 1
        elif code in BINARY_DATA:
            yield DXFBinaryTag.from_string(code, values[at])
            at += 1
        elif codes[at + 1] != code + 10:
            raise ValueError(f"a point without y at tag {at}")
        elif codes[at + 2] == code + 20:
            yield DXFVertex(code, (float(values[at]), float(values[at + 1]), float(values[at + 2])))
            at += 3
        else:
            yield DXFVertex(code, (float(values[at]), float(values[at + 1])))
            at += 2


def _refuse_odd_numbers(codes: list[int], values: list[str]) -> None:
    """Raise FaultError for a number that Python alone reads, such as 1_0 for ten."""
    texts = {code for code in set(codes) if TYPE_TABLE.get(code, str) is str and code not in POINT_CODES}
    for code, value in zip(codes, values, strict=False):
        if code not in texts and not is_plain(value):
            raise FaultError("", message("dxf-number", number=f'"{value.strip()[:40]}"'))


def refuse_guesses(raw: bytes) -> None:
    """Raise FaultError for a group code or a number of a damaged text that could only be guessed.

    The library's readers for damaged files take the first digits that they find: the code 4 for "4 0", the radius 1 for
    "1oo". Whole numbers with a point and zeros are what some programs write.
    """
    lines = raw.decode("latin-1").replace("\r\n", "\n").replace("\r", "\n").split("\n")
    for at in range(0, len(lines) - 1, 2):
        word, value = lines[at].strip(), lines[at + 1].strip()
        if not _CODE.fullmatch(word):
            raise FaultError("", message("dxf-code", line=str(at + 1), text=word[:40]))
        kind = _WHOLE if TYPE_TABLE.get(int(word)) is int else _DECIMAL if _is_decimal(int(word)) else None
        if kind is not None and not kind.fullmatch(value):
            raise FaultError("", message("dxf-number", number=f'"{value[:40]}", line {at + 2}'))
        if word == "0" and value == "EOF":
            break


def _is_decimal(code: int) -> bool:
    return code in POINT_CODES or TYPE_TABLE.get(code) is float


_CODE = re.compile("-?[0-9]{1,4}")
_WHOLE = re.compile(r"[-+]?[0-9]+(?:\.0*)?")
_DECIMAL = re.compile(r"[-+]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][-+]?[0-9]+)?")


def _kinds(codes: set[int]) -> dict[int, Any]:
    """Parser of a value by group code; None where a tag is not a single one-line value."""
    kinds: dict[int, Any] = {code: TYPE_TABLE.get(code, str) for code in codes}
    kinds |= dict.fromkeys(codes & (set(POINT_CODES) | set(BINARY_DATA)))
    return kinds | {0: str.strip}
