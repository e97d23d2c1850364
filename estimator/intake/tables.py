"""The job file and the catalog as they are read: one model for both, key by key."""

from typing import Annotated, Any, Literal

from pydantic import Discriminator, Field, Tag, model_validator

from estimator.errors import FaultError
from estimator.intake.documents import DENSITY_KEYS, built_in_catalog
from estimator.intake.fields import (
    Area,
    Coordinate,
    Count,
    Currency,
    Date,
    Density,
    Length,
    Mass,
    MassOrNone,
    Name,
    Price,
    Ratio,
    Reach,
    RelativeDensity,
    Table,
    Time,
    Volume,
    VolumeOrNone,
    fault,
    read_coordinate,
)
from estimator.intake.mix_schema import BucketTable, MixTable
from estimator.intake.piece_tables import (
    AnalysisTable,
    CureTable,
    HandlingTable,
    InPlaceTable,
    PieceCureTable,
    SiteTable,
)
from estimator.intake.settings import figure_sections
from estimator.intake.shapes import ShapeTable, UnitName
from estimator.intake.supply_tables import (
    AlternativeTable,
    BusinessTable,
    ChangeTable,
    ClientTable,
    ConsumableTable,
    FormTable,
    OptionTable,
    PieceConsumableTable,
    PriceTable,
    ReceivingTable,
    SamplesTable,
    SignOffTable,
    StockEntry,
    SupplierTable,
)
from estimator.notices import NOTICE_IDS
from estimator.workshop import BARE, SECTIONS, Setting, settings_of

Method = Literal["pour", "spray", "brush", "hand"]
Risk = Literal["plain", "large", "thin-railed", "colour-critical"]
Status = Literal["ballpark", "quoted", "templated", "released"]
Use = Literal["counter", "panel", "planter", "basin", "fire", "other"]
Kind = Literal[
    "cement", "pozzolan", "sand", "light-aggregate", "fibre", "admixture", "polymer", "pigment", "water", "consumable"
]
Permission = Literal["polystyrene-near-fire"]
Advice = Literal[  # when the batch sheet says it: see estimator.batching.placing
    "plain_face", "filled_face", "fingerprint", "face_round", "set_face", "passes", "honing", "stiff", "no_vibration",
    "fluid_beads", "likely_fluid_beads",
    "warm_mix", "retarder", "left_over", "bucket_heavy", "bucket_light", "plain_heavy", "plain_light",
]  # fmt: skip
AGGREGATES = ("sand", "light-aggregate")
LOADED_KINDS = ("sand", "light-aggregate", "cement", "pozzolan", "pigment", "admixture", "polymer", "water", "fibre")
MOST_ASH_CAO = 0.40
MOST_ABSORPTION = 0.30  # above it a percentage was likely written as a number; light aggregates may hold more


def _check_order(order: list[Kind], key: str) -> None:
    missing = [kind for kind in LOADED_KINDS if kind not in order]
    if missing or len(set(order)) < len(order):
        what = f"{key} leaves out {', '.join(missing)}." if missing else f"{key} names a kind twice."
        raise fault(what, "Name every kind of material once.")


class JobTable(Table):
    name: Name
    units: Literal["imperial", "metric"] = "imperial"
    currency: Currency = "USD"
    status: Status = "quoted"
    mix: Name | None = None
    waste: Ratio | None = None  # unless said, the workshop's by method
    date: Date | None = None  # of the quote
    start: Date | None = None  # first day of work; for a released job the date unless said, before that no dates
    revision: Name | None = None
    stock_file: Name | None = None  # the shelf that an earlier job left; [stock] goes over it
    catalog: Name | list[Name] | None = None  # the workshop's own catalog file(s), read over the built-in one


class LayerTable(Table):
    mix: Name
    thickness: Length | None = None
    method: Method = "hand"
    waste: Ratio | None = None


class InsertTable(Table):
    name: Name
    mass: MassOrNone = 0.0
    displaces: VolumeOrNone = 0.0
    unit: UnitName | None = None
    at: Annotated[list[Coordinate], Field(min_length=3, max_length=3)] | None = None
    material: Name | None = None  # the consumable that it is bought as: by what it displaces, or as one piece

    @model_validator(mode="after")
    def _stands_somewhere(self) -> "InsertTable":
        for value in self.at or ():
            try:
                read_coordinate(value, self.unit)
            except FaultError as error:
                raise fault(f"at: {error.what}", error.fix) from None
        return self


class PieceTable(Table):
    mark: Name
    quantity: Count = 1
    use: Use = "other"
    forms: Count = 1
    pour: Name | None = None
    mix: Name | None = None
    waste: Ratio | None = None
    shape: ShapeTable
    layers: Annotated[list[LayerTable], Field(min_length=1)] | None = None
    form_faces: Literal["form", "all"] = "form"
    inserts: list[InsertTable] = []
    form: FormTable | None = None  # the job's unless said
    consumables: dict[Name, PieceConsumableTable] = {}  # beyond the workshop's own
    risk: Risk | None = None  # of having to be cast again; judged from the piece unless said
    install: bool | None = None  # set on site by this workshop; by its use unless said
    handling: HandlingTable | None = None
    in_place: InPlaceTable | None = None
    cure: PieceCureTable | None = None
    allowed: list[Permission] = []  # what is refused unless somebody allows it by name
    note: str | None = None

    @model_validator(mode="after")
    def _is_one_thing(self) -> "PieceTable":
        if self.mix is not None and self.layers is not None:
            raise fault("`mix` and `layers` are both given.", "Keep `layers`, or `mix` for a piece of one mix.")
        if self.shape.at is not None:
            raise fault("shape.at only places a part of a compound.", "Remove `at`.")
        if self.layers is not None and sum(layer.thickness is None for layer in self.layers) > 1:
            raise fault("more than one layer leaves its thickness out.", "Give every thickness but one.")
        return self


class ScheduleTable(Table):
    file: Name
    sheet: Name | None = None  # of a workbook; its first unless said
    unit: UnitName | None = None  # of lengths that are written without one
    decimal: Literal["point", "comma"] | None = None  # of the numbers typed into the table


class BreakTable(Table):
    from_count: Annotated[Count, Field(alias="from")]
    price: Price


class PackTable(Table):
    name: Name
    mass: Mass | None = None
    volume: Volume | None = None
    area: Area | None = None  # consumables sold by area, length or piece
    length: Length | None = None
    pieces: Count | None = None
    price: Price | None = None
    per_pallet: Count | None = None
    minimum: Annotated[int, Field(ge=0)] = 0
    breaks: list[BreakTable] = []
    breaks_rule: Literal["all-units", "incremental"] = "all-units"
    dearer_breaks: bool = False  # a break may make more dearer, as the list says
    pallet_price: Price | None = None  # of a full pallet of per_pallet packs
    supplier: str = ""
    item: str = ""  # the supplier's own number or name for it, printed on the order

    @model_validator(mode="after")
    def _holds_something(self) -> "PackTable":
        if all(each is None for each in (self.mass, self.volume, self.area, self.length, self.pieces)):
            raise fault("has neither mass nor volume.", 'Add mass = "50 lb", or volume = "27 ft^3".')
        return self


class DoseTable(Table):
    """Range that the maker or the trade gives, on the basis of the material's kind."""

    low: Ratio
    high: Ratio


class AirTable(Table):
    """Low and high air of a mix of this light aggregate that doses an air entrainer."""

    low: Ratio
    high: Ratio

    @model_validator(mode="after")
    def _is_a_band(self) -> "AirTable":
        if not self.low <= self.high < 1.0:
            raise fault("low is above high, or high fills everything.", "Write { low = 0.18, high = 0.28 }.")
        return self


class MaterialTable(Table):
    kind: Kind
    relative_density: RelativeDensity | None = None
    density: Density | None = None
    packing: Ratio | None = None
    bulk_density: Density | None = None
    solids: Ratio = 1.0
    moisture: Ratio = 0.0
    absorption: Ratio = 0.0
    dose: DoseTable | None = None
    analysis: AnalysisTable | None = None  # of a cement: the heat model assumes one, and says so, without it
    cao: Ratio | None = None  # of a fly ash: the share of CaO on its data sheet, which its heat goes by
    special: bool = False  # ordered for this job: its whole packs are charged to it
    traits: list[Name] = []
    usual_air: AirTable | None = None  # of a light aggregate: air of a mix of it that doses an air entrainer
    shelf_life: Time | None = None
    packs: list[PackTable] = []
    source: str = ""

    @model_validator(mode="after")
    def _is_complete(self) -> "MaterialTable":
        given = [key for key in DENSITY_KEYS if getattr(self, key) is not None]
        if len(given) > 1:
            raise fault(f"{' and '.join(given)} are both given.", "Keep exactly one of them.")
        if not given and self.kind != "consumable":
            raise fault("has no density.", 'Add relative_density = 2.65, or density = "165 lb/ft^3".')
        if self.packing is not None and self.kind != "light-aggregate":
            raise fault("packing describes a light aggregate only.", "Give relative_density or density.")
        if self.bulk_density is None and (self.kind in AGGREGATES or self.packing is not None):
            raise fault(
                "has no bulk_density, which an aggregate needs.", 'Add bulk_density = "100 lb/ft^3", loose and dry.'
            )
        if self.usual_air is not None and self.kind != "light-aggregate":
            raise fault("usual_air describes a light aggregate only.", "Write `air` in the mix instead.")
        if self.absorption > MOST_ABSORPTION and self.kind != "light-aggregate":
            raise fault(
                f"absorption {self.absorption:g} is {self.absorption:.0%} of its dry mass.",
                f"Is it {self.absorption:g} %? Write {self.absorption / 100:g}.",
            )
        if self.analysis is not None and self.kind != "cement":
            raise fault("has an analysis, but is not a cement.", "Remove `analysis`, or correct its kind.")
        if self.cao is not None and self.kind != "pozzolan":
            raise fault("cao describes a fly ash only.", "Remove `cao`, or correct its kind.")
        if self.cao is not None and self.cao > MOST_ASH_CAO:
            raise fault(f"cao {self.cao:g} is more than a fly ash holds.", "Write the share by mass, such as 0.10.")
        if self.solids <= 0.0 and self.kind != "water":
            raise fault("solids must be more than zero.", "Give the share by mass that is not water.")
        return self


class ScaleTable(Table):
    step: Mass
    up_to: Mass | None = None


class MeasureTable(Table):
    """A vessel of known volume, struck level with fresh mix for the density check."""

    volume: Volume
    tare: MassOrNone
    units: Literal["imperial", "metric"] | None = None  # of the jobs that it is used in; unless said, all


class MixerTable(Table):
    volume: Volume
    mass: Mass
    fill: Ratio
    kind: Name = "paddle"


class LoadingTable(Table):
    """One way of loading a mixer: kinds of material in their order, and what to do, step by step."""

    mixers: list[Name] = []  # kinds of mixer that are loaded so unless `loading_order` says otherwise
    order: list[Kind]
    steps: list[Name] = []

    @model_validator(mode="after")
    def _loads_everything(self) -> "LoadingTable":
        _check_order(self.order, "order")
        return self


def _loading_form(value: object) -> str:
    return "(name)" if isinstance(value, str) else "(kinds)"


LoadingOrder = Annotated[
    Annotated[Name, Tag("(name)")] | Annotated[list[Kind], Tag("(kinds)")], Discriminator(_loading_form)
]


class WorkshopTable(Table):
    mixer: MixerTable
    scales: Annotated[list[ScaleTable], Field(min_length=1)]
    measures: list[MeasureTable] = []
    loss_per_batch: MassOrNone
    pot_life: Time
    density_tolerance: Ratio
    thickness_tolerance: Reach | dict[Method, Reach]
    loading: dict[Name, LoadingTable]
    loading_order: LoadingOrder | None = (
        None  # "dry-first", "liquids-first", another of `loading`, or every kind in order
    )
    consumables: dict[Name, ConsumableTable] = {}
    practice: dict[Advice, Name] = {}

    @model_validator(mode="after")
    def _knows_its_mixer(self) -> "WorkshopTable":
        known = " or ".join(f'"{name}"' for name in self.loading)
        if isinstance(self.loading_order, list):
            _check_order(self.loading_order, "loading_order")
        elif self.loading_order is not None and self.loading_order not in self.loading:
            raise fault(f'loading_order "{self.loading_order}" is not known.', f"Write {known}.")
        elif self.loading_order is None and not any(self.mixer.kind in way.mixers for way in self.loading.values()):
            raise fault(
                f'mixer.kind "{self.mixer.kind}" has no usual loading order.', f"Say which: loading_order = {known}."
            )
        return self

    @property
    def way(self) -> LoadingTable:
        """The way of loading: the one named, else that of the mixer's kind; a list of kinds has no steps."""
        if isinstance(self.loading_order, list):
            return LoadingTable(order=self.loading_order)
        if self.loading_order is not None:
            return self.loading[self.loading_order]
        return next(way for way in self.loading.values() if self.mixer.kind in way.mixers)


class CalendarTable(Table):
    """What the section of calendar figures holds beside plain figures."""

    closed: list[Date] = Field(default=[], description="Days on which nobody works: ISO dates of holidays.")


class JobFile(Table):
    """A whole job file."""

    job: JobTable
    piece: list[PieceTable] = []
    schedule: list[ScheduleTable] = []
    mixes: dict[Name, MixTable] = {}
    materials: dict[Name, MaterialTable] = {}
    workshop: WorkshopTable | None = None
    price: PriceTable | None = None
    site: SiteTable | None = None
    cure: CureTable | None = None
    stock: dict[Name, StockEntry] = {}
    reserve: dict[Name, MassOrNone] = {}  # to be left on the shelf after the job
    supplier: list[SupplierTable] = []
    receiving: ReceivingTable | None = None
    form: FormTable | None = None  # of the pieces that say nothing of their own
    samples: SamplesTable | None = None
    lots: dict[Name, Name] = {}  # the lot that this job is cast from, by material
    bucket: BucketTable | None = None
    sign_off: SignOffTable | None = None
    business: BusinessTable | None = None
    client: ClientTable | None = None
    alternative: list[AlternativeTable] = []
    option: list[OptionTable] = []
    change: list[ChangeTable] = []


PARTIAL = ("WorkshopTable", "MixerTable", "PriceTable", "MaterialTable", "MixTable")  # the catalog fills the rest


def json_schema() -> dict[str, Any]:
    """JSON Schema (2020-12) of the job file, with the sections of workshop figures that the catalog names."""
    document = JobFile.model_json_schema(mode="validation")
    for name in PARTIAL:
        document["$defs"][name].pop("required", None)
    sections = figure_sections(built_in_catalog())
    document["$defs"]["WorkshopTable"]["properties"] |= {name: _section(name, keys) for name, keys in sections.items()}
    lists = CalendarTable.model_json_schema(mode="validation")["properties"]
    document["$defs"]["WorkshopTable"]["properties"]["calendar"]["properties"] |= lists
    document["$defs"]["WarningId"] = {
        "description": "Ids in `warnings` of the estimate document; an id keeps its meaning when its text changes.",
        "enum": list(NOTICE_IDS),
    }
    document["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    document["title"] = "cast-estimator job file"
    return document


def _section(section: str, defaults: dict[str, Any]) -> dict[str, Any]:
    """Schema of one section of settings, as its class describes it."""
    kind = SECTIONS[section]
    properties = {key: _setting(setting, defaults[key]) for _, key, setting in settings_of(kind)}
    return {
        "type": "object",
        "description": (kind.__doc__ or "").partition("\n")[0],
        "additionalProperties": False,
        "properties": properties,
    }


def _setting(setting: Setting, default: Any) -> dict[str, Any]:
    written = BARE.get(setting.kind, f"{setting.kind.replace('-', ' ')} with its unit")
    kinds = {"share": ["number", "string"]}.get(setting.kind, "number" if setting.kind in BARE else "string")
    return {
        "type": kinds,
        "description": f"{setting.text} Written as {written}.",
        "default": default,
        "examples": [default],
    }
