"""Meshes in a job file: the data kept for shapes that need more than a measure."""

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import trimesh

from estimator.intake import read_job
from estimator.intake import shapes as intake_shapes
from geometry.shapes import MeshBody
from tests.estimator.conftest import JOB, SLAB
from tests.geometry.sample_meshes import box, write_stl

Write = Callable[[str], Path]


@pytest.mark.parametrize(
    ("more", "layers", "kept"),
    [
        ("", "", False),
        ("", 'layers = [{ mix = "backer-45", thickness = "3 mm" }, { mix = "backer-45" }]', True),
        (', wall = "16 mm", open = "top"', "", True),
    ],
    ids=["solid", "solid in layers", "shell"],
)
def test_a_mesh_too_large_to_draw_keeps_its_facets_only_where_layers_or_a_wall_need_them(
    write_job: Write, monkeypatch: pytest.MonkeyPatch, more: str, layers: str, kept: bool
):
    monkeypatch.setattr(intake_shapes, "DRAWN_BYTES", 100)
    shape = f'shape = {{ kind = "mesh", file = "block.stl", unit = "mm"{more} }}\n{layers}'
    path = write_job(JOB.replace(SLAB, shape))
    write_stl(path.parent / "block.stl", box(400, 300, 60))
    body = read_job(path).sound().pieces[0].shape
    assert isinstance(body, MeshBody)
    assert (body.facets is not None) is kept
    assert body.measure.volume_m3 == pytest.approx(0.4 * 0.3 * 0.06)


def test_a_mesh_that_papers_can_draw_keeps_its_facets(write_job: Write):
    path = write_job(JOB.replace(SLAB, 'shape = { kind = "mesh", file = "block.stl", unit = "mm" }'))
    write_stl(path.parent / "block.stl", box(400, 300, 60))
    body = read_job(path).sound().pieces[0].shape
    assert isinstance(body, MeshBody)
    assert body.facets is not None


def test_a_mesh_open_at_its_rim_is_read_for_a_shell_only(write_job: Write):
    form = box(400, 300, 60)
    form = form[~np.isclose(form[:, :, 2], 60).all(axis=1)]
    shape = 'shape = { kind = "mesh", file = "form.stl", unit = "mm", wall = "16 mm" }'
    path = write_job(JOB.replace(SLAB, shape))
    write_stl(path.parent / "form.stl", form)
    assert read_job(path).faults == ()
    path.write_text(path.read_text().replace(', wall = "16 mm"', ""))
    assert [str(fault) for fault in read_job(path).faults] == [
        "job.toml: piece C1, shape.file: form.stl: 4 open edges near (200, 150, 60) mm. The mesh encloses no volume. "
        'Close it in the modeler, or set repair = "fill" to fill flat holes and accept the change.'
    ]


def test_the_open_side_of_a_gltf_shell_is_asked_about(write_job: Write) -> None:
    shape = '{ kind = "mesh", file = "tub.glb", wall = "20 mm", open = "top" }'
    path = write_job(f'[job]\nname = "Tub"\nmix = "backer-45"\n[[piece]]\nmark = "T"\nshape = {shape}\n')
    (path.parent / "tub.glb").write_bytes(trimesh.Scene(trimesh.creation.box((0.4, 0.3, 0.2))).export(file_type="glb"))
    job = read_job(path).sound()
    assert job.pieces[0].shape.solid().volume_m3 == pytest.approx(0.4 * 0.3 * 0.2 - 0.36 * 0.26 * 0.18, rel=1e-3)
    assert any("note-gltf-axes" in str(notice.text) for notice in job.warnings)
