"""Base class of all kinds of shape: the interface that each implements, and methods derived from it."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Sequence
from functools import lru_cache
from typing import Any, Literal, NamedTuple, Self, TypeAlias

from geometry.arrays import Vector
from geometry.cuboids import Block, Thicknesses
from geometry.cutouts import Cutout
from geometry.frozen import KEPT_HASH, frozen
from geometry.inscribed import Inscribed
from geometry.message import Message, message
from geometry.plan import Plan
from geometry.plan_edges import PlanEdge, is_askew
from geometry.plane import Region
from geometry.slices import Faces, Level, Slices, Stack
from geometry.solid import LayerPart, Moments, Solid, joint_depths, parts_of
from geometry.views import Axis, CrossSection, PlanArea, PlanView, section_of_slices, view_of_slices

Bounds: TypeAlias = tuple[float, float, float, float]
FacesOf: TypeAlias = Literal["form", "all"]
"""Faces from which layers are measured: those cast against the form, or all."""


@frozen
class Wall:
    """One plate or wall of a shape: its name, its key, and its thickness.

    nominal  whether its thickness counts as a thickness of the piece; that of a rib or a rim does not
    """

    name: str
    key: str
    thickness_m: float
    nominal: bool = True


@frozen
class Strip:
    """A drop edge or a return along one side of a plate. Its depth counts from the face."""

    side: str
    thickness_m: float
    depth_m: float


@frozen(eq=False)
class Plate:
    """A shape as a flat piece: a plate with openings through it and strips along its sides.

    outline      its outline without cut-outs, in its own x and y; (length, width) of a rectangle at the origin
    cutouts      openings through it; `cutouts_key` is the key of one, with braces for its number
    thickness_m  smallest thickness; `thickness_key` is its key
    strips       along its sides
    sides        names of the sides at low y, high y, low x and high x
    face_up      whether its finished face is its top; otherwise it is at z = 0
    left_out     messages about features that the plate does not include
    even         whether plate, openings and strips are everything: no taper, rim, rib or worked edge
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

    @property
    def is_askew(self) -> bool:
        """Whether it is drawn at an angle to its own x and y."""
        return isinstance(self.outline, Region) and is_askew(self.outline.outer)


NO_STRIPS = ((0.0, 0.0),) * 4


class PlainForm(NamedTuple):
    """A plain rectangular shape as it is oriented in a form of boards.

    thickness_m   of the plate; the height of a box
    strips        (thickness, depth) of the strip behind the plate along the sides at low y, high y, low x and high x;
                  zeros for none
    openings      (center x, center y, half size along x, half size along y, corner radius) of each, in their own order
    marks_m       heights that divide the plate into prisms, from 0 to its thickness
    hollow_m      thickness of the walls and of the floor of an open box
    first_inside  side, counted clockwise from the front, of the first inside board if strips are on all sides
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
    """A shape as it is oriented in a form of boards.

    levels    its plans from the form bottom up; the profile of a molding over its length
    openings  through it, holes of a drawing first, then in their own order
    leans     growth of half the size along x and y per height, for leaning walls
    mitres    slopes of the left and right ends of a molding; None for any other shape
    edges     (numbered edge that boards are named after, width of its drop or profile in m); empty if sides have names
    """

    levels: tuple[Level, ...]
    openings: tuple[Region, ...] = ()
    leans: tuple[float, float] = (0.0, 0.0)
    mitres: tuple[float, float] | None = None
    edges: tuple[tuple[PlanEdge, float], ...] = ()


@frozen(eq=False)
class Beam:
    """A shape with one cross-section along an axis, as a beam.

    axis       0 along x, 1 along y
    stretches  (start, end, area of the section) along the axis
    rectangles (y0, y1, z0, z1) of the section
    moduli_m3  smallest section moduli as cast and turned on its side, if the section does not consist of rectangles
    on_edge    whether it can be carried on its side
    left_out   messages about features that are not counted
    """

    axis: int
    stretches: tuple[tuple[float, float, float], ...]
    rectangles: tuple[tuple[float, float, float, float], ...] = ()
    moduli_m3: tuple[float, float] | None = None
    on_edge: bool = True
    left_out: tuple[Message, ...] = ()


@frozen
class Trough:
    """An open box by its outer size, with walls assumed plumb."""

    length_m: float
    width_m: float
    height_m: float
    wall_m: float
    base_m: float


@frozen
class HangingEdge:
    """One entry of drop edges: its edges by number, the names of its sides, and its section area below the plate."""

    numbers: tuple[int, ...]
    sides: tuple[str, ...]
    length_m: float
    height_m: float
    thickness_m: float
    section_m2: float


@frozen
class WorkedEdge:
    """An edge that is not plain, or parts of an edge with the same work.

    number, side   of the edge; side is None if it does not face one
    height_m       of its drop from the top, `thickness_m` thick; 0 for none
    profile        kind of its profile, of size `size_m`; None if it is square
    raw            whether it is left unfinished
    face_m         height of its outer face below the plate; `section_m2` is the section area below the plate
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
        """Number of boards and strips of a form along it, in addition to the plain edge board."""
        return (self.height_m > 0.0) + (self.profile is not None)


@frozen
class ArrisStrip:
    """Strip in a form that shapes the arris of one edge of a plate; `edge` is the shop name of the edge."""

    edge: Message
    kind: str
    run_m: float
    size_m: float


@frozen
class Part:
    """A shape within another one: what it is called, and its bounding box in the coordinates of the whole."""

    name: Message
    lowest_m: tuple[float, float, float]
    size_m: tuple[float, float, float]


class Shape(ABC):
    """A kind of shape: a frozen dataclass of plain dimensions in SI with methods that measure it.

    Field names are the keys of a job file with the unit added. Nothing is validated when a shape is created. Methods
    that measure it raise FaultError, with the key at fault, for dimensions that cannot be built.

    Axes: x along the length from the left, y along the width from the front, z up. Sides: front (y = 0), back, left
    (x = 0), right. The origin is the corner x = y = 0 of the bounding box, with the lowest point at z = 0. A `Region`
    and a mesh keep their own coordinates.
    """

    __slots__ = (KEPT_HASH,)

    # Volume and layers

    @abstractmethod
    def solid(self) -> Solid:
        """Measure the shape."""

    @property
    @abstractmethod
    def cast_thickness_m(self) -> float | None:
        """Thickness of plate, skin or wall that its layers fill; None for a solid without a single thickness."""

    @abstractmethod
    def moments(self) -> Moments:
        """Volume integrals in its own axes."""

    @abstractmethod
    def deeper_than(self, reach_m: float, faces: FacesOf) -> Moments:
        """Volume integrals of the points farther than a distance from the faces."""

    def layers(self, thicknesses_m: Sequence[float | None], faces: FacesOf = "form") -> tuple[LayerPart, ...]:
        """Layers from the form inward. See `layer_parts`."""
        given = tuple(thicknesses_m)
        if faces == "form" and self.is_plain(len(given)):
            block = self.block([self], [given])
            if block.sound[0] and given:
                return block.layers()[0]
        return self.layers_by_distance(given, faces)

    def layers_by_distance(
        self, thicknesses_m: Sequence[float | None], faces: FacesOf, solid: Solid | None = None
    ) -> tuple[LayerPart, ...]:
        """Layers from the volume deeper than each joint, a method that works for every shape.

        solid   its measure, if already known
        """
        measure = solid or self.solid()
        joints = joint_depths(thicknesses_m, self.cast_thickness_m)
        return parts_of(self.moments(), lambda joint: self.deeper_than(joint, faces), joints, measure, faces)

    def is_plain(self, layers: int) -> bool:
        """Whether it is a sum of cuboids that `block` can measure, with this number of layers."""
        return False

    @classmethod
    def block(cls, shapes: Sequence[Any], layers: Sequence[Thicknesses]) -> Block:
        """Measures and layers of many plain shapes of this kind, vectorized."""
        raise NotImplementedError(f"{cls.__name__} has no plain form")

    def plain_solid(self) -> Solid | None:
        """Its measure as a sum of cuboids; None if it is not one, or if a dimension is invalid."""
        if not self.is_plain(0):
            return None
        block = self.block([self], [()])
        return block.solids()[0] if block.sound[0] else None

    # Areas and sizes

    @abstractmethod
    def plan_area(self) -> PlanArea:
        """Area of the top, or of the elevation of a panel, that a client pays for, gross and net of openings."""

    def face_area_m2(self, solid: Solid) -> float:
        """Area for comparing weights, m²: the net plan of an even plate, otherwise all finished faces."""
        return solid.finished_area_m2

    @abstractmethod
    def extents(self) -> tuple[tuple[str, float], ...]:
        """Outer sizes as given, the longest and the narrowest where they are not, with their keys."""

    @abstractmethod
    def walls(self) -> tuple[Wall, ...]:
        """All plates and walls of the shape."""

    @property
    def is_walled(self) -> bool:
        """Whether it consists of plates and walls only."""
        return bool(self.walls())

    @property
    def nominal_thickness_m(self) -> float | None:
        """Smallest nominal thickness, m; None for a solid without one."""
        return min((wall.thickness_m for wall in self.walls() if wall.nominal), default=None)

    @abstractmethod
    def thicker(self, by_m: float) -> Self | None:
        """The shape with its thickness increased by `by_m`; None for a solid without a thickness."""

    @abstractmethod
    def largest_sphere(self) -> Inscribed:
        """Largest inscribed sphere, whose radius is the distance of the hottest point from the surface."""

    # Parts

    @abstractmethod
    def opening_outlines(self) -> tuple[Region, ...]:
        """Plan outlines of its openings: holes of a drawing first, then its cut-outs in their order."""

    def opening_bounds(self) -> tuple[Bounds, ...]:
        """Bounding box (x0, y0, x1, y1) of each opening, m."""
        return tuple(outline.bounds for outline in self.opening_outlines())

    @property
    def rectangle_m(self) -> tuple[float, float] | None:
        """Size along x and y of a rectangular plate at the origin; None for any other shape."""
        return None

    @abstractmethod
    def plate(self) -> Plate | None:
        """The shape as a flat piece; None for a box, a molding, a bowl, a mesh or a shell."""

    def slices(self) -> Slices | None:
        """Level slices, starting at a flat face; None unless it is a plate or a shell of a plan."""
        return None

    def footing_bounds(self) -> Bounds | None:
        """Bounding box of the underside of a plate with undercut edges; None for any other shape."""
        return None

    def stack(self) -> Stack | None:
        """The shape as upright prisms; None if it leans, tapers or curves over its height."""
        return None

    def hanging_edges(self) -> tuple[HangingEdge, ...]:
        """Drop edges of the shape."""
        return ()

    def worked_edges(self) -> tuple[WorkedEdge, ...]:
        """Edges that are dropped, profiled, mitered or left raw, by number."""
        return ()

    def arris_strips(self) -> tuple[ArrisStrip, ...]:
        """Strips that shape the arrises of its edges."""
        return ()

    def trough(self) -> Trough | None:
        """The shape as an open trough that holds soil and takes inserts in its rim; None for any other."""
        return None

    def beam(self) -> Beam | None:
        """The shape as a beam along its length; None for plates and for shapes without a single cross-section."""
        return None

    @property
    def is_hollow(self) -> bool:
        """Whether inside boards of its form are in a hollow rather than above concrete."""
        return False

    @property
    def edge_numbers(self) -> Literal["plan", "section"] | None:
        """The drawing that numbers the edges that form boards are named after; None if sides have names."""
        return None

    @property
    def is_keyed(self) -> bool:
        """Whether reveals, knock-outs or drop edges lock it into its form."""
        return False

    def soil_m3(self, solid: Solid) -> tuple[float, bool] | None:
        """Volume of soil that fills it to the rim, m³, and whether it is exact; None for a closed shape.

        The default uses the bounding box as outer volume, which errs on the large side.
        """
        length_m, width_m, height_m = solid.size_m
        return length_m * width_m * height_m - solid.volume_m3, False

    def foot_m(self, size_m: Vector) -> tuple[float, float]:
        """Size along x and y of the base that it tips over, m; `size_m` is its outer size."""
        return size_m[0], size_m[1]

    def outside_m(self, at_m: Vector, solid: Solid) -> Vector:
        """Distance of a point from the bounding box along each axis, m; zeros inside."""
        x, y, z = (
            max(low - at, at - low - size, 0.0)
            for at, low, size in zip(at_m, solid.lowest_m, solid.size_m, strict=True)
        )
        return x, y, z

    # Drawings and forms

    @abstractmethod
    def view(self) -> PlanView:
        """View of its face or of its top."""

    @abstractmethod
    def cross_section(self, at_m: float, axis: Axis = "x") -> CrossSection | None:
        """Section at a station along an axis; None if it cannot be cut.

        A piece of revolution is always cut through its axis.
        """

    @property
    def cut_along(self) -> tuple[Axis, ...]:
        """Axes that it can be cut perpendicular to."""
        return ("x",)

    @property
    def is_cast_face_down(self) -> bool:
        """Whether the finished face is on the form bottom, so that the form is the mirror image of the piece."""
        return False

    @property
    def face_is_lowest(self) -> bool:
        """Whether z runs from the face to the back, so that a section has to be turned over to be seen face up."""
        return False

    def build_notes(self) -> tuple[Message, ...]:
        """Notes for the form builder beyond a plan and one section, such as sides and hidden sizes."""
        return ()

    def parts(self) -> tuple[Part, ...]:
        """The shapes that it is made of, where it is made of several."""
        return ()

    def plain_form(self) -> PlainForm | None:
        """The shape as a plate or an open box whose form boards follow from its sizes; None for any other."""
        return None

    @abstractmethod
    def form(self) -> FormPlan | None:
        """The shape as oriented in a form of boards; None if boards cannot form it."""

    def board_name(self, role: str, side: str, number: int, *, raised: bool) -> Message:
        """Shop name of an edge board, an inside board or a cover of its form.

        raised  whether the board is above the form bottom
        """
        if role == "cover":
            return message("board-cover")
        if role == "inside":
            return message("board-core-side")
        return message("board-edge-upper" if raised else "board-edge", number=str(number))

    @abstractmethod
    def manifold(self) -> Any:
        """The shape as a Manifold of manifold3d, in its own axes."""


class SlicedShape(Shape):
    """A plate, or a shell of a plan, measured by level slices from a flat face."""

    __slots__ = ()

    @abstractmethod
    def slices(self) -> Slices:
        """Level slices, starting at a flat face."""

    @property
    def cut_along(self) -> tuple[Axis, ...]:
        return ("x", "y")

    def slices_in_view(self) -> Slices:
        """Slices for drawings, which may be cheaper to compute."""
        return self.slices()

    @abstractmethod
    def faces(self, which: FacesOf) -> Faces:
        """Faces from which layers are measured."""

    def moments(self) -> Moments:
        return self.slices().moments()

    def deeper_than(self, reach_m: float, faces: FacesOf) -> Moments:
        return self.slices().deeper_than(self.faces(faces), reach_m)

    @property
    @abstractmethod
    def cuts(self) -> tuple[Cutout, ...]:
        """Cut-outs of the shape."""

    def opening_outlines(self) -> tuple[Region, ...]:
        return self.openings_in(self.slices()) if self.cuts else ()

    def openings_in(self, slices: Slices) -> tuple[Region, ...]:
        """Its openings, given its slices, which have the outlines of the cut-outs."""
        return slices.openings

    def opening_bounds(self) -> tuple[Bounds, ...]:
        return tuple(cutout.bounds for cutout in self.cuts)

    def view(self) -> PlanView:
        slices = self.slices_in_view()
        return view_of_slices(slices, self.openings_in(slices))

    def cross_section(self, at_m: float, axis: Axis = "x") -> CrossSection | None:
        return section_of_slices(self.slices_in_view(), at_m, axis)

    def _area_of_plate(self, plate: Region) -> PlanArea:
        """Plan area of a plate, net of the cut-outs of this shape."""
        gross_m2 = abs(plate.outer.signed_area_m2)
        if not self.cuts:
            return PlanArea(gross_m2, plate.area_m2)
        return PlanArea(gross_m2, Plan.of(plate).less_all(self.slices().openings).area_m2)


def side_names(sides: Sequence[str]) -> tuple[Message, ...]:
    """Names of sides for people."""
    return tuple(message(f"side-{side}") for side in sides)


def strips_by_side(
    strips: Sequence[tuple[Sequence[str], float, float]], sides: Sequence[str]
) -> tuple[tuple[float, float], ...]:
    """(thickness, depth) of the strip behind a plate along each of its sides, zeros for none.

    strips  (sides, thickness, depth) of each
    sides   names of the sides at low y, high y, low x and high x
    """
    if not strips:
        return NO_STRIPS
    by_side = {side: (thickness_m, depth_m) for own, thickness_m, depth_m in strips for side in own}
    return tuple(by_side.get(side, (0.0, 0.0)) for side in sides)


def rims_of(cutouts: Sequence[Cutout]) -> tuple[Wall, ...]:
    """Walls of the thickened rims of cut-outs."""
    return tuple(
        Wall("rim", f"cutouts[{i}].rim_thickness", cutout.rim_thickness_m, nominal=False)
        for i, cutout in enumerate(cutouts)
        if cutout.rim_thickness_m is not None
    )


# Functions for any shape; drawings are cached, since several papers show the same piece


def measure(shape: Shape) -> Solid:
    """Measure a shape. Raises FaultError, with the key at fault, if it cannot be built."""
    return shape.solid()


def layer_parts(shape: Shape, thicknesses_m: Sequence[float | None], faces: FacesOf = "form") -> tuple[LayerPart, ...]:
    """Layers of a shape from the form inward.

    A layer consists of the points whose distance from the faces is between the sum of the thicknesses before it and
    that sum plus its own; the last takes everything deeper. One thickness may be None: it is the rest of the shape's
    thickness (of slab, outline, skin or wall). For a shape without a thickness, only the last may be None. The volumes
    add up to that of the solid.

    faces   "form": the faces cast against the form; "all": every face of the piece
    Raises FaultError for a shape that cannot be built or thicknesses that are not positive.
    """
    return shape.layers(thicknesses_m, faces)


@lru_cache(maxsize=1024)
def plan_area(shape: Shape) -> PlanArea:
    """Plan or elevation area of a shape, m². Raises FaultError if it cannot be built.

    Slab and outline: the outer ring; panel: length × height; box: length × width; revolution: the circle of its
    largest radius; extrusion: length × the width of its profile; mesh and compound: the shadow on z = 0, holes filled.
    """
    return shape.plan_area()


@lru_cache(maxsize=1024)
def plan_view(shape: Shape) -> PlanView:
    """View of a shape. Raises FaultError if it cannot be built."""
    return shape.view()


@lru_cache(maxsize=1024)
def telling_section(shape: Shape) -> CrossSection | None:
    """The section through the middle with the most detail, perpendicular to an axis that it can be cut along.

    It is seen face up, as the plan of the finished piece is: the returns of a panel hang from it. None for a shape that
    cannot be cut. Raises FaultError for one that cannot be built.
    """
    x0, y0, x1, y1 = plan_view(shape).bounds_m
    middles = {"x": (x0 + x1) / 2, "y": (y0 + y1) / 2}
    cuts = [cut for axis in shape.cut_along if (cut := shape.cross_section(middles[axis], axis)) is not None]
    section = max(cuts, key=lambda cut: cut.corners, default=None)
    return section.turned_over() if section is not None and shape.face_is_lowest else section
