"""The farm database: schema, day book, queries, backup, migrations; the only room that knows SQLAlchemy."""
