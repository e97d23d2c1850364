"""Printed mixes, written into a job file as printed, against their printed figures."""

from pathlib import Path

import pytest

from estimator.intake import read_job
from estimator.job import Job
from estimator.mix import MixDesign, make

LB_FT3 = 0.45359237 / 0.3048**3

HEAD = """
[job]
name = "Printed mixes"
mix = "printed"

[[piece]]
mark = "A"
shape = { kind = "slab", length = "1 m", width = "1 m", thickness = "20 mm" }
"""


@pytest.fixture
def mix_of(tmp_path: Path):  # type: ignore[no-untyped-def]
    """The mix of a job file's text."""

    def read(text: str) -> tuple[Job, MixDesign]:
        path = tmp_path / "job.toml"
        path.write_text(HEAD + text, encoding="utf-8")
        job = read_job(path).sound()
        return job, make(job.mixes["printed"], job.materials)

    return read


def test_masses_in_a_cubic_yard_leave_the_printed_air(mix_of) -> None:  # type: ignore[no-untyped-def]
    # source: NAVEDTRA 14071, ch. 17, absolute-volume example (read): 610 lb cement, 305 water, 1,735 coarse (2.60) and
    # 1,152 sand (2.65) in 27 ft³ with 5 % air, 140.80 lb/ft³. Its water weighs 62.4 lb/ft³, 999.6 kg/m³; ours 998, so
    # that the densities are given as such.
    _, mix = mix_of(
        f"""
[materials.printed-cement]
kind = "cement"
density = "{3.15 * 62.4} lb/ft^3"
[materials.printed-coarse]
kind = "sand"
density = "{2.60 * 62.4} lb/ft^3"
bulk_density = "102 lb/ft^3"
[materials.printed-sand]
kind = "sand"
density = "{2.65 * 62.4} lb/ft^3"
bulk_density = "100 lb/ft^3"
[mixes.printed]
reference_sand = "printed-sand"
[mixes.printed.mass_per_volume]
printed-cement = "{610 / 27} lb/ft^3"
water = "{305 / 27} lb/ft^3"
printed-coarse = "{1735 / 27} lb/ft^3"
printed-sand = "{1152 / 27} lb/ft^3"
"""
    )
    assert mix.air == pytest.approx(0.05, abs=0.002)
    assert mix.fresh_density_kg_m3 / LB_FT3 == pytest.approx(140.80, abs=0.02)  # the sand is rounded to the pound
    assert mix.water_cementitious == pytest.approx(0.50)


@pytest.mark.parametrize(("water_kg", "ratio"), [(13.5, 0.32), (14.5, 0.34)])
def test_water_in_the_emulsion_counts(mix_of, water_kg: float, ratio: float) -> None:  # type: ignore[no-untyped-def]
    # common practice: cement 50, sand 50, emulsion 5 kg of 50 % solids; 0.27 or 0.29 if its water is forgotten
    job, mix = mix_of(
        f"""
[mixes.printed]
air = 0.07
masses = {{ grey-cement = "50 kg", silica-sand = "50 kg", acrylic-emulsion = "5 kg", water = "{water_kg} kg" }}
"""
    )
    assert mix.water_cementitious == pytest.approx(ratio)
    assert job.mixes["printed"].polymer == pytest.approx({"acrylic-emulsion": 0.05})


@pytest.mark.parametrize(("air", "expected"), [(0.0, 2116.0), (0.05, 2010.0)])
def test_fiber_in_a_spray_mix_is_a_share_of_everything(mix_of, air: float, expected: float) -> None:  # type: ignore[no-untyped-def]
    # source: Young 1980 (proportions read, densities computed): by mass cement 40, sand 40, water 20, fiber 5 % of all;
    # with water of 1,000 kg/m³, where the job file's relative densities go by 998
    _, mix = mix_of(
        f"""
[mixes.printed]
sand_cementitious = 1.0
cementitious = {{ grey-cement = 1.0 }}
aggregate = {{ silica-sand = 1.0 }}
water_cementitious = 0.5
fibre = {{ ar-glass-chopped = "5 %" }}
fibre_basis = "total"
air = {air}
"""
    )
    assert mix.fresh_density_kg_m3 == pytest.approx(0.998 * expected, abs=2.0)


@pytest.mark.parametrize(
    ("by", "expected"),
    # made: 1 : 1 mortar, w/c 0.33, air 5 %, beads of 20 kg/m³ for half of the sand: 1,699.9 by absolute volume;
    # 1,691.6 by loose volume (sand 1,600, beads 12.4 loose, packing 0.62), with water of 1,000 kg/m³
    [("absolute-volume", 1699.9), ("loose-volume", 1691.6)],
)
def test_half_the_sand_may_be_replaced_in_each_way(mix_of, by: str, expected: float) -> None:  # type: ignore[no-untyped-def]
    _, mix = mix_of(
        f"""
[materials.cement-3150]
kind = "cement"
density = "3150 kg/m^3"
[materials.sand-2650]
kind = "sand"
density = "2650 kg/m^3"
bulk_density = "1600 kg/m^3"
[materials.bead-20]
kind = "light-aggregate"
packing = 0.62
bulk_density = "12.4 kg/m^3"
[mixes.plain]
masses = {{ cement-3150 = "1 kg", sand-2650 = "1 kg", water = "0.33 kg" }}
air = 0.05
[mixes.printed]
based_on = "plain"
replacement = {{ share = 0.5, by = "{by}", bead = "bead-20" }}
"""
    )
    # Its water is 0.2 % heavier than ours, and water is a third of the volume.
    assert mix.fresh_density_kg_m3 == pytest.approx(expected, rel=0.001)
