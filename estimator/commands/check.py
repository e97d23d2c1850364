"""`cast-estimator check`: every fault that an estimate would find, at once."""

from pathlib import Path

from estimator.commands.estimate import estimate_file


def run(path: Path) -> None:
    """Estimates the job and keeps only its warnings. Raises InputError with every fault."""
    done = estimate_file(path)
    for warning in done.warnings:
        print(f"{path.name}: warning: {warning}")
    print(f"{path.name}: no faults; {len(done.pieces)} piece marks, {len(done.mixes)} mixes.")
