"""Alembic's entry: runs migrations on the engine that `upgrade` hands over."""

from __future__ import annotations

from alembic import context

from farmdesk.store.schema import metadata


def run() -> None:
    """Run the migrations in one transaction on the given engine."""
    engine = context.config.attributes["engine"]
    with engine.connect() as connection:
        context.configure(
            connection=connection,
            target_metadata=metadata,
            render_as_batch=engine.dialect.name == "sqlite",
            transactional_ddl=True,
        )
        with context.begin_transaction():
            context.run_migrations()


run()
