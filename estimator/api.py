"""Python interface of the estimator: load or write a job, estimate it, read its figures, tables and workings."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import cached_property
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING, Any

from estimator.cautions import built_in_cautions
from estimator.document import Document, to_document
from estimator.errors import Fault, InputError
from estimator.estimate import Estimate as Result
from estimator.estimate import PieceEstimate
from estimator.estimate import estimate as run_stages
from estimator.explain import workings_of_figure
from estimator.intake import read_job, read_raw_job
from estimator.job import Job
from estimator.names import folded
from estimator.words import words_for
from estimator.workings import Working

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["Estimate", "Fault", "InputError", "Job", "Pieces", "Tables", "estimate", "job_from", "load_job"]


def load_job(path: str | Path) -> Job:
    """Load a job file on top of the built-in catalog. Raises InputError with all of its faults."""
    return read_job(Path(path)).sound()


def job_from(table: Mapping[str, Any], folder: str | Path = ".") -> Job:
    """Build a job from a mapping with the sections of a job file; quantities are strings with their unit.

    folder   folder of the drawings, meshes and schedules that the table names
    Raises InputError with all of its faults.

    >>> plate = {"kind": "slab", "length": "1.2 m", "width": "600 mm", "thickness": "25 mm"}
    >>> job_from({"job": {"name": "Shelf", "mix": "backer-45"}, "piece": [{"mark": "S1", "shape": plate}]}).name
    'Shelf'
    """
    return read_raw_job(dict(table), Path(folder) / "job").sound()


def estimate(job: Job) -> Estimate:
    """Estimate a job. Raises InputError with all faults that show up only during the computation."""
    return Estimate(run_stages(job, built_in_cautions()))


class Pieces(Mapping[str, PieceEstimate]):
    """Pieces of an estimate by mark, in the order of the job. Lookup ignores the case and spacing of a mark."""

    def __init__(self, pieces: tuple[PieceEstimate, ...]) -> None:
        self._by_mark = {piece.taken.piece.mark: piece for piece in pieces}
        self._marks = {folded(mark): mark for mark in self._by_mark}

    def __getitem__(self, mark: str) -> PieceEstimate:
        return self._by_mark[self._marks[folded(mark)]]

    def __iter__(self) -> Iterator[str]:
        return iter(self._by_mark)

    def __len__(self) -> int:
        return len(self._by_mark)

    def __repr__(self) -> str:
        return f"Pieces({', '.join(self._by_mark)})"


class Estimate:
    """A finished estimate, in SI.

    result   results of all stages, as frozen dataclasses
    """

    def __init__(self, result: Result) -> None:
        self.result = result

    @cached_property
    def pieces(self) -> Pieces:
        """Pieces with their take-off, weight, handling, curing and price: `pieces["C1"].weight.lift_kg`."""
        return Pieces(self.result.pieces)

    @cached_property
    def tables(self) -> Tables:
        """The estimate as pandas tables."""
        return Tables(self.document())

    def document(self, workings: bool = False) -> Document:
        """The estimate document as plain dicts and lists, with the working of every figure if `workings` is set."""
        return to_document(self.result, workings=workings)

    def working(self, figure: str) -> Working:
        """Formula, values, result, unit and source of one figure, by its dotted path in the document.

        Raises InputError for a figure without a working; the message suggests the nearest path.
        """
        working, words = workings_of_figure(self.result, figure)[0], words_for(self.result.job)
        return replace(working, source=words.text(working.source))

    def __repr__(self) -> str:
        job, cost = self.result.job, self.result.cost
        return f"<Estimate of {job.name}: {len(self.result.pieces)} marks, total {cost.total} {job.currency}>"

    def _repr_html_(self) -> str:
        shown = self.tables.pieces[["mark", "quantity", "use", "installed_kg", "lift_kg", "crew", "price"]]
        table: str = shown.to_html(index=False, float_format=lambda value: f"{value:,.2f}", na_rep="by machine")
        return f"<p>{escape(repr(self)[1:-1])}</p>\n{table}"


class Tables:
    """The estimate as pandas DataFrames, one row per item, with SI units in the column names."""

    def __init__(self, document: Document) -> None:
        self._document = document

    @cached_property
    def pieces(self) -> pd.DataFrame:
        """One row per mark: sizes, areas, weights of one piece, crew for a level carry, price."""
        rows = []
        for piece in self._document["pieces"]:
            row = _scalars(piece) | _axes("size_m", piece["size_m"]) | _axes("centroid_m", piece["centroid_m"])
            rows.append(row | _scalars(piece["weight"]) | {"crew": self._handling(piece)["crew"]})
        return _frame(rows)

    def _handling(self, piece: Document) -> Document:
        """Handling of a piece. In a long job, pieces may share an entry of the table `handlings`."""
        handling: Document = (
            piece["handling"] if "handling" in piece else self._document["handlings"][piece["handling_ref"]]
        )
        return handling

    @cached_property
    def layers(self) -> pd.DataFrame:
        """One row per layer of a mark, from the form inward."""
        return _frame(
            {"mark": piece["mark"], "layer": number} | _scalars(layer)
            for piece in self._document["pieces"]
            for number, layer in enumerate(piece["layers"], start=1)
        )

    @cached_property
    def mixes(self) -> pd.DataFrame:
        """One row per mix."""
        return _frame(_scalars(mix) for mix in self._document["mixes"])

    @cached_property
    def batches(self) -> pd.DataFrame:
        """One row per material of a batch, in loading order."""
        return _frame(
            {"batch": number}
            | _scalars(batch)
            | {"pieces": ", ".join(batch["pieces"])}
            | {f"load_{key}" if key in batch else key: value for key, value in _scalars(load).items()}
            for number, batch in enumerate(self._document["batches"], start=1)
            for load in batch["load"]
        )

    @cached_property
    def materials(self) -> pd.DataFrame:
        """One row per material of the mixes: needed, on hand, bought, left over, charged."""
        return _frame(_scalars(line) for line in self._document["materials"])

    @cached_property
    def consumables(self) -> pd.DataFrame:
        """One row per consumable, in the unit of measure in which it is used."""
        return _frame(_scalars(line) for line in self._document["consumables"])

    @cached_property
    def labour(self) -> pd.DataFrame:
        """One row per activity: quantity, people, hours, rate, cost."""
        return _frame(_scalars(line) for line in self._document["cost"]["labour_lines"])

    @cached_property
    def cost(self) -> pd.DataFrame:
        """One row per line of the price, in the order in which they add up."""
        return _frame(_scalars(line) for line in self._document["cost"]["lines"])

    @cached_property
    def calendar(self) -> pd.DataFrame:
        """One row per step of the work."""
        return _frame(_scalars(step) for step in self._document["calendar"]["steps"])

    @cached_property
    def cautions(self) -> pd.DataFrame:
        """One row per caution that applies, with the marks it applies to."""
        return _frame(
            _scalars(caution) | {"pieces": ", ".join(caution["pieces"])} for caution in self._document["cautions"]
        )


def _scalars(row: Document) -> Document:
    return {key: value for key, value in row.items() if not isinstance(value, (dict, list))}


def _axes(name: str, values: list[float]) -> dict[str, float]:
    """One column per axis: `size_m` becomes `size_x_m`, `size_y_m`, `size_z_m`."""
    stem, _, unit = name.rpartition("_")
    return {f"{stem}_{axis}_{unit}": value for axis, value in zip("xyz", values, strict=True)}


def _frame(rows: Any) -> pd.DataFrame:
    import pandas as pd

    return pd.DataFrame(list(rows))
