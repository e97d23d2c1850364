"""The strips that stand in a form: along which edge, how long, how high above its bottom. Metres.

Only forms that are boards set on a table are told: those of slabs, outlines, panels and plumb boxes. Lengths are of
the face that touches the concrete; how boards lap at the corners is the form builder's.
"""

from __future__ import annotations

from dataclasses import dataclass

from geometry.outline import outline_body
from geometry.panel import SIDES as PANEL_SIDES
from geometry.panel import panel_body
from geometry.plate import SIDES
from geometry.shapes import Box, Outline, Panel, Shape, Side, Slab
from geometry.slab import slab_body

NEAR_M = 1e-9


@dataclass(frozen=True, slots=True)
class FormStrip:
    """One strip, or `count` alike."""

    name: str
    length_m: float
    height_m: float
    count: int = 1


def form_strips(shape: Shape) -> tuple[FormStrip, ...]:
    """The strips of a form; none for a shape that is not cast between boards.

    `left` and `right` are the finished piece's own. Raises GeometryError for a shape that cannot be built.
    """
    match shape:
        case Slab():
            return _of_slab(shape)
        case Panel():
            return _of_panel(shape)
        case Outline(wall_m=None):
            outline_body(shape)
            return (FormStrip("along the outline", shape.region.outer.perimeter_m, shape.thickness_m),)
        case Box() if shape.base_length_m is None and shape.base_width_m is None:
            return (
                FormStrip("outside, front and back", shape.length_m, shape.height_m, 2),
                FormStrip("outside, left and right", shape.width_m, shape.height_m, 2),
                FormStrip("core, front and back", shape.length_m - 2 * shape.wall_m, shape.height_m - shape.base_m, 2),
                FormStrip("core, left and right", shape.width_m - 2 * shape.wall_m, shape.height_m - shape.base_m, 2),
            )
        case _:
            return ()


def _of_slab(slab: Slab) -> tuple[FormStrip, ...]:
    slab_body(slab)
    drops = {side: drop for drop in slab.drop_edges for side in drop.sides}
    strips = []
    for side in SIDES:
        length = slab.length_m if side in ("front", "back") else slab.width_m
        height = slab.thickness_m if slab.taper is None else _taper_height(slab, side)
        strips.append(FormStrip(side, length, max(height, drops[side].height_m if side in drops else 0.0)))
    for side, drop in drops.items():
        ends = ("left", "right") if side in ("front", "back") else ("front", "back")
        length = slab.length_m if side in ("front", "back") else slab.width_m
        length -= sum(drops[end].thickness_m for end in ends if end in drops)
        if drop.height_m - slab.thickness_m > NEAR_M:
            strips.append(FormStrip(f"inside the drop, {side}", length, drop.height_m - slab.thickness_m))
    return tuple(strips)


def _taper_height(slab: Slab, side: Side) -> float:
    """The greater thickness at the ends of a side."""
    assert slab.taper is not None
    opposite = {"front": "back", "back": "front", "left": "right", "right": "left"}[slab.taper.to]
    if side == slab.taper.to:
        return slab.taper.thickness_m
    return slab.thickness_m if side == opposite else max(slab.thickness_m, slab.taper.thickness_m)


def _of_panel(panel: Panel) -> tuple[FormStrip, ...]:
    panel_body(panel)
    turned = {side: back for back in panel.returns for side in back.sides}
    strips = []
    for side in PANEL_SIDES:
        length = panel.length_m if side in ("bottom", "top") else panel.height_m
        strips.append(FormStrip(side, length, turned[side].depth_m if side in turned else panel.skin_m))
    for side, back in turned.items():
        ends = ("left", "right") if side in ("bottom", "top") else ("bottom", "top")
        length = panel.length_m if side in ("bottom", "top") else panel.height_m
        length -= sum(turned[end].thickness_m for end in ends if end in turned)
        if back.depth_m - panel.skin_m > NEAR_M:
            strips.append(FormStrip(f"inside the return, {side}", length, back.depth_m - panel.skin_m))
    return tuple(strips)
