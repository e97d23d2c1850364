"""Who sends the papers and who gets them: the workshop with its logo and terms, the client."""

from io import BytesIO
from pathlib import Path
from typing import Any

from estimator import job as model
from estimator.errors import Fault
from estimator.intake.business_schema import BusinessTable, ClientTable
from estimator.intake.faults import validate

MOST_LOGO_BYTES = 4_000_000
LOGO_FORMATS = ("PNG", "JPEG")


def business(raw: Any, folder: Path, file: str, faults: list[Fault]) -> model.Business:
    """The workshop with its logo read. A logo that is missing or no picture becomes a fault."""
    table = validate(BusinessTable, raw, file, "business", faults) or BusinessTable()
    logo = _logo(table.logo, folder, file, faults) if table.logo is not None else None
    return model.Business(
        name=table.name or "",
        address=tuple(table.address),
        contact=tuple(table.contact),
        registration=table.registration or "",
        logo=logo,
        terms=tuple(table.terms),
    )


def client(raw: Any, file: str, faults: list[Fault]) -> model.Client:
    table = validate(ClientTable, raw, file, "client", faults) or ClientTable()
    return model.Client(table.name or "", tuple(table.address), tuple(table.site))


def _logo(name: str, folder: Path, file: str, faults: list[Fault]) -> bytes | None:
    """The logo's bytes, once they are known to be a picture that a paper can show."""
    from PIL import Image, UnidentifiedImageError

    def fault(what: str, fix: str) -> None:
        faults.append(Fault(file, "business, logo", what, fix))

    try:
        content = (folder / name).read_bytes()
    except OSError:
        fault(f'there is no readable file "{name}".', "Check the path, which starts at the file that names it.")
        return None
    if len(content) > MOST_LOGO_BYTES:
        fault(f'"{name}" has {len(content) / 1e6:.1f} MB.', f"Make it smaller than {MOST_LOGO_BYTES / 1e6:.0f} MB.")
        return None
    try:
        with Image.open(BytesIO(content)) as picture:
            kind = picture.format
            picture.load()
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError, Image.DecompressionBombError):
        kind = None
    if kind not in LOGO_FORMATS:
        fault(f'"{name}" is no PNG or JPEG picture.', "Save it as PNG.")
        return None
    return content
