"""Dosages and states of stock that a caster should hear of, and silence where there is nothing to say."""

from dataclasses import replace

import pytest

from estimator.job import Material, Mix
from estimator.mix import make
from estimator.mix.limits import color_differences
from estimator.words import PLAIN


def warnings_of(mix: Mix, materials: dict[str, Material]) -> str:
    return "\n".join(
        PLAIN.text(each.text) for each in make(mix, materials).warnings if each.id != "bulk-density-missing"
    )


def test_a_usual_mix_gives_no_warning(shelf: dict[str, Material], back_mix: Mix):
    assert warnings_of(back_mix, shelf) == ""


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"fibre": {"glass": 0.04}}, "Fiber is 4% of the counted dry mass"),  # common practice: 3 % is enough
        ({"pigment": {"black": 0.11}}, "Pigment is 11% of the cementitious"),  # ASTM C979
        ({"admixtures": {"powder": 0.01}}, "Powder at 1.000% of cementitious is below its usual 2.000%"),
        ({"admixtures": {"powder": 0.06}}, "Powder at 6.000% of cementitious is above its usual 5.000%"),
    ],
)
def test_a_dose_outside_its_range_is_named_with_its_basis(
    shelf: dict[str, Material], back_mix: Mix, change: dict[str, object], words: str
):
    assert words in warnings_of(replace(back_mix, **change), shelf)


def test_fiber_as_a_share_of_everything_is_judged_by_counted_dry_mass(shelf: dict[str, Material], back_mix: Mix):
    # 2.5 % of everything, water in, is more than 3 % of the counted dry mass only where little sand was replaced.
    all_sand = replace(back_mix, aggregate={"sand": 1.0}, fibre={"glass": 0.027}, fibre_basis="total")
    assert "Fiber is 3" in warnings_of(all_sand, shelf)
    assert "Fiber" not in warnings_of(replace(all_sand, aggregate={"sand": 0.5, "bead": 0.5}), shelf)


def test_absorbent_or_bulking_stock_gives_a_warning(shelf: dict[str, Material], back_mix: Mix):
    thirsty = shelf | {"bead": replace(shelf["bead"], absorption=0.25)}
    assert "Bead can absorb 25% of dry mass" in warnings_of(back_mix, thirsty)
    soaked = shelf | {"bead": replace(shelf["bead"], absorption=0.25, moisture=0.25)}
    assert warnings_of(back_mix, soaked) == ""
    damp = shelf | {"sand": replace(shelf["sand"], moisture=0.04)}
    assert "Sand is damp (4%) and bulks" in warnings_of(back_mix, damp)
    assert "Moisture and absorption of Fume are not counted" in warnings_of(
        back_mix, shelf | {"fume": replace(shelf["fume"], moisture=0.01)}
    )


def test_pieces_seen_together_share_the_materials_that_color_them(shelf: dict[str, Material], back_mix: Mix):
    top = replace(back_mix, name="top", colour_group="bar")
    lighter = replace(top, name="lighter", aggregate={"sand": 0.3, "bead": 0.7})
    other = replace(top, name="other", cementitious={"cement": 1.0}, pigment={"black": 0.03}, water_cementitious=0.36)
    elsewhere = replace(other, colour_group="hall")
    assert color_differences([top, lighter, elsewhere], shelf) == ()
    lines = color_differences([top, other], shelf)
    assert [PLAIN.text(line).split("differ in ")[1].split(":")[0] for line in lines] == [
        "cement and pozzolan",
        "cement and pozzolan",
        "pigment",
        "w/cm",
    ]


def test_each_warning_has_its_id(shelf: dict[str, Material], back_mix: Mix):
    excess = replace(back_mix, fibre={"glass": 0.04}, pigment={"black": 0.11}, admixtures={"powder": 0.06})
    stock = shelf | {
        "bead": replace(shelf["bead"], absorption=0.25),
        "sand": replace(shelf["sand"], moisture=0.04),
        "fume": replace(shelf["fume"], moisture=0.01),
    }
    found = [each.id for each in make(excess, stock).warnings if each.id != "bulk-density-missing"]
    assert found == [
        "fiber-excess",
        "pigment-excess",
        "dosage-out-of-range",
        "damp-sand",
        "absorbent-aggregate",
        "moisture-not-counted",
    ]


@pytest.mark.parametrize(
    ("ratios", "said"),
    [
        ({"water_cementitious": 0.2}, ["w/cm is 0.2 (usual: 0.25 to 0.60)."]),
        ({"water_cementitious": 3.5}, ["w/cm is 3.5 (usual: 0.25 to 0.60)."]),
        ({"cementitious_share": 1 / 12}, ["There is 11 times as much sand as cementitious (usual: up to 4)."]),
        ({"water_cementitious": 0.25, "cementitious_share": 0.2}, []),
        ({"water_cementitious": 0.6}, []),
    ],
)
def test_a_ratio_that_nobody_mixes_is_asked_about(
    shelf: dict[str, Material], back_mix: Mix, ratios: dict[str, float], said: list[str]
):
    # common practice: w/cm 0.28 to 0.45, sand up to twice the cementitious in thin castings
    mix = replace(back_mix, **ratios)
    found = [PLAIN.text(each.text) for each in make(mix, shelf).warnings if each.id == "ratio-unusual"]
    assert [text.split(" Check")[0] for text in found] == said


def test_a_fiber_dosage_is_stated_on_the_basis_on_which_it_was_entered(shelf: dict[str, Material], back_mix: Mix):
    ranged = shelf | {"glass": replace(shelf["glass"], dose_low=0.02, dose_high=0.025)}
    assert "of counted dry mass" in warnings_of(back_mix, ranged)
    assert "of the total" in warnings_of(replace(back_mix, fibre={"glass": 0.03}, fibre_basis="total"), ranged)


def test_two_sands_in_a_mix_are_both_named(shelf: dict[str, Material], back_mix: Mix):
    sands = shelf | {"grit": replace(shelf["sand"], name="grit")}
    top = replace(back_mix, name="top", colour_group="bar", aggregate={"sand": 1.0})
    other = replace(top, name="other", aggregate={"grit": 1.0}, reference_sand="grit")
    (line,) = (line for line in color_differences([top, other], sands) if line.id == "warning-color-sand")
    assert dict(line.values)["sand_names"] == ("sand",)
    assert dict(line.values)["other_sand_names"] == ("grit",)
