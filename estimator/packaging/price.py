"""Price of packs: tiers, breaks, full pallets, minimums."""

from decimal import ROUND_HALF_UP, Decimal
from math import isfinite
from typing import Literal

from estimator.errors import FaultError
from estimator.job import Pack
from geometry.frozen import frozen
from geometry.message import message

MILLIONTHS_PER_UNIT = 1_000_000
MILLIONTHS_PER_CENT = 10_000


def millionths(amount: float) -> int:
    """An amount of money in whole millionths of the currency, rounded half up from its shortest decimal form.

    >>> millionths(8.75), millionths(0.1) * 3 == millionths(0.3)
    (8750000, True)
    """
    return int((Decimal(repr(float(amount))) * MILLIONTHS_PER_UNIT).to_integral_value(ROUND_HALF_UP))


def whole_cents(amount_millionths: int) -> int:
    """Whole cents, rounded half up, from millionths of the currency.

    >>> whole_cents(1_005_000), whole_cents(1_004_999)
    (101, 100)
    """
    return (amount_millionths + MILLIONTHS_PER_CENT // 2) // MILLIONTHS_PER_CENT


@frozen
class Tier:
    """Counts of one pack from `first` to `last` with a linear price: base + unit · count."""

    first: int
    last: int | None  # None: any number
    base: int  # millionths
    unit: int  # millionths per pack

    @property
    def slope(self) -> float:
        """Cost of one more pack, millionths."""
        return float(self.unit)

    def least(self, count: int) -> float:
        """Cost of `count` packs, millionths, not rounded; 0 for none."""
        return self.base + self.slope * count if count else 0.0

    def holds(self, count: int) -> bool:
        """Whether a line of `count` packs is priced by this tier."""
        return self.first <= count and (self.last is None or count <= self.last)

    def price(self, count: int) -> int:
        """Price of a line of `count` packs, millionths, rounded to the cent; 0 for none."""
        return whole_cents(self.base + self.unit * count) * MILLIONTHS_PER_CENT if count else 0


@frozen
class Step:
    """`count` packs or full pallets at the price `each`."""

    count: int
    of: Literal["pack", "full pallet"]
    each: float


@frozen
class Line:
    """An order line: a number of packs of one kind."""

    pack: Pack
    count: int  # packs, including those on full pallets
    full_pallets: int  # pallets bought at the pallet price
    amount: float  # total content, in the measure of the need: kg, m2, m or pieces
    unit_price: float | None  # of one pack after breaks; price over count if the price has several steps
    price: float | None  # of the line, to the cent; None: the pack has no price
    steps: tuple[Step, ...]  # counts and prices that add up to the price


def refuse_faulty(pack: Pack) -> None:
    """Raise FaultError if the figures of the pack contradict each other."""
    key = f"packs.{pack.name}"
    sizes = [size for size in (pack.mass_kg, pack.volume_m3, pack.quantity) if size is not None]
    if not sizes:
        raise FaultError(key, message("packaging-pack-without-size", pack=pack.name))
    if any(not isfinite(size) or size <= 0.0 for size in sizes):
        raise FaultError(key, message("packaging-pack-empty", pack=pack.name))
    prices = [pack.unit_price, pack.pallet_price, *(step.unit_price for step in pack.breaks)]
    if any(price is not None and (not isfinite(price) or price < 0.0) for price in prices):
        raise FaultError(key, message("packaging-price-negative", pack=pack.name))
    if pack.minimum < 0:
        raise FaultError(f"{key}.minimum", message("packaging-minimum-negative", value=pack.minimum))
    if pack.per_pallet is not None and pack.per_pallet < 1:
        raise FaultError(f"{key}.per_pallet", message("packaging-per-pallet", value=pack.per_pallet))
    _refuse_faulty_breaks(pack, key)


def _refuse_faulty_breaks(pack: Pack, key: str) -> None:
    if pack.unit_price is None:
        if pack.breaks or pack.pallet_price is not None:
            raise FaultError(f"{key}.price", message("packaging-price-missing", pack=pack.name))
        return
    count, price = 1, pack.unit_price
    for step in pack.breaks:
        if step.from_count <= count:
            problem = message("packaging-breaks-order", value=step.from_count, before=count)
            raise FaultError(f"{key}.breaks", problem)
        if step.unit_price > price and not pack.dearer_breaks:
            now, before = f"{step.unit_price:g}", f"{price:g}"
            problem = message("packaging-break-dearer", count=step.from_count, price=now, before=before)
            raise FaultError(f"{key}.breaks", problem)
        count, price = step.from_count, step.unit_price
    if pack.pallet_price is not None:
        if pack.per_pallet is None:
            raise FaultError(f"{key}.per_pallet", message("packaging-pallet-count-missing", pack=pack.name))
        if millionths(pack.pallet_price) > pack.per_pallet * millionths(pack.unit_price) and not pack.dearer_breaks:
            price_text = f"{pack.pallet_price:g}"
            problem = message("packaging-pallet-dearer", price=price_text, count=pack.per_pallet)
            raise FaultError(f"{key}.pallet_price", problem)


def tiers(pack: Pack, minimum: int) -> list[Tier]:
    """Price tiers of loose packs, from `minimum` packs on. An unpriced pack costs nothing here."""
    unit = 0 if pack.unit_price is None else millionths(pack.unit_price)
    steps = [(0, 0, unit)]
    for step in pack.breaks:
        _, base, before = steps[-1]
        now = millionths(step.unit_price)
        if pack.breaks_rule == "incremental":
            # packs from from_count on cost less; earlier packs keep their price
            base += (before - now) * (step.from_count - 1)
        steps.append((step.from_count, base, now))
    price_tiers = []
    for index, (first, base, unit) in enumerate(steps):
        following = steps[index + 1] if index + 1 < len(steps) else None
        last = following[0] - 1 if following else None
        if last is not None and last < minimum:
            continue
        start = max(first, minimum)
        price_tiers.append(Tier(start, last, base, unit))
    return price_tiers


def line_of(pack: Pack, size: float, loose: int, full_pallets: int) -> Line:
    """Line of packs of `size` each: full pallets at the pallet price, loose packs priced by their own number."""
    count = loose + full_pallets * (pack.per_pallet or 0)
    if pack.unit_price is None:
        return Line(pack, count, full_pallets, count * size, None, None, ())
    loose_steps = _steps(pack, loose)
    steps = [Step(number, "pack", price / MILLIONTHS_PER_UNIT) for number, price in loose_steps]
    if full_pallets:
        steps.insert(0, Step(full_pallets, "full pallet", pack.pallet_price or 0.0))
    on_pallets = whole_cents(full_pallets * millionths(pack.pallet_price or 0.0))
    price = (on_pallets + whole_cents(sum(number * unit for number, unit in loose_steps))) / 100
    plain = len(steps) == 1 and not full_pallets
    return Line(pack, count, full_pallets, count * size, steps[0].each if plain else price / count, price, tuple(steps))


def _steps(pack: Pack, count: int) -> list[tuple[int, int]]:
    """Pairs (packs, millionths each) that make up the price of `count` loose packs."""
    bounds = [(1, millionths(pack.unit_price or 0.0))]
    bounds += [(step.from_count, millionths(step.unit_price)) for step in pack.breaks]
    if pack.breaks_rule == "all-units":
        return [(count, next(price for first, price in reversed(bounds) if first <= count))] if count else []
    ends = [first - 1 for first, _ in bounds[1:]] + [count]
    return [
        (min(count, end) - first + 1, price) for (first, price), end in zip(bounds, ends, strict=True) if first <= count
    ]
