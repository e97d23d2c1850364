"""The whole pack of papers of one estimate: one line a paper."""

from collections.abc import Callable, Mapping
from pathlib import Path

from estimator.document import Document, to_json
from estimator.estimate import Estimate
from estimator.report.folder import check_replaceable, write_folder
from estimator.report.paper import estimate_pdf

Paper = Callable[[Estimate, Document], bytes]

PAPERS: Mapping[str, Paper] = {
    "estimate.json": lambda _, document: to_json(document).encode(),
    "estimate.pdf": lambda estimate, _: estimate_pdf(estimate),
}


def write_pack(estimate: Estimate, document: Document, folder: Path) -> None:
    """Writes every paper of the estimate into `folder`, whole or not at all. Raises InputError where it may not."""
    check_replaceable(folder)
    write_folder(folder, {name: paper(estimate, document) for name, paper in PAPERS.items()})
