"""Freight bills add up on a pocket calculator."""

import pytest

from estimator.errors import FaultError
from estimator.packaging.freight import freight, freight_total
from estimator.supplies import Tariff

TARIFF = Tariff(per_delivery=60.0, per_pallet=45.0, per_kg=0.0215, zones={"near": 0.0, "far": 35.5}, lift_gate=75.0)


def test_a_bill_names_every_charge_and_sums_the_rounded_lines():
    bill = freight(TARIFF, pallets=3, gross_kg=1234.5, zone="far", lift_gate=True)
    assert [(charge.text, charge.number, charge.each, charge.amount) for charge in bill] == [
        ("delivery", 1.0, 60.0, 60.0),
        ("zone far", 1.0, 35.5, 35.5),
        ("lift-gate", 1.0, 75.0, 75.0),
        ("pallets", 3.0, 45.0, 135.0),
        ("gross mass, kg", 1234.5, 0.0215, 26.54),
    ]
    assert freight_total(bill) == 332.04


def test_no_lift_gate_is_charged_where_the_workshop_has_a_dock():
    assert "lift-gate" not in {charge.text for charge in freight(TARIFF, 1, 100.0, "near")}


@pytest.mark.parametrize(
    ("tariff", "zone", "key"),
    [
        (TARIFF, "moon", "freight.zone"),
        (Tariff(per_kg=-0.1), "", "freight.per_kg"),
        (Tariff(zones={"a": float("nan")}), "a", "freight.zones.a"),
    ],
)
def test_an_impossible_tariff_is_refused_by_its_key(tariff, zone, key):
    with pytest.raises(FaultError) as error:
        freight(tariff, 1, 1.0, zone)
    assert error.value.key == key
