"""Reads the job file, catalog, schedules, drawings and meshes into a frozen Job, or reports every fault at once."""

from estimator.intake.read import Reading, read_job, read_raw_job

__all__ = ["Reading", "read_job", "read_raw_job"]
