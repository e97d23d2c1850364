"""Purchases of a job: materials, consumables, forms, samples."""

from collections.abc import Container, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from itertools import repeat
from math import ceil
from operator import add
from typing import Any, get_args

from estimator.batching import Batching
from estimator.constants import DAY_S
from estimator.errors import FaultError
from estimator.job import Job, Piece
from estimator.mix import MixDesign
from estimator.money import ZERO, cents, round2, total
from estimator.notices import Notice
from estimator.packaging.consumables import ConsumableOrder, Extent, UsedUp, extent_of, order_amount, use_up
from estimator.packaging.forms import (
    FORM_BOARD,
    FORM_MATERIAL,
    FormSet,
    Samples,
    boards_of,
    fitted,
    form_set,
    samples,
)
from estimator.packaging.freight import PalletLoad
from estimator.packaging.materials import (
    MaterialOrders,
    ShelfItem,
    cost_per_m3,
    free_notices,
    from_the_tap,
    haul_of,
    is_special,
    material_needs,
    material_orders,
    required_kg,
    shelf,
    terms_of,
)
from estimator.packaging.nesting import Board, Nesting, Sheet, is_too_long, nest, not_laid
from estimator.packaging.order import buy, masses
from estimator.packaging.price import Line, refuse_faulty
from estimator.packaging.together import Purchase, buy_together
from estimator.packaging.ways import Need
from estimator.supplies import FormKind, Measure
from estimator.takeoff import PieceTakeoff, Takeoff
from estimator.workshop import Settings, value_of
from geometry.frozen import frozen
from geometry.message import Message, message


@frozen
class MarkForms:
    """The forms of one mark.

    form_area_m2   of one cast
    boards         of one form, cut to the sheet; none where the shape is not built of boards, or the form of another
                   material
    material_kg    rubber or laminate of all forms built, waste in
    """

    mark: str
    kind: FormKind
    uses: int
    set: FormSet
    form_area_m2: float
    boards: tuple[Board, ...]
    material_kg: float
    hardware: Decimal

    @property
    def board_area_m2(self) -> float:
        """Area of the boards of all forms built, m²."""
        return self.set.built * sum(board.count * board.length_m * board.width_m for board in self.boards)


@frozen
class FormPlan:
    marks: tuple[MarkForms, ...]
    sheet: Sheet
    nesting: Nesting | None  # None: no boards
    materials: tuple[ConsumableOrder, ...]  # what forms of rubber and laminate are made of
    warnings: tuple[Notice, ...]

    @property
    def hardware(self) -> Decimal:
        return total(mark.hardware for mark in self.marks)

    @property
    def sheets_m2(self) -> float:
        return self.nesting.count * self.sheet.length_m * self.sheet.width_m if self.nesting else 0.0

    def cost_by_mark(self) -> dict[str, Decimal]:
        """Cost of forms by mark, without board: hardware, and the share of the mark in the material by mass."""
        orders = {order.name: order for order in self.materials}
        costs = {}
        for mark in self.marks:
            order = orders.get(FORM_MATERIAL.get(mark.kind, ""))
            part = ZERO
            if order is not None and order.cost is not None and order.required:
                part = cents(order.cost * mark.material_kg / order.required)
            costs[mark.mark] = mark.hardware + part
        return costs


USES_KEY: Mapping[FormKind, str] = {kind: f"uses_{kind.replace('-', '_')}" for kind in get_args(FormKind)}


def form_of(piece: Piece, shop: Settings) -> tuple[FormKind, int]:
    """Kind of the form of a piece, and the number of casts that the form withstands."""
    kind = piece.form.kind or "melamine"
    return kind, piece.form.uses or max(1, int(value_of(shop.forms, USES_KEY[kind])))


def plan_forms(job: Job, parts: Sequence[PieceTakeoff]) -> FormPlan:
    """Plan the forms by mark, the cut list on sheets, and the materials of other forms in whole packs.

    Raises FaultError for a form material that is not sold by mass.
    """
    shop = job.workshop
    sheet = Sheet(shop.forms.sheet_length_m, shop.forms.sheet_width_m, shop.forms.kerf_m)
    marks = tuple(_forms_of(taken, job, sheet) for taken in parts)
    needed: dict[str, float] = {}
    for mark in marks:
        if mark.kind in FORM_MATERIAL:
            name = FORM_MATERIAL[mark.kind]
            needed[name] = needed.get(name, 0.0) + mark.material_kg
    area_m2 = sum(mark.set.built * mark.form_area_m2 for mark in marks)
    materials = tuple(
        order_amount(
            name,
            "form-area",
            area_m2,
            "kg",
            required_kg,
            job.materials[name].packs,
            job.stock_consumables.get(name, 0.0),
        )
        for name, required_kg in needed.items()
    )
    boards = tuple(
        board if mark.set.built == 1 else replace(board, count=board.count * mark.set.built)
        for mark in marks
        for board in mark.boards
    )
    nesting, warnings = None, _few_forms(marks)
    if boards and is_too_long(boards):
        nesting, count = not_laid(boards, sheet), sum(board.count for board in boards)
        warnings.append(Notice("boards-not-nested", message("boards-not-laid", count=count, sheets=nesting.count)))
    elif boards:
        nesting = nest(boards, sheet)
    return FormPlan(marks, sheet, nesting, materials, tuple(warnings))


MOST_CASTS = 20
"""Casts from one form, one a day, that no one asks about: a month of working days. Choice."""


def _few_forms(marks: Sequence[MarkForms]) -> list[Notice]:
    """Warning if a mark is cast for months because the job file gives it few forms; names the slowest mark."""
    slow = sorted((mark for mark in marks if mark.set.casts > MOST_CASTS * mark.set.forms), key=_days_cast)
    if not slow:
        return []
    forms = slow[-1].set
    enough = ceil(forms.casts / MOST_CASTS)
    text = message(
        "warning-forms-few",
        mark=slow[-1].mark,
        casts=forms.casts,
        forms=forms.forms,
        days=_days_cast(slow[-1]),
        enough=enough,
        fewer=ceil(forms.casts / enough),
        more=len(slow) - 1,
    )
    return [Notice("forms-few", text)]


def _days_cast(mark: MarkForms) -> int:
    return ceil(mark.set.casts / mark.set.forms)


def _forms_of(taken: PieceTakeoff, job: Job, sheet: Sheet) -> MarkForms:
    shop, piece = job.workshop, taken.piece
    kind, uses = form_of(piece, shop)
    forms = form_set(piece.quantity, piece.forms, uses)
    area_m2 = taken.solid.form_area_m2
    boards: tuple[Board, ...] = ()
    material_kg = 0.0
    if kind in FORM_MATERIAL:
        density = job.materials[FORM_MATERIAL[kind]].density_kg_m3 or 0.0
        thickness_m = value_of(shop.forms, f"thickness_{kind.replace('-', '_')}")
        material_kg = forms.built * area_m2 * thickness_m * density * (1.0 + shop.forms.material_waste)
    elif FORM_BOARD in job.workshop.consumables:
        boards = fitted(boards_of(piece.shape, piece.mark, shop.forms.board_thickness_m), sheet)
    hardware_each = value_of(shop.forms, f"hardware_{kind.replace('-', '_')}")
    hardware = cents(forms.built * hardware_each)
    return MarkForms(piece.mark, kind, uses, forms, area_m2, boards, material_kg, hardware)


SAMPLES = "samples"  # stands where a mark would


@frozen
class SamplePlan:
    """Samples for the client.

    concrete_cost   of their mix at list price; None if a material has no price
    left_over       number of samples that can be cast from leftovers of their mix, if they are cast with the job
    """

    mix: str
    side_m: float
    thickness_m: float
    made: Samples
    concrete_cost: Decimal | None
    left_over: int


@frozen
class UsedShelf:
    """Leftover of a consumable, in its unit of measure."""

    material: str
    measure: str
    left: float
    keeps_until: date | None


@frozen
class Bought:
    """Packs bought of one material, and their cost; None if a price is missing."""

    name: str
    measure: Measure
    lines: tuple[Line, ...]
    cost: Decimal | None


@frozen
class Supply:
    """Purchases of the job. Every amount counts once: board under consumables, rubber and hardware under forms."""

    materials: MaterialOrders
    consumables: tuple[UsedUp, ...]
    forms: FormPlan
    samples: SamplePlan | None
    shelf: tuple[ShelfItem, ...]
    shelf_consumables: tuple[UsedShelf, ...]
    over: Mapping[int, tuple[str, ...]]  # by load, in the order of the deliveries: what it is too heavy for
    warnings: tuple[Notice, ...]

    @property
    def consumables_cost(self) -> Decimal:
        """Total cost of the consumables that have a price."""
        return total(
            cents(consumable.order.cost) for consumable in self.consumables if consumable.order.cost is not None
        )

    def consumables_by_mark(self) -> dict[str, float]:
        """Cost of the consumables by mark; the part for samples is shared by all marks."""
        costs: dict[str, float] = {}
        for consumable in self.consumables:
            by_mark = {mark: share for mark, share in consumable.by_mark.items() if mark != SAMPLES}
            if whole := sum(consumable.by_mark.values()):
                cost = consumable.order.cost or 0.0
                own = [cost * share / whole for share in by_mark.values()]
                costs |= zip(by_mark, map(add, map(costs.get, by_mark, repeat(0.0)), own), strict=True)
        return costs

    @property
    def bought(self) -> tuple[Bought, ...]:
        """Packs bought: materials of the recipes except tap water, then consumables."""
        mixed = [
            Bought(line.material, "kg", line.lines, line.purchase_cost)
            for line in self.materials.lines
            if not line.from_tap
        ]
        others = [consumable.order for consumable in self.consumables] + list(self.forms.materials)
        used = [
            Bought(
                order.name,
                order.measure,
                order.lines,
                None if order.purchase_cost is None else cents(order.purchase_cost),
            )
            for order in others
        ]
        return tuple(item for item in (*mixed, *used) if item.lines)

    @property
    def to_pay(self) -> Decimal:
        """Total of all purchase orders including freight and small-order charges, before tax."""
        return total([*(item.cost for item in self.bought if item.cost is not None), self.materials.paid])

    @property
    def order_total(self) -> Decimal:
        """`to_pay` plus tap water at the price of its packs, as in the document."""
        tap = (line.purchase_cost for line in self.materials.lines if line.from_tap)
        return total([self.to_pay, *(cost for cost in tap if cost is not None)])

    @property
    def forms_cost(self) -> Decimal:
        """Cost of rubber and laminate, hardware, and the concrete of samples; board is under consumables."""
        costs = [cents(material.cost) for material in self.forms.materials if material.cost is not None]
        concrete = self.samples.concrete_cost if self.samples and self.samples.concrete_cost else ZERO
        return total([*costs, self.forms.hardware, concrete])

    @property
    def loads(self) -> tuple[PalletLoad, ...]:
        return tuple(load for delivery in self.materials.deliveries for load in delivery.standing.loads)

    @property
    def unpriced(self) -> tuple[str, ...]:
        """Names of purchases that the totals omit because they have no price."""
        used = [consumable.order for consumable in self.consumables] + list(self.forms.materials)
        return (*self.materials.unpriced, *(order.name for order in used if order.cost is None))


def pack_faults(job: Job) -> Iterator[FaultError]:
    """Faults of packs with contradictory figures, and of prices, pallets and uses that cannot be computed with."""
    mixed = {name for mix in job.mixes.values() for name in _parts(mix)}
    for material in job.materials.values():
        for pack in material.packs:
            try:
                refuse_faulty(pack)
                if material.name in mixed and material.kind != "consumable":
                    masses([pack], "packs")
            except FaultError as error:
                yield FaultError(f"material {material.name}, {error.key}", error.message)
    kinds = {form_of(piece, job.workshop)[0] for piece in job.pieces}
    for kind in sorted(kinds):
        name = FORM_MATERIAL.get(kind)
        if name is not None and (name not in job.materials or job.materials[name].density_kg_m3 is None):
            problem = message("packaging-density-missing", kind=kind, material_name=name, material=name)
            yield FaultError(f"material {name}", problem)


def _parts(mix: object) -> Iterator[str]:
    for part in ("cementitious", "aggregate", "admixtures", "polymer", "pigment", "fibre"):
        yield from getattr(mix, part)


def supply_the_job(job: Job, takeoff: Takeoff, mixes: Mapping[str, MixDesign], batching: Batching) -> Supply:
    """Plan all purchases of a job, whose stock must already be reduced to what it may use.

    Raises FaultError for an order minimum that no order reaches, and for a consumable whose packs do not state the
    quantity by which it is used.
    """
    shop = job.workshop
    plan = plan_forms(job, takeoff.pieces)
    # forms of rubber or laminate need no board
    extents = {
        taken.piece.mark: extent_of(taken, 0 if forms.kind in FORM_MATERIAL else forms.set.built)
        for taken, forms in zip(takeoff.pieces, plan.marks, strict=True)
    }
    sample_plan = _samples(job, mixes, batching)
    if sample_plan is not None:
        extents[SAMPLES] = _sample_extent(sample_plan)
    used = use_up(job, takeoff.pieces, extents, batching.pours, plan.sheets_m2)
    required = required_kg(mixes, batching.batch_m3)
    materials, used, plan = _bought(job, required, used, plan)
    day = job.date or job.start
    bought_on = date.fromisoformat(day) if day is not None else None
    over = _over(materials, shop)
    return Supply(
        materials=materials,
        consumables=used,
        forms=plan,
        samples=sample_plan,
        shelf=_shelf(job, materials, bought_on),
        shelf_consumables=_shelf_of_used(job, used, plan, bought_on),
        over=over,
        warnings=(
            *materials.warnings,
            *free_notices([*required, *(item.material for item in used), *(item.name for item in plan.materials)], job),
            *plan.warnings,
            *_load_warnings(materials, over),
            *_used_warnings(used, plan, takeoff),
            *_sample_warnings(sample_plan),
        ),
    )


def _bought(
    job: Job, required: Mapping[str, float], used: Sequence[UsedUp], plan: FormPlan
) -> tuple[MaterialOrders, tuple[UsedUp, ...], FormPlan]:
    """Buy everything together, and compute the charge to the job for each item.

    If a job is charged for what it uses, its freight is that of the cheapest order with nothing in stock, so that no
    total depends on stock.
    """
    haul, terms, by_packs = haul_of(job), terms_of(job), job.price.charge == "packs"
    orders = [*(consumable.order for consumable in used), *plan.materials]
    keyed = list(zip(_keys([order.name for order in orders], required), orders, strict=True))

    def needs(*, in_stock: bool) -> list[Need]:
        materials = material_needs(job, required, in_stock=in_stock)
        return [
            *(material for material in materials if not from_the_tap(job, material.name)),
            *(replace(order.need(in_stock=in_stock), name=key) for key, order in keyed if order.packs),
        ]

    wanted, unstocked = needs(in_stock=True), needs(in_stock=False)
    bought = buy_together(wanted, terms, haul)
    fresh = bought if by_packs or unstocked == wanted else buy_together(unstocked, terms, haul)
    tap = [need for need in material_needs(job, required) if from_the_tap(job, need.name)]
    drawn = {need.name: buy(need.amount, need.tolerance, need.packs, need.sizes)[0] for need in tap}
    bought = replace(bought, lines={**bought.lines, **drawn})
    filled = [
        order.filled(
            bought.lines.get(key, ()), by_packs=by_packs, special=is_special(job.materials.get(order.name), job)
        )
        for key, order in keyed
    ]
    return (
        material_orders(job, required, bought, fresh.freight, _for_minimum(job, bought)),
        tuple(replace(consumable, order=order) for consumable, order in zip(used, filled, strict=False)),
        replace(plan, materials=tuple(filled[len(used) :])),
    )


def _keys(names: Sequence[str], taken: Container[str]) -> list[str]:
    """A unique key for each consumable: its name, with a number if a mix or another consumable has the same name."""
    keys: list[str] = []
    for name in names:
        key, number = name, 2
        while key in taken or key in keys:
            key, number = f"{name} {number}", number + 1
        keys.append(key)
    return keys


def _for_minimum(job: Job, bought: Purchase) -> dict[str, Message]:
    """Messages about order minimums that affect the order, by supplier."""
    texts = {}
    by_name = {delivery.supplier: delivery for delivery in bought.deliveries}
    for name, more in bought.for_minimum.items():
        terms: dict[str, Any] = {"supplier": name, "minimum_price": job.suppliers[name].min_order_value}
        own = by_name.get(name)
        if own is None:
            texts[name] = message("warning-minimum-elsewhere", **terms, more_price=float(more))
        elif own.small_order:
            texts[name] = message("warning-minimum-charge", **terms, charge_price=own.small_order)
        else:
            packs = [
                (item, line)
                for item, item_lines in bought.lines.items()
                for line in item_lines
                if line.pack.supplier == name
            ]
            named = [
                message("warning-packs-of", count=line.count, pack=line.pack.name, material_name=item)
                for item, line in packs
            ]
            texts[name] = message("warning-minimum-bought", **terms, packs=named, more_price=float(more))
    return texts


def _samples(job: Job, mixes: Mapping[str, MixDesign], batching: Batching) -> SamplePlan | None:
    request = job.samples
    if request is None or request.mix not in mixes:
        return None
    shop = job.workshop
    side_m, thickness_m = shop.forms.sample_side_m, shop.forms.sample_thickness_m
    sample_order = samples(request.count, thickness_m, request.price, request.credited, side_m)
    per_m3 = cost_per_m3(mixes[request.mix], job.materials)
    left_over = sum(batch.count * batch.samples for batch in batching.batches if batch.mix == request.mix)
    cost = None if per_m3 is None else round2(sample_order.volume_m3 * per_m3)
    return SamplePlan(request.mix, side_m, thickness_m, sample_order, cost, left_over)


def _sample_extent(plan: SamplePlan) -> Extent:
    """Extent of the samples: face and four edges are cast against the form, and the face is visible.

    All are cast together, each in a form of its own.
    """
    side_m, count = plan.side_m, plan.made.count
    return Extent(SAMPLES, side_m**2 + 4 * side_m * plan.thickness_m, side_m**2, 4 * side_m, count, count)


def _sample_warnings(plan: SamplePlan | None) -> list[Notice]:
    if plan is None or plan.concrete_cost is not None:
        return []
    return [Notice("samples-unpriced", message("warning-samples-unpriced", mix_name=plan.mix))]


def _over(materials: MaterialOrders, shop: Settings) -> dict[int, tuple[str, ...]]:
    limits = {
        "forklift": shop.transport.forklift_rating_kg,
        "pallet truck": shop.transport.pallet_truck_rating_kg,
    }
    loads = [load for delivery in materials.deliveries for load in delivery.standing.loads]
    overloaded = {}
    for number, load in enumerate(loads):
        over = [name for name, limit in limits.items() if 0.0 < limit < load.gross_kg]
        if load.over_rating:
            over.append("pallet")
        if over:
            overloaded[number] = tuple(over)
    return overloaded


def _load_warnings(materials: MaterialOrders, over: Mapping[int, tuple[str, ...]]) -> list[Notice]:
    loads = [load for delivery in materials.deliveries for load in delivery.standing.loads]
    notices = []
    for number, gear in over.items():
        load = loads[number]
        stands = [
            message("warning-packs-of", count=count, pack=pack, material_name=material)
            for material, pack, count in load.packs
        ]
        rated = [message("warning-gear", gear=name.replace(" ", "-")) for name in gear]
        text = message("warning-pallet-overloaded", stands=stands, high_kg=load.gross_kg, gear=rated)
        notices.append(Notice("pallet-overloaded", text))
    return list(dict.fromkeys(notices))


def _used_warnings(used: Sequence[UsedUp], plan: FormPlan, takeoff: Takeoff) -> list[Notice]:
    notices = []
    for order in [*(consumable.order for consumable in used), *plan.materials]:
        if order.cost is None:
            lacks = "packs" if not order.lines else "price"
            text = message("warning-consumable-unpriced", material_name=order.name, lacks=lacks)
            notices.append(Notice("unpriced", text))
    by_edge = [
        consumable.material for consumable in used if any(part.basis == "edge-length" for part in consumable.parts)
    ]
    blind = [taken.piece.mark for taken in takeoff.pieces if not taken.solid.edge_lengths_m]
    if by_edge and blind:
        text = message("warning-edge-length-unknown", marks=blind, material_names=by_edge)
        notices.append(Notice("edge-length-unknown", text))
    return notices


def _shelf(job: Job, materials: MaterialOrders, bought_on: date | None) -> tuple[ShelfItem, ...]:
    """Leftovers of the materials of the mixes, without tap water."""
    orders = {line.material: line.order for line in materials.lines if line.order is not None}
    storable = {name: order for name, order in orders.items() if job.materials[name].kind != "water"}
    lasting = {
        name: max(1, int(life_s / DAY_S)) for name in storable if (life_s := job.materials[name].keeps_s) is not None
    }
    # stock on the shelf was bought one shelf life before its last usable day
    opened = {
        name: date.fromisoformat(until) - timedelta(days=lasting[name])
        for name, until in job.stock_until.items()
        if name in lasting
    }
    return shelf(storable, lasting, bought_on, opened)


def _shelf_of_used(job: Job, used: Sequence[UsedUp], plan: FormPlan, bought_on: date | None) -> tuple[UsedShelf, ...]:
    items = []
    for order in [*(consumable.order for consumable in used), *plan.materials]:
        if order.left_over <= 0.0 or (not order.lines and not order.on_hand):
            continue
        life_s = job.materials[order.name].keeps_s
        until = [date.fromisoformat(job.stock_until[order.name])] if order.name in job.stock_until else []
        if life_s is not None and bought_on is not None and order.lines:
            until.append(bought_on + timedelta(seconds=life_s))
        items.append(UsedShelf(order.name, order.measure, order.left_over, min(until) if until else None))
    return tuple(items)
