"""Serialize values for the cache and for child processes.

Bytes from a cache folder, or from a process that has read a hostile file, may contain only plain values and the few
classes of KINDS.
"""

from __future__ import annotations

import pickle
from io import BytesIO
from typing import Any

KINDS = frozenset(
    [
        ("geometry.errors", "FaultError"), ("geometry.inscribed", "Inscribed"), ("geometry.mesh_file", "MeshMeasure"),
        ("geometry.message", "Message"), ("geometry.plane", "Region"), ("geometry.plane", "Ring"),
        ("geometry.readers.drawing", "Drawing"),
        ("geometry.readers.pieces", "DrawnPiece"), ("geometry.readers.pieces", "Layers"),
        ("geometry.readers.sheet", "Names"), ("geometry.readers.pieces", "LeftOut"),
        ("geometry.readers.pieces", "PieceDrawing"), ("geometry.readers.xls", "XlsSheet"), ("geometry.shell", "Shell"),
        ("numpy", "dtype"), ("numpy", "ndarray"),
        ("numpy._core.multiarray", "_reconstruct"), ("numpy._core.multiarray", "scalar"),
        ("numpy._core.numeric", "_frombuffer"),
    ]
)  # fmt: skip
"""Classes and functions allowed in addition to numbers, strings, lists, tuples and dicts."""


class _Reader(pickle.Unpickler):
    def find_class(self, module: str, name: str) -> Any:
        if (module, name) not in KINDS:
            raise pickle.UnpicklingError(f"{module}.{name}")
        return super().find_class(module, name)


def packed(value: object) -> bytes:
    """Serialize a value."""
    return pickle.dumps(value, protocol=5)


def unpacked(content: bytes | memoryview) -> Any:
    """Deserialize bytes from `packed`. Raises some exception for damaged bytes and for classes outside KINDS."""
    return _Reader(BytesIO(content)).load()
