"""How much floor, cabinet or wall a piece covers: the area that a client pays for, and the same less its openings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import pi

import numpy as np
import shapely

from geometry.compound import faceted, stacked
from geometry.cutouts import outlines_of
from geometry.errors import GeometryError
from geometry.facets import Floats
from geometry.plan import united
from geometry.plan_view import PROJECTED_FACETS, area_of_section, manifold_from
from geometry.plane import Region
from geometry.revolution import revolution_body
from geometry.shapes import Box, Compound, Cutout, Extrusion, MeshBody, Outline, Panel, Revolution, Shape, Slab
from geometry.solid import measure
from geometry.topology import Ints

BOXED = "plan area: the mesh is too large to be projected, its outer box is taken."


@dataclass(frozen=True, slots=True)
class PlanArea:
    """Of the top of a piece, of a panel its elevation; what hangs below or stands behind is inside it.

    gross_m2  openings in
    net_m2    openings out
    note      what is not exact; "" where all is
    """

    gross_m2: float
    net_m2: float
    note: str = ""


@lru_cache(maxsize=1024)
def plan_area(shape: Shape) -> PlanArea:
    """Plan or elevation area of any shape, m². Raises GeometryError for one that cannot be built.

    Slab and outline: the outer ring; panel: length × height; box: length × width; revolution: the circle of its
    largest radius; extrusion: length × the width of its profile; mesh and compound: the shadow on z = 0, holes filled.
    """
    match shape:
        case Slab():
            return _with_cutouts(Region.rectangle(shape.length_m, shape.width_m), shape.cutouts)
        case Outline():
            return _with_cutouts(shape.region, shape.cutouts)
        case Panel():
            plate = Region.rectangle(shape.length_m, shape.height_m)
            return _with_cutouts(plate, [opening.cutout for opening in shape.openings])
        case Box():
            gross_m2 = shape.length_m * shape.width_m
            return PlanArea(gross_m2, gross_m2 - sum(pi / 4.0 * hole.diameter_m**2 for hole in shape.drain_holes))
        case Revolution():
            body = revolution_body(shape)
            gross_m2 = pi * body.radius_m**2
            return PlanArea(gross_m2, gross_m2 - pi * _bore_m(body.material, body.lowest_m, body.height_m) ** 2)
        case Extrusion():
            x0, _, x1, _ = shape.profile.bounds
            return PlanArea(shape.length_m * (x1 - x0), shape.length_m * (x1 - x0))
        case MeshBody():
            if shape.vertices_m is None or shape.facets is None:
                return _boxed(shape.measure.size_m)
            return _of_facets(shape.vertices_m, shape.facets)
        case Compound():
            return _of_compound(shape)


def _with_cutouts(plate: Region, cutouts: Sequence[Cutout]) -> PlanArea:
    gross_m2 = abs(plate.outer.signed_area_m2)
    if not cutouts:
        return PlanArea(gross_m2, plate.area_m2)
    whole = plate.polygon()
    openings = shapely.union_all([each.polygon() for each in outlines_of(cutouts, whole)])
    return PlanArea(gross_m2, plate.area_m2 - float(shapely.intersection(whole, openings).area))


def _bore_m(material: shapely.Geometry, lowest_m: float, height_m: float) -> float:
    """Radius of the hole along the axis; 0 where anything closes it."""
    axis = shapely.LineString([(0.0, lowest_m - 1.0), (0.0, lowest_m + height_m + 1.0)])
    return 0.0 if material.intersects(axis) else float(material.bounds[0])


def _of_compound(shape: Compound) -> PlanArea:
    body = stacked(shape)
    if body is not None:
        return _of_shadow(united([zone.at(zone.middle_m).polygon for zone in body.zones]))
    try:
        return _of_facets(*faceted(shape))
    except GeometryError:  # a part whose facets were not kept
        return _boxed(measure(shape).size_m)


def _of_facets(vertices: Floats, facets: Ints) -> PlanArea:
    made = manifold_from(vertices, facets)
    if made is not None:
        return _of_shadow(area_of_section(made.project()))
    if len(facets) > PROJECTED_FACETS:
        return _boxed(np.ptp(vertices, axis=0).tolist())
    triangles = shapely.polygons(vertices[facets][:, :, :2])
    return _of_shadow(united(triangles[shapely.area(triangles) > 0.0]))


def _of_shadow(area: shapely.Geometry) -> PlanArea:
    parts = shapely.get_parts(area)
    filled = shapely.union_all([shapely.Polygon(part.exterior) for part in parts if part.geom_type == "Polygon"])
    return PlanArea(float(filled.area), float(area.area))


def _boxed(size_m: Sequence[float]) -> PlanArea:
    return PlanArea(size_m[0] * size_m[1], size_m[0] * size_m[1], BOXED)
