"""Common parts of the screens: the shelf, the templates and the words."""

from __future__ import annotations

import re
from base64 import b64encode
from collections.abc import Callable, Iterable, Mapping
from json import dumps
from types import MappingProxyType
from typing import Any
from urllib.parse import quote

from jinja2 import Environment, FunctionLoader, StrictUndefined
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from estimator.api import Estimate
from estimator.catalog import UNREVIEWED
from estimator.disk import refused
from estimator.errors import FaultError, InputError
from estimator.page.guards import is_here
from estimator.page.shelf import JobFile, Kept, Shelf
from estimator.page.statics import PHONE, address, version
from estimator.page.uploads import Uploads
from estimator.store import Store
from estimator.words import PLAIN, Words
from geometry.files import packaged

OF_OTHERS = ("", "sheet", "prices", "changes")
"""Screens of a job that a file which is no job has, too, by the part of their address; "" is the first of them."""


class Screens:
    """The shop's shelf of jobs, its pending uploads, its store, and the templates."""

    def __init__(self, shelf: Shelf, uploads: Uploads, store: Store, addresses: Iterable[str] = ()) -> None:
        self.shelf, self.uploads, self.store, self.addresses = shelf, uploads, store, tuple(addresses)
        self.others: dict[str, Callable[[], JobFile]] = {}  # files that are edited like a job and are none, by name
        self._templates = Environment(
            loader=FunctionLoader(lambda name: packaged("estimator", f"page/templates/{name}").decode("utf-8")),
            autoescape=True,
            undefined=StrictUndefined,
            trim_blocks=True,
            lstrip_blocks=True,
        )
        self._templates.filters["unbroken"] = unbroken

    def job(self, request: Request) -> JobFile:
        """Job named in the path. Raises HTTPException 404."""
        name, room = request.path_params["job"], "".join(request.url.path.split("/")[3:4])
        try:
            if name in self.others:
                if room not in OF_OTHERS:
                    raise HTTPException(404)
                return self.others[name]()
            return self.shelf.job(name)
        except KeyError:
            raise HTTPException(404) from None

    def reached_at(self, request: Request) -> list[str]:
        """Addresses by which others reach this page: the one it was called by, unless that is this computer's own."""
        return list(self.addresses) if is_here(request.url.hostname or "") else [str(request.base_url)]

    def render(self, request: Request, template: str, status: int = 200, **values: Any) -> Response:
        """Screen from a template, in the given words or in American English."""
        words = values.pop("words", PLAIN)
        text = self._templates.get_template(template).render(
            t=words,
            words=words,
            unreviewed=words.language in UNREVIEWED,
            path=request.url.path,
            static=address,
            scripts=version(),
            of_phone=[address(name) for name in PHONE],
            url=request.app.url_path_for,
            may=request.scope.get("may_open", bool),
            **values,
        )
        return HTMLResponse(text, status)

    @staticmethod
    def url(screen: str, job: JobFile) -> str:
        """Path of a screen of a job."""
        return {"sheet": f"/jobs/{job.name}/sheet"}[screen]


def unbroken(text: str) -> str:
    """Text whose sizes, such as 2-1/2", stay on one line."""
    return re.sub(r"(?<=\d)-(?=\d)", "\N{NON-BREAKING HYPHEN}", text)


async def sent_json(request: Request) -> Any:
    """Data that a script has sent. Raises HTTPException 400 for what no script of the page sends."""
    try:
        sent = await request.json()
        dumps(sent, ensure_ascii=False).encode()  # half a character cannot be saved
    except (ValueError, RecursionError):
        raise HTTPException(400) from None
    return sent


async def sent_fields(request: Request, *needed: str) -> dict[str, Any]:
    """Fields that a script has sent. Raises HTTPException 400 unless all that are needed are there."""
    sent = await sent_json(request)
    if not isinstance(sent, dict) or any(key not in sent for key in needed):
        raise HTTPException(400)
    return sent


def standing(job: JobFile) -> tuple[Kept, Estimate]:
    """State of a job with its estimate. Raises HTTPException 409 for a job that cannot be estimated yet."""
    kept = job.kept()
    if kept.estimate is None:
        raise HTTPException(409)
    return kept, kept.estimate


def named(name: str) -> dict[str, str]:
    """Headers that show a file in the browser and give it a name, in whatever letters, when it is saved."""
    return {"content-disposition": f"inline; filename*=UTF-8''{quote(name, safe='')}"}


def address_of_piece(job: JobFile, mark: str) -> str:
    """Path of the desk with a piece."""
    return f"/jobs/{job.name}/pieces/{quote(mark, safe='')}"


def data_uri(content: bytes, kind: str) -> str:
    """Address of a picture that holds the picture itself."""
    return f"data:{kind};base64,{b64encode(content).decode()}"


def problem_of(
    error: FaultError | InputError | OSError, words: Words, fields: Mapping[str, str] = MappingProxyType({})
) -> str:
    """Error text: what is wrong in one sentence, and what to type or to do.

    fields  labels of the fields that the screen shows, by their places in a fault
    """
    if isinstance(error, OSError):
        return words.text(refused(error))
    if isinstance(error, InputError):
        first = error.faults[0]
        more = len(error.faults) - 1
        label = fields.get(first.place.rpartition(": ")[2])  # in a version its name stands before the place
        if label is None:
            text = f"{first}"
        elif first.message.id == "key-missing":
            text = words("page-no-size", label=label)
        else:
            text = f"{label}: {first.what} {first.fix}".strip()
        return text + (f" {words('screen-more', count=more)}" if more else "")
    return f"{words.text(error.message)} {words.text(error.message, 'fix')}".strip()
