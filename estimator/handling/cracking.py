"""Will a flat piece crack on its way: each way of holding it against the tested first-crack strength of its mixes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from estimator.bounds import STANDARD_GRAVITY_M_S2
from estimator.handling.bending import (
    CARRIES,
    NOT_SHOWN,
    UNTESTED,
    Carry,
    CarryCheck,
    check_carry,
    handling_advice,
    thickness_for,
)
from estimator.handling.flat import FlatPiece
from estimator.handling.sections import Attitude, Stretch, stretches_of_slab
from geometry import shapes
from geometry.sections import Section, weakest_section

NOT_WORKED_OUT = "bending of this shape is not worked out: not shown to be safe"


@dataclass(frozen=True, slots=True)
class Cracking:
    """Bending of one piece for each way of holding it.

    planned             attitudes in which the workshop means to carry it
    first_crack_pa      lowest tested value of its mixes; None: untested
    weakest             the net section of least modulus lying flat, measured from the solid: strips, place, modulus
    stretches           net cross-sections along it, on the high side of its weight
    narrowest_strip_m   beside a cut-out
    thickness_m         at which the plate alone would stand the flat carry by its ends; None untested or not a plate
    assumptions         what was left out or taken
    """

    checks: tuple[CarryCheck, ...]
    planned: tuple[Attitude, ...]
    first_crack_pa: float | None
    weakest: Section | None
    weakest_at_m: float | None  # along the carried length
    stretches: tuple[Stretch, ...]
    narrowest_strip_m: float | None
    thickness_m: float | None
    advice: tuple[str, ...]
    assumptions: tuple[str, ...]

    @property
    def not_shown(self) -> tuple[CarryCheck, ...]:
        """Checks of the planned attitudes that are not shown to be safe."""
        return tuple(check for check in self.checks if check.carry.attitude in self.planned and not check.shown_safe)

    @property
    def shown_safe(self) -> bool:
        """Whether every way of holding it in a planned attitude is shown to be safe."""
        return bool(self.checks) and not self.not_shown

    @property
    def statements(self) -> tuple[str, ...]:
        """What the head of the lift sheet must say; empty where all is shown to be safe."""
        if not self.checks:
            return (NOT_WORKED_OUT,)
        if self.first_crack_pa is None:
            return (f"bending when carried: {UNTESTED}",)
        return tuple(f"{check.carry.name}: {NOT_SHOWN}" for check in self.not_shown)


def cracking_of(
    shape: shapes.Shape,
    flat: FlatPiece | None,
    cast_high_kg: float,
    inserts: Sequence[tuple[float, float]],
    first_crack_pa: float | None,
    planned: tuple[Attitude, ...],
    figures: Mapping[str, float],
) -> Cracking:
    """Every usual way of carrying a flat piece, checked at its weakest net section.

    flat            the piece, or None for a shape that is none: then nothing is shown
    cast_high_kg    high-side weight of the concrete when it is lifted first, kg
    inserts         (position along the piece m, mass kg)
    first_crack_pa  lowest tested lower value of the limit of proportionality of its mixes, Pa, or None

    Sections of the kernel know plate, openings and deeper strips; the weakest one lying flat is measured from the
    solid as well, where ribs, tapers, rims and worked edges count, and the worse of the two rules there.
    The cross-sections weigh together what the piece weighs. A hand carry is taken with the workshop's dynamic factor
    in the yard.
    """
    if flat is None:
        return Cracking((), planned, first_crack_pa, None, None, (), None, None, (), ())
    stretches = _weighing(
        stretches_of_slab(flat.outline, flat.cutouts, flat.thickness_m, 1.0, flat.drops), cast_high_kg
    )
    weakest, weakest_at_m = weakest_lying_flat(shape, flat)
    measured = () if weakest is None or weakest_at_m is None else ((weakest_at_m, weakest.least_modulus_m3),)
    checks = tuple(
        check_carry(
            stretches,
            carry,
            first_crack_pa,
            dynamic_factor=figures["handling.dynamic_yard"],
            required_factor=figures["handling.crack_factor"],
            inserts=inserts,
            measured=measured if carry.attitude == "flat" else (),
        )
        for carry in CARRIES
        if not _tips(carry, flat.length_m, stretches, inserts)
    )
    advice = handling_advice(
        checks,
        narrowest_strip_m=flat.narrowest_strip_m,
        has_cutout=bool(flat.cutouts),
        narrow_m=figures["handling.strip_least"],
    )
    flat_by_ends = checks[0]
    plain = not flat.cutouts and not flat.drops
    assumptions = [f"{what}: not counted in the bending" for what in flat.ignored]
    if first_crack_pa is not None:
        assumptions.append("the tested first-crack strength is taken to be reached when it is first lifted")
    return Cracking(
        checks,
        planned,
        first_crack_pa,
        weakest,
        weakest_at_m,
        stretches,
        flat.narrowest_strip_m,
        thickness_for(flat_by_ends, flat.thickness_m) if plain else None,
        advice,
        tuple(assumptions),
    )


def weakest_lying_flat(shape: shapes.Shape, flat: FlatPiece) -> tuple[Section | None, float | None]:
    """The section of least modulus across the carried length, measured from the solid, and where along it that is."""
    if not isinstance(shape, shapes.Slab | shapes.Panel | shapes.Outline):
        return None, None
    section = weakest_section(shape, "y" if flat.turned else "x")
    at_m = section.at_m - flat.corner_m[1 if flat.turned else 0]
    return section, min(max(at_m, 0.0), flat.length_m)


def check_between(
    cracking: Cracking, name: str, first_m: float, second_m: float, load_factor: float, figures: Mapping[str, float]
) -> CarryCheck | None:
    """Bending of a flat piece held at two places along it, its weight times `load_factor`; None for no plate."""
    if not cracking.stretches:
        return None
    length_m = cracking.stretches[-1].to_m
    carry = Carry(name, "flat", first_m / length_m, second_m / length_m)
    return check_carry(
        cracking.stretches,
        carry,
        cracking.first_crack_pa,
        dynamic_factor=max(1.0, load_factor),
        required_factor=figures["handling.crack_factor"],
        measured=[(cracking.weakest_at_m, cracking.weakest.least_modulus_m3)]
        if cracking.weakest is not None and cracking.weakest_at_m is not None
        else (),
    )


def _weighing(stretches: Sequence[Stretch], weight_kg: float) -> tuple[Stretch, ...]:
    """The stretches with their weights scaled so that they weigh together what the piece weighs."""
    total_n = sum(each.n_per_m * (each.to_m - each.from_m) for each in stretches)
    scale = weight_kg * STANDARD_GRAVITY_M_S2 / total_n
    return tuple(replace(each, n_per_m=each.n_per_m * scale) for each in stretches)


def _tips(carry: Carry, length_m: float, stretches: Sequence[Stretch], inserts: Sequence[tuple[float, float]]) -> bool:
    """Whether the piece would tip over a hold: so uneven that this way of holding it is no way at all."""
    loads = [(each.n_per_m * (each.to_m - each.from_m), (each.from_m + each.to_m) / 2.0) for each in stretches]
    loads += [(mass_kg * STANDARD_GRAVITY_M_S2, at_m) for at_m, mass_kg in inserts]
    centre_m = sum(n * at_m for n, at_m in loads) / sum(n for n, _ in loads)
    low_m, high_m = sorted((carry.first_part * length_m, carry.second_part * length_m))
    return not low_m <= centre_m <= high_m
