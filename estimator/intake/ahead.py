"""Many drawings and meshes read at once, by several processes: what they find is there when the pieces are built.

Nothing depends on it but the time: a piece whose files were not read ahead reads them itself, and finds the same.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from contextlib import suppress
from pathlib import Path
from typing import Any

from estimator.errors import Fault, FaultError
from estimator.intake.documents import RawPiece
from estimator.intake.faults import validate
from estimator.intake.shapes import build_shape
from estimator.intake.tables import PieceTable
from geometry import store
from geometry.files import InputFile, Limits, held_to, limits
from geometry.readers.gltf import buffer_files
from geometry.shapes import Compound, MeshBody

FEWEST = 8  # pieces whose files are read ahead; with fewer, to start the processes takes longer
CHUNKS = 16  # for each process, so that all end at about the same time


def cores() -> int:
    """How many processors this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def read_ahead(rows: Sequence[RawPiece], folder: Path, workers: int) -> None:
    """Read the files of pieces that no run has read before, and measure what takes longest of their bodies."""
    if workers < 2 or len(rows) < FEWEST:
        return
    new = [row for row in rows if (key := _key(row, folder)) is not None and not store.holds(key)]
    if len(new) < FEWEST:
        return
    from concurrent.futures import ProcessPoolExecutor
    from concurrent.futures.process import BrokenProcessPool

    size = max(1, len(new) // (workers * CHUNKS))
    with suppress(OSError, ImportError, NotImplementedError, BrokenProcessPool):  # then the pieces read their own files
        pool = ProcessPoolExecutor(min(workers, len(new)), initializer=_begin, initargs=(limits(),))
        try:
            for entries in pool.map(_found, new, [folder] * len(new), chunksize=size):
                store.learn(entries)
        finally:
            pool.shutdown(cancel_futures=True)


def _begin(most: Limits) -> None:
    """Take over the limits of the process that started this one, and leave Ctrl-C to it."""
    import signal

    signal.signal(signal.SIGINT, signal.SIG_IGN)
    held_to(most).__enter__()


def _found(row: RawPiece, folder: Path) -> list[tuple[bytes, object]]:
    """What the files of one piece hold, as entries of the store that are not in its folder."""
    store.forget()
    faults = list[Fault]()
    table = validate(PieceTable, row.raw, row.file, row.place, faults)
    built = None
    if table is not None:
        layered = table.layers is not None and len(table.layers) > 1
        built = build_shape(table.shape, folder, row.file, row.place, faults, layered=layered, drawn=row.region)
    if built is not None and isinstance(built.shape, MeshBody | Compound):
        with suppress(FaultError):  # told where the piece itself is measured
            built.shape.solid()
            built.shape.largest_sphere()
    key = _key(row, folder)
    if key is not None:
        store.kept(key, lambda: True)
    return store.unwritten()


def _key(row: RawPiece, folder: Path) -> bytes | None:
    """The key under which it is kept that the files of a piece were read; None where it names none."""
    shape = row.raw.get("shape") if isinstance(row.raw, dict) else None
    names = sorted(set(_files_in(shape)))
    if not names:
        return None
    try:
        names += [
            str(Path(name).parent / part) for name in names for part in buffer_files(InputFile(name, folder / name))
        ]
        content = (block for name in names for block in store.content_of(InputFile(name, folder / name)))
        return store.key_of("piece", content, repr(shape), bool(row.raw.get("layers")))
    except FaultError:
        return None


def _files_in(raw: Any) -> Iterator[str]:
    """Every file that a shape, as it is written, names."""
    if isinstance(raw, dict):
        if isinstance(raw.get("file"), str):
            yield raw["file"]
        for part in raw.values():
            yield from _files_in(part)
    elif isinstance(raw, list):
        for part in raw:
            yield from _files_in(part)
