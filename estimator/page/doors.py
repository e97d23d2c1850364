"""Access by role: signing in, and the people of the shop."""

from __future__ import annotations

import time
from collections.abc import Awaitable, Callable
from functools import partial
from urllib.parse import quote

from anyio import CapacityLimiter, to_thread
from starlette.exceptions import HTTPException
from starlette.requests import HTTPConnection, Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route
from starlette.types import ASGIApp, Receive, Scope, Send

from estimator.errors import FaultError
from estimator.page.access import Access, Door, Tries, address_of, crew_words, inside, words_for
from estimator.page.changes import time_of
from estimator.page.guards import is_here
from estimator.page.screen import Screens, problem_of
from estimator.report.papers.labels import code_of
from estimator.store import Store
from estimator.store.people import (
    ROLES,
    SESSION,
    Person,
    add_person,
    change_role,
    change_secret,
    changes_of_people,
    end_session,
    new_code,
    new_session,
    people_of,
    person_by_secret,
    remove_person,
    renew_secret,
    session_person,
    who,
)
from estimator.words import PLAIN

COOKIE, NAME = "person", "signed-in-as"
OPEN = ("/static/", "/sign-in", "/quote/", "/phone-worker.js")
"""Prefixes of the paths that need no role; a client's link has its own code."""

OF_PHONES = ("/phone", "/crew", "/mixer", "/sign-out", "/password")
REMEMBERED_S, MOST_REMEMBERED = 15.0, 500
"""How long a browser is known without a look into the store. What is signed out here ends at once; what another server
of the same store signs out, after this time."""


_looking = CapacityLimiter(4)
_signing_in = CapacityLimiter(1)  # hashing is slow by design, so sign-ins may use only one core


class Doors:
    """ASGI middleware: admits people in the store, or, while there are none, anybody with the access code."""

    def __init__(
        self, app: ASGIApp, store: Store, code: Access, refused: Callable[[Request, Exception], Awaitable[Response]]
    ) -> None:
        """Wrap an application.

        code     access code of the page, required while it has no named users
        refused  answer to a person who may not do this
        """
        self.app, self.store, self.refused, self.unnamed = app, store, refused, Door(app, code, refused)
        self._seen: dict[str, tuple[float, Person | None]] = {}
        self._anybody, self._ended = (0.0, False), store.sessions_ended

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        path = scope.get("path", "")
        if scope["type"] != "http" or path.startswith(OPEN):
            await self.app(scope, receive, send)
            return
        if not await self._needs_sign_in():
            await self.unnamed(scope, receive, send)
            return
        request = HTTPConnection(scope)
        person = await self._person(request.cookies.get(COOKIE, ""))
        if person is None:
            page = scope["method"] == "GET" and "text/html" in request.headers.get("accept", "")
            to = f"/sign-in?to={quote(path)}"
            answer: Response = RedirectResponse(to, 303) if page else await self._refusal(scope, 401)
            await answer(scope, receive, send)
        elif not may_open(person, path):
            answer = RedirectResponse("/phone", 303) if path == "/" else await self._refusal(scope, 403)
            await answer(scope, receive, send)
        else:
            who.set(person.name)
            scope["may_open"] = partial(may_open, person)  # screens leave out links that lead nowhere
            await self.app(scope, receive, send)

    async def _refusal(self, scope: Scope, status: int) -> Response:
        return await self.refused(Request(scope), HTTPException(status))

    async def _needs_sign_in(self) -> bool:
        until, anybody = self._anybody
        if time.monotonic() >= until:
            anybody = bool(await to_thread.run_sync(people_of, self.store, limiter=_looking))
            self._anybody = (time.monotonic() + (REMEMBERED_S if anybody else 0.0), anybody)
        return anybody

    async def _person(self, token: str) -> Person | None:
        if not token:
            return None
        if self._ended != (ended := self.store.sessions_ended):
            self._ended = ended
            self._seen.clear()
        until, person = self._seen.get(token, (0.0, None))
        if time.monotonic() >= until:
            person = await to_thread.run_sync(session_person, self.store, token, limiter=_looking)
            if len(self._seen) >= MOST_REMEMBERED:
                self._seen.clear()
            if person is not None and ended == self.store.sessions_ended:
                self._seen[token] = (time.monotonic() + REMEMBERED_S, person)
        return person


def may_open(person: Person, path: str) -> bool:
    """Whether a person's role may open a path."""
    if person.role == "office":
        return True
    if person.role == "crew":
        return path.startswith(OF_PHONES)
    _, room, *rest = path.split("/")
    return room != "people" and not (room == "jobs" and rest[1:2] in (["client"], ["release"]))


def routes(screens: Screens) -> list[Route]:
    """Routes for signing in and out, the list of people, and the first screen of a phone."""

    async def phone(request: Request) -> Response:
        jobs, words = await to_thread.run_sync(screens.shelf.jobs), await crew_words(screens)
        codes = [_code(address) for address in screens.addresses] if is_here(request.url.hostname or "") else []
        return screens.render(request, "phone.html", words=words, jobs=jobs, signed_in=bool(who.get()), codes=codes)

    async def password(request: Request) -> Response:
        token, problem, changed = request.cookies.get(COOKIE, ""), "", False
        person = await to_thread.run_sync(session_person, screens.store, token, limiter=_looking)
        if person is None:
            raise HTTPException(404)
        words = await crew_words(screens) if person.role == "crew" else PLAIN
        if request.method == "POST":
            form = await request.form()
            now, new = str(form.get("now", "")), str(form.get("new", ""))
            try:
                await to_thread.run_sync(change_secret, screens.store, person, now, new, token, limiter=_signing_in)
                changed = True
            except FaultError as error:
                problem = problem_of(error, words)
        shown = {
            "words": words,
            "back": "/phone" if person.role == "crew" else "/",
            "problem": problem,
            "changed": changed,
        }
        return screens.render(request, "password.html", 422 if problem else 200, name=person.name, **shown)

    return [
        *_signing_in_routes(screens),
        *_people_routes(screens),
        Route("/phone", phone, name="phone"),
        Route("/password", password, methods=["GET", "POST"], name="password"),
    ]


def _code(address: str) -> tuple[str, int, str]:
    """An address with its QR code: its side in modules, and its dark runs as SVG path data."""
    side, runs = code_of(f"{address}phone")
    return address, side, "".join(f"M{first} {row}h{length}v1h-{length}z" for row, first, length in runs)


def _signing_in_routes(screens: Screens) -> list[Route]:
    tries = Tries()

    async def sign_in(request: Request) -> Response:
        to = inside(request.query_params.get("to", "/"))
        words = await words_for(screens, to)
        if request.method == "GET":
            if not await to_thread.run_sync(people_of, screens.store, limiter=_looking):
                return RedirectResponse(f"/enter?to={quote(to)}", 303)  # without people, the page's own code opens it
            return screens.render(request, "sign_in.html", words=words, to=to, problem="")
        form = await request.form()
        name, secret = str(form.get("name", "")), str(form.get("secret", ""))
        keys = (address_of(request), f"name {name.casefold()}")
        if max(map(tries.wait_s, keys)) > 0.0 or _signing_in.statistics().tasks_waiting > 3:
            return screens.render(request, "sign_in.html", 429, words=words, to=to, problem=words("sign-in-wait"))
        found = await to_thread.run_sync(person_by_secret, screens.store, name, secret, limiter=_signing_in)
        for key in keys:
            tries.count(key, right=found is not None)
        if found is None:
            return screens.render(request, "sign_in.html", 403, words=words, to=to, problem=words("sign-in-wrong"))
        token = await to_thread.run_sync(partial(new_session, screens.store, person=found.id), limiter=_looking)
        answer = RedirectResponse("/phone" if found.role == "crew" and to == "/" else to, 303)
        answer.set_cookie(
            COOKIE, token, max_age=int(SESSION.total_seconds()), httponly=True, samesite="strict",
            secure=request.url.scheme == "https",
        )  # fmt: skip
        tell_name(request, answer, found.name)
        return answer

    async def sign_out(request: Request) -> Response:
        await to_thread.run_sync(end_session, screens.store, request.cookies.get(COOKIE, ""), limiter=_looking)
        answer = RedirectResponse("/sign-in", 303)
        answer.delete_cookie(COOKIE)
        tell_name(request, answer, "")
        return answer

    return [
        Route("/sign-in", sign_in, methods=["GET", "POST"], name="sign-in"),
        Route("/sign-out", sign_out, methods=["POST"], name="sign-out"),
    ]


def tell_name(request: Request, answer: Response, name: str) -> None:
    """Tell a browser who is signed in, for what it keeps until it can send it. It opens nothing, so scripts may read
    it; "" for nobody."""
    secure = request.url.scheme == "https"
    answer.set_cookie(NAME, quote(name), max_age=int(SESSION.total_seconds()), samesite="strict", secure=secure)


def _people_routes(screens: Screens) -> list[Route]:
    async def people(request: Request) -> Response:
        code = problem = name = ""
        if request.method == "POST":
            form = await request.form()
            name = str(form.get("name", ""))
            secret = str(form.get("secret", "")) or (code := new_code())
            try:
                await to_thread.run_sync(add_person, screens.store, name, str(form.get("role", "")), secret)
            except FaultError as error:
                problem, code = problem_of(error, PLAIN), ""
        return await listed(request, 422 if problem else 200, problem=problem, name=name, code=code)

    async def listed(request: Request, status: int, *, problem: str, name: str = "", code: str = "") -> Response:
        found = await to_thread.run_sync(people_of, screens.store)
        roles = [(role, PLAIN(f"people-role-{role}")) for role in ROLES]
        noted = await to_thread.run_sync(changes_of_people, screens.store)
        log = [(change, time_of(change.at, PLAIN)) for change in noted]
        shown = {"people": found, "roles": roles, "log": log, "name": name, "code": code, "problem": problem}
        return screens.render(request, "people.html", status, **shown)

    async def remove(request: Request) -> Response:
        form = await request.form()
        id = str(form.get("id", ""))
        try:
            if id.isdecimal():
                await to_thread.run_sync(remove_person, screens.store, int(id))
        except FaultError as error:
            return await listed(request, 422, problem=problem_of(error, PLAIN))
        return RedirectResponse("/people", 303)

    async def moved(request: Request) -> Response:
        form = await request.form()
        id = str(form.get("id", ""))
        try:
            if id.isdecimal():
                await to_thread.run_sync(change_role, screens.store, int(id), str(form.get("role", "")))
        except FaultError as error:
            return await listed(request, 422, problem=problem_of(error, PLAIN))
        return RedirectResponse("/people", 303)

    async def renewed(request: Request) -> Response:
        form = await request.form()
        id, code, name = str(form.get("id", "")), new_code(), ""
        if id.isdecimal():
            name = await to_thread.run_sync(renew_secret, screens.store, int(id), code, limiter=_signing_in)
        return await listed(request, 200, problem="", name=name, code=code if name else "")

    return [
        Route("/people/code", renewed, methods=["POST"], name="renew-code"),
        Route("/people", people, methods=["GET", "POST"], name="people"),
        Route("/people/remove", remove, methods=["POST"], name="remove-person"),
        Route("/people/role", moved, methods=["POST"], name="change-role"),
    ]
