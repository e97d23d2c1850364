"""Which module measures which kind of shape."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from geometry.box import box_layers, measure_box
from geometry.errors import GeometryError
from geometry.outline import measure_outline, outline_layers
from geometry.shapes import Box, Outline, Shape, Slab
from geometry.slab import measure_slab, slab_layers
from geometry.solid import LayerPart, Solid


def measure(shape: Shape) -> Solid:
    """See `geometry.solid.measure`."""
    match shape:
        case Slab():
            return measure_slab(shape)
        case Outline():
            return measure_outline(shape)
        case Box():
            return measure_box(shape)
    raise GeometryError(f"a {type(shape).__name__.lower()} cannot be measured yet.")


def layer_parts(
    shape: Shape, thicknesses_m: Sequence[float | None], faces: Literal["form", "all"]
) -> tuple[LayerPart, ...]:
    """See `geometry.solid.layer_parts`."""
    match shape:
        case Slab():
            return slab_layers(shape, thicknesses_m, faces)
        case Outline():
            return outline_layers(shape, thicknesses_m, faces)
        case Box():
            return box_layers(shape, thicknesses_m, faces)
    raise GeometryError(f"a {type(shape).__name__.lower()} has no layers yet.")
