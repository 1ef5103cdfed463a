"""The log, what is set aside, bundles, and the read model

Revision ID: 0001
Revises:
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "event",
        sa.Column(
            "position",
            sa.BigInteger().with_variant(sa.Integer(), "sqlite"),
            autoincrement=False,
            nullable=False,
        ),
        sa.Column("id", sa.String(), nullable=False),
        sa.Column("hash", sa.String(), nullable=False),
        sa.Column("record", sa.String(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("device", sa.String(), nullable=False),
        sa.Column("seq", sa.BigInteger(), nullable=False),
        sa.Column("actor", sa.String(), nullable=False),
        sa.Column("wall", sa.String(), nullable=False),
        sa.Column("received", sa.String(), nullable=False),
        sa.Column("outcome", sa.String(), nullable=False),
        sa.Column("code", sa.String(), nullable=True),
        sa.Column("reason", sa.String(), nullable=True),
        sa.Column("raw", sa.LargeBinary(), nullable=False),
        sa.CheckConstraint("outcome in ('kept','claimed','refused','waiting')", name="event_outcome"),
        sa.CheckConstraint("length(hash) = 64", name="event_hash"),
        sa.CheckConstraint("seq >= 1", name="event_seq"),
        sa.PrimaryKeyConstraint("position"),
        sa.UniqueConstraint("hash"),
        sa.UniqueConstraint("id"),
    )
    with op.batch_alter_table("event", schema=None) as batch_op:
        batch_op.create_index("event_of_device", ["device", "seq"], unique=False)
        batch_op.create_index("event_of_record", ["record", "position"], unique=False)

    op.create_table(
        "event_aside",
        sa.Column("hash", sa.String(), nullable=False),
        sa.Column("code", sa.String(), nullable=False),
        sa.Column("event_id", sa.String(), nullable=True),
        sa.Column("device", sa.String(), nullable=False),
        sa.Column("person", sa.String(), nullable=False),
        sa.Column("received", sa.String(), nullable=False),
        sa.Column("reason", sa.String(), nullable=False),
        sa.Column("raw", sa.LargeBinary(), nullable=False),
        sa.PrimaryKeyConstraint("hash", "code"),
    )
    with op.batch_alter_table("event_aside", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_event_aside_event_id"), ["event_id"], unique=False)

    op.create_table(
        "event_missing",
        sa.Column("missing", sa.String(), nullable=False),
        sa.Column("event", sa.String(), nullable=False),
        sa.PrimaryKeyConstraint("missing", "event"),
    )
    op.create_table(
        "failure_row",
        sa.Column("failure", sa.String(), nullable=False),
        sa.Column("position", sa.String(), nullable=False),
        sa.Column("found_on", sa.String(), nullable=False),
        sa.Column("by", sa.String(), nullable=False),
        sa.Column("at", sa.String(), nullable=False),
        sa.Column("text", sa.String(), nullable=False),
        sa.PrimaryKeyConstraint("failure"),
    )
    with op.batch_alter_table("failure_row", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_failure_row_found_on"), ["found_on"], unique=False)
        batch_op.create_index(batch_op.f("ix_failure_row_position"), ["position"], unique=False)

    op.create_table(
        "follow_up_row",
        sa.Column("job", sa.String(), nullable=False),
        sa.Column("follow_up", sa.String(), nullable=False),
        sa.Column("title", sa.String(), nullable=False),
        sa.Column("after", sa.String(), nullable=False),
        sa.Column("from_at", sa.String(), nullable=False),
        sa.Column("due_at", sa.String(), nullable=True),
        sa.Column("done_at", sa.String(), nullable=True),
        sa.PrimaryKeyConstraint("job", "follow_up"),
    )
    op.create_table(
        "handbook_bundle",
        sa.Column("hash", sa.String(), nullable=False),
        sa.Column("kept_at", sa.String(), nullable=False),
        sa.Column("bytes", sa.LargeBinary(), nullable=False),
        sa.PrimaryKeyConstraint("hash"),
    )
    op.create_table(
        "job_row",
        sa.Column("job", sa.String(), nullable=False),
        sa.Column("position", sa.String(), nullable=False),
        sa.Column("position_name", sa.String(), nullable=False),
        sa.Column("machine", sa.String(), nullable=False),
        sa.Column("machine_name", sa.String(), nullable=False),
        sa.Column("area", sa.String(), nullable=False),
        sa.Column("method", sa.String(), nullable=False),
        sa.Column("work", sa.String(), nullable=False),
        sa.Column("procedure", sa.String(), nullable=False),
        sa.Column("status", sa.String(), nullable=False),
        sa.Column("started_at", sa.String(), nullable=False),
        sa.Column("started_by", sa.String(), nullable=False),
        sa.Column("completed_at", sa.String(), nullable=True),
        sa.Column("completed_by", sa.String(), nullable=True),
        sa.Column("signed_at", sa.String(), nullable=True),
        sa.Column("signed_by", sa.String(), nullable=True),
        sa.Column("last_at", sa.String(), nullable=False),
        sa.Column("people", sa.String(), nullable=False),
        sa.Column("verdicts", sa.String(), nullable=False),
        sa.Column("worst", sa.String(), nullable=False),
        sa.Column("deviations", sa.Integer(), nullable=False),
        sa.Column("deviations_open", sa.Integer(), nullable=False),
        sa.Column("claimed", sa.Integer(), nullable=False),
        sa.Column("refused", sa.Integer(), nullable=False),
        sa.Column("events", sa.Integer(), nullable=False),
        sa.Column("parent_job", sa.String(), nullable=True),
        sa.Column("words", sa.String(), nullable=False),
        sa.PrimaryKeyConstraint("job"),
    )
    with op.batch_alter_table("job_row", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_job_row_machine"), ["machine"], unique=False)
        batch_op.create_index(batch_op.f("ix_job_row_position"), ["position"], unique=False)
        batch_op.create_index(batch_op.f("ix_job_row_started_at"), ["started_at"], unique=False)
        batch_op.create_index(batch_op.f("ix_job_row_status"), ["status"], unique=False)

    op.create_table(
        "position_row",
        sa.Column("position", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("machine", sa.String(), nullable=False),
        sa.Column("machine_name", sa.String(), nullable=False),
        sa.Column("area", sa.String(), nullable=False),
        sa.Column("method", sa.String(), nullable=False),
        sa.Column("housing", sa.String(), nullable=False),
        sa.Column("retired", sa.Boolean(), nullable=False),
        sa.Column("last_at", sa.String(), nullable=False),
        sa.Column("words", sa.String(), nullable=False),
        sa.PrimaryKeyConstraint("position"),
    )
    with op.batch_alter_table("position_row", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_position_row_machine"), ["machine"], unique=False)

    op.create_table(
        "record",
        sa.Column("id", sa.String(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("closed_position", sa.BigInteger(), nullable=True),
        sa.PrimaryKeyConstraint("id"),
    )
    with op.batch_alter_table("record", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_record_kind"), ["kind"], unique=False)

    op.create_table(
        "server_value",
        sa.Column("key", sa.String(), nullable=False),
        sa.Column("value", sa.String(), nullable=False),
        sa.PrimaryKeyConstraint("key"),
    )


def downgrade() -> None:
    op.drop_table("server_value")
    with op.batch_alter_table("record", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_record_kind"))

    op.drop_table("record")
    with op.batch_alter_table("position_row", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_position_row_machine"))

    op.drop_table("position_row")
    with op.batch_alter_table("job_row", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_job_row_status"))
        batch_op.drop_index(batch_op.f("ix_job_row_started_at"))
        batch_op.drop_index(batch_op.f("ix_job_row_position"))
        batch_op.drop_index(batch_op.f("ix_job_row_machine"))

    op.drop_table("job_row")
    op.drop_table("handbook_bundle")
    op.drop_table("follow_up_row")
    with op.batch_alter_table("failure_row", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_failure_row_position"))
        batch_op.drop_index(batch_op.f("ix_failure_row_found_on"))

    op.drop_table("failure_row")
    op.drop_table("event_missing")
    with op.batch_alter_table("event_aside", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_event_aside_event_id"))

    op.drop_table("event_aside")
    with op.batch_alter_table("event", schema=None) as batch_op:
        batch_op.drop_index("event_of_record")
        batch_op.drop_index("event_of_device")

    op.drop_table("event")
