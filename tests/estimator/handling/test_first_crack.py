"""First-crack strength of a piece from the coupons of its mixes: for many pieces at once and for each alone."""

from __future__ import annotations

from dataclasses import replace
from math import inf

from hypothesis import given, settings
from hypothesis import strategies as st

from estimator import job_from
from estimator.handling.strength import THIN_COUPON_PART, FirstCrack, first_crack_of
from estimator.job import Mix, Piece
from estimator.strength import Coupon, first_crack_to_count_on, flexural_strengths, samples_of

SHAPE = {"kind": "slab", "length": "2 m", "width": "600 mm", "thickness": "25 mm"}
JOB = job_from({"job": {"name": "Tests", "mix": "backer-45"}, "piece": [{"mark": "C1", "shape": SHAPE}]})
NAMES = ("face", "backer-0", "backer-45")


def coupon(pour: str, age_d: float, depth_m: float, limit_n: float) -> Coupon:
    return Coupon(pour, age_d, True, 0.2, 0.05, depth_m, 1.3 * limit_n, limit_n)


coupons = st.lists(
    st.builds(
        coupon,
        st.sampled_from(("A", "B")),
        st.sampled_from((0.75, 1.0, 7.0, 28.0)),
        st.sampled_from((0.008, 0.01, 0.02)),
        st.floats(100.0, 900.0),
    ),
    max_size=12,
)
tests = st.tuples(st.none() | st.floats(1e6, 9e6), st.none() | st.floats(1.0, 90.0), coupons)


def one_by_one(piece: Piece, mixes: dict[str, Mix], strip_age_d: float) -> FirstCrack:
    """Mix by mix, as the definition reads."""
    later, strip, ages, thin_m = [], [], [], []
    for name in dict.fromkeys(layer.mix for layer in piece.layers):
        mix = mixes[name]
        least_m = THIN_COUPON_PART * (piece.nominal_thickness_m or 0.0)
        thin_m += [cast.depth_m for cast in mix.coupons if cast.depth_m < least_m]
        if mix.coupons:
            shown = flexural_strengths(samples_of([cast for cast in mix.coupons if cast.depth_m >= least_m]))
            later.append(first_crack_to_count_on(shown, inf))
            strip.append(first_crack_to_count_on(shown, strip_age_d))
            ages += [max(known)] if (known := [each.age_d for each in shown if (each.design_pa or 0.0) > 0.0]) else []
        else:
            later.append(mix.first_crack_strength_pa)
            strip.append(mix.first_crack_strength_pa)
            ages += [] if mix.first_crack_age_d is None else [mix.first_crack_age_d]
    later_pa = None if None in later else min(later)
    return FirstCrack(
        later_pa,
        max(ages, default=None),
        None if None in strip else min(strip),
        max(thin_m, default=None) if later_pa is None else None,
    )


@settings(max_examples=120, deadline=None)
@given(
    st.lists(tests, min_size=3, max_size=3),
    st.lists(st.lists(st.sampled_from(NAMES), min_size=1, max_size=4), min_size=1, max_size=4),
    st.sampled_from((None, 0.01, 0.012, 0.02, 0.025)),
    st.sampled_from((0.5, 0.8, 1.0, 10.0)),
)
def test_a_piece_has_the_first_crack_strength_of_its_own_mixes_and_thickness(
    shown, build_ups, thickness_m, strip_age_d
) -> None:
    mixes = {
        name: replace(JOB.mixes[name], first_crack_strength_pa=pa, first_crack_age_d=age_d, coupons=tuple(cast))
        for name, (pa, age_d, cast) in zip(NAMES, shown, strict=True)
    }
    for names in build_ups:
        layers = tuple(replace(JOB.pieces[0].layers[0], mix=name) for name in names)
        piece = replace(JOB.pieces[0], nominal_thickness_m=thickness_m, layers=layers)
        assert first_crack_of(piece, mixes, strip_age_d) == one_by_one(piece, mixes, strip_age_d)
