"""What a curing plan must know of a piece: its thickness, its mix, and the room it lies in."""

from __future__ import annotations

from dataclasses import dataclass

from estimator.curing.hydration import Hydration, Unmodelled
from estimator.errors import RangeError


@dataclass(frozen=True, slots=True)
class MixHeat:
    """What the plan must know of a mix, per m³ of fresh mix.

    hydration               its heat curve, or why there is none
    water_kg_m3             free water
    silica_fume_share       of the cementitious
    curing_polymer_solids   solids of a polymer made for curing, per cementitious
    set_modified            whether a retarder or accelerator is in it
    retarded                whether a retarder is
    """

    hydration: Hydration | Unmodelled
    cementitious_kg_m3: float
    water_kg_m3: float
    density_kg_m3: float
    specific_heat_j_kg_k: float
    conductivity_w_m_k: float
    silica_fume_share: float
    curing_polymer_solids: float
    set_modified: bool = False
    retarded: bool = False

    def __post_init__(self) -> None:
        for name in ("silica_fume_share", "curing_polymer_solids"):
            share = getattr(self, name)
            if not 0.0 <= share <= 1.0:
                raise RangeError(f"{name} is {share:g}: a share from 0 to 1 is wanted, 6 % is 0.06")
        if self.water_kg_m3 <= 0.0:
            raise RangeError(f"free water {self.water_kg_m3:g} kg/m³ must be above 0")


@dataclass(frozen=True, slots=True)
class Room:
    """Where the piece lies; humidity None where it is not known.

    room_c, placed_c   of the air and of the mix when placed, °C
    humidity           relative, 0 to 1
    wind_km_h          over the open surface
    uncovered_h        from placing until the plastic is on
    """

    room_c: float
    placed_c: float
    humidity: float | None = None
    wind_km_h: float = 0.0
    uncovered_h: float = 0.5


@dataclass(frozen=True, slots=True)
class Section:
    """A part of a piece: how thick it is, and its mix, averaged over the layers through that thickness."""

    thickness_m: float
    mix: MixHeat


@dataclass(frozen=True, slots=True)
class Casting:
    """A piece to be cured.

    thickness_m, mix   of its thickest section, which rules overheating
    thinnest           the section that rules cold, stripping and drying; None where it is the same
    set_delay_h        by which a retarder delays the set, from a trial of this mix; None: no trial
    """

    thickness_m: float
    mix: MixHeat
    room: Room
    thinnest: Section | None = None
    set_delay_h: float | None = None

    @property
    def retarded(self) -> bool:
        """Whether any of its mixes holds a retarder."""
        return self.mix.retarded or self.thin.mix.retarded

    @property
    def thin(self) -> Section:
        """The thinnest section, which may be the only one."""
        return self.thinnest or Section(self.thickness_m, self.mix)
