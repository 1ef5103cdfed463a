"""Where everything is kept: one database, one writer, many readers.

SQLite (WAL, every commit on the disk before anybody is told) out of the box, PostgreSQL by
its address. All writing goes through one thread that holds the one writing connection and
commits whatever has queued up together: a hundred waiting requests cost one flush of the disk.

SQLite up to 3.51.2 (but for 3.50.7 and 3.44.6) can corrupt a WAL database that two
connections write at once; here only one connection of one process ever writes, and a lock
file beside the database holds a second process off.
"""

from __future__ import annotations

import asyncio
import contextlib
import importlib
import os
import queue
import sqlite3
import sys
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import Future
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any, TypeVar

from sqlalchemy import Connection, Engine, create_engine, event, make_url, text
from sqlalchemy.engine import URL
from sqlalchemy.pool import QueuePool
from sqlmodel import Session

from shaftside.errors import DatabaseProblem

T = TypeVar("T")

LEAST_SQLITE = (3, 35, 0)  # upsert with RETURNING
GROUP_MOST = 256  # requests committed together
PG_LOCK = 0x53484146  # advisory lock of everything that writes


@dataclass(frozen=True)
class _Work:
    do: Callable[[Connection], Any]
    done: Future[Any]


class Database:
    """The open database. Make it with :meth:`open`; :meth:`close` when done.

    Example: `database.write_now(lambda session: session.add(row))`, or in async code
    `await database.write(fn)`. What `fn` returns comes back once it is durable; what it
    raises comes back too, with nothing of it kept. `fn` runs in the writer's thread and must
    be quick: no network, no long computing.
    """

    def __init__(self, url: URL, read_only: bool) -> None:
        self.url = url
        self.read_only = read_only
        self.is_sqlite = url.get_backend_name() == "sqlite"
        self._lock_file: IO[str] | None = None
        self._queue: queue.SimpleQueue[_Work | None] = queue.SimpleQueue()
        self._thread: threading.Thread | None = None
        self._closed = False
        if self.is_sqlite:
            if not read_only:
                self._lock_file = _hold_alone(Path(f"{url.database}.lock"))
            self._write_engine, self._read_engine = _sqlite_engines(url, read_only)
        else:
            self._write_engine, self._read_engine = _server_engines(url)

    @classmethod
    def open(cls, url: str, *, read_only: bool = False) -> Database:
        """Open `sqlite:///path/to/file` or `postgresql+psycopg://user@host/name`.

        read_only: no lock is taken and nothing can be written; works beside a running server.
        Raises DatabaseProblem: address not understood, folder missing, held by another process.
        """
        try:
            parsed = make_url(url)
        except Exception as problem:
            raise DatabaseProblem(f"the database address {url!r} is not understood: {problem}") from problem
        backend = parsed.get_backend_name()
        if backend == "sqlite":
            if not parsed.database or parsed.database == ":memory:":
                raise DatabaseProblem("a database in memory would lose every record; name a file")
            check_sqlite(sqlite3.sqlite_version_info)
            if not Path(parsed.database).absolute().parent.is_dir():
                raise DatabaseProblem(f"there is no folder {Path(parsed.database).absolute().parent}")
            if read_only and not Path(parsed.database).is_file():
                raise DatabaseProblem(f"there is no database {parsed.database}")
        elif backend == "postgresql":
            if parsed.drivername != "postgresql+psycopg":
                parsed = parsed.set(drivername="postgresql+psycopg")
        else:
            raise DatabaseProblem(f"{backend} is not supported; use sqlite or postgresql")
        database = cls(parsed, read_only)
        try:
            with database._read_engine.connect() if read_only else database._write_engine.connect():
                pass
        except Exception as problem:
            database.close()
            raise DatabaseProblem(f"cannot open the database: {problem}") from problem
        return database

    def migrate(self, revision: str = "head") -> None:
        """Bring every table to the newest form (alembic), in the one writing connection.

        Raises DatabaseProblem when the database was made by a newer version than this.
        """
        from shaftside.migrations import runner

        runner.upgrade(self._write_engine, revision)

    @contextlib.contextmanager
    def read(self) -> Iterator[Session]:
        """A session that cannot write, seeing one moment of the database from start to end."""
        with Session(self._read_engine) as session:
            yield session

    @contextlib.contextmanager
    def read_core(self) -> Iterator[Connection]:
        """The same as `read` without the ORM, for the log."""
        with self._read_engine.connect() as connection:
            yield connection

    async def write(self, fn: Callable[[Session], T]) -> T:
        """Run `fn` in the writer, in a transaction; return its result once it is durable."""
        return await asyncio.wrap_future(self._submit(_with_session(fn)))

    def write_now(self, fn: Callable[[Session], T]) -> T:
        """`write` for code that is not async. Never call it from inside another `fn`."""
        return self._submit(_with_session(fn)).result()

    async def write_core(self, fn: Callable[[Connection], T]) -> T:
        """`write` without the ORM, for the log."""
        return await asyncio.wrap_future(self._submit(fn))

    def write_core_now(self, fn: Callable[[Connection], T]) -> T:
        """`write_core` for code that is not async."""
        return self._submit(fn).result()

    def close(self) -> None:
        """Finish what is queued, then let everything go. Harmless the second time."""
        if self._closed:
            return
        self._closed = True
        if self._thread is not None:
            self._queue.put(None)
            self._thread.join()
        self._read_engine.dispose()
        self._write_engine.dispose()
        if self._lock_file is not None:
            self._lock_file.close()

    def describe(self) -> dict[str, Any]:
        """What is in use, for the health page: engine, version, whether the old WAL bug is in it."""
        if not self.is_sqlite:
            with self._read_engine.connect() as connection:
                version = str(connection.execute(text("show server_version")).scalar())
            return {"engine": "postgresql", "version": version, "one_writer_needed": False}
        affected = has_wal_reset_bug(sqlite3.sqlite_version_info)
        return {"engine": "sqlite", "version": sqlite3.sqlite_version, "one_writer_needed": affected}

    # -- the writer ---------------------------------------------------------------------------

    _start_lock = threading.Lock()

    def _submit(self, do: Callable[[Connection], T]) -> Future[T]:
        if self.read_only:
            raise DatabaseProblem("this database was opened for reading only")
        if self._closed:
            raise DatabaseProblem("the database is closed")
        if self._thread is None:
            with self._start_lock:
                if self._thread is None:
                    self._thread = threading.Thread(target=self._run, name="writer", daemon=True)
                    self._thread.start()
        elif self._thread is threading.current_thread():
            raise DatabaseProblem("a write inside a write would wait for itself")
        done: Future[T] = Future()
        self._queue.put(_Work(do, done))
        return done

    def _run(self) -> None:
        stop = False
        while not stop:
            group: list[_Work] = []
            work = self._queue.get()
            while work is not None:
                if work.done.set_running_or_notify_cancel():
                    group.append(work)
                if len(group) == GROUP_MOST or self._queue.empty():
                    break
                work = self._queue.get()
            stop = work is None
            if group:
                self._commit_together(group)

    def _commit_together(self, group: list[_Work]) -> None:
        """One transaction for the group; a savepoint each, so that one failure takes only its own."""
        outcomes: list[tuple[_Work, Any, BaseException | None]] = []
        try:
            with self._write_engine.begin() as connection:
                if not self.is_sqlite:
                    connection.execute(text("select pg_advisory_xact_lock(:key)"), {"key": PG_LOCK})
                for work in group:
                    connection.exec_driver_sql("SAVEPOINT one")
                    try:
                        result = work.do(connection)
                    except Exception as problem:  # noqa: BLE001 - handed to whoever asked
                        connection.exec_driver_sql("ROLLBACK TO SAVEPOINT one")
                        outcomes.append((work, None, problem))
                    else:
                        outcomes.append((work, result, None))
                    connection.exec_driver_sql("RELEASE SAVEPOINT one")
        except BaseException as problem:  # noqa: BLE001 - nothing was committed: everyone must know
            for work in group:
                work.done.set_exception(problem)
            return
        for work, result, failure in outcomes:
            if failure is not None:
                work.done.set_exception(failure)
            else:
                work.done.set_result(result)


def _with_session(fn: Callable[[Session], T]) -> Callable[[Connection], T]:
    def do(connection: Connection) -> T:
        with Session(connection, join_transaction_mode="create_savepoint", expire_on_commit=False) as session:
            result = fn(session)
            session.commit()
            return result

    return do


def has_wal_reset_bug(version: tuple[int, ...]) -> bool:
    """Whether this SQLite can corrupt a WAL database written by two connections at once."""
    if version >= (3, 51, 3) or version < (3, 7, 0):
        return False
    return not ((3, 50, 7) <= version < (3, 51, 0) or (3, 44, 6) <= version < (3, 45, 0))


def check_sqlite(version: tuple[int, ...]) -> None:
    """Raise DatabaseProblem when SQLite is too old for what this program asks of it."""
    if version < LEAST_SQLITE:
        have, need = (".".join(map(str, one)) for one in (version, LEAST_SQLITE))
        raise DatabaseProblem(f"SQLite {have} is too old; {need} or newer is needed")


def _hold_alone(path: Path) -> IO[str]:
    """Take the lock file, so that no second process writes the same SQLite file."""
    try:
        handle = path.open("a+", encoding="ascii")
    except OSError as problem:
        raise DatabaseProblem(f"cannot write beside the database: {problem}") from problem
    try:
        if sys.platform == "win32":
            importlib.import_module("msvcrt").locking(handle.fileno(), 2, 1)
        else:
            fcntl = importlib.import_module("fcntl")
            fcntl.flock(handle.fileno(), fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as problem:
        handle.seek(0)
        holder = handle.read().strip() or "unknown"
        handle.close()
        raise DatabaseProblem(
            f"another process (number {holder}) already writes this database; "
            "one SQLite file has one server: stop the other, or use PostgreSQL"
        ) from problem
    handle.truncate(0)
    handle.write(str(os.getpid()))
    handle.flush()
    return handle


def _sqlite_engines(url: URL, read_only: bool) -> tuple[Engine, Engine]:
    path = Path(str(url.database)).absolute()

    def connect_to_write() -> sqlite3.Connection:
        connection = sqlite3.connect(path, isolation_level=None, check_same_thread=False, timeout=10)
        connection.execute("PRAGMA journal_mode=WAL")
        connection.execute("PRAGMA synchronous=FULL")
        connection.execute("PRAGMA foreign_keys=ON")
        return connection

    def connect_to_read() -> sqlite3.Connection:
        # mode=ro: a reader that closes last would otherwise checkpoint, which is writing
        uri = f"{path.as_uri()}?mode=ro"
        connection = sqlite3.connect(uri, uri=True, isolation_level=None, check_same_thread=False, timeout=10)
        connection.execute("PRAGMA query_only=ON")
        return connection

    reader = create_engine(
        "sqlite://", creator=connect_to_read, poolclass=QueuePool, pool_size=8, max_overflow=24
    )
    event.listen(reader, "begin", lambda connection: connection.exec_driver_sql("BEGIN"))
    if read_only:
        return reader, reader
    writer = create_engine(
        "sqlite://", creator=connect_to_write, poolclass=QueuePool, pool_size=1, max_overflow=0
    )
    event.listen(writer, "begin", lambda connection: connection.exec_driver_sql("BEGIN IMMEDIATE"))
    return writer, reader


def _server_engines(url: URL) -> tuple[Engine, Engine]:
    writer = create_engine(url, pool_size=1, max_overflow=1, pool_pre_ping=True)
    reader = create_engine(
        url,
        pool_size=8,
        max_overflow=24,
        pool_pre_ping=True,
        isolation_level="REPEATABLE READ",
        connect_args={"options": "-c default_transaction_read_only=on"},
    )
    return writer, reader
