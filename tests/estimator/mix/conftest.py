"""Invented materials and mixes of a shop, for the tests of the mix engine."""

import pytest

from estimator.job import Material, Mix


@pytest.fixture(scope="session")
def shelf() -> dict[str, Material]:
    stock = [
        Material("cement", "cement", 3110.0, 1300.0),
        Material("fume", "pozzolan", 2220.0, 600.0),
        Material("sand", "sand", 2640.0, 1600.0),
        Material("bead", "light-aggregate", 48.0 / 0.62, 48.0, packing=0.62),
        Material("powder", "admixture", 1900.0, None, dose_low=0.02, dose_high=0.05),
        Material("liquid", "admixture", 1070.0, 1070.0, solids=0.40),
        Material("emulsion", "polymer", 1060.0, 1060.0, solids=0.50),
        Material("black", "pigment", 4700.0, 900.0),
        Material("glass", "fibre", 2680.0, 400.0),
    ]
    return {material.name: material for material in stock}


@pytest.fixture(scope="session")
def back_mix() -> Mix:
    return Mix(
        name="back",
        cementitious_share=0.5,
        cementitious={"cement": 0.9, "fume": 0.1},
        aggregate={"sand": 0.5, "bead": 0.5},
        reference_sand="sand",
        water_cementitious=0.34,
        air=0.04,
        admixtures={"powder": 0.035},
        polymer={"emulsion": 0.05},
        pigment={"black": 0.02},
        fibre={"glass": 0.03},
    )
