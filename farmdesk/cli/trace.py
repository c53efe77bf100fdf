"""The command that says where a thing came from and went to."""

from __future__ import annotations

import json
from typing import Annotated

import typer
from rich.console import Console
from rich.tree import Tree

from farmdesk.actions.labelling import resolve
from farmdesk.cli.terms import FarmOption, opened
from farmdesk.domain.catalogue import Farm
from farmdesk.domain.codes import group_code
from farmdesk.errors import Refused, problem
from farmdesk.quantities.mass import format_mass
from farmdesk.reports.trace import Relative, Trace
from farmdesk.reports.trace import trace as walk


def trace(
    code: Annotated[str, typer.Argument(metavar="CODE", help="A code, typed group or name.")],
    *,
    farm: FarmOption = None,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON object.")] = False,
) -> None:
    """Where a bag, lot or delivery came from, and what it went into.

    Example: farmdesk trace OY02-0147-017
    """
    with opened(farm) as store, store.reading() as reading:
        ids = resolve(reading, [code], expand=False)
        if not ids:
            raise Refused(problem("scan_empty"))
        found = walk(reading, ids[0])
        row = reading.first(Farm)
    if as_json:
        typer.echo(json.dumps(_as_object(found), ensure_ascii=False))
    else:
        _print(found, row)


def _as_object(found: Trace) -> dict[str, object]:
    def lines(relatives: tuple[Relative, ...]) -> list[dict[str, object]]:
        return [
            {
                "code": one.code,
                "name": one.name,
                "kind": one.kind,
                "step": one.step,
                "amount_mg": one.amount_mg,
                "returned_mg": one.returned_mg,
            }
            for one in relatives
        ]

    return {
        "code": found.code,
        "name": found.name,
        "back": lines(found.back),
        "forward": lines(found.forward),
    }


def _print(found: Trace, farm: Farm | None) -> None:
    unit, locale = (farm.mass_unit, farm.locale) if farm else ("kg", "en_US")
    console = Console()
    for title, relatives in (("Came from", found.back), ("Went into", found.forward)):
        tree = Tree(f"{title} ({found.name})")
        for one in relatives:
            code = group_code(one.code) if one.code.isdigit() else ""
            mass = format_mass(one.amount_mg, unit, locale)
            if one.returned_mg:
                mass += f", {format_mass(one.returned_mg, unit, locale)} came back"
            tree.add(
                f"{'  ' * (one.step - 1)}{one.kind} {one.name}  {code}  {mass}", highlight=False
            )
        if not relatives:
            tree.add("nothing recorded")
        console.print(tree)
