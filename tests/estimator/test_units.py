"""Text becomes exactly the quantity that the caster meant, or is refused in a line that says why."""

import re
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimator import units
from estimator.errors import FaultError
from estimator.units import read_quantity, read_ratio, table
from estimator.words import PLAIN, Words

INCH = 0.0254


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("25.5 in", 25.5),
        ('25.5"', 25.5),
        ("25-1/2 in", 25.5),
        ("25 1/2 in", 25.5),
        ("25½ in", 25.5),
        ('25 ½"', 25.5),
        ("25-½ inches", 25.5),
        ("½ in", 0.5),
        ("⅛ in", 0.125),
        ('3/4"', 0.75),
        (".75 in", 0.75),
        ("3⅝″", 3.625),
        ("6 ft 3-1/2 in", 75.5),
        ("6 ft 3 in", 75.0),
        ("6' 3-1/2\"", 75.5),
        ("6'3½\"", 75.5),
        ("6′ 3″", 75.0),
        ("6'-3\"", 75.0),
        ("6ft3in", 75.0),
        ("6' 3''", 75.0),
        ("6’ 3”", 75.0),
        ("6'", 72.0),
        ("2 yd", 72.0),
        ("6.5 ft", 78.0),
    ],
)
def test_inches_are_read_in_every_way_that_a_shop_writes_them(text: str, inches: float) -> None:
    assert read_quantity(text, "length") == pytest.approx(inches * INCH, rel=1e-15)


@pytest.mark.parametrize(
    ("text", "kind", "si"),
    [
        ("38 mm", "length", 0.038),
        ("2.54cm", "length", 0.0254),
        ("1 ft^2", "area", 0.09290304),
        ("1 sq ft", "area", 0.09290304),
        ("1 sq. ft", "area", 0.09290304),
        ("1 ft²", "area", 0.09290304),
        ("1 square foot", "area", 0.09290304),
        ("1 m2", "area", 1.0),
        ("1 cu yd", "volume", 0.764554857984),
        ("1 yd3", "volume", 0.764554857984),
        ("50 ft^3", "volume", 50 * 0.028316846592),
        ("50 cuft", "volume", 50 * 0.028316846592),
        ("1 gal", "volume", 0.003785411784),
        ("20 fl oz", "volume", 20 * 2.95735295625e-5),
        ("1 L", "volume", 0.001),
        ("94 lb", "mass", 42.63768278),
        ("5 lb 8 oz", "mass", 5.5 * 0.45359237),
        ("500 g", "mass", 0.5),
        ("100 lb/ft^3", "density", 1601.8463373960142),
        ("100 pcf", "density", 1601.8463373960142),
        ("100 lb per cu ft", "density", 1601.8463373960142),
        ("1500 kg/m3", "density", 1500.0),
        ("1 g/cm³", "density", 1000.0),
        ("3 lb/ft²", "areal-mass", 3 * 4.882427636383051),
        ("200 ft^2/gal", "coverage", 200 * 0.09290304 / 0.003785411784),
        ("0.25 h/ft^2", "time-per-area", 900 / 0.09290304),
        ("25 ft²/h", "area-per-time", 25 * 0.09290304 / 3600),
        ("8 fl oz/cwt", "volume-per-mass", 8 * 65.1984768e-8),  # M26: 65.198 mL per 100 kg an ounce
        ("0.2/min", "frequency", 0.2 / 60),
        ("1 h 30 min", "time", 5400.0),
        ("16 hours", "time", 57_600.0),
        ("7 days", "time", 604_800.0),
        ("70 °F", "temperature", 21.11111111111111),
        ("70 degF", "temperature", 21.11111111111111),
        ("-40 deg F", "temperature", -40.0),
        ("20 °C", "temperature", 20.0),
        ("293.15 K", "temperature", 20.0),
        ("35 °F", "temperature-difference", 35 / 1.8),
        ("4000 psi", "pressure", 27_579_029.17),
        ("5 N/mm^2", "pressure", 5e6),
        ("12 mph", "speed", 5.36448),
        ("60 lbf", "force", 266.8932967),
        ("1 kW", "power", 1000.0),
        ("5 m²K/W", "thermal-resistance", 5.0),
        ("0.5 W/(m*K)", "thermal-conductivity", 0.5),
        ("0.5 W/m/K", "thermal-conductivity", 0.5),
        ("45.5 kJ/mol", "molar-energy", 45_500.0),
        ("370 m²/kg", "specific-surface", 370.0),
        ("0.2 lb/ft²/h", "evaporation", 0.2 * 4.882427636383051 / 3600),
        ("45 deg", "angle", 45.0),
        ("4 ksi", "pressure", 27_579_029.17),
        ("2 kip", "force", 8896.443231),
        ("25 in Hg", "pressure", 84_659.7),
        ("0.8 bar", "pressure", 80_000.0),
        ("160 gsm", "areal-mass", 0.16),
        ("2 CY", "volume", 1.529110),
    ],
)
def test_each_kind_of_quantity_is_read_into_its_si_unit(text: str, kind: units.Kind, si: float) -> None:
    # factors from definition: inch 25.4 mm, pound 0.45359237 kg, US gallon 231 cubic inches
    # source: NIST SP 811, Appendix B: psi 6.894757 kPa, kip 4.448222 kN, inHg 3.386389 kPa, cubic yard 0.7645549 m3
    assert read_quantity(text, kind) == pytest.approx(si, rel=1e-6)


@pytest.mark.parametrize(
    ("written", "plain", "kind"),
    [
        ("25-1/2 in.", "25-1/2 in", "length"),
        ("8 ft. 3 in.", "8 ft 3 in", "length"),
        ("8 FT.-3 IN.", "8 ft 3 in", "length"),
        ("600 MM", "600 mm", "length"),
        ("12 LF", "12 ft", "length"),
        ("94 Lbs.", "94 lb", "mass"),
        ("12 Sq. Ft.", "12 ft^2", "area"),
        ("8 FL. OZ.", "8 fl oz", "volume"),
        ("300 sq. ft./gal.", "300 ft^2/gal", "coverage"),
        ("30 Mpa", "30 MPa", "pressure"),
    ],
)
def test_points_and_capitals_of_a_drawing_change_nothing(written: str, plain: str, kind: units.Kind) -> None:
    assert read_quantity(written, kind) == read_quantity(plain, kind)


def test_a_length_of_zero_needs_no_unit() -> None:
    assert read_quantity("0", "length") == read_quantity(" 0.0 ", "length") == 0.0
    with pytest.raises(FaultError, match="no-unit"):
        read_quantity(0, "length")
    with pytest.raises(FaultError, match="no-unit"):
        read_quantity("0", "temperature")


def test_a_metric_job_reads_a_fraction_as_one_of_an_inch_and_a_large_number_as_millimeters() -> None:
    metric = replace(PLAIN, units="metric")
    for typed, fix in (("1600", 'Write "1600 mm".'), ("63 1/2", 'Write "63-1/2 in".')):
        with pytest.raises(FaultError) as refused:
            read_quantity(typed, "length")
        assert metric.text(refused.value.message, "fix") == fix


def test_no_two_units_share_a_spelling_in_any_case() -> None:
    symbols: dict[str, set[str]] = {}
    for word, symbol in table.SPELLING.items():
        if len(word) > 1:
            symbols.setdefault(word.lower(), set()).add(symbol)
    assert all(len(found) == 1 for found in symbols.values())


@pytest.mark.parametrize(
    ("text", "kind", "si", "rel"),
    [
        ("40 psf", "areal-mass", 195.297, 1e-6),
        ("1.92 kN/m^2", "areal-mass", 195.297, 3e-3),  # source: ASCE 7, Table 4.3-1, as it rounds 40 psf
        ("10 kN", "mass", 1019.716, 1e-6),
        ("2 kip", "mass", 907.1847, 1e-6),
        ("210 kg/cm^2", "pressure", 20.594e6, 1e-4),  # by standard gravity, 9.80665 m/s2
        ("20 lb/ft^2", "pressure", 957.605, 1e-6),
    ],
)
def test_a_load_may_be_written_as_a_force_or_as_a_weight(text: str, kind: units.Kind, si: float, rel: float) -> None:
    assert read_quantity(text, kind) == pytest.approx(si, rel=rel)


@pytest.mark.parametrize(
    ("text", "kind", "message"),
    [
        ("1.5", "length", '"1.5" has no unit. Write "1.5 in".'),
        (1.5, "length", '"1.5" has no unit. Write "1.5 in".'),
        ("63 1/2", "length", '"63 1/2" has no unit. Write "63-1/2 in".'),
        ("3½", "mass", '"3½" has no unit. Write "3-1/2 lb".'),
        ("240", "length", '"240" has no unit. Write "240 in" or "240 mm" (9-7/16").'),
        ("1600", "length", '"1600" has no unit. Write "1600 mm" (63") or "1600 in" (133\' 4").'),
        ("-5", "length", '"-5" is negative. Enter a length of 0 or more. Write "5 in".'),
        ("5'3", "length", '"5\'3" has a second number without a unit. Write 5\' 3".'),
        ("5 ft 3 1/2", "length", '"5 ft 3 1/2" has a second number without a unit. Write 5 ft 3-1/2 in.'),
        ("0", "mass", '"0" has no unit. Write "0 lb".'),
        ("70", "temperature", '"70" has no unit. Write "70 °F".'),
        ("0.2", "evaporation", '"0.2" has no unit. Write "0.2 lb/ft^2/h".'),
        ("3 lb", "length", '"3 lb" is a mass. Enter a length. Write "1-1/2 in".'),
        ("3 ft^3", "area", '"3 ft^3" is a volume. Enter an area. Write "12 ft^2".'),
        ("3 W/m/K", "mass", '"3 W/m/K" is a thermal conductivity. Enter a mass. Write "94 lb".'),
        ("8 oz", "volume", '"8 oz" is a mass. Enter a volume. Write "8 fl oz".'),
        ("3 inchs", "length", '"3 inchs" has an unknown unit, "inchs". Did you mean "inches"?'),
        ("12 M", "length", '"12 M" has an unknown unit, "M". Did you mean "m"?'),
        ("2 bags", "mass", '"2 bags" counts packs. Enter what they hold, such as "188 lb".'),
        ("2 cups", "mass", '"2 cups" has an unknown unit, "cups". Enter a mass. Write "94 lb".'),
        (
            "20 mil",
            "length",
            '"20 mil" could be thousandths of an inch or millimeters. For thousandths, write "0.02 in".',
        ),
        ("2 ton", "mass", '"2 ton" could be short, long or metric tons. Write pounds, such as "2000 lb".'),
        ("2,5 cm", "length", '"2,5 cm" has a comma. Use a decimal point. Leave out thousands separators.'),
        ("-3 mm", "length", '"-3 mm" is negative. Enter a length of 0 or more. Write "3 mm".'),
        ("nan mm", "length", '"nan mm" does not start with a number. Write "1-1/2 in".'),
        (float("inf"), "length", '"inf" is not a number. Write "1-1/2 in".'),
        (" ", "length", 'is empty. Write "1-1/2 in".'),
        (
            "31/2 in",
            "length",
            '"31/2 in" has 31/2, which is not a proper fraction. Write a whole number and a fraction, as in 3-1/2.',
        ),
        (
            "6 ft 15 in",
            "length",
            '"6 ft 15 in" is not a whole number of ft and less than 12 in. If you mean 87 in, write "87 in".',
        ),
        (
            "1 200 mm",
            "length",
            '"1 200 mm" has two numbers. Write one number and its unit. '
            "Join a whole number and its fraction with a hyphen, as in 3-1/2.",
        ),
    ],
)
def test_a_refusal_says_why_and_how_to_fix_it(text: object, kind: units.Kind, message: str) -> None:
    with pytest.raises(FaultError) as refused:
        read_quantity(text, kind)
    assert line(refused.value) == message


def line(error: FaultError, words: Words = PLAIN) -> str:
    return f"{words.text(error.message)} {words.text(error.message, 'fix')}"


@pytest.mark.parametrize(
    ("text", "kind", "fix"),
    [
        ("2.4", "length", 'Write "2.4 m" (2400 mm), "2.4 cm" (24 mm) or "2.4 mm".'),
        ("30", "length", 'Write "30 mm" or "30 cm" (300 mm).'),
        ("600", "length", 'Write "600 mm".'),
        ("70", "temperature", 'Write "70 °C".'),
        ("3 in", "mass", 'Write "25 kg".'),
        ("2 ton", "mass", 'Write "1 t" for 1,000 kg.'),
    ],
)
def test_a_metric_job_is_offered_only_metric_units(text: str, kind: units.Kind, fix: str) -> None:
    with pytest.raises(FaultError) as refused:
        read_quantity(text, kind)
    assert line(refused.value, Words("metric", "EUR", "en-GB")).endswith(fix)


@given(st.decimals("0.01", "9999", places=2), st.sampled_from(["imperial", "metric"]))
def test_each_reading_of_a_bare_length_can_be_typed_and_has_the_size_shown(
    number: Decimal, system: units.Units
) -> None:
    with pytest.raises(FaultError) as refused:
        read_quantity(f"{number}", "length")
    readings = re.findall(r'"([^"]+)"(?: \(([^)]+)\))?', Words(system, "USD").text(refused.value.message, "fix"))
    lengths = [read_quantity(text, "length") for text, _ in readings]
    assert len(set(lengths)) == len(readings) > 0
    assert all(
        size in ("", units.format_length(length, system)) for (_, size), length in zip(readings, lengths, strict=True)
    )


@pytest.mark.parametrize(
    "text",
    """3-4 in|1e-3 m|5^2 m|inf mm|in 3|3 in in|3 in/|3 m m|2.5-1/2 in|1/0 in|3 ft 2 lb|7 %|--3 in|3 in 4|+3 in
    2.5 ft 3 in|3 ft -2 in x|1.2.3 in|3 sq ft2|3 /|3 (in)|5 ft 1/2|3 in^4|3 m3/m2""".replace("\n", "|").split("|"),
)
def test_text_outside_the_grammar_is_never_guessed(text: str) -> None:
    with pytest.raises(FaultError):
        read_quantity(text, "length", negative=True)


def test_a_negative_quantity_is_negative_in_all_its_parts() -> None:
    assert read_quantity("-6' 3-1/2\"", "length", negative=True) == pytest.approx(-75.5 * INCH)
    with pytest.raises(FaultError, match="quantity-below-zero"):
        read_quantity("-500 °F", "temperature")


@pytest.mark.parametrize("value", [0.07, "0.07", "7 %", "7%", " 7 % ", "7.0 %"])
def test_a_ratio_is_a_bare_number_or_a_percentage(value: object) -> None:
    assert read_ratio(value) == 0.07


@pytest.mark.parametrize(
    ("value", "message"),
    [
        (7, "7 is above 1. A share is 0 to 1. For 7%, write 0.07."),
        ("7", '"7" is above 1. A share is 0 to 1. For 7%, write 0.07.'),
        ("107 %", '"107 %" is above 100%. A share is at most 100%. Write 0.07 or "7%".'),
        (-0.1, '-0.1 is negative. A share is 0 to 1. Write 0.07 or "7%".'),
        ("0,07", '"0,07" has a comma. Write 0.07, with a decimal point.'),
        (float("nan"), 'nan is not a share. Write 0.07 or "7%".'),
        ("7 in", '"7 in" is not a share. Write 0.07 or "7%".'),
        (True, 'true is not a share. Write 0.07 or "7%".'),
    ],
)
def test_a_ratio_that_cannot_be_a_share_is_asked_about(value: object, message: str) -> None:
    with pytest.raises(FaultError) as refused:
        read_ratio(value)
    assert line(refused.value) == message


def test_a_ratio_above_one_is_read_where_it_is_allowed() -> None:
    assert read_ratio("150 %", above_one=True) == read_ratio(1.5, above_one=True) == 1.5


def test_the_table_agrees_with_pint() -> None:
    for words, kind, factor, pint_name in table._TABLE:
        si = {"length": "m", "area": "m**2", "volume": "m**3", "mass": "kg", "time": "s", "angle": "degree"}
        si |= {"speed": "m/s", "amount": "mol", "temperature-difference": "delta_degree_Celsius"} | table.BY_PINT  # type: ignore[assignment]
        quantity = table._registry().Quantity(Fraction(1), pint_name)
        assert float(quantity.to(si[kind]).magnitude) == pytest.approx(float(factor), rel=1e-12), words


@pytest.mark.parametrize(("text", "kind"), [("m^2*K/W", "thermal-resistance"), ("kJ*kg/kg^2", "specific-energy")])
def test_a_unit_outside_the_table_goes_to_pint(text: str, kind: units.Kind) -> None:
    assert table.unit_kind(text, text)[0] is None
    assert units.read_any(f"2 {text}")[0] == kind


def test_every_kind_has_its_words_its_suffix_and_examples_that_read_back() -> None:
    for kind in get_args(units.Kind):
        for example in table.EXAMPLES[kind]:
            assert read_quantity(example, kind) > 0.0
        assert PLAIN(f"kind-{kind}")
        assert kind in units.SI_SUFFIX


@pytest.mark.parametrize("unit", ["W/m^2/K", "W/m/K", "kJ/m^3/K", "kJ/kg", "kJ/mol", "lb/ft^2/h", "m^2/kg"])
def test_quotients_of_three_units_agree_with_pint(unit: str) -> None:
    kind, factor = table.unit_kind(unit, unit)
    assert kind is not None
    assert table.pint_factor(unit, table.BY_PINT[kind]) == factor


def test_no_word_names_two_units() -> None:
    words = [word for row in table._TABLE for word in row[0].split()]
    assert len(words) == len(set(words))


@settings(max_examples=60, deadline=None)
@given(st.floats(0, 40), st.sampled_from(["imperial", "metric"]))
def test_a_length_reads_back_to_within_its_rounding(length_m: float, system: units.Units) -> None:
    text = units.format_length(length_m, system)
    within = INCH / 32 if system == "imperial" else 0.0005 if length_m >= 0.02 else 0.00005
    assert read_quantity(text, "length") == pytest.approx(length_m, abs=within * (1 + 1e-9))


@settings(max_examples=60, deadline=None)
@given(st.floats(0, 5000), st.sampled_from(["imperial", "metric"]))
def test_a_high_weight_never_reads_low_and_a_low_one_never_high(mass_kg: float, system: units.Units) -> None:
    low, near, high = (read_quantity(units.format_mass(mass_kg, system, up=up), "mass") for up in (False, None, True))
    assert low <= near <= high
    assert low <= mass_kg * (1 + 1e-9) + 1e-12
    assert high >= mass_kg * (1 - 1e-9) - 1e-12
    step = 1.0 if system == "metric" and mass_kg > 99 else 0.46 if mass_kg > 9 else 0.11
    assert high - low <= step
    assert near == pytest.approx(mass_kg, abs=step / 2)


@settings(max_examples=60, deadline=None)
@given(st.floats(0, 3000), st.sampled_from(["imperial", "metric"]))
def test_other_formats_read_back(value: float, system: units.Units) -> None:
    cases: list[tuple[object, units.Kind, float]] = [
        (units.format_area, "area", 0.01),
        (units.format_volume, "volume", 0.002),
        (units.format_density, "density", 8.1),
        (units.format_areal_mass, "areal-mass", 0.25),
        (units.format_pressure, "pressure", 5000.0),
        (units.format_temperature, "temperature", 0.51),
    ]
    for show, kind, within in cases:
        assert read_quantity(show(value, system), kind) == pytest.approx(value, abs=within)  # type: ignore[operator]


@pytest.mark.parametrize(
    ("length_in", "text"),
    [
        (72, '72"'),
        (25.5, '25-1/2"'),
        (0.75, '3/4"'),
        (0, '0"'),
        (119.9375, '119-15/16"'),
        (120, "10' 0\""),  # from ten feet on, in feet and inches
        (144, "12' 0\""),
        (147.5, "12' 3-1/2\""),
        (156.5, "13' 0-1/2\""),
    ],
)
def test_lengths_print_as_a_tape_reads(length_in: float, text: str) -> None:
    assert units.format_length(length_in * INCH, "imperial") == text


def test_rounding_up_adds_no_step_for_a_rounding_error() -> None:
    assert units.format_mass(50 * 0.45359237 * (1 + 1e-12), "imperial", up=True) == "50 lb"
    assert units.format_mass(50 * 0.45359237 * (1 + 1e-6), "imperial", up=True) == "51 lb"


@given(
    st.from_regex(r"\A[0-9]{1,9}(\.[0-9]{1,9})?\Z"),
    st.sampled_from(
        [("mm", "length"), ("in", "length"), ("ft", "length"), ("lb", "mass"), ("kg", "mass"), ("h", "time")]
    ),
)
def test_a_plain_number_with_its_unit_is_exact(number: str, unit: tuple[str, table.Kind]) -> None:
    name, kind = unit
    assert read_quantity(f"{number} {name}", kind) == float(Fraction(number) * table.unit_kind(name, name)[1])


@pytest.mark.parametrize("text", ["1e9 kg", "1.5E3 lb", "2e-3 m", "1e9kg"])
def test_a_power_of_ten_is_named_as_what_it_is(text: str) -> None:
    with pytest.raises(FaultError) as refused:
        units.read_any(text)
    assert refused.value.message.id == "quantity-power"
