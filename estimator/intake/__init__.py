"""The front: job file, catalog, schedules, drawings and meshes in; a frozen Job, or every fault at once, out."""

from estimator.intake.read import Reading, read_job, read_raw_job

__all__ = ["Reading", "read_job", "read_raw_job"]
