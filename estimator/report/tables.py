"""The tables that every report of an estimate shows, as text cells: one place decides what a column says."""

from dataclasses import dataclass

from estimator.batching import Batch
from estimator.estimate import Estimate
from estimator.job import Mix
from estimator.mix.bands import Band
from estimator.report.words import STRENGTH_FLAGS, Words
from estimator.units import format_pressure


@dataclass(frozen=True, slots=True)
class Column:
    head: str
    figure: bool = True  # figures are set flush right, words flush left


@dataclass(frozen=True, slots=True)
class Sheet:
    """A table: its title, columns, rows of cells, and a last row of totals where there is one."""

    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    totals: tuple[str, ...] | None = None


def piece_sheet(estimate: Estimate, words: Words) -> Sheet:
    """Size, weight and price by piece and by area."""
    rows = []
    for each in estimate.pieces:
        taken, weight = each.taken, each.weight
        quantity = taken.piece.quantity
        rows.append(
            (
                taken.piece.mark,
                str(quantity),
                words.size(taken.solid.size_m),
                words.volume(taken.volume_m3),
                words.mass(weight.installed_kg),
                words.area(taken.plan.gross_m2).rpartition(" ")[0],
                words.areal_mass(weight.installed_kg / taken.plan.net_m2).rpartition(" ")[0],
                words.mass(weight.lift_kg, up=True),
                words.mass(weight.turn_kg, up=True),
                f"{words.crew(each.handling.carry.persons)}{STRENGTH_FLAGS[each.handling.strength]}",
                words.money(each.price),
                words.per_area(float(each.price) / quantity / taken.plan.gross_m2),
            )
        )
    return Sheet(
        "Pieces",
        (
            Column("Mark", False),
            Column("Qty"),
            Column("Size", False),
            Column("Volume"),
            Column("In place"),
            Column(f"Plan, {words.area_unit}"),
            Column(words.areal_mass_unit),
            Column("To lift, high"),
            Column("To turn, high"),
            Column("Carried by", False),
            Column(f"Price, all ({words.currency})"),
            Column(f"per {words.area_unit}"),
        ),
        tuple(rows),
    )


def mix_sheet(estimate: Estimate, words: Words) -> Sheet:
    """What each mix weighs and how much of it is batched."""
    rows = tuple(
        (
            mix.name,
            words.volume(estimate.batching.batch_m3.get(mix.name, 0.0)),
            words.density(mix.fresh_density_kg_m3),
            _low_to_high(estimate.mix_facts[mix.name].bands.fresh_density_kg_m3, words),
            words.density(mix.installed_density_kg_m3),
            f"{mix.water_cementitious:.2f}",
            "—" if mix.water_cement is None else f"{mix.water_cement:.2f}",
            words.share(mix.air),
            "floats" if mix.floats else "sinks",
            _first_crack(estimate.job.mixes[mix.name], words),
        )
        for mix in estimate.mixes.values()
    )
    heads = ("Mix", "To batch", "Fresh", "low–high", "In place", "w/cm", "w/c", "Air", "In water", "First crack")
    words_in = ("Mix", "In water", "First crack")
    return Sheet("Mixes", tuple(Column(head, head not in words_in) for head in heads), rows)


def _low_to_high(band: Band, words: Words) -> str:
    """Both ends of a band of density, the unit once."""
    return f"{words.density(band.low).split()[0]}–{words.density(band.high)}"


def _first_crack(mix: Mix, words: Words) -> str:
    """The strength to count on, with its age; a strength that was not tested is no strength."""
    if mix.first_crack_strength_pa is None:
        return "untested"
    age = "" if mix.first_crack_age_d is None else f", {mix.first_crack_age_d:g} d"
    return f"{format_pressure(mix.first_crack_strength_pa, words.units)}{age}"


def material_sheet(estimate: Estimate, words: Words) -> Sheet:
    """What to order, in whole packs, with what is on the shelf taken off."""
    rows = []
    for line in estimate.materials.lines:
        packs = line.order.lines if line.order is not None else ()
        bought = ", ".join(f"{each.count} × {each.pack.name}" for each in packs)
        if not bought:
            bought = "from the tap" if line.material == "water" else "none" if line.order else "by mass"
        rows.append(
            (
                line.material,
                words.mass(line.required_kg),
                words.mass(line.on_hand_kg) if line.on_hand_kg else "—",
                bought,
                words.mass(line.left_over_kg) if line.order is not None else "—",
                words.money(line.purchase_cost),
                words.money(line.stock_cost),
            )
        )
    heads = ("Material", "Needed", "On the shelf", "To buy", "Left over", "To pay", "From the shelf")
    return Sheet(
        "Material order", tuple(Column(head, head not in ("Material", "To buy")) for head in heads), tuple(rows)
    )


def batch_sheet(batch: Batch, words: Words) -> Sheet:
    """One kind of batch in the order in which the mixer is loaded. Light aggregate goes by bucket first."""
    rows = tuple(
        (
            str(each.step),
            each.material,
            words.volume(each.volume_m3),
            words.mass(each.mass_kg),
            f"{each.deviation:+.2%}".replace("%", " %"),
        )
        for each in batch.load
    )
    heads = ("Step", "Material", "By bucket, loose", "By scale", "Scale rounds by")
    title = f"{batch.pour} · {batch.mix} · {batch.count} × {words.volume(batch.volume_m3)}, {words.mass(batch.mass_kg)}"
    return Sheet(title, tuple(Column(head, head != "Material") for head in heads), rows)
