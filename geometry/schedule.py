"""Measure many pieces at once.

Plain slabs, panels and boxes are sums of signed cuboids and prisms, computed for thousands of rows in NumPy columns.
Every other row is measured singly, with the same results as `geometry.measure`. Rows with the same shape and layers
share one measure.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

from geometry.errors import FaultError
from geometry.message import message
from geometry.shape import FacesOf, Shape, plan_area
from geometry.solid import LayerPart, Solid
from geometry.views import PlanArea

Thicknesses = Sequence[float | None]


class Measure(NamedTuple):
    """Solid, layers (empty if no thicknesses were given) and plan area of one shape."""

    solid: Solid
    layers: tuple[LayerPart, ...]
    plan: PlanArea


def measure_many(
    shapes: Sequence[Shape],
    thicknesses_m: Thicknesses | Sequence[Thicknesses] | None = None,
    faces: FacesOf = "form",
) -> list[Measure | FaultError]:
    """Measure many shapes, and their layers if thicknesses are given, as one list for all rows or one per row.

    A row that cannot be built gets the FaultError that `measure` or `layer_parts` would raise.
    Raises FaultError if the numbers of thickness lists and of shapes differ.
    """
    layers = _lists_by_row(shapes, thicknesses_m)
    distinct: dict[tuple[Shape, tuple[float | None, ...]], int] = {}
    places = [distinct.setdefault(row, len(distinct)) for row in zip(shapes, layers, strict=True)]
    rows = list(distinct)
    plain: dict[type[Shape], list[int]] = {}
    for place, (shape, thick) in enumerate(rows):
        if faces == "form" and shape.is_plain(len(thick)):
            plain.setdefault(type(shape), []).append(place)
    measures: dict[int, Measure] = {}
    for kind, chosen in plain.items():
        block = kind.block([rows[place][0] for place in chosen], [rows[place][1] for place in chosen])
        # Invalid rows are measured singly below, which raises the FaultError.
        columns = zip(chosen, block.sound.tolist(), block.solids(), block.layers(), block.plan_areas(), strict=True)
        measures |= {place: Measure(solid, parts, plan) for place, sound, solid, parts, plan in columns if sound}
    results = [measures.get(place) or _single(*row, faces) for place, row in enumerate(rows)]
    return [results[place] for place in places]


def _lists_by_row(
    shapes: Sequence[Shape], thicknesses: Thicknesses | Sequence[Thicknesses] | None
) -> list[tuple[float | None, ...]]:
    if thicknesses is None:
        return [()] * len(shapes)
    given = list(thicknesses)
    if all(t is None or isinstance(t, int | float) for t in given):
        return [tuple(t for t in given if not isinstance(t, Sequence))] * len(shapes)
    if len(given) != len(shapes):
        raise FaultError("layers", message("layers-lists", lists=len(given), shapes=len(shapes)))
    return [tuple(row) if isinstance(row, Sequence) else (row,) for row in given]


def _single(shape: Shape, thick: tuple[float | None, ...], faces: FacesOf) -> Measure | FaultError:
    try:
        return _general(shape, thick, faces)
    except FaultError as error:
        return error


@lru_cache(maxsize=512)  # a job is often estimated again with only a few shapes changed
def _general(shape: Shape, thick: tuple[float | None, ...], faces: FacesOf) -> Measure:
    """Measure a single shape of any kind. Raises FaultError for impossible dimensions."""
    solid = shape.solid()
    parts = shape.layers_by_distance(thick, faces, solid) if thick else ()
    return Measure(solid, parts, plan_area(shape))
