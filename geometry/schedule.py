"""Many pieces at once: a column a figure, a row a piece.

Plain slabs, panels and boxes are sums of signed cuboids, so thousands of rows cost a few passes of NumPy.
Every other row is measured alone, and the figures are the same as `geometry.solid.measure` gives.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, TypeVar

import numpy as np

from geometry.arrays import Flags, Floats, Ints, tensor, vector
from geometry.errors import FaultError
from geometry.shapes import Box, Panel, Shape, Slab
from geometry.solid import LayerPart, Solid, joint_depths, layer_parts, measure


@dataclass(frozen=True, slots=True, eq=False)
class Sums:
    """∫dV (n,), ∫x dV (n, 3) and ∫x·xᵀ dV (n, 3, 3) of many bodies."""

    volume: Floats
    first: Floats
    second: Floats

    def __add__(self, other: Sums) -> Sums:
        return Sums(self.volume + other.volume, self.first + other.first, self.second + other.second)

    def __sub__(self, other: Sums) -> Sums:
        return Sums(self.volume - other.volume, self.first - other.first, self.second - other.second)

    def centroids(self) -> Floats:
        with np.errstate(invalid="ignore", divide="ignore"):
            middle: Floats = self.first / self.volume[:, None]
        return middle

    def inertia(self) -> Floats:
        with np.errstate(invalid="ignore", divide="ignore"):
            about = self.second - self.first[:, :, None] * self.first[:, None, :] / self.volume[:, None, None]
        tensors: Floats = np.trace(about, axis1=1, axis2=2)[:, None, None] * np.eye(3) - about
        return tensors


def cuboids(x0: Floats, x1: Floats, y0: Floats, y1: Floats, z0: Floats, z1: Floats) -> Sums:
    """Cuboids by their faces; one with a side of no or negative length counts nothing."""
    low = np.stack(np.broadcast_arrays(x0, y0, z0), axis=1)
    sides = np.maximum(np.stack(np.broadcast_arrays(x1, y1, z1), axis=1) - low, 0.0)
    middle, volume = low + sides / 2, sides.prod(axis=1)
    second = middle[:, :, None] * middle[:, None, :]
    second[:, range(3), range(3)] += sides**2 / 12
    return Sums(volume, volume[:, None] * middle, volume[:, None, None] * second)


@dataclass(frozen=True, slots=True, eq=False)
class Plates:
    """Plates seen from their face, and bands behind them along the sides y = 0, y = width, x = 0, x = length.

    deep, thick  (n, 4) depth from the face and thickness of the bands, 0 for none
    """

    length: Floats
    width: Floats
    plate: Floats
    deep: Floats
    thick: Floats

    @property
    def height(self) -> Floats:
        height: Floats = np.maximum(self.plate, self.deep.max(axis=1))
        return height

    @property
    def sound(self) -> Flags:
        dimensions = np.stack([self.length, self.width, self.plate], axis=1)
        good = np.isfinite(dimensions).all(axis=1) & (dimensions > 0).all(axis=1)
        has = self.deep > 0
        good &= np.isfinite(self.deep).all(axis=1) & np.isfinite(self.thick).all(axis=1)
        good &= (~has | ((self.deep >= self.plate[:, None]) & (self.thick > 0))).all(axis=1)
        across = self.thick[:, :2].sum(axis=1) < self.width
        sound: Flags = good & across & (self.thick[:, 2:].sum(axis=1) < self.length)
        return sound

    def zones(self) -> list[tuple[Floats, Floats, Floats]]:
        """Start and end of up to four ranges of depth behind the plate, and the thickness (n, 4) of bands there."""
        ends = np.sort(np.maximum(self.deep, self.plate[:, None]), axis=1)
        starts = np.concatenate([self.plate[:, None], ends[:, :-1]], axis=1)
        found = []
        for k in range(4):
            here = self.deep >= ends[:, k, None]
            found.append((starts[:, k], ends[:, k], np.where(here & (self.deep > self.plate[:, None]), self.thick, 0)))
        return found

    def sums(self, inset: Floats, start: Floats) -> Sums:
        """Integrals by depth, with (n, 4) taken off the sides and all above a depth left out."""
        x0, x1 = inset[:, 2], self.length - inset[:, 3]
        y0, y1 = inset[:, 0], self.width - inset[:, 1]
        whole = cuboids(x0, x1, y0, y1, start, self.plate)
        for low, high, thick in self.zones():
            inner = np.maximum(thick, inset)
            whole = whole + cuboids(x0, x1, y0, y1, low, high)
            whole = whole - cuboids(
                inner[:, 2], self.length - inner[:, 3], inner[:, 0], self.width - inner[:, 1], low, high
            )
        return whole

    def walls(self) -> tuple[Floats, Floats]:
        """Area of the outer and the inner upright faces behind the plate."""
        outer, inner = np.zeros(len(self.length)), np.zeros(len(self.length))
        for low, high, thick in self.zones():
            y_sides, x_sides = thick[:, :2].sum(axis=1), thick[:, 2:].sum(axis=1)
            across = np.stack([self.length, self.length, self.width, self.width], axis=1)
            ends = np.stack([x_sides, x_sides, y_sides, y_sides], axis=1)
            here = thick > 0
            outer += (high - low) * np.where(here, across, ends).sum(axis=1)
            inner += (high - low) * np.where(here, across - ends, 0.0).sum(axis=1)
        return outer, inner


def from_below(sums: Sums, height: Floats) -> Sums:
    """Integrals by depth below the top as integrals by height above the lowest point."""
    flip = np.diag([1.0, 1.0, -1.0])
    lift = np.stack([np.zeros_like(height), np.zeros_like(height), height], axis=1)
    first = sums.first @ flip
    cross = first[:, :, None] * lift[:, None, :]
    second = flip @ sums.second @ flip + cross + cross.transpose(0, 2, 1)
    second += sums.volume[:, None, None] * lift[:, :, None] * lift[:, None, :]
    return Sums(sums.volume, first + sums.volume[:, None] * lift, second)


Plain = TypeVar("Plain", Slab, Panel, Box)
Thicknesses = Sequence[float | None]

_SLAB_SIDES = ("front", "back", "left", "right")
_PANEL_SIDES = ("bottom", "top", "left", "right")

_EDGES: Mapping[type, tuple[str, ...]] = {
    Slab: ("outer", "cutouts", "finished_cutouts", "drops", "profiled"),
    Panel: ("outer", "openings", "returns", "ribs"),
    Box: ("top", "rim_inside", "bottom", "upright", "drain_holes"),
}


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
        names = _EDGES.get(self.kinds[row], tuple(self.edge_lengths_m))
        return Solid(
            volume_m3=float(self.volume_m3[row]),
            surface_area_m2=float(self.surface_area_m2[row]),
            form_area_m2=float(self.form_area_m2[row]),
            finished_area_m2=float(self.finished_area_m2[row]),
            edge_lengths_m={name: float(self.edge_lengths_m[name][row]) for name in names},
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
    plain: dict[type, list[int]] = {Slab: [], Panel: [], Box: []}
    for row, (shape, thick) in enumerate(zip(shapes, layers, strict=True)):
        if faces == "form" and _is_plain(shape, len(thick)):
            plain[type(shape)].append(row)
        else:
            table.fill_alone(row, shape, thick, faces)
    for kind, rows in plain.items():
        if not rows:
            continue
        chosen = np.array(rows)
        block, sound = _block(kind, [shapes[row] for row in rows], [layers[row] for row in rows])
        for row in chosen[~sound]:  # whatever looks wrong is looked at alone, and refused there with its reason
            table.fill_alone(int(row), shapes[row], layers[row], faces)
        table.fill(chosen[sound], block, sound)
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


def _is_plain(shape: Shape, layers: int) -> bool:
    """Whether a shape is a sum of cuboids that the columns below know."""
    match shape:
        case Slab():
            named = [side for drop in shape.drop_edges for side in drop.sides]
            odd = shape.cutouts or shape.edge_profiles or shape.taper is not None
            return not odd and len(set(named)) == len(named) and set(named) <= set(_SLAB_SIDES)
        case Panel():
            named_sides = [side for back in shape.returns for side in back.sides]
            even = len({back.depth_m for back in shape.returns}) < 2 or layers < 2
            known = len(set(named_sides)) == len(named_sides) and set(named_sides) <= set(_PANEL_SIDES)
            return not shape.openings and shape.ribs is None and known and even
        case Box():
            leaning = shape.base_length_m is not None or shape.base_width_m is not None
            return not leaning and shape.fillet_m == 0 and not shape.drain_holes
        case _:
            return False


def _plates_of_slabs(slabs: Sequence[Slab]) -> Plates:
    deep, thick = np.zeros((len(slabs), 4)), np.zeros((len(slabs), 4))
    for row, slab in enumerate(slabs):
        for drop in slab.drop_edges:
            for side in drop.sides:
                deep[row, _SLAB_SIDES.index(side)] = drop.height_m
                thick[row, _SLAB_SIDES.index(side)] = drop.thickness_m
    size = np.array([(slab.length_m, slab.width_m, slab.thickness_m) for slab in slabs], dtype=np.float64)
    return Plates(size[:, 0], size[:, 1], size[:, 2], deep, thick)


def _plates_of_panels(panels: Sequence[Panel]) -> Plates:
    deep, thick = np.zeros((len(panels), 4)), np.zeros((len(panels), 4))
    for row, panel in enumerate(panels):
        for back in panel.returns:
            for side in back.sides:
                deep[row, _PANEL_SIDES.index(side)] = back.depth_m
                thick[row, _PANEL_SIDES.index(side)] = back.thickness_m
    size = np.array([(panel.length_m, panel.height_m, panel.skin_m) for panel in panels], dtype=np.float64)
    return Plates(size[:, 0], size[:, 1], size[:, 2], deep, thick)


# A block of one kind


@dataclass(frozen=True, slots=True, eq=False)
class _Block:
    """The figures of plain shapes of one kind; `inside` are the integrals deeper than each joint."""

    whole: Sums
    surface: Floats
    form: Floats
    finished: Floats
    size: Floats
    edges: Mapping[str, Floats]
    inside: tuple[Sums, ...]
    counts: Ints


def _block(kind: type, shapes: Sequence[Shape], layers: Sequence[tuple[float | None, ...]]) -> tuple[_Block, Flags]:
    counts = np.array([len(row) for row in layers])
    if kind is Box:
        return _boxes([shape for shape in shapes if isinstance(shape, Box)], layers, counts)
    if kind is Slab:
        slabs = [shape for shape in shapes if isinstance(shape, Slab)]
        return _plates(_plates_of_slabs(slabs), layers, counts, slab=True)
    panels = [shape for shape in shapes if isinstance(shape, Panel)]
    return _plates(_plates_of_panels(panels), layers, counts, slab=False)


def _joints(layers: Sequence[tuple[float | None, ...]], own: Floats) -> tuple[Floats, Flags]:
    """Depth (n, k) of the joints of each row, infinite beyond its last, and whether the row's layers fit."""
    most = max((len(row) for row in layers), default=0)
    joints, fits = np.full((len(layers), max(most - 1, 0)), np.inf), np.ones(len(layers), dtype=bool)
    known: dict[tuple[tuple[float | None, ...], float], tuple[float, ...] | None] = {}
    for row, (thick, whole) in enumerate(zip(layers, own.tolist(), strict=True)):
        if not thick:
            continue
        if (thick, whole) not in known:
            try:
                known[thick, whole] = joint_depths(thick, whole)
            except FaultError:
                known[thick, whole] = None
        depths = known[thick, whole]
        if depths is None:
            fits[row] = False
        else:
            joints[row, : len(depths)] = depths
    return joints, fits


def _plates(
    plates: Plates, layers: Sequence[tuple[float | None, ...]], counts: Ints, slab: bool
) -> tuple[_Block, Flags]:
    n = len(plates.length)
    joints, fits = _joints(layers, plates.plate)
    nothing = np.zeros(n)
    whole = plates.sums(np.zeros((n, 4)), nothing)
    # A slab is cast against all of its edges, a panel only against the outer faces of its returns.
    formed = np.ones((n, 4)) if slab else (plates.deep > 0).astype(float)
    inside = []
    for k in range(joints.shape[1]):
        reach = np.where(np.isfinite(joints[:, k]), joints[:, k], 0.0)
        inside.append(plates.sums(formed * reach[:, None], reach))
    outer, inner = plates.walls()
    face, girth = plates.length * plates.width, 2 * (plates.length + plates.width)
    sides = np.stack([plates.length, plates.length, plates.width, plates.width], axis=1)
    banded = np.where(plates.deep > 0, sides, 0.0).sum(axis=1)
    if slab:
        form = face + girth * plates.plate + outer
        edges = {"outer": girth, "drops": banded}
        whole, inside = from_below(whole, plates.height), [from_below(part, plates.height) for part in inside]
    else:
        form = face + (sides * plates.deep).sum(axis=1)
        edges = {"outer": girth, "returns": banded}
    surface = 2 * face + girth * plates.plate + outer + inner
    size = np.stack([plates.length, plates.width, plates.height], axis=1)
    return _Block(whole, surface, form, form, size, edges, tuple(inside), counts), plates.sound & fits


def _boxes(boxes: Sequence[Box], layers: Sequence[tuple[float | None, ...]], counts: Ints) -> tuple[_Block, Flags]:
    given = [(box.length_m, box.width_m, box.height_m, box.wall_m, box.base_m, box.open) for box in boxes]
    length, width, height, wall, base, is_open = np.array(given, dtype=np.float64).T
    opened = is_open > 0
    ceiling = np.where(opened, height, height - base)
    nothing = np.zeros(len(boxes))
    hollow = cuboids(wall, length - wall, wall, width - wall, base, ceiling)
    joints, fits = _joints(layers, wall)
    inside = []
    for k in range(joints.shape[1]):
        reach = np.where(np.isfinite(joints[:, k]), joints[:, k], 0.0)
        top = np.where(opened, height, height - reach)
        inside.append(cuboids(reach, length - reach, reach, width - reach, reach, top) - hollow)
        fits &= reach < np.minimum(wall, base)
    plan, void = length * width, (length - 2 * wall) * (width - 2 * wall)
    girth, rim_girth = 2 * (length + width), 2 * (length + width - 4 * wall)
    walls = girth * height
    top_area = np.where(opened, plan - void, plan)
    surface = walls + plan + top_area + rim_girth * (ceiling - base) + np.where(opened, void, 2 * void)
    block = _Block(
        whole=cuboids(nothing, length, nothing, width, nothing, height) - hollow,
        surface=surface,
        form=walls + plan + np.where(opened, 0.0, plan),
        finished=walls + top_area,
        size=np.stack([length, width, height], axis=1),
        edges={
            "top": girth,
            "rim_inside": np.where(opened, rim_girth, 0.0),
            "bottom": girth,
            "upright": 4 * height,
        },
        inside=tuple(inside),
        counts=counts,
    )
    dimensions = np.array(given, dtype=np.float64)[:, :5]
    sound = np.isfinite(dimensions).all(axis=1) & (dimensions > 0).all(axis=1)
    sound &= (2 * wall < np.minimum(length, width)) & (base < ceiling)
    return block, sound & fits


# Filling the columns


class _Table:
    """The columns while they are filled."""

    def __init__(self, rows: int, layers: int) -> None:
        self.figures = np.zeros((5, rows))  # volume, surface, form, finished, tolerance
        self.places = np.zeros((3, rows, 3))  # centroid, size, lowest
        self.inertia = np.zeros((rows, 3, 3))
        self.edges = {name: np.zeros(rows) for names in _EDGES.values() for name in names}
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
        for name, length in solid.edge_lengths_m.items():
            self.edges.setdefault(name, np.zeros(len(self.counts)))[row] = length
        if solid.notes:
            self.notes[row] = solid.notes
        self.counts[row] = len(parts)
        for k, part in enumerate(parts):
            self.volumes[row, k], self.centroids[row, k] = part.volume_m3, part.centroid_m
            self.area[row] = part.area_m2

    def fill(self, rows: Ints, block: _Block, sound: Flags) -> None:
        whole = block.whole
        figures = (whole.volume, block.surface, block.form, block.finished, np.zeros_like(whole.volume))
        centroids = whole.centroids()
        self.figures[:, rows] = np.stack(figures)[:, sound]
        self.places[:, rows] = np.stack([centroids, block.size, np.zeros_like(centroids)])[:, sound]
        self.inertia[rows] = whole.inertia()[sound]
        for name, lengths in block.edges.items():
            self.edges[name][rows] = lengths[sound]
        self.counts[rows] = block.counts[sound]
        self.area[rows] = np.where(block.counts > 0, block.form, 0.0)[sound]
        outer = whole
        for k in range(self.volumes.shape[1]):
            more = k < len(block.inside)
            inner = (
                block.inside[k]
                if more
                else Sums(*(np.zeros_like(a) for a in (outer.volume, outer.first, outer.second)))
            )
            last = block.counts == k + 1
            layer = Sums(
                np.where(last, outer.volume, outer.volume - inner.volume),
                np.where(last[:, None], outer.first, outer.first - inner.first),
                outer.second,
            )
            here = (block.counts > k) & sound
            self.volumes[rows, k] = np.where(here, layer.volume, 0.0)[sound]
            self.centroids[rows, k] = np.where(here[:, None], layer.centroids(), 0.0)[sound]
            outer = inner

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
