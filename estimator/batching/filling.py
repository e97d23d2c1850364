"""Which pieces share a batch: whole pieces, within what mixer and crew manage."""

from bisect import bisect_left, insort
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from heapq import heappop, heappush
from math import ceil

from estimator.batching.placing import face_wait_s, placing_rate_m3_s
from estimator.batching.pours import Pour
from estimator.job import Job, Workshop
from estimator.mix import MadeMix
from estimator.takeoff import PieceTakeoff

FILL_TOLERANCE = 1e-9  # a batch over its limit by less was rounded, not overfilled


@dataclass(frozen=True, slots=True)
class Share:
    """What one layer of one piece takes: volume with waste, and the crew's time to place it.

    piece     number of the piece within its pour
    layer     from the form inward; neighbors of one mix are one
    placing_s by a crew of so many
    window_s  least and most time from the layer below placed to this one placed; None for the first
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


@dataclass(frozen=True, slots=True)
class Room:
    """What one batch may hold: its volume, and the placing time that the pot life leaves after mixing and carrying."""

    volume_m3: float
    placing_s: float

    def size_of(self, share: Share) -> float:
        """The part of a batch that a share takes, by whichever runs out first: volume, or time to place it."""
        return max(share.volume_m3 / self.volume_m3, share.placing_s / self.placing_s)

    def parts_for(self, share: Share) -> int:
        """How many equal batches one piece needs, by volume and by time."""
        return ceil(self.size_of(share) - FILL_TOLERANCE)


@dataclass(frozen=True, slots=True)
class Filling:
    """One batch: the shares in it, in the order in which they are placed.

    parts  above 1 where a piece needs that many batches by itself
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


def capacity_m3(mix: MadeMix, workshop: Workshop) -> float:
    """Largest batch of a mix, m³ of fresh concrete: by loose volume of what goes in, and by mass."""
    loose_m3_per_m3 = sum(mix.loose_m3_per_m3.values())
    by_volume = workshop.mixer.volume_m3 * workshop.mixer.fill / loose_m3_per_m3
    return min(by_volume, workshop.mixer.mass_kg / mix.fresh_density_kg_m3)


def shares_of(pour: Pour, pieces: Mapping[str, PieceTakeoff], job: Job) -> list[tuple[Share, ...]]:
    """What each piece of a pour takes, layer by layer, in the order of the casts."""
    found: list[tuple[Share, ...]] = []
    for cast in pour.casts:
        layers = _layers_of(pieces[cast.mark], job)
        for _ in range(cast.count):
            found.append(tuple(replace(share, piece=len(found)) for share in layers))
    return found


def _layers_of(taken: PieceTakeoff, job: Job) -> list[Share]:
    """What each layer of one piece takes, neighbors of one mix as one."""
    found: list[Share] = []
    for layer in taken.layers:
        share = Share(
            piece=0,
            layer=len(found),
            mark=taken.piece.mark,
            mix=layer.mix,
            volume_m3=layer.cast_m3,
            waste_m3=layer.cast_m3 - layer.volume_m3,
            placing_s=layer.volume_m3 / placing_rate_m3_s(layer.method, job.workshop),
            crew=int(job.workshop.figures["placing.crew"]),
            window_s=face_wait_s(taken, found[-1].mix, job) if found else None,
        )
        if not found or found[-1].mix != layer.mix:
            found.append(share)
            continue
        below = found[-1]
        found[-1] = replace(
            below,
            volume_m3=below.volume_m3 + share.volume_m3,
            waste_m3=below.waste_m3 + share.waste_m3,
            placing_s=below.placing_s + share.placing_s,
        )
    return found


def fill(shares: Iterable[Share], room: Room, *, alike: bool, begun: Sequence[Filling] = ()) -> list[Filling]:
    """Batches of one mix, of whole pieces; those begun come first, whether anything more went into them or not.

    The largest share first, into the fullest batch with room; a share larger than a batch gets batches of its own.
    alike   make the batches as equal as whole pieces allow (a color group): each goes into the emptiest of as many
    begun   batches that may have room left
    """
    ordered = sorted(shares, key=room.size_of, reverse=True)
    split = [Filling((share,), room.parts_for(share)) for share in ordered if room.parts_for(share) > 1]
    whole = [share for share in ordered if room.parts_for(share) <= 1]
    if alike:
        bins = _best_fit(whole, room, ())
        bins = _levelled(whole, room, len(bins)) or bins
        return [*begun, *split, *(Filling(tuple(each)) for each in bins)]
    bins = _best_fit(whole, room, begun)
    filled = [Filling(tuple(each), filling.parts) for each, filling in zip(bins, begun, strict=False)]
    return [*filled, *split, *(Filling(tuple(each)) for each in bins[len(begun) :])]


def _best_fit(shares: Iterable[Share], room: Room, begun: Sequence[Filling]) -> list[list[Share]]:
    """Each share into the fullest batch that still has room for it, found by bisection; those begun come first."""
    bins: list[list[Share]] = [list(filling.shares) for filling in begun]
    # Part of the batch left, and its number, ascending. A piece that takes several batches leaves no room in them.
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
    """`count` batches filled evenly, each share into the emptiest; None where whole pieces do not allow it."""
    bins: list[list[Share]] = [[] for _ in range(count)]
    filled = [(0.0, number) for number in range(count)]
    for share in shares:
        held, number = heappop(filled)
        held += room.size_of(share)
        if held > 1.0 + FILL_TOLERANCE:
            return None
        bins[number].append(share)
        heappush(filled, (held, number))
    return bins
