"""A piece in 3D: the facets that the browser gets are those of the piece, and its center of gravity lies in it."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from starlette.testclient import TestClient

from estimator import estimate, load_job
from estimator.page.solid import MOST_FACETS, sparse


def test_the_facets_enclose_the_volume_of_the_piece_around_its_center(page: TestClient, shop: Path) -> None:
    job = (shop / "hill" / "job.toml").read_text("utf-8")
    cut = 'cutouts = [{ kind = "rectangle", length = "30 in", width = "16 in", x = "40 in", y = "4 in" }]'
    (shop / "hill" / "job.toml").write_text(job.replace('"1 in" }', f'"1 in", {cut} }}', 1), encoding="utf-8")
    content = page.get("/jobs/hill/solid/C1").content
    *center, count = np.frombuffer(content, "<f4", 4)
    vertices = np.frombuffer(content, "<f4", 3 * int(count), 16).reshape(-1, 3).astype(float)
    facets = np.frombuffer(content, "<u4", offset=16 + 12 * int(count)).reshape(-1, 3)
    piece = estimate(load_job(shop / "hill" / "job.toml")).pieces["C1"]
    size = np.array(piece.taken.solid.size_m)
    reach = float(np.linalg.norm(size)) / 2
    a, b, c = (vertices[facets[:, corner]] for corner in range(3))
    volume = float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum()) / 6 * reach**3
    assert volume == pytest.approx(piece.taken.solid.volume_m3, rel=1e-5)
    own = (np.array(piece.weight.centers_m["demould"]) - size / 2) / reach
    assert center == pytest.approx(own, abs=1e-6)
    assert center[0] < 0  # away from the cutout at the right


def test_a_dense_mesh_is_drawn_in_cells_and_keeps_its_shape() -> None:
    turn = np.linspace(0, 2 * np.pi, 400, endpoint=False)
    rows = np.linspace(0, 1, 200)
    vertices = np.array([(np.cos(angle), np.sin(angle), z) for z in rows for angle in turn])
    at = np.arange(200 * 400).reshape(200, 400)
    here, up = at[:-1], at[1:]
    beside, above = np.roll(here, -1, axis=1), np.roll(up, -1, axis=1)
    facets = np.concatenate(
        [np.stack(corners, axis=-1).reshape(-1, 3) for corners in ((here, beside, above), (here, above, up))]
    )
    assert len(facets) > MOST_FACETS
    few, drawn = sparse(vertices, facets)
    assert len(drawn) <= MOST_FACETS
    assert few.min(axis=0) == pytest.approx([-1, -1, 0], abs=0.05)
    assert few.max(axis=0) == pytest.approx([1, 1, 1], abs=0.05)


def test_an_unknown_mark_is_not_found(page: TestClient) -> None:
    assert page.get("/jobs/hill/solid/X9").status_code == 404
