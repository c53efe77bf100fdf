"""Measures the keys of the bench as ratios to floors taken in the same run.

python tests/bench/run.py --json FILE [--bags N] [--keys scan,trace] [--quick]
"""

from __future__ import annotations

import argparse
import json
import os
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
sys.path.insert(0, str(Path(__file__).resolve().parent))

from allocation_figures import measure_allocation
from big_farm import BigFarm, build_big
from blame_figures import measure_blame
from desk_figures import measure_keys, measure_list
from forecast_figures import measure_forecast
from lineage_figures import measure_trace
from paper_figures import measure_labels, measure_workbook
from rich.console import Console
from rich.table import Table
from scan_figures import measure_scan, measure_tail
from start_figures import measure_start
from timing import Figure

Measure = Callable[[BigFarm, bool], list[Figure]]
KEYS: dict[str, Measure] = {
    "scan": lambda farm, quick: [
        measure_scan(farm, key="scan", full=True, rounds=4 if quick else 12, block=50)
    ],
    "scan_cpu": lambda farm, quick: [
        measure_scan(farm, key="scan_cpu", full=False, rounds=4 if quick else 12, block=50)
    ],
    "scan_p99": lambda farm, quick: [measure_tail(farm, scans=400 if quick else 2000)],
    "keys_to_paint": lambda farm, quick: [measure_keys(farm, scans=40 if quick else 200)],
    "trace": lambda farm, quick: measure_trace(farm, rounds=4 if quick else 12, block=20),
    "labels": lambda _farm, quick: [measure_labels(rounds=4 if quick else 12)],
    "week_xlsx": lambda _farm, quick: [
        measure_workbook(rows=5_000 if quick else 100_000, rounds=2 if quick else 4)
    ],
    "start": lambda farm, quick: measure_start(farm.path, repeats=3 if quick else 9),
    "list": lambda farm, quick: measure_list(farm, rounds=3 if quick else 10),
    "allocate": lambda _farm, quick: measure_allocation(rounds=3 if quick else 10),
    "forecast": lambda farm, quick: measure_forecast(farm, rounds=3 if quick else 7),
    "blame": lambda farm, quick: measure_blame(farm, rounds=3 if quick else 7),
}


def measure(bags: int, wanted: list[str], *, quick: bool) -> list[Figure]:
    """The figures of the wanted keys on a new farm of this many bags."""
    figures: list[Figure] = []
    with tempfile.TemporaryDirectory(prefix="farm-bench-") as folder:
        farm = build_big(Path(folder) / "farm.sqlite", bags)
        for key in wanted:
            figures += KEYS[key](farm, quick)
    return figures


def show(figures: list[Figure], title: str) -> None:
    """Print the figures as a table."""
    table = Table(title=title)
    for heading in ("key", "ours", "floor", "unit", "n", "ratio", "must", "stretch", ""):
        table.add_column(heading, justify="left" if heading in ("key", "unit", "") else "right")
    for one in figures:
        verdict = (
            "stretch" if one.ratio <= one.stretch else "must" if one.ratio <= one.must else "MISSED"
        )
        table.add_row(
            one.key, f"{one.ours:,.1f}", f"{one.floor:,.1f}", one.unit, str(one.n),
            f"{one.ratio:.2f}", f"{one.must:g}", f"{one.stretch:g}", verdict,
        )  # fmt: skip
    Console().print(table)


def main() -> int:
    """Measure, print, and write the JSON file."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--json", type=Path)
    parser.add_argument("--bags", type=int, default=10_000)
    parser.add_argument("--keys", default=",".join(KEYS))
    parser.add_argument("--quick", action="store_true")
    asked = parser.parse_args()
    figures = measure(asked.bags, asked.keys.split(","), quick=asked.quick)
    show(figures, f"{asked.bags:,} bags")
    if asked.json:
        found = {
            one.key: {
                "ratio": round(one.ratio, 3), "ours": one.ours, "floor": one.floor,
                "unit": one.unit, "n": one.n, "what": one.what, "bags": asked.bags,
            }
            for one in figures
        }  # fmt: skip
        asked.json.write_text(json.dumps(found, indent=1) + "\n", encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
