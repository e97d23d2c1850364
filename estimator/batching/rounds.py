"""Rounds: the pieces of a pour whose faces are cast one after the other and then backed, each while it is fresh.

Batches are made one after the other: a batch starts when mixer and crew are free. How long a layer waits for the next
is worked out here alone; batches, sheets and warnings go by it.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from estimator.batching.filling import FILL_TOLERANCE, Filling, Room, Share, fill

Layers = tuple[Share, ...]  # of one piece, from the form inward


@dataclass(frozen=True, slots=True)
class Wait:
    """How long one layer waits, from placed to the next one placed, mixing and carrying of the next included.

    below  the layer that waits
    """

    below: Share
    wait_s: float
    most_s: float

    @property
    def keeps(self) -> bool:
        return self.wait_s <= self.most_s * (1.0 + FILL_TOLERANCE)


@dataclass(frozen=True, slots=True)
class Round:
    """Batches in the order in which they are made, and how long each layer in them waits."""

    batches: tuple[Filling, ...]
    waits: tuple[Wait, ...]
    idle_s: float  # in which mixer and crew wait for a layer to stiffen

    @property
    def keeps(self) -> bool:
        """Whether every layer is covered while it is fresh, and no first layer is placed in parts."""
        return all(wait.keeps for wait in self.waits) and not any(_face_split(batch) for batch in self.batches)


@dataclass(frozen=True, slots=True)
class Making:
    """What the batches of a pour are made with.

    rooms    what one batch of a mix may hold, by mix
    alike    mixes whose batches are made as equal as whole pieces allow
    lead_s   from first water to the first of it being placed: mixing and carrying
    """

    rooms: Mapping[str, Room]
    alike: frozenset[str]
    lead_s: float


def waits_of(batches: Sequence[Filling], lead_s: float) -> tuple[tuple[Wait, ...], float]:
    """How long each layer waits for the next, in batches made one after the other, and how long the crew stands idle.

    lead_s  from first water to the first of it being placed

    A batch starts once the one before it is placed, or later where a layer below must stiffen first. A layer is
    placed from one end to the other, and so is the next: where it begins the wait is the shortest, where it ends it
    is the longest, or the other way about where the next one is placed faster.
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
    """The pieces cast as one round: all their first layers, then all their second ones, and so on."""
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
    """Rounds of whole pieces, each as large as the wait of its layers allows, in the order of the pieces.

    pieces  each of which keeps its waits by itself
    """
    rounds: list[Round] = []
    start = 0
    while start < len(pieces):
        longest = round_of(pieces[start : start + 1], making)
        count, too_many = 1, len(pieces) - start + 1
        while too_many - count > 1:
            # Twice as many until they are too many, then halfway between.
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
    """The layers of one piece with the smallest crew that covers each while it is fresh; None where `most` do not."""
    usual = layers[0].crew
    for crew in range(usual, max(usual, most) + 1):
        quicker = tuple(replace(share, placing_s=share.placing_s * usual / crew, crew=crew) for share in layers)
        if round_of([quicker], making).keeps:
            return quicker
    return None


def _alike(pieces: Sequence[Layers], rounds: list[Round], making: Making) -> list[Round]:
    """As many rounds with their first batches as equal as whole pieces allow, where a color group asks for it."""
    if len(rounds) < 2 or not any(layers[0].mix in making.alike for layers in pieces):
        return rounds
    groups: list[list[Layers]] = [[] for _ in rounds]
    held = [0.0] * len(rounds)
    for layers in sorted(pieces, key=lambda layers: -making.rooms[layers[0].mix].size_of(layers[0])):
        emptiest = held.index(min(held))
        groups[emptiest].append(layers)
        held[emptiest] += making.rooms[layers[0].mix].size_of(layers[0])
    leveled = [round_of(group, making) for group in groups if group]
    return leveled if all(each.keeps for each in leveled) else rounds


def _face_split(batch: Filling) -> bool:
    """Whether a first layer that others come onto is placed in parts: they would show a line."""
    return batch.parts > 1 and batch.shares[0].layer == 0
