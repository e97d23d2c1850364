"""How a piece is moved, stands in use and cures, and the way in, as the job file writes them."""

from typing import Annotated, Literal

from pydantic import Field, model_validator

from estimator.errors import FaultError
from estimator.intake.fields import Table
from estimator.keys import (
    Angle,
    ArealMass,
    Coordinate,
    Key,
    Length,
    Mass,
    Pressure,
    Ratio,
    Reach,
    SpecificSurface,
    Speed,
    Temperature,
    ThermalResistance,
    Time,
    TimeOrNone,
    UnitName,
    read_coordinate,
)
from estimator.workshop import fresh_mix, room_air

Name = Annotated[str, Field(min_length=1, max_length=200)]
Point = Annotated[list[Coordinate], Field(min_length=2, max_length=2)]


class PicksTable(Table):
    """Pick points that the workshop chose: (x, y) in the piece's own plan."""

    at: Annotated[
        Annotated[list[Point], Field(min_length=1)],
        Key("Pick points in the piece's own plan, each [x, y].", [["15 in", "12 in"], ["57 in", "12 in"]]),
    ]
    unit: Annotated[
        UnitName | None,
        Key(
            "Unit of bare numbers in this table, and of a file that does not state its own.",
            "in",
            "every number needs its own unit",
        ),
    ] = None
    angle: Annotated[
        Angle | None,
        Key(
            "Angle of the flattest sling leg. State `angle_from` with it.",
            "60 deg",
            "the shop's setting handling.sling_angle",
        ),
    ] = None
    angle_from: Annotated[
        Literal["horizontal", "vertical"] | None,
        Key("Direction that the angle is measured from.", "horizontal", "needed with `angle`"),
    ] = None
    insert_strength: Annotated[
        Mass | None,
        Key(
            "Load at which one insert fails, in this thickness and at this age.",
            "900 lb",
            "not known: not shown to be safe",
        ),
    ] = None
    sling_rating: Annotated[
        Mass | None,
        Key("Working load limit of one sling leg in a straight pull.", "500 lb", "not known: not shown to be safe"),
    ] = None

    @model_validator(mode="after")
    def _says_where_it_measures_from(self) -> "PicksTable":
        if self.angle is not None and self.angle_from is None:
            raise FaultError(
                "",
                f"an angle of {self.angle:g}° is given without its reference.",
                'Add angle_from = "horizontal" or "vertical".',
            )
        for point in self.at:
            for value in point:
                try:
                    read_coordinate(value, self.unit)
                except FaultError as error:
                    raise FaultError("", f"at: {error.what}", error.fix) from None
        return self


class HandlingTable(Table):
    """How the workshop means to move the piece."""

    carried: Annotated[
        Literal["edge", "flat"] | None,
        Key("Attitude in which the piece is carried by hand.", "edge", "both ways are checked"),
    ] = None
    lifted_by: Annotated[
        Literal["hand", "slings", "inserts", "vacuum"] | None,
        Key("How the piece is lifted.", "slings", "by hand where the crew allows, else by gear"),
    ] = None
    picks: Annotated[
        PicksTable | None,
        Key(
            "Pick points that the shop chose.",
            {"at": [["15 in", "12 in"], ["57 in", "12 in"]]},
            "the program proposes picks",
        ),
    ] = None
    vacuum: Annotated[
        Pressure | None,
        Key(
            "Vacuum measured under the pads on this face, pump running.", "55 kPa", "not measured: not shown to be safe"
        ),
    ] = None
    vacuum_holds: Annotated[
        Time | None, Key("Time that the vacuum held with the pump off.", "10 min", "not measured: not shown to be safe")
    ] = None
    release: Annotated[
        Literal["hold-point", "suction"] | None,
        Key(
            "How the piece leaves its form: freed by hand at a signed hold point, or pulled off against suction.",
            "hold-point",
            "by the kind of form",
        ),
    ] = None
    seal: Annotated[
        Pressure | None,
        Key(
            "Suction of this form per area, as measured at the strip.", "2 kPa", "the shop's setting handling.adhesion"
        ),
    ] = None
    hung_from: Annotated[
        Literal["crane", "machine"],
        Key("What the piece hangs from. A machine is a forklift, excavator or telehandler.", "crane"),
    ] = "crane"
    ground: Annotated[Literal["even", "rough"], Key("Ground that the machine drives on.", "even")] = "even"
    leak_tested: Annotated[bool, Key("Kept for older job files; give `vacuum` and `vacuum_holds` instead.", True)] = (
        False
    )

    @model_validator(mode="after")
    def _leaves_its_form_one_way(self) -> "HandlingTable":
        if self.release == "hold-point" and self.seal is not None:
            raise FaultError(
                "",
                "at a hold point the form has let go: seal counts for nothing.",
                'Leave seal out, or write release = "suction".',
            )
        return self

    @model_validator(mode="after")
    def _tells_what_was_measured(self) -> "HandlingTable":
        if self.leak_tested and (self.vacuum is None or self.vacuum_holds is None):
            raise FaultError(
                "", "leak_tested gives no figures.", 'Write vacuum = "55 kPa" and vacuum_holds = "10 min", as measured.'
            )
        return self


class InPlaceTable(Table):
    """How the piece stands or hangs in use."""

    outdoors: Annotated[
        bool | None,
        Key(
            "Whether the piece stands outdoors.",
            True,
            "its soaked weight is not counted, with a warning for planters, panels and basins",
        ),
    ] = None
    dark: Annotated[
        bool | None,
        Key("Whether its color is dark, so that the sun heats it more.", True, "cautions assume that it may be dark"),
    ] = None
    honed: Annotated[bool, Key("Whether its face is honed or ground.", True)] = False
    cut_on_site: Annotated[
        bool | None, Key("Whether it is cut on site.", False, "cautions assume that a counter is trimmed on site")
    ] = None
    overhang: Annotated[Reach | None, Key("Overhang of the front edge beyond its support.", "10 in", "none")] = None
    hung: Annotated[bool | None, Key("Whether it hangs on a wall.", True, "true for a panel")] = None
    anchors: Annotated[
        Annotated[list[Reach], Field(min_length=2)] | None,
        Key(
            "Places of the bearing anchors along the piece, from its left end.",
            ["12 in", "48 in"],
            "two anchors at the points of equal bending",
        ),
    ] = None
    anchor_height: Annotated[
        Length | None,
        Key(
            "Height of the anchors above the foot, where the piece rests against the wall.",
            "30 in",
            "the upper point of equal bending",
        ),
    ] = None


class DoorTable(Table):
    width: Annotated[Length, Key("Clear width of the door.", "36 in")]
    height: Annotated[Length, Key("Clear height of the door.", "80 in")]
    name: Annotated[Name, Key("Name of the door.", "kitchen door")] = "smallest door"


class TurnTable(Table):
    from_width: Annotated[
        Annotated[Length, Field(alias="from")], Key("Clear width of the passage before the turn.", "44 in")
    ]
    to: Annotated[Length, Key("Clear width of the passage after the turn.", "42 in")]
    height: Annotated[Length, Key("Clear height.", "96 in")]
    name: Annotated[Name, Key("Name of the turn.", "hall turn")] = "turn"


class StairsTable(Table):
    width: Annotated[Length, Key("Clear width of the stairs.", "38 in")]
    headroom: Annotated[Length, Key("Headroom, measured plumb.", "80 in")]
    pitch: Annotated[Angle, Key("Pitch from the horizontal, up to 60°.", "35 deg")]
    name: Annotated[Name, Key("Name of the stairs.", "stairs to the deck")] = "stairs"

    @model_validator(mode="after")
    def _are_stairs(self) -> "StairsTable":
        if self.pitch > 60.0:
            raise FaultError(
                "", f"a pitch of {self.pitch:g}° is a ladder.", "Give the angle from the horizontal, up to 60 deg."
            )
        return self


class LiftTable(Table):
    width: Annotated[Length, Key("Clear width inside the elevator.", "51 in")]
    depth: Annotated[Length, Key("Clear depth inside the elevator.", "68 in")]
    height: Annotated[Length, Key("Clear height inside the elevator.", "90 in")]
    door_width: Annotated[
        Length | None, Key("Clear width of its door. Give it with `door_height`.", "36 in", "its door is not checked")
    ] = None
    door_height: Annotated[
        Length | None, Key("Clear height of its door. Give it with `door_width`.", "84 in", "its door is not checked")
    ] = None
    rating: Annotated[Mass | None, Key("Load on its rating plate.", "2500 lb", "not known: not shown to be safe")] = (
        None
    )

    @model_validator(mode="after")
    def _has_a_whole_door(self) -> "LiftTable":
        if (self.door_width is None) != (self.door_height is None):
            raise FaultError("", "door_width and door_height go together.", "Give both, or neither.")
        return self


class SiteTable(Table):
    """The way in, as it was measured."""

    door: Annotated[
        DoorTable | None,
        Key("Smallest door on the way.", {"width": "36 in", "height": "80 in"}, "doors are not checked"),
    ] = None
    turns: Annotated[
        list[TurnTable], Key("Turns on the way, in order.", [{"from": "44 in", "to": "42 in", "height": "96 in"}])
    ] = []
    stairs: Annotated[
        list[StairsTable],
        Key("Stairs on the way, in order.", [{"width": "38 in", "headroom": "80 in", "pitch": "35 deg"}]),
    ] = []
    lift: Annotated[
        LiftTable | None,
        Key("Elevator on the way.", {"width": "51 in", "depth": "68 in", "height": "90 in"}, "there is none"),
    ] = None
    distance: Annotated[
        Length | None, Key("Carrying distance from the truck to the place.", "120 ft", "it is not checked")
    ] = None
    floor_load: Annotated[
        ArealMass | None,
        Key(
            "Floor load, as posted or as the building's engineer states.",
            "100 lb/ft^2",
            "not known: not shown to be safe",
        ),
    ] = None


ANALYSIS_TOTAL_TOLERANCE = 1e-6
NEEDED_COMPOUNDS = ("c3s", "c3a", "c4af", "so3")  # the heat model divides by them, or takes their logarithm
LEAST_BLAINE_M2_KG, MOST_BLAINE_M2_KG = 200.0, 800.0
LEAST_R, MOST_R = 0.001, 10.0  # m²K/W


class CureTable(Table):
    """Where the pieces harden, in place of the workshop's own figures."""

    room: Annotated[
        Temperature | None, Key("Air temperature of the room.", "65 °F", "the shop's setting in [workshop.curing]")
    ] = None
    mix_temperature: Annotated[
        Temperature | None,
        Key("Temperature of the mix when it is placed.", "68 °F", "the shop's setting in [workshop.curing]"),
    ] = None
    humidity: Annotated[
        Ratio | None, Key("Relative humidity of the room.", 0.45, "the shop's setting in [workshop.curing]")
    ] = None
    air_speed: Annotated[
        Speed | None, Key("Air speed over the uncovered piece.", "1 mph", "the shop's setting in [workshop.curing]")
    ] = None
    uncovered: Annotated[
        TimeOrNone | None,
        Key("Time from placing until the film is on.", "20 min", "the shop's setting in [workshop.curing]"),
    ] = None
    tarp_resistance: Annotated[
        ThermalResistance | None,
        Key("Thermal resistance of the curing blanket.", "0.5 m^2*K/W", "the shop's setting in [workshop.curing]"),
    ] = None
    form_resistance: Annotated[
        ThermalResistance | None,
        Key("Thermal resistance of form and table.", "0.3 m^2*K/W", "the shop's setting in [workshop.curing]"),
    ] = None

    @model_validator(mode="after")
    def _lies_in_a_room(self) -> "CureTable":
        for key, check in (("room", room_air), ("mix_temperature", fresh_mix)):
            value = getattr(self, key)
            wrong = None if value is None else check(value)
            if wrong:
                raise FaultError("", f"{key}: {wrong[0]}", wrong[1])
        for key in ("tarp_resistance", "form_resistance"):
            value = getattr(self, key)
            if value is not None and not LEAST_R <= value <= MOST_R:
                what = f"{key}: {value:g} m²K/W is outside {LEAST_R:g} to {MOST_R:g}."
                raise FaultError("", what, "A tarp has about 0.5 m^2*K/W.")
        return self


class PieceCureTable(CureTable):
    """The same for one piece, and the sections of one whose shape does not tell them."""

    thickest: Annotated[
        Length | None, Key("Thickest section, where the shape does not tell.", "4 in", "from the shape")
    ] = None
    thinnest: Annotated[
        Length | None, Key("Thinnest section, where the shape does not tell.", "5/8 in", "from the shape")
    ] = None
    set_delay: Annotated[
        TimeOrNone | None,
        Key("Time by which a retarder delays the set, from a trial of this mix.", "2 h", "no trial was made"),
    ] = None

    @model_validator(mode="after")
    def _is_thicker_where_thickest(self) -> "PieceCureTable":
        if self.thickest is not None and self.thinnest is not None and self.thinnest > self.thickest:
            raise FaultError("", "thinnest is more than thickest.", "Exchange them.")
        return self


class AnalysisTable(Table):
    """Potential compounds of a cement as shares of its mass, and its fineness: off the mill's certificate."""

    c3s: Annotated[Ratio, Key("C3S (alite), by mass of the cement.", 0.57)]
    c2s: Annotated[Ratio, Key("C2S (belite), by mass of the cement.", 0.17)]
    c3a: Annotated[Ratio, Key("C3A (aluminate), by mass of the cement.", 0.08)]
    c4af: Annotated[Ratio, Key("C4AF (ferrite), by mass of the cement.", 0.09)]
    so3: Annotated[Ratio, Key("SO3 (sulfate), by mass of the cement.", 0.03)]
    free_cao: Annotated[Ratio, Key("Free lime, by mass of the cement.", 0.01)]
    mgo: Annotated[Ratio, Key("MgO, by mass of the cement.", 0.02)]
    blaine: Annotated[SpecificSurface, Key("Blaine fineness.", "380 m^2/kg")]

    @model_validator(mode="after")
    def _is_a_cement(self) -> "AnalysisTable":
        shares = {name: getattr(self, name) for name in type(self).model_fields if name != "blaine"}
        wrong = analysis_fault(shares, self.blaine)
        if wrong:
            raise FaultError("", *wrong)
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
