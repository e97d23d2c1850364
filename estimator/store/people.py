"""People of the shop: roles, passwords or access codes, and the sessions of their browsers."""

from __future__ import annotations

from collections.abc import Iterable
from contextvars import ContextVar
from datetime import datetime, timedelta
from functools import lru_cache
from hashlib import sha256
from pathlib import Path
from secrets import choice, token_urlsafe
from typing import TYPE_CHECKING, Any, Literal, get_args

from estimator.errors import FaultError
from estimator.store.database import Store, add_new, now
from geometry.frozen import frozen
from geometry.message import message

if TYPE_CHECKING:
    from argon2 import PasswordHasher
    from sqlalchemy import Connection, Row

Role = Literal["office", "shop", "crew"]
"""office: everything. shop: jobs, mixes and papers. crew: only the phone screens. A client has a link and no role."""

ROLES: tuple[Role, ...] = get_args(Role)
LEAST_SECRET, MOST_SECRET, MOST_NAME = 8, 200, 60
LETTERS = "23456789abcdefghjkmnpqrstuvwxyz"  # without letters and digits that are easily confused
CODE_LETTERS = 10  # 49 bits
SESSION = timedelta(days=60)
PEOPLE = "~people"  # in place of a job in the log of changes


@frozen
class Person:
    """A person who may sign in."""

    id: int
    name: str
    role: Role


@frozen
class Change:
    """One change of a job file or of the list of people: what, its old and new value, by whom and when."""

    person: str
    what: str
    was: str
    becomes: str
    at: datetime


who: ContextVar[str] = ContextVar("who", default="")
"""Name of the person of the current request."""


def new_code(letters: int = CODE_LETTERS) -> str:
    """Random access code of letters that are easy to read out."""
    return "".join(choice(LETTERS) for _ in range(letters))


def hash_of(token: str) -> str:
    """Hash of a random token. It has too many bits to guess, so a plain hash is enough."""
    return sha256(token.encode()).hexdigest()


def secret_hash(secret: str) -> str:
    """Hash of a password or code (Argon2)."""
    return _hasher().hash(secret)


def is_secret(kept: str, secret: str) -> bool:
    """Whether a password or code matches a stored hash."""
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
    """Add a person. Raises FaultError for a name already taken, an unknown role or a password that is too short."""
    from estimator.store.tables import people

    name = name.strip()
    if not name or len(name) > MOST_NAME:
        raise FaultError("", message("person-no-name", most=MOST_NAME))
    if role not in ROLES:
        raise FaultError("", message("person-no-role"))
    if not LEAST_SECRET <= len(secret) <= MOST_SECRET:
        raise FaultError("", message("person-short-secret", least=LEAST_SECRET))
    hashed = secret_hash(secret)
    with store.writing() as connection:
        if connection.execute(people.select().where(people.c.name == name)).first() is not None:
            raise FaultError("", message("person-name-taken", name=name))
        if role != "office" and connection.execute(people.select().where(people.c.role == "office")).first() is None:
            raise FaultError("", message("person-first"))
        add_new(connection, people, {"name": name, "role": role, "secret": hashed, "at": now()})
        _note(connection, name, "", role)


def remove_person(store: Store, id: int) -> None:
    """Remove a person and their sessions. Raises FaultError for the last office person while others remain."""
    from estimator.store.tables import people, sessions

    with store.writing() as connection:
        row = _apart_from_the_office(connection, id, None)
        connection.execute(sessions.delete().where(sessions.c.person == id))
        connection.execute(people.delete().where(people.c.id == id))
        if row is not None:
            _note(connection, row.name, row.role, "")
    store.sessions_ended += 1


def change_role(store: Store, id: int, role: str) -> None:
    """Give a person another role, who stays signed in. Raises FaultError for an unknown role, and for the last office
    person while others remain."""
    from estimator.store.tables import people

    if role not in ROLES:
        raise FaultError("", message("person-no-role"))
    with store.writing() as connection:
        row = _apart_from_the_office(connection, id, role)
        if row is None or row.role == role:
            return
        connection.execute(people.update().where(people.c.id == id).values(role=role))
        _note(connection, row.name, row.role, role)
    store.sessions_ended += 1  # whoever is remembered with the role of before is looked up again


def _apart_from_the_office(connection: Connection, id: int, role: str | None) -> Row[Any] | None:
    """Person who is to have another role or to go; None for an unknown one. Raises FaultError if nobody of the office
    would be left for the others, or for whoever has this role then.

    role  None for a person who goes
    """
    from estimator.store.tables import people

    rows = connection.execute(people.select().with_for_update()).all()  # of two at once, the second sees the first
    roles = [row.role for row in rows if row.id != id] + ([] if role is None else [role])
    if roles and "office" not in roles:
        raise FaultError("", message("person-last" if role is None else "person-last-role"))
    return next((row for row in rows if row.id == id), None)


def _note(connection: Connection, name: str, was: str, becomes: str) -> None:
    """Store a change of the list of people, made by the person in `who`."""
    from estimator.store.tables import changes

    row = {"job": PEOPLE, "person": who.get(), "what": name, "was": was, "becomes": becomes, "at": now()}
    connection.execute(changes.insert().values(row))


def change_secret(store: Store, person: Person, now_secret: str, new_secret: str, token: str) -> None:
    """Change a person's own password and sign out their other browsers. Raises FaultError for a wrong or short one.

    token   token of the current browser, which stays signed in
    """
    from estimator.store.tables import people, sessions

    with store.reading() as connection:
        row = connection.execute(people.select().where(people.c.id == person.id)).first()
    if row is None or not is_secret(row.secret, now_secret):
        raise FaultError("", message("person-wrong-secret"))
    if not LEAST_SECRET <= len(new_secret) <= MOST_SECRET:
        raise FaultError("", message("person-short-secret", least=LEAST_SECRET))
    hashed = secret_hash(new_secret)
    with store.writing() as connection:
        connection.execute(people.update().where(people.c.id == person.id).values(secret=hashed))
        others = sessions.c.id != hash_of(token)
        connection.execute(sessions.delete().where(sessions.c.person == person.id, others))
    store.sessions_ended += 1


def renew_secret(store: Store, id: int, code: str) -> str:
    """Give a person a new access code and sign out all their browsers; return the name, "" for an unknown person."""

    from estimator.store.tables import people, sessions

    hashed = secret_hash(code)
    with store.writing() as connection:
        row = connection.execute(people.select().where(people.c.id == id)).first()
        if row is None:
            return ""
        connection.execute(people.update().where(people.c.id == id).values(secret=hashed))
        connection.execute(sessions.delete().where(sessions.c.person == id))
    store.sessions_ended += 1
    return str(row.name)


def people_of(store: Store) -> list[Person]:
    """Everybody who may sign in, sorted by name."""
    from estimator.store.tables import people

    with store.reading() as connection:
        rows = connection.execute(people.select().order_by(people.c.name)).all()
    return [Person(row.id, row.name, row.role) for row in rows]


def person_by_secret(store: Store, name: str, secret: str) -> Person | None:
    """Person with this name and password, or None. If there is only one person, the password alone is enough.

    Takes equally long for an unknown name.
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
    """Create a session of a person or a link; return its token for the browser."""
    from estimator.store.tables import sessions

    token = token_urlsafe(32)
    with store.writing() as connection:
        connection.execute(sessions.delete().where(sessions.c.until < now()))
        connection.execute(sessions.insert().values(id=hash_of(token), until=now() + SESSION, **of))
    return token


def session_person(store: Store, token: str) -> Person | None:
    """Person of a session; None if it has ended."""
    from sqlalchemy import select

    from estimator.store.tables import people, sessions

    query = select(people).join(sessions, sessions.c.person == people.c.id)
    with store.reading() as connection:
        row = connection.execute(query.where(sessions.c.id == hash_of(token), sessions.c.until >= now())).first()
    return None if row is None else Person(row.id, row.name, row.role)


def session_link(store: Store, token: str) -> str | None:
    """Id of the client link of a session; None if it has ended."""
    from estimator.store.tables import sessions

    with store.reading() as connection:
        row = connection.execute(
            sessions.select().where(sessions.c.id == hash_of(token), sessions.c.until >= now())
        ).first()
    return None if row is None else row.link


def end_session(store: Store, token: str) -> None:
    """End the session of a browser."""
    from estimator.store.tables import sessions

    with store.writing() as connection:
        connection.execute(sessions.delete().where(sessions.c.id == hash_of(token)))
    store.sessions_ended += 1


def note_changes(store: Store, job_path: Path, changes: Iterable[tuple[str, str, str]]) -> None:
    """Store changes of a job, made by the person in `who`.

    changes   key of the job file, old value, new value
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
    """Last changes of a job, newest first."""
    return _changes(store, store.job_name(job_path), most)


def changes_of_people(store: Store, most: int = 200) -> list[Change]:
    """Last changes of the list of people, newest first: the name, and the role before and after, "" for none."""
    return _changes(store, PEOPLE, most)


def _changes(store: Store, job: str, most: int) -> list[Change]:
    from estimator.store.tables import changes

    query = changes.select().where(changes.c.job == job)
    with store.reading() as connection:
        rows = connection.execute(query.order_by(changes.c.number.desc()).limit(most)).all()
    return [Change(row.person, row.what, row.was, row.becomes, row.at) for row in rows]
