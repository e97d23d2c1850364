"""Properties of every job that is lifted."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from estimator.document import to_document, to_json
from estimator.estimate import Estimate, estimate
from estimator.intake import read_job
from tests.estimator.handling.conftest import HEAD, piece

lengths = st.floats(0.5, 3.5)
widths = st.floats(0.3, 1.2)
thicknesses = st.floats(0.012, 0.05)


def estimated(folder: Path, text: str) -> Estimate:
    path = folder / "job.toml"
    path.write_text(HEAD + text, encoding="utf-8")
    return estimate(read_job(path).sound(), ())


def slab(length: float, width: float, thickness: float, mark: str = "C1") -> str:
    return piece(
        f'{{ kind = "slab", length = "{length:.4f} m", width = "{width:.4f} m", thickness = "{thickness:.4f} m" }}',
        mark=mark,
    )


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(length=lengths, width=widths, thickness=thicknesses)
def test_sling_legs_carry_the_load_and_balance_about_the_center_of_gravity(
    tmp_path: Path, length: float, width: float, thickness: float
) -> None:
    (made,) = estimated(tmp_path, slab(length, width, thickness)).pieces
    for rig in made.handling.lifting.rigging:
        if not rig.shares.determinate:
            assert sum(rig.shares.shares_kg) >= rig.load_kg * (1 - 1e-9)
            continue
        assert sum(rig.shares.shares_kg) == pytest.approx(rig.load_kg, rel=1e-9)
        for axis in (0, 1):
            moment = sum(share * pick[axis] for share, pick in zip(rig.shares.shares_kg, rig.picks_m, strict=True))
            assert moment == pytest.approx(rig.load_kg * made.weight.center_of_gravity_m[axis], rel=1e-6)
        pull = [(leg.horizontal_kg, pick) for leg, pick in zip(rig.legs, rig.picks_m, strict=True)]
        assert all(leg.angle_from_horizontal_deg >= 60.0 - 1e-9 for leg in rig.legs)
        assert all(kg >= 0.0 for kg, _ in pull)


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(length=lengths, width=widths, thickness=thicknesses, more=st.floats(1.05, 2.0))
def test_a_thicker_piece_never_gets_a_smaller_crew_or_less_tension(
    tmp_path: Path, length: float, width: float, thickness: float, more: float
) -> None:
    thin, thick = estimated(
        tmp_path, slab(length, width, thickness, "A") + slab(length, width, thickness * more, "B")
    ).pieces
    assert (thin.handling.carry.persons or 9) <= (thick.handling.carry.persons or 9)
    assert (thin.handling.turn.persons or 9) <= (thick.handling.turn.persons or 9)
    assert thin.handling.lifting.greatest.load_kg < thick.handling.lifting.greatest.load_kg


@settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(angle=st.floats(31.0, 85.0), steeper=st.floats(0.5, 4.0))
def test_a_steeper_sling_never_pulls_more(tmp_path: Path, angle: float, steeper: float) -> None:
    tensions = []
    for each in (angle, angle + steeper):
        own = f'angle = "{each:.4f} deg", angle_from = "horizontal"'
        picks = f'handling = {{ picks = {{ at = [["500 mm", "325 mm"], ["1900 mm", "325 mm"]], {own} }} }}'
        (made,) = estimated(tmp_path, piece(more=picks)).pieces
        tensions.append(made.handling.lifting.rigging[0].tension_kg)
    assert tensions[1] <= tensions[0]


def test_the_document_is_valid_json_whatever_the_figures(estimate_job: Callable[[str], Estimate]) -> None:
    # hands above 175 cm: the equation recommends no lift at all, and the index is infinite
    made = estimate_job(piece() + '[workshop.handling]\nhands_end = "1.9 m"\n')
    document = json.loads(to_json(to_document(made)))
    carry = document["pieces"][0]["handling"]["lifts"][0]
    assert carry["niosh"]["rwl_kg"] == 0.0
    assert carry["niosh"]["lifting_index"] is None
    assert carry["above_guideline"] is True
