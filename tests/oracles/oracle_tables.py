"""Reads the tables of published and recomputed figures; every row has its source and status."""

import csv
from pathlib import Path

DATA = Path(__file__).parent / "data"


def read_table(name):
    """All rows of data/<name>.csv as dictionaries of text."""
    with (DATA / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))
