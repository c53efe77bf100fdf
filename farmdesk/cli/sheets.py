"""Commands that make papers: labels, wall cards, the week's export."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from farmdesk.actions.base import Who
from farmdesk.actions.labelling import print_cards, print_labels
from farmdesk.cli.terms import FarmOption, calm_errors, opened, out_file, telling
from farmdesk.quantities.weeks import IsoWeek
from farmdesk.reports.week import WeekQuestion, week_now, week_report
from farmdesk.reports.week_files import ENDINGS, write_week

_STATION = "command line"
OutOption = Annotated[Path, typer.Option("--out", metavar="FILE", help="The file to write.")]


def labels(
    codes: Annotated[
        list[str], typer.Argument(metavar="CODE...", help="Codes, names, or a whole batch.")
    ],
    *,
    stock: Annotated[str, typer.Option("--stock", metavar="NAME", help="The label stock.")],
    out: OutOption,
    start: Annotated[
        int, typer.Option("--start", min=1, help="The first free label on a used sheet.")
    ] = 1,
    farm: FarmOption = None,
) -> None:
    """Write labels for bags, spawn, a batch, picks or packs as a PDF, and record the printing.

    Example: farmdesk labels OY02-0147 --stock "US Letter 3 x 10" --out labels.pdf
    """
    path = out_file(out, ".pdf")
    with opened(farm) as store, telling() as tell:
        tell("labels", 0)
        printed = print_labels(store, codes, stock=stock, out=path, start=start, who=Who(_STATION))
    typer.echo(f"{_count(printed.count, 'label')} on {_count(printed.pages, 'page')}: {path}.")
    if printed.reprinted:
        typer.echo(f"{_count(printed.reprinted, 'label')} had been printed before.")


def cards(*, out: OutOption, farm: FarmOption = None) -> None:
    """Write the farm's wall cards as a PDF.

    Example: farmdesk cards --out cards.pdf
    """
    path = out_file(out, ".pdf")
    with opened(farm) as store, telling() as tell:
        tell("cards", 0)
        printed = print_cards(store, out=path)
    typer.echo(f"{_count(printed.count, 'card')} on {_count(printed.pages, 'page')}: {path}.")


def week(
    week: Annotated[
        str | None,
        typer.Argument(metavar="[WEEK]", help="An ISO week such as 2026-W47; default this week."),
    ] = None,
    *,
    out: OutOption,
    farm: FarmOption = None,
) -> None:
    """Write a week's export: a workbook (.xlsx), a page (.pdf) or one tidy table (.csv).

    Example: farmdesk week 2026-W47 --out week.xlsx
    """
    path = out_file(out, *ENDINGS)
    with calm_errors():
        wanted = None if week is None else IsoWeek.parse(week)
    with opened(farm) as store, telling() as tell:
        tell("week", 0)
        with store.reading() as reading:
            question = WeekQuestion(wanted or week_now(reading))
            report = week_report(reading, question)
        write_week(report, path)
    typer.echo(f"Week {question.week} is in {path}.")


def _count(number: int, what: str) -> str:
    return f"{number:,} {what}{'' if number == 1 else 's'}"
