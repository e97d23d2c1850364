"""Which module measures which kind of shape."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from geometry.box import box_layers, measure_box
from geometry.compound import compound_layers, measure_compound
from geometry.extrusion import extrusion_layers, measure_extrusion
from geometry.mesh import measure_mesh_body, mesh_layer_parts
from geometry.outline import measure_outline, outline_layers
from geometry.panel import measure_panel, panel_layers
from geometry.revolution import measure_revolution, revolution_layers
from geometry.shapes import Box, Compound, Extrusion, MeshBody, Outline, Panel, Revolution, Shape, Slab
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
        case Panel():
            return measure_panel(shape)
        case Extrusion():
            return measure_extrusion(shape)
        case Revolution():
            return measure_revolution(shape)
        case MeshBody():
            return measure_mesh_body(shape)
        case Compound():
            return measure_compound(shape)


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
        case Panel():
            return panel_layers(shape, thicknesses_m, faces)
        case Extrusion():
            return extrusion_layers(shape, thicknesses_m, faces)
        case Revolution():
            return revolution_layers(shape, thicknesses_m, faces)
        case MeshBody():
            return mesh_layer_parts(shape, thicknesses_m, faces)
        case Compound():
            return compound_layers(shape, thicknesses_m, faces)
