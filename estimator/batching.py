"""Pours and batches: what is cast together, in batches that the mixer takes, loaded in order, weighed to the scale.

A batch is made for whole pieces wherever the mixer allows, so that no piece shows the joint between two batches.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from math import ceil

from estimator.job import Job, Scale, Workshop
from estimator.mix import MadeMix
from estimator.takeoff import PieceTakeoff, Takeoff

SHORT_TOLERANCE = 0.005  # a batch shorter than this by its rounded masses is warned of
FILL_TOLERANCE = 1e-9  # a batch over its limit by less was rounded, not overfilled
SMALLEST_FILL = 0.10  # of the mixer's capacity; below it the blades no longer reach the batch


@dataclass(frozen=True, slots=True)
class Cast:
    """How many of a mark are cast in one pour."""

    mark: str
    count: int


@dataclass(frozen=True, slots=True)
class Pour:
    """Pieces cast together on one day."""

    name: str
    day: int
    casts: tuple[Cast, ...]


@dataclass(frozen=True, slots=True)
class Load:
    """One step of loading the mixer, of one batch."""

    step: int
    material: str
    target_kg: float
    mass_kg: float  # to the scale's step
    scale_step_kg: float
    volume_m3: float  # loose, by the bucket

    @property
    def deviation(self) -> float:
        """Weighed over wanted, less one."""
        return self.mass_kg / self.target_kg - 1.0


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


@dataclass(frozen=True, slots=True)
class Batching:
    pours: tuple[Pour, ...]
    batches: tuple[Batch, ...]
    batch_m3: Mapping[str, float]  # by mix, of all batches
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Share:
    """What one piece takes of one mix."""

    mark: str
    volume_m3: float


def plan_batches(job: Job, takeoff: Takeoff, mixes: Mapping[str, MadeMix]) -> Batching:
    """Pours from forms, quantities and pour names; batches within each pour, mix by mix.

    Raises ValueError where the loss per batch fills the mixer by itself.
    """
    pours = plan_pours(takeoff)
    pieces = {taken.piece.mark: taken for taken in takeoff.pieces}
    batches: list[Batch] = []
    warnings: list[str] = []
    for pour in pours:
        shares = _shares(pour, pieces)
        for mix, wanted in shares.items():
            for batch in _fill(pour.name, mixes[mix], wanted, job.workshop, warnings):
                loaded = _loaded(batch, job, mixes[mix])
                warnings += _warnings(loaded, mixes[mix], job.workshop)
                batches.append(loaded)
    totals = dict.fromkeys(dict.fromkeys(batch.mix for batch in batches), 0.0)
    for batch in batches:
        totals[batch.mix] += batch.count * batch.volume_m3
    return Batching(pours, tuple(batches), totals, tuple(dict.fromkeys(warnings)))


def plan_pours(takeoff: Takeoff) -> tuple[Pour, ...]:
    """Pours in the order of their days.

    A mark is cast `forms` at a time. Marks without a pour name share the days from the first on; each named pour has
    a day of its own after them, and more than one where its marks have too few forms.
    """
    rounds: dict[tuple[str, int], list[Cast]] = {}
    names = [taken.piece.pour for taken in takeoff.pieces if taken.piece.pour is not None]
    for taken in takeoff.pieces:
        piece = taken.piece
        left, turn = piece.quantity, 1
        while left > 0:
            cast = min(piece.forms, left)
            rounds.setdefault((piece.pour or "", turn), []).append(Cast(piece.mark, cast))
            left, turn = left - cast, turn + 1
    order = ["", *dict.fromkeys(names)]
    keys = sorted(rounds, key=lambda key: (order.index(key[0]), key[1]))
    return tuple(
        Pour(_pour_name(name, turn, (name, 2) in rounds), day, tuple(rounds[name, turn]))
        for day, (name, turn) in enumerate(keys, start=1)
    )


def _pour_name(name: str, turn: int, several: bool) -> str:
    if not name:
        return f"day {turn}"
    return f"{name}, turn {turn}" if several else name


def capacity_m3(mix: MadeMix, workshop: Workshop) -> float:
    """Largest batch of a mix, m³ of fresh concrete: by loose volume of what goes in, and by mass."""
    loose_m3_per_m3 = sum(mix.loose_m3_per_m3.values())
    by_volume = workshop.mixer.volume_m3 * workshop.mixer.fill / loose_m3_per_m3
    return min(by_volume, workshop.mixer.mass_kg / mix.fresh_density_kg_m3)


def to_scale(target_kg: float, scales: Sequence[Scale]) -> tuple[float, float]:
    """A mass as the best scale shows it, and that scale's step.

    The finest scale that carries it weighs it; where none does, the one that carries most, in parts. What would round
    to nothing is weighed as one step.
    """
    carrying = [scale for scale in scales if scale.up_to_kg is None or target_kg <= scale.up_to_kg]
    if carrying:
        scale = min(carrying, key=lambda each: each.step_kg)
    else:
        scale = max(scales, key=lambda each: each.up_to_kg or 0.0)
    steps = max(1, int(target_kg / scale.step_kg + 0.5))
    return steps * scale.step_kg, scale.step_kg


def _shares(pour: Pour, pieces: Mapping[str, PieceTakeoff]) -> dict[str, list[_Share]]:
    """What each piece of a pour takes of each mix, waste in."""
    shares: dict[str, list[_Share]] = {}
    for cast in pour.casts:
        by_mix: dict[str, float] = {}
        for layer in pieces[cast.mark].layers:
            by_mix[layer.mix] = by_mix.get(layer.mix, 0.0) + layer.cast_m3
        for mix, volume_m3 in by_mix.items():
            shares.setdefault(mix, []).extend(_Share(cast.mark, volume_m3) for _ in range(cast.count))
    return shares


def _fill(
    pour: str, mix: MadeMix, shares: Iterable[_Share], workshop: Workshop, warnings: list[str]
) -> Iterable[Batch]:
    """Batches of whole pieces, the largest first into the first batch that has room; equal ones are counted."""
    loss_m3 = workshop.loss_per_batch_kg / mix.fresh_density_kg_m3
    room_m3 = capacity_m3(mix, workshop) - loss_m3
    if room_m3 <= 0.0:
        raise ValueError(f"the loss per batch fills the whole mixer with mix {mix.name}; correct loss_per_batch")
    groups: list[list[_Share]] = []
    filled: list[float] = []
    split: list[Batch] = []
    for share in sorted(shares, key=lambda each: -each.volume_m3):
        if share.volume_m3 > room_m3 * (1.0 + FILL_TOLERANCE):
            parts = ceil(share.volume_m3 / room_m3 - FILL_TOLERANCE)
            split.append(_batch(pour, mix, parts, share.volume_m3 / parts + loss_m3, (share.mark,)))
            warnings.append(
                f"{share.mark} needs {parts} batches of {mix.name}: place each on the last while that is still fresh, "
                f"within {workshop.pot_life_s / 60:.0f} min of its water."
            )
            continue
        for i, volume_m3 in enumerate(filled):
            if volume_m3 + share.volume_m3 <= room_m3 * (1.0 + FILL_TOLERANCE):
                groups[i].append(share)
                filled[i] += share.volume_m3
                break
        else:
            groups.append([share])
            filled.append(share.volume_m3)
    whole = [
        _batch(pour, mix, 1, volume_m3 + loss_m3, tuple(share.mark for share in group))
        for group, volume_m3 in zip(groups, filled, strict=True)
    ]
    return _counted([*split, *whole])


def _counted(batches: Iterable[Batch]) -> list[Batch]:
    """Batches that fill the same marks with the same volume, as one line."""
    lines: dict[tuple[tuple[str, ...], int], Batch] = {}
    for batch in batches:
        key = (tuple(sorted(batch.marks)), round(batch.volume_m3 * 1e12))
        same = lines.get(key)
        lines[key] = batch if same is None else replace(same, count=same.count + batch.count)
    return list(lines.values())


def _batch(pour: str, mix: MadeMix, count: int, volume_m3: float, marks: tuple[str, ...]) -> Batch:
    return Batch(
        pour=pour,
        mix=mix.name,
        count=count,
        volume_m3=volume_m3,
        loose_m3=volume_m3 * sum(mix.loose_m3_per_m3.values()),
        mass_kg=volume_m3 * mix.fresh_density_kg_m3,
        yield_m3=volume_m3,
        marks=marks,
        load=(),
    )


def _loaded(batch: Batch, job: Job, mix: MadeMix) -> Batch:
    """The batch with its loading steps, each mass to the scale, and what those masses yield."""
    load = []
    for step, (name, share) in enumerate(loading_steps(mix, job), start=1):
        target_kg = share * mix.recipe_kg_m3[name] * batch.volume_m3
        mass_kg, scale_step_kg = to_scale(target_kg, job.workshop.scales)
        volume_m3 = share * mix.loose_m3_per_m3[name] * batch.volume_m3
        load.append(Load(step, name, target_kg, mass_kg, scale_step_kg, volume_m3))
    off_m3 = sum((each.mass_kg - each.target_kg) * _absolute_m3_per_kg(mix, each.material) for each in load) / (
        1.0 - mix.air
    )
    return replace(batch, load=tuple(load), yield_m3=batch.volume_m3 + off_m3)


def _absolute_m3_per_kg(mix: MadeMix, material: str) -> float:
    return mix.volume_fractions.get(material, 0.0) / mix.recipe_kg_m3[material]


def loading_steps(mix: MadeMix, job: Job) -> list[tuple[str, float]]:
    """Materials in the order in which the mixer is loaded, each with its share; the water comes in two parts."""
    order = {kind: i for i, kind in enumerate(job.workshop.loading_order)}
    held = job.mixes[mix.name].water_held_back
    steps: list[tuple[float, str, float]] = []
    for name, mass_kg in mix.recipe_kg_m3.items():
        if mass_kg > 0.0 and name != "water":
            steps.append((order[job.materials[name].kind], name, 1.0))
    if mix.recipe_kg_m3["water"] > 0.0:
        steps.append((order["water"], "water", 1.0 - held))
        if held > 0.0:
            steps.append((order["water"] + 0.5, "water", held))  # before whatever follows the water, fibre for one
    return [(name, share) for _, name, share in sorted(steps, key=lambda each: each[0])]


def _warnings(batch: Batch, mix: MadeMix, workshop: Workshop) -> list[str]:
    told = []
    short = 1.0 - batch.yield_m3 / batch.volume_m3
    if short > SHORT_TOLERANCE:
        told.append(
            f"{batch.pour}, mix {batch.mix}: weighed to the scales a batch is {short:.1%} short; use a finer scale."
        )
    for each in batch.load:
        if abs(each.deviation) > 0.02:
            told.append(
                f"{batch.pour}, mix {batch.mix}: {each.material} weighed to the scale is {each.deviation:+.1%} off; "
                "use a finer scale or a marked measure."
            )
    if batch.volume_m3 < SMALLEST_FILL * capacity_m3(mix, workshop):
        told.append(
            f"{batch.pour}, mix {batch.mix}: a batch of {batch.mass_kg:.2g} kg is small for the mixer; "
            "mix it by drill and bucket, or together with another pour's."
        )
    return told
