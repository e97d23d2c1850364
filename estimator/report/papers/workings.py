"""workings.pdf: how each figure came about, so that a colleague can check it with a pocket calculator."""

from reportlab.platypus import Flowable

from estimator.document import Document
from estimator.estimate import Estimate
from estimator.report.papers.style import Front, bind, section, title
from estimator.report.papers.table import table
from estimator.report.tables import Column
from estimator.report.workings import result_text, values_text
from estimator.workings import Working

COLUMNS = (
    Column("Figure", False),
    Column("Formula", False),
    Column("with", False),
    Column("Result", False),
    Column("Source, and what it assumes", False),
)
SIZES = (7.0, 6.5)
SHARES = (0.17, 0.22, 0.25, 0.12, 0.24)  # of the width: the same in every table, so that the eye finds its column


def workings(estimate: Estimate, _: Document) -> bytes:
    """Every working of the estimate as PDF, by what it is of."""
    front = Front("Workings", estimate.job, sideways=True)
    said = "unrounded values in SI units; + − · / ^ as on a calculator, round2 to two decimals, half up"
    story: list[Flowable] = title(front, said)
    branches: dict[str, list[Working]] = {}
    for each in estimate.workings:
        branches.setdefault(branch_of(each), []).append(each)
    for branch, held in branches.items():
        rows = [
            (
                each.figure.removeprefix(f"{branch}."),
                each.formula,
                values_text(each),
                result_text(each),
                each.source,
            )
            for each in held
        ]
        story += section(branch, table(COLUMNS, rows, front.width, sizes=SIZES, shares=SHARES))
    return bind(front, story)


def branch_of(working: Working) -> str:
    """What a figure is of: `pieces.C1`, `materials.white-cement`, `cost`."""
    parts = working.figure.split(".")
    return ".".join(parts[:2]) if len(parts) > 2 else parts[0]
