"""Price and weight per area refer to plan area, which a client pays for and an engineer reads."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from estimator.commands.jobs import estimate_file
from estimator.document import to_document

HEAD = '[job]\nname = "Areas"\nunits = "metric"\nmix = "backer-45"\n'
DROPS = 'drop_edges = [{ sides = ["front"], height = "300 mm", thickness = "30 mm" }]'
SINK = 'cutouts = [{ kind = "rectangle", length = "500 mm", width = "400 mm", x = "600 mm", y = "100 mm" }]'


def counter(more: str, place: str = "") -> str:
    shape = f'{{ kind = "slab", length = "2 m", width = "600 mm", thickness = "20 mm", {more} }}'
    return f'{HEAD}[[piece]]\nmark = "C1"\nuse = "counter"\nshape = {shape}\n{place}\n'


@pytest.mark.parametrize("place", ["", "in_place = { outdoors = true }"])
def test_deep_edges_add_no_plan_area(write_job: Callable[[str], Path], place: str) -> None:
    (told,) = to_document(estimate_file(write_job(counter(f"{DROPS}, {SINK}", place))))["pieces"]
    assert told["plan_area_m2"] == pytest.approx(1.2)
    assert told["net_plan_area_m2"] == pytest.approx(1.0)
    assert told["price_per_area"] == pytest.approx(told["price"] / 1.2)
    weight = told["weight"]
    assert told["mass_per_area_kg_m2"] == pytest.approx(weight["installed_kg"] / 1.0)
    stages = {name: band["high_kg"] for name, band in weight["stages"].items()}
    assert told["high_per_area_kg_m2"] == pytest.approx(max(stages.values()))
    assert ("soaked" in stages) == bool(place)
    (edge,) = told["drop_edges"]
    high_kg_m3 = stages["soaked" if place else "transport"] / told["volume_m3"]
    assert edge["high_kg_per_m"] == pytest.approx(high_kg_m3 * 0.030 * 0.280)  # below a slab of 20 mm
    assert edge["sides"] == ["front"]
