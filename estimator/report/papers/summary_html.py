"""summary.html: the whole job at a glance for the workshop, on a telephone or a desk; without any network."""

import sys
from collections.abc import Iterable, Iterator, Sequence
from html import escape

import numpy as np
from reportlab.graphics.shapes import Drawing

from estimator.curing.covers import PLASTIC
from estimator.estimate import Estimate
from estimator.mixes import Comparison, Floats
from estimator.pricing.quote import lines_of
from estimator.report.first_screen import MOST_NAMES, headline, topics
from estimator.report.papers.style import plain, words_of
from estimator.report.plots import DASHES, Bar, Series, bars, curves, degrees, to_svg
from estimator.report.screen import (
    Sheet,
    calendar_sheet,
    cost_sheet,
    labor_sheet,
    material_sheet,
    mix_sheet,
    piece_sheet,
    weight_sheet,
)
from estimator.words import Words
from geometry.message import few

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
dl { margin: 12px 0; } dt { color: #555; } dd { margin: 0; overflow-wrap: anywhere; }
dd p { margin: 0 0 3px; padding-left: 1em; text-indent: -1em; white-space: pre-wrap; }
dl div { display: grid; grid-template-columns: 8.5em 1fr; border-bottom: 1px solid #ccc; padding: 5px 0; }
dl div:first-child dd { font-weight: 700; font-size: 1.15rem; }
@media (max-width: 600px) { dl div { grid-template-columns: 1fr; } }
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
        f'<p class="by">{_text(words("summary-internal"))}</p>',
        f"<h1>{_text(headline(estimate, words))}</h1>",
        *_first_screen(estimate, words),
        '<div class="charts">',
        *_charts(estimate, words),
        "</div>",
    ]
    sheets = (
        piece_sheet(estimate, words), weight_sheet(estimate, words), cost_sheet(estimate, words),
        labor_sheet(estimate, words), material_sheet(estimate, words), mix_sheet(estimate, words),
        calendar_sheet(estimate, words),
    )  # fmt: skip
    for sheet in sheets:
        if sheet.rows:
            body += _table(sheet)
    body += _cautions(estimate, words)
    body += [f'<p class="said">{_text(text)}</p>' for text in (words("example-prices"), words("deferral"))]
    head = (
        f'<!doctype html>\n<html lang="{words.language}">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">\n"
        f"<title>{name}</title>\n<style>{STYLE}</style>\n</head>\n<body>\n<main>\n"
    )
    return (head + "\n".join(body) + "\n</main>\n</body>\n</html>\n").encode()


def _text(text: str) -> str:
    return escape(plain(text), quote=True)


def _first_screen(estimate: Estimate, words: Words) -> Iterator[str]:
    """The first screen of the terminal, with everything that is not safe yet."""
    yield "<dl>"
    for topic in topics(estimate, words, most_open=sys.maxsize):
        more = [words("screen-more", count=topic.more)] if topic.more else []
        lines = "".join(f"<p>{_text(line)}</p>" for line in (*topic.entries, *more))
        if lines:
            yield f"<div><dt>{_text(topic.label)}</dt><dd>{lines}</dd></div>"
    yield "</dl>"


def _charts(estimate: Estimate, words: Words) -> Iterator[str]:
    yield _weight_chart(estimate, words)
    yield _cost_chart(estimate, words)
    comparisons = [facts.comparison for facts in estimate.mix_facts.values() if facts.comparison is not None]
    for comparison in comparisons[:MOST_SWAPS]:
        yield from _swap_chart(comparison, estimate, words)
    yield from _heat_chart(estimate, words)


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
    caption = words("summary-weight-caption", more=left)
    return _figure(words("summary-weight"), bars(rows), caption)


def _cost_chart(estimate: Estimate, words: Words) -> str:
    kinds: dict[str, float] = {}
    for line in lines_of(estimate.cost, estimate.job.price):
        kinds[line.kind] = kinds.get(line.kind, 0.0) + float(line.amount)
    spent = {words("summary-cost-kind", kind=kind): amount for kind, amount in kinds.items() if amount}
    rows = [Bar(kind, amount, amount, words.money(amount)) for kind, amount in spent.items()]
    caption = words("summary-cost-caption", currency=estimate.job.currency, total=words.money(estimate.cost.total))
    return _figure(words("summary-cost"), bars(rows), caption)


def _swap_chart(comparison: Comparison, estimate: Estimate, words: Words) -> Iterator[str]:
    """Weight and cost of the job's concrete as the sand is swapped, each beside what it is with sand alone."""
    percent = 100.0 * comparison.curve.fraction
    series = [_beside(words("summary-swap-weight"), percent, comparison.curve_job_kg, 0)]
    if not np.isnan(comparison.curve_job_cost).any():
        series.append(_beside(words("summary-swap-cost"), percent, comparison.curve_job_cost, 1))
    swaps = "; ".join(
        f"{words.share(row.replacement or 0.0)}: {words.mass(comparison.whole_job(row.fresh_kg))}, "
        f"{words.money(comparison.job_cost(row))}"
        for row in comparison.rows
    )
    title = words("summary-swap", mix=words.name(estimate.job.mixes[comparison.mix]))
    sand = words.name(estimate.job.materials[comparison.sand])
    picture = curves(series, words("summary-swap-across", sand=sand), words("summary-swap-up"))
    yield _figure(title, picture, words("summary-swap-caption", currency=estimate.job.currency, steps=swaps))


def _beside(name: str, percent: Floats, values: Floats, stroke: int) -> Series:
    """Values as percent of the first."""
    relative = 100.0 * values / values[0]
    return Series(name, list(zip(percent.tolist(), relative.tolist(), strict=True)), DASHES[stroke])


def _heat_chart(estimate: Estimate, words: Words) -> Iterator[str]:
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
    columns = (
        (words("summary-heat-expected"), trace.nominal_c),
        (words("summary-heat-high"), trace.high_c),
        (words("summary-heat-low"), trace.low_c),
    )
    series = [
        Series(
            name,
            [(t, degrees(c, units)) for t, c in zip(hours, column.tolist(), strict=True) if t <= SHOWN_H],
            DASHES[stroke],
        )
        for stroke, (name, column) in enumerate(columns)
    ]
    unit = "°F" if units == "imperial" else "°C"
    title = words("summary-heat", mark=mark)
    picture = curves(series, words("summary-heat-across"), words("summary-heat-up", unit=unit), from_zero=False)
    limit = next((item for item in hottest.plan.limits if item.name == "peak temperature"), None)
    cover = words("cover-plastic" if chosen.cover.name == PLASTIC else "cover-blanket")
    caption = words("summary-heat-caption", cover=cover)
    if limit is not None:
        caption += " " + words("summary-heat-limit", peak_c=limit.value, source=limit.source)
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


def _cautions(estimate: Estimate, words: Words) -> Iterator[str]:
    yield f"<h2>{_text(words('table-cautions'))}</h2>\n<ul>"
    for applied in estimate.cautions:
        severity = words(f"severity-{applied.caution.severity}")
        of = f'<span class="said">{_text(words.text(few(applied.pieces, MOST_NAMES)))}</span>'
        yield f"<li><b>{_text(severity)}</b> {_text(words.text(applied.text))} {of}</li>"
    yield "</ul>"
