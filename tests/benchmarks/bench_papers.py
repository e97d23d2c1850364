"""How long the papers of 500 pieces take, beside a bare reportlab table of as many rows and columns as their tables.

Times are the processor's, so that what else runs on the machine does not count.

Run as: python tests/benchmarks/bench_papers.py
"""

import re
import sys
import tempfile
from collections.abc import Callable
from io import BytesIO
from pathlib import Path
from time import process_time

from reportlab.platypus import LongTable, SimpleDocTemplate

from estimator.commands.jobs import estimate_file
from estimator.document import to_document
from estimator.explain import workings_of
from estimator.report.pack import PAPERS

PIECES = 500
MOST_S = 20.0
JOB = '[job]\nname = "Five hundred panels"\nmix = "backer-45"\ndate = "2026-03-02"\n'
PIECE = """
[[piece]]
mark = "A{i:03}"
use = "panel"
shape = {{ kind = "slab", length = "{length} mm", width = "600 mm", thickness = "20 mm" }}
"""


def timed(make: Callable[[], bytes]) -> tuple[float, bytes]:
    start = process_time()
    made = make()
    return process_time() - start, made


def bare_table(rows: int, columns: int) -> bytes:
    buffer = BytesIO()
    cells = [[f"cell {i} {j}" for j in range(columns)] for i in range(rows)]
    SimpleDocTemplate(buffer, invariant=1).build([LongTable(cells, repeatRows=1)])
    return buffer.getvalue()


def main() -> int:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "job.toml"
        path.write_text(JOB + "".join(PIECE.format(i=i, length=600 + i) for i in range(PIECES)), encoding="utf-8")
        estimate = estimate_file(path)
    document = to_document(estimate)
    sizes = {
        "quote.pdf": (PIECES, 6),
        "material-list.pdf": (len(document["materials"]), 7),
        "batch-sheets.pdf": (sum(len(batch["load"]) for batch in document["batches"]), 6),
        "labels.pdf": (PIECES, 7),
        "workings.pdf": (len(workings_of(estimate)), 5),
    }
    whole = bare_whole = 0.0
    print(f"{'paper':<18}{'s':>8}{'pages':>8}{'rows':>8}{'bare s':>9}{'ratio':>8}")
    for name, paper in PAPERS.items():
        spent, made = timed(lambda paper=paper: paper(estimate))
        whole += spent
        if name not in sizes:
            print(f"{name:<18}{spent:>8.2f}")
            continue
        bare, _ = timed(lambda name=name: bare_table(*sizes[name]))
        bare_whole += bare
        pages = len(re.findall(rb"/Type /Page\b", made))
        print(f"{name:<18}{spent:>8.2f}{pages:>8}{sizes[name][0]:>8}{bare:>9.2f}{spent / bare:>8.1f}")
    print(f"{'the whole pack':<18}{whole:>8.2f}{'':>16}{bare_whole:>9.2f}{whole / bare_whole:>8.1f}")
    return 0 if whole < MOST_S else 1


if __name__ == "__main__":
    sys.exit(main())
