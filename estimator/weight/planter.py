"""How much soil a planter holds."""

from dataclasses import dataclass

from geometry import shapes
from geometry.solid import Solid


@dataclass(frozen=True, slots=True)
class Soil:
    """Wet soil in a planter filled to its rim; `assumption` is "" where its hollow is known exactly."""

    volume_m3: float
    assumption: str


def soil_of(shape: shapes.Shape, solid: Solid) -> Soil | None:
    """Soil in a planter of this shape, or None for a shape that holds none (a closed box).

    A box holds its outer volume less its own concrete; drain holes and fillets are as the solid has them. Of any other
    shape the box around it is taken for the outer volume, which is too much rather than too little.
    """
    if isinstance(shape, shapes.Box):
        if not shape.open:
            return None
        return Soil(_outer_volume_m3(shape) - solid.volume_m3, "")
    length_m, width_m, height_m = solid.size_m
    return Soil(
        length_m * width_m * height_m - solid.volume_m3,
        "soil: the box around the planter is taken for its outer volume",
    )


def _outer_volume_m3(box: shapes.Box) -> float:
    """Of a body between two rectangles, by the prismoidal formula, which is exact for it."""
    bottom_m = box.base_length_m or box.length_m, box.base_width_m or box.width_m
    top_m = box.length_m, box.width_m
    middle_m2 = (bottom_m[0] + top_m[0]) / 2.0 * (bottom_m[1] + top_m[1]) / 2.0
    return box.height_m / 6.0 * (bottom_m[0] * bottom_m[1] + 4.0 * middle_m2 + top_m[0] * top_m[1])
