"""A fault shows what was entered as it was typed: rounded, 0.0005 MPa would be 0.00 MPa, and the fault a riddle."""

from pathlib import Path
from typing import Any

import pytest

from estimator.intake.read import read_raw_job
from estimator.workshop import SECTIONS, Setting, settings_of

UNITS = {
    "angle": "deg", "area": "m^2", "area-per-time": "m^2/h", "areal-mass": "kg/m^2", "density": "kg/m^3",
    "evaporation": "kg/m^2/h", "force": "N", "heat-transfer": "W/m^2/K", "length": "mm", "mass": "kg",
    "pressure": "kPa", "specific-surface": "m^2/kg", "speed": "m/s", "temperature": "degC",
    "temperature-difference": "K", "time": "h", "time-per-area": "min/m^2", "time-per-length": "min/m",
    "volume": "L", "share": "%",
}  # fmt: skip
NUMBERS = ("-273.1499", "0.00012345", "1.00000123", "59.99999999", "99999.12345", "3999999.12345")
SLAB = {"kind": "slab", "length": "1 m", "width": "1 m", "thickness": "25 mm"}
FEW_DECIMALS = ("strip_from", "strip_to")
"""Keys whose faults are about two settings, of which one may be a default."""


def lines(**tables: Any) -> list[str]:
    head = {"name": "x", "units": "metric", "mix": "backer-45"}
    raw = {"job": head, "piece": [{"mark": "A", "shape": SLAB}], **tables}
    return [str(fault) for fault in read_raw_job(raw, Path("job.toml")).faults]


SETTINGS = [(section, key, mark) for section, kind in SECTIONS.items() for _, key, mark in settings_of(kind)]


@pytest.mark.parametrize("number", NUMBERS)
def test_every_setting_out_of_range_is_shown_as_typed(number: str) -> None:
    shown = 0
    for section, key, setting in SETTINGS:
        assert isinstance(setting, Setting)
        unit = UNITS.get(setting.kind)
        found = lines(workshop={section: {key: f"{number} {unit}" if unit else float(number)}})
        own = [line for line in found if f"workshop.{section}" in line and key not in FEW_DECIMALS]
        shown += len(own)
        sums = ("add up to", "must be more than 0")
        assert [line for line in own if number not in line and not any(part in line for part in sums)] == []
    assert shown


@pytest.mark.parametrize(
    ("tables", "typed"),
    [
        ({"price": {"margin": 0.9499999}}, "0.9499999"),
        ({"price": {"overhead": "1000.00001 %"}}, "10.0000001"),
        ({"materials": {"sand": {"analysis": {"blaine": "1234.56789 m^2/kg"}}}}, "1234.56789"),
        ({"piece": [{"mark": "A", "shape": {**SLAB, "length": 1234567.5}}]}, "1234567.5"),
        ({"piece": [{"mark": "A", "quantity": 123456789, "shape": SLAB}]}, "123,456,789"),
        ({"piece": [{"mark": "A", "shape": {**SLAB, "length": "-0.00001 mm"}}]}, "-0.00001 mm"),
    ],
)
def test_what_a_table_refuses_is_shown_as_typed(tables: dict[str, Any], typed: str) -> None:
    assert any(typed in line for line in lines(**tables)), lines(**tables)
