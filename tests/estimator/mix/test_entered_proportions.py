"""A mix is the same however it is written, and can be shown in any form and size."""

from dataclasses import replace

import pytest

from estimator.errors import FaultError
from estimator.job import Material, Mix
from estimator.mix import make, proportion
from estimator.mix.proportions import (
    mix_from_mass_per_volume,
    mix_from_masses,
    mix_from_volume_parts,
    mix_of_recipe,
    recipe_of_weighed,
    sand_ratio_of_share,
    share_of_sand_ratio,
)
from estimator.mix.table import recipe_for, show

LB_KG = 0.45359237


def assert_same_mix(one: Mix, other: Mix) -> None:
    for role in ("cementitious", "aggregate", "admixtures", "polymer", "pigment", "fibre"):
        assert dict(getattr(one, role)) == pytest.approx(dict(getattr(other, role)), rel=1e-12), role
    for figure in ("cementitious_share", "water_cementitious", "air"):
        assert getattr(one, figure) == pytest.approx(getattr(other, figure), rel=1e-12), figure


@pytest.mark.parametrize("basis", ["counted-dry", "total"])
def test_masses_as_weighed_give_the_mix_back_even_from_damp_stock(
    shelf: dict[str, Material], back_mix: Mix, basis: str
):
    mix = replace(back_mix, fibre_basis=basis)
    damp = shelf | {
        "sand": replace(shelf["sand"], moisture=0.05, absorption=0.01),
        "bead": replace(shelf["bead"], absorption=0.2),
    }
    weighed = proportion(mix, damp).scaled(37.0).weighed_kg
    assert_same_mix(mix_from_masses("back", weighed, damp, air=0.04, fibre_basis=basis), mix)


def test_a_batch_in_pounds_is_read_as_its_mix(shelf: dict[str, Material]):
    # common practice: 45 lb cement, 5 lb fume, 25 lb sand and its bucket of beads, 17 lb water, 3 lb fiber
    pounds = {"cement": 45.0, "fume": 5.0, "sand": 25.0, "bead": 25.0 * 48.0 / 1600.0, "water": 17.0, "glass": 3.0}
    mix = mix_from_masses("wall", {name: lb * LB_KG for name, lb in pounds.items()}, shelf, air=0.04)
    assert mix.cementitious_share == pytest.approx(0.5)
    assert mix.aggregate == pytest.approx({"sand": 0.5, "bead": 0.5})
    assert mix.water_cementitious == pytest.approx(0.34)
    assert mix.fibre == pytest.approx({"glass": 0.03})


def test_mass_per_volume_gives_the_air_left_over(shelf: dict[str, Material], back_mix: Mix):
    made = make(back_mix, shelf)
    assert_same_mix(mix_from_mass_per_volume("back", made.recipe_kg_m3, 1.0, shelf), back_mix)
    with pytest.raises(FaultError, match=r"mix-overfull \(filled = 1.2\)"):
        mix_from_mass_per_volume("back", made.recipe_kg_m3, 0.8, shelf)


@pytest.mark.parametrize("basis", ["counted-dry", "total"])
def test_volume_parts_are_loose_buckets(shelf: dict[str, Material], basis: str):
    parts = {"cement": 1.0, "sand": 0.5, "bead": 0.5, "emulsion": 0.06, "glass": 0.05}
    by_ratio = mix_from_volume_parts(
        "b",
        parts,
        shelf,
        air=0.05,
        water_cementitious=0.35,
        fibre_basis=basis,  # type: ignore[arg-type]
    )
    assert by_ratio.aggregate == pytest.approx({"sand": 0.5, "bead": 0.5})
    assert by_ratio.cementitious_share == pytest.approx(1300.0 / (1300.0 + 1600.0))
    assert by_ratio.polymer["emulsion"] == pytest.approx(0.06 * 1060.0 * 0.5 / 1300.0)
    assert by_ratio.water_cementitious == 0.35
    weighed = proportion(by_ratio, shelf).weighed_kg
    assert weighed["glass"] / weighed["cement"] == pytest.approx(0.05 * 400.0 / 1300.0)
    water = weighed["water"] / weighed["cement"] * 1300.0 / 998.0
    assert_same_mix(
        mix_from_volume_parts("b", {**parts, "water": water}, shelf, air=0.05, fibre_basis=basis),  # type: ignore[arg-type]
        by_ratio,
    )
    with pytest.raises(FaultError, match="mix-water-twice-named"):
        mix_from_volume_parts("b", parts, shelf, air=0.05)
    with pytest.raises(FaultError, match="mix-part-no-bulk"):
        mix_from_volume_parts("b", {**parts, "powder": 0.1}, shelf, air=0.05, water_cementitious=0.35)


def test_a_sand_ratio_refers_to_the_cementitious_material():
    assert share_of_sand_ratio(1.0) == 0.5
    assert share_of_sand_ratio(7.0 / 3.0) == pytest.approx(0.30)
    assert sand_ratio_of_share(share_of_sand_ratio(0.8)) == pytest.approx(0.8)
    with pytest.raises(FaultError, match="mix-sand-ratio"):
        share_of_sand_ratio(-1.0)


@pytest.mark.parametrize(
    ("size", "read"),
    [
        ({"counted_dry_kg": 45.0}, lambda batch: batch.counted_dry_kg / 45.0),
        ({"total_kg": 80.0}, lambda batch: sum(batch.weighed_kg.values()) / 80.0),
        ({"material_kg": ("cement", 2 * 42.638)}, lambda batch: batch.weighed_kg["cement"] / 85.276),
    ],
)
def test_a_batch_has_the_size_asked_for(shelf: dict[str, Material], back_mix: Mix, size: dict, read):
    assert read(recipe_for(make(back_mix, shelf), **size)) == pytest.approx(1.0, rel=1e-12)


def test_a_batch_by_finished_volume_is_shown_with_that_volume(shelf: dict[str, Material], back_mix: Mix):
    made = make(back_mix, shelf)
    shown = show(made, shelf, "masses", recipe_for(made, finished_m3=0.05))
    assert shown.finished_m3 == pytest.approx(0.05)
    assert {line.name: line.value for line in shown.lines} == pytest.approx(
        {name: 0.05 * kg for name, kg in made.recipe_kg_m3.items()}
    )
    with pytest.raises(FaultError, match=r"mix-size-count \(count = 2\)"):
        recipe_for(made, finished_m3=0.05, total_kg=10.0)
    with pytest.raises(FaultError, match="mix-not-in-mix"):
        recipe_for(made, material_kg=("gravel", 1.0))


@pytest.mark.parametrize("basis", ["counted-dry", "total"])
def test_shown_ratios_are_those_of_the_job_file(shelf: dict[str, Material], back_mix: Mix, basis: str):
    made = make(replace(back_mix, fibre_basis=basis), shelf)
    lines = show(made, shelf, "share").lines
    values = {line.name: line.value for line in lines[:-1]}
    assert values == pytest.approx(
        {
            "cementitious": 0.5,
            "cement": 0.9,
            "fume": 0.1,
            "sand": 0.5,
            "bead": 0.5,
            "powder": 0.035,
            "emulsion": 0.05,
            "black": 0.02,
            "glass": 0.03,
            "water": 0.34,
        }
    )
    fibre = next(line for line in lines if line.name == "glass")
    assert fibre.basis.id == ("ratio-of-total" if basis == "total" else "ratio-of-counted-dry")
    assert lines[-1].value == pytest.approx(0.34 / 0.9)
    assert lines[-1].basis.id == "ratio-w-c"
    first = show(made, shelf, "sand-ratio").lines[0]
    assert (first.name, first.value) == ("sand", pytest.approx(1.0))


def test_shown_parts_are_buckets_per_bucket_of_cement(shelf: dict[str, Material], back_mix: Mix):
    made = make(back_mix, shelf)
    parts = {line.name: line.value for line in show(made, shelf, "volume-parts").lines}
    assert parts["cement"] == 1.0
    assert parts["sand"] == pytest.approx(parts["bead"]) == pytest.approx(0.25 / 1600.0 / (0.45 / 1300.0))
    per_volume = show(made, shelf, "mass-per-volume").lines
    assert {line.name: line.value for line in per_volume} == pytest.approx(made.recipe_kg_m3)


def test_an_impossible_batch_is_refused(shelf: dict[str, Material]):
    good = {"cement": 10.0, "sand": 10.0, "water": 4.0}
    for change, words in (
        ({"cement": 0.0}, "mix-no-cementitious"),
        ({"sand": -1.0}, "mix-mass-zero"),
        ({"gravel": 1.0}, "mix-no-material-here"),
        ({"water": 0.0}, "mix-water-absorbed"),
    ):
        with pytest.raises(FaultError, match=words):
            recipe_of_weighed(good | change, shelf)
    with pytest.raises(FaultError, match="mix-no-reference"):
        recipe_of_weighed(
            good, shelf | {"fine": shelf["sand"]} | {"sand": replace(shelf["sand"], kind="light-aggregate")}
        )


def test_a_recipe_gives_its_mix_back(shelf: dict[str, Material], back_mix: Mix):
    again = mix_of_recipe(proportion(back_mix, shelf), reference_sand="sand", air=0.04)
    assert_same_mix(again, back_mix)
