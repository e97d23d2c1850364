"""Many pieces at once.

Plain slabs, panels and boxes are sums of signed cuboids, so thousands of rows cost a few passes of NumPy.
Every other row is measured alone, and the figures are the same as `geometry.measure` gives.
"""

from __future__ import annotations

from collections.abc import Sequence

from geometry.errors import FaultError
from geometry.shape import FacesOf, Shape, layer_parts, measure
from geometry.solid import LayerPart, Solid

Thicknesses = Sequence[float | None]
Measured = tuple[Solid, tuple[LayerPart, ...]]


def measure_many(
    shapes: Sequence[Shape],
    thicknesses_m: Thicknesses | Sequence[Thicknesses] | None = None,
    faces: FacesOf = "form",
) -> list[Measured]:
    """The measure of many shapes, and their layers if thicknesses are given: once for all rows, or a list a row.

    Raises FaultError for the first row that cannot be built, its key led by the row: "[12].thickness".
    """
    layers = _a_list_a_row(shapes, thicknesses_m)
    plain: dict[type[Shape], list[int]] = {}
    for row, (shape, thick) in enumerate(zip(shapes, layers, strict=True)):
        if faces == "form" and shape.is_plain(len(thick)):
            plain.setdefault(type(shape), []).append(row)
    measured: dict[int, Measured] = {}
    for kind, rows in plain.items():
        block = kind.block([shapes[row] for row in rows], [layers[row] for row in rows])
        # Whatever looks wrong is looked at alone below, and refused with its reason.
        columns = zip(rows, block.sound.tolist(), block.solids(), block.layers(), strict=True)
        measured |= {row: (solid, parts) for row, sound, solid, parts in columns if sound}
    return [
        measured[row] if row in measured else _alone(row, shapes[row], layers[row], faces) for row in range(len(shapes))
    ]


def _a_list_a_row(
    shapes: Sequence[Shape], thicknesses: Thicknesses | Sequence[Thicknesses] | None
) -> list[tuple[float | None, ...]]:
    if thicknesses is None:
        return [()] * len(shapes)
    given = list(thicknesses)
    if all(t is None or isinstance(t, int | float) for t in given):
        return [tuple(t for t in given if not isinstance(t, Sequence))] * len(shapes)
    if len(given) != len(shapes):
        what = f"are {len(given)} lists for {len(shapes)} shapes."
        raise FaultError("layers", what, "Give one list, or a list for each shape.")
    return [tuple(row) if isinstance(row, Sequence) else (row,) for row in given]


def _alone(row: int, shape: Shape, thick: tuple[float | None, ...], faces: FacesOf) -> Measured:
    try:
        return measure(shape), layer_parts(shape, thick, faces) if thick else ()
    except FaultError as error:
        raise FaultError(f"[{row}].{error.key}".rstrip("."), error.what, error.fix) from None
