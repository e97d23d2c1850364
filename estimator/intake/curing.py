"""The curing figures of the workshop under those of the job, each within what can be."""

from collections.abc import Mapping

from estimator import job
from estimator.cement import CementAnalysis
from estimator.errors import Fault
from estimator.intake import curing_schema as schema

RATIO_KEYS = ("room", "mix_temperature", "humidity", "air_speed", "uncovered")  # that are figures of the same name


def over_figures(
    table: schema.CureTable | None, figures: Mapping[str, float], file: str, faults: list[Fault]
) -> dict[str, float]:
    """The workshop's figures with the job's own cure over them. Adds a fault where two contradict."""
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
