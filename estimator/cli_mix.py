"""The mix commands of the command line. Each imports what it needs when it runs, so that help comes at once."""

from pathlib import Path
from typing import Annotated, Literal

import typer

mix_app = typer.Typer(
    help="Mixes: written, weighed, compared, solved for and corrected.", no_args_is_help=True, rich_markup_mode=None
)

JobOption = Annotated[Path | None, typer.Option("--job", metavar="JOB.toml", help="The job.", show_default=False)]
TheJob = Annotated[Path, typer.Option("--job", metavar="JOB.toml", help="The job.", show_default=False)]
UnitsOption = Annotated[
    Literal["imperial", "metric"] | None, typer.Option("--units", help="Those of the job unless said.")
]
JsonOption = Annotated[bool, typer.Option("--json", help="Print figures as JSON, SI.")]


@mix_app.command("show")
def show(
    name: Annotated[str | None, typer.Argument(metavar="NAME", help="The mix.", show_default=False)] = None,
    job: JobOption = None,
    form: Annotated[
        str | None, typer.Option("--as", help="share, sand-ratio, masses, mass-per-volume or volume-parts.")
    ] = None,
    size: Annotated[
        str | None,
        typer.Option("--for", help='"100 lb counted", "100 lb total", "2 ft^3", "3 bags of X", "pieces C1,C2".'),
    ] = None,
    stop_at: Annotated[float | None, typer.Option(help="w/cm at which the water ends early.")] = None,
    units: UnitsOption = None,
    json: JsonOption = False,
) -> None:
    """One mix in any way of writing it, for a batch of any size."""
    from estimator.commands.mix import run_show

    run_show(name, job, form, size, stop_at, units, as_json=json)


@mix_app.command("compare")
def compare(
    names: Annotated[list[str], typer.Argument(metavar="NAME...", help="The mixes.", show_default=False)],
    job: JobOption = None,
    in_place_of: Annotated[str | None, typer.Option(help="The job's mix in whose place they are cast.")] = None,
    plot: Annotated[Path | None, typer.Option(help="Draw weight against cost over the sand swapped: out.svg.")] = None,
    units: UnitsOption = None,
    json: JsonOption = False,
) -> None:
    """Mixes side by side, and a job's pieces cast in each."""
    from estimator.commands.mix import run_compare

    run_compare(names, job, in_place_of, plot, units, as_json=json)


@mix_app.command("swap")
def swap(
    share: Annotated[str, typer.Argument(metavar="SHARE", help="Of the sand, as if all sand: 60%.")],
    job: TheJob,
    piece: Annotated[str | None, typer.Option(help="One piece mark; all unless said.")] = None,
    mix: Annotated[str | None, typer.Option(help="The mix; the one with most in these pieces unless said.")] = None,
    sand: Annotated[str | None, typer.Option(help="The sand that goes out.")] = None,
    bead: Annotated[str | None, typer.Option(help="The light aggregate that comes in.")] = None,
    by: Annotated[str, typer.Option(help="loose-volume, absolute-volume or mass.")] = "loose-volume",
    json: JsonOption = False,
) -> None:
    """If so much of the sand is swapped: what the pieces weigh, cost and need."""
    from estimator.commands.mix import run_swap

    run_swap(share, job, piece, mix, sand, bead, by, as_json=json)


@mix_app.command("solve")
def solve(
    name: Annotated[str, typer.Argument(metavar="NAME", help="The mix to start from.", show_default=False)],
    job: JobOption = None,
    piece: Annotated[str | None, typer.Option(help="The piece mark whose weight counts.")] = None,
    weight: Annotated[str | None, typer.Option(help='The piece weighs at most, on the high side: "90 lb".')] = None,
    density: Annotated[str | None, typer.Option(help='Density to reach: "100 lb/ft^3"; with cost, at most.')] = None,
    least_cost: Annotated[bool, typer.Option("--least-cost", help="The cheapest within the limits.")] = False,
    replacement: Annotated[str, typer.Option(help="How much sand may be swapped.")] = "0 to 100%",
    thickness: Annotated[str | None, typer.Option(help='Thickness may change: "5/8 in to 1 in".')] = None,
    water: Annotated[str | None, typer.Option(help='w/cm may change: "0.30 to 0.36".')] = None,
    share: Annotated[str | None, typer.Option(help='Cementitious share may change: "0.40 to 0.55".')] = None,
    sand: Annotated[str | None, typer.Option(help="The sand that goes out.")] = None,
    bead: Annotated[str | None, typer.Option(help="The light aggregate that comes in.")] = None,
    stage: Annotated[Literal["fresh", "installed"], typer.Option(help="At which weight and density count.")] = "fresh",
    json: JsonOption = False,
) -> None:
    """The least change that makes a piece light enough, a density, or the least cost; or what stops it."""
    from estimator.commands.mix_solve import run
    from estimator.mix.solve import Variable

    allowed: dict[Variable, str | None] = {
        "replacement": replacement,
        "thickness_m": thickness,
        "water_cementitious": water,
        "cementitious_share": share,
    }
    run(name, job, piece, weight, density, allowed, sand, bead, stage, least_cost=least_cost, as_json=json)


@mix_app.command("calibrate")
def calibrate(
    name: Annotated[str, typer.Argument(metavar="NAME", help="The mix that was weighed.", show_default=False)],
    job: TheJob,
    container: Annotated[str | None, typer.Option(help='What the container holds, struck off: "0.25 ft^3".')] = None,
    gross: Annotated[str | None, typer.Option(help="Full; the last recorded bucket unless given.")] = None,
    tare: Annotated[str, typer.Option(help="Empty.")] = "0 lb",
    air: Annotated[str | None, typer.Option(help='By a meter, if there is one: "6%".')] = None,
    batch: Annotated[str | None, typer.Option(help="The recorded batch that it came from.")] = None,
    choose: Annotated[str | None, typer.Option(help="Correct this figure, not the likeliest one.")] = None,
    write: Annotated[bool, typer.Option("--write/--no-write", help="Keep the corrected figure beside the job.")] = True,
    json: JsonOption = False,
) -> None:
    """What a weighed bucket says of yield and air, and which figure to correct (ASTM C138)."""
    from estimator.commands.mix_feedback import run_calibrate

    run_calibrate(name, job, container, gross, tare, air, batch, choose, write=write, as_json=json)


@mix_app.command("coupons")
def coupons(
    names: Annotated[list[str] | None, typer.Argument(metavar="NAME...", help="The mixes.", show_default=False)] = None,
    job: JobOption = None,
    file: Annotated[Path | None, typer.Option(help="A CSV or XLSX table of coupons.")] = None,
    plot: Annotated[Path | None, typer.Option(help="Draw strength over age: out.svg.")] = None,
    units: UnitsOption = None,
    json: JsonOption = False,
) -> None:
    """First-crack strength that flexural coupons show, and what of it to count on (ASTM C947)."""
    from estimator.commands.mix_feedback import run_coupons

    run_coupons(names, job, file, plot, units, as_json=json)
