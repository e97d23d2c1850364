"""The cheapest whole packs of one material.

An order covers need and reserve less what is on hand, from any mix of the packs offered, at their breaks, smallest
orders and prices by the full pallet; buying more than is needed to reach a break is weighed like any other way.
It is exactly the cheapest; of equally cheap orders it is the one with less left over, then the one of fewer packs.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import isfinite

from estimator.job import Pack
from estimator.packaging.faults import PackagingError
from estimator.packaging.price import MILLIONTHS_PER_UNIT, Step, Tier, millionths, priced_line, refuse_faulty, tiers
from estimator.packaging.search import Choice, Run, cheapest_counts

ROUND_UP_TOLERANCE = 1e-9
"""A shortfall of this share of the need counts as covered: 0.1 · 3 / 0.1 is 3.0000000000000004 in floats and 3 in
the shop. A gram in a thousand tonnes, far below any scale."""


@dataclass(frozen=True, slots=True)
class Line:
    """So many packs of one kind."""

    pack: Pack
    count: int  # packs, those on full pallets in
    full_pallets: int  # bought at the pallet's price
    amount: float  # what they hold together, in the measure of the need: kg, m2, m or pieces
    unit_price: float | None  # of one pack after breaks; price over count where several steps made the price
    price: float | None  # of the line, to the cent; None: the pack has no price
    steps: tuple[Step, ...]  # count times price of each, whose sum is the price


@dataclass(frozen=True, slots=True)
class Order:
    """What to buy of one material."""

    lines: tuple[Line, ...]
    required_kg: float
    reserve_kg: float
    on_hand_kg: float
    bought_kg: float
    left_over_kg: float  # on hand + bought − required: the reserve is in it
    purchase_cost: float | None  # sum of the lines; None where what is bought has no price
    unpriced: tuple[str, ...]  # packs without a price: not compared with the others, or ordered without a total
    ties_settled: bool  # whether the least left over among equally cheap orders is proven; the cost always is


def order(
    need_kg: float, packs: Sequence[Pack], on_hand_kg: float = 0.0, reserve_kg: float = 0.0, key: str = "packs"
) -> Order:
    """The cheapest whole packs that cover need and reserve.

    need_kg     what the job takes, kg
    packs       what is offered, each with its mass; where some have a price, only those are compared
    on_hand_kg  on the shelf, kg
    reserve_kg  to be kept on the shelf after the job, kg
    key         dotted key of the packs, for messages

    Without any price the order is the one that leaves least over, then of the fewest packs, and has no total. Without
    packs it is by mass: no lines, no total, exactly what is lacking.
    Raises PackagingError for a pack that contradicts itself, or an amount that is negative or not a number.
    """
    sizes = masses(packs, key)
    refuse_faulty_amounts(need_kg, on_hand_kg, reserve_kg)
    tolerance = ROUND_UP_TOLERANCE * (need_kg + reserve_kg)
    lacking = need_kg + reserve_kg - on_hand_kg
    lines, settled = buy(lacking, tolerance, packs, sizes)
    return order_of(lines, need_kg, packs, on_hand_kg, reserve_kg, settled)


def order_of(
    lines: tuple[Line, ...],
    need_kg: float,
    packs: Sequence[Pack],
    on_hand_kg: float,
    reserve_kg: float,
    ties_settled: bool,
) -> Order:
    """The order that the lines make; without packs, one by mass of exactly what is lacking."""
    bought = sum(line.amount for line in lines) if packs else max(0.0, need_kg + reserve_kg - on_hand_kg)
    left = on_hand_kg + bought - need_kg
    return Order(
        lines=lines,
        required_kg=need_kg,
        reserve_kg=reserve_kg,
        on_hand_kg=on_hand_kg,
        bought_kg=bought,
        left_over_kg=left if left > ROUND_UP_TOLERANCE * (need_kg + reserve_kg) else 0.0,
        purchase_cost=None if not packs and bought else total_of(lines),
        unpriced=tuple(pack.name for pack in packs if pack.unit_price is None),
        ties_settled=ties_settled,
    )


def refuse_faulty_amounts(need_kg: float, on_hand_kg: float, reserve_kg: float) -> None:
    """Raise PackagingError for an amount that is negative or not a number."""
    for name, value in (("need", need_kg), ("on_hand", on_hand_kg), ("reserve", reserve_kg)):
        if not isfinite(value) or value < 0.0:
            raise PackagingError(f"{value:g} kg is no amount.", "Give zero or more.", name)


def masses(packs: Sequence[Pack], key: str = "packs") -> list[float]:
    """The mass in each pack, kg; raises PackagingError for a pack that contradicts itself or has none."""
    found = []
    for pack in packs:
        refuse_faulty(pack)
        if pack.mass_kg is None:
            raise PackagingError(
                f'pack "{pack.name}" has no mass, and a mix needs mass.',
                "Give its mass, or its volume beside the material's bulk density or density.",
                f"{key}.{pack.name}.mass",
            )
        found.append(pack.mass_kg)
    return found


def buy(
    amount: float, tolerance: float, packs: Sequence[Pack], sizes: Sequence[float]
) -> tuple[tuple[Line, ...], bool]:
    """The lines that cover `amount` in the unit of the sizes, and whether ties among them are settled.

    The core of `order` for any measure by which packs are sold: mass, area, length, pieces.
    """
    if amount <= tolerance or not packs:
        return (), True
    priced = any(pack.unit_price is not None for pack in packs)
    offered = [
        (index, pack, size)
        for index, (pack, size) in enumerate(zip(packs, sizes, strict=True))
        if pack.unit_price is not None or not priced
    ]
    ways = [ways_to_buy(index, pack, size) for index, pack, size in offered]
    found = cheapest_counts(amount, tolerance, ways)
    counts = found.counts
    if not found.cheapest:
        from estimator.packaging.together import Need, counts_alone

        counts = counts_alone(Need("", amount, tolerance, tuple(packs), tuple(sizes)))
    return lines_of(offered, counts), found.ties_settled


def lines_of(offered: Sequence[tuple[int, Pack, float]], counts: Mapping[int, int]) -> tuple[Line, ...]:
    """The lines of (index, pack, size) that counts by column make, in the order of the list."""
    return tuple(
        line_of(pack, size, counts.get(2 * index, 0), counts.get(2 * index + 1, 0))
        for index, pack, size in offered
        if counts.get(2 * index, 0) or counts.get(2 * index + 1, 0)
    )


def ways_to_buy(index: int, pack: Pack, size: float) -> list[Choice]:
    """Every way of buying a pack: loose within one of its tiers, on full pallets too, or not at all.

    Column 2 · index counts loose packs, 2 · index + 1 full pallets at the pallet's price.
    """
    minimum = pack.minimum if pack.minimum > 1 else 0
    if pack.pallet_price is None or pack.unit_price is None or pack.per_pallet is None:
        return _with_nothing([(Run(2 * index, size, 1, tier),) for tier in tiers(pack, minimum)])
    price, on_one = millionths(pack.pallet_price), pack.per_pallet
    # packs on pallets count toward the smallest order, so fewer are asked of those beside them
    beyond = -(-minimum // on_one)
    found: list[Choice] = []
    for pallets in range(beyond + 1):
        tier = Tier(pallets, None if pallets == beyond else pallets, 0, price)
        on_pallets = () if tier.last == 0 else (Run(2 * index + 1, size * on_one, on_one, tier),)
        lacking = max(0, minimum - pallets * on_one)
        found += [(*on_pallets, Run(2 * index, size, 1, loose)) for loose in tiers(pack, lacking)]
    return _with_nothing(found)


def line_of(pack: Pack, size: float, loose: int, full_pallets: int) -> Line:
    """A line of so many packs of `size` each, priced where the pack is."""
    count = loose + full_pallets * (pack.per_pallet or 0)
    if pack.unit_price is None:
        return Line(pack, count, full_pallets, count * size, None, None, ())
    priced = priced_line(pack, loose, full_pallets)
    return Line(pack, count, full_pallets, count * size, priced.unit_price, priced.price, priced.steps)


def total_of(lines: Sequence[Line]) -> float | None:
    """Sum of the rounded lines, currency units; None where one has no price."""
    prices = [line.price for line in lines if line.price is not None]
    if len(prices) < len(lines):
        return None
    return sum(millionths(price) for price in prices) / MILLIONTHS_PER_UNIT


def _with_nothing(choices: list[Choice]) -> list[Choice]:
    if all(any(run.tier.first > 0 for run in choice) for choice in choices):
        return [*choices, ()]
    return choices
