"""Facets of a 3DM model: meshes, extrusions, and solids by their render meshes.

Runs in a child process because the library is native. It can neither measure nor mesh a curved solid, so solids are
read only if they were saved with render meshes.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from struct import Struct
from typing import Any

import numpy as np

from geometry.arcs import curve_arcs, flatten
from geometry.arrays import Floats
from geometry.errors import FaultError
from geometry.files import InputFile, limits, parsing
from geometry.message import Message, message

UNITS_M = {
    "Microns": 1e-6, "Millimeters": 1e-3, "Centimeters": 1e-2, "Decimeters": 0.1, "Meters": 1.0, "Kilometers": 1e3,
    "Mils": 0.0254e-3, "Inches": 0.0254, "Feet": 0.3048, "Yards": 0.9144,
}  # fmt: skip
"""Meters per unit of a model; for any other name the user must state the unit."""

CHORD_SHARE = 1e-5
"""Chord tolerance of a curved profile, as a fraction of the extrusion's size; its area stays exact."""


def read_3dm(file: InputFile) -> tuple[Floats, float | None, tuple[Message, ...]]:
    """Facets (n, 3, 3) of the visible objects, meters per unit (None if unknown), and notes on what was left out.

    Runs in a child process. Raises FaultError for a file that is damaged, has no visible solid, or whose solids have no
    render mesh.
    """
    content = file.read()
    _check_chunks(content)
    with parsing("3DM"):
        import rhino3dm

        library: Any = rhino3dm  # untyped: its stubs wrongly require a list of bytes
        model = library.File3dm.FromByteArray(content)
        if model is None:
            raise FaultError("", message("threedm-not"))
        reader = _Reader(model)
        facets = [part for part in reader.shown() if len(part)]
        unit_m = UNITS_M.get(model.Settings.ModelUnitSystem.name)
    if not facets:
        raise FaultError("", message("threedm-empty", count=sum(reader.left_out.values())))
    notes = [
        message(f"note-threedm-{kind}", count=number) for kind, number in sorted(reader.left_out.items()) if number
    ]
    return np.concatenate(facets), unit_m, tuple(notes)


_MAGIC = b"3D Geometry File Format "
_HEAD = 32  # bytes: the above, and the version in 8
_WIDE_FROM = 50  # version from which the length of a chunk has 8 bytes instead of 4
_SHORT, _TABLE = 1 << 31, 1 << 28  # bits of a chunk's type: a value instead of length and content; a table of chunks
_END_OF_FILE, _END_OF_TABLE = 0x7FFF, 0xFFFFFFFF  # types
"""Layout of a 3DM file, as the public source of openNURBS has it: a head, then chunks of type, length and content."""


def _check_chunks(content: bytes) -> None:
    """Raise FaultError unless chunks follow one another to the end of the file, and of each of its tables.

    The library would look for what is missing: up to a minute in 10 kB, longer in more.
    """
    version = content[len(_MAGIC) : _HEAD].strip()
    if not content.startswith(_MAGIC) or not version.isdigit():
        raise FaultError("", message("threedm-not"))
    head = Struct("<Iq" if int(version) >= _WIDE_FROM else "<Ii")
    if int(version) > 1 and not _is_whole(content, _HEAD, len(content), head, _END_OF_FILE):  # version 1 has no tables
        raise FaultError("", message("threedm-damaged"))


def _is_whole(content: bytes, at: int, end: int, head: Struct, last: int) -> bool:
    """Whether chunks follow one another from `at` to one of the type `last` before `end`."""
    while at + head.size <= end:
        code, length = head.unpack_from(content, at)
        at += head.size
        if code == last:
            return True
        if code & _SHORT:
            continue
        if not 0 <= length <= end - at:
            return False
        if code & _TABLE and last == _END_OF_FILE and not _is_whole(content, at, at + length, head, _END_OF_TABLE):
            return False
        at += length
    return False


class _Reader:
    """Walks the objects of a model and expands block instances."""

    def __init__(self, model: Any) -> None:
        self.left_out: Counter[str] = Counter()
        self._objects = {str(item.Attributes.Id): item for item in model.Objects}
        self._blocks = {str(block.Id): block for block in model.InstanceDefinitions}
        layers = list(model.Layers)
        by_id = {str(layer.Id): layer for layer in layers}
        self._hidden = {layer.Index for layer in layers if not _is_shown(layer, by_id)}
        self._placed = self._facets = 0

    def shown(self) -> Iterator[Floats]:
        """Yield the facets of each visible object in world coordinates. Raises FaultError beyond the limits."""
        for item in self._objects.values():
            if not item.Attributes.IsInstanceDefinitionObject:
                yield from self._facets_of(item, np.eye(4), 1)

    def _facets_of(self, item: Any, way: Floats, depth: int) -> Iterator[Floats]:
        self._placed += 1
        if self._placed > limits().parts:
            raise limits().over("file-unfolds", "parts", self._placed, kind="3DM")
        if depth > limits().levels:
            raise limits().over("file-nested", "levels", depth, kind="3DM")
        attributes, shape = item.Attributes, item.Geometry
        if not attributes.Visible or attributes.Mode.name == "Hidden" or attributes.LayerIndex in self._hidden:
            self.left_out["hidden"] += 1
            return
        kind = type(shape).__name__
        if kind == "InstanceReference":
            block = self._blocks.get(str(shape.ParentIdefId))
            inside = [self._objects.get(str(part)) for part in block.GetObjectIds()] if block else [None]
            own = way @ np.array(shape.Xform.ToFloatArray(True), dtype=np.float64).reshape(4, 4)
            for part in inside:
                if part is None:
                    self.left_out["block"] += 1
                else:
                    yield from self._facets_of(part, own, depth + 1)
            return
        facets = self._own_facets(kind, shape)
        self._facets += len(facets)
        if self._facets > limits().facets:
            raise limits().over("mesh-too-many-facets", "facets", self._facets)
        moved: Floats = facets @ way[:3, :3].T + way[:3, 3]
        yield moved[:, ::-1] if np.linalg.det(way[:3, :3]) < 0 else moved

    def _own_facets(self, kind: str, shape: Any) -> Floats:
        """Facets (n, 3, 3) of a shape in its own coordinates; empty if it encloses no volume."""
        import rhino3dm

        none = np.empty((0, 3, 3))
        if kind == "Mesh":
            return _mesh_facets(shape)
        if kind == "Extrusion":
            if not shape.IsSolid:
                self.left_out["open"] += 1
                return none
            if shape.IsMiteredAtStart or shape.IsMiteredAtEnd:
                raise FaultError("", message("threedm-mitered"))
            return _extrusion_facets(shape)
        if kind == "Brep":
            if not shape.IsSolid:
                self.left_out["open"] += 1
                return none
            meshes = [shape.Faces[number].GetMesh(rhino3dm.MeshType.Any) for number in range(len(shape.Faces))]
            if any(mesh is None for mesh in meshes):
                raise FaultError("", message("threedm-no-render-mesh"))
            return np.concatenate([none, *map(_mesh_facets, meshes)])
        self.left_out["subd" if kind == "SubD" else "other"] += 1
        return none


def _is_shown(layer: Any, by_id: dict[str, Any]) -> bool:
    """Whether a layer and all its parent layers are on."""
    for _ in range(limits().levels):
        if layer is None:
            return True
        if not layer.Visible:
            return False
        layer = by_id.get(str(layer.ParentLayerId))
    return True


def _mesh_facets(mesh: Any) -> Floats:
    points = np.array(
        [(point.X, point.Y, point.Z) for point in (mesh.Vertices[number] for number in range(len(mesh.Vertices)))],
        dtype=np.float64,
    ).reshape(-1, 3)
    faces = np.array([mesh.Faces[number] for number in range(mesh.Faces.Count)], dtype=np.int64).reshape(-1, 4)
    if len(faces) and not 0 <= faces.min() <= faces.max() < len(points):
        raise FaultError("", message("mesh-corner-missing"))
    four = faces[:, 2] != faces[:, 3]
    facets: Floats = points[np.concatenate([faces[:, :3], faces[four][:, [0, 2, 3]]])]
    return facets


def _extrusion_facets(shape: Any) -> Floats:
    """Facets of a profile with holes extruded along a straight path, with the exact area of the profile."""
    from manifold3d import triangulate

    start = np.array([shape.PathStart.X, shape.PathStart.Y, shape.PathStart.Z])
    along = np.array([shape.PathEnd.X, shape.PathEnd.Y, shape.PathEnd.Z]) - start
    length = float(np.linalg.norm(along))
    along /= length
    across = np.cross(along, np.eye(3)[np.abs(along).argmin()])
    across /= np.linalg.norm(across)
    axes = np.array([across, np.cross(along, across)])
    rings = [_ring(shape.Profile3d(number, 0.0), axes, start) for number in range(shape.ProfileCount)]
    outer, *holes = rings
    turned = [outer if _area(outer) > 0 else outer[::-1], *(hole if _area(hole) < 0 else hole[::-1] for hole in holes)]
    caps = np.asarray(triangulate(turned), dtype=np.int64).reshape(-1, 3)
    flat = np.concatenate(turned)
    low: Floats = start + flat @ axes
    high: Floats = low + along * length
    sides = []
    before = 0
    for ring in turned:
        here = np.arange(len(ring)) + before
        there = np.roll(here, -1)
        sides += [
            np.stack([low[here], low[there], high[there]], axis=1),
            np.stack([low[here], high[there], high[here]], axis=1),
        ]
        before += len(ring)
    return np.concatenate([low[caps][:, ::-1], high[caps], *sides])


def _ring(curve: Any, axes: Floats, origin: Floats) -> Floats:
    """Corners (n, 2) of a closed profile in the plane of its extrusion."""
    if curve.IsPolyline():
        points = _flat([curve.TryGetPolyline()[number] for number in range(len(curve.TryGetPolyline()))], axes, origin)
        return points[:-1] if np.allclose(points[0], points[-1], atol=1e-9 * float(np.ptp(points))) else points
    spline = curve.ToNurbsCurve()

    def evaluate(parameters: Floats) -> tuple[Floats, Floats]:
        pairs = [spline.DerivativeAt(float(t), 1) for t in parameters]
        points = _flat([pair[0] for pair in pairs], axes, origin)
        return points, _flat([pair[1] for pair in pairs], axes, np.zeros(3))

    knots = np.unique([spline.Knots[number] for number in range(len(spline.Knots))])
    knots = knots[(knots >= spline.Domain.T0) & (knots <= spline.Domain.T1)]
    size = float(np.ptp(evaluate(knots)[0]))
    points, bulges = curve_arcs(evaluate, knots, CHORD_SHARE * size)
    corners, _ = flatten(points[:-1], points[1:], bulges, CHORD_SHARE * size)
    return corners


def _flat(points: Sequence[Any], axes: Floats, origin: Floats) -> Floats:
    flat: Floats = (np.array([(point.X, point.Y, point.Z) for point in points]) - origin) @ axes.T
    return flat


def _area(ring: Floats) -> float:
    after = np.roll(ring, -1, axis=0)
    return float(np.sum(ring[:, 0] * after[:, 1] - after[:, 0] * ring[:, 1])) / 2
