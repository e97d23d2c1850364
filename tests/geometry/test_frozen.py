"""Frozen classes behave as the standard library's frozen dataclasses do."""

import copy
import pickle
from dataclasses import FrozenInstanceError, asdict, astuple, dataclass, field, fields, is_dataclass, replace
from typing import Any

import numpy as np
import pytest

from geometry.frozen import KEPT_HASH, frozen
from geometry.plane import Ring


@frozen
class Bag:
    """A bag of powder."""

    mass_kg: float
    name: str = "bag"
    tags: list[str] = field(default_factory=list, compare=False)
    label: str = field(init=False, repr=False, default="none")

    def __post_init__(self) -> None:
        object.__setattr__(self, "label", f"{self.name} of {self.mass_kg:g} kg")


@frozen
class Sack(Bag):
    """A larger bag."""

    loops: int = 4


@frozen(eq=False)
class Lump:
    size_m: float


@frozen(kw_only=True)
class Load:
    bags: int
    pallet_kg: float = 20.0


@dataclass(frozen=True, slots=True)
class StandardBag:
    mass_kg: float
    name: str = "bag"


def test_fields_defaults_and_text_are_those_of_a_dataclass() -> None:
    bag = Bag(25.0)
    assert is_dataclass(bag)
    assert [item.name for item in fields(bag)] == ["mass_kg", "name", "tags", "label"]
    assert (bag.name, bag.tags, bag.label) == ("bag", [], "bag of 25 kg")
    assert repr(bag) == "Bag(mass_kg=25.0, name='bag', tags=[])"
    assert repr(StandardBag(1.0)) == repr(Bag(1.0)).replace("Bag(", "StandardBag(").replace(", tags=[]", "")
    assert astuple(Sack(40.0, "sack", [], 2)) == (40.0, "sack", [], "sack of 40 kg", 2)
    assert asdict(Load(bags=3)) == {"bags": 3, "pallet_kg": 20.0}
    assert Bag.__match_args__ == ("mass_kg", "name", "tags")
    assert Bag(1.0).tags is not Bag(1.0).tags


def test_nothing_can_be_set_or_deleted() -> None:
    bag: Any = Bag(25.0)
    with pytest.raises(FrozenInstanceError, match="mass_kg"):
        bag.mass_kg = 1.0
    with pytest.raises(FrozenInstanceError):
        del bag.mass_kg
    with pytest.raises(FrozenInstanceError):
        bag.color = "red"
    assert not hasattr(bag, "__dict__")


def test_equality_and_hash_go_by_the_fields_that_compare() -> None:
    assert Bag(25.0) == Bag(25.0, tags=["dry"])
    assert hash(Bag(25.0)) == hash(Bag(25.0, tags=["dry"]))
    assert Bag(25.0) != Bag(25.0, "sack")
    assert Bag(25.0) != Sack(25.0)
    lump = Lump(1.0)
    assert lump == lump
    assert lump != Lump(1.0)


def test_copies_and_pickles_are_equal() -> None:
    for bag in (Bag(25.0, "x", ["dry"]), Sack(40.0)):
        for again in (copy.copy(bag), copy.deepcopy(bag), pickle.loads(pickle.dumps(bag))):
            assert again == bag
            assert again.label == bag.label
    assert replace(Bag(25.0), mass_kg=40.0).label == "bag of 40 kg"


def test_calls_that_do_not_fit_are_refused() -> None:
    for wrong in ({}, {"mass_kg": 1.0, "weight": 2.0}, {"mass_kg": 1.0, "label": "x"}):
        with pytest.raises(TypeError):
            Bag(**wrong)
    with pytest.raises(TypeError):
        Load(3)  # type: ignore[misc]


def test_the_first_objects_are_as_those_after_them() -> None:
    @frozen
    class Drum:
        volume_m3: float
        name: str = "drum"
        marks: list[str] = field(default_factory=list)
        lid: bool = field(default=True, kw_only=True)

    def faulty() -> None:
        for arguments, named in (
            ((), {}),
            ((1.0, "a", [], True), {}),
            ((1.0,), {"volume_m3": 2.0}),
            ((1.0,), {"id": 3}),
        ):
            with pytest.raises(TypeError):
                Drum(*arguments, **named)  # type: ignore[arg-type]

    faulty()
    drums = [Drum(0.2, marks=["a"], lid=False) for _ in range(8)]
    faulty()
    assert all(drum == drums[-1] for drum in drums)
    assert len({type(drum) for drum in drums}) == 1
    assert all((drum.name, drum.marks, drum.lid) == ("drum", ["a"], False) for drum in drums)


def test_each_of_the_first_objects_has_its_own_defaults() -> None:
    @frozen
    class Tray:
        tags: list[str] = field(default_factory=list)

    trays = [Tray() for _ in range(8)]
    assert len({id(tray.tags) for tray in trays}) == 8


class Counted:
    """A value that counts how often its hash is asked for."""

    def __init__(self):
        self.times = 0

    def __hash__(self):
        self.times += 1
        return 7


class Keeping:
    __slots__ = (KEPT_HASH,)


@frozen
class Kept(Keeping):
    value: object


def test_a_kept_hash_is_computed_once_and_does_not_travel():
    value = Counted()
    kept = Kept(value)
    assert hash(kept) == hash(kept) == hash(Kept(Counted()))
    assert value.times == 1
    again = pickle.loads(pickle.dumps(Kept(3.0)))
    assert again == Kept(3.0)
    assert not hasattr(again, KEPT_HASH)


def test_a_copy_keeps_what_was_measured_to_the_last_digit() -> None:
    # Rings of a drawing are measured together, and a ring alone may differ in its last digit.
    points, known = np.array([[0.0, 0.0], [0.4, 0.0], [0.4, 0.2], [0.0, 0.2]]), 1.2000000000000002
    ring = Ring._made(points, None, perimeter_m=known)
    for again in (copy.copy(ring), copy.deepcopy(ring), pickle.loads(pickle.dumps(ring))):
        assert again.perimeter_m == known
