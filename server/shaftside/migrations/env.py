"""Called by alembic for every run; the connection is handed over by the runner."""

from __future__ import annotations

from alembic import context

from shaftside.migrations.runner import metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=metadata(),
    render_as_batch=True,
    compare_type=True,
    # the runner's own transaction is the one that commits
    transaction_per_migration=False,
)
context.run_migrations()
