"""All commands together."""

from __future__ import annotations

import typer

from farmdesk.cli import files, scan, sheets, trace
from farmdesk.cli.terms import DeskFarmOption, place_of
from farmdesk.startup import open_desk

app = typer.Typer(
    name="farmdesk",
    help="Which bag is which, where it stands, what it came from and what it became.",
    no_args_is_help=False,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)


@app.callback(invoke_without_command=True)
def desk(ctx: typer.Context, *, farm: DeskFarmOption = None) -> None:
    """Open the desk. With a command, do just that."""
    if ctx.invoked_subcommand is None:
        raise typer.Exit(open_desk(place_of(farm)))
    if farm is not None:
        ctx.default_map = {name: {"farm": farm} for name in getattr(ctx.command, "commands", {})}


app.command("demo")(files.demo)
app.command("labels")(sheets.labels)
app.command("cards")(sheets.cards)
app.command("scan")(scan.scan)
app.command("week")(sheets.week)
app.command("trace")(trace.trace)
app.command("check")(files.check)
app.command("backup")(files.backup)
app.command("restore")(files.restore)
app.command("export")(files.export)
app.command("import")(files.import_)
