"""Every form the tables ever had, in order (alembic)."""
