"""How long the pack of 500 unlike counters takes, beside reportlab writing as many strings and lines on as many pages.

The floor draws with the plain canvas calls of the library, without layout and without a table. Processor times count
for the ratio, so that other work on the machine does not; the last line gives the time on the clock with one
process and with two.

Run as: python tests/benchmarks/bench_pack.py
"""

import re
import sys
import tempfile
import zlib
from base64 import a85decode
from collections.abc import Callable
from io import BytesIO
from pathlib import Path
from time import perf_counter, process_time

from reportlab.pdfgen.canvas import Canvas

from estimator.commands.jobs import estimate_file
from estimator.estimate import Estimate
from estimator.report.pack import PAPERS, make_papers
from estimator.report.papers.form_drawing import form_drawings

PIECES = 500
MOST_RATIO = 6.0
JOB = '[job]\nname = "Five hundred counters"\nunits = "metric"\nmix = "backer-45"\ndate = "2026-03-02"\n'
PIECE = """
[[piece]]
mark = "S{i:03}"
use = "counter"
[piece.shape]
kind = "slab"
length = "{length} mm"
width = "600 mm"
thickness = "20 mm"
cutouts = [{{ kind = "rectangle", length = "{cut} mm", width = "380 mm", x = "250 mm", y = "100 mm" }}]
"""
STREAM = re.compile(rb"stream\r?\n(.*?)endstream", re.DOTALL)


def estimated() -> Estimate:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "job.toml"
        pieces = (PIECE.format(i=i, length=1200 + i, cut=450 + i % 200) for i in range(PIECES))
        path.write_text(JOB + "".join(pieces), encoding="utf-8")
        return estimate_file(path)


def counted(pdf: bytes) -> tuple[int, int, int]:
    """Pages, strings and lines that a PDF holds."""
    strings = lines = 0
    for match in STREAM.finditer(pdf):
        content = match[1].strip()
        if not content.endswith(b"~>"):  # a font
            continue
        content = zlib.decompress(a85decode(content.removesuffix(b"~>")))
        strings += content.count(b" Tj")
        lines += len(re.findall(rb" l\b", content))
    return len(re.findall(rb"/Type /Page\b", pdf)), strings, lines


def floor(pages: int, strings: int, lines: int) -> bytes:
    """As many strings and lines, by the calls of the plain canvas."""
    buffer = BytesIO()
    canvas = Canvas(buffer, invariant=1)
    for page in range(pages):
        for i in range(strings // pages):
            canvas.drawString(40 + i % 5 * 100, 40 + i % 70 * 10, f"{page} {i}")
        for i in range(lines // pages):
            canvas.line(40, 40 + i % 70 * 10, 500, 40 + i % 70 * 10)
        canvas.showPage()
    canvas.save()
    return buffer.getvalue()


def timed(make: Callable[[], bytes]) -> tuple[float, bytes]:
    start = process_time()
    made = make()
    return process_time() - start, made


def main() -> int:
    estimate = estimated()
    whole = least = 0.0
    print(f"{'paper':<18}{'s':>8}{'pages':>8}{'strings':>9}{'lines':>9}{'floor s':>9}{'ratio':>8}")
    for name, paper in PAPERS.items():
        spent, made = timed(lambda paper=paper: paper(estimate))
        whole += spent
        if not name.endswith(".pdf"):
            print(f"{name:<18}{spent:>8.2f}")
            continue
        size = counted(made)
        bare, _ = timed(lambda size=size: floor(*size))
        least += bare
        print(f"{name:<18}{spent:>8.2f}{size[0]:>8}{size[1]:>9}{size[2]:>9}{bare:>9.2f}{spent / bare:>8.1f}")
    spent, _ = timed(lambda: b"".join(form_drawings(estimate).values()))
    whole += spent
    print(f"{'form drawings':<18}{spent:>8.2f}")
    print(f"{'the whole pack':<18}{whole:>8.2f}{'':>26}{least:>9.2f}{whole / least:>8.1f}")
    for workers in (1, 2):
        start = perf_counter()
        make_papers(estimate, workers=workers)
        print(f"on the clock, processes: {workers}   {perf_counter() - start:.1f} s")
    return 0 if whole < MOST_RATIO * least else 1


if __name__ == "__main__":
    sys.exit(main())
