"""What every command shares: where the farm is, how errors end, how progress shows."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console
from rich.progress import Progress, SpinnerColumn, TextColumn, TimeElapsedColumn

from farmdesk.errors import FarmdeskError, StoreUnavailable
from farmdesk.settings.places import default_farm_file
from farmdesk.store.farm_store import FarmStore, open_farm
from farmdesk.store.new_farm import farm_to_fill
from farmdesk.wording.sentences import say_error

REFUSED = 1
"""Exit status: understood, but it cannot be done, or something differs."""
UNAVAILABLE = 3
"""Exit status: the farm cannot be opened (2 is a wrong command line)."""

_HELP = (
    "The farm's file, or a postgresql:// URL. Default: what FARMDESK_FARM names, else the farm in "
    "your data folder."
)
DeskFarmOption = Annotated[
    str | None, typer.Option("--farm", envvar="FARMDESK_FARM", metavar="WHERE", help=_HELP)
]
"""Before the command. Only here the environment is read: what is typed must always win."""
FarmOption = Annotated[str | None, typer.Option("--farm", metavar="WHERE", help=_HELP)]
"""After the command; it wins over the one before."""


def place_of(farm: str | None) -> str:
    """Where the farm is: as asked, else the default file."""
    return farm or str(default_farm_file())


@contextmanager
def calm_errors() -> Iterator[None]:
    """Say what is wrong in a sentence on standard error and end with a status scripts can use."""
    try:
        yield
    except StoreUnavailable as error:
        typer.echo(say_error(error), err=True)
        raise typer.Exit(UNAVAILABLE) from error
    except FarmdeskError as error:
        typer.echo(say_error(error), err=True)
        raise typer.Exit(REFUSED) from error


@contextmanager
def opened(farm: str | None, *, make: bool = False) -> Iterator[FarmStore]:
    """The farm, open for the length of a command; errors end calmly."""
    with calm_errors():
        if make:
            with farm_to_fill(place_of(farm)) as store:
                yield store
            return
        store = open_farm(place_of(farm))
        try:
            yield store
        finally:
            store.close()


class Teller:
    """Shows how far a long command is, on standard error, when somebody watches."""

    def __init__(self, progress: Progress | None) -> None:
        self._progress = progress
        self._task = progress.add_task("", total=None) if progress else None

    def __call__(self, name: str, done: int) -> None:
        """Tell that `done` rows of `name` are finished."""
        if self._progress is not None and self._task is not None:
            what = f"{name} {done:,}" if done else name
            self._progress.update(self._task, description=what)


@contextmanager
def telling() -> Iterator[Teller]:
    """A progress line that is gone when the work is done; silent in scripts."""
    if not sys.stderr.isatty():
        yield Teller(None)
        return
    columns = (SpinnerColumn(), TextColumn("{task.description}"), TimeElapsedColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as progress:
        yield Teller(progress)


def out_file(path: Path, *endings: str) -> Path:
    """A file to write, checked for its ending; a wrong command line otherwise."""
    if path.suffix.lower() not in endings:
        raise typer.BadParameter(f"{path.name} should end in {' or '.join(endings)}.")
    return path
