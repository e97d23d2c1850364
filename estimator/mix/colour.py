"""Pieces seen together must come out alike: what makes two mixes of one colour group differ."""

from collections.abc import Iterator, Mapping, Sequence

from estimator.job import Material, Mix

_ALIKE = 1e-9


def colour_differences(mixes: Sequence[Mix], materials: Mapping[str, Material]) -> tuple[str, ...]:
    """What differs between mixes of the same colour group, a line each: cementitious, sand, pigment, w/cm.

    Mixes without a group are left out. Beads lie inside the paste and do not colour it, so replacement may differ.
    """
    first: dict[str, Mix] = {}
    found: list[str] = []
    for mix in mixes:
        if not mix.colour_group:
            continue
        other = first.setdefault(mix.colour_group, mix)
        if other is not mix:
            found.extend(_differences(other, mix, materials))
    return tuple(found)


def _differences(one: Mix, other: Mix, materials: Mapping[str, Material]) -> Iterator[str]:
    pair = f"colour group {one.colour_group}: {one.name} and {other.name}"
    for what, doses, other_doses in (
        ("cement and pozzolan", one.cementitious, other.cementitious),
        ("pigment", one.pigment, other.pigment),
    ):
        for name in dict.fromkeys((*doses, *other_doses)):
            dose, other_dose = doses.get(name, 0.0), other_doses.get(name, 0.0)
            if abs(dose - other_dose) > _ALIKE:
                yield f"{pair} differ in {what}: {name} {dose:.3%} and {other_dose:.3%} of cementitious."
    sands, other_sands = _sands(one, materials), _sands(other, materials)
    if sands and other_sands and sands != other_sands:
        yield f"{pair} differ in sand: {', '.join(sorted(sands))} and {', '.join(sorted(other_sands))}."
    if abs(one.water_cementitious - other.water_cementitious) > _ALIKE:
        yield f"{pair} differ in w/cm: {one.water_cementitious:.3g} and {other.water_cementitious:.3g}."


def _sands(mix: Mix, materials: Mapping[str, Material]) -> frozenset[str]:
    return frozenset(name for name in mix.aggregate if materials[name].kind == "sand")
