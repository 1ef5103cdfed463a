"""What the migrations make is what the tables say, on both databases."""

from __future__ import annotations

from shaftside.database import Database
from shaftside.migrations import runner


def test_the_migrated_schema_is_that_of_the_tables(database: Database) -> None:
    assert runner.differences(database._write_engine) == []


def test_a_difference_is_seen(database: Database) -> None:
    with database._write_engine.begin() as connection:
        connection.exec_driver_sql("alter table device add column surprise text")
    assert "surprise" in str(runner.differences(database._write_engine))
