"""Mixer screen on a phone: the batches of each pour, what is weighed into them, and the clock from the first water.

The phone keeps every entry until the server confirms it, and sends it again until then. Entries are records of the job
like any other: "weighing", "loaded", "rescale", and the "batch" and "bucket" that `history` and `mix calibrate` read.
Nothing is deleted: an "undo" names the entry that no longer counts. An entry is stored under the person who sends it;
one that waited on the phone while somebody else signed in there also names both, as who tapped it is the phone's word.
"""

from __future__ import annotations

import json
import re
from asyncio import Future, Task, create_task, get_running_loop
from collections import Counter
from collections.abc import Mapping, Sequence
from datetime import date, datetime
from gzip import compress
from typing import Any

from anyio import CapacityLimiter, to_thread
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from estimator.batching import Batch, Load, to_scale
from estimator.batching.loading import DensityCheck
from estimator.disk import digest
from estimator.estimate import Estimate
from estimator.job import Scale
from estimator.page.doors import tell_name
from estimator.page.screen import Screens, sent_json, standing
from estimator.page.shelf import JobFile
from estimator.records import Record
from estimator.report.papers.batch_sheets import fills, measured, role_of, scale_name
from estimator.store.database import Store
from estimator.store.people import MOST_NAME, who
from estimator.store.records import Lot, entries_after, keep_all
from estimator.words import SCALE_UNITS, Words, crew_words_for, scale_unit
from geometry.files import read_bytes

ID = re.compile(r"[0-9a-f]{32}")
MOST_ENTRIES, MOST_TEXT, MOST_DIGITS, MOST_PURPOSE = 500, 120, 16, 100
PACKED = 50_000  # bytes
MOST_PLAN = 16_000  # of JSON
NUMBER, TEXT, PLAN = (int, float), str, list
KINDS: Mapping[str, Mapping[str, type | tuple[type, ...]]] = {
    "weighing": {"batch": TEXT, "step": int, "material": TEXT, "mass_kg": NUMBER, "target_kg": NUMBER, "lot": TEXT},
    "begun": {"batch": TEXT, "plan": PLAN},
    "sack": {"batch": TEXT, "step": int, "material": TEXT, "mass_kg": NUMBER, "lot": TEXT},
    "loaded": {"batch": TEXT, "stage": int},
    "rescale": {"batch": TEXT, "factor": NUMBER, "short_m3": NUMBER},
    "batch": {"batch": TEXT, "mix": TEXT, "pour": TEXT, "designed_m3": NUMBER, "masses_kg": dict},
    "bucket": {"batch": TEXT, "mix": TEXT, "container_m3": NUMBER, "gross_kg": NUMBER, "tare_kg": NUMBER},
    "thrown": {"batch": TEXT, "mix": TEXT, "masses_kg": dict},
    "undo": {"batch": TEXT, "entry": TEXT},
}
"""Kinds of entry sent by a phone, and their values. `target_kg` is what the screen asked for; `plan` the batch with all
that its screens show, as it was when it was begun; `mass_kg` of a sack what stood on the scale when it ran out."""

OPTIONAL = {"lot", "target_kg"}
WORDS = (
    "mixer-batches", "mixer-of", "mixer-start", "mixer-continue", "mixer-weighing", "mixer-mixing", "mixer-done",
    "mixer-offline", "mixer-refused", "mixer-changed", "mixer-sign-in", "mixer-for", "mixer-material", "mixer-lot",
    "mixer-weighed-on", "mixer-next", "mixer-weighed", "mixer-measured", "mixer-sack", "mixer-level", "mixer-or",
    "mixer-on-scale", "mixer-shrinks", "mixer-pour-back", "mixer-was", "mixer-now", "mixer-still", "mixer-short",
    "mixer-rescale", "mixer-another-sack", "mixer-too-late", "mixer-since-water", "mixer-left",
    "mixer-over", "mixer-late", "mixer-is-in", "mixer-used", "mixer-density", "mixer-fill",
    "mixer-in-range", "mixer-too-heavy", "mixer-too-light", "mixer-keep", "mixer-all-done", "mixer-number",
    "mixer-no-room", "mixer-less", "mixer-more", "mixer-back", "mixer-water-used", "mixer-undo", "mixer-other",
    "mixer-throw", "mixer-no-job", "mixer-turned-away", "mixer-gone", "mixer-gone-why", "mixer-other-size",
    "mixer-begun", "mixer-so-far", "mixer-new-lot", "mixer-whole", "mixer-on-scale-now",
)  # fmt: skip
"""Texts of the screen. A value that only the phone knows appears in them as `%name`."""

_saving = CapacityLimiter(1)  # separate, so that load on other screens does not delay entries
_looking = CapacityLimiter(2)


def routes(screens: Screens) -> list[Route]:
    """Routes of the mixer screen of a job, and of the entries that it sends."""
    saver = Saver(screens.store)

    async def mixer(request: Request) -> Response:
        job = screens.job(request)
        shown = await to_thread.run_sync(_screen, job, screens.store)
        answer = packed(request, screens.render(request, "mixer.html", job=job, **shown))
        tell_name(request, answer, who.get())
        return answer

    async def entries(request: Request) -> Response:
        job = screens.job(request)
        if request.method == "GET":
            after = request.query_params.get("after", "0")
            seen = int(after) if after.isascii() and after.isdecimal() and len(after) < MOST_DIGITS else 0
            found = await to_thread.run_sync(_kept_entries, job, screens.store, seen, limiter=_looking)
            return packed(request, JSONResponse(found | {"digest": digest(read_bytes(job.path))}))
        raw = await sent_json(request)
        if not isinstance(raw, list) or len(raw) > MOST_ENTRIES:
            raise HTTPException(400)
        good = {id: record for id, record in (_entry(entry, who.get()) for entry in raw) if record is not None}
        await saver.keep(Lot(job.path, tuple(good.items()), who.get()))
        refused = [entry["id"] for entry in raw if isinstance(entry, dict) and entry.get("id") not in good]
        return JSONResponse({"kept": list(good), "refused": [id for id in refused if isinstance(id, str)]})

    return [
        Route("/mixer/{job}", mixer, name="mixer"),
        Route("/mixer/{job}/entries", entries, methods=["GET", "POST"], name="entries"),
    ]


def packed(request: Request, answer: Response) -> Response:
    """Answer as gzip where that spares a phone much: a day's screen and its entries, which hold no secret."""
    if len(answer.body) >= PACKED and "gzip" in request.headers.get("accept-encoding", ""):
        answer.body = compress(answer.body, 5, mtime=0)
        answer.headers.update({"content-encoding": "gzip", "content-length": str(len(answer.body))})
    return answer


class Saver:
    """Stores what phones send. What arrives while one lot is written goes with the next, so no phone waits long."""

    def __init__(self, store: Store) -> None:
        self.store = store
        self._waiting: list[tuple[Lot, Future[None]]] = []
        self._writing: Task[None] | None = None

    async def keep(self, lot: Lot) -> None:
        """Store a lot; returns once it is on the disk. Raises what the store raises."""
        done = get_running_loop().create_future()
        self._waiting.append((lot, done))
        if self._writing is None or self._writing.done():
            self._writing = create_task(self._write())
        await done

    async def _write(self) -> None:
        while self._waiting:
            lots, self._waiting = self._waiting, []
            if not await self._written(lots) and len(lots) > 1:
                for lot in lots:
                    await self._written([lot])

    async def _written(self, lots: list[tuple[Lot, Future[None]]]) -> bool:
        """Store lots in one transaction; whether it succeeded. The error of a single lot goes to its sender."""
        try:
            await to_thread.run_sync(keep_all, self.store, [lot for lot, _ in lots], limiter=_saving)
        except Exception as error:  # whatever the database says, to whoever waits for it
            if len(lots) == 1 and not lots[0][1].done():
                lots[0][1].set_exception(error)
            return False
        for _, done in lots:
            if not done.done():  # as it is where its phone hung up
                done.set_result(None)
        return True


def _entry(raw: Any, sender: str) -> tuple[str, Record | None]:
    """Id and record of an entry sent by a phone; None as the record if it is malformed.

    sender  name of the person who is signed in
    """
    if not isinstance(raw, dict) or not isinstance(raw.get("id"), str) or not ID.fullmatch(raw["id"]):
        return "", None
    kind, values, at = raw.get("kind"), raw.get("values"), raw.get("at")
    spec = KINDS.get(kind) if isinstance(kind, str) else None
    if spec is None or not isinstance(values, dict) or not isinstance(at, str) or not _is_time(at):
        return raw["id"], None
    if not set(values) <= set(spec) or not set(spec) - OPTIONAL <= set(values):
        return raw["id"], None
    if not all(_is(values[name], spec[name]) for name in values):
        return raw["id"], None
    tapped = raw.get("by", sender)  # a phone with an older script names nobody
    if not isinstance(tapped, str) or len(tapped) > MOST_NAME:
        return raw["id"], None
    marks = {} if tapped == sender else {"tapped_by": tapped, "sent_by": sender}
    return raw["id"], Record(str(kind), at, {**values, **marks})


def _is(value: Any, kind: type | tuple[type, ...]) -> bool:
    if isinstance(value, bool):
        return False
    if kind is PLAN:
        return isinstance(value, dict) and len(json.dumps(value)) <= MOST_PLAN
    if isinstance(value, dict):
        return kind is dict and len(value) < 50 and all(_is(k, TEXT) and _is(v, NUMBER) for k, v in value.items())
    if isinstance(value, str):
        return kind is TEXT and len(value) <= MOST_TEXT
    return isinstance(value, int | float) and isinstance(value, kind) and 0 <= value < 1e6


def _is_time(text: str) -> bool:
    try:
        return datetime.fromisoformat(text).tzinfo is not None and len(text) <= 40
    except ValueError:
        return False


def _kept_entries(job: JobFile, store: Store, after: int = 0) -> dict[str, Any]:
    """Entries of a job that arrived after a number, and the newest number. A shift has thousands, of which a phone has
    all but the last few."""
    number, found = entries_after(store, job.path, after)
    entries = [
        {"id": id, "kind": record.kind, "at": record.at, "values": dict(record.values)}
        for id, record in found
        if record.kind in KINDS and "batch" in record.values
    ]
    return {"entries": entries, "number": number}


def _screen(job: JobFile, store: Store) -> dict[str, Any]:
    kept, estimate = standing(job)
    result = estimate.result
    words = crew_words_for(result.job)
    forms, pours = _compact(_pours(result, words))
    group, decimal = words.number_signs
    today = date.today().isoformat()
    return {
        "words": words,
        "data": {
            "job": job.name,
            "digest": kept.digest,
            "forms": forms,
            "pours": pours,
            "pour": next((pour["name"] for pour in pours if pour["date"] == today), None),
            **_kept_entries(job, store),
            "words": {id: words(id, **{name: f"%{name}" for name in VALUES}) for id in WORDS},
            "group": group,
            "decimal": decimal,
            "percent": words.share(0.01),
            "volume": {"unit": words.volume(1.0).rpartition("\N{NO-BREAK SPACE}")[2].rpartition(" ")[2],
                       "per_m3": 35.3146667 if words.units == "imperial" else 1000.0},
            "language": words.language,
        },
    }  # fmt: skip


VALUES = (
    "count", "total", "pieces", "number", "name", "step", "amount", "share", "minutes", "left", "time", "measure",
    "was", "now",
)  # fmt: skip


def _pours(result: Estimate, words: Words) -> list[dict[str, Any]]:
    days = {step.pour: step.first_day for step in reversed(result.calendar.steps) if step.name == "pour"}
    pours, numbers = [], Counter[str]()
    for pour in result.batching.pours:
        batches = []
        for place, batch in enumerate(result.batching.batches, start=1):
            if batch.pour == pour.name:
                purpose = _purpose(batch)
                for part in range(1, batch.count + 1):
                    numbers[purpose] += 1
                    key = f"{purpose}, {numbers[purpose]}"
                    batches.append({"key": key, "was": f"{place}-{part}"} | _batch(part, batch, result, words))
        day = result.calendar.date_of(days[pour.name]) if pour.name in days else None
        label = words.text(pour.label)
        pours.append({"name": pour.name, "label": label, "date": day, "day": words.day(day) if day else "",
                      "batches": batches})  # fmt: skip
    return pours


def _compact(pours: list[dict[str, Any]]) -> tuple[list[dict[str, Any]], list[dict[str, Any]]]:
    """What batches have in common, said once, and the pours, each batch with its own figures. `batchOf` in the script
    puts them together. A job of 400 marks has 900 batches; a phone needs all of them where it has no network."""
    forms: dict[str, int] = {}
    for batch in (batch for pour in pours for batch in pour["batches"]):
        steps = batch["steps"]
        own = {"kg": [step.pop("mass_kg") for step in steps]}
        own["loose"] = [step["loose"] and step["loose"].pop("amount") for step in steps]
        form = {
            name: batch.pop(name)
            for name in ("role", "mix", "mix_name", "pour", "within_s", "steps", "stages", "check")
        }
        batch |= own | {"form": forms.setdefault(json.dumps(form), len(forms))}
    return [json.loads(form) for form in forms], pours


def _purpose(batch: Batch) -> str:
    """What a batch is known by, with its number among those alike: its mix and its pieces. Its place in the plan, and
    the number of its pour, are another's once the job changes."""
    purpose = f"{batch.mix}, {fills(batch)}".replace("\N{NO-BREAK SPACE}", " ")
    return (
        purpose if len(purpose) <= MOST_PURPOSE else f"{purpose[: MOST_PURPOSE - 10]}… {digest(purpose.encode())[:8]}"
    )


def _batch(part: int, batch: Batch, result: Estimate, words: Words) -> dict[str, Any]:
    return {
        "role": words(f"batch-role-{role_of(batch, result)}"),
        "mix": batch.mix,
        "mix_name": words.name(result.job.mixes[batch.mix]),
        "pour": batch.pour,
        "pieces": fills(batch),
        "part": words("mixer-part", number=part, total=batch.count) if batch.count > 1 else "",
        "mass": words.mass(batch.mass_kg),
        "volume_m3": batch.volume_m3,
        "within_s": batch.place_within_s,
        "placing_s": batch.placing_s,
        "steps": [_step(load, batch, result, words) for load in batch.load],
        "stages": _stages(batch, result, words),
        "check": None if batch.check is None else _check(batch.check, result.job.workshop.scales, words),
    }


def _step(load: Load, batch: Batch, result: Estimate, words: Words) -> dict[str, Any]:
    """Values of one weighing step, in the unit of its scale."""
    line = measured(load, batch, result, words)
    unit = scale_unit(load.scale_step_kg) or words.mass_unit
    unit_kg = SCALE_UNITS[unit]
    shown = words.to_step(load.mass_kg, load.scale_step_kg)
    digits = shown.rpartition("\N{NO-BREAK SPACE}")[0] or shown.rpartition(" ")[0]
    _, decimal = words.number_signs
    places = len(digits.rpartition(decimal)[2]) if decimal in digits else 0
    loose = words.bucketful(load.volume_m3).replace("\N{NO-BREAK SPACE}", " ")
    amount, _, measure = loose.rpartition(" ")
    by_volume = result.job.materials[load.material].kind == "light-aggregate"
    return {
        "step": load.step,
        "material": load.material,
        "name": line.material,
        "mass_kg": load.mass_kg,
        "step_kg": load.scale_step_kg,
        "unit": unit,
        "unit_kg": unit_kg,
        "places": places,
        "scale": scale_name(load.scale_step_kg, result.job.workshop.scales, words),
        "loose": {"amount": float(amount.replace(decimal, ".")), "unit": measure} if by_volume else None,
        "water": result.job.materials[load.material].kind == "water",
        "lot": line.lot or "",
    }


def _stages(batch: Batch, result: Estimate, words: Words) -> list[dict[str, Any]]:
    """Stages of loading the mixer: water and fiber go in alone, everything else with its neighbors."""

    stages: list[dict[str, Any]] = []
    for load in batch.load:
        kind = result.job.materials[load.material].kind
        alone = kind in ("water", "fibre")
        if not stages or alone or stages[-1]["alone"]:
            stages.append({"stage": len(stages) + 1, "steps": [], "alone": alone, "water": kind == "water"})
        stages[-1]["steps"].append(load.step)
    names = {load.step: measured(load, batch, result, words).material for load in batch.load}
    for stage in stages:
        stage["name"] = words.series([names[step] for step in stage["steps"]])
    waters = [stage for stage in stages if stage["water"]]
    for stage in stages:
        stage["first_water"], stage["held"] = stage is waters[0] if waters else False, stage in waters[1:]
    return stages


def _check(check: DensityCheck, scales: Sequence[Scale], words: Words) -> dict[str, Any]:
    _, scale_step_kg = to_scale(check.expected_kg, scales)
    unit = scale_unit(scale_step_kg) or words.mass_unit
    return {
        "container_m3": check.measure_m3,
        "measure": words.measure(check.measure_m3),
        "tare_kg": check.tare_kg,
        "low_kg": check.low_kg,
        "high_kg": check.high_kg,
        "expected_kg": check.expected_kg,
        "low": words.checked_mass(check.low_kg, scale_step_kg),
        "high": words.checked_mass(check.high_kg, scale_step_kg),
        "unit": unit,
        "unit_kg": SCALE_UNITS[unit],
        "places": {"lb": 1, "kg": 2}.get(unit, 0),
        "step_kg": {"g": 10.0}.get(unit, 0.1) * SCALE_UNITS[unit],
        "heavy": words.text(check.when_heavy) if check.when_heavy else "",
        "light": words.text(check.when_light) if check.when_light else "",
        "notes": [
            *([words("check-people", people=check.people)] if check.people > 1 else []),
            *([words("check-indication")] if check.indication_only else []),
        ],
    }
