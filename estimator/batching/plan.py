"""Batches of every pour by mix, with the masses to weigh and the volume that may be left over."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from functools import cache

from estimator.batching.loading import DensityCheck, Load, Loading
from estimator.batching.placing import (
    WARM_C,
    PiecePlacing,
    mixing_advice,
    placed_c,
    placing_of,
    pot_life_s,
    retarded,
    worded,
)
from estimator.batching.rounds import (
    FILL_TOLERANCE,
    Cast,
    Filling,
    Layers,
    Making,
    Pour,
    Room,
    Round,
    Share,
    capacity_m3,
    fill,
    plan_pours,
    pour_list,
    round_of,
    rounds_of,
    shares_of,
    staffed,
)
from estimator.errors import Fault, InputError
from estimator.job import Job, Workshop
from estimator.mix import MixDesign
from estimator.notices import Notice
from estimator.takeoff import PieceTakeoff, Takeoff
from geometry.frozen import frozen
from geometry.message import Message, message

SHORT_TOLERANCE = 0.005  # warn of a batch that rounded masses make shorter by more than this share
OFF_TOLERANCE = 0.02  # warn of a material whose rounded mass is off by more than this share
ALIKE_TOLERANCE = 0.10  # warn of batches of one color group that differ by more than this share


@frozen
class Batch:
    """`count` equal batches of one mix for one pour. Every figure is for ONE batch.

    count  total over all days of the pour
    days   number of days of the pour
    """

    pour: str
    mix: str
    count: int
    volume_m3: float  # target, including the loss in bucket and mixer
    loose_m3: float  # loose volume of all materials
    mass_kg: float
    yield_m3: float  # of the masses rounded to the scale
    marks: tuple[str, ...]  # of the pieces it fills; a mark repeats for each of its pieces
    load: tuple[Load, ...]
    placing_s: float  # time for the crew to place it
    crew: int  # number of people that place it
    left_over_m3: float  # if none of the waste allowance is used
    coupons: int  # that can be cast from the leftover, at most one set
    samples: int  # boards that can be cast from the rest of the leftover
    place_within_s: float  # after first water: pot life at its temperature and with its retarder
    longest_wait_s: float | None  # of a layer cast from it until the next layer; None if there is no next layer
    check: DensityCheck | None  # None if it does not fill any container of the shop
    notes: tuple[Message | str, ...]  # advice from common practice
    days: int = 1

    @property
    def a_day(self) -> int:
        """Number of batches mixed per day."""
        return self.count // self.days


@frozen
class PourWork:
    """Work of mixer and crew for a pour on one day, one batch after the other.

    taken_s  from first water to the last layer placed: a batch starts once mixer and crew are free
    """

    crew: int
    mixing_s: float
    placing_s: float
    taken_s: float


@frozen
class _Settings:
    """Settings of a pour: capacities and times, and by mix the temperature and the time within which to place it."""

    making: Making
    mix_c: Mapping[str, float]
    within_s: Mapping[str, float]


@frozen
class Batching:
    pours: tuple[Pour, ...]
    work: tuple[PourWork, ...]  # by pour
    batches: tuple[Batch, ...]
    batch_m3: Mapping[str, float]  # by mix, of all batches
    placing: Mapping[str, PiecePlacing]  # by mark
    pot_life_s: float  # at the temperature of the mix
    warnings: tuple[Notice, ...]


def plan_batches(job: Job, takeoff: Takeoff, mixes: Mapping[str, MixDesign]) -> Batching:
    """Plan pours from forms, quantities and pour names, and the batches of each pour by mix.

    Raises InputError if the loss per batch alone fills the mixer, if a pot life is too short, or if no crew is large
    enough to place the next layer of a piece in time.
    """
    pours, bench = plan_pours(takeoff), _Bench(job, mixes)
    pieces = {taken.piece.mark: taken for taken in takeoff.pieces}
    batches: list[Batch] = []
    work: list[PourWork] = []
    warnings: list[Notice] = []
    faults: dict[str, Fault] = {}
    alike: dict[tuple[Cast, ...], _Day] = {}
    for pour in pours:
        day = alike.get(pour.casts)
        if day is None:
            layered = shares_of(pour, pieces, job)
            settings = _settings(layered, pieces, mixes, job)
            layered, hands, late = _staffed(layered, settings.making, job)
            faults |= late
            warnings += hands
            rounds, alone = _filled_rounds(layered, settings.making)
            fillings = [batch for casting_round in rounds for batch in casting_round.batches] + alone
            longest_s = _longest_waits(rounds)
            first = _counted(_batch(pour, filling, bench, settings, longest_s) for filling in fillings)
            day = alike[pour.casts] = _Day(settings, fillings, first, _work(first, rounds, job.workshop))
        settings, fillings = day.settings, day.fillings
        counted = day.batches_of(pour)
        for name, group in ((name, job.mixes[name].colour_group) for name in settings.making.rooms):
            of_mix = [batch for batch in counted if batch.mix == name]
            parts = [filling for filling in fillings if filling.mix == name and filling.parts > 1]
            warnings += [_split_warning(part, settings.within_s[name], job) for part in parts]
            if group:
                warnings += _color_warnings(of_mix, group, pour, job)
        for batch in counted:
            warnings += _warnings(batch, pour, job)
        batches += counted
        work.append(day.work)
    if faults:
        raise InputError(list(faults.values()))
    warnings += _too_small(batches, pours, job)
    warnings += _day_warnings(pours, work, job.workshop)
    totals = dict.fromkeys(dict.fromkeys(batch.mix for batch in batches), 0.0)
    for batch in batches:
        totals[batch.mix] += batch.count * batch.volume_m3
    return Batching(
        pours=pours,
        work=tuple(work),
        batches=tuple(batches),
        batch_m3=totals,
        placing=_placings(takeoff, job),
        pot_life_s=pot_life_s(job.workshop, job.workshop.curing.mix_temperature_c),
        warnings=tuple(dict.fromkeys(warnings)),
    )


@frozen
class _Day:
    """Plan of one day of casting, shared by all pours of the same pieces."""

    settings: _Settings
    fillings: list[Filling]
    batches: Sequence[Batch]
    work: PourWork

    def batches_of(self, pour: Pour) -> list[Batch]:
        """Batches of a pour of these pieces, over all of its days."""
        return [
            batch
            if (pour.name, pour.days) == (batch.pour, batch.days)
            else replace(batch, pour=pour.name, count=batch.count * pour.days, days=pour.days)
            for batch in self.batches
        ]


def _placings(takeoff: Takeoff, job: Job) -> dict[str, PiecePlacing]:
    """Build-up of each piece by mark; equal build-ups share one object."""
    alike: dict[object, PiecePlacing] = {}
    placings = {}
    for taken in takeoff.pieces:
        piece = taken.piece
        build_up = piece.layers, piece.shape.cast_thickness_m, placed_c(taken, job)
        if build_up not in alike:
            alike[build_up] = placing_of(taken, job)
        placings[piece.mark] = alike[build_up]
    return placings


def _loss_m3(mix: MixDesign, workshop: Workshop) -> float:
    return workshop.loss_per_batch_kg / mix.fresh_density_kg_m3


def _settings(
    layered: Sequence[Layers], pieces: Mapping[str, PieceTakeoff], mixes: Mapping[str, MixDesign], job: Job
) -> _Settings:
    """Temperature, time and capacity of every mix of a pour. Raises InputError if a batch has no capacity or time."""
    shop = job.workshop
    lead_s = shop.mixing.batch_time_s + shop.mixing.carry_time_s
    marks: dict[str, set[str]] = {}
    for layers in layered:
        for share in layers:
            marks.setdefault(share.mix, set()).add(share.mark)
    mix_c = {name: max(placed_c(pieces[mark], job) for mark in of) for name, of in marks.items()}
    within_s, rooms = {}, {}
    for name, at_c in mix_c.items():
        within_s[name] = pot_life_s(job.workshop, at_c, retarded=retarded(job.mixes[name], job.materials))
        room = Room(
            capacity_m3(mixes[name], job.workshop) - _loss_m3(mixes[name], job.workshop), within_s[name] - lead_s
        )
        if room.volume_m3 <= 0.0:
            full = message("loss-fills-mixer", mix_name=job.mixes[name].label)
            raise InputError([Fault(job.file, "workshop.loss_per_batch", full)])
        if room.placing_s <= 0.0:
            short = message(
                "pot-life-too-short", mix_name=job.mixes[name].label, within_s=within_s[name], lead_s=lead_s
            )
            raise InputError([Fault(job.file, "workshop.pot_life", short)])
        rooms[name] = room
    alike = frozenset(name for name in rooms if job.mixes[name].colour_group)
    return _Settings(Making(rooms, alike, lead_s), mix_c, within_s)


def _filled_rounds(layered: Sequence[Layers], making: Making) -> tuple[list[Round], list[Filling]]:
    """Rounds of the pieces with several layers, and batches of the other pieces.

    A piece with one layer may fill up the last batch of a round, since no layer waits for a later batch.
    """
    rounds = rounds_of([layers for layers in layered if len(layers) > 1], making)
    by_mix: dict[str, list[Share]] = {}
    for layers in layered:
        if len(layers) == 1:
            by_mix.setdefault(layers[0].mix, []).append(layers[0])
    alone: list[Filling] = []
    for mix, shares in by_mix.items():
        alike = mix in making.alike
        open_rounds = (
            [] if alike else [i for i, casting_round in enumerate(rounds) if casting_round.batches[-1].mix == mix]
        )
        begun = [rounds[i].batches[-1] for i in open_rounds]
        filled = fill(shares, making.rooms[mix], alike=alike, begun=begun)
        for i, batch in zip(open_rounds, filled, strict=False):
            rounds[i] = replace(rounds[i], batches=(*rounds[i].batches[:-1], batch))
        alone += filled[len(begun) :]
    return rounds, alone


def _longest_waits(rounds: Iterable[Round]) -> dict[tuple[int, int], float]:
    """Time that a layer waits for the next one, s, by (piece, layer)."""
    return {
        (wait.below.piece, wait.below.layer): wait.wait_s for casting_round in rounds for wait in casting_round.waits
    }


def _staffed(
    layered: Sequence[Layers], making: Making, job: Job
) -> tuple[list[Layers], list[Notice], dict[str, Fault]]:
    """The pieces with crews that can cover each layer while it is fresh; notices of larger crews; faults by mark.

    A piece that no allowed crew can cast in time is a fault. It keeps the usual crew, so that the others are checked.
    """
    usual, most = int(job.workshop.placing.crew), int(job.workshop.placing.crew_most)
    by_mark: dict[str, tuple[float, int] | None] = {}
    staffed_layers: list[Layers] = []
    notices: list[Notice] = []
    faults: dict[str, Fault] = {}
    for layers in layered:
        mark = layers[0].mark
        if len(layers) > 1 and mark not in by_mark:
            with_crew = staffed(layers, making, most)
            by_mark[mark] = None
            if with_crew is None:
                faults[mark] = _late_fault(layers, making, most, job)
            elif with_crew[0].crew > usual:
                crew = with_crew[0].crew
                by_mark[mark] = (usual / crew, crew)
                why = _why_late(round_of([layers], making), job)
                plan = message("warning-more-hands", mark=mark, why=why, crew=crew, usual=usual)
                notices.append(Notice("more-hands", plan))
        more = by_mark.get(mark)
        if more is None:
            staffed_layers.append(layers)
        else:
            staffed_layers.append(
                tuple(replace(layer, placing_s=layer.placing_s * more[0], crew=more[1]) for layer in layers)
            )
    return staffed_layers, notices, faults


def _late_fault(layers: Layers, making: Making, most: int, job: Job) -> Fault:
    late = message("too-few-hands", why=_why_late(round_of([layers], making), job), most=most)
    return Fault(job.file, f"piece {layers[0].mark}", late)


def _why_late(late: Round, job: Job) -> Message:
    """Why a piece cannot be cast with the usual crew."""
    face = late.batches[0]
    if face.parts > 1:
        return message("late-in-parts", mix_name=job.mixes[face.mix].label, batches=face.parts)
    wait = max((wait for wait in late.waits if not wait.keeps), key=lambda wait: wait.wait_s)
    mix_name = job.mixes[wait.below.mix].label
    return message("late-next-layer", mix_name=mix_name, wait_s=wait.wait_s, most_s=wait.most_s)


class _Bench:
    """Loading and mixing advice of the mixes of a job, cached for all batches."""

    def __init__(self, job: Job, designs: Mapping[str, MixDesign]) -> None:
        self.shop, self.designs = job.workshop, designs
        self.loading = cache(lambda name: Loading.of(designs[name], job))
        self.notes = cache(
            lambda name, mix_c, left_over, is_face: worded(
                mixing_advice(job.mixes[name], job.materials, mix_c, WARM_C, left_over=left_over, is_face=is_face),
                job.workshop,
            )
        )


def _batch(
    pour: Pour, filling: Filling, bench: _Bench, settings: _Settings, longest_s: Mapping[tuple[int, int], float]
) -> Batch:
    shop, mix, loading = bench.shop, bench.designs[filling.mix], bench.loading(filling.mix)
    waits_s = [wait_s for share in filling.shares if (wait_s := longest_s.get((share.piece, share.layer))) is not None]
    volume_m3 = filling.volume_m3 + _loss_m3(mix, shop)
    load = loading.load(volume_m3)
    yield_m3 = loading.yield_m3(load)
    left_m3 = sum(share.waste_m3 for share in filling.shares) / filling.parts + max(0.0, yield_m3 - volume_m3)
    coupon_m3 = shop.forms.coupon_length_m * shop.forms.coupon_width_m * shop.forms.coupon_thickness_m
    coupons = min(int(shop.forms.coupons), int(left_m3 / coupon_m3))
    board_m3 = shop.forms.sample_side_m**2 * shop.forms.sample_thickness_m
    return Batch(
        pour=pour.name,
        mix=mix.name,
        count=filling.parts,
        volume_m3=volume_m3,
        loose_m3=volume_m3 * loading.loose_m3_per_m3,
        mass_kg=volume_m3 * mix.fresh_density_kg_m3,
        yield_m3=yield_m3,
        marks=tuple(sorted(share.mark for share in filling.shares)),
        load=load,
        placing_s=filling.placing_s,
        crew=max(share.crew for share in filling.shares),
        left_over_m3=left_m3,
        coupons=coupons,
        samples=int((left_m3 - coupons * coupon_m3) / board_m3),
        place_within_s=settings.within_s[mix.name],
        longest_wait_s=max(waits_s, default=None),
        check=loading.check(yield_m3),
        notes=bench.notes(mix.name, settings.mix_c[mix.name], coupons > 0, bool(waits_s)),
    )


def _work(batches: Sequence[Batch], rounds: Sequence[Round], workshop: Workshop) -> PourWork:
    """Work of mixer and crew for the batches of one pour in sequence, including waits for a face to stiffen."""
    shop = workshop
    count = sum(batch.count for batch in batches)
    lead_s = shop.mixing.batch_time_s + shop.mixing.carry_time_s
    placing_s = sum(batch.count * batch.placing_s for batch in batches)
    return PourWork(
        crew=max((batch.crew for batch in batches), default=int(shop.placing.crew)),
        mixing_s=count * shop.mixing.batch_time_s,
        placing_s=placing_s,
        taken_s=count * lead_s + placing_s + sum(casting_round.idle_s for casting_round in rounds),
    )


def _day_warnings(pours: Iterable[Pour], work: Iterable[PourWork], workshop: Workshop) -> list[Notice]:
    """Notices of pours that take longer than a working day."""
    day_s = workshop.calendar.hours_per_day_s
    notices = []
    for pour, pour_work in zip(pours, work, strict=True):
        if pour_work.taken_s > day_s * (1.0 + FILL_TOLERANCE):
            full = message(
                "warning-day-too-full",
                pour=pour.label,
                crew=pour_work.crew,
                taken_s=pour_work.taken_s,
                day_s=day_s,
            )
            notices.append(Notice("day-too-full", full))
    return notices


def _counted(batches: Iterable[Batch]) -> list[Batch]:
    """Merge batches that fill the same marks with the same volume, adding up their counts."""
    lines: dict[tuple[str, tuple[str, ...], int, bool], Batch] = {}
    for batch in batches:
        key = (batch.mix, batch.marks, round(batch.volume_m3 * 1e12), batch.longest_wait_s is None)
        same = lines.get(key)
        if same is None:
            lines[key] = batch
        else:
            waits_s = [wait_s for wait_s in (same.longest_wait_s, batch.longest_wait_s) if wait_s is not None]
            lines[key] = replace(same, count=same.count + batch.count, longest_wait_s=max(waits_s, default=None))
    return list(lines.values())


def _split_warning(filling: Filling, life_s: float, job: Job) -> Notice:
    mark, mix_name = filling.shares[0].mark, job.mixes[filling.mix].label
    split = message("warning-piece-split", mark=mark, batches=filling.parts, mix_name=mix_name, within_s=life_s)
    return Notice("piece-split", split)


def _color_warnings(batches: list[Batch], group: str, pour: Pour, job: Job) -> list[Notice]:
    sizes = [batch.volume_m3 for batch in batches]
    if max(sizes) <= min(sizes) * (1.0 + ALIKE_TOLERANCE):
        return []
    differ = message(
        "warning-batch-sizes-differ",
        group=group,
        mix_name=job.mixes[batches[0].mix].label,
        pour=pour.label,
        difference_share=max(sizes) / min(sizes) - 1.0,
    )
    return [Notice("batch-sizes-differ", differ)]


def _warnings(batch: Batch, pour: Pour, job: Job) -> list[Notice]:
    notices = []
    mix_name = job.mixes[batch.mix].label
    short = 1.0 - batch.yield_m3 / batch.volume_m3
    if short > SHORT_TOLERANCE:
        text = message("warning-batch-short", pour=pour.label, mix_name=mix_name, short_share=short)
        notices.append(Notice("batch-short", text))
    for line in batch.load:
        if abs(line.deviation) > OFF_TOLERANCE:
            text = message(
                "warning-scale-too-coarse",
                pour=pour.label,
                mix_name=mix_name,
                material_name=job.materials[line.material].label,
                off_share=abs(line.deviation),
            )
            notices.append(Notice("scale-too-coarse", text))
    return notices


def is_too_small(batch: Batch, workshop: Workshop) -> bool:
    """Whether a batch is too small for the mixer to mix."""
    return batch.loose_m3 < workshop.mixing.small_batch * workshop.mixer.volume_m3


def _too_small(batches: Iterable[Batch], pours: Iterable[Pour], job: Job) -> list[Notice]:
    """Notices of batches that are too small for the mixer, one per mix."""
    small: dict[str, list[Batch]] = {}
    for batch in batches:
        if is_too_small(batch, job.workshop):
            small.setdefault(batch.mix, []).append(batch)
    by_name = {pour.name: pour for pour in pours}
    notices = []
    for mix, of_mix in small.items():
        text = message(
            "warning-batch-too-small",
            batches=sum(batch.count for batch in of_mix),
            mix_name=job.mixes[mix].label,
            least_fill_share=job.workshop.mixing.small_batch,
            smallest_kg=min(batch.mass_kg for batch in of_mix),
            pours=pour_list([by_name[name] for name in dict.fromkeys(batch.pour for batch in of_mix)]),
        )
        notices.append(Notice("batch-too-small", text))
    return notices
