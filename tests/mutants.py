"""Mutation testing: which of a random sample of faults put into a room do its tests find?

python -m tests.mutants mix --sample 150 --seed 16

Needs mutmut (`pip install mutmut`). Works on a copy of the checkout, so nothing here is changed.
"""

from __future__ import annotations

import argparse
import json
import random
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
COPIED = ["catalogs", "examples", "tests", "README.md", "DEVELOPERS.md", "LICENSE", ".ci"]
EVERYWHERE = ["tests/acceptance", "tests/published"]
ROOMS = {  # code, and the tests that are the room's own
    "mix": ("estimator/mix/*.py", ["tests/estimator/mix", "tests/estimator/test_mix_commands.py"]),
    "packaging": ("estimator/packaging/*.py", ["tests/estimator/packaging", "tests/estimator/test_shares.py"]),
    "weight": ("estimator/weight.py", ["tests/estimator/weight", "tests/estimator/test_areas.py"]),
    "handling": ("estimator/handling/*.py", ["tests/estimator/handling"]),
    "pricing": ("estimator/pricing/*.py", ["tests/estimator/pricing"]),
    "batching": ("estimator/batching/*.py", ["tests/estimator/test_batching.py", "tests/estimator/test_records.py"]),
}
SURVIVED = (0, 33)  # exit codes of mutmut: the tests passed; no test runs this line


def settings(room: str) -> str:
    """The table for pyproject.toml that makes mutmut look at one room."""
    code, own = ROOMS[room]
    tests = [*own, *EVERYWHERE]
    options = ["-p", "no:cacheprovider", "-o", "addopts=--import-mode=importlib"]
    return "\n".join(
        (
            "",
            "[tool.mutmut]",
            'source_paths = ["estimator", "geometry"]',
            f"only_mutate = {json.dumps([code])}",
            f"also_copy = {json.dumps(COPIED)}",
            f"pytest_add_cli_args_test_selection = {json.dumps(tests)}",
            f"pytest_add_cli_args = {json.dumps(options)}",
            "use_git_change_detection = false",
            "",
        )
    )


def results(folder: Path) -> dict[str, int | None]:
    """Exit code of the tests by name of mutant; None where it was not tried."""
    codes: dict[str, int | None] = {}
    for file in sorted(folder.glob("mutants/estimator/**/*.meta")):
        codes |= json.loads(file.read_text())["exit_code_by_key"]
    return codes


def run(folder: Path, names: list[str]) -> None:
    """Try these mutants; with no name that exists, only write them all down."""
    command = [sys.executable, "-m", "mutmut", "run", "--max-children", "1", *names]
    done = subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False)
    (folder / "mutmut.log").write_text(done.stdout + done.stderr)


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("room", choices=ROOMS)
    options.add_argument("--sample", type=int, default=150)
    options.add_argument("--seed", type=int, default=16)
    options.add_argument("--folder", type=Path, help="kept, with mutmut's results, to look at survivors")
    given = options.parse_args()
    folder = given.folder or Path(tempfile.mkdtemp(prefix="mutants-"))
    for name in [*COPIED, "estimator", "geometry"]:
        source = ROOT / name
        if source.is_dir():
            shutil.copytree(source, folder / name, dirs_exist_ok=True, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            folder.mkdir(exist_ok=True, parents=True)
            shutil.copy(source, folder / name)
    project = (ROOT / "pyproject.toml").read_text()
    (folder / "pyproject.toml").write_text(project + settings(given.room))
    run(folder, ["no-such-mutant"])
    names = sorted(results(folder))
    if not names:
        sys.exit(f"mutmut wrote no mutants: see {folder / 'mutmut.log'}")
    sample = random.Random(given.seed).sample(names, min(given.sample, len(names)))
    run(folder, sample)
    codes = results(folder)
    survivors = [name for name in sample if codes[name] in SURVIVED]
    untried = [name for name in sample if codes[name] is None]
    killed = len(sample) - len(survivors) - len(untried)
    print(f"{given.room}: {len(names)} mutants, {len(sample)} tried, seed {given.seed}")
    print(f"{killed} killed ({killed / len(sample):.1%}), {len(survivors)} survived, {len(untried)} not tried")
    for name in survivors:
        shown = subprocess.run(
            [sys.executable, "-m", "mutmut", "show", name], cwd=folder, capture_output=True, text=True, check=False
        )
        changed = [line for line in shown.stdout.splitlines() if line[:1] in "+-" and line[:3] not in ("+++", "---")]
        print(name, *changed, sep="\n    ")


if __name__ == "__main__":
    main()
