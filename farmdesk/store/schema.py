"""The tables: one for each kind of thing, the day book, and the counters."""

from __future__ import annotations

from typing import Any

from sqlalchemy import (
    BigInteger,
    Column,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    PrimaryKeyConstraint,
    Table,
    Text,
    UniqueConstraint,
)

from farmdesk.domain.cells import columns_of
from farmdesk.domain.things import THINGS

VERSION = "0001"
"""The newest migration; a farm with another version is migrated, or refused when newer."""

metadata = MetaData()
_Integer = BigInteger().with_variant(Integer, "sqlite")
_UNIQUE_NAMES = (
    "culture",
    "spawn",
    "run",
    "batch",
    "pick",
    "pack",
    "order",
    "delivery",
    "invoice",
    "credit_note",
    "goods_return",
    "market_day",
    "net_check",
)
_UNIQUE_BY = {"room": "name", "crate": "name", "species": "code", "station": "name"}


def _make_table(kind: str, cls: type[Any]) -> Table:
    columns: list[Any] = []
    for one in columns_of(cls):
        kind_of_cell = _Integer if one.is_integer else Text()
        refers = [ForeignKey(f"{one.ref}.id")] if one.ref else []
        columns.append(
            Column(
                one.name,
                kind_of_cell,
                *refers,
                nullable=one.optional,
                primary_key=one.name == "id",
                autoincrement=False,
            )
        )
    if kind == "link":
        columns.append(PrimaryKeyConstraint("parent", "child"))
        return Table(kind, metadata, *columns, sqlite_with_rowid=False)
    if kind in _UNIQUE_NAMES:
        columns.append(UniqueConstraint("name"))
    if kind in _UNIQUE_BY:
        columns.append(UniqueConstraint(_UNIQUE_BY[kind]))
    if kind == "bag":
        columns.append(UniqueConstraint("batch", "number"))
    return Table(kind, metadata, *columns)


TABLES: dict[str, Table] = {kind: _make_table(kind, cls) for kind, cls in THINGS.items()}

Index("link_by_child", TABLES["link"].c.child, TABLES["link"].c.parent)
Index("bag_by_stage", TABLES["bag"].c.stage, TABLES["bag"].c.room)
Index("bag_by_room", TABLES["bag"].c.room, TABLES["bag"].c.stage)
Index("batch_by_day", TABLES["batch"].c.inoculated_on)
Index("pick_by_time", TABLES["pick"].c.picked_at)
Index("pick_by_left", TABLES["pick"].c.left_mg)
Index("removal_by_lot", TABLES["removal"].c.lot)
Index("order_by_day", TABLES["order"].c.due_on)
Index("order_line_by_order", TABLES["order_line"].c.order)
Index("delivery_by_day", TABLES["delivery"].c.delivered_on)
Index("delivery_line_by_delivery", TABLES["delivery_line"].c.delivery)
Index("delivery_line_by_lot", TABLES["delivery_line"].c.lot)
Index("delivery_by_customer", TABLES["delivery"].c.customer, TABLES["delivery"].c.delivered_on)
Index("invoice_by_customer", TABLES["invoice"].c.customer, TABLES["invoice"].c.issued_on)
Index("invoice_tax_by_invoice", TABLES["invoice_tax"].c.invoice)
Index("credit_note_by_invoice", TABLES["credit_note"].c.invoice)
Index("credit_line_by_credit_note", TABLES["credit_line"].c.credit_note)
Index("payment_share_by_invoice", TABLES["payment_share"].c.invoice)
Index("market_line_by_market_day", TABLES["market_line"].c.market_day)
Index("market_line_by_lot", TABLES["market_line"].c.lot)
Index("pack_weight_by_pack", TABLES["pack_weight"].c.pack)
Index("note_by_subject", TABLES["note"].c.subject)
Index("printing_by_subject", TABLES["printing"].c.subject)
Index("run_ingredient_by_run", TABLES["run_ingredient"].c.run)
Index("room_reading_by_time", TABLES["room_reading"].c.room, TABLES["room_reading"].c.at)
Index("climate_day_by_day", TABLES["climate_day"].c.room, TABLES["climate_day"].c.day)
Index("labour_by_day", TABLES["labour"].c.day)

DAYBOOK = Table(
    "daybook",
    metadata,
    Column("number", _Integer, primary_key=True, autoincrement=False),
    Column("act", Text, nullable=False),
    Column("line", _Integer, nullable=False),
    Column("kind", Text, nullable=False),
    Column("thing", Text, nullable=False),
    Column("subject", _Integer, nullable=False),
    Column("other", _Integer, nullable=False),
    Column("before", Text, nullable=False),
    Column("after", Text, nullable=False),
    Column("happened_at", Text, nullable=False),
    Column("written_at", Text, nullable=False),
    Column("person", _Integer, nullable=True),
    Column("station", Text, nullable=False),
    Column("undoes", _Integer, nullable=True),
    Column("note", Text, nullable=False),
    UniqueConstraint("act", "line"),
)
Index("daybook_by_subject", DAYBOOK.c.subject, DAYBOOK.c.number)
Index("daybook_by_time", DAYBOOK.c.happened_at)
Index(
    "daybook_by_undone",
    DAYBOOK.c.undoes,
    # A condition for PostgreSQL too would load its dialect at every start.
    sqlite_where=DAYBOOK.c.undoes.is_not(None),
)

COUNTER = Table(
    "counter",
    metadata,
    Column("kind", Text, primary_key=True),
    Column("next", _Integer, nullable=False),
)
"""The next free id of each kind; ids are never used twice, even when their making is undone."""

PHOTO = Table(
    "photo",
    metadata,
    Column("name", Text, primary_key=True),
    Column("data", LargeBinary, nullable=False),
)
"""Pictures by what they hold (`domain/notes.photo_name`); the day book names them, never copies."""

VERSIONS = Table("alembic_version", metadata, Column("version_num", Text, primary_key=True))
