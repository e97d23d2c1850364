"""Checks across tables: references to names, and plausible sizes.

Unusual sizes get a warning. Sizes that cannot be cast are faults. The limits are shop settings, `sizes.*`.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import cache
from math import hypot, sqrt
from typing import Any

import shapely

from estimator.errors import Fault, FaultError
from estimator.intake.build import WORKSHOP_PAYMENTS
from estimator.intake.documents import RawPiece
from estimator.intake.material_tables import AGGREGATES, PART_FORMS, WATER
from estimator.intake.tables import PieceTable
from estimator.job import SHARES_TOLERANCE, Insert, Piece, PriceTable
from estimator.names import american, first_spellings, folded, nearest
from estimator.notices import Notice
from estimator.site import Site
from estimator.workshop import QuoteSettings, Settings, value_of
from geometry import shapes
from geometry.cutouts import outlines_of
from geometry.edges import near_pairs
from geometry.frozen import frozen
from geometry.message import Message, Value, message
from geometry.shape import Plate, measure
from geometry.split import Chord

PAYMENT_FIGURES = ("deposit", "before_delivery", "on_install")
MIX_PARTS = {  # kinds of material allowed in each part of a mix
    "cementitious": ("cement", "pozzolan"),
    "aggregate": ("sand", "light-aggregate"),
    "admixtures": ("admixture",),
    "polymer": ("polymer",),
    "pigment": ("pigment",),
    "fibre": ("fibre",),
}


def check_marks(pieces: Iterable[RawPiece], faults: list[Fault]) -> None:
    """Add a fault for a piece mark used twice, because every sheet refers to the mark."""
    by_mark: dict[str, list[RawPiece]] = {}
    for piece in pieces:
        if piece.mark is not None:
            by_mark.setdefault(folded(piece.mark), []).append(piece)
    for first, *others in by_mark.values():
        for piece in others[:1]:
            where = first.place if first.file == piece.file else f"{first.file}, {first.place}"
            repeated = (first.file, first.place) == (piece.file, piece.place)
            values: dict[str, Value] = {
                "count": len(others) + 1,
                "first": "" if repeated else message("mark-first-in", place=where),
            }
            id = "mark-repeated" if first.mark == piece.mark else "mark-repeated-in-another-spelling"
            faults.append(Fault(piece.file, f"{piece.place}, mark", message(id, **values)))


def check_part_marks(pieces: Sequence[Piece], faults: list[Fault]) -> None:
    """Add a fault for a mark that collides with that of a part: C1b when seams cut C1 in two, or a second C1-W1."""
    parts = {folded(piece.mark): piece for piece in pieces if piece.part_of}
    for piece in pieces:
        part = parts.get(folded(piece.mark))
        if part is not None and part is not piece:
            if part.part == "seam":
                problem = message("seam-mark-taken", mark=part.part_of, part=part.mark)
                faults.append(Fault(part.file, f"{part.place}, seams", problem))
            else:
                faults.append(Fault(part.file, part.place, message("part-mark-taken", mark=part.mark)))


def check_site(site: Site | None, marks: Iterable[str], file: str, faults: list[Fault]) -> None:
    """Add a fault for a setting order with an unknown mark or a repeated one."""
    known, seen = {folded(mark) for mark in marks}, set[str]()
    for mark in site.order if site is not None else ():
        if folded(mark) not in known:
            faults.append(Fault(file, "site.order", message("site-order-unknown", mark=mark)))
        elif folded(mark) in seen:
            faults.append(Fault(file, "site.order", message("site-order-twice", mark=mark)))
        seen.add(folded(mark))


def check_names(section: str, names: Iterable[str], file: str, faults: list[Fault]) -> None:
    """Add a fault for names of one table that differ only in spaces, case, dashes or Unicode form."""
    for name, first in first_spellings(names).items():
        if name != first:
            faults.append(Fault(file, f"{section} {name}", message("name-twice", first=first)))


def check_mix(
    name: str,
    mix: Mapping[str, Any],
    kinds: Mapping[str, str],
    file: str,
    faults: list[Fault],
) -> None:
    """Add faults for unknown materials, materials in the wrong part of the mix, and an ambiguous reference sand.

    mix     raw mix from the file, not validated
    kinds   kind of each material by name
    """

    def refuse(key: str, id: str, **values: Value) -> None:
        faults.append(Fault(file, f"mix {name}, {key}", message(id, **values)))

    def refuse_unknown(key: str, material: str) -> None:
        refuse(key, "material-unknown", name=material, nearest=nearest(material, kinds))

    for part, allowed in MIX_PARTS.items():
        for material in _names(mix.get(part)):
            if material not in kinds:
                refuse_unknown(part, material)
            elif kinds[material] not in allowed:
                kind, choices = american(kinds[material]), american(" or ".join(allowed))
                refuse(f"{part}.{material}", "mix-material-kind", kind=kind, allowed=choices)
    for form in PART_FORMS:
        for material in _names(mix.get(form)):
            if material == WATER:
                continue
            if material not in kinds:
                refuse_unknown(form, material)
            elif kinds[material] in ("water", "consumable"):
                refuse(f"{form}.{material}", "mix-material-not-mixed", kind=american(kinds[material]))
    swap = mix.get("replacement")
    for key in ("sand", "bead"):
        named = swap.get(key) if isinstance(swap, dict) else None
        if isinstance(named, str) and named not in kinds:
            refuse_unknown(f"replacement.{key}", named)
    _check_reference_sand(mix, kinds, refuse)


def _check_reference_sand(mix: Mapping[str, Any], kinds: Mapping[str, str], refuse: Callable[..., None]) -> None:
    """Add a fault for a mix whose reference sand is neither named nor its only sand."""
    parts = [name for form in PART_FORMS for name in _names(mix.get(form))]
    aggregate = [name for name in (*_names(mix.get("aggregate")), *parts) if kinds.get(name) in AGGREGATES]
    reference = mix.get("reference_sand")
    sands = [name for name in aggregate if kinds.get(name) == "sand"]
    if isinstance(reference, str) and kinds.get(reference) != "sand":
        known = [name for name, kind in kinds.items() if kind == "sand"]
        refuse("reference_sand", "mix-reference-kind", name=reference, nearest=nearest(reference, known))
    elif reference is None and aggregate and len(sands) != 1:
        refuse("reference_sand", "mix-reference-missing", count=len(sands))


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
    """Add faults for a piece without a mix, and for unknown mixes."""
    known = list(mixes)
    if table.layers is not None:
        named = [(f"layers[{i}].mix", layer.mix) for i, layer in enumerate(table.layers)]
    elif table.mix is not None:
        named = [("mix", table.mix)]
    elif job_mix is not None:
        named = []
    else:
        faults.append(Fault(file, f"{entry}, mix", message("mix-none")))
        return
    for key, mix in named:
        if mix not in known:
            problem = message("mix-unknown", name=mix, nearest=nearest(mix, known))
            faults.append(Fault(file, f"{entry}, {key}", problem))


def check_payments(price: PriceTable, terms: QuoteSettings, file: str, faults: list[Fault]) -> None:
    """Add faults for payments of unknown steps, and for the shop's steps if they apply but do not sum to 1."""
    known = [step.name for step in price.payments] or [name for _, name, _ in WORKSHOP_PAYMENTS]
    for number, payment in enumerate(price.received, start=1):
        if payment.step is not None and payment.step not in known:
            problem = message("payment-step-unknown", name=payment.step, nearest=nearest(payment.step, known))
            faults.append(Fault(file, f"price, received {number}, step", problem))
    steps = {key: value_of(terms, key) for key in PAYMENT_FIGURES}
    whole = sum(steps.values())
    if not price.payments and abs(whole - 1.0) > SHARES_TOLERANCE:
        listed = [f"{key} ({share:g})" for key, share in steps.items()]
        faults.append(Fault(file, "workshop.quote", message("payments-sum", total=f"{whole:.4g}", steps=listed)))


TOUCHING_M = 1e-6  # openings closer than this to an edge or to each other count as touching


def place_of(file: str, place: str, job_file: str) -> str:
    """Place as named in a warning of the job, with its file only if that is not the job file."""
    return place if file == job_file else f"{file}: {place}"


@frozen
class SizeFinding:
    """One unusual size of a piece: its key and what is unusual.

    refused  whether the piece cannot be cast
    """

    key: str
    text: Message
    refused: bool = False


class SizeCheck:
    """Check of the sizes of pieces, done once for each shape.

    shop  shop settings with the usual sizes
    file  the job file
    """

    def __init__(self, shop: Settings, file: str) -> None:
        self._shop, self._file = shop, file
        self._of_shape = cache(lambda shape: tuple(self._findings(shape)))

    def __call__(self, piece: Piece, faults: list[Fault]) -> Iterator[Notice]:
        """Yield a warning for every unusual size of a piece, and add a fault for each size that cannot be cast."""
        yield from self._told(self._of_shape(piece.shape), piece, faults)

    def of_inserts(self, piece: Piece, parts: Sequence[Piece], faults: list[Fault]) -> Iterator[Notice]:
        """Yield a warning for every insert of a written piece at an odd place, and add a fault for each far outside.

        parts  the parts between its seams
        """
        yield from self._told(self._inserts(piece, [joint for part in parts for joint in part.joints_m]), piece, faults)

    def _told(self, findings: Iterable[SizeFinding], piece: Piece, faults: list[Fault]) -> Iterator[Notice]:
        for finding in findings:
            place = f"{piece.place}, {finding.key}"
            if finding.refused:
                faults.append(Fault(piece.file, place, finding.text))
            else:
                yield Notice("size-unusual", finding.text).about(place_of(piece.file, place, self._file))

    def _findings(self, shape: shapes.Shape) -> Iterator[SizeFinding]:
        findings = [*self._dimensions(shape)]
        yield from findings
        if any(finding.refused for finding in findings) or self._is_usual(shape):
            return
        try:
            plate = shape.plate()
        except FaultError:  # impossible edges, which the takeoff reports
            return
        if plate is not None:
            yield from self._proportions(shape, plate)
            yield from self._narrow_rails(plate)
            yield from _overlaps(plate)
            if plate.is_askew:
                yield SizeFinding("shape", message("warning-askew"))

    def _is_usual(self, shape: shapes.Shape) -> bool:
        """Whether a quick check rules out any finding, so that the outlines need not be built.

        True for a rectangle thinner than it is wide, whose openings have bounding boxes at least a usual rail from each
        other and from the edges.
        """
        size_m, thickness_m = shape.rectangle_m, shape.cast_thickness_m
        if size_m is None or thickness_m is None or thickness_m > min(size_m):
            return False
        least_m = max(self._shop.sizes.rail_m, self._shop.sizes.rail_at_hole_m)
        boxes = shape.opening_bounds()
        inside = all(min(x0, y0, size_m[0] - x1, size_m[1] - y1) >= least_m for x0, y0, x1, y1 in boxes)
        return inside and all(
            max(a[0] - b[2], b[0] - a[2], a[1] - b[3], b[1] - a[3]) >= least_m
            for a, b in ((boxes[i], boxes[j]) for i, j in near_pairs(boxes, least_m))
        )

    def _dimensions(self, shape: shapes.Shape) -> Iterator[SizeFinding]:
        sizes = self._shop.sizes
        longest, thinnest, castable = sizes.longest_m, sizes.thinnest_m, sizes.thinnest_cast_m
        for key, size in shape.extents():
            if not size <= sizes.longest_cast_m:
                text = message("size-too-long", size_m=size, limit_m=sizes.longest_cast_m)
                yield SizeFinding(_in_shape(key), text, refused=True)
            elif size > longest:
                yield SizeFinding(_in_shape(key), message("warning-size-long", size_m=size, limit_m=longest))
            elif size < castable:
                text = message("size-too-thin", thickness_m=size, limit_m=castable)
                yield SizeFinding(_in_shape(key), text, refused=True)
        for wall in shape.walls():
            key, thickness = _in_shape(wall.key), wall.thickness_m
            if thickness < castable:
                text = message("size-too-thin", thickness_m=thickness, limit_m=castable)
                yield SizeFinding(key, text, refused=True)
            elif thickness < thinnest:
                yield SizeFinding(key, message("warning-size-thin", thickness_m=thickness, limit_m=thinnest))
            elif thickness > sizes.thickest_m:
                yield SizeFinding(key, message("warning-size-thick", thickness_m=thickness, limit_m=sizes.thickest_m))

    def _proportions(self, shape: shapes.Shape, plate: Plate) -> Iterator[SizeFinding]:
        thickness, width = shape.cast_thickness_m or plate.thickness_m, min(plate.region.size_m)
        if thickness > width:
            text = message("warning-size-swapped", thickness_m=thickness, width_m=width)
            yield SizeFinding(_in_shape(plate.thickness_key), text)

    def _narrow_rails(self, plate: Plate) -> Iterator[SizeFinding]:
        for key, neighbor, rail, usual, (x, y) in _rails(plate, self._shop):
            values: dict[str, Value] = {"rail_m": rail, "neighbor": neighbor, "x_m": x, "y_m": y}
            if rail < self._shop.sizes.thinnest_cast_m:
                yield SizeFinding(key, message("size-rail-too-thin", **values), refused=True)
            elif rail < usual:
                yield SizeFinding(key, message("warning-size-rail", limit_m=usual, **values))

    def _inserts(self, piece: Piece, joints: Sequence[Chord]) -> Iterator[SizeFinding]:
        if not piece.inserts:
            return
        seams, thickness_m = shapely.MultiLineString([list(joint) for joint in joints]), piece.shape.cast_thickness_m
        for i, insert in enumerate(piece.inserts):
            if not insert.mass_kg and not insert.material:
                yield SizeFinding(f"inserts[{i}]", message("warning-insert-weightless", insert=insert.name))
            off = _outside(insert, piece.shape)
            if off > self._shop.sizes.insert_overhang_m:
                yield SizeFinding(f"inserts[{i}].at", message("insert-outside", distance_m=off), refused=True)
            elif off > TOUCHING_M:
                yield SizeFinding(f"inserts[{i}].at", message("warning-insert-outside", distance_m=off))
            if insert.at_m is None or not joints or not thickness_m or insert.displaces_m3 <= 0.0:
                continue
            away = float(seams.distance(shapely.Point(insert.at_m[:2])))
            if away < sqrt(insert.displaces_m3 / thickness_m) / 2.0:  # a square core through the whole thickness
                values: dict[str, Value] = {"insert": insert.name, "distance_m": away}
                yield SizeFinding(f"inserts[{i}]", message("warning-insert-at-seam", **values))


def _in_shape(key: str) -> str:
    return f"shape.{key}" if key else "shape"


Rail = tuple[str, Message | str, float, float, tuple[float, float]]
"""Key of an opening, its neighbor, width of the concrete between them, smallest usual width, and position."""


RAIL_CHORD_M = 1e-5
"""Chord tolerance for measuring rails: a hundredth of what a tape shows."""


def _rails(plate: Plate, shop: Settings) -> Iterator[Rail]:
    """Yield the narrow rails of a plate."""

    whole = plate.region.polygon(RAIL_CHORD_M)
    try:
        regions = outlines_of(plate.cutouts, whole, plate.cutouts_key)
    except FaultError:  # reported where the piece is measured
        return
    openings = [(plate.cutouts_key.format(i), region.polygon(RAIL_CHORD_M)) for i, region in enumerate(regions)]
    openings += [(f"holes[{i}]", shapely.Polygon(ring)) for i, ring in enumerate(whole.interiors)]
    for key, opening in openings:
        yield from _rail(key, opening, message("edge-of-piece"), whole.exterior, [opening], shop)
    for i, j in _nearest_pairs([opening for _, opening in openings], max(shop.sizes.rail_m, shop.sizes.rail_at_hole_m)):
        (key, opening), (neighbor_key, neighbor) = openings[i], openings[j]
        yield from _rail(key, opening, neighbor_key, neighbor, [opening, neighbor], shop)


def _overlaps(plate: Plate) -> Iterator[SizeFinding]:
    """Yield the openings of a plate that share an area with one before them: entered twice, or in a wrong place."""
    try:
        regions = outlines_of(plate.cutouts, plate.region.polygon(RAIL_CHORD_M), plate.cutouts_key)
    except FaultError:  # reported where the piece is measured
        return
    openings = [region.polygon(RAIL_CHORD_M) for region in regions]
    if len(openings) < 2:
        return
    pairs = shapely.STRtree(openings).query(openings, predicate="intersects").T.tolist()
    for i, j in sorted((i, j) for i, j in pairs if i > j):
        if float(shapely.intersection(openings[i], openings[j]).area) > TOUCHING_M**2:
            neighbor = plate.cutouts_key.format(j)
            key = f"shape, {plate.cutouts_key.format(i)}"
            yield SizeFinding(key, message("warning-openings-overlap", neighbor=neighbor))


def _nearest_pairs(openings: Sequence[shapely.Polygon], most_m: float) -> list[tuple[int, int]]:
    """Each opening and its nearest neighbor up to `most_m` away: many small holes have many neighbors at that distance,
    and a rail is the concrete up to the nearest one."""
    boxes = [shapely.box(*opening.bounds) for opening in openings]
    tree = shapely.STRtree(boxes)
    pairs: set[tuple[int, int]] = set()
    for i, j in tree.query_nearest(boxes, max_distance=most_m, exclusive=True, all_matches=False).T.tolist():
        most = min(most_m, float(shapely.distance(openings[i], openings[j])))
        near = [k for k in tree.query(boxes[i], predicate="dwithin", distance=most).tolist() if k != i] or [j]
        nearest = min(near, key=lambda k: (shapely.distance(openings[i], openings[k]), k))
        pairs.add((min(i, nearest), max(i, nearest)))
    return sorted(pairs)


def _rail(
    key: str,
    opening: shapely.Geometry,
    name: Message | str,
    neighbor: shapely.Geometry,
    openings: Sequence[shapely.Geometry],
    shop: Settings,
) -> Iterator[Rail]:
    rail = float(shapely.distance(opening, neighbor))
    small = any(
        max(x1 - x0, y1 - y0) <= shop.sizes.small_hole_m for x0, y0, x1, y1 in (opening.bounds for opening in openings)
    )
    usual = shop.sizes.rail_at_hole_m if small else shop.sizes.rail_m
    if TOUCHING_M < rail < usual:
        middle = shapely.shortest_line(opening, neighbor).centroid
        yield f"shape, {key}", name, rail, usual, (float(middle.x), float(middle.y))


def _outside(insert: Insert, shape: shapes.Shape) -> float:
    """Distance of the center of an insert outside the outer size and the outline of its piece, m; 0 if inside."""
    if insert.at_m is None:
        return 0.0
    try:
        solid = measure(shape)
    except FaultError:  # reported when the piece is measured
        return 0.0
    return hypot(*shape.outside_m(insert.at_m, solid))
