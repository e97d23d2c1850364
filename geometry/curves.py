"""Smooth curves as circular arcs that cut off exactly the area that the curve does.

Points of the arcs lie on the curve. Between them each arc encloses, with its chord, the same area as the curve, so
an outline keeps its area to rounding while the arcs keep within a stated distance of it.
"""

from __future__ import annotations

from collections.abc import Callable
from math import ceil, pi

import numpy as np

from geometry.arcs import STRAIGHT_BULGE, Floats, bulges_of_segments

# Exact for the area of polynomial pieces up to degree 8; more than enough for rational ones once they are short.
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(8)

_MAX_HALVINGS = 14

_SPARE = 0.9
"""The distance is looked at in a few points of each arc, so a tenth of the tolerance is kept for those between."""


def ellipse_arcs(
    centre: Floats, major: Floats, minor: Floats, start: float, sweep: float, chord: float
) -> tuple[Floats, Floats]:
    """Arcs along centre + cos t · major + sin t · minor, from t = start through the angle `sweep`, radians.

    chord  distance that the arcs keep to the ellipse; infinite for a rough look

    Returns points (k + 1, 2) and bulges (k,). A circle comes out exact, in half turns at most.
    """
    turning = major[0] * minor[1] - major[1] * minor[0]
    a2, b2 = float(major @ major), float(minor @ minor)
    if abs(a2 - b2) <= 1e-12 * a2 and abs(major @ minor) <= 1e-12 * a2:
        pieces = max(ceil(abs(sweep) / pi - 1e-9), 1)
        t = start + sweep / pieces * np.arange(pieces + 1, dtype=np.float64)
        bulge = np.tan(sweep / pieces / 4) * np.sign(turning)
        return centre + np.outer(np.cos(t), major) + np.outer(np.sin(t), minor), np.full(pieces, bulge)

    pieces = max(ceil(32 * abs(sweep) / (2 * pi)), 2)
    for _ in range(_MAX_HALVINGS):
        step = sweep / pieces
        t = start + step * np.arange(pieces + 1, dtype=np.float64)
        points = centre + np.outer(np.cos(t), major) + np.outer(np.sin(t), minor)
        chords = np.hypot(*np.diff(points, axis=0).T)
        bulges = bulges_of_segments(np.full(pieces, turning / 2 * (step - np.sin(step))), chords)
        between = t[:-1, None] + step * (1 + _NODES) / 2
        curve = centre + np.cos(between)[..., None] * major + np.sin(between)[..., None] * minor
        if _distance_from_arcs(curve, points[:-1], points[1:], bulges).max() <= _SPARE * chord:
            break
        pieces *= 2
    return points, bulges


def curve_arcs(
    evaluate: Callable[[Floats], tuple[Floats, Floats]], breaks: Floats, chord: float
) -> tuple[Floats, Floats]:
    """Arcs along a curve that is smooth between the parameters `breaks`.

    evaluate  parameters (n,) to points (n, 2) and their derivatives (n, 2)
    chord     distance that the arcs keep to the curve; infinite for a rough look

    Returns points (k + 1, 2) and bulges (k,).
    """
    fractions = np.linspace(0, 1, 5)
    edges = np.unique((breaks[:-1, None] + np.diff(breaks)[:, None] * fractions).ravel())
    t0, t1 = edges[:-1], edges[1:]
    done: list[tuple[Floats, Floats, Floats]] = []
    for halving in range(_MAX_HALVINGS):
        start, end, bulges, distance = _arcs_between(evaluate, t0, t1)
        good = distance <= _SPARE * chord if halving < _MAX_HALVINGS - 1 else np.ones(len(t0), dtype=bool)
        done.append((t0[good], np.concatenate([start[good], end[good]], axis=1), bulges[good]))
        if good.all():
            break
        left, right = t0[~good], t1[~good]
        middle = (left + right) / 2
        t0, t1 = np.concatenate([left, middle]), np.concatenate([middle, right])
    order = np.argsort(np.concatenate([t for t, _, _ in done]), kind="stable")
    ends = np.concatenate([ends for _, ends, _ in done])[order]
    return np.concatenate([ends[:, :2], ends[-1:, 2:]]), np.concatenate([b for _, _, b in done])[order]


def _arcs_between(
    evaluate: Callable[[Floats], tuple[Floats, Floats]], t0: Floats, t1: Floats
) -> tuple[Floats, Floats, Floats, Floats]:
    """Ends, bulges and distance from the curve of the arcs over the parameter intervals t0 to t1."""
    n = len(t0)
    half = (t1 - t0) / 2
    inside = t0[:, None] + half[:, None] * (1 + _NODES)
    points, slopes = evaluate(np.concatenate([t0, t1, inside.ravel()]))
    start, end = points[:n], points[n : 2 * n]
    curve, slope = points[2 * n :].reshape(n, -1, 2), slopes[2 * n :].reshape(n, -1, 2)
    away = curve - start[:, None]
    cross = away[..., 0] * slope[..., 1] - away[..., 1] * slope[..., 0]
    areas = (cross @ _WEIGHTS) * half / 2
    chords = np.hypot(*(end - start).T)
    # A loop or a cusp within an interval has no arc of its own: straight for now, and halved since it is far off.
    shallow = np.abs(areas) < 0.2 * chords**2
    bulges = bulges_of_segments(np.where(shallow, areas, 0.0), chords)
    return start, end, bulges, _distance_from_arcs(curve, start, end, bulges)


def _distance_from_arcs(curve: Floats, start: Floats, end: Floats, bulges: Floats) -> Floats:
    """How far, at most, the points curve (k, s, 2) of each piece lie from its arc; at least the true distance."""
    along = end - start
    size = np.hypot(*along.T)
    away = curve - ((start + end) / 2)[:, None]
    if not size.all():
        farthest: Floats = np.hypot(away[..., 0], away[..., 1]).max(axis=1)
        return farthest
    along = along / size[:, None]
    u = (away * along[:, None]).sum(axis=2)
    v = away[..., 0] * along[:, None, 1] - away[..., 1] * along[:, None, 0]
    bulge = np.where(np.abs(bulges) > STRAIGHT_BULGE, bulges, 1.0)
    radius = (size * (1 + bulge**2) / (4 * np.abs(bulge)))[:, None]
    reach = np.maximum(radius**2 - u**2, 0)
    to_chord = (size * (1 - bulge**2) / (4 * np.abs(bulge)))[:, None]
    below = np.sqrt(reach) + to_chord
    # Beyond the arc's sides there is no height over its chord: far off.
    height = np.where(below > 0, ((size**2 / 4)[:, None] - u**2) / np.where(below > 0, below, 1.0), np.inf)
    arc = np.where((np.abs(bulges) > STRAIGHT_BULGE)[:, None], np.sign(bulge)[:, None] * height, 0.0)
    distance: Floats = np.abs(v - arc).max(axis=1)
    return distance
