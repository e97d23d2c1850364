"""Will a flat piece crack on its way: each way of holding it against the tested first-crack strength of its mixes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from estimator.bounds import STANDARD_GRAVITY_M_S2
from estimator.handling.bending import (
    CARRIES,
    TILT,
    Advice,
    Carry,
    CarryCheck,
    check_carry,
    handling_advice,
    thickness_for,
)
from estimator.handling.doubts import Doubt
from estimator.handling.plates import LoadedPlate
from estimator.handling.rigging import TWO_POINT_PART
from estimator.handling.sections import (
    HIGH_SIDES,
    Attitude,
    EdgeUp,
    FlatPiece,
    Stretch,
    edge_up,
    span_of,
    stretches_of_slab,
)
from estimator.handling.strength import FirstCrack, Strength, worst_strength
from estimator.workshop import HandlingSettings
from geometry import shapes
from geometry.arrays import Vector
from geometry.sections import Section, weakest_section
from geometry.solid import Solid


@dataclass(frozen=True, slots=True)
class Cracking:
    """Bending of one piece for each way of holding it.

    planned             attitudes in which the workshop means to carry it
    first_crack         what its mixes have shown
    axis                of the piece's own plan along which it is carried; None where bending is not worked out
    weakest             the net section of least modulus lying flat, measured from the solid: strips, place, modulus
    stretches           net cross-sections along it, on the high side of its weight
    inserts             (position along it m, mass kg)
    narrowest_strip_m   beside a cut-out
    thickness_m         at which the plate alone would stand the flat carry by its ends; None untested or not a plate
    assumptions         what was left out or taken
    """

    checks: tuple[CarryCheck, ...]
    planned: tuple[Attitude, ...]
    first_crack: FirstCrack
    axis: int | None
    weakest: Section | None
    weakest_at_m: float | None  # along the carried length
    stretches: tuple[Stretch, ...]
    inserts: tuple[tuple[float, float], ...]
    plate: LoadedPlate | None
    cored: bool
    narrowest_strip_m: float | None
    thickness_m: float | None
    advice: tuple[Advice, ...]
    assumptions: tuple[str, ...]

    def is_planned(self, check: CarryCheck) -> bool:
        """Whether the piece is moved so: a piece carried on edge is tilted up first."""
        if check.carry.move == "tilt":
            return "edge" in self.planned
        return check.carry.attitude in self.planned

    @property
    def not_shown(self) -> tuple[CarryCheck, ...]:
        """Checks of the planned attitudes that are not shown to be safe."""
        return tuple(check for check in self.checks if self.is_planned(check) and not check.shown_safe)

    @property
    def too_young(self) -> tuple[CarryCheck, ...]:
        """Checks of the planned attitudes that are shown to be safe later, but not when the form is stripped."""
        strip_pa = self.first_crack.strip_pa
        return tuple(
            check
            for check in self.checks
            if self.is_planned(check)
            and check.shown_safe
            and (strip_pa is None or strip_pa < check.required_factor * check.stress_pa)
        )

    @property
    def shown_safe(self) -> bool:
        """Whether every way of holding it in a planned attitude is shown to be safe, from the strip on."""
        return bool(self.checks) and not self.not_shown and not self.too_young

    @property
    def strength(self) -> Strength:
        """The worst of the planned ways of moving it; a strength tested too late is no test for the strip."""
        if not self.checks or self.too_young:
            return "untested" if not self.not_shown else worst_strength(check.strength for check in self.not_shown)
        return worst_strength(check.strength for check in self.checks if self.is_planned(check))

    @property
    def doubts(self) -> tuple[Doubt, ...]:
        """What is not shown to be safe of the planned ways of moving it."""
        if self.cored:
            return (Doubt("bending-over-core"),)
        if not self.checks:
            return (Doubt("bending-not-checked"),)
        if self.first_crack.later_pa is None:
            thin_m = self.first_crack.thin_coupons_m
            return (Doubt("carry-untested") if thin_m is None else Doubt("coupons-too-thin", value=thin_m),)
        found = [Doubt("carry-not-enough", check.carry.name) for check in self.not_shown]
        if self.too_young and self.first_crack.age_d is not None:
            found.append(Doubt("carry-too-young", value=self.first_crack.age_d))
        return tuple(found)


def cracking_of(
    shape: shapes.Shape,
    solid: Solid,
    flat: FlatPiece | None,
    cast_high_kg: float,
    placed: Sequence[tuple[Vector, float]],
    first_crack: FirstCrack,
    planned: tuple[Attitude, ...],
    settings: HandlingSettings,
    *,
    cored: bool = False,
) -> Cracking:
    """Every usual way of carrying a piece, checked at its weakest net section.

    flat            the piece as a plate, or None for a shape that is none: a trough or a moulding bends as a beam, of
                    any other nothing is shown
    cast_high_kg    high-side weight of the concrete when it is lifted first, kg
    placed          inserts: (where in the shape's own axes m, mass kg)
    first_crack     what its mixes have shown
    cored           whether something light is cast in, of which nobody knows how far it reaches: then nothing is shown

    Sections of the kernel know plate, openings and deeper strips; the weakest one lying flat is measured from the
    solid as well, where ribs, tapers, rims and worked edges count, and the worse of the two rules there.
    The cross-sections weigh together what the piece weighs. A hand carry is taken with the workshop's dynamic factor
    in the yard.
    """
    if cored:
        first_crack = FirstCrack(None, None, None, None)
    plate = None
    if flat is None:
        span = span_of(shape)
        if span is None:
            return Cracking((), planned, first_crack, None, None, None, (), (), None, cored, None, None, (), ())
        axis, bare, ignored = span.axis, span.stretches, span.ignored
        weakest, weakest_at_m = None, None
    else:
        axis, ignored = 1 if flat.turned else 0, flat.ignored
        bare = stretches_of_slab(flat.outline, flat.cutouts, flat.thickness_m, 1.0, flat.drops)
        weakest, weakest_at_m = weakest_lying_flat(shape, flat)
    stretches = _weighing(bare, cast_high_kg)
    length_m, start_m = stretches[-1].to_m, solid.lowest_m[axis]
    inserts = [(min(max(at[axis] - start_m, 0.0), length_m), mass_kg) for at, mass_kg in placed]
    measured: tuple[tuple[float, float], ...] = ()
    if weakest is not None and weakest_at_m is not None:
        measured = ((weakest_at_m, weakest.least_modulus_m3),)
    dynamic, required = settings.dynamic_yard, settings.crack_factor
    checks = [
        check_carry(
            stretches,
            carry,
            first_crack.later_pa,
            dynamic_factor=dynamic,
            required_factor=required,
            inserts=inserts,
            measured=measured if carry.attitude == "flat" else (),
        )
        for carry in CARRIES
        if not _tips(carry, length_m, stretches, inserts) and _is_carried(shape, carry)
    ]
    if flat is not None:
        seats = tuple((flat.seen(at), mass_kg) for at, mass_kg in placed)
        plate = LoadedPlate(flat, cast_high_kg, seats, measured)
        checks.append(_tilt(plate, stretches, edge_up(flat, shape), first_crack, dynamic, required))
    advice = handling_advice(
        checks,
        narrowest_strip_m=None if flat is None else flat.narrowest_strip_m,
        has_cutout=flat is not None and bool(flat.cutouts),
        narrow_m=settings.strip_least_m,
    )
    flat_by_ends = checks[0]
    plain = flat is not None and not flat.cutouts and not flat.drops
    assumptions = [f"{what}: not counted in the bending" for what in ignored]
    if first_crack.assumption:
        assumptions.append(first_crack.assumption)
    return Cracking(
        tuple(checks),
        planned,
        first_crack,
        axis,
        weakest,
        weakest_at_m,
        stretches,
        tuple(inserts),
        plate,
        cored,
        None if flat is None else flat.narrowest_strip_m,
        thickness_for(flat_by_ends, flat.thickness_m) if plain and flat is not None else None,
        advice,
        tuple(assumptions),
    )


def _tilt(
    plate: LoadedPlate,
    stretches: Sequence[Stretch],
    up: EdgeUp,
    first_crack: FirstCrack,
    dynamic: float,
    required: float,
) -> CarryCheck:
    """The piece tilted up about a long edge: across between floor and hands, or along between the two pairs of hands.

    Half of the weight is in the hands, at 0.207 of the length from each end, and the half of the plate that goes up
    resists it: beside a cut-out that is the upper rail alone.
    """
    width_m = plate.flat.width_m
    across = check_carry(
        _weighing(plate.stretches[1], plate.weight_kg),
        TILT,
        first_crack.later_pa,
        dynamic_factor=dynamic,
        required_factor=required,
        inserts=[(min(max(at[1], 0.0), width_m), mass_kg) for at, mass_kg in plate.inserts],
    )
    held = replace(TILT, first_part=TWO_POINT_PART, second_part=1.0 - TWO_POINT_PART)
    length_m = stretches[-1].to_m
    seats = [(min(max(at[0], 0.0), length_m), mass_kg / 2.0) for at, mass_kg in plate.inserts]
    upper = [_upper_half(each, width_m, high=up in HIGH_SIDES) for each in stretches]
    if _tips(held, length_m, upper, seats):
        return across
    along = check_carry(
        upper, held, first_crack.later_pa, dynamic_factor=dynamic, required_factor=required, inserts=seats
    )
    return max((across, replace(along, carry=TILT)), key=lambda check: check.stress_pa)


def _upper_half(stretch: Stretch, width_m: float, *, high: bool) -> Stretch:
    """Half of the weight of a stretch on what of it lies in the half of the plate that goes up."""
    low_m, high_m = (width_m / 2.0, width_m) if high else (0.0, width_m / 2.0)
    parts = tuple(
        replace(part, y0=max(part.y0, low_m), y1=min(part.y1, high_m))
        for part in stretch.parts
        if min(part.y1, high_m) - max(part.y0, low_m) > 1e-6
    )
    # where an opening takes the whole half, what is left of the section carries
    return replace(stretch, parts=parts or stretch.parts, n_per_m=stretch.n_per_m / 2.0)


def _is_carried(shape: shapes.Shape, carry: Carry) -> bool:
    """A trough is not carried on its side."""
    beam = shape.beam()
    return carry.attitude != "edge" or beam is None or beam.on_edge


def weakest_lying_flat(shape: shapes.Shape, flat: FlatPiece) -> tuple[Section, float]:
    """The section of least modulus across the carried length, measured from the solid, and where along it that is."""
    section = weakest_section(shape, "y" if flat.turned else "x")
    at_m = section.at_m - flat.corner_m[1 if flat.turned else 0]
    return section, min(max(at_m, 0.0), flat.length_m)


def check_between(
    cracking: Cracking, name: str, first_m: float, second_m: float, load_factor: float, settings: HandlingSettings
) -> CarryCheck | None:
    """Bending, when stripped, of a piece held at two places along it, its weight times `load_factor`; or None."""
    if not cracking.stretches:
        return None
    length_m = cracking.stretches[-1].to_m
    carry = Carry(name, "flat", first_m / length_m, second_m / length_m)
    return check_carry(
        cracking.stretches,
        carry,
        cracking.first_crack.strip_pa,
        dynamic_factor=max(1.0, load_factor),
        required_factor=settings.crack_factor,
        inserts=cracking.inserts,
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
