"""Pours, the pieces that each batch fills, and the rounds in which face and backer are mixed."""

from __future__ import annotations

from bisect import bisect_left, insort
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from heapq import heappop, heappush
from math import ceil

from estimator.batching.placing import face_wait_s, placing_rate_m3_s
from estimator.job import Job, Workshop
from estimator.mix import MixDesign
from estimator.takeoff import PieceTakeoff, Takeoff
from geometry.frozen import frozen
from geometry.message import Message, message


@frozen
class Cast:
    """Number of pieces of a mark cast in one pour."""

    mark: str
    count: int


MOST_DAYS = 200
"""If a job has more days of casting than this, consecutive days with the same casts become one pour of several days."""


@frozen
class Pour:
    """Pieces cast together on one day, or repeatedly on several consecutive days.

    name   in the document; `label` is printed on papers
    day    the first day
    casts  of each day
    """

    name: str
    label: Message | str
    day: int
    casts: tuple[Cast, ...]
    days: int = 1


def plan_pours(takeoff: Takeoff) -> tuple[Pour, ...]:
    """Plan the pours, in the order of their days.

    A mark is cast `forms` at a time. Marks without a pour name share the days from the first on. Each named pour gets
    its own day after them, or several days if its marks have too few forms.
    """
    groups: dict[str, list[PieceTakeoff]] = {"": []}
    for taken in takeoff.pieces:
        groups.setdefault(taken.piece.pour or "", []).append(taken)
    runs = {name: _runs(group) for name, group in groups.items() if group}
    single = sum(days for group in runs.values() for _, days in group) <= MOST_DAYS
    pours: list[Pour] = []
    day = 1
    for name, group in runs.items():
        turn, turns = 1, sum(days for _, days in group)
        for casts, days in group:
            for part in [1] * days if single else [days]:
                pours.append(Pour(*_names(name, turn, part, turns > 1), day, casts, part))
                day, turn = day + part, turn + part
    return tuple(pours)


def _runs(group: Sequence[PieceTakeoff]) -> list[tuple[tuple[Cast, ...], int]]:
    """(casts, number of consecutive days) of marks that share days."""
    ends = set[int]()  # days after which the casts change
    for taken in group:
        whole, rest = divmod(taken.piece.quantity, taken.piece.forms)
        ends |= {whole, whole + (rest > 0)}
    runs, day, left = [], 0, list(group)
    for end in sorted(ends - {0}):
        casts = tuple(
            Cast(taken.piece.mark, min(taken.piece.forms, taken.piece.quantity - day * taken.piece.forms))
            for taken in left
        )
        runs.append((casts, end - day))
        day = end
        left = [taken for taken in left if taken.piece.quantity > day * taken.piece.forms]
    return runs


def _names(name: str, turn: int, days: int, several: bool) -> tuple[str, Message | str]:
    """Name and label of a pour."""
    last = turn + days - 1
    if not name:
        if days > 1:
            return f"days {turn} to {last}", message("pour-run", days=f"{turn}–{last}")
        return f"day {turn}", message("pour-day", day=turn)
    if days > 1:
        return f"{name}, turns {turn} to {last}", message("pour-turns", pour=name, turns=f"{turn}–{last}")
    return (f"{name}, turn {turn}", message("pour-turn", pour=name, turn=turn)) if several else (name, name)


def pour_list(pours: Sequence[Pour]) -> list[Message | str]:
    """Labels of pours for a sentence, with unnamed pours merged into runs of days."""
    unnamed = [pour for pour in pours if isinstance(pour.label, Message) and pour.label.id in ("pour-day", "pour-run")]
    spans = in_runs((pour.day, pour.day + pour.days - 1) for pour in unnamed)
    count = sum(pour.days for pour in unnamed)
    named = [pour.label for pour in pours if pour not in unnamed]
    return ([message("pour-days", days=spans, count=count)] if unnamed else []) + named


def in_runs(spans: Iterable[int | tuple[int, int]]) -> str:
    """Text of numbers or (first, last) spans, each once; three or more consecutive numbers are written as a range.

    >>> in_runs([1, 3, 4, 6, 7, 8])
    '1, 3, 4, 6–8'
    >>> in_runs([2, 3, 4, 4, 7, 6])
    '2–4, 6, 7'
    >>> in_runs([(1, 200), (201, 300), (302, 303)])
    '1–300, 302, 303'
    """
    runs: list[list[int]] = []
    for first, last in sorted((span, span) if isinstance(span, int) else span for span in set(spans)):
        if runs and runs[-1][1] == first - 1:
            runs[-1][1] = last
        else:
            runs.append([first, last])
    return ", ".join(
        f"{first}–{last}" if last > first + 1 else ", ".join(map(str, range(first, last + 1))) for first, last in runs
    )


FILL_TOLERANCE = 1e-9  # a smaller excess over the limit of a batch is rounding


@frozen
class Share:
    """Demand of one layer of one piece: volume with waste, and the time of the crew to place it.

    piece     number of the piece within its pour
    layer     from the form inward; adjacent layers of the same mix are one
    placing_s for a crew of `crew` people
    window_s  shortest and longest time after the layer below was placed; None for the first layer
    """

    piece: int
    layer: int
    mark: str
    mix: str
    volume_m3: float
    waste_m3: float
    placing_s: float
    crew: int
    window_s: tuple[float, float] | None

    def of(self, piece: int) -> Share:
        """The same share for another piece."""
        return Share(
            piece,
            self.layer,
            self.mark,
            self.mix,
            self.volume_m3,
            self.waste_m3,
            self.placing_s,
            self.crew,
            self.window_s,
        )


@frozen
class Room:
    """Capacity of one batch: its volume, and the placing time left of the pot life after mixing and carrying."""

    volume_m3: float
    placing_s: float

    def size_of(self, share: Share) -> float:
        """Fraction of a batch that a share takes, by volume or placing time, whichever is larger."""
        return max(share.volume_m3 / self.volume_m3, share.placing_s / self.placing_s)

    def parts_for(self, share: Share) -> int:
        """Number of equal batches that one piece needs, by volume and by time."""
        return ceil(self.size_of(share) - FILL_TOLERANCE)


@frozen
class Filling:
    """One batch with its shares, in the order in which they are placed.

    parts  number of batches, above 1 if a piece alone needs several
    """

    shares: tuple[Share, ...]
    parts: int = 1

    @property
    def mix(self) -> str:
        return self.shares[0].mix

    @property
    def volume_m3(self) -> float:
        return sum(share.volume_m3 for share in self.shares) / self.parts

    @property
    def placing_s(self) -> float:
        return sum(share.placing_s for share in self.shares) / self.parts


def capacity_m3(mix: MixDesign, workshop: Workshop) -> float:
    """Largest batch of a mix, m³ of fresh concrete, limited by loose volume of the materials and by mass."""
    loose_m3_per_m3 = sum(mix.loose_m3_per_m3.values())
    by_volume = workshop.mixer.volume_m3 * workshop.mixer.fill / loose_m3_per_m3
    return min(by_volume, workshop.mixer.mass_kg / mix.fresh_density_kg_m3)


def shares_of(pour: Pour, pieces: Mapping[str, PieceTakeoff], job: Job) -> list[tuple[Share, ...]]:
    """Shares of every piece of a pour, one tuple of layers per piece, in the order of the casts."""
    piece_shares: list[tuple[Share, ...]] = []
    for cast in pour.casts:
        layers = _layers_of(pieces[cast.mark], job)
        for _ in range(cast.count):
            piece_shares.append(tuple(layer.of(len(piece_shares)) for layer in layers))
    return piece_shares


def _layers_of(taken: PieceTakeoff, job: Job) -> list[Share]:
    """Shares of the layers of one piece, with adjacent layers of the same mix merged."""
    layer_shares: list[Share] = []
    for layer in taken.layers:
        share = Share(
            piece=0,
            layer=len(layer_shares),
            mark=taken.piece.mark,
            mix=layer.mix,
            volume_m3=layer.cast_m3,
            waste_m3=layer.cast_m3 - layer.volume_m3,
            placing_s=layer.volume_m3 / placing_rate_m3_s(layer.method, job.workshop),
            crew=int(job.workshop.placing.crew),
            window_s=face_wait_s(taken, layer_shares[-1].mix, job) if layer_shares else None,
        )
        if not layer_shares or layer_shares[-1].mix != layer.mix:
            layer_shares.append(share)
            continue
        below = layer_shares[-1]
        layer_shares[-1] = replace(
            below,
            volume_m3=below.volume_m3 + share.volume_m3,
            waste_m3=below.waste_m3 + share.waste_m3,
            placing_s=below.placing_s + share.placing_s,
        )
    return layer_shares


def fill(shares: Iterable[Share], room: Room, *, alike: bool, begun: Sequence[Filling] = ()) -> list[Filling]:
    """Pack whole pieces into batches of one mix by best-fit decreasing; a share above one batch gets its own batches.

    alike   make batches as equal as whole pieces allow, for a color group: put each share into the emptiest batch
    begun   batches that may have room left; they come first in the result, whether anything was added or not
    """
    ordered = sorted(shares, key=room.size_of, reverse=True)
    split = [Filling((share,), room.parts_for(share)) for share in ordered if room.parts_for(share) > 1]
    whole = [share for share in ordered if room.parts_for(share) <= 1]
    if alike:
        bins = _best_fit(whole, room, ())
        bins = _levelled(whole, room, len(bins)) or bins
        return [*begun, *split, *(Filling(tuple(bin_shares)) for bin_shares in bins)]
    bins = _best_fit(whole, room, begun)
    filled = [Filling(tuple(bin_shares), filling.parts) for bin_shares, filling in zip(bins, begun, strict=False)]
    return [*filled, *split, *(Filling(tuple(bin_shares)) for bin_shares in bins[len(begun) :])]


def _best_fit(shares: Iterable[Share], room: Room, begun: Sequence[Filling]) -> list[list[Share]]:
    """Put each share into the fullest batch with room for it, found by bisection; begun batches come first."""
    bins: list[list[Share]] = [list(filling.shares) for filling in begun]
    # (remaining fraction, number) of each batch, ascending. Batches of a piece that takes several have no room left.
    by_room = sorted(
        (1.0 - sum(map(room.size_of, filling.shares)), number)
        for number, filling in enumerate(begun)
        if filling.parts == 1
    )
    for share in shares:
        size = room.size_of(share)
        at = bisect_left(by_room, (size - FILL_TOLERANCE, -1))
        if at == len(by_room):
            left, number = 1.0, len(bins)
            bins.append([])
        else:
            left, number = by_room.pop(at)
        bins[number].append(share)
        insort(by_room, (left - size, number))
    return bins


def _levelled(shares: Iterable[Share], room: Room, count: int) -> list[list[Share]] | None:
    """`count` batches filled evenly, each share put into the emptiest; None if whole pieces do not allow it."""
    bins: list[list[Share]] = [[] for _ in range(count)]
    levels = [(0.0, number) for number in range(count)]
    for share in shares:
        level, number = heappop(levels)
        level += room.size_of(share)
        if level > 1.0 + FILL_TOLERANCE:
            return None
        bins[number].append(share)
        heappush(levels, (level, number))
    return bins


Layers = tuple[Share, ...]  # of one piece, from the form inward


@frozen
class Wait:
    """Time between placing one layer and placing the next, including mixing and carrying of the next.

    below  the lower layer
    """

    below: Share
    wait_s: float
    most_s: float

    @property
    def keeps(self) -> bool:
        return self.wait_s <= self.most_s * (1.0 + FILL_TOLERANCE)


@frozen
class Round:
    """Batches in the order in which they are made, and the waits of their layers."""

    batches: tuple[Filling, ...]
    waits: tuple[Wait, ...]
    idle_s: float  # time that mixer and crew wait for layers to stiffen

    @property
    def keeps(self) -> bool:
        """Whether every layer is covered while it is fresh, and no first layer is placed in parts."""
        return all(wait.keeps for wait in self.waits) and not any(_face_split(batch) for batch in self.batches)


@frozen
class Making:
    """Constraints on making the batches of a pour.

    rooms    capacity of a batch, by mix
    alike    mixes whose batches are made as equal as whole pieces allow
    lead_s   time from first water to the start of placing: mixing and carrying
    """

    rooms: Mapping[str, Room]
    alike: frozenset[str]
    lead_s: float


def waits_of(batches: Sequence[Filling], lead_s: float) -> tuple[tuple[Wait, ...], float]:
    """Waits between layers in batches made one after the other, and the idle time of the crew, s.

    lead_s  time from first water to the start of placing

    A batch starts once the one before it is placed, or later if a layer below must stiffen first. Every layer is placed
    from the same end to the other, so the longest wait is at one of the two ends: at the far end, or at the near end if
    the next layer is placed faster.
    """
    waits: list[Wait] = []
    placed: dict[int, tuple[Share, float, float]] = {}  # by piece: the layer on top, begun and finished
    clock_s = idle_s = 0.0
    for batch in batches:
        start_s, reached_s = clock_s, lead_s
        for share in batch.shares:
            if share.window_s is not None and share.piece in placed:
                start_s = max(start_s, placed[share.piece][1] + share.window_s[0] - reached_s)
            reached_s += share.placing_s
        idle_s += start_s - clock_s
        clock_s = start_s + lead_s
        for share in batch.shares:
            begun_s = clock_s
            clock_s += share.placing_s + (batch.parts - 1) * lead_s
            if share.window_s is not None and share.piece in placed:
                below, below_begun_s, below_finished_s = placed[share.piece]
                wait_s = max(begun_s - below_begun_s, clock_s - below_finished_s)
                waits.append(Wait(below, wait_s, share.window_s[1]))
            placed[share.piece] = (share, begun_s, clock_s)
    return tuple(waits), idle_s


def round_of(pieces: Sequence[Layers], making: Making) -> Round:
    """Cast the pieces as one round: all first layers, then all second layers, and so on."""
    batches: list[Filling] = []
    for i in range(max(len(layers) for layers in pieces)):
        by_mix: dict[str, list[Share]] = {}
        for layers in pieces:
            if i < len(layers):
                by_mix.setdefault(layers[i].mix, []).append(layers[i])
        for mix, shares in by_mix.items():
            batches += fill(shares, making.rooms[mix], alike=mix in making.alike)
    waits, idle_s = waits_of(batches, making.lead_s)
    return Round(tuple(batches), waits, idle_s)


def rounds_of(pieces: Sequence[Layers], making: Making) -> list[Round]:
    """Rounds of whole pieces in their order, each as large as the waits of its layers allow.

    pieces  pieces that each keep their waits when cast alone
    """
    rounds: list[Round] = []
    start = 0
    while start < len(pieces):
        longest = round_of(pieces[start : start + 1], making)
        count, too_many = 1, len(pieces) - start + 1
        while too_many - count > 1:
            # Double the count until it is too large, then bisect.
            more = min(2 * count, (count + too_many) // 2)
            longer = round_of(pieces[start : start + more], making)
            if longer.keeps:
                count, longest = more, longer
            else:
                too_many = more
        rounds.append(longest)
        start += count
    return _alike(pieces, rounds, making)


def staffed(layers: Layers, making: Making, most: int) -> Layers | None:
    """The layers of one piece with the smallest crew that covers each while it is fresh; None above `most` people."""
    usual = layers[0].crew
    for crew in range(usual, max(usual, most) + 1):
        quicker = tuple(replace(share, placing_s=share.placing_s * usual / crew, crew=crew) for share in layers)
        if round_of([quicker], making).keeps:
            return quicker
    return None


def _alike(pieces: Sequence[Layers], rounds: list[Round], making: Making) -> list[Round]:
    """The same number of rounds with first batches as equal as whole pieces allow, if a color group requires it."""
    if len(rounds) < 2 or not any(layers[0].mix in making.alike for layers in pieces):
        return rounds
    groups: list[list[Layers]] = [[] for _ in rounds]
    levels = [0.0] * len(rounds)
    for layers in sorted(pieces, key=lambda layers: -making.rooms[layers[0].mix].size_of(layers[0])):
        emptiest = levels.index(min(levels))
        groups[emptiest].append(layers)
        levels[emptiest] += making.rooms[layers[0].mix].size_of(layers[0])
    leveled = [round_of(group, making) for group in groups if group]
    return leveled if all(casting_round.keeps for casting_round in leveled) else rounds


def _face_split(batch: Filling) -> bool:
    """Whether a first layer under other layers is placed in several batches, which would leave a visible line."""

    return batch.parts > 1 and batch.shares[0].layer == 0
