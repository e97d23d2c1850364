"""Solids of a STEP file: exact volume, area, centroid and inertia, and facets for pictures and sections.

Reads in a process of its own: the kernel crashes on bad files, and no `try` catches that.
Source: ISO 10303-21 (the file); the extra `step` brings the kernel that reads it.
"""

from __future__ import annotations

from collections.abc import Iterator
from io import BytesIO
from math import pi
from typing import Any

import numpy as np

from geometry.arrays import Floats, Ints
from geometry.errors import FaultError
from geometry.files import InputFile, limits, parsing
from geometry.message import message

MM = 0.001
"""The kernel answers in millimeters, whatever the unit of the file."""

CHORD_MM = 0.1
"""How far facets may stray from a curved face."""

CHORD_SHARE = 1e-3
"""Of a small solid's diagonal, where that is less."""

TURN_RAD = pi / 12
"""How far neighboring facets of a curved face may turn."""

_SHARED = 1e-6
"""Of the smaller solid's volume: bodies that share more do not merely touch."""

_DRAWN = 0.01
"""Of the exact volume: facets that enclose another are not those of the solid."""

UNITS_M = {
    "metre": 1.0, "meter": 1.0, "millimetre": 1e-3, "millimeter": 1e-3, "centimetre": 1e-2, "centimeter": 1e-2,
    "inch": 0.0254, "foot": 0.3048, "micrometre": 1e-6, "micrometer": 1e-6,
}  # fmt: skip

Body = dict[str, Any]
"""Of one solid: volume, area, center, inertia (3, 3), low, high, vertices (v, 3), faces (n, 3); all in mm."""


def step_solids(file: InputFile) -> tuple[str, list[Body], int]:
    """Name of the file's unit, its sound closed solids, and how many others were left out.

    Raises FaultError for a file that is damaged, that holds no solid, or whose solids overlap. Runs in a child.
    """
    content = file.read()
    if not content.lstrip()[:13].upper() == b"ISO-10303-21;":
        raise FaultError("", message("step-not"))
    if b"END-ISO-10303-21;" not in content[-4096:]:
        raise FaultError("", message("step-cut"))
    with parsing("STEP"):
        shape, unit = _shape(content)
        solids, left_out = _sound_solids(shape)
        if not solids:
            raise FaultError("", message("step-no-solid", count=left_out))
        bodies = [_body(solid) for solid in solids]
        _refuse_overlap(solids, bodies)
    facets = sum(len(body["faces"]) for body in bodies)
    if facets > limits().facets:
        raise limits().over("mesh-too-many-facets", "facets", facets)
    return unit, bodies, left_out


def _shape(content: bytes) -> tuple[Any, str]:
    from OCP.collections import Sequence_TCollection_AsciiString
    from OCP.IFSelect import IFSelect_ReturnStatus
    from OCP.STEPControl import STEPControl_Reader

    reader = STEPControl_Reader()
    if reader.ReadStream("part.step", BytesIO(content)) != IFSelect_ReturnStatus.IFSelect_RetDone:
        raise FaultError("", message("step-not"))
    names = [Sequence_TCollection_AsciiString() for _ in range(3)]
    reader.FileUnits(*names)
    units = sorted({names[0].Value(at + 1).ToCString().lower() for at in range(names[0].Length())})
    if len(units) != 1 or units[0] not in UNITS_M:
        raise FaultError("", message("step-units", units=", ".join(units)[:60] or "-"))
    reader.TransferRoots()
    return reader.OneShape(), units[0]


def _sound_solids(shape: Any) -> tuple[list[Any], int]:
    """The closed solids without faults, and how many solids, shells and faces beside them there are."""
    from OCP.BRep import BRep_Tool
    from OCP.BRepCheck import BRepCheck_Analyzer
    from OCP.TopAbs import TopAbs_ShapeEnum as Kind

    sound, left_out = [], 0
    for solid in _parts(shape, Kind.TopAbs_SOLID):
        shells = list(_parts(solid, Kind.TopAbs_SHELL))
        if shells and all(map(BRep_Tool.IsClosed_s, shells)) and BRepCheck_Analyzer(solid).IsValid():
            sound.append(solid)
        else:
            left_out += 1
    left_out += sum(1 for _ in _parts(shape, Kind.TopAbs_SHELL, Kind.TopAbs_SOLID))
    left_out += sum(1 for _ in _parts(shape, Kind.TopAbs_FACE, Kind.TopAbs_SHELL))
    return sound, left_out


def _parts(shape: Any, kind: Any, outside: Any = None) -> Iterator[Any]:
    """The parts of a kind; those that are in none of another kind."""
    from OCP.TopExp import TopExp_Explorer

    explorer = TopExp_Explorer(shape, kind) if outside is None else TopExp_Explorer(shape, kind, outside)
    while explorer.More():
        yield explorer.Current()
        explorer.Next()


def _body(solid: Any) -> Body:
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps

    volume, area = GProp_GProps(), GProp_GProps()
    BRepGProp.VolumeProperties_s(solid, volume)
    BRepGProp.SurfaceProperties_s(solid, area)
    center, matrix = volume.CentreOfMass(), volume.MatrixOfInertia()
    low, high = _bounds(solid)
    vertices, faces = _facets(solid, float(np.linalg.norm(high - low)))
    a, b, c = (vertices[faces[:, corner]] for corner in range(3))
    drawn = float(np.einsum("ij,ij->", a, np.cross(b, c))) / 6
    if not abs(drawn - volume.Mass()) <= _DRAWN * abs(volume.Mass()):
        raise FaultError("", message("step-facets-differ"))
    return {
        "volume": float(volume.Mass()),
        "area": float(area.Mass()),
        "center": np.array([center.X(), center.Y(), center.Z()]),
        "inertia": np.array([[matrix.Value(row, column) for column in (1, 2, 3)] for row in (1, 2, 3)]),
        "low": low,
        "high": high,
        "vertices": vertices,
        "faces": faces,
    }


def _bounds(shape: Any) -> tuple[Floats, Floats]:
    from OCP.Bnd import Bnd_Box
    from OCP.BRepBndLib import BRepBndLib

    box = Bnd_Box()
    BRepBndLib.AddOptimal_s(shape, box, False, False)
    low, high = box.CornerMin(), box.CornerMax()
    return np.array([low.X(), low.Y(), low.Z()]), np.array([high.X(), high.Y(), high.Z()])


def _facets(solid: Any, across: float) -> tuple[Floats, Ints]:
    """Corners (v, 3) and facets (n, 3), anticlockwise from outside; faces share no corners yet."""
    from OCP.BRep import BRep_Tool
    from OCP.BRepMesh import BRepMesh_IncrementalMesh
    from OCP.TopAbs import TopAbs_Orientation, TopAbs_ShapeEnum
    from OCP.TopLoc import TopLoc_Location
    from OCP.TopoDS import TopoDS

    BRepMesh_IncrementalMesh(solid, min(CHORD_MM, CHORD_SHARE * across), False, TURN_RAD, False)
    vertices: list[Floats] = []
    faces: list[Ints] = []
    before = 0
    for part in _parts(solid, TopAbs_ShapeEnum.TopAbs_FACE):
        location = TopLoc_Location()
        mesh = BRep_Tool.Triangulation_s(TopoDS.Face(part), location)
        if mesh is None:
            continue
        way = location.Transformation()
        points = [mesh.Node(number).Transformed(way) for number in range(1, mesh.NbNodes() + 1)]
        corners = np.array([mesh.Triangle(number).Get() for number in range(1, mesh.NbTriangles() + 1)], dtype=np.int64)
        if part.Orientation() == TopAbs_Orientation.TopAbs_REVERSED:
            corners = corners[:, ::-1]
        vertices.append(np.array([(point.X(), point.Y(), point.Z()) for point in points]))
        faces.append(corners - 1 + before)
        before += len(points)
    return np.concatenate(vertices), np.concatenate(faces)


def _refuse_overlap(solids: list[Any], bodies: list[Body]) -> None:
    """Raise FaultError where two solids share room: it would count twice."""
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Common
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps

    for first in range(len(bodies)):
        for second in range(first + 1, len(bodies)):
            one, other = bodies[first], bodies[second]
            if (np.minimum(one["high"], other["high"]) - np.maximum(one["low"], other["low"]) <= 1e-6).any():
                continue
            shared = GProp_GProps()
            BRepGProp.VolumeProperties_s(BRepAlgoAPI_Common(solids[first], solids[second]).Shape(), shared)
            if abs(shared.Mass()) > _SHARED * min(one["volume"], other["volume"]):
                raise FaultError("", message("step-overlap", first=first + 1, second=second + 1))
