"""The table of a drawing that holds several pieces."""

from dataclasses import field
from typing import Annotated, Literal

from pydantic import Field

from estimator.errors import FaultError
from estimator.intake.paper import PageKey, ReferenceKey, ScaleKey
from estimator.intake.shapes import AtSeamsKey, GapKey, GluedKey, ProfileName
from estimator.job import Use
from estimator.keys import Key, Length, Name, UnitName, table
from geometry.message import message

LayerNames = Annotated[list[Name], Field(min_length=1)]


@table(kw_only=True)
class DrawnLayerTable:
    """Thickness and use of the pieces on one layer of a drawing."""

    thickness: Annotated[
        Length | None, Key("Thickness of pieces on this layer.", "1-1/2 in", "that of the drawing")
    ] = None
    use: Annotated[Use | None, Key("Use of pieces on this layer.", "counter", "that of the drawing")] = None


@table(kw_only=True)
class DrawnDropTable:
    height: Annotated[Length, Key("Height of the drop edge from the top of the piece.", "3 in")]
    thickness: Annotated[Length, Key("Thickness of the drop edge, measured horizontally.", "1-1/2 in")]


@table(kw_only=True)
class DrawnProfileTable:
    profile: Annotated[ProfileName | None, Key("Profile of the edge.", "bevel", "by `kind`")] = None
    kind: Annotated[ProfileName | None, Key("The same as `profile`.", "bevel", "by `profile`")] = None
    size: Annotated[
        Length | None,
        Key("Size of the profile: radius, or leg of a bevel.", "1/4 in", "as for `edge_profiles` of a shape"),
    ] = None

    def __post_init__(self) -> None:
        if (self.profile is None) == (self.kind is None):
            raise FaultError("", message("profile-once" if self.kind is None else "profile-twice"))


@table(kw_only=True)
class DrawnSplashTable:
    height: Annotated[Length, Key("Height of the splash.", "4 in")]
    thickness: Annotated[Length, Key("Thickness of the splash.", "3/4 in")]
    glued: GluedKey = "site"
    at_seams: AtSeamsKey = None


@table(kw_only=True)
class DrawnWaterfallTable:
    height: Annotated[Length, Key("Height of the leg outside, from the floor to the top face.", "36 in")]
    glued: GluedKey = "site"
    at_seams: AtSeamsKey = None


@table(kw_only=True)
class DrawnEdgesTable:
    """Work on the edges along the lines of a layer: exactly one of these."""

    drop: Annotated[
        DrawnDropTable | None, Key("A drop edge.", {"height": "3 in", "thickness": "1-1/2 in"}, "no drop edge")
    ] = None
    profile: Annotated[DrawnProfileTable | None, Key("A profile.", {"profile": "eased"}, "no profile")] = None
    splash: Annotated[
        DrawnSplashTable | None, Key("A splash.", {"height": "4 in", "thickness": "3/4 in"}, "no splash")
    ] = None
    waterfall: Annotated[DrawnWaterfallTable | None, Key("A waterfall.", {"height": "36 in"}, "no waterfall")] = None
    raw: Annotated[bool, Key("True for a hidden edge, such as one against a wall.", True)] = False

    def __post_init__(self) -> None:
        made = (self.drop, self.profile, self.splash, self.waterfall)
        if sum(part is not None for part in made) + self.raw != 1:
            raise FaultError("", message("drawn-edges-once"))


@table(kw_only=True)
class DrawingTable:
    file: Annotated[
        Name,
        Key(
            "Drawing of several pieces: DXF, SVG, PDF, GeoJSON, WKT or CSV. The path starts at this file.",
            "kitchen.dxf",
        ),
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
    scale: ScaleKey = None
    reference: ReferenceKey = None
    page: PageKey = None
    thickness: Annotated[
        Length | None, Key("Thickness of the pieces.", "1 in", "by `layer`, or each piece has its own")
    ] = None
    use: Annotated[Use | None, Key("Use of the pieces.", "counter", "each piece has its own")] = None
    layer: Annotated[
        dict[Name, DrawnLayerTable],
        Key("Thickness and use of the pieces on a layer.", {"BAR": {"thickness": "1-1/2 in", "use": "counter"}}),
    ] = field(default_factory=dict)
    edges: Annotated[
        dict[Name, DrawnEdgesTable],
        Key(
            "Work on the edges along the lines of a layer. Those lines do not count as outlines.",
            {"DROP": {"drop": {"height": "3 in", "thickness": "1-1/2 in"}}},
        ),
    ] = field(default_factory=dict)
