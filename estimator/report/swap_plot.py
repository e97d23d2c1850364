"""Weight against cost over the sand swapped, from none to all of it, as an SVG picture."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from estimator.disk import write_picture
from estimator.errors import Fault, InputError
from estimator.mix.replacement import Floats
from estimator.mixes import USUAL_REPLACEMENTS
from estimator.report.svg_axes import COLOURS, Axes, mark, picture, text


@dataclass(frozen=True, slots=True)
class SwapCurve:
    """One mix over the share of its sand that is swapped; arrays of shape (n,), in the units that are shown."""

    name: str
    share: Floats
    weight: Floats
    cost: Floats


def write_swap_plot(path: Path, curves: Sequence[SwapCurve], weight_of: str, cost_of: str) -> None:
    """Writes the picture. Raises InputError for another ending than .svg, somebody else's file, or no curve."""
    if path.suffix.lower() != ".svg":
        raise InputError([Fault("--plot", "", f"{path.name} is no picture that is drawn here.", "Name it out.svg.")])
    write_picture(path, swap_svg(curves, weight_of, cost_of).encode(), "--plot")


def swap_svg(curves: Sequence[SwapCurve], weight_of: str, cost_of: str) -> str:
    """A line a mix, marked at the shares in use; both scales begin at zero, so that a small gain looks small.

    weight_of, cost_of  what the axes show, with their units
    """
    drawable = [each for each in curves if np.all(np.isfinite(each.cost))]
    if not drawable:
        what = "no mix has sand, beads and all its prices." if curves else "no mix has sand and beads to swap."
        raise InputError([Fault("--plot", "", what, "Name one such as backer-45.")])
    axes = Axes(
        most_x=1.1 * max(float(each.cost.max()) for each in drawable),
        most_y=1.1 * max(float(each.weight.max()) for each in drawable),
    )
    drawn = axes.frame(cost_of, weight_of)
    for i, curve in enumerate(drawable):
        colour = COLOURS[i % len(COLOURS)]
        line = " ".join(f"{axes.x(c):.1f},{axes.y(w):.1f}" for c, w in zip(curve.cost, curve.weight, strict=True))
        drawn.append(f'<polyline points="{line}" fill="none" stroke="{colour}" stroke-width="1.5"/>')
        for share in USUAL_REPLACEMENTS:
            cost = float(np.interp(share, curve.share, curve.cost))
            weight = float(np.interp(share, curve.share, curve.weight))
            drawn.append(mark(i, axes.x(cost), axes.y(weight), colour))
            drawn.append(text(axes.x(cost) + 9, axes.y(weight) + 4, f"{share:.0%}", "start"))
        drawn += axes.legend(i, curve.name)
    return picture(drawn)
