"""From the first bucket and the coupons back into the job: calibrate, coupons, and solve with their figures."""

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from estimator.__main__ import run
from estimator.intake import read_job
from estimator.intake.corrections import corrections_path, read_corrections
from estimator.mix import make
from estimator.records import read_records
from tests.estimator.conftest import JOB

POUND_KG, FOOT_M = 0.45359237, 0.3048
VOLUME_M3 = 1.8288 * 0.6477 * 0.01905
Write = Callable[[str], Path]


@pytest.fixture
def job(write_job: Write) -> Path:
    return write_job(JOB)


@pytest.fixture
def figures(capsys: pytest.CaptureFixture[str]) -> Callable[..., Any]:
    def call(*arguments: object) -> Any:
        capsys.readouterr()
        assert run([*map(str, arguments), "--json"]) == 0, capsys.readouterr().err
        return json.loads(capsys.readouterr().out)

    return call


def test_the_next_estimate_uses_what_the_bucket_weighed(figures: Callable[..., Any], job: Path) -> None:
    before = read_job(job).sound()
    predicted = make(before.mixes["backer-45"], before.materials).fresh_density_kg_m3
    gross = f"{0.97 * predicted * 0.01 + 1.0} kg"
    weighed = ["--container", "10 L", "--gross", gross, "--tare", "1 kg"]
    told = figures("mix", "calibrate", "backer-45", "--job", job, *weighed)
    # source: ASTM C138: density, relative yield, gravimetric air (formulas from memory)
    assert told["density_kg_m3"] == pytest.approx(0.97 * predicted)
    assert told["relative_yield"] == pytest.approx(1 / 0.97)
    assert told["air"] == pytest.approx(1 - 0.97 * (1 - 0.07))
    (correction,) = told["corrections"]
    assert correction == {"figure": "air", "was": 0.07, "becomes": pytest.approx(told["air"])}
    after = read_job(job).sound()
    assert make(after.mixes["backer-45"], after.materials).fresh_density_kg_m3 == pytest.approx(0.97 * predicted)
    assert [each.kind for each in read_records(job).records] == ["bucket", "calibration"]


def test_a_second_weighing_starts_from_the_first(figures: Callable[..., Any], job: Path) -> None:
    for gross in ("16.5 kg", "16.2 kg"):
        figures("mix", "calibrate", "backer-45", "--job", job, "--container", "10 L", "--gross", gross)
    after = read_job(job).sound()
    assert make(after.mixes["backer-45"], after.materials).fresh_density_kg_m3 == pytest.approx(1620.0)
    assert corrections_path(job).read_text().count("[[corrected]]") == 2, "what stood there stays"
    assert len(read_corrections(job, [])) == 1, "the last of a figure counts"


def test_nothing_is_kept_with_no_write(figures: Callable[..., Any], job: Path) -> None:
    figures("mix", "calibrate", "backer-45", "--job", job, "--container", "10 L", "--gross", "16 kg", "--no-write")
    assert [each.name for each in job.parent.iterdir()] == ["job.toml"]


def test_a_recorded_bucket_of_a_recorded_batch_is_compared_with_what_went_in(
    figures: Callable[..., Any], job: Path
) -> None:
    masses = ["white-cement=45 lb", "silica-fume=5 lb", "silica-sand=25 lb", "coated-eps-bead=0.75 lb", "water=14 lb"]
    others = ["blended-admixture-powder=1.75 lb", "ar-glass-chopped=3 lb", "designed=1 ft^3"]
    assert run(["record", str(job), "batch", "mix=backer-45", "batch=7", *masses, *others]) == 0
    assert run(["record", str(job), "bucket", "mix=backer-45", "batch=7", "container=10 L", "gross=17 kg"]) == 0
    told = figures("mix", "calibrate", "backer-45", "--job", job, "--no-write")
    total_kg = (45 + 5 + 25 + 0.75 + 14 + 1.75 + 3) * POUND_KG
    assert told["yield_m3"] == pytest.approx(total_kg / 1700)
    assert told["relative_yield"] == pytest.approx(total_kg / 1700 / FOOT_M**3)


def test_a_figure_other_than_the_likeliest_may_be_corrected(figures: Callable[..., Any], job: Path) -> None:
    choose = ["--choose", "materials.coated-eps-bead.packing"]
    figures("mix", "calibrate", "backer-45", "--job", job, "--container", "10 L", "--gross", "16.1 kg", *choose)
    after = read_job(job).sound()
    assert after.mixes["backer-45"].air == 0.07
    assert after.materials["coated-eps-bead"].packing != 0.62
    assert make(after.mixes["backer-45"], after.materials).fresh_density_kg_m3 == pytest.approx(1610.0)


@pytest.mark.parametrize(
    ("arguments", "line"),
    [
        ([], "job.toml: no bucket of backer-45 was weighed. Give --container and --gross, or record"),
        (
            ["--gross", "16 kg"],
            '--container: is missing. Give the volume of the container, such as --container "0.25 ft^3".',
        ),
        (["--gross", "16", "--container", "10 L"], '--gross: "16" has no unit. Write "16 lb".'),
        (
            ["--gross", "1 kg", "--tare", "2 kg", "--container", "10 L"],
            "job.toml: mix backer-45, weighed: 2.2 lb full, 4.4 lb empty and 0.35 ft³ give no density.",
        ),
        (
            ["--gross", "16 kg", "--container", "10 L", "--choose", "airr"],
            '--choose: "airr" is not known. Did you mean `air`?',
        ),
        (
            ["--gross", "16 kg", "--container", "10 L", "--batch", "9"],
            'job.toml: There is no record of batch "9" of backer-45.',
        ),
    ],
)
def test_a_faulty_weighing_gets_one_line_and_keeps_nothing(
    job: Path, capsys: pytest.CaptureFixture[str], arguments: list[str], line: str
) -> None:
    assert run(["mix", "calibrate", "backer-45", "--job", str(job), *arguments]) == 2
    told = capsys.readouterr()
    assert (told.out, told.err.startswith(line), told.err.count("\n")) == ("", True, 1), told.err
    assert [each.name for each in job.parent.iterdir()] == ["job.toml"]


DILUTE = """
[mixes.thin]
based_on = "solid-cast"
admixtures = { thin-plasticizer = 0.03 }
[materials.thin-plasticizer]
kind = "admixture"
density = "1004 kg/m^3"
solids = 0.02
"""


@pytest.mark.parametrize("mix", ["thin", "solid-cast", "solid-cast-white", "face", "backer-45-acrylic"])
@pytest.mark.parametrize("ratio", [0.90, 0.96, 1.03])
def test_a_mix_with_a_dilute_liquid_is_calibrated(
    figures: Callable[..., Any], write_job: Write, mix: str, ratio: float
) -> None:
    path = write_job(JOB + DILUTE)
    before = read_job(path).sound()
    predicted = make(before.mixes[mix], before.materials).fresh_density_kg_m3
    gross = f"{ratio * predicted * 0.01:.6f} kg"
    told = figures("mix", "calibrate", mix, "--job", path, "--container", "10 L", "--gross", gross)
    assert told["explanations"]
    if told["corrections"]:
        after = read_job(path).sound()
        assert make(after.mixes[mix], after.materials).fresh_density_kg_m3 == pytest.approx(ratio * predicted)
    figures("mix", "show", mix, "--job", path)


def test_an_absorbent_aggregate_is_calibrated(figures: Callable[..., Any], write_job: Write) -> None:
    # Most of the water of a perlite mix is absorbed by its perlite: a trial with less leaves none for the paste.
    text = """
[mixes.light]
reference_sand = "silica-sand"
air = 0.20
[mixes.light.masses]
grey-cement = "94 lb"
perlite = "31 lb"
water = "50 lb"
"""
    path = write_job(JOB + text)
    told = figures("mix", "calibrate", "light", "--job", path, "--container", "10 L", "--gross", "7 kg", "--no-write")
    assert "air" in {each["figure"] for each in told["explanations"]}


@pytest.mark.parametrize("choose", [[], ["--choose", "air"]])
def test_a_difference_within_the_error_of_the_bucket_changes_nothing(
    figures: Callable[..., Any], capsys: pytest.CaptureFixture[str], job: Path, choose: list[str]
) -> None:
    shop = read_job(job).sound()
    predicted = make(shop.mixes["backer-45"], shop.materials).fresh_density_kg_m3
    # 10 L struck level within 0.5 %, on a scale that shows 0.1 lb: half a step of it in 17 kg is 0.13 %
    for ratio, corrected in ((1.005, 0), (0.9945, 0), (1.008, 1), (0.992, 1)):
        gross = f"{ratio * predicted * 0.01:.6f} kg"
        call = ["calibrate", "backer-45", "--job", str(job), "--container", "10 L", "--gross", gross, *choose]
        told = figures("mix", *call, "--no-write")
        assert len(told["corrections"]) == corrected, ratio
        assert told["within_uncertainty"] == (not corrected)
    gross = f"{1.005 * predicted * 0.01:.6f} kg"
    assert run(["mix", "calibrate", "backer-45", "--job", str(job), "--container", "10 L", "--gross", gross]) == 0
    assert "The measure and scale alone may be off by 0.6%." in capsys.readouterr().out
    assert not corrections_path(job).exists()
    assert read_job(job).sound().mixes["backer-45"] == replace(shop.mixes["backer-45"], density_weighed=True)


def test_a_bucket_under_two_liters_is_an_indication_and_corrects_nothing(
    figures: Callable[..., Any], capsys: pytest.CaptureFixture[str], job: Path
) -> None:
    call = ["calibrate", "backer-45", "--job", job, "--container", "1 L", "--gross", "1.5 kg", "--air", "0.12"]
    assert figures("mix", *call, "--no-write")["corrections"] == []
    assert run(["mix", *map(str, call)]) == 0
    assert "only an indication" in capsys.readouterr().out
    assert not corrections_path(job).exists()
    shop = read_job(job).sound()
    gross = f"{0.97 * 0.002 * make(shop.mixes['backer-45'], shop.materials).fresh_density_kg_m3:.4f} kg"
    larger = ["calibrate", "backer-45", "--job", job, "--container", "2 L", "--gross", gross, "--no-write"]
    assert len(figures("mix", *larger)["corrections"]) == 1


COUPONS = "mix,pour,age,face,span,width,depth,peak,limit\n" + "".join(
    f"{mix},A,28 days,{face},200 mm,50 mm,10 mm,{peak} N,{limit} N\n"
    for mix in ("backer-45", "backer-65")
    for face, peak, limit in (("up", 480, 192), ("down", 525, 210), ("up", 460, 184))
)


def test_coupons_of_a_file_are_shown_with_what_they_lack(
    figures: Callable[..., Any], capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    file, plot = tmp_path / "coupons.csv", tmp_path / "strength.svg"
    file.write_text(COUPONS)
    (told,) = figures("mix", "coupons", "backer-45", "--file", file, "--plot", plot)["mixes"]
    # source: F = P·L/(b·d²) as in ASTM C947: 192 and 480 N, 200, 50, 10 mm give 7.68 and 19.2 MPa
    assert told["coupons"][0]["limit_of_proportionality_pa"] == pytest.approx(7.68e6)
    assert told["coupons"][0]["modulus_of_rupture_pa"] == pytest.approx(19.2e6)
    assert told["replacement"] == pytest.approx(0.45)
    (shown,) = told["sets"]
    assert (shown["count"], shown["to_count_on_pa"], told["first_crack_strength_pa"]) == (3, None, None)
    drawn = plot.read_text()
    assert drawn.count("<circle") == 3 + 1, "each coupon, and the legend"
    assert "first-crack strength" in drawn
    assert run(["mix", "coupons", "backer-45", "--file", str(file)]) == 0
    out = capsys.readouterr().out
    assert "A lower limit needs 6 or more." in out
    assert "Backer, 45% beads: no design value yet." in out
    assert "limit of proportionality" in out


@pytest.mark.parametrize(
    ("arguments", "line"),
    [
        ([], "catalog: has no mix with coupons. Name a mix, or add [[mixes.NAME.coupons]] to the job."),
        (["backer-45", "--file", "none.csv"], '--file: there is no file "none.csv".'),
        (["--file", "none.csv"], "--file: needs one mix. Write mix coupons NAME --file coupons.csv."),
        (
            ["backer-45", "--plot", "x.svg"],
            "--plot: No coupon has a first crack to plot. Record the limit load of the coupons.",
        ),
    ],
)
def test_coupons_without_a_result_get_one_line(
    capsys: pytest.CaptureFixture[str], arguments: list[str], line: str
) -> None:
    assert run(["mix", "coupons", *arguments]) == 2
    assert capsys.readouterr().err.startswith(line)


def test_solve_finds_the_share_at_which_a_top_is_light_enough(figures: Callable[..., Any], job: Path) -> None:
    told = figures("mix", "solve", "backer-45", "--job", job, "--piece", "C1", "--weight", "90 lb")
    assert told["reached"]
    assert told["weight_high_kg"] == pytest.approx(90 * POUND_KG, abs=1e-4)
    assert 0.5 < told["values"]["replacement"] < 1.0
    # The high side: density 5 % over, thickness 1/16 in over 3/4 in.
    high_kg = told["density_kg_m3"] * VOLUME_M3 * 1.05 * (1 + 1 / 12)
    assert told["weight_high_kg"] == pytest.approx(high_kg, rel=1e-6)


def test_solve_thins_the_piece_only_if_swapping_does_not_suffice(figures: Callable[..., Any], job: Path) -> None:
    call = ["mix", "solve", "backer-45", "--job", job, "--piece", "C1", "--thickness", "5/8 in to 3/4 in"]
    assert "thickness_m" not in figures(*call, "--weight", "90 lb")["values"]
    thinner = figures(*call, "--weight", "65 lb")
    assert thinner["reached"]
    assert thinner["values"]["replacement"] == pytest.approx(1.0)
    assert 0.015875 < thinner["values"]["thickness_m"] < 0.01905


def test_solve_names_the_limit_that_stops_it(figures: Callable[..., Any], job: Path) -> None:
    told = figures("mix", "solve", "backer-45", "--job", job, "--piece", "C1", "--weight", "20 lb")
    assert not told["reached"]
    assert told["stopped_by"] == ["Sand replaced 100% (maximum)"]


def test_solve_reaches_a_density_and_finds_the_least_cost(figures: Callable[..., Any]) -> None:
    density = figures("mix", "solve", "backer-45", "--density", "1500 kg/m^3")
    assert density["density_kg_m3"] == pytest.approx(1500.0)
    cheap = figures("mix", "solve", "backer-45", "--least-cost", "--density", "1600 kg/m^3", "--share", "0.40 to 0.55")
    assert cheap["reached"]
    assert cheap["values"]["cementitious_share"] == pytest.approx(0.40)
    assert cheap["density_kg_m3"] <= 1600.0 * (1 + 1e-6)


@pytest.mark.parametrize(
    ("arguments", "line"),
    [
        ([], "mix solve: needs exactly one goal. Give --weight, --density or --least-cost."),
        (["--weight", "90 lb"], "--weight: needs a piece. Add --job job.toml --piece C1."),
        (["--density", "90"], '--density: "90" has no unit.'),
        (
            ["--density", "90 lb/ft^3", "--replacement", "50%"],
            '--replacement: "50%" is not a range. Write "0.30 to 0.36".',
        ),
        (["--density", "90 lb/ft^3", "--water", "0.4 to 0.3"], '--water: "0.4 to 0.3" runs downward.'),
        (
            ["--density", "90 lb/ft^3", "--thickness", "1 in to 2 in"],
            "catalog: mix backer-45, thickness_m: There is",
        ),
    ],
)
def test_a_question_without_a_solution_gets_one_line(
    capsys: pytest.CaptureFixture[str], arguments: list[str], line: str
) -> None:
    assert run(["mix", "solve", "backer-45", *arguments]) == 2
    told = capsys.readouterr()
    assert (told.out, told.err.startswith(line)) == ("", True), told.err
