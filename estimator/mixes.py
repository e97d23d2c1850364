"""Information about the mixes of an estimate besides their recipes: bands, early stops, strengths, other mixes."""

from collections.abc import Mapping, Sequence
from decimal import Decimal
from math import isnan

import numpy as np
from numpy.typing import NDArray

from estimator.errors import FaultError
from estimator.job import Job, Material, Mix, Workshop
from estimator.memo import remembered
from estimator.mix import MixDesign, make
from estimator.mix.bands import MixBands, bands
from estimator.mix.fresh import StoppedEarly, stop_early
from estimator.mix.limits import color_differences
from estimator.mix.replacement import (
    MixCost,
    Replacement,
    ReplacementCurve,
    cost_of,
    replaced_share,
    replacement_curve,
    replacements,
    swap_pair,
    with_replacement,
)
from estimator.money import round2
from estimator.notices import Notice
from estimator.packaging.materials import price_per_kg
from estimator.strength import FlexuralStrength, flexural_strengths
from estimator.takeoff import LayerTakeoff, Takeoff
from estimator.weight import thickness_spread
from geometry.frozen import frozen
from geometry.message import message

Floats = NDArray[np.float64]

USUAL_REPLACEMENTS = (0.0, 0.25, 0.45, 0.65, 0.85, 1.0)  # shares of the sand by loose volume, as in the catalog


@frozen
class Swappable:
    """The n pieces of a job, each split into the layers cast in the compared mixes and the rest; arrays of shape (n,).

    m3            volume of the compared layers of one piece; cast_m3 includes waste
    thickness_factor  1 plus the tolerance of thickness
    rest_*_kg     mass of the other layers, fresh and in place
    rest_cost     cost of the other layers, including waste; NaN if a price is missing
    rest_high_kg  fresh mass of the other layers at their low air
    tolerance     of density, the larger of that of the shop and those of the other layers
    """

    marks: tuple[str, ...]
    quantity: Floats
    m3: Floats
    cast_m3: Floats
    inserts_kg: Floats
    thickness_factor: Floats
    rest_fresh_kg: Floats
    rest_installed_kg: Floats
    rest_cost: Floats
    rest_high_kg: Floats
    tolerance: Floats

    @classmethod
    def nothing(cls) -> "Swappable":
        """No pieces, for comparing mixes by themselves."""
        return cls((), *np.zeros((10, 0)))


@frozen
class CastIn:
    """The pieces cast in one mix; arrays of shape (n,), per piece, including inserts.

    replacement   share of the sand replaced by beads, by loose volume; None if the mix is not part of a series
    high_kg       fresh weight at the upper end of the tolerances
    cost          of its concrete at list price, including waste, without rounding to packs; NaN if a price is missing
    """

    mix: Mix
    design: MixDesign
    replacement: float | None
    cost_per_m3: float
    unpriced: tuple[str, ...]
    fresh_kg: Floats
    installed_kg: Floats
    high_kg: Floats
    cost: Floats


@frozen
class Comparison:
    """A mix of the job compared with the same mix at other shares of replaced sand."""

    mix: str
    sand: str
    bead: str
    pieces: Swappable
    rows: tuple[CastIn, ...]
    curve: ReplacementCurve
    curve_job_kg: Floats  # fresh weight of all pieces that contain the mix
    curve_job_cost: Floats

    def whole_job(self, of_one_piece: Floats) -> float:
        """Sum over all pieces that contain the mix, from an array of values per piece."""
        return float(of_one_piece @ self.pieces.quantity)

    def job_cost(self, row: CastIn) -> Decimal | None:
        """Cost of the concrete of all pieces that contain the mix, to the cent; None if a price is missing."""
        cost = self.whole_job(row.cost)
        return None if isnan(cost) else round2(cost)


def swappable(
    job: Job, takeoff: Takeoff, mixes: Mapping[str, MixDesign], in_place_of: frozenset[str], marks: Sequence[str] = ()
) -> Swappable:
    """The pieces that contain one of the mixes `in_place_of`; only those of `marks`, if any are given."""
    listed = prices_of(job.materials)
    prices = {name: cost_of(design, listed) for name, design in mixes.items()}
    rows, names = [], []
    none = (0.0, 0.0, 0.0, 0.0, job.workshop.density_tolerance)  # of a piece that is cast in the compared mixes alone
    for taken in takeoff.pieces:
        own = [layer for layer in taken.layers if layer.mix in in_place_of]
        if not own or (marks and taken.piece.mark not in marks):
            continue
        rest = [layer for layer in taken.layers if layer.mix not in in_place_of]
        names.append(taken.piece.mark)
        rows.append(
            (
                taken.piece.quantity,
                sum([layer.volume_m3 for layer in own]),
                sum([layer.cast_m3 for layer in own]),
                sum([insert.mass_kg for insert in taken.piece.inserts]),
                1.0 + thickness_spread(taken, job.workshop),
                *(_rest(rest, mixes, prices, job.workshop) if rest else none),
            )
        )
    columns = np.array(rows, dtype=np.float64).reshape(len(rows), 5 + len(none)).T
    return Swappable(tuple(names), *columns)


def _rest(
    layers: Sequence[LayerTakeoff], mixes: Mapping[str, MixDesign], prices: Mapping[str, MixCost], shop: Workshop
) -> tuple[float, ...]:
    """What the layers that are not compared bring with them: the last figures of `Swappable`."""
    of_layers = [(layer, mixes[layer.mix], prices[layer.mix]) for layer in layers]
    return (
        sum(layer.volume_m3 * mix.fresh_density_kg_m3 for layer, mix, _ in of_layers),
        sum(layer.volume_m3 * mix.installed_density_kg_m3 for layer, mix, _ in of_layers),
        np.nan
        if any(price.unpriced for _, _, price in of_layers)
        else sum(layer.cast_m3 * price.per_m3 for layer, _, price in of_layers),
        sum(layer.volume_m3 * mix.fresh_density_kg_m3 * mix.high_over_likely for layer, mix, _ in of_layers),
        max([shop.density_tolerance, *(mix.density_tolerance_least for _, mix, _ in of_layers)]),
    )


def cast_in(
    mix: Mix,
    design: MixDesign,
    price_of_kg: Mapping[str, float],
    pieces: Swappable,
    replacement: float | None = None,
) -> CastIn:
    """The pieces with the compared layers cast in `mix`, whose design is `design`."""
    cost = cost_of(design, price_of_kg)
    fresh_kg = pieces.m3 * design.fresh_density_kg_m3 + pieces.rest_fresh_kg
    at_low_air_kg = pieces.m3 * design.fresh_density_kg_m3 * design.high_over_likely + pieces.rest_high_kg
    over = (1.0 + np.maximum(pieces.tolerance, design.density_tolerance_least)) * pieces.thickness_factor
    return CastIn(
        mix=mix,
        design=design,
        replacement=replacement,
        cost_per_m3=cost.per_m3,
        unpriced=cost.unpriced,
        fresh_kg=fresh_kg + pieces.inserts_kg,
        installed_kg=pieces.m3 * design.installed_density_kg_m3 + pieces.rest_installed_kg + pieces.inserts_kg,
        high_kg=at_low_air_kg * over + pieces.inserts_kg,
        cost=pieces.cast_m3 * (np.nan if cost.unpriced else cost.per_m3) + pieces.rest_cost,
    )


def compare_replacements(
    job: Job, takeoff: Takeoff, mixes: Mapping[str, MixDesign], name: str, bead: str | None = None
) -> Comparison | None:
    """Compare a mix of the job with the usual shares of replaced sand; None without a bead, or if a share fails."""
    series = _series(job.mixes[name], job.materials, bead)
    if series is None:
        return None
    pieces, curve = swappable(job, takeoff, mixes, frozenset({name})), series.curve
    prices = prices_of(job.materials)
    rows = tuple(cast_in(mix, design, prices, pieces, share) for share, mix, design in series.mixes)
    job_m3 = float(pieces.m3 @ pieces.quantity)
    cast_m3 = float(pieces.cast_m3 @ pieces.quantity)
    rest_kg = float((pieces.rest_fresh_kg + pieces.inserts_kg) @ pieces.quantity)
    return Comparison(
        mix=name,
        sand=series.sand,
        bead=series.bead,
        pieces=pieces,
        rows=rows,
        curve=curve,
        curve_job_kg=curve.fresh_density_kg_m3 * job_m3 + rest_kg,
        curve_job_cost=curve.cost_per_m3 * cast_m3 + float(pieces.rest_cost @ pieces.quantity),
    )


@frozen
class _Series:
    """A mix with other shares of its sand replaced.

    mixes   (share of the loose volume of sand replaced by beads, mix, design)
    """

    sand: str
    bead: str
    mixes: tuple[tuple[float, Mix, MixDesign], ...]
    curve: ReplacementCurve


@remembered(32)
def _series(mix: Mix, materials: Mapping[str, Material], bead: str | None) -> _Series | None:
    """The series of a mix: the usual shares and its own.

    None without sand and bead, or if a mix of the series cannot be made because damp sand adds too much water.
    """
    try:
        sand, bead = swap_pair(mix, materials, bead=bead)
        shares = sorted({*USUAL_REPLACEMENTS, replaced_share(mix, sand, bead)})
        swapped = [(share, with_replacement(mix, sand, bead, share)) for share in shares]
        designed = tuple((share, other, make(other, materials)) for share, other in swapped)
        return _Series(sand, bead, designed, replacement_curve(mix, materials, sand, bead, prices_of(materials)))
    except FaultError:
        return None


def prices_of(materials: Mapping[str, Material]) -> dict[str, float]:
    """Lowest list price per kg of each material with a price."""
    return {name: price for name, material in materials.items() if (price := price_per_kg(material)) is not None}


SECOND_WATER_USED = (0.5, 0.0)  # shares of the water held back, for a caster who stops before all of it is added


@frozen
class EarlyStop:
    """The mix if only a share of the water held back is added."""

    used: float
    stopped: StoppedEarly


@frozen
class MixFacts:
    """Reported facts of one mix of the job.

    early_stops  in order of decreasing water; empty if no water is held back
    strengths    from its coupons, by pour and age; empty if it is untested
    by_basis     its share of sand replaced on each of the three bases; empty without beads and sand
    comparison   None if there is no bead for the mix
    """

    mix: Mix
    bands: MixBands
    early_stops: tuple[EarlyStop, ...]
    strengths: tuple[FlexuralStrength, ...]
    by_basis: tuple[Replacement, ...]
    comparison: Comparison | None


def mix_facts(job: Job, takeoff: Takeoff, mixes: Mapping[str, MixDesign]) -> dict[str, MixFacts]:
    """Facts of every mix that is cast, by name."""
    return {
        name: MixFacts(
            job.mixes[name],
            *_of_mix(job.mixes[name], design, job.materials),
            comparison=compare_replacements(job, takeoff, mixes, name),
        )
        for name, design in mixes.items()
    }


def mix_warnings(job: Job, mixes: Mapping[str, MixDesign]) -> list[Notice]:
    """Warnings about exceeded limits of the mixes, and about color differences within a color group."""
    notices = [
        warning.about(message("of-mix", mix_name=job.mixes[name].label))
        for name, mix in mixes.items()
        for warning in mix.warnings
    ]
    differences = color_differences([job.mixes[name] for name in mixes], job.materials)
    return [*notices, *(Notice("color-mismatch", text) for text in differences)]


def strengths_of(mix: Mix) -> tuple[FlexuralStrength, ...]:
    """Strengths from the coupons of a mix. A single coupon of a pour and age is not a sample and is left out."""
    counts: dict[tuple[str, float], int] = {}
    for coupon in mix.coupons:
        counts[coupon.pour, coupon.age_d] = counts.get((coupon.pour, coupon.age_d), 0) + 1
    return flexural_strengths([specimen for specimen in mix.coupons if counts[specimen.pour, specimen.age_d] > 1])


@remembered(32)
def _of_mix(
    mix: Mix, design: MixDesign, materials: Mapping[str, Material]
) -> tuple[MixBands, tuple[EarlyStop, ...], tuple[FlexuralStrength, ...], tuple[Replacement, ...]]:
    """Bands, early stops, strengths and bases of replacement of a mix."""
    stops = []
    held_kg = design.recipe_kg_m3["water"] * mix.water_held_back
    for used in SECOND_WATER_USED if held_kg > 0.0 else ():
        ends_at = design.water_cementitious - (1.0 - used) * held_kg / design.cementitious_kg_m3
        if ends_at > 0.0:
            stops.append(EarlyStop(used, stop_early(mix, materials, ends_at)))
    return bands(mix, materials), tuple(stops), strengths_of(mix), _by_basis(mix, materials)


def _by_basis(mix: Mix, materials: Mapping[str, Material]) -> tuple[Replacement, ...]:
    """The share of replaced sand applied by loose volume, by absolute volume and by mass; empty without beads."""
    try:
        sand, bead = swap_pair(mix, materials)
    except FaultError:
        return ()
    share = replaced_share(mix, sand, bead)
    if share == 0.0:
        return ()
    return replacements(with_replacement(mix, sand, bead, 0.0), materials, sand, bead, share)
