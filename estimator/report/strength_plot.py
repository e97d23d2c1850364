"""First-crack strength of coupons over age, mix by mix, as an SVG picture."""

from collections.abc import Mapping, Sequence
from pathlib import Path

from estimator.disk import write_picture
from estimator.errors import Fault, InputError
from estimator.job import Mix
from estimator.mixes import strengths_of
from estimator.report.svg_axes import COLOURS, RIGHT, TOP, Axes, mark, picture, text
from estimator.report.words import Words

_PSI_PA = 6894.757293168361


def write_strength_plot(path: Path, mixes: Sequence[Mix], shares: Mapping[str, float | None], words: Words) -> None:
    """Writes the picture. Raises InputError for another ending than .svg or somebody else's file, and where no coupon
    shows a first crack.
    """
    if path.suffix.lower() != ".svg":
        raise InputError([Fault("--plot", "", f"{path.name} is no picture that is drawn here.", "Name it out.svg.")])
    write_picture(path, strength_svg(mixes, shares, words).encode(), "--plot")


def strength_svg(mixes: Sequence[Mix], shares: Mapping[str, float | None], words: Words) -> str:
    """Each coupon a mark at its age, the strength to count on a bar."""
    unit, pa = ("psi", _PSI_PA) if words.units == "imperial" else ("MPa", 1e6)
    points = [
        (coupon.age_d, coupon.limit_pa / pa) for mix in mixes for coupon in mix.coupons if coupon.limit_pa is not None
    ]
    if not points:
        raise InputError([Fault("--plot", "", "no coupon has a first crack to draw.", "Record its limit load.")])
    axes = Axes(most_x=1.1 * max(age for age, _ in points), most_y=1.1 * max(stress for _, stress in points))
    drawn = axes.frame("age, days", f"first-crack strength, {unit}")
    for i, mix in enumerate(mixes):
        colour, share = COLOURS[i % len(COLOURS)], shares[mix.name]
        for coupon in mix.coupons:
            if coupon.limit_pa is not None:
                drawn.append(mark(i, axes.x(coupon.age_d), axes.y(coupon.limit_pa / pa), colour))
        for shown in strengths_of(mix):
            if shown.design_pa is not None and shown.design_pa > 0.0:
                left, at = axes.x(shown.age_d) - 14, axes.y(shown.design_pa / pa)
                drawn.append(f'<path d="M{left:.1f},{at:.1f} h28" stroke="{colour}" stroke-width="3"/>')
        drawn += axes.legend(i, mix.name if share is None else f"{mix.name}, {words.share(share)} of the sand swapped")
    drawn.append(text(RIGHT + 20, TOP + 22 * len(mixes) + 10, "bar: strength to count on", "start"))
    return picture(drawn)
