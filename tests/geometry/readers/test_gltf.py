"""glTF and GLB: scenes by their nodes, against a second library, and unsupported features refused in one line."""

import base64
import json
import struct

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.errors import FaultError
from geometry.files import InputFile
from geometry.mesh_file import read_facets, read_mesh
from tests.refusal import note_texts, words_of

approx = pytest.approx
ROOT2 = 0.5**0.5
CUBE = [(x, y, z) for x in (0, 1) for y in (0, 1) for z in (0, 1)]
SIDES = [(0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3)]
FACES = [face for a, b, c, d in SIDES for face in ((a, b, c), (a, c, d))]


def parts(nodes, faces=FACES, points=CUBE, **more):
    """A description of a unit cube and its buffer; `nodes` place it."""
    buffer = np.array(points, "<f4").tobytes() + np.array(faces, "<u2").tobytes()
    split = 12 * len(points)
    described = {
        "asset": {"version": "2.0"},
        "scene": 0,
        "scenes": [{"nodes": [0]}],
        "nodes": nodes,
        "meshes": [{"primitives": [{"attributes": {"POSITION": 0}, "indices": 1}]}],
        "accessors": [
            {"bufferView": 0, "componentType": 5126, "type": "VEC3", "count": len(points)},
            {"bufferView": 1, "componentType": 5123, "type": "SCALAR", "count": np.size(faces)},
        ],
        "bufferViews": [
            {"buffer": 0, "byteLength": split},
            {"buffer": 0, "byteOffset": split, "byteLength": len(buffer) - split},
        ],
        "buffers": [{"byteLength": len(buffer)}],
    }
    return described | more, buffer


def glb(described, buffer):
    text = json.dumps(described).encode()
    text += b" " * (-len(text) % 4)
    buffer += b"\0" * (-len(buffer) % 4)
    length = 12 + 8 + len(text) + 8 + len(buffer)
    head = struct.pack("<III", 0x46546C67, 2, length) + struct.pack("<II", len(text), 0x4E4F534A)
    return head + text + struct.pack("<II", len(buffer), 0x004E4942) + buffer


def measured(described, buffer):
    return read_mesh(InputFile("part.glb", glb(described, buffer)), None)


def refused(described, buffer=b"", name="part.glb"):
    content = glb(described, buffer) if name.endswith("glb") else json.dumps(described).encode()
    with pytest.raises(FaultError) as refusal:
        read_mesh(InputFile(name, content), None)
    return words_of(refusal.value)


def test_a_cube_is_in_meters_whatever_unit_is_asked_for():
    found = measured(*parts([{"mesh": 0}]))
    assert (found.volume_m3, found.bodies, found.closed, found.unit_m) == (approx(1), 1, True, 1.0)
    with pytest.raises(FaultError, match="mesh-unit-differs"):
        read_mesh(InputFile("part.glb", glb(*parts([{"mesh": 0}]))), 0.001)


def test_nodes_scale_turn_and_mirror_what_they_hold():
    # first principles: scales of 2 and of -1 by 3 by 1/2 about a quarter turn, moved; volumes 1 · |det|
    nodes = [
        {"children": [1, 2], "scale": [2, 2, 2], "translation": [10, 0, 0]},
        {"mesh": 0, "scale": [-1, 3, 0.5], "rotation": [0, 0, ROOT2, ROOT2], "translation": [0, 0, 5]},
        {"mesh": 0, "matrix": [1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, -5, 1]},
    ]
    found = measured(*parts(nodes))
    assert note_texts(found.problems) == ()  # none was inside out
    assert (found.volume_m3, found.bodies) == (approx(8 * 1.5 + 8), 2)
    # the first: x of -1..0 turns to y, y of 0..3 to -x; then times 2, moved by 10 along x
    assert found.lowest_m == approx((10 - 6, -2, -10))
    assert found.size_m == approx((8, 4, 21))


def test_corners_split_by_normals_are_one_closed_solid():
    split = [CUBE[corner] for face in FACES for corner in face]
    described, buffer = parts([{"mesh": 0}], np.arange(36), split)
    described["meshes"][0]["primitives"][0].pop("indices")
    found = measured(described, buffer)
    assert (found.volume_m3, found.closed, found.bodies) == (approx(1), True, 1)


@pytest.mark.parametrize("kind", ["glb", "gltf"])
def test_a_scene_of_another_library_has_the_volume_that_the_library_gives(tmp_path, kind):
    scene = trimesh.Scene()
    for number in range(5):
        way = trimesh.transformations.random_rotation_matrix(num=number, rand=np.random.default_rng(number).random(3))
        way[:3, 3] = [4 * number, 0, 0]
        way[:3, :3] *= 1 + number / 4
        scene.add_geometry(trimesh.creation.icosphere(2, 0.7 + number / 10), transform=way)
    if kind == "glb":
        (tmp_path / "part.glb").write_bytes(scene.export(file_type="glb"))
    else:
        for name, content in scene.export(file_type="gltf").items():
            (tmp_path / name.replace("model", "part")).write_bytes(content)
    expected = scene.to_mesh()
    found, _, _ = read_facets(tmp_path / f"part.{kind}", None)
    assert found.volume_m3 == approx(expected.volume, rel=1e-6)
    assert found.surface_area_m2 == approx(expected.area, rel=1e-6)
    assert found.centroid_m == approx(expected.center_mass, rel=1e-6)
    assert found.bodies == 5


def test_shapes_may_be_embedded_in_the_file_or_lie_beside_it(tmp_path):
    described, buffer = parts([{"mesh": 0}])
    uri = "data:application/octet-stream;base64," + base64.b64encode(buffer).decode()
    inside = described | {"buffers": [{"byteLength": len(buffer), "uri": uri}]}
    assert read_mesh(InputFile("part.gltf", json.dumps(inside).encode()), None).volume_m3 == approx(1)
    beside = described | {"buffers": [{"byteLength": len(buffer), "uri": "the%20part.bin"}]}
    (tmp_path / "part.gltf").write_text(json.dumps(beside))
    (tmp_path / "the part.bin").write_bytes(buffer)
    assert read_mesh(tmp_path / "part.gltf", None).volume_m3 == approx(1)
    (tmp_path / "the part.bin").write_bytes(buffer[:-1])
    with pytest.raises(FaultError, match="gltf-short"):
        read_mesh(tmp_path / "part.gltf", None)


@pytest.mark.parametrize(
    "uri", ["../part.bin", "/etc/passwd", "http://example.org/a.bin", "file:a.bin", "..%2Fpart.bin"]
)
def test_shapes_outside_the_folder_are_refused(tmp_path, uri):
    (tmp_path / "in").mkdir()
    described, buffer = parts([{"mesh": 0}])
    (tmp_path / "part.bin").write_bytes(buffer)
    described["buffers"][0]["uri"] = uri
    (tmp_path / "in" / "part.gltf").write_text(json.dumps(described))
    with pytest.raises(FaultError, match="gltf-elsewhere"):
        read_mesh(tmp_path / "in" / "part.gltf", None)


@pytest.mark.parametrize(("mode", "order"), [(5, [0, 1, 2, 3]), (6, [0, 1, 3, 2])])
def test_strips_and_fans_wind_as_the_specification_says(mode, order):
    # a tetrahedron: two of its sides as a strip or a fan, two as triangles
    points = [(0, 0, 0), (1, 0, 0), (0, 1, 0), (0, 0, 1)]
    strip = [(0, 1, 2), (1, 3, 2)] if mode == 5 else [(0, 1, 3), (0, 3, 2)]
    edges = {(a, b) for face in strip for a, b in zip(face, (*face[1:], face[0]), strict=True)}
    rest = [
        face
        for base in ((0, 1, 2), (0, 1, 3), (0, 2, 3), (1, 2, 3))
        if not any(set(base) == set(done) for done in strip)
        for face in (base, base[::-1])
        if not edges & set(zip(face, (*face[1:], face[0]), strict=True))
    ]
    rest = [face for face in rest if any((b, a) in edges for a, b in zip(face, (*face[1:], face[0]), strict=True))]
    described, buffer = parts([{"mesh": 0}], [*order, *np.ravel(rest)], points)
    described["accessors"][1]["count"] = 4
    described["accessors"].append(described["accessors"][1] | {"byteOffset": 8, "count": 3 * len(rest)})
    described["meshes"][0]["primitives"][0]["mode"] = mode
    described["meshes"][0]["primitives"].append({"attributes": {"POSITION": 0}, "indices": 2})
    found = measured(described, buffer)
    assert (found.volume_m3, found.facets) == (approx(1 / 6), 4)
    assert not any("ran against" in note for note in note_texts(found.problems))


def test_whole_numbers_are_read_by_their_scale():
    described, buffer = parts([{"mesh": 0, "scale": [2, 1, 1]}])
    buffer = np.array(CUBE, "<u1").tobytes() + buffer[96:]
    described["accessors"][0] |= {"componentType": 5121}
    described["bufferViews"] = [
        {"buffer": 0, "byteLength": 24, "byteStride": 3},
        {"buffer": 0, "byteOffset": 24, "byteLength": 72},
    ]
    described["buffers"][0]["byteLength"] = 96
    described["extensionsRequired"] = ["KHR_mesh_quantization"]
    assert measured(described, buffer).volume_m3 == approx(2)
    described["accessors"][0]["normalized"] = True
    assert measured(described, buffer).volume_m3 == approx(2 / 255**3)


def test_nodes_outside_the_scene_are_left_out_and_named():
    nodes = [
        {"mesh": 0, "children": [1, 2]},
        {"mesh": 0, "translation": [3, 0, 0], "extensions": {"KHR_node_visibility": {"visible": False}}},
        {"camera": 0, "translation": [0, 5, 0], "children": [3]},
        {"mesh": 0},
        {"mesh": 1},
    ]
    described, buffer = parts(nodes)
    described["meshes"][0]["primitives"].append({"attributes": {"POSITION": 0}, "mode": 1})
    described["meshes"].append(described["meshes"][0])
    described["scenes"].append({"nodes": [4]})
    found = measured(described, buffer)
    assert found.volume_m3 == approx(2)
    assert found.size_m == approx((1, 6, 1))  # what hangs under a camera lies where the camera is
    assert note_texts(found.problems) == (
        "Left out 1 set of points or lines.",
        "Left out 1 hidden part.",
        "Left out 1 other scene.",
        "Left out 1 object that nothing places.",
    )


@pytest.mark.parametrize(
    ("change", "line"),
    [
        ({"asset": {"version": "1.0"}}, "The file is glTF 1.0. Version 2 is read."),
        ({"asset": None}, "The file is not glTF."),
        ({"extensionsRequired": ["KHR_draco_mesh_compression"]}, "needs the extension KHR_draco_mesh_compression"),
        ({"extensionsRequired": ["EXT_meshopt_compression"]}, "needs the extension EXT_meshopt_compression"),
        ({"nodes": [{"mesh": 0, "extensions": {"EXT_mesh_gpu_instancing": {}}}]}, "EXT_mesh_gpu_instancing"),
        ({"nodes": [{"mesh": 0, "skin": 0, "name": "arm"}]}, 'The mesh "arm" is bent by a skeleton or a morph'),
        ({"nodes": [{"mesh": 0, "weights": [0.5]}]}, "is bent by a skeleton or a morph"),
        ({"nodes": [{"children": [0]}]}, "Node 0 of the glTF file stands in two places."),
        ({"nodes": [{"children": [1, 1]}, {"mesh": 0}]}, "Node 1 of the glTF file stands in two places."),
        ({"nodes": [{"children": [n + 1]} for n in range(70)] + [{"mesh": 0}]}, "nested more than 64 levels"),
        ({"nodes": [{"mesh": 7}]}, "cannot be read as glTF (IndexError"),
        ({"nodes": [{"mesh": -1}]}, "cannot be read as glTF (LookupError"),
        ({"nodes": [{"mesh": 0, "matrix": [0] * 16}]}, "cannot be read as glTF (ValueError"),
        ({"nodes": [{"mesh": 0, "scale": [1, float("inf"), 1]}]}, "cannot be read as glTF (ValueError"),
        ({"nodes": [{}]}, "The glTF file has no facets."),
        ({"meshes": [{"primitives": [{"attributes": {"POSITION": 0}, "indices": 0}]}]}, "cannot be read as glTF"),
    ],
)
def test_an_unsupported_feature_is_refused_in_one_line(change, line):
    described, buffer = parts([{"mesh": 0}])
    assert line in refused(described | change, buffer)


def test_shapes_without_data_are_refused():
    described, buffer = parts([{"mesh": 0}])
    sparse = json.loads(json.dumps(described))
    sparse["accessors"][0]["sparse"] = {"count": 1}
    assert "changes to others" in refused(sparse, buffer)
    empty = json.loads(json.dumps(described))
    del empty["accessors"][0]["bufferView"]
    assert "changes to others" in refused(empty, buffer)
    many = json.loads(json.dumps(described))
    many["accessors"][1]["count"] = 3 * 10**9
    assert "Its parts unfold to 1,000,000,000 facets" in refused(many, buffer)
    long = json.loads(json.dumps(described))
    long["accessors"][0]["count"] = 9
    assert "cannot be read as glTF (" in refused(long, buffer)
    far = json.loads(json.dumps(described))
    far["accessors"][1]["byteOffset"] = -12
    assert "cannot be read as glTF (" in refused(far, buffer)
    with pytest.raises(FaultError, match="gltf-short"):
        read_mesh(InputFile("part.glb", glb(described, buffer)[:-8]), None)


def test_a_big_mesh_placed_a_thousand_times_is_counted_before_it_is_placed():
    described, buffer = parts([{"children": list(range(1, 2001))}, *({"mesh": 0} for _ in range(2000))])
    described["meshes"][0]["primitives"] *= 1000
    assert "unfold to 24,000,000 facets" in refused(described, buffer)


numbers = st.floats(0.2, 3) | st.floats(-3, -0.2)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(
        st.tuples(st.tuples(numbers, numbers, numbers), st.tuples(*4 * [st.floats(-1, 1)])), min_size=1, max_size=4
    )
)
def test_volume_follows_the_determinants_along_the_tree(ways):
    nodes, volume = [], 1.0
    for depth, (scale, turn) in enumerate(ways):
        norm = sum(part * part for part in turn) ** 0.5
        rotation = [part / norm for part in turn] if norm > 0.1 else [0, 0, 0, 1]
        nodes.append({"scale": scale, "rotation": rotation, "children": [depth + 1]})
        volume *= abs(scale[0] * scale[1] * scale[2])
    found = measured(*parts([*nodes, {"mesh": 0}]))
    assert found.volume_m3 == approx(volume, rel=1e-6)
    assert not any("inside out" in note for note in note_texts(found.problems))
