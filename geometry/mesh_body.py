"""A mesh as a piece: the solid that it encloses or the shell inside it, and the layers cast into either."""

from collections.abc import Sequence
from functools import lru_cache
from typing import Literal

import numpy as np

from geometry.errors import GeometryError
from geometry.facets import Floats
from geometry.shapes import MeshBody
from geometry.shell import Shell, shell
from geometry.solid import LayerPart, Solid
from geometry.topology import Ints

_LEFT_OVER = 1e-9
"""Metres by which layers may miss the wall's thickness before they are said not to add up."""


def measure_mesh_body(body: MeshBody) -> Solid:
    """The measure of a mesh: of the solid, or with a wall of the shell inside it.

    All of a solid is cast against the form and seen; of a shell the outside is cast against the form, and the
    outside and the rim are seen. Raises GeometryError for a shell that cannot be built.
    """
    measured = body.measure
    if body.wall_m is None:
        _require_closed(body)
        area = measured.surface_area_m2
        return Solid(
            measured.volume_m3, area, area, area, {}, measured.centroid_m, measured.size_m, measured.lowest_m,
            measured.inertia_m5, tolerance=0.0, notes=measured.problems,
        )  # fmt: skip
    found = _within(body, body.wall_m)
    return Solid(
        found.volume_m3,
        found.surface_area_m2,
        found.outer_area_m2,
        found.surface_area_m2 - found.inner_area_m2,
        {},
        found.centroid_m,
        measured.size_m,
        measured.lowest_m,
        found.inertia_m5,
        found.tolerance,
        (
            *measured.problems,
            *found.notes,
            f"shell by true offset {found.volume_m3:.6g} m³; outer area times wall would be "
            f"{found.area_times_wall_m3:.6g} m³ ({found.area_times_wall_m3 / found.volume_m3 - 1.0:+.1%})",
        ),
    )


def mesh_layer_parts(
    body: MeshBody, thicknesses_m: Sequence[float | None], faces: Literal["form", "all"] = "form"
) -> tuple[LayerPart, ...]:
    """The layers of a mesh from the form inward, as `geometry.solid.layer_parts` gives them.

    Raises GeometryError for thicknesses that are not positive or do not add up to the wall, for None anywhere but
    last in a solid, and for a shell whose inside is to be coated as well.
    """
    if faces == "all" and body.wall_m is not None:
        raise GeometryError("a coat on the inside of a shell from a mesh cannot be measured.", "Coat the form faces.")
    depths = _depths(thicknesses_m, body.wall_m)
    whole = measure_mesh_body(body)
    parts: list[LayerPart] = []
    volume, moment, area = 0.0, np.zeros(3), whole.form_area_m2
    for depth in depths:
        if depth is None:
            to_here, at = whole.volume_m3, whole.centroid_m
        else:
            coat = _within(body, depth)
            to_here, at = min(coat.volume_m3, whole.volume_m3), coat.centroid_m
        next_moment = to_here * np.array(at)
        layer = max(to_here - volume, 0.0)
        x, y, z = ((next_moment - moment) / layer).tolist() if layer > 0 else at
        parts.append(LayerPart(layer, (x, y, z), area))
        volume, moment = max(to_here, volume), next_moment
        area = coat.inner_area_m2 if depth is not None else 0.0
    return tuple(parts)


def _depths(thicknesses_m: Sequence[float | None], wall_m: float | None) -> list[float | None]:
    """How far each layer reaches from the form; None for the last, which takes whatever lies deeper."""
    if not thicknesses_m:
        raise GeometryError("no layers are given.", "Give one at least.", "layers")
    for i, thickness in enumerate(thicknesses_m):
        if thickness is not None and not (np.isfinite(thickness) and thickness > 0):
            raise GeometryError(f"the layer is {thickness:g} m thick.", "Give a thickness above 0.", f"layers[{i}]")
    given = [t for t in thicknesses_m if t is not None]
    open_ended = [i for i, t in enumerate(thicknesses_m) if t is None]
    if len(open_ended) > 1:
        raise GeometryError("two layers have no thickness.", "Only one can take the rest.", f"layers[{open_ended[1]}]")
    if wall_m is None:
        if open_ended and open_ended[0] != len(thicknesses_m) - 1:
            raise GeometryError(
                "a layer inside a solid mesh needs a thickness.",
                "Only the last can take the rest.",
                f"layers[{open_ended[0]}]",
            )
        filled = given
    else:
        rest = wall_m - sum(given)
        if (open_ended and rest <= _LEFT_OVER) or (not open_ended and abs(rest) > _LEFT_OVER):
            raise GeometryError(
                f"the layers add up to {sum(given):g} m in a wall of {wall_m:g} m.", "Make them add up.", "layers"
            )
        filled = [rest if t is None else t for t in thicknesses_m]
    return [*np.cumsum(filled)[: len(thicknesses_m) - 1].tolist(), None]


def _require_closed(body: MeshBody) -> None:
    if not body.measure.closed:
        raise GeometryError(
            "the mesh is open at its rim: it encloses no volume.",
            'Give the wall of the shell, or set repair = "fill" to close flat holes.',
            "wall",
        )


@lru_cache(maxsize=32)  # the measure and the layers of one body ask for the same shells, seconds apart
def _within(body: MeshBody, depth_m: float) -> Shell:
    vertices, facets = _arrays(body)
    return shell(vertices, facets, depth_m, body.open)


def _arrays(body: MeshBody) -> tuple[Floats, Ints]:
    if body.vertices_m is None or body.facets is None:
        raise GeometryError("the facets of the mesh were not kept, so distances inside it cannot be taken.")
    return body.vertices_m, body.facets
