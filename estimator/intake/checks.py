"""Checks across tables: names that must stand elsewhere, and sizes that make sense.

Odd sizes are reported, those that nobody can cast are refused; limits are settings of the workshop, `sizes.*`.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import cache, partial
from itertools import combinations
from math import hypot
from typing import Any

import shapely

from estimator.errors import Fault, FaultError
from estimator.intake.build import WORKSHOP_PAYMENTS
from estimator.intake.documents import RawPiece
from estimator.intake.material_tables import AGGREGATES, PART_FORMS, WATER
from estimator.intake.tables import PieceTable
from estimator.job import SHARES_TOLERANCE, Insert, Piece, PriceTable
from estimator.names import first_spellings, folded, nearest
from estimator.notices import Notice
from estimator.site import Site
from estimator.units.formats import format_length
from estimator.units.table import Units
from estimator.workshop import QuoteSettings, Settings, value_of
from geometry import shapes
from geometry.cutouts import outlines_of
from geometry.frozen import frozen
from geometry.message import message
from geometry.plan import fine_polygon
from geometry.shape import Plate, measure

PAYMENT_FIGURES = ("deposit", "before_delivery", "on_install")
MIX_PARTS = {  # which kinds of material each part of a mix may name
    "cementitious": ("cement", "pozzolan"),
    "aggregate": ("sand", "light-aggregate"),
    "admixtures": ("admixture",),
    "polymer": ("polymer",),
    "pigment": ("pigment",),
    "fibre": ("fibre",),
}


def check_marks(pieces: Iterable[RawPiece], faults: list[Fault]) -> None:
    """Refuse a piece mark that stands twice, since every sheet goes by it."""
    by_mark: dict[str, list[RawPiece]] = {}
    for piece in pieces:
        if piece.mark is not None:
            by_mark.setdefault(folded(piece.mark), []).append(piece)
    for first, *others in by_mark.values():
        for piece in others[:1]:
            where = first.place if first.file == piece.file else f"{first.file}, {first.place}"
            repeated = (first.file, first.place) == (piece.file, piece.place)
            what = f"stands {len(others) + 1} times{'' if repeated else f', first in {where}'}."
            if first.mark != piece.mark:
                what += " Spaces and case don't make another mark."
            faults.append(Fault(piece.file, f"{piece.place}, mark", what, "Give each piece its own mark."))


def check_site(site: Site | None, marks: Iterable[str], file: str, faults: list[Fault]) -> None:
    """Refuse an order of setting that names a mark which the job has not, or names one twice."""
    known, seen = {folded(mark) for mark in marks}, set[str]()
    for mark in site.order if site is not None else ():
        if folded(mark) not in known:
            faults.append(Fault(file, "site.order", message("site-order-unknown", mark=mark)))
        elif folded(mark) in seen:
            faults.append(Fault(file, "site.order", message("site-order-twice", mark=mark)))
        seen.add(folded(mark))


def check_names(section: str, names: Iterable[str], file: str, faults: list[Fault]) -> None:
    """Refuse names of one table that differ only in spaces, case, dashes or Unicode form."""
    for name, first in first_spellings(names).items():
        if name != first:
            what = f'is "{first}" in another spelling, and both stand in the job or its catalog.'
            faults.append(Fault(file, f"{section} {name}", what, f'Write "{first}", or give it a name of its own.'))


def check_mix(
    name: str,
    mix: Mapping[str, Any],
    kinds: Mapping[str, str],
    file: str,
    faults: list[Fault],
) -> None:
    """Refuse materials that do not exist or do not belong in their part of the mix, and an open reference sand.

    mix     as the file writes it, whatever else may be wrong with it
    kinds   the kind of each material by name
    """

    def refuse(key: str, what: str, fix: str) -> None:
        faults.append(Fault(file, f"mix {name}, {key}", what, fix))

    for part, allowed in MIX_PARTS.items():
        for material in _names(mix.get(part)):
            if material not in kinds:
                refuse(part, f'there is no material "{material}".', nearest(material, kinds))
            elif kinds[material] not in allowed:
                what = f"is a {kinds[material]}, not a {' or '.join(allowed)}."
                refuse(f"{part}.{material}", what, "Move it to its own part of the mix, or correct its kind.")
    for form in PART_FORMS:
        for material in _names(mix.get(form)):
            if material == WATER:
                continue
            if material not in kinds:
                refuse(form, f'there is no material "{material}".', nearest(material, kinds))
            elif kinds[material] in ("water", "consumable"):
                refuse(f"{form}.{material}", f"is a {kinds[material]}.", "Leave it out of the mix.")
    swap = mix.get("replacement")
    for key in ("sand", "bead"):
        named = swap.get(key) if isinstance(swap, dict) else None
        if isinstance(named, str) and named not in kinds:
            refuse(f"replacement.{key}", f'there is no material "{named}".', nearest(named, kinds))
    _check_reference_sand(mix, kinds, refuse)


def _check_reference_sand(
    mix: Mapping[str, Any], kinds: Mapping[str, str], refuse: Callable[[str, str, str], None]
) -> None:
    """Refuse a mix whose reference sand is neither named nor its only sand."""
    parts = [name for form in PART_FORMS for name in _names(mix.get(form))]
    aggregate = [name for name in (*_names(mix.get("aggregate")), *parts) if kinds.get(name) in AGGREGATES]
    reference = mix.get("reference_sand")
    sands = [name for name in aggregate if kinds.get(name) == "sand"]
    if isinstance(reference, str) and kinds.get(reference) != "sand":
        known = [name for name, kind in kinds.items() if kind == "sand"]
        refuse("reference_sand", f'"{reference}" is not a sand.', nearest(reference, known))
    elif reference is None and aggregate and len(sands) != 1:
        held = "no sand" if not sands else "more than one sand"
        what = f"is missing: the mix has {held}, so which loose volume counts is open."
        fix = 'Name the sand that is replaced, such as reference_sand = "silica-sand".'
        refuse("reference_sand", what, fix)


def _names(blend: Any) -> list[str]:
    return list(blend) if isinstance(blend, dict) else []


def check_piece(
    entry: str,
    table: PieceTable,
    job_mix: str | None,
    mixes: Iterable[str],
    file: str,
    faults: list[Fault],
) -> None:
    """Refuse a piece without a mix, and mixes that do not exist."""
    known = list(mixes)
    if table.layers is not None:
        named = [(f"layers[{i}].mix", layer.mix) for i, layer in enumerate(table.layers)]
    elif table.mix is not None:
        named = [("mix", table.mix)]
    elif job_mix is not None:
        named = []
    else:
        faults.append(
            Fault(file, f"{entry}, mix", "names no mix, and the job has none.", "Add `mix` to the piece or to [job].")
        )
        return
    for key, mix in named:
        if mix not in known:
            faults.append(Fault(file, f"{entry}, {key}", f'there is no mix "{mix}".', nearest(mix, known)))


def check_payments(price: PriceTable, terms: QuoteSettings, file: str, faults: list[Fault]) -> None:
    """Refuse payments of unknown steps, and steps of the shop that do not make up the total where they count."""
    known = [step.name for step in price.payments] or [name for _, name, _ in WORKSHOP_PAYMENTS]
    for number, payment in enumerate(price.received, start=1):
        if payment.step is not None and payment.step not in known:
            place = f"price, received {number}, step"
            faults.append(
                Fault(file, place, f'there is no payment step "{payment.step}".', nearest(payment.step, known))
            )
    steps = {key: value_of(terms, key) for key in PAYMENT_FIGURES}
    whole = sum(steps.values())
    if not price.payments and abs(whole - 1.0) > SHARES_TOLERANCE:
        faults.append(
            Fault(
                file,
                "workshop.quote",
                f"the payment steps {', '.join(f'{key} {share:g}' for key, share in steps.items())} sum to {whole:.4g} "
                "of the total, not 1.",
                "Change one of them.",
            )
        )


TOUCHING_M = 1e-6  # nearer than this, an opening is open to the edge or one with its neighbor


def _in_units(length_m: float, units: Units) -> str:
    """A length in the job's units, to a tenth of a millimeter where it is next to nothing."""
    return f"{length_m * 1000:.3g} mm" if length_m < 0.002 else format_length(length_m, units)


@frozen
class SizeFinding:
    """One odd size of a piece: its key, what is odd of it, and for one that nobody can cast what to do."""

    key: str
    text: str
    fix: str | None = None


class SizeCheck:
    """The sizes of the pieces of a job, looked at once for each shape.

    shop      settings of the workshop
    units     in which lengths are shown
    """

    def __init__(self, shop: Settings, units: Units) -> None:
        self._shop, self._in_units = shop, partial(_in_units, units=units)
        self._of_shape = cache(lambda shape: tuple(self._findings(shape)))

    def __call__(self, piece: Piece, faults: list[Fault]) -> Iterator[Notice]:
        """Warns of every odd size of a piece, with its place, and adds a fault for each that cannot be cast."""
        for finding in (*self._of_shape(piece.shape), *self._inserts(piece)):
            place = f"{piece.place}, {finding.key}"
            if finding.fix is None:
                yield Notice("size-unusual", f"{piece.file}: {place}: {finding.text}")
            else:
                faults.append(Fault(piece.file, place, finding.text, finding.fix))

    def _findings(self, shape: shapes.Shape) -> Iterator[SizeFinding]:
        yield from self._dimensions(shape)
        if not self._is_usual(shape) and (plate := shape.plate()) is not None:
            yield from self._proportions(shape, plate)
            yield from self._narrow_rails(plate)

    def _is_usual(self, shape: shapes.Shape) -> bool:
        """Whether a rectangle is thinner than wide, and the boxes round its openings are no less than a usual rail from
        each other and from its edges: then there is nothing to say, and its outlines need not be drawn."""
        size_m, thickness_m = shape.rectangle_m, shape.cast_thickness_m
        if size_m is None or thickness_m is None or thickness_m > min(size_m):
            return False
        least_m = max(self._shop.sizes.rail_m, self._shop.sizes.rail_at_hole_m)
        boxes = shape.opening_bounds()
        inside = all(min(x0, y0, size_m[0] - x1, size_m[1] - y1) >= least_m for x0, y0, x1, y1 in boxes)
        return inside and all(
            max(a[0] - b[2], b[0] - a[2], a[1] - b[3], b[1] - a[3]) >= least_m for a, b in combinations(boxes, 2)
        )

    def _dimensions(self, shape: shapes.Shape) -> Iterator[SizeFinding]:
        in_units, sizes = self._in_units, self._shop.sizes
        longest, thinnest, castable = sizes.longest_m, sizes.thinnest_m, sizes.thinnest_cast_m
        for key, size in shape.extents():
            if size > longest:
                text = f"{in_units(size)} is longer than {in_units(longest)}. Is the unit right?"
                yield SizeFinding(_in_shape(key), text)
        for wall in shape.walls():
            key, thickness = _in_shape(wall.key), wall.thickness_m
            if thickness < castable:
                fix = f"Write {in_units(castable)} or more; is the unit right?"
                yield SizeFinding(key, f"{in_units(thickness)} is too thin to cast.", fix)
            elif thickness < thinnest:
                text = f"{in_units(thickness)} is thinner than {in_units(thinnest)}. Is the unit right?"
                yield SizeFinding(key, text)

    def _proportions(self, shape: shapes.Shape, plate: Plate) -> Iterator[SizeFinding]:
        in_units = self._in_units
        thickness, width = shape.cast_thickness_m or plate.thickness_m, min(plate.region.size_m)
        if thickness > width:
            text = f"{in_units(thickness)} is more than the piece is wide, {in_units(width)}. Are they exchanged?"
            yield SizeFinding(_in_shape(plate.thickness_key), text)

    def _narrow_rails(self, plate: Plate) -> Iterator[SizeFinding]:
        in_units = self._in_units
        for key, beside, rail, least, (x, y) in _rails(plate, self._shop):
            where = f"at x = {in_units(x)}, y = {in_units(y)}"
            if rail < self._shop.sizes.thinnest_cast_m:
                text = f"leaves {in_units(rail)} of concrete to {beside}, {where}: too thin to cast."
                yield SizeFinding(key, text, "Move it or resize it.")
            elif rail < least:
                why = f"under {in_units(least)} it may break."
                yield SizeFinding(key, f"leaves a rail of only {in_units(rail)} to {beside}, {where}; {why}")

    def _inserts(self, piece: Piece) -> Iterator[SizeFinding]:
        for i, insert in enumerate(piece.inserts):
            off = _outside(insert, piece.shape)
            if off > self._shop.sizes.insert_overhang_m:
                text = f"lies {self._in_units(off)} outside the piece."
                yield SizeFinding(f"inserts[{i}].at", text, "Give its place in the piece's own axes.")
            elif off > TOUCHING_M:
                yield SizeFinding(f"inserts[{i}].at", f"its center lies {self._in_units(off)} outside the concrete.")


def _in_shape(key: str) -> str:
    return f"shape.{key}" if key else "shape"


def _rails(plate: Plate, shop: Settings) -> Iterator[tuple[str, str, float, float, tuple[float, float]]]:
    """Key of an opening, what lies beside it, the width of concrete between, the least usual one, and where."""
    whole = fine_polygon(plate.region)
    try:
        regions = outlines_of(plate.cutouts, whole, plate.cutouts_key)
    except FaultError:  # said where the piece is measured
        return
    openings = [(plate.cutouts_key.format(i), fine_polygon(region)) for i, region in enumerate(regions)]
    openings += [(f"hole {i + 1} of the drawing", shapely.Polygon(ring)) for i, ring in enumerate(whole.interiors)]
    for key, opening in openings:
        yield from _rail(key, opening, "the edge", whole.exterior, [opening], shop)
    for (key, one), (other_key, other) in combinations(openings, 2):
        yield from _rail(key, one, other_key, other, [one, other], shop)


def _rail(
    key: str,
    opening: shapely.Geometry,
    beside: str,
    other: shapely.Geometry,
    openings: Sequence[shapely.Geometry],
    shop: Settings,
) -> Iterator[tuple[str, str, float, float, tuple[float, float]]]:
    rail = float(shapely.distance(opening, other))
    small = any(
        max(x1 - x0, y1 - y0) <= shop.sizes.small_hole_m for x0, y0, x1, y1 in (opening.bounds for opening in openings)
    )
    least = shop.sizes.rail_at_hole_m if small else shop.sizes.rail_m
    if TOUCHING_M < rail < least:
        middle = shapely.shortest_line(opening, other).centroid
        yield f"shape, {key}", beside, rail, least, (float(middle.x), float(middle.y))


def _outside(insert: Insert, shape: shapes.Shape) -> float:
    """How far the center of an insert lies outside the outer size of its piece, and of its outline."""
    if insert.at_m is None:
        return 0.0
    try:
        solid = measure(shape)
    except FaultError:  # said where the piece is measured
        return 0.0
    return hypot(*shape.outside_m(insert.at_m, solid))
