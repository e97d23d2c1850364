"""The JSON Schema of the job file: the pydantic tables, partial where the catalog fills what is left out."""

from typing import Any

from estimator.intake.documents import built_in_catalog
from estimator.intake.figures import figure_sections
from estimator.intake.schema import CalendarTable, JobFile
from estimator.notices import NOTICE_IDS
from estimator.workshop import BARE, SECTIONS, Setting, settings_of

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
