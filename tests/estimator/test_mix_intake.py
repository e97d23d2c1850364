"""A mix of the job file in every way of writing it; its coupons, bucket, lots, corrections; each fault's line."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from estimator.__main__ import run
from estimator.intake import read_job
from estimator.intake.corrections import Correction, added, corrections_path, write_corrections
from estimator.mix import make
from estimator.mix.bands import bands
from estimator.words import PLAIN
from tests.estimator.conftest import JOB

POUND_KG, FOOT_M = 0.45359237, 0.3048
Write = Callable[[str], Path]

# common practice: 45 lb cement, 5 lb fume, 25 lb of sand and its bucket in beads; the same by shares in BY_SHARES
MASSES = """
[mixes.mine]
air = 0.07
[mixes.mine.masses]
white-cement = "45 lb"
silica-fume = "5 lb"
silica-sand = "25 lb"
coated-eps-bead = "0.75 lb"
water = "17 lb"
blended-admixture-powder = "1.75 lb"
ar-glass-chopped = "3 lb"
"""


BY_SHARES = """
[mixes.shares]
cementitious_share = 0.50
cementitious = { white-cement = 0.90, silica-fume = 0.10 }
aggregate = { silica-sand = 0.5, coated-eps-bead = 0.5 }
water_cementitious = 0.34
admixtures = { blended-admixture-powder = 0.035 }
fibre = { ar-glass-chopped = 0.03 }
air = 0.07
[materials.coated-eps-bead]
bulk_density = "3 lb/ft^3"
"""


def lines(path: Path) -> list[str]:
    return [str(fault) for fault in read_job(path).faults]


def test_masses_of_a_batch_give_the_same_mix_as_shares(write_job: Write) -> None:
    job = read_job(write_job(JOB + MASSES + BY_SHARES)).sound()
    mine, back = job.mixes["mine"], job.mixes["shares"]
    assert mine.written_as == "masses"
    assert mine.cementitious_share == pytest.approx(0.50)
    assert mine.aggregate == pytest.approx(back.aggregate)
    assert make(mine, job.materials).recipe_kg_m3 == pytest.approx(make(back, job.materials).recipe_kg_m3)


def test_a_ratio_of_sand_to_cementitious_is_a_share(write_job: Write) -> None:
    text = JOB + '[mixes.mine]\nbased_on = "backer-45"\nsand_cementitious = 1.5\n'
    mine = read_job(write_job(text)).sound().mixes["mine"]
    assert mine.cementitious_share == pytest.approx(0.4)
    assert mine.written_as == "sand-ratio"
    assert mine.water_cementitious == 0.33


def test_mass_per_volume_gives_the_air(write_job: Write) -> None:
    job = read_job(write_job(JOB)).sound()
    recipe = make(job.mixes["backer-45"], job.materials).recipe_kg_m3
    written = ", ".join(f'{name} = "{kg:.9f} kg/m^3"' for name, kg in recipe.items())
    mine = read_job(write_job(JOB + f"[mixes.mine]\nmass_per_volume = {{ {written} }}\n")).sound().mixes["mine"]
    assert mine.air == pytest.approx(0.07, abs=1e-9)
    assert mine.aggregate == pytest.approx({"silica-sand": 0.55, "coated-eps-bead": 0.45})


def test_parts_by_bucket_are_read_with_dosages_beside_them(write_job: Write) -> None:
    text = """
[mixes.mine]
volume_parts = { white-cement = 1.25, silica-sand = 0.5, coated-eps-bead = 0.5 }   # 80 lb/ft^3: 100 lb
water_cementitious = 0.34
fibre = { ar-glass-chopped = 0.03 }
air = 0.07
"""
    mine = read_job(write_job(JOB + text)).sound().mixes["mine"]
    assert mine.cementitious_share == pytest.approx(0.5), "100 lb of cement to a cubic foot of 100 lb sand"
    assert mine.aggregate == pytest.approx({"silica-sand": 0.5, "coated-eps-bead": 0.5})
    assert (mine.fibre, mine.fibre_basis) == ({"ar-glass-chopped": 0.03}, "counted-dry")


@pytest.mark.parametrize("by", ["loose-volume", "absolute-volume", "mass"])
def test_replacement_states_its_basis_and_keeps_all_else(write_job: Write, by: str) -> None:
    swap = f'replacement = {{ share = 0.5, by = "{by}", bead = "coated-eps-bead" }}'
    job = read_job(write_job(JOB + f'[mixes.mine]\nbased_on = "backer-0"\n{swap}\n')).sound()
    sand, mine = make(job.mixes["backer-0"], job.materials), make(job.mixes["mine"], job.materials)
    per_cement = sand.recipe_kg_m3["silica-sand"] / sand.recipe_kg_m3["white-cement"]
    assert mine.recipe_kg_m3["silica-sand"] / mine.recipe_kg_m3["white-cement"] == pytest.approx(per_cement / 2)
    assert job.mixes["mine"].replaced_by == by
    # 100 lb/ft3 against 2.8; 2.65 · 998 against 2.8 lb/ft3 over 0.62
    bulk = 100 * POUND_KG / FOOT_M**3
    kg_for_kg = {"loose-volume": 0.028, "absolute-volume": 0.028 * bulk / 0.62 / (2.65 * 998), "mass": 1.0}[by]
    assert mine.recipe_kg_m3["coated-eps-bead"] / mine.recipe_kg_m3["silica-sand"] == pytest.approx(kg_for_kg)


def test_a_weighed_bucket_replaces_bulk_densities(write_job: Write) -> None:
    text = JOB + '[bucket]\nvolume = "0.5 ft^3"\nfills = { silica-sand = "48 lb", coated-eps-bead = "1.6 lb" }\n'
    materials = read_job(write_job(text)).sound().materials
    assert materials["silica-sand"].bulk_density_kg_m3 == pytest.approx(96 * POUND_KG / FOOT_M**3)
    bead = materials["coated-eps-bead"]
    assert bead.density_kg_m3 == pytest.approx(3.2 * POUND_KG / FOOT_M**3 / 0.62), "its packing stays"


def test_a_bucket_without_a_size_is_measured_by_the_known_sand(write_job: Write) -> None:
    text = JOB + '[bucket]\nreference = "silica-sand"\nfills = { silica-sand = "66 lb", coated-eps-bead = "2.2 lb" }\n'
    materials = read_job(write_job(text)).sound().materials
    assert materials["silica-sand"].bulk_density_kg_m3 == pytest.approx(100 * POUND_KG / FOOT_M**3)
    assert materials["coated-eps-bead"].bulk_density_kg_m3 == pytest.approx(100 / 30 * POUND_KG / FOOT_M**3)


COUPONS = 'mix,pour,age,face,span,width,depth,peak,limit\n' + "".join(
    f"{mix},A,28 days,{face},200 mm,50 mm,10 mm,{peak} N,{limit} N\n"
    for mix, face, peak, limit in (
        ("backer-45", "up", 480, 192), ("backer-45", "down", 525, 210), ("backer-45", "up", 460, 184),
        ("backer-45", "down", 515, 206), ("backer-45", "up", 553, 221), ("backer-45", "down", 493, 197),
        ("backer-65", "up", 10, 5),
    )
)  # fmt: skip


def test_coupons_of_a_file_give_the_design_strength(write_job: Write, tmp_path: Path) -> None:
    (tmp_path / "coupons.csv").write_text(COUPONS)
    text = JOB + '[mixes.backer-45]\nbased_on = "backer-45"\ncoupons = "coupons.csv"\n'
    mix = read_job(write_job(text)).sound().mixes["backer-45"]
    assert len(mix.coupons) == 6
    # source: F = P·L/(b·d²) (ASTM C947): 192 N over 200 x 50 x 10 mm is 7.68 MPa
    assert mix.coupons[0].limit_pa == pytest.approx(7.68e6)
    limits = [each.limit_pa / 1e6 for each in mix.coupons if each.limit_pa]
    mean = sum(limits) / 6
    deviation = (sum((each - mean) ** 2 for each in limits) / 5) ** 0.5
    # source: one-sided 95/95 tolerance factor for six, 3.708 (from memory)
    assert mix.first_crack_strength_pa == pytest.approx((mean - 3.708 * deviation) * 1e6, rel=1e-3)
    assert mix.first_crack_age_d == 28


def test_a_changed_mix_is_untested(write_job: Write) -> None:
    tested = '[mixes.tested]\nbased_on = "backer-45"\nfirst_crack_strength = "6 MPa"\n'
    wetter = '[mixes.wetter]\nbased_on = "tested"\nwater_cementitious = 0.40\n'
    noted = '[mixes.noted]\nbased_on = "tested"\nnote = "for the bar"\n'
    mixes = read_job(write_job(JOB + tested + wetter + noted)).sound().mixes
    assert mixes["wetter"].first_crack_strength_pa is None
    assert mixes["noted"].first_crack_strength_pa == 6e6


def test_lots_come_from_stock_and_from_the_job(write_job: Write) -> None:
    text = (
        JOB
        + '[stock]\nwhite-cement = [{ mass = "60 lb", lot = "A" }, { mass = "20 lb" }]\n[lots]\nwhite-cement = "B"\n'
    )
    job = read_job(write_job(text)).sound()
    assert job.stock_kg["white-cement"] == pytest.approx(80 * POUND_KG)
    assert [each.lot for each in job.stock_lots["white-cement"]] == ["A", ""]
    assert job.lots == {"white-cement": "B"}


def test_the_next_reading_uses_a_corrected_figure(write_job: Write) -> None:
    path = write_job(JOB)
    write_corrections(path, [Correction("backer-45", "", "air", 0.07, 0.10, "2026-03-02", "weighed")])
    job = read_job(path).sound()
    assert job.mixes["backer-45"].air == 0.10
    assert tuple(map(str, job.warnings)) == (
        "warning-correction-applied (subject = mix backer-45, figure = air, was = 0.07, becomes = 0.1)",
    )


def test_a_correction_of_a_figure_changed_since_in_the_job_is_ignored(write_job: Write) -> None:
    path = write_job(JOB + '[mixes.backer-45]\nbased_on = "backer-45"\nair = 0.05\n')
    write_corrections(path, [Correction("backer-45", "", "air", 0.07, 0.10, "", "weighed")])
    job = read_job(path).sound()
    assert job.mixes["backer-45"].air == 0.05
    assert PLAIN.text(job.warnings[0].text).endswith("The job now has 0.05. Weigh again, or delete the entry.")


def test_a_corrected_density_replaces_the_density_however_it_was_given(write_job: Write) -> None:
    path = write_job(JOB)
    write_corrections(path, [Correction("backer-45", "silica-sand", "density", 2.65 * 998, 2600.0, "", "weighed")])
    assert read_job(path).sound().materials["silica-sand"].density_kg_m3 == pytest.approx(2600.0)


def test_a_second_correction_of_a_figure_keeps_what_the_job_says() -> None:
    first = Correction("m", "", "air", 0.07, 0.09, "", "")
    assert added([first], Correction("m", "", "air", 0.09, 0.10, "", "")) == [
        Correction("m", "", "air", 0.07, 0.10, "", "")
    ]
    assert len(added([first], Correction("n", "", "air", 0.07, 0.10, "", ""))) == 2


FAULTY = [
    (
        MASSES.replace("air = 0.07", "water_cementitious = 0.3"),
        "job.toml: mix mine: water_cementitious and masses are both given. Put every material into masses.",
    ),
    (
        MASSES.replace('water = "17 lb"\n', ""),
        "job.toml: mix mine: masses has no water. Add water to masses.",
    ),
    (
        MASSES.replace("silica-fume", "silicafume"),
        'job.toml: mix mine, masses: there is no material "silicafume". Did you mean `silica-fume`?',
    ),
    (
        MASSES.replace('"45 lb"', "45"),
        'job.toml: mix mine, masses.white-cement: "45" has no unit. Write "45 lb".',
    ),
    (
        '[mixes.mine]\nbased_on = "backer-45"\ncementitious_share = 0.5\nsand_cementitious = 1\n',
        "job.toml: mix mine: cementitious_share and sand_cementitious are given together. Keep one of them.",
    ),
    (
        "[mixes.mine]\nair = 0.04\n",
        "job.toml: mix mine: cementitious_share is missing. Add it, or use sand_cementitious, "
        "masses, mass_per_volume or volume_parts.",
    ),
    (
        '[mixes.mine]\nmass_per_volume = { white-cement = "2000 kg/m^3", silica-sand = "1500 kg/m^3", '
        'water = "600 kg/m^3" }\n',
        "job.toml: mix mine, air: The materials alone fill 1.815 of the volume they are written for. "
        "Check masses and densities, or write the batch as masses alone.",
    ),
    (
        "[mixes.mine]\nvolume_parts = { white-cement = 1, silica-sand = 1, water = 0.3 }\n"
        "polymer = { acrylic-emulsion = 0.05 }\n",
        "job.toml: mix mine, volume_parts.water: Water is in parts, and acrylic-emulsion adds "
        "more water. Give water_cementitious instead of parts of water.",
    ),
    (
        '[mixes.mine]\nbased_on = "backer-0"\nreplacement = { share = 0.5 }\n',
        "job.toml: mix mine, bead: mine holds no light aggregate. Name the bead to replace sand with.",
    ),
    (
        '[mixes.mine]\nbased_on = "backer-45"\nreplacement = { share = 50 }\n',
        "job.toml: mix mine, replacement.share: 50 is above 1. A share is 0 to 1. For 50%, write 0.5.",
    ),
    (
        '[mixes.mine]\nbased_on = "backer-45"\ncoupons = "none.csv"\n',
        'job.toml: mix mine, coupons: there is no file "none.csv". Check the path. It starts at '
        "the file that names it.",
    ),
    (
        '[[mixes.mine.coupons]]\npour = "A"\nage = "28 days"\nface = "up"\nspan = "10 in"\nwidth = "2 in"\n'
        'depth = "0.5 in"\npeak = "60 lbf"\nlimit = "61 lbf"\n[mixes.mine]\nbased_on = "backer-45"\n',
        "job.toml: mix mine, coupons[0]: limit is 61 lbf, above the peak of 60 lbf. First crack "
        "comes at or before the highest load.",
    ),
    (
        '[bucket]\nfills = { silica-sand = "66 lb" }\n',
        'job.toml: bucket: needs one of `volume` and `reference`. Give volume = "5 gal", or '
        "reference = the material of known bulk density.",
    ),
    (
        '[bucket]\nvolume = "5 gal"\nfills = { silica-snad = "66 lb" }\n',
        "job.toml: bucket, fills.silica-snad: there is no such material. Did you mean `silica-sand`?",
    ),
    (
        '[stock]\nwhite-cement = { mass = "60" }\n',
        'job.toml: stock.white-cement.mass: "60" has no unit. Write "60 lb".',
    ),
    (
        '[lots]\nwhite-cment = "A"\n',
        "job.toml: lots.white-cment: there is no such material. Did you mean `white-cement`?",
    ),
]  # fmt: skip


@pytest.mark.parametrize(("text", "line"), FAULTY, ids=[line[10:60] for _, line in FAULTY])
def test_each_fault_of_a_mix_has_one_line(write_job: Write, text: str, line: str) -> None:
    assert lines(write_job(JOB + text)) == [line]


def test_an_unreadable_correction_is_reported_with_its_file(write_job: Write) -> None:
    path = write_job(JOB)
    corrections_path(path).write_text('[[corrected]]\nmix = "backer-45"\nfigure = "airr"\nwas = 0.07\nbecomes = 0.1\n')
    assert lines(path) == [
        'job.corrected.toml: corrected 1: "airr" is not a figure that can be corrected. Did you mean `air`?'
    ]


PERLITE = """
[mixes.perlite]
reference_sand = "silica-sand"
[mixes.perlite.masses]
grey-cement = "{cement_lb} lb"
perlite = "209.25 lb"
water = "{water_lb} lb"
{entrainer}
"""
ENTRAINER = 'air-entrainer = "{:.3f} lb"'


def perlite(bags: float, gallons: float, *, entrained: bool = True) -> str:
    cement_lb = 94.0 * bags
    entrainer = ENTRAINER.format(0.003 * cement_lb) if entrained else ""
    return JOB + PERLITE.format(cement_lb=cement_lb, water_lb=8.33 * gallons, entrainer=entrainer)


@pytest.mark.parametrize(
    ("bags", "gallons", "low", "high"),
    # source: perlite trade association table (read), per yd³ with 27 ft³ of perlite at 7.75 lb/ft³: wet densities of
    # 1 : 4, 5, 6, 8 by volume, lb/ft³; the water of 1 : 5 and 1 : 8 from memory
    [(6.75, 61.0, 48, 56), (5.40, 59.4, 42, 50), (4.50, 54.0, 38, 44), (3.375, 54.0, 34, 40)],
)
def test_a_perlite_mix_with_an_entrainer_has_its_usual_air(
    write_job: Write, bags: float, gallons: float, low: float, high: float
) -> None:
    job = read_job(write_job(perlite(bags, gallons))).sound()
    made = make(job.mixes["perlite"], job.materials)
    assert low <= made.fresh_density_kg_m3 * FOOT_M**3 / POUND_KG <= high
    assert made.air_low < made.air < made.air_high
    batch_m3 = (94.0 * bags + 209.25 + 8.33 * gallons) * POUND_KG / made.fresh_density_kg_m3
    # What is printed as 27 ft³ lies within the band, and within a tenth of its middle.
    least, most = (batch_m3 * (1 - made.air) / (1 - air) / FOOT_M**3 for air in (made.air_low, made.air_high))
    assert least < 27.0 < most * 1.005
    assert batch_m3 / FOOT_M**3 == pytest.approx(27.0, rel=0.10)


def test_an_entrained_light_mix_is_not_for_lifting_until_a_bucket_is_weighed(write_job: Write) -> None:
    path = write_job(perlite(4.5, 54.0))
    job = read_job(path).sound()
    made = make(job.mixes["perlite"], job.materials)
    assert made.density_tolerance_least == 0.10
    ids = {each.id for each in made.warnings}
    assert {"density-not-weighed", "entrained-untested"} <= ids
    assert any("not for pieces that are carried, hung or lifted" in PLAIN.text(each.text) for each in made.warnings)
    assert any("17% to 30%" in PLAIN.text(each.text) for each in job.warnings if each.id == "air-assumed")
    assert run(["record", str(path), "bucket", "mix=perlite", "container=1 L", "gross=0.7 kg"]) == 0
    assert make(read_job(path).sound().mixes["perlite"], job.materials).density_tolerance_least == 0.10
    assert run(["record", str(path), "bucket", "mix=perlite", "container=10 L", "gross=7 kg"]) == 0
    weighed = make(read_job(path).sound().mixes["perlite"], job.materials)
    assert weighed.density_tolerance_least == 0.0
    assert weighed.air_low == weighed.air == weighed.air_high
    assert {each.id for each in weighed.warnings} & {"density-not-weighed", "entrained-untested"} == {
        "entrained-untested"  # its density is known now, its strength is not
    }
    tested = perlite(4.5, 54.0).replace("[mixes.perlite]", '[mixes.perlite]\nfirst_crack_strength = "1 MPa"')
    shown = make(read_job(write_job(tested)).sound().mixes["perlite"], job.materials)
    assert "entrained-untested" not in {each.id for each in shown.warnings}


def test_a_perlite_mix_without_an_air_entrainer_gets_a_note_on_the_usual_dosage(write_job: Write) -> None:
    job = read_job(write_job(perlite(6.75, 61.0, entrained=False))).sound()
    made = make(job.mixes["perlite"], job.materials)
    assert made.air == made.air_low == made.air_high == 0.04
    assert [each.id for each in made.warnings if each.id.startswith("air")] == ["air-unusual"]


def test_a_mix_without_a_light_aggregate_has_no_band_of_air(write_job: Write) -> None:
    text = JOB + '[mixes.mine]\nbased_on = "backer-0"\nadmixtures = { air-entrainer = 0.002 }\n'
    job = read_job(write_job(text)).sound()
    made = make(job.mixes["mine"], job.materials)
    assert made.air_low == made.air == made.air_high == 0.07
    assert made.density_tolerance_least == 0.0


def test_a_mix_by_mass_per_volume_has_that_mass_whatever_the_water_weighs(write_job: Write) -> None:
    # made: 900 + 100 + 300 of water in 1 m³ come back as they were written
    text = """
[materials.water]
density = "1030 kg/m^3"
[mixes.mine.mass_per_volume]
grey-cement = "900 kg/m^3"
silica-sand = "600 kg/m^3"
water = "300 kg/m^3"
"""
    job = read_job(write_job(JOB + text)).sound()
    recipe = make(job.mixes["mine"], job.materials).recipe_kg_m3
    assert recipe == pytest.approx({"grey-cement": 900.0, "silica-sand": 600.0, "water": 300.0})


def test_parts_of_water_refer_to_the_water_of_the_job(write_job: Write) -> None:
    text = """
[materials.water]
density = "1030 kg/m^3"
[mixes.mine]
air = 0.04
volume_parts = { grey-cement = 2, silica-sand = 1, water = 1 }
"""
    job = read_job(write_job(JOB + text)).sound()
    bulk = job.materials["grey-cement"].bulk_density_kg_m3
    assert bulk is not None
    assert job.mixes["mine"].water_cementitious == pytest.approx(1030.0 / (2 * bulk))


def test_a_calibrated_density_holds_in_a_job_with_water_of_its_own(write_job: Write) -> None:
    path = write_job(JOB + '[materials.water]\ndensity = "1030 kg/m^3"\n')
    before = read_job(path).sound().materials["silica-sand"].density_kg_m3
    assert before is not None
    write_corrections(path, [Correction("backer-45", "silica-sand", "density", before, 2600.0, "2026-03-02", "")])
    after = read_job(path).sound()
    assert after.materials["silica-sand"].density_kg_m3 == pytest.approx(2600.0)
    assert "correction-left-out" not in {each.id for each in after.warnings}


def test_the_band_of_an_entrained_mix_is_as_wide_as_its_usual_air(write_job: Write) -> None:
    job = read_job(write_job(perlite(4.5, 54.0))).sound()
    mix = job.mixes["perlite"]
    made, uncertain = make(mix, job.materials), bands(mix, job.materials).fresh_density_kg_m3
    assert uncertain.high >= made.fresh_density_kg_m3 * made.high_over_likely
    assert next(iter(uncertain.parts)) == "air"
    assert made.high_over_likely == pytest.approx((1 - made.air_low) / (1 - made.air))


def test_mixes_side_by_side_show_an_entrained_one_at_its_heaviest(write_job: Write, capsys) -> None:  # type: ignore[no-untyped-def]
    path = write_job(perlite(4.5, 54.0).replace('mix = "backer-45"', 'mix = "perlite"'))
    assert run(["mix", "compare", "perlite", "backer-45", "--job", str(path), "--json"]) == 0
    light, plain = json.loads(capsys.readouterr().out)["rows"]
    job = read_job(path).sound()
    made = make(job.mixes["perlite"], job.materials)
    # 10 % of density until a bucket is weighed, at the low side of the air; 5 % without a band of air
    ratio = 1.10 * (1 - made.air_low) / (1 - made.air)
    thick = 1 + (1 / 16) / (3 / 4)
    assert light["pieces"][0]["high_kg"] / light["pieces"][0]["fresh_kg"] == pytest.approx(ratio * thick)
    assert plain["pieces"][0]["high_kg"] / plain["pieces"][0]["fresh_kg"] == pytest.approx(1.05 * thick)


def test_sand_fills_what_the_others_and_the_air_leave(write_job: Write) -> None:
    # first principles: at the air that the masses leave open, the sand that fills is the sand that was weighed
    materials = "[materials.silica-sand]\nmoisture = 0.04\nabsorption = 0.01\n"
    others = 'white-cement = "600 kg/m^3", water = "210 kg/m^3"'
    read = lambda text: read_job(write_job(JOB + materials + text)).sound().mixes["mine"]  # noqa: E731
    weighed = read(f'[mixes.mine]\nmass_per_volume = {{ {others}, silica-sand = "1250 kg/m^3" }}\n')
    filled = read(f'[mixes.mine]\nair = {weighed.air!r}\nmass_per_volume = {{ {others}, silica-sand = "fill" }}\n')
    assert filled.air == pytest.approx(weighed.air, rel=1e-12)
    assert filled.cementitious_share == pytest.approx(weighed.cementitious_share, rel=1e-9)
    assert filled.water_cementitious == pytest.approx(weighed.water_cementitious, rel=1e-9)


def test_a_liquid_admixture_is_dosed_by_volume(write_job: Write) -> None:
    # definition: 8 US fl oz on 100 lb of cementitious, of a product of 1070 kg/m³
    product = '[materials.reducer]\nkind = "admixture"\ndensity = "1070 kg/m^3"\nsolids = 0.4\n'
    text = product + '[mixes.mine]\nbased_on = "backer-45"\nadmixtures = { reducer = "8 fl oz/cwt" }\n'
    dose = read_job(write_job(JOB + text)).sound().mixes["mine"].admixtures["reducer"]
    assert dose == pytest.approx(8 * 231 * 0.0254**3 / 128 * 1070 / (100 * 0.45359237), rel=1e-12)


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ('silica-sand = "fill"', "air is missing, so silica-sand can't fill the rest. Add air, such as air = 0.05."),
        (
            'silica-sand = "fill", silica-sand-fine = "fill"',
            'silica-sand and silica-sand-fine are all "fill". Give all but one a mass.',
        ),
        (
            'silica-sand = "1200 kg/m^3", white-cement = "fill"',
            'white-cement is not an aggregate. Only an aggregate can be "fill". Enter a mass.',
        ),
    ],
)
def test_sand_that_cannot_fill_is_refused_in_one_line(write_job: Write, text: str, line: str) -> None:
    cement = "" if "white-cement" in text else 'white-cement = "600 kg/m^3", '
    air = "" if line.startswith("air") else "air = 0.05\n"
    path = write_job(JOB + f'[mixes.mine]\n{air}mass_per_volume = {{ {cement}{text}, water = "210 kg/m^3" }}\n')
    assert any(line in str(fault) for fault in read_job(path).faults), read_job(path).faults


def test_a_job_read_after_another_has_its_own_faults_and_its_own_sequence(write_job: Write) -> None:
    # what is kept from an earlier job is told apart by type and order
    sound, faulty = "[workshop.handling]\npeople = 1\n", "[workshop.handling]\npeople = true\n"
    assert lines(write_job(JOB + sound)) == []
    assert len(lines(write_job(JOB + faulty))) == 1
    assert lines(write_job(JOB + sound)) == []
    first, second = "silica-sand = 0.5", "coated-eps-bead = 0.5"
    for ahead, behind in ((first, second), (second, first)):
        swapped = BY_SHARES.replace(f"{first}, {second}", f"{ahead}, {behind}")
        mix = read_job(write_job(JOB + swapped)).sound().mixes["shares"]
        assert list(mix.aggregate) == [ahead.split(" ")[0], behind.split(" ")[0]]


@pytest.mark.parametrize(
    ("material", "keys", "said"),
    [
        ("silica-sand", 'density = "165 kg/m^3"', 'A density of 165 kg/m^3 is out of range for the kind "sand".'),
        ("silica-sand", "relative_density = 0.265", 'A density of 264 kg/m³ is out of range for the kind "sand".'),
        ("white-cement", "relative_density = 31", "31 is out of range"),
        ("coated-eps-bead", 'density = "2600 kg/m^3"', 'out of range for the kind "light-aggregate".'),
        ("silica-sand", 'bulk_density = "3000 kg/m^3"', "The bulk density, 3000 kg/m^3, is more than the density of"),
    ],
)
def test_a_density_in_a_wrong_unit_is_refused(
    write_job: Callable[[str], Path], material: str, keys: str, said: str
) -> None:
    # 165 lb/ft³ is the density of sand; the same number in kg/m³ would take three quarters off the weight of a piece
    faults = read_job(
        write_job(JOB.replace("[job]", '[job]\nunits = "metric"') + f"[materials.{material}]\n{keys}\n")
    ).faults
    assert said in " ".join(map(str, faults))
