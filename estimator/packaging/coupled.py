"""The cheapest order of many materials together, where suppliers and freight couple them.

Freight by the pallet and by mass is a matter of each line and goes into its price. What a delivery costs once, the
lift-gate, the zone, and the least value that a supplier asks for are matters of which suppliers are used at all. For
each set of suppliers the materials part again, so that enumeration finds the optimum; only where a least value binds
do they not, and HiGHS decides, over what cannot be ruled out.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from estimator.packaging.binding import cheapest_that_meets
from estimator.packaging.deliveries import Delivery, deliveries
from estimator.packaging.faults import PackagingError
from estimator.packaging.freight import refuse_faulty_tariff, zone_charge
from estimator.packaging.offers import Haul, Need, Offer, line_cost, offer_of, without_suppliers
from estimator.packaging.order import (
    Order,
    line_of,
    lines_of,
    masses,
    order_of,
    refuse_faulty_amounts,
)
from estimator.packaging.price import MILLIONTHS_PER_UNIT, millionths
from estimator.packaging.search import cheapest_counts
from estimator.packaging.solver import Cover, Terms, solved_counts, solved_together
from estimator.supplies import Supplier

MOST_SUPPLIERS_TRIED = 6  # their sets double with each; beyond, HiGHS chooses among them
SOLVER_LIMIT_S = 2.0  # beyond that many suppliers, or for a first order that reaches the least values
BINDING_LIMIT_S = 2.0  # of the processor, for each set of suppliers whose least value binds; then it is not proven
CENT_TOLERANCE = 0.02  # freight by mass is rounded for the whole delivery, not pack by pack
PROOF_TRIALS = 20_000  # for one material and one set of suppliers


@dataclass(frozen=True, slots=True)
class JointOrder:
    """The order of all materials."""

    orders: Mapping[str, Order]
    deliveries: tuple[Delivery, ...]
    goods: float | None  # sum of the orders; None where one has no total
    freight: float
    total: float | None
    proven: bool  # nothing is cheaper; False where HiGHS ran out of time on a least value that binds


@dataclass(frozen=True, slots=True)
class _Plan:
    """Counts by column for every offer, and what they cost with all freight, millionths."""

    counts: tuple[Mapping[int, int], ...]
    cost: int
    meets_terms: bool
    proven: bool = True


def order_together(needs: Sequence[Need], suppliers: Mapping[str, Supplier], haul: Haul | None = None) -> JointOrder:
    """The order of all materials that costs least, goods and freight together.

    needs      the materials; each pack names its supplier, or none
    suppliers  by name; their least values and tariffs
    haul       where and how they deliver

    Exactly the cheapest, freight by mass counted to a millionth of the currency a pack. Each kind of pack stands on
    pallets of its own. A material without any price is ordered by what leaves least over; its freight is counted,
    but the order has no total.
    Raises PackagingError for a pack, supplier or amount that contradicts itself, and where the least values can be
    met by no order.
    """
    haul = haul or Haul()
    _refuse_faulty(needs, suppliers, haul)
    offers = [offer_of(need, suppliers, haul) for need in needs]
    plan = _cheapest(offers, suppliers, haul)
    if plan is None or not plan.meets_terms:
        found_none = plan is None or plan.proven
        raise PackagingError(
            "no order reaches the least value that its suppliers ask for."
            if found_none
            else "no order that reaches the least values of its suppliers was found in time.",
            "Add packs of another supplier, or ask for a smaller order.",
            "suppliers",
        )
    orders = {
        offer.need.material: order_of(
            lines_of(offer.packs, counts),
            offer.need.required_kg,
            offer.need.packs,
            offer.need.on_hand_kg,
            offer.need.reserve_kg,
            ties_settled=False,
        )
        for offer, counts in zip(offers, plan.counts, strict=True)
    }
    brought = deliveries([(name, line) for name, made in orders.items() for line in made.lines], suppliers, haul)
    costs = [made.purchase_cost for made in orders.values()]
    known = [cost for cost in costs if cost is not None]
    goods = _sum(known) if len(known) == len(costs) else None
    carriage = _sum([delivery.freight for delivery in brought])
    total = None if goods is None else _sum([goods, carriage])
    # on shared pallets the plan counts shares of them, whole ones cost more
    shares = haul.mixed or any(supplier.tariff.shared for supplier in suppliers.values())
    over = 0.0 if total is None or not shares else total - plan.cost / MILLIONTHS_PER_UNIT
    return JointOrder(orders, brought, goods, carriage, total, plan.proven and over <= CENT_TOLERANCE)


def _refuse_faulty(needs: Sequence[Need], suppliers: Mapping[str, Supplier], haul: Haul) -> None:
    seen: set[str] = set()
    for need in needs:
        if need.material in seen:
            raise PackagingError(f"{need.material} is needed twice.", "Add its needs up first.", need.material)
        seen.add(need.material)
        refuse_faulty_amounts(need.required_kg, need.on_hand_kg, need.reserve_kg)
        masses(need.packs, f"materials.{need.material}.packs")
        for pack in need.packs:
            if pack.supplier and pack.supplier not in suppliers:
                raise PackagingError(
                    f'pack "{pack.name}" comes from "{pack.supplier}", which is not among the suppliers.',
                    f"List it under suppliers, or choose one of {', '.join(sorted(suppliers)) or 'none'}.",
                    f"materials.{need.material}.packs.{pack.name}.supplier",
                )
    for name, supplier in suppliers.items():
        if not 0.0 <= supplier.least_value < float("inf"):
            raise PackagingError(
                f"a least value of {supplier.least_value:g} is none.", "Give zero or more.", f"suppliers.{name}"
            )
        refuse_faulty_tariff(supplier.tariff, f"suppliers.{name}.freight")
        zone_charge(supplier.tariff, haul.zone, f"suppliers.{name}.freight")


def _terms(suppliers: Mapping[str, Supplier], haul: Haul) -> dict[str, Terms]:
    """What each supplier asks for once; those who ask for nothing left out."""
    found = {}
    for name, supplier in suppliers.items():
        once = millionths(supplier.tariff.per_delivery) + millionths(zone_charge(supplier.tariff, haul.zone))
        once += millionths(supplier.tariff.lift_gate) if haul.lift_gate else 0
        if once or supplier.least_value:
            found[name] = Terms(once, millionths(supplier.least_value))
    return found


def _cheapest(offers: Sequence[Offer], suppliers: Mapping[str, Supplier], haul: Haul) -> _Plan | None:
    """The cheapest plan: no order from exactly these suppliers costs less than what they cost with free choice."""
    sold = {pack.supplier for offer in offers if offer.amount > offer.tolerance for _, pack, _ in offer.packs}
    terms = {name: asked for name, asked in _terms(suppliers, haul).items() if name in sold}
    if len(terms) > MOST_SUPPLIERS_TRIED:
        return _by_solver(offers, terms)
    known: dict[tuple[int, frozenset[str]], Mapping[int, int] | None] = {}
    best: _Plan | None = None
    short: list[tuple[frozenset[str], _Plan]] = []  # sets of suppliers whose cheapest misses a least value
    free = 0  # what the goods and the freight of their lines cost at least, whoever delivers
    for shut in _sets(terms):
        if best is not None and free + sum(terms[name].delivery for name in terms if name not in shut) > best.cost:
            continue
        counts = []
        for number, offer in enumerate(offers):
            without = frozenset(shut & {pack.supplier for _, pack, _ in offer.packs})
            if (number, without) not in known:
                known[number, without] = _alone(offer, without)
            counts.append(known[number, without])
        if any(found is None for found in counts):
            continue
        plan = _plan(offers, [found for found in counts if found is not None], terms)
        if not shut:
            free = sum(line_cost(offer, found) for offer, found in zip(offers, plan.counts, strict=True))
        if not plan.meets_terms:
            short.append((shut, plan))
            plan = _topped_up(offers, plan, terms) or plan
        if plan.meets_terms and (best is None or plan.cost < best.cost):
            best = plan
    proven = True
    for shut, plan in sorted(short, key=lambda pair: pair[1].cost):
        if best is not None and best.cost <= plan.cost:
            break
        met = _meeting(offers, shut, plan, terms, best)
        proven = proven and met.proven
        if met.meets_terms and (best is None or met.cost < best.cost):
            best = met
    return None if best is None else replace(best, proven=proven)


def _sets(terms: Mapping[str, Terms]) -> Iterator[frozenset[str]]:
    """Every set of suppliers that may be left out, the smallest first."""
    for number in range(len(terms) + 1):
        yield from (frozenset(shut) for shut in combinations(sorted(terms), number))


def _alone(offer: Offer, without: frozenset[str]) -> Mapping[int, int] | None:
    """The cheapest counts of one material without some suppliers; None where they alone sell it."""
    if offer.amount <= offer.tolerance or not offer.packs:
        return {}
    ways = [
        choices for (_, pack, _), choices in zip(offer.packs, offer.ways, strict=True) if pack.supplier not in without
    ]
    if not ways:
        return None
    found = cheapest_counts(offer.amount, offer.tolerance, ways, PROOF_TRIALS)
    return found.counts if found.cheapest else solved_counts(offer.amount, offer.tolerance, ways)


def _goods(offers: Sequence[Offer], counts: Sequence[Mapping[int, int]]) -> dict[str, int]:
    """Value of the goods by supplier, millionths; every supplier that delivers is in it."""
    value: dict[str, int] = {}
    for offer, found in zip(offers, counts, strict=True):
        for line in lines_of(offer.packs, found):
            value[line.pack.supplier] = value.get(line.pack.supplier, 0) + millionths(line.price or 0.0)
    return value


def _plan(offers: Sequence[Offer], counts: Sequence[Mapping[int, int]], terms: Mapping[str, Terms]) -> _Plan:
    goods = _goods(offers, counts)
    cost = sum(line_cost(offer, found) for offer, found in zip(offers, counts, strict=True))
    cost += sum(terms[name].delivery for name in goods if name in terms)
    return _Plan(tuple(counts), cost, all(goods[name] >= terms[name].least_value for name in goods if name in terms))


def _topped_up(offers: Sequence[Offer], plan: _Plan, terms: Mapping[str, Terms]) -> _Plan | None:
    """A plan that meets the least values by more of one pack at each supplier: seldom the best, but a ceiling."""
    for name, value in sorted(_goods(offers, plan.counts).items()):
        lacking = terms[name].least_value - value if name in terms else 0
        if lacking <= 0:
            continue
        found: list[_Plan] = []
        for number, offer in enumerate(offers):
            for index, pack, _ in offer.packs:
                prices = {pack.unit_price or 0.0, *(step.unit_price for step in pack.breaks)}
                if pack.supplier != name:
                    continue
                have = plan.counts[number].get(2 * index, 0)
                line = millionths(line_of(pack, 1.0, have, 0).price or 0.0) if have else 0
                for price in filter(None, map(millionths, prices)):
                    counts = [dict(one) for one in plan.counts]
                    # a break that more packs reach takes value off those before it too
                    counts[number][2 * index] = max(have, -(-(line + lacking) // price), pack.minimum)
                    found.append(_plan(offers, counts, terms))
        reached = [one for one in found if _goods(offers, one.counts)[name] >= terms[name].least_value]
        if not reached:
            return None
        plan = min(reached, key=lambda one: one.cost)
    return plan if plan.meets_terms else None


def _meeting(
    offers: Sequence[Offer], shut: frozenset[str], plan: _Plan, terms: Mapping[str, Terms], best: _Plan | None
) -> _Plan:
    """The cheapest plan in which all suppliers that are not shut deliver and reach their least values.

    plan   the cheapest without least values
    best   to be beaten; None: no plan is known, and HiGHS looks for the first
    """
    asked = {name: term for name, term in terms.items() if name not in shut}
    open_offers = [without_suppliers(offer, shut) for offer in offers]
    if best is None:
        solved = _by_solver(open_offers, asked)
        return replace(plan, meets_terms=False) if solved is None else solved
    least = {name: term.least_value for name, term in asked.items() if term.least_value}
    ceiling = best.cost - sum(term.delivery for term in asked.values())
    met = cheapest_that_meets(open_offers, least, plan.counts, ceiling, BINDING_LIMIT_S)
    if met.counts is None:
        return replace(plan, meets_terms=False, proven=met.proven)
    return replace(_plan(offers, met.counts, terms), proven=met.proven)


def _by_solver(offers: Sequence[Offer], terms: Mapping[str, Terms], limit_s: float = SOLVER_LIMIT_S) -> _Plan | None:
    wanted = [number for number, offer in enumerate(offers) if offer.packs and offer.amount > offer.tolerance]
    covers = [
        Cover(offers[n].amount, offers[n].tolerance, offers[n].ways, [pack.supplier for _, pack, _ in offers[n].packs])
        for n in wanted
    ]
    solved, proven = solved_together(covers, terms, limit_s) if covers else ([], True)
    if solved is None:
        return None if proven else _Plan((), 0, meets_terms=False, proven=False)
    by_number = dict(zip(wanted, solved, strict=True))
    plan = _plan(offers, [by_number.get(number, {}) for number in range(len(offers))], terms)
    return replace(plan, proven=proven)


def _sum(amounts: Sequence[float]) -> float:
    return sum(millionths(amount) for amount in amounts) / MILLIONTHS_PER_UNIT
