"""The kinds of shape that a piece can have, as plain frozen dimensions in SI.

Field names are the keys of a job file with the unit added. Nothing is checked or computed here:
`geometry.solid.measure` refuses what cannot be built, naming the key.

Axes: x along the length from the left, y along the width from the front, z up. Sides: front (y = 0),
back, left (x = 0), right. The origin is the corner x = y = 0 of the outer size, lowest point at z = 0.
A `Region` and a mesh keep their own coordinates.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, TypeAlias

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from geometry.mesh import MeshMeasure
    from geometry.plane import Region

Side: TypeAlias = Literal["front", "back", "left", "right"]
PanelSide: TypeAlias = Literal["bottom", "top", "left", "right"]
Opening: TypeAlias = Literal["none", "top", "bottom", "front", "back", "left", "right"]


@dataclass(frozen=True, slots=True, kw_only=True)
class _CutoutEdge:
    """What the edge of a cut-out is like.

    edge             finished (seen, polished or coated) or raw (hidden under a sink's flange)
    depth_m          how far down from the top a finished edge is finished; the whole edge unless said
    rim_thickness_m  thickness of the piece round the cut-out, from its top, where the edge is thickened
    rim_width_m      how far the thickened rim reaches from the cut-out's edge
    """

    edge: Literal["finished", "raw"] = "finished"
    depth_m: float | None = None
    rim_thickness_m: float | None = None
    rim_width_m: float | None = None


@dataclass(frozen=True, slots=True)
class RectangleCutout(_CutoutEdge):
    """A rectangle with its lower left corner at (x, y); `radius_m` rounds the four corners."""

    length_m: float
    width_m: float
    x_m: float
    y_m: float
    radius_m: float = 0.0


@dataclass(frozen=True, slots=True)
class CircleCutout(_CutoutEdge):
    """A circle about (x, y): a basin, a tap hole, a drain."""

    diameter_m: float
    x_m: float
    y_m: float


@dataclass(frozen=True, slots=True)
class EllipseCutout(_CutoutEdge):
    """An ellipse about (x, y), `length_m` along x and `width_m` along y."""

    length_m: float
    width_m: float
    x_m: float
    y_m: float


@dataclass(frozen=True, slots=True)
class OutlineCutout(_CutoutEdge):
    """A drawn opening; its own origin is put at (x, y)."""

    region: Region
    x_m: float = 0.0
    y_m: float = 0.0


Cutout: TypeAlias = RectangleCutout | CircleCutout | EllipseCutout | OutlineCutout


@dataclass(frozen=True, slots=True)
class DropEdge:
    """A turned-down edge along `sides`, inside the slab's length × width, outer face flush.

    height_m is measured from the TOP of the slab, thickness_m horizontally.
    """

    sides: tuple[Side, ...]
    height_m: float
    thickness_m: float


@dataclass(frozen=True, slots=True)
class EdgeProfile:
    """What is taken off the top arris along `sides`.

    bevel       a flat at 45°, `size_m` on each face
    round-over  a convex quarter circle of radius `size_m`
    cove        a concave quarter circle of radius `size_m` about the arris
    """

    sides: tuple[Side, ...]
    kind: Literal["cove", "bevel", "round-over"]
    size_m: float


@dataclass(frozen=True, slots=True)
class Taper:
    """Thickness that runs evenly from the slab's own, at the opposite side, to `thickness_m` at side `to`.

    The top stays flat and level; the underside slopes.
    """

    to: Side
    thickness_m: float


@dataclass(frozen=True, slots=True)
class Slab:
    """A flat rectangular piece: a counter, a hearth, a shelf. Its top is at z = the lowest drop's height."""

    length_m: float
    width_m: float
    thickness_m: float
    cutouts: tuple[Cutout, ...] = ()
    drop_edges: tuple[DropEdge, ...] = ()
    edge_profiles: tuple[EdgeProfile, ...] = ()
    taper: Taper | None = None


@dataclass(frozen=True, slots=True)
class Outline:
    """A drawn plan of even thickness, in the drawing's own x and y, underside at z = 0.

    With `wall_m` the plan is the outer surface of a shell, left out at `open` (top, bottom, both ends or none).
    """

    region: Region
    thickness_m: float
    cutouts: tuple[Cutout, ...] = ()
    wall_m: float | None = None
    open: Literal["none", "top", "bottom", "both"] = "top"


@dataclass(frozen=True, slots=True)
class Return:
    """A panel's edge turned back along `sides`: `depth_m` from the face, `thickness_m` measured across."""

    sides: tuple[PanelSide, ...]
    depth_m: float
    thickness_m: float


@dataclass(frozen=True, slots=True)
class Ribs:
    """Stiffening ribs behind the skin, `depth_m` from the face, on a grid centred on the panel.

    spacing_m between centre lines; as many ribs as fit with no bay wider than the spacing.
    ways: the direction in which they run, `x` along the length, `y` up the height.
    """

    spacing_m: float
    width_m: float
    depth_m: float
    ways: Literal["x", "y", "both"] = "both"


@dataclass(frozen=True, slots=True)
class PanelOpening:
    """A window or hatch through the panel; with `depth_m` and `thickness_m` its edge is turned back too."""

    cutout: Cutout
    depth_m: float | None = None
    thickness_m: float | None = None


@dataclass(frozen=True, slots=True)
class Panel:
    """A thin skin with returns and ribs; x along the length, y up the height, z from the face to the back."""

    length_m: float
    height_m: float
    skin_m: float
    returns: tuple[Return, ...] = ()
    ribs: Ribs | None = None
    openings: tuple[PanelOpening, ...] = ()


@dataclass(frozen=True, slots=True)
class DrainHole:
    """A round hole through the base of a box, about (x, y)."""

    diameter_m: float
    x_m: float
    y_m: float


@dataclass(frozen=True, slots=True)
class Box:
    """A planter, trough or plinth by its OUTER size.

    wall_m                         measured square to the wall
    base_m                         thickness of the base, and of the lid where it is not open
    base_length_m, base_width_m    outer size at the bottom where the walls taper; else as at the top
    fillet_m                       radius of every inside edge and corner
    """

    length_m: float
    width_m: float
    height_m: float
    wall_m: float
    base_m: float
    open: bool = True
    base_length_m: float | None = None
    base_width_m: float | None = None
    fillet_m: float = 0.0
    drain_holes: tuple[DrainHole, ...] = ()


@dataclass(frozen=True, slots=True)
class Extrusion:
    """A moulding: a profile carried along x.

    The profile's own x and y become y and z. `length_m` is the overall length. A mitre turns an end's
    plane by that angle from square, about the vertical: positive shortens the back, negative the front.
    With `wall_m` the profile is the outer surface of a shell: a tube, its ends left out unless `open` says otherwise.
    """

    profile: Region
    length_m: float
    mitre_left_deg: float = 0.0
    mitre_right_deg: float = 0.0
    wall_m: float | None = None
    open: Literal["none", "left", "right", "both"] = "both"


@dataclass(frozen=True, slots=True)
class Revolution:
    """A bowl, column or sphere: a closed profile of (radius, height) turned once about the vertical.

    The axis stands at x = y = the largest radius. With `wall_m` the profile is the outer surface of a shell,
    whose level face at `open` is left out.
    """

    points_m: tuple[tuple[float, float], ...]
    wall_m: float | None = None
    open: Literal["none", "top", "bottom"] = "none"


@dataclass(frozen=True, slots=True, eq=False)
class MeshBody:
    """A closed mesh as it was measured while read; a shell or a part of a compound also keeps its facets.

    vertices_m  shape (n, 3), float64; facets shape (m, 3), int64, counter-clockwise from outside
    wall_m      the mesh is the outer surface of a shell of this thickness, its planar face at `open` left out
    """

    measure: MeshMeasure
    vertices_m: NDArray[np.float64] | None = None
    facets: NDArray[np.int64] | None = None
    wall_m: float | None = None
    open: Opening = "none"


@dataclass(frozen=True, slots=True)
class Placed:
    """A shape moved so that its own origin lies at `at_m`."""

    shape: Shape
    at_m: tuple[float, float, float] = (0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True)
class Compound:
    """Parts put together and taken away; what overlaps counts once."""

    add: tuple[Placed, ...]
    subtract: tuple[Placed, ...] = ()


Shape: TypeAlias = Slab | Outline | Panel | Box | Extrusion | Revolution | MeshBody | Compound
