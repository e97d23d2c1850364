"""The batches of every pour, mix by mix, with what is weighed into each and what may be left over."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from estimator.batching.bucket import BucketCheck, bucket_check
from estimator.batching.filling import FILL_TOLERANCE, Filling, Room, capacity_m3, fill, shares_of
from estimator.batching.loading import Load, load_of, yield_of_load
from estimator.batching.placing import WARM_C, PiecePlacing, placing_of, pot_life_s
from estimator.batching.pours import Pour, plan_pours
from estimator.batching.practice import mixing_advice, retarded, worded
from estimator.errors import Fault, InputError
from estimator.job import Job, Workshop
from estimator.mix import MadeMix
from estimator.notices import Notice
from estimator.takeoff import PieceTakeoff, Takeoff

SHORT_TOLERANCE = 0.005  # a batch shorter than this by its rounded masses is warned of
OFF_TOLERANCE = 0.02  # so is a material weighed worse than this by its scale
ALIKE_TOLERANCE = 0.10  # and batches of one colour group that differ by more


@dataclass(frozen=True, slots=True)
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
    placing_s: float  # the crew's time to lay it
    left_over_m3: float  # if none of the waste allowance is wasted
    coupons: int  # that the left over would fill, no more than a set
    samples: int  # boards that it would fill besides
    place_within_s: float  # from the first water: pot life at its own temperature, with its own retarder
    notes: tuple[str, ...]  # what common practice has to say of it


@dataclass(frozen=True, slots=True)
class PourWork:
    """What a pour takes of the mixer and of the crew, which work side by side."""

    crew: int
    mixing_s: float
    placing_s: float


@dataclass(frozen=True, slots=True)
class Batching:
    pours: tuple[Pour, ...]
    work: tuple[PourWork, ...]  # by pour
    batches: tuple[Batch, ...]
    batch_m3: Mapping[str, float]  # by mix, of all batches
    placing: tuple[PiecePlacing, ...]  # by mark
    buckets: Mapping[str, BucketCheck]  # by mix
    pot_life_s: float  # at the temperature of the mix
    warnings: tuple[Notice, ...]


def plan_batches(job: Job, takeoff: Takeoff, mixes: Mapping[str, MadeMix]) -> Batching:
    """Pours from forms, quantities and pour names; batches within each pour, mix by mix.

    Raises InputError where the loss per batch fills the mixer by itself.
    """
    pours = plan_pours(takeoff)
    pieces = {taken.piece.mark: taken for taken in takeoff.pieces}
    life_s = pot_life_s(job.workshop, job.workshop.figures["curing.mix_temperature"])
    batches: list[Batch] = []
    warnings: list[Notice] = []
    for pour in pours:
        for name, shares in shares_of(pour, pieces, job.workshop).items():
            mix = mixes[name]
            mix_c = max(_placed_c(pieces[share.mark], job) for share in shares)
            within_s = pot_life_s(job.workshop, mix_c, retarded=retarded(job.mixes[name], job.materials))
            wait_s = job.workshop.figures["placing.face_wait_most"]
            room = Room(capacity_m3(mix, job.workshop) - _loss_m3(mix, job.workshop), within_s, wait_s)
            if room.volume_m3 <= 0.0:
                what = f"fills the whole mixer with mix {name}."
                raise InputError([Fault(job.file, "workshop.loss_per_batch", what, "Correct it, or the mixer.")])
            group = job.mixes[name].colour_group
            fillings = fill(shares, room, alike=bool(group))
            warnings += [_split_warning(each, name, within_s) for each in fillings if each.parts > 1]
            made = _counted(_batch(pour, mix, each, job, mix_c, within_s) for each in fillings)
            if group:
                warnings += _colour_warnings(made, group)
            for batch in made:
                warnings += _warnings(batch, job.workshop)
            batches += made
    by_pour: dict[str, list[Batch]] = {}
    for batch in batches:
        by_pour.setdefault(batch.pour, []).append(batch)
    work = tuple(_work(by_pour.get(pour.name, ()), job.workshop) for pour in pours)
    warnings += _day_warnings(pours, work, job.workshop)
    totals = dict.fromkeys(dict.fromkeys(batch.mix for batch in batches), 0.0)
    for batch in batches:
        totals[batch.mix] += batch.count * batch.volume_m3
    return Batching(
        pours=pours,
        work=work,
        batches=tuple(batches),
        batch_m3=totals,
        placing=tuple(placing_of(taken, job.mixes, job.workshop) for taken in takeoff.pieces),
        buckets={name: bucket_check(mix, job.workshop) for name, mix in mixes.items()},
        pot_life_s=life_s,
        warnings=tuple(dict.fromkeys(warnings)),
    )


def _loss_m3(mix: MadeMix, workshop: Workshop) -> float:
    return workshop.loss_per_batch_kg / mix.fresh_density_kg_m3


def _batch(pour: Pour, mix: MadeMix, filling: Filling, job: Job, mix_c: float, within_s: float) -> Batch:
    volume_m3 = filling.volume_m3 + _loss_m3(mix, job.workshop)
    load = load_of(mix, volume_m3, job)
    yield_m3 = yield_of_load(load, mix, volume_m3)
    left_m3 = sum(share.waste_m3 for share in filling.shares) / filling.parts + max(0.0, yield_m3 - volume_m3)
    figures = job.workshop.figures
    coupon_m3 = figures["forms.coupon_length"] * figures["forms.coupon_width"] * figures["forms.coupon_thickness"]
    coupons = min(int(figures["forms.coupons"]), int(left_m3 / coupon_m3))
    board_m3 = figures["forms.sample_side"] ** 2 * figures["forms.sample_thickness"]
    advice = mixing_advice(job.mixes[mix.name], job.materials, mix_c, WARM_C, left_over=coupons > 0)
    return Batch(
        pour=pour.name,
        mix=mix.name,
        count=filling.parts,
        volume_m3=volume_m3,
        loose_m3=volume_m3 * sum(mix.loose_m3_per_m3.values()),
        mass_kg=volume_m3 * mix.fresh_density_kg_m3,
        yield_m3=yield_m3,
        marks=tuple(sorted(share.mark for share in filling.shares)),
        load=load,
        placing_s=filling.placing_s,
        left_over_m3=left_m3,
        coupons=coupons,
        samples=int((left_m3 - coupons * coupon_m3) / board_m3),
        place_within_s=within_s,
        notes=worded(advice, job.workshop),
    )


def _placed_c(taken: PieceTakeoff, job: Job) -> float:
    """Temperature of the mix when it is placed into a piece: its own, else the job's."""
    own = taken.piece.cure.placed_c
    return job.workshop.figures["curing.mix_temperature"] if own is None else own


def _work(mine: Sequence[Batch], workshop: Workshop) -> PourWork:
    """What the batches of one pour take."""
    return PourWork(
        crew=int(workshop.figures["placing.crew"]),
        mixing_s=sum(batch.count for batch in mine) * workshop.figures["mixing.batch_time"],
        placing_s=sum(batch.count * batch.placing_s for batch in mine),
    )


def _day_warnings(pours: Iterable[Pour], work: Iterable[PourWork], workshop: Workshop) -> list[Notice]:
    """Pours that are more than the crew or the mixer manages in a day."""
    day_s = workshop.figures["calendar.hours_per_day"]
    told = []
    for pour, each in zip(pours, work, strict=True):
        longest_s, who = max((each.placing_s, f"a crew of {each.crew}"), (each.mixing_s, "the mixer"))
        if longest_s > day_s * (1.0 + FILL_TOLERANCE):
            text = (
                f"{pour.name}: {longest_s / 3600:.1f} h of work for {who}, in a day of {day_s / 3600:g} h: name pours, "
                "or take more people or a larger mixer."
            )
            told.append(Notice("day-too-full", text))
    return told


def _counted(batches: Iterable[Batch]) -> list[Batch]:
    """Batches that fill the same marks with the same volume, as one line."""
    lines: dict[tuple[tuple[str, ...], int], Batch] = {}
    for batch in batches:
        key = (batch.marks, round(batch.volume_m3 * 1e12))
        same = lines.get(key)
        lines[key] = batch if same is None else replace(same, count=same.count + batch.count)
    return list(lines.values())


def _split_warning(filling: Filling, mix: str, life_s: float) -> Notice:
    return Notice(
        "piece-split",
        f"{filling.shares[0].mark} needs {filling.parts} batches of {mix}: place each on the last while that is still "
        f"fresh, within {life_s / 60:.0f} min of its water.",
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


def _warnings(batch: Batch, workshop: Workshop) -> list[Notice]:
    told = []
    at = f"{batch.pour}, mix {batch.mix}"
    short = 1.0 - batch.yield_m3 / batch.volume_m3
    if short > SHORT_TOLERANCE:
        text = f"{at}: weighed to the scales a batch is {short:.1%} short; use a finer scale."
        told.append(Notice("batch-short", text))
    for each in batch.load:
        if abs(each.deviation) > OFF_TOLERANCE:
            text = (
                f"{at}: {each.material} weighed to the scale is {each.deviation:+.1%} off; "
                "use a finer scale or a marked measure."
            )
            told.append(Notice("scale-too-coarse", text))
    if batch.loose_m3 < workshop.figures["mixing.small_batch"] * workshop.mixer.volume_m3:
        text = (
            f"{at}: a batch of {batch.mass_kg:.2g} kg is too small for the mixer; "
            "mix it by drill and bucket, or together with another pour's."
        )
        told.append(Notice("batch-too-small", text))
    return told
