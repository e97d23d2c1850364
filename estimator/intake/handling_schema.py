"""How a piece is moved, how it stands in use, and the way in, as the job file writes them."""

from typing import Annotated, Literal

from pydantic import Field, model_validator

from estimator.intake.base import Table
from estimator.intake.fields import (
    Angle,
    ArealMass,
    Coordinate,
    Length,
    Mass,
    Pressure,
    Reach,
    Time,
    fault,
    read_coordinate,
)
from estimator.intake.shape_schema import UnitName
from estimator.units import UnitsError

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
                except UnitsError as error:
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
