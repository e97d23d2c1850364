"""Tables of stock, samples, options, alternates and change orders in the job file."""

import re
from dataclasses import field
from typing import Annotated, Any

from pydantic import Discriminator, Field, Tag

from estimator.errors import FaultError
from estimator.job import AgreedChange, Use
from estimator.keys import (
    Area,
    Checked,
    Count,
    Coverage,
    Date,
    Key,
    Length,
    Mass,
    MassOrNone,
    Name,
    Price,
    Ratio,
    Volume,
    WholeNumber,
    table,
)
from estimator.supplies import Basis, Rate
from geometry.message import message

MEASURES = {"area": "m2", "length": "m", "volume": "m3", "mass": "kg", "pieces": "piece"}  # key: measure


@table(kw_only=True)
class SamplesTable:
    """Samples for the client, cast and sealed, of the size in workshop.forms."""

    count: Annotated[Count | None, Key("Number of samples.", 2, "the shop's setting forms.samples")] = None
    price: Annotated[Price, Key("Price of one sample, in the job's currency.", 75.0)] = 0.0
    credited: Annotated[bool, Key("Whether their price is credited when the job is ordered.", True)] = True
    mix: Annotated[Name | None, Key("Mix of the samples.", "face", "the mix of [job]")] = None


@table(kw_only=True)
class PieceConsumableTable:
    """Use of a consumable by one piece: an amount, or a basis as in the workshop's table."""

    basis: Annotated[
        Basis | None,
        Key("Basis of the amount. Give a basis or exactly one amount.", "finished-area", "by an amount"),
    ] = None
    coverage: Annotated[
        Coverage | None,
        Key("Area that a volume covers in one coat.", "200 ft^2/gal", "the amount is the length, area or count itself"),
    ] = None
    coats: Annotated[Count, Key("Number of coats.", 2)] = 1
    uses: Annotated[Count, Key("Casts before it is used up.", 20)] = 1
    area: Annotated[Area | None, Key("Area for one piece.", "12 ft^2", "by another amount or a basis")] = None
    length: Annotated[Length | None, Key("Length for one piece.", "6 ft", "by another amount or a basis")] = None
    volume: Annotated[Volume | None, Key("Volume for one piece.", "0.1 ft^3", "by another amount or a basis")] = None
    mass: Annotated[Mass | None, Key("Mass for one piece.", "2 lb", "by another amount or a basis")] = None
    pieces: Annotated[Count | None, Key("Number for one piece.", 4, "by another amount or a basis")] = None
    waste: Annotated[Ratio, Key("Laps and offcuts, as a share added.", 0.1)] = 0.0

    def __post_init__(self) -> None:
        given = [key for key in ("basis", *MEASURES) if getattr(self, key) is not None]
        if len(given) != 1:
            raise FaultError("", message("amount-not-one", count=len(given), keys=given))
        if self.basis is not None:
            Rate(self.basis, self.coverage)


@table(kw_only=True)
class StockLotTable:
    """One lot in stock: its mass, or for a consumable the measure by which it is used."""

    mass: Annotated[MassOrNone | None, Key("Mass on hand. Give exactly one amount.", "60 lb", "by another amount")] = (
        None
    )
    area: Annotated[Area | None, Key("Area on hand of a consumable.", "100 ft^2", "by another amount")] = None
    length: Annotated[Length | None, Key("Length on hand of a consumable.", "40 ft", "by another amount")] = None
    volume: Annotated[Volume | None, Key("Volume on hand of a consumable.", "2 gal", "by another amount")] = None
    pieces: Annotated[WholeNumber | None, Key("Pieces on hand of a consumable.", 6, "by another amount")] = None
    lot: Annotated[Name | None, Key("Lot number on the bag.", "24-118", "lot not known")] = None
    keeps_until: Annotated[Date | None, Key("Last day of use.", "2026-09-30", "no limit")] = None

    def __post_init__(self) -> None:
        given = [key for key in MEASURES if getattr(self, key) is not None]
        if len(given) != 1:
            raise FaultError("", message("stock-not-one", count=len(given), keys=given))

    @property
    def amount(self) -> tuple[str, float]:
        """Measure, and the amount in it."""
        return next((MEASURES[key], float(value)) for key in MEASURES if (value := getattr(self, key)) is not None)


def _stock_form(value: Any) -> str:
    return "(lots)" if isinstance(value, list) else "(lot)" if isinstance(value, dict) else "(mass)"


StockEntry = Annotated[
    Annotated[MassOrNone, Tag("(mass)")]
    | Annotated[StockLotTable, Tag("(lot)")]
    | Annotated[list[StockLotTable], Tag("(lots)")],
    Discriminator(_stock_form),
]


@table(kw_only=True)
class StockTable:
    stock: Annotated[dict[Name, StockEntry], Key("Stock on hand by material.", {"white-cement": "60 lb"})] = field(
        default_factory=dict
    )


@table(kw_only=True)
class ReserveTable:
    reserve: Annotated[
        dict[Name, MassOrNone], Key("Mass to keep in stock, by material.", {"white-cement": "47 lb"})
    ] = field(default_factory=dict)


@table(kw_only=True)
class LotsTable:
    lots: Annotated[dict[Name, Name], Key("Lot used for the job, by material.", {"white-cement": "24-118"})] = field(
        default_factory=dict
    )


AnyTable = dict[str, Any]  # part of a table of the job file, checked after it is overlaid on the job


@table(kw_only=True)
class OverlayTable:
    """Changes to the job: partial tables laid over it key by key."""

    note: Annotated[str, Key("Note for the reader.", "lighter to carry", "none")] = ""
    pieces: Annotated[list[Name], Key("Marks that `swap` applies to.", ["C1"], "all pieces")] = field(
        default_factory=list
    )
    swap: Annotated[dict[Name, Name], Key("Mixes to swap, old to new.", {"backer-45": "backer-65"})] = field(
        default_factory=dict
    )
    piece: Annotated[
        list[AnyTable],
        Key("Pieces that change, by mark, with the changed keys.", [{"mark": "C2", "shape": {"width": "30 in"}}]),
    ] = field(default_factory=list)
    add: Annotated[
        list[AnyTable],
        Key(
            "Pieces to add, written like [[piece]].",
            [{"mark": "C9", "shape": {"kind": "slab", "length": "24 in", "width": "12 in", "thickness": "1 in"}}],
        ),
    ] = field(default_factory=list)
    remove: Annotated[list[Name], Key("Marks to leave out.", ["P3"])] = field(default_factory=list)
    mixes: Annotated[dict[Name, AnyTable], Key("Mixes that change, by name.", {"counter": {"air": 0.06}})] = field(
        default_factory=dict
    )
    materials: Annotated[
        dict[Name, AnyTable],
        Key("Materials that change, by name, with the changed keys.", {"silica-sand": {"moisture": 0.05}}),
    ] = field(default_factory=dict)
    workshop: Annotated[AnyTable, Key("Keys of [workshop] that change.", {"labour": {"rate": 60.0}})] = field(
        default_factory=dict
    )
    price: Annotated[AnyTable, Key("Keys of [price] that change.", {"margin": 0.25})] = field(default_factory=dict)
    stock: Annotated[AnyTable, Key("Stock that changes, by material.", {"white-cement": "0 lb"})] = field(
        default_factory=dict
    )

    @property
    def changes_anything(self) -> bool:
        return any(
            getattr(self, key)
            for key in ("swap", "piece", "add", "remove", "mixes", "materials", "workshop", "price", "stock")
        )


@table(kw_only=True)
class AlternativeTable(OverlayTable):
    """An alternate, priced beside the job."""

    name: Annotated[Name, Key("Name of the alternate.", "lighter")]

    def __post_init__(self) -> None:
        if not self.changes_anything:
            raise FaultError("", message("overlay-empty"))


@table(kw_only=True)
class OptionTable(OverlayTable):
    """An option for the client: a lump sum before tax, or changes. Priced beside the job until taken."""

    name: Annotated[Name, Key("Name of the option, as the quote prints it.", "Sealer upgrade")]
    lump: Annotated[
        Price | None,
        Key("Lump sum before tax, in the job's currency.", 180.0, "priced from its changes"),
    ] = None
    taken: Annotated[bool, Key("True once the client has taken the option. It is then part of the job.", True)] = False

    def __post_init__(self) -> None:
        if (self.lump is None) != self.changes_anything:
            raise FaultError("", message("option-empty" if self.lump is None else "option-lump-and-changes"))


@table(kw_only=True)
class ChangeTable(OverlayTable):
    """A numbered change order after release. It is part of the job once the client has signed it."""

    number: Annotated[Annotated[WholeNumber, Field(ge=1)], Key("Number of the change order, from 1.", 1)]
    reason: Annotated[Name, Key("Reason for the change.", "wider bar")]
    date: Annotated[Date | None, Key("Date of the change order.", "2026-04-02", "not stated")] = None
    signed: Annotated[
        Date | None,
        Key(
            "Date of the client's signature. A signed change order is part of the job.",
            "2026-04-03",
            "not signed: priced, but not part of the job",
        ),
    ] = None
    days: Annotated[WholeNumber, Key("Working days of delay, beyond its hours.", 2)] = 0
    agreed: Annotated[
        AgreedChange | None,
        Key(
            "What the order adds to the accepted amounts, as the client signs it.",
            {"price": 210.0, "tax": 12.6},
            "the price is calculated",
        ),
    ] = None

    def __post_init__(self) -> None:
        if not self.changes_anything:
            raise FaultError("", message("overlay-empty"))


TermText = Annotated[str, Field(min_length=1, max_length=2000)]
HEX_COLOR = re.compile(r"#[0-9A-Fa-f]{6}")


@table(kw_only=True)
class TermTable:
    """A paragraph of the terms for some uses of pieces only."""

    text: Annotated[TermText, Key("The paragraph.", "Use cutting boards and trivets.")]
    uses: Annotated[list[Use], Key("Uses of pieces that the paragraph applies to.", ["counter"], "every quote")] = (
        field(default_factory=list)
    )


def _term_form(value: Any) -> str:
    return "(table)" if isinstance(value, dict) else "(text)"


Term = Annotated[Annotated[TermText, Tag("(text)")] | Annotated[TermTable, Tag("(table)")], Discriminator(_term_form)]


def _hex_color(value: Any) -> Any:
    if not isinstance(value, str) or not HEX_COLOR.fullmatch(value):
        raise FaultError("", message("business-color-not-hex", value=str(value)))
    if min(int(value[i : i + 2], 16) for i in (1, 3, 5)) > PALEST:
        raise FaultError("", message("business-color-too-pale", value=value))
    return value


PALEST = 0xE0  # a color paler than this in every channel is invisible on white paper

HexColor = Annotated[
    str, Checked(_hex_color, "color of six hexadecimal digits, two each for red, green and blue", "#1F5C6B")
]


@table(kw_only=True)
class BusinessTable:
    """The shop, as printed on its sheets."""

    name: Annotated[Name | None, Key("Name of the shop.", "Lakeside casting workshop", "none is printed")] = None
    address: Annotated[list[Name], Key("Address, one line each.", ["Dock road 3", "Invented Harbor"])] = field(
        default_factory=list
    )
    contact: Annotated[list[Name], Key("Telephone and mail, one line each.", ["office@lakeside.example"])] = field(
        default_factory=list
    )
    registration: Annotated[
        Name | None, Key("Any other registration that must be printed.", "Trade register 0042", "none is printed")
    ] = None
    licence: Annotated[Name | None, Key("License number of the shop.", "C-29 104411", "none is printed")] = None
    tax_number: Annotated[Name | None, Key("Tax or VAT number of the shop.", "88-0042917", "none is printed")] = None
    colour: Annotated[HexColor | None, Key("Accent color of the client's papers.", "#1F5C6B", "black")] = None
    font: Annotated[
        Name | None,
        Key(
            "TrueType font of the client's papers. The path starts at the file that names it.",
            "own.ttf",
            "the built-in font",
        ),
    ] = None
    font_bold: Annotated[Name | None, Key("Bold cut of the same font.", "own-bold.ttf", "`font` for bold text too")] = (
        None
    )
    logo: Annotated[
        Name | None,
        Key("Logo in PNG or JPEG. The path starts at the file that names it.", "logo.png", "none is printed"),
    ] = None
    terms: Annotated[
        list[Term],
        Key(
            "Terms of the quote: paragraphs, or keys of the catalog's. A table limits a paragraph to some uses.",
            ["Prices hold for the sizes drawn.", {"text": "Use cutting boards and trivets.", "uses": ["counter"]}],
        ),
    ] = field(default_factory=list)
