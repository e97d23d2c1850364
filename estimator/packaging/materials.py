"""What every material of the mixes needs, and the whole packs that cover it."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from estimator.job import Job, Material
from estimator.mix import MadeMix
from estimator.money import ZERO, cents, total
from estimator.packaging.order import Order, order
from estimator.workings import Working

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
    lines: tuple[MaterialOrder, ...]
    warnings: tuple[str, ...]

    @property
    def unpriced(self) -> tuple[str, ...]:
        return tuple(line.material for line in self.lines if line.cost is None)


def order_materials(job: Job, mixes: Mapping[str, MadeMix], batch_m3: Mapping[str, float]) -> MaterialOrders:
    """The cheapest whole packs of each material of the mixes that are cast.

    batch_m3   by mix, what is batched of it
    """
    required = required_kg(mixes, batch_m3)
    lines = tuple(
        _line(job.materials.get(name), name, needed_kg, job.stock_kg.get(name, 0.0))
        for name, needed_kg in required.items()
    )
    warnings = [
        f"{line.material} has no packs: it is ordered by mass, unpriced, and is not in the totals."
        for line in lines
        if line.order is None and line.material != WATER
    ]
    warnings += [
        f"{line.material} has a pack without a price: its order is not in the totals."
        for line in lines
        if line.order is not None and line.cost is None
    ]
    return MaterialOrders(lines, tuple(warnings))


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


def _line(material: Material | None, name: str, needed_kg: float, on_hand_kg: float) -> MaterialOrder:
    packs = material.packs if material is not None else ()
    price = price_per_kg(material) if material is not None else None
    used_kg = min(on_hand_kg, needed_kg)
    stock_cost = ZERO if used_kg == 0.0 else None if price is None else cents(used_kg * price)
    bought = order(needed_kg, packs, on_hand_kg) if packs else None
    return MaterialOrder(name, needed_kg, on_hand_kg, bought, stock_cost)


def material_workings(
    orders: MaterialOrders, mixes: Mapping[str, MadeMix], batch_m3: Mapping[str, float]
) -> list[Working]:
    """How each need, order and rest came about."""
    told = []
    for line in orders.lines:
        at = f"materials.{line.material}"
        terms: list[str] = []
        values: dict[str, float] = {}
        for i, (mix, volume_m3) in enumerate(batch_m3.items(), start=1):
            per_m3 = mixes[mix].recipe_kg_m3.get(line.material)
            if per_m3 is not None:
                terms.append(f"recipe_{i}_kg_m3 · batch_{i}_m3")
                values |= {f"recipe_{i}_kg_m3": per_m3, f"batch_{i}_m3": volume_m3}
        told.append(
            Working(
                f"{at}.required_kg",
                " + ".join(terms),
                values,
                line.required_kg,
                "kg",
                "recipe as weighed times what is batched of each mix, waste and loss in",
            )
        )
        told.append(
            Working(
                f"{at}.left_over_kg",
                "on_hand_kg + bought_kg − required_kg",
                {"on_hand_kg": line.on_hand_kg, "bought_kg": line.bought_kg, "required_kg": line.required_kg},
                line.left_over_kg,
                "kg",
                "whole packs, the cheapest that cover the need",
            )
        )
    return told
