"""Statements written once in SQLAlchemy Core, compiled once, sent straight to the driver.

Building and compiling a Core statement costs more than the work of a scan; this keeps the one
schema and both databases, at nearly the cost of hand-written SQL.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from sqlalchemy import Connection, CursorResult
from sqlalchemy.sql import ClauseElement


class Prepared:
    """One statement for one dialect; run it with named values."""

    def __init__(self, statement: ClauseElement, dialect: Any) -> None:
        compiled: Any = statement.compile(dialect=dialect)
        self.sql: str = str(compiled)
        self.is_plain = dialect.name == "sqlite"
        self.fixed: dict[str, Any] = {
            name: value for name, value in (compiled.params or {}).items() if value is not None
        }
        self.order: Sequence[str] | None = (
            tuple(compiled.positiontup) if compiled.positional else None
        )

    def _values(self, values: Mapping[str, Any]) -> Any:
        if self.order is None:
            return {**self.fixed, **values} if self.fixed else dict(values)
        if self.fixed:
            values = {**self.fixed, **values}
        return tuple([values[name] for name in self.order])

    def run(self, connection: Connection, values: Mapping[str, Any]) -> CursorResult[Any]:
        """Run once with these values."""
        return connection.exec_driver_sql(self.sql, self._values(values))

    def run_one(self, connection: Connection, values: Mapping[str, Any]) -> Any:
        """Run once and give the first row, or None; on SQLite without the layers between.

        For the statements of a scan, where those layers cost more than the work. Raises what the
        driver raises.
        """
        if self.is_plain:
            plain: Any = connection.connection.driver_connection
            return plain.execute(self.sql, self._values(values)).fetchone()
        result = connection.exec_driver_sql(self.sql, self._values(values))
        return result.fetchone() if result.returns_rows else None

    def run_many(self, connection: Connection, rows: Sequence[Mapping[str, Any]]) -> None:
        """Run for each row, in one call to the driver."""
        if rows:
            connection.exec_driver_sql(self.sql, [self._values(row) for row in rows])
