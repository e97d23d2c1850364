"""Troughs and mouldings as a beam along their length: shapes of one cross-section that are no plates."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from estimator.handling.sections import Rectangle, Stretch
from geometry import shapes
from geometry.outline import inside_plan, ring_plan
from geometry.plan import Plan as Area


@dataclass(frozen=True, slots=True)
class Span:
    """A shape along one of its own axes (0 or 1), weights still without density; what is not counted is named."""

    axis: int
    stretches: tuple[Stretch, ...]
    ignored: tuple[str, ...]


def span_of(shape: shapes.Shape) -> Span | None:
    """The shape as a beam; None for one that has no single cross-section along its longer side."""
    match shape:
        case shapes.Box():
            return _trough(shape)
        case shapes.Extrusion():
            return _moulding(shape)
        case _:
            return None


def _trough(box: shapes.Box) -> Span:
    """Base and two long walls bend as one; the end walls weigh. Leaning walls are taken upright on the smaller end."""
    length_m = min(box.length_m, box.base_length_m or box.length_m)
    width_m = min(box.width_m, box.base_width_m or box.width_m)
    axis = 0 if length_m >= width_m else 1
    along_m, across_m = (length_m, width_m) if axis == 0 else (width_m, length_m)
    wall_m, base_m, high_m = box.wall_m, box.base_m, box.height_m
    top_m = high_m if box.open else high_m - base_m
    parts = [
        Rectangle(0.0, across_m, 0.0, base_m),
        Rectangle(0.0, wall_m, base_m, top_m),
        Rectangle(across_m - wall_m, across_m, base_m, top_m),
    ]
    if not box.open:
        parts.append(Rectangle(0.0, across_m, top_m, high_m))
    section = tuple(parts)
    ends, middle = across_m * high_m, sum(part.area_m2 for part in section)
    places = [(0.0, wall_m, ends), (wall_m, along_m - wall_m, middle), (along_m - wall_m, along_m, ends)]
    ignored = ["leaning of the walls"] if box.base_length_m or box.base_width_m else []
    ignored += ["drain holes"] if box.drain_holes else []
    return Span(axis, tuple(Stretch(a, b, n, section) for a, b, n in places), tuple(ignored))


def _moulding(moulding: shapes.Extrusion) -> Span | None:
    width_m, height_m = moulding.profile.size_m
    if moulding.length_m < max(width_m, height_m):
        return None
    whole = Area.of(moulding.profile)
    area = whole
    if moulding.wall_m is not None:
        area = ring_plan(whole, inside_plan(moulding.profile, moulding.wall_m))
    moduli = _moduli_m3(area.integrals.tolist(), whole.bounds)
    ignored = ("mitred ends",) if moulding.mitre_left_deg or moulding.mitre_right_deg else ()
    return Span(0, (Stretch(0.0, moulding.length_m, area.area_m2, (), moduli),), ignored)


def _moduli_m3(integrals: Sequence[float], bounds: tuple[float, float, float, float]) -> tuple[float, float]:
    """Least section moduli of a profile in (y, z): lying as cast, and turned on its side."""
    area, first_y, first_z, second_y, second_z, _ = integrals
    y, z = first_y / area, first_z / area
    y0, z0, y1, z1 = bounds
    lying = (second_z - area * z * z) / max(z1 - z, z - z0)
    turned = (second_y - area * y * y) / max(y1 - y, y - y0)
    return lying, turned
