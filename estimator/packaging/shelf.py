"""What is left over after the job, and until when it keeps: the next job's stock."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from math import isfinite

from estimator.packaging.faults import PackagingError
from estimator.packaging.order import Order


@dataclass(frozen=True, slots=True)
class ShelfItem:
    """One material on the shelf after the job."""

    material: str
    left_kg: float
    reserve_kg: float  # of it, what is kept on purpose
    keeps_until: date | None  # None: it does not age, or nobody said when it was bought


def shelf(
    orders: Mapping[str, Order],
    keeps_days: Mapping[str, int],
    bought_on: date | None = None,
    opened_on: Mapping[str, date] | None = None,
) -> tuple[ShelfItem, ...]:
    """What the orders leave over, by material, none of what leaves nothing.

    orders      by material
    keeps_days  shelf life by material, days from purchase (cement and admixtures age); others keep
    bought_on   the day on which the orders are bought
    opened_on   for a material of which some was on hand, the day on which that was bought: the older counts, since
                nobody can tell from the shelf which sack the rest came from
    """
    for material, days in keeps_days.items():
        if days < 1:
            raise PackagingError(
                f"{material} that keeps {days} days never reaches the shelf.", "Give days from one up.", material
            )
    items = []
    for material, order in sorted(orders.items()):
        if order.left_over_kg <= 0.0:
            continue
        bought = [opened_on[material]] if opened_on and material in opened_on and order.on_hand_kg else []
        bought += [bought_on] if bought_on is not None and order.lines else []
        until = min(bought) + timedelta(days=keeps_days[material]) if bought and material in keeps_days else None
        items.append(ShelfItem(material, order.left_over_kg, min(order.reserve_kg, order.left_over_kg), until))
    return tuple(items)


def stock_for(items: Sequence[ShelfItem], day: date | None = None) -> dict[str, float]:
    """The shelf as the stock of a job on `day`, kg by material; what no longer keeps then is left out."""
    stock: dict[str, float] = {}
    for item in items:
        if day is None or item.keeps_until is None or day <= item.keeps_until:
            stock[item.material] = stock.get(item.material, 0.0) + item.left_kg
    return stock


def refuse_unused_stock(stock_kg: Mapping[str, float], used: Sequence[str]) -> None:
    """Raise PackagingError for stock of a material that no mix of the job uses, or of an impossible amount."""
    for material, mass_kg in stock_kg.items():
        if not isfinite(mass_kg) or mass_kg < 0.0:
            raise PackagingError(
                f"{mass_kg:g} kg on the shelf is no amount.", "Give zero or more.", f"stock.{material}"
            )
        if material not in used:
            raise PackagingError(
                f"no mix of this job uses {material}.",
                "Leave it out of the stock, or correct its name.",
                f"stock.{material}",
            )
