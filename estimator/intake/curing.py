"""The curing figures of the workshop under those of the job, each within what can be."""

from collections.abc import Mapping

from estimator import job
from estimator.cement import CementAnalysis
from estimator.errors import Fault
from estimator.intake import curing_schema as schema

RATIO_KEYS = ("room", "mix_temperature", "humidity", "air_speed", "uncovered")  # that are figures of the same name
HOUR_S = 3600.0
CONDUCTANCE = "W/m²K"
RANGES: Mapping[str, tuple[float, float, float, str, str]] = {  # range in a unit, its size in SI, and how to fix
    "curing.humidity": (0.0, 1.0, 1.0, "", "50 % is 0.50."),
    "curing.strip_strength": (0.01, 1.0, 1.0, "", "30 % of the 28-day strength is 0.30."),
    "curing.strength_coefficient": (0.1, 0.6, 1.0, "", "Rapid cement 0.20, normal 0.25, slow 0.38."),
    "curing.heat_band": (0.0, 0.5, 1.0, "", "15 % is 0.15."),
    "curing.polymer_for_dry_cure": (0.0, 1.0, 1.0, "", "5 % is 0.05."),
    "curing.water_loss_most": (0.0, 1.0, 1.0, "", "5 % is 0.05."),
    "curing.evaporation_silica_fume": (0.0, 1.0, 1.0, "", "It is a share of evaporation_most: half is 0.5."),
    "curing.peak_most": (40.0, 90.0, 1.0, "°C", "ACI 301 sets 70 °C; above 90 °C no temperature is stated."),
    "curing.strip_from": (1.0, 72.0, HOUR_S, "h", "The heat model runs for 72 h."),
    "curing.strip_to": (1.0, 72.0, HOUR_S, "h", "The heat model runs for 72 h."),
    "curing.film_conductance": (0.1, 1000.0, 1.0, CONDUCTANCE, "Film of 0.1 mm is next to nothing: 100 W/m^2/K."),
    "curing.tarp_conductance": (0.1, 1000.0, 1.0, CONDUCTANCE, "A tarp of R 0.5 m^2K/W has 2 W/m^2/K."),
    "curing.form_conductance": (0.1, 1000.0, 1.0, CONDUCTANCE, "A board of 3/4 in has about 5 W/m^2/K."),
    "curing.surface_conductance": (1.0, 100.0, 1.0, CONDUCTANCE, "Still air indoors: 10 W/m^2/K."),
}


def over_figures(
    table: schema.CureTable | None, figures: Mapping[str, float], file: str, faults: list[Fault]
) -> dict[str, float]:
    """The workshop's figures with the job's own cure over them. Adds a fault for each that cannot be."""
    own = dict(figures)
    if table is not None:
        given = {f"curing.{key}": getattr(table, key) for key in RATIO_KEYS}
        for part in ("tarp", "form"):
            resistance = getattr(table, f"{part}_resistance")
            given[f"curing.{part}_conductance"] = None if resistance is None else 1.0 / resistance
        own |= {key: value for key, value in given.items() if value is not None}
    faults += _faults(own, file)
    return own


def _faults(figures: Mapping[str, float], file: str) -> list[Fault]:
    found = []
    for key, (least, most, size, unit, fix) in RANGES.items():
        value = figures.get(key, least * size) / size
        if not least <= value <= most:
            found.append(
                Fault(file, f"workshop.{key}", f"{value:g} is outside {least:g} to {most:g} {unit}".rstrip() + ".", fix)
            )
    for key, coldest, warmest in (
        ("curing.room", schema.COLDEST_ROOM_C, schema.WARMEST_ROOM_C),
        ("curing.mix_temperature", schema.COLDEST_MIX_C, schema.WARMEST_MIX_C),
    ):
        wrong = schema.outside(figures[key], coldest, warmest) if key in figures else None
        if wrong:
            found.append(Fault(file, f"workshop.{key}", wrong, "Is its unit right?"))
    if figures.get("curing.strip_to", 1.0) < figures.get("curing.strip_from", 0.0):
        found.append(Fault(file, "workshop.curing.strip_to", "is before strip_from.", "Exchange them."))
    cement = {key.partition(".")[2]: value for key, value in figures.items() if key.startswith("cement.")}
    if len(cement) == len(schema.AnalysisTable.model_fields):
        fault = schema.analysis_fault({k: v for k, v in cement.items() if k != "blaine"}, cement["blaine"])
        if fault:
            found.append(Fault(file, "workshop.cement", *fault))
    return found


def piece_cure(table: schema.PieceCureTable | None) -> job.Cure:
    """What one piece has of its own."""
    if table is None:
        return job.Cure()
    return job.Cure(
        room_c=table.room,
        placed_c=table.mix_temperature,
        humidity=table.humidity,
        air_speed_m_s=table.air_speed,
        uncovered_s=table.uncovered,
        tarp_r=table.tarp_resistance,
        form_r=table.form_resistance,
        thickest_m=table.thickest,
        thinnest_m=table.thinnest,
        set_delay_s=table.set_delay,
    )


def analysis(table: schema.AnalysisTable | None) -> CementAnalysis | None:
    """A cement's analysis in SI."""
    if table is None:
        return None
    shares = {name: getattr(table, name) for name in type(table).model_fields if name != "blaine"}
    return CementAnalysis(**shares, blaine_m2_kg=table.blaine)
