"""A mesh as a piece: the solid that it encloses or the shell inside it, and the layers cast into either."""

from collections.abc import Sequence
from functools import lru_cache
from typing import Literal

import numpy as np

from geometry.checks import mm, require
from geometry.errors import GeometryError
from geometry.facets import Floats
from geometry.layers import joint_depths, parts_of
from geometry.moments import Moments
from geometry.shapes import MeshBody
from geometry.shell import Shell, between, shell
from geometry.solid import LayerPart, Solid, Vector
from geometry.topology import Ints

OPEN_RIM = "open at its rim: the flat face there is left out of the shell"
"""A rim may be a planter's mouth, or a facet lost on export: what was taken for the opening is told."""

_NOTHING = 1e-9
"""Share of a piece below which nothing is left for a layer."""


def measure_mesh_body(body: MeshBody) -> Solid:
    """The measure of a mesh: of the solid, or with a wall of the shell inside it.

    All of a solid is cast against the form and seen; of a shell the outside is cast against the form, and the
    outside and the rim are seen. What was found amiss in the file is told by `body.measure.problems`, not again in
    the notes. Raises GeometryError for a shell that cannot be built.
    """
    measured = body.measure
    if body.wall_m is None:
        _require_closed(body)
        area = measured.surface_area_m2
        return Solid(
            measured.volume_m3, area, area, area, {}, measured.centroid_m, measured.size_m, measured.lowest_m,
            measured.inertia_m5, tolerance=0.0,
        )  # fmt: skip
    found = _within(body, body.wall_m)
    require(
        found.inner_area_m2 > 0.0,
        f"is {mm(body.wall_m)}, which leaves no hollow.",
        "Make it thinner, or leave it out for a solid piece.",
        "wall",
    )
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
            *found.notes,
            *([] if measured.closed else [OPEN_RIM]),
            f"shell by true offset {found.volume_m3:.6g} m³; outer area times wall would be "
            f"{found.area_times_wall_m3:.6g} m³ ({found.area_times_wall_m3 / found.volume_m3 - 1.0:+.1%})",
        ),
    )


def mesh_layer_parts(
    body: MeshBody, thicknesses_m: Sequence[float | None], faces: Literal["form", "all"] = "form"
) -> tuple[LayerPart, ...]:
    """The layers of a mesh from the form inward. See `geometry.solid.layer_parts`."""
    measured = measure_mesh_body(body)
    joints = joint_depths(thicknesses_m, body.wall_m)
    whole = _moments(measured.volume_m3, measured.centroid_m)

    def deeper_than(joint_m: float) -> Moments:
        fix = "Make the outer layers thinner."
        if faces == "form" or body.wall_m is None:
            coat = _within(body, joint_m)
            left = whole - _moments(coat.volume_m3, coat.centroid_m)
            require(left.volume_m3 > _NOTHING * whole.volume_m3, f"reach {mm(joint_m)} and fill it.", fix, "layers")
            return left
        require(
            2.0 * joint_m < body.wall_m,
            f"reach {mm(joint_m)} from both sides into a wall of {mm(body.wall_m)}.",
            fix,
            "layers",
        )
        return between(*_arrays(body), joint_m, body.wall_m - joint_m, body.open)

    return parts_of(whole, deeper_than, joints, measured, faces)


def _moments(volume_m3: float, centroid_m: Vector) -> Moments:
    """Volume and first moment; layers tell no inertia."""
    return Moments(volume_m3, volume_m3 * np.array(centroid_m), np.zeros((3, 3)))


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
