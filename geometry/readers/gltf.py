"""Meshes of glTF and GLB files: the default scene's triangles, in meters.

Read without trimesh, which reads sparse accessors as zeros, drops nodes below a camera, and allocates as many corners
as the file claims. Here each of these is read or refused.
Source: glTF 2.0 specification (ISO/IEC 12113:2022): units 3.4, nodes 3.5, buffers 3.6, meshes 3.7, GLB 4.
"""

from __future__ import annotations

import struct
from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any
from urllib.parse import unquote

import numpy as np

from geometry.arrays import Floats, Ints
from geometry.errors import FaultError
from geometry.files import InputFile, limits, named_file, parsed_json, parsing
from geometry.frozen import frozen
from geometry.message import Message, message

HARMLESS = (
    "KHR_materials_", "KHR_texture_", "KHR_lights_", "KHR_xmp", "KHR_mesh_quantization", "KHR_node_visibility",
    "EXT_texture_", "MSFT_texture_", "KHR_animation_",
)  # fmt: skip
"""Name prefixes of extensions that do not change shapes, or that are supported here."""

COMPONENTS = {5120: "<i1", 5121: "<u1", 5122: "<i2", 5123: "<u2", 5125: "<u4", 5126: "<f4"}
TRIANGLES, STRIP, FAN = 4, 5, 6
_GLB, _JSON, _BIN = 0x46546C67, 0x4E4F534A, 0x004E4942


@frozen(eq=False)
class _Model:
    """A glTF file: its JSON and the contents of each buffer."""

    parts: dict[str, Any]
    buffers: Sequence[bytes]

    def part(self, kind: str, number: Any) -> dict[str, Any]:
        """A node, mesh, accessor or the like, by index. Raises LookupError for an invalid index."""
        if isinstance(number, bool) or not isinstance(number, int) or number < 0:
            raise LookupError(f"invalid index in {kind}: {number!r}"[:80])
        part = self.parts.get(kind, [])[number]
        if not isinstance(part, dict):
            raise TypeError(f"{kind} {number} is not an object")
        return part


def read_gltf(file: InputFile) -> tuple[Floats, tuple[Message, ...]]:
    """Facets (n, 3, 3) of the default scene, m, and notes on what was left out.

    Axes are those of the file, where y is up. Raises FaultError for a file that is damaged, has no facets, requires an
    unsupported extension, or expands beyond the limits.
    """
    with parsing("glTF"), np.errstate(all="ignore"):
        model = _opened(file)
        _refuse_unread(model.parts)
        left_out: Counter[str] = Counter()
        placed = list(_placed(model, left_out))
        _refuse_unfolded(model, [mesh for mesh, _ in placed])
        corners = {mesh: _corners(model, mesh) for mesh in dict.fromkeys(mesh for mesh, _ in placed)}
    solids = []
    for mesh, way in placed:
        moved = corners[mesh] @ way[:3, :3].T + way[:3, 3]
        solids.append(moved[:, ::-1] if np.linalg.det(way[:3, :3]) < 0 else moved)
    notes = _notes(model, {mesh for mesh, _ in placed}, left_out)
    if not sum(map(len, solids)):
        raise FaultError("", message("mesh-no-facets", kind="glTF"))
    return np.concatenate(solids), notes


def buffer_files(file: InputFile) -> tuple[str, ...]:
    """Names of the buffer files of a glTF file; none if it is damaged."""
    if file.suffix != ".gltf":
        return ()
    try:
        with parsing("glTF"):
            buffers = parsed_json(file.text()).get("buffers", [])
            return tuple(unquote(part["uri"]) for part in buffers if not part.get("uri", "data:").startswith("data:"))
    except FaultError:
        return ()


def _opened(file: InputFile) -> _Model:
    content = file.read()
    packed: bytes | None = None
    if content[:4] == b"glTF":
        version, length = struct.unpack_from("<II", content, 4)
        if version != 2:
            raise FaultError("", message("gltf-version", version=str(version)))
        if length > len(content):
            raise FaultError("", message("gltf-short", announced=f"{length:,}", there=f"{len(content):,}"))
        chunks = dict(reversed(list(_chunks(content[:length]))))  # the first of each kind counts
        described, packed = chunks[_JSON], chunks.get(_BIN)
    else:
        described = content
    parts = parsed_json(described.decode("utf-8-sig"))
    if not isinstance(parts, dict) or not isinstance(parts.get("asset"), dict):
        raise FaultError("", message("gltf-not"))
    version = str(parts["asset"].get("version"))
    if not version.startswith("2."):
        raise FaultError("", message("gltf-version", version=version[:20]))
    return _Model(
        parts, [_buffer(file, part, packed if n == 0 else None) for n, part in enumerate(parts.get("buffers", []))]
    )


def _chunks(content: bytes) -> Iterator[tuple[int, bytes]]:
    at = 12
    while at + 8 <= len(content):
        length, kind = struct.unpack_from("<II", content, at)
        at += 8
        if at + length > len(content):
            raise FaultError("", message("gltf-short", announced=f"{at + length:,}", there=f"{len(content):,}"))
        yield kind, content[at : at + length]
        at += length


def _buffer(file: InputFile, part: dict[str, Any], packed: bytes | None) -> bytes:
    """Contents of a buffer: binary chunk of the file, data URI, or separate file."""
    uri = part.get("uri")
    if uri is None:
        content = packed or b""
    elif uri.startswith("data:"):
        from base64 import b64decode

        content = b64decode(uri.partition("base64,")[2], validate=True)
    else:
        name = unquote(uri)
        if isinstance(file.source, bytes) or ":" in name or name.startswith(("/", "\\")) or ".." in Path(name).parts:
            raise FaultError("", message("gltf-elsewhere", name=name[:80]))
        content = InputFile(name, named_file(file.source.parent, name), file.limits).read()
    if len(content) < _whole(part["byteLength"]):
        raise FaultError("", message("gltf-short", announced=f"{part['byteLength']:,}", there=f"{len(content):,}"))
    return content


def _refuse_unread(parts: dict[str, Any]) -> None:
    for name in parts.get("extensionsRequired", []):
        if not str(name).startswith(HARMLESS):
            raise FaultError("", message("gltf-extension", name=str(name)[:60]))


def _placed(model: _Model, left_out: Counter[str]) -> Iterator[tuple[int, Floats]]:
    """Yield the meshes in the scene, each with its world matrix (4, 4). Raises FaultError, LookupError."""
    scenes = model.parts.get("scenes", [])
    if scenes:
        chosen = model.parts.get("scene", 0)
        roots = model.part("scenes", chosen).get("nodes", [])
        left_out["scene"] = len(scenes) - 1
    else:
        inside = {child for node in model.parts.get("nodes", []) for child in node.get("children", [])}
        roots = [number for number in range(len(model.parts.get("nodes", []))) if number not in inside]
    waiting = [(root, np.eye(4), 1) for root in roots]
    seen: set[int] = set()
    while waiting:
        number, above, depth = waiting.pop()
        if number in seen:  # the specification allows one parent per node; reuse could expand without end
            raise FaultError("", message("gltf-node-twice", number=str(number)))
        if len(seen) >= limits().parts:
            raise limits().over("file-unfolds", "parts", len(model.parts["nodes"]), kind="glTF")
        if depth > limits().levels:
            raise limits().over("file-nested", "levels", depth, kind="glTF")
        seen.add(number)
        node = model.part("nodes", number)
        extensions = node.get("extensions", {})
        if extensions.get("KHR_node_visibility", {}).get("visible", True) is False:
            left_out["hidden"] += 1
            continue
        if "EXT_mesh_gpu_instancing" in extensions:
            raise FaultError("", message("gltf-extension", name="EXT_mesh_gpu_instancing"))
        way = above @ _way(node)
        waiting += [(child, way, depth + 1) for child in node.get("children", [])]
        if "mesh" in node:
            _refuse_bent(model, node)
            yield node["mesh"], way


def _refuse_bent(model: _Model, node: dict[str, Any]) -> None:
    """Raise FaultError for a mesh with a skin or morph weights, whose shape is not fixed."""
    weights = node.get("weights", model.part("meshes", node["mesh"]).get("weights", []))
    if "skin" in node or any(weights):
        raise FaultError("", message("gltf-bent", name=str(node.get("name", ""))[:60]))


def _way(node: dict[str, Any]) -> Floats:
    """Local transform of a node: its matrix, or translation · rotation · scale."""
    if "matrix" in node:
        way: Floats = np.array(node["matrix"], dtype=np.float64).reshape(4, 4).T
    else:
        x, y, z, w = np.array(node.get("rotation", (0.0, 0.0, 0.0, 1.0)), dtype=np.float64)
        norm = x * x + y * y + z * z + w * w
        turn = np.eye(3) + 2 / norm * np.array(
            [
                [-y * y - z * z, x * y - z * w, x * z + y * w],
                [x * y + z * w, -x * x - z * z, y * z - x * w],
                [x * z - y * w, y * z + x * w, -x * x - y * y],
            ]
        )
        way = np.eye(4)
        way[:3, :3] = turn * np.array(node.get("scale", (1.0, 1.0, 1.0)), dtype=np.float64).reshape(3)
        way[:3, 3] = np.array(node.get("translation", (0.0, 0.0, 0.0)), dtype=np.float64).reshape(3)
    if not np.isfinite(way).all() or np.abs(way[3] - (0, 0, 0, 1)).max() > 1e-9:
        raise ValueError("a node's matrix is not an affine transform")
    return way


def _refuse_unfolded(model: _Model, placed: list[int]) -> None:
    """Raise FaultError where meshes unfold to too many parts or facets, as these announce; reading checks the rest."""
    sizes: dict[int, int] = {}
    sources: dict[int, int] = {}  # by accessor: facets that stand in the file
    parts = 0
    for mesh in dict.fromkeys(placed):
        primitives = model.part("meshes", mesh)["primitives"]
        parts += len(primitives)
        if parts > limits().parts:
            raise limits().over("file-unfolds", "parts", parts, kind="glTF")
        sizes[mesh] = 0
        for part in primitives:
            source = part.get("indices", part["attributes"]["POSITION"])
            corners = _whole(model.part("accessors", source)["count"])
            mode = part.get("mode", TRIANGLES)
            facets = corners // 3 if mode == TRIANGLES else max(0, corners - 2) if mode in (STRIP, FAN) else 0
            sizes[mesh] += facets
            sources[source] = facets
    refuse_copies(sum(sizes[mesh] for mesh in placed), sum(sources.values()))


def refuse_copies(facets: int, own: int) -> None:
    """Raise FaultError for a model with too many facets, or with too many of them copies of its own.

    own  facets that stand in the file
    """
    if facets > limits().facets:
        raise limits().over("mesh-too-many-facets", "facets", facets)
    if facets - own > limits().copies:
        raise limits().over("mesh-too-many-copies", "copies", facets - own)


def _corners(model: _Model, mesh: int) -> Floats:
    """Facets (n, 3, 3) of a mesh in its own coordinates."""
    facets: list[Floats] = [np.empty((0, 3, 3))]
    for part in model.part("meshes", mesh)["primitives"]:
        mode = part.get("mode", TRIANGLES)
        if mode not in (TRIANGLES, STRIP, FAN):
            continue
        points = _values(model, part["attributes"]["POSITION"], 3)
        order = (
            _values(model, part["indices"], 1)[:, 0].astype(np.int64) if "indices" in part else np.arange(len(points))
        )
        if len(order) and not 0 <= order.min() <= order.max() < len(points):
            raise FaultError("", message("mesh-corner-missing"))
        facets.append(points[_triangles(order, mode)])
    return np.concatenate(facets)


def _triangles(order: Ints, mode: int) -> Ints:
    """Corner indices (n, 3) of the triangles in a list, strip or fan."""
    if mode == TRIANGLES:
        if len(order) % 3:
            raise ValueError("the number of corners is not a multiple of 3")
        return order.reshape(-1, 3)
    number = np.arange(max(0, len(order) - 2))
    if mode == FAN:
        return np.stack([order[np.zeros_like(number)], order[number + 1], order[number + 2]], axis=1)
    odd = number % 2
    return np.stack([order[number], order[number + 1 + odd], order[number + 2 - odd]], axis=1)


def _values(model: _Model, accessor: Any, width: int) -> Floats:
    """Rows (n, width) of an accessor, as floats."""
    part = model.part("accessors", accessor)
    if "sparse" in part or "bufferView" not in part:
        raise FaultError("", message("gltf-sparse"))
    kind = np.dtype(COMPONENTS[part["componentType"]])
    if part["type"] != {1: "SCALAR", 3: "VEC3"}[width]:
        raise ValueError(f"type {part['type']!r}"[:60])
    view = model.part("bufferViews", part["bufferView"])
    if "EXT_meshopt_compression" in view.get("extensions", {}) or "KHR_meshopt_compression" in view.get(
        "extensions", {}
    ):
        raise FaultError("", message("gltf-extension", name="EXT_meshopt_compression"))
    start, length = _whole(view.get("byteOffset", 0)), _whole(view["byteLength"])
    buffer = memoryview(model.buffers[view["buffer"]])
    if start < 0 or length < 0 or start + length > len(buffer):
        raise ValueError("a view extends beyond its buffer")
    step = _whole(view.get("byteStride", width * kind.itemsize))
    if step < width * kind.itemsize:
        raise ValueError("a stride shorter than its rows")
    rows = np.ndarray(  # raises ValueError if the rows extend beyond the view
        (_whole(part["count"]), width),
        kind,
        buffer[start : start + length],
        _whole(part.get("byteOffset", 0)),
        (step, kind.itemsize),
    )
    values = rows.astype(np.float64)
    if part.get("normalized") and kind.kind in "iu":
        values = np.maximum(values / np.iinfo(kind).max, -1.0)
    return values


def _whole(value: Any) -> int:
    """A count or an offset. Raises ValueError for anything but a whole number."""
    if isinstance(value, bool) or not isinstance(value, int | float) or value != int(value):
        raise ValueError(f"{value!r} is not a whole number"[:60])
    return int(value)


def _notes(model: _Model, placed: set[int], left_out: Counter[str]) -> tuple[Message, ...]:
    meshes = model.parts.get("meshes", [])
    lines = sum(part.get("mode", TRIANGLES) < TRIANGLES for number in placed for part in meshes[number]["primitives"])
    unplaced = len(meshes) - len(placed)
    notes = []
    if lines:
        notes.append(message("note-lines-in-mesh", count=lines))
    if left_out["hidden"]:
        notes.append(message("note-nodes-hidden", count=left_out["hidden"]))
    if left_out["scene"]:
        notes.append(message("note-scenes", count=left_out["scene"]))
    if unplaced:
        notes.append(message("note-objects-unplaced", count=unplaced))
    return tuple(notes)
