"""What each supplier brings: on which pallets, how heavy, and what it charges for it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from estimator.packaging.freight import Charge, freight, freight_total
from estimator.packaging.offers import Haul
from estimator.packaging.order import Line, total_of
from estimator.packaging.pallets import Pallets, pallets
from estimator.supplies import Supplier, Tariff


@dataclass(frozen=True, slots=True)
class Delivery:
    """What one supplier brings."""

    supplier: str
    goods: float  # value of what has a price, currency
    standing: Pallets
    charges: tuple[Charge, ...]
    freight: float

    @property
    def pallets(self) -> int:
        return self.standing.count

    @property
    def gross_kg(self) -> float:
        """Goods and pallets."""
        return self.standing.gross_kg


def deliveries(
    lines: Sequence[tuple[str, Line]], suppliers: Mapping[str, Supplier], haul: Haul, lift_limit_kg: float | None = None
) -> tuple[Delivery, ...]:
    """The deliveries of (material, line), by supplier; one that `suppliers` does not name charges nothing."""
    found = []
    for name in sorted({line.pack.supplier for _, line in lines}):
        brought = [(material, line) for material, line in lines if line.pack.supplier == name]
        standing = pallets(brought, haul.pallet, lift_limit_kg, haul.mixed)
        tariff = suppliers[name].tariff if name in suppliers else Tariff()
        key = f"suppliers.{name}.freight"
        charged = standing.count
        if tariff.shared and not haul.mixed:
            charged = pallets(brought, haul.pallet, mixed=True).count
        charges = freight(tariff, charged, standing.gross_kg, haul.zone, haul.lift_gate, key)
        goods = total_of([line for _, line in brought if line.price is not None]) or 0.0
        found.append(Delivery(name, goods, standing, charges, freight_total(charges)))
    return tuple(found)
