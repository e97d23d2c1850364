"""A mix by counted dry mass and its yield by absolute volume, in exact fractions, as the design defines both."""

from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from tests.second_engine.quantities import si

WATER_KG_M3 = Fraction(998)
ZERO = Fraction(0)
Table = dict[str, Any]


class TooMuchWaterError(Exception):
    """Stock and liquids bring more water than the mix may have."""


@dataclass(frozen=True)
class Concrete:
    """A cubic meter of a mix."""

    fresh: Fraction
    oven_dry: Fraction
    recipe: dict[str, Fraction]  # as weighed, water in
    fractions: dict[str, Fraction]
    free_water: Fraction

    @property
    def installed(self) -> Fraction:
        return min(self.oven_dry + 50, self.fresh)


def density(material: Table) -> Fraction:
    """Density of the dry particles, or of a liquid as a product."""
    if "relative_density" in material:
        return Fraction(material["relative_density"]) * WATER_KG_M3
    if "density" in material:
        return si(material["density"])
    return si(material["bulk_density"]) / Fraction(material["packing"])


@dataclass
class Tally:
    """The sums over all ingredients of one kilogram of counted dry mass."""

    weighed: dict[str, Fraction]
    volumes: dict[str, Fraction]
    dry: Fraction = ZERO
    brought: Fraction = ZERO  # water in damp aggregate and liquids
    absorbed: Fraction = ZERO

    def aggregate(self, name: str, material: Table, dry: Fraction) -> None:
        moist = dry * Fraction(material.get("moisture", 0))
        self.dry += dry
        self.brought += moist
        self.absorbed += dry * Fraction(material.get("absorption", 0))
        self.weighed[name] = self.weighed.get(name, ZERO) + dry + moist
        self.volumes[name] = self.volumes.get(name, ZERO) + dry / density(material)

    def product(self, name: str, material: Table, mass: Fraction) -> None:
        solids = mass * Fraction(material.get("solids", 1))
        self.dry += solids
        self.brought += mass - solids
        self.weighed[name] = self.weighed.get(name, ZERO) + mass
        volume = mass / density(material) - (mass - solids) / WATER_KG_M3
        self.volumes[name] = self.volumes.get(name, ZERO) + volume


def concrete(mix: Table, materials: dict[str, Table]) -> Concrete:
    """One cubic meter of a mix. Raises TooMuchWaterError where the water to weigh would be negative."""
    share = Fraction(mix["cementitious_share"])
    sand_equivalent = 1 - share
    free = Fraction(mix["water_cementitious"]) * share
    tally = Tally({}, {})
    for name, part in mix["cementitious"].items():
        tally.product(name, materials[name], Fraction(part) * share)
    aggregate = mix.get("aggregate", {})
    if aggregate:
        reference = mix.get("reference_sand") or only_sand(aggregate, materials)
        loose = sand_equivalent / si(materials[reference]["bulk_density"])
        for name, part in aggregate.items():
            tally.aggregate(name, materials[name], Fraction(part) * loose * si(materials[name]["bulk_density"]))
    for name, dose in mix.get("admixtures", {}).items():
        tally.product(name, materials[name], Fraction(dose) * share)
    for name, dose in mix.get("polymer", {}).items():
        tally.product(name, materials[name], Fraction(dose) * share / Fraction(materials[name].get("solids", 1)))
    for name, dose in mix.get("pigment", {}).items():
        tally.product(name, materials[name], Fraction(dose) * share)
    fibers = {name: Fraction(dose) for name, dose in mix.get("fibre", {}).items()}
    base = Fraction(1)
    if mix.get("fibre_basis") == "total":
        base = (tally.dry + tally.absorbed + free) / (1 - sum(fibers.values()))
    for name, dose in fibers.items():
        tally.product(name, materials[name], dose * base)
    water = free + tally.absorbed - tally.brought
    if water < 0:
        raise TooMuchWaterError(mix)
    air = Fraction(mix.get("air", 0))
    volume = (sum(tally.volumes.values()) + free / WATER_KG_M3) / (1 - air)
    bound = min(share / 5, free)
    return Concrete(
        fresh=(tally.dry + tally.absorbed + free) / volume,
        oven_dry=(tally.dry + bound) / volume,
        recipe={name: mass / volume for name, mass in (tally.weighed | {"water": water}).items() if mass},
        fractions={name: part / volume for name, part in tally.volumes.items()}
        | {"water": free / WATER_KG_M3 / volume, "air": air},
        free_water=free / volume,
    )


def only_sand(names: dict[str, Any], materials: dict[str, Table]) -> str:
    (sand,) = (name for name in names if materials[name]["kind"] == "sand")
    return sand
