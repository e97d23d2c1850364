"""3DM models: meshes, extrusions and render meshes as the model shows them, and what cannot be measured refused."""

from contextlib import suppress
from math import pi
from unittest.mock import patch

import pytest

from geometry.errors import FaultError
from geometry.files import InputFile
from geometry.mesh_file import read_mesh
from tests.refusal import note_texts, words_of

library = pytest.importorskip("rhino3dm")
approx = pytest.approx
INCH = 0.0254


def model(unit="Millimeters"):
    made = library.File3dm()
    made.Settings.ModelUnitSystem = getattr(library.UnitSystem, unit)
    return made


def cube(size=100.0, at=(0.0, 0.0, 0.0)):
    mesh = library.Mesh()
    for x in (0, size):
        for y in (0, size):
            for z in (0, size):
                mesh.Vertices.Add(at[0] + x, at[1] + y, at[2] + z)
    for face in ((0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4)):
        mesh.Faces.AddFace(*face)
    mesh.Faces.AddFace(1, 5, 7)
    mesh.Faces.AddFace(1, 7, 3)
    return mesh


def plate():
    """10 by 5 by 2 with a round hole of radius 1."""
    corners = [(0, 0, 0), (10, 0, 0), (10, 5, 0), (0, 5, 0), (0, 0, 0)]
    made = library.Extrusion.Create(library.PolylineCurve([library.Point3d(*corner) for corner in corners]), 2.0, True)
    assert made.AddInnerProfile(library.Circle(library.Point3d(3, 2.5, 0), 1.0).ToNurbsCurve())
    return made


def read(tmp_path, made, unit_m=None):
    path = tmp_path / "model.3dm"
    made.Write(str(path), 8)
    return read_mesh(InputFile(path.name, path.read_bytes()), unit_m)


def refused(tmp_path, made, unit_m=None):
    with pytest.raises(FaultError) as refusal:
        read(tmp_path, made, unit_m)
    return words_of(refusal.value)


def test_a_mesh_of_quads_is_read_in_the_models_unit(tmp_path):
    made = model("Inches")
    made.Objects.AddMesh(cube())
    found = read(tmp_path, made)
    assert (found.volume_m3, found.unit_m, found.bodies) == (approx(1e6 * INCH**3), INCH, 1)
    assert note_texts(found.problems) == ()
    with pytest.raises(FaultError, match="mesh-unit-differs"):
        read(tmp_path, made, 0.001)


def test_an_extrusion_has_the_exact_area_of_its_profile(tmp_path):
    made = model("Inches")
    made.Objects.AddExtrusion(plate())
    found = read(tmp_path, made)
    assert found.volume_m3 == approx((10 * 5 - pi) * 2 * INCH**3, rel=1e-7)
    x = (10 * 5 * 5 - pi * 3) / (10 * 5 - pi)
    assert found.centroid_m == approx((x * INCH, 2.5 * INCH, 1 * INCH), rel=1e-6)


def test_a_turned_extrusion_has_the_exact_area_of_its_profile(tmp_path):
    made = model("Inches")
    turned = plate()
    turned.Rotate(0.7, library.Vector3d(1, 2, 3), library.Point3d(0, 0, 0))
    made.Objects.AddExtrusion(turned)
    assert read(tmp_path, made).volume_m3 == approx((10 * 5 - pi) * 2 * INCH**3, rel=1e-7)


def test_hidden_objects_and_layers_are_left_out_and_named(tmp_path):
    made = model()
    made.Objects.AddMesh(cube())
    off, below = library.Layer(), library.Layer()
    off.Name, off.Visible = "off", False
    number = made.Layers.Add(off)
    below.Name, below.ParentLayerId = "below", made.Layers[number].Id
    for layer in (number, made.Layers.Add(below)):
        attributes = library.ObjectAttributes()
        attributes.LayerIndex = layer
        made.Objects.AddMesh(cube(50, (200, 0, 0)), attributes)
    unseen = library.ObjectAttributes()
    unseen.Visible = False
    made.Objects.AddMesh(cube(50, (400, 0, 0)), unseen)
    made.Objects.AddPoint(0, 0, 0)
    found = read(tmp_path, made)
    assert found.volume_m3 == approx(1e-3)
    assert note_texts(found.problems) == ("Left out 3 hidden objects.", "Left out 1 curve, point or text.")


def test_a_model_without_a_unit_is_asked_about(tmp_path):
    for unit in ("None", "Unset", "CustomUnits"):
        made = model(unit)
        made.Objects.AddMesh(cube())
        assert refused(tmp_path, made).startswith("The file has no unit. Its size is 100 × 100 × 100")
        assert read(tmp_path, made, 0.001).volume_m3 == approx(1e-3)


def test_a_solid_without_render_meshes_is_refused(tmp_path):
    made = model()
    made.Objects.AddBrep(library.Brep.CreateFromSphere(library.Sphere(library.Point3d(0, 0, 0), 100.0)))
    assert refused(tmp_path, made) == (
        "The model has a solid without render meshes, so it cannot be measured. "
        "Save it with render meshes, or export it as STEP."
    )


def test_an_empty_or_damaged_model_is_refused(tmp_path):
    assert "The model shows no mesh or solid." in refused(tmp_path, model())
    made = model()
    made.Objects.AddPoint(0, 0, 0)
    assert "1 object was left out" in refused(tmp_path, made)
    for content in (b"garbage", b"3D Geometry File Format        8" + b"\0" * 200):
        with pytest.raises(FaultError):
            read_mesh(InputFile("model.3dm", content), 0.001)


def test_a_file_with_bytes_overwritten_is_refused_or_read_whole(tmp_path):
    made = model()
    made.Objects.AddMesh(cube())
    made.Write(str(tmp_path / "model.3dm"), 8)
    content = (tmp_path / "model.3dm").read_bytes()
    for at in range(64, len(content), len(content) // 12):
        damaged = content[:at] + b"\xaa" * 64 + content[at + 64 :]
        with suppress(FaultError):
            assert read_mesh(InputFile("model.3dm", damaged), None).volume_m3 == approx(1e-3, rel=1)


@pytest.mark.parametrize("version", range(2, 9))
def test_a_file_with_bytes_lost_added_or_cut_off_is_refused_before_the_library_searches_it(tmp_path, version):
    made = model()
    made.Objects.AddMesh(cube())
    made.Write(str(tmp_path / "model.3dm"), version)
    whole = (tmp_path / "model.3dm").read_bytes()
    assert read_mesh(InputFile("model.3dm", whole), None).volume_m3 == approx(1e-3)
    for at in range(32, len(whole), len(whole) // 20):
        for content in (whole[:at] + whole[at + 15 :], whole[:at] + b"1" * 850 + whole[at:], whole[:at]):
            with pytest.raises(FaultError, match=r"^threedm-damaged$"), patch("geometry.apart._in_child", True):
                read_mesh(InputFile("model.3dm", content), None)


def test_without_the_library_the_refusal_names_the_line_that_installs_it(tmp_path, monkeypatch):
    made = model()
    made.Objects.AddMesh(cube())
    monkeypatch.setattr("geometry.readers.extras.find_spec", lambda _: None)
    assert refused(tmp_path, made) == (
        '3DM files need a library that is not installed. Install it: pip install "cast-estimator[3dm]".'
    )
