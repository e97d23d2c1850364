"""People of the shop: roles, passwords or access codes, and the sessions of their browsers."""

from __future__ import annotations

from collections.abc import Iterable
from contextvars import ContextVar
from datetime import datetime, timedelta
from functools import lru_cache
from hashlib import sha256
from pathlib import Path
from secrets import choice, token_urlsafe
from typing import TYPE_CHECKING, Literal, get_args

from estimator.errors import FaultError
from estimator.store.database import Store, add_new, now
from geometry.frozen import frozen
from geometry.message import message

if TYPE_CHECKING:
    from argon2 import PasswordHasher

Role = Literal["office", "shop", "crew"]
"""office: everything. shop: jobs, mixes and papers. crew: the phones' screens alone. A client has a link, no role."""

ROLES: tuple[Role, ...] = get_args(Role)
LEAST_SECRET, MOST_SECRET, MOST_NAME = 8, 200, 60
LETTERS = "23456789abcdefghjkmnpqrstuvwxyz"  # none that are taken for another
CODE_LETTERS = 10  # 49 bits
SESSION = timedelta(days=60)


@frozen
class Person:
    """Somebody who may sign in."""

    id: int
    name: str
    role: Role


@frozen
class Change:
    """One entry of a job that somebody changed."""

    person: str
    what: str
    was: str
    becomes: str
    at: datetime


who: ContextVar[str] = ContextVar("who", default="")
"""Name of the person whose request is being answered."""


def new_code(letters: int = CODE_LETTERS) -> str:
    """An access code that can be read out."""
    return "".join(choice(LETTERS) for _ in range(letters))


def hash_of(token: str) -> str:
    """What is kept of a random token: it has too many bits to be guessed, so that a plain hash will do."""
    return sha256(token.encode()).hexdigest()


def secret_hash(secret: str) -> str:
    """What is kept of a password or code."""
    return _hasher().hash(secret)


def is_secret(kept: str, secret: str) -> bool:
    """Whether a password or code is the one of which this is kept."""
    from argon2.exceptions import InvalidHashError, VerificationError

    try:
        return _hasher().verify(kept, secret[:MOST_SECRET])
    except (VerificationError, InvalidHashError):
        return False


@lru_cache(maxsize=1)
def _hasher() -> PasswordHasher:
    from argon2 import PasswordHasher

    return PasswordHasher()


@lru_cache(maxsize=1)
def _nobody() -> str:
    return secret_hash(token_urlsafe())


def add_person(store: Store, name: str, role: str, secret: str) -> None:
    """Adds somebody. Raises FaultError for a name that is taken, a role that is none, a password that is too short."""
    from estimator.store.tables import people

    name = name.strip()
    if not name or len(name) > MOST_NAME:
        raise FaultError("", message("person-no-name", most=MOST_NAME))
    if role not in ROLES:
        raise FaultError("", message("person-no-role"))
    if not LEAST_SECRET <= len(secret) <= MOST_SECRET:
        raise FaultError("", message("person-short-secret", least=LEAST_SECRET))
    kept = secret_hash(secret)
    with store.writing() as connection:
        if connection.execute(people.select().where(people.c.name == name)).first() is not None:
            raise FaultError("", message("person-name-taken", name=name))
        if role != "office" and connection.execute(people.select().where(people.c.role == "office")).first() is None:
            raise FaultError("", message("person-first"))
        add_new(connection, people, {"name": name, "role": role, "secret": kept, "at": now()})


def remove_person(store: Store, id: int) -> None:
    """Takes somebody out, their sessions with them. Raises FaultError for the last of the office but others."""
    from estimator.store.tables import people, sessions

    with store.writing() as connection:
        rows = connection.execute(people.select().where(people.c.id != id)).all()
        if rows and all(row.role != "office" for row in rows):
            raise FaultError("", message("person-last"))
        connection.execute(sessions.delete().where(sessions.c.person == id))
        connection.execute(people.delete().where(people.c.id == id))


def change_secret(store: Store, person: Person, now_secret: str, new_secret: str, token: str) -> None:
    """Changes somebody's own password; their other browsers are signed out. Raises FaultError for a wrong or short one.

    token   of the browser that asks, which stays signed in
    """
    from estimator.store.tables import people, sessions

    with store.reading() as connection:
        row = connection.execute(people.select().where(people.c.id == person.id)).first()
    if row is None or not is_secret(row.secret, now_secret):
        raise FaultError("", message("person-wrong-secret"))
    if not LEAST_SECRET <= len(new_secret) <= MOST_SECRET:
        raise FaultError("", message("person-short-secret", least=LEAST_SECRET))
    kept = secret_hash(new_secret)
    with store.writing() as connection:
        connection.execute(people.update().where(people.c.id == person.id).values(secret=kept))
        others = sessions.c.id != hash_of(token)
        connection.execute(sessions.delete().where(sessions.c.person == person.id, others))


def renew_secret(store: Store, id: int, code: str) -> str:
    """Gives somebody a new access code and signs all their browsers out; their name, "" for nobody."""
    from estimator.store.tables import people, sessions

    kept = secret_hash(code)
    with store.writing() as connection:
        row = connection.execute(people.select().where(people.c.id == id)).first()
        if row is None:
            return ""
        connection.execute(people.update().where(people.c.id == id).values(secret=kept))
        connection.execute(sessions.delete().where(sessions.c.person == id))
    return str(row.name)


def people_of(store: Store) -> list[Person]:
    """Everybody who may sign in, by name."""
    from estimator.store.tables import people

    with store.reading() as connection:
        rows = connection.execute(people.select().order_by(people.c.name)).all()
    return [Person(row.id, row.name, row.role) for row in rows]


def person_by_secret(store: Store, name: str, secret: str) -> Person | None:
    """Who signs in with this name and password; where there is but one person, the code alone will do.

    It takes as long for a name that is not known.
    """
    from estimator.store.tables import people

    with store.reading() as connection:
        rows = connection.execute(people.select()).all()
    row = rows[0] if len(rows) == 1 and not name.strip() else None
    row = row or next((row for row in rows if row.name.casefold() == name.strip().casefold()), None)
    if not is_secret(_nobody() if row is None else row.secret, secret) or row is None:
        return None
    return Person(row.id, row.name, row.role)


def new_session(store: Store, **of: object) -> str:
    """A session of a person or of a link: what the browser holds."""
    from estimator.store.tables import sessions

    token = token_urlsafe(32)
    with store.writing() as connection:
        connection.execute(sessions.delete().where(sessions.c.until < now()))
        connection.execute(sessions.insert().values(id=hash_of(token), until=now() + SESSION, **of))
    return token


def session_person(store: Store, token: str) -> Person | None:
    """Whose session this is; None where it ended."""
    from sqlalchemy import select

    from estimator.store.tables import people, sessions

    chosen = select(people).join(sessions, sessions.c.person == people.c.id)
    with store.reading() as connection:
        row = connection.execute(chosen.where(sessions.c.id == hash_of(token), sessions.c.until >= now())).first()
    return None if row is None else Person(row.id, row.name, row.role)


def session_link(store: Store, token: str) -> str | None:
    """Id of the client link that this session opened."""
    from estimator.store.tables import sessions

    with store.reading() as connection:
        row = connection.execute(
            sessions.select().where(sessions.c.id == hash_of(token), sessions.c.until >= now())
        ).first()
    return None if row is None else row.link


def end_session(store: Store, token: str) -> None:
    """Signs a browser out."""
    from estimator.store.tables import sessions

    with store.writing() as connection:
        connection.execute(sessions.delete().where(sessions.c.id == hash_of(token)))


def note_changes(store: Store, job_path: Path, changes: Iterable[tuple[str, str, str]]) -> None:
    """Keeps who changed what of a job, from what to what; `who` says by whom.

    changes   key of the job file, what it was, what it becomes
    """
    from estimator.store.tables import changes as table

    job, person = store.job_name(job_path), who.get()
    rows = [
        {"job": job, "person": person, "what": what[:255], "was": was, "becomes": becomes, "at": now()}
        for what, was, becomes in changes
    ]
    with store.writing() as connection:
        connection.execute(table.insert(), rows)


def changes_of(store: Store, job_path: Path, most: int = 200) -> list[Change]:
    """The last changes of a job, the newest first."""
    from estimator.store.tables import changes

    chosen = changes.select().where(changes.c.job == store.job_name(job_path))
    with store.reading() as connection:
        rows = connection.execute(chosen.order_by(changes.c.number.desc()).limit(most)).all()
    return [Change(row.person, row.what, row.was, row.becomes, row.at) for row in rows]
