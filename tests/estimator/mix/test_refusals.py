"""Every refusal of a mix names the faulty key and what was entered."""

from collections.abc import Callable
from dataclasses import replace
from math import inf, nan
from typing import Any

import pytest

from estimator.errors import FaultError
from estimator.job import Material, Mix
from estimator.mix import faults_of, make, yield_of
from estimator.mix.calibrate import calibrate, fresh_density
from estimator.mix.fresh import stop_early, water_stages
from estimator.mix.proportions import (
    aggregate_that_fills_kg,
    mix_from_mass_per_volume,
    mix_from_volume_parts,
    recipe_of_weighed,
    share_of_sand_ratio,
)
from estimator.mix.replacement import replace_sand, swap_pair, with_replacement
from estimator.mix.table import recipe_for
from tests.refusal import words_of

Shelf = dict[str, Material]


@pytest.mark.parametrize(
    ("change", "key", "id", "entered"),
    [
        ({"cementitious_share": 0.0}, "cementitious_share", "mix-cementitious-share", "0"),
        ({"cementitious_share": 1.001}, "cementitious_share", "mix-cementitious-share", "1.001"),
        ({"cementitious_share": 1.0}, "cementitious_share", "mix-all-cementitious", ""),
        ({"water_cementitious": 0.0}, "water_cementitious", "mix-water-ratio", "0"),
        ({"water_cementitious": inf}, "water_cementitious", "mix-water-ratio", "inf"),
        ({"air": -0.01}, "air", "mix-air", "-0.01"),
        ({"air": 1.0}, "air", "mix-air", "1"),
        ({"water_density_kg_m3": 0.0}, "water_density", "mix-water-density", "0"),
        ({"water_density_kg_m3": -1.0}, "water_density", "mix-water-density", "−1"),
        ({"cementitious": {"cement": 0.9, "fume": -0.1}}, "cementitious.fume", "mix-share", "-0.1"),
        ({"cementitious": {"cement": 0.9}}, "cementitious", "mix-shares-sum", "0.9"),
        ({"cementitious": {}}, "cementitious", "mix-shares-none", ""),
        ({"aggregate": {"sand": 0.5}}, "aggregate", "mix-shares-sum", "0.5"),
        ({"aggregate": {"sand": 0.5, "water": 0.5}}, "aggregate.water", "mix-water-in-blend", ""),
        ({"aggregate": {"sand": 0.5, "gravel": 0.5}}, "aggregate.gravel", "mix-no-material-here", "gravel"),
        ({"reference_sand": None}, "reference_sand", "mix-no-reference", ""),
        ({"reference_sand": "grit"}, "reference_sand", "mix-no-material-here", "grit"),
        ({"admixtures": {"powder": -0.01}}, "admixtures.powder", "mix-dosage", "-0.01"),
        ({"polymer": {"emulsion": nan}}, "polymer.emulsion", "mix-dosage", "nan"),
        ({"pigment": {"black": inf}}, "pigment.black", "mix-dosage", "inf"),
        ({"fibre": {"glass": -1.0}}, "fibre.glass", "mix-dosage", "-1"),
        ({"fibre": {"glass": 1.0}, "fibre_basis": "total"}, "fibre", "mix-all-fiber", ""),
    ],
)
def test_an_impossible_mix_is_refused_by_its_key(
    shelf: Shelf, back_mix: Mix, change: dict[str, Any], key: str, id: str, entered: str
) -> None:
    found = {(fault.key, fault.message.id): fault for fault in faults_of(replace(back_mix, **change), shelf)}
    assert (key, id) in found
    assert entered in words_of(found[key, id])


@pytest.mark.parametrize(
    ("material", "change", "key", "id", "entered"),
    [
        ("cement", {"density_kg_m3": None}, "materials.cement.density", "mix-no-density", "cement"),
        ("cement", {"density_kg_m3": 0.0}, "materials.cement.density", "mix-no-density", "cement"),
        ("cement", {"density_kg_m3": inf}, "materials.cement.density", "mix-no-density", "cement"),
        ("sand", {"bulk_density_kg_m3": None}, "materials.sand.bulk_density", "mix-no-bulk-density", "sand"),
        ("sand", {"bulk_density_kg_m3": -1.0}, "materials.sand.bulk_density", "mix-no-bulk-density", "sand"),
        ("sand", {"bulk_density_kg_m3": inf}, "materials.sand.bulk_density", "mix-no-bulk-density", "sand"),
        ("liquid", {"solids": 0.0}, "materials.liquid.solids", "mix-solids", "0"),
        ("liquid", {"solids": 1.5}, "materials.liquid.solids", "mix-solids", "1.5"),
        ("sand", {"moisture": -0.02}, "materials.sand.moisture", "mix-moisture", "-0.02"),
        ("sand", {"moisture": inf}, "materials.sand.moisture", "mix-moisture", "inf"),
        ("sand", {"absorption": nan}, "materials.sand.absorption", "mix-absorption", "nan"),
        ("sand", {"absorption": 1.2}, "materials.sand.absorption", "mix-absorption-high", "0.012"),
    ],
)
def test_an_impossible_material_is_refused_by_its_key(
    shelf: Shelf, back_mix: Mix, material: str, change: dict[str, Any], key: str, id: str, entered: str
) -> None:
    other = shelf | {material: replace(shelf[material], **change)}
    mix = replace(back_mix, admixtures={"liquid": 0.01})
    found = {(fault.key, fault.message.id): fault for fault in faults_of(mix, other)}
    assert (key, id) in found
    assert entered in words_of(found[key, id])
    with pytest.raises(FaultError):
        make(mix, other)


def test_beads_may_absorb_more_than_sand_may(shelf: Shelf, back_mix: Mix) -> None:
    thirsty = shelf | {"bead": replace(shelf["bead"], absorption=1.2)}  # perlite takes up more than its own mass
    assert faults_of(back_mix, thirsty) == ()


WEIGHED = {"cement": 10.0, "sand": 10.0, "water": 4.0}


@pytest.mark.parametrize(
    ("call", "key", "id", "entered"),
    [
        (lambda _mix, _shelf: fresh_density(2.0, 2.0, 0.001), "weighed", "weighed-no-density", "2"),
        (lambda _mix, _shelf: fresh_density(2.0, -0.1, 0.001), "weighed", "weighed-no-density", ""),
        (lambda _mix, _shelf: fresh_density(2.0, 0.1, 0.0), "weighed", "weighed-no-density", ""),
        (lambda mix, shelf: calibrate(mix, shelf, 0.0), "measured_density", "weighed-not-positive", "0"),
        (lambda mix, shelf: make(mix, shelf, demould_loss=1.0), "demould_loss", "mix-loss", "1"),
        (lambda mix, shelf: make(mix, shelf, demould_loss=-0.1), "demould_loss", "mix-loss", "-0.1"),
        (lambda _mix, _shelf: water_stages(10.0, 1.1), "water_held_back", "mix-held-back", "1.1"),
        (lambda _mix, _shelf: water_stages(10.0, -0.1), "water_held_back", "mix-held-back", "-0.1"),
        (lambda mix, shelf: stop_early(mix, shelf, 0.34), "water_cementitious", "mix-stops-late", "0.34"),
        (
            lambda _mix, shelf: recipe_of_weighed(WEIGHED | {"gravel": 1.0}, shelf),
            "gravel",
            "mix-no-material-here",
            "gravel",
        ),
        (lambda _mix, shelf: recipe_of_weighed(WEIGHED | {"sand": -1.0}, shelf), "sand", "mix-mass-zero", "−1"),
        (
            lambda _mix, shelf: recipe_of_weighed({"sand": 1.0, "water": 1.0}, shelf),
            "cementitious",
            "mix-no-cementitious",
            "",
        ),
        (lambda _mix, shelf: recipe_of_weighed({"cement": 1.0}, shelf), "water", "mix-water-absorbed", ""),
        (
            lambda _mix, shelf: recipe_of_weighed(WEIGHED, shelf, reference_sand="grit"),
            "reference_sand",
            "mix-no-reference",
            "",
        ),
        (lambda _mix, _shelf: share_of_sand_ratio(-0.5), "sand_cementitious", "mix-sand-ratio", "-0.5"),
        (lambda _mix, _shelf: share_of_sand_ratio(inf), "sand_cementitious", "mix-sand-ratio", "inf"),
        (lambda _mix, shelf: mix_from_mass_per_volume("full", WEIGHED, 0.005, shelf), "air", "mix-overfull", ""),
        (
            lambda _mix, shelf: mix_from_volume_parts(
                "bare",
                {"cement": 1.0, "emulsion": 1.0, "glass": 1.0},
                shelf | {"glass": replace(shelf["glass"], bulk_density_kg_m3=None)},
                air=0.0,
                water_cementitious=0.4,
            ),
            "materials.glass.bulk_density",
            "mix-part-no-bulk",
            "glass",
        ),
        (
            lambda _mix, shelf: mix_from_volume_parts(
                "wet", {"cement": 1.0, "water": 1.0}, shelf, air=0.0, water_cementitious=0.4
            ),
            "water",
            "mix-water-twice-named",
            "",
        ),
        (
            lambda _mix, shelf: aggregate_that_fills_kg("sand", {"cement": 3000.0, "water": 500.0}, shelf, air=0.02),
            "sand",
            "mix-no-room",
            "1",
        ),
        (lambda mix, _shelf: with_replacement(mix, "grit", "pearl", 0.5), "aggregate.grit", "swap-neither", "pearl"),
        (lambda mix, _shelf: with_replacement(mix, "sand", "bead", 1.01), "replacement", "swap-fraction", "1.01"),
        (lambda mix, _shelf: with_replacement(mix, "sand", "bead", -0.01), "replacement", "swap-fraction", "-0.01"),
        (lambda mix, shelf: swap_pair(mix, shelf, "cement", None), "sand", "swap-no-sand", "cement"),
        (
            lambda mix, shelf: swap_pair(replace(mix, reference_sand=None), shelf, None, None),
            "sand",
            "swap-sand-unknown",
            "",
        ),
        (
            lambda mix, shelf: swap_pair(replace(mix, aggregate={"sand": 1.0}), shelf, None, None),
            "bead",
            "swap-bead-missing",
            "back",
        ),
        (lambda mix, shelf: swap_pair(mix, shelf, None, "glass"), "bead", "swap-no-bead", "glass"),
        (
            lambda mix, shelf: replace_sand(replace(mix, aggregate={"bead": 1.0}), shelf, "sand", "bead", 0.5, "mass"),
            "aggregate.sand",
            "swap-nothing",
            "sand",
        ),
        (lambda mix, shelf: recipe_for(make(mix, shelf)), "batch", "mix-size-count", "No batch size"),
        (lambda mix, shelf: recipe_for(make(mix, shelf), total_kg=0.0), "batch.total", "mix-size-zero", "0"),
        (
            lambda mix, shelf: recipe_for(make(mix, shelf), counted_dry_kg=-1.0),
            "batch.counted_dry",
            "mix-size-zero",
            "-1",
        ),
        (
            lambda mix, shelf: recipe_for(make(mix, shelf), material_kg=("gravel", 1.0)),
            "gravel",
            "mix-not-in-mix",
            "gravel",
        ),
        (lambda mix, shelf: yield_of(make(mix, shelf).recipe, shelf, 1.0), "air", "mix-air", "1"),
        (lambda mix, shelf: yield_of(make(mix, shelf).recipe, shelf, -0.1), "air", "mix-air", "-0.1"),
        (
            lambda mix, shelf: make(mix, shelf | {"emulsion": replace(shelf["emulsion"], density_kg_m3=2500.0)}),
            "materials.emulsion.density",
            "mix-solids-density",
            "0.5",
        ),
        (
            lambda mix, shelf: make(replace(mix, water_cementitious=0.01), shelf),
            "water_cementitious",
            "mix-too-wet",
            "0.01",
        ),
    ],
)
def test_a_question_without_an_answer_is_refused_by_its_key(
    shelf: Shelf, back_mix: Mix, call: Callable[[Mix, Shelf], object], key: str, id: str, entered: str
) -> None:
    with pytest.raises(FaultError) as refused:
        call(back_mix, shelf)
    assert (refused.value.key, refused.value.message.id) == (key, id)
    assert entered in words_of(refused.value)
