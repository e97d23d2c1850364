"""The money side of the job file as pydantic reads it: terms, sign-offs, options, alternatives, change orders."""

from typing import Annotated, Any, Literal

from pydantic import AfterValidator, Field, model_validator

from estimator.intake.base import SHARES_TOLERANCE, Name, Table
from estimator.intake.fields import Date, Price, Proportion, Ratio, Time, WholeNumber, fault

MOST_ON_COST = 5.0  # above it a percentage was likely written as a number
AnyTable = dict[str, Any]  # a table of the job file in part: what it holds is checked once it lies over the job


class PaymentTable(Table):
    """A part of the total that falls due at one moment."""

    name: Name
    share: Ratio
    due: str = ""


class ReceivedTable(Table):
    """A payment that the client made."""

    amount: Price = Field(description="What was paid, tax included.")
    date: Date | None = Field(default=None, description="The day on which it came in.")
    step: Name | None = Field(
        default=None, description="The payment step that it settles; the first open one if left out."
    )


def _pays_all(steps: list[PaymentTable]) -> list[PaymentTable]:
    whole = sum(step.share for step in steps)
    if steps and abs(whole - 1.0) > SHARES_TOLERANCE:
        raise fault(
            f"the payment steps sum to {whole:.4g} of the total, not 1.",
            f"Change the share of {' or '.join(step.name for step in steps)}.",
        )
    return steps


class PriceTable(Table):
    overhead: Proportion
    margin: Ratio | None = None
    markup: Proportion | None = None
    tax: Ratio
    charge: Literal["used", "packs"] = "used"  # of material: what the job uses, or the whole packs bought for it
    reuse_within: Time = 183 * 86_400.0  # what keeps no longer is charged by whole packs
    rounding: Literal["nearest", "up"] = "nearest"  # of the price to quote.round_to
    payments: Annotated[list[PaymentTable], AfterValidator(_pays_all)] = []  # the workshop's three unless said
    received: list[ReceivedTable] = []  # what the client has paid so far

    @model_validator(mode="after")
    def _one_way_to_profit(self) -> "PriceTable":
        for key in ("overhead", "markup"):
            share = getattr(self, key)
            if share is not None and share > MOST_ON_COST:
                raise fault(f"{key} is {share:g} times the cost.", f"Is it {share:g} %? Write {share / 100:g}.")
        if self.margin is not None and self.markup is not None:
            raise fault("margin and markup are both given.", "Keep the margin, on the price, or the markup, on cost.")
        if self.margin is not None and self.margin >= 1.0:
            raise fault(
                f"a margin of {self.margin:.0%} of the price leaves nothing for the cost.", "Write less than 1."
            )
        return self


class SignOffTable(Table):
    """The day on which the client signed each."""

    sketch: Date | None = None
    sample: Date | None = None
    template: Date | None = None


class OverlayTable(Table):
    """The job once more with something changed: tables in part, laid over it key by key."""

    note: str = ""
    pieces: list[Name] = []  # marks on which `swap` acts; all unless said
    swap: dict[Name, Name] = {}  # mixes put in the place of others
    piece: list[AnyTable] = []  # marks with the keys that change
    add: list[AnyTable] = []  # further pieces
    remove: list[Name] = []  # marks left out
    mixes: dict[Name, AnyTable] = {}
    materials: dict[Name, AnyTable] = {}
    workshop: AnyTable = {}
    price: AnyTable = {}
    stock: AnyTable = {}

    @property
    def changes_anything(self) -> bool:
        return any(
            getattr(self, key)
            for key in ("swap", "piece", "add", "remove", "mixes", "materials", "workshop", "price", "stock")
        )


class AlternativeTable(OverlayTable):
    """Another way to make the job, priced beside it."""

    name: Name

    @model_validator(mode="after")
    def _differs(self) -> "AlternativeTable":
        if not self.changes_anything:
            raise fault("changes nothing.", "Say what differs: swap, piece, add, remove, price, workshop ...")
        return self


class OptionTable(OverlayTable):
    """What the client may add: a lump sum before tax, or changes. Priced beside the job until it is taken."""

    name: Name
    lump: Price | None = None
    taken: bool = False

    @model_validator(mode="after")
    def _is_one_thing(self) -> "OptionTable":
        if (self.lump is None) != self.changes_anything:
            raise fault(
                "is neither a lump sum nor a change, or both.", "Give `lump`, or what it changes: add, piece ..."
            )
        return self


class ChangeTable(OverlayTable):
    """A numbered change order after release. It is part of the job from the day on which the client signed it."""

    number: Annotated[WholeNumber, Field(ge=1)]
    reason: Name
    date: Date | None = None
    signed: Date | None = None
    days: WholeNumber = 0  # working days of delay beyond what its hours take

    @model_validator(mode="after")
    def _differs(self) -> "ChangeTable":
        if not self.changes_anything:
            raise fault("changes nothing.", "Say what differs: piece, add, remove, swap ...")
        return self
