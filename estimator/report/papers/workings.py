"""workings.pdf: how each figure came about, so that a colleague can check it with a pocket calculator.

Figures of one kind stand together: formula, unit and, where it is the same, source once; then a line for each piece,
mix or material, with the values that go into the formula and what comes out.
"""

from collections.abc import Mapping, Sequence

from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Flowable, Spacer

from estimator.estimate import Estimate
from estimator.explain import workings_of
from estimator.report.figures import figure_text, values_text
from estimator.report.papers.curing_notes import curing_notes
from estimator.report.papers.style import BODY, SMALL, Front, bind, keep_with, say, say_parts, section, title, words_of
from estimator.report.papers.table import table
from estimator.report.screen import Column
from estimator.workings import Working
from geometry.frozen import frozen

SIZES = (7.5, 7.0, 6.5, 6.0)
THROUGHOUT = ParagraphStyle("throughout", parent=BODY, fontSize=7.5, leading=10)
HEAD_ROOM = 60.0  # formula and source over a table, points
MOST_VALUES = 8  # more of them are told in words, not in columns


@frozen
class Kind:
    """What workings have in common: they differ in what they are of, in their values, and in part in their source."""

    branch: str  # pieces, mixes, materials, cost ...
    figure: str
    formula: str
    names: tuple[str, ...]
    unit: str


def workings(estimate: Estimate) -> bytes:
    """Every working of the estimate as PDF, by kind."""
    front = Front("Workings", estimate.job)
    note = "unrounded values in SI units; + − · / ^ as on a calculator, round2 to two decimals, half up"
    story: list[Flowable] = title(front, note)
    branch = ""
    for kind, held in by_kind(estimate).items():
        if kind.branch != branch:
            branch = kind.branch
            story += section(branch.capitalize())
        constant, rows = _constants(held), _table(kind, held, front)
        formula = say_parts([(f"{kind.figure} = ", True), (kind.formula, False)], BODY)
        always = values_text(list(constant), list(constant.values()))
        throughout = [say(f"throughout {always}", THROUGHOUT)] if constant else []
        sources = dict.fromkeys(working.source for _, working in held)
        source = [say(next(iter(sources)), SMALL)] if len(sources) == 1 else []
        story += [keep_with(rows, HEAD_ROOM), formula, *source, *throughout, rows, Spacer(0, 7)]
    story += curing_notes(estimate, words_of(estimate), front.width)
    return bind(front, story)


def by_kind(estimate: Estimate) -> dict[Kind, list[tuple[str, Working]]]:
    """The workings of each kind, each with what it is of; branches and kinds in the order in which they first stand."""
    items = {
        "pieces": {piece.taken.piece.mark for piece in estimate.pieces},
        "mixes": set(estimate.mixes),
        "materials": {line.material for line in estimate.materials.lines},
    }
    kinds: dict[Kind, list[tuple[str, Working]]] = {}
    for working in workings_of(estimate):
        branch, item, figure = parts_of(working.figure, items)
        kind = Kind(branch, figure, working.formula, tuple(working.values), working.unit)
        kinds.setdefault(kind, []).append((item, working))
    branches = list(dict.fromkeys(kind.branch for kind in kinds))
    return dict(sorted(kinds.items(), key=lambda pair: branches.index(pair[0].branch)))


def parts_of(path: str, items: Mapping[str, set[str]]) -> tuple[str, str, str]:
    """Branch, item and figure of a dotted path; an item's own name may have dots. The item is empty where none is."""
    branch, _, rest = path.partition(".")
    parts = items.get(branch, set())
    at = len(rest)
    while (at := rest.rfind(".", 0, at)) > 0:
        if rest[:at] in parts:
            return branch, rest[:at], rest[at + 1 :]
    return branch, "", rest or branch


def _constants(held: Sequence[tuple[str, Working]]) -> dict[str, float]:
    """The values that are the same in every working of a kind; none where there is but one."""
    first, *others = [working for _, working in held]
    if not others:
        return {}
    return {
        name: value for name, value in first.values.items() if all(working.values[name] == value for working in others)
    }


def _table(kind: Kind, held: Sequence[tuple[str, Working]], front: Front) -> Flowable:
    """A line for each set of values, with all that has it; what is the same throughout is left out."""
    constant, sources = _constants(held), {working.source for _, working in held}
    names = [name for name in kind.names if name not in constant]
    items: dict[tuple[tuple[float, ...], str], list[str]] = {}
    for item, working in held:
        values = (*(working.values[name] for name in names), working.result)
        items.setdefault((values, working.source if len(sources) > 1 else ""), []).append(item)
    in_words = len(names) > MOST_VALUES
    columns = [
        *([Column("of", False)] if any(item for item, _ in held) else []),
        *([Column("with", False)] if in_words else [Column(name) for name in names]),
        Column(f"= {kind.unit}".rstrip()),
        *([Column("source", False)] if len(sources) > 1 else []),
    ]
    rows = []
    for (values, source), own in items.items():
        cells = [values_text(names, values[:-1])] if in_words else [figure_text(value) for value in values[:-1]]
        row = [", ".join(own), *cells, figure_text(values[-1]), source]
        rows.append(row[(0 if columns[0].head == "of" else 1) :][: len(columns)])
    return table(columns, rows, front.width, sizes=SIZES, compact=True)
