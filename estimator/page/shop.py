"""The file that the jobs of a shop share: settings, prices and mixes, edited like a job file and checked by every job.

A change is saved only if each job that uses the file still stands. A released job keeps what was agreed: the price that
the client accepted, and the mixes, which are written into its own file before they change here.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from estimator.disk import write_new
from estimator.errors import Fault, FaultError, InputError
from estimator.intake.documents import based, built_in_catalog, either_spelling, merge_catalogs
from estimator.intake.edit import Edit, edited
from estimator.page.orders import AGREED, amounts_of, is_released
from estimator.page.screen import Screens, problem_of
from estimator.page.shelf import JobFile, Kept, Shelf, catalog_paths, catalogs_of, sound, table_of
from estimator.page.undo import undo, undo_of
from estimator.words import PLAIN, Words
from geometry.files import read_bytes

NAME = "~shop"
"""Name of the shop's file in addresses, which no job has."""

HEAD = ("units", "language", "currency")
STAND_IN = b"""[job]
name = "stand-in"
mix = "backer-45"

[[piece]]
mark = "C1"
shape = { kind = "slab", length = "1 m", width = "0.5 m", thickness = "25 mm" }
"""
"""Job by which the shop's file is checked while no job uses it."""


class ShopFile(JobFile):
    """The file that jobs share."""

    is_shop = True

    def __init__(self, path: Path, shelf: Shelf) -> None:
        super().__init__(path, NAME, shelf.store)
        self.shelf = shelf

    def kept(self) -> Kept:
        """Current state: its data with the units, language and currency of the jobs, in which its screens speak."""
        content = read_bytes(self.path)
        if self._kept is None or self._kept.content != content:
            jobs = self.jobs() or self.shelf.jobs()
            own = jobs[0].table.get("job", {}) if jobs else {}
            head = {key: own[key] for key in HEAD if key in own} if isinstance(own, dict) else {}
            self._kept = Kept(content, {**table_of(content), "job": head}, None, ())
        return self._kept

    @property
    def table(self) -> dict[str, Any]:
        return self.kept().table

    @property
    def title(self) -> str:
        return PLAIN("shop-title")

    @property
    def words(self) -> Words:
        return self.kept().words

    def jobs(self) -> list[JobFile]:
        """Jobs that use the file."""
        return [job for job in self.shelf.jobs() if self.path in catalog_paths(job)]

    def _data(self, now: Kept) -> dict[str, Any]:
        return table_of(now.content)

    def _checked(self, content: bytes, now: Kept, table: dict[str, Any]) -> Kept:
        """State with a content, with the faults of all jobs that would not stand; else pins what released ones keep."""
        trial = self.path.with_name(f".trial-{self.path.name}")
        write_new(trial, content)
        faults, pinned = list[Fault](), list[tuple[JobFile, list[Edit]]]()
        try:
            faults += self._faults_of(STAND_IN, self.path.with_name(".job.toml"), [trial.name])
            for job in () if faults else self.jobs():
                kept = job.kept()
                if kept.faults:
                    continue  # it did not stand before
                pins = list(_kept_by_agreement(kept, table_of(now.content), table))
                names = [self._trial_name(job, name, trial) for name in catalogs_of(kept.table)]
                found = self._faults_of(edited(kept.content, pins), job.path, names, job)
                faults += [replace(fault, place=f"{job.title}: {fault.place}".rstrip(": ")) for fault in found]
                pinned += [(job, pins)] if pins else []
        finally:
            trial.unlink(missing_ok=True)
        if not faults:
            for job, pins in pinned:
                job.edit(pins)
        named = tuple(replace(fault, file=fault.file.replace(trial.name, self.path.name)) for fault in faults)
        return Kept(content, {**table, "job": now.table["job"]}, None, named)

    def _trial_name(self, job: JobFile, name: str, trial: Path) -> str:
        """Catalog of a job by its name, or the one that is tried in the place of this file."""
        path = job.path.parent / name
        return Path(name).with_name(trial.name).as_posix() if path.resolve() == self.path else name

    def _faults_of(
        self, content: bytes, path: Path, catalogs: Sequence[str], like: JobFile | None = None
    ) -> Sequence[Fault]:
        try:
            sound(edited(content, [Edit("set", ("job", "catalog"), list(catalogs))]), path, like, catalogs)
        except InputError as error:
            return error.faults
        return ()


def _kept_by_agreement(kept: Kept, before: dict[str, Any], after: dict[str, Any]) -> Iterator[Edit]:
    """Yield edits of a released job that hold what was agreed while the shop's file changes.

    before, after   data of the shop's file
    """
    if not is_released(kept.table) or kept.estimate is None:
        return
    result, units = kept.estimate.result, kept.words.units
    if AGREED not in kept.table.get("price", {}) and before.get("price") != after.get("price"):
        yield Edit("set", ("price", AGREED), amounts_of(result.standing))
    own = kept.table.get("mixes", {})
    mixes = [
        merge_catalogs(built_in_catalog(units), either_spelling(table, "")).get("mixes", {})
        for table in (before, after)
    ]
    used = dict.fromkeys(layer.mix for piece in result.pieces for layer in piece.taken.piece.layers)
    for name in used:
        if name in own:
            continue
        was, becomes = (based(name, {}, known, "", []) for known in mixes)
        if was != becomes and was is not None:
            yield Edit("set", ("mixes", name), was)


def shop_of(shelf: Shelf) -> ShopFile:
    """The shop's file, which its jobs share. Raises KeyError where the shop has not started one."""
    path = shelf.shop_path()
    if not path.is_file():
        raise KeyError(path)
    if shelf.shop is None or shelf.shop.path != path:
        shelf.shop = ShopFile(path, shelf)
    assert isinstance(shelf.shop, ShopFile)
    return shelf.shop


def routes(screens: Screens) -> list[Route]:
    """Routes of the screen of the shop's file: who uses it, starting it, using it in a job, and undo."""
    screens.others[NAME] = lambda: shop_of(screens.shelf)

    async def shown(request: Request) -> Response:
        return await run_in_threadpool(_screen, screens, request, "")

    async def acted(request: Request) -> Response:
        async with request.form() as sent:
            act, name, shown = (str(sent.get(key, "")) for key in ("act", "job", "digest"))
        try:
            await run_in_threadpool(_act, screens.shelf, act, name, shown or None)
        except KeyError:
            raise HTTPException(404) from None
        except (FaultError, InputError, OSError) as error:
            problem = problem_of(error, PLAIN)
            return await run_in_threadpool(_screen, screens, request, problem)
        return RedirectResponse("/shop", 303)

    return [Route("/shop", shown, name="shop"), Route("/shop", acted, methods=["POST"])]


def _act(shelf: Shelf, act: str, name: str, shown: str | None) -> None:
    """Start the shop's file, use it in a job, or undo its last change.

    shown  as in `undo`

    Raises KeyError, FaultError, InputError, OSError.
    """
    if act == "start":
        path = shelf.shop_path()
        if not path.exists():
            write_new(path, f"# {PLAIN('shop-head')}\n".encode())
    elif act == "undo":
        undo(shop_of(shelf), shown)
    elif act == "use":
        job, shop = shelf.job(name), shop_of(shelf)
        if is_released(job.table):
            raise KeyError(name)
        known = catalogs_of(job.table)
        new = shelf.shop_seen_from(job.path, shop.path)
        job.shared = (*job.shared, new)
        job.edit([Edit("set", ("job", "catalog"), [*known, new] if known else new)])
    else:
        raise KeyError(act)


def _screen(screens: Screens, request: Request, problem: str) -> Response:
    """Screen of the shop's file with the jobs that use it."""
    try:
        shop: ShopFile | None = shop_of(screens.shelf)
    except KeyError:
        shop = None
    users = shop.jobs() if shop is not None else []
    rows = [_row(job) for job in users]
    rest = [job for job in screens.shelf.jobs() if job not in users and not is_released(job.table)]
    others = [(job.name, job.title) for job in rest]
    return screens.render(
        request, "shop.html", 422 if problem else 200, shop=shop, rows=rows, others=others, problem=problem,
        undo=undo_of(shop, shop.kept()) if shop is not None else None,
        file=shop.path.relative_to(screens.shelf.folder).as_posix() if shop is not None else "",
    )  # fmt: skip


def _row(job: JobFile) -> dict[str, Any]:
    """A job that uses the shop's file, with its total and whether it is released."""
    kept = job.kept()
    total = kept.words.price(kept.estimate.result.cost.total) if kept.estimate is not None else ""
    problem = str(kept.faults[0]) if kept.faults else ""
    return {
        "name": job.name,
        "title": job.title,
        "total": total,
        "released": is_released(kept.table),
        "problem": problem,
    }


def note_of(shop: ShopFile, words: Words) -> tuple[str, str]:
    """Which jobs an entry of the shop's file changes, and which keep what was agreed; "" for none."""
    jobs = shop.jobs()
    names = {held: [job.title for job in jobs if is_released(job.table) is held] for held in (False, True)}
    changes = words("shop-changes", count=len(names[False]), names=words.series(names[False]))
    keeps = words("shop-keeps", count=len(names[True]), names=words.series(names[True])) if names[True] else ""
    return changes, keeps
