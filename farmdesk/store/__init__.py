"""The farm database: schema, day book, queries, backup; the only room with SQLAlchemy."""
