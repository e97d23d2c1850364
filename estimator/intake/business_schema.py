"""Who sends the papers and who gets them, as pydantic reads it."""

from typing import Annotated

from pydantic import Field

from estimator.intake.base import Name, Table

Term = Annotated[str, Field(min_length=1, max_length=2000)]


class BusinessTable(Table):
    """The workshop as its papers name it."""

    name: Name | None = None
    address: list[Name] = []  # a line each
    contact: list[Name] = []  # telephone, mail, a line each
    registration: Name | None = None  # licence or tax number, where it must be printed
    logo: Name | None = None  # PNG or JPEG, its path relative to the file that names it
    terms: list[Term] = []  # of its quotes


class ClientTable(Table):
    """Whom the job is for, and where the pieces go."""

    name: Name | None = None
    address: list[Name] = []
    site: list[Name] = []  # where the pieces go, if not to the address
