"""purchase-orders/*.pdf, one for each supplier, and material-list.pdf, which stays in the shop."""

from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal
from math import ceil

from reportlab.platypus import Flowable, KeepTogether, Spacer

from estimator.constants import POUND_KG
from estimator.estimate import Estimate
from estimator.money import cents, total
from estimator.packaging.together import Delivery
from estimator.report.papers.data_files import file_names
from estimator.report.papers.letter import (
    BETWEEN,
    addresses,
    in_shop_type,
    letter_title,
    letterhead,
    side_by_side,
    signature_lines,
)
from estimator.report.papers.order import Ordered, in_measure, is_liquid, lines_of
from estimator.report.papers.style import SMALL, STRONG, Front, bind, facts, say, section, title, words_of
from estimator.report.papers.table import table
from estimator.report.screen import Column
from estimator.supplies import Supplier
from estimator.words import Words

Rows = list[tuple[str, ...]]


def purchase_orders(estimate: Estimate) -> dict[str, bytes]:
    """A purchase order for each supplier that something is bought from, by its path in the pack."""
    words = words_of(estimate)
    by_supplier: dict[str, list[Ordered]] = {}
    for line in lines_of(estimate):
        by_supplier.setdefault(line.supplier, []).append(line)
    deliveries = {delivery.supplier: delivery for delivery in estimate.materials.deliveries}
    stems = [supplier or words("order-supplier-unnamed") for supplier in by_supplier]
    names = file_names(stems, "purchase-orders", "pdf")
    orders = {}
    for number, (supplier, lines) in enumerate(by_supplier.items(), start=1):
        terms = estimate.job.suppliers.get(supplier, Supplier(supplier))
        own = f"{estimate.job.number}-P{number}" if estimate.job.number else ""
        order = (terms, terms.order_number or own, lines, deliveries.get(supplier))
        orders[names[stems[number - 1]]] = _purchase_order(estimate, *order, words)
    return orders


def _purchase_order(
    estimate: Estimate,
    supplier: Supplier,
    number: str,
    lines: Sequence[Ordered],
    delivery: Delivery | None,
    words: Words,
) -> bytes:
    job = estimate.job
    name = words("order-title-number", number=number) if number else words("order-title")
    front = Front(name, job)
    with in_shop_type(job):
        return bind(
            front,
            [
                *letterhead(front, words),
                *letter_title(front, words("order-purpose")),
                *_addresses(front, supplier, words),
                *facts(_days(estimate, supplier, number, lines, words), front.width),
                *facts(list(_load(lines, delivery, words)), front.width),
                *section(words("order-items"), _items(lines, front, words)),
                *_remarks(lines, words),
                KeepTogether([Spacer(0, 8), _sums(lines, delivery, front, words)]),
            ],
        )


def _addresses(front: Front, supplier: Supplier, words: Words) -> list[Flowable]:
    business, receiving = front.job.business, front.job.receiving
    name = [supplier.name or "______________________________"]
    to = receiving.address or business.address
    driver = [receiving.hours] if receiving.hours else []
    driver += [words("order-lift-gate")] if receiving.lift_gate else []
    ship_to = [*([business.name] if business.name else []), *to, *driver]
    return addresses(
        [
            (words("order-supplier"), [*name, *supplier.address, *supplier.contact]),
            (words("order-ship-to"), ship_to),
        ],
        front.width,
    )


def _days(
    estimate: Estimate, supplier: Supplier, number: str, lines: Sequence[Ordered], words: Words
) -> list[tuple[str, str]]:
    job = estimate.job
    needed = [line.needed_by for line in lines if line.needed_by]
    pairs = [
        (words("order-number"), number or "______________"),
        (words("order-date"), words.date(job.date) if job.date else words("order-undated")),
        (words("order-required-by"), words.date(min(needed)) if needed else words("order-as-agreed")),
        (words("order-job"), job.name),
    ]
    return [*pairs, (words("order-account"), supplier.account)] if supplier.account else pairs


def _load(lines: Sequence[Ordered], delivery: Delivery | None, words: Words) -> Iterator[tuple[str, str]]:
    """Packages, pallets and gross weight of a delivery, as labeled facts."""
    yield words("order-packages"), words.count(sum(line.count for line in lines))
    if delivery is not None:
        if delivery.pallets:
            yield words("order-pallets"), words.count(delivery.pallets)
        yield words("order-gross"), words.mass(delivery.gross_kg, up=True)


def _items(lines: Sequence[Ordered], front: Front, words: Words) -> Flowable:
    """A line for each pack: the supplier's item number, trade name, package, price and weight."""
    dates = {line.needed_by for line in lines if line.needed_by}
    heads = [
        *([Column(words("order-item-number"), False)] if any(line.item for line in lines) else []),
        Column(words("order-item"), False),
        Column(words("order-pack"), False),
        *([Column(words("order-needed-by"), False)] if len(dates) > 1 else []),
        Column(words("order-quantity")),
        Column(words("order-weight", unit=words.mass_unit)),
        Column(words("order-unit-price")),
        Column(words("order-amount")),
    ]
    rows: Rows = []
    for line in lines:
        row = [line.item] if any(other.item for other in lines) else []
        row += [line.title, line.package(words)]
        row += [words.date(line.needed_by) if line.needed_by else ""] if len(dates) > 1 else []
        row += [words.count(line.count), "—" if line.mass_kg is None else _weight(line.mass_kg, words)]
        rows.append((*row, words.price(line.unit_price), words.price(line.price)))
    count = words.count(sum(line.count for line in lines))
    weight = _weight(sum(line.mass_kg or 0.0 for line in lines), words)
    blank = len(heads) - 5
    totals = (words("order-goods"), *[""] * blank, count, weight, "", words.price(_goods(lines)))
    return table(heads, rows, front.width, totals=totals)


def _weight(mass_kg: float, words: Words) -> str:
    """Whole pounds or kilograms, rounded up, for a column whose head names the unit."""
    return words.count(ceil(mass_kg / (POUND_KG if words.units == "imperial" else 1.0) - 1e-6))


def _goods(lines: Sequence[Ordered]) -> Decimal:
    return total(cents(line.price) for line in lines if line.price is not None)


def _sums(lines: Sequence[Ordered], delivery: Delivery | None, front: Front, words: Words) -> Flowable:
    """Room to sign at the left, freight and total at the right."""
    half = (front.width - BETWEEN) / 2.0
    summed = _summed(lines, [] if delivery is None else [delivery], half, words)
    return side_by_side(signature_lines(half, words, [words("order-signed")]), [summed], front.width)


def _summed(lines: Sequence[Ordered], deliveries: Sequence[Delivery], width: float, words: Words) -> Flowable:
    """Goods, freight and small-order charges, and their total."""
    charges = [(words.text(charge.label), cents(charge.amount)) for own in deliveries for charge in own.charges]
    charges += [(words("order-small-order"), cents(own.small_order)) for own in deliveries if own.small_order]
    whole = _goods(lines) + total(amount for _, amount in charges)
    rows = [(words("order-goods"), _goods(lines)), *charges]
    columns = (Column("", False), Column(words.currency))
    cells = [(text, words.price(amount)) for text, amount in rows]
    return table(columns, cells, width, totals=(words("order-total"), words.price(whole)))


def _remarks(lines: Sequence[Ordered], words: Words) -> Iterator[Flowable]:
    unweighed = list(dict.fromkeys(line.title for line in lines if line.mass_each_kg is None))
    if unweighed:
        yield say(words("order-unweighed", items=unweighed), SMALL)
    if any(line.price is None for line in lines):
        yield say(words("order-unpriced"), STRONG)


def title_of(material: str, estimate: Estimate, words: Words) -> str:
    """Trade name of a material; its key stays in the data files."""
    return words.name(estimate.job.materials[material])


# The material list


def material_list(estimate: Estimate) -> bytes:
    """What the job needs, what lies in stock and what is ordered, as PDF; with prices, for the shop alone."""
    words = words_of(estimate)
    front = Front(words("material-list-title"), estimate.job)
    lines = lines_of(estimate)
    story = [
        *title(front, words("material-list-purpose")),
        *facts(list(_facts(estimate, lines, words)), front.width),
        *section(words("material-list-order"), _to_order(estimate, lines, front, words)),
        *_with_freight(estimate, lines, front, words),
        *_without_packs(estimate, front, words),
        Spacer(0, 8),
    ]
    if any(line.price is None for line in lines):
        story.append(say(words("material-list-unpriced"), STRONG))
    story.append(say(words("material-list-examples"), SMALL))
    return bind(front, story)


def _facts(estimate: Estimate, lines: Sequence[Ordered], words: Words) -> Iterator[tuple[str, str]]:
    deliveries = estimate.materials.deliveries
    yield words("order-packages"), words.count(sum(line.count for line in lines))
    pallets = sum(delivery.pallets for delivery in deliveries)
    if pallets:
        yield words("order-pallets"), words.count(pallets)
    gross_kg = sum(delivery.gross_kg for delivery in deliveries)
    if gross_kg:
        yield words("order-gross"), words.mass(gross_kg, up=True)
    days = [line.needed_by for line in lines if line.needed_by is not None]
    if days:
        yield words("material-list-first-needed"), words.date(min(days))
    yield words("material-list-order-total"), words.price(_goods(lines) + estimate.materials.paid)


def _to_order(estimate: Estimate, lines: Sequence[Ordered], front: Front, words: Words) -> Flowable:
    """A line for each material that is bought: needed, in stock, what is ordered from whom, what is left."""
    amounts = _amounts(estimate, words)
    by_material: dict[str, list[Ordered]] = {}
    for line in lines:
        by_material.setdefault(line.material, []).append(line)
    named, stocked = any(line.supplier for line in lines), any(amounts[material][1] for material in by_material)
    rows: Rows = []
    for material, own in by_material.items():
        needed, in_stock, left = amounts[material]
        prices = [line.price for line in own]
        price = None if None in prices else total(cents(price) for price in prices if price is not None)
        row = [title_of(material, estimate, words), needed, *([in_stock] if stocked else [])]
        row.append("\n".join(f"{words.count(line.count)} × {line.package(words)}" for line in own))
        row += ["\n".join(line.supplier for line in own)] if named else []
        rows.append((*row, left, words.money(price)))
    ids = ["material", "needed", *(["in-stock"] if stocked else []), "packages"]
    ids += [*(["supplier"] if named else []), "left-over"]
    columns = [Column(words(f"material-list-{id}"), False) for id in ids]
    columns.append(Column(words("material-list-amount", currency=words.currency)))
    blank = [""] * (len(columns) - 2)
    return table(columns, rows, front.width, totals=(words("material-list-total"), *blank, words.money(_goods(lines))))


def _with_freight(estimate: Estimate, lines: Sequence[Ordered], front: Front, words: Words) -> list[Flowable]:
    """What is paid beside the goods, where the sum at the head of the page has more than they cost."""
    deliveries = [delivery for delivery in estimate.materials.deliveries if delivery.charges or delivery.small_order]
    half = (front.width - BETWEEN) / 2.0
    if not deliveries:
        return []
    return [Spacer(0, 8), side_by_side([], [_summed(lines, deliveries, half, words)], front.width)]


def _amounts(estimate: Estimate, words: Words) -> Mapping[str, tuple[str, str, str]]:
    """Needed, in stock and left over of each material, in the measure by which it is used."""
    amounts = {
        line.material: (
            words.mass(line.required_kg),
            words.mass(line.on_hand_kg) if line.on_hand_kg else "",
            words.mass(line.left_over_kg),
        )
        for line in estimate.materials.lines
    }
    for order in [used.order for used in estimate.supply.consumables] + list(estimate.supply.forms.materials):
        needed, on_hand, left = (
            in_measure(amount, order.measure, words, liquid=is_liquid(order.name, estimate))
            for amount in (order.required, order.on_hand, order.left_over)
        )
        amounts[order.name] = needed, on_hand if order.on_hand else "", left if order.left_over else ""
    return amounts


def _without_packs(estimate: Estimate, front: Front, words: Words) -> list[Flowable]:
    """Materials that are bought by mass, and those that the stock covers."""
    unpacked = [line for line in estimate.materials.lines if not line.lines and not line.from_tap]
    loose = [
        (title_of(line.material, estimate, words), words.mass(line.bought_kg))
        for line in unpacked
        if line.bought_kg > 0.0
    ]
    in_stock = [
        (title_of(line.material, estimate, words), words.mass(line.required_kg), words.mass(line.on_hand_kg))
        for line in unpacked
        if line.bought_kg == 0.0 and line.required_kg > 0.0
    ]
    in_stock += [
        (title_of(order.name, estimate, words), *_amounts(estimate, words)[order.name][:2])
        for order in (used.order for used in estimate.supply.consumables)
        if not order.lines and order.required > 0.0 and order.on_hand >= order.required
    ]
    material, needed = Column(words("material-list-material"), False), Column(words("material-list-needed"), False)
    parts: list[Flowable] = []
    if loose:
        parts += section(words("material-list-by-mass"), table((material, needed), loose, 0.6 * front.width))
    if in_stock:
        columns = (material, needed, Column(words("material-list-in-stock"), False))
        parts += section(words("material-list-stock"), table(columns, in_stock, 0.6 * front.width))
    return parts
