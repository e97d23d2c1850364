"""Lines and circular arcs: integrals over outlines made of them, and arcs fitted to smooth curves.

An edge runs from a start point to an end point; its bulge is b = tan(θ/4), where θ is the angle of the arc,
positive when the arc turns counterclockwise, 0 for a straight edge, ±1 for half a circle. An arc is a chord plus
a circular segment, so every integral over an outline is the polygon's plus those of its segments.

The ends of fitted arcs lie on the curve. Each arc encloses the same area with its chord as the curve does, so an
outline keeps its area to rounding, and each arc stays within a stated distance of the curve.
"""

from __future__ import annotations

from collections.abc import Callable
from math import ceil, pi

import numpy as np

from geometry.arrays import Floats, Ints

STRAIGHT_BULGE = 1e-12
"""A bulge below this moves the edge by less than the rounding of its chord."""

# Gauss–Legendre, 24 points: the integrands below are trigonometric polynomials of degree 4 over at most one turn,
# for which the rule is exact to rounding. They are even, so the positive half of the points is enough.
_NODES, _WEIGHTS = (half[12:] for half in np.polynomial.legendre.leggauss(24))


def segment_integrals(bulges: Floats) -> Floats:
    """Integrals over circular segments of unit chord, in the frame of the chord.

    bulges  (n,) none of them 0

    Returns (n, 4): area, ∬v, ∬u², ∬v², with u along the chord from its midpoint and v normal to it, toward the arc.
    They scale with the chord to the powers 2, 3, 4, 4. ∬u and ∬uv vanish by symmetry.
    Source: Green's theorem, ∬uⁱvʲ = ∫uⁱvʲ⁺¹/(j + 1) du along the arc; the chord v = 0 adds nothing.
    """
    bulge = np.abs(bulges)[:, None]
    half_angle = 2 * np.arctan(bulge)
    radius = (1 + bulge**2) / (4 * bulge)
    angle = half_angle * _NODES
    u = radius * np.sin(angle)
    v = 2 * radius * np.sin((half_angle + angle) / 2) * np.sin((half_angle - angle) / 2)
    weighted_du = 2 * _WEIGHTS * half_angle * radius * np.cos(angle)
    area = v * weighted_du
    return np.stack([area.sum(1), (v * area).sum(1) / 2, (u * u * area).sum(1), (v * v * area).sum(1) / 3], axis=1)


def edge_lengths(start: Floats, end: Floats, bulges: Floats | None) -> Floats:
    """Lengths of edges, (n,), in the unit of the points."""
    chords = np.hypot(end[:, 0] - start[:, 0], end[:, 1] - start[:, 1])
    if bulges is None:
        return chords
    curved = np.abs(bulges) > STRAIGHT_BULGE
    bulge = np.where(curved, bulges, 1.0)
    return np.where(curved, chords * (1 + bulge**2) * np.arctan(bulge) / bulge, chords)


def edge_integrals(start: Floats, end: Floats, bulges: Floats | None) -> Floats:
    """Signed integrals over the area between each edge and the origin, counterclockwise positive.

    start, end  (n, 2) ends of the edges
    bulges      (n,) or None where all are straight

    Returns (n, 6): area, ∬x, ∬y, ∬x², ∬y², ∬xy. Their sums over a closed outline are the integrals of its interior.
    Keep the origin near the outline: rounding errors grow with the square of the distance.
    """
    x0, y0, x1, y1 = start[:, 0], start[:, 1], end[:, 0], end[:, 1]
    cross = x0 * y1 - x1 * y0
    sums = np.stack(
        [
            cross / 2,
            cross * (x0 + x1) / 6,
            cross * (y0 + y1) / 6,
            cross * (x0 * x0 + x0 * x1 + x1 * x1) / 12,
            cross * (y0 * y0 + y0 * y1 + y1 * y1) / 12,
            cross * (x0 * y1 + 2 * x0 * y0 + 2 * x1 * y1 + x1 * y0) / 24,
        ],
        axis=1,
    )
    if bulges is None:
        return sums
    chords = np.hypot(x1 - x0, y1 - y0)
    (curved,) = np.nonzero((np.abs(bulges) > STRAIGHT_BULGE) & (chords > 0))
    if curved.size:
        sums[curved] += _segments_in_place(start[curved], end[curved], chords[curved], bulges[curved])
    return sums


def _segments_in_place(start: Floats, end: Floats, chord: Floats, bulges: Floats) -> Floats:
    """Signed integrals (n, 6) of the circular segments alone, about the origin."""
    area, v, uu, vv = (segment_integrals(bulges) * chord[:, None] ** [2, 3, 4, 4]).T
    sign = np.sign(bulges)
    mx, my = ((start + end) / 2).T
    ux, uy = ((end - start) / chord[:, None]).T
    vx, vy = sign * uy, -sign * ux  # a positive bulge lies to the right of its chord
    return np.stack(
        [
            sign * area,
            sign * (area * mx + v * vx),
            sign * (area * my + v * vy),
            sign * (area * mx * mx + 2 * v * mx * vx + uu * ux * ux + vv * vx * vx),
            sign * (area * my * my + 2 * v * my * vy + uu * uy * uy + vv * vy * vy),
            sign * (area * mx * my + v * (mx * vy + my * vx) + uu * ux * uy + vv * vx * vy),
        ],
        axis=1,
    )


def arc_extremes(start: Floats, end: Floats, bulges: Floats) -> tuple[Floats, Ints]:
    """Points where arcs have a horizontal or vertical tangent, apart from the ends of the arcs.

    Returns points (m, 2) and, for each, the index (m,) of its edge.
    """
    chords = np.hypot(*(end - start).T)
    (curved,) = np.nonzero((np.abs(bulges) > STRAIGHT_BULGE) & (chords > 0))
    start, end, bulge = start[curved], end[curved], bulges[curved]
    center, radius = arc_centers(start, end, bulge)
    first = np.arctan2(start[:, 1] - center[:, 1], start[:, 0] - center[:, 0])[:, None]
    turned = np.mod((np.arange(4) * (np.pi / 2) - first) * np.sign(bulge)[:, None], 2 * np.pi)
    edge, quarter = np.nonzero(turned < 4 * np.arctan(np.abs(bulge))[:, None])
    directions = np.array([[1.0, 0.0], [0.0, 1.0], [-1.0, 0.0], [0.0, -1.0]])
    return center[edge] + radius[edge, None] * directions[quarter], curved[edge]


def arc_centers(start: Floats, end: Floats, bulges: Floats) -> tuple[Floats, Floats]:
    """Centers (n, 2) and radii (n,) of arcs; no bulge may be 0."""
    along = end - start
    left = np.stack([-along[:, 1], along[:, 0]], axis=1)
    center = (start + end) / 2 + left * ((1 - bulges**2) / (4 * bulges))[:, None]
    return center, np.hypot(along[:, 0], along[:, 1]) * (1 + bulges**2) / (4 * np.abs(bulges))


def flatten(start: Floats, end: Floats, bulges: Floats, chord: float) -> tuple[Floats, Ints]:
    """Replace arcs by straight lines within the distance `chord` that enclose exactly the same area.

    The ends of an arc stay fixed, and the points between them move outward slightly until the areas agree. An
    inscribed polygon would make a piece too small and a hole too large.

    Returns points (m, 2), the start of each edge followed by its intermediate points, and the edge index (m,) of each.
    """
    chords = np.hypot(end[:, 0] - start[:, 0], end[:, 1] - start[:, 1])
    (curved,) = np.nonzero((np.abs(bulges) > STRAIGHT_BULGE) & (chords > 0))
    bulge, size = np.abs(bulges[curved]), chords[curved]
    sweep = 4 * np.arctan(bulge)
    radius = size * (1 + bulge**2) / (4 * bulge)
    # A point moves outward by at most radius·step²/6 (an arc in two pieces); the lines run inside the arc by less.
    step = np.minimum(np.sqrt(6 * 0.98 * chord / radius), np.pi / 8)
    n = np.maximum(np.ceil(sweep / step), 2)
    delta = sweep / n
    small = delta < 1e-2
    excess = np.where(small, delta**2 / 6 + 7 * delta**4 / 360, delta / np.sin(np.where(small, 1.0, delta)) - 1)
    outwards = n * excess / ((n - 1) + np.sqrt((n - 1) ** 2 + (n - 2) * n * excess))
    along = (end[curved] - start[curved]) / size[:, None]
    side = np.sign(bulges[curved])[:, None] * np.stack([along[:, 1], -along[:, 0]], axis=1)

    pieces = np.ones(len(chords), dtype=np.intp)
    pieces[curved] = n.astype(np.intp)
    edge = np.repeat(np.arange(len(pieces)), pieces)
    first = np.cumsum(pieces) - pieces
    points = start[edge]
    between = np.ones(len(edge), dtype=bool)
    between[first] = False
    arc = np.repeat(np.arange(len(curved)), pieces[curved] - 1)
    k = np.nonzero(between)[0] - first[curved][arc]
    # Angles from the arc's ends, not from its middle: the height above a shallow chord then keeps its digits.
    a, b = k * (delta / 2)[arc], (n[arc] - k) * (delta / 2)[arc]
    sin_a, cos_a, sin_b, cos_b = np.sin(a), np.cos(a), np.sin(b), np.cos(b)
    r, out = radius[arc], outwards[arc]
    u = (1 + out) * r * (sin_a * cos_b - cos_a * sin_b)
    v = r * (2 * sin_a * sin_b + out * (cos_a * cos_b + sin_a * sin_b))
    middle = (start[curved] + end[curved]) / 2
    for axis in (0, 1):
        points[between, axis] = middle[arc, axis] + u * along[arc, axis] + v * side[arc, axis]
    return points, edge


def bulges_of_segments(areas: Floats, chords: Floats) -> Floats:
    """Bulges (n,) of arcs with given chords and signed segment areas, positive to the right of the chord.

    For shallow arcs (less than about a quarter turn). The bulge is scaled in proportion to the area until it converges.
    """
    wanted = areas / np.where(chords > 0, chords, 1.0) ** 2
    bulges = 3 * wanted
    curved = np.abs(bulges) > STRAIGHT_BULGE
    bulges = np.where(curved, bulges, 0.0)
    for _ in range(60):
        turns = segment_integrals(bulges[curved])[:, 0]
        better = np.sign(bulges[curved]) * np.abs(bulges[curved]) * np.abs(wanted[curved]) / turns
        moved = np.abs(better - bulges[curved]).max(initial=0.0)
        bulges[curved] = better
        if moved < 1e-15:
            break
    return bulges


# Exact for the area under polynomial curves up to degree 8, and ample for short rational curves.
_CURVE_NODES, _CURVE_WEIGHTS = np.polynomial.legendre.leggauss(8)

_MAX_HALVINGS = 14

_SPARE = 0.9
"""Distances are sampled at a few points of each arc, so a tenth of the tolerance is kept in reserve."""


def ellipse_arcs(
    center: Floats, major: Floats, minor: Floats, start: float, sweep: float, chord: float
) -> tuple[Floats, Floats]:
    """Arcs along center + cos t · major + sin t · minor, from t = start through the angle `sweep`, radians.

    chord  largest distance of the arcs from the ellipse; infinite for a rough result

    Returns points (k + 1, 2) and bulges (k,). A circle is exact, in arcs of at most half a turn.
    """
    turning = major[0] * minor[1] - major[1] * minor[0]
    a2, b2 = float(major @ major), float(minor @ minor)
    if abs(a2 - b2) <= 1e-12 * a2 and abs(major @ minor) <= 1e-12 * a2:
        pieces = max(ceil(abs(sweep) / pi - 1e-9), 1)
        t = start + sweep / pieces * np.arange(pieces + 1, dtype=np.float64)
        bulge = np.tan(sweep / pieces / 4) * np.sign(turning)
        return center + np.outer(np.cos(t), major) + np.outer(np.sin(t), minor), np.full(pieces, bulge)

    pieces = max(ceil(32 * abs(sweep) / (2 * pi)), 2)
    for _ in range(_MAX_HALVINGS):
        step = sweep / pieces
        t = start + step * np.arange(pieces + 1, dtype=np.float64)
        points = center + np.outer(np.cos(t), major) + np.outer(np.sin(t), minor)
        chords = np.hypot(*np.diff(points, axis=0).T)
        bulges = bulges_of_segments(np.full(pieces, turning / 2 * (step - np.sin(step))), chords)
        between = t[:-1, None] + step * (1 + _CURVE_NODES) / 2
        curve = center + np.cos(between)[..., None] * major + np.sin(between)[..., None] * minor
        if _distance_from_arcs(curve, points[:-1], points[1:], bulges).max() <= _SPARE * chord:
            break
        pieces *= 2
    return points, bulges


def curve_arcs(
    evaluate: Callable[[Floats], tuple[Floats, Floats]], breaks: Floats, chord: float
) -> tuple[Floats, Floats]:
    """Arcs along a curve that is smooth between the parameters `breaks`.

    evaluate  function from parameters (n,) to points (n, 2) and their derivatives (n, 2)
    chord     largest distance of the arcs from the curve; infinite for a rough result

    Returns points (k + 1, 2) and bulges (k,).
    """
    fractions = np.linspace(0, 1, 5)
    edges = np.unique((breaks[:-1, None] + np.diff(breaks)[:, None] * fractions).ravel())
    t0, t1 = edges[:-1], edges[1:]
    arcs: list[tuple[Floats, Floats, Floats]] = []
    for halving in range(_MAX_HALVINGS):
        start, end, bulges, distance = _arcs_between(evaluate, t0, t1)
        close = distance <= _SPARE * chord if halving < _MAX_HALVINGS - 1 else np.ones(len(t0), dtype=bool)
        arcs.append((t0[close], np.concatenate([start[close], end[close]], axis=1), bulges[close]))
        if close.all():
            break
        left, right = t0[~close], t1[~close]
        middle = (left + right) / 2
        t0, t1 = np.concatenate([left, middle]), np.concatenate([middle, right])
    order = np.argsort(np.concatenate([t for t, _, _ in arcs]), kind="stable")
    ends = np.concatenate([ends for _, ends, _ in arcs])[order]
    return np.concatenate([ends[:, :2], ends[-1:, 2:]]), np.concatenate([b for _, _, b in arcs])[order]


def _arcs_between(
    evaluate: Callable[[Floats], tuple[Floats, Floats]], t0: Floats, t1: Floats
) -> tuple[Floats, Floats, Floats, Floats]:
    """Starts, ends, bulges, and distances from the curve of arcs over the parameter intervals t0 to t1."""
    n = len(t0)
    half = (t1 - t0) / 2
    inside = t0[:, None] + half[:, None] * (1 + _CURVE_NODES)
    points, slopes = evaluate(np.concatenate([t0, t1, inside.ravel()]))
    start, end = points[:n], points[n : 2 * n]
    curve, slope = points[2 * n :].reshape(n, -1, 2), slopes[2 * n :].reshape(n, -1, 2)
    offset = curve - start[:, None]
    cross = offset[..., 0] * slope[..., 1] - offset[..., 1] * slope[..., 0]
    areas = (cross @ _CURVE_WEIGHTS) * half / 2
    chords = np.hypot(*(end - start).T)
    # No arc fits a loop or a cusp: start with a straight line, which is far off and so will be halved.
    shallow = np.abs(areas) < 0.2 * chords**2
    bulges = bulges_of_segments(np.where(shallow, areas, 0.0), chords)
    return start, end, bulges, _distance_from_arcs(curve, start, end, bulges)


def _distance_from_arcs(curve: Floats, start: Floats, end: Floats, bulges: Floats) -> Floats:
    """Upper bound of the distance (k,) from the points of each curve (k, s, 2) to its arc."""
    along = end - start
    size = np.hypot(*along.T)
    offset = curve - ((start + end) / 2)[:, None]
    if not size.all():
        farthest: Floats = np.hypot(offset[..., 0], offset[..., 1]).max(axis=1)
        return farthest
    along = along / size[:, None]
    u = (offset * along[:, None]).sum(axis=2)
    v = offset[..., 0] * along[:, None, 1] - offset[..., 1] * along[:, None, 0]
    bulge = np.where(np.abs(bulges) > STRAIGHT_BULGE, bulges, 1.0)
    radius = (size * (1 + bulge**2) / (4 * np.abs(bulge)))[:, None]
    reach = np.maximum(radius**2 - u**2, 0)
    to_chord = (size * (1 - bulge**2) / (4 * np.abs(bulge)))[:, None]
    below = np.sqrt(reach) + to_chord
    # Beyond the arc's sides there is no height above the chord: treat the point as far off.
    height = np.where(below > 0, ((size**2 / 4)[:, None] - u**2) / np.where(below > 0, below, 1.0), np.inf)
    arc = np.where((np.abs(bulges) > STRAIGHT_BULGE)[:, None], np.sign(bulge)[:, None] * height, 0.0)
    distance: Floats = np.abs(v - arc).max(axis=1)
    return distance
