"""`--for`: the size of a batch as a caster says it."""

import re
from collections.abc import Callable, Mapping

from estimator.errors import Fault, InputError
from estimator.intake.faults import nearest
from estimator.job import Material
from estimator.mix import MadeMix, MixError, Recipe
from estimator.mix.shown import recipe_for
from estimator.units import UnitsError, read_any, read_quantity

_OPTION = "--for"
_EXAMPLES = 'Write "100 lb counted", "100 lb total", "2 ft^3", "3 bags of white-cement" or "pieces C1,C2".'
_OF = re.compile(r"(?P<count>[\d./ -]+)\s*(?P<unit>[A-Za-z][A-Za-z -]*?)\s+of\s+(?P<name>\S+)")


def batch_of_size(
    text: str, made: MadeMix, materials: Mapping[str, Material], pieces_m3: Callable[[list[str]], float]
) -> Recipe:
    """The recipe of a batch by counted dry mass, total mass, finished volume, packs or mass of one material, or pieces.

    pieces_m3   volume to mix for the pieces of these marks, of all where there are none
    Raises InputError that says what was not understood.
    """
    said = " ".join(text.split())
    try:
        if said == "pieces" or said.startswith("pieces "):
            marks = [mark.strip() for mark in said.removeprefix("pieces").split(",") if mark.strip()]
            return recipe_for(made, finished_m3=pieces_m3(marks))
        if found := _OF.fullmatch(said):
            return recipe_for(made, material_kg=(found["name"], _material_kg(said, found, made, materials)))
        head, _, last = said.rpartition(" ")
        if last == "counted":
            return recipe_for(made, counted_dry_kg=read_quantity(head, "mass"))
        if last == "total":
            return recipe_for(made, total_kg=read_quantity(head, "mass"))
        kind, value = read_any(said)
        if kind == "volume":
            return recipe_for(made, finished_m3=value)
        if kind == "mass":
            raise _fault(f'"{said}" of what?', f'Write "{said} counted" (dry, as if all sand) or "{said} total".')
    except UnitsError as error:
        raise _fault(error.what, error.fix) from None
    except MixError as error:
        raise _fault(error.what, error.fix) from None
    raise _fault(f'"{said}" is no size of a batch.', _EXAMPLES)


def _material_kg(said: str, found: re.Match[str], made: MadeMix, materials: Mapping[str, Material]) -> float:
    """Mass of so many packs of a material, or of a mass of it."""
    name, unit = found["name"], found["unit"].strip()
    if made.recipe_kg_m3.get(name, 0.0) <= 0.0:
        raise _fault(f"{name} is not in {made.name}.", nearest(name, made.recipe_kg_m3))
    packs = {pack.name: pack for pack in materials[name].packs} if name in materials else {}
    pack = packs.get(unit) or packs.get(unit.removesuffix("s"))
    if pack is None:
        try:
            return read_quantity(f"{found['count']} {unit}", "mass")
        except UnitsError:
            fix = f"It is sold by the {' and the '.join(packs)}." if packs else "Write a mass."
            raise _fault(f'"{said}": {name} has no pack named {unit}.', fix) from None
    if pack.mass_kg is None:
        raise _fault(f'"{said}": the mass of that pack is not known.', "Give the pack its mass.")
    try:
        count = read_quantity(f"{found['count'].strip()} kg", "mass")  # the grammar of numbers, fractions in
    except UnitsError as error:
        raise _fault(error.what, _EXAMPLES) from None
    return count * pack.mass_kg


def _fault(what: str, fix: str) -> InputError:
    return InputError([Fault(_OPTION, "", what, fix)])
