"""Papers and data of a job, one by one or all in a zip file."""

from __future__ import annotations

import zipfile
from collections.abc import Mapping
from io import BytesIO
from urllib.parse import quote

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from estimator.page.orders import is_released
from estimator.page.screen import Screens, named, standing
from estimator.page.shelf import JobFile
from estimator.report.pack import CONFIRMED, PAPERS, SERIES, make_papers
from estimator.report.papers.labels import labels
from estimator.words import PLAIN

TYPES = {
    "pdf": "application/pdf", "csv": "text/csv; charset=utf-8", "json": "application/json",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    "html": "text/html; charset=utf-8", "toml": "application/toml", "zip": "application/zip",
}  # fmt: skip
ALL, LABELS = "pack.zip", "labels.pdf"
FOLDERS = tuple(f"{name}.zip" for name in SERIES if name != "change-orders")
"""Papers that are one for each supplier or form. Change orders have a screen of their own."""

SUMMARY_POLICY = "default-src 'none'; style-src 'unsafe-inline'; sandbox"
EPOCH = (1980, 1, 1, 0, 0, 0)  # fixed time, so that the same job gives the same file


def routes(screens: Screens) -> list[Route]:
    """Routes of the list of papers, and of each paper."""

    async def papers(request: Request) -> Response:
        job = screens.job(request)
        kept = await run_in_threadpool(job.kept)
        status = "released" if is_released(kept.table) else "open"
        names = {name: PLAIN("page-paper", paper=name.partition(".")[0], status=status) for name in (*PAPERS, *FOLDERS)}
        return screens.render(
            request, "papers.html", job=job, words=kept.words, problem="".join(map(str, kept.faults[:1])), titles=names,
            papers=[name for name in names if name.endswith(("pdf", "html", "zip"))],
            data=[name for name in names if not name.endswith(("pdf", "html", "zip"))],
            addresses=screens.reached_at(request),
        )  # fmt: skip

    async def paper(request: Request) -> Response:
        job, name = screens.job(request), request.path_params["name"]
        if name not in (*PAPERS, *FOLDERS, ALL):
            raise HTTPException(404)
        content = await run_in_threadpool(_content, job, name, crew_address(screens, request, job))
        known = CONFIRMED.get(name, name) if is_released(job.table) else name
        headers = named(f"{job.name}-{known}")
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
    return f"{addresses[number]}crew/{quote(job.name)}/"


def _content(job: JobFile, name: str, address: str) -> bytes:
    _, estimate = standing(job)
    if name == LABELS:
        return labels(estimate.result, address)
    if name == ALL:
        return _packed({**make_papers(estimate.result), LABELS: labels(estimate.result, address)})
    if name in FOLDERS:
        return _packed(SERIES[name.removesuffix(".zip")](estimate.result))
    return PAPERS[name](estimate.result)


def _packed(files: Mapping[str, bytes]) -> bytes:
    packed = BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in files.items():
            archive.writestr(zipfile.ZipInfo(name, EPOCH), content, zipfile.ZIP_DEFLATED)
    return packed.getvalue()
