"""What it costs to have an order brought: by pallet, by mass, by zone, and for a truck with a lift-gate."""

from dataclasses import dataclass
from math import isfinite

from estimator.packaging.faults import PackagingError
from estimator.packaging.price import MILLIONTHS_PER_CENT, MILLIONTHS_PER_UNIT, cents, millionths
from estimator.supplies import Tariff


@dataclass(frozen=True, slots=True)
class Charge:
    """One line of a freight bill: `number` times `each`, rounded half up to the cent."""

    text: str
    number: float
    each: float
    amount: float


def refuse_faulty_tariff(tariff: Tariff, key: str) -> None:
    """Raise PackagingError for a charge that is negative or not a number."""
    charges = {
        "per_delivery": tariff.per_delivery,
        "per_pallet": tariff.per_pallet,
        "per_kg": tariff.per_kg,
        "lift_gate": tariff.lift_gate,
        **{f"zones.{zone}": charge for zone, charge in tariff.zones.items()},
    }
    for name, charge in charges.items():
        if not isfinite(charge) or charge < 0.0:
            raise PackagingError(f"a charge of {charge:g} is none.", "Give zero or more.", f"{key}.{name}")


def zone_charge(tariff: Tariff, zone: str, key: str = "freight") -> float:
    """A delivery's surcharge for a zone; raises PackagingError where the tariff has zones but not this one."""
    if not tariff.zones:
        return 0.0
    if zone not in tariff.zones:
        known = ", ".join(sorted(tariff.zones))
        raise PackagingError(f'the tariff has no zone "{zone}".', f"Choose one of {known}.", f"{key}.zone")
    return tariff.zones[zone]


def freight(
    tariff: Tariff, pallets: int, gross_kg: float, zone: str = "", lift_gate: bool = False, key: str = "freight"
) -> tuple[Charge, ...]:
    """The freight bill of one delivery, charges of nothing left out.

    pallets    pallets begun
    gross_kg   goods and pallets, kg
    zone       where the workshop lies, as the tariff names it
    lift_gate  whether the truck must bring its own lift
    """
    refuse_faulty_tariff(tariff, key)
    bill = [
        ("delivery", 1.0, tariff.per_delivery),
        (f"zone {zone}", 1.0, zone_charge(tariff, zone, key)),
        ("lift-gate", 1.0 if lift_gate else 0.0, tariff.lift_gate),
        ("pallets", float(pallets), tariff.per_pallet),
        ("gross mass, kg", gross_kg, tariff.per_kg),
    ]
    return tuple(
        Charge(text, number, each, cents(round(number * each * MILLIONTHS_PER_UNIT)) / 100)
        for text, number, each in bill
        if number and each
    )


def freight_total(charges: tuple[Charge, ...]) -> float:
    """Sum of the rounded charges."""
    return sum(millionths(charge.amount) for charge in charges) // MILLIONTHS_PER_CENT / 100
