"""Measuring a large binary STL against a general mesh library, and against merely reading its bytes.

    python tests/benchmarks/bench_meshes.py             1.3 million facets
    python tests/benchmarks/bench_meshes.py --large     5.2 million facets as well
    python tests/benchmarks/bench_meshes.py --facets 300000

Whole processes are timed, start and imports in, each the best of a few; memory is the peak resident size.
What must hold on any machine is the ratios.
"""

import argparse
import json
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]

READ = """
import time
buffer = bytearray(1 << 20)
start = time.perf_counter()
with open({path!r}, "rb", buffering=0) as file:
    while file.readinto(buffer):
        pass
print(time.perf_counter() - start)
"""
READ_WHOLE = """
import pathlib, time
start = time.perf_counter()
whole = pathlib.Path({path!r}).read_bytes()
print(time.perf_counter() - start)
"""
STREAMED = """
import pathlib, time
from geometry.mesh_file import read_mesh
start = time.perf_counter()
found = read_mesh(pathlib.Path({path!r}), 0.001)
print(time.perf_counter() - start)
assert found.closed and found.volume_m3 > 0
"""
LOADED = """
import time
import trimesh
start = time.perf_counter()
mesh = trimesh.load_mesh({path!r})
found = mesh.volume, mesh.area, mesh.center_mass, mesh.moment_inertia, mesh.extents, mesh.is_watertight
print(time.perf_counter() - start)
assert found[-1]
"""


def write_torus(path: Path, facets: int) -> None:
    """Write a closed torus of about `facets` facets."""
    import numpy as np  # imported in the writing process only: a child's peak memory starts at its parent's

    across = int(np.sqrt(facets / 2 / 3))
    around = facets // 2 // across
    u = 2 * np.pi * np.arange(around + 1) / around
    v = 2 * np.pi * np.arange(across + 1) / across
    u[-1] = v[-1] = 0.0
    u, v = np.meshgrid(u, v, indexing="ij")
    reach = 500.0 + 200.0 * np.cos(v)
    grid = np.stack([reach * np.cos(u), reach * np.sin(u), 200.0 * np.sin(v)], axis=-1).astype(np.float32)
    a, b, c, d = grid[:-1, :-1], grid[1:, :-1], grid[1:, 1:], grid[:-1, 1:]
    records = np.zeros((2, around, across), np.dtype([("n", "<f4", 3), ("c", "<f4", (3, 3)), ("a", "<u2")]))
    records["c"][0], records["c"][1] = np.stack([a, b, c], axis=2), np.stack([a, c, d], axis=2)
    path.write_bytes(bytes(80) + records.size.to_bytes(4, "little") + records.tobytes())


def run(command: list[str], times: int) -> dict[str, float]:
    """The best of a few runs of a process of its own: seconds whole, of processor time and (if it says) of its work;
    peak in MiB."""
    best = {"whole_s": float("inf"), "cpu_s": float("inf"), "peak_mib": 0.0}
    for _ in range(times):
        start = time.perf_counter()
        process = subprocess.Popen([sys.executable, *command], cwd=ROOT, stdout=subprocess.PIPE, text=True)
        assert process.stdout is not None
        said = process.stdout.read()
        _, status, usage = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
        assert process.returncode == 0
        best["whole_s"] = min(best["whole_s"], time.perf_counter() - start)
        best["cpu_s"] = min(best["cpu_s"], usage.ru_utime + usage.ru_stime)
        best["peak_mib"] = max(best["peak_mib"], usage.ru_maxrss / 1024)
        if command[0] == "-c":
            best["work_s"] = min(best.get("work_s", float("inf")), float(said))
    return best


def compare(facets: int, times: int) -> None:
    """Print one comparison."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "torus.stl"
        subprocess.run([sys.executable, __file__, "--write", str(path), "--facets", str(facets)], check=True)
        program = {"read": READ, "read whole": READ_WHOLE, "measured": STREAMED, "loaded": LOADED}
        found = {
            name: run(["-c", text.format(path=str(path))], 1 if name == "loaded" else times)
            for name, text in program.items()
        }
        found["command"] = run(["-m", "estimator", "measure", str(path), "--unit", "mm", "--json"], times)
        size = path.stat().st_size
    print(f"{(size - 84) // 50:,} facets, {size / 1e6:.0f} MB")
    for name, figures in found.items():
        print(f"  {name:<12}" + "".join(f"  {key} {value:8.3f}" for key, value in figures.items()))
    measured, command, loaded = found["measured"], found["command"], found["loaded"]
    ratios = {
        "loaded / command, whole process": loaded["whole_s"] / command["whole_s"],
        "loaded / command, processor time": loaded["cpu_s"] / command["cpu_s"],
        "loaded / command, peak memory": loaded["peak_mib"] / command["peak_mib"],
        "measuring / reading the bytes into memory": measured["work_s"] / found["read whole"]["work_s"],
        "measuring / reading the bytes through one small buffer": measured["work_s"] / found["read"]["work_s"],
    }
    print(json.dumps({name: round(value, 2) for name, value in ratios.items()}, indent=2))


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--facets", type=int, default=1_310_720)
    parser.add_argument("--large", action="store_true", help="5.2 million facets as well")
    parser.add_argument("--times", type=int, default=5, help="runs of which the best counts")
    parser.add_argument("--write", type=Path, help="only write the mesh, to this file")
    arguments = parser.parse_args()
    if arguments.write:
        write_torus(arguments.write, arguments.facets)
        sys.exit()
    compare(arguments.facets, arguments.times)
    if arguments.large:
        compare(4 * arguments.facets, arguments.times)
