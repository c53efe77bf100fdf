"""Alembic migrations: how a farm made by an older version becomes one of this version."""
