"""How a piece is moved, stands in use and cures, and the way in, as the job file writes them."""

from typing import Annotated, Literal

from pydantic import Field, model_validator

from estimator.errors import FaultError
from estimator.intake.fields import (
    Angle,
    ArealMass,
    Coordinate,
    Length,
    Mass,
    Pressure,
    Ratio,
    Reach,
    SpecificSurface,
    Speed,
    Table,
    Temperature,
    ThermalResistance,
    Time,
    TimeOrNone,
    fault,
    read_coordinate,
)
from estimator.intake.shapes import UnitName
from estimator.workshop import fresh_mix, room_air

Name = Annotated[str, Field(min_length=1, max_length=200)]
Point = Annotated[list[Coordinate], Field(min_length=2, max_length=2)]


class PicksTable(Table):
    """Pick points that the workshop chose: (x, y) in the piece's own plan."""

    at: Annotated[list[Point], Field(min_length=1)]
    unit: UnitName | None = None
    angle: Angle | None = None  # of the flattest sling leg
    angle_from: Literal["horizontal", "vertical"] | None = None
    insert_strength: Mass | None = None  # what one insert holds at failure, in this thickness and at this age
    sling_rating: Mass | None = None  # working load limit of one leg, straight pull

    @model_validator(mode="after")
    def _says_where_it_measures_from(self) -> "PicksTable":
        if self.angle is not None and self.angle_from is None:
            raise fault(
                f"an angle of {self.angle:g}° is given without its reference.",
                'Add angle_from = "horizontal" or "vertical".',
            )
        for point in self.at:
            for value in point:
                try:
                    read_coordinate(value, self.unit)
                except FaultError as error:
                    raise fault(f"at: {error.what}", error.fix) from None
        return self


class HandlingTable(Table):
    """How the workshop means to move the piece."""

    carried: Literal["edge", "flat"] | None = None
    lifted_by: Literal["hand", "slings", "inserts", "vacuum"] | None = None
    picks: PicksTable | None = None
    vacuum: Pressure | None = None  # measured under the pads on this very face, pump running
    vacuum_holds: Time | None = None  # how long it held with the pump off
    release: Literal["hold-point", "suction"] | None = None  # how it leaves its form; by the kind of form unless said
    seal: Pressure | None = None  # pull of this form per area at the strip, as measured
    hung_from: Literal["crane", "machine"] = "crane"  # machine: hangs from a forklift, excavator or telehandler
    ground: Literal["even", "rough"] = "even"  # on which that machine drives
    leak_tested: bool = False  # of older job files: says nothing without the two figures

    @model_validator(mode="after")
    def _leaves_its_form_one_way(self) -> "HandlingTable":
        if self.release == "hold-point" and self.seal is not None:
            raise fault(
                "at a hold point the form has let go: seal counts for nothing.",
                'Leave seal out, or write release = "suction".',
            )
        return self

    @model_validator(mode="after")
    def _tells_what_was_measured(self) -> "HandlingTable":
        if self.leak_tested and (self.vacuum is None or self.vacuum_holds is None):
            raise fault(
                "leak_tested gives no figures.", 'Write vacuum = "55 kPa" and vacuum_holds = "10 min", as measured.'
            )
        return self


class InPlaceTable(Table):
    """How the piece stands or hangs in use."""

    outdoors: bool | None = None
    dark: bool | None = None
    honed: bool = False
    cut_on_site: bool | None = None
    overhang: Reach | None = None  # of the front edge beyond its support
    hung: bool | None = None
    anchors: Annotated[list[Reach], Field(min_length=2)] | None = None  # bearing anchors along the piece, from the left
    anchor_height: Length | None = None  # above the foot, where the piece rests against the wall


class DoorTable(Table):
    width: Length
    height: Length
    name: Name = "smallest door"


class TurnTable(Table):
    from_width: Annotated[Length, Field(alias="from")]
    to: Length
    height: Length
    name: Name = "turn"


class StairsTable(Table):
    width: Length
    headroom: Length  # measured plumb
    pitch: Angle  # from the horizontal
    name: Name = "stairs"

    @model_validator(mode="after")
    def _are_stairs(self) -> "StairsTable":
        if self.pitch > 60.0:
            raise fault(f"a pitch of {self.pitch:g}° is a ladder.", "Give the angle from the horizontal, up to 60 deg.")
        return self


class LiftTable(Table):
    width: Length
    depth: Length
    height: Length
    door_width: Length | None = None
    door_height: Length | None = None
    rating: Mass | None = None

    @model_validator(mode="after")
    def _has_a_whole_door(self) -> "LiftTable":
        if (self.door_width is None) != (self.door_height is None):
            raise fault("door_width and door_height go together.", "Give both, or neither.")
        return self


class SiteTable(Table):
    """The way in, as it was measured."""

    door: DoorTable | None = None
    turns: list[TurnTable] = []
    stairs: list[StairsTable] = []
    lift: LiftTable | None = None
    distance: Length | None = None  # from the truck to the place
    floor_load: ArealMass | None = None  # posted, or as the building's engineer says


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
