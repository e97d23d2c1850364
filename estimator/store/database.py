"""Database of a store: its location, opening it, and transactions."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from contextlib import closing, contextmanager, suppress
from datetime import UTC, datetime
from errno import EIO
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from estimator.disk import replace_file
from estimator.errors import Fault, InputError
from geometry.files import read_bytes
from geometry.message import message

if TYPE_CHECKING:
    from sqlalchemy import URL, Connection, Engine, Table

FILE = ".shop.db"
"""Database of a folder. The leading dot keeps it out of the files watched for changes of a job."""

ELSEWHERE = ".shop-elsewhere"
"""Marks a folder whose store is elsewhere. The address may contain a password, so it is in the environment."""

ADDRESS = "CAST_ESTIMATOR_DATABASE"
"""Environment variable with that address."""

DRIVERS = ("sqlite", "postgresql+psycopg")
"""Kinds of database that a store may be, each with its driver."""

WAIT_S = 5.0  # for another transaction
FOLDERS_UP = 3  # most levels from a job file up to its store, including the archive
PAGES = 1000  # of a backup copied at a time; others may write in between


class Store:
    """An open store.

    folder   base folder of the names of its jobs
    """

    def __init__(self, folder: Path, engine: Engine) -> None:
        self.folder, self.engine = folder, engine
        self.taken_over: set[str] = set()  # jobs whose records file is known to have been read once
        self.sessions_ended = 0  # how often people were signed out here, so that nobody is remembered beyond it

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """Connection for reading."""
        with self.engine.connect().execution_options(only_reads=True) as connection:
            yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """Exclusive transaction, so that what it reads is still valid when it writes; committed at exit."""
        with self.engine.begin() as connection:
            yield connection

    @contextmanager
    def held_open(self) -> Iterator[None]:
        """Keep a file and its connections open: SQLite sets up its log and removes it with the only connection."""
        if self.engine.dialect.name != "sqlite":
            yield
            return
        plain, self.engine = self.engine, _engine(_url_of(self.folder), kept=True)
        try:
            with closing(self.engine.raw_connection()):
                yield
        finally:
            kept, self.engine = self.engine, plain
            kept.dispose()

    def job_name(self, job_path: Path) -> str:
        """Name of a job in the store: the path of its file relative to the store's folder."""
        return job_path.resolve().relative_to(self.folder).as_posix()

    def rename(self, old: str, new: str) -> None:
        """Rename a job in the store, after its file was moved."""
        from estimator.store.tables import changes, records, revisions, takeovers

        with self.writing() as connection:
            for table in (records, takeovers, revisions, changes):
                connection.execute(table.update().where(table.c.job == old).values(job=new))
        self.taken_over.discard(old)

    def close(self) -> None:
        """Close the database."""
        self.engine.dispose()


def now() -> datetime:
    """Current time in UTC without time zone, as in the store."""
    return datetime.now(UTC).replace(tzinfo=None)


def here(at: datetime) -> datetime:
    """Time from the store by this computer's clock."""
    return at.replace(tzinfo=UTC).astimezone()


def add_new(connection: Connection, table: Table, values: Mapping[str, Any]) -> bool:
    """Add a row unless its key already exists; return whether it was added."""
    from sqlalchemy.dialects import postgresql, sqlite

    dialect = postgresql if connection.dialect.name == "postgresql" else sqlite
    statement = dialect.insert(table).values(**values).on_conflict_do_nothing().returning(*table.primary_key)
    return connection.execute(statement).first() is not None


def open_store(folder: Path, address: str | None = None) -> Store:
    """Store of a folder, created if there is none, with its tables migrated.

    address   address of a database elsewhere: postgresql+psycopg://…

    Raises InputError if the database cannot be opened.
    """
    folder = folder.resolve()
    address = address or (os.environ.get(ADDRESS) if (folder / ELSEWHERE).exists() else None)
    if address is None and (folder / ELSEWHERE).exists():
        raise InputError([Fault(str(folder / ELSEWHERE), "", message("store-elsewhere", name=ADDRESS))])
    store = _opened(folder, address or _url_of(folder))
    if address is not None:
        _claim(store, folder / ELSEWHERE)
    return store


def _claim(store: Store, mark: Path) -> None:
    """Note in a database elsewhere, and in the folder, whose records it holds: jobs of one name in two must not mix.

    Raises InputError if they are those of another shop.
    """
    from secrets import token_hex

    from estimator.store.tables import shops

    own = read_bytes(mark).decode("ascii", "replace").strip() if mark.exists() else ""
    with store.writing() as connection:
        held = connection.execute(shops.select()).scalar()
        if held is None:
            held = own or token_hex(16)
            connection.execute(shops.insert().values(id=held))
        elif held != own:
            raise InputError([Fault("--database", "", message("store-other-shop", file=ELSEWHERE))])
    if held != own:
        replace_file(mark, held.encode())


def store_of(job_path: Path) -> Store | None:
    """Store of the folder that contains a job file, or None without a store. Raises InputError."""
    for folder in list(job_path.resolve().parents)[:FOLDERS_UP]:
        if (folder / FILE).exists() or (folder / ELSEWHERE).exists():
            return open_store(folder)
    return None


def _url_of(folder: Path) -> URL:
    """Address of the database in a folder, whatever signs its name has."""
    from sqlalchemy import URL

    return URL.create("sqlite", database=str(folder / FILE))


@lru_cache(maxsize=8)
def _opened(folder: Path, address: str | URL) -> Store:
    from sqlalchemy.exc import ArgumentError, DBAPIError, NoSuchModuleError

    try:
        store = Store(folder, _engine(address))
        _migrate(store.engine)
    except ModuleNotFoundError as error:
        raise InputError([Fault("--database", "", message("store-no-driver", driver=str(error.name)))]) from None
    except (ArgumentError, NoSuchModuleError):
        raise InputError([Fault("--database", "", message("store-no-address"))]) from None
    except DBAPIError as error:
        reason = str(error.orig).strip().partition("\n")[0]
        raise InputError([Fault(str(folder), "", message("store-not-opened", reason=reason))]) from None
    return store


def _engine(address: str | URL, *, kept: bool = False) -> Engine:
    """Engine with durable commits, whose connections wait for a lock instead of failing.

    kept   whether connections to a file are kept for the next use; else nothing stays open
    """
    from sqlalchemy import NullPool, create_engine, event, make_url
    from sqlalchemy.exc import ArgumentError, DisconnectionError

    url = make_url(address)
    if url.drivername not in DRIVERS:
        raise ArgumentError
    if url.get_backend_name() != "sqlite":
        return create_engine(url, pool_pre_ping=True, hide_parameters=True)
    if kept:
        engine = create_engine(url, max_overflow=-1, hide_parameters=True)

        @event.listens_for(engine, "checkout")
        def _is_current(_connection: Any, record: Any, _fairy: Any) -> None:
            """Replace a kept connection to a file that is not the store any more, as after a restored backup."""
            status = os.stat(str(url.database))
            now = status.st_dev, status.st_ino
            if record.info.setdefault("file", now) != now:
                raise DisconnectionError
    else:
        engine = create_engine(url, poolclass=NullPool, hide_parameters=True)

    @event.listens_for(engine, "connect")
    def _settings(connection: Any, _record: Any) -> None:
        connection.isolation_level = None  # we begin transactions explicitly
        for setting in (
            f"busy_timeout={int(WAIT_S * 1000)}",
            "journal_mode=WAL",
            "synchronous=FULL",
            "foreign_keys=ON",
        ):
            connection.execute(f"PRAGMA {setting}").close()

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        only_reads = connection.get_execution_options().get("only_reads")
        connection.exec_driver_sql("BEGIN" if only_reads else "BEGIN IMMEDIATE")

    return engine


def _migrate(engine: Engine) -> None:
    """Migrate the tables, in one transaction."""
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(Path(__file__).with_name("migrations")).replace("%", "%%"))
    with engine.begin() as connection:
        config.attributes["connection"] = connection
        command.upgrade(config, "head")


def back_up(store: Store, target: Path) -> None:
    """Copy a store to one file while others keep writing to it.

    Raises InputError for a database elsewhere, which has its own tool for that, and OSError.
    """
    from sqlite3 import connect

    if store.engine.dialect.name != "sqlite":
        problem = message("store-backup-elsewhere", file=target.name, address=_plain_address(store.engine.url))
        raise InputError([Fault(str(target), "", problem)])
    if target.exists():
        raise InputError([Fault(str(target), "", message("store-backup-stands"))])
    part = target.with_name(f".{target.name}.part")
    part.unlink(missing_ok=True)
    with _refusals_of(target), closing(connect(store.folder / FILE)) as source, closing(connect(part)) as copy:
        source.backup(copy, pages=PAGES)
    os.replace(part, target)


@contextmanager
def _refusals_of(target: Path) -> Iterator[None]:
    """Raise what SQLite says of a file that it cannot write as the OSError that it is; leave no part of the file.

    The part is made first: SQLite, refused a file, leaves a connection that nobody can close.
    """
    from sqlite3 import Error

    try:
        target.with_name(f".{target.name}.part").touch()
    except OSError as error:
        raise OSError(error.errno, error.strerror, str(target)) from None
    try:
        yield
    except Error as error:
        with suppress(OSError):
            target.with_name(f".{target.name}.part").unlink(missing_ok=True)
        raise OSError(EIO, str(error), str(target)) from None


def _plain_address(url: URL) -> str:
    """Address of a database as its own tools take it, without the driver and the password."""
    return url._replace(drivername="postgresql", password=None).render_as_string()


def restore(folder: Path, source: Path) -> None:
    """Replace a folder's store with a backup. The old store is kept beside it as `.shop.db.before`.

    Raises InputError for a file that is not a backup, and for a folder whose records are elsewhere, and OSError. The
    page must be stopped meanwhile.
    """
    from sqlite3 import connect

    if (folder / ELSEWHERE).exists():
        address = _plain_address(open_store(folder).engine.url)
        raise InputError(
            [Fault(source.name, "", message("store-restore-elsewhere", file=source.name, address=address))]
        )
    _check_back_up(source)
    target = folder.resolve() / FILE
    part = target.with_name(f".{FILE}.part")
    part.unlink(missing_ok=True)
    with _refusals_of(target), closing(connect(source)) as back, closing(connect(part)) as copy:
        back.backup(copy)
    if target.exists():
        with closing(connect(target)) as old:  # move pending changes from the log into the old file
            old.execute("PRAGMA wal_checkpoint(TRUNCATE)").close()
        os.replace(target, target.with_name(f"{FILE}.before"))
        for rest in ("-wal", "-shm"):
            target.with_name(FILE + rest).unlink(missing_ok=True)
    os.replace(part, target)


def _check_back_up(source: Path) -> None:
    from sqlite3 import DatabaseError, connect

    if not source.is_file():
        raise InputError([Fault(str(source), "", message("file-missing"))])
    try:
        with closing(connect(f"{source.resolve().as_uri()}?mode=ro", uri=True)) as back:
            sound = back.execute("PRAGMA quick_check").fetchone()[0] == "ok"
            sound = sound and back.execute("SELECT count(*) FROM records").fetchone() is not None
    except DatabaseError:
        sound = False
    if not sound:
        raise InputError([Fault(str(source), "", message("store-no-backup"))])
