"""What every material of the mixes needs, and the whole packs that cover it.

Materials whose packs name a supplier of the job are ordered together, goods and freight at the least; the others each
at the least price of its packs, and come on the workshop's own terms for freight.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from estimator.job import Job, Material, Pack
from estimator.mix import MadeMix
from estimator.money import ZERO, cents, total
from estimator.notices import Notice
from estimator.packaging.coupled import JointOrder, order_together
from estimator.packaging.deliveries import Delivery, deliveries
from estimator.packaging.offers import Haul, Need
from estimator.packaging.order import Order, order
from estimator.packaging.pallets import PalletKind
from estimator.supplies import Supplier, Tariff

WATER = "water"


@dataclass(frozen=True, slots=True)
class MaterialOrder:
    """One material of the recipes: what is needed, what is on the shelf, what is bought.

    order          None for a material that is not sold in packs: bought by mass, unpriced (water: from the tap)
    stock_cost     value of what is taken from the shelf, None where the material has no price
    """

    material: str
    required_kg: float
    on_hand_kg: float
    order: Order | None
    stock_cost: Decimal | None

    @property
    def bought_kg(self) -> float:
        return self.order.bought_kg if self.order is not None else max(0.0, self.required_kg - self.on_hand_kg)

    @property
    def left_over_kg(self) -> float:
        return self.on_hand_kg + self.bought_kg - self.required_kg

    @property
    def purchase_cost(self) -> Decimal | None:
        """None where a price is missing."""
        if self.material == WATER and self.order is None:
            return ZERO
        if self.order is None or self.order.purchase_cost is None:
            return None
        return cents(self.order.purchase_cost)

    @property
    def cost(self) -> Decimal | None:
        """Bought and from the shelf; None where a price is missing."""
        known = [each for each in (self.purchase_cost, self.stock_cost) if each is not None]
        return total(known) if len(known) == 2 else None


@dataclass(frozen=True, slots=True)
class MaterialOrders:
    """Every material's order, and what brings it.

    joint   the order of those that suppliers' terms couple; None where nothing does
    """

    lines: tuple[MaterialOrder, ...]
    warnings: tuple[Notice, ...]
    deliveries: tuple[Delivery, ...] = ()
    joint: JointOrder | None = field(default=None, repr=False)

    @property
    def goods(self) -> Decimal | None:
        """Price of what is bought; None where a price is missing."""
        known = [line.purchase_cost for line in self.lines if line.purchase_cost is not None]
        return total(known) if len(known) == len(self.lines) else None

    @property
    def freight(self) -> Decimal:
        return total(cents(each.freight) for each in self.deliveries)

    @property
    def total(self) -> Decimal | None:
        """Goods and freight; None where a price is missing: an order without a total."""
        return None if self.goods is None else self.goods + self.freight

    @property
    def proven(self) -> bool:
        """Whether no order of the same packs costs less."""
        return self.joint is None or self.joint.proven

    @property
    def unpriced(self) -> tuple[str, ...]:
        return tuple(line.material for line in self.lines if line.cost is None)


def order_materials(job: Job, mixes: Mapping[str, MadeMix], batch_m3: Mapping[str, float]) -> MaterialOrders:
    """The cheapest whole packs of each material of the mixes that are cast.

    batch_m3   by mix, what is batched of it
    """
    required = required_kg(mixes, batch_m3)
    haul, terms = haul_of(job), terms_of(job)
    tied = [
        Need(name, needed_kg, _packs(job, name), job.stock_kg.get(name, 0.0), job.reserve_kg.get(name, 0.0))
        for name, needed_kg in required.items()
        if any(pack.supplier in job.suppliers for pack in _packs(job, name))
    ]
    joint = order_together(tied, terms, haul) if tied else None
    together = joint.orders if joint is not None else {}
    lines = tuple(_line(job, name, needed_kg, together.get(name)) for name, needed_kg in required.items())
    brought = [
        (line.material, each)
        for line in lines
        if line.order is not None and not from_the_tap(job, line.material)
        for each in line.order.lines
    ]
    warnings = [
        Notice("unpriced", f"{line.material} has no packs: it is ordered by mass, unpriced, and is not in the totals.")
        for line in lines
        if line.order is None and line.material != WATER
    ]
    warnings += [
        Notice("pack-unpriced", f"{line.material} has a pack without a price: its order is not in the totals.")
        for line in lines
        if line.order is not None and line.cost is None
    ]
    warnings += [
        Notice(
            "pack-unpriced",
            f"{line.material}: {', '.join(line.order.unpriced)} has no price and is not compared with its other packs.",
        )
        for line in lines
        if line.order is not None and line.order.unpriced and line.cost is not None
    ]
    if joint is not None and not joint.proven:
        text = (
            "the order meets its suppliers' least values, but that none is cheaper is not proven."
            if not haul.mixed
            else "on shared pallets the order is not proven to be the cheapest: pallets are begun whole."
        )
        warnings.append(Notice("order-not-proven", text))
    return MaterialOrders(lines, tuple(warnings), deliveries(brought, terms, haul), joint)


def haul_of(job: Job) -> Haul:
    """How goods come to the workshop, on pallets as it knows them."""
    figures = job.workshop.figures
    kind = PalletKind(
        figures["transport.pallet_tare"],
        figures["transport.pallet_length"],
        figures["transport.pallet_width"],
        figures["transport.pallet_rating"] or float("inf"),  # 0: not known
    )
    return Haul(job.receiving.zone, job.receiving.lift_gate, kind, job.receiving.mixed_pallets)


def terms_of(job: Job) -> dict[str, Supplier]:
    """The suppliers of the job, and all others that a pack names, on the workshop's own terms for freight.

    Those charge for shared pallets: the workshop's rate is an estimate, and no supplier sends a pallet for one bag.
    """
    figures = job.workshop.figures
    own = Tariff(per_pallet=figures["freight.per_pallet"], shared=True, lift_gate=figures["freight.lift_gate"])
    named = {pack.supplier for material in job.materials.values() for pack in material.packs}
    return {name: Supplier(name, tariff=own) for name in sorted(named | {""})} | dict(job.suppliers)


def from_the_tap(job: Job, material: str) -> bool:
    """Water comes by pipe: no pallet, no freight."""
    known = job.materials.get(material)
    return material == WATER or (known is not None and known.kind == "water")


def _packs(job: Job, name: str) -> tuple[Pack, ...]:
    material = job.materials.get(name)
    return material.packs if material is not None else ()


def required_kg(mixes: Mapping[str, MadeMix], batch_m3: Mapping[str, float]) -> dict[str, float]:
    """Mass of each material as weighed: sum of recipe · batched volume over the mixes, unrounded."""
    required: dict[str, float] = {}
    for mix, volume_m3 in batch_m3.items():
        for name, mass_kg in mixes[mix].recipe_kg_m3.items():
            required[name] = required.get(name, 0.0) + mass_kg * volume_m3
    return required


def price_per_kg(material: Material) -> float | None:
    """Lowest list price per kilogram, before breaks; None where no pack has a price. Water is free."""
    prices = [pack.unit_price / pack.mass_kg for pack in material.packs if pack.unit_price is not None and pack.mass_kg]
    return min(prices) if prices else 0.0 if material.kind == "water" else None


def cost_per_m3(mix: MadeMix, materials: Mapping[str, Material]) -> float | None:
    """Material cost of a cubic metre at list prices; None where a material has no price."""
    cost = 0.0
    for name, mass_kg in mix.recipe_kg_m3.items():
        price = price_per_kg(materials[name])
        if price is None:
            return None
        cost += mass_kg * price
    return cost


def _line(job: Job, name: str, needed_kg: float, together: Order | None) -> MaterialOrder:
    """One material; `together` is its part of the joint order, where it is in one."""
    material, packs = job.materials.get(name), _packs(job, name)
    on_hand_kg, reserve_kg = job.stock_kg.get(name, 0.0), job.reserve_kg.get(name, 0.0)
    price = price_per_kg(material) if material is not None else None
    used_kg = min(on_hand_kg, needed_kg)
    stock_cost = ZERO if used_kg == 0.0 else None if price is None else cents(used_kg * price)
    bought = together
    if bought is None and packs:
        bought = order(needed_kg, packs, on_hand_kg, reserve_kg, f"materials.{name}.packs")
    return MaterialOrder(name, needed_kg, on_hand_kg, bought, stock_cost)
