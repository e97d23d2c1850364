"""What kind of opening an outline is, as a form builder makes it: round, square-cornered, rounded, or shaped."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi
from typing import Literal

from geometry.paths import Path
from geometry.plane import Region

ALIKE = 1e-6
"""Relative difference below which two sizes are one."""


@dataclass(frozen=True, slots=True)
class KnockOut:
    """An opening's kind and measures, m.

    radius_m  of the corners of a rectangle (0 where they are sharp); of a round one its own; None where it is shaped
    """

    kind: Literal["round", "rectangle", "shaped"]
    corner_m: tuple[float, float]  # lower left, of the outer size
    size_m: tuple[float, float]
    radius_m: float | None

    @property
    def centre_m(self) -> tuple[float, float]:
        return self.corner_m[0] + self.size_m[0] / 2, self.corner_m[1] + self.size_m[1] / 2


def knock_out(opening: Region) -> KnockOut:
    """What an opening is, from its outline."""
    x0, y0, _, _ = opening.bounds
    size = opening.size_m
    edges = list(Path.of_ring(opening.outer).edges())
    radii = [edge.radius for edge in edges if not edge.straight]
    area = abs(opening.outer.signed_area_m2)
    box = size[0] * size[1]
    even = bool(radii) and max(radii) - min(radii) <= ALIKE * max(size)
    if even and len(radii) == len(edges) and abs(area - pi / 4 * box) <= ALIKE * box and _alike(*size):
        return KnockOut("round", (x0, y0), size, size[0] / 2)
    radius = radii[0] if even else 0.0
    if (even or not radii) and abs(area - (box - (4 - pi) * radius**2)) <= ALIKE * box:
        return KnockOut("rectangle", (x0, y0), size, radius)
    return KnockOut("shaped", (x0, y0), size, None)


def _alike(one: float, other: float) -> bool:
    return abs(one - other) <= ALIKE * max(one, other)
