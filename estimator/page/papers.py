"""Papers and data of a job, one by one or all in a zip file."""

from __future__ import annotations

import zipfile
from collections.abc import Mapping
from io import BytesIO

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from estimator.page.screen import Screens, standing
from estimator.page.shelf import JobFile
from estimator.report.pack import PAPERS, make_papers
from estimator.report.papers.labels import labels

TYPES = {
    "pdf": "application/pdf", "csv": "text/csv; charset=utf-8", "json": "application/json",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    "html": "text/html; charset=utf-8", "toml": "application/toml", "zip": "application/zip",
}  # fmt: skip
ALL, LABELS = "pack.zip", "labels.pdf"
SUMMARY_POLICY = "default-src 'none'; style-src 'unsafe-inline'; sandbox"
EPOCH = (1980, 1, 1, 0, 0, 0)  # fixed time, so that the same job gives the same file


def routes(screens: Screens) -> list[Route]:
    """Routes of the list of papers, and of each paper."""

    async def papers(request: Request) -> Response:
        job = screens.job(request)
        kept = await run_in_threadpool(job.kept)
        return screens.render(
            request, "papers.html", job=job, words=kept.words, problem="".join(map(str, kept.faults[:1])),
            papers=[name for name in PAPERS if name.endswith(("pdf", "html"))],
            data=[name for name in PAPERS if not name.endswith(("pdf", "html"))],
            addresses=screens.reached_at(request),
        )  # fmt: skip

    async def paper(request: Request) -> Response:
        job, name = screens.job(request), request.path_params["name"]
        if name not in PAPERS and name != ALL:
            raise HTTPException(404)
        content = await run_in_threadpool(_content, job, name, crew_address(screens, request, job))
        headers = {"content-disposition": f'inline; filename="{job.name}-{name}"'}
        if name.endswith("html"):
            headers["content-security-policy"] = SUMMARY_POLICY
        return Response(content, media_type=TYPES[name.rpartition(".")[2]], headers=headers)

    return [
        Route("/jobs/{job}/papers", papers, name="papers"),
        Route("/jobs/{job}/papers/{name}", paper, name="paper"),
    ]


def crew_address(screens: Screens, request: Request, job: JobFile) -> str:
    """Base address of a job's pieces for a phone; "" if phones cannot reach this computer.

    A computer on several networks has several addresses; `at` in the request selects one.
    """
    addresses, at = screens.reached_at(request), request.query_params.get("at", "0")
    if not addresses:
        return ""
    number = int(at) if at.isascii() and at.isdecimal() and int(at) < len(addresses) else 0
    return f"{addresses[number]}crew/{job.name}/"


def _content(job: JobFile, name: str, address: str) -> bytes:
    _, estimate = standing(job)
    if name == LABELS:
        return labels(estimate.result, address)
    if name == ALL:
        return _packed({**make_papers(estimate.result), LABELS: labels(estimate.result, address)})
    return PAPERS[name](estimate.result)


def _packed(files: Mapping[str, bytes]) -> bytes:
    packed = BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in files.items():
            archive.writestr(zipfile.ZipInfo(name, EPOCH), content, zipfile.ZIP_DEFLATED)
    return packed.getvalue()
