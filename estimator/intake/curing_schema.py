"""How pieces cure, as the job file writes it: the room of this job or of one piece, and what a cement consists of."""

from pydantic import model_validator

from estimator.intake.base import Table
from estimator.intake.fields import (
    Length,
    Ratio,
    SpecificSurface,
    Speed,
    Temperature,
    ThermalResistance,
    TimeOrNone,
    fault,
)
from estimator.workshop import fresh_mix, room_air

ANALYSIS_TOTAL_TOLERANCE = 1e-6
NEEDED_COMPOUNDS = ("c3s", "c3a", "c4af", "so3")  # the heat model divides by them, or takes their logarithm
LEAST_BLAINE_M2_KG, MOST_BLAINE_M2_KG = 200.0, 800.0
LEAST_R, MOST_R = 0.001, 10.0  # m²K/W


class CureTable(Table):
    """Where the pieces harden, in place of the workshop's own figures."""

    room: Temperature | None = None
    mix_temperature: Temperature | None = None  # when it is placed
    humidity: Ratio | None = None
    air_speed: Speed | None = None  # over the uncovered piece
    uncovered: TimeOrNone | None = None  # from placing until the film is on
    tarp_resistance: ThermalResistance | None = None  # of the insulating tarp
    form_resistance: ThermalResistance | None = None  # of form and table

    @model_validator(mode="after")
    def _lies_in_a_room(self) -> "CureTable":
        for key, check in (("room", room_air), ("mix_temperature", fresh_mix)):
            value = getattr(self, key)
            wrong = None if value is None else check(value)
            if wrong:
                raise fault(f"{key}: {wrong[0]}", wrong[1])
        for key in ("tarp_resistance", "form_resistance"):
            value = getattr(self, key)
            if value is not None and not LEAST_R <= value <= MOST_R:
                what = f"{key}: {value:g} m²K/W is outside {LEAST_R:g} to {MOST_R:g}."
                raise fault(what, "A tarp has about 0.5 m^2*K/W.")
        return self


class PieceCureTable(CureTable):
    """The same for one piece, and the sections of one whose shape does not tell them."""

    thickest: Length | None = None
    thinnest: Length | None = None
    set_delay: TimeOrNone | None = None  # by which a retarder delays the set, from a trial of this mix

    @model_validator(mode="after")
    def _is_thicker_where_thickest(self) -> "PieceCureTable":
        if self.thickest is not None and self.thinnest is not None and self.thinnest > self.thickest:
            raise fault("thinnest is more than thickest.", "Exchange them.")
        return self


class AnalysisTable(Table):
    """Potential compounds of a cement as shares of its mass, and its fineness: off the mill's certificate."""

    c3s: Ratio
    c2s: Ratio
    c3a: Ratio
    c4af: Ratio
    so3: Ratio
    free_cao: Ratio
    mgo: Ratio
    blaine: SpecificSurface

    @model_validator(mode="after")
    def _is_a_cement(self) -> "AnalysisTable":
        shares = {name: getattr(self, name) for name in type(self).model_fields if name != "blaine"}
        wrong = analysis_fault(shares, self.blaine)
        if wrong:
            raise fault(*wrong)
        return self


def analysis_fault(shares: dict[str, float], blaine_m2_kg: float) -> tuple[str, str] | None:
    """What is wrong with a cement's analysis and how to fix it; None where nothing is."""
    if sum(shares.values()) > 1.0 + ANALYSIS_TOTAL_TOLERANCE:
        return f"the compounds sum to {sum(shares.values()):.3f} of the cement.", "They cannot exceed 1."
    missing = [name for name in NEEDED_COMPOUNDS if shares[name] <= 0.0]
    if missing:
        return f"{missing[0]} is 0.", f"The heat model needs {', '.join(NEEDED_COMPOUNDS)} above 0."
    if not LEAST_BLAINE_M2_KG <= blaine_m2_kg <= MOST_BLAINE_M2_KG:
        return (
            f"a fineness of {blaine_m2_kg:g} m²/kg is outside {LEAST_BLAINE_M2_KG:g} to {MOST_BLAINE_M2_KG:g}.",
            'Write blaine = "370 m^2/kg".',
        )
    return None
