"""Solids of a STEP file: exact volume, area, centroid and inertia, and facets for pictures and sections.

Runs in a child process: the kernel crashes on bad files, which no `try` catches.
Source: ISO 10303-21 (file format). The extra `step` installs the kernel.
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
"""The kernel returns millimeters, whatever the unit of the file."""

CHORD_MM = 0.1
"""Chord tolerance of facets on curved faces."""

CHORD_SHARE = 1e-3
"""Chord tolerance as a fraction of the diagonal, for small solids."""

TURN_RAD = pi / 12
"""Largest angle between adjacent facets of a curved face."""

_SHARED = 1e-6
"""Common volume, as a fraction of the smaller solid's, above which solids overlap."""

_DRAWN = 0.01
"""Largest relative difference between the volume of the facets and the exact volume."""

UNITS_M = {
    "metre": 1.0, "meter": 1.0, "millimetre": 1e-3, "millimeter": 1e-3, "centimetre": 1e-2, "centimeter": 1e-2,
    "inch": 0.0254, "foot": 0.3048, "micrometre": 1e-6, "micrometer": 1e-6,
}  # fmt: skip

Body = dict[str, Any]
"""A solid's volume, area, center, inertia (3, 3), low, high, vertices (v, 3) and faces (n, 3), all in mm."""


def step_solids(file: InputFile) -> tuple[str, list[Body], int]:
    """Name of the file's unit, its valid closed solids, and the number of others left out.

    Runs in a child process. Raises FaultError for a file that is damaged, has no solid, or whose solids overlap.
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
    """Valid closed solids, and the number of other solids, shells and faces."""
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
    """Yield the parts of a kind, optionally only those outside parts of another kind."""
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
    """Corners (v, 3) and facets (n, 3), counterclockwise from outside; corners are not shared between faces."""
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
    """Raise FaultError if two solids overlap, since the common volume would count twice."""
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Common
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps

    for first in range(len(bodies)):
        for second in range(first + 1, len(bodies)):
            a, b = bodies[first], bodies[second]
            if (np.minimum(a["high"], b["high"]) - np.maximum(a["low"], b["low"]) <= 1e-6).any():
                continue
            shared = GProp_GProps()
            BRepGProp.VolumeProperties_s(BRepAlgoAPI_Common(solids[first], solids[second]).Shape(), shared)
            if abs(shared.Mass()) > _SHARED * min(a["volume"], b["volume"]):
                raise FaultError("", message("step-overlap", first=first + 1, second=second + 1))
