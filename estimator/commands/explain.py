"""`cast-estimator explain`: how one figure of the estimate came about."""

from pathlib import Path

from estimator.commands.estimate import estimate_file
from estimator.report.words import DEFERRAL
from estimator.report.workings import result_text, values_lines, workings_of_figure

LIFTED_BY = ("weight", "handling")  # branches whose figures somebody lifts by


def run(path: Path, figure: str) -> None:
    """Prints the workings of a figure, or of all below a branch. Raises InputError for one that is not known."""
    workings = workings_of_figure(estimate_file(path), figure)
    for i, working in enumerate(workings):
        if i:
            print()
        print(working.figure)
        print(f"  = {working.formula}")
        for line in values_lines(working):
            print(f"    {line}")
        print(f"  = {result_text(working)}")
        print(f"  source: {working.source}")
    if any(part in LIFTED_BY for working in workings for part in working.figure.split(".")):
        print()
        print(DEFERRAL)
