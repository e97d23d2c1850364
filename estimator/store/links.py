"""Quotes sent to clients: the revision as sent, its link with an access code, and its acceptance."""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import date, datetime, timedelta
from hashlib import sha256
from pathlib import Path
from secrets import token_urlsafe
from typing import Any, Literal

from estimator.store.database import Store, add_new, now
from estimator.store.people import hash_of, is_secret, new_code, secret_hash
from geometry.frozen import frozen

FREE_TRIES, FIRST_WAIT, LONGEST_WAIT = 5, timedelta(seconds=30), timedelta(hours=1)
CLIENT_CODE = 6  # letters: 30 bits, with a wait after five wrong tries

State = Literal["open", "withdrawn", "expired", "accepted"]


@frozen
class Acceptance:
    """Acceptance of a quote by a client, with the signature, through one of the links to it."""

    link: str
    name: str
    signature: str
    options: tuple[str, ...]
    total: str
    at: datetime


@frozen
class Link:
    """A quote that was sent.

    revision   hash of what was sent: job file, view and paper
    until      last day, ISO; "" if it has none
    acceptance by this link or another one to the same quote
    """

    id: str
    revision: str
    label: str
    until: str
    withdrawn: bool
    at: datetime
    acceptance: Acceptance | None

    @property
    def state(self) -> State:
        """State of the link; only an open one can be accepted."""
        if self.acceptance is not None:
            return "accepted"
        if self.withdrawn:
            return "withdrawn"
        return "expired" if self.until and date.today().isoformat() > self.until else "open"

    @property
    def is_over(self) -> bool:
        """Whether it can no longer be opened. An accepted one can be opened until it is withdrawn."""
        return self.withdrawn or self.state == "expired"


def send(store: Store, job_path: Path, sent: Mapping[str, Any], person: str) -> tuple[str, str]:
    """Store a revision and create a link to it; return the token and access code, of which only hashes are stored.

    Links to other revisions of the job are withdrawn: it has one offer at a time.

    sent   revision, content (job file), view (as JSON), paper (PDF), until
    """
    from estimator.store.tables import links, revisions

    token, code, job = token_urlsafe(24), new_code(CLIENT_CODE), store.job_name(job_path)
    parts = (sent["content"], sent["view"].encode(), sent["paper"])
    hashed = sha256(b"".join(sha256(part).digest() for part in parts)).hexdigest()
    content = {name: sent[name] for name in ("revision", "content", "view", "paper")}
    secret = secret_hash(code)
    with store.writing() as connection:
        add_new(connection, revisions, {"hash": hashed, "job": job, "person": person, "at": now(), **content})
        _withdraw_open(connection, job, but=hashed)
        row = {"id": hash_of(token), "revision": hashed, "code": secret, "until": sent["until"]}
        connection.execute(links.insert().values(**row, tries=0, tried=None, withdrawn=None, person=person, at=now()))
    return token, code


def links_of(store: Store, job_path: Path) -> list[Link]:
    """Links of a job, newest first."""
    from estimator.store.tables import revisions

    return _links(store, revisions.c.job == store.job_name(job_path))


def link_of(store: Store, token: str) -> Link | None:
    """Link with this token; None for an unknown token."""
    from estimator.store.tables import links

    matches = _links(store, links.c.id == hash_of(token))
    return matches[0] if matches else None


def _links(store: Store, condition: Any) -> list[Link]:
    from sqlalchemy import select

    from estimator.store.tables import acceptances, links, revisions

    chosen = select(
        links.c.id, links.c.revision, links.c.until, links.c.withdrawn, links.c.at, revisions.c.revision.label("label"),
        acceptances.c.link, acceptances.c.name, acceptances.c.signature, acceptances.c.options, acceptances.c.total,
        acceptances.c.at.label("accepted"),
    )  # fmt: skip
    chosen = chosen.join(revisions, revisions.c.hash == links.c.revision)
    chosen = chosen.outerjoin(acceptances, acceptances.c.revision == links.c.revision)
    with store.reading() as connection:
        rows = connection.execute(chosen.where(condition).order_by(links.c.at.desc())).all()
    return [
        Link(
            row.id, row.revision, row.label, row.until, row.withdrawn is not None, row.at,
            None if row.name is None else
            Acceptance(row.link, row.name, row.signature, tuple(json.loads(row.options)), row.total, row.accepted),
        )
        for row in rows
    ]  # fmt: skip


def sent_of(store: Store, link: Link) -> tuple[dict[str, Any], bytes]:
    """View and paper that the client of a link sees."""
    from estimator.store.tables import revisions

    with store.reading() as connection:
        row = connection.execute(revisions.select().where(revisions.c.hash == link.revision)).one()
    view: dict[str, Any] = json.loads(row.view)
    return view, row.paper


def job_sent(store: Store, link: Link) -> bytes:
    """Job file from which a quote was sent."""
    from sqlalchemy import select

    from estimator.store.tables import revisions

    with store.reading() as connection:
        content = connection.execute(select(revisions.c.content).where(revisions.c.hash == link.revision)).scalar_one()
    return bytes(content)


def opens(store: Store, link: Link, code: str) -> bool | None:
    """Whether a code is that of a link; None while the link is locked after too many wrong codes."""
    from estimator.store.tables import links

    with store.writing() as connection:  # a try is counted before it is checked, so that concurrent tries count too
        row = connection.execute(links.select().where(links.c.id == link.id).with_for_update()).one()
        wait = min(FIRST_WAIT * 2 ** min(max(row.tries - FREE_TRIES, 0), 20), LONGEST_WAIT)
        if row.tries >= FREE_TRIES and row.tried is not None and now() < row.tried + wait:
            return None
        change = links.update().where(links.c.id == link.id)
        connection.execute(change.values(tries=links.c.tries + 1, tried=now()))
    if not is_secret(row.code, code.strip().casefold()):
        return False
    with store.writing() as connection:
        connection.execute(change.values(tries=0))
    return True


def withdraw(store: Store, job_path: Path, id: str) -> None:
    """Withdraw a link of a job, and end its sessions."""
    from estimator.store.tables import links, sessions

    if id not in {link.id for link in links_of(store, job_path)}:
        return
    with store.writing() as connection:
        connection.execute(links.update().where(links.c.id == id, links.c.withdrawn.is_(None)).values(withdrawn=now()))
        connection.execute(sessions.delete().where(sessions.c.link == id))


def withdraw_open(store: Store, job_path: Path) -> None:
    """Withdraw the links of a job that nobody has accepted, and end their sessions."""
    with store.writing() as connection:
        _withdraw_open(connection, store.job_name(job_path))


def _withdraw_open(connection: Any, job: str, but: str = "") -> None:
    """Withdraw the links of a job that nobody has accepted, but those to one revision."""
    from sqlalchemy import select

    from estimator.store.tables import acceptances, links, revisions, sessions

    others = select(revisions.c.hash).where(revisions.c.job == job, revisions.c.hash != but)
    is_open = links.c.withdrawn.is_(None) & links.c.revision.not_in(select(acceptances.c.revision))
    ids = connection.execute(select(links.c.id).where(links.c.revision.in_(others), is_open)).scalars().all()
    connection.execute(links.update().where(links.c.id.in_(ids)).values(withdrawn=now()))
    connection.execute(sessions.delete().where(sessions.c.link.in_(ids)))


def accept(store: Store, link: Link, name: str, signature: str, options: tuple[str, ...], total: str) -> bool:
    """Store an acceptance with the hash of what was accepted.

    Return False if the quote was already accepted, by this link or another, or is withdrawn meanwhile.
    """
    from sqlalchemy import select

    from estimator.store.tables import acceptances, links, revisions

    row = {"link": link.id, "revision": link.revision, "name": name, "signature": signature, "total": total}
    with store.writing() as connection:
        own = select(links.c.withdrawn).join(revisions, revisions.c.hash == links.c.revision)
        own = own.where(links.c.id == link.id).with_for_update()  # the quote too, which another link may be accepting
        taken = select(acceptances.c.link).where(acceptances.c.revision == link.revision)
        if connection.execute(own).scalar_one() is not None or connection.execute(taken).first() is not None:
            return False
        return add_new(connection, acceptances, {**row, "options": json.dumps(options), "at": now()})
