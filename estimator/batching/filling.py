"""Which pieces share a batch: whole pieces, within what mixer and crew manage."""

from bisect import bisect_left, insort
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from heapq import heappop, heappush
from math import ceil

from estimator.batching.placing import placing_rate_m3_s
from estimator.batching.pours import Pour
from estimator.job import Workshop
from estimator.mix import MadeMix
from estimator.takeoff import PieceTakeoff

FILL_TOLERANCE = 1e-9  # a batch over its limit by less was rounded, not overfilled


@dataclass(frozen=True, slots=True)
class Share:
    """What one piece takes of one mix: volume with waste, and the crew's time to place it.

    follow_s   the crew's time for what goes on it while it is fresh: a face waits for its back coat
    """

    mark: str
    volume_m3: float
    waste_m3: float
    placing_s: float
    follow_s: float


@dataclass(frozen=True, slots=True)
class Room:
    """What one batch may hold."""

    volume_m3: float
    placing_s: float
    wait_s: float  # most time until the last of its pieces gets the next layer

    def size_of(self, share: Share) -> float:
        """The part of a batch that a share takes, by whichever runs out first: volume, time to lay it, or the wait.

        The last piece of a batch waits for the next layers of all the others, so follow / (wait + follow) is the part
        of it that a piece takes: shares that add up to 1 keep the wait, and no piece is too long for itself.
        """
        waited = share.follow_s / (self.wait_s + share.follow_s) if share.follow_s > 0.0 else 0.0
        return max(self._laid(share), waited)

    def parts_for(self, share: Share) -> int:
        """How many equal batches one piece needs, by volume and by time."""
        return ceil(self._laid(share) - FILL_TOLERANCE)

    def _laid(self, share: Share) -> float:
        return max(share.volume_m3 / self.volume_m3, share.placing_s / self.placing_s)


@dataclass(frozen=True, slots=True)
class Filling:
    """One batch: the shares in it; `parts` above 1 where a piece needs that many batches by itself."""

    shares: tuple[Share, ...]
    parts: int = 1

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


def shares_of(pour: Pour, pieces: Mapping[str, PieceTakeoff], workshop: Workshop) -> dict[str, list[Share]]:
    """What each piece of a pour takes, by mix. Layers of one mix in a piece are one share."""
    shares: dict[str, list[Share]] = {}
    for cast in pour.casts:
        by_mix: dict[str, Share] = {}
        layers = pieces[cast.mark].layers
        times_s = [layer.volume_m3 / placing_rate_m3_s(layer.method, workshop) for layer in layers]
        for i, (layer, placing_s) in enumerate(zip(layers, times_s, strict=True)):
            before = by_mix.get(layer.mix, Share(cast.mark, 0.0, 0.0, 0.0, 0.0))
            after = zip(layers[i + 1 :], times_s[i + 1 :], strict=True)
            by_mix[layer.mix] = Share(
                cast.mark,
                before.volume_m3 + layer.cast_m3,
                before.waste_m3 + layer.cast_m3 - layer.volume_m3,
                before.placing_s + placing_s,
                max(before.follow_s, sum(time_s for later, time_s in after if later.mix != layer.mix)),
            )
        for mix, share in by_mix.items():
            shares.setdefault(mix, []).extend([share] * cast.count)
    return shares


def fill(shares: Iterable[Share], room: Room, *, alike: bool) -> list[Filling]:
    """Batches of whole pieces.

    The largest share first, into the fullest batch with room; a share larger than a batch gets batches of its own.
    alike   make the batches as equal as whole pieces allow (a colour group): each goes into the emptiest of as many
    """
    ordered = sorted(shares, key=room.size_of, reverse=True)
    split = [Filling((share,), room.parts_for(share)) for share in ordered if room.parts_for(share) > 1]
    whole = [share for share in ordered if room.parts_for(share) <= 1]
    bins = _best_fit(whole, room)
    if alike:
        bins = _levelled(whole, room, len(bins)) or bins
    return [*split, *(Filling(tuple(each)) for each in bins)]


def _best_fit(shares: Iterable[Share], room: Room) -> list[list[Share]]:
    """Each share into the fullest batch that still has room for it, found by bisection."""
    bins: list[list[Share]] = []
    by_room: list[tuple[float, int]] = []  # part of the batch left, and its number, ascending
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
