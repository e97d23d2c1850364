"""The base class of all kinds of shape: what each must answer, and what follows from the answers."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Sequence
from functools import lru_cache
from typing import Any, Literal, NamedTuple, Self, TypeAlias

from geometry.arrays import Vector
from geometry.cuboids import Block, Thicknesses
from geometry.cutouts import Cutout
from geometry.frozen import frozen
from geometry.inscribed import Inscribed
from geometry.message import Message, message
from geometry.plan import Plan
from geometry.plan_edges import PlanEdge
from geometry.plane import Region
from geometry.slices import Faces, Level, Slices, Stack
from geometry.solid import LayerPart, Moments, Solid, joint_depths, parts_of
from geometry.views import Axis, CrossSection, PlanArea, PlanView, section_of_slices, view_of_slices

Bounds: TypeAlias = tuple[float, float, float, float]
FacesOf: TypeAlias = Literal["form", "all"]
"""Faces from which layers are measured: those against the form, or all."""


@frozen
class Wall:
    """One plate or wall of a shape: what it is, its key, and its thickness.

    nominal  whether it is cast to a thickness that the piece is known by; a rib or a rim is not
    """

    name: str
    key: str
    thickness_m: float
    nominal: bool = True


@frozen
class Strip:
    """A turned-down edge or a return along one side of a plate: `depth_m` from the face, `thickness_m` across."""

    side: str
    thickness_m: float
    depth_m: float


@frozen(eq=False)
class Plate:
    """A shape as a flat piece: a plate with openings through it and strips along its sides.

    outline      its outline without cut-outs, in its own x and y; of a rectangle from its own origin length and width
    cutouts      openings through it; `cutouts_key` names one, its number in braces
    thickness_m  where it is thinnest; thickness_key the key of its own thickness
    strips       along its sides
    sides        names of the sides at low y, high y, low x and high x
    face_up      whether its finished face is its top; otherwise it is z = 0
    left_out     what else is on it
    even         plate, openings and strips are all there is: no taper, rim, rib or worked edge
    """

    outline: Region | tuple[float, float]
    cutouts: tuple[Cutout, ...]
    thickness_m: float
    thickness_key: str = "thickness"
    strips: tuple[Strip, ...] = ()
    sides: tuple[str, str, str, str] = ("front", "back", "left", "right")
    cutouts_key: str = "cutouts[{}]"
    face_up: bool = True
    left_out: tuple[Message, ...] = ()
    even: bool = False

    @property
    def region(self) -> Region:
        """Its outline without cut-outs."""
        return self.outline if isinstance(self.outline, Region) else Region.rectangle(*self.outline)


NO_STRIPS = ((0.0, 0.0),) * 4


class PlainForm(NamedTuple):
    """A plain rectangular shape as it stands in a form of boards.

    thickness_m   of the plate; of a box its height
    strips        thickness and depth of what stands behind the plate along the sides at low y, high y, low x and high
                  x; zeros for none
    openings      center x and y, half sides along x and y and corner radius of each, in the order of its own list
    marks_m       heights between which the plate is one, from 0 to its thickness
    hollow_m      thickness of the walls and the floor of an open box
    first_inside  side, clockwise from the front, at which the boards within strips on all sides begin their list
    """

    length_m: float
    width_m: float
    thickness_m: float
    strips: tuple[tuple[float, float], ...] = NO_STRIPS
    openings: tuple[tuple[float, float, float, float, float], ...] = ()
    marks_m: tuple[float, ...] = ()
    hollow_m: tuple[float, float] | None = None
    first_inside: int = 0


@frozen(eq=False)
class FormPlan:
    """A shape as it stands in a form of boards.

    levels    its plans from the base board up; of a moulding its profile over its length
    openings  through it, in the order of its own list, holes of a drawing first
    leans     growth of half the size along x and y with height, of walls that lean
    mitres    slopes of a moulding's left and right ends; None of what is no moulding
    edges     numbered edges of the outline, that boards are called by, each with how far in it is turned down or
              worked; none where sides have names
    """

    levels: tuple[Level, ...]
    openings: tuple[Region, ...] = ()
    leans: tuple[float, float] = (0.0, 0.0)
    mitres: tuple[float, float] | None = None
    edges: tuple[tuple[PlanEdge, float], ...] = ()


@frozen(eq=False)
class Beam:
    """A shape of one cross-section along an axis, as a beam.

    axis       0 along x, 1 along y
    stretches  from and to along it, area of the section, and its rectangles (y0, y1, z0, z1)
    moduli_m3  least section moduli lying as cast and turned on its side, of a section that is not made of rectangles
    on_edge    whether it can be carried on its side
    left_out   what is not counted
    """

    axis: int
    stretches: tuple[tuple[float, float, float], ...]
    rectangles: tuple[tuple[float, float, float, float], ...] = ()
    moduli_m3: tuple[float, float] | None = None
    on_edge: bool = True
    left_out: tuple[Message, ...] = ()


@frozen
class Trough:
    """An open box by its outer size, its walls taken plumb."""

    length_m: float
    width_m: float
    height_m: float
    wall_m: float
    base_m: float


@frozen
class HangingEdge:
    """One entry of drop edges: its edges by number, the sides named, and the area of section below the plate."""

    numbers: tuple[int, ...]
    sides: tuple[str, ...]
    length_m: float
    height_m: float
    thickness_m: float
    section_m2: float


@frozen
class WorkedEdge:
    """An edge, or parts of it that are alike, of which more is made than a plain side.

    number, side   of the edge; None where it faces no side
    height_m       of its drop from the top, and thickness_m of that; 0 for none
    profile        worked into it, of size_m; None where it is square
    raw            left unfinished
    face_m         height of its outer face below the plate, and section_m2 of what hangs there
    """

    number: int
    side: str | None
    length_m: float
    height_m: float
    thickness_m: float
    profile: str | None
    size_m: float
    raw: bool
    face_m: float
    section_m2: float

    @property
    def runs(self) -> int:
        """Boards and strips of a form that run along it, beside the plain edge board."""
        return (self.height_m > 0.0) + (self.profile is not None)


@frozen
class ArrisStrip:
    """Strip in a form that works one edge of a plate: `edge` is the shop name of that."""

    edge: Message
    kind: str
    run_m: float
    size_m: float


class Shape(ABC):
    """A kind of shape: a frozen dataclass of plain dimensions in SI that knows its own measures.

    Field names are the keys of a job file with the unit added. Nothing is checked when a shape is made; whatever asks
    for a measure raises FaultError, with the key at fault, for dimensions that cannot be built.

    Axes: x along the length from the left, y along the width from the front, z up. Sides: front (y = 0), back, left
    (x = 0), right. The origin is the corner x = y = 0 of the outer size, lowest point at z = 0. A `Region` and a mesh
    keep their own coordinates.
    """

    __slots__ = ()

    # Volume and layers

    @abstractmethod
    def solid(self) -> Solid:
        """The measure of the shape."""

    @property
    @abstractmethod
    def cast_thickness_m(self) -> float | None:
        """Thickness that its layers fill (of a plate, a skin or a wall); None for a solid that has no single one."""

    @abstractmethod
    def moments(self) -> Moments:
        """Volume integrals in its own axes."""

    @abstractmethod
    def deeper_than(self, reach_m: float, faces: FacesOf) -> Moments:
        """Integrals of the points further than a distance from the faces."""

    def layers(self, thicknesses_m: Sequence[float | None], faces: FacesOf = "form") -> tuple[LayerPart, ...]:
        """The layers from the form inward. See `layer_parts`."""
        given = tuple(thicknesses_m)
        if faces == "form" and self.is_plain(len(given)):
            block = self.block([self], [given])
            if block.sound[0] and given:
                return block.layers()[0]
        return self.layers_by_distance(given, faces)

    def layers_by_distance(
        self, thicknesses_m: Sequence[float | None], faces: FacesOf, solid: Solid | None = None
    ) -> tuple[LayerPart, ...]:
        """Layers from the volume deeper than each joint, a method that holds for every shape.

        solid   its measure, where that is at hand
        """
        measure = solid or self.solid()
        joints = joint_depths(thicknesses_m, self.cast_thickness_m)
        return parts_of(self.moments(), lambda joint: self.deeper_than(joint, faces), joints, measure, faces)

    def is_plain(self, layers: int) -> bool:
        """Whether it is a sum of cuboids that its `block` knows, cast in so many layers."""
        return False

    @classmethod
    def block(cls, shapes: Sequence[Any], layers: Sequence[Thicknesses]) -> Block:
        """The measures of many plain shapes of this kind, and their layers."""
        raise NotImplementedError(f"{cls.__name__} has no plain form")

    def plain_solid(self) -> Solid | None:
        """Its measure as a sum of cuboids; None where it is none, or where a dimension is at fault."""
        if not self.is_plain(0):
            return None
        block = self.block([self], [()])
        return block.solids()[0] if block.sound[0] else None

    # Areas and sizes

    @abstractmethod
    def plan_area(self) -> PlanArea:
        """Area of the top, or of a panel's elevation, that a client pays for, and the same less its openings."""

    def face_area_m2(self, solid: Solid) -> float:
        """Area by which weights are compared: the net plan of an even plate, otherwise all finished faces."""
        return solid.finished_area_m2

    @abstractmethod
    def extents(self) -> tuple[tuple[str, float], ...]:
        """Outer sizes as given, with their keys."""

    @abstractmethod
    def walls(self) -> tuple[Wall, ...]:
        """Its plates and walls."""

    @property
    def is_walled(self) -> bool:
        """Whether it consists of plates and walls alone."""
        return bool(self.walls())

    @property
    def nominal_thickness_m(self) -> float | None:
        """Thickness that it is cast to where it is thinnest; None for a solid that has none."""
        return min((wall.thickness_m for wall in self.walls() if wall.nominal), default=None)

    @abstractmethod
    def thicker(self, by_m: float) -> Self | None:
        """The shape with its own thickness changed; None for a solid that has none."""

    @abstractmethod
    def largest_sphere(self) -> Inscribed:
        """The largest sphere inside it: how far its hottest point lies from any surface."""

    # Parts

    @abstractmethod
    def opening_outlines(self) -> tuple[Region, ...]:
        """Openings through it in plan: holes of a drawing first, then in the order of its own list."""

    def opening_bounds(self) -> tuple[Bounds, ...]:
        """Smallest x and y, largest x and y of each opening, m."""
        return tuple(outline.bounds for outline in self.opening_outlines())

    @property
    def rectangle_m(self) -> tuple[float, float] | None:
        """Size in x and y of a plate with square corners at the origin; None for any other shape."""
        return None

    @abstractmethod
    def plate(self) -> Plate | None:
        """The shape as a flat piece; None for a box, a moulding, a bowl, a mesh or a shell."""

    def slices(self) -> Slices | None:
        """Its level slices from a flat face on; None where it is no plate and no shell of one."""
        return None

    def footing_bounds(self) -> Bounds | None:
        """Bounds of the underside of a plate whose ends are undercut; None of any other."""
        return None

    def stack(self) -> Stack | None:
        """The shape as upright prisms; None where it leans, tapers or curves upward."""
        return None

    def hanging_edges(self) -> tuple[HangingEdge, ...]:
        """Its drop edges."""
        return ()

    def worked_edges(self) -> tuple[WorkedEdge, ...]:
        """Edges that are turned down, worked, mitered or left raw, by number."""
        return ()

    def arris_strips(self) -> tuple[ArrisStrip, ...]:
        """The strips that work the arris of its edges."""
        return ()

    def trough(self) -> Trough | None:
        """The shape as an open trough, whose walls hold soil and whose rim takes inserts; None for any other."""
        return None

    def beam(self) -> Beam | None:
        """The shape as a beam along its length; None without a single cross-section, and for plates."""
        return None

    @property
    def is_hollow(self) -> bool:
        """Whether boards inside its form stand in a hollow, not over concrete."""
        return False

    @property
    def edge_numbers(self) -> Literal["plan", "section"] | None:
        """Where a drawing numbers the edges that the boards of its form are called by; None where sides have names."""
        return None

    @property
    def is_keyed(self) -> bool:
        """Whether reveals, knock-outs or turned-down edges key it into its form."""
        return False

    def soil_m3(self, solid: Solid) -> tuple[float, bool] | None:
        """Volume of soil that it holds, filled to the rim, m³, and whether that is exact; None for a closed shape.

        The box around it is taken for the outer volume, which is too much rather than too little.
        """
        length_m, width_m, height_m = solid.size_m
        return length_m * width_m * height_m - solid.volume_m3, False

    def foot_m(self, size_m: Vector) -> tuple[float, float]:
        """Size of its foot along x and y, by which it tips; size_m is its outer size."""
        return size_m[0], size_m[1]

    def outside_m(self, at_m: Vector, solid: Solid) -> Vector:
        """Distance of a point outside the outer size, along each axis, m."""
        x, y, z = (
            max(low - at, at - low - size, 0.0)
            for at, low, size in zip(at_m, solid.lowest_m, solid.size_m, strict=True)
        )
        return x, y, z

    # Drawings and forms

    @abstractmethod
    def view(self) -> PlanView:
        """View on its face or from its top."""

    @abstractmethod
    def cross_section(self, at_m: float, axis: Axis = "x") -> CrossSection | None:
        """Section at a station; None where it cannot be cut.

        Only plates are cut square to y, and a turned piece always through its own axis.
        """

    @property
    def is_cast_face_down(self) -> bool:
        """Whether the finished face lies on the bottom of the form, which is then the mirror image of the piece."""
        return False

    def build_notes(self) -> tuple[Message, ...]:
        """What a form builder must know beside a plan and one section: which sides, and sizes that those hide."""
        return ()

    def plain_form(self) -> PlainForm | None:
        """The shape as a plate, or an open box, whose boards follow from its sizes; None for any other."""
        return None

    @abstractmethod
    def form(self) -> FormPlan | None:
        """The shape as it stands in a form of boards; None where boards cannot make it."""

    def board_name(self, role: str, side: str, number: int, *, raised: bool) -> Message:
        """Shop name of an edge board, an inside board or a cover of its form.

        raised  the board stands above the base board
        """
        if role == "cover":
            return message("board-cover")
        if role == "inside":
            return message("board-core-side")
        return message("board-edge-upper" if raised else "board-edge", number=str(number))

    @abstractmethod
    def manifold(self) -> Any:
        """The shape as a closed mesh of the mesh kernel, in its own axes."""


class SlicedShape(Shape):
    """A plate, or a shell of one, measured by level slices from a flat face on."""

    __slots__ = ()

    @abstractmethod
    def slices(self) -> Slices:
        """Its level slices from a flat face on."""

    def slices_in_view(self) -> Slices:
        """The same slices, where only drawings ask for them."""
        return self.slices()

    @abstractmethod
    def faces(self, which: FacesOf) -> Faces:
        """The faces from which layers are measured."""

    def moments(self) -> Moments:
        return self.slices().moments()

    def deeper_than(self, reach_m: float, faces: FacesOf) -> Moments:
        return self.slices().deeper_than(self.faces(faces), reach_m)

    @property
    @abstractmethod
    def cuts(self) -> tuple[Cutout, ...]:
        """Its cut-outs."""

    def opening_outlines(self) -> tuple[Region, ...]:
        return self.openings_in(self.slices()) if self.cuts else ()

    def openings_in(self, slices: Slices) -> tuple[Region, ...]:
        """Its openings, of which its slices have the cut-outs."""
        return slices.openings

    def opening_bounds(self) -> tuple[Bounds, ...]:
        return tuple(cutout.bounds for cutout in self.cuts)

    def view(self) -> PlanView:
        slices = self.slices_in_view()
        return view_of_slices(slices, self.openings_in(slices))

    def cross_section(self, at_m: float, axis: Axis = "x") -> CrossSection | None:
        return section_of_slices(self.slices_in_view(), at_m, axis)

    def _area_of_plate(self, plate: Region) -> PlanArea:
        """The plan area of a plate with this shape's own cut-outs."""
        gross_m2 = abs(plate.outer.signed_area_m2)
        if not self.cuts:
            return PlanArea(gross_m2, plate.area_m2)
        return PlanArea(gross_m2, Plan.of(plate).less_all(self.slices().openings).area_m2)


def side_names(sides: Sequence[str]) -> tuple[Message, ...]:
    """Sides of a piece as a reader names them."""
    return tuple(message(f"side-{side}") for side in sides)


def strips_by_side(
    strips: Sequence[tuple[Sequence[str], float, float]], sides: Sequence[str]
) -> tuple[tuple[float, float], ...]:
    """Thickness and depth of what stands behind a plate along each of its sides, zeros for none.

    strips  sides, thickness and depth of each; sides  at low y, high y, low x and high x
    """
    if not strips:
        return NO_STRIPS
    by_side = {side: (thickness_m, depth_m) for own, thickness_m, depth_m in strips for side in own}
    return tuple(by_side.get(side, (0.0, 0.0)) for side in sides)


def rims_of(cutouts: Sequence[Cutout]) -> tuple[Wall, ...]:
    """The thickened rims of cut-outs."""
    return tuple(
        Wall("rim", f"cutouts[{i}].rim_thickness", cutout.rim_thickness_m, nominal=False)
        for i, cutout in enumerate(cutouts)
        if cutout.rim_thickness_m is not None
    )


# What is asked of any shape; the drawings are kept, since several papers show the same piece


def measure(shape: Shape) -> Solid:
    """The measure of `shape`. Raises FaultError, with the key at fault, for one that cannot be built."""
    return shape.solid()


def layer_parts(shape: Shape, thicknesses_m: Sequence[float | None], faces: FacesOf = "form") -> tuple[LayerPart, ...]:
    """The layers of `shape` from the form inward.

    A layer holds the points of the piece whose distance from the faces lies between the sum of the thicknesses
    before it and that sum with its own; the last takes whatever lies deeper. One thickness may be None: it is
    what the others leave of the shape's own thickness (slab and outline thickness, skin, wall); a shape that has
    none takes None in last place only. The volumes sum to the solid's.

    faces   "form": the faces cast against the form; "all": every face of the piece
    Raises FaultError for a shape that cannot be built or thicknesses that are not positive.
    """
    return shape.layers(thicknesses_m, faces)


@lru_cache(maxsize=1024)
def plan_area(shape: Shape) -> PlanArea:
    """Plan or elevation area of any shape, m². Raises FaultError for one that cannot be built.

    Slab and outline: the outer ring; panel: length × height; box: length × width; revolution: the circle of its
    largest radius; extrusion: length × the width of its profile; mesh and compound: the shadow on z = 0, holes filled.
    """
    return shape.plan_area()


@lru_cache(maxsize=1024)
def plan_view(shape: Shape) -> PlanView:
    """The view of any shape. Raises FaultError for one that cannot be built."""
    return shape.view()


@lru_cache(maxsize=1024)
def telling_section(shape: Shape) -> CrossSection | None:
    """The section through the middle that shows most: square to x, or to y for a flat piece that shows more that way.

    None for a shape that cannot be cut. Raises FaultError for one that cannot be built.
    """
    x0, y0, x1, y1 = plan_view(shape).bounds_m
    found = shape.cross_section((x0 + x1) / 2)
    if not isinstance(shape, SlicedShape):
        return found
    cuts = [cut for cut in (found, shape.cross_section((y0 + y1) / 2, "y")) if cut is not None]
    return max(
        cuts, key=lambda cut: sum(len(ring.points) for part in cut.material for ring in part.rings), default=None
    )
