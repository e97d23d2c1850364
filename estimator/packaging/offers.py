"""What is offered to an order of many materials: packs with the freight that their own line pays."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from estimator.job import Pack
from estimator.packaging.order import ROUND_UP_TOLERANCE, masses, ways_to_buy
from estimator.packaging.pallets import BARE, PalletKind
from estimator.packaging.price import MILLIONTHS_PER_UNIT, millionths
from estimator.packaging.search import Choice
from estimator.supplies import Supplier


@dataclass(frozen=True, slots=True)
class Need:
    """What the job takes of one material, and how it is sold."""

    material: str
    required_kg: float
    packs: Sequence[Pack]
    on_hand_kg: float = 0.0
    reserve_kg: float = 0.0


@dataclass(frozen=True, slots=True)
class Haul:
    """Where deliveries go, and on what."""

    zone: str = ""
    lift_gate: bool = False  # the truck must bring its own lift
    pallet: PalletKind = BARE
    mixed: bool = False  # what does not fill a pallet shares one with other packs of its supplier


@dataclass(frozen=True, slots=True)
class Offer:
    """One material's priced packs with the freight of each line in their tiers."""

    need: Need
    amount: float
    tolerance: float
    packs: tuple[tuple[int, Pack, float], ...]
    ways: tuple[list[Choice], ...]


def offer_of(need: Need, suppliers: Mapping[str, Supplier], haul: Haul) -> Offer:
    priced = any(pack.unit_price is not None for pack in need.packs)
    packs = tuple(
        (index, pack, size)
        for index, (pack, size) in enumerate(zip(need.packs, masses(need.packs), strict=True))
        if pack.unit_price is not None or not priced
    )
    ways = tuple(
        _with_freight(ways_to_buy(index, pack, size), pack, size, suppliers, haul)
        if priced
        else ways_to_buy(index, pack, size)
        for index, pack, size in packs
    )
    wanted = need.required_kg + need.reserve_kg
    return Offer(need, wanted - need.on_hand_kg, ROUND_UP_TOLERANCE * wanted, packs, ways)


def _with_freight(
    choices: list[Choice], pack: Pack, size: float, suppliers: Mapping[str, Supplier], haul: Haul
) -> list[Choice]:
    """The choices with what their own line pays for freight: by mass, and by the pallet begun."""
    if pack.supplier not in suppliers:
        return choices
    tariff = suppliers[pack.supplier].tariff
    fee = millionths(tariff.per_pallet) + round(haul.pallet.mass_kg * tariff.per_kg * MILLIONTHS_PER_UNIT)
    each = round(size * tariff.per_kg * MILLIONTHS_PER_UNIT)
    if (haul.mixed or tariff.shared) and pack.per_pallet:
        # each pack pays its share of a full pallet: no more than it will, for pallets are never fuller than full
        each, fee = each + fee // pack.per_pallet, 0
    return [
        tuple(
            replace(
                run,
                tier=replace(
                    run.tier,
                    carriage=each * run.packs,
                    pallet_fee=fee if pack.per_pallet else 0,
                    on_pallet=1 if run.packs > 1 else pack.per_pallet or 1,
                ),
            )
            for run in choice
        )
        for choice in choices
    ]


def without_suppliers(offer: Offer, shut: frozenset[str]) -> Offer:
    """The offer without the packs of some suppliers."""
    kept = [number for number, (_, pack, _) in enumerate(offer.packs) if pack.supplier not in shut]
    return replace(offer, packs=tuple(offer.packs[n] for n in kept), ways=tuple(offer.ways[n] for n in kept))


def line_cost(offer: Offer, counts: Mapping[int, int]) -> int:
    """Goods and the freight of their own lines, millionths."""
    runs = [run for choices in offer.ways for choice in choices for run in choice]
    return sum(
        min(run.tier.price(count) for run in runs if run.column == column and run.tier.holds(count))
        for column, count in counts.items()
    )
