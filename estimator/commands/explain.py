"""`cast-estimator explain`: how one figure of the estimate came about."""

from pathlib import Path

from estimator.commands.estimate import estimate_file
from estimator.report.workings import result_text, values_lines, workings_of_figure


def run(path: Path, figure: str) -> None:
    """Prints the workings of a figure, or of all below a branch. Raises InputError for one that is not known."""
    for i, working in enumerate(workings_of_figure(estimate_file(path), figure)):
        if i:
            print()
        print(working.figure)
        print(f"  = {working.formula}")
        for line in values_lines(working):
            print(f"    {line}")
        print(f"  = {result_text(working)}")
        print(f"  source: {working.source}")
