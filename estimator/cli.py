"""Command line. A command imports its modules only when it runs, so that `--help` prints at once."""

from collections.abc import Sequence
from pathlib import Path
from typing import Annotated, Literal

import typer

from geometry.numbers import whole_number

app = typer.Typer(
    name="cast-estimator",
    help="Estimates a job of thin, lightweight cast pieces: volumes, mix, order, price, weight and handling.",
    add_completion=False,
    no_args_is_help=True,
    rich_markup_mode=None,
)

mix_app = typer.Typer(
    help="Show, change, compare, solve, calibrate and test mixes.", no_args_is_help=True, rich_markup_mode=None
)
app.add_typer(mix_app, name="mix")

store_app = typer.Typer(
    help="Back up, restore and export the records of the shop page.", no_args_is_help=True, rich_markup_mode=None
)
app.add_typer(store_app, name="store")
FolderOption = Annotated[Path, typer.Option("--folder", metavar="DIR", help="Folder of the jobs.")]


def _print_version(wanted: bool) -> None:
    if wanted:
        from importlib.metadata import version

        print(version("cast-estimator"))
        raise typer.Exit


@app.callback()
def _for_all(
    context: typer.Context,
    limit: Annotated[
        list[str] | None,
        typer.Option(metavar="NAME=NUMBER", help="Raise a limit: rows=200000. Repeat for more.", show_default=False),
    ] = None,
    _version: Annotated[
        bool, typer.Option("--version", help="Print the version and exit.", is_eager=True, callback=_print_version)
    ] = False,
) -> None:
    if limit:
        from estimator.intake.limits import raised_by

        context.with_resource(raised_by(limit))


def with_limits_first(arguments: Sequence[str]) -> list[str]:
    """The arguments with every `--limit` moved before the command, since users may write it anywhere.

    >>> with_limits_first(["estimate", "job.toml", "--limit", "rows=9", "--json"])
    ['--limit', 'rows=9', 'estimate', 'job.toml', '--json']
    """
    first, rest, at = list[str](), list[str](), 0
    while at < len(arguments) and arguments[at] != "--":
        taken = 2 if arguments[at] == "--limit" else 1
        part = arguments[at : at + taken]
        (first if taken == 2 or arguments[at].startswith("--limit=") else rest).extend(part)
        at += taken
    return [*first, *rest, *arguments[at:]]


class Whole:
    """Reader of a whole number of an option; the library's own would take 1_0 for ten."""

    __name__ = "whole number"

    def __init__(self, least: int, most: int | None = None) -> None:
        self.least, self.most = least, most

    def __call__(self, text: object) -> int:
        """The number. Raises BadParameter with the text, which `calls` puts into words."""
        try:
            number = whole_number(str(text))
        except ValueError:
            raise typer.BadParameter(str(text)) from None
        if number < self.least or (self.most is not None and number > self.most):
            raise typer.BadParameter(str(text))
        return number


JobArgument = Annotated[Path, typer.Argument(metavar="JOB.toml", help="The job file.", show_default=False)]
WorkersOption = Annotated[
    int | None,
    typer.Option(
        metavar="N",
        parser=Whole(1),
        help="Processes for reading drawings and meshes (default: all cores).",
        show_default=False,
    ),
]
NoCacheOption = Annotated[bool, typer.Option("--no-cache", help="Read every drawing and mesh again.")]


@app.command()
def estimate(
    job: JobArgument,
    out: Annotated[Path | None, typer.Option(metavar="DIR", help="Folder for all papers.", show_default=False)] = None,
    show: Annotated[
        str | None,
        typer.Option(
            metavar="TABLES", help="Tables: pieces,mixes,order,labor,price,calendar,cautions.", show_default=False
        ),
    ] = None,
    full: Annotated[bool, typer.Option("--full", help="Print every table.")] = False,
    json: Annotated[bool, typer.Option("--json", help="Print the estimate as JSON.")] = False,
    workings: Annotated[
        bool, typer.Option("--workings", help="With --json: include the working of every number.")
    ] = False,
    workers: WorkersOption = None,
    no_cache: NoCacheOption = False,
) -> None:
    """Estimate a job. Print the first screen; with --out, write all papers."""
    from estimator.commands.jobs import run_estimate, table_names

    tables = table_names(show, full=full) if show is not None or full else ()
    run_estimate(job, out, as_json=json, workings=workings, tables=tables, workers=workers, cache=not no_cache)


@app.command()
def check(
    job: JobArgument,
    accept: Annotated[bool, typer.Option("--accept", help="Accept changed drawings as they are now.")] = False,
    workers: WorkersOption = None,
    no_cache: NoCacheOption = False,
) -> None:
    """List every problem in a job file. Also list what changed in its drawings."""
    from estimator.commands.jobs import run_check

    run_check(job, workers, cache=not no_cache, accept=accept)


@app.command()
def serve(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="Folder of the jobs.")] = Path(),
    port: Annotated[int, typer.Option(metavar="N", parser=Whole(1, 65535), help="Port of the page.")] = 8420,
    host: Annotated[str, typer.Option(metavar="ADDRESS", help="Address of this computer to listen on.")] = "127.0.0.1",
    no_browser: Annotated[bool, typer.Option("--no-browser", help="Do not open the browser.")] = False,
    tls: Annotated[bool, typer.Option("--tls", help="Encrypt, with a certificate authority of your own.")] = False,
    database: Annotated[
        str | None,
        typer.Option(
            metavar="URL", help="Database of the records: postgresql+psycopg://USER@HOST/NAME.", show_default=False
        ),
    ] = None,
) -> None:
    """Open the shop page on a folder of jobs. Stop it with Ctrl-C."""
    from estimator.commands.serve import run_serve

    run_serve(folder, host, port, browser=not no_browser, tls=tls, database=database)


@store_app.command("backup")
def store_backup(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="File to write.", show_default=False)],
    folder: FolderOption = Path(),
) -> None:
    """Copy all records, people and links into one file. The page may keep running."""
    from estimator.commands.store import run_back_up

    run_back_up(file, folder)


@store_app.command("restore")
def store_restore(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="A backup file.", show_default=False)],
    folder: FolderOption = Path(),
) -> None:
    """Restore a backup. Stop the page first."""
    from estimator.commands.store import run_restore

    run_restore(file, folder)


@store_app.command("export")
def store_export(job: JobArgument) -> None:
    """Write the records of a job into the file beside it."""
    from estimator.commands.store import run_export

    run_export(job)


@app.command()
def explain(
    job: JobArgument,
    figure: Annotated[
        str,
        typer.Argument(
            metavar="FIGURE",
            help="A number by its path in `estimate --json`: pieces.C1.weight.lift_kg.",
            show_default=False,
        ),
    ],
) -> None:
    """Show how a number was calculated."""
    from estimator.commands.jobs import run_explain

    run_explain(job, figure)


@app.command()
def measure(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="A drawing or a mesh.", show_default=False)],
    unit: Annotated[
        str | None, typer.Option(metavar="UNIT", help="Unit of the file: mm, cm, m, in, ft.", show_default=False)
    ] = None,
    gap: Annotated[
        str | None,
        typer.Option(metavar="LENGTH", help="Join line ends closer than this (default 0.1 mm).", show_default=False),
    ] = None,
    layer: Annotated[str | None, typer.Option(metavar="LAYER", help="Layer to measure.", show_default=False)] = None,
    scale: Annotated[
        str | None,
        typer.Option(metavar="SCALE", help='Scale of a PDF drawing: 1:20, or "1/4 in = 1 ft".', show_default=False),
    ] = None,
    page: Annotated[
        int | None, typer.Option(metavar="N", parser=Whole(1), help="Page of a PDF drawing.", show_default=False)
    ] = None,
    thickness: Annotated[
        str | None,
        typer.Option(metavar="LENGTH", help="Thickness of a drawn piece, with its unit.", show_default=False),
    ] = None,
    wall: Annotated[
        str | None, typer.Option(metavar="LENGTH", help="Wall thickness of a shell, with its unit.", show_default=False)
    ] = None,
    open_face: Annotated[
        str,
        typer.Option(
            "--open", metavar="SIDE", help="Open side of the shell: top, bottom, front, back, left, right or none."
        ),
    ] = "none",
    bodies: Annotated[bool, typer.Option("--bodies", help="Count the bodies of a mesh of any size.")] = False,
    json: Annotated[bool, typer.Option("--json", help="Print the result as JSON.")] = False,
    picture: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Write a picture: out.svg or out.png.", show_default=False)
    ] = None,
) -> None:
    """Measure one drawing or mesh: volume, area, size, centroid."""
    from estimator.commands.measure import Question, run

    question = Question(unit, gap, layer, thickness, wall, open_face, bodies, scale, page)
    run(file, question, as_json=json, picture=picture)


@app.command()
def quick(
    size: Annotated[
        str, typer.Argument(metavar="SIZE", help='Length x width: 96x25.5, or "8 ft x 25-1/2 in".', show_default=False)
    ],
    sink: Annotated[int, typer.Option("--sink", count=True, help="One sink cutout; repeat for more.")] = 0,
    thickness: Annotated[
        str | None,
        typer.Option(metavar="LENGTH", help="Thickness with its unit (default: the shop's).", show_default=False),
    ] = None,
    mix: Annotated[
        str | None,
        typer.Option(metavar="NAME", help="One mix (default: a face coat and backer-45).", show_default=False),
    ] = None,
    use: Annotated[str, typer.Option(metavar="USE", help="counter, panel, basin, fire, planter or other.")] = "counter",
    quantity: Annotated[int, typer.Option(metavar="N", parser=Whole(1), help="Pieces of this size.")] = 1,
    units: Annotated[
        str | None,
        typer.Option(
            metavar="SYSTEM",
            help="imperial (bare sizes in inches) or metric (mm). (default: as the size is written, else imperial)",
            show_default=False,
        ),
    ] = None,
    currency: Annotated[str, typer.Option(metavar="CODE", help="Currency code, such as USD.")] = "USD",
    catalog: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Your shop's catalog file.", show_default=False)
    ] = None,
    json: Annotated[bool, typer.Option("--json", help="Print the result as JSON.")] = False,
) -> None:
    """Give a budget price and a weight without a job file."""
    from estimator.commands.quick import Request, run

    run(Request(size, sink, thickness, mix, use, quantity, units, currency, catalog), as_json=json)


@app.command()
def compare(
    jobs: Annotated[list[Path], typer.Argument(metavar="JOB_A [JOB_B ...]", help="Job files.", show_default=False)],
    every: Annotated[bool, typer.Option("--all", help="Show lines that do not differ.")] = False,
    json: Annotated[bool, typer.Option("--json", help="Print the comparison as JSON.")] = False,
) -> None:
    """Compare jobs. For one job: its alternates, and the inputs that move its price most."""
    from estimator.commands.jobs import run_compare

    run_compare(jobs, every=every, as_json=json)


@app.command()
def history(
    jobs: Annotated[list[Path], typer.Argument(metavar="JOB.toml ...", help="Finished jobs.", show_default=False)],
    json: Annotated[bool, typer.Option("--json", help="Print the history as JSON.")] = False,
) -> None:
    """Compare finished jobs with their estimates. Suggest waste and rates for the next one."""
    from estimator.commands.records import run_history

    run_history(jobs, as_json=json)


@app.command()
def new(
    folder: Annotated[Path, typer.Argument(metavar="DIR", help="Folder for the job.", show_default=False)],
    files: Annotated[
        list[Path] | None,
        typer.Option("--from", metavar="FILE", help="A drawing, model or table of pieces. Repeat for more."),
    ] = None,
    more: Annotated[list[Path] | None, typer.Argument(metavar="[FILE ...]", hidden=True)] = None,
    unit: Annotated[
        str | None, typer.Option(metavar="UNIT", help="Unit of the files: mm, cm, m, in, ft.", show_default=False)
    ] = None,
    thickness: Annotated[
        str | None, typer.Option(metavar="LENGTH", help="Thickness of drawn pieces, with its unit.", show_default=False)
    ] = None,
    gap: Annotated[
        str | None,
        typer.Option(metavar="LENGTH", help="Join line ends closer than this (default 0.1 mm).", show_default=False),
    ] = None,
    use: Annotated[
        Literal["counter", "panel", "planter", "basin", "fire", "other"] | None,
        typer.Option(
            metavar="USE", help="Use of the pieces: counter, panel, planter, basin, fire or other.", show_default=False
        ),
    ] = None,
    ignore: Annotated[
        list[str] | None, typer.Option(metavar="LAYER", help="Layer to leave out: BORDER, or DIM*. Repeat for more.")
    ] = None,
    pieces: Annotated[
        list[str] | None, typer.Option(metavar="LAYER", help="Layer with outlines of pieces (default: all).")
    ] = None,
    holes: Annotated[
        list[str] | None, typer.Option(metavar="LAYER", help="Layer with holes (default: outlines in a piece).")
    ] = None,
    marks: Annotated[
        list[str] | None, typer.Option(metavar="LAYER", help="Layer with the marks (default: all texts).")
    ] = None,
    scale: Annotated[
        str | None,
        typer.Option(metavar="SCALE", help='Scale of PDF drawings: 1:20, or "1/4 in = 1 ft".', show_default=False),
    ] = None,
    page: Annotated[
        int | None, typer.Option(metavar="N", parser=Whole(1), help="Page of a PDF drawing.", show_default=False)
    ] = None,
) -> None:
    """Write a starter job that runs as it is. With --from: a job from your drawings, models and tables."""
    from estimator.commands.jobs import run_new
    from estimator.draft import Request

    named = (*(files or ()), *(more or ()))
    outlines, inside, texts = (tuple(names or ()) for names in (pieces, holes, marks))
    request = Request(named, unit, gap, thickness, use, tuple(ignore or ()), scale, page, outlines, inside, texts)
    run_new(folder, request)


@app.command()
def lighten(
    job: JobArgument,
    piece: Annotated[
        str | None, typer.Option(metavar="MARK", help="One piece (default: the three heaviest).", show_default=False)
    ] = None,
    people: Annotated[
        int | None, typer.Option(metavar="N", parser=Whole(1, 4), help="Most people for any move.", show_default=False)
    ] = None,
    weight: Annotated[
        str | None,
        typer.Option(metavar="WEIGHT", help="Maximum weight of a part, with its unit: 80 lb.", show_default=False),
    ] = None,
    thinnest: Annotated[
        str | None,
        typer.Option(metavar="LENGTH", help="Allow a thinner slab, down to this thickness.", show_default=False),
    ] = None,
    json: Annotated[bool, typer.Option("--json", help="Print the ways as JSON, in SI units.")] = False,
    apply: Annotated[
        int | None,
        typer.Option(metavar="N", parser=Whole(1), help="Write option N into the job file.", show_default=False),
    ] = None,
    accept_untested: Annotated[
        bool, typer.Option("--accept-untested", help="Apply an option whose strength was not tested.")
    ] = False,
) -> None:
    """List ways to make a heavy piece liftable. They are sand replaced, a thinner slab, a core, and seams."""
    from estimator.commands.lighten import Request, run

    run(job, Request(piece, people, weight, thinnest, apply, accept_untested), as_json=json)


@app.command()
def schema() -> None:
    """Print the JSON Schema of the job file."""
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
        typer.Argument(metavar="NAME=VALUE...", help='Values: mix=backer-45 gross="30 lb".', show_default=False),
    ] = None,
) -> None:
    """Record a bucket, batch, hours, material, coupon or remake. Without KIND: list the records."""
    from estimator.commands.records import run_record

    run_record(job, kind, fields or ())


JobOption = Annotated[Path | None, typer.Option("--job", metavar="JOB.toml", help="The job.", show_default=False)]
TheJob = Annotated[Path, typer.Option("--job", metavar="JOB.toml", help="The job.", show_default=False)]
UnitsOption = Annotated[
    Literal["imperial", "metric"] | None,
    typer.Option("--units", metavar="SYSTEM", help="imperial or metric (default: the job's)."),
]
SandOption = Annotated[str | None, typer.Option(metavar="NAME", help="Sand to replace.")]
BeadOption = Annotated[str | None, typer.Option(metavar="NAME", help="Light aggregate to use.")]
JsonOption = Annotated[bool, typer.Option("--json", help="Print as JSON, in SI units.")]


@mix_app.command("show")
def mix_show(
    name: Annotated[str | None, typer.Argument(metavar="NAME", help="The mix.", show_default=False)] = None,
    job: JobOption = None,
    form: Annotated[
        str | None,
        typer.Option("--as", metavar="FORM", help="share, sand-ratio, masses, mass-per-volume or volume-parts."),
    ] = None,
    size: Annotated[
        str | None,
        typer.Option(
            "--for", metavar="SIZE", help='"100 lb counted", "100 lb total", "2 ft^3", "3 bags of X", "pieces C1,C2".'
        ),
    ] = None,
    stop_at: Annotated[float | None, typer.Option(metavar="RATIO", help="w/cm if you stop adding water early.")] = None,
    units: UnitsOption = None,
    json: JsonOption = False,
) -> None:
    """Show a mix in any form, for a batch of any size."""
    from estimator.commands.mix import run_show

    run_show(name, job, form, size, stop_at, units, as_json=json)


@mix_app.command("compare")
def mix_compare(
    names: Annotated[list[str], typer.Argument(metavar="NAME...", help="The mixes.", show_default=False)],
    job: JobOption = None,
    in_place_of: Annotated[str | None, typer.Option(metavar="NAME", help="Mix of the job to replace.")] = None,
    plot: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Plot weight and cost over the sand replaced: out.svg.")
    ] = None,
    units: UnitsOption = None,
    json: JsonOption = False,
) -> None:
    """Compare mixes, and a job's pieces cast in each."""
    from estimator.commands.mix import run_compare

    run_compare(names, job, in_place_of, plot, units, as_json=json)


@mix_app.command("swap")
def mix_swap(
    share: Annotated[str, typer.Argument(metavar="SHARE", help="Share of the sand to replace: 60%.")],
    job: TheJob,
    piece: Annotated[str | None, typer.Option(metavar="MARK", help="One piece mark (default: all).")] = None,
    mix: Annotated[
        str | None, typer.Option(metavar="NAME", help="Mix to change (default: the one used most in these pieces).")
    ] = None,
    sand: SandOption = None,
    bead: BeadOption = None,
    by: Annotated[
        str, typer.Option(metavar="BASIS", help="Replace by loose-volume, absolute-volume or mass.")
    ] = "loose-volume",
    json: JsonOption = False,
) -> None:
    """Show the pieces with that much of the sand replaced. Weight, cost and crew, before and after."""
    from estimator.commands.mix import run_swap

    run_swap(share, job, piece, mix, sand, bead, by, as_json=json)


@mix_app.command("solve")
def mix_solve(
    name: Annotated[str, typer.Argument(metavar="NAME", help="The mix to start from.", show_default=False)],
    job: JobOption = None,
    piece: Annotated[str | None, typer.Option(metavar="MARK", help="Piece whose weight counts.")] = None,
    weight: Annotated[str | None, typer.Option(metavar="WEIGHT", help='Maximum weight of the piece: "90 lb".')] = None,
    density: Annotated[
        str | None, typer.Option(metavar="DENSITY", help='Target density: "100 lb/ft^3"; with --least-cost, a maximum.')
    ] = None,
    least_cost: Annotated[bool, typer.Option("--least-cost", help="Find the cheapest mix within the limits.")] = False,
    replacement: Annotated[
        str, typer.Option(metavar="RANGE", help="Share of the sand that may be replaced.")
    ] = "0 to 100%",
    thickness: Annotated[
        str | None, typer.Option(metavar="LENGTH", help='Thickness may change: "5/8 in to 1 in".')
    ] = None,
    water: Annotated[str | None, typer.Option(metavar="RANGE", help='w/cm may change: "0.30 to 0.36".')] = None,
    share: Annotated[
        str | None, typer.Option(metavar="RANGE", help='Cementitious share may change: "0.40 to 0.55".')
    ] = None,
    sand: SandOption = None,
    bead: BeadOption = None,
    stage: Annotated[
        Literal["fresh", "installed"], typer.Option(metavar="STAGE", help="Stage at which weight and density count.")
    ] = "fresh",
    json: JsonOption = False,
) -> None:
    """Find the smallest change that meets a target.

    The target is a weight, a density or a cost. If no mix meets it, the limit that stops it is named.
    """
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
def mix_calibrate(
    name: Annotated[str, typer.Argument(metavar="NAME", help="The mix that was weighed.", show_default=False)],
    job: TheJob,
    container: Annotated[
        str | None, typer.Option(metavar="VOLUME", help='Volume of the container, struck level: "0.25 ft^3".')
    ] = None,
    gross: Annotated[
        str | None, typer.Option(metavar="WEIGHT", help="Weight full (default: the last bucket recorded).")
    ] = None,
    tare: Annotated[str, typer.Option(metavar="WEIGHT", help="Weight empty.")] = "0 lb",
    air: Annotated[str | None, typer.Option(metavar="SHARE", help='Air by meter: "6%".')] = None,
    batch: Annotated[str | None, typer.Option(metavar="NAME", help="Recorded batch that the bucket came from.")] = None,
    choose: Annotated[
        str | None, typer.Option(metavar="NUMBER", help="Correct this number instead of the likeliest.")
    ] = None,
    write: Annotated[bool, typer.Option("--write/--no-write", help="Save the correction beside the job.")] = True,
    json: JsonOption = False,
) -> None:
    """Work out yield and air from a weighed bucket. Also say which number to correct (ASTM C138)."""
    from estimator.commands.mix_feedback import run_calibrate

    run_calibrate(name, job, container, gross, tare, air, batch, choose, write=write, as_json=json)


@mix_app.command("coupons")
def mix_coupons(
    names: Annotated[list[str] | None, typer.Argument(metavar="NAME...", help="The mixes.", show_default=False)] = None,
    job: JobOption = None,
    file: Annotated[Path | None, typer.Option(metavar="FILE", help="A CSV or XLSX table of coupons.")] = None,
    plot: Annotated[Path | None, typer.Option(metavar="FILE", help="Draw strength over age: out.svg.")] = None,
    units: UnitsOption = None,
    json: JsonOption = False,
) -> None:
    """Work out first-crack strength from flexural coupons. Also give the design value (ASTM C947)."""
    from estimator.commands.mix_feedback import run_coupons

    run_coupons(names, job, file, plot, units, as_json=json)
