"""Many pieces at once: a column a figure, a row a piece.

Plain slabs, panels and boxes are sums of signed cuboids, so thousands of rows cost a few passes of NumPy.
Every other row is measured alone, and the figures are the same as `geometry.measure` gives.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from geometry.arrays import Floats, Ints, tensor, vector
from geometry.cuboids import Block
from geometry.errors import FaultError
from geometry.shape import Shape, layer_parts, measure
from geometry.solid import LayerPart, Solid

Thicknesses = Sequence[float | None]


@dataclass(frozen=True, slots=True, eq=False)
class Columns:
    """The figures of `Solid` and `LayerPart`, a row a shape.

    (n,) but for centroid_m, size_m, lowest_m (n, 3), inertia_m5 (n, 3, 3), layer_volumes_m3 (n, k) and
    layer_centroids_m (n, k, 3); rows with fewer layers than k end in zeros. Layers all cover `layer_area_m2`.
    """

    kinds: tuple[type, ...]
    volume_m3: Floats
    surface_area_m2: Floats
    form_area_m2: Floats
    finished_area_m2: Floats
    edge_lengths_m: Mapping[str, Floats]
    edge_names: tuple[tuple[str, ...], ...]
    centroid_m: Floats
    size_m: Floats
    lowest_m: Floats
    inertia_m5: Floats
    tolerance: Floats
    notes: Mapping[int, tuple[str, ...]]
    layer_counts: Ints
    layer_volumes_m3: Floats
    layer_centroids_m: Floats
    layer_area_m2: Floats

    def __len__(self) -> int:
        return len(self.kinds)

    def solid(self, row: int) -> Solid:
        """One row as a `Solid`."""
        return Solid(
            volume_m3=float(self.volume_m3[row]),
            surface_area_m2=float(self.surface_area_m2[row]),
            form_area_m2=float(self.form_area_m2[row]),
            finished_area_m2=float(self.finished_area_m2[row]),
            edge_lengths_m={
                name: float(self.edge_lengths_m[name][row]) for name in self.edge_names[row] or self.edge_lengths_m
            },
            centroid_m=vector(self.centroid_m[row]),
            size_m=vector(self.size_m[row]),
            lowest_m=vector(self.lowest_m[row]),
            inertia_m5=tensor(self.inertia_m5[row]),
            tolerance=float(self.tolerance[row]),
            notes=self.notes.get(row, ()),
        )

    def layers(self, row: int) -> tuple[LayerPart, ...]:
        """The layers of one row."""
        count, area = int(self.layer_counts[row]), float(self.layer_area_m2[row])
        return tuple(
            LayerPart(float(self.layer_volumes_m3[row, k]), vector(self.layer_centroids_m[row, k]), area)
            for k in range(count)
        )


def measure_many(
    shapes: Sequence[Shape],
    thicknesses_m: Thicknesses | Sequence[Thicknesses] | None = None,
    faces: Literal["form", "all"] = "form",
) -> Columns:
    """The measure of many shapes, and their layers if thicknesses are given: once for all rows, or a list a row.

    Raises FaultError for the first row that cannot be built, its key led by the row: "[12].thickness".
    """
    layers = _a_list_a_row(shapes, thicknesses_m)
    table = _Table(len(shapes), max((len(row) for row in layers), default=0))
    plain: dict[type[Shape], list[int]] = {}
    for row, (shape, thick) in enumerate(zip(shapes, layers, strict=True)):
        if faces == "form" and shape.is_plain(len(thick)):
            plain.setdefault(type(shape), []).append(row)
        else:
            table.fill_alone(row, shape, thick, faces)
    for kind, rows in plain.items():
        block = kind.block([shapes[row] for row in rows], [layers[row] for row in rows])
        for row in np.array(rows)[~block.sound]:  # whatever looks wrong is looked at alone, and refused with its reason
            table.fill_alone(int(row), shapes[row], layers[row], faces)
        table.fill(np.array(rows)[block.sound], block)
    return table.columns(tuple(type(shape) for shape in shapes))


def _a_list_a_row(
    shapes: Sequence[Shape], thicknesses: Thicknesses | Sequence[Thicknesses] | None
) -> list[tuple[float | None, ...]]:
    if thicknesses is None:
        return [()] * len(shapes)
    given = list(thicknesses)
    if all(t is None or isinstance(t, int | float) for t in given):
        return [tuple(t for t in given if not isinstance(t, Sequence))] * len(shapes)
    if len(given) != len(shapes):
        raise FaultError(
            "layers", f"are {len(given)} lists for {len(shapes)} shapes.", "Give one list, or a list for each shape."
        )
    return [tuple(row) if isinstance(row, Sequence) else (row,) for row in given]


# Filling the columns


class _Table:
    """The columns while they are filled."""

    def __init__(self, rows: int, layers: int) -> None:
        self.figures = np.zeros((5, rows))  # volume, surface, form, finished, tolerance
        self.places = np.zeros((3, rows, 3))  # centroid, size, lowest
        self.inertia = np.zeros((rows, 3, 3))
        self.edges: dict[str, Floats] = {}
        self.names: list[tuple[str, ...]] = [()] * rows
        self.notes: dict[int, tuple[str, ...]] = {}
        self.counts = np.zeros(rows, dtype=np.int64)
        self.volumes = np.zeros((rows, layers))
        self.centroids = np.zeros((rows, layers, 3))
        self.area = np.zeros(rows)

    def fill_alone(
        self, row: int, shape: Shape, thick: tuple[float | None, ...], faces: Literal["form", "all"]
    ) -> None:
        try:
            solid = measure(shape)
            parts = layer_parts(shape, thick, faces) if thick else ()
        except FaultError as error:
            raise FaultError(f"[{row}].{error.key}".rstrip("."), error.what, error.fix) from None
        self.figures[:, row] = (
            solid.volume_m3,
            solid.surface_area_m2,
            solid.form_area_m2,
            solid.finished_area_m2,
            solid.tolerance,
        )
        self.places[:, row] = solid.centroid_m, solid.size_m, solid.lowest_m
        self.inertia[row] = solid.inertia_m5
        self.names[row] = tuple(solid.edge_lengths_m)
        for name, length in solid.edge_lengths_m.items():
            self.edges.setdefault(name, np.zeros(len(self.counts)))[row] = length
        if solid.notes:
            self.notes[row] = solid.notes
        self.counts[row] = len(parts)
        for k, part in enumerate(parts):
            self.volumes[row, k], self.centroids[row, k] = part.volume_m3, part.centroid_m
            self.area[row] = part.area_m2

    def fill(self, rows: Ints, block: Block) -> None:
        whole, sound = block.whole, block.sound
        figures = (whole.volume, block.surface, block.form, block.finished, np.zeros_like(whole.volume))
        centroids = whole.centroids()
        self.figures[:, rows] = np.stack(figures)[:, sound]
        self.places[:, rows] = np.stack([centroids, block.size, np.zeros_like(centroids)])[:, sound]
        self.inertia[rows] = whole.inertia()[sound]
        for name, lengths in block.edges.items():
            self.edges.setdefault(name, np.zeros(len(self.counts)))[rows] = lengths[sound]
        for row in rows.tolist():
            self.names[row] = tuple(block.edges)
        self.counts[rows] = block.counts[sound]
        self.area[rows] = np.where(block.counts > 0, block.form, 0.0)[sound]
        volumes, centroids = block.layer_columns()
        most = min(volumes.shape[1], self.volumes.shape[1])
        self.volumes[rows, :most] = volumes[sound, :most]
        self.centroids[rows, :most] = centroids[sound, :most]

    def columns(self, kinds: tuple[type, ...]) -> Columns:
        volume, surface, form, finished, tolerance = self.figures
        centroid, size, lowest = self.places
        return Columns(
            kinds=kinds,
            volume_m3=volume,
            surface_area_m2=surface,
            form_area_m2=form,
            finished_area_m2=finished,
            edge_lengths_m=self.edges,
            edge_names=tuple(self.names),
            centroid_m=centroid,
            size_m=size,
            lowest_m=lowest,
            inertia_m5=self.inertia,
            tolerance=tolerance,
            notes=self.notes,
            layer_counts=self.counts,
            layer_volumes_m3=self.volumes,
            layer_centroids_m=self.centroids,
            layer_area_m2=self.area,
        )
