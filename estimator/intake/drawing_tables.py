"""The table of a drawing that holds several pieces."""

from dataclasses import field
from typing import Annotated, Literal

from pydantic import Field

from estimator.intake.shapes import GapKey
from estimator.job import Use
from estimator.keys import Key, Length, Name, UnitName, table

LayerNames = Annotated[list[Name], Field(min_length=1)]


@table(kw_only=True)
class DrawnLayerTable:
    """What pieces on one layer of a drawing are."""

    thickness: Annotated[
        Length | None, Key("Thickness of pieces on this layer.", "1-1/2 in", "that of the drawing")
    ] = None
    use: Annotated[Use | None, Key("Use of pieces on this layer.", "counter", "that of the drawing")] = None


@table(kw_only=True)
class DrawingTable:
    file: Annotated[
        Name,
        Key("Drawing of several pieces: DXF, SVG, GeoJSON, WKT or CSV. The path starts at this file.", "kitchen.dxf"),
    ]
    unit: Annotated[
        UnitName | None, Key("Unit of the drawing, if the file states none.", "in", "as the file states")
    ] = None
    pieces: Annotated[
        LayerNames | None,
        Key("Layers with the outlines of pieces. A * stands for any letters.", ["COUNTER"], "all layers that show"),
    ] = None
    holes: Annotated[
        LayerNames | None, Key("Layers with holes.", ["SINK"], "every outline inside a piece is a hole")
    ] = None
    ignore: Annotated[list[Name], Key("Layers to leave out.", ["BORDER", "DIM*"])] = field(default_factory=list)
    marks: Annotated[
        Literal["text", "order"] | LayerNames,
        Key(
            'Where the marks are: "text" inside each piece, layers with these texts, or "order" to number the pieces.',
            "text",
        ),
    ] = "text"
    prefix: Annotated[Name, Key("Letters before the number of a piece without a mark.", "P")] = "P"
    unmarked: Annotated[
        Literal["fault", "leave-out", "number"],
        Key("What to do with outlines without a mark, where others have one.", "leave-out"),
    ] = "fault"
    gap: GapKey = None
    thickness: Annotated[
        Length | None, Key("Thickness of the pieces.", "1 in", "by `layer`, or each piece has its own")
    ] = None
    use: Annotated[Use | None, Key("Use of the pieces.", "counter", "each piece has its own")] = None
    layer: Annotated[
        dict[Name, DrawnLayerTable],
        Key("What the pieces on a layer are.", {"BAR": {"thickness": "1-1/2 in", "use": "counter"}}),
    ] = field(default_factory=dict)
