"""STEP: exact solids from a kernel in a process of its own, and files that crash it refused."""

import sys
from math import pi
from pathlib import Path

import numpy as np
import pytest

from geometry.errors import FaultError
from geometry.files import InputFile, Limits
from geometry.mesh_file import read_facets, read_mesh
from tests.refusal import note_texts, words_of

pytest.importorskip("OCP")
approx = pytest.approx


def write(path: Path, *shapes, unit="MM"):
    """Shapes, modeled in mm, as a STEP file in a unit."""
    from OCP.Interface import Interface_Static
    from OCP.STEPControl import STEPControl_StepModelType as Mode
    from OCP.STEPControl import STEPControl_Writer

    writer = STEPControl_Writer()
    Interface_Static.SetCVal_s("write.step.unit", unit)
    for shape in shapes:
        writer.Transfer(shape, Mode.STEPControl_AsIs)
    writer.Write(str(path))
    return path


def box(x, y, z, at=(0, 0, 0)):
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeBox
    from OCP.gp import gp_Pnt

    return BRepPrimAPI_MakeBox(gp_Pnt(*map(float, at)), float(x), float(y), float(z)).Shape()


def cylinder(radius, height, at):
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeCylinder
    from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt

    return BRepPrimAPI_MakeCylinder(
        gp_Ax2(gp_Pnt(*map(float, at)), gp_Dir(0, 0, 1)), float(radius), float(height)
    ).Shape()


def basin():
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut

    return BRepAlgoAPI_Cut(box(600, 420, 180), cylinder(150, 160, (300, 210, 20))).Shape()


def refused(path, **limits):
    with pytest.raises(FaultError) as refusal:
        read_mesh(InputFile(path.name, path, Limits(**limits)), None)
    return words_of(refusal.value)


@pytest.mark.parametrize(("unit", "unit_m"), [("MM", 0.001), ("INCH", 0.0254), ("M", 1.0)])
def test_a_round_basin_is_exact_in_every_unit(tmp_path, unit, unit_m):
    # first principles: a box less a cylinder
    found = read_mesh(write(tmp_path / "basin.step", basin(), unit=unit), None)
    hole = pi * 0.15**2 * 0.16
    assert found.volume_m3 == approx(0.6 * 0.42 * 0.18 - hole, rel=1e-9)
    area = 2 * (0.6 * 0.42 + 0.6 * 0.18 + 0.42 * 0.18) + 2 * pi * 0.15 * 0.16
    assert found.surface_area_m2 == approx(area, rel=1e-9)
    z = (0.6 * 0.42 * 0.18 * 0.09 - hole * 0.1) / found.volume_m3
    assert found.centroid_m == approx((0.3, 0.21, z), rel=1e-9)
    assert found.size_m == approx((0.6, 0.42, 0.18), rel=1e-6)
    assert (found.bodies, found.closed, found.unit_m) == (1, True, approx(unit_m))
    assert note_texts(found.problems) == ()
    xx = 0.6 * 0.42 * 0.18 * (0.42**2 + 0.18**2) / 12 + 0.6 * 0.42 * 0.18 * (z - 0.09) ** 2
    xx -= hole * (0.15**2 / 4 + 0.16**2 / 12 + (z - 0.1) ** 2)
    assert found.inertia_m5[0][0] == approx(xx, rel=1e-8)


def test_the_facets_are_those_of_the_solid(tmp_path):
    measure, vertices, faces = read_facets(write(tmp_path / "basin.stp", basin()), None)
    a, b, c = (vertices[faces[:, corner]] for corner in range(3))
    assert np.einsum("ij,ij->", a, np.cross(b, c)) / 6 == approx(measure.volume_m3, rel=1e-3)
    edges = np.sort(np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]]), axis=1)
    assert (np.unique(edges, axis=0, return_counts=True)[1] == 2).all()  # closed


def test_solids_side_by_side_add_up_and_overlapping_ones_are_refused(tmp_path):
    two = read_mesh(write(tmp_path / "two.step", box(100, 100, 100), box(50, 50, 50, (100, 0, 0))), None)
    assert (two.volume_m3, two.bodies) == (approx(1e-3 + 1.25e-4), 2)
    assert two.centroid_m[0] == approx((1e-3 * 0.05 + 1.25e-4 * 0.125) / 1.125e-3)
    line = refused(write(tmp_path / "over.step", box(100, 100, 100), box(50, 50, 50, (90, 0, 0))))
    assert line.startswith("Solids 1 and 2 overlap, so what they share would count twice.")


def test_an_open_shell_encloses_nothing_though_the_kernel_gives_it_a_volume(tmp_path):
    from OCP.BRep import BRep_Builder
    from OCP.TopAbs import TopAbs_ShapeEnum
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopoDS import TopoDS_Shell, TopoDS_Solid

    def lidless():
        builder, shell, solid = BRep_Builder(), TopoDS_Shell(), TopoDS_Solid()
        builder.MakeShell(shell)
        faces = TopExp_Explorer(box(100, 100, 100), TopAbs_ShapeEnum.TopAbs_FACE)
        faces.Next()
        while faces.More():
            builder.Add(shell, faces.Current())
            faces.Next()
        builder.MakeSolid(solid)
        builder.Add(solid, shell)
        return solid

    assert "holds no closed solid" in refused(write(tmp_path / "open.step", lidless()))
    found = read_mesh(write(tmp_path / "both.step", lidless(), box(100, 100, 100, (200, 0, 0))), None)
    assert (found.volume_m3, found.bodies) == (approx(1e-3), 1)
    assert note_texts(found.problems) == ("Left out 1 open or faulty body.",)


def test_a_given_unit_must_be_that_of_the_file(tmp_path):
    path = write(tmp_path / "box.step", box(100, 100, 100), unit="INCH")
    assert read_mesh(path, 0.0254).volume_m3 == approx(1e-3)
    with pytest.raises(FaultError, match="mesh-unit-differs"):
        read_mesh(path, 0.001)


def damaged(tmp_path, edit):
    path = write(tmp_path / "box.step", box(100, 100, 100))
    path.write_bytes(edit(path.read_bytes()))
    return path


@pytest.mark.parametrize(
    ("edit", "line"),
    [
        (lambda content: content[: len(content) * 2 // 3], "The STEP file breaks off before its end."),
        (lambda _: b"solid nothing", "The file is not STEP."),
        (lambda content: content.replace(b"#1 =", b"#4000000000 =", 1), ""),
        (lambda content: content.replace(b"DATA;", b"DATA;\n#900000=X(" + b"(" * 300_000 + b");", 1), ""),
        (lambda content: content.replace(b"CARTESIAN_POINT('',(0.,0.,0.))", b"CARTESIAN_POINT('',(0.,0.,1.E999))"), ""),
        (lambda content: content.replace(b"100.", b"-100.", 3), ""),
    ],
)
def test_a_damaged_file_is_refused_in_one_line_and_the_program_goes_on(tmp_path, edit, line):
    try:
        found = refused(damaged(tmp_path, edit), seconds=10)
    except pytest.fail.Exception:  # if it is read, it must be right
        assert not line
        assert read_mesh(tmp_path / "box.step", None).volume_m3 == approx(1e-3)
        return
    assert line in found
    assert "\n" not in found


def test_without_the_library_the_refusal_names_the_line_that_installs_it(tmp_path, monkeypatch):
    path = write(tmp_path / "box.step", box(100, 100, 100))
    monkeypatch.setitem(sys.modules, "OCP", None)
    monkeypatch.setattr("geometry.readers.extras.find_spec", lambda _: None)
    assert refused(path) == (
        'STEP files need a library that is not installed. Install it: pip install "cast-estimator[step]".'
    )
