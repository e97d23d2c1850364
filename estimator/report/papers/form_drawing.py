"""The full-size drawing of a form: DXF in millimetres, arcs as bulges, the same bytes for the same form."""

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from io import StringIO
from typing import Any

from estimator.estimate import Estimate
from estimator.report.papers.form_sheet import drawing_names, form_view
from geometry.plan import Path, boundaries_of
from geometry.shapes import Shape

MM = 1000.0
LAYERS = {"OUTLINE": 7, "EDGE": 3, "BEHIND": 8}
"""Outline and cut-outs; edges in sight; edges that the board hides: name and colour number of each layer."""


def form_drawings(estimate: Estimate) -> dict[str, bytes]:
    """A drawing for each mark, by its path in the pack; marks of one shape share their bytes."""
    shapes = {piece.taken.piece.mark: piece.taken.piece.shape for piece in estimate.pieces}
    drawn: dict[Shape, bytes] = {}
    for shape in shapes.values():
        if shape not in drawn:
            drawn[shape] = form_dxf(shape)
    return {name: drawn[shapes[mark]] for mark, name in drawing_names(list(shapes)).items()}


def form_dxf(shape: Shape) -> bytes:
    """The form from above as it is built, 1:1, its lower left corner at the origin."""
    view = form_view(shape)
    x0, y0, x1, y1 = view.bounds_m
    with _undated():
        document = _empty()
        for layer, paths in (("OUTLINE", boundaries_of(view.material)), ("EDGE", view.seen), ("BEHIND", view.hidden)):
            _add(document.modelspace(), paths, (x0, y0), layer)
        document.header["$EXTMIN"] = (0.0, 0.0, 0.0)
        document.header["$EXTMAX"] = ((x1 - x0) * MM, (y1 - y0) * MM, 0.0)
        for name in sorted(document.entitydb.dxf_types_in_use()):  # else in the order of a set, new in each process
            document.classes.add_class(name)
        stream = StringIO()
        document.write(stream)
    return stream.getvalue().encode()


def _empty() -> Any:
    from ezdxf import units
    from ezdxf.filemanagement import new

    document = new("R2010", units=units.MM)
    document.header["$MEASUREMENT"] = 1
    document.linetypes.add("DASHED", pattern=[9.0, 6.0, -3.0], description="Dashed __ __ __")
    for name, colour in LAYERS.items():
        document.layers.add(name, color=colour, linetype="DASHED" if name == "BEHIND" else "CONTINUOUS")
    return document


@contextmanager
def _undated() -> Iterator[None]:
    """Dates and ids as fixed values while a file is made: it tells the form, not when it was written."""
    from ezdxf._options import options

    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def _add(space: Any, paths: Iterable[Path], corner: tuple[float, float], layer: str) -> None:
    for path in paths:
        placed = path.mapped([[MM, 0.0], [0.0, MM]], (-corner[0] * MM, -corner[1] * MM))
        bulges = [0.0] * len(placed.points) if placed.bulges is None else placed.bulges.tolist()
        points = [(x, y, bulge) for (x, y), bulge in zip(placed.points.tolist(), bulges, strict=True)]
        space.add_lwpolyline(points, format="xyb", close=placed.closed, dxfattribs={"layer": layer})
