"""The mix commands as a caster uses them: their output, and the one line of each wrong call."""

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from estimator.__main__ import run
from tests.estimator.conftest import JOB

POUND_KG, FOOT_M, GALLON_M3 = 0.45359237, 0.3048, 0.003785411784
Write = Callable[[str], Path]


@pytest.fixture
def job(write_job: Write) -> Path:
    return write_job(JOB)


@pytest.fixture
def figures(capsys: pytest.CaptureFixture[str]) -> Callable[..., Any]:
    """Figures of a command with --json."""

    def call(*arguments: object) -> Any:
        assert run([*map(str, arguments), "--json"]) == 0, capsys.readouterr().err
        return json.loads(capsys.readouterr().out)

    return call


@pytest.fixture
def fault(capsys: pytest.CaptureFixture[str]) -> Callable[..., str]:
    """The message of a command that fails."""

    def call(*arguments: object) -> str:
        assert run([*map(str, arguments)]) == 2
        told = capsys.readouterr()
        assert told.out == ""
        return told.err.rstrip("\n")

    return call


@pytest.mark.parametrize(
    ("size", "material", "expected_kg"),
    [
        ("100 lb counted", "silica-sand", 52 * 0.55 * POUND_KG),
        ("100 lb counted", "coated-eps-bead", 52 * 0.45 / 100 * 2.8 * POUND_KG),
        ("2 bags of white-cement", "white-cement", 2 * 94 * POUND_KG),
        ("44 lb of white-cement", "metakaolin", 6 * POUND_KG),
        ("1/2 sack of coated-eps-bead", "coated-eps-bead", 27 / 2 * 2.8 * POUND_KG),
    ],
)
def test_a_batch_has_the_size_asked_for(figures: Callable[..., Any], size: str, material: str, expected_kg: float):
    shown = figures("mix", "show", "backer-45", "--for", size)
    assert shown["form"] == "masses"
    assert shown["weighed_kg"][material] == pytest.approx(expected_kg)


def test_a_batch_is_sized_by_total_mass_and_by_finished_volume(figures: Callable[..., Any]) -> None:
    assert figures("mix", "show", "backer-45", "--for", "100 lb total")["total_kg"] == pytest.approx(100 * POUND_KG)
    finished = figures("mix", "show", "backer-45", "--for", "2 ft^3")
    assert finished["finished_m3"] == pytest.approx(2 * FOOT_M**3)
    assert finished["total_kg"] / finished["finished_m3"] == pytest.approx(finished["fresh_density_kg_m3"])


def test_a_batch_for_pieces_holds_their_waste(figures: Callable[..., Any], job: Path) -> None:
    shown = figures("mix", "show", "backer-45", "--job", job, "--for", "pieces C1")
    assert shown["finished_m3"] == pytest.approx(1.8288 * 0.6477 * 0.01905 * 1.07)


@pytest.mark.parametrize("form", ["share", "sand-ratio", "masses", "mass-per-volume", "volume-parts"])
def test_a_mix_is_shown_in_every_form(capsys: pytest.CaptureFixture[str], form: str) -> None:
    assert run(["mix", "show", "backer-45", "--as", form, "--stop-at", "0.30"]) == 0
    out = capsys.readouterr().out
    assert "EPS beads, coated" in out
    assert "coated-eps-bead" not in out
    assert "stopped at w/cm 0.30" in out
    assert "limit of proportionality" in out


def test_swapping_sand_gives_weight_cost_and_quantities(figures: Callable[..., Any], job: Path) -> None:
    told = figures("mix", "swap", "70%", "--job", job, "--piece", "C1")
    now, swapped = told["now"], told["swapped"]
    assert told["replacement"] == {"now": pytest.approx(0.45), "swapped": pytest.approx(0.7)}
    (before,), (after,) = now["pieces"], swapped["pieces"]
    volume_m3 = 1.8288 * 0.6477 * 0.01905
    assert after["fresh_kg"] == pytest.approx(swapped["fresh_density_kg_m3"] * volume_m3)
    assert after["lift_kg"] < before["lift_kg"]
    assert swapped["required_kg"]["silica-sand"] < now["required_kg"]["silica-sand"]
    assert swapped["required_kg"]["coated-eps-bead"] > now["required_kg"]["coated-eps-bead"]
    assert swapped["fresh_low"] < swapped["fresh_density_kg_m3"] < swapped["fresh_high"]


def test_swapping_to_the_present_share_changes_nothing(figures: Callable[..., Any], job: Path) -> None:
    told = figures("mix", "swap", "0.45", "--job", job)
    assert told["swapped"]["pieces"] == told["now"]["pieces"]
    assert told["swapped"]["total"] == told["now"]["total"]


def test_mixes_are_compared_with_and_without_a_job(figures: Callable[..., Any], job: Path) -> None:
    alone = figures("mix", "compare", "backer-0", "backer-65")["rows"]
    assert [row["pieces"] for row in alone] == [[], []]
    cast = figures("mix", "compare", "backer-0", "backer-65", "--job", job, "--in-place-of", "backer-45")["rows"]
    volume_m3 = 1.8288 * 0.6477 * 0.01905
    for row in cast:
        assert row["pieces"][0]["fresh_kg"] == pytest.approx(row["fresh_density_kg_m3"] * volume_m3)
        assert row["pieces"][0]["cost"] == pytest.approx(row["cost_per_m3"] * volume_m3 * 1.07, abs=0.005)


def test_the_swap_is_printed_for_a_caster(capsys: pytest.CaptureFixture[str], job: Path) -> None:
    assert run(["mix", "swap", "70%", "--job", str(job), "--piece", "C1"]) == 0
    out = capsys.readouterr().out
    for text in ("Max. lift", "Max. flip", "bucket for bucket", "By bucket, loose", "not tested", "Buy"):
        assert text in out


@pytest.mark.parametrize(
    ("arguments", "line"),
    [
        (["show", "back-50"], 'catalog: there is no mix "back-50". Did you mean `backer-45`?'),
        (["show", "backer-45", "--as", "shares"], '--as: "shares" is not known. Did you mean `share`?'),
        (
            ["show", "backer-45", "--for", "100 lb"],
            '--for: "100 lb" does not say which mass. Write "100 lb counted" (dry, as if all sand) or "100 lb total".',
        ),
        (
            ["show", "backer-45", "--for", "3 crates of white-cement"],
            '--for: white-cement has no package "crates". Write bag or half bag, or a mass.',
        ),
        (["show", "backer-45", "--for", "3 bags of slag"], "--for: slag is not in backer-45."),
        (["show", "backer-45", "--for", "pieces C1"], "--for: Pieces need a job. Add --job job.toml."),
        (
            ["show", "backer-45", "--for", "10 ft"],
            '--for: "10 ft" is not a batch size. Write "100 lb counted", "100 lb total", "2 ft^3", "3'
            ' bags of white-cement" or "pieces C1,C2".',
        ),
        (
            ["show", "backer-45", "--stop-at", "0.4"],
            "catalog: mix backer-45, water_cementitious: is 0.4. It must be below the mix's own 0.33. ",
        ),
        (["compare", "backer-45", "backer-6"], 'catalog: there is no mix "backer-6". Did you mean `backer-65`?'),
    ],
)
def test_a_wrong_call_gets_one_line(fault: Callable[..., str], arguments: list[str], line: str) -> None:
    assert fault("mix", *arguments).startswith(line)
    assert "\n" not in fault("mix", *arguments)


@pytest.mark.parametrize(
    ("arguments", "line"),
    [
        (["swap", "70"], "SHARE: 70 is above 1. A share is 0 to 1. For 70%, write 0.7."),
        (["swap", "70%", "--piece", "C9"], 'job.toml: there is no piece "C9". Known here: `C1`.'),
        (
            ["swap", "70%", "--bead", "silica-sand"],
            "job.toml: mix backer-45, bead: silica-sand is not a light aggregate.",
        ),
        (
            ["swap", "70%", "--by", "weight"],
            '--by: "weight" is not known. Known here: `absolute-volume`, `loose-volume`, `mass`.',
        ),
        (["swap", "70%", "--mix", "face"], "job.toml: no piece here is cast in face. Known here: `backer-45`."),
        (
            ["compare", "backer-0"],
            "job.toml: no piece is cast in backer-0. Name the mix to replace, such as --in-place-of backer-45.",
        ),
        (["show", "backer-45", "--for", "pieces C9"], 'job.toml: there is no piece "C9". Known here: `C1`.'),
    ],
)
def test_a_wrong_call_on_a_job_gets_one_line(fault: Callable[..., str], job: Path, arguments: list[str], line: str):
    assert fault("mix", *arguments, "--job", job).startswith(line)


def test_mixes_on_the_curve_of_weight_against_cost_share_one_curve(
    figures: Callable[..., Any], job: Path, tmp_path: Path
) -> None:
    plot = tmp_path / "curve.svg"
    job.write_text(JOB + '[mixes.lean-100]\nbased_on = "backer-100"\ncementitious_share = 0.30\n')
    figures("mix", "compare", "backer-45", "backer-65", "lean-100", "--job", job, "--plot", plot)
    drawn = plot.read_text()
    assert drawn.count("<polyline") == 2, "backer-45 and backer-65 differ in the share swapped alone"
    assert drawn.count(">65%<") == 2
    assert "Backer, 45% beads" in drawn


def test_a_plot_that_cannot_be_drawn_is_refused(fault: Callable[..., str]) -> None:
    assert fault("mix", "compare", "backer-45", "--plot", "x.gif") == (
        '--plot: Can\'t write "x.gif". Use a name ending in .svg.'
    )
    nothing = fault("mix", "compare", "face", "--plot", "x.svg")
    assert nothing.startswith("--plot: No mix here has sand and beads to swap.")


def test_a_mix_states_how_far_it_is_from_the_rule_of_thumb(capsys: pytest.CaptureFixture[str]) -> None:
    for call in (["mix", "show", "backer-45"], ["mix", "compare", "backer-0", "backer-45"]):
        assert run(call) == 0
        said = " ".join(capsys.readouterr().out.split())
        assert "Backer, 45% beads: 45% of the sand replaced makes it 19.3% lighter" in said
        assert "says 22.5%. Any of these closes the gap alone: 10.7% air, not 7%; 40.7% cementitious, not 48%" in said
        assert "Backer, all sand:" not in said
    assert run(["mix", "show", "backer-45", "--json"]) == 0
    thumb = json.loads(capsys.readouterr().out)["rule_of_thumb"]
    assert (thumb["share"], thumb["expected"]) == (pytest.approx(0.45), pytest.approx(0.225))


def test_masses_as_weighed_have_the_decimals_of_the_scale(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    path.write_text(JOB + '[mixes.mine]\nbased_on = "backer-0"\nadmixtures = { blended-admixture-powder = 0.035 }\n')
    assert run(["mix", "show", "mine", "--job", str(path), "--for", "50 lb of white-cement"]) == 0
    said = capsys.readouterr().out
    # 0.035 of 50 lb / 0.88 is 1.989 lb, on a scale that shows grams
    assert "1.99 lb" in said
    assert "50.0 lb" in said


@pytest.mark.parametrize(
    "arguments",
    [
        ["show", "backer-45"],
        ["show", "backer-45", "--as", "masses"],
        ["swap", "70%"],
        ["compare", "backer-0", "backer-45"],
        ["solve", "backer-45", "--piece", "C1", "--weight", "20 lb", "--thickness", "5/8 in to 1 in"],
        ["calibrate", "backer-45", "--container", "10 L", "--gross", "40 lb"],
    ],
)
def test_output_has_names_for_keys_and_one_system_of_units(
    capsys: pytest.CaptureFixture[str], write_job: Write, arguments: list[str]
) -> None:
    imperial = write_job(JOB)
    assert run(["mix", *arguments, "--job", str(imperial)]) == 0
    shown = capsys.readouterr()
    assert not re.search(r"backer-\d|coated-eps|white-cement|silica-sand\b", shown.out + shown.err)
    assert not re.search(r"\d (kg|m³|L|mm|MPa)\b|cubic met", shown.out + shown.err)
    assert "swapped" not in shown.out


def test_a_fault_of_a_swap_is_reported_in_the_language_of_its_job(fault: Callable[..., str], write_job: Write) -> None:
    """A British list has no comma before its last "and"."""
    text = JOB.replace("[job]", '[job]\nunits = "metric"').replace('"backer-45"', '"mine"')
    beads = "silica-sand = 0.4, coated-eps-bead = 0.2, expanded-glass = 0.2, perlite = 0.2"
    job = write_job(f'{text}[mixes.mine]\nbased_on = "backer-45"\naggregate = {{ {beads} }}\n')
    assert "coated-eps-bead, expanded-glass and perlite" in fault("mix", "swap", "70%", "--job", job)


def test_percentages_of_every_command_are_spaced_as_in_the_language_of_the_job(
    capsys: pytest.CaptureFixture[str], write_job: Write
) -> None:
    job = write_job(JOB.replace("[job]", '[job]\nunits = "metric"'))
    solve = ["solve", "backer-45", "--piece", "C1", "--weight", "10 kg"]
    for call in (["show", "backer-45"], ["swap", "70%"], ["compare", "backer-0", "backer-45"], solve):
        assert run(["mix", *call, "--job", str(job)]) == 0
        shown = capsys.readouterr().out.replace("45% beads", "")
        assert "\N{NO-BREAK SPACE}%" in shown
        assert not re.search(r"\d%", shown), call
