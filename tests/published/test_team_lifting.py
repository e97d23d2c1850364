"""Team rules and guideline weights against their printed figures."""

from __future__ import annotations

import pytest

from estimator.handling import people


def guideline_weight(
    from_m: float,
    to_m: float,
    reach: str = "close",
    lifter: str = "men",
    lifts_per_min: float = 0.2,
    twist_deg: float = 0,
) -> float:
    return people.guideline_weight(from_m, to_m, reach, lifter, lifts_per_min=lifts_per_min, twist_deg=twist_deg)


def test_a_team_of_two_carries_two_thirds_and_a_team_of_three_half():
    # source: HSE L23 (read)
    assert people.team_capacity([25.0, 25.0]) == pytest.approx(33.3, abs=0.05)
    assert people.team_capacity([25.0, 25.0, 25.0]) == pytest.approx(37.5)
    assert people.team_capacity([16.0, 16.0]) == pytest.approx(21.3, abs=0.05)
    with pytest.raises(ValueError, match=r"no-team-factor \(people = 4"):
        people.team_capacity([25.0] * 4)


@pytest.mark.parametrize(
    ("height", "close", "far"),
    [
        (1.60, (10, 7), (5, 3)),
        (1.20, (20, 13), (10, 7)),
        (0.90, (25, 16), (15, 10)),
        (0.50, (20, 13), (10, 7)),
        (0.10, (10, 7), (5, 3)),
    ],
)
def test_guideline_weights_go_by_height_as_printed(height, close, far):
    # source: HSE INDG143 (read): shoulder, elbow, knuckle, mid-leg, low; men, women
    for column, lifter in enumerate(("men", "women")):
        assert guideline_weight(height, height, "close", lifter) == close[column]
        assert guideline_weight(height, height, "arm's length", lifter) == far[column]


def test_the_guideline_weight_is_the_least_of_the_zones_that_the_hands_pass():
    # source: HSE INDG143 (read)
    assert guideline_weight(0.5, 0.9) == 20
    assert guideline_weight(0.1, 1.6) == 10


def test_guideline_weights_are_reduced_as_printed():
    # source: HSE INDG143 (read): 30 % at 1-2, 50 % at 5-8, 80 % over 12 a minute; 10 % from 45°, 20 % from 90°
    assert [people.frequency_reduction(f) for f in (0.5, 1, 2, 5, 8, 12.5)] == [0.0, 0.3, 0.3, 0.5, 0.5, 0.8]
    assert [people.frequency_reduction(f) for f in (0.7, 3, 10)] == [0.3, 0.5, 0.8]  # the stricter neighbor
    assert [people.twist_reduction(a) for a in (44, 45, 89, 90)] == [0.0, 0.1, 0.1, 0.2]
    reduced = guideline_weight(0.8, 1.0, lifts_per_min=1.5, twist_deg=50)
    assert reduced == pytest.approx(25 * 0.7 * 0.9)


def test_the_iso_rule_for_two_is_more_permissive_than_the_team_rule():
    # from memory: ISO 11228-1, 0.85 each of 23 kg
    assert people.iso_pair_capacity(people.ISO_REFERENCE_KG) == pytest.approx(39.1)
    assert people.iso_pair_capacity(people.ISO_REFERENCE_KG) > people.team_capacity([23.0, 23.0])
