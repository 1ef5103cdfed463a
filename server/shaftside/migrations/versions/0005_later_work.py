"""Which later work a job of its own was begun for, and when it closed it

Revision ID: 0005
Revises: 0004
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    with op.batch_alter_table("job_row", schema=None) as batch_op:
        batch_op.add_column(sa.Column("follow_up", sa.String(), nullable=True))
        batch_op.add_column(sa.Column("closed_at", sa.String(), nullable=True))
        batch_op.create_index(batch_op.f("ix_job_row_parent_job"), ["parent_job"], unique=False)


def downgrade() -> None:
    with op.batch_alter_table("job_row", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_job_row_parent_job"))
        batch_op.drop_column("closed_at")
        batch_op.drop_column("follow_up")
