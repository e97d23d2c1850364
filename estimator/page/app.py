"""The page as one ASGI application."""

from __future__ import annotations

from collections.abc import AsyncIterator, Iterable
from contextlib import asynccontextmanager
from pathlib import Path

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from estimator.page import access, add, crew, desk, drafts, jobs, liftable, mix, papers, sheet
from estimator.page.guards import Guard
from estimator.page.screen import Screens
from estimator.page.shelf import Shelf
from estimator.page.uploads import Uploads
from geometry.files import packaged

LOOPBACK = ("localhost", "127.0.0.1", "::1")
STATIC = {
    "page.css": "text/css; charset=utf-8",
    "page.js": "text/javascript; charset=utf-8",
    "mix.js": "text/javascript; charset=utf-8",
}


def app_for(folder: Path, hosts: Iterable[str] = LOOPBACK, code: str | None = None) -> Starlette:
    """The page over the jobs of a folder.

    hosts   names by which it may be called
    code    that each browser enters once; None where no other computer reaches it
    """
    screens, door = Screens(Shelf(folder), Uploads()), access.Access(code)

    @asynccontextmanager
    async def running(_: Starlette) -> AsyncIterator[None]:
        with screens.uploads:
            yield

    async def static(request: Request) -> Response:
        name = request.path_params["name"]
        if name not in STATIC:
            raise HTTPException(404)
        return Response(packaged("estimator", f"page/static/{name}"), media_type=STATIC[name])

    async def refused(request: Request, error: Exception) -> Response:
        status = error.status_code if isinstance(error, HTTPException) else 500
        return screens.render(request, "gone.html", status)

    rooms = (jobs, drafts, add, desk, sheet, mix, liftable, papers, crew)
    return Starlette(
        routes=[
            Route("/static/{name}", static),
            *(route for room in rooms for route in room.routes(screens)),
            *access.routes(screens, door),
        ],
        lifespan=running,
        middleware=[Middleware(Guard, hosts=hosts), Middleware(access.Door, access=door)],
        exception_handlers={404: refused, 409: refused},
    )
