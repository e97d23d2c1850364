"""Reads many drawings and meshes in parallel processes, so that the results are cached when the pieces are built.

This only saves time. A piece whose files were not read ahead reads them itself, with the same result.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
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

FEWEST = 8  # pieces with files to read ahead; with fewer, starting the processes takes longer
CHUNKS = 16  # for each process, so that all end at about the same time


def cores() -> int:
    """Number of processors that this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def read_ahead(rows: Sequence[RawPiece], folder: Path, workers: int) -> None:
    """Read files that are not in the cache yet, and compute the slowest measures of their bodies."""
    if workers < 2 or len(rows) < FEWEST:
        return
    new = [row for row in rows if (key := _key(row, folder)) is not None and not store.holds(key)]
    if len(new) < FEWEST:
        return
    from concurrent.futures import ProcessPoolExecutor
    from concurrent.futures.process import BrokenProcessPool

    size = max(1, len(new) // (workers * CHUNKS))
    with suppress(OSError, ImportError, NotImplementedError, BrokenProcessPool):  # the pieces then read their own files
        pool = ProcessPoolExecutor(min(workers, len(new)), initializer=_begin, initargs=(limits(),))
        done = False
        try:
            for entries in pool.map(_entries_of, new, [folder] * len(new), chunksize=size):
                store.learn(entries)
            done = True
        finally:
            pool.shutdown(wait=done, cancel_futures=True)


def _begin(most: Limits) -> None:
    """Apply the limits of the parent process, ignore Ctrl-C, which the parent handles, and end with the parent."""
    import signal
    import threading

    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    threading.Thread(target=_end_with_parent, daemon=True).start()
    held_to(most).__enter__()


def _end_with_parent() -> None:
    """Wait until the parent process has ended, killed perhaps; its workers would wait for work forever."""
    from multiprocessing import parent_process
    from multiprocessing.connection import wait

    parent = parent_process()
    if parent is not None:
        wait([parent.sentinel])
        os._exit(1)


def _entries_of(row: RawPiece, folder: Path) -> list[tuple[bytes, object]]:
    """Cache entries from the files of one piece, without those already in the cache folder."""
    store.forget()
    faults = list[Fault]()
    table = validate(PieceTable, row.raw, row.file, row.place, faults)
    built = None
    if table is not None:
        layered = table.layers is not None and len(table.layers) > 1
        built = build_shape(table.shape, folder, row.file, row.place, faults, layered=layered, drawn=row.region)
    if built is not None and isinstance(built.shape, MeshBody | Compound):
        with suppress(FaultError):  # reported when the piece itself is measured
            built.shape.solid()
            built.shape.largest_sphere()
    key = _key(row, folder)
    if key is not None:
        store.kept(key, lambda: True)
    return store.unwritten()


def _key(row: RawPiece, folder: Path) -> bytes | None:
    """Cache key that marks the files of a piece as read; None if it has no files."""
    shape = row.raw.get("shape") if isinstance(row.raw, dict) else None
    if not shape or not (names := sorted(set(_files_in(shape)))):
        return None
    try:
        names += [
            str(Path(name).parent / part) for name in names for part in buffer_files(InputFile(name, folder / name))
        ]
        content = (block for name in names for block in store.content_of(InputFile(name, folder / name)))
        return store.key_of("piece", content, repr(shape), bool(row.raw.get("layers")))
    except FaultError:
        return None


def _files_in(raw: Any) -> list[str]:
    """Every file named by a raw shape."""
    if not isinstance(raw, dict):
        return []
    names = [raw["file"]] if isinstance(raw.get("file"), str) else []
    for part in raw.values():
        if isinstance(part, dict):
            names += _files_in(part)
        elif isinstance(part, list):
            names += [name for within in part for name in _files_in(within)]
    return names
