"""The client's quote: sent as a link with its own access code, read, and accepted.

What the client's browser gets is generated when the link is created and stored as sent. It contains the texts of the
quote and no costs of the shop. An acceptance is stored with the hash of exactly that content.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from functools import partial
from itertools import combinations
from types import MappingProxyType
from typing import Any

from anyio import CapacityLimiter, to_thread
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from estimator.errors import FaultError, InputError
from estimator.estimate import Estimate
from estimator.intake.edit import Edit, edited
from estimator.page.drawing import thumbnail_of
from estimator.page.orders import amounts_of, is_released
from estimator.page.release import may_release
from estimator.page.screen import Screens, problem_of
from estimator.page.shelf import JobFile, Kept, sound
from estimator.pricing.versions import Standing
from estimator.report.papers import quote
from estimator.store import Store
from estimator.store.database import here
from estimator.store.links import Link, accept, link_of, links_of, opens, send, sent_of, withdraw
from estimator.store.people import new_session, session_link, who
from estimator.words import Words, client_words_for
from geometry.message import message

COOKIE = "quote"
MOST_OPTIONS = 4  # with up to this many, every combination is priced when the link is created
MOST_NAME, MOST_SIGNATURE = 120, 20_000
ENTRIES = ("name", "choice", "signature", "typed", "agree")
NOTHING: Mapping[str, str] = MappingProxyType(dict.fromkeys(ENTRIES, ""))
DRAWN = re.compile(r"(?:[ML]-?\d{1,4}(?:\.\d)? -?\d{1,4}(?:\.\d)?){2,}")
_codes = CapacityLimiter(1)


def routes(screens: Screens) -> list[Route]:
    """Routes of a job's links for the office, and of the client's screens."""
    return [*_office_routes(screens), *_client_routes(screens)]


def _office_routes(screens: Screens) -> list[Route]:
    async def links(request: Request) -> Response:
        job = screens.job(request)
        shown: dict[str, Any] = {"address": [], "code": "", "problem": ""}
        kept = await to_thread.run_sync(job.kept)
        if request.method == "POST":
            try:
                kept = await to_thread.run_sync(_dated, job)
                sent = await to_thread.run_sync(sent_quote, job, kept)
                of = partial(send, screens.store, job.path, sent, who.get())
                token, code = await to_thread.run_sync(of)
                bases = screens.reached_at(request) or [str(request.base_url)]
                path = request.url_for("client-quote", token=token).path.lstrip("/")
                shown |= {"address": [f"{base}{path}" for base in bases], "code": code}
            except (FaultError, InputError) as error:
                shown["problem"] = problem_of(error, kept.words)
        found = await to_thread.run_sync(links_of, screens.store, job.path)
        rows = [(link, list(_about(link, kept.words))) for link in found]
        amounts = [await to_thread.run_sync(_offered, screens.store, link, kept) for link in found]
        shown["payments"] = [await to_thread.run_sync(_accepted_payments, screens.store, link) for link in found]
        shown["missing"] = list(_missing(kept, alone=not screens.reached_at(request)))
        shown["is_released"] = is_released(kept.table)
        shown["can_release"] = await to_thread.run_sync(may_release, job, screens.store)
        status = 422 if shown["problem"] else 200
        return screens.render(
            request, "client_links.html", status, job=job, words=kept.words, rows=rows, amounts=amounts, **shown
        )

    async def withdrawn(request: Request) -> Response:
        job, form = screens.job(request), await request.form()
        await to_thread.run_sync(withdraw, screens.store, job.path, str(form.get("id", "")))
        return RedirectResponse(f"/jobs/{job.name}/client", 303)

    return [
        Route("/jobs/{job}/client", links, methods=["GET", "POST"], name="client"),
        Route("/jobs/{job}/client/withdraw", withdrawn, methods=["POST"], name="withdraw"),
    ]


def _missing(kept: Kept, *, alone: bool) -> Iterator[tuple[str, str, str]]:
    """Yield what a quote lacks before it is sent: the table, the missing part, and the action that enters it.

    alone   whether no other computer can reach the page
    """
    for table, text, act in (
        ("client", "client-no-client", "client-enter-client"),
        ("business", "client-no-business", "client-enter-business"),
    ):
        if not (isinstance(own := kept.table.get(table), dict) and own.get("name")):
            yield table, kept.words(text), kept.words(act)
    if kept.estimate is not None and kept.estimate.result.job.date is None:
        yield "", kept.words("client-no-date"), ""
    if alone:
        yield "", kept.words("client-here-alone"), ""


def _dated(job: JobFile) -> Kept:
    """State of a job whose quote has a date: today's if it had none, so that the quote and its link expire."""
    kept = job.kept()
    if kept.estimate is None or kept.estimate.result.job.date is not None or is_released(kept.table):
        return kept
    return job.edit([Edit("set", ("job", "date"), date.today().isoformat())])


def _offered(store: Store, link: Link, kept: Kept) -> tuple[str, str]:
    """Total of a quote that the client can accept, and what the job comes to now where that is something else."""
    if link.state != "open":
        return "", ""
    view, _ = sent_of(store, link)
    offered = str(view["totals"][""])
    now = "" if kept.estimate is None else _words(view).price(kept.estimate.result.cost.total)
    return offered, "" if now == offered else now


def _accepted_payments(store: Store, link: Link) -> quote.Rows:
    """Payments of what the client accepted by a link, as the client reads them."""
    if link.acceptance is None or link.acceptance.link != link.id:
        return []
    view, _ = sent_of(store, link)
    return _payments_of(view, _choice_of(view, link.acceptance.options)) if "payments_of" in view else []


def _about(link: Link, words: Words) -> Iterator[str]:
    """Yield the facts of a sent quote: its day, revision, last day and fingerprint."""
    yield words("client-sent-on", day=words.date(here(link.at).date().isoformat()))
    if link.label:
        yield words("client-revision", revision=link.label)
    if link.until:
        yield words("client-until", day=words.date(link.until))
    yield words("client-fingerprint", text=link.revision[:12])


def _client_routes(screens: Screens) -> list[Route]:
    async def shown(request: Request) -> Response:
        link = await _link(screens, request)
        if link.is_over:
            return await _over_screen(screens, request, link)
        if not await _is_open(screens, request, link):
            return await _code_screen(screens, request, link)
        return await _quote_screen(screens, request, link)

    async def entered(request: Request) -> Response:
        link = await _link(screens, request)
        if link.is_over:
            return await _over_screen(screens, request, link)
        token, form = request.path_params["token"], await request.form()
        busy = _codes.statistics().tasks_waiting > 3
        code = str(form.get("code", ""))[:40]
        right = None if busy else await to_thread.run_sync(opens, screens.store, link, code, limiter=_codes)
        if not right:
            status, problem = (429, "client-wait") if right is None else (403, "client-wrong")
            return await _code_screen(screens, request, link, status, problem)
        session = await to_thread.run_sync(partial(new_session, screens.store, link=link.id))
        answer = RedirectResponse(f"/quote/{token}", 303)
        secure = request.url.scheme == "https"
        answer.set_cookie(COOKIE, session, path=f"/quote/{token}", httponly=True, samesite="strict", secure=secure)
        return answer

    async def accepted(request: Request) -> Response:
        link = await _link(screens, request)
        if link.is_over:
            return await _over_screen(screens, request, link)
        if not await _is_open(screens, request, link):
            return await _code_screen(screens, request, link, 403)
        form = await request.form()
        given = {name: str(form.get(name, "")) for name in ENTRIES}
        view, _ = await to_thread.run_sync(sent_of, screens.store, link)
        words = _words(view)
        try:
            await to_thread.run_sync(_accept, screens.store, link, view, given)
        except FaultError as error:
            link = await _link(screens, request)
            if not _is_again(link, view, given):
                return await _quote_screen(screens, request, link, 422, problem_of(error, words), given)
        return RedirectResponse(f"/quote/{request.path_params['token']}#accepted", 303)

    async def paper(request: Request) -> Response:
        link = await _link(screens, request)
        if link.is_over:
            return await _over_screen(screens, request, link)
        if not await _is_open(screens, request, link):
            return await _code_screen(screens, request, link, 403)
        _, content = await to_thread.run_sync(sent_of, screens.store, link)
        return Response(content, media_type="application/pdf")

    return [
        Route("/quote/{token}", shown, name="client-quote"),
        Route("/quote/{token}/code", entered, methods=["POST"]),
        Route("/quote/{token}/accept", accepted, methods=["POST"]),
        Route("/quote/{token}/quote.pdf", paper),
    ]


def _words(view: dict[str, Any]) -> Words:
    """Words in which a quote was sent."""
    return Words(view["units"], view["currency"], view["language"], view.get("numbers"))


async def _quote_screen(
    screens: Screens,
    request: Request,
    link: Link,
    status: int = 200,
    problem: str = "",
    given: Mapping[str, str] = NOTHING,
) -> Response:
    """Quote with the options that were accepted, or those that were ticked when something was missing.

    given   what the client has entered, so that nothing is to be entered twice
    """
    view, _ = await to_thread.run_sync(sent_of, screens.store, link)
    words, accepted = _words(view), link.acceptance
    choice = _choice_of(view, accepted.options if accepted else view["choices"].get(given["choice"], ()))
    drawn = given["signature"] if DRAWN.fullmatch(given["signature"]) else ""
    of = {
        "token": request.path_params["token"],
        "link": link,
        "view": view,
        "signed": words.date(here(accepted.at).date().isoformat()) if accepted else "",
        "problem": problem,
        "given": {**given, "choice": choice, "signature": drawn},
        "ticked": choice.split("-"),
        "sums": view.get("sums_of", {}),
        "payments": _payments_of(view, choice),
    }
    return screens.render(request, "client_quote.html", status, words=words, **of)


async def _code_screen(
    screens: Screens, request: Request, link: Link, status: int = 200, problem: str = ""
) -> Response:
    view, _ = await to_thread.run_sync(sent_of, screens.store, link)
    words, token = _words(view), request.path_params["token"]
    text = words(problem) if problem else ""
    return screens.render(request, "client_code.html", status, words=words, token=token, problem=text)


async def _over_screen(screens: Screens, request: Request, link: Link) -> Response:
    view, _ = await to_thread.run_sync(sent_of, screens.store, link)
    words = _words(view)
    text = words(
        "client-over",
        state="withdrawn" if link.withdrawn else "expired",
        until_date=link.until or date.today().isoformat(),
    )
    return screens.render(request, "client_over.html", 410, words=words, text=text, shop=view["shop"])


async def _link(screens: Screens, request: Request) -> Link:
    """Link of a path. Raises HTTPException 404 if there is none, so that a guess reveals nothing."""
    link = await to_thread.run_sync(link_of, screens.store, request.path_params["token"])
    if link is None:
        raise HTTPException(404)
    return link


async def _is_open(screens: Screens, request: Request, link: Link) -> bool:
    """Whether this browser has entered the code of a link."""
    session = request.cookies.get(COOKIE, "")
    return bool(session) and await to_thread.run_sync(session_link, screens.store, session) == link.id


def _accept(store: Store, link: Link, view: dict[str, Any], given: dict[str, str]) -> None:
    """Store what a client has signed. Raises FaultError if anything is missing, or if the quote is accepted already."""
    name, signature, chosen = _signed(given, view, link)
    if not accept(store, link, name, signature, chosen, view["totals"][given["choice"]]):
        raise FaultError("", message("client-not-open"))


def _is_again(link: Link, view: dict[str, Any], given: dict[str, str]) -> bool:
    """Whether what a client has signed was accepted before: an impatient one sends it twice."""
    accepted, total = link.acceptance, view["totals"].get(given["choice"])
    return accepted is not None and (accepted.name, accepted.total) == (given["name"].strip(), total)


def _signed(given: dict[str, str], view: dict[str, Any], link: Link) -> tuple[str, str, tuple[str, ...]]:
    """Name, signature and chosen options of an acceptance. Raises FaultError if anything is missing."""
    name, signature = given["name"].strip(), given["signature"]
    if link.state != "open" or given["choice"] not in view["totals"]:
        raise FaultError("", message("client-not-open"))
    if not 2 <= len(name) <= MOST_NAME:
        raise FaultError("", message("client-no-name"))
    drawn = len(signature) <= MOST_SIGNATURE and DRAWN.fullmatch(signature) is not None
    if not drawn and not given["typed"]:
        raise FaultError("", message("client-no-signature"))
    if not given["agree"]:
        raise FaultError("", message("client-not-agreed"))
    return name, signature if drawn else name, tuple(view["choices"][given["choice"]])


def sent_quote(job: JobFile, kept: Kept) -> dict[str, Any]:
    """Content to store of a quote being sent. Raises FaultError for a job that is not a valid quote yet, InputError."""
    if kept.estimate is None:
        raise InputError(kept.faults)
    result = kept.estimate.result
    if result.job.status != "quoted" or result.cost.unpriced:
        raise FaultError("", message("client-no-quote"))
    until = result.job.valid_until or ""
    if until and until < date.today().isoformat():
        raise FaultError("", message("client-expired", until_date=until))
    return {
        "revision": result.job.revision or "",
        "content": kept.content,
        "view": json.dumps(_view(job, kept, result), ensure_ascii=False, sort_keys=True),
        "paper": quote.quote(result),
        "until": until,
    }


def _view(job: JobFile, kept: Kept, result: Estimate) -> dict[str, Any]:
    """View of the client, as texts."""
    words, own, client = client_words_for(result.job), result.job.business, result.job.client
    standings, choices, sums = _choices(job, kept, result, words)
    number, revision = result.job.number or "none", result.job.revision or "none"
    priced = {
        choice: words("quote-acceptance", number=number, revision=revision, total_price=standing.total)
        for choice, standing in standings.items()
    }
    included, excluded = quote.scope_of(result, words)
    label = quote.sum_of(result, words)[0]
    uses = {piece.taken.piece.use for piece in result.pieces}
    return {
        "language": words.language, "numbers": words.numbers, "units": words.units, "currency": words.currency,
        "title": result.job.name, "paper": words("quote-title", status=result.job.status),
        "shop": [own.name, *own.address, *own.contact], "client": [client.name, *client.address],
        "days": quote.days_of(result, words)[:-1],
        "pieces": [_piece(piece, result, words) for piece in result.pieces],
        "sums_of": sums, "total_label": label,
        "options": _options(result, words, choices),
        "totals": {choice: words.price(standing.total) for choice, standing in standings.items()},
        "choices": choices, "acceptance": priced,
        "agreed": {choice: amounts_of(standing) for choice, standing in standings.items()},
        "payments_of": {choice: quote.payment_rows(standing.payments, words) for choice, standing in standings.items()},
        "scope": [[words("quote-included"), included], [words("quote-excluded"), excluded]],
        "terms": [words.term(term.text) for term in own.terms if not term.uses or uses & set(term.uses)],
        "contact": list(own.contact),
    }  # fmt: skip


def _piece(piece: Any, result: Estimate, words: Words) -> dict[str, Any]:
    cast = piece.taken.piece
    lines = list(quote.description_of(piece, result, words))
    prices = quote.prices_of(piece, result, words)
    return {
        "mark": cast.mark,
        "name": cast.description or words("quote-use", use=cast.use),
        "lines": lines[1:],
        "quantity": cast.quantity,
        "weight": words.mass(piece.weight.high_kg, up=True),
        "price": prices[-1] if prices else "",
        "picture": thumbnail_of(piece),
    }


def _options(result: Estimate, words: Words, choices: dict[str, list[str]]) -> list[dict[str, Any]]:
    """Options that may be ticked and alternates that replace the price, each with its id in a choice key."""
    versions, offered = result.versions, []
    open_options = [option for option in versions.options if not option.taken]
    for at, option in enumerate(open_options):
        price = words.price_change(option.price) if option.price is not None else ""
        ticked = f"o{at}"
        offered.append({"id": ticked if ticked in choices else "", "name": quote.capital(option.name),
                        "note": option.note, "price": price, "alone": False})  # fmt: skip
    for at, alternate in enumerate(versions.alternatives):
        price = words.price_change(alternate.standing.price - result.cost.price)
        offered.append({"id": f"a{at}", "name": quote.capital(alternate.name), "note": alternate.note,
                        "price": price, "alone": True})  # fmt: skip
    return offered


def _choices(
    job: JobFile, kept: Kept, result: Estimate, words: Words
) -> tuple[dict[str, Standing], dict[str, list[str]], dict[str, quote.Rows]]:
    """What the job comes to with each combination of options, estimated separately, and as each alternate, with the
    names in them, and the lines above the total."""
    standings, choices = {"": result.standing}, dict[str, list[str]]({"": []})
    sums = {"": quote.sum_of(result, words)[2]}
    names = [option.name for option in result.versions.options if not option.taken]
    listed = [str(option.get("name", "")) for option in kept.table.get("option", [])]
    if len(names) <= MOST_OPTIONS and all(listed.count(name) == 1 for name in names):
        for count in range(1, len(names) + 1):
            for chosen in combinations(range(len(names)), count):
                edits = [Edit("set", ("option", listed.index(names[at]), "taken"), True) for at in chosen]
                other = sound(edited(kept.content, edits), job.path)
                key = "-".join(f"o{at}" for at in chosen)
                standings[key], choices[key] = other.result.standing, [names[at] for at in chosen]
                sums[key] = quote.sum_of(other.result, words)[2]
    for at, alternate in enumerate(result.versions.alternatives):
        key, standing = f"a{at}", alternate.standing
        standings[key], choices[key] = standing, [alternate.name]
        before, *taxes = sums[""]  # its taxes by kind are not known apart
        tax = [(taxes[0][0], words.price(standing.total - standing.price))] if len(taxes) == 1 else []
        sums[key] = [(before[0], words.price(standing.price)), *tax]
    return standings, choices, sums


def _choice_of(view: Mapping[str, Any], names: Sequence[str]) -> str:
    """Key of the choice of these options; "" for one that the quote does not have."""
    return next((key for key, chosen in view["choices"].items() if chosen == list(names)), "")


def _payments_of(view: Mapping[str, Any], choice: str) -> quote.Rows:
    """Payments of what a choice comes to. A quote sent before these were stored has those without options alone, and
    says so."""
    rows: quote.Rows = view["payments_of"][choice] if "payments_of" in view else view["payments"]
    return rows
