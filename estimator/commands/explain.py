"""`cast-estimator explain`: how one figure of the estimate came about."""

from pathlib import Path

from estimator.commands.estimate import estimate_file
from estimator.errors import Fault, InputError
from estimator.report.workings import nearest_figure, of_figure, result_text, values_lines


def run(path: Path, figure: str) -> None:
    """Prints the workings of a figure, or of all below a branch. Raises InputError for one that is not known."""
    done = estimate_file(path)
    found = of_figure(done.workings, figure)
    if not found:
        near = nearest_figure(done.workings, figure)
        mend = f'Did you mean "{near}"?' if near else "Figures are dotted paths, such as cost.price."
        raise InputError([Fault(path.name, figure, "there is no such figure with a working.", mend)])
    for i, working in enumerate(found):
        if i:
            print()
        print(working.figure)
        print(f"  = {working.formula}")
        for line in values_lines(working):
            print(f"    {line}")
        print(f"  = {result_text(working)}")
        print(f"  source: {working.source}")
