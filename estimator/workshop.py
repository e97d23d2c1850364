"""How a shop works, as typed settings: `workshop.handling.sling_angle_deg`.

One frozen class a section of `[workshop]`. A field carries in its annotation what its key means, how it is written and
what range the trade could mean; its default stands in catalogs/workshop.toml and nowhere else. A job overrides single
keys. The key is the field's name without its unit, unless `key` says otherwise.
"""

from collections.abc import Callable, Mapping
from dataclasses import fields
from functools import cache
from typing import Annotated, Literal, get_args

from estimator.constants import DAY_S, HOUR_S, fahrenheit
from estimator.names import in_document_spelling
from geometry.frozen import frozen

Method = Literal["pour", "spray", "brush", "hand"]
Kind = Literal[
    "angle", "area", "area-per-time", "areal-mass", "density", "evaporation", "force", "heat-transfer", "length",
    "mass", "pressure", "specific-surface", "speed", "temperature", "temperature-difference", "time", "time-per-area",
    "time-per-length", "volume",
    "share", "factor", "count", "amount",
]  # fmt: skip
BARE: Mapping[str, str] = {
    "share": "a share from 0 to 1, or text with %",
    "factor": "a bare number",
    "count": "a whole number",
    "amount": "an amount of the job's currency",
}
SUFFIXES: Mapping[str, str] = {
    "angle": "deg", "area": "m2", "area-per-time": "m2_s", "areal-mass": "kg_m2", "density": "kg_m3",
    "evaporation": "kg_m2_s", "force": "n", "heat-transfer": "w_m2_k", "length": "m", "mass": "kg", "pressure": "pa",
    "specific-surface": "m2_kg", "speed": "m_s", "temperature": "c", "temperature-difference": "k", "time": "s",
    "time-per-area": "s_m2", "time-per-length": "s_m", "volume": "m3",
}  # fmt: skip

MOST_AMOUNT = 1e9  # beyond it cents and hours are not kept exactly
MOST_PEOPLE = 1000.0
ATMOSPHERE_PA = 101_325.0
MOST_ON_BARS = 12  # at one level, rehearsed carry

Problem = tuple[str, str]  # what is wrong, and how to fix it
Check = Callable[[float], Problem | None]


def within(low: float, high: float, unit: str = "", size: float = 1.0, fix: str = "") -> Check:
    """Check of a range given in `unit`, of which one is `size` in SI."""

    def check(value: float) -> Problem | None:
        if low <= value / size <= high:
            return None
        return f"{value / size:g} is outside {low:g} to {high:g} {unit}".rstrip() + ".", fix

    return check


def at_least(floor: float, why: str) -> Check:
    """Check of a lower limit with the reason for it."""

    def check(value: float) -> Problem | None:
        return None if value >= floor else (f"is {value:g}, under {floor:g}, {why}.", f"Write {floor:g} or more.")

    return check


def positive(value: float) -> Problem | None:
    """Check of what cannot be nothing."""
    return None if value > 0.0 else ("must be more than zero.", "Give a positive quantity.")


def people(value: float) -> Problem | None:
    """Check of a number of people."""
    if value < 1.0 or value % 1.0 or value > MOST_PEOPLE:
        return f"{value:g} is no number of people.", "Write a whole number from 1 on."
    return None


def carriers(value: float) -> Problem | None:
    """Check of the most people who carry one piece."""
    if value > MOST_ON_BARS:
        what = f"is {value:g}: no carry is planned with more than {MOST_ON_BARS} people."
        return what, f"Write {MOST_ON_BARS} or less."
    return at_least(1.0, "and somebody has to lift it")(value)


def week(value: float) -> Problem | None:
    """Check of the working days of a week."""
    if value not in range(1, 8):
        return "is no number of days in a week.", "Write a whole number from 1 to 7."
    return None


def working_day(value: float) -> Problem | None:
    """Check of the hours worked in a day."""
    return None if 0.0 < value <= DAY_S else ("is no part of a day.", 'Write hours, such as "8 h".')


def sling_angle(value: float) -> Problem | None:
    """Check of a sling's angle from the horizontal, practice of ASME B30.9."""
    if 30.0 <= value <= 90.0:
        return None
    return (
        f"sling angle {value:g}° from the horizontal: must be 30° to 90°; use longer slings or a spreader.",
        "",
    )


def shift(value: float) -> Problem | None:
    """Check of the time spent lifting."""
    if value > 8.0 * HOUR_S:
        return "is over the 8 h that the lifting equation covers.", "Write 8 h or less."
    return positive(value)


def vacuum(value: float) -> Problem | None:
    """Check of a vacuum below the atmosphere."""
    if value > ATMOSPHERE_PA:
        return "is more than the atmosphere.", "60 kPa below it is usual."
    return positive(value)


def friction(value: float) -> Problem | None:
    """Check of the friction of a vacuum pad."""
    return None if 0.01 <= value <= 1.0 else ("must lie between 0.01 and 1.", "A wet pad has 0.2 to 0.3.")


def temperatures(coldest_c: float, warmest_c: float) -> Check:
    """Check of a range of temperatures, told in both scales, since a slip of the unit is the usual fault."""

    def check(value: float) -> Problem | None:
        if coldest_c <= value <= warmest_c:
            return None
        in_fahrenheit = f"{round(fahrenheit(coldest_c))} to {round(fahrenheit(warmest_c))} °F"
        return (
            f"{value:.0f} °C ({fahrenheit(value):.0f} °F) is outside "
            f"{coldest_c:g} to {warmest_c:g} °C ({in_fahrenheit}).",
            "Is its unit right?",
        )

    return check


def up_to_days(most: float, words: str = " days") -> Check:
    """Check of a time of days, beyond which it is a slip of the pen."""

    def check(value: float) -> Problem | None:
        return None if value <= most * DAY_S else (f"is {value / DAY_S:g} days.", f"Write {most:g}{words} or less.")

    return check


def amount(value: float) -> Problem | None:
    """Check of an amount of money, or of a time that is priced."""
    return None if value <= MOST_AMOUNT else (f"{value:g} is too large.", f"Write {MOST_AMOUNT:g} or less.")


room_air = temperatures(-18.0, 50.0)  # below it the evaporation formula ends
fresh_mix = temperatures(1.0, 45.0)
MODEL_HOURS = within(1.0, 72.0, "h", HOUR_S, "The heat model runs for 72 h.")
LIGHTER = "so that moving would make it lighter"
VDI = "the practice of VDI/BV-BS 6205"


@frozen
class Setting:
    """What a key of the shop's settings means.

    kind   of quantity, which fixes the unit of the field, or of bare number
    text   what it is, for editors and the schema
    check  what is wrong with a value and how to fix it; None where nothing is
    key    in the job file, where it is not the field's name without its unit
    """

    kind: Kind
    text: str
    check: Check | None = None
    key: str = ""

    def key_of(self, name: str) -> str:
        """The job file's key of the field `name`."""
        stem = name.removesuffix(f"_{SUFFIXES[self.kind]}") if self.kind in SUFFIXES else name
        return self.key or in_document_spelling(stem)


@cache
def settings_of(section: type) -> tuple[tuple[str, str, Setting], ...]:
    """(field, key, setting) of every setting of a section's class."""
    return tuple(
        (item.name, mark.key_of(item.name), mark)
        for item in fields(section)
        for mark in get_args(item.type)
        if isinstance(mark, Setting)
    )


@frozen
class Waste:
    """What is lost of each layer by how it is placed, as a share of the volume cast."""

    pour: Annotated[float, Setting("share", "Waste of a poured layer, of the volume cast.")]
    spray: Annotated[float, Setting("share", "Waste of a sprayed layer, of the volume cast.")]
    brush: Annotated[float, Setting("share", "Waste of a brushed layer, of the volume cast.")]
    hand: Annotated[float, Setting("share", "Waste of a hand-laid layer, of the volume cast.")]

    def of(self, method: Method) -> float:
        """Waste of a layer placed by this method."""
        share: float = getattr(self, method)
        return share


@frozen
class Mixing:
    """How batches are mixed."""

    water_first: Annotated[float, Setting("share", "Share of the water that goes in before the lumps are sheared out.")]
    bucket_m3: Annotated[float, Setting("volume", "Bucket in which beads are measured, level full.")]
    strike_error: Annotated[
        float, Setting("share", "Volume error of a 10 L measure struck level, as a share of its volume.")
    ]
    pot_life_retarder: Annotated[
        float, Setting("factor", "Pot life with a retarder over pot life without; 1 until the shop has timed its mix.")
    ]
    pot_life_at_90f: Annotated[
        float, Setting("share", "Pot life at 90 °F as a share of that at 70 °F.", key="pot_life_at_90F")
    ]
    batch_time_s: Annotated[float, Setting("time", "Time of one batch, from first water to empty mixer.")]
    carry_time_s: Annotated[float, Setting("time", "Time from mixer to form.")]
    small_batch: Annotated[
        float, Setting("share", "Fill of the mixer under which the paddle does not mix; smaller batches are warned of.")
    ]


@frozen
class Placing:
    """How fast a crew places, and how long layers may wait for each other."""

    crew: Annotated[float, Setting("count", "People who place one piece.")]
    crew_most: Annotated[
        float, Setting("count", "Most people at one piece, where its layers would wait too long for the usual crew.")
    ]
    rate_hand_m2_s: Annotated[
        float, Setting("area-per-time", "Area that one person lays by hand, `thickness_hand` thick.")
    ]
    rate_spray_m2_s: Annotated[float, Setting("area-per-time", "Area that one person sprays, `thickness_spray` thick.")]
    rate_brush_m2_s: Annotated[
        float, Setting("area-per-time", "Area that one person brushes, `thickness_brush` thick.")
    ]
    rate_pour_m2_s: Annotated[float, Setting("area-per-time", "Area that one person pours, `thickness_pour` thick.")]
    thickness_hand_m: Annotated[float, Setting("length", "Thickness at which `rate_hand` holds.")]
    thickness_spray_m: Annotated[float, Setting("length", "Thickness at which `rate_spray` holds.")]
    thickness_brush_m: Annotated[float, Setting("length", "Thickness at which `rate_brush` holds.")]
    thickness_pour_m: Annotated[float, Setting("length", "Thickness at which `rate_pour` holds.")]
    lift_most_m: Annotated[float, Setting("length", "Thickest pass that is rolled at once.")]
    face_thickness_m: Annotated[float, Setting("length", "Thickness up to which a first layer counts as a face coat.")]
    face_wait_least_s: Annotated[float, Setting("time", "Least time from a finished face to its backer.")]
    face_wait_most_s: Annotated[float, Setting("time", "Most time from a finished face to its backer, placed.")]
    honing_most_m: Annotated[float, Setting("length", "Most that may be honed off a face of `face_thickness`.")]

    def rate_m2_s(self, method: Method) -> float:
        """Area that one person places in a second, `thickness_m(method)` thick."""
        rate: float = getattr(self, f"rate_{method}_m2_s")
        return rate

    def thickness_m(self, method: Method) -> float:
        """Thickness at which the rate of this method holds."""
        thickness: float = getattr(self, f"thickness_{method}_m")
        return thickness


@frozen
class HandlingSettings:
    """Limits, factors and sizes by which pieces are carried, lifted, hung and stood."""

    limit_level_kg: Annotated[float, Setting("mass", "Most that one person lifts or carries on the level.", positive)]
    limit_stairs_kg: Annotated[float, Setting("mass", "Most that one person carries on stairs.", positive)]
    crew_most: Annotated[
        float, Setting("count", "Most people who carry one piece by hand; beyond it, a machine.", carriers)
    ]
    uneven_share: Annotated[
        float,
        Setting(
            "factor",
            "Heaviest share of a crew of more than four, over an even share.",
            at_least(1.0, "and somebody carries the rest"),
        ),
    ]
    people: Annotated[
        float, Setting("count", "People in the shop at one time.", at_least(1.0, "and somebody has to be there"))
    ]
    grip_spacing_m: Annotated[float, Setting("length", "Length of edge that one person needs to hold it.", positive)]
    hands_start_m: Annotated[float, Setting("length", "Height of the hands where a lift begins.")]
    hands_end_m: Annotated[float, Setting("length", "Height of the hands where a lift ends.")]
    hands_reach_m: Annotated[float, Setting("length", "Reach from between the ankles to the hands that hold an edge.")]
    lifts_per_minute: Annotated[float, Setting("factor", "Lifts of one person in a minute.")]
    lifting_time_s: Annotated[
        float,
        Setting(
            "time",
            "Time of a shift spent lifting; the lifting equation covers 8 h.",
            shift,
        ),
    ]
    carry_most_m: Annotated[float, Setting("length", "Longest carry without a rest.")]
    form_board_kg_m2: Annotated[float, Setting("areal-mass", "Weight of the form board that is lifted with a piece.")]
    turning_board_kg_m2: Annotated[float, Setting("areal-mass", "Weight of the board used to flip a piece.")]
    soaked_gain: Annotated[float, Setting("share", "Water that a wet piece takes up outdoors, of its oven-dry weight.")]
    wet_soil_kg_m3: Annotated[float, Setting("density", "Density of the wet soil in a planter.", positive)]
    adhesion_pa: Annotated[
        float, Setting("pressure", "Suction of a mold on its form area when a piece is stripped without a hold point.")
    ]
    dynamic_strip: Annotated[
        float, Setting("factor", "Dynamic factor of the strip from a flat form.", at_least(1.0, LIGHTER))
    ]
    dynamic_strip_reveals: Annotated[
        float,
        Setting(
            "factor", "Dynamic factor of the strip from a form with reveals or knock-outs.", at_least(1.0, LIGHTER)
        ),
    ]
    dynamic_turn: Annotated[float, Setting("factor", "Dynamic factor of a flip by machine.", at_least(1.0, LIGHTER))]
    dynamic_yard: Annotated[float, Setting("factor", "Dynamic factor of moves in the yard.", at_least(1.0, LIGHTER))]
    dynamic_transport: Annotated[float, Setting("factor", "Dynamic factor of the truck.", at_least(1.0, LIGHTER))]
    dynamic_install: Annotated[float, Setting("factor", "Dynamic factor of the lift on site.", at_least(1.0, LIGHTER))]
    dynamic_machine_even: Annotated[
        float,
        Setting(
            "factor",
            "Dynamic factor of a load hung from a forklift, excavator or telehandler on even ground.",
            at_least(2.5, VDI),
        ),
    ]
    dynamic_machine_rough: Annotated[
        float,
        Setting("factor", "Dynamic factor of a load hung from such a machine on rough ground.", at_least(4.0, VDI)),
    ]
    sling_angle_deg: Annotated[float, Setting("angle", "Angle of sling legs from the horizontal.", sling_angle)]
    plumb_under_m: Annotated[float, Setting("length", "Plate thickness under which slings hang plumb from a spreader.")]
    pull_height_m: Annotated[float, Setting("length", "Height of an inclined sling's eye over the face.")]
    insert_factor: Annotated[
        float,
        Setting("factor", "Design factor of lifting inserts.", at_least(4.0, "which 29 CFR 1926.704 asks for")),
    ]
    hardware_factor: Annotated[
        float,
        Setting("factor", "Design factor of lifting hardware.", at_least(5.0, "which 29 CFR 1926.704 asks for")),
    ]
    vacuum_pa: Annotated[
        float,
        Setting(
            "pressure",
            "Vacuum assumed under the pads where none was measured on the face.",
            lambda value: None if value <= 101_325.0 else ("is more than the atmosphere.", "60 kPa below it is usual."),
        ),
    ]
    vacuum_cup_m: Annotated[float, Setting("length", "Diameter of one vacuum pad.", positive)]
    vacuum_factor: Annotated[
        float,
        Setting(
            "factor", "Design factor of vacuum pads that pull straight.", at_least(2.0, "the practice of EN 13155")
        ),
    ]
    vacuum_factor_upright: Annotated[
        float,
        Setting(
            "factor",
            "Design factor of vacuum pads where friction holds.",
            at_least(4.0, "the practice of ASME B30.20 where friction holds"),
        ),
    ]
    vacuum_hold_s: Annotated[float, Setting("time", "Least time that the face must hold vacuum with the pump off.")]
    vacuum_friction: Annotated[
        float,
        Setting(
            "factor",
            "Friction of the pads on an upright face.",
            friction,
        ),
    ]
    crack_factor: Annotated[
        float,
        Setting(
            "factor", "First-crack strength over the stress of a move, at least.", at_least(1.0, "at which it cracks")
        ),
    ]
    strip_least_m: Annotated[float, Setting("length", "Rail beside a cut-out under which it is flagged as narrow.")]
    overhang_most_m: Annotated[float, Setting("length", "Longest overhang without support.")]
    overhang_edge_load_n: Annotated[float, Setting("force", "Load on the edge of an overhang: a person sitting on it.")]
    overhang_least_thickness_m: Annotated[
        float, Setting("length", "Thickness under which no overhang goes unsupported.")
    ]
    soil_pressure: Annotated[
        float, Setting("factor", "Sideways pressure of wet soil over its vertical pressure, at rest.")
    ]
    bracket_spacing_m: Annotated[float, Setting("length", "Spacing of brackets under an overhang.", positive)]
    door_m: Annotated[float, Setting("length", "Clear width of the smallest door where the job gives none.", positive)]
    door_height_m: Annotated[
        float, Setting("length", "Clear height of the smallest door where the job gives none.", positive)
    ]


@frozen
class Transport:
    """Trucks, pallets and racks; their own rating plates govern."""

    forklift_rating_kg: Annotated[float, Setting("mass", "Rated load of the forklift, off its plate.", positive)]
    forklift_load_center_m: Annotated[float, Setting("length", "Load center at which the forklift is rated.", positive)]
    pallet_truck_rating_kg: Annotated[float, Setting("mass", "Rated load of the pallet truck; 0 where not known.")]
    truck_payload_kg: Annotated[float, Setting("mass", "Payload of the delivery truck.", positive)]
    truck_bed_length_m: Annotated[float, Setting("length", "Clear length of the truck's bed.", positive)]
    truck_bed_width_m: Annotated[float, Setting("length", "Clear width of the truck's bed.", positive)]
    pallet_length_m: Annotated[float, Setting("length", "Length of a pallet.", positive)]
    pallet_width_m: Annotated[float, Setting("length", "Width of a pallet.", positive)]
    pallet_rating_kg: Annotated[float, Setting("mass", "Rated load of a pallet; the maker's governs.", positive)]
    pallet_tare_kg: Annotated[float, Setting("mass", "Weight of an empty pallet.")]
    a_frame_tare_kg: Annotated[float, Setting("mass", "Weight of an empty A-frame.")]
    pallet_stack_m: Annotated[
        float, Setting("length", "Height to which plates are stacked flat on a pallet.", positive)
    ]
    a_frame_length_m: Annotated[float, Setting("length", "Length of an A-frame's foot.", positive)]
    a_frame_depth_m: Annotated[float, Setting("length", "Depth of an A-frame's foot.", positive)]
    a_frame_room_m: Annotated[
        float, Setting("length", "Depth that pieces and spacers fill on each side of an A-frame.")
    ]
    a_frame_spacer_m: Annotated[float, Setting("length", "Spacer between pieces on an A-frame.")]
    a_frame_slot_m: Annotated[
        float, Setting("length", "Width of one slot of an A-frame; a piece takes whole slots. 0 for none.")
    ]
    a_frame_rating_kg: Annotated[float, Setting("mass", "Rated load of an A-frame, off its plate; 0 where not known.")]
    strap_rating_kg: Annotated[
        float, Setting("mass", "Working load limit of one strap over the load, off its tag.", positive)
    ]
    crate_kg_m2: Annotated[float, Setting("areal-mass", "Weight of a crate per area of the piece.")]


@frozen
class CuringSettings:
    """Where pieces harden, and what the verdicts on heat, cold and drying go by."""

    room_c: Annotated[float, Setting("temperature", "Air of the room where pieces harden.", room_air)]
    humidity: Annotated[
        float, Setting("factor", "Relative humidity of that room.", within(0.0, 1.0, fix="50 % is 0.50."))
    ]
    air_speed_m_s: Annotated[float, Setting("speed", "Speed of the air over an uncovered piece.")]
    mix_temperature_c: Annotated[float, Setting("temperature", "Temperature of the mix when it is placed.", fresh_mix)]
    uncovered_s: Annotated[float, Setting("time", "Time from placing until the film is on.")]
    cover_time_s: Annotated[float, Setting("time", "Time that a piece stays under its cover.")]
    strip_from_s: Annotated[float, Setting("time", "Earliest time to strip.", MODEL_HOURS)]
    strip_to_s: Annotated[float, Setting("time", "Usual latest time to strip.", MODEL_HOURS)]
    wet_cure_s: Annotated[float, Setting("time", "Wet cure of a mix without a curing polymer.")]
    polymer_for_dry_cure: Annotated[
        float,
        Setting(
            "factor",
            "Polymer solids of cementitious from which on a mix needs no wet cure.",
            within(0.0, 1.0, fix="5 % is 0.05."),
        ),
    ]
    film_conductance_w_m2_k: Annotated[
        float,
        Setting(
            "heat-transfer",
            "Heat through plastic film.",
            within(0.1, 1000.0, "W/m²K", fix="Film of 0.1 mm is next to nothing: 100 W/m^2/K."),
        ),
    ]
    tarp_conductance_w_m2_k: Annotated[
        float,
        Setting(
            "heat-transfer",
            "Heat through the curing blanket.",
            within(0.1, 1000.0, "W/m²K", fix="A tarp of R 0.5 m^2K/W has 2 W/m^2/K."),
        ),
    ]
    form_conductance_w_m2_k: Annotated[
        float,
        Setting(
            "heat-transfer",
            "Heat through form and table.",
            within(0.1, 1000.0, "W/m²K", fix="A board of 3/4 in has about 5 W/m^2/K."),
        ),
    ]
    peak_most_c: Annotated[
        float,
        Setting(
            "temperature",
            "Hottest that a piece may become.",
            within(40.0, 90.0, "°C", fix="ACI 301 sets 70 °C; above 90 °C no temperature is stated."),
        ),
    ]
    core_surface_difference_k: Annotated[
        float, Setting("temperature-difference", "Greatest difference between core and surface.")
    ]
    cold_weather_c: Annotated[float, Setting("temperature", "Air below which the rules for cold weather apply.")]
    thin_section_least_c: Annotated[float, Setting("temperature", "Coldest that a thin section is placed and kept.")]
    frost_strength_pa: Annotated[float, Setting("pressure", "Strength until which a piece is protected from frost.")]
    evaporation_most_kg_m2_s: Annotated[
        float, Setting("evaporation", "Evaporation from which on plastic shrinkage threatens.")
    ]
    evaporation_silica_fume: Annotated[
        float,
        Setting(
            "factor",
            "Share of `evaporation_most` that holds for a mix with silica fume.",
            within(0.0, 1.0, fix="It is a share of evaporation_most: half is 0.5."),
        ),
    ]
    water_loss_most: Annotated[
        float,
        Setting(
            "factor", "Share of the mix water that may be lost before the cover.", within(0.0, 1.0, fix="5 % is 0.05.")
        ),
    ]
    heat_band: Annotated[
        float,
        Setting("factor", "Uncertainty of the heat of hydration, either way.", within(0.0, 0.5, fix="15 % is 0.15.")),
    ]
    surface_conductance_w_m2_k: Annotated[
        float,
        Setting(
            "heat-transfer",
            "Heat from a surface to still air, radiation included.",
            within(1.0, 100.0, "W/m²K", fix="Still air indoors: 10 W/m^2/K."),
        ),
    ]
    strip_strength: Annotated[
        float,
        Setting(
            "factor",
            "Share of the 28-day strength needed to strip.",
            within(0.01, 1.0, fix="30 % of the 28-day strength is 0.30."),
        ),
    ]
    strength_coefficient: Annotated[
        float,
        Setting(
            "factor",
            "Coefficient s of the strength curve of EN 1992-1-1.",
            within(0.1, 0.6, fix="Rapid cement 0.20, normal 0.25, slow 0.38."),
        ),
    ]


@frozen
class CementSettings:
    """The cement that the heat model assumes where a material gives no analysis: shares by mass, and its fineness."""

    c3s: Annotated[float, Setting("factor", "Alite, C3S.")]
    c2s: Annotated[float, Setting("factor", "Belite, C2S.")]
    c3a: Annotated[float, Setting("factor", "Aluminate, C3A.")]
    c4af: Annotated[float, Setting("factor", "Ferrite, C4AF.")]
    so3: Annotated[float, Setting("factor", "Sulfate, SO3.")]
    free_cao: Annotated[float, Setting("factor", "Free lime, CaO.")]
    mgo: Annotated[float, Setting("factor", "Magnesia, MgO.")]
    blaine_m2_kg: Annotated[float, Setting("specific-surface", "Blaine fineness.")]


@frozen
class FormSettings:
    """Forms, coupons and samples."""

    uses_melamine: Annotated[float, Setting("count", "Casts from a melamine form before it is renewed.")]
    uses_rubber: Annotated[float, Setting("count", "Casts from a rubber mold before it is renewed.")]
    uses_glass_fiber: Annotated[float, Setting("count", "Casts from a glass-fiber mold before it is renewed.")]
    board_thickness_m: Annotated[float, Setting("length", "Thickness of form board.")]
    sheet_length_m: Annotated[float, Setting("length", "Length of a sheet of form board as sold.")]
    sheet_width_m: Annotated[float, Setting("length", "Width of a sheet of form board as sold.")]
    kerf_m: Annotated[float, Setting("length", "Kerf of the saw.")]
    thickness_rubber_m: Annotated[float, Setting("length", "Thickness of mold rubber over a model.")]
    thickness_glass_fiber_m: Annotated[float, Setting("length", "Thickness of a glass-fiber laminate.")]
    material_waste: Annotated[float, Setting("share", "Waste of rubber and laminate.")]
    hardware_melamine: Annotated[float, Setting("amount", "Screws and blocks of one melamine form.")]
    hardware_rubber: Annotated[float, Setting("amount", "Mother mold and straps of one rubber mold.")]
    hardware_glass_fiber: Annotated[float, Setting("amount", "Ribs, flanges and bolts of one glass-fiber mold.")]
    coupon_length_m: Annotated[float, Setting("length", "Length of a flexural coupon.")]
    coupon_width_m: Annotated[float, Setting("length", "Width of a flexural coupon.")]
    coupon_thickness_m: Annotated[float, Setting("length", "Thickness of a flexural coupon.")]
    coupons: Annotated[float, Setting("count", "Coupons cast with each pour.")]
    sample_side_m: Annotated[float, Setting("length", "Side of a square sample.")]
    sample_thickness_m: Annotated[float, Setting("length", "Thickness of a sample.")]
    samples: Annotated[float, Setting("count", "Samples cast where the job orders some without a number.")]


@frozen
class Sizes:
    """Sizes beyond which a job is asked whether it means them; none says that a piece is strong enough."""

    longest_m: Annotated[float, Setting("length", "Longest side of one piece before it is asked about.")]
    thinnest_m: Annotated[float, Setting("length", "Thinnest slab, skin, wall, rib or edge before it is asked about.")]
    thinnest_cast_m: Annotated[
        float, Setting("length", "Thinnest section that can be cast at all; thinner is refused.")
    ]
    rail_m: Annotated[
        float, Setting("length", "Narrowest rail between a cut-out and the edge before it is asked about.")
    ]
    rail_at_hole_m: Annotated[float, Setting("length", "Narrowest rail at a small hole before it is asked about.")]
    small_hole_m: Annotated[float, Setting("length", "Size up to which an opening is a small hole.")]
    insert_overhang_m: Annotated[float, Setting("length", "How far an insert's center may lie outside the concrete.")]


@frozen
class Labor:
    """Rates of pay, and hours as the shop expects them."""

    rate: Annotated[float, Setting("amount", "Shop rate for an hour of one person.", amount)]
    rate_install: Annotated[float, Setting("amount", "Site rate for an hour of one person.", amount)]
    template_s: Annotated[float, Setting("time", "A visit to template counters.", amount)]
    travel_s: Annotated[
        float, Setting("time", "Travel there and back, of each person, a visit or a day on site.", amount)
    ]
    form_s_m2: Annotated[float, Setting("time-per-area", "Building a flat form, per form area.", amount)]
    form_cutout_s: Annotated[float, Setting("time", "Knock-out of one sink.", amount)]
    sink_least_m: Annotated[float, Setting("length", "Size from which an opening is a sink and not a hole.", amount)]
    form_hole_s: Annotated[float, Setting("time", "Knock-out of one hole.", amount)]
    form_edge_s_m: Annotated[float, Setting("time-per-length", "Building a formed edge, per length.", amount)]
    pour_setup_s: Annotated[float, Setting("time", "Setting up for a day of casting.", amount)]
    batch_s: Annotated[float, Setting("time", "Weighing and mixing one batch.", amount)]
    batch_cleanup_s: Annotated[float, Setting("time", "Cleaning up after one batch.", amount)]
    place_face_s_m2: Annotated[float, Setting("time-per-area", "Placing a face coat, per area.", amount)]
    place_back_s_m2: Annotated[float, Setting("time-per-area", "Placing one pass of backer, per area.", amount)]
    strip_melamine_s_m2: Annotated[
        float, Setting("time-per-area", "Stripping a melamine form, per form area, each person of the crew.", amount)
    ]
    strip_rubber_s_m2: Annotated[
        float, Setting("time-per-area", "Stripping a rubber mold, per form area, each person of the crew.", amount)
    ]
    strip_glass_fiber_s_m2: Annotated[
        float, Setting("time-per-area", "Stripping a glass-fiber mold, per form area, each person of the crew.", amount)
    ]
    flip_s: Annotated[float, Setting("time", "Flipping a piece, each person of the crew.", amount)]
    sample_s: Annotated[float, Setting("time", "Making one sample, all steps.", amount)]
    demold_crew: Annotated[
        float,
        Setting("count", "People who strip and flip, beside the hoist, what no crew lifts.", people, "demould_crew"),
    ]
    hone_s_m2: Annotated[float, Setting("time-per-area", "Slurrying and honing, per finished area.", amount)]
    seal_s_m2: Annotated[float, Setting("time-per-area", "Sealing, per finished area.", amount)]
    crate_s: Annotated[float, Setting("time", "Crating one piece.", amount)]
    install_s: Annotated[
        float, Setting("time", "A day on site before the first and after the last piece, each person.", amount)
    ]
    install_light_s: Annotated[float, Setting("time", "Setting a piece that one person carries.", amount)]
    install_medium_s: Annotated[float, Setting("time", "Setting a piece that two carry, each person.", amount)]
    install_heavy_s: Annotated[float, Setting("time", "Setting a heavier piece, each person.", amount)]
    install_crew: Annotated[float, Setting("count", "People on site, unless the heaviest piece needs more.", people)]
    whole_job_low_s_m2: Annotated[
        float, Setting("time-per-area", "All shop hours per area: low end of a check on the sum.", amount)
    ]
    whole_job_high_s_m2: Annotated[
        float, Setting("time-per-area", "All shop hours per area: high end of a check on the sum.", amount)
    ]


@frozen
class Equipment:
    """Hired equipment."""

    machine_day: Annotated[
        float, Setting("amount", "A hoist or lift truck, a day on which a piece is beyond any crew.", amount)
    ]


@frozen
class Freight:
    """Freight of what is bought, and delivery of what is made."""

    per_pallet: Annotated[float, Setting("amount", "Freight of one pallet from a supplier.", amount)]
    lift_gate: Annotated[
        float, Setting("amount", "Lift gate of a delivery on pallets, where no forklift unloads it.", amount)
    ]
    delivery: Annotated[float, Setting("amount", "One trip with finished pieces.", amount)]


@frozen
class QuoteSettings:
    """Payment steps, allowances and ranges of a quote."""

    deposit: Annotated[float, Setting("share", "Share of the total due with the order.", amount)]
    before_delivery: Annotated[float, Setting("share", "Share of the total due before delivery.", amount)]
    on_install: Annotated[float, Setting("share", "Share of the total due when the work is done.", amount)]
    valid_s: Annotated[float, Setting("time", "How long a quote stands.", up_to_days(3650.0, ""))]
    minimum: Annotated[float, Setting("amount", "Least price for which the shop takes a job.", amount)]
    round_to: Annotated[
        float, Setting("amount", "Step to which the price before tax is rounded; 0.01 leaves it.", amount)
    ]
    remake_plain: Annotated[
        float, Setting("share", "Allowance for casting a plain piece again, of its direct cost.", amount)
    ]
    remake_large: Annotated[float, Setting("share", "The same for a large piece.", amount)]
    remake_thin_railed: Annotated[float, Setting("share", "The same for a piece with narrow rails.", amount)]
    remake_color_critical: Annotated[float, Setting("share", "The same for a piece whose color must match.", amount)]
    large_from_m2: Annotated[float, Setting("area", "Face from which a piece counts as large.", amount)]
    size_ballpark: Annotated[
        float, Setting("share", "Allowance for sizes in a ballpark quote, of the direct cost of counters.", amount)
    ]
    size_quoted: Annotated[float, Setting("share", "The same in a firm quote before the template.", amount)]
    ballpark_below: Annotated[float, Setting("share", "How far a ballpark's range goes below its figure.", amount)]
    ballpark_above: Annotated[float, Setting("factor", "How far a ballpark's range goes above its figure.", amount)]
    ballpark_thickness_m: Annotated[float, Setting("length", "Thickness of a ballpark quote that gives none.", amount)]


@frozen
class CalendarSettings:
    """Working hours, the floor, and the waits between steps."""

    seal_from_s: Annotated[float, Setting("time", "Earliest age to seal.", up_to_days(365.0))]
    seal_to_s: Annotated[float, Setting("time", "Usual latest age to seal.", up_to_days(365.0))]
    drying_s: Annotated[float, Setting("time", "Drying after a wet cure, both faces open, before the sealer.")]
    sealer_cure_s: Annotated[float, Setting("time", "Cure of the sealer; its data sheet governs.", up_to_days(365.0))]
    shop_crew: Annotated[float, Setting("count", "People who work in the shop.", people)]
    hours_per_day_s: Annotated[float, Setting("time", "Hours worked in a day.", working_day)]
    days_per_week: Annotated[float, Setting("count", "Days worked in a week, from Monday on.", week)]
    floor_m2: Annotated[float, Setting("area", "Floor on which pieces can stand from pour to shipping.")]


@frozen
class Settings:
    """All settings of the shop by section of `[workshop]`."""

    waste: Waste
    mixing: Mixing
    placing: Placing
    handling: HandlingSettings
    transport: Transport
    curing: CuringSettings
    cement: CementSettings
    forms: FormSettings
    sizes: Sizes
    labor: Labor
    equipment: Equipment
    freight: Freight
    quote: QuoteSettings
    calendar: CalendarSettings


SECTIONS: Mapping[str, type] = {in_document_spelling(item.name): item.type for item in fields(Settings)}  # type: ignore[misc]
"""The class of each section by its name in the job file."""

_FIELDS = {kind: {key: name for name, key, _ in settings_of(kind)} for kind in SECTIONS.values()}


def value_of(section: object, key: str) -> float:
    """The setting of a section by its key in the job file."""
    value: float = getattr(section, _FIELDS[type(section)][key])
    return value


def settings_from(figures: Mapping[str, float]) -> Settings:
    """The settings, of figures in SI by dotted key ("handling.limit_level")."""
    return Settings(
        **{
            item.name: SECTIONS[section](
                **{name: figures[f"{section}.{key}"] for name, key, _ in settings_of(SECTIONS[section])}
            )
            for item in fields(Settings)
            for section in [in_document_spelling(item.name)]
        }
    )
