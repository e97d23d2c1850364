"""The batches of every pour, mix by mix, with what is weighed into each and what may be left over."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from functools import cache
from math import ceil

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
    round_of,
    rounds_of,
    shares_of,
    staffed,
)
from estimator.constants import HOUR_S
from estimator.errors import Fault, InputError
from estimator.job import Job, Workshop
from estimator.mix import MixDesign
from estimator.notices import Notice
from estimator.takeoff import PieceTakeoff, Takeoff
from geometry.frozen import frozen

SHORT_TOLERANCE = 0.005  # a batch shorter than this by its rounded masses is warned of
OFF_TOLERANCE = 0.02  # so is a material weighed worse than this by its scale
ALIKE_TOLERANCE = 0.10  # batches of one color group that differ by more


@frozen
class Batch:
    """`count` equal batches of one mix for one pour; every figure is of ONE of them."""

    pour: str
    mix: str
    count: int
    volume_m3: float  # wanted, loss in bucket and mixer in
    loose_m3: float  # loose volume of what goes into the vessel
    mass_kg: float
    yield_m3: float  # of the masses as weighed to the scale
    marks: tuple[str, ...]  # that it fills, a mark as often as it fills one of it
    load: tuple[Load, ...]
    placing_s: float  # the crew's time to place it
    crew: int  # that places it
    left_over_m3: float  # if none of the waste allowance is wasted
    coupons: int  # that the left over would fill, no more than a set
    samples: int  # boards that it would fill besides
    place_within_s: float  # from the first water: pot life at its own temperature, with its own retarder
    longest_wait_s: float | None  # that a layer placed of it waits for the next one; None where none comes
    check: DensityCheck | None  # None where it fills none of the workshop's measures
    notes: tuple[str, ...]  # what common practice has to say of it


@frozen
class PourWork:
    """What a pour takes of the mixer and of the crew, one batch after the other.

    taken_s  from the first water to the last layer placed: a batch starts once mixer and crew are free
    """

    crew: int
    mixing_s: float
    placing_s: float
    taken_s: float


@frozen
class _Settings:
    """How a pour is made: rooms and times, and by mix its temperature and the time within which it must be placed."""

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
    """Pours from forms, quantities and pour names; batches within each pour, mix by mix.

    Raises InputError where the loss per batch fills the mixer by itself.
    """
    pours, bench = plan_pours(takeoff), _Bench(job, mixes)
    pieces = {taken.piece.mark: taken for taken in takeoff.pieces}
    batches: list[Batch] = []
    work: list[PourWork] = []
    warnings: list[Notice] = []
    faults: dict[str, Fault] = {}
    for pour in pours:
        layered = shares_of(pour, pieces, job)
        settings = _settings(layered, pieces, mixes, job)
        layered, hands, late = _staffed(layered, settings.making, job)
        faults |= late
        warnings += hands
        rounds, alone = _filled_rounds(layered, settings.making)
        fillings = [batch for casting_round in rounds for batch in casting_round.batches] + alone
        longest_s = _longest_waits(rounds)
        counted = _counted(_batch(pour, filling, bench, settings, longest_s) for filling in fillings)
        for name, group in ((name, job.mixes[name].colour_group) for name in settings.making.rooms):
            of_mix = [batch for batch in counted if batch.mix == name]
            parts = [filling for filling in fillings if filling.mix == name and filling.parts > 1]
            warnings += [_split_warning(part, settings.within_s[name]) for part in parts]
            if group:
                warnings += _colour_warnings(of_mix, group)
        for batch in counted:
            warnings += _warnings(batch)
        batches += counted
        work.append(_work(counted, rounds, job.workshop))
    if faults:
        raise InputError(list(faults.values()))
    warnings += _too_small(batches, job.workshop)
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


def _placings(takeoff: Takeoff, job: Job) -> dict[str, PiecePlacing]:
    """The build-up of each piece by mark; like build-ups are one."""
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
    """Temperature, time and room of every mix of a pour. Raises InputError where a batch has no room or no time."""
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
            what = f"fills the whole mixer with mix {name}."
            raise InputError([Fault(job.file, "workshop.loss_per_batch", what, "Correct it, or the mixer.")])
        if room.placing_s <= 0.0:
            what = (
                f"mix {name} must be placed {within_s[name] / 60:.0f} min after first water, and mixing and carrying "
                f"alone take {lead_s / 60:.0f} min."
            )
            raise InputError([Fault(job.file, "workshop.pot_life", what, "Cool the mix, or time a retarder.")])
        rooms[name] = room
    alike = frozenset(name for name in rooms if job.mixes[name].colour_group)
    return _Settings(Making(rooms, alike, lead_s), mix_c, within_s)


def _filled_rounds(layered: Sequence[Layers], making: Making) -> tuple[list[Round], list[Filling]]:
    """The rounds of the pieces with several layers, and the batches of the others.

    A piece of one layer goes into the last batch of a round where that has room: nothing waits for it there.
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
    """How long a layer waits for the next one, by piece and layer."""
    return {
        (wait.below.piece, wait.below.layer): wait.wait_s for casting_round in rounds for wait in casting_round.waits
    }


def _staffed(
    layered: Sequence[Layers], making: Making, job: Job
) -> tuple[list[Layers], list[Notice], dict[str, Fault]]:
    """The pieces with the hands that cover each layer while it is fresh; what is told of more hands; what none can do.

    The faults are by mark. A piece at fault keeps the usual crew, so that the others are looked at too.
    """
    usual, most = int(job.workshop.placing.crew), int(job.workshop.placing.crew_most)
    by_mark: dict[str, tuple[float, int] | None] = {}
    staffed_layers: list[Layers] = []
    notices: list[Notice] = []
    faults: dict[str, Fault] = {}
    for layers in layered:
        mark = layers[0].mark
        if len(layers) > 1 and mark not in by_mark:
            with_hands = staffed(layers, making, most)
            by_mark[mark] = None
            if with_hands is None:
                faults[mark] = _late_fault(layers, making, most, job)
            elif with_hands[0].crew > usual:
                crew = with_hands[0].crew
                by_mark[mark] = (usual / crew, crew)
                notices.append(_more_hands(round_of([layers], making), mark, crew, usual))
        more = by_mark.get(mark)
        if more is None:
            staffed_layers.append(layers)
        else:
            staffed_layers.append(
                tuple(replace(layer, placing_s=layer.placing_s * more[0], crew=more[1]) for layer in layers)
            )
    return staffed_layers, notices, faults


def _more_hands(late: Round, mark: str, crew: int, usual: int) -> Notice:
    return Notice(
        "more-hands",
        f"{mark}: {_why_late(late)} Plan {crew} people to place it, not {usual}; or cool the mix, or time a retarder.",
    )


def _late_fault(layers: Layers, making: Making, most: int, job: Job) -> Fault:
    fix = (
        f"Even {most} people ([workshop.placing] crew_most) are too few: cool the mix, time a retarder, take a larger "
        "mixer, or cast it in parts."
    )
    return Fault(job.file, f"piece {layers[0].mark}", _why_late(round_of([layers], making)), fix)


def _why_late(late: Round) -> str:
    """Why a piece cannot be cast as it is."""
    face = late.batches[0]
    if face.parts > 1:
        return f"its {face.mix} takes {face.parts} batches, and a face placed in parts shows a line."
    wait = max((wait for wait in late.waits if not wait.keeps), key=lambda wait: wait.wait_s)
    return (
        f"its {wait.below.mix} waits {ceil(wait.wait_s / 60)} min for the next layer, mixing included, and may wait "
        f"{wait.most_s / 60:.0f} min."
    )


class _Bench:
    """The mixes of a job at its mixer: how each is loaded and what is said of mixing it, found once for all batches."""

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


def _work(mine: Sequence[Batch], rounds: Sequence[Round], workshop: Workshop) -> PourWork:
    """What the batches of one pour take, one after the other, with the times in which a face stiffens."""
    shop = workshop
    count = sum(batch.count for batch in mine)
    lead_s = shop.mixing.batch_time_s + shop.mixing.carry_time_s
    placing_s = sum(batch.count * batch.placing_s for batch in mine)
    return PourWork(
        crew=max((batch.crew for batch in mine), default=int(shop.placing.crew)),
        mixing_s=count * shop.mixing.batch_time_s,
        placing_s=placing_s,
        taken_s=count * lead_s + placing_s + sum(casting_round.idle_s for casting_round in rounds),
    )


def _day_warnings(pours: Iterable[Pour], work: Iterable[PourWork], workshop: Workshop) -> list[Notice]:
    """Pours that are more than the crew or the mixer manages in a day."""
    day_s = workshop.calendar.hours_per_day_s
    notices = []
    for pour, pour_work in zip(pours, work, strict=True):
        if pour_work.taken_s > day_s * (1.0 + FILL_TOLERANCE):
            text = (
                f"{pour.name}: {pour_work.taken_s / HOUR_S:.1f} h of mixing and placing for a crew of "
                f"{pour_work.crew}, in a day of {day_s / HOUR_S:g} h: name pours, or take more people or a larger "
                "mixer."
            )
            notices.append(Notice("day-too-full", text))
    return notices


def _counted(batches: Iterable[Batch]) -> list[Batch]:
    """Batches that fill the same marks with the same volume, as one line."""
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


def _split_warning(filling: Filling, life_s: float) -> Notice:
    return Notice(
        "piece-split",
        f"{filling.shares[0].mark} needs {filling.parts} batches of {filling.mix}: place each on the last while that "
        f"is still fresh, within {life_s / 60:.0f} min of its water.",
    )


def _colour_warnings(batches: list[Batch], group: str) -> list[Notice]:
    sizes = [batch.volume_m3 for batch in batches]
    if max(sizes) <= min(sizes) * (1.0 + ALIKE_TOLERANCE):
        return []
    text = (
        f"colour group {group}: batches of {batches[0].mix} for {batches[0].pour} differ in size by "
        f"{max(sizes) / min(sizes) - 1.0:.0%}; weigh pigment and water with extra care."
    )
    return [Notice("batch-sizes-differ", text)]


def _warnings(batch: Batch) -> list[Notice]:
    notices = []
    at = f"{batch.pour}, mix {batch.mix}"
    short = 1.0 - batch.yield_m3 / batch.volume_m3
    if short > SHORT_TOLERANCE:
        text = f"{at}: weighed to the scales a batch is {short:.1%} short; use a finer scale."
        notices.append(Notice("batch-short", text))
    for line in batch.load:
        if abs(line.deviation) > OFF_TOLERANCE:
            text = (
                f"{at}: {line.material} weighed to the scale is {line.deviation:+.1%} off; "
                "use a finer scale or a marked measure."
            )
            notices.append(Notice("scale-too-coarse", text))
    return notices


def _too_small(batches: Iterable[Batch], workshop: Workshop) -> list[Notice]:
    """Batches that the mixer does not mix, a line a mix."""
    least = workshop.mixing.small_batch
    small: dict[str, list[Batch]] = {}
    for batch in batches:
        if batch.loose_m3 < least * workshop.mixer.volume_m3:
            small.setdefault(batch.mix, []).append(batch)
    notices = []
    for mix, of_mix in small.items():
        count = sum(batch.count for batch in of_mix)
        share = min(batch.loose_m3 for batch in of_mix) / workshop.mixer.volume_m3
        pours = ", ".join(dict.fromkeys(batch.pour for batch in of_mix))
        text = (
            f"mix {mix}: {count} {'batch fills' if count == 1 else 'batches fill'} less than {least:.0%} of the mixer, "
            f"the smallest {share:.0%} ({pours}). Mix in a bucket with a drill, or combine pours."
        )
        notices.append(Notice("batch-too-small", text))
    return notices
