"""Materials of the recipes: amounts needed, bought, charged to the job, and left on the shelf."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, timedelta
from decimal import Decimal

from estimator.errors import FaultError
from estimator.job import Job, Material, Pack
from estimator.mix import MixDesign
from estimator.money import ZERO, cents, total
from estimator.notices import Notice
from estimator.packaging.freight import PalletKind
from estimator.packaging.order import ROUND_UP_TOLERANCE, Order, buy, masses, order_of, total_of
from estimator.packaging.price import Line
from estimator.packaging.together import Delivery, Haul, Purchase
from estimator.packaging.ways import Need
from estimator.supplies import Supplier, Tariff
from geometry.frozen import frozen
from geometry.message import Message, message


@frozen
class ShelfItem:
    """One material on the shelf after the job."""

    material: str
    left_kg: float
    reserve_kg: float  # part of it that is kept on purpose
    keeps_until: date | None  # None: it does not age, or its purchase date is unknown


def shelf(
    orders: Mapping[str, Order],
    keeps_days: Mapping[str, int],
    bought_on: date | None = None,
    opened_on: Mapping[str, date] | None = None,
) -> tuple[ShelfItem, ...]:
    """Leftovers of the orders, by material, without materials that leave none.

    orders      orders by material
    keeps_days  shelf life by material, days from purchase (cement and admixtures age); others keep
    bought_on   purchase date of the orders
    opened_on   purchase date of the stock on hand, by material; the older date counts, because nobody can tell from
                the shelf which sack the rest came from

    Raises FaultError for a shelf life below one day.
    """
    for material, days in keeps_days.items():
        if days < 1:
            raise FaultError(material, message("packaging-shelf-life-short", material_name=material, days=days))
    items = []
    for material, order in sorted(orders.items()):
        if order.left_over_kg <= 0.0:
            continue
        bought = [opened_on[material]] if opened_on and material in opened_on and order.on_hand_kg else []
        bought += [bought_on] if bought_on is not None and order.lines else []
        until = min(bought) + timedelta(days=keeps_days[material]) if bought and material in keeps_days else None
        items.append(ShelfItem(material, order.left_over_kg, min(order.reserve_kg, order.left_over_kg), until))
    return tuple(items)


WATER = "water"


@frozen
class JobCharge:
    """Charge to a job for its use of one material.

    The smaller of the amount used at its list price and the cost of the cheapest whole packs for it alone, without
    stock; with `by_packs`, the cost of those packs. It never falls as the need grows, and does not depend on stock.

    unit_price   list price per unit; None without a price
    alone        cost of whole packs of this material alone; None without a price
    """

    required: float
    unit_price: float | None
    alone: Decimal | None
    by_packs: bool

    @property
    def amount(self) -> Decimal | None:
        if self.required <= 0.0:
            return ZERO
        if self.unit_price is None:
            return None
        if self.alone is not None and self.by_packs:
            return self.alone
        used = cents(round(self.required * self.unit_price, 9))
        return used if self.alone is None else min(used, self.alone)


@frozen
class MaterialOrder:
    """One material of the recipes: amounts needed, in stock and bought, and the charge to the job.

    order        None for a material not sold in packs: bought by mass, without a price (water: from the tap)
    cost         charge to the job; None without a price
    charge       charge for the amount used, and the list price that values stock and leftovers
    from_tap     whether it is tap water, which is not bought
    """

    material: str
    required_kg: float
    on_hand_kg: float
    order: Order | None
    cost: Decimal | None
    charge: JobCharge | None
    from_tap: bool = False

    @property
    def lines(self) -> tuple[Line, ...]:
        """Lines of the packs bought."""
        return self.order.lines if self.order is not None else ()

    @property
    def bought_kg(self) -> float:
        return self.order.bought_kg if self.order is not None else max(0.0, self.required_kg - self.on_hand_kg)

    @property
    def left_over_kg(self) -> float:
        return self.on_hand_kg + self.bought_kg - self.required_kg

    @property
    def purchase_cost(self) -> Decimal | None:
        """Cost of the packs bought; None if a price is missing."""
        if self.from_tap and self.order is None:
            return ZERO
        if self.order is None or self.order.purchase_cost is None:
            return None
        return cents(self.order.purchase_cost)

    @property
    def stock_cost(self) -> Decimal | None:
        """Value of the amount taken from stock; not in any total."""
        return self._worth(min(self.on_hand_kg, self.required_kg))

    @property
    def leftover_value(self) -> Decimal | None:
        """Value of the leftover; not in any total."""
        return self._worth(max(0.0, self.left_over_kg))

    def _worth(self, mass_kg: float) -> Decimal | None:
        if mass_kg == 0.0:
            return ZERO
        if self.order is None and self.cost == ZERO:
            return ZERO
        price = self.charge.unit_price if self.charge is not None else None
        return None if price is None else cents(round(mass_kg * price, 9))


@frozen
class MaterialOrders:
    """Orders of all materials.

    freight   charge to the job for the freight of everything bought, materials or not
    paid      freight that this order actually pays
    """

    lines: tuple[MaterialOrder, ...]
    warnings: tuple[Notice, ...]
    deliveries: tuple[Delivery, ...]
    freight: Decimal
    paid: Decimal
    gap: Decimal

    @property
    def goods(self) -> Decimal | None:
        """Price of the goods bought; None if a price is missing."""
        known = [line.purchase_cost for line in self.lines if line.purchase_cost is not None]
        return total(known) if len(known) == len(self.lines) else None

    @property
    def total(self) -> Decimal | None:
        """Goods and freight paid by this order; None if a price is missing."""
        return None if self.goods is None else self.goods + self.paid

    @property
    def proven(self) -> bool:
        """Whether the order is proven to be the cheapest of these packs."""
        return self.gap == ZERO

    @property
    def unpriced(self) -> tuple[str, ...]:
        return tuple(line.material for line in self.lines if line.cost is None)


def list_price(required: float, packs: Sequence[Pack], sizes: Sequence[float]) -> float | None:
    """Lowest list price per unit among the packs that hold no more than is required; None without a price.

    If no pack is that small, the price of the smallest pack. A pack with a minimum of n counts as n packs. Price breaks
    are ignored.
    """
    offers = [
        (size * max(1, pack.minimum), pack.unit_price / size)
        for pack, size in zip(packs, sizes, strict=True)
        if pack.unit_price is not None and size > 0.0
    ]
    if not offers:
        return None
    within = [price for least, price in offers if least <= required * (1.0 + ROUND_UP_TOLERANCE)]
    return min(within) if within else min(offers)[1]


def job_charge(required: float, packs: Sequence[Pack], sizes: Sequence[float], *, by_packs: bool) -> JobCharge:
    """Charge to a job that uses an amount of something sold in these packs."""
    price = list_price(required, packs, sizes)
    if price is None or required <= 0.0:
        return JobCharge(required, price, None, by_packs)
    alone = total_of(buy(required, ROUND_UP_TOLERANCE * required, packs, sizes)[0])
    return JobCharge(required, price, None if alone is None else cents(alone), by_packs)


def is_special(material: Material | None, job: Job) -> bool:
    """Whether the job pays for whole packs: ordered for this job, or spoiled before another job can use them."""
    if material is None:
        return False
    return material.special or (material.keeps_s is not None and material.keeps_s < job.price.reuse_within_s)


def material_needs(job: Job, required: Mapping[str, float], *, in_stock: bool = True) -> list[Need]:
    """Needs of each material sold in packs. Water comes from the tap unless it has packs.

    in_stock   whether the stock on hand and the reserve count
    """
    needs = []
    for name, needed_kg in required.items():
        packs = packs_of(job, name)
        if not packs:
            continue
        reserve_kg = job.reserve_kg.get(name, 0.0) if in_stock else 0.0
        on_hand_kg = job.stock_kg.get(name, 0.0) if in_stock else 0.0
        wanted = needed_kg + reserve_kg
        sizes = tuple(masses(packs, f"materials.{name}.packs"))
        needs.append(Need(name, wanted - on_hand_kg, ROUND_UP_TOLERANCE * wanted, packs, sizes))
    return needs


def material_orders(
    job: Job, required: Mapping[str, float], bought: Purchase, freight: Decimal, minimums: Mapping[str, Message]
) -> MaterialOrders:
    """Orders of all materials, from the joint purchase.

    freight    charge to the job for all freight
    minimums   by supplier, the text on what its order minimum cost
    """
    lines = tuple(_line(job, name, needed_kg, bought) for name, needed_kg in required.items())
    return MaterialOrders(
        lines, tuple(_warnings(lines, bought, minimums)), bought.deliveries, freight, bought.freight, bought.gap
    )


def _line(job: Job, name: str, needed_kg: float, bought: Purchase) -> MaterialOrder:
    packs, tap = packs_of(job, name), from_the_tap(job, name)
    on_hand_kg, reserve_kg = job.stock_kg.get(name, 0.0), job.reserve_kg.get(name, 0.0)
    if not packs:
        return MaterialOrder(name, needed_kg, on_hand_kg, None, ZERO if tap else None, None, tap)
    sizes = masses(packs)
    material_order = order_of(
        bought.lines.get(name, ()), needed_kg, packs, on_hand_kg, reserve_kg, ties_settled=bought.proven
    )
    charge = job_charge(needed_kg, packs, sizes, by_packs=is_special(job.materials.get(name), job))
    cost = charge.amount
    if job.price.charge == "packs":
        cost = None if material_order.purchase_cost is None else cents(material_order.purchase_cost)
    return MaterialOrder(name, needed_kg, on_hand_kg, material_order, cost, charge, tap)


def _warnings(lines: Sequence[MaterialOrder], bought: Purchase, minimums: Mapping[str, Message]) -> list[Notice]:
    notices = [
        Notice("unpriced", message("warning-no-packs", material_name=line.material))
        for line in lines
        if line.order is None and line.cost is None
    ]
    notices += [
        Notice("pack-unpriced", message("warning-pack-unpriced", material_name=line.material))
        for line in lines
        if line.order is not None and line.cost is None
    ]
    notices += [
        Notice(
            "pack-unpriced",
            message("warning-pack-not-compared", material_name=line.material, packs=line.order.unpriced),
        )
        for line in lines
        if line.order is not None and line.order.unpriced and line.cost is not None
    ]
    notices += [Notice("order-minimum", text) for text in minimums.values()]
    if not bought.proven:
        notices.append(Notice("order-not-proven", message("warning-order-not-proven", gap_price=float(bought.gap))))
    return notices


def free_notices(materials: Iterable[str], job: Job) -> Iterator[Notice]:
    """Yield warnings of materials with a pack that costs nothing: a price left at 0 gives them away."""
    for name in materials:
        free = [pack.name for pack in packs_of(job, name) if 0.0 in _prices(pack)]
        if free and not from_the_tap(job, name):
            yield Notice("pack-unpriced", message("warning-pack-free", material_name=name, packs=free))


def _prices(pack: Pack) -> tuple[float | None, ...]:
    return (pack.unit_price, pack.pallet_price, *(step.unit_price for step in pack.breaks))


def haul_of(job: Job) -> Haul:
    """Delivery settings of the shop: zone, lift gate and pallets."""
    shop = job.workshop
    kind = PalletKind(
        shop.transport.pallet_tare_kg,
        shop.transport.pallet_length_m,
        shop.transport.pallet_width_m,
        shop.transport.pallet_rating_kg or float("inf"),  # 0: not known
    )
    return Haul(job.receiving.zone, job.receiving.lift_gate, kind, job.receiving.mixed_pallets)


def terms_of(job: Job) -> dict[str, Supplier]:
    """Suppliers of the job; others named by packs get the shop's own freight terms."""
    shop = job.workshop
    own = Tariff(per_pallet=shop.freight.per_pallet, lift_gate=shop.freight.lift_gate)
    named = {pack.supplier for material in job.materials.values() for pack in material.packs}
    return {name: Supplier(name, tariff=own) for name in sorted(named | {""})} | dict(job.suppliers)


def from_the_tap(job: Job, material: str) -> bool:
    """Whether a material is tap water, which has no pallets and no freight."""
    known = job.materials.get(material)
    return material == WATER or (known is not None and known.kind == "water")


def packs_of(job: Job, name: str) -> tuple[Pack, ...]:
    material = job.materials.get(name)
    return material.packs if material is not None else ()


def required_kg(mixes: Mapping[str, MixDesign], batch_m3: Mapping[str, float]) -> dict[str, float]:
    """Mass of each material as weighed: sum of recipe · batched volume over the mixes, not rounded."""
    required: dict[str, float] = {}
    for mix, volume_m3 in batch_m3.items():
        for name, mass_kg in mixes[mix].recipe_kg_m3.items():
            required[name] = required.get(name, 0.0) + mass_kg * volume_m3
    return required


def price_per_kg(material: Material) -> float | None:
    """Lowest list price per kilogram, before price breaks; None if no pack has a price. Water is free."""
    prices = [pack.unit_price / pack.mass_kg for pack in material.packs if pack.unit_price is not None and pack.mass_kg]
    return min(prices) if prices else 0.0 if material.kind == "water" else None


def cost_per_m3(mix: MixDesign, materials: Mapping[str, Material]) -> float | None:
    """Material cost of one cubic meter at list prices; None if a material has no price."""
    cost = 0.0
    for name, mass_kg in mix.recipe_kg_m3.items():
        price = price_per_kg(materials[name])
        if price is None:
            return None
        cost += mass_kg * price
    return cost
