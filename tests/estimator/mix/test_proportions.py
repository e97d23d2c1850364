"""Properties of every mix: mass in equals mass out, the parts fill the whole, and faults are named."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimator.errors import FaultError
from estimator.job import Material, Mix
from estimator.mix import faults_of, make, proportion, yield_of
from estimator.mix.proportions import mix_of_recipe
from estimator.words import PLAIN

FEW = settings(max_examples=60, deadline=None)


@st.composite
def mixes(draw: st.DrawFn) -> tuple[Mix, dict[str, Material]]:
    """A mix of every kind of material, in a state of stock of its own, that still takes weighed water."""
    number = st.floats
    fume = draw(number(0.0, 0.3))
    beads = draw(number(0.0, 1.0))
    density = draw(number(20.0, 120.0)) / 0.62
    stock = [
        Material("cement", "cement", draw(number(2900.0, 3200.0)), 1300.0),
        Material("fume", "pozzolan", 2220.0, 600.0),
        Material("sand", "sand", 2640.0, draw(number(1300.0, 1750.0)), moisture=draw(number(0.0, 0.04))),
        Material("bead", "light-aggregate", density, 0.62 * density, absorption=draw(number(0.0, 0.2))),
        Material("liquid", "admixture", 1070.0, None, solids=draw(number(0.3, 1.0))),
        Material("emulsion", "polymer", 1060.0, None, solids=0.5),
        Material("black", "pigment", 4700.0, 900.0),
        Material("glass", "fibre", 2680.0, None),
    ]
    mix = Mix(
        name="drawn",
        cementitious_share=draw(number(0.3, 0.8)),
        cementitious={"cement": 1.0 - fume, "fume": fume},
        aggregate={"sand": 1.0 - beads, "bead": beads},
        reference_sand="sand",
        water_cementitious=draw(number(0.30, 0.60)),
        air=draw(number(0.0, 0.25)),
        admixtures={"liquid": draw(number(0.0, 0.02))},
        polymer={"emulsion": draw(number(0.0, 0.06))},
        pigment={"black": draw(number(0.0, 0.08))},
        fibre={"glass": draw(number(0.0, 0.05))},
        fibre_basis=draw(st.sampled_from(["counted-dry", "total"])),
    )
    return mix, {material.name: material for material in stock}


@FEW
@given(mixes())
def test_what_is_weighed_is_what_is_in_the_concrete(drawn: tuple[Mix, dict[str, Material]]):
    mix, materials = drawn
    recipe = proportion(mix, materials)
    assert sum(recipe.weighed_kg.values()) == pytest.approx(recipe.total_kg, rel=1e-12)
    made = make(mix, materials)
    assert sum(made.recipe_kg_m3.values()) == pytest.approx(made.fresh_density_kg_m3, rel=1e-12)
    assert made.installed_density_kg_m3 <= made.fresh_density_kg_m3
    assert made.oven_dry_density_kg_m3 < made.fresh_density_kg_m3


@FEW
@given(mixes())
def test_the_parts_fill_the_volume(drawn: tuple[Mix, dict[str, Material]]):
    mix, materials = drawn
    fractions = make(mix, materials).volume_fractions
    assert sum(fractions.values()) == pytest.approx(1.0, abs=1e-12)
    assert min(fractions.values()) >= 0.0
    assert fractions["air"] == mix.air


@FEW
@given(mixes(), st.floats(0.01, 1000.0))
def test_a_batch_of_any_size_has_the_same_density(drawn: tuple[Mix, dict[str, Material]], factor: float):
    mix, materials = drawn
    recipe = proportion(mix, materials)
    one = yield_of(recipe, materials, mix.air)
    many = yield_of(recipe.scaled(factor), materials, mix.air)
    assert many.volume_m3 == pytest.approx(factor * one.volume_m3, rel=1e-12)
    assert many.fresh_density_kg_m3 == pytest.approx(one.fresh_density_kg_m3, rel=1e-12)


@FEW
@given(mixes(), st.floats(0.0, 0.2), st.floats(0.001, 0.2))
def test_more_air_and_more_water_yield_more(drawn: tuple[Mix, dict[str, Material]], air: float, more: float):
    mix, materials = drawn
    recipe = proportion(mix, materials)
    assert yield_of(recipe, materials, air + more).volume_m3 > yield_of(recipe, materials, air).volume_m3
    wetter = proportion(replace(mix, water_cementitious=mix.water_cementitious + more), materials)
    assert yield_of(wetter, materials, air).volume_m3 > yield_of(recipe, materials, air).volume_m3


@FEW
@given(mixes(), st.floats(0.0, 0.05))
def test_moisture_moves_water_from_the_bucket_to_the_sand(drawn: tuple[Mix, dict[str, Material]], moisture: float):
    mix, materials = drawn
    damp = materials | {"sand": replace(materials["sand"], moisture=moisture)}
    dry = materials | {"sand": replace(materials["sand"], moisture=0.0)}
    of_damp, of_dry = make(mix, damp), make(mix, dry)
    assert of_damp.fresh_density_kg_m3 == pytest.approx(of_dry.fresh_density_kg_m3, rel=1e-12)
    assert of_damp.free_water_kg_m3 == pytest.approx(of_dry.free_water_kg_m3, rel=1e-12)
    assert of_damp.recipe_kg_m3["water"] <= of_dry.recipe_kg_m3["water"]


def test_fiber_as_a_share_of_everything_counts_water_and_the_fiber(shelf: dict[str, Material], back_mix: Mix):
    two_fibres = shelf | {"pva": Material("pva", "fibre", 1300.0, None)}
    mix = replace(back_mix, fibre={"glass": 0.03, "pva": 0.01}, fibre_basis="total")
    recipe = proportion(mix, two_fibres)
    assert recipe.weighed_kg["glass"] / recipe.total_kg == pytest.approx(0.03, abs=1e-15)
    assert recipe.weighed_kg["pva"] / recipe.total_kg == pytest.approx(0.01, abs=1e-15)
    assert proportion(back_mix, shelf).weighed_kg["glass"] == 0.03


def test_solids_of_a_liquid_fill_what_its_water_leaves(shelf: dict[str, Material], back_mix: Mix):
    recipe = proportion(back_mix, shelf)
    made = yield_of(recipe, shelf, 0.0)
    emulsion_kg = recipe.weighed_kg["emulsion"]
    assert emulsion_kg == pytest.approx(0.05 * 0.5 / 0.5)
    solids_m3 = emulsion_kg / 1060.0 - 0.5 * emulsion_kg / 998.0
    assert made.fractions["emulsion"] * made.volume_m3 == pytest.approx(solids_m3)
    assert made.fractions["water"] * made.volume_m3 == pytest.approx(0.34 * 0.5 / 998.0)
    light = shelf | {"emulsion": replace(shelf["emulsion"], density_kg_m3=2500.0)}
    with pytest.raises(FaultError, match="mix-solids-density"):
        yield_of(recipe, light, 0.0)


def test_absorbed_water_adds_mass_and_no_volume(shelf: dict[str, Material], back_mix: Mix):
    dry = make(back_mix, shelf)
    soaked = make(back_mix, shelf | {"sand": replace(shelf["sand"], absorption=0.02)})
    assert soaked.volume_fractions == pytest.approx(dry.volume_fractions)
    gain = soaked.fresh_density_kg_m3 - dry.fresh_density_kg_m3
    assert gain == pytest.approx(0.02 * dry.recipe_kg_m3["sand"])
    assert soaked.absorbed_water_kg_m3 == pytest.approx(gain)
    assert soaked.recipe_kg_m3["water"] - dry.recipe_kg_m3["water"] == pytest.approx(gain)


def test_loose_volume_goes_by_bulk_density_or_is_twice_the_absolute_volume(shelf: dict[str, Material], back_mix: Mix):
    made = make(back_mix, shelf)
    loose = made.loose_m3_per_m3
    assert list(loose) == list(made.recipe_kg_m3)
    assert loose["cement"] == pytest.approx(made.recipe_kg_m3["cement"] / 1300.0)
    assert loose["bead"] == pytest.approx(loose["sand"])
    assert loose["powder"] == pytest.approx(2.0 * made.recipe_kg_m3["powder"] / 1900.0)
    assert loose["water"] == pytest.approx(made.recipe_kg_m3["water"] / 998.0)
    assert [PLAIN.text(each.text) for each in made.warnings if each.id == "bulk-density-missing"] == [
        "Powder has no bulk density. Its loose volume is taken as 2 times its absolute volume."
    ]


def test_demould_weight_is_fresh_unless_a_loss_was_weighed(shelf: dict[str, Material], back_mix: Mix):
    made = make(back_mix, shelf)
    assert made.demould_density_kg_m3 == made.fresh_density_kg_m3
    lost = make(back_mix, shelf, demould_loss=0.02)
    assert lost.demould_density_kg_m3 == pytest.approx(0.98 * made.fresh_density_kg_m3)


def test_water_per_cement_is_not_water_per_cementitious(shelf: dict[str, Material], back_mix: Mix):
    made = make(back_mix, shelf)
    assert made.water_cementitious == 0.34
    assert made.water_cement == pytest.approx(0.34 / 0.9)
    assert made.recipe.water_cementitious == pytest.approx(0.34)


@pytest.mark.parametrize(
    ("change", "key", "words"),
    [
        ({"cementitious_share": 1.2}, "cementitious_share", "mix-cementitious-share"),
        ({"cementitious_share": float("nan")}, "cementitious_share", "mix-cementitious-share"),
        ({"cementitious_share": 1.0}, "cementitious_share", "mix-all-cementitious"),
        ({"cementitious": {"cement": 0.9, "fume": 0.2}}, "cementitious", r"mix-shares-sum \(total = 1\.1\)"),
        ({"cementitious": {}}, "cementitious", "mix-shares-none"),
        ({"aggregate": {"sand": 1.5, "bead": -0.5}}, "aggregate.bead", r"mix-share \(share = -0\.5\)"),
        ({"aggregate": {}}, "aggregate", "mix-shares-none"),
        ({"aggregate": {"gravel": 1.0}}, "aggregate.gravel", "mix-no-material-here"),
        ({"reference_sand": None}, "reference_sand", "mix-no-reference"),
        ({"reference_sand": "gravel"}, "reference_sand", "mix-no-material-here"),
        ({"water_cementitious": 0.0}, "water_cementitious", r"mix-water-ratio \(water_cementitious = 0\)"),
        (
            {"water_cementitious": 0.04},
            "water_cementitious",
            r"mix-too-wet \(brought = 0\.05,",
        ),
        ({"air": 1.0}, "air", "mix-air"),
        ({"fibre": {"glass": -0.01}}, "fibre.glass", r"mix-dosage \(dose = -0\.01\)"),
        ({"fibre": {"glass": 1.0}, "fibre_basis": "total"}, "fibre", "mix-all-fiber"),
        ({"admixtures": {"water": 0.1}}, "admixtures.water", "mix-water-in-blend"),
    ],
)
def test_an_impossible_mix_names_its_figure(
    shelf: dict[str, Material], back_mix: Mix, change: dict[str, object], key: str, words: str
):
    with pytest.raises(FaultError, match=words) as caught:
        proportion(replace(back_mix, **change), shelf)
    assert caught.value.key == key
    assert caught.value.message.id in str(caught.value)


@pytest.mark.parametrize(
    ("name", "change", "key"),
    [
        ("cement", {"density_kg_m3": None}, "materials.cement.density"),
        ("bead", {"bulk_density_kg_m3": None}, "materials.bead.bulk_density"),
        ("sand", {"bulk_density_kg_m3": None}, "materials.sand.bulk_density"),
        ("emulsion", {"solids": 0.0}, "materials.emulsion.solids"),
        ("sand", {"moisture": -0.01}, "materials.sand.moisture"),
        ("sand", {"absorption": 0.5}, "materials.sand.absorption"),
    ],
)
def test_a_material_without_figures_is_named(
    shelf: dict[str, Material], back_mix: Mix, name: str, change: dict[str, object], key: str
):
    with pytest.raises(FaultError) as caught:
        proportion(back_mix, shelf | {name: replace(shelf[name], **change)})
    assert caught.value.key == key


def test_every_fault_of_a_mix_is_found_at_once(shelf: dict[str, Material], back_mix: Mix):
    broken = replace(back_mix, air=-0.1, cementitious={"cement": 0.9}, fibre={"rope": 0.03})
    assert [fault.key for fault in faults_of(broken, shelf)] == ["air", "cementitious", "fibre.rope"]
    assert faults_of(back_mix, shelf) == ()


def test_a_bead_that_gives_its_packing_needs_no_density(shelf: dict[str, Material], back_mix: Mix):
    by_packing = shelf | {"bead": replace(shelf["bead"], density_kg_m3=None)}
    assert make(back_mix, by_packing).fresh_density_kg_m3 == make(back_mix, shelf).fresh_density_kg_m3


def test_a_neat_paste_needs_no_sand(shelf: dict[str, Material]):
    paste = Mix("paste", 1.0, {"cement": 1.0}, {}, None, 0.40, 0.02)
    made = make(paste, shelf)
    assert made.recipe_kg_m3["cement"] == pytest.approx(0.98 / (1.0 / 3110.0 + 0.40 / 998.0))


def test_assumed_air_has_a_band_and_weighed_air_has_none(shelf: dict[str, Material], back_mix: Mix):
    assumed = make(replace(back_mix, air_band=(0.02, 0.09)), shelf)
    assert (assumed.air_low, assumed.air, assumed.air_high) == (0.02, 0.04, 0.09)
    weighed = make(replace(back_mix, air_band=(0.02, 0.09), density_weighed=True), shelf)
    assert (weighed.air_low, weighed.air_high) == (0.04, 0.04)
    plain = make(back_mix, shelf)
    assert (plain.air_low, plain.air_high) == (0.04, 0.04)


def test_an_admixture_weighed_in_two_parts_is_dosed_as_one(shelf: dict[str, Material], back_mix: Mix):
    recipe = proportion(back_mix, shelf)
    twice = replace(
        recipe, ingredients=[*recipe.ingredients, *[p for p in recipe.ingredients if p.role == "admixture"]]
    )
    assert mix_of_recipe(twice, reference_sand="sand", air=0.04).admixtures == pytest.approx({"powder": 0.07})
