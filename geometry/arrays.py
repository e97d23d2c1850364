"""Types of arrays, and vectors and tensors of three as plain tuples."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]
Block = NDArray[Any]
"""Facets (n, 3, 3) in any floating type."""

Vector = tuple[float, float, float]
Tensor = tuple[Vector, Vector, Vector]


def vector(values: Floats) -> Vector:
    """An array (3,) as a tuple."""
    x, y, z = values.tolist()
    return x, y, z
