"""Waterfall legs and splashes in a job: pieces of their own, moved with their piece where the shop glues them."""

import json
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from estimator import Estimate, estimate, load_job
from estimator.__main__ import run
from estimator.errors import InputError
from estimator.estimate import price_before_tax
from estimator.intake import read_job

Write = Callable[[str], Path]

IN = 0.0254
HEAD = '[job]\nname = "Boat shed bar"\nunits = "imperial"\ncurrency = "USD"\nmix = "backer-45"\n'


def bar(glued: str, extra: str = "") -> str:
    return HEAD + (
        '[[piece]]\nmark = "C1"\nuse = "counter"\ndescription = "Bar"\n'
        'shape = { kind = "slab", length = "60 in", width = "25 in", thickness = "1.5 in", '
        f'waterfalls = [{{ edges = ["left", "right"], height = "36 in", glued = "{glued}" }}], '
        f'splashes = [{{ edges = ["back"], height = "4 in", thickness = "3/4 in", mark = "BS" }}] }}\n{extra}'
    )


def on_truck(result: Estimate) -> list[str]:
    """Marks of the pieces on the truck."""
    return [mark for stand in result.result.delivery.stands for mark in stand.pieces]


def test_a_waterfall_and_a_splash_become_pieces_of_their_own(write_job: Write) -> None:
    result = estimate(load_job(write_job(bar("site"))))
    assert list(result.pieces) == ["C1", "C1-W1", "C1-W2", "BS"]
    # first principles, in inches: both ends mitered at 45°
    assert result.pieces["C1"].taken.volume_m3 / IN**3 == pytest.approx(25 * 1.5 * (60 - 1.5), rel=1e-9)
    assert result.pieces["C1-W1"].taken.volume_m3 / IN**3 == pytest.approx(1321.875, rel=1e-9)
    assert result.pieces["BS"].taken.volume_m3 / IN**3 == pytest.approx(60 * 4 * 0.75, rel=1e-9)
    assert result.pieces["BS"].taken.plan.gross_m2 / IN**2 == pytest.approx(60 * 4)
    entries = {entry["mark"]: entry for entry in result.document()["pieces"]}
    assert entries["BS"]["use"] == "splash"
    assert [entries[mark]["part_of"] for mark in ("C1", "C1-W1", "BS")] == ["", "C1", "C1"]
    splash = entries["BS"]
    assert splash["price_per_length"] == pytest.approx(float(splash["price"]) / (60 * IN))
    assert result.pieces["BS"].handling.in_use.hung is None  # glued, without anchors


def test_parts_glued_on_site_travel_separately(write_job: Write) -> None:
    site = estimate(load_job(write_job(bar("site"))))
    shop = estimate(load_job(write_job(bar("shop"))))
    assert site.pieces["C1"].weight.lift_kg < shop.pieces["C1"].weight.lift_kg / 2
    assert {"C1", "C1-W1", "C1-W2", "BS"} == set(on_truck(site))
    assert {"C1", "BS"} == set(on_truck(shop))


def test_parts_glued_in_the_shop_count_as_one_for_weight_balance_and_access(write_job: Write) -> None:
    site = estimate(load_job(write_job(bar("site"))))
    shop = estimate(load_job(write_job(bar("shop"))))
    own = {mark: site.pieces[mark].weight.lift_kg for mark in ("C1", "C1-W1", "C1-W2")}
    top = shop.pieces["C1"]
    assert top.weight.lift_kg == pytest.approx(sum(own.values()), rel=1e-6)
    assert top.weight.turn_kg == pytest.approx(site.pieces["C1"].weight.turn_kg)  # flipped as cast
    assert top.handling.size_m[2] == pytest.approx(36 * IN)  # the legs hang below it
    # first principles: legs of 1,321.875 in³ at both ends about the middle of the top, and below it
    x, y, z = (value / IN for value in top.weight.centers_m["transport"])
    assert (x, y) == pytest.approx((30, 12.5), abs=1e-6)
    volumes, heights = (2193.75, 1321.875), (0.75641, 1.5 - 36 + 17.62766)
    low = (volumes[0] * heights[0] + 2 * volumes[1] * heights[1]) / (volumes[0] + 2 * volumes[1])
    assert z == pytest.approx(low, abs=1e-4)
    assert top.weight.center_of_gravity_m == top.weight.centers_m["transport"]
    crews = {move.name: move.crew for move in top.handling.moves}
    assert crews["strip"] == next(m.crew for m in site.pieces["C1"].handling.moves if m.name == "strip")
    carry = [site.pieces["C1"].handling.carry.persons, top.handling.carry.persons]
    assert carry[1] is None or (carry[0] is not None and carry[1] >= carry[0])


def test_a_glued_leg_has_a_caution_against_lifting_by_it(write_job: Write) -> None:
    result = estimate(load_job(write_job(bar("shop"))))
    (caution,) = [caution for caution in result.result.cautions if caution.caution.id == "glued-parts"]
    assert {"C1", "C1-W1", "C1-W2", "BS"} <= set(caution.reasons)


def test_a_part_with_the_mark_of_another_piece_is_refused(write_job: Write) -> None:
    twin = '[[piece]]\nmark = "C1-W1"\nshape = { kind = "slab", length = "9 in", width = "9 in", thickness = "1 in" }\n'
    with pytest.raises(InputError) as refused:
        load_job(write_job(bar("site", twin)))
    assert ["C1-W1 has the mark of another piece" in fault.what for fault in refused.value.faults] == [True]


def ways_of(path: Path, capsys: pytest.CaptureFixture[str]) -> list[dict[str, Any]]:
    assert run(["lighten", str(path), "--piece", "C1", "--json"]) == 0
    ways: list[dict[str, Any]] = json.loads(capsys.readouterr().out)["pieces"][0]["options"]
    return ways


def test_each_way_to_lighten_a_glued_piece_gives_what_it_stated(
    write_job: Write, capsys: pytest.CaptureFixture[str]
) -> None:
    text = bar("shop").replace('mark = "BS"', 'mark = "BS", glued = "shop"')
    ways = ways_of(write_job(text), capsys)
    assert {way["glued_on_site"] for way in ways} == {True, False}
    for way in ways:
        path = write_job(text)
        assert run(["lighten", str(path), "--piece", "C1", "--apply", str(way["n"]), "--accept-untested"]) == 0
        capsys.readouterr()
        job = read_job(path).sound()
        assert {piece.glued for piece in job.pieces if piece.part in ("leg", "splash")} == {
            "site" if way["glued_on_site"] else "shop"
        }
        assert price_before_tax(job) == Decimal(str(way["price"]))
        result = estimate(load_job(path))
        for part in way["parts"]:
            assert result.pieces[part["mark"]].weight.lift_kg == pytest.approx(part["lift_kg"], rel=1e-3)
            assert result.pieces[part["mark"]].handling.people <= way["people"]


def test_legs_glued_in_the_shop_count_in_the_search_for_seams(
    write_job: Write, capsys: pytest.CaptureFixture[str]
) -> None:
    shop, site = (ways_of(write_job(bar(glued)), capsys) for glued in ("shop", "site"))
    kept = [way for way in shop if not way["glued_on_site"] and way["seams"]]
    bare = {way["people"]: len(way["seams"]) for way in site if way["mix"] == "backer-45" and way["core"] is None}
    assert kept
    assert all(len(way["seams"]) >= bare.get(way["people"], 0) for way in kept)
    heaviest_kg = [max(part["lift_kg"] for part in way["parts"]) for way in kept]
    assert all(mass_kg <= way["people"] * 22.7 for mass_kg, way in zip(heaviest_kg, kept, strict=True))


def test_gluing_on_site_is_suggested_where_it_is_enough(write_job: Write, capsys: pytest.CaptureFixture[str]) -> None:
    short = bar("shop").replace("60 in", "40 in")
    assert run(["estimate", str(write_job(short))]) == 0
    assert "with legs glued on site" in " ".join(capsys.readouterr().out.split())


def test_the_order_of_setting_names_parts_once(write_job: Write) -> None:
    order = bar("site", '[site]\norder = ["BS", "C1"]\n')
    job = load_job(write_job(order))
    assert job.site is not None
    assert job.site.order == ("BS", "C1", "C1-W1", "C1-W2")


def test_a_splash_takes_the_layers_of_its_piece_in_a_thickness_of_its_own(write_job: Write) -> None:
    layers = 'layers = [{ mix = "face", thickness = "1/8 in", method = "spray" }, { mix = "backer-45" }]\n'
    result = estimate(load_job(write_job(bar("site", layers))))
    assert [layer.mix for layer in result.pieces["BS"].taken.layers] == ["face", "backer-45"]
