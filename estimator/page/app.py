"""ASGI application of the page."""

from __future__ import annotations

from collections.abc import AsyncIterator, Iterable
from contextlib import asynccontextmanager
from pathlib import Path

from starlette.applications import Starlette
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import Response

from estimator.page import (
    access,
    add,
    changes,
    client,
    closing,
    coupons,
    crew,
    density,
    desk,
    doors,
    drafts,
    files,
    jobs,
    liftable,
    mix,
    mixer,
    orders,
    papers,
    prices,
    release,
    sheet,
    shop,
    solid,
    statics,
    versions,
)
from estimator.page.guards import Guard
from estimator.page.refusals import Failures, answer_to, status_of, text_of
from estimator.page.screen import Screens
from estimator.page.shelf import Shelf
from estimator.page.uploads import Uploads
from estimator.scratch import sweep
from estimator.store import open_store

LOOPBACK = ("localhost", "127.0.0.1", "::1")
"""Names of this computer for itself."""

ROOMS = (
    jobs, shop, drafts, files, add, desk, solid, sheet, versions, closing, coupons, mix, density, liftable, papers,
    prices, client, release, orders, changes, crew, mixer, doors,
)  # fmt: skip
"""Modules of the screens, each with its routes."""


def app_for(
    folder: Path,
    hosts: Iterable[str] = LOOPBACK,
    code: str | None = None,
    database: str | None = None,
    addresses: Iterable[str] = (),
) -> Starlette:
    """Application for the jobs of a folder. Raises InputError for a store that cannot be opened.

    hosts     host names by which it may be called
    code      access code that each browser enters once, until people are added; None if no other computer can reach it
    database  address of its store, if that is not in the folder
    addresses base URLs at which phones and clients reach it
    """
    store = open_store(folder, database)
    screens, door = Screens(Shelf(folder, store), Uploads(), store, addresses), access.Access(code)

    @asynccontextmanager
    async def running(_: Starlette) -> AsyncIterator[None]:
        for place in {screens.shelf.folder, *(job.path.parent for job in screens.shelf.jobs())}:
            sweep(place)
        with store.held_open(), screens.uploads:
            yield

    def screen(request: Request, error: Exception) -> Response:
        ours = not request.url.path.startswith("/quote/")
        return screens.render(request, "gone.html", status_of(error), text=text_of(error), ours=ours)

    async def refused(request: Request, error: Exception) -> Response:
        return answer_to(request, error, screen)

    return Starlette(
        routes=[
            *statics.routes(),
            *(route for room in ROOMS for route in room.routes(screens)),
            *access.routes(screens, door),
        ],
        lifespan=running,
        middleware=[
            Middleware(Guard, hosts=hosts),
            Middleware(Failures, screen=screen),
            Middleware(doors.Doors, store=store, code=door, refused=refused),
        ],
        exception_handlers=dict.fromkeys((400, 401, 403, 404, 405, 409, 410), refused),
    )
