"""Mesh files by extension, as blocks of facets: streamed STL, OBJ and PLY through trimesh, 3MF, glTF and 3DM.

Source: 3MF Core Specification 1.x (build items, components, object types, units) and its Production Extension (parts
in other model files).
"""

from __future__ import annotations

import os
import re
import warnings
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import partial
from io import BytesIO
from itertools import pairwise
from pathlib import Path, PurePosixPath
from typing import Any

import numpy as np
from numpy.typing import NDArray

from geometry.apart import apart
from geometry.arrays import Floats, Ints
from geometry.errors import FaultError
from geometry.files import Archive, InputFile, input_file, limits, parsing
from geometry.frozen import frozen
from geometry.message import Message, message, sentences
from geometry.numbers import decimal_number, whole_number
from geometry.readers.extras import require_extra
from geometry.readers.gltf import read_gltf, refuse_copies
from geometry.readers.stl import open_stl
from geometry.readers.threedm import read_3dm

UNIT_M = {"micron": 1e-6, "millimeter": 1e-3, "centimeter": 1e-2, "inch": 0.0254, "foot": 0.3048, "meter": 1.0}
"""Units of a model, which default to millimeters."""

LEFT_OUT = ("support", "solidsupport", "surface", "other")
"""Object types that are not part of the piece; the format has no others except `model`."""

HARMLESS = ("/material/", "/production/", "/trianglesets/", "/core/")
"""Parts of the names of extensions that change no shape, or that are read here."""

SHAPING = frozenset(["beamlattice", "booleanshape", "levelset", "displacementmesh"])
"""Elements of other extensions that make a shape, required or not."""

_RELATIONS = "_rels/.rels"
_MODEL_TYPE = "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"


@frozen(eq=False)
class _Object:
    """An object of a model: facets of its own, or components that refer to other objects."""

    kind: str
    vertices: Floats
    faces: Ints
    components: list[tuple[tuple[str, str], Floats]]  # (model file, id) and transform (4, 3)


@dataclass
class _Package:
    archive: Archive
    objects: dict[tuple[str, str], _Object] = field(default_factory=dict)
    units: dict[str, float] = field(default_factory=dict)
    unprinted: list[tuple[str, str]] = field(default_factory=list)  # build items marked as not printable


def read_threemf(file: InputFile) -> tuple[Floats, float, tuple[Message, ...]]:
    """Facets (n, 3, 3) of all build items of a 3MF package, length of its unit in m, and notes on what was left out.

    Raises FaultError for a package that is damaged, has no facets, or expands beyond the limits.
    """
    return _built(_Package(file.archive()))


def _built(package: _Package) -> tuple[Floats, float, tuple[Message, ...]]:
    root = _root(package)
    items = _load_model(package, root)
    left_out: Counter[str] = Counter()
    placed = _placements(package, items, left_out)
    facets = sum(len(package.objects[key].faces) * len(ways) for key, ways in placed.items())
    refuse_copies(facets, sum(len(package.objects[key].faces) for key in placed))
    parts = []
    for key, ways in placed.items():
        element = package.objects[key]
        scale = package.units[key[0]] / package.units[root]
        corners = element.vertices[element.faces]
        for way in ways:
            moved = corners @ way[:3] * scale + way[3]
            parts.append(moved[:, ::-1] if np.linalg.det(way[:3]) < 0 else moved)
    notes = [message("note-objects-of-type", count=n, type=kind) for kind, n in sorted(left_out.items())]
    if package.unprinted:
        notes.append(message("note-items-unprinted", count=len(package.unprinted)))
    unplaced = sum(
        len(element.faces) > 0 and element.kind not in LEFT_OUT and key not in placed and key not in package.unprinted
        for key, element in package.objects.items()
    )
    if unplaced:
        notes.append(message("note-objects-unplaced", count=unplaced))
    if not parts:
        raise FaultError("", message("mesh-3mf-no-facets", found=sentences(notes) if notes else "", count=len(notes)))
    return np.concatenate(parts), package.units[root], tuple(notes)


def _placements(
    package: _Package, items: list[tuple[tuple[str, str], Floats]], left_out: Counter[str]
) -> dict[tuple[str, str], list[Floats]]:
    """Transforms of each object that has facets of its own, one per copy."""
    sizes: dict[tuple[str, str], int] = {}
    number = sum(_parts_in(package, key, sizes) for key, _ in items)
    if number > limits().parts:
        raise limits().over("file-unfolds", "parts", number, kind="3MF")
    places: dict[tuple[str, str], list[Floats]] = {}
    waiting = list(items)
    while waiting:
        key, place = waiting.pop()
        element = package.objects[key]
        if element.kind in LEFT_OUT:
            left_out[element.kind] += 1
            continue
        if len(element.faces):
            places.setdefault(key, []).append(place)
        for part, own in element.components:
            waiting.append((part, np.vstack([own[:3] @ place[:3], own[3] @ place[:3] + place[3]])))
    return places


def _parts_in(
    package: _Package, key: tuple[str, str], sizes: dict[tuple[str, str], int], within: tuple[tuple[str, str], ...] = ()
) -> int:
    """Number of parts that an object expands to, including itself; `sizes` caches known objects."""
    if key not in sizes:
        if key in within:
            raise FaultError("", message("mesh-part-in-itself", number=str(key[1])[:20]))
        if len(within) > limits().levels:
            raise limits().over("file-nested", "levels", limits().levels + 1, kind="3MF")
        element = _object_of(package, key)
        inside = [] if element.kind in LEFT_OUT else element.components
        sizes[key] = 1 + sum(_parts_in(package, part, sizes, (*within, key)) for part, _ in inside)
    return sizes[key]


def _object_of(package: _Package, key: tuple[str, str]) -> _Object:
    element = package.objects.get(key)
    if element is None:
        _load_model(package, key[0])
        element = package.objects.get(key)
    if element is None:
        raise FaultError("", message("mesh-3mf-object", object=str(key[1])[:20]))
    if element.kind != "model" and element.kind not in LEFT_OUT:
        raise FaultError("", message("mesh-3mf-type", number=str(key[1])[:20], type=element.kind[:20]))
    return element


def _root(package: _Package) -> str:
    """Path of the root model of a package."""
    names = {name.lstrip("/").lower(): name for name in package.archive.names}
    if _RELATIONS in names:
        for relation in _parsed(package, names[_RELATIONS]):
            if relation.get("Type") == _MODEL_TYPE:
                return _named(package, relation.get("Target", ""))
    return _named(package, "3D/3dmodel.model")


def _named(package: _Package, path: str) -> str:
    wanted = str(PurePosixPath("/") / path).lstrip("/").lower()
    for name in package.archive.names:
        if name.lstrip("/").lower() == wanted:
            return name
    raise FaultError("", message("mesh-3mf-part-missing", path=path))


def _parsed(package: _Package, name: str) -> Any:
    from lxml import etree

    content = package.archive.read(name)
    if b"<!DOCTYPE" in content[:4096] or b"<!ENTITY" in content[:4096]:
        raise FaultError("", message("mesh-3mf-entities"))
    with parsing("3MF"):
        try:
            return etree.fromstring(content, etree.XMLParser(resolve_entities=False, no_network=True, huge_tree=False))
        except etree.XMLSyntaxError as error:
            raise FaultError("", message("mesh-3mf-damaged", line=str(error.lineno))) from error


def _load_model(package: _Package, name: str) -> list[tuple[tuple[str, str], Floats]]:
    """Read a model file into the package; return its build items and their transforms."""
    if name in package.units:
        return []
    model = _parsed(package, name)
    unit = model.get("unit", "millimeter")
    if unit not in UNIT_M:
        raise FaultError("", message("mesh-3mf-unit", unit=unit[:20]))
    package.units[name] = UNIT_M[unit]
    _refuse_unread(model)
    try:
        for element in model.iterfind("{*}resources/{*}object"):
            if (name, element.get("id")) in package.objects:
                raise FaultError("", message("mesh-3mf-id-twice", number=str(element.get("id"))[:20]))
            package.objects[(name, element.get("id"))] = _object(package, name, element)
        listed = list(model.iterfind("{*}build/{*}item"))
        items = [item for item in listed if item.get("printable", "1") not in ("0", "false")]
        package.unprinted += [_target(package, name, item) for item in listed if item not in items]
        return [(_target(package, name, item), _way(item.get("transform"))) for item in items]
    except FaultError:
        raise
    except (ValueError, TypeError, KeyError, OverflowError) as error:
        raise FaultError("", message("file-damaged", kind="3MF", reason=type(error).__name__)) from error


def _refuse_unread(model: Any) -> None:
    """Raise FaultError for an extension that makes or cuts shapes: without it the model is another one.

    Source: 3MF Core Specification, 2.3 (what an extension requires) and its extensions for beam lattices, Boolean
    operations, slices and volumes.
    """
    for prefix in model.get("requiredextensions", "").split():
        space = model.nsmap.get(prefix, prefix)
        if not any(name in space for name in HARMLESS):
            raise FaultError("", message("mesh-3mf-extension", name="/".join(space.rstrip("/").split("/")[-3:])[:80]))
    for part in model.iterfind("{*}resources/{*}object//*"):
        if isinstance(part.tag, str) and part.tag.rpartition("}")[2] in SHAPING:
            raise FaultError("", message("mesh-3mf-extension", name=part.tag.rpartition("}")[2]))


def _object(package: _Package, name: str, element: Any) -> _Object:
    points = element.iterfind("{*}mesh/{*}vertices/{*}vertex")
    triangles = element.iterfind("{*}mesh/{*}triangles/{*}triangle")
    vertices = [[decimal_number(point.get(axis, "")) for axis in "xyz"] for point in points]
    faces = [[whole_number(facet.get(corner, "")) for corner in ("v1", "v2", "v3")] for facet in triangles]
    if faces and not 0 <= np.min(faces) <= np.max(faces) < len(vertices):
        raise FaultError("", message("mesh-3mf-corner", object=str(element.get("id"))))
    parts = element.iterfind("{*}components/{*}component")
    components = [(_target(package, name, part), _way(part.get("transform"))) for part in parts]
    return _Object(
        element.get("type", "model"),
        np.array(vertices, dtype=np.float64).reshape(-1, 3),
        np.array(faces, dtype=np.int64).reshape(-1, 3),
        components,
    )


def _target(package: _Package, name: str, part: Any) -> tuple[str, str]:
    """Model file and object id that an item or a component refers to."""
    path = next((value for key, value in part.attrib.items() if key.endswith("}path")), None)
    return (name if path is None else _named(package, path)), part.get("objectid")


def _way(text: str | None) -> Floats:
    """Transform (4, 3) for row vectors: three rows of the linear part, and the translation."""
    if text is None:
        return np.vstack([np.eye(3), np.zeros(3)])
    return np.array([decimal_number(word) for word in text.split()]).reshape(4, 3)


EXTENSIONS = (".stl", ".obj", ".ply", ".3mf", ".glb", ".gltf", ".3dm")

_WORTH_A_THREAD = 200_000


@frozen
class MeshFile:
    """A mesh file whose facets can be iterated over any number of times."""

    blocks: Callable[
        [], Iterator[NDArray[Any]]
    ]  # facets (n, 3, 3) in the file's unit; a block may reuse the memory of the last
    unit_m: float | None  # the file's own unit, None where the format has none
    sections: tuple[
        Callable[[], Iterator[NDArray[Any]]], ...
    ]  # the same blocks, in sections that can be read in parallel
    problems: tuple[Message, ...] = ()  # what was left out on reading


def open_mesh(source: str | Path | InputFile) -> MeshFile:
    """Open a mesh file by its extension.

    Raises FaultError for an unknown extension, and for a file that cannot be opened, is empty, truncated, or of
    another format.
    """
    file = input_file(source)
    kind = file.suffix
    if kind == ".stl":
        stl = open_stl(file)
        bounds = np.linspace(0, stl.facets or 0, _sections(stl.facets) + 1).astype(int).tolist()
        sections = tuple(partial(stl.blocks, start, stop) for start, stop in pairwise(bounds))
        return MeshFile(stl.blocks, None, sections, stl.problems)
    if kind not in EXTENSIONS:
        raise FaultError(
            "",
            message("mesh-format", suffix=Path(file.name).suffix or file.name),
        )
    unit_m: float | None = None
    problems: tuple[Message, ...] = ()
    if kind == ".3mf":
        facets, unit_m, problems = read_threemf(file)
    elif kind in (".glb", ".gltf"):
        (facets, problems), unit_m = read_gltf(file), 1.0
    elif kind == ".3dm":
        require_extra("3dm")
        facets, unit_m, problems = apart(read_3dm, file)
    else:
        facets = _load(file, kind[1:])
        problems = _free_forms(file) if kind == ".obj" else ()
    return MeshFile(lambda: iter((facets,)), unit_m, (lambda: iter((facets,)),), problems)


def _sections(facets: int | None) -> int:
    """Number of threads to read with; NumPy releases the lock during arithmetic on large blocks."""
    return 1 if (facets or 0) < _WORTH_A_THREAD else min(os.cpu_count() or 1, 4)


def _is_whole(vertices: NDArray[Any], faces: NDArray[Any]) -> bool:
    """Whether every vertex has three coordinates and every face three valid vertex indices."""
    if vertices.ndim != 2 or vertices.shape[1] != 3 or faces.ndim != 2 or faces.shape[1] != 3:
        return False
    return bool(0 <= faces.min() <= faces.max() < len(vertices))


_NO_CORNER = re.compile(rb"\s0+(?=[\s/]|\Z)")
_FREE_FORM = re.compile(rb"(?m)^[ \t]*(surf|curv|curv2|call|csh)\b")


def _with_plain_indices(text: bytes) -> bytes:
    """Convert the relative (negative) indices of an OBJ file to absolute ones.

    Source: the OBJ format: -1 is the last vertex above the face, and no vertex is 0. The library counts from the end
    of the file instead, and takes 0 for the last vertex. Raises FaultError for a vertex 0.
    """
    with parsing("OBJ"):
        if odd := _ODD_NUMBER.search(text):  # older versions of NumPy read it as Python does
            raise ValueError(f"not a number: {odd[0]!r}")
    faces = b"\n".join(line for line in text.splitlines() if line.lstrip().startswith(b"f"))
    if _NO_CORNER.search(faces):
        raise FaultError("", message("mesh-obj-zero"))
    if b"-" not in faces:
        return text
    above = {0: 0, 1: 0, 2: 0}
    kinds = {b"v": 0, b"vt": 1, b"vn": 2}
    lines = []
    for line in text.splitlines():
        words = line.split()
        if words and words[0] in kinds:
            above[kinds[words[0]]] += 1
        elif words and words[0] == b"f":
            with parsing("OBJ"):
                line = b" ".join([b"f", *(_plain_corner(word, above) for word in words[1:])])
        lines.append(line)
    return b"\n".join(lines)


_ODD_NUMBER = re.compile(rb"^[ \t]*[vf][ \t][^\n#]*?(?:_|[^\x00-\x7f])", re.MULTILINE)
_PLY = re.compile(rb"ply\s+format\s+ascii\b.*?\bend_header[^\n]*\n", re.DOTALL)
_ELEMENT = re.compile(rb"^element\s+(\w+)\s+(\d{1,12})|^property\s+(list)?", re.MULTILINE)


def _whole_lines(text: bytes) -> bytes:
    """A PLY file as it is. Raises FaultError for text with a vertex of more numbers than its head names.

    The library would drop those at the end of the line, although any of them may be the one too many.
    """
    head = _PLY.match(text)
    if head is None:
        return text
    count = properties = 0
    is_vertex = False
    for name, number, _ in _ELEMENT.findall(head[0]):
        if name:
            is_vertex = name == b"vertex"
            if count and not is_vertex:
                break
            count = int(number) if is_vertex else 0
            if not is_vertex:
                return text  # elements before the vertices: their lines are the library's to find
        else:
            properties += is_vertex
    for number, line in enumerate(text[head.end() :].split(b"\n", count)[:count], start=1):
        if len(line.split()) > properties:
            raise FaultError("", message("mesh-ply-vertex", number=f"{number:,}"))
    return text


def _free_forms(file: InputFile) -> tuple[Message, ...]:
    """Notes on contents of an OBJ file other than facets: free-form surfaces and curves, and calls of other files."""
    names = Counter(name.decode() for name in _FREE_FORM.findall(file.read()))
    return tuple(message("note-objects-of-type", count=n, type=name) for name, n in sorted(names.items()))


def _plain_corner(word: bytes, above: dict[int, int]) -> bytes:
    numbers = word.split(b"/")
    for kind, number in enumerate(numbers):
        if number.startswith(b"-"):
            plain = above[kind] + whole_number(number.decode()) + 1
            if plain < 1:
                raise ValueError(f"corner {number.decode()} of a face is before the first")
            numbers[kind] = str(plain).encode()
    return b"/".join(numbers)


def _load(file: InputFile, kind: str) -> NDArray[np.float64]:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import trimesh  # takes a second to import

        content = BytesIO(_with_plain_indices(file.read()) if kind == "obj" else _whole_lines(file.read()))
        with parsing(kind.upper()):
            # Without processing, vertices and facets are those of the file, so faults can be detected and reported.
            scene = trimesh.load_scene(content, file_type=kind, process=False)
            meshes = [part for part in scene.dump() if isinstance(part, trimesh.Trimesh)]
    meshes = [mesh for mesh in meshes if len(mesh.faces)]
    if not all(_is_whole(mesh.vertices, mesh.faces) for mesh in meshes):
        raise FaultError("", message("mesh-corner-missing"))
    solids = [np.asarray(mesh.triangles, dtype=np.float64) for mesh in meshes]
    if not solids:
        raise FaultError("", message("mesh-no-facets", kind=kind.upper()))
    return np.concatenate(solids)
