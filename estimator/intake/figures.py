"""The workshop's further figures: rates, limits, sizes by section, as many as the catalog names.

The catalog is the schema: a job may override a key of it with a figure of the same kind, and no other.
"""

from typing import Any

from estimator.errors import Fault
from estimator.intake.faults import nearest
from estimator.units import UnitsError, read_any, read_quantity, read_ratio

TYPED_SECTIONS = (
    "mixer",
    "thickness_tolerance",
    "consumables",
    "loading",
    "practice",
)  # tables of their own form, not plain figures

SHARES = frozenset(
    {
        *(f"waste.{method}" for method in ("pour", "spray", "brush", "hand")),
        *(f"mixing.{key}" for key in ("water_first", "strike_error", "pot_life_at_90F", "small_batch")),
        *(f"quote.remake_{risk}" for risk in ("plain", "large", "thin_railed", "colour_critical")),
        *(f"quote.{key}" for key in ("size_ballpark", "size_quoted", "ballpark_below")),
        *(f"quote.{key}" for key in ("deposit", "before_delivery", "on_install")),
        "forms.material_waste",
        "handling.soaked_gain",
    }
)
"""Figures that are a share of something, never above the whole. Those of [workshop.curing] have ranges of their own."""


def figure_sections(catalog: dict[str, Any]) -> dict[str, dict[str, Any]]:
    """The catalog's sections of plain figures; a list in one of them is read with the tables of `schema`."""
    return {
        name: {key: value for key, value in section.items() if not isinstance(value, list)}
        for name, section in catalog.get("workshop", {}).items()
        if isinstance(section, dict) and name not in TYPED_SECTIONS
    }


def read_figures(merged: dict[str, Any], catalog: dict[str, Any], file: str, faults: list[Fault]) -> dict[str, float]:
    """Every figure in SI, by dotted name ("handling.limit_level"); the catalog's in place of a faulty one, so that
    the checks after this find every other fault too.

    merged    the workshop's table over the catalog's
    catalog   the built-in catalog, whose keys and kinds rule
    """
    known = figure_sections(catalog)
    figures = {
        f"{section}.{key}": _figure(key, value, value) for section, keys in known.items() for key, value in keys.items()
    }
    for section, keys in known.items():
        given = merged.get(section, {})
        if not isinstance(given, dict):
            faults.append(Fault(file, f"workshop.{section}", "is not a table.", f"Write [workshop.{section}]."))
            continue
        lists = [key for key, value in catalog["workshop"][section].items() if isinstance(value, list)]
        for key, value in given.items():
            if key in lists:
                continue
            place = f"workshop.{section}.{key}"
            if key not in keys:
                faults.append(Fault(file, place, "this key is not known.", nearest(key, keys)))
                continue
            try:
                name = f"{section}.{key}"
                figure = _figure(key, value, keys[key])
                figures[name] = read_ratio(value) if name in SHARES else figure
            except UnitsError as error:
                faults.append(Fault(file, place, error.what, error.fix))
    return figures


def _figure(key: str, value: Any, example: Any) -> float:
    """`value` in SI, of the kind of the catalog's own entry. Raises UnitsError."""
    if isinstance(example, str):
        kind, _ = read_any(example)
        if kind == "temperature" and key.endswith("difference"):
            kind = "temperature-difference"
        return read_quantity(value, kind)
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise UnitsError(f"{value!r} is not a bare number.", f"Write one such as {example}.")
    if not 0.0 <= value < float("inf"):
        raise UnitsError(f"{value} is negative or without bound.", f"Write a number such as {example}.")
    return float(value)
