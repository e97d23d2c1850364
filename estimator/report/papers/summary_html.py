"""summary.html: the whole job at a glance for the workshop, on a telephone or a desk; without any network."""

from collections.abc import Iterable, Iterator, Sequence
from html import escape

import numpy as np
from reportlab.graphics.shapes import Drawing

from estimator.estimate import Estimate
from estimator.handling.doubts import doubt_messages
from estimator.mixes import Comparison, Floats
from estimator.pricing.quote import lines_of
from estimator.report.papers.style import HEADING, by_statement, plain, words_of
from estimator.report.plots import DASHES, Bar, Series, bars, curves, degrees, to_svg
from estimator.report.screen import (
    Sheet,
    calendar_sheet,
    cost_sheet,
    labour_sheet,
    material_sheet,
    mix_sheet,
    piece_sheet,
)
from estimator.report.words import DEFERRAL, EXAMPLE_PRICES
from estimator.units import format_temperature
from estimator.words import Words, words_for

MOST_BARS = 30
"""So many marks have a bar, the heaviest; the table below shows all."""

MOST_SWAPS = 2
SHOWN_H = 48.0
"""Of a temperature, hours after placing."""

STYLE = """
:root { color-scheme: light; }
* { box-sizing: border-box; }
body { margin: 0; font: 16px/1.45 system-ui, sans-serif; color: #111; background: #fff; overflow-wrap: break-word; }
main { max-width: 1120px; margin: 0 auto; padding: 16px; }
h1 { font-size: 1.7rem; line-height: 1.15; margin: .2em 0; }
h2 { font-size: 1.1rem; margin: 1.6em 0 .4em; border-top: 2px solid #111; padding-top: .4em; }
.by, figcaption, .said { color: #555; font-size: .85rem; }
dl { display: grid; grid-template-columns: repeat(auto-fit, minmax(150px, 1fr)); gap: 8px 16px; margin: 12px 0; }
dt { color: #555; font-size: .8rem; } dd { margin: 0; font-weight: 700; font-size: 1.15rem; }
dl div { min-width: 0; } dd { overflow-wrap: anywhere; }
.alert { border: 3px solid #b00020; color: #b00020; font-weight: 700; padding: 8px 12px; margin: 12px 0; }
.alert p { margin: 0 0 4px; } .alert ul { margin: 0; padding-left: 1.1em; }
.charts { display: grid; grid-template-columns: 1fr; gap: 16px 40px; }
figure { margin: 0; } figure svg { width: 100%; max-width: 520px; height: auto; display: block; }
figure h2 { margin-top: .6em; }
.table { overflow-x: auto; } table { border-collapse: collapse; width: 100%; font-size: .88rem; }
th, td { padding: 4px 8px; text-align: left; vertical-align: top; border-bottom: 1px solid #ccc; }
th { border-bottom: 2px solid #111; } td.n, th.n { text-align: right; white-space: nowrap; }
td.t { min-width: 7.5em; max-width: 28em; } tr.total td { font-weight: 700; border-top: 2px solid #111; }
@media (min-width: 800px) { .charts { grid-template-columns: 1fr 1fr; } }
@media print { .table { overflow: visible; } figure, tr { break-inside: avoid; } }
"""


def summary_html(estimate: Estimate) -> bytes:
    """The page; the same bytes for the same estimate. Every text of the job is escaped."""
    words, job = words_of(estimate), estimate.job
    name = _text(job.name)
    body = [
        f'<p class="by">{_text(job.date or "undated")} · for the workshop: costs are in it</p>',
        f"<h1>{name}</h1>",
        *_facts(estimate, words),
        *_alert(estimate, words),
        '<div class="charts">',
        *_charts(estimate, words),
        "</div>",
    ]
    sheets = (
        piece_sheet(estimate, words), cost_sheet(estimate, words), labour_sheet(estimate, words),
        material_sheet(estimate, words), mix_sheet(estimate, words), calendar_sheet(estimate),
    )  # fmt: skip
    for sheet in sheets:
        if sheet.rows:
            body += _table(sheet)
    body += _cautions(estimate)
    body += [f'<p class="said">{_text(text)}</p>' for text in (EXAMPLE_PRICES, DEFERRAL)]
    head = (
        '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">\n"
        f"<title>{name}</title>\n<style>{STYLE}</style>\n</head>\n<body>\n<main>\n"
    )
    return (head + "\n".join(body) + "\n</main>\n</body>\n</html>\n").encode()


def _text(text: str) -> str:
    return escape(plain(text), quote=True)


def _facts(estimate: Estimate, words: Words) -> Iterator[str]:
    heaviest = max(estimate.pieces, key=lambda piece: piece.weight.lift_kg)
    ship = estimate.calendar.ship_day
    pairs = [
        ("Total with tax", f"{words.money(estimate.cost.total)} {estimate.job.currency}"),
        ("Before tax", words.money(estimate.cost.price)),
        ("Pieces", str(sum(piece.taken.piece.quantity for piece in estimate.pieces))),
        ("Heaviest to carry", f"{words.mass(heaviest.weight.lift_kg, up=True)}, {heaviest.taken.piece.mark}"),
        ("Hours", f"{estimate.pricing.labour.hours:.1f}"),
        ("Pours", str(len(estimate.batching.pours))),
        ("Ships", estimate.calendar.date_of(ship) or f"{estimate.calendar.lead_days} working days after approval"),
    ]
    yield "<dl>"
    yield from (f"<div><dt>{_text(label)}</dt><dd>{_text(value)}</dd></div>" for label, value in pairs)
    yield "</dl>"


def _alert(estimate: Estimate, words: Words) -> Iterator[str]:
    statements = by_statement(
        (piece.taken.piece.mark, map(words.text, piece.handling.not_shown_safe)) for piece in estimate.pieces
    )
    statements += map(words.text, doubt_messages(estimate.delivery.doubts))
    if statements:
        items = "".join(f"<li>{_text(line)}</li>" for line in statements)
        yield f'<div class="alert" role="alert"><p>{_text(HEADING)}</p><ul>{items}</ul></div>'


def _charts(estimate: Estimate, words: Words) -> Iterator[str]:
    yield _weight_chart(estimate, words)
    yield _cost_chart(estimate, words)
    comparisons = [facts.comparison for facts in estimate.mix_facts.values() if facts.comparison is not None]
    for comparison in comparisons[:MOST_SWAPS]:
        yield from _swap_chart(comparison, estimate, words)
    yield from _heat_chart(estimate)


def _figure(title: str, picture: Drawing, caption: str) -> str:
    return (
        f"<figure><h2>{_text(title)}</h2>\n{to_svg(picture, title)}\n<figcaption>{_text(caption)}</figcaption></figure>"
    )


def _weight_chart(estimate: Estimate, words: Words) -> str:
    heaviest = sorted(estimate.pieces, key=lambda piece: -piece.weight.lift_kg)[:MOST_BARS]
    rows = [
        Bar(
            piece.taken.piece.mark,
            piece.weight.low_kg,
            piece.weight.lift_kg,
            words.mass(piece.weight.lift_kg, up=True),
        )
        for piece in heaviest
    ]
    left = len(estimate.pieces) - len(heaviest)
    caption = "Of one piece, to carry. Solid: at least; hatched: up to the heaviest it may be, which is the figure."
    return _figure("Weight by piece", bars(rows), caption + (f" And {left} lighter." if left else ""))


def _cost_chart(estimate: Estimate, words: Words) -> str:
    kinds: dict[str, float] = {}
    for line in lines_of(estimate.cost, estimate.job.price):
        kinds[line.kind] = kinds.get(line.kind, 0.0) + float(line.amount)
    spent = {kind.replace("_", " "): amount for kind, amount in kinds.items() if amount}
    rows = [Bar(kind, amount, amount, words.money(amount)) for kind, amount in spent.items()]
    caption = f"In {estimate.job.currency}; they add up to {words.money(estimate.cost.total)}."
    return _figure("Cost by kind", bars(rows), caption)


def _swap_chart(comparison: Comparison, estimate: Estimate, words: Words) -> Iterator[str]:
    """Weight and cost of the job's concrete as the sand is swapped, each beside what it is with sand alone."""
    percent = 100.0 * comparison.curve.fraction
    series = [_beside("weight of all pieces, fresh", percent, comparison.curve_job_kg, 0)]
    if not np.isnan(comparison.curve_job_cost).any():
        series.append(_beside("cost of their materials", percent, comparison.curve_job_cost, 1))
    swaps = "; ".join(
        f"{words.share(row.replacement or 0.0)}: {words.mass(comparison.whole_job(row.fresh_kg))}, "
        f"{words.money(comparison.job_cost(row))}"
        for row in comparison.rows
    )
    title = f"Weight against cost, {comparison.mix}"
    picture = curves(series, f"% of {comparison.sand} swapped", "% of what sand alone gives")
    yield _figure(title, picture, f"Fresh, and materials in {estimate.job.currency}, at {swaps}.")


def _beside(name: str, percent: Floats, values: Floats, stroke: int) -> Series:
    """Values as percent of the first."""
    relative = 100.0 * values / values[0]
    return Series(name, list(zip(percent.tolist(), relative.tolist(), strict=True)), DASHES[stroke])


def _heat_chart(estimate: Estimate) -> Iterator[str]:
    """Core temperature of the piece that gets hottest."""
    units = estimate.job.units
    modelled = [
        (piece.taken.piece.mark, piece.curing) for piece in estimate.pieces if piece.curing.plan.chosen is not None
    ]
    if not modelled:
        return
    mark, hottest = max(modelled, key=lambda item: item[1].peak_high_c or 0.0)
    chosen = hottest.plan.chosen
    assert chosen is not None
    trace, hours = chosen.trace, chosen.trace.time_h.tolist()
    series = [
        Series(
            name,
            [(t, degrees(c, units)) for t, c in zip(hours, column.tolist(), strict=True) if t <= SHOWN_H],
            DASHES[stroke],
        )
        for stroke, (name, column) in enumerate(
            (("expected", trace.nominal_c), ("heat taken high", trace.high_c), ("heat taken low", trace.low_c))
        )
    ]
    unit = "°F" if units == "imperial" else "°C"
    title = f"Temperature over time, {mark}"
    picture = curves(series, "hours after placing", f"at mid-thickness, {unit}", from_zero=False)
    limit = next((item for item in hottest.plan.limits if item.name == "peak temperature"), None)
    caption = f"The piece that gets hottest, under {chosen.cover.name}."
    if limit is not None:
        caption += f" Not above {format_temperature(limit.value, units)} ({limit.source})."
    yield _figure(title, picture, caption)


def _table(sheet: Sheet) -> Iterator[str]:
    kinds = ["n" if column.figure else "t" for column in sheet.columns]
    heads = "".join(f'<th class="{k}">{_text(c.head)}</th>' for k, c in zip(kinds, sheet.columns, strict=True))
    yield f'<h2>{_text(sheet.title)}</h2>\n<div class="table"><table>\n<thead><tr>{heads}</tr></thead>\n<tbody>'
    yield from (f"<tr>{_cells(kinds, row)}</tr>" for row in sheet.rows)
    if sheet.totals:
        yield f'<tr class="total">{_cells(kinds, sheet.totals)}</tr>'
    yield "</tbody></table></div>"


def _cells(kinds: Iterable[str], row: Sequence[str]) -> str:
    return "".join(f'<td class="{kind}">{_text(cell)}</td>' for kind, cell in zip(kinds, row, strict=True))


def _cautions(estimate: Estimate) -> Iterator[str]:
    yield "<h2>Cautions</h2>\n<ul>"
    for applied in estimate.cautions:
        marks = ", ".join(applied.pieces[:12]) + (
            f" and {len(applied.pieces) - 12} more" if len(applied.pieces) > 12 else ""
        )
        caution = applied.caution
        of = f'<span class="said">{_text(marks)}</span>'
        yield f"<li><b>{_text(caution.severity.upper())}</b> {_text(caution.text)} {of}</li>"
    yield from (f"<li>{_text(words_for(estimate.job).text(warning.text))}</li>" for warning in estimate.warnings)
    yield "</ul>"
