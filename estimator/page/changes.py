"""Screen of the changes of a job: what, by whom and when."""

from __future__ import annotations

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from estimator.page.screen import Screens
from estimator.store.people import changes_of


def routes(screens: Screens) -> list[Route]:
    """Route of the last changes of a job."""

    async def changes(request: Request) -> Response:
        job = screens.job(request)
        kept = await run_in_threadpool(job.kept)
        entries = await run_in_threadpool(changes_of, screens.store, job.path)
        rows = [
            (change, f"{kept.words.date(change.at.date().isoformat())}, {change.at:%H:%M} UTC") for change in entries
        ]
        return screens.render(request, "changes.html", job=job, words=kept.words, rows=rows)

    return [Route("/jobs/{job}/changes", changes, name="changes")]
