"""Measures of many plain slabs, panels or boxes at once, as sums of signed cuboids in NumPy columns.

Rectangular and round openings of slabs and panels are subtracted as prisms, see `geometry.openings`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from geometry.arrays import Flags, Floats, Ints
from geometry.errors import FaultError
from geometry.frozen import frozen
from geometry.openings import Openings
from geometry.solid import NOTHING, LayerPart, Solid, joint_depths
from geometry.sums import Sums, cuboids
from geometry.views import PlanArea

Thicknesses = tuple[float | None, ...]
Band = tuple[Sequence[int], float, float]  # column indices of its sides, depth from the face, and thickness


@frozen(eq=False)
class Plates:
    """Plates seen from their face, with bands behind them along the sides y = 0, y = width, x = 0, x = length.

    deep, thick  (n, 4) depth from the face and thickness of the bands, 0 where there is no band
    """

    length: Floats
    width: Floats
    plate: Floats
    deep: Floats
    thick: Floats

    @classmethod
    def of(cls, sizes: Sequence[tuple[float, float, float]], bands: Sequence[Sequence[Band]]) -> Plates:
        """Plates of given length, width and thickness, and their bands, at most one per side."""
        size = np.array(sizes, dtype=np.float64)
        deep, thick = np.zeros((len(sizes), 4)), np.zeros((len(sizes), 4))
        for row, of_plate in enumerate(bands):
            for sides, depth_m, thickness_m in of_plate:
                for side in sides:
                    deep[row, side], thick[row, side] = depth_m, thickness_m
        return cls(size[:, 0], size[:, 1], size[:, 2], deep, thick)

    @property
    def height(self) -> Floats:
        height: Floats = np.maximum(self.plate, self.deep.max(axis=1))
        return height

    def sound(self, reach: Floats) -> Flags:
        """Mask (n,) of the plates that can be built and whose opposite bands are more than `reach` (n,) apart."""
        dimensions = np.stack([self.length, self.width, self.plate], axis=1)
        good = np.isfinite(dimensions).all(axis=1) & (dimensions > 0).all(axis=1)
        has = self.deep > 0
        good &= np.isfinite(self.deep).all(axis=1) & np.isfinite(self.thick).all(axis=1)
        good &= (~has | ((self.deep >= self.plate[:, None]) & (self.thick > 0))).all(axis=1)
        banded = np.where(has.any(axis=1), reach, 0.0)
        across = self.thick[:, :2].sum(axis=1) + banded < self.width
        sound: Flags = good & across & (self.thick[:, 2:].sum(axis=1) + banded < self.length)
        return sound

    def zones(self) -> list[tuple[Floats, Floats, Floats]]:
        """Start and end of up to four depth ranges behind the plate, and the thickness (n, 4) of the bands there."""
        ends = np.sort(np.maximum(self.deep, self.plate[:, None]), axis=1)
        starts = np.concatenate([self.plate[:, None], ends[:, :-1]], axis=1)
        ranges = []
        for k in range(4):
            if not (ends[:, k] > starts[:, k]).any():
                continue
            here = self.deep >= ends[:, k, None]
            ranges.append((starts[:, k], ends[:, k], np.where(here & (self.deep > self.plate[:, None]), self.thick, 0)))
        return ranges

    def sums(self, inset: Floats, start: Floats) -> Sums:
        """Integrals, with z the depth below the face.

        inset  (n, 4) distance by which each side is moved inward
        start  (n,) depth at which the body starts
        """
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
        """Areas (n,) of the outer and of the inner vertical faces behind the plate."""
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
    """Convert integrals over depth below the top to integrals over height above the lowest point."""
    flip = np.diag([1.0, 1.0, -1.0])
    lift = np.stack([np.zeros_like(height), np.zeros_like(height), height], axis=1)
    first = sums.first @ flip
    cross = first[:, :, None] * lift[:, None, :]
    second = flip @ sums.second @ flip + cross + cross.transpose(0, 2, 1)
    second += sums.volume[:, None, None] * lift[:, :, None] * lift[:, None, :]
    return Sums(sums.volume, first + sums.volume[:, None] * lift, second)


@frozen(eq=False)
class Block:
    """Measures of plain shapes of one kind, one row per shape.

    plan    (n, 2) area of the top or the elevation, gross and net of openings
    inside  integrals of the part deeper than each joint between layers
    counts  (n,) number of layers
    sound   (n,) mask of valid rows; the others are to be measured singly, which raises the FaultError that says why
    """

    whole: Sums
    surface: Floats
    form: Floats
    finished: Floats
    plan: Floats
    size: Floats
    edges: Mapping[str, Floats]
    inside: tuple[Sums, ...]
    counts: Ints
    sound: Flags

    def solids(self) -> list[Solid]:
        """Solids of all rows; those of invalid rows are meaningless."""
        figures = np.stack([self.whole.volume, self.surface, self.form, self.finished], axis=1).tolist()
        places = np.stack([self.whole.centroids(), self.size], axis=1).tolist()
        lengths = np.stack(list(self.edges.values()), axis=1).tolist()
        rows = zip(figures, places, self.whole.inertia().tolist(), lengths, strict=True)
        return [
            Solid(
                volume_m3=volume,
                surface_area_m2=surface,
                form_area_m2=form,
                finished_area_m2=finished,
                edge_lengths_m=dict(zip(self.edges, edges, strict=True)),
                centroid_m=(x, y, z),
                size_m=(dx, dy, dz),
                lowest_m=(0.0, 0.0, 0.0),
                inertia_m5=((a[0], a[1], a[2]), (b[0], b[1], b[2]), (c[0], c[1], c[2])),
                tolerance=0.0,
            )
            for (volume, surface, form, finished), ((x, y, z), (dx, dy, dz)), (a, b, c), edges in rows
        ]

    def plan_areas(self) -> list[PlanArea]:
        """Gross and net area of every row's top or elevation."""
        return [PlanArea(gross_m2, net_m2) for gross_m2, net_m2 in self.plan.tolist()]

    def layers(self) -> list[tuple[LayerPart, ...]]:
        """Layers of every row; each layer covers all faces cast against the form."""
        volumes, centroids = self.layer_columns()
        rows = zip(self.counts.tolist(), self.form.tolist(), volumes.tolist(), centroids.tolist(), strict=True)
        return [
            tuple(LayerPart(row[k], (places[k][0], places[k][1], places[k][2]), area) for k in range(count))
            for count, area, row, places in rows
        ]

    def layer_columns(self) -> tuple[Floats, Floats]:
        """Volumes (n, k) and centroids (n, k, 3) of layers, padded with zeros in rows with fewer than k layers."""
        most = len(self.inside) + 1
        volumes, centroids = np.zeros((len(self.counts), most)), np.zeros((len(self.counts), most, 3))
        outer = self.whole
        nothing = Sums(*(np.zeros_like(part) for part in (outer.volume, outer.first, outer.second)))
        for k in range(most):
            inner = self.inside[k] if k < len(self.inside) else nothing
            last = self.counts == k + 1
            layer = Sums(
                np.where(last, outer.volume, outer.volume - inner.volume),
                np.where(last[:, None], outer.first, outer.first - inner.first),
                outer.second,
            )
            here = self.counts > k
            volumes[:, k] = np.where(here, layer.volume, 0.0)
            centroids[:, k] = np.where(here[:, None], layer.centroids(), 0.0)
            outer = inner
        return volumes, centroids


def _joints(layers: Sequence[Thicknesses], own: Floats) -> tuple[Floats, Flags]:
    """Depths (n, k) of the joints, infinite beyond a row's last, and mask (n,) of the rows whose layers fit."""
    most = max((len(row) for row in layers), default=0)
    joints, fits = np.full((len(layers), max(most - 1, 0)), np.inf), np.ones(len(layers), dtype=bool)
    known: dict[tuple[Thicknesses, float], tuple[float, ...] | None] = {}
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


def block_of_plates(
    plates: Plates,
    layers: Sequence[Thicknesses],
    edges: Sequence[str],
    band: str,
    openings: Openings,
    *,
    slab: bool,
) -> Block:
    """Measures of plates with bands along their sides: slabs, seen from the top, or panels, seen from the face.

    edges  names of the kinds of edge: "outer", `band` for edges along bands, those of openings, and others, which get 0
    slab   whether all edges are cast against the form, those of openings included; panels are cast only against the
           outer faces of their returns
    """
    n = len(plates.length)
    joints, fits = _joints(layers, plates.plate)
    reaches = np.where(np.isfinite(joints), joints, 0.0)
    deepest = reaches.max(axis=1, initial=0.0)
    outer, inner = plates.walls()
    face, girth = plates.length * plates.width, 2 * (plates.length + plates.width)
    sides = np.stack([plates.length, plates.length, plates.width, plates.width], axis=1)
    banded = np.where(plates.deep > 0, sides, 0.0).sum(axis=1)
    known = {"outer": girth, band: banded}
    sound = plates.sound(deepest) & fits
    surface = 2 * face + girth * plates.plate + outer + inner
    formed = np.ones((n, 4)) if slab else (plates.deep > 0).astype(float)
    depths = np.column_stack([np.zeros(n), reaches]).T
    bodies = [plates.sums(formed * reach[:, None], reach) for reach in depths]
    height = np.maximum(plates.height, openings.deepest())
    size = np.stack([plates.length, plates.width], axis=1)
    sound &= openings.sound(size, plates.plate, height, plates.thick, deepest)
    lost = [openings.taken(plates.plate, reach, reach if slab else depths[0]) for reach in depths]
    bodies = [body - part for body, part in zip(bodies, lost, strict=True)]
    net = face - openings.per_plate(openings.areas())
    cut, seen, rims = openings.faces(plates.plate)
    surface += 2 * (net - face) + cut + rims
    known |= openings.edge_lengths()
    if slab:
        bodies = [from_below(body, height) for body in bodies]
        form = net + cut + girth * plates.plate + outer
    else:
        form, cut = net + (sides * plates.deep).sum(axis=1), np.zeros(n)
    return Block(
        whole=bodies[0],
        surface=surface,
        form=form,
        finished=form - cut + seen,
        plan=np.stack([face, net], axis=1),
        size=np.stack([plates.length, plates.width, height], axis=1),
        edges={name: known.get(name, np.zeros(n)) for name in edges},
        inside=tuple(bodies[1:]),
        counts=np.array([len(row) for row in layers]),
        sound=sound & _filled(bodies, reaches),
    )


def _filled(bodies: Sequence[Sums], reaches: Floats) -> Flags:
    """Mask (n,) of rows with an innermost layer; `bodies` are the whole and the part within each joint (n, k)."""
    left = bodies[0].volume
    for body, reach in zip(bodies[1:], reaches.T, strict=True):
        left = np.where(reach > 0, body.volume, left)
    filled: Flags = left > NOTHING * bodies[0].volume
    return filled


def block_of_boxes(dimensions: Floats, is_open: Flags, layers: Sequence[Thicknesses]) -> Block:
    """Measures of boxes with plumb walls and no fillets; dimensions (n, 5): length, width, height, wall, base."""
    length, width, height, wall, base = dimensions.T
    ceiling = np.where(is_open, height, height - base)
    nothing = np.zeros(len(dimensions))
    hollow = cuboids(wall, length - wall, wall, width - wall, base, ceiling)
    joints, fits = _joints(layers, wall)
    inside = []
    for k in range(joints.shape[1]):
        reach = np.where(np.isfinite(joints[:, k]), joints[:, k], 0.0)
        top = np.where(is_open, height, height - reach)
        inside.append(cuboids(reach, length - reach, reach, width - reach, reach, top) - hollow)
        fits &= reach < np.minimum(wall, base)
    plan, void = length * width, (length - 2 * wall) * (width - 2 * wall)
    girth, rim_girth = 2 * (length + width), 2 * (length + width - 4 * wall)
    walls = girth * height
    top_area = np.where(is_open, plan - void, plan)
    sound = np.isfinite(dimensions).all(axis=1) & (dimensions > 0).all(axis=1)
    sound &= (2 * wall < np.minimum(length, width)) & (base < ceiling)
    return Block(
        whole=cuboids(nothing, length, nothing, width, nothing, height) - hollow,
        surface=walls + plan + top_area + rim_girth * (ceiling - base) + np.where(is_open, void, 2 * void),
        form=walls + plan + np.where(is_open, 0.0, plan),
        finished=walls + top_area,
        plan=np.stack([plan, plan], axis=1),
        size=np.stack([length, width, height], axis=1),
        edges={
            "top": girth,
            "rim_inside": np.where(is_open, rim_girth, 0.0),
            "bottom": girth,
            "upright": 4 * height,
            "drain_holes": nothing,
        },
        inside=tuple(inside),
        counts=np.array([len(row) for row in layers]),
        sound=sound & fits,
    )
