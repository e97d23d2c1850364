"""Density of bead, perlite and glass-fibre mixes against print."""

from dataclasses import replace

import numpy as np
import pytest

from estimator.job import Material, Mix
from estimator.mix import make, proportion, yield_of
from estimator.mix.proportions import mix_from_masses, recipe_of_weighed
from estimator.mix.replacement import replace_sand, rule_of_thumb
from estimator.mix.solve import Question, Range, solve_for_density
from estimator.mix.yields import equilibrium_density, oven_dry_density

LB_KG = 0.45359237
FT3_M3 = 0.3048**3
LB_FT3 = LB_KG / FT3_M3
BAG_LB = 94.0
GAL_LB = 8.33

CEMENT = Material("cement", "cement", 3150.0, 1506.0)
SAND = Material("sand", "sand", 2650.0, 1600.0)
BEAD = Material("bead", "light-aggregate", 20.0, 12.4, packing=0.62)
FIBRE = Material("fibre", "fibre", 2680.0, None)
EMULSION = Material("emulsion", "polymer", 1060.0, None, solids=0.50)
MATERIALS = {one.name: one for one in (CEMENT, SAND, BEAD, FIBRE, EMULSION)}
# 1 : 1 mortar, w/c 0.33, 5 % air, water 1,000 kg/m³
MORTAR = Mix("mortar", 0.5, {"cement": 1.0}, {"sand": 1.0}, "sand", 0.33, 0.05, water_density_kg_m3=1000.0)


@pytest.mark.parametrize(
    ("fraction", "density_kg_m3"), [(0.0, 2159.9), (0.25, 1929.9), (0.5, 1699.9), (0.75, 1469.9), (1.0, 1239.9)]
)
def test_beads_by_absolute_volume_keep_the_yield(fraction: float, density_kg_m3: float):
    # made: exact arithmetic
    replaced = replace_sand(MORTAR, MATERIALS, "sand", "bead", fraction, "absolute-volume")
    assert replaced.design.fresh_density_kg_m3 == pytest.approx(density_kg_m3, abs=0.05)
    assert replaced.yield_m3 == pytest.approx(1.0, abs=1e-12)


def test_beads_by_loose_volume_are_less_solid_than_their_bucket():
    # made: exact arithmetic; taking the loose liters as solid is the trap, 10 % too light
    replaced = replace_sand(MORTAR, MATERIALS, "sand", "bead", 0.5, "loose-volume")
    assert replaced.bead_in_loose_m3 * 1000.0 == pytest.approx(289.7, abs=0.05)
    assert replaced.bead_in_kg == pytest.approx(3.59, abs=0.005)
    assert replaced.yield_m3 * 1000.0 == pytest.approx(1004.9, abs=0.05)
    assert replaced.design.fresh_density_kg_m3 == pytest.approx(1691.6, abs=0.05)
    assert replaced.mix.aggregate == pytest.approx({"sand": 0.5, "bead": 0.5})

    as_solid = MATERIALS | {"bead": replace(BEAD, density_kg_m3=12.4, packing=1.0)}
    trap = replace_sand(MORTAR, as_solid, "sand", "bead", 0.5, "loose-volume")
    assert trap.design.fresh_density_kg_m3 == pytest.approx(1516.7, abs=0.05)
    assert trap.yield_m3 == pytest.approx(1.12, abs=0.005)


def test_five_kilograms_of_beads_fill_more_of_the_mixer_than_of_the_concrete():
    # made: exact arithmetic
    recipe = recipe_of_weighed({"cement": 100.0, "bead": 5.0, "water": 33.0}, MATERIALS, reference_sand="sand")
    made = yield_of(recipe, MATERIALS, 0.05)
    assert recipe.loose_aggregate_m3["bead"] * 1000.0 == pytest.approx(403.0, abs=0.3)
    assert made.fractions["bead"] * made.volume_m3 * 1000.0 == pytest.approx(250.0, abs=0.01)


def densities_by_absolute_volume(mix: Mix, fractions: list[float]) -> np.ndarray:
    replaced = [replace_sand(mix, MATERIALS, "sand", "bead", one, "absolute-volume") for one in fractions]
    return np.array([one.design.fresh_density_kg_m3 for one in replaced])


def test_density_falls_in_a_line_as_beads_replace_sand_by_volume():
    fractions = [1.0 / 6.0, 1.0 / 3.0, 0.5]
    slope = -(2650.0 - 20.0) * make(MORTAR, MATERIALS).volume_fractions["sand"]
    densities = densities_by_absolute_volume(MORTAR, fractions)
    assert np.diff(densities) / np.diff(fractions) == pytest.approx(slope, rel=1e-9)


def test_a_rich_mortar_has_both_of_its_measured_densities():
    """Ali, J. Eng. & Development 16(4), 2012: 1,895 kg/m³ at 16.7 % and 1,660 at 50 % of the sand (read).

    The proportions were not printed where the densities were read, so this shows that one usable mortar (908 kg of
    cement and 710 of sand in a cubic meter, w/c 0.43, 5 % air) has both, not that the densities were predicted.
    """
    mortar = mix_from_masses("rich", {"cement": 908.0, "sand": 710.0, "water": 394.0}, MATERIALS, air=0.05)
    assert mortar.water_cementitious == pytest.approx(0.434, abs=0.0005)
    densities = densities_by_absolute_volume(mortar, [1.0 / 6.0, 0.5])
    assert densities == pytest.approx([1895.0, 1660.0], rel=0.003)


def test_a_spray_mix_with_fiber_as_a_share_of_everything_has_its_printed_density():
    # source: Young 1980 (proportions read; densities computed), water 1,000 kg/m³
    masses = {"cement": 40.0, "sand": 40.0, "water": 20.0}
    plain = recipe_of_weighed(masses, MATERIALS)
    assert yield_of(plain, MATERIALS, 0.0, 1000.0).fresh_density_kg_m3 == pytest.approx(2092.0, abs=0.5)

    mix = mix_from_masses("spray", masses, MATERIALS, air=0.0, water_density_kg_m3=1000.0)
    mix = replace(mix, fibre={"fibre": 0.05}, fibre_basis="total")
    recipe = proportion(mix, MATERIALS)
    assert recipe.weighed_kg["fibre"] / recipe.total_kg == pytest.approx(0.05, abs=1e-12)
    airless = yield_of(recipe, MATERIALS, 0.0, 1000.0)
    assert airless.fresh_density_kg_m3 == pytest.approx(2116.0, abs=0.5)
    assert airless.fractions["fibre"] == pytest.approx(0.0395, abs=0.00005)
    assert make(replace(mix, air=0.05), MATERIALS).fresh_density_kg_m3 == pytest.approx(2010.0, abs=0.5)


@pytest.mark.parametrize(
    ("water_kg", "fibre", "water_cement", "dry_t_m3"),
    [(13.5, 0.05, 0.320, (1.9, 2.1)), (14.5, 0.03, 0.340, (1.8, 2.0))],
)
def test_a_polymer_mix_counts_the_water_of_its_emulsion(
    water_kg: float, fibre: float, water_cement: float, dry_t_m3: tuple[float, float]
):
    # common practice; forgetting the emulsion's water gives 0.27 and 0.29
    masses = {"cement": 50.0, "sand": 50.0, "emulsion": 5.0, "water": water_kg}
    mix = mix_from_masses("polymer", masses, MATERIALS, air=0.07)
    assert mix.polymer == pytest.approx({"emulsion": 0.05})
    made = make(replace(mix, fibre={"fibre": fibre}, fibre_basis="total"), MATERIALS)
    assert made.water_cement == pytest.approx(water_cement, abs=1e-9)
    assert made.water_cementitious == pytest.approx(water_cement, abs=1e-9)
    low, high = dry_t_m3
    assert low < made.oven_dry_density_kg_m3 / 1000.0 < high


PERLITE_BULK_LB_FT3 = 7.75
PERLITE_TABLE = [  # bags, gallons, wet low and high, oven-dry; lb/ft³
    (6.75, 61.0, 48.0, 56.0, 36.0),
    (4.50, 54.0, 38.0, 44.0, 27.0),
]


@pytest.mark.parametrize(("bags", "gallons", "wet_low", "wet_high", "dry"), PERLITE_TABLE)
def test_perlite_concrete_has_the_densities_of_the_trade_table(
    bags: float, gallons: float, wet_low: float, wet_high: float, dry: float
):
    # source: perlite trade association table (read): per yd³, 27 ft³ of perlite at 7.5 to 8 lb/ft³
    cement_kg, perlite_kg = bags * BAG_LB * LB_KG, 27.0 * PERLITE_BULK_LB_FT3 * LB_KG
    water_kg, volume_m3 = gallons * GAL_LB * LB_KG, 27.0 * FT3_M3
    wet = (cement_kg + perlite_kg + water_kg) / volume_m3 / LB_FT3
    assert wet_low < wet < wet_high
    oven_dry = oven_dry_density([cement_kg, perlite_kg], cement_kg, water_kg, volume_m3) / LB_FT3
    assert oven_dry == pytest.approx(dry, rel=0.03)


def test_equilibrium_density_is_fifty_above_oven_dry():
    # source: ASTM C567 (the 50 read, the formula from memory)
    oven_dry = oven_dry_density([650.0, 400.0, 380.0], 380.0, 200.0, 1.0)
    assert oven_dry == pytest.approx(1506.0)
    assert equilibrium_density(oven_dry, 1700.0) == pytest.approx(1556.0)
    assert equilibrium_density(oven_dry, 1530.0) == 1530.0
    # A mix too dry to bind 0.2 of its cement as water binds what it has.
    assert oven_dry_density([650.0, 400.0, 380.0], 380.0, 50.0, 1.0) == pytest.approx(1480.0)


def test_bead_mixes_lie_in_the_bands_that_laboratories_measured():
    """Predicted against measured, from what is printed where it could be read.

    Mean error -0.1 %, mean of the absolute errors 2.5 %, worst +4.5 %: glass-fibre concrete (UFGS 02870, usual
    density 120 lb/ft³) as a spray mix at an assumed 5 % of air, where work rolled by hand keeps more. The middle of
    each printed range is taken as measured. The perlite mixes are printed with their volume, so that they check the
    masses and the oven-dry rule, not the yield; wet, they lie inside the printed range, 2 to 4 % under its middle.
    Where the model can miss: air is assumed, not predicted; perlite is crushed in mixing; beads take up no water
    here. Of bead concretes only ranges of density were read (Babu & Babu 2003, 1,500 to 2,000; Chen & Liu 2004, 800
    to 1,800 kg/m³), no recipe with its density: the test asks that a lean bead mortar crosses 2,000, 1,800 and 1,500
    kg/m³ at doses in use, up to 70 % of the sand.
    """
    spray = mix_from_masses("spray", {"cement": 40.0, "sand": 40.0, "water": 20.0}, MATERIALS, air=0.05)
    spray = replace(spray, fibre={"fibre": 0.05}, fibre_basis="total")
    premix = mix_from_masses(
        "premix", {"cement": 50.0, "sand": 50.0, "emulsion": 5.0, "water": 14.5}, MATERIALS, air=0.07
    )
    premix = replace(premix, fibre={"fibre": 0.03}, fibre_basis="total")
    cases = [
        ("glass-fibre concrete, spray", 120.0 * LB_FT3, make(spray, MATERIALS).fresh_density_kg_m3),
        ("premix, oven-dry", 1900.0, make(premix, MATERIALS).oven_dry_density_kg_m3),
    ]
    for bags, gallons, wet_low, wet_high, dry in PERLITE_TABLE:
        cement, perlite, water = bags * BAG_LB, 27.0 * PERLITE_BULK_LB_FT3, gallons * GAL_LB
        wet = (cement + perlite + water) / 27.0
        oven_dry = oven_dry_density([cement, perlite], cement, water, 27.0)
        cases.append((f"perlite {bags} bags, wet", 0.5 * (wet_low + wet_high) * LB_FT3, wet * LB_FT3))
        cases.append((f"perlite {bags} bags, oven-dry", dry * LB_FT3, oven_dry * LB_FT3))
    errors = np.array([predicted / measured - 1.0 for _, measured, predicted in cases])
    print()
    for (name, measured, predicted), error in zip(cases, errors, strict=True):
        print(f"{name:32s} measured {measured:7.0f}  predicted {predicted:7.0f}  {error:+.1%}")
    worst = errors[np.abs(errors).argmax()]
    print(f"mean error {errors.mean():+.1%}, mean absolute {np.abs(errors).mean():.1%}, worst {worst:+.1%}")
    assert errors.mean() == pytest.approx(-0.001, abs=0.001)
    assert np.abs(errors).mean() == pytest.approx(0.025, abs=0.001)
    assert worst == pytest.approx(0.045, abs=0.001)

    stock = MATERIALS | {"fume": Material("fume", "pozzolan", 2220.0, 600.0)}
    lean = replace(MORTAR, cementitious={"cement": 0.91, "fume": 0.09}, cementitious_share=0.35, water_cementitious=0.4)
    question = Question(lean, stock, "sand", "bead", {"replacement": Range(0.0, 1.0)})
    doses = [solve_for_density(question, density).values["replacement"] for density in (2000.0, 1800.0, 1500.0)]
    print("2,000, 1,800 and 1,500 kg/m³ at", ", ".join(f"{dose:.0%}" for dose in doses), "of the sand")
    assert 0.0 < doses[0] < doses[1] < doses[2] < 0.70


WORKED = Mix(
    "worked",
    0.50,
    {"cement": 1.0},
    {"sand": 0.5, "bead": 0.5},
    "sand",
    0.34,
    0.07,
    admixtures={"powder": 0.035},
    fibre={"fibre": 0.03},
)
POWDER = Material("powder", "admixture", 1600.0, 640.0)
SHELF = MATERIALS | {"powder": POWDER}


def lighter(mix: Mix, shelf: dict[str, Material], air: float | None = None) -> float:
    """Share of the weight gone, by hand: the same mix with all its sand, and with half of it in beads."""
    all_sand = make(replace(mix, aggregate={"sand": 1.0}), shelf).fresh_density_kg_m3
    beads = make(mix if air is None else replace(mix, air=air), shelf).fresh_density_kg_m3
    return 1.0 - beads / all_sand


def test_half_the_sand_takes_a_fifth_of_the_weight_and_the_stated_figures_make_it_a_quarter():
    # common practice: half and half, w/c 0.34, 3.5 % of powder, 3 % of fiber, and the rule of a quarter; the sums give
    # a fifth
    assert lighter(WORKED, SHELF) == pytest.approx(0.20, abs=0.01)
    found = rule_of_thumb(WORKED, SHELF)
    assert found is not None
    assert (found.lighter, found.expected) == (pytest.approx(lighter(WORKED, SHELF)), 0.25)
    # Each figure by itself, put into the mix, takes a quarter of the weight.
    assert found.air is not None
    assert 0.11 < found.air < 0.15
    assert lighter(WORKED, SHELF, air=found.air) == pytest.approx(0.25, abs=1e-6)
    assert found.cementitious_share is not None
    assert found.cementitious_share < 0.5
    leaner = replace(WORKED, cementitious_share=found.cementitious_share)
    assert lighter(leaner, SHELF) == pytest.approx(0.25, abs=1e-6)
    # A richer mix has less sand to replace and falls further behind; a sand that packs looser makes room for more
    # beads, and does not close the gap by itself here.
    assert lighter(replace(WORKED, cementitious_share=0.6), SHELF) < lighter(WORKED, SHELF)
    looser = SHELF | {"sand": replace(SAND, bulk_density_kg_m3=1300.0)}
    assert lighter(WORKED, SHELF) < lighter(WORKED, looser) < 0.25
    assert found.sand_bulk_density_kg_m3 is None
    # In a leaner mix a looser sand does it alone.
    near = rule_of_thumb(replace(WORKED, cementitious_share=0.44), SHELF)
    assert near is not None
    assert near.sand_bulk_density_kg_m3 is not None
    loose = SHELF | {"sand": replace(SAND, bulk_density_kg_m3=near.sand_bulk_density_kg_m3)}
    assert lighter(replace(WORKED, cementitious_share=0.44), loose) == pytest.approx(0.25, abs=1e-6)


def test_a_mix_as_light_as_the_rule_or_without_beads_gets_no_note():
    assert rule_of_thumb(MORTAR, MATERIALS) is None
    assert rule_of_thumb(replace(WORKED, cementitious_share=0.25), SHELF) is None
