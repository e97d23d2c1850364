"""Results in the document: every path leads somewhere, and no infinite figure is written."""

import json
from collections.abc import Callable, Iterable, Mapping
from dataclasses import fields
from datetime import date
from decimal import Decimal
from math import inf, isnan
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from estimator import estimate, load_job
from estimator.commands.jobs import estimate_file
from estimator.curing.covers import PeakBand
from estimator.document import sections_of, to_document
from estimator.handling.doubts import RatingCheck
from estimator.serialize import DERIVED, KEYS, OVER_THE_LIMIT, attribute, json_lines, plain
from estimator.words import Words, words_for
from geometry.message import Message

BENCH_HEAD = """
[job]
name = "Bench tops"
units = "metric"
mix = "backer-45"
"""
BENCH_PIECE = """
[[piece]]
mark = "{mark}"
use = "counter"
shape = {{ kind = "slab", length = "{length} mm", width = "500 mm", thickness = "25 mm" }}
"""
BENCH = (
    BENCH_HEAD
    + BENCH_PIECE.format(mark="B1", length=1200)
    + """
[[piece]]
mark = "B2"
quantity = 3
use = "planter"
shape = { kind = "box", length = "900 mm", width = "400 mm", height = "400 mm", wall = "20 mm" }
"""
)


@pytest.mark.parametrize("kind", KEYS, ids=lambda kind: f"{kind.__module__}.{kind.__name__}")
def test_each_key_is_an_attribute_or_derived(kind: type[Any]) -> None:
    named = getattr(kind, "_fields", None) or [item.name for item in fields(kind)]
    known = {*named, *dir(kind)}
    for entry in KEYS[kind].split():
        key, _, path = entry.partition("=")
        assert key in DERIVED.get(kind, {}) or (path or key).split(".")[0].rstrip("?") in known, entry


def test_each_derived_key_is_in_its_class() -> None:
    for kind, derived in DERIVED.items():
        assert set(derived) <= {entry.partition("=")[0] for entry in KEYS[kind].split()}, kind


def test_numbers_become_those_of_json() -> None:
    assert plain([Decimal("1.10"), inf, np.float64(2.5), np.array([1, 2]), True, None]) == [
        1.1, None, 2.5, [1, 2], True, None,
    ]  # fmt: skip


def test_a_result_without_an_entry_is_an_internal_error() -> None:
    with pytest.raises(TypeError):
        plain(object.__new__(type("Unlisted", (), {})))


def test_a_missing_rating_is_null() -> None:
    assert plain(RatingCheck("forklift", 900.0, None)) == {
        "what": "forklift", "load_kg": 900.0, "rating_kg": None, "shown_safe": False, "verdict": "missing",
    }  # fmt: skip


def walked(value: Any, words: Words) -> Any:
    """The slow way: every part of a result by itself, as the standard library's JSON has it."""
    match value:
        case None | bool() | int() | str():
            return value
        case float():
            assert not isnan(value), "a figure that is no number"
            return float(value) if abs(value) != inf else None
        case Decimal():
            return float(value)
        case date():
            return value.isoformat()
        case np.generic() | np.ndarray():
            return walked(value.tolist(), words)
        case PeakBand():
            sides = (("low", value.low_c), ("nominal", value.nominal_c), ("high", value.high_c))
            return {side: OVER_THE_LIMIT if celsius is None else celsius for side, celsius in sides}
        case Message():
            return words.text(value)
        case Mapping():
            return {str(key): walked(item, words) for key, item in value.items()}
        case Iterable() if type(value) not in KEYS:
            return [walked(item, words) for item in value]
    rows: dict[str, Any] = {}
    for entry in KEYS[type(value)].split():
        key, _, path = entry.partition("=")
        derived = DERIVED.get(type(value), {})
        part = derived[key](value) if key in derived else attribute(value, (path or key).replace("?", ""))
        rows[key] = walked(part, words)
    return rows


def test_the_document_is_what_a_walk_over_every_figure_gives(write_job: Callable[[str], Path]) -> None:
    estimate = estimate_file(write_job(BENCH))
    words = words_for(estimate.job)
    slow = {key: walked(value, words) for key, value in sections_of(estimate, workings=True)}
    assert to_document(estimate, workings=True) == slow
    assert json.loads(b"".join(json_lines(sections_of(estimate, workings=True), words))) == slow


def test_figures_shared_by_pieces_of_a_long_job_are_written_once(write_job: Callable[[str], Path]) -> None:
    rows = "".join(BENCH_PIECE.format(mark=f"B{i}", length=1200 if i else 1500) for i in range(201))
    whole = to_document(estimate_file(write_job(BENCH_HEAD + rows)))
    alone = to_document(estimate_file(write_job(BENCH_HEAD + BENCH_PIECE.format(mark="B7", length=1200))))["pieces"][0]
    first, *others = whole["pieces"]
    assert "handling" in first
    assert "handling_ref" not in first
    for piece in others:
        assert whole["handlings"][piece["handling_ref"]] == alone["handling"]
        assert whole["curings"][piece["curing_ref"]] == alone["curing"]
        assert whole["placings"][piece["placing_ref"]] == alone["placing"]
    notes = [
        batch["notes"] if "notes" in batch else whole["batch_notes"][batch["notes_ref"]] for batch in whole["batches"]
    ]
    assert all(any("mix" in note for note in of_batch) for of_batch in notes)
    assert len(notes) > len(whole["batch_notes"])
    assert {whole["batch_lots"][batch["lots_ref"]]["white-cement"] for batch in whole["batches"]} == {None}
    assert all(
        "density_check" in batch or whole["density_checks"][batch["density_check_ref"]]["measure_m3"] > 0.0
        for batch in whole["batches"]
    )


def test_the_pieces_table_of_a_long_job_has_every_crew(write_job: Callable[[str], Path]) -> None:
    rows = "".join(BENCH_PIECE.format(mark=f"B{i}", length=1200) for i in range(201))
    tables = estimate(load_job(write_job(BENCH_HEAD + rows))).tables
    assert tables.pieces["crew"].tolist() == [2] * 201
