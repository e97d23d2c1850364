"""What the job leaves on the shelf, as a file that the next job names as its stock."""

import json

from estimator.document import Document
from estimator.estimate import Estimate

UNITS = {"kg": ("mass", "kg"), "m2": ("area", "m^2"), "m": ("length", "m"), "m3": ("volume", "L")}
LITRES_PER_M3 = 1000.0
FIGURES = 9  # of a quantity: a milligram of a tonne


def shelf_toml(_: Estimate, document: Document) -> bytes:
    """TOML of one [stock] section; a next job names it with `stock_file` and overrides what was used meanwhile."""
    named = document["job"]["name"]
    lines = [
        "# What this job leaves on the shelf if all goes as estimated. Weigh it before you count on it, then name",
        '# this file in the next job: stock_file = "shelf.toml" under [job]. Its own [stock] goes before.',
        f"# {json.dumps(named, ensure_ascii=False)}",
        "",
        "[stock]",
    ]
    for each in document["shelf"]:
        kept = f', keeps_until = "{each["keeps_until"]}"' if each["keeps_until"] else ""
        lot = next((line["lot"] for line in document["materials"] if line["material"] == each["material"]), None)
        of_lot = f", lot = {json.dumps(lot, ensure_ascii=False)}" if lot else ""
        amount = _amount(each["left"], each["unit"])
        if amount is not None:
            lines.append(f"{json.dumps(each['material'])} = {{ {amount}{of_lot}{kept} }}")
    return ("\n".join(lines) + "\n").encode()


def _amount(left: float, unit: str) -> str | None:
    """The amount as the job file writes it; None where nothing whole is left."""
    if unit == "piece":
        return f"pieces = {int(left + 1e-9)}" if left >= 1.0 else None
    key, shown = UNITS[unit]
    number = f"{left * (LITRES_PER_M3 if shown == 'L' else 1.0):.{FIGURES}f}".rstrip("0").rstrip(".")
    return f'{key} = "{number} {shown}"' if float(number) > 0.0 else None
