"""Estimates for tests of the papers, and functions that read papers back."""

import re
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from shutil import copytree

import numpy as np
import pypdfium2
import pytest
from numpy.typing import NDArray

from estimator.commands.jobs import estimate_file
from estimator.document import Document, to_document
from estimator.estimate import Estimate

ROOT = Path(__file__).parent.parent.parent
LONG = "reception desk of the upper gallery with waterfall ends " * 3
JOB = """
[job]
name = {name!r}
units = "{units}"
currency = "{currency}"
mix = "backer-45"
date = "2026-03-02"
revision = "C"

[client]
name = {name!r}
"""
PIECE = """
[[piece]]
mark = {mark!r}
quantity = {quantity}
use = "panel"
shape = {{ kind = "slab", length = "{length} mm", width = "600 mm", thickness = "20 mm" }}
"""


@dataclass(frozen=True)
class Estimated:
    estimate: Estimate
    document: Document


@dataclass(frozen=True)
class Page:
    """One page read back: its text, its size, and the tight boxes (left, bottom, right, top) of what is printed."""

    text: str
    size: tuple[float, float]
    boxes: NDArray[np.float64]
    picture: NDArray[np.uint8]  # gray


def sheets_among(pages: list[Page]) -> list[Page]:
    """The pages of a paper that begin a batch sheet: neither its list nor a page of cautions."""
    return [
        page for page in pages if re.search(r"\b(sheet|hoja|Blatt) \d+ (of|de|von) \d+", " ".join(page.text.split()))
    ]


def read_pages(content: bytes, *, pictures: bool = False) -> list[Page]:
    """The pages of a PDF, with figure spaces read as plain ones."""
    return list(_pages(content, pictures))


def _pages(content: bytes, pictures: bool) -> Iterator[Page]:
    with closing(pypdfium2.PdfDocument(content)) as pdf:
        for page in pdf:
            text = page.get_textpage()
            said = text.get_text_range()
            boxes = [text.get_charbox(i) for i in range(text.count_chars())]
            solid = [b for b, letter in zip(boxes, said, strict=False) if not letter.isspace() and b[2] > b[0]]
            picture = page.render(scale=0.75, grayscale=True).to_numpy() if pictures else np.zeros((0, 0), np.uint8)
            yield Page(
                " ".join(said.replace("\u2007", " ").replace("\u2008", " ").split()),
                page.get_size(),
                np.array(solid).reshape(-1, 4),
                np.squeeze(picture),
            )


def job_text(name: str, units: str, currency: str, pieces: list[tuple[str, int, float]]) -> str:
    """A job of panels: mark, quantity, length in mm."""
    head = JOB.format(name=name, units=units, currency=currency)
    return head + "".join(PIECE.format(mark=m, quantity=q, length=length) for m, q, length in pieces)


@pytest.fixture(scope="session")
def make(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Estimated]:
    """Estimates a job of this text."""

    def made(text: str) -> Estimated:
        path = tmp_path_factory.mktemp("job") / "job.toml"
        path.write_text(text, encoding="utf-8")
        estimate = estimate_file(path)
        return Estimated(estimate, to_document(estimate))

    return made


@pytest.fixture(scope="session")
def boathouse() -> Estimated:
    estimate = estimate_file(ROOT / "examples/boathouse/job.toml")
    return Estimated(estimate, to_document(estimate))


@pytest.fixture(scope="session")
def metric(make: Callable[[str], Estimated]) -> Estimated:
    return make(job_text("Café Müller, Straße 5 m²", "metric", "EUR", [("T1", 2, 2100.0), ("T2", 1, 900.0)]))


def translated(example: str, language: str, folder: Path) -> Estimated:
    """An example in metric units, in a language for crew and client."""
    copy = copytree(ROOT / "examples" / example, folder / language) / "job.toml"
    own = f'units = "metric"\ncrew_language = "{language}"\nclient_language = "{language}"'
    text = copy.read_text("utf-8").replace('units = "imperial"', own).replace('"USD"', '"EUR"')
    copy.write_text(text, "utf-8")
    estimate = estimate_file(copy)
    return Estimated(estimate, to_document(estimate))


@pytest.fixture(scope="session")
def spanish(tmp_path_factory: pytest.TempPathFactory) -> Estimated:
    return translated("boathouse", "es", tmp_path_factory.mktemp("job"))


@pytest.fixture(scope="session")
def german(tmp_path_factory: pytest.TempPathFactory) -> Estimated:
    return translated("boathouse", "de", tmp_path_factory.mktemp("job"))


@pytest.fixture(scope="session")
def german_kitchen(tmp_path_factory: pytest.TempPathFactory) -> Estimated:
    return translated("kitchen", "de", tmp_path_factory.mktemp("job"))


@pytest.fixture(scope="session")
def single(make: Callable[[str], Estimated]) -> Estimated:
    return make(job_text("One", "metric", "EUR", [("S", 1, 1200.0)]))


@pytest.fixture(scope="session")
def long_names(make: Callable[[str], Estimated]) -> Estimated:
    """Marks of one word and of many, up to the longest that the job file takes."""
    names = ["W" * 200, LONG[:200], "x-" * 90, "9" * 60]
    return make(job_text("N" * 200, "imperial", "USD", [(name, 3, 1500.0) for name in names]))


@pytest.fixture(scope="session")
def five_hundred(make: Callable[[str], Estimated]) -> Estimated:
    return make(job_text("Five hundred", "metric", "EUR", [(f"A{i:03}", 1, 600.0 + i) for i in range(500)]))


@pytest.fixture(scope="session")
def strange(make: Callable[[str], Estimated]) -> Estimated:
    """Names that are markup, formulas and entities elsewhere."""
    marks = ["<b>bold", "&amp; & <para>", "=cmd()", "+1", "-2+3", "@x", "<img src=x>"]
    return make(job_text('<i>=HYPERLINK("x")</i> & co', "imperial", "USD", [(mark, 1, 1000.0) for mark in marks]))
