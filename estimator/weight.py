"""Weight of a piece at each stage of its life, low and high side, and its center of gravity.

The stages are fresh in its form, at demold, in transport, installed dry, and soaked if it stands outdoors. The weight
when flipped in the form, boards included, is a separate figure: it is often the heaviest lift of the job.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from itertools import islice
from typing import Literal

import numpy as np

from estimator.constants import require_not_negative, require_positive, require_within
from estimator.errors import FaultError
from estimator.job import Use, Vector, Workshop
from estimator.mix import MixDesign
from estimator.takeoff import PieceTakeoff
from estimator.workings import Formula, Working, figure
from estimator.workshop import HandlingSettings
from geometry import shapes
from geometry.arrays import Floats, Ints
from geometry.frozen import frozen
from geometry.message import Message, message
from geometry.shape import HangingEdge
from geometry.solid import Solid

Stage = Literal["fresh", "demould", "transport", "installed", "soaked"]
DRYING: tuple[Stage, ...] = ("fresh", "demould", "installed")  # no drying is counted in transport, so it is as demould

WATER_KG_M3 = 1000.0

SPREAD = message("source-spread")
HIGH = Formula("heaviest_kg · low_air · (1 + density_tolerance) · (1 + thickness_tolerance) + inserts_kg", "kg", SPREAD)
LOW = Formula("lightest_kg · high_air · (1 − density_tolerance) · (1 − thickness_tolerance) + inserts_kg", "kg", SPREAD)
BOARDS = Formula(
    "form_m2 · form_board_kg_m2 + plan_m2 · turning_board_kg_m2",
    "kg",
    message("source-boards"),
)


@frozen
class WeightBand:
    """A weight and its low and high sides, kg."""

    low_kg: float
    nominal_kg: float
    high_kg: float


@frozen
class Tolerance:
    """Tolerances of a piece as fractions: of density, and of thickness (tolerance over thickness).

    low_air, high_air   density at the least and at the most air the mix may have, over the density at its design air
    """

    density: float
    thickness: float
    low_air: float
    high_air: float

    def __post_init__(self) -> None:
        require_within("density-tolerance", self.density, 0.0, 0.5)
        require_within("density-at-the-least-air", self.low_air, 1.0, 2.0)
        require_within("density-at-the-most-air", self.high_air, 0.1, 1.0)
        if not 0.0 <= self.thickness < 1.0:
            raise FaultError("", message("tolerance-over-thickness", tolerance_share=round(self.thickness, 3)))

    def edges(self, inserts_kg: float) -> dict[str, float]:
        """Formula values shared by the low and the high side."""
        return {
            "density_tolerance": self.density,
            "thickness_tolerance": self.thickness,
            "inserts_kg": inserts_kg,
        }


@frozen(eq=False)
class Tolerances:
    """Tolerances of many pieces, a column (n,) for each field of a Tolerance."""

    density: Floats
    thickness: Floats
    low_air: Floats
    high_air: Floats

    def bands(self, cast_kg: Floats, inserts_kg: Floats) -> list[WeightBand]:
        """Weights of the cast material (n,) with its tolerances, inserts added at their own mass."""
        edges = {
            "density_tolerance": self.density,
            "thickness_tolerance": self.thickness,
            "inserts_kg": inserts_kg,
        }
        low_kg: Floats = LOW(lightest_kg=cast_kg, high_air=self.high_air, **edges)
        high_kg: Floats = HIGH(heaviest_kg=cast_kg, low_air=self.low_air, **edges)
        return list(map(WeightBand, low_kg.tolist(), (cast_kg + inserts_kg).tolist(), high_kg.tolist()))

    def rows(self) -> list[Tolerance | FaultError]:
        """Tolerance of each piece, or a fault if it is out of bounds."""
        columns = (self.density, self.thickness, self.low_air, self.high_air)
        return list(map(cache(_tolerance), *(column.tolist() for column in columns)))


def _tolerance(density: float, thickness: float, low_air: float, high_air: float) -> Tolerance | FaultError:
    try:
        return Tolerance(density, thickness, low_air, high_air)
    except FaultError as error:
        return error


@frozen
class Weight:
    """Weights of one piece, inserts included, at every stage of its life.

    transport     same as at demold: no drying is counted in transport
    soaked        soaked outdoors; None for a piece that stays dry
    oven_dry_kg   nominal mass of the concrete alone
    boards_kg     form boards and flip board that are flipped with it
    layers_kg     fresh mass of each layer
    centers_m     center of gravity at each stage, in the piece's own axes
    soil_kg       wet soil in a planter, or water to its rim; None for any other piece
    assumptions   what was assumed where nothing was given or tested
    whole_from    first stage at which it is lifted as one with the parts glued to it
    """

    fresh: WeightBand
    demould: WeightBand
    transport: WeightBand
    installed: WeightBand
    soaked: WeightBand | None
    oven_dry_kg: float
    tolerance: Tolerance
    inserts_kg: float
    boards_kg: float
    layers_kg: tuple[float, ...]
    centers_m: Mapping[Stage, Vector]
    soil_kg: float | None
    assumptions: tuple[str, ...]
    whole_from: Stage = "demould"

    @property
    def by_stage(self) -> dict[Stage, WeightBand]:
        """Weight bands in the order of the stages."""
        bands: dict[Stage, WeightBand] = {
            "fresh": self.fresh,
            "demould": self.demould,
            "transport": self.transport,
            "installed": self.installed,
        }
        return bands if self.soaked is None else {**bands, "soaked": self.soaked}

    @property
    def fresh_kg(self) -> float:
        return self.fresh.nominal_kg

    @property
    def demould_kg(self) -> float:
        return self.demould.nominal_kg

    @property
    def installed_kg(self) -> float:
        return self.installed.nominal_kg

    @property
    def low_kg(self) -> float:
        """Low side of the lightest stage."""
        dry_kg = min(self.fresh.low_kg, self.demould.low_kg, self.transport.low_kg, self.installed.low_kg)
        return dry_kg if self.soaked is None else min(dry_kg, self.soaked.low_kg)

    @property
    def high_kg(self) -> float:
        """High side of the heaviest stage."""
        return max(self.fresh.high_kg, self.lift_kg)

    @property
    def lift_kg(self) -> float:
        """High side of the heaviest stage at which the bare piece is lifted: every stage but fresh in its form."""
        dry_kg = max(self.demould.high_kg, self.transport.high_kg, self.installed.high_kg)
        return dry_kg if self.soaked is None else max(dry_kg, self.soaked.high_kg)

    @property
    def turn_kg(self) -> float:
        """High side of the piece when flipped in its form, boards included."""
        return self.demould.high_kg + self.boards_kg

    @property
    def in_place_kg(self) -> float:
        """High side of the heaviest state in place: not yet dry, or soaked outdoors. Without soil."""
        return max(self.may_weigh_kg("transport"), self.may_weigh_kg("installed"))

    @property
    def filled_kg(self) -> float | None:
        """High side of a wet planter full to its rim: a load on the floor, never a hand lift. None for other pieces."""

        if self.soil_kg is None:
            return None
        return max(self.fresh.high_kg, 0.0 if self.soaked is None else self.soaked.high_kg) + self.soil_kg

    @property
    def center_of_gravity_m(self) -> Vector:
        """Center of gravity at the first lift: at demold, or when glued together."""
        return self.centers_m[self.whole_from]

    def may_weigh_kg(self, stage: Stage) -> float:
        """High side of a stage from the yard on. Rain may soak an outdoor piece before it is installed."""
        high_kg: float = getattr(self, stage).high_kg
        return high_kg if self.soaked is None else max(high_kg, self.soaked.high_kg)


def weigh(taken: PieceTakeoff, mixes: Mapping[str, MixDesign], workshop: Workshop) -> Weight:
    """Weights of one piece, as from `weigh_all`. Raises FaultError for a piece that cannot be weighed."""
    (weight,) = weigh_all([taken], mixes, workshop)
    if isinstance(weight, FaultError):
        raise weight
    return weight


def weigh_all(
    takeoffs: Sequence[PieceTakeoff], mixes: Mapping[str, MixDesign], workshop: Workshop
) -> list[Weight | FaultError]:
    """Weights of every piece, in order, or the fault of a piece that cannot be weighed.

    High side: heaviest stage at the least air that its mixes may have · (1 + density tolerance) · (1 + thickness
    tolerance / thickness) + inserts. The low side takes the lightest stage at the most air, with the signs reversed. A
    solid without a thickness (cast in a closed form) has no thickness tolerance.
    """
    if not takeoffs:
        return []
    settings, layers = workshop.handling, _Layers.of(takeoffs, mixes)
    layers_kg = {stage: layers.masses_kg([density_at(mix, stage) for mix in layers.mixes]) for stage in DRYING}
    cast_kg = {stage: layers.sums(masses_kg) for stage, masses_kg in layers_kg.items()}
    oven_dry_kg = layers.sums(layers.masses_kg([mix.oven_dry_density_kg_m3 for mix in layers.mixes]))
    inserts_kg = np.array([sum((insert.mass_kg for insert in taken.piece.inserts), 0.0) for taken in takeoffs])
    spread = _spread(takeoffs, layers, layers_kg["fresh"], workshop)
    tolerances = spread.rows()
    faults = _faults(takeoffs, layers, tolerances, cast_kg, inserts_kg, settings.soaked_gain)
    if faults:
        sound = iter(weigh_all([taken for row, taken in enumerate(takeoffs) if row not in faults], mixes, workshop))
        return [faults[row] if row in faults else next(sound) for row in range(len(takeoffs))]
    bands = {stage: spread.bands(cast_kg[stage], inserts_kg) for stage in DRYING}
    soil = [soil_in(taken.piece.shape, taken.solid) if taken.piece.use == "planter" else None for taken in takeoffs]
    fill_kg_m3 = max(settings.wet_soil_kg_m3, WATER_KG_M3)  # a blocked drain fills it with water to the rim
    columns = (
        bands["fresh"],
        bands["demould"],
        bands["demould"],
        bands["installed"],
        _soaked(takeoffs, cast_kg["fresh"], oven_dry_kg, inserts_kg, spread, settings.soaked_gain),
        oven_dry_kg.tolist(),
        tolerances,
        inserts_kg.tolist(),
        _boards_kg(takeoffs, settings),
        layers.split(layers_kg["fresh"]),
        _centers(takeoffs, layers, layers_kg, inserts_kg),
        [None if hollow is None else hollow[0] * fill_kg_m3 for hollow in soil],
        _assumptions(takeoffs, settings.soaked_gain, [None if hollow is None else hollow[1] for hollow in soil]),
    )
    return list(map(Weight, *columns))


@frozen(eq=False)
class _Layers:
    """Layers of many pieces, piece by piece, as columns.

    mixes      mixes of the layers
    mix        (m,) index into `mixes` of each layer
    piece      (m,) index of the piece of each layer
    volume_m3  (m,) volume
    center_m   (m, 3) centroid
    """

    mixes: Sequence[MixDesign]
    mix: Ints
    piece: Ints
    volume_m3: Floats
    center_m: Floats

    @classmethod
    def of(cls, takeoffs: Sequence[PieceTakeoff], mixes: Mapping[str, MixDesign]) -> _Layers:
        layers = [layer for taken in takeoffs for layer in taken.layers]
        numbers: dict[str, int] = {}
        mix = np.array([numbers.setdefault(layer.mix, len(numbers)) for layer in layers])
        return cls(
            mixes=[mixes[name] for name in numbers],
            mix=mix,
            piece=np.repeat(np.arange(len(takeoffs)), [len(taken.layers) for taken in takeoffs]),
            volume_m3=np.array([layer.volume_m3 for layer in layers]),
            center_m=np.array([layer.centroid_m for layer in layers]),
        )

    def masses_kg(self, densities_kg_m3: Sequence[float]) -> Floats:
        """Mass of each layer, (m,), from the density of each mix."""
        return np.asarray(self.volume_m3 * np.array(densities_kg_m3)[self.mix])

    def sums(self, values: Floats) -> Floats:
        """Sum over the layers of each piece, (n,)."""
        return np.bincount(self.piece, values).astype(np.float64)

    def most(self, values: Floats) -> Floats:
        """Largest value over the layers of each piece, (n,)."""
        return np.maximum.reduceat(values, np.flatnonzero(np.diff(self.piece, prepend=-1)))

    def split(self, values: Floats) -> list[tuple[float, ...]]:
        """Values of the layers (m,), piece by piece."""
        rest = iter(values.tolist())
        return [tuple(islice(rest, count)) for count in np.bincount(self.piece).tolist()]


def _spread(takeoffs: Sequence[PieceTakeoff], layers: _Layers, fresh_kg: Floats, workshop: Workshop) -> Tolerances:
    """Tolerances of the pieces: the widest density of their mixes, thickness over thickness, air averaged by mass."""
    least = np.array([mix.density_tolerance_least for mix in layers.mixes])
    low_air, high_air = (
        np.array([(1.0 - air) / (1.0 - mix.air) for mix, air in zip(layers.mixes, airs, strict=True)])
        for airs in ([mix.air_low for mix in layers.mixes], [mix.air_high for mix in layers.mixes])
    )
    with np.errstate(invalid="ignore", divide="ignore"):  # a piece without mass is refused later
        low, high = (layers.sums(fresh_kg * air[layers.mix]) / layers.sums(fresh_kg) for air in (low_air, high_air))
    return Tolerances(
        density=np.maximum(workshop.density_tolerance, layers.most(least[layers.mix])),
        thickness=np.array([thickness_spread(taken, workshop) for taken in takeoffs]),
        low_air=low,
        high_air=high,
    )


def _faults(
    takeoffs: Sequence[PieceTakeoff],
    layers: _Layers,
    tolerances: Sequence[Tolerance | FaultError],
    cast_kg: Mapping[Stage, Floats],
    inserts_kg: Floats,
    soaked_gain: float,
) -> dict[int, FaultError]:
    """Faults of the pieces that cannot be weighed, by row."""
    faults = {row: fault for row, fault in enumerate(tolerances) if isinstance(fault, FaultError)}
    masses_kg = np.array([*cast_kg.values()])
    sound = ((masses_kg > 0.0) & np.isfinite(masses_kg)).all(axis=0) & (inserts_kg == 0.0)
    sound &= layers.most(-layers.volume_m3) <= 0.0
    outdoors = [taken.piece.in_place.outdoors is True for taken in takeoffs]
    for row in np.flatnonzero(~sound | outdoors).tolist():  # the other rows cannot have a fault
        try:
            if outdoors[row]:
                require_within("absorption", soaked_gain, 0.0, 1.0)
            for mass_kg in masses_kg[:, row].tolist():
                require_positive("cast-mass", mass_kg, "kg")
            for layer in takeoffs[row].layers:
                require_not_negative("volume-of-a-layer", layer.volume_m3, "m³")
            for insert in takeoffs[row].piece.inserts:
                require_not_negative("mass-of-inserts", insert.mass_kg, "kg")
        except FaultError as error:
            faults[row] = error
    return faults


def _soaked(
    takeoffs: Sequence[PieceTakeoff],
    fresh_kg: Floats,
    oven_dry_kg: Floats,
    inserts_kg: Floats,
    spread: Tolerances,
    soaked_gain: float,
) -> Sequence[WeightBand | None]:
    """Soaked weight of each outdoor piece; None for a piece that stays dry."""
    outdoors = [taken.piece.in_place.outdoors is True for taken in takeoffs]
    if not any(outdoors):
        return [None] * len(takeoffs)
    wet = spread.bands(soaked_mass(fresh_kg, oven_dry_kg, soaked_gain), inserts_kg)
    return [band if is_outdoors else None for band, is_outdoors in zip(wet, outdoors, strict=True)]


def thickness_spread(taken: PieceTakeoff, workshop: Workshop) -> float:
    """Relative thickness tolerance of a piece: that of its least accurate method over its thinnest section.

    A solid that names no section counts by its notional size.
    """
    thickness_m = taken.piece.nominal_thickness_m or taken.piece.cure.thinnest_m or taken.notional_m
    return max(workshop.thickness_tolerance_m[layer.method] for layer in taken.layers) / thickness_m


def density_at(mix: MixDesign, stage: Stage) -> float:
    """Density of one mix at a stage, kg/m³. A soaked piece is assumed evenly wet, like a fresh one."""
    match stage:
        case "fresh" | "soaked":
            return mix.fresh_density_kg_m3
        case "demould" | "transport":
            return mix.demould_density_kg_m3
        case "installed":
            return mix.installed_density_kg_m3


def soaked_mass(fresh_kg: Floats, oven_dry_kg: Floats, absorption: float) -> Floats:
    """Mass of soaked concrete, kg, (n,), without inserts.

    fresh_kg     mass of the concrete as mixed, kg
    absorption   water absorbed, as a fraction of oven-dry mass

    The larger of fresh mass and oven-dry mass · (1 + absorption). In fresh concrete the aggregate is saturated and the
    paste is full of water, so the fresh mass is the oven-dry mass plus all the water both can hold, and soaked
    concrete weighs no less. (With very absorbent aggregate, such as perlite, that is far over the usual gain.)

    >>> soaked_mass(np.array([110.0, 130.0]), np.array([100.0, 100.0]), 0.125).tolist()
    [112.5, 130.0]
    """
    require_within("absorption", absorption, 0.0, 1.0)
    return np.maximum(fresh_kg, oven_dry_kg * (1.0 + absorption))


def _centers(
    takeoffs: Sequence[PieceTakeoff], layers: _Layers, layers_kg: Mapping[Stage, Floats], inserts_kg: Floats
) -> list[Mapping[Stage, Vector]]:
    """Center of gravity of each piece at each stage, from its layers and each insert at its place, m."""
    insert_kg_m = np.zeros((len(takeoffs), 3))
    for row in np.flatnonzero(inserts_kg).tolist():
        taken = takeoffs[row]
        for insert in taken.piece.inserts:
            insert_kg_m[row] += np.multiply(insert.mass_kg, insert.at_m or taken.solid.centroid_m)
    centers_m = []
    for stage in DRYING:
        masses_kg = layers_kg[stage]
        total_kg = layers.sums(masses_kg) + inserts_kg
        x, y, z = (
            (layers.sums(masses_kg * layers.center_m[:, axis]) + insert_kg_m[:, axis]) / total_kg for axis in range(3)
        )
        centers_m.append(zip(x.tolist(), y.tolist(), z.tolist(), strict=True))
    outdoors = [taken.piece.in_place.outdoors is True for taken in takeoffs]
    return [
        {"fresh": fresh, "demould": demould, "transport": demould, "installed": installed}
        | ({"soaked": fresh} if is_outdoors else {})
        for fresh, demould, installed, is_outdoors in zip(*centers_m, outdoors, strict=True)
    ]


def _boards_kg(takeoffs: Sequence[PieceTakeoff], settings: HandlingSettings) -> list[float]:
    """Weight of the form boards and the flip board that are flipped with each piece."""
    boards_kg: list[float] = BOARDS(
        form_m2=np.array([taken.solid.form_area_m2 for taken in takeoffs]),
        form_board_kg_m2=settings.form_board_kg_m2,
        plan_m2=np.array([taken.solid.size_m[0] * taken.solid.size_m[1] for taken in takeoffs]),
        turning_board_kg_m2=settings.turning_board_kg_m2,
    ).tolist()
    return boards_kg


def soil_in(shape: shapes.Shape, solid: Solid) -> tuple[float, Message | None] | None:
    """Volume of a planter's hollow, m³, and the assumption made; None for a shape without one (a closed box).

    A box holds its outer volume less its own concrete; drain holes and fillets are as in the solid. For any other
    shape its bounding box stands for the outer volume, which errs on the high side.
    """
    hollow = shape.soil_m3(solid)
    if hollow is None:
        return None
    volume_m3, exact = hollow
    return volume_m3, None if exact else message("assumed-soil-box")


def _assumptions(
    takeoffs: Sequence[PieceTakeoff], soaked_gain: float, soil: Sequence[Message | None]
) -> Iterator[tuple[Message, ...]]:
    """Yield the assumptions of each piece; pieces with the same assumptions share one tuple."""

    @cache
    def messages_for(outdoors: bool | None, use: Use, soil_message: Message | None) -> tuple[Message, ...]:
        assumptions = [message("assumed-transport-weight")]
        if outdoors:
            assumptions.append(message("assumed-soaked", gain_share=soaked_gain))
        if outdoors is None and use in ("planter", "panel", "basin", "fire"):
            assumptions.append(message("assumed-indoors"))
        return tuple(assumptions) if soil_message is None else (*assumptions, soil_message)

    for taken, soil_message in zip(takeoffs, soil, strict=True):
        yield messages_for(taken.piece.in_place.outdoors, taken.piece.use, soil_message)


def drop_edge_loads(taken: PieceTakeoff, weight: Weight) -> list[tuple[HangingEdge, float]]:
    """Drop edges with their weight below the plate, high side in place, kg per m of edge."""
    high_kg_m3 = (weight.in_place_kg - weight.inserts_kg) / taken.volume_m3
    return [(edge, high_kg_m3 * edge.section_m2) for edge in taken.piece.shape.hanging_edges()]


def weight_workings(mark: str, weight: Weight) -> Iterator[Working]:
    """Yield the workings of the weights of one piece."""

    at, inserts_kg = f"pieces.{mark}.weight", weight.inserts_kg
    cast_kg = {stage: band.nominal_kg - inserts_kg for stage, band in weight.by_stage.items()}
    lifted_kg = [mass_kg for stage, mass_kg in cast_kg.items() if stage != "fresh"]
    for stage, source in (
        ("fresh", "source-weight-fresh"),
        ("demould", "source-weight-stripped"),
        ("installed", "source-weight-installed"),
    ):
        values = {"concrete_kg": cast_kg[stage], "inserts_kg": inserts_kg}  # type: ignore[index]
        yield figure(f"{at}.{stage}_kg", "concrete_kg + inserts_kg", values, "kg", message(source))
    edges = weight.tolerance.edges(inserts_kg)
    high = {"low_air": weight.tolerance.low_air, **edges}
    yield HIGH.working(f"{at}.high_kg", heaviest_kg=max(cast_kg.values()), **high)
    yield LOW.working(f"{at}.low_kg", lightest_kg=min(cast_kg.values()), high_air=weight.tolerance.high_air, **edges)
    yield figure(
        f"{at}.lift_kg",
        HIGH.text,
        {"heaviest_kg": max(lifted_kg), **high},
        "kg",
        message("source-lift"),
    )
    yield figure(
        f"{at}.turn_kg",
        "demould_high_kg + boards_kg",
        {"demould_high_kg": weight.demould.high_kg, "boards_kg": weight.boards_kg},
        "kg",
        BOARDS.source,
    )
    if weight.soaked is not None:
        yield figure(
            f"{at}.stages.soaked.nominal_kg",
            "oven_dry_kg + water_kg + inserts_kg",
            {
                "oven_dry_kg": weight.oven_dry_kg,
                "water_kg": cast_kg["soaked"] - weight.oven_dry_kg,
                "inserts_kg": inserts_kg,
            },
            "kg",
            message("source-soaked"),
        )
    if weight.filled_kg is not None and weight.soil_kg is not None:
        yield figure(
            f"{at}.filled_kg",
            "planter_kg + soil_kg",
            {"planter_kg": weight.filled_kg - weight.soil_kg, "soil_kg": weight.soil_kg},
            "kg",
            message("source-filled"),
        )
