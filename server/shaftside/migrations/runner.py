"""Runs the migrations in the connection the writer already holds."""

from __future__ import annotations

import importlib
from pathlib import Path
from typing import Any

from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.util import CommandError
from sqlalchemy import Engine, MetaData
from sqlmodel import SQLModel

from shaftside.errors import DatabaseProblem

TABLE_MODULES = ("shaftside.records.tables", "shaftside.people.tables")


def metadata() -> MetaData:
    """All tables of all rooms."""
    for name in TABLE_MODULES:
        importlib.import_module(name)
    return SQLModel.metadata


def configuration() -> Config:
    """Alembic's settings, without a file: the package itself is the script folder."""
    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    return config


def upgrade(engine: Engine, revision: str = "head") -> None:
    """Bring the tables to `revision`. Raises DatabaseProblem for tables newer than this program."""
    config = configuration()
    with engine.begin() as connection:
        config.attributes["connection"] = connection
        try:
            command.upgrade(config, revision)
        except CommandError as problem:
            raise DatabaseProblem(
                f"this database was not made by this version or an older one: {problem}. Nothing was changed"
            ) from problem


def differences(engine: Engine) -> list[Any]:
    """What the tables in the database lack against the classes; empty when they agree."""
    with engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        return list(compare_metadata(context, metadata()))
