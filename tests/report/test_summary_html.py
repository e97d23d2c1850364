"""summary.html: complete, harmless, without network access, and with true charts."""

from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree

import pytest
from reportlab.graphics.shapes import Drawing

from estimator.commands.jobs import estimate_file
from estimator.estimate import Estimate
from estimator.report.first_screen import open_items
from estimator.report.papers.style import words_of
from estimator.report.papers.summary_html import summary_html
from estimator.report.plots import DASHES, Bar, Series, bars, curves, to_svg

ROOT = Path(__file__).parents[2]
JOBS = {"boathouse": ROOT / "examples/boathouse/job.toml", "every shape": ROOT / "tests/data/every_shape/job.toml"}
NAMES = ["<script>alert(1)</script>", '"><img src=x onerror=1>', "&amp; <b>bold", "W" * 200]
PIECE = """
[[piece]]
mark = '{}'
use = "panel"
shape = {{ kind = "slab", length = "{} mm", width = "600 mm", thickness = "20 mm" }}
"""
VOID = {"meta", "br", "img", "link"}


class Reader(HTMLParser):
    """Tags in their order, and whether they nest."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str | None]] = []
        self.said: list[str] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += attrs
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += attrs

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.said.append(data)


@pytest.fixture(scope="module", params=list(JOBS))
def estimated(request: pytest.FixtureRequest) -> Estimate:
    return estimate_file(JOBS[request.param])


def page_of(estimated: Estimate) -> str:
    return summary_html(estimated).decode()


def test_the_summary_is_one_file_that_loads_nothing(estimated: Estimate):
    page = page_of(estimated)
    read = Reader(page)
    assert not read.open
    assert not {"script", "link", "img", "iframe", "object"} & set(read.tags)
    assert not [name for name, _ in read.attributes if name in ("src", "href") or name.startswith("on")]
    assert "url(" not in page
    assert read.tags.count("svg") >= 4


def test_the_summary_states_the_total_the_weights_and_open_safety_items(estimated: Estimate):
    words, text = words_of(estimated), " ".join(Reader(page_of(estimated)).said)
    assert words.money(estimated.cost.total) in text
    for piece in estimated.pieces:
        assert words.mass(piece.weight.lift_kg, up=True) in text
    items = open_items(estimated, words)
    assert items
    assert all(f"{number}. {item.text}" in text for number, item in enumerate(items, start=1))


@pytest.mark.parametrize("name", NAMES)
def test_names_are_printed_as_they_stand(name: str, tmp_path: Path):
    job = f'[job]\nname = \'{name}\'\nunits = "metric"\ncurrency = "EUR"\nmix = "backer-45"\n'
    path = tmp_path / "job.toml"
    path.write_text(job + PIECE.format(name, 900))
    read = Reader(page_of(estimate_file(path)))
    assert not read.open
    assert "script" not in read.tags
    assert "img" not in read.tags
    assert name in read.said


def test_five_hundred_marks_have_a_row_each_and_the_heaviest_have_a_bar(tmp_path: Path):
    head = '[job]\nname = "Many"\nunits = "metric"\ncurrency = "EUR"\nmix = "backer-45"\n'
    path = tmp_path / "job.toml"
    path.write_text(head + "".join(PIECE.format(f"A{i:03}", 600 + i) for i in range(500)))
    text = Reader(page_of(estimate_file(path))).said
    assert all(text.count(f"A{i:03}") == (3 if i >= 470 else 2) for i in range(2, 499))
    assert any("470 lighter pieces" in each for each in text)


def test_the_same_estimate_gives_the_same_bytes(estimated: Estimate):
    assert page_of(estimated) == page_of(estimated)


SVG = "{http://www.w3.org/2000/svg}"


def drawn_in(drawing: Drawing, tag: str) -> list[ElementTree.Element]:
    return list(ElementTree.fromstring(to_svg(drawing, "t")).iter(f"{SVG}{tag}"))


def style_of(element: ElementTree.Element) -> dict[str, str]:
    pairs = (part.split(":") for part in (element.get("style") or "").split(";") if part.strip())
    return {name.strip(): value.strip() for name, value in pairs}


def test_bars_are_as_long_as_their_figures():
    drawn = drawn_in(bars([Bar("a", 50.0, 100.0, "x"), Bar("b", 25.0, 25.0, "y")]), "rect")
    widths = [float(each.get("width") or 0.0) for each in drawn]
    assert widths[0] == pytest.approx(widths[1], abs=0.11)  # 50 solid, 50 hatched
    assert widths[2] == pytest.approx(widths[0] / 2, abs=0.11)


def test_curves_can_be_told_apart_without_color():
    series = [Series(name, [(0.0, 1.0), (1.0, 2.0 + k)], DASHES[k]) for k, name in enumerate(("one", "two", "three"))]
    styles = [style_of(line) for line in drawn_in(curves(series, "x", "y"), "polyline")]
    assert len({style.get("stroke-dasharray") for style in styles}) == 3
    assert {style["stroke"] for style in styles} == {"rgb(0%,0%,0%)"}


def test_a_scale_from_zero_shows_a_small_gain_as_small():
    (line,) = drawn_in(curves([Series("one", [(0.0, 100.0), (1.0, 98.0)])], "x", "y"), "polyline")
    ys = [float(point.split()[1]) for point in (line.get("points") or "").split(",")]
    assert abs(ys[1] - ys[0]) < 8.0  # of 250
