"""Plates planned together, in columns, against the plan of each alone: every figure, verdict and doubt."""

from __future__ import annotations

from collections.abc import Mapping
from math import isclose
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimator.errors import FaultError
from estimator.estimate import survey
from estimator.handling import plan as planner
from estimator.handling.plan import handling_workings, plan_all, plan_handling
from estimator.intake import read_job
from estimator.job import Job
from estimator.serialize import plain
from estimator.takeoff import take_off_piece

HEAD = '[job]\nname = "Series"\nunits = "{units}"\nmix = "backer-45"\n'
MIXES = '[mixes.tested]\nbased_on = "backer-45"\nfirst_crack_strength = "{strength} MPa"\n'
SIDES = ("front", "back", "left", "right")
WISHES = (
    "",
    'lifted_by = "slings"',
    'lifted_by = "inserts"',
    'lifted_by = "vacuum"\nvacuum = "60 kPa"\nvacuum_holds = "10 min"',
    'lifted_by = "vacuum"',
    'carried = "flat"',
    'carried = "edge"\nhung_from = "machine"',
    'release = "suction"',
)


@st.composite
def cutouts(draw: st.DrawFn, length: int, width: int, count: int) -> str:
    """`count` rectangular openings side by side along the length, in mm."""
    cuts = []
    for number in range(count):
        room = length // count
        x0 = number * room + draw(st.integers(room // 16, room // 3))
        x1 = (number + 1) * room - draw(st.integers(room // 16, room // 3))
        y0, y1 = draw(st.integers(20, width // 3)), draw(st.integers(width // 2, width - 20))
        at = f'x = "{x0} mm", y = "{y0} mm"'
        cuts.append(f'{{ kind = "rectangle", length = "{x1 - x0} mm", width = "{y1 - y0} mm", {at} }}')
    return f"[{', '.join(cuts)}]"


@st.composite
def plates(draw: st.DrawFn, openings: int, drops: int) -> str:
    """A plate with the given numbers of openings and drops, as the rest of a piece's table."""
    length, width = draw(st.integers(500, 3000)), draw(st.integers(300, 1400))
    thick = draw(st.sampled_from((13, 20, 25, 50)))
    cuts = draw(cutouts(length, width, openings))
    mix = draw(st.sampled_from(("", 'mix = "tested"\n')))
    wish = draw(st.sampled_from(WISHES))
    handling = f"[piece.handling]\n{wish}\n" if wish else ""
    place = draw(st.sampled_from(("", "[piece.in_place]\noutdoors = true\n")))
    match draw(st.sampled_from(("slab", "slab", "panel", "outline") if not drops else ("slab",))):
        case "slab":
            sides = draw(st.permutations(SIDES))[:drops]
            strip = f'{{ sides = {sides}, height = "{thick + 40} mm", thickness = "30 mm" }}'.replace("'", '"')
            edges = f", drop_edges = [{strip}]" if sides else ""
            size = f'length = "{length} mm", width = "{width} mm", thickness = "{thick} mm"'
            shape = f'{{ kind = "slab", {size}, cutouts = {cuts}{edges} }}'
        case "panel":
            size = f'length = "{length} mm", height = "{width} mm", skin = "{thick} mm"'
            shape = f'{{ kind = "panel", {size}, openings = {cuts} }}'
        case _:
            points = f'unit = "mm", points = [[5, 7], [{length}, 7], [{length}, {width}], [5, {width}]]'
            cuts = cuts if openings else "[]"
            shape = f'{{ kind = "outline", {points}, thickness = "{thick} mm", cutouts = {cuts} }}'
    return f'use = "counter"\n{mix}shape = {shape}\n{handling}{place}'


@st.composite
def like_plates(draw: st.DrawFn) -> list[str]:
    """Plates with equal numbers of openings and drops."""
    make = draw(st.integers(0, 4)), draw(st.integers(0, 3))
    return draw(st.lists(plates(*make), min_size=6, max_size=9))


def job_of(folder: Path, text: str) -> Job:
    path = folder / "job.toml"
    path.write_text(text, encoding="utf-8")
    return read_job(path).sound()


def unlike(one: Any, other: Any, path: str = "") -> list[str]:
    """Where two results as JSON differ by more than rounding."""
    if isinstance(one, dict) and isinstance(other, dict) and list(one) == list(other):
        return [line for key in one for line in unlike(one[key], other[key], f"{path}.{key}")]
    if isinstance(one, list) and isinstance(other, list) and len(one) == len(other):
        return [line for i, (a, b) in enumerate(zip(one, other, strict=True)) for line in unlike(a, b, f"{path}[{i}]")]
    if isinstance(one, float) and isinstance(other, float):
        least = 1e-6 if path.endswith("_pa") else 1e-12  # stresses are differences of millions of pascals
        return [] if isclose(one, other, rel_tol=1e-12, abs_tol=least) else [f"{path}: {one!r}, {other!r}"]
    return [] if one == other else [f"{path}: {one!r}, {other!r}"]


def rounded(figures: Mapping[str, float]) -> dict[str, float]:
    return {name: float(f"{value:.9g}") if abs(value) > 1e-9 else 0.0 for name, value in figures.items()}


@settings(max_examples=40, deadline=None)
@given(
    pieces=like_plates(),
    units=st.sampled_from(("metric", "imperial")),
    strength=st.sampled_from((2, 5, 9)),
)
def test_a_plate_planned_with_others_has_the_plan_that_it_has_alone(
    tmp_path_factory: Any, pieces: list[str], units: str, strength: int
) -> None:
    text = HEAD.format(units=units) + MIXES.format(strength=strength)
    text += "".join(f'[[piece]]\nmark = "C{number}"\n{piece}\n' for number, piece in enumerate(pieces))
    job = job_of(tmp_path_factory.mktemp("series"), text)
    _, _, parts = survey(job)
    takeoffs, weights = [taken for taken, _, _ in parts], [weight for _, weight, _ in parts]
    together = plan_all(takeoffs, weights, job)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(planner, "_plan_series", lambda *_: None)  # the form for any piece is the oracle
        one_by_one = [plan_handling(taken, weight, job) for taken, weight in zip(takeoffs, weights, strict=True)]
    for alone, plan in zip(one_by_one, together, strict=True):
        assert not isinstance(plan, FaultError)
        assert unlike(plain(alone), plain(plan)) == []
        for a, b in zip(handling_workings("C", alone), handling_workings("C", plan), strict=True):
            assert (a.figure, a.formula, rounded(a.values)) == (b.figure, b.formula, rounded(b.values))


REFUSED = '[piece.handling]\npicks = { unit = "mm", at = [[100, 100], [200, 100]] }\n'


def test_a_refused_plate_leaves_the_others_as_they_are(tmp_path: Path) -> None:
    plate = 'use = "counter"\nshape = { kind = "slab", length = "2 m", width = "600 mm", thickness = "25 mm" }\n'
    text = HEAD.format(units="metric") + "".join(f'[[piece]]\nmark = "C{i}"\n{plate}' for i in range(6))
    job = job_of(tmp_path, text)
    _, _, parts = survey(job)
    asked = job_of(tmp_path, f'{text}[[piece]]\nmark = "X"\n{plate}{REFUSED}')
    takeoffs, weights = [taken for taken, _, _ in parts], [weight for _, weight, _ in parts]
    alone = plan_all(takeoffs, weights, asked)
    odd = take_off_piece(asked.pieces[-1], asked)
    plans = plan_all([takeoffs[0], odd, *takeoffs[1:]], [weights[0], weights[0], *weights[1:]], asked)
    refused = plans.pop(1)
    assert isinstance(refused, FaultError)
    assert refused.key == "handling.picks"
    assert plans == alone
