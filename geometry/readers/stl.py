"""STL files, binary and ASCII, streamed as blocks of facets."""

import os
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from geometry.errors import FaultError
from geometry.files import InputFile, input_file
from geometry.frozen import frozen
from geometry.message import Message, message

BLOCK_FACETS = 1 << 13  # a block and its work arrays fit in the processor's cache
_HEADER_BYTES = 84
_RECORD = np.dtype([("normal", "<f4", (3,)), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])
_TEXT_BYTES = 1 << 20
_SOLID_LINE = re.compile(rb"^[ \t]*(?:end)?solid\b[^\n]*$", re.MULTILINE)
# The tokens of one facet in ASCII STL; None stands for a number.
_FACET_WORDS = (
    (b"facet", b"normal", None, None, None, b"outer", b"loop")
    + (b"vertex", None, None, None) * 3
    + (b"endloop", b"endfacet")
)
_CORNER_WORDS = (8, 9, 10, 12, 13, 14, 16, 17, 18)


@frozen
class StlFile:
    """An STL file of known kind. `facets` is None for ASCII, whose facets are not counted in advance."""

    file: InputFile
    facets: int | None
    problems: tuple[Message, ...] = ()  # such as bytes after the last facet, which are ignored

    def blocks(self, start: int = 0, stop: int | None = None, size: int = BLOCK_FACETS) -> Iterator[NDArray[Any]]:
        """Blocks of at most about `size` facets, (n, 3, 3), in order.

        start, stop  range of facets, for a binary file only
        A block may be a view of a buffer that the next block overwrites, so use or copy it first.
        Raises FaultError for text that is not STL.
        """
        if self.facets is None:
            yield from _text_blocks(self.file)
        else:
            yield from _binary_blocks(self.file, start, self.facets if stop is None else stop, size)


def open_stl(source: str | Path | InputFile) -> StlFile:
    """Open an STL file and detect its kind.

    A binary file is recognized by its length, 84 + 50 n bytes, since some also start with the word "solid". Extra bytes
    too few for another facet are ignored and noted.
    Raises FaultError for an empty, truncated or overlong file, and for one that is not STL.
    """
    file = input_file(source)
    length = file.size
    with file.stream() as stream:
        head = stream.read(512)
    announced = int.from_bytes(head[80:84], "little") if length >= _HEADER_BYTES else -1
    expected = _HEADER_BYTES + 50 * announced
    if announced >= 0 and length == expected:
        if announced == 0:
            raise FaultError("", message("stl-empty"))
        return StlFile(file, announced)
    if head.lstrip()[:5].lower() == b"solid" and b"\0" not in head:
        return StlFile(file, None)
    if announced < 0:
        raise FaultError("", message("stl-not"))
    if length < expected:
        there = (length - _HEADER_BYTES) // 50
        raise FaultError(
            "",
            message("stl-short", announced=f"{announced:,}", there=f"{there:,}"),
        )
    if announced > 0 and length - expected < 50:
        with file.stream() as stream:
            stream.seek(expected)
            after = stream.read()
        first = " ".join(f"0x{byte:02X}" for byte in after[:4]) + (" …" if len(after) > 4 else "")
        return StlFile(file, announced, (message("note-bytes-after", count=len(after), bytes=first),))
    raise FaultError(
        "",
        message("stl-long", bytes=f"{length - expected:,}", announced=f"{announced:,}"),
    )


def _binary_blocks(file: InputFile, start: int, stop: int, size: int) -> Iterator[NDArray[Any]]:
    records = np.empty(min(size, max(stop - start, 1)), _RECORD)
    raw = memoryview(records.view(np.uint8).data)
    with file.stream() as stream:
        stream.seek(_HEADER_BYTES + 50 * start, os.SEEK_SET)
        while start < stop:
            count = min(len(records), stop - start)
            wanted, got = 50 * count, 0
            while got < wanted:
                step = stream.readinto(raw[got:wanted])
                if not step:
                    raise FaultError("", message("file-changed"))
                got += step
            yield records["corners"][:count]
            start += count


def _text_blocks(file: InputFile) -> Iterator[NDArray[np.float64]]:
    facets_before, carried = 0, b""
    with file.stream() as stream:
        while True:
            chunk = stream.read(_TEXT_BYTES)
            text = carried + chunk.lower()
            if chunk:
                cut = text.rfind(b"endfacet")
                cut = cut + len(b"endfacet") if cut >= 0 else 0
                text, carried = text[:cut], text[cut:]
                if len(carried) > _TEXT_BYTES:
                    raise FaultError("", message("stl-no-facets"))
            if text:
                block = _parse(text, facets_before)
                facets_before += len(block)
                if len(block):
                    yield block
            if not chunk:
                break
    if facets_before == 0:
        raise FaultError("", message("stl-empty"))


def _parse(text: bytes, facets_before: int) -> NDArray[np.float64]:
    words = _SOLID_LINE.sub(b"", text).split()
    period = len(_FACET_WORDS)
    whole = len(words) // period
    regular = len(words) == whole * period and all(
        words[i::period].count(word) == whole for i, word in enumerate(_FACET_WORDS) if word is not None
    )
    if regular and b"_" not in text:  # Python would read 1_0 as ten
        corners = np.empty((whole, 9))
        try:
            for column, i in enumerate(_CORNER_WORDS):
                corners[:, column] = list(map(float, words[i::period]))
        except ValueError:
            pass
        else:
            return corners.reshape(whole, 3, 3)
    raise _first_fault(words, facets_before)


def _first_fault(words: list[bytes], facets_before: int) -> FaultError:
    period = len(_FACET_WORDS)
    for at, word in enumerate(words):
        wanted = _FACET_WORDS[at % period]
        number = facets_before + at // period + 1
        text = word[:20].decode("ascii", "replace")
        if wanted is None:
            try:
                float(b"" if b"_" in word else word)
            except ValueError:
                return FaultError("", message("stl-number", number=f"{number:,}", text=text))
        elif word != wanted:
            return FaultError(
                "",
                message("stl-word", number=f"{number:,}", text=text, wanted=wanted.decode()),
            )
    whole = facets_before + len(words) // period
    return FaultError("", message("stl-cut", whole=f"{whole:,}"))
