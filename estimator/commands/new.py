"""`cast-estimator new`: a starter job that runs as it is."""

import sys
from importlib import resources
from pathlib import Path

from estimator.report.folder import write_folder


def run(folder: Path) -> None:
    """Writes the starter job into `folder`. Raises InputError where that holds anything else."""
    text = resources.files("estimator.commands").joinpath("starter.toml").read_bytes()
    write_folder(folder, {"job.toml": text})
    print(f"{folder / 'job.toml'}: written. Next: cast-estimator estimate {folder / 'job.toml'}", file=sys.stderr)
