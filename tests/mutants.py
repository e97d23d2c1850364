"""Mutation testing: which of a random sample of faults put into a room do its tests find?

python -m tests.mutants mix --sample 150 --seed 16

Needs mutmut (`pip install mutmut`, Linux), which writes the mutants of each function beside it. They are tried here,
because a run of pytest for each takes longer than its tests: the tests of the room are collected and run once in one
process, which notes the functions that each runs; for every mutant that process forks, and the child runs the tests of
the mutated function, the quick ones first, until one fails. Works on a copy of the checkout: nothing here is changed.
"""

from __future__ import annotations

import argparse
import ast
import difflib
import functools
import gc
import os
import random
import re
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from itertools import accumulate
from pathlib import Path
from types import FunctionType

import pytest

ROOT = Path(__file__).resolve().parents[1]
COPIED = ["estimator", "geometry", "catalogs", "examples", "tests", "README.md", "DEVELOPERS.md", "LICENSE", ".ci"]
SETTINGS = '\n[tool.mutmut]\nsource_paths = ["estimator", "geometry"]\n'
EVERYWHERE = ["tests/published"]
ROOMS = {  # code, and the room's own tests besides its doctests
    "mix": ("estimator/mix/*.py", ["tests/estimator/mix", "tests/estimator/test_mix_commands.py"]),
    "packaging": ("estimator/packaging/*.py", ["tests/estimator/packaging", "tests/estimator/test_shares.py"]),
    "weight": ("estimator/weight.py", ["tests/estimator/weight", "tests/estimator/test_areas.py"]),
    "handling": ("estimator/handling/*.py", ["tests/estimator/handling"]),
    "pricing": ("estimator/pricing/*.py", ["tests/estimator/pricing"]),
    "batching": ("estimator/batching/*.py", ["tests/estimator/test_batching.py", "tests/estimator/test_records.py"]),
}
KEPT = ("estimator.units", "estimator.catalog", "estimator.words")  # below every room: no mutant changes these
MEMORY_BYTES = 6 << 30  # for a mutant that never stops asking for more memory
NO_MUTANT, HITS = "", "stats"


def mutate(room: str, folder: Path) -> dict[str, str]:
    """Writes all mutants of a room into the copy of the checkout; returns the change of each by name."""
    from mutmut.mutation.file_mutation import mutate_file_contents

    changes: dict[str, str] = {}
    for path in sorted(folder.glob(ROOMS[room][0])):
        source = path.read_text()
        mutated = mutate_file_contents(str(path.relative_to(folder)), source)
        path.write_text(mutated.code)
        module = ".".join(path.relative_to(folder).with_suffix("").parts).removesuffix(".__init__")
        lines = mutated.code.splitlines()
        bodies = {
            node.name: lines[node.lineno - 1 : node.end_lineno]
            for node in ast.walk(ast.parse(mutated.code))
            if isinstance(node, ast.FunctionDef) and "__mutmut_" in node.name
        }
        for name in mutated.mutant_names:
            original = bodies[re.sub(r"__mutmut_\d+$", "__mutmut_orig", name)]
            pair = [[re.sub(r"__mutmut_\w+", "", line) for line in body] for body in (original, bodies[name])]
            difference = list(difflib.unified_diff(*pair, n=0, lineterm=""))[3:]
            changes[f"{module}.{name}"] = "\n".join(f"    {line}" for line in difference)
    return changes


def forget() -> None:
    """Empties the caches of functions: a mutant must not get a result cached before it."""
    for thing in gc.get_objects():
        if isinstance(thing, functools._lru_cache_wrapper):
            module = str(getattr(thing, "__module__", ""))
            if module.startswith(("estimator", "tests")) and not module.startswith(KEPT):
                thing.cache_clear()
        elif isinstance(thing, FunctionType) and thing.__code__.co_qualname.startswith("remembered.<locals>"):
            for cell in thing.__closure__ or ():
                if isinstance(cell.cell_contents, list):
                    cell.cell_contents.clear()


class Globals(dict):
    """Names of a doctest, which its runner would clear after the first run."""

    def clear(self) -> None:
        """Keeps them."""


class Mutants:
    """A plugin of pytest: in place of one run of the tests collected, one run for each mutant."""

    def __init__(self, names: list[str], longest_s: float, most_s: float) -> None:
        self.names = names
        self.longest_s = longest_s
        self.most_s = most_s
        self.killers: dict[str, str | None] = {}
        self.notes: list[str] = []

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        from mutmut.state import state

        hits = state()._stats
        imported = set(hits)
        hits.clear()
        tests: dict[str, list[tuple[float, pytest.Item]]] = {}
        items = [item for item in session.items if "__mutmut_" not in item.name]
        for item in items:
            if isinstance(item, pytest.DoctestItem):
                item.dtest.globs = Globals(item.dtest.globs)
        for item, following in zip(items, [*items[1:], None], strict=True):
            started = time.process_time()
            passed = run(item, following)
            took = time.process_time() - started
            if not passed or took > self.longest_s:
                self.notes.append(f"left out: {item.nodeid} ({'fails here' if not passed else f'{took:.0f} s'})")
            else:
                for name in hits:
                    tests.setdefault(name, []).append((took, item))
            hits.clear()
        forget()
        every = {id(item): (took, item) for chosen in tests.values() for took, item in chosen}
        healthy = self.attempt(NO_MUTANT, list(every.values()))
        if healthy:
            sys.exit(f"{healthy} fails without any mutant when it runs a second time")
        for number, name in enumerate(self.names, start=1):
            function = re.sub(r"__mutmut_\d+$", "", name)
            self.killers[name] = self.attempt(name, tests.get(function, []))
            if function in imported and self.killers[name] is None:
                self.notes.append(f"runs at import, so tried there too late: {name}")
            print(f"{number}/{len(self.names)} {name}: {self.killers[name]}", file=sys.stderr, flush=True)
        return True

    def attempt(self, mutant: str, tests: list[tuple[float, pytest.Item]]) -> str | None:
        """The test that fails with this mutant, or None. A child that ends itself or hangs counts as failed."""
        order = sorted(tests, key=lambda test: (test[0], test[1].nodeid))
        if mutant:
            totals = accumulate(took for took, _ in order)
            order = [
                test for test, total in zip(order, totals, strict=True) if total <= self.most_s or test[0] == total
            ]
        allowed_s = 60 + 20 * sum(took for took, _ in order)
        answer, report = os.pipe()
        child = os.fork()
        if child == 0:
            os.setsid()
            quiet = os.open(os.devnull, os.O_RDWR)
            for stream in (0, 1, 2):
                os.dup2(quiet, stream)
            resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))
            os.environ["MUTANT_UNDER_TEST"] = mutant
            failed = next((item.nodeid for item in in_time(order) if not run(item, None)), "passed")
            os.write(report, failed.encode())
            os._exit(0)
        os.close(report)
        until = time.monotonic() + allowed_s
        while time.monotonic() < until and not os.waitpid(child, os.WNOHANG)[0]:
            time.sleep(0.02)
        stop_all(child)
        said = os.read(answer, 10_000).decode()
        os.close(answer)
        return None if said == "passed" else said or "ended or never ended"


def in_time(order: list[tuple[float, pytest.Item]]) -> Iterator[pytest.Item]:
    """Tests to run: a signal ends this process when a test takes ten times as long as before."""
    for took, item in order:
        signal.setitimer(signal.ITIMER_PROF, 10 + 10 * took)
        yield item


def stop_all(child: int) -> None:
    """Ends a child, if it still runs, and what it started."""
    for act in (lambda: os.killpg(child, signal.SIGKILL), lambda: os.waitpid(child, 0)):
        try:
            act()
        except (ProcessLookupError, ChildProcessError):
            continue


def run(item: pytest.Item, following: pytest.Item | None) -> bool:
    """Runs one test; whether it passes."""
    from _pytest.runner import runtestprotocol

    return not any(report.failed for report in runtestprotocol(item, log=False, nextitem=following))


def copy_checkout(folder: Path) -> None:
    """Copies the checkout into a folder."""
    folder.mkdir(exist_ok=True, parents=True)
    for name in COPIED:
        source = ROOT / name
        if source.is_dir():
            shutil.copytree(source, folder / name, dirs_exist_ok=True, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            shutil.copy(source, folder / name)
    (folder / "pyproject.toml").write_text((ROOT / "pyproject.toml").read_text() + SETTINGS)


def within(room: str, given: argparse.Namespace) -> None:
    """Tries a sample of a room's mutants, in the copy that is the working folder."""
    changes = mutate(room, Path.cwd())
    if given.only:  # as it was found: the same name may be another change by now
        listed = Path(given.only).read_text()
        sample = [name for name in sorted(changes) if f"{name}\n{changes[name]}" in listed]
    else:
        sample = random.Random(given.seed).sample(sorted(changes), min(given.sample, len(changes)))
    os.environ |= {"MUTANT_UNDER_TEST": HITS, "CI": "1", "PYTHONDONTWRITEBYTECODE": "1"}
    plugin = Mutants(sample, given.longest, given.most)
    code, own = ROOMS[room]
    own = [*own, *EVERYWHERE, str(Path(code).parent) if "*" in code else code]
    options = ["-q", "-p", "no:cacheprovider", "--rootdir=.", "-o", "addopts=--doctest-modules --import-mode=importlib"]
    pytest.main([*options, *own], plugins=[plugin])
    survivors = [name for name in sample if name in plugin.killers and plugin.killers[name] is None]
    killed = len(plugin.killers) - len(survivors)
    print(*plugin.notes, sep="\n")
    for name in survivors:
        print(name, changes[name], sep="\n")
    print(f"{room}: {len(changes)} mutants, {len(sample)} tried, seed {given.seed}")
    print(f"{killed} killed ({killed / max(1, len(sample)):.1%}), {len(survivors)} survived")


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("room", choices=ROOMS)
    options.add_argument("--sample", type=int, default=150)
    options.add_argument("--seed", type=int, default=16)
    options.add_argument("--longest", type=float, default=20, help="s of processor time: slower tests are left out")
    options.add_argument("--most", type=float, default=15, help="s of processor time of the tests of one mutant")
    options.add_argument("--only", type=Path, help="a file of survivors, as printed: these are tried again")
    options.add_argument("--within", action="store_true", help=argparse.SUPPRESS)
    given = options.parse_args()
    if given.within:
        within(given.room, given)
        return
    with tempfile.TemporaryDirectory(prefix="mutants-") as folder:
        copy_checkout(Path(folder))
        arguments = [
            given.room,
            *(f"--{name}={getattr(given, name)}" for name in ("sample", "seed", "longest", "most")),
        ]
        if given.only:
            arguments.append(f"--only={given.only.resolve()}")
        done = subprocess.run([sys.executable, "-m", "tests.mutants", "--within", *arguments], cwd=folder, check=False)
    sys.exit(done.returncode)


if __name__ == "__main__":
    main()
