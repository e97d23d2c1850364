"""A solid that names no thickness is as uncertain as the same piece drawn another way."""

from pathlib import Path

import pytest
import trimesh

from estimator import estimate, load_job

HEAD = '[job]\nname = "Hall"\nunits = "metric"\nmix = "backer-45"\n[[piece]]\nmark = "A"\n'
SLAB = 'shape = { kind = "slab", length = "1 m", width = "600 mm", thickness = "25 mm" }\n'


def high_kg(folder: Path, shape: str) -> float:
    (folder / "job.toml").write_text(HEAD + shape)
    return estimate(load_job(folder / "job.toml")).pieces["A"].weight.high_kg


def test_a_slab_drawn_as_a_mesh_is_no_lighter_on_its_high_side(tmp_path: Path) -> None:
    # first principles: 2 V / S of 1000 x 600 x 25 mm is 23.4 mm, and 1.5 mm of tolerance on it 6.4% instead of 6%
    trimesh.creation.box((1000.0, 600.0, 25.0)).export(tmp_path / "a.stl")
    mesh = 'shape = { kind = "mesh", file = "a.stl", unit = "mm" }\n'
    slab = high_kg(tmp_path, SLAB)
    assert slab < high_kg(tmp_path, mesh) < 1.01 * slab
    assert high_kg(tmp_path, mesh + 'cure = { thinnest = "25 mm" }\n') == pytest.approx(slab)
