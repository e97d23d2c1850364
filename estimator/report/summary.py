"""The estimate on a terminal: what each piece weighs and costs, what to buy, what to ask."""

from pathlib import Path

from rich.console import Console
from rich.text import Text

from estimator.estimate import Estimate
from estimator.report.money_tables import calendar_sheet, cost_sheet, labour_sheet, payment_sheet, quote_sheet
from estimator.report.tables import material_sheet, mix_sheet, piece_sheet
from estimator.report.terminal import open_console, print_warnings, sheet_table
from estimator.report.words import DEFERRAL, EXAMPLE_PRICES, Words


def print_summary(estimate: Estimate, out: Path | None = None) -> None:
    """Prints the summary to standard output; warnings go to standard error."""
    show(estimate, open_console())
    print_warnings(estimate.warnings)
    if out is not None:
        Console(stderr=True, highlight=False, soft_wrap=True).print(Text(f"The whole pack is in {out}."))


def show(estimate: Estimate, console: Console) -> None:
    """The summary on a console, which may be one that records."""
    job = estimate.job
    words = Words(job.units, job.currency)
    count = sum(each.taken.piece.quantity for each in estimate.pieces)
    console.print(Text(f"{job.name} · {count} pieces", style="bold"))
    for sheet in (
        piece_sheet(estimate, words),
        mix_sheet(estimate, words),
        material_sheet(estimate, words),
        labour_sheet(estimate, words),
        cost_sheet(estimate, words),
        payment_sheet(estimate, words),
        quote_sheet(estimate, words),
        calendar_sheet(estimate),
    ):
        if sheet.rows:
            console.print(sheet_table(sheet))
    dangers = [each for each in estimate.cautions if each.caution.severity == "danger"]
    for each in dangers:
        console.print(Text.assemble((f"DANGER, {', '.join(each.pieces)}: ", "bold"), each.caution.text))
    others = [each.caution.id for each in estimate.cautions if each not in dangers]
    console.print(Text(f"And {len(others)} more cautions, told in the papers: {', '.join(others)}."))
    console.print(Text(EXAMPLE_PRICES))
    console.print(Text(DEFERRAL))
