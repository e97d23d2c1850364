"""Layout of all papers: on any job, nothing runs off its page and no text overlaps another."""

import re

import numpy as np
import pytest

from estimator.report.pack import PAPERS
from estimator.report.papers.style import Picture, section
from tests.report.conftest import Estimated, Page, read_pages

PDFS = [name for name in PAPERS if name.endswith(".pdf")]
JOBS = ["boathouse", "metric", "spanish", "german", "german_kitchen", "single", "long_names", "strange"]
EDGE = 8.0  # points that stay white along each edge of a page; a printer's own margin is about as wide
SAME_PLACE = 0.25  # of the smaller of two glyphs: a larger overlap is text on text


def pages_of(name: str, made: Estimated, *, pictures: bool = False) -> list[Page]:
    return read_pages(PAPERS[name](made.estimate), pictures=pictures)


@pytest.mark.parametrize("job", JOBS)
@pytest.mark.parametrize("name", PDFS)
def test_nothing_runs_off_its_page_and_no_text_overlaps_another(
    name: str, job: str, request: pytest.FixtureRequest
) -> None:
    for number, page in enumerate(pages_of(name, request.getfixturevalue(job), pictures=True), start=1):
        check_page(f"{name}, page {number} of {job}", page)


@pytest.mark.parametrize("name", PDFS)
def test_five_hundred_pieces_stay_on_their_pages(name: str, five_hundred: Estimated) -> None:
    pages = pages_of(name, five_hundred)
    for number in {0, len(pages) // 2, len(pages) - 1}:
        check_page(f"{name}, page {number + 1}", pages[number])
    if name not in ("batch-sheets.pdf", "material-list.pdf"):
        said = " ".join(page.text for page in pages)
        assert all(f"A{i:03}" in said for i in range(500))


def check_page(where: str, page: Page) -> None:
    width, height = page.size
    assert len(page.boxes), where
    low, high = page.boxes[:, :2].min(axis=0), page.boxes[:, 2:].max(axis=0)
    assert low.min() >= EDGE, where
    assert high[0] <= width - EDGE, where
    assert high[1] <= height - EDGE, where
    rim = int(EDGE * 0.75) - 1
    if page.picture.size:
        for edge in (page.picture[:rim], page.picture[-rim:], page.picture[:, :rim], page.picture[:, -rim:]):
            assert edge.min() == 255, f"{where}: something is drawn at the edge"
    assert overlaps(page) == 0, where


def overlaps(page: Page) -> int:
    """Number of pairs of glyphs that overlap."""
    boxes = page.boxes[np.argsort(page.boxes[:, 1], kind="stable")]
    left, bottom, right, top = boxes.T
    area = (right - left) * (top - bottom)
    found = 0
    for i in range(len(boxes)):
        others = slice(i + 1, i + 1 + int(np.searchsorted(bottom[i + 1 :], top[i])))
        wide = np.minimum(right[i], right[others]) - np.maximum(left[i], left[others])
        high = np.minimum(top[i], top[others]) - np.maximum(bottom[i], bottom[others])
        shared = np.clip(wide, 0, None) * np.clip(high, 0, None)
        found += int((shared > SAME_PLACE * np.minimum(area[i], area[others])).sum())
    return found


def test_the_check_finds_overlapping_text() -> None:
    page = Page("ab", (100.0, 100.0), np.array([[10, 10, 20, 20], [12, 11, 21, 20.0]]), np.zeros((0, 0), np.uint8))
    assert overlaps(page) == 1


@pytest.mark.parametrize("name", PDFS)
def test_each_page_states_its_number_the_page_count_and_the_job(name: str, boathouse: Estimated) -> None:
    pages = pages_of(name, boathouse)
    for number, page in enumerate(pages, start=1):
        assert re.search(rf"page {number} of {len(pages)}\b", page.text), name
        for said in ("Boathouse cafe", "March 2, 2026", "revision 1"):
            assert said in page.text, f"{name}, page {number}"


@pytest.mark.parametrize(("job", "size"), [("boathouse", (612.0, 792.0)), ("metric", (595.28, 841.89))])
def test_imperial_papers_are_letter_size_and_metric_papers_a4(
    job: str, size: tuple[float, float], request: pytest.FixtureRequest
) -> None:
    made = request.getfixturevalue(job)
    for name in PDFS:
        for page in pages_of(name, made):
            assert sorted(page.size) == pytest.approx(sorted(size), abs=0.01)


def test_a_heading_turns_the_page_with_a_picture_that_has_no_room_below_it() -> None:
    turn, *_ = section("Temperature inside", Picture(100.0, 300.0, lambda *_: None))
    assert turn.height > 300.0
