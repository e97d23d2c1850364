"""The full-size drawing of each form, as DXF.

A DXF file is mostly tables that never change: they are written once by the library, and each drawing's own lines are
put in between.
"""

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from functools import cache
from io import StringIO
from typing import Any

from estimator.constants import INCH_M
from estimator.estimate import Estimate
from estimator.report.papers.data_files import file_names
from estimator.report.papers.style import words_of
from estimator.units import Units
from estimator.words import Words
from geometry.frozen import frozen
from geometry.plan import Path, boundaries_of
from geometry.shape import plan_view
from geometry.shapes import Shape
from geometry.views import PlanView

LAYERS = {"OUTLINE": 7, "EDGE": 3, "BEHIND": 8, "CHECK": 1}
"""Outline and cut-outs; edges in sight; edges that the board hides; the check bar: name and color number of each."""

UNITS: dict[Units, tuple[float, float]] = {"imperial": (INCH_M, 4.0), "metric": (0.001, 100.0)}
"""The unit of a drawing, m, and the length of its check bar in it: a bar that measures otherwise was not drawn 1:1."""

FIRST_HANDLE, LAST_HANDLE = 0x10000, 0xFFFFFF  # of a drawing's own lines, above those of the tables
WIDE, HIGH = 987650.125, 987651.125  # stand for the size of the form in the text that is written once


def form_drawings(estimate: Estimate) -> dict[str, bytes]:
    """A drawing for each mark, by its path in the pack; marks of one shape share their bytes."""
    words = words_of(estimate)
    shapes = {piece.taken.piece.mark: piece.taken.piece.shape for piece in estimate.pieces}
    by_shape: dict[Shape, bytes] = {}
    for shape in shapes.values():
        if shape not in by_shape:
            by_shape[shape] = form_dxf(shape, words)
    return {name: by_shape[shapes[mark]] for mark, name in drawing_names(list(shapes)).items()}


def drawing_names(marks: Sequence[str]) -> dict[str, str]:
    """Path in the pack of each mark's full-size drawing."""
    return file_names(marks, "forms", "dxf")


def form_view(shape: Shape) -> PlanView:
    """The form from above as it is built."""
    view = plan_view(shape)
    return view.mirrored() if shape.is_cast_face_down else view


def form_dxf(shape: Shape, words: Words) -> bytes:
    """The form from above as it is built, 1:1 in the job's unit, its lower left corner at the origin."""
    view = form_view(shape)
    blank = _blank(words)
    x0, y0, x1, y1 = view.bounds_m
    stream = StringIO()
    writer = _writer(stream)
    handle = FIRST_HANDLE
    for layer, paths in (("OUTLINE", boundaries_of(view.material)), ("EDGE", view.seen), ("BEHIND", view.hidden)):
        for path in paths:
            _line(path, (x0, y0), layer, blank, handle).export_dxf(writer)
            handle += 1
    sized = blank.before.replace(str(WIDE), repr((x1 - x0) / blank.unit_m))
    sized = sized.replace(str(HIGH), repr((y1 - y0) / blank.unit_m))
    return "".join((sized, stream.getvalue(), blank.after)).encode()


@frozen(eq=False)
class _Blank:
    """A drawing without lines: its text before and after them, its unit, and the space that they belong to."""

    before: str
    after: str
    unit_m: float
    document: Any


@cache
def _blank(words: Words) -> _Blank:
    unit_m, bar = UNITS[words.units]
    document = _empty(words.units)
    _check_bar(document.modelspace(), bar, bar / 20, words("form-drawing-check-bar", length_m=bar * unit_m))
    document.modelspace().reset_extents((0.0, -bar / 5, 0.0), (WIDE, HIGH, 0.0))
    for name in sorted(document.entitydb.dxf_types_in_use()):  # else in the order of a set, new in each process
        document.classes.add_class(name)
    stream = StringIO()
    with _undated():
        document.write(stream)
    text = stream.getvalue()
    seed = f"$HANDSEED\n  5\n{document.entitydb.handles}\n"
    text = text.replace(seed, f"$HANDSEED\n  5\n{LAST_HANDLE:X}\n")
    end = text.index("  0\nENDSEC\n", text.index("  2\nENTITIES\n"))
    return _Blank(text[:end], text[end:], unit_m, document)


def _empty(units: Units) -> Any:
    from ezdxf.filemanagement import new
    from ezdxf.units import IN, MM

    with _undated():
        document = new("R2010", units=IN if units == "imperial" else MM)
    document.header["$MEASUREMENT"] = 0 if units == "imperial" else 1
    scale = UNITS[units][1] / 100.0
    pattern = [part * scale for part in (9.0, 6.0, -3.0)]
    document.linetypes.add("DASHED", pattern=pattern, description="Dashed __ __ __")
    for name, color in LAYERS.items():
        document.layers.add(name, color=color, linetype="DASHED" if name == "BEHIND" else "CONTINUOUS")
    return document


def _check_bar(space: Any, length: float, thick: float, text: str) -> None:
    """A bar of known length below the form, filled so that no reader takes it for an outline."""
    bar = space.add_hatch(color=256, dxfattribs={"layer": "CHECK"})
    bar.paths.add_polyline_path([(0, -2 * thick), (length, -2 * thick), (length, -thick), (0, -thick)], is_closed=True)
    space.add_text(text, height=0.8 * thick, dxfattribs={"layer": "CHECK"}).set_placement((0, -3.2 * thick))


def _writer(stream: StringIO) -> Any:
    from ezdxf.lldxf.const import DXF2010
    from ezdxf.lldxf.tagwriter import TagWriter

    return TagWriter(stream, dxfversion=DXF2010)


@contextmanager
def _undated() -> Iterator[None]:
    """Dates and ids as fixed values while a file is written: it shows the form, not when it was written."""
    from ezdxf._options import options

    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def _line(path: Path, corner: tuple[float, float], layer: str, blank: _Blank, handle: int) -> Any:
    from ezdxf.entities.lwpolyline import LWPolyline

    per_m = 1.0 / blank.unit_m
    placed = path.mapped([[per_m, 0.0], [0.0, per_m]], (-corner[0] * per_m, -corner[1] * per_m))
    bulges: Iterable[float] = [0.0] * len(placed.points) if placed.bulges is None else placed.bulges.tolist()
    line = LWPolyline.new(
        handle=f"{handle:X}",
        owner=blank.document.modelspace().layout_key,
        dxfattribs={"layer": layer},
        doc=blank.document,
    )
    line.set_points([(x, y, bulge) for (x, y), bulge in zip(placed.points.tolist(), bulges, strict=True)], format="xyb")
    line.closed = placed.closed
    return line
