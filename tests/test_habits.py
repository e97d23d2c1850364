"""The house keeps its habits: licenses, and the length of functions."""

import ast
import importlib.metadata
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
from packaging.requirements import Requirement

ROOT = Path(__file__).parent.parent
MOST_LINES = 60  # of a function
PERMISSIVE = re.compile(r"\b(MIT|MIT-CMU|0?BSD|BSD-[23]-Clause|Apache|ISC|PSF-2\.0|Python Software Foundation)\b")
COPYLEFT = re.compile(r"\bA?GPL", re.IGNORECASE)


def _needed(names: Iterator[str], known: set[str]) -> set[str]:
    """Every distribution that these need to run, they themselves included."""
    for name in names:
        if name.lower() in known:
            continue
        known.add(name.lower())
        needs = map(Requirement, importlib.metadata.distribution(name).requires or [])
        _needed((need.name for need in needs if need.marker is None or need.marker.evaluate({"extra": ""})), known)
    return known


def test_every_dependency_may_be_shipped_with_a_shops_own_work() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    for name in sorted(_needed((Requirement(text).name for text in project["dependencies"]), set())):
        told = importlib.metadata.metadata(name)
        classifiers = [line for line in told.get_all("Classifier", []) if line.startswith("License ::")]
        text = " ".join([told.get("License-Expression") or "", (told.get("License") or "")[:80], *classifiers])
        assert PERMISSIVE.search(text), f"{name}: {text}"
        assert not COPYLEFT.search(text), f"{name}: {text}"


@pytest.mark.parametrize("package", ["estimator", "geometry"])
def test_no_function_is_longer_than_a_page(package: str) -> None:
    long = {
        f"{path.relative_to(ROOT)}: {node.name}"
        for path in sorted((ROOT / package).rglob("*.py"))
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.FunctionDef) and (node.end_lineno or 0) - node.lineno >= MOST_LINES
    }
    assert long == set()
