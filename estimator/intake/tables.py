"""The job file and the catalog as they are read: one model for both, key by key."""

from dataclasses import field
from typing import Annotated, Any, Literal

from pydantic import Discriminator, Field, Tag

from estimator.catalog import CrewLanguage, Language
from estimator.errors import FaultError
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
from estimator.site import Site
from estimator.supplies import Form, Rate, Receiving, Scope, Supplier
from estimator.workshop import Method


def _currency(value: Any) -> Any:
    if not isinstance(value, str) or value not in CURRENCIES:
        what = f"{value!r} is not a currency of ISO 4217.".replace("'", '"')
        raise FaultError("", what, _currency_fix(value))
    return value


def _currency_fix(value: Any) -> str:
    """A fix for a currency code that does not exist."""
    code = str(value).upper()
    if code in CURRENCIES:
        return f'Write "{code}".'
    return 'Write its code of three capital letters, such as "USD" or "EUR".'


Currency = Annotated[str, Checked(_currency, "code of three capital letters", "USD", (("enum", sorted(CURRENCIES)),))]

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
        what = f"{key} leaves out {', '.join(missing)}." if missing else f"{key} names a kind twice."
        raise FaultError("", what, "Name every kind of material once.")


@table(kw_only=True)
class JobTable:
    name: Annotated[Name, Key("Name of the job, as every paper prints it.", "Boathouse cafe")]
    units: Annotated[
        Literal["imperial", "metric"], Key("System of units of everything that is printed.", "imperial")
    ] = "imperial"
    currency: Annotated[Currency, Key("Currency of every price in the job, as its code of ISO 4217.", "USD")] = "USD"
    language: Annotated[
        Language | None,
        Key("Language of papers, messages and numbers.", "en-US", "en-US where units are imperial, else en-GB"),
    ] = None
    crew_language: Annotated[
        CrewLanguage | None,
        Key(
            "Language of what the crew reads: shop, truck and site sheets, labels, cautions.",
            "es",
            "language",
        ),
    ] = None
    status: Annotated[
        Status, Key("How far the job has come. A ballpark prints a range; a released job prints dates.", "quoted")
    ] = "quoted"
    mix: Annotated[Name | None, Key("Mix of every piece that names none.", "backer-45", "each piece names its own")] = (
        None
    )
    waste: Annotated[
        Ratio | None,
        Key("Concrete lost in casting, as a share of the volume cast.", 0.07, "the shop's waste by placing method"),
    ] = None
    date: Annotated[Date | None, Key("Date of the quote.", "2026-03-02", "the quote has no date and no end")] = None
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
        Name | None, Key("Revision of the papers, as the shop counts them.", "1", "none is printed")
    ] = None
    stock_file: Annotated[
        Name | None,
        Key(
            "Stock list that an earlier job wrote. Entries in [stock] replace its own.",
            "stock-left.toml",
            "only [stock] counts",
        ),
    ] = None
    catalog: Annotated[
        Name | list[Name] | None,
        Key(
            "The shop's own catalog file, or a list of them, read over the built-in catalog.",
            "shop.toml",
            "the built-in catalog alone",
        ),
    ] = None


@table(kw_only=True)
class PieceTable:
    mark: Annotated[Name, Key("Piece mark. Every sheet goes by it, so it must be unique.", "C1")]
    description: Annotated[
        Name | None, Key("What the piece is, as the client reads it.", "Island counter", "its use and size")
    ] = None
    finish: Annotated[Name | None, Key("Finish, as the client reads it.", "honed and sealed", "none is named")] = None
    colour: Annotated[Name | None, Key("Color, as the client reads it.", "warm gray", "none is named")] = None
    note: Annotated[Name | None, Key("Note to the client, on the quote.", "template on site", "no note")] = None
    quantity: Annotated[Count, Key("Number of pieces cast to this mark.", 2)] = 1
    use: Annotated[Use, Key("What the piece is for. It decides on checks, cautions and site work.", "counter")] = (
        "other"
    )
    forms: Annotated[
        Count, Key("Number of forms built for this mark. Two pieces from one form take two days' pours.", 1)
    ] = 1
    pour: Annotated[
        Name | None,
        Key(
            "Pour that the piece belongs to. Pieces of one pour are cast together.",
            "Monday",
            "it shares the first days of casting",
        ),
    ] = None
    mix: Annotated[
        Name | None,
        Key(
            "Mix of the whole piece. Use `layers` instead for a face coat and a backer.",
            "backer-45",
            "the mix of [job]",
        ),
    ] = None
    waste: Annotated[
        Ratio | None,
        Key(
            "Concrete lost in casting this piece, as a share of its volume.",
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
            "Layers from the form inward. One of them may leave its thickness out.",
            [{"mix": "face", "thickness": "1/8 in", "method": "spray"}, {"mix": "backer-45"}],
            "one layer of `mix`",
        ),
    ] = None
    form_faces: Annotated[
        Literal["form", "all"], Key("Faces that the first layer covers: those against the form, or all.", "form")
    ] = "form"
    inserts: Annotated[
        list[Insert],
        Key(
            "Steel frames, foam cores, sleeves and anchors cast into the piece.",
            [{"name": "steel frame", "mass": "11 lb"}],
        ),
    ] = field(default_factory=list)
    form: Annotated[Form | None, Key("Form of this piece.", {"kind": "rubber", "uses": 20}, "the form of the job")] = (
        None
    )
    consumables: Annotated[
        dict[Name, PieceConsumableTable],
        Key(
            "Consumables that this piece takes beyond the shop's own, by name of the material.",
            {"foam-core": {"volume": "0.1 ft^3"}},
        ),
    ] = field(default_factory=dict)
    risk: Annotated[
        Risk | None,
        Key(
            "Risk that the piece must be cast again. It sets the allowance for remakes.",
            "thin-railed",
            "judged from size, rails and color",
        ),
    ] = None
    install: Annotated[
        bool | None, Key("Whether this shop sets the piece on site.", True, "true for the uses that this shop sets")
    ] = None
    handling: Annotated[
        HandlingPreferences | None,
        Key("How the shop means to move the piece.", {"carried": "edge"}, "the program proposes a way"),
    ] = None
    in_place: Annotated[
        InPlace | None, Key("How the piece stands or hangs in use.", {"outdoors": True}, "by the use of the piece")
    ] = None
    cure: Annotated[
        Cure | None,
        Key("Room and covers of this piece while it hardens.", {"room": "65 °F"}, "those of the job and the shop"),
    ] = None
    allowed: Annotated[
        list[Permission], Key("What is refused unless somebody allows it by name.", ["polystyrene-near-fire"])
    ] = field(default_factory=list)

    def __post_init__(self) -> None:
        if self.mix is not None and self.layers is not None:
            raise FaultError(
                "", "`mix` and `layers` are both given.", "Keep `layers`, or `mix` for a piece of one mix."
            )
        if self.shape.at is not None:
            raise FaultError("", "shape.at only places a part of a compound.", "Remove `at`.")
        if self.layers is not None and sum(layer.thickness_m is None for layer in self.layers) > 1:
            raise FaultError("", "more than one layer leaves its thickness out.", "Give every thickness but one.")


@table(kw_only=True)
class ScheduleTable:
    file: Annotated[
        Name,
        Key(
            "Table with a row for each piece, in CSV or XLSX. Columns are dotted paths, such as `shape.length`.",
            "panels.csv",
        ),
    ]
    sheet: Annotated[Name | None, Key("Sheet of the workbook.", "Panels", "the first sheet")] = None
    unit: Annotated[
        UnitName | None,
        Key("Unit of length of bare numbers in the table.", "in", "each cell or column head states its unit"),
    ] = None
    decimal: Annotated[
        Literal["point", "comma"] | None,
        Key(
            "Decimal sign of the numbers in the table.",
            "comma",
            "the point; a number that may be read two ways is refused",
        ),
    ] = None


@table(kw_only=True)
class LoadingTable:
    """One way of loading a mixer: kinds of material in their order, and what to do, step by step."""

    mixers: Annotated[list[Name], Key("Kinds of mixer that are loaded this way.", ["paddle"])] = field(
        default_factory=list
    )
    order: Annotated[
        list[MaterialKind],
        Key(
            "Kinds of material in loading order; name every kind once.",
            ["water", "admixture", "polymer", "pigment", "cement", "pozzolan", "sand", "light-aggregate", "fibre"],
        ),
    ]
    steps: Annotated[
        list[Name],
        Key("What to do at the mixer, step by step, as the batch sheet prints it.", ["Add most of the water."]),
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
        Key("Scales of the shop. Each mass goes to the scale that weighs it best.", [{"step": "0.1 lb"}]),
    ]
    measures: Annotated[
        list[Measure],
        Key(
            "Measures for the density check, their volume found with water.", [{"volume": "0.25 ft^3", "tare": "2 lb"}]
        ),
    ] = field(default_factory=list)
    loss_per_batch: Annotated[MassOrNone, Key("Mix that stays in mixer and tools, each batch.", "1 lb")]
    pot_life: Annotated[Time, Key("Time from first water to placed, mixing included.", "30 min")]
    density_tolerance: Annotated[Ratio, Key("Tolerance of density from batch to batch.", 0.05)]
    thickness_tolerance: Annotated[
        Reach | dict[Method, Reach], Key("Tolerance of thickness, one for all methods, or one by method.", "1/16 in")
    ]
    loading: Annotated[
        dict[Name, LoadingTable], Key("Ways of loading a mixer, by name.", {"dry-first": {"order": ["sand"]}})
    ]
    loading_order: Annotated[
        LoadingOrder | None,
        Key(
            "Way of loading: the name of one in `loading`, or every kind in order.",
            "liquids-first",
            "the usual way of the mixer's kind",
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
            "Advice that the batch sheet prints, by occasion.",
            {"face_round": "Mix the face of the next piece while this one stiffens."},
        ),
    ] = field(default_factory=dict)

    def __post_init__(self) -> None:
        known = " or ".join(f'"{name}"' for name in self.loading)
        if isinstance(self.loading_order, list):
            _check_order(self.loading_order, "loading_order")
        elif self.loading_order is not None and self.loading_order not in self.loading:
            raise FaultError("", f'loading_order "{self.loading_order}" is not known.', f"Write {known}.")
        elif self.loading_order is None and not any(self.mixer.kind in way.mixers for way in self.loading.values()):
            raise FaultError(
                "",
                f'mixer.kind "{self.mixer.kind}" has no usual loading order.',
                f"Say which: loading_order = {known}.",
            )

    @property
    def way(self) -> LoadingTable:
        """The way of loading: the one named, else that of the mixer's kind; a list of kinds has no steps."""
        if isinstance(self.loading_order, list):
            return LoadingTable(order=self.loading_order)
        if self.loading_order is not None:
            return self.loading[self.loading_order]
        return next(way for way in self.loading.values() if self.mixer.kind in way.mixers)


@table(kw_only=True)
class CalendarTable:
    """What the section of calendar figures holds beside plain figures."""

    closed: Annotated[list[Date], Key("Days on which nobody works, such as holidays.", ["2026-07-03"])] = Field(
        default=[], description="Days on which nobody works: ISO dates of holidays."
    )


@table(kw_only=True)
class JobFile:
    """A whole job file."""

    job: Annotated[JobTable, Key("Name, units, currency and state of the job.", {"name": "Boathouse cafe"})]
    piece: Annotated[
        list[PieceTable],
        Key(
            "Pieces of the job, one [[piece]] for each mark.",
            [{"mark": "C1", "shape": {"kind": "slab", "length": "72 in", "width": "25.5 in", "thickness": "3/4 in"}}],
        ),
    ] = field(default_factory=list)
    schedule: Annotated[list[ScheduleTable], Key("Tables with a row for each piece.", [{"file": "panels.csv"}])] = (
        field(default_factory=list)
    )
    mixes: Annotated[
        dict[Name, MixTable],
        Key(
            "Mixes of the job by name. A mix replaces the catalog's mix of its name.",
            {"counter": {"based_on": "backer-45"}},
        ),
    ] = field(default_factory=dict)
    materials: Annotated[
        dict[Name, MaterialTable],
        Key("Materials by name. Each key replaces that of the catalog.", {"silica-sand": {"moisture": 0.03}}),
    ] = field(default_factory=dict)
    workshop: Annotated[
        WorkshopTable | None,
        Key(
            "Equipment and settings of the shop. Each key replaces that of the catalog.",
            {"pot_life": "40 min"},
            "the catalog's shop",
        ),
    ] = None
    price: Annotated[
        PriceTable | None,
        Key("Terms of the price. Each key replaces that of the catalog.", {"margin": 0.3}, "the catalog's terms"),
    ] = None
    site: Annotated[
        Site | None,
        Key(
            "Access from the truck to the place, as measured.",
            {"door": {"width": "36 in", "height": "80 in"}},
            "access is not checked",
        ),
    ] = None
    cure: Annotated[
        RoomCure | None, Key("Room and covers of this job while it hardens.", {"room": "65 °F"}, "the shop's own")
    ] = None
    stock: Annotated[
        dict[Name, StockEntry],
        Key("Stock on hand by material: a mass, a lot, or a list of lots.", {"white-cement": "60 lb"}),
    ] = field(default_factory=dict)
    reserve: Annotated[
        dict[Name, MassOrNone], Key("Mass to be left in stock after the job, by material.", {"white-cement": "47 lb"})
    ] = field(default_factory=dict)
    supplier: Annotated[
        list[Supplier],
        Key("Suppliers and their terms, one [[supplier]] each.", [{"name": "north yard", "minimum": 250.0}]),
    ] = field(default_factory=list)
    receiving: Annotated[
        Receiving | None,
        Key("How deliveries reach the shop.", {"lift_gate": True}, "by truck, without a lift gate"),
    ] = None
    scope: Annotated[
        Scope | None,
        Key(
            "What the price includes and leaves out, beside what the job itself shows.",
            {"excluded": ["Removal of existing counters"]},
            "by the job alone",
        ),
    ] = None
    form: Annotated[
        Form | None, Key("Form of every piece that names none.", {"kind": "melamine"}, "melamine board")
    ] = None
    samples: Annotated[
        SamplesTable | None, Key("Samples that the client sees first.", {"count": 2, "price": 75.0}, "none are made")
    ] = None
    lots: Annotated[
        dict[Name, Name], Key("Lot that the job is cast from, by material.", {"white-cement": "24-118"})
    ] = field(default_factory=dict)
    bucket: Annotated[
        BucketTable | None,
        Key(
            "The shop's own bucket, weighed level full of each aggregate.",
            {"volume": "5 gal", "fills": {"silica-sand": "66 lb"}},
            "bulk densities come from the materials",
        ),
    ] = None
    sign_off: Annotated[
        SignOffs | None, Key("Days on which the client signed.", {"sketch": "2026-03-05"}, "nothing is signed yet")
    ] = None
    business: Annotated[
        BusinessTable | None,
        Key("The shop, as its papers name it.", {"name": "Lakeside casting workshop"}, "no name is printed"),
    ] = None
    client: Annotated[
        Client | None,
        Key("The client, and where the pieces go.", {"name": "The boathouse cafe"}, "no client is printed"),
    ] = None
    alternative: Annotated[
        list[AlternativeTable],
        Key("Other ways to make the job, priced beside it.", [{"name": "lighter", "swap": {"backer-45": "backer-65"}}]),
    ] = field(default_factory=list)
    option: Annotated[
        list[OptionTable], Key("What the client may add.", [{"name": "Sealer upgrade", "lump": 180.0}])
    ] = field(default_factory=list)
    change: Annotated[
        list[ChangeTable],
        Key(
            "Change orders after release, numbered from 1.",
            [{"number": 1, "reason": "wider bar", "piece": [{"mark": "C2", "shape": {"width": "30 in"}}]}],
        ),
    ] = field(default_factory=list)
