"""Layers of a shape from what lies deeper than each of their joints."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import accumulate, pairwise
from math import isfinite
from typing import Literal

from geometry.checks import mm, require
from geometry.errors import GeometryError
from geometry.moments import Moments
from geometry.solid import LayerPart, Solid

ROUNDED_M = 1e-6
"""Layers that miss the thickness by no more were rounded, not mistaken."""

NOTHING = 1e-9
"""Share of a piece below which nothing is left for a layer."""


def joint_depths(thicknesses_m: Sequence[float | None], whole_m: float | None) -> tuple[float, ...]:
    """Distance from the faces of each joint between one layer and the next, m.

    thicknesses_m  from the form inward; at most one None, which is what the others leave of the whole
    whole_m        thickness of the shape, or None where it has no single one

    Raises GeometryError with the key "layers[i].thickness" or "layers".
    """
    given = list(thicknesses_m)
    require(bool(given), "are empty.", "Give at least one.", "layers")
    for i, thickness in enumerate(given):
        if thickness is not None:
            key = f"layers[{i}].thickness"
            require(isfinite(thickness) and thickness > 0, f"is {mm(thickness)}.", "It must be more than 0.", key)
    known = [thickness for thickness in given if thickness is not None]
    open_places = [i for i, thickness in enumerate(given) if thickness is None]
    require(len(open_places) < 2, "leave out more than one thickness.", "One layer can take the rest.", "layers")
    if whole_m is not None:
        _refuse_misfit(sum(known), whole_m, bool(open_places))
    if open_places and open_places[0] < len(given) - 1:
        if whole_m is None:
            raise GeometryError(
                "takes the rest, but this shape has no thickness of its own to leave one.",
                "Only the last layer can take the rest here.",
                f"layers[{open_places[0]}].thickness",
            )
        given[open_places[0]] = whole_m - sum(known)
    return tuple(accumulate(thickness for thickness in given[:-1] if thickness is not None))


def parts_of(
    whole: Moments,
    deeper_than: Callable[[float], Moments],
    joints_m: Sequence[float],
    measured: Solid,
    faces: Literal["form", "all"],
) -> tuple[LayerPart, ...]:
    """The layers between joints, which sum to the whole.

    whole        integrals of the shape
    deeper_than  integrals of its points further than a distance from the faces
    measured     the shape's measure: the area that the layers cover, and where one with nothing left is said to balance
    """
    area_m2 = measured.form_area_m2 if faces == "form" else measured.surface_area_m2
    inside = [whole, *(deeper_than(joint) for joint in joints_m), Moments.zero()]
    parts = []
    left = whole.volume_m3
    for outer, inner in pairwise(inside):
        layer = outer - inner
        volume = max(layer.volume_m3, 0.0)
        if inner is inside[-1]:
            volume = left
            require(
                volume > NOTHING * whole.volume_m3,
                f"reach {mm(max(joints_m, default=0.0))} from the faces and leave nothing for the last one.",
                "Make the outer layers thinner.",
                "layers",
            )
        left -= volume
        centroid = layer.centroid_m if volume > 1e-12 * whole.volume_m3 else measured.centroid_m
        parts.append(LayerPart(volume, centroid, area_m2))
    return tuple(parts)


def _refuse_misfit(known: float, whole: float, one_open: bool) -> None:
    if one_open:
        require(
            known < whole * (1 - 1e-9),
            f"add up to {mm(known)}, which leaves nothing of {mm(whole)} for the layer without a thickness.",
            "Make them thinner.",
            "layers",
        )
        return
    require(
        abs(known - whole) <= ROUNDED_M,
        f"add up to {mm(known)}, but the piece is {mm(whole)} thick.",
        "Correct one, or leave one out to take the rest.",
        "layers",
    )
