"""What gear must carry at each stage: suction of the form, dynamic factors, and the strength of lifting inserts."""

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
FACE_UP: tuple[GearStage, ...] = ("yard", "install")  # of them, after the flip: pads hold on the face alone

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
    """How a piece leaves its form.

    release       hold-point: somebody signs that the form has let go before the hook pulls; suction: the hook pulls
                  against the form
    adhesion_pa   pull of the form per area, Pa; 0 at a hold point
    factor        on weight and adhesion
    """

    release: Release
    adhesion_pa: float
    factor: float


class GearLoad(NamedTuple):
    """What the gear must carry at one stage; all kg."""

    stage: GearStage
    weight_kg: float
    adhesion_kg: float
    dynamic_factor: float

    @property
    def load_kg(self) -> float:
        """Weight and adhesion first, then the dynamic factor."""
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
    """One lifting insert: what it must hold at failure, and what it was shown to hold.

    load_kg         greatest load intended for it, adhesion and dynamic factor in
    design_factor   on that load: 4 for precast, by 29 CFR 1926.704
    ultimate_kg     tested or rated ultimate strength in this section and at this age; None: not known

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

    form_area_m2   area in contact that lets go at once, m²
    adhesion_pa    pull per area, Pa

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
    """Loads by stage, in the order of the stages; adhesion acts at the strip alone.

    weights_kg        HIGH-side weight of what hangs at each stage that happens, kg
    adhesion_kg       of the form, kg; 0 where a hold point lets the hook pull only when the seal is broken
    dynamic_factors   by stage; a stage without one is refused, never taken as 1

    A thin piece is stripped against its form, not against its weight: 25 mm of concrete weighs half of what an oiled
    form holds, so a flat factor on the weight alone is unsafe unless the form was let go before.
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
    """How this piece leaves its form: what the job says, else by the kind of form.

    Board forms come apart: a hold point, and weight · 1.3, or · 1.4 with knock-outs or drop edges. Rigid and rubber
    molds hold on: (weight + adhesion · form area) · 1.3. Source: PCI handbook, from memory.
    """
    return release_rule(wish.release, wish.seal_pa, settings, boards=is_board_form(shape), keyed=shape.is_keyed)


def release_rule(
    release: Release | None, seal_pa: float | None, settings: HandlingSettings, *, boards: bool, keyed: bool
) -> StripRule:
    """`strip_rule` by what the job says, and the kind of form: of boards, with knock-outs or drop edges in it."""
    release = release or ("suction" if seal_pa is not None or not boards else "hold-point")
    if release == "suction":
        return StripRule(release, settings.adhesion_pa if seal_pa is None else seal_pa, settings.dynamic_strip)
    plain = settings.dynamic_strip
    return StripRule(release, 0.0, max(plain, settings.dynamic_strip_reveals) if keyed else plain)


def is_board_form(shape: shapes.Shape) -> bool:
    """Whether its form is built of boards, which come off side by side; any other is taken as a mold."""
    return shape.plate() is not None


def loads_of(
    weight: Weight, form_area_m2: float, strip: StripRule, wish: HandlingPreferences, settings: HandlingSettings
) -> tuple[GearLoad, ...]:
    """What gear must carry at each stage, from the HIGH side of the weight then, adhesion at the strip alone.

    From the yard on a piece for outdoors may be wet, and one that is set has not dried out yet. A piece that hangs
    from a machine that drives swings and jolts: a larger factor then, at every stage at which it hangs.
    """
    factors = stage_factors(strip.factor, wish.hung_from, wish.ground, settings)
    adhesion_kg = adhesion_mass(form_area_m2, strip.adhesion_pa) if strip.adhesion_pa else 0.0
    return loads_by(factors, weight, adhesion_kg)


def loads_by(factors: Mapping[GearStage, float], weight: Weight, adhesion_kg: float) -> tuple[GearLoad, ...]:
    """`loads_of` for a weight, from the factors of the stages and the form's adhesion, kg."""
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
    """`loads_by` of many pieces, and their loads by stage, (5, n), kg."""
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
    """Dynamic factor of each stage; greater at every stage at which a piece hangs from a machine that drives."""
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
    """How the loads by stage came about; `at` is the path of the piece's handling."""
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
