"""Loads on gear at each stage: form suction, dynamic factors, and the required strength of lifting inserts."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import repeat
from math import inf
from typing import Literal, NamedTuple

import numpy as np

from estimator.constants import STANDARD_GRAVITY_M_S2, require_not_negative, require_one_of, require_positive
from estimator.errors import FaultError
from estimator.handling.strength import Strength
from estimator.job import HandlingPreferences
from estimator.weight import Weight
from estimator.workings import Formula, Working
from estimator.workshop import HandlingSettings
from geometry import shapes
from geometry.arrays import Floats
from geometry.frozen import frozen
from geometry.message import message

GearStage = Literal["strip", "turn", "yard", "transport", "install"]
Release = Literal["hold-point", "suction"]

GEAR_STAGES: tuple[GearStage, ...] = ("strip", "turn", "yard", "transport", "install")
HOISTED: tuple[GearStage, ...] = ("strip", "yard", "install")  # stages at which the bare piece hangs from gear
FACE_UP: tuple[GearStage, ...] = ("yard", "install")  # those after the flip, when pads hold on the face

ADHESION = Formula(
    "adhesion_pa · form_area_m2 / gravity_m_s2",
    "kg",
    message("source-adhesion"),
)
LOAD = Formula(
    "(weight_kg + adhesion_kg) · dynamic_factor",
    "kg",
    message("source-load"),
)
INSERT_STRENGTH = Formula(
    "tension_kg · design_factor",
    "kg",
    message("source-insert"),
)


@frozen
class StripRule:
    """How a piece is stripped from its form.

    release       hold-point: the release of the form is signed off before the hook pulls; suction: the hook pulls
                  against the form
    adhesion_pa   adhesion of the form per area, Pa; 0 at a hold point
    factor        dynamic factor on weight and adhesion
    """

    release: Release
    adhesion_pa: float
    factor: float


class GearLoad(NamedTuple):
    """Load on the gear at one stage, kg."""

    stage: GearStage
    weight_kg: float
    adhesion_kg: float
    dynamic_factor: float

    @property
    def load_kg(self) -> float:
        """Weight plus adhesion, times the dynamic factor."""
        load_kg: float = LOAD.function(
            weight_kg=self.weight_kg, adhesion_kg=self.adhesion_kg, dynamic_factor=self.dynamic_factor
        )
        return load_kg

    @property
    def values(self) -> dict[str, float]:
        """Values of the LOAD formula."""
        return {
            "weight_kg": self.weight_kg,
            "adhesion_kg": self.adhesion_kg,
            "dynamic_factor": self.dynamic_factor,
        }


@frozen
class InsertCheck:
    """Required and tested ultimate strength of one lifting insert.

    load_kg         largest intended load, including adhesion and dynamic factor
    design_factor   factor on that load: 4 for precast, by 29 CFR 1926.704
    ultimate_kg     tested or rated ultimate strength in this section at this age; None if unknown

    >>> InsertCheck(250.0, 4.0, None).required_ultimate_kg
    1000.0
    """

    load_kg: float
    design_factor: float
    ultimate_kg: float | None

    def __post_init__(self) -> None:
        require_positive("load-on-the-insert", self.load_kg, "kg")
        if self.ultimate_kg is not None:
            require_positive("ultimate-strength-of-the-insert", self.ultimate_kg, "kg")

    @property
    def required_ultimate_kg(self) -> float:
        required_kg: float = INSERT_STRENGTH(**self.values)
        return required_kg

    @property
    def values(self) -> dict[str, float]:
        """Values of the INSERT_STRENGTH formula."""
        return {"tension_kg": self.load_kg, "design_factor": self.design_factor}

    @property
    def shown_safe(self) -> bool:
        return self.verdict == "enough"

    @property
    def verdict(self) -> Strength:
        if self.ultimate_kg is None:
            return "untested"
        return "enough" if self.ultimate_kg >= self.required_ultimate_kg else "not-enough"


def adhesion_mass(form_area_m2: float, adhesion_pa: float) -> float:
    """Suction and adhesion of the form as a mass, kg.

    form_area_m2   contact area that releases at once, m²
    adhesion_pa    adhesion per area, Pa

    >>> round(adhesion_mass(1.0, 1000.0), 1)
    102.0
    """
    require_not_negative("form-area", form_area_m2, "m²")
    require_not_negative("adhesion", adhesion_pa, "Pa")
    mass_kg: float = ADHESION(adhesion_pa=adhesion_pa, form_area_m2=form_area_m2, gravity_m_s2=STANDARD_GRAVITY_M_S2)
    return mass_kg


def gear_loads(
    weights_kg: Mapping[GearStage, float], adhesion_kg: float, dynamic_factors: Mapping[GearStage, float]
) -> tuple[GearLoad, ...]:
    """Loads by stage, in the order of the stages; adhesion acts only at stripping.

    weights_kg        HIGH-side weight lifted at each stage that occurs, kg
    adhesion_kg       adhesion of the form, kg; 0 at a hold point, where the hook pulls only after the seal is broken
    dynamic_factors   by stage; a missing factor is a fault, never taken as 1

    For a thin piece adhesion outweighs the concrete: 25 mm weighs half of what an oiled form holds. A factor on the
    weight alone is therefore unsafe unless the form was released before.
    """
    loads = []
    for stage in weights_kg:
        if stage not in GEAR_STAGES:
            require_one_of("stage", stage, GEAR_STAGES)
    for stage in GEAR_STAGES:
        weight_kg = weights_kg.get(stage)
        if weight_kg is None:
            continue
        if not 0.0 < weight_kg < inf:
            require_positive(message("quantity-weight-at", stage=stage), weight_kg, "kg")
        factor = dynamic_factors.get(stage)
        if factor is None:
            raise FaultError("", message("dynamic-factor-missing", stage=stage))
        if not factor >= 1.0:
            raise FaultError("", message("dynamic-factor-low-at", stage=stage, factor=factor))
        loads.append(GearLoad(stage, weight_kg, adhesion_kg if stage == "strip" else 0.0, factor))
    return tuple(loads)


def strip_rule(shape: shapes.Shape, wish: HandlingPreferences, settings: HandlingSettings) -> StripRule:
    """Rule for stripping a piece: as stated in the job, or by the kind of form.

    Board forms are taken apart: a hold point, and weight · 1.3, or · 1.4 with knock-outs or drop edges. Rigid and
    rubber molds adhere: (weight + adhesion · form area) · 1.3. Source: PCI handbook, from memory.
    """
    return release_rule(wish.release, wish.seal_pa, settings, boards=is_board_form(shape), keyed=shape.is_keyed)


def release_rule(
    release: Release | None, seal_pa: float | None, settings: HandlingSettings, *, boards: bool, keyed: bool
) -> StripRule:
    """`strip_rule` from the job's settings and the kind of form.

    boards   whether the form is built of boards
    keyed    whether it has knock-outs or drop edges
    """
    release = release or ("suction" if seal_pa is not None or not boards else "hold-point")
    if release == "suction":
        return StripRule(release, settings.adhesion_pa if seal_pa is None else seal_pa, settings.dynamic_strip)
    plain = settings.dynamic_strip
    return StripRule(release, 0.0, max(plain, settings.dynamic_strip_reveals) if keyed else plain)


def is_board_form(shape: shapes.Shape) -> bool:
    """Whether its form is built of boards, which are taken off one by one; other forms count as molds."""
    return shape.plate() is not None


def loads_of(
    weight: Weight, form_area_m2: float, strip: StripRule, wish: HandlingPreferences, settings: HandlingSettings
) -> tuple[GearLoad, ...]:
    """Loads on gear at each stage, from the HIGH-side weight at that stage, with adhesion only at stripping.

    From the yard on, an outdoor piece may be wet; at installation a piece may not have dried out. A piece that hangs
    from a moving machine swings, so a larger factor applies at every stage at which it hangs.
    """
    factors = stage_factors(strip.factor, wish.hung_from, wish.ground, settings)
    adhesion_kg = adhesion_mass(form_area_m2, strip.adhesion_pa) if strip.adhesion_pa else 0.0
    return loads_by(factors, weight, adhesion_kg)


def loads_by(factors: Mapping[GearStage, float], weight: Weight, adhesion_kg: float) -> tuple[GearLoad, ...]:
    """`loads_of` from the dynamic factors by stage and the adhesion of the form, kg."""
    on_truck_kg = weight.may_weigh_kg("transport")
    stages: dict[GearStage, float] = {
        "strip": weight.demould.high_kg,
        "turn": weight.turn_kg,
        "yard": weight.may_weigh_kg("demould"),
        "transport": on_truck_kg,
        "install": max(on_truck_kg, weight.installed.high_kg),
    }
    return gear_loads(stages, adhesion_kg, factors)


def loads_in_series(
    weights: Sequence[Weight], adhesions_kg: Sequence[float], factors: Sequence[Mapping[GearStage, float]]
) -> tuple[list[tuple[GearLoad, ...]], Floats]:
    """`loads_by` for many pieces, and an array (5, n) of their loads by stage, kg."""
    on_truck_kg = [weight.may_weigh_kg("transport") for weight in weights]
    weights_kg = (
        [weight.demould.high_kg for weight in weights],
        [weight.turn_kg for weight in weights],
        [weight.may_weigh_kg("demould") for weight in weights],
        on_truck_kg,
        [max(kg, weight.installed.high_kg) for kg, weight in zip(on_truck_kg, weights, strict=True)],
    )
    none = repeat(0.0)
    columns, loads_kg = [], []
    for stage, of_stage in zip(GEAR_STAGES, weights_kg, strict=True):
        by_stage = [by[stage] for by in factors]
        held = adhesions_kg if stage == "strip" else none
        columns.append(map(GearLoad._make, zip(repeat(stage), of_stage, held, by_stage, strict=False)))
        adhesion_kg = np.array(adhesions_kg) if stage == "strip" else 0.0
        load_kg = LOAD(weight_kg=np.array(of_stage), adhesion_kg=adhesion_kg, dynamic_factor=np.array(by_stage))
        loads_kg.append(load_kg)
    return list(zip(*columns, strict=True)), np.array(loads_kg)


def stage_factors(
    strip_factor: float, hung_from: str | None, ground: str | None, settings: HandlingSettings
) -> dict[GearStage, float]:
    """Dynamic factor of each stage, larger at stages at which a piece hangs from a moving machine."""
    factors: dict[GearStage, float] = {
        "strip": strip_factor,
        "turn": settings.dynamic_turn,
        "yard": settings.dynamic_yard,
        "transport": settings.dynamic_transport,
        "install": settings.dynamic_install,
    }
    if hung_from == "machine":
        driven = settings.dynamic_machine_even if ground == "even" else settings.dynamic_machine_rough
        factors |= {stage: max(factors[stage], driven) for stage in HOISTED}
    return factors


def load_workings(at: str, loads: tuple[GearLoad, ...], strip: StripRule, form_area_m2: float) -> Iterator[Working]:
    """Yield the workings of the loads by stage; `at` is the path of the piece's handling."""
    for load in loads:
        path = f"{at}.loads.{load.stage}"
        if load.adhesion_kg > 0.0:
            yield ADHESION.working(
                f"{path}.adhesion_kg",
                adhesion_pa=strip.adhesion_pa,
                form_area_m2=form_area_m2,
                gravity_m_s2=STANDARD_GRAVITY_M_S2,
            )
        yield LOAD.working(f"{path}.load_kg", **load.values)
