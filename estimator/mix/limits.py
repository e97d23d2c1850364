"""Limits of a mix that raise warnings: dosages, color, flow."""

from collections.abc import Iterator, Mapping, Sequence

from estimator.constants import above, below
from estimator.job import Material, Mix
from estimator.mix.recipe import Recipe
from estimator.notices import Notice
from geometry.message import Message, message

_ALIKE = 1e-9


def color_differences(mixes: Sequence[Mix], materials: Mapping[str, Material]) -> tuple[Message, ...]:
    """Differences between mixes of the same color group, one line each: cementitious, sand, pigment, w/cm.

    Mixes without a group are left out. Beads are inside the paste and do not color it, so their replacement may differ.
    """
    first: dict[str, Mix] = {}
    differences: list[Message] = []
    for mix in mixes:
        if not mix.colour_group:
            continue
        reference = first.setdefault(mix.colour_group, mix)
        if reference is not mix:
            differences.extend(_differences(reference, mix, materials))
    return tuple(differences)


def _differences(reference: Mix, mix: Mix, materials: Mapping[str, Material]) -> Iterator[Message]:
    pair = {"group": reference.colour_group, "one_name": reference.label, "other_name": mix.label}
    for what, doses, other_doses in (
        ("cementitious", reference.cementitious, mix.cementitious),
        ("pigment", reference.pigment, mix.pigment),
    ):
        for name in dict.fromkeys((*doses, *other_doses)):
            dose, other_dose = doses.get(name, 0.0), other_doses.get(name, 0.0)
            if abs(dose - other_dose) > _ALIKE:
                yield message(
                    "warning-color-dosage",
                    **pair,
                    what=what,
                    material_name=materials[name].label,
                    dose=f"{dose:.3%}",
                    other_dose=f"{other_dose:.3%}",
                )
    sands, other_sands = _sands(reference, materials), _sands(mix, materials)
    if sands and other_sands and sands != other_sands:
        yield message("warning-color-sand", **pair, sand_names=sorted(sands), other_sand_names=sorted(other_sands))
    if abs(reference.water_cementitious - mix.water_cementitious) > _ALIKE:
        ratios = {"ratio": f"{reference.water_cementitious:.3g}", "other_ratio": f"{mix.water_cementitious:.3g}"}
        yield message("warning-color-water", **pair, **ratios)


def _sands(mix: Mix, materials: Mapping[str, Material]) -> frozenset[str]:
    return frozenset(materials[name].label for name in mix.aggregate if materials[name].kind == "sand")


PLASTICIZES, THICKENS = "plasticizes", "thickens"
# A choice between mixes that the trade calls stiff (w/cm 0.33, half a dosage) and fluid (0.36, two thirds; 0.46 with
# none): a full dosage has the effect of this much more w/cm, and a full dosage of thickener of this much less.
WATER_OF_A_FULL_DOSAGE, WATER_OF_A_FULL_THICKENER = 0.15, 0.08
FLOWS_FROM = 0.455  # w/cm, with plasticizer and thickener counted


def flows(mix: Mix, materials: Mapping[str, Material]) -> bool:
    """Whether the mix flows by itself, so that light beads rise in it. A stated consistency takes precedence.

    A dosage counts as a fraction of its maker's maximum, or as a full dosage if no range is given.
    """
    if mix.consistency:
        return mix.consistency == "fluid"
    water = mix.water_cementitious
    water += WATER_OF_A_FULL_DOSAGE * _dosage(mix, materials, PLASTICIZES)
    water -= WATER_OF_A_FULL_THICKENER * _dosage(mix, materials, THICKENS)
    return water >= FLOWS_FROM


def holds_beads(mix: Mix, materials: Mapping[str, Material]) -> bool:
    """Whether the mix contains a light aggregate."""
    return any(materials[name].kind == "light-aggregate" and share > 0.0 for name, share in mix.aggregate.items())


def _dosage(mix: Mix, materials: Mapping[str, Material], trait: str) -> float:
    """Total dosage of the admixtures with a trait, as a fraction of their maximum."""
    full = 0.0
    for name, dosage in mix.admixtures.items():
        if dosage > 0.0 and trait in materials[name].traits:
            full += dosage / (materials[name].dose_high or dosage)
    return full


# Common practice: 4 or 5 % gave no more flexural strength than 3 %.
FIBRE_PER_COUNTED_DRY_USEFUL = 0.03
# ASTM C979: at most 10 % of the cement.
PIGMENT_PER_CEMENTITIOUS_MOST = 0.10
# Perlite and expanded glass absorb a tenth to a third of their mass; below that the effect on mix water is small.
ABSORPTION_TO_SOAK_FOR = 0.10
# Damp sand bulks: near 5 % moisture a bucket holds a fifth to a third less of it (common practice).
MOISTURE_THAT_BULKS = 0.01
# Common practice for thin castings is w/cm 0.28 to 0.45 and up to twice as much sand as cementitious. Beyond these a
# number was probably mistyped.
WATER_CEMENTITIOUS_USUAL = 0.25, 0.6
SAND_CEMENTITIOUS_MOST = 4.0
# The density of a mix with much entrained air is uncertain until it is weighed.
DENSITY_TOLERANCE_OF_ENTRAINED = 0.10
ENTRAINS_AIR = "entrains-air"


def warnings_of(mix: Mix, materials: Mapping[str, Material], recipe: Recipe) -> tuple[Notice, ...]:
    """Warnings about a mix: dosages outside the maker's or the trade's range, stock that bulks or absorbs.

    Each text names the material, the dosage with its basis, and the limit with its source.
    """
    return (
        *_ratio_warnings(mix),
        *_dose_warnings(mix, materials, recipe),
        *_stock_warnings(mix, materials),
        *_air_warnings(mix, materials),
        *_flow_warnings(mix, materials),
    )


def air_entrained(mix: Mix, materials: Mapping[str, Material]) -> bool:
    """Whether a mix has an air entrainer and a light aggregate with a usual air content."""
    doses = any(
        dose > 0.0 and name in materials and ENTRAINS_AIR in materials[name].traits
        for name, dose in mix.admixtures.items()
    )
    return doses and any(_usual_air(name, materials) for name, share in mix.aggregate.items() if share > 0.0)


def usual_air(mix: Mix, materials: Mapping[str, Material], other_air: float) -> tuple[float, float] | None:
    """Usual low and high air of a mix of light aggregate with an air entrainer; None for any other mix.

    other_air  air fraction of a mix of the other aggregate alone; aggregates are weighted by loose volume
    """
    if not air_entrained(mix, materials):
        return None
    bands = [(share, _usual_air(name, materials) or (other_air, other_air)) for name, share in mix.aggregate.items()]
    return sum(share * band[0] for share, band in bands), sum(share * band[1] for share, band in bands)


def _usual_air(name: str, materials: Mapping[str, Material]) -> tuple[float, float] | None:
    return materials[name].usual_air if name in materials else None


def _ratio_warnings(mix: Mix) -> Iterator[Notice]:
    low, high = WATER_CEMENTITIOUS_USUAL
    if below(mix.water_cementitious, low) or above(mix.water_cementitious, high):
        ratios = {"ratio": f"{mix.water_cementitious:.3g}", "low": f"{low:.2f}", "high": f"{high:.2f}"}
        yield Notice("ratio-unusual", message("warning-water-unusual", **ratios))
    sand = (1.0 - mix.cementitious_share) / mix.cementitious_share
    if above(sand, SAND_CEMENTITIOUS_MOST):
        ratios = {"ratio": f"{sand:.3g}", "most": f"{SAND_CEMENTITIOUS_MOST:g}"}
        yield Notice("ratio-unusual", message("warning-sand-unusual", **ratios))


def _dose_warnings(mix: Mix, materials: Mapping[str, Material], recipe: Recipe) -> Iterator[Notice]:
    fibre = _by_role(recipe, "fibre") / recipe.counted_dry_kg
    if above(fibre, FIBRE_PER_COUNTED_DRY_USEFUL):
        yield Notice(
            "fiber-excess",
            message("warning-fiber-excess", fiber_share=fibre, useful_share=FIBRE_PER_COUNTED_DRY_USEFUL),
        )
    pigment = _by_role(recipe, "pigment") / recipe.cementitious_kg
    if above(pigment, PIGMENT_PER_CEMENTITIOUS_MOST):
        yield Notice(
            "pigment-excess",
            message("warning-pigment-excess", pigment_share=pigment, limit_share=PIGMENT_PER_CEMENTITIOUS_MOST),
        )
    fibre_basis = "basis-counted-dry" if mix.fibre_basis == "counted-dry" else "basis-total"
    for doses, basis in (
        (mix.admixtures, "basis-cementitious"),
        (mix.polymer, "basis-solids"),
        (mix.pigment, "basis-cementitious"),
        (mix.fibre, fibre_basis),
    ):
        for name, dose in doses.items():
            yield from _range_warnings(materials[name], dose, basis)


def _range_warnings(material: Material, dose: float, basis: str) -> Iterator[Notice]:
    low, high = material.dose_low, material.dose_high
    limits = []
    if dose > 0.0 and low is not None and below(dose, low):
        limits.append(("warning-dosage-low", low))
    if high is not None and above(dose, high):
        limits.append(("warning-dosage-high", high))
    for id, limit in limits:
        outside = message(
            id, material_name=material.label, dose=f"{dose:.3%}", basis=message(basis), limit=f"{limit:.3%}"
        )
        yield Notice("dosage-out-of-range", outside)


def _stock_warnings(mix: Mix, materials: Mapping[str, Material]) -> Iterator[Notice]:
    for name, share in mix.aggregate.items():
        material = materials[name]
        if share == 0.0:
            continue
        if material.absorption >= ABSORPTION_TO_SOAK_FOR and material.moisture < material.absorption:
            yield Notice(
                "absorbent-aggregate",
                message(
                    "warning-absorbent",
                    material_name=material.label,
                    absorption_share=material.absorption,
                    moisture_share=material.moisture,
                ),
            )
        if material.kind == "sand" and material.moisture > MOISTURE_THAT_BULKS:
            yield Notice(
                "damp-sand",
                message("warning-damp-sand", material_name=material.label, moisture_share=material.moisture),
            )
    for role in (mix.cementitious, mix.admixtures, mix.polymer, mix.pigment, mix.fibre):
        for name in role:
            if materials[name].moisture > 0.0 or materials[name].absorption > 0.0:
                text = message("warning-moisture-not-counted", material_name=materials[name].label)
                yield Notice("moisture-not-counted", text)


def _air_warnings(mix: Mix, materials: Mapping[str, Material]) -> Iterator[Notice]:
    if air_entrained(mix, materials):
        if not mix.density_weighed:
            yield Notice(
                "density-not-weighed",
                message("warning-density-not-weighed", tolerance_share=DENSITY_TOLERANCE_OF_ENTRAINED),
            )
        if mix.first_crack_strength_pa is None:
            yield Notice(
                "entrained-untested",
                message("warning-entrained-untested"),
            )
        return
    bare = [
        materials[name].label for name, share in mix.aggregate.items() if share > 0.0 and _usual_air(name, materials)
    ]
    if bare and not mix.density_weighed:
        yield Notice(
            "air-unusual",
            message("warning-air-unusual", material_names=bare, air_share=mix.air),
        )


def _flow_warnings(mix: Mix, materials: Mapping[str, Material]) -> Iterator[Notice]:
    if not mix.consistency and holds_beads(mix, materials) and flows(mix, materials):
        yield Notice(
            "beads-may-float",
            message("warning-beads-may-float", ratio=f"{mix.water_cementitious:.2f}"),
        )


def _by_role(recipe: Recipe, role: str) -> float:
    return sum(ingredient.product_kg for ingredient in recipe.ingredients if ingredient.role == role)
