"""Refusals in words: a person whom a screen turns away, or whom the computer fails, is told why and led on."""

from __future__ import annotations

import logging
import os
from collections.abc import Callable

from sqlalchemy.exc import DBAPIError
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from estimator.disk import refused
from estimator.page.guards import TooLargeError
from estimator.words import PLAIN

Refuse = Callable[[Request, Exception], Response]
LOG = logging.getLogger("uvicorn.error")
OF_STATUS = {401: "page-not-signed-in", 403: "page-not-your-role", 409: "page-job-problem"}


def status_of(error: Exception) -> int:
    """Status of a refusal; 503 where the computer or the database refuses, 500 for an error of the program."""
    if isinstance(error, HTTPException):
        return error.status_code
    return 503 if isinstance(error, OSError | DBAPIError) else 500


def text_of(error: Exception) -> str:
    """What a person reads of a refusal."""
    if isinstance(error, HTTPException):
        return PLAIN(OF_STATUS.get(error.status_code, "page-gone"))
    if isinstance(error, OSError):
        return PLAIN.text(refused(error))
    if isinstance(error, DBAPIError):
        return PLAIN("machine-refused", reason=str(error.orig).strip().partition("\n")[0])
    return PLAIN("page-failed")


def answer_to(request: Request, error: Exception, screen: Refuse) -> Response:
    """Refusal in the form that the sender of a request reads: a screen, the field's problem, or a line.

    A form's own address, opened again from the bar of the browser or its history, leads to the screen above it.
    """
    is_page = "text/html" in request.headers.get("accept", "")
    if is_page and isinstance(error, HTTPException) and error.status_code == 405 and request.method == "GET":
        return RedirectResponse(request.url.path.rstrip("/").rpartition("/")[0] or "/", 303)
    status, text = status_of(error), text_of(error)
    if request.headers.get("content-type", "").startswith("application/json"):
        return JSONResponse({"problem": text}, status)
    if is_page:
        return screen(request, error)
    return PlainTextResponse(text, status)


class Failures:
    """ASGI middleware: a failure of the computer, the database or the program is told, in one line in the log too."""

    def __init__(self, app: ASGIApp, screen: Refuse) -> None:
        self.app, self.screen = app, screen

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        begun = False

        async def watched(message: Message) -> None:
            nonlocal begun
            begun = begun or message["type"] == "http.response.start"
            await send(message)

        try:
            await self.app(scope, receive, watched)
        except (TooLargeError, TimeoutError):
            raise  # the guard answers
        except Exception as error:
            if begun or scope["type"] != "http" or os.environ.get("CAST_ESTIMATOR_DEBUG"):
                raise
            if status_of(error) == 500:
                LOG.error(PLAIN("page-failed-detail", kind=type(error).__name__, reason=str(error)))
            await answer_to(Request(scope), error, self.screen)(scope, receive, send)
