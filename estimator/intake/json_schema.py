"""The JSON Schema of the job file: the pydantic tables, partial where the catalog fills what is left out."""

from typing import Any

from estimator.intake.documents import built_in_catalog
from estimator.intake.figures import figure_sections
from estimator.intake.schema import CalendarTable, JobFile
from estimator.notices import NOTICE_IDS

PARTIAL = ("WorkshopTable", "MixerTable", "PriceTable", "MaterialTable", "MixTable")  # the catalog fills the rest


def json_schema() -> dict[str, Any]:
    """JSON Schema (2020-12) of the job file, with the sections of workshop figures that the catalog names."""
    document = JobFile.model_json_schema(mode="validation")
    for name in PARTIAL:
        document["$defs"][name].pop("required", None)
    sections = figure_sections(built_in_catalog())
    document["$defs"]["WorkshopTable"]["properties"] |= {name: _section(keys) for name, keys in sections.items()}
    lists = CalendarTable.model_json_schema(mode="validation")["properties"]
    document["$defs"]["WorkshopTable"]["properties"]["calendar"]["properties"] |= lists
    document["$defs"]["WarningId"] = {
        "description": "Ids in `warnings` of the estimate document; an id keeps its meaning when its text changes.",
        "enum": list(NOTICE_IDS),
    }
    document["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    document["title"] = "cast-estimator job file"
    return document


def _section(keys: dict[str, Any]) -> dict[str, Any]:
    properties = {
        key: {"type": "string" if isinstance(value, str) else "number", "default": value} for key, value in keys.items()
    }
    return {"type": "object", "additionalProperties": False, "properties": properties}
