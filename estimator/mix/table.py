"""A mix as a table: masses and volumes of one batch in loading order."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from estimator.errors import FaultError
from estimator.job import Material, MixForm
from estimator.mix.fresh import MadeMix, loose_volumes
from estimator.mix.recipe import WATER, Recipe, Role
from estimator.mix.written import sand_ratio_of_share

Form = MixForm
Unit = Literal["", "kg", "kg/m3", "m3", "part"]

# The basis that the trade doses each role on; the textbook's term is beside it once, on the sheet.
BASIS_OF_ROLE: Mapping[Role, str] = {
    "cementitious": "of cementitious",
    "aggregate": "of loose volume of the sand it stands for",
    "admixture": "product, of cementitious",
    "polymer": "solids, of cementitious",
    "pigment": "of cementitious",
    "fibre": "of counted dry mass (dry batch weight, as if all sand)",
}
_FIBRE_OF_TOTAL = "of everything, water and fibre in"


@dataclass(frozen=True, slots=True)
class ShownLine:
    """One line of a mix as written."""

    name: str
    value: float
    unit: Unit  # "" is a ratio
    basis: str  # what a ratio is of, or in what state a mass or a volume is measured


@dataclass(frozen=True, slots=True)
class ShownMix:
    """A mix in one of its written forms, and the batch that its masses are for."""

    mix: str
    form: Form
    lines: tuple[ShownLine, ...]
    batch: Recipe
    finished_m3: float


def recipe_for(
    made: MadeMix,
    *,
    counted_dry_kg: float | None = None,
    finished_m3: float | None = None,
    total_kg: float | None = None,
    material_kg: tuple[str, float] | None = None,
) -> Recipe:
    """The recipe of a batch whose size is set by exactly one measure.

    counted_dry_kg  "100 lb dry batch weight, as if all sand"
    finished_m3     fresh volume, air in; for pieces, the sum of volume · count · (1 + waste)
    total_kg        everything that goes in
    material_kg     a material and its mass as weighed: two bags of cement

    Raises FaultError where none or more than one is given, a size is not above 0, or the material is not in the mix.
    """
    sizes = {
        "counted_dry": (counted_dry_kg, made.recipe.counted_dry_kg),
        "finished": (finished_m3, 1.0),
        "total": (total_kg, made.recipe.total_kg),
    }
    if material_kg is not None:
        name, mass_kg = material_kg
        per_m3 = made.recipe_kg_m3.get(name, 0.0)
        if per_m3 <= 0.0:
            raise FaultError(name, f"{name} is not in {made.name}.", "Name a material of the mix.")
        sizes[name] = (mass_kg, per_m3)
    given = {key: (size, per_m3) for key, (size, per_m3) in sizes.items() if size is not None}
    if len(given) != 1:
        raise FaultError("batch", f"its size is given {len(given)} times.", "Give exactly one size.")
    [(key, (size, per_m3))] = given.items()
    if not size > 0.0:
        raise FaultError(f"batch.{key}", f"a size of {size:g} is not above 0.")
    return made.recipe.scaled(size / per_m3)


def show(made: MadeMix, materials: Mapping[str, Material], form: Form, batch: Recipe | None = None) -> ShownMix:
    """A mix written in `form`; masses and volumes are those of `batch`, of one cubic metre where that is None.

    "volume-parts" are loose volumes against the first cementitious as 1, water as it is.
    """
    batch = batch or made.recipe
    finished_m3 = batch.cementitious_kg / made.recipe.cementitious_kg
    if form == "masses":
        lines = [ShownLine(name, kg, "kg", "as weighed") for name, kg in batch.weighed_kg.items()]
    elif form == "mass-per-volume":
        lines = [ShownLine(name, kg, "kg/m3", "as weighed") for name, kg in made.recipe_kg_m3.items()]
    elif form == "volume-parts":
        loose_m3, _ = loose_volumes(batch, materials, made.made.water_density_kg_m3)
        unit_m3 = loose_m3[batch.ingredients[0].material]
        lines = [ShownLine(name, m3 / unit_m3, "part", "loose volume") for name, m3 in loose_m3.items()]
    else:
        lines = _ratios(made, form)
    return ShownMix(made.name, form, tuple(lines), batch, finished_m3)


def _ratios(made: MadeMix, form: Form) -> list[ShownLine]:
    recipe = made.recipe
    share = recipe.cementitious_kg / recipe.counted_dry_kg
    if form == "share":
        lines = [ShownLine("cementitious", share, "", BASIS_OF_ROLE["fibre"])]
    else:
        lines = [ShownLine("sand", sand_ratio_of_share(share), "", "as if all sand, to cementitious")]
    loose_m3 = sum(recipe.loose_aggregate_m3.values())
    for part in recipe.ingredients:
        basis = BASIS_OF_ROLE[part.role]
        if part.role == "aggregate" and part.loose_m3 is not None:
            value = part.loose_m3 / loose_m3
        elif part.role == "fibre":
            of_total = made.fibre_basis == "total"
            value = part.product_kg / (recipe.total_kg if of_total else recipe.counted_dry_kg)
            basis = _FIBRE_OF_TOTAL if of_total else basis
        else:
            counted_kg = part.solids_kg if part.role in ("cementitious", "polymer") else part.product_kg
            value = counted_kg / recipe.cementitious_kg
        lines.append(ShownLine(part.material, value, "", basis))
    lines.append(ShownLine(WATER, made.water_cementitious, "", "free, of cementitious (w/cm)"))
    if made.water_cement is not None:
        lines.append(ShownLine(WATER, made.water_cement, "", "free, of cement alone (w/c)"))
    return lines
