"""Pallets and freight charges."""

from collections.abc import Sequence
from math import ceil, inf, isfinite, isnan

from estimator.errors import FaultError
from estimator.job import Pack
from estimator.packaging.price import MILLIONTHS_PER_CENT, MILLIONTHS_PER_UNIT, Line, millionths, whole_cents
from estimator.supplies import Tariff
from geometry.frozen import frozen
from geometry.message import Message, message

FULL = 1.0 + 1e-9  # shares of a pallet are fractions such as 1/3, whose float sum may slightly exceed 1


@frozen
class PalletKind:
    """An empty pallet. The rating comes from its maker; it is not a constant."""

    mass_kg: float
    length_m: float
    width_m: float
    rated_kg: float  # rated load


BARE = PalletKind(0.0, 48 * 0.0254, 40 * 0.0254, inf)
"""A 48 × 40 in pallet of unknown mass and rating."""


@frozen
class PalletLoad:
    """One pallet as it arrives."""

    packs: tuple[tuple[str, str, int], ...]  # (material, pack, count)
    gross_kg: float  # goods and pallet
    over_limit: bool  # heavier than the workshop's forklift or pallet truck may lift
    over_rating: bool  # its goods are heavier than the pallet is rated for


@frozen
class Pallets:
    """A delivery on pallets. Goods without per_pallet come loose and count in the gross mass."""

    loads: tuple[PalletLoad, ...]
    gross_kg: float
    footprint_m2: float  # floor area of the pallets side by side, none stacked
    loose: tuple[tuple[str, str, int], ...]  # packs that do not come on a pallet
    fewest: int  # lower bound on the pallets of any arrangement

    @property
    def count(self) -> int:
        return len(self.loads)

    @property
    def over_limit(self) -> tuple[int, ...]:
        """Indices of the loads that the shop cannot lift."""
        return tuple(position for position, load in enumerate(self.loads) if load.over_limit)


def pallets(
    lines: Sequence[tuple[str, Line]], kind: PalletKind, lift_limit_kg: float | None = None, mixed: bool = False
) -> Pallets:
    """Pallets for the lines of an order.

    lines          (material, line) of every order; a line's packs must have a mass
    kind           the pallet
    lift_limit_kg  capacity of the shop's forklift or pallet truck, kg; None: unknown, nothing is flagged
    mixed          whether partial pallets are shared with other packs

    No pallet carries more than its rating, so heavy packs may be fewer to a pallet than the supplier stacks them. Mixed
    pallets are packed first-fit by decreasing mass, each pack taking its share of a pallet. `fewest` is the bound from
    the sums, so count == fewest proves the arrangement. The mass of the packaging is unknown and not counted. A pack
    heavier than the pallet's rating goes on its own pallet, and its load is flagged.
    """
    _refuse_faulty(kind, lift_limit_kg)
    on_pallets = [(material, line, most_on_one(line.pack, kind.rated_kg)) for material, line in lines if _stands(line)]
    loads: list[list[tuple[str, Pack, int]]] = []
    rests: list[tuple[str, Pack, int]] = []
    for material, line, on_one in on_pallets:
        full, rest = divmod(line.count, on_one)
        loads += [[(material, line.pack, on_one)] for _ in range(full)]
        if rest:
            rests.append((material, line.pack, rest))
    loads += _shared(rests, kind) if mixed else [[rest] for rest in rests]
    built = tuple(_load(packs, kind, lift_limit_kg) for packs in loads)
    loose = [(material, line) for material, line in lines if not _stands(line)]
    by_share = sum(line.count / on_one for _, line, on_one in on_pallets)
    return Pallets(
        loads=built,
        gross_kg=sum(load.gross_kg for load in built)
        + sum(line.count * (line.pack.mass_kg or 0.0) for _, line in loose),
        footprint_m2=len(built) * kind.length_m * kind.width_m,
        loose=tuple((material, line.pack.name, line.count) for material, line in loose),
        fewest=ceil(by_share / FULL) if mixed else len(built),
    )


def most_on_one(pack: Pack, rated_kg: float) -> int:
    """Number of a pack on one pallet: as the supplier stacks them, within the rating, and at least one.

    A pack's share of a pallet, 1 over that number, is thus never less than its share of the rating.
    """
    stacked = pack.per_pallet or 1
    if not pack.mass_kg or rated_kg == inf:
        return stacked
    return max(1, min(stacked, int(rated_kg * FULL / pack.mass_kg)))


def _stands(line: Line) -> bool:
    return line.pack.per_pallet is not None


def _refuse_faulty(kind: PalletKind, lift_limit_kg: float | None) -> None:
    for name in ("mass_kg", "length_m", "width_m", "rated_kg"):
        value = getattr(kind, name)
        if isnan(value) or value < 0.0 or (value == 0.0 and name != "mass_kg"):
            raise FaultError(f"pallet.{name}", message("packaging-pallet-size", what=name, value=f"{value:g}"))
    if lift_limit_kg is not None and not lift_limit_kg > 0.0:
        raise FaultError("pallet.lift_limit", message("packaging-lift-limit"))


def _shared(rests: Sequence[tuple[str, Pack, int]], kind: PalletKind) -> list[list[tuple[str, Pack, int]]]:
    """Mixed pallets of the partial loads, by first fit from the heaviest pack down.

    Packs whose shares fill no more than a pallet are within its rating too.
    """
    loads: list[list[tuple[str, Pack, int]]] = []
    taken: list[float] = []  # share of the pallet, by load
    for material, pack, count in sorted(rests, key=lambda rest: (-(rest[1].mass_kg or 0.0), rest[0], rest[1].name)):
        share, left = 1.0 / most_on_one(pack, kind.rated_kg), count
        for position in range(len(loads) + left):
            if not left:
                break
            if position == len(loads):
                loads.append([])
                taken.append(0.0)
            fits = min(left, int((FULL - taken[position]) / share))
            if fits > 0:
                loads[position].append((material, pack, fits))
                taken[position] += fits * share
                left -= fits
    return loads


def _load(packs: Sequence[tuple[str, Pack, int]], kind: PalletKind, lift_limit_kg: float | None) -> PalletLoad:
    goods = sum(count * (pack.mass_kg or 0.0) for _, pack, count in packs)
    gross = kind.mass_kg + goods
    over = lift_limit_kg is not None and gross > lift_limit_kg
    stands = tuple((material, pack.name, count) for material, pack, count in packs)
    return PalletLoad(stands, gross, over, goods > kind.rated_kg * FULL)


@frozen
class Charge:
    """One line of a freight bill: `number` times `each`, rounded half up to the cent."""

    text: str  # name as data
    label: Message  # name on paper
    number: float
    each: float
    amount: float


def refuse_faulty_tariff(tariff: Tariff, key: str) -> None:
    """Raise FaultError for a charge that is negative or not a number."""
    charges = {
        "per_delivery": tariff.per_delivery,
        "per_pallet": tariff.per_pallet,
        "per_kg": tariff.per_kg,
        "lift_gate": tariff.lift_gate,
        **{f"zones.{zone}": charge for zone, charge in tariff.zones.items()},
    }
    for name, charge in charges.items():
        if not isfinite(charge) or charge < 0.0:
            raise FaultError(f"{key}.{name}", message("packaging-charge-negative", value=f"{charge:g}"))


def zone_charge(tariff: Tariff, zone: str, key: str = "freight") -> float:
    """Surcharge of a delivery for a zone. Raises FaultError if the tariff has zones but not this one."""
    if not tariff.zones:
        return 0.0
    if zone not in tariff.zones:
        zones = ", ".join(sorted(tariff.zones))
        raise FaultError(f"{key}.zone", message("packaging-zone-unknown", zone=zone, zones=zones))
    return tariff.zones[zone]


def freight(
    tariff: Tariff, pallets: int, gross_kg: float, zone: str = "", lift_gate: bool = False, key: str = "freight"
) -> tuple[Charge, ...]:
    """Freight bill of one delivery, without zero charges.

    pallets    number of pallets, partial ones included
    gross_kg   goods and pallets, kg
    zone       zone of the shop, as named in the tariff
    lift_gate  whether the truck must bring its own lift
    """
    refuse_faulty_tariff(tariff, key)
    bill = [
        ("delivery", message("freight-delivery"), 1.0, tariff.per_delivery),
        (f"zone {zone}", message("freight-zone", zone=zone), 1.0, zone_charge(tariff, zone, key)),
        ("lift-gate", message("freight-lift-gate"), 1.0 if lift_gate else 0.0, tariff.lift_gate),
        ("pallets", message("freight-pallets", count=pallets), float(pallets), tariff.per_pallet),
        ("gross mass, kg", message("freight-weight", high_kg=gross_kg), gross_kg, tariff.per_kg),
    ]
    return tuple(
        Charge(text, label, number, rate, whole_cents(round(number * rate * MILLIONTHS_PER_UNIT)) / 100)
        for text, label, number, rate in bill
        if number and rate
    )


def freight_total(charges: tuple[Charge, ...]) -> float:
    """Sum of the rounded charges."""
    return sum(millionths(charge.amount) for charge in charges) // MILLIONTHS_PER_CENT / 100
