"""What is bought: a line for each pack, and order.csv and order.xlsx, which other programs read."""

import re
from collections.abc import Iterator

from openpyxl import Workbook

from estimator.estimate import Estimate
from estimator.job import Pack
from estimator.report.papers.data_files import Cell, as_day, beside_si, csv_bytes, fill_sheet, workbook_bytes
from estimator.report.papers.style import words_of
from estimator.supplies import Measure
from estimator.words import Words
from geometry.frozen import frozen

HEADS = (
    *("item", "pack", "supplier", "count", "mass_each_kg", "mass_kg", "unit_price", "price", "currency"),
    *("title", "item_number", "needed_by"),
)
FORMS = ("@", "@", "@", "0", "0.0", "0.0", "#,##0.00", "#,##0.00", "@", "@", "@", "@")
LIQUID_KG_M3 = 500.0  # what weighs less by volume is foam or bead, and no liquid


@frozen
class Ordered:
    """One line of an order."""

    material: str
    title: str  # trade name
    packed: Pack
    measure: Measure  # of the need
    liquid: bool
    count: int
    unit_price: float | None
    price: float | None
    needed_by: str | None  # the working day before its first use; None where the job has no dates

    @property
    def pack(self) -> str:
        return self.packed.name

    @property
    def supplier(self) -> str:
        return self.packed.supplier

    @property
    def item(self) -> str:
        """The supplier's item number."""
        return self.packed.item

    @property
    def mass_each_kg(self) -> float | None:
        return self.packed.mass_kg

    @property
    def mass_kg(self) -> float | None:
        return None if self.mass_each_kg is None else self.count * self.mass_each_kg

    def holds(self, words: Words) -> str:
        """What one pack holds, as it is sold: by volume, by area, length or number, or by mass."""
        pack = self.packed
        if pack.quantity is not None and self.measure in ("m2", "m", "piece"):
            text = in_measure(pack.quantity, self.measure, words)
        elif pack.volume_m3 is not None:
            text = words.bucketful(pack.volume_m3) if self.liquid else words.volume(pack.volume_m3)
        else:
            text = "" if pack.mass_kg is None else words.mass(pack.mass_kg)
        _, decimal = words.number_signs
        return re.sub(rf"{re.escape(decimal)}0+(?= )", "", text)  # a pack is sold by whole units, and says so

    def package(self, words: Words) -> str:
        """The pack with what it holds, "bag, 94 lb", unless its name has the size."""
        holds = self.holds(words)
        sized = any(letter.isdigit() for letter in self.pack)
        return f"{self.pack}, {holds}" if holds and not sized else self.pack

    def cells(self, currency: str) -> tuple[Cell, ...]:
        """Cells of the line, in the order of HEADS."""
        return (
            self.material,
            self.pack,
            self.supplier,
            self.count,
            self.mass_each_kg,
            self.mass_kg,
            self.unit_price,
            self.price,
            currency,
            self.title,
            self.item,
            self.needed_by,
        )


def in_measure(amount: float, measure: str, words: Words, *, liquid: bool = False) -> str:
    """An amount in the job's unit of its measure."""
    match measure:
        case "piece":
            return words("order-pieces", count=round(amount))
        case "kg":
            return words.mass(amount)
        case "m2":
            return words.goods_area(amount)
        case "m":
            return words.distance(amount)
    return words.bucketful(amount) if liquid else words.volume(amount)


def is_liquid(material: str, estimate: Estimate) -> bool:
    """Whether a consumable that is needed by volume is poured."""
    return (estimate.job.materials[material].density_kg_m3 or 0.0) >= LIQUID_KG_M3


def lines_of(estimate: Estimate) -> list[Ordered]:
    """Every pack that is bought: materials of the recipes, then what the job uses up beside them, by supplier."""
    lines = list(_lines(estimate))
    suppliers = sorted({line.supplier for line in lines}, key=lambda name: (not name, name.casefold()))
    return sorted(lines, key=lambda line: suppliers.index(line.supplier))


def _lines(estimate: Estimate) -> Iterator[Ordered]:
    """Lines of these materials, in their order."""
    calendar, words = estimate.calendar, words_of(estimate)
    needed = {name: calendar.date_of(day) for name, day in calendar.needed.items()}
    for item in estimate.supply.bought:
        name, material = item.name, estimate.job.materials[item.name]
        liquid = material.solids < 1.0 or (material.kind == "consumable" and is_liquid(name, estimate))
        for line in item.lines:
            about = name, words.name(material), line.pack, item.measure, liquid
            yield Ordered(*about, line.count, line.unit_price, line.price, needed.get(name))


def order_csv(estimate: Estimate) -> bytes:
    """The order for another program, a row a pack."""
    rows = (line.cells(estimate.job.currency) for line in lines_of(estimate))
    return csv_bytes(*beside_si(HEADS, rows, estimate.job.units))


def order_xlsx(estimate: Estimate) -> bytes:
    """The order as a workbook, a row a pack."""
    words, currency = words_of(estimate), estimate.job.currency
    book = Workbook()
    sheet = book.active
    sheet.title = words("workbook-order")
    rows = ([*line.cells(currency)[:-1], as_day(line.needed_by)] for line in lines_of(estimate))
    heads, cells = beside_si(HEADS, rows, estimate.job.units)
    fill_sheet(sheet, heads, list(cells), [*FORMS, *["0.0"] * (len(heads) - len(HEADS))])
    return workbook_bytes(book, f"{sheet.title} · {estimate.job.name}", estimate.job.date)
