"""The whole pack of papers of one estimate."""

from pathlib import Path

from estimator.document import Document, to_json
from estimator.estimate import Estimate
from estimator.report.folder import check_replaceable, write_folder
from estimator.report.paper import estimate_pdf


def write_pack(estimate: Estimate, document: Document, folder: Path) -> None:
    """Writes every paper of the estimate into `folder`, whole or not at all. Raises InputError where it may not."""
    check_replaceable(folder)
    write_folder(
        folder,
        {
            "estimate.json": to_json(document).encode(),
            "estimate.pdf": estimate_pdf(estimate),
        },
    )
