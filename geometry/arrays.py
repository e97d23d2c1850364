"""Array types, and 3-vectors and 3 × 3 tensors as plain tuples."""

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
    """Convert an array (3,) to a tuple."""
    x, y, z = values.tolist()
    return x, y, z
