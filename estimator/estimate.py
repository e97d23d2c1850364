"""Estimate of a job: the sequence of all stages."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import fields, replace
from decimal import Decimal
from operator import attrgetter

from estimator.batching import Batching, plan_batches
from estimator.cautions import AppliedCaution, Caution, applied_cautions, applied_ids, facts_of_all
from estimator.curing.pieces import Curing, PieceCuring, cure
from estimator.errors import Fault, FaultError, job_error
from estimator.garbage import without_collection
from estimator.handling import Delivery, Handling, deliver
from estimator.handling.assembly import assembled
from estimator.handling.plan import crew_notices, plan_all
from estimator.job import Job, Material, MaterialKind, Mix, Piece, Workshop
from estimator.memo import remembered
from estimator.mix import MixDesign, make
from estimator.mixes import MixFacts, mix_facts, mix_warnings
from estimator.money import total
from estimator.notices import Notice
from estimator.packaging.materials import MaterialOrders, cost_per_m3, required_kg
from estimator.packaging.stage import Supply, pack_faults, supply_the_job
from estimator.pricing import (
    Bought,
    Calendar,
    Cost,
    JobPrice,
    Spent,
    Standing,
    Versions,
    plan_calendar,
    price_the_job,
    price_versions,
    standing_of,
)
from estimator.pricing.edges import PricedEdge
from estimator.site import Site
from estimator.takeoff import PieceTakeoff, Refusal, Takeoff, take_off
from estimator.weight import Weight, weigh_all
from geometry.frozen import frozen
from geometry.message import Value, message

COLORING: tuple[MaterialKind, ...] = ("cement", "pozzolan", "sand", "pigment")
"""Kinds whose lot affects the color of a face. Beads, fiber and admixture are inside the paste."""


@frozen
class CountedStock:
    """Stock that a job may use, by material, and excluded stock, with warnings that say why."""

    on_hand_kg: Mapping[str, float]
    left_out_kg: Mapping[str, float]
    warnings: tuple[Notice, ...]


def counted_stock(job: Job, mixes: Mapping[str, MixDesign], batch_m3: Mapping[str, float]) -> CountedStock:
    """Stock that the job may use.

    For the mixes of a color group, a coloring material may come from one lot only: the lot that the job names, or else
    a lot that covers the whole need of the job. Stock of other lots may be used for the other mixes.
    """
    needed = required_kg(mixes, batch_m3)
    grouped = {name: volume_m3 for name, volume_m3 in batch_m3.items() if job.mixes[name].colour_group}
    bound = required_kg(mixes, grouped)
    on_hand, left_out, warnings = dict(job.stock_kg), {}, []
    for name, lots in job.stock_lots.items():
        if name not in bound or job.materials[name].kind not in COLORING:
            continue
        wanted = job.lots.get(name)
        same_kg = sum(lot.mass_kg for lot in lots if wanted is not None and lot.lot == wanted)
        if wanted is None:
            same_kg = max((lot.mass_kg for lot in lots if lot.mass_kg >= needed[name]), default=0.0)
        other_kg = job.stock_kg[name] - same_kg
        free_kg = min(other_kg, needed[name] - bound[name])
        if other_kg - free_kg <= 0.0:
            continue
        on_hand[name] = same_kg + free_kg
        left_out[name] = other_kg - free_kg
        groups = sorted({job.mixes[mix].colour_group for mix in grouped})
        values: dict[str, Value] = {"groups": groups, "stock_kg": left_out[name]}
        values["material_name"] = job.materials[name].label
        if wanted:
            problem = message("warning-stock-other-lot", lot=wanted, **values)
        else:
            problem = message("warning-stock-no-lot-covers", **values)
        warnings.append(Notice("stock-of-another-lot", problem))
    return CountedStock(on_hand, left_out, tuple(warnings))


def lot_lines(job: Job, design: MixDesign) -> dict[str, str | None]:
    """Lot of each coloring material of a mix, for the batch sheet; None for a line to fill in by hand."""
    named = (name for name in design.recipe_kg_m3 if name in job.materials and job.materials[name].kind in COLORING)
    return {name: job.lots.get(name) for name in named}


NEAR_FIRE = "polystyrene-near-fire"
SOFTENS_C = 80.0  # approximate softening temperature of polystyrene
FIRE_AGGREGATE = "expanded-glass"  # suggested if the job has no mineral light aggregate


def permission_faults(job: Job) -> list[Fault]:
    """Faults of pieces used in or near a fire whose mix contains polystyrene, unless `allowed` permits it."""
    faults = []
    for piece in job.pieces:
        if piece.use != "fire" or NEAR_FIRE in piece.allowed:
            continue
        mixes = {layer.mix: job.mixes[layer.mix] for layer in piece.layers}
        for name, mix in mixes.items():
            plastics = [name for name in mix.aggregate if "polystyrene" in job.materials[name].traits]
            if plastics:
                minerals = _mineral(job.materials)
                problem = message(
                    "fire-polystyrene",
                    mix=name,
                    softens_c=SOFTENS_C,
                    materials=plastics,
                    minerals=minerals or [FIRE_AGGREGATE],
                    permission=NEAR_FIRE,
                )
                faults.append(Fault(piece.file, f"{piece.place}, use", problem))
    return faults


def _mineral(materials: Mapping[str, Material]) -> list[str]:
    """Names of the light aggregates that the heat of a hearth does not soften."""
    return sorted(material.name for material in materials.values() if "mineral" in material.traits)


Part = tuple[PieceTakeoff, Weight, Handling]


@frozen
class PieceEstimate:
    """All results for one mark; weights and prices are of one piece unless stated."""

    taken: PieceTakeoff
    weight: Weight
    handling: Handling
    curing: PieceCuring
    price: Decimal  # of all pieces of the mark, before tax
    cautions: tuple[str, ...]  # ids
    edges: tuple[PricedEdge, ...] = ()  # dropped, profiled, mitered or raw edges

    @property
    def price_per_area(self) -> float:
        """Price per plan area that a client pays for, gross of openings, currency/m²."""
        return float(self.price) / self.taken.piece.quantity / self.taken.plan.gross_m2

    @property
    def price_per_length(self) -> float | None:
        """Price per length of a splash, currency/m; None for pieces that are not sold by length."""
        if self.taken.piece.use != "splash":
            return None
        return float(self.price) / self.taken.piece.quantity / self.length_m

    @property
    def length_m(self) -> float:
        """Longest side, m."""
        return max(self.taken.solid.size_m)

    @property
    def mass_per_area_kg_m2(self) -> float:
        """Weight in place per net plan area."""
        return self.weight.installed_kg / self.taken.plan.net_m2

    @property
    def high_per_area_kg_m2(self) -> float:
        """Highest weight in place per net plan area."""
        return self.weight.in_place_kg / self.taken.plan.net_m2


@frozen
class Estimate:
    """The finished estimate, from which all reports are made."""

    job: Job
    pieces: tuple[PieceEstimate, ...]
    mixes: Mapping[str, MixDesign]
    mix_facts: Mapping[str, MixFacts]
    batching: Batching
    stock: CountedStock
    curing: Curing
    supply: Supply
    pricing: JobPrice
    delivery: Delivery
    calendar: Calendar
    versions: Versions  # alternatives, options and change orders beside the job
    cautions: tuple[AppliedCaution, ...]
    warnings: tuple[Notice, ...]

    @property
    def strip_crews(self) -> Mapping[str, int | None]:
        """Number of people that strip a piece and turn it out of its form, by mark; None: by machine."""
        return {piece.taken.piece.mark: piece.handling.turn.persons for piece in self.pieces}

    @property
    def materials(self) -> MaterialOrders:
        return self.supply.materials

    @property
    def cost(self) -> Cost:
        return self.pricing.cost

    @property
    def ships(self) -> str | None:
        """Shipping date of a released job; None before its release, or if the job has no dates."""
        return self.calendar.date_of(self.calendar.ship_day) if self.job.status == "released" else None

    @property
    def standing(self) -> Standing:
        """Figures for comparing it with other jobs."""
        parts = [(piece.taken, piece.weight, piece.handling) for piece in self.pieces]
        return standing_of(self.job.name, parts, self.batching, self.materials, self.pricing, self.calendar)


@without_collection()
def estimate(job: Job, cautions: Sequence[Caution]) -> Estimate:
    """Estimate a job. Raises InputError with all faults that show up only during the computation.

    cautions   catalog of cautions, which is filtered to those that apply
    """
    takeoff, mixes, parts = survey(job)
    batching = plan_batches(job, takeoff, mixes)
    delivery = _delivered(parts, job)
    stock, supply, pricing = _priced(job, takeoff, mixes, parts, batching, delivery)
    curing = cure(job, takeoff, mixes)
    calendar = plan_calendar(job, takeoff.pieces, batching, pricing.labour, curing.strip_s, curing.damp)
    prices = {entry.mark: entry.price for entry in pricing.marks}
    applied = applied_cautions(facts_of_all(job, parts, curing.pieces), cautions)
    warned = applied_ids(applied, list(prices))
    per_m3 = {name: cost_per_m3(mix, job.materials) for name, mix in mixes.items()}
    edges = pricing.edges(takeoff.pieces, job.workshop.labor, per_m3)
    pieces = tuple(
        PieceEstimate(t, w, h, curing.pieces[mark], prices[mark], warned[mark], edges.get(mark, ()))
        for t, w, h in parts
        for mark in (t.piece.mark,)
    )
    warnings = (
        *job.warnings,
        *mix_warnings(job, mixes),
        *crew_notices({taken.piece.mark: handling for taken, _, handling in parts}, int(job.workshop.handling.people)),
        *stock.warnings,
        *batching.warnings,
        *curing.warnings,
        *supply.warnings,
        *pricing.warnings,
        *calendar.warnings,
    )
    return Estimate(
        job=job,
        pieces=pieces,
        mixes=mixes,
        mix_facts=mix_facts(job, takeoff, mixes),
        batching=batching,
        stock=stock,
        curing=curing,
        supply=supply,
        pricing=pricing,
        delivery=delivery,
        calendar=calendar,
        versions=price_versions(job, pricing.cost, lambda other: estimate(other, ()).standing),
        cautions=applied,
        warnings=tuple(dict.fromkeys(warnings)),
    )


def price_before_tax(job: Job, like: Estimate | None = None) -> Decimal:
    """Price of a job before tax, without the rest of the estimate. Raises InputError like `estimate`.

    like   an estimate of the same pieces, mixes and shop, differing from the job only in prices, stock, rates and
           terms: its takeoff, weights and plans are reused
    """
    if like is None:
        takeoff, mixes, parts = survey(job)
        batching = plan_batches(job, takeoff, mixes)
        delivery = _delivered(parts, job)
    else:
        takeoff, mixes = Takeoff(tuple(piece.taken for piece in like.pieces)), dict(like.mixes)
        parts = [(piece.taken, piece.weight, piece.handling) for piece in like.pieces]
        batching, delivery = like.batching, like.delivery
    return _priced(job, takeoff, mixes, parts, batching, delivery)[2].cost.price


def _delivered(parts: Sequence[Part], job: Job) -> Delivery:
    cargo = [
        handling.cargo(taken.piece.mark, taken.piece.quantity)
        for taken, _, handling in parts
        if not taken.piece.glued_in_shop
    ]
    return deliver(cargo, job.workshop.transport)


def _priced(
    job: Job,
    takeoff: Takeoff,
    mixes: Mapping[str, MixDesign],
    parts: Sequence[Part],
    batching: Batching,
    delivery: Delivery,
) -> tuple[CountedStock, Supply, JobPrice]:
    """Stock, supply and price of the job."""
    stock = counted_stock(job, mixes, batching.batch_m3)
    try:
        supply = supply_the_job(replace(job, stock_kg=stock.on_hand_kg), takeoff, mixes, batching)
        bought = _bought(supply, _concrete_weights(job, takeoff, mixes))
        return stock, supply, price_the_job(job, parts, batching, bought, len(delivery.trips))
    except FaultError as error:
        raise job_error(job, [Fault(job.file, error.key, error.message)]) from None


def survey(job: Job) -> tuple[Takeoff, dict[str, MixDesign], list[Part]]:
    """Measure all pieces, design their mixes, compute their weights and plan their moves.

    Raises InputError with all faults of these stages.
    """
    takeoff, refusals = take_off(job)
    faults = [
        *permission_faults(job),
        *(Fault(job.file, error.key, error.message) for error in pack_faults(job)),
        *(_refused(refusal) for refusal in refusals),
    ]
    used = dict.fromkeys(layer.mix for piece in job.pieces for layer in piece.layers)
    mixes: dict[str, MixDesign] = {}
    for name in used:
        try:
            mixes[name] = make(job.mixes[name], job.materials)
        except FaultError as error:
            faults.append(Fault(job.file, f"mix {name}, {error.key}", error.message))
    parts = _weighed_and_handled(job, takeoff.pieces, mixes, faults)
    if faults:
        raise job_error(job, faults)
    try:
        parts = assembled(parts, mixes, job)
    except FaultError as error:
        raise job_error(job, [Fault(job.file, error.key, error.message)]) from None
    return takeoff, mixes, parts


def _refused(refusal: Refusal) -> Fault:
    piece, error = refusal.piece, refusal.error
    key = error.key if error.key in ("layers", "inserts") else f"shape.{error.key}".rstrip(".")
    return Fault(piece.file, f"{piece.place}, {key}", error.message)


UNFELT = (
    "mark", "quantity", "forms", "pour", "file", "place", "attached", "description", "finish", "color", "note",
)  # fmt: skip
"""Fields of a piece that change neither its weight nor its moves: what is glued to it is a piece of its own."""

_MAKE = [item.name for item in fields(Piece) if item.name not in UNFELT]
_make_values = attrgetter(*_MAKE)


class _Make:
    """Cache key of a piece: all of its properties that affect its weight and its moves.

    Its hash is that of the shape only and is computed once, since pieces of a schedule rarely differ in anything else.
    """

    __slots__ = ("_hash", "_values")

    def __init__(self, piece: Piece) -> None:
        self._values = _make_values(piece)
        self._hash = hash(piece.shape)

    def __hash__(self) -> int:
        return self._hash

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Make) and bool(self._values == other._values)


Plan = tuple[Weight, Handling]
MOST_PLANS = 1_000
"""Plans kept for the same mixes, shop and site, besides those of the job itself: 16 kB each."""


@remembered(4)
def _plans_under(
    _designs: Mapping[str, MixDesign], _mixes: Mapping[str, Mix], _workshop: Workshop, _site: Site | None
) -> dict[_Make, Plan]:
    """Cache of weight and plan by make of piece for the same mixes, shop and site, initially empty.

    The same dict is returned for the same values, and the caller adds the pieces that it plans.
    """
    return {}


def _weighed_and_handled(
    job: Job, pieces: Iterable[PieceTakeoff], mixes: Mapping[str, MixDesign], faults: list[Fault]
) -> list[Part]:
    """All pieces with valid mixes, with their weights and moves; faults of the others are added to `faults`."""
    sound = [taken for taken in pieces if all(layer.mix in mixes for layer in taken.layers)]
    makes = [_Make(taken.piece) for taken in sound]
    plans = _plans_under(mixes, {name: job.mixes[name] for name in mixes}, job.workshop, job.site)
    new = {key: taken for key, taken in zip(makes, sound, strict=True) if key not in plans}
    refused = _plan_new(new, mixes, job, plans)
    parts = []
    for key, taken in zip(makes, sound, strict=True):
        if (error := refused.get(key)) is not None:
            place = f"{taken.piece.place}, {error.key}" if error.key else taken.piece.place
            faults.append(Fault(taken.piece.file, place, error.message))
        else:
            parts.append((taken, *plans[key]))
    _forget(plans, makes)
    return parts


def _forget(plans: dict[_Make, Plan], used: Iterable[_Make]) -> None:
    """Drop the oldest plans of sizes that are no longer used: a page that runs for weeks sees thousands of them."""
    if len(plans) > MOST_PLANS:
        needed = set(used)
        others = [key for key in plans if key not in needed]
        for key in others[: -MOST_PLANS // 2]:
            del plans[key]


def _plan_new(
    pieces: Mapping[_Make, PieceTakeoff], mixes: Mapping[str, MixDesign], job: Job, plans: dict[_Make, Plan]
) -> dict[_Make, FaultError]:
    """Weigh the pieces and plan their moves, adding them to `plans`; returns the errors of pieces that fail."""
    weights = dict(zip(pieces, weigh_all(list(pieces.values()), mixes, job.workshop), strict=True))
    refused = {key: weight for key, weight in weights.items() if isinstance(weight, FaultError)}
    sound = {key: weight for key, weight in weights.items() if not isinstance(weight, FaultError)}
    planned = plan_all([pieces[key] for key in sound], list(sound.values()), job)
    for (key, weight), plan in zip(sound.items(), planned, strict=True):
        if isinstance(plan, FaultError):
            refused[key] = plan
        else:
            plans[key] = weight, plan
    return refused


def _bought(supply: Supply, by_mark: Mapping[str, float]) -> Bought:
    known = [line.cost for line in supply.materials.lines if line.cost is not None]
    return Bought(
        Spent(total(known), by_mark),
        Spent(supply.consumables_cost, supply.consumables_by_mark()),
        Spent(supply.forms_cost, {mark: float(cost) for mark, cost in supply.forms.cost_by_mark().items()}),
        Spent(supply.materials.freight, by_mark),
        supply.unpriced,
    )


def _concrete_weights(job: Job, takeoff: Takeoff, mixes: Mapping[str, MixDesign]) -> dict[str, float]:
    """Weights for sharing costs, by mark: cost of the concrete at list price, or cast volume if a price is missing."""
    per_m3 = {name: cost_per_m3(mix, job.materials) for name, mix in mixes.items()}
    priced = all(entry is not None for entry in per_m3.values())
    return {
        taken.piece.mark: taken.piece.quantity
        * sum(layer.cast_m3 * ((per_m3[layer.mix] or 0.0) if priced else 1.0) for layer in taken.layers)
        for taken in takeoff.pieces
    }
