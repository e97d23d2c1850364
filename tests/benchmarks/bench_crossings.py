"""Looking for facets that pierce each other, as a ratio to mending the same mesh and to trying all pairs.

    python tests/benchmarks/bench_crossings.py

What must hold on any machine is that doubling the facets about doubles the time.
"""

from __future__ import annotations

import sys
from pathlib import Path
from time import perf_counter

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from geometry.bodies import crossings
from geometry.facets import bodies_of, edges_of, index_facets
from geometry.repair import mend
from tests.geometry.sample_meshes import torus


def main() -> None:
    before = None
    for around in (100, 141, 200, 283):
        facets = torus(500, 200, around, around)
        start = perf_counter()
        mend(facets, 0.001, pierced=False)
        mended = perf_counter() - start
        vertices, faces = index_facets(facets)
        label = bodies_of(faces, edges_of(faces))
        start = perf_counter()
        found = crossings(vertices, faces, label, 0.01)
        took = perf_counter() - start
        assert len(np.asarray(found.places)) == 0
        grown = "" if before is None else f", {took / before:.2f} times that of half the facets"
        print(f"{len(faces):>8,} facets: {took:.2f} s, {took / mended:.1f} times the mending{grown}")
        before = took


if __name__ == "__main__":
    main()
