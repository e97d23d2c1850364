"""Change orders: a released job is not edited; what changes is written as a numbered order that the client signs.

What the client accepted stands in the job file with its amounts, and each change order with what it adds to them. So
neither prices and settings of the shop nor a new version of the program move what the client pays.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import fields as keys_of
from datetime import date
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from estimator.errors import FaultError, InputError
from estimator.intake.documents import OVERLAID, RawPiece, Written, overlaid
from estimator.intake.edit import Edit, KeyPath, changed, edited, edited_table
from estimator.intake.term_tables import OverlayTable
from estimator.names import folded
from estimator.page.fields import label_of
from estimator.page.screen import Screens, named, problem_of, standing
from estimator.page.shelf import ConflictError, JobFile, Kept, sound, value_at
from estimator.pricing.versions import Standing
from estimator.report.papers.change_order import change_order, what_changes
from estimator.words import PLAIN
from geometry.frozen import frozen
from geometry.message import message

Table = dict[str, Any]
AT, AGREED = "change", "agreed"
CONTENT = tuple(key.name for key in keys_of(OverlayTable) if key.name not in ("note", "pieces"))
"""Keys of a change order that say what changes."""

OF_PRICE = ("overhead", "margin", "markup", "tax", "tax_rates", "rounding", "adjustment", "payments")
"""Keys of [price] that the client has agreed to; the others are the shop's own."""

OF_ORDER = ("start", "date", "number", "revision")
"""Keys of [job] that belong to one order alone."""

MOST_REASON = 120


class ReleasedError(Exception):
    """Raised if an edit of a released job needs a change order.

    lines    what would change, in words
    numbers  orders that can take the change: the last one while it is not signed, and a new one
    reason   reason of the last one while it is not signed
    """

    def __init__(self, lines: Sequence[str], numbers: Sequence[int], reason: str) -> None:
        super().__init__(*lines)
        self.lines, self.numbers, self.reason = tuple(lines), tuple(numbers), reason


@frozen
class Order:
    """What a person enters for a change order.

    reason  why the job changes, as the client reads it
    number  number of the order that the change goes into
    """

    reason: str
    number: int


def is_released(table: Mapping[str, Any]) -> bool:
    """Whether a job is released, so that only a change order moves its pieces."""
    head = table.get("job")
    return isinstance(head, Mapping) and head.get("status") == "released"


def in_force(table: Table) -> Table:
    """Job file with its signed change orders applied: what stands at the desk of a released job."""
    for change in orders_of(table):
        if change.get("signed"):
            table = with_overlay(table, change)
    return table


def as_quote(table: Table) -> list[Edit]:
    """Edits that make a new quote of a released job as it stands: for a copy, which nobody has accepted yet."""
    now = in_force(table)
    was, becomes = table.get("piece", []), now.get("piece", [])
    here = {folded(str(piece.get("mark"))): piece for piece in becomes}
    edits = [Edit("set", ("job", "status"), "quoted")]
    for number, piece in reversed(list(enumerate(was))):
        stands = here.pop(folded(str(piece.get("mark"))), None)
        if stands is None:
            edits.append(Edit("remove", ("piece", number)))
        elif stands != piece:
            edits.append(Edit("set", ("piece", number), stands))
    edits += [Edit("add", ("piece",), piece) for piece in here.values()]
    for section in OVERLAID:
        old, new = table.get(section, {}), now.get(section, {})
        edits += [Edit("set", (section, key), value) for key, value in new.items() if old.get(key) != value]
    of_order = ((AT,), ("sign_off",), ("price", AGREED), ("price", "received"), *(("job", key) for key in OF_ORDER))
    return [*edits, *(Edit("remove", at) for at in of_order if value_at(table, at) is not None)]


def order_of(given: Mapping[str, Any]) -> Order | None:
    """Change order entered in a form or at the desk; None if nobody was asked yet."""
    number = str(given.get("order-number", ""))
    return Order(str(given.get("order-reason", "")).strip(), int(number)) if number.isdecimal() else None


def revise(
    job: JobFile,
    edits: Sequence[Edit],
    order: Order | None = None,
    was: Any = None,
    *,
    kept: Kept | None = None,
    table: Table | None = None,
    checked: bool = False,
    later: list[Callable[[], None]] | None = None,
) -> Kept:
    """Apply edits to a job; on a released job write what they change of its pieces and mixes into a change order.

    order  change order that takes them
    table  what the paths of the edits refer to: the job in force, or as in the file if not given
    kept   state of the job that the caller has read
    was, checked, later  as in JobFile.edit

    Raises ReleasedError if a change order is needed and none is given, and what JobFile.edit raises.
    """
    kept = kept or job.kept()
    releases = Edit("set", ("job", "status"), "released") in edits
    if releases and kept.estimate is not None and not is_released(kept.table):
        quoted = amounts_of(kept.estimate.result.standing)
        edits = [*edits, Edit("set", ("price", AGREED), quoted)]
    if not is_released(kept.table) or not any(_is_agreed(edit, kept.table) for edit in edits):
        edits = [*edits, *_amounts_after(job, kept, edits)]
        return job.edit(edits, was, now=kept, checked=checked, later=later)
    start, orders = in_force(kept.table), orders_of(kept.table)
    table = kept.table if table is None else table
    if checked and (theirs := value_at(start, edits[0].at)) not in (was, edits[0].value):
        raise ConflictError(theirs)
    is_open = bool(orders) and not orders[-1].get("signed")
    numbers = [len(orders)] * is_open + [len(orders) + 1]
    extends = order is not None and is_open and order.number == len(orders)
    content = _content(start, with_overlay(start, orders[-1]) if extends else start, edits, table)
    if not content:
        return kept
    if order is None or order.number not in numbers:
        raise ReleasedError(list(lines_of(start, content)), numbers, str(orders[-1]["reason"]) if is_open else "")
    if not 0 < len(order.reason) <= MOST_REASON:
        raise FaultError("", message("revise-no-reason"))
    written = _written(order, content, orders, extends=extends)
    return job.edit([*written, *_amounts_after(job, kept, written)], later=later)


def asked(
    screens: Screens, request: Request, job: JobFile, given: Mapping[str, str], needed: ReleasedError
) -> Response:
    """Screen that asks for the change order of a form, which is sent again with it."""
    sent = {name: text for name, text in given.items() if not name.startswith("order-")}
    return screens.render(request, "order_ask.html", job=job, words=job.words, given=sent, needed=needed)


def done(job: JobFile, given: Mapping[str, str], path: str) -> Response:
    """Redirect after a form was saved: to the change orders if it went into one, else to `path`."""
    return RedirectResponse(path if order_of(given) is None else f"/jobs/{job.name}/orders", 303)


def routes(screens: Screens) -> list[Route]:
    """Routes of the change orders of a job: their list, the paper of each, and the client's signature."""

    async def listed(request: Request) -> Response:
        job = screens.job(request)
        return await run_in_threadpool(_screen, screens, request, job)

    async def signed(request: Request) -> Response:
        job = screens.job(request)
        async with request.form() as sent:
            number, day = str(sent.get("number", "")), str(sent.get("signed", "")).strip()
        try:
            await run_in_threadpool(_sign, job, number, day)
        except (FaultError, InputError, OSError) as error:
            problem = problem_of(error, job.words)
            return await run_in_threadpool(_screen, screens, request, job, problem)
        return RedirectResponse(request.url.path, 303)

    async def paper(request: Request) -> Response:
        job, number = screens.job(request), request.path_params["number"]
        content = await run_in_threadpool(_paper, job, number)
        headers = named(f"{job.name}-CO-{number}.pdf")
        return Response(content, media_type="application/pdf", headers=headers)

    return [
        Route("/jobs/{job}/orders", listed, name="orders"),
        Route("/jobs/{job}/orders", signed, methods=["POST"]),
        Route("/jobs/{job}/orders/CO-{number:int}.pdf", paper),
    ]


def orders_of(table: Mapping[str, Any]) -> list[Table]:
    """Change orders of a job file."""
    return [change for change in table.get("change", []) if isinstance(change, dict)]


def amounts_of(standing: Standing) -> Table:
    """What the client pays for a job: price, tax, and the price of each mark."""
    pieces = {mark: float(of_mark.price) for mark, of_mark in standing.marks.items()}
    return {"price": float(standing.price), "tax": float(standing.total - standing.price), "pieces": pieces}


def _amounts_after(job: JobFile, kept: Kept, edits: Sequence[Edit]) -> list[Edit]:
    """Edits that give the change order that others touch its amounts, and the job those before it. Raises InputError.

    An order that is signed keeps its amounts.
    """
    before = orders_of(kept.table)
    touched = [edit.at[1] if len(edit.at) > 1 else len(before) for edit in edits if edit.at[0] == AT]
    number = next((at for at in touched if isinstance(at, int)), None)
    if number is None or kept.estimate is None or not is_released(kept.table):
        return []
    content, table = edited_table(kept.content, edits, kept.table)
    after = orders_of(table)
    if number >= len(after) or (after[number].get("signed") and AGREED in after[number]):
        return []
    gone = [Edit("remove", (AT, number, AGREED))] if AGREED in after[number] else []
    first = []
    if AGREED not in table.get("price", {}) and not any(order.get("signed") for order in before):
        first = [Edit("set", ("price", AGREED), amounts_of(kept.estimate.result.standing))]
    change = sound(edited(content, [*gone, *first]), job.path).result.versions.changes[number]
    moved = {mark: float(change.price_of(mark)) for mark in dict.fromkeys((*change.before.marks, *change.after.marks))}
    amounts = {"price": float(change.price), "tax": float(change.total - change.price)}
    pieces = {mark: amount for mark, amount in moved.items() if amount}
    return [*first, Edit("set", (AT, number, AGREED), amounts | {"pieces": pieces})]


def _is_agreed(edit: Edit, table: Table) -> bool:
    """Whether the client has agreed to what an edit touches: pieces, mixes, terms of the price, options taken."""
    match edit.at:
        case ("piece" | "drawing" | "schedule" | "mixes", *_) | ("job", "mix" | "units" | "currency"):
            return True
        case ("price", key, *_):
            return key in OF_PRICE
        case ("price",):
            return True
        case ("option", int(number), *rest):
            return bool(value_at(table, ("option", number, "taken"))) or rest == ["taken"]
        case ("option",):
            return edit.kind != "add"
    return False


def is_of_client(path: KeyPath) -> bool:
    """Whether the client has agreed to what stands in a table, so that it moves by change orders."""
    return path[:1] in (("piece",), ("drawing",), ("schedule",), ("mixes",), ("price",), ("option",), ("change",))


def with_overlay(table: Table, change: Mapping[str, Any]) -> Table:
    """Job file with a change order, an option or an alternate applied to the pieces that it lists."""
    overlay = OverlayTable(**{key: change[key] for key in (*CONTENT, "pieces") if key in change})
    written = Written(table, tuple(RawPiece("", "", piece) for piece in table.get("piece", [])))
    after = overlaid(written, overlay, "", "", [])
    return {**after.sections, "piece": [piece.raw for piece in after.pieces]}


def _content(start: Table, draft: Table, edits: Sequence[Edit], table: Table) -> Table:
    """Keys of the change order that turns `start` into `draft` with edits of `table`. Raises FaultError."""
    swap, wanted = dict[str, str](), draft
    for edit in edits:
        if edit.at[0] == "piece":
            if not (edit.at[-1] == "mix" and value_at(table, edit.at) in swap):
                wanted = changed(wanted, _moved(edit, table, draft))
        elif edit.at[0] in ("mixes", "price") and len(edit.at) > 1:
            wanted = changed(wanted, edit)
        elif edit.at[0] == "option" and edit.value is True:
            wanted = _taken(wanted, value_at(table, edit.at[:2]))
        elif edit.at[-1] == "mix" and edit.kind == "set" and isinstance(old := value_at(table, edit.at), str):
            swap[old] = edit.value
        else:
            raise FaultError("", message("revise-not-this"))
    content: Table = {"swap": swap} if swap else {}
    before = {folded(str(piece.get("mark"))): piece for piece in start.get("piece", [])}
    after = {folded(str(piece.get("mark"))): piece for piece in wanted.get("piece", [])}
    content["piece"] = [
        {"mark": before[mark]["mark"], **differences(before[mark], piece)}
        for mark, piece in after.items()
        if mark in before and piece != before[mark]
    ]
    content["add"] = [piece for mark, piece in after.items() if mark not in before]
    content["remove"] = [piece["mark"] for mark, piece in before.items() if mark not in after]
    for section in OVERLAID:
        old, new = start.get(section, {}), wanted.get(section, {})
        if any(key not in new for key in old):
            raise FaultError("", message("revise-no-removal"))
        content[section] = {key: value for key, value in new.items() if old.get(key) != value}
    return {key: value for key, value in content.items() if value}


def _taken(table: Table, option: Table) -> Table:
    """Job file with an option: its changes, or its lump sum on top of the price."""
    if "lump" not in option:
        return with_overlay(table, option)
    adjustment = table.get("price", {}).get("adjustment", 0.0) + option["lump"]
    return {**table, "price": {**table.get("price", {}), "adjustment": adjustment}}


def _moved(edit: Edit, table: Table, draft: Table) -> Edit:
    """Edit of a piece of `table`, at the place that the piece has in `draft`. Raises FaultError."""
    if len(edit.at) < 2:
        return edit
    mark = folded(str(value_at(table, (*edit.at[:2], "mark"))))
    for number, piece in enumerate(draft.get("piece", [])):
        if folded(str(piece.get("mark"))) == mark:
            return Edit(edit.kind, ("piece", number, *edit.at[2:]), edit.value)
    raise FaultError("", message("revise-not-this"))


def differences(old: Table, new: Table) -> Table:
    """Keys in which a table differs. Raises FaultError for one that is left out, which no overlay can say."""
    if old.get("kind") != new.get("kind"):
        return new
    if any(key not in new for key in old if key not in ("mix", "layers")):
        raise FaultError("", message("revise-no-removal"))
    return {
        key: differences(old[key], value) if isinstance(value, dict) and isinstance(old.get(key), dict) else value
        for key, value in new.items()
        if key not in old or old[key] != value
    }


def lines_of(start: Table, content: Table) -> Iterator[str]:
    """Yield what a change order changes, a line for each entry."""
    pieces = {piece.get("mark"): piece for piece in start.get("piece", [])}
    for change in content.get("piece", []):
        for path, value in _leaves({key: value for key, value in change.items() if key != "mark"}):
            was, name = value_at(pieces[change["mark"]], path), label_of(path[-1])
            shown = PLAIN("page-change", was=_text(was), becomes=_text(value))
            yield f"{change['mark']}, {name[:1].lower()}{name[1:]}: {shown}"
    for piece in content.get("add", []):
        yield PLAIN("revise-adds", mark=str(piece.get("mark")))
    for mark in content.get("remove", []):
        yield PLAIN("revise-removes", mark=str(mark))
    for old, new in content.get("swap", {}).items():
        yield PLAIN("page-change", was=old, becomes=new)
    for section in OVERLAID:
        for path, value in _leaves(content.get(section, {})):
            was = _text(value_at(start, (section, *path)))
            places = ", ".join(dict.fromkeys(label_of(key) for key in (section, *path)))
            yield f"{places}: {PLAIN('page-change', was=was, becomes=_text(value))}"


def _leaves(table: Table) -> Iterator[tuple[tuple[str, ...], Any]]:
    for key, value in table.items():
        if isinstance(value, dict):
            yield from (((key, *path), leaf) for path, leaf in _leaves(value))
        else:
            yield (key,), value


def _text(value: Any) -> str:
    return "–" if value is None else "…" if isinstance(value, list | dict) else str(value)


def _written(order: Order, content: Table, orders: Sequence[Table], *, extends: bool) -> list[Edit]:
    """Edits of the job file that write a change order, or add to the last one."""
    if not extends:
        head = {"number": order.number, "reason": order.reason, "date": date.today().isoformat()}
        return [Edit("add", (AT,), head | content)]
    at, last = (AT, len(orders) - 1), orders[-1]
    gone = [Edit("remove", (*at, key)) for key in CONTENT if key in last and key not in content]
    kept = [Edit("set", (*at, key), value) for key, value in content.items() if last.get(key) != value]
    return [*kept, *gone, Edit("set", (*at, "reason"), order.reason)]


def _screen(screens: Screens, request: Request, job: JobFile, problem: str = "") -> Response:
    kept, estimate = standing(job)
    if not is_released(kept.table):
        raise HTTPException(404)
    words, result = kept.words, estimate.result
    rows = [
        {
            "number": change.number,
            "at": f"change/{number}",
            "reason": change.reason,
            "lines": what_changes(change, result.job.workshop.labor.sink_least_m, words),
            "price": words.price_change(change.price),
            "total": words.price(change.after.total),
            "days": words("change-days-more" if change.days >= 0 else "change-days-less", days=abs(change.days)),
            "signed": words.date(change.signed) if change.signed else "",
        }
        for number, change in enumerate(result.versions.changes)
    ]
    return screens.render(
        request, "orders.html", 422 if problem else 200, words=words, job=job, rows=rows[::-1],
        today=date.today().isoformat(), problem=problem,
    )  # fmt: skip


def _sign(job: JobFile, number: str, day: str) -> None:
    """Write the date of the client's signature. Raises FaultError, InputError, OSError."""
    orders = orders_of(job.kept().table)
    if not number.isdecimal() or not 1 <= int(number) <= len(orders):
        raise HTTPException(404)
    if not day:
        raise FaultError("", message("revise-no-day"))
    revise(job, [Edit("set", (AT, int(number) - 1, "signed"), day)])


def _paper(job: JobFile, number: int) -> bytes:
    _, estimate = standing(job)
    change = next((each for each in estimate.result.versions.changes if each.number == number), None)
    if change is None:
        raise HTTPException(404)
    return change_order(estimate.result, change)
