"""A new job, or more pieces for one, from files: uploaded, inspected, completed by questions, then created."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, get_args

from anyio import CapacityLimiter
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from estimator.disk import write_new
from estimator.draft import Draft
from estimator.draft import Request as DraftRequest
from estimator.errors import Fault, FaultError, InputError
from estimator.intake.edit import Edit
from estimator.intake.shapes import ProfileName
from estimator.job import Use
from estimator.page.fields import label_of
from estimator.page.files import address_of_newer, older_of
from estimator.page.jobs import added, like_choices, new_screen
from estimator.page.orders import is_released
from estimator.page.screen import Screens, address_of_piece, data_uri, problem_of
from estimator.page.shelf import JobFile, differs
from estimator.page.uploads import MOST_FILES, Uploads, choices_of, drafted, looked_at, scale_of, size_text
from estimator.units.table import Units
from estimator.words import PLAIN
from geometry.message import message

_uploading = CapacityLimiter(4)  # each may hold a large file
TABLES = ("drawing", "schedule", "piece")
"""Lists of a job file filled by a draft, in the order they are added to a job."""


def routes(screens: Screens) -> list[Route]:
    """Routes that receive files, ask about them, and create a job or pieces from them."""
    uploads = screens.uploads

    async def send(request: Request) -> Response:
        """Store the files and redirect to the questions about them."""
        job = _job(screens, request)
        async with _uploading, request.form(max_files=MOST_FILES, max_fields=4) as sent:
            parts = [part for part in sent.getlist("files") if isinstance(part, UploadFile) and part.filename]
            files = [(part.filename or "", await part.read()) for part in parts]
        try:
            key = await run_in_threadpool(uploads.keep, files)
        except (FaultError, OSError) as error:
            problem = problem_of(error, PLAIN)
            return await run_in_threadpool(new_screen, screens, request, None, problem, 422, job)
        older = older_of(job, files[0][0]) if job and len(files) == 1 else ""
        if job and older:
            return RedirectResponse(address_of_newer(job, key, older), 303)
        return RedirectResponse(f"/drafts/{key}" + (f"?job={job.name}" if job else ""), 303)

    async def ask(request: Request) -> Response:
        return await _asked(screens, uploads, request, {}, "")

    async def make(request: Request) -> Response:
        async with request.form() as sent:
            given = {name: str(value).strip() for name, value in sent.items()}
        job = _job(screens, request)
        key = request.path_params["key"]
        try:
            path = await run_in_threadpool(_made, screens, uploads, key, given, job, _page(request))
        except KeyError:
            raise HTTPException(404) from None
        except (FaultError, InputError, OSError) as error:
            problem = problem_of(error, PLAIN, {"--thickness": PLAIN("page-thickness-drawn")})
            return await _asked(screens, uploads, request, given, problem)
        return RedirectResponse(path, 303)

    return [
        Route("/upload", send, methods=["POST"], name="upload"),
        Route("/drafts/{key}", ask, name="draft"),
        Route("/drafts/{key}", make, methods=["POST"]),
    ]


def _job(screens: Screens, request: Request) -> JobFile | None:
    """Job that pieces are added to; None for a new job. Raises HTTPException 404."""
    name = request.query_params.get("job")
    try:
        return screens.shelf.job(name) if name else None
    except KeyError:
        raise HTTPException(404) from None


async def _asked(screens: Screens, uploads: Uploads, request: Request, given: dict[str, str], problem: str) -> Response:
    """Screen of the questions about uploaded files."""
    job = _job(screens, request)
    try:
        paths = uploads.files(request.path_params["key"])
    except KeyError:
        raise HTTPException(404) from None
    chosen = _page(request)
    files = await run_in_threadpool(lambda: [looked_at(path, chosen) for path in paths])
    unitless = next((file for file in files if file.unitless), None)
    paper = next((file for file in files if file.sheet), None)
    return screens.render(
        request,
        "draft.html",
        422 if problem else 200,
        job=job,
        files=[
            {
                "name": file.name,
                "notes": file.notes,
                "size": size_text(file),
                "sound": file.sound,
                "picture": data_uri(file.picture, "image/svg+xml") if file.picture else "",
            }
            for file in files
        ],
        edge_layers=[
            (f"edges/{number}/{at}", layer, PLAIN.series([mark for mark in marks if mark]))
            for number, file in enumerate(files)
            for at, (layer, marks) in enumerate(file.edges)
        ],
        holes=[(f"fill/{at}", file.name, file.open_edges) for at, file in enumerate(files) if file.open_edges],
        previews={file.name: [data_uri(png, "image/png") for png in file.previews] for file in files},
        asks_units=not any(file.kind == "drawing" or file.unitless for file in files),
        can_make=any(file.sound for file in files) and all(file.sound for file in files),
        asks_thickness=any(file.kind == "drawing" for file in files),
        choices=choices_of(unitless.size) if unitless else [],
        unitless=unitless.name if unitless else "",
        paper=paper,
        several=[file for file in files if file.pages > 1],
        uses=[(use, PLAIN(f"page-use-{use}")) for use in get_args(Use) if use != "splash"],
        title=given.get("title") or paths[0].stem.replace("-", " ").replace("_", " ").capitalize(),
        edge_work=EDGE_WORK,
        kinds=EDGE_KINDS,
        profiles=get_args(ProfileName),
        label=label_of,
        given=given,
        problem=problem,
        **await run_in_threadpool(like_choices, screens.shelf, given),
    )


def _page(request: Request) -> int | None:
    """Page chosen of a document of several."""
    text = request.query_params.get("page", "")
    return int(text) if text.isascii() and text.isdecimal() and 0 < len(text) < 6 and int(text) else None


def _made(
    screens: Screens, uploads: Uploads, key: str, given: dict[str, str], job: JobFile | None, page: int | None
) -> str:
    """Create a job from files, or add their pieces to `job`; return the path of the screen that shows them.

    page   page to read of a document of several

    Raises KeyError, FaultError, InputError, OSError.
    """
    paths = uploads.files(key)
    title = given.get("title") or paths[0].stem
    scale = given.get("scale") or None
    if scale is None and given.get("distance"):
        scale = scale_of(given.get("first", ""), given.get("second", ""), given["distance"])
    thickness, use = given.get("thickness") or None, given.get("use") or None
    asked = DraftRequest(
        tuple(paths), given.get("unit") or None, None, thickness, use, scale=scale, page=page,
        edges=_edge_work(paths, given, page), units=_units(given.get("units")),
        filled=tuple(path.name for number, path in enumerate(paths) if given.get(f"fill/{number}") == "yes"),
    )  # fmt: skip
    draft = drafted(title, asked)
    if job is None:
        made = added(screens.shelf, title, draft.text.encode(), draft.files, given.get("like", ""))
        shown = f"/jobs/{made.name}"
    else:
        marks = [str(piece["mark"]) for piece in _add_pieces(job, draft).get("piece", [])]
        shown = address_of_piece(job, marks[0]) if marks else f"/jobs/{job.name}"
    uploads.drop(key)
    return shown


def _units(text: str | None) -> Units | None:
    return next((units for units in get_args(Units) if units == text), None)


EDGE_WORK: Mapping[str, tuple[str, ...]] = {
    "drop": ("height", "thickness"),
    "waterfall": ("height",),
    "splash": ("height", "thickness"),
    "profile": ("profile", "size"),
}
"""What the lines of a layer may be, with the sizes that each needs."""

EDGE_KINDS = (*EDGE_WORK, "raw", "none")


def _edge_work(
    paths: Sequence[Path], given: Mapping[str, str], page: int | None
) -> dict[str, dict[str, dict[str, Any]]]:
    """Work on edges by file and layer, as answered. Raises FaultError for a layer without an answer or a size."""
    work: dict[str, dict[str, dict[str, Any]]] = {}
    for number, path in enumerate(paths):
        for at, (layer, _) in enumerate(looked_at(path, page).edges):
            key = f"edges/{number}/{at}"
            kind = given.get(key, "")
            if kind not in EDGE_KINDS:
                raise FaultError("", message("page-no-edge-work", name=layer))
            sizes = {name: given.get(f"{key}/{kind}/{name}", "") for name in EDGE_WORK.get(kind, ())}
            if not all(sizes.values()):
                raise FaultError("", message("page-no-edge-size", name=layer))
            if kind != "none":
                work.setdefault(path.name, {})[layer] = {kind: sizes if kind in EDGE_WORK else True}
    return work


def _add_pieces(job: JobFile, draft: Draft) -> dict[str, Any]:
    """Add the pieces of a draft to a job, and their files beside it; return the draft's tables.

    Raises FaultError for a released job, InputError if the job would be invalid; no file is left behind then.
    """
    folder = job.path.parent
    taken = [name for name, content in draft.files.items() if differs(folder / name, content)]
    if taken:
        raise InputError([Fault(job.path.name, "", message("page-file-taken", name=name)) for name in taken])
    if is_released(job.table):
        raise FaultError("", message("revise-no-files"))
    table: dict[str, Any] = tomllib.loads(draft.text)
    edits = [Edit("add", (name,), entry) for name in TABLES for entry in table.get(name, [])]
    fresh = [folder / name for name in draft.files if not (folder / name).exists()]
    try:
        for path in fresh:
            write_new(path, draft.files[path.name])
        job.edit(edits)
    except BaseException:
        for path in fresh:
            path.unlink(missing_ok=True)
        raise
    return table
