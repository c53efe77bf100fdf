"""The command that answers scans from standard input, one line each."""

from __future__ import annotations

import codecs
import json
import sys
from collections.abc import Iterable, Iterator
from io import TextIOWrapper
from typing import Annotated, BinaryIO, TextIO

import typer

from farmdesk.actions.scanning import Bench, ScanAnswer
from farmdesk.cli.terms import REFUSED, FarmOption, opened
from farmdesk.store.farm_store import FarmStore

_AT_ONCE = 65_536
_MOST_KEPT = 4_096
"""More of one line than this is not kept while it is read; it is no scan anyway."""
_FINE = ("done", "already")


def scan(
    *,
    farm: FarmOption = None,
    station: Annotated[
        str, typer.Option(help="This computer's name; each station has its own wall card in force.")
    ] = "desk",
    as_json: Annotated[bool, typer.Option("--json", help="One JSON object a line.")] = False,
) -> None:
    """Answer scans from standard input: codes, names, wall cards and weights, one a line.

    Ends with status 1 when a line was refused, not known, or asked and never answered.

    Example: echo OY02-0147-017 | farmdesk scan --station door
    """
    if isinstance(sys.stdout, TextIOWrapper):
        sys.stdout.reconfigure(errors="replace")
    with opened(farm) as store:
        lines = read_lines(sys.stdin.buffer)
        is_fine = run_scan(store, lines, sys.stdout, station=station, as_json=as_json)
    if not is_fine:
        raise typer.Exit(REFUSED)


def run_scan(
    store: FarmStore, lines: Iterable[str], out: TextIO, *, station: str, as_json: bool
) -> bool:
    """Answer each line with one line, at once; True when none was refused or left unanswered."""
    bench = Bench(store, station=station)
    is_fine = True
    for line in lines:
        answer = bench.scan(line)
        text = json.dumps(as_object(answer), ensure_ascii=True) if as_json else answer.message
        out.write(f"{text}\n")
        out.flush()
        if answer.outcome not in (*_FINE, "ask"):
            is_fine = False
        if answer.left_open:
            is_fine = False
    return is_fine and not bench.is_asking


def as_object(answer: ScanAnswer) -> dict[str, object]:
    """An answer as the fields of a JSON object."""
    return {
        "code": answer.code,
        "outcome": answer.outcome,
        "message": answer.message,
        "subject": answer.subject,
        "stage": answer.stage,
        "room": answer.room,
        "entry": answer.entry,
        "count": answer.count,
        "questions": list(answer.questions),
    }


def read_lines(stream: BinaryIO) -> Iterator[str]:
    """The lines of a stream as they come, as text; what is no UTF-8 shows as such.

    Of a line that never ends only the first part is kept.
    """
    while line := stream.readline(_AT_ONCE):
        ended = line.endswith(b"\n")
        kept = line[:_MOST_KEPT]
        while not ended and (more := stream.readline(_AT_ONCE)):
            ended = more.endswith(b"\n")
        yield kept.removeprefix(codecs.BOM_UTF8).decode("utf-8", errors="replace").rstrip("\r\n")
