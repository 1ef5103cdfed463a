"""A secret for every device, kept as its hash

Revision ID: 0003
Revises: 0002
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    with op.batch_alter_table("device") as table:
        table.add_column(sa.Column("secret_hash", sa.String(), nullable=True))


def downgrade() -> None:
    with op.batch_alter_table("device") as table:
        table.drop_column("secret_hash")
