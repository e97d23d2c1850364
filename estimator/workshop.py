"""Typed settings of a shop, such as `workshop.handling.sling_angle_deg`.

One frozen class per section of `[workshop]`. The annotation of a field states the meaning of its key, its unit and its
range. Defaults are in catalogs/workshop.toml and nowhere else. A job overrides single keys. The key is the name of the
field without its unit, unless `key` says otherwise.
"""

from collections.abc import Callable, Mapping
from dataclasses import fields
from functools import cache
from typing import Annotated, Literal, get_args

from estimator.constants import DAY_S, HOUR_S, figure_of
from estimator.names import in_document_spelling
from geometry.frozen import frozen
from geometry.message import Message, message

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

MOST_AMOUNT = 1e9  # above it cents and hours are not represented exactly
MOST_PEOPLE = 1000.0
ATMOSPHERE_PA = 101_325.0
MOST_ON_BARS = 12  # at one level, rehearsed carry

Check = Callable[[float], Message | None]
"""Function that returns what is wrong with a value, or None."""


def within(low: float, high: float, id: str, unit: str = "") -> Check:
    """Check of a range in SI.

    id    of the message, with `value`, `least` and `most`
    unit  SI unit of the values, one of those of `estimator.constants.figure_of`
    """

    def check(value: float) -> Message | None:
        if low <= value <= high:
            return None
        limits = {"least": figure_of(low, unit), "most": figure_of(high, unit)}
        return message(id, value=figure_of(value, unit), **limits)

    return check


def at_least(floor: float, id: str) -> Check:
    """Check of a lower limit; the message `id` has `value` and `floor`."""
    return lambda value: None if value >= floor else message(id, value=f"{value:g}", floor=f"{floor:g}")


def positive(value: float) -> Message | None:
    """Check that a quantity is above 0."""
    return None if value > 0.0 else message("setting-not-positive")


def people(value: float) -> Message | None:
    """Check of a number of people."""
    if value < 1.0 or value % 1.0 or value > MOST_PEOPLE:
        return message("setting-people", value=f"{value:g}")
    return None


def carriers(value: float) -> Message | None:
    """Check of the most people who carry one piece."""
    if value > MOST_ON_BARS:
        return message("setting-carriers", value=f"{value:g}", most=MOST_ON_BARS)
    return at_least(1.0, "setting-below-one")(value)


def week(value: float) -> Message | None:
    """Check of the working days of a week."""
    return None if value in range(1, 8) else message("setting-week", value=f"{value:g}")


def working_day(value: float) -> Message | None:
    """Check of the hours worked in a day."""
    return None if 0.0 < value <= DAY_S else message("setting-day", value=figure_of(value, "s"))


def sling_angle(value: float) -> Message | None:
    """Check of a sling's angle from the horizontal, practice of ASME B30.9."""
    return None if 30.0 <= value <= 90.0 else message("setting-sling-angle", value=figure_of(value, "°"))


def shift(value: float) -> Message | None:
    """Check of the time spent lifting."""
    return message("setting-shift", value=figure_of(value, "s")) if value > 8.0 * HOUR_S else positive(value)


def vacuum(value: float) -> Message | None:
    """Check of a vacuum below the atmosphere."""
    return (
        message("setting-vacuum", value=figure_of(value, "Pa"), most_pa=ATMOSPHERE_PA)
        if value > ATMOSPHERE_PA
        else None
    )


def up_to_days(most: float) -> Check:
    """Check of a time in days."""
    return lambda value: (
        None if value <= most * DAY_S else message("setting-days", value=figure_of(value, "s"), most=most)
    )


def amount(value: float) -> Message | None:
    """Check of an amount of money, or of a time that is priced."""
    return None if value <= MOST_AMOUNT else message("setting-amount", value=f"{value:g}", most=f"{MOST_AMOUNT:.0f}")


room_air = within(-18.0, 50.0, "setting-temperature", "°C")  # below it the evaporation formula ends
fresh_mix = within(1.0, 45.0, "setting-temperature", "°C")
fineness = within(200.0, 800.0, "cement-fineness", "m²/kg")
MODEL_HOURS = within(HOUR_S, 72.0 * HOUR_S, "setting-model-hours", "s")
LIGHTER, VDI = "setting-dynamic", "setting-dynamic-machine"


@frozen
class Setting:
    """Description of a key of the shop's settings.

    kind   kind of quantity, which determines the unit of the field, or of bare number
    text   its meaning, for editors and the schema
    check  check of a value in SI; None if every value is allowed
    key    key in the job file, if it is not the name of the field without its unit
    """

    kind: Kind
    text: str
    check: Check | None = None
    key: str = ""

    def key_of(self, name: str) -> str:
        """Key in the job file of the field `name`."""
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
    """Waste by placing method, as a share of the volume cast."""

    pour: Annotated[float, Setting("share", "Waste of a poured layer, of the volume cast.")]
    spray: Annotated[float, Setting("share", "Waste of a sprayed layer, of the volume cast.")]
    brush: Annotated[float, Setting("share", "Waste of a brushed layer, of the volume cast.")]
    hand: Annotated[float, Setting("share", "Waste of a hand-placed layer, of the volume cast.")]

    def of(self, method: Method) -> float:
        """Waste of a layer placed by this method."""
        share: float = getattr(self, method)
        return share


@frozen
class Mixing:
    """Settings of mixing."""

    water_first: Annotated[float, Setting("share", "Share of the mix water added first, until the lumps are out.")]
    bucket_m3: Annotated[float, Setting("volume", "Volume of the bead bucket, level full.")]
    strike_error: Annotated[
        float, Setting("share", "Volume error of a 2.5-gal (10 L) measure struck level, as a share of its volume.")
    ]
    pot_life_retarder: Annotated[
        float,
        Setting(
            "factor", "Pot life with a retarder over pot life without one. Keep 1 until the shop has timed its mix."
        ),
    ]
    pot_life_at_90f: Annotated[
        float, Setting("share", "Pot life at 90 °F as a share of that at 70 °F.", key="pot_life_at_90F")
    ]
    batch_time_s: Annotated[float, Setting("time", "Time of one batch, from first water to empty mixer.")]
    carry_time_s: Annotated[float, Setting("time", "Time from mixer to form.")]
    small_batch: Annotated[
        float, Setting("share", "Smallest fill that the paddle still mixes. Smaller batches get a warning.")
    ]


@frozen
class Placing:
    """Placing rates of the crew, and waits between layers."""

    crew: Annotated[float, Setting("count", "People who place one piece.")]
    crew_most: Annotated[
        float, Setting("count", "Most people on one piece, where the usual crew would be too slow for its layers.")
    ]
    rate_hand_m2_s: Annotated[
        float, Setting("area-per-time", "Area that one person places by hand, `thickness_hand` thick.")
    ]
    rate_spray_m2_s: Annotated[float, Setting("area-per-time", "Area that one person sprays, `thickness_spray` thick.")]
    rate_brush_m2_s: Annotated[
        float, Setting("area-per-time", "Area that one person brushes, `thickness_brush` thick.")
    ]
    rate_pour_m2_s: Annotated[float, Setting("area-per-time", "Area that one person pours, `thickness_pour` thick.")]
    thickness_hand_m: Annotated[float, Setting("length", "Layer thickness of `rate_hand`.")]
    thickness_spray_m: Annotated[float, Setting("length", "Layer thickness of `rate_spray`.")]
    thickness_brush_m: Annotated[float, Setting("length", "Layer thickness of `rate_brush`.")]
    thickness_pour_m: Annotated[float, Setting("length", "Layer thickness of `rate_pour`.")]
    lift_most_m: Annotated[float, Setting("length", "Thickest layer that can be rolled in one go.")]
    face_thickness_m: Annotated[
        float, Setting("length", "Greatest thickness of a face coat. A thicker first layer is a backer.")
    ]
    face_wait_least_s: Annotated[float, Setting("time", "Shortest wait from finished face coat to backer.")]
    face_wait_most_s: Annotated[float, Setting("time", "Longest wait from finished face coat to placed backer.")]
    honing_most_m: Annotated[float, Setting("length", "Greatest depth to hone off a face coat of `face_thickness`.")]

    def rate_m2_s(self, method: Method) -> float:
        """Area that one person places per second, `thickness_m(method)` thick, m²/s."""
        rate: float = getattr(self, f"rate_{method}_m2_s")
        return rate

    def thickness_m(self, method: Method) -> float:
        """Thickness for which the rate of this method is stated, m."""
        thickness: float = getattr(self, f"thickness_{method}_m")
        return thickness


@frozen
class HandlingSettings:
    """Limits, factors and sizes for carrying, lifting, hanging and storing pieces."""

    limit_level_kg: Annotated[
        float, Setting("mass", "Weight limit of one person, lifting or carrying on the level.", positive)
    ]
    limit_stairs_kg: Annotated[float, Setting("mass", "Weight limit of one person on stairs.", positive)]
    crew_most: Annotated[
        float, Setting("count", "Largest crew that carries one piece by hand. Heavier pieces go by machine.", carriers)
    ]
    uneven_share: Annotated[
        float,
        Setting(
            "factor",
            "Heaviest share in a crew of more than four, over an even share.",
            at_least(1.0, "setting-below-one"),
        ),
    ]
    people: Annotated[float, Setting("count", "People in the shop at one time.", at_least(1.0, "setting-below-one"))]
    grip_spacing_m: Annotated[float, Setting("length", "Length of edge that one person needs.", positive)]
    hands_start_m: Annotated[float, Setting("length", "Height of the hands at the start of a lift.")]
    hands_end_m: Annotated[float, Setting("length", "Height of the hands at the end of a lift.")]
    hands_reach_m: Annotated[float, Setting("length", "Reach from the ankles to the hands.")]
    lifts_per_minute: Annotated[float, Setting("factor", "Lifts per minute of one person.")]
    lifting_time_s: Annotated[
        float,
        Setting(
            "time",
            "Time spent lifting in a shift, up to 8 h.",
            shift,
        ),
    ]
    carry_most_m: Annotated[float, Setting("length", "Longest carry without a rest.")]
    form_board_kg_m2: Annotated[float, Setting("areal-mass", "Weight of the form board lifted with a piece.")]
    turning_board_kg_m2: Annotated[float, Setting("areal-mass", "Weight of the flip board.")]
    soaked_gain: Annotated[float, Setting("share", "Water that a piece absorbs outdoors, of its oven-dry weight.")]
    wet_soil_kg_m3: Annotated[float, Setting("density", "Density of the wet soil in a planter.", positive)]
    adhesion_pa: Annotated[
        float, Setting("pressure", "Suction per form area of a piece stripped without a hold point.")
    ]
    dynamic_strip: Annotated[
        float, Setting("factor", "Dynamic factor of stripping from a flat form.", at_least(1.0, LIGHTER))
    ]
    dynamic_strip_reveals: Annotated[
        float,
        Setting("factor", "Dynamic factor of stripping from a form with reveals or knockouts.", at_least(1.0, LIGHTER)),
    ]
    dynamic_turn: Annotated[float, Setting("factor", "Dynamic factor of a flip by machine.", at_least(1.0, LIGHTER))]
    dynamic_yard: Annotated[float, Setting("factor", "Dynamic factor of shop moves.", at_least(1.0, LIGHTER))]
    dynamic_transport: Annotated[float, Setting("factor", "Dynamic factor of trucking.", at_least(1.0, LIGHTER))]
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
    sling_rating_kg: Annotated[
        float, Setting("mass", "Working load limit of one sling leg in a straight pull, from its tag; 0 if not known.")
    ]
    plumb_under_m: Annotated[float, Setting("length", "Thickness below which slings hang plumb from a spreader bar.")]
    pull_height_m: Annotated[float, Setting("length", "Height of an inclined sling's eye above the face.")]
    insert_factor: Annotated[
        float,
        Setting("factor", "Design factor of lifting inserts.", at_least(4.0, "setting-design-factor")),
    ]
    hardware_factor: Annotated[
        float,
        Setting("factor", "Design factor of lifting hardware.", at_least(5.0, "setting-design-factor")),
    ]
    vacuum_pa: Annotated[
        float,
        Setting(
            "pressure",
            "Vacuum under the pads where none was measured on the face.",
            vacuum,
        ),
    ]
    vacuum_cup_m: Annotated[float, Setting("length", "Diameter of one vacuum pad.", positive)]
    vacuum_factor: Annotated[
        float,
        Setting("factor", "Design factor of vacuum pads that pull straight.", at_least(2.0, "setting-vacuum-factor")),
    ]
    vacuum_factor_upright: Annotated[
        float,
        Setting(
            "factor",
            "Design factor of vacuum pads where friction holds.",
            at_least(4.0, "setting-vacuum-friction-factor"),
        ),
    ]
    vacuum_hold_s: Annotated[float, Setting("time", "Time that the face must hold vacuum with the pump off.")]
    vacuum_friction: Annotated[
        float,
        Setting(
            "factor",
            "Friction of the pads on an upright face.",
            within(0.01, 1.0, "setting-friction"),
        ),
    ]
    crack_factor: Annotated[
        float,
        Setting(
            "factor",
            "Required factor of first-crack strength over the stress of a move.",
            at_least(1.0, "setting-crack-factor"),
        ),
    ]
    strip_least_m: Annotated[float, Setting("length", "Width below which the rail at a cutout counts as narrow.")]
    overhang_most_m: Annotated[float, Setting("length", "Longest overhang without support.")]
    overhang_edge_load_n: Annotated[
        float, Setting("force", "Load on the edge of an overhang, such as a seated person.")
    ]
    overhang_least_thickness_m: Annotated[
        float, Setting("length", "Thickness below which every overhang needs support.")
    ]
    soil_pressure: Annotated[float, Setting("factor", "At-rest pressure coefficient of wet soil.")]
    bracket_spacing_m: Annotated[float, Setting("length", "Spacing of brackets under an overhang.", positive)]
    door_m: Annotated[float, Setting("length", "Clear width of the smallest door, if the job gives none.", positive)]
    door_height_m: Annotated[
        float, Setting("length", "Clear height of the smallest door, if the job gives none.", positive)
    ]


@frozen
class Transport:
    """Trucks, pallets and racks. Their rating plates govern."""

    forklift_rating_kg: Annotated[float, Setting("mass", "Rated load of the forklift, from its plate.", positive)]
    forklift_load_center_m: Annotated[float, Setting("length", "Load center at which the forklift is rated.", positive)]
    pallet_truck_rating_kg: Annotated[float, Setting("mass", "Rated load of the pallet jack; 0 if not known.")]
    truck_payload_kg: Annotated[float, Setting("mass", "Payload of the delivery truck.", positive)]
    truck_bed_length_m: Annotated[float, Setting("length", "Clear length of the truck's bed.", positive)]
    truck_bed_width_m: Annotated[float, Setting("length", "Clear width of the truck's bed.", positive)]
    pallet_length_m: Annotated[float, Setting("length", "Length of a pallet.", positive)]
    pallet_width_m: Annotated[float, Setting("length", "Width of a pallet.", positive)]
    pallet_rating_kg: Annotated[
        float, Setting("mass", "Rated load of a pallet. The manufacturer's rating governs.", positive)
    ]
    pallet_tare_kg: Annotated[float, Setting("mass", "Weight of an empty pallet.")]
    a_frame_tare_kg: Annotated[float, Setting("mass", "Weight of an empty A-frame.")]
    pallet_stack_m: Annotated[float, Setting("length", "Height of plates stacked flat on a pallet.", positive)]
    a_frame_length_m: Annotated[float, Setting("length", "Length of an A-frame at its foot.", positive)]
    a_frame_depth_m: Annotated[float, Setting("length", "Depth of an A-frame at its foot.", positive)]
    a_frame_room_m: Annotated[float, Setting("length", "Usable depth on each side of an A-frame.")]
    a_frame_spacer_m: Annotated[float, Setting("length", "Spacer between pieces on an A-frame.")]
    a_frame_slot_m: Annotated[
        float, Setting("length", "Width of one slot of an A-frame; 0 for none. A piece takes whole slots.")
    ]
    a_frame_rating_kg: Annotated[float, Setting("mass", "Rated load of an A-frame, from its plate; 0 if not known.")]
    strap_rating_kg: Annotated[float, Setting("mass", "Working load limit of one strap, from its tag.", positive)]
    crate_kg_m2: Annotated[float, Setting("areal-mass", "Weight of a crate per area of the piece.")]


@frozen
class CuringSettings:
    """Conditions of curing, and limits of heat, cold and drying."""

    room_c: Annotated[float, Setting("temperature", "Air temperature of the curing room.", room_air)]
    humidity: Annotated[
        float, Setting("factor", "Relative humidity of the curing room.", within(0.0, 1.0, "setting-humidity"))
    ]
    air_speed_m_s: Annotated[float, Setting("speed", "Air speed over an uncovered piece.")]
    mix_temperature_c: Annotated[float, Setting("temperature", "Temperature of the mix when it is placed.", fresh_mix)]
    uncovered_s: Annotated[float, Setting("time", "Time from placing to plastic cover.")]
    cover_time_s: Annotated[float, Setting("time", "Time that a piece stays covered.")]
    strip_from_s: Annotated[float, Setting("time", "Earliest time to strip.", MODEL_HOURS)]
    strip_to_s: Annotated[float, Setting("time", "Usual latest time to strip.", MODEL_HOURS)]
    wet_cure_s: Annotated[float, Setting("time", "Wet cure of a mix without a curing polymer.")]
    polymer_for_dry_cure: Annotated[
        float,
        Setting(
            "factor",
            "Polymer solids, as a share of cementitious, at which a mix needs no wet cure.",
            within(0.0, 1.0, "setting-share"),
        ),
    ]
    film_conductance_w_m2_k: Annotated[
        float,
        Setting(
            "heat-transfer",
            "Heat transfer coefficient of plastic film.",
            within(0.1, 1000.0, "setting-film", "W/m²K"),
        ),
    ]
    tarp_conductance_w_m2_k: Annotated[
        float,
        Setting(
            "heat-transfer",
            "Heat transfer coefficient of the curing blanket.",
            within(0.1, 1000.0, "setting-blanket", "W/m²K"),
        ),
    ]
    form_conductance_w_m2_k: Annotated[
        float,
        Setting(
            "heat-transfer",
            "Heat transfer coefficient of form and table.",
            within(0.1, 1000.0, "setting-form-heat", "W/m²K"),
        ),
    ]
    peak_most_c: Annotated[
        float,
        Setting(
            "temperature",
            "Highest temperature that a piece may reach.",
            within(40.0, 90.0, "setting-peak", "°C"),
        ),
    ]
    core_surface_difference_k: Annotated[
        float, Setting("temperature-difference", "Greatest difference between core and surface.")
    ]
    cold_weather_c: Annotated[float, Setting("temperature", "Air temperature below which cold-weather rules apply.")]
    thin_section_least_c: Annotated[
        float, Setting("temperature", "Lowest temperature of a thin section, placed and cured.")
    ]
    frost_strength_pa: Annotated[
        float, Setting("pressure", "Strength at which a piece no longer needs frost protection.")
    ]
    evaporation_most_kg_m2_s: Annotated[
        float, Setting("evaporation", "Evaporation rate above which plastic shrinkage cracks may form.")
    ]
    evaporation_silica_fume: Annotated[
        float,
        Setting(
            "factor",
            "Share of `evaporation_most` allowed for a mix with silica fume.",
            within(0.0, 1.0, "setting-evaporation-share"),
        ),
    ]
    water_loss_most: Annotated[
        float,
        Setting(
            "factor", "Share of the mix water that may evaporate before covering.", within(0.0, 1.0, "setting-share")
        ),
    ]
    heat_band: Annotated[
        float,
        Setting(
            "factor", "Uncertainty of the heat of hydration, plus or minus.", within(0.0, 0.5, "setting-heat-band")
        ),
    ]
    surface_conductance_w_m2_k: Annotated[
        float,
        Setting(
            "heat-transfer",
            "Heat transfer coefficient from a surface to still air, radiation included.",
            within(1.0, 100.0, "setting-surface-heat", "W/m²K"),
        ),
    ]
    strip_strength: Annotated[
        float,
        Setting(
            "factor",
            "Share of the 28-day strength needed to strip.",
            within(0.01, 1.0, "setting-strip-strength"),
        ),
    ]
    strength_coefficient: Annotated[
        float,
        Setting(
            "factor",
            "Coefficient s of the strength curve of EN 1992-1-1.",
            within(0.1, 0.6, "setting-strength-curve"),
        ),
    ]


@frozen
class CementSettings:
    """Cement of the heat model where a material has no mill certificate: shares by mass, and fineness."""

    c3s: Annotated[float, Setting("factor", "Alite, C3S.")]
    c2s: Annotated[float, Setting("factor", "Belite, C2S.")]
    c3a: Annotated[float, Setting("factor", "Aluminate, C3A.")]
    c4af: Annotated[float, Setting("factor", "Ferrite, C4AF.")]
    so3: Annotated[float, Setting("factor", "Sulfate, SO3.")]
    free_cao: Annotated[float, Setting("factor", "Free lime, CaO.")]
    mgo: Annotated[float, Setting("factor", "Magnesia, MgO.")]
    blaine_m2_kg: Annotated[float, Setting("specific-surface", "Blaine fineness.", fineness)]


@frozen
class FormSettings:
    """Forms, coupons and samples."""

    uses_melamine: Annotated[float, Setting("count", "Casts from one melamine form.")]
    uses_rubber: Annotated[float, Setting("count", "Casts from one rubber mold.")]
    uses_glass_fiber: Annotated[float, Setting("count", "Casts from one fiberglass mold.")]
    board_thickness_m: Annotated[float, Setting("length", "Thickness of form board.")]
    sheet_length_m: Annotated[float, Setting("length", "Length of a sheet of form board.")]
    sheet_width_m: Annotated[float, Setting("length", "Width of a sheet of form board.")]
    kerf_m: Annotated[float, Setting("length", "Kerf of the saw.")]
    thickness_rubber_m: Annotated[float, Setting("length", "Thickness of mold rubber over a model.")]
    thickness_glass_fiber_m: Annotated[float, Setting("length", "Thickness of a fiberglass laminate.")]
    material_waste: Annotated[float, Setting("share", "Waste of rubber and laminate.")]
    hardware_melamine: Annotated[float, Setting("amount", "Screws and blocks of one melamine form.")]
    hardware_rubber: Annotated[float, Setting("amount", "Mother mold and straps of one rubber mold.")]
    hardware_glass_fiber: Annotated[float, Setting("amount", "Ribs, flanges and bolts of one fiberglass mold.")]
    coupon_length_m: Annotated[float, Setting("length", "Length of a flexural coupon.")]
    coupon_width_m: Annotated[float, Setting("length", "Width of a flexural coupon.")]
    coupon_thickness_m: Annotated[float, Setting("length", "Thickness of a flexural coupon.")]
    coupons: Annotated[float, Setting("count", "Coupons cast with each pour.")]
    sample_side_m: Annotated[float, Setting("length", "Side of a square sample.")]
    sample_thickness_m: Annotated[float, Setting("length", "Thickness of a sample.")]
    samples: Annotated[float, Setting("count", "Samples cast if the job orders some without a number.")]


@frozen
class Sizes:
    """Sizes that get a warning or are refused. They say nothing about strength."""

    longest_m: Annotated[float, Setting("length", "Longest usual side of a piece. A longer one gets a warning.")]
    longest_cast_m: Annotated[float, Setting("length", "Longest plausible side of one piece. A longer one is refused.")]
    thinnest_m: Annotated[
        float, Setting("length", "Thinnest usual slab, skin, wall, rib or edge. A thinner one gets a warning.")
    ]
    thickest_m: Annotated[
        float, Setting("length", "Thickest usual slab, skin, wall, rib or edge. A thicker one gets a warning.")
    ]
    thinnest_cast_m: Annotated[float, Setting("length", "Thinnest section that can be cast. A thinner one is refused.")]
    rail_m: Annotated[
        float, Setting("length", "Narrowest usual rail between a cutout and the edge. A narrower one gets a warning.")
    ]
    rail_at_hole_m: Annotated[
        float, Setting("length", "Narrowest usual rail at a small hole. A narrower one gets a warning.")
    ]
    small_hole_m: Annotated[float, Setting("length", "Largest size of a small hole.")]
    insert_overhang_m: Annotated[
        float, Setting("length", "Greatest distance of an insert's center outside the concrete.")
    ]


@frozen
class Seams:
    """Seams between parts of a piece, and the table that a part is cast on."""

    width_m: Annotated[float, Setting("length", "Width of a seam between two parts.")]
    at_cutout_m: Annotated[float, Setting("length", "Least distance of a proposed seam from a cutout.")]
    at_corner_m: Annotated[
        float, Setting("length", "Least distance of a proposed seam from an inside corner, unless it runs through it.")
    ]
    least_part_m: Annotated[float, Setting("length", "Narrowest part between proposed seams.")]
    rail_at_seam_m: Annotated[
        float,
        Setting("length", "Narrowest rail at a proposed seam through a cutout, or 0 to propose none there."),
    ]
    step_m: Annotated[float, Setting("length", "Step between seams that are tried.")]
    table_length_m: Annotated[float, Setting("length", "Length of the casting table.")]
    table_width_m: Annotated[float, Setting("length", "Width of the casting table.")]


@frozen
class Lighten:
    """Limits of proposals to make a piece lighter."""

    replaced_most: Annotated[float, Setting("share", "Largest share of the sand replaced in a proposal.")]
    core_skin_m: Annotated[float, Setting("length", "Concrete over and under a proposed foam core.")]
    core_rib_m: Annotated[float, Setting("length", "Solid concrete around a proposed foam core and at openings.")]
    core_least_m: Annotated[float, Setting("length", "Thinnest foam core proposed.")]


@frozen
class Labor:
    """Labor rates and production rates."""

    rate: Annotated[float, Setting("amount", "Shop rate per person and hour.", amount)]
    rate_install: Annotated[float, Setting("amount", "Site rate per person and hour.", amount)]
    template_s: Annotated[float, Setting("time", "Visit to template counters.", amount)]
    travel_s: Annotated[float, Setting("time", "Round trip per person, for each visit or day on site.", amount)]
    form_s_m2: Annotated[float, Setting("time-per-area", "Building a flat form, per form area.", amount)]
    form_cutout_s: Annotated[float, Setting("time", "Building the knockout of one sink.", amount)]
    sink_least_m: Annotated[float, Setting("length", "Smallest size of a sink. A smaller opening is a hole.", amount)]
    form_hole_s: Annotated[float, Setting("time", "Building the knockout of one hole.", amount)]
    form_edge_s_m: Annotated[float, Setting("time-per-length", "Building a formed edge, per length.", amount)]
    pour_setup_s: Annotated[float, Setting("time", "Setting up for a day of casting.", amount)]
    batch_s: Annotated[float, Setting("time", "Weighing and mixing one batch.", amount)]
    batch_cleanup_s: Annotated[float, Setting("time", "Cleaning up after one batch.", amount)]
    place_face_s_m2: Annotated[float, Setting("time-per-area", "Placing a face coat, per area.", amount)]
    place_back_s_m2: Annotated[float, Setting("time-per-area", "Placing one layer of backer, per area.", amount)]
    strip_melamine_s_m2: Annotated[
        float, Setting("time-per-area", "Stripping a melamine form, per form area and person.", amount)
    ]
    strip_rubber_s_m2: Annotated[
        float, Setting("time-per-area", "Stripping a rubber mold, per form area and person.", amount)
    ]
    strip_glass_fiber_s_m2: Annotated[
        float, Setting("time-per-area", "Stripping a fiberglass mold, per form area and person.", amount)
    ]
    flip_s: Annotated[float, Setting("time", "Flipping a piece, per person.", amount)]
    sample_s: Annotated[float, Setting("time", "Making one sample, all steps.", amount)]
    demold_crew: Annotated[
        float,
        Setting("count", "People who strip and flip a piece by hoist.", people, "demould_crew"),
    ]
    hone_s_m2: Annotated[float, Setting("time-per-area", "Slurry and honing, per finished area.", amount)]
    seal_s_m2: Annotated[float, Setting("time-per-area", "Sealing, per finished area.", amount)]
    crate_s: Annotated[float, Setting("time", "Crating one piece.", amount)]
    install_s: Annotated[float, Setting("time", "Setup and cleanup of a day on site, per person.", amount)]
    install_light_s: Annotated[float, Setting("time", "Setting a one-person piece.", amount)]
    install_medium_s: Annotated[float, Setting("time", "Setting a two-person piece, per person.", amount)]
    install_heavy_s: Annotated[float, Setting("time", "Setting a heavier piece, per person.", amount)]
    seam_s_m: Annotated[float, Setting("time-per-length", "Gluing, filling and honing a seam, per length.", amount)]
    install_crew: Annotated[float, Setting("count", "Crew on site, unless the heaviest piece needs more.", people)]
    whole_job_low_s_m2: Annotated[
        float, Setting("time-per-area", "Low end of usual shop hours per area, as a check.", amount)
    ]
    whole_job_high_s_m2: Annotated[
        float, Setting("time-per-area", "High end of usual shop hours per area, as a check.", amount)
    ]


@frozen
class Equipment:
    """Hired equipment."""

    machine_day: Annotated[
        float, Setting("amount", "Hired hoist or lift truck per day, for a piece too heavy for any crew.", amount)
    ]


@frozen
class Freight:
    """Freight of materials, and delivery of pieces."""

    per_pallet: Annotated[float, Setting("amount", "Freight of one pallet from a supplier.", amount)]
    lift_gate: Annotated[float, Setting("amount", "Lift gate of a pallet delivery where no forklift unloads.", amount)]
    delivery: Annotated[float, Setting("amount", "One trip with finished pieces.", amount)]


@frozen
class QuoteSettings:
    """Payment steps, allowances and ranges of a quote."""

    deposit: Annotated[float, Setting("share", "Share of the total due with the order.", amount)]
    before_delivery: Annotated[float, Setting("share", "Share of the total due before delivery.", amount)]
    on_install: Annotated[float, Setting("share", "Share of the total due when the work is done.", amount)]
    valid_s: Annotated[float, Setting("time", "Time that a quote is valid.", up_to_days(3650))]
    minimum: Annotated[float, Setting("amount", "Minimum charge of a job.", amount)]
    round_to: Annotated[
        float, Setting("amount", "Step to which the price before tax is rounded. 0.01 leaves it as it is.", amount)
    ]
    remake_plain: Annotated[float, Setting("share", "Remake allowance of a plain piece, of its direct cost.", amount)]
    remake_large: Annotated[float, Setting("share", "Remake allowance of a large piece.", amount)]
    remake_thin_railed: Annotated[float, Setting("share", "Remake allowance of a piece with narrow rails.", amount)]
    remake_color_critical: Annotated[
        float, Setting("share", "Remake allowance of a piece whose color must match.", amount)
    ]
    large_from_m2: Annotated[float, Setting("area", "Smallest face of a large piece.", amount)]
    size_ballpark: Annotated[
        float, Setting("share", "Size allowance of a ballpark quote, of the direct cost of counters.", amount)
    ]
    size_quoted: Annotated[float, Setting("share", "Size allowance of a firm quote before templating.", amount)]
    ballpark_below: Annotated[
        float, Setting("share", "Low end of a ballpark range, as a share below its figure.", amount)
    ]
    ballpark_above: Annotated[
        float, Setting("factor", "High end of a ballpark range, as a share above its figure.", amount)
    ]
    ballpark_thickness_m: Annotated[
        float, Setting("length", "Thickness of a ballpark quote, if none is given.", amount)
    ]


@frozen
class CalendarSettings:
    """Working hours, the floor, and the waits between steps."""

    seal_from_s: Annotated[float, Setting("time", "Earliest age to seal.", up_to_days(365))]
    seal_to_s: Annotated[float, Setting("time", "Usual latest age to seal.", up_to_days(365))]
    drying_s: Annotated[float, Setting("time", "Drying after a wet cure, both faces open, before sealing.")]
    sealer_cure_s: Annotated[float, Setting("time", "Cure of the sealer. Its data sheet governs.", up_to_days(365))]
    shop_crew: Annotated[float, Setting("count", "People who work in the shop.", people)]
    hours_per_day_s: Annotated[float, Setting("time", "Hours worked in a day.", working_day)]
    days_per_week: Annotated[float, Setting("count", "Days worked in a week, from Monday on.", week)]
    floor_m2: Annotated[float, Setting("area", "Floor area for pieces from pour to shipping.")]


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
    seams: Seams
    lighten: Lighten
    labor: Labor
    equipment: Equipment
    freight: Freight
    quote: QuoteSettings
    calendar: CalendarSettings


SECTIONS: Mapping[str, type] = {in_document_spelling(item.name): item.type for item in fields(Settings)}  # type: ignore[misc]
"""Class of each section by its name in the job file."""

_FIELDS = {kind: {key: name for name, key, _ in settings_of(kind)} for kind in SECTIONS.values()}


def value_of(section: object, key: str) -> float:
    """Value of a setting by its key in the job file."""
    value: float = getattr(section, _FIELDS[type(section)][key])
    return value


def settings_from(figures: Mapping[str, float]) -> Settings:
    """Build the settings from values in SI by dotted key ("handling.limit_level")."""
    return Settings(
        **{
            item.name: SECTIONS[section](
                **{name: figures[f"{section}.{key}"] for name, key, _ in settings_of(SECTIONS[section])}
            )
            for item in fields(Settings)
            for section in [in_document_spelling(item.name)]
        }
    )
