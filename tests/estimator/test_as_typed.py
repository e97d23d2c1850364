"""A fault shows what was entered as it was typed: rounded, 0.0005 MPa would be 0.00 MPa, and the fault a riddle."""

from pathlib import Path
from typing import Any

import pytest

from estimator import InputError, estimate, job_from
from estimator.intake.read import read_raw_job
from estimator.words import Words
from estimator.workshop import SECTIONS, Setting, settings_of
from geometry.message import message

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


@pytest.mark.parametrize(
    ("piece", "line"),
    [
        (
            {
                "shape": SLAB,
                "layers": [{"mix": "face", "thickness": "10 mm"}, {"mix": "face", "thickness": "15.01 mm"}],
            },
            "add up to 25.01 mm, but the piece is 25 mm thick",
        ),
        (
            {"shape": {**SLAB, "drop_edges": [{"sides": ["front"], "height": "24.996 mm", "thickness": "20 mm"}]}},
            "is 24.996 mm, less than the slab thickness (25 mm)",
        ),
        (
            {
                "shape": {
                    **SLAB,
                    "drop_edges": [{"sides": ["front"], "height": "2 in", "thickness": "1.00002 m"}],
                }
            },
            "is 1000.02 mm, but at most 1000 mm fits",
        ),
        ({"shape": {**SLAB, "thickness": "0.0004 mm"}}, "0.0004 mm is too thin to cast. Write 1.5 mm or more"),
        (
            {"shape": SLAB, "inserts": [{"name": "foam", "displaces": "25.0001 L", "mass": "1 kg"}]},
            "displace 25.0001 L of a layer of 25 L",
        ),
    ],
)
def test_a_stage_shows_the_digits_that_tell_a_mistake(piece: dict[str, Any], line: str) -> None:
    raw = {"job": {"name": "x", "units": "metric", "mix": "backer-45"}, "piece": [{"mark": "A", **piece}]}
    with pytest.raises(InputError) as refused:
        estimate(job_from(raw))
    assert line in str(refused.value)


def test_figures_that_read_alike_get_digits_until_they_differ() -> None:
    # first principles: 1 in = 0.0254 m exactly
    words = Words("imperial", "USD", exact=True)
    taken = message("inserts-fill-layer", displaced_m3=0.0200000001, layer_m3=0.02)
    assert words.text(taken).startswith("The inserts displace 0.706293338 ft³ of a layer of 0.706293334 ft³")
    assert Words("imperial", "USD").text(taken).startswith("The inserts displace 0.71 ft³ of a layer of 0.71 ft³")
    assert words.text(message("layers-sum", known_m=0.0254 * 1.0625, whole_m=0.0254)).startswith('add up to 1-1/16"')
