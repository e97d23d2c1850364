"""Weights in columns against weights piece by piece; a refused piece leaves the others as they are."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import inf, nan

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimator import job_from
from estimator.errors import FaultError
from estimator.job import Insert, Job
from estimator.mix import MixDesign, make
from estimator.takeoff import LayerTakeoff, PieceTakeoff, take_off
from estimator.weight import Stage, Weight, WeightBand, density_at, drop_edge_loads, weigh, weigh_all
from estimator.words import PLAIN
from geometry.shape import measure
from geometry.shapes import Revolution

MIXES = ("face", "backer-0", "backer-45", "backer-100")
BOX = {"kind": "box", "length": "900 mm", "width": "400 mm", "height": "450 mm", "wall": "20 mm", "base": "25 mm"}
SHAPES = (
    {"kind": "slab", "length": "2 m", "width": "600 mm", "thickness": "25 mm"},
    {"kind": "panel", "length": "1.2 m", "height": "900 mm", "skin": "13 mm"},
    BOX,
)
JOB: Job = job_from(
    {
        "job": {"name": "Columns", "units": "metric", "mix": "backer-45"},
        "piece": [
            {"mark": f"P{number}", "shape": shape, "use": use, "layers": [{"mix": mix} for mix in mixes]}
            for number, (shape, use, mixes) in enumerate(
                [
                    (SHAPES[0], "counter", MIXES[2:3]),
                    (SHAPES[1], "panel", MIXES[:1]),
                    (SHAPES[2], "planter", MIXES[1:2]),
                    (SHAPES[2], "basin", MIXES[3:]),
                ]
            )
        ],
    }
)
DESIGNS: dict[str, MixDesign] = {name: make(JOB.mixes[name], JOB.materials) for name in MIXES}
PIECES = take_off(JOB)[0].pieces
BOWL = Revolution(((0.3, 0.0), (0.32, 0.0), (0.32, 0.4), (0.0, 0.4), (0.0, 0.38), (0.3, 0.38)))
PLACE = st.tuples(*[st.floats(-3.0, 3.0)] * 3)


@st.composite
def takeoffs(draw: st.DrawFn) -> PieceTakeoff:
    """A piece of the job with other layers, inserts and use in place."""
    taken = draw(st.sampled_from(PIECES))
    layers = draw(
        st.lists(
            st.builds(
                LayerTakeoff,
                mix=st.sampled_from(MIXES),
                method=st.sampled_from(("pour", "spray", "brush", "hand")),
                volume_m3=st.floats(1e-4, 0.5),
                waste=st.just(0.07),
                centroid_m=PLACE,
                area_m2=st.just(1.0),
            ),
            min_size=1,
            max_size=4,
        )
    )
    inserts = draw(
        st.lists(
            st.builds(Insert, name=st.just("frame"), mass_kg=st.floats(0.0, 60.0), at_m=st.none() | PLACE), max_size=3
        )
    )
    piece = replace(
        taken.piece,
        inserts=tuple(inserts),
        in_place=replace(taken.piece.in_place, outdoors=draw(st.sampled_from((None, True, False)))),
        nominal_thickness_m=draw(st.none() | st.floats(0.004, 0.05)),
    )
    return replace(taken, piece=piece, layers=tuple(layers))


def oracle(taken: PieceTakeoff, mixes: Mapping[str, MixDesign]) -> Mapping[str, object] | None:
    """The figures of one piece by plain arithmetic; None where the tolerance reaches its thickness."""
    cast = [(layer, mixes[layer.mix]) for layer in taken.layers]
    shop, inserts = JOB.workshop, taken.piece.inserts
    inserts_kg = sum(insert.mass_kg for insert in inserts)
    fresh = [(layer.volume_m3 * mix.fresh_density_kg_m3, layer) for layer, mix in cast]
    demould = [(layer.volume_m3 * mix.demould_density_kg_m3, layer) for layer, mix in cast]
    installed = [(layer.volume_m3 * mix.installed_density_kg_m3, layer) for layer, mix in cast]
    dry_kg = sum(layer.volume_m3 * mix.oven_dry_density_kg_m3 for layer, mix in cast)
    whole_kg = sum(mass_kg for mass_kg, _ in fresh)
    low_air, high_air = (
        sum(kg * (1 - air) / (1 - mix.air) for (kg, _), (_, mix), air in zip(fresh, cast, airs, strict=True)) / whole_kg
        for airs in ([mix.air_low for _, mix in cast], [mix.air_high for _, mix in cast])
    )
    density = max(shop.density_tolerance, *(mix.density_tolerance_least for _, mix in cast))
    notional_m = 2 * taken.solid.volume_m3 / taken.solid.surface_area_m2
    thickness_m = taken.piece.nominal_thickness_m or taken.piece.cure.thinnest_m or notional_m
    spread_m = max(shop.thickness_tolerance_m[layer.method] for layer in taken.layers)
    thickness = spread_m / thickness_m
    if thickness >= 1.0:
        return None
    stages: dict[Stage, Sequence[tuple[float, LayerTakeoff]]] = {
        "fresh": fresh, "demould": demould, "transport": demould, "installed": installed
    }  # fmt: skip
    masses_kg = {stage: sum(mass_kg for mass_kg, _ in parts) for stage, parts in stages.items()}
    if taken.piece.in_place.outdoors:
        stages["soaked"] = fresh
        masses_kg["soaked"] = max(masses_kg["fresh"], dry_kg * (1 + shop.handling.soaked_gain))
    centers = {}
    for stage, parts in stages.items():
        points = [(mass_kg, layer.centroid_m) for mass_kg, layer in parts]
        points += [(insert.mass_kg, insert.at_m or taken.solid.centroid_m) for insert in inserts]
        total_kg = sum(mass_kg for mass_kg, _ in points)
        centers[stage] = tuple(sum(kg * point[axis] for kg, point in points) / total_kg for axis in range(3))
    bands = {
        stage: (
            mass_kg * high_air * (1 - density) * (1 - thickness) + inserts_kg,
            mass_kg + inserts_kg,
            mass_kg * low_air * (1 + density) * (1 + thickness) + inserts_kg,
        )
        for stage, mass_kg in masses_kg.items()
    }
    return {
        "bands": bands,
        "centers": centers,
        "low": min(low for low, _, _ in bands.values()),
        "high": max(high for _, _, high in bands.values()),
        "lift": max(high for stage, (_, _, high) in bands.items() if stage != "fresh"),
        "layers": [mass_kg for mass_kg, _ in fresh],
        "dry": dry_kg,
    }


def triple(band: WeightBand) -> tuple[float, float, float]:
    return band.low_kg, band.nominal_kg, band.high_kg


def close(value: object) -> object:
    return pytest.approx(value, rel=1e-12, abs=1e-12)


@settings(max_examples=100, deadline=None)
@given(st.lists(takeoffs(), min_size=1, max_size=6))
def test_columns_weigh_every_piece_as_if_alone(pieces: list[PieceTakeoff]) -> None:
    for taken, weight in zip(pieces, weigh_all(pieces, DESIGNS, JOB.workshop), strict=True):
        expected = oracle(taken, DESIGNS)
        if expected is None:
            assert isinstance(weight, FaultError)
            assert weight.message.id == "tolerance-over-thickness"
            continue
        assert isinstance(weight, Weight)
        assert weight == weigh(taken, DESIGNS, JOB.workshop)  # to the last bit
        assert {stage: triple(band) for stage, band in weight.by_stage.items()} == {
            stage: close(band) for stage, band in expected["bands"].items()
        }
        assert dict(weight.centers_m) == {stage: close(at_m) for stage, at_m in expected["centers"].items()}
        assert (weight.low_kg, weight.high_kg, weight.lift_kg, weight.oven_dry_kg) == close(
            (expected["low"], expected["high"], expected["lift"], expected["dry"])
        )
        assert list(weight.layers_kg) == close(expected["layers"])


@settings(max_examples=60, deadline=None)
@given(takeoffs())
def test_moments_about_the_center_of_gravity_vanish(taken: PieceTakeoff) -> None:
    weight = weigh_all([taken], DESIGNS, JOB.workshop)[0]
    if isinstance(weight, FaultError):
        return
    parts = [(kg, layer.centroid_m) for kg, layer in zip(weight.layers_kg, taken.layers, strict=True)]
    parts += [(insert.mass_kg, insert.at_m or taken.solid.centroid_m) for insert in taken.piece.inserts]
    center_m = weight.centers_m["fresh"]
    for axis in range(3):
        assert sum(kg * (point[axis] - center_m[axis]) for kg, point in parts) == pytest.approx(0.0, abs=1e-9)


def text_of(error: FaultError) -> str:
    return f"{PLAIN.text(error.message)} {PLAIN.text(error.message, 'fix')}"


def with_volumes(taken: PieceTakeoff, *volumes_m3: float) -> PieceTakeoff:
    return replace(taken, layers=tuple(replace(taken.layers[0], volume_m3=volume_m3) for volume_m3 in volumes_m3))


def with_insert(taken: PieceTakeoff, mass_kg: float) -> PieceTakeoff:
    return replace(taken, piece=replace(taken.piece, inserts=(Insert(name="frame", mass_kg=mass_kg),)))


@pytest.mark.parametrize(
    ("odd", "message"),
    [
        (with_volumes(PIECES[0], 0.0), "Cast mass is 0.00 lb. It must be more than 0."),
        (with_volumes(PIECES[0], -1.0), "Cast mass is −"),
        (with_volumes(PIECES[0], nan), "Cast mass is not a finite number."),
        (with_volumes(PIECES[0], inf), "Cast mass is not a finite number."),
        (with_volumes(PIECES[0], 0.2, -0.1), "Volume of a layer is −3.53 ft³. It can't be negative."),
        (with_insert(PIECES[0], -1.0), "Mass of inserts is −2.2 lb. It can't be negative."),
        (with_insert(PIECES[0], nan), "Mass of inserts is not a finite number."),
        (replace(PIECES[0], piece=replace(PIECES[0].piece, nominal_thickness_m=0.001)), "The thickness tolerance is "),
    ],
)
def test_a_refused_piece_leaves_the_others_as_they_are(odd: PieceTakeoff, message: str) -> None:
    before, refused, after = weigh_all([PIECES[0], odd, PIECES[1]], DESIGNS, JOB.workshop)
    assert isinstance(refused, FaultError)
    assert message in text_of(refused)
    assert [before, after] == weigh_all([PIECES[0], PIECES[1]], DESIGNS, JOB.workshop)
    with pytest.raises(FaultError) as alone:
        weigh(odd, DESIGNS, JOB.workshop)
    assert text_of(alone.value) == text_of(refused)


def test_an_absorption_that_is_no_share_refuses_only_pieces_outdoors() -> None:
    shop = replace(JOB.workshop, handling=replace(JOB.workshop.handling, soaked_gain=12.0))
    outdoors = replace(
        PIECES[0], piece=replace(PIECES[0].piece, in_place=replace(PIECES[0].piece.in_place, outdoors=True))
    )
    refused, kept = weigh_all([outdoors, PIECES[0]], DESIGNS, shop)
    assert isinstance(refused, FaultError)
    assert text_of(refused) == "Absorption is 12. It must be 0 to 1."
    assert isinstance(kept, Weight)


def test_no_pieces_give_no_weights() -> None:
    assert weigh_all([], DESIGNS, JOB.workshop) == []


DROP_JOB: Job = job_from(
    {
        "job": {"name": "Drop", "units": "metric", "mix": "backer-45"},
        "piece": [
            {
                "mark": "C1",
                "use": "counter",
                "shape": SHAPES[0] | {"drop_edges": [{"sides": ["front"], "height": "75 mm", "thickness": "40 mm"}]},
                "inserts": [{"name": "steel frame", "mass": "30 kg", "displaces": "0 m^3"}],
            }
        ],
    }
)


def test_the_load_of_a_drop_edge_is_its_concrete_alone() -> None:
    """First principles: 40 mm × (75 − 25) mm of concrete on every meter of edge; the frame weighs elsewhere."""
    (taken,) = take_off(DROP_JOB)[0].pieces
    weight = weigh(taken, DESIGNS, DROP_JOB.workshop)
    [(_, kg_per_m)] = drop_edge_loads(taken, weight)
    high_kg_m3 = (weight.in_place_kg - 30.0) / taken.volume_m3
    assert kg_per_m == pytest.approx(0.040 * 0.050 * high_kg_m3)


def test_only_a_planter_is_filled_with_soil() -> None:
    weights = [weigh(taken, DESIGNS, JOB.workshop) for taken in PIECES]
    assert [weight.soil_kg is not None for weight in weights] == [False, False, True, False]
    assert [weight.filled_kg is not None for weight in weights] == [False, False, True, False]


def test_what_a_weight_assumes_is_stated_for_each_piece() -> None:
    def assumed(taken: PieceTakeoff, outdoors: bool | None) -> set[str]:
        piece = replace(taken.piece, in_place=replace(taken.piece.in_place, outdoors=outdoors))
        return {told.id for told in weigh(replace(taken, piece=piece), DESIGNS, JOB.workshop).assumptions}

    counter, panel, planter, basin = PIECES
    always = {"assumed-transport-weight"}
    assert [assumed(taken, True) for taken in PIECES] == [always | {"assumed-soaked"}] * 4
    assert [assumed(taken, False) for taken in PIECES] == [always] * 4
    assert [assumed(taken, None) for taken in (panel, planter, basin)] == [always | {"assumed-indoors"}] * 3
    assert assumed(counter, None) == always
    # the hollow of a shape other than a box is taken from the box around it
    bowl = replace(planter, piece=replace(planter.piece, shape=BOWL), solid=measure(BOWL))
    assert assumed(bowl, False) == always | {"assumed-soil-box"}


@pytest.mark.parametrize(
    ("stage", "figure"),
    [
        ("fresh", "fresh_density_kg_m3"),
        ("soaked", "fresh_density_kg_m3"),
        ("demould", "demould_density_kg_m3"),
        ("transport", "demould_density_kg_m3"),
        ("installed", "installed_density_kg_m3"),
    ],
)
def test_each_stage_has_the_density_of_its_mix(stage: Stage, figure: str) -> None:
    assert density_at(DESIGNS["backer-45"], stage) == getattr(DESIGNS["backer-45"], figure)
