"""Commands on the whole farm: demo, check, backup, restore, export, import."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated

import typer

from farmdesk.actions.demo import build_demo
from farmdesk.actions.exchange import export_farm, import_farm
from farmdesk.cli.terms import REFUSED, FarmOption, opened, place_of, telling
from farmdesk.reports.check import check_farm
from farmdesk.startup import open_desk
from farmdesk.store.backup import backup_farm, restore_farm
from farmdesk.store.farm_store import FarmStore, is_server
from farmdesk.store.faults import shown_place


def demo(
    *,
    farm: FarmOption = None,
    open_it: Annotated[bool, typer.Option("--open", help="Open the desk on it.")] = False,
) -> None:
    """Build the demo farm, with today as its last day.

    With --open a farm that is there already is opened as it is.
    Example: farmdesk demo --farm demo.sqlite --open
    """
    where = place_of(farm)
    with opened(where, make=True) as store, telling() as tell:
        if open_it and _has_records(store):
            typer.echo(f"There is a farm in {shown_place(where)} already; it is opened as it is.")
        else:
            rows = build_demo(store, tell).rows
            typer.echo(
                f"The demo farm is ready in {shown_place(where)}: {rows:,} entries in its day book."
            )
    if open_it:
        raise typer.Exit(open_desk(where))


def _has_records(store: FarmStore) -> bool:
    with store.reading() as reading:
        return reading.last_number() > 0


def check(
    *,
    farm: FarmOption = None,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON object.")] = False,
) -> None:
    """Fold the day book again, compare it with the tables, balance every lot.

    Ends with status 1 when anything differs. Example: farmdesk check --json
    """
    with opened(farm) as store, telling() as tell:
        verdict = check_farm(store, tell)
    if as_json:
        differences = [vars(one) for one in verdict.differences]
        typer.echo(
            json.dumps(
                {
                    "clean": verdict.is_clean,
                    "entries": verdict.entries,
                    "differences": differences,
                },
                ensure_ascii=False,
            )
        )
    elif verdict.is_clean:
        typer.echo(f"All well: {verdict.entries:,} entries agree with the farm, every lot adds up.")
    else:
        for one in verdict.differences[:50]:
            typer.echo(f"{one.thing} {one.subject}: {one.code}, {one.detail}")
        typer.echo(f"{len(verdict.differences):,} differences. Keep a backup before mending.")
    if not verdict.is_clean:
        raise typer.Exit(REFUSED)


def backup(
    file: Annotated[Path, typer.Argument(metavar="FILE")], *, farm: FarmOption = None
) -> None:
    """Copy the farm into a file, checked, while the desk may be open.

    Example: farmdesk backup friday.sqlite
    """
    with opened(farm) as store, telling() as tell:
        tell("copying and checking", 0)
        size = backup_farm(store, file)
    typer.echo(f"The farm is copied to {file} ({size / 1_000_000:.1f} MB) and the copy is sound.")


def restore(
    file: Annotated[Path, typer.Argument(metavar="FILE")], *, farm: FarmOption = None
) -> None:
    """Make the farm what it was when a backup was taken. What came later is gone: back up first.

    Example: farmdesk backup now.sqlite && farmdesk restore friday.sqlite
    """
    where = place_of(farm)
    with opened(where, make=not is_server(where)) as store, telling() as tell:
        tell("checking and copying back", 0)
        restore_farm(store, file)
    typer.echo(f"The farm in {shown_place(where)} is as it was in {file}.")


def export(
    folder: Annotated[Path, typer.Argument(metavar="DIR")], *, farm: FarmOption = None
) -> None:
    """Write the whole farm as plain CSV files: catalogue, everything made, and the day book.

    Example: farmdesk export farm-2026-11
    """
    with opened(farm) as store, telling() as tell:
        moved = export_farm(store, folder, tell)
    photos = f" and {moved.photos:,} photos" if moved.photos else ""
    typer.echo(f"{moved.rows:,} rows in {moved.files} files{photos} in {folder}.")


def import_(
    folder: Annotated[Path, typer.Argument(metavar="DIR")], *, farm: FarmOption = None
) -> None:
    """Fill an empty farm from such CSV files; with a wrong row, nothing is changed.

    Example: farmdesk import farm-2026-11 --farm again.sqlite
    """
    where = place_of(farm)
    with opened(where, make=True) as store, telling() as tell:
        moved = import_farm(store, folder, tell=tell)
    typer.echo(f"{moved.rows:,} entries from {moved.files} files are in {shown_place(where)}.")
