"""Proportions of a mix by counted dry mass: the mass of every ingredient, with moist aggregates and liquids."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Literal

from estimator.errors import FaultError
from estimator.job import Material, Mix
from estimator.mix.faults import bulk_density_kg_m3, faults_of
from geometry.frozen import frozen
from geometry.message import message

WATER = "water"
Role = Literal["cementitious", "aggregate", "admixture", "polymer", "pigment", "fibre"]
FibreBasis = Literal["counted-dry", "total"]

# A negative amount to weigh smaller than this fraction of the free water is a rounding error of zero.
_WATER_ROUNDING = 1e-12


@frozen
class Ingredient:
    """One material of a recipe, in one role."""

    material: str
    role: Role
    solids_kg: float  # dry mass of a granular material, solids of a liquid product
    water_kg: float  # water it brings: moisture of an aggregate, the water in a liquid product
    absorbed_kg: float  # water that an aggregate absorbs until it is saturated surface-dry
    loose_m3: float | None  # aggregate: the loose volume of its dry mass

    @property
    def product_kg(self) -> float:
        """Mass as weighed: damp aggregate, liquid as product."""
        return self.solids_kg + self.water_kg


@frozen
class Recipe:
    """Masses of one batch of a mix, before its yield is known."""

    mix: str
    counted_dry_kg: float
    cementitious_kg: float
    cement_kg: float  # the part of the cementitious that is cement; w/c uses it, w/cm counts pozzolans too
    free_water_kg: float  # water in the paste: weighed, plus that of stock and liquids, less absorption
    ingredients: tuple[Ingredient, ...]
    fibre_basis: FibreBasis

    @property
    def absorbed_water_kg(self) -> float:
        """Water held inside saturated aggregate. It adds mass, not volume."""
        return sum(ingredient.absorbed_kg for ingredient in self.ingredients)

    @property
    def batched_water_kg(self) -> float:
        """Water to weigh: free and absorbed, less the water in damp aggregate and liquid products."""
        brought = sum(ingredient.water_kg for ingredient in self.ingredients)
        batched = self.free_water_kg + self.absorbed_water_kg - brought
        return 0.0 if abs(batched) < _WATER_ROUNDING * self.free_water_kg else batched

    @property
    def weighed_kg(self) -> dict[str, float]:
        """Mass to weigh by material, and "water", as on the batch sheet."""
        weighed: dict[str, float] = {}
        for ingredient in self.ingredients:
            weighed[ingredient.material] = weighed.get(ingredient.material, 0.0) + ingredient.product_kg
        weighed[WATER] = self.batched_water_kg
        return weighed

    @property
    def loose_aggregate_m3(self) -> dict[str, float]:
        """Loose volume of each dry aggregate, as it fills a bucket."""
        return {
            ingredient.material: ingredient.loose_m3
            for ingredient in self.ingredients
            if ingredient.loose_m3 is not None
        }

    @property
    def total_kg(self) -> float:
        """Total mass of the batch."""
        dry = sum(ingredient.solids_kg for ingredient in self.ingredients)
        return dry + self.free_water_kg + self.absorbed_water_kg

    @property
    def water_cementitious(self) -> float:
        """w/cm: free water over cement and pozzolans."""
        return self.free_water_kg / self.cementitious_kg

    @property
    def water_cement(self) -> float | None:
        """w/c: free water over cement alone; None without cement."""
        return self.free_water_kg / self.cement_kg if self.cement_kg > 0.0 else None

    def scaled(self, factor: float) -> "Recipe":
        """Same recipe with `factor` times as much of everything."""
        return replace(
            self,
            counted_dry_kg=self.counted_dry_kg * factor,
            cementitious_kg=self.cementitious_kg * factor,
            cement_kg=self.cement_kg * factor,
            free_water_kg=self.free_water_kg * factor,
            ingredients=tuple(
                replace(
                    ingredient,
                    solids_kg=ingredient.solids_kg * factor,
                    water_kg=ingredient.water_kg * factor,
                    absorbed_kg=ingredient.absorbed_kg * factor,
                    loose_m3=None if ingredient.loose_m3 is None else ingredient.loose_m3 * factor,
                )
                for ingredient in self.ingredients
            ),
        )


def proportion(mix: Mix, materials: Mapping[str, Material]) -> Recipe:
    """Masses of a mix per 1 kg of counted dry mass.

    Cementitious takes its share of the counted dry mass, the sand-equivalent the rest. Aggregate i gets v_i times
    the loose volume of the sand-equivalent, at its own loose bulk density. Admixture, polymer (by solids) and pigment
    are dosed by cementitious mass, fiber by counted dry mass or by total mass, free water by w/cm.

    Raises FaultError if the mix or a material has a fault, or if stock and liquids bring more water than w/cm allows.
    Source: the trade's convention of counted dry mass; moisture as in ACI 211.1.
    """
    for fault in faults_of(mix, materials):
        raise fault
    cementitious_kg = mix.cementitious_share
    sand_equivalent_kg = 1.0 - cementitious_kg
    free_water_kg = mix.water_cementitious * cementitious_kg
    ingredients = [
        product_of("cementitious", materials[name], solids_kg=share * cementitious_kg)
        for name, share in mix.cementitious.items()
    ]
    if mix.aggregate and mix.reference_sand is not None:
        reference_kg_m3 = bulk_density_kg_m3(materials[mix.reference_sand])
        for name, share in mix.aggregate.items():
            # The ratio of bulk densities is computed first, so that it is exactly 1 for the reference sand.
            bulk_ratio = bulk_density_kg_m3(materials[name]) / reference_kg_m3
            ingredients.append(aggregate_of(materials[name], dry_kg=share * sand_equivalent_kg * bulk_ratio))
    for name, dose in mix.admixtures.items():
        ingredients.append(product_of("admixture", materials[name], product_kg=dose * cementitious_kg))
    for name, dose in mix.polymer.items():
        ingredients.append(product_of("polymer", materials[name], solids_kg=dose * cementitious_kg))
    for name, dose in mix.pigment.items():
        ingredients.append(product_of("pigment", materials[name], product_kg=dose * cementitious_kg))
    ingredients.extend(_fibres(mix, materials, ingredients, free_water_kg))
    recipe = Recipe(
        mix=mix.name,
        counted_dry_kg=1.0,
        cementitious_kg=cementitious_kg,
        cement_kg=cement_mass_kg(ingredients, materials),
        free_water_kg=free_water_kg,
        ingredients=tuple(ingredient for ingredient in ingredients if ingredient.solids_kg > 0.0),
        fibre_basis=mix.fibre_basis,
    )
    if recipe.batched_water_kg < 0.0:
        brought = free_water_kg + recipe.absorbed_water_kg - recipe.batched_water_kg
        raise FaultError(
            "water_cementitious",
            message(
                "mix-too-wet",
                brought=f"{brought / cementitious_kg:.3g}",
                water_cementitious=f"{mix.water_cementitious:g}",
            ),
        )
    return recipe


def aggregate_of(material: Material, dry_kg: float) -> Ingredient:
    """Ingredient for an aggregate of a given dry mass, with its moisture and its absorption."""
    return Ingredient(
        material=material.name,
        role="aggregate",
        solids_kg=dry_kg,
        water_kg=dry_kg * material.moisture,
        absorbed_kg=dry_kg * material.absorption,
        loose_m3=dry_kg / bulk_density_kg_m3(material),
    )


def product_of(
    role: Role, material: Material, *, product_kg: float | None = None, solids_kg: float | None = None
) -> Ingredient:
    """Ingredient for a product of a given mass or, if that is None, a given mass of solids. The rest is water."""
    if product_kg is None:
        if solids_kg is None:
            raise TypeError("product_of needs product_kg or solids_kg")
        product_kg = solids_kg / material.solids
    else:
        solids_kg = product_kg * material.solids
    return Ingredient(
        material=material.name,
        role=role,
        solids_kg=solids_kg,
        water_kg=product_kg - solids_kg,
        absorbed_kg=0.0,
        loose_m3=None,
    )


def cement_mass_kg(ingredients: list[Ingredient], materials: Mapping[str, Material]) -> float:
    """Mass of the cement in the cementitious, without pozzolans."""
    return sum(
        ingredient.solids_kg
        for ingredient in ingredients
        if ingredient.role == "cementitious" and materials[ingredient.material].kind == "cement"
    )


def _fibres(
    mix: Mix, materials: Mapping[str, Material], others: list[Ingredient], free_water_kg: float
) -> list[Ingredient]:
    """Fibers by counted dry mass, which is 1 kg here, or as a share of the total mass, water and fiber included."""
    if mix.fibre_basis == "counted-dry":
        dosed_kg = 1.0
    else:
        rest_kg = free_water_kg + sum(ingredient.solids_kg + ingredient.absorbed_kg for ingredient in others)
        dosed_kg = rest_kg / (1.0 - sum(mix.fibre.values()))
    return [product_of("fibre", materials[name], product_kg=dose * dosed_kg) for name, dose in mix.fibre.items()]
