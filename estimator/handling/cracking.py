"""Cracking in handling: bending for each way of holding a piece against the tested first-crack strength of its mix."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from estimator.constants import STANDARD_GRAVITY_M_S2
from estimator.handling.bending import (
    CARRIES,
    RAILS,
    TILT,
    Advice,
    Bend,
    Carry,
    CarryCheck,
    check_carry,
    handling_advice,
    thickness_for,
    worst_bend,
)
from estimator.handling.doubts import Doubt
from estimator.handling.plates import LoadedPlate
from estimator.handling.rigging import TWO_POINT_PART
from estimator.handling.sections import (
    HIGH_SIDES,
    EdgeUp,
    FlatPiece,
    Lie,
    Rectangle,
    Stretch,
    section_modulus,
    span_of,
    weakest_of,
)
from estimator.handling.series import Series
from estimator.handling.strength import FirstCrack, Strength, worst_strength
from estimator.workshop import HandlingSettings
from geometry import shapes
from geometry.arrays import Vector
from geometry.frozen import frozen
from geometry.message import Message, message
from geometry.sections import Section
from geometry.solid import Solid


@frozen
class CarriedBeam:
    """A piece as a beam along its carried length, at its high-side weight.

    axis           axis of the piece's plan along which it is carried
    bare           net cross-sections for unit density, or the plate that they are computed from
    weight_kg      high-side weight of the concrete, to which the cross-sections are scaled
    inserts        (position along it m, mass kg)
    weakest        net section of least modulus lying flat, measured from the solid; None unless it is a plate
    weakest_at_m   position of that section along the carried length
    ignored        features not counted in bending
    on_edge        whether it may be carried on edge
    """

    axis: int
    bare: FlatPiece | tuple[Stretch, ...]
    weight_kg: float
    inserts: tuple[tuple[float, float], ...]
    weakest: Section | None
    weakest_at_m: float
    ignored: tuple[Message, ...]
    on_edge: bool

    @property
    def stretches(self) -> tuple[Stretch, ...]:
        """Net cross-sections along it with their weights, computed on every access."""
        bare = self.bare.stretches if isinstance(self.bare, FlatPiece) else self.bare
        return _weighing(bare, self.weight_kg)

    def check(
        self,
        stretches: Sequence[Stretch],
        carry: Carry,
        first_crack_pa: float | None,
        dynamic_factor: float,
        required_factor: float,
    ) -> CarryCheck:
        """Largest bending tension for one way of holding, including the measured section if the piece lies flat.

        stretches   `self.stretches`, computed once by the caller
        """
        measured: tuple[tuple[float, float], ...] = ()
        if self.weakest is not None and carry.attitude == "flat":
            measured = ((self.weakest_at_m, self.weakest.least_modulus_m3),)
        return check_carry(
            stretches,
            carry,
            first_crack_pa,
            dynamic_factor=dynamic_factor,
            required_factor=required_factor,
            inserts=self.inserts,
            measured=measured,
        )


def carried_beam(
    shape: shapes.Shape,
    solid: Solid,
    flat: FlatPiece | None,
    cast_high_kg: float,
    placed: Sequence[tuple[Vector, float]],
) -> CarriedBeam | None:
    """Beam of a carried piece: a plate along its longer side, a trough or molding along its length; otherwise None.

    cast_high_kg   high-side weight of the concrete at the first lift, kg
    placed         inserts: (position in the shape's coordinates m, mass kg)

    The computed sections include plate, openings and deeper strips. The weakest one lying flat is also measured from
    the solid, with ribs, tapers, rims and edge profiles, and the worse of the two governs. The weights of the
    cross-sections are scaled to the weight of the piece.
    """
    weakest, weakest_at_m = None, 0.0
    bare: FlatPiece | tuple[Stretch, ...]
    if flat is None:
        span = span_of(shape)
        if span is None:
            return None
        axis, bare, ignored = span.axis, span.stretches, span.ignored
    else:
        axis, ignored = 1 if flat.turned else 0, flat.ignored
        bare, weakest = flat, weakest_of(flat, shape)
        weakest_at_m = min(max(weakest.at_m - flat.corner_m[axis], 0.0), flat.length_m)
    length_m = bare.length_m if isinstance(bare, FlatPiece) else bare[-1].to_m
    inserts = _along([(at[axis] - solid.lowest_m[axis], mass_kg) for at, mass_kg in placed], length_m)
    beam = shape.beam()
    return CarriedBeam(axis, bare, cast_high_kg, inserts, weakest, weakest_at_m, ignored, beam is None or beam.on_edge)


def loaded_plate(
    flat: FlatPiece, beam: CarriedBeam, cast_high_kg: float, placed: Sequence[tuple[Vector, float]]
) -> LoadedPlate:
    """The piece as a plate that bends in both directions; arguments as in `carried_beam`."""
    measured = () if beam.weakest is None else ((beam.weakest_at_m, beam.weakest.least_modulus_m3),)
    return LoadedPlate(flat, cast_high_kg, tuple((flat.seen(at), mass_kg) for at, mass_kg in placed), measured)


def _along(masses: Sequence[tuple[float, float]], length_m: float) -> tuple[tuple[float, float], ...]:
    """Clamp (position m, mass kg) to the length of the piece."""
    return tuple((min(max(at_m, 0.0), length_m), mass_kg) for at_m, mass_kg in masses)


@frozen
class Cracking:
    """Bending of one piece for each way of holding it.

    planned       attitudes in which the shop plans to carry it
    first_crack   tested strength of its mixes
    beam          the piece as a beam; None if bending is not computed
    cored         whether a lightweight core of unknown extent is cast in, so that nothing can be shown
    advice        advice if a flat carry is not shown to be safe
    """

    checks: tuple[CarryCheck, ...]
    planned: tuple[Lie, ...]
    first_crack: FirstCrack
    beam: CarriedBeam | None
    plate: LoadedPlate | None
    cored: bool
    advice: tuple[Advice, ...]

    @property
    def narrowest_rail_m(self) -> float | None:
        """Width of the narrowest rail beside a cut-out; None without cut-outs."""
        return None if self.plate is None else self.plate.flat.narrowest_rail_m

    @property
    def thickness_m(self) -> float | None:
        """Thickness at which a plain plate could be carried flat by its ends; None if untested or not plain."""
        if self.plate is None or self.plate.flat.cutouts or self.plate.flat.drops:
            return None
        return thickness_for(self.checks[0], self.plate.flat.thickness_m)

    @property
    def assumptions(self) -> tuple[Message, ...]:
        """Features not counted, and the assumption behind the strength."""
        if self.beam is None:
            return ()
        ignored = tuple(message("not-in-bending", what=what) for what in self.beam.ignored)
        return (*ignored, self.first_crack.assumption) if self.first_crack.assumption else ignored

    @property
    def planned_checks(self) -> list[CarryCheck]:
        """Checks of the planned moves; a piece carried on edge is tilted up first."""
        planned, on_edge = self.planned, "edge" in self.planned
        return [
            check
            for check in self.checks
            if check.carry.move == "rails"
            or (on_edge if check.carry.move == "tilt" else check.carry.attitude in planned)
        ]

    @property
    def not_shown(self) -> tuple[CarryCheck, ...]:
        """Checks of the planned attitudes that are not shown to be safe."""
        return tuple([check for check in self.planned_checks if not check.shown_safe])

    @property
    def too_young(self) -> tuple[CarryCheck, ...]:
        """Checks of the planned attitudes that are shown to be safe later, but not at stripping."""
        strip_pa = self.first_crack.strip_pa
        return tuple(
            check
            for check in self.planned_checks
            if check.shown_safe and (strip_pa is None or strip_pa < check.required_factor * check.stress_pa)
        )

    @property
    def shown_safe(self) -> bool:
        """Whether every planned way of holding it is shown to be safe, from stripping on."""
        if self.first_crack.later_pa is None:
            return False
        return bool(self.checks) and not self.not_shown and not self.too_young

    @property
    def strength(self) -> Strength:
        """Worst verdict of the planned moves. A strength tested at a later age does not count for stripping."""
        if self.first_crack.later_pa is None:
            return "untested"
        if not self.checks or self.too_young:
            return "untested" if not self.not_shown else worst_strength(check.strength for check in self.not_shown)
        return worst_strength([check.strength for check in self.planned_checks])

    @property
    def doubts(self) -> tuple[Doubt, ...]:
        """Doubts about the planned moves."""
        if self.cored:
            return (Doubt("bending-over-core"),)
        if not self.checks:
            return (Doubt("bending-not-checked"),)
        if self.first_crack.later_pa is None:
            thin_m = self.first_crack.thin_coupons_m
            return (Doubt("carry-untested") if thin_m is None else Doubt("coupons-too-thin", value=thin_m),)
        doubts = [Doubt("carry-not-enough", check.carry.name) for check in self.not_shown]
        if self.too_young and self.first_crack.age_d is not None:
            doubts.append(Doubt("carry-too-young", value=self.first_crack.age_d))
        return tuple(doubts)


def cracking_of(
    beam: CarriedBeam | None,
    plate: LoadedPlate | None,
    up: EdgeUp | None,
    first_crack: FirstCrack,
    planned: tuple[Lie, ...],
    settings: HandlingSettings,
    *,
    cored: bool,
) -> Cracking:
    """Check all common ways of carrying a piece at its weakest net section.

    beam, plate   the piece as a beam, and as a plate if it is one; without a beam nothing can be shown
    up            side of a plate that goes up when it is tilted
    first_crack   tested strength of its mixes
    cored         whether a lightweight core of unknown extent is cast in, so that nothing can be shown

    Carrying by hand uses the shop's dynamic factor for the yard.
    """
    if cored:
        first_crack = FirstCrack(None, None, None, None)
    if beam is None:
        return Cracking((), planned, first_crack, None, None, cored, ())
    factors, stretches = (settings.dynamic_yard, settings.crack_factor), beam.stretches
    checks = [
        beam.check(stretches, carry, first_crack.later_pa, *factors)
        for carry in CARRIES
        if (beam.on_edge or carry.attitude != "edge") and not _tips(carry, stretches[-1].to_m, stretches, beam.inserts)
    ]
    if plate is not None and up is not None:
        checks.append(_tilt(plate, stretches, up, first_crack.later_pa, *factors))
    if plate is not None:
        checks += _rails(plate, first_crack.later_pa, *factors)
    advice = handling_advice(
        checks,
        narrowest_rail_m=None if plate is None else plate.flat.narrowest_rail_m,
        has_cutout=plate is not None and bool(plate.flat.cutout_spans_m),
        narrow_m=settings.strip_least_m,
    )
    return Cracking(tuple(checks), planned, first_crack, beam, plate, cored, advice)


def crackings(
    series: Series,
    first_cracks: Sequence[FirstCrack],
    planned: Sequence[tuple[Lie, ...]],
    ups: Sequence[EdgeUp],
    settings: HandlingSettings,
) -> list[Cracking]:
    """`cracking_of` for every plate of a series."""
    checks = series.carry_checks(ups, [crack.later_pa for crack in first_cracks], settings)
    figures = (
        series.weight_kg.tolist(),
        series.weakest_sections(),
        series.weakest_at_m.tolist(),
        checks,
        first_cracks,
        planned,
    )
    results = []
    for flat, weight_kg, weakest, weakest_at_m, own, first_crack, lies in zip(series.flats, *figures, strict=True):
        advice = handling_advice(
            own,
            narrowest_rail_m=flat.narrowest_rail_m,
            has_cutout=bool(flat.cutouts),
            narrow_m=settings.strip_least_m,
        )
        axis = 1 if flat.turned else 0
        beam = CarriedBeam(axis, flat, weight_kg, (), weakest, weakest_at_m, flat.ignored, True)
        plate = LoadedPlate(flat, weight_kg, (), ((weakest_at_m, weakest.least_modulus_m3),))
        results.append(Cracking(own, lies, first_crack, beam, plate, False, advice))
    return results


def _tilt(
    plate: LoadedPlate,
    stretches: Sequence[Stretch],
    up: EdgeUp,
    first_crack_pa: float | None,
    dynamic_factor: float,
    required_factor: float,
) -> CarryCheck:
    """Check a piece tilted up about a long edge: across, between floor and hands, and along, between the holds.

    Half of the weight is in the hands, at 0.207 of the length from each end. The half of the plate that goes up resists
    the bending; beside a cut-out that is only the upper rail.
    """
    width_m, length_m = plate.flat.width_m, stretches[-1].to_m

    def check(along: Sequence[Stretch], carry: Carry, inserts: Sequence[tuple[float, float]]) -> CarryCheck:
        return check_carry(
            along,
            carry,
            first_crack_pa,
            dynamic_factor=dynamic_factor,
            required_factor=required_factor,
            inserts=inserts,
        )

    seats = _along([(at[1], mass_kg) for at, mass_kg in plate.inserts], width_m)
    across = check(_weighing(plate.stretches[1], plate.weight_kg), TILT, seats)
    held = replace(TILT, first_part=TWO_POINT_PART, second_part=1.0 - TWO_POINT_PART)
    halves = _along([(at[0], mass_kg / 2.0) for at, mass_kg in plate.inserts], length_m)
    upper = [_upper_half(stretch, width_m, high=up in HIGH_SIDES) for stretch in stretches]
    if _tips(held, length_m, upper, halves):
        return across
    along = check(upper, held, halves)._replace(carry=TILT)
    return max((across, along), key=lambda check: check.stress_pa)


def _rails(
    plate: LoadedPlate, first_crack_pa: float | None, dynamic_factor: float, required_factor: float
) -> Iterator[CarryCheck]:
    """Yield a check of the weaker rail beside each notch, as a cantilever under its own weight.

    Source: statics of a cantilever, q a²/2.
    """
    for notch in plate.flat.notches:
        along, across = (0, 1) if notch.along else (1, 0)
        stretches = _weighing(plate.stretches[along], plate.weight_kg)
        low_m, high_m = (extreme(point[along] for point in notch.ring) for extreme in (min, max))
        middle_m = sum(point[across] for point in notch.ring) / len(notch.ring)
        open_low = low_m < stretches[-1].to_m - high_m
        root_m = high_m if open_low else low_m
        beside = [stretch for stretch in stretches if low_m < (stretch.from_m + stretch.to_m) / 2.0 < high_m]
        bends = []
        for is_high in (False, True):
            rail = [(stretch, own) for stretch in beside if (own := _on_side(stretch, middle_m, is_high=is_high))]
            if not rail:
                continue
            moment_n_m = dynamic_factor * sum(
                stretch.weight_n * _area(own) / _area(stretch.parts) * abs((stretch.from_m + stretch.to_m) / 2 - root_m)
                for stretch, own in rail
            )
            modulus_m3 = section_modulus(rail[-1 if open_low else 0][1], "flat").least_m3
            bends.append(Bend(moment_n_m / modulus_m3, root_m, -moment_n_m, modulus_m3))
        if bends:
            worst = worst_bend(bends)
            yield CarryCheck(
                worst.stress_pa,
                first_crack_pa,
                required_factor,
                carry=RAILS,
                weight_kg=plate.weight_kg,
                moment_n_m=worst.moment_n_m,
                modulus_m3=worst.modulus_m3,
                at_m=worst.at_m,
            )


def _on_side(stretch: Stretch, middle_m: float, *, is_high: bool) -> tuple[Rectangle, ...]:
    """Rectangles of a stretch on one side of a notch; none if material spans the notch."""
    if any(part.y0 < middle_m < part.y1 for part in stretch.parts):
        return ()
    return tuple(part for part in stretch.parts if (part.y0 >= middle_m) == is_high)


def _area(parts: Sequence[Rectangle]) -> float:
    return sum(part.area_m2 for part in parts)


def _upper_half(stretch: Stretch, width_m: float, *, high: bool) -> Stretch:
    """Upper half of a stretch of a tilted plate: the rectangles in that half, with half of the weight."""
    low_m, high_m = (width_m / 2.0, width_m) if high else (0.0, width_m / 2.0)
    parts = tuple(
        Rectangle(max(part.y0, low_m), min(part.y1, high_m), part.z0, part.z1)
        for part in stretch.parts
        if min(part.y1, high_m) - max(part.y0, low_m) > 1e-6
    )
    # if an opening takes up the whole half, the rest of the section resists
    return Stretch(stretch.from_m, stretch.to_m, stretch.n_per_m / 2.0, parts or stretch.parts)


def check_between(
    cracking: Cracking, name: Message, first_m: float, second_m: float, load_factor: float, settings: HandlingSettings
) -> CarryCheck | None:
    """Bending at stripping of a piece held at two positions, under its weight times `load_factor`; None if unknown."""
    beam = cracking.beam
    if beam is None:
        return None
    stretches = beam.stretches
    length_m = stretches[-1].to_m
    carry = Carry(name, "flat", first_m / length_m, second_m / length_m)
    return beam.check(stretches, carry, cracking.first_crack.strip_pa, max(1.0, load_factor), settings.crack_factor)


def _weighing(stretches: Sequence[Stretch], weight_kg: float) -> tuple[Stretch, ...]:
    """Stretches with their weights scaled to the weight of the piece."""
    total_n = sum(stretch.weight_n for stretch in stretches)
    scale = weight_kg * STANDARD_GRAVITY_M_S2 / total_n
    return tuple(replace(stretch, n_per_m=stretch.n_per_m * scale) for stretch in stretches)


def _tips(carry: Carry, length_m: float, stretches: Sequence[Stretch], inserts: Sequence[tuple[float, float]]) -> bool:
    """Whether the piece would tip over a hold, so that it cannot be held in this way."""
    loads = [
        (stretch.n_per_m * (stretch.to_m - stretch.from_m), (stretch.from_m + stretch.to_m) / 2.0)
        for stretch in stretches
    ]
    loads += [(mass_kg * STANDARD_GRAVITY_M_S2, at_m) for at_m, mass_kg in inserts]
    center_m = sum(n * at_m for n, at_m in loads) / sum(n for n, _ in loads)
    low_m, high_m = sorted((carry.first_part * length_m, carry.second_part * length_m))
    return not low_m <= center_m <= high_m
