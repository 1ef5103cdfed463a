"""People, invitations, devices and sign-ins

Revision ID: 0002
Revises: 0001
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "person",
        sa.Column("id", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("login", sa.String(), nullable=True),
        sa.Column("roles", sa.String(), nullable=False),
        sa.Column("password_hash", sa.String(), nullable=True),
        sa.Column("disabled", sa.Boolean(), nullable=False),
        sa.Column("added_at", sa.String(), nullable=False),
        sa.PrimaryKeyConstraint("id"),
        sa.UniqueConstraint("login"),
    )
    op.create_table(
        "device",
        sa.Column("id", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("first_at", sa.String(), nullable=False),
        sa.PrimaryKeyConstraint("id"),
    )
    op.create_table(
        "invitation",
        sa.Column("token_hash", sa.String(), nullable=False),
        sa.Column("person", sa.String(), nullable=False),
        sa.Column("expires_at", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["person"], ["person.id"]),
        sa.PrimaryKeyConstraint("token_hash"),
    )
    op.create_table(
        "device_person",
        sa.Column("device", sa.String(), nullable=False),
        sa.Column("person", sa.String(), nullable=False),
        sa.Column("first_at", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["device"], ["device.id"]),
        sa.ForeignKeyConstraint(["person"], ["person.id"]),
        sa.PrimaryKeyConstraint("device", "person"),
    )
    op.create_table(
        "sign_in",
        sa.Column("token_hash", sa.String(), nullable=False),
        sa.Column("id", sa.String(), nullable=False),
        sa.Column("person", sa.String(), nullable=False),
        sa.Column("device", sa.String(), nullable=False),
        sa.Column("since", sa.String(), nullable=False),
        sa.Column("last", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["person"], ["person.id"]),
        sa.ForeignKeyConstraint(["device"], ["device.id"]),
        sa.PrimaryKeyConstraint("token_hash"),
        sa.UniqueConstraint("id"),
    )
    op.create_index("ix_sign_in_person", "sign_in", ["person"])


def downgrade() -> None:
    for name in ("sign_in", "device_person", "invitation", "device", "person"):
        op.drop_table(name)
