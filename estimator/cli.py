"""The command line (contract). Each command imports what it needs when it runs, so that help comes at once."""

from pathlib import Path
from typing import Annotated

import typer

from estimator.cli_mix import mix_app

app = typer.Typer(
    name="cast-estimator",
    help="Estimates a job of lightweight cast pieces: volumes, mix, order, price, weight and handling.",
    add_completion=False,
    no_args_is_help=True,
    rich_markup_mode=None,
)

app.add_typer(mix_app, name="mix")

JobArgument = Annotated[Path, typer.Argument(metavar="JOB.toml", help="The job file.", show_default=False)]


@app.command()
def estimate(
    job: JobArgument,
    out: Annotated[Path | None, typer.Option(help="Folder for the whole pack of papers.", show_default=False)] = None,
    json: Annotated[bool, typer.Option("--json", help="Print the estimate document alone.")] = False,
    workings: Annotated[bool, typer.Option("--workings", help="With --json: how every figure came about.")] = False,
) -> None:
    """The main job: summary, and with --out the whole pack."""
    from estimator.commands.jobs import run_estimate

    run_estimate(job, out, as_json=json, workings=workings)


@app.command()
def check(job: JobArgument) -> None:
    """Lists every fault that `estimate` would find."""
    from estimator.commands.jobs import run_check

    run_check(job)


@app.command()
def explain(
    job: JobArgument,
    figure: Annotated[
        str, typer.Argument(metavar="FIGURE", help="Such as pieces.C1.weight.lift_kg.", show_default=False)
    ],
) -> None:
    """Formula, values, result, unit and source of one figure."""
    from estimator.commands.jobs import run_explain

    run_explain(job, figure)


@app.command()
def measure(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="A drawing or a mesh.", show_default=False)],
    unit: Annotated[str | None, typer.Option(help="Unit of the file: mm, cm, m, in, ft.", show_default=False)] = None,
    gap: Annotated[
        str | None, typer.Option(help="Line ends within this are one point (default 0.1 mm).", show_default=False)
    ] = None,
    layer: Annotated[str | None, typer.Option(help="Layer of the drawing to take.", show_default=False)] = None,
    thickness: Annotated[str | None, typer.Option(help="Of a drawn piece, with its unit.", show_default=False)] = None,
    wall: Annotated[str | None, typer.Option(help="Wall of a shell, with its unit.", show_default=False)] = None,
    open_face: Annotated[str, typer.Option("--open", help="Face that the shell leaves out: top, none ...")] = "none",
    bodies: Annotated[bool, typer.Option("--bodies", help="Count the bodies of a large mesh too.")] = False,
    json: Annotated[bool, typer.Option("--json", help="Print the measure as JSON.")] = False,
    picture: Annotated[Path | None, typer.Option(help="Draw it: out.svg or out.png.", show_default=False)] = None,
) -> None:
    """Volume, area, size and centroid of one drawing or mesh."""
    from estimator.commands.measure import Question, run

    question = Question(unit, gap, layer, thickness, wall, open_face, bodies)
    run(file, question, as_json=json, picture=picture)


@app.command()
def quick(
    size: Annotated[
        str, typer.Argument(metavar="SIZE", help='Length x width: 96x25.5, or "8 ft x 25-1/2 in".', show_default=False)
    ],
    sink: Annotated[int, typer.Option("--sink", count=True, help="A sink cut out; once for each.")] = 0,
    thickness: Annotated[
        str | None, typer.Option(help="With its unit; the workshop's unless said.", show_default=False)
    ] = None,
    mix: Annotated[
        str | None, typer.Option(help="One mix (default: a face coat and backer-45).", show_default=False)
    ] = None,
    use: Annotated[str, typer.Option(help="counter, panel, basin, fire, planter or other.")] = "counter",
    quantity: Annotated[int, typer.Option(help="Pieces of this size.")] = 1,
    units: Annotated[str, typer.Option(help="imperial (bare sizes in inches) or metric (mm).")] = "imperial",
    currency: Annotated[str, typer.Option(help="ISO 4217.")] = "USD",
    catalog: Annotated[Path | None, typer.Option(help="The workshop's own catalog file.", show_default=False)] = None,
    json: Annotated[bool, typer.Option("--json", help="Print the ballpark as JSON.")] = False,
) -> None:
    """A ballpark of weight and price before a job file exists."""
    from estimator.commands.quick import Asked, run

    run(Asked(size, sink, thickness, mix, use, quantity, units, currency, catalog), as_json=json)


@app.command()
def compare(
    jobs: Annotated[list[Path], typer.Argument(metavar="JOB_A [JOB_B ...]", help="Job files.", show_default=False)],
    every: Annotated[bool, typer.Option("--all", help="Show what does not differ too.")] = False,
    json: Annotated[bool, typer.Option("--json", help="Print the comparison as JSON.")] = False,
) -> None:
    """Jobs side by side; of one job its alternatives, and which inputs move its price most."""
    from estimator.commands.jobs import run_compare

    run_compare(jobs, every=every, as_json=json)


@app.command()
def history(
    jobs: Annotated[list[Path], typer.Argument(metavar="JOB.toml ...", help="Finished jobs.", show_default=False)],
    json: Annotated[bool, typer.Option("--json", help="Print the history as JSON.")] = False,
) -> None:
    """What finished jobs really took, and the waste and rates to reckon with next."""
    from estimator.commands.records import run_history

    run_history(jobs, as_json=json)


@app.command()
def new(folder: Annotated[Path, typer.Argument(metavar="DIR", help="Where to put it.", show_default=False)]) -> None:
    """A starter job that runs as it is."""
    from estimator.commands.jobs import run_new

    run_new(folder)


@app.command()
def schema() -> None:
    """The JSON Schema of the job file."""
    from estimator.commands.jobs import run_schema

    run_schema()


@app.command()
def record(
    job: JobArgument,
    kind: Annotated[
        str | None,
        typer.Argument(metavar="KIND", help="bucket, batch, hours, used, coupon or remake.", show_default=False),
    ] = None,
    fields: Annotated[
        list[str] | None,
        typer.Argument(metavar="NAME=VALUE...", help='mix=backer-45 gross="30 lb".', show_default=False),
    ] = None,
) -> None:
    """Writes down what was weighed, mixed, taken or tested, next to the job; without KIND, lists it."""
    from estimator.commands.records import run_record

    run_record(job, kind, fields or ())
