"""Tables of the job file and the catalog, one model for both."""

from dataclasses import field
from typing import Annotated, Any, Literal, get_args

from pydantic import Discriminator, Field, Tag

from estimator.catalog import Language, ReaderLanguage
from estimator.errors import FaultError
from estimator.intake.drawing_tables import DrawingTable
from estimator.intake.material_tables import BucketTable, MaterialTable, MixTable
from estimator.intake.shapes import ShapeTable
from estimator.intake.term_tables import (
    AlternativeTable,
    BusinessTable,
    ChangeTable,
    OptionTable,
    PieceConsumableTable,
    SamplesTable,
    StockEntry,
)
from estimator.job import (
    Client,
    Cure,
    HandlingPreferences,
    InPlace,
    Insert,
    Layer,
    MaterialKind,
    Measure,
    Mixer,
    PriceTable,
    Risk,
    RoomCure,
    Scale,
    SeamLine,
    SignOffs,
    Status,
    Use,
)
from estimator.keys import (
    Checked,
    Count,
    Date,
    Key,
    MassOrNone,
    Name,
    Ratio,
    Reach,
    Time,
    UnitName,
    table,
)
from estimator.money import CURRENCIES
from estimator.names import quoted
from estimator.site import Site
from estimator.supplies import Form, Rate, Receiving, Scope, Supplier
from estimator.workshop import Method
from geometry.message import message


def _currency(value: Any) -> Any:
    if not isinstance(value, str) or value not in CURRENCIES:
        code = str(value).upper()
        if code in CURRENCIES:
            raise FaultError("", message("currency-case", value=quoted(value), code=code))
        raise FaultError("", message("currency-unknown", value=quoted(value)))
    return value


Currency = Annotated[str, Checked(_currency, "code of three capital letters", "USD", (("enum", sorted(CURRENCIES)),))]


def _language(value: Any) -> Any:
    if value in get_args(ReaderLanguage) and value not in get_args(Language):
        raise FaultError(
            "", message("language-of-readers", value=quoted(value), languages=", ".join(get_args(Language)))
        )
    return value


WholeLanguage = Annotated[Language, Checked(_language, "language tag", "en-US")]
"""Language of every message of a job."""

Permission = Literal["polystyrene-near-fire"]
Advice = Literal[  # when the batch sheet says it: see estimator.batching.placing
    "plain_face", "filled_face", "fingerprint", "face_round", "set_face", "passes", "honing", "stiff", "no_vibration",
    "fluid_beads", "likely_fluid_beads",
    "warm_mix", "retarder", "left_over", "bucket_heavy", "bucket_light", "plain_heavy", "plain_light",
]  # fmt: skip
LOADED_KINDS = ("sand", "light-aggregate", "cement", "pozzolan", "pigment", "admixture", "polymer", "water", "fibre")


def _check_order(order: list[MaterialKind], key: str) -> None:
    missing = [kind for kind in LOADED_KINDS if kind not in order]
    if missing or len(set(order)) < len(order):
        if missing:
            raise FaultError("", message("loading-kinds-missing", key=key, kinds=missing))
        raise FaultError("", message("loading-kind-twice", key=key))


@table(kw_only=True)
class JobTable:
    name: Annotated[Name, Key("Name of the job, as printed on every sheet.", "Boathouse cafe")]
    units: Annotated[Literal["imperial", "metric"], Key("System of units for everything printed.", "imperial")] = (
        "imperial"
    )
    currency: Annotated[Currency, Key("Currency of all prices, as an ISO 4217 code.", "USD")] = "USD"
    language: Annotated[
        WholeLanguage | None,
        Key("Language of sheets, messages and numbers.", "en-US", "en-US for imperial units, en-GB for metric"),
    ] = None
    crew_language: Annotated[
        ReaderLanguage | None,
        Key(
            "Language of the crew's sheets: shop, truck and site sheets, labels, cautions.",
            "es",
            "language",
        ),
    ] = None
    client_language: Annotated[
        ReaderLanguage | None,
        Key("Language of the quote, change orders and the client's page.", "es", "language"),
    ] = None
    status: Annotated[
        Status, Key("Status of the job. A ballpark prints a range. A released job prints dates.", "quoted")
    ] = "quoted"
    mix: Annotated[
        Name | None, Key("Mix of every piece that names none.", "backer-45", "every piece names its own")
    ] = None
    waste: Annotated[
        Ratio | None,
        Key("Waste in casting, as a share of the volume cast.", 0.07, "the shop's waste by placing method"),
    ] = None
    date: Annotated[Date | None, Key("Date of the quote.", "2026-03-02", "the quote has no date and no expiration")] = (
        None
    )
    start: Annotated[
        Date | None,
        Key(
            "First day of work in the shop.",
            "2026-03-16",
            "a released job starts on its date; before release no dates are planned",
        ),
    ] = None
    number: Annotated[
        Name | None, Key("Number of the quote, as the shop counts them.", "Q-2026-014", "none is printed")
    ] = None
    revision: Annotated[
        Name | None, Key("Revision of the sheets, in the shop's own numbering.", "1", "none is printed")
    ] = None
    stock_file: Annotated[
        Name | None,
        Key(
            "Stock list from an earlier job. Entries in [stock] replace its entries.",
            "stock-left.toml",
            "only [stock] counts",
        ),
    ] = None
    catalog: Annotated[
        Name | list[Name] | None,
        Key(
            "The shop's own catalog file or files. They override the built-in catalog.",
            "shop.toml",
            "the built-in catalog alone",
        ),
    ] = None


@table(kw_only=True)
class PieceTable:
    mark: Annotated[Name, Key("Piece mark, unique in the job.", "C1")]
    drawn_in: Annotated[
        Name | None,
        Key(
            "Drawing of this piece, as named in [[drawing]]. Keys of this entry override the drawing.",
            "kitchen.dxf",
            "the entry stands alone",
            key="from",
        ),
    ] = None
    description: Annotated[
        Name | None, Key("Description of the piece for the client.", "Island counter", "its use and size")
    ] = None
    finish: Annotated[Name | None, Key("Finish, as the quote prints it.", "honed and sealed", "none is named")] = None
    colour: Annotated[Name | None, Key("Color, as the quote prints it.", "warm gray", "none is named")] = None
    note: Annotated[Name | None, Key("Note to the client, on the quote.", "template on site", "no note")] = None
    quantity: Annotated[Count, Key("Number of pieces cast to this mark.", 2)] = 1
    use: Annotated[Use, Key("Use of the piece. It sets checks, cautions and site work.", "counter")] = "other"
    forms: Annotated[Count, Key("Number of forms for this mark. Two pieces from one form take two pour days.", 1)] = 1
    pour: Annotated[
        Name | None,
        Key(
            "Pour of the piece. Pieces of one pour are cast together.",
            "Monday",
            "the first days of casting",
        ),
    ] = None
    mix: Annotated[
        Name | None,
        Key(
            "Mix of the whole piece. For a face coat and a backer, give `layers` instead.",
            "backer-45",
            "the mix of [job]",
        ),
    ] = None
    waste: Annotated[
        Ratio | None,
        Key(
            "Waste in casting this piece, as a share of its volume.",
            0.1,
            "the waste of the mix, the job, or the shop",
        ),
    ] = None
    shape: Annotated[
        ShapeTable,
        Key(
            "Shape and sizes of the piece.",
            {"kind": "slab", "length": "72 in", "width": "25.5 in", "thickness": "3/4 in"},
        ),
    ]
    layers: Annotated[
        Annotated[list[Layer], Field(min_length=1)] | None,
        Key(
            "Layers from the form inward. One layer may omit its thickness.",
            [{"mix": "face", "thickness": "1/8 in", "method": "spray"}, {"mix": "backer-45"}],
            "one layer of `mix`",
        ),
    ] = None
    form_faces: Annotated[
        Literal["form", "all"], Key("Faces covered by the first layer: those against the form, or all.", "form")
    ] = "form"
    inserts: Annotated[
        list[Insert],
        Key(
            "Steel frames, foam cores, sleeves and anchors cast into the piece.",
            [{"name": "steel frame", "mass": "11 lb"}],
        ),
    ] = field(default_factory=list)
    seams: Annotated[
        list[SeamLine],
        Key(
            "Seams that cut a flat piece into parts, marked C1a, C1b and so on from the left.",
            [{"x": "41 in"}],
            "the piece is cast in one",
        ),
    ] = field(default_factory=list)
    form: Annotated[Form | None, Key("Form of this piece.", {"kind": "rubber", "uses": 20}, "the form of the job")] = (
        None
    )
    consumables: Annotated[
        dict[Name, PieceConsumableTable],
        Key(
            "Consumables of this piece, in addition to the shop's, by material.",
            {"foam-core": {"volume": "0.1 ft^3"}},
        ),
    ] = field(default_factory=dict)
    risk: Annotated[
        Risk | None,
        Key(
            "Risk of a remake. It sets the remake allowance.",
            "thin-railed",
            "judged by size, rails and color",
        ),
    ] = None
    install: Annotated[bool | None, Key("Whether the shop installs the piece.", True, "by the use of the piece")] = None
    handling: Annotated[
        HandlingPreferences | None,
        Key("The shop's choices for moving the piece.", {"carried": "edge"}, "the program proposes a method"),
    ] = None
    in_place: Annotated[
        InPlace | None, Key("Conditions of the piece in use.", {"outdoors": True}, "by the use of the piece")
    ] = None
    cure: Annotated[
        Cure | None,
        Key("Curing conditions of this piece.", {"room": "65 °F"}, "those of the job and the shop"),
    ] = None
    allowed: Annotated[
        list[Permission], Key("Permissions for this piece that must be given by name.", ["polystyrene-near-fire"])
    ] = field(default_factory=list)

    def __post_init__(self) -> None:
        if self.mix is not None and self.layers is not None:
            raise FaultError("", message("piece-mix-and-layers"))
        if self.shape.at is not None:
            raise FaultError("", message("shape-at"))
        if self.layers is not None and sum(layer.thickness_m is None for layer in self.layers) > 1:
            raise FaultError("", message("layers-open"))


@table(kw_only=True)
class ScheduleTable:
    file: Annotated[
        Name,
        Key(
            "Table with a row per piece (CSV, XLSX, ODS, XLS). Columns are dotted paths, such as `shape.length (mm)`.",
            "panels.csv",
        ),
    ]
    sheet: Annotated[Name | None, Key("Sheet of the workbook.", "Panels", "the first sheet")] = None
    unit: Annotated[
        UnitName | None,
        Key("Unit of plain numbers in the table.", "in", "every cell or column head has its unit"),
    ] = None
    decimal: Annotated[
        Literal["point", "comma"] | None,
        Key(
            "Decimal sign of the numbers in the table.",
            "comma",
            "as the numbers show. A number that could be read two ways is refused",
        ),
    ] = None


@table(kw_only=True)
class LoadingTable:
    """A loading method of a mixer: kinds of material in order, and the steps."""

    mixers: Annotated[list[Name], Key("Kinds of mixer that use this order.", ["paddle"])] = field(default_factory=list)
    order: Annotated[
        list[MaterialKind],
        Key(
            "Kinds of material in loading order, every kind once.",
            ["water", "admixture", "polymer", "pigment", "cement", "pozzolan", "sand", "light-aggregate", "fibre"],
        ),
    ]
    steps: Annotated[
        list[Name],
        Key("Steps at the mixer, as the batch sheet prints them.", ["Add most of the water."]),
    ] = field(default_factory=list)

    def __post_init__(self) -> None:
        _check_order(self.order, "order")


def _loading_form(value: object) -> str:
    return "(name)" if isinstance(value, str) else "(kinds)"


LoadingOrder = Annotated[
    Annotated[Name, Tag("(name)")] | Annotated[list[MaterialKind], Tag("(kinds)")], Discriminator(_loading_form)
]


@table(kw_only=True)
class WorkshopTable:
    mixer: Annotated[Mixer, Key("The mixer.", {"volume": "3 ft^3", "mass": "250 lb", "fill": 0.65})]
    scales: Annotated[
        Annotated[list[Scale], Field(min_length=1)],
        Key("Scales of the shop. Every mass goes to the most accurate scale that can weigh it.", [{"step": "0.1 lb"}]),
    ]
    measures: Annotated[
        list[Measure],
        Key("Measures for the density check, calibrated with water.", [{"volume": "0.25 ft^3", "tare": "2 lb"}]),
    ] = field(default_factory=list)
    loss_per_batch: Annotated[MassOrNone, Key("Mix left in mixer and tools, per batch.", "1 lb")]
    pot_life: Annotated[Time, Key("Time from first water to placed, including mixing.", "30 min")]
    density_tolerance: Annotated[Ratio, Key("Tolerance of density from batch to batch.", 0.05)]
    thickness_tolerance: Annotated[
        Reach | dict[Method, Reach], Key("Tolerance of thickness, for all methods or by method.", "1/16 in")
    ]
    loading: Annotated[dict[Name, LoadingTable], Key("Loading methods, by name.", {"dry-first": {"order": ["sand"]}})]
    loading_order: Annotated[
        LoadingOrder | None,
        Key(
            "Loading method: a name in `loading`, or every kind in order.",
            "liquids-first",
            "the usual method of the mixer",
        ),
    ] = None  # "dry-first", "liquids-first", another of `loading`, or every kind in order
    consumables: Annotated[
        dict[Name, Rate],
        Key(
            "Consumables that every job uses, by name of the material.",
            {"release-agent": {"basis": "form-area", "coverage": "400 ft^2/gal"}},
        ),
    ] = field(default_factory=dict)
    practice: Annotated[
        dict[Advice, Name],
        Key(
            "Advice on the batch sheet, by occasion.",
            {"face_round": "Mix the next face coat while this one stiffens."},
        ),
    ] = field(default_factory=dict)

    def __post_init__(self) -> None:
        known = " or ".join(f'"{name}"' for name in self.loading)
        if isinstance(self.loading_order, list):
            _check_order(self.loading_order, "loading_order")
        elif self.loading_order is not None and self.loading_order not in self.loading:
            raise FaultError("", message("loading-unknown", name=self.loading_order, known=known))
        elif self.loading_order is None and not any(self.mixer.kind in way.mixers for way in self.loading.values()):
            raise FaultError("", message("loading-missing", kind=self.mixer.kind, known=known))

    @property
    def way(self) -> LoadingTable:
        """Loading method: the one named, else that of the mixer's kind. A plain list of kinds has no steps."""
        if isinstance(self.loading_order, list):
            return LoadingTable(order=self.loading_order)
        if self.loading_order is not None:
            return self.loading[self.loading_order]
        return next(way for way in self.loading.values() if self.mixer.kind in way.mixers)


@table(kw_only=True)
class CalendarTable:
    """Keys of the calendar section that are no plain figures."""

    closed: Annotated[list[Date], Key("Days off, such as holidays.", ["2026-07-03"])] = Field(
        default=[], description="Days off, as ISO dates."
    )


@table(kw_only=True)
class JobFile:
    """A whole job file."""

    job: Annotated[JobTable, Key("Name, units, currency and status of the job.", {"name": "Boathouse cafe"})]
    piece: Annotated[
        list[PieceTable],
        Key(
            "Pieces of the job, one [[piece]] per mark.",
            [{"mark": "C1", "shape": {"kind": "slab", "length": "72 in", "width": "25.5 in", "thickness": "3/4 in"}}],
        ),
    ] = field(default_factory=list)
    drawing: Annotated[
        list[DrawingTable], Key("Drawings of several pieces.", [{"file": "kitchen.dxf", "thickness": "1 in"}])
    ] = field(default_factory=list)
    schedule: Annotated[list[ScheduleTable], Key("Tables with one row per piece.", [{"file": "panels.csv"}])] = field(
        default_factory=list
    )
    mixes: Annotated[
        dict[Name, MixTable],
        Key(
            "Mixes of the job by name. A mix replaces the catalog's mix of that name.",
            {"counter": {"based_on": "backer-45"}},
        ),
    ] = field(default_factory=dict)
    materials: Annotated[
        dict[Name, MaterialTable],
        Key("Materials by name. Every key overrides the catalog.", {"silica-sand": {"moisture": 0.03}}),
    ] = field(default_factory=dict)
    workshop: Annotated[
        WorkshopTable | None,
        Key(
            "Equipment and settings of the shop. Every key overrides the catalog.",
            {"pot_life": "40 min"},
            "the catalog's shop",
        ),
    ] = None
    price: Annotated[
        PriceTable | None,
        Key("Terms of the price. Every key overrides the catalog.", {"margin": 0.3}, "the catalog's terms"),
    ] = None
    site: Annotated[
        Site | None,
        Key(
            "Access on site, as measured.",
            {"door": {"width": "36 in", "height": "80 in"}},
            "access is not checked",
        ),
    ] = None
    cure: Annotated[RoomCure | None, Key("Curing conditions of this job.", {"room": "65 °F"}, "the shop's")] = None
    stock: Annotated[
        dict[Name, StockEntry],
        Key("Stock on hand by material: a mass, a lot, or a list of lots.", {"white-cement": "60 lb"}),
    ] = field(default_factory=dict)
    reserve: Annotated[
        dict[Name, MassOrNone], Key("Mass to keep in stock after the job, by material.", {"white-cement": "47 lb"})
    ] = field(default_factory=dict)
    supplier: Annotated[
        list[Supplier],
        Key("Suppliers and their terms, one [[supplier]] per supplier.", [{"name": "north yard", "minimum": 250.0}]),
    ] = field(default_factory=list)
    receiving: Annotated[
        Receiving | None,
        Key("Receiving at the shop.", {"lift_gate": True}, "by truck, without a lift gate"),
    ] = None
    scope: Annotated[
        Scope | None,
        Key(
            "Work included in the price and excluded from it, in addition to that of the job.",
            {"excluded": ["Removal of existing counters"]},
            "by the job alone",
        ),
    ] = None
    form: Annotated[
        Form | None, Key("Form of every piece that names none.", {"kind": "melamine"}, "melamine board")
    ] = None
    samples: Annotated[
        SamplesTable | None, Key("Samples for the client.", {"count": 2, "price": 75.0}, "no samples")
    ] = None
    lots: Annotated[dict[Name, Name], Key("Lot used for the job, by material.", {"white-cement": "24-118"})] = field(
        default_factory=dict
    )
    bucket: Annotated[
        BucketTable | None,
        Key(
            "The shop's own bucket, weighed level full of every aggregate.",
            {"volume": "5 gal", "fills": {"silica-sand": "66 lb"}},
            "bulk densities come from the materials",
        ),
    ] = None
    sign_off: Annotated[
        SignOffs | None, Key("Dates of the client's signatures.", {"sketch": "2026-03-05"}, "nothing is signed yet")
    ] = None
    business: Annotated[
        BusinessTable | None,
        Key("The shop, as printed on its sheets.", {"name": "Lakeside casting workshop"}, "no name is printed"),
    ] = None
    client: Annotated[
        Client | None,
        Key("The client and the site.", {"name": "The boathouse cafe"}, "no client is printed"),
    ] = None
    alternative: Annotated[
        list[AlternativeTable],
        Key("Alternates, priced beside the job.", [{"name": "lighter", "swap": {"backer-45": "backer-65"}}]),
    ] = field(default_factory=list)
    option: Annotated[
        list[OptionTable], Key("Options for the client.", [{"name": "Sealer upgrade", "lump": 180.0}])
    ] = field(default_factory=list)
    change: Annotated[
        list[ChangeTable],
        Key(
            "Change orders after release, numbered from 1.",
            [{"number": 1, "reason": "wider bar", "piece": [{"mark": "C2", "shape": {"width": "30 in"}}]}],
        ),
    ] = field(default_factory=list)
