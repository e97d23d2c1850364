"""Figures corrected by weighing, stored beside the job: those of `job.toml` in `job.corrected.toml`.

A correction records the figure that it replaces. If the job was edited since, it is left out with a warning.
"""

from collections.abc import Sequence
from dataclasses import replace
from math import isclose
from pathlib import Path

from estimator import job
from estimator.constants import figure_of
from estimator.disk import replace_file
from estimator.errors import Fault, FaultError, InputError
from estimator.intake.documents import Raw, read_toml
from estimator.intake.faults import validate
from estimator.intake.material_tables import DENSITY_KEYS
from estimator.keys import Name, table
from estimator.names import nearest, quoted
from estimator.notices import Notice
from estimator.units import read_quantity
from geometry.files import read_bytes
from geometry.frozen import frozen
from geometry.message import Message, Value, message

DENSITIES = ("density", "bulk_density")
MATERIAL_FIGURES = (*DENSITIES, "packing", "moisture")
_SAME = 1e-6
_HEAD = """# Figures corrected by weighing. They override the job file of the same name.
# Written by `cast-estimator mix calibrate`.
# The last entry of a figure counts. Delete its entries to return to the figure of the job or the catalog.
"""


@frozen
class Correction:
    """One corrected figure, SI.

    mix       mix that was weighed
    material  material of the figure; "" for a figure of the mix itself
    """

    mix: str
    material: str
    figure: str  # "air", "water_cementitious", or one of MATERIAL_FIGURES
    was: float
    becomes: float
    weighed: str  # date
    why: str

    @property
    def key(self) -> str:
        return f"materials.{self.material}.{self.figure}" if self.material else self.figure


@table(kw_only=True)
class CorrectionTable:
    mix: Name
    figure: Name
    was: str | float
    becomes: str | float
    weighed: str = ""
    why: str = ""


def corrections_path(job_path: Path) -> Path:
    """Path of the corrections of a job file."""
    return job_path.with_name(f"{job_path.stem}.corrected.toml")


def read_corrections(job_path: Path, faults: list[Fault]) -> list[Correction]:
    """Corrections stored beside a job file; empty without such a file. The last entry of a figure counts."""
    path = corrections_path(job_path)
    corrections: list[Correction] = []
    for correction in _entries_of(path, faults) if path.is_file() else []:
        corrections = added(corrections, correction)
    return corrections


def _entries_of(path: Path, faults: list[Fault]) -> list[Correction]:
    """All entries of a corrections file, including earlier ones of the same figure."""
    try:
        raw = read_toml(path)
    except InputError as error:
        faults.extend(error.faults)
        return []
    for key in raw:
        if key != "corrected":
            faults.append(Fault(path.name, key, message("key-unknown", nearest=nearest(key, ["corrected"]))))
    entries = raw.get("corrected", [])
    corrections = []
    for number, entry in enumerate(entries if isinstance(entries, list) else [entries], start=1):
        place = f"corrected {number}"
        table = validate(CorrectionTable, entry, path.name, place, faults)
        if table is None:
            continue
        try:
            corrections.append(_correction(table))
        except FaultError as error:
            faults.append(Fault(path.name, place, error.message))
    return corrections


def write_corrections(job_path: Path, corrections: Sequence[Correction]) -> Path:
    """Append new corrections to the file beside a job, which otherwise keeps its bytes. Return its path.

    The file is replaced atomically. Raises OSError.
    """
    path = corrections_path(job_path)
    stored = _entries_of(path, []) if path.is_file() else []
    text = "".join(_entry(correction) for correction in corrections if correction not in stored)
    before = read_bytes(path) if path.is_file() else _HEAD.encode()
    replace_file(path, before + (b"" if before.endswith(b"\n") else b"\n") + text.encode())
    return path


def added(corrections: Sequence[Correction], new: Correction) -> list[Correction]:
    """Corrections with a new one added. It replaces an earlier one of the same figure and keeps its original value."""
    before = [correction for correction in corrections if _same_figure(correction, new)]
    kept = [correction for correction in corrections if not _same_figure(correction, new)]
    return [*kept, replace(new, was=before[0].was) if before else new]


def correct_material(raw: Raw, correction: Correction, water_density_kg_m3: float) -> list[Notice]:
    """Write a corrected figure into the material's table; return the warning that it was applied or left out.

    water_density_kg_m3  water density of the job, the reference of relative densities
    """
    entry = raw.get(correction.material)
    if not isinstance(entry, dict):
        text = message("warning-correction-no-material", key=correction.key)
        return [Notice("correction-left-out", text)]
    now = _figure_now(entry, correction.figure, water_density_kg_m3)
    if now is None or not isclose(now, correction.was, rel_tol=_SAME, abs_tol=1e-12):
        return [_stale(correction, now)]
    changed = {key: value for key, value in entry.items() if correction.figure != "density" or key not in DENSITY_KEYS}
    changed[correction.figure] = _shown(correction.figure, correction.becomes)
    raw[correction.material] = changed
    return [_applied(correction)]


def correct_mix(mix: job.Mix, correction: Correction) -> tuple[job.Mix, list[Notice]]:
    """Mix with one of its own figures corrected, and the warning that it was applied or left out."""
    if correction.material:
        return mix, []
    now = mix.air if correction.figure == "air" else mix.water_cementitious
    if not isclose(now, correction.was, rel_tol=_SAME, abs_tol=1e-12):
        return mix, [_stale(correction, now)]
    if correction.figure == "air":
        return replace(mix, air=correction.becomes), [_applied(correction)]
    return replace(mix, water_cementitious=correction.becomes), [_applied(correction)]


def _correction(table: CorrectionTable) -> Correction:
    """Correction from its table. Raises FaultError for an unknown figure or an invalid value."""
    section, _, rest = table.figure.partition(".")
    material, _, figure = rest.rpartition(".")
    if section != "materials":
        material, figure = "", table.figure
    known = MATERIAL_FIGURES if material else ("air", "water_cementitious")
    if figure not in known:
        raise FaultError("", message("correction-figure", figure=table.figure, nearest=nearest(figure, known)))
    was, becomes = (_value(figure, value) for value in (table.was, table.becomes))
    return Correction(table.mix, material, figure, was, becomes, table.weighed, table.why)


def _value(figure: str, value: str | float) -> float:
    if figure in DENSITIES:
        return read_quantity(value, "density")
    if isinstance(value, str | bool) or not 0.0 <= value < 10.0:
        raise FaultError("", message("correction-value", value=quoted(value)))
    return float(value)


def _figure_now(entry: Raw, figure: str, water_density_kg_m3: float) -> float | None:
    try:
        if figure == "density" and "relative_density" in entry:
            return float(entry["relative_density"]) * water_density_kg_m3
        if figure in DENSITIES:
            return read_quantity(entry.get(figure), "density")
        return float(entry.get(figure, 0.0))
    except (FaultError, TypeError, ValueError):
        return None  # the fault is reported with the material's entry


def _same_figure(a: Correction, b: Correction) -> bool:
    return a.key == b.key and (bool(a.material) or a.mix == b.mix)


def _shown(figure: str, value: float) -> str | float:
    return f"{value:.12f} kg/m^3" if figure in DENSITIES else value


def _applied(correction: Correction) -> Notice:
    """Warning that a figure was corrected."""
    values = _values(correction, was=correction.was, becomes=correction.becomes)
    return Notice("correction-applied", message("warning-correction-applied", **values))


def _stale(correction: Correction, now: float | None) -> Notice:
    """Warning that a correction no longer fits the job."""
    values = _values(correction, was=correction.was, becomes=correction.becomes)
    if now is None:
        return Notice("correction-left-out", message("warning-correction-no-figure", **values))
    return Notice("correction-left-out", message("warning-correction-stale", now=_figure(correction, now), **values))


def _values(correction: Correction, **figures: float) -> dict[str, Value]:
    subject = correction.material or f"mix {correction.mix}"
    name = correction.figure.replace("_", " ")
    printed: dict[str, Value] = {key: _figure(correction, value) for key, value in figures.items()}
    return {"subject": subject, "figure": name, **printed}


def _figure(correction: Correction, value: float) -> Message | str:
    return figure_of(value, "kg/m³") if correction.figure in DENSITIES else f"{value:.4g}"


def _entry(correction: Correction) -> str:
    was, becomes = (_toml(_shown(correction.figure, figure)) for figure in (correction.was, correction.becomes))
    return (
        f"\n[[corrected]]\nmix = {_toml(correction.mix)}\nfigure = {_toml(correction.key)}\nwas = {was}\n"
        f"becomes = {becomes}\nweighed = {_toml(correction.weighed)}\nwhy = {_toml(correction.why)}\n"
    )


def _toml(value: str | float) -> str:
    """Value in TOML syntax. The escapes of a JSON string are also those of a TOML basic string."""
    import json

    return json.dumps(value, ensure_ascii=False)
