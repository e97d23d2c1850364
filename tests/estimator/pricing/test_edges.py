"""The price of worked edges by length."""

from collections.abc import Callable
from pathlib import Path

import pytest

from estimator import estimate, load_job

Write = Callable[[str], Path]
FOOT = 0.3048


def bar(edges: str) -> str:
    return (
        '[job]\nname = "Reading room"\nunits = "imperial"\ncurrency = "USD"\nmix = "backer-45"\n'
        '[[piece]]\nmark = "C1"\nuse = "counter"\n'
        f'shape = {{ kind = "slab", length = "72 in", width = "25.5 in", thickness = "1 in"{edges} }}\n'
    )


def test_a_drop_edge_is_priced_by_its_form_its_finish_and_its_concrete(write_job: Write) -> None:
    drop = ', drop_edges = [{ edges = ["front"], height = "3 in", thickness = "1.5 in" }]'
    result = estimate(load_job(write_job(bar(drop))))
    (edge,) = result.document()["pieces"][0]["edges"]
    assert (edge["number"], edge["side"], edge["profile"]) == (1, "front", None)
    assert edge["length_m"] == pytest.approx(72 * 0.0254)
    # first principles, from the shop's own rates: 0.05 h/ft of board, 0.28 + 0.3 + 0.2 h/ft² of its face 2 in high
    hours = 0.05 + (0.28 + 0.3 + 0.2) * 2 / 12
    cost = result.document()["cost"]
    direct = sum(
        cost[key]
        for key in ("materials", "consumables", "labour", "allowances", "forms", "freight", "delivery", "gear")
    )
    layer = result.pieces["C1"].taken.layers[0]
    per_m3 = next(mix["cost_per_m3"] for mix in result.document()["mixes"]) * (1 + layer.waste)
    concrete = per_m3 * 2 * 1.5 * 0.0254**2 * FOOT
    expected = (hours * 42.0 + concrete) * cost["price"] / direct
    assert edge["price_per_length"] * FOOT == pytest.approx(expected, rel=1e-4)
    assert result.working("pieces.C1.edges.1.price_per_length").result == pytest.approx(edge["price_per_length"])


def test_a_raw_edge_has_no_finish_to_pay_for(write_job: Write) -> None:
    drop = ', drop_edges = [{ edges = ["back"], height = "3 in", thickness = "1.5 in" }]'
    made = [estimate(load_job(write_job(bar(drop + more)))) for more in ("", ', raw_edges = ["back"]')]
    seen, raw = (each.document()["pieces"][0]["edges"][0] for each in made)
    assert raw["price_per_length"] < seen["price_per_length"]
    # first principles, from the shop's own rates: honing 0.3 and sealing 0.2 h/ft² of a face 2 in high, at 42.00
    for result, hours in zip(made, ((0.3 + 0.2) * 2 / 12, 0.0), strict=True):
        values = result.working("pieces.C1.edges.3.price_per_length").values
        assert values["finish_hours"] * values["face_m"] * FOOT == pytest.approx(hours, rel=1e-3)


def test_a_plain_slab_has_no_worked_edges(write_job: Write) -> None:
    assert estimate(load_job(write_job(bar("")))).document()["pieces"][0]["edges"] == []
