"""Drawings on paper: the keys of their scale, and the scale from them."""

import re
from collections.abc import Sequence
from math import hypot
from typing import Annotated, Any

from pydantic import Field

from estimator.errors import FaultError
from estimator.keys import Coordinate, Count, Key, Length, Name, read_coordinate, table
from estimator.units import read_quantity
from geometry.files import Paper
from geometry.message import message

AGREE = 0.005
"""Largest relative difference between a scale and a distance on the page. A fit-to-page print differs by more."""

RATIO = re.compile(r"\s*1\s*:\s*([0-9]{1,6}(?:\.[0-9]{1,6})?)\s*")
PagePoint = Annotated[list[Coordinate], Field(min_length=2, max_length=2)]


@table(kw_only=True)
class ReferenceTable:
    """Two points on the page and their true distance."""

    points: Annotated[
        Annotated[list[PagePoint], Field(min_length=2, max_length=2)],
        Key(
            "The two points as measured on the page, from its lower left corner.",
            [["20 mm", "30 mm"], ["140 mm", "30 mm"]],
        ),
    ]
    distance: Annotated[Length, Key("Their true distance.", "96 in")]


ScaleKey = Annotated[
    Name | None, Key('Scale of a PDF drawing, such as "1:20" or "1/4 in = 1 ft".', "1:20", "by `reference`")
]
ReferenceKey = Annotated[
    ReferenceTable | None,
    Key(
        "Two points of a PDF drawing and their true distance.",
        {"points": [["20 mm", "30 mm"], ["140 mm", "30 mm"]], "distance": "96 in"},
        "by `scale`",
    ),
]
PageKey = Annotated[Count | None, Key("Page of a PDF drawing.", 2, "its only page")]


def paper_of(drawing: Any, key: str = "") -> Paper | None:
    """Paper settings of a drawing from its keys `scale`, `reference` and `page`; None if it has none of them.

    Raises FaultError if scale and reference differ by more than AGREE. The prefix `key` is the path of the table.
    """
    scale = None if drawing.scale is None else read_scale(drawing.scale, f"{key}scale")
    if drawing.reference is not None:
        measured = _reference(drawing.reference, f"{key}reference")
        if scale is not None and abs(measured / scale - 1) > AGREE:
            problem = message("scale-differs", scale=drawing.scale, measured=f"1:{measured:.4g}")
            raise FaultError(f"{key}reference", problem)
        scale = scale or measured
    return None if scale is None and drawing.page is None else Paper(scale, drawing.page)


def read_scale(text: str, key: str) -> float:
    """Ratio of true lengths to lengths on the page. Raises FaultError if it cannot be read.

    >>> [round(read_scale(text, "scale"), 9) for text in ("1:20", "1/4 in = 1 ft", "1 cm = 0.5 m")]
    [20.0, 48.0, 50.0]
    """
    if match := RATIO.fullmatch(text):
        scale = float(match[1])
    elif text.count("=") == 1:
        try:
            page_m, true_m = (read_quantity(part.strip(), "length") for part in text.split("="))
        except FaultError as error:
            raise FaultError(key, error.message) from None
        scale = true_m / page_m if page_m > 0 else 0.0
    else:
        scale = 0.0
    if not 0.01 <= scale <= 100_000:
        raise FaultError(key, message("scale-unreadable", value=text[:40]))
    return scale


def _reference(table: ReferenceTable, key: str) -> float:
    (x0, y0), (x1, y1) = (_point(point, f"{key}.points[{i}]") for i, point in enumerate(table.points))
    page_m = hypot(x1 - x0, y1 - y0)
    if page_m <= 0:
        raise FaultError(f"{key}.points", message("reference-one-point"))
    return table.distance / page_m


def _point(point: Sequence[Any], key: str) -> tuple[float, float]:
    try:
        x, y = (read_coordinate(value, None) for value in point)
    except FaultError as error:
        raise FaultError(key, error.message) from None
    return x, y
