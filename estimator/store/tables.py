"""Tables of the store. A change here needs a migration in `migrations/versions`; a test compares the two.

Times are UTC without time zone, as SQLite returns them. Secrets are stored only as hashes.
"""

from __future__ import annotations

from sqlalchemy import (
    Column,
    DateTime,
    ForeignKey,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
    UniqueConstraint,
)

metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_name)s",
        "uq": "uq_%(table_name)s_%(column_0_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s",
        "pk": "pk_%(table_name)s",
    }
)

records = Table(
    "records",
    metadata,
    Column("number", Integer, primary_key=True, autoincrement=True),  # order of arrival
    Column("id", String(64), nullable=False, unique=True),  # created by the sender, so that a repeat is stored once
    Column("job", String(255), nullable=False, index=True),
    Column("kind", String(32), nullable=False),
    Column("at", String(40), nullable=False),  # ISO 8601 with UTC offset, by the sender's clock
    Column("content", Text, nullable=False),  # values as JSON
    Column("person", String(80), nullable=False),
    Column("received", DateTime, nullable=False),
)
takeovers = Table(
    "takeovers",
    metadata,
    Column("job", String(255), primary_key=True),  # job whose records file was imported
    Column("digest", String(64), nullable=False),
    Column("count", Integer, nullable=False),
    Column("at", DateTime, nullable=False),
)
revisions = Table(
    "revisions",
    metadata,
    Column("hash", String(64), primary_key=True),  # SHA-256 of job file, view and paper
    Column("job", String(255), nullable=False, index=True),
    Column("revision", String(40), nullable=False),
    Column("content", LargeBinary, nullable=False),  # the job file
    Column("view", Text, nullable=False),  # what the client sees, as JSON
    Column("paper", LargeBinary, nullable=False),  # the quote as PDF
    Column("person", String(80), nullable=False),
    Column("at", DateTime, nullable=False),
)
links = Table(
    "links",
    metadata,
    Column("id", String(64), primary_key=True),  # SHA-256 of the link's token
    Column("revision", String(64), ForeignKey("revisions.hash"), nullable=False, index=True),
    Column("code", String(255), nullable=False),  # hash of the access code
    Column("until", String(10), nullable=False),  # last day, ISO; "" for none
    Column("tries", Integer, nullable=False),  # wrong codes since the last right one
    Column("tried", DateTime, nullable=True),  # time of the last wrong code
    Column("withdrawn", DateTime, nullable=True),
    Column("person", String(80), nullable=False),
    Column("at", DateTime, nullable=False),
)
acceptances = Table(
    "acceptances",
    metadata,
    Column("link", String(64), ForeignKey("links.id"), primary_key=True),  # a quote is accepted once
    Column("revision", String(64), ForeignKey("revisions.hash"), nullable=False),
    Column("name", String(120), nullable=False),
    Column("signature", Text, nullable=False),  # path data if drawn, the name if typed
    Column("options", Text, nullable=False),  # names of options taken, as JSON
    Column("total", String(40), nullable=False),  # as shown to the client
    Column("at", DateTime, nullable=False),
)
people = Table(
    "people",
    metadata,
    Column("id", Integer, primary_key=True, autoincrement=True),
    Column("name", String(80), nullable=False),
    Column("role", String(16), nullable=False),
    Column("secret", String(255), nullable=False),  # hash of password or access code
    Column("at", DateTime, nullable=False),
    UniqueConstraint("name"),
)
sessions = Table(
    "sessions",
    metadata,
    Column("id", String(64), primary_key=True),  # SHA-256 of the browser's token
    Column("person", Integer, ForeignKey("people.id", ondelete="CASCADE"), nullable=True),
    Column("link", String(64), ForeignKey("links.id", ondelete="CASCADE"), nullable=True),
    Column("until", DateTime, nullable=False),
)
shops = Table(
    "shops",
    metadata,
    Column("id", String(32), primary_key=True),  # of the folder whose records these are; one row
)
changes = Table(
    "changes",
    metadata,
    Column("number", Integer, primary_key=True, autoincrement=True),
    Column("job", String(255), nullable=False, index=True),
    Column("person", String(80), nullable=False),
    Column("what", String(255), nullable=False),
    Column("was", Text, nullable=False),
    Column("becomes", Text, nullable=False),
    Column("at", DateTime, nullable=False),
)
