"""The shop's settings: each key of `[workshop.SECTION]` in SI, read as its class in estimator.workshop says."""

from typing import Any, cast

from estimator.errors import Fault
from estimator.intake.faults import nearest
from estimator.units import Kind, UnitsError, read_quantity, read_ratio
from estimator.workshop import BARE, SECTIONS, Setting, settings_of


def figure_sections(catalog: dict[str, Any]) -> dict[str, dict[str, Any]]:
    """The catalog's defaults of every setting, by section and key."""
    return {
        section: {key: catalog["workshop"][section][key] for _, key, _ in settings_of(kind)}
        for section, kind in SECTIONS.items()
    }


def read_figures(merged: dict[str, Any], catalog: dict[str, Any], file: str, faults: list[Fault]) -> dict[str, float]:
    """Every setting in SI by dotted key ("handling.limit_level"); the catalog's in place of a faulty one, so that the
    checks after this find every other fault too.

    merged    the workshop's table over the catalog's
    catalog   the built-in catalog, which has the default of each
    """
    defaults = figure_sections(catalog)
    figures: dict[str, float] = {}
    for section, kind in SECTIONS.items():
        settings = {key: setting for _, key, setting in settings_of(kind)}
        figures |= {f"{section}.{key}": _read(defaults[section][key], settings[key], "") for key in settings}
        given = merged.get(section, {})
        if not isinstance(given, dict):
            faults.append(Fault(file, f"workshop.{section}", "is not a table.", f"Write [workshop.{section}]."))
            continue
        for key, value in given.items():
            if isinstance(catalog["workshop"][section].get(key), list):
                continue
            place = f"workshop.{section}.{key}"
            if key not in settings:
                faults.append(Fault(file, place, "this key is not known.", nearest(key, settings)))
                continue
            try:
                figure = _read(value, settings[key], defaults[section][key])
            except UnitsError as error:
                faults.append(Fault(file, place, error.what, error.fix))
                continue
            check = settings[key].check
            problem = None if check is None else check(figure)
            if problem is None:
                figures[f"{section}.{key}"] = figure
            else:
                faults.append(Fault(file, place, *problem))
    return figures


def _read(value: Any, setting: Setting, example: Any) -> float:
    """`value` in SI, of the kind of its setting. Raises UnitsError."""
    if setting.kind == "share":
        return read_ratio(value)
    if setting.kind not in BARE:
        return read_quantity(value, cast(Kind, setting.kind))
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise UnitsError(f"{value!r} is not a bare number.", f"Write one such as {example}.")
    if not 0.0 <= value < float("inf"):
        raise UnitsError(f"{value} is negative or without bound.", f"Write a number such as {example}.")
    return float(value)
