"""Every working, keyed into a calculator, gives its figure."""

from dataclasses import replace
from typing import Literal

import pytest

from estimator.job import Material, Mix
from estimator.mix import make
from estimator.mix.table import mix_workings, show
from estimator.words import PLAIN


def keyed_in(formula: str, values: dict[str, float]) -> float:
    plain = formula.replace("−", "-").replace("·", "*").replace("^", "**")
    return eval(plain, {"__builtins__": {}}, {**values, "min": min, "max": max})


@pytest.mark.parametrize("basis", ["counted-dry", "total"])
def test_each_formula_gives_its_result_and_each_mass_has_a_formula(
    shelf: dict[str, Material], back_mix: Mix, basis: str
):
    damp = shelf | {
        "sand": replace(shelf["sand"], moisture=0.04, absorption=0.01),
        "fume": replace(shelf["fume"], density_kg_m3=1400.0, bulk_density_kg_m3=1400.0, solids=0.5),
    }
    mix = replace(back_mix, fibre_basis=basis, admixtures={"powder": 0.03, "liquid": 0.005}, water_cementitious=0.4)
    made = make(mix, damp)
    workings = mix_workings(made, mix, damp)
    for working in workings:
        assert keyed_in(working.formula, dict(working.values)) == pytest.approx(working.result, rel=1e-9), (
            working.figure
        )
    figures = {working.figure: working.result for working in workings}
    for name, mass_kg in made.recipe_kg_m3.items():
        assert figures[f"mixes.back.recipe_kg_m3.{name}"] == pytest.approx(mass_kg, rel=1e-12)
    assert figures["mixes.back.fresh_density_kg_m3"] == pytest.approx(made.fresh_density_kg_m3, rel=1e-12)
    assert figures["mixes.back.installed_density_kg_m3"] == pytest.approx(made.installed_density_kg_m3, rel=1e-12)


def test_the_unit_of_a_working_is_the_one_in_the_name_of_its_figure(shelf: dict[str, Material], back_mix: Mix):
    mix = replace(back_mix, admixtures={"powder": 0.03, "liquid": 0.005}, water_cementitious=0.4)
    workings = mix_workings(make(mix, shelf), mix, shelf)
    for working in workings:
        if "_kg_m3" in working.figure:
            assert working.unit == "kg/m3", working.figure
        assert PLAIN.text(working.source).strip(), working.figure
    assert len([working for working in workings if "_kg_m3" in working.figure]) > 8


@pytest.mark.parametrize("form", ["share", "sand-ratio"])
def test_a_mix_written_in_ratios_has_ratios_without_a_unit(
    shelf: dict[str, Material], back_mix: Mix, form: Literal["share", "sand-ratio"]
):
    mix = replace(back_mix, water_cementitious=0.4)
    lines = show(make(mix, shelf), shelf, form).lines
    assert {line.unit for line in lines} == {""}
    # first principles: a tenth of the cementitious material is not cement, so water to cement is 0.40 / 0.9
    assert [line.value for line in lines if line.name == "water"] == [pytest.approx(0.4), pytest.approx(0.4 / 0.9)]
