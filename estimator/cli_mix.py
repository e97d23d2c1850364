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
    from estimator.commands.mix_show import run

    run(name, job, form, size, stop_at, units, as_json=json)


@mix_app.command("compare")
def compare(
    names: Annotated[list[str], typer.Argument(metavar="NAME...", help="The mixes.", show_default=False)],
    job: JobOption = None,
    in_place_of: Annotated[str | None, typer.Option(help="The job's mix in whose place they are cast.")] = None,
    units: UnitsOption = None,
    json: JsonOption = False,
) -> None:
    """Mixes side by side, and a job's pieces cast in each."""
    from estimator.commands.mix_compare import run

    run(names, job, in_place_of, units, as_json=json)


@mix_app.command("swap")
def swap(
    share: Annotated[str, typer.Argument(metavar="SHARE", help="Of the sand, as if all sand: 70%.")],
    job: TheJob,
    piece: Annotated[str | None, typer.Option(help="One piece mark; all unless said.")] = None,
    mix: Annotated[str | None, typer.Option(help="The mix; the one with most in these pieces unless said.")] = None,
    sand: Annotated[str | None, typer.Option(help="The sand that goes out.")] = None,
    bead: Annotated[str | None, typer.Option(help="The light aggregate that comes in.")] = None,
    by: Annotated[str, typer.Option(help="loose-volume, absolute-volume or mass.")] = "loose-volume",
    json: JsonOption = False,
) -> None:
    """If so much of the sand is swapped: what the pieces weigh, cost and need."""
    from estimator.commands.mix_swap import run

    run(share, job, piece, mix, sand, bead, by, as_json=json)
