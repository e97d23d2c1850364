"""`cast-estimator schema`: the JSON Schema of the job file."""

import json

from estimator.intake.json_schema import json_schema


def run() -> None:
    print(json.dumps(json_schema(), indent=2, ensure_ascii=False))
