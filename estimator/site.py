"""Access to the place of installation, as measured on site: doors, turns, stairs, an elevator. Clear sizes, m."""

from typing import Annotated

from estimator.errors import FaultError
from estimator.keys import After, Angle, ArealMass, Key, Label, Length, Mass, table
from geometry.message import Message, message

STEEPEST_STAIRS_DEG = 60.0


def _stairs(pitch_deg: float) -> Message | None:
    if pitch_deg <= STEEPEST_STAIRS_DEG:
        return None
    return message("stairs-too-steep", value=f"{pitch_deg:.9g}°", most=f"{STEEPEST_STAIRS_DEG:g}")


@table()
class Opening:
    """A door: clear width and height."""

    width_m: Annotated[Length, Key("Clear width of the door.", "36 in")]
    height_m: Annotated[Length, Key("Clear height of the door.", "80 in")]
    name: Annotated[Label, Key("Name of the door.", "kitchen door")] = "door"


@table()
class Turn:
    """A right-angled turn from one passage into another."""

    from_width_m: Annotated[Length, Key("Clear width of the passage before the turn.", "44 in", key="from")]
    to_width_m: Annotated[Length, Key("Clear width of the passage after the turn.", "42 in", key="to")]
    height_m: Annotated[Length, Key("Clear height.", "96 in")]
    name: Annotated[Label, Key("Name of the turn.", "hall turn")] = "turn"


@table()
class Stairs:
    """A straight flight of stairs."""

    width_m: Annotated[Length, Key("Clear width of the stairs.", "38 in")]
    headroom_m: Annotated[Length, Key("Headroom, measured plumb.", "80 in")]
    pitch_deg: Annotated[Angle, Key("Pitch from the horizontal, up to 60°.", "35 deg"), After(_stairs, of_table=True)]
    name: Annotated[Label, Key("Name of the stairs.", "stairs to the deck")] = "stairs"


@table()
class Elevator:
    """An elevator: clear sizes of its car and door, and the load on its rating plate.

    None: not known.
    """

    width_m: Annotated[Length, Key("Clear width inside the elevator.", "51 in")]
    depth_m: Annotated[Length, Key("Clear depth inside the elevator.", "68 in")]
    height_m: Annotated[Length, Key("Clear height inside the elevator.", "90 in")]
    door_width_m: Annotated[
        Length | None,
        Key("Clear width of the elevator door. Give `door_height` too.", "36 in", "the door is not checked"),
    ] = None
    door_height_m: Annotated[
        Length | None,
        Key("Clear height of the elevator door. Give `door_width` too.", "84 in", "the door is not checked"),
    ] = None
    rating_kg: Annotated[
        Mass | None,
        Key("Rated load of the elevator, from its plate.", "2500 lb", "no rating on file, and the sheets say so"),
    ] = None

    def __post_init__(self) -> None:
        if (self.door_width_m is None) != (self.door_height_m is None):
            raise FaultError("", message("elevator-door"))

    @property
    def name(self) -> str:
        """Name in the access check."""
        return "elevator"

    @property
    def door(self) -> Opening | None:
        """Its door; None if it was not measured."""
        if self.door_width_m is None or self.door_height_m is None:
            return None
        return Opening(self.door_width_m, self.door_height_m, "elevator-door")


@table()
class Site:
    """Access from the truck to the place of installation."""

    door: Annotated[
        Opening | None,
        Key("Smallest door on the route.", {"width": "36 in", "height": "80 in"}, "doors are not checked"),
    ] = None
    turns: Annotated[
        tuple[Turn, ...], Key("Turns on the route, in order.", [{"from": "44 in", "to": "42 in", "height": "96 in"}])
    ] = ()
    stairs: Annotated[
        tuple[Stairs, ...],
        Key("Stairs on the route, in order.", [{"width": "38 in", "headroom": "80 in", "pitch": "35 deg"}]),
    ] = ()
    lift: Annotated[
        Elevator | None,
        Key("Elevator on the route.", {"width": "51 in", "depth": "68 in", "height": "90 in"}, "there is none"),
    ] = None
    distance_m: Annotated[
        Length | None, Key("Carrying distance from the truck to the place.", "120 ft", "it is not checked")
    ] = None
    floor_load_kg_m2: Annotated[
        ArealMass | None,
        Key(
            "Floor load, as posted or stated by the building's engineer.",
            "100 lb/ft^2",
            "not known, and the sheets say so",
        ),
    ] = None

    order: Annotated[
        tuple[Label, ...],
        Key("Marks of the pieces in the order in which they are set.", ["C1", "C2"], "the crew decides the order"),
    ] = ()

    @property
    def places(self) -> tuple[Opening | Turn | Stairs | Elevator, ...]:
        """Places on the route, in the order in which a piece passes them."""
        car = (self.lift.door, self.lift) if self.lift is not None else ()
        return tuple(place for place in (self.door, *self.turns, *self.stairs, *car) if place is not None)
