"""Sensitivity of the price: each input is moved down and up by itself, and the whole job is estimated again."""

from collections.abc import Callable, Iterator
from dataclasses import fields, replace
from decimal import Decimal

from estimator.errors import FaultError, InputError
from estimator.job import Job, Layer, Material, Piece
from estimator.workshop import Labor, settings_of
from geometry.frozen import frozen
from geometry.message import Message, message

MOST = 5
WASTE_POINTS = 0.05
PRICE_SHARE = 0.20
RATE_SHARE = 0.10
HOURS_SHARE = 0.20
THICKNESS_M = 0.0254 / 16
DENSITY_SHARE = 0.03  # through the air, since only less air makes the same recipe denser
PriceOf = Callable[[Job], Decimal]
Turn = Callable[[Job, int], Job]  # the job with one input down (-1) or up (+1)


@frozen
class Swing:
    """The price before tax with one input moved down and up; None if that job cannot be made."""

    name: str  # name and step as data
    step: str  # size of the move
    label: Message  # name and step on paper
    moved: Message
    low: Decimal | None
    high: Decimal | None

    def span(self, base: Decimal) -> Decimal:
        """Largest change of the price from `base`."""
        return max((abs(price - base) for price in (self.low, self.high) if price is not None), default=Decimal(0))


def sensitivity(job: Job, base: Decimal, price_of: PriceOf, reprice: PriceOf, most: int = MOST) -> tuple[Swing, ...]:
    """The inputs that move the price most, largest first, without those that do not move it.

    base       price of the job itself, before tax
    price_of   function that estimates a whole job and returns its price before tax
    reprice    same, for a job that differs only in prices and rates
    """
    swings = []
    for names, moved, money_alone, turn in _inputs():
        estimate = reprice if money_alone else price_of
        ends = _price_at(job, turn, -1, estimate), _price_at(job, turn, +1, estimate)
        swings.append(Swing(*names, message(f"swing-{turn.__name__.strip('_').replace('_', '-')}"), moved, *ends))
    moving = [swing for swing in swings if swing.span(base) > 0]
    return tuple(sorted(moving, key=lambda swing: -swing.span(base))[:most])


def _price_at(job: Job, turn: Turn, way: int, price_of: PriceOf) -> Decimal | None:
    """Price with one input moved; None if that job cannot be made."""
    try:
        return price_of(turn(job, way))
    except (InputError, FaultError):
        return None


def _inputs() -> Iterator[tuple[tuple[str, str], Message, bool, Turn]]:
    """Yield name and step as data, the step on paper, whether it changes only money, and the function that moves it."""

    def by(share: float) -> Message:
        return message("swing-share", moved_share=share)

    points = round(WASTE_POINTS * 100)
    yield ("waste on cast volume", f"± {points} points"), message("swing-points", points=points), False, _waste
    yield ("price of light aggregate", f"± {PRICE_SHARE * 100:g} %"), by(PRICE_SHARE), True, _light_price
    yield ("price of all other material", f"± {PRICE_SHARE * 100:g} %"), by(PRICE_SHARE), True, _other_price
    yield ("labour rates", f"± {RATE_SHARE * 100:g} %"), by(RATE_SHARE), True, _rates
    yield ("hours", f"± {HOURS_SHARE * 100:g} %"), by(HOURS_SHARE), True, _hours
    yield ("thickness", '± 1/16"'), message("swing-length", moved_m=THICKNESS_M), False, _thickness
    yield ("density, by air", f"± {DENSITY_SHARE * 100:g} %"), by(DENSITY_SHARE), False, _density


def _waste(job: Job, way: int) -> Job:
    def moved(waste: float | None) -> float | None:
        return None if waste is None else max(0.0, waste + way * WASTE_POINTS)

    def with_waste(layer: Layer) -> Layer:
        return replace(layer, waste=moved(layer.waste))

    shop = job.workshop.waste
    shop = replace(
        shop, **{item.name: max(0.0, getattr(shop, item.name) + way * WASTE_POINTS) for item in fields(shop)}
    )
    return replace(
        job,
        waste=moved(job.waste),
        mixes={name: replace(mix, waste=moved(mix.waste)) for name, mix in job.mixes.items()},
        pieces=tuple(
            replace(piece, waste=moved(piece.waste), layers=tuple(with_waste(layer) for layer in piece.layers))
            for piece in job.pieces
        ),
        workshop=replace(job.workshop, waste=shop),
    )


def _light_price(job: Job, way: int) -> Job:
    return _dearer(job, 1.0 + way * PRICE_SHARE, light=True)


def _other_price(job: Job, way: int) -> Job:
    return _dearer(job, 1.0 + way * PRICE_SHARE, light=False)


def _dearer(job: Job, factor: float, *, light: bool) -> Job:
    def repriced(material: Material) -> Material:
        if (material.kind == "light-aggregate") != light:
            return material
        packs = tuple(
            replace(
                pack,
                unit_price=None if pack.unit_price is None else pack.unit_price * factor,
                pallet_price=None if pack.pallet_price is None else pack.pallet_price * factor,
                breaks=tuple(replace(step, unit_price=step.unit_price * factor) for step in pack.breaks),
            )
            for pack in material.packs
        )
        return replace(material, packs=packs)

    return replace(job, materials={name: repriced(material) for name, material in job.materials.items()})


def _rates(job: Job, way: int) -> Job:
    return _scaled(job, ("rate", "rate_install"), 1.0 + way * RATE_SHARE)


def _hours(job: Job, way: int) -> Job:
    """Job with every activity time scaled; the limits of the check on total hours stay."""
    times = tuple(
        name
        for name, _, setting in settings_of(Labor)
        if setting.kind.startswith("time") and not name.startswith("whole_job")
    )
    return _scaled(job, times, 1.0 + way * HOURS_SHARE)


def _scaled(job: Job, names: tuple[str, ...], factor: float) -> Job:
    labor = job.workshop.labor
    labor = replace(labor, **{name: getattr(labor, name) * factor for name in names})
    return replace(job, workshop=replace(job.workshop, labor=labor))


def _density(job: Job, way: int) -> Job:
    mixes = {
        name: replace(mix, air=max(0.0, 1.0 - (1.0 - mix.air) * (1.0 + way * DENSITY_SHARE)))
        for name, mix in job.mixes.items()
    }
    return replace(job, mixes=mixes)


def _thickness(job: Job, way: int) -> Job:
    return replace(job, pieces=tuple(_thicker(piece, way * THICKNESS_M) for piece in job.pieces))


def _thicker(piece: Piece, by_m: float) -> Piece:
    """A piece with a thicker section; its back layer takes the difference. A solid does not change."""
    shape = piece.shape.thicker(by_m)
    if shape is None:
        return piece
    layers = piece.layers
    if all(layer.thickness_m is not None for layer in layers):
        last = layers[-1]
        layers = (*layers[:-1], replace(last, thickness_m=(last.thickness_m or 0.0) + by_m))
    nominal = piece.nominal_thickness_m
    return replace(piece, shape=shape, layers=layers, nominal_thickness_m=None if nominal is None else nominal + by_m)
