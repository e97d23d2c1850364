"""What one piece weighs at each stage of its life, low and high, and where its center of gravity lies.

The stages: fresh in its form, at demold, in transport, installed dry, and soaked where it stands outdoors. Flipping in
the form is a figure of its own, with the boards on: often the heaviest lift of the job.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from estimator.constants import require_not_negative, require_positive, require_within
from estimator.errors import FaultError
from estimator.job import Vector, Workshop
from estimator.mix import MixDesign
from estimator.takeoff import LayerTakeoff, PieceTakeoff
from estimator.workings import Formula, Working, figure
from geometry import shapes
from geometry.solid import Solid

Stage = Literal["fresh", "demould", "transport", "installed", "soaked"]
CastLayers = Sequence[tuple[LayerTakeoff, MixDesign]]  # the layers of a piece, each with its mix

WATER_KG_M3 = 1000.0

SPREAD = "tolerances of the workshop; thickness tolerance over the thinnest section"
HIGH = Formula("heaviest_kg · low_air · (1 + density_tolerance) · (1 + thickness_tolerance) + inserts_kg", "kg", SPREAD)
LOW = Formula("lightest_kg · high_air · (1 − density_tolerance) · (1 − thickness_tolerance) + inserts_kg", "kg", SPREAD)
BOARDS = Formula(
    "form_m2 · form_board_kg_m2 + plan_m2 · turning_board_kg_m2",
    "kg",
    "form board on the form's faces, flip board over the plan; common practice",
)


@dataclass(frozen=True, slots=True)
class WeightBand:
    """A weight with its low and high side, kg."""

    low_kg: float
    nominal_kg: float
    high_kg: float


@dataclass(frozen=True, slots=True)
class Tolerance:
    """Tolerances of a piece as fractions: of density, and of thickness (tolerance over thickness).

    low_air, high_air   density at the least and at the most air that the mix may have, over that at its own air
    """

    density: float
    thickness: float
    low_air: float
    high_air: float

    def __post_init__(self) -> None:
        require_within("density tolerance", self.density, 0.0, 0.5)
        require_within("density at the least air", self.low_air, 1.0, 2.0)
        require_within("density at the most air", self.high_air, 0.1, 1.0)
        if not 0.0 <= self.thickness < 1.0:
            raise FaultError(
                "",
                f"thickness tolerance is {self.thickness:g} of the thickness: must be 0 to under 1; "
                "give a tolerance that is smaller than the piece is thick",
            )

    def band(self, cast_kg: float, inserts_kg: float) -> WeightBand:
        """Weight of cast material with the tolerances on it, inserts added at their own mass."""
        require_positive("cast mass", cast_kg, "kg")
        require_not_negative("mass of inserts", inserts_kg, "kg")
        edges = self.edges(inserts_kg)
        return WeightBand(
            LOW(lightest_kg=cast_kg, high_air=self.high_air, **edges),
            cast_kg + inserts_kg,
            HIGH(heaviest_kg=cast_kg, low_air=self.low_air, **edges),
        )

    def edges(self, inserts_kg: float) -> dict[str, float]:
        """Values that the low and the high side have in common."""
        return {
            "density_tolerance": self.density,
            "thickness_tolerance": self.thickness,
            "inserts_kg": inserts_kg,
        }


@dataclass(frozen=True, slots=True)
class Weight:
    """Weights of one piece, inserts in, at every stage of its life.

    transport     as at demold: no drying is counted on the way
    soaked        outdoors; None for a piece that stays dry
    oven_dry_kg   nominal mass of the concrete alone
    boards_kg     of form and flip board that are flipped with it
    layers_kg     fresh mass of each layer
    centers_m     center of gravity at each stage, in the piece's own axes
    soil_kg       wet soil in a planter, or water to its rim; None for a piece that is none
    assumptions   what was taken where nothing was said or tested
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

    @property
    def by_stage(self) -> dict[Stage, WeightBand]:
        """The bands in the order of the stages."""
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
        """The lightest stage at the light edge of its tolerances."""
        return min(band.low_kg for band in self.by_stage.values())

    @property
    def high_kg(self) -> float:
        """The heaviest stage at the heavy edge of its tolerances."""
        return max(band.high_kg for band in self.by_stage.values())

    @property
    def lift_kg(self) -> float:
        """The high side of the heaviest stage at which the bare piece is lifted: every one but fresh in its form."""
        return max(band.high_kg for stage, band in self.by_stage.items() if stage != "fresh")

    @property
    def turn_kg(self) -> float:
        """The high side of the piece flipped in its form, boards on."""
        return self.demould.high_kg + self.boards_kg

    @property
    def in_place_kg(self) -> float:
        """High side of the heaviest state in place: not dried out yet, or soaked outdoors; without soil."""
        return max(self.may_weigh_kg("transport"), self.may_weigh_kg("installed"))

    @property
    def filled_kg(self) -> float | None:
        """High side of a wet planter full to its rim: a load for the floor under it, never a lift by hand."""
        if self.soil_kg is None:
            return None
        return max(self.fresh.high_kg, 0.0 if self.soaked is None else self.soaked.high_kg) + self.soil_kg

    @property
    def center_of_gravity_m(self) -> Vector:
        """Center of gravity at demold, the first lift."""
        return self.centers_m["demould"]

    def may_weigh_kg(self, stage: Stage) -> float:
        """High side of a stage from the yard on: rain may wet a piece for outdoors before it hangs in its place."""
        high_kg = self.by_stage[stage].high_kg
        return high_kg if self.soaked is None else max(high_kg, self.soaked.high_kg)


def weigh(taken: PieceTakeoff, mixes: Mapping[str, MixDesign], workshop: Workshop) -> Weight:
    """Weights of one piece. Raises FaultError where the thickness tolerance eats the whole thickness.

    High side: heaviest stage at the least air that its mixes may have · (1 + density tolerance) · (1 + thickness
    tolerance / thickness) + inserts; the low side takes the lightest stage at the most air, with the signs turned. A
    solid without a thickness of its own (cast in a closed form) has no thickness tolerance.
    """
    piece, solid, settings = taken.piece, taken.solid, workshop.handling
    cast = [(layer, mixes[layer.mix]) for layer in taken.layers]
    inserts_kg = sum(insert.mass_kg for insert in piece.inserts)
    outdoors = piece.in_place.outdoors is True
    tolerance = _tolerance(taken, cast, workshop)
    nominal_kg: dict[Stage, float] = {
        stage: sum(layer.volume_m3 * density_at(mix, stage) for layer, mix in cast)
        for stage in ("fresh", "demould", "transport", "installed")
    }
    oven_dry_kg = sum(layer.volume_m3 * mix.oven_dry_density_kg_m3 for layer, mix in cast)
    if outdoors:
        nominal_kg["soaked"] = soaked_mass(nominal_kg["fresh"], oven_dry_kg, settings.soaked_gain)
    bands = {stage: tolerance.band(mass_kg, inserts_kg) for stage, mass_kg in nominal_kg.items()}
    soil = soil_in(piece.shape, solid) if piece.use == "planter" else None
    fill_kg_m3 = max(settings.wet_soil_kg_m3, WATER_KG_M3)  # a blocked drain fills it with water to the rim
    return Weight(
        fresh=bands["fresh"],
        demould=bands["demould"],
        transport=bands["transport"],
        installed=bands["installed"],
        soaked=bands.get("soaked"),
        oven_dry_kg=oven_dry_kg,
        tolerance=tolerance,
        inserts_kg=inserts_kg,
        boards_kg=BOARDS(
            form_m2=solid.form_area_m2,
            form_board_kg_m2=settings.form_board_kg_m2,
            plan_m2=solid.size_m[0] * solid.size_m[1],
            turning_board_kg_m2=settings.turning_board_kg_m2,
        ),
        layers_kg=tuple(layer.volume_m3 * mix.fresh_density_kg_m3 for layer, mix in cast),
        centers_m={stage: _center(taken, cast, stage) for stage in bands},
        soil_kg=None if soil is None else soil[0] * fill_kg_m3,
        assumptions=tuple(_assumptions(taken, settings.soaked_gain, "" if soil is None else soil[1])),
    )


def _tolerance(taken: PieceTakeoff, cast: CastLayers, workshop: Workshop) -> Tolerance:
    """Tolerances of a piece: the widest of its mixes, thickness over thickness, and air averaged by mass."""
    fresh_kg = [(mix, layer.volume_m3 * mix.fresh_density_kg_m3) for layer, mix in cast]

    def at(air: Callable[[MixDesign], float]) -> float:
        heavier = sum(mass_kg * ((1.0 - air(mix)) / (1.0 - mix.air)) for mix, mass_kg in fresh_kg)
        return heavier / sum(mass_kg for _, mass_kg in fresh_kg)

    return Tolerance(
        max([workshop.density_tolerance, *(mix.density_tolerance_least for _, mix in cast)]),
        thickness_spread(taken, workshop),
        at(lambda mix: mix.air_low),
        at(lambda mix: mix.air_high),
    )


def thickness_spread(taken: PieceTakeoff, workshop: Workshop) -> float:
    """Relative thickness tolerance of a piece: that of its least exact method over its thinnest section."""
    thickness_m = taken.piece.nominal_thickness_m
    if thickness_m is None:
        return 0.0
    return max(workshop.thickness_tolerance_m[layer.method] for layer in taken.layers) / thickness_m


def density_at(mix: MixDesign, stage: Stage) -> float:
    """Density of one mix at a stage, kg/m³; a soaked piece is taken to be wet evenly, like a fresh one."""
    match stage:
        case "fresh" | "soaked":
            return mix.fresh_density_kg_m3
        case "demould" | "transport":
            return mix.demould_density_kg_m3
        case "installed":
            return mix.installed_density_kg_m3


def soaked_mass(fresh_kg: float, oven_dry_kg: float, absorption: float) -> float:
    """Mass of the soaked concrete, kg, inserts not in.

    fresh_kg     of the concrete as mixed, kg
    absorption   water taken up, as a fraction of oven-dry mass

    The greater of fresh mass and oven-dry mass · (1 + absorption). In fresh concrete the aggregate is saturated and
    the paste full of water, so that the fresh mass is also the oven-dry mass with all that the two hold: soaked it
    weighs no less. (Of very absorbent aggregate, such as perlite, that is far over the usual gain.)

    >>> soaked_mass(110.0, 100.0, 0.125), soaked_mass(130.0, 100.0, 0.125)
    (112.5, 130.0)
    """
    require_within("absorption", absorption, 0.0, 1.0)
    return max(fresh_kg, oven_dry_kg * (1.0 + absorption))


def center_of_gravity(parts: Iterable[tuple[float, Vector]]) -> tuple[float, Vector]:
    """Total mass, kg, and center of gravity, m, of masses at points: the cast material, and each insert at its place.

    >>> center_of_gravity([(90.0, (1.0, 0.5, 0.0)), (10.0, (2.0, 0.5, 0.0))])
    (100.0, (1.1, 0.5, 0.0))
    """
    total_kg = 0.0
    moments = [0.0, 0.0, 0.0]
    for mass_kg, point in parts:
        require_not_negative("mass of a part", mass_kg, "kg")
        total_kg += mass_kg
        for axis in range(3):
            moments[axis] += mass_kg * point[axis]
    if total_kg == 0.0:
        raise FaultError("", "no mass: a centre of gravity needs at least one part that weighs something")
    x, y, z = (moment / total_kg for moment in moments)
    return total_kg, (x, y, z)


def _center(taken: PieceTakeoff, cast: CastLayers, stage: Stage) -> Vector:
    layers = [(layer.volume_m3 * density_at(mix, stage), layer.centroid_m) for layer, mix in cast]
    inserts = [(insert.mass_kg, insert.at_m or taken.solid.centroid_m) for insert in taken.piece.inserts]
    return center_of_gravity([*layers, *inserts])[1]


def soil_in(shape: shapes.Shape, solid: Solid) -> tuple[float, str] | None:
    """Volume of a planter's hollow, m³, and what was assumed of it; None for a shape that holds none (a closed box).

    A box holds its outer volume less its own concrete; drain holes and fillets are as the solid has them. Of any other
    shape the box around it is taken for the outer volume, which is too much rather than too little.
    """
    held = shape.soil_m3(solid)
    if held is None:
        return None
    volume_m3, exact = held
    return volume_m3, "" if exact else "soil: the box around the planter is taken for its outer volume"


def _assumptions(taken: PieceTakeoff, soaked_gain: float, soil: str) -> Iterator[str]:
    outdoors = taken.piece.in_place.outdoors
    yield "transport weight taken as the demould weight: no drying counted"
    if outdoors:
        yield f"Outdoors: lifted soaked, at least {soaked_gain:.0%} over oven-dry."
    if outdoors is None and taken.piece.use in ("planter", "panel", "basin", "fire"):
        yield "not said whether it stands outdoors: its soaked weight is not counted"
    if soil:
        yield soil


def drop_edge_loads(taken: PieceTakeoff, weight: Weight) -> list[tuple[shapes.DropEdge, float]]:
    """Drop edges of a slab with the weight that hangs below the slab, high side in place, kg per m of edge."""
    high_kg_m3 = (weight.in_place_kg - weight.inserts_kg) / taken.volume_m3
    return [(drop, high_kg_m3 * section_m2) for drop, section_m2 in taken.piece.shape.hanging_edges()]


def weight_workings(mark: str, weight: Weight) -> Iterator[Working]:
    """How the weights of one piece came about."""
    at, inserts_kg = f"pieces.{mark}.weight", weight.inserts_kg
    cast_kg = {stage: band.nominal_kg - inserts_kg for stage, band in weight.by_stage.items()}
    lifted_kg = [mass_kg for stage, mass_kg in cast_kg.items() if stage != "fresh"]
    for stage, source in (
        ("fresh", "sum over layers of volume · fresh density"),
        ("demould", "sealed under plastic little water goes: demould weight is fresh weight"),
        (
            "installed",
            "sum over layers of volume · density; oven-dry by ASTM C567, extended to pozzolans, plus 50 kg/m³",
        ),
    ):
        values = {"concrete_kg": cast_kg[stage], "inserts_kg": inserts_kg}  # type: ignore[index]
        yield figure(f"{at}.{stage}_kg", "concrete_kg + inserts_kg", values, "kg", source)
    edges = weight.tolerance.edges(inserts_kg)
    high = {"low_air": weight.tolerance.low_air, **edges}
    yield HIGH.working(f"{at}.high_kg", heaviest_kg=max(cast_kg.values()), **high)
    yield LOW.working(f"{at}.low_kg", lightest_kg=min(cast_kg.values()), high_air=weight.tolerance.high_air, **edges)
    yield figure(
        f"{at}.lift_kg",
        HIGH.text,
        {"heaviest_kg": max(lifted_kg), **high},
        "kg",
        "high side of the heaviest stage at which the bare piece is lifted, wet outdoors included",
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
            "the greater of fresh mass and the workshop's gain of oven-dry mass, from memory; no test",
        )
    if weight.filled_kg is not None and weight.soil_kg is not None:
        yield figure(
            f"{at}.filled_kg",
            "planter_kg + soil_kg",
            {"planter_kg": weight.filled_kg - weight.soil_kg, "soil_kg": weight.soil_kg},
            "kg",
            "high side of the wet planter, filled to the rim with wet soil; common practice",
        )
