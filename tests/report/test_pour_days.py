"""The pour days read back: every figure is the document's, rounded to the safe side, and nothing runs off its page."""

from collections.abc import Callable, Iterator
from contextlib import closing
from datetime import date
from itertools import combinations
from math import ceil, floor
from pathlib import Path
from typing import Any

import pypdfium2
import pytest
from reportlab.graphics.shapes import Drawing, PolyLine, String

from estimator.batching import PiecePlacing
from estimator.commands.jobs import estimate_file
from estimator.document import Document, to_document
from estimator.estimate import Estimate
from estimator.report.pack import PAPERS
from estimator.report.papers.batch_sheets import sheets_of
from estimator.report.papers.pour_days import MOST_SHEETS, pour_days
from estimator.report.papers.pour_words import CureWords
from estimator.report.papers.style import FOOT, MARGIN, TOP, width_of
from estimator.report.papers.workings import workings
from estimator.report.plots import COLD, LIMIT, Course, Level, temperature_plot
from estimator.words import Words

ROOT = Path(__file__).parents[2]
BOATHOUSE = ROOT / "examples/boathouse/job.toml"
HEAD = '[job]\nname = "{name}"\nunits = "{units}"\nmix = "backer-45"\ndate = "2026-01-12"\nstart = "2026-01-12"\n'
WINTER = HEAD.format(name="Winter yard", units="imperial") + '[cure]\nroom = "42 °F"\nmix_temperature = "50 °F"\n'
HOT = HEAD.format(name="Dock benches", units="metric") + (
    '[cure]\nroom = "33 °C"\nmix_temperature = "30 °C"\nhumidity = 0.25\nair_speed = "3 m/s"\nuncovered = "45 min"\n'
)
LONG = "An unusually long mark <b>&amp; markup</b> that somebody made up, level three, towards the lake"


def slab(mark: str, thickness: str, more: str = "") -> str:
    shape = f'shape = {{ kind = "slab", length = "1800 mm", width = "500 mm", thickness = "{thickness}" }}'
    return f"[[piece]]\nmark = '{mark}'\n{more}\n{shape}\n"


JOBS = {
    "winter": WINTER + slab("S1", "13 mm", "quantity = 2\nforms = 1") + slab("S2", "50 mm"),
    "hot": HOT + slab("Bench", "150 mm") + slab("Seat", "60 mm") + slab("Slat", "13 mm", "quantity = 3"),
    "one long": HEAD.format(name="One <i>piece</i> & more", units="metric") + slab(LONG, "13 mm"),
    "unknown cement": HEAD.format(name="Fast", units="metric")
    + '[mixes.fast]\nbased_on = "backer-45"\ncementitious = { rapid-cement = 1.0 }\n'
    + slab("F1", "20 mm", 'mix = "fast"'),
    "forty days": HEAD.format(name="Forty days", units="metric") + slab(LONG, "13 mm", "quantity = 40\nforms = 1"),
}
Make = Callable[[str], Estimate]
IMPERIAL, METRIC = Words("imperial", "USD"), Words("metric", "EUR", "en-GB")
ALERT = IMPERIAL("pour-alert")


def make_name(mix: str, units: str) -> str:
    return (METRIC if units == "metric" else IMPERIAL).named(mix).replace("\N{NO-BREAK SPACE}", " ")


@pytest.fixture(scope="module")
def make(tmp_path_factory: pytest.TempPathFactory) -> Make:
    done = {"boathouse": estimate_file(BOATHOUSE)}

    def made(name: str) -> Estimate:
        if name not in done:
            path = tmp_path_factory.mktemp("pour") / "job.toml"
            path.write_text(JOBS[name], encoding="utf-8")
            done[name] = estimate_file(path)
        return done[name]

    return made


def pages(content: bytes) -> list[str]:
    with closing(pypdfium2.PdfDocument(content)) as pdf:
        told = [page.get_textpage().get_text_range() for page in pdf]
    return [" ".join(each.replace("\u2007", " ").replace("\u2008", " ").split()) for each in told]


def paper(made: Estimate) -> tuple[list[str], Document]:
    document = to_document(made)
    return pages(pour_days(made)), document


def of_day(told: list[str], pour: Document) -> str:
    """The pages of one day."""
    name = f"Day {pour['day']} · "
    first = next(i for i, each in enumerate(told) if f"pour {pour['day']} of " in each and name in each)
    follows = first + 1 < len(told) and f"{name}" in told[first + 1] and "after casting" in told[first + 1]
    return " ".join(told[first : first + 2] if follows else [told[first]])


def degrees(celsius: float, units: str, rounded: Callable[[float], int]) -> str:
    if units == "imperial":
        return f"{rounded(celsius * 1.8 + 32.0)}"
    return f"{rounded(celsius)}"


def half_up(value: float) -> int:
    return floor(value + 0.5)


@pytest.mark.parametrize("name", ["boathouse", "winter", "hot", "one long"])
def test_peaks_hours_and_limits_are_those_of_the_document(make: Make, name: str):
    told, document = paper(make(name))
    units = document["job"]["units"]
    pieces = {each["mark"]: each["curing"] for each in document["pieces"]}
    for pour in document["pours"]:
        said = of_day(told, pour)
        for cast in pour["strip"]:
            curing = pieces[cast["mark"]]
            peak, blanket = curing["peak_c"], curing["insulate"]["answer"]
            if isinstance(peak["high"], float) and blanket:  # the answer with the deciding number
                assert f"YES. Peak up to {degrees(peak['high'], units, ceil)} °" in said
            elif not isinstance(peak["high"], float):
                assert f"goes over {degrees(70.0, units, half_up)} °" in said
            elif curing["cool_or_layers"]["answer"]:
                assert f"could reach {degrees(peak['high'], units, ceil)} °" in said
            else:
                assert "NO. " in said
            first, last = ceil(curing["strip_h"][0] - 1e-6), floor(curing["strip_h"][1] + 1e-6)
            begun = f"not before {first} h" if first < 24 else f"from {first} h"
            assert (f"{begun}, by {last} h" if last > first else begun) in said
            weak = "If the hours pass and the coupons are still too weak, do not strip or lift. Wait and test again."
            assert f"Strip on coupons, not by the clock. {weak}" in said
            crew = cast["crew"]
            assert ("machine only" if crew is None else f"{crew} p") in said
            assert ("7 days" if curing["wet_cure"]["answer"] else "No wet cure") in said
        every = [pieces[cast["mark"]]["evaporation"] for cast in pour["pieces"]]
        lost = max(every, key=lambda each: (each["over_limit"], each["share_of_mix_water"]))
        per = 0.3048**2 / 0.45359237 if units == "imperial" else 1.0
        assert f"Evaporation uncovered: {lost['rate_kg_m2_h'] * per:.2f} " in said
        assert f"(limit {lost['limit_kg_m2_h'] * per:.2f} " in said
        assert ("AT ONCE" in said) is any(each["over_limit"] for each in every)


def sheet_numbers(estimate: Estimate) -> list[int]:
    """The number of the sheet of each batch."""
    numbers = {id(batch): sheet.number for sheet in sheets_of(estimate) for batch in sheet.batches}
    return [numbers[id(batch)] for batch in estimate.batching.batches]


@pytest.mark.parametrize("name", ["boathouse", "hot"])
def test_each_day_has_its_pieces_and_its_batches_with_their_time(make: Make, name: str):
    told, document = paper(make(name))
    numbers = sheet_numbers(make(name))
    for pour in document["pours"]:
        said = of_day(told, pour)
        assert f"{pour['crew']} people" in said
        minutes = ceil(pour["placing_s"] / 60.0 - 1e-6)
        assert (f"{minutes // 60} h {minutes % 60} min" if minutes >= 60 else f"{minutes} min") in said
        for cast in pour["pieces"]:
            assert (cast["mark"] if cast["count"] == 1 else f"{cast['mark']} × {cast['count']}") in said
        for number, batch in zip(numbers, document["batches"], strict=True):
            if batch["pour"] == pour["pour"]:
                name = make_name(batch["mix"], document["job"]["units"])
                assert f"{number} {name} {batch['count']} " in said
                assert f"within {batch['place_within_s'] / 60.0:.0f} min of first water" in said or (
                    f"{batch['place_within_s'] / 60.0:.0f} min ____:____" in said
                )


def test_every_day_off_with_work_has_room_for_a_name(make: Make) -> None:
    told, document = paper(make("boathouse"))
    attended = document["calendar"]["attended"]
    assert attended
    for pour in document["pours"]:
        day = of_day(told, pour)
        days = [date.fromisoformat(each["date"]) for each in attended if each["pour"] == pour["pour"]]
        assert ("Who comes" in day) == bool(days)
        for each in days:
            assert f"{IMPERIAL.day(each.isoformat())} ______".replace("\xa0", " ") in day


def test_dates_are_those_of_the_calendar(make: Make):
    told, document = paper(make("boathouse"))
    steps = document["calendar"]["steps"]
    for pour in document["pours"]:
        (poured,) = [each for each in steps if each["step"] == "pour" and each["pour"] == pour["pour"]]
        (stripped,) = [each for each in steps if each["step"] == "strip" and each["pour"] == pour["pour"]]
        for step in (poured, stripped):
            assert IMPERIAL.day(step["first_date"]).replace("\xa0", " ") in of_day(told, pour)
    first = min(step["first_date"] for step in steps if step["step"] == "pour")
    assert IMPERIAL.day(first).replace("\xa0", " ") in told[0]


def test_the_honing_depth_is_rounded_down(make: Make):
    document = to_document(make("boathouse"))
    most_m = {each["mark"]: each["placing"]["hone_most_m"] for each in document["pieces"]}
    assert most_m["C1"] == pytest.approx(1 / 32 * 0.0254)  # a quarter of the face: half of what a rule shows
    first = document["pours"][0]
    sheets = [
        str(number)
        for number, batch in enumerate(document["batches"], start=1)
        if batch["pour"] == first["pour"] and "C1" in batch["pieces"]
    ]
    assert f'3 layers 1/32" {", ".join(sheets)}' in of_day(pages(pour_days(make("boathouse"))), first)
    metric = CureWords({}, {}, Words("metric", "USD"))
    assert metric.hone(PiecePlacing((), 0.00079, ())) == "0.7 mm"
    assert metric.hone(PiecePlacing((), None, ())) == "none"


def test_heat_and_cold_are_reported_at_the_head_with_what_would_help(make: Make):
    told, document = paper(make("winter"))
    assert ALERT in told[0]
    (room_c,) = {each["curing"]["add_heat"]["room_needed_c"] for each in document["pieces"] if each["mark"] == "S1"}
    said = of_day(told, document["pours"][1])
    assert ALERT in said
    assert f"WARM THE ROOM to {ceil(room_c * 1.8 + 32 - 1e-9)} °F" in said
    assert "Heaters in a curing tent" in said
    hot, document = paper(make("hot"))
    said = of_day(hot, document["pours"][0])
    (layer_m,) = {each["curing"]["cool_or_layers"]["layer_m"] for each in document["pieces"]} - {None}
    assert f"CAST IN LAYERS of {layer_m * 1000:g} mm" in said
    assert "limit 70 °C" in said
    assert "This piece may overheat" in said
    assert "has not been strength-tested" in said


def test_a_cement_outside_the_model_gets_no_temperature_and_no_hours(make: Make):
    told, _ = paper(make("unknown cement"))
    said = " ".join(told)
    assert ALERT in said
    assert "No temperature known for calcium sulfoaluminate cement" in said
    assert "not known" in said
    assert "NOT KNOWN: by test only" in said
    assert "YES" not in said


def test_assumptions_are_stated_once_in_the_workings_and_not_on_the_sheets(make: Make):
    for name in ("boathouse", "hot"):
        assert "mill certificate" not in " ".join(paper(make(name))[0])
        said = " ".join(pages(workings(make(name))))
        assert said.count("No mill certificate for the white cement") == 1
        assert "What the curing figures assume" in said
        assert "hours after placing" in said  # the plot


def test_a_single_day_has_no_overview_and_many_days_are_listed_briefly(make: Make):
    assert len(paper(make("one long"))[0]) == 1
    told, document = paper(make("forty days"))
    assert len(document["pours"]) > MOST_SHEETS
    said = " ".join(told)
    assert len(told) < len(document["pours"]) / 2
    assert said.count("NO. ") + said.count("YES. ") == 1
    for step in document["calendar"]["steps"]:
        if step["step"] == "pour":
            date = METRIC.day(step["first_date"]).replace("\xa0", " ")
            assert said.count(date) >= 2  # in the overview and beside its batches
    assert said.count(" 1 Backer, 45 % beads 1 ") == len(document["batches"])  # all batches of one sheet, a row per day


@pytest.mark.parametrize("name", ["boathouse", *JOBS])
def test_nothing_runs_off_its_page_and_no_two_lines_of_text_cross(make: Make, name: str):
    made = make(name)
    with closing(pypdfium2.PdfDocument(pour_days(made))) as pdf:
        for page in pdf:
            wide, high = page.get_size()
            text = page.get_textpage()
            lines = [text.get_rect(i) for i in range(text.count_rects())]
            for left, low, right, top in lines:
                assert left >= MARGIN - 1.0
                assert right <= wide - MARGIN + 1.0
                assert low >= FOOT - 9 * 72 / 25.4
                assert top <= high - TOP + 2.0
            for one, other in combinations(lines, 2):
                across = min(one[2], other[2]) - max(one[0], other[0])
                over = min(one[3], other[3]) - max(one[1], other[1])
                assert across < 0.5 or over < 1.5, (one, other)


def test_markup_in_a_mark_is_printed_as_it_stands(make: Make):
    said = " ".join(paper(make("one long"))[0])
    assert LONG[:40] in said
    assert "One <i>piece</i> & more" in said


def test_the_same_job_gives_the_same_bytes(make: Make):
    made = make("boathouse")
    assert pour_days(made) == pour_days(estimate_file(BOATHOUSE))
    assert PAPERS["pour-days.pdf"] is pour_days


class Plotted:
    """The texts of a drawing with their extent, and the points of its lines."""

    def __init__(self, drawing: Drawing) -> None:
        self.texts: list[tuple[float, float, float, str]] = []  # left, right, base, text
        self.points: list[tuple[float, float]] = []
        for part in drawing.contents:
            if isinstance(part, String):
                wide = width_of(part.text, part.fontName, part.fontSize)
                left = part.x - {"start": 0.0, "middle": wide / 2, "end": wide}[part.textAnchor]
                self.texts.append((left, left + wide, part.y, part.text))
            elif isinstance(part, PolyLine):
                self.points += zip(part.points[::2], part.points[1::2], strict=True)


def plotted(hot: list[float | None], cold: list[float], units: Any = "metric") -> Plotted:
    hours = [float(i) for i in range(len(hot))]
    courses = [Course(LONG, " hot, up to 60", hours, hot), Course("B1", " cold", hours, cold, COLD)]
    levels = [Level("limit", 70.0, LIMIT)]
    return Plotted(temperature_plot(courses, levels, (16.0, 24.0), 36.0, Words(units, "USD"), (270.0, 130.0)))


def shapes() -> Iterator[tuple[list[float | None], list[float]]]:
    bell: list[float | None] = [20.0 + 40.0 * max(0.0, 1.0 - abs(hour - 9) / 9) for hour in range(73)]
    yield bell, [20.0] * 73
    yield bell, [float(each or 0.0) - 1.0 for each in bell]
    yield [22.0] * 73, [20.0] * 73
    yield [30.0, 45.0, 70.0, *[None] * 70], [30.0] * 73


@pytest.mark.parametrize(("hot", "cold"), list(shapes()))
@pytest.mark.parametrize("units", ["metric", "imperial"])
def test_each_curve_is_labeled_beside_it_inside_the_plot(hot: list[float | None], cold: list[float], units: str):
    canvas = plotted(hot, cold, units)
    names = [each for each in canvas.texts if each[3].endswith((" cold", " hot, up to 60", "limit"))]
    assert len(names) == 3
    for one, other in combinations(names, 2):
        assert abs(one[2] - other[2]) >= 5.0 or one[1] <= other[0] or other[1] <= one[0]
    for left, right, base, _ in canvas.texts:
        assert left >= 0.0
        assert right <= 270.0
        assert 0.0 <= base <= 130.0


def test_a_curve_ends_where_no_temperature_is_stated():
    curve = Course("A", "", [0.0, 1.0, 2.0, 3.0], [20.0, 50.0, None, 60.0])
    assert curve.known == [(0.0, 20.0), (1.0, 50.0)]


def test_a_hotter_curve_is_drawn_higher():
    canvas = plotted([20.0 + each for each in range(40)], [20.0] * 40)
    hot, cold = canvas.points[:37], canvas.points[37:74]
    assert all(one[1] > other[1] for one, other in zip(hot[1:], cold[1:], strict=True))
    assert all(one[0] == other[0] for one, other in zip(hot, cold, strict=True))
