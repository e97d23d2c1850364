"""What the client accepted is neither divided anew nor ended without a word."""

from typing import Any

import pytest

from estimator import InputError, estimate, job_from

SLAB = {"kind": "slab", "length": "1 m", "width": "600 mm", "thickness": "25 mm"}
LONGER = {"number": 1, "reason": "longer", "signed": "2026-03-02", "piece": [{"mark": "A", "shape": {"length": "2 m"}}]}


def priced(accepted: dict[str, Any] | None = None, **more: Any) -> Any:
    raw = {
        "job": {"name": "Hall", "units": "metric", "mix": "backer-45", "status": "released"},
        "piece": [{"mark": "A", "shape": SLAB}, {"mark": "B", "shape": SLAB}],
        **more,
    }
    if accepted is not None:
        raw["price"] = {"agreed": {"price": 1000.0, "tax": 60.0, "pieces": accepted}}
    return estimate(job_from(raw)).document()


@pytest.mark.parametrize(
    ("pieces", "line"),
    [
        ({"A": 500.0, "B": 400.0}, "The accepted prices of the pieces add up to"),
        ({"A": 1000.0}, "lacks the price of B."),
        ({"A": 500.0, "B": 500.0, "C": 1.0}, "names marks that the job does not have: C."),
    ],
)
def test_accepted_prices_that_are_not_those_of_the_marks_are_refused(pieces: dict[str, float], line: str) -> None:
    with pytest.raises(InputError, match=r"price\.agreed\.pieces") as refused:
        priced(pieces)
    assert line in str(refused.value)


def test_accepted_prices_hold_to_the_cent_by_any_spelling_of_a_mark() -> None:
    document = priced({"a ": 649.99, "B": 350.01, "C": 0.0})
    assert [piece["price"] for piece in document["pieces"]] == [649.99, 350.01]
    assert document["cost"]["price"] == 1000.0


def test_an_option_beside_the_pieces_is_divided_over_them() -> None:
    option = [{"name": "sealer", "lump": 100.0, "taken": True}]
    document = priced({"A": 450.0, "B": 450.0}, option=option)
    assert [piece["price"] for piece in document["pieces"]] == [500.0, 500.0]


def test_an_option_adds_the_same_to_an_accepted_price() -> None:
    longer = [{"name": "longer", "piece": [{"mark": "A", "shape": {"length": "2 m"}}]}]
    (own,), (held,) = (
        priced(accepted, option=longer)["quote"]["options"] for accepted in (None, {"A": 500.0, "B": 500.0})
    )
    assert held["price"] == pytest.approx(own["price"], abs=0.011)
    assert own["price"] > 100.0


def test_an_order_that_ends_the_accepted_price_says_so() -> None:
    def ended(document: Any) -> bool:
        return "agreed-ended" in [warning["id"] for warning in document["warnings"]]

    assert ended(priced({"A": 500.0, "B": 500.0}, change=[LONGER]))
    assert not ended(priced(change=[LONGER]))
    added = {**LONGER, "agreed": {"price": 100.0, "tax": 6.0}}
    document = priced({"A": 500.0, "B": 500.0}, change=[added])
    assert not ended(document)
    assert document["cost"]["price"] == 1100.0
    assert sum(piece["price"] for piece in document["pieces"]) == pytest.approx(1100.0)


@pytest.mark.parametrize("section", ["change", "alternative", "option"])
def test_a_version_without_a_piece_is_refused(section: str) -> None:
    entry = {"remove": ["A", "B"], **({"number": 1, "reason": "gone"} if section == "change" else {"name": "gone"})}
    with pytest.raises(InputError, match="leaves no piece of the job"):
        priced(**{section: [entry]})
