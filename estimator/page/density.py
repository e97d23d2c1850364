"""Density checks of a job: the weighed density of each mix against its plan, and the figure it corrects."""

from __future__ import annotations

from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from estimator.errors import FaultError, InputError
from estimator.feedback import Feedback, feedback_of, keep_corrections, recorded_weighing, with_batch
from estimator.intake.corrections import corrections_path, read_corrections
from estimator.job import Job
from estimator.page.screen import Screens, problem_of, standing
from estimator.page.shelf import JobFile
from estimator.report.mix_sheets import assumed_and_would_be, corrected_name, corrected_text, figure_name
from estimator.store.people import note_changes
from estimator.store.records import records_of
from estimator.words import Words

MOST_EXPLANATIONS = 6


def routes(screens: Screens) -> list[Route]:
    """Routes of the density checks of a job, and of correcting a mix by one."""

    async def checks(request: Request) -> Response:
        job = screens.job(request)
        shown = await run_in_threadpool(_checks, job, "")
        return screens.render(request, "density.html", job=job, **shown)

    async def correct(request: Request) -> Response:
        job = screens.job(request)
        async with request.form() as sent:
            mix, key = str(sent.get("mix", "")), str(sent.get("figure", ""))
        try:
            await run_in_threadpool(_correct, job, mix, key)
        except (FaultError, InputError, OSError) as error:
            words = job.words
            problem = problem_of(error, words)
            shown = await run_in_threadpool(_checks, job, problem)
            return screens.render(request, "density.html", 422, job=job, **shown)
        return RedirectResponse(f"/jobs/{job.name}/density", 303)

    return [
        Route("/jobs/{job}/density", checks, name="density"),
        Route("/jobs/{job}/density", correct, methods=["POST"]),
    ]


def _feedback(job: JobFile, planned: Job, mix: str) -> Feedback:
    """Feedback on a mix from its last bucket. Raises InputError if none was weighed, FaultError."""
    weighing = with_batch(recorded_weighing(job.path, mix), job.path, mix)
    return feedback_of(weighing, planned.mixes[mix], planned.materials, planned.workshop)


def _correct(job: JobFile, mix: str, key: str) -> None:
    """Correct a mix by its last bucket, through the named figure. Raises FaultError, InputError, OSError."""
    kept, estimate = standing(job)
    feedback = _feedback(job, estimate.result.job, mix)
    corrections = feedback.corrections(feedback.chosen(key), kept.words)
    if corrections:
        keep_corrections(job.path, feedback, corrections)
        changes = [
            (f"{corrections_path(job.path).name}: {mix}, {c.key}", f"{c.was:.6g}", f"{c.becomes:.6g}")
            for c in corrections
        ]
        if job.store is not None:
            note_changes(job.store, job.path, changes)


def _checks(job: JobFile, problem: str) -> dict[str, Any]:
    kept, estimate = standing(job)
    planned, words = estimate.result.job, kept.words
    weighed = {str(bucket.values.get("mix")) for bucket in records_of(job.path).of("bucket")}
    checks = []
    for mix in planned.mixes:
        if mix in weighed:
            try:
                checks.append(_check(_feedback(job, planned, mix), words))
            except (FaultError, InputError) as error:
                problem = problem or problem_of(error, words)
    corrected = [
        {
            "name": corrected_name(correction, planned.materials, words),
            "was": corrected_text(correction.figure, correction.was, words),
            "becomes": corrected_text(correction.figure, correction.becomes, words),
            "why": correction.why,
        }
        for correction in read_corrections(job.path, [])
    ]
    return {"words": words, "checks": checks, "corrected": corrected, "problem": problem}


def _check(feedback: Feedback, words: Words) -> dict[str, Any]:
    """Check of one mix: weighed and planned density, and the figures that alone would explain the difference."""
    check, likely = feedback.calibration.check, feedback.chosen()
    offered = []
    for explanation in feedback.calibration.explanations[:MOST_EXPLANATIONS]:
        was, would_be = assumed_and_would_be(explanation, words)
        verdict = "likely" if explanation is likely else "possible" if explanation.is_plausible else "unlikely"
        offered.append(
            {
                "key": explanation.assumption.key,
                "name": figure_name(explanation.assumption.key, feedback.materials, words),
                "was": was,
                "would_be": would_be,
                "verdict": words(f"calibrate-{verdict}"),
                "is_likely": explanation is likely,
            }
        )
    return {
        "mix": feedback.mix.name,
        "title": words.name(feedback.mix),
        "batch": feedback.weighing.batch or "",
        "day": words.date(feedback.weighing.day),
        "figures": [
            (words("calibrate-weighed"), words.density(check.density_kg_m3)),
            (words("calibrate-predicted"), words.density(feedback.calibration.predicted_density_kg_m3)),
            (words("calibrate-yield"), words.share(check.relative_yield)),
            (words("calibrate-air"), words.share(check.air)),
        ],
        "offered": [] if feedback.calibration.within_uncertainty or feedback.weighing.too_small else offered,
        "nothing": feedback.why_nothing(words) if likely is None else "",
        "negative": words("calibrate-negative-air") if check.air < 0.0 else "",
    }
