"""Tables of shapes, and the geometry shapes built from them, with drawings and meshes read."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import field, replace
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import Discriminator, Field, Tag

from estimator.errors import Fault, FaultError
from estimator.intake.paper import PageKey, ReferenceKey, ScaleKey, paper_of
from estimator.job import AtSeams, Attachment, Glued
from estimator.keys import ByKind, Coordinate, Count, Key, Length, Name, Offset, Reach, UnitName, read_coordinate, table
from estimator.notices import Notice
from geometry import shapes
from geometry.errors import UNIT_M
from geometry.files import InputFile, named_file
from geometry.frozen import frozen
from geometry.message import message
from geometry.plan_edges import edges_along
from geometry.plane import Region

Side = Literal["front", "back", "left", "right"]
PanelSide = Literal["bottom", "top", "left", "right"]
Opening = Literal["top", "bottom", "front", "back", "left", "right", "none"]
Points = list["Place2"]
_MITRE = (
    "Angle of the {side} end from square, in degrees. The cut is plumb and turns in plan, front to back. A positive "
    "angle shortens the back, a negative one the front. To cut across the height, swap the coordinates of the profile."
)
MitreLeft = Annotated[float, Field(gt=-85.0, lt=85.0), Key(_MITRE.format(side="left"), 45.0)]
MitreRight = Annotated[float, Field(gt=-85.0, lt=85.0), Key(_MITRE.format(side="right"), 45.0)]
Place = Annotated[list[Coordinate], Field(min_length=3, max_length=3)]
Place2 = Annotated[list[Coordinate], Field(min_length=2, max_length=2)]


# keys that several tables share
FileKey = Annotated[
    str | None,
    Key(
        "Drawing with the outline: DXF, SVG, PDF, GeoJSON, WKT or CSV. The path starts at the file that names it.",
        "island.dxf",
        "by `points`",
    ),
]
UnitKey = Annotated[
    UnitName | None,
    Key(
        "Unit of plain numbers in this table, and of a file that states none.",
        "in",
        "every number needs its own unit",
    ),
]
LayerKey = Annotated[str | None, Key("Layer of the drawing to read.", "COUNTER", "all layers")]
GapKey = Annotated[
    Length | None,
    Key("Largest gap that counts as joined between drawn lines.", "1/32 in", "0.1 mm (0.004 in)"),
]
PointsKey = Annotated[
    Points | None,
    Key(
        "Corners in order around the outline, each [x, y] with units, or plain numbers in `unit`.",
        [["0 in", "0 in"], ["60 in", "0 in"], ["60 in", "25 in"]],
        "by `file`",
    ),
]
WallKey = Annotated[
    Length | None,
    Key(
        "Wall thickness of a hollow piece, square to the outer surface.",
        "5/8 in",
        "the piece is solid",
    ),
]


_OF_DRAWING = ("layer", "gap", "scale", "reference", "page", "item")
"""Keys that say how a drawing is read, and nothing without one."""

_CUTOUT_KEYS = {  # kind: keys that it needs, and others that are of this kind
    "rectangle": (("length", "width"), ("radius",)),
    "ellipse": (("length", "width"), ()),
    "circle": (("diameter",), ()),
    "outline": ((), ("file", "points", "layer", "gap", "scale", "reference", "page")),
}
_KINDS_APART = sorted({key for keys in _CUTOUT_KEYS.values() for part in keys for key in part})


@table(kw_only=True)
class CutoutTable:
    """A cutout through everything below it."""

    kind: Annotated[Literal["rectangle", "circle", "ellipse", "outline"], Key("Shape of the cutout.", "rectangle")]
    length: Annotated[
        Length | None, Key("Length along x of a rectangle or ellipse.", "30 in", "needed for a rectangle or ellipse")
    ] = None
    width: Annotated[
        Length | None, Key("Width along y of a rectangle or ellipse.", "16 in", "needed for a rectangle or ellipse")
    ] = None
    diameter: Annotated[Length | None, Key("Diameter of a circle.", "1-3/8 in", "needed for a circle")] = None
    radius: Annotated[Reach | None, Key("Corner radius of a rectangle.", "1/2 in", "square corners")] = None
    x: Annotated[Offset, Key("x of the lower left corner, or of the center of a circle or ellipse.", "20 in")]
    y: Annotated[Offset, Key("y of the lower left corner, or of the center of a circle or ellipse.", "4 in")]
    file: FileKey = None
    unit: UnitKey = None
    layer: LayerKey = None
    gap: GapKey = None
    scale: ScaleKey = None
    reference: ReferenceKey = None
    page: PageKey = None
    points: PointsKey = None
    edge: Annotated[Literal["finished", "raw"], Key("Edge of the cutout: a finished face, or raw.", "finished")] = (
        "finished"
    )
    depth: Annotated[Length | None, Key("Depth of a finished reveal, from the top.", "2 in", "the full thickness")] = (
        None
    )
    rim_thickness: Annotated[Length | None, Key("Thickness of the rim around the cutout.", "1 in", "no rim")] = None
    rim_width: Annotated[Length | None, Key("Width of the rim around the cutout.", "2 in", "no rim")] = None

    def __post_init__(self) -> None:
        needed, other = _CUTOUT_KEYS[self.kind]
        missing = [key for key in needed if getattr(self, key) is None]
        if missing:
            raise FaultError("", message("cutout-keys-missing", kind=self.kind, keys=missing))
        strange = [key for key in _KINDS_APART if key not in (*needed, *other) and getattr(self, key) is not None]
        if strange:
            raise FaultError("", message("cutout-keys-strange", kind=self.kind, keys=strange))
        if self.kind == "outline" and (self.file is None) == (self.points is None):
            raise FaultError("", message("cutout-outline"))


def _edge_form(value: Any) -> str:
    """Tag of the form of an edge: the side it faces, its number, or a table."""
    if isinstance(value, dict):
        return "(edge)"
    return "(side)" if isinstance(value, str) else "(number)"


SideOrNumber = Annotated[Annotated[Side, Tag("(side)")] | Annotated[Count, Tag("(number)")], Discriminator(_edge_form)]


@table(kw_only=True)
class EdgeTable:
    """An edge, or a part of it."""

    edge: Annotated[
        SideOrNumber | None,
        Key("The edge: the side that it faces, or its number.", "front", "by `near` or `layer`"),
    ] = None
    near: Annotated[
        Place2 | None,
        Key("A point: the edge nearest to it.", ["30 in", "0 in"], "by `edge` or `layer`"),
    ] = None
    layer: Annotated[
        str | None,
        Key("A layer of the drawing: the edges along its lines.", "DROP", "by `edge` or `near`"),
    ] = None
    length: Annotated[
        Length | None,
        Key("Length of the edge, as a check. More than 1/2 in off is refused.", "60 in", "not checked"),
    ] = None
    from_m: Annotated[
        Reach | None,
        Key("Start of the part, measured along the edge counterclockwise.", "20 in", "the start of the edge"),
    ] = None
    to: Annotated[
        Length | None,
        Key("End of the part, measured in the same way.", "50 in", "the end of the edge"),
    ] = None

    def __post_init__(self) -> None:
        if sum(value is not None for value in (self.edge, self.near, self.layer)) != 1:
            raise FaultError("", message("edge-named-how"))
        if self.layer is not None and (self.from_m, self.to) != (None, None):
            raise FaultError("", message("edge-layer-part"))


EdgeName = Annotated[
    Annotated[Side, Tag("(side)")] | Annotated[Count, Tag("(number)")] | Annotated[EdgeTable, Tag("(edge)")],
    Discriminator(_edge_form),
]
Edges = Annotated[list[EdgeName], Field(min_length=1)]
EdgesKey = Annotated[
    Edges | None,
    Key(
        "Edges by the side they face, by number counterclockwise from the lower left, or as a table.",
        ["front", 3],
        "by `sides`",
    ),
]
SidesKey = Annotated[Edges | None, Key("The same as `edges`.", ["front", "left"], "by `edges`")]


@table(kw_only=True)
class OnEdges:
    """What is made of some edges of a piece."""

    edges: EdgesKey = None
    sides: SidesKey = None

    def __post_init__(self) -> None:
        if (self.edges is None) == (self.sides is None):
            raise FaultError("", message("edges-once" if self.edges is None else "edges-twice"))

    @property
    def named(self) -> Edges:
        """The edges, by whichever key names them."""
        return self.edges or self.sides or []


@table(kw_only=True)
class DropEdgeTable(OnEdges):
    height: Annotated[Length, Key("Height of the drop edge from the top of the piece.", "2 in")]
    thickness: Annotated[Length, Key("Thickness of the drop edge, measured horizontally.", "1 in")]


ProfileName = Literal["eased", "round-over", "bevel", "cove", "bullnose"]


@table(kw_only=True)
class EdgeProfileTable(OnEdges):
    profile: Annotated[ProfileName | None, Key("Profile of the edge.", "bevel", "by `kind`")] = None
    kind: Annotated[ProfileName | None, Key("The same as `profile`.", "bevel", "by `profile`")] = None
    size: Annotated[
        Length | None,
        Key(
            "Size of the profile: radius, or leg of a bevel.",
            "1/4 in",
            "1/8 in for an eased edge, half the height of the edge for a bullnose",
        ),
    ] = None

    def __post_init__(self) -> None:
        OnEdges.__post_init__(self)
        if (self.profile is None) == (self.kind is None):
            raise FaultError("", message("profile-once" if self.kind is None else "profile-twice"))
        if self.size is None and self.worked not in ("eased", "bullnose"):
            raise FaultError("", message("profile-no-size", kind=self.worked))

    @property
    def worked(self) -> ProfileName:
        """The profile, by whichever key names it."""
        return self.profile or self.kind or "eased"


GluedKey = Annotated[
    Glued,
    Key(
        'Where it is glued on. "shop": weighed, moved and lifted as one piece, braced until set. '
        '"site": each part is carried alone.',
        "site",
    ),
]


AtSeamsKey = Annotated[
    AtSeams | None,
    Key(
        'At seams of the piece: "cut" divides it with the parts, "whole" runs it over the seams.',
        "cut",
        "cut if glued in the shop, else whole",
    ),
]


@table(kw_only=True)
class WaterfallTable(OnEdges):
    height: Annotated[Length, Key("Height of the leg outside, from the floor to the top face.", "36 in")]
    mark: Annotated[
        Name | None, Key("Mark of the leg. Several legs are numbered after it.", "W1", "the mark of the piece and -W1")
    ] = None
    glued: GluedKey = "site"
    at_seams: AtSeamsKey = None


@table(kw_only=True)
class SplashTable(OnEdges):
    height: Annotated[Length, Key("Height of the splash.", "4 in")]
    thickness: Annotated[Length, Key("Thickness of the splash.", "3/4 in")]
    mark: Annotated[
        Name | None,
        Key("Mark of the splash. Several strips are numbered after it.", "S1", "the mark of the piece and -S1"),
    ] = None
    glued: GluedKey = "site"
    at_seams: AtSeamsKey = None


@table(kw_only=True)
class TaperTable:
    to: Annotated[Side, Key("Side toward which the slab tapers.", "front")]
    thickness: Annotated[Length, Key("Thickness at that side.", "1/2 in")]


@table(kw_only=True)
class ShapeBase:
    at: Annotated[
        Place | None,
        Key(
            "Position of a part of a compound: x, y and z of its own origin.",
            ["12 in", "0 in", "2 in"],
            "at the origin",
        ),
    ] = None


@table(kw_only=True)
class EdgedTable(ShapeBase):
    """What can be made of the edges of a flat piece."""

    drop_edges: Annotated[
        list[DropEdgeTable],
        Key(
            "Drop edges, outer face flush with the piece.",
            [{"edges": ["front"], "height": "2 in", "thickness": "1 in"}],
        ),
    ] = field(default_factory=list)
    edge_profiles: Annotated[
        list[EdgeProfileTable],
        Key("Profiles along the edges.", [{"edges": ["front"], "profile": "bevel", "size": "1/4 in"}]),
    ] = field(default_factory=list)
    waterfalls: Annotated[
        list[WaterfallTable],
        Key(
            "Waterfalls: edges mitered at 45°, each with a leg to the floor that is a piece of its own.",
            [{"edges": ["left"], "height": "36 in"}],
        ),
    ] = field(default_factory=list)
    splashes: Annotated[
        list[SplashTable],
        Key(
            "Splashes that stand on edges against a wall, flush with them. Each strip is a piece of its own.",
            [{"edges": ["back"], "height": "4 in", "thickness": "3/4 in"}],
        ),
    ] = field(default_factory=list)
    raw_edges: Annotated[
        list[EdgeName],
        Key("Hidden edges, such as those against a wall. They are formed but not finished.", ["back"]),
    ] = field(default_factory=list)


@table(kw_only=True)
class SlabTable(EdgedTable):
    kind: Annotated[Literal["slab"], Key("Shape: a flat rectangular piece.", "slab")]
    length: Annotated[Length, Key("Length along x, left to right.", "72 in")]
    width: Annotated[Length, Key("Width along y, front to back.", "25.5 in")]
    thickness: Annotated[Length, Key("Thickness of the slab.", "3/4 in")]
    cutouts: Annotated[
        list[CutoutTable],
        Key(
            "Cutouts through the slab and everything below it.",
            [{"kind": "circle", "diameter": "1-3/8 in", "x": "36 in", "y": "22 in"}],
        ),
    ] = field(default_factory=list)
    taper: Annotated[
        TaperTable | None,
        Key("Taper of the thickness toward one side.", {"to": "front", "thickness": "1/2 in"}, "even thickness"),
    ] = None


@table(kw_only=True)
class OutlineTable(EdgedTable):
    kind: Annotated[Literal["outline"], Key("Shape: a flat piece of any outline.", "outline")]
    file: FileKey = None
    points: PointsKey = None
    unit: UnitKey = None
    layer: LayerKey = None
    gap: GapKey = None
    scale: ScaleKey = None
    reference: ReferenceKey = None
    page: PageKey = None
    item: Annotated[
        Count | None, Key("Number of the outline in the drawing, from 1.", 1, "the drawing has one outline")
    ] = None
    thickness: Annotated[Length, Key("Thickness, or height of a hollow piece.", "3/4 in")]
    wall: WallKey = None
    open: Annotated[Literal["none", "top", "bottom", "both"], Key("Open sides of a hollow piece.", "top")] = "top"
    cutouts: Annotated[
        list[CutoutTable],
        Key("Cutouts through the piece.", [{"kind": "circle", "diameter": "1-3/8 in", "x": "36 in", "y": "22 in"}]),
    ] = field(default_factory=list)


@table(kw_only=True)
class ReturnTable:
    sides: Annotated[
        Annotated[list[PanelSide], Field(min_length=1)],
        Key("Sides of the panel with a return.", ["bottom", "left"]),
    ]
    depth: Annotated[Length, Key("Depth of the return from the face.", "3 in")]
    thickness: Annotated[Length, Key("Thickness of the return.", "5/8 in")]


@table(kw_only=True)
class RibsTable:
    spacing: Annotated[Length, Key("Spacing of the ribs, center to center.", "24 in")]
    width: Annotated[Length, Key("Width of one rib.", "2 in")]
    depth: Annotated[Length, Key("Depth of the ribs from the face.", "2 in")]
    ways: Annotated[Literal["x", "y", "both"], Key("Direction of the ribs.", "both")] = "x"


@table(kw_only=True)
class OpeningTable(CutoutTable):
    """An opening of a panel, which may have a return."""

    return_depth: Annotated[
        Length | None, Key("Depth of the return around the opening, from the face.", "3 in", "no return")
    ] = None
    return_thickness: Annotated[
        Length | None, Key("Thickness of the return around the opening.", "5/8 in", "the skin's thickness")
    ] = None


@table(kw_only=True)
class PanelTable(ShapeBase):
    kind: Annotated[Literal["panel"], Key("Shape: a wall panel with returns and ribs.", "panel")]
    length: Annotated[Length, Key("Length along x.", "60 in")]
    height: Annotated[Length, Key("Height along y.", "36 in")]
    skin: Annotated[Length, Key("Thickness of the skin.", "5/8 in")]
    returns: Annotated[
        list[ReturnTable],
        Key("Returns at the edges.", [{"sides": ["bottom", "top"], "depth": "3 in", "thickness": "5/8 in"}]),
    ] = field(default_factory=list)
    ribs: Annotated[
        RibsTable | None, Key("Ribs on the back.", {"spacing": "24 in", "width": "2 in", "depth": "2 in"}, "no ribs")
    ] = None
    openings: Annotated[
        list[OpeningTable],
        Key(
            "Openings through the panel.",
            [{"kind": "rectangle", "length": "12 in", "width": "8 in", "x": "10 in", "y": "10 in"}],
        ),
    ] = field(default_factory=list)


@table(kw_only=True)
class DrainTable:
    diameter: Annotated[Length, Key("Diameter of the drain hole.", "1 in")]
    x: Annotated[Offset, Key("x of the center.", "24 in")]
    y: Annotated[Offset, Key("y of the center.", "8 in")]


@table(kw_only=True)
class BoxTable(ShapeBase):
    kind: Annotated[Literal["box"], Key("Shape: a hollow box, such as a planter.", "box")]
    length: Annotated[Length, Key("Outer length along x.", "48 in")]
    width: Annotated[Length, Key("Outer width along y.", "16 in")]
    height: Annotated[Length, Key("Outer height.", "18 in")]
    wall: Annotated[Length, Key("Thickness of the walls.", "5/8 in")]
    base: Annotated[Length | None, Key("Thickness of the base.", "3/4 in", "as thick as the walls")] = None
    open: Annotated[bool, Key("Whether the top is open.", True)] = True
    base_length: Annotated[
        Length | None, Key("Outer length at the bottom, if the walls taper.", "44 in", "as at the top")
    ] = None
    base_width: Annotated[
        Length | None, Key("Outer width at the bottom, if the walls taper.", "12 in", "as at the top")
    ] = None
    fillet: Annotated[Reach, Key("Radius of the inner corners.", "1/2 in")] = 0.0
    drain_holes: Annotated[
        list[DrainTable], Key("Drain holes through the base.", [{"diameter": "1 in", "x": "24 in", "y": "8 in"}])
    ] = field(default_factory=list)


@table(kw_only=True)
class ExtrusionTable(ShapeBase):
    kind: Annotated[Literal["extrusion"], Key("Shape: a profile run along a length, such as a molding.", "extrusion")]
    profile: Annotated[
        "ProfileTable | Points",
        Key(
            "Profile as points, or from a drawing.", {"points": [["0 in", "0 in"], ["4 in", "0 in"], ["4 in", "2 in"]]}
        ),
    ]
    unit: UnitKey = None
    length: Annotated[Length, Key("Length of the run.", "96 in")]
    wall: WallKey = None
    open: Annotated[Literal["none", "left", "right", "both"], Key("Open ends of a hollow run.", "both")] = "both"
    mitre_left: MitreLeft = 0.0
    mitre_right: MitreRight = 0.0


@table(kw_only=True)
class ProfileTable:
    points: PointsKey = None
    file: FileKey = None
    unit: UnitKey = None
    layer: LayerKey = None
    gap: GapKey = None
    scale: ScaleKey = None
    reference: ReferenceKey = None
    page: PageKey = None


@table(kw_only=True)
class RevolutionTable(ShapeBase):
    kind: Annotated[Literal["revolution"], Key("Shape: a profile turned about an upright axis.", "revolution")]
    profile: Annotated[
        "ProfileTable | Points",
        Key(
            "Profile as (radius, height) points, or from a drawing.",
            [["0 in", "0 in"], ["8 in", "0 in"], ["10 in", "14 in"], ["0 in", "14 in"]],
        ),
    ]
    unit: UnitKey = None
    wall: WallKey = None
    open: Annotated[Literal["none", "top", "bottom"], Key("Open end of a hollow piece.", "top")] = "none"


@table(kw_only=True)
class MeshTable(ShapeBase):
    kind: Annotated[Literal["mesh"], Key("Shape: a 3D model from a file.", "mesh")]
    file: Annotated[
        str,
        Key(
            "Model: STL, OBJ, PLY, 3MF, GLB, glTF, STEP or 3DM. The path starts at the file that names it.",
            "planter.stl",
        ),
    ]
    unit: Annotated[
        UnitName | None,
        Key("Unit of the file, if the file does not state one.", "mm", "as the file states"),
    ] = None
    repair: Annotated[
        Literal["fill"] | None,
        Key('Set to "fill" to close small holes of the mesh.', "fill", "an open mesh is refused"),
    ] = None
    wall: Annotated[
        Length | None,
        Key("Wall thickness, if the mesh is the outer surface of a shell.", "5/8 in", "the mesh is a solid"),
    ] = None
    open: Annotated[Opening, Key("Open side of the shell.", "top")] = "none"


@table(kw_only=True)
class CompoundTable(ShapeBase):
    kind: Annotated[Literal["compound"], Key("Shape: several shapes in one piece.", "compound")]
    unit: UnitKey = None
    add: Annotated[
        Annotated[list["ShapeTable"], Field(min_length=1)],
        Key(
            "Shapes to join. Overlaps count once.",
            [{"kind": "slab", "length": "60 in", "width": "24 in", "thickness": "1 in"}],
        ),
    ]
    subtract: Annotated[
        list["ShapeTable"],
        Key(
            "Shapes to cut out.",
            [
                {
                    "kind": "box",
                    "length": "20 in",
                    "width": "14 in",
                    "height": "1 in",
                    "wall": "1/2 in",
                    "base": "1/2 in",
                    "at": ["10 in", "5 in", "0 in"],
                }
            ],
        ),
    ] = field(default_factory=list)


ShapeTable = Annotated[
    SlabTable | OutlineTable | PanelTable | BoxTable | ExtrusionTable | RevolutionTable | MeshTable | CompoundTable,
    ByKind(),
]


@frozen
class Built:
    """A shape, its thinnest stated section, the warnings from its files, and the parts glued to its edges."""

    shape: shapes.Shape
    nominal_thickness_m: float | None
    remarks: tuple[Notice, ...]
    attached: tuple[Attachment, ...] = ()


def build_shape(
    table: ShapeTable,
    folder: Path,
    file: str,
    entry: str,
    faults: list[Fault],
    *,
    layered: bool = False,
    drawn: Region | None = None,
) -> Built | None:
    """Shape of `table`, or None with its faults. Paths of files are relative to `folder`.

    layered  whether the piece is cast in layers, so that a mesh must keep its facets
    drawn    outline of the piece in a drawing of several pieces, used if the shape has no other
    """
    remarks: list[Notice] = []
    try:
        context = _Place(folder, None, remarks, layered, drawn)
        shape = _BUILDERS[table.kind](table, context)
        attached = tuple(_attached(table, context, shape))
    except FaultError as error:
        place = f"{entry}, shape.{error.key}" if error.key else f"{entry}, shape"
        faults.append(Fault(file, place, error.message))
        return None
    return Built(shape, shape.nominal_thickness_m, tuple(remarks), attached)


@frozen
class _Place:
    """Context of a shape: the folder of its files, and the unit of its plain numbers."""

    folder: Path
    unit: str | None
    remarks: list[Notice]
    keeps_facets: bool = False  # of a mesh, for a piece in layers or a part of a compound
    drawn: Region | None = None

    @property
    def unit_m(self) -> float | None:
        return UNIT_M[self.unit] if self.unit else None

    def in_unit(self, unit: str | None) -> "_Place":
        return replace(self, unit=unit or self.unit)


def _coordinate(value: Any, place: _Place, key: str) -> float:
    try:
        return read_coordinate(value, place.unit)
    except FaultError as error:
        raise FaultError(key, error.message) from None


def _points(points: Sequence[Sequence[Any]], place: _Place, key: str) -> list[tuple[float, float]]:
    return [
        (_coordinate(x, place, f"{key}[{i}][0]"), _coordinate(y, place, f"{key}[{i}][1]"))
        for i, (x, y) in enumerate(points)
    ]


def _region(points: Sequence[Sequence[Any]], place: _Place, key: str) -> Region:
    read = _points(points, place, key)
    try:
        return Region.from_points(read)
    except FaultError as error:
        raise FaultError(key, error.message) from None


def _drawn_region(table: Any, place: _Place, key: str) -> Region:
    """Region from a drawing, by the keys `file`, `layer`, `gap` and `item` of a table."""
    from estimator.intake.shape_files import drawing_of
    from geometry.readers.drawing import GAP_MOST_M

    file, item = table.file, getattr(table, "item", None)
    if table.gap is not None and table.gap > GAP_MOST_M:
        raise FaultError(f"{key}gap", message("gap-too-wide", gap_m=table.gap, limit_m=GAP_MOST_M))

    where = f"{key}file" if key else "file"
    source = _on_paper(_path_of(file, place, where), table, key)
    try:
        drawing = drawing_of(source, None if source.paper else place.unit_m, table.layer, table.gap)
    except FaultError as error:
        raise FaultError(where, message("of-file", file=file, text=error.message)) from None
    place.remarks.extend(
        Notice("file-mended", message("of-file", file=file, text=problem)) for problem in drawing.problems
    )
    count = len(drawing.regions)
    if item is None and count != 1:
        raise FaultError(where, message("drawing-many-outlines", file=file, count=count))
    if item is not None and item > count:
        raise FaultError(f"{key}item", message("drawing-few-outlines", file=file, count=count, item=item))
    return drawing.regions[(item or 1) - 1]


def _on_paper(path: Path, table: Any, key: str) -> InputFile:
    """File of a drawing, with its scale if it is on paper."""
    return InputFile(path.name, path, paper=paper_of(table, key))


def _plan(table: Any, place: _Place, key: str = "") -> Region:
    """Region from `points` or `file`, of which exactly one must be given."""
    _refuse_keys_without_drawing(table, key)
    if place.drawn is not None and not key and table.points is None and table.file is None:
        return place.drawn
    if (table.file is None) == (table.points is None):
        raise FaultError(key.rstrip("."), message("outline-source"))
    inner = place.in_unit(table.unit)
    if table.points is not None:
        return _region(table.points, inner, f"{key}points")
    return _drawn_region(table, inner, key)


def _refuse_keys_without_drawing(table: Any, key: str) -> None:
    idle = [name for name in _OF_DRAWING if getattr(table, name, None) is not None]
    if idle and table.file is None:
        raise FaultError(f"{key}{idle[0]}", message("key-without-drawing"))


def _profile_points(table: Any, place: _Place) -> list[tuple[float, float]]:
    profile = table.profile
    if isinstance(profile, list):
        return _points(profile, place.in_unit(table.unit), "profile")
    _refuse_keys_without_drawing(profile, "profile.")
    if profile.points is not None and profile.file is None:
        return _points(profile.points, place.in_unit(profile.unit or table.unit), "profile.points")
    region = _plan(profile, place.in_unit(table.unit), "profile.")
    return [(float(x), float(y)) for x, y in region.polygon().exterior.coords[:-1]]


def _cutout(table: CutoutTable, place: _Place, key: str) -> shapes.Cutout:
    edge: dict[str, Any] = {
        "edge": table.edge,
        "depth_m": table.depth,
        "rim_thickness_m": table.rim_thickness,
        "rim_width_m": table.rim_width,
    }
    if table.kind == "circle":
        return shapes.CircleCutout(table.diameter or 0.0, table.x, table.y, **edge)
    if table.kind == "outline":
        return shapes.OutlineCutout(_plan(table, place, f"{key}."), table.x, table.y, **edge)
    length_m, width_m = table.length or 0.0, table.width or 0.0
    if table.kind == "ellipse":
        return shapes.EllipseCutout(length_m, width_m, table.x, table.y, **edge)
    return shapes.RectangleCutout(length_m, width_m, table.x, table.y, table.radius or 0.0, **edge)


def _cutouts(tables: Sequence[CutoutTable], place: _Place) -> tuple[shapes.Cutout, ...]:
    return tuple(_cutout(cutout, place, f"cutouts[{i}]") for i, cutout in enumerate(tables))


def _edge_work(table: SlabTable | OutlineTable, place: _Place, drawn: Region | None) -> dict[str, Any]:
    """Edge features of a flat piece; `drawn` is its region if a drawing may have edge layers."""
    profiles = [
        shapes.EdgeProfile(
            _edges(profile.named, table, place, drawn, f"edge_profiles[{i}].edges"), profile.worked, profile.size
        )
        for i, profile in enumerate(table.edge_profiles)
    ]
    profiles += [
        shapes.EdgeProfile(_edges(waterfall.named, table, place, drawn, f"waterfalls[{i}].edges"), "mitre")
        for i, waterfall in enumerate(table.waterfalls)
    ]
    return {
        "drop_edges": tuple(
            shapes.DropEdge(
                _edges(drop.named, table, place, drawn, f"drop_edges[{i}].edges"), drop.height, drop.thickness
            )
            for i, drop in enumerate(table.drop_edges)
        ),
        "edge_profiles": tuple(profiles),
        "raw_edges": _edges(table.raw_edges, table, place, drawn, "raw_edges"),
    }


def _attached(table: ShapeTable, place: _Place, shape: shapes.Shape) -> Iterator[Attachment]:
    """Yield the parts glued to the edges of a shape."""
    if not isinstance(table, SlabTable | OutlineTable) or not isinstance(shape, shapes.EdgedShape):
        return
    drawn = shape.region if isinstance(shape, shapes.Outline) else None
    for i, fall in enumerate(table.waterfalls):
        key = f"waterfalls[{i}]"
        edges = _edges(fall.named, table, place, drawn, f"{key}.edges")
        yield Attachment("leg", key, edges, fall.height, table.thickness, fall.mark, fall.glued, _at_seams(fall))
    splashed = set[shapes.Edge]()
    for i, splash in enumerate(table.splashes):
        key = f"splashes[{i}]"
        edges = _edges(splash.named, table, place, drawn, f"{key}.edges")
        for edge in edges:
            if edge in splashed:
                raise FaultError(f"{key}.edges", message("edge-twice", side=str(edge)))
            splashed.add(edge)
        size = splash.height, splash.thickness
        yield Attachment("splash", key, edges, *size, splash.mark, splash.glued, _at_seams(splash))


def _at_seams(table: WaterfallTable | SplashTable) -> AtSeams:
    """Whether a glued part is cut at seams. If the shop glues it on, it is cut with the piece by default."""
    return table.at_seams or ("cut" if table.glued == "shop" else "whole")


def _edges(
    edges: Sequence[Any], table: SlabTable | OutlineTable, place: _Place, drawn: Region | None, key: str
) -> tuple[shapes.Edge, ...]:
    """Edges named in a list."""
    named: list[shapes.Edge] = []
    for i, edge in enumerate(edges):
        named += [edge] if not isinstance(edge, EdgeTable) else _edge(edge, table, place, drawn, f"{key}[{i}]")
    return tuple(named)


def _edge(edge: EdgeTable, table: Any, place: _Place, drawn: Region | None, key: str) -> list[shapes.Edge]:
    """Edge named by a table; for a layer, all edges or parts of edges along its lines."""
    inner = place.in_unit(getattr(table, "unit", None))
    if edge.layer is None:
        near = _points([edge.near], inner, f"{key}.near")[0] if edge.near else None
        return [shapes.EdgePart(edge.edge, near, edge.length, edge.from_m, edge.to)]
    if drawn is None or table.file is None:
        raise FaultError(f"{key}.layer", message("edge-layer-undrawn"))
    from estimator.intake.shape_files import lines_of

    source = _on_paper(_path_of(table.file, place, "file"), table, "")
    try:
        lines = lines_of(source, None if source.paper else inner.unit_m, edge.layer)
        return list(edges_along(drawn.outer, lines, edge.length))
    except FaultError as error:
        if error.key == "length":
            raise FaultError(f"{key}.length", error.message) from None
        raise FaultError(f"{key}.layer", message("of-file", file=table.file, text=error.message)) from None


def _slab(table: SlabTable, place: _Place) -> shapes.Slab:
    return shapes.Slab(
        table.length,
        table.width,
        table.thickness,
        cutouts=_cutouts(table.cutouts, place),
        taper=shapes.Taper(table.taper.to, table.taper.thickness) if table.taper else None,
        **_edge_work(table, place, None),
    )


def _outline(table: OutlineTable, place: _Place) -> shapes.Outline:
    region = _plan(table, place)
    return shapes.Outline(
        region,
        table.thickness,
        cutouts=_cutouts(table.cutouts, place),
        wall_m=table.wall,
        open=table.open,
        **_edge_work(table, place, region),
    )


def _panel(table: PanelTable, place: _Place) -> shapes.Panel:
    ribs = table.ribs
    return shapes.Panel(
        table.length,
        table.height,
        table.skin,
        returns=tuple(shapes.Return(tuple(edge.sides), edge.depth, edge.thickness) for edge in table.returns),
        ribs=shapes.Ribs(ribs.spacing, ribs.width, ribs.depth, ribs.ways) if ribs else None,
        openings=tuple(
            shapes.PanelOpening(
                _cutout(opening, place, f"openings[{i}]"), opening.return_depth, opening.return_thickness
            )
            for i, opening in enumerate(table.openings)
        ),
    )


def _box(table: BoxTable, _place: _Place) -> shapes.Box:
    return shapes.Box(
        table.length,
        table.width,
        table.height,
        table.wall,
        table.base or table.wall,
        open=table.open,
        base_length_m=table.base_length,
        base_width_m=table.base_width,
        fillet_m=table.fillet,
        drain_holes=tuple(shapes.DrainHole(hole.diameter, hole.x, hole.y) for hole in table.drain_holes),
    )


def _extrusion(table: ExtrusionTable, place: _Place) -> shapes.Extrusion:
    profile = table.profile
    if isinstance(profile, list):
        region = _region(profile, place.in_unit(table.unit), "profile")
    else:
        region = _plan(profile, place.in_unit(table.unit), "profile.")
    molding = shapes.Extrusion(
        region,
        table.length,
        mitre_left_deg=table.mitre_left,
        mitre_right_deg=table.mitre_right,
        wall_m=table.wall,
        open=table.open,
    )
    place.remarks.extend(_deep_mitre(molding))
    return molding


def _deep_mitre(molding: shapes.Extrusion) -> Iterator[Notice]:
    """Yield a warning if miters take a third of a molding, because the cut may be meant across its other side."""
    try:
        share = molding.share_of_mitres()
    except FaultError:  # reported when the piece is measured
        return
    if share >= DEEP_MITRE:
        yield Notice("mitre-deep", message("warning-miter-deep", taken_share=round(share, 2)))


def _revolution(table: RevolutionTable, place: _Place) -> shapes.Revolution:
    return shapes.Revolution(tuple(_profile_points(table, place)), wall_m=table.wall, open=table.open)


def _path_of(name: str, place: _Place, key: str) -> Path:
    """Path of a file named by a shape. Raises FaultError under `key`."""
    try:
        return named_file(place.folder, name)
    except FaultError as error:
        raise FaultError(key, error.message) from None


def _mesh(table: MeshTable, place: _Place) -> shapes.MeshBody:
    from estimator.intake.shape_files import facets_of, mesh_of
    from geometry.mesh import OPEN_RIM

    path = _path_of(table.file, place, "file")
    if table.open != "none" and table.wall is None:
        raise FaultError("open", message("open-without-wall"))
    unit = place.in_unit(table.unit).unit
    unit_m = UNIT_M[unit] if unit else None
    try:
        if table.wall is None and not place.keeps_facets and path.stat().st_size > DRAWN_BYTES:
            body = shapes.MeshBody(mesh_of(path, unit_m, table.repair))
        else:
            measure, vertices_m, facets = facets_of(path, unit_m, table.repair, rims=table.wall is not None)
            body = shapes.MeshBody(measure, vertices_m, facets, wall_m=table.wall, open=table.open)
    except FaultError as error:
        raise FaultError("file", message("of-file", file=table.file, text=error.message)) from None
    place.remarks.extend(
        Notice("file-mended", message("of-file", file=table.file, text=problem)) for problem in body.measure.problems
    )
    if table.open != "none" and path.suffix.lower() in (".glb", ".gltf"):
        place.remarks.append(Notice("file-mended", message("note-gltf-axes")).about(table.file))
    if not body.measure.closed:
        place.remarks.append(Notice("file-mended", OPEN_RIM).about(table.file))
    return body


def _placed(tables: Sequence[Any], place: _Place, key: str) -> tuple[shapes.Placed, ...]:
    placed = []
    for i, part in enumerate(tables):
        try:
            for glued in ("waterfalls", "splashes"):
                if getattr(part, glued, None):
                    raise FaultError(glued, message("glued-in-compound"))
            shape = _BUILDERS[part.kind](part, place)
            x, y, z = (_coordinate(v, place.in_unit(getattr(part, "unit", None)), "at") for v in part.at or (0, 0, 0))
        except FaultError as error:
            raise FaultError(f"{key}[{i}].{error.key}".rstrip("."), error.message) from None
        placed.append(shapes.Placed(shape, (x, y, z)))
    return tuple(placed)


def _compound(table: CompoundTable, place: _Place) -> shapes.Compound:
    inner = replace(place.in_unit(table.unit), keeps_facets=True)
    return shapes.Compound(_placed(table.add, inner, "add"), _placed(table.subtract, inner, "subtract"))


DEEP_MITRE = 1 / 3
"""Fraction of a molding taken by its miters that triggers a warning."""

DRAWN_BYTES = 5_000_000  # a mesh file up to this size keeps its facets, so that the papers can draw the piece

_BUILDERS: dict[
    Literal["slab", "outline", "panel", "box", "extrusion", "revolution", "mesh", "compound"],
    Callable[[Any, _Place], shapes.Shape],
] = {
    "slab": _slab,
    "outline": _outline,
    "panel": _panel,
    "box": _box,
    "extrusion": _extrusion,
    "revolution": _revolution,
    "mesh": _mesh,
    "compound": _compound,
}
