"""The way in, as it was measured on site: doors, turns, stairs, a lift car. Clear sizes, m."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Opening:
    """A door or a lift car's door: clear width and height, m."""

    name: str
    width_m: float
    height_m: float


@dataclass(frozen=True, slots=True)
class Turn:
    """A right-angled turn from one passage into another: their clear widths, and the clear height, m."""

    name: str
    from_width_m: float
    to_width_m: float
    height_m: float


@dataclass(frozen=True, slots=True)
class Stairs:
    """A straight flight: clear width, headroom measured plumb, m, and pitch from the horizontal, degrees."""

    name: str
    width_m: float
    headroom_m: float
    pitch_deg: float


@dataclass(frozen=True, slots=True)
class LiftCar:
    """A lift car: clear inside, m, and what its plate lets it carry, kg; None where the plate was not read."""

    name: str
    width_m: float
    depth_m: float
    height_m: float
    rating_kg: float | None = None


@dataclass(frozen=True, slots=True)
class Site:
    """All that is known of the way from the truck to the place.

    distance_m        to carry; None where nobody measured it
    floor_load_kg_m2  posted or designed floor load; None where it is not known
    """

    places: tuple[Opening | Turn | Stairs | LiftCar, ...]
    distance_m: float | None = None
    floor_load_kg_m2: float | None = None

    @property
    def stairs(self) -> bool:
        return any(isinstance(place, Stairs) for place in self.places)
