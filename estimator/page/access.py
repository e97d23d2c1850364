"""Access code of a page that other computers can reach. Each browser enters it once while the server runs."""

from __future__ import annotations

import secrets
import time
from collections import deque
from collections.abc import Awaitable, Callable
from functools import lru_cache
from http.cookies import CookieError, SimpleCookie
from urllib.parse import quote

from anyio import CapacityLimiter, to_thread
from starlette.datastructures import Headers
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route
from starlette.types import ASGIApp, Receive, Scope, Send

from estimator.catalog import LANGUAGES
from estimator.page.screen import Screens
from estimator.page.shelf import Shelf
from estimator.store import people
from estimator.words import PLAIN, Words

LETTERS = people.LETTERS.upper()
CODE_LETTERS, GROUP = 12, 4
COOKIE, OPEN_PATHS = "shop", ("/enter", "/static/", "/quote/", "/phone-worker.js")
CREW_PATHS = ("/phone", "/crew", "/mixer")
_reading = CapacityLimiter(1)
FREE_TRIES, MOST_WAIT_S, MOST_WAIT_OF_NAME_S = 5, 600.0, 10.0
MOST_BROWSERS, MOST_KEYS = 1000, 10_000
WORDS_S = 10.0  # for which the language of the crew is remembered


def new_code() -> str:
    """Random code of 59 bits, in groups that are easy to read out."""
    letters = people.new_code(CODE_LETTERS).upper()
    return "-".join(letters[at : at + GROUP] for at in range(0, CODE_LETTERS, GROUP))


class Tries:
    """Wrong codes and passwords by sender, and the wait before the next try is accepted."""

    def __init__(self) -> None:
        self._wrong: dict[str, tuple[int, float]] = {}

    def wait_s(self, key: str) -> float:
        """Seconds until this address or name may try again. A name waits less, so that guessing cannot lock it."""
        count, at = self._wrong.get(key, (0, 0.0))
        most_s = MOST_WAIT_OF_NAME_S if key.startswith("name ") else MOST_WAIT_S
        wait = min(2.0 ** min(count - FREE_TRIES, 20), most_s) if count >= FREE_TRIES else 0.0
        return max(0.0, at + wait - time.monotonic())

    def count(self, key: str, *, right: bool) -> None:
        """Record the result of a try."""
        if right:
            self._wrong.pop(key, None)
            return
        if len(self._wrong) >= MOST_KEYS:
            self._wrong.clear()
        self._wrong[key] = (self._wrong.get(key, (0, 0.0))[0] + 1, time.monotonic())


def address_of(request: Request) -> str:
    """Address from which a request came."""
    return request.client.host if request.client else ""


class Access:
    """Browsers that have entered the code.

    code   None: anybody who can reach the page may use it
    """

    def __init__(self, code: str | None) -> None:
        self.code = code
        self._browsers: deque[str] = deque(maxlen=MOST_BROWSERS)
        self._tries = Tries()

    def knows(self, cookie: str) -> bool:
        """Whether the cookies of a request are from a browser that has entered the code."""
        try:
            token = SimpleCookie(cookie).get(COOKIE)
        except CookieError:
            return False
        return token is not None and any(
            secrets.compare_digest(token.value.encode(), known.encode()) for known in self._browsers
        )

    def must_wait(self, address: str) -> bool:
        """Whether this address has entered too many wrong codes of late."""
        return self._tries.wait_s(address) > 0.0

    def enter(self, code: str, address: str = "") -> str | None:
        """Token for a browser that enters the right code; None for a wrong code or while its address must wait."""
        if self.must_wait(address):
            return None
        given = "".join(letter for letter in code.upper() if letter.isalnum())
        right = self.code is not None and secrets.compare_digest(given.encode(), self.code.replace("-", "").encode())
        self._tries.count(address, right=right)
        if not right:
            return None
        token = secrets.token_urlsafe(24)
        self._browsers.append(token)
        return token


class Door:
    """ASGI middleware that asks a browser for the code, and shows nothing else until it is entered."""

    def __init__(
        self, app: ASGIApp, access: Access, refused: Callable[[Request, Exception], Awaitable[Response]]
    ) -> None:
        self.app, self.access, self.refused = app, access, refused

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        answer: ASGIApp = self.app
        if scope["type"] == "http" and self.access.code is not None:
            cookies = Headers(scope=scope).get("cookie", "")
            if not scope["path"].startswith(OPEN_PATHS) and not self.access.knows(cookies):
                to = quote(scope["path"], safe="/")
                answer = (
                    RedirectResponse(f"/enter?to={to}", 303)
                    if scope["method"] == "GET"
                    else await self.refused(Request(scope), HTTPException(401))
                )
        await answer(scope, receive, send)


def routes(screens: Screens, access: Access) -> list[Route]:
    """Routes of the screen that asks for the code."""

    async def ask(request: Request) -> Response:
        to = inside(request.query_params.get("to", "/"))
        named = await to_thread.run_sync(people.people_of, screens.store)
        if access.code is None or named:
            return RedirectResponse(to, 303)
        return screens.render(request, "enter.html", words=await words_for(screens, to), to=to, problem="")

    async def submit(request: Request) -> Response:
        async with request.form() as sent:
            code, to = str(sent.get("code", "")), inside(str(sent.get("to", "/")))
        words = await words_for(screens, to)
        if access.must_wait(address_of(request)):
            return screens.render(request, "enter.html", 429, words=words, to=to, problem=words("sign-in-wait"))
        token = access.enter(code, address_of(request))
        if token is None:
            return screens.render(request, "enter.html", 403, words=words, to=to, problem=words("page-wrong-code"))
        answer = RedirectResponse(to, 303)
        secure = request.url.scheme == "https"
        answer.set_cookie(COOKIE, token, httponly=True, samesite="strict", secure=secure)
        return answer

    return [Route("/enter", ask, name="enter"), Route("/enter", submit, methods=["POST"])]


async def words_for(screens: Screens, to: str) -> Words:
    """Words in which the way to a screen is asked for: those of the crew for the screens of a phone."""
    return await crew_words(screens) if to.startswith(CREW_PATHS) else PLAIN


async def crew_words(screens: Screens) -> Words:
    """Words of the screens of a phone that belong to no job: the language that the crew reads in most jobs."""
    return await to_thread.run_sync(_crew_words, screens.shelf, int(time.monotonic() / WORDS_S), limiter=_reading)


@lru_cache(maxsize=1)  # nobody who asks again and again makes the page read all jobs again and again
def _crew_words(shelf: Shelf, _period: int) -> Words:
    heads = [job.table.get("job") for job in shelf.jobs()]
    read = [str(head.get("crew_language") or head.get("language")) for head in heads if isinstance(head, dict)]
    named = [language for language in read if language in LANGUAGES]
    return Words(PLAIN.units, PLAIN.currency, max(named, key=named.count, default=PLAIN.language))


def inside(to: str) -> str:
    """The path if it is on this page, else "/"."""
    return to if to.startswith("/") and not to.startswith(("//", "/\\")) and to.isprintable() else "/"
