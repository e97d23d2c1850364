"""The shop's settings in SI, read as their classes in estimator.workshop say, with the job's own cure over them."""

from dataclasses import astuple, replace
from typing import Any, cast

from estimator.cement import CementAnalysis
from estimator.errors import Fault, FaultError
from estimator.intake.faults import nearest
from estimator.job import RoomCure
from estimator.units import Kind, read_quantity, read_ratio
from estimator.workshop import BARE, SECTIONS, Setting, Settings, settings_from, settings_of


def figure_sections(catalog: dict[str, Any]) -> dict[str, dict[str, Any]]:
    """The catalog's defaults of every setting, by section and key."""
    return {
        section: {key: catalog["workshop"][section][key] for _, key, _ in settings_of(kind)}
        for section, kind in SECTIONS.items()
    }


def read_settings(merged: dict[str, Any], catalog: dict[str, Any], file: str, faults: list[Fault]) -> Settings:
    """Every setting in SI; the catalog's in place of a faulty one, so that the checks after this find every other fault
    too.

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
            except FaultError as error:
                faults.append(Fault(file, place, error.what, error.fix))
                continue
            check = settings[key].check
            problem = None if check is None else check(figure)
            if problem is None:
                figures[f"{section}.{key}"] = figure
            else:
                faults.append(Fault(file, place, *problem))
    return settings_from(figures)


def _read(value: Any, setting: Setting, example: Any) -> float:
    """`value` in SI, of the kind of its setting. Raises FaultError."""
    if setting.kind == "share":
        return read_ratio(value)
    if setting.kind not in BARE:
        return read_quantity(value, cast(Kind, setting.kind))
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise FaultError("", f"{value!r} is not a bare number.", f"Write one such as {example}.")
    if not 0.0 <= value < float("inf"):
        raise FaultError("", f"{value} is negative or without bound.", f"Write a number such as {example}.")
    return float(value)


def over_settings(cure: RoomCure | None, shop: Settings, file: str, faults: list[Fault]) -> Settings:
    """The shop's settings with the job's own cure over them. Adds a fault where two contradict."""
    if cure is not None:
        own = {
            "room_c": cure.room_c,
            "mix_temperature_c": cure.mix_temperature_c,
            "humidity": cure.humidity,
            "air_speed_m_s": cure.air_speed_m_s,
            "uncovered_s": cure.uncovered_s,
            "tarp_conductance_w_m2_k": cure.tarp_resistance_m2k_w and 1.0 / cure.tarp_resistance_m2k_w,
            "form_conductance_w_m2_k": cure.form_resistance_m2k_w and 1.0 / cure.form_resistance_m2k_w,
        }
        shop = replace(shop, curing=replace(shop.curing, **{k: v for k, v in own.items() if v is not None}))
    if shop.curing.strip_to_s < shop.curing.strip_from_s:
        faults.append(Fault(file, "workshop.curing.strip_to", "is before strip_from.", "Exchange them."))
    try:
        CementAnalysis(*astuple(shop.cement))
    except FaultError as error:
        faults.append(Fault(file, "workshop.cement", error.what, error.fix))
    return shop
