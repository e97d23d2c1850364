"""Prices: what a job buys, with the price of each pack, to be typed over."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from copy import deepcopy
from dataclasses import replace
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from estimator.errors import FaultError, InputError
from estimator.intake.documents import Raw, merge_catalogs
from estimator.intake.edit import Edit
from estimator.intake.read import catalog_of
from estimator.page.fields import Field, text_of, typed
from estimator.page.orders import is_released
from estimator.page.screen import Screens, problem_of, standing
from estimator.page.sheet import WAS, typed_into
from estimator.page.shelf import JobFile, Kept
from estimator.report.first_screen import bought_of
from geometry.frozen import frozen
from geometry.message import message

PRICE = Field("", "", "", "number", "", "")


@frozen
class Pack:
    """A pack of a material.

    at       name of its field
    known    its supplier and item number, as far as they are given
    price    as it stands in the catalog or the job; "" if it has none
    typed    as somebody typed it; `price` if nobody did
    """

    at: str
    name: str
    known: str
    price: str
    typed: str


def routes(screens: Screens) -> list[Route]:
    """Routes of the prices of a job."""

    async def prices(request: Request) -> Response:
        job, given, problem = screens.job(request), dict[str, str](), ""
        if request.method == "POST":
            async with request.form() as sent:
                given = {key: str(value).strip() for key, value in sent.items()}
            try:
                await run_in_threadpool(_save, job, given)
                return RedirectResponse(request.url.path, 303)
            except (FaultError, InputError, OSError) as error:
                problem = problem_of(error, job.words)
        shown = await run_in_threadpool(_shown, job, given)
        return screens.render(request, "prices.html", 422 if problem else 200, job=job, problem=problem, **shown)

    return [Route("/jobs/{job}/prices", prices, methods=["GET", "POST"], name="prices")]


def _shown(job: JobFile, given: Mapping[str, str]) -> dict[str, Any]:
    kept = job.kept()
    words = kept.words
    materials = [
        {
            "name": title,
            "at": f"materials/{name}" if name in kept.table.get("materials", {}) else "",
            "packs": [replace(pack, typed=typed_into(pack.at, pack.price, given)) for pack in _packs(name, kept, job)],
        }
        for name, title in _materials(kept, job)
    ]
    return {
        "words": words,
        "materials": materials,
        "currency": words.currency,
        "note": words("prices-shop" if job.is_shop else "revise-direct" if is_released(kept.table) else "prices-note"),
    }


def _materials(kept: Kept, job: JobFile) -> list[tuple[str, str]]:
    """Materials that a job buys, with their names; of the shop's file all that have packs."""
    words = kept.words
    if not job.is_shop:
        result = standing(job)[1].result
        bought = dict.fromkeys(item.name for item in bought_of(result))
        return [(name, words.name(result.job.materials[name])) for name in bought]
    every = _merged(kept, job)
    named = [(name, words.named(str(raw.get("title", name)))) for name, raw in every.items() if raw.get("packs")]
    return sorted(named, key=lambda entry: entry[1].casefold())


def _merged(kept: Kept, job: JobFile) -> Raw:
    """Materials as the catalog and the file write them."""
    merged: Raw = merge_catalogs(
        catalog_of(kept.table, job.path.parent), {"materials": kept.table.get("materials", {})}
    )
    materials: Raw = merged["materials"]
    return materials


def _raw(name: str, kept: Kept, job: JobFile) -> list[dict[str, Any]]:
    """Packs of a material that a job may buy, as the catalog or the file writes them; of the shop's file all."""
    packs = _merged(kept, job).get(name, {}).get("packs", [])
    return [deepcopy(pack) for pack in packs if job.is_shop or pack.get("units") in (None, kept.words.units)]


def _priced(pack: dict[str, Any]) -> Iterator[tuple[dict[str, Any], str]]:
    """Yield where the prices of a pack stand: its own, those of its breaks, and that of a full pallet."""
    yield pack, "price"
    yield from ((each, "price") for each in pack.get("breaks", []))
    if "pallet_price" in pack:
        yield pack, "pallet_price"


def _packs(name: str, kept: Kept, job: JobFile) -> Iterator[Pack]:
    for number, pack in enumerate(_raw(name, kept, job)):
        known = ", ".join(str(pack[key]) for key in ("supplier", "item") if pack.get(key))
        amount = next((str(pack[key]) for key in ("mass", "volume", "area", "length") if key in pack), "")
        amount = amount.replace("^2", "²").replace("^3", "³")
        own = ", ".join(filter(None, (str(pack.get("name", "")), amount)))
        for place, (table, key) in enumerate(_priced(pack)):
            title = own if table is pack else kept.words("prices-from", name=own, count=int(table.get("from", 0)))
            title = kept.words("prices-pallet", name=own) if key == "pallet_price" else title
            price = text_of(table.get(key))
            yield Pack(f"{name}/{number}/{place}", title, known, price, price)


def _save(job: JobFile, given: Mapping[str, str]) -> None:
    """Write the prices that were typed over, each with all packs of its material, since these replace the catalog's.

    Raises FaultError, InputError, OSError.
    """
    kept, edits = job.kept(), list[Edit]()
    for name in dict.fromkeys(key.split("/")[0] for key in given if not key.startswith(WAS)):
        packs, moved = _raw(name, kept, job), False
        for number, pack in enumerate(packs):
            for place, (table, key) in enumerate(_priced(pack)):
                at, held = f"{name}/{number}/{place}", text_of(table.get(key))
                text = typed_into(at, held, given)
                if text == held:
                    continue
                if given.get(WAS + at, held) != held:
                    values = {"label": f"{name}, {pack.get('name', '')}", "theirs": held or "–", "yours": text or "–"}
                    raise FaultError("", message("page-changed-too", **values))
                moved, value = True, typed(text, PRICE)
                table.update({key: value}) if value is not None else table.pop(key, None)
        if moved:
            edits.append(Edit("set", ("materials", name, "packs"), packs))
    if edits:
        job.edit(edits)
