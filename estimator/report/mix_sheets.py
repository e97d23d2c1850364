"""Mixes on the terminal."""

from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal
from math import isnan

from estimator.batching import to_scale
from estimator.constants import POUND_KG
from estimator.intake.corrections import Correction
from estimator.job import Material, Mix, Scale
from estimator.mix import MixDesign
from estimator.mix.bands import Band, MixBands
from estimator.mix.calibrate import Explanation
from estimator.mix.fresh import StoppedEarly, loose_volumes
from estimator.mix.replacement import Replacement, RuleOfThumb
from estimator.mix.table import MixLine, MixListing
from estimator.mixes import CastIn
from estimator.pricing.history import Compared, History, NextRate
from estimator.pricing.sensitivity import Swing
from estimator.pricing.versions import ALWAYS, Row, Value
from estimator.report.screen import Column, Sheet
from estimator.strength import FlexuralStrength
from estimator.words import Words

_SAND_KG = {"imperial": 100.0 * POUND_KG, "metric": 50.0}  # replaced, for a table of what takes its place


def mixes_sheet(mixes: Mapping[str, Mix], words: Words) -> Sheet:
    """The mixes there are: the key that a command takes, and the name on papers."""
    rows = tuple(
        (key, words.name(mix), words.share(mix.air), f"{mix.water_cementitious:.3g}") for key, mix in mixes.items()
    )
    return Sheet(words("mix-mixes"), _columns(words, "key", "mix", "air", "w-cm", texts=("key", "mix")), rows)


def facts_sheet(mix: Mix, design: MixDesign, bands: MixBands, words: Words) -> Sheet:
    """What a mix weighs, with its low and high, and its water; first-crack strength where it was tested."""
    rows = [
        (words("mix-fresh"), *_band(bands.fresh_density_kg_m3, words)),
        (words("mix-at-stripping"), words.density(design.demould_density_kg_m3), "", ""),
        (words("mix-installed-equilibrium"), *_band(bands.installed_density_kg_m3, words)),
        (words("mix-oven-dry"), *_band(bands.oven_dry_density_kg_m3, words)),
        (words("mix-yield"), *_shares(bands.yield_m3_per_m3, words)),
        (words("mix-air-content"), words.share(design.air), "", ""),
        (words("mix-water-cementitious"), f"{design.water_cementitious:.3g}", "", ""),
        (
            words("mix-water-cement"),
            words("mix-without-cement") if design.water_cement is None else f"{design.water_cement:.3g}",
            "",
            "",
        ),
        (words("mix-in-water"), words("mix-floats" if design.floats else "mix-sinks"), "", ""),
        (words("mix-first-crack"), first_crack(mix, words), "", ""),
    ]
    return Sheet(
        words("mix-properties"),
        _columns(words, "", "likely", "low", "high"),
        tuple(rows),
    )


def first_crack(mix: Mix, words: Words) -> str:
    """The design strength and its age; "untested" for a mix without a test."""
    if mix.first_crack_strength_pa is None:
        return words("mix-untested")
    strength = words.pressure(mix.first_crack_strength_pa)
    if mix.first_crack_age_d is None:
        return words("mix-design-strength", strength=strength)
    return words("mix-design-strength-at", strength=strength, days=words.figure(f"{mix.first_crack_age_d:g}"))


def form_sheet(
    listing: MixListing, design: MixDesign, materials: Mapping[str, Material], scales: Sequence[Scale], words: Words
) -> Sheet:
    """A mix in one written form; masses with the bucket of each first, where it is measured by one.

    scales  of the workshop: a mass as weighed has their decimals
    """
    if listing.form == "masses":
        loose_m3, _ = loose_volumes(listing.batch, materials, design.made.water_density_kg_m3)
        rows = tuple(
            (
                material_name(line.name, materials, words),
                words.volume(loose_m3[line.name]),
                as_weighed(line.value, scales, words),
            )
            for line in listing.lines
        )
        totals = (words("mix-all"), words.volume(sum(loose_m3.values())), words.mass(listing.batch.total_kg))
        title = words("mix-batch", counted_kg=listing.batch.counted_dry_kg, made_m3=listing.finished_m3)
        columns = _columns(words, "material", "by-bucket", "by-scale")
        return Sheet(title, columns, rows, totals)
    rows = tuple(
        (material_name(line.name, materials, words), _amount(line, scales, words), words.text(line.basis))
        for line in listing.lines
    )
    columns = _columns(words, "material", "amount", "basis", texts=("material", "basis"))
    return Sheet(words("mix-form", form=listing.form), columns, rows)


def material_name(name: str, materials: Mapping[str, Material], words: Words) -> str:
    """The name of a material, or of what a mix has beside materials: water, sand, all cementitious."""
    return words.name(materials[name]) if name in materials else words.named(name)


def figure_name(key: str, materials: Mapping[str, Material], words: Words) -> str:
    """A figure that a density rests on, by its key: "air", "water" or "materials.NAME.FIGURE"."""
    *path, figure = key.split(".")
    if not path:
        return words(f"density-{figure}")
    name = material_name(".".join(path[1:]), materials, words)
    return words(f"density-of-{figure.replace('_', '-')}", material_name=name)


def corrected_name(correction: Correction, materials: Mapping[str, Material], words: Words) -> str:
    """What a correction is of."""
    if correction.figure == "water_cementitious":
        return words("mix-water-cementitious")
    of = f"materials.{correction.material}." if correction.material else ""
    return figure_name(f"{of}{correction.figure}", materials, words)


def corrected_text(figure: str, value: float, words: Words) -> str:
    """A figure that a density rests on, in the job's units."""
    if figure in ("density", "bulk_density"):
        return words.density(value)
    return f"{value:.3g}" if figure == "water_cementitious" else words.share(round(value, 3))


def assumed_and_would_be(explanation: Explanation, words: Words) -> tuple[str, str]:
    """The figure as assumed and as it would be; water as a share of what was planned."""
    assumption = explanation.assumption
    values = assumption.assumed, explanation.would_be
    if assumption.figure == "water":
        values = 1.0, explanation.would_be / assumption.assumed
    assumed, would_be = (corrected_text(assumption.figure, value, words) for value in values)
    return assumed, would_be


def now_and_after(words: Words, *firsts: str) -> tuple[Column, ...]:
    """Columns of words under these heads, then one for now and one with the sand replaced."""
    return (*(Column(head, False) for head in firsts), *_columns(words, "now", "replaced", texts=()))


def basis_sheet(ways: Sequence[Replacement], words: Words) -> Sheet:
    """The same share of the sand replaced in each way: what a cubic meter of the all-sand mix becomes."""
    sand_kg = _SAND_KG[words.units]
    rows = tuple(
        (
            words(f"basis-{way.by}"),
            words.mass(way.bead_in_kg / way.sand_out_kg * sand_kg),
            f"{way.yield_m3:.2f}",
            words.density(way.design.fresh_density_kg_m3),
            words.share(way.lighter),
        )
        for way in ways
        if way.sand_out_kg > 0.0
    )
    first = Column(words("mix-head-sand", sand_kg=sand_kg), False)
    return Sheet(words("mix-ways"), (first, *_columns(words, "beads", "yield", "fresh", "lighter", texts=())), rows)


def stop_sheet(stops: Sequence[StoppedEarly], words: Words) -> Sheet:
    """What the batch is if the water stops short."""
    rows = tuple(
        (
            words("mix-water-ratio-at", ratio=f"{stop.design.water_cementitious:.3f}"),
            words.share(stop.yield_ratio),
            words.density(stop.design.fresh_density_kg_m3),
            words.density(stop.design.installed_density_kg_m3),
            words("mix-untested"),
        )
        for stop in stops
    )
    ids = ("stop-at", "share-of-plan", "fresh", "installed", "strength")
    return Sheet(words("mix-stopped"), _columns(words, *ids, texts=("stop-at", "strength")), rows)


def comparison_sheet(rows: Sequence[CastIn], words: Words) -> Sheet:
    """Mixes side by side, a column a mix."""
    mixes = [row.design for row in rows]
    lines: list[tuple[str, ...]] = [
        (words("mix-fresh"), *(words.density(mix.fresh_density_kg_m3) for mix in mixes)),
        (words("mix-installed-equilibrium"), *(words.density(mix.installed_density_kg_m3) for mix in mixes)),
        (words("mix-cementitious-content"), *(per_volume(mix.cementitious_kg_m3, words) for mix in mixes)),
        (words("mix-water-cementitious"), *(f"{mix.water_cementitious:.3g}" for mix in mixes)),
        (words("mix-water-cement"), *("—" if mix.water_cement is None else f"{mix.water_cement:.3g}" for mix in mixes)),
        (words("mix-in-water"), *(words("mix-floats" if mix.floats else "mix-sinks") for mix in mixes)),
        (
            words("mix-cost-per", unit=words.concrete_unit, currency=words.currency),
            *(_cost_per_volume(row, words) for row in rows),
        ),
        (words("mix-first-crack"), *(first_crack(row.mix, words) for row in rows)),
    ]
    heads = [words.name(row.mix) if row.replacement is None else words.share(row.replacement) for row in rows]
    return Sheet(words("mix-side-by-side"), (Column("", False), *(Column(head) for head in heads)), tuple(lines))


def pieces_sheet(rows: Sequence[CastIn], marks: Sequence[str], quantity: Sequence[float], words: Words) -> Sheet:
    """What each piece weighs and its concrete costs in each mix; the job below."""
    lines: list[tuple[str, ...]] = []
    for i, mark in enumerate(marks):
        lines.append((mark, words("mix-fresh-each"), *(words.mass(float(row.fresh_kg[i])) for row in rows)))
        lines.append(("", words("mix-installed"), *(words.mass(float(row.installed_kg[i])) for row in rows)))
        lines.append(("", words("mix-lift-high"), *(words.mass(float(row.high_kg[i]), up=True) for row in rows)))
        lines.append(("", words("mix-list-price"), *(_money(float(row.cost[i]), words) for row in rows)))
    if len(marks) > 1 or any(count > 1 for count in quantity):
        lines.append(
            (words("mix-all"), words("mix-fresh"), *(words.mass(float(row.fresh_kg @ quantity)) for row in rows))
        )
        lines.append(("", words("mix-list-price"), *(_money(float(row.cost @ quantity), words) for row in rows)))
    heads = [words.name(row.mix) if row.replacement is None else words.share(row.replacement) for row in rows]
    columns = (*_columns(words, "piece", "", texts=("piece", "")), *(Column(head) for head in heads))
    return Sheet(words("mix-pieces-in-each", currency=words.currency), columns, tuple(lines))


def rule_of_thumb_text(mix: Mix, thumb: RuleOfThumb, words: Words) -> str:
    """Why a mix is not as light as the trade's rule of thumb says, and what would make it so."""
    sentence = words(
        "thumb",
        mix_name=mix.label,
        replaced_share=thumb.share,
        lighter_share=thumb.lighter,
        expected_share=thumb.expected,
    )
    ways = []
    if thumb.air is not None:
        ways.append(words("thumb-air", air_share=thumb.air, now_share=thumb.air_now))
    if thumb.cementitious_share is not None:
        now, wanted = thumb.cementitious_share_now, thumb.cementitious_share
        ways.append(words("thumb-cementitious", wanted_share=wanted, now_share=now))
    if thumb.sand_bulk_density_kg_m3 is not None:
        loose, now = thumb.sand_bulk_density_kg_m3, thumb.sand_bulk_density_now_kg_m3
        ways.append(words("thumb-sand", loose_kg_m3=loose, now_kg_m3=now))
    if not ways:
        return f"{sentence} {words('thumb-no-way')}"
    return f"{sentence} {words('thumb-ways', count=len(ways), ways='; '.join(ways))}"


def per_volume(density_kg_m3: float, words: Words) -> str:
    """A content of concrete as the trade writes it: pounds in a cubic yard, kilograms in a cubic meter."""
    return f"{words.mass(density_kg_m3 * words.concrete_unit_m3)}/{words.concrete_unit}"


def as_weighed(mass_kg: float, scales: Sequence[Scale], words: Words) -> str:
    """A mass as the scale that weighs it best shows it."""
    return words.as_weighed(*to_scale(mass_kg, scales)) if mass_kg > 0.0 else words.mass(0.0)


def _amount(line: MixLine, scales: Sequence[Scale], words: Words) -> str:
    if line.unit == "kg/m3":
        return f"{as_weighed(line.value * words.concrete_unit_m3, scales, words)}/{words.concrete_unit}"
    if line.unit == "part":
        return f"{line.value:.3g}"
    return f"{line.value:.3g}" if line.name in ("water", "sand") else words.share(line.value)


def _cost_per_volume(row: CastIn, words: Words) -> str:
    if row.unpriced:
        return words.money(None)
    return words.money(row.cost_per_m3 * words.concrete_unit_m3)


def _money(cost: float, words: Words) -> str:
    return words.money(None if isnan(cost) else cost)


def _band(band: Band, words: Words) -> tuple[str, str, str]:
    return words.density(band.best), words.density(band.low), words.density(band.high)


def _shares(band: Band, words: Words) -> tuple[str, str, str]:
    return words.share(band.best), words.share(band.low), words.share(band.high)


def explanation_sheet(rows: tuple[tuple[str, ...], ...], words: Words) -> Sheet:
    """What each assumed figure would have to be for the density weighed, if it alone was wrong."""
    ids = ("assumption", "assumed", "would-be", "deviations", "verdict")
    return Sheet(words("calibrate-explains"), _columns(words, *ids, texts=("assumption", "verdict")), rows)


def coupon_sheet(mix: Mix, words: Words) -> Sheet:
    """Each coupon of a mix."""
    rows = tuple(
        (
            coupon.pour,
            words.figure(f"{coupon.age_d:g}"),
            words("coupon-face-up" if coupon.face_up else "coupon-face-down"),
            f"{words.length(coupon.span_m)} × {words.length(coupon.width_m)} × {words.length(coupon.depth_m)}",
            words("coupon-not-recorded") if coupon.limit_pa is None else words.pressure(coupon.limit_pa),
            words.pressure(coupon.rupture_pa),
        )
        for coupon in mix.coupons
    )
    ids = ("pour", "age", "face", "coupon-size", "first-crack", "breaking")
    columns = _columns(words, *ids, texts=("pour", "face", "coupon-size"))
    return Sheet(words("coupon-title", mix_name=mix.label), columns, rows)


def strength_sheet(tested: Sequence[tuple[Mix, float | None, Sequence[FlexuralStrength]]], words: Words) -> Sheet:
    """What the coupons show by dosage, pour and age."""

    def pressure(value: float | None) -> str:
        return words("coupon-not-known") if value is None else words.pressure(value)

    rows = []
    for mix, share, strengths in tested:
        for strength in strengths:
            limit = strength.limit
            rows.append(
                (
                    words.name(mix),
                    "—" if share is None else words.share(share),
                    strength.pour,
                    words.figure(f"{strength.age_d:g}"),
                    words.count(strength.count),
                    pressure(None if limit is None else limit.mean_pa),
                    pressure(None if limit is None else limit.deviation_pa),
                    "—" if limit is None else words.share(limit.variation),
                    pressure(strength.design_pa),
                    pressure(strength.rupture.mean_pa),
                )
            )
    ids = ("mix", "sand-replaced", "pour", "days", "coupons", "crack-mean", "deviation", "variation", "design")
    columns = _columns(words, *ids, "breaking-mean", texts=("mix", "pour"))
    return Sheet(words("coupon-results"), columns, tuple(rows))


def _columns(words: Words, *ids: str, texts: Sequence[str] | None = None) -> tuple[Column, ...]:
    """Columns by the ids of their heads, "" for none; `texts` to the left, only the first where None."""
    left = ids[:1] if texts is None else texts
    return tuple(Column(words(f"mix-head-{id}") if id else "", id not in left) for id in ids)


NO_SPREAD = "—"  # of one job


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
    sheets = [Sheet(words("compare-side-by-side"), heads, cells)] if len(names) > 1 else []
    if swings:
        sheets.append(
            Sheet(
                words("compare-swings", price=words.money(price)),
                _columns(words, "input", "moved", "down", "up"),
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
    """Material and activities against the estimate, remakes, and what to plan for next time."""
    heads = _columns(words, "", "planned", "actual", "actual-planned", "complete-jobs")
    return [
        Sheet(
            words("history-material"),
            heads,
            tuple(_compared(words.named(material.name), material, words.mass, words) for material in history.materials),
        ),
        Sheet(
            words("history-activity"),
            heads,
            tuple(
                _compared(activity.name, activity, lambda hours: f"{hours:.2f} h", words)
                for activity in history.activities
            ),
        ),
        Sheet(
            words("history-remakes"),
            _columns(words, "job", "piece", "cause", "count", "cost", texts=("job", "piece", "cause")),
            tuple(
                (
                    remake.job,
                    remake.piece,
                    remake.cause,
                    words.count(remake.count),
                    "—" if remake.cost is None else words.money(remake.cost),
                )
                for remake in history.remakes
            ),
        ),
        Sheet(
            words("history-next"),
            _columns(words, "figure", "now", "next", "range", "jobs"),
            (*_replacement_shares(history, words), *(_rate(rate, words) for rate in history.rates)),
        ),
    ]


def _replacement_shares(history: History, words: Words) -> list[tuple[str, ...]]:
    rows: list[tuple[str, ...]] = []
    if history.waste_now is not None and history.waste_next is not None and history.waste_spread is not None:
        now, following = words.share(history.waste_now), words.share(history.waste_next)
        rows.append(
            (
                words("history-waste"),
                now,
                following,
                _spread(history.waste_spread, history.waste_jobs, words),
                str(history.waste_jobs),
            )
        )
    if history.remake_next is not None and history.remake_spread is not None and history.remakes:
        following, spread = words.share(history.remake_next), _spread(history.remake_spread, history.remake_jobs, words)
        rows.append((words("history-remake-share"), "", following, spread, str(history.remake_jobs)))
    return rows


def _spread(shares: tuple[float, float], jobs: int, words: Words) -> str:
    if jobs < 2:
        return NO_SPREAD
    return "–".join(words.share(share) for share in shares)


def _rate(rate: NextRate, words: Words) -> tuple[str, ...]:
    now, following, low, high = (
        words.time_each(time_s, rate.unit) for time_s in (rate.now_s, rate.next_s, rate.low_s, rate.high_s)
    )
    return rate.figure, now, following, f"{low}–{high}" if rate.jobs > 1 else NO_SPREAD, str(rate.jobs)


def _compared(name: str, item: Compared, in_words: Callable[[float], str], words: Words) -> tuple[str, ...]:
    """A part of what a job takes has no ratio to the whole that was planned: the ratio is of complete records."""
    complete = item.ratio
    if item.planned <= 0.0:
        ratio = words("history-not-planned")
    else:
        ratio = words("history-not-complete") if complete is None else f"{complete.whole:.2f}"
    jobs = "0" if complete is None else str(complete.jobs)
    return (
        name,
        in_words(item.planned),
        in_words(item.taken),
        ratio,
        words("history-of", jobs=jobs, total=str(item.jobs)),
    )


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
            return words.figure(f"{number:.2f} h")
        case _:
            return words.figure(f"{number:.15g}")


def _signed(row: Row, change: Decimal | float, words: Words) -> str:
    positive: Value = change.copy_abs() if isinstance(change, Decimal) else abs(change)
    return f"{'+' if change > 0 else '−'}{_shown(row, positive, words)}"
