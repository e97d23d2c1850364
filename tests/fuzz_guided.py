"""Damaged files, chosen by the code that they reach: every reader, tables and the job file.

    pip install -e ".[dev,fuzz]"
    python -m tests.fuzz_guided --inputs 20000            # each kind of file, in a fork of one warm process
    python -m tests.fuzz_guided --inputs 2000 --only job.toml

An input that is neither read nor refused in one line is a fault: it is printed, with the file that holds it.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
import tempfile
import time
import traceback
import warnings
from pathlib import Path
from typing import Any

LONGEST = 50_000  # bytes of an input
PATIENCE_S = 60


PARSERS = ["geometry", "estimator", "ezdxf", "svgelements", "trimesh", "openpyxl"]
"""Packages whose branches count as ways through the code."""


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--inputs", type=int, default=2000)
    parser.add_argument("--seed", type=int, default=16)
    parser.add_argument("--only", help="kind of file, such as plan.dxf")
    parser.add_argument("--folder", type=Path, help="of seeds that grow and of inputs that show a fault")
    asked = parser.parse_args()
    import atheris

    warnings.simplefilter("ignore")
    with atheris.instrument_imports(include=PARSERS, enable_loader_override=False):
        from tests.fuzz_readers import SEEDS, outcome

        names = [asked.only] if asked.only else list(SEEDS)
        for name in names:
            outcome(name, SEEDS[name])  # imports all that it needs
    folder = asked.folder or Path(tempfile.mkdtemp(prefix="fuzz-"))
    for name in names:
        run_apart(name, SEEDS[name], folder / name.replace(".", "-"), asked.inputs, asked.seed)


def run_apart(name: str, whole: bytes, folder: Path, inputs: int, seed: int) -> None:
    """Fuzz one kind of file in a fork of this process, which a library may crash, and print the result."""
    (folder / "grown").mkdir(parents=True, exist_ok=True)
    (folder / "grown/seed").write_bytes(whole)
    child = os.fork()
    if child == 0:
        with (folder / "log").open("wb") as log:
            for stream in (1, 2):
                os.dup2(log.fileno(), stream)
        run_here(name, folder, inputs, seed)
        os._exit(0)
    code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    try:
        seen = json.loads((folder / "seen.json").read_text())
    except FileNotFoundError:
        seen = {"none": 0}
    faults = sorted(path for path in folder.glob("fault-*"))
    crashed = sorted(path for path in folder.glob("crash-*")) + sorted(path for path in folder.glob("timeout-*"))
    print(f"{name:13} {seen}, {len(list((folder / 'grown').iterdir()))} ways through the code, exit {code}", flush=True)
    for path in faults + crashed:
        print(f"    {path}")


def run_here(name: str, folder: Path, inputs: int, seed: int) -> None:
    """Fuzz one kind of file with the library that tracks the code reached. Ends this process."""
    import atheris

    from tests.fuzz_readers import SLOW_S, outcome

    seen: dict[str, Any] = {"read": 0, "refused": 0, "fault": 0, "slow": 0, "slowest_s": 0.0}
    known = set[str]()

    def one_input(content: bytes) -> None:
        began = time.process_time()
        try:
            became = outcome(name, content)
        except Exception as error:
            became = "fault"
            last = traceback.extract_tb(error.__traceback__)[-1]
            place = f"{type(error).__name__}-{Path(last.filename).stem}-{last.lineno}"
            if place not in known:
                known.add(place)
                (folder / f"fault-{place}").write_bytes(content)
                (folder / f"fault-{place}.txt").write_text(traceback.format_exc())
        took = time.process_time() - began
        if became not in seen:  # many lines
            (folder / "fault-many-lines").write_bytes(content)
            became = "fault"
        seen[became] += 1
        seen["slow"] += took > SLOW_S
        if took > seen["slowest_s"]:
            seen["slowest_s"] = round(took, 2)
            (folder / "slowest").write_bytes(content)
        if sum(seen[kind] for kind in ("read", "refused", "fault")) % 100 == 0:
            (folder / "seen.json").write_text(json.dumps(seen))

    options = [f"-atheris_runs={inputs}", f"-seed={seed}", f"-max_len={LONGEST}", f"-timeout={PATIENCE_S}"]
    options += [
        "-rss_limit_mb=4000",
        "-len_control=0",
        "-reduce_inputs=0",
        f"-artifact_prefix={folder}/",
        "-print_final_stats=1",
        str(folder / "grown"),
    ]
    atheris.Setup([sys.argv[0], *options], one_input)
    atheris.Fuzz()


if __name__ == "__main__":
    main()
