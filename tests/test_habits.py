"""Habits of the project: licenses, and the length of functions."""

import ast
import importlib.metadata
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.version import Version

ROOT = Path(__file__).parent.parent
READING_EXTRAS = ("step", "3dm", "pdf", "postgresql", "tls")
BY_YEAR = {"argon2-cffi"}  # its versions are dates, and say nothing of what they break
MOST_LINES = 60  # of a function
PERMISSIVE = re.compile(r"\b(MIT|MIT-CMU|0?BSD|BSD-[23]-Clause|Apache|ISC|PSF-2\.0|Python Software Foundation)\b")
COPYLEFT = re.compile(r"\bA?GPL", re.IGNORECASE)


def _needed(names: Iterator[str], known: set[str]) -> set[str]:
    """Every distribution that the given ones need to run, themselves included."""
    for name in names:
        if name.lower() in known:
            continue
        known.add(name.lower())
        needs = map(Requirement, importlib.metadata.distribution(name).requires or [])
        _needed((need.name for need in needs if need.marker is None or need.marker.evaluate({"extra": ""})), known)
    return known


def test_the_license_of_every_dependency_allows_shipping_it() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    for name in sorted(_needed((Requirement(text).name for text in project["dependencies"]), set())):
        told = importlib.metadata.metadata(name)
        classifiers = [line for line in told.get_all("Classifier", []) if line.startswith("License ::")]
        text = " ".join([told.get("License-Expression") or "", (told.get("License") or "")[:80], *classifiers])
        assert PERMISSIVE.search(text), f"{name}: {text}"
        assert not COPYLEFT.search(text), f"{name}: {text}"


def test_no_dependency_may_be_newer_than_what_a_clean_checkout_tests() -> None:
    """The next major version is excluded, before version 1 the next minor one may be: the main run installs the newest
    below it, one leg the lowest."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    extras = [text for extra in READING_EXTRAS for text in project["optional-dependencies"][extra]]
    for need in map(Requirement, [*project["dependencies"], *extras]):
        bounds = {bound.operator: Version(bound.version) for bound in need.specifier}
        if need.name in BY_YEAR:
            assert set(bounds) == {">="}
            continue
        assert set(bounds) == {">=", "<"}, f"{need.name} has no lower or no upper bound"
        try:
            installed = Version(importlib.metadata.version(need.name))
        except importlib.metadata.PackageNotFoundError:  # an extra, or for another system
            continue
        lowest = installed.release[: len(bounds[">="].release)] == bounds[">="].release
        above = {Version(str(installed.major + 1))} | (
            {Version(f"0.{installed.minor + 1}")} if not installed.major else set()
        )
        assert lowest or bounds["<"] in above, f"{need.name} {installed} is tested, not more"


@pytest.mark.parametrize("package", ["estimator", "geometry"])
def test_no_function_is_longer_than_a_page(package: str) -> None:
    long = {
        f"{path.relative_to(ROOT)}: {node.name}"
        for path in sorted((ROOT / package).rglob("*.py"))
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.FunctionDef) and (node.end_lineno or 0) - node.lineno >= MOST_LINES
    }
    assert long == set()
