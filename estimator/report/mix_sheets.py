"""Mixes on the terminal."""

from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal
from math import isnan

from estimator.batching import to_scale
from estimator.job import Material, Mix, Scale
from estimator.mix import MixDesign
from estimator.mix.bands import Band, MixBands
from estimator.mix.fresh import StoppedEarly, loose_volumes
from estimator.mix.replacement import Replacement
from estimator.mix.table import MixLine, MixListing
from estimator.mixes import CastIn
from estimator.pricing.history import Compared, History, NextRate
from estimator.pricing.sensitivity import Swing
from estimator.pricing.versions import Row, Value
from estimator.report.screen import Column, Sheet
from estimator.report.words import BASIS, COUNTED_DRY, CUBIC_YARD_M3, FIRST_CRACK, IN_PLACE, UNTESTED, WATER_C, WATER_CM
from estimator.strength import FlexuralStrength
from estimator.units import format_pressure
from estimator.words import Words

_HUNDRED_LB_KG = 45.359237
_FORMS = {
    "share": "by share of counted dry mass",
    "sand-ratio": "by sand to cementitious",
    "masses": "by masses of a batch",
    "mass-per-volume": "by mass per volume of concrete",
    "volume-parts": "by parts of loose volume",
}


def facts_sheet(mix: Mix, design: MixDesign, bands: MixBands, words: Words) -> Sheet:
    """What a mix weighs, with its low and high, and its water; first-crack strength where it was tested."""
    rows = [
        ("fresh", *_band(bands.fresh_density_kg_m3, words)),
        ("at demould", words.density(design.demould_density_kg_m3), "", ""),
        (IN_PLACE, *_band(bands.installed_density_kg_m3, words)),
        ("oven-dry", *_band(bands.oven_dry_density_kg_m3, words)),
        ("volume made of what is planned", *_shares(bands.yield_m3_per_m3, words)),
        ("air", words.share(design.air), "", ""),
        (WATER_CM, f"{design.water_cementitious:.3g}", "", ""),
        (WATER_C, "no cement" if design.water_cement is None else f"{design.water_cement:.3g}", "", ""),
        ("in water, fresh", "floats" if design.floats else "sinks", "", ""),
        (FIRST_CRACK, first_crack(mix, words), "", ""),
    ]
    return Sheet(
        f"Written {_FORMS[mix.written_as]}; beads take the place of sand {BASIS[mix.replaced_by]}",
        (Column("", False), Column("Likely"), Column("Low"), Column("High")),
        tuple(rows),
    )


def first_crack(mix: Mix, words: Words) -> str:
    """The strength to count on and its age, or that there is none."""
    if mix.first_crack_strength_pa is None:
        return UNTESTED
    age = f" at {mix.first_crack_age_d:g} days" if mix.first_crack_age_d is not None else ""
    return f"{format_pressure(mix.first_crack_strength_pa, words.units)}{age}, to count on"


def form_sheet(
    shown: MixListing, design: MixDesign, materials: Mapping[str, Material], scales: Sequence[Scale], words: Words
) -> Sheet:
    """A mix in one written form; masses with the bucket of each first, where it is measured by one.

    scales  of the workshop: a mass as weighed has their decimals
    """
    if shown.form == "masses":
        loose_m3, _ = loose_volumes(shown.batch, materials, design.made.water_density_kg_m3)
        rows = tuple(
            (line.name, words.volume(loose_m3[line.name]), as_weighed(line.value, scales, words))
            for line in shown.lines
        )
        totals = ("all", words.volume(sum(loose_m3.values())), words.mass(shown.batch.total_kg))
        title = (
            f"A batch of {words.mass(shown.batch.counted_dry_kg)} {COUNTED_DRY}, "
            f"which makes {words.volume(shown.finished_m3)}"
        )
        columns = (Column("Material", False), Column("By bucket, loose"), Column("By scale, as weighed"))
        return Sheet(title, columns, rows, totals)
    rows = tuple((line.name, _amount(line, scales, words), line.basis) for line in shown.lines)
    title = f"Written {_FORMS[shown.form]}"
    return Sheet(title, (Column("Material", False), Column("Amount"), Column("of what", False)), rows)


def basis_sheet(ways: Sequence[Replacement], words: Words) -> Sheet:
    """The same share of the sand replaced in each way: what a cubic metre of the all-sand mix becomes."""
    rows = tuple(
        (
            BASIS[way.by],
            words.mass(way.bead_in_kg / way.sand_out_kg * _HUNDRED_LB_KG),
            f"{way.yield_m3:.3f}",
            words.density(way.design.fresh_density_kg_m3),
            words.share(way.lighter),
        )
        for way in ways
        if way.sand_out_kg > 0.0
    )
    heads = (f"Sand replaced, {words.mass(_HUNDRED_LB_KG)}", "by beads", "Yield", "Fresh", "Lighter by")
    title = "Ways of replacing sand; yield is of what one of the all-sand mix made"
    return Sheet(title, tuple(Column(head, i > 0) for i, head in enumerate(heads)), rows)


def stop_sheet(stops: Sequence[StoppedEarly], words: Words) -> Sheet:
    """What the batch is if the water stops short."""
    rows = tuple(
        (
            f"w/cm {stop.design.water_cementitious:.3f}",
            words.share(stop.yield_ratio),
            words.density(stop.design.fresh_density_kg_m3),
            words.density(stop.design.installed_density_kg_m3),
            UNTESTED,
        )
        for stop in stops
    )
    heads = ("If the water stops at", "Volume of plan", "Fresh", "In place", "Strength")
    return Sheet("Stopped early", tuple(Column(head, 0 < i < 4) for i, head in enumerate(heads)), rows)


def comparison_sheet(rows: Sequence[CastIn], words: Words) -> Sheet:
    """Mixes side by side, a column a mix."""
    per = "yd³" if words.units == "imperial" else "m³"
    mixes = [row.design for row in rows]
    lines: list[tuple[str, ...]] = [
        ("fresh", *(words.density(mix.fresh_density_kg_m3) for mix in mixes)),
        (IN_PLACE, *(words.density(mix.installed_density_kg_m3) for mix in mixes)),
        (f"cementitious per {per}", *(per_volume(mix.cementitious_kg_m3, words) for mix in mixes)),
        (WATER_CM, *(f"{mix.water_cementitious:.3g}" for mix in mixes)),
        (WATER_C, *("—" if mix.water_cement is None else f"{mix.water_cement:.3g}" for mix in mixes)),
        ("in water, fresh", *("floats" if mix.floats else "sinks" for mix in mixes)),
        (f"material cost per {per}, {words.currency}", *(_cost_per_volume(row, words) for row in rows)),
        (FIRST_CRACK, *(first_crack(row.mix, words) for row in rows)),
    ]
    heads = [row.mix.name if row.replacement is None else words.share(row.replacement) for row in rows]
    return Sheet("Mixes side by side", (Column("", False), *(Column(head) for head in heads)), tuple(lines))


def pieces_sheet(rows: Sequence[CastIn], marks: Sequence[str], quantity: Sequence[float], words: Words) -> Sheet:
    """What each piece weighs and its concrete costs in each mix; the job below."""
    lines: list[tuple[str, ...]] = []
    for i, mark in enumerate(marks):
        lines.append((mark, "fresh, of one", *(words.mass(float(row.fresh_kg[i])) for row in rows)))
        lines.append(("", "in place", *(words.mass(float(row.installed_kg[i])) for row in rows)))
        lines.append(("", "to lift, high", *(words.mass(float(row.high_kg[i]), up=True) for row in rows)))
        lines.append(("", "concrete at list price", *(_money(float(row.cost[i]), words) for row in rows)))
    if len(marks) > 1 or any(count > 1 for count in quantity):
        lines.append(("all", "fresh", *(words.mass(float(row.fresh_kg @ quantity)) for row in rows)))
        lines.append(("", "concrete at list price", *(_money(float(row.cost @ quantity), words) for row in rows)))
    heads = [row.mix.name if row.replacement is None else words.share(row.replacement) for row in rows]
    columns = (Column("Piece", False), Column("", False), *(Column(head) for head in heads))
    return Sheet(f"The pieces in each ({words.currency})", columns, tuple(lines))


def per_volume(density_kg_m3: float, words: Words) -> str:
    """A content of concrete as the trade writes it: pounds in a cubic yard, kilograms in a cubic metre."""
    if words.units == "imperial":
        return f"{words.mass(density_kg_m3 * CUBIC_YARD_M3)}/yd³"
    return f"{words.mass(density_kg_m3)}/m³"


def as_weighed(mass_kg: float, scales: Sequence[Scale], words: Words) -> str:
    """A mass as the scale that weighs it best shows it."""
    return words.as_weighed(*to_scale(mass_kg, scales)) if mass_kg > 0.0 else words.mass(0.0)


def _amount(line: MixLine, scales: Sequence[Scale], words: Words) -> str:
    if line.unit == "kg/m3":
        per_m3, per = (CUBIC_YARD_M3, "yd³") if words.units == "imperial" else (1.0, "m³")
        return f"{as_weighed(line.value * per_m3, scales, words)}/{per}"
    if line.unit == "part":
        return f"{line.value:.3g}"
    return f"{line.value:.3g}" if line.name in ("water", "sand") else words.share(line.value)


def _cost_per_volume(row: CastIn, words: Words) -> str:
    if row.unpriced:
        return words.money(None)
    return words.money(row.cost_per_m3 * (CUBIC_YARD_M3 if words.units == "imperial" else 1.0))


def _money(cost: float, words: Words) -> str:
    return words.money(None if isnan(cost) else cost)


def _band(band: Band, words: Words) -> tuple[str, str, str]:
    return words.density(band.best), words.density(band.low), words.density(band.high)


def _shares(band: Band, words: Words) -> tuple[str, str, str]:
    return words.share(band.best), words.share(band.low), words.share(band.high)


def coupon_sheet(mix: Mix, words: Words) -> Sheet:
    """Each coupon of a mix."""
    rows = tuple(
        (
            coupon.pour,
            f"{coupon.age_d:g}",
            "up" if coupon.face_up else "down",
            f"{words.length(coupon.span_m)} × {words.length(coupon.width_m)} × {words.length(coupon.depth_m)}",
            "not recorded" if coupon.limit_pa is None else format_pressure(coupon.limit_pa, words.units),
            format_pressure(coupon.rupture_pa, words.units),
        )
        for coupon in mix.coupons
    )
    heads = ("Pour", "Age, days", "Form face", "Span × width × depth", "First crack", "Breaking")
    return Sheet(f"{mix.name}: coupons", tuple(Column(head, i in (1, 4, 5)) for i, head in enumerate(heads)), rows)


def strength_sheet(tested: Sequence[tuple[Mix, float | None, Sequence[FlexuralStrength]]], words: Words) -> Sheet:
    """What the coupons show by dosage, pour and age."""

    def pressure(value: float | None) -> str:
        return "not shown" if value is None else format_pressure(value, words.units)

    rows = []
    for mix, share, strengths in tested:
        for strength in strengths:
            limit = strength.limit
            rows.append(
                (
                    mix.name,
                    "—" if share is None else words.share(share),
                    strength.pour,
                    f"{strength.age_d:g}",
                    str(strength.count),
                    pressure(None if limit is None else limit.mean_pa),
                    pressure(None if limit is None else limit.deviation_pa),
                    "—" if limit is None else words.share(limit.variation),
                    pressure(strength.design_pa),
                    pressure(strength.rupture.mean_pa),
                )
            )
    heads = (
        "Mix",
        "Sand swapped",
        "Pour",
        "Days",
        "Coupons",
        "First crack, mean",
        "Deviation",
        "Varies",
        "To count on",
    )
    columns = tuple(Column(head, i not in (0, 2)) for i, head in enumerate((*heads, "Breaking, mean")))
    return Sheet("What they show", columns, tuple(rows))


NO_SPREAD = "—"  # of one job
ALWAYS = ("price before tax", "total", "all pieces in place", "most people for a piece")


def comparison_sheets(
    names: Sequence[str],
    rows: Sequence[Row],
    swings: Sequence[Swing],
    price: Decimal,
    words: Words,
    *,
    every: bool,
) -> list[Sheet]:
    """Rows that differ (or all), each value with what it is more than the first; then what moves the price most.

    price   of the first job, before tax
    """
    rows_shown = [row for row in rows if every or row.differs or row.what in ALWAYS]
    cells = tuple(
        (
            words.text(row.head),
            words.text(row.label),
            *(_cell(row, at, words) for at in range(len(row.values))),
        )
        for row in rows_shown
    )
    heads = (Column("", False), Column("", False), *(Column(name) for name in names))
    sheets = [Sheet("Side by side", heads, cells)] if len(names) > 1 else []
    if swings:
        sheets.append(
            Sheet(
                f"What moves the price of {price:,.2f} most",
                (Column("Input", False), Column("Moved by"), Column("Down"), Column("Up")),
                tuple(
                    (
                        words.text(swing.label),
                        words.text(swing.moved),
                        *(
                            "—" if price_at is None else words.more(price_at - price)
                            for price_at in (swing.low, swing.high)
                        ),
                    )
                    for swing in swings
                ),
            )
        )
    return sheets


def history_sheets(history: History, words: Words) -> list[Sheet]:
    """Material and activity against the estimate, remakes, and what to reckon with next."""
    heads = (Column("", False), Column("Planned"), Column("Taken"), Column("Taken / planned"), Column("Complete jobs"))
    return [
        Sheet("Material", heads, tuple(_compared(material, words.mass) for material in history.materials)),
        Sheet(
            "Activity",
            heads,
            tuple(_compared(activity, lambda hours: f"{hours:.2f} h") for activity in history.activities),
        ),
        Sheet(
            "Remakes",
            (Column("Job", False), Column("Piece", False), Column("Cause", False), Column("Count"), Column("Cost")),
            tuple(
                (
                    remake.job,
                    remake.piece,
                    remake.cause,
                    str(remake.count),
                    "—" if remake.cost is None else words.money(remake.cost),
                )
                for remake in history.remakes
            ),
        ),
        Sheet(
            "To reckon with next",
            (Column("Figure", False), Column("Now"), Column("Next"), Column("Least to most"), Column("Jobs")),
            (*_replacement_shares(history, words), *(_rate(rate, words) for rate in history.rates)),
        ),
    ]


def _replacement_shares(history: History, words: Words) -> list[tuple[str, ...]]:
    rows: list[tuple[str, ...]] = []
    if history.waste_now is not None and history.waste_next is not None and history.waste_spread is not None:
        now, following = words.share(history.waste_now), words.share(history.waste_next)
        rows.append(
            (
                "waste on cast volume",
                now,
                following,
                _spread(history.waste_spread, history.waste_jobs, words),
                str(history.waste_jobs),
            )
        )
    if history.remake_next is not None and history.remake_spread is not None and history.remakes:
        following, spread = words.share(history.remake_next), _spread(history.remake_spread, history.remake_jobs, words)
        rows.append(("remakes, of direct cost", "", following, spread, str(history.remake_jobs)))
    return rows


def _spread(shares: tuple[float, float], jobs: int, words: Words) -> str:
    if jobs < 2:
        return NO_SPREAD
    return " to ".join(words.share(share) for share in shares)


def _rate(rate: NextRate, words: Words) -> tuple[str, ...]:
    now, following, low, high = (
        words.time_each(time_s, rate.unit) for time_s in (rate.now_s, rate.next_s, rate.low_s, rate.high_s)
    )
    return rate.figure, now, following, f"{low} to {high}" if rate.jobs > 1 else NO_SPREAD, str(rate.jobs)


def _compared(item: Compared, in_words: Callable[[float], str]) -> tuple[str, ...]:
    """A part of what a job takes has no ratio to the whole that was planned: the ratio is of complete records."""
    complete = item.ratio
    if item.planned <= 0.0:
        ratio = "not planned"
    else:
        ratio = "not complete" if complete is None else f"{complete.whole:.2f}"
    jobs = "0" if complete is None else str(complete.jobs)
    return item.name, in_words(item.planned), in_words(item.taken), ratio, f"{jobs} of {item.jobs}"


def _cell(row: Row, at: int, words: Words) -> str:
    text = _shown(row, row.values[at], words)
    change = row.change(at) if at else None
    return f"{text} ({_signed(row, change, words)})" if change else text


def _shown(row: Row, value: Value, words: Words) -> str:
    if row.figure == "crew":
        return "—" if value == 0 else words.crew(None if value is None else int(value))
    if value is None:
        return "—"
    number = float(value)
    match row.figure:
        case "money":
            return words.money(value)
        case "mass":
            return words.mass(number)
        case "volume":
            return words.volume(number)
        case "area":
            return words.area(number)
        case "hours":
            return f"{number:.2f} h"
        case _:
            return f"{number:g}"


def _signed(row: Row, change: Decimal | float, words: Words) -> str:
    positive: Value = change.copy_abs() if isinstance(change, Decimal) else abs(change)
    return f"{'+' if change > 0 else '−'}{_shown(row, positive, words)}"
