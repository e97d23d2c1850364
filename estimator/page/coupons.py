"""Strength tests of a mix: a file of coupons sent or chosen from those beside the job, or six coupons typed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any
from urllib.parse import quote

from anyio import CapacityLimiter
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from estimator.disk import write_new
from estimator.draft import TABLES, TEXTS
from estimator.errors import FaultError, InputError
from estimator.intake.edit import Edit, KeyPath
from estimator.page.fields import Field, fields_of, path_of, typed, value_of
from estimator.page.screen import Screens, problem_of, standing
from estimator.page.sheet import edits_with_origins
from estimator.page.shelf import JobFile, Kept, differs
from estimator.page.uploads import plain_name
from geometry.message import message

COMMON, OF_EACH = ("pour", "age", "span", "width", "depth"), ("face", "limit", "peak")
"""Keys of a coupon that the six of a pour share, and those that each has of its own."""

COUPONS = 6
_uploading = CapacityLimiter(2)


def routes(screens: Screens) -> list[Route]:
    """Routes of the strength tests of a mix."""

    async def coupons(request: Request) -> Response:
        job, given = screens.job(request), dict[str, str]()
        if request.method == "POST":
            async with request.form() as sent:
                given = {key: str(value).strip() for key, value in sent.items()}
        return await run_in_threadpool(_screen, screens, request, job, given, None)

    async def send(request: Request) -> Response:
        job = screens.job(request)
        async with _uploading, request.form(max_files=1, max_fields=2) as sent:
            part = sent.get("coupons")
            file = (part.filename or "", await part.read()) if isinstance(part, UploadFile) else ("", b"")
        return await run_in_threadpool(_screen, screens, request, job, {"act": "file"}, file)

    return [
        Route("/jobs/{job}/coupons", coupons, methods=["GET", "POST"], name="coupons"),
        Route("/upload/{job}/coupons", send, methods=["POST"], name="send-coupons"),
    ]


def address_of_coupons(job: str, mix: str) -> str:
    """Address of the strength tests of a mix in a job of this name."""
    return f"/jobs/{job}/coupons?mix={quote(mix, safe='')}"


def _screen(
    screens: Screens, request: Request, job: JobFile, given: Mapping[str, str], file: tuple[str, bytes] | None
) -> Response:
    """Screen of the strength tests of a mix; saves what was sent."""
    kept, estimate = standing(job)
    mix, words, problem = request.query_params.get("mix", ""), kept.words, ""
    if mix not in estimate.result.job.mixes:
        raise HTTPException(404)
    if given:
        try:
            _save(job, kept, mix, given, file)
            return RedirectResponse(f"/jobs/{job.name}", 303)
        except (FaultError, InputError, OSError) as error:
            problem = problem_of(error, words)
    held = value_of(("mixes", mix, "coupons"), kept.table)
    fields = {path_of(field.at)[-1]: field for field in _fields(mix, 0, kept)}
    return screens.render(
        request, "coupons.html", 422 if problem else 200, words=words, job=job, mix=mix, problem=problem, given=given,
        title=words("coupons-title", mix=words.name(estimate.result.job.mixes[mix])),
        held=held if isinstance(held, str) else "", rows=len(held) if isinstance(held, list) else 0,
        beside=[] if isinstance(held, list) else [name for name in _tables_beside(job, kept) if name != held],
        common=[fields[key] for key in COMMON], of_each=[fields[key] for key in OF_EACH], numbers=range(COUPONS),
        replaces=words("coupons-replace") if value_of(("mixes", mix, "first_crack_strength"), kept.table) else "",
    )  # fmt: skip


def _fields(mix: str, number: int, kept: Kept) -> Iterator[Field]:
    """Yield the fields of a coupon of a mix."""
    for part in fields_of(("mixes", mix, "coupons", number), {"job": kept.table.get("job", {})}):
        if isinstance(part, Field):
            yield part


def _tables_beside(job: JobFile, kept: Kept) -> list[str]:
    """Tables in the folder of a job that are no schedule of its pieces."""
    schedules = {entry.get("file") for entry in kept.table.get("schedule", []) if isinstance(entry, dict)}
    files = (path for path in job.path.parent.iterdir() if path.suffix.lower() in (*TABLES, *TEXTS) and path.is_file())
    return sorted(path.name for path in files if path.name[0] != "." and path.name not in schedules)


def _save(job: JobFile, kept: Kept, mix: str, given: Mapping[str, str], file: tuple[str, bytes] | None) -> None:
    """Write the coupons of a mix into a job; of a file that was sent, its content beside the job.

    Raises FaultError, InputError if they cannot be read; nothing is left behind then.
    """
    at: KeyPath = ("mixes", mix, "coupons")
    stated = ("mixes", mix, "first_crack_strength")
    gone = [Edit("remove", stated)] if value_of(stated, kept.table) is not None else []
    if given.get("act") == "type":
        rows = _typed(mix, given, kept)
        edits = [Edit("add", at, row) for row in rows] if value_of(at, kept.table) else [Edit("set", at, rows)]
    else:
        name = plain_name(file[0]) if file is not None else given.get("name", "")
        edits = [Edit("set", at, name)]
    fresh, path = None, job.path.parent / str(edits[0].value)
    try:
        if file is not None:
            if differs(path, file[1]):
                raise FaultError("", message("page-file-taken", name=path.name))
            if not path.exists():
                write_new(path, file[1])
                fresh = path
        elif given.get("act") == "file" and path.name not in _tables_beside(job, kept):
            raise FaultError("", message("coupons-no-file"))
        job.edit([*gone, *edits_with_origins(edits, kept.table, kept.words.units)])
        fresh = None
    finally:
        if fresh is not None:
            fresh.unlink(missing_ok=True)


def _typed(mix: str, given: Mapping[str, str], kept: Kept) -> Sequence[dict[str, Any]]:
    """Coupons as typed; a row without loads was not tested. Raises FaultError for a missing entry."""
    rows = []
    for number in range(COUPONS):
        own = {key: given.get(f"{key}/{number}", "") for key in OF_EACH}
        if not own["peak"] and not own["limit"]:
            continue
        texts = {key: given.get(key, "") for key in COMMON} | own
        fields = {str(path_of(field.at)[-1]): field for field in _fields(mix, number, kept)}
        missing = next((fields[key].label for key, text in texts.items() if not text and key != "limit"), "")
        if missing:
            raise FaultError("", message("coupons-missing", number=str(number + 1), label=missing))
        rows.append({key: typed(text, fields[key]) for key, text in texts.items() if text})
    if not rows:
        raise FaultError("", message("coupons-no-rows"))
    return rows
