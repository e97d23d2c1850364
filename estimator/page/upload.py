"""A new job from dropped files: drawings, models and tables, read in processes of their own before a job is made."""

from __future__ import annotations

import secrets
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from shutil import rmtree
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from estimator.disk import refusal
from estimator.errors import FaultError, InputError
from estimator.page.screen import Screens, problem_of
from estimator.words import PLAIN
from geometry.errors import UNIT_M
from geometry.files import held_to, limits
from geometry.message import message

if TYPE_CHECKING:
    from starlette.datastructures import FormData

MOST_FILES, MOST_STAGED = 50, 8
CHUNK = 1 << 20
Draft = Callable[[Path, tuple[Path, ...], dict[str, str]], None]
"""Writes a job from files into a folder that is not there yet, with options by name: unit, thickness, use.
Raises InputError, and then writes nothing."""


class Stage:
    """Files that wait for an answer about them: their unit, their thickness. The oldest make room.

    Within it there is a folder for them, which is gone after it.
    """

    def __init__(self) -> None:
        self._folders: OrderedDict[str, Path] = OrderedDict()
        self._place: TemporaryDirectory[str] | None = None

    def __enter__(self) -> Stage:
        self._place = TemporaryDirectory(prefix="dropped-")
        return self

    def __exit__(self, *_: object) -> None:
        if self._place is not None:
            self._place.cleanup()

    def folder(self, token: str) -> Path | None:
        """The folder of a token; None for one that is not known, or no longer."""
        return self._folders.get(token)

    def new(self) -> tuple[str, Path]:
        """A token and its folder."""
        assert self._place is not None
        while len(self._folders) >= MOST_STAGED:
            self.drop(next(iter(self._folders)))
        token = secrets.token_urlsafe(16)
        self._folders[token] = folder = Path(self._place.name, token)
        folder.mkdir()
        return token, folder

    def drop(self, token: str) -> None:
        """Forgets the files of a token."""
        if (folder := self._folders.pop(token, None)) is not None:
            rmtree(folder, ignore_errors=True)


def routes(screens: Screens, draft: Draft, stage: Stage) -> list[Route]:
    """The form that takes files, and what makes a job of them."""

    async def form(request: Request) -> Response:
        return _asked(screens, request, {}, "", [], "")

    async def made(request: Request) -> Response:
        async with request.form(max_files=MOST_FILES) as sent:
            given = {key: value.strip() for key, value in sent.items() if isinstance(value, str)}
            token, names = given.get("token", ""), list[str]()
            try:
                token = await _kept(stage, sent, token)
                folder = stage.folder(token)
                names = [] if folder is None else sorted(path.name for path in folder.iterdir())
                name = await run_in_threadpool(_made, screens, draft, folder, names, given)
            except (FaultError, InputError) as error:
                return _asked(screens, request, given, token, names, problem_of(error, PLAIN), 422)
            except OSError as error:
                return _asked(screens, request, given, token, names, refusal(error), 503)
        stage.drop(token)
        return RedirectResponse(f"/jobs/{name}", 303)

    return [Route("/upload", form, name="upload"), Route("/upload", made, methods=["POST"])]


def _asked(
    screens: Screens,
    request: Request,
    given: dict[str, str],
    token: str,
    names: list[str],
    problem: str,
    status: int = 200,
) -> Response:
    return screens.render(
        request, "upload.html", status, given=given, token=token, names=names, problem=problem, units=list(UNIT_M)
    )


async def _kept(stage: Stage, sent: FormData, token: str) -> str:
    """The token of the files that were sent, or of those that wait already."""
    files = [value for value in sent.getlist("files") if isinstance(value, UploadFile) and value.filename]
    if not files:
        return token
    stage.drop(token)
    token, folder = stage.new()
    for file in files:
        name = Path((file.filename or "").replace("\\", "/")).name
        if not name or name.startswith(".") or not name.isprintable() or (folder / name).exists():
            raise FaultError("", message("page-file-name", name=name or "?"))
        with (folder / name).open("xb") as kept:
            while part := await file.read(CHUNK):
                kept.write(part)
    return token


def _made(screens: Screens, draft: Draft, folder: Path | None, names: list[str], given: dict[str, str]) -> str:
    """Name of the job made from files. Raises InputError or FaultError, and then nothing is written."""
    if folder is None or not names:
        raise FaultError("", message("page-no-files"))
    title = given.get("title", "")
    if not title:
        raise FaultError("", message("page-no-title"))
    target = screens.shelf.room_for(title)
    options = {key: given[key] for key in ("unit", "thickness", "use") if given.get(key)}
    with held_to(replace(limits(), apart_mb=0.0)):
        draft(target, tuple(folder / name for name in names), options)
    return screens.shelf.take_up(target, title)
