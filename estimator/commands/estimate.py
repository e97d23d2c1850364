"""`cast-estimator estimate`: the main job."""

import sys
from pathlib import Path

from estimator.document import to_document, to_json
from estimator.errors import Fault, InputError
from estimator.estimate import Estimate, estimate, survey
from estimator.intake import read_job
from estimator.intake.documents import built_in_cautions


def estimate_file(path: Path) -> Estimate:
    """The estimate of a job file. Raises InputError with every fault of the file and of what it names."""
    reading = read_job(path)
    faults = list(reading.faults)
    if reading.job is not None and faults:
        try:
            survey(reading.job)
        except InputError as error:
            faults += [fault for fault in error.faults if fault not in faults]
    if faults or reading.job is None:
        raise InputError(faults)
    return estimate(reading.job, built_in_cautions())


def run(path: Path, out: Path | None, *, as_json: bool, workings: bool = False) -> None:
    """Estimates the job of `path`; prints the document or a summary, and writes the pack to `out`."""
    if workings and not as_json:
        raise InputError([Fault("--workings", "", "goes with --json.", "Write --json --workings, or use explain.")])
    if out is not None:
        from estimator.report.folder import check_replaceable

        check_replaceable(out, path)
    done = estimate_file(path)
    document = to_document(done)
    if out is not None:
        from estimator.report.pack import write_pack

        write_pack(done, document, out, path)
    if as_json:
        sys.stdout.write(to_json(to_document(done, workings=True) if workings else document))
        return
    from estimator.report.summary import print_summary

    print_summary(done, out)
