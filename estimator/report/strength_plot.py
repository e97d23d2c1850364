"""First-crack strength of coupons over age, mix by mix, as an SVG picture; shapes, not colours alone, part them."""

from collections.abc import Mapping, Sequence
from math import ceil, log10
from pathlib import Path
from xml.sax.saxutils import escape

from estimator.errors import Fault, InputError
from estimator.job import Mix
from estimator.mix_facts import strengths_of
from estimator.report.words import Words

_WIDTH, _HEIGHT, _LEFT, _BOTTOM, _TOP = 720, 420, 80, 360, 30
_RIGHT = 500  # the legend stands to the right of the axes
_COLOURS = ("#1b6ca8", "#b3541e", "#3f7d20", "#6a4c93", "#444444")
_PSI_PA = 6894.757293168361


def write_strength_plot(path: Path, mixes: Sequence[Mix], shares: Mapping[str, float | None], words: Words) -> None:
    """Writes the picture. Raises InputError for another ending than .svg, or where no coupon shows a first crack."""
    if path.suffix.lower() != ".svg":
        raise InputError([Fault("--plot", "", f"{path.name} is no picture that is drawn here.", "Name it out.svg.")])
    path.write_text(strength_svg(mixes, shares, words), encoding="utf-8")


def strength_svg(mixes: Sequence[Mix], shares: Mapping[str, float | None], words: Words) -> str:
    """Each coupon a mark at its age, the strength to count on a bar; the scale of stress begins at zero."""
    unit, pa = ("psi", _PSI_PA) if words.units == "imperial" else ("MPa", 1e6)
    points = [(each.age_d, each.limit_pa / pa) for mix in mixes for each in mix.coupons if each.limit_pa is not None]
    if not points:
        raise InputError([Fault("--plot", "", "no coupon has a first crack to draw.", "Record its limit load.")])
    most_d, most = 1.1 * max(age for age, _ in points), _round_up(1.1 * max(stress for _, stress in points))

    def x(age_d: float) -> float:
        return _LEFT + (_RIGHT - _LEFT) * age_d / most_d

    def y(stress: float) -> float:
        return _BOTTOM - (_BOTTOM - _TOP) * stress / most

    drawn = [
        f'<path d="M{_LEFT},{_TOP} V{_BOTTOM} H{_RIGHT}" fill="none" stroke="#222"/>',
        _text((_LEFT + _RIGHT) / 2, _HEIGHT - 14, "age, days", "middle"),
        _text(_LEFT, _TOP - 12, f"first-crack strength, {unit}", "start"),
    ]
    for i in range(5):
        value = most * i / 4
        drawn.append(f'<path d="M{_LEFT - 4},{y(value):.1f} H{_RIGHT}" stroke="#ddd"/>')
        drawn.append(_text(_LEFT - 8, y(value) + 4, f"{value:g}", "end"))
    for age_d in sorted({age for age, _ in points}):
        drawn.append(_text(x(age_d), _BOTTOM + 18, f"{age_d:g}", "middle"))
    for i, mix in enumerate(mixes):
        colour, share = _COLOURS[i % len(_COLOURS)], shares[mix.name]
        for each in mix.coupons:
            if each.limit_pa is not None:
                drawn.append(_mark(i, x(each.age_d), y(each.limit_pa / pa), colour))
        for shown in strengths_of(mix):
            if shown.design_pa is not None and shown.design_pa > 0.0:
                at = y(shown.design_pa / pa)
                left = x(shown.age_d) - 14
                drawn.append(f'<path d="M{left:.1f},{at:.1f} h28" stroke="{colour}" stroke-width="3"/>')
        label = mix.name if share is None else f"{mix.name}, {words.share(share)} of the sand swapped"
        drawn.append(_mark(i, _RIGHT + 20, _TOP + 22 * i, colour))
        drawn.append(_text(_RIGHT + 34, _TOP + 22 * i + 4, label, "start"))
    drawn.append(_text(_RIGHT + 20, _TOP + 22 * len(mixes) + 10, "bar: strength to count on", "start"))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_WIDTH} {_HEIGHT}" font-family="sans-serif" '
        f'font-size="12">\n<rect width="{_WIDTH}" height="{_HEIGHT}" fill="white"/>\n' + "\n".join(drawn) + "\n</svg>\n"
    )


def _round_up(value: float) -> float:
    """To the next 1, 2, 4 or 8 of a power of ten, so that quarters of it are plain numbers."""
    power = 10.0 ** ceil(log10(value) - 1.0)
    return next(step * power for step in (1.0, 2.0, 4.0, 8.0, 10.0) if step * power >= value * (1.0 - 1e-12))


def _mark(kind: int, x: float, y: float, colour: str) -> str:
    if kind % 2 == 0:
        return f'<circle cx="{x:.1f}" cy="{y:.1f}" r="4" fill="none" stroke="{colour}" stroke-width="1.5"/>'
    return f'<path d="M{x - 4:.1f},{y + 4:.1f} h8 l-4,-8 z" fill="none" stroke="{colour}" stroke-width="1.5"/>'


def _text(x: float, y: float, text: str, anchor: str) -> str:
    return f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}">{escape(text)}</text>'
