"""Shapes as the job file writes them (contract). Keys, units and axes are told in the README's shape table."""

from typing import Annotated, Literal

from pydantic import Field, model_validator

from estimator.intake.base import Table
from estimator.intake.fields import Coordinate, Count, Gap, Length, Offset, Reach, fault

Side = Literal["front", "back", "left", "right"]
PanelSide = Literal["bottom", "top", "left", "right"]
Opening = Literal["top", "bottom", "front", "back", "left", "right", "none"]
UnitName = Literal["mm", "cm", "m", "in", "ft"]
Points = list[Annotated[list[Coordinate], Field(min_length=2, max_length=2)]]
_MITRE = (
    "Angle in degrees by which the {side} end is cut off square. The cut stands upright and turns in plan, across the "
    "profile's first coordinate (y, front to back): positive shortens the back, negative the front. For a mitre over "
    "the height give the profile with its two coordinates exchanged."
)
MitreLeft = Annotated[float, Field(gt=-85.0, lt=85.0, description=_MITRE.format(side="left"))]
MitreRight = Annotated[float, Field(gt=-85.0, lt=85.0, description=_MITRE.format(side="right"))]
Place = Annotated[list[Coordinate], Field(min_length=3, max_length=3)]


class CutoutTable(Table):
    """A hole through everything below it."""

    kind: Literal["rectangle", "circle", "ellipse", "outline"]
    length: Length | None = None
    width: Length | None = None
    diameter: Length | None = None
    radius: Reach | None = None
    x: Offset
    y: Offset
    file: str | None = None
    unit: UnitName | None = None
    layer: str | None = None
    gap: Gap | None = None
    points: Points | None = None
    edge: Literal["finished", "raw"] = "finished"
    depth: Length | None = None  # of a finished reveal, from the top
    rim_thickness: Length | None = None
    rim_width: Length | None = None

    @model_validator(mode="after")
    def _has_its_size(self) -> "CutoutTable":
        needed = {"rectangle": ("length", "width"), "ellipse": ("length", "width"), "circle": ("diameter",)}
        missing = [key for key in needed.get(self.kind, ()) if getattr(self, key) is None]
        if missing:
            raise fault(f"a {self.kind} cut-out needs {' and '.join(missing)}.", f"Add {', '.join(missing)}.")
        if self.kind == "outline" and (self.file is None) == (self.points is None):
            raise fault("an outline cut-out needs a file or points.", "Give exactly one of `file` and `points`.")
        return self


class DropEdgeTable(Table):
    sides: Annotated[list[Side], Field(min_length=1)]
    height: Length
    thickness: Length


class EdgeProfileTable(Table):
    kind: Literal["cove", "bevel", "round-over"]
    size: Length
    sides: Annotated[list[Side], Field(min_length=1)]


class TaperTable(Table):
    to: Side
    thickness: Length


class ShapeBase(Table):
    at: Place | None = None  # where a part of a compound stands; only there


class SlabTable(ShapeBase):
    kind: Literal["slab"]
    length: Length
    width: Length
    thickness: Length
    cutouts: list[CutoutTable] = []
    drop_edges: list[DropEdgeTable] = []
    edge_profiles: list[EdgeProfileTable] = []
    taper: TaperTable | None = None


class OutlineTable(ShapeBase):
    kind: Literal["outline"]
    file: str | None = None
    points: Points | None = None
    unit: UnitName | None = None
    layer: str | None = None
    gap: Gap | None = None
    item: Count | None = None  # which outline of a sheet with several
    thickness: Length
    wall: Length | None = None
    open: Literal["none", "top", "bottom", "both"] = "top"
    cutouts: list[CutoutTable] = []


class ReturnTable(Table):
    sides: Annotated[list[PanelSide], Field(min_length=1)]
    depth: Length
    thickness: Length


class RibsTable(Table):
    spacing: Length
    width: Length
    depth: Length
    ways: Literal["x", "y", "both"] = "x"


class OpeningTable(CutoutTable):
    """A cut-out of a panel whose edge may be turned back."""

    return_depth: Length | None = None
    return_thickness: Length | None = None


class PanelTable(ShapeBase):
    kind: Literal["panel"]
    length: Length
    height: Length
    skin: Length
    returns: list[ReturnTable] = []
    ribs: RibsTable | None = None
    openings: list[OpeningTable] = []


class DrainTable(Table):
    diameter: Length
    x: Offset
    y: Offset


class BoxTable(ShapeBase):
    kind: Literal["box"]
    length: Length
    width: Length
    height: Length
    wall: Length
    base: Length | None = None
    open: bool = True
    base_length: Length | None = None  # outer size at the bottom, where the walls taper
    base_width: Length | None = None
    fillet: Reach = 0.0
    drain_holes: list[DrainTable] = []


class ExtrusionTable(ShapeBase):
    kind: Literal["extrusion"]
    profile: "ProfileTable | Points"
    unit: UnitName | None = None
    length: Length
    wall: Length | None = None
    open: Literal["none", "left", "right", "both"] = "both"
    mitre_left: MitreLeft = 0.0
    mitre_right: MitreRight = 0.0


class ProfileTable(Table):
    points: Points | None = None
    file: str | None = None
    unit: UnitName | None = None
    layer: str | None = None
    gap: Gap | None = None


class RevolutionTable(ShapeBase):
    kind: Literal["revolution"]
    profile: "ProfileTable | Points"
    unit: UnitName | None = None
    wall: Length | None = None
    open: Literal["none", "top", "bottom"] = "none"


class MeshTable(ShapeBase):
    kind: Literal["mesh"]
    file: str
    unit: UnitName | None = None
    repair: Literal["fill"] | None = None
    wall: Length | None = None
    open: Opening = "none"


class CompoundTable(ShapeBase):
    kind: Literal["compound"]
    unit: UnitName | None = None
    add: Annotated[list["ShapeTable"], Field(min_length=1)]
    subtract: list["ShapeTable"] = []


ShapeTable = Annotated[
    SlabTable | OutlineTable | PanelTable | BoxTable | ExtrusionTable | RevolutionTable | MeshTable | CompoundTable,
    Field(discriminator="kind"),
]
