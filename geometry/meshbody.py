"""Pieces that come as meshes: solid, or the outer surface of a shell."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import numpy as np

from geometry.checks import mm, require
from geometry.errors import GeometryError
from geometry.layers import joint_depths, parts_of
from geometry.moments import Floats, Moments
from geometry.shapes import MeshBody
from geometry.shell import Shell, shell
from geometry.solid import LayerPart, Solid, Tensor, Vector
from geometry.topology import Ints


def measure_mesh_body(body: MeshBody) -> Solid:
    """The measure of a mesh: of a solid, all of its surface is formed and seen; of a shell the outside, and the rim.

    Raises GeometryError for a shell that cannot be built.
    """
    measured = body.measure
    if body.wall_m is None:
        area = measured.surface_area_m2
        return Solid(
            volume_m3=measured.volume_m3,
            surface_area_m2=area,
            form_area_m2=area,
            finished_area_m2=area,
            edge_lengths_m={},
            centroid_m=measured.centroid_m,
            size_m=measured.size_m,
            inertia_m5=measured.inertia_m5,
            tolerance=0.0,
        )
    made = shell(*_facets(body), body.wall_m, body.open)
    simple = made.area_times_wall_m3
    return Solid(
        volume_m3=made.volume_m3,
        surface_area_m2=made.surface_area_m2,
        form_area_m2=made.outer_area_m2,
        finished_area_m2=made.surface_area_m2 - made.inner_area_m2,
        edge_lengths_m={},
        centroid_m=made.centroid_m,
        size_m=measured.size_m,
        inertia_m5=made.inertia_m5,
        tolerance=made.tolerance,
        notes=(
            *made.notes,
            f"area times wall would give {simple:.4g} m³, {simple / made.volume_m3 - 1:+.1%} against the true offset.",
        ),
    )


def mesh_layers(
    body: MeshBody, thicknesses_m: Sequence[float | None], faces: Literal["form", "all"]
) -> tuple[LayerPart, ...]:
    """The layers of a mesh. See `geometry.solid.layer_parts`.

    On every face of a shell the coat inside is taken as deep as the outermost of its wall, the rim left uncoated.
    """
    measured = measure_mesh_body(body)
    joints = joint_depths(thicknesses_m, body.wall_m)
    whole = _moments(measured.volume_m3, measured.centroid_m, measured.inertia_m5)

    def deeper_than(joint: float) -> Moments:
        coat = _of_shell(shell(*_facets(body), joint, body.open))
        if body.wall_m is None or faces == "form":
            return whole - coat
        require(
            joint < body.wall_m / 2,
            f"reach {mm(joint)} from both faces of a wall of {mm(body.wall_m)}.",
            "Make the outer layers thinner.",
            "layers",
        )
        return _of_shell(shell(*_facets(body), body.wall_m - joint, body.open)) - coat

    area = measured.form_area_m2 if faces == "form" else measured.surface_area_m2
    return parts_of(whole, deeper_than, joints, area, measured.centroid_m)


def _facets(body: MeshBody) -> tuple[Floats, Ints]:
    if body.vertices_m is None or body.facets is None:
        raise GeometryError(
            "the mesh was measured while it was read, and its facets were not kept.",
            "Read it with its facets to cast it as a shell or in layers.",
        )
    return body.vertices_m, body.facets


def _of_shell(made: Shell) -> Moments:
    return _moments(made.volume_m3, made.centroid_m, made.inertia_m5)


def _moments(volume: float, centroid: Vector, inertia: Tensor) -> Moments:
    """Integrals about the origin from a volume, its centroid and its inertia tensor about it."""
    tensor, c = np.array(inertia), np.array(centroid)
    about = np.trace(tensor) / 2 * np.eye(3) - tensor
    return Moments(volume, volume * c, about + volume * np.outer(c, c))
