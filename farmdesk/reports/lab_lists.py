"""Cultures, spawn and heat runs as lists: what was made, what it came from, what is left."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from farmdesk.domain.catalogue import Recipe, Species, Strain
from farmdesk.domain.codes import code_of
from farmdesk.domain.lab import Culture, HeatRun, Spawn
from farmdesk.paper.tables import Column, Table
from farmdesk.quantities.times import age_days, from_iso
from farmdesk.reports.farm_terms import read_terms
from farmdesk.store.lists import blocks_used, parents_named
from farmdesk.store.transaction import Reading
from farmdesk.wording.language import tr
from farmdesk.wording.states import FORMS, say_code, say_state


@dataclass(frozen=True)
class CultureRow:
    """One culture; `over` says that it was transferred more often than its strain should be."""

    id: int
    code: str
    name: str
    strain: str
    form: str
    transfers: int
    over: bool
    parent: str
    made_on: str
    age: int | None
    origin: str
    status: str
    note: str


@dataclass(frozen=True)
class SpawnRow:
    """One bag of spawn: made, used and left, mg."""

    id: int
    code: str
    name: str
    strain: str
    generation: int
    transfers: int
    over: bool
    grain: str
    parent: str
    made_mg: int
    used_mg: int
    left_mg: int
    made_on: str
    use_by: str | None
    is_past: bool
    status: str
    note: str


@dataclass(frozen=True)
class RunRow:
    """One heat run: its blocks, those inoculated, and minutes from hot to the end."""

    id: int
    code: str
    name: str
    recipe: str
    run_on: str
    blocks: int
    inoculated: int
    left: int
    block_mg: int
    moisture_percent: Decimal
    measured_percent: Decimal | None
    treatment: str
    hot_minutes: int | None
    status: str
    note: str


def list_cultures(reading: Reading, *, now: str | None = None) -> list[CultureRow]:
    """All cultures, newest first."""
    terms = read_terms(reading, now)
    strains = {one.id: one for one in reading.all(Strain)}
    names = _strain_names(reading)
    cultures = reading.all(Culture)
    parents = parents_named(reading, "culture")
    return [
        CultureRow(
            id=one.id,
            code=code_of(one.id),
            name=one.name,
            strain=names.get(one.strain, ""),
            form=one.form,
            transfers=one.transfers,
            over=one.transfers > strains[one.strain].max_transfers,
            parent=parents.get(one.id, ""),
            made_on=one.made_on,
            age=age_days(one.made_on, terms.today) if one.made_on else None,
            origin=one.origin,
            status=one.status,
            note=one.note,
        )
        for one in reversed(cultures)
    ]


def list_spawn(reading: Reading, *, now: str | None = None) -> list[SpawnRow]:
    """All bags of spawn, newest first."""
    terms = read_terms(reading, now)
    strains = {one.id: one for one in reading.all(Strain)}
    names = _strain_names(reading)
    parents = parents_named(reading, "spawn")
    return [
        SpawnRow(
            id=one.id,
            code=code_of(one.id),
            name=one.name,
            strain=names.get(one.strain, ""),
            generation=one.generation,
            transfers=one.transfers,
            over=one.generation > strains[one.strain].max_generation,
            grain=one.grain,
            parent=parents.get(one.id, ""),
            made_mg=one.made_mg,
            used_mg=one.made_mg - one.left_mg,
            left_mg=one.left_mg,
            made_on=one.made_on,
            use_by=one.use_by,
            is_past=one.use_by is not None and one.use_by < terms.today,
            status=one.status,
            note=one.note,
        )
        for one in reversed(reading.all(Spawn))
    ]


def list_runs(reading: Reading) -> list[RunRow]:
    """All heat runs, newest first."""
    recipes = {one.id: one.name for one in reading.all(Recipe)}
    used = blocks_used(reading)
    return [
        RunRow(
            id=one.id,
            code=code_of(one.id),
            name=one.name,
            recipe=recipes.get(one.recipe, ""),
            run_on=one.run_on,
            blocks=one.blocks,
            inoculated=used.get(one.id, 0),
            left=one.blocks - used.get(one.id, 0),
            block_mg=one.block_mg,
            moisture_percent=one.moisture_percent,
            measured_percent=one.measured_percent,
            treatment=one.treatment,
            hot_minutes=_minutes(one.hot_at, one.ended_at),
            status=one.status,
            note=one.note,
        )
        for one in reversed(reading.all(HeatRun))
    ]


def cultures_table(reading: Reading, *, now: str | None = None) -> Table:
    """All cultures as a table."""
    columns = (
        Column("name", tr("Culture")),
        Column("code", tr("Code"), "code"),
        Column("strain", tr("Strain")),
        Column("form", tr("Form")),
        Column("transfers", tr("Transfers"), "integer"),
        Column("over", tr("Over the limit"), "flag"),
        Column("parent", tr("From")),
        Column("made_on", tr("Made"), "day"),
        Column("age", tr("Age"), "integer", unit=tr("days")),
        Column("origin", tr("Origin")),
        Column("status", tr("Status")),
        Column("note", tr("Note")),
    )
    return table_of("cultures", tr("Cultures"), columns, list_cultures(reading, now=now))


def spawn_table(reading: Reading, *, now: str | None = None) -> Table:
    """All spawn as a table."""
    columns = (
        Column("name", tr("Spawn")),
        Column("code", tr("Code"), "code"),
        Column("strain", tr("Strain")),
        Column("generation", tr("Generation"), "integer"),
        Column("transfers", tr("Transfers"), "integer"),
        Column("over", tr("Over the limit"), "flag"),
        Column("grain", tr("Grain")),
        Column("parent", tr("From")),
        Column("made_mg", tr("Made"), "mass"),
        Column("used_mg", tr("Used"), "mass"),
        Column("left_mg", tr("Left"), "mass"),
        Column("made_on", tr("Made on"), "day"),
        Column("use_by", tr("Use by"), "day"),
        Column("is_past", tr("Past its day"), "flag"),
        Column("status", tr("Status")),
        Column("note", tr("Note")),
    )
    return table_of("spawn", tr("Spawn"), columns, list_spawn(reading, now=now))


def runs_table(reading: Reading, *, now: str | None = None) -> Table:  # noqa: ARG001 - as all
    """All heat runs as a table."""
    columns = (
        Column("name", tr("Heat run")),
        Column("code", tr("Code"), "code"),
        Column("recipe", tr("Recipe")),
        Column("run_on", tr("Day"), "day"),
        Column("blocks", tr("Blocks"), "integer"),
        Column("inoculated", tr("Inoculated"), "integer"),
        Column("left", tr("Left"), "integer"),
        Column("block_mg", tr("Block"), "mass"),
        Column("moisture_percent", tr("Moisture planned"), "percent"),
        Column("measured_percent", tr("Moisture measured"), "percent"),
        Column("treatment", tr("Treatment")),
        Column("hot_minutes", tr("At temperature"), "integer", unit="min"),
        Column("status", tr("Status")),
        Column("note", tr("Note")),
    )
    note = tr(
        "What was entered, not a proof that a load is sterile: follow the "
        "maker's instructions of the steriliser and have pressure vessels "
        "inspected as the local code asks."
    )
    return table_of("runs", tr("Heat runs"), columns, list_runs(reading), notes=[note])


def table_of(
    name: str,
    title: str,
    columns: tuple[Column, ...],
    rows: list[CultureRow] | list[SpawnRow] | list[RunRow],
    *,
    notes: list[str] | None = None,
) -> Table:
    """Rows as a table: each column shows the attribute of its key, codes in words."""
    values = [tuple(_shown(row, column.key) for column in columns) for row in rows]
    return Table(name, title, columns, values, notes=notes or [])


def _shown(row: CultureRow | SpawnRow | RunRow, key: str) -> object:
    value = getattr(row, key)
    if key == "status":
        return say_state(value)
    return say_code(FORMS, value) if key == "form" else value


def _strain_names(reading: Reading) -> dict[int, str]:
    """`OY01 Grey winter`: a strain's code with its species' code, and its name."""
    codes = {one.id: one.code for one in reading.all(Species)}
    return {
        one.id: f"{codes.get(one.species, '')}{one.code} {one.name}".strip()
        for one in reading.all(Strain)
    }


def _minutes(since: str | None, until: str | None) -> int | None:
    if since is None or until is None:
        return None
    return round((from_iso(until) - from_iso(since)).total_seconds() / 60)
