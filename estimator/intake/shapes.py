"""Shapes: their tables, and the geometry package's own shapes made of them, drawings and meshes read."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import Field, model_validator

from estimator.errors import Fault, FaultError
from estimator.intake.fields import UNIT_M, Coordinate, Count, Gap, Length, Offset, Reach, Table, fault, read_coordinate
from estimator.notices import Notice
from geometry import shapes
from geometry.extrusion import share_of_mitres
from geometry.plane import Region

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


@dataclass(frozen=True, slots=True)
class Built:
    """A shape, the thinnest section that it names, and what its files said on being read."""

    shape: shapes.Shape
    nominal_thickness_m: float | None
    remarks: tuple[Notice, ...]


def build_shape(
    table: ShapeTable, folder: Path, file: str, entry: str, faults: list[Fault], *, layered: bool = False
) -> Built | None:
    """The shape of `table`, or None with the faults found. Files are looked for beside `folder`.

    layered  the piece is cast in layers, so that a mesh must keep its facets
    """
    remarks: list[Notice] = []
    try:
        shape = _BUILDERS[table.kind](table, _Place(folder, None, remarks, keeps_facets=layered))
    except FaultError as error:
        place = f"{entry}, shape.{error.key}" if error.key else f"{entry}, shape"
        faults.append(Fault(file, place, error.what, error.fix))
        return None
    return Built(shape, nominal_thickness_m(shape), tuple(remarks))


def nominal_thickness_m(shape: shapes.Shape) -> float | None:
    """Thickness that a shape is cast to where it is thinnest; None for a solid that has none (a mesh, a moulding)."""
    match shape:
        case shapes.Slab():
            ends = [shape.thickness_m] + ([shape.taper.thickness_m] if shape.taper else [])
            return min([*ends, *(drop.thickness_m for drop in shape.drop_edges)])
        case shapes.Outline():
            return min(shape.thickness_m, shape.wall_m or shape.thickness_m)
        case shapes.Panel():
            return min([shape.skin_m, *(each.thickness_m for each in shape.returns)])
        case shapes.Box():
            return min(shape.wall_m, shape.base_m)
        case shapes.Extrusion() | shapes.Revolution() | shapes.MeshBody():
            return shape.wall_m
        case shapes.Compound():
            known = [each for part in shape.add if (each := nominal_thickness_m(part.shape)) is not None]
            return min(known, default=None)


@dataclass(frozen=True, slots=True)
class _Place:
    """Where the shape being built stands: the folder its files are relative to, the unit of bare numbers."""

    folder: Path
    unit: str | None
    remarks: list[Notice]
    keeps_facets: bool = False  # of a mesh: layers, and a part of a compound, need them

    def in_unit(self, unit: str | None) -> "_Place":
        return replace(self, unit=unit or self.unit)


def _coordinate(value: Any, place: _Place, key: str) -> float:
    try:
        return read_coordinate(value, place.unit)
    except FaultError as error:
        raise FaultError(key, error.what, error.fix) from None


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
        raise FaultError(key, error.what, error.fix) from None


def _drawn_region(table: Any, place: _Place, key: str) -> Region:
    """The region that a table takes from a drawing by its keys `file`, `layer`, `gap` and `item`."""
    from geometry.readers.drawing import GAP_M, GAP_MOST_M, read_drawing

    file, item = table.file, getattr(table, "item", None)
    if table.gap is not None and table.gap > GAP_MOST_M:
        what = f"is {table.gap * 1000:.4g} mm, too wide to close unseen."
        raise FaultError(f"{key}gap", what, "Give 1 in or less.")

    path = place.folder / file
    where = f"{key}file" if key else "file"
    if not path.is_file():
        raise FaultError(where, f'there is no file "{file}".', "Paths are relative to the file that names them.")
    try:
        drawing = read_drawing(path, UNIT_M[place.unit] if place.unit else None, table.layer, table.gap or GAP_M)
    except FaultError as error:
        raise FaultError(where, f"{file}: {error.what}", error.fix) from None
    place.remarks.extend(Notice("file-mended", f"{file}: {problem}") for problem in drawing.problems)
    count = len(drawing.regions)
    if item is None and count != 1:
        raise FaultError(where, f"{file} holds {count} separate outlines.", f"Choose one with `item` = 1 to {count}.")
    if item is not None and item > count:
        raise FaultError(f"{key}item", f"{file} holds {count} outlines, not {item}.", f"Choose 1 to {count}.")
    return drawing.regions[(item or 1) - 1]


def _plan(table: Any, place: _Place, key: str = "") -> Region:
    """The region that `points` or `file` gives; exactly one of the two."""
    if (table.file is None) == (table.points is None):
        raise FaultError(key.rstrip("."), "needs either `file` or `points`.", "Give exactly one of the two.")
    if table.gap is not None and table.file is None:
        raise FaultError(f"{key}gap", "is for a drawing.", "Leave it out, or give a `file`.")
    inner = place.in_unit(table.unit)
    if table.points is not None:
        return _region(table.points, inner, f"{key}points")
    return _drawn_region(table, inner, key)


def _profile_points(table: Any, place: _Place) -> list[tuple[float, float]]:
    profile = table.profile
    if isinstance(profile, list):
        return _points(profile, place.in_unit(table.unit), "profile")
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
    return tuple(_cutout(each, place, f"cutouts[{i}]") for i, each in enumerate(tables))


def _slab(table: SlabTable, place: _Place) -> shapes.Slab:
    return shapes.Slab(
        table.length,
        table.width,
        table.thickness,
        cutouts=_cutouts(table.cutouts, place),
        drop_edges=tuple(shapes.DropEdge(tuple(d.sides), d.height, d.thickness) for d in table.drop_edges),
        edge_profiles=tuple(shapes.EdgeProfile(tuple(e.sides), e.kind, e.size) for e in table.edge_profiles),
        taper=shapes.Taper(table.taper.to, table.taper.thickness) if table.taper else None,
    )


def _outline(table: OutlineTable, place: _Place) -> shapes.Outline:
    return shapes.Outline(
        _plan(table, place),
        table.thickness,
        cutouts=_cutouts(table.cutouts, place),
        wall_m=table.wall,
        open=table.open,
    )


def _panel(table: PanelTable, place: _Place) -> shapes.Panel:
    ribs = table.ribs
    return shapes.Panel(
        table.length,
        table.height,
        table.skin,
        returns=tuple(shapes.Return(tuple(each.sides), each.depth, each.thickness) for each in table.returns),
        ribs=shapes.Ribs(ribs.spacing, ribs.width, ribs.depth, ribs.ways) if ribs else None,
        openings=tuple(
            shapes.PanelOpening(_cutout(each, place, f"openings[{i}]"), each.return_depth, each.return_thickness)
            for i, each in enumerate(table.openings)
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
        drain_holes=tuple(shapes.DrainHole(each.diameter, each.x, each.y) for each in table.drain_holes),
    )


def _extrusion(table: ExtrusionTable, place: _Place) -> shapes.Extrusion:
    profile = table.profile
    if isinstance(profile, list):
        region = _region(profile, place.in_unit(table.unit), "profile")
    else:
        region = _plan(profile, place.in_unit(table.unit), "profile.")
    moulding = shapes.Extrusion(
        region,
        table.length,
        mitre_left_deg=table.mitre_left,
        mitre_right_deg=table.mitre_right,
        wall_m=table.wall,
        open=table.open,
    )
    place.remarks.extend(_deep_mitre(moulding))
    return moulding


def _deep_mitre(moulding: shapes.Extrusion) -> Iterator[Notice]:
    """A warning where mitres take a third of a moulding: the cut may be meant across its other side."""
    try:
        taken = share_of_mitres(moulding)
    except FaultError:  # said where the piece is measured
        return
    if taken >= DEEP_MITRE:
        yield Notice(
            "mitre-deep",
            f"the mitres take {taken:.0%} of the moulding. They stand upright and turn in plan, across the profile's "
            "first coordinate; for a cut over its height exchange the profile's two coordinates.",
        )


def _revolution(table: RevolutionTable, place: _Place) -> shapes.Revolution:
    return shapes.Revolution(tuple(_profile_points(table, place)), wall_m=table.wall, open=table.open)


def _mesh(table: MeshTable, place: _Place) -> shapes.MeshBody:
    from geometry.mesh import OPEN_RIM, read_facets, read_mesh

    path = place.folder / table.file
    if not path.is_file():
        raise FaultError("file", f'there is no file "{table.file}".', "Paths are relative to the file that names them.")
    if table.open != "none" and table.wall is None:
        raise FaultError("open", "is for a shell.", "Give a wall as well.")
    unit = place.in_unit(table.unit).unit
    unit_m = UNIT_M[unit] if unit else None
    try:
        if table.wall is None and not place.keeps_facets and path.stat().st_size > DRAWN_BYTES:
            body = shapes.MeshBody(read_mesh(path, unit_m, repair=table.repair))
        else:
            measure, vertices_m, facets = read_facets(path, unit_m, repair=table.repair, rims=table.wall is not None)
            body = shapes.MeshBody(measure, vertices_m, facets, wall_m=table.wall, open=table.open)
    except FaultError as error:
        raise FaultError("file", f"{table.file}: {error.what}", error.fix) from None
    place.remarks.extend(Notice("file-mended", f"{table.file}: {problem}") for problem in body.measure.problems)
    if not body.measure.closed:
        place.remarks.append(Notice("file-mended", f"{table.file}: {OPEN_RIM}"))
    return body


def _placed(tables: Sequence[Any], place: _Place, key: str) -> tuple[shapes.Placed, ...]:
    placed = []
    for i, table in enumerate(tables):
        try:
            shape = _BUILDERS[table.kind](table, place)
            x, y, z = (_coordinate(v, place.in_unit(getattr(table, "unit", None)), "at") for v in table.at or (0, 0, 0))
        except FaultError as error:
            raise FaultError(f"{key}[{i}].{error.key}".rstrip("."), error.what, error.fix) from None
        placed.append(shapes.Placed(shape, (x, y, z)))
    return tuple(placed)


def _compound(table: CompoundTable, place: _Place) -> shapes.Compound:
    inner = replace(place.in_unit(table.unit), keeps_facets=True)
    return shapes.Compound(_placed(table.add, inner, "add"), _placed(table.subtract, inner, "subtract"))


DEEP_MITRE = 1 / 3
"""Share of a moulding that its mitres may take before a warning."""

DRAWN_BYTES = 5_000_000  # a mesh file up to this keeps its facets, so that the papers can draw the piece

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
