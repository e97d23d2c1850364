"""Beams, sections and the crack check: against finite elements, closed forms, and every refusal."""

from __future__ import annotations

from functools import partial
from math import cos, pi, sin

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimator.handling import bending, sections
from estimator.handling.bending import CARRIES, Carry, PointLoad, SpreadLoad, support_beam
from estimator.handling.sections import DeepStrip, Rectangle, section_modulus, stretches_of_slab

SLAB = [(0.0, 0.0), (2.4, 0.0), (2.4, 0.65), (0.0, 0.65)]
FLAT_ENDS, FLAT_FIFTHS, EDGE_ENDS, EDGE_FIFTHS = CARRIES
ONE_POINT_PART = 1.0 - 1.0 / 2.0**0.5  # one pick, the far end on the ground
ONE_END = Carry("one end down", "flat", 0.0, 1.0 - ONE_POINT_PART)
FACTOR = 1.5  # first crack over stress, as in PCI practice (from memory)
plain_advice = partial(bending.handling_advice, narrowest_rail_m=None, has_cutout=False, narrow_m=0.0762)
check_carry = partial(bending.check_carry, dynamic_factor=1.0, required_factor=FACTOR)


def moments_by_finite_elements(nodes, n_per_m, supports, points):
    """Euler–Bernoulli elements of unit stiffness, consistent loads; moment at each node (sagging positive)."""
    count = len(nodes)
    stiffness, load = np.zeros((2 * count, 2 * count)), np.zeros(2 * count)
    elements = []
    for i, w in enumerate(n_per_m):
        h = nodes[i + 1] - nodes[i]
        k = np.array([[12, 6 * h, -12, 6 * h], [6 * h, 4 * h * h, -6 * h, 2 * h * h]]) / h**3
        k = np.vstack([k, -k[0], [6 / h**2, 2 / h, -6 / h**2, 4 / h]])
        f = -w * np.array([h / 2, h * h / 12, h / 2, -h * h / 12])
        dofs = slice(2 * i, 2 * i + 4)
        stiffness[dofs, dofs] += k
        load[dofs] += f
        elements.append((dofs, k, f))
    for at, n in points:
        load[2 * nodes.index(at)] -= n
    fixed = [2 * nodes.index(s) for s in supports]
    free = [d for d in range(2 * count) if d not in fixed]
    moved = np.zeros(2 * count)
    moved[free] = np.linalg.solve(stiffness[np.ix_(free, free)], load[free])
    ends = [k @ moved[dofs] - f for dofs, k, f in elements]
    return [-ends[0][1]] + [end[3] for end in ends]


steps = st.lists(st.tuples(st.floats(0.1, 0.6), st.floats(1.0, 400.0)), min_size=3, max_size=7)


@settings(max_examples=60, deadline=None)
@given(steps, st.floats(0.0, 300.0), st.data())
def test_moments_agree_with_a_finite_element_beam(pieces, point_n, data):
    nodes = [0.0]
    for length, _ in pieces:
        nodes.append(nodes[-1] + length)
    loads = [w for _, w in pieces]
    spreads = [SpreadLoad(a, b, w) for a, b, w in zip(nodes, nodes[1:], loads, strict=False)]
    first = data.draw(st.sampled_from(nodes[:2]))
    second = data.draw(st.sampled_from(nodes[-2:]))
    at = data.draw(st.sampled_from(nodes[1:-1]))
    total = sum(w * (b - a) for a, b, w in zip(nodes, nodes[1:], loads, strict=False)) + point_n
    moment = sum(w * (b**2 - a**2) / 2 for a, b, w in zip(nodes, nodes[1:], loads, strict=False)) + point_n * at
    if not first <= moment / total <= second:
        with pytest.raises(ValueError, match="tips-over-support"):
            support_beam(nodes[-1], (first, second), spreads, [PointLoad(at, point_n)])
        return
    beam = support_beam(nodes[-1], (first, second), spreads, [PointLoad(at, point_n)])
    expected = moments_by_finite_elements(nodes, loads, (first, second), [(at, point_n)])
    scale = max(1.0, *(abs(m) for m in expected))
    assert [beam.moment_n_m(x) for x in nodes] == pytest.approx(expected, abs=1e-7 * scale)
    assert sum(beam.reactions_n) == pytest.approx(total)


@settings(max_examples=60, deadline=None)
@given(steps, st.floats(0.0, 0.3), st.floats(0.0, 0.3))
def test_extreme_moments_bound_the_moment_at_every_place(pieces, left, right):
    edges = np.cumsum([0.0] + [length for length, _ in pieces])
    spreads = [SpreadLoad(float(a), float(b), w) for a, b, (_, w) in zip(edges, edges[1:], pieces, strict=False)]
    length = float(edges[-1])
    try:
        beam = support_beam(length, (left * length, (1 - right) * length), spreads)
    except ValueError:
        return
    (hog, hog_at), (sag, sag_at) = beam.extreme_moments(0.0, length)
    samples = [beam.moment_n_m(float(x)) for x in np.linspace(0.0, length, 301)]
    assert hog <= min(samples) + 1e-9
    assert sag >= max(samples) - 1e-9
    assert beam.moment_n_m(hog_at) == pytest.approx(hog)
    assert beam.moment_n_m(sag_at) == pytest.approx(sag)
    assert beam.moment_n_m(length) == pytest.approx(0.0, abs=1e-7)


def test_tee_section_against_the_parallel_axis_theorem_by_hand():
    # first principles: flange 100 × 20, web 20 × 80 below it: by the theorem, in mm
    flange, web = (100, 20, -10.0), (20, 80, -60.0)  # width, height, center
    area = 100 * 20 + 20 * 80
    centre = (2000 * -10.0 + 1600 * -60.0) / area
    second = sum(b * h**3 / 12 + b * h * (z - centre) ** 2 for b, h, z in (flange, web))
    estimated = section_modulus([Rectangle(0, 0.1, -0.02, 0), Rectangle(0.04, 0.06, -0.1, -0.02)], "flat")
    assert estimated.second_moment_m4 * 1e12 == pytest.approx(second)
    assert estimated.low_m3 * 1e9 == pytest.approx(second / (100 + centre))
    assert estimated.high_m3 * 1e9 == pytest.approx(second / -centre)


def test_drop_edges_add_stiffness_and_weight():
    # first principles: a 2 in deep, 1 in thick drop along the front of a 3/4 in slab
    inch = 0.0254
    slab = [(0, 0), (72 * inch, 0), (72 * inch, 25.5 * inch), (0, 25.5 * inch)]
    drop = DeepStrip(0.0, 0.0, 72 * inch, 1 * inch, 2 * inch)
    (plain,) = stretches_of_slab(slab, [], 0.75 * inch, 2000.0)
    (deep,) = stretches_of_slab(slab, [], 0.75 * inch, 2000.0, [drop])
    assert deep.n_per_m / plain.n_per_m == pytest.approx((24.5 * 0.75 + 2.0) / (25.5 * 0.75))
    assert section_modulus(deep.parts, "flat").second_moment_m4 > section_modulus(plain.parts, "flat").second_moment_m4
    modulus = section_modulus(deep.parts, "flat")
    assert check_carry([deep], FLAT_ENDS, None).stress_pa == pytest.approx(
        deep.n_per_m * (72 * inch) ** 2 / 8 / min(modulus.low_m3, modulus.high_m3)
    )
    ends = DeepStrip(0.0, 0.0, 1 * inch, 25.5 * inch, 2 * inch)
    left, rest = stretches_of_slab(slab, [], 0.75 * inch, 2000.0, [ends])
    assert left.to_m == pytest.approx(inch)
    assert left.n_per_m / rest.n_per_m == pytest.approx(2 / 0.75)


def test_a_round_cutout_loses_the_weight_of_its_area_and_the_strength_of_its_chord():
    circle = [(1.2 + 0.2 * cos(a), 0.325 + 0.2 * sin(a)) for a in np.linspace(0, 2 * pi, 129)[:-1]]
    slab = stretches_of_slab(SLAB, [circle], 0.025, 2100.0)
    weight_n = sum(s.n_per_m * (s.to_m - s.from_m) for s in slab)
    polygon_m2 = 128 / 2 * 0.2**2 * sin(2 * pi / 128)
    assert weight_n == pytest.approx((2.4 * 0.65 - polygon_m2) * 0.025 * 2100 * 9.80665, rel=1e-4)
    flat = check_carry(slab, FLAT_ENDS, None)
    assert flat.at_m == pytest.approx(1.2, abs=0.02)
    assert flat.stress_pa == pytest.approx(flat.moment_n_m / (0.25 * 0.025**2 / 6), rel=0.002)


@settings(max_examples=30, deadline=None)
@given(st.floats(0.1, 1.6), st.floats(0.05, 0.3), st.floats(0.2, 0.6), st.floats(0.1, 0.3))
def test_a_slab_stays_in_equilibrium_whatever_is_cut_out(x, y, length, width):
    hole = [(x, y), (x + length, y), (x + length, y + width), (x, y + width)]
    slab = stretches_of_slab(SLAB, [hole], 0.025, 2000.0)
    estimated = check_carry(slab, FLAT_ENDS, None)
    assert estimated.weight_kg == pytest.approx((2.4 * 0.65 - length * width) * 0.025 * 2000)
    on_edge = check_carry(slab, EDGE_ENDS, None)
    assert on_edge.stress_pa < estimated.stress_pa


def test_a_slanting_slab_has_its_true_weight_and_its_weaker_end():
    wedge = stretches_of_slab([(0, 0), (2, 0), (2, 0.2), (0, 0.6)], [], 0.03, 2000.0)
    assert len(wedge) == 8
    weight_n = sum(s.n_per_m * (s.to_m - s.from_m) for s in wedge)
    assert weight_n == pytest.approx(0.8 * 0.03 * 2000 * 9.80665)
    assert [stretch.parts[0].y1 for stretch in wedge] == pytest.approx([0.55 - 0.05 * n for n in range(8)], abs=1e-5)


def test_inserts_count_when_one_end_is_lifted():
    slab = stretches_of_slab(SLAB, [], 0.025, 2100.0)
    bare, loaded = check_carry(slab, ONE_END, None), check_carry(slab, ONE_END, None, inserts=[(0.8, 10.0)])
    assert loaded.weight_kg == pytest.approx(bare.weight_kg + 10.0)
    assert loaded.stress_pa > bare.stress_pa
    jolted = check_carry(slab, ONE_END, None, dynamic_factor=1.5)
    assert jolted.weight_kg == pytest.approx(bare.weight_kg)
    assert jolted.stress_pa == pytest.approx(1.5 * bare.stress_pa)


def test_advice_comes_in_order_of_effect():
    hole = [(0.9, 0.05), (1.5, 0.05), (1.5, 0.5), (0.9, 0.5)]
    slab = stretches_of_slab(SLAB, [hole], 0.025, 2100.0)
    checks = [check_carry(slab, carry, 6e6) for carry in CARRIES]
    strip = sections.narrowest_rail(SLAB, [hole])
    assert strip == pytest.approx(0.05)
    assert bending.handling_advice(checks, narrowest_rail_m=strip, has_cutout=True, narrow_m=0.0762) == (
        "carry-on-edge",
        "strongback",
        "cure-longer",
        "thicker-rail",
        "narrow-rail",
    )
    short = stretches_of_slab([(0, 0), (0.5, 0), (0.5, 0.5), (0, 0.5)], [], 0.025, 2100.0)
    assert plain_advice([check_carry(short, carry, 6e6) for carry in CARRIES]) == ()
    untested = plain_advice([check_carry(short, carry, None) for carry in CARRIES])
    assert untested[0] == "carry-on-edge"


def test_the_thickness_that_would_reach_the_factor_is_given():
    slab = stretches_of_slab(SLAB, [], 0.025, 2100.0)
    check = check_carry(slab, FLAT_ENDS, 3e6)
    thicker_m = bending.thickness_for(check, 0.025)
    again = check_carry(stretches_of_slab(SLAB, [], thicker_m, 2100.0), FLAT_ENDS, 3e6)
    assert again.factor == pytest.approx(FACTOR)
    assert bending.thickness_for(check_carry(slab, FLAT_ENDS, None), 0.025) is None


def test_rails_between_two_cutouts_count():
    basins = [[(x, 0.2), (x + 0.4, 0.2), (x + 0.4, 0.5), (x, 0.5)] for x in (0.5, 0.96)]
    assert sections.narrowest_rail(SLAB, basins) == pytest.approx(0.06)
    assert sections.narrowest_rail(SLAB, []) is None


ONE = [SpreadLoad(0.0, 2.0, 10.0)]


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: support_beam(2.0, (0.0, 2.5), ONE), r"figure-outside \(name = quantity-support"),
        (lambda: support_beam(2.0, (1.0, 1.0), ONE), "supports-at-one-place"),
        (
            lambda: support_beam(2.0, (0.0, 0.5), ONE),
            r"tips-over-support .*other_m = 0.5",
        ),
        (
            lambda: support_beam(2.0, (0.0, 2.0), [SpreadLoad(1.0, 3.0, 1.0)]),
            r"load-off-piece .*to_m = 3.0",
        ),
        (
            lambda: support_beam(2.0, (0.0, 2.0), ONE, [PointLoad(3.0, 1.0)]),
            r"figure-outside .*quantity-point-load",
        ),
        (lambda: stretches_of_slab(SLAB, [], 0.0, 2000.0), r"figure-not-positive \(name = quantity-thickness"),
        (lambda: stretches_of_slab([(0, 0), (1, 1), (1, 0), (0, 1)], [], 0.02, 2e3), "rings-bound-no-slab"),
        (lambda: stretches_of_slab(SLAB, [[(2, 0.2), (3, 0.2), (3, 0.4), (2, 0.4)]], 0.02, 2e3), "rings-bound-no-slab"),
        (
            lambda: stretches_of_slab(SLAB, [], 0.02, 2e3, [DeepStrip(0, 0, 1, 1, 0.02)]),
            "drop-not-deeper",
        ),
        (lambda: check_carry([], FLAT_ENDS, None), "no-cross-sections"),
        (
            lambda: check_carry(stretches_of_slab(SLAB, [], 0.02, 2e3), FLAT_ENDS, 0.0),
            r"figure-not-positive \(name = quantity-first-crack-strength",
        ),
        (
            lambda: check_carry(stretches_of_slab(SLAB, [], 0.02, 2e3), FLAT_ENDS, None, dynamic_factor=0.5),
            r"dynamic-factor-low \(factor = 0.5",
        ),
    ],
)
def test_refusals_state_the_fault(call, message):
    with pytest.raises(ValueError, match=message):
        call()
