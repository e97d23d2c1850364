"""What the curing figures assume, and the temperatures behind the verdicts: the proofs of the pour days."""

from collections.abc import Mapping, Sequence

from reportlab.lib.units import mm
from reportlab.platypus import Flowable

from estimator.curing.casting import THIN_SECTIONS
from estimator.curing.covers import stated
from estimator.estimate import Estimate
from estimator.report.papers.crew import marks_message
from estimator.report.papers.pour_words import Alike, CureWords, alike
from estimator.report.papers.style import BODY, SMALL, Draw, Picture, say, section
from estimator.report.plots import COLD, HOT, LEAST, LIMIT, Course, Level, on_paper, temperature_plot
from estimator.words import Words
from geometry.message import Message, few

PLOT_HIGH = 56 * mm
PLOTTED_H = (36.0, 48.0, 72.0)  # the least that shows the stripping
NEAR_K = 8.0  # of the cold limit, from which on that is drawn


def curing_notes(estimate: Estimate, words: Words, width: float) -> list[Flowable]:
    """Assumptions of the curing figures, each once with its pieces, and the temperatures of the pieces that govern."""
    marks: dict[Message, list[str]] = {}
    every = [piece.taken.piece.mark for piece in estimate.pieces]
    for piece in estimate.pieces:
        plan = piece.curing.plan
        for note in (*piece.curing.flags, plan.insulate.why, plan.add_heat.why, plan.cool_or_layers.why):
            marks.setdefault(note, []).append(piece.taken.piece.mark)
    lines = [
        say(
            words("about", subject=marks_message(named, every), text=note)
            if len(named) < len(every)
            else words.text(note),
            BODY,
        )
        for note, named in marks.items()
    ]
    groups = alike({piece.taken.piece.mark: piece.taken.piece.quantity for piece in estimate.pieces}, estimate)
    draw = _plot(groups, {limit.name: limit.value for limit in estimate.curing.limits}, words)
    plot = [] if draw is None else section(words("curing-plot"), Picture(width, PLOT_HIGH, draw))
    return [*section(words("curing-assumptions"), *lines, say(words("curing-computed"), SMALL)), *plot]


def _plot(groups: Sequence[Alike], limits: Mapping[str, float], words: Words) -> Draw | None:
    """Temperature over time of the pieces that govern: the hottest, and the one that hardens last."""
    modelled = [
        (group, plan.chosen, plan.cold)
        for group in groups
        for plan in (group.curing.plan,)
        if plan.chosen is not None and plan.cold is not None
    ]
    if not modelled:
        return None
    hot, warm, _ = max(modelled, key=lambda run: CureWords.peak_high_c(run[0].curing))
    cold, _, cool = min(modelled, key=lambda run: run[2].strength_at_strip)
    strips = [hours for group, *_ in modelled if (hours := group.curing.plan.strip_h) is not None]
    strip = (min(s[0] for s in strips), max(s[1] for s in strips)) if strips else None
    until_h = next((end_h for end_h in PLOTTED_H if strip is not None and strip[1] < end_h - 6.0), PLOTTED_H[-1])
    peak_c, least_c = limits["peak temperature"], limits[THIN_SECTIONS]
    levels = [Level(words("curing-plot-limit", limit_c=peak_c), peak_c, LIMIT)]
    warmest, coldest = warm.trace.hourly, cool.trace.hourly
    if min(coldest.low_c) < least_c + NEAR_K:
        levels.append(Level(words("curing-plot-least", thin_c=least_c), least_c, LEAST))
    names = [words.text(few(group.casts, 3)) for group in (hot, cold)]
    courses = [
        Course(
            names[0], f" {words('curing-plot-hot')}", warmest.time_h.tolist(), [stated(c) for c in warmest.high_c], HOT
        ),
        Course(names[1], f" {words('curing-plot-cold')}", coldest.time_h.tolist(), coldest.low_c.tolist(), COLD, 1.2),
    ]
    return on_paper(lambda wide, high: temperature_plot(courses, levels, strip, until_h, words, (wide, high)))
