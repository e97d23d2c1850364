"""Volume, centroid, coats and areas of slabs, panels and boxes, in exact fractions.

Everything flat is cut into the cells between all coordinates that occur; a cell belongs to the piece or it does not.
Openings with round corners are prisms taken out of one plate.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise, product
from typing import Any

from tests.second_engine.quantities import PI, si

Span = tuple[Fraction, Fraction]
Cuboid = tuple[Span, Span, Span]
ZERO = Fraction(0)


@dataclass(frozen=True)
class Bulk:
    """A volume and its first moments about the origin: bulks can be added and subtracted."""

    volume: Fraction
    moments: tuple[Fraction, ...]

    def __add__(self, more: Bulk) -> Bulk:
        return Bulk(self.volume + more.volume, tuple(a + b for a, b in zip(self.moments, more.moments, strict=True)))

    def __sub__(self, less: Bulk) -> Bulk:
        return self + less.times(Fraction(-1))

    def times(self, factor: Fraction) -> Bulk:
        return Bulk(self.volume * factor, tuple(moment * factor for moment in self.moments))

    @property
    def center(self) -> tuple[Fraction, ...]:
        return tuple(moment / self.volume for moment in self.moments)


def at(volume: Fraction, center: Iterable[Fraction]) -> Bulk:
    """A volume whose centroid is known."""
    return Bulk(volume, tuple(volume * axis for axis in center))


NOTHING = Bulk(ZERO, (ZERO, ZERO, ZERO))


def inside(point: Sequence[Fraction], cuboid: Cuboid) -> bool:
    return all(low < axis < high for axis, (low, high) in zip(point, cuboid, strict=True))


def united(cuboids: Sequence[Cuboid], cuts: Sequence[Cuboid], clip: Cuboid) -> Bulk:
    """The union of the cuboids, less the cuts, within the clip."""
    edges = [sorted({edge for cuboid in (*cuboids, *cuts, clip) for edge in cuboid[axis]}) for axis in range(3)]
    whole = NOTHING
    for spans in product(*(list(pairwise(ticks)) for ticks in edges)):
        middle = [(low + high) / 2 for low, high in spans]
        filled = any(inside(middle, cuboid) for cuboid in cuboids) and not any(inside(middle, cut) for cut in cuts)
        if filled and inside(middle, clip):
            x, y, z = (high - low for low, high in spans)
            whole += at(x * y * z, middle)
    return whole


@dataclass(frozen=True)
class Hole:
    """An opening with round corners, or a circle, through one plate only."""

    length: Fraction
    width: Fraction
    radius: Fraction
    x: Fraction
    y: Fraction

    def area(self, wider_by: Fraction) -> Fraction:
        """Area of the opening and all points within `wider_by` of it."""
        sides = (self.length + 2 * wider_by) * (self.width + 2 * wider_by)
        return sides - (4 - PI) * (self.radius + wider_by) ** 2

    @property
    def edge(self) -> Fraction:
        return 2 * (self.length + self.width) - 2 * (4 - PI) * self.radius


def hole_of(table: dict[str, Any]) -> Hole:
    x, y = si(table["x"]), si(table["y"])
    if table["kind"] == "circle":
        size = si(table["diameter"])
        return Hole(size, size, size / 2, x, y)
    length, width = si(table["length"]), si(table["width"])
    radius = si(table["radius"]) if "radius" in table else ZERO
    return Hole(length, width, radius, x + length / 2, y + width / 2)


@dataclass(frozen=True)
class Body:
    """A piece: cuboids, holes through the plate that lies in `plate`, and the sides that lie against the form.

    against   of x, y and z, whether the low and the high end are coated
    """

    size: tuple[Fraction, Fraction, Fraction]
    cuboids: tuple[Cuboid, ...]
    cuts: tuple[Cuboid, ...]
    holes: tuple[Hole, ...]
    plate: Span
    against: tuple[tuple[bool, bool], ...]
    coats_openings: bool
    thinnest: Fraction
    plan_area: Fraction
    openings_area: Fraction
    form_area: Fraction

    def within(self, depth: Fraction) -> Bulk:
        """The part deeper than `depth` behind every formed face."""
        clip = tuple(
            (depth if low else ZERO, size - depth if high else size)
            for size, (low, high) in zip(self.size, self.against, strict=True)
        )
        whole = united(self.cuboids, self.cuts, clip)  # type: ignore[arg-type]
        low, high = max(self.plate[0], clip[2][0]), min(self.plate[1], clip[2][1])
        for hole in self.holes:
            area = hole.area(depth if self.coats_openings else ZERO)
            whole -= at(area * (high - low), (hole.x, hole.y, (low + high) / 2))
        return whole

    def layers(self, thicknesses: Sequence[Fraction | None]) -> list[Bulk]:
        """Layers from the form inward; the one without a thickness takes the rest and is the last."""
        depth, parts = ZERO, []
        for thickness in thicknesses[:-1]:
            assert thickness is not None
            parts.append(self.within(depth) - self.within(depth + thickness))
            depth += thickness
        return [*parts, self.within(depth)]


def slab(table: dict[str, Any]) -> Body:
    length, width, thickness = (si(table[key]) for key in ("length", "width", "thickness"))
    drops = [
        (side, si(drop["height"]), si(drop["thickness"]))
        for drop in table.get("drop_edges", [])
        for side in drop["sides"]
    ]
    top = max([thickness, *(height for _, height, _ in drops)])
    plate = (top - thickness, top)
    cuboids: list[Cuboid] = [((ZERO, length), (ZERO, width), plate)]
    form_area = length * width + 2 * (length + width) * thickness
    for side, height, deep in drops:
        z = (top - height, top - thickness)
        x = {"left": (ZERO, deep), "right": (length - deep, length)}.get(side, (ZERO, length))
        y = {"front": (ZERO, deep), "back": (width - deep, width)}.get(side, (ZERO, width))
        cuboids.append((x, y, z))
    if drops:
        form_area += below_the_plate(cuboids[1:], length, width)
    holes, cuts = [], []
    for opening in table.get("cutouts", []):
        hole = hole_of(opening)
        if crosses_a_drop(hole, cuboids[1:]):
            x = (hole.x - hole.length / 2, hole.x + hole.length / 2)
            y = (hole.y - hole.width / 2, hole.y + hole.width / 2)
            cuts.append((x, y, (ZERO, top)))
        else:
            holes.append(hole)
            form_area += hole.edge * thickness
    openings = sum(((c[0][1] - c[0][0]) * (c[1][1] - c[1][0]) for c in cuts), ZERO)
    openings += sum((hole.area(ZERO) for hole in holes), ZERO)
    return Body(
        size=(length, width, top),
        cuboids=tuple(cuboids),
        cuts=tuple(cuts),
        holes=tuple(holes),
        plate=plate,
        against=((True, True), (True, True), (False, True)),
        coats_openings=True,
        thinnest=min([thickness, *(deep for _, _, deep in drops)]),
        plan_area=length * width,
        openings_area=openings,
        form_area=form_area - openings,
    )


def crosses_a_drop(hole: Hole, drops: Sequence[Cuboid]) -> bool:
    return any(
        hole.x - hole.length / 2 < drop[0][1]
        and hole.x + hole.length / 2 > drop[0][0]
        and hole.y - hole.width / 2 < drop[1][1]
        and hole.y + hole.width / 2 > drop[1][0]
        for drop in drops
    )


def below_the_plate(drops: Sequence[Cuboid], length: Fraction, width: Fraction) -> Fraction:
    """Outer faces of the drops in the four outer planes, counted once."""
    area = ZERO
    for axis, place in ((0, ZERO), (0, length), (1, ZERO), (1, width)):
        faces = [(drop[1 - axis], drop[2]) for drop in drops if place in drop[axis]]
        unit: Span = (ZERO, Fraction(1))
        flat = [(across, upright, unit) for across, upright in faces]
        if flat:
            far: Span = (Fraction(-1000), Fraction(1000))
            area += united(flat, [], (far, far, unit)).volume
    return area


def panel(table: dict[str, Any]) -> Body:
    length, height, skin = (si(table[key]) for key in ("length", "height", "skin"))
    returns = [
        (side, si(entry["depth"]), si(entry["thickness"]))
        for entry in table.get("returns", [])
        for side in entry["sides"]
    ]
    cuboids: list[Cuboid] = [((ZERO, length), (ZERO, height), (ZERO, skin))]
    form_area = length * height
    for side, depth, thick in returns:
        x = {"left": (ZERO, thick), "right": (length - thick, length)}.get(side, (ZERO, length))
        y = {"bottom": (ZERO, thick), "top": (height - thick, height)}.get(side, (ZERO, height))
        cuboids.append((x, y, (ZERO, depth)))
        form_area += depth * (height if side in ("left", "right") else length)
    sides = {side for side, _, _ in returns}
    holes = tuple(map(hole_of, table.get("openings", [])))
    openings = sum((hole.area(ZERO) for hole in holes), ZERO)
    return Body(
        size=(length, height, max([skin, *(depth for _, depth, _ in returns)])),
        cuboids=tuple(cuboids),
        cuts=(),
        holes=holes,
        plate=(ZERO, skin),
        against=(("left" in sides, "right" in sides), ("bottom" in sides, "top" in sides), (True, False)),
        coats_openings=False,
        thinnest=min([skin, *(thick for _, _, thick in returns)]),
        plan_area=length * height,
        openings_area=openings,
        form_area=form_area - openings,
    )


def box(table: dict[str, Any]) -> Body:
    length, width, height, wall = (si(table[key]) for key in ("length", "width", "height", "wall"))
    base = si(table["base"]) if "base" in table else wall
    return Body(
        size=(length, width, height),
        cuboids=(((ZERO, length), (ZERO, width), (ZERO, height)),),
        cuts=(((wall, length - wall), (wall, width - wall), (base, height)),),
        holes=(),
        plate=(ZERO, base),
        against=((True, True), (True, True), (True, False)),
        coats_openings=False,
        thinnest=min(wall, base),
        plan_area=length * width,
        openings_area=ZERO,
        form_area=length * width + 2 * (length + width) * height,
    )


KINDS = {"slab": slab, "panel": panel, "box": box}
