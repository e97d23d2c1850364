"""order.pdf, order.csv and order.xlsx: what suppliers bring, in whole packs, and what it weighs on the truck."""

from collections.abc import Iterator

from openpyxl import Workbook
from reportlab.platypus import Flowable, Spacer

from estimator.estimate import Estimate
from estimator.report.papers.data_files import Cell, csv_bytes, fill_sheet, workbook_bytes
from estimator.report.papers.style import SMALL, STRONG, Front, bind, facts, say, section, title, words_of
from estimator.report.papers.table import table
from estimator.report.screen import Column
from estimator.report.words import EXAMPLE_PRICES
from estimator.words import Words
from geometry.frozen import frozen

HEADS = ("item", "pack", "supplier", "count", "mass_each_kg", "mass_kg", "unit_price", "price", "currency")
FORMS = ("@", "@", "@", "0", "0.0", "0.0", "#,##0.00", "#,##0.00", "@")
ANY_SUPPLIER = "Supplier not named"


@frozen
class Ordered:
    """One line of an order."""

    item: str
    pack: str
    supplier: str
    count: int
    mass_each_kg: float | None
    unit_price: float | None
    price: float | None
    needed_by: str | None  # the working day before its first use; None where the job has no dates

    @property
    def mass_kg(self) -> float | None:
        return None if self.mass_each_kg is None else self.count * self.mass_each_kg

    def cells(self, currency: str) -> tuple[Cell, ...]:
        """In the order of HEADS."""
        return (
            self.item,
            self.pack,
            self.supplier,
            self.count,
            self.mass_each_kg,
            self.mass_kg,
            self.unit_price,
            self.price,
            currency,
        )


def lines_of(estimate: Estimate) -> list[Ordered]:
    """Every pack that is bought: materials of the recipes, then what the job uses up beside them."""
    return sorted(_lines(estimate), key=lambda line: line.supplier == "")


def _lines(estimate: Estimate) -> Iterator[Ordered]:
    calendar, supply = estimate.calendar, estimate.supply
    needed = {name: calendar.date_of(day) for name, day in calendar.needed.items()}
    bought = [(line.material, line.lines) for line in estimate.materials.lines]
    bought += [(used.material, used.order.lines) for used in supply.consumables]
    for name, lines in bought:
        material = estimate.job.materials.get(name)
        if material is not None and material.kind == "water":
            continue
        for line in lines:
            pack = line.pack
            yield Ordered(
                name, pack.name, pack.supplier, line.count, pack.mass_kg, line.unit_price, line.price, needed.get(name)
            )


def order(estimate: Estimate) -> bytes:
    """The order as PDF, a part a supplier where packs name theirs."""
    front, words = Front("Order", estimate.job), words_of(estimate)
    lines = lines_of(estimate)
    story = [
        *title(front, "whole packs; what is on the shelf is taken off"),
        *facts(_facts(estimate, lines, words), front.width),
    ]
    suppliers = list(dict.fromkeys(line.supplier for line in lines))
    for supplier in suppliers:
        own = [line for line in lines if line.supplier == supplier]
        heading = supplier or (ANY_SUPPLIER if len(suppliers) > 1 else "Packs")
        story += section(heading, _table(own, front, words))
    story += _without_packs(estimate, front, words)
    story += [Spacer(0, 8), say(EXAMPLE_PRICES, SMALL)]
    if any(line.price is None for line in lines):
        story.append(say("Lines without a price are not in the sums: ask for it.", STRONG))
    return bind(front, story)


def _facts(estimate: Estimate, lines: list[Ordered], words: Words) -> list[tuple[str, str]]:
    business, deliveries = estimate.job.business, estimate.materials.deliveries
    pallets, gross_kg = (
        sum(delivery.pallets for delivery in deliveries),
        sum(delivery.gross_kg for delivery in deliveries),
    )
    pairs = [("Ordered by", business.name)] if business.name else []
    pairs.append(("Packs", str(sum(line.count for line in lines))))
    if pallets:
        pairs.append(("Pallets", str(pallets)))
    if gross_kg:
        pairs.append(("Gross, pallets in", words.mass(gross_kg, up=True)))
    days = [line.needed_by for line in lines if line.needed_by is not None]
    if days:
        pairs.append(("First needed by", min(days)))
    return pairs


def _table(lines: list[Ordered], front: Front, words: Words) -> Flowable:
    def mass(mass_kg: float | None) -> str:
        return "—" if mass_kg is None else words.mass(mass_kg)

    dated = any(line.needed_by for line in lines)
    rows = [
        (
            str(line.count),
            line.pack,
            line.item,
            mass(line.mass_each_kg),
            mass(line.mass_kg),
            words.money(line.unit_price),
            words.money(line.price),
            *((line.needed_by or "",) if dated else ()),
        )
        for line in lines
    ]
    columns = (
        Column("Count"),
        Column("Pack", False),
        Column("Of", False),
        Column("Each holds"),
        Column("Together"),
        Column("Each"),
        Column(words.currency),
        *((Column("Needed by", False),) if dated else ()),
    )
    masses = [line.mass_kg for line in lines if line.mass_kg is not None]
    prices = [line.price for line in lines if line.price is not None]
    count, price = str(sum(line.count for line in lines)), words.money(sum(prices))
    totals = (count, "", "", "", mass(sum(masses)), "", price, *(("",) if dated else ()))
    return table(columns, rows, front.width, totals=totals)


def _without_packs(estimate: Estimate, front: Front, words: Words) -> list[Flowable]:
    """Materials that are bought by mass, and those that the shelf covers."""
    unpacked = [line for line in estimate.materials.lines if not line.lines]
    loose = [
        (line.material, words.mass(line.bought_kg))
        for line in unpacked
        if line.bought_kg > 0.0 and line.material != "water"
    ]
    held = [
        (line.material, words.mass(line.on_hand_kg), words.mass(line.required_kg))
        for line in unpacked
        if line.bought_kg == 0.0 and line.required_kg > 0.0
    ]
    parts: list[Flowable] = []
    if loose:
        parts += section("By mass, no pack known", table((Column("Of", False), Column("Mass")), loose, front.width / 2))
    if held:
        heads = (Column("Of", False), Column("On the shelf"), Column("Needed"))
        parts += section("Not ordered: the shelf covers it", table(heads, held, front.width / 2))
    return parts


def order_csv(estimate: Estimate) -> bytes:
    """The order for another program, a row a pack."""
    currency = estimate.job.currency
    return csv_bytes(HEADS, (line.cells(currency) for line in lines_of(estimate)))


def order_xlsx(estimate: Estimate) -> bytes:
    """The order as a workbook, a row a pack."""
    book = Workbook()
    sheet = book.active
    sheet.title = "Order"
    currency = estimate.job.currency
    fill_sheet(sheet, HEADS, [line.cells(currency) for line in lines_of(estimate)], FORMS)
    return workbook_bytes(book, f"Order · {estimate.job.name}", estimate.job.date)
