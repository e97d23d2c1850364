"""The cheapest order of everything a job buys, materials and consumables: goods, pallets, freight, charges.

If the search stops early, the order gives the gap to the lower bound.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import field, replace
from decimal import Decimal
from math import inf

from estimator.errors import FaultError
from estimator.money import ZERO, cents, total
from estimator.packaging.bounds import cheapest
from estimator.packaging.freight import (
    BARE,
    Charge,
    PalletKind,
    Pallets,
    freight,
    freight_total,
    pallets,
    refuse_faulty_tariff,
    zone_charge,
)
from estimator.packaging.order import buy, lines_of, whole_amount
from estimator.packaging.price import MILLIONTHS_PER_UNIT, Line, millionths, refuse_faulty
from estimator.packaging.program import solve
from estimator.packaging.ways import Need, SupplierTerms, Terms, offers_of
from estimator.supplies import Supplier
from geometry.frozen import frozen
from geometry.message import message

CENT_TOLERANCE = Decimal("0.02")  # the program uses unrounded prices and freight; lines are rounded to the cent


@frozen
class Haul:
    """Delivery settings of the shop.

    mixed   whether packs of one supplier share pallets, if the supplier does not say
    """

    zone: str = ""
    lift_gate: bool = False  # the truck must bring its own lift
    pallet: PalletKind = BARE
    mixed: bool = True


@frozen
class Delivery:
    """Delivery of one supplier.

    small_order   charge paid instead of buying up to the supplier's order minimum
    """

    supplier: str
    goods: float  # value of the priced goods, currency
    standing: Pallets
    charges: tuple[Charge, ...]
    freight: float
    small_order: float = 0.0

    @property
    def pallets(self) -> int:
        return self.standing.count

    @property
    def gross_kg(self) -> float:
        """Mass of goods and pallets."""
        return self.standing.gross_kg


@frozen
class Purchase:
    """The cheapest order.

    lines        lines of each need, by name
    gap          most that a cheaper order could save, currency; 0 if this one is proven
    for_minimum  by supplier, the cost of its order minimum: more goods, another supplier or its small-order charge
    """

    lines: Mapping[str, tuple[Line, ...]]
    deliveries: tuple[Delivery, ...]
    gap: Decimal = ZERO
    for_minimum: Mapping[str, Decimal] = field(default_factory=dict)

    @property
    def freight(self) -> Decimal:
        """Freight and small-order charges."""
        return total(cents(delivery.freight + delivery.small_order) for delivery in self.deliveries)

    @property
    def goods(self) -> Decimal:
        """Price of the priced goods."""
        return total(cents(line.price) for lines in self.lines.values() for line in lines if line.price is not None)

    @property
    def proven(self) -> bool:
        return self.gap == ZERO


def buy_together(needs: Sequence[Need], suppliers: Mapping[str, Supplier], haul: Haul) -> Purchase:
    """Cheapest order of all needs, counting goods, freight and small-order charges.

    suppliers   by name, "" for packs that name none; a missing supplier charges nothing

    Raises FaultError for a pack or supplier that contradicts itself, or if no order meets the minimums.
    """
    _refuse_faulty(needs, suppliers, haul)
    wanted = [whole(need) for need in needs if need.amount > need.tolerance and need.packs]
    coupled = [need for need in wanted if _is_coupled(need, suppliers, haul)]
    lines = {need.name: buy(need.amount, need.tolerance, need.packs, need.sizes)[0] for need in needs}
    gap, bound = ZERO, None
    if coupled and not _is_least(coupled, suppliers, haul, lines):
        counts, bound = _cheapest(coupled, terms_in_cents(suppliers, haul))
        lines |= {need.name: lines_of(need.offered(), counts[need.name]) for need in coupled}
    brought = deliveries([(name, line) for name, need_lines in lines.items() for line in need_lines], suppliers, haul)
    if bound is not None:
        # the real arrangement may need more pallets than floor and rating alone
        paid = _price({need.name: lines[need.name] for need in coupled}, brought)
        gap = max(ZERO, cents(float(paid) - bound))
    return Purchase(
        lines,
        brought,
        gap if gap > CENT_TOLERANCE else ZERO,
        _minimum_costs(coupled, suppliers, haul, lines, brought),
    )


def whole(need: Need) -> Need:
    """The need rounded up to what its packs can hold, so that jobs that differ by less share a cached order."""
    amount, tolerance = whole_amount(need.amount, need.tolerance, need.sizes)
    return replace(need, amount=amount, tolerance=tolerance)


def counts_alone(need: Need) -> dict[int, int]:
    """Counts by column of `ways_to_buy` that cover one need at the least price, without freight or minimums."""
    terms = Terms((), 0.0, inf)
    counts = solve((need,), terms, [offers_of(need, terms)], []).counts
    assert counts is not None  # more packs cover any need
    return dict(counts[0])


def deliveries(
    lines: Sequence[tuple[str, Line]], suppliers: Mapping[str, Supplier], haul: Haul, lift_limit_kg: float | None = None
) -> tuple[Delivery, ...]:
    """Deliveries of the (name, line) pairs by supplier, with their pallets and charges."""
    delivered = []
    for name in sorted({line.pack.supplier for _, line in lines}):
        supplier = suppliers.get(name, Supplier(name))
        brought = [(item, line) for item, line in lines if line.pack.supplier == name]
        standing = pallets(brought, haul.pallet, lift_limit_kg, _mixes(supplier, haul))
        gate = haul.lift_gate and standing.count > 0
        charges = freight(
            supplier.tariff, standing.count, standing.gross_kg, haul.zone, gate, f"suppliers.{name}.freight"
        )
        goods = sum(millionths(line.price) for _, line in brought if line.price is not None) / MILLIONTHS_PER_UNIT
        short = supplier.small_order_charge if goods < supplier.min_order_value - 0.005 else None
        delivered.append(Delivery(name, goods, standing, charges, freight_total(charges), short or 0.0))
    return tuple(delivered)


def _mixes(supplier: Supplier, haul: Haul) -> bool:
    return haul.mixed if supplier.mixed_pallets is None else supplier.mixed_pallets


def _refuse_faulty(needs: Sequence[Need], suppliers: Mapping[str, Supplier], haul: Haul) -> None:
    for need in needs:
        for pack in need.packs:
            refuse_faulty(pack)
    for name, supplier in suppliers.items():
        if not 0.0 <= supplier.min_order_value < inf:
            problem = message("packaging-order-minimum", value=f"{supplier.min_order_value:g}")
            raise FaultError(f"suppliers.{name}", problem)
        refuse_faulty_tariff(supplier.tariff, f"suppliers.{name}.freight")
        zone_charge(supplier.tariff, haul.zone, f"suppliers.{name}.freight")


def _is_coupled(need: Need, suppliers: Mapping[str, Supplier], haul: Haul) -> bool:
    """Whether freight or an order minimum affects the packs bought for a need."""
    for pack in need.packs:
        supplier = suppliers.get(pack.supplier)
        if supplier is None:
            continue
        tariff = supplier.tariff
        once = tariff.per_delivery or zone_charge(tariff, haul.zone) or supplier.min_order_value or tariff.per_kg
        if once or (pack.per_pallet and (tariff.per_pallet or (haul.lift_gate and tariff.lift_gate))):
            return True
    return False


def _is_least(
    coupled: Sequence[Need], suppliers: Mapping[str, Supplier], haul: Haul, lines: Mapping[str, tuple[Line, ...]]
) -> bool:
    """Whether the cheapest packs of each need alone are also the cheapest joint order, so that no program is needed.

    That is so if they cause no charge that any order would avoid: one delivery, and at most one pallet, of a supplier
    that is the only one to sell something that comes on pallets.
    """
    brought = deliveries([(need.name, line) for need in coupled for line in lines[need.name]], suppliers, haul)
    only = {next(iter(names)) for need in coupled if len(names := {pack.supplier for pack in need.packs}) == 1}
    palletized = {
        need.packs[0].supplier
        for need in coupled
        if len({pack.supplier for pack in need.packs}) == 1 and all(pack.per_pallet for pack in need.packs)
    }
    for delivery in brought:
        supplier = suppliers.get(delivery.supplier)
        if supplier is None:
            continue
        tariff = supplier.tariff
        if tariff.per_kg or delivery.goods < supplier.min_order_value or delivery.pallets > 1:
            return False
        once = tariff.per_delivery or zone_charge(tariff, haul.zone)
        on_pallet = delivery.pallets and (tariff.per_pallet or (haul.lift_gate and tariff.lift_gate))
        if (once and delivery.supplier not in only) or (on_pallet and delivery.supplier not in palletized):
            return False
    return True


def terms_in_cents(suppliers: Mapping[str, Supplier], haul: Haul) -> Terms:
    """Terms of every supplier, in cents."""
    asked = []
    for name, supplier in sorted(suppliers.items()):
        tariff = supplier.tariff
        terms = SupplierTerms(
            once=100.0 * (tariff.per_delivery + zone_charge(tariff, haul.zone)),
            per_pallet=100.0 * tariff.per_pallet,
            per_kg=100.0 * tariff.per_kg,
            gate=100.0 * tariff.lift_gate if haul.lift_gate else 0.0,
            minimum=100.0 * supplier.min_order_value,
            small_order=None if supplier.small_order_charge is None else 100.0 * supplier.small_order_charge,
            mixed=_mixes(supplier, haul),
        )
        asked.append((name, terms))
    return Terms(tuple(asked), haul.pallet.mass_kg, haul.pallet.rated_kg)


def _cheapest(needs: Sequence[Need], terms: Terms) -> tuple[dict[str, dict[int, int]], float]:
    """Counts by column of each need, and a lower bound on their total cost, currency.

    The needs and their packs are sorted first, so that the result does not depend on their order in the job file.
    """
    ordered = sorted(needs, key=lambda need: need.name)
    packs = [sorted(range(len(need.packs)), key=lambda index: _rank(need, index)) for need in ordered]
    canonical = tuple(
        replace(
            need,
            packs=tuple(need.packs[index] for index in indices),
            sizes=tuple(need.sizes[index] for index in indices),
        )
        for need, indices in zip(ordered, packs, strict=True)
    )
    counts, bound = cheapest(canonical, terms)
    return {
        need.name: {2 * indices[column // 2] + column % 2: count for column, count in pairs}
        for need, indices, pairs in zip(ordered, packs, counts, strict=True)
    }, bound


def _rank(need: Need, index: int) -> tuple[str, str, float, float]:
    pack = need.packs[index]
    return pack.supplier, pack.name, need.sizes[index], pack.unit_price or 0.0


def _minimum_costs(
    coupled: Sequence[Need],
    suppliers: Mapping[str, Supplier],
    haul: Haul,
    lines: Mapping[str, tuple[Line, ...]],
    brought: Sequence[Delivery],
) -> dict[str, Decimal]:
    """Extra cost of each supplier's order minimum that affects the order, by supplier.

    If its small-order charge is paid, the extra cost is that charge.
    """

    costs: dict[str, Decimal] = {}
    asking = [name for name, supplier in suppliers.items() if supplier.min_order_value > 0.0]
    if not coupled or not asking:
        return costs
    paid = _price(lines, brought)
    charged = {delivery.supplier: cents(delivery.small_order) for delivery in brought if delivery.small_order}
    for name in asking:
        if name in charged:
            costs[name] = charged[name]
            continue
        freed = dict(suppliers) | {name: replace(suppliers[name], min_order_value=0.0)}
        counts, _ = _cheapest(coupled, terms_in_cents(freed, haul))
        cheaper = {need.name: lines_of(need.offered(), counts[need.name]) for need in coupled}
        without = {**lines, **cheaper}
        unbound = deliveries([(item, line) for item, bought in without.items() for line in bought], freed, haul)
        more = paid - _price(without, unbound)
        if more > CENT_TOLERANCE:
            costs[name] = more
    return costs


def _price(lines: Mapping[str, tuple[Line, ...]], brought: Iterable[Delivery]) -> Decimal:
    goods = total(cents(line.price) for order_lines in lines.values() for line in order_lines if line.price is not None)
    return goods + total(cents(delivery.freight + delivery.small_order) for delivery in brought)
