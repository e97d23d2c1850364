"""Draws the pictures of the README anew: python -m tests.pictures writes examples/pictures/.

Drawings and the first screen are what the program writes; a test keeps them up to date. Papers are
pages of the packs of the examples.
"""

from __future__ import annotations

from contextlib import redirect_stderr, redirect_stdout
from html import escape
from io import StringIO
from os import environ
from pathlib import Path
from tempfile import TemporaryDirectory
from unittest.mock import patch

from estimator.__main__ import run

EXAMPLES = Path(__file__).parents[1] / "examples"
PICTURES = EXAMPLES / "pictures"
KITCHEN = ("--unit", "in", "--thickness", "1 in", "--use", "counter")
"""Options of the README for the drawing of the kitchen."""

PAPERS = (
    ("boathouse", "quote", 1),
    ("boathouse", "batch-sheet", 3),
    ("boathouse", "lift-sheet", 2),
    ("kitchen", "quote", 1),
)
DOTS_PER_POINT = 761 / 612


def draw_plans(folder: Path) -> dict[str, Path]:
    """The pictures of drawings as the program writes them into a folder, by their names in the README."""
    island, kitchen = folder / "island.svg", folder / "kitchen"
    _call("measure", EXAMPLES / "boathouse/island.dxf", "--unit", "in", "--layer", "PIECE", "--picture", island)
    _call("new", kitchen, "--from", EXAMPLES / "kitchen/kitchen.dxf", *KITCHEN)
    return {"island.svg": island, "kitchen.svg": kitchen / "kitchen.seen.svg"}


FONT_PX, LINE_PX, CHAR_PX = 14, 20, 8.4


def draw_screen() -> str:
    """The first screen of the boathouse as SVG, as a terminal of 100 columns shows it."""
    with patch.dict(environ, COLUMNS="100"):
        lines = _call("estimate", EXAMPLES / "boathouse/job.toml").rstrip().splitlines()
    width, height = CHAR_PX * max(map(len, lines)) + 2 * LINE_PX, LINE_PX * (len(lines) + 1)
    head = f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:g}" height="{height}" font-size="{FONT_PX}"'
    texts = [
        f'<text xml:space="preserve" x="{LINE_PX}" y="{LINE_PX * number}" textLength="{CHAR_PX * len(line):g}">'
        f"{escape(line)}</text>"
        for number, line in enumerate(lines, start=1)
    ]
    back = '<rect width="100%" height="100%" fill="white"/>'
    return (
        "\n".join([f'{head} font-family="DejaVu Sans Mono, Consolas, Menlo, monospace">', back, *texts, "</svg>"])
        + "\n"
    )


def draw_papers(folder: Path) -> dict[str, bytes]:
    """Pages of the packs of the examples as PNG, by their names in the README.

    folder   in which `draw_plans` has made the job of the kitchen
    """
    from pypdfium2 import PdfDocument

    jobs = {"boathouse": EXAMPLES / "boathouse/job.toml", "kitchen": folder / "kitchen/job.toml"}
    pictures = {}
    for name, job in jobs.items():
        _call("estimate", job, "--out", folder / "packs" / name)
    for job_name, paper, page in PAPERS:
        (path,) = (folder / "packs" / job_name).glob(f"{paper}*.pdf")
        with PdfDocument(path) as document:
            image = document[page - 1].render(scale=DOTS_PER_POINT).to_pil().convert("RGB").quantize(64)
        target = folder / "page.png"
        image.save(target, optimize=True)
        pictures[f"{paper}.png" if job_name == "boathouse" else f"{job_name}-{paper}.png"] = target.read_bytes()
    return pictures


def _call(*words: object) -> str:
    with redirect_stdout(StringIO()) as shown, redirect_stderr(StringIO()):
        assert run([str(word) for word in words]) == 0, words
    return shown.getvalue()


if __name__ == "__main__":
    (PICTURES / "summary.svg").write_text(draw_screen(), encoding="utf-8")
    with TemporaryDirectory() as place:
        for name, path in draw_plans(Path(place)).items():
            (PICTURES / name).write_bytes(path.read_bytes())
        for name, content in draw_papers(Path(place)).items():
            (PICTURES / name).write_bytes(content)
