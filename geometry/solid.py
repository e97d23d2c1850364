"""What a shape comes to: volume, areas, edges, balance, and the volume of each layer cast into it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from geometry.shapes import Shape

Vector = tuple[float, float, float]
Tensor = tuple[Vector, Vector, Vector]


@dataclass(frozen=True, slots=True)
class Solid:
    """The measure of one shape.

    volume_m3          material only
    surface_area_m2    all of its surface
    form_area_m2       the faces cast against the form
    finished_area_m2   the faces seen in use, finished reveals of cut-outs in
    edge_lengths_m     by kind of edge ("outer", "cutouts", "drops", ...), each as run with a tape
    centroid_m         of the solid, in the shape's own axes
    size_m             outer size along x, y, z
    lowest_m           corner of that outer size with the smallest x, y, z, in the shape's own axes
    inertia_m5         inertia tensor about the centroid for unit density; times kg/m³ gives kg·m²
    tolerance          0.0 for a closed form, otherwise the relative error that volume and areas are held to
    notes              what a reader should know: parts united, approximations made
    """

    volume_m3: float
    surface_area_m2: float
    form_area_m2: float
    finished_area_m2: float
    edge_lengths_m: Mapping[str, float]
    centroid_m: Vector
    size_m: Vector
    lowest_m: Vector
    inertia_m5: Tensor
    tolerance: float
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class LayerPart:
    """One layer of a piece: its volume, where that balances, and the area of faces that it covers."""

    volume_m3: float
    centroid_m: Vector
    area_m2: float


def measure(shape: Shape) -> Solid:
    """The measure of `shape`. Raises GeometryError, with the key at fault, for one that cannot be built."""
    from geometry import kinds

    return kinds.measure(shape)


def layer_parts(
    shape: Shape, thicknesses_m: Sequence[float | None], faces: Literal["form", "all"] = "form"
) -> tuple[LayerPart, ...]:
    """The layers of `shape` from the form inward.

    A layer holds the points of the piece whose distance from the faces lies between the sum of the thicknesses
    before it and that sum with its own; the last takes whatever lies deeper. One thickness may be None: it is
    what the others leave of the shape's own thickness (slab and outline thickness, skin, wall); a shape that has
    none takes None in last place only. The volumes sum to the solid's.

    faces   "form": the faces cast against the form; "all": every face of the piece
    Raises GeometryError for a shape that cannot be built or thicknesses that are not positive.
    """
    from geometry import kinds

    return kinds.layer_parts(shape, thicknesses_m, faces)
