"""A share above 1 is refused wherever it stands; a ratio is not."""

import importlib
import pkgutil
from collections.abc import Callable
from pathlib import Path
from typing import Any, get_args, get_type_hints

import pytest
from pydantic import TypeAdapter, ValidationError

import estimator.intake
from estimator import InputError, load_job
from estimator.intake.build import figure_sections
from estimator.intake.documents import built_in_catalog
from estimator.keys import TABLES, Proportion, Ratio
from estimator.workshop import SECTIONS, settings_of

RATIOS = {"water_cementitious", "sand_cementitious", "markup", "overhead"}
BY_NAME = {
    "cementitious",
    "aggregate",
    "admixtures",
    "polymer",
    "pigment",
    "fibre",
    "tax_rates",
}  # a share of each material
SHARES = {
    f"{section}.{key}"
    for section, kind in SECTIONS.items()
    for _, key, setting in settings_of(kind)
    if setting.kind == "share"
}
JOB = """
[job]
name = "Shares"
mix = "backer-45"
[[piece]]
mark = "A"
shape = { kind = "slab", length = "60 in", width = "25 in", thickness = "1-1/2 in" }
"""
MORE_THAN_A_WHOLE_IS_POSSIBLE = {  # factors, crews, counts and amounts of money: not shares
    "mixing.pot_life_retarder",
    "quote.ballpark_above",
    "quote.round_to",
    "handling.lifts_per_minute",
    "handling.soil_pressure",
    "handling.vacuum_friction",
}


def _tables() -> list[type[Any]]:
    for module in pkgutil.iter_modules(estimator.intake.__path__):
        importlib.import_module(f"estimator.intake.{module.name}")
    return TABLES


def _holds(hint: Any, field: Any) -> bool:
    marks = getattr(hint, "__metadata__", ())
    return any(mark is get_args(field)[1] for mark in marks) or any(_holds(each, field) for each in get_args(hint))


def _fields(field: Any) -> list[tuple[str, str]]:
    return sorted(
        {
            (f"{table.__module__}.{table.__name__}", name)
            for table in _tables()
            for name, hint in get_type_hints(table, include_extras=True).items()
            if not name.startswith(("model_", "_")) and _holds(hint, field)
        }
    )


def _adapter(table: str, name: str) -> TypeAdapter[Any]:
    module, _, kind = table.rpartition(".")
    return TypeAdapter(get_type_hints(getattr(importlib.import_module(module), kind), include_extras=True)[name])


@pytest.mark.parametrize(("table", "name"), _fields(Ratio))
def test_a_share_above_one_is_refused(table: str, name: str) -> None:
    value = {"pieces" if name == "tax_rates" else "a": 1.01} if name in BY_NAME else 1.01
    with pytest.raises(ValidationError, match=r"share-above-one \(value = 1\.01,"):
        _adapter(table, name).validate_python(value)


@pytest.mark.parametrize(("table", "name"), _fields(Proportion))
def test_a_ratio_above_one_is_accepted(table: str, name: str) -> None:
    assert _adapter(table, name).validate_python(1.01) == 1.01


def test_the_ratios_are_these_and_no_others() -> None:
    assert {name for _, name in _fields(Proportion)} == RATIOS


@pytest.mark.parametrize("key", sorted(SHARES))
def test_every_share_is_refused_above_one(write_job: Callable[[str], Path], key: str) -> None:
    section, _, name = key.partition(".")
    with pytest.raises(InputError) as caught:
        load_job(write_job(f"{JOB}[workshop.{section}]\n{name} = 4\n"))
    assert f"workshop.{key}: 4 is above 1. A share is 0 to 1. For 4%, write 0.04." in str(caught.value)


def test_every_figure_below_one_is_a_share_or_listed_as_none() -> None:
    below = {
        f"{section}.{key}"
        for section, keys in figure_sections(built_in_catalog()).items()
        if section not in ("curing", "cement")  # each has a range of its own
        for key, value in keys.items()
        if isinstance(value, float) and value < 1.0
    }
    assert below <= SHARES | MORE_THAN_A_WHOLE_IS_POSSIBLE
    assert not SHARES & MORE_THAN_A_WHOLE_IS_POSSIBLE
